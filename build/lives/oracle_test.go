package lives

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"

	"plainleaf/app/casefile"
	"plainleaf/app/plan"
	"plainleaf/app/render"
	"plainleaf/app/sheet"
)

// truth is what the entries of a case say, worked out here by its own rules and not
// by those of the program.
type truth struct {
	w    *world
	p    casefile.Practice
	c    casefile.Case
	live []casefile.Event // what was not struck
	// agreed are all agreements, the one in force last.
	agreed []casefile.Agreement
	pl     *plan.Plan // once it was asked for
}

func newTruth(w *world, p casefile.Practice, c casefile.Case, agreed []casefile.Agreement) *truth {
	x := &truth{w: w, p: p, c: c, agreed: agreed}
	for i, e := range c.Events {
		gone := e.Kind == "struck"
		for _, s := range c.Events {
			if s.Kind != "struck" || s.Of != i+1 {
				continue
			}
			switch {
			case len(s.Teeth) > 0:
				if len(e.Teeth) == 0 {
					e.Teeth = x.teeth()
				}
				e.Teeth = slices.DeleteFunc(slices.Clone(e.Teeth), func(t casefile.Tooth) bool { return slices.Contains(s.Teeth, t) })
				gone = gone || len(e.Teeth) == 0
			case len(s.Parts) > 0:
				e.Parts = slices.DeleteFunc(slices.Clone(e.Parts), func(p string) bool { return slices.Contains(s.Parts, p) })
				gone = gone || len(e.Parts) == 0
			default:
				gone = true
			}
		}
		if !gone {
			x.live = append(x.live, e)
		}
	}
	return x
}

func (x *truth) teeth() (out []casefile.Tooth) {
	for _, e := range x.c.Teeth {
		out = append(out, e.Tooth)
	}
	return out
}

// where is what an entry is about, for a step of contacts as contacts.
func (x *truth) where(e casefile.Event, contacts bool) (out []casefile.Place) {
	teeth := e.Teeth
	if len(e.Teeth)+len(e.Places) == 0 {
		teeth = x.teeth()
	}
	if !contacts {
		for _, t := range teeth {
			out = append(out, casefile.Place{A: t})
		}
		return append(out, e.Places...)
	}
	out = append(out, e.Places...)
	var alone []casefile.Place
	for _, t := range teeth {
		for _, n := range t.Neighbors() {
			if p := (casefile.Place{A: min(t, n), B: max(t, n)}); slices.Contains(teeth, n) {
				out = append(out, p)
			} else {
				alone = append(alone, p)
			}
		}
	}
	if len(out) == 0 {
		out = alone
	}
	return out
}

// day is when the i-th entry was made: one without a day has that of the chair's last.
func (x *truth) day(i int) (out casefile.Date) {
	for _, e := range x.live[:i] {
		chair := slices.Contains([]casefile.EventKind{"asked", "answered", "reopened", "tried", "approved", "change-wanted", "done"}, e.Kind)
		if chair && !e.On.IsZero() {
			out = e.On
		}
	}
	return cmp.Or(x.live[i].On, out)
}

// signed are the places of the agreements' entries among those that count, -1 for
// none. Papers may bear one code: their entries come in order.
func (x *truth) signed() (out []int) {
	free := 0
	for n, a := range x.agreed {
		at := -1
		for i := free; i < len(x.live) && (at < 0 || n == len(x.agreed)-1); i++ {
			if e := x.live[i]; e.Kind == "signed" && e.Code == a.Code && (e.On.IsZero() || e.On == a.Date) {
				at = i
			}
		}
		if out = append(out, at); at >= 0 {
			free = at + 1
		}
	}
	return out
}

// follows reports whether the i-th entry was made under the n-th agreement.
func (x *truth) follows(i, n int) bool {
	day, signed, a := x.day(i), x.signed()[n], x.agreed[n]
	if signed < 0 {
		return day.IsZero() && x.live[i].Answer != "agree" || !day.IsZero() && !day.Before(a.Date)
	}
	return i > signed || a.Date.Before(day)
}

// under is the agreement in force when the i-th entry was made; -1 for none.
func (x *truth) under(i int) int {
	for n := len(x.agreed) - 1; n >= 0; n-- {
		if i == len(x.live) || x.follows(i, n) {
			return n
		}
	}
	return -1
}

// word is an answer with what it rests on.
type word struct {
	answer casefile.Answer
	chair  bool
	on     casefile.Date
	size   float64
}

// beforehand is the answer on paper to a step at a place.
func beforehand(list []casefile.AnswerEntry, all []casefile.Tooth, change string, at casefile.Place) casefile.Answer {
	tooth := func(t casefile.Tooth) casefile.Answer {
		for _, a := range list {
			named := slices.Contains(a.Teeth, t) || len(a.Teeth)+len(a.Places) == 0 && (len(all) == 0 || slices.Contains(all, t))
			if a.Change == change && named {
				return a.Answer
			}
		}
		return ""
	}
	if at.B == 0 {
		return tooth(at.A)
	}
	for _, a := range list {
		if a.Change == change && slices.Contains(a.Places, at) {
			return a.Answer
		}
	}
	a, b := tooth(at.A), tooth(at.B)
	switch {
	case a == b:
		return a
	case a == "no" && !slices.Contains(all, at.B), b == "no" && !slices.Contains(all, at.A):
		return "no"
	}
	return ""
}

// counts is what an answer on paper counts as: a step that needs no answer takes none, one that
// is always asked, or, where nothing was signed, is not likely at the place, takes no
// yes; and what was two steps in one was refused in both.
func (x *truth) counts(list []casefile.AnswerEntry, all []casefile.Tooth, change string, at casefile.Place, signed bool) casefile.Answer {
	rule := x.w.base.Change(change)
	a := beforehand(list, all, change, at)
	if a == "" && signed && rule.NoOf != "" && slices.Contains(all, at.A) && beforehand(list, all, rule.NoOf, at) == "no" {
		a = "no"
	}
	takes := rule.Answers
	if row, ok := x.plan().Row(change, at); ok && !signed && !row.Rests {
		takes = row.Permitted
	}
	switch {
	case rule.Group == "tell":
		return ""
	case a == "agree" && !slices.Contains(takes, a) && !(signed && x.yesInTheChair(change, at)):
		return "ask"
	}
	return a
}

// onPaper is the answer of the case as a paper signed now has it: a yes that nothing
// names as likely is ask, and so is a half without an answer whose other half is refused.
func (x *truth) onPaper(change string, at casefile.Place) casefile.Answer {
	rule := x.w.base.Change(change)
	a := x.counts(x.c.Answers, x.teeth(), change, at, false)
	row, ok := x.plan().Row(change, at)
	switch {
	case a == "agree" && ok && !slices.Contains(row.Permitted, a), a == "agree" && !ok && rule.NamedOnly():
		return "ask"
	case a == "" && rule.NoOf != "" && beforehand(x.c.Answers, x.teeth(), rule.NoOf, at) == "no":
		return "ask"
	}
	return a
}

// yesInTheChair reports whether a yes to a step was given on the day, which a signed
// change takes in.
func (x *truth) yesInTheChair(change string, at casefile.Place) bool {
	return slices.ContainsFunc(x.live, func(e casefile.Event) bool {
		return e.Kind == "answered" && e.Change == change && e.Answer == "agree" && slices.Contains(x.where(e, false), at)
	})
}

// plan is that of the case.
func (x *truth) plan() plan.Plan {
	if x.pl == nil {
		pl, _ := plan.For(x.c, x.p, x.w.base)
		x.pl = &pl
	}
	return *x.pl
}

// says is the answer in force at a place before the i-th entry.
func (x *truth) says(change string, at casefile.Place, i int) word {
	n := x.under(i)
	var now word
	switch {
	case n >= 0:
		a := x.agreed[n]
		var all []casefile.Tooth
		for _, t := range a.Teeth {
			all = append(all, t.Tooth)
		}
		now.answer = x.counts(a.Answers, all, change, at, true)
	case len(x.agreed) == 0:
		now.answer = x.counts(x.c.Answers, x.teeth(), change, at, false)
	}
	rule := x.w.base.Change(change)
	asked := 0.0
	for j, e := range x.live[:i] {
		if n >= 0 && !x.follows(j, n) {
			continue
		}
		if e.Kind == "withdrawn" && now.answer == "agree" {
			now = word{}
		}
		if e.Change != change || !slices.Contains(x.where(e, rule.Over == "contacts"), at) {
			continue
		}
		switch e.Kind {
		case "asked":
			asked = e.SizeMM
		case "answered":
			now = word{e.Answer, true, e.On, cmp.Or(e.SizeMM, asked)}
		case "reopened":
			now = word{"ask", true, e.On, 0}
		}
	}
	if len(x.agreed) == 0 && now.answer != "no" && x.counts(x.c.Answers, x.teeth(), change, at, false) == "no" {
		return word{answer: "no"}
	}
	return now
}

// takes reports whether a step takes tooth away for good, and from the tooth itself.
func (x *truth) takes(change string) (takes, own bool) {
	r := x.w.base.Change(change)
	takes = r.Removes == "enamel" // gum is no tooth
	return takes, takes && r.Place != "opposing" && r.Over != "opposing"
}

// touched are the teeth of an entry about what was done.
func (x *truth) touched(e casefile.Event) (out []casefile.Tooth) {
	if len(e.Teeth)+len(e.Places) == 0 {
		return x.teeth()
	}
	if len(e.Teeth) > 0 {
		return e.Teeth
	}
	for _, p := range e.Places {
		out = append(out, p.A, p.B)
	}
	return out
}

// states is what happened to each tooth; it has no entry for one that nothing was
// done to. anything also counts what was taken from a tooth opposite.
func (x *truth) states() (state map[casefile.Tooth]string, anything bool) {
	state = map[casefile.Tooth]string{}
	for _, e := range x.live {
		if e.Kind != "done" {
			continue
		}
		takes, own := false, false
		if e.Change != "" {
			takes, own = x.takes(e.Change)
		}
		anything = anything || takes || e.Step != ""
		for _, t := range x.touched(e) {
			switch {
			case e.Step == "glued":
				state[t] = x.english("tooth-state.bonded")
			case e.Step != "", own && state[t] == "":
				state[t] = x.english("tooth-state.shaped")
			}
		}
	}
	return state, anything
}

// treatment is what a tooth gets, in words; 0 is the mouth as a whole.
func (x *truth) treatment(route, then casefile.Route, material casefile.Material, teeth []casefile.AgreedTooth, t casefile.Tooth) string {
	r, m := route, material
	if t != 0 {
		i := slices.IndexFunc(teeth, func(e casefile.AgreedTooth) bool { return e.Tooth == t })
		if i < 0 {
			return ""
		}
		if e := teeth[i]; e.Route != "" {
			r = e.Route
		}
		m = cmp.Or(teeth[i].Material, m)
	} else if len(teeth) > 0 {
		return ""
	}
	name := func(r casefile.Route) string { return x.english("route." + string(r) + ".name") }
	made := func(r casefile.Route) string {
		if list := x.w.base.Route(r).Materials; len(list) > 1 && slices.Contains(list, m) {
			return name(r) + " (material: " + x.english("material."+string(m)+".name") + ")"
		}
		return name(r)
	}
	after := casefile.Route("")
	switch {
	case r.First() && then == "" && !route.First() && route.NeedsTeeth():
		after = route
	case r.First(), r == casefile.ReplaceVeneers, r == route:
		after = then
	}
	if after == "" {
		return made(r)
	}
	return name(r) + " / " + made(after)
}

func (x *truth) now(t casefile.Tooth) string {
	var list []casefile.AgreedTooth
	for _, e := range x.c.Teeth {
		list = append(list, casefile.AgreedTooth{Tooth: e.Tooth, Route: e.Route, Material: e.Material})
	}
	return x.treatment(x.c.Route, x.c.Then, x.c.Material, list, t)
}

func (x *truth) then(t casefile.Tooth) string {
	a := x.agreed[len(x.agreed)-1]
	return x.treatment(a.Route, a.Then, a.Material, a.Teeth, t)
}

func (x *truth) english(id string) string {
	s, err := x.w.wordings["en"].Text(id, nil, "")
	if err != nil {
		return err.Error()
	}
	return s
}

// oracle holds one sheet against the truth.
type oracle struct {
	*truth
	d   render.Doc
	bad []string
}

// lies lists what an English sheet says that is not so, or leaves out.
func (x *truth) lies(d render.Doc, pl plan.Plan) []string {
	o := &oracle{truth: x, d: d}
	o.everywhere()
	switch d.Kind {
	case sheet.Consent:
		o.consent(pl)
	case sheet.TryIn:
		o.tryIn(pl)
	case sheet.Change:
		o.change(pl)
	case sheet.Aftercare:
		o.treatments()
	}
	if d.Kind == sheet.Change || d.Kind == sheet.Aftercare {
		o.states()
		o.done()
	}
	return o.bad
}

func (o *oracle) wrong(format string, a ...any) {
	o.bad = append(o.bad, string(o.d.Kind)+": "+fmt.Sprintf(format, a...))
}

// lines are all lines of a block.
func lines(b render.Block) []render.Line {
	out := []render.Line{b.Text}
	for _, it := range b.Items {
		out = append(append(out, it.Label, it.Text), it.More...)
		for _, c := range it.Cells {
			out = append(out, c.Texts...)
		}
	}
	return out
}

// says reports whether the sheet has a sentence.
func (o *oracle) has(s string) bool {
	return slices.ContainsFunc(o.d.Blocks, func(b render.Block) bool {
		return slices.ContainsFunc(lines(b), func(l render.Line) bool { return strings.Contains(l.String(), s) })
	})
}

// under gives the blocks from a heading to the next of its level or above.
func (o *oracle) section(heading string) []render.Block {
	for i, b := range o.d.Blocks {
		if b.Kind != sheet.Heading || b.Text.String() != heading {
			continue
		}
		j := i + 1
		for j < len(o.d.Blocks) && o.d.Blocks[j].Kind != sheet.Heading && o.d.Blocks[j].Kind != sheet.PageBreak {
			j++
		}
		return o.d.Blocks[i+1 : j]
	}
	return nil
}

// named are the teeth and contacts that a line writes.
func named(l render.Line) (out []casefile.Place) {
	for _, r := range l {
		switch {
		case r.Value == "teeth" && len(r.Teeth) == 1:
			out = append(out, casefile.Place{A: r.Teeth[0]})
		case r.Value == "places" && len(r.Teeth) == 2:
			out = append(out, casefile.Place{A: min(r.Teeth[0], r.Teeth[1]), B: max(r.Teeth[0], r.Teeth[1])})
		}
	}
	return out
}

// everywhere is what holds on every sheet.
func (o *oracle) everywhere() {
	state, anything := o.truth.states()
	glued := 0
	for _, s := range state {
		if s == o.english("tooth-state.bonded") {
			glued++
		}
	}
	if anything && o.has("nothing was taken off a tooth or glued on") {
		o.wrong("nothing was taken off or glued, it says")
	}
	if len(state) == 0 && (o.has("Some tooth was taken off") || o.has("what these teeth need")) {
		o.wrong("it says that teeth have been shaped or glued on")
	}
	if glued > 0 && o.d.Title.String() == "Nothing is glued yet" {
		o.wrong("%d teeth are glued and it says that nothing is", glued)
	}
	if all := o.teeth(); len(all) > 0 && glued >= len(all) && (o.has("only held in place") || o.d.Title.String() == "Nothing is glued yet") {
		o.wrong("all is glued and it says that nothing is")
	}
	for _, b := range o.d.Blocks {
		for _, l := range lines(b) {
			for _, r := range l {
				numbers := []string{o.p.Telephone, o.p.EmergencyLine, o.p.EmergencyService}
				if o.p.EmergencyService == "" && o.p.Country == "DE" {
					numbers = append(numbers, "112") // of the European Union
				}
				if r.Value == "phone" && !slices.Contains(numbers, r.Text) {
					o.wrong("the number %s", r.Text)
				}
			}
		}
	}
}

// states checks the state of each tooth.
func (o *oracle) states() {
	want, _ := o.truth.states()
	told := map[casefile.Tooth]bool{}
	blocks := o.stateBlocks()
	for _, b := range blocks {
		for _, it := range b.Items {
			if !strings.HasPrefix(it.Text.Msg(), "tooth-state.") {
				continue
			}
			for _, p := range named(it.Label) {
				told[p.A] = true
				if s := cmp.Or(want[p.A], o.english("tooth-state.untouched")); it.Text.String() != s {
					o.wrong("tooth %d is %q, not %q", p.A, s, it.Text.String())
				}
			}
		}
	}
	if o.d.Kind != sheet.Change && len(blocks) == 0 {
		unfinished := len(want) > 0 && slices.ContainsFunc(o.teeth(), func(t casefile.Tooth) bool { return want[t] != o.english("tooth-state.bonded") })
		if unfinished {
			o.wrong("it does not say which teeth are not finished: %v", want)
		}
		return
	}
	for _, t := range o.teeth() {
		if !told[t] {
			o.wrong("tooth %d has no state", t)
		}
	}
	for t := range want {
		if !told[t] {
			o.wrong("tooth %d, which is not in the case, has no state", t)
		}
	}
}

// stateBlocks are those that tell the state of each tooth: one that its words lead, or
// those under a heading.
func (o *oracle) stateBlocks() []render.Block {
	lead := o.english("sheet.changes.state")
	for _, b := range o.d.Blocks {
		if b.Kind == sheet.Facts && b.Text.String() == lead {
			return []render.Block{b}
		}
	}
	return o.section(lead)
}

// done looks at what was done against what had been said until then.
func (o *oracle) done() {
	var items []render.Item
	for _, b := range o.section("Steps on the way") {
		items = append(items, steps(b)...)
	}
	n, told := 0, len(items)
	for i, e := range o.live {
		if e.Kind != "done" || e.Change == "" {
			continue
		}
		if !o.tells(i, e) {
			continue
		}
		if n++; len(items) == 0 {
			continue
		}
		// Steps with one answer are together, so that they are not in the order of the
		// history: each has one line that tells it rightly, and no other has that line.
		bad := o.bad
		var first []string
		at := slices.IndexFunc(items, func(it render.Item) bool {
			o.bad = nil
			o.step(i, e, it)
			if first == nil {
				first = o.bad
			}
			return len(o.bad) == 0
		})
		if o.bad = bad; at < 0 {
			o.bad = append(o.bad, first...)
			at = 0
		}
		items = slices.Delete(items, at, at+1)
	}
	if n != told {
		o.wrong("%d steps were done and it tells %d", n, told)
	}
}

// tells reports whether a sheet has to tell a step: a change tells what took something from
// the teeth that it is about, and at any tooth what was done against a no or beyond a limit.
func (o *oracle) tells(i int, e casefile.Event) bool {
	about := map[casefile.Tooth]bool{}
	asked := false
	for _, b := range o.d.Blocks {
		asked = asked || b.Style == sheet.Boxed || b.Style == sheet.Versus && len(b.Items[0].Said()) > 0
		for _, it := range b.Items {
			for _, t := range it.Ref.Teeth {
				about[t] = about[t] || b.Style == sheet.Compared || b.Style == sheet.Boxed || b.Style == sheet.Versus
			}
		}
	}
	rule := o.w.base.Change(e.Change)
	if o.d.Kind != sheet.Change || !asked || rule.Removes != "nothing" && slices.ContainsFunc(o.touched(e), func(t casefile.Tooth) bool { return about[t] }) {
		return true
	}
	if limit, ok := o.plan().Limit(e.Change); ok && e.SizeMM > limit {
		return true
	}
	return !rule.Told() && slices.ContainsFunc(o.where(e, rule.Over == "contacts"), func(at casefile.Place) bool {
		s := o.truth.says(e.Change, at, i)
		return s.answer == "no" || s.answer == "agree" && s.chair && s.size > 0 && e.SizeMM > s.size
	})
}

// steps are those that a block tells, each with what was said before where that is over
// several. What follows the list has no heading of its own, and is about no step.
func steps(b render.Block) (out []render.Item) {
	for _, it := range b.Items {
		if it.Ref.Change != "" && b.Kind == sheet.List {
			it.More = append(slices.Clone(it.More), b.Text)
			out = append(out, it)
		}
	}
	return out
}

func (o *oracle) step(i int, e casefile.Event, it render.Item) {
	text := it.Text.String()
	for _, l := range it.More {
		text += " " + l.String()
	}
	var no, unasked, yes, beyond bool
	rule := o.w.base.Change(e.Change)
	for _, at := range o.where(e, rule.Over == "contacts") {
		s := o.truth.says(e.Change, at, i)
		switch {
		case rule.Told():
		case s.answer == "no":
			no = true
		case s.answer == "agree" && s.chair:
			yes = true
			beyond = beyond || s.size > 0 && e.SizeMM > s.size
		case s.answer != "agree":
			unasked = true
		}
	}
	for said, want := range map[string]bool{"Your answer to this beforehand was no.": no, "You were to be asked first": unasked, "and said yes.": yes} {
		if strings.Contains(text, said) != want {
			o.wrong("%s (entry %d among those that count): %q is told: %v, is so: %v", text, i, said, !want, want)
		}
	}
	if beyond && !strings.Contains(text, "This was over") {
		o.wrong("%s: %.2f mm are more than what was said yes to", text, e.SizeMM)
	}
	if !strings.HasPrefix(text, o.english("change."+e.Change+".name")) {
		o.wrong("%s in place of %s", text, e.Change)
	}
	if e.SizeMM > 0 && !strings.Contains(text, fmt.Sprintf("%g mm)", e.SizeMM)) {
		o.wrong("%s: %g mm", text, e.SizeMM)
	}
	if e.SizeMM == 0 && strings.Contains(text, " mm)") {
		o.wrong("%s: no size was noted", text)
	}
	if d := english(e.On); !strings.Contains(text, d) {
		o.wrong("%s: not on %s", text, d)
	}
	if on := slices.ContainsFunc(it.More, func(l render.Line) bool { return strings.HasPrefix(l.Msg(), "sheet.aftercare.done-day") }); on == e.On.IsZero() {
		o.wrong("%s: with a date: %v", text, on)
	}
	sites, want := named(it.Text), e.Places
	if len(want) == 0 {
		for _, t := range o.touched(e) {
			want = append(want, casefile.Place{A: t})
		}
	}
	if !alike(sites, want) {
		o.wrong("%s: %v, not %v", text, sites, want)
	}
}

func alike(a, b []casefile.Place) bool {
	return !slices.ContainsFunc(a, func(p casefile.Place) bool { return !slices.Contains(b, p) }) &&
		!slices.ContainsFunc(b, func(p casefile.Place) bool { return !slices.Contains(a, p) })
}

// english writes a date as the sheets do.
func english(d casefile.Date) string {
	if d.IsZero() {
		return ""
	}
	return fmt.Sprintf("%s %d, %d", [...]string{"January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November", "December"}[d.Month-1], d.Day, d.Year)
}

// treatments looks at what each tooth gets, on sheets that tell what was agreed.
func (o *oracle) treatments() {
	if len(o.agreed) == 0 {
		return
	}
	want, told := map[casefile.Tooth]string{}, map[casefile.Tooth]string{}
	all := append(o.teeth(), 0)
	for _, t := range all {
		if s := o.then(t); s != "" {
			want[t] = s
		}
	}
	blocks := append(o.section("Your teeth"), o.section("What was done")...)
	if o.d.Kind == sheet.TryIn { // in one line with the shade
		blocks = o.d.Blocks
	}
	for _, b := range blocks {
		if b.Kind != sheet.Facts {
			continue
		}
		var last []casefile.Tooth
		for _, it := range b.Items {
			if o.d.Kind == sheet.TryIn && !strings.HasPrefix(it.Text.Msg(), "route.") && it.Text.Msg() != "sheet.common.route-of-material" {
				continue
			}
			if strings.HasSuffix(strings.ToLower(it.Label.String()), "after that") {
				for _, t := range last {
					told[t] += " / " + it.Text.String()
				}
				continue
			}
			last = nil
			for _, p := range named(it.Label) {
				last = append(last, p.A)
			}
			if len(last) == 0 {
				last = []casefile.Tooth{0}
			}
			for _, t := range last {
				told[t] = it.Text.String()
			}
		}
	}
	for _, t := range all {
		if told[t] != want[t] {
			o.wrong("tooth %d gets %q, agreed was %q", t, told[t], want[t])
		}
	}
}

// lists reads the answers from the lists under each of them: places by step and answer.
func (o *oracle) lists(every map[string][]casefile.Place) map[string]map[casefile.Place]casefile.Answer {
	words := map[string]casefile.Answer{"Yes, go ahead": "agree", "Ask me first": "ask", "No": "no", `No answer yet, which counts as "ask me first".`: ""}
	out := map[string]map[casefile.Place]casefile.Answer{}
	rest := map[string]casefile.Answer{}
	for _, b := range o.d.Blocks {
		answer, ok := words[b.Text.String()]
		if b.Kind != sheet.List || !ok {
			continue
		}
		for _, it := range b.Items {
			if strings.HasPrefix(it.Text.Msg(), "sheet.change.strip-") { // the limit of the yes before it
				continue
			}
			change, s := "", it.Text.String()
			for key := range every {
				if name := o.english("change." + key + ".name"); s == name || strings.HasPrefix(s, name+":") {
					change = key
				}
			}
			if change == "" {
				o.wrong("an answer to %q", s)
				continue
			}
			if out[change] == nil {
				out[change] = map[casefile.Place]casefile.Answer{}
			}
			places := named(it.Text)
			switch {
			case strings.HasSuffix(s, ": the other teeth"):
				rest[change] = answer
				continue
			case len(places) == 0 && answer == "agree": // who reads no tooth reads all of them
				places = o.all(change)
			case len(places) == 0:
				places = every[change]
			}
			o.note(out[change], change, places, answer)
		}
	}
	for change, answer := range rest {
		for _, p := range every[change] {
			if _, told := out[change][p]; !told {
				out[change][p] = answer
			}
		}
	}
	return out
}

// page reads the answers from the signature page of a consent: under each word its steps,
// a sentence each, and what has none counts as ask.
func (o *oracle) page(every map[string][]casefile.Place) map[string]map[casefile.Place]casefile.Answer {
	words := map[string]casefile.Answer{"Yes, go ahead": "agree", "Ask me first": "ask", "No": "no"}
	out := map[string]map[casefile.Place]casefile.Answer{}
	for key := range every {
		out[key] = map[casefile.Place]casefile.Answer{}
	}
	rest, told := false, false
	for _, b := range o.d.Blocks {
		for _, row := range b.Items {
			if row.Label.String() != "My answers about changes in the chair" {
				continue
			}
			told = true
			for _, it := range row.Items {
				answer, ok := words[it.Label.String()]
				if !ok {
					o.wrong("an answer %q", it.Label.String())
				}
				for _, l := range append([]render.Line{it.Text}, it.More...) {
					if l.String() == "Everything without an answer." {
						rest = answer == "ask"
						continue
					}
					o.sentence(l, answer, every, out)
				}
			}
		}
	}
	for change, places := range every {
		for _, p := range places {
			if _, ok := out[change][p]; !ok && (rest && told) {
				out[change][p] = ""
			}
		}
	}
	return out
}

// sentence takes one step with its answer.
func (o *oracle) sentence(l render.Line, answer casefile.Answer, every map[string][]casefile.Place, out map[string]map[casefile.Place]casefile.Answer) {
	if strings.HasPrefix(l.Msg(), "sheet.change.strip-") { // the limit of the yes before it
		return
	}
	change, s := "", l.String()
	for key := range every {
		if name := o.english("change." + key + ".name"); s == name+"." || strings.HasPrefix(s, name+": ") {
			change = key
		}
	}
	if change == "" {
		o.wrong("an answer to %q", s)
		return
	}
	places := named(l)
	switch {
	case len(places) == 0 && answer == "agree": // who reads no tooth reads all of them
		places = o.all(change)
	case len(places) == 0:
		places = every[change]
	}
	o.note(out[change], change, places, answer)
}

// note records an answer at some places, each of which has one only.
func (o *oracle) note(out map[casefile.Place]casefile.Answer, change string, places []casefile.Place, answer casefile.Answer) {
	for _, p := range places {
		if was, twice := out[p]; twice {
			o.wrong("two answers to %s on %s, %q and %q", change, p, was, answer)
		}
		out[p] = answer
	}
}

// all are the teeth of the case, or their contacts where a step is of contacts.
func (o *oracle) all(change string) (out []casefile.Place) {
	if o.w.base.Change(change).Over == "contacts" {
		return casefile.Contacts(o.teeth())
	}
	for _, t := range o.teeth() {
		out = append(out, casefile.Place{A: t})
	}
	return out
}

// yes compares each yes on a sheet with the one that was given.
func (o *oracle) yes(told map[string]map[casefile.Place]casefile.Answer, given func(change string, at casefile.Place) casefile.Answer) {
	for change, places := range told {
		for p, answer := range places {
			if was := given(change, p); answer == "agree" && was != "agree" {
				o.wrong("a yes to %s on %s, where the answer is %q", change, p, was)
			}
		}
	}
}

// consent has the answers of the case, and no line to sign while it is on hold.
func (o *oracle) consent(pl plan.Plan) {
	every := map[string][]casefile.Place{}
	for _, ch := range pl.ChairChanges {
		if !ch.TellOnly && !ch.Rests {
			every[ch.Key] = append(every[ch.Key], ch.At()...)
		}
	}
	told := o.page(every)
	for change, places := range every {
		for _, p := range places {
			want := o.truth.counts(o.c.Answers, o.teeth(), change, p, false)
			if got, ok := told[change][p]; !ok || got != want {
				o.wrong("%s on %s: %q (told: %v), the answer is %q", change, p, got, ok, want)
			}
		}
	}
	o.yes(told, func(change string, at casefile.Place) casefile.Answer {
		return o.truth.counts(o.c.Answers, o.teeth(), change, at, false)
	})
	o.boxes(pl)
	people := casefile.People{}
	if o.c.People != nil {
		people = *o.c.People
	}
	minor := people.AgeBand == "child" || people.AgeBand == "adolescent"
	other := slices.Contains([]string{"parent", "guardian", "representative"}, people.Decides)
	hold := people.AgeBand == "child" && people.Decides != "" && !other || (minor || other) && people.Assent == "no" ||
		slices.ContainsFunc(pl.WaitFor, func(x plan.WaitFor) bool { return x.Reason == "" })
	lines := slices.ContainsFunc(o.d.Blocks, func(b render.Block) bool { return b.Kind == sheet.Tick && b.Text.String() == "My decision" })
	if hold == lines {
		o.wrong("on hold: %v, lines to sign on: %v", hold, lines)
	}
	if hold && o.has(o.english("sheet.sign.patient")) {
		o.wrong("the patient can sign what is on hold")
	}
	o.signedFirst()
}

// signedFirst checks that each row puts the signature before treatment on the same day:
// informed consent comes first (care-pathway 3).
func (o *oracle) signedFirst() {
	sign := o.english("visit.signature.name")
	for _, b := range o.d.Blocks {
		if b.Kind != sheet.Schedule {
			continue
		}
		for _, it := range b.Items {
			row := it.Text.String()
			_, after, ok := strings.Cut(row, sign)
			for _, purpose := range []string{"preparation", "veneer-removal", "composite-placement", "delivery"} {
				if later := o.english("visit." + purpose + ".name"); ok && strings.Contains(row, later) && !strings.Contains(after, later) {
					o.wrong("%q comes before %q: %s", later, sign, row)
				}
			}
		}
	}
}

// boxes offer what the plan permits at each place, and the answer given is crossed.
func (o *oracle) boxes(pl plan.Plan) {
	d := o.d
	told := map[string]string{}
	for i, b := range d.Blocks {
		for j, it := range b.Items {
			if b.Kind != sheet.Choices {
				continue
			}
			for n, choice := range it.Choices {
				var keys []string
				for _, x := range choice.Boxes {
					keys = append(keys, x.Key)
				}
				for _, x := range d.Sheet.Blocks[i].Items[j].Choices[n].Each(it.Ref.Change) {
					told[x.Change+"@"+x.Place.String()] = fmt.Sprint(keys)
				}
			}
		}
	}
	want := map[string]string{}
	for _, ch := range pl.ChairChanges {
		if !ch.TellOnly && !ch.Rests {
			for _, p := range ch.At() {
				want[ch.Key+"@"+p.String()] = fmt.Sprint(ch.Permitted)
			}
		}
	}
	if !maps.Equal(told, want) {
		o.wrong("the boxes are %v, permitted is %v", told, want)
	}
}

// tryIn has the answers in force, what was agreed, and what was said at each sitting.
func (o *oracle) tryIn(pl plan.Plan) {
	o.treatments()
	o.rests()
	o.sittings()
	if len(o.agreed) == 0 {
		return
	}
	every := map[string][]casefile.Place{}
	for _, f := range pl.InForce {
		if f.TellOnly {
			continue
		}
		for _, s := range f.Places {
			p, err := casefile.ParsePlace(s)
			if err != nil {
				o.wrong("the plan has the place %q", s)
			}
			every[f.Key] = append(every[f.Key], p)
		}
	}
	told := o.lists(every)
	for change, places := range every {
		for _, p := range places {
			s := o.truth.says(change, p, len(o.live))
			got, ok := told[change][p]
			if s.answer == "" && !ok && o.has("What is not named here, we ask you first.") { // one sentence for all that has no answer
				continue
			}
			if !ok || got != s.answer {
				o.wrong("%s on %s: %q, in force is %q", change, p, got, s.answer)
			}
		}
	}
	o.yes(told, func(change string, at casefile.Place) casefile.Answer {
		return o.truth.says(change, at, len(o.live)).answer
	})
	// What was refused in the chair or on paper is on the sheet, whatever the plan has.
	for i := range o.w.base.Changes {
		rule := &o.w.base.Changes[i]
		for _, e := range o.live {
			if e.Change != rule.Key || e.Kind != "answered" || rule.Told() {
				continue
			}
			for _, p := range o.where(e, rule.Over == "contacts") {
				if s := o.truth.says(rule.Key, p, len(o.live)); s.answer == "no" && told[rule.Key][p] != "no" {
					o.wrong("%s on %s was refused", rule.Key, p)
				}
			}
		}
	}
}

// rests looks for the agreement that the sheet names.
func (o *oracle) rests() {
	if len(o.agreed) == 0 {
		return
	}
	a := o.agreed[len(o.agreed)-1]
	want := "We agreed this on " + english(a.Date) + ", code " + a.Code + "."
	if a.Way == "paper" {
		want = "We agreed this on " + english(a.Date) + " on paper, code " + a.Code + "."
	}
	if !o.has(want) {
		o.wrong("it does not say %q", want)
	}
}

// sittings compares the boxes and lines of each sitting with what was said there last
// of each tooth.
func (o *oracle) sittings() {
	parts := map[string]string{"Color": "shade", "Shape": "shape", "Length": "length"}
	words := map[casefile.EventKind]string{"approved": "right", "change-wanted": "change"}
	sitting, all := 0, []casefile.Tooth{}
	compare := func(part string, got map[casefile.Tooth]string) {
		want := map[casefile.Tooth]string{}
		for _, e := range o.live {
			if e.Sitting == sitting && slices.Contains(e.Parts, part) {
				for _, t := range o.c.Meant(e.Teeth) {
					want[t] = words[e.Kind]
				}
			}
		}
		for _, t := range all {
			if got[t] != want[t] {
				o.wrong("sitting %d, %s of tooth %d: %q, said was %q", sitting, part, t, got[t], want[t])
			}
		}
	}
	boxes := map[string]map[casefile.Tooth]string{}
	for i, b := range o.d.Blocks {
		switch {
		case b.Kind == sheet.Heading:
			if n := 0; scan(b.Text.String(), &n) {
				sitting, all, boxes = n, o.c.Meant(b.Ref.Teeth), map[string]map[casefile.Tooth]string{}
			}
		case b.Kind == sheet.Table && b.Style == sheet.Look:
			for _, it := range b.Items {
				part := parts[it.Label.String()]
				if boxes[part] == nil {
					boxes[part] = map[casefile.Tooth]string{}
				}
				for k, c := range it.Cells {
					o.crossed(b.Heads[k].Text, c, all, boxes[part])
				}
			}
			if next := o.d.Blocks[i+1]; next.Kind != sheet.Table || next.Style != sheet.Look { // the last of the sitting
				for _, part := range parts {
					compare(part, boxes[part])
				}
			}
		case b.Kind == sheet.Facts:
			if n := 0; scan(b.Text.String(), &n) { // an earlier one, in words
				was, teeth := sitting, all
				sitting, all = n, o.c.Meant(b.Ref.Teeth)
				for label, part := range parts {
					compare(part, o.inWords(b, label, all))
				}
				sitting, all = was, teeth
			}
		}
	}
}

// crossed notes which box of a cell is crossed for the teeth that head its column.
func (o *oracle) crossed(head render.Line, c render.Cell, all []casefile.Tooth, into map[casefile.Tooth]string) {
	var teeth []casefile.Tooth
	for _, p := range named(head) {
		teeth = append(teeth, p.A)
	}
	together := len(teeth) == 0
	for _, x := range c.Boxes {
		if !x.Mark {
			continue
		}
		for _, t := range teeth {
			into[t] += x.Text.String()
		}
		if together {
			for _, t := range all {
				into[t] = "" // each has its own box as well, or it is wrong
			}
		}
	}
}

// inWords is what the sheet says of one part of an earlier sitting.
func (o *oracle) inWords(b render.Block, label string, all []casefile.Tooth) map[casefile.Tooth]string {
	out := map[casefile.Tooth]string{}
	for _, it := range b.Items {
		if it.Label.String() != label || it.Text.String() == "not noted" {
			continue
		}
		var some []casefile.Tooth
		for _, l := range it.More {
			for _, p := range named(l) {
				some = append(some, p.A)
			}
		}
		if len(some) == 0 {
			some = all
		}
		for _, t := range some {
			out[t] += strings.TrimPrefix(it.Text.String(), "to ")
		}
	}
	return out
}

func scan(s string, n *int) bool {
	_, err := fmt.Sscanf(s, "Sitting %d", n)
	return err == nil
}

// change shows the difference: all of it, and each side as it is.
func (o *oracle) change(pl plan.Plan) {
	o.rests()
	var rows []render.Item
	for _, b := range o.d.Blocks {
		if b.Kind == sheet.Table && b.Style == sheet.Compared {
			rows = append(rows, b.Items...)
		}
	}
	asked := o.proposals()
	a := o.agreed[len(o.agreed)-1]
	told := map[casefile.Tooth][2]string{}
	shades, price := map[casefile.Tooth][2]string{}, [2]string{}
	for _, it := range rows {
		var cells [2]string
		for i := range 2 {
			var texts []string
			for _, l := range it.Cells[i].Texts {
				texts = append(texts, strings.TrimPrefix(l.String(), "After that: "))
			}
			cells[i] = strings.Join(texts, " / ")
		}
		label := it.Label.String()
		switch {
		case label == "Shade":
			for _, e := range o.c.Teeth {
				shades[e.Tooth] = cells
			}
			shades[0] = cells
		case strings.HasPrefix(label, "Shade ("):
			for _, p := range named(it.Label) {
				shades[p.A] = cells
			}
		case label == "Price of the whole plan":
			price = cells
		case strings.HasPrefix(label, "Tooth ") || strings.HasPrefix(label, "Teeth "):
			for _, p := range named(it.Label) {
				told[p.A] = cells
			}
		case label == "Your teeth as a whole":
			told[0] = cells
		default:
			o.wrong("a difference of %q", label)
		}
	}
	for _, t := range append(casefile.AllTeeth(), 0) {
		was, is := o.then(t), o.now(t)
		want := [2]string{}
		if was != is {
			want = [2]string{cmp.Or(was, "Not part of what we agreed"), cmp.Or(is, "Nothing is done to it")}
		}
		if told[t] != want {
			o.wrong("tooth %d: %q, not %q", t, told[t], want)
		}
	}
	o.shades(a, shades)
	o.prices(a, pl, price)
	o.asked(asked)
}

// proposal is one question as the sheet tells it: what was agreed, what is proposed with
// what goes with it, what was answered, and the box that is crossed.
type proposal struct{ was, now, said, box string }

// proposals reads the questions of a change: one in the boxes of agreed and proposed, the
// facts after them and the boxes for the answer; several in the rows of a table.
func (o *oracle) proposals() (out []proposal) {
	answers := 0
	for i, b := range o.d.Blocks {
		switch {
		case b.Kind == sheet.Table && b.Style == sheet.Boxed:
			for _, it := range b.Items {
				out = append(out, o.inRow(b, it))
				answers++
			}
		case b.Kind == sheet.Facts && b.Style == sheet.Versus && len(b.Items[0].Said()) > 0:
			p := proposal{was: texts(b.Items[0].Said()), now: texts(b.Items[1].Said())}
			for _, it := range o.d.Blocks[i+1].Items {
				p.now += texts(it.Said())
			}
			out = append(out, p)
		case b.Kind == sheet.Tick && b.Style == sheet.Answer && answers < len(out):
			if before := o.d.Blocks[i-1]; before.Kind == sheet.List && strings.HasPrefix(before.Items[0].Text.String(), "You said") {
				out[answers].said = texts(before.Items[0].Said())
			}
			for _, it := range b.Items {
				if it.Mark {
					out[answers].box += it.Text.String()
				}
			}
			answers++
		}
	}
	return out
}

// inRow reads one question of several: what was agreed, what is proposed, why with what
// was said, and a box under each answer.
func (o *oracle) inRow(b render.Block, it render.Item) proposal {
	p := proposal{was: it.Label.String() + " ", now: texts(it.Cells[1].Texts) + texts(it.Cells[2].Texts)}
	for _, l := range it.Cells[0].Texts {
		if strings.Contains(l.String(), ": ") { // a day, or "you said", before the answer
			p.said += l.String() + " "
		} else {
			p.was += l.String() + " "
		}
	}
	if !strings.HasPrefix(p.was, o.english("change."+it.Ref.Change+".name")) {
		o.wrong("%s in place of %s", p.was, it.Ref.Change)
	}
	for k, c := range it.Cells[3:] {
		for _, x := range c.Boxes {
			if x.Text.String() != b.Columns[k+4].String() {
				o.wrong("a box %q under %q", x.Text, b.Columns[k+4])
			}
			if !x.Mark {
				continue
			}
			if p.box += x.Text.String(); x.Text.String() == "No" {
				p.box += ", and I would rather:"
			}
		}
	}
	return p
}

func texts(list []render.Line) string {
	s := ""
	for _, l := range list {
		s += l.String() + " "
	}
	return s
}

// shades checks what the sheets say of the shade of each tooth, agreed and now; 0 is the mouth
// as a whole.
func (o *oracle) shades(a casefile.Agreement, told map[casefile.Tooth][2]string) {
	wanted := func(all, own casefile.Shade, allNote, ownNote string) string {
		shade, note := cmp.Or(own, all), ownNote
		if own == "" {
			note = cmp.Or(ownNote, allNote)
		}
		name := string(shade)
		if strings.HasPrefix(name, "bleach") {
			name = o.english("shade." + name)
		}
		switch {
		case name+note == "":
			return "No shade was chosen"
		case name == "":
			return note
		case note != "":
			return name + " / The laboratory calls it " + note + "."
		}
		return name
	}
	list := o.c.Teeth
	if len(list) == 0 {
		list = []casefile.ToothEntry{{}}
	}
	for _, e := range list {
		was := casefile.AgreedTooth{}
		if i := slices.IndexFunc(a.Teeth, func(x casefile.AgreedTooth) bool { return x.Tooth == e.Tooth }); i >= 0 {
			was = a.Teeth[i]
		}
		want := [2]string{wanted(a.TargetShade, was.TargetShade, a.ShadeNote, was.ShadeNote),
			wanted(o.c.TargetShade, e.TargetShade, o.c.ShadeNote, e.ShadeNote)}
		if want[0] == want[1] {
			want = [2]string{}
		}
		if told[e.Tooth] != want {
			o.wrong("tooth %d: shades %q, not %q", e.Tooth, told[e.Tooth], want)
		}
	}
}

func (o *oracle) prices(a casefile.Agreement, pl plan.Plan, told [2]string) {
	differs := a.Price != nil && pl.Money.Known && (a.Price.Minor != pl.Money.Total || a.Price.Currency != pl.Money.Currency)
	if differs != (told != [2]string{}) {
		o.wrong("the price differs: %v, told: %q", differs, told)
	}
	if !differs {
		return
	}
	for i, minor := range []int64{a.Price.Minor, pl.Money.Total} {
		digits := strings.Map(func(r rune) rune {
			if r >= '0' && r <= '9' {
				return r
			}
			return -1
		}, told[i])
		if strings.TrimLeft(digits, "0") != strings.TrimLeft(fmt.Sprint(minor), "0") {
			o.wrong("the price %q is not %d", told[i], minor)
		}
	}
}

// asked looks at the steps that were asked about and are not done: what was agreed
// to each, and what was said since it was asked.
func (o *oracle) asked(rows []proposal) {
	type question struct {
		at int
		e  casefile.Event
	}
	var open []question
	for i, e := range o.live {
		switch {
		case e.Kind == "asked":
			open = slices.DeleteFunc(open, func(q question) bool {
				return q.e.Change == e.Change && slices.Equal(q.e.Teeth, e.Teeth) && slices.Equal(q.e.Places, e.Places)
			})
			open = append(open, question{i, e})
		case e.Kind == "done" && e.Change != "":
			done := o.touched(e)
			open = slices.DeleteFunc(open, func(q question) bool {
				return q.e.Change == e.Change && !slices.ContainsFunc(o.touched(q.e), func(t casefile.Tooth) bool { return !slices.Contains(done, t) })
			})
		}
	}
	// A no that came before the question is not asked again.
	asked := map[int][]casefile.Place{}
	open = slices.DeleteFunc(open, func(q question) bool {
		for _, p := range o.where(q.e, o.w.base.Change(q.e.Change).Over == "contacts") {
			if o.truth.says(q.e.Change, p, q.at).answer != "no" {
				asked[q.at] = append(asked[q.at], p)
				continue
			}
			if !slices.ContainsFunc(o.d.Blocks, func(b render.Block) bool {
				return strings.HasPrefix(b.Text.String(), "You said no to this") && slices.ContainsFunc(b.Items, func(it render.Item) bool { return it.Ref.Change == q.e.Change })
			}) {
				o.wrong("%s on %s was refused, and it does not say so", q.e.Change, p)
			}
		}
		return len(asked[q.at]) == 0
	})
	if len(open) != len(rows) {
		o.wrong("%d steps are asked about and it tells %d", len(open), len(rows))
		return
	}
	a := o.agreed[len(o.agreed)-1]
	var all []casefile.Tooth
	for _, t := range a.Teeth {
		all = append(all, t.Tooth)
	}
	words := map[casefile.Answer]string{"agree": "Yes, go ahead", "ask": "Ask me first", "no": "No", "": "No answer yet"}
	boxes := map[casefile.Answer]string{"agree": "Yes, go ahead", "ask": "Not yet", "no": "No, and I would rather:"}
	for n, q := range open {
		was, now := rows[n].was, rows[n].now
		places := asked[q.at]
		for answer, s := range words {
			want := slices.ContainsFunc(places, func(p casefile.Place) bool { return o.counts(a.Answers, all, q.e.Change, p, true) == answer })
			if got := strings.Contains(was, s); got != want && !(s == "Ask me first" && got) && !(s == "No" && strings.Contains(was, "No answer")) {
				o.wrong("%s: agreed was %q: %v, it says %q", q.e.Change, s, want, was)
			}
		}
		said := map[casefile.Answer]bool{}
		for _, p := range places {
			last := casefile.Answer("")
			for _, e := range o.live[q.at+1:] {
				if e.Change == q.e.Change && slices.Contains(o.where(e, p.B != 0), p) {
					switch e.Kind {
					case "answered":
						last = e.Answer
					case "reopened":
						last = "ask"
					}
				}
			}
			said[last] = true
		}
		for answer, s := range map[casefile.Answer]string{"agree": ": yes", "no": ": no", "ask": ": ask me first"} {
			if strings.Contains(rows[n].said, s) != said[answer] {
				o.wrong("%s: the answer %q was given to it: %v, it says %q", q.e.Change, answer, said[answer], rows[n].said)
			}
			if crossed := len(said) == 1 && said[answer]; (rows[n].box == boxes[answer]) != crossed {
				o.wrong("%s: the answers %v were given to it, crossed is %q", q.e.Change, said, rows[n].box)
			}
		}
		rule := o.w.base.Change(q.e.Change)
		sized := q.e.SizeMM > 0 && !(rule.Removes == "nothing" && rule.Size == "") // a new date has no size
		if mm := fmt.Sprintf(" %g mm", q.e.SizeMM); strings.Contains(now, mm) != sized {
			o.wrong("%s: %g mm: %v, it says %q", q.e.Change, q.e.SizeMM, sized, now)
		}
		free := strings.Contains(now, "No charge") || strings.Contains(now, "costs you nothing")
		if f := q.e.Fee; f != nil && free != (f.Minor == 0) {
			o.wrong("%s: a price of %d, it says %q", q.e.Change, f.Minor, now)
		}
	}
}

package sheet

import (
	"reflect"
	"slices"
	"strings"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
	"plainleaf/app/plan"
)

// aftercare: page one is for a frightened reader on day 3; no survival numbers anywhere.
func (x *composer) aftercare() {
	x.phoneBox()
	if x.told("now") {
		x.h2("sheet.aftercare.normal")
		x.para(M("sheet.aftercare.normal-intro"), Ref{})
		x.aftercareLines("now")
	}
	for _, u := range urgencies {
		x.warnings(u)
	}
	x.add(Block{Kind: PageBreak})
	x.untilSeen()
	x.h2("sheet.common.your-teeth")
	x.add(x.treatments())
	x.unfinished()
	x.done()
	if x.told("first-days") {
		x.h2("sheet.aftercare.first-days")
		x.aftercareLines("first-days")
	}
	if x.told("first-weeks") {
		x.h2("sheet.aftercare.first-weeks")
		x.aftercareLines("first-weeks")
	}
	if x.hasVeneers() {
		x.h2("sheet.aftercare.life-veneers")
	} else {
		x.h2("sheet.aftercare.life")
	}
	x.aftercareLines("life")
	x.waitNames()
	x.code()
	if x.told("hygienist") { // nothing was placed: there is nothing to spare
		x.whole() // a card to hand over
		x.h2("sheet.aftercare.hygienist")
		x.para(M("sheet.aftercare.hygienist-intro"), Ref{})
		x.add(x.treatments())
		x.aftercareLines("hygienist")
	}
	x.add(Block{Kind: PageBreak, Keep: true})
	x.agreedVisits()
	x.h2("sheet.aftercare.upkeep")
	x.para(M("sheet.aftercare.upkeep-intro"), Ref{})
	b := Block{Kind: Schedule, Columns: []Text{M("sheet.schedule.when"), M("sheet.schedule.what")}}
	for i, u := range x.pl.Upkeep {
		name := M("upkeep." + u.Key + ".name")
		if i > 0 && x.pl.Upkeep[i-1].Date == u.Date { // one row a day
			it := &b.Items[len(b.Items)-1]
			it.More = append(it.More, name)
			it.Ref.Figures = append(it.Ref.Figures, u.Figures...)
			continue
		}
		b.Items = append(b.Items, Item{Label: M("sheet.schedule.around", "Date", Day{u.Date, false}), Text: name,
			Ref: Ref{Figures: slices.Clone(u.Figures)}})
	}
	if len(b.Items) > 0 {
		x.add(b)
	}
	x.sourceList()
}

// anyKind reports whether a tooth of this case has, or is meant to have, work of one of these kinds.
func (x *composer) anyKind(kinds ...string) bool {
	return slices.ContainsFunc(x.chosenRoutes(), func(r casefile.Route) bool {
		rule := x.b.Route(r)
		return rule != nil && slices.Contains(kinds, rule.Kind)
	})
}

// hasVeneers: porcelain shells are on, or meant for, a tooth of this case.
func (x *composer) hasVeneers() bool { return x.anyKind("ceramic", "replace") }

// made reports whether anything is made for the teeth before it is glued: whitening,
// filling material shaped in the mouth and what only comes first leave nothing to remake.
func (x *composer) made() bool { return x.hasVeneers() || x.anyKind("crown") }

// alsoMeant reports whether a tooth has a crown or filling material, to which the
// steps that are told of veneers apply as well.
func (x *composer) alsoMeant() bool { return x.anyKind("crown", "composite") }

// told reports whether a phase has lines that apply to this case.
func (x *composer) told(phase string) bool {
	return slices.ContainsFunc(x.pl.Aftercare, func(l plan.AftercareLine) bool { return l.Phase == phase })
}

// aftercareLines are the lines of one phase that apply to this case.
func (x *composer) aftercareLines(phase string) {
	var items []Item
	for _, l := range x.pl.Aftercare {
		if l.Phase != phase {
			continue
		}
		t := M("aftercare." + l.Key)
		for i, id := range l.Figures {
			if f, ok := x.b.Figure(id); ok {
				t.Args = append(t.Args, Arg{figureArg(i), Range{f.Low, f.High, 2}})
			}
		}
		it := Item{Text: t, Ref: Ref{Teeth: l.Teeth, Figures: l.Figures}}
		if len(l.Teeth) > 0 {
			it.More = append(it.More, N("sheet.common.on-teeth", len(l.Teeth), "Teeth", Teeth(l.Teeth)))
		}
		items = append(items, it)
	}
	x.list(items...)
}

// figureArg names the placeholder of the i-th figure of an aftercare line.
func figureArg(i int) string { return [...]string{"Range", "Number", "Total"}[min(i, 2)] }

var urgencies = []string{"emergency-now", "call-today", "call-soon", "mention-next-time"}

// untilSeen says what to do oneself for each sign, over the leaf from the signs.
func (x *composer) untilSeen() {
	var items []Item
	for _, u := range urgencies {
		for _, w := range x.pl.Warnings {
			if w.Urgency == u {
				items = append(items, Item{Label: M("warning." + w.Key + ".sign"), Text: M("warning." + w.Key + ".self"), Ref: Ref{Warning: w.Key}})
			}
		}
	}
	if len(items) > 0 {
		x.h2("sheet.aftercare.until-seen")
		x.list(items...)
	}
}

// code is the code on paper: Address is put in by who knows it.
func (x *composer) code() {
	if x.p.BaseAddress == "" {
		return
	}
	x.h2("sheet.aftercare.code-title")
	_, short, _ := strings.Cut(strings.TrimSuffix(x.p.BaseAddress, "/"), "://")
	x.add(Block{Kind: HandOver, Keep: true, Text: M("sheet.aftercare.code"), Items: []Item{{Text: M("sheet.aftercare.code-link", "Code", Code(short))}}})
}

// warnings are the signs of one urgency, those with the same deadline together.
func (x *composer) warnings(urgency string) {
	var items []Item
	var deadlines []Text
	for _, w := range x.pl.Warnings {
		if w.Urgency != urgency {
			continue
		}
		sign, t := M("warning."+w.Key+".sign"), within(w)
		i := slices.IndexFunc(deadlines, func(d Text) bool { return !t.IsZero() && reflect.DeepEqual(d, t) })
		if i >= 0 {
			items[i].More = append(items[i].More, sign)
			items[i].Ref.Figures = append(items[i].Ref.Figures, w.Figures...)
			items[i].Ref.Warning += " " + w.Key
			continue
		}
		deadlines = append(deadlines, t)
		items = append(items, Item{Label: t, Text: sign, Ref: Ref{Warning: w.Key, Figures: slices.Clone(w.Figures)}})
	}
	if len(items) == 0 {
		return
	}
	tone := "plain"
	switch urgency {
	case "emergency-now":
		tone = "emergency"
	case "call-today":
		tone = "urgent"
	case "call-soon":
		tone = "caution"
	}
	text := M("urgency."+urgency, "Phone", Phone(x.p.Telephone), "Emergency", Phone(x.emergencyNumber()))
	switch urgency {
	case "emergency-now":
		text = M("urgency."+urgency, "Emergency", Phone(x.emergencyNumber()))
	case "call-today":
		text = M("urgency."+urgency, "Phone", Phone(x.p.Telephone), "Emergency", Phone(x.p.EmergencyLine))
	case "call-soon":
		text = M("urgency."+urgency, "Phone", Phone(x.p.Telephone))
	case "mention-next-time":
		text = M("urgency." + urgency)
	}
	x.add(Block{Kind: Notice, Tone: tone, Text: text, Items: items, Keep: urgency != "call-soon"})
}

// emergencyNumber is the national number, or the practice's own line where none was entered.
func (x *composer) emergencyNumber() string {
	if x.p.EmergencyService != "" {
		return x.p.EmergencyService
	}
	return x.p.EmergencyLine
}

// within says how soon to call, in the figure's own unit, where the words of the
// urgency leave it open: a longer time would weaken "today" and "now", a shorter
// one contradict "at your next visit".
func within(w plan.Warning) Text {
	if !w.Within.Known() || w.Within.High == 0 || w.Unit == "" || w.Urgency != "call-soon" {
		return Text{}
	}
	id := "sheet.within." + string(w.Unit)
	if w.Within.Low == w.Within.High {
		return N(id, int(w.Within.High))
	}
	return M(id+".range", "Range", Range{w.Within.Low, w.Within.High, 0})
}

// done tells what was really done at the chair, beside what had been said before it.
func (x *composer) done() {
	var items []Item
	course := x.c.Course()
	for i, e := range x.c.History() {
		if e.Kind == casefile.DoneStep && e.Change != "" {
			course.Upto(i)
			items = append(items, x.doneItem(course, e))
		}
	}
	if len(items) > 0 {
		x.heading(3, M("sheet.aftercare.done"), Ref{})
		x.list(items...)
	}
}

// doneItem tells one step; before has the answers that held until then.
func (x *composer) doneItem(before *casefile.Course, e casefile.Event) Item {
	name, teeth := M("change."+e.Change+".name"), x.c.DoneTo(e)
	it := Item{Text: name, Ref: Ref{Change: e.Change, Teeth: teeth}}
	switch {
	case len(e.Places) > 0:
		it.Text = M("sheet.aftercare.done-between", "Text", Word{name}, "Teeth", Pairs(casefile.SortPlaces(e.Places)))
	case len(teeth) > 0:
		it.Text = N("sheet.aftercare.done-change", len(teeth), "Text", Word{name}, "Teeth", Teeth(teeth))
	}
	if e.SizeMM > 0 {
		it.More = append(it.More, M("sheet.aftercare.done-size", "Number", Decimal{e.SizeMM, 2}))
		if limit, ok := x.pl.Limit(e.Change); ok && e.SizeMM > limit {
			it.More = append(it.More, M("sheet.aftercare.done-over", "Number", Decimal{limit, 2}))
		}
	}
	it.More = append(it.More, x.saidBefore(before, e)...)
	if !e.On.IsZero() {
		it.More = append(it.More, M("sheet.schedule.on", "Date", Day{e.On, false}))
	}
	if e.Note != "" {
		it.More = append(it.More, Typed(e.Note))
	}
	return it
}

// saidBefore tells what the patient had said to a step that was done: a no, a yes
// in the chair, or that the answer was to be asked for and is not noted.
func (x *composer) saidBefore(before *casefile.Course, e casefile.Event) []Text {
	rule := x.b.Change(e.Change)
	if rule == nil || rule.TellOnly {
		return nil
	}
	return x.byPlace(x.c.PlacesOf(e, rule.OfContacts()), func(at casefile.Place) []Text {
		s := before.Standing(e.Change, at)
		asked := s.From == casefile.FromAsked
		switch {
		case s.Answer == casefile.No:
			return []Text{M("sheet.aftercare.done-no")}
		case s.Answer != casefile.Agree, rule.AlwaysAsk && !asked:
			return []Text{M("sheet.aftercare.done-unasked")}
		case !asked:
			return nil
		}
		out := []Text{M("sheet.aftercare.done-asked")}
		if !s.On.IsZero() {
			out[0] = M("sheet.aftercare.done-asked-on", "Date", Day{s.On, false})
		}
		if s.SizeMM > 0 && e.SizeMM > s.SizeMM {
			out = append(out, M("sheet.aftercare.done-over", "Number", Decimal{s.SizeMM, 2}))
		}
		return out
	})
}

// onPlaces says of which teeth, or between which, a sentence before it is.
func (x *composer) onPlaces(at []casefile.Place) Text {
	var teeth []casefile.Tooth
	var pairs []casefile.Place
	for _, p := range at {
		if p.Contact() {
			pairs = append(pairs, p)
		} else {
			teeth = append(teeth, p.A)
		}
	}
	if len(pairs) > 0 {
		return M("sheet.common.on-pairs", "Teeth", Pairs(casefile.SortPlaces(pairs)))
	}
	return N("sheet.common.on-teeth", len(teeth), "Teeth", Teeth(teeth))
}

// tryIn asks for a yes to colour, shape and length before anything is bonded.
func (x *composer) tryIn() {
	over := x.allGlued()
	if !over {
		x.opening(M("sheet.tryin.intro"))
	}
	x.h2("sheet.common.your-teeth")
	x.teeth()
	x.add(x.treatments())
	if over {
		x.states()
	} else {
		x.h2("sheet.tryin.look")
		x.list(Item{Text: M("sheet.tryin.dry")}, Item{Text: M("sheet.tryin.cement")}, Item{Text: M("sheet.tryin.mirror")})
	}
	if x.c.TargetShade != "" {
		x.para(M("sheet.tryin.shade-planned", "Shade", Code(x.c.TargetShade)), Ref{})
	}
	x.agreedAnswers()
	x.who()
	x.waitNames()
	sittings := x.sittings()
	today := todays(sittings)
	for i, t := range sittings { // each on a day of its own, with its own signatures
		x.whole()
		x.heading(3, N("sheet.tryin.sitting", t.Sitting), Ref{Teeth: t.Teeth})
		if !x.allTeeth(t.Teeth) {
			x.para(N("sheet.common.on-teeth", len(t.Teeth), "Teeth", Teeth(t.Teeth)), Ref{Teeth: t.Teeth})
		}
		if over || noted(t) && i != today && (t.Date.IsZero() || t.Date.Before(sittings[today].Date) || !noted(sittings[today])) {
			x.saidEarlier(t)
			continue
		}
		for _, part := range parts {
			x.add(x.verdict(t, part))
		}
		x.para(M("sheet.tryin.notes"), Ref{})
		if t.Note != "" {
			x.para(Typed(t.Note), Ref{})
		} else {
			x.lines(2)
		}
		b := signatures(x.signers())
		if i != today {
			b.Style = OtherDay
		}
		if len(sittings) > 1 {
			b.Text = N("sheet.tryin.sitting", t.Sitting)
		}
		x.add(b)
	}
	x.phoneBox()
	x.sourceList()
}

// verdict is the two boxes for one part. Where the teeth of the sitting differ, each
// box names its own.
func (x *composer) verdict(t casefile.TryIn, part string) Block {
	yes, no := verdicts(x.c, t, part)
	b := Block{Kind: Tick, Style: TwoColumns, Text: M("sheet.tryin." + part), Keep: true, Items: []Item{
		{Text: M("sheet.tryin.approved"), Mark: len(yes) > 0}, {Text: M("sheet.tryin.change"), Mark: len(no) > 0}}}
	for i, teeth := range [][]casefile.Tooth{yes, no} {
		b.Items[i].More = x.onSome(t, teeth)
	}
	return b
}

// allGlued reports whether every tooth of the case has been glued, so that what is
// seen cannot be changed any more and nobody signs for it.
func (x *composer) allGlued() bool {
	teeth := x.c.ToothList()
	return len(teeth) > 0 && !slices.ContainsFunc(x.pl.ToothState, func(s plan.ToothState) bool {
		return s.State != casefile.BondedState && slices.Contains(teeth, s.Tooth)
	})
}

// parts is what a patient looks at.
var parts = []string{"shade", "shape", "length"}

// verdicts are the teeth of a sitting whose part was approved there, and those with a
// change wanted.
func verdicts(c casefile.Case, t casefile.TryIn, part string) (yes, no []casefile.Tooth) {
	for _, tooth := range c.Meant(t.Teeth) {
		approved, change := c.Approval(tooth, t.Sitting)
		switch {
		case slices.Contains(approved, part):
			yes = append(yes, tooth)
		case slices.Contains(change, part):
			no = append(no, tooth)
		}
	}
	return yes, no
}

// onSome names the teeth of a sitting that are meant, unless all are.
func (x *composer) onSome(t casefile.TryIn, teeth []casefile.Tooth) []Text {
	if len(teeth) == 0 || len(teeth) == len(x.c.Meant(t.Teeth)) {
		return nil
	}
	return []Text{N("sheet.common.on-teeth", len(teeth), "Teeth", Teeth(teeth))}
}

// noted reports whether anything was said at a sitting.
func noted(t casefile.TryIn) bool { return t.Shade+t.Shape+t.Length+t.Note != "" }

// todays is the sitting that is signed now: one in which nothing is noted yet, the
// first of them; else that with the latest day, the last of those.
func todays(sittings []casefile.TryIn) int {
	if i := slices.IndexFunc(sittings, func(t casefile.TryIn) bool { return !noted(t) }); i >= 0 {
		return i
	}
	today := 0
	for i, t := range sittings {
		if !t.Date.Before(sittings[today].Date) {
			today = i
		}
	}
	return today
}

// saidEarlier tells what was said at a sitting of an earlier day. It was signed then
// or was not; either way nobody signs it a second time.
func (x *composer) saidEarlier(t casefile.TryIn) {
	b := Block{Kind: Facts, Style: RunIn, Keep: true, Text: M("sheet.tryin.earlier-undated")}
	if !t.Date.IsZero() {
		b.Text = M("sheet.tryin.earlier", "Date", Day{t.Date, false})
	}
	for _, part := range parts {
		label := M("sheet.tryin." + part)
		yes, no := verdicts(x.c, t, part)
		if len(yes) > 0 {
			b.Items = append(b.Items, Item{Label: label, Text: M("sheet.tryin.approved"), More: x.onSome(t, yes)})
		}
		if len(no) > 0 {
			b.Items = append(b.Items, Item{Label: label, Text: M("sheet.tryin.change"), More: x.onSome(t, no)})
		}
		if len(yes)+len(no) == 0 {
			b.Items = append(b.Items, Item{Label: label, Text: M("sheet.tryin.not-noted")})
		}
	}
	x.add(b)
	if t.Note != "" {
		x.para(M("sheet.tryin.notes"), Ref{})
		x.para(Typed(t.Note), Ref{})
	}
}

// sittings are what was noted at the try-in, with the next one where a new day has
// come and teeth still wait for theirs; while nothing is noted, the delivery sittings
// as planned, to be filled in by hand.
func (x *composer) sittings() []casefile.TryIn {
	var out []casefile.TryIn
	if out = x.c.TryIns(); len(out) > 0 {
		if next := x.nextSitting(); len(next.Teeth) > 0 {
			out = append(out, next)
		}
		return out
	}
	for i, v := range x.pl.Deliveries() {
		out = append(out, casefile.TryIn{Sitting: i + 1, Teeth: casefile.SortTeeth(v.Teeth)})
	}
	if len(out) == 0 {
		return []casefile.TryIn{{Sitting: 1, Teeth: x.c.ToothList()}}
	}
	return out
}

// nextSitting is the one after all that were noted, when each of those has a day and
// that lies before this sheet's: with the teeth that were to be looked at by then and
// were not, or that a change was asked for.
func (x *composer) nextSitting() casefile.TryIn {
	last, seen := 0, []casefile.Tooth(nil)
	for _, t := range x.c.TryIns() {
		if t.Date.IsZero() || !t.Date.Before(x.c.Issued) {
			return casefile.TryIn{}
		}
		last = max(last, t.Sitting)
		seen = append(seen, x.c.Meant(t.Teeth)...)
	}
	next := casefile.TryIn{Sitting: last + 1, Teeth: x.c.LookAgain(x.c.Issued)}
	for i, v := range x.pl.Deliveries() {
		if i > last && len(next.Teeth) > 0 {
			break
		}
		for _, t := range v.Teeth {
			if !slices.Contains(seen, t) {
				next.Teeth = append(next.Teeth, t)
			}
		}
	}
	next.Teeth = casefile.SortTeeth(next.Teeth)
	return next
}

// agreedAnswers repeats what was agreed, and what was said in the chair since.
func (x *composer) agreedAnswers() {
	if x.c.Agreed == nil {
		x.para(M("sheet.tryin.no-agreement"), Ref{})
		return
	}
	x.h2("sheet.sign.answers-title")
	x.para(x.restsOn(), Ref{})
	var said []saying
	for _, f := range x.pl.InForce {
		if f.TellOnly {
			continue
		}
		i := slices.IndexFunc(said, func(s saying) bool { return s.key == f.Key && s.answer == f.Answer })
		if i < 0 {
			i, said = len(said), append(said, saying{key: f.Key, answer: f.Answer})
		}
		said[i].teeth = casefile.SortTeeth(append(said[i].teeth, f.Teeth...))
		said[i].places = casefile.SortPlaces(append(said[i].places, f.Contacts...))
	}
	x.answersByWord(said)
}

// restsOn names the agreement that a sheet rests on.
func (x *composer) restsOn() Text {
	a := x.c.Agreed
	return M("sheet.changes.rests-"+a.Way, "Date", Day{a.Date, false}, "Code", Code(a.Code))
}

// change is one page: only the difference from what was agreed. The case has an
// agreement; see produce.Docs.
func (x *composer) change() {
	x.para(M("sheet.changes.intro"), Ref{})
	x.para(x.restsOn(), Ref{})
	b := Block{Kind: Table, Style: Compared, Text: M("sheet.changes.difference"), Columns: []Text{M("sheet.changes.col-what"), M("sheet.changes.col-agreed"), M("sheet.changes.col-now")}, Keep: true}
	b.Items = append(append(x.otherTreatment(), x.asked()...), x.otherWhole()...)
	if len(b.Items) > 0 {
		x.add(b)
	}
	x.para(M("sheet.changes.new"), Ref{})
	if why := x.reasons(); len(why) > 0 {
		x.list(why...)
	} else {
		x.lines(2)
	}
	x.states()
	x.done()
	x.h2("sheet.changes.choices")
	switch {
	case !x.untouched():
		x.para(M("sheet.changes.no-way-back"), Ref{})
	case x.begun(): // from a tooth opposite, which needs no cover
		x.para(M("sheet.changes.taken"), Ref{})
	default:
		x.para(M("sheet.changes.still-free"), Ref{})
	}
	x.add(Block{Kind: Tick, Keep: true, Items: []Item{{Text: M("sheet.changes.go-on")}, {Text: M("sheet.changes.as-planned")}, {Text: M("sheet.changes.stop")}, {Text: M("sheet.changes.later")}}})
	if !slices.ContainsFunc(x.c.History(), func(e casefile.Event) bool { return e.Kind == casefile.Asked && e.Fee != nil }) {
		x.add(Block{Kind: Sign, Items: []Item{{Label: M("sheet.changes.fee")}}})
	}
	x.waitNames()
	x.who()
	x.para(M("sheet.changes.sitting-up"), Ref{})
	x.signatures(x.signers()...)
	x.phoneBox()
	x.sourceList()
}

// begun reports whether anything was done to a tooth that does not grow back, or
// glued on.
func (x *composer) begun() bool {
	return !x.untouched() ||
		slices.ContainsFunc(x.c.Done(), func(e casefile.Event) bool {
			rule := x.b.Change(e.Change)
			return rule != nil && rule.TakesAny()
		})
}

// untouched reports whether no tooth was shaped or has anything glued on.
func (x *composer) untouched() bool {
	return !slices.ContainsFunc(x.pl.ToothState, func(s plan.ToothState) bool { return s.State != casefile.Untouched })
}

// otherTreatment sets what was agreed for each tooth beside what the case has now.
func (x *composer) otherTreatment() []Item {
	was := *x
	was.c = x.c.Agreed.Put(x.c)
	teeth := casefile.SortTeeth(append(was.c.ToothList(), x.c.ToothList()...))
	if len(was.c.Teeth) == 0 || len(x.c.Teeth) == 0 {
		teeth = append(teeth, 0) // the mouth as a whole
	}
	var out []Item
	var last [2][]Text
	for _, t := range teeth {
		a, b := was.gets(t), x.gets(t)
		if reflect.DeepEqual(a, b) {
			continue
		}
		if len(a) == 0 {
			a = []Text{M("sheet.changes.not-in")}
		}
		if len(b) == 0 {
			b = []Text{M("sheet.changes.left-out")}
		}
		if n := len(out); n > 0 && t != 0 && reflect.DeepEqual(last, [2][]Text{a, b}) {
			out[n-1].Ref.Teeth = append(out[n-1].Ref.Teeth, t)
			continue
		}
		last = [2][]Text{a, b}
		it := Item{Cells: []Cell{{a}, {b}}}
		if t != 0 {
			it.Ref.Teeth = []casefile.Tooth{t}
		}
		out = append(out, it)
	}
	for i := range out {
		out[i].Label = x.teethOrAll(out[i].Ref.Teeth)
	}
	return out
}

// gets is what one tooth gets and what follows it; 0 is the mouth as a whole, where
// the case names no teeth.
func (x *composer) gets(t casefile.Tooth) []Text {
	for _, g := range x.c.Groups() {
		if !slices.Contains(g.Teeth, t) && (t != 0 || len(g.Teeth) > 0) {
			continue
		}
		then := x.then(g.Route)
		if then == "" {
			return []Text{x.treatment(g.Route, g.Material)}
		}
		return []Text{M("route." + string(g.Route) + ".name"), M("sheet.changes.then", "Text", Word{x.treatment(then, g.Material)})}
	}
	return nil
}

// otherWhole sets shade and price beside each other where they differ.
func (x *composer) otherWhole() []Item {
	var out []Item
	a := x.c.Agreed
	if a.TargetShade != x.c.TargetShade {
		shade := func(s casefile.Shade) []Cell {
			if s == "" {
				return []Cell{{[]Text{M("sheet.changes.shade-none")}}}
			}
			return []Cell{{[]Text{M("sheet.changes.shade-is", "Shade", Code(s))}}}
		}
		out = append(out, Item{Label: M("sheet.changes.shade"), Cells: append(shade(a.TargetShade), shade(x.c.TargetShade)...)})
	}
	m := x.pl.Money
	if p := a.Price; p != nil && m.Known && (p.Minor != m.Total || p.Currency != m.Currency) {
		out = append(out, Item{Label: M("sheet.changes.price"), Cells: []Cell{
			{[]Text{M("sheet.money.amount", "Amount", Amount{p.Minor, p.Currency})}}, {[]Text{M("sheet.money.amount", "Amount", Amount{m.Total, m.Currency})}}}})
	}
	return out
}

// question is a step that was asked about in the chair, with its place in the history.
type question struct {
	casefile.Event
	number int
}

// pending are the steps that were asked about in the chair and are not done.
func (x *composer) pending() []question {
	var out []question
	for i, e := range x.c.History() {
		switch {
		case e.Kind == casefile.Asked:
			out = append(slices.DeleteFunc(out, func(o question) bool {
				return o.Change == e.Change && slices.Equal(o.Teeth, e.Teeth) && slices.Equal(o.Places, e.Places)
			}), question{e, i})
		case e.Kind == casefile.DoneStep && e.Change != "":
			done := x.c.DoneTo(e)
			out = slices.DeleteFunc(out, func(o question) bool {
				return o.Change == e.Change && !slices.ContainsFunc(x.c.DoneTo(o.Event), func(t casefile.Tooth) bool { return !slices.Contains(done, t) })
			})
		}
	}
	return out
}

// asked sets the answer that was agreed beside what is asked now, and what was said
// to it.
func (x *composer) asked() []Item {
	var out []Item
	replies := x.replies()
	for _, e := range x.pending() {
		rule := x.b.Change(e.Change)
		if rule == nil {
			continue
		}
		x.s.Must.Changes = append(x.s.Must.Changes, e.Change)
		teeth := x.c.Meant(e.Teeth)
		if len(e.Places) > 0 {
			teeth = nil
		}
		at := x.c.PlacesOf(e.Event, rule.OfContacts())
		was := x.byPlace(at, func(p casefile.Place) []Text { return []Text{answerWord(x.c.Beforehand(e.Change, p))} })
		told := repliedTo(e, replies)
		now := append(x.proposal(e.Event, rule), x.byPlace(at, func(p casefile.Place) []Text { return told[p] })...)
		name := M("sheet.sign.change", "Text", Word{M("change." + e.Change + ".name")}, "From", Word{x.where(teeth, casefile.SortPlaces(e.Places))})
		out = append(out, Item{Label: name, Cells: []Cell{{was}, {now}}, Ref: Ref{Change: e.Change, Teeth: x.c.DoneTo(e.Event)}})
	}
	return out
}

// proposal tells the size and the price of what is asked, and whether it can be undone.
func (x *composer) proposal(e casefile.Event, rule *evidence.Change) []Text {
	var out []Text
	if e.SizeMM > 0 {
		out = append(out, M("sheet.changes.size", "Number", Decimal{e.SizeMM, 2}))
	}
	out = append(out, M("sheet.change.undo-"+rule.Reversible))
	if f := e.Fee; f != nil && f.Minor > 0 {
		out = append(out, M("sheet.changes.fee-is", "Amount", Amount{f.Minor, f.Currency}))
	} else if f != nil {
		out = append(out, M("sheet.changes.fee-none"))
	}
	return out
}

// reply is what was said in the chair to a step, with its place in the history.
type reply struct {
	casefile.Event
	number int
	at     []casefile.Place
}

// replies lists what was said in the chair to each step.
func (x *composer) replies() []reply {
	var out []reply
	for i, e := range x.c.History() {
		if rule := x.b.Change(e.Change); rule != nil && (e.Kind == casefile.Answered || e.Kind == casefile.Reopened) {
			out = append(out, reply{e, i, x.c.PlacesOf(e, rule.OfContacts())})
		}
	}
	return out
}

// repliedTo tells what was answered to a question since it was asked, the last of it, by
// place.
func repliedTo(q question, replies []reply) map[casefile.Place][]Text {
	out := map[casefile.Place][]Text{}
	for _, e := range replies {
		if e.Change != q.Change || e.number < q.number {
			continue
		}
		word := M("answer.said." + string(e.Answer))
		if e.Kind == casefile.Reopened {
			word = M("answer.said.ask")
		}
		t := M("sheet.changes.said", "Text", Word{word})
		if !e.On.IsZero() {
			t = M("sheet.changes.said-on", "Text", Word{word}, "Date", Day{e.On, false})
		}
		for _, p := range e.at {
			out[p] = []Text{t}
		}
	}
	return out
}

// byPlace tells something of each place, of which places where it is not the same of all.
func (x *composer) byPlace(at []casefile.Place, tell func(casefile.Place) []Text) []Text {
	var told [][]Text
	var places [][]casefile.Place
	for _, p := range at {
		t := tell(p)
		i := slices.IndexFunc(told, func(o []Text) bool { return reflect.DeepEqual(o, t) })
		if i < 0 {
			i, told, places = len(told), append(told, t), append(places, nil)
		}
		places[i] = append(places[i], p)
	}
	var out []Text
	for i, t := range told {
		if out = append(out, t...); len(t) > 0 && len(told) > 1 {
			out = append(out, x.onPlaces(places[i]))
		}
	}
	return out
}

// reasons are the dentist's words on what is asked.
func (x *composer) reasons() []Item {
	var out []Item
	for _, e := range x.pending() {
		if e.Note != "" {
			out = append(out, Item{Text: Typed(e.Note)})
		}
	}
	return out
}

// unfinished tells where each tooth stands as soon as what was noted is not that all
// are finished: a tooth that is only shaped goes home under its planned route otherwise.
func (x *composer) unfinished() {
	begun := x.begun()
	if begun && slices.ContainsFunc(x.pl.ToothState, func(s plan.ToothState) bool { return s.State != casefile.BondedState }) {
		x.states()
	}
}

// states tells where each tooth stands now, teeth in the same state together.
func (x *composer) states() {
	in := map[string][]casefile.Tooth{}
	var order []string
	for _, s := range x.pl.ToothState {
		if !slices.Contains(order, s.State) {
			order = append(order, s.State)
		}
		in[s.State] = append(in[s.State], s.Tooth)
	}
	if len(order) == 0 {
		x.para(M("sheet.common.whole-mouth"), Ref{})
		return
	}
	x.heading(3, M("sheet.changes.state"), Ref{})
	b := Block{Kind: Facts, Style: RunIn}
	for _, s := range order {
		b.Items = append(b.Items, Item{Label: x.teethOrAll(in[s]), Text: M("tooth-state." + s), Ref: Ref{Teeth: in[s]}})
	}
	x.add(b)
}

package sheet

import (
	"slices"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
	"plainleaf/app/plan"
)

// Compose builds one sheet for a checked case and its plan. The kind must be one of Kinds.
func Compose(kind Kind, c casefile.Case, p casefile.Practice, pl plan.Plan, b *evidence.Base) Sheet {
	// A step that cannot come up on its tooth's route is asked of nobody; the answer
	// to it stays in the case and counts again on a route that has the step.
	pl.ChairChanges = slices.DeleteFunc(slices.Clone(pl.ChairChanges), func(ch plan.ChairChange) bool { return ch.Rests })
	c = plan.Settled(c, p, b)
	if c.Agreed != nil && (kind == TryIn || kind == Aftercare) {
		c = c.Agreed.Put(c) // Contradictions has compared the two
	}
	p.EmergencyService = b.EmergencyService(p)
	x := &composer{c: c, p: p, pl: pl, b: b}
	x.s = Sheet{
		Kind:      kind,
		Title:     M(titles[kind]),
		Issued:    c.Issued,
		CaseID:    c.ID,
		Revision:  c.Revision,
		Numbering: c.Numbering,
		Demo:      p.Demo,
		Content:   b.Version,
		Practice: Practice{Name: p.Name, Address: p.Address, Telephone: p.Telephone,
			EmergencyLine: p.EmergencyLine, EmergencyService: p.EmergencyService, Email: p.Email},
		Must: Must{Teeth: c.ToothList(), Phones: []string{p.Telephone, p.EmergencyLine}},
	}
	switch kind {
	case Options:
		x.options()
	case Wait:
		x.wait()
	case Consent:
		x.consent()
	case TryIn:
		x.tryIn()
	case Change:
		x.change()
	case Aftercare:
		x.aftercare()
	}
	return x.s
}

var titles = map[Kind]string{
	Options: "sheet.options.title", Wait: "sheet.wait.title", Consent: "sheet.consent.title",
	TryIn: "sheet.tryin.title", Change: "sheet.changes.title", Aftercare: "sheet.aftercare.title",
}

// composer collects blocks; one exists for the making of one sheet.
type composer struct {
	c  casefile.Case
	p  casefile.Practice
	pl plan.Plan
	b  *evidence.Base
	s  Sheet

	sources []string // source ids in the order of first citation

	// Care that comes first, as far as the sheet has said it: its risks, what is done when
	// one comes up, and what may follow it.
	toldCare, toldRisk, follows map[string]bool
}

func (x *composer) add(b Block) { x.s.Blocks = append(x.s.Blocks, b) }

func (x *composer) heading(level int, t Text, ref Ref) {
	x.add(Block{Kind: Heading, Level: level, Text: t, Ref: ref})
}

func (x *composer) h2(id string) { x.heading(2, M(id), Ref{}) }

func (x *composer) para(t Text, ref Ref) { x.add(Block{Kind: Paragraph, Text: t, Ref: ref}) }

func (x *composer) list(items ...Item) {
	if len(items) > 0 {
		x.add(Block{Kind: List, Items: items})
	}
}

// flow is one paragraph of several sentences.
func (x *composer) flow(it Item) { x.add(Block{Kind: List, Style: InLine, Items: []Item{it}}) }

// whole begins what is read in one: it ends a sheet, or is given to somebody else.
func (x *composer) whole() { x.add(Block{Kind: PageBreak, Style: Whole}) }

func (x *composer) lines(n int) { x.add(Block{Kind: Lines, Count: n, Keep: true}) }

// cite registers the sources of those figures that may be printed with a
// citation and returns their numbers in the source list of this sheet.
func (x *composer) cite(figures []string) []int {
	var out []int
	for _, id := range figures {
		f, ok := x.b.Figure(id)
		if !ok || !f.Citable() {
			continue
		}
		for _, n := range x.named(f.Source) {
			if !slices.Contains(out, n) {
				out = append(out, n)
			}
		}
	}
	return out
}

// named registers sources and returns their numbers in the source list of this sheet.
func (x *composer) named(ids []string) (out []int) {
	for _, s := range ids {
		if !slices.Contains(x.sources, s) {
			x.sources = append(x.sources, s)
		}
		out = append(out, slices.Index(x.sources, s)+1)
	}
	return out
}

func (x *composer) ref(figures []string) Ref {
	return Ref{Figures: figures, Sources: x.cite(figures)}
}

// teeth names the teeth of the case and shows them on a chart.
func (x *composer) teeth() {
	ts := x.c.ToothList()
	if len(ts) == 0 {
		x.para(M("sheet.common.whole-mouth"), Ref{})
		return
	}
	b := chart(ts)
	if x.s.Kind == Options || x.s.Kind == Wait { // the first sheets explain the numbers
		b.Items = []Item{{Text: M("sheet.common.numbering." + x.numbering())}}
	}
	x.add(b)
}

func (x *composer) numbering() string {
	if x.c.Numbering == "" {
		return "fdi"
	}
	return x.c.Numbering
}

// treatments says which way is meant for which teeth.
func (x *composer) treatments() Block {
	b := Block{Kind: Facts, Style: RunIn, Keep: true}
	for _, g := range x.c.Groups() {
		it := Item{Label: x.teethOrAll(g.Teeth), Text: x.treatment(g.Route, g.Material), Ref: Ref{Teeth: g.Teeth, Route: string(g.Route)}}
		then := x.then(g.Route)
		if then != "" { // what is placed is made of the material
			it.Text = M("route." + string(g.Route) + ".name")
		}
		b.Items = append(b.Items, it)
		if then != "" {
			b.Items = append(b.Items, Item{Label: x.afterThat(g.Teeth), Text: x.treatment(then, g.Material), Ref: Ref{Teeth: g.Teeth, Route: string(then)}})
		}
	}
	return b
}

// treatment names a route, with the material where there is a choice of it.
func (x *composer) treatment(r casefile.Route, m casefile.Material) Text {
	if rule := x.b.Route(r); rule == nil || len(rule.Materials) < 2 || !slices.Contains(rule.Materials, m) {
		m = ""
	}
	return routeWithMaterial(r, m)
}

// then is what follows a route on its teeth, "" for nothing.
func (x *composer) then(r casefile.Route) casefile.Route {
	switch {
	case r.First() && x.c.Then == "" && !x.c.Route.First() && x.c.Route.NeedsTeeth():
		return x.c.Route
	case r.First(), r == casefile.ReplaceVeneers, r == x.c.Route:
		return x.c.Then
	}
	return ""
}

func (x *composer) teethOrAll(ts []casefile.Tooth) Text {
	if len(ts) == 0 {
		return M("sheet.common.all-teeth")
	}
	return N("sheet.common.tooth-list", len(ts), "Teeth", Teeth(ts))
}

// afterThat introduces the next step for some teeth; it names them where others have
// another step.
func (x *composer) afterThat(ts []casefile.Tooth) Text {
	if len(ts) == 0 || len(x.c.Groups()) < 2 {
		return M("sheet.common.after-that")
	}
	return M("sheet.common.after-that-on", "Text", Word{x.teethOrAll(ts)})
}

func routeWithMaterial(r casefile.Route, m casefile.Material) Text {
	name := M("route." + string(r) + ".name")
	if m == "" {
		return name
	}
	return M("sheet.common.route-of-material", "Route", Word{name}, "Material", Word{M("material." + string(m) + ".name")})
}

// waitNames only names what is to be settled first, on sheets whose subject is another.
func (x *composer) waitNames() {
	var items []Item
	for _, w := range x.pl.WaitFor {
		x.s.Must.Waits = append(x.s.Must.Waits, w.Key)
		it := Item{Text: M("finding." + w.Key + ".name"), Ref: Ref{Wait: w.Key, Teeth: w.Teeth}}
		if w.Private {
			it = Item{Text: M("sheet.wait.talk"), Ref: Ref{Wait: w.Key}}
		}
		items = append(items, it)
	}
	if len(items) == 0 {
		return
	}
	lead := "sheet.wait.still"
	if x.c.Stage == casefile.Delivered {
		lead = "sheet.wait.before" // gluing no longer waits for it
	}
	x.add(Block{Kind: List, Style: InLine, Text: M(lead), Items: items})
}

// dateNote says what the dates of visits rest on.
func (x *composer) dateNote() string {
	id := "sheet.schedule.practice-figures"
	if x.ownSchedule() {
		id += "-own"
	}
	if slices.ContainsFunc(x.pl.Visits, func(v plan.Visit) bool { return v.Agreed }) {
		id += "-agreed"
	}
	return id
}

// ownSchedule reports whether the practice has put figures of its own in place of
// the habits of the trade that the visits rest on.
func (x *composer) ownSchedule() bool {
	return slices.ContainsFunc(x.pl.Figures, func(f plan.FigureUse) bool {
		return f.Replaced && slices.ContainsFunc(x.pl.Visits, func(v plan.Visit) bool { return slices.Contains(v.Figures, f.ID) })
	})
}

// agreedDay is the day of a visit that is fixed, with its hour where one is agreed.
func agreedDay(v plan.Visit, weekday bool) Text {
	if v.Time == "" {
		return M("sheet.schedule.on", "Date", Day{v.Likely, weekday})
	}
	return M("sheet.schedule.on-at", "Date", Day{v.Likely, weekday}, "Time", Clock(v.Time))
}

// agreedNotes says that a day is agreed, and what speaks against it.
func agreedNotes(v plan.Visit) []Text {
	out := []Text{M("sheet.schedule.agreed")}
	for _, x := range v.Conflicts {
		t := M("agreed." + x.Kind)
		if !x.Date.IsZero() {
			t = M(t.ID, "Date", Day{x.Date, false})
		}
		out = append(out, t)
	}
	return out
}

// agreedVisits lists the agreed days to come, for who is being treated still.
func (x *composer) agreedVisits() {
	b := Block{Kind: Schedule, Columns: []Text{M("sheet.schedule.when"), M("sheet.schedule.what")}}
	for _, v := range x.pl.Visits {
		if v.Agreed && !v.Likely.Before(x.c.Issued) {
			b.Items = append(b.Items, Item{Label: agreedDay(v, true), Text: x.visitName(v.Purpose), More: agreedNotes(v), Ref: Ref{Figures: v.Figures}})
		}
	}
	if len(b.Items) > 0 {
		x.h2("sheet.schedule.title")
		x.add(b)
	}
}

// hold says what is not settled yet does to the dates.
func (x *composer) hold() {
	switch {
	case x.pl.OnHold:
		x.para(M("sheet.schedule.hold"), Ref{})
	case len(x.pl.WaitFor) > 0:
		x.para(M("sheet.schedule.moves"), Ref{})
	}
}

// phoneBox is the same on every sheet.
func (x *composer) phoneBox() {
	x.add(Block{Kind: Phones, Text: M("sheet.phones.title"), Keep: true, Items: x.phones()})
}

// phones are the numbers to call.
func (x *composer) phones() []Item {
	out := []Item{
		{Label: M("sheet.phones.day"), Text: M("sheet.phones.number", "Phone", Phone(x.p.Telephone))},
		{Label: M("sheet.phones.out-of-hours"), Text: M("sheet.phones.number", "Phone", Phone(x.p.EmergencyLine))},
	}
	if x.p.EmergencyService != "" {
		out = append(out, Item{Label: M("sheet.phones.emergency"), Text: M("sheet.phones.number", "Phone", Phone(x.p.EmergencyService))})
	}
	return out
}

func (x *composer) citations() Block {
	b := Block{Kind: Sources, Text: M("sheet.about.sources")}
	for _, id := range x.sources {
		s, _ := x.b.Source(id)
		b.Items = append(b.Items, Item{Text: Text{Verbatim: s.Short, Lang: "en"}})
	}
	return b
}

func mustDate(s string) casefile.Date {
	d, _ := casefile.ParseDate(s) // the loader has checked it
	return d
}

// ours is a text of the practice file, in the practice's own language.
func (x *composer) ours(s string) Text { return Text{Verbatim: s, Lang: x.p.Locale} }

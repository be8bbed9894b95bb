package sheet

import (
	"math"
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
	if c.Agreed != nil && (kind == TryIn || kind == Aftercare) {
		c = c.Agreed.Put(c) // Contradictions has compared the two
	}
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
		for _, s := range f.Source {
			i := slices.Index(x.sources, s)
			if i < 0 {
				i = len(x.sources)
				x.sources = append(x.sources, s)
			}
			if !slices.Contains(out, i+1) {
				out = append(out, i+1)
			}
		}
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
	b := Block{Kind: Chart, Text: M("sheet.common.chart", "Teeth", Teeth(ts)), Ref: Ref{Teeth: ts}, Keep: true}
	if x.s.Kind == Options || x.s.Kind == Wait { // the first sheets explain the numbers
		b.Items = []Item{{Text: M("sheet.common.numbering." + x.numbering())}}
	}
	x.add(b)
}

// signatures are the lines to sign on, two beside each other.
func (x *composer) signatures(labels ...string) { x.add(signatures(labels)) }

func signatures(labels []string) Block {
	b := Block{Kind: Sign, Style: TwoColumns, Keep: true}
	for _, l := range labels {
		b.Items = append(b.Items, Item{Label: M("sheet.sign." + l)})
	}
	return b
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

// afterThat leads to what follows on the teeth of a line; where other teeth stand
// beside them it names its own.
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

// findings tells what is special about this mouth, private findings left out.
func (x *composer) findings() {
	var items []Item
	for _, f := range x.pl.Findings {
		if f.Private {
			continue
		}
		it := Item{Label: M("finding." + f.Key + ".name"), Text: M("finding." + f.Key + ".say"),
			Ref: Ref{Finding: f.Key, Teeth: f.Teeth}}
		if len(f.Teeth) > 0 {
			it.More = append(it.More, N("sheet.common.on-teeth", len(f.Teeth), "Teeth", Teeth(f.Teeth)))
		}
		for _, a := range f.Actions {
			it.More = append(it.More, M("action."+a))
		}
		items = append(items, it)
	}
	if len(items) > 0 {
		x.h2("sheet.common.mouth")
		x.add(Block{Kind: Facts, Style: RunIn, Items: items})
	}
}

// waits names everything that should be settled first. Private findings stand as one neutral line.
func (x *composer) waits() {
	for _, w := range x.pl.WaitFor {
		x.s.Must.Waits = append(x.s.Must.Waits, w.Key)
		ref := Ref{Wait: w.Key, Teeth: w.Teeth}
		if w.Private {
			x.add(Block{Kind: Notice, Tone: "plain", Text: M("wait." + plan.TalkAgain), Ref: Ref{Wait: w.Key}, Keep: true})
			continue
		}
		it := Item{Label: M("finding." + w.Key + ".name"), Text: M("waitfor." + w.Key), Ref: ref}
		if len(w.Teeth) > 0 {
			it.More = append(it.More, N("sheet.common.on-teeth", len(w.Teeth), "Teeth", Teeth(w.Teeth)))
		}
		if w.Wait.Known() && w.Wait.High > 0 {
			it.More = append(it.More, M("sheet.wait.days", "Range", Range{w.Wait.Low, w.Wait.High, 0}))
			it.Ref.Figures, it.Ref.Sources = w.Figures, x.cite(w.Figures)
		}
		if w.Reason != "" {
			it.More = append(it.More, M("sheet.wait.reason", "Text", Verbatim(w.Reason)))
		}
		x.add(Block{Kind: Facts, Style: RunIn, Items: []Item{it}})
	}
}

// waitNames only names what is to be settled first, on sheets whose subject is another.
func (x *composer) waitNames() {
	var items []Item
	for _, w := range x.pl.WaitFor {
		x.s.Must.Waits = append(x.s.Must.Waits, w.Key)
		it := Item{Text: M("finding." + w.Key + ".name"), Ref: Ref{Wait: w.Key, Teeth: w.Teeth}}
		if w.Private {
			it = Item{Text: M("wait." + plan.TalkAgain), Ref: Ref{Wait: w.Key}}
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

// schedule lists the visits with their dates.
func (x *composer) schedule() {
	if len(x.pl.Visits) == 0 {
		x.para(M("sheet.schedule.none"), Ref{})
		return
	}
	x.hold()
	b := Block{Kind: Schedule, Style: RunIn}
	var told []string // what happens is told once for each kind of visit
	for i, v := range x.pl.Visits {
		it := Item{Label: M("sheet.schedule.around", "Date", Day{v.Likely, true}), Text: M("visit." + v.Purpose + ".name"),
			Ref: Ref{Figures: v.Figures}}
		if v.Agreed {
			it.Label = agreedDay(v, true)
			it.More = agreedNotes(v)
		} else if i == 0 {
			it.Label = M("sheet.schedule.on", "Date", Day{v.Likely, true})
		} else if v.Optional {
			it.More = append(it.More, M("sheet.schedule.optional"))
		} else if v.Earliest != v.Latest {
			it.More = append(it.More, M("sheet.schedule.between", "From", Day{v.Earliest, false}, "To", Day{v.Latest, false}))
		}
		if !slices.Contains(told, v.Purpose) {
			told = append(told, v.Purpose)
			it.More = append(it.More, M("visit."+v.Purpose+".what"))
		}
		if v.Of > 1 {
			it.More = append(it.More, N("sheet.schedule.sitting", v.Sitting, "Total", Int(v.Of), "Teeth", Teeth(v.Teeth)))
			it.Ref.Teeth = v.Teeth
		}
		if v.Minutes.Known() && v.Minutes.Likely > 0 {
			it.More = append(it.More, N("sheet.schedule.minutes", int(math.Round(v.Minutes.Likely))))
		}
		if v.Why != "" {
			it.More = append(it.More, M("why."+v.Why))
		}
		b.Items = append(b.Items, it)
	}
	x.add(b)
	x.ending()
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
			b.Items = append(b.Items, Item{Label: agreedDay(v, true), Text: M("visit." + v.Purpose + ".name"), More: agreedNotes(v), Ref: Ref{Figures: v.Figures}})
		}
	}
	if len(b.Items) > 0 {
		x.h2("sheet.schedule.title")
		x.add(b)
	}
}

// visitLines lists the visits, a line each: when, which, how long.
func (x *composer) visitLines() {
	if len(x.pl.Visits) == 0 {
		x.para(M("sheet.schedule.none"), Ref{})
		return
	}
	x.hold()
	b := Block{Kind: Schedule, Columns: []Text{M("sheet.schedule.when"), M("sheet.schedule.what")}}
	for i, v := range x.pl.Visits {
		it := Item{Label: M("sheet.schedule.around", "Date", Day{v.Likely, false}), Text: M("visit." + v.Purpose + ".name"), Ref: Ref{Figures: v.Figures}}
		if v.Agreed {
			it.Label = agreedDay(v, false)
		} else if i == 0 {
			it.Label = M("sheet.schedule.on", "Date", Day{v.Likely, false})
		} else if v.Optional {
			it.More = append(it.More, M("sheet.schedule.optional"))
		}
		if v.Of > 1 {
			it.More = append(it.More, N("sheet.schedule.sitting", v.Sitting, "Total", Int(v.Of), "Teeth", Teeth(v.Teeth)))
			it.Ref.Teeth = v.Teeth
		}
		if v.Minutes.Known() && v.Minutes.Likely > 0 {
			it.More = append(it.More, N("sheet.schedule.min", int(math.Round(v.Minutes.Likely))))
		}
		if v.Agreed {
			it.More = append(it.More, agreedNotes(v)...)
		}
		b.Items = append(b.Items, it)
	}
	x.add(b)
	x.ending()
}

// ending tells why the last date is what it is, and where dates come from.
func (x *composer) ending() {
	said := append(Ending(x.pl), M(x.dateNote()))
	x.flow(Item{Text: said[0], More: said[1:]})
}

// hold says that the dates wait for what is not settled yet.
func (x *composer) hold() {
	if x.pl.OnHold {
		x.para(M("sheet.schedule.hold"), Ref{})
	}
}

// phoneBox is the same on every sheet.
func (x *composer) phoneBox() {
	b := Block{Kind: Phones, Text: M("sheet.phones.title"), Keep: true, Items: []Item{
		{Label: M("sheet.phones.day"), Text: M("sheet.phones.number", "Phone", Phone(x.p.Telephone))},
		{Label: M("sheet.phones.out-of-hours"), Text: M("sheet.phones.number", "Phone", Phone(x.p.EmergencyLine))},
	}}
	if x.p.EmergencyService != "" {
		b.Items = append(b.Items, Item{Label: M("sheet.phones.emergency"), Text: M("sheet.phones.number", "Phone", Phone(x.p.EmergencyService))})
	}
	x.add(b)
}

// closing ends a sheet that carries figures: how sure, sources, dates of the content, caution.
func (x *composer) closing() {
	// Options explain the numbers as a whole; a consent has said it beside each.
	numbers := x.c.Detail != "words" && x.s.Kind == Options
	if numbers || len(x.sources) == 0 {
		x.h2("sheet.about.title")
	} else {
		x.h2("sheet.about.sources")
	}
	it := Item{Text: M("sheet.about.reviewed", "Date", Day{mustDate(x.b.Reviewed), false}, "To", Day{mustDate(x.b.NextReview), false})}
	if numbers {
		it.Text, it.More = M("sheet.about.estimates"), []Text{M("sheet.about.practice-figures"), it.Text}
	}
	if x.p.Funding != "" && x.s.Kind == Options { // the sheet that helps to decide
		it.More = append(it.More, M("sheet.about.funding", "Text", Verbatim(x.p.Funding)))
	}
	x.flow(it)
	if numbers {
		x.sourceList()
	} else if len(x.sources) > 0 {
		x.add(x.citations())
	}
}

// sourceList numbers what the sheet cites; nothing may be cited after it.
func (x *composer) sourceList() {
	if len(x.sources) == 0 {
		return
	}
	x.h2("sheet.about.sources")
	x.add(x.citations())
}

func (x *composer) citations() Block {
	b := Block{Kind: Sources, Text: M("sheet.about.sources")}
	for _, id := range x.sources {
		s, _ := x.b.Source(id)
		b.Items = append(b.Items, Item{Text: Text{Verbatim: s.Citation, Lang: "en"}})
	}
	return b
}

// opening begins a sheet: what it is for, and that it does not replace the talk or the law.
func (x *composer) opening(ts ...Text) {
	x.flow(Item{Text: M("sheet.common.caution"), More: ts})
}

func mustDate(s string) casefile.Date {
	d, _ := casefile.ParseDate(s) // the loader has checked it
	return d
}

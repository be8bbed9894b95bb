package sheet

import (
	"math"
	"reflect"
	"slices"
	"strings"

	"plainleaf/app/casefile"
	"plainleaf/app/plan"
)

// options is to think about at home. Compare first, explain second, the dentist's advice
// third, decide last: page one is the table of all options on the table.
func (x *composer) options() {
	x.add(Block{Kind: Paragraph, Style: Kicker, Text: M("sheet.options.kicker")})
	x.add(Block{Kind: Paragraph, Style: Lead, Text: x.toDecide()})
	x.marked()
	first, rest := x.tables()
	x.howToRead()
	x.add(x.ways(first))
	x.waysNotes(append(slices.Clone(first), rest...))
	x.further(rest, first)
	x.mixedPlan(first, rest)
	x.mouth()
	x.comesFirst()
	x.doingNothing()
	x.numbers()
	x.advice()
	x.leftOut()
	x.decide()
}

// keptSection begins a section that is not split over two pages.
func (x *composer) keptSection(id string) {
	x.add(Block{Kind: Heading, Level: 2, Text: M(id), Keep: true})
}

// toDecide says that there is something to decide.
func (x *composer) toDecide() Text {
	switch n := len(x.c.ToothList()); {
	case len(x.offered()) < 2:
		return M("sheet.options.decision-one")
	case n == 0:
		return M("sheet.options.decision-mouth")
	default:
		return N("sheet.options.decision", n)
	}
}

// marked is the chart of the teeth of the case.
func (x *composer) marked() {
	if ts := x.c.ToothList(); len(ts) > 0 {
		x.add(Block{Kind: Chart, Text: M("sheet.common.chart", "Teeth", Teeth(ts)), Ref: Ref{Teeth: ts}, Keep: true,
			Items: []Item{{Text: N("sheet.options.chart", len(ts))}}})
	}
}

// howToRead says what a column is, and what the small numbers are where there are any.
func (x *composer) howToRead() {
	id := "sheet.options.how"
	if len(x.pl.Order) > 0 {
		id += "-ranked"
	}
	x.add(Block{Kind: Paragraph, Style: Note, Text: M(id)})
}

// further are the options that page one has no room for: the answers to the same questions
// in the same order, each a sentence that is read by itself. One that is much like an option
// of page one has only what differs.
func (x *composer) further(list, first []plan.RouteFacts) {
	if len(list) == 0 {
		return
	}
	x.keptSection("sheet.options.further")
	for _, r := range list {
		it := Item{Label: WayName(r), Ref: Ref{Route: string(r.Key)}}
		if r.Then != "" && r.Then != r.Key && !r.Mixed {
			it.Label = M("sheet.options.first-then", "Text", Word{it.Label}, "Route", Word{M("route." + string(r.Then) + ".name")})
		}
		if len(r.Held) > 0 {
			it.More = append(it.More, M("sheet.options.held-short"))
		}
		rows := x.wayRows(list)
		like, same := mostLike(r, first, rows)
		for i, q := range rows {
			c := q.answer(r)
			if same[i] || like.IsZero() && toldWithNumbers(c) {
				continue
			}
			it.More = append(it.More, alone(c.Texts)...)
			it.Ref.Figures = union(it.Ref.Figures, c.Ref.Figures)
			it.Ref.Sources = append(it.Ref.Sources, c.Ref.Sources...)
		}
		if !like.IsZero() {
			it.More = append(it.More, M("sheet.options.otherwise", "Route", Word{like}))
		}
		it.Text, it.More = it.More[0], it.More[1:]
		x.add(Block{Kind: List, Style: Fine, Items: []Item{it}}) // of the size of the table
	}
}

// alone puts answers that need their question before them into whole sentences.
func alone(answers []Text) (out []Text) {
	for _, t := range answers {
		if key, ok := strings.CutPrefix(t.ID, "sheet.options.undo."); ok {
			t = M("sheet.undo." + key + ".short")
		}
		out = append(out, t)
	}
	return out
}

// toldWithNumbers reports whether an answer only leads to what the numbers of the option
// say further on.
func toldWithNumbers(c Cell) bool {
	return len(c.Texts) == 1 && slices.Contains([]string{"sheet.options.apart", "sheet.options.not-known", "sheet.options.too-uncertain"}, c.Texts[0].ID)
}

// enoughAlike is how many answers of two options must be the same before it is shorter to
// say so.
const enoughAlike = 2

// mostLike finds the option that gives the most of the same answers, and says which those
// are; nothing where none gives enough of them.
func mostLike(r plan.RouteFacts, others []plan.RouteFacts, rows []wayRow) (name Text, same map[int]bool) {
	for _, o := range others {
		if len(o.Held) != len(r.Held) || o.Key == casefile.None {
			continue
		}
		equal := map[int]bool{}
		for i, q := range rows {
			if reflect.DeepEqual(q.answer(o).Texts, q.answer(r).Texts) {
				equal[i] = true
			}
		}
		if len(equal) >= enoughAlike && len(equal) > len(same) {
			name, same = WayName(o), equal
		}
	}
	return name, same
}

// mixedPlan lists a plan of several routes route by route, each with its own teeth: a crown
// on one tooth says nothing of the whitened one beside it. What was said of an option
// already is not said again.
func (x *composer) mixedPlan(lists ...[]plan.RouteFacts) {
	if !slices.ContainsFunc(x.offered(), func(r plan.RouteFacts) bool { return r.Mixed }) {
		return
	}
	x.keptSection("sheet.options.mixed")
	said := map[casefile.Route][]Text{} // of its own teeth, the depth first
	for _, r := range slices.Concat(lists...) {
		if !r.Mixed {
			said[r.Key] = []Text{drilled(r.Removal)}
		}
	}
	b := x.treatments()
	b.Style, b.Keep = "", false
	again := false
	for i := range b.Items {
		it := &b.Items[i]
		k := casefile.Route(it.Ref.Route)
		depth, figures := x.depthOn(k, it.Ref.Teeth)
		if !depth.IsZero() {
			it.Ref.Figures = figures
		}
		was, ok := said[k]
		switch {
		case !ok:
			it.More = x.routeInWords(k, depth)
			said[k] = []Text{depth}
		case !reflect.DeepEqual(was[0], depth) && !depth.IsZero():
			it.More, again = []Text{depth}, true
		default:
			again = true
		}
	}
	if again {
		x.add(Block{Kind: Paragraph, Style: Note, Text: M("sheet.options.mixed-text")})
	}
	x.add(b)
}

// depthOn is how deep a route goes on some teeth of the plan, and what that rests on.
func (x *composer) depthOn(k casefile.Route, teeth []casefile.Tooth) (Text, []string) {
	i := slices.IndexFunc(x.pl.Enamel.Teeth, func(e plan.ToothEnamel) bool { return slices.Contains(teeth, e.Tooth) && e.Route == k })
	if i < 0 {
		return Text{}, nil
	}
	d := x.pl.Enamel.Teeth[i].Removal
	return drilled(d), d.Figures
}

// routeInWords is what a route gives, takes and leaves behind on its own teeth: the depth
// where one is planned.
func (x *composer) routeInWords(k casefile.Route, depth Text) []Text {
	rule := x.b.Route(k)
	if depth.IsZero() || rule.Kind == "crown" { // a crown takes more than its depth says
		depth = M("takes." + rule.Takes)
	}
	return []Text{M("gives." + rule.Gives), depth, M("sheet.undo." + rule.Reversible + ".short"), M("downside." + rule.Downside)}
}

// mouth is what was found, and what it means for the choice. Private findings are left out.
func (x *composer) mouth() {
	b := Block{Kind: Table, Text: M("sheet.common.ask-line"), Columns: []Text{M("sheet.options.saw"), M("sheet.options.teeth"), M("sheet.options.means")}}
	for _, f := range x.pl.Findings {
		if f.Private {
			continue
		}
		where := M("sheet.options.all")
		if len(f.Teeth) > 0 {
			where = N("sheet.options.numbers-of", len(f.Teeth), "Teeth", Teeth(f.Teeth))
		}
		b.Items = append(b.Items, Item{Label: M("finding." + f.Key + ".name"), Cells: []Cell{{Texts: []Text{where}}, {Texts: []Text{M("finding." + f.Key + ".say")}}},
			Ref: Ref{Finding: f.Key, Teeth: f.Teeth}})
	}
	if len(b.Items) > 0 {
		x.h2("sheet.options.mouth")
		x.add(b)
	}
}

// comesFirst is what has to be settled before some options, which of them it holds, and
// where the patient says yes or no to it.
func (x *composer) comesFirst() {
	if len(x.pl.WaitFor) == 0 && !x.anyHeld() {
		return
	}
	x.shortSection("sheet.options.first")
	b := Block{Kind: Facts, Style: RunIn}
	for _, w := range x.pl.WaitFor {
		x.s.Must.Waits = append(x.s.Must.Waits, w.Key)
		if w.Private {
			x.para(M("wait."+plan.TalkAgain), Ref{Wait: w.Key})
			continue
		}
		it := Item{Label: M("finding." + w.Key + ".name"), Text: M("waitfor." + w.Key), Ref: Ref{Wait: w.Key, Teeth: w.Teeth}}
		if w.Wait.Known() && w.Wait.Likely > 0 { // else it is seen to at the first talk
			it.More = append(it.More, NRange("sheet.options.first-days", Range{w.Wait.Low, w.Wait.High, 0}))
			it.Ref.Figures, it.Ref.Sources = w.Figures, x.cite(w.Figures)
		}
		if w.Reason != "" {
			it.More = append(it.More, M("sheet.wait.reason", "Text", Verbatim(w.Reason)))
		}
		b.Items = append(b.Items, it)
	}
	if n := len(b.Items); n > 0 {
		if slices.ContainsFunc(x.pl.First, plan.First.Consents) {
			b.Items[n-1].More = append(b.Items[n-1].More, M("sheet.options.first-sheet"))
		}
		x.add(b)
	}
	x.held()
	if x.pl.OnHold {
		x.hold()
	}
}

// shortSection begins what comes first and what doing nothing means: beside each other
// where both are short.
func (x *composer) shortSection(id string) {
	b := Block{Kind: Heading, Level: 2, Text: M(id), Keep: true}
	if n := len(x.pl.WaitFor); n > 0 && n <= 2 && !x.anyHeld() {
		b.Style = Beside
	}
	x.add(b)
}

func (x *composer) anyHeld() bool {
	return slices.ContainsFunc(x.offered(), func(r plan.RouteFacts) bool { return len(r.Held) > 0 })
}

// held says what keeps options from being begun, those held by the same together. Which
// options those are the table says already, and names are needed only where what holds
// them differs. Where only private reasons hold them it is said already.
func (x *composer) held() {
	b := Block{Kind: Facts, Style: RunIn}
	var names []Words
	for _, r := range x.offered() {
		why := slices.DeleteFunc(x.heldBy(r), func(t Text) bool { return t.ID == "wait."+plan.TalkAgain })
		if len(why) == 0 {
			continue
		}
		it := Item{Text: why[0], More: why[1:], Ref: Ref{Route: string(r.Key)}}
		same := func(o Item) bool { return reflect.DeepEqual(o.Text, it.Text) && reflect.DeepEqual(o.More, it.More) }
		if i := slices.IndexFunc(b.Items, same); i >= 0 {
			names[i] = append(names[i], wayShort(r))
			b.Items[i].Label = M("sheet.options.list", "List", names[i])
			b.Items[i].Ref.Route += " " + it.Ref.Route
			continue
		}
		it.Label = wayShort(r)
		b.Items, names = append(b.Items, it), append(names, Words{it.Label})
	}
	switch len(b.Items) {
	case 0:
	case 1:
		b.Items[0].Label = Text{}
		x.add(Block{Kind: List, Style: InLine, Items: b.Items})
	default:
		x.add(b)
	}
}

// doingNothing says what it means to wait for each finding that was entered. Nothing is
// said of what nobody found.
func (x *composer) doingNothing() {
	x.shortSection("sheet.options.nothing")
	id := "sheet.options.nothing-text"
	if slices.ContainsFunc(x.pl.First, func(f plan.First) bool { return f.Kind == "test" && !f.Settled }) {
		id += "-tests"
	}
	b := Block{Kind: List, Style: InLine, Items: []Item{{Text: M(id), Ref: Ref{Route: string(casefile.None)}}}}
	for _, r := range x.pl.Routes {
		for _, w := range r.Waiting {
			b.Items = append(b.Items, Item{Text: M("finding." + w.Finding + ".waiting"), Ref: Ref{Finding: w.Finding, Teeth: w.Teeth}})
		}
	}
	x.add(b)
}

// advice is the dentist's own, after the table and with its reason; a line to write on
// until it is entered.
func (x *composer) advice() {
	x.keptSection("sheet.options.advice")
	a := x.c.Advice
	if a == nil || a.Route == "" && a.Reason == "" {
		x.add(Block{Kind: Paragraph, Text: M("sheet.options.advice-blank"), Blank: 3})
		return
	}
	var it Item
	if a.Route != "" {
		name := M("route." + string(a.Route) + ".name")
		if i := slices.IndexFunc(x.pl.Routes, func(r plan.RouteFacts) bool { return r.Key == a.Route }); i >= 0 {
			name = WayName(x.pl.Routes[i])
		}
		it = Item{Label: name, Ref: Ref{Route: string(a.Route)}}
	}
	it.Text = M("sheet.options.reason-blank")
	if it.Blank = 3; a.Reason != "" {
		it.Text, it.Blank = Typed(a.Reason), 0
	}
	x.add(Block{Kind: Facts, Style: RunIn, Items: []Item{it}})
}

// leftOut names the options that are not on the table, with the dentist's reason.
func (x *composer) leftOut() {
	b := Block{Kind: List}
	for _, r := range x.pl.Routes {
		if r.OnTable {
			continue
		}
		it := Item{Label: WayName(r), Text: M("sheet.options.left-out-none"), Ref: Ref{Route: string(r.Key)}}
		if r.NotOffered != "" {
			it.Text = Typed(r.NotOffered)
		}
		b.Items = append(b.Items, it)
	}
	if len(b.Items) > 0 {
		x.keptSection("sheet.options.left-out")
		x.add(b)
	}
}

// heldBy says what keeps an option from being begun; nothing where nothing does.
func (x *composer) heldBy(r plan.RouteFacts) []Text {
	var names Words
	var out []Text
	for _, key := range r.Held {
		if key == plan.TalkAgain {
			out = append(out, M("wait."+plan.TalkAgain))
			continue
		}
		names = append(names, M("finding."+key+".name"))
	}
	if len(names) > 0 {
		out = append([]Text{M("sheet.options.held", "List", names)}, out...)
	}
	return out
}

// MostRemoved is the most that may come off in one place, mm.
func MostRemoved(e plan.Estimate) Text {
	if math.Round(e.Low*10) == 0 {
		return M("sheet.removal.up-to", "Number", Decimal{e.High, 1})
	}
	return M("sheet.removal.most", "Range", Range{e.Low, e.High, 1})
}

// Earliest is the first day on which the patient may sign, or that there is none yet.
func Earliest(pl plan.Plan) Text {
	if pl.Deciding.EarliestSign.IsZero() {
		return M("sheet.think.on-hold")
	}
	return M("sheet.think.earliest", "Date", Day{pl.Deciding.EarliestSign, true})
}

// noPrice names the parts of an option that have no price yet.
func (x *composer) noPrice(m plan.RouteMoney) []Text {
	if !m.Known || len(m.Missing) == 0 {
		return nil
	}
	var names Words
	for _, key := range m.Missing {
		names = append(names, x.moneyLabel(key))
	}
	return []Text{M("sheet.money.no-fee", "List", names)}
}

package sheet

import (
	"math"
	"reflect"
	"slices"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
	"plainleaf/app/plan"
)

// options is to think about at home: every route, no treatment included, with
// the same facts in the same order.
func (x *composer) options() {
	x.opening(M("sheet.options.decision"), M("sheet.options.intro"))
	x.h2("sheet.common.your-teeth")
	x.teeth()
	x.findings()
	if len(x.pl.WaitFor) > 0 {
		x.h2("sheet.wait.first")
		x.waits()
	}
	x.h2("sheet.options.ways")
	same := Item{Text: M("sheet.options.same-facts")}
	if slices.ContainsFunc(x.pl.Routes, func(r plan.RouteFacts) bool { return len(x.removal(r.Removal)) > 0 }) {
		same.More = append(same.More, M("sheet.options.depths"))
	}
	if slices.ContainsFunc(x.pl.Routes, func(r plan.RouteFacts) bool {
		_, studies := laterYears(x.b, r, x.c.Detail != "words", x.c.HorizonYears)
		return studies
	}) {
		same.More = append(same.More, M("sheet.money.later-note"))
	}
	if sure := x.usualCertainty(); sure != "" {
		same.More = append(same.More, M("sheet.options.sure"), M("certainty."+string(sure)))
	}
	x.flow(same)
	x.hold()
	for _, r := range x.pl.Routes {
		x.heading(3, WayName(r), Ref{Route: string(r.Key)})
		if r.Chosen {
			x.para(M("sheet.options.chosen"), Ref{})
		}
		x.add(x.routeFacts(r))
	}
	x.pair()
	x.priorities()
	x.h2("sheet.options.steps")
	x.list(Item{Text: M("sheet.options.step-know")}, Item{Text: M("sheet.options.step-weigh")},
		Item{Text: M("sheet.options.step-ask")}, Item{Text: M("sheet.options.step-choose")})
	x.h2("sheet.options.ask")
	x.list(Item{Text: M("sheet.options.ask-need")}, Item{Text: M("sheet.options.ask-wait")}, Item{Text: M("sheet.options.ask-wrong")},
		Item{Text: M("sheet.options.ask-later")}, Item{Text: M("sheet.options.ask-cost")})
	x.lines(2)
	x.agreedVisits()
	x.thinking()
	x.phoneBox()
	x.whole()
	x.closing()
}

// WayName is the name of a way of going on: the route's, unless the chosen plan
// has teeth on others.
func WayName(r plan.RouteFacts) Text {
	if r.Mixed {
		return M("sheet.options.mixed")
	}
	return M("route." + string(r.Key) + ".name")
}

// routeFacts are the rows of one route, the same for each. Those that are not true
// of every tooth in a plan of several routes stand together by route.
func (x *composer) routeFacts(r plan.RouteFacts) Block {
	k := "route." + string(r.Key)
	b := Block{Kind: Facts, Ref: Ref{Route: string(r.Key)}}
	row := func(label string, ref Ref, t Text, more ...Text) {
		b.Items = append(b.Items, Item{Label: M("sheet.row." + label), Text: t, More: more, Ref: ref})
	}
	if r.Mixed {
		b.Items = x.wayByWay()
	} else {
		row("what", Ref{}, M(k+".what"))
		if r.Then != "" {
			row("then", Ref{Route: string(r.Then)}, M("route."+string(r.Then)+".name"), M("sheet.row.then-counts"))
		}
		row("good", Ref{}, M(k+".good"))
		row("hard", Ref{}, M(k+".hard"))
	}
	row("visits", x.ref(nil), x.visitCount(r.Visits), x.minutes(r.Minutes)...)
	rule := x.b.Route(r.Key)
	untreated := rule != nil && rule.Kind == "none" && !r.Mixed
	if untreated || r.Dates.Likely.IsZero() {
		row("dates", Ref{}, M("sheet.row.no-dates"))
	} else {
		var span []Text
		if r.Dates.Earliest != r.Dates.Latest {
			span = append(span, M("sheet.schedule.between", "From", Day{r.Dates.Earliest, false}, "To", Day{r.Dates.Latest, false}))
		}
		row("dates", Ref{}, M("sheet.row.ready", "Date", Day{r.Dates.Likely, false}), span...)
	}
	row("numbing", Ref{}, M("numbing."+r.Numbing))
	if !r.Mixed {
		row("takes", Ref{Figures: r.Removal.Figures}, M(k+".takes"), x.removal(r.Removal)...)
		row("adds", Ref{}, M(k+".adds"))
	}
	if own := x.ownReversible(r); r.Mixed {
		x.undoWayByWay(row)
	} else if own != r.Reversible {
		row("undo", Ref{}, M("undo."+own), M("sheet.row.then-undo", "Text", Word{M("undo." + r.Reversible)}))
	} else {
		row("undo", Ref{}, M("undo."+own))
	}
	if !r.Mixed {
		row("living", Ref{}, M(k+".living"))
	}
	switch {
	case r.Comparable && !r.Mixed:
		row("lasts", Ref{}, x.lastRow(r))
	case r.Mixed && !r.Comparable:
		row("lasts", Ref{}, M("unknown."+plan.OtherSetting))
	case !r.Comparable:
		row("lasts", Ref{}, x.lastRow(r), M("unknown."+plan.OtherSetting))
	}
	rows := x.lastRows(r)
	if slices.ContainsFunc(rows, func(l LastRow) bool { return l.Known }) && !plan.OneSetting(r.Expectations) {
		row("lasts", Ref{}, M("sheet.expect.apart"))
	}
	for _, l := range rows {
		b.Items = append(b.Items, Item{Label: M("sheet.expect." + l.Endpoint), Text: l.Texts[0], More: l.Texts[1:], Ref: x.ref(l.Figures)})
	}
	later, _ := laterYears(x.b, r, x.c.Detail != "words", x.c.HorizonYears)
	row("cost", Ref{}, x.routeCost(r.Money), append(later, again(r.Money)...)...)
	return b
}

// lastRows are the rows of how long a route's restorations last, the certainty
// left out that is said once for all, with their teeth where that needs saying.
func (x *composer) lastRows(r plan.RouteFacts) []LastRow {
	usual := x.usualCertainty()
	rows := LastRows(x.shown(r), x.rowHorizon, func(e plan.Expectation) []Text {
		ts := x.lasting(e)
		if len(ts) > 1 && e.Certainty == usual {
			ts = ts[:1]
		}
		return ts
	})
	for i := range rows {
		if l := &rows[i]; len(l.Teeth) > 0 {
			l.Texts = append(slices.Clip(l.Texts), N("sheet.common.on-teeth", len(l.Teeth), "Teeth", Teeth(l.Teeth)))
		}
	}
	return rows
}

// wayByWay is what each route of the plan is, gives and asks, with its teeth.
func (x *composer) wayByWay() []Item {
	var out []Item
	for _, g := range x.c.ByRoute() {
		teeth := g.Teeth
		it := x.way(g.Route, teeth)
		it.Label, it.Text, it.More = M("route."+string(g.Route)+".name"), N("sheet.common.on-teeth", len(teeth), "Teeth", Teeth(teeth)), append([]Text{it.Text}, it.More...)
		out = append(out, it)
		if then := x.then(g.Route); then != "" && then != g.Route {
			it := x.way(then, teeth)
			it.Label = M("sheet.common.after-that-on", "Text", Word{M("route." + string(then) + ".name")})
			it.Text, it.More = N("sheet.common.on-teeth", len(teeth), "Teeth", Teeth(teeth)), append([]Text{it.Text}, it.More...)
			out = append(out, it)
		}
	}
	return out
}

// undoWayByWay is what each route of the plan leaves behind on its own teeth: a crown
// on one tooth says nothing of the whitened one beside it.
func (x *composer) undoWayByWay(row func(label string, ref Ref, t Text, more ...Text)) {
	for _, g := range x.c.ByRoute() {
		var more []Text
		if then := x.then(g.Route); then != "" && then != g.Route {
			more = append(more, M("sheet.row.then-undo", "Text", Word{M("undo." + x.reversible(then))}))
		}
		row("undo", Ref{Teeth: g.Teeth, Route: string(g.Route)}, M("undo."+x.reversible(g.Route)),
			append(more, N("sheet.common.on-teeth", len(g.Teeth), "Teeth", Teeth(g.Teeth)))...)
	}
}

// way is one route of a plan in sentences, with what it takes from its teeth.
func (x *composer) way(r casefile.Route, teeth []casefile.Tooth) Item {
	k := "route." + string(r)
	it := Item{Text: M(k + ".what"), Ref: Ref{Route: string(r), Teeth: teeth}}
	it.More = []Text{M(k + ".good"), M(k + ".hard"), M(k + ".takes")}
	if i := slices.IndexFunc(x.pl.Enamel.Teeth, func(e plan.ToothEnamel) bool { return slices.Contains(teeth, e.Tooth) && e.Route == r }); i >= 0 {
		d := x.pl.Enamel.Teeth[i].Removal
		if depths := x.removal(d); len(depths) > 0 {
			it.More, it.Ref.Figures = append(it.More, depths...), d.Figures
		}
	}
	it.More = append(it.More, M(k+".adds"), M(k+".living"), M(k+".lasts"))
	return it
}

// shown are the expectations that stand in the rows of a route.
func (x *composer) shown(r plan.RouteFacts) []plan.Expectation {
	rule := x.b.Route(r.Key)
	if !r.Comparable || x.c.Detail == "words" || rule != nil && !r.Mixed && (rule.Kind == "none" || rule.Kind == "whitening" && r.Then == "") {
		return nil
	}
	var out []plan.Expectation
	for _, e := range r.Expectations {
		if x.rowHorizon(e.Years) && e.Route != "" {
			out = append(out, e)
		}
	}
	return out
}

// usualCertainty is how sure the numbers of all routes are, where there is more
// than one and they agree: then it is said once. "" where each has to say it.
func (x *composer) usualCertainty() evidence.Certainty {
	var sure evidence.Certainty
	n := 0
	for _, r := range x.pl.Routes {
		for _, e := range x.shown(r) {
			if !e.Known || !e.PerTooth.Known() {
				continue
			}
			if n > 0 && e.Certainty != sure {
				return ""
			}
			sure = e.Certainty
			n++
		}
	}
	if n < 2 {
		return ""
	}
	return sure
}

// pair sets composite and porcelain beside each other as one and the same
// practice found them, which numbers of different settings may not be.
func (x *composer) pair() {
	if x.c.Detail == "words" || len(x.pl.SameSetting) == 0 || !slices.ContainsFunc(x.pl.Routes, func(r plan.RouteFacts) bool { return !r.Comparable }) {
		return
	}
	x.heading(3, M("sheet.pair.title"), Ref{})
	for _, p := range x.pl.SameSetting {
		x.flow(Item{Text: Pair(x.b, p), More: []Text{M("certainty." + string(p.Certainty))}, Ref: x.ref(p.Figures)})
	}
}

// rowHorizon keeps a route's rows few: the middle horizon, the same for every route.
func (x *composer) rowHorizon(years int) bool {
	h, ok := x.b.Setting("horizon-2")
	return ok && years == int(h.Value)
}

func (x *composer) lastRow(r plan.RouteFacts) Text {
	return M("route." + string(r.Key) + ".lasts")
}

func (x *composer) visitCount(e plan.Estimate) Text {
	if !e.Known() {
		return M("unknown." + e.Unknown)
	}
	lo, hi := int(math.Round(e.Low)), int(math.Round(e.High))
	if hi == 0 {
		return M("sheet.row.no-visits")
	}
	if lo == hi {
		return N("sheet.row.visits-about", hi)
	}
	return N("sheet.row.visits-range", int(math.Round(e.Likely)), "Range", Range{e.Low, e.High, 0})
}

func (x *composer) minutes(e plan.Estimate) []Text {
	if !e.Known() || e.Likely == 0 {
		return nil
	}
	return []Text{N("sheet.row.minutes", int(math.Round(e.Likely)))}
}

func (x *composer) removal(r plan.Removal) []Text {
	if !r.Planned {
		return nil
	}
	var out []Text
	for _, p := range []struct {
		id string
		e  plan.Estimate
	}{{"sheet.removal.neck", r.Cervical}, {"sheet.removal.middle", r.Middle}, {"sheet.removal.edge", r.Incisal}} {
		if p.e.Known() && p.e.High > 0 {
			out = append(out, M(p.id, "Range", Range{p.e.Low, p.e.High, 1}))
		}
	}
	return out
}

func (x *composer) routeCost(m plan.RouteMoney) Text {
	if !m.Known {
		return M("sheet.money.estimate-later")
	}
	return M("sheet.money.today", "Amount", Amount{m.Today, m.Currency})
}

// priorities shows how each route does on what the patient put first: facts, no score.
func (x *composer) priorities() {
	x.h2("sheet.options.matters")
	if x.c.Wish != "" {
		x.para(M("sheet.consent.gain-own"), Ref{})
		x.para(Typed(x.c.Wish), Ref{})
	}
	if len(x.pl.Order) == 0 {
		x.para(M("sheet.options.matters-blank"), Ref{})
		b := Block{Kind: Tick, Style: TwoColumns}
		for _, p := range x.b.Priorities {
			b.Items = append(b.Items, Item{Text: M("priority." + p.Key + ".name")})
		}
		x.add(b)
		x.lines(1)
		return
	}
	x.para(M("sheet.options.matters-intro"), Ref{})
	for _, o := range x.pl.Order {
		x.heading(3, M("priority."+o.Priority+".name"), Ref{})
		b := Block{Kind: Facts, Style: RunIn}
		var names []Words
		for _, f := range o.Routes {
			it := Item{Label: M("route." + string(f.Route) + ".name"), Text: x.routeFact(o.Fact, f), Ref: Ref{Route: string(f.Route)}}
			if i := slices.IndexFunc(x.pl.Routes, func(r plan.RouteFacts) bool { return r.Key == f.Route }); i >= 0 {
				it.Label = WayName(x.pl.Routes[i])
				switch {
				case o.Fact == plan.InPlace && f.Value.Known():
					var figures []string
					it.Text, it.More, figures = x.longest(x.pl.Routes[i])
					it.Ref.Figures, it.Ref.Sources = figures, x.cite(figures)
				case o.Fact == "removal":
					it.Ref.Figures = f.Figures
				}
				if o.Fact == "money" {
					it.More = Later(x.b, x.pl.Routes[i], x.c.Detail != "words", x.c.HorizonYears) // what it costs today is not yet what it costs in the long run
				}
			}
			same := func(o Item) bool { return reflect.DeepEqual(o.Text, it.Text) && reflect.DeepEqual(o.More, it.More) }
			if j := slices.IndexFunc(b.Items, same); j >= 0 { // ways of which the same holds stand together
				names[j] = append(names[j], it.Label)
				b.Items[j].Label = M("sheet.options.list", "List", names[j])
				b.Items[j].Ref.Route += " " + it.Ref.Route
				if both := union(b.Items[j].Ref.Figures, it.Ref.Figures); o.Fact == plan.InPlace {
					b.Items[j].Ref.Figures, b.Items[j].Ref.Sources = both, x.cite(both)
				} else if len(both) > 0 {
					b.Items[j].Ref.Figures = both
				}
				continue
			}
			b.Items, names = append(b.Items, it), append(names, Words{it.Label})
		}
		x.add(b)
	}
}

// longest is how long a route's restorations stay, as its own rows tell it, with
// what the numbers rest on; for who asked for no numbers, in words.
func (x *composer) longest(r plan.RouteFacts) (t Text, more []Text, figures []string) {
	if x.c.Detail == "words" && r.Mixed {
		return M("sheet.expect.words"), nil, nil
	} else if x.c.Detail == "words" {
		return x.lastRow(r), nil, nil
	}
	var ts []Text
	for _, l := range x.lastRows(r) {
		if l.Endpoint == plan.InPlace {
			ts = append(ts, l.Texts...)
			figures = union(figures, l.Figures)
		}
	}
	if len(ts) == 0 {
		return x.lastRow(r), nil, nil
	}
	return ts[0], ts[1:], figures
}

func (x *composer) routeFact(fact string, f plan.RouteFact) Text {
	switch {
	case f.Words != "":
		return M(f.Words)
	case !f.Date.IsZero():
		return M("sheet.row.ready", "Date", Day{f.Date, false})
	case !f.Value.Known():
		return M("unknown." + f.Value.Unknown)
	}
	switch fact {
	case "money":
		return M("sheet.money.today", "Amount", Amount{int64(math.Round(f.Value.Likely)), x.pl.Money.Currency})
	case "visits":
		return x.visitCount(f.Value)
	case "removal":
		if f.Value.High == 0 {
			return M("sheet.row.nothing-removed")
		}
		return MostRemoved(f.Value)
	}
	return M("unknown.no-figure")
}

// MostRemoved tells the most that may come off in one place, mm.
func MostRemoved(e plan.Estimate) Text {
	if math.Round(e.Low*10) == 0 {
		return M("sheet.removal.up-to", "Number", Decimal{e.High, 1})
	}
	return M("sheet.removal.most", "Range", Range{e.Low, e.High, 1})
}

// thinking gives the dates for deciding.
func (x *composer) thinking() {
	x.h2("sheet.think.title")
	x.flow(Item{Text: M("sheet.think.given", "Date", Day{x.pl.Deciding.Given, true}),
		More: []Text{M("sheet.think.earliest", "Date", Day{x.pl.Deciding.EarliestSign, true}), M("sheet.think.free")},
		Ref:  x.ref(x.pl.Deciding.Figures)})
}

// wait explains what has to be settled first and what happens next.
func (x *composer) wait() {
	x.opening(M("sheet.wait.intro"))
	x.h2("sheet.common.your-teeth")
	x.teeth()
	x.h2("sheet.wait.first")
	if len(x.pl.WaitFor) == 0 {
		x.para(M("sheet.wait.nothing"), Ref{})
	}
	x.waits()
	x.h2("sheet.wait.next")
	x.para(M("sheet.wait.next-text"), Ref{})
	x.schedule()
	x.para(M("sheet.wait.choices-stay"), Ref{})
	x.whole()
	x.h2("sheet.options.ask")
	x.lines(3)
	x.phoneBox()
	x.sourceList()
}

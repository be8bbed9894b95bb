package sheet

import (
	"math"
	"reflect"
	"slices"

	"plainleaf/app/casefile"
	"plainleaf/app/order"
	"plainleaf/app/plan"
)

// The comparison of the options: a column for each, a question for each row, in an
// order that never changes. Options of which the same holds share a cell.

// paper is the thickness of a sheet of paper in mm, to the tenth (common knowledge). It gives
// readers a scale for depths.
const paper = 0.1

// waysColumns is how many options fit beside each other on a page of A4 in whole
// sentences; a seventh has room where the one that was talked about most needs it.
const waysColumns = 6

// spare are the options that go into a second table where there are more than fit, the
// first of them first: those that lead to an option of the first table anyway, then those
// that only few teeth need, then the second of two kinds of whitening. The option that was
// talked about most is never among them.
var spare = []casefile.Route{casefile.GumCareFirst, casefile.StraighteningFirst, casefile.Crown, casefile.ReplaceVeneers, casefile.WhiteningInOffice}

// offered are the options on the table. A plan with teeth on several routes comes last,
// so that it does not part options that share a cell.
func (x *composer) offered() []plan.RouteFacts {
	out := slices.DeleteFunc(slices.Clone(x.pl.Routes), func(r plan.RouteFacts) bool { return !r.OnTable })
	order.By(out, func(a, b plan.RouteFacts) int {
		switch {
		case a.Mixed == b.Mixed:
			return 0
		case a.Mixed:
			return 1
		}
		return -1
	})
	return out
}

// tables divides the options on the table into those of page one and the rest.
func (x *composer) tables() (first, rest []plan.RouteFacts) {
	first = x.offered()
	for _, key := range spare {
		i := slices.IndexFunc(first, func(r plan.RouteFacts) bool { return r.Key == key && !r.Chosen })
		if len(first) > waysColumns && i >= 0 {
			rest = append(rest, first[i])
			first = slices.Delete(first, i, i+1)
		}
	}
	order.By(rest, func(a, b plan.RouteFacts) int {
		return slices.Index(casefile.Routes(), a.Key) - slices.Index(casefile.Routes(), b.Key)
	})
	return first, rest
}

// ways is the table of options.
func (x *composer) ways(list []plan.RouteFacts) Block {
	b := Block{Kind: Table, Style: Ways, Text: M("sheet.options.ways")}
	for _, r := range list {
		b.Heads = append(b.Heads, x.head(r, len(list)))
	}
	for _, q := range x.wayRows(list) {
		it := Item{Label: q.text, Rank: x.rank(q.facts)}
		for _, r := range list {
			it.Cells = append(it.Cells, q.answer(r))
		}
		it.Cells = merged(it.Cells, list)
		b.Items = append(b.Items, it)
	}
	return b
}

// drawings are what is done to a tooth, by kind of option.
var drawings = map[casefile.Route]string{casefile.None: "none", casefile.WhiteningHome: "whitening", casefile.WhiteningInOffice: "whitening",
	casefile.DirectComposite: "composite", casefile.NoPrep: "no-prep", casefile.MinimalPrep: "minimal-prep", casefile.ConventionalPrep: "conventional-prep",
	casefile.Crown: "crown"}

// head names an option; beside others the three kinds of veneers share a head.
func (x *composer) head(r plan.RouteFacts, beside int) Head {
	h := Head{Text: wayShort(r), Drawing: "other", Ref: Ref{Route: string(r.Key)}}
	if d := drawings[r.Key]; d != "" && !r.Mixed {
		h.Drawing = d
	}
	rule := x.b.Route(r.Key)
	if rule != nil && rule.Kind == "ceramic" && !r.Mixed && beside > 1 {
		h.Group, h.Name = M("sheet.options.veneers"), h.Text
		h.Text = M("sheet.options.kind." + string(r.Key))
	}
	switch {
	case len(r.Held) > 0:
		h.Note = M("sheet.options.held-short")
	case r.Partly:
		h.Note = N("sheet.options.only", len(r.Teeth), "Teeth", Teeth(r.Teeth))
	case r.Then != "" && !r.Mixed && r.Then != r.Key:
		h.Note = M("sheet.options.then", "Route", Word{M("route." + string(r.Then) + ".name")})
	default:
		h.Note = x.inPlain(r.Key)
	}
	return h
}

// wayShort is the name of an option in the head of its column.
func wayShort(r plan.RouteFacts) Text {
	if r.Mixed {
		return M("sheet.options.mixed")
	}
	return M("route." + string(r.Key) + ".name")
}

// WayName is the name of an option: the route's, with its teeth where it is for some
// only, unless the chosen plan has teeth on others.
func WayName(r plan.RouteFacts) Text {
	if r.Partly && !r.Mixed {
		return N("sheet.options.partly", len(r.Teeth), "Route", Word{wayShort(r)}, "Teeth", Teeth(r.Teeth))
	}
	return wayShort(r)
}

// wayRow is a row of the table: what is asked, the facts behind priorities that it
// answers, and the answer of an option.
type wayRow struct {
	text   Text
	facts  []string
	answer func(plan.RouteFacts) Cell
}

func (x *composer) wayRows(list []plan.RouteFacts) []wayRow {
	lasts := M("sheet.options.q.lasts-words")
	if x.c.Detail != "words" && slices.ContainsFunc(list, func(r plan.RouteFacts) bool { return len(x.inRow(r)) > 0 }) {
		lasts = N("sheet.options.q.lasts", x.middleYears())
	}
	return []wayRow{
		{M("sheet.options.q.gives"), []string{"colour"}, x.givesCell},
		{M("sheet.options.q.takes"), []string{"removal"}, x.takesCell},
		{M("sheet.options.q.undo"), []string{"reversible"}, x.undoCell},
		{M("sheet.options.q.visits"), []string{"visits", "minutes", "dates"}, x.visitsCell},
		{lasts, []string{plan.InPlace, plan.NothingNeeded}, x.lastsCell},
		{M("sheet.options.q.cost"), []string{"money"}, x.costCell},
		{M("sheet.options.q.downside"), nil, x.downsideCell},
		{M("sheet.options.q.living"), nil, x.livingCell},
	}
}

// rank is the place of a question among what the patient put first; 0 for none.
func (x *composer) rank(facts []string) int {
	return 1 + slices.IndexFunc(x.pl.Order, func(o plan.Standing) bool { return slices.Contains(facts, o.Fact) })
}

// merged joins neighboring cells that say the same.
func merged(cells []Cell, list []plan.RouteFacts) []Cell {
	var out []Cell
	for i, c := range cells {
		c.Ref.Route = string(list[i].Key)
		last := len(out) - 1
		if last < 0 || !reflect.DeepEqual(out[last].Texts, c.Texts) {
			out = append(out, c)
			continue
		}
		o := &out[last]
		o.Span = max(1, o.Span) + 1
		o.Ref.Route += " " + c.Ref.Route
		o.Ref.Figures = slices.Compact(slices.Sorted(slices.Values(append(slices.Clone(o.Ref.Figures), c.Ref.Figures...))))
		for _, s := range c.Ref.Sources {
			if !slices.Contains(o.Ref.Sources, s) {
				o.Ref.Sources = append(slices.Clone(o.Ref.Sources), s)
			}
		}
	}
	return out
}

// own is what an option says of itself and, where another follows that is not on the
// table by itself, what that one says too.
func (x *composer) own(r plan.RouteFacts, say func(casefile.Route) Text) []Text {
	if x.tabled(r.Then) {
		return []Text{say(r.Key)}
	}
	return x.both(r, say)
}

// lost is own, but where tooth is drilled away in the end it always says so.
func (x *composer) lost(r plan.RouteFacts, say func(casefile.Route) Text) []Text {
	if r.Removal.Planned {
		return x.both(r, say)
	}
	return x.own(r, say)
}

// tabled reports whether an option is on the table by itself.
func (x *composer) tabled(k casefile.Route) bool {
	return slices.ContainsFunc(x.offered(), func(o plan.RouteFacts) bool { return o.Key == k && !o.Mixed && !o.Partly })
}

// both is what an option says and, where another follows, what that one says too.
func (x *composer) both(r plan.RouteFacts, say func(casefile.Route) Text) []Text {
	out := []Text{say(r.Key)}
	if r.Then != "" && r.Then != r.Key {
		if t := say(r.Then); !reflect.DeepEqual(t, out[0]) {
			out = append(out, t)
		}
	}
	return out
}

// differs is said of a plan with teeth on several routes, which are listed one by one.
func differs(r plan.RouteFacts) (Cell, bool) {
	return Cell{Texts: []Text{M("sheet.options.differs")}}, r.Mixed
}

func (x *composer) givesCell(r plan.RouteFacts) Cell {
	if c, yes := differs(r); yes {
		return c
	}
	return Cell{Texts: x.own(r, func(k casefile.Route) Text { return M("gives." + x.b.Route(k).Gives) })}
}

// takesCell is what is taken away: the planned depths where there are any.
func (x *composer) takesCell(r plan.RouteFacts) Cell {
	if c, yes := differs(r); yes {
		return c
	}
	texts := x.lost(r, func(k casefile.Route) Text {
		rule := x.b.Route(k)
		if depth := drilled(r.Removal); !depth.IsZero() && rule.Kind == "ceramic" {
			return depth
		}
		return M("takes." + rule.Takes)
	})
	c := Cell{Texts: texts}
	if r.Removal.Planned {
		c.Ref.Figures = r.Removal.Figures
	}
	return c
}

// drilled says how deep a plan goes, in front and at the edge; nothing where no depth
// is planned.
func drilled(r plan.Removal) Text {
	if !r.Planned || !r.Middle.Known() || r.Middle.High == 0 {
		return Text{}
	}
	front := Range{r.Middle.Low, r.Middle.High, 1}
	switch e := r.Incisal; {
	case !e.Known() || e.High == 0:
		return M("sheet.options.drills-front", "Range", front)
	case math.Round(e.Low*10) == 0:
		return M("sheet.options.drills", "Range", front, "Text", Word{M("sheet.options.mm-up-to", "Number", Decimal{e.High, 1})})
	default:
		return M("sheet.options.drills", "Range", front, "Text", Word{M("sheet.options.mm", "Range", Range{e.Low, e.High, 1})})
	}
}

func (x *composer) undoCell(r plan.RouteFacts) Cell {
	if c, yes := differs(r); yes {
		return c
	}
	return Cell{Texts: x.lost(r, func(k casefile.Route) Text { return M("sheet.options.undo." + x.b.Route(k).Reversible) })}
}

func (x *composer) livingCell(r plan.RouteFacts) Cell {
	if c, yes := differs(r); yes {
		return c
	}
	return Cell{Texts: x.own(r, func(k casefile.Route) Text { return M("living." + x.b.Route(k).Living) })}
}

// downsideCell is the main downside, with how often where studies counted it.
func (x *composer) downsideCell(r plan.RouteFacts) Cell {
	if c, yes := differs(r); yes {
		return c
	}
	rule := x.b.Route(r.Key)
	c := Cell{Texts: x.own(r, func(k casefile.Route) Text { return M("downside." + x.b.Route(k).Downside) })}
	if x.c.Detail == "words" || rule.DownsideRisk == "" {
		return c
	}
	for _, risk := range r.Risks {
		if risk.Key != rule.DownsideRisk {
			continue
		}
		for _, rate := range risk.Rates {
			f := risk.Frequency[rate.Route]
			if rate.Route == r.Key && f.Known() {
				c.Texts[0] = M("downside."+rule.Downside+"-often", "Number", Int(InHundred(x.b, f.Likely)))
				c.Ref = x.ref([]string{rate.Figure})
			}
		}
	}
	return c
}

// visitsCell is how many visits, how long in the chair, and the month of the last.
func (x *composer) visitsCell(r plan.RouteFacts) Cell {
	if !r.Visits.Known() {
		return Cell{Texts: []Text{M("unknown." + r.Visits.Unknown)}}
	}
	n := int(math.Round(r.Visits.Likely))
	if n == 0 {
		return Cell{Texts: []Text{M("sheet.options.no-visits")}}
	}
	id, nv := "sheet.options.visits", []any{"Text", Word{N("sheet.options.visit-count", n)}}
	if r.Minutes.Known() && r.Minutes.Likely > 0 {
		id, nv = id+"-time", append(nv, "Time", Word{hours(r.Minutes.Likely)})
	}
	if rule := x.b.Route(r.Key); rule.Kind == "none" && !r.Mixed {
		return Cell{Texts: []Text{M(id+"-first", nv...)}}
	}
	if len(r.Held) > 0 || r.Dates.Likely.IsZero() { // the head of its column says that it is on hold
		return Cell{Texts: []Text{M(id, nv...)}}
	}
	return Cell{Texts: []Text{M(id+"-ready", append(nv, "Date", Month{r.Dates.Likely})...)}}
}

// inPlain explains a word of the trade among the names of options, empty where there is
// none.
func (x *composer) inPlain(k casefile.Route) Text {
	rule := x.b.Route(k)
	switch {
	case rule == nil:
	case rule.Kind == "composite":
		return M("sheet.options.composite-is")
	case rule.Kind == "crown":
		return M("sheet.options.crown-is")
	}
	return Text{}
}

// hours is a time in the chair in whole hours, as on the consent: nobody has counted it
// more closely. Short times have names of their own.
func hours(minutes float64) Text {
	switch math.Round(minutes / 30) {
	case 0, 1:
		return M("sheet.options.half-hour")
	case 3:
		return M("sheet.options.hour-and-half")
	}
	return N("sheet.options.hours", int(math.Round(minutes/60)))
}

// costCell is what an option costs today, and what one restoration made again costs.
func (x *composer) costCell(r plan.RouteFacts) Cell {
	m := r.Money
	switch {
	case !m.Known:
		return Cell{Texts: []Text{M("sheet.options.no-price")}}
	case m.IfOne == 0:
		return Cell{Texts: []Text{M("sheet.options.cost", "Amount", Price{m.Today, m.Currency})}}
	}
	return Cell{Texts: []Text{M("sheet.options.cost-again", "Amount", Price{m.Today, m.Currency}, "From", Price{m.IfOne, m.Currency})}}
}

// waysNotes are the sentences under the table.
func (x *composer) waysNotes(list []plan.RouteFacts) {
	b := Block{Kind: List, Style: Fine}
	note := func(t Text, ref Ref) { b.Items = append(b.Items, Item{Text: t, Ref: ref}) }
	if sure := x.sureOf(list); sure != "" {
		note(M("certainty."+sure), Ref{})
	}
	if x.c.Detail == "words" {
		note(M("sheet.options.words"), Ref{})
	}
	has := func(kinds ...string) bool {
		return slices.ContainsFunc(list, func(r plan.RouteFacts) bool { return slices.Contains(kinds, x.b.Route(r.Key).Kind) })
	}
	if x.pairTold() && has("composite") {
		for _, p := range x.pl.SameSetting {
			if p.Endpoint == plan.InPlace { // the one that the row is about
				note(Pair(x.b, p), x.ref(p.Figures))
			}
		}
	}
	if has("composite", "ceramic", "crown", "replace") {
		note(M("sheet.options.drawings"), Ref{})
	}
	if slices.ContainsFunc(list, func(r plan.RouteFacts) bool { return !drilled(r.Removal).IsZero() }) {
		note(M("sheet.common.paper", "Number", Decimal{paper, 1}), Ref{})
	}
	if slices.ContainsFunc(list, func(r plan.RouteFacts) bool { return r.Key == casefile.NoPrep }) {
		note(M("sheet.options.no-drilling"), Ref{})
	}
	x.moneyNotes(list, note)
	if slices.ContainsFunc(list, func(r plan.RouteFacts) bool { return !r.Dates.Likely.IsZero() && r.Visits.High > 0 }) {
		t := M("sheet.options.months")
		if len(x.pl.WaitFor) > 0 && !x.pl.OnHold {
			t = M("sheet.options.months-first")
		}
		note(t, Ref{})
	}
	if len(b.Items) > 0 {
		x.add(b)
	}
}

// moneyNotes say what the prices hold and what has none.
func (x *composer) moneyNotes(list []plan.RouteFacts, note func(Text, Ref)) {
	var keys []string
	var names Words
	known := false
	for _, r := range list {
		if !r.Money.Known { // said in its cell
			continue
		}
		known = true
		for _, key := range r.Money.Missing {
			if !slices.Contains(keys, key) {
				keys, names = append(keys, key), append(names, x.moneyLabel(key))
			}
		}
	}
	if known && slices.ContainsFunc(x.pl.First, func(f plan.First) bool { return f.Price != nil }) {
		note(M("sheet.options.prices-first"), Ref{})
	}
	if known && len(names) > 0 {
		note(M("sheet.money.no-fee", "List", names), Ref{})
	}
}

// pairTold reports whether composite and porcelain of one practice are under the table.
func (x *composer) pairTold() bool {
	return x.c.Detail != "words" && len(x.pl.SameSetting) > 0
}

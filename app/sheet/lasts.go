package sheet

import (
	"cmp"
	"math"
	"reflect"
	"slices"
	"strings"

	"plainleaf/app/casefile"
	"plainleaf/app/order"
	"plainleaf/app/plan"
)

// How long the options last. A row of the table has numbers of one group of studies only:
// those of veneers with no or a little drilling. What others rest on is listed apart, with
// the request not to set it beside the row; composite beside porcelain from one practice.

// middleYears is the horizon that sheets tell.
func (x *composer) middleYears() int {
	h, ok := x.b.Setting("horizon-2")
	if !ok {
		return 0
	}
	return int(h.Value)
}

// rowHorizon keeps a route's rows few: the middle horizon, the same for every route.
func (x *composer) rowHorizon(years int) bool { return years != 0 && years == x.middleYears() }

// ends is the kind of option that stays in the mouth: that of what follows, where
// something does.
func (x *composer) ends(r plan.RouteFacts) string {
	rule := x.b.Route(r.Key)
	if r.Then != "" {
		rule = x.b.Route(r.Then)
	}
	return rule.Kind
}

// stays are the expectations of one endpoint at the middle horizon, tooth by tooth alike.
func (x *composer) stays(r plan.RouteFacts, endpoint string) []plan.Expectation {
	var out []plan.Expectation
	for _, a := range plan.AlikeTeeth(r.Expectations) {
		for _, e := range a.List {
			if e.Endpoint == endpoint && x.rowHorizon(e.Years) && e.Route != "" && e.Material != "" {
				e.Teeth = a.Teeth
				out = append(out, e)
			}
		}
	}
	return out
}

// rowAnchor is the group of studies of the row: that of the veneers with the least
// drilling on the table of which a number is known.
func (x *composer) rowAnchor() string {
	for _, r := range x.offered() {
		if r.Mixed || r.Key != casefile.NoPrep && r.Key != casefile.MinimalPrep {
			continue
		}
		for _, e := range x.stays(r, plan.InPlace) {
			if e.HasNumber() {
				return e.Anchor
			}
		}
	}
	return ""
}

// inRow are the numbers of an option that have a place in the row; none where any of
// them comes from other studies.
func (x *composer) inRow(r plan.RouteFacts) []plan.Expectation {
	if x.c.Detail == "words" {
		return nil
	}
	anchor := x.rowAnchor()
	var out []plan.Expectation
	for _, e := range x.stays(r, plan.InPlace) {
		if !e.HasNumber() || e.Anchor != anchor {
			return nil
		}
		out = append(out, e)
	}
	return out
}

// lastsCell is how long an option lasts: its number where that has a place in the row.
func (x *composer) lastsCell(r plan.RouteFacts) Cell {
	rule := x.b.Route(r.Key)
	if r.Then != "" {
		rule = x.b.Route(r.Then)
	}
	words := Cell{Texts: []Text{M("lasts." + rule.Lasts)}}
	list := x.stays(r, plan.InPlace)
	switch {
	case r.Mixed && (x.c.Detail == "words" || len(list) == 0):
		return Cell{Texts: []Text{M("sheet.options.differs")}}
	case x.c.Detail == "words" || len(list) == 0:
		return words
	case rule.Kind == "composite" && !r.Mixed && x.pairTold():
		return Cell{Texts: []Text{M("sheet.options.below")}}
	}
	row := x.inRow(r)
	if len(row) > 0 && r.Key != r.Then && x.tabled(r.Then) {
		return Cell{Texts: []Text{M("lasts." + x.b.Route(r.Key).Lasts)}} // the number is that of its own column
	} else if len(row) > 0 {
		return x.numberCell(row)
	}
	if slices.ContainsFunc(list, func(e plan.Expectation) bool { return e.HasNumber() }) {
		return Cell{Texts: []Text{M("sheet.options.apart")}}
	}
	if slices.ContainsFunc(list, func(e plan.Expectation) bool { return e.PerTooth.Unknown == plan.TooUncertain }) {
		return Cell{Texts: []Text{M("sheet.options.too-uncertain")}}
	}
	return Cell{Texts: []Text{M("sheet.options.not-known")}}
}

// numberCell lists the numbers of one option, with their teeth where they differ.
func (x *composer) numberCell(list []plan.Expectation) Cell {
	var all []ofTeeth
	var figures []string
	for _, e := range list {
		all, figures = append(all, ofTeeth{text: x.estimate(e), teeth: Teeth(e.Teeth)}), union(figures, e.Figures)
	}
	for i := range all { // that it is our estimate is said once
		if i > 0 && !reflect.DeepEqual(all[i].text, all[0].text) {
			all[i].text = x.number(list[i])
		}
	}
	return Cell{Texts: x.byTeeth(all), Ref: Ref{Figures: figures, Sources: x.studies(figures, plan.InPlace)}}
}

// estimate is one number of 100, and for whom it holds.
func (x *composer) estimate(e plan.Expectation) Text {
	id := "sheet.options.estimate"
	if unguarded(e) {
		id += "-unguarded"
	}
	return M(id, "Text", Word{Told(x.b, e.PerTooth)})
}

// unguarded reports whether the number is for someone who clenches and wears no guard.
func unguarded(e plan.Expectation) bool { return slices.Contains(e.Modifiers, "bruxism-unguarded") }

// sureOf is how sure the numbers of the row are. That they are for someone without a
// guard, and what a guard does, is said with the number and with what was found.
func (x *composer) sureOf(list []plan.RouteFacts) string {
	for _, r := range list {
		for _, e := range x.inRow(r) {
			return string(e.Certainty)
		}
	}
	return ""
}

// mostStudies is how many studies paper names for one number. The screens and the sealed
// record list them all.
const mostStudies = 2

// studies names the studies behind a number, reviews first and then the largest: those
// that were counted, not those behind the way of counting.
func (x *composer) studies(figures []string, endpoint string) []int {
	size := map[string]int{}
	for _, p := range x.b.Pools {
		if p.Endpoint != endpoint || !slices.Contains(figures, p.Figure) {
			continue
		}
		for _, id := range p.Cohorts {
			if c := x.b.Cohort(id); c != nil {
				size[c.Source] = max(size[c.Source], c.Restorations)
			}
		}
		if f, ok := x.b.Figure(p.Published); ok {
			for _, s := range f.Source {
				size[s] = math.MaxInt
			}
		}
	}
	var ids []string
	for _, id := range figures {
		f, ok := x.b.Figure(id)
		if !ok || !f.Citable() {
			continue
		}
		for _, s := range f.Source {
			if size[s] > 0 && !slices.Contains(ids, s) {
				ids = append(ids, s)
			}
		}
	}
	order.By(ids, func(a, b string) int { return cmp.Compare(size[b], size[a]) })
	return x.named(ids[:min(len(ids), mostStudies)])
}

// numbers says what the numbers of the table leave open, and the numbers that have no
// place in it.
func (x *composer) numbers() {
	if x.c.Detail == "words" {
		return
	}
	open, other := together{x: x}, together{x: x}
	known, oneMouth := false, true
	for _, r := range x.offered() {
		list := x.stays(r, plan.InPlace)
		if len(list) == 0 || x.ends(r) == "composite" && !r.Mixed || r.Key != r.Then && x.tabled(r.Then) {
			continue
		}
		oneMouth = oneMouth && plan.OneSetting(r.Expectations)
		row := len(x.inRow(r)) > 0
		if !row {
			said, figures := x.apart(list)
			other.add(r, said, figures, x.studies(figures, plan.InPlace))
			known = known || len(figures) > 0
		}
		if row || r.Chosen { // of the others the one number is enough
			figures, sources := x.behindSeveral(r)
			open.add(r, x.several(r), figures, sources)
		}
	}
	if len(open.items)+len(other.items) == 0 {
		return
	}
	other.lead = N("sheet.options.apart-lead-unknown", x.middleYears())
	if known {
		other.lead = N("sheet.options.apart-lead", x.middleYears())
	}
	x.h2("sheet.options.numbers")
	open.put()
	other.put()
	x.add(x.numberNotes(known, oneMouth))
}

// numberNotes says what not to compare, what findings do to the numbers, and how far
// they reach. known is whether an option outside the table has a number, oneMouth whether
// all numbers are of one setting.
func (x *composer) numberNotes(known, oneMouth bool) Block {
	all := Block{Kind: List, Style: Fine}
	switch {
	case !oneMouth || x.rowAnchor() == "" && x.anchorsApart():
		all.Items = append(all.Items, Item{Text: M("sheet.expect.apart")})
	case known && x.rowAnchor() != "":
		all.Items = append(all.Items, Item{Text: M("sheet.options.apart-note")})
	}
	for _, t := range x.modifiers() {
		if t.ID != "modifier.bruxism-unguarded" { // the numbers say it themselves
			all.Items = append(all.Items, Item{Text: t})
		}
	}
	all.Items = append(all.Items, Item{Text: N("sheet.options.past", x.middleYears())})
	return all
}

// anchorsApart reports whether the numbers of the options come from more than one group
// of studies.
func (x *composer) anchorsApart() bool {
	anchors := map[string]bool{}
	for _, r := range x.offered() {
		for _, e := range x.stays(r, plan.InPlace) {
			if e.HasNumber() && (x.ends(r) != "composite" || r.Mixed) {
				anchors[e.Anchor] = true
			}
		}
	}
	return len(anchors) > 1
}

// together are options with what is said of them, those of which the same is said in one
// row.
type together struct {
	x     *composer
	lead  Text
	items []Item
	names []Words
}

func (g *together) add(r plan.RouteFacts, said []Text, figures []string, sources []int) {
	if len(said) == 0 {
		return
	}
	it := Item{Label: wayShort(r), Text: said[0], More: said[1:], Ref: Ref{Route: string(r.Key), Figures: figures, Sources: sources}}
	same := func(o Item) bool { return reflect.DeepEqual(o.Text, it.Text) && reflect.DeepEqual(o.More, it.More) }
	if i := slices.IndexFunc(g.items, same); i >= 0 {
		g.names[i] = append(g.names[i], it.Label)
		g.items[i].Label = M("sheet.options.list", "List", g.names[i])
		g.items[i].Ref.Route += " " + it.Ref.Route
		return
	}
	g.items, g.names = append(g.items, it), append(g.names, Words{it.Label})
}

// put adds the rows. Why something is not known is said once on a sheet.
func (g *together) put() {
	said := map[string]bool{}
	for i := range g.items {
		g.items[i].More = slices.DeleteFunc(g.items[i].More, func(t Text) bool {
			before := said[t.ID]
			said[t.ID] = strings.HasPrefix(t.ID, "unknown.")
			return before
		})
	}
	if len(g.items) > 0 {
		g.x.add(Block{Kind: Facts, Style: RunIn, Text: g.lead, Items: g.items})
	}
}

// behindSeveral is what the numbers of all the teeth of an option rest on.
func (x *composer) behindSeveral(r plan.RouteFacts) (figures []string, sources []int) {
	for _, endpoint := range []string{plan.InPlace, plan.NothingNeeded} {
		var own []string
		for _, e := range x.stays(r, endpoint) {
			if e.HasNumber() {
				own = union(own, e.Figures)
			}
		}
		figures = union(figures, own)
		for _, n := range x.studies(own, endpoint) {
			if !slices.Contains(sources, n) {
				sources = append(sources, n)
			}
		}
	}
	return figures, sources
}

// apart lists numbers that have no place in the row, teeth of the same number together,
// or why there are none.
func (x *composer) apart(list []plan.Expectation) (said []Text, figures []string) {
	var all []ofTeeth
	for _, e := range list {
		t := ofTeeth{text: x.number(e), teeth: Teeth(e.Teeth)}
		if e.HasNumber() {
			figures = union(figures, e.Figures)
		} else if e.PerTooth.Unknown != plan.TooUncertain {
			t.why = e.PerTooth.Unknown
		}
		all = append(all, t)
	}
	return x.byTeeth(all), figures
}

// number is one number of 100, or that there is none, after words that say of what.
func (x *composer) number(e plan.Expectation) Text {
	switch {
	case !e.HasNumber():
		return M("sheet.options.apart-unknown", "Text", Word{unknownWord(e.PerTooth.Unknown)})
	case unguarded(e):
		return M("sheet.options.apart-number-unguarded", "Text", Word{Told(x.b, e.PerTooth)})
	}
	return M("sheet.options.apart-number", "Text", Word{Told(x.b, e.PerTooth)})
}

// ofTeeth is what is said of some teeth, and why nothing is known of them.
type ofTeeth struct {
	text  Text
	teeth Teeth
	why   string
}

// byTeeth puts teeth of which the same is said together, and names them where there are
// others.
func (x *composer) byTeeth(list []ofTeeth) (said []Text) {
	var all []ofTeeth
	for _, t := range list {
		same := func(o ofTeeth) bool { return o.why == t.why && reflect.DeepEqual(o.text, t.text) }
		if i := slices.IndexFunc(all, same); i >= 0 {
			all[i].teeth = append(slices.Clone(all[i].teeth), t.teeth...)
			continue
		}
		all = append(all, t)
	}
	listed := x.c.ToothList()
	for _, t := range all {
		if len(all) > 1 {
			t.teeth = slices.Clone(t.teeth)
			order.By(t.teeth, func(a, b casefile.Tooth) int { return slices.Index(listed, a) - slices.Index(listed, b) })
			t.text = N("sheet.options.on-teeth", len(t.teeth), "Teeth", t.teeth, "Text", Word{t.text})
		}
		said = append(said, t.text)
		if t.why != "" {
			said = append(said, M("unknown."+t.why))
		}
	}
	return said
}

// several says how many of the teeth of an option may have to be done again, and how
// many may need nothing.
func (x *composer) several(r plan.RouteFacts) (said []Text) {
	var all *plan.Expectation
	for i := range r.Expectations { // that of all the teeth comes last
		if e := &r.Expectations[i]; e.Endpoint == plan.InPlace && x.rowHorizon(e.Years) {
			all = e
		}
	}
	if all != nil && counted(*all) {
		said = append(said, N("sheet.options.lost", all.Years, "Text", Word{HowMany(*all)}))
		id := "sheet.options.one-or-more"
		if !all.AtLeastOne.Known() {
			id += "-unknown"
		}
		said = append(said, M(id, "Text", Word{Told(x.b, all.AtLeastOne)}))
	}
	var needed []ofTeeth
	list := x.stays(r, plan.NothingNeeded)
	for _, e := range list {
		needed = append(needed, ofTeeth{text: M("sheet.options.apart-number", "Text", Word{Told(x.b, e.PerTooth)}), teeth: Teeth(e.Teeth)})
	}
	switch told := x.byTeeth(needed); len(told) {
	case 0:
	case 1:
		id := "sheet.options.nothing-needed"
		if !list[0].HasNumber() {
			id += "-unknown"
		}
		said = append(said, M(id, "Text", Word{Told(x.b, list[0].PerTooth)}))
	default:
		said = append(append(said, M("sheet.options.nothing-needed-lead")), told...)
	}
	return said
}

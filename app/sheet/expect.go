package sheet

import (
	"slices"

	"plainleaf/app/evidence"
	"plainleaf/app/plan"
)

// endpoint tells one endpoint over all years: the known ones with how sure they
// are, said again only where it changes, then the years that no study reaches.
func (x *composer) endpoint(es []plan.Expectation) []Text {
	var known, unknown []Text
	var sure evidence.Certainty
	for _, e := range es {
		if !e.Known || !e.PerTooth.Known() {
			unknown = append(unknown, x.lasting(e)...)
			continue
		}
		if sure != "" && sure != e.Certainty {
			known = append(known, M("certainty."+string(sure)))
		}
		sure = e.Certainty
		known = append(known, Lasting(x.b, e))
	}
	if sure != "" {
		known = append(known, M("certainty."+string(sure)))
	}
	return append(known, unknown...)
}

// lasting tells one endpoint of one restoration after some years: range first,
// as numbers of 100, both frames, with certainty and sources. A blank is told
// with the same weight.
func (x *composer) lasting(e plan.Expectation) []Text {
	if !e.Known || !e.PerTooth.Known() {
		key := e.PerTooth.Unknown
		return []Text{N("sheet.last.unknown", e.Years, "Text", Word{M("unknown." + key)})}
	}
	return []Text{Lasting(x.b, e), M("certainty." + string(e.Certainty))}
}

// together tells what n teeth of one mouth may need, and how sure that is.
func (x *composer) together(e plan.Expectation) []Text {
	ts := Together(x.b, e)
	if len(ts) > 0 {
		ts = append(ts, M("certainty."+string(e.Together)))
	}
	return ts
}

// expectations are the numbers for the chosen route, or words only for a
// patient who asked for no numbers.
func (x *composer) expectations() {
	if len(x.pl.Expectations) == 0 {
		return
	}
	x.h2("sheet.expect.title")
	if x.c.Detail == "words" {
		x.para(M("sheet.expect.words"), Ref{})
		return
	}
	x.para(M("sheet.expect.intro"), Ref{})
	seen := map[string]bool{}
	for _, e := range x.pl.Expectations {
		if e.Route == "" { // the mouth as a whole
			continue
		}
		key := string(e.Route) + "/" + string(e.Material)
		if !seen[key] {
			seen[key] = true
			x.heading(3, x.teethShort(e.Teeth), Ref{Teeth: e.Teeth})
			x.para(routeWithMaterial(e.Route, e.Material), Ref{Route: string(e.Route)})
			x.expectationRows(key)
		}
	}
	var items []Item
	for _, e := range x.pl.Expectations {
		if e.Route == "" && e.Known && x.rowHorizon(e.Years) {
			if ts := x.together(e); len(ts) > 0 {
				items = append(items, Item{Label: M("sheet.expect.row."+e.Endpoint, "Years", Int(e.Years)), Text: ts[0], More: ts[1:], Ref: x.ref(e.Figures)})
			}
		}
	}
	if len(items) > 0 {
		x.heading(3, M("sheet.expect.whole"), Ref{})
		x.add(Block{Kind: Facts, Style: RunIn, Items: items})
	}
	var more []Text
	if len(x.c.Teeth) > 1 {
		more = append(more, M("sheet.together.shared"))
		if len(items) > 0 && !plan.OneSetting(x.pl.Expectations) {
			more = append(more, M("sheet.together.settings"))
		}
	}
	more = append(more, x.modifiers()...)
	if h, ok := x.b.Setting("horizon-3"); ok {
		more = append(more, M("sheet.expect.limits", "Years", Int(h.Value)))
	}
	if len(more) > 0 {
		x.flow(Item{Text: more[0], More: more[1:]})
	}
}

func (x *composer) expectationRows(key string) {
	b := Block{Kind: Facts, Style: RunIn}
	var pictures []Block
	var order []string
	by := map[string][]plan.Expectation{}
	for _, e := range x.pl.Expectations {
		if string(e.Route)+"/"+string(e.Material) != key {
			continue
		}
		if len(by[e.Endpoint]) == 0 {
			order = append(order, e.Endpoint)
		}
		by[e.Endpoint] = append(by[e.Endpoint], e)
		// One picture for each endpoint, at the middle horizon, whose sentence stands in the row.
		if x.c.Detail == "numbers" && x.rowHorizon(e.Years) && e.Known && e.PerTooth.Known() {
			drawn := Drawn(x.b, e)
			ref := x.ref(e.Figures)
			ref.Teeth = e.Teeth
			pictures = append(pictures, Block{Kind: Icons, Picture: &drawn, Text: Lasting(x.b, e), Keep: true, Ref: ref,
				Items: []Item{{Label: M("sheet.expect.row."+e.Endpoint, "Years", Int(e.Years))}}})
		}
	}
	for _, endpoint := range order {
		var figures []string
		for _, e := range by[endpoint] {
			figures = append(figures, e.Figures...)
		}
		slices.Sort(figures)
		ts := x.endpoint(by[endpoint])
		it := Item{Label: M("sheet.expect." + endpoint), Text: ts[0], More: ts[1:], Ref: x.ref(slices.Compact(figures))}
		it.Ref.Teeth = by[endpoint][0].Teeth
		b.Items = append(b.Items, it)
		for _, e := range by[endpoint] { // one horizon for all teeth together keeps the sheet short
			if ts := x.together(e); x.rowHorizon(e.Years) && len(ts) > 0 {
				all := Item{Label: M("sheet.expect.whole"), Text: ts[0], More: ts[1:], Ref: x.ref(e.Figures)}
				all.Ref.Teeth = e.Teeth
				b.Items = append(b.Items, all)
			}
		}
	}
	if len(b.Items) > 0 {
		x.add(b)
	}
	for _, p := range pictures {
		x.add(p)
	}
}

// modifiers tells in words which findings raise a risk whose size is unknown.
func (x *composer) modifiers() []Text {
	seen := map[string]bool{}
	var out []Text
	for _, e := range x.pl.Expectations {
		for _, m := range e.Modifiers {
			if !seen[m] {
				seen[m] = true
				out = append(out, M("modifier."+m))
			}
		}
	}
	return out
}

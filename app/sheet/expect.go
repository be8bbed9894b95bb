package sheet

import (
	"reflect"
	"slices"
	"strconv"

	"plainleaf/app/evidence"
	"plainleaf/app/plan"
	"plainleaf/app/veneer"
)

// endpoint tells one endpoint over all years: the known ones with how sure they
// are, said again only where it changes, then the years that no study reaches. What
// is unknown for one reason from some year on is told once.
func (x *composer) endpoint(es []plan.Expectation) []Text {
	var known, unknown []Text
	var sure evidence.Certainty
	for i, e := range es {
		if !e.Known || !e.PerTooth.Known() {
			on := !slices.ContainsFunc(es[i:], func(o plan.Expectation) bool { return o.PerTooth.Unknown != e.PerTooth.Unknown })
			switch why := (Word{M("unknown." + e.PerTooth.Unknown)}); {
			case on && i == 0:
				unknown = append(unknown, M("sheet.last.unknown-ever", "Text", why))
			case on && i < len(es)-1:
				unknown = append(unknown, N("sheet.last.unknown-on", e.Years, "Text", why))
			default:
				unknown = append(unknown, x.lasting(e)...)
				continue
			}
			break
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
	apart := !plan.OneSetting(x.pl.Expectations)
	if apart {
		x.para(M("sheet.expect.apart"), Ref{})
	}
	for _, a := range plan.AlikeTeeth(x.pl.Expectations) {
		x.heading(3, x.teethShort(a.Teeth), Ref{Teeth: a.Teeth})
		x.para(x.treatment(a.Route, a.Material), Ref{Route: string(a.Route)})
		x.expectationRows(a)
	}
	var items []Item
	counted := false
	for _, e := range x.pl.Expectations {
		if e.Route != "" || !x.rowHorizon(e.Years) {
			continue
		}
		ts := x.together(e)
		if counted = counted || len(ts) > 0; len(ts) == 0 && !e.Known {
			ts = x.lasting(e) // what is not known weighs as much as a number
		}
		if len(ts) > 0 {
			items = append(items, Item{Label: M("sheet.expect.row."+e.Endpoint, "Years", Int(e.Years)), Text: ts[0], More: ts[1:], Ref: x.ref(e.Figures)})
		}
	}
	if len(items) > 0 {
		x.heading(3, M("sheet.expect.whole"), Ref{})
		x.add(Block{Kind: Facts, Style: RunIn, Items: items})
	}
	var more []Text
	if len(x.c.Teeth) > 1 {
		more = append(more, M("sheet.together.shared"))
		if counted && apart {
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

// expectationRows tells both endpoints of teeth of one outlook.
func (x *composer) expectationRows(a plan.Alike) {
	b := Block{Kind: Facts, Style: RunIn}
	var pictures []Block
	var order []string
	by := map[string][]plan.Expectation{}
	for _, e := range a.List {
		if len(by[e.Endpoint]) == 0 {
			order = append(order, e.Endpoint)
		}
		by[e.Endpoint] = append(by[e.Endpoint], e)
		// One picture for each endpoint, at the middle horizon, whose sentence stands in the row.
		if x.c.Detail == "numbers" && x.rowHorizon(e.Years) && e.Known && e.PerTooth.Known() {
			drawn := Drawn(x.b, e)
			ref := x.ref(e.Figures)
			ref.Teeth = a.Teeth
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
		it.Ref.Teeth = a.Teeth
		b.Items = append(b.Items, it)
		for _, e := range by[endpoint] { // one horizon for all teeth together keeps the sheet short
			if ts := x.together(e); x.rowHorizon(e.Years) && len(ts) > 0 {
				all := Item{Label: M("sheet.expect.whole"), Text: ts[0], More: ts[1:], Ref: x.ref(e.Figures)}
				all.Ref.Teeth = a.Teeth
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

// LastRow is one endpoint of the restorations of one way at one horizon.
type LastRow struct {
	Endpoint string
	Known    bool
	Texts    []Text
	Teeth    []veneer.Tooth // where not the same holds of all its teeth
	Figures  []string
}

// LastRows tell how long the restorations of a way last, the teeth of one outlook
// each for themselves and never as a mean that no study had; teeth of which the
// same is told stand together. after picks the horizons, text tells one of them.
func LastRows(list []plan.Expectation, after func(years int) bool, text func(plan.Expectation) []Text) []LastRow {
	var out []LastRow
	n := map[string]int{}
	for _, endpoint := range []string{plan.InPlace, plan.NothingNeeded} {
		for _, a := range plan.AlikeTeeth(list) {
			for _, e := range a.List {
				if e.Endpoint != endpoint || !after(e.Years) {
					continue
				}
				row := LastRow{endpoint, e.Known, text(e), a.Teeth, e.Figures}
				same := func(o LastRow) bool { return o.Endpoint == endpoint && reflect.DeepEqual(o.Texts, row.Texts) }
				if i := slices.IndexFunc(out, same); i >= 0 {
					out[i].Teeth = veneer.SortTeeth(append(slices.Clone(out[i].Teeth), a.Teeth...))
					out[i].Figures = union(out[i].Figures, e.Figures)
					continue
				}
				out = append(out, row)
				n[endpoint+strconv.Itoa(e.Years)]++
			}
		}
	}
	apart := false
	for _, k := range n {
		apart = apart || k > 1
	}
	for i := range out {
		if !apart {
			out[i].Teeth = nil
		}
	}
	return out
}

func union(a, b []string) []string {
	out := append(slices.Clone(a), b...)
	slices.Sort(out)
	return slices.Compact(out)
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

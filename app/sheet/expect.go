package sheet

import (
	"math"

	"plainleaf/app/plan"
)

// lasting tells one endpoint of one restoration after some years: range first,
// as numbers of 100, both frames, with certainty and sources. A blank is told
// with the same weight.
func (x *composer) lasting(e plan.Expectation) []Text {
	if !e.Known || !e.PerTooth.Known() {
		key := e.PerTooth.Unknown
		return []Text{N("sheet.last.unknown", e.Years, "Text", Word{M("unknown." + key)})}
	}
	lo, hi := x.inHundred(e.PerTooth.Low), x.inHundred(e.PerTooth.High)
	if lo == 0 && e.PerTooth.Low > 0 {
		lo = 1 // what can happen is never printed as none
	}
	id := "sheet.last." + e.Endpoint
	var out []Text
	switch {
	case hi >= 100 && lo >= 100:
		out = append(out, N(id+".nearly-all", e.Years))
	case hi >= 100:
		out = append(out, N(id+".to-nearly-all", e.Years, "Low", Int(lo), "High", Int(100-lo)))
	case lo == hi:
		out = append(out, N(id+".about", e.Years, "Number", Int(lo), "Total", Int(100-lo)))
	default:
		out = append(out, N(id+".range", e.Years, "Low", Int(lo), "High", Int(hi), "From", Int(100-hi), "To", Int(100-lo)))
	}
	return append(out, M("certainty."+string(e.Certainty)))
}

// together tells what n teeth of one mouth may need.
func (x *composer) together(e plan.Expectation) []Text {
	n := len(e.Teeth)
	if !e.Known || n < 2 || !e.Expected.Known() || !e.AtLeastOne.Known() {
		return nil
	}
	lo, hi := int(math.Floor(e.Expected.Low)), min(max(int(math.Ceil(e.Expected.High)), 1), n)
	var out []Text
	if lo < 1 {
		out = append(out, N("sheet.together.expected", e.Years, "Total", Int(n), "High", Int(hi)))
	} else {
		out = append(out, N("sheet.together.expected-range", e.Years, "Total", Int(n), "Low", Int(lo), "High", Int(hi)))
	}
	// A chance is never shown as none or as certain.
	step := 1
	if s, ok := x.b.Setting("rounding"); ok {
		step = int(math.Round(s.Value * 100))
	}
	lo1, hi1 := x.inHundred(e.AtLeastOne.Low), min(max(x.inHundred(e.AtLeastOne.High), step), 100-step)
	switch {
	case lo1 <= 0:
		out = append(out, M("sheet.together.at-least-one.up-to", "High", Int(hi1)))
	case lo1 >= hi1:
		out = append(out, M("sheet.together.at-least-one.about", "Number", Int(hi1)))
	default:
		out = append(out, M("sheet.together.at-least-one.range", "Low", Int(lo1), "High", Int(hi1)))
	}
	return out
}

// expectations are the numbers for the chosen route, or words only for a
// patient who asked for no numbers.
func (x *composer) expectations() {
	if len(x.pl.Expectations) == 0 {
		return
	}
	x.h2("sheet.expect.title")
	x.para(M("sheet.expect.intro"), Ref{})
	if x.c.Detail == "words" {
		x.para(M("sheet.expect.words"), Ref{})
		return
	}
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
	for _, e := range x.pl.Expectations {
		if string(e.Route)+"/"+string(e.Material) != key {
			continue
		}
		ts := x.lasting(e)
		if x.rowHorizon(e.Years) { // one horizon for all teeth together keeps the sheet short
			ts = append(ts, x.together(e)...)
		}
		it := Item{Label: M("sheet.expect.row."+e.Endpoint, "Years", Int(e.Years)), Text: ts[0], More: ts[1:], Ref: x.ref(e.Figures)}
		it.Ref.Teeth = e.Teeth
		b.Items = append(b.Items, it)
		// One picture for each endpoint, at the middle horizon, whose sentence stands in the row.
		if x.c.Detail == "numbers" && x.rowHorizon(e.Years) && e.Known && e.PerTooth.Known() {
			lo, hi := x.inHundred(e.PerTooth.Low), x.inHundred(e.PerTooth.High)
			if hi > 0 {
				pictures = append(pictures, Block{Kind: Icons, Picture: &Picture{Low: lo, High: min(hi, 99), Of: 100}, Text: ts[0],
					Items: []Item{{Label: it.Label}}, Keep: true, Ref: it.Ref})
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

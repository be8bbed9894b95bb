package sheet

import (
	"reflect"
	"slices"
	"strconv"

	"plainleaf/app/evidence"
	"plainleaf/app/plan"
	"plainleaf/app/veneer"
)

// blank tells the years of one endpoint that no study reaches. What is unknown for
// one reason from some year on is told once.
func (x *composer) blank(es []plan.Expectation) []Text {
	var out []Text
	for i, e := range es {
		on := !slices.ContainsFunc(es[i:], func(o plan.Expectation) bool { return o.PerTooth.Unknown != e.PerTooth.Unknown })
		switch why := (Word{M("unknown." + e.PerTooth.Unknown)}); {
		case on && i == 0:
			return append(out, M("sheet.last.unknown-ever", "Text", why))
		case on && i < len(es)-1:
			return append(out, N("sheet.last.unknown-on", e.Years, "Text", why))
		}
		out = append(out, x.lasting(e)...)
	}
	return out
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
	var all []plan.Expectation
	for _, e := range x.pl.Expectations {
		if e.Route == "" && x.rowHorizon(e.Years) {
			all = append(all, e)
		}
	}
	if len(all) > 0 {
		x.heading(3, M("sheet.expect.whole"), Ref{})
		x.together(all)
		b := Block{Kind: Facts, Style: RunIn}
		for _, e := range all {
			if !counted(e) && !e.Known { // what is not known weighs as much as a number
				ts := x.lasting(e)
				b.Items = append(b.Items, Item{Label: M("sheet.expect.row."+e.Endpoint, "Years", Int(e.Years)), Text: ts[0], More: ts[1:], Ref: x.ref(e.Figures)})
			}
		}
		if len(b.Items) > 0 {
			x.add(b)
		}
	}
	var more []Text
	if len(x.c.Teeth) > 1 {
		more = append(more, M("sheet.together.shared"))
		if apart && slices.ContainsFunc(x.pl.Expectations, counted) {
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

// expectationRows tells both endpoints of teeth of one outlook: a table of how many
// of 100, then what all of them together may need, and one picture of each endpoint.
func (x *composer) expectationRows(a plan.Alike) {
	known := func(e plan.Expectation) bool { return e.Known && e.PerTooth.Known() }
	var order, told []string // endpoints, and those of which some year is known
	var years []int
	by := map[string]map[int]plan.Expectation{}
	for _, e := range a.List {
		if by[e.Endpoint] == nil {
			by[e.Endpoint] = map[int]plan.Expectation{}
			order = append(order, e.Endpoint)
		}
		by[e.Endpoint][e.Years] = e
		if known(e) && !slices.Contains(told, e.Endpoint) {
			told = append(told, e.Endpoint)
		}
		if !slices.Contains(years, e.Years) {
			years = append(years, e.Years)
		}
	}
	slices.Sort(years)
	about := func(figures []string) Ref {
		ref := x.ref(figures)
		ref.Teeth = a.Teeth
		return ref
	}
	var pictures []Block
	if len(told) > 0 {
		table := Block{Kind: Table, Text: M("sheet.expect.of-hundred"), Columns: []Text{M("sheet.expect.after")}, Keep: true}
		var all []string
		var why []Text
		for _, endpoint := range told {
			table.Columns = append(table.Columns, M("sheet.expect."+endpoint))
		}
		for i, y := range years {
			row := Item{Label: N("sheet.expect.years", y)}
			var figures []string
			blank := true
			for _, endpoint := range told {
				e := by[endpoint][y]
				cell := Cell{[]Text{M("number.unknown")}}
				if known(e) {
					share, rest := InCell(x.b, e.PerTooth)
					cell = Cell{[]Text{share, M("sheet.expect.rest."+endpoint, "Text", Word{rest})}}
					figures, blank = union(figures, e.Figures), false
				} else if reason := M("unknown." + e.PerTooth.Unknown); !slices.ContainsFunc(why, func(o Text) bool { return o.ID == reason.ID }) {
					why = append(why, reason)
				}
				row.Cells = append(row.Cells, cell)
			}
			row.Ref = about(figures)
			all = union(all, figures)
			if blank && i+1 < len(years) && !slices.ContainsFunc(years[i:], func(y int) bool {
				return slices.ContainsFunc(told, func(endpoint string) bool { return known(by[endpoint][y]) })
			}) {
				row.Label = N("sheet.expect.years-on", y)
				table.Items = append(table.Items, row)
				break
			}
			table.Items = append(table.Items, row)
		}
		table.Ref = about(all)
		x.add(table)
		x.sure(why, "sheet.expect.", told, years, func(endpoint string, y int) evidence.Certainty {
			if e := by[endpoint][y]; known(e) {
				return e.Certainty
			}
			return ""
		})
	}
	var at []plan.Expectation // one horizon for all teeth together, and for the pictures, keeps the sheet short
	for _, endpoint := range order {
		for _, y := range years {
			if e, ok := by[endpoint][y]; ok && x.rowHorizon(y) {
				at = append(at, e)
				if x.c.Detail == "numbers" && known(e) {
					drawn := Drawn(x.b, e)
					pictures = append(pictures, Block{Kind: Icons, Style: Tabled, Picture: &drawn, Text: Lasting(x.b, e), Keep: true, Ref: about(e.Figures),
						Items: []Item{{Label: M("sheet.expect.row."+endpoint, "Years", Int(y))}}})
				}
			}
		}
	}
	x.together(at)
	blank := Block{Kind: Facts, Style: RunIn}
	for _, endpoint := range order {
		if slices.Contains(told, endpoint) {
			continue
		}
		var es []plan.Expectation
		for _, y := range years {
			if e, ok := by[endpoint][y]; ok {
				es = append(es, e)
			}
		}
		ts := x.blank(es)
		blank.Items = append(blank.Items, Item{Label: M("sheet.expect." + endpoint), Text: ts[0], More: ts[1:], Ref: about(nil)})
	}
	if len(blank.Items) > 0 {
		x.add(blank)
	}
	for _, p := range pictures {
		x.add(p)
	}
}

// sure tells, after some words, how sure the numbers of a table are: once where all
// are alike, else of each column, whose title is the endpoint after name, and of each
// year where they differ within one.
func (x *composer) sure(words []Text, name string, endpoints []string, years []int, of func(endpoint string, years int) evidence.Certainty) {
	var all, each []evidence.Certainty
	b := Block{Kind: Facts, Style: RunIn}
	for _, endpoint := range endpoints {
		each = nil
		var rows []Item
		for _, y := range years {
			if c := of(endpoint, y); c != "" {
				each = append(each, c)
				rows = append(rows, Item{Label: M("sheet.expect.row."+endpoint, "Years", Int(y)), Text: M("certainty." + string(c))})
			}
		}
		if all = append(all, each...); len(each) > 0 && !slices.ContainsFunc(each, func(c evidence.Certainty) bool { return c != each[0] }) {
			rows = []Item{{Label: M(name + endpoint), Text: M("certainty." + string(each[0]))}}
		}
		b.Items = append(b.Items, rows...)
	}
	if alike := !slices.ContainsFunc(all, func(c evidence.Certainty) bool { return c != all[0] }); alike && len(all) > 0 {
		words, b.Items = append(words, M("certainty."+string(all[0]))), nil
	}
	if len(words) > 0 {
		x.flow(Item{Text: words[0], More: words[1:]})
	}
	if len(b.Items) > 0 {
		x.add(b)
	}
}

// together tells as a table what n teeth of one mouth may need by one horizon: how
// many of them, and the chances that at least one and that two or more do.
func (x *composer) together(es []plan.Expectation) {
	es = slices.DeleteFunc(slices.Clone(es), func(e plan.Expectation) bool { return !counted(e) })
	if len(es) == 0 {
		return
	}
	n := len(es[0].Teeth)
	b := Block{Kind: Table, Text: N("sheet.expect.yours", es[0].Years, "Total", Int(n)), Columns: []Text{M("sheet.expect.count")}, Keep: true,
		Items: []Item{{Label: M("sheet.expect.how-many", "Total", Int(n))}, {Label: M("sheet.expect.one-or-more")}, {Label: M("sheet.expect.two-or-more")}}}
	var endpoints []string
	var figures []string
	for _, e := range es {
		b.Columns = append(b.Columns, M("sheet.expect.event."+e.Endpoint))
		for i, t := range []Text{teethInCell(e), chanceInCell(x.b, e.AtLeastOne), chanceInCell(x.b, e.Several)} {
			b.Items[i].Cells = append(b.Items[i].Cells, Cell{[]Text{t}})
		}
		endpoints, figures = append(endpoints, e.Endpoint), union(figures, e.Figures)
	}
	b.Ref = x.ref(figures)
	b.Ref.Teeth = es[0].Teeth
	for i := range b.Items {
		b.Items[i].Ref = b.Ref
	}
	x.add(b)
	x.sure(nil, "sheet.expect.event.", endpoints, []int{es[0].Years}, func(endpoint string, _ int) evidence.Certainty {
		return es[slices.Index(endpoints, endpoint)].Together
	})
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

package sheet

import (
	"reflect"
	"slices"
	"strconv"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
	"plainleaf/app/plan"
)

// blank tells the years of one endpoint that no study reaches. What is unknown for
// one reason from some year on is told once.
func (x *composer) blank(es []plan.Expectation) []Text {
	var out []Text
	for i, e := range es {
		on := !slices.ContainsFunc(es[i:], func(o plan.Expectation) bool { return o.PerTooth.Unknown != e.PerTooth.Unknown })
		switch why := (Word{M("unknown." + e.PerTooth.Unknown)}); {
		case e.PerTooth.Unknown == plan.TooUncertain:
		case on && i == 0:
			return append(out, M("sheet.last.unknown-ever", "Text", why))
		case on && i < len(es)-1:
			return append(out, N("sheet.last.unknown-on", e.Years, "Text", why))
		}
		out = append(out, x.lasting(e)...)
	}
	return out
}

// lasting tells one endpoint of one restoration after some years, with how sure it is.
// A blank has the same weight.
func (x *composer) lasting(e plan.Expectation) []Text {
	if !e.HasNumber() {
		return []Text{N(unknownAfter(e), e.Years, "Text", Word{M("unknown." + e.PerTooth.Unknown)})}
	}
	return []Text{Lasting(x.b, e), M("certainty." + string(e.Certainty))}
}

// unknownAfter is the message for a year without a number.
func unknownAfter(e plan.Expectation) string {
	if e.PerTooth.Unknown == plan.TooUncertain {
		return "sheet.last.too-uncertain"
	}
	return "sheet.last.unknown"
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
			if !e.Known { // what is not known weighs as much as a number
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
	var endpoints []string
	var years []int
	of := outlook(a.List)
	for _, e := range a.List {
		if !slices.Contains(endpoints, e.Endpoint) {
			endpoints = append(endpoints, e.Endpoint)
		}
		if !slices.Contains(years, e.Years) {
			years = append(years, e.Years)
		}
	}
	slices.Sort(years)
	x.ofHundred(a, of.told(endpoints, years), years)
	var pictures []Block
	var at []plan.Expectation // one horizon for all teeth together, and for the pictures, keeps the sheet short
	blank := Block{Kind: Facts, Style: RunIn}
	for _, endpoint := range endpoints {
		var rest []plan.Expectation
		known := false
		for _, y := range years {
			e := of.find(endpoint, y)
			if e == nil {
				continue
			}
			rest = append(rest, *e)
			known = known || e.HasNumber()
			if !x.rowHorizon(y) {
				continue
			}
			at = append(at, *e)
			if x.c.Detail == "numbers" && e.HasNumber() {
				drawn := Drawn(x.b, *e)
				pictures = append(pictures, Block{Kind: Icons, Style: Tabled, Picture: &drawn, Text: Lasting(x.b, *e), Keep: true, Ref: x.about(a, e.Figures),
					Items: []Item{{Label: M("sheet.expect.row."+endpoint, "Years", Int(y))}}})
			}
		}
		if !known {
			ts := x.blank(rest)
			blank.Items = append(blank.Items, Item{Label: M("sheet.expect." + endpoint), Text: ts[0], More: ts[1:], Ref: x.about(a, nil)})
		}
	}
	x.together(at)
	if len(blank.Items) > 0 {
		x.add(blank)
	}
	for _, p := range pictures {
		x.add(p)
	}
}

func (x *composer) about(a plan.Alike, figures []string) Ref {
	ref := x.ref(figures)
	ref.Teeth = a.Teeth
	return ref
}

// outlook is what is expected of teeth that are alike.
type outlook []plan.Expectation

func (o outlook) find(endpoint string, years int) *plan.Expectation {
	for i := range o {
		if o[i].Endpoint == endpoint && o[i].Years == years {
			return &o[i]
		}
	}
	return nil
}

// told are the endpoints of which a number is known for some of the years.
func (o outlook) told(endpoints []string, years []int) (out []string) {
	for _, endpoint := range endpoints {
		for _, y := range years {
			if e := o.find(endpoint, y); e != nil && e.HasNumber() {
				out = append(out, endpoint)
				break
			}
		}
	}
	return out
}

// blankAlike reports whether nothing is known of the endpoints in any of the years, for
// one reason each.
func (o outlook) blankAlike(endpoints []string, years []int) bool {
	for _, endpoint := range endpoints {
		first := o.find(endpoint, years[0])
		for _, y := range years {
			if e := o.find(endpoint, y); e != nil && (e.HasNumber() || first == nil || e.PerTooth.Unknown != first.PerTooth.Unknown) {
				return false
			}
		}
	}
	return true
}

// ofHundred is the table of how many of 100 last: the years below each other, up to
// the first from which on nothing is known, and below it why, and how sure it is.
func (x *composer) ofHundred(a plan.Alike, endpoints []string, years []int) {
	if len(endpoints) == 0 {
		return
	}
	of := outlook(a.List)
	table := Block{Kind: Table, Text: M("sheet.expect.of-hundred"), Columns: []Text{M("sheet.expect.after")}, Keep: true}
	for _, endpoint := range endpoints {
		table.Columns = append(table.Columns, M("sheet.expect."+endpoint))
	}
	var all, reasons []string
	for i, y := range years {
		row := Item{Label: N("sheet.expect.years", y)}
		last := of.blankAlike(endpoints, years[i:])
		if last && i+1 < len(years) {
			row.Label = N("sheet.expect.years-on", y)
		}
		var figures []string
		for _, endpoint := range endpoints {
			text := M("number.unknown")
			if e := of.find(endpoint, y); e != nil {
				text = Told(x.b, e.PerTooth)
				why := e.PerTooth.Unknown
				if why == "" || why == plan.TooUncertain {
					figures = union(figures, e.Figures)
				}
				if why != "" && !slices.Contains(reasons, why) {
					reasons = append(reasons, why)
				}
			}
			row.Cells = append(row.Cells, Cell{[]Text{text}})
		}
		row.Ref = x.about(a, figures)
		all = union(all, figures)
		if table.Items = append(table.Items, row); last {
			break
		}
	}
	table.Ref = x.about(a, all)
	x.add(table)
	var why []Text
	for _, r := range reasons {
		why = append(why, M("unknown."+r))
	}
	x.sure(why, "sheet.expect.", endpoints, years, func(endpoint string, y int) evidence.Certainty {
		if e := of.find(endpoint, y); e != nil && e.HasNumber() {
			return e.Certainty
		}
		return ""
	})
}

// sure tells, after some words, how sure the numbers of a table are: once where all
// are alike, else of each column, whose title is the endpoint after name, and of each
// year where they differ within one.
func (x *composer) sure(words []Text, name string, endpoints []string, years []int, of func(endpoint string, years int) evidence.Certainty) {
	var first evidence.Certainty
	alike := true
	b := Block{Kind: Facts, Style: RunIn}
	for _, endpoint := range endpoints {
		var own evidence.Certainty
		same := true
		var rows []Item
		for _, y := range years {
			c := of(endpoint, y)
			if c == "" {
				continue
			}
			if own == "" {
				own = c
			}
			if first == "" {
				first = c
			}
			same, alike = same && c == own, alike && c == first
			rows = append(rows, Item{Label: M("sheet.expect.row."+endpoint, "Years", Int(y)), Text: M("certainty." + string(c))})
		}
		if len(rows) > 0 && same {
			rows = []Item{{Label: M(name + endpoint), Text: M("certainty." + string(own))}}
		}
		b.Items = append(b.Items, rows...)
	}
	if alike && first != "" {
		words, b.Items = append(words, M("certainty."+string(first))), nil
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
	all := es
	es = nil
	for _, e := range all {
		if counted(e) {
			es = append(es, e)
		}
	}
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
		for i, t := range []Text{HowMany(e), Told(x.b, e.AtLeastOne), Told(x.b, e.Several)} {
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
	Teeth    []casefile.Tooth // where not the same holds of all its teeth
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
					out[i].Teeth = casefile.SortTeeth(append(slices.Clone(out[i].Teeth), a.Teeth...))
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

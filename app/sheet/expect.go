package sheet

import (
	"reflect"
	"slices"

	"plainleaf/app/casefile"
	"plainleaf/app/order"
	"plainleaf/app/plan"
)

// lasting tells one endpoint of one restoration after some years, with how sure it is.
// A blank has the same weight, and its reason.
func (x *composer) lasting(e plan.Expectation) []Text {
	switch {
	case e.HasNumber():
		return []Text{Lasting(x.b, e), M("certainty." + string(e.Certainty))}
	case e.PerTooth.Unknown == plan.TooUncertain:
		return []Text{blank(e)}
	}
	return []Text{blank(e), M("unknown." + e.PerTooth.Unknown)}
}

// blank tells that there is no number for some years.
func blank(e plan.Expectation) Text {
	return N("sheet.last.blank", e.Years, "Text", Word{unknownWord(e.PerTooth.Unknown)})
}

// expectations are the numbers for the chosen route, or words only for a patient who
// asked for no numbers. Teeth of one outlook are together, and what is the same for all
// the teeth of a mouth of several has its own part.
func (x *composer) expectations() {
	open := M("sheet.consent.no-promise")
	if len(x.pl.Expectations) == 0 {
		x.add(Block{Kind: Paragraph, Style: Note, Text: open})
		return
	}
	x.h2("sheet.expect.title")
	if x.c.Detail == "words" {
		x.add(Block{Kind: List, Style: Fine, Items: []Item{{Text: M("sheet.expect.words"), More: []Text{open}}}})
		return
	}
	apart := !plan.OneSetting(x.pl.Expectations)
	if apart {
		x.para(M("sheet.expect.apart"), Ref{})
	}
	groups := plan.AlikeTeeth(x.pl.Expectations)
	for _, a := range groups {
		if len(groups) > 1 {
			x.heading(3, x.teethShort(a.Teeth), Ref{Teeth: a.Teeth})
			x.para(x.treatment(a.Route, a.Material), Ref{Route: string(a.Route)})
		}
		x.chances(a.Teeth, a.List)
	}
	var more []Text
	whole := slices.DeleteFunc(slices.Clone(x.pl.Expectations), func(e plan.Expectation) bool { return e.Route != "" })
	switch {
	case len(whole) > 0 && alwaysBlank(whole):
		more = append(more, M("unknown."+whole[0].PerTooth.Unknown))
	case len(whole) > 0:
		x.heading(3, M("sheet.expect.whole"), Ref{})
		x.chances(whole[0].Teeth, whole)
	}
	more = append(append(more, x.behind(apart && slices.ContainsFunc(whole, counted))...), open)
	x.add(Block{Kind: List, Style: Fine, Items: []Item{{Text: more[0], More: more[1:]}}})
}

// behind is what all the numbers leave open: that teeth of one mouth are not alone, what
// findings do to them, and whose teeth were studied; mixed: that a number for all of them
// comes from different studies.
func (x *composer) behind(mixed bool) []Text {
	var out []Text
	if len(x.c.Teeth) > 1 {
		out = append(out, M("sheet.together.shared"))
	}
	if mixed {
		out = append(out, M("sheet.together.settings"))
	}
	limits := M("sheet.expect.limits")
	for _, t := range x.modifiers() {
		if t.ID == "modifier.back-teeth" {
			limits = M("sheet.expect.limits-back")
			continue
		}
		out = append(out, t)
	}
	return append(out, limits)
}

// chances tells both endpoints of some teeth, each in a few sentences: one tooth of 100 by
// the middle horizon, all of the teeth, and from when on nothing is known. Text that
// both endpoints share, and how sure the numbers are, appears only once.
func (x *composer) chances(teeth []casefile.Tooth, list []plan.Expectation) {
	b := Block{Kind: List, Style: Note}
	var sure [][]Text
	for _, endpoint := range []string{plan.InPlace, plan.NothingNeeded} {
		texts, certain, figures := x.endpoint(ofEndpoint(list, endpoint))
		if len(texts) == 0 {
			continue
		}
		ref := Ref{Teeth: teeth, Figures: figures, Sources: x.cite(x.anchored(figures))}
		it := Item{Label: M("sheet.expect." + endpoint), Text: texts[0], More: texts[1:], Ref: ref}
		if n := len(b.Items); n > 0 && reflect.DeepEqual([]any{it.Text, it.More, certain}, []any{b.Items[n-1].Text, b.Items[n-1].More, sure[n-1]}) {
			b.Items[n-1].Label = M("sheet.expect.both")
			b.Items[n-1].Ref.Figures = union(b.Items[n-1].Ref.Figures, figures)
			continue
		}
		b.Items, sure = append(b.Items, it), append(sure, certain)
	}
	once := !slices.ContainsFunc(sure, func(c []Text) bool { return len(c) == 0 || !reflect.DeepEqual(c, sure[0]) })
	for i := range b.Items {
		if last := i == len(b.Items)-1; !once || last {
			b.Items[i].More = append(b.Items[i].More, sure[i]...)
		}
	}
	if len(b.Items) > 0 {
		x.add(b)
	}
}

// endpoint returns the texts of one endpoint, its years in order: the sentences, how sure
// they are, and what they rest on.
func (x *composer) endpoint(list []plan.Expectation) (texts, sure []Text, figures []string) {
	i := slices.IndexFunc(list, func(e plan.Expectation) bool { return x.rowHorizon(e.Years) })
	if i < 0 {
		return nil, nil, nil
	}
	e, told := list[i], x.worthTelling(list, i)
	whole := e.Route == "" // all teeth of a mouth have no number of one tooth
	switch {
	case whole && e.Known:
		told = nil
	case whole:
		told = list[i : i+1]
	case alwaysBlank(list):
		return []Text{M("sheet.last.unknown-ever"), M("unknown." + e.PerTooth.Unknown)}, nil, nil
	}
	for _, o := range told {
		ts := x.lasting(o)
		figures = union(figures, o.Figures)
		if texts = append(texts, ts[0]); o.HasNumber() {
			sure = ts[1:]
		} else {
			texts = append(texts, ts[1:]...)
		}
	}
	figures, texts = union(figures, e.Figures), append(texts, Together(x.b, e)...)
	if sure == nil && counted(e) {
		sure = []Text{M("certainty." + string(e.Together))}
	}
	if known := studied(list); !whole && known >= e.Years && known < list[len(list)-1].Years {
		texts = append(texts, N("sheet.last.beyond", known))
	}
	return texts, sure, figures
}

// alwaysBlank reports whether nothing is known of any of the years, for one reason.
func alwaysBlank(list []plan.Expectation) bool {
	why := list[0].PerTooth.Unknown
	return why != "" && why != plan.TooUncertain &&
		!slices.ContainsFunc(list, func(e plan.Expectation) bool { return e.PerTooth.Unknown != why })
}

// worthTelling returns the years to print: the one at i, the last before it that has a
// number where it has none, and the patient's own where they have one.
func (x *composer) worthTelling(list []plan.Expectation, i int) []plan.Expectation {
	var out []plan.Expectation
	for j, e := range list {
		instead := j < i && !list[i].HasNumber() && !slices.ContainsFunc(list[j+1:i], func(o plan.Expectation) bool { return o.HasNumber() })
		if j == i || e.HasNumber() && (instead || e.Years == x.c.HorizonYears) {
			out = append(out, e)
		}
	}
	return out
}

// studied are the last years of which studies say anything, 0 for none.
func studied(list []plan.Expectation) int {
	for _, e := range slices.Backward(list) {
		if e.Known || e.PerTooth.Unknown == plan.TooUncertain {
			return e.Years
		}
	}
	return 0
}

// ofEndpoint are the expectations of one endpoint, the years in order.
func ofEndpoint(list []plan.Expectation, endpoint string) []plan.Expectation {
	out := slices.DeleteFunc(slices.Clone(list), func(e plan.Expectation) bool { return e.Endpoint != endpoint })
	order.By(out, func(a, b plan.Expectation) int { return a.Years - b.Years })
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

// anchored are the pooled figures among some: their studies are what a number rests on,
// the others only say how it was worked out.
func (x *composer) anchored(figures []string) (out []string) {
	for _, p := range x.b.Pools {
		if slices.Contains(figures, p.Figure) {
			out = append(out, p.Figure)
		}
	}
	if len(out) == 0 {
		return figures
	}
	return out
}

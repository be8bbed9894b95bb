package talk

import (
	"slices"

	"plainleaf/app/plan"
	"plainleaf/app/sheet"
)

// mostReasons is how many reasons for a wide range a page has room for.
const mostReasons = 2

// lasts says how long the chosen option lasts, the likely number first: in words for who
// wants no numbers, "too uncertain to say" in place of a picture that would say nothing.
func (x composer) lasts() Page {
	p := Page{Key: Lasts}
	e := x.whole()
	chosen := x.chosen()
	switch {
	case e == nil || chosen.Mixed && !e.Known:
		p.Title, p.Lead = sheet.M("talk.lasts.words"), x.words(chosen)
	case x.c.Detail == "words":
		p.Title, p.Lead = sheet.M("talk.lasts.words"), append(x.words(chosen), sheet.M("talk.lasts.repair"))
	case !e.Expected.Known() && len(e.Teeth) > 1, !e.PerTooth.Known() && len(e.Teeth) <= 1:
		why := e.PerTooth.Unknown
		if why == "" {
			why = e.Expected.Unknown
		}
		p.Title = sheet.M("talk.lasts.unknown")
		if why == plan.TooUncertain {
			p.Title = sheet.M("talk.lasts.too-uncertain")
		}
		p.Lead = append([]sheet.Text{sheet.M("unknown." + why)}, x.words(chosen)...)
	case len(e.Teeth) > 1:
		x.several(&p, *e)
	default:
		p.Title = sheet.Lasting(x.b, *e)
		p.Lead, p.Figures = x.reasons(*e, string(e.Certainty)), e.Figures
	}
	return p
}

// whole is the expectation of all the teeth of the chosen plan that were replaced, at the
// middle horizon; nil where the plan has none.
func (x composer) whole() *plan.Expectation {
	h, ok := x.b.Setting("horizon-2")
	if !ok {
		return nil
	}
	var out *plan.Expectation
	for i := range x.pl.Expectations { // that of all the teeth comes last
		if e := &x.pl.Expectations[i]; e.Endpoint == plan.InPlace && e.Years == int(h.Value) {
			out = e
		}
	}
	return out
}

func (x composer) chosen() plan.RouteFacts {
	if i := slices.IndexFunc(x.pl.Routes, func(r plan.RouteFacts) bool { return r.Chosen }); i >= 0 {
		return x.pl.Routes[i]
	}
	return plan.RouteFacts{Key: x.c.Route}
}

// words says without a number how long an option lasts, and what follows it.
func (x composer) words(r plan.RouteFacts) (out []sheet.Text) {
	for _, k := range []string{string(r.Key), string(r.Then)} {
		for i := range x.b.Routes {
			if rule := &x.b.Routes[i]; string(rule.Key) == k && !r.Mixed {
				out = append(out, sheet.M("lasts."+rule.Lasts))
			}
		}
	}
	if r.Mixed {
		out = append(out, sheet.M("talk.options.differs"))
	}
	return out
}

// several says how many of several teeth may have to be done again, with a picture of them.
func (x composer) several(p *Page, e plan.Expectation) {
	n := len(e.Teeth)
	_, likely, high := sheet.WholeTeeth(e)
	if e.Expected.Likely < 1 { // most likely none, as on paper
		likely = 0
	}
	teeth := sheet.Word{Text: sheet.N("quantity.teeth", n)}
	p.Picture = &Picture{Of: n, Likely: likely, High: high}
	p.Title = sheet.N("talk.lasts.some", e.Years, "Number", sheet.Int(likely), "Quantity", teeth)
	p.Picture.Caption = sheet.N("talk.lasts.perhaps", high)
	if likely == 0 {
		p.Title = sheet.N("talk.lasts.none", e.Years, "Quantity", teeth)
	}
	p.Lead, p.Figures = x.reasons(e, string(e.Certainty)), e.Figures
}

// reasons says how sure the number is and what makes its range wide.
func (x composer) reasons(e plan.Expectation, sure string) []sheet.Text {
	out := []sheet.Text{sheet.M("certainty." + sure)}
	for _, m := range e.Modifiers[:min(len(e.Modifiers), mostReasons)] {
		out = append(out, sheet.M("modifier."+m))
	}
	return append(out, sheet.M("talk.lasts.which"))
}

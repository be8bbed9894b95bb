package sheet

import (
	"math"
	"reflect"
	"slices"

	"plainleaf/app/casefile"
	"plainleaf/app/plan"
)

// risksFirst is how many risks the first page tells; the others follow in the table.
const risksFirst = 4

// fewTeeth is how many teeth are named beside a risk.
const fewTeeth = 2

// told is the text of one risk, or of several that share it.
type told struct {
	label  Text
	often  []Text
	then   Text
	raised bool
	ref    Ref
}

// toldRisks lists the risks, those that a finding raises first. Risks that came up as
// often and are met in the same way are one entry.
func (x *composer) toldRisks() []told {
	var out []told
	for _, raised := range []bool{true, false} {
		for _, r := range x.pl.Risks {
			if r.Raised == raised {
				out = x.withRisk(out, r)
			}
		}
	}
	return out
}

func (x *composer) withRisk(list []told, r plan.Risk) []told {
	var figures []string // a risk cites the study of its own frequency, and nothing else
	for _, rate := range r.Rates {
		figures = append(figures, rate.Figure)
	}
	one := told{label: M("risk." + r.Key + ".name"), often: x.frequency(r), then: riskThen(x, r.Key), raised: r.Raised,
		ref: Ref{Figures: r.Figures, Teeth: r.Teeth, Sources: x.cite(figures)}}
	if len(r.Teeth) > 0 && len(r.Teeth) <= fewTeeth && !x.allTeeth(r.Teeth) {
		one.label = M("risk.at", "Text", Word{one.label}, "Teeth", Teeth(r.Teeth))
	}
	i := slices.IndexFunc(list, func(o told) bool {
		return o.raised == one.raised && reflect.DeepEqual(o.then, one.then) && reflect.DeepEqual(o.often, one.often)
	})
	if i < 0 {
		return append(list, one)
	}
	list[i].label = M("risk.with", "Text", Word{list[i].label}, "To", Word{one.label})
	list[i].ref.Figures = union(list[i].ref.Figures, one.ref.Figures)
	list[i].ref.Teeth = casefile.SortTeeth(append(slices.Clone(list[i].ref.Teeth), one.ref.Teeth...))
	return list
}

// riskThen is what is done when a risk comes up.
func riskThen(x *composer, key string) Text {
	return M("risk.then." + x.b.Risk(key).Then)
}

// riskFact is this person's own risks, or the first of all where nothing raises one.
func (x *composer) riskFact() Item {
	it := Item{Label: M("sheet.consent.risks")}
	for i, r := range x.toldRisks() {
		if i == 0 && r.raised {
			it.Label = M("sheet.consent.risks-raised")
		}
		if i >= x.firstRisks() {
			break
		}
		it.Items = append(it.Items, Item{Label: r.label, Text: r.often[0], More: append(slices.Clone(r.often[1:]), r.then), Ref: r.ref})
	}
	return it
}

// firstRisks is how many entries the first page has: those raised, else some of all.
func (x *composer) firstRisks() int {
	all := x.toldRisks()
	raised := 0
	for _, r := range all {
		if r.raised {
			raised++
		}
	}
	if raised == 0 {
		raised = risksFirst
	}
	return min(raised, risksFirst, len(all))
}

// otherRisks lists all risks that the first page does not tell: that how often is not
// known is said once for those of which it is not.
func (x *composer) otherRisks() {
	known := Block{Kind: List, Style: Note}
	unknown := Block{Kind: List, Style: Note, Text: M("sheet.consent.risks-unknown")}
	for _, r := range alike(x.toldRisks()[x.firstRisks():]) {
		if len(r.often) == 1 && r.often[0].ID == "risk.often.not-known" {
			unknown.Items = append(unknown.Items, Item{Label: r.label, Text: r.then, Ref: r.ref})
			continue
		}
		known.Items = append(known.Items, Item{Label: r.label, Text: r.often[0], More: append(slices.Clone(r.often[1:]), r.then), Ref: r.ref})
	}
	if len(known.Items)+len(unknown.Items) == 0 {
		return
	}
	title := "sheet.consent.risks-others"
	if len(known.Items) == 0 {
		title, unknown.Text = "sheet.consent.risks-others-unknown", Text{}
	}
	x.h2(title)
	for _, b := range []Block{known, unknown} {
		if len(b.Items) > 0 {
			x.add(b)
		}
	}
}

// alike joins risks that come up as often and are met in the same way; those that a
// finding raises come first and say so.
func alike(list []told) (out []told) {
	for _, r := range list {
		if r.raised {
			r.label = M("sheet.consent.risk-too", "Text", Word{r.label})
		}
		i := slices.IndexFunc(out, func(o told) bool { return reflect.DeepEqual(o.then, r.then) && reflect.DeepEqual(o.often, r.often) })
		if i < 0 {
			out = append(out, r)
			continue
		}
		out[i].label = M("risk.with", "Text", Word{out[i].label}, "To", Word{r.label})
		out[i].ref.Figures = union(out[i].ref.Figures, r.ref.Figures)
		out[i].ref.Teeth = casefile.SortTeeth(append(slices.Clone(out[i].ref.Teeth), r.ref.Teeth...))
	}
	return out
}

// mainRisk is the first of them in one line.
func (x *composer) mainRisk() (Text, Ref, bool) {
	all := x.toldRisks()
	if len(all) == 0 {
		return Text{}, Ref{}, false
	}
	return M("risk.told", "Text", Word{all[0].label}, "To", Word{all[0].often[0]}), all[0].ref, true
}

// frequency tells how often a risk came up in studies: once where it is the same
// for all the routes that carry it, else under the names of those it is true of.
func (x *composer) frequency(r plan.Risk) []Text {
	var out []Text
	var of []Words
	for _, route := range x.chosenRoutes() {
		e, ok := r.Frequency[route]
		if !ok {
			continue
		}
		t := rateText(r, route, e)
		i := slices.IndexFunc(out, func(o Text) bool { return reflect.DeepEqual(o, t) })
		if i < 0 {
			i = len(out)
			out, of = append(out, t), append(of, nil)
		}
		of[i] = append(of[i], M("route."+string(route)+".name"))
	}
	switch len(out) {
	case 0:
		return []Text{M("risk.often.not-known")}
	case 1:
		return out
	}
	var others []Text // of several routes that have no number the names say nothing
	for i := len(out) - 1; i >= 0; i-- {
		if out[i].ID == "risk.often.not-known" && len(of[i]) > 1 {
			others = []Text{M("risk.often.others")}
			out, of = slices.Delete(out, i, i+1), slices.Delete(of, i, i+1)
			continue
		}
		out[i] = M("risk.often.on-route", "Route", of[i], "Text", Word{out[i]})
	}
	return append(out, others...)
}

// rateText is one frequency. A share is of 100, a count as it was printed, and
// none of so many with what it still leaves possible.
func rateText(r plan.Risk, route casefile.Route, e plan.Estimate) Text {
	i := slices.IndexFunc(r.Rates, func(x plan.RiskRate) bool { return x.Route == route })
	if e.Unknown == plan.Planned {
		return M("risk.often.planned")
	}
	if !e.Known() || i < 0 {
		return M("risk.often.not-known")
	}
	return Rated(r.Rates[i].Rate, e)
}

// Rated says how often something came up in the studies that counted it; e is known.
func Rated(rate plan.Rate, e plan.Estimate) Text {
	id, share := "risk.often."+rate.Words, Int(math.Round(100*e.Likely))
	switch rate.Words {
	case "people", "teeth", "study-teeth":
		return M(id, "Number", share)
	case "none-lost":
		return N(id, rate.Years, "Quantity", Word{N("quantity.veneers", rate.Of)}, "High", Int(math.Ceil(100*e.High)))
	case "inside-injured":
		return N(id, rate.Years, "Number", Int(rate.Events), "Quantity", Word{N("quantity.teeth", rate.Of)}, "High", Int(math.Ceil(100*e.High)))
	case "remade":
		return N(id, rate.Years, "Number", Int(rate.Events), "Total", Int(rate.Of))
	case "few-veneers-lost":
		return N(id, rate.Years)
	}
	return N(id, rate.Years, "Number", share)
}

package sheet

import (
	"math"
	"reflect"
	"slices"
	"strings"

	"plainleaf/app/casefile"
	"plainleaf/app/plan"
)

// undoFact leads with what is planned, then what the answers permit, place by place.
func (x *composer) undoFact() Item {
	it := Item{Label: M("sheet.consent.undo"), Strong: true, Items: x.planned()}
	deep := x.underEnamel()
	more := append(slices.Clone(deep), x.permitted()...)
	if !slices.ContainsFunc(x.chosenRoutes(), func(r casefile.Route) bool { return x.reversible(r) == "no" }) { // which says so
		more = append(more, Item{Text: M("sheet.undo.small-too")})
	}
	if len(it.Items) == 1 && len(deep) == 0 { // what is the same for all teeth needs no list
		one := it.Items[0]
		it.Text, it.More, it.Ref, it.Items = one.Text, one.More, one.Ref, nil
		for _, m := range more {
			it.More = append(append(it.More, m.Text), m.More...)
		}
		return it
	}
	it.Items = append(it.Items, more...)
	return it
}

// planned tells what the treatment of each tooth leaves behind, the same once for all the
// teeth it is true of.
func (x *composer) planned() (out []Item) {
	add := func(r casefile.Route, teeth []casefile.Tooth, label func([]casefile.Tooth) Text, depth []Text) {
		it := Item{Text: M("sheet.undo." + x.reversible(r) + ".say"), More: depth, Ref: Ref{Teeth: teeth, Route: string(r)}}
		named := label(teeth)
		i := slices.IndexFunc(out, func(o Item) bool {
			return o.Text.ID == it.Text.ID && o.Label.ID == named.ID && reflect.DeepEqual(o.More, it.More)
		})
		if i >= 0 && len(teeth) > 0 {
			if !slices.Contains(strings.Fields(out[i].Ref.Route), string(r)) {
				out[i].Ref.Route += " " + string(r)
			}
			out[i].Ref.Teeth = casefile.SortTeeth(append(slices.Clone(out[i].Ref.Teeth), teeth...))
			out[i].Label = label(out[i].Ref.Teeth)
			return
		}
		it.Label = named
		out = append(out, it)
	}
	for _, g := range x.c.Groups() { // each by itself: what is taken from one tooth says nothing of another
		then := x.then(g.Route)
		if then == g.Route {
			then = ""
		}
		depth := x.depth(g.Teeth)
		if then == "" {
			add(g.Route, g.Teeth, x.teethOrAll, depth)
			continue
		}
		add(g.Route, g.Teeth, x.teethOrAll, nil)
		add(then, g.Teeth, x.afterThat, depth)
	}
	if len(x.c.Groups()) == 1 { // it is about all of them
		out[0].Label = Text{}
	}
	return out
}

// depth tells the most that drilling takes in one place.
func (x *composer) depth(teeth []casefile.Tooth) []Text {
	i := slices.IndexFunc(x.pl.Enamel.Teeth, func(e plan.ToothEnamel) bool { return slices.Contains(teeth, e.Tooth) })
	if i < 0 {
		return nil
	}
	most := 0.0
	for _, e := range []plan.Estimate{x.pl.Enamel.Teeth[i].Removal.Cervical, x.pl.Enamel.Teeth[i].Removal.Middle, x.pl.Enamel.Teeth[i].Removal.Incisal} {
		if e.Known() {
			most = math.Max(most, e.High)
		}
	}
	if most == 0 {
		return nil
	}
	return []Text{M("sheet.undo.depth", "Number", Decimal{most, 1})}
}

// permitted tells what the patient's answers permit that does not grow back.
func (x *composer) permitted() (out []Item) {
	for _, p := range x.pl.Enamel.Permitted {
		if p.Answer != casefile.Agree {
			continue
		}
		var at Value = Teeth(p.Teeth)
		if pairs := pairsOf(p.Places); len(pairs) > 0 {
			at = pairs
		}
		it := Item{Text: M("sheet.undo.permitted", "Text", Word{M("change." + p.Change + ".name")}, "Teeth", at), Ref: Ref{Teeth: p.Teeth, Change: p.Change}}
		if p.UpToMM != nil {
			it.More = append(it.More, M("sheet.undo.up-to", "Number", Decimal{*p.UpToMM, 2}))
		}
		it.More = append(it.More, placeLimits(p.Limits)...)
		out = append(out, it)
	}
	return out
}

// underEnamel says that the planned shaping may reach the layer under the enamel,
// of which teeth where not of all. A crown goes there as planned, and where most of
// it shows already there is nothing left to reach. Without a thickness to hold the
// depth against it may be reached too.
func (x *composer) underEnamel() []Item {
	var teeth []casefile.Tooth
	for _, e := range x.pl.Enamel.Teeth {
		rule := x.b.Route(e.Route)
		if e.Dentin != plan.DentinNone && e.Dentin != plan.DentinBare && (rule == nil || rule.Kind != "crown") {
			teeth = append(teeth, e.Tooth)
		}
	}
	if len(teeth) == 0 {
		return nil
	}
	it := Item{Text: M("sheet.undo.dentin"), Ref: Ref{Teeth: teeth}}
	if !x.allTeeth(teeth) {
		it.More = []Text{N("sheet.sign.on-teeth", len(teeth), "Teeth", Teeth(teeth))}
	}
	return []Item{it}
}

// reversible is what a route leaves behind by itself. Words: undo.<key>.
func (x *composer) reversible(r casefile.Route) string {
	if rule := x.b.Route(r); rule != nil {
		return rule.Reversible
	}
	return ""
}

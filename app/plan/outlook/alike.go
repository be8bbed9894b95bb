package outlook

import (
	"slices"

	"plainleaf/app/casefile"
)

// Alike is the outlook of the teeth of one mouth that share route, material and
// all that says something about how long things last.
type Alike struct {
	Route    casefile.Route
	Material casefile.Material
	Teeth    []casefile.Tooth // none where the case names none
	List     []Expectation
}

// AlikeTeeth sorts expectations by such teeth, the whole mouth left out. An entry
// that is unknown of several groups in one stands with each of them.
func AlikeTeeth(list []Expectation) []Alike {
	within := func(e *Expectation, a *Alike) bool {
		return e.Route == a.Route && e.Material == a.Material &&
			!slices.ContainsFunc(a.Teeth, func(t casefile.Tooth) bool { return !slices.Contains(e.Teeth, t) })
	}
	var out []Alike
	for i := range list {
		e := &list[i]
		same := func(a Alike) bool { return within(e, &a) && len(a.Teeth) == len(e.Teeth) }
		if e.Route != "" && !slices.ContainsFunc(out, same) {
			out = append(out, Alike{Route: e.Route, Material: e.Material, Teeth: e.Teeth})
		}
	}
	// What is made of several groups is none itself.
	out = slices.DeleteFunc(slices.Clone(out), func(a Alike) bool {
		e := Expectation{Route: a.Route, Material: a.Material, Teeth: a.Teeth}
		return slices.ContainsFunc(out, func(o Alike) bool { return len(o.Teeth) < len(a.Teeth) && within(&e, &o) })
	})
	for i := range out {
		for j := range list {
			if e := &list[j]; e.Route != "" && within(e, &out[i]) {
				out[i].List = append(out[i].List, *e)
			}
		}
	}
	return out
}

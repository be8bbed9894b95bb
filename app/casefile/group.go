package casefile

import (
	"slices"

	"plainleaf/app/order"
)

// Group is the teeth of a case that share a route and a material.
type Group struct {
	Route    Route
	Material Material
	Teeth    []Tooth
}

// RouteOf is the route of one entry: its own or the case's.
func (c Case) RouteOf(e ToothEntry) Route {
	if e.Route != "" {
		return e.Route
	}
	return c.Route
}

// MaterialOf is the material of one entry: its own or the case's.
func (c Case) MaterialOf(e ToothEntry) Material {
	if e.Material != "" {
		return e.Material
	}
	return c.Material
}

// Groups splits the teeth by effective route and material, in the order of first
// mention, each group's teeth in chart order. A case without teeth is one group
// without teeth.
func (c Case) Groups() []Group {
	if len(c.Teeth) == 0 {
		return []Group{{Route: c.Route, Material: c.Material}}
	}
	var out []Group
	for _, e := range c.Teeth {
		r, m := c.RouteOf(e), c.MaterialOf(e)
		i := 0
		for i < len(out) && (out[i].Route != r || out[i].Material != m) {
			i++
		}
		if i == len(out) {
			out = append(out, Group{Route: r, Material: m})
		}
		out[i].Teeth = append(out[i].Teeth, e.Tooth)
	}
	for i := range out {
		out[i].Teeth = SortTeeth(out[i].Teeth)
	}
	return out
}

// ByRoute is Groups with the teeth of one route together, whatever they are made of.
func (c Case) ByRoute() (out []Group) {
	for _, g := range c.Groups() {
		i := slices.IndexFunc(out, func(o Group) bool { return o.Route == g.Route })
		if i < 0 {
			out = append(out, Group{Route: g.Route, Teeth: slices.Clone(g.Teeth)})
			continue
		}
		out[i].Teeth = SortTeeth(append(out[i].Teeth, g.Teeth...))
	}
	return out
}

// ToothList is the teeth of the case in chart order.
func (c Case) ToothList() []Tooth {
	var ts []Tooth
	for _, e := range c.Teeth {
		ts = append(ts, e.Tooth)
	}
	return SortTeeth(ts)
}

// Meant is what a list of teeth in a case stands for: where it names none, all
// teeth of the case.
func (c Case) Meant(ts []Tooth) []Tooth {
	if len(ts) > 0 {
		return ts
	}
	return c.ToothList()
}

// LookAgain lists the teeth for which a change was asked at a try-in before the given
// day and that were at no later one. A try-in without a day is taken for a later one.
func (c Case) LookAgain(day Date) []Tooth {
	var out []Tooth
	list := slices.Clone(c.TryIns())
	order.By(list, func(a, b TryIn) int {
		if a.Date.IsZero() != b.Date.IsZero() {
			return -a.Date.Compare(b.Date)
		}
		return a.Date.Compare(b.Date)
	})
	for _, t := range list {
		teeth := c.Meant(t.Teeth)
		out = slices.DeleteFunc(out, func(x Tooth) bool { return slices.Contains(teeth, x) })
		for _, x := range teeth {
			if _, change := c.Approval(x, t.Sitting); len(change) > 0 && !t.Date.IsZero() && t.Date.Before(day) {
				out = append(out, x)
			}
		}
	}
	return SortTeeth(out)
}

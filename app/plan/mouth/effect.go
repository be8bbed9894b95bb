package mouth

import (
	"slices"

	"plainleaf/app/evidence"
	"plainleaf/app/order"
)

// Effect is one finding with everything it does in a treatment.
type Effect struct {
	*Finding
	Private bool
	At      int // its place in Chart.Findings and Part.Does
	Level   evidence.Level
	Each    []*evidence.Effect // the distinct effects behind it, the strongest first
}

// Effects lists what every finding does to the teeth, in the chart's order. The
// strongest level of the teeth concerned wins (common practice, care-pathway 4.7,
// CV-31).
func (m *Treatment) Effects() []Effect {
	out := make([]Effect, 0, len(m.Chart.Findings))
	for i := range m.Chart.Findings {
		f := &m.Chart.Findings[i]
		e := Effect{Finding: f, Private: f.Rule.Private, At: i, Level: evidence.LevelNone}
		for _, p := range m.partsOf(f) {
			e.add(p.Does[i].First)
			e.add(p.Does[i].Stays)
		}
		order.By(e.Each, func(a, b *evidence.Effect) int { return b.Level.Rank() - a.Level.Rank() })
		out = append(out, e)
	}
	return out
}

// partsOf lists the parts where a finding is true, in chart order of its teeth.
func (m *Treatment) partsOf(f *Finding) []*Part {
	out := make([]*Part, 0, len(m.Parts))
	for j := range m.Sites {
		if p := &m.Parts[m.Sites[j].Part]; f.On[j] && !slices.Contains(out, p) {
			if out = append(out, p); len(out) == len(m.Parts) {
				break
			}
		}
	}
	return out
}

func (e *Effect) add(x *evidence.Effect) {
	if x == nil || slices.Contains(e.Each, x) {
		return
	}
	if x.Level.Rank() > e.Level.Rank() {
		e.Level = x.Level
	}
	e.Each = append(e.Each, x)
}

// Actions lists what the finding asks to do, each once.
func (e *Effect) Actions() []string {
	return e.union(func(x *evidence.Effect) []string { return x.Actions })
}

// Appliances lists the appliances the finding asks for, each once.
func (e *Effect) Appliances() []string {
	return e.union(func(x *evidence.Effect) []string { return x.Appliances })
}

func (e *Effect) union(of func(*evidence.Effect) []string) (out []string) {
	for _, x := range e.Each {
		for _, k := range of(x) {
			if !slices.Contains(out, k) {
				out = append(out, k)
			}
		}
	}
	return out
}

// Appliances lists what the findings and the routes themselves ask for, each once
// (care-pathway 4.7: the same appliance is counted once).
func (m *Treatment) Appliances(es []Effect) []string {
	out := []string{}
	add := func(as []string) {
		for _, a := range as {
			if !slices.Contains(out, a) {
				out = append(out, a)
			}
		}
	}
	for i := range es {
		add(es[i].Appliances())
	}
	for _, r := range m.Routes {
		if rule := m.Chart.Basis.Evidence.Route(r); rule != nil {
			add(rule.Appliances)
		}
	}
	return out
}

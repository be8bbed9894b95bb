package mouth

import (
	"slices"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
)

// Care is care that comes first in a treatment, with what asks for it and where.
type Care struct {
	Rule     *evidence.Care
	Findings []string // that ask for it; none where the route itself does
	On       Sites
	Whole    bool // of the whole mouth or person
	// Leads are the routes before the restorations that wait for it too.
	Leads []casefile.Route
}

// Cares lists the care that comes first, in the order in which it is done, each once:
// two findings that ask for the same are cared for together.
func (m *Treatment) Cares(es []Effect) []Care {
	list := make([]Care, len(m.Chart.Basis.Evidence.Cares))
	for i := range es {
		e := &es[i]
		if e.Private { // its visits would tell of it
			continue
		}
		for _, p := range m.partsOf(e.Finding) {
			on := e.On.And(p.On)
			if x := p.Does[e.At].First; x != nil {
				m.ask(list, e, x, on, p.Lead)
			}
			if x := p.Does[e.At].Stays; x != nil {
				lead := p.Route // what only comes first may be all that happens to a tooth
				if p.Lead != "" {
					lead = ""
				}
				m.ask(list, e, x, on, lead)
			}
		}
	}
	m.ownCare(list)
	return slices.DeleteFunc(list, func(c Care) bool { return c.Rule == nil })
}

// ask puts in the care that an effect of a finding asks for at some sites.
func (m *Treatment) ask(list []Care, e *Effect, x *evidence.Effect, on Sites, lead casefile.Route) {
	for _, key := range x.First {
		for i := range m.Sites {
			if !on[i] {
				continue
			}
			k, rule := m.care(key, i)
			if rule == nil {
				m.Chart.Basis.Fault("PLAN-CARE-MISSING", "cares."+key, "the plan needs this care and the data does not have it")
				return
			}
			c := &list[k]
			c.Rule, c.On[i], c.Whole = rule, true, c.Whole || e.Whole
			if !slices.Contains(c.Findings, e.Key) {
				c.Findings = append(c.Findings, e.Key)
			}
			if lead != "" && !slices.Contains(c.Leads, lead) {
				c.Leads = append(c.Leads, lead)
			}
		}
	}
}

// care is the care of a key at a site, or the one in its place there, with its place in
// the data; nil when the data does not have it.
func (m *Treatment) care(key string, site int) (int, *evidence.Care) {
	all := m.Chart.Basis.Evidence.Cares
	for {
		k := slices.IndexFunc(all, func(c evidence.Care) bool { return c.Key == key })
		if k < 0 {
			return 0, nil
		}
		other := slices.ContainsFunc(all[k].With, func(f string) bool {
			x := m.Chart.Finding(f)
			return x != nil && x.On[site]
		})
		if !other || all[k].Becomes == key {
			return k, &all[k]
		}
		key = all[k].Becomes
	}
}

// ownCare puts in the care that a route consists of where no finding that it is there
// for asks for other.
func (m *Treatment) ownCare(list []Care) {
	for _, r := range m.Routes {
		rule := m.Chart.Basis.Evidence.Route(r)
		if rule == nil || len(rule.First) == 0 || slices.ContainsFunc(list, func(c Care) bool {
			return slices.ContainsFunc(c.Findings, func(k string) bool { return slices.Contains(rule.When, k) })
		}) {
			continue
		}
		for _, key := range rule.First {
			if k, care := m.care(key, 0); care != nil {
				list[k].Rule, list[k].Whole, list[k].On = care, true, m.Chart.All()
			}
		}
	}
}

// Teeth lists the teeth that the care is for; none where it is for the whole mouth.
func (c *Care) Teeth(chart *Chart) []casefile.Tooth {
	if c.Whole {
		return nil
	}
	return chart.Teeth(c.On)
}

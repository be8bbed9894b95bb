package mouth

import (
	"cmp"
	"slices"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
)

// Treatment is the teeth of a case with what is planned for each: as the case says,
// or all of them on one other route.
type Treatment struct {
	Chart *Chart
	Sites []Site // chart order
	Parts []Part // teeth that share what comes first and what stays
	// Routes lists what comes first on some tooth and what stays on some, each once,
	// in display order.
	Routes []casefile.Route
	// Restored: something bonded stays on some tooth.
	Restored bool
}

// Site is one tooth with what is planned for it.
type Site struct {
	Tooth    casefile.Tooth // 0: the whole mouth, in a case that names no teeth
	Shade    casefile.Shade // of the tooth underneath
	Target   casefile.Shade // the one that is wanted
	Lead     casefile.Route // what comes first: a "first" route or whitening before veneers; empty when nothing does
	Route    casefile.Route // what stays in the mouth in the end; the lead again when nothing follows it
	Via      casefile.Route // whose visits the route takes over when it has only a beginning of its own (replacing veneers)
	Kind     string         // of the route that stays
	Material casefile.Material
	Part     int // its place in Treatment.Parts
}

// Part is the teeth that share what comes first and what stays.
type Part struct {
	Lead, Route, Via casefile.Route
	On               Sites
	// Does is what each finding of the chart does here, in the chart's order.
	Does []Met
}

// Met is what a finding does on a part: its effect on what stays and, where something
// comes first, its effect on that too, otherwise nil.
type Met struct{ First, Stays *evidence.Effect }

// Chosen is the treatment as the case has it.
func (c *Chart) Chosen() Treatment {
	return c.treatment(func(_ int, e casefile.ToothEntry) casefile.Route {
		return cmp.Or(e.Route, c.Basis.Case.Route)
	})
}

// OnRoute is the same teeth with those at some sites on route r, the others as the case
// has them.
func (c *Chart) OnRoute(r casefile.Route, on Sites) Treatment {
	return c.treatment(func(i int, e casefile.ToothEntry) casefile.Route {
		if on[i] {
			return r
		}
		return cmp.Or(e.Route, c.Basis.Case.Route)
	})
}

// Worth is the sites on which a route is worth showing beside the chosen one: all, those
// with one of the findings it is there for, or none.
func (c *Chart) Worth(r casefile.Route) Sites {
	rule := c.Basis.Evidence.Route(r)
	switch {
	case rule == nil || len(rule.When) == 0:
		return c.All()
	case !rule.WhereFound && c.Has(rule.When):
		return c.All()
	case !rule.WhereFound:
		return Sites{}
	}
	var on Sites
	for i := range c.Findings {
		if f := &c.Findings[i]; !f.Rule.Private && slices.Contains(rule.When, f.Key) {
			on = on.Or(f.On)
		}
	}
	return on
}

func (c *Chart) treatment(of func(int, casefile.ToothEntry) casefile.Route) Treatment {
	m := Treatment{Chart: c, Sites: make([]Site, 0, len(c.Entries))}
	for i, e := range c.Entries {
		s := Site{Tooth: e.Tooth, Shade: c.Basis.Case.UnderlyingOf(e), Target: c.Basis.Case.WantedOf(e).Shade}
		s.Lead, s.Route = c.split(of(i, e))
		s.Kind = c.Kind(s.Route)
		s.Via = c.via(s.Route)
		s.Material = c.material(cmp.Or(s.Via, s.Route), cmp.Or(e.Material, c.Basis.Case.Material))
		s.Part = slices.IndexFunc(m.Parts, func(p Part) bool { return p.Lead == s.Lead && p.Route == s.Route })
		if s.Part < 0 {
			s.Part = len(m.Parts)
			m.Parts = append(m.Parts, Part{Lead: s.Lead, Route: s.Route, Via: s.Via})
		}
		m.Parts[s.Part].On[i] = true
		m.Restored = m.Restored || Restores(s.Kind)
		m.Sites = append(m.Sites, s)
	}
	for i := range m.Parts {
		p := &m.Parts[i]
		p.Does = c.does(p.Lead, p.Route, m.MadeOn(p.Route))
	}
	for _, r := range casefile.Routes() {
		if slices.ContainsFunc(m.Parts, func(p Part) bool { return p.Lead == r || p.Route == r }) {
			m.Routes = append(m.Routes, r)
		}
	}
	return m
}

// via is whose visits a route takes over that has only a beginning of its own; none
// for any other.
func (c *Chart) via(r casefile.Route) casefile.Route {
	rule := c.Basis.Evidence.Route(r)
	switch then := c.Basis.Case.Then; {
	case rule == nil || rule.Kind != KindReplace:
		return ""
	case then != "" && then != r:
		return then
	}
	return rule.ThenDefault
}

// split divides a route into what comes first and what stays. A "first" route is
// followed by the case's then, or by the case's own route when that is a
// restoration; whitening is followed only by a then that the case names.
func (c *Chart) split(r casefile.Route) (lead, route casefile.Route) {
	in := &c.Basis.Case
	switch c.Kind(r) {
	case KindFirst:
		then := in.Then
		if then == "" && Restores(c.Kind(in.Route)) {
			then = in.Route
		}
		if rule := c.Basis.Evidence.Route(r); then == "" && rule != nil {
			then = rule.ThenDefault
		}
		if then == "" {
			return "", r
		}
		return r, then
	case KindWhitening:
		if in.Then != "" && r == in.Route {
			return r, in.Then
		}
	}
	return "", r
}

// material is the material of a tooth on route r: the wanted one where the route
// can be made of it, otherwise the route's first; none where the route places nothing.
func (c *Chart) material(r casefile.Route, want casefile.Material) casefile.Material {
	rule := c.Basis.Evidence.Route(r)
	if rule == nil || len(rule.Materials) == 0 {
		return ""
	}
	if slices.Contains(rule.Materials, want) {
		return want
	}
	return rule.Materials[0]
}

// MadeOn is the materials of the teeth on which a route stays.
func (m *Treatment) MadeOn(r casefile.Route) []casefile.Material {
	var out []casefile.Material
	for i := range m.Sites {
		if s := &m.Sites[i]; s.Route == r && s.Material != "" && !slices.Contains(out, s.Material) {
			out = append(out, s.Material)
		}
	}
	return out
}

// does is what each finding does where lead comes first and route, of some materials, stays.
func (c *Chart) does(lead, route casefile.Route, made []casefile.Material) []Met {
	settles := c.Basis.Evidence.Route(lead)
	out := make([]Met, len(c.Findings))
	for i := range c.Findings {
		f := &c.Findings[i]
		out[i] = Met{Stays: f.Rule.Acts(route, made...)}
		if lead != "" {
			out[i] = out[i].after(f.Rule.Named(lead), settles != nil && slices.Contains(settles.When, f.Key))
		}
	}
	return out
}

// after adds what a finding does on the route that comes first, nil when its rule
// does not name that route. A finding that this route is there for is settled by it:
// then that effect counts alone.
func (m Met) after(first *evidence.Effect, settled bool) Met {
	switch {
	case first == nil:
		return m
	case settled:
		return Met{Stays: first}
	}
	return Met{first, m.Stays}
}

// Kinds of route, as the data has them.
const (
	KindNone      = "none"
	KindWhitening = "whitening"
	KindComposite = "composite"
	KindCeramic   = "ceramic"
	KindCrown     = "crown"
	KindFirst     = "first"
	KindReplace   = "replace"
)

// Kind is that of a route, empty where the data has no rule for it.
func (c *Chart) Kind(r casefile.Route) string {
	if rule := c.Basis.Evidence.Route(r); rule != nil {
		return rule.Kind
	}
	return ""
}

// Restores reports whether a kind of route leaves something bonded on the tooth.
func Restores(kind string) bool {
	return kind == KindComposite || kind == KindCeramic || kind == KindCrown || kind == KindReplace
}

// OnAny reports whether one of the routes is planned; an empty list means every route.
func (m *Treatment) OnAny(routes []casefile.Route) bool {
	return len(routes) == 0 || slices.ContainsFunc(m.Routes, func(r casefile.Route) bool { return slices.Contains(routes, r) })
}

// Stays reports whether what stays in the mouth is one of the routes; a tooth left as
// it is counts only in a mouth where nothing is bonded.
func (m *Treatment) Stays(routes []casefile.Route) bool {
	return len(routes) == 0 || slices.ContainsFunc(m.Sites, func(s Site) bool {
		return slices.Contains(routes, s.Route) && (!m.Restored || Restores(s.Kind))
	})
}

// On reports whether the tooth goes through one of the routes.
func (s *Site) On(routes []casefile.Route) bool {
	return slices.Contains(routes, s.Route) || s.Lead != "" && slices.Contains(routes, s.Lead)
}

// Using is the sites whose teeth take part in the visits of a route.
func (m *Treatment) Using(r casefile.Route) (on Sites) {
	for _, p := range m.Parts {
		if r == p.Route || r == p.Lead || r == p.Via {
			on = on.Or(p.On)
		}
	}
	return on
}

// Through is the sites whose teeth go through one of the routes.
func (m *Treatment) Through(routes []casefile.Route) (on Sites) {
	for _, p := range m.Parts {
		if slices.Contains(routes, p.Route) || p.Lead != "" && slices.Contains(routes, p.Lead) {
			on = on.Or(p.On)
		}
	}
	return on
}

package plan

import (
	"cmp"
	"slices"

	"plainleaf/app/evidence"
	"plainleaf/app/fault"
	"plainleaf/app/veneer"
)

// work is one computation: the input, and what it came to rest on.
type work struct {
	c            veneer.Case
	p            veneer.Practice
	b            *evidence.Base
	cal          calendar
	used, hidden map[string]bool // figure ids
	faults       fault.List
	met          map[onKey][]evidence.Effect // see on
}

// site is one tooth with what is planned for it.
type site struct {
	tooth    veneer.Tooth // 0: the whole mouth, in a case that names no teeth
	lead     veneer.Route // what comes first: a "first" route or whitening before veneers; empty when nothing does
	route    veneer.Route // what stays in the mouth in the end; the lead again when nothing follows it
	via      veneer.Route // whose visits the route takes over when it has only a beginning of its own (replacing veneers)
	material veneer.Material
	shade    veneer.Shade
	own      []string // findings of this tooth alone
}

// mouth is the teeth of a case with what is planned for each: as the case says,
// or the same teeth all on another route.
type mouth struct {
	sites []site   // chart order
	whole []string // findings of the whole mouth or person
}

// chosen is the mouth as the case has it.
func (w *work) chosen() mouth {
	return w.mouth(func(e veneer.ToothEntry) (veneer.Route, veneer.Material) {
		r, m := w.c.Route, w.c.Material
		if e.Route != "" {
			r = e.Route
		}
		if e.Material != "" {
			m = e.Material
		}
		return r, m
	})
}

// onRoute is the same teeth all on route r.
func (w *work) onRoute(r veneer.Route) mouth {
	return w.mouth(func(e veneer.ToothEntry) (veneer.Route, veneer.Material) {
		m := w.c.Material
		if e.Material != "" {
			m = e.Material
		}
		return r, m
	})
}

func (w *work) mouth(of func(veneer.ToothEntry) (veneer.Route, veneer.Material)) mouth {
	m := mouth{whole: w.c.Findings}
	entries := w.c.Teeth
	if len(entries) == 0 { // whitening or no treatment of the whole mouth
		entries = []veneer.ToothEntry{{}}
	}
	for _, e := range entries {
		r, mat := of(e)
		s := site{tooth: e.Tooth, shade: e.UnderlyingShade, own: e.Findings}
		s.lead, s.route = w.split(r)
		if rule := w.b.Route(s.route); rule != nil && rule.Kind == kindReplace {
			s.via = rule.ThenDefault
			if w.c.Then != "" && w.c.Then != s.route {
				s.via = w.c.Then
			}
		}
		s.material = w.material(cmp.Or(s.via, s.route), mat)
		m.sites = append(m.sites, s)
	}
	order := veneer.AllTeeth()
	slices.SortFunc(m.sites, func(a, b site) int {
		return slices.Index(order, a.tooth) - slices.Index(order, b.tooth)
	})
	return m
}

// split divides a route into what comes first and what stays. A "first" route is
// followed by the case's then, or by the case's own route when that is a
// restoration; whitening is followed only by a then that the case names.
func (w *work) split(r veneer.Route) (lead, route veneer.Route) {
	switch w.kind(r) {
	case kindFirst:
		then := w.c.Then
		if then == "" && restores(w.kind(w.c.Route)) {
			then = w.c.Route
		}
		if rule := w.b.Route(r); then == "" && rule != nil {
			then = rule.ThenDefault
		}
		if then == "" {
			return "", r
		}
		return r, then
	case kindWhitening:
		if w.c.Then != "" && r == w.c.Route {
			return r, w.c.Then
		}
	}
	return "", r
}

// material is the material of a tooth on route r: the wanted one where the route
// can be made of it, else the route's first; none where the route places nothing.
func (w *work) material(r veneer.Route, want veneer.Material) veneer.Material {
	rule := w.b.Route(r)
	if rule == nil || len(rule.Materials) == 0 {
		return ""
	}
	if slices.Contains(rule.Materials, want) {
		return want
	}
	return rule.Materials[0]
}

// Kinds of route, as the data has them.
const (
	kindNone      = "none"
	kindWhitening = "whitening"
	kindComposite = "composite"
	kindCeramic   = "ceramic"
	kindCrown     = "crown"
	kindFirst     = "first"
	kindReplace   = "replace"
)

func (w *work) kind(r veneer.Route) string {
	if rule := w.b.Route(r); rule != nil {
		return rule.Kind
	}
	return ""
}

// restores reports whether a kind of route leaves something bonded on the tooth.
func restores(kind string) bool {
	return kind == kindComposite || kind == kindCeramic || kind == kindCrown || kind == kindReplace
}

// routes lists the routes of the teeth, the ones that come first before the ones
// that stay, each once, in display order.
func (m mouth) routes() []veneer.Route {
	var out []veneer.Route
	for _, r := range veneer.Routes() {
		if slices.ContainsFunc(m.sites, func(s site) bool { return s.lead == r || s.route == r }) {
			out = append(out, r)
		}
	}
	return out
}

func (m mouth) teeth() []veneer.Tooth {
	out := make([]veneer.Tooth, len(m.sites))
	for i, s := range m.sites {
		out[i] = s.tooth
	}
	return named(out)
}

// named drops the tooth that stands for the whole mouth; never nil.
func named(teeth []veneer.Tooth) []veneer.Tooth {
	out := []veneer.Tooth{}
	for _, t := range teeth {
		if t != 0 {
			out = append(out, t)
		}
	}
	return out
}

// findings lists every finding of the mouth, each once: those of the whole mouth
// in the order of the case, then those of single teeth in chart order.
func (m mouth) findings() []string {
	var out []string
	add := func(keys []string) {
		for _, k := range keys {
			if !slices.Contains(out, k) {
				out = append(out, k)
			}
		}
	}
	add(m.whole)
	for _, s := range m.sites {
		add(s.own)
	}
	return out
}

// has reports whether a finding is true of a tooth.
func (m mouth) has(s site, finding string) bool {
	return slices.Contains(m.whole, finding) || slices.Contains(s.own, finding)
}

// any reports whether one of the findings is true somewhere in the mouth; no
// findings at all ask for nothing and are always met.
func (m mouth) any(findings []string) bool {
	all := m.findings()
	return slices.ContainsFunc(findings, func(k string) bool { return slices.Contains(all, k) })
}

// onAny reports whether one of the routes is planned; an empty list means every route.
func (m mouth) onAny(routes []veneer.Route) bool {
	return len(routes) == 0 || slices.ContainsFunc(m.sites, func(s site) bool { return s.on(routes) })
}

// on reports whether the tooth goes through one of the routes.
func (s site) on(routes []veneer.Route) bool {
	return slices.Contains(routes, s.route) || s.lead != "" && slices.Contains(routes, s.lead)
}

// uses reports whether the tooth takes part in the visits of a route.
func (s site) uses(r veneer.Route) bool { return r == s.route || r == s.lead || r == s.via }

// on is what a finding does to a tooth: its effect on what stays and, where
// something comes first, its effect on that too. A finding that the first route
// is there for, and whose rule has a word on that route, is settled by it: then
// that word stands alone.
func (w *work) on(s site, f *evidence.Finding) []evidence.Effect {
	k := onKey{s.lead, s.route, f.Key}
	out, ok := w.met[k]
	if !ok {
		out = w.meet(s, f)
		w.met[k] = out
	}
	return out
}

type onKey struct {
	lead, route veneer.Route
	finding     string
}

func (w *work) meet(s site, f *evidence.Finding) []evidence.Effect {
	stays := f.On(s.route)
	if s.lead == "" {
		return []evidence.Effect{stays}
	}
	i := slices.IndexFunc(f.Effects, func(e evidence.Effect) bool { return slices.Contains(e.Routes, s.lead) })
	if i < 0 {
		return []evidence.Effect{stays}
	}
	if rule := w.b.Route(s.lead); rule != nil && slices.Contains(rule.When, f.Key) {
		return []evidence.Effect{f.Effects[i]}
	}
	return []evidence.Effect{f.Effects[i], stays}
}

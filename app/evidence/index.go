package evidence

import (
	"cmp"
	"slices"

	"plainleaf/app/casefile"
	"plainleaf/app/order"
)

type index struct {
	figures   map[string]*Figure
	sources   map[string]*Source
	findings  map[string]*Finding
	cares     map[string]*Care
	changes   map[string]*Change
	routes    map[casefile.Route]*RouteRule
	mats      map[casefile.Material]*MaterialRule
	risks     map[string]*Risk
	cohorts   map[string]*Cohort
	pools     map[string]*Pool
	modifiers map[string]*Modifier
	lines     []*Line // see LinesInTime
}

// Index prepares b for look-ups; call it once after filling b. Later changes to
// the slices need a new call.
func (b *Base) Index() *Base {
	x := &index{
		figures:   by(b.Figures, func(f *Figure) string { return f.ID }),
		sources:   by(b.Sources, func(s *Source) string { return s.ID }),
		findings:  by(b.Findings, func(f *Finding) string { return f.Key }),
		cares:     by(b.Cares, func(c *Care) string { return c.Key }),
		changes:   by(b.Changes, func(c *Change) string { return c.Key }),
		routes:    by(b.Routes, func(r *RouteRule) casefile.Route { return r.Key }),
		mats:      by(b.Materials, func(m *MaterialRule) casefile.Material { return m.Key }),
		risks:     by(b.Risks, func(r *Risk) string { return r.Key }),
		cohorts:   by(b.Cohorts, func(c *Cohort) string { return c.ID }),
		pools:     by(b.Pools, func(p *Pool) string { return p.ID }),
		modifiers: by(b.Modifiers, func(m *Modifier) string { return m.ID }),
	}
	for i := range b.Lines {
		x.lines = append(x.lines, &b.Lines[i])
	}
	order.By(x.lines, func(a, b *Line) int {
		return cmp.Or(slices.Index(Phases(), a.Phase)-slices.Index(Phases(), b.Phase), a.Order-b.Order)
	})
	b.index = x
	return b
}

// by is the rows of a list by their key.
func by[K comparable, T any](rows []T, key func(*T) K) map[K]*T {
	out := make(map[K]*T, len(rows))
	for i := range rows {
		out[key(&rows[i])] = &rows[i]
	}
	return out
}

// Figure looks up a figure by id.
func (b *Base) Figure(id string) (Figure, bool) {
	if f := b.index.figures[id]; f != nil {
		return *f, true
	}
	return Figure{}, false
}

// FigureOf looks up a figure without a copy; nil when there is none. It must not
// be changed.
func (b *Base) FigureOf(id string) *Figure { return b.index.figures[id] }

// SourcesOf lists the sources of a figure; never nil.
func (b *Base) SourcesOf(f *Figure) []Source {
	out := make([]Source, 0, len(f.Source))
	for _, id := range f.Source {
		if s := b.index.sources[id]; s != nil {
			out = append(out, *s)
		}
	}
	return out
}

// Setting looks up the figure a plan rule rests on.
func (b *Base) Setting(rule string) (Figure, bool) { return b.Figure(b.Settings[rule]) }

// Source looks up a source by id.
func (b *Base) Source(id string) (Source, bool) {
	if s := b.index.sources[id]; s != nil {
		return *s, true
	}
	return Source{}, false
}

// Finding looks up a finding by key; nil when there is none.
func (b *Base) Finding(key string) *Finding { return b.index.findings[key] }

// Care looks up care that comes first by key; nil when there is none.
func (b *Base) Care(key string) *Care { return b.index.cares[key] }

// Change looks up a chair change by key; nil when there is none.
func (b *Base) Change(key string) *Change { return b.index.changes[key] }

// Route looks up a route; nil when there is none.
func (b *Base) Route(key casefile.Route) *RouteRule { return b.index.routes[key] }

// Purpose is what the visits of a key are for: the key itself where a visit has it
// for its purpose, else the first visit's; empty when no visit has the key.
func (b *Base) Purpose(key string) (purpose string) {
	for i := range b.Routes {
		for _, v := range b.Routes[i].Visits {
			if v.Key == key && (purpose == "" || v.Purpose == key) {
				purpose = v.Purpose
			}
		}
	}
	return purpose
}

// IsAppliance reports whether a finding or a route asks for an appliance of this key.
func (b *Base) IsAppliance(key string) bool {
	asks := func(e Effect) bool { return slices.Contains(e.Appliances, key) }
	return slices.ContainsFunc(b.Routes, func(r RouteRule) bool { return slices.Contains(r.Appliances, key) }) ||
		slices.ContainsFunc(b.Findings, func(f Finding) bool { return slices.ContainsFunc(f.Effects, asks) })
}

// Material looks up a material; nil when there is none.
func (b *Base) Material(key casefile.Material) *MaterialRule { return b.index.mats[key] }

// Risk looks up a material risk by key; nil when there is none.
func (b *Base) Risk(key string) *Risk { return b.index.risks[key] }

// Cohort looks up a cohort by id; nil when there is none.
func (b *Base) Cohort(id string) *Cohort { return b.index.cohorts[id] }

// Pool looks up a pooled survival point by id; nil when there is none.
func (b *Base) Pool(id string) *Pool { return b.index.pools[id] }

// LinesInTime is the aftercare lines by phase and, within one, by their order; they
// are not to be changed.
func (b *Base) LinesInTime() []*Line { return b.index.lines }

// Warning looks up a warning sign; the zero value when there is none.
func (b *Base) Warning(key string) Warning {
	if i := slices.IndexFunc(b.Warnings, func(w Warning) bool { return w.Key == key }); i >= 0 {
		return b.Warnings[i]
	}
	return Warning{}
}

// Country is what holds in a country, by its code.
func (b *Base) Country(code string) Country {
	var rest Country
	for _, c := range b.Countries {
		if code != "" && slices.Contains(c.Codes, code) {
			return c
		}
		if len(c.Codes) == 0 {
			rest = c
		}
	}
	return rest
}

// EmergencyService is the national emergency number that a practice entered, else that
// of its country; empty where neither is known.
func (b *Base) EmergencyService(p casefile.Practice) string {
	return cmp.Or(p.EmergencyService, b.Country(p.Country).Emergency)
}

// On is the effect of f on a route whose teeth get some materials: the first that names
// it, else the default. The loader guarantees that there is one for every route.
func (f *Finding) On(r casefile.Route, made ...casefile.Material) Effect { return *f.Acts(r, made...) }

var nothing = Effect{Level: LevelNone}

// Named is the first effect of f that names a route; nil when none does.
func (f *Finding) Named(r casefile.Route, made ...casefile.Material) *Effect {
	for i := range f.Effects {
		if f.Effects[i].fits(r, made) {
			return &f.Effects[i]
		}
	}
	return nil
}

// fits reports whether e names a route and, where it names materials, one of those made.
func (e *Effect) fits(r casefile.Route, made []casefile.Material) bool {
	return slices.Contains(e.Routes, r) && (len(e.Materials) == 0 ||
		slices.ContainsFunc(made, func(m casefile.Material) bool { return slices.Contains(e.Materials, m) }))
}

// Acts is On without a copy; the effect is not to be changed.
func (f *Finding) Acts(r casefile.Route, made ...casefile.Material) *Effect {
	if x := f.Named(r, made...); x != nil {
		return x
	}
	for i := range f.Effects {
		if len(f.Effects[i].Routes) == 0 {
			return &f.Effects[i]
		}
	}
	return &nothing
}

// Modifier looks up a modifier of the hazard; nil when there is none.
func (b *Base) Modifier(id string) *Modifier { return b.index.modifiers[id] }

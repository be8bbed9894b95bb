package evidence

import "plainleaf/app/veneer"

type index struct {
	figures  map[string]*Figure
	sources  map[string]*Source
	findings map[string]*Finding
	changes  map[string]*Change
	routes   map[veneer.Route]*RouteRule
	mats     map[veneer.Material]*MaterialRule
}

// Index prepares b for look-ups; call it once after filling b. Later changes to
// the slices need a new call.
func (b *Base) Index() *Base {
	x := &index{map[string]*Figure{}, map[string]*Source{}, map[string]*Finding{}, map[string]*Change{},
		map[veneer.Route]*RouteRule{}, map[veneer.Material]*MaterialRule{}}
	for i := range b.Figures {
		x.figures[b.Figures[i].ID] = &b.Figures[i]
	}
	for i := range b.Sources {
		x.sources[b.Sources[i].ID] = &b.Sources[i]
	}
	for i := range b.Findings {
		x.findings[b.Findings[i].Key] = &b.Findings[i]
	}
	for i := range b.Changes {
		x.changes[b.Changes[i].Key] = &b.Changes[i]
	}
	for i := range b.Routes {
		x.routes[b.Routes[i].Key] = &b.Routes[i]
	}
	for i := range b.Materials {
		x.mats[b.Materials[i].Key] = &b.Materials[i]
	}
	b.index = x
	return b
}

// Figure looks up a figure by id.
func (b *Base) Figure(id string) (Figure, bool) {
	if f := b.index.figures[id]; f != nil {
		return *f, true
	}
	return Figure{}, false
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

// Change looks up a chair change by key; nil when there is none.
func (b *Base) Change(key string) *Change { return b.index.changes[key] }

// Route looks up a route; nil when there is none.
func (b *Base) Route(key veneer.Route) *RouteRule { return b.index.routes[key] }

// Material looks up a material; nil when there is none.
func (b *Base) Material(key veneer.Material) *MaterialRule { return b.index.mats[key] }

// On is the effect of f on a route: the first that names it, else the default.
// The loader guarantees that there is one for every route.
func (f *Finding) On(r veneer.Route) Effect {
	for _, e := range f.Effects {
		for _, x := range e.Routes {
			if x == r {
				return e
			}
		}
	}
	for _, e := range f.Effects {
		if len(e.Routes) == 0 {
			return e
		}
	}
	return Effect{Level: LevelNone}
}

package evidence

import (
	"cmp"
	"maps"
	"slices"
	"strings"

	"plainleaf/app/casefile"
)

type index struct {
	places   map[string]int // figure id -> place in byID
	settings map[string]int // rule of the plan -> place of its figure
	byID     []*Figure      // in the order of their ids
	origins  [][]Source     // the sources of each, in the same order
	sources  map[string]*Source
	findings map[string]int // finding -> its place in Findings
	doing    map[casefile.Route][]Doing
	changes  map[string]*Change
	routes   map[casefile.Route]*RouteRule
	mats     map[casefile.Material]*MaterialRule
	risks    map[string]*Risk
	cohorts  map[string]*Cohort
	pools    map[string]*Pool
	lines    []*Line // see LinesInTime
}

// Index prepares b for look-ups; call it once after filling b. Later changes to
// the slices need a new call.
func (b *Base) Index() *Base {
	x := &index{places: map[string]int{}, settings: map[string]int{}, sources: map[string]*Source{}, findings: map[string]int{}, doing: map[casefile.Route][]Doing{}, changes: map[string]*Change{},
		routes: map[casefile.Route]*RouteRule{}, mats: map[casefile.Material]*MaterialRule{}, risks: map[string]*Risk{},
		cohorts: map[string]*Cohort{}, pools: map[string]*Pool{}}
	figures := map[string]*Figure{}
	for i := range b.Figures {
		figures[b.Figures[i].ID] = &b.Figures[i]
	}
	for n, id := range slices.Sorted(maps.Keys(figures)) {
		x.places[id] = n
		x.byID = append(x.byID, figures[id])
	}
	for rule, id := range b.Settings {
		if n, ok := x.places[id]; ok {
			x.settings[rule] = n
		}
	}
	for i := range b.Sources {
		x.sources[b.Sources[i].ID] = &b.Sources[i]
	}
	origins := map[string][]Source{} // many figures come from the same sources
	for _, f := range x.byID {
		key := strings.Join(f.Source, " ")
		from, ok := origins[key]
		if !ok {
			from = make([]Source, 0, len(f.Source))
			for _, id := range f.Source {
				if s := x.sources[id]; s != nil {
					from = append(from, *s)
				}
			}
			origins[key] = from
		}
		x.origins = append(x.origins, from)
	}
	for i := range b.Findings {
		x.findings[b.Findings[i].Key] = i
	}
	for _, r := range append(casefile.Routes(), "") { // the last: on no route
		for i := range b.Findings {
			f := &b.Findings[i]
			x.doing[r] = append(x.doing[r], Doing{f.Named(r), f.Acts(r)})
		}
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
	for i := range b.Risks {
		x.risks[b.Risks[i].Key] = &b.Risks[i]
	}
	for i := range b.Cohorts {
		x.cohorts[b.Cohorts[i].ID] = &b.Cohorts[i]
	}
	for i := range b.Pools {
		x.pools[b.Pools[i].ID] = &b.Pools[i]
	}
	for i := range b.Lines {
		x.lines = append(x.lines, &b.Lines[i])
	}
	slices.SortStableFunc(x.lines, func(a, b *Line) int {
		return cmp.Or(slices.Index(Phases(), a.Phase)-slices.Index(Phases(), b.Phase), a.Order-b.Order)
	})
	b.index = x
	return b
}

// Figure looks up a figure by id.
func (b *Base) Figure(id string) (Figure, bool) {
	if n, ok := b.index.places[id]; ok {
		return *b.index.byID[n], true
	}
	return Figure{}, false
}

// Place is the place of a figure in the order of all ids, counted from 0, for
// sets of figures; At is the figure there and Len their number.
func (b *Base) Place(id string) (int, bool) {
	n, ok := b.index.places[id]
	return n, ok
}

// PlaceOf is the place of the figure a plan rule rests on.
func (b *Base) PlaceOf(rule string) (int, bool) {
	n, ok := b.index.settings[rule]
	return n, ok
}

// At is the figure at a place; it is not to be changed.
func (b *Base) At(place int) *Figure { return b.index.byID[place] }

// From is the sources of the figure at a place; they are not to be changed.
func (b *Base) From(place int) []Source { return b.index.origins[place] }

// Len is the number of places.
func (b *Base) Len() int { return len(b.index.byID) }

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
func (b *Base) Finding(key string) *Finding {
	if n, ok := b.index.findings[key]; ok {
		return &b.Findings[n]
	}
	return nil
}

// FindingPlace is the place of a finding in Findings.
func (b *Base) FindingPlace(key string) (int, bool) {
	n, ok := b.index.findings[key]
	return n, ok
}

// Doing is what a finding does on a route: the effect that names the route, nil
// where none does, and the one that acts there.
type Doing struct{ Named, Acts *Effect }

// Doing is that of every finding on a route, by place; not to be changed.
func (b *Base) Doing(r casefile.Route) []Doing {
	if d, ok := b.index.doing[r]; ok {
		return d
	}
	return b.index.doing[""]
}

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

// On is the effect of f on a route: the first that names it, else the default.
// The loader guarantees that there is one for every route.
func (f *Finding) On(r casefile.Route) Effect { return *f.Acts(r) }

var nothing = Effect{Level: LevelNone}

// Named is the first effect of f that names a route; nil when none does.
func (f *Finding) Named(r casefile.Route) *Effect {
	for i := range f.Effects {
		if slices.Contains(f.Effects[i].Routes, r) {
			return &f.Effects[i]
		}
	}
	return nil
}

// Acts is On without a copy; the effect is not to be changed.
func (f *Finding) Acts(r casefile.Route) *Effect {
	if x := f.Named(r); x != nil {
		return x
	}
	for i := range f.Effects {
		if len(f.Effects[i].Routes) == 0 {
			return &f.Effects[i]
		}
	}
	return &nothing
}

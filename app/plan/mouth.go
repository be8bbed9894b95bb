package plan

import (
	"cmp"
	"math/bits"
	"slices"
	"sync"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
	"plainleaf/app/fault"
)

// work is one computation: the input, and what it came to rest on.
type work struct {
	c            casefile.Case
	p            casefile.Practice
	b            *evidence.Base
	cal          calendar
	used, hidden set
	faults       fault.List
	entries      []casefile.ToothEntry // the case's teeth in chart order; one of tooth 0 where it names none
	here         []present
	shaded       sites // the teeth with an underlying shade, where the case has a target
	thin, bare   sites // where a finding thins the enamel, and where it says that most of the front is dentin
	paths        []path
	years        []int // the horizons
	curveRules   curveRules
	names        []string // of the modifiers that were listed last
	curves       []Estimate
	distances    map[[2]*evidence.Tab]float64
	room         *room
}

// room is memory that a plan works in. Nothing of a finished plan points to it, so
// that the next one can have it.
type room struct {
	// Of the whole plan.
	entries   []casefile.ToothEntry
	here      []present
	at        map[string]int // the place of a finding in here
	paths     []path
	points    []point    // by place in the data's anchors
	modifiers []modifier // as the data has them
	takes     slab[taking]
	taken     []*taking
	kept      slab[uint64] // see keep
	last      last
	ids       []string // not yet part of a plan
	ledgers   []ledger
	sets      set
	given     []*ledger // in order, those of one route taken back before the next
	free      []*ledger // for the next item
	lists     []listed
	told      []told
	fates     []fate
	ways      slab[way]
	met       slab[met]
	groups    slab[group]
	factors   slab[factor]
	words     slab[*modifier]
	chances   slab[chance]
	charges   slab[charge]
	// Of one schedule.
	steps   slab[step]
	times   slab[toothTime]
	waits   slab[wait]
	fits    slab[fit]
	streams []stream
	tracks  [3]track
	dates   [3][]casefile.Date
	// Of the chosen mouth, and of the one of the others that is looked at.
	mouth   [2]mouth
	effects [2][]effect
	each    [2][]*evidence.Effect
	// Of one list that is being made.
	raise   []*effect
	back    []*modifier
	alike   []alike
	looks   []outlook
	names   []string
	parts   []Expectation
	where   []sites
	visits  []Visit
	less    []effect
	rest    []stream
	asked   map[string]asker
	changed map[string]sites
	settle  []WaitFor
	lines   []MoneyLine
	order   []int
	likely  []likelyAt
	changes []ChairChange
	upkeep  []Upkeep
}

var rooms = sync.Pool{New: func() any {
	return &room{at: map[string]int{}, asked: map[string]asker{}, changed: map[string]sites{}}
}}

// leave gives the room to the next plan.
func (w *work) leave() {
	r := w.room
	r.drop(0)
	r.lists, r.told, r.fates = r.lists[:0], r.told[:0], r.fates[:0]
	r.ways.used, r.met.used, r.groups.used, r.factors.used = 0, 0, 0, 0
	r.words.used, r.chances.used, r.charges.used = 0, 0, 0
	r.takes.used, r.kept.used = 0, 0
	clear(w.entries)
	clear(r.settle) // with the dentist's own words
	r.entries, r.here, r.paths, r.taken, r.last = w.entries, w.here, w.paths, r.taken[:0], last{}
	w.room = nil
	rooms.Put(r)
}

// slab hands out lists from one piece of memory until used is set back.
type slab[T any] struct {
	all  []T
	used int
}

// take is an empty list with room for n.
func (s *slab[T]) take(n int) []T {
	if len(s.all)-s.used < n {
		s.all, s.used = make([]T, max(n, 2*len(s.all), 32)), 0
	}
	s.used += n
	return s.all[s.used-n : s.used-n : s.used]
}

func newWork(c casefile.Case, p casefile.Practice, b *evidence.Base) *work {
	w := &work{c: c, p: p, b: b, cal: newCalendar(p), room: rooms.Get().(*room)}
	w.entries = append(w.room.entries[:0], c.Teeth...)
	if len(w.entries) == 0 { // whitening or no treatment of the whole mouth
		w.entries = append(w.entries, casefile.ToothEntry{})
	}
	w.paths = w.room.paths[:0]
	w.room.points = anew(w.room.points, len(b.Anchors))
	w.room.modifiers = w.room.modifiers[:0]
	for i := range b.Modifiers {
		w.room.modifiers = append(w.room.modifiers, modifier{Modifier: &b.Modifiers[i]})
	}
	slices.SortFunc(w.entries, func(a, b casefile.ToothEntry) int { return chart(a.Tooth) - chart(b.Tooth) })
	for i := range w.entries {
		if w.entries[i].UnderlyingShade.Valid() && c.TargetShade.Valid() {
			w.shaded |= 1 << i
		}
	}
	w.here = w.present()
	for _, f := range w.here {
		if f.rule.ThinsEnamel {
			w.thin |= f.on
		}
		if slices.ContainsFunc(f.rule.Effects, func(x evidence.Effect) bool { return x.Dentin != "" }) {
			w.bare |= f.on
		}
	}
	if w.ageBand() == "older-adult" { // enamel thins with age, care-pathway 1.2
		w.thin = ^sites(0)
	}
	return w
}

// chart is a tooth's place in chart order; the tooth that stands for the whole
// mouth comes first.
func chart(t casefile.Tooth) int { return chartOrder[t] }

var chartOrder = func() (order [49]int) {
	for i, t := range casefile.AllTeeth() {
		order[t] = i + 1
	}
	return order
}()

// sites is a set of sites of a mouth, a bit for each in chart order; nobody has
// more than 32 teeth.
type sites uint32

func (s sites) has(i int) bool { return s>>i&1 == 1 }

// first is the first of s, which has one.
func (s sites) first() int { return bits.TrailingZeros32(uint32(s)) }

func (s sites) count() int { return bits.OnesCount32(uint32(s)) }

// teeth lists the teeth at some sites in chart order, never nil; a list is made
// once and not to be changed.
func (w *work) teeth(on sites) []casefile.Tooth {
	for _, l := range w.room.lists {
		if l.on == on {
			return l.teeth
		}
	}
	out := make([]casefile.Tooth, 0, on.count())
	for i := range w.entries {
		if on.has(i) {
			out = append(out, w.entries[i].Tooth)
		}
	}
	out = named(out)
	w.room.lists = append(w.room.lists, listed{on, out})
	return out
}

type listed struct {
	on    sites
	teeth []casefile.Tooth
}

// present is one finding of the case with where it is true.
type present struct {
	key   string
	rule  *evidence.Finding
	place int              // of the rule in the data
	whole bool             // of the mouth or person
	on    sites            // every site where the whole mouth has it
	teeth []casefile.Tooth // empty: the whole mouth or person
	// What it does on some route: visits or a wait of its own, something about the outlook.
	delays, raises bool
}

// present lists every finding of the case, each once: those of the whole mouth in
// the order of the case, those that the patient's age alone brings, then those of
// single teeth in chart order.
func (w *work) present() []present {
	out, at := w.room.here[:0], w.room.at
	clear(at)
	add := func(key string) *present {
		i, ok := at[key]
		if !ok {
			i = len(out)
			at[key] = i
			out = append(out, present{key: key})
			place, ok := w.b.FindingPlace(key)
			if !ok {
				w.fault("PLAN-FINDING-MISSING", "findings."+key, "the data has no rule for this finding")
				return &out[i]
			}
			out[i].rule, out[i].place = &w.b.Findings[place], place
			for j := range out[i].rule.Effects {
				x := &out[i].rule.Effects[j]
				out[i].delays = out[i].delays || x.Visits != "" || x.Wait != ""
				out[i].raises = out[i].raises || x.Dentin != "" || x.Modifier != ""
			}
		}
		return &out[i]
	}
	whole := func(k string) {
		f := add(k)
		f.whole, f.on = true, ^sites(0)>>(32-len(w.entries))
	}
	for _, k := range w.c.Findings {
		whole(k)
	}
	for i := range w.b.Findings {
		if f := &w.b.Findings[i]; f.ByAge && slices.Contains(f.AgeBands, w.ageBand()) {
			whole(f.Key)
		}
	}
	for i, e := range w.entries {
		for _, k := range e.Findings {
			if f := add(k); !f.whole {
				f.on |= 1 << i
				f.teeth = append(f.teeth, e.Tooth)
			}
		}
	}
	return slices.DeleteFunc(out, func(f present) bool { return f.rule == nil })
}

// finding is one that the case has; nil when it does not.
func (w *work) finding(key string) *present {
	for i := range w.here {
		if w.here[i].key == key {
			return &w.here[i]
		}
	}
	return nil
}

// any reports whether one of the findings is true somewhere in the mouth; no
// findings at all ask for nothing and are always met.
func (w *work) any(findings []string) bool {
	return slices.ContainsFunc(findings, func(k string) bool { return w.finding(k) != nil })
}

// site is one tooth with what is planned for it.
type site struct {
	tooth casefile.Tooth // 0: the whole mouth, in a case that names no teeth
	shade casefile.Shade
	*way
}

// way is what is planned for a tooth; teeth beside each other share one.
type way struct {
	lead     casefile.Route // what comes first: a "first" route or whitening before veneers; empty when nothing does
	route    casefile.Route // what stays in the mouth in the end; the lead again when nothing follows it
	via      casefile.Route // whose visits the route takes over when it has only a beginning of its own (replacing veneers)
	kind     string         // of the route that stays
	material casefile.Material
	path     int     // of its lead and route, in work.paths
	takes    *taking // once it was asked for
}

// mouth is the teeth of a case with what is planned for each: as the case says,
// or the same teeth all on another route.
type mouth struct {
	sites []site  // chart order
	paths []int   // of the sites, each once
	on    []sites // the sites of each path
	list  []casefile.Route
	// restored: something bonded stays on some tooth.
	restored bool
}

// chosen is the mouth as the case has it.
func (w *work) chosen() mouth {
	return w.mouth(&w.room.mouth[0], func(e casefile.ToothEntry) (casefile.Route, casefile.Material) {
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

// onRoute is the same teeth all on route r; it holds until the next call.
func (w *work) onRoute(r casefile.Route) mouth {
	return w.mouth(&w.room.mouth[1], func(e casefile.ToothEntry) (casefile.Route, casefile.Material) {
		m := w.c.Material
		if e.Material != "" {
			m = e.Material
		}
		return r, m
	})
}

func (w *work) mouth(into *mouth, of func(casefile.ToothEntry) (casefile.Route, casefile.Material)) mouth {
	m := mouth{anew(into.sites, len(w.entries)), into.paths[:0], into.on[:0], into.list[:0], false}
	var before casefile.Route // of the tooth before
	var wanted casefile.Material
	last := -1 // its path's place in m.paths
	for i, e := range w.entries {
		r, mat := of(e)
		if i > 0 && r == before && mat == wanted {
			m.sites[i] = site{e.Tooth, e.UnderlyingShade, m.sites[i-1].way}
			m.on[last] |= 1 << i
			continue
		}
		before, wanted = r, mat
		s := site{e.Tooth, e.UnderlyingShade, &w.room.ways.take(1)[:1][0]}
		*s.way = way{}
		s.lead, s.route = w.split(r)
		rule := w.b.Route(s.route)
		if rule != nil {
			s.kind = rule.Kind
		}
		s.via = w.via(s.route)
		s.material = w.material(cmp.Or(s.via, s.route), mat)
		s.path = w.path(s.lead, s.route)
		if last = slices.Index(m.paths, s.path); last < 0 {
			last = len(m.paths)
			m.paths, m.on = append(m.paths, s.path), append(m.on, 0)
		}
		m.on[last] |= 1 << i
		m.restored = m.restored || restores(s.kind)
		m.sites[i] = s
	}
	for _, r := range casefile.Routes() {
		if slices.ContainsFunc(m.paths, func(p int) bool { return w.paths[p].lead == r || w.paths[p].route == r }) {
			m.list = append(m.list, r)
		}
	}
	*into = m
	return m
}

// via is whose visits a route takes over that has only a beginning of its own; none for any other.
func (w *work) via(r casefile.Route) casefile.Route {
	rule := w.b.Route(r)
	switch {
	case rule == nil || rule.Kind != kindReplace:
		return ""
	case w.c.Then != "" && w.c.Then != r:
		return w.c.Then
	}
	return rule.ThenDefault
}

// split divides a route into what comes first and what stays. A "first" route is
// followed by the case's then, or by the case's own route when that is a
// restoration; whitening is followed only by a then that the case names.
func (w *work) split(r casefile.Route) (lead, route casefile.Route) {
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
func (w *work) material(r casefile.Route, want casefile.Material) casefile.Material {
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

func (w *work) kind(r casefile.Route) string {
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
func (m mouth) routes() []casefile.Route { return m.list }

// all is every site of m.
func (m mouth) all() sites { return ^sites(0) >> (32 - len(m.sites)) }

// named drops the tooth that stands for the whole mouth; never nil.
func named(teeth []casefile.Tooth) []casefile.Tooth {
	if len(teeth) > 0 && !slices.Contains(teeth, 0) {
		return teeth
	}
	out := []casefile.Tooth{}
	for _, t := range teeth {
		if t != 0 {
			out = append(out, t)
		}
	}
	return out
}

// onAny reports whether one of the routes is planned; an empty list means every route.
func (m mouth) onAny(routes []casefile.Route) bool {
	return len(routes) == 0 || slices.ContainsFunc(m.list, func(r casefile.Route) bool { return slices.Contains(routes, r) })
}

// on reports whether the tooth goes through one of the routes.
func (s *site) on(routes []casefile.Route) bool {
	return slices.Contains(routes, s.route) || s.lead != "" && slices.Contains(routes, s.lead)
}

// using is the sites whose teeth take part in the visits of a route.
func (w *work) using(m mouth, r casefile.Route) (on sites) {
	for k, p := range m.paths {
		if p := &w.paths[p]; r == p.route || r == p.lead || r == p.via {
			on |= m.on[k]
		}
	}
	return on
}

// through is the sites whose teeth go through one of the routes.
func (w *work) through(m mouth, routes []casefile.Route) (on sites) {
	for k, p := range m.paths {
		if p := &w.paths[p]; slices.Contains(routes, p.route) || p.lead != "" && slices.Contains(routes, p.lead) {
			on |= m.on[k]
		}
	}
	return on
}

// path is what comes first on a tooth and what stays, with what each finding of
// the case does there.
type path struct {
	lead, route, via casefile.Route
	does             []met // by place in work.here
}

// met is what a finding does on a path: its effect on what stays and, where
// something comes first, its effect on that too, else nil.
type met struct{ first, stays *evidence.Effect }

func (w *work) path(lead, route casefile.Route) int {
	for i := range w.paths {
		if w.paths[i].lead == lead && w.paths[i].route == route {
			return i
		}
	}
	p := path{lead, route, w.via(route), w.room.met.take(len(w.here))[:len(w.here)]}
	stays, first := w.b.Doing(route), w.b.Doing(lead)
	settles := w.b.Route(lead)
	for i := range w.here {
		f := &w.here[i]
		d := met{stays: stays[f.place].Acts}
		if lead != "" {
			d = d.after(first[f.place].Named, settles != nil && slices.Contains(settles.When, f.key))
		}
		p.does[i] = d
	}
	w.paths = append(w.paths, p)
	return len(w.paths) - 1
}

// after puts in what a finding does on the route that comes first, nil when its
// rule has no word on that. A finding that this route is there for is settled by
// it: then that word stands alone.
func (m met) after(first *evidence.Effect, settled bool) met {
	switch {
	case first == nil:
		return m
	case settled:
		return met{stays: first}
	}
	return met{first, m.stays}
}

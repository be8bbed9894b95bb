package schedule

import (
	"slices"

	"plainleaf/app/casefile"
	"plainleaf/app/order"
	"plainleaf/app/plan/basis"
)

// Visit is one appointment of the chosen route, dated.
type Visit struct {
	Key     string           `json:"key"`
	Purpose string           `json:"purpose"`
	Minutes basis.Estimate   `json:"minutes"`
	Teeth   []casefile.Tooth `json:"teeth,omitempty"`
	Sitting int              `json:"sitting,omitempty"` // 1.. of a split visit
	Of      int              `json:"of,omitempty"`
	Times   *basis.Estimate  `json:"times,omitempty"` // a row of short visits like this one, the first dated
	// Care is the care that comes first whose visit this is.
	Care      string `json:"care,omitempty"`
	Elsewhere bool   `json:"elsewhere,omitempty"` // not at this practice
	// With is what else is done at the same appointment, in order; Minutes counts it.
	With []Part `json:"with,omitempty"`
	// Optional: where things go fast it is not needed; its earliest date is then that
	// of the visit before, so that what follows need not wait for it.
	Optional bool `json:"optional,omitempty"`
	Span
	// Agreed: the day is fixed with the patient, so it is all three of the span; Time
	// is its hour where one is agreed.
	Agreed bool `json:"agreed,omitempty"`
	// Done: it took place, on the day that is all three of the span.
	Done         bool          `json:"done,omitempty"`
	Time         casefile.Time `json:"time,omitempty"`
	Conflicts    []Conflict    `json:"conflicts,omitempty"`
	After        string        `json:"after"`             // key of the visit this one waits for, "" for the first
	Finding      string        `json:"finding,omitempty"` // the public finding this visit waits for or serves
	Why          string        `json:"why"`               // reason key for the interval (words: why.<key>)
	Signs        bool          `json:"signs,omitempty"`   // the agreement is signed here, and not before
	Irreversible bool          `json:"irreversible,omitempty"`
	Bonding      bool          `json:"bonding,omitempty"`
	Figures      []string      `json:"figures"`
	// Lead is the route before the restorations that the visit belongs to.
	Lead casefile.Route `json:"-"`
}

// Part is something else done at an appointment. Words: visit.<purpose>.name.
type Part struct {
	Key     string `json:"key"`
	Purpose string `json:"purpose"`
	Care    string `json:"care,omitempty"`
	Finding string `json:"finding,omitempty"`
}

// Purpose of a visit that the plan itself puts in.
const (
	CoverCheck = "cover-check"    // temporary covers are looked at
	StopGap    = "guard-stop-gap" // something is given in the night guard's place
)

// parts lists what is done at an appointment.
func (v *Visit) parts() []Part {
	return append([]Part{{v.Key, v.Purpose, v.Care, v.Finding}}, v.With...)
}

// KeyOf is the key of what is done at the appointment with a purpose; empty when nothing is.
func (v Visit) KeyOf(purpose string) string {
	for _, p := range v.parts() {
		if p.Purpose == purpose {
			return p.Key
		}
	}
	return ""
}

// Does reports whether what has a key is done at the appointment.
func (v Visit) Does(key string) bool {
	return slices.ContainsFunc(v.parts(), func(p Part) bool { return p.Key == key })
}

// lister lists the appointments of the likely track with their dates on all three.
type lister struct {
	x       *timetable
	tracks  *[3]track
	lastKey []string // by step: key of the last visit at or before it
	careKey []string // by stream: key of its last visit
}

// visits lists the appointments by date.
func (x *timetable) visits(tracks *[3]track) []Visit {
	l := lister{x: x, tracks: tracks, lastKey: make([]string, len(x.steps)), careKey: make([]string, len(x.streams))}
	l.keys()
	var out []Visit
	joined := map[string]string{} // key of what shares an appointment -> key of the appointment
	list := x.joined(x.appointments(&tracks[1]))
	for _, together := range list {
		lead := 0 // the longest gives the appointment its name
		for i, a := range together {
			if a.minutes.Likely > together[lead].minutes.Likely {
				lead = i
			}
		}
		v := l.visit(together[lead].at)
		for i, a := range together {
			if i != lead {
				o := l.visit(a.at)
				joined[o.Key] = v.Key
				v.share(o, i < lead)
			}
		}
		if v.Minutes = v.Minutes.Round(); v.Agreed {
			v.Earliest, v.Latest = v.Likely, v.Likely
		}
		out = append(out, v)
	}
	for i := range out {
		if k, ok := joined[out[i].After]; ok {
			out[i].After = k
		}
		out[i].follow(out[:i])
	}
	for _, at := range x.unguarded(tracks) {
		key := l.visit(at).Key
		for i := range out {
			if out[i].Key == key || joined[key] == out[i].Key {
				out[i].With = append(out[i].With, Part{Key: StopGap, Purpose: StopGap})
			}
		}
	}
	return out
}

// follow moves the earliest day of v behind the agreed day of the visit it waits for,
// which may be that of something else done there.
func (v *Visit) follow(earlier []Visit) {
	i := slices.IndexFunc(earlier, func(o Visit) bool { return o.Key == v.After })
	if i < 0 || !earlier[i].Agreed || v.Agreed || v.Done {
		return
	}
	if first := earlier[i].Earliest; !v.Likely.Before(first) {
		v.Earliest = later(v.Earliest, first)
	}
}

// share puts another visit into the same appointment, one that comes first or not. Its
// date is the later of both on each track.
func (v *Visit) share(o Visit, first bool) {
	if first {
		v.After, v.Why, v.Finding = o.After, o.Why, o.Finding
	}
	v.With = append(v.With, o.parts()...)
	v.Minutes = v.Minutes.Plus(o.Minutes)
	if o.Purpose != CoverCheck { // which follows the others
		v.Earliest, v.Latest = later(v.Earliest, o.Earliest), later(v.Latest, o.Latest)
	}
	v.Signs, v.Irreversible, v.Bonding = v.Signs || o.Signs, v.Irreversible || o.Irreversible, v.Bonding || o.Bonding
	v.Optional = v.Optional && o.Optional
	if len(v.Teeth) == 0 {
		v.Teeth, v.Sitting, v.Of = o.Teeth, o.Sitting, o.Of
	}
	v.Agreed, v.Conflicts = v.Agreed || o.Agreed, append(v.Conflicts, o.Conflicts...)
	v.Done = v.Done || o.Done
	if v.Time == "" {
		v.Time = o.Time
	}
	v.Figures = append(v.Figures, o.Figures...)
	slices.Sort(v.Figures)
	v.Figures = slices.Compact(v.Figures)
}

// keys finds the key of the last visit of each step and each stream.
func (l *lister) keys() {
	for i := range l.x.steps {
		s := &l.x.steps[i]
		if n := len(l.tracks[1].main[i]); n > 0 && (i == 0 || !s.within) {
			l.lastKey[i] = numbered(s.key, n-1, n)
		} else if i > 0 {
			l.lastKey[i] = l.lastKey[i-1]
		}
	}
	for j := range l.x.streams {
		for i := range l.x.streams[j].rows {
			if n := len(l.tracks[1].streams[j][i]); n > 0 {
				l.careKey[j] = numbered(l.x.streams[j].rows[i].key, n-1, n)
			}
		}
	}
}

// firstKey is that of the first visit of all, empty where only care comes.
func (l *lister) firstKey() string {
	if len(l.lastKey) == 0 {
		return ""
	}
	return l.lastKey[0]
}

// visit is one visit of the timetable by itself.
func (l *lister) visit(at place) Visit {
	switch at.kind {
	case ofStream:
		return l.careVisit(at)
	case ofCheck:
		return l.check(at.n)
	case ofFit:
		return l.fit(at.index)
	}
	return l.step(at.index, at.n)
}

// step is the j-th appointment of a step.
func (l *lister) step(i, j int) Visit {
	s := &l.x.steps[i]
	n, per := len(l.tracks[1].main[i]), len(s.sittings)
	v := Visit{Key: numbered(s.key, j, n), Purpose: s.purpose, Lead: s.lead, Teeth: s.sittings[j%per], Minutes: s.share(l.x.chart, s.sittings[j%per], per),
		Signs: s.signs, Irreversible: s.irreversible, Bonding: s.bonding, Figures: s.ledger.IDs(), Optional: j >= len(l.tracks[0].main[i]),
		Span: spanned(l.tracks, func(t *track) casefile.Date { return pick(t.main[i], j, l.before(t, i)) })}
	for _, b := range s.beside {
		v.With = append(v.With, Part{Key: b.key, Purpose: b.purpose})
	}
	if per > 1 {
		v.Sitting, v.Of = j%per+1, per
	}
	if s.within {
		times := s.repeat.Round()
		v.Times = &times
	}
	switch {
	case j > 0 && j%per == 0:
		v.After, v.Why = numbered(s.key, j-1, n), s.again
	case j > 0:
		v.After, v.Why = numbered(s.key, j-1, n), WhySitting
	default:
		l.waits(&v, l.tracks[1].why[i])
		if c := l.x.covered(i); c >= 0 && v.After == l.lastKey[c] { // of several preparations, that of its own teeth
			for n := range l.tracks[1].main[c] {
				if l.x.prepares(c, n, i, j) {
					v.After = numbered(l.x.steps[c].key, n, len(l.tracks[1].main[c]))
				}
			}
		}
	}
	v.agree(pinAt(l.x.agreed.step(i), j))
	return v
}

// waits fills in what the first appointment of a step waits for.
func (l *lister) waits(v *Visit, c cause) {
	v.Why = c.why
	if c.step >= 0 {
		v.After = l.lastKey[c.step]
	}
	if c.stream >= 0 {
		if k := l.careKey[c.stream]; k != "" {
			v.After = k
		}
		v.Finding = l.x.streams[c.stream].asker()
	}
}

// asker is the finding that asks for a care, the first of them; empty where none does.
func (s *stream) asker() string {
	if len(s.Findings) == 0 {
		return ""
	}
	return s.Findings[0]
}

// before is the last date of a track before a step.
func (l *lister) before(t *track, i int) casefile.Date {
	for i--; i >= 0; i-- {
		if n := len(t.main[i]); n > 0 && !l.x.steps[i].within {
			return t.main[i][n-1]
		}
	}
	return l.x.cal.Open(l.x.basis.Case.Start)
}

// careVisit is one visit of care that comes first.
func (l *lister) careVisit(at place) Visit {
	j, i := at.index, at.row
	s := &l.x.streams[j]
	r := &s.rows[i]
	n := len(l.tracks[1].streams[j][i])
	v := Visit{Key: numbered(r.key, at.n, n), Purpose: r.purpose, Minutes: r.minutes, Care: s.Rule.Key, Elsewhere: r.elsewhere, Why: WhyFinding,
		Finding: s.asker(), After: l.firstKey(), Figures: r.ledger.IDs(), Optional: at.n >= len(l.tracks[0].streams[j][i]), Teeth: s.Teeth(l.x.chart),
		Span: spanned(l.tracks, func(t *track) casefile.Date { return pick(t.streams[j][i], at.n, l.lastOf(t, j, i)) })}
	switch {
	case at.n > 0:
		v.After = numbered(r.key, at.n-1, n)
	case i > 0:
		before := &s.rows[i-1]
		m := len(l.tracks[1].streams[j][i-1])
		v.After = numbered(before.key, m-1, m)
	default:
		for _, a := range s.after { // the last of them
			if l.careKey[a] != "" {
				v.After = l.careKey[a]
			}
		}
	}
	v.agree(pinAt(l.x.agreed.row(j, i), at.n))
	return v
}

// lastOf is the last date of a care's rows before row i on a track.
func (l *lister) lastOf(t *track, j, i int) casefile.Date {
	for i--; i >= 0; i-- {
		if n := len(t.streams[j][i]); n > 0 {
			return t.streams[j][i][n-1]
		}
	}
	if len(t.main) > 0 && len(t.main[0]) > 0 {
		return t.main[0][len(t.main[0])-1]
	}
	return l.x.cal.Open(l.x.basis.Case.Start)
}

// check is the n-th look at temporary covers.
func (l *lister) check(n int) Visit {
	ledger := l.x.basis.Ledger(false)
	v := Visit{Key: numbered(CoverCheck, n, len(l.tracks[1].checks)), Purpose: CoverCheck, Why: WhyCovers,
		Minutes: ledger.Ruled("covers-check-minutes"), Optional: n >= len(l.tracks[0].checks)}
	c := l.tracks[1].checks[n]
	v.Span = spanned(l.tracks, func(t *track) casefile.Date {
		day, _ := l.x.checkDay(pick(t.main[c.step], c.n, c.date))
		return day
	})
	v.Earliest, v.Likely, v.Latest = ordered(v.Earliest, c.date, v.Latest)
	ledger.Rule("covers-longest")
	v.Figures = ledger.IDs()
	v.After = numbered(l.x.steps[c.step].key, c.n, len(l.tracks[1].main[c.step]))
	if a := l.x.basis.Case.AgreedDay(v.Key, 1); a != nil {
		v.Span, v.Agreed, v.Time = Span{a.Date, a.Date, a.Date}, true, a.Time
		if on := l.tracks[1].main[c.step][c.n]; a.Date.Before(on) {
			v.Conflicts = []Conflict{{ConflictOrder, on}}
		}
	}
	return v
}

// fit is the visit at which an appliance is fitted.
func (l *lister) fit(i int) Visit {
	f := &l.x.fits[i]
	v := Visit{Key: f.key(), Purpose: f.key(), Minutes: f.minutes, Figures: f.ledger.IDs(), Why: WhyAppliance,
		After: l.lastKey[len(l.x.steps)-1], Span: spanned(l.tracks, func(t *track) casefile.Date { return t.fits[i] })}
	for b := range l.x.steps {
		if l.x.steps[b].bonding {
			v.After = l.lastKey[b]
		}
	}
	v.agree(l.x.agreed.fit(i))
	return v
}

// unguarded lists the gluing visits after which the night guard comes later than it may.
func (x *timetable) unguarded(tracks *[3]track) []place {
	var out []place
	for f := range x.fits {
		longest := x.fits[f].longest
		if longest == nil {
			continue
		}
		for i := range x.steps {
			if !x.steps[i].bonding {
				continue
			}
			for n := range tracks[1].main[i] {
				late := func(t *track) bool {
					d := pick(t.main[i], n, t.end)
					return x.cal.Add(d, longest.Value, longest.Unit).Before(t.fits[f])
				}
				if late(&tracks[1]) || late(&tracks[2]) {
					out = append(out, place{ofStep, i, 0, n})
				}
			}
		}
	}
	return out
}

// ordered puts three days in order.
func ordered(a, b, c casefile.Date) (casefile.Date, casefile.Date, casefile.Date) {
	all := []casefile.Date{a, b, c}
	order.By(all, casefile.Date.Compare)
	return all[0], all[1], all[2]
}

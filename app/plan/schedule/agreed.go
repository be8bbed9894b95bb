package schedule

import (
	"slices"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
	"plainleaf/app/plan/basis"
)

// Kinds of what speaks against an agreed day (words: agreed.<kind>).
const (
	ConflictOrder  = "order"  // it lies before the agreed day of a visit that has to come first
	ConflictEarly  = "early"  // the shortest wait in front of it is not over
	ConflictClosed = "closed" // the practice is closed
)

// Conflict is what speaks against an agreed day. The day is kept all the same, since
// practice and patient may have their reasons; the plan reports the conflict.
type Conflict struct {
	Kind string `json:"kind"`
	// Date is the other visit's day, or the first day after the wait; none for a closed day.
	Date casefile.Date `json:"date,omitzero"`
}

// pin is the day agreed for an appointment, and what speaks against it; nil where
// none is agreed.
type pin struct {
	day     *casefile.AgreedVisit
	done    bool // nothing speaks against what has happened
	against []Conflict
}

// pins are those of one sequence, by appointment; a nil *pins has none.
type pins struct {
	main    [][]*pin   // by step
	streams [][][]*pin // by stream and row
	fits    []*pin
}

// newPins finds the agreed days of a sequence, and those of what has been done and signed.
// A route that
// is only compared shares the first visit with the chosen one, and no other agreed day.
func newPins(s *basis.Basis, x *timetable, chosen bool) *pins {
	signed := s.Case.Agreed != nil && !s.Case.Withdrawn() && likely(s, s.Case.Agreed.Date)
	if len(s.Case.Visits) == 0 && len(s.Case.Events) == 0 && !signed {
		return nil
	}
	p := &pins{make([][]*pin, len(x.steps)), make([][][]*pin, len(x.streams)), make([]*pin, len(x.fits))}
	for i := range x.steps {
		step := &x.steps[i]
		n := step.appointments(1)
		switch {
		case i > 0 && !chosen:
			continue
		case step.signs && signed:
			p.main[i] = []*pin{{day: &casefile.AgreedVisit{Key: step.key, Date: s.Case.Agreed.Date}, done: true}}
			continue
		case step.within:
			n = 1
		}
		p.main[i] = pinned(s, step.key, n)
		if chosen && step.bonding {
			p.glued(s, i, step)
		}
	}
	if !chosen {
		return p
	}
	for j := range x.streams {
		for i := range x.streams[j].rows {
			r := &x.streams[j].rows[i]
			p.streams[j] = append(p.streams[j], pinned(s, r.key, r.appointments(1)))
		}
	}
	for i := range x.fits {
		p.fits[i] = pinAt(pinned(s, x.fits[i].key(), 1), 0)
	}
	return p
}

// glued takes the day of a sitting from what was noted as glued, where the visit itself
// was not noted: the guard and the review count from there.
func (p *pins) glued(s *basis.Basis, i int, step *step) {
	for j, teeth := range step.sittings {
		if x := pinAt(p.main[i], j); x != nil && x.done {
			continue
		}
		d := s.Case.GluedDay(teeth)
		if !likely(s, d) {
			continue
		}
		for len(p.main[i]) <= j {
			p.main[i] = append(p.main[i], nil)
		}
		p.main[i][j] = &pin{day: &casefile.AgreedVisit{Key: step.key, Date: d}, done: true}
	}
}

// likely reports whether something may have taken place on a day: none is dated from a
// slip of the pen far in the future.
func likely(s *basis.Basis, d casefile.Date) bool {
	return d.Exists() && d.Before(s.Case.Start.AddMonths(12*margin))
}

// pinned gives the pins of n like appointments, up to the last that has one.
func pinned(s *basis.Basis, key string, n int) []*pin {
	c := &s.Case
	var out []*pin
	for j := range n {
		key := numbered(key, j, n)
		p := &pin{day: c.AgreedDay(key, 1)}
		if d := c.VisitDay(key); likely(s, d) {
			p = &pin{day: &casefile.AgreedVisit{Key: key, Date: d}, done: true}
		}
		if p.day != nil {
			out = append(append(out, make([]*pin, j-len(out))...), p)
		}
	}
	return out
}

func (p *pins) step(i int) []*pin {
	if p == nil {
		return nil
	}
	return p.main[i]
}

func (p *pins) row(j, i int) []*pin {
	if p == nil || p.streams[j] == nil {
		return nil
	}
	return p.streams[j][i]
}

func (p *pins) fit(i int) *pin {
	if p == nil {
		return nil
	}
	return p.fits[i]
}

// pinAt is the j-th pin, nil beyond the last.
func pinAt(ps []*pin, j int) *pin {
	if j < len(ps) {
		return ps[j]
	}
	return nil
}

// lastOf is the latest agreed day of stream j, the zero date when there is none.
func (p *pins) lastOf(j int) (last casefile.Date) {
	if p == nil {
		return last
	}
	for _, row := range p.streams[j] {
		for _, x := range row {
			if x != nil {
				last = later(last, x.day.Date)
			}
		}
	}
	return last
}

// agree notes that a day is agreed for v.
func (v *Visit) agree(p *pin) {
	if p != nil {
		v.Agreed, v.Done, v.Time, v.Conflicts = !p.done, p.done, p.day.Time, p.against
	}
}

// take puts the agreed day in the place of a computed one, d, and notes how it
// compares: after is the last agreed day among the visits that have to come first.
// Only the track of the lows judges: no wait is shorter than its.
func (k *tracker) take(p *pin, d casefile.Date, after *casefile.Date) casefile.Date {
	if p == nil {
		return d
	}
	day := p.day.Date
	if k.t == 0 && !p.done {
		p.against = nil
		open, _ := k.x.cal.roll(day)
		switch {
		case day.Before(*after):
			p.against = append(p.against, Conflict{ConflictOrder, *after})
		case open.Before(d):
			p.against = append(p.against, Conflict{ConflictEarly, d})
		}
		if open != day {
			p.against = append(p.against, Conflict{Kind: ConflictClosed})
		}
	}
	*after = later(*after, day)
	return day
}

// squeeze moves computed days that lie behind an agreed day they have to come before
// to the last one that leaves the shortest wait between, and never before that of
// the track below: then the agreed day is too early, and a conflict says so.
func (x *timetable) squeeze(tracks *[3]track) {
	p := x.agreed
	if p == nil {
		return
	}
	x.past(tracks)
	for t := 1; t < len(tracks); t++ {
		var limit casefile.Date // no day is later; zero: none
		k := &tracks[t]
		for i := len(x.steps) - 1; i >= 0; i-- {
			s := &x.steps[i]
			for j := len(k.main[i]) - 1; j >= 0; j-- {
				d := &k.main[i][j]
				if pinAt(p.main[i], j) == nil && !limit.IsZero() && limit.Before(*d) {
					*d = later(limit, pick(tracks[t-1].main[i], j, limit))
				}
				if s.within || limit.IsZero() && pinAt(p.main[i], j) == nil {
					continue
				}
				gap := s.gap
				if j > 0 {
					gap = x.between(s, j)
				}
				if s.signs {
					gap = nil // the signature says how much thinking time is left
				}
				limit = x.cal.before(*d, gap)
			}
		}
		for j := range x.streams {
			for _, h := range x.streams[j].holds {
				if days := k.main[h.step]; len(days) > 0 {
					x.squeezeCare(k, &tracks[t-1], j, days[0])
				}
			}
		}
		x.keepOrder(k, &tracks[t-1])
	}
}

// keepOrder moves computed days that lie before those of the track below onto them: a
// wait cut short for covers that have to come off may end before a shorter one.
func (x *timetable) keepOrder(k, below *track) {
	for i, days := range k.main {
		for j, d := range days {
			if pinAt(x.agreed.main[i], j) == nil {
				days[j] = later(d, pick(below.main[i], j, d))
			}
		}
	}
}

// past puts what has to come before something that took place, and was not noted itself,
// on its day at the latest.
func (x *timetable) past(tracks *[3]track) {
	last := -1
	var day casefile.Date
	for i := range x.steps {
		for _, p := range x.agreed.step(i) {
			if p != nil && p.done {
				last, day = i, p.day.Date
			}
		}
	}
	clamp := func(days []casefile.Date, agreed []*pin) {
		for n := range days {
			if pinAt(agreed, n) == nil && day.Before(days[n]) {
				days[n] = day
			}
		}
	}
	for t := range tracks {
		for i := range max(0, last) {
			clamp(tracks[t].main[i], x.agreed.step(i))
		}
		for j := range x.streams {
			if slices.ContainsFunc(x.streams[j].holds, func(h hold) bool { return h.step <= last }) {
				for i, days := range tracks[t].streams[j] {
					clamp(days, x.agreed.row(j, i))
				}
			}
		}
	}
}

// squeezeCare moves the visits of stream j that lie behind the day that waits for them.
func (x *timetable) squeezeCare(k, below *track, j int, limit casefile.Date) {
	for i, days := range k.streams[j] {
		for n := range days {
			if pinAt(x.agreed.row(j, i), n) == nil && limit.Before(days[n]) {
				days[n] = later(limit, pick(below.streams[j][i], n, limit))
			}
		}
	}
}

// before is the last opening day from which the shortest gap leads to d or before.
func (c *Calendar) before(d casefile.Date, gap *evidence.Figure) casefile.Date {
	for e, n := d, 0; n < reach; e, n = e.AddDays(-1), n+1 {
		if open, ok := c.roll(e); !ok || open != e {
			continue
		}
		if gap == nil || !d.Before(c.move(e, gap, 0)) {
			return e
		}
	}
	return d
}

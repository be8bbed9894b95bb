package schedule

import (
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

// Conflict is what speaks against an agreed day. The day stands all the same:
// practice and patient may have their reasons, and are told.
type Conflict struct {
	Kind string `json:"kind"`
	// Date is the other visit's day, or the first day after the wait; none for a closed day.
	Date casefile.Date `json:"date,omitzero"`
}

// pin is the day agreed for an appointment, and what speaks against it; nil where
// none is agreed.
type pin struct {
	day     *casefile.AgreedVisit
	against []Conflict
}

// pins are those of one sequence, by appointment; a nil *pins has none.
type pins struct {
	main, streams [][]*pin // by step, by stream
	fits          []*pin
}

// newPins finds the agreed days of a sequence. A route that is only compared shares
// the first visit with the chosen one, and no other agreed day.
func newPins(s *basis.Basis, x *timetable, chosen bool) *pins {
	if len(s.Case.Visits) == 0 {
		return nil
	}
	p := &pins{make([][]*pin, len(x.steps)), make([][]*pin, len(x.streams)), make([]*pin, len(x.fits))}
	for i := range x.steps {
		if step := &x.steps[i]; i == 0 || chosen {
			n := step.appointments[1]
			if step.within {
				n = 1
			}
			p.main[i] = pinned(&s.Case, step.key, n)
		}
	}
	if !chosen {
		return p
	}
	for j := range x.streams {
		p.streams[j] = pinned(&s.Case, x.streams[j].visitKey(), basis.Up(x.streams[j].count.End(1)))
	}
	for i := range x.fits {
		p.fits[i] = pinAt(pinned(&s.Case, x.fits[i].key(), 1), 0)
	}
	return p
}

// pinned gives the pins of n like appointments, up to the last that has one.
func pinned(c *casefile.Case, key string, n int) []*pin {
	var out []*pin
	for j := range n {
		if a := c.AgreedDay(numbered(key, j, n), 1); a != nil {
			out = append(append(out, make([]*pin, j-len(out))...), &pin{day: a})
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

func (p *pins) stream(j int) []*pin {
	if p == nil {
		return nil
	}
	return p.streams[j]
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

// lastOf is the latest agreed day, the zero date when there is none.
func lastOf(ps []*pin) (last casefile.Date) {
	for _, p := range ps {
		if p != nil {
			last = later(last, p.day.Date)
		}
	}
	return last
}

// agree notes that a day is agreed for v.
func (v *Visit) agree(p *pin) {
	if p != nil {
		v.Agreed, v.Time, v.Conflicts = true, p.day.Time, p.against
	}
}

// take puts the agreed day in the place of a computed one, d, and tells how it
// compares: after is the last agreed day among the visits that have to come first.
// Only the track of the lows judges: no wait is shorter than its.
func (k *tracker) take(p *pin, d casefile.Date, after *casefile.Date) casefile.Date {
	if p == nil {
		return d
	}
	day := p.day.Date
	if k.t == 0 {
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
// the track below: what is too early then is the agreed day, and is told so.
func (x *timetable) squeeze(tracks *[3]track) {
	p := x.agreed
	if p == nil {
		return
	}
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
					gap = s.between(j, s.sittings[t], x.rules)
				}
				limit = x.cal.before(*d, gap)
			}
		}
		for j := range x.streams {
			if b := x.streams[j].before; b >= 0 && len(k.main[b]) > 0 {
				for n := range k.streams[j] {
					if d := &k.streams[j][n]; pinAt(p.streams[j], n) == nil && k.main[b][0].Before(*d) {
						*d = later(k.main[b][0], pick(tracks[t-1].streams[j], n, k.main[b][0]))
					}
				}
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

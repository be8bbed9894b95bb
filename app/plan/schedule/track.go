package schedule

import (
	"slices"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
	"plainleaf/app/plan/basis"
	"plainleaf/app/plan/mouth"
)

// timetable is what the dates of one treatment follow from.
type timetable struct {
	basis   *basis.Basis
	cal     *Calendar
	steps   []step
	streams []stream
	fits    []fit
	rules   intervals
	agreed  *pins
}

// intervals are the plan's own rules that the dates of a treatment rest on.
type intervals struct {
	thinking, whiteBond, whiteShade, sitting, extra *evidence.Figure // nil: not needed here
	ledger                                          *basis.Ledger
}

func newTimetable(cal *Calendar, m *mouth.Treatment, es []mouth.Effect, appliances []string, chosen bool) timetable {
	s := m.Chart.Basis
	x := timetable{basis: s, cal: cal, steps: sequence(m)}
	if len(x.steps) == 0 {
		return x
	}
	x.streams = streams(m, es)
	for i := range x.streams {
		x.streams[i].aim(x.steps)
	}
	x.fits = fits(s, appliances)
	x.rules = x.intervals()
	x.agreed = newPins(s, &x, chosen)
	return x
}

func (x *timetable) intervals() intervals {
	l := x.basis.Ledger(false)
	r := intervals{ledger: l}
	has := func(is func(*step) bool) bool { return first(x.steps, is) >= 0 }
	if has(func(s *step) bool { return s.irreversible }) {
		r.thinking = l.Rule("thinking-time")
	}
	if has(func(s *step) bool { return s.whitening }) && has(func(s *step) bool { return s.bonding }) {
		r.whiteBond = l.Rule("whitening-wait")
		r.whiteShade = l.Rule("whitening-shade-wait")
	}
	if has(func(s *step) bool { return s.sittings[2] > 1 }) {
		r.sitting = l.Rule("sitting-gap")
	}
	if slices.ContainsFunc(x.streams, func(s stream) bool { return s.count.High > 0 }) {
		r.extra = l.Rule("extra-visit-gap")
	}
	return r
}

// track is the dates of one of the three tracks: every interval, number of visits and
// chair time at its low (0), likely (1) or high (2) value.
type track struct {
	main    [][]casefile.Date // by step
	streams [][]casefile.Date // by stream
	fits    []casefile.Date   // by appliance
	why     []cause           // by step: what its first date waited for
	end     casefile.Date     // the last visit of all
}

// cause is what a step waits for: the step at an index, a stream, or a date.
type cause struct {
	date   casefile.Date
	step   int // index of the step before; -1 none
	stream int // index of a stream; -1 none
	why    string
}

// unlessLater keeps the later cause; of two on one day the first.
func (c *cause) unlessLater(o cause) {
	if c.date.Before(o.date) {
		*c = o
	}
}

// tracker counts one track, step by step.
type tracker struct {
	x            *timetable
	t            int // which track
	out          track
	whitened     int           // the last step that whitens and bonds nothing; -1 none
	irreversible int           // the first step that cannot be undone; -1 none
	last         casefile.Date // the latest agreed day so far
}

// track counts one track: t 0 the lows, 1 the likely, 2 the highs.
func (x *timetable) track(t int) track {
	k := tracker{x: x, t: t, whitened: -1, out: track{main: make([][]casefile.Date, len(x.steps)),
		streams: make([][]casefile.Date, len(x.streams)), why: make([]cause, len(x.steps))}}
	for i := range x.steps {
		if s := &x.steps[i]; s.whitening && !s.bonding {
			k.whitened = i
		}
	}
	k.irreversible = first(x.steps, func(s *step) bool { return s.irreversible })
	for i := range x.steps {
		k.out.why[i] = k.cause(i)
		k.date(i)
		if i == 0 {
			k.extras()
		}
	}
	k.finish()
	return k.out
}

// endOf is the last date of step i, or of the one before when it has none.
func (k *tracker) endOf(i int) casefile.Date {
	for ; i > 0 && (len(k.out.main[i]) == 0 || k.x.steps[i].within); i-- {
	}
	if len(k.out.main[i]) == 0 {
		return k.x.cal.Open(k.x.basis.Case.Start)
	}
	return k.out.main[i][len(k.out.main[i])-1]
}

// cause finds what the first date of step i waits for; the latest decides.
func (k *tracker) cause(i int) cause {
	s := &k.x.steps[i]
	if i == 0 {
		c := cause{k.x.basis.Case.Start, -1, -1, WhyStart}
		k.think(i, &c)
		return c
	}
	gap := s.gap
	if s.within && s.repeatGap != nil {
		gap = s.repeatGap
	}
	c := cause{k.x.cal.move(k.endOf(i-1), gap, k.t), i - 1, -1, s.why}
	k.think(i, &c)
	if k.whitened >= 0 && i > k.whitened && k.x.rules.whiteBond != nil {
		white := k.endOf(k.whitened)
		if s.bonding {
			c.unlessLater(cause{k.x.cal.move(white, k.x.rules.whiteBond, k.t), k.whitened, -1, WhyWhitening})
		}
		if s.records {
			c.unlessLater(cause{k.x.cal.move(white, k.x.rules.whiteShade, k.t), k.whitened, -1, WhyWhitening})
		}
	}
	for j := range k.out.streams {
		k.settle(i, j, &c)
	}
	return c
}

// think puts in the thinking time before the first step that cannot be undone. It is
// the practice's rule, not an uncertain interval: the likely value on every track.
func (k *tracker) think(i int, c *cause) {
	if r := k.x.rules.thinking; i == k.irreversible && r != nil {
		c.unlessLater(cause{k.x.cal.Add(k.x.basis.Case.Issued, r.Value, r.Unit), -1, -1, WhyThinking})
	}
}

// settle puts in what stream j asks step i to wait for.
func (k *tracker) settle(i, j int, c *cause) {
	x := &k.x.streams[j]
	why := WhyFinding
	if x.private {
		why = WhyAgreedPause
	}
	from := k.endOf(0)
	if n := len(k.out.streams[j]); n > 0 {
		from = k.out.streams[j][n-1]
	}
	for _, v := range x.waits {
		switch {
		case v.step != i:
		case k.x.steps[i].recheck && v.at == atRecheck:
			c.unlessLater(cause{k.x.cal.move(k.endOf(i-1), v.figure, k.t), i - 1, j, k.x.steps[i].why})
		default:
			c.unlessLater(cause{k.x.cal.move(from, v.figure, k.t), 0, j, why})
		}
	}
	if len(k.out.streams[j]) > 0 && x.before == i {
		c.unlessLater(cause{from, 0, j, why})
	}
}

// date dates the appointments of step i.
func (k *tracker) date(i int) {
	s := &k.x.steps[i]
	for j := range k.out.streams {
		if i > 0 && k.x.streams[j].before == i {
			k.last = later(k.last, lastOf(k.x.agreed.stream(j)))
		}
	}
	d := k.x.cal.Open(k.out.why[i].date)
	agreed := k.x.agreed.step(i)
	if s.within { // of visits within an interval only the first is dated
		before := k.last // and it moves no later one
		k.out.main[i] = []casefile.Date{k.take(pinAt(agreed, 0), d, &before)}
		return
	}
	if i == 0 && k.out.why[i].why == WhyStart && pinAt(agreed, 0) != nil {
		d = casefile.Date{} // the start only says when the first visit is planned
	}
	visits := max(s.appointments[k.t], len(agreed))
	k.out.main[i] = make([]casefile.Date, 0, visits)
	for j := range visits {
		if j > 0 {
			if gap := s.between(j, s.sittings[k.t], k.x.rules); gap != nil {
				d = k.x.cal.Open(k.x.cal.move(d, gap, k.t))
			}
		}
		d = k.take(pinAt(agreed, j), d, &k.last)
		k.out.main[i] = append(k.out.main[i], d)
	}
}

// extras dates the extra visits of every stream, after the first step.
func (k *tracker) extras() {
	opened := k.last
	for j := range k.out.streams {
		d, before := k.endOf(0), opened
		agreed := k.x.agreed.stream(j)
		visits := max(basis.Up(k.x.streams[j].count.End(k.t)), len(agreed))
		k.out.streams[j] = make([]casefile.Date, 0, max(0, visits))
		for n := range visits {
			d = k.take(pinAt(agreed, n), k.x.cal.Open(k.x.cal.move(d, k.x.rules.extra, k.t)), &before)
			k.out.streams[j] = append(k.out.streams[j], d)
		}
	}
}

// finish dates the fits of appliances and the end of all.
func (k *tracker) finish() {
	k.out.end = k.endOf(len(k.x.steps) - 1)
	for i := range k.x.fits {
		before := k.last
		d := k.x.cal.Open(k.x.cal.move(k.endOf(len(k.x.steps)-1), k.x.fits[i].gap, k.t))
		k.out.fits = append(k.out.fits, k.take(k.x.agreed.fit(i), d, &before))
	}
	for _, d := range append(slices.Concat(k.out.streams...), k.out.fits...) {
		k.out.end = later(k.out.end, d)
	}
}

// between is the interval in front of the j-th appointment of a step that is
// divided into some sittings.
func (s *step) between(j, sittings int, r intervals) *evidence.Figure {
	if j%sittings == 0 && s.repeatGap != nil {
		return s.repeatGap
	}
	return r.sitting
}

// pick gives the date of the j-th appointment, or the last one where the track
// has fewer, or otherwise d.
func pick(ds []casefile.Date, j int, d casefile.Date) casefile.Date {
	switch {
	case j < len(ds):
		return ds[j]
	case len(ds) > 0:
		return ds[len(ds)-1]
	}
	return d
}

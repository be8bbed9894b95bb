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
	chart   *mouth.Chart
	cal     *Calendar
	steps   []step
	streams []stream
	fits    []fit
	rules   intervals
	agreed  *pins
	held    bool // see Schedule.List
}

// intervals are the plan's own rules that the dates of a treatment rest on.
type intervals struct {
	thinking, whiteBond, whiteShade, sitting *evidence.Figure // nil: not needed here
	covers, coversChecked                    *evidence.Figure
	cap                                      *evidence.Figure // longest comfortable appointment
	ledger                                   *basis.Ledger
}

func newTimetable(cal *Calendar, m *mouth.Treatment, es []mouth.Effect, appliances []string, chosen bool) timetable {
	s := m.Chart.Basis
	x := timetable{basis: s, chart: m.Chart, cal: cal, steps: sequence(m)}
	x.streams = streams(m, es, x.steps)
	if len(x.steps) > 0 {
		x.fits = fits(s, appliances)
	}
	x.rules = x.intervals()
	x.agreed = newPins(s, &x, chosen)
	return x
}

func (x *timetable) intervals() intervals {
	l := x.basis.Ledger(false)
	r := intervals{ledger: l, cap: x.basis.Ledger(false).Rule("sitting-cap")}
	has := func(is func(*step) bool) bool { return first(x.steps, is) >= 0 }
	if has(func(s *step) bool { return s.signs }) {
		r.thinking = l.Rule("thinking-time")
	}
	if has(func(s *step) bool { return s.whitening }) && has(func(s *step) bool { return s.bonding }) {
		r.whiteBond = l.Rule("whitening-wait")
		r.whiteShade = l.Rule("whitening-shade-wait")
	}
	if has(func(s *step) bool { return len(s.sittings) > 1 }) {
		r.sitting = l.Rule("sitting-gap")
	}
	if has(func(s *step) bool { return s.covers }) {
		r.covers, r.coversChecked = l.Rule("covers-longest"), l.Rule("covers-with-check")
	}
	return r
}

// track is the dates of one of the three tracks: every interval and number of visits at its
// low (0), likely (1) or high (2) value.
type track struct {
	main    [][]casefile.Date   // by step
	checks  []coverCheck        // looks at temporary covers
	streams [][][]casefile.Date // by stream and row
	free    []casefile.Date     // by stream: the day on which nothing waits for it any more
	fits    []casefile.Date     // by appliance
	why     []cause             // by step: what its first date waited for
	end     casefile.Date       // the last visit of all
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
	x        *timetable
	t        int // which track
	out      track
	whitened int           // the last step that whitens and bonds nothing; -1 none
	last     casefile.Date // the latest agreed day so far
}

// track counts one track: t 0 the lows, 1 the likely, 2 the highs.
func (x *timetable) track(t int) track {
	k := tracker{x: x, t: t, whitened: -1, out: track{main: make([][]casefile.Date, len(x.steps)),
		streams: make([][][]casefile.Date, len(x.streams)), free: make([]casefile.Date, len(x.streams)), why: make([]cause, len(x.steps))}}
	for i := range x.steps {
		if s := &x.steps[i]; s.whitening && !s.bonding {
			k.whitened = i
		}
	}
	if len(x.steps) == 0 {
		k.care()
	}
	for i := range x.steps {
		k.out.why[i] = k.cause(i)
		k.date(i)
		if i == 0 {
			k.care()
		}
	}
	k.finish()
	return k.out
}

// firstTalk is the key of the visit with which every treatment begins.
const firstTalk = "consultation"

// start is the first day of all: the day agreed for the first talk, or the planned one.
func (k *tracker) start() casefile.Date {
	if a := k.x.basis.Case.AgreedDay(firstTalk, 1); a != nil {
		return a.Date
	}
	return k.x.cal.Open(k.x.basis.Case.Start)
}

// endOf is the last date of step i, or of the one before when it has none.
func (k *tracker) endOf(i int) casefile.Date {
	if len(k.out.main) == 0 {
		return k.start()
	}
	for ; i > 0 && (len(k.out.main[i]) == 0 || k.x.steps[i].within); i-- {
	}
	if i < 0 || len(k.out.main[i]) == 0 {
		return k.start()
	}
	return k.out.main[i][len(k.out.main[i])-1]
}

// cause finds what the first date of step i waits for; the latest decides.
func (k *tracker) cause(i int) cause {
	s := &k.x.steps[i]
	if i == 0 {
		return cause{k.x.basis.Case.Start, -1, -1, WhyStart}
	}
	gap := s.gap
	if s.within && s.repeatGap != nil {
		gap = s.repeatGap
	}
	from := k.endOf(i - 1)
	if p := k.prepared(i, 0); !p.IsZero() {
		from = p
	}
	c := cause{k.x.cal.move(from, gap, k.t), i - 1, -1, s.why}
	k.think(i, &c)
	if k.whitened >= 0 && i > k.whitened && k.x.rules.whiteBond != nil {
		white := k.endOf(k.whitened)
		if s.bonding {
			c.unlessLater(cause{k.x.cal.move(white, k.x.rules.whiteBond, k.t), k.whitened, -1, WhyWhitening})
		}
		if s.records || s.trial {
			c.unlessLater(cause{k.x.cal.move(white, k.x.rules.whiteShade, k.t), k.whitened, -1, WhyWhitening})
		}
	}
	for j := range k.x.streams {
		for _, h := range k.x.streams[j].holds {
			if h.step == i {
				c.unlessLater(cause{k.over(j, h), 0, j, WhyFinding})
			}
		}
	}
	return c
}

// think puts in the thinking time before the agreement is signed: from the information, the
// first talk and the trial smile, whichever is latest. It is the practice's rule, not an
// uncertain interval: the likely value on every track.
func (k *tracker) think(i int, c *cause) {
	r := k.x.rules.thinking
	if r == nil || !k.x.steps[i].signs {
		return
	}
	c.unlessLater(cause{k.x.cal.Add(later(k.x.basis.Case.Issued, k.endOf(0)), r.Value, r.Unit), 0, -1, WhyThinking})
	if t := first(k.x.steps[:i], func(s *step) bool { return s.trial }); t >= 0 {
		c.unlessLater(cause{k.x.cal.Add(k.endOf(t), r.Value, r.Unit), t, -1, WhyThinking})
	}
}

// over is the day on which a step need not wait for stream j any more.
func (k *tracker) over(j int, h hold) casefile.Date {
	if !h.treated {
		return k.out.free[j]
	}
	end := k.endOf(0)
	for i, days := range k.out.streams[j] {
		if len(days) > 0 && !k.x.streams[j].rows[i].recheck {
			end = days[len(days)-1]
		}
	}
	return end
}

// date dates the appointments of step i.
func (k *tracker) date(i int) {
	s := &k.x.steps[i]
	for j := range k.x.streams {
		if slices.ContainsFunc(k.x.streams[j].holds, func(h hold) bool { return h.step == i }) {
			k.last = later(k.last, k.x.agreed.lastOf(j))
		}
	}
	d := k.x.cal.Open(k.out.why[i].date)
	agreed := k.x.agreed.step(i)
	if s.within { // of visits within an interval only the first is dated
		before := k.last // and it moves no later one
		k.out.main[i] = []casefile.Date{k.take(pinAt(agreed, 0), d, &before)}
		return
	}
	if i == 0 && pinAt(agreed, 0) != nil {
		d = casefile.Date{} // the start only says when the first visit is planned
	}
	visits := max(s.appointments(k.t), len(agreed))
	k.out.main[i] = make([]casefile.Date, 0, visits)
	for j := range visits {
		if j > 0 {
			d = k.next(i, j, d)
		}
		if s.covers {
			d = k.soonOff(i, j, d)
		}
		if p := k.prepared(i, j); !p.IsZero() {
			if e := k.sooner(p, d); !e.Before(k.last) && (j == 0 || k.out.main[i][j-1].Before(e)) {
				d = e
			}
			k.check(i, j, d)
		}
		d = k.take(pinAt(agreed, j), d, &k.last)
		k.out.main[i] = append(k.out.main[i], d)
	}
}

// next is the day of the j-th appointment of step i after the one before it, on d.
func (k *tracker) next(i, j int, d casefile.Date) casefile.Date {
	s := &k.x.steps[i]
	d = k.x.cal.Open(k.x.cal.move(d, k.x.between(s, j), k.t))
	if p := k.prepared(i, j); !p.IsZero() {
		d = later(d, k.x.cal.Open(k.x.cal.move(p, s.gap, k.t)))
	}
	return d
}

// between is the interval in front of the j-th appointment of a step, not the first.
func (x *timetable) between(s *step, j int) *evidence.Figure {
	if j%len(s.sittings) == 0 && s.repeatGap != nil {
		return s.repeatGap
	}
	return x.rules.sitting
}

// care dates the visits of every care that comes first, after the first step.
func (k *tracker) care() {
	for j := range k.x.streams {
		s := &k.x.streams[j]
		from := k.endOf(0)
		for _, a := range s.after {
			from = later(from, k.out.free[a])
		}
		opened := k.last
		k.out.streams[j] = k.rows(j, from, &opened)
		k.out.free[j] = from
		for _, days := range k.out.streams[j] {
			if len(days) > 0 {
				k.out.free[j] = k.x.cal.move(days[len(days)-1], s.until, k.t)
			}
		}
	}
}

// rows dates the visits of stream j after a day.
func (k *tracker) rows(j int, from casefile.Date, before *casefile.Date) [][]casefile.Date {
	s := &k.x.streams[j]
	out := make([][]casefile.Date, len(s.rows))
	counted := slices.ContainsFunc(s.rows, func(r row) bool { return r.exact != nil })
	if counted {
		from = k.readable(s, k.x.cal.Open(k.x.cal.move(from, s.rows[0].gap, k.t)))
	}
	d := from
	for i := range s.rows {
		r := &s.rows[i]
		agreed := k.x.agreed.row(j, i)
		visits := max(r.appointments(k.t), len(agreed))
		for n := range visits {
			switch {
			case r.exact != nil:
				on, _ := k.reading(r.exact, out[0][0])
				d = later(on, d) // an agreed day before it may be later
			case n > 0:
				d = k.x.cal.Open(k.x.cal.move(d, r.repeatGap, k.t))
			case i > 0 || !counted:
				d = k.x.cal.Open(k.x.cal.move(d, r.gap, k.t))
			}
			d = k.take(pinAt(agreed, n), d, before)
			out[i] = append(out[i], d)
		}
	}
	return out
}

// nearby is for how many opening days a better day is looked for.
const nearby = 60

// readable is the first day from which on every later visit of the care, whose days are
// counted from the first, falls on an opening day; from itself where none nearby does.
func (k *tracker) readable(s *stream, from casefile.Date) casefile.Date {
	for d, n := from, 0; n < nearby; d, n = k.x.cal.Open(d.AddDays(1)), n+1 {
		if !slices.ContainsFunc(s.rows, func(r row) bool {
			_, ok := k.reading(r.exact, d)
			return r.exact != nil && !ok
		}) {
			return d
		}
	}
	return from
}

// reading is the last opening day within a span of days counted from a day; where there is
// none, the first one after it and false.
func (k *tracker) reading(f *evidence.Figure, from casefile.Date) (casefile.Date, bool) {
	if f == nil {
		return from, true
	}
	last := k.x.cal.Add(from, f.High, f.Unit)
	if d, ok := k.x.cal.back(last); ok && !d.Before(k.x.cal.Add(from, f.Low, f.Unit)) {
		return d, true
	}
	return k.x.cal.Open(last), false
}

// finish dates the fits of appliances and the end of all.
func (k *tracker) finish() {
	k.out.end = k.endOf(len(k.x.steps) - 1)
	for i := range k.x.fits {
		before := k.last
		k.out.fits = append(k.out.fits, k.take(k.x.agreed.fit(i), k.fitted(&k.x.fits[i]), &before))
	}
	for _, rows := range k.out.streams {
		for _, d := range slices.Concat(rows...) {
			k.out.end = later(k.out.end, d)
		}
	}
	for _, d := range k.out.fits {
		k.out.end = later(k.out.end, d)
	}
}

// fitted is the day on which an appliance is handed over: within its limit after the last
// gluing wherever the practice is open then.
func (k *tracker) fitted(f *fit) casefile.Date {
	from := k.endOf(len(k.x.steps) - 1)
	for i := range k.x.steps {
		if days := k.out.main[i]; k.x.steps[i].bonding && len(days) > 0 {
			from = days[len(days)-1]
		}
	}
	d := k.x.cal.Open(k.x.cal.move(from, f.gap, k.t))
	if f.longest == nil {
		return d
	}
	if most := k.x.cal.Add(from, f.longest.Value, f.longest.Unit); most.Before(d) {
		if sooner, ok := k.x.cal.back(most); ok && from.Before(sooner) {
			return sooner
		}
	}
	return d
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

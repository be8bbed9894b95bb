package schedule

import (
	"math"
	"slices"
	"strings"
	"time"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
	"plainleaf/app/plan/basis"
)

// Calendar knows on which days the practice sees patients and on which the
// laboratory works.
type Calendar struct {
	basis     *basis.Basis
	open, lab hours
}

// hours are the days of the week, by time.Weekday, on which there is somebody, and
// the days on which there is not all the same.
type hours struct {
	week   [7]bool
	closed []closure
}

// closure is a span of counted days, both ends included.
type closure struct{ from, to int }

// reach bounds the search for an opening day, in steps; it only keeps a
// practice that never opens from being searched without end.
const reach = 10_000

// NewCalendar reads the practice's days. A practice that names no opening days
// is taken as open from Monday to Friday; a laboratory that names none works on
// those days too, without the practice's closures.
func NewCalendar(s *basis.Basis) *Calendar {
	p := &s.Practice
	return &Calendar{s, hours{week(p.OpeningDays), closures(p.Closures)}, hours{week(p.LaboratoryDays), closures(p.LabClosures)}}
}

func closures(list []casefile.Closure) []closure {
	out := make([]closure, len(list))
	for i, c := range list {
		out[i] = closure{c.From.Days(), c.To.Days()}
	}
	return out
}

func week(days []string) (w [7]bool) {
	if len(days) == 0 {
		days = []string{"mon", "tue", "wed", "thu", "fri"}
	}
	for d := time.Sunday; d <= time.Saturday; d++ {
		w[d] = slices.Contains(days, strings.ToLower(d.String()[:3]))
	}
	return w
}

// roll gives the first day on or after d on which the practice is open; false
// when there is none.
func (c *Calendar) roll(d casefile.Date) (casefile.Date, bool) {
	to, ok := c.open.next(d.Days())
	return casefile.DateAt(to), ok
}

// back gives the last day on or before d on which the practice is open; false when
// there is none within reach.
func (c *Calendar) back(d casefile.Date) (casefile.Date, bool) {
	to, ok := c.open.last(d.Days())
	return casefile.DateAt(to), ok
}

// afterLab gives the day on which n laboratory working days have passed,
// counted from the day after d; n of zero or less is d itself.
func (c *Calendar) afterLab(d casefile.Date, n int) (casefile.Date, bool) {
	day, ok := d.Days(), true
	for ; n > 0 && ok; n-- {
		day, ok = c.lab.next(day + 1)
	}
	return casefile.DateAt(day), ok
}

// next is the first such day, counted, on or after a day; false when there is none.
func (h *hours) next(day int) (int, bool) {
	for range reach {
		if i := slices.IndexFunc(h.closed, func(c closure) bool { return c.from <= day && day <= c.to }); i >= 0 {
			day = h.closed[i].to + 1
		} else if !h.week[casefile.WeekdayAt(day)] {
			day++
		} else {
			return day, day <= lastDay
		}
		if day > lastDay {
			break
		}
	}
	return day, false
}

// last is the last such day, counted, on or before a day; false when there is none
// within reach.
func (h *hours) last(day int) (int, bool) {
	for range reach {
		if i := slices.IndexFunc(h.closed, func(c closure) bool { return c.from <= day && day <= c.to }); i >= 0 {
			day = h.closed[i].from - 1
		} else if !h.week[casefile.WeekdayAt(day)] {
			day--
		} else {
			return day, true
		}
	}
	return day, false
}

// lastYear is the last year a date of the program may have (see casefile.ParseDate).
const lastYear = 2999

var lastDay = casefile.Date{Year: lastYear, Month: 12, Day: 31}.Days()

// Add moves d by v units of u. Days, weeks, months and years are calendar time
// and parts of a day count as a whole one; the fraction of a month counts as
// that share of 30 days. Working days are the laboratory's.
func (c *Calendar) Add(d casefile.Date, v float64, u evidence.Unit) casefile.Date {
	switch u {
	case "hours":
		return d.AddDays(basis.Up(v / 24))
	case "days":
		return d.AddDays(basis.Up(v))
	case "weeks":
		return d.AddDays(basis.Up(7 * v))
	case "months":
		whole := math.Floor(v)
		if d = d.AddMonths(int(whole)); v > whole {
			d = d.AddDays(basis.Up(30 * (v - whole)))
		}
		return d
	case "years":
		return c.Add(d, 12*v, "months")
	case "working-days":
		e, ok := c.afterLab(d, basis.Up(v))
		if !ok && !c.tooLate() {
			c.basis.Fault("PLAN-LABORATORY-NEVER-OPEN", "laboratory_days", "the laboratory works on no day after %s", d)
		}
		return e
	}
	c.basis.Fault("PLAN-UNIT", "figures", "an interval cannot be counted in %q", u)
	return d
}

// Open rolls d to an opening day.
func (c *Calendar) Open(d casefile.Date) casefile.Date {
	e, ok := c.roll(d)
	if !ok && !c.tooLate() {
		c.basis.Fault("PLAN-NEVER-OPEN", "opening_days", "the practice is open on no day after %s", d)
	}
	return e
}

// move is d after an interval at one of its ends, see bound; d itself where the data
// lacks the interval, which is a fault of its own.
func (c *Calendar) move(d casefile.Date, f *evidence.Figure, t int) casefile.Date {
	if f == nil {
		return d
	}
	return c.Add(d, bound(f, t), f.Unit)
}

// bound is one end of a figure: 0 low, 1 likely, 2 high.
func bound(f *evidence.Figure, t int) float64 { return basis.EstimateOf(f).End(t) }

// tooLate notes a start so late that not the practice's days but the end of the
// calendar is why a date cannot be found.
func (c *Calendar) tooLate() bool {
	start := c.basis.Case.Start
	late := start.Year > lastYear-margin
	if late {
		c.basis.Fault("PLAN-TOO-LATE", "start", "the dates of a plan from %s run past the year %d; look at the start date", start, lastYear)
	}
	return late
}

// margin is more years than a plan's visits and upkeep take.
const margin = 30

func later(a, b casefile.Date) casefile.Date {
	if a.Before(b) {
		return b
	}
	return a
}

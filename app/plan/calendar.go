package plan

import (
	"math"
	"slices"
	"strings"
	"time"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
	"plainleaf/app/fault"
)

// calendar knows on which days the practice sees patients and on which the
// laboratory works.
type calendar struct{ open, lab hours }

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

// newCalendar reads the practice's days. A practice that names no opening days
// is taken as open from Monday to Friday; a laboratory that names none works on
// those days too, without the practice's closures.
func newCalendar(p casefile.Practice) calendar {
	return calendar{hours{week(p.OpeningDays), closures(p.Closures)}, hours{week(p.LaboratoryDays), closures(p.LabClosures)}}
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
func (c *calendar) roll(d casefile.Date) (casefile.Date, bool) {
	n := d.Days()
	to, ok := c.open.next(n)
	if to == n {
		return d, ok
	}
	return casefile.DateAt(to), ok
}

// back gives the last day on or before d on which the practice is open; false when
// there is none within reach.
func (c *calendar) back(d casefile.Date) (casefile.Date, bool) {
	n := d.Days()
	to, ok := c.open.last(n)
	if to == n {
		return d, ok
	}
	return casefile.DateAt(to), ok
}

// afterLab gives the day on which n laboratory working days have passed,
// counted from the day after d; n of zero or less is d itself.
func (c *calendar) afterLab(d casefile.Date, n int) (casefile.Date, bool) {
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

// add moves d by v units of u. Days, weeks, months and years are calendar time
// and parts of a day count as a whole one; the fraction of a month counts as
// that share of 30 days. Working days are the laboratory's.
func (w *work) add(d casefile.Date, v float64, u evidence.Unit) casefile.Date {
	switch u {
	case "hours":
		return d.AddDays(up(v / 24))
	case "days":
		return d.AddDays(up(v))
	case "weeks":
		return d.AddDays(up(7 * v))
	case "months":
		whole := math.Floor(v)
		if d = d.AddMonths(int(whole)); v > whole {
			d = d.AddDays(up(30 * (v - whole)))
		}
		return d
	case "years":
		return w.add(d, 12*v, "months")
	case "working-days":
		e, ok := w.cal.afterLab(d, up(v))
		if !ok && !w.tooLate() {
			w.fault("PLAN-LABORATORY-NEVER-OPEN", "laboratory_days", "the laboratory works on no day after %s", d)
		}
		return e
	}
	w.fault("PLAN-UNIT", "figures", "an interval cannot be counted in %q", u)
	return d
}

// up rounds to the next whole number; a hair above a whole number, as decimal
// figures leave behind, still counts as that number.
func up(v float64) int { return int(math.Ceil(v - 1e-9)) }

// open rolls d to an opening day.
func (w *work) open(d casefile.Date) casefile.Date {
	e, ok := w.cal.roll(d)
	if !ok && !w.tooLate() {
		w.fault("PLAN-NEVER-OPEN", "opening_days", "the practice is open on no day after %s", d)
	}
	return e
}

// tooLate notes a start so late that not the practice's days but the end of the
// calendar is why a date cannot be found.
func (w *work) tooLate() bool {
	late := w.c.Start.Year > lastYear-margin
	if late {
		w.fault("PLAN-TOO-LATE", "start", "the dates of a plan from %s run past the year %d; look at the start date", w.c.Start, lastYear)
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

// fault notes a fault once.
func (w *work) fault(code, path, format string, a ...any) {
	f := fault.New(code, path, format, a...)
	if !slices.ContainsFunc(w.faults, func(g fault.Fault) bool { return g.Code == f.Code && g.Path == f.Path }) {
		w.faults.Append(f)
	}
}

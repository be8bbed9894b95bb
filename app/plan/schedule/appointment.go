package schedule

import (
	"slices"

	"plainleaf/app/casefile"
	"plainleaf/app/order"
	"plainleaf/app/plan/basis"
)

// appointment is one visit on one track, before those of one day are joined.
type appointment struct {
	at      place
	date    casefile.Date
	minutes basis.Estimate
	hour    casefile.Time // agreed with the patient; empty: none
	apart   bool          // shares its appointment with no other
}

// place says which visit of the timetable an appointment is: a step, a check of covers, a
// row of a stream, or a fit, and the how many-th of it from 0.
type place struct {
	kind          placeKind
	index, row, n int
}

type placeKind int

const (
	ofStep placeKind = iota
	ofStream
	ofCheck
	ofFit
)

// appointments lists the visits of a track in time. The visits of the care that comes first
// follow the first visit of a day, whatever that is.
func (x *timetable) appointments(k *track) []appointment {
	var out []appointment
	for i := range x.steps {
		s := &x.steps[i]
		for n, d := range k.main[i] {
			per := len(s.sittings)
			a := appointment{place{ofStep, i, 0, n}, d, s.share(x.chart, s.sittings[n%per], per), hourOf(pinAt(x.agreed.step(i), n)), s.within}
			out = append(out, a)
		}
		if i == 0 {
			out = x.careOf(out, k)
		}
	}
	if len(x.steps) == 0 {
		out = x.careOf(out, k)
	}
	for n, c := range k.checks {
		out = append(out, appointment{at: place{ofCheck, 0, 0, n}, date: c.date, minutes: x.basis.Ledger(false).Ruled("covers-check-minutes")})
	}
	for i, d := range k.fits {
		out = append(out, appointment{at: place{ofFit, i, 0, 0}, date: d, minutes: x.fits[i].minutes, hour: hourOf(x.agreed.fit(i))})
	}
	order.By(out, func(a, b appointment) int { return a.date.Compare(b.date) })
	return out
}

// careOf adds the visits of the care that comes first.
func (x *timetable) careOf(out []appointment, k *track) []appointment {
	for j := range x.streams {
		for i, days := range k.streams[j] {
			r := &x.streams[j].rows[i]
			for n, d := range days {
				out = append(out, appointment{place{ofStream, j, i, n}, d, r.minutes, hourOf(pinAt(x.agreed.row(j, i), n)), r.elsewhere})
			}
		}
	}
	return out
}

func hourOf(p *pin) casefile.Time {
	if p == nil {
		return ""
	}
	return p.day.Time
}

// joined puts visits of one day that fit one appointment together: one list for each
// appointment, in time.
func (x *timetable) joined(list []appointment) [][]appointment {
	var out [][]appointment
	for _, a := range list {
		i := slices.IndexFunc(out, func(with []appointment) bool { return x.fitsIn(with, a) })
		if i < 0 {
			out = append(out, []appointment{a})
			continue
		}
		out[i] = append(out[i], a)
	}
	return out
}

// fitsIn reports whether a visit can share an appointment.
func (x *timetable) fitsIn(with []appointment, a appointment) bool {
	if a.apart || with[0].apart || with[0].date != a.date || x.rules.cap == nil || x.held && x.waits(a.at) != x.waits(with[0].at) {
		return false
	}
	sum := a.minutes
	for _, b := range with {
		if a.hour != "" && b.hour != "" && a.hour != b.hour {
			return false
		}
		sum = sum.Plus(b.minutes)
	}
	return sum.Known() && sum.Likely <= x.rules.cap.Value+1e-9
}

// waits reports whether a visit waits for the care that comes first.
func (x *timetable) waits(at place) bool { return at.kind != ofStream && at != place{} }

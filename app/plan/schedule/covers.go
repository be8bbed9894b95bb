package schedule

import (
	"slices"

	"plainleaf/app/casefile"
)

// gluing is the step that takes off the covers of step i: the next that bonds.
func (x *timetable) gluing(i int) int {
	for b := i + 1; b < len(x.steps); b++ {
		if x.steps[b].bonding {
			return b
		}
	}
	return -1
}

// covered is the step whose covers step i takes off; -1 when there are none.
func (x *timetable) covered(i int) int {
	if !x.steps[i].bonding {
		return -1
	}
	for c := i - 1; c >= 0 && !x.steps[c].bonding; c-- {
		if x.steps[c].covers {
			return c
		}
	}
	return -1
}

// prepared is the day on which the teeth of the j-th appointment of step i got their
// covers, the last of them; zero where they have none.
func (k *tracker) prepared(i, j int) (last casefile.Date) {
	c := k.x.covered(i)
	if c < 0 || len(k.out.main[c]) == 0 {
		return casefile.Date{}
	}
	for n, d := range k.out.main[c] {
		if k.x.prepares(c, n, i, j) {
			last = later(last, d)
		}
	}
	return last
}

// prepares reports whether the n-th appointment of step c prepares teeth of the j-th of
// step i.
func (x *timetable) prepares(c, n, i, j int) bool {
	s, p := &x.steps[i], &x.steps[c]
	teeth, of := s.sittings[j%len(s.sittings)], p.sittings[n%len(p.sittings)]
	return len(of) == 0 || slices.ContainsFunc(of, func(t casefile.Tooth) bool { return slices.Contains(teeth, t) })
}

// soonOff moves a day of preparation so that the covers come off in time, where a few days
// more do it: closed days would leave them on for longer.
func (k *tracker) soonOff(i, j int, d casefile.Date) casefile.Date {
	b := k.x.gluing(i)
	if b < 0 || k.x.rules.covers == nil || k.x.rules.coversChecked == nil {
		return d
	}
	most := k.x.cal.Add(d, k.x.rules.coversChecked.Value, k.x.rules.coversChecked.Unit) // nobody waits longer than this for it
	var checked casefile.Date
	for e := d; !most.Before(e); e = k.x.cal.Open(e.AddDays(1)) {
		off := k.x.cal.Open(k.x.cal.move(e, k.x.steps[b].gap, k.t))
		if !k.x.cal.Add(e, k.x.rules.covers.Value, k.x.rules.covers.Unit).Before(off) {
			return e
		}
		if checked.IsZero() && !k.x.cal.Add(e, k.x.rules.coversChecked.Value, k.x.rules.coversChecked.Unit).Before(off) {
			checked = e
		}
	}
	if checked.IsZero() {
		return d
	}
	return checked
}

// sooner is a day of gluing, d, that leaves covers of day p on no longer than they may stay
// with a check: the laboratory is given no more time than that.
func (k *tracker) sooner(p, d casefile.Date) casefile.Date {
	if k.x.rules.coversChecked == nil {
		return d
	}
	most := k.x.cal.Add(p, k.x.rules.coversChecked.Value, k.x.rules.coversChecked.Unit)
	if back, ok := k.x.cal.back(most); ok && most.Before(d) && p.Before(back) {
		return back
	}
	return d
}

// coverCheck is a look at temporary covers, and the appointment that put them on.
type coverCheck struct {
	step, n int
	date    casefile.Date
}

// checkDay is the last opening day on which covers of day p have to be looked at; false
// when there is none after it.
func (x *timetable) checkDay(p casefile.Date) (casefile.Date, bool) {
	if x.rules.covers == nil {
		return p, false
	}
	back, ok := x.cal.back(x.cal.Add(p, x.rules.covers.Value, x.rules.covers.Unit))
	return back, ok && p.Before(back)
}

// agreedChecks puts the agreed days of the looks at covers in the place of the computed ones.
func (x *timetable) agreedChecks(tracks *[3]track) {
	n := len(tracks[1].checks)
	for t := range tracks {
		for i := range tracks[t].checks {
			if a := x.basis.Case.AgreedDay(numbered(CoverCheck, i, n), 1); a != nil {
				tracks[t].checks[i].date = a.Date
			}
		}
	}
}

// check dates a look at the covers that the j-th appointment of step i takes off on day d,
// where they stay too long without.
func (k *tracker) check(i, j int, d casefile.Date) {
	c := k.x.covered(i)
	for n, p := range k.out.main[c] {
		day, ok := k.x.checkDay(p)
		if !ok || !day.Before(d) || !k.x.prepares(c, n, i, j) || slices.ContainsFunc(k.out.checks, func(x coverCheck) bool { return x.date == day }) {
			continue
		}
		k.out.checks = append(k.out.checks, coverCheck{c, n, day})
	}
}

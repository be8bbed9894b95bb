// Package schedule dates the visits of a treatment and the checks after it: which
// visits, in what order, what each waits for, and on which days. Nothing else in a
// plan computes a date.
package schedule

import (
	"slices"
	"strconv"

	"plainleaf/app/casefile"
	"plainleaf/app/plan/basis"
	"plainleaf/app/plan/mouth"
)

// TalkAgain is the neutral key under which private findings reach a patient.
const TalkAgain = "talk-again"

// Reason keys for the interval before a visit, besides those of the data's
// visit rules (words: why.<key>).
const (
	WhyStart       = "start"        // the first visit
	WhyThinking    = "thinking"     // time to think before anything that cannot be undone
	WhyWhitening   = "whitening"    // bonding or shade records wait after whitening
	WhySitting     = "sitting"      // the visit is divided into sittings
	WhyFinding     = "settle-first" // a finding, named in Finding, has to be settled first
	WhyAgreedPause = "agreed-pause" // a private finding; never named
	WhyAppliance   = "appliance"    // an appliance is fitted
)

// Span is a range of calendar dates for one event.
type Span struct {
	Earliest casefile.Date `json:"earliest"`
	Likely   casefile.Date `json:"likely"`
	Latest   casefile.Date `json:"latest"`
}

// Schedule is the dated sequence of one treatment.
type Schedule struct {
	Visits   []Visit        // only of the chosen treatment
	Count    basis.Estimate // appointments
	Minutes  basis.Estimate // chair minutes
	Last     Span           // the last visit
	Sittings int            // bonding sittings, likely
	Fits     map[string]Span
	Charged  []Charge
	Ledger   *basis.Ledger

	treatment *mouth.Treatment
	effects   []mouth.Effect
	table     timetable
}

// Charge is what the practice may ask a fee for, by the key of the visit rule.
type Charge struct {
	Key    string
	Visits int // appointments, likely
	Teeth  int // treated at them
}

// For dates the visits of a treatment. Three tracks are counted, with every interval,
// number of visits and chair time at its low, likely and high value; intervals
// are calendar time from visit to visit, rolled forward to an opening day. Only the
// chosen treatment's visits are listed one by one.
func For(cal *Calendar, m *mouth.Treatment, es []mouth.Effect, appliances []string, chosen bool) Schedule {
	x := newTimetable(cal, m, es, appliances, chosen)
	if len(x.steps) == 0 {
		start := cal.Open(m.Chart.Basis.Case.Start)
		return Schedule{Count: basis.Exactly(0), Minutes: basis.Exactly(0), Last: Span{start, start, start}, Ledger: m.Chart.Basis.Ledger(false),
			treatment: m, effects: es, table: x}
	}
	var tracks [3]track
	for t := range tracks {
		tracks[t] = x.track(t)
	}
	x.squeeze(&tracks)
	out := x.count(&tracks)
	out.treatment, out.effects, out.table = m, es, x
	if chosen {
		out.Fits = map[string]Span{}
		for i, f := range x.fits {
			out.Fits[f.appliance] = spanned(&tracks, func(t *track) casefile.Date { return t.fits[i] })
		}
		out.Visits = x.visits(m.Chart, &tracks)
	}
	return out
}

// count adds up appointments and minutes.
func (x *timetable) count(tracks *[3]track) Schedule {
	out := Schedule{Minutes: basis.Exactly(0), Last: spanned(tracks, func(t *track) casefile.Date { return t.end }), Ledger: x.basis.Ledger(false)}
	out.Ledger.Join(x.rules.ledger)
	var total [3]int
	for i := range x.steps {
		s := &x.steps[i]
		n := len(tracks[1].main[i])
		for t := range total {
			total[t] += s.appointments[t]
		}
		out.Minutes = out.Minutes.Plus(s.minutes.TimesEach(s.repeat))
		out.Ledger.Join(s.ledger)
		if s.bonding {
			out.Sittings += n
		}
		if n > 0 {
			out.Charged = append(out.Charged, Charge{s.fee, n, n / s.sittings[1] * s.on.Count()})
		}
	}
	for j := range x.streams {
		s := &x.streams[j]
		for t := range total {
			total[t] += len(tracks[t].streams[j])
		}
		if s.count.High > 0 {
			if m := out.Ledger.Rule("extra-visit-minutes"); m != nil {
				out.Minutes = out.Minutes.Plus(basis.EstimateOf(m).TimesEach(s.count))
			}
		}
		if !s.private {
			out.Ledger.Join(s.ledger)
		}
	}
	for i := range x.fits {
		out.Minutes = out.Minutes.Plus(x.fits[i].minutes)
		out.Ledger.Join(x.fits[i].ledger)
	}
	n := float64(len(x.fits))
	out.Count = basis.Estimate{Low: float64(total[0]) + n, Likely: float64(total[1]) + n, High: float64(total[2]) + n}
	return out
}

// spanned is a date on each of the tracks.
func spanned(tracks *[3]track, of func(*track) casefile.Date) Span {
	return Span{of(&tracks[0]), of(&tracks[1]), of(&tracks[2])}
}

// numbered is the key of the j-th of n like appointments.
func numbered(key string, j, n int) string {
	if n > 1 {
		return key + "-" + strconv.Itoa(j+1)
	}
	return key
}

// Chain follows the visits back from the last one: the longest chain of what
// waits for what, first visit first.
func Chain(visits []Visit) []string {
	out := []string{}
	if len(visits) == 0 {
		return out
	}
	last := 0
	for i := range visits {
		if visits[last].Likely.Before(visits[i].Likely) {
			last = i
		}
	}
	for i := last; i >= 0 && len(out) <= len(visits); {
		out = append(out, visits[i].Key)
		i = slices.IndexFunc(visits, func(v Visit) bool { return v.Key == visits[i].After })
	}
	slices.Reverse(out)
	return out
}

// Added is by how many calendar days the likely last date would be sooner without
// a finding; all private ones together are TalkAgain.
type Added struct {
	Finding string           `json:"finding"`
	Teeth   []casefile.Tooth `json:"teeth,omitempty"`
	Days    int              `json:"days"`
}

// Adds lists what each finding on the longest chain of visits adds to the likely last
// date: the likely track is dated once more without it. A finding beside the chain
// adds nothing, since the chain sets the date.
func (s *Schedule) Adds() []Added {
	out := []Added{}
	chain := Chain(s.Visits)
	var along []*Visit // the visits of the chain
	for i := range s.Visits {
		if slices.Contains(chain, s.Visits[i].Key) {
			along = append(along, &s.Visits[i])
		}
	}
	var tried []string
	for i := range s.effects {
		e := &s.effects[i]
		key := e.Key
		if e.Private {
			key = TalkAgain
		}
		if slices.Contains(tried, key) || !delays(e, along) {
			continue
		}
		tried = append(tried, key)
		less := s.without(key)
		days := less.track(1).end.DaysUntil(s.Last.Likely)
		if days <= 0 {
			continue
		}
		a := Added{Finding: key, Days: days}
		if key != TalkAgain {
			a.Teeth = e.Teeth
		}
		out = append(out, a)
	}
	return out
}

// without is the timetable when a finding, or all private ones together, is not there.
func (s *Schedule) without(key string) timetable {
	less := slices.DeleteFunc(slices.Clone(s.effects), func(e mouth.Effect) bool {
		return e.Key == key || e.Private && key == TalkAgain
	})
	appliances := s.treatment.Appliances(less)
	x := s.table
	x.streams = slices.DeleteFunc(slices.Clone(x.streams), func(s stream) bool { return s.key == key })
	x.fits = slices.DeleteFunc(slices.Clone(x.fits), func(f fit) bool { return !slices.Contains(appliances, f.appliance) })
	x.agreed = newPins(x.basis, &x, true) // a day that is agreed stays so
	return x
}

// delays reports whether a finding has to do with a chain of visits: one of them
// waits for it or serves it, or fits an appliance it asks for.
func delays(e *mouth.Effect, chain []*Visit) bool {
	fits := e.Appliances()
	return slices.ContainsFunc(chain, func(v *Visit) bool {
		return e.Private && v.Why == WhyAgreedPause || v.Finding == e.Key ||
			slices.ContainsFunc(fits, func(a string) bool { return v.Key == a+"-fit" })
	})
}

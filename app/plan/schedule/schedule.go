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
	WhyStart     = "start"        // the first visit
	WhyThinking  = "thinking"     // time to think before the signature
	WhyWhitening = "whitening"    // bonding or shade records wait after whitening
	WhySitting   = "sitting"      // the visit is divided into sittings
	WhyFinding   = "settle-first" // care that comes first, or what waits for it
	WhyAppliance = "appliance"    // an appliance is fitted
	WhyCovers    = "covers"       // temporary covers are looked at
)

// Span is a range of calendar dates for one event; zero where it has no date.
type Span struct {
	Earliest casefile.Date `json:"earliest,omitzero"`
	Likely   casefile.Date `json:"likely,omitzero"`
	Latest   casefile.Date `json:"latest,omitzero"`
}

// Schedule is the dated sequence of one treatment.
type Schedule struct {
	Visits   []Visit        // only of the chosen treatment
	Count    basis.Estimate // appointments
	Minutes  basis.Estimate // chair minutes
	Last     Span           // the last visit; zero: not known before what is on hold is settled
	Sittings int            // bonding sittings, likely
	Fits     map[string]Span
	Charged  []Charge
	// Given and Trial are the likely days of the first talk and of the trial smile; zero:
	// there is none.
	Given, Trial casefile.Date
	Cares        []Care
	StopGaps     int // gluing visits after which something is worn in the night guard's place, likely
	Ledger       *basis.Ledger

	treatment *mouth.Treatment
	effects   []mouth.Effect
	table     timetable
	tracks    [3]track
}

// Care is care that comes first, with its dates.
type Care struct {
	mouth.Care
	Keys   []string // of its visits, likely
	Visits basis.Estimate
	// Days is from the start to the day on which nothing waits for it any more; unknown
	// where nobody can say when it takes place.
	Days    basis.Estimate
	Figures []string
}

// Charge is what the practice may ask a fee for, by the key of the visit rule.
type Charge struct {
	Key    string
	Visits int // appointments, likely
	Teeth  int // treated at them
}

// For dates the visits of a treatment. Three tracks are counted, with every interval and
// number of visits at its low, likely and high value; intervals are calendar time from
// visit to visit, rolled forward to an opening day. Visits of one day that fit one
// appointment are one. List then lists them one by one.
func For(cal *Calendar, m *mouth.Treatment, es []mouth.Effect, appliances []string, chosen bool) Schedule {
	x := newTimetable(cal, m, es, appliances, chosen)
	var tracks [3]track
	for t := range tracks {
		tracks[t] = x.track(t)
	}
	x.squeeze(&tracks)
	x.agreedChecks(&tracks)
	out := x.count(&tracks)
	out.treatment, out.effects, out.table = m, es, x
	out.Cares = x.cares(&tracks)
	if len(x.steps) > 0 && len(tracks[1].main[0]) > 0 {
		out.Given = tracks[1].main[0][0]
	}
	if i := first(x.steps, func(s *step) bool { return s.trial }); i >= 0 && len(tracks[1].main[i]) > 0 {
		out.Trial = tracks[1].main[i][len(tracks[1].main[i])-1]
	}
	out.Fits = map[string]Span{}
	for i, f := range x.fits {
		out.Fits[f.appliance] = spanned(&tracks, func(t *track) casefile.Date { return t.fits[i] })
	}
	out.StopGaps = len(x.unguarded(&tracks))
	out.tracks = tracks
	return out
}

// List lists the visits. What is held waits for something nobody can date: then only the
// first talk, the care that comes first, and days that are agreed have a date.
func (s *Schedule) List(held bool) {
	s.table.held = held
	s.Visits = s.table.visits(&s.tracks)
	if held {
		s.Undate()
	}
}

// count adds up appointments and minutes.
func (x *timetable) count(tracks *[3]track) Schedule {
	out := Schedule{Minutes: basis.Exactly(0), Last: spanned(tracks, func(t *track) casefile.Date { return t.end }), Ledger: x.basis.Ledger(false)}
	out.Ledger.Join(x.rules.ledger)
	var total [3]float64
	for t := range total {
		total[t] = float64(len(x.joined(x.appointments(&tracks[t]))))
		for i := range x.steps { // of a row of short visits only the first is dated
			if s := &x.steps[i]; s.within {
				total[t] += float64(s.appointments(t) - len(tracks[t].main[i]))
			}
		}
	}
	// Visits of one day are joined, and which fall on one day differs from track to track.
	out.Count = basis.Estimate{Low: slices.Min(total[:]), Likely: total[1], High: slices.Max(total[:])}
	for i := range x.steps {
		s := &x.steps[i]
		n := len(tracks[1].main[i])
		out.Minutes = out.Minutes.Plus(s.minutes.TimesEach(s.repeat))
		out.Ledger.Join(s.ledger)
		if s.bonding {
			out.Sittings += n
		}
		for _, v := range append([]*step{s}, s.beside...) {
			if n > 0 {
				out.Charged = append(out.Charged, Charge{v.fee, n, n / len(s.sittings) * v.on.Count()})
			}
		}
	}
	checks := basis.Estimate{Low: float64(len(tracks[0].checks)), Likely: float64(len(tracks[1].checks)), High: float64(len(tracks[2].checks))}
	if checks.High > 0 {
		out.Minutes = out.Minutes.Plus(out.Ledger.Ruled("covers-check-minutes").TimesEach(checks))
	}
	for j := range x.streams {
		for i := range x.streams[j].rows {
			r := &x.streams[j].rows[i]
			out.Minutes = out.Minutes.Plus(r.minutes.TimesEach(r.repeat))
		}
		out.Ledger.Join(x.streams[j].ledger)
	}
	for i := range x.fits {
		out.Minutes = out.Minutes.Plus(x.fits[i].minutes)
		out.Ledger.Join(x.fits[i].ledger)
	}
	return out
}

// cares lists the care that comes first with its dates.
func (x *timetable) cares(tracks *[3]track) []Care {
	out := make([]Care, 0, len(x.streams))
	for j := range x.streams {
		s := &x.streams[j]
		c := Care{Care: s.Care, Visits: basis.Exactly(0), Days: basis.Unknown(basis.NoFigure), Figures: s.ledger.IDs()}
		for i := range s.rows {
			c.Visits = c.Visits.Plus(s.rows[i].repeat)
			for n := range tracks[1].streams[j][i] {
				c.Keys = append(c.Keys, numbered(s.rows[i].key, n, len(tracks[1].streams[j][i])))
			}
		}
		if s.dated() {
			days := func(t int) float64 { return float64(x.basis.Case.Start.DaysUntil(tracks[t].free[j])) }
			c.Days = basis.Estimate{Low: days(0), Likely: days(1), High: days(2)}
		}
		out = append(out, c)
	}
	return out
}

// Undate takes the dates from what is held; see List.
func (s *Schedule) Undate() {
	s.Last = Span{}
	for i := range s.Visits {
		if v := &s.Visits[i]; i > 0 && v.Care == "" && !v.Agreed && !v.Done {
			v.Span = Span{}
		}
	}
	s.Fits, s.Trial = map[string]Span{}, casefile.Date{}
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
	last := len(visits) - 1 // visits are in time; those without a date come last
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
// a finding.
type Added struct {
	Finding string           `json:"finding"`
	Teeth   []casefile.Tooth `json:"teeth,omitempty"`
	Days    int              `json:"days"`
}

// Adds lists what each finding whose care lies on the longest chain of visits adds to the
// likely last date: the likely track is dated once more without it. A finding beside the
// chain adds nothing, since the chain sets the date.
func (s *Schedule) Adds() []Added {
	out := []Added{}
	if s.Last.Likely.IsZero() {
		return out
	}
	chain := Chain(s.Visits)
	var along []*Visit // the visits of the chain
	for i := range s.Visits {
		if slices.Contains(chain, s.Visits[i].Key) {
			along = append(along, &s.Visits[i])
		}
	}
	for i := range s.effects {
		e := &s.effects[i]
		if e.Private || !s.delays(e, along) {
			continue
		}
		less := s.without(e.Key)
		if days := less.track(1).end.DaysUntil(s.Last.Likely); days > 0 {
			out = append(out, Added{Finding: e.Key, Days: days, Teeth: e.Teeth})
		}
	}
	return out
}

// without is the timetable when a finding is not there.
func (s *Schedule) without(key string) timetable {
	less := slices.DeleteFunc(slices.Clone(s.effects), func(e mouth.Effect) bool { return e.Key == key })
	x := s.table
	x.streams = streams(s.treatment, less, x.steps)
	appliances := s.treatment.Appliances(less)
	x.fits = slices.DeleteFunc(slices.Clone(x.fits), func(f fit) bool { return !slices.Contains(appliances, f.appliance) })
	x.agreed = newPins(x.basis, &x, true) // a day that is agreed stays so
	return x
}

// delays reports whether a finding has to do with a chain of visits: one of them
// belongs to care it asks for, or fits an appliance it asks for.
func (s *Schedule) delays(e *mouth.Effect, chain []*Visit) bool {
	fits := e.Appliances()
	asks := func(care string) bool {
		return slices.ContainsFunc(s.Cares, func(c Care) bool { return c.Rule.Key == care && slices.Contains(c.Findings, e.Key) })
	}
	return slices.ContainsFunc(chain, func(v *Visit) bool {
		return asks(v.Care) || slices.ContainsFunc(v.With, func(p Part) bool { return asks(p.Care) }) ||
			slices.ContainsFunc(fits, func(a string) bool { return v.Key == a+"-fit" })
	})
}

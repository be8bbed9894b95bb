package schedule

import (
	"slices"

	"plainleaf/app/casefile"
	"plainleaf/app/plan/basis"
	"plainleaf/app/plan/mouth"
)

// Visit is one appointment of the chosen route, dated.
type Visit struct {
	Key     string           `json:"key"`
	Purpose string           `json:"purpose"`
	Minutes basis.Estimate   `json:"minutes"`
	Teeth   []casefile.Tooth `json:"teeth,omitempty"`
	Sitting int              `json:"sitting,omitempty"` // 1.. of a split visit
	Of      int              `json:"of,omitempty"`
	Times   *basis.Estimate  `json:"times,omitempty"` // a row of short visits like this one, the first dated
	Extra   bool             `json:"extra,omitempty"` // asked for by a finding
	// Optional: where things go fast it is not needed; its earliest date is then that
	// of the visit before, so that what follows need not wait for it.
	Optional bool `json:"optional,omitempty"`
	Span
	// Agreed: the day is fixed with the patient, so it is all three of the span; Time
	// is its hour where one is agreed.
	Agreed       bool          `json:"agreed,omitempty"`
	Time         casefile.Time `json:"time,omitempty"`
	Conflicts    []Conflict    `json:"conflicts,omitempty"`
	After        string        `json:"after"`             // key of the visit this one waits for, "" for the first
	Finding      string        `json:"finding,omitempty"` // the public finding this visit waits for or serves
	Why          string        `json:"why"`               // reason key for the interval (words: why.<key>), never a private finding
	Irreversible bool          `json:"irreversible,omitempty"`
	Bonding      bool          `json:"bonding,omitempty"`
	Figures      []string      `json:"figures"`
}

// lister lists the appointments of the likely track with their dates on all three.
type lister struct {
	x         *timetable
	chart     *mouth.Chart
	tracks    *[3]track
	out       []Visit
	lastKey   []string // by step: key of the last listed appointment at or before it
	streamKey []string // by stream: key of its last appointment
}

// visits lists the appointments by date.
func (x *timetable) visits(c *mouth.Chart, tracks *[3]track) []Visit {
	l := lister{x: x, chart: c, tracks: tracks, lastKey: make([]string, len(x.steps)), streamKey: make([]string, len(x.streams))}
	for i := range x.steps {
		l.step(i)
		if i == 0 { // extra visits come right after the first visit, then by date
			for j := range x.streams {
				l.stream(j)
			}
		}
	}
	for i := range x.fits {
		l.fit(i)
	}
	slices.SortStableFunc(l.out, func(a, b Visit) int { return a.Likely.Compare(b.Likely) })
	return l.out
}

// step lists the appointments of one step.
func (l *lister) step(i int) {
	s := &l.x.steps[i]
	n, per := len(l.tracks[1].main[i]), s.sittings[1]
	teeth, minutes := s.share(l.chart, per)
	for j := range n {
		v := Visit{Key: numbered(s.key, j, n), Purpose: s.purpose, Teeth: teeth[j%per], Minutes: minutes[j%per].Round(),
			Irreversible: s.irreversible, Bonding: s.bonding, Figures: s.ledger.IDs(), Optional: j >= len(l.tracks[0].main[i]),
			Span: spanned(l.tracks, func(t *track) casefile.Date { return pick(t.main[i], j, l.before(t, i)) })}
		if per > 1 {
			v.Sitting, v.Of = j%per+1, per
		}
		if s.within {
			times := s.repeat.Round()
			v.Times = &times
		}
		switch {
		case j > 0 && j%per == 0:
			v.After, v.Why = l.out[len(l.out)-1].Key, s.again
		case j > 0:
			v.After, v.Why = l.out[len(l.out)-1].Key, WhySitting
		default:
			l.waits(&v, l.tracks[1].why[i])
		}
		v.agree(pinAt(l.x.agreed.step(i), j))
		l.out = append(l.out, v)
	}
	switch {
	case n > 0 && !(s.within && i > 0):
		l.lastKey[i] = l.out[len(l.out)-1].Key
	case i > 0:
		l.lastKey[i] = l.lastKey[i-1]
	}
}

// waits fills in what the first appointment of a step waits for.
func (l *lister) waits(v *Visit, c cause) {
	v.Why = c.why
	switch {
	case c.stream >= 0:
		v.After = l.streamKey[c.stream]
		if v.After == "" || c.step > 0 {
			v.After = l.lastKey[c.step]
		}
		if s := &l.x.streams[c.stream]; !s.private {
			v.Finding = s.key
		}
	case c.step >= 0:
		v.After = l.lastKey[c.step]
	}
}

// before is the last date of a track before a step.
func (l *lister) before(t *track, i int) casefile.Date {
	for i--; i >= 0; i-- {
		if n := len(t.main[i]); n > 0 && !l.x.steps[i].within {
			return t.main[i][n-1]
		}
	}
	return l.x.cal.Open(l.x.basis.Case.Start)
}

// stream lists the extra visits of one stream.
func (l *lister) stream(j int) {
	s := &l.x.streams[j]
	n := len(l.tracks[1].streams[j])
	if n == 0 {
		return
	}
	ledger := l.x.basis.Ledger(false)
	if !s.private {
		ledger.Join(s.ledger)
	}
	ledger.Rule("extra-visit-gap")
	minutes := basis.Unknown(basis.NoFigure)
	if m := ledger.Rule("extra-visit-minutes"); m != nil {
		minutes = basis.EstimateOf(m)
	}
	for i := range n {
		v := Visit{Key: numbered(s.visitKey(), i, n), Purpose: "settle-first", Minutes: minutes.Round(), Extra: true, Why: WhyFinding,
			Finding: s.key, After: l.lastKey[0], Figures: ledger.IDs(), Optional: i >= len(l.tracks[0].streams[j]),
			Span: spanned(l.tracks, func(t *track) casefile.Date {
				return pick(t.streams[j], i, pick(t.main[0], len(t.main[0]), l.x.basis.Case.Start))
			})}
		if s.private {
			v.Purpose, v.Why, v.Finding = TalkAgain, WhyAgreedPause, ""
		}
		if i > 0 {
			v.After = l.out[len(l.out)-1].Key
		}
		v.agree(pinAt(l.x.agreed.stream(j), i))
		l.out = append(l.out, v)
		l.streamKey[j] = v.Key
	}
}

// fit lists the visit at which an appliance is fitted.
func (l *lister) fit(i int) {
	f := &l.x.fits[i]
	v := Visit{Key: f.key(), Purpose: f.key(), Minutes: f.minutes.Round(), Extra: true, Figures: f.ledger.IDs(),
		After: l.lastKey[len(l.x.steps)-1], Why: WhyAppliance, Span: spanned(l.tracks, func(t *track) casefile.Date { return t.fits[i] })}
	v.agree(l.x.agreed.fit(i))
	l.out = append(l.out, v)
}

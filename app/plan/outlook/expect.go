// Package outlook estimates how long restorations last: per tooth and in one mouth
// together, from published points, with what raises the hazard here.
package outlook

import (
	"cmp"
	"math"
	"slices"
	"strconv"
	"strings"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
	"plainleaf/app/plan/basis"
	"plainleaf/app/plan/mouth"
)

// Endpoints, never mixed.
const (
	InPlace       = "in-place"
	NothingNeeded = "nothing-needed"
)

// Expectation is one endpoint of a group of like teeth after some years.
type Expectation struct {
	Endpoint   string             `json:"endpoint"`
	Route      casefile.Route     `json:"route"`
	Material   casefile.Material  `json:"material,omitempty"`
	Teeth      []casefile.Tooth   `json:"teeth"`
	Years      int                `json:"years"`
	PerTooth   basis.Estimate     `json:"per_tooth"`          // chance that one is still in place, or has needed nothing
	Expected   basis.Estimate     `json:"expected"`           // number of these teeth that will have needed repair or replacement
	AtLeastOne basis.Estimate     `json:"at_least_one"`       // chance that at least one will
	Several    basis.Estimate     `json:"several"`            // chance that at least two will
	Certainty  evidence.Certainty `json:"certainty"`          // of per_tooth and expected
	Together   evidence.Certainty `json:"certainty_together"` // of at_least_one and several
	Known      bool               `json:"known"`
	// Curve is the likely per_tooth and the span other curve shapes through the same point give it.
	Curve      *basis.Estimate `json:"curve,omitempty"`
	Setting    string          `json:"setting,omitempty"`
	Anchor     string          `json:"anchor,omitempty"`
	Modifiers  []string        `json:"modifiers,omitempty"`
	Arithmetic string          `json:"arithmetic,omitempty"` // in one line
	Figures    []string        `json:"figures"`
}

// HasNumber reports whether the chance of one restoration is known.
func (e *Expectation) HasNumber() bool { return e.Known && e.PerTooth.Known() }

func (e *Expectation) unknown(reason string) {
	u := basis.Unknown(reason)
	e.PerTooth, e.Expected, e.AtLeastOne, e.Several, e.Known = u, u, u, u, false
	e.Certainty, e.Together = "", ""
}

// Horizons are the years shown: the data's, and the case's own.
func Horizons(s *basis.Basis) []int {
	out, l := []int{}, s.Ledger(false)
	for i := 1; s.Evidence.Settings["horizon-"+strconv.Itoa(i)] != ""; i++ {
		if f := l.Rule("horizon-" + strconv.Itoa(i)); f != nil {
			out = append(out, basis.Up(f.Value))
		}
	}
	if s.Case.HorizonYears > 0 {
		out = append(out, s.Case.HorizonYears)
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// For lists both endpoints of every group of a treatment at every horizon and, where
// the mouth has several groups, of all its teeth together.
func For(m *mouth.Treatment, es []mouth.Effect) []Expectation {
	gs := groups(m, es)
	var all mouth.Sites
	for i := range gs {
		all = all.Or(gs[i].on)
	}
	years := Horizons(m.Chart.Basis)
	out := make([]Expectation, 0, 2*len(years)*(len(gs)+1))
	for _, endpoint := range []string{InPlace, NothingNeeded} {
		looks := make([]*look, len(gs))
		for i := range gs {
			looks[i] = newLook(m.Chart, &gs[i], endpoint, years)
		}
		for _, y := range years {
			start := len(out)
			var on []mouth.Sites
			for i, o := range looks {
				e := o.after(y)
				if k := slices.IndexFunc(out[start:], func(p Expectation) bool { return e.sameUnknown(&p) }); k >= 0 {
					on[k] = on[k].Or(gs[i].on)
					out[start+k].Teeth = m.Chart.Teeth(on[k])
					continue
				}
				out, on = append(out, e), append(on, gs[i].on)
			}
			if len(on) > 1 {
				e := together(m.Chart.Basis, out[start:], looks)
				e.Teeth = m.Chart.Teeth(all)
				out = append(out, e)
			}
		}
	}
	return out
}

// sameUnknown reports whether nothing is known of both for one reason: they differ
// only in what raises their risk.
func (e *Expectation) sameUnknown(p *Expectation) bool {
	return !e.Known && !p.Known && p.Route == e.Route && p.Material == e.Material && p.PerTooth == e.PerTooth
}

// anchor finds the published point for a group: the first that names its route,
// endpoint, material and dentin condition; where none names the condition, the
// general one. Nil where there is none.
func anchor(b *evidence.Base, g *group, endpoint string) *evidence.Anchor {
	for _, dentin := range []string{g.dentin, ""} {
		for i := range b.Anchors {
			a := &b.Anchors[i]
			if a.Endpoint == endpoint && a.Dentin == dentin && slices.Contains(a.Routes, g.route) &&
				(len(a.Materials) == 0 || slices.Contains(a.Materials, g.material)) {
				return a
			}
		}
	}
	return nil
}

// look is one endpoint of one group, before any year is put in.
type look struct {
	basis           *basis.Basis
	group           *group
	blank           Expectation // what is the same after any number of years
	unknown         string      // why nothing can be said at all
	anchor          *evidence.Anchor
	survival, years *evidence.Figure
	limit           float64       // years: nothing is said beyond
	beyond          []string      // figure ids that a year past the limit rests on
	ledger          *basis.Ledger // what a number rests on
	hazard          basis.Estimate
	shapes          [2]*evidence.Figure // of other curves through the same point
	icc             *evidence.Figure    // the correlation within a mouth
}

func newLook(c *mouth.Chart, g *group, endpoint string, years []int) *look {
	s := c.Basis
	o := &look{basis: s, group: g, anchor: anchor(s.Evidence, g, endpoint), unknown: basis.NoFigure}
	o.blank = Expectation{Endpoint: endpoint, Route: g.route, Material: g.material, Teeth: c.Teeth(g.on), Figures: []string{}}
	a := o.anchor
	if a == nil {
		return o
	}
	o.blank.Anchor, o.blank.Setting = a.ID, a.Setting
	if a.Survival == "" {
		o.unknown = cmp.Or(a.Unknown, basis.NoFigure)
		return o
	}
	o.ledger = s.Ledger(false)
	o.survival, o.years = o.ledger.Find(a.Survival), o.ledger.Find(a.Years)
	limit := o.ledger.Find(a.Limit)
	o.ledger.FindAll(a.Studies)
	if o.survival == nil || o.years == nil || limit == nil || o.years.Value <= 0 || o.survival.Low <= 0 {
		return o
	}
	o.unknown, o.limit, o.beyond = "", limit.Value, o.ledger.IDs()
	if slices.ContainsFunc(years, func(y int) bool { return float64(y) <= o.limit }) {
		o.blank.Certainty = o.survival.Certainty
		o.hazard = o.multiply()
		o.shapes = [2]*evidence.Figure{o.ledger.Rule("weibull-low"), o.ledger.Rule("weibull-high")}
		o.icc = o.ledger.Rule("icc")
	}
	return o
}

// after is the outlook after some years.
func (o *look) after(years int) Expectation {
	e := o.blank
	e.Years = years
	switch {
	case o.unknown != "":
		e.unknown(o.unknown)
		return e
	case float64(years) > o.limit:
		e.Modifiers, e.Figures = nil, o.beyond
		e.unknown(basis.PastLimit)
		return e
	}
	e.Figures = o.ledger.IDs()
	s, t, hr := o.survival, o.years.Value, o.hazard
	at := func(sa, k float64) float64 { return exponential(sa, t, k, float64(years)) }
	// The low multiplier goes with the high end and the high one with the low end (evidence-longevity 4.5).
	per := basis.Estimate{Low: at(s.Low, hr.High), Likely: at(s.Value, hr.Likely), High: at(s.High, hr.Low)}
	curve := basis.Exactly(per.Likely) // the span that other shapes through the same point give
	for _, k := range o.shapes {
		if k != nil {
			v := weibull(s.Value, t, hr.Likely, float64(years), k.Value)
			curve.Low, curve.High = min(curve.Low, v), max(curve.High, v)
		}
	}
	curve = curve.Round()
	e.Curve = &curve
	e.Arithmetic = arithmetic(s.Value, t, hr.Likely, years, per.Likely)
	e.count(per, []chance{{o.group.on.Count(), per}}, o.icc)
	if len(e.Teeth) == 0 { // the case names no teeth: one of them can be told of, not how many
		u := basis.Unknown(basis.NoFigure)
		e.Expected, e.AtLeastOne, e.Several, e.Together = u, u, u, ""
	}
	return e
}

// arithmetic writes the likely value's sum in one line, without words:
// anchor^(years/anchor years × multiplier) = result.
func arithmetic(sa, ta, hr float64, years int, s float64) string {
	num := func(v float64) string { return strconv.FormatFloat(basis.Round4(v), 'f', -1, 64) }
	var b strings.Builder
	b.WriteString(num(sa) + "^(" + strconv.Itoa(years) + "/" + num(ta))
	if hr != 1 {
		b.WriteString(" × " + num(hr))
	}
	b.WriteString(") = " + num(s))
	return b.String()
}

// multiply is the combined multiplier of a group on one endpoint.
//
// A multiplier against which the plan prescribes an appliance (a night guard for
// grinding) has its low end at 1. That the guard helps is known, by how much is
// not, and no figure for a worn guard is used as a number: the likely value
// stays the unguarded one, so that nobody is promised a benefit of unknown
// size, the high end covers a guard that stays in its box, and a low end of 1
// lets the range include a guard that takes the whole added risk away. A low
// end above 1 would claim that a worn guard always leaves added risk, which no
// study has shown. What the guard does is told in words.
func (o *look) multiply() basis.Estimate {
	e := &o.blank
	var low, likely, high []float64
	for _, f := range o.group.modifiers {
		if len(f.rule.Endpoints) > 0 && !slices.Contains(f.rule.Endpoints, e.Endpoint) {
			continue
		}
		m := o.ledger.Find(f.rule.Multiplier)
		if m == nil {
			continue
		}
		o.ledger.FindAll(f.rule.Figures)
		least := m.Low
		if f.answered {
			least = min(least, 1)
		}
		low, likely, high = append(low, least), append(likely, m.Value), append(high, m.High)
		e.Modifiers = append(e.Modifiers, f.rule.ID)
		e.Certainty = worse(e.Certainty, m.Certainty)
	}
	for _, mod := range o.group.words {
		if len(mod.Endpoints) == 0 || slices.Contains(mod.Endpoints, e.Endpoint) {
			e.Modifiers = append(e.Modifiers, mod.ID)
			o.ledger.FindAll(mod.Figures)
		}
	}
	if len(likely) == 0 {
		return basis.Exactly(1)
	}
	limit := 0.0
	if f := o.ledger.Rule("hazard-cap"); f != nil {
		limit = f.Value
	}
	if f := o.ledger.Find(o.anchor.CapHazard); f != nil {
		limit = f.Value
	}
	return basis.Estimate{Low: combine(low, limit), Likely: combine(likely, limit), High: combine(high, limit)}
}

// worse is the less certain of two levels; a habit of the trade is the least.
func worse(a, b evidence.Certainty) evidence.Certainty {
	if a != b && slices.Index(byCertainty, b) > slices.Index(byCertainty, a) {
		return b
	}
	return a
}

var byCertainty = []evidence.Certainty{"", evidence.High, evidence.Moderate, evidence.Low, evidence.VeryLow, evidence.Practice}

// count fills in what follows from the chance per tooth: the number of teeth
// expected to fail, and the chances that at least one and at least two do.
func (e *Expectation) count(per basis.Estimate, parts []chance, icc *evidence.Figure) {
	e.Known = true
	e.PerTooth = per.Round()
	e.Expected = basis.Estimate{}
	n := 0
	for _, c := range parts {
		n += c.n
		k := float64(c.n)
		e.Expected.Low += k * (1 - c.s.High)
		e.Expected.Likely += k * (1 - c.s.Likely)
		e.Expected.High += k * (1 - c.s.Low)
	}
	e.Expected = e.Expected.Round()
	if icc == nil {
		e.AtLeastOne, e.Several = basis.Unknown(basis.NoFigure), basis.Unknown(basis.NoFigure)
		return
	}
	e.Together = worse(e.Certainty, icc.Certainty)
	if n == 1 {
		e.Together = e.Certainty // one tooth has no neighbors to share its fate with
	}
	one, two := shared(parts, icc)
	e.AtLeastOne, e.Several = one.Round(), two.Round()
}

// together joins the groups of one mouth, its teeth left to the caller; unknown
// when one of them is.
func together(s *basis.Basis, parts []Expectation, looks []*look) Expectation {
	e := Expectation{Endpoint: parts[0].Endpoint, Years: parts[0].Years, Figures: []string{}}
	for i := range parts {
		if p := &parts[i]; !p.Known {
			reason := p.PerTooth.Unknown
			if slices.ContainsFunc(parts, func(o Expectation) bool { return o.PerTooth.Unknown != reason }) {
				reason = basis.Mixed
			}
			e.unknown(reason)
			return e
		}
	}
	// With every part known there is one for each look.
	l := s.Ledger(false)
	var cs []chance
	per, n := basis.Estimate{}, 0.0
	for i := range parts {
		p := &parts[i]
		l.Join(looks[i].ledger)
		e.Certainty = worse(e.Certainty, p.Certainty)
		c := chance{looks[i].group.on.Count(), p.PerTooth}
		cs = append(cs, c)
		n += float64(c.n)
		per = per.Plus(p.PerTooth.Times(float64(c.n)))
		for _, id := range p.Modifiers {
			if !slices.Contains(e.Modifiers, id) {
				e.Modifiers = append(e.Modifiers, id)
			}
		}
	}
	e.count(per.Times(1/n), cs, looks[0].icc)
	e.Figures = l.IDs()
	return e
}

// floor keeps a chance that was rounded to nothing countable.
func floor(s float64) float64 { return max(s, 1e-4) }

// Replaced is how many replacements a group's restorations take by the years of e. One
// that is replaced starts anew: with a constant hazard the number of replacements
// of one tooth by year t is a Poisson count with mean -ln S(t), the renewal
// function of the exponential curve (Cox, Renewal Theory, 1962, 2.1).
func (e *Expectation) Replaced() basis.Estimate {
	if !e.Known {
		return basis.Unknown(e.PerTooth.Unknown)
	}
	n := float64(len(e.Teeth))
	return basis.Estimate{Low: -n * math.Log(floor(e.PerTooth.High)), Likely: -n * math.Log(floor(e.PerTooth.Likely)), High: -n * math.Log(floor(e.PerTooth.Low))}
}

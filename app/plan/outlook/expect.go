package outlook

import (
	"cmp"
	"math"
	"slices"
	"strconv"

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
	Setting    string             `json:"setting,omitempty"`
	Anchor     string             `json:"anchor,omitempty"`
	Modifiers  []string           `json:"modifiers,omitempty"`  // words: modifier.<key>
	Arithmetic string             `json:"arithmetic,omitempty"` // of the likely per_tooth, in one line
	Figures    []string           `json:"figures"`
}

// HasNumber reports whether the chance of one restoration is known.
func (e *Expectation) HasNumber() bool { return e.Known && e.PerTooth.Known() }

func (e *Expectation) unknown(reason string) {
	u := basis.Unknown(reason)
	e.PerTooth, e.Expected, e.AtLeastOne, e.Several, e.Known = u, u, u, u, false
	e.Certainty, e.Together, e.Arithmetic = "", "", ""
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

// anchor says how an endpoint of a group is known: the first that names its route,
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
	group   *group
	blank   Expectation // what is the same after any number of years
	unknown string      // why nothing can be said at all
	pool    *evidence.Pool
	point   Point
	by      []Multiplier
	limit   float64       // years: nothing is said beyond
	beyond  []string      // figure ids that a year past the limit rests on
	ledger  *basis.Ledger // what a number rests on
	figures []string      // its ids
	rules   *rules
}

// rules are the figures that every number rests on besides its pool.
type rules struct {
	shape   float64 // standard uncertainty of the exponent of time
	within  Correlation
	certain evidence.Certainty // of within
	widest  float64            // a range that spans more is too uncertain to say
}

func newRules(l *basis.Ledger) *rules {
	shape, within, widest := l.Rule("shape-spread"), l.Rule("clustering"), l.Rule("too-wide")
	if shape == nil || within == nil || widest == nil {
		return nil
	}
	return &rules{shape.Value, Between(within.Value, within.Low, within.High), within.Certainty, widest.Value}
}

func newLook(c *mouth.Chart, g *group, endpoint string, years []int) *look {
	s := c.Basis
	o := &look{group: g, unknown: basis.NoFigure}
	o.blank = Expectation{Endpoint: endpoint, Route: g.route, Material: g.material, Teeth: c.Teeth(g.on), Figures: []string{}}
	a := anchor(s.Evidence, g, endpoint)
	if a == nil {
		return o
	}
	o.blank.Anchor = a.ID
	o.pool = s.Evidence.Pool(a.Pool)
	if o.pool == nil || o.pool.Computed == nil {
		o.unknown = cmp.Or(a.Unknown, basis.NoFigure)
		return o
	}
	o.blank.Setting = o.pool.Setting
	o.ledger = s.Ledger(false)
	survival, at, limit := o.ledger.Find(o.pool.Figure), o.ledger.Find(o.pool.Years), o.ledger.Find(o.pool.Limit(g.material))
	o.ledger.FindAll(a.Studies)
	if survival == nil || at == nil || limit == nil {
		return o
	}
	o.point = Point{Hazard{o.pool.Computed.Mu, o.pool.Computed.U}, at.Value}
	o.limit, o.beyond = limit.Value, o.ledger.IDs()
	if slices.ContainsFunc(years, func(y int) bool { return float64(y) <= o.limit }) {
		o.blank.Certainty = survival.Certainty
		o.multiply()
		if o.rules = newRules(o.ledger); o.rules == nil {
			return o
		}
		o.figures = o.ledger.IDs()
	}
	o.unknown = ""
	return o
}

// multiply collects the multipliers of the group on its endpoint. Each acts only on
// the endpoints, routes and materials its studies looked at; elsewhere the direction
// appears in words. A guard changes no number: it helps, nobody knows by how much, so
// the number is that of a person without one.
func (o *look) multiply() {
	e := &o.blank
	for _, mod := range o.group.modifiers {
		m := o.ledger.Find(mod.Multiplier)
		if m == nil || !o.acts(mod) {
			e.Modifiers = append(e.Modifiers, mod.ID+"-left-out")
			continue
		}
		o.ledger.FindAll(mod.Figures)
		o.by = append(o.by, Multiplier{m.Value, m.Spread})
		e.Modifiers = append(e.Modifiers, mod.ID)
		e.Certainty = worse(e.Certainty, m.Certainty)
	}
	for _, mod := range o.group.words {
		if len(mod.Endpoints) == 0 || slices.Contains(mod.Endpoints, e.Endpoint) {
			e.Modifiers = append(e.Modifiers, mod.ID)
			o.ledger.FindAll(mod.Figures)
		}
	}
	slices.Sort(e.Modifiers)
}

func (o *look) acts(m *evidence.Modifier) bool {
	return slices.Contains(m.Endpoints, o.blank.Endpoint) &&
		(len(m.Routes) == 0 || slices.Contains(m.Routes, o.group.route)) &&
		(len(m.Materials) == 0 || slices.Contains(m.Materials, o.group.material))
}

// hazard is the group's hazard by some years within the limit.
func (o *look) hazard(years int) Hazard { return o.point.After(float64(years), o.rules.shape, o.by...) }

// after is the outlook after some years.
func (o *look) after(years int) Expectation {
	e := o.blank
	e.Years = years
	switch {
	case o.unknown != "":
		e.Modifiers = nil
		e.unknown(o.unknown)
		return e
	case float64(years) > o.limit:
		e.Modifiers, e.Figures = nil, o.beyond
		e.unknown(basis.PastLimit)
		return e
	}
	e.Figures = o.figures
	h := o.hazard(years)
	e.Arithmetic = o.arithmetic(years, h)
	e.count(h, o.group.on.Count(), o.rules)
	if len(e.Teeth) == 0 { // the case names no teeth: one of them can be told of, not how many
		u := basis.Unknown(basis.NoFigure)
		e.Expected, e.AtLeastOne, e.Several, e.Together = u, u, u, ""
	}
	return e
}

// arithmetic writes the likely value's sum in one line, without words:
// exp(-exp(mu + ln(years/years of the point) + ln(multiplier))) = result.
func (o *look) arithmetic(years int, h Hazard) string {
	num := func(v float64) string { return strconv.FormatFloat(basis.Round4(v), 'f', -1, 64) }
	sum := num(o.point.Eta)
	if float64(years) != o.point.Years {
		sum += " + ln(" + strconv.Itoa(years) + "/" + num(o.point.Years) + ")"
	}
	for _, m := range o.by {
		sum += " + ln(" + num(m.Ratio) + ")"
	}
	return "exp(-exp(" + sum + ")) = " + num(h.Survival().Likely)
}

// worse is the less certain of two levels; a habit of the trade is the least.
func worse(a, b evidence.Certainty) evidence.Certainty {
	if a != b && slices.Index(byCertainty, b) > slices.Index(byCertainty, a) {
		return b
	}
	return a
}

var byCertainty = []evidence.Certainty{"", evidence.High, evidence.Moderate, evidence.Low, evidence.VeryLow, evidence.Practice}

// count fills in what follows from the hazard of n like teeth: the chance per tooth, the
// number of teeth expected to fail, and the chances that at least one and at least two do.
func (e *Expectation) count(h Hazard, n int, r *rules) {
	e.Known = true
	b := h.Survival()
	e.PerTooth = r.told(b)
	if !e.PerTooth.Known() {
		e.unknown(basis.TooUncertain)
		return
	}
	k := float64(n)
	e.Expected = basis.Estimate{Low: k * (1 - b.High), Likely: k * h.Failure(), High: k * (1 - b.Low)}.Round()
	e.AtLeastOne, e.Several = r.told(AtLeastOne(h, n, r.within)), r.told(AtLeastTwo(h, n, r.within))
	e.Together = worse(e.Certainty, r.certain)
	if n == 1 {
		e.Together = e.Certainty // one tooth has no neighbors to share its fate with
	}
}

// told is a chance as the plan has it; one whose range spans too much is too uncertain
// to say.
func (r *rules) told(b Band) basis.Estimate {
	e := basis.Estimate{Low: b.Low, Likely: b.Likely, High: b.High}.Round()
	if e.High-e.Low > r.widest {
		return basis.Unknown(basis.TooUncertain)
	}
	return e
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
	var groups []Group
	for i := range parts {
		p := &parts[i]
		l.Join(looks[i].ledger)
		e.Certainty = worse(e.Certainty, p.Certainty)
		groups = append(groups, Group{looks[i].hazard(e.Years), looks[i].group.on.Count(), looks[i].pool.ID})
		for _, id := range p.Modifiers {
			if !slices.Contains(e.Modifiers, id) {
				e.Modifiers = append(e.Modifiers, id)
			}
		}
	}
	slices.Sort(e.Modifiers)
	h, n := Mean(groups)
	e.Figures = l.IDs()
	e.count(h, n, looks[0].rules)
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

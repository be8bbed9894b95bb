package plan

import (
	"cmp"
	"slices"
	"strconv"

	"plainleaf/app/evidence"
	"plainleaf/app/veneer"
)

// group is the teeth of one mouth that share route, material, anchor condition
// and hazard multipliers.
type group struct {
	route     veneer.Route
	material  veneer.Material
	dentin    string
	modifiers []factor
	words     []*evidence.Modifier // of unknown size, told in words
	teeth     []veneer.Tooth
}

// factor is one hazard multiplier with the finding that brings it.
type factor struct {
	rule *evidence.Modifier
	// answered: the plan prescribes an appliance against it (a night guard).
	answered bool
}

// like reports whether teeth of g and h belong together.
func (g *group) like(h *group) bool {
	return g.route == h.route && g.material == h.material && g.dentin == h.dentin && slices.Equal(g.modifiers, h.modifiers)
}

// groups divides the mouth, in chart order of each group's first tooth.
func (w *work) groups(m mouth, es []effect) []group {
	var out []group
	var modifiers []factor
	var words []*evidence.Modifier
	var raise []*effect // those that say something about the outlook
	for i := range es {
		if e := &es[i]; !e.private && slices.ContainsFunc(e.each, func(x *evidence.Effect) bool { return x.Dentin != "" || x.Modifier != "" }) {
			raise = append(raise, e)
		}
	}
	for i, s := range m.sites {
		if m.restored && !restores(s.kind) {
			continue // a tooth left as it is has nothing that could fail
		}
		g := group{route: s.route, material: s.material, modifiers: modifiers[:0], words: words[:0]}
		for _, e := range raise {
			if !e.on.has(i) {
				continue
			}
			x := w.paths[s.path].does[e.at].stays
			if x.Dentin != "" {
				g.dentin = x.Dentin
			}
			mod := w.modifier(x.Modifier)
			if mod != nil && mod.Multiplier == "" && !slices.Contains(g.words, mod) {
				g.words = append(g.words, mod)
			}
			if mod == nil || mod.Multiplier == "" || slices.ContainsFunc(g.modifiers, func(f factor) bool { return f.rule == mod }) {
				continue
			}
			g.modifiers = append(g.modifiers, factor{mod, len(x.Appliances) > 0})
		}
		slices.SortFunc(g.modifiers, func(a, b factor) int { return cmp.Compare(a.rule.ID, b.rule.ID) })
		j := slices.IndexFunc(out, func(h group) bool { return h.like(&g) })
		if j < 0 {
			g.teeth = make([]veneer.Tooth, 0, len(m.sites))
			j = len(out)
			out = append(out, g)
			out[j].modifiers, out[j].words = slices.Clone(g.modifiers), slices.Clone(g.words)
		}
		modifiers, words = g.modifiers, g.words // their room serves the next tooth
		out[j].teeth = append(out[j].teeth, s.tooth)
		for _, mod := range g.words {
			if !slices.Contains(out[j].words, mod) {
				out[j].words = append(out[j].words, mod)
			}
		}
	}
	return out
}

// horizons are the years shown: the data's, and the case's own.
func (w *work) horizons(l *ledger) []int {
	var out []int
	for i := 1; w.b.Settings["horizon-"+strconv.Itoa(i)] != ""; i++ {
		if f, ok := l.setting("horizon-" + strconv.Itoa(i)); ok {
			out = append(out, up(f.Value))
		}
	}
	if w.c.HorizonYears > 0 {
		out = append(out, w.c.HorizonYears)
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// chance is one group's outlook at one time.
type chance struct {
	n int
	s Estimate // per tooth, the endpoint still holds
}

// expectations gives both endpoints of every group at every horizon and, where
// the mouth has several groups, of all its teeth together.
func (w *work) expectations(m mouth, es []effect) []Expectation {
	years := w.horizons(w.ledger())
	groups := w.groups(m, es)
	out := make([]Expectation, 0, 2*len(years)*(len(groups)+1))
	if len(w.room.looks) < len(groups) {
		w.room.looks = make([]outlook, len(groups))
	}
	looks := w.room.looks[:len(groups)]
	var all []veneer.Tooth
	for i := range groups {
		all = append(all, groups[i].teeth...)
	}
	all = named(veneer.SortTeeth(all))
	for _, endpoint := range []string{InPlace, NothingNeeded} {
		for i := range groups {
			looks[i] = w.outlook(&groups[i], endpoint)
		}
		for _, y := range years {
			start := len(out)
			for i := range looks {
				out = addPart(out, start, looks[i].after(y))
			}
			if parts := out[start:]; len(parts) > 1 {
				e := w.together(parts, looks)
				e.Teeth = all
				out = append(out, e)
			}
		}
	}
	return out
}

// addPart adds a group's outlook; groups that differ only in what raises their
// risk are one where nothing is known of either.
func addPart(all []Expectation, start int, e Expectation) []Expectation {
	parts := all[start:]
	for i := range parts {
		if p := &parts[i]; !e.Known && !p.Known && p.Route == e.Route && p.Material == e.Material && p.PerTooth == e.PerTooth {
			p.Teeth = veneer.SortTeeth(append(slices.Clone(p.Teeth), e.Teeth...))
			return all
		}
	}
	return append(all, e)
}

// anchor finds the published point for a group: the first that names its route,
// endpoint, material and dentin condition.
func (w *work) anchor(g *group, endpoint string) *evidence.Anchor {
	for i := range w.b.Anchors {
		a := &w.b.Anchors[i]
		if a.Endpoint == endpoint && a.Dentin == g.dentin && slices.Contains(a.Routes, g.route) &&
			(len(a.Materials) == 0 || slices.Contains(a.Materials, g.material)) {
			return a
		}
	}
	if g.dentin != "" { // no point for this condition: the general one
		h := *g
		h.dentin = ""
		return w.anchor(&h, endpoint)
	}
	return nil
}

// outlook is one endpoint of one group, before any year is put in.
type outlook struct {
	w               *work
	group           *group
	blank           Expectation // what is the same after any number of years
	unknown         string      // why nothing can be said at all
	anchored        bool
	survival, years evidence.Figure // the anchor's point
	limit           float64         // years: nothing is said beyond
	hazard          Estimate
	ledger          *ledger // the anchor's figures
	beyond, figures []string
	shapes          []float64 // of other curves through the same point
	icc             evidence.Figure
	shared          bool
}

func (w *work) outlook(g *group, endpoint string) outlook {
	o := outlook{w: w, group: g}
	o.blank = Expectation{Endpoint: endpoint, Route: g.route, Material: g.material, Teeth: named(g.teeth), Figures: []string{}}
	a := w.anchor(g, endpoint)
	if a == nil {
		o.unknown = NoFigure
		return o
	}
	o.blank.Anchor, o.blank.Setting = a.ID, a.Setting
	if a.Survival == "" {
		o.unknown = cmp.Or(a.Unknown, NoFigure)
		return o
	}
	l := w.ledger()
	s, ok1 := l.figure(a.Survival)
	t, ok2 := l.figure(a.Years)
	limit, ok3 := l.figure(a.Limit)
	for _, id := range a.Studies {
		l.figure(id)
	}
	if !ok1 || !ok2 || !ok3 || t.Value <= 0 || s.Low <= 0 {
		o.unknown = NoFigure
		return o
	}
	o.survival, o.years, o.limit, o.ledger, o.beyond = s, t, limit.Value, l, l.list()
	return o
}

// rest looks up what only a number needs: multipliers, other curves, the
// correlation within a mouth.
func (o *outlook) rest() {
	if o.anchored {
		return
	}
	o.anchored = true
	o.blank.Certainty = o.survival.Certainty
	o.hazard = o.w.hazard(o.group, o.w.anchor(o.group, o.blank.Endpoint), o.ledger, &o.blank)
	for _, rule := range []string{"weibull-low", "weibull-high"} {
		if f, ok := o.ledger.setting(rule); ok {
			o.shapes = append(o.shapes, f.Value)
		}
	}
	o.icc, o.shared = o.ledger.setting("icc")
	o.figures = o.ledger.list()
}

// after is the outlook after some years.
func (o *outlook) after(years int) Expectation {
	e := o.blank
	e.Years = years
	if o.unknown != "" {
		return e.unknown(o.unknown)
	}
	if float64(years) > o.limit {
		e.Modifiers, e.Figures = nil, o.beyond
		return e.unknown(PastLimit)
	}
	o.rest()
	e = o.blank
	e.Years, e.Figures = years, o.figures
	s, t, hr := o.survival, o.years.Value, o.hazard
	at := func(sa, k float64) float64 { return exponential(sa, t, k, float64(years)) }
	// The low multiplier goes with the high end and the high one with the low end (evidence-longevity 4.5).
	per := Estimate{Low: at(s.Low, hr.High), Likely: at(s.Value, hr.Likely), High: at(s.High, hr.Low)}
	curve := exactly(per.Likely) // the span that other shapes through the same point give
	for _, k := range o.shapes {
		v := weibull(s.Value, t, hr.Likely, float64(years), k)
		curve.Low, curve.High = min(curve.Low, v), max(curve.High, v)
	}
	curve = curve.round()
	e.Curve = &curve
	e.Arithmetic = arithmetic(s.Value, t, hr.Likely, years, per.Likely)
	count(&e, per, []chance{{len(o.group.teeth), per}}, o.icc, o.shared)
	if len(e.Teeth) == 0 { // the case names no teeth: one of them can be told of, not how many
		u := Estimate{Unknown: NoFigure}
		e.Expected, e.AtLeastOne, e.Several, e.Together = u, u, u, ""
	}
	return e
}

func (e Expectation) unknown(reason string) Expectation {
	u := Estimate{Unknown: reason}
	e.PerTooth, e.Expected, e.AtLeastOne, e.Several, e.Known = u, u, u, u, false
	e.Certainty, e.Together = "", ""
	return e
}

// arithmetic writes the likely value's sum in one line, without words:
// anchor^(years/anchor years × multiplier) = result.
func arithmetic(sa, ta, hr float64, years int, s float64) string {
	var room [64]byte
	b := room[:0]
	num := func(v float64) { b = strconv.AppendFloat(b, round4(v), 'f', -1, 64) }
	num(sa)
	b = append(b, "^("...)
	b = strconv.AppendInt(b, int64(years), 10)
	b = append(b, '/')
	num(ta)
	if hr != 1 {
		b = append(b, " × "...)
		num(hr)
	}
	b = append(b, ") = "...)
	num(s)
	return string(b)
}

// hazard is the combined multiplier of a group on one endpoint.
//
// A multiplier against which the plan prescribes an appliance (a night guard for
// grinding) has its low end at 1. That the guard helps is known, by how much is
// not, and no figure for a worn guard is used as a number: the likely value
// stays the unguarded one, so that nobody is promised a benefit of unknown
// size, the high end covers a guard that stays in its box, and a low end of 1
// lets the range include a guard that takes the whole added risk away. A low
// end above 1 would claim that a worn guard always leaves added risk, which no
// study has shown. What the guard does is told in words.
func (w *work) hazard(g *group, a *evidence.Anchor, l *ledger, e *Expectation) Estimate {
	endpoint := e.Endpoint
	var room [3][8]float64
	low, likely, high := room[0][:0], room[1][:0], room[2][:0]
	for _, f := range g.modifiers {
		if len(f.rule.Endpoints) > 0 && !slices.Contains(f.rule.Endpoints, endpoint) {
			continue
		}
		m, ok := l.figure(f.rule.Multiplier)
		if !ok {
			continue
		}
		for _, id := range f.rule.Figures {
			l.figure(id)
		}
		if f.answered {
			m.Low = min(m.Low, 1)
		}
		low, likely, high = append(low, m.Low), append(likely, m.Value), append(high, m.High)
		e.Modifiers = append(e.Modifiers, f.rule.ID)
		e.Certainty = worse(e.Certainty, m.Certainty)
	}
	for _, mod := range g.words {
		if len(mod.Endpoints) == 0 || slices.Contains(mod.Endpoints, endpoint) {
			e.Modifiers = append(e.Modifiers, mod.ID)
			for _, id := range mod.Figures {
				l.figure(id)
			}
		}
	}
	if len(likely) == 0 {
		return exactly(1)
	}
	cap := 0.0
	if f, ok := l.setting("hazard-cap"); ok {
		cap = f.Value
	}
	if f, ok := l.figure(a.CapHazard); ok {
		cap = f.Value
	}
	return Estimate{Low: combine(low, cap), Likely: combine(likely, cap), High: combine(high, cap)}
}

// worse is the less certain of two levels; a habit of the trade is the least.
func worse(a, b evidence.Certainty) evidence.Certainty {
	order := []evidence.Certainty{"", evidence.High, evidence.Moderate, evidence.Low, evidence.VeryLow, evidence.Practice}
	if slices.Index(order, b) > slices.Index(order, a) {
		return b
	}
	return a
}

// count fills in what follows from the chance per tooth: the number of teeth
// expected to fail, and the chances that at least one and at least two do.
func count(e *Expectation, per Estimate, parts []chance, icc evidence.Figure, ok bool) {
	e.Known = true
	e.PerTooth = per.round()
	e.Expected = Estimate{}
	n := 0
	for _, c := range parts {
		n += c.n
		k := float64(c.n)
		e.Expected.Low += k * (1 - c.s.High)
		e.Expected.Likely += k * (1 - c.s.Likely)
		e.Expected.High += k * (1 - c.s.Low)
	}
	e.Expected = e.Expected.round()
	if !ok {
		e.AtLeastOne, e.Several = Estimate{Unknown: NoFigure}, Estimate{Unknown: NoFigure}
		return
	}
	e.Together = worse(e.Certainty, icc.Certainty)
	if n == 1 {
		e.Together = e.Certainty // one tooth has no neighbors to share its fate with
	}
	one, two := shared(parts, icc)
	e.AtLeastOne, e.Several = one.round(), two.round()
}

// rhoSteps is how finely the correlation is searched between its bounds.
const rhoSteps = 12

// shared is the chance that at least one, and that at least two, of the teeth
// of all parts fail.
//
// Several groups of unlike teeth have no beta-binomial of their own. The likely
// value takes all teeth as alike with their mean chance, so that the whole mouth
// shares its fate; its mean is exact. The range also covers the other reading,
// in which only teeth of one group share theirs: the distribution of the sum of
// independent beta-binomials. With one group both are the same.
//
// At-least-one rises with the chance of failure and falls with the correlation.
// At-least-two rises with the chance but may rise or fall with the correlation,
// so the correlation is searched between its bounds.
func shared(parts []chance, icc evidence.Figure) (one, several Estimate) {
	both := func(end func(Estimate) float64, rho float64) (atLeastOne, atLeastTwo [2]float64) {
		n, sum := 0, 0.0
		p0, p1 := 1.0, 0.0
		for _, c := range parts {
			p := 1 - end(c.s)
			n += c.n
			sum += float64(c.n) * p
			q0, q1 := noneAndOne(c.n, p, rho)
			p0, p1 = p0*q0, p0*q1+p1*q0
		}
		if len(parts) == 1 {
			return [2]float64{1 - p0, 1 - p0}, [2]float64{max(0, 1-p0-p1), max(0, 1-p0-p1)}
		}
		q0, q1 := noneAndOne(n, sum/float64(n), rho)
		return [2]float64{1 - q0, 1 - p0}, [2]float64{max(0, 1-q0-q1), max(0, 1-p0-p1)}
	}
	a, b := both(func(e Estimate) float64 { return e.Likely }, icc.Value)
	one, several = exactly(a[0]), exactly(b[0])
	widen := func(rho float64) {
		lowOne, lowTwo := both(func(e Estimate) float64 { return e.High }, rho)
		highOne, highTwo := both(func(e Estimate) float64 { return e.Low }, rho)
		one.Low, one.High = min(one.Low, lowOne[0], lowOne[1]), max(one.High, highOne[0], highOne[1])
		several.Low, several.High = min(several.Low, lowTwo[0], lowTwo[1]), max(several.High, highTwo[0], highTwo[1])
	}
	widen(icc.Value)
	if len(parts) == 1 && parts[0].n == 1 {
		return one, several // one tooth has nobody to share its fate with
	}
	for i := range rhoSteps + 1 {
		widen(icc.Low + (icc.High-icc.Low)*float64(i)/rhoSteps)
	}
	return one, several
}

// together joins the groups of one mouth, its teeth left to the caller; unknown
// when one of them is.
func (w *work) together(parts []Expectation, looks []outlook) Expectation {
	e := Expectation{Endpoint: parts[0].Endpoint, Years: parts[0].Years, Figures: []string{}}
	for i := range parts {
		if p := &parts[i]; !p.Known {
			if i > 0 || !e.same(parts) {
				return e.unknown(Mixed)
			}
			return e.unknown(p.PerTooth.Unknown)
		}
	}
	// With every part known there is one for each outlook.
	l := w.ledger()
	cs := make([]chance, len(parts))
	per, n := Estimate{}, 0.0
	for i := range parts {
		p := &parts[i]
		l.ids.join(looks[i].ledger.ids)
		e.Certainty = worse(e.Certainty, p.Certainty)
		k := float64(len(p.Teeth))
		n += k
		per = per.plus(p.PerTooth.times(k))
		cs[i] = chance{len(p.Teeth), p.PerTooth}
		for _, id := range p.Modifiers {
			if !slices.Contains(e.Modifiers, id) {
				e.Modifiers = append(e.Modifiers, id)
			}
		}
	}
	icc, ok := l.setting("icc")
	count(&e, per.times(1/n), cs, icc, ok)
	e.Figures = l.list()
	return e
}

// same reports whether every part is unknown for one reason.
func (Expectation) same(parts []Expectation) bool {
	return !slices.ContainsFunc(parts, func(p Expectation) bool { return p.PerTooth.Unknown != parts[0].PerTooth.Unknown })
}

package plan

import (
	"cmp"
	"math"
	"slices"
	"strconv"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
)

// group is the teeth of one mouth that share route, material, anchor condition
// and hazard multipliers.
type group struct {
	route     casefile.Route
	material  casefile.Material
	dentin    string
	modifiers []factor
	words     []*modifier // of unknown size, told in words
	on        sites
}

// factor is one hazard multiplier with the finding that brings it.
type factor struct {
	rule *modifier
	// answered: the plan prescribes an appliance against it (a night guard).
	answered bool
}

// modifier is a rule of the data with its figures, looked up once.
type modifier struct {
	*evidence.Modifier
	multiplier *evidence.Figure // nil: none
	ids        set
	found      bool
}

// find notes what a modifier rests on: its multiplier, and the published figures
// behind it unless the multiplier is missing.
func (m *modifier) find(l *ledger) *evidence.Figure {
	if !m.found {
		own := l.w.ledger()
		m.found, m.multiplier = true, own.find(m.Multiplier)
		if m.multiplier != nil || m.Multiplier == "" {
			for _, id := range m.Figures {
				own.find(id)
			}
		}
		m.ids = l.w.keep(own.ids)
	}
	l.ids.join(m.ids)
	return m.multiplier
}

// like reports whether teeth of g and h belong together.
func (g *group) like(h *group) bool {
	return g.route == h.route && g.material == h.material && g.dentin == h.dentin && slices.Equal(g.modifiers, h.modifiers)
}

// groups divides the mouth, in chart order of each group's first tooth.
func (w *work) groups(m mouth, es []effect) []group {
	out := w.room.groups.take(len(m.sites))
	raise := w.room.raise[:0] // those that say something about the outlook
	for i := range es {
		if e := &es[i]; !e.private && w.here[e.at].raises && slices.ContainsFunc(e.each, func(x *evidence.Effect) bool { return x.Dentin != "" || x.Modifier != "" }) {
			raise = append(raise, e)
		}
	}
	w.room.raise = raise
	back := w.room.back[:0] // of every tooth behind the canines
	for i := range w.room.modifiers {
		if m := &w.room.modifiers[i]; m.Teeth != "" {
			back = append(back, m)
		}
	}
	w.room.back = back
	seen := w.room.alike[:0]
	for i := range m.sites {
		s := &m.sites[i]
		if m.restored && !restores(s.kind) {
			continue // a tooth left as it is has nothing that could fail
		}
		k := alike{path: s.path, material: s.material, back: !s.tooth.Front()}
		for j, e := range raise {
			if e.on.has(i) {
				k.raised |= 1 << j
			}
		}
		j := slices.IndexFunc(seen, func(o alike) bool {
			return o.path == k.path && o.raised == k.raised && o.material == k.material && o.back == k.back
		})
		if j >= 0 {
			out[seen[j].group].on |= 1 << i
			continue
		}
		g := w.raised(s, raise, i)
		if k.back {
			g.words = append(g.words, back...)
		}
		k.group = slices.IndexFunc(out, func(h group) bool { return h.like(&g) })
		if k.group < 0 {
			k.group = len(out)
			out = append(out, g)
		}
		seen = append(seen, k)
		h := &out[k.group]
		h.on |= 1 << i
		for _, mod := range g.words {
			if !slices.Contains(h.words, mod) {
				h.words = append(h.words, mod)
			}
		}
	}
	w.room.alike = seen
	return out
}

// alike is what teeth of one group have in common: their way, material and the
// effects that say something about the outlook.
type alike struct {
	path     int
	material casefile.Material
	raised   uint64
	back     bool
	group    int
}

// raised is the group of one site, the effects that say something about it put in.
func (w *work) raised(s *site, raise []*effect, at int) group {
	g := group{route: s.route, material: s.material, modifiers: w.room.factors.take(len(raise)), words: w.room.words.take(len(raise) + len(w.room.back))}
	for _, e := range raise {
		if !e.on.has(at) {
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
	return g
}

// horizons are the years shown: the data's, and the case's own.
func (w *work) horizons() []int {
	if w.years != nil {
		return w.years
	}
	out, l := []int{}, w.ledger()
	for i := 1; w.b.Settings["horizon-"+strconv.Itoa(i)] != ""; i++ {
		if f := l.ruled("horizon-" + strconv.Itoa(i)); f != nil {
			out = append(out, up(f.Value))
		}
	}
	if w.c.HorizonYears > 0 {
		out = append(out, w.c.HorizonYears)
	}
	slices.Sort(out)
	w.years = slices.Compact(out)
	return w.years
}

// chance is one group's outlook at one time.
type chance struct {
	n int
	s Estimate // per tooth, the endpoint still holds
}

// expectations gives both endpoints of every group at every horizon and, where
// the mouth has several groups, of all its teeth together.
func (w *work) expectations(m mouth, es []effect) []Expectation {
	years := w.horizons()
	groups := w.groups(m, es)
	for i := range w.room.told { // routes that end in the same restorations have the same outlook
		if t := &w.room.told[i]; slices.EqualFunc(t.groups, groups, sameGroup) {
			return t.expectations
		}
	}
	if len(w.room.looks) < len(groups) {
		w.room.looks = make([]outlook, len(groups))
	}
	looks := w.room.looks[:len(groups)]
	out := slices.Grow(w.room.parts[:0], 2*len(years)*(len(groups)+1))
	var all sites
	for i := range groups {
		all |= groups[i].on
	}
	for _, endpoint := range []string{InPlace, NothingNeeded} {
		for i := range groups {
			w.outlook(&looks[i], &groups[i], endpoint)
		}
		for _, y := range years {
			start := len(out)
			on := w.room.where[:0] // the sites of each part
			for i := range looks {
				out = out[:len(out)+1]
				looks[i].after(y, &out[len(out)-1])
				out, on = w.sameUnknown(out, start, append(on, groups[i].on))
			}
			if w.room.where = on; len(on) > 1 {
				out = append(out, w.together(out[start:], looks))
				out[len(out)-1].Teeth = w.teeth(all)
			}
		}
	}
	w.room.parts = out
	out = append(make([]Expectation, 0, len(out)), out...)
	w.room.told = append(w.room.told, told{groups, out})
	return out
}

// told is what was found for the groups of one route.
type told struct {
	groups       []group
	expectations []Expectation
}

func sameGroup(a, b group) bool { return a.on == b.on && a.like(&b) && slices.Equal(a.words, b.words) }

// sameUnknown makes one of the last part and one before it, from start on, when
// nothing is known of either for one reason: they differ only in what raises their risk.
func (w *work) sameUnknown(out []Expectation, start int, on []sites) ([]Expectation, []sites) {
	n := len(out) - 1
	e := &out[n]
	for i := start; i < n && !e.Known; i++ {
		if p := &out[i]; !p.Known && p.Route == e.Route && p.Material == e.Material && p.PerTooth == e.PerTooth {
			on[i-start] |= on[n-start]
			p.Teeth = w.teeth(on[i-start])
			return out[:n], on[:n-start]
		}
	}
	return out, on
}

// anchor finds the published point for a group: the first that names its route,
// endpoint, material and dentin condition. Nil where there is none.
func (w *work) anchor(g *group, endpoint string) *point {
	for i := range w.b.Anchors {
		a := &w.b.Anchors[i]
		if a.Endpoint == endpoint && a.Dentin == g.dentin && slices.Contains(a.Routes, g.route) &&
			(len(a.Materials) == 0 || slices.Contains(a.Materials, g.material)) {
			return w.room.points[i].of(w, a)
		}
	}
	if g.dentin != "" { // no point for this condition: the general one
		h := *g
		h.dentin = ""
		return w.anchor(&h, endpoint)
	}
	return nil
}

// point is a published point with its figures, looked up once.
type point struct {
	*evidence.Anchor
	survival, years *evidence.Figure
	limit           float64 // years: nothing is said beyond
	unknown         string  // why it has no number
	ids             set
	beyond          []string // what a year past the limit rests on
}

func (p *point) of(w *work, a *evidence.Anchor) *point {
	if p.Anchor != nil {
		return p
	}
	p.Anchor = a
	if a.Survival == "" {
		p.unknown = cmp.Or(a.Unknown, NoFigure)
		return p
	}
	l := w.ledger()
	s, t, limit := l.find(a.Survival), l.find(a.Years), l.find(a.Limit)
	for _, id := range a.Studies {
		l.find(id)
	}
	if s == nil || t == nil || limit == nil || t.Value <= 0 || s.Low <= 0 {
		p.unknown = NoFigure
		return p
	}
	p.survival, p.years, p.limit, p.ids = s, t, limit.Value, w.keep(l.ids)
	return p
}

// outlook is one endpoint of one group, before any year is put in.
type outlook struct {
	w               *work
	group           *group
	blank           Expectation // what is the same after any number of years
	anchor          *point
	unknown         string // why nothing can be said at all
	rested          bool   // what only a number needs is there:
	hazard          Estimate
	ledger          *ledger // the anchor's figures
	beyond, figures []string
	rules           *curveRules
}

// curveRules are the plan's own rules that every number about the outlook rests on.
type curveRules struct {
	known  bool
	shapes [2]*evidence.Figure // of other curves through the same point
	icc    *evidence.Figure    // the correlation within a mouth
	ids    set
}

// ruleCurves looks them up once and notes them.
func (l *ledger) ruleCurves() *curveRules {
	r := &l.w.curveRules
	if !r.known {
		own := l.w.ledger()
		*r = curveRules{true, [2]*evidence.Figure{own.ruled("weibull-low"), own.ruled("weibull-high")}, own.ruled("icc"), nil}
		r.ids = l.w.keep(own.ids)
	}
	l.ids.join(r.ids)
	return r
}

func (w *work) outlook(o *outlook, g *group, endpoint string) {
	*o = outlook{w: w, group: g, anchor: w.anchor(g, endpoint)}
	o.blank = Expectation{Endpoint: endpoint, Route: g.route, Material: g.material, Teeth: w.teeth(g.on), Figures: []string{}}
	a := o.anchor
	if a == nil {
		o.unknown = NoFigure
		return
	}
	o.blank.Anchor, o.blank.Setting = a.ID, a.Setting
	if o.unknown = a.unknown; o.unknown != "" {
		return
	}
	o.ledger = w.ledger()
	o.ledger.ids.join(a.ids)
	if years := w.horizons(); len(years) > 0 && float64(years[len(years)-1]) > a.limit {
		if a.beyond == nil {
			a.beyond = o.ledger.list()
		}
		o.beyond = a.beyond
	}
}

// rest looks up what only a number needs: multipliers and the rules of curves.
func (o *outlook) rest() {
	if o.rested {
		return
	}
	o.rested = true
	o.blank.Certainty = o.anchor.survival.Certainty
	o.hazard = o.w.hazard(o.group, o.anchor.Anchor, o.ledger, &o.blank)
	o.rules = o.ledger.ruleCurves()
	o.figures = o.ledger.list()
}

// after is the outlook after some years, into e.
func (o *outlook) after(years int, e *Expectation) {
	switch {
	case o.unknown != "":
		*e = o.blank
		e.Years = years
		e.unknown(o.unknown)
		return
	case float64(years) > o.anchor.limit:
		*e = o.blank
		e.Years, e.Modifiers, e.Figures = years, nil, o.beyond
		e.unknown(PastLimit)
		return
	}
	o.rest()
	*e = o.blank
	e.Years, e.Figures = years, o.figures
	s, t, hr := o.anchor.survival, o.anchor.years.Value, o.hazard
	at := func(sa, k float64) float64 { return exponential(sa, t, k, float64(years)) }
	// The low multiplier goes with the high end and the high one with the low end (evidence-longevity 4.5).
	per := Estimate{Low: at(s.Low, hr.High), Likely: at(s.Value, hr.Likely), High: at(s.High, hr.Low)}
	curve := exactly(per.Likely) // the span that other shapes through the same point give
	for _, k := range o.rules.shapes {
		if k != nil {
			v := weibull(s.Value, t, hr.Likely, float64(years), k.Value)
			curve.Low, curve.High = min(curve.Low, v), max(curve.High, v)
		}
	}
	curve = curve.round()
	e.Curve = o.w.curve(curve)
	e.Arithmetic = arithmetic(s.Value, t, hr.Likely, years, per.Likely)
	o.w.count(e, per, append(o.w.room.chances.take(1), chance{o.group.on.count(), per}), o.rules.icc)
	if len(e.Teeth) == 0 { // the case names no teeth: one of them can be told of, not how many
		u := Estimate{Unknown: NoFigure}
		e.Expected, e.AtLeastOne, e.Several, e.Together = u, u, u, ""
	}
}

// curve keeps a span for the plan.
func (w *work) curve(e Estimate) *Estimate {
	if len(w.curves) == cap(w.curves) {
		w.curves = make([]Estimate, 0, 64)
	}
	w.curves = append(w.curves, e)
	return &w.curves[len(w.curves)-1]
}

func (e *Expectation) unknown(reason string) {
	u := Estimate{Unknown: reason}
	e.PerTooth, e.Expected, e.AtLeastOne, e.Several, e.Known = u, u, u, u, false
	e.Certainty, e.Together = "", ""
}

// arithmetic writes the likely value's sum in one line, without words:
// anchor^(years/anchor years × multiplier) = result.
func arithmetic(sa, ta, hr float64, years int, s float64) string {
	var room [64]byte
	b := room[:0]
	num := func(v float64) { b = decimal(b, v) }
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

// decimal writes v, which is not negative, with up to four decimals.
func decimal(b []byte, v float64) []byte {
	n := int64(math.Round(v * 1e4))
	b = strconv.AppendInt(b, n/1e4, 10)
	if n %= 1e4; n > 0 {
		b = append(b, '.')
	}
	for unit := int64(1e3); n > 0; unit /= 10 {
		b = append(b, '0'+byte(n/unit))
		n %= unit
	}
	return b
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
	names := w.room.names[:0]
	for _, f := range g.modifiers {
		if len(f.rule.Endpoints) > 0 && !slices.Contains(f.rule.Endpoints, endpoint) {
			continue
		}
		m := f.rule.find(l)
		if m == nil {
			continue
		}
		least := m.Low
		if f.answered {
			least = min(least, 1)
		}
		low, likely, high = append(low, least), append(likely, m.Value), append(high, m.High)
		names = append(names, f.rule.ID)
		e.Certainty = worse(e.Certainty, m.Certainty)
	}
	for _, mod := range g.words {
		if len(mod.Endpoints) == 0 || slices.Contains(mod.Endpoints, endpoint) {
			names = append(names, mod.ID)
			mod.find(l)
		}
	}
	e.Modifiers = w.listed(names)
	if len(likely) == 0 {
		return exactly(1)
	}
	cap := 0.0
	if f := l.ruled("hazard-cap"); f != nil {
		cap = f.Value
	}
	if f := l.find(a.CapHazard); f != nil {
		cap = f.Value
	}
	return Estimate{Low: combine(low, cap), Likely: combine(likely, cap), High: combine(high, cap)}
}

// listed is a list of modifiers for the plan, nil when there are none: the one before
// where it is the same. The names stand in the room.
func (w *work) listed(names []string) []string {
	w.room.names = names
	if len(names) == 0 {
		return nil
	}
	if !slices.Equal(w.names, names) {
		w.names = append(make([]string, 0, len(names)), names...)
	}
	return w.names
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
func (w *work) count(e *Expectation, per Estimate, parts []chance, icc *evidence.Figure) {
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
	if icc == nil {
		e.AtLeastOne, e.Several = Estimate{Unknown: NoFigure}, Estimate{Unknown: NoFigure}
		return
	}
	e.Together = worse(e.Certainty, icc.Certainty)
	if n == 1 {
		e.Together = e.Certainty // one tooth has no neighbors to share its fate with
	}
	for i := range w.room.fates { // routes with one anchor differ in name only
		if m := &w.room.fates[i]; slices.Equal(m.parts, parts) {
			e.AtLeastOne, e.Several = m.one, m.several
			return
		}
	}
	one, two := shared(parts, icc)
	e.AtLeastOne, e.Several = one.round(), two.round()
	w.room.fates = append(w.room.fates, fate{parts, e.AtLeastOne, e.Several})
}

// fate is the chances that at least one and at least two teeth fail.
type fate struct {
	parts        []chance
	one, several Estimate
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
func shared(parts []chance, icc *evidence.Figure) (one, several Estimate) {
	var room [2][8]share
	mid, span := room[0][:0], room[1][:0]
	for i := range parts {
		s := &parts[i].s
		mid = append(mid, share{parts[i].n, ends{1 - s.Likely, 1 - s.Likely}})
		span = append(span, share{parts[i].n, ends{1 - s.High, 1 - s.Low}})
	}
	a, b := atLeast(mid, icc.Value)
	one, several = exactly(a[0].low), exactly(b[0].low)
	widen := func(rho float64) {
		a, b := atLeast(span, rho)
		for i := range min(len(a), len(parts)) { // with one group both readings are the same
			one.cover(a[i])
			several.cover(b[i])
		}
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

// share is how many like teeth there are, and the chance that one of them fails.
type share struct {
	n int
	p ends
}

// cover widens a range to what lies between two ends.
func (e *Estimate) cover(x ends) {
	if x.low < e.Low {
		e.Low = x.low
	}
	if x.high > e.High {
		e.High = x.high
	}
}

// atLeast is the chance that at least one and that at least two teeth fail, in both
// readings, the one that takes all teeth as alike first.
func atLeast(parts []share, rho float64) (one, two [2]ends) {
	n, mean := 0.0, ends{}
	none, single := ends{1, 1}, ends{}
	for i := range parts {
		c := &parts[i]
		p, k := c.p, float64(c.n)
		q0, q1 := noneAndOne(c.n, p, rho)
		n, mean.low, mean.high = n+k, mean.low+k*p.low, mean.high+k*p.high
		none, single = ends{none.low * q0.low, none.high * q0.high},
			ends{none.low*q1.low + single.low*q0.low, none.high*q1.high + single.high*q0.high}
	}
	rest := func(none, single ends) (one, two ends) {
		return ends{1 - none.low, 1 - none.high}, ends{max(0, 1-none.low-single.low), max(0, 1-none.high-single.high)}
	}
	one[1], two[1] = rest(none, single)
	if len(parts) == 1 {
		return [2]ends{one[1], one[1]}, [2]ends{two[1], two[1]}
	}
	one[0], two[0] = rest(noneAndOne(int(n), ends{mean.low / n, mean.high / n}, rho))
	return one, two
}

// together joins the groups of one mouth, its teeth left to the caller; unknown
// when one of them is.
func (w *work) together(parts []Expectation, looks []outlook) Expectation {
	e := Expectation{Endpoint: parts[0].Endpoint, Years: parts[0].Years, Figures: []string{}}
	for i := range parts {
		if p := &parts[i]; !p.Known {
			reason := p.PerTooth.Unknown
			if i > 0 || !e.same(parts) {
				reason = Mixed
			}
			e.unknown(reason)
			return e
		}
	}
	// With every part known there is one for each outlook.
	l := w.ledger()
	cs := w.room.chances.take(len(parts))[:len(parts)]
	per, n := Estimate{}, 0.0
	names := w.room.names[:0]
	for i := range parts {
		p := &parts[i]
		l.ids.join(looks[i].ledger.ids)
		e.Certainty = worse(e.Certainty, p.Certainty)
		cs[i] = chance{looks[i].group.on.count(), p.PerTooth}
		k := float64(cs[i].n)
		n += k
		per = per.plus(p.PerTooth.times(k))
		for _, id := range p.Modifiers {
			if !slices.Contains(names, id) {
				names = append(names, id)
			}
		}
	}
	e.Modifiers = w.listed(names)
	w.count(&e, per.times(1/n), cs, looks[0].rules.icc)
	e.Figures = l.list()
	return e
}

// same reports whether every part is unknown for one reason.
func (Expectation) same(parts []Expectation) bool {
	return !slices.ContainsFunc(parts, func(p Expectation) bool { return p.PerTooth.Unknown != parts[0].PerTooth.Unknown })
}

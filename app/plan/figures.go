package plan

import (
	"math"
	"math/bits"
	"slices"

	"plainleaf/app/evidence"
)

// set is a set of figures, by their place in the order of ids.
type set []uint64

func (s set) has(n int) bool { return n/64 < len(s) && s[n/64]>>(n%64)&1 == 1 }

func (s *set) add(n int) {
	for len(*s) <= n/64 {
		*s = append(*s, 0)
	}
	(*s)[n/64] |= 1 << (n % 64)
}

func (s *set) join(o set) {
	for len(*s) < len(o) {
		*s = append(*s, 0)
	}
	for i, v := range o {
		(*s)[i] |= v
	}
}

func (s set) count() (n int) {
	for _, v := range s {
		n += bits.OnesCount64(v)
	}
	return n
}

// each calls f with every place, the lowest first.
func (s set) each(f func(place int)) {
	for i, v := range s {
		for ; v != 0; v &= v - 1 {
			f(64*i + bits.TrailingZeros64(v))
		}
	}
}

// keep is a copy that stays until the plan is finished.
func (w *work) keep(s set) set { return append(w.room.kept.take(len(s)), s...) }

// ledger notes the figures one item of the plan rests on.
type ledger struct {
	w   *work
	ids set
	// private keeps the ids out of the plan's public list: what a private
	// finding rests on could name it.
	private bool
	idle    bool // in room.free
}

func (w *work) ledger() *ledger {
	r := w.room
	if k := len(r.free) - 1; k >= 0 {
		l := r.free[k]
		r.free, l.w, l.idle = r.free[:k], w, false
		r.given = append(r.given, l)
		return l
	}
	n := (w.b.Len() + 63) / 64
	if len(r.ledgers) == 0 || len(r.sets) < n { // the room may come from a plan over data of another size
		r.ledgers, r.sets = make([]ledger, 64), make(set, 64*n)
	}
	l := &r.ledgers[0]
	l.w, l.ids = w, r.sets[:n:n]
	r.ledgers, r.sets = r.ledgers[1:], r.sets[n:]
	r.given = append(r.given, l)
	return l
}

// find looks up a figure, the practice's own value standing instead of a shipped
// habit of the trade. Published figures are never replaced. Nil where the id is
// empty; an unknown one is a fault. It is not to be changed.
func (l *ledger) find(id string) *evidence.Figure {
	if id == "" {
		return nil
	}
	n, ok := l.w.b.Place(id)
	if !ok {
		l.w.fault("PLAN-FIGURE-MISSING", "figures."+id, "the plan needs this figure and the data does not have it")
		return nil
	}
	return l.at(n)
}

// at notes the figure at a place.
func (l *ledger) at(place int) *evidence.Figure {
	l.ids.add(place)
	if l.private {
		l.w.hidden.add(place)
	} else {
		l.w.used.add(place)
	}
	f, _ := l.w.own(l.w.b.At(place))
	return f
}

// own puts the practice's values into a copy of a habit of the trade and reports
// whether it did; any other figure it gives as it is. A bound the practice does not give equals its likely value; a likely
// value it does not give is the shipped one, kept within the bounds.
func (w *work) own(shipped *evidence.Figure) (*evidence.Figure, bool) {
	if len(w.p.Figures) == 0 || shipped.Seen != evidence.PracticeHabit || shipped.Certainty != evidence.Practice {
		return shipped, false
	}
	pf, ok := w.p.Figures[shipped.ID]
	if !ok || pf.Low == nil && pf.Likely == nil && pf.High == nil {
		return shipped, false
	}
	f := new(evidence.Figure)
	*f = *shipped
	if pf.Likely != nil {
		f.Value, f.Low, f.High = *pf.Likely, *pf.Likely, *pf.Likely
	}
	if pf.Low != nil {
		f.Low = *pf.Low
	}
	if pf.High != nil {
		f.High = *pf.High
	}
	f.High = max(f.Low, f.High)
	f.Value = min(max(f.Value, f.Low), f.High)
	return f, true
}

// ruled is the figure a rule of the plan rests on; a rule without one is a fault.
func (l *ledger) ruled(rule string) *evidence.Figure {
	if n, ok := l.w.b.PlaceOf(rule); ok {
		return l.at(n)
	}
	id := l.w.b.Settings[rule]
	if id == "" {
		l.w.fault("PLAN-SETTING-MISSING", "settings."+rule, "the plan needs this rule and the data does not have it")
	}
	return l.find(id)
}

// estimate is figure id as a range; unknown when there is none.
func (l *ledger) estimate(id string) Estimate {
	f := l.find(id)
	if f == nil {
		return Estimate{Unknown: NoFigure}
	}
	return estimateOf(f)
}

func estimateOf(f *evidence.Figure) Estimate {
	return Estimate{Low: f.Low, Likely: f.Value, High: f.High}
}

// last is the list of ids that was made last: the next is often the same.
type last struct {
	ids  set
	list []string
}

// list gives the ids noted so far, each once, sorted; never nil, and not to be changed.
func (l *ledger) list() []string {
	r, n := l.w.room, l.ids.count()
	if r.last.list != nil && slices.Equal(r.last.ids, l.ids) {
		return r.last.list
	}
	if len(r.ids) < max(1, n) {
		r.ids = make([]string, max(512, n))
	}
	out := r.ids[:0:n]
	r.ids = r.ids[n:]
	l.ids.each(func(n int) { out = append(out, l.w.b.At(n).ID) })
	r.last = last{append(r.last.ids[:0], l.ids...), out}
	return out
}

// close is list for an item that is finished; the ledger serves the next one.
func (l *ledger) close() []string {
	out := l.list()
	l.drop()
	return out
}

func (l *ledger) drop() {
	if !l.idle {
		clear(l.ids)
		r := l.w.room
		l.w, l.private, l.idle = nil, false, true
		r.free = append(r.free, l)
	}
}

// drop takes back the ledgers given out after the first so many.
func (r *room) drop(since int) {
	for _, l := range r.given[since:] {
		l.drop()
	}
	r.given = r.given[:since]
}

// figureUses lists every figure the plan's public parts rest on, by id, with
// sources, and the ids that only private findings rest on.
func (w *work) figureUses() (uses []FigureUse, hidden []string) {
	uses, hidden = make([]FigureUse, 0, w.used.count()), []string{}
	w.used.each(func(n int) {
		uses = append(uses, FigureUse{Sources: w.b.From(n)})
		u := &uses[len(uses)-1]
		u.Figure, u.Replaced = w.own(w.b.At(n))
	})
	w.hidden.each(func(n int) {
		if !w.used.has(n) {
			hidden = append(hidden, w.b.At(n).ID)
		}
	})
	return uses, hidden
}

// round4 rounds to four decimals, so that native and wasm, whose exp and pow
// differ in the last bits, give the same plan.
func round4(v float64) float64 {
	r := math.Round(v*1e4) / 1e4
	if r == 0 {
		return 0 // no negative zero
	}
	return r
}

func (e Estimate) round() Estimate {
	if !e.Known() {
		return Estimate{Unknown: e.Unknown}
	}
	return Estimate{Low: round4(e.Low), Likely: round4(e.Likely), High: round4(e.High)}
}

// plus adds two ranges end by end; unknown when either is.
func (e Estimate) plus(f Estimate) Estimate {
	switch {
	case !e.Known():
		return e
	case !f.Known():
		return f
	}
	return Estimate{Low: e.Low + f.Low, Likely: e.Likely + f.Likely, High: e.High + f.High}
}

// times multiplies a range by a number that is not negative.
func (e Estimate) times(k float64) Estimate {
	if !e.Known() {
		return e
	}
	return Estimate{Low: k * e.Low, Likely: k * e.Likely, High: k * e.High}
}

// at picks one end: 0 low, 1 likely, 2 high.
func (e Estimate) at(t int) float64 { return [...]float64{e.Low, e.Likely, e.High}[t] }

func exactly(v float64) Estimate { return Estimate{Low: v, Likely: v, High: v} }

// Reason keys of an unknown estimate (words: unknown.<key>).
const (
	NoFigure  = "no-figure"  // no study, or none that could be read
	PastLimit = "past-limit" // beyond the time the studies cover
	NoFee     = "no-fee"     // the practice has set none
	NoStudy   = "no-study"   // a habit of the trade that the practice has not replaced
	Mixed     = "mixed"      // part of the teeth have no figure
	Planned   = "planned"    // part of the treatment, so certain and no matter of chance
	// OtherSetting: known, but not to be set beside the others (see RouteFacts.Comparable).
	OtherSetting = "other-setting"
)

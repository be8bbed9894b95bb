package basis

import (
	"cmp"
	"slices"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
	"plainleaf/app/fault"
	"plainleaf/app/order"
)

// Basis is the input of one plan, and what the plan came to rest on.
type Basis struct {
	Case     casefile.Case
	Practice casefile.Practice
	Evidence *evidence.Base

	used, hidden map[*evidence.Figure]bool
	faults       fault.List
}

// New is the basis of a plan. Case and practice have been checked; b is indexed.
func New(c casefile.Case, p casefile.Practice, b *evidence.Base) *Basis {
	return &Basis{Case: c, Practice: p, Evidence: b, used: map[*evidence.Figure]bool{}, hidden: map[*evidence.Figure]bool{}}
}

// Fault notes a fault once.
func (s *Basis) Fault(code, path, format string, a ...any) {
	f := fault.New(code, path, format, a...)
	if !slices.ContainsFunc(s.faults, func(g fault.Fault) bool { return g.Code == f.Code && g.Path == f.Path }) {
		s.faults.Append(f)
	}
}

// Faults lists the faults noted so far.
func (s *Basis) Faults() fault.List { return s.faults }

// AgeBand is the patient's, adult when the case does not say.
func (s *Basis) AgeBand() string {
	if p := s.Case.People; p != nil && p.AgeBand != "" {
		return p.AgeBand
	}
	return "adult"
}

// Rule is the particular rule where the data has it, otherwise the general one.
func (s *Basis) Rule(particular, general string) string {
	if s.Evidence.Settings[particular] != "" {
		return particular
	}
	return general
}

// Own returns the practice's override of a default figure and whether there is one;
// any other figure comes back as it is. A bound the practice does not give equals its
// likely value; a likely value it does not give is the shipped one, kept within the
// bounds. Published figures are never replaced.
func (s *Basis) Own(shipped *evidence.Figure) (*evidence.Figure, bool) {
	if shipped.Seen != evidence.PracticeHabit || shipped.Certainty != evidence.Practice {
		return shipped, false
	}
	pf, ok := s.Practice.Figures[shipped.ID]
	if !ok || pf.Low == nil && pf.Likely == nil && pf.High == nil {
		return shipped, false
	}
	f := *shipped
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
	return &f, true
}

// Ledger notes the figures that one item of a plan rests on.
type Ledger struct {
	basis   *Basis
	ids     []string // in the order of use, some more than once
	private bool
}

// Ledger is an empty one. A private one keeps its ids out of the plan's public list:
// what a private finding rests on could name it.
func (s *Basis) Ledger(private bool) *Ledger {
	return &Ledger{basis: s, private: private}
}

// Find looks up a figure, the practice's own value in place of a default, and notes
// it. Nil where the id is empty; an unknown one is a fault. It must not be changed.
func (l *Ledger) Find(id string) *evidence.Figure {
	if id == "" {
		return nil
	}
	f := l.basis.Evidence.FigureOf(id)
	if f == nil {
		l.basis.Fault("PLAN-FIGURE-MISSING", "figures."+id, "the plan needs this figure and the data does not have it")
		return nil
	}
	l.ids = append(l.ids, id)
	if l.private {
		l.basis.hidden[f] = true
	} else {
		l.basis.used[f] = true
	}
	f, _ = l.basis.Own(f)
	return f
}

// FindAll notes figures.
func (l *Ledger) FindAll(ids []string) {
	for _, id := range ids {
		l.Find(id)
	}
}

// Rule is the figure that a rule of the plan rests on; a rule without one is a fault.
func (l *Ledger) Rule(rule string) *evidence.Figure {
	id := l.basis.Evidence.Settings[rule]
	if id == "" {
		l.basis.Fault("PLAN-SETTING-MISSING", "settings."+rule, "the plan needs this rule and the data does not have it")
	}
	return l.Find(id)
}

// Ruled is the figure of a rule as a range; unknown when there is none.
func (l *Ledger) Ruled(rule string) Estimate {
	f := l.Rule(rule)
	if f == nil {
		return Unknown(NoFigure)
	}
	return EstimateOf(f)
}

// Estimate is figure id as a range; unknown when there is none.
func (l *Ledger) Estimate(id string) Estimate {
	f := l.Find(id)
	if f == nil {
		return Unknown(NoFigure)
	}
	return EstimateOf(f)
}

// Join adds what another ledger notes.
func (l *Ledger) Join(o *Ledger) { l.ids = append(l.ids, o.ids...) }

// IDs lists the ids noted so far, each once, sorted; never nil.
func (l *Ledger) IDs() []string {
	out := append([]string{}, l.ids...)
	slices.Sort(out)
	return slices.Compact(out)
}

// FigureUse is one figure the plan rests on, with its source.
type FigureUse struct {
	*evidence.Figure
	Sources []evidence.Source `json:"sources"`
	// Replaced is true when the practice's own figure is used in place of the shipped one.
	Replaced bool `json:"replaced,omitempty"`
}

// FigureUses lists every figure the plan's public parts rest on, by id, with its
// sources, and the ids that only private findings rest on.
func (s *Basis) FigureUses() (uses []FigureUse, hidden []string) {
	uses, hidden = make([]FigureUse, 0, len(s.used)), []string{}
	for f := range s.used {
		own, replaced := s.Own(f)
		uses = append(uses, FigureUse{own, s.Evidence.SourcesOf(f), replaced})
	}
	order.By(uses, func(a, b FigureUse) int { return cmp.Compare(a.ID, b.ID) })
	for f := range s.hidden {
		if !s.used[f] {
			hidden = append(hidden, f.ID)
		}
	}
	slices.Sort(hidden)
	return uses, hidden
}

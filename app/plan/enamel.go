package plan

import (
	"slices"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
	"plainleaf/app/plan/basis"
	"plainleaf/app/plan/mouth"
)

// Dentin keys: whether the planned shaping stays in enamel. The thickness table
// is from memory, so may-reach and likely only raise a question.
const (
	DentinNone     = "none"
	DentinMayReach = "may-reach"
	DentinLikely   = "likely"
	DentinUnknown  = "not-known" // no row for this tooth
	DentinBare     = "bare"      // a finding says that most of the front is dentin already
)

// enamel lists place by place what is taken from each tooth; places are never added up.
func enamel(o *outcome, changes []ChairChange) Enamel {
	all := o.Ledger(false)
	out := Enamel{Teeth: make([]ToothEnamel, 0, len(o.treatment.Sites)), Permitted: permitted(changes)}
	thin, bare := thinned(&o.treatment)
	for i := range o.treatment.Sites {
		if o.treatment.Sites[i].Tooth == 0 {
			continue
		}
		l := o.Ledger(false)
		t := toothEnamel(o.Basis, &o.treatment.Sites[i], thin[i], bare[i], l)
		all.Join(l)
		t.Figures = l.IDs()
		out.Teeth = append(out.Teeth, t)
	}
	for _, c := range changes {
		if irreversible(c) {
			all.FindAll(c.Figures)
		}
	}
	out.Figures = all.IDs()
	return out
}

// thinned is where something thins the enamel, and where most of the front is dentin
// already. Enamel thins with age, care-pathway 1.2.
func thinned(m *mouth.Treatment) (thin, bare mouth.Sites) {
	for _, f := range m.Chart.Findings {
		if f.Rule.ThinsEnamel {
			thin = thin.Or(f.On)
		}
		if slices.ContainsFunc(f.Rule.Effects, func(x evidence.Effect) bool { return x.Dentin != "" }) {
			bare = bare.Or(f.On)
		}
	}
	if m.Chart.Basis.AgeBand() == "older-adult" {
		thin = m.Chart.All()
	}
	return thin, bare
}

func toothEnamel(s *basis.Basis, t *mouth.Site, thin, bare bool, l *basis.Ledger) ToothEnamel {
	took := s.Ledger(false)
	removal := taken(s.Evidence, t.Route, t.Via, took)
	l.Join(took)
	out := ToothEnamel{Tooth: t.Tooth, Route: t.Route, Removal: removal.shown(took), Dentin: DentinNone, Honest: string(evidence.Memory),
		Neck: DentinNone, Front: DentinNone}
	row := enamelRow(s.Evidence, t.Tooth)
	out.ThinSide = row != nil && row.ThinSide
	switch {
	case bare: // the same whatever route is looked at
		out.Dentin = DentinBare
	case removal.Planned && row == nil:
		out.Dentin = DentinUnknown
	case removal.Planned:
		out.Neck = reaches(removal.Cervical, l.Find(row.Cervical), thin)
		out.Front = reaches(removal.Middle, l.Find(row.Middle), thin)
		out.Dentin = harder(out.Neck, out.Front, DentinNone, DentinMayReach, DentinLikely)
	}
	if out.Dentin == DentinBare || out.Dentin == DentinUnknown {
		out.Neck, out.Front = out.Dentin, out.Dentin
	}
	out.Bulk = bulk(s, t, &removal, l).Round()
	return out
}

// taken is what is planned to be taken from a tooth, unrounded; a route that goes on
// with another's visits takes what either takes.
func taken(b *evidence.Base, route, via casefile.Route, l *basis.Ledger) Removal {
	r := planned(b, route, l)
	if via != "" && via != route {
		r = r.join(planned(b, via, l))
	}
	return r
}

// shown is the plan's form, rounded and with its figures.
func (r Removal) shown(l *basis.Ledger) Removal {
	r.Cervical, r.Middle, r.Incisal = r.Cervical.Round(), r.Middle.Round(), r.Incisal.Round()
	r.Proximal, r.Share = r.Proximal.Round(), r.Share.Round()
	r.Figures = l.IDs()
	return r
}

// most is what is planned where most is taken in one place: near the gum, in the
// middle of the front, at the edge or at a side. Places are never added up.
func (r *Removal) most() Estimate {
	return r.Cervical.Widest(r.Middle).Widest(r.Incisal.Widest(r.Proximal))
}

// planned is what a route plans to take, mm, place by place.
func planned(b *evidence.Base, r casefile.Route, l *basis.Ledger) Removal {
	none := basis.Exactly(0)
	out := Removal{Cervical: none, Middle: none, Incisal: none, Proximal: none, Share: none}
	rule := b.Route(r)
	if rule == nil {
		return out
	}
	for _, p := range []struct {
		id string
		to *Estimate
	}{{rule.Removal.Cervical, &out.Cervical}, {rule.Removal.Middle, &out.Middle}, {rule.Removal.Incisal, &out.Incisal},
		{rule.Removal.Proximal, &out.Proximal}, {rule.Removal.Share, &out.Share}} {
		if p.id == "" {
			continue
		}
		*p.to = l.Estimate(p.id)
		out.Planned = out.Planned || p.to.High > 0
	}
	if rule.Removal.Share == "" && out.Planned {
		out.Share = basis.Unknown(NoFigure)
	}
	return out
}

// join takes the smallest low, the largest high and the larger likely value of
// two; a share unknown for one of them is the other's.
func (r Removal) join(o Removal) Removal {
	one := func(a, b Estimate) Estimate {
		if !a.Known() || !b.Known() {
			return basis.Unknown(NoFigure)
		}
		return Estimate{Low: min(a.Low, b.Low), Likely: max(a.Likely, b.Likely), High: max(a.High, b.High)}
	}
	r.Planned = r.Planned || o.Planned
	r.Cervical, r.Middle, r.Incisal = one(r.Cervical, o.Cervical), one(r.Middle, o.Middle), one(r.Incisal, o.Incisal)
	r.Proximal = one(r.Proximal, o.Proximal)
	switch {
	case !r.Share.Known():
		r.Share = o.Share
	case o.Share.Known():
		r.Share = one(r.Share, o.Share)
	}
	return r
}

func enamelRow(b *evidence.Base, t casefile.Tooth) *evidence.EnamelRow {
	for i := range b.Enamel {
		if slices.Contains(b.Enamel[i].Teeth, t) {
			return &b.Enamel[i]
		}
	}
	return nil
}

// reaches compares the planned depth with the enamel at one third of the front
// surface (care-pathway 1.5): likely where the likely depth is more than the
// enamel to plan with, which is the low end when something thins it; may-reach
// where only the deepest planned cut goes beyond the thinnest usual enamel. The
// edge is left out: there the enamel is shortened, not thinned.
func reaches(depth Estimate, enamel *evidence.Figure, thin bool) string {
	if enamel == nil || !depth.Known() {
		return DentinNone
	}
	plan := enamel.Value
	if thin {
		plan = enamel.Low
	}
	switch {
	case depth.Likely > plan+1e-9:
		return DentinLikely
	case depth.High > enamel.Low+1e-9:
		return DentinMayReach
	}
	return DentinNone
}

// bulk is what the front surface gains, mm: ceramic and cement film less the
// depth taken (care-pathway 1.7). Filling material is shaped on the tooth, without
// a film, from the thinnest to the thickest usual layer (care-pathway 1.6). Nothing
// placed adds nothing.
func bulk(s *basis.Basis, t *mouth.Site, r *Removal, l *basis.Ledger) Estimate {
	if t.Kind == mouth.KindNone || t.Kind == mouth.KindWhitening || t.Kind == mouth.KindFirst {
		return basis.Exactly(0)
	}
	c := ceramic(s.Evidence, t, r, l)
	if rule := s.Evidence.Material(t.Material); t.Kind == mouth.KindComposite && rule != nil && c.Known() {
		usual := l.Estimate(rule.Thickness)
		return Estimate{Low: c.Low - r.Middle.High, Likely: usual.Likely - r.Middle.Likely, High: usual.High - r.Middle.Low}
	}
	film := l.Rule("cement-film")
	if !c.Known() || film == nil || t.Kind == mouth.KindCrown {
		return basis.Unknown(NoFigure)
	}
	return Estimate{Low: c.Low + film.Low - r.Middle.High, Likely: c.Likely + film.Value - r.Middle.Likely, High: c.High + film.High - r.Middle.Low}
}

// ceramic is the thickness of the restoration at mid-face, mm. Where nothing is
// taken from the tooth it runs from the thinnest the material allows to the
// usual thickness, with the middle as likely: a thicker one shows as bulk. A
// crown fills the depth made for it; the thickness table is for veneers.
func ceramic(b *evidence.Base, t *mouth.Site, r *Removal, l *basis.Ledger) Estimate {
	if t.Kind == mouth.KindCrown {
		return r.Middle
	}
	rule := b.Material(t.Material)
	if rule == nil {
		return basis.Unknown(NoFigure)
	}
	c := l.Estimate(rule.Thickness)
	if thin := l.Find(rule.Thinnest); thin != nil && c.Known() && !r.Planned {
		low := min(thin.Value, c.Low)
		c = Estimate{Low: low, Likely: (low + c.Likely) / 2, High: c.Likely}
	}
	return c
}

func irreversible(c ChairChange) bool {
	return c.Removes == "enamel"
}

// permitted lists the changes that cannot be undone, with what the patient's
// answer permits: a size only where the answer is agree and nothing has to be
// asked at the time; else the row says what is not yet, or not, permitted.
func permitted(changes []ChairChange) []Permitted {
	out := []Permitted{}
	for _, c := range changes {
		if !irreversible(c) || c.TellOnly || c.Rests {
			continue
		}
		p := Permitted{Change: c.Key, Teeth: c.Teeth, Places: c.Places, Limits: c.PlaceLimits, Place: c.Place, Answer: c.Answer, Surfaces: 1}
		if c.PerSurface {
			p.Surfaces = 2
		}
		if c.Answer == casefile.Agree && c.ActsAs == casefile.Agree {
			p.UpToMM = c.HighMM
			if o := c.AskAnyway.OverMM; o != nil {
				p.UpToMM = o
			}
		}
		out = append(out, p)
	}
	return out
}

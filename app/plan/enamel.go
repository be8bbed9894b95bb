package plan

import (
	"slices"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
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

// enamel tells place by place what is taken from each tooth; places are never added up.
func (w *work) enamel(m mouth, changes []ChairChange) Enamel {
	all := w.ledger()
	out := Enamel{Teeth: make([]ToothEnamel, 0, len(m.sites)), Permitted: permitted(changes)}
	for i, s := range m.sites {
		if s.tooth == 0 {
			continue
		}
		l := w.ledger()
		out.Teeth = append(out.Teeth, ToothEnamel{})
		t := &out.Teeth[len(out.Teeth)-1]
		w.toothEnamel(t, s, i, l)
		all.ids.join(l.ids)
		t.Figures = l.close()
	}
	for _, c := range changes {
		if irreversible(c) {
			for _, id := range c.Figures {
				all.find(id)
			}
		}
	}
	out.Figures = all.list()
	return out
}

func (w *work) toothEnamel(t *ToothEnamel, s site, site int, l *ledger) {
	takes := w.taken(s)
	*t = ToothEnamel{Tooth: s.tooth, Route: s.route, Removal: takes.removal(w), Dentin: DentinNone, Honest: string(evidence.Memory)}
	l.ids.join(takes.ids)
	row := w.enamelRow(s.tooth)
	if row != nil {
		t.ThinSide = row.ThinSide
	}
	t.Neck, t.Front = DentinNone, DentinNone
	switch {
	case w.bare.has(site): // the same whatever route is looked at
		t.Dentin = DentinBare
	case takes.Planned && row == nil:
		t.Dentin = DentinUnknown
	case takes.Planned:
		t.Neck = reaches(takes.Cervical, l.find(row.Cervical), w.thin.has(site))
		t.Front = reaches(takes.Middle, l.find(row.Middle), w.thin.has(site))
		t.Dentin = harder(t.Neck, t.Front, DentinNone, DentinMayReach, DentinLikely)
	}
	if t.Dentin == DentinBare || t.Dentin == DentinUnknown {
		t.Neck, t.Front = t.Dentin, t.Dentin
	}
	t.Bulk = w.bulk(s, &takes.Removal, l).round()
}

// taking is what is planned to be taken from a tooth, unrounded, with the figures
// it rests on; its list of ids stays empty.
type taking struct {
	Removal
	ids   set
	of    via
	shown Removal // the plan's form, once it was asked for
}

// via is a route with the one whose visits it takes over.
type via struct{ route, via casefile.Route }

// taken is what is planned for a tooth; a route that goes on with another's
// visits takes what either takes.
func (w *work) taken(s site) *taking {
	if s.takes != nil {
		return s.takes
	}
	k := via{s.route, s.via}
	i := slices.IndexFunc(w.room.taken, func(t *taking) bool { return t.of == k })
	if i < 0 {
		t := w.removal(s.route)
		if s.via != "" && s.via != s.route {
			more := w.removal(s.via)
			t = t.join(&more, w)
		}
		t.of = k
		i = len(w.room.taken)
		w.room.taken = append(w.room.taken, &append(w.room.takes.take(1), t)[0])
	}
	s.takes = w.room.taken[i]
	return s.takes
}

// removal is the plan's form, rounded and with its figures.
func (t *taking) removal(w *work) Removal {
	if t.shown.Figures != nil {
		return t.shown
	}
	r := t.Removal
	r.Cervical, r.Middle, r.Incisal = r.Cervical.round(), r.Middle.round(), r.Incisal.round()
	r.Proximal, r.Share = r.Proximal.round(), r.Share.round()
	r.Figures = (&ledger{w: w, ids: t.ids}).list()
	t.shown = r
	return r
}

// most is what is planned where most is taken in one place: near the gum, in the
// middle of the front, at the edge or at a side. Places are never added up.
func (r *Removal) most() Estimate {
	return widest(widest(r.Cervical, r.Middle), widest(r.Incisal, r.Proximal))
}

// removal is what a route plans to take, mm, place by place.
func (w *work) removal(r casefile.Route) taking {
	l := w.ledger()
	out := taking{Removal: Removal{Cervical: exactly(0), Middle: exactly(0), Incisal: exactly(0), Proximal: exactly(0), Share: exactly(0)}}
	rule := w.b.Route(r)
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
		*p.to = l.estimate(p.id)
		out.Planned = out.Planned || p.to.High > 0
	}
	if rule.Removal.Share == "" && out.Planned {
		out.Share = Estimate{Unknown: NoFigure}
	}
	out.ids = w.keep(l.ids)
	return out
}

// join takes the smallest low, the largest high and the larger likely value of
// two; a share unknown for one of them is the other's.
func (r taking) join(o *taking, w *work) taking {
	one := func(a, b Estimate) Estimate {
		if !a.Known() || !b.Known() {
			return Estimate{Unknown: NoFigure}
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
	r.ids, r.shown = w.keep(r.ids), Removal{}
	r.ids.join(o.ids)
	return r
}

func (w *work) enamelRow(t casefile.Tooth) *evidence.EnamelRow {
	for i := range w.b.Enamel {
		if slices.Contains(w.b.Enamel[i].Teeth, t) {
			return &w.b.Enamel[i]
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
func (w *work) bulk(s site, r *Removal, l *ledger) Estimate {
	if s.kind == kindNone || s.kind == kindWhitening || s.kind == kindFirst {
		return exactly(0)
	}
	c := w.ceramic(s, r, l)
	if rule := w.b.Material(s.material); s.kind == kindComposite && rule != nil && c.Known() {
		usual := l.estimate(rule.Thickness)
		return Estimate{Low: c.Low - r.Middle.High, Likely: usual.Likely - r.Middle.Likely, High: usual.High - r.Middle.Low}
	}
	film := l.ruled("cement-film")
	if !c.Known() || film == nil || s.kind == kindCrown {
		return Estimate{Unknown: NoFigure}
	}
	return Estimate{Low: c.Low + film.Low - r.Middle.High, Likely: c.Likely + film.Value - r.Middle.Likely, High: c.High + film.High - r.Middle.Low}
}

// ceramic is the thickness of the restoration at mid-face, mm. Where nothing is
// taken from the tooth it runs from the thinnest the material allows to the
// usual thickness, with the middle as likely: a thicker one shows as bulk. A
// crown fills the depth made for it; the thickness table is for veneers.
func (w *work) ceramic(s site, r *Removal, l *ledger) Estimate {
	if s.kind == kindCrown {
		return r.Middle
	}
	rule := w.b.Material(s.material)
	if rule == nil {
		return Estimate{Unknown: NoFigure}
	}
	c := l.estimate(rule.Thickness)
	if thin := l.find(rule.Thinnest); thin != nil && c.Known() && !r.Planned {
		low := min(thin.Value, c.Low)
		c = Estimate{Low: low, Likely: (low + c.Likely) / 2, High: c.Likely}
	}
	return c
}

func irreversible(c ChairChange) bool {
	return c.Reversible != "yes" && (c.Removes == "enamel" || c.Removes == "either")
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
		p := Permitted{Change: c.Key, Teeth: c.Teeth, Place: c.Place, Answer: c.Answer, Surfaces: 1}
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

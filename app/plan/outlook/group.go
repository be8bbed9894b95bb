package outlook

import (
	"cmp"
	"slices"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
	"plainleaf/app/order"
	"plainleaf/app/plan/basis"
	"plainleaf/app/plan/mouth"
)

// group is the teeth of one mouth that share route, material, anchor condition
// and hazard multipliers.
type group struct {
	part      int // of the treatment
	route     casefile.Route
	material  casefile.Material
	dentin    string
	modifiers []*evidence.Modifier // with a multiplier
	words     []*evidence.Modifier // of unknown size, told in words
	on        mouth.Sites
}

// like reports whether teeth of g and h belong together.
func (g *group) like(h *group) bool {
	return g.route == h.route && g.material == h.material && g.dentin == h.dentin && slices.Equal(g.modifiers, h.modifiers)
}

// groups divides the mouth, in chart order of each group's first tooth: by restoration,
// and then by each public finding that changes the outlook of some teeth and not of others.
func groups(m *mouth.Treatment, es []mouth.Effect) []group {
	var out []group
	for i := range m.Sites {
		s := &m.Sites[i]
		if m.Restored && !mouth.Restores(s.Kind) {
			continue // a tooth left as it is has nothing that could fail
		}
		k := slices.IndexFunc(out, func(g group) bool { return g.part == s.Part && g.material == s.Material })
		if k < 0 {
			k = len(out)
			out = append(out, group{part: s.Part, route: s.Route, material: s.Material})
		}
		out[k].on[i] = true
	}
	for i := range es {
		out = divide(m, out, &es[i])
	}
	for i := range es {
		tell(m, out, &es[i])
	}
	out = merge(out)
	backTeeth(m, out)
	order.By(out, func(a, b group) int { return cmp.Compare(a.on.First(), b.on.First()) })
	return out
}

// divide sets apart the teeth of every group to which a public finding brings a
// multiplier, or on which it leaves mostly dentin.
func divide(m *mouth.Treatment, in []group, e *mouth.Effect) []group {
	out := in
	for i := range in {
		x := m.Parts[in[i].part].Does[e.At].Stays
		mod := modifier(m.Chart.Basis, x.Modifier)
		multiplies := mod != nil && mod.Multiplier != ""
		with, without := in[i].on.And(e.On), in[i].on.Without(e.On)
		if e.Private || !with.Any() || x.Dentin == "" && !multiplies {
			continue
		}
		if without.Any() {
			rest := out[i]
			rest.on, rest.modifiers = without, slices.Clone(rest.modifiers)
			out = append(out, rest)
			out[i].on = with
		}
		if x.Dentin != "" {
			out[i].dentin = x.Dentin
		}
		if multiplies && !slices.Contains(out[i].modifiers, mod) {
			out[i].modifiers = append(out[i].modifiers, mod)
		}
	}
	return out
}

// tell adds to every group what a public finding on some of its teeth says in words only.
func tell(m *mouth.Treatment, gs []group, e *mouth.Effect) {
	for i := range gs {
		mod := modifier(m.Chart.Basis, m.Parts[gs[i].part].Does[e.At].Stays.Modifier)
		if !e.Private && mod != nil && mod.Multiplier == "" && gs[i].on.And(e.On).Any() && !slices.Contains(gs[i].words, mod) {
			gs[i].words = append(gs[i].words, mod)
		}
	}
}

func modifier(s *basis.Basis, id string) *evidence.Modifier {
	mod := s.Evidence.Modifier(id)
	if mod == nil && id != "" {
		s.Fault("PLAN-MODIFIER-MISSING", "modifiers."+id, "a finding names this modifier and the data does not have it")
	}
	return mod
}

// merge joins groups that came out alike, with the words of each.
func merge(in []group) []group {
	var out []group
	for _, g := range in {
		order.By(g.modifiers, func(a, b *evidence.Modifier) int { return cmp.Compare(a.ID, b.ID) })
		k := slices.IndexFunc(out, func(h group) bool { return h.like(&g) })
		if k < 0 {
			out = append(out, g)
			continue
		}
		out[k].on = out[k].on.Or(g.on)
		for _, mod := range g.words {
			if !slices.Contains(out[k].words, mod) {
				out[k].words = append(out[k].words, mod)
			}
		}
	}
	return out
}

// backTeeth adds what the data says of every tooth behind the canines, without a finding.
func backTeeth(m *mouth.Treatment, gs []group) {
	mods := m.Chart.Basis.Evidence.Modifiers
	for i := range gs {
		back := slices.ContainsFunc(m.Chart.Teeth(gs[i].on), func(t casefile.Tooth) bool { return !t.Front() })
		for k := range mods {
			if back && mods[k].Teeth != "" {
				gs[i].words = append(gs[i].words, &mods[k])
			}
		}
	}
}

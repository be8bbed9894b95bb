package outlook

import (
	"cmp"
	"slices"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
	"plainleaf/app/plan/mouth"
)

// group is the teeth of one mouth that share route, material, anchor condition
// and hazard multipliers.
type group struct {
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

// groups divides the mouth, in chart order of each group's first tooth.
func groups(m *mouth.Treatment, es []mouth.Effect) []group {
	var out []group
	for i := range m.Sites {
		s := &m.Sites[i]
		if m.Restored && !mouth.Restores(s.Kind) {
			continue // a tooth left as it is has nothing that could fail
		}
		g := groupOf(m, es, i)
		k := slices.IndexFunc(out, func(h group) bool { return h.like(&g) })
		if k < 0 {
			k = len(out)
			out = append(out, g)
		}
		h := &out[k]
		h.on[i] = true
		for _, mod := range g.words {
			if !slices.Contains(h.words, mod) {
				h.words = append(h.words, mod)
			}
		}
	}
	return out
}

// groupOf is the group of one site: its restoration, and what public findings there
// say about the outlook.
func groupOf(m *mouth.Treatment, es []mouth.Effect, at int) group {
	s := &m.Sites[at]
	b := m.Chart.Basis
	g := group{route: s.Route, material: s.Material}
	for i := range es {
		e := &es[i]
		if e.Private || !e.On[at] {
			continue
		}
		x := m.Parts[s.Part].Does[e.At].Stays
		if x.Dentin != "" {
			g.dentin = x.Dentin
		}
		if x.Modifier == "" {
			continue
		}
		mod := b.Evidence.Modifier(x.Modifier)
		switch {
		case mod == nil:
			b.Fault("PLAN-MODIFIER-MISSING", "modifiers."+x.Modifier, "a finding names this modifier and the data does not have it")
		case mod.Multiplier == "":
			if !slices.Contains(g.words, mod) {
				g.words = append(g.words, mod)
			}
		case !slices.Contains(g.modifiers, mod):
			g.modifiers = append(g.modifiers, mod)
		}
	}
	slices.SortFunc(g.modifiers, func(a, b *evidence.Modifier) int { return cmp.Compare(a.ID, b.ID) })
	if !s.Tooth.Front() {
		for i := range b.Evidence.Modifiers {
			if mod := &b.Evidence.Modifiers[i]; mod.Teeth != "" {
				g.words = append(g.words, mod)
			}
		}
	}
	return g
}

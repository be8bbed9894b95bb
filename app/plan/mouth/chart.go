// Package mouth has the teeth of a case with what is planned for each, and what the
// findings of the case do there. A plan looks at the chosen treatment and at the same
// teeth on every other route.
package mouth

import (
	"slices"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
	"plainleaf/app/order"
	"plainleaf/app/plan/basis"
)

// Sites is a set of sites of a mouth, each by its index in chart order; nobody has
// more than 32 teeth.
type Sites [32]bool

// Any reports whether s has a site.
func (s Sites) Any() bool { return s != Sites{} }

// First is the first site of s, -1 when it has none.
func (s Sites) First() int { return slices.Index(s[:], true) }

// Count is the number of sites.
func (s Sites) Count() (n int) {
	for _, on := range s {
		if on {
			n++
		}
	}
	return n
}

// And is the sites that both have.
func (s Sites) And(o Sites) Sites {
	for i := range s {
		s[i] = s[i] && o[i]
	}
	return s
}

// Or is the sites that either has.
func (s Sites) Or(o Sites) Sites {
	for i := range s {
		s[i] = s[i] || o[i]
	}
	return s
}

// Without is the sites of s that o does not have.
func (s Sites) Without(o Sites) Sites {
	for i := range s {
		s[i] = s[i] && !o[i]
	}
	return s
}

// One is a single site.
func One(i int) (s Sites) {
	s[i] = true
	return s
}

// Chart is the teeth of a case in chart order with its findings.
type Chart struct {
	Basis *basis.Basis
	// Entries are the teeth; one of tooth 0 where the case names none.
	Entries  []casefile.ToothEntry
	Findings []Finding
}

// Finding is one finding of the case with where it is true.
type Finding struct {
	Key   string
	Rule  *evidence.Finding
	Whole bool             // of the mouth or person
	On    Sites            // every site where the whole mouth has it
	Teeth []casefile.Tooth // empty: the whole mouth or person
}

// NewChart puts the teeth of a case in chart order and lists its findings.
func NewChart(s *basis.Basis) *Chart {
	c := &Chart{Basis: s, Entries: slices.Clone(s.Case.Teeth)}
	if len(c.Entries) == 0 { // whitening or no treatment of the whole mouth
		c.Entries = []casefile.ToothEntry{{}}
	}
	all := casefile.AllTeeth()
	place := func(e casefile.ToothEntry) int { return slices.Index(all, e.Tooth) }
	order.By(c.Entries, func(a, b casefile.ToothEntry) int { return place(a) - place(b) })
	c.Findings = c.findings()
	return c
}

// findings lists every finding of the case, each once: those of the whole mouth in
// the order of the case, those that the patient's age alone brings, then those of
// single teeth in chart order.
func (c *Chart) findings() []Finding {
	var out []Finding
	missing := map[string]bool{}
	add := func(key string) *Finding {
		if i := slices.IndexFunc(out, func(f Finding) bool { return f.Key == key }); i >= 0 {
			return &out[i]
		}
		rule := c.Basis.Evidence.Finding(key)
		if rule == nil {
			missing[key] = true
			c.Basis.Fault("PLAN-FINDING-MISSING", "findings."+key, "the data has no rule for this finding")
		}
		out = append(out, Finding{Key: key, Rule: atAge(rule, c.Basis.AgeBand())})
		return &out[len(out)-1]
	}
	whole := func(key string) {
		f := add(key)
		f.Whole, f.On = true, c.All()
	}
	for _, k := range c.Basis.Case.Findings {
		whole(k)
	}
	for i := range c.Basis.Evidence.Findings {
		if f := &c.Basis.Evidence.Findings[i]; f.ByAge && slices.Contains(f.AgeBands, c.Basis.AgeBand()) {
			whole(f.Key)
		}
	}
	for i, e := range c.Entries {
		for _, k := range e.Findings {
			if f := add(k); !f.Whole {
				f.On[i] = true
				f.Teeth = append(f.Teeth, e.Tooth)
			}
		}
	}
	return slices.DeleteFunc(out, func(f Finding) bool { return missing[f.Key] })
}

// atAge is a finding's rule with the effects that it has at an age.
func atAge(rule *evidence.Finding, band string) *evidence.Finding {
	other := func(e evidence.Effect) bool { return len(e.AgeBands) > 0 && !slices.Contains(e.AgeBands, band) }
	if rule == nil || !slices.ContainsFunc(rule.Effects, other) {
		return rule
	}
	out := *rule
	out.Effects = slices.DeleteFunc(slices.Clone(rule.Effects), other)
	return &out
}

// All is every site.
func (c *Chart) All() (s Sites) {
	for i := range c.Entries {
		s[i] = true
	}
	return s
}

// Teeth lists the teeth at some sites in chart order, never nil; the one that names
// no tooth is left out.
func (c *Chart) Teeth(on Sites) []casefile.Tooth {
	out := make([]casefile.Tooth, 0, on.Count())
	for i := range c.Entries {
		if t := c.Entries[i].Tooth; on[i] && t != 0 {
			out = append(out, t)
		}
	}
	return out
}

// Finding is one that the case has; nil when it does not.
func (c *Chart) Finding(key string) *Finding {
	for i := range c.Findings {
		if c.Findings[i].Key == key {
			return &c.Findings[i]
		}
	}
	return nil
}

// Has reports whether one of the findings is true somewhere in the mouth.
func (c *Chart) Has(findings []string) bool {
	return slices.ContainsFunc(findings, func(k string) bool { return c.Finding(k) != nil })
}

package state

import (
	"fmt"
	"slices"

	"plainleaf/app/casefile"
	"plainleaf/app/order"
)

// Mouth is the chosen teeth and what was found, on them and in the whole mouth.
type Mouth struct{ d *Draft }

// Teeth lists the chosen teeth in chart order.
func (m Mouth) Teeth() []casefile.Tooth {
	var out []casefile.Tooth
	for _, e := range m.d.c.Teeth {
		out = append(out, e.Tooth)
	}
	return casefile.SortTeeth(out)
}

// Chosen reports whether a tooth is part of the case.
func (m Mouth) Chosen(t casefile.Tooth) bool { return m.entry(t) >= 0 }

// entry is a tooth's place in the case, or -1. A screen asks hundreds of times, so
// no entry is copied on the way.
func (m Mouth) entry(t casefile.Tooth) int {
	for i := range m.d.c.Teeth {
		if m.d.c.Teeth[i].Tooth == t {
			return i
		}
	}
	return -1
}

// Entry is what was entered for one tooth.
func (m Mouth) Entry(t casefile.Tooth) casefile.ToothEntry {
	if i := m.entry(t); i >= 0 {
		return m.d.c.Teeth[i]
	}
	return casefile.ToothEntry{Tooth: t}
}

// Toggle takes a tooth into the case or out of it. A tooth taken out by
// mistake comes back with its findings; answers about it do not come back,
// since they are the patient's.
func (m Mouth) Toggle(t casefile.Tooth) {
	defer m.d.edit()()
	if m.Chosen(t) {
		m.drop(t)
	} else {
		m.put(t)
	}
}

func (m Mouth) put(t casefile.Tooth) {
	if !t.Valid() || m.Chosen(t) {
		return
	}
	e, ok := m.d.dropped[t]
	if !ok {
		e = casefile.ToothEntry{Tooth: t}
	}
	delete(m.d.dropped, t)
	m.d.c.Teeth = append(m.d.c.Teeth, e)
	order.By(m.d.c.Teeth, func(a, b casefile.ToothEntry) int { return rank(a.Tooth) - rank(b.Tooth) })
}

func (m Mouth) drop(t casefile.Tooth) {
	i := m.entry(t)
	m.d.dropped[t] = m.d.c.Teeth[i]
	m.d.c.Teeth = slices.Delete(slices.Clone(m.d.c.Teeth), i, i+1)
	var kept []casefile.AnswerEntry
	for _, a := range m.d.c.Answers {
		whole := len(a.Teeth)+len(a.Places) == 0
		a.Teeth = without(a.Teeth, t)
		a.Places = slices.DeleteFunc(slices.Clone(a.Places), func(p casefile.Place) bool { return p.Has(t) })
		if whole || len(a.Teeth)+len(a.Places) > 0 {
			kept = append(kept, a)
		}
	}
	m.d.c.Answers = kept
}

// Add takes teeth into the case; those in it already stay as they are.
func (m Mouth) Add(ts []casefile.Tooth) {
	defer m.d.edit()()
	for _, t := range ts {
		m.put(t)
	}
}

// ToggleRange takes all of these teeth into the case, or, when all are in it
// already, out of it.
func (m Mouth) ToggleRange(ts []casefile.Tooth) {
	defer m.d.edit()()
	all := m.AllChosen(ts)
	for _, t := range ts {
		switch {
		case all:
			m.drop(t)
		default:
			m.put(t)
		}
	}
}

// AllChosen reports whether all of these teeth are part of the case.
func (m Mouth) AllChosen(ts []casefile.Tooth) bool {
	return !slices.ContainsFunc(ts, func(t casefile.Tooth) bool { return !m.Chosen(t) })
}

func (m Mouth) change(t casefile.Tooth, f func(*casefile.ToothEntry)) {
	if i := m.entry(t); i >= 0 {
		defer m.d.edit()()
		f(&m.d.c.Teeth[i])
	}
}

// SetRoute gives one tooth a route of its own; "" is the case's.
func (m Mouth) SetRoute(t casefile.Tooth, r casefile.Route) {
	m.change(t, func(e *casefile.ToothEntry) {
		e.Route = r
		if r == "" || !slices.Contains(m.d.Way().MaterialsOf(r), e.Material) {
			e.Material = ""
		}
	})
}

// SetMaterial gives one tooth a material of its own; "" is the case's.
func (m Mouth) SetMaterial(t casefile.Tooth, x casefile.Material) {
	m.change(t, func(e *casefile.ToothEntry) { e.Material = x })
}

// SetUnderlying sets a tooth's own shade.
func (m Mouth) SetUnderlying(t casefile.Tooth, s casefile.Shade) {
	m.change(t, func(e *casefile.ToothEntry) { e.UnderlyingShade = s })
}

// SetTarget sets the shade wanted for one tooth; "" is the case's.
func (m Mouth) SetTarget(t casefile.Tooth, s casefile.Shade) {
	m.change(t, func(e *casefile.ToothEntry) { e.TargetShade = s })
}

// SetShadeNote sets the laboratory's own name for the shade of one tooth.
func (m Mouth) SetShadeNote(t casefile.Tooth, s string) {
	if i := m.entry(t); i >= 0 {
		defer m.d.typing(fmt.Sprintf("teeth.%s.shade_note", t), s)()
		m.d.c.Teeth[i].ShadeNote = s
	}
}

// ToggleFinding sets or removes a finding of the whole mouth or person.
func (m Mouth) ToggleFinding(key string) {
	defer m.d.edit()()
	m.d.c.Findings = toggle(m.d.c.Findings, key)
}

// HasFinding reports whether the mouth or person has the finding.
func (m Mouth) HasFinding(key string) bool { return slices.Contains(m.d.c.Findings, key) }

// ToggleToothFinding sets or removes a finding of one tooth.
func (m Mouth) ToggleToothFinding(t casefile.Tooth, key string) {
	m.change(t, func(e *casefile.ToothEntry) { e.Findings = toggle(e.Findings, key) })
}

// TeethWith lists the chosen teeth with a finding of their own.
func (m Mouth) TeethWith(key string) []casefile.Tooth {
	var out []casefile.Tooth
	for _, e := range m.d.c.Teeth {
		if slices.Contains(e.Findings, key) {
			out = append(out, e.Tooth)
		}
	}
	return casefile.SortTeeth(out)
}

// Gone lists the teeth that something is noted about and that are no longer chosen.
func (m Mouth) Gone() []casefile.Tooth {
	var out []casefile.Tooth
	for _, e := range m.d.c.History() {
		out = append(out, e.Teeth...)
	}
	return casefile.SortTeeth(slices.DeleteFunc(out, m.Chosen))
}

// inOrder lists the teeth in the order of the chart, made once: a step on several
// teeth asks for their places some hundred times.
var inOrder = casefile.AllTeeth()

// rank is a tooth's place in the chart.
func rank(t casefile.Tooth) int { return slices.Index(inOrder, t) }

func without(list []casefile.Tooth, t casefile.Tooth) []casefile.Tooth {
	return slices.DeleteFunc(slices.Clone(list), func(x casefile.Tooth) bool { return x == t })
}

// UpperFront lists the n upper teeth around the midline, n even: 6 to the
// canines, 8 to the first premolars, 10 to the second.
func UpperFront(n int) []casefile.Tooth {
	var out []casefile.Tooth
	for p := 1; p <= n/2; p++ {
		out = append(out, casefile.Tooth(10+p), casefile.Tooth(20+p))
	}
	return casefile.SortTeeth(out)
}

// Quadrant lists the eight teeth of quadrant q, 1 to 4.
func Quadrant(q int) []casefile.Tooth {
	var out []casefile.Tooth
	for p := 1; p <= 8; p++ {
		out = append(out, casefile.Tooth(10*q+p))
	}
	return casefile.SortTeeth(out)
}

// Arch lists the sixteen teeth of one jaw.
func Arch(upper bool) []casefile.Tooth {
	return slices.DeleteFunc(casefile.AllTeeth(), func(t casefile.Tooth) bool { return t.Upper() != upper })
}

// Between lists the teeth from one tooth to another of the same jaw, both
// included, in either order; none when they are in different jaws.
func Between(a, b casefile.Tooth) []casefile.Tooth {
	i, j := rank(a), rank(b)
	if i < 0 || j < 0 || a.Upper() != b.Upper() {
		return nil
	}
	return slices.Clone(inOrder[min(i, j) : max(i, j)+1])
}

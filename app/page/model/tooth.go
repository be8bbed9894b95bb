package model

import (
	"slices"

	"plainleaf/app/casefile"
	"plainleaf/app/plan"
)

// Teeth lists the chosen teeth in chart order.
func (m *Model) Teeth() []casefile.Tooth {
	var out []casefile.Tooth
	for _, e := range m.Case.Teeth {
		out = append(out, e.Tooth)
	}
	return casefile.SortTeeth(out)
}

// Chosen reports whether a tooth is part of the case.
func (m *Model) Chosen(t casefile.Tooth) bool { return m.entry(t) >= 0 }

// entry is a tooth's place in the case, or -1. A screen asks hundreds of times, so
// no entry is copied on the way.
func (m *Model) entry(t casefile.Tooth) int {
	for i := range m.Case.Teeth {
		if m.Case.Teeth[i].Tooth == t {
			return i
		}
	}
	return -1
}

// Entry is what was entered for one tooth.
func (m *Model) Entry(t casefile.Tooth) casefile.ToothEntry {
	if i := m.entry(t); i >= 0 {
		return m.Case.Teeth[i]
	}
	return casefile.ToothEntry{Tooth: t}
}

// ToggleTooth takes a tooth into the case or out of it. A tooth taken out by
// mistake comes back with its findings; answers about it do not come back,
// since they are the patient's.
func (m *Model) ToggleTooth(t casefile.Tooth) {
	if m.Chosen(t) {
		m.drop(t)
	} else {
		m.add(t)
	}
	m.changed()
}

func (m *Model) add(t casefile.Tooth) {
	if !t.Valid() || m.Chosen(t) {
		return
	}
	e, ok := m.dropped[t]
	if !ok {
		e = casefile.ToothEntry{Tooth: t}
	}
	delete(m.dropped, t)
	m.Case.Teeth = append(m.Case.Teeth, e)
	slices.SortStableFunc(m.Case.Teeth, func(a, b casefile.ToothEntry) int { return order(a.Tooth) - order(b.Tooth) })
}

func (m *Model) drop(t casefile.Tooth) {
	i := m.entry(t)
	m.dropped[t] = m.Case.Teeth[i]
	m.Case.Teeth = slices.Delete(slices.Clone(m.Case.Teeth), i, i+1)
	var kept []casefile.AnswerEntry
	for _, a := range m.Case.Answers {
		whole := len(a.Teeth)+len(a.Places) == 0
		a.Teeth = without(a.Teeth, t)
		a.Places = slices.DeleteFunc(slices.Clone(a.Places), func(p casefile.Place) bool { return p.Has(t) })
		if whole || len(a.Teeth)+len(a.Places) > 0 {
			kept = append(kept, a)
		}
	}
	m.Case.Answers = kept
}

// inOrder are the teeth as they stand in the chart, made once: a step on several
// teeth asks for their places some hundred times.
var inOrder = casefile.AllTeeth()

// order is a tooth's place in the chart.
func order(t casefile.Tooth) int { return slices.Index(inOrder, t) }

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
// included, in either order; none when they stand in different jaws.
func Between(a, b casefile.Tooth) []casefile.Tooth {
	i, j := order(a), order(b)
	if i < 0 || j < 0 || a.Upper() != b.Upper() {
		return nil
	}
	return slices.Clone(inOrder[min(i, j) : max(i, j)+1])
}

// AddTeeth takes teeth into the case; those in it already stay as they are.
func (m *Model) AddTeeth(ts []casefile.Tooth) {
	for _, t := range ts {
		m.add(t)
	}
	m.changed()
}

// ToggleRange takes all of these teeth into the case, or, when all are in it
// already, out of it.
func (m *Model) ToggleRange(ts []casefile.Tooth) {
	all := m.AllChosen(ts)
	for _, t := range ts {
		switch {
		case all:
			m.drop(t)
		default:
			m.add(t)
		}
	}
	m.changed()
}

// AllChosen reports whether all of these teeth are part of the case.
func (m *Model) AllChosen(ts []casefile.Tooth) bool {
	return !slices.ContainsFunc(ts, func(t casefile.Tooth) bool { return !m.Chosen(t) })
}

func (m *Model) edit(t casefile.Tooth, f func(*casefile.ToothEntry)) {
	if i := m.entry(t); i >= 0 {
		f(&m.Case.Teeth[i])
		m.changed()
	}
}

// SetToothRoute gives one tooth a route of its own; "" is the case's.
func (m *Model) SetToothRoute(t casefile.Tooth, r casefile.Route) {
	m.edit(t, func(e *casefile.ToothEntry) {
		e.Route = r
		if r == "" || !slices.Contains(m.MaterialsOf(r), e.Material) {
			e.Material = ""
		}
	})
}

// SetToothMaterial gives one tooth a material of its own; "" is the case's.
func (m *Model) SetToothMaterial(t casefile.Tooth, x casefile.Material) {
	m.edit(t, func(e *casefile.ToothEntry) { e.Material = x })
}

// SetUnderlying sets a tooth's own shade.
func (m *Model) SetUnderlying(t casefile.Tooth, s casefile.Shade) {
	m.edit(t, func(e *casefile.ToothEntry) { e.UnderlyingShade = s })
}

// SetToothTarget sets the shade wanted for one tooth; "" is the case's.
func (m *Model) SetToothTarget(t casefile.Tooth, s casefile.Shade) {
	m.edit(t, func(e *casefile.ToothEntry) { e.TargetShade = s })
}

// SetToothShadeNote sets the laboratory's own name for the shade of one tooth.
func (m *Model) SetToothShadeNote(t casefile.Tooth, s string) {
	m.edit(t, func(e *casefile.ToothEntry) { e.ShadeNote = s })
}

// ToggleFinding sets or removes a finding of the whole mouth or person.
func (m *Model) ToggleFinding(key string) {
	m.Case.Findings = toggle(m.Case.Findings, key)
	m.changed()
}

// HasFinding reports whether the mouth or person has the finding.
func (m *Model) HasFinding(key string) bool { return slices.Contains(m.Case.Findings, key) }

// ToggleToothFinding sets or removes a finding of one tooth.
func (m *Model) ToggleToothFinding(t casefile.Tooth, key string) {
	m.edit(t, func(e *casefile.ToothEntry) { e.Findings = toggle(e.Findings, key) })
}

// TeethWith lists the chosen teeth with a finding of their own.
func (m *Model) TeethWith(key string) []casefile.Tooth {
	var out []casefile.Tooth
	for _, e := range m.Case.Teeth {
		if slices.Contains(e.Findings, key) {
			out = append(out, e.Tooth)
		}
	}
	return casefile.SortTeeth(out)
}

// Answer is what was answered beforehand to a chair change at one place.
func (m *Model) Answer(change string, at casefile.Place) casefile.Answer {
	return m.Case.AnswerAt(change, at)
}

// Counts is the case with its answers as they count.
func (m *Model) Counts() casefile.Case { return plan.Settled(m.Case, m.Practice, m.Base) }

// SetAnswer writes down the patient's answer to a chair change at some places, teeth
// or contacts. Blank takes it back.
func (m *Model) SetAnswer(change string, places []casefile.Place, answer casefile.Answer) {
	teeth, pairs := at(places)
	var kept []casefile.AnswerEntry
	for _, a := range m.Case.Answers {
		if a.Change != change {
			kept = append(kept, a)
			continue
		}
		if len(a.Teeth)+len(a.Places) == 0 {
			a.Teeth = m.Teeth()
		}
		a.Teeth = slices.DeleteFunc(slices.Clone(a.Teeth), func(t casefile.Tooth) bool { return slices.Contains(teeth, t) })
		a.Places = slices.DeleteFunc(slices.Clone(a.Places), func(p casefile.Place) bool { return slices.Contains(pairs, p) })
		if len(a.Teeth)+len(a.Places) > 0 {
			kept = append(kept, a)
		}
	}
	m.Case.Answers = kept
	defer m.changed()
	if answer == casefile.Blank || len(places) == 0 {
		return
	}
	for i, a := range m.Case.Answers {
		if a.Change == change && a.Answer == answer && (len(a.Teeth) > 0) == (len(teeth) > 0) {
			m.Case.Answers[i].Teeth = casefile.SortTeeth(append(slices.Clone(a.Teeth), teeth...))
			m.Case.Answers[i].Places = casefile.SortPlaces(append(slices.Clone(a.Places), pairs...))
			return
		}
	}
	m.Case.Answers = append(m.Case.Answers, casefile.AnswerEntry{Change: change, Teeth: teeth, Places: pairs, Answer: answer})
}

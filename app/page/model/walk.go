package model

import (
	"cmp"
	"reflect"
	"slices"
	"strings"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
	"plainleaf/app/plan"
	"plainleaf/app/sheet"
)

// SetWish keeps what the patient hopes for, in the patient's own words.
func (m *Model) SetWish(s string) { m.Case.Wish = s; m.changed() }

// WantsNumbers reports whether the patient asked for numbers.
func (m *Model) WantsNumbers() bool { return m.Case.Detail == "numbers" }

func (m *Model) setting(rule string) float64 {
	f, ok := m.Base.Setting(rule)
	if !ok {
		return 0
	}
	return f.Value
}

// Horizon reports whether the chances of all teeth together are told at so many years.
func (m *Model) Horizon(years int) bool { return years == int(m.setting("horizon-2")) }

// Band is one stretch of a drawing to scale, mm. The usual enamel comes from a
// table that may raise a question and never stands as a number.
type Band struct {
	Low, High   float64 // planned removal
	Thin, Thick float64 // usual enamel at the same place; zero when no tooth has a row
	Below       bool    // the removal may go deeper than the thinnest usual enamel
}

// EnamelBand sets a route's planned removal on the front of the case's teeth
// against the usual enamel there, at the place where the two are closest.
func (m *Model) EnamelBand(x plan.Removal) (Band, bool) {
	var best Band
	found := false
	for _, p := range []struct {
		planned plan.Estimate
		figure  func(evidence.EnamelRow) string
	}{
		{x.Middle, func(e evidence.EnamelRow) string { return e.Middle }},
		{x.Cervical, func(e evidence.EnamelRow) string { return e.Cervical }},
		{x.Incisal, func(e evidence.EnamelRow) string { return e.Incisal }},
	} {
		if !p.planned.Known() {
			continue
		}
		b := Band{Low: p.planned.Low, High: p.planned.High}
		for _, row := range m.Base.Enamel {
			if !slices.ContainsFunc(row.Teeth, m.Chosen) {
				continue
			}
			f, ok := m.Base.Figure(p.figure(row))
			if !ok {
				continue
			}
			if b.Thick == 0 || f.Low < b.Thin {
				b.Thin = f.Low
			}
			b.Thick = max(b.Thick, f.High)
		}
		if b.Thick == 0 {
			continue
		}
		b.Below = b.High > b.Thin
		if !found || b.Thin-b.High < best.Thin-best.High {
			best, found = b, true
		}
	}
	return best, found
}

// UpkeepOf lists the checks that come with a route whatever the mouth, and those
// that a public finding of this case adds, by key.
func (m *Model) UpkeepOf(route casefile.Route) []string {
	var out []string
	for _, u := range m.Base.Upkeep {
		if u.Appliance != "" || !slices.Contains(u.Routes, route) {
			continue
		}
		if len(u.AgeBands) > 0 && !slices.Contains(u.AgeBands, cmp.Or(m.People().AgeBand, "adult")) {
			continue
		}
		if len(u.Findings) > 0 && !slices.ContainsFunc(u.Findings, func(k string) bool {
			return !m.Words.Findings[k].Private && (m.HasFinding(k) || len(m.TeethWith(k)) > 0)
		}) {
			continue
		}
		out = append(out, u.Key)
	}
	return out
}

// PrivateWaits lists the private findings of the case that ask for a wait, for
// the dentist's side alone.
func (m *Model) PrivateWaits() []string {
	p := m.Plan()
	if p == nil {
		return nil
	}
	var out []string
	for _, f := range p.Findings {
		if f.Private && f.Level.Rank() >= evidence.LevelFirst.Rank() && !slices.Contains(out, f.Key) {
			out = append(out, f.Key)
		}
	}
	return out
}

// Topic is how a point stands that was to be said back. Said and Again may both
// be true: explained again, and then said back. Neither is not asked yet.
type Topic struct {
	Said  bool
	Again bool
	Note  string // what was explained again
}

// Topic gives how a point stands.
func (m *Model) Topic(topic string) Topic {
	for _, t := range m.Case.TeachBacks() {
		if t.Topic == topic {
			return Topic{Said: t.Done, Again: !t.Done || t.Note != "" || m.again[topic], Note: t.Note}
		}
	}
	return Topic{}
}

// SetTopic notes how a point stands; a point not asked is not kept.
func (m *Model) SetTopic(topic string, t Topic) {
	defer m.changed()
	if !t.Again {
		t.Note = ""
	}
	m.again[topic] = t.Again
	m.takeBack(func(e casefile.Event) bool { return e.Topic == topic }, nil)
	if t.Again && (!t.Said || t.Note != "") {
		m.note(casefile.Event{Kind: casefile.ExplainedAgain, Topic: topic, Note: t.Note})
	}
	if t.Said {
		m.note(casefile.Event{Kind: casefile.SaidBack, Topic: topic})
	}
}

// Rename puts points into another language, old text to new.
func (m *Model) Rename(topics map[string]string) {
	if m.Signed() {
		return // what was signed stays in its words
	}
	m.Case.Events = slices.Clone(m.Case.Events)
	for i, e := range m.Case.Events {
		if s := topics[e.Topic]; e.Topic != "" && s != "" && s != e.Topic {
			m.again[s] = m.again[e.Topic]
			m.Case.Events[i].Topic = s
		}
	}
	m.changed()
}

func emptied[T any](list []T) []T {
	if len(list) == 0 {
		return nil
	}
	return list
}

// AddQuestion keeps a question; a blank one is none.
func (m *Model) AddQuestion(asked, answer string) bool {
	if strings.TrimSpace(asked) == "" {
		return false
	}
	m.Case.Questions = append(slices.Clone(m.Case.Questions), casefile.Question{Asked: strings.TrimSpace(asked), Answer: answer})
	m.changed()
	return true
}

// SetAnswerTo keeps what was answered to question i.
func (m *Model) SetAnswerTo(i int, answer string) {
	if i < len(m.Case.Questions) {
		list := slices.Clone(m.Case.Questions)
		list[i].Answer = answer
		m.Case.Questions = list
		m.changed()
	}
}

// RemoveQuestion takes question i out and gives its text.
func (m *Model) RemoveQuestion(i int) string {
	if i < 0 || i >= len(m.Case.Questions) {
		return ""
	}
	asked := m.Case.Questions[i].Asked
	m.Case.Questions = emptied(slices.Delete(slices.Clone(m.Case.Questions), i, i+1))
	m.changed()
	return asked
}

// Stage is how far the treatment has come.
func (m *Model) Stage() casefile.Stage {
	if m.Case.Stage == "" {
		return casefile.Deciding
	}
	return m.Case.Stage
}

// SetStage sets how far the treatment has come.
func (m *Model) SetStage(s casefile.Stage) { m.stage(s); m.changed() }

// stage sets it, and the sheet that comes first with it.
func (m *Model) stage(s casefile.Stage) {
	before := m.Stage()
	m.Case.Stage = s
	if m.Print.Kind == firstSheet(before) {
		m.Print.Kind = firstSheet(m.Stage())
	}
}

// firstSheet is the sheet that a stage asks for.
func firstSheet(s casefile.Stage) sheet.Kind {
	switch s {
	case casefile.AtTryIn:
		return sheet.TryIn
	case casefile.Delivered:
		return sheet.Aftercare
	}
	return sheet.Options
}

// Treating reports whether treatment has come as far as the try-in, when deciding
// is no longer what the sheets are for.
func (m *Model) Treating() bool { return firstSheet(m.Stage()) != sheet.Options }

// Kinds lists every kind of sheet, those first that the stage asks for.
func (m *Model) Kinds() []sheet.Kind {
	if !m.Treating() {
		return sheet.Kinds()
	}
	out := []sheet.Kind{firstSheet(m.Stage())}
	for _, k := range append([]sheet.Kind{sheet.TryIn, sheet.Change, sheet.Aftercare}, sheet.Kinds()...) {
		if !slices.Contains(out, k) {
			out = append(out, k)
		}
	}
	return out
}

// begun moves a case to the try-in when something is noted that only happens then.
func (m *Model) begun() {
	if s := m.Stage(); s == casefile.Deciding || s == casefile.Agreed {
		m.stage(casefile.AtTryIn)
	}
	m.changed()
}

// Sitting is one delivery sitting.
type Sitting struct {
	Number int
	Teeth  []casefile.Tooth
	Date   casefile.Date // likely; zero when not planned
}

// Sittings lists the delivery sittings of the plan, one with all the teeth when
// the plan has none, and any other that something is noted for. What is noted of
// a sitting stays with the teeth that were looked at, however the plan divides
// them since; the others come to the next sitting that nothing is noted of.
func (m *Model) Sittings() []Sitting {
	var out []Sitting
	if p := m.Plan(); p != nil {
		for i, v := range p.Deliveries() {
			out = append(out, Sitting{i + 1, casefile.SortTeeth(v.Teeth), v.Likely})
		}
	}
	if len(out) == 0 {
		out = append(out, Sitting{Number: 1, Teeth: m.Teeth()})
	}
	var seen []casefile.Tooth
	left := m.Case.LookAgain(m.today)
	for _, t := range m.Case.TryIns() {
		seen = append(seen, t.Teeth...)
		if !slices.ContainsFunc(out, func(s Sitting) bool { return s.Number == t.Sitting }) {
			out = append(out, Sitting{Number: t.Sitting, Teeth: t.Teeth})
		}
	}
	if len(seen) == 0 {
		return out
	}
	next, last := 0, 0 // first sitting that the others can come to
	for i := range out {
		last = max(last, out[i].Number)
		rest := slices.DeleteFunc(slices.Clone(out[i].Teeth), func(t casefile.Tooth) bool { return slices.Contains(seen, t) })
		if t := m.TryIn(out[i].Number); len(t.Teeth) > 0 {
			out[i].Teeth = casefile.SortTeeth(t.Teeth)
			left = append(left, rest...)
			continue
		}
		out[i].Teeth = rest
	}
	if len(left) > 0 {
		for next < len(out) && len(m.TryIn(out[next].Number).Teeth) > 0 {
			next++
		}
		if next == len(out) {
			out = append(out, Sitting{Number: last + 1})
		}
		out[next].Teeth = casefile.SortTeeth(append(out[next].Teeth, left...))
	}
	return slices.DeleteFunc(out, func(s Sitting) bool {
		return len(s.Teeth) == 0 && !slices.ContainsFunc(m.Case.TryIns(), func(t casefile.TryIn) bool { return t.Sitting == s.Number })
	})
}

// ParseMM reads a size in mm with up to two decimals, as money is read; a blank
// is 0, not said.
func ParseMM(text string) (float64, bool) {
	n, ok := ParseSum(text, 2)
	return float64(n) / 100, ok && n <= 2000
}

// Beyond gives the limit that a step of this size goes beyond; false when it does not.
func (m *Model) Beyond(change string, mm float64) (limit float64, over bool) {
	p := m.Plan()
	if p == nil || mm <= 0 {
		return 0, false
	}
	limit, ok := p.Limit(change)
	return limit, ok && mm > limit
}

// Against sorts the places of a step by the answer that holds there. Blank counts
// as ask.
func (m *Model) Against(change string, at []casefile.Place) (agreed, ask, no []casefile.Place) {
	c := m.Counts()
	for _, p := range at {
		switch c.Standing(change, p).Answer {
		case casefile.Agree:
			agreed = append(agreed, p)
		case casefile.No:
			no = append(no, p)
		default:
			ask = append(ask, p)
		}
	}
	return agreed, ask, no
}

// Mark remembers the case and its plan, to tell later what an edit changed.
type Mark struct {
	edits    int
	plan     *plan.Plan
	material casefile.Material
	stage    casefile.Stage
	route    casefile.Route
}

// Route is the way that was chosen when b was taken.
func (b Mark) Route() casefile.Route { return b.route }

// Edits is the count of changes when b was taken.
func (b Mark) Edits() int { return b.edits }

// Mark remembers the case as it is.
func (m *Model) Mark() Mark {
	if !m.fresh {
		return Mark{edits: m.edits, route: m.Case.Route}
	}
	return Mark{m.edits, m.plan, m.Case.Material, m.Stage(), m.Case.Route}
}

// Since tells what an edit changed elsewhere.
type Since struct {
	Parts    []string          // of the plan: routes, visits, chair, waits, numbers, money
	Material casefile.Material // taken out because the way cannot use it
	Stage    casefile.Stage    // moved on by what was noted
	Rest     bool              // answers now rest that counted before
}

// Since compares with the case as it was; empty when there is nothing to tell.
func (m *Model) Since(b Mark) Since {
	var s Since
	p := m.Plan()
	if b.plan == nil || p == nil || p == b.plan {
		return s
	}
	if b.material != "" && m.Case.Material != b.material && m.unfit == b.material {
		s.Material = b.material
	}
	if now := m.Stage(); now != b.stage {
		s.Stage = now
	}
	s.Rest = resting(p) > resting(b.plan)
	for _, x := range []struct {
		key      string
		old, new any
	}{
		{"visits", dated(b.plan), dated(p)},
		{"chair", steps(b.plan), steps(p)},
		{"waits", waits(b.plan), waits(p)},
		{"numbers", b.plan.Expectations, p.Expectations},
		{"money", b.plan.Money.Total, p.Money.Total},
	} {
		if !reflect.DeepEqual(x.old, x.new) {
			s.Parts = append(s.Parts, x.key)
		}
	}
	return s
}

func dated(p *plan.Plan) []plan.Span {
	var out []plan.Span
	for _, v := range p.Visits {
		out = append(out, v.Span)
	}
	return out
}

// steps lists the chair changes with their teeth, whatever was answered.
func steps(p *plan.Plan) map[string]int {
	out := map[string]int{}
	for _, c := range p.ChairChanges {
		if !c.Rests {
			out[c.Key] += len(c.Places)
		}
	}
	return out
}

// Resting lists the answers to steps that cannot come up as the case stands.
func Resting(p *plan.Plan) []plan.Resting {
	var out []plan.Resting
	for _, c := range p.ChairChanges {
		if c.Rests && c.Answer != casefile.Blank {
			out = append(out, plan.Resting{Key: c.Key, Teeth: c.Teeth, Answer: c.Answer})
		}
	}
	return append(out, p.Resting...)
}

func resting(p *plan.Plan) int {
	n := 0
	for _, x := range Resting(p) {
		n += max(1, len(x.Teeth))
	}
	return n
}

func waits(p *plan.Plan) []string {
	var out []string
	for _, w := range p.WaitFor {
		out = append(out, w.Key)
	}
	return out
}

// ID makes a message id fit for an element id.
func ID(key string) string { return strings.ReplaceAll(key, ".", "-") }

// Gone lists the teeth that something is noted about and that are no longer chosen.
func (m *Model) Gone() []casefile.Tooth {
	var out []casefile.Tooth
	for _, e := range m.Case.History() {
		out = append(out, e.Teeth...)
	}
	return casefile.SortTeeth(slices.DeleteFunc(out, m.Chosen))
}

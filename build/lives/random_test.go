package lives

import (
	"fmt"
	"math/rand/v2"
	"slices"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
)

// maker makes random cases. One seed gives one case.
type maker struct {
	*rand.Rand
	w *world
	c casefile.Case
	// day is that of the latest entry of the history.
	day casefile.Date
}

func one[T any](r *rand.Rand, list ...T) T { return list[r.IntN(len(list))] }

// some is a part of a list, each with a chance of one in n.
func some[T any](r *rand.Rand, list []T, n int) (out []T) {
	for _, x := range list {
		if r.IntN(n) == 0 {
			out = append(out, x)
		}
	}
	return out
}

// randomCase makes a case with a history, in combinations nobody would think of.
// Nine in ten pass their check; the others are for the check to refuse.
func randomCase(w *world, seed uint64) casefile.Case {
	m := &maker{Rand: rand.New(rand.NewPCG(seed, 7)), w: w}
	m.plain()
	m.people()
	m.answers()
	if m.c.Stage != casefile.Deciding && m.IntN(5) > 0 {
		m.agree()
	}
	m.history()
	return m.c
}

// plain is teeth, routes, materials and findings.
func (m *maker) plain() {
	start := casefile.Date{Year: 2026, Month: 12, Day: 1}
	c := &m.c
	*c = casefile.Case{Version: casefile.CaseVersion, Issued: start.AddDays(m.IntN(60) - 10), Start: start, Locale: "en", Numbering: one(m.Rand, "", "fdi", "universal", "palmer"),
		ID: one(m.Rand, "", "case-1"), Revision: m.IntN(4), Stage: one(m.Rand, "", casefile.Deciding, casefile.Agreed, casefile.AtTryIn, casefile.AtTryIn, casefile.AtTryIn, casefile.Delivered)}
	if c.Stage == "" || c.Stage == casefile.Deciding {
		c.Issued = start.AddDays(-m.IntN(20))
	}
	m.day = start
	c.Route = one(m.Rand, append(casefile.Routes(), casefile.NoPrep, casefile.NoPrep, casefile.MinimalPrep, casefile.ConventionalPrep)...)
	c.Material = m.material(c.Route)
	if c.Route.Leads() && m.IntN(2) == 0 {
		c.Then = one(m.Rand, casefile.NoPrep, casefile.MinimalPrep, casefile.DirectComposite)
		c.Material = m.material(c.Then)
	}
	c.TargetShade, c.UnderlyingShade = m.shade(), one(m.Rand, casefile.Shade(""), "", "A2", casefile.BleachLight)
	c.ShadeNote = one(m.Rand, "", "", "Demo white")
	front := []casefile.Tooth{15, 14, 13, 12, 11, 21, 22, 23, 24, 25, 41, 31}
	from := m.IntN(len(front))
	for _, t := range front[from:min(len(front), from+1+m.IntN(10))] {
		e := casefile.ToothEntry{Tooth: t, UnderlyingShade: one(m.Rand, casefile.Shade(""), "", "A3", "C4")}
		if m.IntN(5) == 0 {
			e.TargetShade, e.ShadeNote = m.shade(), one(m.Rand, "", "Demo pearl")
		}
		if m.IntN(5) == 0 {
			e.Route = one(m.Rand, casefile.Routes()...)
			e.Material = m.material(e.Route)
		}
		e.Findings = m.findings("tooth", 30)
		c.Teeth = append(c.Teeth, e)
	}
	if !c.Route.NeedsTeeth() && !c.Then.NeedsTeeth() && m.IntN(2) == 0 {
		c.Teeth = []casefile.ToothEntry{}
	}
	c.Findings = m.findings("case", 20)
	c.Detail = one(m.Rand, "", "words", "numbers")
	if m.IntN(3) == 0 {
		c.Questions = []casefile.Question{{Asked: "Demo question", Answer: one(m.Rand, "", "Demo answer")}}
	}
}

func (m *maker) material(r casefile.Route) casefile.Material {
	if list := m.w.words.Materials[r]; len(list) > 0 {
		return one(m.Rand, list...)
	}
	return ""
}

func (m *maker) findings(where string, n int) (out []string) {
	for _, f := range m.w.base.Findings {
		fits := (f.Scope == where || f.Scope == "either") && len(f.AgeBands) == 0
		free := !slices.ContainsFunc(append(slices.Clone(out), m.c.Findings...), func(o string) bool { return m.w.words.Excludes(f.Key, o) })
		if fits && free && m.IntN(n) == 0 {
			out = append(out, f.Key)
		}
	}
	return out
}

func (m *maker) people() {
	if m.IntN(6) == 0 {
		return
	}
	p := casefile.People{AgeBand: one(m.Rand, "", "child", "adolescent", "adult", "adult", "older-adult"), Decides: one(m.Rand, "", "patient", "patient", "guardian", "with-support"),
		Assent: one(m.Rand, "", "yes", "no", "not-asked"), Interpreter: one(m.Rand, "", "none", "none", "professional")}
	if p.Interpreter == "professional" && m.IntN(2) == 0 {
		p.InterpreterWay = "telephone"
	}
	m.c.People = &p
}

// changes lists the steps that can be noted.
func (m *maker) changes() []evidence.Change { return m.w.base.Changes }

// sites is where a step may be noted: some teeth or contacts of the case.
func (m *maker) sites(x *evidence.Change) (teeth []casefile.Tooth, places []casefile.Place) {
	all := m.c.ToothList()
	if len(all) == 0 {
		return nil, nil
	}
	if x.OfContacts() && m.IntN(4) > 0 {
		list := casefile.Contacts(all)
		return nil, casefile.SortPlaces(append(some(m.Rand, list, 4), one(m.Rand, list...)))
	}
	return casefile.SortTeeth(append(some(m.Rand, all, 3), one(m.Rand, all...))), nil
}

func (m *maker) answers() {
	for i := range m.changes() {
		x := &m.changes()[i]
		if x.Told() || len(m.c.Teeth) == 0 || m.IntN(2) == 0 {
			continue
		}
		teeth, places := m.sites(x)
		m.c.Answers = append(m.c.Answers, casefile.AnswerEntry{Change: x.Key, Teeth: teeth, Places: places, Answer: one(m.Rand, casefile.Agree, casefile.Ask, casefile.No, casefile.Blank)})
	}
}

// agree puts an agreement in force: what the case has, or something else.
func (m *maker) agree() {
	price := one(m.Rand, nil, &casefile.Price{Minor: int64(m.IntN(900_000)), Currency: "USD"})
	a := m.c.Agree(one(m.Rand, casefile.SealedRecord, casefile.SignedPaper), "CODE-1", "", one(m.Rand, "consent", "consent", "change"), m.c.Start.AddDays(-m.IntN(10)), price, m.w.words.OfContacts)
	if a.Way == casefile.SealedRecord {
		a.SHA256 = fmt.Sprintf("%064x", m.Uint64())
	}
	m.c.Agreed = &a
	if m.IntN(3) > 0 {
		m.note(casefile.Event{Kind: casefile.SignedSheet, On: a.Date, Sheet: a.Sheet, Code: a.Code, SHA256: a.SHA256, How: "signed"})
	}
	if m.IntN(2) == 0 { // what is entered is not what was agreed
		return
	}
	for range 1 + m.IntN(3) {
		m.differ()
	}
}

func (m *maker) shade() casefile.Shade {
	return one(m.Rand, append([]casefile.Shade{""}, casefile.Shades()...)...)
}

// differ changes the case, but not what was agreed.
func (m *maker) differ() {
	c := &m.c
	switch m.IntN(6) {
	case 0:
		c.TargetShade = m.shade()
		if len(c.Teeth) > 0 && m.IntN(2) == 0 {
			c.Teeth = slices.Clone(c.Teeth)
			e := &c.Teeth[m.IntN(len(c.Teeth))]
			e.TargetShade, e.ShadeNote = m.shade(), one(m.Rand, "", "Demo pearl")
		}
	case 1:
		if len(c.Teeth) > 1 {
			c.Answers, c.Teeth = nil, c.Teeth[1:]
		}
	case 2:
		if len(c.Teeth) > 0 {
			e := &c.Teeth[m.IntN(len(c.Teeth))]
			e.Route = one(m.Rand, casefile.NoPrep, casefile.MinimalPrep, casefile.ConventionalPrep, casefile.None)
			e.Material = m.material(e.Route)
		}
	case 3:
		if c.Then != "" {
			c.Then = one(m.Rand, casefile.NoPrep, casefile.MinimalPrep, "")
		}
	case 4:
		if len(c.Answers) > 0 {
			c.Answers = slices.Clone(c.Answers)
			c.Answers[m.IntN(len(c.Answers))].Answer = casefile.No
		}
	case 5:
		if c.Material = m.material(c.Route); c.Then != "" {
			c.Material = m.material(c.Then)
		}
	}
}

// note appends an event.
func (m *maker) note(e casefile.Event) { m.c.Note(e) }

// history notes what happened, in an order that is admissible but for a few.
func (m *maker) history() {
	early := m.c.Stage == "" || m.c.Stage == casefile.Deciding
	for range m.IntN(18) {
		if m.IntN(3) == 0 {
			m.day = m.day.AddDays(m.IntN(5))
		}
		on := m.day
		if m.IntN(12) == 0 {
			on = casefile.Date{}
		}
		if early || m.IntN(3) == 0 {
			m.talk(on)
		} else {
			m.chair(on)
		}
	}
}

// talk notes what needs no chair.
func (m *maker) talk(on casefile.Date) {
	all := m.c.ToothList()
	switch m.IntN(8) {
	case 0:
		m.note(casefile.Event{Kind: casefile.Shown, On: on, Sheet: one(m.Rand, casefile.SheetKinds()...)})
	case 1:
		f := one(m.Rand, m.w.base.Findings...)
		m.note(casefile.Event{Kind: casefile.Settled, On: on, Finding: f.Key, Teeth: some(m.Rand, all, 3)})
	case 2:
		m.note(casefile.Event{Kind: casefile.Waived, On: on, Open: one(m.Rand, casefile.Waivable()...), By: "patient", Note: "Demo words of my own"})
	case 3:
		m.note(casefile.Event{Kind: one(m.Rand, casefile.SaidBack, casefile.ExplainedAgain), On: on, Topic: "Demo point", Note: one(m.Rand, "", "Demo note")})
	case 4:
		if m.c.Agreed != nil && m.IntN(3) == 0 {
			m.note(casefile.Event{Kind: casefile.WithdrawnYes, On: on, Sheet: "consent"})
		}
	case 5:
		m.note(casefile.Event{Kind: casefile.SignedSheet, On: on, Sheet: one(m.Rand, "tryin", "change"), Code: "CODE-9"})
	case 6:
		if n := len(m.c.Events); n > 0 {
			if of := 1 + m.IntN(n); m.c.Events[of-1].Kind != casefile.Struck {
				s := casefile.Event{Kind: casefile.Struck, On: on, Of: of}
				if e := m.c.Events[of-1]; m.IntN(2) == 0 && len(e.Teeth) > 0 && e.Kind != casefile.Settled {
					s.Teeth = e.Teeth[:1]
				} else if len(e.Parts) > 1 {
					s.Parts = e.Parts[:1]
				}
				m.note(s)
			}
		}
	case 7:
		m.note(casefile.Event{Kind: casefile.DoneStep, On: on, Visit: "try-in"})
	}
}

// chair notes what happens in the chair. A question is put where the answer is not a
// no, and a no is reopened on another day, but for one in ten.
func (m *maker) chair(on casefile.Date) {
	all := m.c.ToothList()
	teeth := some(m.Rand, all, 2)
	x := &m.changes()[m.IntN(len(m.changes()))]
	parts := one(m.Rand, []string{"shade"}, []string{"shape", "length"}, []string{"shade", "shape", "length"})
	size := float64(m.IntN(4)) / 10
	fee := one(m.Rand, nil, nil, &casefile.Price{}, &casefile.Price{Minor: 5000})
	if fee != nil {
		fee = &casefile.Price{Minor: fee.Minor, Currency: "USD"}
	}
	e := casefile.Event{On: on, Change: x.Key, SizeMM: size}
	e.Teeth, e.Places = m.sites(x)
	try := func(e casefile.Event) bool { // admissible, but for one in ten
		before := m.c.Events
		m.note(e)
		if m.IntN(30) == 0 || len(m.c.Check(m.w.words)) == 0 {
			return true
		}
		m.c.Events = before
		return false
	}
	switch k := m.IntN(12); k {
	case 0, 1, 2:
		asked, said := e, e
		asked.Kind, asked.By, asked.Fee, asked.Note = casefile.Asked, "dentist", fee, one(m.Rand, "", "Demo reason")
		if try(asked) && m.IntN(4) > 0 {
			said.Kind, said.By, said.Answer, said.How = casefile.Answered, "patient", one(m.Rand, casefile.Agree, casefile.Agree, casefile.No, casefile.Ask), one(m.Rand, "spoken", "signal")
			said.SizeMM = one(m.Rand, 0, size)
			try(said)
		}
	case 3:
		e.Kind, e.By, e.Answer = casefile.Answered, "patient", casefile.No
		try(e)
	case 4:
		e.Kind, e.By, e.SizeMM = casefile.Reopened, "patient", 0
		try(e)
	case 5, 6, 7:
		e.Kind = casefile.DoneStep
		try(e)
	case 8:
		try(casefile.Event{Kind: casefile.DoneStep, On: on, Step: one(m.Rand, casefile.StepShaped, casefile.StepGlued, casefile.StepRemoved), Teeth: teeth})
	case 9:
		try(casefile.Event{Kind: casefile.Answered, On: on, By: "patient", Step: casefile.StepGlued, Answer: one(m.Rand, casefile.Agree, casefile.No), Teeth: teeth})
	case 10:
		try(casefile.Event{Kind: one(m.Rand, casefile.Approved, casefile.ChangeWanted), On: on, Sitting: m.IntN(4), Teeth: teeth, Parts: parts})
	case 11:
		try(casefile.Event{Kind: casefile.Tried, On: on, Sitting: 1 + m.IntN(3), Teeth: teeth, Note: "Demo try"})
	}
}

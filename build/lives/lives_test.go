package lives

import (
	"bytes"
	"flag"
	"fmt"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"

	"plainleaf/app/casefile"
	"plainleaf/app/fault"
	"plainleaf/app/plan"
	"plainleaf/app/produce"
	"plainleaf/app/record"
	"plainleaf/app/render"
	"plainleaf/app/screens/state"
	"plainleaf/app/sheet"
	"plainleaf/build/trials"
)

var life1 = flag.Uint64("life", 0, "the one life to live")

// life is one case on one tablet, day after day, with what the patient was heard to
// say kept apart from it.
type life struct {
	*rand.Rand
	w     *world
	m     *state.Desk
	today casefile.Date
	key   record.Key
	log   []string
	bad   []string

	agreed []casefile.Agreement // each as it was signed
	heard  map[string]casefile.Answer
	steps  []stepDone
	fixed  []casefile.Event // what a seal or a file has
	off    bool             // something was taken back: what was heard is not followed any more
}

// stepDone is what was heard about a step until it was done.
type stepDone struct {
	e     casefile.Event
	heard map[string]casefile.Answer
}

func site(change string, p casefile.Place) string { return change + "@" + p.String() }

func (l *life) did(format string, a ...any) { l.log = append(l.log, fmt.Sprintf(format, a...)) }

func (l *life) wrong(format string, a ...any) { l.bad = append(l.bad, fmt.Sprintf(format, a...)) }

// begin opens an empty case and enters the least that has a plan.
func (l *life) begin() {
	l.today = casefile.Date{Year: 2026, Month: 11, Day: 25}
	l.m = state.New(l.w.base, l.w.words, one(l.Rand, l.w.practices...), l.today, "en")
	l.fresh()
}

func (l *life) fresh() {
	l.agreed, l.steps, l.fixed, l.off = nil, nil, nil, false
	l.heard = map[string]casefile.Answer{}
	m := l.m
	front := state.UpperFront(10)
	from := l.IntN(len(front))
	m.Draft.Mouth().Add(front[from:min(len(front), from+1+l.IntN(6))])
	m.Draft.Way().SetRoute(one(l.Rand, casefile.NoPrep, casefile.NoPrep, casefile.MinimalPrep, casefile.ConventionalPrep, casefile.ReplaceVeneers, casefile.GumCareFirst))
	if m.Draft.Way().Follows() {
		m.Draft.Way().SetThen(one(l.Rand, casefile.NoPrep, casefile.MinimalPrep))
	}
	m.Draft.Way().SetMaterial(one(l.Rand, m.Draft.Way().Materials()...))
	m.Draft.Way().SetTarget(one(l.Rand, casefile.Shade(""), "A1", "B1"))
	m.Draft.SetID("life")
	for _, t := range some(l.Rand, m.Draft.Mouth().Teeth(), 4) {
		m.Draft.Mouth().ToggleToothFinding(t, one(l.Rand, "tight-contacts", "one-dark-tooth", "root-filled"))
	}
	for _, k := range []string{"bruxism", "deep-bite", "gum-inflammation"} {
		if l.IntN(5) == 0 {
			m.Draft.Mouth().ToggleFinding(k)
		}
	}
	if l.IntN(3) > 0 {
		m.Draft.Patient().EditPeople(func(p *casefile.People) {
			*p = casefile.People{AgeBand: "adult", Decides: "patient", Interpreter: "none"}
		})
		for _, x := range m.Draft.Plan().WaitFor {
			m.Draft.Way().SetReason(x.Key, "Demo reason")
		}
		m.Draft.Consent().ShowTrialSmile()
		l.days(8)
		m = l.m
	}
	l.did("%v %s %s", m.Draft.Mouth().Teeth(), m.Draft.Case().Route, m.Draft.Case().Material)
}

// days lets some days pass: the tablet is closed and opened again.
func (l *life) days(n int) {
	draft := l.m.Keep(true)
	l.today = l.today.AddDays(n)
	m := state.New(l.w.base, l.w.words, l.m.Practice.File(), l.today, "en")
	if !m.Restore(draft) {
		l.wrong("the draft cannot be read")
		return
	}
	if !reflect.DeepEqual(m.Draft.Case(), l.m.Draft.Case()) {
		l.wrong("the draft brings back another case:\n%s\n%s", text(l.m.Draft.Case()), text(m.Draft.Case()))
	}
	l.m = m
}

// file saves the case to a file and opens that.
func (l *life) file() {
	data, err := l.m.Draft.File().Export()
	if err != nil {
		l.wrong("not exported: %v", err)
		return
	}
	was := l.m.Draft.Case()
	if !l.m.Import("case.json", string(data)) {
		l.wrong("its own file is refused: %s", l.m.Draft.File().Rejected().Faults.Lines())
		return
	}
	if text(l.m.Draft.Case()) != text(was) {
		l.wrong("the file brings back another case:\n%s\n%s", text(was), text(l.m.Draft.Case()))
	}
	again, _ := l.m.Draft.File().Export()
	if !bytes.Equal(data, again) {
		l.wrong("the file is written in another way the second time")
	}
	l.fixed = slices.Clone(l.m.Draft.Case().Events)
}

// places is where a step may be asked about.
func (l *life) places(change string) []casefile.Place {
	teeth := l.m.Draft.Mouth().Teeth()
	all := casefile.Places(teeth)
	if l.w.words.OfContacts(change) {
		all = casefile.Contacts(teeth)
	}
	return casefile.SortPlaces(append(some(l.Rand, all, 3), one(l.Rand, all...)))
}

// change is a step that is answered, or is done, here.
func (l *life) change() string {
	for {
		x := one(l.Rand, l.w.base.Changes...)
		if !x.Told() {
			return x.Key
		}
	}
}

// step does one thing.
func (l *life) step() {
	m := l.m
	switch k := l.IntN(24); k {
	case 0, 1:
		if m.Draft.Case().Agreed == nil {
			l.answer()
		} else {
			l.edit()
		}
	case 2:
		l.who()
	case 3:
		l.openPoints()
	case 4:
		n := 1 + l.IntN(9)
		l.did("%d days pass", n)
		l.days(n)
	case 5:
		l.did("saved and opened")
		l.file()
	case 6, 7:
		l.paper()
	case 8, 9:
		l.seal(sheet.Consent, "", "agreed")
	case 10:
		l.seal(sheet.Consent, record.Superseding, "agreed")
	case 11:
		if l.IntN(3) == 0 {
			l.seal(sheet.Consent, record.Withdrawal, "agreed")
		} else {
			l.seal(sheet.Consent, "", one(l.Rand, "refused", "later"))
		}
	case 12:
		l.seal(one(l.Rand, sheet.TryIn, sheet.Change, sheet.Change), "", "agreed")
	case 13, 14, 15:
		l.ask()
	case 16, 17:
		l.done()
	case 18:
		l.reopen()
	case 19:
		l.tryIn()
	case 20:
		l.toothState()
	case 21:
		teeth := some(l.Rand, m.Draft.Mouth().Teeth(), 2)
		if len(teeth) > 0 {
			a := one(l.Rand, casefile.Agree, casefile.Agree, casefile.No, casefile.Blank)
			m.Draft.Chair().SayGluing(teeth, a)
			l.did("gluing %v: %q", teeth, a)
		}
	case 22:
		if steps := m.Draft.Chair().DoneSteps(); len(steps) > 0 && l.IntN(3) == 0 {
			s := one(l.Rand, steps...)
			m.Draft.Chair().TakeBack(s.Number)
			l.did("entry %d taken back: %s", s.Number, s)
			l.off = true
		}
	case 23:
		if l.IntN(12) == 0 {
			l.did("cleared")
			m.Clear()
			l.fresh()
		}
	}
}

func (l *life) answer() {
	change, answer := l.change(), one(l.Rand, casefile.Agree, casefile.Ask, casefile.No, casefile.Blank)
	places := l.places(change)
	l.m.Draft.Chair().SetAnswer(change, places, answer)
	l.did("%s on %v: %q beforehand", change, places, answer)
	l.listen()
}

// listen takes in what was answered beforehand, as long as nothing else counts.
func (l *life) listen() {
	if len(l.agreed) == 0 {
		l.off = l.off || len(l.m.Draft.Case().Done()) > 0 || slices.ContainsFunc(l.m.Draft.Case().Events, func(e casefile.Event) bool { return e.Kind == casefile.Answered && e.Change != "" })
	}
}

// edit changes what is planned, which changes nothing of what was agreed.
func (l *life) edit() {
	m := l.m
	t := one(l.Rand, m.Draft.Mouth().Teeth()...)
	switch l.IntN(7) {
	case 0:
		m.Draft.Mouth().SetRoute(t, one(l.Rand, "", casefile.MinimalPrep, casefile.ConventionalPrep))
	case 1:
		m.Draft.Way().SetMaterial(one(l.Rand, m.Draft.Way().Materials()...))
	case 2:
		m.Draft.Way().SetTarget(one(l.Rand, casefile.Shade(""), "A2", "B1"))
	case 3:
		m.Draft.Mouth().Add([]casefile.Tooth{one(l.Rand, state.UpperFront(10)...)})
	case 4:
		if len(m.Draft.Mouth().Teeth()) > 1 {
			m.Draft.Mouth().Toggle(t)
		}
	case 5:
		l.answer()
	case 6: // back to what was agreed
		a := m.Draft.Case().Agreed
		for _, x := range m.Draft.Mouth().Teeth() {
			if !slices.ContainsFunc(a.Teeth, func(y casefile.AgreedTooth) bool { return y.Tooth == x }) {
				m.Draft.Mouth().Toggle(x)
			}
		}
		for _, x := range a.Teeth {
			m.Draft.Mouth().Add([]casefile.Tooth{x.Tooth})
			m.Draft.Mouth().SetRoute(x.Tooth, x.Route)
			m.Draft.Mouth().SetMaterial(x.Tooth, x.Material)
		}
		m.Draft.Way().SetRoute(a.Route)
		m.Draft.Way().SetThen(a.Then)
		m.Draft.Way().SetMaterial(a.Material)
	}
	l.did("planned: %v %s %s %s", m.Draft.Mouth().Teeth(), m.Draft.Case().Route, m.Draft.Case().Material, m.Draft.Case().TargetShade)
}

func (l *life) who() {
	l.m.Draft.Patient().EditPeople(func(p *casefile.People) {
		*p = casefile.People{AgeBand: one(l.Rand, "adult", "adult", "adult", "adolescent", "child"), Decides: one(l.Rand, "patient", "patient", "with-support"), Interpreter: "none"}
		if p.AgeBand != "adult" {
			p.Decides, p.Assent = one(l.Rand, "parent", "patient"), one(l.Rand, "yes", "no", "")
		}
	})
	l.did("%+v", l.m.Draft.Patient().People())
}

// openPoints settles what is open.
func (l *life) openPoints() {
	m := l.m
	switch l.IntN(6) {
	case 0:
		m.Draft.Consent().ShowTrialSmile()
	case 1:
		m.Draft.Consent().SettleTalk()
	case 2:
		if p := m.Draft.Plan(); p != nil {
			for _, x := range p.WaitFor {
				if l.IntN(2) == 0 {
					m.Draft.Consent().Settle(x.Key, x.Teeth)
				} else {
					m.Draft.Way().SetReason(x.Key, "Demo reason")
				}
			}
		}
	case 3:
		m.Draft.Consent().Waive(one(l.Rand, casefile.Waivable()...), one(l.Rand, "Demo words", ""))
	case 4:
		m.Draft.Patient().AddQuestion("Demo question", "")
	case 5:
		for i := range m.Draft.Case().Questions {
			m.Draft.Patient().SetAnswerTo(i, "Demo answer")
		}
	}
	l.did("open points")
}

// signed takes in an agreement.
func (l *life) signed(kind sheet.Kind) {
	m := l.m
	a := *m.Draft.Case().Agreed
	l.agreed = append(l.agreed, a)
	if kind == sheet.Consent {
		clear(l.heard)
		x := newTruth(l.w, m.Practice.File(), m.Draft.Case(), l.agreed)
		for i := range l.w.base.Changes {
			key := l.w.base.Changes[i].Key
			for _, p := range append(casefile.Places(m.Draft.Mouth().Teeth()), casefile.Contacts(m.Draft.Mouth().Teeth())...) {
				if p.Contact() == l.w.words.OfContacts(key) {
					l.heard[site(key, p)] = x.onPaper(key, p)
				}
			}
		}
	}
}

func (l *life) paper() {
	m := l.m
	day := l.today.AddDays(-l.IntN(3))
	if l.IntN(4) == 0 {
		day = l.today
	}
	code := one(l.Rand, "life", fmt.Sprintf("P-%d", len(l.agreed)))
	held := m.Draft.Plan() == nil || len(m.Draft.Plan().Held(plan.HoldsSigning, day)) > 0
	if late := len(m.Draft.Case().Events); late > 0 && day.Before(l.today) {
		day = l.today // a paper signed before what is noted since would change what was said then
	}
	if m.Draft.Consent().AgreeOnPaper(day, code, "Demo folder") {
		if held && len(m.Draft.Plan().Held(plan.HoldsSigning, day)) > 0 {
			l.wrong("a paper was agreed on while something was open")
		}
		l.did("agreed on paper of %s, %s", day, code)
		l.signed(sheet.Consent)
	}
}

// seal makes a record of a sheet, really.
func (l *life) seal(kind sheet.Kind, purpose record.Kind, what string) {
	m := l.m
	m.Draft.Paper().SetPrint(func(p *state.Print) { p.Kind = kind })
	if kind == sheet.Consent {
		m.Signing.SetPurpose(purpose)
	}
	in := l.w.input(m.Signing.SheetCase(), m.Practice.File(), kind)
	if len(m.Draft.Faults()) > 0 {
		return
	}
	docs, pl, faults := produce.Docs(in)
	if faults.Has("REVIEW-UNSIGNED") { // a practice that signs nothing off in English
		return
	}
	if len(faults) > 0 {
		if lines := unexplained(faults); len(lines) > 0 {
			l.wrong("%s: %s", kind, lines.Lines())
		}
		return
	}
	at := l.today.String() + fmt.Sprintf("T%02d:30:00Z", 8+l.IntN(9))
	shown := record.Shown(docs, m.Signing.Who())
	m.Signing.Decide(what, shown, at)
	m.Signing.OpenPad("patient")
	m.Signing.EditPad(func(p *state.Pad) { p.Way, p.Name = "typed", "Demo Person" })
	m.Signing.Sign(shown, at)
	defer m.Signing.SetPurpose("")
	lack := m.Signing.SealFault(shown)
	s := produce.Seal{Kind: m.Signing.RecordKind(shown), At: at, Key: &l.key, Digest: func(tag string) string { return render.Digest(l.w.wordings[tag]) }}
	if what != "later" && s.Kind != record.Withdrawal {
		s.Decision.What = what
	}
	s.Decision.At, s.Decision.On = at, l.today
	if s.Kind.Follows() {
		if e := m.Signing.Earlier(shown); e != nil {
			s.Previous = e.SHA256
		}
	}
	for _, g := range m.Signing.Here(shown, true) {
		s.Signatures = append(s.Signatures, g.By)
	}
	open := l.holds(pl, kind)
	file, rec, mark, faults := produce.Sealed(in, pl, docs, s)
	yes := what == "agreed" && s.Kind != record.Withdrawal
	switch {
	case len(faults) == 0 && yes && open != "":
		l.wrong("a yes was sealed while %s was open", open)
	case lack == "open" && !faults.Has("OPEN-SIGNING"):
		l.wrong("%s is held back and its seal is not: %s", kind, faults.Lines())
	case lack == "" && len(faults) > 0 && !(what == "later" && faults.Has("OPEN-SIGNING")):
		l.wrong("%s is not held back and its seal is: %s", kind, faults.Lines())
	}
	if lack != "" || len(faults) > 0 {
		m.Signing.Unsign("patient", shown)
		m.Signing.Decide("", shown, "")
		return
	}
	l.check(file, rec)
	m.Signing.AddSealed(state.Sealed{Kind: s.Kind, Sheet: kind, Code: mark.Code, SHA256: mark.SHA256, At: at, Issued: rec.Issued}, file, shown)
	l.did("sealed %s, %s: %s", s.Kind, what, mark.Code)
	l.fixed = slices.Clone(m.Draft.Case().Events)
	switch {
	case s.Kind == record.Withdrawal:
		for at, a := range l.heard {
			if a == casefile.Agree {
				l.heard[at] = casefile.Blank
			}
		}
	case yes && (kind == sheet.Consent || kind == sheet.Change):
		l.signed(kind)
	}
}

// holds names what may not be open when a yes is given, by the case alone.
func (l *life) holds(pl plan.Plan, kind sheet.Kind) string {
	c := l.m.Draft.Case()
	p := l.m.Draft.Patient().People()
	minor := p.AgeBand == "child" || p.AgeBand == "adolescent"
	switch {
	case p.AgeBand == "":
		return "the age"
	case p.Decides == "":
		return "who decides"
	case minor && p.Decides == "patient":
		return "a minor alone"
	case (minor || p.Decides == "parent") && p.Assent != "yes":
		return "the patient's own yes"
	case kind != sheet.Consent:
		return ""
	}
	for _, x := range pl.WaitFor {
		if x.Reason == "" {
			return x.Key
		}
	}
	waived := func(open string) bool {
		words := ""
		for _, e := range c.Events {
			if e.Kind == "waived" && e.Open == open {
				words = e.Note
			}
		}
		return words != "" && slices.Contains(l.m.Practice.File().Waivers, open)
	}
	for _, q := range c.Questions {
		if q.Answer == "" && !waived("questions") {
			return "a question"
		}
	}
	begun := (c.Stage == casefile.AtTryIn || c.Stage == casefile.Delivered) && c.Agreed != nil
	if !begun && l.today.Before(pl.Deciding.EarliestSign) && !waived("thinking-time") {
		return "the thinking time"
	}
	return ""
}

// check reads a record back.
func (l *life) check(file []byte, rec record.Record) {
	v := record.Verify(file, nil)
	back, ok := record.Read(file)
	if v.Integrity != record.Intact || !ok {
		l.wrong("the record is %s", v.Integrity)
		return
	}
	if text(back.Case) != text(rec.Case) || len(back.Case.Events) != len(l.m.Draft.Case().Events) {
		l.wrong("the record has another case")
	}
	if changed := bytes.Replace(file, []byte(`"decision"`), []byte(`"Decision"`), 1); record.Verify(changed, nil).Integrity == record.Intact {
		l.wrong("a changed record is intact")
	}
}

func (l *life) ask() {
	m := l.m
	change := l.change()
	places := l.places(change)
	if _, _, no := m.Draft.Chair().Against(change, places); len(no) > 0 {
		return // who said no is not asked
	}
	answer := one(l.Rand, casefile.Agree, casefile.Agree, casefile.No)
	m.Draft.Chair().Ask(state.Question{Change: change, Places: places, SizeMM: float64(l.IntN(4)) / 10, Why: "Demo reason", Answer: answer, How: "spoken"})
	for _, p := range places {
		l.heard[site(change, p)] = answer
	}
	l.did("asked %s on %v: %q", change, places, answer)
	l.off = l.off || len(l.agreed) == 0
}

func (l *life) done() {
	change := l.change()
	places := l.places(change)
	heard := map[string]casefile.Answer{}
	for k, v := range l.heard {
		heard[k] = v
	}
	l.m.Draft.Chair().AddDone(change, places, float64(l.IntN(6))/10, one(l.Rand, "", "Demo note"))
	if e := l.m.Draft.Case().Events[len(l.m.Draft.Case().Events)-1]; len(l.agreed) > 0 && !l.off {
		l.steps = append(l.steps, stepDone{e, heard})
	}
	l.did("done %s on %v", change, places)
}

func (l *life) reopen() {
	for _, at := range []string{"facial-contouring", "opening-contacts", "bite-adjustment", "edge-length"} {
		_, _, no := l.m.Draft.Chair().Against(at, append(casefile.Places(l.m.Draft.Mouth().Teeth()), casefile.Contacts(l.m.Draft.Mouth().Teeth())...))
		no = slices.DeleteFunc(no, func(p casefile.Place) bool { return p.Contact() != l.w.words.OfContacts(at) })
		if len(no) == 0 {
			continue
		}
		if p := one(l.Rand, no...); l.m.Draft.Chair().Reopen(at, []casefile.Place{p}) {
			l.heard[site(at, p)] = casefile.Ask
			l.did("reopened %s on %s", at, p)
			l.off = l.off || len(l.agreed) == 0
		}
		return
	}
}

func (l *life) tryIn() {
	sittings := l.m.Draft.Chair().Sittings()
	s := one(l.Rand, sittings...)
	if slices.ContainsFunc(s.Teeth, func(t casefile.Tooth) bool { return l.m.Draft.Chair().ToothState(t) == casefile.BondedState }) {
		return // nothing is tried where it is glued
	}
	said := one(l.Rand, "approved", "approved", "change", "")
	l.m.Draft.Chair().EditTryIn(s.Number, func(t *casefile.TryIn) {
		switch l.IntN(4) {
		case 0:
			t.Shade = said
		case 1:
			t.Shape = said
		case 2:
			t.Length = said
		case 3:
			t.Note = "Demo note"
		}
	})
	l.did("sitting %d of %v: %q", s.Number, s.Teeth, said)
}

func (l *life) toothState() {
	teeth := some(l.Rand, l.m.Draft.Mouth().Teeth(), 2)
	if len(teeth) == 0 {
		return
	}
	state := one(l.Rand, casefile.Untouched, casefile.ShapedState, casefile.BondedState)
	l.m.Draft.Chair().SetToothState(teeth, state)
	l.did("%v are %s", teeth, state)
}

// mistaken are the faults of a case that somebody made by an edit and that say what to do.
var mistaken = []string{"CASE-TOOTH-ABSENT", "CASE-THEN", "CASE-ROUTE-MATERIAL", "CASE-DECIDES-AGE"}

// look holds everything against everything after a step.
func (l *life) look() {
	m := l.m
	for i, e := range l.fixed {
		if i >= len(m.Draft.Case().Events) || !reflect.DeepEqual(m.Draft.Case().Events[i], e) {
			l.wrong("entry %d of a seal or a file changed", i+1)
			break
		}
	}
	if a := len(l.agreed); (m.Draft.Case().Agreed == nil) != (a == 0) || a > 0 && !reflect.DeepEqual(*m.Draft.Case().Agreed, l.agreed[a-1]) {
		l.wrong("the agreement is not the one that was signed")
	}
	faults := m.Draft.Faults()
	if rest := slices.DeleteFunc(slices.Clone(faults), func(f fault.Fault) bool { return slices.Contains(mistaken, f.Code) }); len(rest) > 0 {
		l.wrong("a fault of its own making: %s", rest.Lines())
	}
	if len(faults) > 0 {
		return
	}
	l.bad = append(l.bad, l.w.look(m.Draft.Case(), m.Practice.File(), l.agreed, l.IntN(6) == 0, false)...)
	if len(l.agreed) == 0 || l.off {
		return
	}
	x, counts := newTruth(l.w, m.Practice.File(), m.Draft.Case(), l.agreed), m.Draft.Chair().Counts()
	for i := range l.w.base.Changes {
		key := l.w.base.Changes[i].Key
		for _, p := range append(casefile.Places(m.Draft.Mouth().Teeth()), casefile.Contacts(m.Draft.Mouth().Teeth())...) {
			if p.Contact() != l.w.words.OfContacts(key) {
				continue
			}
			if want := l.heard[site(key, p)]; x.says(key, p, len(x.live)).answer != want || counts.Standing(key, p).Answer != want {
				l.wrong("%s on %s: heard was %q, in force is %q", key, p, want, counts.Standing(key, p).Answer)
			}
		}
	}
	course := m.Draft.Case().Course()
	n := 0
	for i, e := range m.Draft.Case().History() {
		if n < len(l.steps) && reflect.DeepEqual(e, l.steps[n].e) {
			course.Upto(i)
			for _, p := range m.Draft.Case().PlacesOf(e, l.w.words.OfContacts(e.Change)) {
				if got, want := course.Standing(e.Change, p).Answer, l.steps[n].heard[site(e.Change, p)]; got != want {
					l.wrong("%s done on %s: heard was %q, told is %q", e.Change, p, want, got)
				}
			}
			n++
		}
	}
	if n < len(l.steps) {
		l.wrong("a step that was done is lost")
	}
}

// Random lives of a case: events in any order, saved, reopened, sealed,
// withdrawn, changed. After each step no sheet is false, nothing noted is lost, and
// the case has no fault of its own making.
func TestLives(t *testing.T) {
	w := open(t)
	key, err := record.NewKey(bytes.NewReader(bytes.Repeat([]byte{7}, 32)))
	if err != nil {
		t.Fatal(err)
	}
	steps, seals, agreed, lives := 0, 0, 0, trials.N(10, 60, 1000)
	for seed := uint64(1); seed <= uint64(lives); seed++ {
		if *life1 != 0 {
			seed = *life1
		}
		l := &life{Rand: rand.New(rand.NewPCG(seed, 11)), w: w, key: key}
		l.begin()
		l.live()
		steps += len(l.log)
		agreed += len(l.agreed)
		for _, s := range l.log {
			if strings.HasPrefix(s, "sealed") {
				seals++
			}
		}
		for _, b := range l.bad {
			t.Errorf("-life %d: %s", seed, b)
		}
		if len(l.bad) > 0 && *life1 != 0 {
			t.Logf("%s\n%s", strings.Join(l.log, "\n"), text(l.m.Draft.Case()))
		}
		if *life1 != 0 {
			return
		}
	}
	t.Logf("%d steps, %d seals, %d agreements", steps, seals, agreed)
	if *life1 == 0 && (seals < lives/2 || agreed < lives/2) {
		t.Errorf("%d seals and %d agreements are too few", seals, agreed)
	}
}

// live takes some steps, or until something is false.
func (l *life) live() {
	defer func() {
		if r := recover(); r != nil {
			l.wrong("panic: %v", r)
		}
	}()
	was := -1
	for range 20 {
		if l.step(); len(l.bad) == 0 && l.m.Signing.Edits() != was {
			l.look()
		}
		was = l.m.Signing.Edits()
		if len(l.bad) > 0 {
			return
		}
		// A case whose tooth or material was lost to an edit is mended or left.
		if len(l.m.Draft.Faults()) > 0 && l.IntN(3) == 0 {
			return
		}
	}
}

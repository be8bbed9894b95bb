package state

import (
	"slices"
	"strings"
	"testing"

	"plainleaf/app/casefile"
	"plainleaf/app/sheet"
)

func TestAPointIsSaidBackOrExplainedAgain(t *testing.T) {
	m := ten(t)
	m.Draft.Patient().SetTopic("risk", Topic{Again: true, Note: "with the mock-up"})
	m.Draft.Patient().SetTopic("risk", Topic{Again: true, Said: true, Note: "with the mock-up"})
	if got := m.Draft.c.TeachBacks(); !slices.Equal(got, []casefile.TeachBack{{Topic: "risk", Note: "with the mock-up", Done: true}}) {
		t.Errorf("%+v", got)
	}
	m.Signing.Rename(map[string]string{"risk": "riesgo"})
	if got := m.Draft.Patient().Topic("riesgo"); got != (Topic{Said: true, Again: true, Note: "with the mock-up"}) {
		t.Errorf("in another language: %+v", got)
	}
	m.Draft.Patient().SetTopic("riesgo", Topic{})
	if m.Draft.c.Events != nil {
		t.Errorf("a point not asked is kept: %+v", m.Draft.c.Events)
	}
	// Explained again without a note is no point said back.
	m.Draft.Patient().SetTopic("care", Topic{Again: true})
	if got := m.Draft.Patient().Topic("care"); !got.Again || got.Said {
		t.Errorf("%+v", got)
	}
}

func TestWhatIsNotedMovesTheStage(t *testing.T) {
	m := ten(t)
	if m.Draft.Stage() != casefile.Deciding {
		t.Fatalf("stage %s", m.Draft.Stage())
	}
	list := m.Draft.Chair().Sittings()
	var all []casefile.Tooth
	for _, s := range list {
		all = append(all, s.Teeth...)
	}
	if len(list) < 2 || !slices.Equal(casefile.SortTeeth(all), m.Draft.Mouth().Teeth()) {
		t.Fatalf("sittings %+v", list)
	}
	m.Draft.Chair().EditTryIn(2, func(x *casefile.TryIn) { x.Shade = "approved" })
	if m.Draft.Stage() != casefile.AtTryIn || len(m.Draft.c.TryIns()) != 1 || !slices.Equal(m.Draft.c.TryIns()[0].Teeth, list[1].Teeth) {
		t.Errorf("%s, %+v", m.Draft.Stage(), m.Draft.c.Events)
	}
	m.Draft.Chair().EditTryIn(2, func(x *casefile.TryIn) { x.Shade = "" })
	if m.Draft.c.Events != nil {
		t.Errorf("nothing noted is kept: %+v", m.Draft.c.Events)
	}
	m.Draft.Chair().SetToothState([]casefile.Tooth{11, 21}, "shaped")
	m.Draft.Chair().SetToothState([]casefile.Tooth{21}, "bonded")
	if m.Draft.Chair().ToothState(11) != "shaped" || m.Draft.Chair().ToothState(21) != "bonded" || m.Draft.Chair().ToothState(12) != "untouched" {
		t.Errorf("%+v", m.Draft.c.Events)
	}
	m.Draft.Chair().SetToothState([]casefile.Tooth{21}, "untouched")
	m.Draft.Chair().AddDone("switch-one-tooth-to-prep", []casefile.Place{casefile.At(21)}, 0.4, "dark")
	if m.Draft.Chair().ToothState(21) != "shaped" {
		t.Error("a step that takes tooth away leaves it untouched")
	}
	m.Draft.Chair().SetToothState([]casefile.Tooth{21}, "untouched")
	if m.Draft.Chair().ToothState(21) != "shaped" {
		t.Error("what a step took away is set back by hand")
	}
	if len(m.Draft.Faults()) > 0 {
		t.Errorf("faults: %s", m.Draft.Faults().Lines())
	}
	m.Draft.SetStage(casefile.Deciding)
	if len(m.Draft.FaultsAt("events")) == 0 {
		t.Error("a step done while deciding is no fault")
	}
}

// The sheet that the stage asks for comes first; every kind stays on offer, and a
// kind that somebody chose stays chosen.
func TestTheStageBringsItsSheet(t *testing.T) {
	m := ten(t)
	first := func(stage casefile.Stage, chosen, top sheet.Kind) {
		t.Helper()
		list := m.Draft.Paper().Kinds()
		if m.Draft.print.Kind != chosen || list[0] != top {
			t.Errorf("%s: %s is chosen, %v on offer", stage, m.Draft.print.Kind, list)
		}
		for _, k := range sheet.Kinds() {
			if !slices.Contains(list, k) {
				t.Errorf("%s: no %s", stage, k)
			}
		}
		if len(list) != len(sheet.Kinds()) {
			t.Errorf("%s: %v", stage, list)
		}
	}
	first(casefile.Deciding, sheet.Options, sheet.Options)
	m.Draft.Chair().EditTryIn(1, func(x *casefile.TryIn) { x.Shade = "approved" })
	first(casefile.AtTryIn, sheet.TryIn, sheet.TryIn)
	m.Draft.SetStage(casefile.Delivered)
	first(casefile.Delivered, sheet.Aftercare, sheet.Aftercare)
	m.Draft.Paper().SetPrint(func(p *Print) { p.Kind = sheet.Consent })
	m.Draft.SetStage(casefile.AtTryIn)
	first(casefile.AtTryIn, sheet.Consent, sheet.TryIn)
	file, err := m.Draft.File().Export()
	if err != nil {
		t.Fatal(err)
	}
	draft := m.Keep(false)
	m.Clear()
	first("", sheet.Options, sheet.Options)
	if !m.Import("later.json", string(file)) {
		t.Fatal(m.Draft.caseFile.Faults.Lines())
	}
	first(casefile.AtTryIn, sheet.TryIn, sheet.TryIn)
	m.Clear()
	if !m.Restore(draft) {
		t.Fatal("the draft is not read")
	}
	first(casefile.AtTryIn, sheet.TryIn, sheet.TryIn)
}

func TestTheMaterialIsOpen(t *testing.T) {
	m := ten(t)
	if m.Draft.Way().MaterialOpen() {
		t.Error("asked for although it is chosen")
	}
	m.Draft.Way().SetMaterial("")
	if !m.Draft.Way().MaterialOpen() || m.Draft.Plan() == nil {
		t.Errorf("not asked for, or no plan: %s", m.Draft.Faults().Lines())
	}
	m.Draft.Way().SetRoute(casefile.WhiteningHome)
	if m.Draft.Way().MaterialOpen() {
		t.Error("asked for on a way that has none")
	}
	m.Draft.Way().SetThen(casefile.NoPrep)
	if !m.Draft.Way().MaterialOpen() {
		t.Error("not asked for on the way that follows")
	}
	m.Draft.Way().SetThen("")
	m.Draft.Way().SetRoute(casefile.NoPrep)
	for _, x := range m.Draft.Mouth().Teeth() {
		m.Draft.Mouth().SetMaterial(x, casefile.Zirconia)
	}
	if m.Draft.Way().MaterialOpen() {
		t.Error("asked for although every tooth has its own")
	}
}

func TestADepartureIsSetAgainstTheAnswers(t *testing.T) {
	m := ten(t)
	at := func(ts ...casefile.Tooth) []casefile.Place { return casefile.Places(ts) }
	m.Draft.Mouth().ToggleToothFinding(11, "protruding-teeth") // what cannot be undone is agreed to where it is likely
	for _, x := range at(11, 22) {
		m.Draft.Chair().SetAnswer("facial-contouring", []casefile.Place{x}, casefile.Agree)
	}
	m.Draft.Chair().SetAnswer("facial-contouring", at(12), casefile.No)
	m.Draft.Chair().SetAnswer("facial-contouring", at(13), casefile.Ask)
	agreed, ask, no := m.Draft.Chair().Against("facial-contouring", at(11, 12, 13, 21, 22))
	if !slices.Equal(agreed, at(11)) || !slices.Equal(no, at(12)) || !slices.Equal(ask, at(13, 21, 22)) {
		t.Errorf("agreed %v, ask %v, no %v", agreed, ask, no)
	}
}

// An answer changes nothing elsewhere; another way changes nearly everything.
func TestAnEditTellsWhatItChanged(t *testing.T) {
	m := ten(t)
	m.Draft.Way().SetMaterial("lithium-disilicate")
	m.Draft.Plan()
	before := m.Draft.Mark()
	m.Draft.Chair().SetAnswer("opening-contacts", []casefile.Place{casefile.Between(11, 12)}, casefile.Agree)
	if s := m.Draft.Since(before); len(s.Parts) > 0 || s.Material != "" || s.Stage != "" {
		t.Errorf("an answer changed %+v", s)
	}
	before = m.Draft.Mark()
	m.Draft.Way().SetRoute(casefile.DirectComposite)
	s := m.Draft.Since(before)
	for _, want := range []string{"visits", "chair", "numbers", "money"} {
		if !slices.Contains(s.Parts, want) {
			t.Errorf("another way did not change %s: %+v", want, s)
		}
	}
	if s.Material != "lithium-disilicate" {
		t.Errorf("the material taken out is %q", s.Material)
	}
}

func TestQuestions(t *testing.T) {
	m := ten(t)
	if m.Draft.Patient().AddQuestion("  ", "") || m.Draft.c.Questions != nil {
		t.Error("a blank question is kept")
	}
	m.Draft.Patient().AddQuestion(" Why? ", "")
	m.Draft.Patient().SetAnswerTo(0, "Because.")
	m.Draft.Patient().SetAnswerTo(5, "nobody asked")
	if !slices.Equal(m.Draft.c.Questions, []casefile.Question{{Asked: "Why?", Answer: "Because."}}) {
		t.Errorf("%+v", m.Draft.c.Questions)
	}
	if m.Draft.Patient().RemoveQuestion(7) != "" || m.Draft.Patient().RemoveQuestion(-1) != "" || m.Draft.Patient().RemoveQuestion(0) != "Why?" || m.Draft.c.Questions != nil {
		t.Errorf("%+v", m.Draft.c.Questions)
	}
}

// On whitening nothing is done to single teeth: no step that takes anything is
// left, the answers rest, and all count again on the way they were given for.
func TestAnswersRestAndComeBack(t *testing.T) {
	m := ten(t)
	m.Draft.Chair().SetAnswer("opening-contacts", []casefile.Place{casefile.Between(11, 12)}, casefile.Agree)
	m.Draft.Chair().SetAnswer("facial-contouring", []casefile.Place{casefile.At(11)}, casefile.No)
	if n := len(Resting(m.Draft.Plan())); n > 0 {
		t.Fatalf("%d answers rest at once", n)
	}
	route, before := m.Draft.c.Route, m.Draft.Mark()
	m.Draft.Way().SetRoute(casefile.WhiteningHome)
	p := m.Draft.Plan()
	if p == nil {
		t.Fatal(m.Draft.Faults().Lines())
	}
	for _, c := range p.ChairChanges {
		if !c.Rests && c.Removes != "nothing" {
			t.Errorf("%s on whitening", c.Key)
		}
	}
	got := map[string]int{}
	for _, x := range Resting(p) {
		got[x.Key+" "+string(x.Answer)] += len(x.Teeth)
	}
	if got["opening-contacts agree"] != 2 || got["facial-contouring no"] != 1 || len(got) != 2 {
		t.Errorf("resting: %v", got)
	}
	if len(p.Enamel.Permitted) > 0 {
		t.Errorf("permitted: %+v", p.Enamel.Permitted)
	}
	if !m.Draft.Since(before).Rest {
		t.Error("nobody is told")
	}
	m.Draft.Way().SetRoute(route)
	if len(Resting(m.Draft.Plan())) > 0 || m.Draft.Chair().Answer("facial-contouring", casefile.At(11)) != casefile.No {
		t.Error("the answers do not come back")
	}
}

// More than agreed is more than where the dentist asks anyway, which for
// smoothing the front is 0.3 mm (content, facial-contouring).
func TestMoreThanAgreed(t *testing.T) {
	m := ten(t)
	limit, over := m.Draft.Chair().Beyond("facial-contouring", 0.31)
	if !over || limit != 0.3 {
		t.Errorf("limit %v, %v", limit, over)
	}
	for _, mm := range []float64{0, 0.1, limit} {
		if _, over := m.Draft.Chair().Beyond("facial-contouring", mm); over {
			t.Errorf("%v is more than agreed", mm)
		}
	}
	for text, want := range map[string]float64{"": 0, "0.4": 0.4, "0,25": 0.25, "٠٫٣": 0.3, "20": 20} {
		if mm, ok := ParseMM(text); !ok || mm != want {
			t.Errorf("%q is %v, %v", text, mm, ok)
		}
	}
	for _, text := range []string{"x", "-1", "0.125", "21", "1.2.3"} {
		if _, ok := ParseMM(text); ok {
			t.Errorf("%q is a size", text)
		}
	}
}

func TestTheSheetsMayHaveALanguageOfTheirOwn(t *testing.T) {
	m := ten(t)
	screen := m.Draft.c.Locale
	m.Draft.Languages().SetLocale("es")
	m.Draft.Languages().SetLanguage("ar")
	if m.Draft.c.Locale != "es" || !m.Draft.Languages().Apart() {
		t.Errorf("sheets in %s", m.Draft.c.Locale)
	}
	draft := m.Keep(false)
	m.Draft.Languages().SetLocale("ar")
	m.Draft.Languages().SetLanguage(screen)
	if m.Draft.c.Locale != screen || m.Draft.Languages().Apart() {
		t.Errorf("sheets in %s do not follow the screen", m.Draft.c.Locale)
	}
	if !m.Restore(draft) || m.Draft.c.Locale != "es" || !m.Draft.Languages().Apart() {
		t.Errorf("brought back with sheets in %s", m.Draft.c.Locale)
	}
	m.Clear()
	if m.Draft.c.Locale != screen || m.Draft.Languages().Apart() {
		t.Errorf("the next patient's sheets are in %s", m.Draft.c.Locale)
	}
}

// A case in a language that was parked since opens; its sheets follow the screen, and
// that is said until another language is chosen.
func TestACaseInAParkedLanguageOpens(t *testing.T) {
	m := ten(t)
	m.Draft.Languages().SetLocale("es")
	whole := strings.Replace(m.Keep(false), `"locale":"es"`, `"locale":"de","second":"zh-Hans"`, 1)
	file, err := m.Draft.File().Export()
	if err != nil {
		t.Fatal(err)
	}
	for name, open := range map[string]func() bool{
		"file": func() bool {
			return m.Import("old.json", strings.Replace(string(file), `"locale": "es"`, `"locale": "de", "second": "zh-Hans"`, 1))
		},
		"draft":            func() bool { return m.Restore(whole) },
		"the screen's own": func() bool { return m.Restore(strings.Replace(whole, `"apart":true`, `"apart":false`, 1)) },
	} {
		m.Draft.Languages().SetLocale("ar")
		if !open() || m.Draft.c.Locale != "en" || m.Draft.c.Second != "" || m.Draft.Languages().Apart() || len(m.Draft.Mouth().Teeth()) != 10 {
			t.Fatalf("%s: in %q and %q: %v", name, m.Draft.c.Locale, m.Draft.c.Second, m.Draft.caseFile)
		}
		if got := m.Draft.Languages().Parked(); !slices.Equal(got, []string{"de", "zh-Hans"}) {
			t.Errorf("%s: told of %v", name, got)
		}
		if m.Draft.Languages().SetLanguage("es"); m.Draft.c.Locale != "es" || len(m.Draft.Languages().Parked()) != 2 {
			t.Errorf("%s: the sheets do not follow the screen, or it is no longer told: %v", name, m.Draft.Languages().Parked())
		}
		if m.Draft.Languages().SetLocale("ar"); m.Draft.Languages().Parked() != nil {
			t.Errorf("%s: told of %v after a choice", name, m.Draft.Languages().Parked())
		}
		m.Draft.Languages().SetLanguage("en")
	}
}

// An answer that a file has for all the teeth counts for each of them, and is not
// lost when another step or another tooth is answered or a tooth is taken out.
func TestAnAnswerForAllTeeth(t *testing.T) {
	m := ten(t)
	m.Draft.c.Answers = []casefile.AnswerEntry{{Change: "remake-by-lab", Answer: casefile.Agree}}
	if m.Draft.Chair().Answer("remake-by-lab", casefile.At(22)) != casefile.Agree {
		t.Error("it is not told of one tooth")
	}
	m.Draft.Chair().SetAnswer("facial-contouring", []casefile.Place{casefile.At(11)}, casefile.No)
	m.Draft.Mouth().Toggle(12)
	if m.Draft.Chair().Answer("remake-by-lab", casefile.At(22)) != casefile.Agree || m.Draft.Chair().Answer("facial-contouring", casefile.At(11)) != casefile.No {
		t.Errorf("lost: %+v", m.Draft.c.Answers)
	}
	m.Draft.Chair().SetAnswer("remake-by-lab", []casefile.Place{casefile.At(21)}, casefile.Ask)
	if m.Draft.Chair().Answer("remake-by-lab", casefile.At(22)) != casefile.Agree || m.Draft.Chair().Answer("remake-by-lab", casefile.At(21)) != casefile.Ask {
		t.Errorf("one tooth changed the others: %+v", m.Draft.c.Answers)
	}
	if f := m.Draft.Faults(); len(f) > 0 {
		t.Errorf("%v", f)
	}
}

// What was said at a sitting is of the teeth that were looked at, whatever is
// chosen or divided otherwise afterwards.
func TestASittingKeepsItsTeeth(t *testing.T) {
	m := ten(t)
	first := m.Draft.Chair().Sittings()[0].Teeth
	m.Draft.Chair().EditTryIn(1, func(x *casefile.TryIn) { x.Shade = "approved" })
	m.Draft.Mouth().Add([]casefile.Tooth{16, 26, 31, 41})
	m.Draft.Chair().EditTryIn(1, func(x *casefile.TryIn) { x.Shape = "approved" })
	list := m.Draft.Chair().Sittings()
	if !slices.Equal(list[0].Teeth, first) || !slices.Equal(m.Draft.c.TryIns()[0].Teeth, first) {
		t.Errorf("%v were looked at, not %v", first, list[0].Teeth)
	}
	var all []casefile.Tooth
	for _, s := range list {
		all = append(all, s.Teeth...)
	}
	if len(all) != 14 || !slices.Equal(casefile.SortTeeth(all), m.Draft.Mouth().Teeth()) {
		t.Errorf("sittings %+v", list)
	}
	// All at once, and then some more: they have a sitting of their own.
	rest := slices.DeleteFunc(m.Draft.Mouth().Teeth(), func(t casefile.Tooth) bool { return slices.Contains(first, t) })
	m.Draft.c.Events = []casefile.Event{{Kind: casefile.Approved, Sitting: 1, Teeth: first, Parts: []string{"length"}},
		{Kind: casefile.ChangeWanted, Sitting: 2, Teeth: rest, Parts: []string{"length"}}}
	m.Draft.Mouth().Add([]casefile.Tooth{42})
	if list = m.Draft.Chair().Sittings(); len(list) != 3 || list[2].Number != 3 || !slices.Equal(list[0].Teeth, first) || !slices.Equal(list[1].Teeth, rest) || !slices.Equal(list[2].Teeth, []casefile.Tooth{42}) {
		t.Errorf("sittings %+v", list)
	}
}

// What was said bears its day; where it asked for a change, its teeth come to the
// next sitting on a later day, until they were looked at again.
func TestWhatWasToBeChangedIsLookedAtAgain(t *testing.T) {
	m := ten(t)
	first := m.Draft.Chair().Sittings()[0].Teeth
	of := len(m.Draft.Chair().Sittings())
	m.Draft.today = m.Draft.c.Start.AddDays(30)
	m.Draft.Chair().EditTryIn(1, func(x *casefile.TryIn) { x.Shade = "change" })
	if got := m.Draft.Chair().TryIn(1).Date; got != m.Draft.today {
		t.Errorf("said on %s", got)
	}
	if list := m.Draft.Chair().Sittings(); len(list) != of || len(list[0].Teeth)+len(list[1].Teeth) != 10 {
		t.Errorf("on the same day: %+v", list)
	}
	m.Draft.today = m.Draft.today.AddDays(14)
	m.Draft.Chair().EditTryIn(1, func(x *casefile.TryIn) { x.Note = "lighter" })
	if m.Draft.Chair().TryIn(1).Date == m.Draft.today {
		t.Error("a note is no new yes")
	}
	if list := m.Draft.Chair().Sittings(); len(list) != of || !slices.Equal(list[0].Teeth, first) || len(list[1].Teeth) != 10 {
		t.Errorf("later: %+v", list)
	}
	m.Draft.Chair().EditTryIn(2, func(x *casefile.TryIn) { x.Shade = "approved" })
	m.Draft.today = m.Draft.today.AddDays(14)
	if list := m.Draft.Chair().Sittings(); len(list) != of || len(m.Draft.c.LookAgain(m.Draft.today)) > 0 {
		t.Errorf("then: %+v", list)
	}
}

// A tooth about which something is noted is named when it is taken out; that
// nothing was done to it goes with it.
func TestANotedToothTakenOutIsNamed(t *testing.T) {
	m := ten(t)
	m.Draft.Chair().SetToothState([]casefile.Tooth{11}, "untouched")
	m.Draft.Chair().SetToothState([]casefile.Tooth{12}, "shaped")
	m.Draft.Mouth().Toggle(11)
	if g := m.Draft.Mouth().Gone(); len(g) > 0 || len(m.Draft.Faults()) > 0 {
		t.Errorf("%v, %v", g, m.Draft.Faults())
	}
	m.Draft.Mouth().Toggle(12)
	if g := m.Draft.Mouth().Gone(); !slices.Equal(g, []casefile.Tooth{12}) || len(m.Draft.Faults()) == 0 {
		t.Errorf("%v, %v", g, m.Draft.Faults())
	}
}

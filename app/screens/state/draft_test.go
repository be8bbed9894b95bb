package state

import (
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"

	"plainleaf/app/casefile"
	"plainleaf/app/demo"
	"plainleaf/app/plan"
	"plainleaf/content"
	"plainleaf/i18n"
)

var today = casefile.Date{Year: 2026, Month: 11, Day: 25}

func open(t *testing.T) *Desk {
	t.Helper()
	base, faults := content.Load()
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	words := base.Vocabulary(i18n.Tags(i18n.All()))
	practice, faults := casefile.ReadPractice(demo.Practice, words)
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	return New(base, words, practice, today, "en")
}

// ten is the ten-tooth case as tapped.
func ten(t *testing.T) *Desk {
	m := open(t)
	m.Draft.Mouth().ToggleRange(UpperFront(10))
	m.Draft.Way().SetRoute(casefile.NoPrep)
	m.Draft.Way().SetMaterial(casefile.LithiumDisilicate)
	m.Draft.Way().SetTarget("A1")
	return m
}

func TestAnEmptyCaseSaysWhatIsMissing(t *testing.T) {
	m := open(t)
	if m.Signing.Started() {
		t.Error("an empty case counts as started")
	}
	if m.Draft.Plan() != nil {
		t.Error("an empty case has a plan")
	}
	if !m.Draft.FaultsAt("route").Has("CASE-ROUTE") {
		t.Errorf("the missing route is not told: %s", m.Draft.Faults().Lines())
	}
}

func TestTenTeethInFourSteps(t *testing.T) {
	m := ten(t)
	if f := m.Draft.Faults(); len(f) > 0 {
		t.Fatal(f.Lines())
	}
	p := m.Draft.Plan()
	if p == nil {
		t.Fatal("no plan")
	}
	if len(p.Visits) == 0 || len(p.Routes) < 2 {
		t.Errorf("%d visits, %d routes", len(p.Visits), len(p.Routes))
	}
	s := m.Draft.Summary()
	want := []casefile.Tooth{15, 14, 13, 12, 11, 21, 22, 23, 24, 25}
	if !slices.Equal(s.Teeth, want) || s.Route != casefile.NoPrep || s.Findings != 0 {
		t.Errorf("summary %+v", s)
	}
}

func TestRangesChooseAndTakeOut(t *testing.T) {
	for _, x := range []struct {
		name  string
		teeth []casefile.Tooth
		n     int
	}{
		{"six", UpperFront(6), 6}, {"eight", UpperFront(8), 8}, {"ten", UpperFront(10), 10},
		{"quadrant", Quadrant(3), 8}, {"arch", Arch(false), 16},
	} {
		m := open(t)
		m.Draft.Mouth().Toggle(x.teeth[0])
		m.Draft.Mouth().ToggleRange(x.teeth)
		if len(m.Draft.Mouth().Teeth()) != x.n || !m.Draft.Mouth().AllChosen(x.teeth) {
			t.Errorf("%s: %v", x.name, m.Draft.Mouth().Teeth())
		}
		m.Draft.Mouth().ToggleRange(x.teeth)
		if len(m.Draft.Mouth().Teeth()) != 0 {
			t.Errorf("%s: %v are left", x.name, m.Draft.Mouth().Teeth())
		}
	}
	if got := UpperFront(6); !slices.Equal(got, []casefile.Tooth{13, 12, 11, 21, 22, 23}) {
		t.Errorf("upper front six: %v", got)
	}
}

func TestAToothTakenOutByMistakeComesBackWhole(t *testing.T) {
	m := ten(t)
	m.Draft.Mouth().SetUnderlying(11, "C4")
	m.Draft.Mouth().ToggleToothFinding(11, "one-dark-tooth")
	m.Draft.Chair().SetAnswer("round-incisal-edge", casefile.Places([]casefile.Tooth{11, 21}), casefile.Agree)
	m.Draft.Chair().SetAnswer("opening-contacts", []casefile.Place{casefile.Between(11, 12), casefile.Between(21, 22)}, casefile.Agree)
	m.Draft.Mouth().Toggle(11)
	gone := func() bool {
		return m.Draft.Chair().Answer("round-incisal-edge", casefile.At(11)) == casefile.Blank && m.Draft.Chair().Answer("opening-contacts", casefile.Between(11, 12)) == casefile.Blank
	}
	if !gone() {
		t.Error("an answer about a tooth outlives it")
	}
	m.Draft.Mouth().Toggle(11)
	e := m.Draft.Mouth().Entry(11)
	if e.UnderlyingShade != "C4" || !slices.Equal(e.Findings, []string{"one-dark-tooth"}) {
		t.Errorf("came back as %+v", e)
	}
	if !gone() {
		t.Error("the patient's answer came back by itself")
	}
	if m.Draft.Chair().Answer("round-incisal-edge", casefile.At(21)) != casefile.Agree || m.Draft.Chair().Answer("opening-contacts", casefile.Between(22, 21)) != casefile.Agree {
		t.Error("the other tooth lost its answer")
	}
}

func TestAnswersStartBlankAndAreKeptPlaceByPlace(t *testing.T) {
	m := ten(t)
	for c, at := range map[string]func(casefile.Tooth) casefile.Place{
		"facial-contouring": casefile.At,
		"opening-contacts":  func(x casefile.Tooth) casefile.Place { return casefile.Between(x, x+1) },
	} {
		m.Draft.c.Answers = nil
		for _, tooth := range []casefile.Tooth{11, 12, 21} {
			if m.Draft.Chair().Answer(c, at(tooth)) != casefile.Blank {
				t.Fatalf("%s at %s starts with an answer", c, at(tooth))
			}
		}
		set := func(x casefile.Tooth, a casefile.Answer) { m.Draft.Chair().SetAnswer(c, []casefile.Place{at(x)}, a) }
		set(11, casefile.Agree)
		set(12, casefile.Agree)
		set(12, casefile.No)
		set(21, casefile.Ask)
		set(21, casefile.Blank)
		for x, want := range map[casefile.Tooth]casefile.Answer{11: casefile.Agree, 12: casefile.No, 21: casefile.Blank} {
			if got := m.Draft.Chair().Answer(c, at(x)); got != want {
				t.Errorf("%s at %s: %q, want %q", c, at(x), got, want)
			}
		}
		if len(m.Draft.c.Answers) != 2 {
			t.Errorf("%+v", m.Draft.c.Answers)
		}
		if f := m.Draft.FaultsAt("answers"); len(f) > 0 {
			t.Error(f.Lines())
		}
	}
}

func TestWhatIsTypedStaysWithItsFault(t *testing.T) {
	m := ten(t)
	for _, text := range []string{"soon", "2026-02-30", "1.12.2026", "2026-1", "<b>"} {
		m.Draft.SetDate("start", text)
		if got := m.Draft.Typed("start", m.Draft.c.Start.String()); got != text {
			t.Errorf("%q stands in the field as %q", text, got)
		}
		if f := m.Draft.FaultsAt("start"); len(f) != 1 || f[0].Code != "PAGE-DATE" {
			t.Errorf("%q: %s", text, f.Lines())
		}
		if m.Draft.c.Start != today {
			t.Errorf("%q became %s", text, m.Draft.c.Start)
		}
	}
	m.Draft.SetDate("start", "2026-12-01")
	if f := m.Draft.Faults(); len(f) > 0 {
		t.Error(f.Lines())
	}
	if m.Draft.c.Start.String() != "2026-12-01" {
		t.Error(m.Draft.c.Start)
	}
	m.Draft.SetDate("start", "")
	if !m.Draft.FaultsAt("start").Has("CASE-START") {
		t.Error("no fault for a missing date")
	}
}

func TestPrivateFindingsAreNotInTheSummary(t *testing.T) {
	m := ten(t)
	public, private := "", ""
	for _, f := range m.Draft.base.Findings {
		if f.Scope == "tooth" {
			continue
		}
		if f.Private && private == "" {
			private = f.Key
		}
		if !f.Private && public == "" {
			public = f.Key
		}
	}
	if private == "" || public == "" {
		t.Fatal("the data hold no private or no public finding")
	}
	before := m.Draft.Summary()
	m.Draft.Mouth().ToggleFinding(private)
	if !reflect.DeepEqual(before, m.Draft.Summary()) {
		t.Errorf("the private finding %s changed the summary", private)
	}
	m.Draft.Mouth().ToggleFinding(public)
	if m.Draft.Summary().Findings != 1 {
		t.Errorf("%d findings", m.Draft.Summary().Findings)
	}
}

func TestABrokenFileKeepsItsTextAndTheOpenCase(t *testing.T) {
	m := ten(t)
	before, err := m.Draft.File().Export()
	if err != nil {
		t.Fatal(err)
	}
	good := string(demo.Case)
	for name, text := range map[string]string{
		"empty":     "",
		"cut":       good[:len(good)/2],
		"not json":  "Dear colleague",
		"unknown":   strings.Replace(good, `"route"`, `"rout"`, 1),
		"twice":     strings.Replace(good, `"route"`, `"route": "crown", "route"`, 1),
		"bad tooth": strings.Replace(good, `"15"`, `"19"`, 1),
		"bad shade": strings.Replace(good, `"A1"`, `"Z9"`, 1),
		"huge":      `{"version":1,"id":"` + strings.Repeat("x", 2<<20) + `"}`,
		"script":    `{"version":1,"id":"<script>alert(1)</script>"}`,
		"bad utf8":  "{\"id\":\"\xff\"}",
	} {
		if m.Import(name, text) {
			t.Errorf("%s: taken", name)
		}
		if m.Draft.caseFile == nil || m.Draft.caseFile.Text != text || len(m.Draft.caseFile.Faults) == 0 {
			t.Errorf("%s: the text is not kept with its faults", name)
		}
		if after, _ := m.Draft.File().Export(); string(after) != string(before) {
			t.Errorf("%s: the open case changed", name)
		}
	}
	if !m.Import("demo", good) || m.Draft.caseFile != nil {
		t.Error("a good file is not taken after a bad one")
	}
}

func TestExportAndImportAgree(t *testing.T) {
	m := ten(t)
	m.Draft.Mouth().SetUnderlying(21, "C4")
	m.Draft.Patient().EditPeople(func(p *casefile.People) { p.AgeBand = "adult"; p.Companion = "daughter" })
	m.Draft.Patient().TogglePriority("keep-enamel")
	data, err := m.Draft.File().Export()
	if err != nil {
		t.Fatal(err)
	}
	n := open(t)
	if !n.Import("x", string(data)) {
		t.Fatal(n.Draft.caseFile.Faults.Lines())
	}
	if !reflect.DeepEqual(m.Draft.c, n.Draft.c) {
		t.Errorf("%+v\n%+v", m.Draft.c, n.Draft.c)
	}
}

// deep collects every text held anywhere in a value.
func deep(v reflect.Value, out *[]string, seen map[uintptr]bool) {
	switch v.Kind() {
	case reflect.String:
		*out = append(*out, v.String())
	case reflect.Pointer:
		if v.IsNil() || seen[v.Pointer()] {
			return
		}
		seen[v.Pointer()] = true
		deep(v.Elem(), out, seen)
	case reflect.Interface:
		if !v.IsNil() {
			deep(v.Elem(), out, seen)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			deep(v.Field(i), out, seen)
		}
	case reflect.Slice, reflect.Array:
		for i := range v.Len() {
			deep(v.Index(i), out, seen)
		}
	case reflect.Map:
		for _, k := range v.MapKeys() {
			deep(k, out, seen)
			deep(v.MapIndex(k), out, seen)
		}
	}
}

func TestClearLeavesNothingBehind(t *testing.T) {
	const mark = "QQMARKQQ"
	m := ten(t)
	m.Draft.Patient().EditPeople(func(p *casefile.People) { p.Companion = mark; p.CapacitySupport = mark })
	m.Draft.Paper().SetPerson(func(p *Person) { *p = Person{mark, mark, mark} })
	m.Draft.Way().SetAdvice(mark)
	m.Draft.Way().SetReason("pregnancy", mark)
	m.Draft.SetDate("start", mark)
	m.Draft.Mouth().SetUnderlying(11, "C4")
	m.Draft.Mouth().Toggle(11)
	m.Import(mark, mark)
	m.Draft.Plan()
	if !m.Signing.Started() {
		t.Error("nothing counts as started")
	}
	m.Clear()
	var texts []string
	base := m.Draft.base
	m.Draft.base = nil // the evidence is the same for everybody
	deep(reflect.ValueOf(m), &texts, map[uintptr]bool{})
	m.Draft.base = base
	for _, s := range texts {
		if strings.Contains(s, mark) {
			t.Fatalf("%q is left", s)
		}
	}
	if m.Signing.Started() {
		t.Errorf("something is left: %+v", m.Draft.c)
	}
	if e := m.Draft.Mouth().Entry(11); e.UnderlyingShade != "" {
		t.Error("a tooth of the last patient is left")
	}
	m.Draft.Mouth().Toggle(11)
	if e := m.Draft.Mouth().Entry(11); e.UnderlyingShade != "" {
		t.Error("a tooth of the last patient comes back")
	}
	if m.Practice.file.Telephone == "" || m.Draft.c.Locale != "en" {
		t.Error("the practice or the language is gone")
	}
}

func TestANewPracticeFileShowsItsNumbersFirst(t *testing.T) {
	m := open(t)
	old := m.Practice.file.Telephone
	text := strings.Replace(string(demo.Practice), old, "+1 555 0100", 1)
	if text == string(demo.Practice) {
		t.Fatal("the demo practice's number is not in its file as it is")
	}
	if !m.Practice.Offer().Read("p", text) {
		t.Fatal(m.Practice.rejected.Faults.Lines())
	}
	if m.Practice.file.Telephone != old {
		t.Error("replaced before a yes")
	}
	if d := casefile.Differences(m.Practice.file, *m.Practice.offered); len(d) != 1 || d[0].Key[0] != "telephone" || d[0].Old != old || d[0].New != "+1 555 0100" {
		t.Errorf("%+v", d)
	}
	m.Practice.Offer().Drop()
	if m.Practice.file.Telephone != old || m.Practice.offered != nil {
		t.Error("a no was taken for a yes")
	}
	m.Practice.Offer().Read("p", text)
	m.Practice.Offer().Accept(newest)
	if m.Practice.file.Telephone != "+1 555 0100" {
		t.Error("not replaced after a yes")
	}
	if m.Practice.Offer().Read("p", "{") || m.Practice.rejected == nil || m.Practice.rejected.Text != "{" {
		t.Error("a broken practice file is not kept")
	}
}

func TestABlankTelephoneIsTold(t *testing.T) {
	m := open(t)
	m.Practice.SetField("telephone", "")
	if !m.Practice.FaultsAt("telephone").Has("PRAC-TELEPHONE-BLANK") {
		t.Error(m.Practice.FaultsAt("telephone").Lines())
	}
	m.Practice.SetField("telephone", "ring us")
	if len(m.Practice.FaultsAt("telephone")) == 0 || m.Practice.Field("telephone") != "ring us" {
		t.Error("a bad number is not told or not kept")
	}
}

func TestThePlanFollowsEachEdit(t *testing.T) {
	m := ten(t)
	a := m.Draft.Plan()
	if b := m.Draft.Plan(); a != b {
		t.Error("computed again without an edit")
	}
	n := m.Draft.Edits()
	m.Draft.Paper().SetPerson(func(p *Person) { p.Name = "Demo Person" })
	if b := m.Draft.Plan(); a != b || m.Draft.Edits() == n {
		t.Error("a name is a change of sheets and not of the plan")
	}
	m.Practice.Fees().Set("no-prep", "per_tooth", "990", 2)
	if b := m.Draft.Plan(); a == b {
		t.Error("a price is no change of the plan")
	}
	m.Draft.Way().SetRoute(casefile.ConventionalPrep)
	b := m.Draft.Plan()
	if a == b {
		t.Fatal("not computed after an edit")
	}
	chosen := func(p *plan.Plan) casefile.Route {
		for _, r := range p.Routes {
			if r.Chosen {
				return r.Key
			}
		}
		return ""
	}
	if chosen(b) != casefile.ConventionalPrep {
		t.Errorf("the plan is for %s", chosen(b))
	}
}

// An advice is of one option and has a reason: until it has both it is not in the case, and
// what is typed stays. The option chosen says nothing about it.
func TestAdviceIsOfOneOption(t *testing.T) {
	m := ten(t)
	w := m.Draft.Way()
	if w.Advised() != "" {
		t.Error("advised before anybody did")
	}
	w.SetAdvice("thin teeth, plenty of enamel")
	if m.Draft.c.Advice != nil || w.Advised() != "" || w.Advice() != "thin teeth, plenty of enamel" {
		t.Errorf("a reason alone: %+v", m.Draft.c.Advice)
	}
	w.Advise(casefile.NoPrep)
	w.SetRoute(casefile.Crown)
	if a := m.Draft.c.Advice; a == nil || *a != (casefile.Advice{Route: casefile.NoPrep, Reason: "thin teeth, plenty of enamel"}) {
		t.Errorf("%+v", a)
	}
	w.Advise(casefile.MinimalPrep)
	if a := m.Draft.c.Advice; a == nil || *a != (casefile.Advice{Route: casefile.MinimalPrep, Reason: "thin teeth, plenty of enamel"}) {
		t.Errorf("%+v", a)
	}
	w.SetAdvice("")
	if m.Draft.c.Advice != nil || w.Advised() != casefile.MinimalPrep {
		t.Errorf("%q advised without a reason: %+v", w.Advised(), m.Draft.c.Advice)
	}
	if f := m.Draft.Faults(); len(f) > 0 || m.Draft.Plan() == nil {
		t.Errorf("half an advice is a fault: %s", f.Lines())
	}
	if n := open(t); !n.Restore(m.Keep(false)) || n.Draft.Way().Advised() != casefile.MinimalPrep {
		t.Error("half an advice is not kept")
	}
	w.SetAdvice("because")
	w.Advise(casefile.MinimalPrep)
	if m.Draft.c.Advice != nil || w.Advised() != "" || w.Advice() != "because" {
		t.Errorf("not taken back: %q %+v", w.Advised(), m.Draft.c.Advice)
	}
	m.Draft.Undo()
	if m.Draft.c.Advice == nil {
		t.Error("the undo brought nothing back")
	}
}

// What is taken off the table is off it, with the reason or without; no treatment and the
// chosen option never are, and what nobody touched stays as the plan has it.
func TestOptionsOnTheTable(t *testing.T) {
	m := ten(t)
	w := m.Draft.Way()
	all := table(*m.Draft.Plan())
	without := func(gone ...casefile.Route) []casefile.Route {
		return slices.DeleteFunc(slices.Clone(all), func(r casefile.Route) bool { return slices.Contains(gone, r) })
	}
	see := func(what string, offers int, want []casefile.Route) {
		t.Helper()
		if f := m.Draft.Faults(); len(f) > 0 {
			t.Fatalf("%s: %s", what, f.Lines())
		}
		if got := table(*m.Draft.Plan()); !slices.Equal(got, want) || len(m.Draft.c.Offered) != offers {
			t.Errorf("%s: on the table %v, want %v; written %+v", what, got, want, m.Draft.c.Offered)
		}
	}
	see("at first", 0, all)
	w.SetOffered(casefile.None, false)
	w.SetOffered(casefile.NoPrep, false)
	see("what always is", 0, all)
	w.SetWhyNot(casefile.ConventionalPrep, "too sound for it")
	see("with a reason", 1, without(casefile.ConventionalPrep))
	w.SetOffered(casefile.MinimalPrep, false)
	see("and one without", len(all)-1, without(casefile.ConventionalPrep, casefile.MinimalPrep))
	if i := slices.IndexFunc(m.Draft.Plan().Routes, func(f plan.RouteFacts) bool { return f.Key == casefile.ConventionalPrep }); m.Draft.Plan().Routes[i].NotOffered != "too sound for it" {
		t.Error("the reason is gone")
	}
	w.SetRoute(casefile.ConventionalPrep)
	see("chosen all the same", len(all)-1, without(casefile.MinimalPrep))
	w.SetRoute(casefile.NoPrep)
	see("and left again", len(all)-1, without(casefile.MinimalPrep))
	w.SetOffered(casefile.MinimalPrep, true)
	see("all again", 0, all)
	w.SetOffered(casefile.StraighteningFirst, true)
	if got := table(*m.Draft.Plan()); len(got) != len(all)+1 || !slices.Contains(got, casefile.StraighteningFirst) {
		t.Errorf("one more: %v of %v", got, all)
	}
	w.SetOffered(casefile.StraighteningFirst, false)
	see("and not", 0, all)
}

// A way that can use only one material has it without a tap, and takes nothing
// from the one that was chosen.
func TestTheOnlyMaterialNeedsNoChoosing(t *testing.T) {
	m := open(t)
	m.Draft.Way().SetRoute(casefile.DirectComposite)
	if m.Draft.c.Material != casefile.Composite {
		t.Errorf("made of %q", m.Draft.c.Material)
	}
	m.Draft.Way().SetRoute(casefile.NoPrep)
	if m.Draft.c.Material != "" {
		t.Errorf("veneers of %q", m.Draft.c.Material)
	}
	m.Draft.Way().SetMaterial(casefile.Zirconia)
	for _, r := range []casefile.Route{casefile.DirectComposite, casefile.None, casefile.DirectComposite, casefile.NoPrep} {
		m.Draft.Way().SetRoute(r)
	}
	if m.Draft.c.Material != casefile.Zirconia {
		t.Errorf("back on the way it was chosen for: %q", m.Draft.c.Material)
	}
}

func TestAMaterialThatDoesNotFitIsTakenOut(t *testing.T) {
	m := ten(t)
	m.Draft.Way().SetRoute(casefile.DirectComposite)
	if m.Draft.c.Material == casefile.LithiumDisilicate {
		t.Error("composite of lithium disilicate")
	}
	m.Draft.Way().SetRoute(casefile.None)
	m.Draft.Way().SetRoute(casefile.NoPrep)
	if m.Draft.c.Material != casefile.LithiumDisilicate {
		t.Errorf("back on the way it was chosen for: %q", m.Draft.c.Material)
	}
	m.Draft.Way().SetRoute(casefile.DirectComposite)
	m.Draft.Way().SetMaterial(casefile.Composite)
	m.Draft.Way().SetRoute(casefile.NoPrep)
	if m.Draft.c.Material != "" {
		t.Errorf("%s, although another was chosen since", m.Draft.c.Material)
	}
	m.Draft.Way().SetRoute(casefile.StraighteningFirst)
	m.Draft.Way().SetThen(casefile.NoPrep)
	if !slices.Contains(m.Draft.Way().Materials(), casefile.LithiumDisilicate) {
		t.Errorf("after straightening: %v", m.Draft.Way().Materials())
	}
	m.Draft.Way().SetRoute(casefile.NoPrep)
	if m.Draft.c.Then != "" {
		t.Error("something follows a way that nothing follows")
	}
	// Whitening may be followed, but by no other whitening.
	m.Draft.Way().SetRoute(casefile.WhiteningHome)
	if m.Draft.c.Then != "" || !m.Draft.Way().Follows() {
		t.Errorf("whitening: then %q", m.Draft.c.Then)
	}
	m.Draft.Way().SetThen(casefile.NoPrep)
	m.Draft.Way().SetRoute(casefile.WhiteningInOffice)
	if m.Draft.c.Then != casefile.NoPrep || !slices.Contains(m.Draft.Way().Materials(), casefile.LithiumDisilicate) {
		t.Errorf("another whitening: then %q of %v", m.Draft.c.Then, m.Draft.Way().Materials())
	}
	m.Draft.Way().SetRoute(casefile.StraighteningFirst)
	m.Draft.Way().SetThen(casefile.WhiteningHome)
	m.Draft.Way().SetRoute(casefile.WhiteningInOffice)
	if m.Draft.c.Then != "" {
		t.Errorf("whitening is followed by %q", m.Draft.c.Then)
	}
}

// Every tooth of a chart can be hit: the room of a finger around one never
// touches that of another, none leaves the drawing, and each is where the jaw has it.
func TestTheChart(t *testing.T) {
	all := casefile.AllTeeth()
	for name, c := range map[string]*Chart{"wide": Wide, "slim": Slim} {
		for i, a := range all {
			p := c.Place(a)
			if p.X < 22 || p.X > c.Width-22 || p.Y < 22 || p.Y > c.Height-22 {
				t.Errorf("%s: tooth %d stands at %.0f %.0f", name, a, p.X, p.Y)
			}
			if right := a.Quadrant() == 1 || a.Quadrant() == 4; right != (p.X < c.Width/2) {
				t.Errorf("%s: tooth %d is on the wrong side", name, a)
			}
			if a.Upper() != (p.Y < c.Height/2) {
				t.Errorf("%s: tooth %d is in the wrong jaw", name, a)
			}
			for _, b := range all[:i] {
				q := c.Place(b)
				if d := math.Hypot(p.X-q.X, p.Y-q.Y); d < 2*c.Reach-0.001 {
					t.Errorf("%s: teeth %d and %d are %.1f apart", name, a, b, d)
				}
			}
		}
		// The front faces outward: straight up at the upper midline, straight down at the lower.
		if turn := c.Place(11).Turn; math.Abs(turn) > 13 {
			t.Errorf("%s: tooth 11 is turned by %.0f degrees", name, turn)
		}
		if turn := c.Place(41).Turn; math.Abs(math.Abs(turn)-180) > 13 {
			t.Errorf("%s: tooth 41 is turned by %.0f degrees", name, turn)
		}
		if left, right := c.Place(18).Turn, c.Place(28).Turn; left > -70 || right < 70 {
			t.Errorf("%s: the last teeth are turned by %.0f and %.0f degrees", name, left, right)
		}
		t.Logf("%s: %.0f by %.0f, %.1f for a finger", name, c.Width, c.Height, 2*c.Reach)
	}
}

func TestArrowKeysWalkTheArch(t *testing.T) {
	var walk []string
	at := casefile.Tooth(18)
	for range 16 {
		walk = append(walk, at.String())
		at = Beside(at, 1, 0)
	}
	if got := strings.Join(walk, " "); got != "18 17 16 15 14 13 12 11 21 22 23 24 25 26 27 28" {
		t.Error(got)
	}
	if at != 28 {
		t.Errorf("walked past the end to %d", at)
	}
	for _, x := range []struct{ from, to, dx, dy int }{{11, 41, 0, 1}, {41, 11, 0, -1}, {11, 11, 0, -1}, {26, 36, 0, 1}} {
		if got := Beside(casefile.Tooth(x.from), x.dx, x.dy); got != casefile.Tooth(x.to) {
			t.Errorf("from %d by %d %d to %d, want %d", x.from, x.dx, x.dy, got, x.to)
		}
	}
	if fmt.Sprint(EndOf(11, true), EndOf(11, false), EndOf(31, true)) != "28 18 38" {
		t.Error(EndOf(11, true), EndOf(11, false), EndOf(31, true))
	}
}

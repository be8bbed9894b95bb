package model

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

func open(t *testing.T) *Model {
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
func ten(t *testing.T) *Model {
	m := open(t)
	m.ToggleRange(UpperFront(10))
	m.SetRoute(casefile.NoPrep)
	m.SetMaterial(casefile.LithiumDisilicate)
	m.SetTarget("A1")
	return m
}

func TestAnEmptyCaseSaysWhatIsMissing(t *testing.T) {
	m := open(t)
	if m.Started() {
		t.Error("an empty case counts as started")
	}
	if m.Plan() != nil {
		t.Error("an empty case has a plan")
	}
	if !m.FaultsAt("route").Has("CASE-ROUTE") {
		t.Errorf("the missing route is not told: %s", m.Faults().Lines())
	}
}

func TestTenTeethInFourSteps(t *testing.T) {
	m := ten(t)
	if f := m.Faults(); len(f) > 0 {
		t.Fatal(f.Lines())
	}
	p := m.Plan()
	if p == nil {
		t.Fatal("no plan")
	}
	if len(p.Visits) == 0 || len(p.Routes) < 2 {
		t.Errorf("%d visits, %d routes", len(p.Visits), len(p.Routes))
	}
	s := m.Summary()
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
		m.ToggleTooth(x.teeth[0])
		m.ToggleRange(x.teeth)
		if len(m.Teeth()) != x.n || !m.AllChosen(x.teeth) {
			t.Errorf("%s: %v", x.name, m.Teeth())
		}
		m.ToggleRange(x.teeth)
		if len(m.Teeth()) != 0 {
			t.Errorf("%s: %v are left", x.name, m.Teeth())
		}
	}
	if got := UpperFront(6); !slices.Equal(got, []casefile.Tooth{13, 12, 11, 21, 22, 23}) {
		t.Errorf("upper front six: %v", got)
	}
}

func TestAToothTakenOutByMistakeComesBackWhole(t *testing.T) {
	m := ten(t)
	m.SetUnderlying(11, "C4")
	m.ToggleToothFinding(11, "one-dark-tooth")
	m.SetAnswer("round-incisal-edge", casefile.Places([]casefile.Tooth{11, 21}), casefile.Agree)
	m.SetAnswer("opening-contacts", []casefile.Place{casefile.Between(11, 12), casefile.Between(21, 22)}, casefile.Agree)
	m.ToggleTooth(11)
	gone := func() bool {
		return m.Answer("round-incisal-edge", casefile.At(11)) == casefile.Blank && m.Answer("opening-contacts", casefile.Between(11, 12)) == casefile.Blank
	}
	if !gone() {
		t.Error("an answer about a tooth outlives it")
	}
	m.ToggleTooth(11)
	e := m.Entry(11)
	if e.UnderlyingShade != "C4" || !slices.Equal(e.Findings, []string{"one-dark-tooth"}) {
		t.Errorf("came back as %+v", e)
	}
	if !gone() {
		t.Error("the patient's answer came back by itself")
	}
	if m.Answer("round-incisal-edge", casefile.At(21)) != casefile.Agree || m.Answer("opening-contacts", casefile.Between(22, 21)) != casefile.Agree {
		t.Error("the other tooth lost its answer")
	}
}

func TestAnswersStartBlankAndAreKeptPlaceByPlace(t *testing.T) {
	m := ten(t)
	for c, at := range map[string]func(casefile.Tooth) casefile.Place{
		"facial-contouring": casefile.At,
		"opening-contacts":  func(x casefile.Tooth) casefile.Place { return casefile.Between(x, x+1) },
	} {
		m.Case.Answers = nil
		for _, tooth := range []casefile.Tooth{11, 12, 21} {
			if m.Answer(c, at(tooth)) != casefile.Blank {
				t.Fatalf("%s at %s starts with an answer", c, at(tooth))
			}
		}
		set := func(x casefile.Tooth, a casefile.Answer) { m.SetAnswer(c, []casefile.Place{at(x)}, a) }
		set(11, casefile.Agree)
		set(12, casefile.Agree)
		set(12, casefile.No)
		set(21, casefile.Ask)
		set(21, casefile.Blank)
		for x, want := range map[casefile.Tooth]casefile.Answer{11: casefile.Agree, 12: casefile.No, 21: casefile.Blank} {
			if got := m.Answer(c, at(x)); got != want {
				t.Errorf("%s at %s: %q, want %q", c, at(x), got, want)
			}
		}
		if len(m.Case.Answers) != 2 {
			t.Errorf("%+v", m.Case.Answers)
		}
		if f := m.FaultsAt("answers"); len(f) > 0 {
			t.Error(f.Lines())
		}
	}
}

func TestWhatIsTypedStaysWithItsFault(t *testing.T) {
	m := ten(t)
	for _, text := range []string{"soon", "2026-02-30", "1.12.2026", "2026-1", "<b>"} {
		m.SetDate("start", text)
		if got := m.Typed("start", m.Case.Start.String()); got != text {
			t.Errorf("%q stands in the field as %q", text, got)
		}
		if f := m.FaultsAt("start"); len(f) != 1 || f[0].Code != "PAGE-DATE" {
			t.Errorf("%q: %s", text, f.Lines())
		}
		if m.Case.Start != today {
			t.Errorf("%q became %s", text, m.Case.Start)
		}
	}
	m.SetDate("start", "2026-12-01")
	if f := m.Faults(); len(f) > 0 {
		t.Error(f.Lines())
	}
	if m.Case.Start.String() != "2026-12-01" {
		t.Error(m.Case.Start)
	}
	m.SetDate("start", "")
	if !m.FaultsAt("start").Has("CASE-START") {
		t.Error("no fault for a missing date")
	}
}

func TestPrivateFindingsAreNotInTheSummary(t *testing.T) {
	m := ten(t)
	public, private := "", ""
	for _, f := range m.Base.Findings {
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
	before := m.Summary()
	m.ToggleFinding(private)
	if !reflect.DeepEqual(before, m.Summary()) {
		t.Errorf("the private finding %s changed the summary", private)
	}
	m.ToggleFinding(public)
	if m.Summary().Findings != 1 {
		t.Errorf("%d findings", m.Summary().Findings)
	}
}

func TestABrokenFileKeepsItsTextAndTheOpenCase(t *testing.T) {
	m := ten(t)
	before, err := m.Export()
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
		if m.CaseFile == nil || m.CaseFile.Text != text || len(m.CaseFile.Faults) == 0 {
			t.Errorf("%s: the text is not kept with its faults", name)
		}
		if after, _ := m.Export(); string(after) != string(before) {
			t.Errorf("%s: the open case changed", name)
		}
	}
	if !m.Import("demo", good) || m.CaseFile != nil {
		t.Error("a good file is not taken after a bad one")
	}
}

func TestExportAndImportAgree(t *testing.T) {
	m := ten(t)
	m.SetUnderlying(21, "C4")
	m.EditPeople(func(p *casefile.People) { p.AgeBand = "adult"; p.Companion = "daughter" })
	m.TogglePriority("keep-enamel")
	data, err := m.Export()
	if err != nil {
		t.Fatal(err)
	}
	n := open(t)
	if !n.Import("x", string(data)) {
		t.Fatal(n.CaseFile.Faults.Lines())
	}
	if !reflect.DeepEqual(m.Case, n.Case) {
		t.Errorf("%+v\n%+v", m.Case, n.Case)
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
	m.EditPeople(func(p *casefile.People) { p.Companion = mark; p.CapacitySupport = mark })
	m.SetPerson(func(p *Person) { *p = Person{mark, mark, mark} })
	m.SetAdvice(mark)
	m.SetReason("pregnancy", mark)
	m.SetDate("start", mark)
	m.SetUnderlying(11, "C4")
	m.ToggleTooth(11)
	m.Import(mark, mark)
	m.Plan()
	if !m.Started() {
		t.Error("nothing counts as started")
	}
	m.Clear()
	var texts []string
	base := m.Base
	m.Base = nil // the evidence is the same for everybody
	deep(reflect.ValueOf(m), &texts, map[uintptr]bool{})
	m.Base = base
	for _, s := range texts {
		if strings.Contains(s, mark) {
			t.Fatalf("%q is left", s)
		}
	}
	if m.Started() {
		t.Errorf("something is left: %+v", m.Case)
	}
	if e := m.Entry(11); e.UnderlyingShade != "" {
		t.Error("a tooth of the last patient is left")
	}
	m.ToggleTooth(11)
	if e := m.Entry(11); e.UnderlyingShade != "" {
		t.Error("a tooth of the last patient comes back")
	}
	if m.Practice.Telephone == "" || m.Case.Locale != "en" {
		t.Error("the practice or the language is gone")
	}
}

func TestANewPracticeFileShowsItsNumbersFirst(t *testing.T) {
	m := open(t)
	old := m.Practice.Telephone
	text := strings.Replace(string(demo.Practice), old, "+1 555 0100", 1)
	if text == string(demo.Practice) {
		t.Fatal("the demo practice's number is not in its file as it is")
	}
	if !m.OfferPractice("p", text) {
		t.Fatal(m.PracticeFile.Faults.Lines())
	}
	if m.Practice.Telephone != old {
		t.Error("replaced before a yes")
	}
	if d := casefile.Differences(m.Practice, *m.Offered); len(d) != 1 || d[0].Key[0] != "telephone" || d[0].Old != old || d[0].New != "+1 555 0100" {
		t.Errorf("%+v", d)
	}
	m.DropPractice()
	if m.Practice.Telephone != old || m.Offered != nil {
		t.Error("a no was taken for a yes")
	}
	m.OfferPractice("p", text)
	m.AcceptPractice(newest)
	if m.Practice.Telephone != "+1 555 0100" {
		t.Error("not replaced after a yes")
	}
	if m.OfferPractice("p", "{") || m.PracticeFile == nil || m.PracticeFile.Text != "{" {
		t.Error("a broken practice file is not kept")
	}
}

func TestABlankTelephoneIsTold(t *testing.T) {
	m := open(t)
	m.SetPracticeField("telephone", "")
	if !m.PracticeFaults("telephone").Has("PRAC-TELEPHONE-BLANK") {
		t.Error(m.PracticeFaults("telephone").Lines())
	}
	m.SetPracticeField("telephone", "ring us")
	if len(m.PracticeFaults("telephone")) == 0 || m.PracticeField("telephone") != "ring us" {
		t.Error("a bad number is not told or not kept")
	}
}

func TestThePlanFollowsEachEdit(t *testing.T) {
	m := ten(t)
	a := m.Plan()
	if b := m.Plan(); a != b {
		t.Error("computed again without an edit")
	}
	m.SetRoute(casefile.ConventionalPrep)
	b := m.Plan()
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

// Looking at another way puts no words into the dentist's mouth.
func TestAdviceStaysWithItsRoute(t *testing.T) {
	m := ten(t)
	m.SetAdvice("thin teeth, plenty of enamel")
	m.SetRoute(casefile.Crown)
	if a := m.Case.Advice; a == nil || a.Route != casefile.NoPrep || m.AdvisedElse() != casefile.NoPrep {
		t.Errorf("%+v", a)
	}
	m.SetRoute(casefile.MinimalPrep)
	m.SetAdvice(m.Advice())
	if m.AdvisedElse() != "" {
		t.Errorf("%+v", m.Case.Advice)
	}
	if a := m.Case.Advice; a == nil || a.Route != casefile.MinimalPrep || a.Reason != "thin teeth, plenty of enamel" {
		t.Errorf("%+v", a)
	}
	if f := m.FaultsAt("advice"); len(f) > 0 {
		t.Error(f.Lines())
	}
	m.SetAdvice("")
	if m.Case.Advice != nil || m.Advice() != "" {
		t.Error("empty advice stays")
	}
}

// A way that can use only one material has it without a tap, and takes nothing
// from the one that was chosen.
func TestTheOnlyMaterialNeedsNoChoosing(t *testing.T) {
	m := open(t)
	m.SetRoute(casefile.DirectComposite)
	if m.Case.Material != casefile.Composite {
		t.Errorf("made of %q", m.Case.Material)
	}
	m.SetRoute(casefile.NoPrep)
	if m.Case.Material != "" {
		t.Errorf("veneers of %q", m.Case.Material)
	}
	m.SetMaterial(casefile.Zirconia)
	for _, r := range []casefile.Route{casefile.DirectComposite, casefile.None, casefile.DirectComposite, casefile.NoPrep} {
		m.SetRoute(r)
	}
	if m.Case.Material != casefile.Zirconia {
		t.Errorf("back on the way it was chosen for: %q", m.Case.Material)
	}
}

func TestAMaterialThatDoesNotFitIsTakenOut(t *testing.T) {
	m := ten(t)
	m.SetRoute(casefile.DirectComposite)
	if m.Case.Material == casefile.LithiumDisilicate {
		t.Error("composite of lithium disilicate")
	}
	m.SetRoute(casefile.None)
	m.SetRoute(casefile.NoPrep)
	if m.Case.Material != casefile.LithiumDisilicate {
		t.Errorf("back on the way it was chosen for: %q", m.Case.Material)
	}
	m.SetRoute(casefile.DirectComposite)
	m.SetMaterial(casefile.Composite)
	m.SetRoute(casefile.NoPrep)
	if m.Case.Material != "" {
		t.Errorf("%s, although another was chosen since", m.Case.Material)
	}
	m.SetRoute(casefile.StraighteningFirst)
	m.SetThen(casefile.NoPrep)
	if !slices.Contains(m.Materials(), casefile.LithiumDisilicate) {
		t.Errorf("after straightening: %v", m.Materials())
	}
	m.SetRoute(casefile.NoPrep)
	if m.Case.Then != "" {
		t.Error("something follows a way that nothing follows")
	}
	// Whitening may be followed, but by no other whitening.
	m.SetRoute(casefile.WhiteningHome)
	if m.Case.Then != "" || !m.Follows() {
		t.Errorf("whitening: then %q", m.Case.Then)
	}
	m.SetThen(casefile.NoPrep)
	m.SetRoute(casefile.WhiteningInOffice)
	if m.Case.Then != casefile.NoPrep || !slices.Contains(m.Materials(), casefile.LithiumDisilicate) {
		t.Errorf("another whitening: then %q of %v", m.Case.Then, m.Materials())
	}
	m.SetRoute(casefile.StraighteningFirst)
	m.SetThen(casefile.WhiteningHome)
	m.SetRoute(casefile.WhiteningInOffice)
	if m.Case.Then != "" {
		t.Errorf("whitening is followed by %q", m.Case.Then)
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

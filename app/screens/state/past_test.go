package state

import (
	"fmt"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"

	"plainleaf/app/casefile"
	"plainleaf/app/demo"
	"plainleaf/app/plan"
	"plainleaf/app/record"
	"plainleaf/app/sheet"
)

func TestWhatIsOneStep(t *testing.T) {
	type edits []func(*Draft)
	wish := func(s string) func(*Draft) { return func(d *Draft) { d.Patient().SetWish(s) } }
	start := func(s string) func(*Draft) { return func(d *Draft) { d.SetDate("start", s) } }
	tooth := func(d *Draft) { d.Mouth().Toggle(31) }
	companion := func(s string) func(*Draft) {
		return func(d *Draft) { d.Patient().EditPeople(func(p *casefile.People) { p.Companion = s }) }
	}
	adult := func(d *Draft) { d.Patient().EditPeople(func(p *casefile.People) { p.AgeBand = "adult" }) }
	note := func(s string) func(*Draft) {
		return func(d *Draft) { d.Chair().EditTryIn(1, func(x *casefile.TryIn) { x.Note = s }) }
	}
	shade := func(d *Draft) { d.Chair().EditTryIn(1, func(x *casefile.TryIn) { x.Shade = "approved" }) }
	topic := func(again bool, note string) func(*Draft) {
		return func(d *Draft) { d.Patient().SetTopic("It wears", Topic{Again: again, Note: note}) }
	}
	finding := func(key string) func(*Draft) { return func(d *Draft) { d.Mouth().ToggleFinding(key) } }
	many := func(n int) (out edits) {
		for range n {
			out = append(out, tooth)
		}
		return out
	}
	for name, x := range map[string]struct {
		edits edits
		steps int
		last  Undone // what the first undo takes back
	}{
		"one field while it is typed":        {edits{wish("W"), wish("Wh"), wish("Whi")}, 1, Undone{"wish", "Whi"}},
		"typed back":                         {edits{wish("W"), wish("")}, 0, Undone{}},
		"typed back, and typed again":        {edits{wish("W"), wish(""), wish("N")}, 1, Undone{"wish", "N"}},
		"something between":                  {edits{wish("W"), tooth, wish("Wh")}, 3, Undone{"wish", "Wh"}},
		"two fields":                         {edits{wish("W"), companion("s"), companion("so"), wish("Wh")}, 3, Undone{"wish", "Wh"}},
		"an answer and a text of one part":   {edits{adult, companion("s"), companion("so"), adult, adult}, 2, Undone{"people.companion", "so"}},
		"a text that cannot be read":         {edits{start("2026-1"), start("2026-13"), start("2026-13-45")}, 1, Undone{"start", "2026-13-45"}},
		"a text that becomes a date":         {edits{start("2026-12-0"), start("2026-12-09")}, 1, Undone{"start", "2026-12-09"}},
		"the same again":                     {edits{adult, adult}, 1, Undone{}},
		"an edit that does nothing":          {edits{func(d *Draft) { d.Chair().TakeBack(7) }}, 0, Undone{}},
		"several events at once":             {edits{func(d *Draft) { d.Chair().Ask(question()) }}, 1, Undone{"note", "It is tight"}},
		"a question that is added":           {edits{func(d *Draft) { d.Patient().AddQuestion("Does it hurt?", "") }}, 1, Undone{"question", "Does it hurt?"}},
		"two questions that are added":       {edits{func(d *Draft) { d.Patient().AddQuestion("A", "") }, func(d *Draft) { d.Patient().AddQuestion("B", "") }}, 2, Undone{"question", "B"}},
		"what was said at a sitting":         {edits{shade, note("l"), note("lo")}, 2, Undone{"try_in[1].note", "lo"}},
		"a point and what was explained":     {edits{topic(true, ""), topic(true, "t"), topic(true, "to")}, 2, Undone{"topic.It wears", "to"}},
		"advice":                             {edits{func(d *Draft) { d.Way().SetAdvice("t") }, func(d *Draft) { d.Way().SetAdvice("th") }}, 1, Undone{"advice", "th"}},
		"the shade notes of two teeth":       {edits{func(d *Draft) { d.Mouth().SetShadeNote(11, "x") }, func(d *Draft) { d.Mouth().SetShadeNote(21, "x") }}, 2, Undone{"teeth.21.shade_note", "x"}},
		"all that was to be talked about":    {edits{finding("pregnancy"), finding("eating-disorder"), func(d *Draft) { d.Consent().SettleTalk() }}, 3, Undone{}},
		"as many as there may be":            {many(50), 50, Undone{}},
		"more than there may be":             {many(61), 50, Undone{}},
		"a language of the sheets is a step": {edits{func(d *Draft) { d.Languages().SetLocale("es") }}, 1, Undone{}},
	} {
		d := ten(t).Draft
		d.past = past{}
		for _, edit := range x.edits {
			edit(d)
		}
		if len(d.past.steps) != x.steps || d.CanUndo() != (x.steps > 0) {
			t.Errorf("%s: %d steps", name, len(d.past.steps))
		}
		if got, ok := d.Undo(); got != x.last || ok != (x.steps > 0) {
			t.Errorf("%s: the undo took %+v back, %v", name, got, ok)
		}
	}
}

func question() Question {
	return Question{Change: "facial-contouring", Places: casefile.Places([]casefile.Tooth{11}), Why: "It is tight", Answer: casefile.Agree, How: "spoken"}
}

// A text that cannot be read outlives the undo of a later step, and what was not added
// yet or says who the patient is has no part in any.
func TestAnUndoLosesNothingElse(t *testing.T) {
	m := ten(t)
	d := m.Draft
	d.SetDate("start", "soon")
	d.Mouth().ToggleFinding("bruxism")
	d.SetPending(map[string]string{"question": "Does it"})
	d.Paper().SetPerson(func(p *Person) { p.Name = "Demo Person" })
	m.Import("bad.json", "{")
	d.Undo()
	if d.Mouth().HasFinding("bruxism") {
		t.Error("nothing was undone")
	}
	if d.Typed("start", "") != "soon" || !d.Faults().Has("PAGE-DATE") || d.c.Start != today {
		t.Errorf("%q %s", d.Typed("start", ""), d.Faults().Lines())
	}
	if d.pending["question"] != "Does it" || d.person.Name != "Demo Person" || d.caseFile == nil {
		t.Error("a text that is no part of the case is gone")
	}
	d.Undo()
	if d.Typed("start", "x") != "x" || d.Plan() == nil {
		t.Error("the text before is not back")
	}
}

// What was agreed, sealed, opened or cleared is no step, and nothing before it is.
func TestNothingIsUndoneAcross(t *testing.T) {
	for name, end := range map[string]func(*testing.T, *Desk){
		"a clear":       func(_ *testing.T, m *Desk) { m.Clear() },
		"a file":        func(_ *testing.T, m *Desk) { m.Import("demo.json", string(demo.Case)) },
		"a kept case":   func(_ *testing.T, m *Desk) { m.Restore(m.Keep(true)) },
		"a sealed yes":  func(_ *testing.T, m *Desk) { sealYes(m) },
		"a withdrawal":  func(_ *testing.T, m *Desk) { m.Signing.SetPurpose(record.Withdrawal); sealYes(m) },
		"a paper":       onPaper,
		"a bad file":    nil,
		"a bad keeping": nil,
	} {
		m := ten(t)
		m.Draft.Patient().SetWish("Whiter")
		m.Draft.Paper().SetPrint(func(p *Print) { p.Kind = sheet.Consent })
		if end != nil {
			end(t, m)
			if _, undone := m.Draft.Undo(); m.Draft.CanUndo() || undone {
				t.Errorf("%s can be undone", name)
			}
			continue
		}
		if m.Import("bad.json", "{") || m.Restore("{") || !m.Draft.CanUndo() {
			t.Errorf("%s ends what can be undone", name)
		}
	}
}

func sealYes(m *Desk) {
	const at = "2026-11-25T10:42:00+01:00"
	m.Signing.Decide("agreed", "text", at)
	m.Signing.AddSealed(Sealed{Kind: m.Signing.RecordKind("text"), Sheet: sheet.Consent, Code: "2K7T-GSE4-BETR-PN5F", At: at}, []byte("F"), "text")
}

func onPaper(t *testing.T, m *Desk) {
	m.Draft.Patient().EditPeople(func(p *casefile.People) {
		*p = casefile.People{AgeBand: "adult", Decides: "patient", Interpreter: "none"}
	})
	m.Draft.Consent().ShowTrialSmile()
	m.Draft.today = m.Draft.today.AddDays(60)
	m.Draft.changed()
	if !m.Draft.Consent().AgreeOnPaper(m.Draft.today, "paper", "Demo folder") {
		t.Fatalf("not agreed: %+v", m.Draft.Consent().Held())
	}
}

// What left the device did, whatever is undone, and a screen stays in its language.
func TestAnUndoLeavesWhatIsOutside(t *testing.T) {
	m := ten(t)
	d := m.Draft
	d.SetID("case-1")
	d.Patient().SetWish("Whiter")
	d.Paper().HandOut()
	d.Paper().HandOutCalendar(&casefile.Calendar{})
	d.Mouth().ToggleFinding("bruxism")
	d.Languages().SetLanguage("es")
	for d.CanUndo() {
		d.Undo()
	}
	if len(d.c.Teeth) > 0 || d.c.Wish != "" {
		t.Errorf("left: %+v", d.c)
	}
	if d.c.ID != "case-1" || d.c.Calendar == nil || len(d.c.Events) != 1 || d.c.Events[0].Kind != casefile.Shown || !d.handed {
		t.Errorf("what was handed out is undone: %+v", d.c)
	}
	if d.c.Locale != "es" || d.Languages().Apart() {
		t.Errorf("the sheets are in %s", d.c.Locale)
	}
	d.Languages().SetLocale("ar")
	d.Mouth().Toggle(11)
	d.Languages().SetLanguage("en")
	d.Undo()
	if d.c.Locale != "ar" || !d.Languages().Apart() {
		t.Errorf("sheets of their own language are in %s", d.c.Locale)
	}
	d.Undo()
	if d.c.Locale != "en" || d.Languages().Apart() {
		t.Errorf("sheets without one are in %s", d.c.Locale)
	}
}

// Signatures stay, aside while the sheet is another one, and fit again after the undo.
func TestAnUndoLeavesSignatures(t *testing.T) {
	m := ten(t)
	const at = "2026-11-25T10:42:00+01:00"
	m.Signing.Decide("agreed", "text", at)
	m.Signing.OpenPad("patient")
	m.Signing.EditPad(func(p *Pad) { p.Way, p.Name = "typed", "Demo Person" })
	m.Signing.Sign("text", at)
	m.Draft.Undo()
	if m.Signing.Signature("patient", "text") == nil {
		t.Error("a signature is gone")
	}
}

func TestAnUndoneStageBringsItsSheetBack(t *testing.T) {
	d := ten(t).Draft
	d.SetStage(casefile.Delivered)
	if d.print.Kind != sheet.Aftercare {
		t.Fatalf("%s", d.print.Kind)
	}
	d.Undo()
	if d.print.Kind != sheet.Options || d.Stage() != casefile.Deciding {
		t.Errorf("%s, %s", d.Stage(), d.print.Kind)
	}
}

// walk is every edit of the case, with the field it types in, by part and method.
var walk = map[string]func(*rand.Rand, *Draft) string{
	"Draft.SetDate": func(r *rand.Rand, d *Draft) string {
		path := pick(r, "start", "issued")
		d.SetDate(path, pick(r, "2026-11-25", "2026-12-01", "2026-12-02", "2026-13-45", ""))
		return path
	},
	"Draft.SetNumbering": func(r *rand.Rand, d *Draft) string { d.SetNumbering(pick(r, "", "fdi", "universal")); return "" },
	"Draft.SetStage": func(r *rand.Rand, d *Draft) string {
		d.SetStage(pick(r, casefile.Deciding, casefile.Agreed, casefile.AtTryIn, casefile.Delivered))
		return ""
	},
	"Languages.SetLocale": func(r *rand.Rand, d *Draft) string { d.Languages().SetLocale(pick(r, "en", "es", "ar")); return "" },
	"Languages.SetSecond": func(r *rand.Rand, d *Draft) string { d.Languages().SetSecond(pick(r, "", "en", "es")); return "" },
	"Mouth.Toggle":        func(r *rand.Rand, d *Draft) string { d.Mouth().Toggle(anyTooth(r)); return "" },
	"Mouth.Add":           func(r *rand.Rand, d *Draft) string { d.Mouth().Add(UpperFront(2 * r.IntN(4))); return "" },
	"Mouth.ToggleRange":   func(r *rand.Rand, d *Draft) string { d.Mouth().ToggleRange(UpperFront(2 * r.IntN(4))); return "" },
	"Mouth.ToggleFinding": func(r *rand.Rand, d *Draft) string {
		d.Mouth().ToggleFinding(pick(r, "bruxism", "pregnancy"))
		return ""
	},
	"Mouth.SetUnderlying": func(r *rand.Rand, d *Draft) string {
		d.Mouth().SetUnderlying(anyTooth(r), pick(r, casefile.Shade(""), "C4"))
		return ""
	},
	"Mouth.SetTarget": func(r *rand.Rand, d *Draft) string {
		d.Mouth().SetTarget(anyTooth(r), pick(r, casefile.Shade(""), "A2"))
		return ""
	},
	"Mouth.SetRoute": func(r *rand.Rand, d *Draft) string {
		d.Mouth().SetRoute(anyTooth(r), pick(r, "", casefile.Crown))
		return ""
	},
	"Mouth.SetMaterial": func(r *rand.Rand, d *Draft) string {
		d.Mouth().SetMaterial(anyTooth(r), pick(r, "", casefile.Zirconia))
		return ""
	},
	"Way.SetRoute": func(r *rand.Rand, d *Draft) string {
		d.Way().SetRoute(pick(r, casefile.NoPrep, casefile.DirectComposite, casefile.GumCareFirst))
		return ""
	},
	"Way.SetThen": func(r *rand.Rand, d *Draft) string { d.Way().SetThen(pick(r, "", casefile.NoPrep)); return "" },
	"Way.SetMaterial": func(r *rand.Rand, d *Draft) string {
		d.Way().SetMaterial(pick(r, casefile.LithiumDisilicate, casefile.Zirconia))
		return ""
	},
	"Way.SetTarget": func(r *rand.Rand, d *Draft) string {
		d.Way().SetTarget(pick(r, casefile.Shade(""), "A1", "B1"))
		return ""
	},
	"Way.SetUnderlyingAll": func(r *rand.Rand, d *Draft) string {
		d.Way().SetUnderlyingAll(pick(r, casefile.Shade(""), "C4"))
		return ""
	},
	"Way.SetShadeNote": func(r *rand.Rand, d *Draft) string { d.Way().SetShadeNote(pick(r, "", "x", "xy")); return "shade_note" },
	"Way.SetAdvice":    func(r *rand.Rand, d *Draft) string { d.Way().SetAdvice(pick(r, "", "x", "xy")); return "advice" },
	"Way.Advise": func(r *rand.Rand, d *Draft) string {
		d.Way().Advise(pick(r, casefile.NoPrep, casefile.Crown))
		return ""
	},
	"Way.SetOffered": func(r *rand.Rand, d *Draft) string {
		d.Way().SetOffered(pick(r, casefile.NoPrep, casefile.Crown, casefile.WhiteningHome), pick(r, true, false))
		return ""
	},
	"Way.SetWhyNot": func(r *rand.Rand, d *Draft) string {
		off := pick(r, casefile.NoPrep, casefile.Crown)
		d.Way().SetWhyNot(off, pick(r, "", "x", "xy"))
		return "offered." + string(off)
	},
	"Way.SetReason": func(r *rand.Rand, d *Draft) string {
		wait := pick(r, "pregnancy", "gum-inflammation")
		d.Way().SetReason(wait, pick(r, "", "x", "xy"))
		return "proceed_reasons." + wait
	},
	"Mouth.SetShadeNote": func(r *rand.Rand, d *Draft) string {
		at := anyTooth(r)
		there := d.Mouth().Chosen(at)
		d.Mouth().SetShadeNote(at, pick(r, "", "x", "xy"))
		if !there {
			return ""
		}
		return fmt.Sprintf("teeth.%s.shade_note", at)
	},
	"Mouth.ToggleToothFinding": func(r *rand.Rand, d *Draft) string {
		d.Mouth().ToggleToothFinding(anyTooth(r), "one-dark-tooth")
		return ""
	},
	"Patient.TogglePriority": func(r *rand.Rand, d *Draft) string {
		d.Patient().TogglePriority(pick(r, "keep-enamel", "fewest-visits"))
		return ""
	},
	"Patient.SetDetail": func(r *rand.Rand, d *Draft) string { d.Patient().SetDetail(pick(r, "", "words", "numbers")); return "" },
	"Patient.SetWish":   func(r *rand.Rand, d *Draft) string { d.Patient().SetWish(pick(r, "", "x", "xy")); return "wish" },
	"Patient.EditPeople": func(r *rand.Rand, d *Draft) string {
		band := pick(r, "", "adult", "child")
		d.Patient().EditPeople(func(p *casefile.People) { p.AgeBand = band })
		return ""
	},
	"Patient.SetTopic": func(r *rand.Rand, d *Draft) string {
		d.Patient().SetTopic(pick(r, "A", "B"), Topic{Said: r.IntN(2) > 0, Again: r.IntN(2) > 0})
		return ""
	},
	"Patient.AddQuestion": func(r *rand.Rand, d *Draft) string { d.Patient().AddQuestion(pick(r, "", "A", "B"), ""); return "" },
	"Patient.SetAnswerTo": func(r *rand.Rand, d *Draft) string {
		i := r.IntN(3)
		there := i < len(d.c.Questions)
		d.Patient().SetAnswerTo(i, pick(r, "", "x", "xy"))
		if !there {
			return ""
		}
		return fmt.Sprintf("questions[%d].answer", i)
	},
	"Patient.RemoveQuestion": func(r *rand.Rand, d *Draft) string { d.Patient().RemoveQuestion(r.IntN(3)); return "" },
	"Consent.ShowTrialSmile": func(r *rand.Rand, d *Draft) string { d.Consent().ShowTrialSmile(); return "" },
	"Consent.Settle":         func(r *rand.Rand, d *Draft) string { d.Consent().Settle("gum-inflammation", nil); return "" },
	"Consent.SettleTalk":     func(r *rand.Rand, d *Draft) string { d.Consent().SettleTalk(); return "" },
	"Consent.DecideCare": func(r *rand.Rand, d *Draft) string {
		d.Consent().DecideCare("gum-care", pick(r, casefile.Agree, casefile.No))
		return ""
	},
	"Consent.Waive": func(r *rand.Rand, d *Draft) string {
		d.Consent().Waive(plan.OpenThinking, pick(r, "", "x", "xy"))
		return "waive." + plan.OpenThinking
	},
	"Chair.SetAnswer": func(r *rand.Rand, d *Draft) string {
		d.Chair().SetAnswer("facial-contouring", casefile.Places([]casefile.Tooth{anyTooth(r)}), pick(r, casefile.Agree, casefile.No, casefile.Blank))
		return ""
	},
	"Chair.EditTryIn": func(r *rand.Rand, d *Draft) string {
		said := pick(r, "", "approved", "change")
		d.Chair().EditTryIn(1, func(x *casefile.TryIn) { x.Shade = said })
		return ""
	},
	"Chair.SetToothState": func(r *rand.Rand, d *Draft) string {
		d.Chair().SetToothState([]casefile.Tooth{anyTooth(r)}, pick(r, casefile.Untouched, casefile.ShapedState, casefile.BondedState))
		return ""
	},
	"Chair.AddDone": func(r *rand.Rand, d *Draft) string {
		d.Chair().AddDone("facial-contouring", casefile.Places([]casefile.Tooth{anyTooth(r)}), 0.2, "x")
		return ""
	},
	"Chair.Ask": func(r *rand.Rand, d *Draft) string { d.Chair().Ask(question()); return "" },
	"Chair.Reopen": func(r *rand.Rand, d *Draft) string {
		d.Chair().Reopen("facial-contouring", casefile.Places([]casefile.Tooth{anyTooth(r)}))
		return ""
	},
	"Chair.SayGluing": func(r *rand.Rand, d *Draft) string {
		d.Chair().SayGluing([]casefile.Tooth{anyTooth(r)}, pick(r, casefile.Agree, casefile.Blank))
		return ""
	},
	"Chair.TakeBack": func(r *rand.Rand, d *Draft) string { d.Chair().TakeBack(1 + r.IntN(4)); return "" },
	"Visits.Agree":   func(r *rand.Rand, d *Draft) string { d.Visits().Agree("planning", 1+r.IntN(2), d.today); return "" },
	"Visits.Disagree": func(r *rand.Rand, d *Draft) string {
		d.Visits().Disagree("planning", 1+r.IntN(2))
		return ""
	},
	"Visits.SetDate": func(r *rand.Rand, d *Draft) string {
		there := d.Visits().index("planning", 1) >= 0
		d.Visits().SetDate("planning", 1, pick(r, "2026-12-01", "soon", "later"))
		if !there {
			return ""
		}
		return AgreedPath("planning", 1, "date")
	},
	"Visits.SetTime": func(r *rand.Rand, d *Draft) string {
		there := d.Visits().index("planning", 1) >= 0
		d.Visits().SetTime("planning", 1, pick(r, "", "9:30", "half"))
		if !there {
			return ""
		}
		return AgreedPath("planning", 1, "time")
	},
}

// noWalk are the other methods: what reads, what an undo leaves as it is, what ends it.
var noWalk = strings.Fields(`
	Draft.Base Draft.CanUndo Draft.Case File.Rejected Draft.Chair Draft.Consent File.Drop Draft.Edits File.Export
	Draft.Faults Draft.FaultsAt Draft.File Draft.Paper Paper.HandOut Paper.HandOutCalendar Paper.Handed Paper.Kinds Draft.Languages Draft.Mark File.Mend
	Draft.Mouth Draft.Open Draft.Patient Draft.Pending Paper.Person Draft.Plan Paper.Print Draft.Renumber Draft.SetID Draft.SetPending
	Paper.SetPerson Paper.SetPrint Draft.Since Draft.Stage Draft.Started Draft.Summary Paper.ToSign Draft.Today Draft.Treating
	Draft.Typed Draft.Undo Draft.Visits Draft.Way Draft.Words
	Languages.Apart Languages.Parked Languages.SetLanguage
	Mouth.AllChosen Mouth.Chosen Mouth.Entry Mouth.Gone Mouth.HasFinding Mouth.Teeth Mouth.TeethWith
	Way.Advice Way.Advised Way.Follows Way.MaterialOpen Way.Materials Way.MaterialsOf Way.Reason Way.Thens
	Patient.People Patient.Priority Patient.Topic Patient.WantsNumbers
	Consent.AgreeOnPaper Consent.Held Consent.PrivateWaits
	Chair.Against Chair.Answer Chair.Beyond Chair.Counts Chair.DoneSteps Chair.GluingSaid Chair.Sittings Chair.ToothState Chair.TryIn
	Visits.DeliveryDue Visits.List`)

func pick[T any](r *rand.Rand, list ...T) T { return list[r.IntN(len(list))] }

func anyTooth(r *rand.Rand) casefile.Tooth { return pick(r, UpperFront(6)...) }

// The walk below misses no edit: every exported method is an edit of it or is listed.
func TestTheWalkHasEveryEdit(t *testing.T) {
	d := ten(t).Draft
	var have []string
	for _, part := range []any{d, d.Languages(), d.Mouth(), d.Way(), d.Patient(), d.Consent(), d.Chair(), d.Visits(), d.Paper(), d.File()} {
		typ := reflect.TypeOf(part)
		name := typ.Name()
		if typ.Kind() == reflect.Pointer {
			name = typ.Elem().Name()
		}
		for i := range typ.NumMethod() {
			have = append(have, name+"."+typ.Method(i).Name)
		}
	}
	for _, m := range have {
		if walk[m] == nil && !slices.Contains(noWalk, m) {
			t.Errorf("%s is neither in the walk nor listed as no edit", m)
		}
	}
	for m := range walk {
		if !slices.Contains(have, m) {
			t.Errorf("%s is in the walk and is no method", m)
		}
	}
	for _, m := range noWalk {
		if !slices.Contains(have, m) || walk[m] != nil {
			t.Errorf("%s is listed as no edit", m)
		}
	}
}

// dump writes out a value with all that it points to, so that it can be compared later.
func dump(x any) string {
	var b strings.Builder
	var write func(v reflect.Value)
	write = func(v reflect.Value) {
		switch v.Kind() {
		case reflect.Pointer, reflect.Slice, reflect.Map:
			if v.IsNil() {
				b.WriteString("nil ")
				return
			}
		}
		switch v.Kind() {
		case reflect.Pointer:
			write(v.Elem())
		case reflect.Struct:
			for i := range v.NumField() {
				fmt.Fprintf(&b, "%s:", v.Type().Field(i).Name)
				write(v.Field(i))
			}
		case reflect.Slice:
			fmt.Fprintf(&b, "%d[", v.Len())
			for i := range v.Len() {
				write(v.Index(i))
			}
			b.WriteString("]")
		case reflect.Map:
			keys := v.MapKeys()
			slices.SortFunc(keys, func(x, y reflect.Value) int { return strings.Compare(fmt.Sprint(x), fmt.Sprint(y)) })
			fmt.Fprintf(&b, "%d{", v.Len())
			for _, k := range keys {
				fmt.Fprintf(&b, "%v=", k)
				write(v.MapIndex(k))
			}
			b.WriteString("}")
		case reflect.String:
			fmt.Fprintf(&b, "%q ", v.String())
		default:
			fmt.Fprintf(&b, "%v ", v)
		}
	}
	write(reflect.ValueOf(x))
	return b.String()
}

// An edit works on a copy that shares nothing with the value before.
func TestACopySharesNothing(t *testing.T) {
	m := ten(t)
	if !m.Import("demo.json", string(demo.Case)) {
		t.Fatal(m.Draft.caseFile.Faults.Lines())
	}
	d := m.Draft
	d.Patient().EditPeople(func(p *casefile.People) { p.AgeBand = "adult" })
	d.Way().Advise(casefile.NoPrep)
	d.Way().SetAdvice("Demo advice")
	d.Chair().Ask(Question{Change: "facial-contouring", Places: casefile.Places([]casefile.Tooth{11}), Fee: &casefile.Price{Minor: 1, Currency: "EUR"}, Answer: casefile.Agree})
	d.Mouth().ToggleToothFinding(11, "one-dark-tooth")
	d.Mouth().Toggle(11)
	var shared func(path string, a, b reflect.Value)
	n := 0
	shared = func(path string, a, b reflect.Value) {
		switch a.Kind() {
		case reflect.Pointer, reflect.Slice, reflect.Map:
			if a.IsNil() || a.Kind() == reflect.Slice && a.Len() == 0 {
				return
			}
			if n++; a.Pointer() == b.Pointer() {
				t.Errorf("%s is shared", path)
			}
		}
		switch a.Kind() {
		case reflect.Pointer:
			shared(path, a.Elem(), b.Elem())
		case reflect.Struct:
			for i := range a.NumField() {
				shared(path+"."+a.Type().Field(i).Name, a.Field(i), b.Field(i))
			}
		case reflect.Slice:
			for i := range a.Len() {
				shared(fmt.Sprintf("%s[%d]", path, i), a.Index(i), b.Index(i))
			}
		case reflect.Map:
			for _, k := range a.MapKeys() {
				shared(fmt.Sprintf("%s[%v]", path, k), a.MapIndex(k), b.MapIndex(k))
			}
		}
	}
	was := d.value
	now := detached(was)
	if dump(was) != dump(now) {
		t.Fatalf("another value:\n%s\n%s", dump(was), dump(now))
	}
	shared("", reflect.ValueOf(was), reflect.ValueOf(now))
	if n < 20 {
		t.Errorf("%d places looked at", n)
	}
}

// A plan that is asked for within an edit is of the case as it is by then.
func TestAPlanWithinAnEdit(t *testing.T) {
	d := ten(t).Draft
	if d.Plan() == nil {
		t.Fatal("no plan")
	}
	end := d.edit()
	d.c.Route = ""
	if d.Plan() != nil {
		t.Error("the plan of a case that is another one by now")
	}
	end()
}

// Undoing gives back the exact values before each step, in turn, in a walk of random
// edits with undos between them; and no value that was handed out changes.
func TestARandomWalkIsUndone(t *testing.T) {
	names := make([]string, 0, len(walk))
	for name := range walk {
		names = append(names, name)
	}
	slices.Sort(names)
	base := ten(t)
	base.Draft.Mouth().ToggleFinding("pregnancy") // asks to talk again
	undone, used := 0, map[string]bool{}
	for seed := range uint64(40) {
		r := rand.New(rand.NewPCG(seed, 5))
		d := New(base.Draft.base, base.Draft.words, base.Practice.file, today, "en").Draft
		if seed%2 > 0 { // a case with a plan
			d.value, d.past = detached(base.Draft.value), past{}
			d.changed()
		}
		var stack []string // the values before the steps, written out
		field := ""
		handed, held := d.Case(), dump(d.Case())
		undo := func() bool {
			if d.CanUndo() != (len(stack) > 0) {
				t.Fatalf("seed %d: can undo %v, there are %d steps", seed, d.CanUndo(), len(stack))
			}
			if len(stack) == 0 {
				return false
			}
			d.Undo()
			undone++
			if got, want := dump(d.value), stack[len(stack)-1]; got != want {
				t.Fatalf("seed %d: the undo gave\n%s\nwant\n%s", seed, got, want)
			}
			stack, field = stack[:len(stack)-1], ""
			return true
		}
		for range 150 {
			if r.IntN(6) == 0 {
				undo()
				continue
			}
			name := pick(r, names...)
			was := dump(d.value)
			typed := walk[name](r, d)
			now := dump(d.value)
			changed := now != was
			used[name] = used[name] || changed
			switch {
			case typed != "" && typed == field && len(stack) > 0:
				if stack[len(stack)-1] == now {
					stack, field = stack[:len(stack)-1], ""
				}
			case changed:
				stack, field = append(stack, was), typed
				stack = stack[max(0, len(stack)-50):]
			}
			if r.IntN(10) == 0 {
				if dump(handed) != held {
					t.Fatalf("seed %d: a case that was handed out changed after %s", seed, name)
				}
				handed, held = d.Case(), dump(d.Case())
				d.Plan()
			}
		}
		for undo() {
		}
	}
	for _, name := range names {
		if !used[name] {
			t.Errorf("%s changed nothing in the whole walk", name)
		}
	}
	if undone < 1000 {
		t.Errorf("%d undone", undone)
	}
}

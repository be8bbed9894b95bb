package state

import (
	"bytes"
	"os"
	"strings"
	"testing"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
	"plainleaf/app/record"
	"plainleaf/app/sheet"
)

func ringKey(t *testing.T, b byte) record.Key {
	t.Helper()
	k, err := record.NewKey(bytes.NewReader(bytes.Repeat([]byte{b}, 32)))
	if err != nil {
		t.Fatal(err)
	}
	return k
}

// A yes that is sealed ends the deciding; a no, a sheet to think about and a
// withdrawal leave the stage where it is, and what has come further is not set back.
func TestASealedYesIsAgreed(t *testing.T) {
	const at = "2026-11-25T09:00:00Z"
	for _, x := range []struct {
		what    string
		kind    record.Kind
		sheet   sheet.Kind
		was, is casefile.Stage
	}{
		{"agreed", record.Consent, sheet.Consent, "", casefile.Agreed},
		{"agreed", record.Superseding, sheet.Consent, casefile.Deciding, casefile.Agreed},
		{"agreed", record.Consent, sheet.Consent, casefile.AtTryIn, casefile.AtTryIn},
		{"later", record.Consent, sheet.Consent, "", casefile.Deciding},
		{"", record.Consent, sheet.Consent, "", casefile.Deciding},
		{"refused", record.Refusal, sheet.Consent, "", casefile.Deciding},
		{"agreed", record.Withdrawal, sheet.Consent, casefile.Agreed, casefile.Agreed},
		{"agreed", record.Withdrawal, sheet.Consent, "", casefile.Deciding},
		{"agreed", record.TryIn, sheet.TryIn, "", casefile.Deciding},
	} {
		m := New((&evidence.Base{}).Index(), casefile.Vocabulary{}, casefile.Practice{}, casefile.Date{Year: 2026, Month: 11, Day: 25}, "en")
		m.Draft.c.Stage = x.was
		m.Draft.print.Kind = x.sheet
		m.Signing.Decide(x.what, "text", at)
		m.Signing.AddSealed(Sealed{Kind: x.kind, Sheet: x.sheet, Code: "C", SHA256: "H", At: at}, nil, "text")
		if m.Draft.Stage() != x.is {
			t.Errorf("%q, %s, from %q: %s, want %s", x.what, x.kind, x.was, m.Draft.Stage(), x.is)
		}
		if m.Signing.Cover("text") == nil {
			t.Errorf("%q, %s, from %q: the record covers its sheet no more", x.what, x.kind, x.was)
		}
	}
}

func TestRingComesBack(t *testing.T) {
	m := New((&evidence.Base{}).Index(), casefile.Vocabulary{}, casefile.Practice{}, casefile.Date{Year: 2026, Month: 11, Day: 25}, "en")
	k := ringKey(t, 1)
	today := casefile.Date{Year: 2026, Month: 11, Day: 25}
	m.Signing.Ring().NewKey([]byte("{}\n"), k.Half("Demo", "dentist", today), today)
	m.Signing.Ring().SetKeyDate(k.ID(), "to", "2026-13-01")
	text := m.Signing.Ring().Text()
	other := &Ring{}
	if !other.Take(text) {
		t.Fatalf("not read: %s", text)
	}
	if string(other.PrivateFile()) != "{}\n" || other.OwnKey() == nil || other.OwnKey().Owner != "Demo" {
		t.Errorf("%+v", other.kept)
	}
	if v, faults := other.KeyDate(k.ID(), "to"); v != "2026-13-01" || len(faults) != 1 {
		t.Errorf("%q %v", v, faults)
	}
	for _, bad := range []string{"", "{", `{"version":2}`, `{"version":1,"more":1}`} {
		if other.Take(bad) {
			t.Errorf("%q is taken", bad)
		}
	}
	// A new key ends the old one, which stays to check with.
	next := ringKey(t, 2)
	m.Signing.Ring().SetKeyDate(k.ID(), "to", "")
	m.Signing.Ring().NewKey([]byte("{}"), next.Half("Demo", "", today), today)
	if len(m.Signing.Ring().Keys()) != 2 || m.Signing.Ring().Key(k.ID()).To != today || m.Signing.Ring().ID() != next.ID() {
		t.Errorf("%+v", m.Signing.Ring())
	}
	if n, faults := m.Signing.Ring().AddKeys(k.PublicFile("Other", "", casefile.Date{})); n != 0 || len(faults) > 0 || m.Signing.Ring().Key(k.ID()).Owner != "Other" {
		t.Errorf("%d %v %+v", n, faults, m.Signing.Ring())
	}
	if _, faults := m.Signing.Ring().AddKeys([]byte(strings.Replace(string(k.PublicFile("", "", casefile.Date{})), k.ID()[:4], "0000", 1))); len(faults) == 0 {
		t.Error("a key with another id is taken")
	}
	m.Signing.Ring().DropPrivate()
	if m.Signing.Ring().OwnKey() != nil || len(m.Signing.Ring().Keys()) != 2 {
		t.Errorf("%+v", m.Signing.Ring())
	}
}

// A record that no trusted key stands behind goes to another system only after that
// was said; one that was changed never does. Without a list nobody is asked.
func TestAnUntrustedRecordIsToldBeforeItIsGiven(t *testing.T) {
	read := func(name string) []byte {
		data, err := os.ReadFile("../../../testdata/records/" + name)
		if err != nil {
			t.Fatal(err)
		}
		return data
	}
	m := New((&evidence.Base{}).Index(), casefile.Vocabulary{}, casefile.Practice{}, casefile.Date{Year: 2026, Month: 11, Day: 25}, "en")
	for _, x := range []struct {
		file                string
		listed, told        bool
		given, ask, refused bool
	}{
		{"consent.json", false, false, true, false, false},
		{"unsigned.json", false, false, true, false, false},
		{"changed.json", false, false, false, false, true},
		{"consent.json", true, false, true, false, false},
		{"stranger.json", true, false, false, true, false},
		{"stranger.json", true, true, true, false, false},
		{"unsigned.json", true, false, false, true, false},
		{"unsigned.json", true, true, true, false, false},
		{"changed.json", true, false, false, false, true},
		{"changed.json", true, true, false, false, true},
		{"rehashed.json", true, true, false, false, true},
	} {
		m.Signing.Ring().kept.Keys = nil
		if x.listed {
			if _, faults := m.Signing.Ring().AddKeys(read("trusted.json")); len(faults) > 0 {
				t.Fatal(faults.Lines())
			}
		}
		data, ask, faults := m.Signing.Ring().FHIR(m.Signing.Ring().Check(x.file, read(x.file)), x.told)
		if len(data) > 0 != x.given || ask != x.ask || len(faults) > 0 != x.refused {
			t.Errorf("%+v: %d bytes, ask %v, %v", x, len(data), ask, faults)
		}
	}
}

// A signature counts for exactly what it was given for: another text, another
// answer or another purpose sets it aside, and the first brings it back.
// Each open point is settled in its place, while the patient still decides, and leaves
// the case sound; then nothing keeps the consent from being signed.
func TestOpenPointsAreSettledInPlace(t *testing.T) {
	m := ten(t)
	m.Draft.print.Kind = sheet.Consent
	m.Draft.Mouth().ToggleToothFinding(21, "one-dark-tooth")
	m.Draft.Patient().AddQuestion("Can I go back?", "")
	for _, x := range []struct {
		open string
		do   func()
	}{
		{"wait", func() { m.Draft.Consent().Settle("one-dark-tooth", []casefile.Tooth{21}) }},
		{"trial-smile", m.Draft.Consent().ShowTrialSmile},
		{"age", func() { m.Draft.Patient().EditPeople(func(p *casefile.People) { p.AgeBand = "adult" }) }},
		{"decides", func() { m.Draft.Patient().EditPeople(func(p *casefile.People) { p.Decides = "patient" }) }},
		{"interpreter", func() { m.Draft.Patient().EditPeople(func(p *casefile.People) { p.Interpreter = "none" }) }},
		{"questions", func() { m.Draft.Patient().SetAnswerTo(0, "Only with a drill.") }},
		{"thinking-time", func() { m.Draft.Consent().Waive("thinking-time", "I have thought about it.") }},
	} {
		if held := m.Draft.Consent().Held(); len(held) == 0 || held[0].What != x.open {
			t.Fatalf("%+v comes first, not %s", held, x.open)
		}
		x.do()
		if len(m.Draft.Faults()) > 0 || m.Draft.Stage() != casefile.Deciding {
			t.Fatalf("%s: %s, the patient is at %s", x.open, m.Draft.Faults().Lines(), m.Draft.Stage())
		}
	}
	if held := m.Draft.Consent().Held(); len(held) > 0 {
		t.Errorf("still open: %+v", held)
	}
}

// Where it was not asked who decides, nobody is taken for it, neither among those who
// may sign nor in what is noted of answers.
func TestWhoDecidesIsNotPreset(t *testing.T) {
	for _, x := range []struct {
		people  casefile.People
		signers string
	}{
		{casefile.People{}, "patient parent guardian representative interpreter dentist"},
		{casefile.People{AgeBand: "child"}, "patient parent guardian representative interpreter dentist"},
		{casefile.People{Decides: "patient", Interpreter: "none"}, "patient dentist"},
		{casefile.People{Decides: "with-support", Interpreter: "none"}, "patient dentist"},
		{casefile.People{Decides: "guardian", Interpreter: "family"}, "guardian assent interpreter dentist"},
	} {
		m := ten(t)
		m.Draft.Patient().EditPeople(func(p *casefile.People) { *p = x.people })
		m.Draft.print.Kind = sheet.Consent
		if got := strings.Join(m.Signing.Signers(), " "); got != x.signers {
			t.Errorf("%+v: %s sign, want %s", x.people, got, x.signers)
		}
		m.Draft.Chair().SayGluing([]casefile.Tooth{11}, casefile.Agree)
		m.Draft.Consent().Waive("thinking-time", "I have thought about it.")
		for _, e := range m.Draft.c.Events {
			if e.By != x.people.Decides {
				t.Errorf("%+v: %s is noted as said by %q", x.people, e.Kind, e.By)
			}
		}
	}
}

func TestSignaturesBelongToTheirText(t *testing.T) {
	m := New((&evidence.Base{}).Index(), casefile.Vocabulary{}, casefile.Practice{}, casefile.Date{Year: 2026, Month: 11, Day: 25}, "en")
	m.Draft.print.Kind = sheet.Consent
	m.Draft.c.Teeth = []casefile.ToothEntry{{Tooth: 11}}
	const at = "2026-11-25T10:00:00+01:00"
	sign := func(role, way, name, shown string) {
		m.Signing.OpenPad(role)
		m.Signing.EditPad(func(p *Pad) { p.Way, p.Name = way, name })
		if way == "drawn" {
			m.Signing.Stroke([]int{1, 2, 30, 9000, -4, 5})
		}
		m.Signing.Sign(shown, at)
	}
	m.Signing.Decide("agreed", "text 1", at)
	sign("patient", "drawn", "Testperson", "text 1")
	sign("dentist", "typed", "", "text 1") // no name: not taken
	if m.Signing.Signature("dentist", "text 1") != nil || m.Signing.Signatures().Pad.Fault() != "name" {
		t.Error("a typed signature without a name")
	}
	m.Signing.ClosePad()
	if !m.Signing.Unsealed() {
		t.Error("clearing would not ask")
	}
	s := m.Signing.Signature("patient", "text 1")
	if s == nil || s.Strokes[0][3] != PadHeight || s.Strokes[0][4] != 0 || s.At != at {
		t.Fatalf("%+v", s)
	}
	aside := func(shown string, given, decided int) {
		t.Helper()
		g, d := m.Signing.Aside(shown)
		if len(g) != given || len(d) != decided {
			t.Errorf("%s: %d signatures and %d decisions set aside", shown, len(g), len(d))
		}
	}
	aside("text 1", 0, 0)
	aside("text 2", 1, 1)
	if m.Signing.Signature("patient", "text 2") != nil || m.Signing.Decision("text 2").What != "" {
		t.Error("what was given for one text counts for another")
	}
	m.Signing.Decide("refused", "text 1", at)
	aside("text 1", 1, 0)
	m.Signing.Decide("agreed", "text 1", at)
	aside("text 1", 0, 0)
	over := m.Signing.Over("text 1")
	m.Signing.SetPurpose(record.Withdrawal)
	aside("text 1", 1, 1)
	if m.Signing.RecordKind("text 1") != record.Withdrawal || m.Signing.SealFault("text 1") != "earlier" || m.Signing.Over("text 1") == over {
		t.Errorf("%s %q", m.Signing.RecordKind("text 1"), m.Signing.SealFault("text 1"))
	}
	m.Signing.SetPurpose("")
	// Sealed, it is no longer told as lost, and the withdrawal can name it.
	m.Signing.AddSealed(Sealed{Kind: record.Consent, Sheet: sheet.Consent, Code: "C", SHA256: "H", At: at}, []byte("F\n"), "text 1")
	if m.Signing.Cover("text 1") == nil || m.Signing.Cover("text 2") != nil || !m.Draft.handed || m.Signing.Over("text 1") != over {
		t.Error("the record does not cover what it was made of, or clearing does not ask")
	}
	aside("text 2", 0, 0)
	if m.Signing.Unsealed() {
		t.Error("what is in a record counts as in none")
	}
	m.Signing.SetPurpose(record.Withdrawal)
	if e := m.Signing.Earlier("text 1"); e == nil || e.SHA256 != "H" || m.Signing.Cover("text 1") != nil {
		t.Errorf("%+v", e)
	}
	// What was withdrawn is in force no more: only a new consent follows that.
	m.Signing.SetEarlier(&Earlier{Kind: record.Withdrawal, Code: "W", SHA256: "X"})
	if f := m.Signing.SealFault("text 1"); f != "withdrawn" {
		t.Errorf("a withdrawal of a withdrawal: %q", f)
	}
	m.Signing.SetPurpose(record.Superseding)
	if f := m.Signing.SealFault("text 1"); f == "withdrawn" {
		t.Error("no new consent after a withdrawal")
	}
	// Nor does anything follow what settled nothing, or what is of a later day.
	day := m.Draft.c.Issued
	for want, e := range map[string]Earlier{
		"":        {Kind: record.Consent, Issued: day},
		"nothing": {Kind: record.Aftercare, Issued: day},
		"later":   {Kind: record.Consent, Issued: casefile.Date{Year: day.Year + 1, Month: 1, Day: 1}},
	} {
		m.Signing.SetEarlier(&e)
		if f := m.Signing.SealFault("text 1"); f != want {
			t.Errorf("%+v: %q", e, f)
		}
	}
	// Whose it is, people decide; that it says somebody else's, they are told.
	m.Draft.person.Name, m.Draft.c.ID = "Demo Person", "one"
	for _, e := range []Earlier{{}, {ID: "one"}, {Who: record.Identifiers{Name: "Demo Person", Chart: "D-1"}}} {
		if m.Signing.Foreign(e) {
			t.Errorf("%+v counts as another's", e)
		}
	}
	for _, e := range []Earlier{{ID: "two"}, {ID: "one", Who: record.Identifiers{Name: "Demo Other"}}} {
		if !m.Signing.Foreign(e) {
			t.Errorf("%+v counts as this one's", e)
		}
	}
	m.Draft.person.Name, m.Draft.c.ID = "", ""
	m.Signing.SetEarlier(nil)
	m.Signing.SetPurpose("")
	sign("dentist", "typed", "Demo", "text 1")
	if m.Signing.Cover("text 1") != nil {
		t.Error("a signature added later is covered")
	}
	// A mark needs a witness.
	m.Signing.Unsign("patient", "text 1")
	sign("patient", "mark", "Testperson", "text 1")
	if m.Signing.SealFault("text 1") != "witness" {
		t.Errorf("%q", m.Signing.SealFault("text 1"))
	}
	// Nor can one mark vouch for another.
	sign("witness", "mark", "Other", "text 1")
	if m.Signing.SealFault("text 1") != "witness" {
		t.Errorf("a mark as the witness of a mark: %q", m.Signing.SealFault("text 1"))
	}
	m.Signing.Unsign("witness", "text 1")
	sign("witness", "paper", "Other", "text 1")
	if m.Signing.Signatures().Pad.Fault() != "paper" {
		t.Errorf("%q", m.Signing.Signatures().Pad.Fault())
	}
	m.Signing.EditPad(func(p *Pad) { p.Paper, p.PaperOn = "scan", "2026-11-2" })
	if m.Signing.Signatures().Pad.Fault() != "date" {
		t.Errorf("%q", m.Signing.Signatures().Pad.Fault())
	}
	m.Signing.EditPad(func(p *Pad) { p.PaperOn = "2026-11-25" })
	m.Signing.Sign("text 1", at)
	if m.Signing.SealFault("text 1") != "" {
		t.Errorf("%q", m.Signing.SealFault("text 1"))
	}
	// All of it comes back, and is gone when cleared.
	draft := m.Keep(false)
	other := New((&evidence.Base{}).Index(), casefile.Vocabulary{}, casefile.Practice{}, casefile.Date{}, "en")
	other.Practice.file = m.Practice.file
	if !other.Restore(draft) {
		t.Fatalf("not restored: %s", draft)
	}
	if other.Signing.Over("text 1") != m.Signing.Over("text 1") || other.Draft.print.Kind != sheet.Consent || len(other.Signing.have.Sealed) != 1 || string(other.Signing.have.Sealed[0].Bytes()) != "F\n" {
		t.Errorf("%+v", other.Signing.have)
	}
	m.Clear()
	if m.Signing.Signed() || m.Keep(false) != "" {
		t.Errorf("left: %+v", m.Signing.have)
	}
}

// A sheet that is being signed stays in its languages.
func TestASignedSheetKeepsItsLanguages(t *testing.T) {
	m := New((&evidence.Base{}).Index(), casefile.Vocabulary{}, casefile.Practice{}, casefile.Date{Year: 2026, Month: 11, Day: 25}, "ar")
	m.Draft.print.Kind = sheet.Consent
	m.Draft.Languages().SetSecond("en")
	m.Signing.Decide("agreed", "x", "2026-11-25T10:00:00Z")
	m.Draft.Languages().SetLanguage("en")
	if l, s := m.Signing.SheetTongues(); l != "ar" || s != "en" {
		t.Errorf("%s beside %s", l, s)
	}
	m.Signing.SetSheetSecond("")
	if l, s := m.Signing.SheetTongues(); l != "ar" || s != "" {
		t.Errorf("%s beside %s", l, s)
	}
	m.Draft.print.Kind = sheet.Aftercare
	if l, _ := m.Signing.SheetTongues(); l != "en" {
		t.Errorf("another sheet is in %s", l)
	}
	m.Draft.print.Kind = sheet.Consent
	m.Signing.Decide("", "x", "")
	if l, _ := m.Signing.SheetTongues(); l != "en" {
		t.Errorf("with nothing signed it is in %s", l)
	}
}

// A withdrawal is in force until another consent is sealed; what is sealed of other
// sheets changes nothing.
func TestAWithdrawalIsInForce(t *testing.T) {
	m := ten(t)
	for i, x := range []struct {
		kind  record.Kind
		sheet sheet.Kind
		force bool
	}{{"consent", sheet.Consent, false}, {"withdrawal", sheet.Consent, true}, {"tryin", sheet.TryIn, true}, {"superseding", sheet.Consent, false}} {
		m.Signing.have.Sealed = append(m.Signing.have.Sealed, Sealed{Kind: x.kind, Sheet: x.sheet})
		if got := m.Signing.Withdrawn() != nil; got != x.force {
			t.Errorf("%d, after %s: %v", i, x.kind, got)
		}
	}
}

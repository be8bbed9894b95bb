package schema

import (
	"encoding/json"
	"strings"
	"testing"

	"plainleaf/app/casefile"
	"plainleaf/app/demo"
	"plainleaf/app/record"
	"plainleaf/app/screens/state"
	"plainleaf/app/sheet"
)

func opened(t *testing.T) *state.Desk {
	t.Helper()
	practice, faults := casefile.ReadPractice(demo.Practice, words)
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	return state.New(base, words, practice, casefile.Date{Year: 2026, Month: 11, Day: 25}, "en")
}

const moment = "2026-11-25T10:42:00+01:00"

// signed has something of all that a draft may hold.
func signed(m *state.Desk) {
	m.Draft.Mouth().ToggleRange(state.UpperFront(2))
	m.Draft.Way().SetRoute(casefile.NoPrep)
	m.Draft.SetDate("start", "2026-13-45")
	m.Draft.Patient().SetWish(strings.Repeat("x", 3000))
	m.Draft.Way().SetAdvice(" ")
	m.Draft.SetPending(map[string]string{"question": "Does it"})
	m.Draft.Paper().SetPerson(func(p *state.Person) { p.Name = "Demo Person" })
	m.Draft.Paper().SetPrint(func(p *state.Print) { p.Kind = sheet.Consent })
	m.Draft.Languages().SetLocale("es")
	m.Signing.Decide("agreed", sum, moment)
	m.Signing.OpenPad("patient")
	m.Signing.Stroke([]int{1, 2, 3, 4})
	m.Signing.Sign(sum, moment)
	m.Signing.AddSealed(state.Sealed{Kind: record.Consent, Sheet: sheet.Consent, Code: "2K7T-GSE4-BETR-PN5F", SHA256: sum, At: moment,
		Issued: casefile.Date{Year: 2026, Month: 11, Day: 25}, Name: "demo.json"}, []byte("{}"), sum)
	m.Signing.SetPurpose(record.Withdrawal)
	m.Signing.SetEarlier(&state.Earlier{Kind: record.Consent, Code: "2K7T-GSE4-BETR-PN5F", SHA256: sum, Who: record.Identifiers{Name: "Demo Person"}})
	m.Signing.OpenPad("witness")
	m.Signing.EditPad(func(p *state.Pad) { p.Way, p.PaperOn = "paper", "soon" })
}

// What the screens write fits, half entered too, and opens again as it was.
func TestDraftsFitTheirSchema(t *testing.T) {
	s := Compile(t, "draft.json")
	states := map[string]func(*state.Desk){
		"a wish alone": func(m *state.Desk) { m.Draft.Patient().SetWish("Whiter") },
		"no treatment": func(m *state.Desk) { m.Draft.Way().SetRoute(casefile.None) },
		"no dates": func(m *state.Desk) {
			m.Draft.Patient().SetWish("Whiter")
			m.Draft.SetDate("issued", "")
			m.Draft.SetDate("start", "")
		},
		"a bad file": func(m *state.Desk) { m.Import("bad.json", "{\n\"version\": 1, \"toof\": 1}") },
		"signed":     signed,
	}
	for name, data := range files(t, "cases/*.json", "formats/case-1/*.json") {
		states[name] = func(m *state.Desk) { m.Import(name, string(data)) }
	}
	for name, state := range states {
		for _, person := range []bool{false, true} {
			m, n := opened(t), opened(t)
			state(m)
			text := m.Keep(person)
			if err := Validate(t, s, []byte(text)); err != nil {
				t.Errorf("%s: %v", name, err)
			}
			if !n.Restore(text) || n.Keep(person) != text {
				t.Errorf("%s: opened again it is not the same\n%s\n%s", name, text, n.Keep(person))
			}
		}
	}
}

// An earlier program wrote null where no tooth was chosen, and could not read it.
func TestADraftWithNullForTeethOpens(t *testing.T) {
	text := `{"version": 1, "case": {"version": 1, "issued": "2026-11-25", "start": "2026-11-25", "route": "", "teeth": null, "wish": "Whiter"}}`
	m := opened(t)
	if !m.Restore(text) || m.Draft.Case().Wish != "Whiter" {
		t.Error("not opened")
	}
	if err := Validate(t, Compile(t, "draft.json"), []byte(text)); err != nil {
		t.Error(err)
	}
	for _, wrong := range []string{`"teeth": 1`, `"findings": null, "teeth": null`} {
		if opened(t).Restore(strings.Replace(text, `"teeth": null`, wrong, 1)) {
			t.Errorf("%s is opened", wrong)
		}
	}
}

// A draft of version 1 fits, and is one of version 2 once it was opened.
func TestDraftsOfVersion1(t *testing.T) {
	s := Compile(t, "draft.json")
	drafts := files(t, "formats/draft-1*.json")
	for name, c := range files(t, "formats/case-1/*.json") {
		drafts[name] = []byte(`{"version": 1, "typed": {"start": "soon"}, "person": {"Name": "Demo", "Born": "", "Chart": ""}, "case": ` + string(c) + `}`)
	}
	for name, data := range drafts {
		text := string(data)
		if err := Validate(t, s, []byte(text)); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		m := opened(t)
		if !m.Restore(text) {
			t.Fatalf("%s is not opened", name)
		}
		var d struct {
			Version int
			Case    struct{ Version int }
		}
		now := m.Keep(true)
		if err := json.Unmarshal([]byte(now), &d); err != nil || d.Version != 2 || d.Case.Version != 2 {
			t.Errorf("%s: version %d, case %d (%v)", name, d.Version, d.Case.Version, err)
		}
		if err := Validate(t, s, []byte(now)); err != nil {
			t.Errorf("%s, written: %v", name, err)
		}
	}
}

func TestTheDraftSchemaRefuses(t *testing.T) {
	m := opened(t)
	signed(m)
	refuses(t, "draft.json", m.Keep(true), [][2]string{
		{`{"version":2,"case"`, `{"version":3,"case"`}, {`{"version":2,"case"`, `{"version":1,"case"`}, {`"case":{"version":2`, `"case":{"version":1`}, {`"case":{`, `"case":{"tryin":[],`},
		{`"case":{`, `"case":{"note":"x",`}, {`"es","route":"no-prep"`, `"es","route":"drill"`}, {`"es","route":"no-prep"`, `"es"`}, {`"es","route":"no-prep","teeth":[{`, `"es","route":"no-prep","teeth":[{"size":1,`}, {`"issued":"2026-11-25","start"`, `"issued":"soon","start"`},
		{`"events":[`, `"events":[{"note":"x"},`}, {`"events":[`, `"events":[{"kind":"shown","html":"x"},`}, {`"typed":{`, `"typed":{"x":1,`}, {`"pending":{`, `"pending":{"x":1,`}, {`"handed":true`, `"handed":1`},
		{`"fixed":`, `"fixed":-`}, {`"Name":"Demo Person","Born"`, `"Name":"Demo Person","Phone":"1","Born"`}, {`"Paper":"a4"`, `"Paper":"a3"`}, {`"Kind":"consent"`, `"Kind":"bill"`},
		{`"what":"agreed"`, `"what":"perhaps"`}, {`"purpose":"withdrawal"`, `"purpose":"tryin"`}, {`"way":"drawn","at"`, `"way":"typed","at"`}, {`"role":"witness"`, `"role":"king"`},
		{`"over":"`, `"over":"x`}, {`"file":"`, `"file":"!`}, {`"pad":{`, `"pad":{"at":"x",`}, {`"from":{`, `"from":{"at":"x",`}, {`"tongues":[`, `"tongues":[{},`}, {`"given":[`, `"given":[{},`},
	})
}

package state

import (
	"slices"
	"strings"
	"testing"

	"plainleaf/app/casefile"
	"plainleaf/app/demo"
	"plainleaf/app/fault"
	"plainleaf/app/produce"
	"plainleaf/i18n"
)

func newest(p casefile.Practice, tag string) *i18n.Wording {
	data, _ := i18n.Embedded(tag)
	w, _ := produce.Newest(p, tag, data)
	return w
}

func codes(faults fault.List) string {
	var out []string
	for _, f := range faults {
		out = append(out, f.Code+" "+f.Path)
	}
	return strings.Join(out, ", ")
}

// Saving never writes the value before beside one that still waits: it says what waits,
// and saves nothing until that is decided.
func TestSavingWaitsForWhatIsTyped(t *testing.T) {
	m := open(t)
	old := m.Practice.file.Telephone
	if _, faults := m.Practice.Export(); len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	for want, change := range map[string][2]func(){
		"PAGE-PHONE telephone":       {func() { m.Practice.SetField("telephone", "+1 202-555-0150") }, m.Practice.DropNumbers},
		"PAGE-FEE fees.crown.flat":   {func() { m.Practice.Fees().Set("crown", "flat", "12x", 2) }, func() { m.Practice.Fees().Set("crown", "flat", "12", 2) }},
		"PAGE-DATE closures[0].from": {func() { m.Practice.Days().SetClosure("closures", 0, "from", "soon") }, func() { m.Practice.Days().SetClosure("closures", 0, "from", "2026-12-24") }},
		"PRAC-EMAIL email":           {func() { m.Practice.SetField("email", "desk@") }, func() { m.Practice.SetField("email", "") }},
		"PRAC-CLOSURE laboratory_closures[2].from, PRAC-CLOSURE laboratory_closures[2].to": {
			func() { m.Practice.Days().AddClosure("laboratory_closures") }, func() { m.Practice.Days().DropClosure("laboratory_closures", 2) }},
		"PAGE-APPROVAL sign_offs": {func() { m.Practice.SignOffs().SetApproval(func(a *Approval) { a.Who = "Ana" }) }, func() { m.Practice.SignOffs().SetApproval(func(a *Approval) { *a = Approval{} }) }},
	} {
		change[0]()
		if data, faults := m.Practice.Export(); data != nil || codes(faults) != want {
			t.Errorf("%s: %d bytes, %s", want, len(data), codes(faults))
		}
		change[1]()
		if data, faults := m.Practice.Export(); data == nil || len(faults) > 0 {
			t.Errorf("%s, decided: %s", want, codes(faults))
		}
	}
	m.Practice.SetField("telephone", "+1 202-555-0150")
	m.Practice.AcceptNumbers()
	if data, faults := m.Practice.Export(); len(faults) > 0 || strings.Contains(string(data), `"telephone": "`+old) || !strings.Contains(string(data), "555-0150") {
		t.Errorf("%s: %.300s", faults.Lines(), data)
	}
}

// The specimen mark goes only when nothing invented is left, and what may be right for a
// real practice too was said to be so, one by one.
func TestTheMarkGoesWithTheLastInventedDetail(t *testing.T) {
	m := open(t)
	shipped, _ := casefile.ReadPractice(demo.Practice, m.Draft.words)
	for _, f := range append(PracticeFields(), "complaints", "guarantee", "remakes", "funding") {
		if f != "emergency_service" && f != "country" {
			m.Practice.SetField(f, "own "+f)
		}
	}
	m.Practice.SetField("email", "own@practice.example")
	m.Practice.SetField("telephone", "+1 202-555-0151")
	m.Practice.SetField("emergency_line", "+1 202-555-0152")
	m.Practice.AcceptNumbers()
	m.Practice.Fees().Set("crown", "flat", "12", 2)
	invented, unconfirmed := casefile.StillDemo(m.Practice.file, shipped)
	if want := []string{"base_address", "sign_offs"}; !slices.Equal(invented, want) {
		t.Errorf("still invented: %q, want %q", invented, want)
	}
	if m.Practice.TakeOver(shipped) || !m.Practice.file.Demo {
		t.Fatal("live with invented details")
	}
	m.Practice.SetField("base_address", "https://own.example/")
	m.Practice.SignOffs().Drop(0)
	for _, key := range []string{"country", "emergency_service", "locale", "languages", "currency", "opening_days", "closures", "laboratory_days",
		"laboratory_closures", "time_zone", "waivers", "fees.no-prep"} {
		if !slices.Contains(unconfirmed, key) {
			t.Errorf("%s goes live by itself: %q", key, unconfirmed)
		}
	}
	m.Practice.Days().Toggle("opening_days", "sat") // changed, and so not the demo's
	for _, key := range unconfirmed {
		if m.Practice.TakeOver(shipped) {
			t.Fatalf("live before %s was confirmed", key)
		}
		if key != "opening_days" {
			m.Practice.Confirm(key)
		}
	}
	m.Practice.SetField("telephone", "+1 202-555-0153")
	if m.Practice.TakeOver(shipped) {
		t.Fatal("live while a number waits")
	}
	m.Practice.DropNumbers()
	if !m.Practice.TakeOver(shipped) || m.Practice.file.Demo {
		_, left := casefile.StillDemo(m.Practice.file, shipped)
		t.Errorf("not live, though all is said: %q", left)
	}
	if data, faults := m.Practice.Export(); len(faults) > 0 || !m.Practice.Offer().Read("own.json", string(data)) {
		t.Errorf("the practice cannot be read again: %s %+v", faults.Lines(), m.Practice.rejected)
	}
}

// A bad sentence keeps a practice file from being offered, with the fault that a
// translator's would have, quoted; one that has no place here is a fault.
func TestSentencesOfAnOfferedPracticeAreChecked(t *testing.T) {
	m := open(t)
	offer := func(sentences string) {
		m.Practice.Offer().Read("p.json", strings.Replace(string(demo.Practice), `"waivers"`, `"wordings": `+sentences+`, "waivers"`, 1))
	}
	for sentence, want := range map[string]string{
		`{"en": {"sheet.common.on-teeth": {"one": "This is about it.", "other": "This concerns teeth {{.Teeth}}."}}}`: "WORDING-PLACEHOLDER-LOST wordings.en.sheet.common.on-teeth",
		`{"en": {"priority.soonest.name": "Be finished in {{.Count}} days"}}`:                                         "WORDING-PLACEHOLDER-EXTRA wordings.en.priority.soonest.name",
		`{"en": {"priority.soonest.name": "Be finished in 3 days"}}`:                                                  "WORDING-DIGITS wordings.en.priority.soonest.name, WORDING-DIGITS-DIFFER wordings.en.priority.soonest.name",
		`{"es": {"priority.soonest.name": "{{range .}}x{{end}}"}}`:                                                    "WORDING-TEMPLATE wordings.es.priority.soonest.name, WORDING-TEMPLATE wordings.es.priority.soonest.name",
		`{"es": {"warning.chip-or-crack.self": "Keep the pieces and do not bite there; dental wax covers an edge."}}`: "WORDING-UNTRANSLATED wordings.es.warning.chip-or-crack.self",
		`{"es": {"warning.chip-or-crack.self": "Guarde los trozos que haya. Por favor, muerda algo duro ahí."}}`:      "WORDING-NEGATION wordings.es.warning.chip-or-crack.self",
		`{"ar": {"priority.soonest.name": "` + strings.Repeat("كلام ", 250) + `كلام"}}`:                               "WORDING-LONG wordings.ar.priority.soonest.name",
		`{"es": {"sheet.common.on-teeth": "Se trata de {{.Teeth}}."}}`:                                                "WORDING-FORM-MISSING wordings.es.sheet.common.on-teeth",
		`{"en": {"warning.veneer-came-off.self": "Keep it in a small hard box; glue it. Eat soft food."}}`:            "WORDING-NEGATION wordings.en.warning.veneer-came-off.self",
		`{"en": {"priority.soonest.name": "<b>Soon</b>"}}`:                                                            "WORDING-MARKUP wordings.en.priority.soonest.name",
	} {
		offer(sentence)
		if m.Practice.rejected == nil || m.Practice.offered != nil || codes(m.Practice.rejected.Faults) != want {
			got := ""
			if m.Practice.rejected != nil {
				got = codes(m.Practice.rejected.Faults)
			}
			t.Errorf("%.80s: got %s, want %s", sentence, got, want)
			continue
		}
		for _, f := range m.Practice.rejected.Faults {
			if v := f.Args["Value"]; v == "" || len([]rune(v)) > 83 || !strings.Contains(f.Text, v) {
				t.Errorf("the sentence is not quoted: %+v", f)
			}
		}
	}
	offer(`{"en": {"priority.soonest.name": "Be done with it soon", "gone.for.ever": "Nobody prints this"}}`)
	if m.Practice.offered == nil || codes(m.Practice.notes) != "WORDING-ID wordings.en.gone.for.ever" {
		t.Fatalf("%+v, %s", m.Practice.rejected, codes(m.Practice.notes))
	}
	m.Practice.Offer().Accept(newest)
	if m.Practice.file.Wordings["en"]["gone.for.ever"] == nil || newest(m.Practice.file, "en") == nil {
		t.Error("a sentence without a place is lost or keeps sheets from being made")
	}
}

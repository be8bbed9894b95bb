//go:build !js

package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"plainleaf/app/casefile"
	"plainleaf/app/produce"
	"plainleaf/app/render"
	"plainleaf/i18n"
)

// keepPractice writes a practice file for a test and gives its name.
func keepPractice(t *testing.T, p casefile.Practice) string {
	t.Helper()
	data, err := casefile.WritePractice(p)
	if err != nil {
		t.Fatal(err)
	}
	name := filepath.Join(t.TempDir(), "practice.json")
	if err := os.WriteFile(name, data, 0o644); err != nil {
		t.Fatal(err)
	}
	return name
}

func readPracticeFile(t *testing.T, name string) casefile.Practice {
	t.Helper()
	p, _, faults := readPractice(name)
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	return p
}

// The practice's own sentences are checked by check, and before anything is made of them.
func TestThePracticesSentencesAreChecked(t *testing.T) {
	p := readPracticeFile(t, "../testdata/practice/own-figures.json")
	p.Wordings["es"] = map[string]any{"priority.soonest.name": "En {{.Count}} días", "gone.for.ever": "x"}
	file := keepPractice(t, p)
	const want = "WORDING-PLACEHOLDER-EXTRA\twordings.es.priority.soonest.name\t{{.Count}} is not in the original: take the mark out; the sentence is \"En {{.Count}} días\"\n"
	if code, out, errs := order("", "sheet", "-kind", "options", "-locale", "en", "-practice", file, caseDir+"/two-teeth.json"); code != badInput || out != "" || errs != want {
		t.Errorf("sheet: exit %d\n%s", code, errs)
	}
	code, out, errs := order("", "check", "-practice", file)
	if code != badInput || out != "" || !strings.Contains(errs, strings.Replace(want, "wordings.es", file+":wordings.es", 1)) {
		t.Errorf("check: exit %d\n%s", code, errs)
	}
	delete(p.Wordings["es"], "priority.soonest.name")
	_, _, errs = order("", "check", "-practice", keepPractice(t, p))
	if !strings.Contains(errs, "WORDING-ID\t") || !strings.Contains(errs, "wordings.es.gone.for.ever\tthis program has no such sentence") {
		t.Errorf("a sentence without a place is not told: %s", errs)
	}
	// A warning that is turned round is refused before a sheet is made of it.
	delete(p.Wordings["es"], "gone.for.ever")
	p.Wordings["en"] = map[string]any{"warning.jaw-locked-open.self": "Try to force it shut."}
	code, out, errs = order("", "sheet", "-kind", "aftercare", "-locale", "en", "-practice", keepPractice(t, p), caseDir+"/two-teeth.json")
	if code != badInput || out != "" || strings.Count(errs, "\n") != 1 ||
		!strings.HasPrefix(errs, "WORDING-NEGATION\twordings.en.warning.jaw-locked-open.self\tthe source says no, \"") || !strings.Contains(errs, "\"Try to force it shut.\": ") {
		t.Errorf("a warning turned round: exit %d\n%s", code, errs)
	}
	p.Wordings["es"]["gone.for.ever"] = "x"
	delete(p.Wordings, "en")
	var told struct{ Faults, Notes []struct{ Code, Path string } }
	_, out, _ = order("", "check", "-json", "-practice", keepPractice(t, p))
	if err := json.Unmarshal([]byte(out), &told); err != nil || len(told.Notes) != 2 || told.Notes[0].Code != "PRAC-DEMO-LEFT" || told.Notes[1].Code != "WORDING-ID" {
		t.Errorf("%v: %s", err, out)
	}
}

// check names what is left of the demo practice in one that is not marked as such, and
// the sentences that nobody signed off as they are.
func TestCheckLooksAtThePractice(t *testing.T) {
	p := readPracticeFile(t, "../testdata/practice/signed.json")
	if _, _, errs := order("", "check", "-practice", keepPractice(t, p)); strings.Contains(errs, "PRAC-DEMO-LEFT") {
		t.Errorf("the demo practice is told that it is one: %s", errs)
	}
	p.Demo = false
	_, _, errs := order("", "check", "-practice", keepPractice(t, p))
	for key, note := range map[string]string{"telephone": "", "base_address": "", "sign_offs": "", "fees": "", "time_zone": "note: ", "closures": "note: "} {
		if !strings.Contains("\n"+errs, "\n"+note+"PRAC-DEMO-LEFT\t") || !strings.Contains(errs, ":"+key+"\t") {
			t.Errorf("%s is not told:\n%s", key, errs)
		}
	}
	p = readPracticeFile(t, "../testdata/practice/own-figures.json")
	for _, tag := range []string{"en", "es"} {
		render.Approve(&p, tag, newest(p, tag), newest(p, "en"))
	}
	p.SignOffs = append(p.SignOffs, casefile.SignOff{Sheet: "all", Locale: "en", Who: "Dr. Specimen", Role: "dentist", When: casefile.Date{Year: 2026, Month: 11, Day: 10}})
	if _, _, errs := order("", "check", "-practice", keepPractice(t, p)); strings.Contains(errs, "PRAC-APPROVAL") {
		t.Errorf("just signed off: %s", errs)
	}
	p.Wordings["en"]["priority.soonest.name"] = "Be done with it at once"
	_, _, errs = order("", "check", "-practice", keepPractice(t, p))
	for _, tag := range []string{"en", "es"} { // the Spanish was compared with other words
		if n := strings.Count(errs, "note: PRAC-APPROVAL\t"); n != 2 || !strings.Contains(errs, ":wordings."+tag+".priority.soonest.name\t") {
			t.Errorf("%s: %d notes\n%s", tag, n, errs)
		}
	}
}

// A file that a newer program wrote has that as its only fault.
func TestANewerPracticeFile(t *testing.T) {
	name := filepath.Join(t.TempDir(), "p.json")
	if err := os.WriteFile(name, []byte(`{"version": 3, "new": 1}`), 0o644); err != nil {
		t.Fatal(err)
	}
	code, out, errs := order("", "plan", "-practice", name, caseDir+"/two-teeth.json")
	if code != badInput || out != "" || errs != "PRAC-VERSION\tversion\tthis program reads versions 1 to 2, not 3: a higher one needs a newer program\n" {
		t.Errorf("exit %d: %s", code, errs)
	}
	if code, _, errs := order("", "plan", "-practice", "../testdata/formats/practice-1.json", caseDir+"/two-teeth.json"); code != good {
		t.Errorf("version 1: exit %d %s", code, errs)
	}
}

// What a translator brings is printed once it is signed off; until then the approved one.
func TestImportKeepsWhatWasApprovedInService(t *testing.T) {
	const id = "priority.soonest.name"
	p := readPracticeFile(t, "../testdata/practice/signed.json")
	p.Wordings = map[string]map[string]any{"en": {id: "Be done with it soon"}, "es": {id: "Acabar pronto"}}
	render.Approve(&p, "es", newest(p, "es"), newest(p, "en"))
	file := keepPractice(t, p)
	work, _ := exchanged(t, "", "export", "-locale", "es", "-practice", file, "-only", "own")
	if !strings.Contains(work, "<target>Acabar pronto</target>") {
		t.Fatal(work)
	}
	back := strings.Replace(work, "<target>Acabar pronto</target>", "<target>Acabar del todo pronto</target>", 1)
	out, said := exchanged(t, back, "import", "-practice", file, "-")
	if !strings.Contains(said, "Until then sheets print 1 sentence as it was approved.") {
		t.Errorf("the report: %s", said)
	}
	name := filepath.Join(t.TempDir(), "next.json")
	if err := os.WriteFile(name, []byte(out), 0o644); err != nil {
		t.Fatal(err)
	}
	next := readPracticeFile(t, name)
	if next.Wordings["es"][id] != "Acabar del todo pronto" || next.InService["es"][id] != "Acabar pronto" {
		t.Errorf("%v, in service %v", next.Wordings, next.InService)
	}
	page := func(file string) string {
		t.Helper()
		code, page, errs := order("", "sheet", "-kind", "options", "-locale", "es", "-format", "text", "-practice", file, caseDir+"/composite.json")
		if code != good {
			t.Fatal(errs)
		}
		return page
	}
	if got := page(name); !strings.Contains(got, "Acabar pronto") || strings.Contains(got, "Acabar del todo pronto") {
		t.Error("the sheet does not print what was approved")
	}
	render.Approve(&next, "es", newest(next, "es"), newest(next, "en"))
	if got := page(keepPractice(t, next)); !strings.Contains(got, "Acabar del todo pronto") {
		t.Error("signed off, the sheet still prints the one before")
	}
	data, _ := i18n.Embedded("es")
	if w, _ := produce.Printed(next, "es", data); w == nil || w.Source(id).Other != "Acabar del todo pronto" {
		t.Error("what is printed is not what was signed off")
	}
}

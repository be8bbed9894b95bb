//go:build !js

package main

import (
	"bytes"
	"encoding/json"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"plainleaf/app/casefile"
	"plainleaf/i18n"
	"plainleaf/i18n/upkeep"
)

// wordsOnDisk is a copy of the folder of wordings, as a contributor has it.
func wordsOnDisk(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	if err := os.CopyFS(dir, i18n.Files()); err != nil {
		t.Fatal(err)
	}
	return dir
}

// folderBytes are all the files of a folder.
func folderBytes(t *testing.T, dir string) map[string]string {
	t.Helper()
	all := map[string]string{}
	err := fs.WalkDir(os.DirFS(dir), ".", func(name string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() {
			return err
		}
		data, err := os.ReadFile(filepath.Join(dir, name))
		all[name] = string(data)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// differ lists the files that are not the same in two folders.
func differ(a, b map[string]string) string {
	var names []string
	for name := range a {
		if a[name] != b[name] {
			names = append(names, name)
		}
	}
	if len(a) != len(b) {
		names = append(names, "(files came or went)")
	}
	return strings.Join(names, " ")
}

// exchanged runs the command, which must succeed.
func exchanged(t *testing.T, stdin string, args ...string) (out, errs string) {
	t.Helper()
	code, out, errs := order(stdin, append([]string{"exchange"}, args...)...)
	if code != good {
		t.Fatalf("exchange %v: exit %d: %s", args, code, errs)
	}
	return out, errs
}

// swapped puts one text for another, which must be there once.
func swapped(t *testing.T, s, from, to string) string {
	t.Helper()
	if n := strings.Count(s, from); n != 1 {
		t.Fatalf("%q is there %d times", from, n)
	}
	return strings.Replace(s, from, to, 1)
}

func TestExchangeWithContributors(t *testing.T) {
	dir := wordsOnDisk(t)
	before := folderBytes(t, dir)
	for _, l := range i18n.Languages()[1:] {
		file, errs := exchanged(t, "", "export", "-locale", l.Tag)
		if again, _ := exchanged(t, "", "export", "-locale", l.Tag); again != file || errs != "" {
			t.Errorf("%s: another run gives other bytes, or there is something to say: %s", l.Tag, errs)
		}
		out, _ := exchanged(t, file, "import", "-dir", dir, "-when", "2026-11-27", "-")
		if out != "" {
			t.Errorf("%s: standard output carries %q", l.Tag, out)
		}
	}
	if d := differ(before, folderBytes(t, dir)); d != "" {
		t.Errorf("what came back as it went out changed %s", d)
	}

	// A mended sentence is written as a merge of it writes.
	file, _ := exchanged(t, "", "export", "-locale", "es", "-part", "sheets")
	const id = "sheet.options.title"
	text := spanish(t)[id].Other
	unit := file[strings.Index(file, `<unit id="`+id+`"`):]
	unit = unit[:strings.Index(unit, "</unit>")]
	sent := swapped(t, file, unit, swapped(t, unit, "<target>"+text, "<target>"+text+" nuevo"))
	if out, _ := exchanged(t, sent, "import", "-check", "-dir", dir, "-"); !strings.Contains(out, "1 would be taken: new or changed words") {
		t.Errorf("the check says %q", out)
	}
	if d := differ(before, folderBytes(t, dir)); d != "" {
		t.Errorf("a check changed %s", d)
	}
	_, errs := exchanged(t, sent, "import", "-dir", dir, "-when", "2026-11-27", "-")
	if !strings.Contains(errs, "1 taken: new or changed words") {
		t.Errorf("the report is %q", errs)
	}
	other := wordsOnDisk(t)
	fragment, _ := json.Marshal(map[string]string{id: text + " nuevo"})
	if _, faults, err := upkeep.Folder(other).Merge("es", fragment, upkeep.Change{Who: "translator", When: "2026-11-27"}); err != nil || len(faults) > 0 {
		t.Fatal(err, faults.Lines())
	}
	now := folderBytes(t, dir)
	if d := differ(now, folderBytes(t, other)); d != "" || now["es.json"] == before["es.json"] {
		t.Errorf("an import and a merge differ in %q", d)
	}
	if faults := upkeep.Check(os.DirFS(dir)); len(faults) > 0 {
		t.Error(faults.Lines())
	}
}

// A file says that everything is final: what stood there and was only translated is
// reviewed, once somebody else than its translator says so, and nothing is final.
func TestExchangeCapsStates(t *testing.T) {
	dir := wordsOnDisk(t)
	file, _ := exchanged(t, "", "export", "-locale", "es", "-part", "sheets")
	all := strings.ReplaceAll(file, `state="translated"`, `state="final"`)
	_, errs := exchanged(t, all, "import", "-dir", dir, "-when", "2026-11-27", "-who", "reviewer", "-")
	states := folderBytes(t, dir)["state/es.json"]
	n := strings.Count(states, `"state": "reviewed"`)
	if n < 1000 || strings.Contains(states, `"final"`) || strings.Count(states, `"who": "reviewer", "when": "2026-11-27"`) != n || !strings.Contains(errs, "taken as reviewed") {
		t.Errorf("%d reviewed: %s", n, errs)
	}
	other := wordsOnDisk(t)
	before := strings.Count(folderBytes(t, other)["state/es.json"], `"who": "draft translator"`)
	_, errs = exchanged(t, all, "import", "-dir", other, "-when", "2026-11-27", "-who", "draft translator", "-")
	if states := folderBytes(t, other)["state/es.json"]; before == 0 || strings.Count(states, `"who": "draft translator", "when": "2026-11-25"`) == 0 || !strings.Contains(errs, "stay translated") {
		t.Errorf("whoever translated a text reviewed it: %s", errs)
	}
	if strings.Contains(folderBytes(t, other)["state/es.json"], `"final"`) {
		t.Error("a file made a text final")
	}
}

// Any fault and nothing is written, nothing is on standard output, and each fault
// says the sentence, what is wrong and what to do.
func TestExchangeRefusesWhole(t *testing.T) {
	dir := wordsOnDisk(t)
	before := folderBytes(t, dir)
	file, _ := exchanged(t, "", "export", "-locale", "es")
	unit := file[strings.Index(file, `<unit id="urgency.emergency-now"`):]
	unit = unit[:strings.Index(unit, "</unit>")]
	target := unit[strings.Index(unit, "<target>"):]
	sent := swapped(t, file, unit, swapped(t, unit, target, "<target>Llame pronto.</target></segment>"))
	practice := filepath.Join("..", "testdata", "practice", "signed.json")
	for _, args := range [][]string{{"-dir", dir}, {"-practice", practice}, {"-check"}} {
		code, out, errs := order(sent, append(append([]string{"exchange", "import"}, args...), "-")...)
		want := "WORDING-PLACEHOLDER-LOST\turgency.emergency-now\t{{.Emergency}} is missing: take the mark over from the source, to its place in the sentence; the source is \"Call {{.Emergency}} now\"\n"
		if code != badInput || out != "" || errs != want {
			t.Errorf("%v: exit %d: %q", args, code, errs)
		}
	}
	// When asked, the sentences without a fault are taken, and the others are named.
	two := swapped(t, sent, `<unit id="urgency.call-today" name`, `<unit id="urgency.call-today" translate="yes" name`)
	for _, u := range []struct{ id, text string }{{"sheet.options.title", "Lo que se puede hacer hoy"}, {"sheet.wait.title", "Una {llave"}} {
		i := strings.Index(two, `<unit id="`+u.id+`"`)
		j := i + strings.Index(two[i:], "<target>") + len("<target>")
		two = two[:j] + u.text + two[j+strings.Index(two[j:], "</target>"):]
	}
	code, out, errs := order(two, "exchange", "import", "-leave", "-practice", practice, "-")
	var got casefile.Practice
	if err := json.Unmarshal([]byte(out), &got); err != nil || code != good {
		t.Fatalf("exit %d: %v %s", code, err, errs)
	}
	if len(got.Wordings["es"]) != 1 || got.Wordings["es"]["sheet.options.title"] != "Lo que se puede hacer hoy" {
		t.Errorf("%v were taken", got.Wordings)
	}
	for _, want := range []string{"note: WORDING-PLACEHOLDER-LOST\turgency.emergency-now\t", "note: EXCHANGE-BRACE\tsheet.wait.title\t", "     1 taken: new", "     2 not taken: they have a fault"} {
		if !strings.Contains(errs, want) {
			t.Errorf("%q does not say %q", errs, want)
		}
	}
	if code, out, _ := order("{}", "exchange", "import", "-leave", "-practice", practice, "-"); code != badInput || out != "" {
		t.Error("a file that is none was taken in part")
	}
	for name, data := range map[string]string{
		"EXCHANGE-DTD":    strings.Replace(file, "<xliff", `<!DOCTYPE x [<!ENTITY a SYSTEM "file:///etc/passwd">]><xliff`, 1),
		"EXCHANGE-FORMAT": "{}",
	} {
		if code, out, errs := order(data, "exchange", "import", "-dir", dir, "-"); code != badInput || out != "" || !strings.HasPrefix(errs, name+"\t") {
			t.Errorf("%s: exit %d: %q %q", name, code, out, errs)
		}
	}
	if d := differ(before, folderBytes(t, dir)); d != "" {
		t.Errorf("a refused file changed %s", d)
	}
}

func TestExchangeWithAPractice(t *testing.T) {
	dir := t.TempDir()
	at := func(name string) string { return filepath.Join(dir, name) }
	save := func(name string, data []byte) string {
		if err := os.WriteFile(at(name), data, 0o644); err != nil {
			t.Fatal(err)
		}
		return at(name)
	}
	signed, err := os.ReadFile("../testdata/practice/signed.json")
	if err != nil {
		t.Fatal(err)
	}
	// Its own sentences: one in its own language, one in Spanish.
	var p casefile.Practice
	if err := json.Unmarshal(signed, &p); err != nil {
		t.Fatal(err)
	}
	p.Wordings = map[string]map[string]any{
		"en": {"priority.soonest.name": "Be done with it soon"},
		"es": {"urgency.emergency-now": "Llame enseguida al {{.Emergency}}"},
	}
	data, err := casefile.WritePractice(p)
	if err != nil {
		t.Fatal(err)
	}
	own := save("own.json", data)

	file, _ := exchanged(t, "", "export", "-locale", "es", "-practice", own)
	if out, errs := exchanged(t, file, "import", "-practice", own, "-"); out != string(data) {
		t.Errorf("what came back as it went out changed the practice file: %s", errs)
	}
	if out, _ := exchanged(t, file, "import", "-practice", own, "-out", at("same.json"), "-"); out != "" {
		t.Errorf("with -out standard output carries %q", out)
	} else if same, err := os.ReadFile(at("same.json")); err != nil || !bytes.Equal(same, data) {
		t.Error("the file written is not the practice's", err)
	}

	// The front office sends its own sentences, and gets them back.
	mine, _ := exchanged(t, "", "export", "-locale", "es", "-practice", own, "-only", "own")
	if strings.Count(mine, "<unit ") != 2 || !strings.Contains(mine, "<source>Be done with it soon</source>") || strings.Count(mine, `subState="plainleaf:stale"`) != 1 {
		t.Fatalf("its own sentences are %s", mine)
	}
	i := strings.Index(mine, `<unit id="priority.soonest.name"`)
	tail := mine[i:]
	j, k := strings.Index(tail, "<target>"), strings.Index(tail, "</target>")
	mine = mine[:i] + strings.Replace(tail[:j], `state="initial" subState="plainleaf:stale"`, `state="final"`, 1) + "<target>Acabar del todo pronto" + tail[k:]
	check, _ := exchanged(t, mine, "import", "-check", "-practice", own, "-")
	if !strings.Contains(check, "1 would be taken: new or changed words") || !strings.Contains(check, "signed off by Dr. Demo (specimen) before this change") {
		t.Errorf("the check says %q", check)
	}
	out, said := exchanged(t, mine, "import", "-practice", own, "-")
	var got casefile.Practice
	if err := json.Unmarshal([]byte(out), &got); err != nil {
		t.Fatal(err, said)
	}
	if got.Wordings["es"]["priority.soonest.name"] != "Acabar del todo pronto" || len(got.Wordings["es"]) != 2 || len(got.Wordings["en"]) != 1 || len(got.SignOffs) != len(p.SignOffs) {
		t.Errorf("the practice's sentences are %v", got.Wordings)
	}
	// What is printed with the new file has the sentence, and nothing is left to do.
	next := save("next.json", []byte(out))
	code, page, errs := order("", "sheet", "-kind", "options", "-locale", "es", "-format", "text", "-practice", next, "../testdata/cases/composite.json")
	if code != good || !strings.Contains(page, "Acabar del todo pronto") {
		t.Errorf("the sheet does not have it: exit %d %s", code, errs)
	}
	if code, _, errs := order("", "exchange", "export", "-locale", "es", "-practice", next, "-only", "new"); code != badInput || !strings.HasPrefix(errs, "EXCHANGE-NOTHING\t") {
		t.Errorf("there is still something new: exit %d %s", code, errs)
	}
	// When its own sentence changes once more, its translation is new work.
	got.Wordings["en"]["priority.soonest.name"] = "Be done with it very soon"
	if data, err := casefile.WritePractice(got); err != nil {
		t.Fatal(err)
	} else {
		next = save("later.json", data)
	}
	if work, _ := exchanged(t, "", "export", "-locale", "es", "-practice", next, "-only", "new"); strings.Count(work, "<unit ") != 1 || !strings.Contains(work, "<target>Acabar del todo pronto</target>") {
		t.Errorf("what is new is %s", work)
	}
	// The program's own words again are no words of the practice's own.
	plain, _ := exchanged(t, "", "export", "-locale", "es")
	i = strings.Index(plain, `<unit id="urgency.emergency-now"`)
	unit := plain[i : i+strings.Index(plain[i:], "</unit>")+len("</unit>")]
	mine, _ = exchanged(t, "", "export", "-locale", "es", "-practice", own)
	i = strings.Index(mine, `<unit id="urgency.emergency-now"`)
	back := mine[:i] + unit + mine[i+strings.Index(mine[i:], "</unit>")+len("</unit>"):]
	out, _ = exchanged(t, back, "import", "-practice", own, "-")
	got = casefile.Practice{}
	if err := json.Unmarshal([]byte(out), &got); err != nil || len(got.Wordings["es"]) != 0 || len(got.WordingSources) != 0 || len(got.Wordings["en"]) != 1 {
		t.Errorf("the practice still words %v, %v", got.Wordings, err)
	}
	// A sentence with plural forms goes into the file as forms.
	const count = "sheet.options.visit-count"
	if !spanish(t)[count].Plural() {
		t.Fatal(count, " has no forms")
	}
	back, _ = exchanged(t, "", "export", "-locale", "es", "-practice", own)
	i = strings.Index(back, `<unit id="`+count+`_other"`)
	back = back[:i] + strings.Replace(back[i:], "</target>", " (nuevo)</target>", 1)
	unsigned := written(t, own, func(m map[string]any) { delete(m, "sign_offs") })
	out, errs = exchanged(t, back, "import", "-practice", unsigned, "-")
	got = casefile.Practice{}
	if err := json.Unmarshal([]byte(out), &got); err != nil {
		t.Fatal(err)
	}
	if forms, ok := got.Wordings["es"][count].(map[string]any); !ok || len(forms) != 3 || !strings.HasSuffix(forms["other"].(string), " (nuevo)") {
		t.Errorf("%s is %v", count, got.Wordings["es"])
	}
	if !strings.Contains(errs, "Sheets in es have no sign-off: they are printed beside en") {
		t.Errorf("the report is %q", errs)
	}
}

func spanish(t *testing.T) map[string]i18n.Message {
	t.Helper()
	l, _ := i18n.Lookup("es")
	data, _ := i18n.Embedded("es")
	m, faults := l.Parse("es", data)
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	return m
}

// A sentence whose source has changed since the file was made is told and left.
func TestExchangeTellsStale(t *testing.T) {
	own := filepath.Join("..", "testdata", "practice", "own-figures.json") // words priority.soonest.name itself
	file, _ := exchanged(t, "", "export", "-locale", "es")
	out, errs := exchanged(t, file, "import", "-check", "-practice", own, "-")
	if !strings.Contains(errs, "note: EXCHANGE-STALE\tpriority.soonest.name\t") || !strings.Contains(out, "1 not taken: the source sentence has changed") {
		t.Errorf("%q %q", out, errs)
	}
}

func TestExchangeAnotherLanguage(t *testing.T) {
	file, errs := exchanged(t, "", "export", "-locale", "pl", "-part", "sheets")
	if strings.Contains(file, "<target") || !strings.Contains(file, "_few\"") || !strings.Contains(errs, "does not speak pl yet") {
		t.Error("a file for a new language is not open: ", errs)
	}
	i := strings.Index(file, `<unit id="sheet.options.title"`)
	file = file[:i] + strings.Replace(file[i:], "</source>", "</source><target>Co jest możliwe</target>", 1)
	if out, _ := exchanged(t, file, "import", "-check", "-"); !strings.Contains(out, "1 would be taken: new or changed words") || !strings.Contains(out, "not taken: no translation yet") {
		t.Errorf("the check says %q", out)
	}
	practice := filepath.Join("..", "testdata", "practice", "signed.json")
	for _, args := range [][]string{{"-practice", practice}, {"-dir", wordsOnDisk(t)}} {
		code, out, errs := order(file, append(append([]string{"exchange", "import"}, args...), "-")...)
		if code != badInput || out != "" || !strings.HasPrefix(errs, "EXCHANGE-LANGUAGE\ttrgLang\tthe program does not speak pl yet") {
			t.Errorf("%v: exit %d: %q", args, code, errs)
		}
	}
}

// A practice whose own language is another translates from that.
func TestExchangeFromAnotherLanguage(t *testing.T) {
	var p casefile.Practice
	data, err := os.ReadFile("../testdata/practice/demo.json")
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(data, &p); err != nil {
		t.Fatal(err)
	}
	p.Locale = "es"
	p.Wordings = map[string]map[string]any{"es": {"priority.soonest.name": "Terminar pronto de verdad"}}
	if data, err = casefile.WritePractice(p); err != nil {
		t.Fatal(err)
	}
	name := filepath.Join(t.TempDir(), "practice.json")
	if err := os.WriteFile(name, data, 0o644); err != nil {
		t.Fatal(err)
	}
	if _, errs := exchanged(t, "", "export", "-locale", "ar", "-practice", name); !strings.Contains(errs, "-source es") {
		t.Errorf("nothing tells of its own sentences: %q", errs)
	}
	file, _ := exchanged(t, "", "export", "-locale", "ar", "-source", "es", "-practice", name)
	if !strings.Contains(file, "<source>Terminar pronto de verdad</source>") || !strings.Contains(file, `srcLang="es" trgLang="ar"`) || strings.Count(file, `subState="plainleaf:stale"`) != 1 {
		t.Error("its own sentence is not translated from")
	}
	if out, errs := exchanged(t, file, "import", "-practice", name, "-"); out != string(data) {
		t.Errorf("what came back as it went out changed the practice file: %s", errs)
	}
	if code, _, errs := order(file, "exchange", "import", "-dir", wordsOnDisk(t), "-"); code != badInput || !strings.HasPrefix(errs, "EXCHANGE-LANGUAGE\tsrcLang\t") {
		t.Errorf("the program's own words were taken from another source: exit %d %s", code, errs)
	}
}

func TestExchangeUsage(t *testing.T) {
	practice := filepath.Join("..", "testdata", "practice", "demo.json")
	file := filepath.Join(t.TempDir(), "es.xlf")
	exchanged(t, "", "export", "-locale", "es", "-part", "screens", "-out", file)
	for _, args := range [][]string{
		{}, {"send"}, {"export"}, {"export", "-locale", "xx"}, {"export", "-locale", "en"}, {"export", "-locale", "es", "-only", "some"},
		{"export", "-locale", "es", "-only", "own"}, {"export", "-locale", "es", "-part", "consent"}, {"export", "-locale", "ar", "-source", "es"},
		{"export", "-locale", "es", "-source", "xx", "-practice", practice}, {"export", "-locale", "es", "more"},
		{"export", "-locale", "es", "-practice", practice, "-out", practice},
		{"import"}, {"import", file, file}, {"import", "-dir", t.TempDir(), file}, {"import", "-practice", practice, "-dir", "i18n", file},
		{"import", "-out", "x.json", file}, {"import", "-check", "-practice", practice, "-out", "x.json", file}, {"import", "-when", "today", file},
		{"import", "-practice", practice, "-out", practice, file}, {"import", "-practice", practice, "-out", file, file},
		{"import", file}, // there is no folder of wordings here
	} {
		code, out, errs := order("", append([]string{"exchange"}, args...)...)
		if code != badUsage || out != "" || errs == "" {
			t.Errorf("exchange %v: exit %d %q %q", args, code, out, errs)
		}
	}
	if code, _, errs := order("", "exchange", "import", "-check", filepath.Join(t.TempDir(), "none.xlf")); code != badInput || !strings.HasPrefix(errs, "FILE-READ\t") {
		t.Errorf("a file that is not there: exit %d %s", code, errs)
	}
	if data, err := os.ReadFile(file); err != nil || !bytes.HasPrefix(data, []byte("<?xml")) {
		t.Error("the file was replaced", err)
	}
}

//go:build !js

package main

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"plainleaf/app/casefile"
)

// written puts a JSON file of the examples somewhere else, changed.
func written(t *testing.T, file string, change func(map[string]any)) string {
	t.Helper()
	data, err := os.ReadFile(file)
	var m map[string]any
	if err == nil {
		err = json.Unmarshal(data, &m)
	}
	if err == nil {
		change(m)
		data, err = json.Marshal(m)
	}
	name := filepath.Join(t.TempDir(), "old.json")
	if err == nil {
		err = os.WriteFile(name, data, 0o644)
	}
	if err != nil {
		t.Fatal(err)
	}
	return name
}

// What was written while a language was offered opens after it was parked, and each
// thing that would need the language says so.
func TestACaseInAParkedLanguage(t *testing.T) {
	old := written(t, caseDir+"/two-teeth.json", func(m map[string]any) { m["locale"], m["second"] = "de", "zh-Hans" })
	signed := "../testdata/practice/signed.json"
	for _, c := range []struct {
		code int
		want string // on standard error
		args []string
	}{
		{good, "", []string{"plan", old}},
		{good, "", []string{"sheet", "-kind", "options", "-locale", "en", old}},
		{good, "", []string{"sheet", "-kind", "consent", "-locale", "es", "-second", "en", "-practice", signed, old}},
		{badInput, "LANGUAGE-PARKED\tlocale\tDeutsch (de) is parked, no sheet is made in it for now: ask for another language with -locale (en, es, ar)", []string{"sheet", "-kind", "options", old}},
		{badInput, "LANGUAGE-PARKED\tlocale\t", []string{"code", "-practice", signed, old}},
		{badInput, "LANGUAGE-PARKED\t" + old + ":locale\t", []string{"seal", "-out", filepath.Join(t.TempDir(), "records"), old}},
		{badInput, "LANGUAGE-PARKED\t" + old + ":second\t", []string{"seal", "-locale", "en", "-out", filepath.Join(t.TempDir(), "records"), old}},
		{good, "", []string{"seal", "-locale", "es", "-second", "en", "-out", filepath.Join(t.TempDir(), "records"), old}},
		{badUsage, "plainleaf sheet: Deutsch (de) is parked: it is known and not offered for now; there are en, es, ar\n", []string{"sheet", "-kind", "options", "-locale", "de", old}},
		{badUsage, "plainleaf sheet: 简体中文 (zh-Hans) is parked", []string{"sheet", "-kind", "options", "-locale", "en", "-second", "zh-Hans", old}},
		{badUsage, "plainleaf code: Deutsch (de) is parked", []string{"code", "-locale", "de", old}},
		{badUsage, "plainleaf seal: Deutsch (de) is parked", []string{"seal", "-locale", "de", "-out", filepath.Join(t.TempDir(), "records"), old}},
		{badUsage, "plainleaf sheet: there is no language \"pl\"; there are en, es, ar\n", []string{"sheet", "-kind", "options", "-locale", "pl", old}},
	} {
		code, out, errs := order("", c.args...)
		if code != c.code || !strings.HasPrefix(errs, c.want) || c.want == "" && errs != "" || code != good && out != "" {
			t.Errorf("%v: exit %d, %q", c.args, code, errs)
		}
	}
}

func TestAPracticeWithAParkedLanguage(t *testing.T) {
	const words = "priority.soonest.name"
	change := func(own string) func(map[string]any) {
		return func(m map[string]any) {
			m["locale"], m["languages"] = own, []string{"en", "de"}
			m["wordings"] = map[string]any{"de": map[string]any{words: "Bald fertig sein"}}
			m["wording_sources"] = map[string]any{"de": map[string]any{words: "en " + strings.Repeat("0", 16)}}
			m["sign_offs"] = []any{
				map[string]any{"sheet": "consent", "locale": "de", "who": "Dr. Demo (specimen)", "role": "dentist", "when": "2026-11-20", "wording": "abc"},
				map[string]any{"sheet": "options", "locale": "en", "who": "Dr. Demo (specimen)", "role": "dentist", "when": "2026-11-20"}}
		}
	}
	file := caseDir + "/two-teeth.json"
	own := written(t, "../testdata/practice/signed.json", change("de"))
	kept := written(t, "../testdata/practice/signed.json", change("en"))
	for _, c := range []struct {
		want string // on standard error, "" for a good sheet
		args []string
	}{
		{"", []string{"-kind", "consent", "-practice", kept, "-locale", "en"}},
		{"", []string{"-kind", "options", "-practice", own, "-locale", "en"}}, // signed off
		{"REVIEW-PARKED\tsign_offs\tthe en wording of the consent sheet has no sign-off, and the practice's own language de", []string{"-kind", "consent", "-practice", own, "-locale", "en"}},
		{"REVIEW-PARKED\tsign_offs\t", []string{"-kind", "aftercare", "-practice", own, "-locale", "en"}},
	} {
		code, out, errs := order("", append(append([]string{"sheet"}, c.args...), file)...)
		if c.want == "" && (code != good || errs != "") || c.want != "" && (code != badInput || out != "" || !strings.HasPrefix(errs, c.want)) {
			t.Errorf("%v: exit %d, %q", c.args, code, errs)
		}
	}

	// Written back, nothing of it is lost.
	d, faults := openDesk(own)
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	once, err := casefile.WritePractice(d.practice)
	if err != nil {
		t.Fatal(err)
	}
	back, faults := casefile.ReadPractice(once, d.known())
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	twice, _ := casefile.WritePractice(back)
	var m map[string]any
	if err := json.Unmarshal(once, &m); err != nil || !bytes.Equal(once, twice) {
		t.Fatal("written twice it differs", err)
	}
	if back.Locale != "de" || len(back.Languages) != 2 || back.Wordings["de"][words] != "Bald fertig sein" || back.WordingSources["de"] == nil ||
		len(back.SignOffs) != 2 || back.SignOffs[0].Locale != "de" || back.SignOffs[0].Wording != "abc" {
		t.Errorf("%s", once)
	}

	// A change of other words by the exchange keeps them too.
	sent, _ := exchanged(t, "", "export", "-locale", "es", "-practice", kept)
	i := strings.Index(sent, `<unit id="sheet.options.title"`)
	sent = sent[:i] + strings.Replace(sent[i:], "</target>", " (nuevo)</target>", 1)
	out, _ := exchanged(t, sent, "import", "-practice", kept, "-")
	if !strings.Contains(out, "Bald fertig sein") || !strings.Contains(out, "(nuevo)") {
		t.Error("the exchange lost the words of a parked language")
	}
}

// Translators can go on with a parked language; a practice takes no words in it.
func TestExchangeOfAParkedLanguage(t *testing.T) {
	file, errs := exchanged(t, "", "export", "-locale", "de")
	if !strings.HasPrefix(errs, "note: de is parked") || !strings.Contains(file, `trgLang="de"`) || !strings.Contains(file, "<target>") {
		t.Errorf("a file of %d bytes: %q", len(file), errs)
	}
	code, out, errs := order(file, "exchange", "import", "-practice", "../testdata/practice/signed.json", "-")
	if code != badInput || out != "" || !strings.HasPrefix(errs, "LANGUAGE-PARKED\ttrgLang\tDeutsch (de) is parked") {
		t.Errorf("exit %d: %q", code, errs)
	}
	i := strings.Index(file, `<unit id="sheet.options.title"`)
	file = file[:i] + strings.Replace(file[i:], "</target>", " (neu)</target>", 1)
	dir := wordsOnDisk(t)
	exchanged(t, file, "import", "-dir", dir, "-when", "2026-11-27", "-")
	if now := folderBytes(t, dir); !strings.Contains(now["de.json"], " (neu)") {
		t.Error("nothing was taken")
	}
	if code, out, errs := order("", "check"); code != good || !strings.Contains(out, "3 languages") {
		t.Errorf("check: exit %d, %q %q", code, out, errs)
	}
}

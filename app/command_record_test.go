//go:build !js

package main

import (
	"bytes"
	"cmp"
	"encoding/json"
	"fmt"
	"html"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"plainleaf/app/casefile"
	"plainleaf/app/record"
	"plainleaf/app/render"
	"plainleaf/build/trials"
	"plainleaf/i18n"
)

const testPhrase = "four plain words here"

// newTestKey makes a key as a practice does and gives its file; .pub is beside it.
func newTestKey(t *testing.T) string {
	t.Helper()
	t.Setenv(passphraseVariable, testPhrase)
	name := filepath.Join(t.TempDir(), "key")
	if code, out, errs := order("", "seal", "-newkey", name, "-owner", "Demo practice", "-role", "dentist", "-from", "2026-01-01"); code != good || out != "" || errs != "" {
		t.Fatalf("exit %d, %q, %s", code, out, errs)
	}
	return name
}

// records lists the files of a folder, nothing else being in it.
func records(t testing.TB, dir string) []string {
	t.Helper()
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	var files []string
	for _, e := range entries {
		if !strings.HasSuffix(e.Name(), ".json") {
			t.Errorf("%s is left in the folder", e.Name())
		}
		files = append(files, filepath.Join(dir, e.Name()))
	}
	return files
}

func readRecord(t testing.TB, file string) (record.Record, []byte) {
	t.Helper()
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	var f struct{ Record record.Record }
	if err := json.Unmarshal(data, &f); err != nil {
		t.Fatal(err)
	}
	return f.Record, data
}

// ownFolder is a folder that no other account can look into, as records want it.
func ownFolder(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	if err := os.Chmod(dir, 0o700); err != nil {
		t.Fatal(err)
	}
	return dir
}

// What is sealed is what the sheet shows, in both languages.
func TestSealHoldsWhatWasShown(t *testing.T) {
	key := newTestKey(t)
	dir := ownFolder(t)
	file := caseDir + "/ten-teeth-no-prep.json"
	args := []string{"seal", "-key", key, "-out", dir, file}
	if code, out, errs := order("", args...); code != good || out != "" || errs != "" {
		t.Fatalf("exit %d, %q, %s", code, out, errs)
	}
	files := records(t, dir)
	if len(files) != 1 {
		t.Fatal(files)
	}
	r, data := readRecord(t, files[0])
	v := record.Verify(data, nil)
	if want := fmt.Sprintf("demo-ten-teeth-consent-2026-11-25-%s.json", v.SHA256[:12]); filepath.Base(files[0]) != want {
		t.Errorf("file %s, want %s", files[0], want)
	}
	if len(r.Languages) != 2 || r.Languages[0].Locale != "es" || r.Languages[1].Locale != "en" || !r.Practice.Demo || r.Evidence == "" || r.Program == "" {
		t.Errorf("%+v", r.Practice)
	}
	_, page, _ := order("", "sheet", "-kind", "consent", "-locale", "es", "-second", "en", "-format", "text", file)
	shown := squeeze(page)
	// A picture and its caption stand on the page; in the text their sentence is enough.
	_, markup, _ := order("", "sheet", "-kind", "consent", "-locale", "es", "-second", "en", file)
	printed := squeeze(html.UnescapeString(regexp.MustCompile("<[^>]*>").ReplaceAllString(markup, "")))
	n := 0
	for _, l := range r.Languages {
		data, _ := i18n.Embedded(l.Locale)
		w, _ := i18n.Load(l.Locale, data, nil)
		if l.Wording.Digest != render.Digest(w) || l.Wording.State == "" {
			t.Errorf("%s: wording %+v", l.Locale, l.Wording)
		}
		if len(l.Limits) != len(r.Limits) || l.Limits[0].Text == "" {
			t.Errorf("%s: %d limits in words, %d named", l.Locale, len(l.Limits), len(r.Limits))
		}
		for _, s := range l.Sections {
			for _, b := range s.Blocks {
				where := shown
				if b.Picture != nil {
					where = printed
				}
				for _, it := range b.Items {
					for _, text := range append(append([]string{}, it.More...), it.Text, it.Label) {
						if text == "" {
							continue
						}
						n++
						if !strings.Contains(where, squeeze(text)) {
							t.Errorf("%s, %s: the sheet does not show %q", l.Locale, s.Heading, text)
						}
					}
				}
			}
		}
	}
	if n < 100 {
		t.Errorf("only %d texts compared", n)
	}
	// Every chair change has an answer, blanks included, and the case is whole.
	answers := map[string]bool{}
	for _, a := range r.Answers {
		answers[a.Change] = true
	}
	c := readCase(t, file)
	for _, a := range c.Answers {
		if !answers[a.Change] {
			t.Errorf("no answer for %s", a.Change)
		}
	}
	got, _ := json.Marshal(r.Case)
	want, _ := json.Marshal(c)
	if !bytes.Equal(got, want) {
		t.Error("the case is not the one sealed")
	}
	// The same again.
	if code, _, errs := order("", args...); code != good {
		t.Fatal(errs)
	}
	if again := records(t, dir); !slices.Equal(again, files) {
		t.Errorf("sealed twice: %v", again)
	}
	if _, again := readRecord(t, files[0]); !bytes.Equal(again, data) {
		t.Error("two seals differ")
	}
}

// squeeze leaves letters and digits only, so that layout does not matter.
func squeeze(s string) string {
	return strings.Map(func(r rune) rune {
		if strings.ContainsRune(" \n\t\u00a0\u202f\u2066\u2067\u2068\u2069\u200e\u200f-|", r) {
			return -1
		}
		return r
	}, s)
}

func TestSealEveryKindAndCase(t *testing.T) {
	key, all := newTestKey(t), someCases(t)
	for _, kind := range []record.Kind{record.Consent, record.TryIn, record.Aftercare, record.Refusal} {
		dir := ownFolder(t)
		args := append([]string{"seal", "-key", key, "-kind", string(kind), "-practice", "../testdata/practice/signed.json", "-out", dir}, all...)
		if code, _, errs := order("", args...); code != good || errs != "" {
			t.Errorf("%s: exit %d: %s", kind, code, errs)
		}
		files := records(t, dir)
		if len(files) != len(all) {
			t.Errorf("%s: %d records of %d cases", kind, len(files), len(all))
		}
		for _, f := range files {
			if code, _, errs := order("", "verify", "-json", "-key", key+".pub", f); code != good || errs != "" {
				t.Errorf("%s: %s", f, errs)
			}
		}
	}
}

// Nothing is refused a seal for its state: words that nobody has signed off are
// sealed as they may be shown, beside the practice's language, and the record says
// in which state they were.
func TestSealOfUnsignedWordsCarriesTheirState(t *testing.T) {
	for _, kind := range []record.Kind{record.Consent, record.Refusal, record.Aftercare} {
		dir := ownFolder(t)
		c := readCase(t, caseDir+"/two-teeth.json")
		c.Locale, c.Second = "es", ""
		data, err := casefile.WriteCase(c)
		if err != nil {
			t.Fatal(err)
		}
		if code, _, errs := order(string(data), "seal", "-kind", string(kind), "-out", dir, "-"); code != good || errs != "" {
			t.Fatalf("%s: exit %d: %s", kind, code, errs)
		}
		r, _ := readRecord(t, records(t, dir)[0])
		if len(r.Languages) != 2 || r.Languages[0].Locale != "es" || r.Languages[1].Locale != "en" {
			t.Fatalf("%s: %d languages", kind, len(r.Languages))
		}
		if w := r.Languages[0].Wording; w.State != "translated" || w.Who != "" {
			t.Errorf("%s: the record does not say that nobody checked the Spanish words: %+v", kind, w)
		}
	}
}

// A bad case among good ones is told and stops none of them.
func TestSealGoesOn(t *testing.T) {
	dir, other := t.TempDir(), t.TempDir()
	bad := filepath.Join(other, "bad.json")
	if err := os.WriteFile(bad, []byte(`{"version":1,`), 0o644); err != nil {
		t.Fatal(err)
	}
	code, out, errs := order("", "seal", "-out", dir, caseDir+"/two-teeth.json", bad, filepath.Join(other, "none.json"), caseDir+"/ten-teeth-no-prep.json")
	if code != badInput || out != "" {
		t.Errorf("exit %d, %q", code, out)
	}
	lines := strings.Split(strings.TrimSpace(errs), "\n")
	if len(lines) != 2 || !strings.HasPrefix(lines[0], "JSON-TRUNCATED\t"+bad+":$\t") || !strings.HasPrefix(lines[1], "FILE-READ\t"+other) {
		t.Errorf("%q", errs)
	}
	if n := len(records(t, dir)); n != 2 {
		t.Errorf("%d records", n)
	}
}

func TestSealUsage(t *testing.T) {
	dir := t.TempDir()
	key := newTestKey(t)
	two := caseDir + "/two-teeth.json"
	keys := t.TempDir()
	if err := os.WriteFile(keys+"/half.pub", nil, 0o600); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		args []string
		want int
	}{
		{[]string{"seal", "-newkey", keys + "/half"}, badInput}, // its other half could not be written
		{[]string{"seal"}, badUsage}, {[]string{"seal", two}, badUsage}, {[]string{"seal", "-out", dir}, badUsage},
		{[]string{"seal", "-out", dir, "-kind", "poem", two}, badUsage}, {[]string{"seal", "-out", dir, "-locale", "tlh", two}, badUsage},
		{[]string{"seal", "-newkey", dir + "/k", two}, badUsage}, {[]string{"verify"}, badUsage}, {[]string{"verify", "a", "b"}, badUsage},
		{[]string{"seal", "-out", dir, "-kind", "change", two}, badInput},     // follows nothing
		{[]string{"seal", "-out", dir, "-kind", "withdrawal", two}, badInput}, // follows nothing
		{[]string{"seal", "-out", dir, "-key", key + ".pub", two}, badInput},
		{[]string{"seal", "-out", dir, "-key", dir + "/none", two}, badInput},
		{[]string{"seal", "-out", dir, "-locale", "ar", "-second", "es", two}, badInput}, // neither signed off nor beside the practice's language
		{[]string{"seal", "-newkey", key}, badInput},                                     // never replaced
		{[]string{"verify", dir + "/none"}, badInput}, {[]string{"verify", "-key", dir + "/none", two}, badInput},
		{[]string{"verify", two}, badInput}, {[]string{"verify", "-key", key, two}, badInput},
	} {
		code, out, errs := order("", c.args...)
		if code != c.want || out != "" || errs == "" {
			t.Errorf("%v: exit %d, out %q, err %q", c.args, code, out, errs)
		}
	}
	if _, err := os.Stat(keys + "/half"); err == nil {
		t.Error("one half of a key was written")
	}
	if n := len(records(t, dir)); n != 0 {
		t.Errorf("%d records", n)
	}
	t.Setenv(passphraseVariable, "another passphrase")
	if code, _, errs := order("", "seal", "-out", dir, "-key", key, two); code != badInput || !strings.HasPrefix(errs, "KEY-PASSPHRASE\t") {
		t.Errorf("exit %d, %s", code, errs)
	}
	os.Unsetenv(passphraseVariable)
	if code, _, errs := order("", "seal", "-out", dir, "-key", key, two); code != badInput || !strings.HasPrefix(errs, "KEY-PASSPHRASE\t") {
		t.Errorf("exit %d, %s", code, errs)
	}
	r, w, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	fmt.Fprintln(w, testPhrase)
	w.Close()
	if code, _, errs := order("", "seal", "-out", dir, "-key", key, "-passphrase-fd", fmt.Sprint(r.Fd()), two); code != good {
		t.Errorf("passphrase through a pipe: exit %d, %s", code, errs)
	}
	file := filepath.Join(t.TempDir(), "phrase")
	for text, want := range map[string]int{testPhrase + "\r\nmore\n": good, "wrong\n": badInput, "": badInput} {
		if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		if code, _, errs := order("", "seal", "-out", dir, "-key", key, "-passphrase-file", file, two); code != want {
			t.Errorf("passphrase %q in a file: exit %d, %s", text, code, errs)
		}
	}
	if info, err := os.Stat(key); err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("the key file can be read by others: %v %v", info.Mode(), err)
	}
}

// A consent, the change that follows it and the withdrawal that follows that form
// a chain by their hashes; what was typed and drawn at the seal is in it.
func TestChain(t *testing.T) {
	key, dir := newTestKey(t), t.TempDir()
	file := caseDir + "/at-try-in.json"
	signed := filepath.Join(t.TempDir(), "signing.json")
	if err := os.WriteFile(signed, []byte(`{"version":1,"cases":{"demo-try-in":{
		"identifiers":{"name":"Demo Person","born":"1990-01-01","chart":"D-1"},
		"decision":{"what":"agreed","by":"patient","on":"2026-12-09"},
		"signatures":[{"role":"patient","way":"drawn","width":3000,"height":1000,"strokes":[[1,2,3,4]]},
			{"role":"dentist","way":"typed","name":"Demo Dentist"},{"role":"witness","way":"paper"}]}}}`), 0o644); err != nil {
		t.Fatal(err)
	}
	seal := func(args ...string) string {
		t.Helper()
		before := records(t, dir)
		code, _, errs := order("", append([]string{"seal", "-key", key, "-out", dir, file}, args...)...)
		if code != good {
			t.Fatalf("%v: %s", args, errs)
		}
		for _, f := range records(t, dir) {
			if !slices.Contains(before, f) {
				return f
			}
		}
		t.Fatalf("%v: no new record", args)
		return ""
	}
	first := seal("-signing", signed)
	r, data := readRecord(t, first)
	if r.Identifiers == nil || r.Identifiers.Chart != "D-1" || r.Decision.What != "agreed" || len(r.Signatures) != 3 ||
		r.Signatures[0].Strokes[0][3] != 4 || !slices.Contains(r.Limits, "record.limit.paper") || slices.Contains(r.Limits, "record.limit.nobody") {
		t.Errorf("%+v", r)
	}
	sum := record.Verify(data, nil).SHA256
	second := seal("-kind", "change", "-previous", first)
	r, data = readRecord(t, second)
	if r.Previous != sum {
		t.Errorf("the change follows %q, want %q", r.Previous, sum)
	}
	sum = record.Verify(data, nil).SHA256
	seal("-kind", "tryin")                                 // settles nothing that could be withdrawn
	third := seal("-kind", "withdrawal", "-previous", dir) // the last one is found
	if r, _ = readRecord(t, third); r.Previous != sum || r.Decision.What != "withdrawn" {
		t.Errorf("the withdrawal follows %q, want %q; it is %q", r.Previous, sum, r.Decision.What)
	}
	if code, _, errs := order("", "seal", "-out", dir, "-kind", "superseding", "-previous", dir, caseDir+"/delivered.json"); code != badInput || !strings.HasPrefix(errs, "RECORD-PREVIOUS\t") {
		t.Errorf("another case's records: exit %d, %s", code, errs)
	}
	// A record that was changed is not followed.
	if err := os.WriteFile(first, bytes.Replace(data, []byte("demo-try-in"), []byte("demo-try-iN"), 1), 0o644); err != nil {
		t.Fatal(err)
	}
	if code, _, errs := order("", "seal", "-out", dir, "-kind", "superseding", "-previous", first, file); code != badInput || !strings.HasPrefix(errs, "RECORD-PREVIOUS\t") {
		t.Errorf("a changed record: exit %d, %s", code, errs)
	}
	// Bad signatures are told by path.
	if err := os.WriteFile(signed, []byte(`{"version":1,"cases":{"demo-try-in":{"decision":{"what":"perhaps"},
		"signatures":[{"role":"king","way":"typed"},{"role":"patient","way":"drawn","width":10,"height":10,"strokes":[[1,2,3],[99,99]]}]}}}`), 0o644); err != nil {
		t.Fatal(err)
	}
	_, _, errs := order("", "seal", "-out", dir, "-signing", signed, file)
	for _, want := range []string{"RECORD-DECISION\t" + file + ":decision.what\t", "RECORD-ROLE\t" + file + ":signatures[0].role\t",
		"RECORD-NAME\t" + file + ":signatures[0].name\t", "RECORD-STROKES\t" + file + ":signatures[1].strokes[0]\t"} {
		if !strings.Contains(errs, want) {
			t.Errorf("%q is missing in %q", want, errs)
		}
	}
}

// What was signed for a case that is not there, or for any case without an id,
// is a fault.
func TestSigningOfNoCase(t *testing.T) {
	signed, dir := filepath.Join(t.TempDir(), "signing.json"), t.TempDir()
	for _, c := range []struct {
		data, want string
		sealed     int
	}{
		{`{"version":1,"cases":{"demo-ten-teetH":{"decision":{"what":"agreed","by":""}}}}`, "SIGNING-CASE\t" + signed + ":cases.demo-ten-teetH\t", 1},
		{`{"version":1,"cases":{"":{"decision":{"what":"agreed","by":""}}}}`, "SIGNING-CASE\t" + signed + ":cases\t", 1},
		{`{"version":2,"cases":{}}`, "SIGNING-VERSION\t", 1},
		{`{"version":1,"cases":{"demo-ten-teeth":{"decision":{"what":"agreed","what":""}}}}`, "JSON-DUPLICATE-KEY\t", 1},
	} {
		if err := os.WriteFile(signed, []byte(c.data), 0o644); err != nil {
			t.Fatal(err)
		}
		code, out, errs := order("", "seal", "-out", dir, "-signing", signed, caseDir+"/ten-teeth-no-prep.json")
		if code != badInput || out != "" || !strings.HasPrefix(errs, c.want) {
			t.Errorf("%s: exit %d, %q", c.data, code, errs)
		}
		if n := len(records(t, dir)); n != c.sealed {
			t.Errorf("%s: %d records", c.data, n)
		}
	}
}

func TestVerifyTells(t *testing.T) {
	key, stranger, dir := newTestKey(t), newTestKey(t), t.TempDir()
	if code, _, errs := order("", "seal", "-key", key, "-out", dir, caseDir+"/ten-teeth-no-prep.json"); code != good {
		t.Fatal(errs)
	}
	file := records(t, dir)[0]
	_, data := readRecord(t, file)
	code := record.Verify(data, nil).Code
	type verdicts struct {
		Good      bool
		Integrity string
		Signer    string
		Trust     string
		Copy      string
		Where     []record.Place
	}
	check := func(name string, data []byte, wantCode int, want verdicts, words string, args ...string) {
		t.Helper()
		exit, out, errs := order(string(data), append([]string{"verify", "-json", "-"}, args...)...)
		var got verdicts
		if err := json.Unmarshal([]byte(out), &got); err != nil {
			t.Fatalf("%s: %v: %s", name, err, out)
		}
		if exit != wantCode || (errs == "") != (exit == good) || fmt.Sprint(got) != fmt.Sprint(want) {
			t.Errorf("%s: exit %d, %+v, want %+v; %s", name, exit, got, want, errs)
		}
		exit, out, errs = order(string(data), append([]string{"verify", "-"}, args...)...)
		if exit != wantCode || (errs == "") != (exit == good) || !strings.Contains(out, words) || regexp.MustCompile(`record\.[a-z]`).MatchString(out) {
			t.Errorf("%s: exit %d, %q, %q", name, exit, out, errs)
		}
		if want.Integrity == record.Unreadable && out != "" {
			t.Errorf("%s: %q", name, out)
		}
	}
	changed := bytes.Replace(data, []byte("Thin sheets"), []byte("Thick sheets"), 1)
	var where []record.Place
	if bytes.Equal(changed, data) {
		// The wording may change; any letter of the English text will do.
		r, _ := readRecord(t, file)
		s := r.Languages[1].Sections[1]
		changed = bytes.Replace(data, []byte(s.Heading), []byte("X"+s.Heading[1:]), 1)
		where = []record.Place{{Path: "languages[1].sections[1]", What: "changed", Heading: "X" + s.Heading[1:]}}
	} else {
		where = record.Verify(changed, nil).Where
	}
	check("good", data, good, verdicts{true, "intact", "signed", "trusted", "", nil}, "on your list of trusted keys", "-key", key+".pub")
	check("whose it is", data, good, verdicts{true, "intact", "signed", "not-asked", "", nil}, "\nKind: Consent · 2026-11-25 · demo-ten-teeth · Demo Dental Practice")
	check("no key given", data, good, verdicts{true, "intact", "signed", "not-asked", "", nil}, "was not checked")
	check("a stranger's key", data, badInput, verdicts{false, "intact", "signed", "unknown", "", nil}, "not on your list", "-key", stranger+".pub")
	check("code", data, good, verdicts{true, "intact", "signed", "not-asked", "fits", nil}, "is the code of this record", "-code", strings.ToLower(code))
	check("code mistyped", data, badInput, verdicts{false, "intact", "signed", "not-asked", "mistyped", nil}, "typing error", "-code", "x")
	check("code of another", data, badInput, verdicts{false, "intact", "signed", "not-asked", "differs", nil}, "not the code", "-code", record.Code(strings.Repeat("0", 64)))
	check("changed", changed, badInput, verdicts{false, "changed", "wrong", "nobody", "", where}, "Changed: the text in English, under the heading “"+where[0].Heading+"” ("+where[0].Path+")", "-key", key+".pub")
	check("duplicate key", bytes.Replace(data, []byte(`{"record":`), []byte(`{"record":{},"record":`), 1), badInput, verdicts{false, "unreadable", "unsigned", "not-asked", "", nil}, "")
	check("too large", append(data, bytes.Repeat([]byte(" "), 2<<20)...), badInput, verdicts{false, "unreadable", "unsigned", "not-asked", "", nil}, "")
}

// A hash that fits is no proof beside a signature that does not belong: the verdicts
// stay apart, and no sentence says that the record is as it was sealed.
func TestVerifyBesideAWrongSignature(t *testing.T) {
	key, dir := newTestKey(t), t.TempDir()
	if code, _, errs := order("", "seal", "-key", key, "-out", dir, caseDir+"/two-teeth.json"); code != good {
		t.Fatal(errs)
	}
	_, data := readRecord(t, records(t, dir)[0])
	intact := word(t, "en", "record.integrity.intact")
	if _, out, _ := order(string(data), "verify", "-"); !strings.Contains(out, intact) {
		t.Fatalf("of a good record: %q", out)
	}
	for name, bad := range wronglySigned(t, data) {
		var v record.Verdict
		_, out, _ := order(bad, "verify", "-json", "-")
		if err := json.Unmarshal([]byte(out), &v); err != nil || v.Integrity != record.Intact || v.Signer != record.Wrong || v.Trust != record.NotAsked {
			t.Fatalf("%s: %v %s", name, err, out)
		}
		exit, out, errs := order(bad, "verify", "-")
		if exit != badInput || strings.Contains(out+errs, "as it was sealed") || strings.Contains(out, intact) {
			t.Errorf("%s: exit %d, %q, %q", name, exit, out, errs)
		}
		if first, _, _ := strings.Cut(out, "\n"); first != word(t, "en", "record.integrity.unproven") || !strings.Contains(out, word(t, "en", "record.signer.wrong")) {
			t.Errorf("%s: %q", name, out)
		}
	}
}

// wronglySigned are records whose hashes fit and whose signature is not of them: one
// letter of it is another, the record was written anew, the key is another.
func wronglySigned(t *testing.T, data []byte) map[string]string {
	t.Helper()
	out := map[string]string{}
	for name, change := range map[string]func(rec, seal map[string]any){
		"letter": func(_, seal map[string]any) {
			s := seal["signature"].(map[string]any)
			v := s["value"].(string)
			s["value"] = map[bool]string{true: "B", false: "A"}[v[0] == 'A'] + v[1:]
		},
		"anew": func(rec, _ map[string]any) { rec["practice"].(map[string]any)["name"] = "Another" },
		"key":  func(_, seal map[string]any) { seal["signature"].(map[string]any)["key"] = strings.Repeat("0", 64) },
	} {
		var f map[string]map[string]any
		if err := json.Unmarshal(data, &f); err != nil {
			t.Fatal(err)
		}
		for _, p := range f["seal"]["parts"].([]any) {
			delete(p.(map[string]any), "signature")
		}
		change(f["record"], f["seal"])
		if name == "anew" { // whoever changes a record computes its hashes anew
			var r record.Record
			b, err := json.Marshal(f["record"])
			if err == nil {
				err = json.Unmarshal(b, &r)
			}
			if err != nil {
				t.Fatal(err)
			}
			fresh, _, faults := record.Seal(r, nil)
			if len(faults) > 0 {
				t.Fatal(faults.Lines())
			}
			var g map[string]map[string]any
			if err := json.Unmarshal(fresh, &g); err != nil {
				t.Fatal(err)
			}
			g["seal"]["signature"] = f["seal"]["signature"]
			f = g
		}
		b, err := json.Marshal(f)
		if err != nil {
			t.Fatal(err)
		}
		out[name] = string(b)
	}
	return out
}

// A hostile record cannot write to the terminal through its texts.
func TestVerifyIsSafeForATerminal(t *testing.T) {
	data := `{"record":{"format":"plainleaf-record","version":1,"limits":["record.limit.law","record.where.added","x\u007fy"],
		"languages":[{"sections":[{"heading":"a\u009b31mb"}]}]},"seal":{"sha256":"x","code":"","parts":[]}}`
	_, out, errs := order(data, "verify", "-")
	if strings.ContainsAny(out+errs, "\x1b\x7f\u009b") || strings.Contains(out, "<no value>") {
		t.Errorf("%q %q", out, errs)
	}
}

// Many cases in one call take no more memory than the first of them.
func TestSealManyInConstantMemory(t *testing.T) {
	n := trials.N(100, 400, 2000)
	files, dir, key := batch(t, n), ownFolder(t), newTestKey(t)
	heap := heapOf(t, dir, n, append([]string{"seal", "-key", key, "-out", dir}, files...))
	if got := len(records(t, dir)); got != n {
		t.Errorf("%d records of %d cases", got, n)
	}
	// To keep the records of the second half would take 1.8 MB for every hundred. A look
	// in the middle of sealing one case counts what that case needs (some MB), so the
	// least of some is taken at each end.
	if first, last := slices.Min(heap[:5]), slices.Min(heap[len(heap)-5:]); last > first+3<<20 {
		t.Errorf("the heap grew from %d to %d KiB", first>>10, last>>10)
	}
}

// A run that is killed leaves whole records or none.
func TestSealKilled(t *testing.T) {
	files := batch(t, 300)
	for kill := range trials.N(1, 3, 12) {
		few := 20 - kill // how many there are at least when it is killed
		dir := t.TempDir()
		c, over := another(t, append([]string{"seal", "-out", dir}, files...))
		for !over.Load() {
			if entries, _ := os.ReadDir(dir); len(entries) >= few {
				break
			}
			time.Sleep(time.Millisecond)
		}
		if over.Load() {
			t.Fatal("it was over before it could be killed")
		}
		if err := c.Process.Kill(); err != nil {
			t.Fatal(err)
		}
		for !over.Load() {
			time.Sleep(time.Millisecond)
		}
		entries, err := os.ReadDir(dir)
		if err != nil || len(entries) < few || len(entries) >= len(files) {
			t.Fatalf("%d files, %v", len(entries), err)
		}
		for _, e := range entries {
			if !strings.HasSuffix(e.Name(), ".json") {
				continue // one temporary file, which no one takes for a record
			}
			data, err := os.ReadFile(filepath.Join(dir, e.Name()))
			if v := record.Verify(data, nil); err != nil || !v.Good() {
				t.Errorf("%s: %s, %v", e.Name(), v.Integrity, err)
			}
		}
	}
}

func TestFHIRCommand(t *testing.T) {
	dir := t.TempDir()
	if code, _, errs := order("", "seal", "-out", dir, caseDir+"/minor-interpreter.json", "-second", "en", "-locale", "es"); code != good {
		t.Fatal(errs)
	}
	file := records(t, dir)[0]
	code, out, errs := order("", "fhir", file)
	var c struct{ ResourceType, Status string }
	if err := json.Unmarshal([]byte(out), &c); err != nil || code != good || errs != "" || c.ResourceType != "Consent" || c.Status != "proposed" {
		t.Errorf("exit %d, %v, %s", code, err, errs)
	}
	name := filepath.Join(t.TempDir(), "consent.json")
	if code, more, errs := order("", "fhir", "-out", name, file); code != good || more != "" {
		t.Error(errs)
	}
	if data, err := os.ReadFile(name); err != nil || string(data) != out {
		t.Errorf("the file differs from standard output: %v", err)
	}
	_, data := readRecord(t, file)
	if code, out, errs := order(string(data[:len(data)/2]), "fhir", "-"); code != badInput || out != "" || errs == "" {
		t.Errorf("exit %d, %q, %q", code, out, errs)
	}
	// Where keys are named, only what one of them signed goes out.
	key := newTestKey(t)
	if code, out, errs := order("", "fhir", "-key", key+".pub", file); code != badInput || out != "" || !strings.Contains(errs, "FHIR-RECORD\tsignature") {
		t.Errorf("unsigned: exit %d, %q, %q", code, out, errs)
	}
	dir = t.TempDir()
	if code, _, errs := order("", "seal", "-key", key, "-out", dir, caseDir+"/two-teeth.json"); code != good {
		t.Fatal(errs)
	}
	if code, _, errs := order("", "fhir", "-key", key+".pub", records(t, dir)[0]); code != good {
		t.Errorf("signed: exit %d, %s", code, errs)
	}
	if code, _, _ := order("", "fhir"); code != badUsage {
		t.Errorf("exit %d", code)
	}
}

// What was withdrawn can be neither changed nor withdrawn again; a new consent
// may take its place.
func TestNothingButAConsentFollowsAWithdrawal(t *testing.T) {
	dir, file := t.TempDir(), caseDir+"/at-try-in.json"
	for _, c := range []struct {
		kind string
		want int
	}{{"consent", good}, {"withdrawal", good}, {"change", badInput}, {"withdrawal", badInput}, {"superseding", good}} {
		args := []string{"seal", "-kind", c.kind, "-out", dir}
		if c.kind != "consent" {
			args = append(args, "-previous", dir)
		}
		code, _, errs := order("", append(args, file)...)
		if code != c.want || code != good && !strings.Contains(errs, "RECORD-PREVIOUS") {
			t.Errorf("%s: %d, %s", c.kind, code, errs)
		}
	}
}

// What settled nothing, what was issued later and, where a folder is searched for
// it, what has no id is followed by nothing.
func TestNothingFollowsWhatDoesNotFit(t *testing.T) {
	write := func(name, from string, change func(c map[string]any)) string {
		t.Helper()
		data, err := os.ReadFile(caseDir + "/" + from)
		if err != nil {
			t.Fatal(err)
		}
		var c map[string]any
		if err := json.Unmarshal(data, &c); err != nil {
			t.Fatal(err)
		}
		change(c)
		data, _ = json.Marshal(c)
		file := filepath.Join(t.TempDir(), name)
		if err := os.WriteFile(file, data, 0o600); err != nil {
			t.Fatal(err)
		}
		return file
	}
	first := write("first.json", "thinking.json", func(c map[string]any) { c["id"] = "demo-first" })
	sooner := write("sooner.json", "thinking.json", func(c map[string]any) { c["id"], c["issued"] = "demo-first", "2026-01-05" })
	nameless := write("nameless.json", "thinking.json", func(c map[string]any) { delete(c, "id") })
	seal := func(dir, file string, args ...string) (int, string) {
		t.Helper()
		code, _, errs := order("", append([]string{"seal", "-out", dir, file}, args...)...)
		return code, errs
	}
	only := func(kind, file string) (dir, rec string) {
		t.Helper()
		dir = t.TempDir()
		if code, errs := seal(dir, file, "-kind", kind); code != good {
			t.Fatal(errs)
		}
		return dir, records(t, dir)[0]
	}
	consents, consent := only("consent", first)
	tryins, tryin := only("tryin", first)
	others, other := only("consent", nameless)
	for _, c := range []struct{ file, previous, want string }{
		{first, consent, ""}, {first, consents, ""},
		{first, tryin, "by which nothing was agreed"}, {first, tryins, "0 records of this case"},
		{sooner, consent, "issued later, on "},
		{nameless, others, "without an id is not found in a folder"}, {nameless, other, ""},
	} {
		code, errs := seal(t.TempDir(), c.file, "-kind", "withdrawal", "-previous", c.previous)
		if (code == good) != (c.want == "") || c.want != "" && (!strings.HasPrefix(errs, "RECORD-PREVIOUS\t") || !strings.Contains(errs, c.want)) {
			t.Errorf("%s after %s: exit %d, %q, want %q", c.file, c.previous, code, errs, c.want)
		}
	}
}

// What README.md tells anyone to do, done as it stands there: on a good record, and
// on one with a changed letter.
func TestTheMethodOfTheReadme(t *testing.T) {
	readme, err := os.ReadFile("../README.md")
	if err != nil {
		t.Fatal(err)
	}
	_, rest, _ := strings.Cut(string(readme), "checked by anyone\n")
	method, _, ok := strings.Cut(rest, "\n## ")
	if !ok {
		t.Fatal("README.md has no such part")
	}
	var lines []string
	for _, l := range strings.Split(method, "\n") {
		if command, ok := strings.CutPrefix(l, "    "); ok {
			lines = append(lines, command)
		}
	}
	key, dir := newTestKey(t), t.TempDir()
	if code, _, errs := order("", "seal", "-key", key, "-out", dir, "-locale", "ar", "-second", "en", caseDir+"/odd-text.json"); code != good {
		t.Fatal(errs)
	}
	_, data := readRecord(t, records(t, dir)[0])
	follow := func(data []byte) string {
		t.Helper()
		dir := t.TempDir()
		if err := os.WriteFile(filepath.Join(dir, "FILE"), data, 0o600); err != nil {
			t.Fatal(err)
		}
		c := exec.Command("sh", "-c", strings.Join(lines, "\n")+"\ntrue")
		c.Dir = dir
		out, err := c.CombinedOutput()
		if err != nil {
			t.Fatalf("%v: %s", err, out)
		}
		return string(out)
	}
	v := record.Verify(data, nil)
	var seal struct {
		Seal struct {
			Parts []struct{ Path, SHA256 string }
		}
	}
	if err := json.Unmarshal(data, &seal); err != nil {
		t.Fatal(err)
	}
	part := ""
	for _, p := range seal.Seal.Parts {
		if p.Path == "languages[0].sections[2]" {
			part = p.SHA256
		}
	}
	if part == "" {
		t.Fatal("the record has no such part")
	}
	whole, key64, verified, third := "(r)= "+v.SHA256+"\n", "(p)= "+v.Key+"\n", "Signature Verified Successfully", "= "+part+"\n"
	said := follow(data)
	for _, want := range []string{whole, key64, verified, third, part + "  languages[0].sections[2]\n"} {
		if !strings.Contains(said, want) {
			t.Errorf("%q is missing in\n%s", want, said)
		}
	}
	r, _ := readRecord(t, records(t, dir)[0])
	text := ""
	for _, b := range r.Languages[0].Sections[2].Blocks {
		text = cmp.Or(b.Text, text)
		for _, it := range b.Items {
			text = cmp.Or(it.Text, it.Label, text)
		}
	}
	changed := bytes.Replace(data, []byte(text), []byte(text+"x"), -1)
	if text == "" || bytes.Equal(changed, data) {
		t.Fatal("no text to change")
	}
	said = follow(changed)
	for _, gone := range []string{whole, verified, third} {
		if strings.Contains(said, gone) {
			t.Errorf("%q of a changed record:\n%s", gone, said)
		}
	}
}

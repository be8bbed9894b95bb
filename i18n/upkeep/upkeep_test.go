//go:build !js

package upkeep

import (
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"testing/fstest"

	"plainleaf/i18n"
	"plainleaf/i18n/vet"
)

// TestShippedWordings holds everything Check holds about the wordings in this
// folder. It reports the first few faults of each kind; the command lists all.
func TestShippedWordings(t *testing.T) {
	faults := Check(i18n.Files())
	counts := map[string]int{}
	for _, f := range faults {
		if counts[f.Code]++; counts[f.Code] <= 5 {
			t.Error(f.Line())
		}
	}
	if len(faults) > 0 {
		t.Errorf("in all: %v; go run ./i18n/upkeep/cmd check", counts)
	}
}

// good is a small set of files without a fault.
func good() fstest.MapFS {
	english := map[string]i18n.Message{
		"t.call":  {Other: "Call {{.Phone}} today."},
		"t.teeth": {One: "one tooth", Other: "{{.Count}} teeth"},
		"t.year":  {Other: "Rule 2 applies."},
	}
	texts := map[string]map[string]i18n.Message{
		"en": english,
		"es": {
			"t.call":  {Other: "Llame hoy al {{.Phone}}."},
			"t.teeth": {One: "un diente", Many: "{{.Count}} de dientes", Other: "{{.Count}} dientes"},
			"t.year":  {Other: "Se aplica la regla 2."},
		},
		"ar": {
			"t.call":  {Other: "اتصل اليوم على {{.Phone}}."},
			"t.teeth": {Zero: "لا أسنان", One: "سن واحدة", Two: "سنان", Few: "{{.Count}} أسنان", Many: "{{.Count}} سنًا", Other: "{{.Count}} سن"},
			"t.year":  {Other: "تنطبق القاعدة ٢."},
		},
	}
	// Every other language says something with the same values, in all its forms.
	for _, l := range i18n.Languages() {
		if texts[l.Tag] == nil {
			m := i18n.Message{Other: "{{.Count}} zub"}
			for _, c := range l.Plurals() {
				*map[string]*string{"zero": &m.Zero, "one": &m.One, "two": &m.Two, "few": &m.Few, "many": &m.Many, "other": &m.Other}[c] = m.Other
			}
			texts[l.Tag] = map[string]i18n.Message{"t.call": {Other: "Ruf {{.Phone}}."}, "t.teeth": m, "t.year": {Other: "Norm 2."}}
		}
	}
	files := fstest.MapFS{
		"placeholders.json":   {Data: []byte(`{"Count": {"kind": "count", "note": "n"}, "Phone": {"kind": "code", "note": "n"}}`)},
		"notes.json":          {Data: []byte(`{"t": "a test"}`)},
		"digits-allowed.json": {Data: []byte(`{"t.year": "the rule's own name"}`)},
	}
	for tag, messages := range texts {
		states := map[string]i18n.State{}
		for id := range messages {
			states[id] = i18n.State{State: i18n.Translated, SourceHash: i18n.Hash(english[id]), Who: "translator", When: "2026-11-25"}
		}
		files[tag+".json"] = &fstest.MapFile{Data: Format(messages)}
		files["state/"+tag+".json"] = &fstest.MapFile{Data: formatStates(states)}
	}
	return files
}

func TestCheckFindsPlantedFaults(t *testing.T) {
	if faults := Check(good()); len(faults) > 0 {
		t.Fatalf("the good files have faults:\n%s", faults.Lines())
	}
	for _, c := range []struct{ name, file, old, new, code, path string }{
		{"missing in es", "es.json", `"t.call"`, `"t.other"`, "WORDING-MISSING", "i18n/es.json:t.call"},
		{"extra in es", "es.json", `"t.call"`, `"t.other"`, "WORDING-EXTRA", "i18n/es.json:t.other"},
		{"placeholder lost", "es.json", " al {{.Phone}}", "", "WORDING-PLACEHOLDER-LOST", "i18n/es.json:t.call"},
		{"placeholder invented", "es.json", "Llame", "Llame {{.Count}}", "WORDING-PLACEHOLDER-EXTRA", "i18n/es.json:t.call"},
		{"count lost in other", "es.json", `"{{.Count}} dientes"`, `"dientes"`, "WORDING-PLACEHOLDER-LOST", "i18n/es.json:t.teeth"},
		{"count lost in few", "ar.json", `"{{.Count}} أسنان"`, `"أسنان"`, "WORDING-PLACEHOLDER-LOST", "i18n/ar.json:t.teeth"},
		{"count lost in the source", "en.json", `"{{.Count}} teeth"`, `"teeth"`, "WORDING-PLACEHOLDER-EXTRA", "i18n/es.json:t.teeth"},
		{"form lost", "es.json", `"many": "{{.Count}} de dientes", `, ``, "WORDING-FORM-MISSING", "i18n/es.json:t.teeth"},
		{"forms made plain", "es.json", `{"one": "un diente", "many": "{{.Count}} de dientes", "other": "{{.Count}} dientes"}`, `"{{.Count}} dientes"`, "WORDING-FORM-MISSING", "i18n/es.json:t.teeth"},
		{"number typed", "en.json", "Call {{.Phone}}", "Call 555 {{.Phone}}", "WORDING-DIGITS", "i18n/en.json:t.call"},
		{"number typed in another script", "ar.json", "اليوم على", "٣ اليوم على", "WORDING-DIGITS", "i18n/ar.json:t.call"},
		{"number changed", "es.json", "regla 2", "regla 3", "WORDING-DIGITS-DIFFER", "i18n/es.json:t.year"},
		{"number changed in another script", "ar.json", "٢", "٣", "WORDING-DIGITS-DIFFER", "i18n/ar.json:t.year"},
		{"reason taken away", "digits-allowed.json", "t.year", "t.none", "WORDING-DIGITS", "i18n/en.json:t.year"},
		{"source changed", "en.json", "today", "now", "WORDING-STALE", "i18n/state/es.json:t.call"},
		{"space at the end", "es.json", "{{.Phone}}.", "{{.Phone}}. ", "WORDING-SPACE", "i18n/es.json:t.call"},
		{"space at the start", "es.json", `"Llame`, `" Llame`, "WORDING-SPACE", "i18n/es.json:t.call"},
		{"two spaces", "es.json", "Llame hoy", "Llame  hoy", "WORDING-SPACE", "i18n/es.json:t.call"},
		{"space and no-break space", "es.json", "Llame hoy", "Llame \u00a0hoy", "WORDING-SPACE", "i18n/es.json:t.call"},
		{"not composed", "es.json", "hoy", "ho\u0301y", "WORDING-NFC", "i18n/es.json:t.call"},
		{"markup", "es.json", "hoy", "<b>hoy</b>", "WORDING-MARKUP", "i18n/es.json:t.call"},
		{"code", "es.json", "hoy", "{{range 30000000}}{{end}}", "WORDING-TEMPLATE", "i18n/es.json:t.call"},
		{"unknown placeholder", "es.json", "hoy", "{{.Nonesuch}}", "WORDING-PLACEHOLDER-UNKNOWN", "i18n/es.json:t.call"},
		{"not translated", "es.json", "Llame hoy al {{.Phone}}.", "Call {{.Phone}} today.", "", ""},
		{"not translated, long", "es.json", "Se aplica la regla 2.", "Rule 2 applies.", "WORDING-UNTRANSLATED", "i18n/es.json:t.year"},
		{"no note", "notes.json", `"t"`, `"u"`, "WORDING-NOTE-MISSING", "i18n/notes.json:t"},
		{"empty note", "notes.json", "a test", "", "WORDING-EMPTY", "i18n/notes.json:t"},
		{"no state", "state/es.json", `"t.call"`, `"t.gone"`, "WORDING-STATE-MISSING", "i18n/state/es.json:t.call"},
		{"state of nothing", "state/es.json", `"t.call"`, `"t.gone"`, "WORDING-STATE-EXTRA", "i18n/state/es.json:t.gone"},
		{"unknown state", "state/es.json", `"translated"`, `"done"`, "WORDING-STATE", "i18n/state/es.json:t.call"},
		{"a person", "state/es.json", `"translator"`, `"Ana Pérez"`, "WORDING-STATE", "i18n/state/es.json:t.call"},
		{"no date", "state/es.json", "2026-11-25", "2026-02-30", "WORDING-STATE", "i18n/state/es.json:t.call"},
		{"unknown key", "state/es.json", `"who"`, `"whom"`, "WORDING-JSON", "i18n/state/es.json"},
		{"kind", "placeholders.json", `"code"`, `"telephone"`, "WORDING-PLACEHOLDER-KIND", "i18n/placeholders.json:Phone"},
		{"name", "placeholders.json", `"Phone"`, `"phone"`, "WORDING-PLACEHOLDER-NAME", "i18n/placeholders.json:phone"},
	} {
		t.Run(c.name, func(t *testing.T) {
			files := good()
			before := string(files[c.file].Data)
			after := strings.Replace(before, c.old, c.new, 1)
			if after == before {
				t.Fatalf("nothing to plant in:\n%s", before)
			}
			files[c.file] = &fstest.MapFile{Data: []byte(after)}
			faults := Check(files)
			if c.code == "" { // two words alike are often a name or a loan
				if faults.Has("WORDING-UNTRANSLATED") {
					t.Error(faults.Lines())
				}
				return
			}
			for _, f := range faults {
				if f.Code == c.code && f.Path == c.path {
					return
				}
			}
			t.Errorf("want %s at %s, got:\n%s", c.code, c.path, faults.Lines())
		})
	}
	for name := range good() {
		files := good()
		delete(files, name)
		if !Check(files).Has("WORDING-FILE") {
			t.Errorf("%s gone and not missed", name)
		}
	}
}

func TestFormOfSeveralCountsKeepsTheCount(t *testing.T) {
	// "few" in Arabic is 3 to 10, 103 to 110 and so on; "two" is 2 alone.
	ar, _ := i18n.Lookup("ar")
	m := i18n.Message{Zero: "لا", One: "سن", Two: "سنان", Few: "أسنان", Many: "{{.Count}} سنًا", Other: "{{.Count}} سن"}
	faults := vet.Messages(ar, nil, map[string]i18n.Message{"t.x": m}, nil)
	if len(faults) != 1 || !strings.HasPrefix(faults[0].Text, "form few:") {
		t.Errorf("got %s", faults.Lines())
	}
}

func folder(t *testing.T) Folder {
	t.Helper()
	dir := t.TempDir()
	files := good()
	files["languages.json"] = &fstest.MapFile{Data: []byte("[]")} // only locked
	if err := os.CopyFS(dir, files); err != nil {
		t.Fatal(err)
	}
	return Folder(dir)
}

func read(t *testing.T, d Folder, name string) string {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(string(d), name))
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

var by = Change{Who: "translator", When: "2026-11-26"}

func TestMerge(t *testing.T) {
	d := folder(t)
	merge := func(tag, fragment string, want Counts) {
		t.Helper()
		got, faults, err := d.Merge(tag, []byte(fragment), by)
		if err != nil || len(faults) > 0 || got != want {
			t.Fatalf("got %+v, %v\n%s", got, err, faults.Lines())
		}
	}
	merge("en", `{"t.added": "Bring {{.Phone}} along.", "t.call": "Call {{.Phone}} now."}`, Counts{Added: 1, Changed: 1})
	if faults := Check(os.DirFS(string(d))); !faults.Has("WORDING-STALE") || !faults.Has("WORDING-MISSING") {
		t.Errorf("a changed source went unnoticed:\n%s", faults.Lines())
	}
	merge("es", `{"t.added": "Traiga {{.Phone}}.", "t.call": "Llame hoy al {{.Phone}}."}`, Counts{Added: 1, Changed: 1})
	merge("ar", `{"t.added": "أحضر {{.Phone}}.", "t.call": "اتصل الآن على {{.Phone}}."}`, Counts{Added: 1, Changed: 1})
	for _, l := range i18n.Languages()[3:] {
		merge(l.Tag, `{"t.added": "Tak {{.Phone}}.", "t.call": "Nu {{.Phone}}."}`, Counts{Added: 1, Changed: 1})
	}
	if faults := Check(os.DirFS(string(d))); len(faults) > 0 {
		t.Errorf("after merging:\n%s", faults.Lines())
	}
	want := `{
  "t.added": "Bring {{.Phone}} along.",
  "t.call": "Call {{.Phone}} now.",
  "t.teeth": {"one": "one tooth", "other": "{{.Count}} teeth"},
  "t.year": "Rule 2 applies."
}
`
	if got := read(t, d, "en.json"); got != want {
		t.Errorf("got %s", got)
	}
	// A message merged again as it is keeps the state it has earned.
	before := strings.Replace(read(t, d, "state/es.json"), `"t.call": {"state": "translated"`, `"t.call": {"state": "final"`, 1)
	if err := d.write("state/es.json", []byte(before)); err != nil {
		t.Fatal(err)
	}
	merge("es", read(t, d, "es.json"), Counts{Same: 4})
	if got := read(t, d, "state/es.json"); got != before {
		t.Errorf("got %s", got)
	}
}

func TestMergeRefusesWhole(t *testing.T) {
	for _, c := range []struct{ name, tag, fragment, code string }{
		{"code", "en", `{"t.a": "fine", "t.b": "{{range 30000000}}{{end}}"}`, "WORDING-TEMPLATE"},
		{"number", "en", `{"t.a": "fine", "t.b": "in 3 days"}`, "WORDING-DIGITS"},
		{"space", "en", `{"t.a": "fine", "t.b": "fine "}`, "WORDING-SPACE"},
		{"value lost from the source", "en", `{"t.call": "Call us today."}`, "WORDING-PLACEHOLDER-CHANGED"},
		{"not in the source", "es", `{"t.a": "bien"}`, "WORDING-EXTRA"},
		{"value lost", "es", `{"t.call": "Llame."}`, "WORDING-PLACEHOLDER-LOST"},
		{"plain", "es", `{"t.teeth": "{{.Count}} dientes"}`, "WORDING-FORM-MISSING"},
		{"forms of English", "es", `{"t.teeth": {"one": "un diente", "other": "{{.Count}} dientes"}}`, "WORDING-FORM-MISSING"},
		{"no language", "xx", `{}`, "WORDING-LANGUAGE"},
		{"not JSON", "en", `{`, "WORDING-JSON"},
	} {
		d := folder(t)
		_, faults, err := d.Merge(c.tag, []byte(c.fragment), by)
		if err != nil || !faults.Has(c.code) {
			t.Errorf("%s: %v, %s", c.name, err, faults.Lines())
		}
		if faults := Check(os.DirFS(string(d))); len(faults) > 0 {
			t.Errorf("%s: the files changed:\n%s", c.name, faults.Lines())
		}
	}
	d := folder(t)
	meant := Change{Who: "writer", When: "2026-11-26", Values: true}
	if n, faults, err := d.Merge("en", []byte(`{"t.call": "Call us today."}`), meant); err != nil || len(faults) > 0 || n.Changed != 1 {
		t.Errorf("a change that was meant: %+v, %v, %s", n, err, faults.Lines())
	}
	if _, faults, _ := folder(t).Merge("en", []byte(`{}`), Change{Who: "Ana Pérez", When: "2026-11-26"}); !faults.Has("WORDING-STATE") {
		t.Error("a person was noted")
	}
}

// A text as it was becomes reviewed when somebody else than its translator says so; a
// changed one does not, and one made from another source is refused.
func TestMergeReviews(t *testing.T) {
	const same, changed = `{"t.call": "Llame hoy al {{.Phone}}."}`, `{"t.call": "Llame ya al {{.Phone}}."}`
	for _, c := range []struct {
		name, fragment, who, state string
		want                       Counts
	}{
		{"by another", same, "reviewer", "reviewed", Counts{Reviewed: 1}},
		{"by its translator", same, "translator", "translated", Counts{Same: 1}},
		{"a changed text", changed, "reviewer", "translated", Counts{Changed: 1}},
	} {
		d := folder(t)
		before := read(t, d, "state/es.json")
		for _, who := range []string{`"who": "writer"`, `"who": "` + by.Who + `"`} {
			before = strings.Replace(before, who, `"who": "translator"`, -1)
		}
		if err := d.write("state/es.json", []byte(before)); err != nil {
			t.Fatal(err)
		}
		n, faults, err := d.Merge("es", []byte(c.fragment), Change{Who: c.who, When: "2026-11-27", Reviewed: []string{"t.call"}})
		if err != nil || len(faults) > 0 || n != c.want {
			t.Errorf("%s: %+v, %v, %s", c.name, n, err, faults.Lines())
		}
		if got := read(t, d, "state/es.json"); !strings.Contains(got, `"t.call": {"state": "`+c.state+`"`) {
			t.Errorf("%s: got %s", c.name, got)
		}
	}
	d := folder(t)
	before := read(t, d, "es.json")
	_, faults, err := d.Merge("es", []byte(changed), Change{Who: "translator", When: "2026-11-27", Sources: map[string]string{"t.call": i18n.Hash(i18n.Message{Other: "Call {{.Phone}}."})}})
	if err != nil || !faults.Has("WORDING-STALE") || read(t, d, "es.json") != before {
		t.Errorf("a text of another source: %v, %s", err, faults.Lines())
	}
}

func TestManyMergeAtOnce(t *testing.T) {
	d := folder(t)
	const writers = 8
	var wg sync.WaitGroup
	for w := range writers {
		wg.Go(func() {
			for i := range 10 {
				id := fmt.Sprintf("t.w%d-%d", w, i)
				if _, faults, err := d.Merge("en", []byte(`{"`+id+`": "fine"}`), by); err != nil || len(faults) > 0 {
					t.Errorf("%v %s", err, faults.Lines())
				}
			}
		})
	}
	wg.Wait()
	messages, err := d.messages(i18n.Source())
	if err != nil || len(messages) != 3+writers*10 {
		t.Errorf("%d messages, %v", len(messages), err)
	}
	names, err := fs.Glob(os.DirFS(string(d)), "*.new*")
	if err != nil || len(names) > 0 {
		t.Errorf("left behind: %v %v", names, err)
	}
}

func TestRemove(t *testing.T) {
	d := folder(t)
	unknown, err := d.Remove([]string{"t.call", "t.none"})
	if err != nil || !slices.Equal(unknown, []string{"t.none"}) {
		t.Errorf("got %v, %v", unknown, err)
	}
	if faults := Check(os.DirFS(string(d))); len(faults) > 0 {
		t.Error(faults.Lines())
	}
	if strings.Contains(read(t, d, "state/ar.json"), "t.call") || strings.Contains(read(t, d, "en.json"), "t.call") {
		t.Error("it is still there")
	}
}

func TestSideFiles(t *testing.T) {
	d := folder(t)
	if err := d.AddPlaceholder("Days", "count", "number of days"); err != nil {
		t.Fatal(err)
	}
	for _, bad := range [][3]string{{"days", "count", "n"}, {"Days", "telephone", "n"}, {"Days", "count", " "}, {"Da ys", "count", "n"}} {
		if err := d.AddPlaceholder(bad[0], bad[1], bad[2]); err == nil {
			t.Errorf("%v was taken", bad)
		}
	}
	if err := d.SetSide("notes.json", "t.call.", "a line to ring"); err != nil {
		t.Fatal(err)
	}
	if err := d.SetSide("notes.json", "t", ""); err == nil {
		t.Error("an empty note was taken")
	}
	if faults := Check(os.DirFS(string(d))); len(faults) > 0 {
		t.Error(faults.Lines())
	}
	if got := read(t, d, "notes.json"); got != "{\n  \"t\": \"a test\",\n  \"t.call\": \"a line to ring\"\n}\n" {
		t.Errorf("got %s", got)
	}
	if !strings.Contains(read(t, d, "placeholders.json"), `"Days": {"kind": "count", "note": "number of days"}`) {
		t.Error("the placeholder is not there")
	}
}

// Sorting and quoting give the same bytes for the same messages, and the shipped
// files are as the tool would write them.
func TestShippedFilesAreInTheToolsForm(t *testing.T) {
	for _, l := range i18n.Languages() {
		data, _ := i18n.Embedded(l.Tag)
		messages, faults := l.Parse("i18n/"+l.Tag+".json", data)
		if len(faults) > 0 {
			t.Fatal(faults.Lines())
		}
		if string(Format(messages)) != string(data) {
			t.Errorf("%s.json is not sorted, one message on a line", l.Tag)
		}
	}
}

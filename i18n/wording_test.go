package i18n

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"plainleaf/app/fault"
	"plainleaf/app/safetext"
)

func mustLoad(t testing.TB, tag, data string) *Wording {
	t.Helper()
	w, faults := Load(tag, []byte(data), nil)
	if len(faults) > 0 {
		t.Fatalf("%s: %s", tag, faults.Lines())
	}
	return w
}

func TestLookupIsExact(t *testing.T) {
	for _, tag := range []string{"en", "es", "ar"} {
		if l, ok := Lookup(tag); !ok || l.Tag != tag {
			t.Errorf("%s: got %v, %v", tag, l.Tag, ok)
		}
	}
	for _, tag := range []string{"es-MX", "EN", "en-US", "", "und", "cldr", "ar ", "../en"} {
		if _, ok := Lookup(tag); ok {
			t.Errorf("%q was found", tag)
		}
		if _, ok := Embedded(tag); ok {
			t.Errorf("%q is embedded", tag)
		}
	}
}

// Each row is one planted fault; the text stands for {"t.x": "<text>"}.
func TestLoadRefuses(t *testing.T) {
	nested := `{"t.x": ` + strings.Repeat(`{"other": `, 50) + `"x"` + strings.Repeat("}", 50) + `}`
	for _, c := range []struct{ name, file, code string }{
		{"range", `{"t.x": "{{range 30000000}}x{{end}}"}`, "WORDING-TEMPLATE"},
		{"range in a form", `{"t.x": {"one": "{{range 30000000}}x{{end}}", "other": "x"}}`, "WORDING-TEMPLATE"},
		{"if", `{"t.x": "{{if .Count}}x{{end}}"}`, "WORDING-TEMPLATE"},
		{"printf", `{"t.x": "{{printf \"%d\" 3}}"}`, "WORDING-TEMPLATE"},
		{"pipe", `{"t.x": "{{.Count | print}}"}`, "WORDING-TEMPLATE"},
		{"field of a field", `{"t.x": "{{.Count.Name}}"}`, "WORDING-TEMPLATE"},
		{"spaces", `{"t.x": "{{ .Count }}"}`, "WORDING-TEMPLATE"},
		{"trim", `{"t.x": "{{- .Count -}}"}`, "WORDING-TEMPLATE"},
		{"comment", `{"t.x": "{{/* x */}}"}`, "WORDING-TEMPLATE"},
		{"define", `{"t.x": "{{define \"a\"}}{{template \"a\"}}{{end}}{{template \"a\"}}"}`, "WORDING-TEMPLATE"},
		{"dot", `{"t.x": "{{.}}"}`, "WORDING-TEMPLATE"},
		{"variable", `{"t.x": "{{$}}"}`, "WORDING-TEMPLATE"},
		{"escaped braces", `{"t.x": "\u007b\u007brange 30000000\u007d\u007d"}`, "WORDING-TEMPLATE"},
		{"unknown name", `{"t.x": "{{.Nonesuch}}"}`, "WORDING-PLACEHOLDER-UNKNOWN"},
		{"lower-case name", `{"t.x": "{{.count}}"}`, "WORDING-TEMPLATE"},
		{"letters of another script", `{"t.x": "{{.Соunt}}"}`, "WORDING-TEMPLATE"},
		{"unclosed", `{"t.x": "a {{.Count"}`, "WORDING-BRACE"},
		{"unopened", `{"t.x": "a Count}}"}`, "WORDING-BRACE"},
		{"one brace", `{"t.x": "a { b"}`, "WORDING-BRACE"},
		{"three braces", `{"t.x": "{{{.Count}}}"}`, "WORDING-TEMPLATE"},
		{"tag", `{"t.x": "<b>x</b>"}`, "WORDING-MARKUP"},
		{"less than", `{"t.x": "a < b"}`, "WORDING-MARKUP"},
		{"entity", `{"t.x": "a&nbsp;b"}`, "WORDING-MARKUP"},
		{"numeric entity", `{"t.x": "a&#x202e;b"}`, "WORDING-MARKUP"},
		{"newline", `{"t.x": "a\nb"}`, "WORDING-CONTROL"},
		{"nul", `{"t.x": "a\u0000b"}`, "WORDING-CONTROL"},
		{"next line", `{"t.x": "a\u0085b"}`, "WORDING-CONTROL"},
		{"zero-width space", `{"t.x": "a\u200bb"}`, "WORDING-CONTROL"},
		{"soft hyphen", `{"t.x": "a\u00adb"}`, "WORDING-CONTROL"},
		{"mark in the middle", `{"t.x": "a\ufeffb"}`, "WORDING-CONTROL"},
		{"line separator", `{"t.x": "a\u2028b"}`, "WORDING-CONTROL"},
		{"tag character", `{"t.x": "a\udb40\udc41b"}`, "WORDING-CONTROL"},
		{"override", `{"t.x": "a\u202eb"}`, "WORDING-BIDI"},
		{"isolate", `{"t.x": "a\u2066b\u2069"}`, "WORDING-BIDI"},
		{"right-to-left mark", `{"t.x": "a\u200fb"}`, "WORDING-BIDI"},
		{"arabic letter mark", `{"t.x": "a\u061cb"}`, "WORDING-BIDI"},
		{"private use", `{"t.x": "a\ue000b"}`, "WORDING-PRIVATE"},
		{"private plane", `{"t.x": "a\udbc0\udc00b"}`, "WORDING-PRIVATE"},
		{"no character", `{"t.x": "a\ufdd0b"}`, "WORDING-PRIVATE"},
		{"no character at the end of a plane", `{"t.x": "a\uffffb"}`, "WORDING-PRIVATE"},
		{"lone surrogate", `{"t.x": "a\ud800b"}`, "WORDING-UTF8"},
		{"replacement", "{\"t.x\": \"a\ufffdb\"}", "WORDING-UTF8"},
		{"bad UTF-8", "{\"t.x\": \"a\xffb\"}", "WORDING-UTF8"},
		{"overlong UTF-8", "{\"t.x\": \"a\xc0\xbcb\"}", "WORDING-UTF8"},
		{"byte order mark", "\ufeff{\"t.x\": \"a\"}", "WORDING-BOM"},
		{"twice", `{"t.x": "a", "t.x": "b"}`, "WORDING-TWICE"},
		{"twice by escape", `{"t.x": "a", "t.\u0078": "b"}`, "WORDING-TWICE"},
		{"form twice", `{"t.x": {"one": "a", "one": "b", "other": "c"}}`, "WORDING-TWICE"},
		{"unknown form", `{"t.x": {"one": "a", "other": "b", "several": "c"}}`, "WORDING-FORM-UNKNOWN"},
		{"form of another language", `{"t.x": {"one": "a", "few": "b", "other": "c"}}`, "WORDING-FORM-UNKNOWN"},
		{"capital form", `{"t.x": {"One": "a", "other": "b"}}`, "WORDING-FORM-UNKNOWN"},
		{"missing form", `{"t.x": {"other": "a"}}`, "WORDING-FORM-MISSING"},
		{"no form", `{"t.x": {}}`, "WORDING-FORM-MISSING"},
		{"empty form", `{"t.x": {"one": "", "other": "a"}}`, "WORDING-EMPTY"},
		{"empty", `{"t.x": ""}`, "WORDING-EMPTY"},
		{"blank", `{"t.x": "  "}`, "WORDING-EMPTY"},
		{"long", `{"t.x": "` + strings.Repeat("é", safetext.MaxWording+1) + `"}`, "WORDING-LONG"},
		{"number", `{"t.x": 3}`, "WORDING-TYPE"},
		{"null", `{"t.x": null}`, "WORDING-TYPE"},
		{"array", `{"t.x": ["a", {"b": "c"}]}`, "WORDING-TYPE"},
		{"nested ids", `{"t": {"x": "a"}}`, "WORDING-FORM-UNKNOWN"},
		{"form not a string", `{"t.x": {"one": {"a": []}, "other": "b"}}`, "WORDING-TYPE"},
		{"deep", nested, "WORDING-TYPE"},
		{"id without a dot", `{"tx": "a"}`, "WORDING-ID"},
		{"id with a capital", `{"t.X": "a"}`, "WORDING-ID"},
		{"id with a space", `{"t. x": "a"}`, "WORDING-ID"},
		{"empty word in an id", `{"t..x": "a"}`, "WORDING-ID"},
		{"empty id", `{"": "a"}`, "WORDING-ID"},
		{"hostile id", `{"t.x\n\u202e": "a"}`, "WORDING-ID"},
		{"long id", `{"t.` + strings.Repeat("x", MaxID) + `": "a"}`, "WORDING-ID"},
		{"array file", `["a"]`, "WORDING-JSON"},
		{"text file", `"a"`, "WORDING-JSON"},
		{"empty file", ``, "WORDING-JSON"},
		{"cut off", `{"t.x": "a"`, "WORDING-JSON"},
		{"comma at the end", `{"t.x": "a",}`, "WORDING-JSON"},
		{"no comma", `{"t.x": "a" "t.y": "b"}`, "WORDING-JSON"},
		{"no colon", `{"t.x" "a"}`, "WORDING-JSON"},
		{"comment", `{"t.x": "a" /* b */}`, "WORDING-JSON"},
		{"two objects", `{"t.x": "a"} {"t.y": "b"}`, "WORDING-JSON"},
		{"something after", `{"t.x": "a"} x`, "WORDING-JSON"},
		{"big", `{"t.x": "a"}` + strings.Repeat(" ", MaxFile), "WORDING-SIZE"},
	} {
		t.Run(c.name, func(t *testing.T) {
			start := time.Now()
			w, faults := Load("en", []byte(c.file), nil)
			took := time.Since(start)
			if w != nil {
				t.Error("a wording came back beside faults")
			}
			if !faults.Has(c.code) {
				t.Errorf("want %s, got:\n%s", c.code, faults.Lines())
			}
			for _, f := range faults {
				if f.Path != "i18n/en.json" && !strings.HasPrefix(f.Path, "i18n/en.json:") {
					t.Errorf("path %q", f.Path)
				}
			}
			// The range alone runs for seconds if it reaches the engine.
			if took > time.Second {
				t.Errorf("refusing took %v", took)
			}
		})
	}
}

func TestFaultsAreAllCollected(t *testing.T) {
	_, faults := Load("en", []byte(`{"t.a": "<", "t.b": "{{range 9}}", "t.c": 4, "t.d": {"other": "x"}, "t.e": "good", "t.f": "{{.Zzz}} {{.Yyy}} {"}`), nil)
	var got []string
	for _, f := range faults {
		got = append(got, f.Code+" "+strings.TrimPrefix(f.Path, "i18n/en.json:"))
	}
	want := []string{"WORDING-MARKUP t.a", "WORDING-TEMPLATE t.b", "WORDING-TYPE t.c", "WORDING-FORM-MISSING t.d",
		"WORDING-PLACEHOLDER-UNKNOWN t.f", "WORDING-PLACEHOLDER-UNKNOWN t.f", "WORDING-BRACE t.f"}
	if !slices.Equal(got, want) {
		t.Errorf("got  %q\nwant %q", got, want)
	}
}

// What is there twice is never taken, whichever of the two it is, and the rest is.
func TestDuplicatesAreNotTaken(t *testing.T) {
	long := "t." + strings.Repeat("x", MaxID-2)
	en, _ := Lookup("en")
	messages, faults := en.Parse("i18n/en.json", []byte(`{"t.a": "a", "t.a": "b", "t.b": {"one": "a", "other": "b", "one": "c"}, "`+long+`": "a", "`+long+`": "b", "t.c": "good"}`))
	if len(messages) != 1 || messages["t.c"].Other != "good" {
		t.Errorf("%v", messages)
	}
	var at []string
	for _, f := range faults {
		at = append(at, f.Code+" "+f.Path)
	}
	want := []string{"WORDING-TWICE i18n/en.json:t.a", "WORDING-TWICE i18n/en.json:t.b.one", `WORDING-TWICE i18n/en.json:["` + long[:80] + `..."]`}
	if !slices.Equal(at, want) {
		t.Errorf("got  %q\nwant %q", at, want)
	}
	many := `{"t.good": "a"` + strings.Repeat(`, "t.x": "a"`, 2000) + `}`
	if messages, faults := en.Parse("i18n/en.json", []byte(many)); messages != nil || len(faults) > 1100 {
		t.Errorf("%d messages, %d faults", len(messages), len(faults))
	}
}

func TestTemplateCodeIsNeverRun(t *testing.T) {
	file := []byte(`{"t.x": "{{range 30000000}}x{{end}}"}`)
	start := time.Now()
	const runs = 100
	for range runs {
		if _, faults := Load("en", file, nil); !faults.Has("WORDING-TEMPLATE") {
			t.Fatal("not refused")
		}
	}
	if each := time.Since(start) / runs; each > 5*time.Millisecond {
		t.Errorf("refusing took %v each", each)
	}
}

func TestAllowedText(t *testing.T) {
	for _, text := range []string{
		"Plain.", "{{.Count}} of {{.Total}}", "{{.Count}}{{.Count}}", "a & b", "a &c d; e", "5 % é ñ العربية", "nbsp\u00a0here",
		"می\u200cخواهم", "क्\u200dष", "emoji \U0001F9B7", strings.Repeat("é", safetext.MaxWording),
	} {
		if _, faults := Load("en", []byte(`{"t.x": `+fmt.Sprintf("%q", text)+`}`), nil); len(faults) > 0 {
			t.Errorf("%.30q: %s", text, faults.Lines())
		}
	}
}

const counted = `{"t.n": {"one": "one tooth", "other": "{{.Count}} teeth"}, "t.v": "Call {{.Phone}}.", "t.p": "Plain."}`

func TestText(t *testing.T) {
	w := mustLoad(t, "en", counted)
	for _, c := range []struct {
		id    string
		args  map[string]string
		count string
		want  string
	}{
		{"t.p", nil, "", "Plain."},
		{"t.p", map[string]string{"Phone": "unused"}, "", "Plain."},
		{"t.n", nil, "1", "one tooth"},
		{"t.n", map[string]string{"Count": "8"}, "8", "8 teeth"},
		{"t.n", map[string]string{"Count": "1.5"}, "1.5", "1.5 teeth"},
		{"t.v", map[string]string{"Phone": "{{.Count}} <b> \u2068+1\u2069 <no value>"}, "", "Call {{.Count}} <b> \u2068+1\u2069 <no value>."},
		{"t.v", map[string]string{"Phone": ""}, "", "Call ."},
	} {
		got, err := w.Text(c.id, c.args, c.count)
		if err != nil || got != c.want {
			t.Errorf("%s %v %q: got %q, %v; want %q", c.id, c.args, c.count, got, err, c.want)
		}
	}
	for _, c := range []struct {
		id    string
		args  map[string]string
		count string
	}{
		{"t.none", nil, ""},
		{"t.v", nil, ""},
		{"t.v", map[string]string{"phone": "x"}, ""},
		{"t.n", map[string]string{"Count": "1"}, ""},
		{"t.n", nil, "2"},
		{"t.p", nil, "1"},
		{"t.n", map[string]string{"Count": "x"}, "x"},
		{"t.n", map[string]string{"Count": "x"}, "-1"},
		{"t.n", map[string]string{"Count": "x"}, "1,5"},
		{"t.n", map[string]string{"Count": "x"}, "1e3"},
		{"t.n", map[string]string{"Count": "x"}, "٣"},
		{"t.n", map[string]string{"Count": "x"}, " 2"},
	} {
		if got, err := w.Text(c.id, c.args, c.count); err == nil || got != "" {
			t.Errorf("%s %v %q: got %q, %v; want an error and no text", c.id, c.args, c.count, got, err)
		}
	}
	if got := w.Placeholders("t.n"); !slices.Equal(got, []string{"Count"}) {
		t.Errorf("placeholders %v", got)
	}
	if w.Has("t.none") || !w.Has("t.p") || !slices.Equal(w.IDs(), []string{"t.n", "t.p", "t.v"}) || w.Source("t.n").One != "one tooth" {
		t.Error("Has, IDs or Source")
	}
}

// A bundle shared by languages answers in the wrong one without an error; one
// bundle each must not.
func TestNoLanguageStandsInForAnother(t *testing.T) {
	mustLoad(t, "en", `{"t.only-en": "English"}`)
	ar := mustLoad(t, "ar", `{"t.x": "عربي"}`)
	if got, err := ar.Text("t.only-en", nil, ""); err == nil {
		t.Errorf("got %q", got)
	}
	if _, faults := Load("es-MX", []byte(`{}`), nil); !faults.Has("WORDING-LANGUAGE") {
		t.Error("es-MX was loaded")
	}
}

func TestOverrides(t *testing.T) {
	over := func(id string, m Message) fault.List {
		_, faults := Load("en", []byte(counted), map[string]Message{id: m})
		return faults
	}
	w, faults := Load("en", []byte(counted), map[string]Message{"t.v": {Other: "Ring {{.Phone}} now."}})
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	if got, _ := w.Text("t.v", map[string]string{"Phone": "1"}, ""); got != "Ring 1 now." {
		t.Errorf("got %q", got)
	}
	for _, c := range []struct {
		name, id string
		m        Message
		code     string
	}{
		{"unknown", "t.none", Message{Other: "x"}, "WORDING-ID"},
		{"number lost", "t.v", Message{Other: "Ring us."}, "WORDING-PLACEHOLDER-LOST"},
		{"number invented", "t.p", Message{Other: "Ring {{.Phone}}."}, "WORDING-PLACEHOLDER-EXTRA"},
		{"count lost", "t.n", Message{One: "a tooth", Other: "many teeth"}, "WORDING-PLACEHOLDER-LOST"},
		{"forms lost", "t.n", Message{Other: "{{.Count}} teeth"}, "WORDING-FORM-MISSING"},
		{"forms of a plain one", "t.p", Message{One: "a", Other: "b"}, "WORDING-FORM-MISSING"},
		{"a form of another language", "t.n", Message{One: "a", Few: "b", Other: "{{.Count}}"}, "WORDING-FORM-UNKNOWN"},
		{"other lost", "t.n", Message{One: "a"}, "WORDING-FORM-MISSING"},
		{"code", "t.p", Message{Other: "{{range 30000000}}{{end}}"}, "WORDING-TEMPLATE"},
		{"markup", "t.p", Message{Other: "<script>"}, "WORDING-MARKUP"},
		{"empty", "t.p", Message{}, "WORDING-EMPTY"},
	} {
		faults := over(c.id, c.m)
		if !faults.Has(c.code) {
			t.Errorf("%s: want %s, got %s", c.name, c.code, faults.Lines())
		}
		for _, f := range faults {
			if f.Path != "wordings/en:"+c.id {
				t.Errorf("%s: path %q", c.name, f.Path)
			}
		}
	}
}

func TestConcurrentText(t *testing.T) {
	w := mustLoad(t, "en", counted)
	var wg sync.WaitGroup
	for range 8 {
		wg.Go(func() {
			for i := range 200 {
				n := fmt.Sprint(i + 2)
				if got, err := w.Text("t.n", map[string]string{"Count": n}, n); err != nil || got != n+" teeth" {
					t.Errorf("got %q, %v", got, err)
					return
				}
			}
		})
	}
	wg.Wait()
}

// The vector of categories for 0,1,2,3,4,5,11,21,22,100,101,1000000 and for
// 0.5, 1.0, 1.5: Unicode CLDR 48.2, supplemental/plurals.json (Z zero, O one,
// T two, F few, M many, X other). Category answers by the library's own rules,
// so this also holds the library to CLDR.
func TestPluralRules(t *testing.T) {
	counts := []string{"0", "1", "2", "3", "4", "5", "11", "21", "22", "100", "101", "1000000", "0.5", "1.0", "1.5"}
	letter := map[string]string{"zero": "Z", "one": "O", "two": "T", "few": "F", "many": "M", "other": "X"}
	want := map[string]string{
		"en":      "XOXXXXXXXXXX" + "XXX",
		"es":      "XOXXXXXXXXXM" + "XOX",
		"ar":      "ZOTFFFMMMXXX" + "XOX",
		"zh-Hans": "XXXXXXXXXXXX" + "XXX",
		"de":      "XOXXXXXXXXXX" + "XXX",
	}
	for _, l := range All() {
		if want[l.Tag] == "" {
			t.Errorf("%s has no plural vector in this test", l.Tag)
			continue
		}
		file := `{"t.n": {`
		for i, c := range l.Plurals() {
			if i > 0 {
				file += ", "
			}
			file += fmt.Sprintf("%q: %q", c, letter[c])
		}
		var w *Wording
		if l.Tier != Parked {
			w = mustLoad(t, l.Tag, file+"}}")
		}
		var category, text string
		for _, n := range counts {
			c, err := l.Category(n)
			if err != nil {
				t.Fatal(err)
			}
			category += letter[c]
			if w == nil {
				continue
			}
			s, err := w.Text("t.n", nil, n)
			if err != nil {
				t.Fatal(err)
			}
			text += s
		}
		if category != want[l.Tag] || w != nil && text != want[l.Tag] {
			t.Errorf("%s: category %s, text %s, CLDR %s", l.Tag, category, text, want[l.Tag])
		}
	}
}

func TestSingleCategories(t *testing.T) {
	for tag, want := range map[string][]string{"en": {"one"}, "es": {"one"}, "ar": {"zero", "one", "two"}} {
		l, _ := Lookup(tag)
		for _, c := range l.Plurals() {
			if got := l.single(c); got != slices.Contains(want, c) {
				t.Errorf("%s %s: single is %v", tag, c, got)
			}
		}
	}
}

// The value was computed apart, with sha256sum over the canonical lines.
func TestHash(t *testing.T) {
	if got := Hash(Message{One: "one tooth", Other: "{{.Count}} teeth"}); got != "cdc495cfc5318bcb" {
		t.Errorf("got %s", got)
	}
	seen := map[string]Message{}
	for _, m := range []Message{{}, {Other: "a"}, {One: "a"}, {One: "a", Other: "b"}, {One: "b", Other: "a"}, {Other: "a "}, {Few: "a"}} {
		h := Hash(m)
		if prior, ok := seen[h]; ok {
			t.Errorf("%v and %v share %s", m, prior, h)
		}
		seen[h] = m
	}
}

func FuzzParse(f *testing.F) {
	f.Add([]byte(counted))
	f.Add([]byte(`{"t.x": {"one": "{{.Count}}", "other": "{{range 3}}"}}`))
	f.Add([]byte("\n{ \"t.x\" :\t\"a\\\"b\\\\\" , \"t.y\":{\"one\" : \"\\u0041\",\"other\":\"{{.Count}}\"} }\r\n"))
	f.Add([]byte(`{"t.x": [1, {"a": "]}"}, null], "t.y": -1.5e3, "t.z": true}`))
	en, _ := Lookup("en")
	f.Fuzz(func(t *testing.T, data []byte) {
		messages, faults := en.Parse("i18n/en.json", data)
		if len(faults) > 0 {
			return
		}
		// The walk reads what the library's decoder reads.
		var values map[string]json.RawMessage
		if err := json.Unmarshal(data, &values); err != nil || len(values) != len(messages) {
			t.Fatalf("%d values, %d messages, %v", len(values), len(messages), err)
		}
		for id, v := range values {
			var other string
			var forms map[string]string
			if json.Unmarshal(v, &other) != nil {
				if err := json.Unmarshal(v, &forms); err != nil {
					t.Fatal(err)
				}
				other = forms["other"]
			}
			if m := messages[id]; m.Other != other || m.One != forms["one"] {
				t.Fatalf("%s: %+v, want %q", id, m, v)
			}
		}
		// Whatever passes can be printed from its placeholders alone.
		w, faults := Load("en", data, nil)
		if len(faults) > 0 {
			t.Fatalf("Parse passed what Load refused: %s", faults.Lines())
		}
		for id, m := range messages {
			args := map[string]string{}
			for _, n := range m.Placeholders() {
				args[n] = "v"
			}
			count := ""
			if m.Plural() {
				count = "5"
			}
			if _, err := w.Text(id, args, count); err != nil {
				t.Fatal(err)
			}
		}
	})
}

func BenchmarkLoad800(b *testing.B) {
	var s strings.Builder
	s.WriteString("{")
	for i := range 800 {
		if i > 0 {
			s.WriteString(",")
		}
		fmt.Fprintf(&s, `"t.m%d": "Call us at {{.Phone}} if a veneer feels loose, rough or sore."`, i)
	}
	s.WriteString("}")
	data := []byte(s.String())
	for b.Loop() {
		Load("en", data, nil)
	}
}

func BenchmarkText(b *testing.B) {
	w := mustLoad(b, "en", counted)
	args := map[string]string{"Count": "8"}
	for b.Loop() {
		w.Text("t.n", args, "8")
	}
}

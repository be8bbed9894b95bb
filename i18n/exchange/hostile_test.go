//go:build !js

package exchange

import (
	"bytes"
	"fmt"
	"strings"
	"testing"

	"plainleaf/app/fault"
	"plainleaf/app/safetext"
	"plainleaf/i18n"
)

// Each file has one thing wrong, is refused with the code that says so, and brings
// nothing. paths are those of the unit, where it is one unit's fault.
func TestHostileFiles(t *testing.T) {
	w := small(t, "es")
	good := exported(t, w)
	if _, faults := back(w, good); len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	const phone = `<ph id="Phone" canDelete="no" dataRef="Phone" disp="[Phone]" equiv="Phone" type="other" subType="plainleaf:code"/>`
	target := "<target>Llame ya al " + phone + ".</target>"
	to := func(text string) func(string) string {
		return func(s string) string { return change(t, s, target, "<target>"+text+"</target>") }
	}
	swap := func(before, after string) func(string) string {
		return func(s string) string { return change(t, s, before, after) }
	}
	root := `<xliff xmlns="urn:oasis:names:tc:xliff:document:2.0" version="2.0"`
	unit := good[strings.Index(good, `<unit id="urgency.call"`):]
	unit = unit[:strings.Index(unit, "</unit>")+len("</unit>")]
	for _, c := range []struct {
		name, code, path string
		make             func(string) string
	}{
		{"document type", "EXCHANGE-DTD", "$", swap(root, `<!DOCTYPE xliff>`+root)},
		{"entities that grow", "EXCHANGE-DTD", "$", func(s string) string {
			s = swap(root, `<!DOCTYPE x [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;">]>`+root)(s)
			return change(t, s, target, "<target>&b;</target>")
		}},
		{"entity of another file", "EXCHANGE-DTD", "$", swap(root, `<!DOCTYPE x [<!ENTITY a SYSTEM "file:///etc/passwd">]>`+root)},
		{"entity nobody declared", "EXCHANGE-XML", "$", to("&nbsp;" + phone)},
		{"another file", "EXCHANGE-OUTSIDE", "$", swap(`<file id="plainleaf"`, `<file id="f"><skeleton href="file:///etc/passwd"/></file><file id="plainleaf"`)},
		{"too deep", "EXCHANGE-DEEP", "$", swap(unit, change(t, unit, "<notes>", strings.Repeat("<x:a xmlns:x=\"urn:x\">", 40)+strings.Repeat("</x:a>", 40)+"<notes>"))},
		{"marks too deep", "EXCHANGE-DEEP", "$", to(strings.Repeat(`<mrk id="m">`, 40) + phone + strings.Repeat(`</mrk>`, 40))},
		{"too large", "EXCHANGE-SIZE", "$", func(s string) string { return s + strings.Repeat(" ", MaxBytes) }},
		{"UTF-16", "EXCHANGE-UTF8", "$", func(s string) string { return "\xff\xfe<\x00" }},
		{"bad UTF-8", "EXCHANGE-UTF8", "$", to("Llame \xff " + phone)},
		{"another encoding", "EXCHANGE-XML", "$", swap(`encoding="UTF-8"`, `encoding="ISO-8859-1"`)},
		{"a null", "EXCHANGE-XML", "$", to("Llame&#0; " + phone)},
		{"cut short", "EXCHANGE-XML", "$", func(s string) string { return s[:len(s)/2] }},
		{"empty", "EXCHANGE-FORMAT", "$", func(string) string { return "" }},
		{"JSON", "EXCHANGE-FORMAT", "$", func(string) string { return "{}" }},
		{"begins twice", "EXCHANGE-XML", "$", swap(`<file id="plainleaf"`, `<?xml version="1.0"?><file id="plainleaf"`)},
		{"goes on after its end", "EXCHANGE-XML", "$", func(s string) string { return s + "<xliff/>" }},
		{"attribute twice", "EXCHANGE-XML", "$", swap(`<unit id="urgency.call"`, `<unit id="urgency.call" id="page.seal.button"`)},
		{"prefix of nothing", "EXCHANGE-XML", "$", swap(`<unit id="urgency.call"`, `<unit x:y="" id="urgency.call"`)},
		{"other namespace", "EXCHANGE-FORMAT", "$", swap("document:2.0", "document:1.2")},
		{"other version", "EXCHANGE-FORMAT", "$", swap(`version="2.0"`, `version="2.2"`)},
		{"other root", "EXCHANGE-FORMAT", "$", func(string) string { return `<html xmlns="urn:oasis:names:tc:xliff:document:2.0"/>` }},
		{"other language", "EXCHANGE-LANGUAGE", "$", swap(`trgLang="es"`, `trgLang="de"`)},
		{"other source", "EXCHANGE-LANGUAGE", "$", swap(`srcLang="en"`, `srcLang="de"`)},
		{"no language", "EXCHANGE-LANGUAGE", "$", swap(` trgLang="es"`, ``)},
		{"unit twice", "EXCHANGE-TWICE", "urgency.call", swap(unit, unit+unit)},
		{"unit without id", "EXCHANGE-ID", "$", swap(`<unit id="urgency.call"`, `<unit`)},
		{"all ids are others", "EXCHANGE-ID", "$", func(s string) string { return strings.ReplaceAll(s, `<unit id="`, `<unit id="no-`) }},
		{"unit without sentence", "EXCHANGE-ELEMENT", "urgency.call", swap(unit, `<unit id="urgency.call"></unit>`)},
		{"two translations", "EXCHANGE-ELEMENT", "urgency.call", swap(target, target+target)},
		{"unknown element", "EXCHANGE-ELEMENT", "$", swap(`<unit id="urgency.call"`, `<script/><unit id="urgency.call"`)},
		{"text outside", "EXCHANGE-ELEMENT", "$", swap(`<unit id="urgency.call"`, `call<unit id="urgency.call"`)},
		{"split", "EXCHANGE-SPLIT", "urgency.call", swap(target+"\n", target+"</segment><segment><source> </source>\n")},
		{"split with a space kept", "EXCHANGE-SPLIT", "urgency.call", swap(target+"\n", target+"</segment><ignorable><source> </source></ignorable><segment><source>a</source>\n")},
		{"state", "EXCHANGE-STATE", "urgency.call", swap(unit, strings.Replace(unit, `state="translated"`, `state="approved"`, 1))},
		{"mark lost", "WORDING-PLACEHOLDER-LOST", "urgency.call", to("Llame ya.")},
		{"mark added", "WORDING-PLACEHOLDER-EXTRA", "urgency.call", to(phone + ` <ph id="Count"/>`)},
		{"mark swapped", "EXCHANGE-MARK", "urgency.call", to(`Llame al <ph id="Phone" dataRef="Emergency"/>`)},
		{"mark that says another", "EXCHANGE-MARK", "urgency.call", to(`Llame al <ph id="Phone" equiv="Emergency"/>`)},
		{"mark of nobody", "EXCHANGE-MARK", "urgency.call", to(phone + `<ph id="1"/>`)},
		{"mark that holds something", "EXCHANGE-MARK", "urgency.call", to(`<ph id="Phone">x<b/></ph>`)},
		{"mark of code", "EXCHANGE-MARK", "urgency.call", to(phone + `<ph id="range 30000000"/>`)},
		{"bold", "EXCHANGE-MARK", "urgency.call", to(`<pc id="1">Llame</pc> ` + phone)},
		{"another program's mark", "EXCHANGE-MARK", "urgency.call", to(`Llame al <x:ph xmlns:x="urn:x" id="Phone"/>`)},
		{"code point", "EXCHANGE-MARK", "urgency.call", to(phone + `<cp hex="0007"/>`)},
		{"markup of HTML", "EXCHANGE-MARK", "urgency.call", to(phone + `<script xmlns="http://www.w3.org/1999/xhtml">a</script>`)},
		{"typed value", "EXCHANGE-BRACE", "urgency.call", to("Llame al {{.Phone}}")},
		{"template code", "EXCHANGE-BRACE", "urgency.call", to(phone + "{{range 30000000}}{{end}}")},
		{"template code in CDATA", "EXCHANGE-BRACE", "urgency.call", to(phone + "<![CDATA[{{range 30000000}}{{end}}]]>")},
		{"template code as references", "EXCHANGE-BRACE", "urgency.call", to(phone + "&#123;&#123;len .&#125;&#125;")},
		{"markup as text", "WORDING-MARKUP", "urgency.call", to(phone + "&lt;b&gt;")},
		{"number typed", "WORDING-DIGITS", "urgency.call", to(phone + " 112")},
		{"direction control", "WORDING-BIDI", "urgency.call", to(phone + "&#x202e;")},
		{"line break that may or may not be a space", "WORDING-CONTROL", "urgency.call", to("Llame ya al\n" + phone)},
		{"space at the end", "WORDING-SPACE", "urgency.call", to("Llame ya al " + phone + " ")},
		{"long", "WORDING-LONG", "urgency.call", to(phone + strings.Repeat("a", safetext.MaxWording))},
		{"longer than a whole wording may be", "WORDING-LONG", "urgency.call", to(strings.Repeat(phone, 20_000))},
		{"no sentences", "EXCHANGE-NOTHING", "$", func(s string) string {
			return s[:strings.Index(s, " <file")] + `<file id="f"><group id="g"/></file></xliff>`
		}},
		{"too many sentences", "EXCHANGE-SIZE", "$", func(s string) string {
			return s[:strings.Index(s, " <file")] + `<file id="f">` + strings.Repeat(`<unit id="a"/>`, MaxUnits+1) + "</file></xliff>"
		}},
		{"left in English", "WORDING-UNTRANSLATED", "page.seal.button", swap("<target>Sellar el registro", "<target>Seal the record")},
		{"negation lost", "WORDING-NEGATION", "sheet.last.rule", swap("<target>Hoy no se pega nada", "<target>Hoy se pega todo")},
		{"form without words", "WORDING-FORM-MISSING", "sheet.row.teeth", swap("<target>un diente</target>", "<target/>")},
		{"form taken out", "WORDING-FORM-MISSING", "sheet.row.teeth", func(s string) string {
			i := strings.Index(s, `<unit id="sheet.row.teeth_many"`)
			j := i + strings.Index(s[i:], "</unit>") + len("</unit>")
			return s[:i] + s[j:]
		}},
		{"form the language has not", "WORDING-FORM-UNKNOWN", "sheet.row.teeth_few", swap(`<unit id="sheet.row.teeth_many"`, `<unit id="sheet.row.teeth_few"`)},
	} {
		r, faults := back(w, c.make(good))
		found := false
		for _, f := range faults {
			found = found || f.Code == c.code && (c.path == "$" || f.Path == c.path)
			if strings.Count(f.Line(), "\t") != 2 || len(f.Text) > 400 {
				t.Errorf("%s: the line is %q", c.name, f.Line())
			}
		}
		if rest, _, _ := leaving(w, c.make(good)); len(rest.Messages) > 0 {
			t.Errorf("%s: %v was taken of what is left", c.name, rest.Messages)
		}
		if !found {
			t.Errorf("%s: want %s at %s, got %+v\n%s", c.name, c.code, c.path, r, faults.Lines())
		}
	}
}

func leaving(w Work, file string) (Result, fault.List, fault.List) {
	f, faults := Read([]byte(file))
	return Leave(w, f, faults)
}

// Sentences with a fault can be left, of whichever kind; the others are taken.
func TestLeave(t *testing.T) {
	w := small(t, "es")
	file := exported(t, w)
	file = change(t, file, "<target>Llame ya al ", "<target>{Llame ya al ")
	file = change(t, file, "<target>un diente", "<target>1 diente")
	file = change(t, file, "Sellar el registro", "Selle el registro")
	r, left, faults := leaving(w, file)
	if len(faults) > 0 || !left.Has("EXCHANGE-BRACE") || !left.Has("WORDING-DIGITS") || r.Left != 2 || r.Same != 1 || len(r.Messages) != 1 || r.Messages["page.seal.button"].Other != "Selle el registro" {
		t.Errorf("%+v %s %s", r, left.Lines(), faults.Lines())
	}
	for _, whole := range []string{file[:len(file)/2], "{}", "", strings.Replace(file, `trgLang="es"`, `trgLang="de"`, 1)} {
		if r, _, faults := leaving(w, whole); len(faults) == 0 || len(r.Messages) > 0 {
			t.Errorf("a file that is none was taken in part: %+v", r)
		}
	}
}

// What editors do to a file, and XLIFF lets them, is no fault.
func TestWhatEditorsDo(t *testing.T) {
	w := small(t, "es")
	good := exported(t, w)
	const phone = `<ph id="Phone" canDelete="no" dataRef="Phone" disp="[Phone]" equiv="Phone" type="other" subType="plainleaf:code"/>`
	target := "<target>Llame ya al " + phone + ".</target>"
	const want = "Llame enseguida al {{.Phone}}."
	to := func(text string) string { return change(t, good, target, "<target>"+text+"</target>") }
	for _, c := range []struct{ name, file string }{
		{"a byte order mark", "\ufeff" + to("Llame enseguida al "+phone+".")},
		{"Windows line ends", strings.ReplaceAll(to("Llame enseguida al "+phone+"."), "\n", "\r\n")},
		{"a comment's marker", to(`Llame <mrk id="m1" type="comment" value="ya?">enseguida</mrk> al <sm id="m2"/>` + phone + `<em startRef="m2"/>.`)},
		{"CDATA", to("Llame <![CDATA[enseguida]]> al " + phone + ".")},
		{"a comment of XML", to("Llame <!-- ya -->enseguida al " + phone + ".")},
		{"a mark with its id only", to(`Llame enseguida al <ph id="Phone"/>.`)},
		{"a copied mark", to(`Llame enseguida al <ph id="7" copyOf="Phone"/>.`)},
		{"version 2.1", change(t, to("Llame enseguida al "+phone+"."), `version="2.0"`, `version="2.1"`)},
		{"another prefix", strings.NewReplacer("</", "</x:", "<?xml", "<?xml", "xmlns=", "xmlns:x=", "<", "<x:").Replace(to("Llame enseguida al " + phone + "."))},
		{"its own elements", strings.NewReplacer(`<unit id="urgency.call" name="urgency.call">`, `<unit id="urgency.call"><m:matches xmlns:m="urn:oasis:names:tc:xliff:matches:2.0"><m:match ref="#1"/></m:matches>`).Replace(to("Llame enseguida al " + phone + "."))},
		{"marks on lines of their own", strings.NewReplacer(phone, "\n      "+phone, "</source>", "\n     </source>", "</target>", "\n     </target>").Replace(to("Llame enseguida al " + phone + "."))},
		{"lines wrapped at spaces", change(t, strings.Replace(to("Llame\n enseguida al "+phone+"."), "Call ", "Call\n   ", 1), "Nothing is", "Nothing\n   is")},
	} {
		r, faults := back(w, c.file)
		if len(faults) > 0 || len(r.Taken) != 1 || r.Messages["urgency.call"].Other != want || r.Same != 3 {
			t.Errorf("%s: %+v %s", c.name, r, faults.Lines())
		}
	}
}

// Faults of many units are all told, up to a limit.
func TestEveryFaultIsTold(t *testing.T) {
	w := shipped(t, "es")
	file := exported(t, w)
	_, faults := back(w, strings.ReplaceAll(file, "<target>", "<target>{"))
	if n := len(faults); n != 1001 || faults[n-1].Code != "EXCHANGE-MORE" {
		t.Errorf("%d faults", n)
	}
	_, faults = back(w, strings.ReplaceAll(file, "<target>", "<target>7 "))
	if n := len(faults); n != 1001 || faults[n-1].Code != "EXCHANGE-MORE" {
		t.Errorf("%d faults", n)
	}
}

// Some faults have words of their own, since what is to be done about them differs.
func TestFaultsSayWhatToDo(t *testing.T) {
	for data, want := range map[string]string{
		"\xff\xfe<\x00?\x00": "UTF-16: have it saved as UTF-8",
		"<xliff>\n\xff":      "line 2 is not UTF-8",
		`<xliff xmlns="urn:oasis:names:tc:xliff:document:1.2" version="1.2"/>`: "have it saved as XLIFF 2.0",
		`<xliff xmlns="urn:oasis:names:tc:xliff:document:2.0" version="2.0"/>`: "does not say from which language",
		"<xliff\n":           "line 2: the file is damaged",
		"PK\x03\x04\xff\xff": "is no XLIFF file",
	} {
		if _, faults := Read([]byte(data)); len(faults) == 0 || !strings.Contains(faults.Lines(), want) {
			t.Errorf("%q: %s", data, faults.Lines())
		}
	}
	w := small(t, "es")
	half := strings.Replace(exported(t, w), "<target>un diente</target>", "", 1)
	if _, faults := back(w, half); len(faults) != 1 || !strings.Contains(faults.Lines(), "the forms one are empty") {
		t.Error(faults.Lines())
	}
}

func TestStreamsAreCut(t *testing.T) {
	if _, faults := ReadFrom(bytes.NewReader(make([]byte, MaxBytes+1))); !faults.Has("EXCHANGE-SIZE") {
		t.Error("a stream without an end was read")
	}
	if data, faults := ReadFrom(bytes.NewReader(make([]byte, MaxBytes))); len(faults) > 0 || len(data) != MaxBytes {
		t.Error("a file of the largest size was refused")
	}
}

// Whatever a file holds, what is taken of it has the values of its source and no
// more, and words that a wording file may hold.
func FuzzRead(f *testing.F) {
	w := small(f, "es")
	good := exported(f, w)
	f.Add([]byte(good))
	f.Add([]byte(strings.Replace(good, "Llame ya", "Llame", 1)))
	f.Add([]byte(strings.Replace(good, `state="translated"`, `state="final"`, 4)))
	f.Add([]byte(strings.Replace(good, "<target>", "<target>\n <![CDATA[&]]>&#65;", 3)))
	f.Add([]byte(`<?xml version="1.0"?><xliff xmlns="urn:oasis:names:tc:xliff:document:2.0" version="2.1" srcLang="en" trgLang="es"><file id="f"><unit id="a"><segment><source>a</source></segment></unit></file></xliff>`))
	f.Fuzz(func(t *testing.T, data []byte) { sound(t, w, string(data)) })
}

// The same for whatever stands inside a sentence.
func FuzzSentence(f *testing.F) {
	w := small(f, "es")
	good := exported(f, w)
	at := strings.Index(good, "<target>Llame") + len("<target>")
	end := at + strings.Index(good[at:], "</target>")
	for _, s := range []string{good[at:end], `Llame <ph id="Phone"/>`, `<ph id="Phone-2"/> a`, `<mrk id="a">Llame <ph copyOf="Phone"/></mrk>`, "<![CDATA[&]]>&#65;\n <ph id=\"Phone\"/>",
		"{{.Phone}}", "&#123;{", `</target></segment></unit><unit id="urgency.call"><segment><source/><target>`} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) { sound(t, w, good[:at]+s+good[end:]) })
}

// sound holds that a file brings nothing that it must not.
func sound(t *testing.T, w Work, file string) {
	f, faults := Read([]byte(file))
	r, _, faults := Leave(w, f, faults)
	if len(faults) > 0 {
		return
	}
	for id, m := range r.Messages {
		source, known := w.English[id]
		if !known {
			t.Fatalf("%s is no message", id)
		}
		if !m.Plural() && fmt.Sprint(m.Placeholders()) != fmt.Sprint(source.Placeholders()) {
			t.Fatalf("%s: %q has other values than %q", id, m.Other, source.Other)
		}
		for _, c := range i18n.Categories {
			if text := m.Form(c); strings.ContainsAny(text, "<>\n\x00") || strings.Count(text, "{{") != strings.Count(text, "{{.") {
				t.Fatalf("%s: %q was taken", id, text)
			}
		}
	}
	if n := len(r.Taken) + len(r.Confirmed) + len(r.Reviewed) + r.Same + r.Empty + len(r.Stale) + len(r.Gone); n != r.Sentences {
		t.Fatalf("%d sentences, %d told of: %+v", r.Sentences, n, r)
	}
}

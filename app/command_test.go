//go:build !js

package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"plainleaf/app/casefile"
	"plainleaf/app/plan"
	"plainleaf/app/sheet"
	"plainleaf/build/trials"
	"plainleaf/i18n"
)

const caseDir = "../testdata/cases"

func cases(t testing.TB) []string {
	t.Helper()
	files, err := filepath.Glob(caseDir + "/*.json")
	if err != nil || len(files) < 6 {
		t.Fatalf("example cases: %v, %v", files, err)
	}
	return files
}

// someCases are all of them, or every fourth under -short.
func someCases(t testing.TB) (files []string) {
	t.Helper()
	for i, file := range cases(t) {
		if i%trials.N(4, 1, 1) == 0 {
			files = append(files, file)
		}
	}
	return files
}

// order runs the command in process.
func order(stdin string, args ...string) (code int, out, errs string) {
	var o, e bytes.Buffer
	code = run(args, strings.NewReader(stdin), &o, &e)
	return code, o.String(), e.String()
}

func readCase(t testing.TB, file string) casefile.Case {
	t.Helper()
	var c casefile.Case
	data, err := os.ReadFile(file)
	if err == nil {
		err = json.Unmarshal(data, &c)
	}
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// Every case, sheet and language renders whole: right language and direction,
// every tooth, every wait-for and both telephone numbers on it, nothing private.
func TestEverySheet(t *testing.T) {
	files := someCases(t)
	plans := map[string]plan.Plan{}
	for _, file := range files {
		plans[file] = planOf(t, file)
	}
	for _, lang := range i18n.Languages() {
		for _, kind := range sheet.Kinds() {
			args := []string{"sheet", "-kind", string(kind), "-locale", lang.Tag}
			if lang.Tag != "en" {
				args = append(args, "-second", "en")
			}
			pages, said := inFolder(t, args, files)
			var texts map[string]string
			if lang.Tag == "ar" { // the text form is made of the same documents
				texts, _ = inFolder(t, append(args, "-format", "text"), files)
			}
			for _, file := range files {
				name := fmt.Sprintf("%s %s %s", filepath.Base(file), kind, lang.Tag)
				c := readCase(t, file)
				if kind == sheet.Change && c.Agreed == nil {
					if !strings.HasPrefix(said[file], "SHEET-NO-AGREEMENT\t"+file+":agreed\t") {
						t.Errorf("%s: %q", name, said[file])
					}
					continue
				}
				if said[file] != "" {
					t.Errorf("%s: %s", name, said[file])
					continue
				}
				checkPage(t, name, pages[file], lang, c, plans[file])
				if lang.Tag == "ar" && (strings.Contains(texts[file], "<no value>") || !strings.Contains(texts[file], "202-555")) {
					t.Errorf("%s as text: %.200q", name, texts[file])
				}
			}
		}
	}
}

// checkPage reads the facts of a sheet from its markup, as an outside reader would.
func checkPage(t *testing.T, name, page string, lang i18n.Language, c casefile.Case, p plan.Plan) {
	t.Helper()
	doc, err := html.Parse(strings.NewReader(page))
	if err != nil {
		t.Fatal(err)
	}
	teeth, waits, changes := map[string]bool{}, map[string]bool{}, map[string]bool{}
	var walk func(*html.Node)
	walk = func(n *html.Node) {
		for _, a := range n.Attr {
			switch a.Key {
			case "data-tooth":
				for _, x := range strings.Fields(a.Val) {
					teeth[x] = true
				}
			case "data-wait":
				waits[a.Val] = true
			case "data-change":
				changes[a.Val] = true
			case "style":
				t.Errorf("%s: a style attribute", name)
			case "src", "href":
				if !strings.HasPrefix(a.Val, "tel:") && !strings.HasPrefix(a.Val, "#") && !strings.HasPrefix(a.Val, "mailto:") {
					t.Errorf("%s: a reference to %q", name, a.Val)
				}
			}
			if n.Data == "html" && (a.Key == "lang" && a.Val != lang.Tag || a.Key == "dir" && a.Val != lang.Dir) {
				t.Errorf("%s: html %s=%q", name, a.Key, a.Val)
			}
		}
		if n.Type == html.ElementNode && n.Data == "script" {
			t.Errorf("%s: a script", name)
		}
		for k := n.FirstChild; k != nil; k = k.NextSibling {
			walk(k)
		}
	}
	walk(doc)
	for _, e := range c.Teeth {
		if !teeth[e.Tooth.String()] {
			t.Errorf("%s: tooth %s is missing", name, e.Tooth)
		}
	}
	for _, w := range p.WaitFor {
		if !waits[w.Key] {
			t.Errorf("%s: wait-for %s is missing", name, w.Key)
		}
	}
	if strings.Contains(name, " consent ") {
		for _, ch := range p.ChairChanges {
			if !ch.Rests && !changes[ch.Key] { // what cannot come up stands on no sheet
				t.Errorf("%s: chair change %s is missing", name, ch.Key)
			}
		}
	}
	for _, f := range p.Findings {
		if f.Private && (strings.Contains(page, f.Key) || strings.Contains(page, "finding."+f.Key)) {
			t.Errorf("%s: the private finding %s is named", name, f.Key)
		}
	}
}

// The consent of the ten-tooth case names what the law of consent asks for
// (general content: GDC Standards for the Dental Team, principle 3; Montgomery
// [2015] UKSC 11) and what may change in the chair.
func TestConsentOfTenTeeth(t *testing.T) {
	data, err := os.ReadFile(caseDir + "/ten-teeth-no-prep.json")
	if err != nil {
		t.Fatal(err)
	}
	// While the dark tooth is not settled, the consent says so and has no line to sign.
	code, page, errs := order(string(data), "sheet", "-kind", "consent", "-locale", "en", "-")
	if code != good || !strings.Contains(page, `"sheet.sign.hold"`) || !strings.Contains(page, `"sheet.consent.hold-one"`) ||
		strings.Contains(page, "sheet.sign.patient") || strings.Contains(page, "sheet.sign.decision-yes") {
		t.Errorf("on hold: exit %d: %s", code, errs)
	}
	settled := strings.Replace(string(data), `"events": [`, `"events": [{"kind": "settled", "finding": "one-dark-tooth", "teeth": ["21"]},`, 1)
	code, page, errs = order(settled, "sheet", "-kind", "consent", "-locale", "en", "-")
	if code != good || strings.Contains(page, `"sheet.sign.hold"`) {
		t.Fatal(errs)
	}
	for _, id := range []string{
		"sheet.consent.undo", "sheet.undo.no-drilling-not-fully.say", "sheet.undo.no-drilling-not-fully.short", "sheet.consent.option-none", "sheet.consent.option",
		"sheet.consent.others", "sheet.consent.risks-raised", "sheet.expect.title", "sheet.sign.decision-yes", "sheet.consent.price",
		"certainty.low", "sheet.money.total", "sheet.money.not-included-check-up", "sheet.think.earliest", "sheet.consent.withdraw",
		"sheet.people.decides", "sheet.people.decides.patient", "sheet.consent.questions", "sheet.teach.intro", "sheet.sign.patient",
		"sheet.sign.dentist", "furniture.caution", "sheet.consent.advice-route", "sheet.consent.complaints", "sheet.sign.again",
		"change.facial-contouring.limit", "sheet.change.rules", "answer.agree", "answer.ask", "answer.no", "sheet.sign.rest-ask",
	} {
		if !strings.Contains(page, `"`+id+`"`) && !strings.Contains(page, id+" ") && !strings.Contains(page, " "+id) {
			t.Errorf("the consent does not show %s", id)
		}
	}
	if strings.Contains(page, "route.crown.name") {
		t.Error("ten crowns are offered, and no tooth has a finding that asks for one")
	}
	page = strings.ReplaceAll(strings.ToLower(page), "not fully reversible", "")
	if n := strings.Count(page, "fully reversible"); n > 0 {
		t.Errorf(`"fully reversible" stands on the sheet %d times (care-pathway CV-43)`, n)
	}
}

// A consent in a language without sign-off and without the practice's language beside it is refused.
func TestUnsignedConsent(t *testing.T) {
	code, out, errs := order("", "sheet", "-kind", "consent", "-locale", "ar", caseDir+"/two-teeth.json")
	if code != badInput || out != "" || !strings.HasPrefix(errs, "REVIEW-UNSIGNED\t") {
		t.Errorf("exit %d, out %d bytes, %q", code, len(out), errs)
	}
}

// Bad input gives one line per fault, nothing on standard output and exit code 1.
func TestBadInput(t *testing.T) {
	good1, err := os.ReadFile(caseDir + "/two-teeth.json")
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range []struct{ name, data, code string }{
		{"truncated", string(good1[:len(good1)/2]), ""},
		{"twenty megabytes", `{"version":1,"note":"` + strings.Repeat("x", 20<<20) + `"}`, ""},
		{"empty", "", ""},
		{"not utf-8", strings.Replace(string(good1), "two", "t\xffo", 1) + "\xff", ""},
		{"unknown key", strings.Replace(string(good1), `"version"`, `"colour":"red","version"`, 1), ""},
		{"duplicate key", strings.Replace(string(good1), `"version"`, `"version":1,"version"`, 1), ""},
		{"wrong case", strings.Replace(string(good1), `"version"`, `"Version"`, 1), ""},
		{"impossible tooth", strings.Replace(string(good1), `"tooth": "`, `"tooth": "9`, 1), ""},
	} {
		for _, args := range [][]string{{"plan", "-"}, {"sheet", "-kind", "consent", "-locale", "en", "-"}} {
			code, out, errs := order(x.data, args...)
			if code != badInput || out != "" || errs == "" {
				t.Errorf("%s: %v: exit %d, %d bytes out, %q", x.name, args, code, len(out), errs)
			}
			for _, line := range strings.Split(strings.TrimSuffix(errs, "\n"), "\n") {
				if f := strings.Split(line, "\t"); len(f) != 3 || f[0] == "" || f[1] == "" || f[2] == "" {
					t.Errorf("%s: %q is not code, path, text", x.name, line)
				}
			}
		}
	}
}

// A currency that no amount can be written in is told where it stands, not by the
// amounts that are lost.
func TestUnknownCurrencyIsTold(t *testing.T) {
	data, err := os.ReadFile("../testdata/practice/signed.json")
	if err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "practice.json")
	wrong := regexp.MustCompile(`"currency": "[A-Z]{3}"`).ReplaceAll(data, []byte(`"currency": "XXX"`))
	if err := os.WriteFile(file, wrong, 0o600); err != nil {
		t.Fatal(err)
	}
	code, out, errs := order("", "sheet", "-kind", "options", "-locale", "en", "-practice", file, caseDir+"/two-teeth.json")
	if code != badInput || out != "" || !strings.HasPrefix(errs, "PRAC-CURRENCY\tcurrency\t") || strings.Count(errs, "\n") != 1 {
		t.Errorf("exit %d, out %q, err %q", code, out, errs)
	}
}

// Wrong usage is exit code 2 and says so.
func TestUsage(t *testing.T) {
	for _, args := range [][]string{
		{}, {"nothing"}, {"plan"}, {"plan", "a", "b"}, {"sheet", "x.json"}, {"sheet", "-kind", "poem", "x.json"},
		{"sheet", "-kind", "consent", "-locale", "tlh", "x.json"}, {"sheet", "-kind", "consent", "-paper", "a3", "x.json"},
		{"sheet", "-kind", "consent", "-format", "docx", "x.json"}, {"plan", "-nosuch"},
	} {
		if code, out, errs := order("", args...); code != badUsage || out != "" || errs == "" {
			t.Errorf("%v: exit %d, out %q, err %q", args, code, out, errs)
		}
	}
}

// The same input gives the same bytes, and -out writes what standard output would.
func TestSameBytes(t *testing.T) {
	file := caseDir + "/ten-teeth-no-prep.json"
	args := []string{"sheet", "-kind", "consent", "-locale", "es", "-second", "en", file}
	_, a, _ := order("", args...)
	_, b, _ := order("", args...)
	if a == "" || a != b {
		t.Error("two runs differ")
	}
	name := filepath.Join(t.TempDir(), "sheet.html")
	if code, out, errs := order("", slices.Insert(slices.Clone(args), 1, "-out", name)...); code != good || out != "" {
		t.Fatalf("exit %d, out %q, err %q", code, out, errs)
	}
	if data, err := os.ReadFile(name); err != nil || string(data) != a {
		t.Errorf("the file differs from standard output: %v", err)
	}
}

// Golden texts of two cases, the barest and the fullest, in the languages whose
// difference somebody reads, one of each direction; make golden rewrites. The others
// are held whole by TestEverySheet.
func TestGoldenSheets(t *testing.T) {
	for name, kinds := range map[string][]sheet.Kind{
		"two-teeth":         {sheet.Options, sheet.Wait, sheet.Consent, sheet.TryIn, sheet.Aftercare},
		"ten-teeth-no-prep": {sheet.Options, sheet.Wait, sheet.Consent, sheet.Aftercare},
		"at-try-in":         {sheet.TryIn, sheet.Change, sheet.Aftercare},
	} {
		for _, kind := range kinds {
			for _, tag := range []string{"en", "es", "ar"} {
				args := []string{"sheet", "-kind", string(kind), "-locale", tag, "-format", "text"}
				if tag != "en" {
					args = append(args, "-practice", "../testdata/practice/signed.json")
				}
				code, got, errs := order("", append(args, caseDir+"/"+name+".json")...)
				if code != good {
					t.Errorf("%s %s %s: %s", name, kind, tag, errs)
					continue
				}
				file := fmt.Sprintf("../testdata/sheets/%s.%s.%s.txt", name, kind, tag)
				if os.Getenv("PLAINLEAF_GOLDEN") == "write" {
					if err := os.MkdirAll(filepath.Dir(file), 0o755); err != nil {
						t.Fatal(err)
					}
					if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
						t.Fatal(err)
					}
				}
				want, err := os.ReadFile(file)
				if err != nil || string(want) != got {
					t.Errorf("%s differs from the command's output: %s", file, firstDifference(string(want), got))
				}
			}
		}
	}
}

func firstDifference(want, got string) string {
	w, g := strings.Split(want, "\n"), strings.Split(got, "\n")
	for i := range min(len(w), len(g)) {
		if w[i] != g[i] {
			return fmt.Sprintf("line %d\n- %s\n+ %s", i+1, w[i], g[i])
		}
	}
	return fmt.Sprintf("%d lines against %d", len(w), len(g))
}

// An empty list of teeth in a case means all its teeth, and in a case that names
// none the whole mouth: every sheet is made of it, and says so.
func TestListsWithoutTeethMeanAllOfThem(t *testing.T) {
	const noted = `, "stage": "at-try-in", "agreed": {"way": "paper", "code": "demo", "date": "2026-12-01", ROUTE}, "answers": [{"change": "postpone-health", "answer": "ask"}],
		"departures": [{"change": "bite-adjustment", "size_mm": 0.1}, {"change": "bite-adjustment", "teeth": [], "date": "2026-12-08"}], "tryin": [{"sitting": 1, "shade": "approved"}]}`
	agreed := func(route string) string { return strings.Replace(noted, "ROUTE", route, 1) }
	for name, c := range map[string]string{
		"teeth":       `{"version": 1, "issued": "2026-11-25", "start": "2026-12-01", "route": "no-prep", "material": "feldspathic", "teeth": [{"tooth": "11"}, {"tooth": "21"}]` + agreed(`"route": "no-prep", "material": "feldspathic", "teeth": [{"tooth": "11"}, {"tooth": "21"}]`),
		"whole mouth": `{"version": 1, "issued": "2026-11-25", "start": "2026-12-01", "route": "whitening-home", "teeth": []` + agreed(`"route": "whitening-home", "teeth": []`),
	} {
		for _, kind := range sheet.Kinds() {
			code, out, errs := order(c, "sheet", "-kind", string(kind), "-locale", "en", "-format", "text", "-")
			if code != good || errs != "" {
				t.Errorf("%s, %s: exit %d: %s", name, kind, code, errs)
			}
			if told := kind == sheet.Change || kind == sheet.Aftercare; told && name == "teeth" && strings.Count(strings.Join(strings.Fields(out), " "), "bites too hard: teeth 11 and 21") != 2 {
				t.Errorf("%s does not say on which teeth:\n%s", kind, out)
			} else if told && !strings.Contains(out, "bites too hard") {
				t.Errorf("%s, %s: what was done is not told", name, kind)
			}
		}
		code, out, errs := order(c, "plan", "-")
		var p plan.Plan
		if err := json.Unmarshal([]byte(out), &p); code != good || err != nil {
			t.Fatalf("exit %d: %s %v", code, errs, err)
		}
		for _, l := range p.Aftercare {
			if l.Key == "bite-adjusted" && len(l.Teeth) != map[string]int{"teeth": 2}[name] {
				t.Errorf("%s: %s on %v", name, l.Key, l.Teeth)
			}
		}
	}
}

// Every kind of sheet is refused for a blank telephone or emergency line, and says
// that it is blank, wherever else the number would have stood.
func TestBlankNumbersAreNamed(t *testing.T) {
	for _, key := range []string{"telephone", "emergency_line"} {
		data, err := os.ReadFile("demo/practice.json")
		if err != nil {
			t.Fatal(err)
		}
		p := map[string]any{}
		if err := json.Unmarshal(data, &p); err != nil {
			t.Fatal(err)
		}
		p[key] = ""
		if data, err = json.Marshal(p); err != nil {
			t.Fatal(err)
		}
		file := filepath.Join(t.TempDir(), "practice.json")
		if err := os.WriteFile(file, data, 0o644); err != nil {
			t.Fatal(err)
		}
		for _, kind := range sheet.Kinds() {
			code, out, errs := order("", "sheet", "-kind", string(kind), "-locale", "en", "-practice", file, caseDir+"/at-try-in.json")
			if code != badInput || out != "" || !strings.HasPrefix(errs, "PRAC-PHONE\t"+key+"\t") || strings.Count(errs, "\n") != 1 {
				t.Errorf("%s without %s: exit %d: %s", kind, key, code, errs)
			}
		}
	}
}

// Where most teeth are left as they are, or whitened, the numbers of the few that get
// something are told all the same, and no sheet fails for what was put first.
func TestFewTreatedTeethAmongOthers(t *testing.T) {
	for _, route := range []string{"none", "whitening-home", "whitening-in-office"} {
		c := `{"version": 1, "issued": "2026-11-25", "start": "2026-12-01", "route": "` + route + `", "priorities": ["longest-lasting", "lowest-lifetime-cost", "keep-enamel"],
			"teeth": [{"tooth": "11"}, {"tooth": "21", "route": "conventional-prep", "material": "feldspathic"}]}`
		for _, kind := range sheet.Kinds() {
			if kind == sheet.Change { // nothing is agreed
				continue
			}
			code, out, errs := order(c, "sheet", "-kind", string(kind), "-locale", "en", "-format", "text", "-")
			if code != good || errs != "" {
				t.Fatalf("%s, %s: exit %d: %s", route, kind, code, errs)
			}
			if kind != sheet.Options {
				continue
			}
			out = strings.Join(strings.Fields(out), " ")
			const own = "Your plan, tooth by tooth: "
			for _, want := range []string{own + "Other people and studies: see below.", "Still in place after 10 years, of 100 teeth (our estimate):", own + "about 90 (could be 80 to nearly 100)."} {
				if !strings.Contains(out, want) {
					t.Errorf("%s: the veneer's numbers are not told: %q is not in %s", route, want, out)
				}
			}
			if route == "none" && !strings.Contains(out, own+"7 visits, 4 hours; February 2027.") {
				t.Errorf("a plan with a veneer in it is told as not begun: %s", out)
			}
		}
	}
}

package produce_test

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"plainleaf/app/casefile"
	"plainleaf/app/printout"
	"plainleaf/app/produce"
	"plainleaf/app/record"
	"plainleaf/app/render"
	"plainleaf/app/sheet"
)

// signatures are those of a full signature page, one with a line of its own.
var signatures = []printout.Signed{
	{Line: "sheet.sign.decision-yes", Label: "Decision", Text: "Yes · November 25, 2026, 10:42 (UTC+01:00)"},
	{Line: "sheet.sign.patient", Label: "Patient", Text: "Testperson <b>&, signed by hand on a screen, November 25, 2026, 10:42 (UTC+01:00)",
		Width: 6000, Height: 2000, Strokes: [][]int{{600, 1200, 1200, 400, 1800, 1400, 2700, 600}, {3000, 1000}, {}, {7}}},
	{Line: "sheet.sign.dentist", Label: "Dentist", Text: "Demo Dentist, typed as a signature, November 25, 2026, 10:44 (UTC+01:00)"},
	{Line: "", Label: "Witness", Text: "Other Person, signed on paper on November 25, 2026 (where: scan 17)"},
}

// What was signed stands on its line of the sheet, once, in black lines that
// scale; what has no line gets one. Without signatures the lines are empty.
func TestSignaturesOnTheSheet(t *testing.T) {
	dir := os.Getenv("PLAINLEAF_PICTURES")
	for name, in := range inputs(t) {
		for _, kind := range []sheet.Kind{sheet.Consent, sheet.TryIn, sheet.Change} {
			for _, second := range []string{"", "ar"} {
				in.Kind, in.Second = kind, second
				if len(sheet.Unsettled(kind, in.Case)) > 0 {
					continue
				}
				docs, pl, faults := produce.Docs(in)
				if kind == sheet.Consent && len(pl.NoLines()) > 0 || kind == sheet.TryIn && name == "delivered.json" {
					continue // no lines: something is to be settled first, or all is glued
				}
				if len(faults) > 0 {
					t.Fatalf("%s %s: %s", name, kind, faults.Lines())
				}
				empty, err := printout.HTML(docs, printout.Options{})
				if err != nil {
					t.Fatal(err)
				}
				html, err := printout.HTML(docs, printout.Options{Signed: signatures, Seal: "2K7T-GSE4-BETR-PN5F"})
				if err != nil {
					t.Fatal(err)
				}
				text, err := printout.Text(docs, printout.Options{Signed: signatures})
				if err != nil {
					t.Fatal(err)
				}
				if dir != "" {
					if err := os.WriteFile(filepath.Join(dir, strings.Join([]string{"signed", strings.TrimSuffix(name, ".json"), string(kind), second}, "-")+".html"), html, 0o644); err != nil {
						t.Fatal(err)
					}
				}
				page := string(html)
				if strings.Contains(string(empty), `data-signed="`) {
					t.Errorf("%s %s: ink without a signature", name, kind)
				}
				for want, n := range map[string]int{
					`stroke="#000000"`: 1, `d="M600 1200L1200 400L1800 1400L2700 600M3000 1000L3000 1000"`: 1,
					"Testperson &lt;b&gt;&amp;, signed": 1, "Demo Dentist, typed": 1, "Other Person, signed": 1, ">Witness<": 1, "Testperson <b>": 0,
				} {
					if got := strings.Count(page, want); got != n {
						t.Errorf("%s %s %s: %q stands %d times, not %d", name, kind, second, want, got, n)
					}
				}
				flat := strings.Join(strings.Fields(string(text)), " ")
				for _, want := range []string{"Testperson <b>&, signed by hand", "Demo Dentist, typed as", "Witness: Other Person, signed on paper"} {
					if strings.Count(flat, want) != 1 {
						t.Errorf("%s %s %s: the text has %q %d times", name, kind, second, want, strings.Count(flat, want))
					}
				}
			}
		}
	}
}

// A sheet says the same to whoever signs it until something on it changes: the
// text, a language, or whose it is.
func TestShown(t *testing.T) {
	in := inputs(t)["minimal-six.json"]
	in.Kind = sheet.Consent
	who := record.Identifiers{Name: "Testperson"}
	shown := func() string {
		docs, _, faults := produce.Docs(in)
		if len(faults) > 0 {
			t.Fatal(faults.Lines())
		}
		return record.Shown(docs, who)
	}
	first := shown()
	if first == "" || shown() != first {
		t.Fatal("it is not the same each time")
	}
	seen := map[string]string{first: "nothing"}
	differs := func(what string) {
		t.Helper()
		s := shown()
		if other := seen[s]; other != "" {
			t.Errorf("%s gives the same as %s", what, other)
		}
		seen[s] = what
	}
	who.Chart = "1"
	differs("a chart number")
	in.Second = "es"
	differs("a second language")
	in.Second = ""
	in.Case.Wish = "a small wish"
	differs("a wish")
	in.Case.Wish = ""
	who.Chart = ""
	if shown() != first {
		t.Error("what is put back is not the same")
	}
}

// A record made from documents holds the time, the decision with its time, and
// the digest of each wording.
func TestSealed(t *testing.T) {
	in := inputs(t)["minimal-six.json"]
	in.Kind, in.Second = sheet.Consent, "es"
	docs, pl, faults := produce.Docs(in)
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	const at = "2026-12-11T10:42:00+01:00"
	s := produce.Seal{Kind: record.Consent, At: at, Decision: record.Decision{What: "agreed", At: at},
		Signatures: []record.Signature{{Role: "patient", Way: "typed", Name: "Testperson", At: at}},
		Digest: func(tag string) string {
			w, _ := in.Wording(tag)
			return render.Digest(w)
		}}
	file, rec, mark, faults := produce.Sealed(in, pl, docs, s)
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	v := record.Verify(file, nil)
	back, ok := record.Read(file)
	if v.Integrity != record.Intact || v.Code != mark.Code || !ok || back.Sealed != at || back.Decision.At != at || back.Signatures[0].At != at ||
		len(back.Languages) != 2 || back.Languages[1].Wording.Digest == "" || len(back.Answers) == 0 {
		t.Errorf("%+v %+v", v, back.Decision)
	}
	if name := produce.RecordName(rec, mark); strings.ContainsAny(name, "/\\ ") || !strings.HasSuffix(name, ".json") {
		t.Errorf("the file is called %q", name)
	}
	for _, bad := range []string{"yesterday", "2026-11-25", "2026-11-25T10:42:00"} {
		s.At = bad
		if _, _, _, faults := produce.Sealed(in, pl, docs, s); !faults.Has("RECORD-TIME") {
			t.Errorf("%q is taken as a time", bad)
		}
	}
}

// No yes is sealed against an open point, unless the practice lets the patient waive
// it and the patient's own words are kept; a refusal and what was only shown are.
func TestNoYesAgainstAnOpenPoint(t *testing.T) {
	const late, early = "2026-12-11T10:42:00+01:00", "2026-11-26T10:42:00+01:00"
	waived := func(open string) func(*produce.Input) {
		return func(in *produce.Input) {
			in.Case.Note(casefile.Event{Kind: casefile.Waived, Open: open, By: "patient", Note: "I have thought about it for a year."})
		}
	}
	may := func(in *produce.Input) { in.Practice.Waivers = []string{"thinking-time"} }
	never := func(in *produce.Input) { in.Practice.Waivers = nil }
	people := func(p casefile.People) func(*produce.Input) {
		return func(in *produce.Input) {
			in.Case.People = &p
			in.Case.Note(casefile.Event{Kind: casefile.Settled, Finding: "young-patient"}) // comes with the age
		}
	}
	for name, x := range map[string]struct {
		at    string
		edits []func(*produce.Input)
		want  string // "" for a seal
	}{
		"settled":                        {late, nil, ""},
		"before the thinking time ends":  {early, nil, "thinking-time"},
		"waived, the practice may":       {early, []func(*produce.Input){may, waived("thinking-time")}, ""},
		"waived, the practice may not":   {early, []func(*produce.Input){never, waived("thinking-time")}, "thinking-time"},
		"the practice may, nothing said": {early, []func(*produce.Input){may}, "thinking-time"},
		"not asked who decides":          {late, []func(*produce.Input){people(casefile.People{AgeBand: "adult", Interpreter: "none"})}, "decides"},
		"a child alone":                  {late, []func(*produce.Input){people(casefile.People{AgeBand: "child", Decides: "patient", Assent: "yes", Interpreter: "none"})}, "alone"},
		"a child with a parent":          {late, []func(*produce.Input){people(casefile.People{AgeBand: "child", Decides: "parent", Assent: "yes", Interpreter: "none"})}, ""},
		"a child that says no":           {late, []func(*produce.Input){people(casefile.People{AgeBand: "child", Decides: "parent", Assent: "no", Interpreter: "none"})}, "dissent"},
		"a child that was not asked":     {late, []func(*produce.Input){people(casefile.People{AgeBand: "child", Decides: "parent", Interpreter: "none"})}, "assent"},
		"no way of interpreting":         {late, []func(*produce.Input){people(casefile.People{AgeBand: "adult", Decides: "patient", Interpreter: "staff"})}, "interpreter"},
		"a question without an answer": {late, []func(*produce.Input){func(in *produce.Input) {
			in.Case.Questions = []casefile.Question{{Asked: "Does it hurt?"}}
		}}, "questions"},
		"an unsettled wait": {late, []func(*produce.Input){func(in *produce.Input) { in.Case.Findings = []string{"gum-inflammation"} }}, "wait gum-inflammation"},
		"a settled wait": {late, []func(*produce.Input){func(in *produce.Input) {
			in.Case.Findings = []string{"gum-inflammation"}
			in.Case.Note(casefile.Event{Kind: casefile.Settled, Finding: "gum-inflammation"})
		}}, ""},
		"a private one":  {late, []func(*produce.Input){func(in *produce.Input) { in.Case.Findings = []string{"pressure-from-others"} }}, "talk-again"},
		"no trial smile": {late, []func(*produce.Input){func(in *produce.Input) { in.Case.Events = nil }}, "trial-smile"},
	} {
		in := inputs(t)["minimal-six.json"]
		in.Kind = sheet.Consent
		for _, edit := range x.edits {
			edit(&in)
		}
		docs, pl, faults := produce.Docs(in)
		if len(faults) > 0 {
			t.Fatalf("%s: %s", name, faults.Lines())
		}
		s := produce.Seal{Kind: record.Consent, At: x.at, Decision: record.Decision{What: "agreed", At: x.at}, Digest: func(string) string { return "0" }}
		file, rec, _, faults := produce.Sealed(in, pl, docs, s)
		switch {
		case x.want == "" && (len(faults) > 0 || len(file) == 0):
			t.Errorf("%s: %s", name, faults.Lines())
		case x.want != "" && (!faults.Has("OPEN-SIGNING") || len(file) > 0 || !strings.Contains(faults.Lines(), x.want)):
			t.Errorf("%s: sealed, or for another reason: %s", name, faults.Lines())
		}
		if strings.Contains(name, "waived, the practice may") && x.want == "" {
			if !slices.ContainsFunc(rec.Open, func(o record.Open) bool { return o.What == "thinking-time" && o.Whose == "patient" && o.Reason != "" }) {
				t.Errorf("%s: the patient's words are not in the record: %+v", name, rec.Open)
			}
		}
		held := slices.ContainsFunc(docs[0].Blocks, func(b render.Block) bool { return b.Msg == "sheet.sign.hold" })
		lines := slices.ContainsFunc(docs[0].Blocks, func(b render.Block) bool { return b.Kind == sheet.Sign })
		if held == lines {
			t.Errorf("%s: on hold %v, lines to sign %v", name, held, lines)
		}
		s.Kind, s.Decision.What = record.Refusal, "refused"
		if _, _, _, faults := produce.Sealed(in, pl, docs, s); len(faults) > 0 {
			t.Errorf("%s: a refusal is not sealed: %s", name, faults.Lines())
		}
		s.Kind, s.Decision, s.Signatures = record.Consent, record.Decision{}, nil
		if _, _, _, faults := produce.Sealed(in, pl, docs, s); len(faults) > 0 {
			t.Errorf("%s: what was shown is not sealed: %s", name, faults.Lines())
		}
	}
}

// Two foreign languages that nobody signed off: the patient has the first with its
// warnings, the practice's own beside it, and is told in both that the other is not there.
func TestASecondForeignLanguageGivesWay(t *testing.T) {
	in := inputs(t)["delivered.json"]
	in.Practice.Locale, in.Practice.SignOffs = "en", nil
	in.Kind, in.Locale, in.Second = sheet.Aftercare, "ar", "es"
	docs, _, faults := produce.Docs(in)
	if len(faults) > 0 || len(docs) != 2 || docs[0].Locale != "ar" || docs[1].Locale != "en" {
		t.Fatalf("%d documents, %v", len(docs), faults)
	}
	spanish := map[string]string{"ar": "الإسبانية", "en": "Spanish"} // CLDR 48.2
	for _, d := range docs {
		told, warned := 0, 0
		for _, b := range d.Banners {
			if b.Msg() == "banner.left-out" && strings.Contains(b.String(), spanish[d.Locale]) {
				told++
			}
		}
		for _, b := range d.Blocks {
			if b.Kind == sheet.Urgent && b.Tone == "emergency" {
				warned++
			}
		}
		if told != 1 || warned != 1 {
			t.Errorf("%s: told %d times, warned %d times", d.Locale, told, warned)
		}
	}
	in.Second = ""
	if docs, _, _ = produce.Docs(in); len(docs) != 2 || strings.Contains(fmt.Sprint(docs[0].Banners), "left-out") {
		t.Errorf("nothing was asked for: %d documents, %v", len(docs), docs[0].Banners)
	}
	in.Kind, in.Second = sheet.Consent, "es"
	if _, _, faults = produce.Docs(in); !faults.Has("REVIEW-UNSIGNED") {
		t.Errorf("what the patient signs: %v", faults)
	}
}

// What stands beside a sheet is what was asked for; where nothing was, the practice's
// own language beside words that nobody signed off, but not on what the patient signs.
func TestWhatStandsBeside(t *testing.T) {
	p := inputs(t)["minimal-six.json"].Practice
	p.Locale, p.SignOffs = "en", []casefile.SignOff{{Sheet: "tryin", Locale: "ar", Who: "Demo", Role: "dentist"}}
	for _, x := range []struct {
		kind          sheet.Kind
		locale, asked string
		want          string
	}{
		{sheet.Aftercare, "ar", "", "en"}, {sheet.Aftercare, "ar", "es", "en"}, {sheet.TryIn, "ar", "es", "en"}, {sheet.TryIn, "es", "ar", "en"},
		{sheet.Aftercare, "en", "es", "es"}, {sheet.Aftercare, "es", "en", "en"}, {sheet.Consent, "ar", "es", "es"}, {sheet.Aftercare, "es", "es", "es"}, {sheet.Aftercare, "en", "", ""},
		{sheet.TryIn, "ar", "", ""}, {sheet.Consent, "ar", "", ""}, {sheet.Consent, "ar", "en", "en"}, {sheet.Change, "ar", "", "en"},
	} {
		if got := produce.Beside(p, x.kind, x.locale, x.asked); got != x.want {
			t.Errorf("%s in %s, asked for %q: %q, want %q", x.kind, x.locale, x.asked, got, x.want)
		}
	}
}

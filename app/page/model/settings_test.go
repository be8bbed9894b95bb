package model

import (
	"os"
	"strings"
	"testing"

	"plainleaf/app/casefile"
	"plainleaf/app/demo"
)

// What is half typed on the practice's screen comes back with the settings, and is
// in no exported file: a sign-off, and a practice file that is being mended or
// waits for a yes. A file too large to keep costs the settings nothing.
func TestSettingsKeepWhatIsHalfTyped(t *testing.T) {
	m := open(t)
	m.SetApproval(func(a *Approval) { a.Who, a.Locale = "Ana Ejemplo", "ar" })
	before := m.Set()
	m.OfferPractice("practice.json", `{"version": 1, "nam": "x"}`)
	m.MendPractice(`{"version": 1, "nam": "half`)
	if m.Set() == before {
		t.Error("nobody is told to write it down")
	}
	back := func() *Model {
		t.Helper()
		n := open(t)
		if !n.TakeSettings(m.Settings()) {
			t.Fatal("the settings cannot be read")
		}
		return n
	}
	n := back()
	if n.Own.Approval != m.Own.Approval {
		t.Errorf("the sign-off: %+v", n.Own.Approval)
	}
	if n.PracticeFile == nil || n.PracticeFile.Text != `{"version": 1, "nam": "half` || len(n.PracticeFile.Faults) == 0 {
		t.Errorf("the file: %+v", n.PracticeFile)
	}
	if data, faults := n.ExportPractice(); data != nil || !faults.Has("PAGE-APPROVAL") {
		t.Errorf("saved beside a sign-off that is half typed: %v, %.300s", faults, data)
	}
	if !m.OfferPractice("practice.json", string(demo.Practice)) {
		t.Fatal(m.PracticeFile.Faults)
	}
	if n = back(); n.Offered == nil || n.PracticeFile != nil {
		t.Error("the offered practice is gone")
	}
	m.AcceptPractice(newest)
	if n = back(); n.Offered != nil {
		t.Error("an accepted practice is offered again")
	}
	m.OfferPractice("large.json", strings.Repeat(" ", fileMax)+"{")
	if n = back(); n.PracticeFile != nil || n.Own.Approval != m.Own.Approval {
		t.Error("a large file")
	}
}

// What version 1 kept on a device opens for ever: the practice, what was half typed and
// the file that waited.
func TestSettingsOfVersionOneOpen(t *testing.T) {
	data, err := os.ReadFile("../../../testdata/formats/settings-1.json")
	if err != nil {
		t.Fatal(err)
	}
	m := open(t)
	if !m.TakeSettings(string(data)) {
		t.Fatal("the settings cannot be read")
	}
	// Nothing is lost: only the versions are others when they are written again.
	got := m.Settings()
	want := strings.Replace(string(data), `{"version":1,"practice":{"version":1,`, `{"version":2,"practice":{"version":2,`, 1)
	if got != want || got == string(data) {
		t.Errorf("got  %s\nwant %s", got, want)
	}
	if m.Offered == nil || m.Offered.Telephone != "+1 202-555-0161" {
		t.Errorf("the file that waits: %+v", m.Offered)
	}
	if m.Practice.Version != casefile.PracticeVersion || m.PracticeFaults("version").Has("PRAC-VERSION") {
		t.Errorf("the practice has version %d", m.Practice.Version)
	}
}

// Settings of a program to come are left as they are.
func TestNewerSettingsAreLeftAlone(t *testing.T) {
	m := open(t)
	text := strings.Replace(m.Settings(), `"version":2`, `"version":3,"new":true`, 1)
	if !NewerSettings(text) || m.TakeSettings(text) || NewerSettings(m.Settings()) || NewerSettings("") {
		t.Error("newer settings are not told from others")
	}
}

// Whatever a file holds that could not be read, the open case beside it comes back.
func TestADraftComesBackWithAnyFileBesideIt(t *testing.T) {
	for name, text := range map[string]string{
		"lines":   "{\n\t\"version\": 1,\r\n\t\"toof\": 1\n}\n",
		"binary":  "\x89PNG\r\n\x1a\n\x00\xff\xfe",
		"no text": "",
		"large":   strings.Repeat("x\n", 1<<19),
	} {
		m := ten(t)
		m.Import(name, text)
		n := open(t)
		if !n.Restore(m.Draft(false)) {
			t.Errorf("%s: the case is lost", name)
			continue
		}
		if got, want := len(n.Teeth()), len(m.Teeth()); got != want {
			t.Errorf("%s: %d of %d teeth", name, got, want)
		}
		if name == "lines" && (n.CaseFile == nil || n.CaseFile.Text != text) {
			t.Errorf("%s: the file is %+v", name, n.CaseFile)
		}
	}
	// A draft that somebody else wrote is still refused.
	m := ten(t)
	if open(t).Restore(strings.Replace(m.Draft(false), `"case"`, `"cases"`, 1)) {
		t.Error("a draft with a key that is not known")
	}
}

func TestATextIsOneParagraph(t *testing.T) {
	for in, want := range map[string]string{
		"first\nsecond":                    "first second",
		"first\r\nsecond\tthird":           "first second third",
		"\u202a+1 202-555\u202c":           "+1 202-555",
		"a\u2028b\u0000c":                  "a bc",
		"\u200fنعم":                        "\u200fنعم", // a plain mark of direction stays
		"pasted\u200b soft\u00adly \ufeff": "pasted softly ",
		"می\u200cخواهم":                    "می\u200cخواهم", // spelled with a joiner
		"one trailing space stays ":        "one trailing space stays ",
	} {
		if got := OneParagraph(in); got != want {
			t.Errorf("%q: %q, want %q", in, got, want)
		}
	}
}

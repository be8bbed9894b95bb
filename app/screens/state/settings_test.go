package state

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
	m.Practice.SignOffs().SetApproval(func(a *Approval) { a.Who, a.Locale = "Ana Ejemplo", "ar" })
	before := m.Practice.Set()
	m.Practice.Offer().Read("practice.json", `{"version": 1, "nam": "x"}`)
	m.Practice.Offer().Mend(`{"version": 1, "nam": "half`)
	if m.Practice.Set() == before {
		t.Error("nobody is told to write it down")
	}
	back := func() *Desk {
		t.Helper()
		n := open(t)
		if !n.Practice.TakeSettings(m.Practice.Settings()) {
			t.Fatal("the settings cannot be read")
		}
		return n
	}
	n := back()
	if n.Practice.own.Approval != m.Practice.own.Approval {
		t.Errorf("the sign-off: %+v", n.Practice.own.Approval)
	}
	if n.Practice.rejected == nil || n.Practice.rejected.Text != `{"version": 1, "nam": "half` || len(n.Practice.rejected.Faults) == 0 {
		t.Errorf("the file: %+v", n.Practice.rejected)
	}
	if data, faults := n.Practice.Export(); data != nil || !faults.Has("PAGE-APPROVAL") {
		t.Errorf("saved beside a sign-off that is half typed: %v, %.300s", faults, data)
	}
	if !m.Practice.Offer().Read("practice.json", string(demo.Practice)) {
		t.Fatal(m.Practice.rejected.Faults)
	}
	if n = back(); n.Practice.offered == nil || n.Practice.rejected != nil {
		t.Error("the offered practice is gone")
	}
	m.Practice.Offer().Accept(newest)
	if n = back(); n.Practice.offered != nil {
		t.Error("an accepted practice is offered again")
	}
	m.Practice.Offer().Read("large.json", strings.Repeat(" ", fileMax)+"{")
	if n = back(); n.Practice.rejected != nil || n.Practice.own.Approval != m.Practice.own.Approval {
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
	if !m.Practice.TakeSettings(string(data)) {
		t.Fatal("the settings cannot be read")
	}
	// Nothing is lost: only the versions are others when they are written again.
	got := m.Practice.Settings()
	want := strings.Replace(string(data), `{"version":1,"practice":{"version":1,`, `{"version":2,"practice":{"version":2,`, 1)
	if got != want || got == string(data) {
		t.Errorf("got  %s\nwant %s", got, want)
	}
	if m.Practice.offered == nil || m.Practice.offered.Telephone != "+1 202-555-0161" {
		t.Errorf("the file that waits: %+v", m.Practice.offered)
	}
	if m.Practice.file.Version != casefile.PracticeVersion || m.Practice.FaultsAt("version").Has("PRAC-VERSION") {
		t.Errorf("the practice has version %d", m.Practice.file.Version)
	}
}

// Settings of a program to come are left as they are.
func TestNewerSettingsAreLeftAlone(t *testing.T) {
	m := open(t)
	text := strings.Replace(m.Practice.Settings(), `"version":2`, `"version":3,"new":true`, 1)
	if !NewerSettings(text) || m.Practice.TakeSettings(text) || NewerSettings(m.Practice.Settings()) || NewerSettings("") {
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
		if !n.Restore(m.Keep(false)) {
			t.Errorf("%s: the case is lost", name)
			continue
		}
		if got, want := len(n.Draft.Mouth().Teeth()), len(m.Draft.Mouth().Teeth()); got != want {
			t.Errorf("%s: %d of %d teeth", name, got, want)
		}
		if name == "lines" && (n.Draft.caseFile == nil || n.Draft.caseFile.Text != text) {
			t.Errorf("%s: the file is %+v", name, n.Draft.caseFile)
		}
	}
	// A draft that somebody else wrote is still refused.
	m := ten(t)
	if open(t).Restore(strings.Replace(m.Keep(false), `"case"`, `"cases"`, 1)) {
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

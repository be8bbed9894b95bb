package state

import (
	"slices"
	"strings"
	"testing"

	"plainleaf/app/casefile"
	"plainleaf/app/demo"
)

func TestADraftBringsEverythingBack(t *testing.T) {
	m := ten(t)
	m.Draft.Mouth().ToggleToothFinding(21, "one-dark-tooth")
	m.Draft.SetDate("start", "2026-13-45")
	m.Draft.Way().SetAdvice("kind words")
	m.Import("bad.json", `{"version": 1, "toof": 1}`)
	m.Draft.Paper().HandOut()
	m.Draft.Paper().SetPerson(func(p *Person) { p.Name = "Testperson" })
	text := m.Keep(false)
	if strings.Contains(text, "Testperson") {
		t.Error("the draft names the patient")
	}
	n := open(t)
	if !n.Restore(text) {
		t.Fatal("not restored")
	}
	if n.Keep(false) != text {
		t.Errorf("got  %s\nwant %s", n.Keep(false), text)
	}
	if n.Draft.Typed("start", "") != "2026-13-45" || !n.Draft.FaultsAt("start").Has("PAGE-DATE") {
		t.Error("the faulty field is gone")
	}
	if n.Draft.caseFile == nil || len(n.Draft.caseFile.Faults) == 0 || !n.Draft.handed {
		t.Error("the unread file or the signing is gone")
	}
	if n.Draft.person != (Person{}) {
		t.Error("a person came from nowhere")
	}
	kept := open(t)
	if !kept.Restore(m.Keep(true)) || kept.Draft.person.Name != "Testperson" {
		t.Error("a kept case lost its person")
	}
	n.Clear()
	if n.Signing.Started() || n.Draft.handed || n.Keep(false) != "" {
		t.Error("clearing left something")
	}
}

func TestWhatIsNoDraftChangesNothing(t *testing.T) {
	m := ten(t)
	before := m.Keep(true)
	for _, text := range []string{"", "{", "{}", `{"version": 3}`, `{"version": 1, "case": 3}`, `{"version": 1, "other": 3}`,
		`{"version": 1, "version": 1}`, strings.Repeat(" ", 2<<20)} {
		if m.Restore(text) {
			t.Errorf("%.40q was restored", text)
		}
	}
	if m.Keep(true) != before {
		t.Error("the open case changed")
	}
}

func TestANewNumberWaitsForAYes(t *testing.T) {
	m := ten(t)
	old := m.Practice.file.Telephone
	m.Practice.SetField("telephone", "+1 202-555-0150")
	if m.Practice.file.Telephone != old || m.Practice.Field("telephone") != "+1 202-555-0150" {
		t.Error("the number was replaced without a yes")
	}
	if !m.Draft.Faults().Has("PAGE-PHONE") {
		t.Error("a sheet could be printed with the number before")
	}
	if l := m.Practice.NumberChanges(); len(l) != 1 || l[0] != (Line{"telephone", old, "+1 202-555-0150"}) {
		t.Errorf("%v", l)
	}
	m.Practice.SetField("telephone", "ring us")
	if m.Practice.AcceptNumbers() || m.Practice.file.Telephone != old {
		t.Error("a number that is none was taken")
	}
	m.Practice.SetField("telephone", "+1 202-555-0150")
	if !m.Practice.AcceptNumbers() || m.Practice.file.Telephone != "+1 202-555-0150" || len(m.Draft.Faults()) > 0 {
		t.Errorf("not taken: %s", m.Draft.Faults().Lines())
	}
	m.Practice.SetField("telephone", "1")
	m.Practice.DropNumbers()
	if m.Practice.Field("telephone") != "+1 202-555-0150" || len(m.Draft.Faults()) > 0 {
		t.Error("the number typed is not forgotten")
	}
}

func TestSums(t *testing.T) {
	for _, x := range []struct {
		text     string
		decimals int
		want     int64
		ok       bool
	}{
		{"", 2, 0, true}, {"1100", 2, 110000, true}, {"1100.5", 2, 110050, true}, {"1100,50", 2, 110050, true},
		{"١١٠٠٫٥", 2, 110050, true}, {"1100", 0, 1100, true}, {"1100.5", 0, 0, false}, {"1.250", 3, 1250, true},
		{"1,250", 3, 0, false}, // what a comma means there nobody knows
		{"1,250", 2, 0, false}, {"1.250.00", 2, 0, false}, {"-3", 2, 0, false}, {"12 €", 2, 0, false}, {".5", 2, 0, false},
		{"5.", 2, 0, false}, {"99999999999999999999", 2, 0, false},
	} {
		if got, ok := ParseSum(x.text, x.decimals); got != x.want || ok != x.ok {
			t.Errorf("%q with %d decimals: %d, %v", x.text, x.decimals, got, ok)
		}
	}
}

func TestFees(t *testing.T) {
	m := ten(t)
	m.Practice.Fees().Set("no-prep", "per_tooth", "1.2.3", 2)
	if m.Practice.Fees().Text("no-prep", "per_tooth", 2) != "1.2.3" || !m.Practice.FaultsAt("fees.no-prep.per_tooth").Has("PAGE-FEE") || !m.Draft.Faults().Has("PAGE-FEE") {
		t.Error("a sum that is none is not told")
	}
	m.Practice.Fees().Set("no-prep", "per_tooth", "950.50", 2)
	if m.Practice.file.Fees["no-prep"].PerTooth != 95050 || len(m.Draft.Faults()) > 0 {
		t.Errorf("%v %s", m.Practice.file.Fees["no-prep"], m.Draft.Faults().Lines())
	}
	m.Practice.Fees().Set("no-prep", "per_tooth", "950.5", 2)
	if got := m.Practice.Fees().Text("no-prep", "per_tooth", 2); got != "950.5" {
		t.Errorf("a sum changes while it is typed: %q", got)
	}
	// Euros and cents to a currency without decimals, and back.
	m.Practice.Fees().SetCurrency("JPY", 2, 0)
	if m.Practice.file.Fees["crown"].PerTooth != 1200 || m.Practice.Fees().Text("no-prep", "per_tooth", 0) != "950.50" && m.Practice.Fees().Text("no-prep", "per_tooth", 0) != "950.5" || !m.Draft.Faults().Has("PAGE-FEE") {
		t.Errorf("%v", m.Practice.file.Fees)
	}
	m.Practice.Fees().Set("no-prep", "per_tooth", "951", 0)
	m.Practice.Fees().SetCurrency("EUR", 0, 2)
	if m.Practice.file.Fees["no-prep"].PerTooth != 95100 {
		t.Errorf("%v", m.Practice.file.Fees)
	}
	m.Practice.Fees().Add("gum-care-first")
	if !m.Practice.FaultsAt("fees.gum-care-first.flat").Has("PAGE-FEE-BLANK") {
		t.Error("a blank price is not told")
	}
	m.Practice.Fees().Set("gum-care-first", "per_tooth", "10", 2)
	if len(m.Draft.Faults()) > 0 {
		t.Error(m.Draft.Faults().Lines())
	}
	m.Practice.Fees().Drop("gum-care-first")
	if _, ok := m.Practice.file.Fees["gum-care-first"]; ok {
		t.Error("still there")
	}
}

func TestClosuresKeepWhatWasTyped(t *testing.T) {
	m := ten(t)
	m.Practice.file.Closures = nil
	for range 3 {
		m.Practice.Days().AddClosure("closures")
	}
	m.Practice.Days().SetClosure("closures", 2, "from", "soon")
	m.Practice.Days().SetClosure("closures", 1, "from", "2026-12-24")
	m.Practice.Days().DropClosure("closures", 0)
	if m.Practice.Written("closures[1].from", "") != "soon" || m.Practice.Days().Closures("closures")[0].From.String() != "2026-12-24" {
		t.Errorf("%v %v", m.Practice.own.Typed, m.Practice.Days().Closures("closures"))
	}
	if !m.Practice.FaultsAt("closures[1].from").Has("PAGE-DATE") || !m.Practice.FaultsAt("closures[0].to").Has("PRAC-CLOSURE") {
		t.Error("faults are not beside their fields")
	}
}

func TestSettingsComeBack(t *testing.T) {
	m := ten(t)
	m.Practice.SetNumbering("universal")
	m.Practice.SetMinutes(5)
	m.Practice.Fees().Set("crown", "flat", "12x", 2)
	m.Practice.SetField("telephone", "+1 202-555-0150")
	m.Practice.SetField("name", "Own Practice")
	m.Practice.Days().Toggle("opening_days", "mon")
	text := m.Practice.Settings()
	n := open(t)
	if !n.Practice.TakeSettings(text) || n.Practice.Settings() != text {
		t.Errorf("got  %s\nwant %s", n.Practice.Settings(), text)
	}
	n.Draft.Renumber()
	if n.Draft.c.Numbering != "universal" || n.Practice.own.Minutes != 5 || n.Practice.Field("telephone") != "+1 202-555-0150" {
		t.Errorf("%+v", n.Practice.own)
	}
	for _, bad := range []string{"", "{", `{"version": 9}`, `{"version": 0}`, `{"version": 1, "what": 1}`} {
		if n.Practice.TakeSettings(bad) {
			t.Errorf("%q was taken", bad)
		}
	}
	demoPractice, _ := casefile.ReadPractice(demo.Practice, n.Draft.words)
	still, _ := casefile.StillDemo(n.Practice.file, demoPractice)
	if slices.Contains(still, "name") || !slices.Contains(still, "emergency_line") || slices.Contains(still, "fees") {
		t.Errorf("still as invented: %q", still)
	}
	n.Practice.BackTo(demoPractice)
	if !n.Practice.file.Demo || n.Practice.own.Minutes != 3 || len(n.Practice.own.Typed) > 0 {
		t.Errorf("%+v", n.Practice.own)
	}
}

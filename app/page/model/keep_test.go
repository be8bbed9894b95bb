package model

import (
	"slices"
	"strings"
	"testing"

	"plainleaf/app/casefile"
	"plainleaf/app/demo"
)

func TestADraftBringsEverythingBack(t *testing.T) {
	m := ten(t)
	m.ToggleToothFinding(21, "one-dark-tooth")
	m.SetDate("start", "2026-13-45")
	m.SetAdvice("kind words")
	m.Import("bad.json", `{"version": 1, "toof": 1}`)
	m.HandOut()
	m.SetPerson(func(p *Person) { p.Name = "Testperson" })
	text := m.Draft(false)
	if strings.Contains(text, "Testperson") {
		t.Error("the draft names the patient")
	}
	n := open(t)
	if !n.Restore(text) {
		t.Fatal("not restored")
	}
	if n.Draft(false) != text {
		t.Errorf("got  %s\nwant %s", n.Draft(false), text)
	}
	if n.Typed("start", "") != "2026-13-45" || !n.FaultsAt("start").Has("PAGE-DATE") {
		t.Error("the faulty field is gone")
	}
	if n.CaseFile == nil || len(n.CaseFile.Faults) == 0 || !n.Handed {
		t.Error("the unread file or the signing is gone")
	}
	if n.Person != (Person{}) {
		t.Error("a person came from nowhere")
	}
	kept := open(t)
	if !kept.Restore(m.Draft(true)) || kept.Person.Name != "Testperson" {
		t.Error("a kept case lost its person")
	}
	n.Clear()
	if n.Started() || n.Handed || n.Draft(false) != "" {
		t.Error("clearing left something")
	}
}

func TestWhatIsNoDraftChangesNothing(t *testing.T) {
	m := ten(t)
	before := m.Draft(true)
	for _, text := range []string{"", "{", "{}", `{"version": 3}`, `{"version": 1, "case": 3}`, `{"version": 1, "other": 3}`,
		`{"version": 1, "version": 1}`, strings.Repeat(" ", 2<<20)} {
		if m.Restore(text) {
			t.Errorf("%.40q was restored", text)
		}
	}
	if m.Draft(true) != before {
		t.Error("the open case changed")
	}
}

func TestANewNumberWaitsForAYes(t *testing.T) {
	m := ten(t)
	old := m.Practice.Telephone
	m.SetPracticeField("telephone", "+1 202-555-0150")
	if m.Practice.Telephone != old || m.PracticeField("telephone") != "+1 202-555-0150" {
		t.Error("the number was replaced without a yes")
	}
	if !m.Faults().Has("PAGE-PHONE") {
		t.Error("a sheet could be printed with the number before")
	}
	if l := m.NumberChanges(); len(l) != 1 || l[0] != (Line{"telephone", old, "+1 202-555-0150"}) {
		t.Errorf("%v", l)
	}
	m.SetPracticeField("telephone", "ring us")
	if m.AcceptNumbers() || m.Practice.Telephone != old {
		t.Error("a number that is none was taken")
	}
	m.SetPracticeField("telephone", "+1 202-555-0150")
	if !m.AcceptNumbers() || m.Practice.Telephone != "+1 202-555-0150" || len(m.Faults()) > 0 {
		t.Errorf("not taken: %s", m.Faults().Lines())
	}
	m.SetPracticeField("telephone", "1")
	m.DropNumbers()
	if m.PracticeField("telephone") != "+1 202-555-0150" || len(m.Faults()) > 0 {
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
	m.SetFee("no-prep", "per_tooth", "1.2.3", 2)
	if m.FeeText("no-prep", "per_tooth", 2) != "1.2.3" || !m.PracticeFaults("fees.no-prep.per_tooth").Has("PAGE-FEE") || !m.Faults().Has("PAGE-FEE") {
		t.Error("a sum that is none is not told")
	}
	m.SetFee("no-prep", "per_tooth", "950.50", 2)
	if m.Practice.Fees["no-prep"].PerTooth != 95050 || len(m.Faults()) > 0 {
		t.Errorf("%v %s", m.Practice.Fees["no-prep"], m.Faults().Lines())
	}
	m.SetFee("no-prep", "per_tooth", "950.5", 2)
	if got := m.FeeText("no-prep", "per_tooth", 2); got != "950.5" {
		t.Errorf("a sum changes while it is typed: %q", got)
	}
	// Euros and cents to a currency without decimals, and back.
	m.SetCurrency("JPY", 2, 0)
	if m.Practice.Fees["crown"].PerTooth != 1200 || m.FeeText("no-prep", "per_tooth", 0) != "950.50" && m.FeeText("no-prep", "per_tooth", 0) != "950.5" || !m.Faults().Has("PAGE-FEE") {
		t.Errorf("%v", m.Practice.Fees)
	}
	m.SetFee("no-prep", "per_tooth", "951", 0)
	m.SetCurrency("EUR", 0, 2)
	if m.Practice.Fees["no-prep"].PerTooth != 95100 {
		t.Errorf("%v", m.Practice.Fees)
	}
	m.AddFee("gum-care-first")
	if !m.PracticeFaults("fees.gum-care-first.flat").Has("PAGE-FEE-BLANK") {
		t.Error("a blank price is not told")
	}
	m.SetFee("gum-care-first", "per_tooth", "10", 2)
	if len(m.Faults()) > 0 {
		t.Error(m.Faults().Lines())
	}
	m.DropFee("gum-care-first")
	if _, ok := m.Practice.Fees["gum-care-first"]; ok {
		t.Error("still there")
	}
}

func TestClosuresKeepWhatWasTyped(t *testing.T) {
	m := ten(t)
	m.Practice.Closures = nil
	for range 3 {
		m.AddClosure("closures")
	}
	m.SetClosure("closures", 2, "from", "soon")
	m.SetClosure("closures", 1, "from", "2026-12-24")
	m.DropClosure("closures", 0)
	if m.Written("closures[1].from", "") != "soon" || m.Closures("closures")[0].From.String() != "2026-12-24" {
		t.Errorf("%v %v", m.Own.Typed, m.Closures("closures"))
	}
	if !m.PracticeFaults("closures[1].from").Has("PAGE-DATE") || !m.PracticeFaults("closures[0].to").Has("PRAC-CLOSURE") {
		t.Error("faults are not beside their fields")
	}
}

func TestSettingsComeBack(t *testing.T) {
	m := ten(t)
	m.SetNumberingOwn("universal")
	m.SetMinutes(5)
	m.SetFee("crown", "flat", "12x", 2)
	m.SetPracticeField("telephone", "+1 202-555-0150")
	m.SetPracticeField("name", "Own Practice")
	m.ToggleDay("opening_days", "mon")
	text := m.Settings()
	n := open(t)
	if !n.TakeSettings(text) || n.Settings() != text {
		t.Errorf("got  %s\nwant %s", n.Settings(), text)
	}
	if n.Case.Numbering != "universal" || n.Own.Minutes != 5 || n.PracticeField("telephone") != "+1 202-555-0150" {
		t.Errorf("%+v", n.Own)
	}
	for _, bad := range []string{"", "{", `{"version": 9}`, `{"version": 0}`, `{"version": 1, "what": 1}`} {
		if n.TakeSettings(bad) {
			t.Errorf("%q was taken", bad)
		}
	}
	demoPractice, _ := casefile.ReadPractice(demo.Practice, n.Words)
	still, _ := casefile.StillDemo(n.Practice, demoPractice)
	if slices.Contains(still, "name") || !slices.Contains(still, "emergency_line") || slices.Contains(still, "fees") {
		t.Errorf("still as invented: %q", still)
	}
	n.BackTo(demoPractice)
	if !n.Practice.Demo || n.Own.Minutes != 3 || len(n.Own.Typed) > 0 {
		t.Errorf("%+v", n.Own)
	}
}

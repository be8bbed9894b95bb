package calendar

import (
	"bytes"
	"fmt"
	"regexp"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	ics "github.com/arran4/golang-ical"

	"plainleaf/app/casefile"
	"plainleaf/app/fault"
	"plainleaf/build/node"
)

var stamp = casefile.Date{Year: 2026, Month: 11, Day: 25}

func sample(summary, description string) Calendar {
	return Calendar{Name: "Appointments", Lang: "en", Color: "teal", Stamp: stamp, Revision: 3, Events: []Event{
		{ID: ID("case", "b"), Date: casefile.Date{Year: 2027, Month: 12, Day: 31}, Summary: summary, Description: description, Alarms: []int{15, 24*13 + 15}},
		{ID: ID("case", "a"), Date: casefile.Date{Year: 2028, Month: 2, Day: 29}, Summary: summary, Description: description, Tentative: true},
	}}
}

func write(t testing.TB, c Calendar) []byte {
	t.Helper()
	b, faults := Write(c)
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	return b
}

// lines checks the physical lines: CRLF only, at most 75 octets, whole characters.
func lines(t testing.TB, b []byte) {
	t.Helper()
	s := string(b)
	if !strings.HasSuffix(s, "\r\n") || strings.Count(s, "\n") != strings.Count(s, "\r\n") || strings.Count(s, "\r") != strings.Count(s, "\r\n") {
		t.Fatal("a line does not end with CRLF")
	}
	for _, l := range strings.Split(strings.TrimSuffix(s, "\r\n"), "\r\n") {
		if len(l) > 75 || l == "" || !utf8.ValidString(l) {
			t.Fatalf("a line of %d octets, whole characters %v: %q", len(l), utf8.ValidString(l), l)
		}
	}
}

// texts are hard to fold or escape.
var texts = []string{
	`Plain`, `a\nb; c, d: e "f" \; \\`, "two\nlines\n\nand\ta tab",
	strings.Repeat("Приём у врача, пожалуйста, приходите вовремя. ", 8),
	strings.Repeat("يرجى الحضور في الموعد، ", 12) + "\u2066+1 202-555-0101\u2069",
	strings.Repeat("请按时前来，医生会与您确认日期。", 12),
	strings.Repeat("👩🏽‍⚕️", 30), strings.Repeat("x", 75), strings.Repeat("é", 300), strings.Repeat(" ", 200) + "end",
}

// A second program reads the same texts and dates (github.com/arran4/golang-ical).
func TestReadByGolangICal(t *testing.T) {
	for _, text := range texts {
		b := write(t, sample(text, text))
		lines(t, b)
		checkText(t, b, text)
	}
}

func checkText(t testing.TB, b []byte, text string) {
	t.Helper()
	cal, err := ics.ParseCalendar(bytes.NewReader(b))
	if err != nil {
		t.Fatalf("%v\n%s", err, b)
	}
	events := cal.Events()
	if len(events) != 2 {
		t.Fatalf("%d events", len(events))
	}
	for i, want := range []struct{ start, end, status string }{{"20271231", "20280101", "CONFIRMED"}, {"20280229", "20280301", "TENTATIVE"}} {
		e := events[i]
		get := func(p ics.ComponentProperty) string { return e.GetProperty(p).Value }
		// The parser takes the escapes away itself.
		if get(ics.ComponentPropertySummary) != text || get(ics.ComponentPropertyDescription) != text {
			t.Fatalf("%q came back as %q", text, get(ics.ComponentPropertySummary))
		}
		if get(ics.ComponentPropertyDtStart) != want.start || get(ics.ComponentPropertyDtEnd) != want.end || get(ics.ComponentPropertyStatus) != want.status ||
			get(ics.ComponentPropertyDtstamp) != "20261125T000000Z" || get(ics.ComponentPropertySequence) != "3" {
			t.Fatalf("event %d: %+v", i, e)
		}
	}
}

// ical.js reads the same texts, dates, alarms and language.
func TestReadByIcalJS(t *testing.T) {
	for i, text := range texts {
		if strings.TrimSpace(text) == "" {
			continue
		}
		got := icalJS(t, write(t, sample(text, text)))
		if len(got.Events) != 2 || got.Name != "Appointments" || got.Color != "teal" {
			t.Fatalf("%d: %+v", i, got)
		}
		for j, want := range []struct{ start, end string }{{"2027-12-31", "2028-01-01"}, {"2028-02-29", "2028-03-01"}} {
			e := got.Events[j]
			if e.Summary != text || e.Description != text || e.Start != want.start || e.End != want.end || !e.AllDay || e.Days != 1 ||
				e.Lang != "en" || e.Sequence != 3 || e.Stamp != "2026-11-25T00:00:00Z" || e.Class != "PRIVATE" {
				t.Errorf("%d, event %d: %+v", i, j, e)
			}
		}
		if a := got.Events[0].Alarms; fmt.Sprint(a) != "[2027-12-30T09:00:00 2027-12-17T09:00:00]" {
			t.Errorf("alarms %v", a)
		}
	}
}

type readByJS struct {
	Name, Color string
	Events      []struct {
		ID, Summary, Description, Start, End, Lang, Stamp, Class, Status string
		AllDay                                                           bool
		Days, Sequence                                                   int
		Alarms                                                           []string
	}
}

func icalJS(t *testing.T, b []byte) readByJS {
	t.Helper()
	return node.Read[readByJS](t, "../../build/checks/readers/calendar.mjs", b)
}

func TestID(t *testing.T) {
	a := ID("Practice", "case", "visit", "delivery", "1")
	if !regexp.MustCompile(`^[0-9a-f]{8}-[0-9a-f]{4}-8[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$`).MatchString(a) {
		t.Errorf("%q is not a UUID of version 8", a)
	}
	if ID("ab", "c") == ID("a", "bc") || ID("a", "") == ID("a") {
		t.Error("different parts have one id")
	}
	if a != ID("Practice", "case", "visit", "delivery", "1") {
		t.Error("the id is not stable")
	}
}

func TestRefused(t *testing.T) {
	for name, x := range map[string]struct {
		code   string
		change func(*Calendar)
	}{
		"no events":      {"CAL-EMPTY", func(c *Calendar) { c.Events = nil }},
		"no stamp":       {"CAL-DATE", func(c *Calendar) { c.Stamp = casefile.Date{} }},
		"impossible day": {"CAL-DATE", func(c *Calendar) { c.Events[0].Date.Day = 32 }},
		"one id twice":   {"CAL-ID", func(c *Calendar) { c.Events[0].ID = c.Events[1].ID }},
		"id with break":  {"CAL-ID", func(c *Calendar) { c.Events[0].ID = "a\r\nATTACH:x" }},
		"blank title":    {"CAL-TEXT", func(c *Calendar) { c.Events[0].Summary = " " }},
		"return in it":   {"CAL-TEXT", func(c *Calendar) { c.Events[0].Summary = "a\r\nATTACH:x" }},
		"bad utf-8":      {"CAL-TEXT", func(c *Calendar) { c.Events[0].Description = "\xff" }},
		"null":           {"CAL-TEXT", func(c *Calendar) { c.Name = "a\x00" }},
		"override":       {"CAL-TEXT", func(c *Calendar) { c.Events[0].Summary = "a\u202eb" }},
		"next line":      {"CAL-TEXT", func(c *Calendar) { c.Events[0].Description = "a\u0085b" }},
		"language":       {"CAL-LANGUAGE", func(c *Calendar) { c.Lang = "en:\r\nX" }},
		"color":          {"CAL-TEXT", func(c *Calendar) { c.Color = "red\r\nX:1" }},
		"zone":           {"CAL-TEXT", func(c *Calendar) { c.Zone = "Europe/Madrid\r\nX:1" }},
		"zone's value":   {"CAL-TEXT", func(c *Calendar) { c.Zone = "Europe/Madrid:20260101" }},
		"organizer":      {"CAL-TEXT", func(c *Calendar) { c.Organizer = "a@b.example\r\nATTENDEE:x" }},
		"two organizers": {"CAL-TEXT", func(c *Calendar) { c.Organizer = "a@b.example,c@d.example" }},
		"hour":           {"CAL-DATE", func(c *Calendar) { c.Events[0].Time = "09:0\n" }},
		"far alarm":      {"CAL-DATE", func(c *Calendar) { c.Events[0].Alarms = []int{-1} }},
	} {
		c := sample("a", "b")
		x.change(&c)
		if b, faults := Write(c); b != nil || !faults.Has(x.code) {
			t.Errorf("%s: %d bytes, %v", name, len(b), fault.List(faults).Lines())
		}
	}
}

func TestSameBytes(t *testing.T) {
	if !bytes.Equal(write(t, sample("a", "b")), write(t, sample("a", "b"))) {
		t.Error("two runs differ")
	}
}

func FuzzText(f *testing.F) {
	for _, s := range texts {
		f.Add(s)
	}
	f.Add("BEGIN:VEVENT\nEND:VCALENDAR")
	f.Add("\u2028\u0085\ufeff")
	f.Fuzz(func(t *testing.T, s string) {
		b, faults := Write(sample(s, s))
		if len(faults) > 0 {
			if utf8.ValidString(s) && strings.TrimSpace(s) != "" && !strings.ContainsFunc(s, refused) {
				t.Fatalf("%q: %s", s, faults.Lines())
			}
			return
		}
		lines(t, b)
		if got := unfolded(string(b), "SUMMARY;LANGUAGE=en:"); got != s {
			t.Fatalf("%q came back as %q", s, got)
		}
	})
}

// refused is what no TEXT value can hold (RFC 5545, section 3.1), with what a program
// may take for the end of a line and what reorders the text around it.
func refused(r rune) bool {
	return unicode.IsControl(r) && r != '\n' && r != '\t' || unicode.In(r, unicode.Zl, unicode.Zp) || r >= '\u202A' && r <= '\u202E'
}

// unfolded reads the first value of a name by the rules of RFC 5545 alone.
func unfolded(file, name string) string {
	file = strings.ReplaceAll(file, "\r\n ", "")
	_, rest, _ := strings.Cut(file, "\r\n"+name)
	value, _, _ := strings.Cut(rest, "\r\n")
	var b strings.Builder
	for i := 0; i < len(value); i++ {
		if value[i] == '\\' {
			i++
			if value[i] == 'n' {
				b.WriteByte('\n')
				continue
			}
		}
		b.WriteByte(value[i])
	}
	return b.String()
}

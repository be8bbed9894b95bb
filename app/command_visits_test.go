//go:build !js

package main

import (
	"encoding/json"
	"strings"
	"testing"

	"plainleaf/app/casefile"
	"plainleaf/i18n"
)

// An agreed day stands on every sheet with dates as agreed, with its hour, in every
// language, and what speaks against a day is told in words to the patient and, a
// note each, to whoever ran the command.
func TestAgreedDaysOnSheets(t *testing.T) {
	file := caseDir + "/agreed-days.json"
	c := readCase(t, file)
	clock := map[string]string{"en": "2:30\u00a0PM", "es": "14:30", "ar": "2:30\u00a0م"}
	for _, l := range i18n.Languages() {
		date, err := l.Date(2027, 1, 11)
		if err != nil {
			t.Fatal(err)
		}
		for _, kind := range []string{"consent", "options", "aftercare"} {
			args := []string{"sheet", "-kind", kind, "-locale", l.Tag, "-format", "html"}
			if l.Tag != "en" {
				args = append(args, "-second", "en")
			}
			code, page, errs := order("", append(args, file)...)
			if code != good || errs != "" {
				t.Fatalf("%s %s: exit %d, %s", kind, l.Tag, code, errs)
			}
			for _, want := range []string{date, clock[l.Tag], word(t, l.Tag, "sheet.schedule.agreed")} {
				if !strings.Contains(page, want) {
					t.Errorf("%s %s does not say %q", kind, l.Tag, want)
				}
			}
		}
	}
	// A Sunday before the wait is over, and a visit the plan does not have.
	bad := c
	bad.Events, bad.Agreed, bad.Stage = nil, nil, ""
	bad.Visits = []casefile.AgreedVisit{{Key: "consultation", Date: casefile.Date{Year: 2026, Month: 12, Day: 2}},
		{Key: "records", Date: casefile.Date{Year: 2026, Month: 12, Day: 6}}, {Key: "cementing", Date: casefile.Date{Year: 2027, Month: 1, Day: 11}}}
	data, err := json.Marshal(bad)
	if err != nil {
		t.Fatal(err)
	}
	for _, format := range []string{"text", "ics"} {
		code, out, errs := order(string(data), "sheet", "-kind", "consent", "-locale", "en", "-format", format, "-")
		if code != good || len(strings.Split(strings.TrimSpace(errs), "\n")) != 3 {
			t.Errorf("%s: exit %d, %q", format, code, errs)
		}
		for _, want := range []string{"note: VISIT-CLOSED\tvisits[1].date\t", "note: VISIT-EARLY\tvisits[1].date\t", "note: VISIT-UNKNOWN\tvisits[2]\t"} {
			if !strings.Contains(errs, want) {
				t.Errorf("%s: no line %q in %q", format, want, errs)
			}
		}
		if flat := strings.Join(strings.Fields(out), " "); format == "text" && (!strings.Contains(flat, word(t, "en", "agreed.closed")) ||
			!strings.Contains(flat, "the wait before this visit ends on December 9, 2026.")) {
			t.Errorf("the sheet does not tell: %s", flat)
		}
	}
	// Out of order: words on the sheet, and no calendar.
	bad.Visits = []casefile.AgreedVisit{{Key: "consultation", Date: casefile.Date{Year: 2027, Month: 1, Day: 12}}, {Key: "delivery", Date: casefile.Date{Year: 2027, Month: 1, Day: 11}}}
	if data, err = json.Marshal(bad); err != nil {
		t.Fatal(err)
	}
	code, out, errs := order(string(data), "sheet", "-kind", "aftercare", "-locale", "en", "-format", "text", "-")
	if flat := strings.Join(strings.Fields(out), " "); code != good || !strings.HasPrefix(errs, "note: CAL-ORDER\tvisits[1].date\t") ||
		!strings.Contains(flat, "This day comes before a visit on January 12, 2027 that has to be first.") {
		t.Errorf("exit %d, %q", code, errs)
	}
	if code, out, errs := order(string(data), "sheet", "-kind", "aftercare", "-locale", "en", "-format", "ics", "-"); code != badInput || out != "" || !strings.HasPrefix(errs, "CAL-ORDER\tvisits[1].date\t") {
		t.Errorf("exit %d, %q", code, errs)
	}
}

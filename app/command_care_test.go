//go:build !js

package main

import (
	"regexp"
	"strings"
	"testing"
)

// Odd cases at home: nothing is said to be made of what is not placed, what comes
// first and what follows are told apart, and no heading stands over nothing.
func TestCareAtHomeOfOddCases(t *testing.T) {
	const head = `{"version":1,"issued":"2026-11-25","start":"2026-12-01",`
	empty := regexp.MustCompile(`\n([^\n]+)\n-{3,}\n\n(?:[^\n]+:\n\n)?(?:={10}|[^\n]+\n-{3,}\n)`)
	for name, c := range map[string]struct {
		data     string
		has, not []string
	}{
		"no treatment": {`"route":"none","teeth":[{"tooth":"11"}]}`, []string{"Tooth 11: No treatment"},
			[]string{"Normal at first", "The first days", "The first two weeks", "For whoever cleans", "A short sting"}},
		"whitening": {`"route":"whitening-home","teeth":[]}`, []string{"Normal at first", "The first days"}, []string{"The first two weeks", "For whoever cleans"}},
		"one tooth left as it is": {`"route":"no-prep","material":"lithium-disilicate","teeth":[{"tooth":"11","route":"none"},{"tooth":"21"}]}`,
			[]string{"Tooth 11: No treatment\n", "Tooth 21: Veneers without drilling (material: lithium disilicate"}, nil},
		"straightening first": {`"route":"straightening-first","then":"no-prep","material":"lithium-disilicate","teeth":[{"tooth":"11"}]}`,
			[]string{"Tooth 11: Straightening first\n", "After that: Veneers without drilling (material: lithium disilicate"}, nil},
		"straightening of one tooth only": {`"route":"no-prep","material":"lithium-disilicate","teeth":[{"tooth":"11","route":"straightening-first"},{"tooth":"21"}]}`,
			[]string{"Tooth 11: Straightening first\n", "Tooth 11, after that: Veneers without drilling (material: lithium"}, []string{"After that:"}},
		"a crown beside what comes first": {`"route":"gum-care-first","then":"minimal-prep","material":"lithium-disilicate","teeth":[{"tooth":"11"},{"tooth":"21","route":"crown","material":"zirconia"}]}`,
			[]string{"Tooth 11: Gum care first\n", "Tooth 11, after that: Veneers with a little drilling", "Tooth 21: Crowns (material: zirconia ceramic)\n"}, []string{"After that:"}},
	} {
		code, out, errs := order(head+c.data, "sheet", "-kind", "aftercare", "-locale", "en", "-format", "text", "-")
		if code != good {
			t.Fatalf("%s: %s", name, errs)
		}
		for _, want := range c.has {
			if !strings.Contains(out, want) {
				t.Errorf("%s: %q is missing", name, want)
			}
		}
		for _, not := range c.not {
			if strings.Contains(out, not) {
				t.Errorf("%s: %q stands there", name, not)
			}
		}
		if m := empty.FindStringSubmatch(out); m != nil {
			t.Errorf("%s: nothing under %q", name, m[1])
		}
		if name == "a crown beside what comes first" && strings.Count(out, ", after that:") != 1 {
			t.Errorf("%s: something follows the crown", name)
		}
	}
}

// What comes first has its own yes or no, with its risks and price: whitening before
// veneers too. Once said, the answer is on the sheet; once done, it is not asked again.
func TestWhitenedFirstIsConsentedTo(t *testing.T) {
	const head = `{"version":1,"issued":"2026-11-25","start":"2026-12-01","route":"whitening-home","then":"no-prep","material":"lithium-disilicate","locale":"en",
		"teeth":[{"tooth":"11"},{"tooth":"21"}]`
	sheet := func(more string) string {
		code, out, errs := order(head+more+`}`, "sheet", "-kind", "wait", "-format", "text", "-")
		if code != good {
			t.Fatal(errs)
		}
		return strings.Join(strings.Fields(out), " ")
	}
	asked := sheet("")
	for _, want := range []string{"- What we do: You wear thin trays", "shows you. $300.00", "Risks: - Teeth sting with cold",
		"My answer to what comes first", "$300.00 · [ ] Yes · [ ] No · [ ] Not yet"} {
		if !strings.Contains(asked, want) {
			t.Errorf("%q is missing", want)
		}
	}
	said := sheet(`,"events":[{"kind":"care-decided","on":"2026-11-26","care":"whitening-home","answer":"agree","by":"patient"}]`)
	if !strings.Contains(said, "$300.00 · [x] Yes · [ ] No · [ ] Not yet") {
		t.Error("the yes is not on the sheet")
	}
	done := sheet(`,"events":[{"kind":"done","on":"2026-12-18","visit":"review"}]`)
	if strings.Contains(done, "My answer to what comes first") {
		t.Error("it is asked again when it is done")
	}
	alone := strings.Replace(head, `"then":"no-prep","material":"lithium-disilicate",`, "", 1)
	if code, out, _ := order(alone+`}`, "sheet", "-kind", "wait", "-format", "text", "-"); code != good || strings.Contains(out, "My answer to what comes first") {
		t.Errorf("whitening alone is agreed to on the consent: exit %d", code)
	}
}

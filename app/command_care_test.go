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
	empty := regexp.MustCompile(`\n([^\n]+)\n-{3,}\n\n(?:[^\n]+:\n\n)?(?:!|={10}|[^\n]+\n-{3,}\n)`)
	for name, c := range map[string]struct {
		data     string
		has, not []string
	}{
		"no treatment": {`"route":"none","teeth":[{"tooth":"11"}]}`, []string{"Tooth 11: No treatment for now"},
			[]string{"What is normal now", "The first days", "The first weeks", "Card for whoever cleans", "in the first weeks, cold"}},
		"whitening": {`"route":"whitening-home","teeth":[]}`, []string{"What is normal now", "The first days"}, []string{"The first weeks", "Card for whoever cleans"}},
		"one tooth left as it is": {`"route":"no-prep","material":"lithium-disilicate","teeth":[{"tooth":"11","route":"none"},{"tooth":"21"}]}`,
			[]string{"Tooth 11: No treatment for now\n", "Tooth 21: No-prep veneers made of lithium disilicate"}, nil},
		"straightening first": {`"route":"straightening-first","then":"no-prep","material":"lithium-disilicate","teeth":[{"tooth":"11"}]}`,
			[]string{"Tooth 11: Straightening first\n", "After that: No-prep veneers made of lithium disilicate"}, nil},
		"straightening of one tooth only": {`"route":"no-prep","material":"lithium-disilicate","teeth":[{"tooth":"11","route":"straightening-first"},{"tooth":"21"}]}`,
			[]string{"Tooth 11: Straightening first\n", "Tooth 11, after that: No-prep veneers made of lithium"}, []string{"After that:"}},
		"a crown beside what comes first": {`"route":"gum-care-first","then":"minimal-prep","material":"lithium-disilicate","teeth":[{"tooth":"11"},{"tooth":"21","route":"crown","material":"zirconia"}]}`,
			[]string{"Tooth 11: Gum care first\n", "Tooth 11, after that: Veneers with a little shaping", "Tooth 21: Crowns made of zirconia\n"}, []string{"After that:"}},
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
		if name == "a crown beside what comes first" && strings.Count(out[:strings.Index(out, "The first days")], ", after that:") != 1 {
			t.Errorf("%s: something follows the crown", name)
		}
	}
}

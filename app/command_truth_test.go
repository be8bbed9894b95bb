//go:build !js

package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// smoothed is a case of version 1 in which tooth 11 was smoothed, nobody set its
// state by hand, and nothing was agreed.
const smoothed = `{"version": 1, "issued": "2027-01-12", "start": "2026-12-01", "locale": "en", "route": "no-prep",
	"material": "lithium-disilicate", "teeth": [{"tooth": "11"}, {"tooth": "21"}], "stage": "at-try-in",
	"departures": [{"change": "facial-contouring", "teeth": ["11"], "size_mm": 0.2, "date": "2027-01-12"}]}`

// Without an agreement nothing can be called agreed: there is no change sheet, and
// the fault says what to do.
func TestNoChangeWithoutAnAgreement(t *testing.T) {
	code, out, errs := order(smoothed, "sheet", "-kind", "change", "-locale", "en", "-")
	if code != badInput || out != "" || !strings.HasPrefix(errs, "SHEET-NO-AGREEMENT\tagreed\t") || !strings.Contains(errs, "seal the consent") {
		t.Errorf("exit %d, %d bytes, %q", code, len(out), errs)
	}
}

// A step that takes tooth away changes the state of the tooth by itself, and the
// sheet says that the patient was to be asked first and that no answer is noted.
func TestAStepChangesItsTooth(t *testing.T) {
	code, out, errs := order(smoothed, "sheet", "-kind", "aftercare", "-locale", "en", "-format", "text", "-")
	if code != good {
		t.Fatal(errs)
	}
	flat := strings.Join(strings.Fields(out), " ")
	for _, want := range []string{"Tooth 11: Some tooth was taken off", "Tooth 21: Nothing was taken off or glued on.", "0.2 mm)", "You were to be asked first; ask your dentist why."} {
		if !strings.Contains(flat, want) {
			t.Errorf("not told: %s", want)
		}
	}
}

// What was agreed comes from the agreement, whatever the case has since.
func TestTheChangeSheetTellsWhatWasAgreed(t *testing.T) {
	data, err := os.ReadFile(caseDir + "/at-try-in.json")
	if err != nil {
		t.Fatal(err)
	}
	changed := strings.Replace(string(data), `"tooth": "21",`, `"tooth": "21", "route": "minimal-prep",`, 1)
	code, out, errs := order(changed, "sheet", "-kind", "change", "-locale", "en", "-format", "text", "-")
	if code != good {
		t.Fatal(errs)
	}
	flat := strings.Join(strings.Fields(out), " ")
	for _, want := range []string{
		"We agreed this on December 9, 2026, code KRJ1-6CFY-4H6Y-SE79.",
		"Tooth 21 · Agreed before: Veneers without drilling (material: lithium disilicate glass-ceramic) · Proposed now: Veneers with a little drilling (material: lithium disilicate glass-ceramic)",
		"Agreed before: Smoothing the front of a tooth (Tooth 21) Ask me first - Proposed now: Smooth the front: drill off a thin layer. We stop before the yellow layer; less near the gum. We take off at most 0.3 mm, and it cannot be undone.",
	} {
		if !strings.Contains(flat, want) {
			t.Errorf("not told: %s\n%s", want, out)
		}
	}
	// Other sheets would tell the tooth in two ways.
	for _, kind := range []string{"tryin", "aftercare"} {
		if code, _, errs := order(changed, "sheet", "-kind", kind, "-locale", "en", "-"); code != badInput || !strings.HasPrefix(errs, "SHEET-AGREED\t") {
			t.Errorf("%s: exit %d, %q", kind, code, errs)
		}
	}
}

// No yes is sealed before the thinking time ends, by a child alone, or while who
// decides was not asked.
func TestSealTakesNoYesAgainstAnOpenPoint(t *testing.T) {
	const head = `{"version": 1, "id": "demo-one", "issued": "2026-11-25", "start": "2026-12-01", "locale": "en", "route": "direct-composite", "teeth": [{"tooth": "11"}]`
	for name, x := range map[string]struct{ people, on, open string }{
		"settled":          {`, "people": {"age_band": "adult", "decides": "patient", "interpreter": "none"}}`, "2026-12-08", ""},
		"too early":        {`, "people": {"age_band": "adult", "decides": "patient", "interpreter": "none"}}`, "2026-12-07", "thinking-time"},
		"a child alone":    {`, "people": {"age_band": "child", "decides": "patient", "assent": "yes", "interpreter": "none"}}`, "2026-12-08", "alone"},
		"nobody asked who": {`}`, "2026-12-08", "decides"},
	} {
		dir := t.TempDir()
		signed := filepath.Join(t.TempDir(), "signing.json")
		text := `{"version":1,"cases":{"demo-one":{"decision":{"what":"agreed","by":"","on":"` + x.on + `"},"signatures":[{"role":"patient","way":"typed","name":"Demo Person"}]}}}`
		if x.people != "}" {
			text = strings.Replace(text, `"by":""`, `"by":"patient"`, 1)
		}
		if err := os.WriteFile(signed, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		code, _, errs := order(head+x.people, "seal", "-out", dir, "-signing", signed, "-")
		if x.open == "" && (code != good || len(records(t, dir)) != 1) {
			t.Errorf("%s: exit %d, %s", name, code, errs)
		} else if x.open != "" && (code != badInput || len(records(t, dir)) > 0 || !strings.Contains(errs, "OPEN-SIGNING\t") || !strings.Contains(errs, x.open)) {
			t.Errorf("%s: exit %d, %d records, %s", name, code, len(records(t, dir)), errs)
		}
	}
}

// A consent on hold says what comes first and has no line to sign.
func TestAConsentOnHoldHasNoLines(t *testing.T) {
	c := `{"version": 1, "issued": "2026-11-25", "start": "2026-12-01", "locale": "en", "route": "no-prep", "material": "lithium-disilicate",
		"teeth": [{"tooth": "11", "findings": ["one-dark-tooth"]}]}`
	code, page, errs := order(c, "sheet", "-kind", "consent", "-locale", "en", "-")
	if code != good || !strings.Contains(page, `"sheet.sign.hold"`) || strings.Contains(page, `"sheet.sign.patient"`) {
		t.Errorf("exit %d, %s", code, errs)
	}
	reason := strings.TrimSuffix(strings.TrimSpace(c), "}") + `, "proceed_reasons": [{"wait_for": "one-dark-tooth", "reason": "The tooth was tested; the patient wants its color as it is."}]}`
	if code, page, errs = order(reason, "sheet", "-kind", "consent", "-locale", "en", "-"); code != good || !strings.Contains(page, "sheet.sign.patient") || strings.Contains(page, `"sheet.sign.hold"`) {
		t.Errorf("with the dentist's reason: exit %d, %s", code, errs)
	}
}

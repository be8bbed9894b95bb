package sheet_test

import (
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"

	"plainleaf/app/casefile"
	"plainleaf/app/plan"
	"plainleaf/app/sheet"
)

// bleachCase is an example that has bleach shades of all kinds.
func bleachCase(t *testing.T) (casefile.Case, casefile.Practice, plan.Plan) {
	t.Helper()
	data, err := os.ReadFile("../../testdata/cases/bleach-shades.json")
	if err != nil {
		t.Fatal(err)
	}
	c, faults := casefile.ReadCase(data, base.Vocabulary([]string{"en"}))
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	p := demoPractice(t)
	pl, faults := plan.For(c, p, base)
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	return c, p, pl
}

// about gives the ids of the texts about shades that a sheet tells of each tooth.
func about(s sheet.Sheet, prefixes ...string) map[casefile.Tooth][]string {
	out := map[casefile.Tooth][]string{}
	for _, it := range blockItems(s) {
		for _, x := range append([]sheet.Text{it.Text}, it.More...) {
			if !slices.ContainsFunc(prefixes, func(p string) bool { return strings.HasPrefix(x.ID, p) }) {
				continue
			}
			for _, t := range it.Ref.Teeth {
				out[t] = append(out[t], fmt.Sprint(x.ID, x.Args))
			}
		}
	}
	return out
}

// That a dark tooth may show through is a risk told of each tooth it is true of.
func TestThinPorcelainOverADarkTooth(t *testing.T) {
	c, p, pl := bleachCase(t)
	s := sheet.Compose(sheet.Consent, c, p, pl, base)
	seen := false
	for _, it := range blockItems(s) {
		if !slices.Contains(riskNames(it.Label), "risk.dark-tooth-shows") {
			continue
		}
		seen = true
		for _, tooth := range []casefile.Tooth{13, 12, 11, 22, 23} {
			if !slices.Contains(it.Ref.Teeth, tooth) {
				t.Errorf("the risk is told of %v", it.Ref.Teeth)
			}
		}
	}
	if !seen {
		t.Error("that a dark tooth may show is not told")
	}
}

func blockItems(s sheet.Sheet) (out []sheet.Item) {
	for _, b := range s.Blocks {
		for _, it := range b.Items {
			out = append(append(out, it), it.Items...)
		}
	}
	return out
}

// Each tooth has its own planned shade, by our name and the laboratory's, and what was
// approved in its place.
func TestShadesAreToldToothByTooth(t *testing.T) {
	c, p, pl := bleachCase(t)
	for _, kind := range []sheet.Kind{sheet.Consent, sheet.TryIn} {
		told := about(sheet.Compose(kind, c, p, pl, base), "sheet.tryin.shade-planned", "sheet.tryin.shade-is", "sheet.tryin.shade-is-lab", "shade.laboratory")
		for tooth, want := range map[casefile.Tooth][2]string{13: {"bleach-near-natural", "Demo lab white 3"}, 12: {"bleach-light", "Demo lab white 2"}, 22: {"A1", ""}} {
			all := strings.Join(told[tooth], " ")
			if !strings.Contains(all, want[0]) || !strings.Contains(all, want[1]) || want[1] == "" && strings.Contains(all, "Demo lab") {
				t.Errorf("%s, tooth %d: %s", kind, tooth, all)
			}
		}
	}
	instead := about(sheet.Compose(sheet.TryIn, c, p, pl, base), "sheet.tryin.shade-instead")
	if len(instead) != 2 || len(instead[12]) != 1 || len(instead[11]) != 1 {
		t.Errorf("approved instead: %v", instead)
	}
	var all []sheet.Sheet
	for _, k := range sheet.Kinds() {
		all = append(all, sheet.Compose(k, c, p, pl, base))
	}
	if faults := sheet.Contradictions(all, c, base); len(faults) > 0 {
		t.Error(faults.Lines())
	}
	// Another shade for one tooth is on the change sheet, of that tooth alone.
	c.Teeth[0].TargetShade, c.Teeth[0].ShadeNote = "A2", ""
	rows := 0
	for _, it := range blockItems(sheet.Compose(sheet.Change, c, p, pl, base)) {
		if strings.Contains(fmt.Sprint(it.Label), "sheet.changes.shade") {
			rows++
			if was, now := fmt.Sprint(it.Cells[0]), fmt.Sprint(it.Cells[1]); !slices.Equal(it.Ref.Teeth, []casefile.Tooth{13}) ||
				!strings.Contains(was, "bleach-near-natural") || !strings.Contains(was, "Demo lab white 3") || !strings.Contains(now, "A2") {
				t.Errorf("teeth %v: %s, now %s", it.Ref.Teeth, was, now)
			}
		}
	}
	if rows != 1 {
		t.Errorf("%d rows of shades", rows)
	}
}

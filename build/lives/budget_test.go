package lives

import (
	"fmt"
	"slices"
	"testing"

	"plainleaf/app/produce"
	"plainleaf/app/sheet"
	"plainleaf/build/budget"
	"plainleaf/build/trials"
)

// Cases nobody thought of keep 1.4 times the budget of words, but for one in twenty.
// produce.Docs proves that each sheet says what it must (render.Whole).
func TestRandomCasesKeepTheirBudget(t *testing.T) {
	w := open(t)
	shares := map[sheet.Kind][]float64{}
	longest := map[sheet.Kind]string{}
	for seed := range trials.N(40, 300, 2000) {
		c := randomCase(w, uint64(seed))
		if len(c.Check(w.words)) > 0 {
			continue
		}
		for _, kind := range sheet.Kinds() {
			docs, _, faults := produce.Docs(w.input(c, w.practice, kind))
			if len(unexplained(faults)) > 0 {
				t.Errorf("seed %d, %s: %s", seed, kind, faults.Lines())
			}
			if len(faults) > 0 {
				continue
			}
			words, most := budget.Words(docs[0]), budget.Of(docs[0], len(c.Teeth)).Words
			share := float64(words) / float64(most)
			if len(shares[kind]) == 0 || share > slices.Max(shares[kind]) {
				longest[kind] = fmt.Sprintf("seed %d with %d words", seed, words)
			}
			shares[kind] = append(shares[kind], share)
		}
	}
	for _, kind := range sheet.Kinds() {
		all := shares[kind]
		if len(all) < 5 {
			t.Errorf("%s: only %d sheets", kind, len(all))
			continue
		}
		slices.Sort(all)
		at := all[95*(len(all)-1)/100]
		t.Logf("%-9s %3d sheets: median %.2f of the budget, 95th percentile %.2f, most %.2f (%s)", kind, len(all), all[len(all)/2], at, all[len(all)-1], longest[kind])
		if at > 1.4 {
			t.Errorf("%s: the 95th percentile of random cases is %.2f times the budget, at most 1.4", kind, at)
		}
	}
}

// Cases that once could not be printed: an appliance that only another option asks for has
// a name, and care that comes first may have no date.
func TestCasesThatCouldNotBePrinted(t *testing.T) {
	w := open(t)
	for _, seed := range []uint64{541, 1154} {
		c := randomCase(w, seed)
		for _, kind := range sheet.Kinds() {
			if _, _, faults := produce.Docs(w.input(c, w.practice, kind)); len(unexplained(faults)) > 0 {
				t.Errorf("seed %d, %s: %s", seed, kind, faults.Lines())
			}
		}
	}
}

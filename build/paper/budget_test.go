package paper

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"plainleaf/app/produce"
	"plainleaf/app/sheet"
	"plainleaf/build/budget"
)

// The examples that are drawn keep their budget word by word and page by page; others
// are reported beside them. produce.Docs proves that each says what it must (render.Whole).
func TestExamplesKeepTheirBudget(t *testing.T) {
	w := open(t)
	drawn := []string{"ten-teeth-no-prep", "two-teeth"}
	var table strings.Builder
	for _, name := range []string{"ten-teeth-no-prep", "two-teeth", "conventional-eight", "minimal-six", "mixed-routes", "whitening-then-no-prep", "at-try-in", "delivered"} {
		in := input(t, name)
		for _, kind := range sheet.Kinds() {
			c := cell{kind, "en", "", "a4", "normal"}
			docs, _, faults := produce.Docs(c.of(in))
			if settlesFirst(faults) {
				continue
			} else if len(faults) > 0 {
				t.Fatalf("%s %s: %s", name, kind, faults.Lines())
			}
			w.show(c, c.page(t, in))
			got := budget.Budget{Pages: pages(t, w.print("sheet")), Words: budget.Words(docs[0])}
			most := budget.Of(docs[0], len(in.Case.Teeth))
			fmt.Fprintf(&table, "%-22s %-9s %2d of %d pages, %4d of %4d words (%3.0f %%)\n", name, kind, got.Pages, most.Pages, got.Words, most.Words, 100*float64(got.Words)/float64(most.Words))
			if slices.Contains(drawn, name) && (got.Pages > most.Pages || got.Words > most.Words) {
				budget.Long(t, kind, "%s: %d pages and %d words, at most %d and %d", name, got.Pages, got.Words, most.Pages, most.Words)
			}
		}
	}
	t.Logf("\n%s", table.String())
}

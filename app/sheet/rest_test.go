package sheet_test

import (
	"os"
	"slices"
	"testing"

	"plainleaf/app/plan"
	"plainleaf/app/sheet"
	"plainleaf/app/veneer"
)

// An answer to a step that cannot come up on its tooth's own route stands on no
// sheet; on the teeth where the step can come up it does.
func TestRestingAnswersStandOnNoSheet(t *testing.T) {
	words := base.Vocabulary([]string{"en", "es", "ar", "de", "zh-Hans"})
	data, err := os.ReadFile("../../testdata/cases/two-teeth.json")
	if err != nil {
		t.Fatal(err)
	}
	c, faults := veneer.ReadCase(data, words)
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	data, err = os.ReadFile("../demo/practice.json")
	if err != nil {
		t.Fatal(err)
	}
	p, faults := veneer.ReadPractice(data, words)
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	const step = "facial-contouring" // without preparation alone (content/changes.toml)
	c.Route = veneer.NoPrep
	c.Answers = []veneer.AnswerEntry{{Change: step, Teeth: []veneer.Tooth{11, 21}, Answer: veneer.Agree}}
	for i := range c.Teeth {
		c.Teeth[i].Route = ""
	}
	named := func(kind sheet.Kind) (out []veneer.Tooth) {
		pl, faults := plan.For(c, p, base)
		if len(faults) > 0 {
			t.Fatal(faults)
		}
		if rests := slices.ContainsFunc(pl.ChairChanges, func(ch plan.ChairChange) bool { return ch.Key == step && ch.Rests }); rests != (c.Teeth[0].Route != "") {
			t.Fatalf("rests: %v", rests)
		}
		for _, b := range sheet.Compose(kind, c, p, pl, base).Blocks {
			for _, it := range b.Items {
				if it.Ref.Change == step {
					out = append(out, it.Ref.Teeth...)
				}
			}
		}
		slices.Sort(out)
		return slices.Compact(out)
	}
	kinds := []sheet.Kind{sheet.Consent, sheet.TryIn}
	for _, kind := range kinds {
		if got := named(kind); !slices.Equal(got, []veneer.Tooth{11, 21}) {
			t.Errorf("%s names %v before", kind, got)
		}
	}
	c.Teeth[0].Route = veneer.ConventionalPrep
	for _, kind := range kinds {
		if got := named(kind); !slices.Equal(got, []veneer.Tooth{c.Teeth[1].Tooth}) {
			t.Errorf("%s names %v, and on %s the step cannot come up", kind, got, c.Teeth[0].Tooth)
		}
	}
}

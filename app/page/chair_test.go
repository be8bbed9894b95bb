package page

import (
	"os"
	"path/filepath"
	"slices"
	"testing"

	"plainleaf/app/casefile"
	"plainleaf/app/demo"
	"plainleaf/app/plan"
	"plainleaf/content"
)

// The buttons of the chair screen are what the plan permits at each place, on every
// example; for all places together there is no yes to what cannot be undone.
func TestTheButtonsAreThePermittedAnswers(t *testing.T) {
	b := content.MustLoad()
	files, err := filepath.Glob("../../testdata/cases/*.json")
	if err != nil || len(files) == 0 {
		t.Fatal(err, len(files))
	}
	practice, faults := casefile.ReadPractice(demo.Practice, b.Vocabulary([]string{"en", "es", "ar"}))
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	buttons := 0
	for _, file := range files {
		data, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		c, faults := casefile.ReadCase(data, b.Vocabulary([]string{"en", "es", "ar"}))
		if len(faults) > 0 {
			t.Fatal(faults.Lines())
		}
		p, faults := plan.For(c, practice, b)
		if len(faults) > 0 {
			t.Fatal(faults.Lines())
		}
		got := map[string][]casefile.Answer{}
		for _, x := range together(p.ChairChanges) {
			for _, o := range offers(&p, x) {
				if o.row != "all" {
					got[x.Key+"@"+o.row] = o.permitted
				} else if x.Reversible != "yes" && slices.Contains(o.permitted, casefile.Agree) {
					t.Errorf("%s: a yes to %s everywhere", file, x.Key)
				}
			}
		}
		for _, x := range p.ChairChanges {
			for _, at := range x.Places {
				k := x.Key + "@" + at
				if x.Rests || x.TellOnly {
					continue
				}
				if !slices.Equal(got[k], x.Permitted) {
					t.Errorf("%s: %s: buttons %v, permitted %v", file, k, got[k], x.Permitted)
				}
				delete(got, k)
				buttons++
			}
		}
		if len(got) > 0 {
			t.Errorf("%s: buttons for nothing: %v", file, got)
		}
	}
	if buttons < 1000 {
		t.Errorf("only %d rows of buttons", buttons)
	}
}

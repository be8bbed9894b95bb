package sheet_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"plainleaf/app/casefile"
	"plainleaf/app/plan"
	"plainleaf/app/sheet"
)

// tells reports whether a text has a number about how long things last.
func tells(x sheet.Text) bool {
	if strings.HasPrefix(x.ID, "number.") && len(x.Args) > 0 || x.ID == "number.nearly-all" || x.ID == "number.few" {
		return true
	}
	for _, a := range x.Args {
		if w, ok := a.Value.(sheet.Word); ok && strings.HasPrefix(x.ID, "sheet.last.") && tells(w.Text) {
			return true
		}
	}
	return false
}

// poolsTold lists, by endpoint, the pools behind the numbers of a sheet about how long
// things last.
func poolsTold(s sheet.Sheet) map[string][]string {
	out := map[string][]string{}
	add := func(figures []string, texts ...sheet.Text) {
		if !slices.ContainsFunc(texts, tells) {
			return
		}
		for _, p := range base.Pools {
			if slices.Contains(figures, p.Figure) && !slices.Contains(out[p.Endpoint], p.ID) {
				out[p.Endpoint] = append(out[p.Endpoint], p.ID)
			}
		}
	}
	for _, b := range s.Blocks {
		add(b.Ref.Figures, b.Text)
		for _, it := range b.Items {
			texts := append([]sheet.Text{it.Text}, it.More...)
			for _, c := range it.Cells {
				texts = append(texts, c.Texts...)
			}
			add(it.Ref.Figures, texts...)
		}
	}
	return out
}

// A sheet tells numbers of one pool for each endpoint, or says that they must not be held
// against each other.
func TestNoSheetRanksTwoAnchors(t *testing.T) {
	told, apart := 0, 0
	for _, kind := range []sheet.Kind{sheet.Options, sheet.Consent} {
		for _, route := range casefile.Routes() {
			for _, other := range []casefile.Route{"", casefile.ConventionalPrep, casefile.DirectComposite, casefile.NoPrep} {
				c, p := demoCase(), demoPractice(t)
				c.Route, c.Material, c.Detail = route, casefile.LithiumDisilicate, "numbers"
				if route == casefile.DirectComposite {
					c.Material = casefile.Composite
				}
				c.Teeth = []casefile.ToothEntry{{Tooth: 11}, {Tooth: 21}, {Tooth: 22, Route: other}}
				if other == casefile.DirectComposite {
					c.Teeth[2].Material = casefile.Composite
				}
				for _, x := range base.Priorities {
					c.Priorities = append(c.Priorities, x.Key)
				}
				pl, faults := plan.For(c, p, base)
				if len(faults) > 0 {
					t.Fatal(faults.Lines())
				}
				s := sheet.Compose(kind, c, p, pl, base)
				warned := strings.Contains(fmt.Sprint(s.Blocks), "sheet.expect.apart")
				for endpoint, pools := range poolsTold(s) {
					told++
					if len(pools) > 1 {
						apart++
					}
					if len(pools) > 1 && !warned {
						t.Errorf("%s of %s with %q: %s of %v without a word that they are not to be compared", kind, route, other, endpoint, pools)
					}
				}
			}
		}
	}
	if told < 40 || apart == 0 {
		t.Errorf("%d endpoints told, %d of several pools", told, apart)
	}
}

package plan

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
	"plainleaf/app/plan/mouth"
)

// Every finding has an effect on every route or an explicit "none", and the plan
// of a case with that finding on that route says the same level. The table is
// printed with -v: n none, p proceed, f first, r refer, h hold.
func TestMatrixOfFindingsAndRoutes(t *testing.T) {
	var head strings.Builder
	for _, r := range base.Routes {
		fmt.Fprintf(&head, " %-9.9s", r.Key)
	}
	t.Logf("%-28s%s", "", head.String())
	for i := range base.Findings {
		f := &base.Findings[i]
		var row strings.Builder
		for _, r := range base.Routes {
			said := slices.ContainsFunc(f.Effects, func(e evidence.Effect) bool {
				return len(e.Routes) == 0 || slices.Contains(e.Routes, r.Key)
			})
			if !said {
				t.Errorf("%s says nothing of %s", f.Key, r.Key)
			}
			x := f.Acts(r.Key)
			fmt.Fprintf(&row, " %-9.1s", x.Level)
			acts := len(x.Actions)+len(x.Appliances)+len(x.Changes)+len(x.Aftercare)+len(x.Risks)+len(x.First) > 0 || x.Recall+x.Modifier+x.Dentin != ""
			if none := x.Level == evidence.LevelNone; none && acts || !none && !acts && !f.Private {
				t.Errorf("%s on %s is %q: %+v", f.Key, r.Key, x.Level, x)
			}
			c := simple(r.Key, "lithium-disilicate", "11", "21")
			if len(r.Materials) > 0 {
				c.Material = r.Materials[0]
			}
			if r.Kind == mouth.KindFirst { // the effect of the route itself counts beside that of what follows
				continue
			}
			if f.Scope == "tooth" {
				c.Teeth[0].Findings = []string{f.Key}
			} else {
				c.Findings = []string{f.Key}
			}
			if f.ByAge { // its first effects are for the first of them
				c.People = &casefile.People{AgeBand: f.AgeBands[0]}
			}
			p := mustFor(t, c, casefile.Practice{}, base)
			if len(p.Findings) != 1 || p.Findings[0].Level != x.Level {
				t.Errorf("%s on %s is %q, the plan has %+v", f.Key, r.Key, x.Level, p.Findings)
			}
		}
		t.Logf("%-28s%s", f.Key, row.String())
	}
}

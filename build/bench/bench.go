// Package bench measures the plan as ratios: beside writing the same plan as
// JSON, by its growth with the number of teeth, and in a slowed-down browser
// beside an empty update of the screen library in the same run.
//
//	go test -count=1 -run '^TestRatios' -v ./build/bench -args -bench
package bench

import (
	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
)

// Case is as large a case as a number of teeth allows: every finding that may
// stand beside the others, several routes, a dark tooth, the priorities.
func Case(b *evidence.Base, teeth int) casefile.Case {
	c := casefile.Case{Version: 1, ID: "largest", Issued: casefile.Date{Year: 2026, Month: 11, Day: 25}, Start: casefile.Date{Year: 2026, Month: 12, Day: 1},
		Route: casefile.NoPrep, Material: casefile.LithiumDisilicate, TargetShade: "A1", HorizonYears: 15}
	for p := 1; p < 8; p++ { // from the midline outwards
		for _, q := range []int{1, 2, 4, 3} {
			if len(c.Teeth) < teeth {
				c.Teeth = append(c.Teeth, casefile.ToothEntry{Tooth: casefile.Tooth(10*q + p)})
			}
		}
	}
	excluded := map[string]bool{}
	for i, f := range b.Findings {
		if excluded[f.Key] {
			continue
		}
		for _, x := range f.Excludes {
			excluded[x] = true
		}
		if f.Scope == "tooth" {
			e := &c.Teeth[i%len(c.Teeth)]
			e.Findings = append(e.Findings, f.Key)
		} else {
			c.Findings = append(c.Findings, f.Key)
		}
	}
	for _, p := range b.Priorities {
		c.Priorities = append(c.Priorities, p.Key)
	}
	c.Teeth[1].Route, c.Teeth[2].UnderlyingShade = casefile.MinimalPrep, "C4"
	return c
}

// Practice has a fee for every route and usual opening days.
func Practice(b *evidence.Base) casefile.Practice {
	p := casefile.Practice{Currency: "EUR", Fees: map[string]casefile.Fee{},
		Closures: []casefile.Closure{{From: casefile.Date{Year: 2026, Month: 12, Day: 24}, To: casefile.Date{Year: 2027, Month: 1, Day: 1}}}}
	for _, r := range b.Routes {
		p.Fees[string(r.Key)] = casefile.Fee{PerTooth: 50000, Flat: 10000}
	}
	return p
}

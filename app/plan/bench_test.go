package plan

import (
	"encoding/json"
	"testing"

	"plainleaf/app/veneer"
)

// full is the largest case anyone treats: 28 teeth, every public finding that may
// stand beside the others, mixed routes.
func full() veneer.Case {
	c := simple("no-prep", "lithium-disilicate")
	for _, t := range veneer.AllTeeth() {
		if t.Position() < 8 {
			c.Teeth = append(c.Teeth, veneer.ToothEntry{Tooth: t})
		}
	}
	c.TargetShade = "A1"
	c.HorizonYears = 15
	c.Priorities = []string{"keep-enamel", "longest-lasting"}
	excluded := map[string]bool{}
	for i, f := range base.Findings {
		if f.Private || excluded[f.Key] {
			continue
		}
		for _, x := range f.Excludes {
			excluded[x] = true
		}
		if f.Scope == "tooth" {
			t := &c.Teeth[i%len(c.Teeth)]
			t.Findings = append(t.Findings, f.Key)
		} else {
			c.Findings = append(c.Findings, f.Key)
		}
	}
	c.Teeth[3].Route, c.Teeth[4].UnderlyingShade = "minimal-prep", "C4"
	return c
}

func BenchmarkPlan(b *testing.B) {
	c, p := full(), demo(b)
	for b.Loop() {
		if _, faults := For(c, p, base); len(faults) > 0 {
			b.Fatal(faults.Lines())
		}
	}
}

func BenchmarkPlanTenTeeth(b *testing.B) {
	c, p := cases(b)["ten-teeth-no-prep"], demo(b)
	for b.Loop() {
		For(c, p, base)
	}
}

func BenchmarkPlanJSON(b *testing.B) {
	pl, _ := For(full(), demo(b), base)
	for b.Loop() {
		if _, err := json.Marshal(pl); err != nil {
			b.Fatal(err)
		}
	}
}

package plan

import (
	"encoding/json"
	"testing"

	"plainleaf/build/bench"
)

func BenchmarkPlan(b *testing.B) {
	c, p := bench.Case(base, 28), bench.Practice(base)
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
	pl, _ := For(bench.Case(base, 28), bench.Practice(base), base)
	for b.Loop() {
		if _, err := json.Marshal(pl); err != nil {
			b.Fatal(err)
		}
	}
}

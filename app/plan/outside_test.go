package plan

import (
	"math"
	"slices"
	"testing"

	"plainleaf/app/casefile"
	"plainleaf/build/outside"
)

// The band stands in the plan: shapes 0.8 and 1.4 through the same anchor.
func TestBandOfEachExpectation(t *testing.T) {
	const src = "anchor curves (exponential and Weibull, evidence-longevity 4.4)"
	p := mustFor(t, simple("conventional-prep", "lithium-disilicate", "11"), demo(t), base)
	want := map[int][3]float64{5: {0.9710, 0.9747, 0.9808}, 10: {0.9500, 0.9500, 0.9500}, 15: {0.9135, 0.9259, 0.9315}} // CE-D
	seen := 0
	for _, e := range p.Expectations {
		if w, ok := want[e.Years]; ok && e.Endpoint == InPlace && e.Curve != nil {
			seen++
			for i := range w {
				outside.Check(t, src, e.Curve.End(i), w[i], outside.Half4)
			}
		}
	}
	if seen < 2 {
		t.Errorf("%d of the published years are in the plan", seen)
	}
}

// In every example the recalls keep to the guideline's bounds, 3 to 24 months.
func TestRecallsOfExamples(t *testing.T) {
	for name, c := range cases(t) {
		p := mustFor(t, c, demo(t), base)
		var last casefile.Date
		for _, u := range p.Upkeep {
			if u.Key != "recall" {
				continue
			}
			if !last.IsZero() && (u.Date.Before(last.AddMonths(3)) || last.AddMonths(24).Before(u.Date)) {
				t.Errorf("%s: from %s to %s between recalls", name, last, u.Date)
			}
			last = u.Date
		}
	}
}

// Counts that must give the printed percentage (evidence-longevity 5.6), checked
// as printed beside the figures that the data took from them.
func TestPrintedPercentages(t *testing.T) {
	for _, r := range outside.Table(t, testdata+"published/counts.csv") {
		digits := len(r[3]) - 1 - slices.Index([]byte(r[3]), '.')
		if !slices.Contains([]byte(r[3]), '.') {
			digits = 0
		}
		got := 100 * outside.Num(t, r[1]) / outside.Num(t, r[2])
		outside.Check(t, r[0]+", counts against the printed percentage (evidence-longevity 5.6)", got, outside.Num(t, r[3]), math.Pow(10, -float64(digits))) // rounded, by one source cut
		if r[4] != "" {
			f, ok := base.Figure(r[4])
			if !ok {
				t.Fatalf("no figure %s", r[4])
			}
			v := f.Value
			if f.Unit == "fraction" {
				v *= 100
			}
			outside.Check(t, r[0]+", counts against the shipped figure (evidence-longevity 5.6)", v, got, 0.06)
		}
	}
}

// The plan's replacements are those of the closed form: two teeth of one group.
func TestReplacementsOfAPlan(t *testing.T) {
	const equation = "renewal function of the exponential (Cox 1962)"
	p := mustFor(t, simple("conventional-prep", "lithium-disilicate", "11", "21"), demo(t), base)
	f := routeOf(t, p, "conventional-prep")
	for _, l := range f.Money.Later {
		i := slices.IndexFunc(f.Expectations, func(e Expectation) bool { return e.Endpoint == InPlace && e.Years == l.Years })
		if e := f.Expectations[i]; e.Known {
			outside.Check(t, equation, l.Replacements.Likely, -2*math.Log(e.PerTooth.Likely), outside.Half4)
		} else if l.Replacements.Known() || l.Cost.Known() {
			t.Errorf("%d years: a cost past the studies: %+v", l.Years, l)
		}
	}
}

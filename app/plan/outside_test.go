package plan

import (
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"testing"

	"plainleaf/app/casefile"
	"plainleaf/app/plan/basis"
	"plainleaf/build/outside"
)

// vectors are the published outlooks of ten teeth: likely, low, high.
type vectors map[string]struct {
	One      [3]float64 `json:"S_one"`
	Any      [3]float64 `json:"any_of_10"`
	Grind    [3]float64 `json:"S_grind"`
	AnyGrind [3]float64 `json:"any_grind"`
	Lost     float64    `json:"expected_lost_of_10"` // of the rows without preparation
}

// The plan of ten teeth tells the published numbers, one whose range spans more than half
// of the scale as too uncertain, and nothing past the studies' time.
func TestThePlanTellsThePublishedOutlook(t *testing.T) {
	const src = "outlook of ten teeth (testdata/published/expectations.json)"
	var v struct {
		NoPrep  vectors `json:"ten_tooth_no_prep"`
		Drilled vectors `json:"ten_tooth_conventional"`
	}
	if err := json.Unmarshal(readFile(t, testdata+"published/expectations.json"), &v); err != nil {
		t.Fatal(err)
	}
	same := func(name string, got Estimate, want [3]float64) {
		t.Helper()
		if want[2]-want[1] > 0.5 {
			if got.Unknown != TooUncertain {
				t.Errorf("%s: %+v, published %v", name, got, want)
			}
			return
		}
		// The points are kept to six decimals, the published ones to four.
		for i, g := range []float64{got.Likely, got.Low, got.High} {
			outside.Check(t, src, g, want[i], 2*outside.Half4)
		}
	}
	for _, c := range []struct {
		route    casefile.Route
		findings []string
		of       vectors
		label    string
		grind    bool
		limit    int
	}{
		{casefile.NoPrep, nil, v.NoPrep, "no grinding, ", false, 10},
		{casefile.MinimalPrep, nil, v.NoPrep, "no grinding, ", false, 10},
		{casefile.NoPrep, []string{"bruxism"}, v.NoPrep, "grinding, no guard, ", false, 10},
		{casefile.ConventionalPrep, nil, v.Drilled, "", false, 20},
		{casefile.ConventionalPrep, []string{"bruxism"}, v.Drilled, "", true, 20},
	} {
		k := simple(c.route, casefile.LithiumDisilicate, ten...)
		k.Findings, k.HorizonYears = c.findings, 15
		seen := 0
		for _, e := range mustFor(t, k, demo(t), base).Expectations {
			if e.Endpoint != InPlace {
				continue
			}
			if e.Years > c.limit {
				outside.Equal(t, src, e.PerTooth.Unknown, basis.PastLimit)
				continue
			}
			w, ok := c.of[fmt.Sprintf("%s%d y", c.label, e.Years)]
			if !ok {
				t.Fatalf("no published row for %s%d y", c.label, e.Years)
			}
			one, some := w.One, w.Any
			if c.grind {
				one, some = w.Grind, w.AnyGrind
			}
			seen++
			name := fmt.Sprint(c.route, c.findings, " after ", e.Years)
			same(name, e.PerTooth, one)
			if e.Known {
				same(name+", at least one", e.AtLeastOne, some)
				outside.Check(t, src, e.Expected.Likely, 10*(1-one[0]), 0.001)
				if w.Lost > 0 {
					outside.Check(t, src, e.Expected.Likely, w.Lost, 0.005+1e-9)
				}
			}
		}
		if seen < 2 {
			t.Errorf("%s: %d horizons", c.route, seen)
		}
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

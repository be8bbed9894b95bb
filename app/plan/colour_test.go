package plan

import (
	"math"
	"testing"

	"plainleaf/app/casefile"
	"plainleaf/build/outside"
)

func TestDeltaE00PublishedPairs(t *testing.T) {
	const src = "Sharma, Wu and Dalal 2005, CIEDE2000 test pairs (CV-45)"
	rows := outside.Table(t, testdata+"published/ciede2000.csv")
	if len(rows) != 34 {
		t.Fatalf("%d pairs, want 34", len(rows))
	}
	for _, r := range rows {
		x, y := lab{outside.Num(t, r[0]), outside.Num(t, r[1]), outside.Num(t, r[2])}, lab{outside.Num(t, r[3]), outside.Num(t, r[4]), outside.Num(t, r[5])}
		outside.Check(t, src, deltaE00(x, y), outside.Num(t, r[6]), outside.Half4)
		outside.Check(t, src, deltaE00(y, x), outside.Num(t, r[6]), outside.Half4)
	}
}

// Tooth-colored pairs, care-pathway section 8, computed there with other code.
func TestDeltaE00ToothColors(t *testing.T) {
	for _, c := range []struct {
		id   string
		x, y lab
		ab   float64
		want float64
	}{
		{"CV-12", lab{75, 1, 18}, lab{74, 1, 18}, 1, 0.7345},
		{"CV-13", lab{75, 1, 18}, lab{75, 1, 20}, 2, 1.0809},
		{"CV-14", lab{75, 1, 18}, lab{73, 2, 20}, 3, 2.0939},
		{"CV-15", lab{80, -1, 14}, lab{65, 2, 19}, 16.0935, 12.1494},
		{"CV-16", lab{75, 1, 18}, lab{75, 1, 18}, 0, 0},
	} {
		src := "tooth-colored pairs, care-pathway 8, " + c.id
		outside.Check(t, src, deltaE00(c.x, c.y), c.want, outside.Half4)
		outside.Check(t, src, math.Sqrt((c.x.L-c.y.L)*(c.x.L-c.y.L)+(c.x.A-c.y.A)*(c.x.A-c.y.A)+(c.x.B-c.y.B)*(c.x.B-c.y.B)), c.ab, outside.Half4)
	}
}

// Differences between tabs, care-pathway 2.2: arithmetic on a table from memory,
// so it checks the sum and no color.
func TestDeltaE00BetweenTabs(t *testing.T) {
	for pair, want := range map[[2]casefile.Shade]float64{
		{"A1", "A2"}: 3.9013, {"A2", "A3"}: 2.3007, {"A3", "A3.5"}: 2.5284, {"A3.5", "A4"}: 2.9187, {"A1", "B1"}: 0.6998, {"A1", "A3"}: 6.0339,
		{"A1", "C4"}: 12.2650, {"B1", "C4"}: 12.0586, {"A2", "C4"}: 8.9377, {"C3", "C4"}: 3.9035, {"A2", "D2"}: 2.1115, {"A1", "A4"}: 10.0403,
	} {
		x, y := tab(base, pair[0]), tab(base, pair[1])
		if x == nil || y == nil {
			t.Fatalf("no color for %v", pair)
		}
		outside.Check(t, "differences between tabs (care-pathway 2.2)", deltaE00(lab{x.L, x.A, x.B}, lab{y.L, y.A, y.B}), want, outside.Half4)
	}
	for _, s := range casefile.Shades() {
		if tab(base, s) == nil {
			t.Errorf("no color for tab %s", s)
		}
	}
	outside.Check(t, "steps from A3.5 to A1 (CV-06)", float64(casefile.Shade("A3.5").StepsDarker("A1")), 10, 0)
}

func TestDeltaE00Properties(t *testing.T) {
	var colors []lab
	for l := 40.0; l <= 90; l += 10 {
		for a := -6.0; a <= 6; a += 3 {
			for b := -4.0; b <= 24; b += 7 {
				colors = append(colors, lab{l, a, b})
			}
		}
	}
	for _, x := range colors {
		if d := deltaE00(x, x); d != 0 {
			t.Errorf("%v against itself: %v", x, d)
		}
		for _, y := range colors {
			d := deltaE00(x, y)
			if math.IsNaN(d) || d < 0 || math.Abs(d-deltaE00(y, x)) > 1e-12 {
				t.Errorf("%v %v: %v, %v", x, y, d, deltaE00(y, x))
			}
		}
	}
}

// A tooth under the ceramic: the darker it is and the less the route takes, the
// more likely it shows.
func TestShowThrough(t *testing.T) {
	for _, c := range []struct {
		route    casefile.Route
		material casefile.Material
		shade    casefile.Shade
		want     string
	}{
		{"no-prep", "lithium-disilicate", "A1", ShowUnlikely},
		{"no-prep", "lithium-disilicate", "B1", ShowUnlikely},
		{"no-prep", "lithium-disilicate", "C4", ShowLikely},
		{"minimal-prep", "lithium-disilicate", "C4", ShowLikely},
		{"no-prep", "lithium-disilicate", "B2", ShowPossible},
	} {
		cs := simple(c.route, c.material, "11")
		cs.TargetShade = "A1"
		cs.Teeth[0].UnderlyingShade = c.shade
		p := mustFor(t, cs, demo(t), base)
		if len(p.Colour) != 1 || p.Colour[0].ShowThrough != c.want {
			t.Errorf("%v: %+v", c, p.Colour)
		}
	}
}

// What studies found to hide a tab, never merged: 0.5 mm over B2, A3 and C2, 1 mm
// over C3 and B3, 0.8 mm over C4 (care-pathway 2.6, evidence dossier 2, section 1).
func TestPublishedThicknessThatHides(t *testing.T) {
	const src = "ceramic that hides a tab (care-pathway 2.6, CV-10)"
	want := map[casefile.Shade]Reach{"B2": {0.5, 0.5}, "A3": {0.5, 0.5}, "C2": {0.5, 0.5}, "C3": {1, 1}, "B3": {1, 1}, "C4": {0.8, 0.8}}
	for _, s := range casefile.Shades() {
		c := simple("conventional-prep", "lithium-disilicate", "11")
		c.TargetShade, c.Teeth[0].UnderlyingShade = "B1", s
		got := mustFor(t, c, demo(t), base).Colour[0].Published
		if got == nil {
			got = &Reach{}
		}
		outside.Equal(t, src, *got, want[s])
	}
	// A tooth no darker than the target has nothing to hide.
	c := simple("no-prep", "lithium-disilicate", "11")
	c.TargetShade, c.Teeth[0].UnderlyingShade = "C4", "C4"
	if got := mustFor(t, c, demo(t), base).Colour[0].Published; got != nil {
		t.Errorf("%+v", got)
	}
}

package plan

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
	"plainleaf/build/outside"
	"plainleaf/build/trials"
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
	for _, s := range casefile.Tabs() {
		if tab(base, s) == nil {
			t.Errorf("no color for tab %s", s)
		}
	}
	steps, _ := casefile.Shade("A3.5").StepsDarker("A1")
	outside.Check(t, "steps from A3.5 to A1 (CV-06)", float64(steps), 10, 0)
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
	want := map[casefile.Shade]Reach{"B2": {Low: 0.5, High: 0.5}, "A3": {Low: 0.5, High: 0.5}, "C2": {Low: 0.5, High: 0.5},
		"C3": {Low: 1, High: 1}, "B3": {Low: 1, High: 1}, "C4": {Low: 0.8, High: 0.8, More: true}}
	for _, s := range casefile.Tabs() {
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

// Nobody has measured a bleach shade, so nothing is computed of one; a tab that the data
// lacks has no color either.
func TestNoColorIsComputedWhereNoneWasMeasured(t *testing.T) {
	for _, under := range casefile.Shades() {
		for _, target := range casefile.Shades() {
			c := simple("minimal-prep", "lithium-disilicate", "11")
			c.TargetShade, c.UnderlyingShade = target, under
			p := mustFor(t, c, demo(t), base)
			x := p.Colour[0]
			bleach := under.Bleach() || target.Bleach()
			if (x.DeltaE00 == nil) != bleach || x.AtLeast != (bleach && under != target) {
				t.Errorf("%s under %s: difference %v, at least: %v", under, target, x.DeltaE00, x.AtLeast)
			}
			darker := slices.Index(casefile.Shades(), under) > slices.Index(casefile.Shades(), target)
			if darker != (x.Steps > 0) || !darker && x.ShowThrough != ShowUnlikely ||
				darker && target.Bleach() && x.ShowThrough != ShowLikely && x.ShowThrough != ShowNotKnown {
				t.Errorf("%s under %s: %d places, %s", under, target, x.Steps, x.ShowThrough)
			}
		}
	}
	b := *base
	b.Tabs = slices.DeleteFunc(slices.Clone(base.Tabs), func(x evidence.Tab) bool { return x.Shade == "C4" })
	b.Index()
	c := simple("no-prep", "lithium-disilicate", "11")
	c.TargetShade, c.UnderlyingShade = "A1", "C4"
	x := mustFor(t, c, demo(t), &b).Colour[0]
	if x.DeltaE00 != nil || x.Published != nil || x.Room != RoomNotStudied || x.ShowThrough != ShowLikely {
		t.Errorf("without a tab: %+v", x)
	}
}

var shows = []string{ShowUnlikely, ShowPossible, ShowNotKnown, ShowLikely}

// A darker tooth never shows less, and porcelain thinner than in the studies is never
// said to hide it, on any route.
func TestADarkerToothNeverShowsLess(t *testing.T) {
	r := rand.New(rand.NewPCG(2026, 12))
	seen := map[string]bool{}
	for range trials.N(6, 40, 400) {
		c := random(r)
		tooth := &c.Teeth
		if len(*tooth) == 0 {
			continue
		}
		e := &(*tooth)[r.IntN(len(*tooth))]
		if c.TargetShade == "" {
			c.TargetShade = "A1"
		}
		worst := map[casefile.Route]int{}
		for _, under := range casefile.Shades() {
			e.UnderlyingShade = under
			for _, f := range mustFor(t, c, demo(t), base).Routes {
				for _, x := range f.Colour {
					if x.Tooth != e.Tooth {
						continue
					}
					seen[x.ShowThrough] = true
					now := slices.Index(shows, x.ShowThrough)
					if now < worst[f.Key] {
						t.Errorf("%s on %s under %s: %s, a lighter tooth %s", under, f.Key, x.Target, x.ShowThrough, shows[worst[f.Key]])
					}
					worst[f.Key] = now
					if (under.Bleach() || x.Target.Bleach()) != (x.DeltaE00 == nil) {
						t.Errorf("%s under %s: difference %v", under, x.Target, x.DeltaE00)
					}
					if x.Room == RoomLess && x.ShowThrough == ShowUnlikely {
						t.Errorf("%s on %s under %s: thinner than in the studies and said to hide it", under, f.Key, x.Target)
					}
				}
			}
		}
	}
	for _, s := range shows {
		if !seen[s] {
			t.Errorf("no tooth was %s", s)
		}
	}
}

// The same warning whether the finding or the shades say it, and no other word against it.
func TestFindingAndShadesWarnAlike(t *testing.T) {
	for _, r := range []casefile.Route{"no-prep", "minimal-prep", "conventional-prep", "direct-composite"} {
		m := casefile.LithiumDisilicate
		if r == casefile.DirectComposite {
			m = casefile.Composite
		}
		byShade := simple(r, m, "11", "21")
		byShade.TargetShade, byShade.Teeth[0].UnderlyingShade = "A1", "C4"
		byFinding := simple(r, m, "11", "21")
		byFinding.Teeth[0].Findings = []string{"one-dark-tooth"}
		both := byFinding
		both.TargetShade, both.UnderlyingShade = "A1", "A1"
		bleach := simple(r, m, "11", "21")
		bleach.TargetShade, bleach.UnderlyingShade, bleach.Teeth[1].UnderlyingShade = casefile.BleachLight, "A1", casefile.BleachLight
		for name, c := range map[string]casefile.Case{"shade": byShade, "finding": byFinding, "finding on a light tooth": both, "bleach": bleach} {
			p := mustFor(t, c, demo(t), base)
			i := slices.IndexFunc(p.Risks, func(x Risk) bool { return x.Key == base.ShowRisk })
			if i < 0 || !p.Risks[i].Raised || !slices.Equal(p.Risks[i].Teeth, []casefile.Tooth{11}) {
				t.Errorf("%s, %s: %+v", r, name, p.Risks)
				continue
			}
			if _, told := p.Risks[i].Frequency[r]; !told {
				t.Errorf("%s, %s: no word on how often", r, name)
			}
			for _, x := range p.Colour {
				if (x.ShowThrough == ShowUnlikely) != (x.Tooth == 21) {
					t.Errorf("%s, %s: tooth %d %s", r, name, x.Tooth, x.ShowThrough)
				}
			}
			if found := len(p.Findings) > 0; found != (len(c.Teeth[0].Findings) > 0) {
				t.Errorf("%s, %s: findings %v", r, name, p.Findings)
			}
			if r != casefile.DirectComposite && !hasChange(p, "opaque-or-tint-layer") {
				t.Errorf("%s, %s: no opaque layer", r, name)
			}
		}
	}
}

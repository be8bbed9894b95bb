package plan

import (
	"encoding/json"
	"math/rand/v2"
	"slices"
	"testing"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
	"plainleaf/build/outside"
)

// What the studies behind the rates followed (evidence dossier 2, sections 2 and 4;
// longevity dossier, list of sources). Kept apart from the data on purpose.
var followed = map[string][]casefile.Route{
	"ale21": {"conventional-prep"}, "dum00": {"conventional-prep"}, "bil21": {"conventional-prep"},
	"smi22": {"no-prep", "minimal-prep"},
	"alm23": {"crown"}, "kon15": {"crown"}, "cre20": {"crown"},
	"maz22": {"direct-composite"}, "fre20": {"direct-composite"},
	"rez16": {"whitening-home", "whitening-in-office"}, "hei94": {"whitening-home", "whitening-in-office"},
}

// ratesHold checks the frequencies of a list of risks; it returns how many are known.
func ratesHold(t *testing.T, name string, risks []Risk) (known int) {
	t.Helper()
	for _, r := range risks {
		if len(r.Frequency) == 0 {
			t.Errorf("%s: risk %s is on no route", name, r.Key)
		}
		for route, e := range r.Frequency {
			i := slices.IndexFunc(r.Rates, func(x RiskRate) bool { return x.Route == route })
			if !e.Known() {
				if i >= 0 {
					t.Errorf("%s: %s on %s is unknown and has a rate", name, r.Key, route)
				}
				continue
			}
			known++
			if i < 0 {
				t.Errorf("%s: %s on %s is known without a rate", name, r.Key, route)
				continue
			}
			f, ok := base.Figure(r.Rates[i].Figure)
			if !ok || !f.Citable() || !slices.Contains(r.Figures, f.ID) {
				t.Errorf("%s: %s on %s rests on %q: citable %v, named %v", name, r.Key, route, f.ID, f.Citable(), slices.Contains(r.Figures, f.ID))
			}
			if e.Low > e.Likely || e.Likely > e.High || e.Low < 0 || e.High > 1 {
				t.Errorf("%s: %s on %s is %+v", name, r.Key, route, e)
			}
			for _, s := range f.Source {
				if !slices.Contains(followed[s], route) {
					t.Errorf("%s: %s on %s rests on %s, which did not follow it", name, r.Key, route, s)
				}
			}
		}
	}
	return known
}

// Drilled veneers say nothing of veneers without drilling, veneers nothing of crowns
// and composite: over every example and 200 random cases, on the chosen and on every
// other route.
func TestRatesAreOfWhatIsDone(t *testing.T) {
	known := 0
	check := func(name string, p Plan) {
		known += ratesHold(t, name, p.Risks)
		for _, r := range p.Routes {
			known += ratesHold(t, name+" "+string(r.Key), r.Risks)
		}
	}
	for name, c := range cases(t) {
		check(name, mustFor(t, c, demo(t), base))
	}
	r := rand.New(rand.NewPCG(15, 4))
	for range 200 {
		c := random(r)
		name, _ := json.Marshal(c)
		check(string(name), mustFor(t, c, demo(t), base))
	}
	if known < 1000 {
		t.Errorf("only %d known frequencies", known)
	}
	t.Logf("%d known frequencies", known)
}

// Evidence dossier 2, section 4, row by row; the rest of the table is not known.
func TestFrequenciesByRoute(t *testing.T) {
	for _, w := range []struct {
		risk             string
		route            casefile.Route
		material         casefile.Material
		low, likely, top float64
	}{
		{"chip-crack", "no-prep", "lithium-disilicate", 0, 0, 0.056},
		{"comes-off", "minimal-prep", "feldspathic", 0, 0, 0.056},
		{"chip-crack", "no-prep", "zirconia", -1, -1, -1},
		{"chip-crack", "conventional-prep", "leucite-reinforced", 0.037, 0.037, 0.037},
		{"comes-off", "conventional-prep", "feldspathic", 0.008, 0.008, 0.008},
		{"decay-at-edge", "conventional-prep", "lithium-disilicate", 0.007, 0.007, 0.007},
		{"nerve-death", "conventional-prep", "lithium-disilicate", 0.01, 0.01, 0.01},
		{"nerve-death", "minimal-prep", "lithium-disilicate", -1, -1, -1},
		{"nerve-death", "crown", "metal-ceramic", 0.0502, 0.0502, 0.0502},
		{"chip-crack", "crown", "lithium-disilicate", -1, -1, -1},
		{"decay-at-edge", "crown", "lithium-disilicate", -1, -1, -1},
		{"decay-at-edge", "no-prep", "lithium-disilicate", -1, -1, -1},
		{"edge-stain", "conventional-prep", "feldspathic", 0.117, 0.168, 0.235},
		{"edge-stain", "no-prep", "feldspathic", -1, -1, -1},
		{"gum-recession-edge", "conventional-prep", "feldspathic", 0.241, 0.309, 0.386},
		{"gum-recession-edge", "no-prep", "feldspathic", -1, -1, -1},
		{"sensitivity", "no-prep", "lithium-disilicate", -1, -1, -1},
		{"sensitivity", "whitening-home", "", 0.414, 0.51, 0.606},
		{"sensitivity", "whitening-in-office", "", 0.569, 0.629, 0.673},
		{"color-mismatch", "conventional-prep", "lithium-disilicate", 0.001, 0.001, 0.001},
		{"chip-crack", "direct-composite", "composite", 0.18, 0.18, 0.18},
		{"decay-at-edge", "direct-composite", "composite", -1, -1, -1},
		{"chip-crack", "replace-veneers", "feldspathic", -1, -1, -1},
	} {
		p := mustFor(t, simple(w.route, w.material, "11"), demo(t), base)
		i := slices.IndexFunc(p.Risks, func(r Risk) bool { return r.Key == w.risk })
		if i < 0 {
			t.Errorf("%s has no risk %s", w.route, w.risk)
			continue
		}
		want := Estimate{Low: w.low, Likely: w.likely, High: w.top}
		if w.low < 0 {
			want = Estimate{Unknown: NoFigure}
		}
		outside.Equal(t, "evidence dossier 2, section 4", p.Risks[i].Frequency[w.route], want)
	}
}

// What a risk's rates cannot be told of in one number is not told in one.
func TestTwoMaterialsOnOneRoute(t *testing.T) {
	c := simple("no-prep", "lithium-disilicate", "11", "21")
	c.Teeth[1].Material = "zirconia"
	p := mustFor(t, c, demo(t), base)
	i := slices.IndexFunc(p.Risks, func(r Risk) bool { return r.Key == "chip-crack" })
	if e := p.Risks[i].Frequency["no-prep"]; e.Unknown != Mixed || len(p.Risks[i].Rates) != 0 {
		t.Errorf("%+v", p.Risks[i])
	}
	// Drilling is planned, so its loss is no chance.
	p = mustFor(t, simple("crown", "metal-ceramic", "11"), demo(t), base)
	i = slices.IndexFunc(p.Risks, func(r Risk) bool { return r.Key == "enamel-loss" })
	if e := p.Risks[i].Frequency["crown"]; e.Unknown != Planned {
		t.Errorf("%+v", p.Risks[i])
	}
	if f, _ := base.Figure("removed-share-crown"); f.Seen == evidence.Memory {
		t.Error("told from memory")
	}
}

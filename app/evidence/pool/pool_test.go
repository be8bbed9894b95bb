package pool_test

import (
	"encoding/json"
	"math"
	"os"
	"slices"
	"testing"

	"plainleaf/app/evidence"
	. "plainleaf/app/evidence/pool"
	"plainleaf/build/outside"
	"plainleaf/content"
)

func TestMain(m *testing.M) { outside.Main(m) }

const from = "pooled points, computed from the published cohorts by a program of its own (testdata/published/expectations.json)"

// published is the part of the vectors that pooling gives.
var published = func() (v struct {
	Anchors map[string]struct {
		T, Mu, SE, Tau, U, S float64
		Fitted               float64 `json:"tau_fitted"`
		Mean95, Pred95       [2]float64
		K                    int
	}
	NoMinimal map[string]any `json:"no_minimal"`
	Crowns    map[string]struct {
		Published float64 `json:"u_published"`
		U         float64
	}
	Sensitivity map[string][3]float64
	Bruxism     struct {
		Gra    float64 `json:"GRA14_hr"`
		UGra   float64 `json:"u_gra"`
		UBei   float64 `json:"u_bei"`
		Pooled [3]float64
		Tau    float64
		Prior  float64 `json:"sceptical_prior_sd"`
		Shrunk [3]float64
		U      float64
	}
	HR [2]float64 `json:"hr_used"`
	Z  float64
	UK float64
}) {
	read(&v)
	return v
}()

func read(v any) {
	data, err := os.ReadFile("../../../testdata/published/expectations.json")
	if err == nil {
		err = json.Unmarshal(data, v)
	}
	if err != nil {
		panic(err)
	}
}

// Every group of the vectors is a test or says why not.
func TestEveryVectorHasATest(t *testing.T) {
	const outlook = "app/plan/outlook"
	where := map[string]string{
		"citation": "who computed them", "anchors": "here", "no_minimal": "here", "crowns": "here; later years in " + outlook,
		"sensitivity": "here", "bruxism": "here", "hr_used": "here", "UK": "here", "Z": "here",
		"rho": outlook, "nm1_any": outlook, "ten_tooth_no_prep": outlook, "ten_tooth_conventional": outlook,
		"other_anchor_curves": outlook, "beta_binomial": outlook,
		"clustering":                   "skipped: how the correlation was fitted; the program takes its value as data",
		"frequencies_percent_lo_hi_DE": "skipped: intervals of single studies, which are figures of the data",
		"old_worst_by_worst":           "skipped: what an earlier rule gave, for comparison",
	}
	var all map[string]any
	read(&all)
	for k := range all {
		if where[k] == "" {
			t.Errorf("nothing tests the vectors %q", k)
		}
	}
}

var base = content.MustLoad()

// members is the cohorts of a pool of the shipped data, and what else it is made with.
func members(t *testing.T, id string) (cohorts []Cohort, years, rho float64) {
	t.Helper()
	p := base.Pool(id)
	if p == nil {
		t.Fatalf("no pool %s", id)
	}
	for _, id := range p.Cohorts {
		c := base.Cohort(id)
		cohorts = append(cohorts, Cohort{c.Survival, c.Years, float64(c.Failed), float64(c.Restorations), float64(c.People)})
	}
	y, _ := base.Figure(p.Years)
	r, _ := base.Setting("clustering")
	return cohorts, y.Value, r.Value
}

// survival is likely, low, high at k standard uncertainties.
func survival(mu, u, k float64) [3]float64 {
	at := func(x float64) float64 { return math.Exp(-math.Exp(x)) }
	return [3]float64{at(mu), at(mu + k*u), at(mu - k*u)}
}

func check3(t *testing.T, name string, got, want [3]float64, tol float64) {
	t.Helper()
	for i := range got {
		outside.Check(t, from, got[i], want[i], tol)
	}
	if t.Failed() {
		t.Log(name)
	}
}

const (
	printed4 = 0.5e-4 + 1e-9 // half a unit in the fourth decimal
	printed3 = 0.5e-3 + 1e-9
	printed1 = 0.05 + 1e-9
)

// The compiled point of each pool: mu, its standard error, both taus and the survivals.
func TestPooledPoints(t *testing.T) {
	floor := base.Pool("CE-1").Computed.Tau
	for id, name := range map[string]string{
		"CE-1": "CE-1 conventional ceramic, 10 y", "DC-V": "DC-V composite veneer, 5 y", "IC-1": "IC-1 indirect composite, 10 y",
		"IF-V": "IF-V ceramic nothing needed, 10 y", "DC-B": "DC-B build-up in place, 10 y", "IF-DC-B": "IF-DC-B build-up nothing needed, 10 y",
		"IF-DC": "IF-DC composite veneer nothing needed, 5 y", "IF-CR": "IF-CR crown nothing needed, 10 y",
	} {
		want, ok := published.Anchors[name]
		if !ok {
			t.Fatalf("no vectors %q", name)
		}
		delete(published.Anchors, name)
		cohorts, years, rho := members(t, id)
		outside.Equal(t, from, len(cohorts), want.K)
		outside.Check(t, from, years, want.T, 0)
		outside.Check(t, from, Random(cohorts, years, rho, 0).Tau, want.Fitted, printed4)
		kept := base.Pool(id).Computed
		got := Random(cohorts, years, rho, floor)
		if id == "CE-1" {
			got = Random(cohorts, years, rho, 0)
		}
		// What is kept is what is computed, to its six decimals.
		if *kept != (evidence.Pooled{Mu: six(got.Mu), SE: six(got.SE), Tau: six(got.Tau), U: six(got.U())}) {
			t.Errorf("%s: kept %+v, computed %+v", id, *kept, got)
		}
		outside.Check(t, from, kept.Mu, want.Mu, printed4+1e-6) // the kept numbers are rounded to six decimals
		outside.Check(t, from, kept.SE, want.SE, printed4+1e-6)
		outside.Check(t, from, kept.Tau, want.Tau, printed4+1e-6)
		outside.Check(t, from, kept.U, want.U, printed4+1e-6)
		mean := survival(got.Mu, got.SE, Z95)
		check3(t, id+" mean", mean, [3]float64{want.S, want.Mean95[0], want.Mean95[1]}, printed4)
		check3(t, id, survival(kept.Mu, kept.U, Z95), [3]float64{want.S, want.Pred95[0], want.Pred95[1]}, printed4+1e-6)
	}
	for name := range published.Anchors {
		t.Errorf("nothing tests the point %q", name)
	}
}

func six(v float64) float64 { return math.Round(v*1e6) / 1e6 }

// Few events: no and minimal preparation.
func TestNoAndMinimalPreparation(t *testing.T) {
	cohorts, years, rho := members(t, "NM-1")
	p := Events(cohorts, years, rho, base.Pool("CE-1").Computed.Tau)
	d801, d22 := DesignEffect(cohorts[0].Units, cohorts[0].People, rho), DesignEffect(cohorts[1].Units, cohorts[1].People, rho)
	n22 := cohorts[1].Units / d22
	shape := 1 / (p.SE * p.SE)
	rate := math.Exp(p.Mu) / years
	s, sampling := survival(p.Mu, p.U(), Z95), survival(p.Mu, p.SE, Z95)
	got := map[string]float64{"DE801": d801, "DE22": d22, "n_eff22": n22, "shape": shape, "rate_eff_years": shape / rate, "lam": rate,
		"S8": s[0], "u_sampling": p.SE, "tau": p.Tau, "u": p.U(),
		"zero_event_low_two_sided95_per_tooth": math.Pow(.025, 1/n22), "zero_event_low_one_sided95_per_tooth": math.Pow(.05, 1/n22)}
	tol := map[string]float64{"DE801": printed3, "DE22": printed3, "shape": printed3, "n_eff22": printed1, "rate_eff_years": printed1, "lam": 0.5e-6 + 1e-12}
	for k, want := range published.NoMinimal {
		switch v := want.(type) {
		case float64:
			if _, ok := got[k]; !ok {
				t.Errorf("nothing tests %s", k)
			}
			if tol[k] == 0 {
				tol[k] = printed4
			}
			outside.Check(t, from, got[k], v, tol[k])
		case []any:
			ends := map[string][3]float64{"S8_pred95": s, "S8_sampling95": sampling}[k]
			outside.Check(t, from, ends[1], v[0].(float64), printed4)
			outside.Check(t, from, ends[2], v[1].(float64), printed4)
		}
	}
	if kept := base.Pool("NM-1").Computed; *kept != (evidence.Pooled{Mu: six(p.Mu), SE: six(p.SE), Tau: six(p.Tau), U: six(p.U())}) {
		t.Errorf("kept %+v, computed %+v", kept, p)
	}
}

// Crowns: from a published interval.
func TestCrowns(t *testing.T) {
	for id, name := range map[string]string{"CR-G": "CR-G SAI15 5 y", "CR-M": "CR-M SAI15 5 y"} {
		want := published.Crowns[name]
		p := base.Pool(id)
		f, _ := base.Figure(p.Published)
		floor := base.Pool("CE-1").Computed.Tau
		got := Interval(f.Value, f.Low, f.High, floor)
		if p.LowOnly {
			got = FromLow(f.Value, f.Low, floor)
		}
		outside.Check(t, from, got.SE, want.Published, printed4)
		outside.Check(t, from, got.U(), want.U, printed4)
		outside.Check(t, from, p.Computed.U, want.U, printed4+1e-6)
		outside.Check(t, "Sailer et al. 2015, Dent Mater 31:603", survival(p.Computed.Mu, 0, 0)[0], f.Value, 1e-6)
	}
}

// What the points would be with other inputs.
func TestSensitivity(t *testing.T) {
	ce, years, rho := members(t, "CE-1")
	nm, at, _ := members(t, "NM-1")
	floor := Random(ce, years, rho, 0).Tau
	few := func(failed float64) [3]float64 {
		c := slices.Clone(nm)
		c[0].Failed = failed
		p := Events(c, at, rho, floor)
		return survival(p.Mu, p.U(), Z95)
	}
	conventional := func(c []Cohort, rho, k float64) [3]float64 {
		p := Random(c, years, rho, 0)
		return survival(p.Mu, p.U(), k)
	}
	without := slices.Clone(ce)
	without = slices.DeleteFunc(without, func(c Cohort) bool { return c.Units == 84 && c.People == 14 })
	if len(without) != len(ce)-1 {
		t.Fatal("which cohort to leave out is not clear")
	}
	got := map[string][3]float64{
		"NM-1 with 8 failures in SMI801": few(8), "NM-1 with 12 failures in SMI801": few(12), "NM-1 with 17 failures in SMI801": few(17),
		"CE-1 with rho 0.05": conventional(ce, .05, Z95), "CE-1 with rho 0.15": conventional(ce, .15, Z95), "CE-1 with rho 0.3": conventional(ce, .30, Z95),
		"CE-1 without SMI22":                       conventional(without, rho, Z95),
		"CE-1, t quantile (10 df) instead of 1.96": conventional(ce, rho, 2.228),
	}
	for name, want := range published.Sensitivity {
		if _, ok := got[name]; !ok {
			t.Errorf("nothing tests %q", name)
		}
		check3(t, name, got[name], want, printed4)
	}
}

// The number of people of one cohort is from memory; half or twice as many change the
// likely survival and its low end by less than 0.002.
func TestACountFromMemoryHardlyMatters(t *testing.T) {
	ce, years, rho := members(t, "CE-1")
	i := slices.Index(base.Pool("CE-1").Cohorts, "asl19")
	p := Random(ce, years, rho, 0)
	want := survival(p.Mu, p.U(), Z95)
	for _, times := range []float64{0.5, 2} {
		c := slices.Clone(ce)
		c[i].People *= times
		p := Random(c, years, rho, 0)
		got := survival(p.Mu, p.U(), Z95)
		for k := range got {
			if math.Abs(got[k]-want[k]) > 0.002 {
				t.Errorf("%v times as many people: %v, not %v", times, got, want)
			}
		}
	}
}

// The multiplier of grinding: two published effects, clustering added, pooled, then
// shrunk by a prior of N(0, 0.75^2) on the ln hazard ratio, because the review finds
// no raised risk across ceramic restorations.
func TestGrindingMultiplier(t *testing.T) {
	want := published.Bruxism
	rho, _ := base.Setting("clustering")
	// Granell-Ruiz et al. 2014: 30 of 170 and 12 of 153 failed; odds ratio 2.52 (1.24 to
	// 5.12) in de Souza Melo et al. 2018. Beier et al. 2012: 7.74 (2.50 to 23.95), there too.
	ratio := math.Log(1-30./170) / math.Log(1-12./153)
	uGra := math.Log(5.12/1.24) / (2 * Z95) * math.Sqrt(DesignEffect(323, 70, rho.Value))
	uBei := math.Log(23.95/2.50) / (2 * Z95) * math.Sqrt(DesignEffect(318, 84, rho.Value))
	p := PauleMandel([]float64{math.Log(ratio), math.Log(7.74)}, []float64{uGra * uGra, uBei * uBei})
	prior := 1 / (want.Prior * want.Prior)
	precision := 1/(p.SE*p.SE) + prior
	mu, u := p.Mu/(p.SE*p.SE)/precision, 1/math.Sqrt(precision)
	range95 := func(mu, u float64) [3]float64 {
		return [3]float64{math.Exp(mu), math.Exp(mu - Z95*u), math.Exp(mu + Z95*u)}
	}
	outside.Check(t, from, ratio, want.Gra, printed3)
	outside.Check(t, from, uGra, want.UGra, printed4)
	outside.Check(t, from, uBei, want.UBei, printed4)
	outside.Check(t, from, p.Tau, want.Tau, printed4)
	check3(t, "pooled", range95(p.Mu, p.SE), want.Pooled, 0.005+1e-9)
	check3(t, "shrunk", range95(mu, u), want.Shrunk, 0.005+1e-9)
	outside.Check(t, from, u, want.U, printed4)
	f, _ := base.Figure("multiplier-grinding")
	outside.Check(t, from, f.Value, want.Shrunk[0], 0.05)
	outside.Check(t, from, f.Spread, want.U, 0.005)
	outside.Equal(t, from, [2]float64{f.Value, f.Spread}, published.HR)
	shape, _ := base.Setting("shape-spread")
	outside.Check(t, from, shape.Value, published.UK, 0)
	outside.Check(t, from, Z95, published.Z, 0.5e-6)
}

// Paule-Mandel by its own definition, and where there is nothing between the studies.
func TestPauleMandel(t *testing.T) {
	y, v := []float64{-3, -2.5, -1, -2}, []float64{0.02, 0.1, 0.05, 0.2}
	p := PauleMandel(y, v)
	q, sum := 0.0, 0.0
	for i := range y {
		w := 1 / (v[i] + p.Tau*p.Tau)
		q += w * (y[i] - p.Mu) * (y[i] - p.Mu)
		sum += w
	}
	if math.Abs(q-3) > 1e-9 || math.Abs(p.SE-1/math.Sqrt(sum)) > 1e-12 || p.Tau == 0 {
		t.Errorf("weighted sum of squares %v of 4 studies, %+v", q, p)
	}
	if p := PauleMandel([]float64{-2, -2.01}, []float64{0.2, 0.2}); p.Tau != 0 || math.Abs(p.Mu+2.005) > 1e-12 {
		t.Errorf("studies that agree: %+v", p)
	}
	if p := PauleMandel([]float64{-2}, []float64{0.09}); p != (Point{-2, 0.3, 0}) {
		t.Errorf("one study: %+v", p)
	}
	if p := PauleMandel([]float64{math.NaN(), 1}, []float64{1, 1}); !math.IsNaN(p.Mu) {
		t.Errorf("nonsense: %+v", p)
	}
	if p := PauleMandel([]float64{-1e6, 1e6}, []float64{1e-6, 1e-6}); math.Abs(p.Tau-math.Sqrt2*1e6) > 1 {
		t.Errorf("far apart: %+v", p)
	}
	if p := PauleMandel(nil, nil); !math.IsNaN(p.Mu) {
		t.Errorf("no study: %+v", p)
	}
}

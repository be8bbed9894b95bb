package outlook

import (
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"plainleaf/build/outside"
	"plainleaf/content"
)

func TestMain(m *testing.M) { outside.Main(m) }

const from = "outlook of a mouth, computed from the published cohorts by a program of its own (testdata/published/expectations.json)"

type band = [3]float64 // likely, low, high

// published is the part of the vectors that this package gives.
var published = func() (v struct {
	Crowns map[string]json.RawMessage
	Rho    struct {
		Value, Lo, Hi float64
		U             float64 `json:"u_logit"`
	}
	Other map[string]band `json:"other_anchor_curves"`
	Any   map[string]band `json:"nm1_any"`
	HR    [2]float64      `json:"hr_used"`
	Ten   map[string]struct {
		Mu, U    float64
		One      band    `json:"S_one"`
		Any      band    `json:"any_of_10"`
		Eta      float64 `json:"c_eta"`
		Share    float64 `json:"c_rho"`
		Logit    float64 `json:"u_logit"`
		Expected float64 `json:"expected_lost_of_10"`
		MC       band    `json:"mc_any"`
	} `json:"ten_tooth_no_prep"`
	Drilled map[string]struct {
		One      band `json:"S_one"`
		Any      band `json:"any_of_10"`
		Grind    band `json:"S_grind"`
		AnyGrind band `json:"any_grind"`
	} `json:"ten_tooth_conventional"`
	Beta map[string]float64 `json:"beta_binomial"`
}) {
	data, err := os.ReadFile("../../../testdata/published/expectations.json")
	if err == nil {
		err = json.Unmarshal(data, &v)
	}
	if err != nil {
		panic(err)
	}
	return v
}()

const (
	// printed is half a unit in the fourth decimal, and 1e-6 for points that are kept
	// to six decimals.
	printed  = 0.5e-4 + 1e-6
	printed2 = 0.005 + 1e-6
)

var base = content.MustLoad()

func point(t testing.TB, id string) Point {
	t.Helper()
	p := base.Pool(id)
	if p == nil {
		t.Fatalf("no pool %s", id)
	}
	years, _ := base.Figure(p.Years)
	return Point{Hazard{p.Computed.Mu, p.Computed.U}, years.Value}
}

func shape() float64 { f, _ := base.Setting("shape-spread"); return f.Value }

func correlation() Correlation {
	f, _ := base.Setting("clustering")
	return Between(f.Value, f.Low, f.High)
}

func grinding() Multiplier {
	f, _ := base.Figure("multiplier-grinding")
	return Multiplier{f.Value, f.Spread}
}

func checkBand(t *testing.T, name string, got Band, want band, tol float64) {
	t.Helper()
	for i, v := range [3]float64{got.Likely, got.Low, got.High} {
		outside.Check(t, from, v, want[i], tol)
	}
	if t.Failed() {
		t.Log("in", name)
	}
}

func yearsOf(t *testing.T, s string) float64 {
	t.Helper()
	y, err := strconv.ParseFloat(strings.TrimSuffix(s, " y"), 64)
	if err != nil {
		t.Fatal(err)
	}
	return y
}

func TestCorrelation(t *testing.T) {
	f, _ := base.Setting("clustering")
	outside.Equal(t, from, [3]float64{f.Value, f.Low, f.High}, [3]float64{published.Rho.Value, published.Rho.Lo, published.Rho.Hi})
	outside.Check(t, from, correlation().U, published.Rho.U, printed)
}

// Ten teeth without preparation, with and without grinding, at each time; those beyond
// the pool's limit are arithmetic only and never shown.
func TestTenTeethWithoutPreparation(t *testing.T) {
	outside.Equal(t, from, len(published.Ten), 10)
	for name, want := range published.Ten {
		kind, years, ok := strings.Cut(name, ", ")
		var by []Multiplier
		if strings.HasPrefix(kind, "grinding") {
			kind, years, ok = strings.Cut(years, ", ")
			by = append(by, grinding())
		}
		if !ok || kind == "" {
			t.Fatalf("unexpected vectors %q", name)
		}
		h := point(t, "NM-1").After(yearsOf(t, years), shape(), by...)
		outside.Check(t, from, h.Eta, want.Mu, printed)
		outside.Check(t, from, h.U, want.U, printed)
		checkBand(t, name, h.Survival(), want.One, printed)
		checkBand(t, name, AtLeastOne(h, 10, correlation()), want.Any, printed)
		outside.Check(t, from, 10*h.Failure(), want.Expected, printed2)
		one := logits{h, 10, correlation(), func(none, one, more float64) (yes, no float64) { return one + more, none }}
		eta, rho := one.slopes()
		outside.Check(t, from, eta, want.Eta, printed)
		outside.Check(t, from, rho, want.Share, printed)
		outside.Check(t, from, one.uncertainty(), want.Logit, printed)
	}
}

func TestAnyOfSeveralTeeth(t *testing.T) {
	h := point(t, "NM-1").After(10, shape())
	outside.Equal(t, from, len(published.Any), 6)
	for name, want := range published.Any {
		n, err := strconv.Atoi(strings.TrimPrefix(name, "NM-1 10 y any of "))
		if err != nil {
			t.Fatal(err)
		}
		checkBand(t, name, AtLeastOne(h, n, correlation()), want, printed)
	}
}

func TestTenTeethDrilled(t *testing.T) {
	outside.Equal(t, from, len(published.Drilled), 4)
	for years, want := range published.Drilled {
		p := point(t, "CE-1")
		h := p.After(yearsOf(t, years), shape())
		checkBand(t, years, h.Survival(), want.One, printed)
		checkBand(t, years, AtLeastOne(h, 10, correlation()), want.Any, printed)
		h = p.After(yearsOf(t, years), shape(), grinding())
		checkBand(t, years, h.Survival(), want.Grind, printed)
		checkBand(t, years, AtLeastOne(h, 10, correlation()), want.AnyGrind, printed)
	}
	outside.Equal(t, from, [2]float64{grinding().Ratio, grinding().Spread}, published.HR)
}

// Other points carried to other years. The vectors were made from points rounded to
// four decimals, which moves a survival S by up to |S ln S| (0.5e-4 + 1.96 * 0.5e-4):
// at most half a unit more.
func TestOtherPoints(t *testing.T) {
	outside.Equal(t, from, len(published.Other), 6)
	for name, want := range published.Other {
		id, _, _ := strings.Cut(name, " ")
		_, years, _ := strings.Cut(name, " -> ")
		checkBand(t, name, point(t, id).After(yearsOf(t, years), shape()).Survival(), want, 1e-4+1e-6)
	}
}

func TestCrowns(t *testing.T) {
	for id, name := range map[string]string{"CR-G": "CR-G SAI15 5 y", "CR-M": "CR-M SAI15 5 y"} {
		var want map[string]any
		if err := json.Unmarshal(published.Crowns[name], &want); err != nil {
			t.Fatal(err)
		}
		for _, years := range []float64{5, 10, 15} {
			v := want[fmt.Sprint("S", years)].([]any)
			checkBand(t, name, point(t, id).After(years, shape()).Survival(), band{v[0].(float64), v[1].(float64), v[2].(float64)}, printed)
		}
	}
}

// At least one of n, at given chances and correlations, without uncertainty.
func TestBetaBinomial(t *testing.T) {
	outside.Equal(t, from, len(published.Beta), 36)
	for name, want := range published.Beta {
		var p, rho float64
		var n int
		if _, err := fmt.Sscanf(name, "p=%g n=%d rho=%g", &p, &n, &rho); err != nil {
			t.Fatal(name, err)
		}
		none, one, more := fates(p, n, rho)
		outside.Check(t, from, one+more, want, 0.5e-4+1e-9)
		if sum := none + one + more; math.Abs(sum-1) > 1e-14 {
			t.Errorf("%s: the chances sum to %v", name, sum)
		}
		got := AtLeastOne(certain(p), n, Correlation{Rho: rho})
		if math.Abs(got.Likely-(one+more)) > 1e-12 || got.Low != got.Likely || got.High != got.Likely {
			t.Errorf("%s: %+v", name, got)
		}
	}
}

// certain is a chance of failure without uncertainty.
func certain(p float64) Hazard { return Hazard{Eta: math.Log(-math.Log1p(-p))} }

// The range of at least one against Monte Carlo: eta and the logit of rho drawn from
// normal distributions. Without grinding the recipe's ends are within 0.01 up to 10
// years; with grinding, whose chance is far from certain, its top is up to 0.06 short
// (0.6765, drawn 0.733). What is drawn here must be what was drawn for the vectors, up
// to the scatter of so many draws.
func TestMonteCarlo(t *testing.T) {
	for name, want := range published.Ten {
		by, tol := []Multiplier{}, 0.01
		if strings.HasPrefix(name, "grinding") {
			by, tol = append(by, grinding()), 0.06
		}
		years := yearsOf(t, name[strings.LastIndex(name, ", ")+2:])
		h := point(t, "NM-1").After(years, shape(), by...)
		r := rand.New(rand.NewPCG(10, uint64(years)))
		draws := make([]float64, 60_000)
		for i := range draws {
			none, _, _ := fates(failure(h.Eta+h.U*r.NormFloat64()), 10, expit(logit(correlation().Rho)+correlation().U*r.NormFloat64()))
			draws[i] = 1 - none
		}
		slices.Sort(draws)
		k := float64(len(draws))
		for i, q := range []float64{0.5, 0.025, 0.975} {
			outside.Check(t, from, draws[int(q*k)], want.MC[i], 0.012)
		}
		if years > 10 {
			continue // never shown
		}
		got := AtLeastOne(h, 10, correlation())
		checkBand(t, name+", drawn", got, want.MC, tol)
	}
}

// Nothing that cannot fail or has failed, no teeth, and no or full sharing is a case
// that gives no number.
func TestEdges(t *testing.T) {
	inf := math.Inf(1)
	hazards := []Hazard{{-inf, 0}, {-inf, inf}, {inf, 0}, {inf, inf}, {-800, 0.5}, {-40, 1}, {-3, 0}, {-3, 0.5}, {-3, inf}, {0, 2}, {3.6, 0.5}, {5, 1}, {800, 1}}
	cs := []Correlation{{0, 0}, {0, 0.6}, {1, 0}, {1, 0.6}, {0.15, 0}, {0.15, 0.6}, {0.15, inf}, {1e-12, 0.6}, {1 - 1e-12, 0.6}, Between(0.1, 0, 0.3), Between(0.1, 0.1, 0.1)}
	ok := func(b Band) bool { return 0 <= b.Low && b.Low <= b.Likely && b.Likely <= b.High && b.High <= 1 }
	for _, h := range hazards {
		if b := h.Survival(); !ok(b) {
			t.Errorf("survival of %v is %v", h, b)
		}
		for _, c := range cs {
			for _, n := range []int{0, 1, 2, 10, 32} {
				one, two := AtLeastOne(h, n, c), AtLeastTwo(h, n, c)
				if !ok(one) || !ok(two) || two.Likely > one.Likely+1e-15 {
					t.Errorf("%v, %d teeth, %v: %v and %v", h, n, c, one, two)
				}
				if n < 2 && two != (Band{}) || n == 0 && one != (Band{}) {
					t.Errorf("%v, %d teeth, %v: %v and %v", h, n, c, one, two)
				}
			}
		}
		for _, g := range hazards {
			m, n := Mean([]Group{{h, 3, "a"}, {g, 0, "b"}, {g, 2, "b"}})
			if n != 5 || math.IsNaN(m.Eta) || math.IsNaN(m.U) || !ok(m.Survival()) {
				t.Errorf("3 of %v and 2 of %v: %v", h, g, m)
			}
		}
	}
	// One tooth has nobody to share its fate with; fully shared, any and all are one.
	h := Hazard{-3, 0.5}
	for _, x := range []Band{AtLeastOne(h, 1, correlation()), AtLeastOne(h, 9, Correlation{Rho: 1}), AtLeastTwo(h, 9, Correlation{Rho: 1})} {
		if math.Abs(x.Likely-h.Failure()) > 1e-15 {
			t.Errorf("%v, not %v", x, h.Failure())
		}
	}
	if h := (Point{Hazard{-2.5, 0.4}, 10}).After(0, 0.27, Multiplier{2.3, 0.46}); h.Survival() != (Band{1, 1, 1}) {
		t.Errorf("at the start %v", h)
	}
	if h, n := Mean(nil); n != 0 || h != (Hazard{}) {
		t.Errorf("no teeth: %v, %d", h, n)
	}
}

// Independent teeth are the binomial.
func TestNoSharing(t *testing.T) {
	for _, p := range []float64{1e-9, 0.02, 0.5, 0.99} {
		none, one, more := fates(p, 7, 0)
		wantNone, wantOne := math.Pow(1-p, 7), 7*p*math.Pow(1-p, 6)
		if math.Abs(none/wantNone-1) > 1e-12 || math.Abs(one/wantOne-1) > 1e-12 {
			t.Errorf("p %v: %v, %v", p, none, one)
		}
		// The chance of a second failure keeps its digits where 1 - none - one has none.
		want := 0.0
		for k, ways := range []float64{0, 0, 21, 35, 35, 21, 7, 1} {
			want += ways * math.Pow(p, float64(k)) * math.Pow(1-p, float64(7-k))
		}
		if math.Abs(more/want-1) > 1e-12 {
			t.Errorf("p %v: two or more %v, want %v", p, more, want)
		}
	}
}

// Unlike groups of one mouth.
func TestMean(t *testing.T) {
	near := func(a, b float64) bool { return math.Abs(a-b) < 1e-12 }
	a, b := Hazard{-3.8, 0.55}, Hazard{-2.5, 0.44}
	alone, n := Mean([]Group{{a, 4, "NM-1"}})
	if alone != a || n != 4 {
		t.Errorf("one group is %v", alone)
	}
	if m, n := Mean([]Group{{a, 4, "NM-1"}, {a, 6, "NM-1"}}); n != 10 || !near(m.Eta, a.Eta) || !near(m.U, a.U) {
		t.Errorf("a group in two parts is %v", m)
	}
	apart, _ := Mean([]Group{{a, 4, "NM-1"}, {b, 6, "CE-1"}})
	tied, _ := Mean([]Group{{a, 4, "CE-1"}, {b, 6, "CE-1"}})
	if !near(apart.Failure(), 0.4*a.Failure()+0.6*b.Failure()) || apart.Eta != tied.Eta {
		t.Errorf("the mean chance is %v and %v", apart.Failure(), tied.Failure())
	}
	if !(apart.U < tied.U && tied.U < a.U) {
		t.Errorf("of two pools %v, of one %v", apart.U, tied.U)
	}
	// By differences: one group moved, then both together.
	moved := func(da, db float64) float64 {
		m, _ := Mean([]Group{{Hazard{a.Eta + da, 0}, 4, "x"}, {Hazard{b.Eta + db, 0}, 6, "y"}})
		return m.Eta
	}
	const d = 1e-5
	if want := (moved(d*a.U, d*b.U) - moved(-d*a.U, -d*b.U)) / (2 * d); math.Abs(tied.U-want) > 1e-8 {
		t.Errorf("tied %v, by differences %v", tied.U, want)
	}
	wa, wb := (moved(d*a.U, 0)-moved(-d*a.U, 0))/(2*d), (moved(0, d*b.U)-moved(0, -d*b.U))/(2*d)
	if want := math.Sqrt(wa*wa + wb*wb); math.Abs(apart.U-want) > 1e-8 {
		t.Errorf("apart %v, by differences %v", apart.U, want)
	}
	if mean := 10 * apart.Failure(); !near(mean, 4*a.Failure()+6*b.Failure()) {
		t.Errorf("%v expected to fail", mean)
	}
	// A group that cannot fail, or has, still counts its teeth.
	if m, n := Mean([]Group{{a, 5, "x"}, {Hazard{Eta: math.Inf(-1)}, 5, "y"}}); n != 10 || !near(m.Failure(), a.Failure()/2) {
		t.Errorf("%v of %d", m, n)
	}
	if m, _ := Mean([]Group{{a, 5, "x"}, {Hazard{Eta: math.Inf(1)}, 5, "y"}}); !near(m.Failure(), 0.5+a.Failure()/2) {
		t.Errorf("%v", m)
	}
	// A chance too small for 1 - p to tell from 1 keeps its digits.
	if m, _ := Mean([]Group{{Hazard{-40, 0.5}, 5, "x"}, {Hazard{-41, 0.5}, 5, "x"}}); math.Abs(m.Failure()/((math.Exp(-40)+math.Exp(-41))/2)-1) > 1e-12 {
		t.Errorf("%v", m)
	}
}

package outlook

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/mathext"
	"gonum.org/v1/gonum/stat/distuv"

	"plainleaf/app/evidence"
	"plainleaf/app/plan/basis"
	"plainleaf/build/outside"
)

const testdata = "../../../testdata/"

// Anchors and curves: testdata/published/anchor-curves.csv names its source.
func TestAnchorCurves(t *testing.T) {
	const src = "anchor curves (exponential and Weibull, evidence-longevity 4.4)"
	rows := outside.Table(t, testdata+"published/anchor-curves.csv")
	if len(rows) != 12 {
		t.Fatalf("%d curves, want 12", len(rows))
	}
	for _, r := range rows {
		ta, sa := outside.Num(t, r[1]), outside.Num(t, r[2])
		outside.Check(t, src, -math.Log(sa)/ta, outside.Num(t, r[3]), 0.0000005+1e-9)
		for i, years := range []float64{1, 5, 10, 15, 20} {
			outside.Check(t, src, exponential(sa, ta, 1, years), outside.Num(t, r[4+i]), outside.Half4)
		}
		for i, years := range []float64{5, 10, 15, 20} {
			outside.Check(t, src, weibull(sa, ta, 1, years, 0.8), outside.Num(t, r[9+i]), outside.Half4)
			outside.Check(t, src, weibull(sa, ta, 1, years, 1.4), outside.Num(t, r[13+i]), outside.Half4)
		}
	}
}

// The shipped anchors are the recommended ones, so that the curves above are
// really those of the plan.
func TestShippedAnchorsAreTheRecommendedOnes(t *testing.T) {
	const src = "anchor points (evidence-longevity 4.2, 4.3)"
	for _, r := range outside.Table(t, testdata+"published/anchor-curves.csv") {
		for id := range strings.SplitSeq(r[0], ";") {
			i := slices.IndexFunc(base.Anchors, func(a evidence.Anchor) bool { return a.ID == id })
			if i < 0 {
				t.Fatalf("anchor %s is not in the data", id)
			}
			years, _ := base.Figure(base.Anchors[i].Years)
			s, _ := base.Figure(base.Anchors[i].Survival)
			outside.Check(t, src, years.Value, outside.Num(t, r[1]), 0)
			outside.Check(t, src, s.Value, outside.Num(t, r[2]), 0)
		}
	}
}

// Annual failure rates: each source's published survival and rate.
func TestAnnualFailureRates(t *testing.T) {
	for _, r := range outside.Table(t, testdata+"published/afr.csv") {
		s, years := outside.Num(t, r[1]), outside.Num(t, r[2])
		src := r[0] + " survival against annual failure rate (evidence-longevity 5.1)"
		one := exponential(s, years, 1, 1)
		outside.Check(t, src, 100*(1-one), outside.Num(t, r[3]), 0.0005+1e-9)
		outside.Check(t, src, -math.Log(one), outside.Num(t, r[4]), 0.000005+1e-9)
	}
	for _, r := range outside.Table(t, testdata+"published/afr-to-survival.csv") {
		y, years := outside.Num(t, r[1])/100, outside.Num(t, r[2])
		outside.Check(t, r[0]+" (evidence-longevity 5.1)", exponential(1-y, 1, 1, years), outside.Num(t, r[3]), outside.Half4)
	}
}

// Examples printed in evidence-longevity 4.5.
func TestHazardMultipliers(t *testing.T) {
	const src = "combined multipliers (evidence-longevity 4.5)"
	outside.Check(t, src, combine([]float64{2, 2.5}, 4), 3.536, 0.0005)
	outside.Check(t, src, combine([]float64{1.3, 2, 2.5}, 4), 4, 0)
	outside.Check(t, src, combine([]float64{1.3, 2, 2.5}, 0), 4.031, 0.0005)
	for hr, want := range map[float64]float64{1.3: 0.9355, 2: 0.9025, 2.5: 0.8796, 3: 0.8574, 3.536: 0.8341, 4: 0.8145} {
		outside.Check(t, src, exponential(0.95, 10, hr, 10), want, outside.Half4)
	}
	outside.Check(t, src, exponential(0.82, 10, 4, 10), 0.4521, outside.Half4)
	outside.Check(t, src, exponential(0.82, 10, 2, 10), 0.6724, outside.Half4)
	if combine(nil, 4) != 1 {
		t.Error("no multiplier changes the hazard")
	}
}

func TestBetaBinomialTable(t *testing.T) {
	const src = "beta-binomial table (evidence-longevity 4.6)"
	for _, r := range outside.Table(t, testdata+"published/beta-binomial.csv") {
		p, n := outside.Num(t, r[0]), int(outside.Num(t, r[1]))
		for i, rho := range []float64{0, 0.05, 0.11, 0.20, 0.30} {
			none, _ := noneOne(n, p, rho)
			outside.Check(t, src, 1-none, outside.Num(t, r[2+i]), outside.Half4)
		}
	}
	// Pairs of implants, CHU06: both of two survive 75.1 % with 85.8 % per implant
	// and a correlation of 0.1218 (evidence-longevity 5.7).
	none, _ := noneOne(2, 0.142, 0.1218)
	outside.Check(t, "CHU06 pairs of implants (evidence-longevity 5.7)", none, 0.7510, outside.Half4)
}

func TestBetaBinomialAgainstLibrary(t *testing.T) {
	const src = "gonum, binomial and beta function"
	for _, n := range []int{1, 2, 3, 6, 10, 28} {
		for _, p := range []float64{0.01, 0.05, 0.3, 0.5, 0.9} {
			b := distuv.Binomial{N: float64(n), P: p}
			none, one := noneOne(n, p, 0)
			outside.Check(t, src, none, b.Prob(0), 1e-12)
			outside.Check(t, src, one, b.Prob(1), 1e-12)
			for _, rho := range []float64{1e-6, 0.05, 0.15, 0.3, 0.9} {
				m := (1 - rho) / rho
				al, be := p*m, (1-p)*m
				fn := float64(n)
				none, one := noneOne(n, p, rho)
				tol := 1e-9 / rho // the log beta function loses digits as m grows
				outside.Check(t, src, none, math.Exp(mathext.Lbeta(al, be+fn)-mathext.Lbeta(al, be)), tol)
				outside.Check(t, src, one, fn*math.Exp(mathext.Lbeta(al+1, be+fn-1)-mathext.Lbeta(al, be)), fn*tol)
			}
		}
	}
}

func TestBetaBinomialLimits(t *testing.T) {
	for _, c := range []struct {
		n           int
		p, rho      float64
		none, exact float64
	}{
		{0, 0.5, 0.1, 1, 0}, {1, 0.3, 0.7, 0.7, 0.3}, {5, 0, 0.2, 1, 0}, {5, 1, 0.2, 0, 0}, {5, 0.3, 1, 0.7, 0}, {1, 0.3, 1, 0.7, 0.3},
	} {
		none, one := noneOne(c.n, c.p, c.rho)
		if math.Abs(none-c.none) > 1e-12 || math.Abs(one-c.exact) > 1e-12 {
			t.Errorf("n %d p %v rho %v: %v, %v; want %v, %v", c.n, c.p, c.rho, none, one, c.none, c.exact)
		}
	}
}

// The whole distribution, as the joint of every number of failures by the chain
// of conditional chances, sums to 1 and has its mean at np: none and one belong
// to the same distribution as the rest.
func TestSeveralIsWhatNoneAndOneLeave(t *testing.T) {
	for _, n := range []int{2, 3, 7} {
		for _, rho := range []float64{0, 0.15, 0.6} {
			const p = 0.2
			pmf := urn(n, p, rho)
			sum, mean := 0.0, 0.0
			for k, v := range pmf {
				sum += v
				mean += float64(k) * v
			}
			none, one := noneOne(n, p, rho)
			if math.Abs(sum-1) > 1e-12 || math.Abs(mean-float64(n)*p) > 1e-12 || math.Abs(pmf[0]-none) > 1e-12 || math.Abs(pmf[1]-one) > 1e-12 {
				t.Errorf("n %d rho %v: sum %v mean %v none %v/%v one %v/%v", n, rho, sum, mean, pmf[0], none, pmf[1], one)
			}
		}
	}
}

// urn draws n times from Polya's urn, tooth by tooth: an independent way to the
// same distribution.
func urn(n int, p, rho float64) []float64 {
	pmf := []float64{1}
	for i := range n {
		next := make([]float64, len(pmf)+1)
		for k, v := range pmf {
			fail := (p*(1-rho) + float64(k)*rho) / (1 - rho + float64(i)*rho)
			next[k+1] += v * fail
			next[k] += v * (1 - fail)
		}
		pmf = next
	}
	return pmf
}

func TestSharedCoversBothReadings(t *testing.T) {
	icc, _ := base.Setting("icc")
	for _, parts := range [][]chance{
		{{6, basis.Estimate{Low: 0.87, Likely: 0.95, High: 0.975}}},
		{{1, basis.Estimate{Low: 0.87, Likely: 0.95, High: 0.975}}},
		{{4, basis.Estimate{Low: 0.9, Likely: 0.96, High: 0.98}}, {4, basis.Estimate{Low: 0.56, Likely: 0.72, High: 0.86}}},
		{{20, basis.Estimate{Low: 0.1, Likely: 0.5, High: 0.9}}, {8, basis.Estimate{Low: 0.2, Likely: 0.3, High: 0.99}}},
	} {
		one, several := shared(parts, &icc)
		for _, e := range []basis.Estimate{one, several} {
			if !(0 <= e.Low && e.Low <= e.Likely && e.Likely <= e.High && e.High <= 1) {
				t.Errorf("%v: %+v", parts, e)
			}
		}
		// Independent groups with the likely values lie inside, whatever the correlation.
		for rho := icc.Low; rho <= icc.High; rho += 0.01 {
			p0 := 1.0
			for _, c := range parts {
				q, _ := noneOne(c.n, 1-c.s.Likely, rho)
				p0 *= q
			}
			if 1-p0 < one.Low-1e-12 || 1-p0 > one.High+1e-12 {
				t.Errorf("%v at %v: %v outside %+v", parts, rho, 1-p0, one)
			}
		}
	}
}

func TestMonotone(t *testing.T) {
	last := 1.0
	for years := 1.0; years <= 20; years++ {
		s := exponential(0.95, 10, 1, years)
		if s >= last {
			t.Errorf("%v years: %v is not below %v", years, s, last)
		}
		last = s
	}
	last = 1.0
	for hr := 1.0; hr <= 4; hr += 0.25 {
		s := exponential(0.95, 10, hr, 7)
		if s >= last {
			t.Errorf("multiplier %v: %v is not below %v", hr, s, last)
		}
		last = s
	}
	for _, rho := range []float64{0, 0.05, 0.15, 0.3} {
		last = 1.0
		for n := 1; n <= 28; n++ {
			none, one := noneOne(n, 0.07, rho)
			if none >= last || none+one > 1+1e-12 {
				t.Errorf("%d teeth, correlation %v: none %v after %v", n, rho, none, last)
			}
			last = none
		}
	}
}

// noneOne is noneAndOne of a single chance.
func noneOne(n int, p, rho float64) (none, one float64) {
	a, b := noneAndOne(n, ends{p, p}, rho)
	return a.low, b.low
}

// Weibull through two published points (evidence-longevity 5.2). Fits outside
// shapes 0.5 to 3 are refused; the shapes the plan offers lie inside what the
// others scatter over.
func TestWeibullThroughTwoPoints(t *testing.T) {
	const src = "Weibull through two points (evidence-longevity 5.2)"
	fit := func(s1, t1, s2, t2 float64) (k, eta float64, ok bool) {
		k = math.Log(math.Log(s2)/math.Log(s1)) / math.Log(t2/t1)
		return k, t1 / math.Pow(-math.Log(s1), 1/k), k >= 0.5 && k <= 3
	}
	least, most := math.Inf(1), 0.0
	for _, r := range outside.Table(t, testdata+"published/weibull.csv") {
		s1, t1, s2, t2 := outside.Num(t, r[1]), outside.Num(t, r[2]), outside.Num(t, r[3]), outside.Num(t, r[4])
		k, eta, ok := fit(s1, t1, s2, t2)
		outside.Check(t, src, k, outside.Num(t, r[5]), outside.Half4)
		outside.Equal(t, src, ok, r[7] == "yes")
		if !ok {
			continue
		}
		outside.Check(t, src, eta, outside.Num(t, r[6]), 0.005+1e-9)
		// The plan's curve through the first point with this shape meets the second.
		outside.Check(t, src, weibull(s1, t1, 1, t2, k), s2, 1e-9)
		least, most = min(least, k), max(most, k)
	}
	low, _ := base.Setting("weibull-low")
	high, _ := base.Setting("weibull-high")
	outside.Check(t, "shapes of the sensitivity band (evidence-longevity 4.1)", low.Value, 0.8, 0)
	outside.Check(t, "shapes of the sensitivity band (evidence-longevity 4.1)", high.Value, 1.4, 0)
	if low.Value < least || high.Value > most || low.Value < 0.5 || high.Value > 3 {
		t.Errorf("shapes %v and %v, published %v to %v", low.Value, high.Value, least, most)
	}
}

// CHU06: the second implant's survival given the first's, and the correlation of
// a pair (evidence-longevity 5.7).
func TestClusteringOfPairs(t *testing.T) {
	const src = "CHU06 pairs of implants (evidence-longevity 5.7)"
	none, _ := noneOne(2, 1-0.858, (0.751-0.858*0.858)/(0.858*0.142))
	outside.Check(t, src, none, 0.751, 1e-9)
	outside.Check(t, src, none/0.858, 0.875, 0.0005)
	// The five moment fits of evidence-longevity 4.6, whole numbers of teeth around n per patient.
	const fits = "moment fits of clustering (evidence-longevity 4.6)"
	for _, r := range outside.Table(t, testdata+"published/clustering.csv") {
		n, p, rho := outside.Num(t, r[1]), outside.Num(t, r[2]), outside.Num(t, r[5])
		at := func(rho float64) float64 { // between the whole numbers around n, by the gamma form's smooth curve
			lo, hi := int(math.Floor(n)), int(math.Ceil(n))
			a, _ := noneOne(lo, p, rho)
			b, _ := noneOne(hi, p, rho)
			return 1 - math.Exp(math.Log(a)+(n-float64(lo))*(math.Log(b)-math.Log(a)))
		}
		outside.Check(t, fits, at(0), outside.Num(t, r[3]), n*0.00005+outside.Half4) // p is printed to four decimals
		outside.Check(t, fits, at(rho), outside.Num(t, r[4]), 0.002)
	}
}

// Replacements by year t of a restoration with a constant hazard: the closed form
// -ln S(t) the plan uses, against the renewal equation m(t) = F(t) + integral of
// m(t-x) dF(x) solved by steps, and against a seeded simulation.
func TestRenewalAgainstEquationAndSimulation(t *testing.T) {
	const equation, simulation = "renewal equation solved by steps (Cox 1962)", "seeded simulation of replacements"
	r := rand.New(rand.NewPCG(19, 62))
	for _, c := range []struct{ s, ta, years float64 }{{0.95, 10, 15}, {0.85, 5, 10}, {0.62, 5, 10}} {
		closed := -math.Log(exponential(c.s, c.ta, 1, c.years))
		const steps = 4000
		h := c.years / steps
		m := make([]float64, steps+1)
		F := func(i int) float64 { return 1 - exponential(c.s, c.ta, 1, float64(i)*h) }
		dF := make([]float64, steps+1)
		for i := 1; i <= steps; i++ {
			dF[i] = F(i) - F(i-1)
		}
		for i := 1; i <= steps; i++ {
			m[i] = F(i)
			for j := 1; j < i; j++ { // the midpoint of each step
				m[i] += (m[i-j] + m[i-j+1]) / 2 * dF[j]
			}
			m[i] += m[0] / 2 * dF[i]
		}
		outside.Check(t, equation, closed, m[steps], 0.001)
		const n = 200_000
		hazard := -math.Log(c.s) / c.ta
		count := 0
		for range n {
			for at := r.ExpFloat64() / hazard; at < c.years; at += r.ExpFloat64() / hazard {
				count++
			}
		}
		outside.Check(t, simulation, closed, float64(count)/n, 5*math.Sqrt(closed/n))
	}
}

// FuzzChances asks the same of the sums behind the expectations, thousands of
// times for each plan: chances lie between 0 and 1, low to high, and get no better
// with time, teeth or hazard.
func FuzzChances(f *testing.F) {
	f.Add([]byte{200, 10, 100, 80, 9, 30, 5, 6, 7})
	f.Add([]byte{255, 1, 0, 0, 31, 0, 0, 0, 0})
	f.Add([]byte{1, 255, 255, 255, 31, 255, 255, 255, 255})
	f.Fuzz(func(t *testing.T, data []byte) {
		r := rand.New(&tape{data, rand.NewPCG(uint64(len(data)), 1)})
		part := func() float64 { return float64(r.IntN(256)) / 255 }
		survival, years, k := max(part(), 1e-3), 1+20*part(), 0.3+2.7*part()
		hazards, limit := []float64{}, 10*part()
		for range r.IntN(4) {
			hazards = append(hazards, 1+3*part())
		}
		hr := combine(hazards, limit)
		worse := combine(append(hazards, 1+3*part()), limit)
		if worse < hr-1e-12 || limit > 0 && worse > limit {
			t.Errorf("%v capped at %v: %v, with one more %v", hazards, limit, hr, worse)
		}
		before := 1.0
		for _, at := range []float64{1, 2, 5, 10, 20, 30} {
			s := weibull(survival, years, hr, at, k)
			if s < 0 || s > before || weibull(survival, years, worse, at, k) > s {
				t.Errorf("%v at %v years, shape %v, hazard %v: %v after %v years, %v before", survival, years, k, hr, s, at, before)
			}
			before = s
		}
		icc := evidence.Figure{Low: part() / 2}
		icc.Value = icc.Low + part()/4
		icc.High = icc.Value + part()/4
		var parts []chance
		for range 1 + r.IntN(3) {
			s := basis.Estimate{Low: part()}
			s.Likely = s.Low + (1-s.Low)*part()
			s.High = s.Likely + (1-s.Likely)*part()
			parts = append(parts, chance{1 + r.IntN(10), s})
		}
		one, several := shared(parts, &icc)
		for _, e := range []basis.Estimate{one, several} {
			if !(0 <= e.Low && e.Low <= e.Likely && e.Likely <= e.High && e.High <= 1+1e-12) {
				t.Errorf("%v, %+v: %+v", parts, icc, e)
			}
		}
		n, p, rho := r.IntN(32), part(), part()
		none, exactlyOne := noneOne(n, p, rho)
		more, _ := noneOne(n+1, p, rho)
		riskier, _ := noneOne(n, min(1, p+part()), rho)
		if none < 0 || exactlyOne < 0 || none+exactlyOne > 1+1e-9 || more > none+1e-12 || riskier > none+1e-12 {
			t.Errorf("%d teeth, chance %v, correlation %v: none %v, one %v; with a tooth more %v, with more risk %v", n, p, rho, none, exactlyOne, more, riskier)
		}
		if several.Low > one.Low+1e-9 || several.Likely > one.Likely+1e-9 || several.High > one.High+1e-9 {
			t.Errorf("%v, %+v: two %+v, one %+v", parts, icc, several, one)
		}
	})
}

// tape is a source of chance that reads its numbers off bytes, so that a fuzzer
// that changes a byte changes one choice; then it runs on by itself.
type tape struct {
	left []byte
	rest *rand.PCG
}

func (s *tape) Uint64() uint64 {
	if len(s.left) == 0 {
		return s.rest.Uint64()
	}
	v := uint64(s.left[0])
	s.left = s.left[1:]
	return v * 0x0101010101010101
}

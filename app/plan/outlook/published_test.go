package outlook

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mathext"
	"gonum.org/v1/gonum/stat/distuv"

	"plainleaf/build/outside"
)

const testdata = "../../../testdata/"

// exponential is the survival after t years from one published point, sa at ta years,
// with the hazard multiplied by hr: the arithmetic of the plan, without uncertainty.
func exponential(sa, ta, hr, t float64) float64 {
	p := Point{Hazard{Eta: math.Log(-math.Log(sa))}, ta}
	return p.After(t, 0, Multiplier{Ratio: hr}).Survival().Likely
}

// noneOne is the chance that none and that exactly one of n teeth fails.
func noneOne(n int, p, rho float64) (none, one float64) {
	none, one, _ = fates(p, n, rho)
	return none, one
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

// FuzzChances asks the same of any point, time, multiplier and mouth: chances lie
// between 0 and 1, low to high, and get no better with time, hazard or teeth.
func FuzzChances(f *testing.F) {
	f.Add(uint64(1), uint64(2))
	f.Add(uint64(77), uint64(0))
	f.Fuzz(func(t *testing.T, a, b uint64) {
		r := rand.New(rand.NewPCG(a, b))
		p := Point{Hazard{math.Log(-math.Log(0.01 + 0.989*r.Float64())), 1.5 * r.Float64()}, 1 + 20*r.Float64()}
		shape, by := r.Float64(), Multiplier{1 + 4*r.Float64(), r.Float64()}
		c := Correlation{0.01 + 0.9*r.Float64(), r.Float64()}
		n := 1 + r.IntN(28)
		before := 1.0
		for _, years := range []float64{1, 2, 5, 10, 20, 30} {
			h := p.After(years, shape)
			s := h.Survival()
			one, two := AtLeastOne(h, n, c), AtLeastTwo(h, n, c)
			for _, x := range []Band{s, one, two} {
				if !(0 <= x.Low && x.Low <= x.Likely && x.Likely <= x.High && x.High <= 1) {
					t.Fatalf("%+v, %v years, %d teeth, %+v: %+v", p, years, n, c, x)
				}
			}
			worse := p.After(years, shape, by)
			if s.Likely > before || worse.Survival().Likely > s.Likely || worse.U < h.U {
				t.Errorf("%+v after %v years: %v, %v before, %v with %+v", p, years, s.Likely, before, worse.Survival().Likely, by)
			}
			if two.Likely > one.Likely || AtLeastOne(h, n+1, c).Likely < one.Likely-1e-12 || AtLeastOne(worse, n, c).Likely < one.Likely-1e-12 {
				t.Errorf("%+v, %v years, %d teeth, %+v: one %v, two %v", p, years, n, c, one.Likely, two.Likely)
			}
			before = s.Likely
		}
	})
}

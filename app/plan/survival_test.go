package plan

import (
	"math"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/mathext"
	"gonum.org/v1/gonum/stat/distuv"

	"plainleaf/app/evidence"
	"plainleaf/build/outside"
)

const half4 = 0.00005 + 1e-9 // half of the fourth decimal

// Anchors and curves: testdata/published/anchor-curves.csv names its source.
func TestAnchorCurves(t *testing.T) {
	const src = "anchor curves (exponential and Weibull, evidence-longevity 4.4)"
	rows := published(t, "anchor-curves.csv")
	if len(rows) != 12 {
		t.Fatalf("%d curves, want 12", len(rows))
	}
	for _, r := range rows {
		ta, sa := num(t, r[1]), num(t, r[2])
		outside.Check(t, src, -math.Log(sa)/ta, num(t, r[3]), 0.0000005+1e-9)
		for i, years := range []float64{1, 5, 10, 15, 20} {
			outside.Check(t, src, exponential(sa, ta, 1, years), num(t, r[4+i]), half4)
		}
		for i, years := range []float64{5, 10, 15, 20} {
			outside.Check(t, src, weibull(sa, ta, 1, years, 0.8), num(t, r[9+i]), half4)
			outside.Check(t, src, weibull(sa, ta, 1, years, 1.4), num(t, r[13+i]), half4)
		}
	}
}

// The shipped anchors are the recommended ones, so that the curves above are
// really those of the plan.
func TestShippedAnchorsAreTheRecommendedOnes(t *testing.T) {
	const src = "anchor points (evidence-longevity 4.2, 4.3)"
	for _, r := range published(t, "anchor-curves.csv") {
		for id := range strings.SplitSeq(r[0], ";") {
			i := slices.IndexFunc(base.Anchors, func(a evidence.Anchor) bool { return a.ID == id })
			if i < 0 {
				t.Fatalf("anchor %s is not in the data", id)
			}
			years, _ := base.Figure(base.Anchors[i].Years)
			s, _ := base.Figure(base.Anchors[i].Survival)
			outside.Check(t, src, years.Value, num(t, r[1]), 0)
			outside.Check(t, src, s.Value, num(t, r[2]), 0)
		}
	}
}

// Annual failure rates: each source's published survival and rate.
func TestAnnualFailureRates(t *testing.T) {
	for _, r := range published(t, "afr.csv") {
		s, years := num(t, r[1]), num(t, r[2])
		src := r[0] + " survival against annual failure rate (evidence-longevity 5.1)"
		one := exponential(s, years, 1, 1)
		outside.Check(t, src, 100*(1-one), num(t, r[3]), 0.0005+1e-9)
		outside.Check(t, src, -math.Log(one), num(t, r[4]), 0.000005+1e-9)
	}
	for _, r := range published(t, "afr-to-survival.csv") {
		y, years := num(t, r[1])/100, num(t, r[2])
		outside.Check(t, r[0]+" (evidence-longevity 5.1)", exponential(1-y, 1, 1, years), num(t, r[3]), half4)
	}
}

// Examples printed in evidence-longevity 4.5.
func TestHazardMultipliers(t *testing.T) {
	const src = "combined multipliers (evidence-longevity 4.5)"
	outside.Check(t, src, combine([]float64{2, 2.5}, 4), 3.536, 0.0005)
	outside.Check(t, src, combine([]float64{1.3, 2, 2.5}, 4), 4, 0)
	outside.Check(t, src, combine([]float64{1.3, 2, 2.5}, 0), 4.031, 0.0005)
	for hr, want := range map[float64]float64{1.3: 0.9355, 2: 0.9025, 2.5: 0.8796, 3: 0.8574, 3.536: 0.8341, 4: 0.8145} {
		outside.Check(t, src, exponential(0.95, 10, hr, 10), want, half4)
	}
	outside.Check(t, src, exponential(0.82, 10, 4, 10), 0.4521, half4)
	outside.Check(t, src, exponential(0.82, 10, 2, 10), 0.6724, half4)
	if combine(nil, 4) != 1 {
		t.Error("no multiplier changes the hazard")
	}
}

func TestBetaBinomialTable(t *testing.T) {
	const src = "beta-binomial table (evidence-longevity 4.6)"
	for _, r := range published(t, "beta-binomial.csv") {
		p, n := num(t, r[0]), int(num(t, r[1]))
		for i, rho := range []float64{0, 0.05, 0.11, 0.20, 0.30} {
			none, _ := noneOne(n, p, rho)
			outside.Check(t, src, 1-none, num(t, r[2+i]), half4)
		}
	}
	// Pairs of implants, CHU06: both of two survive 75.1 % with 85.8 % per implant
	// and a correlation of 0.1218 (evidence-longevity 5.7).
	none, _ := noneOne(2, 0.142, 0.1218)
	outside.Check(t, "CHU06 pairs of implants (evidence-longevity 5.7)", none, 0.7510, half4)
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
		{{6, Estimate{Low: 0.87, Likely: 0.95, High: 0.975}}},
		{{1, Estimate{Low: 0.87, Likely: 0.95, High: 0.975}}},
		{{4, Estimate{Low: 0.9, Likely: 0.96, High: 0.98}}, {4, Estimate{Low: 0.56, Likely: 0.72, High: 0.86}}},
		{{20, Estimate{Low: 0.1, Likely: 0.5, High: 0.9}}, {8, Estimate{Low: 0.2, Likely: 0.3, High: 0.99}}},
	} {
		one, several := shared(parts, &icc)
		for _, e := range []Estimate{one, several} {
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

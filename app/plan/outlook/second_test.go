package outlook

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"plainleaf/app/evidence/pool"
)

// A second implementation, written from the model and not from the code: the
// beta-binomial in closed form with the gamma function, its derivatives worked out by
// hand, the hazard multiplied as a hazard.

// second is a chance about n teeth with its range.
func second(lambda, u, rho, uRho float64, n, least int) Band {
	p := 1 - math.Exp(-lambda)
	m := (1 - rho) / rho
	a, b := p*m, (1-p)*m
	lg := func(x float64) float64 { v, _ := math.Lgamma(x); return v }
	var sum, byP, byM [2]float64 // of too few failures, of enough
	for k := 0; k <= n; k++ {
		x, y := float64(k), float64(n-k)
		chance := math.Exp(lg(float64(n)+1) - lg(x+1) - lg(y+1) + lg(a+x) - lg(a) + lg(b+y) - lg(b) - lg(m+float64(n)) + lg(m))
		side := 0
		if k >= least {
			side = 1
		}
		// d ln chance by a, by b and by a+b: differences of digamma, which are sums of reciprocals.
		da, db, dm := reciprocals(a, k), reciprocals(b, n-k), reciprocals(m, n)
		sum[side] += chance
		byP[side] += chance * m * (da - db)
		byM[side] += chance * (p*da + (1-p)*db - dm)
	}
	no, yes := sum[0], sum[1]
	// The slopes of both sides are opposite; those of the rarer keep their digits.
	dP, dM := byP[1], byM[1]
	if no < yes {
		dP, dM = -byP[0], -byM[0]
	}
	if yes == 0 {
		return Band{}
	}
	dEta := dP * lambda * math.Exp(-lambda) / (yes * no)
	dRho := dM * (-1 / (rho * rho)) * rho * (1 - rho) / (yes * no)
	width := 1.9599639845400545 * math.Sqrt(dEta*dEta*u*u+dRho*dRho*uRho*uRho)
	at := func(x float64) float64 { o := yes / no * math.Exp(x); return o / (1 + o) }
	return Band{at(-width), at(0), at(width)}
}

// reciprocals is 1/x + 1/(x+1) + ... of k terms.
func reciprocals(x float64, k int) (s float64) {
	for i := range k {
		s += 1 / (x + float64(i))
	}
	return s
}

// sample is one random combination.
type sample struct {
	point      Point
	years      float64
	by         []Multiplier
	teeth      int
	rho, shape float64
	uRho       float64
}

// results is everything this package says of a sample.
type results struct{ survival, one, two Band }

func (s sample) program() results {
	h := s.point.After(s.years, s.shape, s.by...)
	c := Correlation{s.rho, s.uRho}
	return results{h.Survival(), AtLeastOne(h, s.teeth, c), AtLeastTwo(h, s.teeth, c)}
}

func (s sample) second() results {
	atPoint := math.Exp(-math.Exp(s.point.Eta)) // survival at the point's years
	lambda := -math.Log(atPoint) * s.years / s.point.Years
	variance := math.Pow(s.point.U, 2) + math.Pow((math.Log(s.years)-math.Log(s.point.Years))*s.shape, 2)
	for _, m := range s.by {
		lambda *= m.Ratio
		variance += math.Pow(m.Spread, 2)
	}
	u := math.Sqrt(variance)
	wide := math.Exp(1.9599639845400545 * u)
	return results{
		Band{math.Pow(math.Exp(-lambda), wide), math.Exp(-lambda), math.Pow(math.Exp(-lambda), 1/wide)},
		second(lambda, u, s.rho, s.uRho, s.teeth, 1), second(lambda, u, s.rho, s.uRho, s.teeth, 2),
	}
}

func samples(t testing.TB) []sample {
	r := rand.New(rand.NewPCG(500, 2))
	var out []sample
	for range 500 {
		p := base.Pools[r.IntN(len(base.Pools))]
		s := sample{point: point(t, p.ID), years: 0.5 + 24.5*r.Float64(), teeth: 1 + r.IntN(28),
			rho: 0.02 + 0.7*r.Float64(), uRho: r.Float64(), shape: 0.5 * r.Float64()}
		for range r.IntN(3) {
			s.by = append(s.by, Multiplier{0.5 + 3*r.Float64(), 0.8 * r.Float64()})
		}
		out = append(out, s)
	}
	return out
}

// Largest differences allowed. The likely values are closed forms on both sides. The
// ends rest on slopes, here exact and in the program by central differences, whose
// error is step^2/6 times a third derivative of about 1 on the logit scale: 2e-9,
// times u of up to 2 and 1.96, times A(1-A) of at most 1/4.
const (
	likely = 1e-11
	endTol = 1e-8
)

// differences is the largest difference of the likely values and of the ends.
func (a results) differences(b results) (mid, end float64) {
	for _, x := range [][2]Band{{a.survival, b.survival}, {a.one, b.one}, {a.two, b.two}} {
		mid = max(mid, math.Abs(x[0].Likely-x[1].Likely))
		end = max(end, math.Abs(x[0].Low-x[1].Low), math.Abs(x[0].High-x[1].High))
		if math.IsNaN(x[0].Low + x[0].Likely + x[0].High + x[1].Low + x[1].Likely + x[1].High) {
			return math.Inf(1), math.Inf(1)
		}
	}
	return mid, end
}

func TestSecondImplementation(t *testing.T) {
	var mid, end float64
	for i, s := range samples(t) {
		m, e := s.program().differences(s.second())
		if m > likely || e > endTol {
			t.Errorf("%d: %+v: %+v, second %+v", i, s, s.program(), s.second())
		}
		mid, end = max(mid, m), max(end, e)
	}
	t.Logf("largest difference of 500: likely %.2g, ends %.2g", mid, end)
}

// The comparison sees each small mistake: in most samples, or, where it is about what
// few samples have, in some.
func TestTheComparisonCanFail(t *testing.T) {
	all := samples(t)
	for name, wrong := range map[string]func(s sample) results{
		"correlation a thousandth larger": func(s sample) results { s.rho *= 1.001; return s.program() },
		"one tooth more":                  func(s sample) results { s.teeth++; return s.program() },
		"no uncertainty of the shape":     func(s sample) results { s.shape = 0; return s.program() },
		"the shape's uncertainty by t, not ln t": func(s sample) results {
			s.shape *= s.years / s.point.Years / math.Log(s.years/s.point.Years)
			return s.program()
		},
		"a multiplier without its spread": func(s sample) results {
			s.by = slices.Clone(s.by)
			for i := range s.by {
				s.by[i].Spread = 0
			}
			return s.program()
		},
		"a multiplier left out": func(s sample) results { s.by = nil; return s.program() },
		"no uncertainty of rho": func(s sample) results { s.uRho = 0; return s.program() },
		"1.96 for the quantile": func(s sample) results {
			s.point.U *= 1.96 / pool.Z95
			s.shape *= 1.96 / pool.Z95
			s.uRho *= 1.96 / pool.Z95
			s.by = slices.Clone(s.by)
			for i := range s.by {
				s.by[i].Spread *= 1.96 / pool.Z95
			}
			return s.program()
		},
		"low and high changed over": func(s sample) results {
			r := s.program()
			r.one.Low, r.one.High = r.one.High, r.one.Low
			return r
		},
		"at least two for at least one": func(s sample) results { r := s.program(); r.one = r.two; return r },
	} {
		seen := 0
		for _, s := range all {
			if m, e := wrong(s).differences(s.second()); m > likely || e > endTol {
				seen++
			}
		}
		t.Logf("%s: seen in %d of %d", name, seen, len(all))
		if seen < len(all)/3 {
			t.Errorf("%s: seen in %d of %d only", name, seen, len(all))
		}
	}
}

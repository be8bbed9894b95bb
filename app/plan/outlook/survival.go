package outlook

import "math"

// exponential is the chance, a fraction, that the endpoint still holds after t
// years, from one published point: anchor survival sa at ta years, with the
// hazard multiplied by hr. S(t) = exp(ln(sa) * hr * t/ta), evidence-longevity
// 4.1 rule 2 and 4.5. sa is over 0 and at most 1, ta over 0, t and hr at least 0.
func exponential(sa, ta, hr, t float64) float64 {
	return weibull(sa, ta, hr, t, 1)
}

// weibull is the same with shape k over 0: S(t) = exp(ln(sa) * hr * (t/ta)^k).
// Shapes fitted to published pairs scatter on both sides of 1 (evidence-longevity
// 4.1 rule 2, 5.2), so other shapes show how much the curve matters; they are no claim.
func weibull(sa, ta, hr, t, k float64) float64 {
	return math.Exp(math.Log(sa) * hr * math.Pow(t/ta, k))
}

// combine joins hazard multipliers: the largest in full, the square root of each
// of the others, the product capped (evidence-longevity 4.5). No multipliers
// give 1; a cap of zero or less does not cap.
func combine(multipliers []float64, limit float64) float64 {
	most, hr := -1, 1.0
	for i, m := range multipliers {
		if most < 0 || m > multipliers[most] {
			most = i
		}
	}
	for i, m := range multipliers {
		if i != most {
			m = math.Sqrt(m)
		}
		hr *= m
	}
	if limit > 0 {
		hr = min(hr, limit)
	}
	return hr
}

// noneAndOne is the chance that none and that exactly one of n like teeth fails,
// when one fails with chance p and teeth of one mouth share their fate with
// correlation rho: the beta-binomial in product form, evidence-longevity 4.6.
// With m = (1-rho)/rho, a = p m and b = (1-p) m,
//
//	P(0) = prod_{i<n} (b+i)/(m+i)
//	P(1) = n a/(m+n-1) prod_{i<n-1} (b+i)/(m+i)
//
// rho of 0 is the binomial, its limit; rho of 1 lets all fail or none. p and rho
// lie in [0,1], n is at least 0. It is worked out for both ends of a range of p,
// which share what rests on rho alone.
func noneAndOne(n int, p ends, rho float64) (none, one ends) {
	if n <= 0 {
		return ends{1, 1}, ends{}
	}
	// (b+i)/(m+i) and a/(m+n-1) with both parts multiplied by rho, so that rho = 0 needs no case of its own.
	// The products of the two parts are formed apart, for one division; those of a mouth stay far from overflow.
	share := 1 - rho
	if share == 0 { // all share one fate
		if n == 1 {
			one = p
		}
		return ends{1 - p.low, 1 - p.high}, one
	}
	low, high := (1-p.low)*share, (1-p.high)*share
	heldLow, heldHigh, shared := 1.0, 1.0, 1.0
	for range n - 1 {
		heldLow, heldHigh, shared = heldLow*low, heldHigh*high, shared*share
		low, high, share = low+rho, high+rho, share+rho
	}
	shared *= share
	k := float64(n)
	return ends{heldLow * low / shared, heldHigh * high / shared},
		ends{k * heldLow * p.low * (1 - rho) / shared, k * heldHigh * p.high * (1 - rho) / shared}
}

// ends are what follows from the low and from the high end of a chance of failure.
type ends struct{ low, high float64 }

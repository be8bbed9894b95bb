package outlook

import (
	"math"

	"plainleaf/app/evidence/pool"
)

// Correlation is how far teeth of one mouth share their fate: Rho from 0 (each on
// its own) to 1 (all or none), U the standard uncertainty of its logit.
type Correlation struct{ Rho, U float64 }

// Between is a correlation with a 95 % range, whose ends lie as far from each other
// on the logit scale as 2 Z95 standard uncertainties. A range that is one value has
// no uncertainty.
func Between(value, low, high float64) Correlation {
	if low == high {
		return Correlation{Rho: value}
	}
	return Correlation{value, (logit(high) - logit(low)) / (2 * pool.Z95)}
}

// fates is the chance that none, that exactly one and that at least two of n like
// teeth fail, when one fails with chance p and two of a mouth share their fate with
// correlation rho: the beta-binomial with a = p(1-rho)/rho and b = (1-p)(1-rho)/rho.
//
// It is worked out tooth by tooth, as Polya's urn: with k of i teeth failed, the next
// fails with chance (a+k)/(a+b+i), here with both parts multiplied by rho, so that rho
// of 0 (the binomial) and of 1 are no cases of their own. Only products and sums of
// chances occur, no difference that would lose the digits of a small one. For none
// failed this is the product 1 - A = prod (b+i)/(a+b+i).
func fates(p float64, n int, rho float64) (none, one, more float64) {
	if n <= 0 {
		return 1, 0, 0
	}
	none, one = 1-p, p
	for i := 1; i < n; i++ {
		all := 1 - rho + float64(i)*rho
		first := p * (1 - rho) / all                     // the next one fails, with none failed so far
		again := (p*(1-rho) + rho) / all                 // with one failed
		spared := ((1-p)*(1-rho) + float64(i)*rho) / all // none failed, nor does the next
		held := ((1-p)*(1-rho) + float64(i-1)*rho) / all // one failed, the next does not
		none, one, more = none*spared, none*first+one*held, more+one*again
	}
	return none, one, more
}

// AtLeastOne is the chance that at least one of n like teeth of one mouth has failed.
//
// Its range is worked out on L, the logit of that chance, where it is nearly
// symmetric, from the uncertainty of the hazard and of the correlation as
// uncorrelated inputs (JCGM 100:2008, 5.1.2):
//
//	u(L)^2 = (dL/d eta u(eta))^2 + (dL/d logit rho u(logit rho))^2
//
// and the ends are those of L plus and minus Z95 u(L).
func AtLeastOne(h Hazard, n int, c Correlation) Band {
	return logits{h, n, c, func(none, one, more float64) (yes, no float64) { return one + more, none }}.band()
}

// AtLeastTwo is the chance that at least two of n like teeth of one mouth have
// failed, by the same recipe. It is 0 for one tooth.
func AtLeastTwo(h Hazard, n int, c Correlation) Band {
	return logits{h, n, c, func(none, one, more float64) (yes, no float64) { return more, none + one }}.band()
}

// logits is a chance about n teeth on the logit scale, as a function of eta and of the
// logit of rho; of picks the chance and its complement from the fates.
type logits struct {
	h  Hazard
	n  int
	c  Correlation
	of func(none, one, more float64) (yes, no float64)
}

func (l logits) at(eta, rho float64) float64 {
	yes, no := l.of(fates(failure(eta), l.n, expit(rho)))
	return math.Log(yes) - math.Log(no)
}

// step of the central differences, on both scales.
const step = 1e-4

// slopes are the sensitivities to eta and to the logit of rho, by central differences.
func (l logits) slopes() (eta, rho float64) {
	e, r := l.h.Eta, logit(l.c.Rho)
	return (l.at(e+step, r) - l.at(e-step, r)) / (2 * step), (l.at(e, r+step) - l.at(e, r-step)) / (2 * step)
}

// uncertainty is u(L).
func (l logits) uncertainty() float64 {
	eta, rho := l.slopes()
	return math.Hypot(part(eta, l.h.U), part(rho, l.c.U))
}

// band is the chance with its range. The logit of a chance of 0 or 1 is infinite and
// has no slope: it is certain.
func (l logits) band() Band {
	x := l.at(l.h.Eta, logit(l.c.Rho))
	far := pool.Z95 * l.uncertainty()
	return Band{Low: expit(x - far), Likely: expit(x), High: expit(x + far)}
}

// part is sensitivity times uncertainty; what has no effect (one tooth has nobody to
// share its fate with) has none whatever its uncertainty, and a chance so near 0 or 1
// that its neighbor is out of the range of a float has no measurable slope.
func part(slope, u float64) float64 {
	if slope == 0 || math.IsNaN(slope) || math.IsInf(slope, 0) {
		return 0
	}
	return slope * u
}

func logit(x float64) float64 { return math.Log(x) - math.Log1p(-x) }

func expit(x float64) float64 { return 1 / (1 + math.Exp(-x)) }

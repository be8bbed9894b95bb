// Package outlook works out how likely restorations last, for one tooth and for
// all teeth of one mouth, each with its own uncertainty.
//
// Everything happens on eta, the natural logarithm of the cumulative hazard, where
// uncertainties of several origins combine as a root of squares and a survival
// stays between 0 and 1 whatever is added. Nothing is rounded here.
package outlook

import (
	"math"

	"plainleaf/app/evidence/pool"
)

// Hazard is the chance of losing one restoration by some time: Eta is the natural
// logarithm of the cumulative hazard, U its standard uncertainty. Eta of minus
// infinity is a restoration that cannot fail, of plus infinity one that has.
type Hazard struct{ Eta, U float64 }

// Point is a pooled survival point: the hazard by Years.
type Point struct {
	Hazard
	Years float64
}

// Multiplier makes a hazard larger or smaller: Ratio is over 0, Spread the standard
// uncertainty of its natural logarithm.
type Multiplier struct{ Ratio, Spread float64 }

// Band is a likely value between the ends of a 95 % range, fractions.
type Band struct{ Low, Likely, High float64 }

// After carries the point to t years by a constant hazard and applies multipliers:
//
//	eta  = eta_a + ln(t/t_a) + sum ln ratio
//	u(eta)^2 = u_a^2 + (ln(t/t_a) shape)^2 + sum spread^2
//
// the combination of uncorrelated inputs, JCGM 100:2008, 5.1.2, whose sensitivity
// coefficients on this scale are 1. shape is the standard uncertainty of the
// exponent of time, whose value is 1: nobody knows that the hazard is constant, so
// a survival is less certain the further its time is from that of the point. At
// time 0 nothing has failed.
func (p Point) After(t, shape float64, by ...Multiplier) Hazard {
	if t <= 0 {
		return Hazard{Eta: math.Inf(-1)}
	}
	far := math.Log(t / p.Years)
	eta, squares := p.Eta+far, p.U*p.U+far*far*shape*shape
	for _, m := range by {
		eta += math.Log(m.Ratio)
		squares += m.Spread * m.Spread
	}
	return Hazard{eta, math.Sqrt(squares)}
}

// Survival is the chance that one restoration is still there: S = exp(-exp(eta)),
// its ends at eta plus and minus Z95 u.
func (h Hazard) Survival() Band {
	if math.IsInf(h.Eta, 0) { // certain, whatever U says
		s := math.Exp(-math.Exp(h.Eta))
		return Band{s, s, s}
	}
	at := func(eta float64) float64 { return math.Exp(-math.Exp(eta)) }
	return Band{Low: at(h.Eta + pool.Z95*h.U), Likely: at(h.Eta), High: at(h.Eta - pool.Z95*h.U)}
}

// Failure is the likely chance that one restoration has failed, without the loss of
// digits that 1 - S has for a small one.
func (h Hazard) Failure() float64 { return failure(h.Eta) }

func failure(eta float64) float64 { return -math.Expm1(-math.Exp(eta)) }

// Group is like teeth of one mouth. Pool names the pooled point their hazard comes
// from.
type Group struct {
	Hazard
	Teeth int
	Pool  string
}

// Mean is the hazard of the average tooth of unlike groups, and the number of teeth.
// Its likely chance of failure is the mean of theirs, so the expected number of
// failures is exact. One group is returned as it is; no teeth give the zero Hazard.
//
// The uncertainty of each group is carried over by its sensitivity, d eta/d eta_g =
// (n_g/n) p'(eta_g) / p'(eta), all positive. Groups of one pool are taken as fully
// correlated, their parts added: most of what is unknown about them is how this
// practice differs from those studied, which is the same for all of them. That errs
// on the wide side where a multiplier belongs to one group only. Different pools come
// from different studies and are taken as uncorrelated, a root of squares.
func Mean(groups []Group) (Hazard, int) {
	n := 0
	for _, g := range groups {
		n += g.Teeth
	}
	if n == 0 {
		return Hazard{}, 0
	}
	if len(groups) == 1 {
		return groups[0].Hazard, n
	}
	failed, survived := 0.0, 0.0
	for _, g := range groups {
		share := float64(g.Teeth) / float64(n)
		failed += share * failure(g.Eta)
		survived += share * math.Exp(-math.Exp(g.Eta))
	}
	if failed == 0 {
		return Hazard{Eta: math.Inf(-1)}, n
	}
	if survived == 0 {
		return Hazard{Eta: math.Inf(1)}, n
	}
	// -ln of the mean survival; through the mean failure where that is small, for its digits.
	hazard := -math.Log(survived)
	if failed < 0.5 {
		hazard = -math.Log1p(-failed)
	}
	eta := math.Log(hazard)
	parts := map[string]float64{}
	var pools []string // in order of appearance, so that the sum is the same at every run
	for _, g := range groups {
		if g.Teeth == 0 || math.IsInf(g.Eta, 0) {
			continue
		}
		if _, ok := parts[g.Pool]; !ok {
			pools = append(pools, g.Pool)
		}
		parts[g.Pool] += float64(g.Teeth) / float64(n) * slope(g.Eta) / slope(eta) * g.U
	}
	u := 0.0
	for _, p := range pools {
		u = math.Hypot(u, parts[p])
	}
	return Hazard{eta, u}, n
}

// slope is d p/d eta of the chance of failure p = 1 - exp(-exp(eta)).
func slope(eta float64) float64 { return math.Exp(eta - math.Exp(eta)) }

// Package pool makes one survival point from several published cohorts, with an
// uncertainty that holds for another practice than those studied.
//
// The scale is the natural logarithm of the cumulative hazard, ln(-ln S), where S
// is the share still in place (or in need of nothing) after some years. A cohort
// that was followed for another time is carried to the pool's time by a constant
// hazard: the cumulative hazard grows in proportion to the years.
//
// What a caller passes must make sense: survival over 0 and under 1, years,
// failures, units and people over 0, a correlation from 0 to 1. The loader of the
// data checks that; here nonsense gives a result that is not a number.
package pool

import "math"

// Z95 is the 0.975 quantile of the standard normal distribution: 95 of 100 values
// lie within Z95 standard uncertainties.
const Z95 = 1.959963984540054

// Cohort is what pooling uses of one published cohort.
type Cohort struct {
	Survival float64 // share without the event after Years, a fraction
	Years    float64
	Failed   float64 // restorations with the event
	Units    float64 // restorations followed
	People   float64 // persons who had them
}

// Point is a pooled survival point.
type Point struct {
	Mu  float64 // ln of the cumulative hazard at the pool's years
	SE  float64 // standard error of Mu: how well the mean of such practices is known
	Tau float64 // standard deviation between practices, same scale
}

// U is the standard uncertainty of the point for one more practice of the kind:
// both parts combined as uncorrelated inputs (JCGM 100:2008, 5.1.2).
func (p Point) U() float64 { return math.Hypot(p.SE, p.Tau) }

// DesignEffect says by how much several restorations in one mouth, which share
// part of their fate, tell less than as many in different mouths: 1 + (units per
// person - 1) * rho, rho being the correlation within one mouth.
func DesignEffect(units, people, rho float64) float64 { return 1 + (units/people-1)*rho }

// Random pools cohorts that each had failures, by random effects at the given
// years. The variance of one cohort's ln hazard is 1/failures, times its design
// effect. Tau is the Paule-Mandel estimate, but no less than floor: no point is
// surer of its setting than the best studied one.
func Random(cohorts []Cohort, years, rho, floor float64) Point {
	y, v := make([]float64, len(cohorts)), make([]float64, len(cohorts))
	for i, c := range cohorts {
		y[i] = math.Log(-math.Log(c.Survival) * years / c.Years)
		v[i] = DesignEffect(c.Units, c.People, rho) / c.Failed
	}
	p := PauleMandel(y, v)
	p.Tau = max(p.Tau, floor)
	return p
}

// PauleMandel pools estimates y with variances v: the variance between studies is
// the one at which the weighted sum of squares about the mean equals its
// expectation, the number of studies less one, and 0 where it is less than that
// without any (Paule RC, Mandel J. J Res Natl Bur Stand 1982;87:377-385; in
// medicine DerSimonian R, Kacker R. Contemp Clin Trials 2007;28:105-114).
func PauleMandel(y, v []float64) Point {
	expected := float64(len(y) - 1)
	more := func(between float64) bool { // than expected, with this much between them
		_, _, q := weighted(y, v, between)
		return q > expected
	}
	low, high := 0.0, 0.0
	if len(y) > 1 && more(0) {
		for high = 1; more(high); high *= 2 { // the sum of squares falls towards 0 as the variance grows
		}
		for range 100 { // halves the bracket down to the last bit
			if mid := (low + high) / 2; more(mid) {
				low = mid
			} else {
				high = mid
			}
		}
	}
	between := (low + high) / 2
	mu, se, _ := weighted(y, v, between)
	return Point{mu, se, math.Sqrt(between)}
}

// weighted is the mean of y weighted by the reciprocal of v + between, its standard
// error, and the weighted sum of squares about it.
func weighted(y, v []float64, between float64) (mean, se, q float64) {
	sum := 0.0
	for i := range y {
		w := 1 / (v[i] + between)
		sum += w
		mean += w * y[i]
	}
	mean /= sum
	for i := range y {
		q += (y[i] - mean) * (y[i] - mean) / (v[i] + between)
	}
	return mean, 1 / math.Sqrt(sum), q
}

// Events pools cohorts with few or no failures, where a normal approximation of
// one cohort's ln hazard fails: gamma-Poisson with Jeffreys' 1/2. Failures d and
// exposure E, in restoration-years, are divided by the cohort's design effect D:
//
//	shape = 1/2 + sum d/D, hazard per year = shape / sum E/D, SE = 1/sqrt(shape)
//
// A cohort without a failure was exposed for units * years; one with failures for
// the time that gives its printed survival with that many, d / (-ln S / years).
// Tau cannot be estimated from so little and is the floor.
func Events(cohorts []Cohort, years, rho, floor float64) Point {
	shape, exposure := 0.5, 0.0
	for _, c := range cohorts {
		d := DesignEffect(c.Units, c.People, rho)
		shape += c.Failed / d
		if c.Failed > 0 {
			exposure += c.Failed / d * c.Years / -math.Log(c.Survival)
		} else {
			exposure += c.Units / d * c.Years
		}
	}
	return Point{math.Log(shape / exposure * years), 1 / math.Sqrt(shape), floor}
}

// Interval is the point of one published survival with its 95 % interval, at the
// time it was published for; both ends give the standard error on the ln hazard
// scale. Tau is the floor.
func Interval(survival, low, high, floor float64) Point {
	return Point{lnHazard(survival), (lnHazard(low) - lnHazard(high)) / (2 * Z95), floor}
}

// FromLow is Interval where the published upper end is of no use, because it lies
// next to the value; the low end alone gives the standard error.
func FromLow(survival, low, floor float64) Point {
	mu := lnHazard(survival)
	return Point{mu, (lnHazard(low) - mu) / Z95, floor}
}

func lnHazard(survival float64) float64 { return math.Log(-math.Log(survival)) }

package outlook

import (
	"plainleaf/app/evidence"
	"plainleaf/app/plan/basis"
)

// rhoSteps is how finely the correlation is searched between its bounds.
const rhoSteps = 12

// chance is one group's outlook at one time.
type chance struct {
	n int
	s basis.Estimate // per tooth, the endpoint still holds
}

// shared is the chance that at least one, and that at least two, of the teeth
// of all parts fail.
//
// Several groups of unlike teeth have no beta-binomial of their own. The likely
// value takes all teeth as alike with their mean chance, so that the whole mouth
// shares its fate; its mean is exact. The range also covers the other reading,
// in which only teeth of one group share theirs: the distribution of the sum of
// independent beta-binomials. With one group both are the same.
//
// At-least-one rises with the chance of failure and falls with the correlation.
// At-least-two rises with the chance but may rise or fall with the correlation,
// so the correlation is searched between its bounds.
func shared(parts []chance, icc *evidence.Figure) (one, several basis.Estimate) {
	var mid, span []share
	for i := range parts {
		s := &parts[i].s
		mid = append(mid, share{parts[i].n, ends{1 - s.Likely, 1 - s.Likely}})
		span = append(span, share{parts[i].n, ends{1 - s.High, 1 - s.Low}})
	}
	a, b := atLeast(mid, icc.Value)
	one, several = basis.Exactly(a[0].low), basis.Exactly(b[0].low)
	widen := func(rho float64) {
		a, b := atLeast(span, rho)
		for i := range min(len(a), len(parts)) { // with one group both readings are the same
			cover(&one, a[i])
			cover(&several, b[i])
		}
	}
	widen(icc.Value)
	if len(parts) == 1 && parts[0].n == 1 {
		return one, several // one tooth has nobody to share its fate with
	}
	for i := range rhoSteps + 1 {
		widen(icc.Low + (icc.High-icc.Low)*float64(i)/rhoSteps)
	}
	return one, several
}

// share is how many like teeth there are, and the chance that one of them fails.
type share struct {
	n int
	p ends
}

// cover widens a range to what lies between two ends.
func cover(e *basis.Estimate, x ends) {
	e.Low, e.High = min(e.Low, x.low), max(e.High, x.high)
}

// atLeast is the chance that at least one and that at least two teeth fail, in both
// readings, the one that takes all teeth as alike first.
func atLeast(parts []share, rho float64) (one, two [2]ends) {
	n, mean := 0.0, ends{}
	none, single := ends{1, 1}, ends{}
	for i := range parts {
		c := &parts[i]
		p, k := c.p, float64(c.n)
		q0, q1 := noneAndOne(c.n, p, rho)
		n, mean.low, mean.high = n+k, mean.low+k*p.low, mean.high+k*p.high
		none, single = ends{none.low * q0.low, none.high * q0.high},
			ends{none.low*q1.low + single.low*q0.low, none.high*q1.high + single.high*q0.high}
	}
	rest := func(none, single ends) (one, two ends) {
		return ends{1 - none.low, 1 - none.high}, ends{max(0, 1-none.low-single.low), max(0, 1-none.high-single.high)}
	}
	one[1], two[1] = rest(none, single)
	if len(parts) == 1 {
		return [2]ends{one[1], one[1]}, [2]ends{two[1], two[1]}
	}
	one[0], two[0] = rest(noneAndOne(int(n), ends{mean.low / n, mean.high / n}, rho))
	return one, two
}

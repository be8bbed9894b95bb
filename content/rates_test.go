package content

import (
	"fmt"
	"math"
	"testing"

	"plainleaf/build/outside"
)

// The 95 % intervals of cohort rates follow from their counts: Wilson's interval
// (J Am Stat Assoc 1927;22:209) of the counts divided by the design effect
// D = 1 + (veneers/people - 1) * 0.15, since the teeth of one mouth fail together.
func TestRatesFollowFromCounts(t *testing.T) {
	const z, rho = 1.959964, 0.15
	b := MustLoad()
	for _, row := range outside.Table(t, "../testdata/published/frequencies.csv") {
		id := row[0]
		var v [7]float64
		for i := range v {
			v[i] = outside.Num(t, row[1+i])
		}
		events, of, people := v[0], v[1], v[2]
		d := 1 + (of/people-1)*rho
		n, x := of/d, events/d
		// The two ends are where (x/n - p)^2 = z^2 p(1-p)/n, solved as a quadratic in p.
		a2, a1, a0 := 1+z*z/n, -(2*x/n + z*z/n), x*x/n/n
		root := math.Sqrt(math.Max(0, a1*a1-4*a2*a0))
		low, high := (-a1-root)/(2*a2), (-a1+root)/(2*a2)
		where := "evidence dossier 2, section 4, " + id
		outside.Check(t, where, 100*events/of, v[3], 0.051)
		outside.Check(t, where, 100*low, v[4], 0.051)
		outside.Check(t, where, 100*high, v[5], 0.051)
		outside.Check(t, where, d, v[6], 0.0051)
		g, ok := b.Figure(id)
		if !ok {
			t.Errorf("no figure %s", id)
			continue
		}
		if got, want := fmt.Sprint(g.Events, g.Of, g.People, g.Value, g.Low, g.High), fmt.Sprint(events, of, people, v[3], v[4], v[5]); got != want {
			t.Errorf("%s is %s, want %s", id, got, want)
		}
	}
}

package compile

import (
	"fmt"
	"math"

	"plainleaf/app/evidence"
	"plainleaf/app/evidence/pool"
	"plainleaf/app/fault"
)

// pools works out every pool of b; what is wrong with the rows of those that have no
// point then, content.Check reports.
func pools(b *evidence.Base, out *fault.List) {
	b.Index()
	for i := range b.Pools {
		if b.Pools[i].Computed != nil {
			out.Add("CONTENT-POOL", fmt.Sprintf("pools[%d].computed", i), "what is computed is not written by hand; leave it out")
			b.Pools[i].Computed = nil
		}
	}
	Pool(b)
}

// Pool works out every pool of b whose rows allow it, as the compiler does.
func Pool(b *evidence.Base) {
	rho, _ := b.Setting("clustering")
	// First those whose own spread between practices counts, then those that take theirs for the least.
	for _, floored := range []bool{false, true} {
		for i := range b.Pools {
			p := &b.Pools[i]
			if (p.Floor != "") != floored {
				continue
			}
			floor := 0.0
			if floored {
				f := b.Pool(p.Floor)
				if f == nil || f.Floor != "" || f.Computed == nil {
					continue
				}
				floor = f.Computed.Tau
			}
			p.Computed = rounded(pooled(b, p, rho.Value, floor))
		}
	}
}

// pooled is the point of p; not a number where something it needs is missing.
func pooled(b *evidence.Base, p *evidence.Pool, rho, floor float64) pool.Point {
	years, _ := b.Figure(p.Years)
	var cohorts []pool.Cohort
	for _, id := range p.Cohorts {
		c := b.Cohort(id)
		if c == nil {
			return pool.Point{Mu: math.NaN()}
		}
		cohorts = append(cohorts, pool.Cohort{Survival: c.Survival, Years: c.Years,
			Failed: float64(c.Failed), Units: float64(c.Restorations), People: float64(c.People)})
	}
	switch published, _ := b.Figure(p.Published); {
	case p.Method == "pool":
		return pool.Random(cohorts, years.Value, rho, floor)
	case p.Method == "events":
		return pool.Events(cohorts, years.Value, rho, floor)
	case p.Method == "interval" && p.LowOnly:
		return pool.FromLow(published.Value, published.Low, floor)
	case p.Method == "interval":
		return pool.Interval(published.Value, published.Low, published.High, floor)
	}
	return pool.Point{Mu: math.NaN()}
}

// rounded is a point as it is kept, to six decimals; nil when it is no number.
func rounded(p pool.Point) *evidence.Pooled {
	to := func(v float64) float64 { return math.Round(v*1e6) / 1e6 }
	r := &evidence.Pooled{Mu: to(p.Mu), SE: to(p.SE), Tau: to(p.Tau), U: to(p.U())}
	if v := r.Mu + r.U; math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	return r
}

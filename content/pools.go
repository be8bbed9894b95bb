package content

import (
	"fmt"
	"maps"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"plainleaf/app/evidence"
	"plainleaf/app/evidence/pool"
)

var pools = regexp.MustCompile(`^[A-Z]{2}(-[A-Z0-9]{1,2})*$`)

// counted are the counts of a cohort.
var counted = []string{"failed", "restorations", "people"}

func (c *check) cohort() {
	ids(c, "cohorts", c.b.Cohorts, func(x evidence.Cohort) string { return x.ID }, kebab)
	for i, x := range c.b.Cohorts {
		p := fmt.Sprintf("cohorts[%d]", i)
		c.sourceUsed[x.Source] = true
		if !c.sources[x.Source] {
			c.add("CONTENT-SOURCE-UNKNOWN", p+".source", "there is no source %q", x.Source)
		}
		c.one(p+".endpoint", x.Endpoint, "in-place", "nothing-needed")
		c.one(p+".studied", x.Studied, slices.Sorted(maps.Keys(evidence.Studied()))...)
		if !(x.Survival > 0 && x.Survival <= 1) {
			c.add("CONTENT-COHORT", p+".survival", "survival %v is not over 0 and at most 1", x.Survival)
		}
		if (x.Survival == 1) != (x.Failed == 0) {
			c.add("CONTENT-COHORT", p+".failed", "survival %v and %d failures do not go together", x.Survival, x.Failed)
		}
		if !(x.Years > 0 && x.Years <= 50) {
			c.add("CONTENT-COHORT", p+".years", "%v is not over 0 and at most 50 years", x.Years)
		}
		if x.Restorations < 1 {
			c.add("CONTENT-COHORT", p+".restorations", "a cohort has at least one restoration")
		}
		if x.Failed < 0 || x.Failed > x.Restorations {
			c.add("CONTENT-COHORT", p+".failed", "%d of %d restorations cannot have failed", x.Failed, x.Restorations)
		}
		if x.People < 1 || x.People > x.Restorations {
			c.add("CONTENT-COHORT", p+".people", "%d people cannot have %d restorations", x.People, x.Restorations)
		}
		for j, k := range x.Implied {
			c.one(fmt.Sprintf("%s.implied[%d]", p, j), k, counted...)
		}
		for j, k := range x.Memory {
			at := fmt.Sprintf("%s.memory[%d]", p, j)
			c.one(at, k, counted...)
			if slices.Contains(x.Implied, k) {
				c.add("CONTENT-COHORT", at, "%q is either implied or from memory", k)
			}
		}
		if len(x.Implied)+len(x.Memory) > 0 && strings.TrimSpace(x.Note) == "" {
			c.add("CONTENT-MISSING", p+".note", "a count that is not printed needs a note on where it comes from")
		}
		if !slices.ContainsFunc(c.b.Pools, func(p evidence.Pool) bool { return slices.Contains(p.Cohorts, x.ID) }) {
			c.add("CONTENT-UNUSED", p, "no pool names cohort %q", x.ID)
		}
	}
}

func (c *check) pool() {
	ids(c, "pools", c.b.Pools, func(x evidence.Pool) string { return x.ID }, pools)
	byID := map[string]*evidence.Pool{}
	first := "" // the pool whose own spread is the floor of all others
	for i := range c.b.Pools {
		x := &c.b.Pools[i]
		byID[x.ID] = x
		if x.Floor == "" && first == "" {
			first = x.ID
		}
	}
	for i := range c.b.Pools {
		x := &c.b.Pools[i]
		p := fmt.Sprintf("pools[%d]", i)
		c.one(p+".endpoint", x.Endpoint, "in-place", "nothing-needed")
		c.one(p+".setting", x.Setting, "specialist", "daily-practice", "mixed")
		if strings.TrimSpace(x.Reason) == "" {
			c.add("CONTENT-MISSING", p+".reason", "a pool needs its reason")
		}
		c.must(p+".years", x.Years, "years")
		c.limits(p, x)
		from := c.members(p, x)
		switch f := byID[x.Floor]; {
		case x.Floor == "":
			if x.ID != first {
				c.add("CONTENT-POOL", p+".floor", "only one pool goes by its own spread alone, and %s does", first)
			} else if x.Method != "pool" || len(x.Cohorts) < 2 {
				c.add("CONTENT-POOL", p+".floor", "a spread between practices comes from two cohorts or more")
			}
		case f == nil:
			c.add("CONTENT-KEY-UNKNOWN", p+".floor", "there is no pool %q", x.Floor)
		case f.Floor != "":
			c.add("CONTENT-POOL", p+".floor", "pool %q has a floor itself", x.Floor)
		}
		c.must(p+".figure", x.Figure, "fraction")
		if x.Computed == nil {
			c.add("CONTENT-POOL", p, "it cannot be worked out; mend its rows, cohorts and figures first")
		} else if f := c.figures[x.Figure]; f != nil {
			c.agrees(p, *x.Computed, f, from)
		}
	}
}

// limits checks how long the studies of each material go on.
func (c *check) limits(p string, x *evidence.Pool) {
	if len(x.Limits) == 0 {
		c.add("CONTENT-MISSING", p+".limits", "a pool says for which materials it speaks and for how long")
	}
	seen := map[string]bool{}
	for j, l := range x.Limits {
		q := fmt.Sprintf("%s.limits[%d]", p, j)
		c.must(q+".years", l.Years, "years")
		if y, most := c.figures[x.Years], c.figures[l.Years]; y != nil && most != nil && y.Value > most.Value {
			c.add("CONTENT-POOL", q+".years", "the limit comes before the pool's own time")
		}
		if len(l.Materials) == 0 {
			c.add("CONTENT-MISSING", q+".materials", "at least one material")
		}
		for k, m := range l.Materials {
			at := fmt.Sprintf("%s.materials[%d]", q, k)
			if !slices.ContainsFunc(c.b.Materials, func(r evidence.MaterialRule) bool { return r.Key == m }) {
				c.add("CONTENT-KEY-UNKNOWN", at, "there is no material %q", m)
			}
			if seen[string(m)] {
				c.add("CONTENT-POOL", at, "material %q has a limit already", m)
			}
			seen[string(m)] = true
		}
	}
}

// members checks what the pool is made from and returns the sources of that.
func (c *check) members(p string, x *evidence.Pool) (from []string) {
	c.one(p+".method", x.Method, "pool", "events", "interval")
	if interval := x.Method == "interval"; interval != (x.Published != "") || interval != (len(x.Cohorts) == 0) || x.LowOnly && !interval {
		c.add("CONTENT-POOL", p+".method", "method interval takes a published figure, low_only is for it; every other method takes cohorts")
	}
	if f := c.ref(p+".published", x.Published, "fraction"); f != nil {
		from = append(from, f.Source...)
		if !(f.Low > 0 && f.Low < f.Value && f.Value < f.High && f.High < 1) {
			c.add("CONTENT-POOL", p+".published", "figure %q has no interval between 0 and 1", x.Published)
		}
	}
	for j, id := range x.Cohorts {
		at := fmt.Sprintf("%s.cohorts[%d]", p, j)
		i := slices.IndexFunc(c.b.Cohorts, func(y evidence.Cohort) bool { return y.ID == id })
		switch {
		case i < 0:
			c.add("CONTENT-KEY-UNKNOWN", at, "there is no cohort %q", id)
			continue
		case slices.Contains(x.Cohorts[:j], id):
			c.add("CONTENT-POOL", at, "cohort %q is named twice", id)
		case c.b.Cohorts[i].Endpoint != x.Endpoint:
			c.add("CONTENT-POOL", at, "cohort %q is of the other endpoint", id)
		case x.Method == "pool" && c.b.Cohorts[i].Failed == 0:
			c.add("CONTENT-POOL", at, "cohort %q had no failure, which method pool cannot use", id)
		}
		from = append(from, c.b.Cohorts[i].Source)
	}
	return from
}

// agrees checks that the figure people read is what was computed, to its digits, and
// cites the sources of all that it was made from.
func (c *check) agrees(p string, got evidence.Pooled, f *evidence.Figure, from []string) {
	at := func(u float64) float64 { return math.Exp(-math.Exp(got.Mu + u*pool.Z95*got.U)) }
	for _, e := range []struct {
		name      string
		shown, is float64
	}{{"value", f.Value, at(0)}, {"low", f.Low, at(1)}, {"high", f.High, at(-1)}} {
		if !shows(f, e.shown, e.is) {
			c.add("CONTENT-POOL", p+".figure", "%s %v of figure %q is not the computed %.6f", e.name, e.shown, f.ID, e.is)
		}
	}
	if f.Seen != evidence.Computed {
		c.add("CONTENT-POOL", p+".figure", "figure %q is computed and says %q", f.ID, f.Seen)
	}
	slices.Sort(from)
	if cited := slices.Sorted(slices.Values(f.Source)); !slices.Equal(cited, slices.Compact(from)) {
		c.add("CONTENT-POOL", p+".figure", "figure %q cites %v and was made from %v", f.ID, cited, slices.Compact(from))
	}
}

// shows reports whether a number of f is a value rounded to the digits f is given in.
func shows(f *evidence.Figure, shown, is float64) bool {
	digits := 0
	for _, v := range []float64{f.Value, f.Low, f.High} {
		_, after, _ := strings.Cut(strconv.FormatFloat(v, 'f', -1, 64), ".")
		digits = max(digits, len(after))
	}
	return math.Abs(shown-is) <= 0.5*math.Pow10(-digits)+1e-9
}

// spread checks a figure's spread against its range.
func (c *check) spread(p string, f *evidence.Figure) {
	if f.Spread == 0 {
		return
	}
	if f.Unit != "ratio" || !(f.Spread > 0) || f.Low <= 0 {
		c.add("CONTENT-SPREAD", p+".spread", "a spread is over 0 and of a ratio over 0")
		return
	}
	far := math.Exp(pool.Z95 * f.Spread)
	if low, high := f.Value/far, f.Value*far; !shows(f, f.Low, low) || !shows(f, f.High, high) {
		c.add("CONTENT-SPREAD", p+".spread", "a spread of %v about %v is %.3f to %.3f, the figure has %v to %v", f.Spread, f.Value, low, high, f.Low, f.High)
	}
}

package plan

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
	"plainleaf/build/trials"
)

// undrilled are the cohorts of veneers without drilling or with a little (evidence-2 3.2);
// kept apart from the data on purpose.
var undrilled = []string{"smi801", "smi22-no-minimal"}

// anchorsOf lists the anchors behind what is known of an endpoint, each once.
func anchorsOf(list []Expectation, endpoint string, into []string) []string {
	for _, e := range list {
		if e.Known && e.Route != "" && e.Endpoint == endpoint && !slices.Contains(into, e.Anchor) {
			into = append(into, e.Anchor)
		}
	}
	return into
}

// Anchors rest on different studies of different people. No plan puts numbers of two of
// them beside each other: not the routes that may be compared, not the order of a
// priority. And no number of veneers without drilling rests on drilled ones.
func TestNoPlanRanksTwoAnchors(t *testing.T) {
	r := rand.New(rand.NewPCG(30, 11))
	all := cases(t)
	for i := range trials.N(120, 300, 2000) {
		all[fmt.Sprint("random-", i)] = random(r)
	}
	compared, undrilledNumbers := 0, 0
	for name, c := range all {
		c.Priorities = nil
		for _, x := range base.Priorities {
			c.Priorities = append(c.Priorities, x.Key)
		}
		p := mustFor(t, c, demo(t), base)
		routes := map[casefile.Route]RouteFacts{}
		for _, endpoint := range []string{InPlace, NothingNeeded} {
			var anchors []string
			for _, f := range p.Routes {
				routes[f.Key] = f
				if f.Comparable && !f.Chosen { // a chosen mouth of several says so
					anchors = anchorsOf(f.Expectations, endpoint, anchors)
				}
			}
			if compared += len(anchors); len(anchors) > 1 {
				t.Errorf("%s: %s of %v may be compared", name, endpoint, anchors)
			}
		}
		for _, s := range p.Order {
			if s.Fact != InPlace && s.Fact != NothingNeeded {
				continue
			}
			var anchors []string
			for _, f := range s.Routes {
				if f.Value.Known() {
					anchors = anchorsOf(routes[f.Route].Expectations, s.Fact, anchors)
				}
			}
			if len(anchors) > 1 {
				t.Errorf("%s: %s is put in order by %v", name, s.Fact, anchors)
			}
		}
		for _, f := range append(p.Routes, RouteFacts{Expectations: p.Expectations}) {
			for _, e := range f.Expectations {
				if !e.Known || e.Route != casefile.NoPrep && e.Route != casefile.MinimalPrep {
					continue
				}
				undrilledNumbers++
				i := slices.IndexFunc(base.Anchors, func(a evidence.Anchor) bool { return a.ID == e.Anchor })
				for _, id := range base.Pool(base.Anchors[i].Pool).Cohorts {
					if !slices.Contains(undrilled, id) {
						t.Errorf("%s: %s of %s rests on %s", name, e.Endpoint, e.Route, id)
					}
				}
			}
		}
	}
	if compared < 100 || undrilledNumbers < 100 {
		t.Errorf("only %d anchors compared, %d numbers without drilling", compared, undrilledNumbers)
	}
}

package plan

import (
	"math/rand/v2"
	"slices"
	"testing"

	"plainleaf/app/casefile"
)

// Every tooth that is restored stands in one group of like teeth, and each group
// has one entry for each endpoint and year.
func TestAlikeTeeth(t *testing.T) {
	rng := rand.New(rand.NewPCG(17, 3))
	several, p := 0, demo(t)
	for range 300 {
		pl, faults := For(random(rng), p, base)
		if len(faults) > 0 {
			t.Fatal(faults.Lines())
		}
		groups := AlikeTeeth(pl.Expectations)
		seen := map[casefile.Tooth]int{}
		for _, g := range groups {
			for _, tooth := range g.Teeth {
				seen[tooth]++
			}
			type key struct {
				endpoint string
				years    int
			}
			count := map[key]int{}
			for _, e := range g.List {
				count[key{e.Endpoint, e.Years}]++
				if e.Known && !slices.Equal(e.Teeth, g.Teeth) {
					t.Fatalf("a number of %v stands with %v", e.Teeth, g.Teeth)
				}
			}
			for k, n := range count {
				if n != 1 {
					t.Fatalf("%v: %d entries for %v", g.Teeth, n, k)
				}
			}
			for _, o := range groups {
				if o.Route == g.Route && o.Material == g.Material && !slices.Equal(o.Teeth, g.Teeth) {
					several++
				}
			}
		}
		for _, e := range pl.Expectations {
			for _, tooth := range e.Teeth {
				if seen[tooth] != 1 {
					t.Fatalf("tooth %v stands in %d groups", tooth, seen[tooth])
				}
			}
		}
	}
	if several == 0 {
		t.Error("no case had teeth of one route and material with unlike outlooks")
	}
}

// What needed nothing is still in place: it is never known where that is not, and
// never likelier.
func TestNothingNeededIsWithinInPlace(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 8))
	seen := 0
	check := func(list []Expectation) {
		for _, g := range AlikeTeeth(list) {
			for _, b := range g.List {
				if b.Endpoint != NothingNeeded || !b.Known {
					continue
				}
				i := slices.IndexFunc(g.List, func(e Expectation) bool { return e.Endpoint == InPlace && e.Years == b.Years })
				a := g.List[i]
				seen++
				if a.PerTooth.Unknown == TooUncertain {
					continue // it is known, only not how well
				}
				if !a.Known || b.PerTooth.Low > a.PerTooth.Low || b.PerTooth.Likely > a.PerTooth.Likely || b.PerTooth.High > a.PerTooth.High {
					t.Fatalf("%s %s %v after %d years: in place %+v, nothing needed %+v", g.Route, g.Material, g.Teeth, b.Years, a.PerTooth, b.PerTooth)
				}
			}
		}
	}
	p := demo(t)
	run := func(c casefile.Case) {
		pl, faults := For(c, p, base)
		if len(faults) > 0 {
			t.Fatal(faults.Lines())
		}
		check(pl.Expectations)
		for _, r := range pl.Routes {
			check(r.Expectations)
		}
	}
	for range 200 {
		run(random(rng))
	}
	for i := range base.Routes {
		r := &base.Routes[i]
		for _, m := range r.Materials {
			for _, finding := range []string{"", "dentin-sealed", "dentin-unsealed"} {
				c := simple(r.Key, m, "11", "21")
				if finding != "" {
					c.Teeth[0].Findings = []string{finding}
				}
				run(c)
			}
		}
	}
	if seen < 1000 {
		t.Errorf("only %d pairs", seen)
	}
}

package plan

import (
	"bytes"
	"encoding/json"
	"math/rand/v2"
	"slices"
	"testing"

	"plainleaf/app/veneer"
)

// tape is a source of chance that reads its numbers off bytes, so that a fuzzer
// that changes a byte changes one choice; then it runs on by itself.
type tape struct {
	left []byte
	rest *rand.PCG
}

func (s *tape) Uint64() uint64 {
	if len(s.left) == 0 {
		return s.rest.Uint64()
	}
	v := uint64(s.left[0])
	s.left = s.left[1:]
	return v * 0x0101010101010101
}

// FuzzPlan makes a case out of bytes and asks of its plan what must be true of
// every plan.
func FuzzPlan(f *testing.F) {
	for i := range 8 {
		f.Add(bytes.Repeat([]byte{byte(37 * i), byte(91 * i), 7}, 20+10*i))
	}
	p := demo(f)
	f.Fuzz(func(t *testing.T, data []byte) {
		r := rand.New(&tape{data, rand.NewPCG(uint64(len(data)), 1)})
		c := random(r)
		pl, faults := For(c, p, base)
		if len(faults) > 0 {
			t.Fatal(faults.Lines())
		}
		once, err := json.Marshal(pl)
		if err != nil {
			t.Fatal(err)
		}
		again, _ := For(c, p, base)
		if twice, _ := json.Marshal(again); !bytes.Equal(once, twice) {
			t.Error("the same case gave two plans")
		}
		var doc any
		if err := json.Unmarshal(once, &doc); err != nil {
			t.Fatal(err)
		}
		ordered(t, "", doc)
		for _, route := range append(pl.Routes, RouteFacts{Expectations: pl.Expectations}) {
			chances(t, route.Expectations)
		}
		later := c
		addFinding(&later, r)
		if q, faults := For(later, p, base); len(faults) > 0 {
			t.Error(faults.Lines())
		} else {
			notSooner(t, pl, q)
		}
		moreTeeth(t, c, p, pl)
	})
}

// chances looks at one list: between 0 and 1, falling with time, and no more
// likely that two fail than that one does.
func chances(t *testing.T, es []Expectation) {
	t.Helper()
	for i, e := range es {
		for _, x := range []Estimate{e.PerTooth, e.AtLeastOne, e.Several} {
			if x.Known() && (x.Low < 0 || x.High > 1) {
				t.Errorf("%s after %d years: %+v is no chance", e.Endpoint, e.Years, x)
			}
		}
		if !e.Known {
			continue
		}
		if e.AtLeastOne.Known() {
			for k := range 3 {
				if e.Several.at(k) > e.AtLeastOne.at(k) || e.Expected.at(k) > float64(len(e.Teeth)) || e.AtLeastOne.at(k) > e.Expected.at(k)+1e-4 {
					t.Errorf("%+v", e)
				}
			}
		}
		for _, o := range es[:i] {
			if o.Known && o.Endpoint == e.Endpoint && o.Route == e.Route && o.Material == e.Material && slices.Equal(o.Teeth, e.Teeth) && slices.Equal(o.Modifiers, e.Modifiers) && o.Anchor == e.Anchor && o.Years < e.Years {
				for k := range 3 {
					if e.PerTooth.at(k) > o.PerTooth.at(k) || e.AtLeastOne.Known() && e.AtLeastOne.at(k) < o.AtLeastOne.at(k) {
						t.Errorf("better after %d years than after %d: %+v, %+v", e.Years, o.Years, e.PerTooth, o.PerTooth)
					}
				}
			}
		}
	}
}

func addFinding(c *veneer.Case, r *rand.Rand) {
	f := base.Findings[r.IntN(len(base.Findings))]
	if f.Scope != "tooth" || len(c.Teeth) == 0 {
		if f.Scope != "tooth" {
			c.Findings = append(slices.Clone(c.Findings), f.Key)
		}
		return
	}
	c.Teeth = slices.Clone(c.Teeth)
	e := &c.Teeth[r.IntN(len(c.Teeth))]
	if !slices.Contains(e.Findings, f.Key) {
		e.Findings = append(slices.Clone(e.Findings), f.Key)
	}
}

// notSooner: on every route that both plans have, the last visit of b is no
// earlier than that of a, on any track.
func notSooner(t *testing.T, a, b Plan) {
	t.Helper()
	for _, x := range a.Routes {
		for _, y := range b.Routes {
			if x.Key == y.Key && (y.Dates.Earliest.Before(x.Dates.Earliest) || y.Dates.Likely.Before(x.Dates.Likely) || y.Dates.Latest.Before(x.Dates.Latest)) {
				t.Errorf("%s ends %v, with one finding more %v", x.Key, x.Dates, y.Dates)
			}
		}
	}
}

// moreTeeth: one more tooth like the first means no fewer failures and no less
// chance of one.
func moreTeeth(t *testing.T, c veneer.Case, p veneer.Practice, one Plan) {
	t.Helper()
	i := slices.IndexFunc(veneer.AllTeeth(), func(x veneer.Tooth) bool {
		return !slices.ContainsFunc(c.Teeth, func(e veneer.ToothEntry) bool { return e.Tooth == x })
	})
	if len(c.Teeth) == 0 || i < 0 {
		return
	}
	e := c.Teeth[0]
	e.Tooth = veneer.AllTeeth()[i]
	c.Teeth = append(slices.Clone(c.Teeth), e)
	more, faults := For(c, p, base)
	if len(faults) > 0 {
		t.Error(faults.Lines())
		return
	}
	whole := func(p Plan, endpoint string, years int) (out Expectation) {
		for _, e := range p.Expectations {
			if e.Endpoint == endpoint && e.Years == years {
				out = e // of all teeth together last
			}
		}
		return out
	}
	for _, e := range one.Expectations {
		a, b := whole(one, e.Endpoint, e.Years), whole(more, e.Endpoint, e.Years)
		if a.Known && b.Known && len(b.Teeth) == len(a.Teeth)+1 && b.Expected.Known() && a.Expected.Known() {
			for k := range 3 { // rounding of the parts shows in the last place
				if b.Expected.at(k) < a.Expected.at(k)-0.004 {
					t.Errorf("%d teeth %+v, %d teeth %+v", len(a.Teeth), a.Expected, len(b.Teeth), b.Expected)
				}
			}
		}
	}
}

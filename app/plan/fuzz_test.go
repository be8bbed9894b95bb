package plan

import (
	"bytes"
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
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
		inOrder(t, reflect.ValueOf(pl))
		for _, route := range append(pl.Routes, RouteFacts{Expectations: pl.Expectations}) {
			chances(t, route.Expectations)
		}
		// One of the questions that need a second plan; the bytes choose which.
		switch r.IntN(3) {
		case 0:
			if again, _ := For(c, p, base); !reflect.DeepEqual(pl, again) {
				t.Error("the same case gave two plans")
			}
		case 1:
			more := c
			rule := addFinding(&more, r)
			q, faults := For(more, p, base)
			if len(faults) > 0 {
				t.Fatal(faults.Lines())
			}
			notSooner(t, pl, q)
			if worsens(rule) {
				notBetter(t, pl, q)
			}
		case 2:
			moreTeeth(t, c, p, pl)
		}
	})
}

// inOrder walks a plan: wherever there is a range that is known, or the dates of
// a span, they are in order.
func inOrder(t *testing.T, v reflect.Value) {
	t.Helper()
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			inOrder(t, v.Elem())
		}
	case reflect.Slice:
		for i := range v.Len() {
			inOrder(t, v.Index(i))
		}
	case reflect.Struct:
		switch x := v.Interface().(type) {
		case Estimate:
			if x.Known() && !(x.Low <= x.Likely && x.Likely <= x.High) {
				t.Errorf("range %+v", x)
			}
			return
		case Span:
			if x.Likely.Before(x.Earliest) || x.Latest.Before(x.Likely) {
				t.Errorf("dates %+v", x)
			}
			return
		}
		for i := range v.NumField() {
			if v.Type().Field(i).IsExported() {
				inOrder(t, v.Field(i))
			}
		}
	}
}

// worsens reports whether a finding does nothing to the outlook but raise the hazard.
func worsens(f evidence.Finding) bool {
	raises := false
	for _, e := range f.Effects {
		if e.Dentin != "" || f.Private {
			return false
		}
		i := slices.IndexFunc(base.Modifiers, func(m evidence.Modifier) bool { return m.ID == e.Modifier })
		if i < 0 {
			continue
		}
		m, ok := base.Figure(base.Modifiers[i].Multiplier)
		if ok && m.Low < 1 {
			return false
		}
		raises = raises || ok
	}
	return raises
}

// notBetter: no endpoint of the whole mouth is likelier to hold in b than in a.
func notBetter(t *testing.T, a, b Plan) {
	t.Helper()
	for _, e := range a.Expectations {
		x, y := wholeMouth(a, e.Endpoint, e.Years), wholeMouth(b, e.Endpoint, e.Years)
		if !x.Known || !y.Known {
			continue
		}
		for k := range 3 { // rounding of the parts shows in the last places
			if y.Expected.End(k) < x.Expected.End(k)-0.004 || y.PerTooth.End(k) > x.PerTooth.End(k)+2e-4 {
				t.Errorf("%s after %d years: %+v, with what raises the hazard %+v", e.Endpoint, e.Years, x.Expected, y.Expected)
			}
		}
	}
}

// wholeMouth is the outlook of all teeth together.
func wholeMouth(p Plan, endpoint string, years int) (out Expectation) {
	for _, e := range p.Expectations {
		if e.Endpoint == endpoint && e.Years == years {
			out = e // of all teeth together last
		}
	}
	return out
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
				if e.Several.End(k) > e.AtLeastOne.End(k) || e.Expected.End(k) > float64(len(e.Teeth)) || e.AtLeastOne.End(k) > e.Expected.End(k)+1e-4 {
					t.Errorf("%+v", e)
				}
			}
		}
		for _, o := range es[:i] {
			if o.Known && o.Endpoint == e.Endpoint && o.Route == e.Route && o.Material == e.Material && slices.Equal(o.Teeth, e.Teeth) && slices.Equal(o.Modifiers, e.Modifiers) && o.Anchor == e.Anchor && o.Years < e.Years {
				for k := range 3 {
					if e.PerTooth.End(k) > o.PerTooth.End(k) || e.AtLeastOne.Known() && e.AtLeastOne.End(k) < o.AtLeastOne.End(k) {
						t.Errorf("better after %d years than after %d: %+v, %+v", e.Years, o.Years, e.PerTooth, o.PerTooth)
					}
				}
			}
		}
	}
}

func addFinding(c *casefile.Case, r *rand.Rand) evidence.Finding {
	f := base.Findings[r.IntN(len(base.Findings))]
	if f.Scope != "tooth" || len(c.Teeth) == 0 {
		if f.Scope != "tooth" {
			c.Findings = append(slices.Clone(c.Findings), f.Key)
		}
		return f
	}
	c.Teeth = slices.Clone(c.Teeth)
	e := &c.Teeth[r.IntN(len(c.Teeth))]
	if !slices.Contains(e.Findings, f.Key) {
		e.Findings = append(slices.Clone(e.Findings), f.Key)
	}
	return f
}

// notSooner: on every route that both plans have with dates, for the same teeth, the
// last visit of b is no earlier than that of a, on any track. A held route has none.
func notSooner(t *testing.T, a, b Plan) {
	t.Helper()
	for _, x := range a.Routes {
		for _, y := range b.Routes {
			if x.Key != y.Key || !slices.Equal(x.Teeth, y.Teeth) || len(x.Held) == 0 && len(y.Held) > 0 {
				continue
			}
			if y.Dates.Earliest.Before(x.Dates.Earliest) || y.Dates.Likely.Before(x.Dates.Likely) || y.Dates.Latest.Before(x.Dates.Latest) {
				t.Errorf("%s ends %v, with one finding more %v", x.Key, x.Dates, y.Dates)
			}
		}
	}
}

// moreTeeth: one more tooth like the first means no fewer failures and no less
// chance of one.
func moreTeeth(t *testing.T, c casefile.Case, p casefile.Practice, one Plan) {
	t.Helper()
	i := slices.IndexFunc(casefile.AllTeeth(), func(x casefile.Tooth) bool {
		return !slices.ContainsFunc(c.Teeth, func(e casefile.ToothEntry) bool { return e.Tooth == x })
	})
	if len(c.Teeth) == 0 || i < 0 {
		return
	}
	e := c.Teeth[0]
	e.Tooth = casefile.AllTeeth()[i]
	c.Teeth = append(slices.Clone(c.Teeth), e)
	more, faults := For(c, p, base)
	if len(faults) > 0 {
		t.Error(faults.Lines())
		return
	}
	for _, e := range one.Expectations {
		a, b := wholeMouth(one, e.Endpoint, e.Years), wholeMouth(more, e.Endpoint, e.Years)
		if a.Known && b.Known && len(b.Teeth) == len(a.Teeth)+1 && b.Expected.Known() && a.Expected.Known() {
			for k := range 3 { // rounding of the parts shows in the last place
				if b.Expected.End(k) < a.Expected.End(k)-0.004 {
					t.Errorf("%d teeth %+v, %d teeth %+v", len(a.Teeth), a.Expected, len(b.Teeth), b.Expected)
				}
			}
		}
	}
}

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

// FuzzChances asks the same of the sums behind the expectations, thousands of
// times for each plan: chances lie between 0 and 1, low to high, and get no better
// with time, teeth or hazard.
func FuzzChances(f *testing.F) {
	f.Add([]byte{200, 10, 100, 80, 9, 30, 5, 6, 7})
	f.Add([]byte{255, 1, 0, 0, 31, 0, 0, 0, 0})
	f.Add([]byte{1, 255, 255, 255, 31, 255, 255, 255, 255})
	f.Fuzz(func(t *testing.T, data []byte) {
		r := rand.New(&tape{data, rand.NewPCG(uint64(len(data)), 1)})
		part := func() float64 { return float64(r.IntN(256)) / 255 }
		survival, years, k := max(part(), 1e-3), 1+20*part(), 0.3+2.7*part()
		hazards, limit := []float64{}, 10*part()
		for range r.IntN(4) {
			hazards = append(hazards, 1+3*part())
		}
		hr := combine(hazards, limit)
		worse := combine(append(hazards, 1+3*part()), limit)
		if worse < hr-1e-12 || limit > 0 && worse > limit {
			t.Errorf("%v capped at %v: %v, with one more %v", hazards, limit, hr, worse)
		}
		before := 1.0
		for _, at := range []float64{1, 2, 5, 10, 20, 30} {
			s := weibull(survival, years, hr, at, k)
			if s < 0 || s > before || weibull(survival, years, worse, at, k) > s {
				t.Errorf("%v at %v years, shape %v, hazard %v: %v after %v years, %v before", survival, years, k, hr, s, at, before)
			}
			before = s
		}
		icc := evidence.Figure{Low: part() / 2}
		icc.Value = icc.Low + part()/4
		icc.High = icc.Value + part()/4
		var parts []chance
		for range 1 + r.IntN(3) {
			s := Estimate{Low: part()}
			s.Likely = s.Low + (1-s.Low)*part()
			s.High = s.Likely + (1-s.Likely)*part()
			parts = append(parts, chance{1 + r.IntN(10), s})
		}
		one, several := shared(parts, &icc)
		for _, e := range []Estimate{one, several} {
			if !(0 <= e.Low && e.Low <= e.Likely && e.Likely <= e.High && e.High <= 1+1e-12) {
				t.Errorf("%v, %+v: %+v", parts, icc, e)
			}
		}
		n, p, rho := r.IntN(32), part(), part()
		none, exactlyOne := noneOne(n, p, rho)
		more, _ := noneOne(n+1, p, rho)
		riskier, _ := noneOne(n, min(1, p+part()), rho)
		if none < 0 || exactlyOne < 0 || none+exactlyOne > 1+1e-9 || more > none+1e-12 || riskier > none+1e-12 {
			t.Errorf("%d teeth, chance %v, correlation %v: none %v, one %v; with a tooth more %v, with more risk %v", n, p, rho, none, exactlyOne, more, riskier)
		}
		if several.Low > one.Low+1e-9 || several.Likely > one.Likely+1e-9 || several.High > one.High+1e-9 {
			t.Errorf("%v, %+v: two %+v, one %+v", parts, icc, several, one)
		}
	})
}

// inOrder walks a plan: wherever there is a range that is known, or the dates of
// a span, they stand in order.
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
			if y.Expected.at(k) < x.Expected.at(k)-0.004 || y.PerTooth.at(k) > x.PerTooth.at(k)+2e-4 {
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
				if b.Expected.at(k) < a.Expected.at(k)-0.004 {
					t.Errorf("%d teeth %+v, %d teeth %+v", len(a.Teeth), a.Expected, len(b.Teeth), b.Expected)
				}
			}
		}
	}
}

package plan

import (
	"encoding/json"
	"math/rand/v2"
	"strings"
	"sync"
	"testing"

	"plainleaf/app/casefile"
	"plainleaf/build/trials"
)

// random makes a case of anything the data knows, in combinations nobody would
// think of.
func random(r *rand.Rand) casefile.Case {
	pick := func(n int) int { return r.IntN(n) }
	routes := casefile.Routes()
	mats := base.Materials
	shades := append([]casefile.Shade{""}, casefile.Shades()...)
	c := simple(routes[pick(len(routes))], mats[pick(len(mats))].Key)
	c.Start = c.Issued.AddDays(pick(400))
	c.TargetShade = shades[pick(len(shades))]
	c.HorizonYears = pick(31)
	if pick(2) == 0 {
		c.Then = routes[1+pick(8)]
	}
	if age := []string{"", "child", "adolescent", "adult", "older-adult"}[pick(5)]; age != "" {
		c.People = &casefile.People{AgeBand: age}
	}
	bare := pick(8) == 0 && !c.Route.NeedsTeeth() // a mouth whose teeth are not entered yet
	for _, t := range casefile.AllTeeth() {
		if bare || pick(4) > 0 {
			continue
		}
		e := casefile.ToothEntry{Tooth: t, UnderlyingShade: shades[pick(len(shades))]}
		if pick(4) == 0 {
			e.Route, e.Material = routes[pick(len(routes))], mats[pick(len(mats))].Key
		}
		c.Teeth = append(c.Teeth, e)
	}
	if len(c.Teeth) == 0 && c.Route.NeedsTeeth() {
		c.Teeth = []casefile.ToothEntry{{Tooth: 11}}
	}
	for _, f := range base.Findings {
		if pick(5) > 0 {
			continue
		}
		if len(c.Teeth) > 0 && f.Scope != "case" {
			e := &c.Teeth[pick(len(c.Teeth))]
			e.Findings = append(e.Findings, f.Key)
		} else if f.Scope != "tooth" {
			c.Findings = append(c.Findings, f.Key)
		}
	}
	for _, x := range base.Changes {
		if pick(3) == 0 && len(c.Teeth) > 0 {
			a := []casefile.Answer{casefile.Blank, casefile.Agree, casefile.Ask, casefile.No}[pick(4)]
			c.Answers = append(c.Answers, casefile.AnswerEntry{Change: x.Key, Teeth: []casefile.Tooth{c.Teeth[pick(len(c.Teeth))].Tooth}, Answer: a})
		}
	}
	for _, p := range base.Priorities {
		if pick(2) == 0 {
			c.Priorities = append(c.Priorities, p.Key)
		}
	}
	return c
}

func TestRandomCases(t *testing.T) {
	r := rand.New(rand.NewPCG(2026, 11))
	s := planSchema(t)
	sunday, _ := casefile.ReadPractice(readFile(t, testdata+"practice/sunday-week.json"), base.Vocabulary([]string{"en", "es", "ar"}))
	practices := []casefile.Practice{demo(t), sunday, {}}
	var private []string
	for _, f := range base.Findings {
		if f.Private {
			private = append(private, f.Key)
		}
	}
	for i := range trials.N(20, 80, 2000) {
		c := random(r)
		in, _ := json.Marshal(c)
		p, faults := For(c, practices[i%3], base)
		if len(faults) > 0 {
			t.Fatalf("%s: %s", in, faults.Lines())
		}
		if i%4 == 0 {
			if err := s.Validate(document(t, p)); err != nil {
				t.Errorf("%s: %v", in, err)
			}
		}
		ordered(t, string(in), mustJSON(t, p))
		for _, v := range p.Visits {
			if v.Likely.Before(v.Earliest) || v.Latest.Before(v.Likely) {
				t.Errorf("%s: visit %+v", in, v)
			}
		}
		for _, f := range p.Routes {
			if f.Dates.Likely.Before(f.Dates.Earliest) || f.Dates.Latest.Before(f.Dates.Likely) {
				t.Errorf("%s: %s %+v", in, f.Key, f.Dates)
			}
		}
		p.Findings, p.PrivateFigures = nil, nil
		b, err := json.Marshal(p)
		if err != nil {
			t.Fatalf("%s: %v", in, err)
		}
		for _, k := range private {
			if strings.Contains(string(b), `"`+k+`"`) {
				t.Errorf("%s: private %s shows", in, k)
			}
		}
	}
}

// ordered walks a plan: wherever there is a range, low <= likely <= high.
func ordered(t *testing.T, name string, v any) {
	t.Helper()
	switch v := v.(type) {
	case map[string]any:
		low, ok1 := v["low"].(float64)
		likely, ok2 := v["likely"].(float64)
		high, ok3 := v["high"].(float64)
		if ok1 && ok2 && ok3 && (low > likely || likely > high) {
			t.Errorf("%s: range %v", name, v)
		}
		for _, x := range v {
			ordered(t, name, x)
		}
	case []any:
		for _, x := range v {
			ordered(t, name, x)
		}
	}
}

// A plan is a value of its own: planning other cases after it, or at the same time, must
// leave it as it is.
func TestPlansShareNothing(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 7))
	practices := []casefile.Practice{demo(t), {}}
	type one struct {
		c    casefile.Case
		p    casefile.Practice
		plan Plan
		text string
	}
	all := make([]one, 40)
	for i := range all {
		x := &all[i]
		x.c, x.p = random(r), practices[i%2]
		x.plan, _ = For(x.c, x.p, base)
		text, _ := json.Marshal(x.plan)
		x.text = string(text)
	}
	var wg sync.WaitGroup
	for i := range all {
		x := &all[i]
		wg.Go(func() {
			again, _ := For(x.c, x.p, base)
			if text, _ := json.Marshal(again); string(text) != x.text {
				t.Errorf("case %d, planned beside others: another plan", i)
			}
		})
	}
	wg.Wait()
	for i := range all {
		if text, _ := json.Marshal(all[i].plan); string(text) != all[i].text {
			t.Errorf("case %d: its plan changed after it was given", i)
		}
	}
}

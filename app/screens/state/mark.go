package state

import (
	"reflect"
	"strings"

	"plainleaf/app/casefile"
	"plainleaf/app/plan"
)

// Mark is the case and its plan before an edit, for Since.
type Mark struct {
	plan     *plan.Plan
	material casefile.Material
	stage    casefile.Stage
	route    casefile.Route
}

// Route is the way that was chosen when b was taken.
func (b Mark) Route() casefile.Route { return b.route }

// Mark remembers the case as it is.
func (d *Draft) Mark() Mark {
	if !d.upToDate() {
		return Mark{route: d.c.Route}
	}
	return Mark{d.plan, d.c.Material, d.Stage(), d.c.Route}
}

// Since is what an edit changed elsewhere.
type Since struct {
	Parts    []string          // of the plan: routes, visits, chair, waits, numbers, money
	Material casefile.Material // taken out because the way cannot use it
	Stage    casefile.Stage    // moved on by what was noted
	Rest     bool              // answers now rest that counted before
}

// Since compares with the case as it was; empty when nothing else changed.
func (d *Draft) Since(b Mark) Since {
	var s Since
	p := d.Plan()
	if b.plan == nil || p == nil || p == b.plan {
		return s
	}
	if b.material != "" && d.c.Material != b.material && d.unfit == b.material {
		s.Material = b.material
	}
	if now := d.Stage(); now != b.stage {
		s.Stage = now
	}
	s.Rest = resting(p) > resting(b.plan)
	for _, x := range []struct {
		key      string
		old, new any
	}{
		{"visits", dated(b.plan), dated(p)},
		{"chair", steps(b.plan), steps(p)},
		{"waits", waits(b.plan), waits(p)},
		{"numbers", b.plan.Expectations, p.Expectations},
		{"money", b.plan.Money.Total, p.Money.Total},
	} {
		if !reflect.DeepEqual(x.old, x.new) {
			s.Parts = append(s.Parts, x.key)
		}
	}
	return s
}

func dated(p *plan.Plan) []plan.Span {
	var out []plan.Span
	for _, v := range p.Visits {
		out = append(out, v.Span)
	}
	return out
}

// steps lists the chair changes with their teeth, whatever was answered.
func steps(p *plan.Plan) map[string]int {
	out := map[string]int{}
	for _, c := range p.ChairChanges {
		if !c.Rests {
			out[c.Key] += len(c.Places)
		}
	}
	return out
}

// Resting lists the answers to steps that cannot come up in this case.
func Resting(p *plan.Plan) []plan.Resting {
	var out []plan.Resting
	for _, c := range p.ChairChanges {
		if c.Rests && c.Answer != casefile.Blank {
			out = append(out, plan.Resting{Key: c.Key, Teeth: c.Teeth, Answer: c.Answer})
		}
	}
	return append(out, p.Resting...)
}

func resting(p *plan.Plan) int {
	n := 0
	for _, x := range Resting(p) {
		n += max(1, len(x.Teeth))
	}
	return n
}

func waits(p *plan.Plan) []string {
	var out []string
	for _, w := range p.WaitFor {
		out = append(out, w.Key)
	}
	return out
}

// ID makes a message id fit for an element id.
func ID(key string) string { return strings.ReplaceAll(key, ".", "-") }

package schedule

import (
	"slices"

	"plainleaf/app/casefile"
	"plainleaf/app/order"
	"plainleaf/app/plan/mouth"
)

// divide puts the teeth of long visits into sittings. Teeth that get temporary covers are
// prepared and glued in the same sittings, so that no cover stays longer than its own
// laboratory time.
func divide(c *mouth.Chart, steps []step) {
	covers := -1 // the step whose covers the gluing takes off
	for i := range steps {
		if steps[i].limit != nil && steps[i].covers && slices.ContainsFunc(steps[i+1:], func(s step) bool { return s.bonding }) {
			covers = i
		}
	}
	for i := range steps {
		s := &steps[i]
		if s.limit == nil {
			s.sittings = [][]casefile.Tooth{c.Teeth(s.on)}
			continue
		}
		together := []*step{s}
		if b := first(steps, func(x *step) bool { return x.bonding && x.limit != nil }); covers >= 0 && b > covers && (i == covers || i == b) {
			together = []*step{&steps[covers], &steps[b]}
		}
		s.sittings = nil
		for _, teeth := range sittings(c, together) {
			if own := c.Teeth(s.on); slices.ContainsFunc(teeth, func(t casefile.Tooth) bool { return slices.Contains(own, t) }) {
				s.sittings = append(s.sittings, slices.DeleteFunc(teeth, func(t casefile.Tooth) bool { return !slices.Contains(own, t) }))
			}
		}
		if len(s.sittings) == 0 {
			s.sittings = [][]casefile.Tooth{nil}
		}
	}
}

// sittings divides the teeth of visits that are divided alike: as the dentist has it, and
// the rest into as few sittings as are not too long (common practice, care-pathway 3.1).
func sittings(c *mouth.Chart, together []*step) [][]casefile.Tooth {
	var on mouth.Sites
	for _, s := range together {
		on = on.Or(s.on)
	}
	rest := c.Teeth(on)
	var out [][]casefile.Tooth
	for _, own := range c.Basis.Case.Sittings {
		var teeth []casefile.Tooth
		for _, t := range own {
			if i := slices.Index(rest, t); i >= 0 {
				teeth, rest = append(teeth, t), slices.Delete(rest, i, i+1)
			}
		}
		if len(teeth) > 0 {
			out = append(out, teeth)
		}
	}
	if len(rest) == 0 {
		return out
	}
	for n := 1; n <= len(rest); n++ {
		for cut := range cuts {
			if groups, ok := deal(c, together, units(rest, cut), n, n+len(out)); ok {
				return append(out, groups...)
			}
		}
	}
	for _, t := range rest { // one tooth alone is too long for a sitting
		out = append(out, []casefile.Tooth{t})
	}
	return out
}

// cuts is in how many ways units cuts a jaw.
const cuts = 4

// units lists teeth that stay together, the jaws one after the other, each from the
// midline outwards. Cut 0 keeps the six front teeth of a jaw together, 1 each canine with
// the incisors of its side, 2 the left and right partners; 3 cuts everywhere.
func units(teeth []casefile.Tooth, cut int) [][]casefile.Tooth {
	along := slices.Clone(teeth)
	left := func(t casefile.Tooth) int {
		if q := t.Quadrant(); q == 2 || q == 3 {
			return 1
		}
		return 0
	}
	// of is the number of a tooth's unit.
	of := func(t casefile.Tooth) int {
		n := 4 * t.Position()
		switch {
		case cut == 0 && t.Front():
			n = 0
		case cut == 1 && t.Front():
			n = left(t)
		case cut == 3:
			n += left(t)
		}
		if !t.Upper() {
			n += 100
		}
		return n
	}
	order.By(along, func(a, b casefile.Tooth) int {
		if d := of(a) - of(b); d != 0 {
			return d
		}
		return 2*a.Position() + left(a) - 2*b.Position() - left(b)
	})
	var out [][]casefile.Tooth
	for i, t := range along {
		if i == 0 || of(t) != of(along[i-1]) {
			out = append(out, nil)
		}
		out[len(out)-1] = append(out[len(out)-1], t)
	}
	return out
}

// deal fills n sittings of nearly the same number of teeth with units, in order; false
// where one is too long. all is the number of sittings that share the fixed time.
func deal(c *mouth.Chart, together []*step, list [][]casefile.Tooth, n, all int) ([][]casefile.Tooth, bool) {
	total, done := 0, 0
	for _, u := range list {
		total += len(u)
	}
	out := make([][]casefile.Tooth, 0, n)
	for i := 0; i < len(list); {
		if len(out) == n {
			return nil, false
		}
		var teeth []casefile.Tooth
		left := n - len(out)
		for i < len(list) && (len(teeth) == 0 || len(teeth)*left < total-done) && !tooLong(c, together, append(slices.Clone(teeth), list[i]...), all) {
			teeth = append(teeth, list[i]...)
			i++
		}
		if len(teeth) == 0 {
			return nil, false
		}
		done += len(teeth)
		out = append(out, teeth)
	}
	return out, true
}

// tooLong reports whether one of the visits of a sitting is. The front teeth of one jaw may
// take a little longer, so that they stay together.
func tooLong(c *mouth.Chart, together []*step, teeth []casefile.Tooth, all int) bool {
	alone := !slices.ContainsFunc(teeth, func(t casefile.Tooth) bool { return !t.Front() || t.Upper() != teeth[0].Upper() })
	for _, s := range together {
		most := s.limit.Value
		if f := s.ledger.Rule("sitting-stretch"); f != nil && alone {
			most += f.Value
		}
		own := slices.DeleteFunc(slices.Clone(teeth), func(t casefile.Tooth) bool { return !slices.Contains(c.Teeth(s.on), t) })
		if m := s.share(c, own, all); len(own) > 0 && m.Known() && m.Likely > most+1e-9 {
			return true
		}
	}
	return false
}

package parts

import (
	"math"
	"slices"

	"github.com/maxence-charriere/go-app/v10/pkg/app"

	"plainleaf/app/casefile"
	"plainleaf/app/order"
)

// stop is a place of a chart that the arrow keys reach.
type stop struct {
	key   string // of a tooth or a pair
	tooth casefile.Tooth
	pair  Pair
	upper bool
	side  float64 // places from the midline, the patient's right negative
}

func sideOf(t casefile.Tooth) float64 {
	p := float64(t.Position()) - 0.5
	if q := t.Quadrant(); q == 1 || q == 4 {
		return -p
	}
	return p
}

// stops lists what takes taps in chart order: places between teeth where there are any
// to tap, teeth otherwise.
func (c Chart) stops() []stop {
	if c.still() {
		return nil
	}
	var out []stop
	if c.Pair != nil {
		for _, p := range c.Pairs {
			if p.taps() {
				out = append(out, stop{p.key(), 0, p, p.Left.Upper(), (sideOf(p.Left) + sideOf(p.Right)) / 2})
			}
		}
	} else {
		for _, t := range c.Teeth {
			if t.Tooth.Valid() && !t.Faint {
				out = append(out, stop{t.Tooth.String(), t.Tooth, Pair{}, t.Tooth.Upper(), sideOf(t.Tooth)})
			}
		}
	}
	order.By(out, func(a, b stop) int {
		if a.upper != b.upper {
			if a.upper {
				return -1
			}
			return 1
		}
		return int(math.Copysign(1, a.side-b.side))
	})
	return out
}

// first is the stop that the tab key reaches before any other was used: a chosen
// tooth, else one of the case, else the first.
func (c Chart) first(stops []stop) string {
	for _, wanted := range []func(Tooth) bool{
		func(t Tooth) bool { return t.Chosen },
		func(t Tooth) bool { return t.In },
	} {
		for _, s := range stops {
			if slices.ContainsFunc(c.Teeth, func(t Tooth) bool { return t.Tooth == s.tooth && wanted(t) }) {
				return s.key
			}
		}
	}
	if len(stops) == 0 {
		return ""
	}
	return stops[0].key
}

func find(stops []stop, key string) int {
	return slices.IndexFunc(stops, func(s stop) bool { return s.key == key })
}

// walk is the key of the stop that an arrow leads to, the same where it leads nowhere.
// Left and right are those of the picture.
func walk(stops []stop, key, arrow string) string {
	i := find(stops, key)
	if i < 0 {
		return key
	}
	here := stops[i]
	first, last := i, i
	for first > 0 && stops[first-1].upper == here.upper {
		first--
	}
	for last+1 < len(stops) && stops[last+1].upper == here.upper {
		last++
	}
	switch arrow {
	case "ArrowLeft":
		return stops[max(first, i-1)].key
	case "ArrowRight":
		return stops[min(last, i+1)].key
	case "Home":
		return stops[first].key
	case "End":
		return stops[last].key
	case "ArrowUp", "ArrowDown":
		if here.upper == (arrow == "ArrowUp") {
			return key
		}
		return opposite(stops, here)
	}
	return key
}

// opposite is the nearest stop of the other jaw.
func opposite(stops []stop, here stop) string {
	best := here
	for _, s := range stops {
		if s.upper != here.upper && (best.upper == here.upper || math.Abs(s.side-here.side) < math.Abs(best.side-here.side)) {
			best = s
		}
	}
	return best.key
}

// span lists the teeth from one stop to another of the same jaw in chart order, nil
// across jaws.
func span(stops []stop, from, to string) []casefile.Tooth {
	i, j := find(stops, from), find(stops, to)
	if i < 0 || j < 0 || stops[i].upper != stops[j].upper {
		return nil
	}
	var out []casefile.Tooth
	for _, s := range stops[min(i, j) : max(i, j)+1] {
		out = append(out, s.tooth)
	}
	return out
}

// step is what a key does to a chart: where the keyboard goes, where a range begins,
// which teeth it takes, whether it chooses the stop.
type step struct {
	at, from string
	teeth    []casefile.Tooth
	choose   bool
	taken    bool // the page must not scroll
}

// pressed answers a key pressed at a stop. extends reports whether ranges can be taken.
func pressed(stops []stop, at, from, key string, shift, extends bool) step {
	switch key {
	case " ", "Enter":
		return step{at: at, choose: true, taken: true}
	case "ArrowLeft", "ArrowRight", "ArrowUp", "ArrowDown", "Home", "End":
	default:
		return step{at: at, from: from}
	}
	s := step{at: walk(stops, at, key), taken: true}
	if !shift || !extends {
		return s
	}
	if from == "" {
		from = at
	}
	if s.teeth = span(stops, from, s.at); s.teeth == nil {
		from = s.at // in the other jaw a new range begins
	}
	s.from = from
	return s
}

func (c *chart) keydown(ctx app.Context, e app.Event) {
	at := keyOf(e, "data-stop")
	if at == "" || e.Get("ctrlKey").Bool() || e.Get("altKey").Bool() || e.Get("metaKey").Bool() {
		return
	}
	s := pressed(c.Props.stops(), at, c.from, e.Get("key").String(), e.Get("shiftKey").Bool(), c.Props.Extend != nil && c.Props.Pair == nil)
	if s.taken {
		e.PreventDefault()
	}
	c.at, c.from = s.at, s.from
	switch {
	case s.choose:
		c.choose(ctx, at)
	case s.at != at:
		// At once: the next key goes to what has the focus.
		focus(c.Props.ID + "-" + s.at)
		if len(s.teeth) > 0 {
			c.Props.Extend(ctx, s.teeth)
		}
	}
}

func (c *chart) click(ctx app.Context, e app.Event) {
	key := keyOf(e, "data-stop")
	if key == "" {
		return
	}
	teeth := span(c.Props.stops(), c.at, key)
	c.at, c.from = key, ""
	if e.Get("shiftKey").Bool() && c.Props.Extend != nil && c.Props.Pair == nil && len(teeth) > 1 {
		c.Props.Extend(ctx, teeth)
		return
	}
	c.choose(ctx, key)
}

// choose hands on that a stop is tapped.
func (c *chart) choose(ctx app.Context, key string) {
	stops := c.Props.stops()
	i := find(stops, key)
	switch {
	case i < 0:
	case c.Props.Pair != nil:
		c.Props.Pair(ctx, stops[i].pair.Left, stops[i].pair.Right)
	case c.Props.Toggle != nil:
		c.Props.Toggle(ctx, stops[i].tooth)
	}
}

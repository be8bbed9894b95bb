package parts

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"

	"github.com/maxence-charriere/go-app/v10/pkg/app"

	"plainleaf/app/casefile"
)

// Chart is the tooth chart: teeth from the front in a row, always as the dentist sees
// them. It is one stop of the tab key: arrows move, Home and End go to the ends, space
// chooses, shift with arrows or a tap takes all teeth in between.
type Chart struct {
	// Toggle is called for a tooth that is tapped, Extend for several of one jaw in chart
	// order, Pair for a place between two teeth. While there is Pair, teeth take no taps;
	// with none of the three the chart is one picture.
	Toggle func(app.Context, casefile.Tooth)
	Extend func(app.Context, []casefile.Tooth)
	Pair   func(ctx app.Context, left, right casefile.Tooth)

	ID    string
	Name  string // for screen readers; of a picture it says all that matters
	Teeth []Tooth
	Pairs []Pair
	// Width is the room it has in CSS pixels, which sets the size of the teeth beside
	// that of the texts; the drawing then grows and shrinks with its place. 0 means
	// PhoneWidth on a phone and TabletWidth otherwise.
	Width float64
	Phone bool      // one row for each side of a jaw, for where a full row has no TabletWidth
	Rows  [4]string // names of the rows on a phone, by quadrant less one
	Sides [2]string // names of the patient's right, which is at the left, and left

	// Message is shown over the chart, its tip at a tooth.
	Message   app.UI
	MessageAt casefile.Tooth
}

// Widths of a chart in CSS pixels: beside the panel of a tablet on its side, and on a phone.
const (
	TabletWidth = 768
	PhoneWidth  = 374
)

// Tooth is one tooth of a chart and its states.
type Tooth struct {
	Tooth  casefile.Tooth
	Name   string // with its states in words, for screen readers
	Number string // under it; "" for none
	Shade  string // over it, five letters at the most; "" for none
	In     bool   // in the case
	Chosen bool   // what is entered now applies to it
	Dark   bool
	Done   bool   // a tick
	Change bool   // a change is asked
	Faint  bool   // a neighbor, drawn for its place only
	Key    string // a number on the tooth that a list beside the chart explains
	Neck   bool   // the key is at the neck
}

// Mark is what is shown between two neighbors.
type Mark int

// The marks. Tight and Keyed take no taps.
const (
	Tight Mark = iota // two strokes
	Blank             // not answered
	Yes
	Ask
	No
	Keyed // the number of a list beside the chart
)

// Pair is a place between two neighbors, left and right as drawn.
type Pair struct {
	Left, Right casefile.Tooth
	Mark        Mark
	Name        string // with the answer in words, for screen readers
	Key         string // of Keyed
	Box         bool   // a check box, on for Yes; otherwise a button
}

func (p Pair) key() string { return p.Left.String() + "-" + p.Right.String() }

// taps reports whether the place can be tapped.
func (p Pair) taps() bool { return p.Mark != Tight && p.Mark != Keyed }

// UI draws the chart.
func (c Chart) UI() app.UI { return &chart{Props: c} }

// chart remembers where the keyboard is.
type chart struct {
	app.Compo
	Props Chart
	at    string // key of the stop
	from  string // where a range begins
}

// CompoID keeps the engine from turning one chart into another.
func (c *chart) CompoID() string { return c.Props.ID }

// Render draws the rows and what lies over them.
func (c *chart) Render() app.UI {
	p := c.Props
	stops := p.stops()
	if !slices.ContainsFunc(stops, func(s stop) bool { return s.key == c.at }) {
		c.at = p.first(stops)
	}
	var body []app.UI
	for i, teeth := range p.rows() {
		if p.Phone {
			if name := p.Rows[teeth[0].Tooth.Quadrant()-1]; name != "" {
				body = append(body, el("p", "label").Aria("hidden", "true").Dir("auto").Text(name))
			}
		}
		body = append(body, c.row(i, teeth))
	}
	if !p.Phone && !p.bothJaws() && p.Sides != [2]string{} {
		body = append(body, box("p", "sides", el("span", "").Dir("auto").Text(p.Sides[0]), el("span", "").Dir("auto").Text(p.Sides[1])))
	}
	if p.Message != nil {
		body = append(body, el("div", "chart-message "+p.messagePlace()).Dir("auto").Body(p.Message))
	}
	root := el("div", classes("chart", "phone-chart", p.Phone)).ID(p.ID).Dir("ltr").Body(body...)
	if p.still() {
		return root
	}
	return root.OnClick(c.click, app.EventScope(p.ID)).On("keydown", c.keydown, app.EventScope(p.ID))
}

// still reports whether the chart is a picture.
func (c Chart) still() bool { return c.Toggle == nil && c.Extend == nil && c.Pair == nil }

func (c Chart) bothJaws() bool {
	upper := func(t Tooth) bool { return t.Tooth.Upper() }
	return slices.ContainsFunc(c.Teeth, upper) && slices.ContainsFunc(c.Teeth, func(t Tooth) bool { return !upper(t) })
}

// messagePlace is the class that puts a message at its tooth: sixteenths of the width.
func (c Chart) messagePlace() string {
	t := c.MessageAt
	n, side := 7+t.Position(), " from-right"
	if q := t.Quadrant(); q == 1 || q == 4 {
		n, side = 8-t.Position(), " from-left"
	}
	if c.bothJaws() && t.Upper() {
		side += " both-jaws"
	}
	return "at-" + strconv.Itoa(n) + side
}

// rows divides the teeth into drawings, each in chart order.
func (c Chart) rows() [][]Tooth {
	at := map[casefile.Tooth]Tooth{}
	var all []casefile.Tooth
	for _, t := range c.Teeth {
		if t.Tooth.Valid() {
			at[t.Tooth] = t
			all = append(all, t.Tooth)
		}
	}
	var rows [][]Tooth
	for i, t := range casefile.SortTeeth(all) {
		if i == 0 || c.Phone && rows[len(rows)-1][0].Tooth.Quadrant() != t.Quadrant() {
			rows = append(rows, nil)
		}
		rows[len(rows)-1] = append(rows[len(rows)-1], at[t])
	}
	return rows
}

func (c *chart) row(i int, teeth []Tooth) app.UI {
	p := c.Props
	list := make([]casefile.Tooth, len(teeth))
	look := map[casefile.Tooth]Tooth{}
	shades, numbers := false, false
	for j, t := range teeth {
		list[j], look[t.Tooth] = t.Tooth, t
		shades, numbers = shades || t.Shade != "", numbers || t.Number != ""
	}
	width := cmp.Or(p.Width, TabletWidth)
	if p.Phone {
		width = cmp.Or(p.Width, PhoneWidth)
	}
	r := lay(list, width, p.Phone, shades, numbers)
	gum := fmt.Sprintf("%s-gum-%d", p.ID, i)
	body := []app.UI{gradient(gum)}
	for _, a := range []*arch{&r.upper, &r.lower} {
		if len(a.spots) == 0 {
			continue
		}
		body = append(body, svg("path").Attr("class", "gum").Attr("d", a.gumPath()).
			Attr("fill", "url(#"+gum+")").Attr("stroke", "url(#"+gum+")"))
		for _, s := range a.spots {
			body = append(body, c.tooth(a, s, look[s.Tooth]))
		}
		body = append(body, c.pairs(a)...)
	}
	if len(r.upper.spots) > 0 && len(r.lower.spots) > 0 {
		body = append(body, middle(r))
		if !p.Phone && p.Sides != [2]string{} {
			y := r.upper.base + deepest*r.scale
			body = append(body, sideText(2, y, "start", p.Sides[0]), sideText(r.width-2, y, "end", p.Sides[1]))
		}
	}
	name := p.Name
	if p.Phone {
		name = cmp.Or(p.Rows[teeth[0].Tooth.Quadrant()-1], name)
	}
	root := svg("svg").Attr("viewBox", fmt.Sprintf("0 0 %s %s", short(r.width), short(r.height))).Attr("aria-label", name).Body(body...)
	if p.still() {
		return root.Attr("role", "img")
	}
	return root.Attr("role", "group")
}

// gradient lets the gum fade at both ends.
func gradient(id string) app.UI {
	stopAt := func(class, at string) app.UI { return svg("stop").Attr("class", class).Attr("offset", at) }
	return svg("defs").Body(svg("linearGradient").ID(id).Body(
		stopAt("gum-end", "0"), stopAt("gum-full", ".07"), stopAt("gum-full", ".93"), stopAt("gum-end", "1")))
}

// middle is the midline between the jaws.
func middle(r row) app.UI {
	x := short(r.upper.mid)
	return svg("path").Attr("class", "middle").Attr("d", "M"+x+" "+short(r.upper.base+deepest*r.scale+6)+"V"+short(r.lower.base-lowest*r.scale*0.85))
}

func sideText(x, y float64, anchor, text string) app.UI {
	return svg("text").Attr("class", "side").Attr("text-anchor", anchor).Attr("x", short(x)).Attr("y", short(y)).
		Attr("aria-hidden", "true").Text(text)
}

func (c *chart) tooth(a *arch, s spot, t Tooth) app.UI {
	p := c.Props
	key := s.Tooth.String()
	control := p.Pair == nil && !p.still() && !t.Faint
	return &tooth{ID: p.ID + "-" + key, Spot: s, Look: t, Control: control, Stop: control && key == c.at,
		NumberY: a.number(s), ShadeY: a.shade(s), Room: a.target(s)}
}

// tooth is what is drawn of one tooth. The engine leaves it alone while nothing of it changes.
type tooth struct {
	app.Compo
	ID              string
	Spot            spot
	Look            Tooth
	Control, Stop   bool
	NumberY, ShadeY float64
	Room            rect
}

// CompoID keeps the engine from turning one tooth into another.
func (t *tooth) CompoID() string { return t.ID }

// Render draws the tooth with its texts and signs.
func (t *tooth) Render() app.UI {
	s, l := t.Spot, t.Look
	body := []app.UI{
		svg("path").Attr("class", "crown").Attr("d", s.crown()),
		svg("path").Attr("class", "marks").Attr("d", s.marks()),
	}
	if l.Number != "" {
		if l.Chosen {
			body = append(body, svg("rect").Attr("class", "pill").Attr("x", short(s.X-17)).Attr("y", short(t.NumberY-16.5)).
				Attr("width", 34).Attr("height", 22).Attr("rx", 11))
		}
		body = append(body, text("number", s.X, t.NumberY, l.Number))
	}
	if l.Shade != "" {
		body = append(body, text("shade", s.X, t.ShadeY, l.Shade))
	}
	middle := s.Y + s.Up*s.D*0.5
	switch {
	case l.Done:
		body = append(body, disc("badge", s.X, middle, 14),
			svg("path").Attr("class", "sign").Attr("d", fmt.Sprintf("M%s %sl4.5 5l8 -9", short(s.X-6), short(middle))))
	case l.Key != "":
		y := middle
		if l.Neck {
			y = s.Y + s.Up*6
		}
		body = append(body, keyed(s.X, y, l.Key)...)
	}
	g := svg("g").ID(t.ID).Attr("class", classes("tooth", "in", l.In, "chosen", l.Chosen, "dark", l.Dark, "done", l.Done,
		"change", l.Change, "faint", l.Faint))
	if !t.Control {
		return g.Attr("aria-hidden", "true").Body(body...)
	}
	g.Attr("role", "checkbox").Attr("aria-label", l.Name).Attr("aria-checked", strconv.FormatBool(l.In || l.Chosen)).
		Attr("tabindex", tabIndex(t.Stop)).Attr("data-stop", s.Tooth.String())
	if l.Chosen {
		g.Attr("aria-current", "true")
	}
	return g.Body(append(body, t.room())...)
}

// room is what a finger meets.
func (t *tooth) room() app.UI {
	r := t.Room
	return svg("rect").Attr("class", "room").Attr("x", short(r.X)).Attr("y", short(r.Y)).Attr("width", short(r.W)).Attr("height", short(r.H)).Attr("rx", 6)
}

func tabIndex(stop bool) int {
	if stop {
		return 0
	}
	return -1
}

func text(class string, x, y float64, s string) app.UI {
	return svg("text").Attr("class", class).Attr("x", short(x)).Attr("y", short(y)).Attr("aria-hidden", "true").Text(s)
}

func disc(class string, x, y, r float64) app.UI {
	return svg("circle").Attr("class", class).Attr("cx", short(x)).Attr("cy", short(y)).Attr("r", short(r))
}

// keyed is a number on a dark disc.
func keyed(x, y float64, key string) []app.UI {
	return []app.UI{disc("badge", x, y, 15), text("key-text", x, y+6, key)}
}

// pairs draws the marks between the teeth of a jaw.
func (c *chart) pairs(a *arch) []app.UI {
	var out []app.UI
	for i := 1; i < len(a.spots); i++ {
		l, r := a.spots[i-1], a.spots[i]
		for _, p := range c.Props.Pairs {
			if p.Left == l.Tooth && p.Right == r.Tooth {
				out = append(out, c.pair(a, l, r, p)...)
			}
		}
	}
	return out
}

// markPaths are drawn around the middle of the mark.
var markPaths = [...]string{
	Blank: "M-3.5 -9V9M3.5 -9V9",
	Yes:   "M-9 1L-3 8L10 -8",
	Ask:   handPath,
	No:    "M-8 -8L8 8M8 -8L-8 8",
}

var markClasses = [...]string{Blank: "blank", Yes: "yes", Ask: "ask", No: "no"}

func (c *chart) pair(a *arch, l, r spot, p Pair) []app.UI {
	x, y := between(l, r)
	switch p.Mark {
	case Tight:
		return []app.UI{svg("path").Attr("class", "tight").Attr("d",
			fmt.Sprintf("M%s %sv16M%s %sv16", short(x-2.6), short(y-9), short(x+2.6), short(y-9)))}
	case Keyed:
		return keyed(x, y, p.Key)
	}
	g := svg("g").ID(c.Props.ID+"-"+p.key()).Attr("class", "pair "+markClasses[p.Mark])
	sign := svg("path").Attr("d", markPaths[p.Mark])
	if p.Mark == Ask {
		x, y := short(x-13), short(y-13.5)
		sign.Attr("transform", "translate("+x+" "+y+") scale(1.08)")
	} else {
		sign.Attr("transform", "translate("+short(x)+" "+short(y)+")")
	}
	g.Body(disc("", x, y, a.radius()), sign)
	if c.Props.Pair == nil {
		return []app.UI{g.Attr("aria-hidden", "true")}
	}
	if g.Attr("role", "button"); p.Box {
		g.Attr("role", "checkbox").Attr("aria-checked", strconv.FormatBool(p.Mark == Yes))
	}
	return []app.UI{g.Attr("aria-label", p.Name).
		Attr("tabindex", tabIndex(p.key() == c.at)).Attr("data-stop", p.key())}
}

package page

import (
	"fmt"
	"strconv"

	"github.com/maxence-charriere/go-app/v10/pkg/app"

	"plainleaf/app/casefile"
	"plainleaf/app/screens/state"
)

const svgNS = "http://www.w3.org/2000/svg"

func svg(tag string) app.HTMLElem { return app.Elem(tag).XMLNS(svgNS) }

// shape is the chart that goes with the width of the screen.
func shape(slim bool) *state.Chart {
	if slim {
		return state.Slim
	}
	return state.Wide
}

// chart draws both jaws. Each tooth is a check box: arrow keys walk along the
// jaw and between the jaws, space and enter choose.
func (r *Root) chart() app.UI {
	c := shape(r.slim)
	x, y := c.Width/2, c.Height/2
	body := []app.UI{
		r.chartText(x, y-96, r.t("page.chart.upper")),
		r.chartText(x, y+104, r.t("page.chart.lower")),
		svg("line").Attr("x1", x-c.Width*0.34).Attr("x2", x+c.Width*0.34).Attr("class", "middle").
			Attr("y1", y).Attr("y2", y),
	}
	// The patient's sides, as the dentist sees them.
	for i, side := range []string{r.t("page.chart.right"), r.t("page.chart.left")} {
		at := x + (float64(i)*2-1)*c.Width*0.18
		lines := halves(side)
		for j, l := range lines {
			body = append(body, r.chartText(at, y-14-18*float64(len(lines)-1-j), l))
		}
	}
	for _, t := range casefile.AllTeeth() {
		body = append(body, r.tooth(t))
	}
	class := "chart"
	if r.slim {
		class += " slim"
	}
	return el("div").Class(class).Dir("ltr").Body(
		svg("svg").ID("chart").
			Attr("viewBox", fmt.Sprintf("0 0 %.0f %.0f", c.Width, c.Height)).
			Attr("role", "group").Attr("aria-label", r.t("page.chart.name")).
			Attr("aria-describedby", "chart-help").
			Body(body...),
	)
}

// halves breaks a label into two lines at the space nearest its middle.
func halves(s string) []string {
	best := -1
	for i, c := range s {
		if c == ' ' && (best < 0 || abs(2*i-len(s)) < abs(2*best-len(s))) {
			best = i
		}
	}
	if best < 0 {
		return []string{s}
	}
	return []string{s[:best], s[best+1:]}
}

func abs(n int) int { return max(n, -n) }

func (r *Root) chartText(x, y float64, s string) app.UI {
	return svg("text").Attr("x", fmt.Sprintf("%.0f", x)).Attr("y", fmt.Sprintf("%.0f", y)).Attr("class", "side").Attr("aria-hidden", "true").
		Attr("direction", r.lang().Dir).Text(s)
}

func toothID(t casefile.Tooth) string { return "tooth-" + t.String() }

// Render draws the tooth: what it is to a screen reader and to the fingers, and
// its face. Whether it is chosen is told by one attribute, and the style shows it:
// a tap changes a few colors, and nothing has to be laid out again.
func (x *tooth) Render() app.UI {
	r, t := x.root, x.Tooth
	id := toothID(t)
	stop := "-1"
	if x.Stop {
		stop = "0"
	}
	class := "tooth"
	if x.Own {
		class += " own"
	}
	click, here := r.quick(id, func(app.Event) { r.tap(t) }, x.look)
	key, there := r.quick(id+"-key", func(e app.Event) { r.toothKey(t, e) }, x.look)
	return svg("g").ID(id).
		Attr("class", class).Attr("role", "checkbox").
		Attr("aria-checked", fmt.Sprint(x.On)).Attr("aria-label", x.Name).
		Attr("tabindex", stop).
		On("click", click, here).On("keydown", key, there).
		Body(&face{Tooth: t, Slim: x.Slim, Number: x.Number})
}

// Render draws the room a finger has, the crown, the number, the check mark of a
// chosen tooth and the dot of one of which something is true alone. Places are the
// chart's own: a shape that is moved or turned by the browser is painted apart from
// the others, and at each tap so would all the teeth be.
func (f *face) Render() app.UI {
	c := shape(f.Slim)
	s := c.Place(f.Tooth)
	x, y, w, d := s.X, s.Y, s.Width, s.Depth
	num := func(v float64) string { return strconv.FormatFloat(v, 'f', 1, 64) }
	// The crown: a wide biting edge outward, narrower at the neck.
	path := "M"
	for i, p := range [][2]float64{
		{-w / 2, -d/2 + 6},
		{-w / 2, -d/2 - 4}, {w / 2, -d/2 - 4}, {w / 2, -d/2 + 6},
		{w / 2, d / 4}, {w / 3, d / 2}, {0, d / 2},
		{-w / 3, d / 2}, {-w / 2, d / 4}, {-w / 2, -d/2 + 6},
	} {
		if i%3 == 1 {
			path += " C"
		}
		px, py := s.Turned(p[0], p[1])
		path += " " + num(px) + " " + num(py)
	}
	return svg("g").Body(
		svg("circle").Attr("class", "room").Attr("cx", num(x)).Attr("cy", num(y)).Attr("r", num(c.Reach)),
		svg("path").Attr("class", "crown").Attr("d", path+" Z"),
		svg("text").Attr("class", "number").Attr("x", num(x)).Attr("y", num(y+2.5)).Text(f.Number),
		svg("path").Attr("class", "check").Attr("d", "M "+num(x-5)+" "+num(y+11.5)+" l 4 4 l 7 -8"),
		svg("circle").Attr("class", "note").Attr("cx", num(x+w/2-3)).Attr("cy", num(y-d/2+8)).Attr("r", 4),
	)
}

func (r *Root) toothKey(t casefile.Tooth, e app.Event) {
	next := t
	switch e.Get("key").String() {
	case " ", "Enter":
		e.PreventDefault()
		r.tap(t)
		return
	case "Escape":
		r.span = span{}
		return
	case "ArrowRight":
		next = state.Beside(t, 1, 0)
	case "ArrowLeft":
		next = state.Beside(t, -1, 0)
	case "ArrowUp":
		next = state.Beside(t, 0, -1)
	case "ArrowDown":
		next = state.Beside(t, 0, 1)
	case "Home":
		next = state.EndOf(t, false)
	case "End":
		next = state.EndOf(t, true)
	default:
		return
	}
	e.PreventDefault()
	r.at = next
	// At once: the next key goes to the tooth that has the focus.
	if n := app.Window().Get("document").Call("getElementById", toothID(next)); n.Truthy() {
		n.Call("focus")
	}
}

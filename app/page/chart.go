package page

import (
	"fmt"

	"github.com/maxence-charriere/go-app/v10/pkg/app"

	"plainleaf/app/page/model"
	"plainleaf/app/veneer"
)

const svgNS = "http://www.w3.org/2000/svg"

func svg(tag string) app.HTMLElem { return app.Elem(tag).XMLNS(svgNS) }

// chart draws both arches. Each tooth is a check box: arrow keys walk along the
// arch and between the jaws, space and enter choose.
func (r *Root) chart() app.UI {
	teeth := veneer.AllTeeth()
	body := []app.UI{
		r.chartText(model.ChartWidth/2, model.ChartHeight/2-96, r.t("page.chart.upper")),
		r.chartText(model.ChartWidth/2, model.ChartHeight/2+104, r.t("page.chart.lower")),
		svg("line").Attr("x1", 60).Attr("x2", 340).Attr("class", "middle").
			Attr("y1", model.ChartHeight/2).Attr("y2", model.ChartHeight/2),
		// The patient's sides, as the dentist sees them.
		r.chartText(112, model.ChartHeight/2-14, r.t("page.chart.right")),
		r.chartText(288, model.ChartHeight/2-14, r.t("page.chart.left")),
	}
	for _, t := range teeth {
		body = append(body, r.tooth(t))
	}
	return el("div").Class("chart").Dir("ltr").Body(
		svg("svg").ID("chart").
			Attr("viewBox", fmt.Sprintf("0 0 %d %d", model.ChartWidth, model.ChartHeight)).
			Attr("role", "group").Attr("aria-label", r.t("page.chart.name")).
			Attr("aria-describedby", "chart-help").
			Body(body...),
	)
}

func (r *Root) chartText(x, y int, s string) app.UI {
	return svg("text").Attr("x", x).Attr("y", y).Attr("class", "side").Attr("aria-hidden", "true").
		Attr("direction", r.lang().Dir).Text(s)
}

func toothID(t veneer.Tooth) string { return "tooth-" + t.String() }

func (r *Root) tooth(t veneer.Tooth) app.UI {
	p := model.Place(t)
	id := toothID(t)
	on := r.m.Chosen(t)
	stop := "-1"
	if t == r.at {
		stop = "0"
	}
	class := "tooth"
	if on {
		class += " on"
	}
	entry := r.m.Entry(t)
	own := on && (len(entry.Findings) > 0 || entry.UnderlyingShade != "" || entry.Route != "")
	w, d := p.Width, p.Depth
	// The crown: a wide biting edge outward, narrower at the neck.
	path := fmt.Sprintf("M %.1f %.1f C %.1f %.1f %.1f %.1f %.1f %.1f C %.1f %.1f %.1f %.1f %.1f %.1f C %.1f %.1f %.1f %.1f %.1f %.1f Z",
		-w/2, -d/2+6,
		-w/2, -d/2-4, w/2, -d/2-4, w/2, -d/2+6,
		w/2, d/4, w/3, d/2, 0.0, d/2,
		-w/3, d/2, -w/2, d/4, -w/2, -d/2+6)
	click, here := r.click(id, func() { r.at = t; r.m.ToggleTooth(t) })
	key, there := r.on(id+"-key", func(_ app.Context, e app.Event) { r.toothKey(t, e) })
	return svg("g").ID(id).
		Attr("class", class).Attr("role", "checkbox").
		Attr("aria-checked", fmt.Sprint(on)).Attr("aria-label", r.toothName(t)).
		Attr("tabindex", stop).
		Attr("transform", fmt.Sprintf("translate(%.1f %.1f)", p.X, p.Y)).
		On("click", click, here).On("keydown", key, there).
		Body(
			svg("path").Attr("class", "crown").Attr("d", path).
				Attr("transform", fmt.Sprintf("rotate(%.1f)", p.Turn)),
			svg("text").Attr("class", "number").Attr("y", 5).Text(r.label(t)),
			svg("path").Attr("class", "check").Attr("d", checkMark(on)),
			svg("circle").Attr("class", "note").Attr("cx", w/2-3).Attr("cy", -d/2+8).Attr("r", dot(own)),
		)
}

// checkMark is the second sign of a chosen tooth beside its color.
func checkMark(on bool) string {
	if on {
		return "M -5 11 l 4 4 l 7 -8"
	}
	return "M 0 0"
}

func dot(own bool) string {
	if own {
		return "4"
	}
	return "0"
}

func (r *Root) toothKey(t veneer.Tooth, e app.Event) {
	next := t
	switch e.Get("key").String() {
	case " ", "Enter":
		e.PreventDefault()
		r.m.ToggleTooth(t)
		return
	case "ArrowRight":
		next = model.Beside(t, 1, 0)
	case "ArrowLeft":
		next = model.Beside(t, -1, 0)
	case "ArrowUp":
		next = model.Beside(t, 0, -1)
	case "ArrowDown":
		next = model.Beside(t, 0, 1)
	case "Home":
		next = model.EndOf(t, false)
	case "End":
		next = model.EndOf(t, true)
	default:
		return
	}
	e.PreventDefault()
	r.at = next
	r.focus = toothID(next)
}

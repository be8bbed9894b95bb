package page

import (
	"slices"

	"github.com/maxence-charriere/go-app/v10/pkg/app"

	"plainleaf/app/casefile"
	"plainleaf/app/plan"
)

// colour tells what a dark tooth means for each way: the shade there is and the one
// hoped for, how thick porcelain had to be to hide such a shade in studies, and
// whether each way has that much. Thicknesses known only from experience stay words.
func (r *Root) colour(p *plan.Plan) app.UI {
	var under []casefile.Shade // each told once
	for _, x := range p.Routes {
		for _, c := range x.Colour {
			if c.Steps > 0 && !slices.Contains(under, c.Underlying) {
				under = append(under, c.Underlying)
			}
		}
	}
	if len(under) == 0 {
		return none()
	}
	return el("div").ID("colour").Body(part("colour", r.t("sheet.colour.title"),
		say("p", "hint", r.t("page.colour.about")),
		each(len(under), func(i int) app.UI { return r.darkTeeth(p, under[i]) }),
		say("p", "", r.t("sheet.colour.no-promise"))))
}

// darkTeeth tells of the teeth of one shade.
func (r *Root) darkTeeth(p *plan.Plan, shade casefile.Shade) app.UI {
	var one plan.Colour
	var teeth []casefile.Tooth
	var lines []string // each with the ways it is true of
	var ways [][]string
	for _, x := range p.Routes {
		var said []string // teeth of one route may be on several ways
		for _, c := range x.Colour {
			if c.Underlying != shade {
				continue
			}
			one = c
			if !slices.Contains(teeth, c.Tooth) {
				teeth = append(teeth, c.Tooth)
			}
			room := ""
			if c.Room != "" {
				room = r.t("room." + c.Room)
			}
			if s := follow(r.t("show-through."+c.ShowThrough), room); !slices.Contains(said, s) {
				said = append(said, s)
			}
		}
		if len(said) == 0 {
			continue
		}
		name, line := r.t("route."+string(x.Key)+".name"), follow(said...)
		if i := slices.Index(lines, line); i >= 0 {
			ways[i] = append(ways[i], name)
		} else {
			lines, ways = append(lines, line), append(ways, []string{name})
		}
	}
	studies := r.t("page.colour.not-studied")
	if h := one.Published; h != nil {
		studies = r.t("sheet.colour.hidden", "Range", r.reach(h.Low, h.High, 1))
	}
	return el("div").Class("stand").DataSet("shade", string(shade)).Body(
		say("h3", "", r.n("page.numbers.teeth", len(teeth), "Teeth", r.teeth(teeth))),
		say("p", "", r.t("sheet.colour.shades", "From", r.apart(string(one.Underlying)), "To", r.apart(string(one.Target)))),
		say("p", "", studies),
		box("dl", "", each(len(lines), func(i int) app.UI { return fact(dots(ways[i]), lines[i]) })),
		r.sourcesLink(one.Figures))
}

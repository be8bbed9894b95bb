package page

import (
	"slices"

	"github.com/maxence-charriere/go-app/v10/pkg/app"

	"plainleaf/app/casefile"
	"plainleaf/app/plan"
	"plainleaf/app/sheet"
)

// colour tells what a dark tooth means for each way: the shade there is and the one
// hoped for, how thick porcelain had to be to hide such a shade in studies, and
// whether each way has that much. Thicknesses known only from experience stay words.
func (r *Root) colour(p *plan.Plan) app.UI {
	var pairs []shades // each once
	for _, x := range p.Routes {
		for _, c := range x.Colour {
			if s := (shades{c.Underlying, c.Target}); c.Steps > 0 && !slices.Contains(pairs, s) {
				pairs = append(pairs, s)
			}
		}
	}
	if len(pairs) == 0 {
		return none()
	}
	return el("div").ID("colour").Body(part("colour", r.t("sheet.colour.title"),
		say("p", "hint", r.t("page.colour.about")),
		each(len(pairs), func(i int) app.UI { return r.darkTeeth(p, pairs[i]) }),
		say("p", "", r.t("sheet.colour.no-promise"))))
}

// shades is the shade of a tooth now and the one that is wanted.
type shades struct{ now, wanted casefile.Shade }

// darkTeeth tells of the teeth of one shade for which another one is wanted.
func (r *Root) darkTeeth(p *plan.Plan, of shades) app.UI {
	var one plan.Colour // of porcelain, where a way has it: the studies are of that
	var teeth []casefile.Tooth
	var lines []string // each with the ways it is true of
	var ways [][]string
	for _, x := range p.Routes {
		var said []string // teeth of one route may be on several ways
		for _, c := range x.Colour {
			if (shades{c.Underlying, c.Target}) != of {
				continue
			}
			if one.Room == "" {
				one = c
			}
			if !slices.Contains(teeth, c.Tooth) {
				teeth = append(teeth, c.Tooth)
			}
			if s := follow(r.t("show-through."+c.ShowThrough), r.room(c)); !slices.Contains(said, s) {
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
	told := []sheet.Text{sheet.ShadesOf(one)}
	if of.now.Bleach() || of.wanted.Bleach() {
		told = append(told, sheet.M("sheet.colour.not-measured"))
	}
	switch {
	case one.Published != nil:
		told = append(told, sheet.Hidden(*one.Published))
	case one.Room == plan.RoomNotStudied:
		told = append(told, sheet.M("room."+one.Room))
	}
	return el("div").Class("stand").DataSet("shade", string(of.now)).Body(
		say("h3", "", r.n("page.numbers.teeth", len(teeth), "Teeth", r.teeth(teeth))),
		each(len(told), func(i int) app.UI { return say("p", "", r.message(told[i])) }),
		box("dl", "", each(len(lines), func(i int) app.UI { return fact(dots(ways[i]), lines[i]) })),
		r.sourcesLink(one.Figures))
}

// room is how the porcelain of a way compares with the studies; that there is none is
// once for all ways.
func (r *Root) room(c plan.Colour) string {
	if c.Room == "" || c.Room == plan.RoomNotStudied {
		return ""
	}
	return r.t("room." + c.Room)
}

// shadeName is a shade as the screens name it.
func (r *Root) shadeName(s casefile.Shade) string {
	if s.Bleach() {
		return r.t("shade." + string(s))
	}
	return string(s)
}

package page

import (
	"cmp"
	"fmt"
	"strings"

	"github.com/maxence-charriere/go-app/v10/pkg/app"

	"plainleaf/app/plan"
	"plainleaf/app/screens/state"
)

// Icon array: ten by ten, filled from the bottom row at the side where reading
// starts, row by row (reference rules IA-1 and IA-2).
const (
	iconCols = 10
	iconCell = 16
)

// icons draws low to high of 100: full dots up to the lower number, rings with a
// dot up to the higher, empty rings for the rest. label is its text alternative.
func (r *Root) icons(id string, low, high int, label string) app.UI {
	var solid, ring, core, open strings.Builder
	for i := range iconCols * iconCols {
		row, col := i/iconCols, i%iconCols
		if r.lang().RTL() {
			col = iconCols - 1 - col
		}
		x, y := col*iconCell+iconCell/2, (iconCols-1-row)*iconCell+iconCell/2
		switch {
		case i < low:
			disc(&solid, x, y, 6.5)
		case i < high:
			disc(&ring, x, y, 5.75)
			disc(&core, x, y, 2.25)
		default:
			disc(&open, x, y, 5.5)
		}
	}
	size := iconCols * iconCell
	return svg("svg").Attr("class", "icons").Attr("role", "img").Attr("aria-label", label).
		Attr("data-low", low).Attr("data-high", high).
		Attr("viewBox", fmt.Sprintf("0 0 %d %d", size, size)).Body(
		svg("path").Attr("class", "open").Attr("d", cmp.Or(open.String(), "M 0 0")),
		svg("path").Attr("class", "ring").Attr("d", cmp.Or(ring.String(), "M 0 0")),
		svg("path").Attr("class", "full").Attr("d", cmp.Or(core.String(), "M 0 0")),
		svg("path").Attr("class", "full").Attr("d", cmp.Or(solid.String(), "M 0 0")),
	)
}

func disc(b *strings.Builder, x, y int, radius float64) {
	fmt.Fprintf(b, "M%g %da%g %g 0 1 0 %g 0a%g %g 0 1 0 %g 0", float64(x)-radius, y, radius, radius, 2*radius, radius, radius, -2*radius)
}

// legend names the three signs of an icon array.
func (r *Root) legend() app.UI {
	sign := func(class string, radius float64, core bool) app.UI {
		var d, c strings.Builder
		disc(&d, 8, 8, radius)
		c.WriteString("M 0 0")
		if core {
			disc(&c, 8, 8, 2.25)
		}
		return svg("svg").Attr("class", "sign").Attr("viewBox", "0 0 16 16").Attr("aria-hidden", "true").Body(
			svg("path").Attr("class", class).Attr("d", d.String()),
			svg("path").Attr("class", "full").Attr("d", c.String()))
	}
	return box("ul", "legend",
		box("li", "", sign("full", 6.5, false), say("span", "", r.t("page.legend.solid"))),
		box("li", "", sign("ring", 5.75, true), say("span", "", r.t("page.legend.ringed"))),
		box("li", "", sign("open", 5.5, false), say("span", "", r.t("page.legend.open"))),
	)
}

// Drawings to scale: so many units of the drawing for a millimeter.
const perMM = 100.0

// cardMM is the thickness of a bank card, something everybody has held:
// ISO/IEC 7810, format ID-1, 0.76 mm.
const cardMM = 0.76

// scale turns a drawing that starts at the left into one that starts where
// reading starts.
func (r *Root) scale(width float64) string {
	if r.lang().RTL() {
		return fmt.Sprintf("translate(%g 0) scale(-1 1)", width)
	}
	return "translate(0 0)"
}

func bar(class string, from, to, y, height float64) app.UI {
	return svg("rect").Attr("class", class).Attr("x", from*perMM).Attr("y", y).
		Attr("width", max(0, to-from)*perMM).Attr("height", height)
}

// sizeDrawing shows a chair change's size, low to high, beside the edge of a bank
// card, both at the same scale.
func (r *Root) sizeDrawing(low, high float64) app.UI {
	const width = 110.0
	return box("figure", "scale",
		svg("svg").Attr("viewBox", "0 0 110 46").Attr("role", "img").Attr("aria-label", r.t("page.drawing.size")).Body(
			svg("g").Attr("transform", r.scale(width)).Body(
				bar("known", 0, cardMM, 2, 18),
				bar("full", 0, low, 26, 18),
				bar("range", low, high, 26, 18),
			)),
		say("figcaption", "", r.t("page.drawing.size")),
	)
}

// removalDrawing shows what a route plans to take from the front of the tooth
// against the usual enamel there. The usual enamel is never a number.
func (r *Root) removalDrawing(x plan.Removal) app.UI {
	b, ok := r.d.Way().EnamelBand(x)
	if !ok {
		return none()
	}
	const width = 200.0
	label, view := r.t("page.drawing.removal"), "0 0 200 46"
	if b.High <= 0 {
		label, view = r.t("page.drawing.untouched"), "0 0 200 22"
	}
	return box("figure", "scale wide",
		svg("svg").Attr("viewBox", view).Attr("role", "img").Attr("aria-label", label).Body(
			svg("g").Attr("transform", r.scale(width)).Body(removalBars(b)...)),
		say("figcaption", "", label),
		app.If(b.Below, func() app.UI { return say("figcaption", "firm", r.t("page.drawing.below")) }),
	)
}

func removalBars(b state.Band) []app.UI {
	return []app.UI{
		bar("known", 0, b.Thin, 2, 18),
		bar("range soft", b.Thin, b.Thick, 2, 18),
		bar("full", 0, b.Low, 26, 18),
		bar("range", b.Low, b.High, 26, 18),
	}
}

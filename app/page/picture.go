package page

import (
	"fmt"

	"github.com/maxence-charriere/go-app/v10/pkg/app"
)

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

package parts

import (
	"strconv"

	"github.com/maxence-charriere/go-app/v10/pkg/app"

	"plainleaf/app/casefile"
)

// Point is a short fact of a patient's page.
type Point struct{ Name, Text string }

// Points lists facts beside each other, numbered from 1 as their marks on the chart are.
func Points(list []Point) app.UI {
	items := make([]app.UI, len(list))
	for i, p := range list {
		items[i] = box("li", "",
			el("span", "number").Aria("hidden", "true").Text(strconv.Itoa(i+1)),
			box("div", "", say("h2", "", p.Name), say("p", "", p.Text)))
	}
	return el("ol", "points").Attr("role", "list").Body(items...)
}

// Said is a fact under a label.
type Said struct{ Label, Text string }

// Facts lists labels with what is said under each, beside a picture where there is one.
func Facts(picture app.UI, list []Said) app.UI {
	var body []app.UI
	for _, f := range list {
		body = append(body, box("div", "", say("dt", "", f.Label), say("dd", "", f.Text)))
	}
	facts := box("dl", "facts", body...)
	if picture == nil {
		return facts
	}
	return box("div", "pictured", picture, facts)
}

// Stop is a group of visits on a line: its numbers, what is done, when, and what is waited
// for in front of it.
type Stop struct{ Numbers, Name, When, After string }

// Line puts visits on a line, one above the other on a phone.
func Line(list []Stop) app.UI {
	items := make([]app.UI, len(list))
	for i, s := range list {
		body := []app.UI{say("span", "number", s.Numbers), say("h2", "", s.Name)}
		if s.When != "" {
			body = append(body, say("p", "", s.When))
		}
		if s.After != "" {
			body = append([]app.UI{say("p", "waits", s.After)}, body...)
		}
		items[i] = box("li", "", body...)
	}
	return el("ol", "visits").Attr("role", "list").Body(items...)
}

// Crowns is a picture of some teeth alike: of Of, the first Marked are hatched.
type Crowns struct {
	Of, Marked int
	Caption    string // under the hatched ones
	Name       string // for screen readers: what the picture says
}

// crown is the room of one of the Crowns: its width, height, and what it takes with the
// gap after it.
const crownWidth, crownHeight, crownRoom = 60.0, 84.0, 72.0

// UI draws the picture.
func (c Crowns) UI() app.UI {
	hatch := svg("pattern").ID("hatch").Attr("width", "8").Attr("height", "8").Attr("patternUnits", "userSpaceOnUse").Attr("patternTransform", "rotate(45)").
		Body(svg("path").Attr("d", "M0 0V8").Attr("class", "hatching"))
	body := []app.UI{svg("defs").Body(hatch)}
	for i := range c.Of {
		class := "crown"
		if i < c.Marked {
			class = "crown hatched"
		}
		at := spot{Tooth: casefile.Tooth(11), X: crownRoom*float64(i) + crownRoom/2, W: crownWidth, D: crownHeight, Up: 1}
		body = append(body, svg("path").Attr("class", class).Attr("d", at.crown()))
	}
	width := strconv.FormatFloat(crownRoom*float64(c.Of), 'f', 0, 64)
	picture := svg("svg").Attr("viewBox", "0 -6 "+width+" 96").Attr("role", "img").Attr("aria-label", c.Name).Body(body...)
	return box("figure", "crowns", picture, say("figcaption", "", c.Caption))
}

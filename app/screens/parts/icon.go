package parts

import "github.com/maxence-charriere/go-app/v10/pkg/app"

// Icon is a small picture beside words. It has no name of its own.
type Icon int

// The icons. Undo, Forward and Back turn with the direction of writing.
const (
	NoIcon Icon = iota
	Menu
	Undo
	Forward
	Back
	Down
	Turn
	Flip
	Check
	Hand
	Cross
	Star
	Search
	List
	Plus
	People
	Calendar
	Eye
	Globe
	Note
	Info
	Book
	Key
	Sliders
	Archive
)

// iconPaths are drawn in a square of 24.
var iconPaths = [...]string{
	Menu:     "M4 7h16M4 12h16M4 17h16",
	Undo:     "M9 7 4 12l5 5M4 12h10a5 5 0 0 1 5 5v1",
	Forward:  "m9 5 7 7-7 7",
	Back:     "m15 5-7 7 7 7",
	Down:     "m5 9 7 7 7-7",
	Turn:     "M4 13a8 8 0 0 0 14.5 4M20 11A8 8 0 0 0 5.5 7M18.5 21v-4h-4M5.5 3v4h4",
	Flip:     "M5 4h14v7H5zM9 20H5v-7M19 13v7h-4M11 20h2",
	Check:    "m5 12.5 4.5 4.5L19 7",
	Hand:     handPath,
	Cross:    "m6 6 12 12M18 6 6 18",
	Star:     "m12 4 2.5 5.2 5.7.8-4.1 4 1 5.7-5.1-2.7-5.1 2.7 1-5.7-4.1-4 5.7-.8z",
	Search:   "M11 5a6 6 0 1 0 0 12 6 6 0 0 0 0-12zm4.5 10.5L20 20",
	List:     "M9 6h11M9 12h11M9 18h11M4 6h.5M4 12h.5M4 18h.5",
	Plus:     "M12 5v14M5 12h14",
	People:   "M9 11a3 3 0 1 0 0-6 3 3 0 0 0 0 6zM3.5 19c.5-3.5 2.5-5 5.5-5s5 1.5 5.5 5M16 11a2.5 2.5 0 1 0-1-4.8M17 14c2 .3 3.2 1.8 3.5 4.5",
	Calendar: "M4 6h16v14H4zM4 10h16M8 3v5M16 3v5",
	Eye:      "M3 12c3-5 6-7 9-7s6 2 9 7c-3 5-6 7-9 7s-6-2-9-7zm9-2.5a2.5 2.5 0 1 0 0 5 2.5 2.5 0 0 0 0-5z",
	Globe:    "M12 4a8 8 0 1 0 0 16 8 8 0 0 0 0-16zM4 12h16M12 4c3 3 3 13 0 16M12 4c-3 3-3 13 0 16",
	Note:     "M5 4h14v11l-5 5H5zM14 20v-5h5",
	Info:     "M12 4a8 8 0 1 0 0 16 8 8 0 0 0 0-16zM12 11v5M12 8v.5",
	Book:     "M5 4h6c1 0 1 1 1 1s0-1 1-1h6v15h-6c-1 0-1 1-1 1s0-1-1-1H5zM12 5v15",
	Key:      "M8 9a4 4 0 1 0 0 8 4 4 0 0 0 0-8zm3.5 2L20 7M17 8.5l1.5 3",
	Sliders:  "M4 7h9M17 7h3M4 17h3M11 17h9M15 5v4M9 15v4",
	Archive:  "M4 5h16v4H4zM6 9v11h12V9M10 13h4",
}

// handPath is a raised hand; the chart draws it as well.
const handPath = "M8 12V6.5a1.5 1.5 0 0 1 3 0V11m0-6a1.5 1.5 0 0 1 3 0v6m0-4a1.5 1.5 0 0 1 3 0v7c0 4-2 6-5.5 6S7 18 5.5 15l-1-2c-.5-1.2 1-2.3 2-1.2L8 13.5"

// UI draws the icon, hidden from screen readers.
func (i Icon) UI() app.UI {
	class := "icon"
	if i == Undo || i == Forward || i == Back {
		class = "icon turns"
	}
	return svg("svg").Attr("viewBox", "0 0 24 24").Attr("class", class).Attr("aria-hidden", "true").
		Body(svg("path").Attr("d", iconPaths[i]))
}

const svgNS = "http://www.w3.org/2000/svg"

func svg(tag string) app.HTMLElem { return app.Elem(tag).XMLNS(svgNS) }

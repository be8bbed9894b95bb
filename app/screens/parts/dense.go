package parts

import (
	"strconv"

	"github.com/maxence-charriere/go-app/v10/pkg/app"
)

// Dense is a dense table of the dentist's side: a line for each thing, which its first or
// its Row cell names. On a phone it scrolls sideways.
type Dense struct {
	ID    string
	Name  string // for screen readers
	Heads []string
	Wide  int // the column, from 0, that takes the room that is left
	Lines []DenseLine
}

// DenseLine is one line of a grid.
type DenseLine struct {
	Key   string
	Now   bool // what the case has now
	Faint bool // left out
	Cells []DenseCell
}

// DenseCell is one cell: a text with small print under it, or a control. With Do the text
// is a button.
type DenseCell struct {
	ID, Text, Sub string
	More          string // what the button does, for screen readers, after its text
	Row           bool   // it names the line
	Strong        bool
	Faint         bool // such as what is not known
	Middle        bool
	Short         bool // it stays on one line
	Span          int  // columns it goes over; 0 means 1
	Do            func(app.Context)
	Body          []app.UI // after the text
}

// UI draws the table.
func (g Dense) UI() app.UI {
	var heads []app.UI
	for i, h := range g.Heads {
		heads = append(heads, el("th", classes("", "wide", i == g.Wide)).Attr("scope", "col").Text(h))
	}
	lines := make([]app.UI, len(g.Lines))
	for i, l := range g.Lines {
		cells := make([]app.UI, len(l.Cells))
		for j, c := range l.Cells {
			cells[j] = c.draw()
		}
		e := el("tr", classes("", "now", l.Now, "faint", l.Faint)).DataSet("line", l.Key).Body(cells...)
		if l.Now {
			e.Aria("current", "true")
		}
		lines[i] = e
	}
	return el("div", "grid-frame").ID(g.ID).Attr("role", "group").Aria("label", g.Name).Attr("tabindex", 0).Body(
		el("table", "dense-grid").Aria("label", g.Name).Body(
			el("thead", "").Body(el("tr", "").Body(heads...)), el("tbody", "").Body(lines...)))
}

func (c DenseCell) draw() app.UI {
	tag := "td"
	if c.Row {
		tag = "th"
	}
	var text app.UI
	switch {
	case c.Strong:
		text = say("b", "", c.Text)
	default:
		text = say("span", "", c.Text)
	}
	var body []app.UI
	switch {
	case c.Do != nil:
		if c.Sub != "" {
			text = box("span", "", text, say("small", "", c.Sub))
		}
		inside := []app.UI{text}
		if c.More != "" {
			inside = append(inside, say("span", "unseen", c.More))
		}
		body = append(body, el("button", "in-grid").ID(c.ID).Attr("type", "button").Body(inside...).OnClick(do(c.Do)))
	case c.Text != "":
		body = append(body, text)
	}
	if c.Sub != "" && c.Do == nil {
		body = append(body, say("small", "", c.Sub))
	}
	e := el(tag, classes("", "faint", c.Faint, "at-middle", c.Middle, "short", c.Short)).Body(append(body, c.Body...)...)
	if c.Row {
		e.Attr("scope", "row")
	}
	if c.Span > 1 {
		e.Attr("colspan", c.Span)
	}
	return e
}

// Tick is a check box of a grid, or a round one of which one line at the most has it: it
// can be taken back, so it is no radio button.
type Tick struct {
	ID, Name string
	Round    bool
	On       bool
	Off      bool // shows and can be reached, but does nothing
	Do       func(app.Context)
}

// UI draws the box.
func (m Tick) UI() app.UI {
	box := el("span", classes("tick-box", "round", m.Round, "on", m.On))
	if m.On && !m.Round {
		box.Body(Check.UI())
	}
	e := el("button", "tick").ID(m.ID).Attr("type", "button").Aria("label", m.Name).Body(box)
	if m.Round {
		e.Aria("pressed", strconv.FormatBool(m.On))
	} else {
		e.Attr("role", "checkbox").Aria("checked", strconv.FormatBool(m.On))
	}
	if m.Off {
		return e.Aria("disabled", "true")
	}
	return e.OnClick(do(m.Do))
}

// Group is what a fold opens.
func Group(id, name string, body ...app.UI) app.UI {
	return el("div", "opened").ID(id).Attr("role", "group").Aria("label", name).Body(body...)
}

// Aside is a short text with a heading, set apart inside a panel.
func Aside(id, heading string, body ...app.UI) app.UI {
	return el("div", "aside").ID(id).Body(append([]app.UI{say("h3", "", heading)}, body...)...)
}

// Wait is something that has to be settled first, by its key.
func Wait(key, name string, body ...app.UI) app.UI {
	return el("div", "stack").DataSet("wait", key).Body(append([]app.UI{say("b", "", name)}, body...)...)
}

// Text is a paragraph.
func Text(text string) app.UI { return say("p", "", text) }

// Small is a paragraph in small print.
func Small(text string) app.UI { return say("p", "note", text) }

// Told is a paragraph that is read out when it changes.
func Told(id, text string) app.UI { return el("p", "").ID(id).Attr("role", "status").Text(text) }

// Anchor is a link to another screen.
func Anchor(id, address, text string) app.UI {
	return el("a", "link").ID(id).Attr("href", address).Text(text)
}

// Cites are sources as they are written, in English.
func Cites(list []string) app.UI {
	items := make([]app.UI, len(list))
	for i, c := range list {
		items[i] = el("li", "").Lang("en").Dir("ltr").Text(c)
	}
	return box("ul", "cites", items...)
}

// Code is a line of arithmetic.
func Code(text string) app.UI { return box("p", "", el("code", "").Dir("ltr").Text(text)) }

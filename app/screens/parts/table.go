package parts

import (
	"strconv"

	"github.com/maxence-charriere/go-app/v10/pkg/app"
)

// Table sets options beside each other: one a column, a fact a row. The heads and the
// facts stay in view while it scrolls.
type Table struct {
	ID      string
	Name    string // for screen readers
	Corner  string // over the facts; also the hint that they can be tapped
	Options []string
	Rows    []Fact
	// First is called for the fact that is tapped, Open for a cell, by the row's key
	// and the option's place from 0. Nil where nothing happens.
	First func(ctx app.Context, key string)
	Open  func(ctx app.Context, key string, option int)
}

// Fact is one row: a name and a cell for each option.
type Fact struct {
	Key, Name string
	First     bool // the patient put it first
	Fixed     bool // it cannot be put first
	Cells     []Cell
}

// Cell is what an option does about a fact.
type Cell struct {
	Text    string
	Unknown bool // the text says that it is not known
}

// UI draws the table. Its roles are written out, since the style for phones takes the
// look of a table from it, and with that the roles in some browsers.
func (t Table) UI() app.UI {
	head := []app.UI{el("td", "corner").Attr("role", "cell").Body(say("span", "", t.Corner))}
	for _, o := range t.Options {
		head = append(head, el("th", "").Attr("scope", "col").Attr("role", "columnheader").Text(o))
	}
	rows := make([]app.UI, len(t.Rows))
	for i, f := range t.Rows {
		rows[i] = t.row(f)
	}
	class := classes("options", "dense", len(t.Options) > 3) + " by-" + strconv.Itoa(min(max(len(t.Options), 1), 6))
	return el("div", "options-frame").ID(t.ID).Attr("role", "region").Aria("label", t.Name).Attr("tabindex", 0).Body(
		el("table", class).Attr("role", "table").Aria("label", t.Name).Body(
			el("thead", "").Attr("role", "rowgroup").Body(el("tr", "").Attr("role", "row").Body(head...)),
			el("tbody", "").Attr("role", "rowgroup").Body(rows...)))
}

func (t Table) row(f Fact) app.UI {
	fact := []app.UI{say("span", "", f.Name)}
	if t.First != nil && !f.Fixed {
		fact = []app.UI{el("button", "").ID(t.ID+"-"+f.Key).Attr("type", "button").Aria("pressed", strconv.FormatBool(f.First)).
			Body(Star.UI(), say("span", "", f.Name)).
			OnClick(do(func(ctx app.Context) { t.First(ctx, f.Key) }))}
	}
	cells := []app.UI{el("th", "").Attr("scope", "row").Attr("role", "rowheader").Body(fact...)}
	for i, c := range f.Cells {
		inner := say("span", "", c.Text)
		if t.Open != nil {
			inner = el("button", "").ID(t.ID+"-"+f.Key+"-"+strconv.Itoa(i)).Attr("type", "button").Text(c.Text).
				OnClick(do(func(ctx app.Context) { t.Open(ctx, f.Key, i) }))
		}
		cells = append(cells, el("td", classes("", "unknown", c.Unknown)).Attr("role", "cell").Body(inner))
	}
	return el("tr", classes("", "first", f.First)).Attr("role", "row").Body(cells...)
}

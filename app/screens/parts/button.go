package parts

import (
	"strconv"

	"github.com/maxence-charriere/go-app/v10/pkg/app"
)

// Kind is how much a button asks to be pressed.
type Kind int

// The kinds. Outlined is for a step that takes something away.
const (
	Plain Kind = iota
	Primary
	Quiet
	Link
	Outlined
)

var kindClasses = [...]string{Plain: "", Primary: "primary", Quiet: "quiet", Link: "link", Outlined: "outlined"}

// Button is one button. Without Text it shows its icon alone and needs a Name.
type Button struct {
	ID    string
	Text  string
	Sub   string // a second line in small print
	Name  string // for screen readers where the text says too little; it begins with the text
	Icon  Icon
	After bool // the icon comes after the text
	Kind  Kind
	Off   bool // shows and can be reached, but does nothing
	Opens bool // opens and closes something; Open says which
	Open  bool
	Do    func(app.Context)
}

// UI draws the button.
func (b Button) UI() app.UI { return b.element("") }

// there reports whether there is such a button.
func (b Button) there() bool { return b.ID != "" }

// element draws the button with a class of its place.
func (b Button) element(class string) app.HTMLElem {
	var words, body []app.UI
	if b.Text != "" {
		words = append(words, say("span", "", b.Text))
	}
	if b.Sub != "" {
		words = []app.UI{box("span", "two-lines", say("span", "", b.Text), say("small", "", b.Sub))}
	}
	if b.Icon != NoIcon && !b.After {
		body = append(body, b.Icon.UI())
	}
	body = append(body, words...)
	if b.Icon != NoIcon && b.After {
		body = append(body, b.Icon.UI())
	}
	e := el("button", kindClasses[b.Kind])
	if class != "" {
		e.Class(class)
	}
	e.ID(b.ID).Attr("type", "button").Body(body...)
	if b.Name != "" {
		e.Aria("label", b.Name)
	}
	if b.Opens {
		e.Aria("expanded", strconv.FormatBool(b.Open))
	}
	if b.Off {
		return e.Aria("disabled", "true")
	}
	return e.OnClick(do(b.Do))
}

// Row is controls side by side that wrap where they must.
func Row(body ...app.UI) app.UI { return box("div", "row", body...) }

// Fold is a line that leads on to more: a name, what is entered now, an arrow.
type Fold struct {
	ID, Text, Value string
	Icon            Icon
	Opens, Open     bool // it opens what comes after it, rather than another screen
	Do              func(app.Context)
}

// UI draws the line.
func (f Fold) UI() app.UI {
	var body []app.UI
	if f.Icon != NoIcon {
		body = append(body, f.Icon.UI())
	}
	body = append(body, say("span", "", f.Text))
	if f.Value != "" {
		body = append(body, say("span", "value", f.Value))
	}
	arrow := Forward
	e := el("button", "fold").ID(f.ID).Attr("type", "button")
	if f.Opens {
		arrow = Down
		e.Aria("expanded", strconv.FormatBool(f.Open))
	}
	return e.Body(append(body, arrow.UI())...).OnClick(do(f.Do))
}

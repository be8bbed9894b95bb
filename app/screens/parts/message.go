package parts

import "github.com/maxence-charriere/go-app/v10/pkg/app"

// Weight is how urgent a message is.
type Weight int

// The weights: what is wrong, said at once; what is good to know; what just happened,
// shown for a while at the foot of the screen.
const (
	Wrong Weight = iota
	Good
	Passing
)

// Message is shown at what was touched: what is wrong, and up to two ways out. It is
// read out when it appears.
type Message struct {
	ID         string
	What, More string
	Weight     Weight
	Tip        bool // points up at what it is about
	Ways       []Button
}

// UI draws the message.
func (m Message) UI() app.UI {
	role := "status"
	if m.Weight == Wrong {
		role = "alert"
	}
	var body, ways []app.UI
	for i, w := range m.Ways {
		if i < 2 {
			ways = append(ways, w.UI())
		}
	}
	text := []app.UI{say("b", "", m.What)}
	if m.More != "" {
		text = append(text, app.Text(" "), say("span", "", m.More))
	}
	body = append(body, box("p", "", text...))
	if len(ways) > 0 {
		body = append(body, Row(ways...))
	}
	class := [...]string{Wrong: "message wrong", Good: "message", Passing: "passing"}[m.Weight]
	return el("div", classes(class, "tip", m.Tip)).ID(m.ID).Attr("role", role).Body(body...)
}

// Panel is a section of the dentist's side with a heading.
type Panel struct {
	ID    string
	Title string
	Note  string // beside the title, in small print
	Name  string // for screen readers where no title shows
	End   app.UI // at the end of the heading's line
	Flat  bool   // its body reaches the edges
	Grows bool   // takes the height that is left
	Late  bool   // in a stack: on a phone it comes after the panel beside the stack
	Body  []app.UI
}

// UI draws the panel.
func (p Panel) UI() app.UI {
	e := el("section", classes("panel", "flat", p.Flat, "grows", p.Grows, "late", p.Late)).ID(p.ID)
	if p.Title == "" {
		return e.Aria("label", p.Name).Body(p.Body...)
	}
	head := []app.UI{el("h2", "").ID(p.ID + "-title").Text(p.Title)}
	if p.Note != "" {
		head = append(head, say("span", "note", p.Note))
	}
	if p.End != nil {
		head = append(head, box("div", "end", p.End))
	}
	return e.Aria("labelledby", p.ID+"-title").Body(append([]app.UI{box("div", "panel-head", head...)}, p.Body...)...)
}

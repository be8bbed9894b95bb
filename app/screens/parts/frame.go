package parts

import (
	"github.com/maxence-charriere/go-app/v10/pkg/app"
)

// Step is one stage, or one step of a stage.
type Step struct {
	ID, Text string
	Now      bool
	Seen     bool // a tick: past, or shown to the patient
	Do       func(app.Context)
}

// Strip is the dark strip that marks the dentist's side: menu, whose case, stages, what
// is open, undo, next patient. On a phone stages, undo and next patient do not show.
type Strip struct {
	Menu       Button // an icon
	Case       Button // whose case, and in Sub what it is
	StagesName string
	Stages     []Step
	Note       string // such as being offline; "" for none
	Open       Button // what is open
	Undo, Next Button
}

// UI draws the strip. A button without an ID is left out.
func (s Strip) UI() app.UI {
	var body []app.UI
	add := func(b Button, class string) {
		if b.there() {
			body = append(body, b.element(class))
		}
	}
	add(s.Menu, "")
	add(s.Case, "whose")
	if len(s.Stages) > 0 {
		body = append(body, steps(s.StagesName, "stages tablet-only", "step", s.Stages))
	}
	if s.Note != "" {
		body = append(body, say("span", "strip-note", s.Note))
	}
	add(s.Open, "open")
	add(s.Undo, "tablet-only")
	add(s.Next, "edged tablet-only")
	return box("header", "strip", body...)
}

// steps is a row of steps; current is what the present one is: step or page.
func steps(name, class, current string, list []Step) app.UI {
	items := make([]app.UI, len(list))
	for i, s := range list {
		b := Button{ID: s.ID, Text: s.Text, Do: s.Do}
		if s.Seen {
			b.Icon = Check
		}
		e := b.element("")
		if s.Now {
			e.Aria("current", current)
		}
		items[i] = box("li", classes("", "seen", s.Seen), e)
	}
	return box("nav", class, el("ol", "").Body(items...)).(app.HTMLElem).Aria("label", name)
}

// Enter is a screen of the dentist's side.
type Enter struct {
	Strip     Strip
	Title     string // the heading of the screen
	Hidden    bool   // for screen readers only
	Note      string // beside the heading
	End       app.UI // at the end of the heading's line
	Body      []app.UI
	StepsName string
	Steps     []Step
	Where     Button   // stage and step on a phone, such as "Decide 1/5"; opens the list of both
	Ways      []Button // at the end of the foot; the way on is the last
	Over      app.UI   // such as a passing message; nil for none
}

// UI draws the screen. The element of its heading has the ID head and can take the focus.
func (e Enter) UI() app.UI {
	heading := el("h1", classes("", "unseen", e.Hidden)).ID("head").Attr("tabindex", -1).Text(e.Title)
	head := []app.UI{heading}
	if e.Note != "" {
		head = append(head, say("p", "note", e.Note))
	}
	if e.End != nil {
		head = append(head, box("div", "end", e.End))
	}
	var top app.UI = heading
	if !e.Hidden {
		top = box("div", "screen-head", head...)
	}
	foot := []app.UI{steps(e.StepsName, "steps tablet-only", "page", e.Steps)}
	if e.Where.there() {
		foot = append(foot, e.Where.element("phone-only"))
	}
	var ways []app.UI
	for _, w := range e.Ways {
		ways = append(ways, w.UI())
	}
	body := []app.UI{
		e.Strip.UI(),
		box("main", "work", append([]app.UI{top}, e.Body...)...),
		box("footer", "foot", append(foot, box("div", "ways", ways...))...),
	}
	if e.Over != nil {
		body = append(body, e.Over)
	}
	return box("div", "enter", body...)
}

// Columns is a wide column and a panel beside it; one above the other on a phone.
func Columns(wide, panel app.UI) app.UI { return box("div", "columns", wide, panel) }

// Stack is parts one above the other.
func Stack(body ...app.UI) app.UI { return box("div", "stack", body...) }

// Show is a page of the patient's side.
type Show struct {
	Return  Button // to the dentist's side: top start, away from the answers
	Stage   string
	Place   string // "page 2 of 5" for screen readers, who do not see the dots
	At, Of  int    // which page of how many, from 1
	Tools   []Button
	Heading string
	Lead    string // the second sentence; "" for none
	End     app.UI // beside the heading
	Middle  bool   // heading and body lie in the middle of the page
	Body    []app.UI
	Back    Button
	Go      Button
	Foot    []app.UI // between the two
	Answers app.UI   // over them at the foot of the page
	Over    app.UI
}

// UI draws the page. The element of its heading has the ID head and can take the focus.
func (s Show) UI() app.UI {
	top := []app.UI{s.Return.UI(), s.place()}
	for _, t := range s.Tools {
		top = append(top, t.UI())
	}
	var head app.UI = el("h1", "").ID("head").Attr("tabindex", -1).Text(s.Heading)
	if s.End != nil {
		head = box("div", "page-head", head, s.End)
	}
	page := []app.UI{head}
	if s.Lead != "" {
		page = append(page, say("p", "lead", s.Lead))
	}
	var foot []app.UI
	if s.Answers != nil {
		foot = append(foot, s.Answers)
	}
	if s.Back.there() {
		foot = append(foot, s.Back.element("back"))
	}
	foot = append(foot, s.Foot...)
	if s.Go.there() {
		foot = append(foot, s.Go.element("go"))
	}
	body := []app.UI{
		box("header", "page-top", top...),
		box("main", classes("page", "centered", s.Middle), append(page, s.Body...)...),
		box("footer", "page-foot", foot...),
	}
	if s.Over != nil {
		body = append(body, s.Over)
	}
	return box("div", "show", body...)
}

// place is the stage and a dot for each page.
func (s Show) place() app.UI {
	var dots []app.UI
	for i := 1; i <= s.Of; i++ {
		dots = append(dots, el("span", classes("dot", "past", i < s.At, "now", i == s.At)))
	}
	body := []app.UI{say("span", "tablet-only", s.Stage)}
	if s.Of > 0 {
		body = append(body, el("span", "dots").Attr("role", "img").Aria("label", s.Place).Body(dots...))
	}
	return box("div", "place", body...)
}

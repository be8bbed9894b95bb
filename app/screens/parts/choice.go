package parts

import (
	"slices"
	"strconv"

	"github.com/maxence-charriere/go-app/v10/pkg/app"
)

// Answer is one of few big choices of the patient's side.
type Answer struct {
	Key        string
	Text, Note string // the note says what follows from it
	Icon       Icon
}

// Answers are a question's choices, of which at most one is given: six at the most.
// Arrow keys move and do not answer, so that nobody passes over a yes and gives it.
type Answers struct {
	ID, Name string
	Items    []Answer
	Given    string // key; "" while blank
	Pick     func(ctx app.Context, key string)
}

// UI draws the answers.
func (a Answers) UI() app.UI {
	g := &group{ID: a.ID, Name: a.Name, One: true, Pick: a.Pick,
		Class: classes("answers", "by-two", len(a.Items) == 2 || len(a.Items) == 4)}
	for _, i := range a.Items {
		g.Items = append(g.Items, item{Key: i.Key, Text: i.Text, Note: i.Note, Icon: i.Icon, Class: "answer", On: i.Key == a.Given})
	}
	return g
}

// Look is how a group of chips is set.
type Look int

// The looks: chips that wrap, chips in one frame for one of few, and a grid of five
// columns, where an item without a key leaves its place empty.
const (
	Loose Look = iota
	Joined
	Grid
)

// Chip is one choice of the dentist's side.
type Chip struct {
	Key, Text string
	Icon      Icon // in place of the tick, while it is off as well
	On        bool
	Was       bool // marked with dashes: the other value of the two that a grid enters
}

// Chips are check boxes, or with One radio buttons.
type Chips struct {
	ID, Name string
	Label    string // shown over the group; the name is for screen readers alone
	One      bool
	Look     Look
	Items    []Chip
	Pick     func(ctx app.Context, key string)
}

// UI draws the chips.
func (c Chips) UI() app.UI {
	g := &group{ID: c.ID, Name: c.Name, One: c.One, Pick: c.Pick, Ticks: c.Look == Loose,
		Class: [...]string{Loose: "chips", Joined: "joined", Grid: "grid"}[c.Look]}
	for _, i := range c.Items {
		g.Items = append(g.Items, item{Key: i.Key, Text: i.Text, Icon: i.Icon, Class: classes("chip", "was", i.Was), On: i.On})
	}
	if c.Label == "" {
		return g
	}
	return box("div", "", el("p", "label").Aria("hidden", "true").Text(c.Label), g)
}

// item is one button of a group.
type item struct {
	Key, Text, Note, Class string
	Icon                   Icon
	On                     bool
}

// group is a named group of check boxes, or of radio buttons, which are one stop of
// the tab key.
type group struct {
	app.Compo
	Pick            func(app.Context, string)
	ID, Name, Class string
	One, Ticks      bool
	Items           []item
	at              string // where the keyboard is
}

// CompoID keeps the engine from turning one group into another.
func (g *group) CompoID() string { return g.ID }

// Render draws the buttons.
func (g *group) Render() app.UI {
	role := "group"
	if g.One {
		role = "radiogroup"
	}
	var body []app.UI
	for _, i := range g.Items {
		body = append(body, g.button(i))
	}
	return el("div", g.Class).ID(g.ID).Attr("role", role).Aria("label", g.Name).Body(body...).
		OnClick(g.click, app.EventScope(g.ID)).On("keydown", g.keydown, app.EventScope(g.ID))
}

func (g *group) button(i item) app.UI {
	if i.Key == "" {
		return el("span", "gap")
	}
	role := "checkbox"
	if g.One {
		role = "radio"
	}
	var body []app.UI
	switch {
	case i.Icon != NoIcon:
		body = append(body, i.Icon.UI())
	case g.Ticks && i.On:
		body = append(body, Check.UI())
	}
	body = append(body, say("span", "", i.Text))
	if i.Note != "" {
		body = []app.UI{box("span", "answer-head", body...), say("small", "", i.Note)}
	}
	e := el("button", i.Class).ID(g.ID+"-"+i.Key).Attr("type", "button").Attr("role", role).
		Aria("checked", strconv.FormatBool(i.On)).Attr("data-key", i.Key).Body(body...)
	if g.One {
		e.Attr("tabindex", tabIndex(i.Key == g.stop()))
	}
	return e
}

// stop is the key of the radio button that the tab key reaches.
func (g *group) stop() string {
	first, on := "", ""
	for _, i := range g.Items {
		if i.Key != "" && i.Key == g.at {
			return g.at
		}
		if first == "" {
			first = i.Key
		}
		if i.On {
			on = i.Key
		}
	}
	if on != "" {
		return on
	}
	return first
}

func (g *group) click(ctx app.Context, e app.Event) {
	key := keyOf(e, "data-key")
	if !slices.ContainsFunc(g.Items, func(i item) bool { return i.Key == key && key != "" }) {
		return
	}
	g.at = key
	if g.Pick != nil {
		g.Pick(ctx, key)
	}
}

func (g *group) keydown(ctx app.Context, e app.Event) {
	key := e.Get("key").String()
	from := keyOf(e, "data-key")
	if !g.One || from == "" || e.Get("ctrlKey").Bool() || e.Get("altKey").Bool() || e.Get("metaKey").Bool() {
		return
	}
	rtl := app.Window().Call("getComputedStyle", ctx.JSSrc()).Get("direction").String() == "rtl"
	to := g.next(from, key, rtl)
	if to == "" {
		return
	}
	e.PreventDefault()
	g.at = to
	focus(g.ID + "-" + to)
}

// next is the key of the item that an arrow leads to, around the end, "" for other
// keys. From right to left the left arrow leads on.
func (g *group) next(from, key string, rtl bool) string {
	var keys []string
	for _, i := range g.Items {
		if i.Key != "" {
			keys = append(keys, i.Key)
		}
	}
	at, n := slices.Index(keys, from), len(keys)
	if at < 0 {
		return ""
	}
	by := map[string]int{"ArrowDown": 1, "ArrowUp": -1, "ArrowRight": 1, "ArrowLeft": -1}[key]
	if rtl && (key == "ArrowRight" || key == "ArrowLeft") {
		by = -by
	}
	switch {
	case key == "Home":
		return keys[0]
	case key == "End":
		return keys[n-1]
	case by != 0:
		return keys[(at+by+n)%n]
	}
	return ""
}

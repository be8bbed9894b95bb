// Package parts holds the building blocks of the screens: the tooth chart, the frames
// of both sides, choices, fields, messages, the comparison table. They know no case, no
// plan and no sentence: all words and states come in, what is touched goes out. Their
// look is app/shell/parts.css.
//
// A part is a struct with a method UI. IDs are unique on a screen. A handler gets the
// context of what was touched; the engine draws the screen around it anew when it returns.
package parts

import (
	"strconv"
	"strings"
	"sync/atomic"

	"github.com/maxence-charriere/go-app/v10/pkg/app"
)

// el makes an element by its tag. The engine has a type for each tag as well, and
// each of them brings sixty kilobytes of methods into the program.
func el(tag, class string) app.HTMLElem {
	e := app.Elem(tag)
	if class != "" {
		e.Class(class)
	}
	return e
}

// say is an element that contains a text.
func say(tag, class, text string) app.UI { return el(tag, class).Text(text) }

// box is an element that contains others.
func box(tag, class string, body ...app.UI) app.UI { return el(tag, class).Body(body...) }

// classes joins the class names whose condition holds.
func classes(name string, more ...any) string {
	out := []string{name}
	for i := 0; i+1 < len(more); i += 2 {
		if more[i+1].(bool) {
			out = append(out, more[i].(string))
		}
	}
	return strings.Join(out, " ")
}

var drawn atomic.Uint64

// act makes a handler of a drawing. Where two drawings give an element handlers of the
// same scope, the engine keeps the first, with what that drawing knew; so each
// drawing's handlers have a scope of their own.
func act(f func(app.Context, app.Event)) (app.EventHandler, app.EventOption) {
	return f, app.EventScope(strconv.FormatUint(drawn.Add(1), 36))
}

// do is act for handlers that need nothing of the event. f may be nil.
func do(f func(app.Context)) (app.EventHandler, app.EventOption) {
	return act(func(ctx app.Context, _ app.Event) {
		if f != nil {
			f(ctx)
		}
	})
}

// focus gives the keyboard focus to an element of the page.
func focus(id string) {
	if e := app.Window().Get("document").Call("getElementById", id); e.Truthy() {
		e.Call("focus")
	}
}

// keyOf is the key of the control that an event met: the named attribute of the nearest
// element that has it, "" without one.
func keyOf(e app.Event, attr string) string {
	at := e.Get("target").Call("closest", "["+attr+"]")
	if !at.Truthy() {
		return ""
	}
	return at.Call("getAttribute", attr).String()
}

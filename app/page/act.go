package page

import (
	"fmt"

	"github.com/maxence-charriere/go-app/v10/pkg/app"

	"plainleaf/app/screens/state"
)

// on wraps an event handler: a panic in it is told on the screen and loses
// nothing, and afterwards the fields show what the state holds. The engine keeps
// handlers apart by their code and their scope alone, and every handler here has
// the same code, so key must be different for every element and every value that
// f captures.
func (r *Root) on(key string, f func(ctx app.Context, e app.Event)) (app.EventHandler, app.EventOption) {
	return func(ctx app.Context, e app.Event) {
		r.remember()
		r.try(func() { f(ctx, e) })
		r.update()
	}, app.EventScope(key)
}

// quick is on for the handlers of a small component, which draws itself from its
// own fields: again brings them up to date. What was tapped shows first; what
// depends on it is computed and drawn when the browser has painted that.
func (r *Root) quick(key string, f func(e app.Event), again func()) (app.EventHandler, app.EventOption) {
	return func(_ app.Context, e app.Event) {
		r.remember()
		r.try(func() { f(e); again() })
		r.try(r.handOver)
		r.ctx.PreventUpdate()
		r.ctx.Defer(func(app.Context) { r.afterPaint() })
	}, app.EventScope(key)
}

// before is the case as it was when the screen last told what had changed.
type before struct {
	mark  state.Mark
	edits int // counted by then
	epoch int
	held  bool
}

// remember holds the case before the first step since the screen was up to date.
func (r *Root) remember() {
	if !r.before.held {
		r.before = before{r.d.Mark(), r.signed.Edits(), r.epoch, true}
	}
}

// compare tells what the steps since then changed elsewhere.
func (r *Root) compare() {
	b := r.before
	r.before.held = false
	switch {
	case !b.held:
	case r.epoch != b.epoch:
		r.updated, r.draft, r.walked = nil, draft{}, false
	case r.signed.Edits() != b.edits:
		r.tell(b.mark)
	}
}

// afterPaint draws the whole screen once the browser has painted the step. A
// page out of sight paints nothing, so there a short time stands for it.
func (r *Root) afterPaint() {
	if r.due {
		return
	}
	r.due = true
	if r.catchUp == nil {
		r.catchUp = app.FuncOf(func(app.Value, []app.Value) any {
			r.ctx.Dispatch(func(app.Context) {
				if !r.due {
					return
				}
				r.settled()
				r.try(r.handOver)
				r.ctx.Defer(r.settle)
			})
			return nil
		})
		// The browser's own function with its values bound, so that the program
		// stays out of the frame that shows the step.
		r.painted = app.Window().Get("setTimeout").Call("bind", app.Window(), r.catchUp, 0)
	}
	app.Window().Call("requestAnimationFrame", r.painted)
	r.patience = app.Window().Call("setTimeout", r.catchUp, 100)
}

// settled ends the wait for the browser's paint, since the whole screen is drawn
// in this turn.
func (r *Root) settled() {
	if r.due {
		r.due = false
		app.Window().Call("clearTimeout", r.patience)
	}
	r.try(r.compare)
}

// click is on for handlers that need nothing of the event.
func (r *Root) click(key string, f func()) (app.EventHandler, app.EventOption) {
	return r.on(key, func(ctx app.Context, _ app.Event) {
		r.pressed = pressed{key, ""}
		if part := ctx.JSSrc().Call("closest", ".part, .card"); part.Truthy() {
			r.pressed.heading = part.Call("getAttribute", "aria-labelledby").String()
		}
		f()
	})
}

// pressed is what was clicked last, and the heading over it.
type pressed struct{ id, heading string }

// refocus moves the focus to the heading over what was clicked, when the step has
// taken that away and the focus with it: who goes by keyboard or by ear would else
// begin again at the top of the page.
func (r *Root) refocus(doc app.Value) {
	p := r.pressed
	if p.id == "" || doc.Call("getElementById", p.id).Truthy() {
		return
	}
	r.pressed = pressed{}
	if at := doc.Get("activeElement"); at.Truthy() && !at.Equal(doc.Get("body")) {
		return
	}
	for _, id := range []string{p.heading, "head"} {
		if e := doc.Call("getElementById", id); e.Truthy() {
			r.focusOn(e)
			return
		}
	}
}

// focusOn gives the focus to an element. A heading takes it only when asked to, and
// the screen stays where it is.
func (r *Root) focusOn(e app.Value) {
	e.Call("focus")
	if !e.Equal(app.Window().Get("document").Get("activeElement")) {
		e.Set("tabIndex", -1)
		e.Call("focus", map[string]any{"preventScroll": true})
	}
}

// value is on for fields: set gets what stands in the field.
func (r *Root) value(key string, set func(string)) (app.EventHandler, app.EventOption) {
	return r.on(key, func(ctx app.Context, _ app.Event) {
		text := ctx.JSSrc().Get("value").String()
		r.heard = text
		set(text)
	})
}

// try runs f; a panic becomes a notice.
func (r *Root) try(f func()) {
	defer func() {
		if p := recover(); p != nil {
			r.trouble = true
			app.Window().Get("console").Call("warn", "a step failed: "+fmt.Sprint(p))
		}
	}()
	f()
}

// update draws the screen anew and settles the fields.
func (r *Root) update() {
	r.settled()
	r.try(r.handOver)
	r.ctx.Dispatch(func(ctx app.Context) { r.ctx.Defer(r.settle) })
}

// settle gives every field the value the state holds, since the engine does not
// touch a field whose value it believes unchanged, and moves the focus where a
// step asked for it. A date half typed is left alone.
func (r *Root) settle(app.Context) {
	before := r.trouble
	defer func() {
		if r.trouble && !before {
			r.ctx.Dispatch(nil) // draw once more, with the notice
		}
	}()
	r.try(func() {
		doc := app.Window().Get("document")
		for id, want := range r.bind {
			e := doc.Call("getElementById", id)
			if !e.Truthy() {
				continue
			}
			is := e.Get("value").String()
			if is == want || is != r.heard && e.Equal(doc.Get("activeElement")) {
				continue // what was typed since is still on its way here
			}
			e.Set("value", want)
		}
		for id, want := range r.mark {
			if e := doc.Call("getElementById", id); e.Truthy() && e.Get("checked").Bool() != want {
				e.Set("checked", want)
			}
		}
		if id := r.reveal; id != "" {
			r.reveal = ""
			if e := doc.Call("getElementById", id); e.Truthy() {
				e.Call("scrollIntoView")
			}
		}
		if id := r.focus; id != "" {
			r.focus = ""
			if e := doc.Call("getElementById", id); e.Truthy() {
				r.pressed = pressed{}
				r.focusOn(e)
			}
		}
		r.refocus(doc)
	})
}

// later runs f on the screen's own thread; for answers of the browser.
func (r *Root) later(f func()) {
	r.ctx.Dispatch(func(app.Context) {
		r.try(f)
		r.try(r.handOver)
		r.ctx.Defer(r.settle)
	})
}

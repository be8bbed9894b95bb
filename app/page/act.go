package page

import (
	"fmt"

	"github.com/maxence-charriere/go-app/v10/pkg/app"
)

// on wraps an event handler: a panic in it is told on the screen and loses
// nothing, and afterwards the fields show what the model holds. The engine tells
// handlers apart by their code and their scope alone, and every handler here has
// the same code, so key must be different for every element and every value that
// f captures.
func (r *Root) on(key string, f func(ctx app.Context, e app.Event)) (app.EventHandler, app.EventOption) {
	return func(ctx app.Context, e app.Event) {
		before, epoch := r.m.Mark(), r.epoch
		r.try(func() { f(ctx, e) })
		r.try(func() {
			switch {
			case r.epoch != epoch:
				r.updated, r.draft, r.walked = nil, draft{}, false
			case r.m.Edits() != before.Edits():
				r.tell(before)
			}
		})
		r.update()
	}, app.EventScope(key)
}

// click is on for handlers that need nothing of the event.
func (r *Root) click(key string, f func()) (app.EventHandler, app.EventOption) {
	return r.on(key, func(app.Context, app.Event) { f() })
}

// value is on for fields: set gets what stands in the field.
func (r *Root) value(key string, set func(string)) (app.EventHandler, app.EventOption) {
	return r.on(key, func(ctx app.Context, _ app.Event) { set(ctx.JSSrc().Get("value").String()) })
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
	r.try(r.handOver)
	r.ctx.Dispatch(func(ctx app.Context) { r.ctx.Defer(r.settle) })
}

// settle gives every field the value the model holds, since the engine does not
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
			if e := doc.Call("getElementById", id); e.Truthy() && e.Get("value").String() != want {
				e.Set("value", want)
			}
		}
		for id, want := range r.mark {
			if e := doc.Call("getElementById", id); e.Truthy() && e.Get("checked").Bool() != want {
				e.Set("checked", want)
			}
		}
		if id := r.reveal; id != "" {
			r.reveal = ""
			if e := doc.Call("getElementById", id); e.Truthy() {
				e.Set("open", true)
				e.Call("scrollIntoView")
			}
		}
		if id := r.focus; id != "" {
			r.focus = ""
			if e := doc.Call("getElementById", id); e.Truthy() {
				e.Call("focus")
			}
		}
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

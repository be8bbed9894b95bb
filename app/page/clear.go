package page

import (
	"strconv"

	"github.com/maxence-charriere/go-app/v10/pkg/app"
)

// clearPart asks before it clears. What was signed has to be in the record first.
func (r *Root) clearPart() app.UI {
	if !r.confirm {
		return box("div", "clear",
			r.button("clear", "second", r.t("page.clear.button"), func() { r.confirm = true; r.focus = "clear-no" }))
	}
	text, yes := "page.clear.ask", "page.clear.yes"
	switch {
	case r.signed.Unsealed():
		text, yes = "page.clear.signed", "page.clear.attached-yes"
	case r.d.Paper().Handed():
		text, yes = "page.clear.attached", "page.clear.attached-yes"
	case r.k.id != "":
		text = "page.clear.ask-kept"
	}
	return box("div", "clear",
		el("div").ID("clear-ask").Class("notice").Role("alertdialog").Aria("labelledby", "clear-ask-text").Body(
			el("p").ID("clear-ask-text").Text(r.t(text)),
			box("div", "chips",
				r.button("clear-yes", "", r.t(yes), r.clear).DataSet("signed", strconv.FormatBool(r.d.Paper().Handed() || r.signed.Unsealed())),
				r.button("clear-no", "quiet", r.t("page.clear.no"), func() { r.confirm = false; r.focus = "clear" }),
			),
		),
	)
}

// grace is how long clearing can be undone, in seconds.
const grace = 30

// cleared is the case that was on the screen before it was cleared, for as long as that
// can be undone.
type cleared struct {
	draft, id, label string
	was              bool // there was something to clear
	memory           bool
	done             bool
	failed           string // why the key could not be overwritten
	timer            app.Value
}

// clear makes ready for the next patient: the draft and its key are destroyed on the
// device. A kept case stays kept. What is in memory goes when the app starts anew, at
// the tap for the next patient or after the time for undoing it.
func (r *Root) clear() {
	c := &cleared{draft: r.desk.Keep(true), id: r.k.id, label: r.k.label, was: r.signed.Started() || r.k.id != "",
		memory: r.k.memory || r.k.state != "own"}
	if r.k.id != "" {
		r.script("flush", nil) // takes the last edits before they are gone
	}
	r.empty()
	r.k.cleared = c
	r.script("clear", func(a reply) {
		c.done = true
		if !a.OK {
			c.failed = a.Why
		}
		r.focus = "cleared-next"
		if c == r.k.cleared {
			c.timer = r.after(grace, func() { r.restart(c) })
		}
	})
}

// after runs f on the screen's own thread after some seconds, and answers the timer.
func (r *Root) after(seconds int, f func()) app.Value {
	var call app.Func
	call = app.FuncOf(func(app.Value, []app.Value) any {
		call.Release()
		r.later(f)
		return nil
	})
	return app.Window().Call("setTimeout", call, seconds*1000)
}

// restart starts the app anew for the next patient.
func (r *Root) restart(c *cleared) {
	if r.k.cleared != c {
		return
	}
	c.draft = ""
	r.script("restart", func(reply) { r.k.cleared, r.focus = nil, toothID(11) }, r.link(""))
}

// undoClear brings the cleared case back. It is written under another key.
func (r *Root) undoClear(c *cleared) {
	app.Window().Call("clearTimeout", c.timer)
	r.k.cleared = nil
	r.script("undo", func(reply) {
		r.k.id, r.k.label = c.id, c.label
		if !r.desk.Restore(c.draft) {
			r.notice = r.t("page.keep.lost")
			return
		}
		r.show()
		r.notice = r.t("page.cleared.undone")
		r.focus = "head"
	})
}

// clearedPage takes the place of every screen once the case is cleared.
func (r *Root) clearedPage() []app.UI {
	c := r.k.cleared
	about := "page.cleared.about"
	switch {
	case c.failed != "":
		about = "page.cleared.failed"
	case c.id != "":
		about = "page.cleared.about-kept"
	case c.memory:
		about = "page.cleared.about-memory"
	}
	head := el("h1").ID("head").TabIndex(-1).Text(r.t("page.cleared.title"))
	if !c.done {
		return []app.UI{head}
	}
	return []app.UI{
		head,
		el("p").ID("cleared-about").Role("status").Text(r.t(about)),
		r.button("cleared-next", "cover-open", r.t("page.cleared.next"), func() { r.restart(c) }),
		app.If(c.was, func() app.UI {
			return box("div", "chips",
				r.button("cleared-undo", "second", r.t("page.cleared.undo"), func() { r.undoClear(c) }),
				say("p", "hint", r.n("page.cleared.seconds", grace)))
		}),
		el("details").ID("cleared-limits").Class("drawer").Body(
			say("summary", "", r.t("page.cleared.limits")),
			box("ul", "", say("li", "", r.t("page.cleared.limit-old")), say("li", "", r.t("page.cleared.limit-history")),
				say("li", "", r.t("page.cleared.limit-disk")))),
	}
}

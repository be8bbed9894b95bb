package parts

import (
	"strings"

	"github.com/maxence-charriere/go-app/v10/pkg/app"
)

// Field is a labeled text field.
type Field struct {
	Input func(ctx app.Context, value string) // at each letter

	ID, Label string
	Hint      string
	Value     string
	Type      string // of the input element; "" for text
	Mode      string // inputmode, for the keyboard on the screen; "" for the type's own
	Lines     int    // more than one for a paragraph
	Icon      Icon
	Beside    bool   // the label is beside the field
	Unseen    bool   // the label is for screen readers only
	Example   string // shown in the field while it is empty
	Wrong     *Message
}

// UI draws the field.
func (f Field) UI() app.UI { return &field{Props: f} }

// field keeps what is typed: the engine would write over letters that are still on
// their way to the program, so the value is set here.
type field struct {
	app.Compo
	Props Field
	first *string // the value of the first drawing, which the engine keeps
	heard string  // what was typed last
}

// CompoID keeps the engine from turning one field into another.
func (f *field) CompoID() string { return f.Props.ID }

// OnUpdate sets the value when the screen is drawn.
func (f *field) OnUpdate(ctx app.Context) { ctx.Defer(f.settle) }

// settle gives the field its value, unless what it shows was typed since.
func (f *field) settle(app.Context) {
	doc := app.Window().Get("document")
	e := doc.Call("getElementById", f.Props.ID)
	if !e.Truthy() {
		return
	}
	is := e.Get("value").String()
	if is == f.Props.Value || is != f.heard && e.Equal(doc.Get("activeElement")) {
		return
	}
	e.Set("value", f.Props.Value)
}

// Render draws the label, the field and what is wrong with it.
func (f *field) Render() app.UI {
	p := f.Props
	if f.first == nil {
		f.first = &p.Value
	}
	e := el("input", "")
	if p.Lines > 1 {
		e = el("textarea", "").Attr("rows", p.Lines).Text(*f.first)
	} else {
		kind := p.Type
		if kind == "" {
			kind = "text"
		}
		e.Attr("type", kind)
		if *f.first != "" {
			e.Attr("value", *f.first)
		}
	}
	e.ID(p.ID).Attr("autocomplete", "off").Spellcheck(false)
	switch {
	case p.Type == "tel" || p.Type == "email" || p.Type == "url":
		e.Dir("ltr")
	case p.Value != "":
		e.Dir("auto") // an empty field follows the screen
	}
	if p.Example != "" {
		e.Attr("placeholder", p.Example)
	}
	if p.Mode != "" {
		e.Attr("inputmode", p.Mode)
	}
	e.OnInput(func(ctx app.Context, _ app.Event) {
		f.heard = ctx.JSSrc().Get("value").String()
		if f.Props.Input != nil {
			f.Props.Input(ctx, f.heard)
		}
	}, app.EventScope(p.ID))
	var by []string
	if p.Hint != "" {
		by = append(by, p.ID+"-hint")
	}
	if p.Wrong != nil {
		by = append(by, p.Wrong.ID)
		e.Aria("invalid", "true")
	}
	if len(by) > 0 {
		e.Aria("describedby", strings.Join(by, " "))
	}
	body := []app.UI{el("label", classes("label", "unseen", p.Unseen)).Attr("for", p.ID).Text(p.Label)}
	if p.Hint != "" {
		body = append(body, el("p", "hint").ID(p.ID+"-hint").Text(p.Hint))
	}
	if p.Icon != NoIcon {
		body = append(body, box("div", "with-icon", p.Icon.UI(), e))
	} else {
		body = append(body, e)
	}
	if p.Wrong != nil {
		body = append(body, p.Wrong.UI())
	}
	return box("div", classes("field", "beside", p.Beside), body...)
}

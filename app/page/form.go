package page

import (
	"github.com/maxence-charriere/go-app/v10/pkg/app"

	"plainleaf/app/fault"
)

// option is one entry of a choice.
type option struct{ value, text string }

// blank stands for the empty value of a list, since the engine writes no empty
// value attribute and the browser would take the text in its place.
const blank = "-"

// choice is a labeled drop-down list.
func (r *Root) choice(id, label, value string, options []option, faults fault.List, set func(string)) app.UI {
	r.bind[id] = or(value, blank)
	s := app.Select().ID(id).Body(
		app.Range(options).Slice(func(i int) app.UI {
			o := options[i]
			return app.Option().Value(or(o.value, blank)).Selected(o.value == value).Text(o.text)
		}),
	).OnChange(r.value(id, func(v string) {
		if v == blank {
			v = ""
		}
		set(v)
	}))
	if len(faults) > 0 {
		s = s.Aria("invalid", "true").Aria("describedby", id+"-fault")
	}
	return app.Div().Class("field").Body(
		app.Label().For(id).Text(label), s, r.faults(id+"-fault", faults),
	)
}

// entry is a labeled text field. kind is the type attribute.
func (r *Root) entry(id, kind, label, hint, value string, faults fault.List, set func(string)) app.UI {
	r.bind[id] = value
	f := app.Input().ID(id).Type(kind).AutoComplete(false).Spellcheck(false).Value(value).
		OnInput(r.value(id, set))
	about := ""
	if hint != "" {
		about = id + "-hint"
	}
	if len(faults) > 0 {
		f = f.Aria("invalid", "true")
		about += " " + id + "-fault"
	}
	if about != "" {
		f = f.Aria("describedby", about)
	}
	if kind == "tel" || kind == "email" {
		f = f.Dir("ltr")
	}
	return app.Div().Class("field").Body(
		app.Label().For(id).Text(label),
		app.If(hint != "", func() app.UI { return app.P().ID(id + "-hint").Class("hint").Text(hint) }),
		f, r.faults(id+"-fault", faults),
	)
}

// area is a labeled text field of several lines.
func (r *Root) area(id, label, hint, value string, faults fault.List, set func(string)) app.UI {
	r.bind[id] = value
	f := app.Textarea().ID(id).Rows(3).Text(value).OnInput(r.value(id, set))
	about := ""
	if hint != "" {
		about = id + "-hint"
	}
	if len(faults) > 0 {
		f = f.Aria("invalid", "true")
		about += " " + id + "-fault"
	}
	if about != "" {
		f = f.Aria("describedby", about)
	}
	return app.Div().Class("field").Body(
		app.Label().For(id).Text(label),
		app.If(hint != "", func() app.UI { return app.P().ID(id + "-hint").Class("hint").Text(hint) }),
		f, r.faults(id+"-fault", faults),
	)
}

// tick is a chip that is on or off.
func (r *Root) tick(id, text string, on bool, toggle func()) app.UI {
	r.mark[id] = on
	return app.Label().Class("chip").Body(
		app.Input().ID(id).Type("checkbox").Checked(on).OnChange(r.click(id, toggle)),
		app.Span().Text(text),
	)
}

// pick is a group of chips of which one is on. Blank has no chip of its own
// unless options hold one.
func (r *Root) pick(id, legend, value string, options []option, faults fault.List, set func(string)) app.UI {
	box := app.FieldSet().ID(id).Class("pick").Body(
		app.Legend().Text(legend),
		app.Div().Class("chips").Body(
			app.Range(options).Slice(func(i int) app.UI {
				o := options[i]
				key := id + "-" + o.value
				r.mark[key] = o.value == value
				return app.Label().Class("chip").Body(
					app.Input().ID(key).Type("radio").Name(id).Value(o.value).Checked(o.value == value).
						OnChange(r.click(key, func() { set(o.value) })),
					app.Span().Text(o.text),
				)
			}),
		),
		r.faults(id+"-fault", faults),
	)
	return box
}

// button is a plain button.
func (r *Root) button(id, class, text string, act func()) app.HTMLButton {
	return app.Button().ID(id).Type("button").Class(class).Text(text).OnClick(r.click(id, act))
}

// part is a section with a heading of level 2.
func part(id, heading string, body ...app.UI) app.UI {
	return app.Section().Class("part").Aria("labelledby", id+"-head").Body(
		append([]app.UI{app.H2().ID(id + "-head").Text(heading)}, body...)...,
	)
}

// fact is one row of a list of facts.
func fact(name, text string, more ...app.UI) app.UI {
	return app.Div().Class("fact").Body(
		app.Dt().Text(name),
		app.Dd().Body(append([]app.UI{app.Span().Text(text)}, more...)...),
	)
}

package page

import (
	"cmp"
	"strings"

	"github.com/maxence-charriere/go-app/v10/pkg/app"

	"plainleaf/app/fault"
	"plainleaf/app/screens/state"
)

// option is one entry of a choice.
type option struct{ value, text string }

// blank stands for the empty value of a list, since the engine writes no empty
// value attribute and the browser would take the text in its place.
const blank = "-"

// choice is a labeled drop-down list.
func (r *Root) choice(id, label, value string, options []option, faults fault.List, set func(string)) app.UI {
	r.bind[id] = cmp.Or(value, blank)
	s := el("select").ID(id).Attr("autocomplete", "off").Body(
		each(len(options), func(i int) app.UI {
			o := options[i]
			return el("option").Attr("value", cmp.Or(o.value, blank)).Attr("selected", o.value == value).Text(o.text)
		}),
	).OnChange(r.value(id, func(v string) {
		if v == blank {
			v = ""
		}
		set(v)
	}))
	s = described(s, id, false, len(faults) > 0)
	return box("div", "field",
		el("label").Attr("for", id).Text(label), s, r.faults(id+"-fault", faults),
	)
}

// described ties a field to its hint and its faults, for who hears the screen.
func described(f app.HTMLElem, id string, hint, fault bool) app.HTMLElem {
	var by []string
	if hint {
		by = append(by, id+"-hint")
	}
	if fault {
		f = f.Aria("invalid", "true")
		by = append(by, id+"-fault")
	}
	if len(by) > 0 {
		f = f.Aria("describedby", strings.Join(by, " "))
	}
	return f
}

// entry is a labeled text field. kind is the type attribute; beside stands in one
// line with it. The value is set once the screen is drawn: the engine would write
// over what was typed meanwhile, and a letter would be lost.
func (r *Root) entry(id, kind, label, hint, value string, faults fault.List, set func(string), beside ...app.UI) app.UI {
	r.bind[id] = value
	f := el("input").ID(id).Attr("type", kind).Attr("autocomplete", "off").Spellcheck(false).
		OnInput(r.value(id, func(v string) { set(state.OneParagraph(v)) }))
	f = described(f, id, hint != "", len(faults) > 0)
	if kind == "tel" || kind == "email" || kind == "url" {
		f = f.Dir("ltr")
	} else if value != "" {
		f = f.Dir("auto") // an address in another script keeps its order
	}
	var line app.UI = f
	if len(beside) > 0 {
		line = box("div", "beside", append([]app.UI{f}, beside...)...)
	}
	return box("div", "field",
		el("label").Attr("for", id).Text(label),
		app.If(hint != "", func() app.UI { return el("p").ID(id + "-hint").Class("hint").Text(hint) }),
		line, r.faults(id+"-fault", faults),
	)
}

// area is a labeled text field for a paragraph, which shows on several lines.
func (r *Root) area(id, label, hint, value string, faults fault.List, set func(string)) app.UI {
	return r.lines(id, label, hint, value, faults, func(v string) { set(state.OneParagraph(v)) })
}

// lines is a labeled text field of several lines.
func (r *Root) lines(id, label, hint, value string, faults fault.List, set func(string)) app.UI {
	r.bind[id] = value
	f := el("textarea").ID(id).Attr("autocomplete", "off").Attr("rows", 3).Text(value).OnInput(r.value(id, set))
	f = described(f, id, hint != "", len(faults) > 0)
	return box("div", "field",
		el("label").Attr("for", id).Text(label),
		app.If(hint != "", func() app.UI { return el("p").ID(id + "-hint").Class("hint").Text(hint) }),
		f, r.faults(id+"-fault", faults),
	)
}

// tick is a chip that is on or off.
func (r *Root) tick(id, text string, on bool, toggle func()) app.UI {
	r.mark[id] = on
	return box("label", "chip",
		el("input").ID(id).Attr("type", "checkbox").Attr("autocomplete", "off").Attr("checked", on).OnChange(r.click(id, toggle)),
		say("span", "", text),
	)
}

// pick is a group of chips of which one is on. Blank has no chip of its own
// unless options hold one.
func (r *Root) pick(id, legend, value string, options []option, faults fault.List, set func(string)) app.UI {
	box := el("fieldset").ID(id).Class("pick").Body(
		say("legend", "", legend),
		box("div", "chips",
			each(len(options), func(i int) app.UI {
				o := options[i]
				key := id + "-" + o.value
				r.mark[key] = o.value == value
				return box("label", "chip",
					el("input").ID(key).Attr("type", "radio").Attr("autocomplete", "off").Attr("name", id).Attr("value", o.value).Attr("checked", o.value == value).
						OnChange(r.click(key, func() { set(o.value) })),
					say("span", "", o.text),
				)
			}),
		),
		r.faults(id+"-fault", faults),
	)
	return box
}

// button is a plain button.
func (r *Root) button(id, class, text string, act func()) app.HTMLElem {
	return el("button").ID(id).Attr("type", "button").Class(class).Text(text).OnClick(r.click(id, act))
}

// part is a section with a heading of level 2.
func part(id, heading string, body ...app.UI) app.UI {
	return el("section").Class("part").Aria("labelledby", id+"-head").Body(
		append([]app.UI{el("h2").ID(id + "-head").Text(heading)}, body...)...,
	)
}

// fact is one row of a list of facts.
func fact(name, text string, more ...app.UI) app.UI {
	return box("div", "fact",
		say("dt", "", name),
		box("dd", "", append([]app.UI{say("span", "", text)}, more...)...),
	)
}

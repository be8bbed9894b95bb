package page

import (
	"fmt"
	"slices"

	"github.com/maxence-charriere/go-app/v10/pkg/app"

	"plainleaf/app/casefile"
)

// act is what a row of buttons shows and does. It is looked up by the row's id
// at the moment of the tap, so that no button acts on an earlier drawing.
type act struct {
	down  func(i int) bool
	press func(i int)
}

// keys is a row of buttons that stay down. The engine draws it again only when
// one of its fields differs.
type keys struct {
	app.Compo
	root  *Root
	ID    string
	Class string
	Keys  []string // each button's id is the row's and its key
	Texts []string
	Down  []bool
}

// keys makes a row of buttons: down says which are down now, press presses one.
func (r *Root) keys(id, class string, names, texts []string, down func(i int) bool, press func(i int)) app.UI {
	r.acts[id] = act{down, press}
	return &keys{root: r, ID: id, Class: class, Keys: names, Texts: texts, Down: downs(len(names), down)}
}

func downs(n int, down func(i int) bool) []bool {
	out := make([]bool, n)
	for i := range out {
		out[i] = down(i)
	}
	return out
}

// CompoID keeps the engine from turning one row into another.
func (k *keys) CompoID() string { return k.ID }

// Render draws the buttons.
func (k *keys) Render() app.UI {
	return box("div", k.Class, each(len(k.Keys), func(i int) app.UI {
		key := k.Keys[i]
		id := k.ID + "-" + key
		return el("button").ID(id).Attr("type", "button").Class("chip-button").
			Aria("pressed", fmt.Sprint(k.Down[i])).Text(k.Texts[i]).
			OnClick(k.root.quick(id, func(app.Event) {
				// What a row offers can change between two drawings.
				if i := slices.Index(k.Keys, key); i >= 0 {
					k.root.acts[k.ID].press(i)
				}
			}, func() {
				k.Down = downs(len(k.Keys), k.root.acts[k.ID].down)
			}))
	}))
}

// oneOf is a named row of buttons of which at most one is down.
func (r *Root) oneOf(id, who, name string, names, texts []string, down func(i int) bool, press func(i int)) app.UI {
	return el("div").Class("answer").Role("group").Aria("label", name).Body(
		say("span", "who", who),
		r.keys(id, "three", names, texts, down, press),
	)
}

// drawer is a part that is opened by its heading, which is a summary element.
// What is in it is drawn while it is open. first says whether it is open at first.
func (r *Root) drawer(id, class string, first bool, heading app.UI, body func() []app.UI) app.HTMLElem {
	open := func() bool {
		if on, ok := r.shown[id]; ok {
			return on
		}
		return first
	}
	list := []app.UI{heading}
	if open() {
		list = append(list, body()...)
	}
	return el("details").ID(id).Class(class).Attr("open", open()).Body(list...).
		On("toggle", func(ctx app.Context, _ app.Event) {
			on := ctx.JSSrc().Get("open").Bool()
			if on == open() {
				return
			}
			r.shown[id] = on
			r.update()
		}, app.EventScope(id))
}

// tooth is one tooth of the chart.
type tooth struct {
	app.Compo
	root   *Root
	ctx    app.Context // of this tooth on the screen
	Tooth  casefile.Tooth
	Slim   bool   // stands in the chart for phones
	On     bool   // part of the case
	Own    bool   // something is true of it alone
	Stop   bool   // takes the tab key
	Name   string // for a screen reader
	Number string
}

func (r *Root) tooth(t casefile.Tooth) *tooth {
	x := &tooth{root: r, Tooth: t, Slim: r.slim, Stop: t == r.at, Name: r.toothName(t), Number: r.label(t)}
	x.look()
	return x
}

// look reads from the case what a tap changes.
func (x *tooth) look() {
	x.On = x.root.d.Mouth().Chosen(x.Tooth)
	e := x.root.d.Mouth().Entry(x.Tooth)
	x.Own = x.On && (e.UnderlyingShade != "" || e.TargetShade != "" || e.Route != "" || slices.ContainsFunc(e.Findings, func(k string) bool {
		return !x.root.d.Words().Findings[k].Private
	}))
}

// face is what is drawn of a tooth. No step on the case changes it, so the engine
// leaves it alone when it draws the tooth again.
type face struct {
	app.Compo
	Tooth  casefile.Tooth
	Slim   bool
	Number string
}

// OnMount notes that the tooth is on the screen. Nothing has to be drawn for that.
func (x *tooth) OnMount(ctx app.Context) {
	ctx.PreventUpdate()
	x.ctx = ctx
	x.root.jaws[x.Tooth] = x
}

// OnDismount notes that it is not, unless another one stands in its place already.
func (x *tooth) OnDismount() {
	if x.root.jaws[x.Tooth] == x {
		delete(x.root.jaws, x.Tooth)
	}
}

// drawTeeth draws the teeth whose look a step on several teeth changed, and them
// alone: what depends on them is drawn when they show.
func (r *Root) drawTeeth() {
	for _, x := range r.jaws {
		on, own := x.On, x.Own
		if x.look(); x.On == on && x.Own == own {
			continue
		}
		x.ctx.Dispatch(func(app.Context) { r.ctx.PreventUpdate() })
	}
}

// CompoID keeps the engine from turning one tooth into another.
func (x *tooth) CompoID() string { return x.Tooth.String() }

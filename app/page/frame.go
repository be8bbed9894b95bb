package page

import (
	"slices"

	"github.com/maxence-charriere/go-app/v10/pkg/app"

	"plainleaf/app/casefile"
	"plainleaf/app/place"
	"plainleaf/app/screens/parts"
	"plainleaf/app/screens/show"
	"plainleaf/app/screens/state"
	"plainleaf/app/sheet"
	"plainleaf/app/talk"
)

// The screens are rebuilt one by one. Those of the new side are made of app/screens/parts
// and have a style sheet of their own.

// frameStages are the four stages of a treatment, each with its screens in order.
var frameStages = []struct {
	key   string
	views []string
}{
	{"decide", []string{"", "routes", "numbers", "visits", "sheets"}},
	{"agree", []string{"chair", "understanding", "sheets"}},
	{"try-in", []string{"visit", "sheets"}},
	{"care", []string{"sheets"}},
}

// newScreens are the screens of the new side, by view.
var newScreens = map[string]func(*Root) app.UI{
	"routes": (*Root).optionsSide, "numbers": (*Root).lastsSide, "visits": (*Root).visitsSide,
}

// newSide draws the screen if it belongs to the new side; nil if not.
func (r *Root) newSide() (ui app.UI) {
	key := place.Key(r.here.View)
	r.try(func() {
		switch draw := newScreens[r.here.View]; {
		case r.turned && r.canTurn():
			ui, key = r.talk(), "talk"
		case draw != nil:
			ui = draw(r)
		}
	})
	if ui == nil {
		return nil
	}
	r.style(true)
	return el("div").ID("app").DataSet("lang", r.lang().Tag).DataSet("view", key).On("keydown", r.shortcuts, app.EventScope("shortcuts")).Body(ui)
}

// style turns the style sheet of one side on and that of the other off.
func (r *Root) style(newSide bool) {
	doc := app.Window().Get("document")
	for id, on := range map[string]bool{"style-old": !newSide, "style-new": newSide} {
		media := "all"
		if !on {
			media = "not all"
		}
		if e := doc.Call("getElementById", id); e.Truthy() && e.Get("media").String() != media {
			e.Set("media", media)
		}
	}
}

// canTurn reports whether the screen has pages for the patient.
func (r *Root) canTurn() bool {
	return r.here.View != "sheets" && slices.Contains(frameStages[0].views, r.here.View) && r.d.Plan() != nil && len(r.d.Faults()) == 0
}

// turn shows the patient's side, or the dentist's again.
func (r *Root) turn() {
	r.turned, r.focus = !r.turned, "head"
	app.Window().Call("scrollTo", 0, 0)
}

// touch makes a handler of the parts one of this screen: what it changed shows at once,
// and a panic in it loses nothing.
func (r *Root) touch(f func()) func(app.Context) {
	return func(app.Context) {
		r.remember()
		r.try(f)
		r.update()
	}
}

// goTo is a handler that leads to another screen.
func (r *Root) goTo(view string) func(app.Context) {
	return func(app.Context) { r.ctx.Navigate(r.link(view)) }
}

// talk is the patient's side.
func (r *Root) talk() app.UI {
	c := r.d.Case()
	return &show.Side{Props: show.Props{
		Pages: talk.Decide(c, r.office.File(), *r.d.Plan(), r.d.Base()),
		Teeth: c.ToothList(),
		Phone: r.slim,
		First: r.d.Patient().Priority,
		Put: func(ctx app.Context, key string) {
			r.touch(func() { r.d.Patient().TogglePriority(key) })(ctx)
		},
		Answer: func(ctx app.Context, care string, a casefile.Answer) {
			r.touch(func() { r.d.Consent().DecideCare(care, a) })(ctx)
		},
		Detail: c.Detail,
		Tell: func(ctx app.Context, detail string) {
			r.touch(func() { r.d.Patient().SetDetail(detail) })(ctx)
		},
		Return: r.touch(r.turn),
		Home:   r.goTo("sheets"),
		Sources: func(_ app.Context, figures []string) {
			r.ctx.Navigate(r.link("evidence") + "#figure-" + figures[0])
		},
		Words: show.Words{Message: r.message, Text: r.t, Join: follow, Label: r.label, Number: func(n int) string { return r.number(float64(n), 0) },
			Month: func(d casefile.Date) string {
				if d.IsZero() {
					return ""
				}
				s, err := r.lang().MonthYear(d.Year, d.Month)
				if err != nil {
					return ""
				}
				return s
			}},
	}}
}

// enter puts the frame of the dentist's side around a screen.
func (r *Root) enter(e parts.Enter) app.UI {
	e.Strip = r.strip()
	e.StepsName, e.Steps = r.t("page.frame.steps"), r.steps()
	stage, at := r.stage()
	e.Where = parts.Button{ID: "where", Text: r.t("page.frame.where", "Name", r.t("page.frame.stage."+frameStages[stage].key),
		"Number", r.number(float64(at+1), 0), "Total", r.number(float64(len(frameStages[stage].views)), 0)), Icon: parts.Down, After: true,
		Opens: true, Open: r.unfolded == "views", Do: r.touch(r.openMenu)}
	if r.canTurn() {
		e.Ways = append(e.Ways, parts.Button{ID: "turn", Text: r.t("talk.turn"), Icon: parts.Turn, Kind: parts.Primary, Do: r.touch(r.turn)})
	}
	e.Body = append(r.notices(), e.Body...)
	switch r.unfolded {
	case "views":
		e.Over = r.menuPanel()
	case "open":
		e.Over = r.openPanel()
	}
	return e.UI()
}

// notices say what the last step did, or that it failed, and what is kept.
func (r *Root) notices() []app.UI {
	var out []app.UI
	if r.trouble {
		out = append(out, parts.Message{ID: "trouble", What: r.t("page.trouble.text"), Weight: parts.Wrong,
			Ways: []parts.Button{{ID: "trouble-close", Text: r.t("page.trouble.close"), Do: r.touch(func() { r.trouble = false })}}}.UI())
	}
	if r.notice != "" {
		out = append(out, parts.Message{ID: "notice", What: r.notice, Weight: parts.Good}.UI())
	}
	return append(out, r.keepNotices()...)
}

// stage is the stage of the screen and the place of the screen in it, from 0.
func (r *Root) stage() (stage, at int) {
	for i, s := range frameStages {
		if at := slices.Index(s.views, r.here.View); at >= 0 {
			return i, at
		}
	}
	return 0, 0
}

func (r *Root) steps() []parts.Step {
	stage, at := r.stage()
	out := make([]parts.Step, len(frameStages[stage].views))
	for i, v := range frameStages[stage].views {
		out[i] = parts.Step{ID: "step-" + place.Key(v), Text: r.t("page.frame.step." + place.Key(v)), Now: i == at, Do: r.goTo(v)}
	}
	return out
}

// strip is the dark strip: whose case, the stages, what is open, undo.
func (r *Root) strip() parts.Strip {
	stage, _ := r.stage()
	s := parts.Strip{
		Menu: parts.Button{ID: "fold-views", Icon: parts.Menu, Name: r.t("shell.menu.views"), Opens: true, Open: r.unfolded == "views", Do: r.touch(r.openMenu)},
		Case: parts.Button{ID: "whose", Text: r.t("page.frame.case"), Sub: r.caseLine(), Do: r.goTo("")},
	}
	s.StagesName = r.t("page.frame.stages")
	for i, x := range frameStages {
		s.Stages = append(s.Stages, parts.Step{ID: "stage-" + x.key, Text: r.t("page.frame.stage." + x.key), Now: i == stage, Do: r.goTo(x.views[0])})
	}
	if n := len(r.stillOpen()); n > 0 {
		s.Open = parts.Button{ID: "fold-open", Text: r.n("page.frame.open", n), Opens: true, Open: r.unfolded == "open", Do: r.touch(func() { r.unfoldOr("open") })}
	}
	if r.d.CanUndo() {
		s.Undo = parts.Button{ID: "undo", Text: r.t("page.frame.undo"), Icon: parts.Undo, Do: r.touch(r.undo)}
	}
	return s
}

// caseLine sums the case up: nothing private.
func (r *Root) caseLine() string {
	s := r.d.Summary()
	said := []string{r.n("page.summary.teeth", len(s.Teeth))}
	if s.Route != "" {
		said = append(said, r.t("route."+string(s.Route)+".name"))
	}
	return dots(said)
}

// undo takes the last edit of the case back, and says so.
func (r *Root) undo() {
	if _, ok := r.d.Undo(); ok {
		r.refill()
		r.notice = r.t("page.frame.undone")
	}
}

func (r *Root) openMenu() { r.unfoldOr("views") }

// unfoldOr opens a panel, or shuts it when it is open.
func (r *Root) unfoldOr(panel string) {
	if r.unfolded == panel {
		panel = ""
	}
	r.unfolded = panel
}

// stillOpen lists the points that nothing has settled yet.
func (r *Root) stillOpen() []state.Open {
	return slices.DeleteFunc(r.d.Open(), func(o state.Open) bool { return o.Settled })
}

// openPanel lists what is open, each with the way to the screen that settles it.
func (r *Root) openPanel() app.UI {
	list := r.stillOpen()
	return box("nav", "menu-panel",
		say("h2", "", r.t("page.frame.open-title")),
		box("ul", "", each(len(list), func(i int) app.UI {
			return box("li", "", el("a").Attr("href", r.link(list[i].View)).DataSet("open", list[i].What).Text(r.message(sheet.OpenPoint(r.d.Base(), list[i].Open))))
		})))
}

// shortcuts are the keys of the whole screen: undo, turning, and shutting what is open. In a
// field the browser's own undo goes first.
func (r *Root) shortcuts(ctx app.Context, e app.Event) {
	if e.Get("altKey").Bool() || !e.Get("ctrlKey").Bool() && !e.Get("metaKey").Bool() && e.Get("key").String() != "Escape" {
		return
	}
	typing := e.Get("target").Call("matches", "input, textarea, select").Bool()
	switch key := e.Get("key").String(); {
	case key == "Escape" && r.unfolded != "":
		r.touch(func() { r.unfolded = "" })(ctx)
	case key == "z" && !typing && r.d.CanUndo():
		e.PreventDefault()
		r.touch(r.undo)(ctx)
	case key == "Enter" && r.canTurn():
		e.PreventDefault()
		r.touch(r.turn)(ctx)
	}
}

// menuPanel lists every screen and every language.
func (r *Root) menuPanel() app.UI {
	return box("div", "menu-panel", r.menu(), say("h2", "", r.t("shell.menu.languages")), r.languages(r.t("shell.menu.languages")))
}

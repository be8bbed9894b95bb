// Package page holds the screens. They draw what package state holds; every
// handler calls one method of it.
package page

import (
	"fmt"
	"slices"
	"strings"

	"github.com/maxence-charriere/go-app/v10/pkg/app"

	"plainleaf/app/casefile"
	"plainleaf/app/place"
	"plainleaf/app/screens/state"
	"plainleaf/i18n"
)

// Root is the frame around every screen: the whole screen is drawn anew from the
// state after each step. Teeth and answers are small components of their own, so
// that a tap on one shows at once.
type Root struct {
	app.Compo

	ctx   app.Context
	here  place.Place   // what the address says
	words *i18n.Wording // of the language on screen; nil until the first is loaded

	desk   *state.Desk // nil until the screens start; its parts:
	d      *state.Draft
	office *state.Practice
	signed *state.Signing

	bind    map[string]string // values of the fields on screen, by element id
	mark    map[string]bool   // likewise of check boxes and radio buttons
	pressed pressed
	focus   string // element that gets the focus after this step
	heard   string // text that came last from a field

	reveal    string                    // drawer that is opened after this step
	at        casefile.Tooth            // tooth of the chart that takes the tab key
	jaws      map[casefile.Tooth]*tooth // the teeth on screen
	span      span                      // a row of teeth that is being chosen by its ends
	open      string                    // finding whose row of teeth is open
	figures   string                    // which figures are listed: "" of this case, all
	confirm   bool                      // clearing has been asked for
	trouble   bool                      // a step failed
	notice    string                    // a sentence about the last step
	listed    bool                      // the teeth are listed beside the chart too
	draft     draft                     // typed and not added yet
	updated   []string                  // what the last step changed elsewhere
	walked    bool                      // a screen beyond the case has been looked at
	epoch     int                       // changes with each patient; nothing on screen outlives it
	asked     string                    // language that is being fetched
	preview   preview
	home      taking
	paper     reading
	k         keeping           // how the open case is kept
	sig       sealing           // what stands around signing and sealing on the screen
	ring      ringing           // likewise around keys
	check     state.Checked     // the record that is being looked at
	checked   checking          // what was typed beside it
	texts     map[string]string // texts of the screen's language, by id and values
	shown     map[string]bool   // drawers that are open or shut otherwise than at first, by id
	acts      map[string]act    // what the rows of buttons on screen do, by id
	before    before
	due       bool              // what depends on the last step is not drawn yet
	catchUp   app.Func          // draws it
	painted   app.Value         // has it drawn once the frame is over
	patience  app.Value         // timer of the longest wait for it
	drawn     int               // epoch that is on the screen
	slim      bool              // the screen is as narrow as a phone
	turned    bool              // the patient's side is in view
	unfolded  string            // menu that is open on a small screen: views, languages
	shipped   casefile.Practice // the demo practice
	ownAsk    string            // what was asked about the practice as a whole
	langs     map[string]*spoken
	fetching  map[string]bool
	others    map[string]*i18n.Wording // wordings loaded beside it, by language
	approving bool                     // a sign-off waits for the words it is about
	accepting bool                     // an offered practice waits for the words in use
	unsaved   bool                     // the practice file was asked for and something waits
	looked    string                   // what digests and reworded are of
	digests   map[string]string        // of the newest words of a language
	reworded  map[string][]reworded    // by language
	halfway   bool                     // a sign-off that is not whole was to be added
}

// New makes the root component for the router.
func New() app.Composer {
	return &Root{at: 11, shown: map[string]bool{}, jaws: map[casefile.Tooth]*tooth{}}
}

// base is the folder of the site on its host, with both slashes.
func base() string { return app.Getenv("GOAPP_ROOT_PREFIX") + "/" }

// OnNav reads the place from the path. The component stays while one moves
// about, so nothing entered is lost when the language changes.
func (r *Root) OnNav(ctx app.Context) {
	r.ctx = ctx
	r.unfolded = ""
	url := ctx.Page().URL()
	before := r.here
	r.here, _ = place.Parse(base(), url.Path)
	r.try(func() {
		if before.View != r.here.View {
			r.turned = false
			r.notice, r.confirm, r.open, r.span = "", false, "", span{}
			r.updated, r.home.rows = nil, nil
			clear(r.shown)
			r.walked = r.walked || r.here.View != "" && r.here.View != "evidence" && r.here.View != "practice" && r.here.View != paperView
			app.Window().Call("scrollTo", 0, 0)
			if r.words != nil {
				r.focus = "head" // read out where one is
			}
		}
		if strings.HasPrefix(url.Fragment, "figure-") {
			r.reveal = url.Fragment
			r.shown[r.reveal] = true
		} else if strings.HasSuffix(url.Fragment, "-head") {
			r.reveal, r.focus = url.Fragment, url.Fragment
		}
		if r.desk == nil {
			r.slim = narrow()
			r.start()
		}
		if r.k.state != "" {
			r.begin()
		}
		r.speak(r.here.Lang)
	})
	r.update()
}

// OnResize draws the chart that goes with the new width.
func (r *Root) OnResize(ctx app.Context) {
	// Nothing is held back where the width is the same: the engine would drop
	// what another step has asked to draw in this turn.
	r.slim = narrow()
}

// slimBelow is the width of a screen, in CSS pixels, under which the chart for
// phones is drawn: the other one takes 600 and the margins.
const slimBelow = 690

func narrow() bool { return app.Window().Get("innerWidth").Int() < slimBelow }

// speak puts the screen into a language, fetching its wording when it is not at
// hand. Until it has come the screen stays as it is.
func (r *Root) speak(tag string) {
	r.asked = ""
	if r.words != nil && r.lang().Tag == tag {
		r.dress()
		return
	}
	if s := r.known(tag); s != nil {
		r.wear(tag, s.wording)
		return
	}
	r.asked = tag
	r.fetchLanguage(tag)
}

// unspoken says in the language at hand that another one cannot be had.
func (r *Root) unspoken(tag string) {
	if first := place.Languages[0].Tag; r.words == nil && tag != first {
		r.wear(first, r.known(first).wording)
	}
	r.notice = r.t("page.language.failed", "Language", r.lang().NameOf(tag))
}

func (r *Root) wear(tag string, data []byte) {
	words, faults := i18n.Load(tag, data, nil)
	if len(faults) > 0 {
		if r.words == nil {
			panic(faults.Err())
		}
		r.unspoken(tag)
		return
	}
	before := r.words
	r.words, r.texts = words, map[string]string{}
	if r.desk != nil {
		if before != nil {
			if r.others == nil {
				r.others = map[string]*i18n.Wording{}
			}
			r.others[before.Language().Tag] = before
		}
		r.d.Languages().SetLanguage(tag)
		r.moveTopics()
	}
	r.notice = ""
	r.dress()
	if before == nil && r.desk != nil {
		r.resume()
	}
}

// shellWords are the sentences the page around the program shows, by the data
// attribute of the body that holds them.
var shellWords = map[string]string{
	"data-shell-failed":         "shell.status.failed",
	"data-shell-storage":        "shell.status.storage",
	"data-shell-offline":        "shell.status.offline",
	"data-shell-unready-text":   "shell.status.unready",
	"data-shell-unready-button": "shell.stopped.button",
	"data-shell-unkept-text":    "shell.status.unkept",
	"data-shell-slow-files":     "shell.slow.files",
	"data-shell-slow-program":   "shell.slow.program",
	"data-shell-slow-words":     "shell.slow.words",
	"data-shell-slow-storage":   "shell.slow.storage",
	"data-shell-stopped-text":   "shell.stopped.text",
	"data-shell-stopped-button": "shell.stopped.button",
	"data-shell-update-text":    "shell.update.text",
	"data-shell-update-button":  "shell.update.button",
	"data-shell-later-button":   "shell.later.button",
	"data-shell-changed-text":   "shell.changed.text",
	"data-shell-changed-button": "shell.changed.button",
}

// dress gives the document the language of the screen.
func (r *Root) dress() {
	doc := app.Window().Get("document")
	html := doc.Get("documentElement")
	html.Set("lang", r.lang().Tag)
	html.Set("dir", r.lang().Dir)
	body := doc.Get("body")
	for attr, id := range shellWords {
		body.Call("setAttribute", attr, r.t(id))
	}
	doc.Set("title", r.t("shell.title."+place.Key(r.here.View))+" - "+r.t("shell.name"))
}

// views are the screens in the order one walks through them.
func (r *Root) view() []app.UI {
	switch r.here.View {
	case "chair":
		return r.chairView()
	case "understanding":
		return r.understandingView()
	case "visit":
		return r.visitView()
	case "sheets":
		return r.sheetsView()
	case "evidence":
		return r.evidenceView()
	case "practice":
		return r.practiceView()
	case "records":
		return r.recordsView()
	case paperView:
		return r.paperView()
	}
	return r.caseView()
}

// Render draws the frame and the screen in it.
func (r *Root) Render() app.UI {
	if r.words == nil || r.desk == nil || r.k.state == "" {
		waits := "words" // boot.js says what has not come
		if r.words != nil {
			waits = "storage"
		}
		return el("div").ID("app").DataSet("waits", waits).Body(box("div", "frame", r.languages("")))
	}
	if r.drawn != r.epoch {
		r.drawn = r.epoch
		clear(r.shown)
	}
	r.bind, r.mark, r.acts = map[string]string{}, map[string]bool{}, map[string]act{}
	if c := r.curtain(); c != nil {
		clear(r.shown) // what the dentist had opened is shut when the cover goes
		return el("div").ID("app").DataSet("lang", r.lang().Tag).DataSet("view", "cover").Body(
			box("div", "curtain", el("main").ID("main").Body(c...)))
	}
	if ui := r.newSide(); ui != nil {
		return ui
	}
	r.style(false)
	var body []app.UI
	r.try(func() { body = r.view() })
	// A change of tag makes everything below it new.
	screen := func(b ...app.UI) app.UI { return box("div", "screen", b...) }
	if r.epoch%2 == 1 {
		screen = func(b ...app.UI) app.UI { return box("section", "screen", b...) }
	}
	key := place.Key(r.here.View)
	return el("div").ID("app").DataSet("lang", r.lang().Tag).DataSet("view", key).On("keydown", r.shortcuts, app.EventScope("shortcuts")).Body(
		box("div", "frame",
			box("header", "top",
				say("span", "mark", r.t("shell.name")),
				app.If(!r.reads(), func() app.UI { return r.fold("views", say("span", "", r.t("shell.menu.views"))) }),
				app.If(!r.reads(), func() app.UI {
					return r.fold("languages", say("span", "unseen", r.t("shell.menu.languages")), say("span", "", r.lang().Name))
				}),
				r.languages(r.t("shell.menu.languages")),
			),
			app.If(!r.reads(), r.menu),
			el("main").ID("main").Body(
				el("h1").ID("head").TabIndex(-1).Text(r.t("shell.title."+key)),
				el("div").ID("notices").Role("status").Body(
					app.If(r.notice != "", func() app.UI { return say("p", "notice", r.notice) }),
					app.If(r.trouble, func() app.UI {
						return el("div").ID("trouble").Class("notice").Body(
							say("p", "", r.t("page.trouble.text")),
							r.button("trouble-close", "quiet", r.t("page.trouble.close"), func() { r.trouble = false }),
						)
					}),
				),
				box("div", "", r.keepNotices()...),
				app.If(slices.Contains([]string{"chair", "understanding", "visit"}, r.here.View), r.unsettled),
				screen(body...),
			),
		),
		app.If(!r.reads(), r.summary),
	)
}

// reads reports whether the screen is a patient's, with a paper and no case.
func (r *Root) reads() bool { return r.here.View == paperView && r.paper.shown && !r.signed.Started() }

// fold is a button that opens and shuts a menu where the screen is too small to
// have it always in sight; elsewhere the button is not shown.
func (r *Root) fold(menu string, name ...app.UI) app.UI {
	return el("button").ID("fold-"+menu).Attr("type", "button").Class("fold").
		Aria("expanded", fmt.Sprint(r.unfolded == menu)).Aria("controls", "menu-"+menu).Body(name...).
		OnClick(r.click("fold-"+menu, func() {
			if r.unfolded == menu {
				r.unfolded = ""
			} else {
				r.unfolded = menu
			}
		}))
}

// folded is the class of a menu: shut on a small screen until its button is pressed.
func (r *Root) folded(menu string) string {
	if r.unfolded == menu {
		return ""
	}
	return "folded"
}

func (r *Root) languages(label string) app.UI {
	nav := el("nav").ID("menu-languages").DataSet("menu", "languages")
	if label != "" {
		nav = nav.Aria("label", label)
		if !r.reads() {
			nav = nav.Class(r.folded("languages"))
		}
	}
	now := ""
	if r.words != nil {
		now = r.lang().Tag
	}
	return nav.Body(box("ul", "menu",
		each(len(place.Languages), func(i int) app.UI {
			l := place.Languages[i]
			a := el("a").Attr("href", base()+place.Place{Lang: l.Tag, View: r.here.View}.Path()).
				Attr("hreflang", l.Tag).Lang(l.Tag).Dir(l.Dir).Text(l.Name)
			if l.Tag == now {
				a = a.Aria("current", "page")
			}
			return box("li", "", a)
		}),
	))
}

func (r *Root) link(view string) string {
	return base() + place.Place{Lang: r.here.Lang, View: view}.Path()
}

// walkViews are how many of the screens belong to the walk with the patient; the
// others are the practice's desk.
var walkViews = slices.Index(place.Views, "records")

func (r *Root) menu() app.UI {
	list := func(views []string) app.UI {
		return box("ul", "menu", each(len(views), func(i int) app.UI {
			v := views[i]
			a := el("a").Attr("href", r.link(v)).Text(r.t("page.menu." + place.Key(v)))
			if v == r.here.View {
				a = a.Aria("current", "page")
			}
			return box("li", "", a)
		}))
	}
	return el("nav").ID("menu-views").Class("views").Class(r.folded("views")).Aria("label", r.t("shell.menu.views")).DataSet("menu", "views").Body(
		list(place.Views[:walkViews]), list(place.Views[walkViews:]),
	)
}

// summary stays in sight at the foot of every screen; it holds nothing private.
func (r *Root) summary() app.UI {
	s := r.d.Summary()
	type piece struct{ class, text string }
	parts := []piece{{"", r.n("page.summary.teeth", len(s.Teeth))}}
	if s.Route != "" {
		parts = append(parts, piece{"", r.t("route." + string(s.Route) + ".name")})
	}
	if s.Material != "" {
		parts = append(parts, piece{"material", r.t("material." + string(s.Material) + ".name")})
	}
	if s.Findings > 0 {
		parts = append(parts, piece{"", r.n("page.summary.findings", s.Findings)})
	}
	next := map[string]string{"": "routes", "routes": "numbers", "numbers": "chair", "chair": "understanding", "understanding": "sheets"}
	to, has := next[r.here.View]
	return el("aside").ID("summary").Class("summary").Aria("label", r.t("page.summary.title")).Body(
		r.told(),
		box("p", "", each(len(parts), func(i int) app.UI {
			// The sign between them ends a line and never begins one; what is left
			// out on a phone takes its own sign with it.
			text := parts[i].text
			if i+1 < len(parts) && parts[i+1].class == "" || i+2 < len(parts) {
				text += " ·"
			} else if parts[i].class != "" {
				text = "· " + text
			}
			return el("span").Class(parts[i].class).Text(text)
		})),
		app.If(has, func() app.UI {
			return el("a").Class("next").Attr("href", r.link(to)).Text(r.t("page.next." + to))
		}),
		app.If(r.canTurn(), func() app.UI {
			return r.button("turn", "second", r.t("talk.turn"), r.turn)
		}),
		app.If(r.d.CanUndo(), func() app.UI {
			return r.button("undo", "quiet", r.t("page.frame.undo"), r.undo)
		}),
	)
}

package page

import (
	"encoding/json"
	"slices"

	"github.com/maxence-charriere/go-app/v10/pkg/app"

	"plainleaf/app/fault"
	"plainleaf/app/plan"
	"plainleaf/app/printout"
	"plainleaf/app/produce"
	"plainleaf/app/record"
	"plainleaf/app/render"
	"plainleaf/app/screens/state"
	"plainleaf/app/sheet"
	"plainleaf/i18n"
)

// preview is the sheet as it would be printed now.
type preview struct {
	edits  int // counted when it was made
	lang   string
	made   bool
	html   string
	text   []byte
	faults fault.List
	wants  []string // languages whose wording has to be fetched first
	height string   // of the frame, in CSS pixels
	docs   []render.Doc
	plan   *plan.Plan
	shown  string // record.Shown of a sheet that can be signed
}

// spoken is a fetched language.
type spoken struct {
	wording []byte
	states  map[string]i18n.State
}

// make makes the sheet anew when anything has changed since.
func (r *Root) make() {
	if r.preview.made && r.preview.edits == r.signed.Edits() && r.preview.lang == r.lang().Tag {
		return
	}
	height := r.preview.height
	r.preview = preview{edits: r.signed.Edits(), lang: r.lang().Tag, made: true, height: height}
	if r.preview.faults = r.d.Faults(); len(r.preview.faults) > 0 {
		return
	}
	locale, second := r.signed.SheetTongues()
	if r.preview.faults = produce.Offered(r.office.File(), r.d.Paper().Print().Kind, locale, second); len(r.preview.faults) > 0 {
		return
	}
	for _, tag := range []string{locale, second, r.office.File().Locale} {
		if _, offered := i18n.Lookup(tag); offered && r.known(tag) == nil && !slices.Contains(r.preview.wants, tag) {
			r.preview.wants = append(r.preview.wants, tag)
		}
	}
	if len(r.preview.wants) > 0 {
		r.preview.made = false
		for _, tag := range r.preview.wants {
			r.fetchLanguage(tag)
		}
		return
	}
	docs, pl, faults := produce.Docs(r.sheetInput())
	if r.preview.faults = faults; len(faults) > 0 {
		return
	}
	r.preview.docs, r.preview.plan = docs, &pl
	if r.d.Paper().ToSign() {
		r.preview.shown = record.Shown(docs, r.signed.Who())
	}
	r.draw()
}

// draw writes the documents of the preview as they are printed.
func (r *Root) draw() {
	docs, o := r.preview.docs, r.printOptions()
	html, err := printout.HTML(docs, o)
	if err != nil {
		r.preview.faults.Add("PAGE-SHEET", "", "%v", err)
		return
	}
	text, err := printout.Text(docs, o)
	if err != nil {
		r.preview.faults.Add("PAGE-SHEET", "", "%v", err)
		return
	}
	r.preview.html, r.preview.text = string(html), text
}

func (r *Root) printOptions() printout.Options {
	p := r.d.Paper().Person()
	o := printout.Options{Paper: r.d.Paper().Print().Paper, Size: "normal",
		Identifiers: printout.Identifiers{Name: p.Name, Born: p.Born, Chart: p.Chart}}
	if r.d.Paper().Print().Large {
		o.Size = "large"
	}
	if shown := r.preview.shown; shown != "" {
		o.Signed = r.printed(shown, r.preview.docs[0].Locale)
		if s := r.signed.Cover(shown); s != nil {
			o.Seal = s.Code
		}
	}
	return o
}

// known gives a language that is at hand, nil when it has to be fetched.
func (r *Root) known(tag string) *spoken {
	if s := r.langs[tag]; s != nil {
		return s
	}
	data, ok := i18n.Embedded(tag)
	if !ok {
		return nil
	}
	r.langs[tag] = &spoken{data, i18n.States(tag)}
	return r.langs[tag]
}

// practiceWording is a language with the practice's own sentences in it, as sheets print
// them.
func (r *Root) practiceWording(tag string) (*i18n.Wording, fault.List) {
	s := r.known(tag)
	if s == nil {
		return nil, fault.List{fault.New("WORDING-LANGUAGE", "locale", "there is no language %s here", tag)}
	}
	return produce.Printed(r.office.File(), tag, s.wording)
}

// fetchLanguage gets a language's wording and review states, once. They stand in
// the page's own list of addresses under the tag and under "state/" and the tag.
func (r *Root) fetchLanguage(tag string) {
	if r.fetching[tag] {
		return
	}
	r.fetching[tag] = true
	fail := func() {
		r.fetching[tag] = false
		r.asked, r.approving, r.accepting = "", false, false
		r.unspoken(tag)
	}
	r.fetchListed(tag, func(wording string, err error) {
		if err != nil {
			fail()
			return
		}
		r.fetchListed("state/"+tag, func(text string, err error) {
			var states map[string]i18n.State
			if err == nil {
				states, err = i18n.ParseStates([]byte(text))
			}
			if err != nil {
				fail()
				return
			}
			r.fetching[tag] = false
			r.langs[tag] = &spoken{[]byte(wording), states}
			r.moveTopics()
			if r.approving {
				r.approve()
			}
			if r.accepting {
				r.accept()
			}
			if r.asked == tag {
				r.asked = ""
				r.wear(tag, r.langs[tag].wording)
			}
		})
	})
}

// fetchListed gets a file from the list in the data-wordings attribute.
func (r *Root) fetchListed(name string, done func(string, error)) {
	var urls map[string]string
	text := app.Window().Get("document").Get("documentElement").Get("dataset").Get("wordings").String()
	if err := json.Unmarshal([]byte(text), &urls); err != nil || urls[name] == "" {
		r.later(func() { done("", errNotListed) })
		return
	}
	r.fetch(urls[name], done)
}

func (r *Root) sheetsView() []app.UI {
	r.make()
	var kinds []option
	for _, k := range r.d.Paper().Kinds() {
		kinds = append(kinds, option{string(k), r.t("page.kind." + string(k))})
	}
	size := "normal"
	if r.d.Paper().Print().Large {
		size = "large"
	}
	locale, asked := r.signed.SheetTongues()
	beside := produce.Beside(r.office.File(), r.d.Paper().Print().Kind, locale, asked)
	var second []option
	if beside == asked { // one language is no choice where the practice's own has to stand beside it
		second = append(second, option{"", r.t("page.second.none")})
	}
	for _, l := range i18n.Languages() {
		if l.Tag != locale {
			second = append(second, option{l.Tag, l.Name})
		}
	}
	ready := r.preview.html != ""
	person := func(id, label, value string, set func(*state.Person, string)) app.UI {
		return r.entry(id, "text", label, "", value, nil, func(v string) {
			r.d.Paper().SetPerson(func(p *state.Person) { set(p, v) })
		})
	}
	thinks := r.d.Plan() != nil && (r.d.Paper().Print().Kind == sheet.Options || r.d.Paper().Print().Kind == sheet.Consent)
	return []app.UI{
		say("p", "lead", r.t("page.sheets.about")),
		r.below(),
		app.If(r.office.File().Demo, func() app.UI {
			return say("p", "notice", follow(r.t("page.practice.demo"), r.t("page.practice.demo-about")))
		}),
		app.If(thinks && !r.d.Treating(), func() app.UI { return r.thinking(r.d.Plan()) }),
		part("choose", r.t("page.sheets.choose"),
			r.pick("kind", r.t("page.kind.title"), string(r.d.Paper().Print().Kind), kinds, nil,
				func(v string) { r.d.Paper().SetPrint(func(p *state.Print) { p.Kind = sheet.Kind(v) }) }),
			box("div", "row",
				// A sheet that is being signed stays in its language.
				app.If(locale == r.d.Case().Locale, func() app.UI {
					return r.choice("sheet-locale", r.t("page.language.sheets"), locale, r.languageOptions(), r.d.FaultsAt("locale"), r.setLocale)
				}),
				r.choice("sheet-second", r.t("page.second.title"), beside, second, r.d.FaultsAt("second"), r.signed.SetSheetSecond),
				r.choice("paper", r.t("page.paper.title"), r.d.Paper().Print().Paper, []option{
					{"a4", r.t("page.paper.a4")}, {"letter", r.t("page.paper.letter")},
				}, nil, func(v string) { r.d.Paper().SetPrint(func(p *state.Print) { p.Paper = v }) }),
				r.choice("size", r.t("page.size.title"), size, []option{
					{"normal", r.t("page.size.normal")}, {"large", r.t("page.size.large")},
				}, nil, func(v string) { r.d.Paper().SetPrint(func(p *state.Print) { p.Large = v == "large" }) }),
			),
			app.If(beside != asked, func() app.UI {
				why := []string{r.t("page.second.has-to", "Language", r.lang().NameOf(beside), "Name", r.lang().NameOf(produce.Unsigned(r.office.File(), r.d.Paper().Print().Kind, locale, asked)))}
				if asked != "" {
					why = append(why, r.t("banner.left-out", "Name", r.lang().NameOf(asked), "Language", r.lang().NameOf(beside)))
				}
				return el("p").ID("sheet-second-why").Class("hint").Text(follow(why...))
			}),
		),
		// Once treatment has begun, the choice of the sheet comes before that.
		app.If(thinks && r.d.Treating(), func() app.UI { return r.thinking(r.d.Plan()) }),
		part("whose", r.t("page.whose.title"),
			say("p", "hint", r.t("page.whose.about")),
			box("div", "row",
				person("person-name", r.t("furniture.name"), r.d.Paper().Person().Name, func(p *state.Person, v string) { p.Name = v }),
				person("person-born", r.t("furniture.born"), r.d.Paper().Person().Born, func(p *state.Person, v string) { p.Born = v }),
				person("person-chart", r.t("furniture.chart"), r.d.Paper().Person().Chart, func(p *state.Person, v string) { p.Chart = v }),
			),
		),
		part("preview", r.t("page.preview.title"),
			app.If(len(r.preview.wants) > 0, func() app.UI { return el("p").Role("status").Text(r.t("page.preview.wait")) }),
			app.If(len(r.preview.faults) > 0, func() app.UI {
				return el("div").ID("sheet-faults").Class("notice").Body(
					say("p", "", r.t("page.preview.not")),
					r.faults("sheet-faults-list", r.preview.faults),
					app.If(slices.ContainsFunc(r.preview.faults, func(f fault.Fault) bool { return f.Code == "REVIEW-UNSIGNED" }), func() app.UI {
						own := r.office.File().Locale
						return box("p", "", r.button("sheet-beside", "second", r.t("page.sheets.beside", "Language", r.lang().NameOf(own)), func() { r.signed.SetSheetSecond(own) }))
					}),
					app.If(r.preview.faults.Has("SHEET-NO-AGREEMENT") || r.preview.faults.Has("SHEET-WITHDRAWN"), func() app.UI {
						return box("p", "", r.button("sheet-consent", "second", r.t("page.visit.to", "Kind", r.t("page.kind.consent")), func() {
							r.d.Paper().SetPrint(func(p *state.Print) { p.Kind = sheet.Consent })
							r.focus = "preview-head"
						}))
					}),
					box("p", "",
						el("a").Attr("href", r.link("")).Text(r.t("page.menu.case")),
						say("span", "", " · "),
						el("a").Attr("href", r.link("practice")).Text(r.t("page.menu.practice")),
					),
				)
			}),
			app.If(ready, func() app.UI {
				return box("div", "chips",
					r.button("print", "", r.t("page.print.button"), r.print),
					r.button("save-html", "second", r.t("page.print.html"), func() {
						r.handOut()
						save(r.sheetName("html"), "text/html;charset=utf-8", []byte(r.preview.html))
					}),
					r.button("save-text", "second", r.t("page.print.text"), func() {
						r.handOut()
						save(r.sheetName("txt"), "text/plain;charset=utf-8", r.preview.text)
					}),
				)
			}),
			app.If(ready, func() app.UI {
				// Same origin, so that it can be printed; no scripts.
				load, scope := r.on("sheet-load", func(ctx app.Context, _ app.Event) {
					doc := ctx.JSSrc().Get("contentDocument")
					if doc.Truthy() && doc.Get("documentElement").Truthy() {
						r.preview.height = app.Window().Call("String", doc.Get("documentElement").Get("scrollHeight")).String()
					}
				})
				f := el("iframe").ID("sheet").Title(r.t("page.preview.frame", "Kind", r.t("page.kind."+string(r.d.Paper().Print().Kind)))).
					Attr("sandbox", "allow-same-origin allow-modals").
					Attr("srcdoc", r.preview.html).
					On("load", load, scope)
				if r.preview.height != "" {
					f = f.Attr("height", r.preview.height)
				}
				return f
			}),
		),
		r.signing(),
		r.takeHome(),
	}
}

// below leads past the sheet, which is long, to what stands under it.
func (r *Root) below() app.UI {
	type stop struct{ id, word string }
	var stops []stop
	if r.d.Paper().ToSign() && r.preview.html != "" {
		stops = append(stops, stop{"signing", "page.sign.title"}, stop{"seal", "page.seal.title"})
	}
	if len(r.d.Visits().List()) > 0 {
		stops = append(stops, stop{"agreed", "page.agreed.title"})
	}
	if r.d.Plan() != nil {
		stops = append(stops, stop{"take", "page.take.title"})
	}
	if len(stops) == 0 {
		return none()
	}
	return el("div").ID("below").Class("chips below").Role("group").Aria("labelledby", "below-said").Body(
		el("span").ID("below-said").Class("hint").Text(r.t("page.sheets.below")),
		each(len(stops), func(i int) app.UI {
			s := stops[i]
			return r.button("to-"+s.id, "quiet", r.t(s.word), func() { r.reveal, r.focus = s.id+"-head", s.id+"-head" })
		}))
}

// sheetName names a file without naming the patient.
func (r *Root) sheetName(ext string) string {
	name := string(r.d.Paper().Print().Kind)
	for _, d := range r.preview.docs { // in the languages that stand on it
		name += "-" + d.Locale
	}
	return name + "." + ext
}

// print opens the browser's print dialog for the sheet in the frame. Browsers offer
// the title of the whole page as the file name, so the sheet lends it its own until
// the dialog is closed.
func (r *Root) print() {
	f := app.Window().Get("document").Call("getElementById", "sheet")
	if !f.Truthy() {
		return
	}
	r.handOut()
	w, page := f.Get("contentWindow"), app.Window().Get("document")
	was, name := page.Get("title").String(), f.Get("contentDocument").Get("title").String()
	if was != name { // else an earlier dialog is still open
		var back app.Func
		back = app.FuncOf(func(app.Value, []app.Value) any {
			page.Set("title", was)
			back.Release()
			return nil
		})
		w.Call("addEventListener", "afterprint", back, map[string]any{"once": true})
		page.Set("title", name)
	}
	w.Call("focus")
	w.Call("print")
}

// saveCase hands the case file to the browser's downloads.
func (r *Root) saveCase() {
	data, err := r.d.File().Export()
	if err != nil {
		r.notice = r.t("page.file.unsaved")
		return
	}
	save("case.json", "application/json", data)
	r.notice = r.t("page.file.saved", "File", "case.json")
}

// opened draws the screen anew for another case.
func (r *Root) opened() {
	r.epoch++
	r.moveTopics()
	r.open, r.confirm = "", false
	// What was half typed is of the case before.
	r.updated, r.walked, r.draft, r.sig = nil, false, draft{}, sealing{}
	r.at = 11
	if ts := r.d.Mouth().Teeth(); len(ts) > 0 {
		r.at = ts[0]
	}
}

// toSitting goes to where a delivery sitting begins, when the case that was opened
// is due for one.
func (r *Root) toSitting() {
	if r.d.Visits().DeliveryDue() && r.here.View != "visit" {
		r.ctx.Navigate(r.link("visit"))
	}
}

// openCase reads a case file in place of the open case.
func (r *Root) openCase(name, text string) {
	if !r.replaceable() {
		return
	}
	if sealed(text) {
		r.openSealed(text)
		return
	}
	if r.desk.Import(name, text) {
		r.loosen()
		r.notice = r.t("page.file.opened", "File", name)
		if r.d.Languages().Apart() {
			r.notice = follow(r.notice, r.t("page.language.kept", "Language", r.lang().NameOf(r.d.Case().Locale)))
		}
		r.notice = follow(r.notice, r.parked())
		r.opened()
		r.toSitting()
		return
	}
	r.notice = r.t("page.file.bad", "File", name)
	r.focus = "case-file-text"
}

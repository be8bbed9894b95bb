package page

import (
	"slices"
	"strings"
	"unicode"

	"github.com/maxence-charriere/go-app/v10/pkg/app"

	"plainleaf/app/fault"
	"plainleaf/app/handover"
	"plainleaf/app/printout"
	"plainleaf/app/produce"
	"plainleaf/app/render"
	"plainleaf/app/sheet"
	"plainleaf/i18n"
)

// reading is the code of a paper on a patient's phone. It stands beside the open
// case and never touches it.
type reading struct {
	code   string // as it stands behind the "#"
	paper  handover.Paper
	shown  bool
	faults fault.List // why a code cannot be shown

	doc       render.Doc
	lang      string // of doc
	docFaults fault.List

	typed string
	kept  string // code that is kept on this device, "" none
}

// arrive takes the code that the page was opened with, once.
func (r *Root) arrive() {
	if give := app.Window().Get("plainleafPaper"); give.Truthy() {
		if code := give.Invoke().String(); code != "" {
			r.receive(code)
			if r.here.View != paperView {
				r.ctx.Navigate(r.link(paperView))
			}
		}
	}
}

const paperView = handover.Folder

// expectPapers listens for codes that come while the program runs, and asks for
// the one kept on this device.
func (r *Root) expectPapers() {
	app.Window().Set("plainleafPaperCame", app.FuncOf(func(app.Value, []app.Value) any {
		r.later(r.arrive)
		return nil
	}))
	r.script("paper", func(a reply) {
		if a.OK {
			r.paper.kept = a.Text
		}
	})
	r.arrive()
}

// receive reads a code. A bad one takes nothing away that is shown already.
func (r *Root) receive(typed string) bool {
	p, faults := produce.ReadPaper(typed, r.d.Base())
	if len(faults) > 0 {
		r.paper.faults = faults
		return false
	}
	r.paper = reading{code: handover.Fragment(typed), paper: p, shown: true, kept: r.paper.kept}
	r.focus = "head"
	return true
}

// document is the aftercare of the paper in the language of the screen.
func (r *Root) document() {
	k := &r.paper
	if k.lang == r.lang().Tag {
		return
	}
	k.lang = r.lang().Tag
	k.doc, k.docFaults = produce.PaperDoc(k.paper, r.d.Base(), r.words, r.known(k.lang).states, today())
}

func (r *Root) paperView() []app.UI {
	k := &r.paper
	var out []app.UI
	if len(k.faults) > 0 {
		out = append(out, el("div").ID("paper-faults").Class("notice").Role("alert").Body(
			say("p", "", r.t("page.paper.failed")), r.faults("paper-faults-list", k.faults)))
	}
	if r.signed.Started() {
		out = append(out, el("p").ID("paper-beside").Class("hint").Text(r.t("page.paper.beside")))
	}
	if !k.shown {
		return append(out, r.enterPaper())
	}
	r.document()
	if len(k.docFaults) > 0 {
		return append(out, el("div").Class("notice").Role("alert").Body(say("p", "", r.t("page.paper.failed")), r.faults("paper-doc-faults", k.docFaults)))
	}
	notes := []string{r.t("page.paper.governs")}
	if l, ok := i18n.Known(k.paper.Locale); ok && l.Tag != k.lang {
		notes = append([]string{r.t("page.paper.language", "Language", r.lang().NameOf(l.Tag))}, notes...)
	}
	if k.paper.Content != r.d.Base().Version {
		notes = append(notes, r.t("page.paper.version", "Version", k.paper.Content, "Number", r.d.Base().Version))
	}
	if k.paper.Unknown > 0 {
		notes = append(notes, r.n("page.paper.unknown", k.paper.Unknown))
	}
	// Phone numbers come first.
	first := slices.IndexFunc(k.doc.Blocks, func(b render.Block) bool { return b.Kind == sheet.Heading })
	if first < 0 {
		first = len(k.doc.Blocks)
	}
	body := []app.UI{}
	for i := range k.doc.Blocks {
		body = append(body, r.block(k.doc.Blocks[i]))
	}
	body = slices.Insert(body, first, app.UI(el("div").ID("paper-notes").Class("notes").Body(each(len(notes), func(i int) app.UI { return say("p", "hint", notes[i]) }))))
	return append(out,
		el("div").ID("paper").Class("part paper").Body(body...),
		r.paperActions(),
	)
}

// enterPaper is for who cannot scan: the code copied or typed, or kept earlier.
func (r *Root) enterPaper() app.UI {
	k := &r.paper
	return part("enter", r.t("page.menu.paper"),
		say("p", "", r.t("page.paper.about")),
		app.If(k.kept != "", func() app.UI {
			return box("div", "chips", r.button("paper-open-kept", "", r.t("page.paper.open-kept"), func() { r.receive(k.kept) }),
				r.button("paper-drop", "quiet", r.t("page.paper.drop"), r.dropPaper))
		}),
		r.area("paper-code", r.t("page.paper.enter"), r.t("page.paper.enter-hint"), k.typed, nil, func(v string) { k.typed = v }),
		r.button("paper-read", "second", r.t("page.paper.read"), func() {
			if strings.TrimSpace(k.typed) == "" {
				r.focus = "paper-code"
				return
			}
			if !r.receive(k.typed) {
				r.focus = "paper-code"
			}
		}),
	)
}

func (r *Root) paperActions() app.UI {
	k := &r.paper
	kept := k.kept == k.code
	about, act := "page.paper.not-kept", r.button("paper-keep", "second", r.t("page.paper.keep"), func() {
		code := k.code
		r.script("keepPaper", func(a reply) {
			if !a.OK {
				r.notice = r.t("page.paper.keep-failed")
				return
			}
			k.kept = code
			r.focus = "paper-drop"
		}, code)
	})
	if kept {
		about, act = "page.paper.is-kept", r.button("paper-drop", "second", r.t("page.paper.drop"), r.dropPaper)
	}
	return part("paper-actions", r.t("page.paper.actions"),
		el("p").ID("paper-kept").Role("status").Text(r.t(about)),
		say("p", "hint", r.t("page.paper.history")),
		box("div", "chips",
			act,
			r.button("paper-save", "second", r.t("page.paper.save"), func() {
				o := printout.Options{Paper: "a4", Size: "normal"}
				html, err := printout.HTML([]render.Doc{k.doc}, o)
				if err != nil {
					r.notice = r.t("page.paper.failed")
					return
				}
				name := r.t("mail.file") + ".html"
				save(name, "text/html;charset=utf-8", html)
				r.notice = r.t("page.file.saved", "File", name)
			}),
			r.button("paper-copy", "second", r.t("page.paper.copy"), func() {
				text, err := printout.Text([]render.Doc{k.doc}, printout.Options{Paper: "a4", Size: "normal"})
				if err != nil {
					r.notice = r.t("page.paper.failed")
					return
				}
				r.copy(string(text), r.t("page.take.copied"), r.t("page.take.copy-failed"))
			}),
			r.button("paper-close", "quiet", r.t("page.paper.close"), func() {
				r.paper = reading{kept: k.kept}
				r.focus = "head"
			}),
		),
	)
}

func (r *Root) dropPaper() {
	r.script("dropPaper", func(a reply) {
		if !a.OK {
			r.notice = r.t("page.paper.keep-failed")
			return
		}
		r.paper.kept = ""
		r.notice = r.t("page.paper.dropped")
		r.focus = "head"
	})
}

// block writes one block of a document to the screen.
func (r *Root) block(b render.Block) app.UI {
	switch b.Kind {
	case sheet.Heading:
		return el("h2").Body(r.runs(b.Text)...)
	case sheet.Urgent:
		return el("section").Class("notice "+b.Tone).DataSet("msg", b.Msg).Body(
			el("h2").Body(r.runs(b.Text)...), el("p").Class("call").Body(r.runs(b.Aside)...), r.items(b.Items))
	case sheet.List:
		return r.items(b.Items)
	}
	return el("p").Body(r.runs(b.Text)...)
}

func (r *Root) items(items []render.Item) app.UI {
	return box("ul", "said", each(len(items), func(i int) app.UI {
		it := items[i]
		var body []app.UI
		if len(it.Label) > 0 {
			body = append(body, el("strong").Body(r.runs(it.Label)...), app.Text(" "))
		}
		body = append(body, r.runs(it.Text)...)
		for _, l := range it.More {
			body = append(append(body, app.Text(" ")), r.runs(l)...)
		}
		li := el("li").DataSet("msg", it.Msg)
		if it.Ref.Warning != "" {
			li = li.DataSet("warning", it.Ref.Warning)
		}
		return li.Body(body...)
	}))
}

// runs writes a line; telephone numbers are called by a touch.
func (r *Root) runs(l render.Line) []app.UI {
	var out []app.UI
	for _, run := range l {
		switch {
		case run.Value == "phone":
			out = append(out, el("a").Attr("href", "tel:"+dialed(run.Text)).Dir("ltr").Text(run.Text))
		case run.Value != "":
			e := el("bdi").Text(run.Text)
			if run.Dir != "" {
				e = e.Dir(run.Dir)
			}
			out = append(out, e)
		default:
			out = append(out, app.Text(run.Text))
		}
	}
	return out
}

// dialed is what a telephone understands of a number as it was typed: a leading
// plus and the digits before the first letter, so that an extension is left out.
func dialed(s string) string {
	out := ""
	for _, c := range s {
		switch {
		case c >= '0' && c <= '9' || c == '+' && out == "":
			out += string(c)
		case unicode.IsLetter(c):
			return out
		}
	}
	return out
}

package page

import (
	"strings"

	"github.com/maxence-charriere/go-app/v10/pkg/app"

	"plainleaf/app/casefile"
	"plainleaf/app/plan"
	"plainleaf/app/screens/state"
	"plainleaf/i18n"
)

// tell says at the foot of the screen what a step changed elsewhere, once the
// case has been looked at beyond its own screen: until then everything is new.
func (r *Root) tell(before state.Mark) {
	s := r.d.Since(before)
	var said []string
	if s.Material != "" {
		said = append(said, r.t("page.updated.material", "Material", r.t("material."+string(s.Material)+".name")))
	}
	if s.Stage != "" && s.Stage != casefile.Deciding {
		said = append(said, r.t("page.updated.stage", "Text", r.t("page.stage."+string(s.Stage))))
	}
	if r.walked && len(s.Parts) > 0 {
		var parts []string
		for _, p := range s.Parts {
			parts = append(parts, r.t("page.updated.part."+p))
		}
		said = append(said, r.t("page.updated.parts", "List", r.list(parts)))
	}
	if r.setAside() {
		said = append(said, r.t("page.sign.aside-now"))
	}
	if s.Rest {
		said = append(said, r.t("page.updated.rest"))
	}
	r.updated = said
}

// told is the status line in the summary, which is always in sight.
func (r *Root) told() app.UI {
	return el("div").ID("updated").Class("updated").Role("status").Body(
		each(len(r.updated), func(i int) app.UI { return say("p", "", r.updated[i]) }))
}

// sheetWords is the wording of the sheets, in which the points said back are
// kept, since they are printed; nil while it has to be fetched.
func (r *Root) sheetWords() *i18n.Wording {
	tag := r.d.Case().Locale
	if tag == r.lang().Tag {
		return r.words
	}
	if w := r.others[tag]; w != nil {
		return w
	}
	s := r.known(tag)
	if s == nil {
		return nil
	}
	w, faults := i18n.Load(tag, s.wording, nil)
	if len(faults) > 0 {
		return nil
	}
	if r.others == nil {
		r.others = map[string]*i18n.Wording{}
	}
	r.others[tag] = w
	return w
}

// topicText is a point as it is kept: in the language of the sheets.
func (r *Root) topicText(id string) string {
	if w := r.sheetWords(); w != nil {
		return pointText(w, id)
	}
	return pointText(r.words, id)
}

// pointText is a prompt or a point in a language. What can be undone is an answer
// and stands after its question.
func pointText(w *i18n.Wording, id string) string {
	text, err := w.Text(id, nil, "")
	if err != nil {
		return "[" + id + "]"
	}
	if strings.HasPrefix(id, "undo.") {
		if asked, err := w.Text("page.row.reversible", nil, ""); err == nil {
			return follow(asked, text)
		}
	}
	return text
}

// moveTopics puts the points said back into the language of the sheets, so that
// they stay the same points.
func (r *Root) moveTopics() {
	if r.desk == nil || r.words == nil {
		return
	}
	if r.sheetWords() == nil {
		r.fetchLanguage(r.d.Case().Locale) // comes back here
		return
	}
	if len(r.d.Case().TeachBacks()) == 0 {
		return
	}
	p := r.d.Plan()
	if p == nil {
		return
	}
	names := map[string]string{}
	for _, id := range topics(p) {
		now := r.topicText(id)
		for _, w := range r.others {
			names[pointText(w, id)] = now
		}
		names[pointText(r.words, id)] = now
	}
	r.signed.Rename(names)
}

// permitted lists place by place what the answers allow for good. Places and
// teeth are never added up.
func (r *Root) permitted(p *plan.Plan) app.UI {
	var yes, asked []plan.Permitted
	for _, x := range p.Enamel.Permitted {
		switch {
		case x.Answer == casefile.Agree && x.UpToMM != nil:
			yes = append(yes, x)
		case x.Answer != casefile.No:
			asked = append(asked, x)
		}
	}
	return part("permitted", r.t("page.permitted.title"),
		say("p", "hint", r.t("page.permitted.about")),
		app.If(len(yes) == 0, func() app.UI { return say("p", "firm", r.t("page.permitted.nothing")) }),
		box("dl", "pairs", each(len(yes), func(i int) app.UI {
			x := yes[i]
			var more []app.UI
			more = append(more, say("p", "", r.t("sheet.undo.up-to", "Number", r.number(*x.UpToMM, 2))))
			if x.Place != "" {
				more = append(more, say("p", "hint", r.t("place."+x.Place)))
			}
			if x.Surfaces > 1 {
				more = append(more, say("p", "hint", r.t("page.permitted.sides")))
			}
			return fact(r.t("change."+x.Change+".name"), r.n("page.numbers.teeth", len(x.Teeth), "Teeth", r.teeth(x.Teeth)), more...)
		})),
		app.If(len(asked) > 0, func() app.UI {
			return r.drawer("permitted-asked", "drawer", false, say("summary", "", r.t("page.permitted.asked")), func() []app.UI {
				return []app.UI{
					box("dl", "pairs", each(len(asked), func(i int) app.UI {
						return fact(r.t("change."+asked[i].Change+".name"),
							r.n("page.numbers.teeth", len(asked[i].Teeth), "Teeth", r.teeth(asked[i].Teeth)))
					}))}
			})
		}),
	)
}

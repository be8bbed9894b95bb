package page

import (
	"github.com/maxence-charriere/go-app/v10/pkg/app"

	"plainleaf/app/page/model"
	"plainleaf/app/plan"
	"plainleaf/app/veneer"
)

// tell says at the foot of the screen what a step changed elsewhere, once the
// case has been looked at beyond its own screen: until then everything is new.
func (r *Root) tell(before model.Mark) {
	s := r.m.Since(before)
	var said []string
	if s.Material != "" {
		said = append(said, r.t("page.updated.material", "Material", r.t("material."+string(s.Material)+".name")))
	}
	if s.Stage != "" && s.Stage != veneer.Deciding {
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

// retopic puts the points said back into another language with the screen, so
// that they stay the same points.
func (r *Root) retopic(old func(string) string) {
	if r.m == nil || len(r.m.Case.TeachBack) == 0 {
		return
	}
	p := r.m.Plan()
	if p == nil {
		return
	}
	names := map[string]string{}
	for _, id := range topics(p) {
		names[old(id)] = r.t(id)
	}
	r.m.Rename(names)
}

// permitted lists place by place what the answers allow for good. Places and
// teeth are never added up.
func (r *Root) permitted(p *plan.Plan) app.UI {
	var yes, asked []plan.Permitted
	for _, x := range p.Enamel.Permitted {
		switch {
		case x.Answer == veneer.Agree && x.UpToMM != nil:
			yes = append(yes, x)
		case x.Answer != veneer.No:
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

package page

import (
	"github.com/maxence-charriere/go-app/v10/pkg/app"
)

// unplanned says why there is no plan yet, and what to do.
func (r *Root) unplanned() []app.UI {
	faults := r.d.Faults()
	return []app.UI{el("div").ID("unplanned").Class("notice").Body(
		say("p", "", r.t("page.unplanned.text")),
		r.faults("unplanned-faults", faults),
		el("a").Attr("href", r.link("")).Text(r.t("page.unplanned.link")),
	)}
}

// unsettled says that part of the case cannot be read or does not fit, and that the plan
// on the screen leaves it out.
func (r *Root) unsettled() app.UI {
	faults := r.d.Faults()
	if len(faults) == 0 || r.d.Plan() == nil {
		return none()
	}
	return el("div").ID("unsettled").Class("notice").Body(
		say("p", "", r.t("page.unsettled.text")),
		r.faults("unsettled-faults", faults),
		el("a").Attr("href", r.link("")).Text(r.t("page.unplanned.link")),
	)
}

// sourcesLink leads to where the numbers come from.
func (r *Root) sourcesLink(figures []string) app.UI {
	if len(figures) == 0 {
		return el("p").Class("from")
	}
	return box("p", "from",
		el("a").Attr("href", r.link("evidence")+"#figure-"+figures[0]).
			Text(r.n("page.row.sources", len(figures))),
	)
}

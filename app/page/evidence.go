package page

import (
	"slices"

	"github.com/maxence-charriere/go-app/v10/pkg/app"

	"plainleaf/app/evidence"
	"plainleaf/app/veneer"
)

// evidenceView lists the figures with range, certainty and source: those this
// case rests on, or all.
func (r *Root) evidenceView() []app.UI {
	b := r.m.Base
	var used []string
	if p := r.m.Plan(); p != nil {
		for _, f := range p.Figures {
			used = append(used, f.ID)
		}
	}
	if r.figures == "" && len(used) == 0 {
		r.figures = "all"
	}
	var list []evidence.Figure
	for _, f := range b.Figures {
		if r.figures == "all" || slices.Contains(used, f.ID) {
			list = append(list, f)
		}
	}
	return []app.UI{
		say("p", "lead", r.t("page.evidence.about")),
		say("p", "hint", r.t("page.evidence.version", "Version", b.Version, "Date", r.iso(b.Reviewed), "To", r.iso(b.NextReview))),
		r.pick("figures", r.t("page.evidence.which"), or(r.figures, "case"), []option{
			{"case", r.n("page.evidence.case", len(used))},
			{"all", r.n("page.evidence.all", len(b.Figures))},
		}, nil, func(v string) {
			r.figures = v
			if v == "case" {
				r.figures = ""
			}
		}),
		r.unknowns(),
		part("figure-list", r.t("page.evidence.figures"),
			box("div", "figures",
				each(len(list), func(i int) app.UI { return r.figure(list[i]) }),
			),
		),
	}
}

// iso writes a date of the data in words.
func (r *Root) iso(s string) string {
	d, err := veneer.ParseDate(s)
	if err != nil {
		return s
	}
	return r.date(d)
}

// unknowns lists what nobody knows.
func (r *Root) unknowns() app.UI {
	var keys []string
	for _, a := range r.m.Base.Anchors {
		if a.Unknown != "" && !slices.Contains(keys, a.Unknown) {
			keys = append(keys, a.Unknown)
		}
	}
	if len(keys) == 0 {
		return none()
	}
	return part("not-known", r.t("page.evidence.unknown"),
		box("ul", "plain",
			each(len(keys), func(i int) app.UI {
				return el("li").DataSet("unknown", keys[i]).Text(r.t("unknown." + keys[i]))
			}),
		),
	)
}

func (r *Root) figure(f evidence.Figure) app.UI {
	low, high := f.Low, f.High
	_, replaced := r.m.Practice.Figures[f.ID]
	if p := r.m.Plan(); p != nil {
		for _, u := range p.Figures {
			if u.ID == f.ID {
				low, high = u.Low, u.High
			}
		}
	}
	value := r.t("page.unit."+string(f.Unit), "Range", r.reach(low, high, 3))
	if f.Seen == evidence.Memory {
		// Figures from memory may raise a question, never print a number.
		value = r.t("page.evidence.memory")
	}
	return el("details").ID("figure-"+f.ID).Class("figure drawer").DataSet("figure", f.ID).Body(
		box("summary", "",
			say("strong", "", value),
			el("code").Class("own").Dir("ltr").Text(f.ID),
		),
		say("p", "", r.t("certainty."+string(f.Certainty))),
		app.If(replaced, func() app.UI { return say("p", "", r.t("page.evidence.own")) }),
		app.If(f.Note != "", func() app.UI { return el("p").Lang("en").Dir("ltr").Class("hint").Text(f.Note) }),
		app.If(f.Citable(), func() app.UI { return r.sources(f) }),
		app.If(!f.Citable() && f.Seen != evidence.Memory, func() app.UI { return say("p", "", r.t("page.evidence.habit")) }),
	)
}

func (r *Root) sources(f evidence.Figure) app.UI {
	return box("ul", "plain cites",
		each(len(f.Source), func(i int) app.UI {
			s, ok := r.m.Base.Source(f.Source[i])
			if !ok {
				return say("li", "", f.Source[i])
			}
			text := s.Citation
			if f.Where != "" {
				text += " (" + f.Where + ")"
			}
			return el("li").Lang("en").Dir("ltr").Text(text)
		}),
	)
}

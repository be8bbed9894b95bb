package page

import (
	"cmp"
	"slices"
	"strings"

	"github.com/maxence-charriere/go-app/v10/pkg/app"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
)

// subjects gather the figures, which the data keeps in files, under the questions
// people ask.
var subjects = []struct {
	key   string
	files []string
}{
	{"lasting", []string{"survival", "modifiers"}},
	{"trouble", []string{"complications"}},
	{"tooth", []string{"enamel", "materials"}},
	{"color", []string{"colour"}},
	{"time", []string{"visits", "waiting"}},
	{"chair", []string{"changes"}},
	{"findings", []string{"findings"}},
	{"after", []string{"upkeep", "aftercare", "warnings"}},
}

// evidenceView tells topic by topic what is known, how well, and what is not
// known, with the figures behind it: those this case rests on, or all.
func (r *Root) evidenceView() []app.UI {
	b := r.d.Base()
	var used []string
	if p := r.d.Plan(); p != nil {
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
		r.pick("figures", r.t("page.evidence.which"), cmp.Or(r.figures, "case"), []option{
			{"case", r.n("page.evidence.case", len(used))},
			{"all", r.n("page.evidence.all", len(b.Figures))},
		}, nil, func(v string) {
			r.figures = v
			if v == "case" {
				r.figures = ""
			}
		}),
		each(len(subjects), func(i int) app.UI { return r.subject(subjects[i].key, subjects[i].files, list) }),
		r.unknowns(),
	}
}

// subject is one question: what is known and what is not, then the figures, the
// surest first.
func (r *Root) subject(key string, files []string, list []evidence.Figure) app.UI {
	id := "page.evidence.topic." + key
	var mine []evidence.Figure
	studied := 0
	asked, _ := strings.CutPrefix(app.Window().URL().Fragment, "figure-")
	open := false
	for _, f := range list {
		if !slices.Contains(files, f.Topic) {
			continue
		}
		mine = append(mine, f)
		open = open || f.ID == asked
		if f.Citable() {
			studied++
		}
	}
	return part("topic-"+key, r.t(id+".title"),
		box("dl", "pairs",
			fact(r.t("page.evidence.know"), r.t(id+".know")),
			fact(r.t("page.evidence.blank"), r.t(id+".blank"))),
		app.If(len(mine) > 0, func() app.UI {
			return el("details").ID("figures-"+key).Class("drawer").Attr("open", open).Body(
				say("summary", "", r.n("page.evidence.topic-count", len(mine), "Number", r.number(float64(studied), 0))),
				each(len(sureness), func(i int) app.UI { return r.sure(sureness[i], mine) }))
		}),
	)
}

// sureness are the levels of certainty, the surest first; the last is for figures
// that are not shown as a number.
var sureness = []evidence.Certainty{evidence.High, evidence.Moderate, evidence.Low, evidence.VeryLow, evidence.Practice, ""}

// sure lists the figures of one level.
func (r *Root) sure(level evidence.Certainty, list []evidence.Figure) app.UI {
	list = slices.DeleteFunc(slices.Clone(list), func(f evidence.Figure) bool {
		if f.Seen == evidence.Memory {
			return level != ""
		}
		return f.Certainty != level
	})
	if len(list) == 0 {
		return none()
	}
	title := r.t("page.evidence.memory")
	if level != "" {
		title = r.t("certainty." + string(level))
	}
	return box("div", "",
		say("h3", "sure", title),
		box("div", "figures", each(len(list), func(i int) app.UI { return r.figure(list[i]) })))
}

// iso writes a date of the data in words.
func (r *Root) iso(s string) string {
	d, err := casefile.ParseDate(s)
	if err != nil {
		return s
	}
	return r.date(d)
}

// unknowns lists what nobody knows.
func (r *Root) unknowns() app.UI {
	var keys []string
	for _, a := range r.d.Base().Anchors {
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
	_, replaced := r.office.File().Figures[f.ID]
	if p := r.d.Plan(); p != nil {
		for _, u := range p.Figures {
			if u.ID == f.ID {
				low, high = u.Low, u.High
			}
		}
	}
	value := r.measured("page.unit."+string(f.Unit), low, high, 3)
	if f.Seen == evidence.Memory {
		value = "" // may raise a question, never stands as a number
	}
	return r.drawer("figure-"+f.ID, "figure drawer", app.Window().URL().Fragment == "figure-"+f.ID, box("summary", "",
		say("strong", "", value),
		el("span").Lang("en").Dir("ltr").Class("own").Text(titled(f)),
	), func() []app.UI {
		return []app.UI{
			app.If(f.Seen == evidence.Memory, func() app.UI { return say("p", "", r.t("page.evidence.memory")) }),
			app.If(f.Seen != evidence.Memory, func() app.UI { return say("p", "", r.t("certainty."+string(f.Certainty))) }),
			app.If(replaced, func() app.UI { return say("p", "", r.t("page.evidence.own")) }),
			el("p").Lang("en").Dir("ltr").Class("hint").Body(
				say("span", "", f.Note+" "), el("code").Text(f.ID)),
			app.If(f.Citable(), func() app.UI { return r.sources(f) }),
			app.If(!f.Citable() && f.Seen != evidence.Memory, func() app.UI { return say("p", "", r.t("page.evidence.habit")) }),
		}
	}).DataSet("figure", f.ID)
}

// titled says in a few words what a figure is: the first sentence of its note, or
// its id where it has none.
func titled(f evidence.Figure) string {
	first, _, _ := strings.Cut(f.Note, ". ")
	return cmp.Or(strings.TrimSuffix(first, "."), strings.ReplaceAll(f.ID, "-", " "))
}

func (r *Root) sources(f evidence.Figure) app.UI {
	return box("ul", "plain cites",
		each(len(f.Source), func(i int) app.UI {
			s, ok := r.d.Base().Source(f.Source[i])
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

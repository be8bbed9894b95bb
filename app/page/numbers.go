package page

import (
	"fmt"
	"slices"

	"github.com/maxence-charriere/go-app/v10/pkg/app"

	"plainleaf/app/casefile"
	"plainleaf/app/plan"
	"plainleaf/app/sheet"
)

// numbersView says what the numbers of the chosen way mean: in words for
// everyone, as numbers and pictures for who asked for them.
func (r *Root) numbersView() []app.UI {
	p := r.d.Plan()
	if p == nil {
		return r.unplanned()
	}
	body := []app.UI{
		say("p", "lead", r.t("page.numbers.about")),
		r.detailPick(),
	}
	groups := plan.AlikeTeeth(p.Expectations)
	if len(groups) == 0 {
		return append(body, el("p").ID("no-numbers").Text(r.t("page.expect.none")))
	}
	if r.d.Patient().WantsNumbers() {
		body = append(body, part("how-to-read", r.t("page.numbers.read"),
			say("p", "", r.t("sheet.expect.intro")), r.legend()))
		if !plan.OneSetting(p.Expectations) {
			body = append(body, el("p").ID("apart").Class("firm").Text(r.t("sheet.expect.apart")))
		}
	}
	for i, g := range groups {
		body = append(body, r.numberGroup(i, g))
	}
	if len(r.d.Mouth().Teeth()) > 1 {
		body = append(body, r.numbersTogether(p))
	}
	if m := modifiers(p); len(m) > 0 {
		body = append(body, part("modifiers", r.t("page.numbers.moves"),
			box("ul", "plain", each(len(m), func(i int) app.UI {
				return say("li", "", r.t("modifier."+m[i]))
			}))))
	}
	return body
}

// detailPick asks how much the patient wants to know.
func (r *Root) detailPick() app.UI {
	return r.pick("detail", r.t("page.detail.title"), r.d.Case().Detail, []option{
		{"words", r.t("page.detail.words")}, {"numbers", r.t("page.detail.numbers")},
	}, r.d.FaultsAt("detail"), r.d.Patient().SetDetail)
}

func modifiers(p *plan.Plan) []string {
	var out []string
	for _, e := range p.Expectations {
		for _, m := range e.Modifiers {
			if !slices.Contains(out, m) {
				out = append(out, m)
			}
		}
	}
	return out
}

// way names a route with its material.
func (r *Root) way(route casefile.Route, material casefile.Material) string {
	name := r.t("route." + string(route) + ".name")
	if material == "" {
		return name
	}
	return r.t("page.numbers.way", "Route", name, "Material", r.t("material."+string(material)+".name"))
}

func (r *Root) numberGroup(i int, g plan.Alike) app.UI {
	list := g.List
	id := fmt.Sprintf("numbers-%d", i)
	body := []app.UI{say("p", "hint", r.n("page.numbers.teeth", len(g.Teeth), "Teeth", r.teeth(g.Teeth)))}
	if !r.d.Patient().WantsNumbers() {
		return part(id, r.way(g.Route, g.Material), append(body, r.inWords(list)...)...)
	}
	for _, endpoint := range []string{plan.InPlace, plan.NothingNeeded} {
		mine := slices.DeleteFunc(slices.Clone(list), func(x plan.Expectation) bool { return x.Endpoint != endpoint })
		if len(mine) == 0 {
			continue
		}
		body = append(body,
			say("h3", "", r.t("page.endpoint."+endpoint)),
			box("div", "horizons", each(len(mine), func(j int) app.UI { return r.horizon(mine[j]) })),
		)
	}
	return part(id, r.way(g.Route, g.Material), append(body, r.whence(id, list))...)
}

// inWords tells a group without a number: that things last and fail, how sure
// anyone is, and what nobody knows.
func (r *Root) inWords(list []plan.Expectation) []app.UI {
	known, sure := false, ""
	var blanks []string
	for _, e := range list {
		if e.PerTooth.Known() {
			known, sure = true, string(e.Certainty)
		} else if !slices.Contains(blanks, e.PerTooth.Unknown) {
			blanks = append(blanks, e.PerTooth.Unknown)
		}
	}
	var out []app.UI
	if known {
		out = append(out, say("p", "", r.t("page.numbers.words")), say("p", "sure", r.t("certainty."+sure)))
	}
	for _, b := range blanks {
		out = append(out, el("p").DataSet("unknown", b).Text(r.t("unknown."+b)))
	}
	return out
}

// horizon is one endpoint of one tooth after some years: picture, both frames,
// how sure. What is not known takes as much room.
func (r *Root) horizon(e plan.Expectation) app.UI {
	years := r.n("page.numbers.years", e.Years)
	if !e.PerTooth.Known() {
		return el("div").Class("horizon").DataSet("unknown", e.PerTooth.Unknown).Body(
			say("h4", "", years),
			say("p", "blank", r.t(blankWord(e.PerTooth.Unknown))),
			say("p", "", r.t("unknown."+e.PerTooth.Unknown)),
		)
	}
	said := r.lasting(e)
	drawn := sheet.Drawn(r.d.Base(), e)
	return box("div", "horizon",
		say("h4", "", years),
		r.icons("", drawn.Low, drawn.High, said),
		say("p", "", said),
		say("p", "sure", r.t("certainty."+string(e.Certainty))),
	)
}

// blankWord is the message in place of a number.
func blankWord(reason string) string {
	if reason == plan.TooUncertain {
		return "page.numbers.too-uncertain"
	}
	return "page.numbers.unknown"
}

// lasting says one known endpoint, of 100, as the sheets do.
func (r *Root) lasting(e plan.Expectation) string { return r.message(sheet.Lasting(r.d.Base(), e)) }

// together says what n teeth of one mouth may need, as the sheets do.
func (r *Root) together(e plan.Expectation) []string {
	var out []string
	for _, t := range sheet.Together(r.d.Base(), e) {
		out = append(out, r.message(t))
	}
	if len(out) > 0 {
		out = append(out, r.t("certainty."+string(e.Together)))
	}
	return out
}

// numbersTogether is about all the teeth of the case.
func (r *Root) numbersTogether(p *plan.Plan) app.UI {
	body := []app.UI{say("p", "", r.t("page.numbers.together-about"))}
	if r.d.Patient().WantsNumbers() {
		whole := slices.DeleteFunc(slices.Clone(p.Expectations), func(e plan.Expectation) bool { return e.Route != "" })
		if len(whole) == 0 {
			whole = p.Expectations
		}
		var facts []app.UI
		for _, e := range whole {
			said := r.together(e)
			if len(said) == 0 {
				continue
			}
			more := make([]app.UI, 0, len(said))
			for i, s := range said {
				class := ""
				if i == len(said)-1 {
					class = "sure"
				}
				more = append(more, say("p", class, s))
			}
			facts = append(facts, box("div", "fact",
				say("dt", "", follow(r.t("page.endpoint."+e.Endpoint), r.n("page.numbers.years", e.Years))),
				box("dd", "", more...)))
		}
		if len(facts) > 0 {
			body = append(body, box("dl", "", facts...))
			if !plan.OneSetting(p.Expectations) {
				body = append(body, say("p", "", r.t("sheet.together.settings")))
			}
		} else {
			body = append(body, say("p", "", r.t("page.numbers.together-unknown")))
		}
	}
	return part("together", r.t("page.numbers.together"), append(body, say("p", "", r.t("sheet.together.shared")))...)
}

// whence tells where the numbers of a group come from: the setting of the
// studies, the arithmetic and the sources.
func (r *Root) whence(id string, list []plan.Expectation) app.UI {
	return r.drawer(id+"-whence", "drawer whence", false, say("summary", "", r.t("page.numbers.whence")),
		func() []app.UI { return r.origins(list) })
}

func (r *Root) origins(list []plan.Expectation) []app.UI {
	var lines, cites, figures []string
	add := func(to *[]string, s string) {
		if s != "" && !slices.Contains(*to, s) {
			*to = append(*to, s)
		}
	}
	var sums []string
	for _, e := range list {
		if e.Setting != "" && e.PerTooth.Known() {
			add(&lines, r.t("page.setting."+e.Setting))
		}
		if e.Arithmetic != "" {
			add(&sums, e.Arithmetic)
		}
		for _, f := range e.Figures {
			add(&figures, f)
		}
	}
	for _, f := range figures {
		if fig, ok := r.d.Base().Figure(f); ok && fig.Citable() {
			for _, s := range fig.Source {
				if src, ok := r.d.Base().Source(s); ok {
					add(&cites, src.Citation)
				}
			}
		}
	}
	return []app.UI{
		box("ul", "plain", each(len(lines), func(i int) app.UI { return say("li", "", lines[i]) })),
		app.If(len(sums) > 0, func() app.UI {
			return box("div", "",
				say("p", "hint", r.t("page.numbers.arithmetic")),
				box("ul", "plain", each(len(sums), func(i int) app.UI {
					return box("li", "", el("code").Dir("ltr").Text(sums[i]))
				})))
		}),
		box("ul", "plain cites", each(len(cites), func(i int) app.UI {
			return el("li").Lang("en").Dir("ltr").Text(cites[i])
		})),
		r.sourcesLink(figures),
	}
}

package page

import (
	"cmp"
	"slices"

	"github.com/maxence-charriere/go-app/v10/pkg/app"

	"plainleaf/app/casefile"
	"plainleaf/app/page/model"
	"plainleaf/app/plan"
	"plainleaf/app/sheet"
)

// chairView asks beforehand about each chair change, tooth by tooth.
func (r *Root) chairView() []app.UI {
	p := r.m.Plan()
	if p == nil {
		return r.unplanned()
	}
	list := together(p.ChairChanges)
	if len(list) == 0 {
		return []app.UI{say("p", "lead", r.t("page.chair.none")), r.restingPart(p)}
	}
	return []app.UI{
		say("p", "lead", r.t("page.chair.about")),
		say("p", "hint", r.t("page.chair.blank")),
		el("p").ID("signal").Class("notice firm").Text(r.t("sheet.change.signal")),
		each(len(list), func(i int) app.UI { return r.change(list[i]) }),
		r.faults("answers-fault", r.m.FaultsAt("answers")),
		r.permitted(p),
		r.restingPart(p),
	}
}

// restingPart lists the answers to steps that cannot come up on the way chosen now.
func (r *Root) restingPart(p *plan.Plan) app.UI {
	list := model.Resting(p)
	if len(list) == 0 {
		return none()
	}
	return el("div").ID("resting").Body(part("resting", r.t("page.chair.rest"),
		say("p", "hint", r.t("page.chair.rest-about")),
		box("dl", "pairs", each(len(list), func(i int) app.UI {
			x := list[i]
			text := r.t("page.answer." + string(x.Answer))
			if len(x.Teeth) > 0 {
				text = r.withTeeth(text, x.Teeth)
			}
			return fact(r.t("change."+x.Key+".name"), text)
		}))))
}

// together puts the teeth of one chair change, which the plan splits by answer,
// on one card. Steps that cannot come up are left out.
func together(list []plan.ChairChange) []plan.ChairChange {
	var out []plan.ChairChange
	place := map[string]int{}
	for _, c := range list {
		if c.Rests {
			continue
		}
		if i, ok := place[c.Key]; ok {
			out[i] = out[i].Together(c)
			continue
		}
		place[c.Key] = len(out)
		c.Teeth = casefile.SortTeeth(c.Teeth)
		out = append(out, c)
	}
	return out
}

// limit says where the dentist stops: what one can see first, millimeters after it.
func (r *Root) limit(c plan.ChairChange) string {
	var limits []string
	if c.AskAnyway.Words != "" {
		limits = append(limits, r.t(c.AskAnyway.Words))
	}
	if c.AskAnyway.OverMM != nil {
		limits = append(limits, r.t("sheet.change.ask-over", "Number", r.number(*c.AskAnyway.OverMM, 2)))
	}
	if c.AskAnyway.Always {
		limits = append(limits, r.t("page.chair.always"))
	}
	return cmp.Or(follow(limits...), r.t("page.chair.limit-none"))
}

// sized draws how much a step takes away or adds; nothing when it has no size.
func (r *Root) sized(c plan.ChairChange) app.UI {
	if c.LowMM == nil || c.HighMM == nil || *c.HighMM <= 0 {
		return none()
	}
	return r.sizeDrawing(*c.LowMM, *c.HighMM)
}

// ifNo says what a no would mean, where there is something to say.
func (r *Root) ifNo(c plan.ChairChange) app.UI {
	id := "change." + c.Key + ".if-no"
	if c.TellOnly || !r.words.Has(id) {
		return none()
	}
	return fact(r.t("page.chair.if-no"), r.t(id))
}

func (r *Root) change(c plan.ChairChange) app.UI {
	size := r.t("page.chair.nothing")
	if c.LowMM != nil && c.HighMM != nil {
		id := "page.chair.size"
		if c.PerSurface {
			id = "page.chair.size-surface"
		}
		size = r.t(id, "Range", r.reach(*c.LowMM, *c.HighMM, 2))
	}
	state := r.t("page.chair.nothing-to-say")
	if !c.TellOnly {
		said := 0
		places := c.At()
		for _, p := range places {
			if r.m.Answer(c.Key, p) != casefile.Blank {
				said++
			}
		}
		id := "page.chair.said"
		if len(c.Contacts) > 0 {
			id = "page.chair.said-places"
		}
		state = r.t(id, "Number", r.number(float64(said), 0), "Total", r.number(float64(len(places)), 0))
	}
	return r.drawer("change-"+c.Key, "part drawer change", false, box("summary", "",
		say("h2", "", r.t("change."+c.Key+".name")),
		say("span", "own", state),
	), func() []app.UI {
		return []app.UI{
			say("p", "", r.t("change."+c.Key+".what")),
			box("dl", "pairs",
				box("div", "fact limit",
					say("dt", "", r.t("page.chair.limit")), say("dd", "", r.limit(c))),
				fact(r.t("page.chair.when"), r.t("trigger."+c.Trigger)),
				fact(r.t("page.chair.how-much"), size, r.sized(c)),
				r.ifNo(c),
				fact(r.t("page.chair.undo"), r.t("page.undo."+c.Reversible)),
				fact(r.t("page.chair.often"), r.message(sheet.HowOften(r.m.Base, c))),
			),
			app.If(len(c.ThinSides) > 0, func() app.UI {
				return say("p", "firm", r.n("sheet.change.thin-side", len(c.ThinSides), "Teeth", r.teeth(c.ThinSides)))
			}),
			app.If(c.TalkFirst, func() app.UI { return say("p", "firm", r.t("page.chair.talk-first")) }),
			app.If(c.TellOnly, func() app.UI { return say("p", "", r.t("page.chair.tell")) }),
			app.If(!c.TellOnly, func() app.UI { return r.answers(c) }),
		}
	}).DataSet("change", c.Key)
}

var answers = []casefile.Answer{casefile.Agree, casefile.Ask, casefile.No}

func (r *Root) answers(c plan.ChairChange) app.UI {
	places := casefile.SortPlaces(c.At())
	return box("div", "answers",
		app.If(c.ForAll && len(places) > 1, func() app.UI {
			return r.answerRow(c.Key, "all", r.t("page.chair.all"), places)
		}),
		each(len(places), func(i int) app.UI {
			return r.answerRow(c.Key, places[i].String(), r.placeLabel(places[i]), places[i:i+1])
		}),
	)
}

// answerRow is three buttons, all up at first; pressing one again takes the
// answer back.
func (r *Root) answerRow(change, row, label string, places []casefile.Place) app.UI {
	name := label
	if len(places) == 1 {
		name = r.placeName(places[0])
	}
	all := func(a casefile.Answer) bool {
		return !slices.ContainsFunc(places, func(p casefile.Place) bool { return r.m.Answer(change, p) != a })
	}
	return r.oneOf("answer-"+change+"-"+row, label, name, answerKeys, r.answerTexts(),
		func(i int) bool { return all(answers[i]) },
		func(i int) {
			set := answers[i]
			if all(set) {
				set = casefile.Blank
			}
			r.m.SetAnswer(change, places, set)
		})
}

var answerKeys = []string{string(casefile.Agree), string(casefile.Ask), string(casefile.No)}

func (r *Root) answerTexts() []string {
	var out []string
	for _, a := range answerKeys {
		out = append(out, r.t("page.answer."+a))
	}
	return out
}

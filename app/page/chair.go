package page

import (
	"fmt"

	"github.com/maxence-charriere/go-app/v10/pkg/app"

	"plainleaf/app/plan"
	"plainleaf/app/veneer"
)

// chairView asks beforehand about each chair change, tooth by tooth.
func (r *Root) chairView() []app.UI {
	p := r.m.Plan()
	if p == nil {
		return r.unplanned()
	}
	list := together(p.ChairChanges)
	if len(list) == 0 {
		return []app.UI{say("p", "lead", r.t("page.chair.none"))}
	}
	return []app.UI{
		say("p", "lead", r.t("page.chair.about")),
		say("p", "hint", r.t("page.chair.blank")),
		el("p").ID("signal").Class("notice firm").Text(r.t("sheet.change.signal")),
		each(len(list), func(i int) app.UI { return r.change(list[i]) }),
		r.faults("answers-fault", r.m.FaultsAt("answers")),
		r.permitted(p),
	}
}

// together puts the teeth of one chair change, which the plan splits by answer,
// on one card.
func together(list []plan.ChairChange) []plan.ChairChange {
	var out []plan.ChairChange
	place := map[string]int{}
	for _, c := range list {
		if i, ok := place[c.Key]; ok {
			out[i].Teeth = veneer.SortTeeth(append(out[i].Teeth, c.Teeth...))
			continue
		}
		place[c.Key] = len(out)
		c.Teeth = veneer.SortTeeth(c.Teeth)
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
	return or(follow(limits...), r.t("page.chair.limit-none"))
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
		for _, t := range c.Teeth {
			if r.m.Answer(c.Key, t) != veneer.Blank {
				said++
			}
		}
		state = r.t("page.chair.said", "Number", r.number(float64(said), 0), "Total", r.number(float64(len(c.Teeth)), 0))
	}
	// The drawer stays as the browser has it, so that answering does not close it.
	return el("details").ID("change-"+c.Key).Class("part drawer change").DataSet("change", c.Key).Body(
		box("summary", "",
			say("h2", "", r.t("change."+c.Key+".name")),
			say("span", "own", state),
		),
		say("p", "", r.t("change."+c.Key+".what")),
		box("dl", "pairs",
			box("div", "fact limit",
				say("dt", "", r.t("page.chair.limit")), say("dd", "", r.limit(c))),
			fact(r.t("page.chair.when"), r.t("trigger."+c.Trigger)),
			fact(r.t("page.chair.how-much"), size, r.sized(c)),
			r.ifNo(c),
			fact(r.t("page.chair.undo"), r.t("page.undo."+c.Reversible)),
			fact(r.t("page.chair.often"), r.t("often."+or(c.Often, "unknown"))),
		),
		app.If(len(c.ThinSides) > 0, func() app.UI {
			return say("p", "firm", r.n("sheet.change.thin-side", len(c.ThinSides), "Teeth", r.teeth(c.ThinSides)))
		}),
		app.If(c.TalkFirst, func() app.UI { return say("p", "firm", r.t("page.chair.talk-first")) }),
		app.If(c.TellOnly, func() app.UI { return say("p", "", r.t("page.chair.tell")) }),
		app.If(!c.TellOnly, func() app.UI { return r.answers(c) }),
	)
}

var answers = []veneer.Answer{veneer.Agree, veneer.Ask, veneer.No}

func (r *Root) answers(c plan.ChairChange) app.UI {
	return box("div", "answers",
		app.If(c.ForAll && len(c.Teeth) > 1, func() app.UI {
			return r.answerRow(c.Key, "all", r.t("page.chair.all"), c.Teeth)
		}),
		each(len(c.Teeth), func(i int) app.UI {
			t := c.Teeth[i]
			return r.answerRow(c.Key, t.String(), r.label(t), []veneer.Tooth{t})
		}),
	)
}

// answerRow is three buttons, all up at first; pressing one again takes the
// answer back.
func (r *Root) answerRow(change, row, label string, teeth []veneer.Tooth) app.UI {
	name := label
	if len(teeth) == 1 {
		name = r.toothName(teeth[0])
	}
	return el("div").Class("answer").Role("group").Aria("label", name).Body(
		say("span", "who", label),
		box("div", "three", each(len(answers), func(i int) app.UI {
			a := answers[i]
			on := true
			for _, t := range teeth {
				on = on && r.m.Answer(change, t) == a
			}
			set := a
			if on {
				set = veneer.Blank
			}
			id := "answer-" + change + "-" + row + "-" + string(a)
			// The handler depends on whether the button is down.
			return el("button").ID(id).Attr("type", "button").Class("chip-button").Aria("pressed", fmt.Sprint(on)).
				Text(r.t("page.answer." + string(a))).
				OnClick(r.click(id+fmt.Sprint(on, teeth), func() { r.m.SetAnswer(change, teeth, set) }))
		})),
	)
}

package page

import (
	"cmp"
	"slices"

	"github.com/maxence-charriere/go-app/v10/pkg/app"

	"plainleaf/app/casefile"
	"plainleaf/app/plan"
	"plainleaf/app/screens/state"
	"plainleaf/app/sheet"
)

// chairView asks beforehand about each chair change, tooth by tooth.
func (r *Root) chairView() []app.UI {
	p := r.d.Plan()
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
		r.lowered(p),
		each(len(list), func(i int) app.UI { return r.change(p, list[i]) }),
		r.faults("answers-fault", r.d.FaultsAt("answers")),
		r.permitted(p),
		r.restingPart(p),
	}
}

// restingPart lists the answers to steps that cannot come up on the way chosen now.
func (r *Root) restingPart(p *plan.Plan) app.UI {
	list := state.Resting(p)
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

func (r *Root) change(p *plan.Plan, c plan.ChairChange) app.UI {
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
		for _, at := range places {
			if row, _ := p.Row(c.Key, at); row.Answer != casefile.Blank {
				said++
			}
		}
		id := "page.chair.said"
		if len(c.Contacts) > 0 {
			id = "page.chair.said-places"
		}
		state = r.n(id, len(places), "Number", r.number(float64(said), 0))
	}
	return r.drawer("change-"+c.Key, "part drawer change", false, box("summary", "",
		say("h2", "", r.t("change."+c.Key+".name")),
		say("span", "own", state),
	), func() []app.UI {
		return []app.UI{
			say("p", "", r.message(sheet.WhatHappens(c))),
			box("dl", "pairs",
				box("div", "fact limit",
					say("dt", "", r.t("page.chair.limit")), say("dd", "", r.limit(c))),
				fact(r.t("page.chair.how-much"), size, r.sized(c)),
				r.ifNo(c),
				fact(r.t("page.chair.undo"), r.t("page.undo."+c.Reversible)),
				fact(r.t("page.chair.often"), r.message(sheet.HowOften(r.d.Base(), c))),
			),
			each(len(c.PlaceLimits), func(i int) app.UI {
				l := c.PlaceLimits[i]
				at, _ := casefile.ParsePlace(l.Place)
				return say("p", "firm", r.message(sheet.PlaceLimit(l, sheet.Pairs{at})))
			}),
			app.If(c.TalkFirst, func() app.UI { return say("p", "firm", r.t("page.chair.talk-first")) }),
			app.If(c.TellOnly, func() app.UI { return say("p", "", r.t("page.chair.tell")) }),
			app.If(!c.TellOnly, func() app.UI { return r.answers(p, c) }),
		}
	}).DataSet("change", c.Key)
}

// offer is one row of answer buttons.
type offer struct {
	row       string // all, or the place
	places    []casefile.Place
	permitted []casefile.Answer
}

// offers are the rows of a step: all places together, then each by itself. For all
// together nobody says yes to what cannot be undone.
func offers(p *plan.Plan, c plan.ChairChange) []offer {
	if c.TellOnly {
		return nil
	}
	places := casefile.SortPlaces(c.At())
	var out []offer
	if len(places) > 1 {
		all := slices.Clone(c.Permitted)
		if !c.ForAll {
			all = slices.DeleteFunc(all, func(a casefile.Answer) bool { return a == casefile.Agree })
		}
		out = append(out, offer{"all", places, all})
	}
	for i, at := range places {
		row, _ := p.Row(c.Key, at)
		out = append(out, offer{at.String(), places[i : i+1], row.Permitted})
	}
	return out
}

func (r *Root) answers(p *plan.Plan, c plan.ChairChange) app.UI {
	list := offers(p, c)
	return box("div", "answers", each(len(list), func(i int) app.UI { return r.answerRow(c.Key, list[i]) }))
}

// answerRow is a button for each answer, all up at first; pressing one again takes the
// answer back.
func (r *Root) answerRow(change string, o offer) app.UI {
	label := r.t("page.chair.all")
	name := label
	if o.row != "all" {
		label, name = r.placeLabel(o.places[0]), r.placeName(o.places[0])
	}
	all := func(a casefile.Answer) bool {
		p := r.d.Plan() // as it is by now
		return p != nil && !slices.ContainsFunc(o.places, func(at casefile.Place) bool {
			row, _ := p.Row(change, at)
			return row.Answer != a
		})
	}
	var keys, texts []string
	for _, a := range o.permitted {
		keys, texts = append(keys, string(a)), append(texts, r.t("page.answer."+string(a)))
	}
	return r.oneOf("answer-"+change+"-"+o.row, label, name, keys, texts,
		func(i int) bool { return all(o.permitted[i]) },
		func(i int) {
			set := o.permitted[i]
			if all(set) {
				set = casefile.Blank
			}
			r.d.Chair().SetAnswer(change, o.places, set)
		})
}

// lowered names the answers of an earlier file that count for less now.
func (r *Root) lowered(p *plan.Plan) app.UI {
	var names []string
	for _, l := range p.Lowered {
		if name := r.t("change." + l.Key + ".name"); !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	return app.If(len(names) > 0, func() app.UI {
		return el("p").ID("lowered").Class("hint").Text(r.t("page.chair.lowered", "List", dots(names)))
	})
}

package page

import (
	"fmt"
	"slices"
	"strings"

	"github.com/maxence-charriere/go-app/v10/pkg/app"

	"plainleaf/app/fault"
	"plainleaf/app/page/model"
	"plainleaf/app/plan"
	"plainleaf/app/sheet"
	"plainleaf/app/veneer"
)

// draft is what is being typed and has not been added yet.
type draft struct {
	question  string
	changed   string // what has changed since the last visit
	unsaid    bool   // that was to be kept, and nothing is written
	step      string // chair change that happened
	teeth     []veneer.Tooth
	toothless bool   // the step was to be added, and no tooth is chosen
	size      string // of it in mm, as typed
	note      string
}

var stages = []veneer.Stage{veneer.Deciding, veneer.Agreed, veneer.AtTryIn, veneer.Delivered}

// visitView is for every visit after the first: what has changed, the try-in,
// what really happened, and the sheets that come out of it.
func (r *Root) visitView() []app.UI {
	p := r.m.Plan()
	if p == nil {
		return r.unplanned()
	}
	var list []option
	for _, s := range stages {
		list = append(list, option{string(s), r.t("page.stage." + string(s))})
	}
	return []app.UI{
		app.If(r.m.Withdrawn() != nil, func() app.UI {
			day, _ := moment(r.lang(), r.m.Withdrawn().At)
			return el("p").ID("withdrawn").Class("notice").Text(r.t("page.visit.withdrawn", "Date", day))
		}),
		part("stage-part", r.t("page.stage.part"),
			r.pick("stage", r.t("page.stage.title"), string(r.m.Stage()), list, r.m.FaultsAt("stage"),
				func(v string) { r.m.SetStage(veneer.Stage(v)) }),
			say("p", "hint", r.t("page.visit.sheets")),
			box("div", "chips",
				r.sheetButton("to-tryin", sheet.TryIn, veneer.AtTryIn),
				r.sheetButton("to-change", sheet.Change, ""),
				r.sheetButton("to-aftercare", sheet.Aftercare, veneer.Delivered),
			),
		),
		r.againPart(),
		r.sittingsPart(p),
		r.departuresPart(p),
		r.statesPart(),
	}
}

// sheetButton goes to a sheet made from what is noted; at the stage that asks for
// it, it stands out.
func (r *Root) sheetButton(id string, kind sheet.Kind, asks veneer.Stage) app.UI {
	class := "second"
	if r.m.Stage() == asks {
		class = ""
	}
	return r.button(id, class, r.t("page.visit.to", "Kind", r.t("page.kind."+string(kind))), func() {
		r.m.SetPrint(func(p *model.Print) { p.Kind = kind })
		r.ctx.Navigate(r.link("sheets"))
	})
}

// againPart confirms the consent again. The answer is kept with the questions.
func (r *Root) againPart() app.UI {
	// The handlers ask anew, since the language or the list may have changed.
	kept := func() int {
		asked := r.t("page.again.asked", "Date", r.date(today()))
		return slices.IndexFunc(r.m.Case.Questions, func(q veneer.Question) bool { return q.Asked == asked })
	}
	keep := func(answer string) {
		r.m.AddQuestion(r.t("page.again.asked", "Date", r.date(today())), answer)
		r.draft.changed, r.draft.unsaid = "", false
		r.notice = r.t("page.again.kept")
	}
	i := kept()
	var blank fault.List
	if r.draft.unsaid {
		blank.Append(fault.New("PAGE-CHANGED-BLANK", "again", "nothing is written about what has changed"))
	}
	return part("again", r.t("page.again.title"),
		say("p", "", r.t("page.again.about")),
		app.If(i >= 0, func() app.UI {
			return el("div").ID("again-said").Class("notice").Body(
				say("p", "", r.m.Case.Questions[i].Answer),
				r.button("again-undo", "quiet", r.t("page.again.undo"), func() { r.m.RemoveQuestion(kept()) }))
		}),
		app.IfSlice(i < 0, func() []app.UI {
			return []app.UI{
				r.area("again-note", r.t("page.again.note"), r.t("page.again.hint"), r.draft.changed, blank,
					func(v string) { r.draft.changed, r.draft.unsaid = v, false }),
				box("div", "chips",
					r.button("again-same", "", r.t("page.again.same"), func() { keep(r.t("page.again.same-said")) }),
					r.button("again-changed", "second", r.t("page.again.changed"), func() {
						if strings.TrimSpace(r.draft.changed) == "" {
							r.draft.unsaid, r.focus = true, "again-note"
							return
						}
						keep(strings.TrimSpace(r.draft.changed))
					}),
				),
			}
		}),
	)
}

var (
	seen      = []string{"shade", "shape", "length"}
	tryInKeys = []string{"approved", "change"}
)

func tryInField(t *veneer.TryIn, key string) *string {
	switch key {
	case "shade":
		return &t.Shade
	case "shape":
		return &t.Shape
	}
	return &t.Length
}

// sittingsPart takes the patient's yes for each delivery sitting, with what was
// answered beforehand beside it.
func (r *Root) sittingsPart(p *plan.Plan) app.UI {
	list := r.m.Sittings()
	return part("tryin", r.t("page.tryin.title"),
		say("p", "firm", r.t("sheet.tryin.intro")),
		box("ul", "plain looks",
			say("li", "", r.t("sheet.tryin.dry")), say("li", "", r.t("sheet.tryin.cement")), say("li", "", r.t("sheet.tryin.mirror"))),
		r.faults("tryin-fault", r.m.FaultsAt("tryin")),
		each(len(list), func(i int) app.UI { return r.sitting(p, list[i], len(list)) }),
	)
}

func (r *Root) sitting(p *plan.Plan, s model.Sitting, of int) app.UI {
	t := r.m.TryIn(s.Number)
	id := fmt.Sprintf("sitting-%d", s.Number)
	name := r.n("sheet.tryin.sitting", s.Number)
	return el("section").ID(id).Class("sitting").Aria("labelledby", id+"-head").Body(
		el("h3").ID(id+"-head").Text(name),
		say("p", "hint", r.n("page.numbers.teeth", len(s.Teeth), "Teeth", r.teeth(s.Teeth))),
		app.If(!t.Date.IsZero(), func() app.UI { return say("p", "hint", r.date(t.Date)) }),
		box("div", "answers", each(len(seen), func(i int) app.UI {
			key := seen[i]
			said := func() string { t := r.m.TryIn(s.Number); return *tryInField(&t, key) }
			return r.oneOf(id+"-"+key, r.t("sheet.tryin."+key), name+": "+r.t("sheet.tryin."+key), tryInKeys,
				[]string{r.t("page.tryin.approved"), r.t("page.tryin.change")},
				func(i int) bool { return said() == tryInKeys[i] },
				func(i int) {
					set := tryInKeys[i]
					if said() == set {
						set = ""
					}
					r.m.EditTryIn(s.Number, func(t *veneer.TryIn) { *tryInField(t, key) = set })
				})
		})),
		r.entry(id+"-note", "text", r.t("sheet.tryin.notes"), "", t.Note, nil,
			func(v string) { r.m.EditTryIn(s.Number, func(t *veneer.TryIn) { t.Note = v }) }),
		r.drawer(id+"-answers", "drawer", true, say("summary", "", r.t("page.tryin.beforehand")), func() []app.UI {
			answers := r.beforehand(p, s.Teeth)
			return []app.UI{
				app.If(len(answers) == 0, func() app.UI { return say("p", "", r.t("page.tryin.no-answers")) }),
				box("dl", "pairs", answers...),
			}
		}),
	)
}

// beforehand lists what was answered about some teeth: no first, then ask, then
// agree with its limit.
func (r *Root) beforehand(p *plan.Plan, teeth []veneer.Tooth) []app.UI {
	var out []app.UI
	list := together(p.ChairChanges)
	for _, want := range []veneer.Answer{veneer.No, veneer.Ask, veneer.Agree} {
		for _, c := range list {
			if c.TellOnly {
				continue
			}
			var mine []veneer.Tooth
			for _, t := range c.Teeth {
				if slices.Contains(teeth, t) && r.m.Answer(c.Key, t) == want {
					mine = append(mine, t)
				}
			}
			if len(mine) == 0 {
				continue
			}
			text := r.withTeeth(r.t("page.answer."+string(want)), mine)
			var more []app.UI
			if want == veneer.Agree {
				more = append(more, say("p", "hint", r.limit(c)))
			}
			out = append(out, fact(r.t("change."+c.Key+".name"), text, more...))
		}
	}
	return out
}

// departuresPart notes what happened otherwise than planned, against the answers.
func (r *Root) departuresPart(p *plan.Plan) app.UI {
	steps := together(p.ChairChanges)
	options := []option{{"", r.t("page.fees.choose")}}
	var teeth []veneer.Tooth
	var chosen plan.ChairChange
	for _, c := range steps {
		options = append(options, option{c.Key, r.t("change." + c.Key + ".name")})
		if c.Key == r.draft.step {
			chosen, teeth = c, c.Teeth
		}
	}
	list := r.m.Case.Departures
	size, ok := model.ParseMM(r.draft.size)
	var sizeFaults fault.List
	if !ok {
		sizeFaults.Append(fault.New("PAGE-SIZE", "size", "%q is not a size in mm", r.draft.size).With("Text", r.draft.size))
	}
	var toothless fault.List
	if r.draft.toothless {
		toothless.Append(fault.New("PAGE-TEETH", "teeth", "no tooth is chosen"))
	}
	return part("departures", r.t("page.departures.title"),
		say("p", "hint", r.t("page.departures.about")),
		r.faults("departures-fault", r.m.FaultsAt("departures")),
		box("ul", "plain rows", each(len(list), func(i int) app.UI {
			d := list[i]
			id := fmt.Sprintf("departure-%d", i)
			name, teeth := r.t("change."+d.Change+".name"), r.m.Case.Meant(d.Teeth)
			done := name
			if len(teeth) > 0 {
				done = r.n("sheet.aftercare.done-change", len(teeth), "Text", name, "Teeth", r.teeth(teeth))
			}
			return el("li").DataSet("change", d.Change).Body(
				say("strong", "", done),
				app.If(d.SizeMM > 0, func() app.UI { return say("p", "", r.t("sheet.aftercare.done-size", "Number", r.number(d.SizeMM, 2))) }),
				app.If(d.Note != "", func() app.UI { return say("p", "", d.Note) }),
				r.against(id, d.Change, teeth, d.SizeMM),
				r.button(id+"-out", "quiet", r.t("page.departures.out"), func() { r.m.RemoveDeparture(i) }).
					Aria("label", r.t("page.departures.out-of", "Text", name)),
			)
		})),
		r.choice("departure-step", r.t("page.departures.step"), r.draft.step, options, nil, func(v string) {
			r.draft.step, r.draft.teeth, r.draft.size, r.draft.toothless = v, nil, "", false
		}),
		app.IfSlice(len(teeth) > 0, func() []app.UI {
			return []app.UI{
				pickOf("departure-teeth", len(toothless) > 0).Body(
					say("legend", "", r.t("page.departures.teeth")),
					box("div", "chips", each(len(teeth), func(i int) app.UI {
						t := teeth[i]
						return r.tick("departure-tooth-"+t.String(), r.label(t), slices.Contains(r.draft.teeth, t), func() {
							if j := slices.Index(r.draft.teeth, t); j >= 0 {
								r.draft.teeth = slices.Delete(slices.Clone(r.draft.teeth), j, j+1)
							} else {
								r.draft.teeth = append(slices.Clone(r.draft.teeth), t)
							}
							r.draft.toothless = false
						})
					})),
					r.faults("departure-teeth-fault", toothless)),
				say("p", "firm", r.limit(chosen)),
				r.entry("departure-size", "text", r.t("page.departures.size"), r.sizeHint(p, r.draft.step), r.draft.size, sizeFaults,
					func(v string) { r.draft.size = v }),
				r.against("departure-draft", r.draft.step, r.draft.teeth, size),
				r.entry("departure-note", "text", r.t("page.departures.note"), "", r.draft.note, nil,
					func(v string) { r.draft.note = v }),
				r.button("departure-add", "second", r.t("page.departures.add"), func() {
					mm, ok := model.ParseMM(r.draft.size)
					switch {
					case len(r.draft.teeth) == 0:
						r.draft.toothless = true
						r.focus = "departure-tooth-" + teeth[0].String()
						return
					case !ok:
						r.focus = "departure-size"
						return
					}
					r.m.AddDeparture(r.draft.step, r.draft.teeth, mm, strings.TrimSpace(r.draft.note))
					r.draft.step, r.draft.teeth, r.draft.size, r.draft.note = "", nil, "", ""
					r.focus = "departure-step"
				}),
			}
		}),
	)
}

// pickOf is a group of chips with its fault, if any, for who hears the screen.
func pickOf(id string, fault bool) app.HTMLElem {
	f := el("fieldset").Class("pick")
	if fault {
		f = f.Aria("describedby", id+"-fault")
	}
	return f
}

// sizeHint names the limit of a step that has one.
func (r *Root) sizeHint(p *plan.Plan, step string) string {
	limit, ok := p.Limit(step)
	if !ok {
		return ""
	}
	return r.t("page.departures.size-hint", "Number", r.number(limit, 2))
}

// against warns where a step does not go with what was answered beforehand, or
// goes further than was agreed.
func (r *Root) against(id, change string, teeth []veneer.Tooth, mm float64) app.UI {
	if len(teeth) == 0 {
		return none()
	}
	_, ask, no := r.m.Against(change, teeth)
	c := r.m.Base.Change(change)
	if c != nil && c.TellOnly {
		return none()
	}
	var lines []string
	if len(no) > 0 {
		lines = append(lines, r.t("page.departures.no", "Teeth", r.teeth(no)))
	}
	if len(ask) > 0 {
		lines = append(lines, r.t("page.departures.ask", "Teeth", r.teeth(ask)))
	}
	if limit, over := r.m.Beyond(change, mm); over {
		lines = append(lines, r.t("page.departures.over", "Number", r.number(limit, 2)))
	}
	if c != nil && c.AlwaysAsk {
		lines = append(lines, r.t("sheet.change.always-ask"))
	}
	if c != nil && c.NewConsent {
		lines = append(lines, r.t("sheet.change.new-consent"))
	}
	if len(lines) == 0 {
		return none()
	}
	return el("ul").ID(id + "-warning").Class("faults warning").Body(
		each(len(lines), func(i int) app.UI { return say("li", "", lines[i]) }))
}

var toothStates = []string{"untouched", "shaped", "bonded"}

// statesPart notes how far each tooth has been changed.
func (r *Root) statesPart() app.UI {
	teeth := r.m.Teeth()
	if len(teeth) == 0 {
		return none()
	}
	return part("states", r.t("page.states.title"),
		say("p", "hint", r.t("page.states.about")),
		r.faults("states-fault", r.m.FaultsAt("tooth_state")),
		box("div", "answers",
			app.If(len(teeth) > 1, func() app.UI { return r.stateRow("all", r.t("page.chair.all"), teeth) }),
			each(len(teeth), func(i int) app.UI {
				return r.stateRow(teeth[i].String(), r.label(teeth[i]), teeth[i:i+1])
			}),
		),
	)
}

func (r *Root) stateRow(row, label string, teeth []veneer.Tooth) app.UI {
	name := label
	if len(teeth) == 1 {
		name = r.toothName(teeth[0])
	}
	return r.oneOf("state-"+row, label, name, toothStates, r.stateTexts(),
		func(i int) bool {
			return !slices.ContainsFunc(teeth, func(t veneer.Tooth) bool { return r.m.ToothState(t) != toothStates[i] })
		},
		func(i int) { r.m.SetToothState(teeth, toothStates[i]) })
}

func (r *Root) stateTexts() []string {
	var out []string
	for _, s := range toothStates {
		out = append(out, r.t("page.state."+s))
	}
	return out
}

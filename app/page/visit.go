package page

import (
	"fmt"
	"slices"
	"strings"

	"github.com/maxence-charriere/go-app/v10/pkg/app"

	"plainleaf/app/casefile"
	"plainleaf/app/fault"
	"plainleaf/app/plan"
	"plainleaf/app/screens/state"
	"plainleaf/app/sheet"
	"plainleaf/i18n"
)

// draft is what is being typed and has not been added yet.
type draft struct {
	question  string
	changed   string // what has changed since the last visit
	unsaid    bool   // that was to be kept, and nothing is written
	step      string // chair change that happened, or was asked about
	at        []casefile.Place
	toothless bool   // the step was to be added, and no tooth is chosen
	unasked   bool   // the answer was to be noted, and none is chosen
	size      string // of it in mm, as typed
	fee       string // in the practice's currency, as typed
	note      string
	said      casefile.Answer // to the question before it
	how       string
}

var stages = []casefile.Stage{casefile.Deciding, casefile.Agreed, casefile.AtTryIn, casefile.Delivered}

// visitView is for every visit after the first: what has changed, the try-in,
// what really happened, and the sheets that come out of it.
func (r *Root) visitView() []app.UI {
	p := r.d.Plan()
	if p == nil {
		return r.unplanned()
	}
	var list []option
	for _, s := range stages {
		list = append(list, option{string(s), r.t("page.stage." + string(s))})
	}
	return []app.UI{
		app.If(r.signed.Withdrawn() != nil, func() app.UI {
			day, _ := moment(r.lang(), r.signed.Withdrawn().At)
			return el("p").ID("withdrawn").Class("notice").Text(r.t("page.visit.withdrawn", "Date", day))
		}),
		part("stage-part", r.t("page.stage.part"),
			r.pick("stage", r.t("page.stage.title"), string(r.d.Stage()), list, r.d.FaultsAt("stage"),
				func(v string) { r.d.SetStage(casefile.Stage(v)) }),
			say("p", "hint", r.t("page.visit.sheets")),
			box("div", "chips",
				r.sheetButton("to-tryin", sheet.TryIn, casefile.AtTryIn),
				r.sheetButton("to-change", sheet.Change, ""),
				r.sheetButton("to-aftercare", sheet.Aftercare, casefile.Delivered),
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
func (r *Root) sheetButton(id string, kind sheet.Kind, asks casefile.Stage) app.UI {
	class := "second"
	if r.d.Stage() == asks {
		class = ""
	}
	return r.button(id, class, r.t("page.visit.to", "Kind", r.t("page.kind."+string(kind))), func() {
		r.d.Paper().SetPrint(func(p *state.Print) { p.Kind = kind })
		r.ctx.Navigate(r.link("sheets"))
	})
}

// againPart confirms the consent again. The answer is kept with the questions.
func (r *Root) againPart() app.UI {
	// The handlers ask anew, since the language or the list may have changed.
	kept := func() int {
		asked := r.t("page.again.asked", "Date", r.date(today()))
		return slices.IndexFunc(r.d.Case().Questions, func(q casefile.Question) bool { return q.Asked == asked })
	}
	keep := func(answer string) {
		r.d.Patient().AddQuestion(r.t("page.again.asked", "Date", r.date(today())), answer)
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
				say("p", "", r.d.Case().Questions[i].Answer),
				r.button("again-undo", "quiet", r.t("page.again.undo"), func() { r.d.Patient().RemoveQuestion(kept()) }))
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

func tryInField(t *casefile.TryIn, key string) *string {
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
	list := r.d.Chair().Sittings()
	return part("tryin", r.t("page.tryin.title"),
		say("p", "firm", r.t("sheet.tryin.intro")),
		box("ul", "plain looks",
			say("li", "", r.t("sheet.tryin.dry")), say("li", "", r.t("sheet.tryin.cement")), say("li", "", r.t("sheet.tryin.mirror"))),
		each(len(list), func(i int) app.UI { return r.sitting(p, list[i], len(list)) }),
	)
}

func (r *Root) sitting(p *plan.Plan, s state.Sitting, of int) app.UI {
	t := r.d.Chair().TryIn(s.Number)
	id := fmt.Sprintf("sitting-%d", s.Number)
	name := r.n("sheet.tryin.sitting", s.Number)
	return el("section").ID(id).Class("sitting").Aria("labelledby", id+"-head").Body(
		el("h3").ID(id+"-head").Text(name),
		say("p", "hint", r.n("page.numbers.teeth", len(s.Teeth), "Teeth", r.teeth(s.Teeth))),
		app.If(!t.Date.IsZero(), func() app.UI { return say("p", "hint", r.date(t.Date)) }),
		box("div", "answers", each(len(seen), func(i int) app.UI {
			key := seen[i]
			said := func() string { t := r.d.Chair().TryIn(s.Number); return *tryInField(&t, key) }
			return r.oneOf(id+"-"+key, r.t("sheet.tryin."+key), name+": "+r.t("sheet.tryin."+key), tryInKeys,
				[]string{r.t("page.tryin.approved"), r.t("page.tryin.change")},
				func(i int) bool { return said() == tryInKeys[i] },
				func(i int) {
					set := tryInKeys[i]
					if said() == set {
						set = ""
					}
					r.d.Chair().EditTryIn(s.Number, func(t *casefile.TryIn) { *tryInField(t, key) = set })
				})
		})),
		r.gluing(id, name, s.Teeth),
		r.entry(id+"-note", "text", r.t("sheet.tryin.notes"), "", t.Note, nil,
			func(v string) { r.d.Chair().EditTryIn(s.Number, func(t *casefile.TryIn) { t.Note = v }) }),
		r.drawer(id+"-answers", "drawer", true, say("summary", "", r.t("page.tryin.beforehand")), func() []app.UI {
			answers := r.beforehand(p, s.Teeth)
			return []app.UI{
				app.If(len(answers) == 0, func() app.UI { return say("p", "", r.t("page.tryin.no-answers")) }),
				box("dl", "pairs", answers...),
			}
		}),
	)
}

// gluing takes the patient's yes or no before some teeth are glued.
func (r *Root) gluing(id, name string, teeth []casefile.Tooth) app.UI {
	return r.oneOf(id+"-glue", r.t("page.glue.title"), name+": "+r.t("page.glue.title"), []string{"yes", "no"},
		[]string{r.t("page.answer.agree"), r.t("page.answer.no")},
		func(i int) bool { return r.d.Chair().GluingSaid(teeth) == chairAnswers[i] },
		func(i int) {
			set := chairAnswers[i]
			if r.d.Chair().GluingSaid(teeth) == set {
				set = casefile.Blank
			}
			r.d.Chair().SayGluing(teeth, set)
		})
}

// beforehand lists what was answered about some teeth: no first, then ask, then
// agree with its limit.
func (r *Root) beforehand(p *plan.Plan, teeth []casefile.Tooth) []app.UI {
	var out []app.UI
	list := together(p.ChairChanges)
	counts := r.d.Chair().Counts()
	for _, want := range []casefile.Answer{casefile.No, casefile.Ask, casefile.Agree} {
		for _, c := range list {
			if c.TellOnly {
				continue
			}
			var mine []casefile.Place
			for _, p := range c.At() {
				near := slices.ContainsFunc(p.Teeth(), func(t casefile.Tooth) bool { return slices.Contains(teeth, t) })
				if near && counts.Standing(c.Key, p).Answer == want {
					mine = append(mine, p)
				}
			}
			if len(mine) == 0 {
				continue
			}
			text := r.withPlaces(r.t("page.answer."+string(want)), mine)
			var more []app.UI
			if want == casefile.Agree {
				more = append(more, say("p", "hint", r.limit(c)))
			}
			out = append(out, fact(r.t("change."+c.Key+".name"), text, more...))
		}
	}
	return out
}

// departuresPart notes what was asked and done otherwise than planned, against the
// answers.
func (r *Root) departuresPart(p *plan.Plan) app.UI {
	steps := together(p.ChairChanges)
	options := []option{{"", r.t("page.fees.choose")}}
	var chosen *plan.ChairChange
	for i, c := range steps {
		options = append(options, option{c.Key, r.t("change." + c.Key + ".name")})
		if c.Key == r.draft.step {
			chosen = &steps[i]
		}
	}
	list := r.d.Chair().DoneSteps()
	return part("departures", r.t("page.departures.title"),
		say("p", "hint", r.t("page.departures.about")),
		r.faults("departures-fault", r.d.FaultsAt("events")),
		box("ul", "plain rows", each(len(list), func(i int) app.UI { return r.notedStep(i, list[i]) })),
		r.choice("departure-step", r.t("page.departures.step"), r.draft.step, options, nil, func(v string) {
			r.draft = draft{question: r.draft.question, changed: r.draft.changed, step: v}
		}),
		app.IfSlice(chosen != nil, func() []app.UI { return r.stepForm(p, *chosen) }),
	)
}

// notedStep tells what is noted of a step: that it was done, asked, answered or
// reopened.
func (r *Root) notedStep(i int, e state.Noted) app.UI {
	id := fmt.Sprintf("departure-%d", i)
	places := r.d.Case().PlacesOf(e.Event, r.d.Words().OfContacts(e.Change))
	name := r.t("change." + e.Change + ".name")
	said := r.withPlaces(name, places)
	switch e.Kind {
	case casefile.Asked:
		said = r.t("page.departures.noted-asked", "Text", said)
	case casefile.Answered:
		said = r.t("page.departures.noted-answered", "Text", said, "Kind", r.t("answer.said."+string(e.Answer)))
	case casefile.Reopened:
		said = r.t("page.departures.noted-reopened", "Text", said)
	}
	var more []string
	if e.How != "" {
		more = append(more, r.t(howWords[e.How]))
	}
	if e.Fee != nil {
		more = append(more, r.money(e.Fee.Minor, e.Fee.Currency))
	}
	if e.SizeMM > 0 {
		more = append(more, r.t("page.departures.size-mm", "Number", r.number(e.SizeMM, 2)))
	}
	return el("li").DataSet("change", e.Change).Body(
		say("strong", "", said),
		app.If(len(more) > 0, func() app.UI { return say("p", "hint", dots(more)) }),
		app.If(e.Note != "", func() app.UI { return say("p", "", e.Note) }),
		app.If(e.Kind == casefile.DoneStep, func() app.UI { return r.against(id, e.Change, places, e.SizeMM) }),
		r.button(id+"-out", "quiet", r.t("page.departures.out"), func() {
			if list := r.d.Chair().DoneSteps(); i < len(list) { // the numbers change with each that is taken out
				r.d.Chair().TakeBack(list[i].Number)
			}
		}).
			Aria("label", r.t("page.departures.out-of", "Text", name)),
	)
}

// stepForm takes one step: where, how much, what the patient was asked and said, and
// whether it was done.
func (r *Root) stepForm(p *plan.Plan, c plan.ChairChange) []app.UI {
	places := casefile.SortPlaces(c.At())
	size, ok := state.ParseMM(r.draft.size)
	var sizeFaults, toothless fault.List
	if !ok {
		sizeFaults.Append(fault.New("PAGE-SIZE", "size", "%q is not a size in mm", r.draft.size).With("Text", r.draft.size))
	}
	if r.draft.toothless {
		toothless.Append(fault.New("PAGE-TEETH", "teeth", "no tooth is chosen"))
	}
	_, _, no := r.d.Chair().Against(c.Key, r.draft.at)
	where := "page.departures.teeth"
	if len(c.Contacts) > 0 {
		where = "page.departures.between"
	}
	return []app.UI{
		pickOf("departure-teeth", len(toothless) > 0).Body(
			say("legend", "", r.t(where)),
			box("div", "chips", each(len(places), func(i int) app.UI {
				at := places[i]
				return r.tick("departure-tooth-"+at.String(), r.placeLabel(at), slices.Contains(r.draft.at, at), func() {
					if j := slices.Index(r.draft.at, at); j >= 0 {
						r.draft.at = slices.Delete(slices.Clone(r.draft.at), j, j+1)
					} else {
						r.draft.at = append(slices.Clone(r.draft.at), at)
					}
					r.draft.toothless = false
				})
			})),
			r.faults("departure-teeth-fault", toothless)),
		say("p", "firm", r.limit(c)),
		r.entry("departure-size", "text", r.t("page.departures.size"), r.sizeHint(p, r.draft.step), r.draft.size, sizeFaults,
			func(v string) { r.draft.size = v }),
		r.against("departure-draft", r.draft.step, r.draft.at, size),
		r.entry("departure-note", "text", r.t("page.departures.note"), "", r.draft.note, nil,
			func(v string) { r.draft.note = v }),
		app.If(len(no) > 0, func() app.UI {
			return r.button("departure-reopen", "quiet", r.t("page.departures.reopen"), func() {
				_, _, no := r.d.Chair().Against(r.draft.step, r.draft.at) // of what is chosen by now
				if !r.d.Chair().Reopen(r.draft.step, no) {
					r.notice = r.t("page.departures.reopen-later")
				}
			})
		}),
		app.If(!c.TellOnly && len(no) == 0, r.questionForm),
		box("div", "chips",
			app.If(!c.TellOnly && len(no) == 0, func() app.UI {
				return r.button("departure-answer", "second", r.t("page.departures.answer"), func() { r.noteStep(false) })
			}),
			r.button("departure-add", "second", r.t("page.departures.add"), func() { r.noteStep(true) })),
	}
}

var (
	chairAnswers = []casefile.Answer{casefile.Agree, casefile.No}
	saidHow      = []string{"spoken", "signal", "written", "signed"}
	howWords     = map[string]string{"spoken": "page.how.spoken", "signal": "page.how.signal", "written": "page.how.written", "signed": "page.how.signed"}
)

// questionForm takes what the patient said when asked, and how.
func (r *Root) questionForm() app.UI {
	decimals, _ := i18n.MinorUnits(r.office.File().Currency)
	var said, how []option
	for _, a := range chairAnswers {
		said = append(said, option{string(a), r.t("page.answer." + string(a))})
	}
	for _, h := range saidHow {
		how = append(how, option{h, r.t(howWords[h])})
	}
	var blank, fee fault.List
	if r.draft.unasked {
		blank.Append(fault.New("PAGE-SAID", "said", "nothing is noted of what the patient said"))
	}
	if _, ok := state.ParseSum(r.draft.fee, decimals); !ok {
		fee.Append(fault.New("PAGE-FEE", "fee", "%q is not a sum", r.draft.fee).With("Text", r.draft.fee))
	}
	return el("div").ID("departure-question").Body(
		r.pick("departure-said", r.t("page.departures.said"), string(r.draft.said), said, blank,
			func(v string) { r.draft.said, r.draft.unasked = casefile.Answer(v), false }),
		r.pick("departure-how", r.t("page.departures.how"), r.draft.how, how, nil, func(v string) { r.draft.how = v }),
		app.If(r.office.File().Currency != "", func() app.UI {
			return r.entry("departure-fee", "text", r.t("page.departures.fee", "Code", r.office.File().Currency), r.t("page.departures.fee-hint"), r.draft.fee, fee,
				func(v string) { r.draft.fee = v })
		}))
}

// noteStep notes the step in the form: what was asked and said, and with done that it
// was done.
func (r *Root) noteStep(done bool) {
	mm, sized := state.ParseMM(r.draft.size)
	decimals, _ := i18n.MinorUnits(r.office.File().Currency)
	sum, priced := state.ParseSum(r.draft.fee, decimals)
	switch {
	case len(r.draft.at) == 0:
		r.draft.toothless = true
		for _, c := range together(r.d.Plan().ChairChanges) {
			if c.Key == r.draft.step {
				r.focus = "departure-tooth-" + casefile.SortPlaces(c.At())[0].String()
			}
		}
		return
	case !sized:
		r.focus = "departure-size"
		return
	case !priced:
		r.focus = "departure-fee"
		return
	case !done && r.draft.said == casefile.Blank:
		r.draft.unasked = true
		r.focus = "departure-said-agree"
		return
	}
	note := strings.TrimSpace(r.draft.note)
	if r.draft.said != casefile.Blank {
		q := state.Question{Change: r.draft.step, Places: r.draft.at, SizeMM: mm, Why: note, Answer: r.draft.said, By: r.d.Patient().People().Decides, How: r.draft.how}
		if strings.TrimSpace(r.draft.fee) != "" {
			q.Fee = &casefile.Price{Minor: sum, Currency: r.office.File().Currency}
		}
		r.d.Chair().Ask(q)
		note = ""
	}
	if done && r.draft.said != casefile.No {
		r.d.Chair().AddDone(r.draft.step, r.draft.at, mm, note)
	}
	r.draft = draft{question: r.draft.question, changed: r.draft.changed}
	r.focus = "departure-step"
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

// against warns where a step does not go with the answer in force, or goes further
// than was agreed.
func (r *Root) against(id, change string, places []casefile.Place, mm float64) app.UI {
	c := r.d.Base().Change(change)
	if len(places) == 0 || c != nil && c.Told() {
		return none()
	}
	_, ask, no := r.d.Chair().Against(change, places)
	var lines []string
	if len(no) > 0 {
		lines = append(lines, r.t("page.departures.no", "Teeth", r.places(no)))
	}
	if len(ask) > 0 {
		lines = append(lines, r.t("page.departures.ask", "Teeth", r.places(ask)))
	}
	if limit, over := r.d.Chair().Beyond(change, mm); over {
		lines = append(lines, r.t("page.departures.over", "Number", r.number(limit, 2)))
	}
	if c != nil && c.AlwaysAsked() {
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
	teeth := r.d.Mouth().Teeth()
	if len(teeth) == 0 {
		return none()
	}
	return part("states", r.t("page.states.title"),
		say("p", "hint", r.t("page.states.about")),
		box("div", "answers",
			app.If(len(teeth) > 1, func() app.UI { return r.stateRow("all", r.t("page.chair.all"), teeth) }),
			each(len(teeth), func(i int) app.UI {
				return r.stateRow(teeth[i].String(), r.label(teeth[i]), teeth[i:i+1])
			}),
		),
	)
}

func (r *Root) stateRow(row, label string, teeth []casefile.Tooth) app.UI {
	name := label
	if len(teeth) == 1 {
		name = r.toothName(teeth[0])
	}
	return r.oneOf("state-"+row, label, name, toothStates, r.stateTexts(),
		func(i int) bool {
			return !slices.ContainsFunc(teeth, func(t casefile.Tooth) bool { return r.d.Chair().ToothState(t) != toothStates[i] })
		},
		func(i int) { r.d.Chair().SetToothState(teeth, toothStates[i]) })
}

func (r *Root) stateTexts() []string {
	var out []string
	for _, s := range toothStates {
		out = append(out, r.t("page.state."+s))
	}
	return out
}

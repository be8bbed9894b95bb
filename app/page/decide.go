package page

import (
	"slices"

	"github.com/maxence-charriere/go-app/v10/pkg/app"

	"plainleaf/app/casefile"
	"plainleaf/app/fault"
	"plainleaf/app/screens/decide"
	"plainleaf/app/screens/parts"
	"plainleaf/app/screens/state"
)

// step is what the steps Options, How long and Visits are drawn from.
func (r *Root) step() decide.Step {
	return decide.Step{
		Words: decide.Words{
			T: r.t, N: r.n, Measured: r.measured, Message: r.message, Number: r.number, Reach: r.reach, Money: r.money, Date: r.date, Teeth: r.teeth,
			List: r.list, Shade: r.shadeName, Fee: r.feeName,
			Clock: func(t casefile.Time) string { s, _ := r.lang().Clock(t.Split()); return s },
		},
		Case: r.d.Case(), Base: r.d.Base(), Plan: r.d.Plan(),
		Shown:   func(id string) bool { return r.shown[id] },
		Fold:    func(id string) { r.did(func() { r.shown[id] = !r.shown[id] }) },
		Sources: func(figure string) string { return r.link("evidence") + "#figure-" + figure },
	}
}

// did is what a handler of the steps does: what it changed is drawn and kept.
func (r *Root) did(f func()) { r.touch(f)(r.ctx) }

// waiting says why there is no plan, or what in the case the plan does not follow; nil
// where nothing is wrong.
func (r *Root) waiting() []app.UI {
	faults := r.d.Faults()
	if len(faults) == 0 {
		return nil
	}
	m := parts.Message{ID: "unsettled", What: r.t("page.unsettled.text"), Weight: parts.Good}
	if r.d.Plan() == nil {
		m.ID, m.What = "unplanned", r.t("page.unplanned.text")
	}
	var said []string
	for _, f := range faults {
		if text := r.faultText(f); !slices.Contains(said, text) {
			said = append(said, text)
		}
	}
	m.More = follow(said...)
	return []app.UI{m.UI(), parts.Anchor(m.ID+"-link", r.link(""), r.t("page.unplanned.link"))}
}

// enterStep draws a step with what is wrong above it and what the last edit changed.
func (r *Root) enterStep(title string, body []app.UI) app.UI {
	e := parts.Enter{Title: r.t(title), Hidden: true, Body: append(r.waiting(), body...)}
	if len(r.updated) > 0 {
		e.Over = parts.Message{ID: "updated", What: follow(r.updated...), Weight: parts.Passing,
			Ways: []parts.Button{{ID: "updated-close", Text: r.t("page.trouble.close"), Do: r.touch(func() { r.updated, r.focus = nil, "head" })}}}.UI()
	}
	return r.enter(e)
}

func (r *Root) optionsSide() app.UI {
	w := r.d.Way()
	o := decide.Options{
		Step:   r.step(),
		Offer:  func(x casefile.Route, on bool) { r.did(func() { w.SetOffered(x, on) }) },
		WhyNot: func(x casefile.Route, s string) { r.did(func() { w.SetWhyNot(x, state.OneParagraph(s)) }) },
		Follow: func(x casefile.Route) {
			r.did(func() {
				if x != r.d.Case().Route {
					w.SetRoute(x)
				}
				r.focus = "take-" + string(x) // its line may move
			})
		},
		Advised: w.Advised(), Reason: w.Advice(),
		Advise:  func(x casefile.Route) { r.did(func() { w.Advise(x) }) },
		Because: func(s string) { r.did(func() { w.SetAdvice(state.OneParagraph(s)) }) },
		Thens:   w.Thens(), Then: func(x casefile.Route) { r.did(func() { w.SetThen(x) }) },
		Material: func(m casefile.Material) {
			r.did(func() { w.SetMaterial(m); r.focus = "take-" + string(r.d.Case().Route) }) // the choice goes away
		},
		Care:     func(k string, a casefile.Answer) { r.did(func() { r.d.Consent().DecideCare(k, a) }) },
		GoOn:     func(k, s string) { r.did(func() { w.SetReason(k, state.OneParagraph(s)) }) },
		GoesOn:   w.Reason,
		Currency: r.office.File().Currency,
	}
	if w.MaterialOpen() {
		o.Materials = w.Materials()
	}
	return r.enterStep("shell.title.routes", o.Body())
}

func (r *Root) lastsSide() app.UI {
	if r.d.Plan() == nil {
		return r.enterStep("shell.title.numbers", nil)
	}
	l := decide.Lasts{Step: r.step(), Detail: func(s string) { r.did(func() { r.d.Patient().SetDetail(s) }) }}
	return r.enterStep("shell.title.numbers", l.Body())
}

func (r *Root) visitsSide() app.UI {
	vs := r.d.Visits()
	s := decide.Visits{
		Step: r.step(), List: vs.List(), Today: r.d.Today(),
		StartTyped: r.d.Case().Start.String(),
		Start:      func(text string) { r.did(func() { r.d.SetDate("start", text) }) },
		Open:       r.open,
		Pick: func(id string) {
			r.did(func() {
				if r.open == id {
					id = ""
				}
				r.open = id
			})
		},
		Typed: r.d.Typed, Wrong: func(path string) string { return r.wrong(r.d.FaultsAt(path)) },
		Agree: func(v state.Visit) {
			r.did(func() { vs.Agree(v.Key, v.Number, v.Likely); r.focus = decide.ID(v) + "-date" })
		},
		Disagree: func(v state.Visit) { r.did(func() { vs.Disagree(v.Key, v.Number); r.focus = decide.ID(v) + "-set" }) },
		SetDate:  func(v state.Visit, s string) { r.did(func() { vs.SetDate(v.Key, v.Number, s) }) },
		SetTime:  func(v state.Visit, s string) { r.did(func() { vs.SetTime(v.Key, v.Number, s) }) },
	}
	return r.enterStep("shell.title.visits", s.Body())
}

// wrong says what is wrong with a field in one text; "" where it is well.
func (r *Root) wrong(list fault.List) string {
	var said []string
	for _, f := range list {
		said = append(said, r.faultText(f))
	}
	return follow(said...)
}

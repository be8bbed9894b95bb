package page

import (
	"fmt"

	"github.com/maxence-charriere/go-app/v10/pkg/app"

	"plainleaf/app/plan"
	"plainleaf/app/screens/state"
	"plainleaf/app/sheet"
)

// understandingView is where the patient says the plan back and asks. Nothing here is
// counted.
func (r *Root) understandingView() []app.UI {
	body := []app.UI{say("p", "lead", r.t("sheet.teach.intro"))}
	p := r.d.Plan()
	if p == nil {
		body = append(body, r.unplanned()...)
	} else {
		body = append(body, r.prompts(p))
	}
	body = append(body, r.questionsPart())
	if p != nil {
		body = append(body, r.thinking(p))
	}
	return body
}

// prompt is an open question with this case's own points to listen for.
type prompt struct {
	id     string   // of its words
	points []string // ids of messages
}

// promptsOf draws the prompts from this case's risks, steps and limits.
func promptsOf(p *plan.Plan) []prompt {
	var risks, firm, limits, care []string
	for _, k := range p.Risks {
		if k.Raised {
			risks = append(risks, "risk."+k.Key+".name")
		}
	}
	if len(risks) == 0 {
		for _, k := range p.Risks[:min(3, len(p.Risks))] {
			risks = append(risks, "risk."+k.Key+".name")
		}
	}
	for _, x := range p.Routes {
		if x.Chosen {
			firm = append(firm, "undo."+x.Reversible)
		}
	}
	for _, c := range together(p.ChairChanges) {
		if c.TalkFirst && !c.TellOnly {
			limits = append(limits, sheet.WhatHappens(c).ID)
		}
	}
	for _, a := range p.Appliances {
		care = append(care, "appliance."+a+".name")
	}
	out := []prompt{
		{"sheet.teach.what", nil}, {"page.teach.gain", nil}, {"sheet.teach.undo", firm},
		{"sheet.teach.risk", risks}, {"sheet.teach.others", nil},
	}
	if len(together(p.ChairChanges)) > 0 {
		out = append(out, prompt{"sheet.teach.changes", limits})
	}
	return append(out, prompt{"page.teach.care", care}, prompt{"page.teach.call", nil})
}

// topics lists every prompt and point of a plan by message id.
func topics(p *plan.Plan) []string {
	var out []string
	for _, q := range promptsOf(p) {
		out = append(append(out, q.id), q.points...)
	}
	return out
}

func (r *Root) prompts(p *plan.Plan) app.UI {
	list := promptsOf(p)
	mine := map[string]bool{}
	for _, id := range topics(p) {
		mine[r.topicText(id)] = true
	}
	var others []string
	for _, t := range r.d.Case().TeachBacks() {
		if !mine[t.Topic] {
			others = append(others, t.Topic)
		}
	}
	return part("teach", r.t("page.teach.title"),
		say("p", "hint", r.t("page.teach.about")),
		box("ol", "plain rows prompts", each(len(list), func(i int) app.UI {
			q := list[i]
			return el("li").DataSet("prompt", q.id).Body(
				say("h3", "", r.t(q.id)),
				r.topic(q.id, r.t(q.id), func() string { return r.topicText(q.id) }),
				app.If(len(q.points) > 0, func() app.UI {
					return box("div", "points",
						say("p", "hint", r.t("page.teach.listen")),
						box("ul", "plain", each(len(q.points), func(j int) app.UI {
							id := q.points[j]
							said := pointText(r.words, id)
							return box("li", "", say("span", "", said), r.topic(id, said, func() string { return r.topicText(id) }))
						})))
				}),
			)
		})),
		app.If(len(others) > 0, func() app.UI {
			return box("div", "",
				say("h3", "", r.t("page.teach.others")),
				box("ul", "plain", each(len(others), func(i int) app.UI {
					return box("li", "", say("span", "", others[i]),
						r.topic(fmt.Sprintf("own-%d", i), others[i], func() string { return others[i] }))
				})))
		}),
	)
}

var topicKeys = []string{"said", "again"}

// topic is how one point stands: said back, explained again, with what was
// explained. Neither means not asked. text is asked anew at each step, since the
// language may have changed by then.
func (r *Root) topic(key, name string, text func() string) app.UI {
	t := r.d.Patient().Topic(text())
	id := "topic-" + state.ID(key)
	edit := func(f func(*state.Topic)) {
		now := r.d.Patient().Topic(text())
		f(&now)
		r.d.Patient().SetTopic(text(), now)
	}
	return el("div").Class("topic").Role("group").Aria("label", name).Body(
		r.keys(id, "chips", topicKeys, []string{r.t("page.teach.said"), r.t("page.teach.again")},
			func(i int) bool {
				if now := r.d.Patient().Topic(text()); i == 0 {
					return now.Said
				} else {
					return now.Again
				}
			},
			func(i int) {
				edit(func(t *state.Topic) {
					if i == 0 {
						t.Said = !t.Said
					} else {
						t.Again = !t.Again
					}
				})
			}),
		app.If(t.Again, func() app.UI {
			return r.entry(id+"-note", "text", r.t("page.teach.note"), "", t.Note, nil, func(v string) {
				edit(func(t *state.Topic) { t.Note, t.Again = v, true })
			})
		}),
	)
}

func (r *Root) questionsPart() app.UI {
	list := r.d.Case().Questions
	return part("questions", r.t("page.questions.title"),
		say("p", "hint", r.t("page.questions.about")),
		box("ul", "plain rows", each(len(list), func(i int) app.UI {
			id := fmt.Sprintf("question-%d", i)
			return box("li", "",
				say("strong", "", list[i].Asked),
				r.area(id, r.t("page.questions.answer"), "", list[i].Answer, r.d.FaultsAt(fmt.Sprintf("questions[%d]", i)),
					func(v string) { r.d.Patient().SetAnswerTo(i, v) }),
				r.button(id+"-out", "quiet", r.t("page.questions.out"), func() {
					r.draft.question = r.d.Patient().RemoveQuestion(i)
					r.focus = "question-new"
				}).Aria("label", r.t("page.questions.out-of", "Text", list[i].Asked)),
			)
		})),
		r.area("question-new", r.t("page.questions.new"), r.t("page.questions.hint"), r.draft.question, nil,
			func(v string) { r.draft.question = v }),
		r.button("question-add", "second", r.t("page.questions.add"), func() {
			if r.d.Patient().AddQuestion(r.draft.question, "") {
				r.draft.question = ""
				r.focus = fmt.Sprintf("question-%d", len(r.d.Case().Questions)-1)
			} else {
				r.focus = "question-new"
			}
		}),
	)
}

// thinking gives the dates of thinking time.
func (r *Root) thinking(p *plan.Plan) app.UI {
	return part("thinking", r.t("sheet.think.title"),
		say("p", "", r.t("sheet.think.given", "Date", r.date(p.Deciding.Given))),
		say("p", "firm", r.message(sheet.Earliest(*p))),
		say("p", "", r.t("sheet.think.free")),
		r.sourcesLink(p.Deciding.Figures),
	)
}

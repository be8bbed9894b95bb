package lives

import (
	"slices"
	"strings"
	"testing"

	"plainleaf/app/casefile"
	"plainleaf/app/plan"
	"plainleaf/app/printout"
	"plainleaf/app/produce"
	"plainleaf/app/sheet"
)

// said is the English text of one sheet of a case.
func (w *world) said(t *testing.T, c casefile.Case, kind sheet.Kind) string {
	t.Helper()
	if faults := c.Check(w.words); len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	docs, _, faults := produce.Docs(w.input(c, w.practice, kind))
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	text, err := printout.Text(docs, printout.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return strings.Join(strings.Fields(string(text)), " ")
}

// What was false once, each in the smallest case that showed it: what a sheet has to
// say, and, after a "-", what it must not.
func TestWhatWasFalse(t *testing.T) {
	w := open(t)
	day := func(n int) casefile.Date { return casefile.Date{Year: 2026, Month: 12, Day: n} }
	eleven, twentyOne := []casefile.Tooth{11}, []casefile.Tooth{21}
	const contour, contacts = "facial-contouring", "opening-contacts"
	const wasNo, unasked = "Your answer to this beforehand was no.", "You were to be asked first"
	start := func(a casefile.Answer, events ...casefile.Event) casefile.Case {
		c := casefile.Case{Version: casefile.CaseVersion, Issued: day(20), Start: day(1), Route: casefile.NoPrep, Material: casefile.LithiumDisilicate, Stage: casefile.AtTryIn,
			Teeth:   []casefile.ToothEntry{{Tooth: 11}, {Tooth: 21}},
			Answers: []casefile.AnswerEntry{{Change: contour, Teeth: eleven, Answer: a}}}
		agreed := c.Agree(casefile.SignedPaper, "ONE", "", "consent", day(1), nil, w.words.OfContacts)
		c.Agreed = &agreed
		c.Events = append([]casefile.Event{{Kind: casefile.SignedSheet, On: day(1), Sheet: "consent", Code: "ONE"}}, events...)
		return c
	}
	changed := func(c casefile.Case, n int, a casefile.Answer, events ...casefile.Event) casefile.Case {
		before := *c.Agreed
		c.AgreedBefore = []casefile.Agreement{before}
		c.Answers = []casefile.AnswerEntry{{Change: contour, Teeth: eleven, Answer: a}}
		agreed := c.Agree(casefile.SignedPaper, "TWO", "", "consent", day(n), nil, w.words.OfContacts)
		c.Agreed = &agreed
		c.Note(casefile.Event{Kind: casefile.SignedSheet, On: day(n), Sheet: "consent", Code: "TWO"})
		c.Events = append(c.Events, events...)
		return c
	}
	event := func(kind casefile.EventKind, n int, teeth []casefile.Tooth, a casefile.Answer, mm float64) casefile.Event {
		e := casefile.Event{Kind: kind, On: day(n), Change: contour, Teeth: teeth, Answer: a, SizeMM: mm}
		if kind != casefile.DoneStep {
			e.By = "patient"
		}
		return e
	}
	done := func(n int, mm float64) casefile.Event {
		return event(casefile.DoneStep, n, eleven, "", mm)
	}
	for name, x := range map[string]struct {
		c    casefile.Case
		kind sheet.Kind
		want []string
	}{
		"a no stays told after another answer was signed":      {changed(start(casefile.No, done(2, 0.1)), 3, casefile.Agree), sheet.Aftercare, []string{wasNo}},
		"a no that was signed later is not told of before":     {changed(start(casefile.Agree, done(2, 0.1)), 3, casefile.No), sheet.Aftercare, []string{"-" + wasNo, "-" + unasked}},
		"a yes that was asked for before a no was signed":      {changed(start(casefile.Ask, event(casefile.Asked, 2, eleven, "", 0.1), event(casefile.Answered, 2, eleven, casefile.Agree, 0)), 3, casefile.No), sheet.TryIn, []string{"No: Smoothing the front of a tooth: 11"}},
		"a withdrawal takes the yes back":                      {start(casefile.Agree, casefile.Event{Kind: casefile.WithdrawnYes, On: day(2)}, done(3, 0.1)), sheet.Aftercare, []string{unasked}},
		"a new question leaves the yes to the old one":         {start(casefile.Ask, event(casefile.Asked, 2, eleven, "", 0.1), event(casefile.Answered, 2, eleven, casefile.Agree, 0), event(casefile.Asked, 2, eleven, "", 0.3)), sheet.Change, []string{"at most 0.3 mm", "-: yes."}},
		"more than was asked for":                              {start(casefile.Ask, event(casefile.Asked, 2, eleven, "", 0.1), event(casefile.Answered, 2, eleven, casefile.Agree, 0), done(2, 0.2)), sheet.Aftercare, []string{"and said yes.", "over the set limit, 0.1 mm"}},
		"a yes on one of two teeth":                            {start(casefile.Agree), sheet.TryIn, []string{"Yes, go ahead: Smoothing the front of a tooth: 11"}},
		"a tooth opposite needs no cover":                      {start(casefile.Ask, casefile.Event{Kind: casefile.DoneStep, On: day(2), Change: "bite-adjustment-opposing", Teeth: eleven}), sheet.Change, []string{"Stop here, though some tooth was taken off for good.", "-Stop altogether", "-They need a cover"}},
		"something is permanent":                               {start(casefile.Ask, casefile.Event{Kind: casefile.DoneStep, On: day(2), Step: casefile.StepGlued, Teeth: eleven}), sheet.TryIn, []string{"-Nothing is glued yet", "Before the rest is glued", "You can say no to one tooth"}},
		"nobody signs for what is glued":                       {start(casefile.Ask, casefile.Event{Kind: casefile.DoneStep, On: day(2), Step: casefile.StepGlued}), sheet.TryIn, []string{"-You can say no to one tooth", "-Nothing is glued yet", "-Patient: name, signature", "The veneer is glued on."}},
		"a no about a contact by the name of its tooth":        {start(casefile.Ask, casefile.Event{Kind: casefile.Answered, On: day(2), Change: contacts, Teeth: twentyOne, Answer: casefile.No, By: "patient"}), sheet.TryIn, []string{"No: Opening a tight spot: 11–21 and 21–22"}},
		"an answer that was struck for one tooth holds for it": {start(casefile.Ask, event(casefile.Answered, 2, []casefile.Tooth{11, 21}, casefile.No, 0), casefile.Event{Kind: casefile.Struck, Of: 2, Teeth: twentyOne}), sheet.TryIn, []string{"No: Smoothing the front of a tooth: 11"}},
	} {
		text := w.said(t, x.c, x.kind)
		for _, s := range x.want {
			if not, ok := strings.CutPrefix(s, "-"); ok == strings.Contains(text, not) {
				t.Errorf("%s: %q\n%s", name, s, text)
			}
		}
	}
	c := start(casefile.Ask, casefile.Event{Kind: casefile.Answered, On: day(2), Step: casefile.StepGlued, Answer: casefile.Agree, By: "patient"}, casefile.Event{Kind: casefile.DoneStep, On: day(2), Step: casefile.StepGlued},
		casefile.Event{Kind: casefile.DoneStep, On: day(3), Step: casefile.StepRemoved, Teeth: eleven})
	if c.GluingAgreed(11) || !c.GluingAgreed(21) {
		t.Error("the yes to gluing outlives the veneer that came off")
	}
	// A stage alone does not end the time to think.
	c.Agreed, c.Events, c.Issued = nil, nil, day(1)
	pl, _ := plan.For(c, w.practice, w.base)
	if !slices.ContainsFunc(pl.HeldFor("consent", day(2)), func(o plan.Open) bool { return o.What == plan.OpenThinking }) {
		t.Error("the stage ends the time to think")
	}
}

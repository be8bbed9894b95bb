package sheet

import (
	"slices"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
	"plainleaf/app/plan"
)

// wait explains what has to be settled first and what happens next. What comes first is
// treatment too: it has risks, a price, alternatives and a yes or no of its own, on a
// page of its own.
func (x *composer) wait() {
	x.add(Block{Kind: Paragraph, Style: Kicker, Text: M("sheet.common.date", "Date", Day{x.c.Issued, false})})
	public, cares := x.publicWaits(), x.firstCares()
	x.waitLead(len(public), len(cares))
	x.chartOf(x.c.ToothList())
	told := map[string]bool{}
	x.toldCare, x.toldRisk, x.follows = map[string]bool{}, map[string]bool{}, map[string]bool{}
	for _, w := range public {
		var own []plan.First
		for _, f := range cares {
			if slices.Contains(f.Findings, w.Key) && !told[f.Key] {
				told[f.Key] = true
				own = append(own, f)
			}
		}
		x.reason(w, own)
	}
	for _, f := range cares { // nothing asks for it but the plan itself
		if !told[f.Key] {
			x.careAlone(f)
		}
	}
	x.whatNext()
	x.add(Block{Kind: Facts, Style: Tight, Items: []Item{{Label: M("sheet.wait.questions"), Blank: 3}}})
	x.lines(1)
	x.callUs()
	if len(x.sources) > 0 {
		x.add(x.citations())
	}
	x.careAnswers(cares)
}

// publicWaits are the reasons to wait that may be on paper. The private ones are
// one line that is on every such sheet, whether there are any or not.
func (x *composer) publicWaits() (out []plan.WaitFor) {
	for _, w := range x.pl.WaitFor {
		if w.Private {
			continue
		}
		x.s.Must.Waits = append(x.s.Must.Waits, w.Key)
		out = append(out, w)
	}
	return out
}

// firstCares is what comes first and is not settled.
func (x *composer) firstCares() []plan.First {
	return slices.DeleteFunc(slices.Clone(x.pl.First), func(f plan.First) bool { return f.Settled })
}

func (x *composer) waitLead(reasons, cares int) {
	lead := M("sheet.wait.nothing")
	if len(x.pl.WaitFor)+cares > 0 {
		lead = N("sheet.wait.lead", max(1, reasons))
	} else {
		x.s.Title = M("sheet.wait.title-nothing")
	}
	x.add(Block{Kind: Paragraph, Style: Lead, Text: lead})
}

// reason tells one thing to settle: why, what is done about it, and what the patient
// can do.
func (x *composer) reason(w plan.WaitFor, cares []plan.First) {
	x.add(Block{Kind: Heading, Level: 2, Keep: true, Text: onTeeth(M("finding."+w.Key+".name"), w.Teeth), Ref: Ref{Wait: w.Key, Teeth: w.Teeth}})
	why := Item{Text: M("waitfor." + w.Key), Ref: Ref{Wait: w.Key, Teeth: w.Teeth}}
	if w.Reason != "" {
		why.More = append(why.More, M("sheet.wait.reason", "Text", Verbatim(w.Reason)))
	}
	var rows []Item
	for _, f := range cares {
		rows = append(rows, x.care(f)...)
	}
	if w.Wait.Known() && w.Wait.Likely > 0 { // else it is seen to at the first talk
		rows = append(rows, Item{Label: M("sheet.wait.how-long"), Text: howLong(w.Wait), Ref: x.ref(w.Figures)})
	}
	part := Item{Label: M("sheet.wait.you-do"), Text: M("waitfor." + w.Key + ".you-do")}
	switch {
	case len(rows) == 0: // a label says no more than the sentence
		why.More = append(why.More, part.Text)
		x.flow(why)
	case len(rows) < fewRows && !slices.ContainsFunc(rows, func(it Item) bool { return it.Text.IsZero() }):
		x.add(Block{Kind: List, Style: InLine, Items: append(append([]Item{why}, rows...), part)})
	default:
		x.flow(why)
		x.add(Block{Kind: Facts, Style: Tight, Items: append(rows, part)})
	}
}

// fewRows is how many rows a table has at least, beside what the patient can do: fewer
// are read as one paragraph.
const fewRows = 3

// careAlone tells care that no reason to wait asks for, such as whitening beforehand.
func (x *composer) careAlone(f plan.First) {
	x.add(Block{Kind: Heading, Level: 2, Keep: true, Text: x.careName(f), Ref: Ref{Teeth: f.Teeth}})
	b := Block{Kind: Facts, Style: Tight, Items: x.care(f)}
	b.Items[0].Label = M("sheet.care.what") // its name is the heading
	if f.Whitens {
		b.Items = append(b.Items, Item{Label: M("sheet.wait.you-do"), Text: M("sheet.care.whiten-you-do")})
	}
	x.add(b)
}

const (
	fewCares   = 1 // as many are named in the order of what happens
	weekDays   = 7
	monthDays  = 30
	weeksFrom  = 14 // shorter spans are in days: two weeks are the least that a person counts in weeks
	monthsFrom = 70 // and longer ones in months; the unit says how to read a span, not how long it is
)

// howLong is how long a wait usually is, in the unit that a person counts it in.
func howLong(e plan.Estimate) Text {
	unit, days := "days", 1.0
	switch {
	case e.Low >= monthsFrom:
		unit, days = "months", monthDays
	case e.Low >= weeksFrom:
		unit, days = "weeks", weekDays
	}
	round := func(v float64) float64 { return max(1, float64(int(v/days+0.5))) }
	return NRange("sheet.wait.takes-"+unit, Range{round(e.Low), round(e.High), 0})
}

// whatNext is the order in which things happen, with the month of each where there is
// one. Where nobody can say when what comes first is settled, nothing after it has one.
func (x *composer) whatNext() {
	x.add(Block{Kind: Heading, Level: 2, Text: M("sheet.wait.next"), Keep: true})
	if b := x.timeline(); len(b.Items) > 0 {
		x.add(b)
	} else {
		x.para(M("sheet.schedule.none"), Ref{})
	}
	stay := Block{Kind: List, Style: Fine, Items: []Item{{Text: x.dateMoves()}, {Text: M("sheet.wait.choices-stay")}}}
	goesOn := func(w plan.WaitFor) bool { return w.Reason != "" }
	if len(x.pl.WaitFor) > 0 && !slices.ContainsFunc(x.pl.WaitFor, goesOn) {
		stay.Items[1].Text = M("sheet.wait.nothing-else")
	}
	if stay.Items[0].Text.IsZero() {
		stay.Items = stay.Items[1:]
	}
	x.add(stay)
	x.add(Block{Kind: Paragraph, Style: Note, Text: M("wait.perhaps-talk"), Ref: Ref{Wait: plan.TalkAgain}})
	if slices.ContainsFunc(x.pl.WaitFor, func(w plan.WaitFor) bool { return w.Private }) {
		x.s.Must.Waits = append(x.s.Must.Waits, plan.TalkAgain)
	}
}

// dateMoves says what may become of the months of the order; nothing where it has none.
func (x *composer) dateMoves() Text {
	switch {
	case x.pl.OnHold || len(x.pl.Visits) == 0:
		return Text{}
	case len(x.pl.WaitFor) > 0:
		return M("sheet.wait.dates")
	}
	return M("sheet.wait.dates-plan")
}

// timeline is what comes first, then each kind of visit once, up to the gluing.
func (x *composer) timeline() Block {
	b := Block{Kind: Schedule, Style: Timeline}
	var cares []Text
	var from casefile.Date
	undated := false
	label := func(v plan.Visit) Text {
		switch {
		case v.Agreed:
			return agreedDay(v, false)
		case !v.Likely.IsZero():
			return M("sheet.wait.month", "Date", Month{v.Likely})
		case undated:
			return M("sheet.wait.then")
		}
		undated = true
		return M("sheet.wait.when-settled")
	}
	first := func() {
		if len(cares) > 0 {
			it := Item{Label: M("sheet.wait.from-month", "Date", Month{from}), Text: cares[0], More: cares[1:]}
			if from.IsZero() {
				it.Label = M("sheet.care.answer-what")
			}
			if len(cares) > fewCares {
				it.Text, it.More = M("sheet.wait.cares"), nil
			}
			b.Items = append(b.Items, it)
		}
		cares = nil
	}
	seen := map[string]bool{}
	for _, v := range x.pl.Visits {
		purposes := x.purposes(v)
		for _, p := range purposes {
			if x.isFirst(p) && !seen[p] && !v.Done {
				seen[p] = true
				if len(cares) == 0 {
					from = v.Likely
				}
				cares = append(cares, x.visitName(p))
			}
		}
		if !milestone(v) || seen[v.Purpose] {
			continue
		}
		first()
		seen[v.Purpose] = true
		if v.Done {
			continue
		}
		if slices.Contains(purposes, signature) {
			b.Items = append(b.Items, Item{Label: M("sheet.wait.then"), Text: M("sheet.wait.think")}, x.signing())
		}
		if v.Purpose != signature {
			b.Items = append(b.Items, Item{Label: label(v), Text: x.stepName(v.Purpose)})
		}
		if v.Bonding {
			break
		}
	}
	first()
	return b
}

// stepName names a step of the order. The trial smile is explained, since nobody has seen
// one yet.
func (x *composer) stepName(purpose string) Text {
	if purpose == evidence.TrialSmile {
		return M("sheet.wait.trial-smile")
	}
	return x.visitName(purpose)
}

// signing is the step between the days to think and what is made after them.
func (x *composer) signing() Item {
	it := Item{Label: M("sheet.wait.sign"), Text: M("sheet.wait.sign-treat")}
	shaped := slices.ContainsFunc(x.pl.Visits, func(v plan.Visit) bool { return v.Purpose == "preparation" })
	if x.made() && !shaped {
		it.Text = M("sheet.wait.sign-made")
	}
	return it
}

// purposes is all that is done at a visit.
func (x *composer) purposes(v plan.Visit) []string {
	out := []string{v.Purpose}
	for _, p := range v.With {
		out = append(out, p.Purpose)
	}
	return out
}

// isFirst reports whether a visit is for care that comes first and not a later look at
// it.
func (x *composer) isFirst(purpose string) bool {
	return x.b.Care(purpose) != nil
}

// milestone reports whether a visit is one of those that the order of treatment is given
// by.
func milestone(v plan.Visit) bool {
	return v.Bonding || slices.Contains([]string{evidence.TrialSmile, signature, "preparation", "veneer-removal", "whitening-session",
		"tray-fitting", "straightening-assessment", "composite-placement", "delivery"}, v.Purpose)
}

// callUs says when not to wait, and whom to call.
func (x *composer) callUs() {
	x.whole()
	x.add(Block{Kind: List, Style: InLine, Items: []Item{{Label: M("sheet.wait.call-today"), Text: M("sheet.wait.call-today-if")},
		{Label: M("sheet.wait.call-emergency", "Emergency", Phone(x.emergencyNumber())), Text: M("sheet.wait.call-emergency-if")}}})
	numbers := slices.DeleteFunc(x.phones(), func(it Item) bool { return it.Label.ID == "sheet.phones.emergency" })
	x.add(Block{Kind: Phones, Keep: true, Items: numbers}) // the line before it says when to call, and the number for danger
	x.add(Block{Kind: PageBreak, Style: After})
}

// onTeeth names something with its teeth, where it is of some.
func onTeeth(name Text, teeth []casefile.Tooth) Text {
	if len(teeth) == 0 {
		return name
	}
	return N("sheet.wait.on", len(teeth), "Text", Word{name}, "Teeth", Teeth(teeth))
}

// chartOf shows teeth beside the title; nothing where the mouth as a whole is meant.
func (x *composer) chartOf(teeth []casefile.Tooth) {
	if len(teeth) == 0 {
		return
	}
	b := chart(teeth)
	b.Items = []Item{{Text: M("sheet.common.as-seen")}}
	x.add(b)
}

func chart(teeth []casefile.Tooth) Block {
	return Block{Kind: Chart, Text: M("sheet.common.chart", "Teeth", Teeth(teeth)), Ref: Ref{Teeth: teeth}, Keep: true}
}

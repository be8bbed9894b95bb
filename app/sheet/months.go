package sheet

import (
	"math"
	"slices"

	"plainleaf/app/casefile"
	"plainleaf/app/plan"
)

// visitMonths says how much the visits come to, and lists them by month, those with a
// fixed day by themselves.
func (x *composer) visitMonths() {
	x.add(Block{Kind: Heading, Level: 2, Style: Beside, Text: M("sheet.schedule.title"), Keep: true})
	if len(x.pl.Visits) == 0 {
		x.para(M("sheet.schedule.none"), Ref{})
		x.questions()
		return
	}
	said := x.visitSum()
	switch {
	case x.pl.OnHold:
		said = append(said, M("sheet.schedule.hold"))
	case len(x.pl.WaitFor) > 0:
		said = append(said, M("sheet.consent.moves"))
	}
	x.add(Block{Kind: List, Style: Fine, Items: []Item{{Text: said[0], More: append(said[1:], M(x.dateNote()))}}})
	b := Block{Kind: Schedule}
	for i := 0; i < len(x.pl.Visits); {
		v := x.pl.Visits[i]
		n := i + 1
		fixed := func(v plan.Visit) bool { return v.Agreed || v.Done }
		if !fixed(v) && (i > 0 || !v.Likely.Exists()) {
			for n < len(x.pl.Visits) && !fixed(x.pl.Visits[n]) && sameMonth(v.Likely, x.pl.Visits[n].Likely) {
				n++
			}
		}
		it := x.monthOf(x.pl.Visits[i:n])
		switch {
		case v.Agreed:
			it.Label, it.More = agreedDay(v, false), agreedNotes(v)
		case n == i+1 && (v.Done || i == 0) && v.Likely.Exists():
			it.Label = M("sheet.schedule.on", "Date", Day{v.Likely, false})
		}
		b.Items = append(b.Items, it)
		i = n
	}
	x.add(b)
	x.questions()
}

func sameMonth(a, b casefile.Date) bool { return a.Year == b.Year && a.Month == b.Month }

// signature is the purpose of the visit at which the consent is signed.
const signature = "signature"

// monthOf is one row: the visits of a month, those for the same thing as one, and what is
// done at them besides.
func (x *composer) monthOf(list []plan.Visit) Item {
	it := Item{Label: M("sheet.schedule.undated")}
	if list[0].Likely.Exists() {
		it.Label = M("sheet.schedule.on", "Date", Month{list[0].Likely})
	}
	var names Words
	said := map[string]bool{} // purposes
	add := func(purpose string, name Text) {
		if !said[purpose] {
			said[purpose], names = true, append(names, name)
		}
	}
	for i, v := range list {
		it.Ref.Figures = union(it.Ref.Figures, v.Figures)
		if slices.ContainsFunc(list[:i], func(o plan.Visit) bool { return o.Purpose == v.Purpose }) {
			continue
		}
		n, optional := 0, false
		for _, o := range list[i:] {
			if o.Purpose == v.Purpose {
				n, optional = n+1, optional || o.Optional
			}
		}
		if v.Purpose != signature && v.KeyOf(signature) != "" { // before anything else that day is done
			add(signature, x.visitName(signature))
		}
		name := x.visitName(v.Purpose)
		switch {
		case optional:
			name = N("sheet.consent.visit-up-to", n, "Text", Word{name})
		case n > 1:
			name = N("sheet.consent.visit-times", n, "Text", Word{name})
		}
		add(v.Purpose, name)
	}
	for _, v := range list {
		for _, p := range v.With {
			add(p.Purpose, x.visitName(p.Purpose))
		}
	}
	it.Text = M("sheet.consent.visit-list", "List", names)
	return it
}

// visitSum is how many visits there are, how long they take, and when the last may be.
func (x *composer) visitSum() []Text {
	minutes := 0.0
	for _, v := range x.pl.Visits {
		if v.Minutes.Known() {
			minutes += v.Minutes.Likely
		}
	}
	hours := max(1, int(math.Round(minutes/60)))
	out := []Text{N("sheet.consent.visits-total", len(x.pl.Visits), "Text", Word{N("sheet.consent.hours", hours)})}
	switch last := x.pl.Visits[len(x.pl.Visits)-1]; {
	case !last.Likely.Exists() || x.pl.OnHold:
	case sameMonth(last.Likely, last.Latest):
		out = append(out, M("sheet.consent.visits-last-sure", "Date", Month{last.Likely}))
	default:
		out = append(out, M("sheet.consent.visits-last", "Date", Month{last.Likely}, "To", Month{last.Latest}))
	}
	return out
}

// questions are those asked, with their answers, and room for more.
func (x *composer) questions() {
	b := Block{Kind: List, Style: Fine, Text: M("sheet.consent.questions")}
	for _, q := range x.c.Questions {
		it := Item{Label: Typed(q.Asked), Text: Typed(q.Answer)}
		if q.Answer == "" {
			it.Text = M("sheet.consent.not-answered-yet")
		}
		b.Items = append(b.Items, it)
	}
	b.Items = append(b.Items, Item{Text: M("sheet.consent.questions-more"), Blank: 2})
	x.add(b)
}

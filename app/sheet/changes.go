package sheet

import (
	"cmp"
	"slices"
	"strings"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
	"plainleaf/app/order"
	"plainleaf/app/plan"
)

// answered is a chair change with its answers by teeth: the plan has one entry
// for each different answer and for where it is likely, a sheet one row for each change.
type answered struct {
	plan.ChairChange
	teeth   []casefile.Tooth
	places  []casefile.Place // of a change of contacts
	figures []string
	answers []plan.ChairChange
}

// contactsOf lists the contacts of a row, none where it is about teeth.
func contactsOf(ch plan.ChairChange) []casefile.Place {
	if len(ch.Contacts) == 0 {
		return nil
	}
	return ch.At()
}

func (x *composer) answered() []answered {
	var out []answered
	for _, ch := range x.pl.ChairChanges {
		i := slices.IndexFunc(out, func(a answered) bool { return a.Key == ch.Key })
		if i < 0 {
			i = len(out)
			out = append(out, answered{ChairChange: ch})
		} else {
			out[i].ChairChange = out[i].Together(ch)
		}
		out[i].teeth = append(out[i].teeth, ch.Teeth...)
		out[i].places = append(out[i].places, contactsOf(ch)...)
		out[i].figures = append(out[i].figures, ch.Figures...)
		out[i].answers = append(out[i].answers, ch)
	}
	for i := range out {
		out[i].teeth = casefile.SortTeeth(out[i].teeth)
		out[i].places = casefile.SortPlaces(out[i].places)
		slices.Sort(out[i].figures)
		out[i].figures = slices.Compact(out[i].figures)
	}
	return out
}

func (x *composer) changeRef(a answered) Ref {
	return Ref{Change: a.Key, Teeth: a.teeth, Figures: a.figures}
}

// chairChanges is the heart: each change a row of what may come up, how far we go, what
// a no means, and the patient's answer. What cannot be undone comes first, then what
// changes only the veneer; steps that need no answer share one line.
func (x *composer) chairChanges() {
	if len(x.pl.ChairChanges) == 0 {
		return
	}
	ts := x.c.ToothList()
	apart := len(ts) > 2 // else they go with the first page
	if apart {
		x.add(Block{Kind: PageBreak})
	}
	x.h2("sheet.change.title")
	if apart {
		b := chart(ts)
		b.Style = Again
		x.add(b)
	}
	rules := []Item{{Text: M("sheet.change.agree-means")}, {Text: M("sheet.change.blank-means")}, {Text: M("sheet.change.no-means")},
		{Text: M("sheet.change.rules")}, {Text: M("sheet.change.stop")}, {Text: M("sheet.change.unasked")}}
	if x.alsoMeant() {
		rules = append(rules, Item{Text: M("sheet.change.also-meant")})
	}
	x.add(Block{Kind: List, Style: TwoColumns, Items: rules})
	rows := map[string][]answered{}
	habit := false // some words for how often are a habit of the trade
	for _, a := range x.answered() {
		x.s.Must.Changes = append(x.s.Must.Changes, a.Key)
		habit = habit || !a.TellOnly && !a.Likelihood.Known()
		rows[a.Group] = append(rows[a.Group], a)
	}
	table := Block{Kind: Choices, Columns: []Text{M("sheet.change.col-what"), M("sheet.change.col-limit"), M("sheet.change.col-where")}}
	for _, group := range []string{evidence.GroupTooth, evidence.GroupVeneer} {
		if len(rows[group]) > 0 {
			band := Item{Label: M("sheet.change.group-" + group), Text: M("sheet.change.group-" + group + "-note")}
			table.Items = append(append(table.Items, band), x.changeRows(rows[group])...)
		}
	}
	if len(table.Items) > 0 {
		x.add(table)
	}
	if told := rows[evidence.GroupTell]; len(told) > 0 {
		x.add(Block{Kind: List, Style: Fine, Text: M("sheet.change.tell-only"), Items: x.changeRows(told)})
	}
	var notes []Text
	if habit {
		notes = append(notes, M("sheet.change.any-time"))
	}
	if slices.ContainsFunc(x.pl.ChairChanges, func(ch plan.ChairChange) bool { return ch.HighMM != nil && *ch.HighMM > 0 }) {
		notes = append(notes, M("sheet.common.paper", "Number", Decimal{paper, 1}))
	}
	if len(notes) > 0 {
		x.add(Block{Kind: List, Style: Fine, Items: []Item{{Text: notes[0], More: notes[1:]}}})
	}
}

// changeRow is the row of one change; of one that needs no answer, its name, or what
// happens where that may leave something behind.
func (x *composer) changeRow(a answered) Item {
	k := "change." + a.Key
	switch {
	case a.TellOnly && a.Reversible == "yes":
		return Item{Text: M(k + ".name"), Ref: x.changeRef(a)}
	case a.TellOnly:
		return Item{Text: M(k + ".what"), Ref: x.changeRef(a)}
	}
	for _, ch := range a.answers {
		for _, p := range ch.At() {
			x.s.Must.Offered = append(x.s.Must.Offered, Boxes{a.Key, p, ch.Permitted})
		}
	}
	it := Item{Label: M(k + ".when"), Text: HowOften(x.b, a.ChairChange), Choices: x.changeAnswers(a), Ref: x.changeRef(a)}
	it.Cells = []Cell{{Texts: changeLimit(a)}, {Texts: []Text{M(k + ".if-no")}}}
	return it
}

// changeLimit leads with what one can see; millimeters come second. That more than
// the size is asked first is said once for all, and that only the veneer is trimmed over
// its group.
func changeLimit(a answered) []Text {
	var out []Text
	if a.NewConsent {
		out = append(out, M("sheet.change.paper"))
	}
	if a.Removes == "porcelain" {
		return append(out, M(a.AskAnyway.Words))
	}
	return append(append(append(out, M(a.AskAnyway.Words)), changeSize(a)...), joinedLimits(a.PlaceLimits)...)
}

// changeSize tells how much a change takes or adds at most.
func changeSize(a answered) (out []Text) {
	if a.HighMM != nil && *a.HighMM > 0 {
		id := "sheet.change.up-to"
		switch {
		case a.Removes == "nothing":
			id = "sheet.change.adds"
		case a.PerSurface:
			id = "sheet.change.up-to-side"
		}
		out = append(out, M(id, "Number", Decimal{*a.HighMM, 2}))
	}
	if over := a.AskAnyway.OverMM; over != nil && (a.HighMM == nil || *over != *a.HighMM) {
		out = append(out, M("sheet.change.ask-over", "Number", Decimal{*over, 2}))
	}
	return out
}

// changeAnswers are the boxes of a step with the answer that was given: for what cannot
// be undone and may be agreed to at each place by itself until it is answered, else at all
// places that take the same answers and have the same one.
func (x *composer) changeAnswers(a answered) []Choice {
	var out []Choice
	for _, ch := range a.answers {
		if ch.Reversible != "yes" && slices.Contains(ch.Permitted, casefile.Agree) && ch.Answer == casefile.Blank {
			for _, p := range ch.At() {
				out = append(out, Choice{Places: []casefile.Place{p}, Offered: ch.Permitted, Said: ch.Answer})
			}
			continue
		}
		i := slices.IndexFunc(out, func(c Choice) bool { return slices.Equal(c.Offered, ch.Permitted) && c.Said == ch.Answer })
		if i < 0 {
			i, out = len(out), append(out, Choice{Offered: ch.Permitted, Said: ch.Answer})
		}
		out[i].Places = casefile.SortPlaces(append(out[i].Places, ch.At()...))
	}
	for i, c := range out {
		out[i].Where = x.choiceAt(a, c, len(out))
	}
	order.By(out, func(a, b Choice) int { return cmp.Compare(others(a), others(b)) })
	return out
}

// others is 1 for the places that are left, which follow those with a name.
func others(c Choice) int {
	if strings.HasPrefix(c.Where.ID, "sheet.change.other-") {
		return 1
	}
	return 0
}

// choiceAt names where one set of boxes is for: all that a step is about, the others,
// or those places by name.
func (x *composer) choiceAt(a answered, c Choice, sets int) Text {
	word, all := "teeth", casefile.Places(x.c.ToothList())
	if len(a.places) > 0 {
		word, all = "pairs", a.places
	}
	whole := len(a.places) > 0 || x.allTeeth(a.teeth) // the step is about all there are
	switch {
	case whole && len(all) > 1 && len(c.Places) == len(all):
		return M("sheet.change.all-" + word)
	case whole && sets > 1 && len(c.Places) > 1 && !slices.Contains(c.Offered, casefile.Agree):
		return M("sheet.change.other-" + word)
	}
	if len(a.places) > 0 {
		return N("sheet.change.pairs", len(c.Places), "Teeth", Pairs(c.Places))
	}
	return x.wherePlaces(c.Places)
}

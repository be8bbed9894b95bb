package sheet

import (
	"slices"

	"plainleaf/app/plan"
)

// The last page of the options: a sheet to make up one's mind on.

func (x *composer) decide() {
	x.h2("sheet.options.decide")
	x.add(Block{Kind: Paragraph, Text: M("sheet.options.decide-text")})
	x.matters()
	x.feelings()
	x.questionsToAsk()
	x.agreedVisits()
	x.timeToThink()
	x.add(Block{Kind: PageBreak, Style: After}) // the telephones are as wide as the page
	x.phoneBox()
	x.aboutNumbers()
}

// matters is what the patient put first, to look at again, or the list to choose from.
func (x *composer) matters() {
	x.heading(3, M("sheet.options.matters"), Ref{})
	if x.c.Wish != "" {
		x.para(M("sheet.options.wish", "Text", Verbatim(x.c.Wish)), Ref{})
	}
	if len(x.pl.Order) == 0 {
		b := Block{Kind: Tick, Style: TwoColumns, Text: M("sheet.options.matters-blank"), Keep: true}
		for _, p := range x.b.Priorities {
			b.Items = append(b.Items, Item{Text: M("priority." + p.Key + ".name")})
		}
		x.add(b)
		return
	}
	said := Block{Kind: List, Style: InLine, Text: M("sheet.options.told-us")}
	for _, o := range x.pl.Order {
		said.Items = append(said.Items, Item{Text: M("priority." + o.Priority + ".name")})
	}
	x.add(said)
	x.add(Block{Kind: Tick, Style: InLine, Keep: true, Items: []Item{{Text: M("sheet.options.still-right")}, {Text: M("sheet.options.now-first"), Blank: 2}}})
}

// feelings is a line of boxes for each option. One that is on hold has none: it is not
// there to be chosen yet.
func (x *composer) feelings() {
	x.add(Block{Kind: Heading, Level: 3, Text: M("sheet.options.feel")})
	answers := []string{"like", "live-with", "not-for-me", "know-more"}
	b := Block{Kind: Table, Style: Boxed, Text: M("sheet.options.feel-how"), Columns: []Text{{}}, Keep: true}
	for _, a := range answers {
		b.Columns = append(b.Columns, M("sheet.options.feel."+a))
	}
	for _, r := range x.offered() {
		it := Item{Label: wayShort(r), Ref: Ref{Route: string(r.Key)}}
		if len(r.Held) > 0 {
			it.Cells = []Cell{{Texts: []Text{M("sheet.options.held-short")}, Span: len(answers)}}
		} else {
			for _, a := range answers {
				it.Cells = append(it.Cells, Cell{Boxes: []Box{{Text: M("sheet.options.feel." + a)}}})
			}
		}
		b.Items = append(b.Items, it)
	}
	x.add(b)
}

func (x *composer) questionsToAsk() {
	x.add(Block{Kind: Heading, Level: 2, Style: Beside, Text: M("sheet.options.ask")})
	x.list(Item{Text: M("sheet.options.ask-need")}, Item{Text: M("sheet.options.ask-wait")},
		Item{Text: M("sheet.options.ask-wrong")}, Item{Text: M("sheet.options.ask-later")})
	x.add(Block{Kind: Lines, Text: M("sheet.options.ask-own"), Count: 2, Keep: true})
}

// timeToThink gives the dates for deciding, and says that stopping is always possible.
func (x *composer) timeToThink() {
	x.add(Block{Kind: Heading, Level: 2, Style: Beside, Text: M("sheet.think.title")})
	b := Block{Kind: List, Style: InLine}
	say := func(t Text, ref Ref) { b.Items = append(b.Items, Item{Text: t, Ref: ref}) }
	say(M("sheet.think.given", "Date", Day{x.pl.Deciding.Given, false}), Ref{})
	say(Earliest(x.pl), x.ref(x.pl.Deciding.Figures))
	say(M("sheet.options.stop"), Ref{})
	if slices.ContainsFunc(x.offered(), func(r plan.RouteFacts) bool {
		return slices.Contains([]string{"ceramic", "crown", "replace"}, x.ends(r))
	}) {
		say(M("sheet.options.laboratory"), Ref{})
	}
	x.add(b)
}

// aboutNumbers ends the sheet: what the numbers are, when they are looked at again, who
// paid, and the sources.
func (x *composer) aboutNumbers() {
	b := Block{Kind: List, Style: Fine, Text: M("sheet.about.title")}
	if x.c.Detail != "words" {
		b.Items = append(b.Items, Item{Text: M("sheet.options.about")})
	}
	b.Items = append(b.Items, Item{Text: M("sheet.options.about-visits")},
		Item{Text: M("sheet.about.reviewed", "Date", Day{mustDate(x.b.Reviewed), false}, "To", Day{mustDate(x.b.NextReview), false})})
	if x.p.Funding != "" {
		b.Items = append(b.Items, Item{Text: M("sheet.about.funding", "Text", Verbatim(x.p.Funding))})
	}
	x.add(b)
	if len(x.sources) > 0 {
		x.add(x.citations())
	}
}

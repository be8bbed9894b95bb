package printout_test

import (
	"plainleaf/app/casefile"
	"plainleaf/app/sheet"
)

const hostile = "Keep it small <script>alert(1)</script> {{.Phone}} & \"so\" \u202eevil\u202c\nnext"

var (
	six   = sheet.Teeth{13, 12, 11, 21, 22, 23}
	cited = sheet.Ref{Figures: []string{"survival-10y"}, Sources: []int{2, 1}}
)

func m(id string, nv ...any) sheet.Text { return sheet.M("sample."+id, nv...) }

func day(n int) sheet.Day {
	return sheet.Day{Date: casefile.Date{Year: 2026, Month: 12, Day: n}, Weekday: true}
}

func texts(ids ...string) []sheet.Item {
	var out []sheet.Item
	for _, id := range ids {
		out = append(out, sheet.Item{Text: m(id)})
	}
	return out
}

func cells(ts ...sheet.Text) []sheet.Cell {
	var out []sheet.Cell
	for _, x := range ts {
		out = append(out, sheet.Cell{Texts: []sheet.Text{x}})
	}
	return out
}

func boxes(ids ...string) sheet.Cell {
	var c sheet.Cell
	for _, id := range ids {
		c.Boxes = append(c.Boxes, sheet.Box{Text: m(id)})
	}
	return c
}

func columns(ids ...string) []sheet.Text {
	var out []sheet.Text
	for _, id := range ids {
		out = append(out, m(id))
	}
	return out
}

func h2(id string) sheet.Block { return sheet.Block{Kind: sheet.Heading, Level: 2, Text: m(id)} }

// sample is a sheet with every kind and style of block; rounds makes it longer.
func sample(rounds int) sheet.Sheet {
	s := sheet.Sheet{
		Kind: sheet.Consent, Title: m("title"), Issued: casefile.Date{Year: 2026, Month: 11, Day: 25},
		CaseID: "case-7", Numbering: "fdi", Demo: true, Content: "2026.11",
		Practice: sheet.Practice{Name: "Harbor Lane Demo Practice", Telephone: "+1 555 0100", EmergencyLine: "+1 555 0199"},
		Must: sheet.Must{Teeth: six, Waits: []string{"active-gum-disease"}, Changes: []string{"facial-contouring", "opening-contacts", "veneer-trim", "switch-to-prep"},
			Phones: []string{"+1 555 0100", "+1 555 0199"}, Offered: offered()},
	}
	for _, part := range [][]sheet.Block{title(), compared(), mouth(), planned(), urgencies(), changes(), tried()} {
		s.Blocks = append(s.Blocks, part...)
	}
	for range rounds - 1 {
		s.Blocks = append(s.Blocks, planned()...)
		s.Blocks = append(s.Blocks, changes()...)
	}
	s.Blocks = append(s.Blocks, tail()...)
	s.Blocks = append(s.Blocks, signature()...)
	return s
}

func title() []sheet.Block {
	return []sheet.Block{
		{Kind: sheet.Paragraph, Style: sheet.Kicker, Text: m("kicker", "Date", day(1))},
		{Kind: sheet.Paragraph, Style: sheet.Lead, Text: sheet.N("sample.intro", 6, "Teeth", six), Ref: sheet.Ref{Teeth: six}},
		{Kind: sheet.Chart, Text: m("chart", "Teeth", six), Ref: sheet.Ref{Teeth: six}, Items: texts("chart.caption"), Keep: true},
		{Kind: sheet.Paragraph, Style: sheet.Note, Text: m("howto"), Blank: 2},
	}
}

func compared() []sheet.Block {
	lasts := func(n float64, low, high float64) sheet.Text {
		return m("a.lasts", "Number", sheet.Decimal{Value: n}, "Range", sheet.Range{Low: low, High: high})
	}
	long := cells(m("a.nothing"), m("a.year"), lasts(65, 40, 85), lasts(95, 80, 99), m("a.unknown"))
	long[3].Span, long[3].Ref = 2, cited
	return []sheet.Block{
		{Kind: sheet.Table, Style: sheet.Ways, Text: m("ways"), Heads: []sheet.Head{
			{Text: m("way.none"), Drawing: "none", Ref: sheet.Ref{Route: "no-treatment"}},
			{Text: m("way.white"), Drawing: "whitening"},
			{Text: m("way.comp"), Note: m("way.comp.note"), Drawing: "composite"},
			{Text: m("way.no"), Group: m("way.group"), Name: m("way.no.full"), Drawing: "no-prep"},
			{Text: m("way.little"), Group: m("way.group"), Name: m("way.little.full"), Drawing: "minimal-prep"},
			{Text: m("way.more"), Group: m("way.group"), Name: m("way.more.full"), Drawing: "conventional-prep"},
		}, Items: []sheet.Item{
			{Label: m("q.gain"), Cells: cells(m("a.open"), m("a.lighter"), m("a.shape"), m("a.full"), m("a.room"), m("a.most"))},
			{Label: m("q.lasts"), Rank: 1, Cells: long},
		}},
		{Kind: sheet.Paragraph, Style: sheet.Note, Text: m("sure"), Ref: cited},
	}
}

func mouth() []sheet.Block {
	return []sheet.Block{
		{Kind: sheet.PageBreak}, h2("h.mouth"),
		{Kind: sheet.Table, Columns: columns("col.saw", "col.teeth", "col.means"), Items: []sheet.Item{
			{Label: m("clench"), Cells: cells(m("all"), m("clench.means")), Ref: sheet.Ref{Sources: []int{1}, Finding: "secret-finding"}},
			{Label: m("tight"), Cells: cells(m("pairs", "Teeth", sheet.Pairs{casefile.Between(14, 15)}), m("tight.means"))},
		}},
		{Kind: sheet.Notice, Tone: "caution", Text: m("wait"), Ref: sheet.Ref{Wait: "active-gum-disease", Finding: "secret-finding"}},
		{Kind: sheet.Notice, Tone: "hold", Text: m("hold"), Items: texts("note")},
		{Kind: sheet.Heading, Level: 2, Style: sheet.Beside, Keep: true, Text: m("h.money")},
		{Kind: sheet.Table, Style: sheet.Money, Items: []sheet.Item{
			{Label: m("money.one"), Cells: cells(m("cost", "Amount", sheet.Amount{Minor: 720000, Currency: "USD"}))},
			{Label: m("money.guard"), Cells: cells(m("cost", "Amount", sheet.Amount{Minor: 35000, Currency: "USD"}))},
			{Label: m("money.sum"), Cells: cells(m("cost", "Amount", sheet.Amount{Minor: 755000, Currency: "USD"}))},
		}},
		{Kind: sheet.Heading, Level: 2, Style: sheet.Beside, Keep: true, Text: m("h.ask")},
		{Kind: sheet.List, Items: []sheet.Item{{Text: m("ask.1"), Items: texts("ask.2")}, {Label: m("risk.off"), Text: m("unknown"), Blank: 1}}},
		{Kind: sheet.List, Style: sheet.InLine, Text: m("ask.lead"), Items: texts("ask.1", "ask.2")},
		{Kind: sheet.List, Style: sheet.Note, Items: texts("note")},
		{Kind: sheet.Heading, Level: 2, Keep: true, Text: m("h.feel")},
		{Kind: sheet.Tick, Style: sheet.InLine, Text: m("first"), Items: []sheet.Item{{Text: m("still"), Mark: true}, {Text: m("now"), Blank: 2}}},
		{Kind: sheet.Table, Style: sheet.Boxed, Columns: columns("feel.option", "feel.like", "feel.not", "feel.more"), Items: []sheet.Item{
			{Label: m("way.none"), Cells: []sheet.Cell{boxes("feel.like"), boxes("feel.not"), boxes("feel.more")}},
			{Label: m("way.no.full"), Cells: []sheet.Cell{boxes("feel.like"), boxes("feel.not"), boxes("feel.more")}},
		}},
		{Kind: sheet.Phones, Text: m("phones"), Keep: true, Items: []sheet.Item{
			{Label: m("phones.day"), Text: m("phones.number", "Phone", sheet.Phone("+1 555 0100"))},
			{Label: m("phones.night"), Text: m("phones.number", "Phone", sheet.Phone("+1 555 0199"))},
		}},
	}
}

func planned() []sheet.Block {
	return []sheet.Block{
		{Kind: sheet.PageBreak}, h2("h.facts"),
		{Kind: sheet.Facts, Items: []sheet.Item{
			{Label: m("fact.sign"), Text: m("sign.when"), Blank: 3},
			{Label: m("fact.material"), Text: m("material", "Material", sheet.Word{Text: m("ceramic")}, "Shade", sheet.Code("A1"))},
			{Label: m("fact.undone"), Text: m("undone"), Strong: true},
			{Label: m("fact.removal"), Text: m("removal", "Range", sheet.Range{Low: 0.1, High: 0.3, Digits: 1}), Ref: cited},
			{Label: m("fact.risks"), Items: []sheet.Item{{Label: m("risk.chips"), Text: m("risk.chips.said", "Number", sheet.Decimal{Value: 20}), Ref: cited}, {Label: m("risk.off"), Text: m("unknown")}}},
			{Label: m("fact.reason"), Text: sheet.Typed(hostile)},
		}},
		h2("h.numbers"),
		{Kind: sheet.Paragraph, Style: sheet.Big, Text: m("big", "Number", sheet.Decimal{Value: 95}), Ref: cited},
		{Kind: sheet.Paragraph, Text: m("para")},
		{Kind: sheet.Heading, Level: 3, Text: m("h3")},
		{Kind: sheet.Facts, Style: sheet.RunIn, Items: []sheet.Item{{Label: m("fact.sit"), Text: m("sit")}}},
		h2("h.visits"),
		{Kind: sheet.Schedule, Style: sheet.Timeline, Items: []sheet.Item{{Label: m("week"), Text: m("week.said")}, {Label: m("later"), Text: m("later.said")},
			{Label: m("date", "Date", day(16)), Text: m("visit")}}},
		{Kind: sheet.Schedule, Columns: columns("when", "what"), Items: []sheet.Item{
			{Label: m("date", "Date", day(1)), Text: m("visit"), More: []sheet.Text{sheet.N("sample.visit.more", 45)}},
			{Label: m("date", "Date", day(16)), Text: m("visit"), More: []sheet.Text{sheet.N("sample.visit.more", 90)}},
		}},
	}
}

func urgencies() []sheet.Block {
	call := func(n string) sheet.Text { return m("urg.call", "Phone", sheet.Phone(n)) }
	return []sheet.Block{
		{Kind: sheet.PageBreak, Style: sheet.Firm},
		{Kind: sheet.Urgent, Tone: "emergency", Text: m("urg.now"), Aside: call("112"), Items: []sheet.Item{{Label: m("sign.breath"), Text: m("do.breath"), Ref: sheet.Ref{Warning: "swelling"}}}},
		{Kind: sheet.Urgent, Tone: "urgent", Text: m("urg.today"), Aside: call("+1 555 0199"), Items: []sheet.Item{
			{Label: m("sign.loose"), Text: m("do.loose")}, {Label: m("sign.breath"), Text: m("do.breath")}}},
		{Kind: sheet.Urgent, Tone: "caution", Text: m("urg.soon"), Aside: call("+1 555 0100"), Items: []sheet.Item{{Label: m("sign.loose"), Text: m("do.loose")}}},
		{Kind: sheet.Urgent, Tone: "plain", Text: m("urg.normal"), Items: []sheet.Item{{Label: m("sign.loose"), Text: m("do.loose"), More: []sheet.Text{m("do.breath")}}}},
	}
}

var (
	yesAskNo = []casefile.Answer{casefile.Agree, casefile.Ask, casefile.No}
	askNo    = yesAskNo[1:]
)

func offered() []sheet.Boxes {
	return []sheet.Boxes{
		{Change: "facial-contouring", Place: casefile.At(21), Offered: yesAskNo}, {Change: "facial-contouring", Place: casefile.At(11), Offered: askNo},
		{Change: "opening-contacts", Place: casefile.Between(14, 15), Offered: yesAskNo}, {Change: "switch-to-prep", Place: casefile.At(21), Offered: askNo},
		{Change: "veneer-trim", Place: casefile.At(21), Offered: yesAskNo},
	}
}

func changes() []sheet.Block {
	at := func(where sheet.Text, p casefile.Place, a []casefile.Answer, said casefile.Answer) sheet.Choice {
		return sheet.Choice{Where: where, Places: []casefile.Place{p}, Offered: a, Said: said}
	}
	one := m("teeth", "Teeth", sheet.Teeth{21})
	far := func(ts ...sheet.Text) []sheet.Cell { return []sheet.Cell{{Texts: ts}} }
	return []sheet.Block{
		{Kind: sheet.PageBreak}, h2("h.changes"),
		{Kind: sheet.List, Style: sheet.TwoColumns, Items: texts("rule.blank", "rule.ask", "rule.no")},
		{Kind: sheet.Choices, Columns: columns("col.what", "col.far", "col.where"), Items: []sheet.Item{
			{Label: m("band.tooth"), Text: m("band.more")},
			{Label: m("smooth"), More: []sheet.Text{m("often")}, Ref: sheet.Ref{Change: "facial-contouring", Teeth: sheet.Teeth{11, 21}},
				Cells:   far(m("smooth.far", "Range", sheet.Range{Low: 0.3, High: 0.3, Digits: 1}), m("smooth.no")),
				Choices: []sheet.Choice{at(one, casefile.At(21), yesAskNo, casefile.Ask), at(m("teeth", "Teeth", sheet.Teeth{11}), casefile.At(11), askNo, "")}},
			{Label: m("strip"), More: []sheet.Text{m("often")}, Ref: sheet.Ref{Change: "opening-contacts"}, Cells: far(m("strip.far"), m("strip.no")),
				Choices: []sheet.Choice{at(m("pairs", "Teeth", sheet.Pairs{casefile.Between(14, 15)}), casefile.Between(14, 15), yesAskNo, casefile.Agree)}},
			{Label: m("drill"), More: []sheet.Text{m("seldom")}, Ref: sheet.Ref{Change: "switch-to-prep"}, Cells: far(m("drill.far")),
				Choices: []sheet.Choice{at(one, casefile.At(21), askNo, casefile.No)}},
			{Label: m("band.veneer")},
			{Label: m("trim"), More: []sheet.Text{m("often")}, Ref: sheet.Ref{Change: "veneer-trim"}, Cells: far(m("trim.far")),
				Choices: []sheet.Choice{at(sheet.Text{}, casefile.At(21), yesAskNo, "")}},
			{Label: m("strip"), Ref: sheet.Ref{Change: "no-box"}, Cells: far(m("strip.far"))},
		}},
	}
}

func tried() []sheet.Block {
	return []sheet.Block{
		{Kind: sheet.Facts, Style: sheet.Versus, Items: []sheet.Item{{Label: m("agreed"), Text: m("agreed.said")}, {Label: m("proposed"), Text: m("proposed.said")}}},
		h2("h.look"),
		{Kind: sheet.Table, Style: sheet.Look, Heads: []sheet.Head{{Text: m("look.all"), Ref: sheet.Ref{Teeth: six}}, {Text: m("teeth", "Teeth", sheet.Teeth{13})},
			{Text: m("teeth", "Teeth", sheet.Teeth{12})}, {Text: m("look.mid", "Teeth", sheet.Teeth{11, 21})}, {Text: m("teeth", "Teeth", sheet.Teeth{22})}, {Text: m("teeth", "Teeth", sheet.Teeth{23})}},
			Items: []sheet.Item{
				{Label: m("color"), Cells: []sheet.Cell{boxes("right"), boxes("dark", "right", "light"), boxes("dark", "right", "light"), boxes("dark", "right", "light"), boxes("dark", "right", "light"), boxes("dark", "right", "light")}},
				{Label: m("shape"), Cells: []sheet.Cell{boxes("right"), boxes("right", "change"), boxes("right", "change"), boxes("right", "change"), boxes("right", "change"), boxes("right", "change")}},
			}},
		{Kind: sheet.Facts, Style: sheet.InLine, Items: []sheet.Item{{Label: m("fact.sit"), Text: m("sit")}, {Label: m("fact.undone"), Text: m("undone")}}},
	}
}

func tail() []sheet.Block {
	return []sheet.Block{
		h2("h.questions"),
		{Kind: sheet.Lines, Text: m("ask.lead"), Count: 3, Keep: true},
		{Kind: sheet.HandOver, Text: m("code"), Address: "https://plainleaf.example/take#0123456789abcdef", Items: texts("code.short")},
		{Kind: sheet.PageBreak, Style: sheet.Card},
		h2("card"),
		{Kind: sheet.Paragraph, Text: m("card.said")},
		{Kind: sheet.PageBreak, Style: sheet.After},
		{Kind: sheet.Sources, Text: m("sources"), Items: []sheet.Item{
			{Text: sheet.Text{Verbatim: "Sample A, Sample B. An invented study for this test. Journal of Samples 2020;1:1-9.", Lang: "en"}},
			{Text: sheet.Text{Verbatim: "Sample C. Another invented study. Journal of Samples 2021;2:10-19.", Lang: "en"}, More: []sheet.Text{m("note")}},
		}},
	}
}

func signature() []sheet.Block {
	return []sheet.Block{
		{Kind: sheet.PageBreak, Style: sheet.Signature}, h2("h.sign"),
		{Kind: sheet.Paragraph, Style: sheet.Kicker, Text: m("kicker", "Date", day(1))},
		{Kind: sheet.Chart, Text: m("chart", "Teeth", six), Ref: sheet.Ref{Teeth: six}},
		{Kind: sheet.Facts, Style: sheet.Tight, Items: []sheet.Item{{Label: m("sum"), Text: sheet.N("sample.intro", 6, "Teeth", six)}, {Label: m("fact.undone"), Text: m("undone")},
			{Label: m("col.far"), Items: texts("smooth.no", "strip.no")}}},
		{Kind: sheet.PageBreak, Style: sheet.Whole},
		{Kind: sheet.Paragraph, Style: sheet.Repeat, Text: m("repeat")},
		{Kind: sheet.Tick, Items: texts("tick.talk", "tick.time")},
		{Kind: sheet.Tick, Style: sheet.Who, Text: m("who"), Aside: m("notasked"), Items: []sheet.Item{{Text: m("i")}, {Text: m("other"), Blank: 1}}},
		{Kind: sheet.Facts, Style: sheet.Who, Items: []sheet.Item{{Label: m("who"), Text: m("who.me")}}},
		{Kind: sheet.Tick, Style: sheet.Answer, Text: m("decision"), Items: texts("yes", "no", "notyet")},
		{Kind: sheet.Sign, Aside: m("sign.date"), Keep: true, Items: []sheet.Item{{Label: m("sign.patient")}, {Label: m("sign.dentist")}}},
		{Kind: sheet.PageBreak, Style: sheet.After},
		{Kind: sheet.Tick, Style: sheet.TwoColumns, Items: texts("tick.photo", "tick.time")},
		{Kind: sheet.Tick, Style: sheet.Note, Text: m("ask.lead"), Items: texts("tick.photo")},
		{Kind: sheet.Heading, Level: 3, Text: m("h.visit")},
		{Kind: sheet.Table, Style: sheet.Log, Columns: columns("log.visit", "log.date", "log.what", "log.who"), Items: []sheet.Item{
			{Label: m("log.copy"), Cells: []sheet.Cell{{Write: true}, {Write: true}, {Write: true}}}, {Label: m("log.try"), Cells: []sheet.Cell{{Write: true}, {Write: true}, {Write: true}}}}},
		{Kind: sheet.Sign, Items: []sheet.Item{{Label: m("sign.place")}, {Label: m("sign.date"), Text: m("date", "Date", day(1))}}},
	}
}

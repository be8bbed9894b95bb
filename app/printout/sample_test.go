package printout_test

import (
	"encoding/json"
	"os"
	"testing"

	"plainleaf/app/casefile"
	"plainleaf/app/render"
	"plainleaf/app/sheet"
	"plainleaf/i18n"
)

// wording is the shipped wording of a language with the sentences of the sample
// sheet added.
func wording(t *testing.T, tag string) *i18n.Wording {
	t.Helper()
	data, ok := i18n.Embedded(tag)
	if !ok {
		t.Fatalf("no wording %s", tag)
	}
	all := map[string]json.RawMessage{}
	if err := json.Unmarshal(data, &all); err != nil {
		t.Fatal(err)
	}
	more, err := os.ReadFile("testdata/sample." + tag + ".json")
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(more, &all); err != nil {
		t.Fatal(err)
	}
	data, err = json.Marshal(all)
	if err != nil {
		t.Fatal(err)
	}
	w, faults := i18n.Load(tag, data, nil)
	if len(faults) > 0 {
		t.Fatalf("wording %s:\n%s", tag, faults.Lines())
	}
	return w
}

const hostile = "Keep it small <script>alert(1)</script> {{.Phone}} & \"so\" \u202eevil\u202c\nnext"

// sample is a sheet with every kind of block; rounds makes it longer.
func sample(rounds int) sheet.Sheet {
	teeth := sheet.Teeth{13, 12, 11, 21, 22, 23}
	s := sheet.Sheet{
		Kind: sheet.Consent, Title: sheet.M("sample.title"), Issued: casefile.Date{Year: 2026, Month: 11, Day: 25},
		CaseID: "case-7", Numbering: "fdi", Demo: true, Content: "2026.11",
		Practice: sheet.Practice{Name: "Harbor Lane Demo Practice", Telephone: "+1 555 0100", EmergencyLine: "+1 555 0199"},
		Must: sheet.Must{Teeth: teeth, Waits: []string{"active-gum-disease"}, Changes: []string{"corner-rounding"},
			Phones: []string{"+1 555 0100", "+1 555 0199"}},
	}
	add := func(b ...sheet.Block) { s.Blocks = append(s.Blocks, b...) }
	h2 := func(id string) { add(sheet.Block{Kind: sheet.Heading, Level: 2, Text: sheet.M(id)}) }
	cited := sheet.Ref{Figures: []string{"survival-10y"}, Sources: []int{2, 1}}
	day := func(n int) sheet.Day {
		return sheet.Day{Date: casefile.Date{Year: 2026, Month: 12, Day: n}, Weekday: true}
	}

	add(sheet.Block{Kind: sheet.Paragraph, Text: sheet.N("sample.intro", 6, "Teeth", teeth), Ref: sheet.Ref{Teeth: teeth}},
		sheet.Block{Kind: sheet.Phones, Text: sheet.M("sample.phones"), Keep: true, Items: []sheet.Item{
			{Label: sheet.M("sample.phones.day"), Text: sheet.M("sample.phones.number", "Phone", sheet.Phone("+1 555 0100"))},
			{Label: sheet.M("sample.phones.night"), Text: sheet.M("sample.phones.number", "Phone", sheet.Phone("+1 555 0199"))},
		}},
		sheet.Block{Kind: sheet.Notice, Tone: "caution", Text: sheet.M("sample.wait"), Ref: sheet.Ref{Wait: "active-gum-disease", Finding: "secret-finding"}},
		sheet.Block{Kind: sheet.Notice, Tone: "emergency", Text: sheet.M("sample.emergency", "Phone", sheet.Phone("112")), Ref: sheet.Ref{Warning: "swelling"}},
		sheet.Block{Kind: sheet.Notice, Tone: "urgent", Text: sheet.M("sample.urgent"), Items: []sheet.Item{{Text: sheet.M("sample.note")}}})
	h2("sample.h.teeth")
	add(sheet.Block{Kind: sheet.Chart, Text: sheet.M("sample.chart", "Teeth", teeth), Ref: sheet.Ref{Teeth: teeth}, Keep: true})
	for range rounds {
		add(sheet.Block{Kind: sheet.Paragraph, Text: sheet.M("sample.para"), Ref: cited},
			sheet.Block{Kind: sheet.List, Items: []sheet.Item{{Text: sheet.M("sample.list")}, {Text: sheet.M("sample.note"), More: []sheet.Text{sheet.M("sample.unknown")}}}},
			sheet.Block{Kind: sheet.Facts, Items: []sheet.Item{
				{Label: sheet.M("sample.fact.material"), Text: sheet.M("sample.material", "Material", sheet.Word{Text: sheet.M("sample.ceramic")}, "Shade", sheet.Code("A1"))},
				{Label: sheet.M("sample.fact.removal"), Text: sheet.M("sample.removal", "Range", sheet.Range{Low: 0.1, High: 0.3, Digits: 1}), Ref: cited},
				{Label: sheet.M("sample.fact.reason"), Text: sheet.Typed(hostile)},
			}})
		h2("sample.h.visits")
		add(sheet.Block{Kind: sheet.Schedule, Columns: []sheet.Text{sheet.M("sample.when"), sheet.M("sample.what")}, Items: []sheet.Item{
			{Label: sheet.M("sample.date", "Date", day(1)), Text: sheet.M("sample.visit"), More: []sheet.Text{sheet.N("sample.visit.more", 45)}},
			{Label: sheet.M("sample.date", "Date", day(16)), Text: sheet.M("sample.visit"), More: []sheet.Text{sheet.N("sample.visit.more", 90)}},
		}})
		h2("sample.h.numbers")
		add(sheet.Block{Kind: sheet.Heading, Level: 3, Text: sheet.M("sample.h3")},
			sheet.Block{Kind: sheet.Icons, Picture: &sheet.Picture{Low: 7, High: 23, Of: 100}, Keep: true, Ref: cited,
				Text: sheet.M("sample.icons", "Low", sheet.Int(7), "High", sheet.Int(23))},
			sheet.Block{Kind: sheet.Paragraph, Text: sheet.M("sample.unknown")})
		h2("sample.h.changes")
		answer := sheet.Boxes("ask")
		change := func(a *casefile.Answer) sheet.Item {
			return sheet.Item{Label: sheet.M("sample.change"), Answer: a, Ref: sheet.Ref{Change: "corner-rounding", Teeth: sheet.Teeth{11, 21}},
				Cells: []sheet.Cell{
					{Texts: []sheet.Text{sheet.N("sample.intro", 2, "Teeth", sheet.Teeth{21, 11}), sheet.M("sample.change.what")}},
					{Texts: []sheet.Text{sheet.M("sample.change.limit", "Range", sheet.Range{Low: 0.1, High: 0.2, Digits: 1})}},
					{Texts: []sheet.Text{sheet.M("sample.change.if-no")}}}}
		}
		add(sheet.Block{Kind: sheet.Choices, Columns: []sheet.Text{sheet.M("sample.col.what"), sheet.M("sample.col.limit"), sheet.M("sample.col.answer")},
			Items: []sheet.Item{change(sheet.Boxes("")), change(answer)}})
		h2("sample.h.cost")
		add(sheet.Block{Kind: sheet.Facts, Keep: true, Items: []sheet.Item{
			{Label: sheet.N("sample.cost.label", 6), Text: sheet.M("sample.cost", "Amount", sheet.Amount{Minor: 720000, Currency: "USD"})}}})
	}
	h2("sample.h.questions")
	add(sheet.Block{Kind: sheet.Lines, Count: 3, Keep: true})
	h2("sample.h.sources")
	add(sheet.Block{Kind: sheet.Sources, Text: sheet.M("sample.h.sources"), Items: []sheet.Item{
		{Text: sheet.Text{Verbatim: "Sample A, Sample B. An invented study for this test. Journal of Samples 2020;1:1-9.", Lang: "en"}},
		{Text: sheet.Text{Verbatim: "Sample C. Another invented study. Journal of Samples 2021;2:10-19.", Lang: "en"}},
	}}, sheet.Block{Kind: sheet.PageBreak})
	h2("sample.h.sign")
	add(sheet.Block{Kind: sheet.Paragraph, Text: sheet.N("sample.intro", 6, "Teeth", teeth)},
		sheet.Block{Kind: sheet.Tick, Items: []sheet.Item{{Text: sheet.M("sample.tick.talk")}, {Text: sheet.M("sample.tick.photo"), Mark: true}}},
		sheet.Block{Kind: sheet.Sign, Keep: true, Items: []sheet.Item{{Label: sheet.M("sample.sign.patient")}, {Label: sheet.M("sample.sign.dentist")}, {Label: sheet.M("sample.sign.place")}}})
	return s
}

// document localizes the sample, which must have no faults.
func document(t *testing.T, tag string, rounds int) render.Doc {
	t.Helper()
	d, faults := render.Localize(sample(rounds), wording(t, tag), render.Options{
		Banners: []sheet.Text{sheet.M("banner.specimen"), sheet.M("banner.unsigned", "Name", sheet.Verbatim("العربية"), "Language", sheet.Verbatim("English"))}})
	faults.Append(render.Whole(d)...)
	if len(faults) > 0 {
		t.Fatalf("%s:\n%s", tag, faults.Lines())
	}
	return d
}

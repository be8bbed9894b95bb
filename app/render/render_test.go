package render_test

import (
	"strings"
	"testing"

	"plainleaf/app/casefile"
	"plainleaf/app/render"
	"plainleaf/app/sheet"
	"plainleaf/i18n"
)

// words adds messages to the shipped wording of a language, as lines of JSON.
func words(t *testing.T, tag, more string) *i18n.Wording {
	t.Helper()
	data, ok := i18n.Embedded(tag)
	if !ok {
		t.Fatalf("no wording %s", tag)
	}
	text := strings.TrimRight(string(data), " \n")
	text = strings.TrimSuffix(text, "}") + "," + more + "}"
	w, faults := i18n.Load(tag, []byte(text), nil)
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	return w
}

const messages = `
"try.title": "A title",
"try.plain": "A sentence",
"try.teeth": {"one": "One tooth: {{.Teeth}}.", "other": "{{.Count}} teeth: {{.Teeth}}."},
"try.phone": "Call {{.Phone}}.",
"try.values": "{{.Date}}; {{.Range}}; {{.Number}}; {{.Amount}}; {{.Text}}; {{.Code}}; {{.Material}}; {{.List}}",
"try.a": "ivory",
"try.b": "yellow",
"try.c": "iodine"`

func practice() sheet.Practice {
	return sheet.Practice{Name: "Demo Practice", Telephone: "+1 555 0100", EmergencyLine: "+1 555 0199"}
}

// trial is a whole small sheet.
func trial() sheet.Sheet {
	teeth := sheet.Teeth{21, 11, 12}
	return sheet.Sheet{
		Kind: sheet.Aftercare, Title: sheet.M("try.title"), Issued: casefile.Date{Year: 2026, Month: 11, Day: 25}, Content: "1", Practice: practice(),
		Must: sheet.Must{Teeth: teeth, Waits: []string{"gums"}, Changes: []string{"corner"}, Phones: []string{"+1 555 0100"},
			Offered: []sheet.Boxes{{Change: "corner", Place: casefile.At(11), Offered: []casefile.Answer{casefile.Ask, casefile.No}}}},
		Blocks: []sheet.Block{
			{Kind: sheet.Paragraph, Text: sheet.N("try.teeth", 3, "Teeth", teeth)},
			{Kind: sheet.Paragraph, Text: sheet.M("try.plain"), Ref: sheet.Ref{Wait: "gums"}},
			{Kind: sheet.Choices, Columns: []sheet.Text{sheet.M("try.plain"), sheet.M("try.a"), sheet.M("try.b")}, Items: []sheet.Item{{Label: sheet.M("try.plain"), Choices: []sheet.Choice{{Places: []casefile.Place{casefile.At(11)}, Offered: []casefile.Answer{casefile.Ask, casefile.No}, Said: casefile.No}},
				Cells: []sheet.Cell{{Texts: []sheet.Text{sheet.M("try.plain")}}}, Ref: sheet.Ref{Change: "corner"}}}},
			{Kind: sheet.Phones, Items: []sheet.Item{{Label: sheet.M("try.plain"), Text: sheet.M("try.phone", "Phone", sheet.Phone("+1 555 0100"))}}},
			{Kind: sheet.Table, Style: sheet.Ways, Heads: []sheet.Head{{Text: sheet.M("try.a")}, {Text: sheet.M("try.b"), Group: sheet.M("try.plain"), Name: sheet.M("try.title")}},
				Items: []sheet.Item{{Label: sheet.M("try.plain"), Cells: []sheet.Cell{{Texts: []sheet.Text{sheet.M("try.c")}, Span: 2}}}}},
			{Kind: sheet.Facts, Items: []sheet.Item{{Label: sheet.M("try.plain"), Items: []sheet.Item{{Text: sheet.M("try.c")}}}}},
		},
	}
}

func TestLocalize(t *testing.T) {
	d, faults := render.Localize(trial(), words(t, "en", messages), render.Options{})
	faults.Append(render.Whole(d)...)
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	l := d.Blocks[0].Text
	if got, want := l.String(), "3 teeth: 12, 11, and 21."; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
	var values []string
	for _, r := range l {
		if r.Value != "" {
			values = append(values, r.Value+"/"+r.Dir+"/"+r.Text)
		}
	}
	if got, want := strings.Join(values, " "), "number/ltr/3 teeth/ltr/12 teeth/ltr/11 teeth/ltr/21"; got != want {
		t.Errorf("runs %q, want %q", got, want)
	}
	if l.Msg() != "try.teeth" || d.State != i18n.Initial {
		t.Errorf("message %q, state %q", l.Msg(), d.State)
	}
	boxes := d.Blocks[2].Items[0].Choices[0].Boxes
	if len(boxes) != 2 || boxes[0].Key != "ask" || boxes[0].Mark || boxes[1].Key != "no" || !boxes[1].Mark {
		t.Errorf("boxes %+v, want ask and no, the no crossed", boxes)
	}
}

func TestValues(t *testing.T) {
	date := casefile.Date{Year: 2026, Month: 12, Day: 1}
	text := sheet.M("try.values",
		"Date", sheet.Days{From: date, To: date.AddDays(3)}, "Range", sheet.Range{Low: 0.1, High: 0.3, Digits: 2}, "Number", sheet.Decimal{Value: 2.50, Digits: 2},
		"Amount", sheet.Amount{Minor: 125000, Currency: "USD"}, "Text", sheet.Verbatim("a\u202eb\x00c\ue000 {{.Code}}\nd"), "Code", sheet.Code("A1"),
		"Material", sheet.Word{Text: sheet.M("try.a")}, "List", sheet.Words{sheet.M("try.a"), sheet.M("try.b"), sheet.M("try.c")})
	s := trial()
	s.Blocks = append(s.Blocks, sheet.Block{Kind: sheet.Paragraph, Text: text})
	for _, tc := range []struct{ tag, want string }{
		{"en", "December 1, 2026 to December 4, 2026; 0.1–0.3; 2.5; $1,250.00; a\ufffdb\ufffdc\ufffd {{.Code}} d; A1; ivory; ivory, yellow, and iodine"},
		// Spanish "y" becomes "e" before the sound i (Unicode TR 35 part 2, list patterns).
		{"es", "del 1 de diciembre de 2026 al 4 de diciembre de 2026; 0,1-0,3; 2,5; 1250,00\u00a0US$; a\ufffdb\ufffdc\ufffd {{.Code}} d; A1; ivory; ivory, yellow e iodine"},
	} {
		m := messages
		if tc.tag == "es" {
			m = strings.Replace(m, `"other": "{{.Count}}`, `"many": "{{.Count}} teeth: {{.Teeth}}.", "other": "{{.Count}}`, 1)
		}
		d, faults := render.Localize(s, words(t, tc.tag, m), render.Options{})
		faults.Append(render.Whole(d)...)
		if len(faults) > 0 {
			t.Errorf("%s:\n%s", tc.tag, faults.Lines())
			continue
		}
		if got := d.Blocks[len(d.Blocks)-1].Text.String(); got != tc.want {
			t.Errorf("%s: got  %q\nwant %q", tc.tag, got, tc.want)
		}
	}
}

// In Arabic the number and the currency are runs of their own without direction
// marks, and a range has words between its ends, each from left to right (standards 5.3, BD-2).
func TestRightToLeft(t *testing.T) {
	s := trial()
	s.Blocks = []sheet.Block{{Kind: sheet.Paragraph, Text: sheet.M("try.money", "Amount", sheet.Amount{Minor: -125000, Currency: "USD"}, "Range", sheet.Range{Low: 13, High: 23})}}
	s.Must = sheet.Must{}
	d, faults := render.Localize(s, words(t, "ar", `"try.title": "عنوان", "try.money": "المبلغ {{.Amount}} و{{.Range}}"`), render.Options{})
	faults.Append(render.Whole(d)...)
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	var got []string
	for _, r := range d.Blocks[0].Text {
		got = append(got, r.Value+"/"+r.Dir+"/"+r.Text)
	}
	if g, want := strings.Join(got, "|"), "//المبلغ |money/ltr/-1,250.00|//\u00a0|money/ltr/US$|// و|range/ltr/13|// إلى |range/ltr/23"; g != want {
		t.Errorf("got  %q\nwant %q", g, want)
	}
}

func TestLocalizeRefuses(t *testing.T) {
	para := func(x sheet.Text) func(*sheet.Sheet) {
		return func(s *sheet.Sheet) { s.Blocks[1].Text = x }
	}
	for _, tc := range []struct {
		name, code string
		plant      func(*sheet.Sheet)
	}{
		{"a missing message", "RENDER-MESSAGE", para(sheet.M("try.nowhere"))},
		{"a missing value", "RENDER-PLACEHOLDER", para(sheet.M("try.phone"))},
		{"an unused value", "RENDER-UNUSED", para(sheet.M("try.plain", "Phone", sheet.Phone("1")))},
		{"a value given twice", "RENDER-VALUE", para(sheet.M("try.phone", "Phone", sheet.Phone("1"), "Phone", sheet.Phone("2")))},
		{"no value", "RENDER-VALUE", para(sheet.Text{ID: "try.phone", Args: []sheet.Arg{{Name: "Phone"}}})},
		{"a blank telephone number", "RENDER-VALUE", para(sheet.M("try.phone", "Phone", sheet.Phone(" ")))},
		{"an impossible tooth", "RENDER-VALUE", para(sheet.N("try.teeth", 1, "Teeth", sheet.Teeth{19}))},
		{"no teeth", "RENDER-VALUE", para(sheet.N("try.teeth", 0, "Teeth", sheet.Teeth{}))},
		{"plural forms without a count", "RENDER-PLURAL", para(sheet.M("try.teeth", "Count", sheet.Int(2), "Teeth", sheet.Teeth{11}))},
		{"a count without plural forms", "RENDER-PLURAL", para(sheet.N("try.plain", 2))},
		{"a count below 0", "RENDER-PLURAL", para(sheet.N("try.teeth", -1, "Teeth", sheet.Teeth{11}))},
		{"a missing word inside a message", "RENDER-MESSAGE", para(sheet.M("try.phone", "Phone", sheet.Word{Text: sheet.M("try.nowhere")}))},
		{"a paragraph without words", "RENDER-EMPTY", para(sheet.Text{})},
		{"blank typed words", "RENDER-EMPTY", para(sheet.Typed(" \n"))},
		{"a blank practice name", "RENDER-EMPTY", func(s *sheet.Sheet) { s.Practice.Name = "" }},
		{"a list without items", "RENDER-EMPTY", func(s *sheet.Sheet) { s.Blocks[1].Kind = sheet.List }},
		{"cells that match no columns", "RENDER-COLUMNS", func(s *sheet.Sheet) { s.Blocks[4].Items[0].Cells[0].Span = 3 }},
		{"chair changes without a column of places", "RENDER-COLUMNS", func(s *sheet.Sheet) { s.Blocks[2].Columns = s.Blocks[2].Columns[:2] }},
		{"a chair change that says not how far", "RENDER-COLUMNS", func(s *sheet.Sheet) { s.Blocks[2].Items[0].Cells = nil }},
		{"a fact with nothing said", "RENDER-EMPTY", func(s *sheet.Sheet) { s.Blocks[5].Items[0].Items = nil }},
		{"an unknown kind of block", "RENDER-BLOCK", func(s *sheet.Sheet) { s.Blocks[1].Kind = "poem" }},
		{"an unknown answer", "RENDER-VALUE", func(s *sheet.Sheet) { s.Blocks[2].Items[0].Choices[0].Offered[0] = "maybe" }},
	} {
		t.Run(tc.name, func(t *testing.T) {
			s := trial()
			tc.plant(&s)
			if _, faults := render.Localize(s, words(t, "en", messages), render.Options{}); !faults.Has(tc.code) {
				t.Errorf("want %s, got:\n%s", tc.code, faults.Lines())
			}
		})
	}
}

// A wording that lacks a plural form of its language is no wording at all.
func TestMissingPluralForm(t *testing.T) {
	_, faults := i18n.Load("en", []byte(`{"try.teeth": {"other": "{{.Count}} teeth"}}`), nil)
	if !faults.Has("WORDING-FORM-MISSING") {
		t.Errorf("want WORDING-FORM-MISSING, got:\n%s", faults.Lines())
	}
	s := trial()
	w := words(t, "en", strings.Replace(messages, `{"one": "One tooth: {{.Teeth}}.", "other": "{{.Count}} teeth: {{.Teeth}}."}`, `"{{.Count}} teeth: {{.Teeth}}."`, 1))
	if _, faults := render.Localize(s, w, render.Options{}); !faults.Has("RENDER-PLURAL") {
		t.Errorf("want RENDER-PLURAL, got:\n%s", faults.Lines())
	}
}

// All faults of a sheet are reported at once.
func TestAllFaults(t *testing.T) {
	s := trial()
	s.Blocks[1].Text = sheet.M("try.nowhere")
	s.Blocks[3].Items[0].Text = sheet.M("try.phone")
	_, faults := render.Localize(s, words(t, "en", messages), render.Options{})
	if !faults.Has("RENDER-MESSAGE") || !faults.Has("RENDER-PLACEHOLDER") {
		t.Errorf("want both faults, got:\n%s", faults.Lines())
	}
}

func TestWhole(t *testing.T) {
	for _, tc := range []struct {
		name, code string
		plant      func(*render.Doc)
	}{
		{"a lost tooth", "WHOLE-TOOTH", func(d *render.Doc) {
			d.Sheet.Must.Teeth = append(d.Sheet.Must.Teeth, 33)
		}},
		{"a tooth written wrong", "WHOLE-TOOTH", func(d *render.Doc) {
			for i := range d.Blocks[0].Text {
				if d.Blocks[0].Text[i].Text == "11" {
					d.Blocks[0].Text[i].Text = "31"
				}
			}
		}},
		{"a tooth cut out of its sentence", "WHOLE-VALUE", func(d *render.Doc) { d.Blocks[0].Text = d.Blocks[0].Text[:3] }},
		{"a lost wait-for", "WHOLE-WAIT", func(d *render.Doc) { d.Blocks[1].Ref.Wait = "" }},
		{"a wait-for without words", "WHOLE-WAIT", func(d *render.Doc) { d.Blocks[1].Text = nil }},
		{"a lost chair change", "WHOLE-CHANGE", func(d *render.Doc) { d.Blocks[2].Items[0].Ref.Change = "" }},
		{"an answer that is not permitted", "WHOLE-ANSWER", func(d *render.Doc) { d.Blocks[2].Items[0].Choices[0].Boxes[0].Key = "agree" }},
		{"an answer crossed that was not given", "WHOLE-ANSWER", func(d *render.Doc) { d.Blocks[2].Items[0].Choices[0].Boxes[0].Mark = true }},
		{"the given answer not crossed", "WHOLE-ANSWER", func(d *render.Doc) { d.Blocks[2].Items[0].Choices[0].Boxes[1].Mark = false }},
		{"a lost answer", "WHOLE-ANSWER", func(d *render.Doc) {
			d.Blocks[2].Items[0].Choices[0].Boxes = d.Blocks[2].Items[0].Choices[0].Boxes[:1]
		}},
		{"a lost answer box", "WHOLE-SHEET", func(d *render.Doc) { d.Blocks[2].Items[0].Choices = nil }},
		{"a lost head of a column", "WHOLE-EMPTY", func(d *render.Doc) { d.Blocks[4].Heads[1].Group = nil }},
		{"a lost row under a row", "WHOLE-SHEET", func(d *render.Doc) { d.Blocks[5].Items[0].Items = nil }},
		{"a lost telephone number", "WHOLE-PHONE", func(d *render.Doc) { d.Blocks[3].Items[0].Text = render.Line{{Text: "Call", Msg: "try.phone"}} }},
		{"a changed telephone number", "WHOLE-PHONE", func(d *render.Doc) { d.Blocks[3].Items[0].Text[1].Text = "+1 555 0101" }},
		{"a blank number that must be there", "WHOLE-PHONE", func(d *render.Doc) { d.Sheet.Must.Phones = []string{""} }},
		{"a wrong direction", "WHOLE-LANGUAGE", func(d *render.Doc) { d.Dir = "rtl" }},
		{"a wrong language", "WHOLE-LANGUAGE", func(d *render.Doc) { d.Lang = "es" }},
		{"an empty line", "WHOLE-EMPTY", func(d *render.Doc) { d.Page.Caution = nil }},
		{"an empty label", "WHOLE-EMPTY", func(d *render.Doc) { d.Blocks[3].Items[0].Label = render.Line{{Text: " "}} }},
		{"the library's mark of a missing value", "WHOLE-VALUE", func(d *render.Doc) { d.Blocks[1].Text = render.Line{{Text: "a <no value>", Msg: "try.plain"}} }},
		{"a placeholder left in the text", "WHOLE-VALUE", func(d *render.Doc) { d.Blocks[1].Text = render.Line{{Text: "a {{.Count}}", Msg: "try.plain"}} }},
		{"a sentinel left in the text", "WHOLE-VALUE", func(d *render.Doc) { d.Blocks[1].Text = render.Line{{Text: "a \ue000", Msg: "try.plain"}} }},
		{"another message", "WHOLE-SHEET", func(d *render.Doc) { d.Blocks[1].Text = d.Title }},
		{"a lost block", "WHOLE-SHEET", func(d *render.Doc) { d.Blocks = d.Blocks[1:] }},
		{"a lost item", "WHOLE-SHEET", func(d *render.Doc) { d.Blocks[3].Items = nil }},
		{"a source that is not listed", "WHOLE-SOURCE", func(d *render.Doc) { d.Blocks[1].Ref.Sources = []int{1} }},
		{"no sheet", "WHOLE-SHEET", func(d *render.Doc) { d.Sheet = nil }},
	} {
		t.Run(tc.name, func(t *testing.T) {
			d, faults := render.Localize(trial(), words(t, "en", messages), render.Options{})
			faults.Append(render.Whole(d)...)
			if len(faults) > 0 {
				t.Fatal(faults.Lines())
			}
			tc.plant(&d)
			if faults := render.Whole(d); !faults.Has(tc.code) {
				t.Errorf("want %s, got:\n%s", tc.code, faults.Lines())
			}
		})
	}
}

func TestPolicy(t *testing.T) {
	base := casefile.Practice{Locale: "en", Telephone: "1", EmergencyLine: "2"}
	sign := func(p casefile.Practice, locales ...string) casefile.Practice {
		for _, l := range locales {
			p.SignOffs = append(p.SignOffs, casefile.SignOff{Sheet: "all", Locale: l, Who: "A", Role: "dentist", When: casefile.Date{Year: 2026, Month: 1, Day: 2}})
		}
		return p
	}
	demo := base
	demo.Demo = true
	silent := base
	silent.Telephone, silent.EmergencyLine = " ", ""
	other := base
	other.SignOffs = []casefile.SignOff{{Sheet: "aftercare", Locale: "es"}}
	old := sign(base, "en")
	old.SignOffs[0].Wording = "0000000000000000"
	w := words(t, "en", messages)
	both := sign(base, "es", "en")
	both.SignOffs[0].Wording, both.SignOffs[1].Wording = "0000000000000000", "0000000000000000"
	second := sign(base, "es", "en")
	second.SignOffs[1].Wording = "0000000000000000"
	same := sign(base, "en")
	same.SignOffs[0].Wording = render.Digest(w)
	for _, tc := range []struct {
		name           string
		practice       casefile.Practice
		locale, second string
		banners        string
		faults         string
	}{
		{"own language, day one", base, "en", "", "banner.unsigned-own", ""},
		{"own language, signed", sign(base, "en"), "en", "", "", ""},
		{"another language alone", sign(base, "en"), "es", "", "", "REVIEW-UNSIGNED"},
		{"another language beside the practice's", sign(base, "en"), "es", "en", "banner.unsigned", ""},
		{"the practice's beside another", sign(base, "en"), "en", "es", "banner.unsigned", ""},
		{"neither signed", base, "es", "en", "banner.unsigned banner.unsigned-own", ""},
		{"two foreign languages", sign(base, "en"), "es", "ar", "", "REVIEW-UNSIGNED REVIEW-UNSIGNED"},
		{"a signed beside an unsigned, both foreign", sign(base, "es"), "es", "ar", "", "REVIEW-UNSIGNED"},
		{"another language, signed", sign(base, "es"), "es", "", "", ""},
		{"signed for another kind of sheet", other, "es", "", "", "REVIEW-UNSIGNED"},
		{"the same language twice", sign(base, "en"), "en", "en", "", "REVIEW-SECOND"},
		{"the demo practice", sign(demo, "en"), "en", "", "banner.specimen", ""},
		{"no telephone numbers", sign(silent, "en"), "en", "", "", "PRAC-PHONE PRAC-PHONE"},
		{"words changed since", old, "en", "", "banner.changed", ""},
		{"words of the second language changed since", second, "es", "en", "banner.changed", ""},
		{"words of both changed since", both, "es", "en", "banner.changed", ""},
		{"words as signed", same, "en", "", "", ""},
	} {
		t.Run(tc.name, func(t *testing.T) {
			banners, faults := render.Policy(tc.practice, sheet.Consent, tc.locale, tc.second, func(string) *i18n.Wording { return w })
			var b, f []string
			for _, x := range banners {
				b = append(b, x.ID)
			}
			for _, x := range faults {
				f = append(f, x.Code)
			}
			if got := strings.Join(b, " "); got != tc.banners {
				t.Errorf("banners %q, want %q", got, tc.banners)
			}
			if got := strings.Join(f, " "); got != tc.faults {
				t.Errorf("faults %q, want %q", got, tc.faults)
			}
			// Every banner can be said.
			d, faults := render.Localize(trial(), w, render.Options{Banners: banners})
			if faults.Append(render.Whole(d)...); len(faults) > 0 {
				t.Error(faults.Lines())
			}
		})
	}
	_, faults := render.Policy(base, sheet.Consent, "es", "", nil)
	if text := faults.Lines(); !strings.Contains(text, "es wording") || !strings.Contains(text, "en") {
		t.Errorf("the fault does not name the languages: %s", text)
	}
}

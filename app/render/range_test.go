package render_test

import (
	"testing"

	"plainleaf/app/render"
	"plainleaf/app/sheet"
)

// A range takes its form by CLDR's plural ranges, and one that would fall into a form
// without figures ("less than a day") keeps its figures.
func TestRangesTakeTheirForm(t *testing.T) {
	const english = `"try.title": "t", "try.days": {"one": "{{.Count}} day", "other": "{{.Count}} days"}`
	const arabic = `"try.title": "ع", "try.days": {"zero": "أقل من يوم", "one": "يوم واحد", "two": "يومان", "few": "{{.Count}} أيام", "many": "{{.Count}} يومًا", "other": "{{.Count}} يوم"}`
	for _, c := range []struct {
		tag, messages string
		low, high     float64
		want          string
	}{
		{"en", english, 1, 3, "1–3 days"}, {"en", english, 1, 1, "1 day"}, {"en", english, 0.5, 1, "0.5–1 days"},
		{"ar", arabic, 1, 3, "1 إلى 3 أيام"}, {"ar", arabic, 24, 48, "24 إلى 48 يومًا"}, {"ar", arabic, 1, 2, "1 إلى 2 يوم"},
		{"ar", arabic, 2, 2, "يومان"}, {"ar", arabic, 7, 7, "7 أيام"}, {"ar", arabic, 0, 1, "0 إلى 1 يوم"},
	} {
		s := trial()
		s.Blocks = []sheet.Block{{Kind: sheet.Paragraph, Text: sheet.NRange("try.days", sheet.Range{Low: c.low, High: c.high, Digits: 1})}}
		s.Must = sheet.Must{}
		d, faults := render.Localize(s, words(t, c.tag, c.messages), render.Options{})
		faults.Append(render.Whole(d)...)
		if len(faults) > 0 {
			t.Fatal(faults.Lines())
		}
		if got := d.Blocks[0].Text.String(); got != c.want {
			t.Errorf("%s %v to %v: %q, want %q", c.tag, c.low, c.high, got, c.want)
		}
	}
	s := trial()
	s.Blocks[1].Text = sheet.NRange("try.teeth", sheet.Range{Low: 3, High: 1}, "Teeth", sheet.Teeth{11})
	if _, faults := render.Localize(s, words(t, "en", messages), render.Options{}); !faults.Has("RENDER-PLURAL") {
		t.Errorf("a range that runs backwards: %s", faults.Lines())
	}
}

package budget

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"plainleaf/app/render"
	"plainleaf/app/sheet"
)

func line(words int) render.Line {
	return render.Line{{Text: strings.TrimSpace(strings.Repeat("word ", words)) + "."}}
}

// Each part of a sheet counts, and what nobody sees does not.
func TestWords(t *testing.T) {
	said := line(4)
	d := render.Doc{Kind: sheet.Aftercare, Title: line(3), Page: render.Furniture{Caution: said}, Words: render.Words{Empty: said}, Banners: []render.Line{said}}
	if n := Words(d); n != 3 {
		t.Errorf("a title of 3 words has %d", n)
	}
	for name, p := range map[string]struct {
		b    render.Block
		want int
	}{
		"a paragraph":              {render.Block{Kind: sheet.Paragraph, Text: said}, 4},
		"an item":                  {render.Block{Kind: sheet.List, Items: []render.Item{{Label: said, Text: said, More: []render.Line{said}}}}, 12},
		"cells":                    {render.Block{Kind: sheet.Table, Columns: []render.Line{said}, Items: []render.Item{{Cells: []render.Cell{{Texts: []render.Line{said}, Boxes: []render.Box{{Text: said}}}}}}}, 12},
		"a named box":              {render.Block{Kind: sheet.Table, Style: sheet.Boxed, Columns: []render.Line{line(1), said}, Items: []render.Item{{Label: said, Cells: []render.Cell{{Boxes: []render.Box{{Text: said}}}}}}}, 9},
		"another box":              {render.Block{Kind: sheet.Table, Style: sheet.Boxed, Columns: []render.Line{line(1), said}, Items: []render.Item{{Label: said, Cells: []render.Cell{{Boxes: []render.Box{{Text: line(2)}}}}}}}, 11},
		"heads":                    {render.Block{Kind: sheet.Table, Style: sheet.Ways, Text: said, Heads: []render.Head{{Text: said, Group: said}, {Text: said, Note: said, Group: said}}}, 16},
		"a chair change":           {render.Block{Kind: sheet.Choices, Items: []render.Item{{Label: said, Choices: []render.Choice{{Where: said, Boxes: []render.Box{{Text: said, Key: "ask"}, {Text: said}}}}}}}, 12},
		"an urgency":               {render.Block{Kind: sheet.Urgent, Text: said, Aside: said, Items: []render.Item{{Label: said, Text: said, Items: []render.Item{{Text: said}}}}}, 20},
		"a picture's text":         {render.Block{Kind: sheet.Chart, Text: said}, 0},
		"sources":                  {render.Block{Kind: sheet.Sources, Text: said, Items: []render.Item{{Text: said}}}, 4},
		"a page break":             {render.Block{Kind: sheet.PageBreak}, 0},
		"what large print repeats": {render.Block{Kind: sheet.Paragraph, Style: sheet.Repeat, Text: said}, 0},
	} {
		d := d
		d.Blocks = []render.Block{p.b}
		if got := Words(d) - 3; got != p.want {
			t.Errorf("%s: %d words, want %d", name, got, p.want)
		}
	}
}

func TestBudgets(t *testing.T) {
	for _, kind := range sheet.Kinds() {
		if b := Of(render.Doc{Kind: kind}, 10); b.Pages < 1 || b.Words < 1 {
			t.Errorf("%s has no budget", kind)
		}
	}
	if got := Of(render.Doc{Kind: sheet.Consent}, 2); got != (Budget{3, 1700}) {
		t.Errorf("consent of two teeth: %v", got)
	}
	sitting := render.Block{Kind: sheet.Heading, Msg: "sheet.tryin.sitting"}
	if got := Of(render.Doc{Kind: sheet.TryIn, Blocks: []render.Block{sitting, sitting}}, 10); got != (Budget{2, 640}) {
		t.Errorf("two sittings: %v", got)
	}
}

// fake notes what is said to a test.
type fake struct {
	testing.TB
	failed, told []string
}

func (f *fake) Helper()                   {}
func (f *fake) Errorf(s string, a ...any) { f.failed = append(f.failed, fmt.Sprintf(s, a...)) }
func (f *fake) Logf(s string, a ...any)   { f.told = append(f.told, fmt.Sprintf(s, a...)) }

func TestDebt(t *testing.T) {
	defer func(was []sheet.Kind) { inBudget = was }(inBudget)
	inBudget = []sheet.Kind{sheet.Wait}
	f := &fake{}
	Debt(f, sheet.Wait, "%d words", 9)
	Debt(f, sheet.Change, "%d words", 8)
	if !slices.Equal(f.failed, []string{"9 words"}) || !slices.Equal(f.told, []string{"OWED by change: 8 words"}) {
		t.Errorf("%+v", f)
	}
}

// Package budget says how long a sheet may be, and which sheets keep what is asked of
// them already. It is for tests only.
package budget

import (
	"slices"
	"strings"
	"testing"

	"plainleaf/app/render"
	"plainleaf/app/sheet"
	"plainleaf/i18n/readability"
)

// inBudget are the kinds of sheet that keep what is asked: length, form on paper, type,
// and what published instruments look for. Of the others tests say what they found and
// do not fail.
var inBudget = []sheet.Kind{sheet.Wait, sheet.Change, sheet.Aftercare}

// Kept reports whether a kind keeps what is asked.
func Kept(kind sheet.Kind) bool { return slices.Contains(inBudget, kind) }

// Debt fails for a kind that keeps what is asked, and only logs for the others.
func Debt(t testing.TB, kind sheet.Kind, format string, a ...any) {
	t.Helper()
	if Kept(kind) {
		t.Errorf(format, a...)
		return
	}
	t.Logf("OWED by "+string(kind)+": "+format, a...)
}

// short are the kinds of sheet of which each drawn example keeps its budget.
var short = []sheet.Kind{sheet.Options, sheet.Wait, sheet.TryIn, sheet.Change, sheet.Aftercare}

// Long fails for a kind that keeps its length, and only logs for the others.
func Long(t testing.TB, kind sheet.Kind, format string, a ...any) {
	t.Helper()
	if slices.Contains(short, kind) {
		t.Errorf(format, a...)
		return
	}
	Debt(t, kind, format, a...)
}

// Budget is what a sheet may take on A4 in normal print and English.
type Budget struct{ Pages, Words int }

// tenTeeth is the budget of each kind for a case of ten teeth.
var tenTeeth = map[sheet.Kind]Budget{
	sheet.Options:   {3, 1300},
	sheet.Wait:      {2, 450},
	sheet.Consent:   {4, 1700},
	sheet.TryIn:     {1, 320},
	sheet.Change:    {1, 280},
	sheet.Aftercare: {3, 1200},
}

// Of is the budget of a document of a case with this many teeth: two need no more than
// three pages of consent, and each sitting of a try-in has a page of its own.
func Of(d render.Doc, teeth int) Budget {
	b := tenTeeth[d.Kind]
	switch {
	case d.Kind == sheet.Consent && teeth <= 2:
		b.Pages = 3
	case d.Kind == sheet.TryIn:
		n := sittings(d)
		b.Pages, b.Words = b.Pages*n, b.Words*n
	}
	return b
}

// sittings is how many pages of a try-in are one each for a sitting: the first is
// there in any case, and each heading of a further one begins another.
func sittings(d render.Doc) int {
	n := 0
	for _, b := range d.Blocks {
		if b.Kind == sheet.Heading && strings.HasPrefix(b.Msg, "sheet.tryin.sitting") {
			n++
		}
	}
	return max(1, n)
}

// Words counts what a reader reads of a document: its title and blocks, sources too,
// without the head and the foot of a page and without what only
// a screen reader announces. Words are as readability counts them, so that a number is one.
func Words(d render.Doc) int {
	n := 0
	for _, l := range Read(d) {
		n += len(readability.Words(l))
	}
	return n
}

// Read lists what a reader reads of a document, in its order.
func Read(d render.Doc) (out []string) {
	add := func(lines ...render.Line) {
		for _, l := range lines {
			if s := strings.TrimSpace(l.String()); s != "" {
				out = append(out, s)
			}
		}
	}
	var items func([]render.Item, func(int) render.Line)
	boxes := func(list []render.Box) {
		for _, x := range list {
			add(x.Text)
		}
	}
	items = func(list []render.Item, column func(int) render.Line) {
		for _, it := range list {
			add(it.Label, it.Text)
			add(it.More...)
			items(it.Items, column)
			for k, c := range it.Cells {
				add(c.Texts...)
				if len(c.Boxes) != 1 || len(c.Texts) > 0 || c.Boxes[0].Text.String() != column(k).String() {
					boxes(c.Boxes)
				}
			}
			for _, c := range it.Choices {
				add(c.Where)
				boxes(named(c.Boxes))
			}
		}
	}
	add(d.Title)
	for _, b := range d.Blocks {
		switch {
		case b.Kind == sheet.Chart, b.Kind == sheet.Sources, b.Kind == sheet.Table && b.Style == sheet.Ways:
			// it replaces a picture, or names a list or a table, for those who hear the sheet
		case b.Style == sheet.Repeat: // only where the decision has a page of its own, in large print or two languages
		default:
			add(b.Text)
		}
		add(b.Aside)
		add(b.Columns...)
		group := ""
		for _, h := range b.Heads {
			if g := h.Group.String(); g != group { // it is written once over its columns
				group = g
				add(h.Group)
			}
			add(h.Text, h.Note)
		}
		items(b.Items, func(k int) render.Line { // the words of a lone box that its column says already are not printed
			if b.Style != sheet.Boxed || k+1 >= len(b.Columns) {
				return render.Line{}
			}
			return b.Columns[k+1]
		})
	}
	return out
}

// named are boxes whose words are beside them. Those of a chair change are in
// columns that name the answer once.
func named(boxes []render.Box) []render.Box {
	return slices.DeleteFunc(slices.Clone(boxes), func(x render.Box) bool { return x.Key != "" })
}

package render

import (
	"fmt"
	"slices"
	"strings"

	"plainleaf/app/casefile"
	"plainleaf/app/fault"
	"plainleaf/app/safetext"
	"plainleaf/app/sheet"
	"plainleaf/i18n"
)

// Whole proves that a document says everything its sheet has to say: each tooth,
// wait-for, chair change and telephone number of Sheet.Must in its blocks (the
// foot of the page does not count), every text of the sheet with words, each
// value of each text in its place, and the right language and direction.
//
// Codes: WHOLE-TOOTH, WHOLE-WAIT, WHOLE-CHANGE, WHOLE-PHONE something lost;
// WHOLE-LANGUAGE; WHOLE-EMPTY a text without words; WHOLE-VALUE a value lost or
// a trace of one that was never put in; WHOLE-SHEET no sheet to compare with, or
// blocks or rows lost; WHOLE-SOURCE a source cited that is not listed.
func Whole(d Doc) fault.List {
	var faults fault.List
	lang, ok := i18n.Lookup(d.Locale)
	if !ok || d.Lang != lang.Tag || d.Dir != lang.Dir {
		faults.Add("WHOLE-LANGUAGE", "", "language %q and direction %q for locale %q", d.Lang, d.Dir, d.Locale)
	}
	if d.Sheet == nil {
		faults.Add("WHOLE-SHEET", "", "there is no sheet to compare with")
		return faults
	}
	c := &census{numbering: d.Sheet.Numbering, faults: &faults}
	c.line(d.Title, "title", true)
	for i, b := range d.Banners {
		c.line(b, fmt.Sprintf("banners[%d]", i), true)
	}
	for _, p := range []struct {
		name string
		line Line
	}{
		{"practice", d.Page.Practice}, {"telephone", d.Page.Telephone}, {"name", d.Page.Name}, {"born", d.Page.Born},
		{"chart", d.Page.Chart}, {"seal", d.Page.Seal}, {"version", d.Page.Version}, {"caution", d.Page.Caution},
	} {
		c.line(p.line, "page."+p.name, true)
	}
	for i, w := range d.Words.all() {
		c.line(w, fmt.Sprintf("words[%d]", i), true)
	}
	c.teeth, c.phones = nil, nil // the furniture does not count
	c.blocks(d)
	for _, n := range c.cited {
		if n < 1 || n > c.sources {
			faults.Add("WHOLE-SOURCE", "blocks", "source %d is cited and the list has %d", n, c.sources)
		}
	}
	must := d.Sheet.Must
	for _, t := range must.Teeth {
		if !slices.Contains(c.teeth, t) {
			faults.Add("WHOLE-TOOTH", "must.teeth", "tooth %s is not on the sheet", t)
		}
	}
	c.permitted(must.Offered)
	for _, lost := range []struct {
		code, path, what string
		must, have       []string
	}{
		{"WHOLE-WAIT", "must.waits", "wait-for", must.Waits, c.waits},
		{"WHOLE-CHANGE", "must.changes", "chair change", must.Changes, c.changes},
		{"WHOLE-PHONE", "must.phones", "telephone number", must.Phones, c.phones},
	} {
		for _, m := range lost.must {
			if lost.code == "WHOLE-PHONE" {
				m = strings.TrimSpace(safetext.Plain.Clean(m))
			}
			if m == "" || !slices.Contains(lost.have, m) {
				faults.Add(lost.code, lost.path, "%s %q is not on the sheet", lost.what, m)
			}
		}
	}
	return faults
}

func (w Words) all() []Line {
	return []Line{w.Empty, w.Crossed, w.None, w.Line, w.Right, w.Left, w.Sources, w.Identifiers}
}

// census walks a document and notes what is on it.
type census struct {
	numbering              string
	faults                 *fault.List
	teeth                  []casefile.Tooth
	phones, waits, changes []string
	offered                []string // answers to cross
	cited                  []int
	sources                int // length of the source list
}

func (c *census) blocks(d Doc) {
	if len(d.Blocks) != len(d.Sheet.Blocks) {
		c.faults.Add("WHOLE-SHEET", "blocks", "%d blocks of %d", len(d.Blocks), len(d.Sheet.Blocks))
		return
	}
	for i, b := range d.Blocks {
		from := d.Sheet.Blocks[i]
		path := fmt.Sprintf("blocks[%d]", i)
		if b.Kind != from.Kind || len(b.Items) != len(from.Items) || len(b.Columns) != len(from.Columns) || len(b.Heads) != len(from.Heads) {
			c.faults.Add("WHOLE-SHEET", path, "a %s with %d items and %d columns for a %s with %d and %d",
				b.Kind, len(b.Items), len(b.Columns)+len(b.Heads), from.Kind, len(from.Items), len(from.Columns)+len(from.Heads))
			continue
		}
		if b.Kind == sheet.Sources {
			c.sources += len(b.Items)
		}
		said := c.from(b.Text, from.Text, path+".text")
		c.from(b.Aside, from.Aside, path+".aside")
		for j, t := range b.Columns {
			c.from(t, from.Columns[j], fmt.Sprintf("%s.columns[%d]", path, j))
		}
		for j, h := range b.Heads {
			p := fmt.Sprintf("%s.heads[%d]", path, j)
			c.from(h.Text, from.Heads[j].Text, p)
			c.from(h.Note, from.Heads[j].Note, p+".note")
			c.from(h.Group, from.Heads[j].Group, p+".group")
			c.from(h.Name, from.Heads[j].Name, p+".name")
		}
		for j, it := range b.Items {
			if c.item(it, from.Items[j], fmt.Sprintf("%s.items[%d]", path, j)) {
				said = true
				c.ref(it.Ref)
			}
		}
		if said {
			c.ref(b.Ref)
		}
	}
}

func (c *census) ref(r sheet.Ref) {
	for _, n := range r.Sources {
		if !slices.Contains(c.cited, n) {
			c.cited = append(c.cited, n)
		}
	}
	if r.Wait != "" {
		c.waits = append(c.waits, r.Wait)
	}
	if r.Change != "" {
		c.changes = append(c.changes, r.Change)
	}
}

func (c *census) item(it Item, from sheet.Item, path string) bool {
	said := c.from(it.Label, from.Label, path+".label")
	said = c.from(it.Text, from.Text, path+".text") || said
	if len(it.More) != len(from.More) || len(it.Cells) != len(from.Cells) || len(it.Items) != len(from.Items) {
		c.faults.Add("WHOLE-SHEET", path, "%d further sentences of %d, %d cells of %d, %d rows of %d",
			len(it.More), len(from.More), len(it.Cells), len(from.Cells), len(it.Items), len(from.Items))
		return said
	}
	for i, t := range it.More {
		said = c.from(t, from.More[i], fmt.Sprintf("%s.more[%d]", path, i)) || said
	}
	for i, under := range it.Items {
		if c.item(under, from.Items[i], fmt.Sprintf("%s.items[%d]", path, i)) {
			said = true
			c.ref(under.Ref)
		}
	}
	for i, cell := range it.Cells {
		said = c.cell(cell, from.Cells[i], fmt.Sprintf("%s.cells[%d]", path, i)) || said
	}
	c.choices(it.Choices, from, path)
	return said
}

func (c *census) cell(cell Cell, from sheet.Cell, path string) bool {
	if len(cell.Texts) != len(from.Texts) || len(cell.Boxes) != len(from.Boxes) {
		c.faults.Add("WHOLE-SHEET", path, "%d sentences of %d, %d boxes of %d", len(cell.Texts), len(from.Texts), len(cell.Boxes), len(from.Boxes))
		return false
	}
	said := false
	for j, t := range cell.Texts {
		said = c.from(t, from.Texts[j], fmt.Sprintf("%s.texts[%d]", path, j)) || said
	}
	for j, b := range cell.Boxes {
		if b.Mark != from.Boxes[j].Mark {
			c.faults.Add("WHOLE-SHEET", path, "a box that is crossed for one that is not, or the reverse")
		}
		said = c.from(b.Text, from.Boxes[j].Text, fmt.Sprintf("%s.boxes[%d]", path, j)) || said
	}
	if said {
		c.ref(cell.Ref)
	}
	return said
}

// choices notes which answers the boxes of a row offer, and where.
func (c *census) choices(list []Choice, from sheet.Item, path string) {
	if len(list) != len(from.Choices) {
		c.faults.Add("WHOLE-SHEET", path, "%d sets of answer boxes of %d", len(list), len(from.Choices))
		return
	}
	for i, choice := range from.Choices {
		c.from(list[i].Where, choice.Where, fmt.Sprintf("%s.choices[%d].where", path, i))
		var keys []string
		for _, b := range list[i].Boxes {
			keys = append(keys, b.Key)
			c.line(b.Text, path, true)
			if b.Mark != (b.Key == string(choice.Said)) {
				c.faults.Add("WHOLE-ANSWER", path, "the answer crossed is not the one given")
			}
		}
		for _, b := range choice.Each(from.Ref.Change) {
			c.offered = append(c.offered, offered(b.Change, b.Place, keys))
			if b.Change != from.Ref.Change && !slices.ContainsFunc(from.Items, func(it sheet.Item) bool { return it.Ref.Change == b.Change }) {
				c.faults.Add("WHOLE-CHANGE", path, "boxes for %q, which the row does not name", b.Change)
			}
		}
	}
}

// permitted compares the answers offered on the document with those of the plan.
func (c *census) permitted(must []sheet.Boxes) {
	var want []string
	for _, o := range must {
		want = append(want, offered(o.Change, o.Place, o.Offered))
	}
	for _, o := range want {
		if !slices.Contains(c.offered, o) {
			c.faults.Add("WHOLE-ANSWER", "must.offered", "the answers to %s are not on the sheet", o)
		}
	}
	for _, o := range c.offered {
		if !slices.Contains(want, o) {
			c.faults.Add("WHOLE-ANSWER", "blocks", "%s may not be answered so", o)
		}
	}
}

// offered is a line that compares: what may be answered to a step at a place.
func offered[K ~string](change string, at casefile.Place, answers []K) string {
	return fmt.Sprint(change, " on ", at, ": ", answers)
}

// from compares a line with the text it was made from and reports whether it
// says anything.
func (c *census) from(l Line, t sheet.Text, path string) bool {
	said := c.line(l, path, !t.IsZero())
	if len(l) > 0 && l.Msg() != t.ID {
		c.faults.Add("WHOLE-SHEET", path, "message %q for %q", l.Msg(), t.ID)
	}
	for _, a := range t.Args {
		if a.Name == t.Plural {
			continue // "one tooth" needs no figure
		}
		for _, want := range kinds(a.Value) {
			if !slices.ContainsFunc(l, func(r Run) bool { return r.Value == want && r.Text != "" }) {
				c.faults.Add("WHOLE-VALUE", path, "%s is lost", a.Name)
			}
		}
		if ts, ok := a.Value.(sheet.Teeth); ok {
			for _, want := range ts {
				if !slices.ContainsFunc(l, func(r Run) bool { return slices.Contains(r.Teeth, want) }) {
					c.faults.Add("WHOLE-VALUE", path, "%s lacks tooth %s", a.Name, want)
				}
			}
		}
	}
	return said
}

// kinds names the value runs a value leaves in a line.
func kinds(v sheet.Value) []string {
	switch v := v.(type) {
	case sheet.Teeth:
		return []string{"teeth"}
	case sheet.Pairs:
		return []string{"places"}
	case sheet.Day, sheet.Days, sheet.Month:
		return []string{"date"}
	case sheet.Int, sheet.Decimal:
		return []string{"number"}
	case sheet.Range:
		return []string{"range"}
	case sheet.Amount, sheet.Price:
		return []string{"money"}
	case sheet.Phone:
		return []string{"phone"}
	case sheet.Code:
		return []string{"code"}
	case sheet.Verbatim:
		return []string{"verbatim"}
	case sheet.Language:
		return []string{"language"}
	case sheet.Word:
		if v.Text.ID == "" {
			return []string{"verbatim"}
		}
	}
	return nil // words, which become part of the sentence
}

// line looks at one line by itself and reports whether it says anything.
func (c *census) line(l Line, path string, needed bool) bool {
	text := l.String()
	if strings.TrimSpace(text) == "" {
		if needed {
			c.faults.Add("WHOLE-EMPTY", path, "there are no words")
		}
		return false
	}
	for _, r := range l {
		if r.Text == "" {
			c.faults.Add("WHOLE-EMPTY", path, "an empty %s", r.Value)
			continue
		}
		if strings.ContainsFunc(r.Text, safetext.IsPrivate) {
			c.faults.Add("WHOLE-VALUE", path, "a private-use character is left in the text")
		}
		if r.Value == "" {
			for _, trace := range []string{"<no value>", "{{", "}}"} {
				if strings.Contains(r.Text, trace) {
					c.faults.Add("WHOLE-VALUE", path, "%q is left in the text", trace)
				}
			}
			if strings.ContainsFunc(r.Text, safetext.Directs) {
				c.faults.Add("WHOLE-VALUE", path, "a direction control is left in the text")
			}
		}
		switch r.Value {
		case "phone":
			c.phones = append(c.phones, r.Text)
		case "teeth":
			for _, t := range r.Teeth {
				if r.Text != t.Label(c.numbering) {
					c.faults.Add("WHOLE-TOOTH", path, "tooth %s is written %q", t, r.Text)
					continue
				}
				c.teeth = append(c.teeth, t)
			}
		}
	}
	return true
}

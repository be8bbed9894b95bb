package notes

import (
	"plainleaf/app/sheet"
)

// use is one place of one text.
type use struct {
	text               sheet.Text
	as                 string
	under, column, row string // ids
	in                 string // id of the message it is part of, and the name of the value
	before, after      string // ids of the texts next to it
}

// visitor lists the texts of a sheet in the order in which they are read.
type visitor struct {
	on      string
	uses    []use
	chapter string // the heading of level 2 above
	under   string // the nearest heading above
	last    int    // place of the text before this one
	apart   bool   // the next text does not follow the one before
}

// add lists a text that is part of no other, then the messages that are its values.
func (v *visitor) add(t sheet.Text, as string) { v.cell(t, as, "", "") }

func (v *visitor) cell(t sheet.Text, as, column, row string) {
	if t.IsZero() {
		return
	}
	u := use{text: t, as: as, under: v.under, column: column, row: row}
	if len(v.uses) > 0 && !v.apart {
		u.before = v.uses[v.last].text.ID
		v.uses[v.last].after = t.ID
	}
	v.last, v.apart = len(v.uses), false
	v.uses = append(v.uses, u)
	v.parts(t)
}

// parts lists the messages that are values of another.
func (v *visitor) parts(t sheet.Text) {
	for _, a := range t.Args {
		var inner []sheet.Text
		switch value := a.Value.(type) {
		case sheet.Word:
			inner = []sheet.Text{value.Text}
		case sheet.Words:
			inner = value
		}
		for _, i := range inner {
			if i.IsZero() {
				continue
			}
			v.uses = append(v.uses, use{text: i, as: "a part of a sentence", in: t.ID + " " + a.Name})
			v.parts(i)
		}
	}
}

func (v *visitor) sheet(s sheet.Sheet) {
	v.add(s.Title, "the title")
	for _, b := range s.Blocks {
		v.block(b)
	}
}

// roles are what the parts of a block are, by its kind: its text, the label and the text
// of an item. "" is a sentence.
var roles = map[sheet.BlockKind][3]string{
	sheet.Heading:  {"a heading"},
	sheet.List:     {"", "a label", "an item of a list"},
	sheet.Facts:    {"", "a label", "a sentence after its label"},
	sheet.Schedule: {"", "the date of a visit", "the name of a visit"},
	sheet.Table:    {"the title of a table", "the head of a row"},
	sheet.Choices:  {"the title of a table", "the name of a step, the head of a row"},
	sheet.Urgent:   {"a heading that says whom to call and how soon", "a warning sign", "what to do about the sign beside it"},
	sheet.Notice:   {"a notice in a frame", "a label in a notice", "an item of a notice"},
	sheet.Phones:   {"", "the label of a telephone number", "a telephone number"},
	sheet.Sign:     {"", "the label of a line to write or sign on", "what is already written on the line"},
	sheet.Tick:     {"", "a label", "words beside a box to tick"},
	sheet.Sources:  {"", "a label", "an item of the list of sources"},
	sheet.HandOver: {"beside the code on paper", "", "under the code on paper"},
	sheet.Chart:    {"the chart of the teeth in words, read aloud", "a label beside the chart", "beside the chart of the teeth"},
}

func (v *visitor) block(b sheet.Block) {
	r := roles[b.Kind]
	for i := range r {
		if r[i] == "" {
			r[i] = "a sentence"
		}
	}
	if b.Kind == sheet.Heading {
		v.under = v.chapter
		if b.Level < 3 {
			v.under, v.chapter = "", b.Text.ID
		}
	}
	v.add(b.Text, r[0])
	v.add(b.Aside, "a few words after the text before it")
	if b.Kind == sheet.Heading {
		v.under = b.Text.ID
	}
	columns := make([]string, 0, len(b.Columns))
	for _, c := range b.Columns {
		v.add(c, "the head of a column")
		columns = append(columns, c.ID)
	}
	if b.Kind == sheet.Table && len(columns) > 0 {
		columns = columns[1:] // the first is over the heads of the rows
	}
	for _, h := range b.Heads {
		v.add(h.Group, "the head of several columns")
		v.add(h.Text, "the head of a column")
		v.add(h.Note, "a few words under the head of a column")
		v.add(h.Name, "the full name of a column, where a row is read by itself")
		columns = append(columns, h.Text.ID)
	}
	v.items(b.Items, r, columns)
}

func (v *visitor) items(items []sheet.Item, r [3]string, columns []string) {
	for _, it := range items {
		v.add(it.Label, r[1])
		v.add(it.Text, r[2])
		for _, t := range it.More {
			v.add(t, "a further sentence")
		}
		v.items(it.Items, roles[sheet.List], nil)
		at := 0
		for _, c := range it.Cells {
			column := ""
			if at < len(columns) {
				column = columns[at]
			}
			at += max(1, c.Span)
			for _, t := range c.Texts {
				v.cell(t, "a cell of a table", column, it.Label.ID)
			}
			for _, x := range c.Boxes {
				v.cell(x.Text, "words beside a box to tick", column, it.Label.ID)
			}
		}
		for _, c := range it.Choices {
			v.add(c.Where, "which teeth the boxes beside it are for")
			for _, a := range c.Offered {
				v.add(sheet.M("print.answer."+string(a)), "words beside a box to tick")
			}
		}
	}
}

package printout

import (
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/rivo/uniseg"

	"plainleaf/app/render"
	"plainleaf/app/safetext"
	"plainleaf/app/sheet"
)

// columns is the width plain text is wrapped at, marks not counted.
const columns = 78

// Direction isolates (Unicode UAX 9, section 2.4).
const (
	lri = "\u2066"
	rli = "\u2067"
	fsi = "\u2068"
	pdi = "\u2069"
)

// tie is a space and hold is nothing, and no line is broken at either (both are so in
// UAX 14). They are written as a plain space and left out.
const (
	tie  = "\u2007"
	hold = "\u2060"
)

// Text gives the same content as HTML in plain text: UTF-8, lines ended by LF,
// each block in the first language, then in the second.
func Text(docs []render.Doc, o Options) ([]byte, error) {
	t, err := written(docs, o)
	if err != nil {
		return nil, err
	}
	return []byte(strings.TrimRight(t.b.String(), "\n") + "\n"), nil
}

// Said is one paragraph of Text before it is broken into lines.
type Said struct {
	Text, Lang, Dir string
	Mark            string // before it: "-", "!", "*", "[x]", "[ ]", "1." ...
	Level           int    // of a heading, 1 to 3; 0 for none
	Same            bool   // it goes on with the one before
	Rule            bool   // a line across, and nothing else
}

// Flow gives what Text says, paragraph by paragraph, for a form of it that breaks
// its lines itself.
func Flow(docs []render.Doc, o Options) ([]Said, error) {
	t, err := written(docs, o)
	if err != nil {
		return nil, err
	}
	return t.flow, nil
}

func written(docs []render.Doc, o Options) (*plain, error) {
	if _, err := o.normal(); err != nil {
		return nil, err
	}
	if err := aligned(docs); err != nil {
		return nil, err
	}
	t := &plain{signed: o.Signed}
	for _, d := range docs {
		t.doc = d
		for _, b := range d.Banners {
			t.para("* ", "  ", t.line(b))
		}
	}
	for _, d := range docs {
		t.doc = d
		t.heading(t.line(d.Title), "=")
	}
	t.identifiers(docs, o)
	for i := range docs[0].Blocks {
		t.blocks(docs, i)
	}
	t.foot(docs, o)
	return t, nil
}

type plain struct {
	doc    render.Doc
	b      strings.Builder
	signed []Signed
	flow   []Said
	again  bool // a text is said once more in the second language, without room to write
}

func (t *plain) say(s Said) {
	s.Text, s.Lang, s.Dir = spoken.Replace(s.Text), t.doc.Lang, t.doc.Dir
	if s.Text != "" || s.Mark != "" || s.Rule {
		t.flow = append(t.flow, s)
	}
}

// line gives a line with its values isolated where the text around them could
// turn them: all values in a right-to-left document, foreign ones elsewhere.
func (t *plain) line(l render.Line) string {
	var b strings.Builder
	for _, r := range l {
		mark := ""
		switch {
		case r.Value == "":
		case t.doc.Dir == "rtl":
			mark = map[string]string{"ltr": lri, "rtl": rli}[r.Dir]
			if mark == "" {
				mark = fsi
			}
		case r.Dir == "rtl" || r.Dir == "auto" && strings.ContainsFunc(r.Text, rightToLeft):
			mark = fsi
		}
		piece := r.Text
		if r.Value == "phone" || r.Value == "code" {
			piece = strings.ReplaceAll(piece, " ", tie)
		}
		b.WriteString(mark + piece)
		if mark != "" {
			b.WriteString(pdi)
		}
	}
	return b.String()
}

func rightToLeft(r rune) bool {
	return unicode.In(r, unicode.Arabic, unicode.Hebrew, unicode.Syriac, unicode.Thaana, unicode.Nko, unicode.Adlam)
}

// width counts what takes room on a line of fixed-width letters, in columns.
func width(s string) int { return uniseg.StringWidth(s) }

func wide(r rune) bool { return width(string(r)) == 2 }

// pieces cuts a word where a line may be broken without a space (Unicode UAX 14), only
// where it holds wide characters: no other word is ever cut.
func pieces(word string) []string {
	if !strings.ContainsFunc(word, wide) {
		return []string{word}
	}
	var all []string
	rest, state := word, -1
	for rest != "" {
		var piece string
		piece, rest, _, state = uniseg.FirstLineSegmentInString(rest, state)
		if strings.HasPrefix(piece, "\u200d") && len(all) > 0 { // uniseg v0.4.7 parts some emoji from their joiner
			all[len(all)-1] += piece
			continue
		}
		all = append(all, piece)
	}
	return all
}

// whole keeps a text on one line.
func whole(s string) string {
	return strings.Join(pieces(strings.ReplaceAll(s, " ", tie)), hold)
}

// spaced and labeled are a text, or a label, and what parts it from the next.
func spaced(s string) string { return s + gap(s) }

func labeled(s string) string {
	if r, _ := utf8.DecodeLastRuneInString(s); wide(r) {
		return s + "："
	}
	return s + ": "
}

func (t *plain) blank() {
	if t.b.Len() > 0 && !strings.HasSuffix(t.b.String(), "\n\n") {
		t.b.WriteString("\n")
	}
}

// wrap writes words after a first prefix, further lines after another. No word
// is ever cut, but a text in wide characters is where its script allows. An
// isolate ends with its line (UAX 9, rule P1), so one that is open where a line
// breaks is closed there and opened again.
func (t *plain) wrap(first, rest, s string) {
	mark := strings.TrimSpace(first)
	t.say(Said{Text: strings.TrimSpace(s), Mark: mark, Same: mark == "" && first != ""})
	at, n := first, width(first)
	open, empty := "", true
	for _, word := range strings.FieldsFunc(s, func(r rune) bool { return r == ' ' || r == '\n' || r == '\t' }) {
		for i, piece := range pieces(word) {
			space := 0
			if i == 0 && !empty {
				space = 1
			}
			if !empty && n+space+width(piece) > columns {
				if open != "" {
					at += pdi
				}
				t.end(at)
				at, n, empty, space = rest+open, width(rest), true, 0
			}
			at += strings.Repeat(" ", space) + piece
			n += space + width(piece)
			empty = false
			for _, r := range piece {
				switch m := string(r); m {
				case lri, rli, fsi:
					open = m
				case pdi:
					open = ""
				}
			}
		}
	}
	t.end(at)
}

var spoken = strings.NewReplacer(tie, " ", hold, "")

func (t *plain) end(s string) {
	t.b.WriteString(strings.TrimRight(spoken.Replace(s), " ") + "\n")
}

func (t *plain) para(first, rest, s string) {
	t.blank()
	t.wrap(first, rest, s)
}

func (t *plain) heading(s, mark string) {
	t.blank()
	before := t.b.Len()
	t.wrap("", "", s)
	t.flow[len(t.flow)-1].Level = map[string]int{"=": 1, "-": 2, "": 3}[mark]
	long := 0
	for _, l := range strings.Split(strings.TrimRight(t.b.String()[before:], "\n"), "\n") {
		long = max(long, width(l))
	}
	if mark != "" {
		t.b.WriteString(strings.Repeat(mark, long) + "\n")
	}
}

const ruled = "______________________________"

func (t *plain) identifiers(docs []render.Doc, o Options) {
	t.blank()
	for _, who := range []struct {
		value string
		label func(render.Furniture) render.Line
	}{
		{o.Identifiers.Name, func(f render.Furniture) render.Line { return f.Name }},
		{o.Identifiers.Born, func(f render.Furniture) render.Line { return f.Born }},
		{o.Identifiers.Chart, func(f render.Furniture) render.Line { return f.Chart }},
	} {
		t.pair(docs, who.label, who.value)
	}
}

// pair writes "Name / Nombre: value", or a line to write on.
func (t *plain) pair(docs []render.Doc, label func(render.Furniture) render.Line, value string) {
	var labels []string
	for _, d := range docs {
		t.doc = d
		labels = append(labels, t.line(label(d.Page)))
	}
	value = strings.TrimSpace(safetext.Plain.Clean(value))
	if value == "" {
		value = ruled
	} else {
		value = fsi + value + pdi
	}
	t.wrap("", "  ", labeled(strings.Join(labels, " / "))+value)
}

// rule draws a line across.
func (t *plain) rule(mark string) {
	t.say(Said{Rule: true})
	t.b.WriteString(strings.Repeat(mark, columns) + "\n")
}

func (t *plain) foot(docs []render.Doc, o Options) {
	t.blank()
	t.rule("-")
	t.doc = docs[0]
	place := t.line(docs[0].Page.Practice)
	for _, d := range docs {
		t.doc = d
		place += " · " + t.line(d.Page.Telephone)
	}
	t.wrap("", "", place)
	if o.Seal != "" {
		t.pair(docs, func(f render.Furniture) render.Line { return f.Seal }, o.Seal)
	}
	for _, d := range docs {
		t.doc = d
		t.para("", "", t.line(d.Page.Caution))
		t.wrap("", "", t.line(d.Page.Version))
	}
}

// blocks writes a block in each language, but gives one place to write, cross or
// break a page.
func (t *plain) blocks(docs []render.Doc, i int) {
	t.doc = docs[0]
	first := docs[0].Blocks[i]
	if len(docs) == 2 {
		switch first.Kind {
		case sheet.PageBreak:
			t.block(first)
			return
		case sheet.Lines:
			for _, d := range docs {
				t.doc = d
				t.lead(d.Blocks[i])
			}
			first.Text = nil
			t.block(first)
			return
		case sheet.Sign:
			t.sign(docs, i)
			return
		case sheet.Tick, sheet.Choices, sheet.Table:
			if first.Kind == sheet.Tick || boxed(first) {
				t.both(docs, i)
				return
			}
		}
	}
	for n, d := range docs {
		t.doc, t.again = d, n > 0
		t.block(d.Blocks[i])
	}
	t.again = false
}

func (t *plain) sign(docs []render.Doc, i int) {
	for _, d := range docs {
		t.doc = d
		t.lead(d.Blocks[i])
	}
	t.blank()
	for j, it := range docs[0].Blocks[i].Items {
		var labels []string
		for _, d := range docs {
			t.doc = d
			labels = append(labels, t.line(d.Blocks[i].Items[j].Label))
		}
		said := ruled
		if s := on(t.signed, docs[0].Blocks[i], it.Label); s != nil {
			t.doc = docs[0]
			said = t.isolated(s.Text)
		} else if len(it.Text) > 0 {
			t.doc = docs[0]
			said = t.line(it.Text)
		}
		t.wrap("", "  ", labeled(strings.Join(labels, " / "))+said)
		for _, d := range docs {
			t.doc = d
			t.more("  ", d.Blocks[i].Items[j])
		}
		if on(t.signed, docs[0].Blocks[i], it.Label) == nil { // what was signed says when
			t.signDate(docs, i)
		}
		t.b.WriteString("\n")
	}
	t.extra(docs[0], docs[0].Blocks[i])
}

// signDate leaves room for the date of a signature.
func (t *plain) signDate(docs []render.Doc, i int) {
	var labels []string
	for _, d := range docs {
		if t.doc = d; len(d.Blocks[i].Aside) > 0 {
			labels = append(labels, t.line(d.Blocks[i].Aside))
		}
	}
	if len(labels) > 0 {
		t.wrap("  ", "  ", labeled(strings.Join(labels, " / "))+ruled)
	}
}

// extra writes a line for each signature that has none on the sheet.
func (t *plain) extra(d render.Doc, b render.Block) {
	t.doc = d
	for _, s := range extra(t.signed, d, b) {
		t.wrap("", "  ", t.isolated(s.Label)+": "+t.isolated(s.Text))
		t.b.WriteString("\n")
	}
}

// isolated keeps a text that was typed apart from the direction around it.
func (t *plain) isolated(s string) string {
	s = safetext.Plain.Clean(s)
	if t.doc.Dir == "rtl" || strings.ContainsFunc(s, rightToLeft) {
		return fsi + s + pdi
	}
	return s
}

// boxed reports whether a block has boxes to cross or room to write.
func boxed(b render.Block) bool {
	return slices.ContainsFunc(b.Items, func(it render.Item) bool {
		return len(it.Choices) > 0 || slices.ContainsFunc(it.Cells, func(c render.Cell) bool { return len(c.Boxes) > 0 || c.Write })
	})
}

// both writes a block with boxes once, in the words of both languages.
func (t *plain) both(docs []render.Doc, i int) {
	merged := docs[0].Blocks[i]
	join := func(a, b render.Line) render.Line {
		switch {
		case len(b) == 0 || a.String() == b.String():
			return a
		case len(a) == 0:
			return b
		}
		return slices.Concat(a, render.Line{{Text: " / "}}, b)
	}
	second := docs[1].Blocks[i]
	merged.Text, merged.Aside = join(merged.Text, second.Text), join(merged.Aside, second.Aside)
	merged.Columns = joined(merged.Columns, second.Columns, join)
	merged.Heads = slices.Clone(merged.Heads)
	for j := range merged.Heads {
		merged.Heads[j].Text = join(merged.Heads[j].Full(), second.Heads[j].Full())
		merged.Heads[j].Name = nil
	}
	merged.Items = joinedItems(merged.Items, second.Items, join)
	t.doc = docs[0]
	t.block(merged)
}

func joinedItems(a, b []render.Item, join func(a, b render.Line) render.Line) []render.Item {
	out := slices.Clone(a)
	for j := range out {
		it, o := &out[j], b[j]
		it.Label, it.Text, it.More = join(it.Label, o.Label), join(it.Text, o.Text), joined(it.More, o.More, join)
		it.Items = joinedItems(it.Items, o.Items, join)
		it.Cells, it.Choices = slices.Clone(it.Cells), slices.Clone(it.Choices)
		for k := range it.Cells {
			it.Cells[k].Texts = joined(it.Cells[k].Texts, o.Cells[k].Texts, join)
			it.Cells[k].Boxes = joinedBoxes(it.Cells[k].Boxes, o.Cells[k].Boxes, join)
		}
		for k := range it.Choices {
			it.Choices[k].Where = join(it.Choices[k].Where, o.Choices[k].Where)
			it.Choices[k].Boxes = joinedBoxes(it.Choices[k].Boxes, o.Choices[k].Boxes, join)
		}
	}
	return out
}

func joined(a, b []render.Line, join func(a, b render.Line) render.Line) []render.Line {
	out := slices.Clone(a)
	for i := range out {
		out[i] = join(out[i], b[i])
	}
	return out
}

func joinedBoxes(a, b []render.Box, join func(a, b render.Line) render.Line) []render.Box {
	out := slices.Clone(a)
	for i := range out {
		out[i].Text = join(out[i].Text, b[i].Text)
	}
	return out
}

func box(mark bool) string {
	if mark {
		return "[x]"
	}
	return "[" + tie + "]"
}

func (t *plain) block(b render.Block) {
	said := t.line(b.Text) + t.cite(b.Ref) + t.room(b.Blank)
	switch b.Kind {
	case sheet.Heading:
		t.heading(said, map[int]string{2: "-"}[b.Level])
	case sheet.List:
		if b.Style != sheet.InLine && b.Style != sheet.Fine {
			t.items(b)
			break
		}
		t.inLine(b, said)
	case sheet.Paragraph:
		if b.Style == sheet.Repeat { // paper alone has pages
			break
		}
		t.para("", "", said)
	case sheet.Chart, sheet.HandOver:
		if b.Style == sheet.Again {
			return
		}
		t.drawn(b, said)
	case sheet.Table:
		t.table(b, said)
	case sheet.PageBreak:
		if !slices.Contains([]sheet.Style{sheet.Whole, sheet.After}, b.Style) {
			t.blank()
			t.rule("=")
		}
	case sheet.Urgent:
		t.urgent(b)
	case sheet.Notice:
		t.para("! ", "  ", said)
		t.each("  - ", "    ", b.Items)
	case sheet.Lines:
		t.lead(b)
		t.blank()
		for range b.Count {
			t.say(Said{Text: ruled})
			t.b.WriteString(strings.Repeat("_", columns-8) + "\n\n")
		}
	case sheet.Choices:
		t.lead(b)
		t.blank()
		for _, it := range b.Items {
			t.choice(it)
		}
	case sheet.Sources:
		t.blank()
		for i, it := range b.Items {
			n := letters(i+1) + ". "
			t.item(n, strings.Repeat(" ", len(n)), it)
		}
	default:
		t.items(b)
	}
}

// room is what is left to write in after a text.
func (t *plain) room(size int) string {
	if size == 0 || t.again {
		return ""
	}
	return " " + ruled
}

// drawn writes what a drawing or a code says.
func (t *plain) drawn(b render.Block, said string) {
	t.para("", "", said)
	t.each("", "", b.Items)
	if b.Address != "" {
		t.say(Said{Text: b.Address})
		t.end(b.Address)
	}
}

// urgent writes an urgency: whom to call, then each sign with what to do.
func (t *plain) urgent(b render.Block) {
	head := t.line(b.Text)
	if len(b.Aside) > 0 {
		head += " \u00b7 " + t.line(b.Aside)
	}
	t.heading(head, "-")
	t.blank()
	t.each("! ", "  ", b.Items)
}

// table writes a row as one paragraph, each cell after the name of its columns.
func (t *plain) table(b render.Block, said string) {
	if len(b.Text) > 0 {
		t.para("", "", said+colon(b.Text))
	}
	for i, it := range b.Items {
		if b.Style == sheet.Ways || b.Style == sheet.Look {
			t.asked(b, it)
			continue
		}
		if b.Style != sheet.Money || i == 0 {
			t.blank()
		}
		t.tableRow(b, it)
	}
}

// asked writes the row of a table that is read question by question.
func (t *plain) asked(b render.Block, it render.Item) {
	t.blank()
	label := t.line(it.Label) + t.cite(it.Ref)
	if it.Rank > 0 {
		label = "(" + strconv.Itoa(it.Rank) + ") " + label
	}
	t.wrap("", "", label)
	at := 0
	for _, c := range it.Cells {
		var names []string
		for s := range max(1, c.Span) {
			names = append(names, t.line(b.Heads[at+s].Full()))
		}
		at += max(1, c.Span)
		t.wrap("- ", "  ", labeled(strings.Join(names, comma(t.doc)))+t.cell(c))
	}
}

// cell writes the sentences of a cell, its boxes and its room to write.
func (t *plain) cell(c render.Cell) string {
	var parts []string
	for _, l := range c.Texts {
		parts = append(parts, t.line(l))
	}
	s := strings.Join(parts, " ") + t.cite(c.Ref)
	for _, x := range c.Boxes {
		s += " " + box(x.Mark) + tie + whole(t.line(x.Text)) + tie
	}
	if c.Write {
		s += " " + ruled
	}
	return strings.TrimSpace(s)
}

// inLine writes the entries of a list as one paragraph.
func (t *plain) inLine(b render.Block, said string) {
	run := ""
	if len(b.Text) > 0 {
		run = spaced(said + colon(b.Text))
	}
	for i, it := range b.Items {
		all := it.Said()
		if len(it.Label) > 0 {
			run += spaced(t.line(it.Label) + colon(it.Label))
		}
		for j, l := range all {
			if j > 0 {
				run = spaced(run)
			}
			run += t.line(l)
		}
		run += t.cite(it.Ref) + t.room(it.Blank)
		if i+1 < len(b.Items) {
			run += between(all[len(all)-1])
		}
	}
	t.para("", "", run)
}

// each writes entries with the same lead.
func (t *plain) each(first, rest string, items []render.Item) {
	for _, it := range items {
		t.item(first, rest, it)
	}
}

func (t *plain) items(b render.Block) {
	t.lead(b)
	t.blank()
	if len(b.Columns) == 2 { // the rows of a schedule have this order
		t.wrap("", "  ", labeled(t.line(b.Columns[0]))+t.line(b.Columns[1]))
	}
	for _, it := range b.Items {
		switch {
		case b.Kind == sheet.Tick:
			t.item(strings.ReplaceAll(box(it.Mark), tie, " ")+" ", "    ", it)
		case b.Kind == sheet.Sign:
			t.signLine(b, it)
		default:
			t.item("- ", "  ", it)
		}
	}
	t.extra(t.doc, b)
}

func (t *plain) signLine(b render.Block, it render.Item) {
	said := ruled
	if s := on(t.signed, b, it.Label); s != nil {
		said = t.isolated(s.Text)
	} else if len(it.Text) > 0 {
		said = t.line(it.Text)
	}
	t.wrap("", "  ", spaced(t.line(it.Label)+colon(it.Label))+said)
	t.more("  ", it)
	if len(b.Aside) > 0 && on(t.signed, b, it.Label) == nil { // what was signed says when
		t.wrap("  ", "  ", spaced(t.line(b.Aside)+colon(b.Aside))+ruled)
	}
	t.b.WriteString("\n")
}

func (t *plain) lead(b render.Block) {
	said := t.line(b.Text) + t.cite(b.Ref)
	if len(b.Aside) > 0 && b.Kind == sheet.Tick {
		said = spaced(said+colon(b.Text)) + t.line(b.Aside)
	}
	if said != "" {
		t.para("", "", said)
	}
}

func (t *plain) item(first, rest string, it render.Item) {
	s, before := "", render.Line(nil)
	if len(it.Label) > 0 {
		s = spaced(t.line(it.Label) + colon(it.Label))
	}
	for i, m := range it.Said() {
		if i > 0 && !before.Ended() {
			t.wrap(first, rest, s)
			first, s = rest, ""
		} else if i > 0 {
			s = spaced(s)
		}
		s += t.line(m)
		before = m
	}
	t.wrap(first, rest, s+t.cite(it.Ref)+t.room(it.Blank))
	t.each(rest+"- ", rest+"  ", it.Items)
}

func (t *plain) more(rest string, it render.Item) {
	for _, m := range it.More {
		t.wrap(rest, rest, t.line(m))
	}
}

// choice writes a chair change: what may come up, how far it goes, and its boxes place
// by place; or the name of a group of them.
func (t *plain) choice(it render.Item) {
	name := t.line(it.Label) + t.cite(it.Ref)
	for _, l := range it.Said() {
		name = spaced(name) + t.line(l)
	}
	if len(it.Cells)+len(it.Choices) == 0 {
		t.blank()
		t.wrap("", "", name)
		return
	}
	t.wrap("- ", "  ", name)
	for _, under := range it.Items {
		name := t.line(under.Label) + t.cite(under.Ref)
		for _, l := range under.Said() {
			name = spaced(name) + t.line(l)
		}
		t.wrap("  - ", "    ", name)
		for _, c := range under.Cells {
			t.wrap("    ", "    ", t.cell(c))
		}
	}
	for _, c := range it.Cells { // of several, what is the same for them
		t.wrap("  ", "  ", t.cell(c))
	}
	for _, c := range it.Choices {
		var parts []string
		if len(c.Where) > 0 {
			parts = append(parts, whole(labeled(t.line(c.Where))))
		}
		for _, x := range c.Boxes {
			parts = append(parts, box(x.Mark)+tie+whole(t.line(x.Text)))
		}
		t.wrap("  ", "    ", strings.Join(parts, tie+tie+" "))
	}
}

// tableRow writes a row of a table as one paragraph, each cell after its column.
func (t *plain) tableRow(b render.Block, it render.Item) {
	label := it.Label
	named := len(b.Columns)+len(b.Heads) > 0
	s := spaced(t.line(label) + t.cite(it.Ref))
	if !named {
		s = spaced(t.line(label) + colon(label))
	}
	at := 1
	for i, c := range it.Cells {
		var name render.Line
		if at < len(b.Columns) {
			name = b.Columns[at]
		} else if at <= len(b.Heads) {
			name = b.Heads[at-1].Full()
		}
		if i > 0 || named {
			s += "\u00b7 "
		}
		if len(name) > 0 && !saidBy(c, name) {
			s += spaced(t.line(name) + colon(name))
		}
		at += max(1, c.Span)
		s = spaced(s + t.cell(c))
	}
	t.wrap("- ", "  ", s)
}

// saidBy reports whether a cell is a box with the name of its column.
func saidBy(c render.Cell, name render.Line) bool {
	return len(c.Boxes) == 1 && len(c.Texts) == 0 && c.Boxes[0].Text.String() == name.String()
}

func (t *plain) cite(r sheet.Ref) string {
	if len(r.Sources) == 0 {
		return ""
	}
	var s []string
	for _, n := range slices.Sorted(slices.Values(r.Sources)) {
		s = append(s, letters(n))
	}
	mark := "[" + strings.Join(s, ",") + "]"
	if t.doc.Dir == "rtl" {
		mark = lri + mark + pdi
	}
	return " " + mark
}

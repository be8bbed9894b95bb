package printout

import (
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
		case sheet.Tick, sheet.Choices:
			t.boxes(docs, i)
			return
		}
	}
	for _, d := range docs {
		t.doc = d
		t.block(d.Blocks[i])
	}
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
		t.b.WriteString("\n")
	}
	t.extra(docs[0], docs[0].Blocks[i])
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

// boxes writes rows with boxes, the boxes once, in the words of both languages.
func (t *plain) boxes(docs []render.Doc, i int) {
	for _, d := range docs {
		t.doc = d
		t.lead(d.Blocks[i])
	}
	t.blank()
	for j, first := range docs[0].Blocks[i].Items {
		for v, d := range docs {
			t.doc = d
			b, it := d.Blocks[i], d.Blocks[i].Items[j]
			switch {
			case b.Kind == sheet.Choices:
				t.choice(b, it, false)
			case v > 0:
				t.item("    ", "    ", it)
			case it.Mark:
				t.item("[x] ", "    ", it)
			default:
				t.item("[ ] ", "    ", it)
			}
		}
		for k, c := range first.Cells {
			if len(c.Boxes) == 0 {
				continue
			}
			var parts []string
			for m, x := range c.Boxes {
				var words []string
				for _, d := range docs {
					t.doc = d
					words = append(words, t.line(d.Blocks[i].Items[j].Cells[k].Boxes[m].Text))
				}
				parts = append(parts, box(x.Mark)+tie+whole(strings.Join(words, " / ")))
			}
			t.wrap("  ", "  ", strings.Join(parts, tie+tie+" "))
		}
	}
}

func box(mark bool) string {
	if mark {
		return "[x]"
	}
	return "[" + tie + "]"
}

func (t *plain) block(b render.Block) {
	said := t.line(b.Text) + t.cite(b.Ref)
	switch b.Kind {
	case sheet.Heading:
		t.heading(said, map[int]string{2: "-"}[b.Level])
	case sheet.List:
		if b.Style != sheet.InLine {
			t.items(b)
			break
		}
		t.inLine(b, said)
	case sheet.Paragraph, sheet.Chart:
		t.para("", "", said)
		t.each("", "", b.Items)
	case sheet.HandOver:
		t.para("", "", said)
		t.each("", "", b.Items)
		t.say(Said{Text: b.Address})
		t.end(b.Address)
	case sheet.Icons:
		if b.Style != sheet.Tabled && !repeated(t.doc, b) {
			t.para("", "", said)
		}
	case sheet.Table:
		t.para("", "", said+colon(b.Text))
		t.blank()
		for _, it := range b.Items {
			t.tableRow(b, it)
		}
	case sheet.PageBreak:
		if b.Style == sheet.Whole {
			break
		}
		t.blank()
		t.rule("=")
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
			t.choice(b, it, true)
		}
	case sheet.Sources:
		t.blank()
		for i, it := range b.Items {
			n := strconv.Itoa(i+1) + ". "
			t.item(n, strings.Repeat(" ", len(n)), it)
		}
	default:
		t.items(b)
	}
}

// inLine writes the entries of a list as one paragraph.
func (t *plain) inLine(b render.Block, said string) {
	run := ""
	if len(b.Text) > 0 {
		run = spaced(said + colon(b.Text))
	}
	for i, it := range b.Items {
		all := append([]render.Line{it.Text}, it.More...)
		for j, l := range all {
			if j > 0 {
				run = spaced(run)
			}
			run += t.line(l)
		}
		run += t.cite(it.Ref)
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
		case b.Kind == sheet.Tick && it.Mark:
			t.item("[x] ", "    ", it)
		case b.Kind == sheet.Tick:
			t.item("[ ] ", "    ", it)
		case b.Kind == sheet.Sign && on(t.signed, b, it.Label) != nil:
			t.wrap("", "  ", t.line(it.Label)+colon(it.Label)+" "+t.isolated(on(t.signed, b, it.Label).Text))
			t.b.WriteString("\n")
		case b.Kind == sheet.Sign && len(it.Text) == 0:
			t.wrap("", "  ", spaced(t.line(it.Label)+colon(it.Label))+ruled)
			t.more("  ", it)
			t.b.WriteString("\n")
		default:
			t.item("- ", "  ", it)
		}
	}
	t.extra(t.doc, b)
}

func (t *plain) lead(b render.Block) {
	if len(b.Text) > 0 {
		t.para("", "", t.line(b.Text)+t.cite(b.Ref))
	}
}

func (t *plain) item(first, rest string, it render.Item) {
	s := t.line(it.Text)
	if len(it.Label) > 0 {
		s = spaced(t.line(it.Label)+colon(it.Label)) + s
	}
	before := it.Text
	for _, m := range it.More {
		if !before.Ended() {
			t.wrap(first, rest, s)
			first, s = rest, ""
		}
		s = spaced(s) + t.line(m)
		before = m
	}
	t.wrap(first, rest, s+t.cite(it.Ref))
}

func (t *plain) more(rest string, it render.Item) {
	for _, m := range it.More {
		t.wrap(rest, rest, t.line(m))
	}
}

// choice writes a chair change: its name and the short words that hold of it, then
// what each column says.
func (t *plain) choice(b render.Block, it render.Item, boxed bool) {
	name := t.line(it.Label) + t.cite(it.Ref)
	for _, l := range it.Words() {
		name += " \u00b7 " + t.line(l)
	}
	t.wrap("- ", "  ", name)
	for i, c := range it.Cells {
		s := ""
		if i < len(b.Columns) {
			s = spaced(t.line(b.Columns[i]) + colon(b.Columns[i]))
		}
		for k, l := range c.Texts {
			s += spaced(t.line(l))
			if k+1 < len(c.Texts) && !l.Ended() {
				t.wrap("  ", "    ", s)
				s = "  "
			}
		}
		for _, x := range c.Boxes {
			if boxed {
				s += box(x.Mark) + tie + whole(t.line(x.Text)) + tie + tie + " "
			}
		}
		if strings.TrimSpace(s) != "" {
			t.wrap("  ", "    ", s)
		}
	}
}

// tableRow writes a row of a table as one paragraph, each cell after its column.
func (t *plain) tableRow(b render.Block, it render.Item) {
	s := spaced(t.line(it.Label) + colon(it.Label))
	if len(b.Columns) > 0 {
		s = spaced(t.line(b.Columns[0])) + s
	}
	for i, c := range it.Cells {
		if i > 0 {
			s += "\u00b7 "
		}
		if i+1 < len(b.Columns) {
			s += spaced(t.line(b.Columns[i+1]) + colon(b.Columns[i+1]))
		}
		for k, l := range c.Texts {
			if k == 0 {
				s += t.line(l)
			} else {
				s = spaced(s) + "(" + t.line(l) + ")"
			}
		}
		s = spaced(s)
	}
	t.wrap("- ", "  ", s)
}

func (t *plain) cite(r sheet.Ref) string {
	if len(r.Sources) == 0 {
		return ""
	}
	var s []string
	for _, n := range spans(r.Sources) {
		if s = append(s, strconv.Itoa(n[0])); n[1] > n[0] {
			s[len(s)-1] += "–" + strconv.Itoa(n[1])
		}
	}
	mark := "[" + strings.Join(s, ",") + "]"
	if t.doc.Dir == "rtl" {
		mark = lri + mark + pdi
	}
	return " " + mark
}

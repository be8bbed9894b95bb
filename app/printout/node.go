package printout

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/net/html"

	"plainleaf/app/casefile"
	"plainleaf/app/render"
	"plainleaf/app/safetext"
	"plainleaf/app/sheet"
)

func node(docs []render.Doc, o Options) (*html.Node, error) {
	if err := aligned(docs); err != nil {
		return nil, err
	}
	first := docs[0]
	p := &page{docs: docs, o: o}
	if err := p.drawable(); err != nil {
		return nil, err
	}
	for i, d := range docs {
		p.writers = append(p.writers, &writer{doc: d, index: i, sources: sources(d), signed: o.Signed, narrow: p.columns()})
	}
	main := p.main()
	// A table whose head and foot the browser repeats on every printed page; to
	// those who hear it, it is no table.
	leaf := add(el("table", "class", "leaf", "role", "presentation"),
		add(el("thead"), add(el("tr"), add(el("td"), p.head()))),
		add(el("tbody"), add(el("tr"), add(el("td"), main))),
		add(el("tfoot"), add(el("tr"), add(el("td"), p.foot()))))
	second := ""
	if len(docs) == 2 {
		second = docs[1].Locale
	}
	return add(el("div", "class", "sheet", "lang", first.Lang, "dir", first.Dir, "data-kind", string(first.Kind),
		"data-locale", first.Locale, "data-second", second, "data-issued", first.Issued.String(), "data-case", first.CaseID,
		"data-state", first.State), leaf, p.twin()), nil
}

// main lays out the banners, the title and the blocks.
func (p *page) main() *html.Node {
	first := p.docs[0]
	f := &flow{page: p, main: el("main", "class", "holder")}
	for _, w := range p.writers {
		for _, b := range w.doc.Banners {
			if b.Msg() != specimen {
				add(f.main, w.line(el("p", "class", "banner", "role", "note", "lang", w.doc.Lang, "dir", w.doc.Dir), b))
			}
		}
	}
	f.into = f.main
	if p.columns() && first.Kind != sheet.Aftercare {
		// The title stands in the first column. Below a title over both, a browser
		// may find the page too short for the columns and leave the rest of it empty.
		f.begin("div", "spread")
	}
	add(f.into, p.title())
	f.urgent = first.Kind == sheet.Aftercare && slices.ContainsFunc(first.Blocks, func(b render.Block) bool { return b.Kind == sheet.PageBreak })
	for i, b := range first.Blocks {
		n := p.block(i)
		switch b.Kind {
		case sheet.Heading:
			f.heading()
			add(f.into, n)
		case sheet.PageBreak:
			f.pageBreak(b, n)
		default:
			add(f.into, n)
		}
	}
	return f.main
}

// flow is where the next block goes while a sheet is laid out.
type flow struct {
	*page
	main, into *html.Node
	whole      bool // the next spread is kept on one page
	urgent     bool // on page one of the aftercare: signs of a line each, for a reader in haste
}

// begin adds an element to the sheet, into which the next blocks go.
func (f *flow) begin(tag, name string) {
	f.into = el(tag, "class", name)
	add(f.main, f.into)
}

// heading begins the columns, where the blocks before ran over the whole width.
func (f *flow) heading() {
	if f.into != f.main || !f.columns() {
		return
	}
	name := "spread"
	if f.urgent {
		name = "first"
	}
	f.begin("div", name)
	if f.whole {
		class(f.into, "keep")
	}
	f.whole = false
}

// pageBreak ends what the blocks before it were in. The break itself, n, is left out
// where the blocks after it are kept together instead.
func (f *flow) pageBreak(b render.Block, n *html.Node) {
	large, bilingual := f.o.Size == "large", len(f.docs) == 2
	switch {
	case b.Style == sheet.Whole && f.signature:
		if !large {
			signed := el("div", "class", "keep")
			add(f.into, signed)
			f.into = signed
		}
	case b.Style == sheet.Whole:
		f.into, f.whole = f.main, f.columns()
		if !f.whole && !bilingual && !large {
			f.begin("div", "keep")
		}
	case f.urgent && (bilingual || large):
		// Longer than a page anyway, it ends anywhere, and what follows goes on below it.
		f.urgent, f.into = false, f.main
	default:
		f.urgent, f.into = false, f.main
		f.signature = b.Style == sheet.Signature
		f.whole = b.Keep && f.columns()
		switch {
		case f.whole:
		case f.signature:
			class(n, "bare")
			add(f.main, n)
			f.begin("section", "signature")
		default:
			add(f.main, n)
		}
	}
}

// columns reports whether the text runs in two columns: long sheets in one
// language, whose lines are then short enough to read with ease. Large print
// and narrow screens have one.
func (p *page) columns() bool {
	k := p.docs[0].Kind
	return len(p.docs) == 1 && (k == sheet.Options || k == sheet.Consent || k == sheet.Aftercare)
}

// specimen is the banner that stands in the head of every page.
const specimen = "banner.specimen"

// twin is the foot once more, for print only: it is fixed to the end of every
// page, also of the last, while the foot of the table keeps its room free.
func (p *page) twin() *html.Node {
	n := p.foot()
	class(n, "twin")
	return n
}

// page lays out one or two documents; writer writes one of them.
type page struct {
	docs    []render.Doc
	writers []*writer
	o       Options
	// signature: the blocks that come stand on the signature page, close together.
	signature bool
}

type writer struct {
	doc     render.Doc
	index   int // 0 or 1; part of ids
	ids     int
	sources int // length of the source list
	signed  []Signed
	narrow  bool // text in columns: labels run in
}

func sources(d render.Doc) int {
	n := 0
	for _, b := range d.Blocks {
		if b.Kind == sheet.Sources {
			n += len(b.Items)
		}
	}
	return n
}

// id gives an id of its own within the file.
func (w *writer) id() string {
	w.ids++
	return "d" + strconv.Itoa(w.index) + "-" + strconv.Itoa(w.ids)
}

// sides puts what each document has beside each other, or alone if it is alone.
func (p *page) sides(class string, written func(*writer) *html.Node) *html.Node {
	if len(p.writers) == 1 {
		return written(p.writers[0])
	}
	pair := el("div", "class", strings.TrimSpace("pair "+class))
	for _, w := range p.writers {
		add(pair, add(el("div", "class", "side", "lang", w.doc.Lang, "dir", w.doc.Dir), written(w)))
	}
	return pair
}

// title is the one first-level heading, in both languages where there are two.
func (p *page) title() *html.Node {
	if len(p.writers) == 1 {
		return p.writers[0].line(el("h1"), p.docs[0].Title)
	}
	h1 := el("h1", "class", "pair")
	for _, w := range p.writers {
		add(h1, w.line(el("span", "class", "side", "lang", w.doc.Lang, "dir", w.doc.Dir), w.doc.Title))
	}
	return h1
}

func (p *page) head() *html.Node {
	all := el("div", "class", "top")
	for _, w := range p.writers {
		for _, b := range w.doc.Banners {
			if b.Msg() == specimen {
				add(all, w.line(el("p", "class", "specimen", "role", "note", "lang", w.doc.Lang, "dir", w.doc.Dir), b))
			}
		}
	}
	head := el("div", "class", "head", "role", "group", "aria-label", p.docs[0].Words.Identifiers.String())
	for _, who := range []struct {
		key, value string
		label      func(render.Furniture) render.Line
	}{
		{"name", p.o.Identifiers.Name, func(f render.Furniture) render.Line { return f.Name }},
		{"born", p.o.Identifiers.Born, func(f render.Furniture) render.Line { return f.Born }},
		{"chart", p.o.Identifiers.Chart, func(f render.Furniture) render.Line { return f.Chart }},
	} {
		row := el("div", "class", "who", "data-who", who.key)
		p.labels(row, who.label)
		if value := strings.TrimSpace(safetext.Plain.Clean(who.value)); value != "" {
			add(row, add(el("bdi", "class", "given", "data-value", "verbatim"), text(value)))
		} else {
			add(row, p.writers[0].write())
		}
		add(head, row)
	}
	return add(all, head)
}

// labels writes one label in each language: "Name / Nombre:".
func (p *page) labels(row *html.Node, label func(render.Furniture) render.Line) {
	span, last := el("span", "class", "label"), ""
	for i, w := range p.writers {
		if i > 0 {
			add(span, text(" / "))
		}
		last = label(w.doc.Page).String()
		add(span, w.line(el("bdi", "lang", w.doc.Lang, "dir", w.doc.Dir), label(w.doc.Page)))
	}
	add(row, add(span, text(strings.TrimSpace(labeled(last)[len(last):]))))
}

func (p *page) foot() *html.Node {
	foot := el("div", "class", "foot")
	place := el("p", "class", "place")
	p.writers[0].line(place, p.docs[0].Page.Practice)
	for _, w := range p.writers {
		add(place, text(" · "), w.line(el("span", "lang", w.doc.Lang, "dir", w.doc.Dir), w.doc.Page.Telephone))
	}
	if seal := strings.TrimSpace(safetext.Plain.Clean(p.o.Seal)); seal != "" {
		add(place, text(" · "))
		p.labels(place, func(f render.Furniture) render.Line { return f.Seal })
		add(place, text(" "), add(el("bdi", "dir", "ltr", "data-seal", seal), text(seal)))
	}
	add(foot, place)
	add(foot, p.sides("", func(w *writer) *html.Node {
		return add(el("p"), w.line(el("span"), w.doc.Page.Caution), text(" "), w.line(el("span"), w.doc.Page.Version))
	}))
	return foot
}

func (p *page) block(i int) *html.Node {
	b := p.docs[0].Blocks[i]
	if b.Kind == sheet.PageBreak {
		return el("div", "class", "break")
	}
	class := ""
	switch {
	case b.Kind == sheet.Heading:
		class = "hold"
	case b.Keep:
		class = "keep"
	}
	if len(p.writers) == 2 {
		switch b.Kind {
		case sheet.Sign, sheet.Lines, sheet.Tick, sheet.Choices, sheet.Chart, sheet.HandOver:
			return p.shared(i)
		case sheet.Sources: // citations are of no language: once for both
			return p.writers[0].block(b)
		case sheet.List, sheet.Facts, sheet.Schedule:
			if b.Style != sheet.InLine && !p.signature {
				return p.rows(i)
			}
		}
	}
	return p.sides(class, func(w *writer) *html.Node { return w.block(w.doc.Blocks[i]) })
}

// rows writes a list row by row, so that the same row of both languages stays
// side by side over any length.
func (p *page) rows(i int) *html.Node {
	b := p.docs[0].Blocks[i]
	n := el("div", "class", strings.TrimSpace("aligned "+string(b.Style)))
	if len(b.Text) > 0 {
		add(n, p.sides("hold", func(w *writer) *html.Node { return w.line(el("p", "class", "lead"), w.doc.Blocks[i].Text) }))
	}
	for j := range b.Items {
		add(n, p.sides("keep", func(w *writer) *html.Node {
			row := w.doc.Blocks[i]
			row.Text, row.Items, row.Ref = nil, row.Items[j:j+1], sheet.Ref{}
			if j > 0 {
				row.Columns = nil // the head of the table stands once
			}
			return w.kind(row)
		}))
	}
	if b.Keep {
		class(n, "keep")
	}
	return about(n, b.Ref)
}

// shared writes a block in two languages with one place to write, cross or look
// at: two signature lines or two sets of boxes would ask for two answers.
func (p *page) shared(i int) *html.Node {
	n := el("div", "class", "shared")
	b := p.docs[0].Blocks[i]
	if len(b.Text) > 0 && b.Kind != sheet.Chart && b.Kind != sheet.HandOver {
		add(n, p.sides("hold", func(w *writer) *html.Node { return w.line(el("p", "class", "lead"), w.doc.Blocks[i].Text) }))
	}
	switch b.Kind {
	case sheet.Lines:
		add(n, p.writers[0].lines(b.Count))
	case sheet.Chart:
		add(n, add(el("figure", "class", "chart"), p.writers[0].arches(b, p.both(func(w render.Words) render.Line { return w.Right }),
			p.both(func(w render.Words) render.Line { return w.Left }), p.both(func(w render.Words) render.Line { return w.UpperTeeth }),
			p.both(func(w render.Words) render.Line { return w.LowerTeeth })),
			add(el("figcaption"), p.sides("", func(w *writer) *html.Node { return w.beside(el("div"), w.doc.Blocks[i]) }))))
	case sheet.HandOver:
		add(n, add(el("figure", "class", "code"), code(b), add(el("figcaption"),
			p.sides("", func(w *writer) *html.Node { return w.beside(el("div"), w.doc.Blocks[i]) }))))
	case sheet.Sign:
		sign := el("div", "class", strings.TrimSpace("sign "+string(b.Style)))
		for j, it := range b.Items {
			row := el("div", "class", "row")
			p.label(row, func(w *writer) render.Line { return w.doc.Blocks[i].Items[j].Label })
			if s := on(p.o.Signed, b, it.Label); s != nil {
				add(sign, about(add(row, inked(*s)), it.Ref))
				continue
			}
			p.given(row, func(w *writer) render.Item { return w.doc.Blocks[i].Items[j] })
			add(sign, about(row, it.Ref))
		}
		p.writers[0].more(sign, b)
		add(n, sign)
	case sheet.Tick:
		ticks := el("ul", "class", strings.TrimSpace("tick "+string(b.Style)))
		for j, it := range b.Items {
			add(ticks, about(p.writers[0].box(el("li"), it.Mark, p.sides("", func(w *writer) *html.Node {
				return w.ticked(w.doc.Blocks[i].Items[j])
			})), it.Ref))
		}
		add(n, ticks)
	case sheet.Choices:
		for j := range b.Items {
			add(n, p.choice(i, j))
		}
	}
	if b.Keep {
		class(n, "keep")
	}
	return about(n, b.Ref)
}

// both is a short word of both languages, for a drawing.
func (p *page) both(word func(render.Words) render.Line) string {
	var s []string
	for _, d := range p.docs {
		s = append(s, word(d.Words).String())
	}
	return strings.Join(s, " / ")
}

// label writes a label in both languages, one under the other.
func (p *page) label(row *html.Node, label func(*writer) render.Line) {
	span := el("span", "class", "label")
	for _, w := range p.writers {
		add(span, w.line(el("span", "class", "side", "lang", w.doc.Lang, "dir", w.doc.Dir), label(w)))
	}
	add(row, span)
}

// given writes what is already known of a line to sign, or the line.
func (p *page) given(row *html.Node, item func(*writer) render.Item) {
	if len(item(p.writers[0]).Text) == 0 {
		add(row, p.writers[0].write())
	}
	for _, w := range p.writers {
		it := item(w)
		if len(it.Text) > 0 {
			add(row, w.line(el("span", "class", "given", "lang", w.doc.Lang, "dir", w.doc.Dir), it.Text))
		}
		for _, l := range it.More {
			add(row, w.line(el("span", "lang", w.doc.Lang, "dir", w.doc.Dir), l))
		}
	}
}

// choice writes one chair change: what it is in both languages, then its boxes once.
func (p *page) choice(i, j int) *html.Node {
	first := p.docs[0].Blocks[i].Items[j]
	n := el("div", "class", "one")
	add(n, p.sides("", func(w *writer) *html.Node {
		b := w.doc.Blocks[i]
		b.Items = []render.Item{b.Items[j]}
		b.Text = nil
		return w.choices(b, false)
	}))
	for k, c := range first.Cells {
		if len(c.Boxes) == 0 {
			continue
		}
		boxes := el("ul", "class", "boxes row")
		for m, x := range c.Boxes {
			words := el("span")
			for v, w := range p.writers {
				if v > 0 {
					add(words, text(" / "))
				}
				add(words, w.line(el("bdi", "lang", w.doc.Lang, "dir", w.doc.Dir), w.doc.Blocks[i].Items[j].Cells[k].Boxes[m].Text))
			}
			add(boxes, p.writers[0].box(el("li", "data-answer", x.Key), x.Mark, words))
		}
		add(n, boxes)
	}
	return about(n, first.Ref)
}

func (w *writer) block(b render.Block) *html.Node {
	n := w.kind(b)
	if n == nil {
		return nil
	}
	if b.Keep {
		class(n, "keep")
	}
	about(n, b.Ref)
	return n
}

func (w *writer) kind(b render.Block) *html.Node {
	switch b.Kind {
	case sheet.Heading:
		return w.cite(w.line(el("h"+strconv.Itoa(b.Level)), b.Text), b.Ref)
	case sheet.Paragraph:
		return w.cite(w.line(el("p"), b.Text), b.Ref)
	case sheet.List:
		if b.Style == sheet.InLine {
			return w.running(b)
		}
		return w.led(b, w.list(el("ul", "class", string(b.Style)), b.Items))
	case sheet.Sources:
		return w.sourceList(b)
	case sheet.Facts:
		return w.led(b, w.facts(el("dl", "class", strings.TrimSpace("facts "+string(b.Style))), b.Items, b.Style == sheet.RunIn || w.narrow && b.Style != sheet.InLine))
	case sheet.Table:
		return w.table(b)
	case sheet.Phones:
		return w.phones(b)
	case sheet.Schedule:
		return w.led(b, w.schedule(b))
	case sheet.Choices:
		return w.led(b, w.choices(b, true))
	case sheet.Notice:
		return w.notice(b)
	case sheet.Tick:
		return w.led(b, w.ticks(b))
	case sheet.Sign:
		return w.led(b, w.sign(b))
	case sheet.Lines:
		return w.led(b, w.lines(b.Count))
	case sheet.Icons:
		return w.icons(b)
	case sheet.Chart:
		return w.chart(b)
	case sheet.HandOver:
		return add(el("figure", "class", "code"), code(b), w.beside(el("figcaption"), b))
	}
	return nil
}

// led puts a block's own text, where it has one, before it.
func (w *writer) led(b render.Block, n *html.Node) *html.Node {
	if len(b.Text) == 0 {
		return n
	}
	return add(el("div"), w.cite(w.line(el("p", "class", "lead"), b.Text), b.Ref), n)
}

// line writes a line into n and marks n with its message. Values are isolated,
// so that they neither take the direction of the text around them nor give it theirs.
func (w *writer) line(n *html.Node, l render.Line) *html.Node {
	if id := l.Msg(); id != "" {
		n.Attr = append(n.Attr, html.Attribute{Key: "data-msg", Val: id})
	}
	for _, r := range l {
		if r.Value == "" {
			add(n, text(r.Text))
			continue
		}
		var inner *html.Node = text(r.Text)
		switch {
		case r.Value == "phone":
			if number := dial(r.Text); number != "" {
				inner = add(el("a", "href", "tel:"+number), inner)
			}
		case !r.Date.IsZero():
			inner = add(el("time", "datetime", r.Date.String()), inner)
		}
		add(n, add(el("bdi", "dir", r.Dir, "lang", r.Lang, "data-value", r.Value, "data-tooth", codes(r.Teeth)), inner))
	}
	return n
}

// dial gives what a telephone understands of a number as typed: a leading plus
// and the digits before the first letter ("ext. 5" is not dialled).
func dial(s string) string {
	var b strings.Builder
	for _, r := range s {
		switch {
		case r >= '0' && r <= '9':
			b.WriteRune(r)
		case r == '+' && b.Len() == 0:
			b.WriteRune(r)
		case strings.ContainsRune(" -./()\u00a0\u2011\u2013", r):
		default:
			if b.Len() > 1 {
				return b.String()
			}
			return ""
		}
	}
	if b.Len() > 1 {
		return b.String()
	}
	return ""
}

func codes(ts []casefile.Tooth) string {
	var s []string
	for _, t := range ts {
		s = append(s, t.String())
	}
	return strings.Join(s, " ")
}

// about marks n with what it is about. A finding is never named: some are private.
func about(n *html.Node, r sheet.Ref) *html.Node {
	for _, a := range []html.Attribute{
		{Key: "data-tooth", Val: codes(r.Teeth)},
		{Key: "data-figure", Val: strings.Join(r.Figures, " ")},
		{Key: "data-change", Val: r.Change},
		{Key: "data-wait", Val: r.Wait},
		{Key: "data-route", Val: r.Route},
		{Key: "data-warning", Val: r.Warning},
	} {
		if a.Val != "" {
			n.Attr = append(n.Attr, a)
		}
	}
	return n
}

func class(n *html.Node, name string) {
	for i := range n.Attr {
		if n.Attr[i].Key == "class" {
			n.Attr[i].Val += " " + name
			return
		}
	}
	n.Attr = append([]html.Attribute{{Key: "class", Val: name}}, n.Attr...)
}

func (w *writer) unseen(l render.Line) *html.Node {
	return w.line(el("span", "class", "unseen"), l)
}

func (w *writer) write() *html.Node {
	return add(el("span", "class", "write holder"), w.unseen(w.doc.Words.Line))
}

// cite puts the numbers of the sources behind a text.
func (w *writer) cite(n *html.Node, r sheet.Ref) *html.Node {
	if len(r.Sources) == 0 {
		return n
	}
	span := add(el("bdi", "class", "cite holder", "dir", "ltr"), w.unseen(w.doc.Words.Sources), text("["))
	number := func(s int) *html.Node {
		if s < 1 || s > w.sources {
			return text(strconv.Itoa(s))
		}
		return add(el("a", "href", "#"+w.sourceID(s)), text(strconv.Itoa(s)))
	}
	for i, s := range spans(r.Sources) {
		if i > 0 {
			add(span, text(", "))
		}
		if add(span, number(s[0])); s[1] > s[0] {
			add(span, text("–"), number(s[1]))
		}
	}
	return add(n, text("\u00a0"), add(span, text("]")))
}

// spans puts three or more numbers in a row together as the first and the last of
// them, the rest alone, in order.
func spans(list []int) (out [][2]int) {
	list = slices.Compact(slices.Sorted(slices.Values(list)))
	for i := 0; i < len(list); {
		j := i
		for j+1 < len(list) && list[j+1] == list[j]+1 {
			j++
		}
		if j < i+2 {
			j = i
		}
		out = append(out, [2]int{list[i], list[j]})
		i = j + 1
	}
	return out
}

func (w *writer) sourceID(n int) string { return fmt.Sprintf("source-%d", n) }

// sentences writes the text of an item and the sentences that follow it as one
// paragraph; what is no sentence stands on a line of its own.
func (w *writer) sentences(n *html.Node, first render.Line, more []render.Line, r sheet.Ref) *html.Node {
	if len(first) > 0 {
		more = append([]render.Line{first}, more...)
	}
	var last *html.Node
	for i, l := range more {
		if i > 0 && more[i-1].Ended() {
			add(last, text(gap(more[i-1].String())))
		} else {
			last = el("p")
			add(n, last)
		}
		add(last, w.line(el("span"), l))
	}
	if last != nil {
		w.cite(last, r)
	}
	return n
}

func (w *writer) list(n *html.Node, items []render.Item) *html.Node {
	for _, it := range items {
		li := el("li")
		if len(it.Label) > 0 {
			add(li, w.colon(w.line(el("strong"), it.Label), it.Label), text(gap(it.Label.String()+colon(it.Label))))
		}
		if len(it.More) == 0 {
			add(li, w.cite(w.line(el("span"), it.Text), it.Ref))
		} else {
			w.sentences(li, it.Text, it.More, it.Ref)
		}
		add(n, about(li, it.Ref))
	}
	return n
}

// running writes a list as one paragraph.
func (w *writer) running(b render.Block) *html.Node {
	n := el("p")
	if len(b.Text) > 0 {
		add(n, w.colon(w.line(el("strong"), b.Text), b.Text), text(gap(b.Text.String()+colon(b.Text))))
	}
	for i, it := range b.Items {
		span := el("span")
		said := append([]render.Line{it.Text}, it.More...)
		for j, l := range said {
			add(span, w.line(el("span"), l))
			if j+1 < len(said) {
				add(span, text(gap(l.String())))
			}
		}
		w.cite(span, it.Ref)
		if i+1 < len(b.Items) {
			add(span, text(between(said[len(said)-1])))
		}
		add(n, about(span, it.Ref))
	}
	return n
}

// between parts two items on one line.
func between(l render.Line) string {
	if l.Ended() {
		return gap(l.String())
	}
	return " \u00b7 "
}

// stop ends a text that is no sentence and that others follow on the line.
func stop(l render.Line) string {
	switch {
	case l.Ended():
		return gap(l.String())
	case strings.ContainsFunc(l.String(), wide):
		return "。"
	}
	return ". "
}

// gap is the space after a text that goes on: none after a full-width mark, which
// brings its own room.
func gap(s string) string {
	r, _ := utf8.DecodeLastRuneInString(s)
	if wide(r) && unicode.IsPunct(r) {
		return ""
	}
	return " "
}

func (w *writer) sourceList(b render.Block) *html.Node {
	n := el("ol", "class", "sources", "aria-label", b.Text.String())
	for i, it := range b.Items {
		li := el("li", "id", w.sourceID(i+1))
		add(n, about(add(li, w.line(el("span"), it.Text)), it.Ref))
		for _, l := range it.More {
			add(li, text(" "), w.line(el("span"), l))
		}
	}
	return n
}

func (w *writer) facts(n *html.Node, items []render.Item, runIn bool) *html.Node {
	for _, it := range items {
		label, after := w.line(el("dt"), it.Label), " "
		if runIn {
			w.colon(label, it.Label)
			after = gap(it.Label.String() + colon(it.Label))
		}
		add(n, about(add(el("div"), label, text(after),
			w.sentences(el("dd"), it.Text, it.More, it.Ref)), it.Ref))
	}
	return n
}

// colon parts a label from what follows it on the line, unless it ends as a sentence does.
func (w *writer) colon(n *html.Node, label render.Line) *html.Node {
	if s := colon(label); s != "" {
		add(n, text(s))
	}
	return n
}

func colon(label render.Line) string {
	s := strings.TrimSpace(label.String())
	r, _ := utf8.DecodeLastRuneInString(s)
	switch {
	case s == "" || label.Ended() || r == ':' || r == '：':
		return ""
	case strings.ContainsFunc(s, wide):
		return "："
	}
	return ":"
}

func (w *writer) phones(b render.Block) *html.Node {
	n := el("section", "class", "phones")
	if len(b.Text) > 0 {
		id := w.id()
		n.Attr = append(n.Attr, html.Attribute{Key: "aria-labelledby", Val: id})
		add(n, w.line(el("p", "class", "lead", "id", id), b.Text))
	}
	return add(n, w.facts(el("dl"), b.Items, true))
}

func (w *writer) schedule(b render.Block) *html.Node {
	n := el("table", "class", strings.TrimSpace("rows cards schedule "+string(b.Style)), "role", "table")
	w.columns(n, b.Columns)
	body := el("tbody", "role", "rowgroup")
	for _, it := range b.Items {
		add(body, about(add(el("tr", "role", "row"),
			w.line(el("th", "scope", "row", "role", "rowheader"), it.Label),
			w.sentences(el("td", "role", "cell"), it.Text, it.More, it.Ref)), it.Ref))
	}
	return add(n, body)
}

// table writes numbers, or sentences that are compared, in rows and columns; what has more than one text in a cell
// has them below each other.
func (w *writer) table(b render.Block) *html.Node {
	n := el("table", "class", strings.TrimSpace("rows numbers "+string(b.Style)))
	if len(b.Text) > 0 {
		add(n, w.cite(w.line(el("caption"), b.Text), b.Ref))
	}
	head := el("tr")
	for _, c := range b.Columns {
		add(head, w.line(el("th", "scope", "col"), c))
	}
	body := el("tbody")
	for _, it := range b.Items {
		tr := add(el("tr"), w.line(el("th", "scope", "row"), it.Label))
		for _, c := range it.Cells {
			td := el("td")
			for _, l := range c.Texts {
				add(td, w.line(el("p"), l))
			}
			add(tr, td)
		}
		add(body, about(tr, it.Ref))
	}
	return add(n, add(el("thead"), head), body)
}

// columns writes the head of a table. Roles are spelled out since a stylesheet
// that shows rows as cards takes them away in some browsers.
func (w *writer) columns(table *html.Node, cols []render.Line) {
	if len(cols) == 0 {
		return
	}
	tr := el("tr", "role", "row")
	for _, c := range cols {
		add(tr, w.line(el("th", "scope", "col", "role", "columnheader"), c))
	}
	add(table, add(el("thead", "role", "rowgroup"), tr))
}

// choices writes one chair change after the other: its name and the short words
// that hold of it, then what each column but the last says as one paragraph, and
// beside them the last, the answer, with its boxes unless they stand elsewhere.
func (w *writer) choices(b render.Block, boxed bool) *html.Node {
	n := el("div", "class", strings.TrimSpace("choices "+string(b.Style)))
	for _, it := range b.Items {
		one := el("div", "class", "one")
		add(n, about(one, it.Ref))
		name := add(el("p", "class", "name"), w.cite(w.line(el("strong"), it.Label), it.Ref))
		last := it.Label
		for _, l := range it.Words() {
			add(name, add(el("span", "class", "mark"), text(" \u00b7 "), w.line(el("span"), l)))
			last = l
		}
		add(one, add(name, text(stop(last))))
		said := el("p", "class", "said holder")
		answer := el("div", "class", "answer holder")
		for i, c := range it.Cells {
			into, class := said, "what"
			if i == len(it.Cells)-1 {
				into, class = answer, "unseen"
			} else if i == 0 {
				class = "unseen" // when and what need no label for those who see the row
			}
			if i < len(b.Columns) {
				add(into, w.colon(w.line(el("span", "class", class), b.Columns[i]), b.Columns[i]), text(gap(b.Columns[i].String()+colon(b.Columns[i]))))
			}
			for _, l := range c.Texts {
				if into == said {
					add(said, w.line(el("span"), l), text(gap(l.String())))
				} else {
					add(answer, w.line(el("p"), l))
				}
			}
			if boxed && len(c.Boxes) > 0 {
				boxes := el("ul", "class", "boxes row")
				for _, x := range c.Boxes {
					add(boxes, w.box(el("li", "data-answer", x.Key), x.Mark, w.line(el("span"), x.Text)))
				}
				add(into, boxes)
			}
		}
		if said.FirstChild != nil {
			add(one, said)
		}
		if boxed || len(it.Cells) > 0 && len(it.Cells[len(it.Cells)-1].Texts) > 0 {
			add(one, answer)
		}
	}
	return n
}

// box writes a box to cross, whose state is also told in words.
func (w *writer) box(li *html.Node, mark bool, content *html.Node) *html.Node {
	sign, said := "\u2610", w.doc.Words.Empty
	if mark {
		sign, said = "\u2612", w.doc.Words.Crossed
		li.Attr = append(li.Attr, html.Attribute{Key: "data-mark", Val: "crossed"})
	}
	return add(li,
		add(el("span", "class", "holder"), add(el("span", "class", "box", "aria-hidden", "true"), text(sign)), w.unseen(said)),
		content)
}

func (w *writer) ticks(b render.Block) *html.Node {
	n := el("ul", "class", strings.TrimSpace("tick "+string(b.Style)))
	for _, it := range b.Items {
		add(n, about(w.box(el("li"), it.Mark, w.ticked(it)), it.Ref))
	}
	return n
}

// ticked is what stands beside a box.
func (w *writer) ticked(it render.Item) *html.Node {
	n := el("div")
	if len(it.Label) > 0 {
		add(n, w.colon(w.line(el("strong"), it.Label), it.Label), text(" "))
	}
	if len(it.More) == 0 {
		return add(n, w.cite(w.line(el("span"), it.Text), it.Ref))
	}
	return w.sentences(n, it.Text, it.More, it.Ref)
}

func (w *writer) lines(count int) *html.Node {
	n := el("div", "class", "lines", "role", "img", "aria-label", w.doc.Words.Line.String())
	for range count {
		add(n, el("div"))
	}
	return n
}

func (w *writer) sign(b render.Block) *html.Node {
	n := el("div", "class", strings.TrimSpace("sign "+string(b.Style)))
	for _, it := range b.Items {
		row := add(el("div", "class", "row"), w.line(el("span", "class", "label"), it.Label))
		if s := on(w.signed, b, it.Label); s != nil {
			add(row, inked(*s))
		} else if len(it.Text) > 0 {
			add(row, w.line(el("span", "class", "given"), it.Text))
		} else {
			add(row, w.write())
		}
		for _, l := range it.More {
			add(row, w.line(el("span"), l))
		}
		add(n, about(row, it.Ref))
	}
	return w.more(n, b)
}

// more adds a line for each signature that has none on the sheet.
func (w *writer) more(n *html.Node, b render.Block) *html.Node {
	for _, s := range extra(w.signed, w.doc, b) {
		add(n, add(el("div", "class", "row"), add(el("bdi", "class", "label"), text(safetext.Plain.Clean(s.Label))), inked(s)))
	}
	return n
}

var tones = []string{"plain", "caution", "urgent", "emergency"}

func (w *writer) notice(b render.Block) *html.Node {
	tone := "plain"
	if slices.Contains(tones, b.Tone) {
		tone = b.Tone
	}
	n := add(el("section", "class", "notice "+tone, "role", "note"), w.cite(w.line(el("p"), b.Text), b.Ref))
	if len(b.Items) > 0 {
		add(n, w.list(el("ul"), b.Items))
	}
	return n
}

package printout

import (
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/net/html"

	"plainleaf/app/casefile"
	"plainleaf/app/render"
	"plainleaf/app/sheet"
)

// sides puts what each document has beside each other, or alone if it is alone.
func (p *page) sides(name string, written func(int) *html.Node) *html.Node {
	if !p.pair() {
		return written(0)
	}
	pair := el("div", "class", strings.TrimSpace("pair "+name))
	for i, d := range p.docs {
		p.side = i
		add(pair, grouped(i, add(el("div", "class", "side", "lang", d.Lang, "dir", d.Dir), written(i))))
	}
	p.side = 0
	return pair
}

// say writes one text into n, in each language: the second follows the first, once
// where both say the same.
func (p *page) say(n *html.Node, get func(int) render.Line) *html.Node {
	first := get(0)
	if !p.pair() || first.String() == get(1).String() {
		return line(n, first)
	}
	return p.each("span", n, func(d int, in *html.Node) { line(in, get(d)) })
}

// each writes several texts into n: all of them in one language, then all in the other.
func (p *page) each(tag string, n *html.Node, write func(int, *html.Node)) *html.Node {
	if !p.pair() {
		write(0, n)
		return n
	}
	for i, d := range p.docs {
		name := "side"
		if i > 0 {
			name = "side l2"
			add(n, text(" "))
		}
		in := el(tag, "class", name, "lang", d.Lang, "dir", d.Dir)
		write(i, in)
		add(n, grouped(i, in))
	}
	return n
}

// grouped makes a group of what is in the second language: a browser writes the language
// of a part into a PDF only where it is one.
func grouped(side int, n *html.Node) *html.Node {
	if side > 0 {
		n.Attr = append(n.Attr, html.Attribute{Key: "role", Val: "group"})
	}
	return n
}

// beside writes one text into n, in two languages beside each other.
func (p *page) beside(n *html.Node, get func(int) render.Line) *html.Node {
	p.say(n, get)
	if n.FirstChild != nil && n.FirstChild.Type == html.ElementNode && attribute(n.FirstChild, "class") == "side" {
		class(n, "pair")
	}
	return n
}

func attribute(n *html.Node, key string) string {
	for _, a := range n.Attr {
		if a.Key == key {
			return a.Val
		}
	}
	return ""
}

// named gives n an id of its own, if it has none, and returns it.
func (p *page) named(n *html.Node) string {
	id := attribute(n, "id")
	if id == "" {
		id = p.id()
		n.Attr = append(n.Attr, html.Attribute{Key: "id", Val: id})
	}
	return id
}

// line writes a line into n and marks n with its message. Values are isolated,
// so that they neither take the direction of the text around them nor give it theirs.
func line(n *html.Node, l render.Line) *html.Node {
	if id := l.Msg(); id != "" {
		n.Attr = append(n.Attr, html.Attribute{Key: "data-msg", Val: id})
	}
	for _, r := range l {
		if r.Value == "" {
			add(n, text(r.Text))
			continue
		}
		inner := text(r.Text)
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

// unseen is a text of the first language for those who hear the sheet, also amid text of
// the second.
func (p *page) unseen(l render.Line) *html.Node {
	lang := ""
	if p.pair() {
		lang = p.docs[0].Lang
	}
	return line(el("span", "class", "unseen", "lang", lang), l)
}

// write is room to write in.
func (p *page) write(name string) *html.Node {
	return add(el("span", "class", name+" holder"), p.unseen(p.docs[0].Words.Line))
}

// blank adds room to write in after a text, of a size of sheet.Block: once, beside the
// first of two languages.
func (p *page) blank(n *html.Node, size int) *html.Node {
	if size == 0 || p.side > 0 {
		return n
	}
	return add(n, text(" "), p.write([...]string{"", "blank", "blank l", "blank full"}[min(size, 3)]))
}

// cited puts the letters of the sources behind a text.
func (p *page) cited(n *html.Node, r sheet.Ref) *html.Node {
	if len(r.Sources) == 0 {
		return n
	}
	sup := add(el("sup", "class", "src holder", "dir", "ltr"), p.unseen(p.docs[0].Words.Sources))
	for i, s := range slices.Sorted(slices.Values(r.Sources)) {
		if i > 0 {
			add(sup, text(","))
		}
		if s < 1 || s > p.cite {
			add(sup, text(letters(s)))
			continue
		}
		add(sup, add(el("a", "href", "#"+sourceID(s)), text(letters(s))))
	}
	return add(n, sup)
}

func sourceID(n int) string { return "source-" + letters(n) }

// letters names a source: a to z, then aa, ab .... Digits could be taken for a part of a number.
func letters(n int) string {
	s := ""
	for ; n > 0; n = (n - 1) / 26 {
		s = string(rune('a'+(n-1)%26)) + s
	}
	return s
}

// sentences writes the text of an item and the sentences that follow it as one
// paragraph; what is no sentence begins a line of its own.
func (p *page) sentences(n *html.Node, said []render.Line, r sheet.Ref, blank int) *html.Node {
	var last *html.Node
	for i, l := range said {
		if i > 0 && said[i-1].Ended() {
			add(last, text(gap(said[i-1].String())))
		} else {
			last = el("p")
			add(n, last)
		}
		add(last, line(el("span"), l))
	}
	switch {
	case last != nil:
		p.blank(p.cited(last, r), blank)
	case blank > 0:
		add(n, p.blank(el("p"), blank))
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

// gap is the space after a text that goes on: none after a full-width mark, which
// brings its own room.
func gap(s string) string {
	r, _ := utf8.DecodeLastRuneInString(s)
	if wide(r) && unicode.IsPunct(r) {
		return ""
	}
	return " "
}

// comma parts names in a row.
func comma(d render.Doc) string {
	if d.Dir == "rtl" {
		return "، "
	}
	return ", "
}

// colon parts a label from what follows it on the line, unless it ends as a sentence does.
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

// led is a label with the mark that parts it from what follows.
func led(label render.Line) render.Line {
	if s := colon(label); s != "" {
		return slices.Concat(label, render.Line{{Text: s}})
	}
	return label
}

// bold writes a label that its text follows on the same line.
func bold(tag string, label render.Line) *html.Node {
	return line(el(tag), led(label))
}

func integer(n int) string { return strconv.Itoa(n) }

package printout

import (
	"golang.org/x/net/html"

	"plainleaf/app/render"
	"plainleaf/app/safetext"
	"plainleaf/app/sheet"
)

// box writes a box to cross, whose state is also in words.
func (p *page) box(n *html.Node, mark bool, words *html.Node) *html.Node {
	name, said := "box", p.docs[0].Words.Empty
	if mark {
		name, said = "box on", p.docs[0].Words.Crossed
		n.Attr = append(n.Attr, html.Attribute{Key: "data-mark", Val: "crossed"})
	}
	return add(n, add(el("span", "class", "holder"), el("span", "class", name, "aria-hidden", "true"), p.unseen(said)), words)
}

// ticks writes boxes to cross: a list, or one line with what leads to it.
func (p *page) ticks(b render.Block, of func(int) render.Block) *html.Node {
	words := func(j int) *html.Node {
		it := b.Items[j]
		n := el("span", "class", "words")
		if len(it.Label) > 0 {
			add(n, p.say(el("b"), func(d int) render.Line { return led(of(d).Items[j].Label) }), text(" "))
		}
		for i := range it.Said() {
			add(n, p.say(el("span"), func(d int) render.Line { return of(d).Items[j].Said()[i] }), text(" "))
		}
		return p.blank(p.cited(n, it.Ref), it.Blank)
	}
	if b.Style == sheet.Who {
		n := p.lead(el("p", "class", "who"), b, of)
		for j, it := range b.Items {
			add(n, text(" "), about(p.box(el("span", "class", "nb"), it.Mark, words(j)), it.Ref))
		}
		return n
	}
	row := b.Style == sheet.InLine || b.Style == sheet.Answer
	name := map[sheet.Style]string{sheet.InLine: "checks row", sheet.Answer: "checks row answerbox", sheet.TwoColumns: "checks cols", sheet.Note: "checks note"}[b.Style]
	if name == "" {
		name = "checks"
	}
	n := el("ul", "class", name)
	if row && len(b.Text) > 0 {
		add(n, p.lead(el("li"), b, of))
	}
	for j, it := range b.Items {
		add(n, about(p.box(el("li"), it.Mark, words(j)), it.Ref))
	}
	if s := on(p.o.Signed, b, b.Text); s != nil && b.Style == sheet.Answer { // given on the screen
		add(n, add(el("li"), inked(*s)))
	}
	if row {
		return n
	}
	return p.led(b, of, n)
}

// lead writes the words before boxes on one line.
func (p *page) lead(n *html.Node, b render.Block, of func(int) render.Block) *html.Node {
	if len(b.Text) > 0 {
		add(n, p.say(el("b"), func(d int) render.Line { return led(of(d).Text) }))
	}
	if len(b.Aside) > 0 {
		add(n, text(" "), p.say(el("span", "class", "soft"), func(d int) render.Line { return of(d).Aside }))
	}
	return n
}

func (p *page) lines(count int) *html.Node {
	n := el("div", "class", "lines", "role", "img", "aria-label", p.docs[0].Words.Line.String())
	for range count {
		add(n, el("i"))
	}
	return n
}

// sign writes lines to sign on, each with a date beside it where the block asks for one.
func (p *page) sign(b render.Block, of func(int) render.Block) *html.Node {
	n := el("div", "class", "sign")
	if len(b.Aside) > 0 {
		class(n, "four")
	}
	for j, it := range b.Items {
		row := el("div", "class", "row")
		s := on(p.o.Signed, b, it.Label)
		if s != nil {
			add(row, inked(*s))
		} else if len(it.Text) > 0 {
			add(row, p.say(el("span", "class", "given"), func(d int) render.Line { return of(d).Items[j].Text }))
		} else {
			add(row, p.write("write"))
		}
		add(row, p.say(el("span", "class", "label"), func(d int) render.Line { return of(d).Items[j].Label }))
		for i := range it.More {
			add(row, p.say(el("span"), func(d int) render.Line { return of(d).Items[j].More[i] }))
		}
		add(n, about(row, it.Ref))
		switch {
		case len(b.Aside) == 0:
		case s != nil: // what was signed says when
			add(n, el("div", "class", "date"))
		default:
			add(n, add(el("div", "class", "date"), p.write("write"), p.say(el("span", "class", "label"), func(d int) render.Line { return of(d).Aside })))
		}
	}
	for _, s := range extra(p.o.Signed, p.docs[0], b) {
		add(n, add(el("div", "class", "row"), inked(s), add(el("bdi", "class", "label"), text(safetext.Plain.Clean(s.Label)))))
		if len(b.Aside) > 0 {
			add(n, el("div", "class", "date"))
		}
	}
	return n
}

// both writes a short word of each language into a drawing.
func (p *page) both(n *html.Node, word func(render.Words) render.Line) *html.Node {
	if !p.pair() {
		return add(n, text(word(p.docs[0].Words).String()))
	}
	for i, d := range p.docs {
		if i > 0 {
			add(n, text(" / "))
		}
		span := add(el("tspan", "lang", d.Lang), text(word(d.Words).String()))
		span.Namespace = "svg"
		add(n, span)
	}
	return n
}

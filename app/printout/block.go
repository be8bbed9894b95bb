package printout

import (
	"slices"
	"strings"

	"golang.org/x/net/html"

	"plainleaf/app/render"
	"plainleaf/app/sheet"
)

// block writes the i-th block, in both languages where there are two.
func (p *page) block(i int) *html.Node {
	b := p.docs[0].Blocks[i]
	n := p.kind(i, b)
	if n == nil {
		return nil
	}
	if b.Keep && b.Kind != sheet.Heading {
		class(n, "keep")
	}
	return about(n, b.Ref)
}

func (p *page) kind(i int, b render.Block) *html.Node {
	of := func(d int) render.Block { return p.docs[d].Blocks[i] }
	switch b.Kind {
	case sheet.Heading:
		return p.cited(p.beside(el("h"+integer(b.Level)), func(d int) render.Line { return of(d).Text }), b.Ref)
	case sheet.Paragraph:
		return p.paragraph(b, of)
	case sheet.List:
		return p.list(b, of)
	case sheet.Sources:
		return p.sources(b)
	case sheet.Facts:
		return p.facts(b, of)
	case sheet.Table:
		return p.table(b, of)
	case sheet.Phones:
		return p.phones(b, of)
	case sheet.Schedule:
		return p.schedule(b, of)
	case sheet.Choices:
		return p.choices(b, of)
	case sheet.Notice:
		return p.notice(b, of)
	case sheet.Urgent:
		return p.urgent(b, of)
	case sheet.Tick:
		return p.ticks(b, of)
	case sheet.Sign:
		return p.led(b, of, p.sign(b, of))
	case sheet.Lines:
		return p.led(b, of, p.lines(b.Count))
	case sheet.Chart:
		return p.chart(b, of)
	case sheet.HandOver:
		return add(el("figure", "class", "handover"), code(b), add(el("figcaption"), p.sides("", func(d int) *html.Node { return told(of(d)) })))
	}
	return nil
}

// led puts a block's own text, where it has one, before it.
func (p *page) led(b render.Block, of func(int) render.Block, n *html.Node) *html.Node {
	if len(b.Text) == 0 {
		return n
	}
	lead := p.cited(p.say(el("p", "class", "led"), func(d int) render.Line { return of(d).Text }), b.Ref)
	return add(el("div"), lead, n)
}

func (p *page) paragraph(b render.Block, of func(int) render.Block) *html.Node {
	name := map[sheet.Style]string{sheet.Kicker: "kicker", sheet.Lead: "lead", sheet.Note: "note", sheet.Big: "big", sheet.Repeat: "repeat"}[b.Style]
	if b.Style == sheet.Kicker || b.Style == sheet.Repeat {
		return p.beside(el("p", "class", name), func(d int) render.Line { return of(d).Text })
	}
	return p.sides("", func(d int) *html.Node {
		return p.blank(p.cited(line(el("p", "class", name), of(d).Text), b.Ref), b.Blank)
	})
}

// rows writes what each language has of every item beside each other, so that the same
// row of both stays side by side over any length.
func (p *page) rows(b render.Block, of func(int) render.Block, name string, written func(int, []render.Item) *html.Node) *html.Node {
	if !p.pair() {
		return written(0, b.Items)
	}
	all := el("div")
	for j := range b.Items {
		add(all, p.sides(strings.TrimSpace("row "+name), func(d int) *html.Node { return written(d, of(d).Items[j:j+1]) }))
	}
	return all
}

func (p *page) list(b render.Block, of func(int) render.Block) *html.Node {
	if b.Style == sheet.InLine || b.Style == sheet.Fine {
		return p.sides("", func(d int) *html.Node { return p.running(of(d)) })
	}
	name := map[sheet.Style]string{sheet.TwoColumns: "cols", sheet.Note: "note"}[b.Style]
	return p.led(b, of, p.rows(b, of, "", func(_ int, items []render.Item) *html.Node { return p.bullets(el("ul", "class", name), items) }))
}

// bullets writes items as a list.
func (p *page) bullets(n *html.Node, items []render.Item) *html.Node {
	for _, it := range items {
		li := el("li")
		if len(it.Label) > 0 {
			add(li, bold("b", it.Label), text(gap(it.Label.String()+colon(it.Label))))
		}
		if said := it.Said(); len(said) == 1 {
			p.blank(p.cited(add(li, line(el("span"), said[0])), it.Ref), it.Blank)
		} else {
			p.sentences(li, said, it.Ref, it.Blank)
		}
		if len(it.Items) > 0 {
			add(li, p.bullets(el("ul"), it.Items))
		}
		add(n, about(li, it.Ref))
	}
	return n
}

// running writes a list as one paragraph.
func (p *page) running(b render.Block) *html.Node {
	n := el("p")
	if b.Style == sheet.Fine {
		class(n, "note")
	}
	if len(b.Text) > 0 {
		add(n, bold("b", b.Text), text(gap(b.Text.String()+colon(b.Text))))
	}
	for i, it := range b.Items {
		span := el("span")
		said := it.Said()
		if len(it.Label) > 0 {
			add(span, bold("b", it.Label), text(gap(it.Label.String()+colon(it.Label))))
		}
		for j, l := range said {
			add(span, line(el("span"), l))
			if j+1 < len(said) {
				add(span, text(gap(l.String())))
			}
		}
		p.blank(p.cited(span, it.Ref), it.Blank)
		if i+1 < len(b.Items) {
			add(span, text(between(said[len(said)-1])))
		}
		add(n, about(span, it.Ref))
	}
	return n
}

// facts writes labels and what is said to each.
func (p *page) facts(b render.Block, of func(int) render.Block) *html.Node {
	switch b.Style {
	case sheet.Versus:
		n := el("div", "class", "versus")
		for j, it := range b.Items {
			part := add(el("div"), p.say(p.sub(), func(d int) render.Line { return of(d).Items[j].Label }))
			add(n, about(add(part, p.sides("", func(d int) *html.Node {
				return p.sentences(el("div"), of(d).Items[j].Said(), it.Ref, it.Blank)
			})), it.Ref))
		}
		return n
	case sheet.Who, sheet.InLine:
		return p.led(b, of, p.sides("who", func(d int) *html.Node {
			n := el("dl", "class", "who in-line")
			for _, it := range of(d).Items {
				add(n, about(add(el("div"), bold("dt", it.Label), text(" "), p.sentences(el("dd"), it.Said(), it.Ref, it.Blank)), it.Ref))
			}
			return n
		}))
	}
	ruled := "ruled"
	if b.Style == sheet.RunIn {
		ruled = ""
	}
	return p.led(b, of, p.rows(b, of, ruled, func(_ int, items []render.Item) *html.Node {
		n := el("dl", "class", strings.TrimSpace("facts "+string(b.Style)))
		for _, it := range items {
			row, label := el("div"), line(el("dt"), it.Label)
			if b.Style == sheet.RunIn {
				label = bold("dt", it.Label)
			}
			if it.Strong {
				class(row, "strong")
			}
			dd := p.sentences(el("dd"), it.Said(), it.Ref, it.Blank)
			if len(it.Items) > 0 {
				add(dd, p.bullets(el("ul"), it.Items))
			}
			add(n, about(add(row, label, text(" "), dd), it.Ref))
		}
		return n
	}))
}

func (p *page) phones(b render.Block, of func(int) render.Block) *html.Node {
	n := el("div", "class", "phones")
	if len(b.Text) > 0 {
		add(n, p.say(el("p", "class", "led"), func(d int) render.Line { return of(d).Text }))
	}
	dl := el("dl")
	for j, it := range b.Items {
		add(dl, about(add(el("div"), p.say(el("dt"), func(d int) render.Line { return of(d).Items[j].Label }), text(" "),
			p.say(el("dd"), func(d int) render.Line { return of(d).Items[j].Text })), it.Ref))
	}
	return add(n, dl)
}

// sub is the heading of a part of a block, one level below the last heading.
func (p *page) sub() *html.Node { return el("h" + integer(min(p.level+1, 3))) }

var tones = []string{"plain", "caution", "urgent", "emergency", "hold"}

func tone(b render.Block) string {
	if slices.Contains(tones, b.Tone) {
		return b.Tone
	}
	return "plain"
}

func (p *page) notice(b render.Block, of func(int) render.Block) *html.Node {
	return add(el("div", "class", "notice "+tone(b), "role", "note"), p.sides("", func(d int) *html.Node {
		n := add(el("div"), p.cited(line(el("p"), of(d).Text), b.Ref))
		if len(b.Items) > 0 {
			p.bullets(add(n, el("ul")).LastChild, of(d).Items)
		}
		return n
	}))
}

// urgent writes one urgency: whom to call, each sign, and what to do until then.
func (p *page) urgent(b render.Block, of func(int) render.Block) *html.Node {
	n := el("section", "class", "urg "+tone(b))
	h := add(p.sub(), p.say(el("span"), func(d int) render.Line { return of(d).Text }))
	if len(b.Aside) > 0 {
		add(h, text(" "), p.say(el("span", "class", "aside"), func(d int) render.Line { return of(d).Aside }))
	}
	return add(n, h, p.rows(b, of, "", func(d int, items []render.Item) *html.Node {
		dl := el("dl")
		for _, it := range items {
			sign := line(el("dt"), it.Label)
			if picture := pictured[it.Ref.Warning]; picture != nil && d == 0 {
				add(sign, picture())
			}
			add(dl, about(add(el("div"), sign, text(" "), p.sentences(el("dd"), it.Said(), it.Ref, it.Blank)), it.Ref))
		}
		return dl
	}))
}

// sources lists the citations, which are of no language: once for both.
func (p *page) sources(b render.Block) *html.Node {
	n := el("ol", "class", "sources", "aria-label", b.Text.String())
	for i, it := range b.Items {
		li := add(el("li", "id", sourceID(i+1)), add(el("b"), text(letters(i+1))), text(" "), line(el("span"), it.Text))
		for _, l := range it.More {
			add(li, text(" "), line(el("span"), l))
		}
		add(n, about(li, it.Ref))
	}
	return n
}

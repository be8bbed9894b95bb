package printout

import (
	"golang.org/x/net/html"

	"plainleaf/app/render"
	"plainleaf/app/sheet"
)

// row and cell return the same place of a table in each language.
type rowOf func(int) render.Item

func (p *page) schedule(b render.Block, of func(int) render.Block) *html.Node {
	if b.Style == sheet.Timeline {
		n := el("ol", "class", "line")
		for j, it := range b.Items {
			li := add(el("li"), p.say(el("b"), func(d int) render.Line { return of(d).Items[j].Label }))
			add(n, about(add(li, text(" "), p.sides("", func(d int) *html.Node { return p.sentences(el("div"), of(d).Items[j].Said(), it.Ref, it.Blank) })), it.Ref))
		}
		return p.led(b, of, n)
	}
	n := p.captioned(el("table", "class", "t schedule"), "", b, of)
	if len(b.Columns) > 0 {
		add(n, p.columns(b, of))
	}
	body := el("tbody")
	for j, it := range b.Items {
		td := p.sides("", func(d int) *html.Node { return p.sentences(el("div"), of(d).Items[j].Said(), it.Ref, it.Blank) })
		add(body, about(add(el("tr"), p.say(el("th", "scope", "row"), func(d int) render.Line { return of(d).Items[j].Label }), add(el("td"), td)), it.Ref))
	}
	return add(n, body)
}

func (p *page) columns(b render.Block, of func(int) render.Block) *html.Node {
	tr := el("tr")
	for c, name := range b.Columns {
		if len(name) == 0 {
			add(tr, el("td"))
			continue
		}
		add(tr, p.say(el("th", "scope", "col"), func(d int) render.Line { return of(d).Columns[c] }))
	}
	return add(el("thead"), tr)
}

// captioned gives a table its title, or else the name of the heading it is under.
func (p *page) captioned(n *html.Node, name string, b render.Block, of func(int) render.Block) *html.Node {
	if len(b.Text) > 0 {
		return add(n, p.cited(p.say(el("caption", "class", name), func(d int) render.Line { return of(d).Text }), b.Ref))
	}
	if p.over != nil {
		n.Attr = append(n.Attr, html.Attribute{Key: "aria-labelledby", Val: p.named(p.over)})
	}
	return n
}

// table writes rows under columns. Where a row is read by itself, in large print or on a
// telephone, every cell repeats the name of its column.
func (p *page) table(b render.Block, of func(int) render.Block) *html.Node {
	if b.Style == sheet.Ways {
		return p.ways(b, of)
	}
	name := map[sheet.Style]string{sheet.Look: "look", sheet.Log: "log", sheet.Boxed: "t stack boxed", sheet.Money: "t money", sheet.WideFirst: "t stack wide", sheet.Due: "t stack due"}[b.Style]
	if name == "" {
		name = "t stack"
	}
	n := p.captioned(el("table", "class", name), "", b, of)
	names := func(d, c int) render.Line { // of the columns after that of the labels
		if len(b.Heads) > 0 {
			return of(d).Heads[c].Full()
		}
		return of(d).Columns[c+1]
	}
	if head := p.tableHead(b, of); head != nil {
		add(n, head)
	}
	body := el("tbody")
	for j, it := range b.Items {
		row := rowOf(func(d int) render.Item { return of(d).Items[j] })
		tr := add(el("tr"), p.cited(p.say(el("th", "scope", "row"), func(d int) render.Line { return row(d).Label }), it.Ref))
		at := 0
		for k, c := range it.Cells {
			td := p.cell(row, k, func(d int) render.Line { return names(d, at) }, b.Style)
			if b.Style == sheet.Look && all(b.Heads[at]) {
				class(td, "all")
			}
			add(tr, td)
			at += max(1, c.Span)
		}
		add(body, about(tr, it.Ref))
	}
	return add(n, body)
}

// all reports whether a column is about all teeth, not one or the two in the middle.
func all(h render.Head) bool { return len(h.Ref.Teeth) > 2 }

// tableHead names the columns; nil where nothing does.
func (p *page) tableHead(b render.Block, of func(int) render.Block) *html.Node {
	if len(b.Heads) == 0 {
		if len(b.Columns) == 0 {
			return nil
		}
		return p.columns(b, of)
	}
	tr := add(el("tr"), el("td"))
	for c, h := range b.Heads {
		th := p.say(el("th", "scope", "col"), func(d int) render.Line { return of(d).Heads[c].Text })
		if b.Style == sheet.Look && all(h) {
			class(th, "all")
		}
		add(tr, about(th, h.Ref))
	}
	return add(el("thead"), tr)
}

// cell writes sentences, boxes or room to write.
func (p *page) cell(row rowOf, k int, name func(int) render.Line, style sheet.Style) *html.Node {
	c := row(0).Cells[k]
	td := el("td")
	if c.Span > 1 {
		td.Attr = append(td.Attr, html.Attribute{Key: "colspan", Val: integer(c.Span)})
	}
	if style != sheet.Money {
		add(td, p.label(name))
	}
	if len(c.Texts) < 2 {
		for i := range c.Texts {
			add(td, p.say(el("p"), func(d int) render.Line { return row(d).Cells[k].Texts[i] }))
		}
	} else {
		p.each("div", td, func(d int, n *html.Node) {
			for _, l := range row(d).Cells[k].Texts {
				add(n, line(el("p"), l), text(gap(l.String())))
			}
		})
	}
	p.cited(td, c.Ref)
	if len(c.Boxes) > 0 {
		boxes := el("ul", "class", "boxes")
		if saidBy(c, name(0)) {
			class(boxes, "said")
		}
		for i, x := range c.Boxes {
			add(boxes, p.box(el("li"), x.Mark, p.say(el("span", "class", "words"), func(d int) render.Line { return row(d).Cells[k].Boxes[i].Text })))
		}
		add(td, boxes)
	}
	if c.Write {
		add(td, p.write("write"))
	}
	return about(td, c.Ref)
}

// label repeats the name of a column for a row that is read by itself.
func (p *page) label(name func(int) render.Line) *html.Node {
	return add(p.say(el("span", "class", "lab"), func(d int) render.Line { return led(name(d)) }), text(" "))
}

package printout

import (
	"strings"

	"golang.org/x/net/html"

	"plainleaf/app/render"
)

// ways sets the options beside each other: a column an option, a question above each row
// of answers. In large print, and on a telephone, the answers to a question follow each
// other. An answer names its option and its question, for those who hear it.
func (p *page) ways(b render.Block, of func(int) render.Block) *html.Node {
	n := p.captioned(el("table", "class", "ways"), "unseen", b, of)
	var ids []string
	for range b.Heads {
		ids = append(ids, p.id())
	}
	add(n, p.wayHeads(b, of, ids))
	pictures, drawn := el("tr", "class", "pic"), false
	for _, h := range b.Heads {
		drawn = drawn || h.Drawing != ""
		add(pictures, add(el("td"), drawing(h.Drawing)))
	}
	if drawn {
		add(n, add(el("tbody", "class", "pictures", "aria-hidden", "true"), pictures))
	}
	for j, it := range b.Items {
		row := rowOf(func(d int) render.Item { return of(d).Items[j] })
		asked := p.id()
		q := el("th", "colspan", integer(len(b.Heads)), "scope", "rowgroup", "id", asked)
		if it.Rank > 0 {
			add(q, add(el("span", "class", "badge"), text(integer(it.Rank))), text(" "))
		}
		q = p.cited(p.say(q, func(d int) render.Line { return row(d).Label }), it.Ref)
		answers, at := el("tr"), 0
		for k, c := range it.Cells {
			end := at + max(1, c.Span)
			add(answers, p.wayAnswer(row, k, of, at, end, asked+" "+strings.Join(ids[at:end], " ")))
			at = end
		}
		add(n, about(add(el("tbody"), add(el("tr", "class", "q"), q), answers), it.Ref))
	}
	return add(el("div"), p.wayKey(b, of), n)
}

// wayAnswer is what is said of the options from at to before end.
func (p *page) wayAnswer(row rowOf, k int, of func(int) render.Block, at, end int, headers string) *html.Node {
	c := row(0).Cells[k]
	td, label := el("td", "headers", headers), el("span", "class", "way")
	if c.Span > 1 {
		td.Attr = append(td.Attr, html.Attribute{Key: "colspan", Val: integer(c.Span)})
	}
	for s := at; s < end; s++ {
		if s > at {
			add(label, text(comma(p.docs[0])))
		}
		add(label, p.say(el("span"), func(d int) render.Line { return of(d).Heads[s].Full() }))
	}
	add(td, add(label, text(": ")))
	for i := range c.Texts {
		add(td, p.say(el("span"), func(d int) render.Line { return row(d).Cells[k].Texts[i] }), text(gap(c.Texts[i].String())))
	}
	return about(p.cited(td, c.Ref), c.Ref)
}

// together is how many options from c on share a group.
func together(heads []render.Head, c int) int {
	n := 1
	for len(heads[c].Group) > 0 && c+n < len(heads) && heads[c+n].Group.String() == heads[c].Group.String() {
		n++
	}
	return n
}

// wayHeads writes the names of the options, those of one group under the group's name.
func (p *page) wayHeads(b render.Block, of func(int) render.Block, ids []string) *html.Node {
	top, under := el("tr"), el("tr", "class", "kinds")
	grouped := false
	for _, h := range b.Heads {
		grouped = grouped || len(h.Group) > 0
	}
	for c := 0; c < len(b.Heads); {
		span, in := together(b.Heads, c), len(b.Heads[c].Group) > 0
		if in {
			add(top, p.say(el("th", "class", "group", "scope", "colgroup", "colspan", integer(span)), func(d int) render.Line { return of(d).Heads[c].Group }))
		}
		for k := c; k < c+span; k++ {
			th := p.wayHead(of, k, ids[k])
			if in {
				add(under, th)
				continue
			}
			if grouped {
				th.Attr = append(th.Attr, html.Attribute{Key: "rowspan", Val: "2"})
			}
			add(top, th)
		}
		c += span
	}
	head := add(el("thead"), top)
	if grouped {
		add(head, under)
	}
	return head
}

func (p *page) wayHead(of func(int) render.Block, c int, id string) *html.Node {
	h := of(0).Heads[c]
	th := p.say(el("th", "scope", "col", "id", id), func(d int) render.Line { return of(d).Heads[c].Text })
	if len(h.Note) > 0 {
		add(th, text(" "), p.say(el("small"), func(d int) render.Line { return of(d).Heads[c].Note }))
	}
	return about(th, h.Ref)
}

// wayKey names the options and their drawings where the table is read question by
// question and has no head.
func (p *page) wayKey(b render.Block, of func(int) render.Block) *html.Node {
	n := el("ul", "class", "waykey")
	for c, h := range b.Heads {
		if len(h.Group) > 0 && (c == 0 || b.Heads[c-1].Group.String() != h.Group.String()) {
			add(n, p.say(el("li", "class", "group"), func(d int) render.Line { return of(d).Heads[c].Group }))
		}
		words := add(el("span"), p.say(el("b"), func(d int) render.Line { return of(d).Heads[c].Full() }))
		if len(h.Note) > 0 {
			add(words, text(" "), p.say(el("small"), func(d int) render.Line { return of(d).Heads[c].Note }))
		}
		li := el("li")
		if h.Drawing != "" {
			add(li, drawing(h.Drawing))
		}
		add(n, add(li, words))
	}
	return n
}

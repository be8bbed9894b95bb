package printout

import (
	"slices"
	"unicode/utf8"

	"golang.org/x/net/html"

	"plainleaf/app/casefile"
	"plainleaf/app/render"
)

// steps is the table of chair changes while it is written.
type steps struct {
	*page
	of      func(int) render.Block
	answers []string                         // those that some row offers, in their order
	words   map[string]func(int) render.Line // of each
}

// choices writes the chair changes: what may come up, how far it goes, and a row of
// boxes for each place that is answered by itself.
func (p *page) choices(b render.Block, of func(int) render.Block) *html.Node {
	s := steps{page: p, of: of, words: map[string]func(int) render.Line{}}
	for j, it := range b.Items {
		for k, c := range it.Choices {
			for m, x := range c.Boxes {
				s.words[x.Key] = func(d int) render.Line { return of(d).Items[j].Choices[k].Boxes[m].Text }
			}
		}
	}
	for _, a := range []casefile.Answer{casefile.Agree, casefile.Ask, casefile.No} {
		if s.words[string(a)] != nil {
			s.answers = append(s.answers, string(a))
		}
	}
	n := s.captioned(el("table", "class", "steps"), "", b, of)
	if slices.ContainsFunc(b.Items, longPlaces) {
		class(n, "many")
	}
	body := el("tbody")
	add(n, s.cols(b), add(el("thead"), s.head(b)), body)
	for j, it := range b.Items {
		row := rowOf(func(d int) render.Item { return of(d).Items[j] })
		if len(it.Cells)+len(it.Choices) > 0 {
			add(body, s.rows(row)...)
			continue
		}
		if body.FirstChild != nil {
			body = el("tbody")
			add(n, body)
		}
		add(body, s.band(row))
	}
	return n
}

// longPlaces reports whether a row names so many places that its column has to be wider,
// in runes.
func longPlaces(it render.Item) bool {
	const wide = 32
	return slices.ContainsFunc(it.Choices, func(c render.Choice) bool { return utf8.RuneCountInString(c.Where.String()) > wide })
}

func (s steps) cols(b render.Block) *html.Node {
	n := el("colgroup")
	for c := range b.Columns {
		add(n, el("col", "class", "c"+integer(c+1)))
	}
	for range s.answers {
		add(n, el("col", "class", "t"))
	}
	return n
}

func (s steps) head(b render.Block) *html.Node {
	n := el("tr")
	for c := range b.Columns {
		add(n, s.say(el("th", "scope", "col"), func(d int) render.Line { return s.of(d).Columns[c] }))
	}
	for _, a := range s.answers {
		add(n, s.say(el("th", "class", "tick", "scope", "col"), s.words[a]))
	}
	return n
}

// band names a group of chair changes.
func (s steps) band(row rowOf) *html.Node {
	th := s.cited(s.say(el("th", "colspan", integer(len(s.of(0).Columns)+len(s.answers)), "scope", "rowgroup"), func(d int) render.Line { return row(d).Label }), row(0).Ref)
	for i := range row(0).Said() {
		add(th, text(" "), s.say(el("span", "class", "more"), func(d int) render.Line { return row(d).Said()[i] }))
	}
	return about(add(el("tr", "class", "band"), th), row(0).Ref)
}

// rows writes one chair change, a row for each place.
func (s steps) rows(row rowOf) []*html.Node {
	it := row(0)
	if len(it.Items) > 0 {
		return s.shared(row)
	}
	count := max(1, len(it.Choices))
	what := s.cited(s.say(el("th", "scope", "row", "rowspan", integer(count)), func(d int) render.Line { return row(d).Label }), it.Ref)
	for i := range it.Said() {
		add(what, text(" "), s.say(el("span", "class", "often"), func(d int) render.Line { return row(d).Said()[i] }))
	}
	far := el("td", "rowspan", integer(count))
	add(far, s.label(func(d int) render.Line { return s.of(d).Columns[1] }))
	s.limits(far, row)
	s.cited(far, it.Cells[0].Ref)
	first := about(add(el("tr"), what, far), it.Ref)
	if len(it.Choices) == 0 {
		return []*html.Node{add(first, add(el("td", "class", "none holder", "colspan", integer(len(s.of(0).Columns)-2+len(s.answers))), s.unseen(s.docs[0].Words.None)))}
	}
	out := []*html.Node{first}
	for i := range it.Choices {
		if i > 0 {
			out = append(out, el("tr", "class", "sub", "data-change", it.Ref.Change))
		}
		s.place(out[i], row, i)
	}
	return out
}

// limits writes how far a chair change goes, then what a no means.
func (s steps) limits(n *html.Node, row rowOf) {
	if len(row(0).Cells) > 0 {
		s.each("span", n, func(d int, in *html.Node) { limit(in, row(d)) })
	}
}

// limit writes limits in one language.
func limit(n *html.Node, it render.Item) {
	for k, c := range it.Cells {
		name := map[bool]string{true: "ifno"}[k > 0]
		for _, l := range c.Texts {
			add(n, line(el("span", "class", name), l), text(gap(l.String())))
		}
	}
}

// shared writes chair changes that one answer is for, as a list beside its boxes, and
// under it what is the same for them.
func (s steps) shared(row rowOf) []*html.Node {
	list := el("ul")
	for j := range row(0).Items {
		under := rowOf(func(d int) render.Item { return row(d).Items[j] })
		li := s.each("span", el("li"), func(d int, in *html.Node) {
			add(in, line(el("b"), under(d).Label))
			for _, l := range under(d).Said() {
				add(in, text(" "), line(el("span", "class", "often"), l))
			}
			limit(add(in, text(" ")), under(d))
		})
		add(list, about(s.cited(li, under(0).Ref), under(0).Ref))
	}
	what := add(el("th", "scope", "row", "colspan", "2"), list)
	s.limits(what, row)
	tr := about(add(el("tr", "class", "shared"), what), row(0).Ref)
	s.place(tr, row, 0)
	where := what.NextSibling // a line of its own over the list would cost room
	where.InsertBefore(s.say(el("span", "class", "led"), func(d int) render.Line { return row(d).Label }), where.FirstChild)
	where.InsertBefore(text(" "), where.FirstChild.NextSibling)
	return []*html.Node{tr}
}

// place writes where a chair change may be answered by itself, and its boxes.
func (s steps) place(tr *html.Node, row rowOf, i int) {
	c := row(0).Choices[i]
	where := el("td")
	if len(c.Where) > 0 {
		add(where, s.label(func(d int) render.Line { return s.of(d).Columns[2] }), s.say(el("span"), func(d int) render.Line { return row(d).Choices[i].Where }))
	} else if i == 0 && len(row(0).Choices) == 1 {
		where = nil // it goes with how far
		last := tr.LastChild
		last.Attr = append(last.Attr, html.Attribute{Key: "colspan", Val: "2"})
	}
	add(tr, where)
	for _, key := range s.answers {
		m := slices.IndexFunc(c.Boxes, func(x render.Box) bool { return x.Key == key })
		if m < 0 {
			add(tr, add(el("td", "class", "tick empty holder"), s.unseen(s.docs[0].Words.None)))
			continue
		}
		add(tr, s.box(el("td", "class", "tick", "data-answer", key), c.Boxes[m].Mark,
			s.say(el("span", "class", "lab"), func(d int) render.Line { return row(d).Choices[i].Boxes[m].Text })))
	}
}

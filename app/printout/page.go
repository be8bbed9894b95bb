package printout

import (
	"strconv"
	"strings"

	"golang.org/x/net/html"

	"plainleaf/app/render"
	"plainleaf/app/safetext"
	"plainleaf/app/sheet"
)

// page lays out one document, or two of one sheet: the same blocks in two languages.
type page struct {
	docs  []render.Doc
	o     Options
	ids   int
	cite  int        // length of the source list
	level int        // of the last heading
	over  *html.Node // the last heading, which names the tables under it
	side  int        // the language that is being written beside the other
}

func node(docs []render.Doc, o Options) (*html.Node, error) {
	if err := aligned(docs); err != nil {
		return nil, err
	}
	p := &page{docs: docs, o: o}
	if err := p.drawable(); err != nil {
		return nil, err
	}
	for _, b := range docs[0].Blocks {
		if b.Kind == sheet.Sources {
			p.cite += len(b.Items)
		}
	}
	// A table whose head and foot the browser repeats on every printed page; to
	// those who hear it, it is no table.
	leaf := add(el("table", "class", "leaf", "role", "presentation"),
		add(el("thead"), add(el("tr"), add(el("td"), p.head()))),
		add(el("tbody"), add(el("tr"), add(el("td"), p.main()))),
		add(el("tfoot"), add(el("tr"), add(el("td"), p.foot()))))
	first := docs[0]
	return add(el("div", "class", "sheet", "lang", first.Lang, "dir", first.Dir, "data-kind", string(first.Kind),
		"data-locale", first.Locale, "data-second", p.second(), "data-issued", first.Issued.String(), "data-case", first.CaseID,
		"data-state", first.State), leaf, p.twin()), nil
}

// second is the locale of the second language, "" without one.
func (p *page) second() string {
	if len(p.docs) < 2 {
		return ""
	}
	return p.docs[1].Locale
}

func (p *page) pair() bool { return len(p.docs) == 2 }

// id returns an id of its own within the file.
func (p *page) id() string {
	p.ids++
	return "d-" + strconv.Itoa(p.ids)
}

// specimen is the banner in the head of every page.
const specimen = "banner.specimen"

// main lays out the banners, the title and the blocks.
func (p *page) main() *html.Node {
	f := &flow{page: p, main: el("div", "class", "body", "role", "main")}
	for _, d := range p.docs {
		for _, b := range d.Banners {
			if b.Msg() != specimen {
				add(f.main, line(el("p", "class", "banner", "role", "note", "lang", d.Lang, "dir", d.Dir), b))
			}
		}
	}
	f.into = f.main
	f.level, f.over = 1, f.beside(el("h1"), func(d int) render.Line { return p.docs[d].Title })
	i := f.mast(0, f.over)
	for ; i < len(p.docs[0].Blocks); i++ {
		switch b := p.docs[0].Blocks[i]; b.Kind {
		case sheet.PageBreak:
			i += f.turn(b, i)
		case sheet.Heading:
			f.heading(b, f.title(i, b.Level))
		default:
			if f.fresh != "" { // a page without a heading
				f.into, f.fresh = el("div", "class", f.fresh), ""
				add(f.main, f.into)
			}
			add(f.into, p.block(i))
		}
	}
	return f.main
}

// flow is where the next block goes while a sheet is laid out.
type flow struct {
	*page
	main, into *html.Node
	page1      *html.Node // the page or card that sections go into, nil for main
	two        *html.Node // sections beside each other
	fresh      string     // class of the next section
	inside     bool       // headings begin no section: a card, the decision
}

// mast puts what belongs to a title with it: the line above it, the sentences under it
// and the drawing beside it. It returns the first block that does not.
func (f *flow) mast(i int, title *html.Node) int {
	words, drawing := el("div"), (*html.Node)(nil)
	var above, under []*html.Node
	for ; i < len(f.docs[0].Blocks); i++ {
		switch b := f.docs[0].Blocks[i]; {
		case b.Kind == sheet.Paragraph && b.Style == sheet.Kicker:
			above = append(above, f.block(i))
		case b.Kind == sheet.Paragraph && b.Style == sheet.Lead:
			under = append(under, f.block(i))
		case b.Kind == sheet.Chart && drawing == nil:
			drawing = f.block(i)
		default:
			goto done
		}
	}
done:
	add(add(add(words, above...), title), under...)
	mast := add(el("div", "class", "mast"), words, drawing)
	if drawing != nil {
		class(mast, "with")
	}
	add(f.into, mast)
	return i
}

// title writes a heading and remembers it for the tables under it.
func (f *flow) title(i, level int) *html.Node {
	n := f.block(i)
	f.level, f.over = level, n
	return n
}

// heading begins a section, unless it is inside what is kept whole.
func (f *flow) heading(b render.Block, n *html.Node) {
	if b.Level != 2 || f.inside {
		add(f.into, n)
		return
	}
	names := strings.TrimSpace(f.fresh)
	if b.Keep {
		names = strings.TrimSpace(names + " keep")
	}
	section, parent := el("section", "class", names), f.main
	if f.page1 != nil {
		parent = f.page1
	}
	if b.Style != sheet.Beside {
		f.two = nil
	} else if f.two == nil {
		f.two = el("div", "class", "two")
		add(parent, f.two)
	}
	if f.two != nil {
		parent = f.two
	}
	add(parent, add(section, n))
	f.into, f.fresh = section, ""
}

// turn begins a page, or what is kept whole. It returns how many of the blocks after
// it were used for the title of the signature page.
func (f *flow) turn(b render.Block, i int) int {
	f.two = nil
	begin := func(tag, name string) {
		n, parent := el(tag, "class", name), f.main
		if f.page1 != nil {
			parent = f.page1
		}
		add(parent, n)
		f.into, f.inside = n, true
	}
	switch b.Style {
	case sheet.Signature:
		f.page1 = nil
		begin("section", "newpage signpage")
		f.page1 = f.into
		if i+1 < len(f.docs[0].Blocks) && f.docs[0].Blocks[i+1].Kind == sheet.Heading {
			return f.mast(i+2, f.title(i+1, 2)) - i - 1
		}
	case sheet.Whole:
		name := "keep"
		if f.page1 != nil || i+1 < len(f.docs[0].Blocks) && f.docs[0].Blocks[i+1].Style == sheet.Repeat {
			name = "decide"
		}
		begin("div", name)
	case sheet.Card:
		f.page1 = nil
		begin("section", "cut")
	case sheet.After:
		f.inside, f.into = f.page1 != nil, f.main
		if f.page1 != nil {
			f.into = f.page1
		}
	case sheet.Firm:
		f.page1, f.inside, f.into, f.fresh, f.level = nil, false, f.main, "newpage hard", 1
	default:
		f.page1, f.inside, f.into, f.fresh, f.level = nil, false, f.main, "newpage", 1
	}
	return 0
}

// twin is the foot once more, for print only: it is fixed to the end of every
// page, also of the last, while the foot of the table keeps its room free.
func (p *page) twin() *html.Node {
	n := p.foot()
	class(n, "twin")
	return n
}

func (p *page) head() *html.Node {
	all := el("div", "class", "top")
	for _, d := range p.docs {
		for _, b := range d.Banners {
			if b.Msg() == specimen {
				add(all, line(el("p", "class", "specimen", "role", "note", "lang", d.Lang, "dir", d.Dir), b))
			}
		}
	}
	head := el("div", "class", "ids", "role", "group", "aria-label", p.docs[0].Words.Identifiers.String())
	for _, who := range []struct {
		key, value string
		label      func(render.Furniture) render.Line
	}{
		{"name", p.o.Identifiers.Name, func(f render.Furniture) render.Line { return f.Name }},
		{"born", p.o.Identifiers.Born, func(f render.Furniture) render.Line { return f.Born }},
		{"chart", p.o.Identifiers.Chart, func(f render.Furniture) render.Line { return f.Chart }},
	} {
		row := el("div", "data-who", who.key)
		p.labels(row, who.label)
		if value := strings.TrimSpace(safetext.Plain.Clean(who.value)); value != "" {
			add(row, add(el("bdi", "class", "given", "data-value", "verbatim"), text(value)))
		} else {
			add(row, p.write("write"))
		}
		add(head, row)
	}
	return add(all, head)
}

// labels writes one label in each language: "Name / Nombre:".
func (p *page) labels(row *html.Node, label func(render.Furniture) render.Line) {
	span, last := el("span", "class", "label"), ""
	for i, d := range p.docs {
		if i > 0 {
			add(span, text(" / "))
		}
		last = label(d.Page).String()
		add(span, line(el("bdi", "lang", d.Lang, "dir", d.Dir), label(d.Page)))
	}
	add(row, add(span, text(strings.TrimSpace(labeled(last)[len(last):]))))
}

func (p *page) foot() *html.Node {
	foot := el("div", "class", "foot")
	place := el("p", "class", "place")
	line(place, p.docs[0].Page.Practice)
	for _, d := range p.docs {
		add(place, text(" · "), line(el("span", "lang", d.Lang, "dir", d.Dir), d.Page.Telephone))
	}
	if seal := strings.TrimSpace(safetext.Plain.Clean(p.o.Seal)); seal != "" {
		add(place, text(" · "))
		p.labels(place, func(f render.Furniture) render.Line { return f.Seal })
		add(place, text(" "), add(el("bdi", "dir", "ltr", "data-seal", seal), text(seal)))
	}
	add(foot, place)
	return add(foot, p.sides("", func(d int) *html.Node {
		return add(el("p"), line(el("span"), p.docs[d].Page.Caution), text(" "), line(el("span"), p.docs[d].Page.Version))
	}))
}

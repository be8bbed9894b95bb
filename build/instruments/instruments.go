// Package instruments computes, for a sheet in English, the items of two published
// instruments that a program can compute, and names those that a person has to judge.
// It is for tests only.
//
// PEMAT-P: Shoemaker SJ, Wolf MS, Brach C. The Patient Education Materials Assessment
// Tool (PEMAT) and User's Guide. AHRQ Publication 14-0002-EF, 2013. Each item is met, not
// met or, for some, not applicable; the score of understandability and that of
// actionability are each the share met of those that apply.
//
// CDC Clear Communication Index: score sheet and user guide, Centers for Disease Control
// and Prevention. Twenty items, met only where every place in the material meets them.
//
// Items are described here in words of our own. Limits such as words in a section are
// ours where the instruments leave them to the rater. A computed item that is met shows
// that nothing speaks against it; it cannot show that a text is understood.
package instruments

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"golang.org/x/net/html"

	"plainleaf/app/render"
	"plainleaf/app/sheet"
	"plainleaf/build/budget"
	"plainleaf/i18n/readability"
)

// Verdict is the result of one item.
type Verdict struct {
	Applies, Met bool
	Why          string // what is missing
}

var none = Verdict{} // the item does not apply

// met is a verdict that holds when nothing is missing.
func met(missing ...string) Verdict {
	var why []string
	for _, m := range missing {
		if m != "" {
			why = append(why, m)
		}
	}
	return Verdict{true, len(why) == 0, strings.Join(why, "; ")}
}

// unless says why an item is not met, where ok is false.
func unless(ok bool, format string, a ...any) string {
	if ok {
		return ""
	}
	return fmt.Sprintf(format, a...)
}

// Item is one of an instrument. Those without a check are for a person.
type Item struct {
	Key   string // PM: PEMAT, CC: CDC index, with the number there
	About string
	Check func(*Sheet) Verdict
}

// The parts that have a score of their own.
var parts = []string{"PEMAT understood", "PEMAT acted on", "CDC index"}

// part is the part that an item counts in. PEMAT scores actionability, from item 20 on,
// by itself.
func (it Item) part() string {
	switch {
	case it.Key[:2] == "CC":
		return parts[2]
	case it.Key >= "PM-20" && len(it.Key) == len("PM-20"):
		return parts[1]
	default:
		return parts[0]
	}
}

// enough is the score that each part of each kind is asked, of 100.
const enough = 90

// score is the share met of the items that apply, of 100.
func score(met, of int) float64 { return 100 * float64(met) / float64(max(1, of)) }

// verdict is the result of an item for a kind: computed, it is met only where every sheet
// meets it. It reports false where a person has to judge and nobody has.
func (it Item) verdict(kind sheet.Kind, sheets []*Sheet) (Verdict, bool) {
	if it.Check == nil {
		i := slices.IndexFunc(ratings, func(r Rating) bool { return r.Item == it.Key && r.Kind == kind })
		if i < 0 {
			return none, false
		}
		r := ratings[i]
		return Verdict{!r.NotApplicable, r.Met == 1, r.Why}, true
	}
	out := Verdict{Met: true}
	for _, s := range sheets {
		v := it.Check(s)
		if !v.Applies {
			continue
		}
		out.Applies = true
		if !v.Met {
			out.Met = false
			if !strings.Contains(out.Why, v.Why) {
				out.Why = strings.TrimPrefix(out.Why+"; "+v.Why, "; ")
			}
		}
	}
	return out, true
}

// Sheet is a document prepared for the checks.
type Sheet struct {
	Doc       render.Doc
	Lines     []string // what is read, in order
	Sentences []string
	Words     int
	Sections  []section
	Page      *html.Node
}

// section is what is under one heading; that before the first has none.
type section struct {
	heading string
	chunks  []string // paragraphs and items
	lists   []int    // items of each list
	words   int      // without those in rows of tables
}

// New prepares a document and its page.
func New(d render.Doc, page *html.Node) *Sheet {
	read := d // a list of references does not count in either instrument
	read.Blocks = slices.DeleteFunc(slices.Clone(d.Blocks), func(b render.Block) bool { return b.Kind == sheet.Sources })
	s := &Sheet{Doc: d, Lines: budget.Read(read), Page: page}
	for _, l := range s.Lines {
		s.Sentences = append(s.Sentences, readability.Sentences(d.Locale, l)...)
	}
	s.Words = budget.Words(d)
	at := section{}
	for _, b := range d.Blocks {
		switch b.Kind {
		case sheet.Heading:
			s.Sections = append(s.Sections, at)
			at = section{heading: b.Text.String()}
		case sheet.Sources, sheet.Chart, sheet.PageBreak:
		default:
			at.add(b)
		}
	}
	s.Sections = append(s.Sections, at)
	return s
}

func (s *section) add(b render.Block) {
	chunk := func(tabled bool, lines ...render.Line) {
		var said []string
		for _, l := range lines {
			if t := strings.TrimSpace(l.String()); t != "" {
				said = append(said, t)
			}
		}
		if len(said) == 0 {
			return
		}
		text := strings.Join(said, " ")
		s.chunks = append(s.chunks, text)
		if !tabled {
			s.words += len(readability.Words(text))
		}
	}
	tabled := b.Kind == sheet.Table || b.Kind == sheet.Choices || b.Kind == sheet.Schedule || b.Kind == sheet.Facts || b.Kind == sheet.Urgent
	chunk(false, b.Text)
	for _, it := range b.Items {
		chunk(tabled, append([]render.Line{it.Label}, it.Said()...)...)
		for _, below := range it.Items {
			chunk(tabled, append([]render.Line{below.Label}, below.Said()...)...)
		}
		for _, c := range it.Cells {
			chunk(tabled, c.Texts...)
		}
	}
	if b.Kind == sheet.List || b.Kind == sheet.Notice {
		s.lists = append(s.lists, len(b.Items))
	}
}

// start is the first n words or so that a reader sees.
func (s *Sheet) start(n int) string {
	var b strings.Builder
	for _, l := range s.Lines {
		if len(readability.Words(b.String())) >= n {
			break
		}
		b.WriteString(l + "\n")
	}
	return b.String()
}

// count is how many sentences fit a pattern.
func (s *Sheet) count(p *regexp.Regexp) (n int) {
	for _, x := range s.Sentences {
		if p.MatchString(x) {
			n++
		}
	}
	return n
}

// first is the first sentence that fits a pattern; "" for none.
func (s *Sheet) first(p *regexp.Regexp) string {
	for _, x := range s.Sentences {
		if p.MatchString(x) {
			return x
		}
	}
	return ""
}

func (s *Sheet) has(kinds ...sheet.BlockKind) bool {
	for _, b := range s.Doc.Blocks {
		for _, k := range kinds {
			if b.Kind == k {
				return true
			}
		}
	}
	return false
}

// elements gives those of the page that a reader sees, by name.
func (s *Sheet) elements(name string) (out []*html.Node) {
	for n := range s.Page.Descendants() {
		if n.Type == html.ElementNode && n.Data == name && attr(n, "role") != "presentation" && !strings.Contains(" "+attr(n, "class")+" ", " unseen ") {
			out = append(out, n)
		}
	}
	return out
}

func attr(n *html.Node, key string) string {
	for _, a := range n.Attr {
		if a.Key == key {
			return a.Val
		}
	}
	return ""
}

// below reports whether an element of one of these names is below a node.
func below(n *html.Node, names ...string) bool {
	for d := range n.Descendants() {
		for _, name := range names {
			if d.Type == html.ElementNode && d.Data == name {
				return true
			}
		}
	}
	return false
}

func textOf(n *html.Node) string {
	var b strings.Builder
	for d := range n.Descendants() {
		if d.Type == html.TextNode {
			b.WriteString(d.Data + " ")
		}
	}
	return b.String()
}

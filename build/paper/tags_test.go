package paper

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"

	"golang.org/x/text/unicode/norm"

	"plainleaf/build/node"
)

// tagged is a PDF as those hear it who cannot see it; see readers/tags.mjs.
type tagged struct {
	Lang  string
	Pages []struct {
		Kids  []tagNode
		Loose []string // texts without a tag
	}
}

type tagNode struct {
	Role, Lang, Alt, Text string
	Kids                  []tagNode
}

// readTags reads all files at once, since the start of the reader takes longest.
func readTags(t *testing.T, files ...string) (out []tagged) {
	t.Helper()
	if err := json.Unmarshal(node.Run(t, "../checks/readers/tags.mjs", nil, files...), &out); err != nil {
		t.Fatal(err)
	}
	if len(out) != len(files) {
		t.Fatalf("%d of %d files are read", len(out), len(files))
	}
	return out
}

func (n tagNode) text() string {
	if len(n.Kids) == 0 {
		return n.Text
	}
	var b strings.Builder
	for _, k := range n.Kids {
		b.WriteString(k.text() + " ")
	}
	return b.String()
}

// walk visits a node and what is below it, with the language that holds there.
func (n tagNode) walk(lang string, visit func(n tagNode, lang string)) {
	if n.Lang != "" {
		lang = n.Lang
	}
	visit(n, lang)
	for _, k := range n.Kids {
		k.walk(lang, visit)
	}
}

// all gives the nodes of a role on a page, those inside one another too.
func (d tagged) all(page int, role string) (out []tagNode) {
	for _, k := range d.Pages[page].Kids {
		k.walk("", func(n tagNode, _ string) {
			if n.Role == role {
				out = append(out, n)
			}
		})
	}
	return out
}

// page is the text of one page, in the order of reading.
func (d tagged) page(i int) string {
	return tagNode{Kids: d.Pages[i].Kids}.text()
}

// words is the text of one page without that of its pictures, which parts.js leaves out.
func (d tagged) words(i int) string { return tagNode{Kids: d.Pages[i].Kids}.words() }

func (n tagNode) words() string {
	if len(n.Kids) == 0 {
		return n.Text
	}
	var b strings.Builder
	for _, k := range n.Kids {
		if k.Role != "Figure" {
			b.WriteString(k.words() + " ")
		}
	}
	return b.String()
}

func (d tagged) text() string {
	var b strings.Builder
	for i := range d.Pages {
		b.WriteString(d.page(i) + " ")
	}
	return b.String()
}

// in is what is marked as one language.
func (d tagged) in(lang string) string {
	var b strings.Builder
	for _, p := range d.Pages {
		for _, k := range p.Kids {
			k.walk(d.Lang, func(n tagNode, at string) {
				if at == lang {
					b.WriteString(n.Text + " ")
				}
			})
		}
	}
	return b.String()
}

// tagFaults says what those who hear a sheet lose of what is seen on it.
func (c cell) tagFaults(p parts, d tagged) (faults []string) {
	fault := func(format string, a ...any) { faults = append(faults, fmt.Sprintf(format, a...)) }
	if d.Lang != c.locale {
		fault("language: the PDF is in %q", d.Lang)
	}
	if missing, of := lacks(d.text(), p.text()); missing*100 > of {
		fault("text: %d of %d letters have no tag", missing, of)
	}
	if c.locale != "ar" && c.second == "" { // word by word, and in order
		if lost := lostWord(d.text(), p.text()); lost != "" {
			fault("text: %q is not tagged, or not at its place", lost)
		}
	}
	for i, page := range d.Pages {
		for _, l := range page.Loose { // a stylesheet adds marks; browsers write the number of a page
			if s := letters(l); s != "" && s != fmt.Sprint(i+1, len(d.Pages)) && !strings.Contains(l, "/") {
				fault("text: %q on page %d has no tag", l, i+1)
			}
		}
	}
	if c.second != "" {
		if missing, of := lacks(d.in(c.second), p.in(c.second)); missing*20 > of {
			fault("second language: %d of %d letters are not told to be in %q", missing, of, c.second)
		}
	}
	rtl := c.locale == "ar" || c.second == "ar"
	var headings, items, rows string
	tables, lists := 0, 0
	for i := range d.Pages {
		for _, h := range d.all(i, "H2") {
			headings += h.text() + " "
		}
		for _, l := range d.all(i, "L") {
			lists++
			if len(l.Kids) == 0 || !slices.ContainsFunc(l.Kids, func(k tagNode) bool { return k.Role == "LI" }) {
				fault("list: one on page %d has no items", i+1)
			}
		}
		for _, li := range d.all(i, "LI") {
			items += li.text() + " "
		}
		for _, t := range d.all(i, "Table") {
			tables++
			if !well(t) {
				fault("table: on page %d one is not rows of cells with a header: %.60q", i+1, t.text())
			}
			rows += t.text() + " "
		}
	}
	for _, u := range p.Urgencies {
		if u.Heading == "" || !holds(headings, u.Heading, rtl) {
			fault("urgency: no heading of level 2 has %.40q", u.Text)
		}
	}
	if lists < p.Lists {
		fault("list: %d of %d are tagged", lists, p.Lists)
	}
	if missing, of := lacks(items, strings.Join(p.Items, " ")); missing*100 > of {
		fault("list: %d of %d letters of items are in no item", missing, of)
	}
	if tables < len(p.Tables) {
		fault("table: %d of %d are tagged", tables, len(p.Tables))
	}
	for i, t := range p.Tables {
		if t.Headers == 0 {
			fault("table: number %d names no row and no column", i+1)
		}
		if missing, of := lacks(rows, t.Head+" "+strings.Join(t.Rows, " ")); missing*100 > of {
			fault("table: %d of %d letters of number %d are in no table", missing, of, i+1)
		}
	}
	return faults
}

// well reports whether a table is rows of cells, one of them at least a header.
func well(t tagNode) bool {
	rows, headers, other := 0, 0, 0
	var visit func(n tagNode, in string)
	visit = func(n tagNode, in string) {
		switch n.Role {
		case "TR":
			rows++
		case "TH", "TD":
			if in != "TR" {
				other++
			}
			if n.Role == "TH" {
				headers++
			}
			return
		}
		for _, k := range n.Kids {
			visit(k, n.Role)
		}
	}
	for _, k := range t.Kids {
		visit(k, "Table")
	}
	return rows > 0 && headers > 0 && other == 0
}

// lostWord is the first word of want that is not in got after the word before
// it; "" when all do. Heads and feet of pages may come between.
func lostWord(got, want string) string {
	have := tokens(got)
	at := 0
	for _, w := range tokens(want) {
		i := slices.Index(have[at:], w)
		if i < 0 {
			return w
		}
		at += i + 1
	}
	return ""
}

func tokens(s string) []string {
	return strings.FieldsFunc(norm.NFKC.String(s), func(r rune) bool { return letters(string(r)) == "" })
}

package parts

import (
	"strings"
	"testing"

	"github.com/maxence-charriere/go-app/v10/pkg/app"
	"golang.org/x/net/html"
)

// page is a drawn part as elements that can be asked.
type page struct{ root *html.Node }

func draw(t *testing.T, ui app.UI) page {
	t.Helper()
	root, err := html.Parse(strings.NewReader(app.HTMLString(app.Elem("div").Body(ui))))
	if err != nil {
		t.Fatal(err)
	}
	return page{root}
}

// attr is the value of an attribute. The engine writes "true" as an attribute without
// a value.
func attr(n *html.Node, name string) string {
	for _, a := range n.Attr {
		if a.Key == name {
			if a.Val == "" {
				return "true"
			}
			return a.Val
		}
	}
	return ""
}

// all lists the elements whose attribute has the value, in order; any value for "*".
func (p page) all(name, value string) []*html.Node {
	var out []*html.Node
	for n := range p.root.Descendants() {
		if v := attr(n, name); n.Type == html.ElementNode && v != "" && (value == "*" || v == value) {
			out = append(out, n)
		}
	}
	return out
}

func (p page) one(t *testing.T, name, value string) *html.Node {
	t.Helper()
	found := p.all(name, value)
	if len(found) != 1 {
		t.Fatalf("%d elements with %s=%q, want one", len(found), name, value)
	}
	return found[0]
}

// words is the text in an element, with single spaces.
func words(n *html.Node) string {
	var b strings.Builder
	for c := range n.Descendants() {
		if c.Type == html.TextNode {
			b.WriteString(c.Data + " ")
		}
	}
	return strings.Join(strings.Fields(b.String()), " ")
}

func has(n *html.Node, class string) bool {
	for _, c := range strings.Fields(attr(n, "class")) {
		if c == class {
			return true
		}
	}
	return false
}

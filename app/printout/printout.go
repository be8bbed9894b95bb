// Package printout puts documents on paper: standalone HTML to print, and plain
// text. It carries no script, asks for nothing from anywhere, and gives the same
// bytes for the same documents.
package printout

import (
	"bytes"
	"crypto/sha256"
	_ "embed"
	"encoding/base64"
	"errors"
	"fmt"

	"golang.org/x/net/html"
	"golang.org/x/net/html/atom"

	"plainleaf/app/render"
)

//go:embed sheet.css
var css string

// CSS is the one stylesheet of all sheets. Its text never depends on a sheet.
func CSS() []byte { return []byte(css) }

// Policy is the content security policy inside every sheet: nothing but the one
// stylesheet.
func Policy() string {
	sum := sha256.Sum256([]byte(css))
	return "default-src 'none'; style-src 'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) +
		"'; base-uri 'none'; form-action 'none'"
}

// Options choose the paper and the head of each page.
type Options struct {
	Paper       string // a4 or letter; "" is a4
	Size        string // normal or large; "" is normal
	Identifiers Identifiers
	Seal        string // seal code, for the foot of each page; "" before sealing
	Signed      []Signed
}

// Identifiers are whose sheet it is, as typed; an empty one is a line to write on.
type Identifiers struct{ Name, Born, Chart string }

func (o Options) normal() (Options, error) {
	if o.Paper == "" {
		o.Paper = "a4"
	}
	if o.Size == "" {
		o.Size = "normal"
	}
	if o.Paper != "a4" && o.Paper != "letter" {
		return o, fmt.Errorf("printout: paper %q is not a4 or letter", o.Paper)
	}
	if o.Size != "normal" && o.Size != "large" {
		return o, fmt.Errorf("printout: size %q is not normal or large", o.Size)
	}
	return o, nil
}

// aligned checks that docs are one document, or one sheet in two languages.
func aligned(docs []render.Doc) error {
	switch len(docs) {
	case 1:
		return nil
	case 2:
	default:
		return fmt.Errorf("printout: %d documents; one or two can be printed together", len(docs))
	}
	a, b := docs[0], docs[1]
	if a.Kind != b.Kind || len(a.Blocks) != len(b.Blocks) {
		return errors.New("printout: the two documents are not of one sheet")
	}
	for i := range a.Blocks {
		if a.Blocks[i].Kind != b.Blocks[i].Kind || len(a.Blocks[i].Items) != len(b.Blocks[i].Items) {
			return fmt.Errorf("printout: block %d differs between the two documents", i)
		}
	}
	return nil
}

// HTML gives a file to open or print: one document, or two of one sheet side by
// side, block by block.
func HTML(docs []render.Doc, o Options) ([]byte, error) {
	o, err := o.normal()
	if err != nil {
		return nil, err
	}
	body, err := node(docs, o)
	if err != nil {
		return nil, err
	}
	first := docs[0]
	second := ""
	if len(docs) == 2 {
		second = docs[1].Locale
	}
	root := el("html", "lang", first.Lang, "dir", first.Dir, "data-kind", string(first.Kind), "data-paper", o.Paper, "data-size", o.Size, "data-second", second)
	style := el("style")
	style.AppendChild(text(css))
	title := el("title")
	title.AppendChild(text(first.Title.String() + " " + first.Issued.String())) // the name that browsers offer for a PDF
	add(root,
		add(el("head"),
			el("meta", "charset", "utf-8"),
			el("meta", "http-equiv", "Content-Security-Policy", "content", Policy()),
			el("meta", "name", "viewport", "content", "width=device-width, initial-scale=1"),
			el("meta", "name", "referrer", "content", "no-referrer"),
			title, style),
		add(el("body"), body))
	document := &html.Node{Type: html.DocumentNode}
	document.AppendChild(&html.Node{Type: html.DoctypeNode, Data: "html"})
	document.AppendChild(root)
	var b bytes.Buffer
	if err := html.Render(&b, document); err != nil {
		return nil, fmt.Errorf("printout: %w", err)
	}
	b.WriteByte('\n')
	return b.Bytes(), nil
}

// el makes an element; kv are attribute names and values in the order they are
// written. An attribute with an empty value is left out.
func el(tag string, kv ...string) *html.Node {
	n := &html.Node{Type: html.ElementNode, Data: tag, DataAtom: atom.Lookup([]byte(tag))}
	for i := 0; i+1 < len(kv); i += 2 {
		if kv[i+1] != "" {
			n.Attr = append(n.Attr, html.Attribute{Key: kv[i], Val: kv[i+1]})
		}
	}
	return n
}

func text(s string) *html.Node { return &html.Node{Type: html.TextNode, Data: s} }

// add appends children, leaving out nil ones, and returns the parent.
func add(parent *html.Node, children ...*html.Node) *html.Node {
	for _, c := range children {
		if c != nil {
			parent.AppendChild(c)
		}
	}
	return parent
}

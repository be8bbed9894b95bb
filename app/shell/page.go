//go:build !js

package shell

import (
	"bytes"
	"encoding/json"

	"golang.org/x/net/html"
	"golang.org/x/net/html/atom"

	"plainleaf/app/place"
	"plainleaf/i18n"
)

// Words answers a message id with its text in one language.
type Words func(id string) string

// Assets says where a page finds its files. All are absolute paths.
type Assets struct {
	Base     string // "/" or "/name/": the folder of the site, with both slashes
	Wasm     string
	Exec     string // wasm_exec.js of the toolchain that built Wasm
	Keep     string
	Keys     string // the worker with the key files
	Boot     string
	CSS      string // of every page
	OldCSS   string // of the screens of the old side
	NewCSS   string // of the screens of the new side
	Icon     string
	TouchPNG string
	Manifest string            // of the page's language
	Wordings map[string]string // language tag to path, for those not embedded
	Policy   string
}

// bodyWords are the sentences boot.js may have to show, by the data attribute
// it looks them up in.
var bodyWords = [][2]string{
	{"data-shell-failed", "shell.status.failed"},
	{"data-shell-storage", "shell.status.storage"},
	{"data-shell-offline", "shell.status.offline"},
	{"data-shell-unready-text", "shell.status.unready"},
	{"data-shell-unready-button", "shell.stopped.button"},
	{"data-shell-unkept-text", "shell.status.unkept"},
	{"data-shell-slow-files", "shell.slow.files"},
	{"data-shell-slow-program", "shell.slow.program"},
	{"data-shell-slow-words", "shell.slow.words"},
	{"data-shell-slow-storage", "shell.slow.storage"},
	{"data-shell-stopped-text", "shell.stopped.text"},
	{"data-shell-stopped-button", "shell.stopped.button"},
	{"data-shell-update-text", "shell.update.text"},
	{"data-shell-update-button", "shell.update.button"},
	{"data-shell-later-button", "shell.later.button"},
	{"data-shell-changed-text", "shell.changed.text"},
	{"data-shell-changed-button", "shell.changed.button"},
}

func text(s string) *html.Node { return &html.Node{Type: html.TextNode, Data: s} }

// elem makes an element from a name, its attributes as pairs, and children.
func elem(name string, attr []string, children ...*html.Node) *html.Node {
	n := &html.Node{Type: html.ElementNode, Data: name, DataAtom: atom.Lookup([]byte(name))}
	for i := 0; i+1 < len(attr); i += 2 {
		n.Attr = append(n.Attr, html.Attribute{Key: attr[i], Val: attr[i+1]})
	}
	for _, c := range children {
		n.AppendChild(c)
	}
	return n
}

func document(root *html.Node) ([]byte, error) {
	doc := &html.Node{Type: html.DocumentNode}
	doc.AppendChild(&html.Node{Type: html.DoctypeNode, Data: "html"})
	doc.AppendChild(root)
	var b bytes.Buffer
	if err := html.Render(&b, doc); err != nil {
		return nil, err
	}
	b.WriteByte('\n')
	return b.Bytes(), nil
}

func head(a Assets, title, summary string, more ...*html.Node) *html.Node {
	nodes := []*html.Node{
		elem("meta", []string{"charset", "utf-8"}),
		elem("meta", []string{"http-equiv", "Content-Security-Policy", "content", a.Policy}),
		elem("meta", []string{"name", "viewport", "content", "width=device-width, initial-scale=1"}),
		elem("meta", []string{"name", "referrer", "content", "no-referrer"}),
		elem("title", nil, text(title)),
		elem("meta", []string{"name", "description", "content", summary}),
		elem("meta", []string{"name", "theme-color", "content", themeColor}),
		elem("link", []string{"rel", "icon", "type", "image/svg+xml", "href", a.Icon}),
		elem("link", []string{"rel", "apple-touch-icon", "href", a.TouchPNG}),
		elem("link", []string{"rel", "stylesheet", "href", a.CSS}),
		elem("link", []string{"rel", "stylesheet", "href", a.OldCSS, "id", "style-old"}),
		// The program turns this one on, and the other off, for a screen of the new side.
		elem("link", []string{"rel", "stylesheet", "href", a.NewCSS, "id", "style-new", "media", "not all"}),
	}
	return elem("head", nil, append(nodes, more...)...)
}

// languageMenu lists the languages, each named in itself. view is kept.
func languageMenu(base, label string, here place.Place) *html.Node {
	list := elem("ul", []string{"class", "menu"})
	for _, l := range place.Languages {
		attr := []string{
			"href", base + place.Place{Lang: l.Tag, View: here.View}.Path(),
			"hreflang", l.Tag, "lang", l.Tag, "dir", l.Dir,
		}
		if l.Tag == here.Lang {
			attr = append(attr, "aria-current", "true")
		}
		list.AppendChild(elem("li", nil, elem("a", attr, text(l.Name))))
	}
	return elem("nav", []string{"aria-label", label, "data-menu", "languages"}, list)
}

func viewMenu(base string, here place.Place, w Words) *html.Node {
	list := elem("ul", []string{"class", "menu"})
	for _, v := range place.Views {
		attr := []string{"href", base + place.Place{Lang: here.Lang, View: v}.Path()}
		if v == here.View {
			attr = append(attr, "aria-current", "page")
		}
		list.AppendChild(elem("li", nil, elem("a", attr, text(w("shell.title."+place.Key(v))))))
	}
	return elem("nav", []string{"aria-label", w("shell.menu.views"), "data-menu", "views"}, list)
}

// Page writes the page of one place. Its first body element holds a text that
// can be read before the program runs, and when it cannot run; the program
// replaces that element whole.
func Page(p place.Place, a Assets, w Words) ([]byte, error) {
	l, _ := place.Find(p.Lang)
	wordings, err := json.Marshal(a.Wordings) // keys come out sorted
	if err != nil {
		return nil, err
	}
	key := place.Key(p.View)
	more := []*html.Node{elem("link", []string{"rel", "manifest", "href", a.Manifest})}
	for _, other := range place.Languages {
		more = append(more, elem("link", []string{
			"rel", "alternate", "hreflang", other.Tag,
			"href", a.Base + place.Place{Lang: other.Tag, View: p.View}.Path(),
		}))
	}
	more = append(more,
		// It waits for none of the others, nor for the style, so that it can say
		// which of them does not come.
		elem("script", []string{"async", "", "src", a.Boot}),
		elem("script", []string{"defer", "", "src", a.Exec}),
		elem("script", []string{"defer", "", "src", a.Keep}),
	)

	var words []string
	for _, b := range bodyWords {
		words = append(words, b[0], w(b[1]))
	}
	body := elem("body", words,
		elem("div", []string{"id", "app"},
			elem("div", []string{"class", "frame"},
				languageMenu(a.Base, w("shell.menu.languages"), p),
				viewMenu(a.Base, p, w),
				elem("main", nil,
					elem("h1", nil, text(w("shell.title."+key))),
					elem("p", nil, text(w("shell.about."+key))),
				),
			),
		),
		elem("div", []string{"id", "foot"},
			elem("p", []string{"id", "status", "role", "status"}, text(w("shell.status.starting"))),
			// The style shows this after a while, unless boot.js takes it away.
			elem("p", []string{"id", "late", "role", "status"}, text(w("shell.slow.files"))),
			elem("p", []string{"id", "offline", "role", "status"}),
			elem("noscript", nil, elem("p", nil, text(w("shell.status.script")))),
			elem("div", []string{"id", "bars"}),
		),
	)
	return document(elem("html", []string{
		"lang", l.Tag, "dir", l.Dir, "data-state", "starting",
		"data-base", a.Base, "data-wasm", a.Wasm, "data-keys", a.Keys, "data-wordings", string(wordings),
	}, head(a, w("shell.title."+key)+" - "+w("shell.name"), w("shell.summary"), more...), body))
}

// Root writes the page at the top of the site: it leads on to the home
// language by itself, and lists the languages for whoever stays on it.
func Root(home string, a Assets, w Words) ([]byte, error) {
	l, _ := place.Find(home)
	start := a.Base + place.Place{Lang: home}.Path()
	return document(elem("html", []string{"lang", l.Tag, "dir", l.Dir},
		head(a, w("shell.name"), w("shell.summary"),
			elem("meta", []string{"http-equiv", "refresh", "content", "0; url=" + start})),
		elem("body", nil, elem("div", []string{"class", "frame"},
			elem("h1", nil, text(w("shell.name"))),
			languageMenu(a.Base, w("shell.menu.languages"), place.Place{}),
		)),
	))
}

// Sorry writes the page that the worker answers with when the one asked for is
// damaged or missing on the device and cannot be fetched. It needs no other file.
func Sorry(l i18n.Language, a Assets, w Words) ([]byte, error) {
	return document(elem("html", []string{"lang", l.Tag, "dir", l.Dir},
		head(a, w("shell.name"), w("shell.summary")),
		elem("body", nil, elem("div", []string{"class", "frame"}, elem("main", nil,
			elem("h1", nil, text(w("shell.sorry.title"))),
			elem("p", nil, text(w("shell.sorry.text"))),
			elem("p", nil, elem("a", []string{"href", ""}, text(w("shell.changed.button")))),
		))),
	))
}

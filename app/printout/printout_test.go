package printout_test

import (
	"bytes"
	"crypto/sha256"
	"encoding/base64"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode"

	"golang.org/x/net/html"

	"plainleaf/app/casefile"
	"plainleaf/app/printout"
	"plainleaf/app/render"
	"plainleaf/app/sheet"
)

var update = flag.Bool("update", false, "write the golden files")

func golden(t *testing.T, name string, got []byte) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		if err := os.WriteFile(path, got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if bytes.Equal(got, want) {
		return
	}
	g, w := strings.Split(string(got), "\n"), strings.Split(string(want), "\n")
	for i := range max(len(g), len(w)) {
		a, b := "(end)", "(end)"
		if i < len(g) {
			a = g[i]
		}
		if i < len(w) {
			b = w[i]
		}
		if a != b {
			t.Fatalf("%s differs from line %d (go test -update rewrites it):\n got %q\nwant %q", path, i+1, a, b)
		}
	}
}

// Read the golden files as a reader would: they are what is handed out.
func TestTextGolden(t *testing.T) {
	en, ar := document(t, "en", 1), document(t, "ar", 1)
	for name, docs := range map[string][]render.Doc{"en": {en}, "ar-en": {ar, en}} {
		got, err := printout.Text(docs, printout.Options{Seal: "K7Q2-9XPM", Identifiers: printout.Identifiers{Name: "Demo Person"}})
		if err != nil {
			t.Fatal(err)
		}
		golden(t, "sample."+name+".txt", got)
	}
}

var variants = []struct {
	name string
	tags []string
}{{"en", []string{"en"}}, {"ar", []string{"ar"}}, {"ar-en", []string{"ar", "en"}}, {"en-ar", []string{"en", "ar"}}}

func documents(t *testing.T, tags []string, rounds int) []render.Doc {
	t.Helper()
	var docs []render.Doc
	for _, tag := range tags {
		docs = append(docs, document(t, tag, rounds))
	}
	return docs
}

func markup(t *testing.T, docs []render.Doc, o printout.Options) []byte {
	t.Helper()
	b, err := printout.HTML(docs, o)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// walk visits every element.
func walk(n *html.Node, visit func(*html.Node)) {
	if n.Type == html.ElementNode {
		visit(n)
	}
	for c := n.FirstChild; c != nil; c = c.NextSibling {
		walk(c, visit)
	}
}

func attr(n *html.Node, key string) string {
	for _, a := range n.Attr {
		if a.Key == key {
			return a.Val
		}
	}
	return ""
}

// hidden reports whether a screen reader skips n.
func hidden(n *html.Node) bool {
	for ; n != nil; n = n.Parent {
		if attr(n, "aria-hidden") == "true" {
			return true
		}
	}
	return false
}

func textOf(n *html.Node) string {
	if n.Type == html.TextNode {
		return n.Data
	}
	s := ""
	for c := n.FirstChild; c != nil; c = c.NextSibling {
		s += textOf(c)
	}
	return s
}

// What is written is what a parser of the standard makes of it: it moves what may not be
// where it is, such as a list inside a paragraph.
func TestHTMLIsReadAsWritten(t *testing.T) {
	for _, v := range variants {
		data := markup(t, documents(t, v.tags, 1), printout.Options{})
		root, err := html.Parse(bytes.NewReader(data))
		if err != nil {
			t.Fatal(err)
		}
		var again bytes.Buffer
		if err := html.Render(&again, root); err != nil {
			t.Fatal(err)
		}
		a, b := strings.TrimSpace(string(data)), again.String()
		b = strings.TrimSpace(strings.Replace(b, "\n</body></html>", "</body></html>", 1))
		for i := range min(len(a), len(b)) {
			if a[i] != b[i] {
				t.Fatalf("%s: written %q, read %q", v.name, a[max(0, i-80):min(len(a), i+80)], b[max(0, i-80):min(len(b), i+80)])
			}
		}
		if len(a) != len(b) {
			t.Errorf("%s: %d bytes written, %d read", v.name, len(a), len(b))
		}
	}
}

// Facts of every file, found by reading it back with a parser of its own.
func TestHTMLFacts(t *testing.T) {
	for _, v := range variants {
		t.Run(v.name, func(t *testing.T) {
			docs := documents(t, v.tags, 2)
			data := markup(t, docs, printout.Options{Paper: "letter", Size: "large"})
			if !bytes.Equal(data, markup(t, documents(t, v.tags, 2), printout.Options{Paper: "letter", Size: "large"})) {
				t.Error("two runs differ")
			}
			root, err := html.Parse(bytes.NewReader(data))
			if err != nil {
				t.Fatal(err)
			}
			ids := map[string]bool{}
			var wanted []string
			level, h1 := 0, 0
			seen := map[string]int{}
			walk(root, func(n *html.Node) {
				seen[n.Data]++
				if n.Data == "html" {
					if attr(n, "lang") != docs[0].Lang || attr(n, "dir") != docs[0].Dir || attr(n, "data-paper") != "letter" || attr(n, "data-size") != "large" {
						t.Errorf("html has %v", n.Attr)
					}
				}
				switch n.Data {
				case "script", "link", "img", "iframe", "object", "embed", "form", "input", "base":
					t.Errorf("there is a <%s>", n.Data)
				case "h1", "h2", "h3", "h4", "h5", "h6":
					l := int(n.Data[1] - '0')
					if l > level+1 {
						t.Errorf("from level %d to %d at %q", level, l, textOf(n))
					}
					level = l
					if l == 1 {
						h1++
					}
				case "th":
					if attr(n, "scope") == "" {
						t.Errorf("a th without scope: %q", textOf(n))
					}
				case "td", "li", "dt", "dd", "p", "bdi", "caption", "figcaption":
					corner := n.Data == "td" && n.PrevSibling == nil && n.Parent.Parent.Data == "thead"
					if strings.TrimSpace(textOf(n)) == "" && !corner && !hidden(n) {
						t.Errorf("an empty <%s>", n.Data)
					}
				case "table":
					if attr(n, "role") != "presentation" && attr(n, "aria-labelledby") == "" && (n.FirstChild == nil || n.FirstChild.Data != "caption") {
						t.Errorf("a table without a name: %.60s", textOf(n))
					}
				case "title":
					if strings.TrimSpace(textOf(n)) == "" {
						t.Error("an empty title")
					}
				}
				for _, a := range n.Attr {
					switch {
					case a.Key == "style" || strings.HasPrefix(a.Key, "on"):
						t.Errorf("attribute %s on <%s>", a.Key, n.Data)
					case a.Key == "href" || a.Key == "src":
						switch {
						case strings.HasPrefix(a.Val, "#"):
							wanted = append(wanted, a.Val[1:])
						case !regexp.MustCompile(`^tel:\+?[0-9]+$`).MatchString(a.Val):
							t.Errorf("reference %q", a.Val)
						}
					case a.Key == "id":
						if ids[a.Val] {
							t.Errorf("id %s is there twice", a.Val)
						}
						ids[a.Val] = true
					case a.Key == "aria-labelledby" || a.Key == "headers":
						wanted = append(wanted, strings.Fields(a.Val)...)
					case a.Key == "data-finding":
						t.Error("a finding is named")
					}
				}
				if n.Data == "svg" && attr(n, "aria-hidden") == "" {
					if attr(n, "role") != "img" || attr(n, "aria-labelledby") == "" && attr(n, "aria-label") == "" {
						t.Errorf("a picture without a label: %v", n.Attr)
					}
				}
			})
			if h1 != 1 {
				t.Errorf("%d h1", h1)
			}
			for _, id := range wanted {
				if !ids[id] {
					t.Errorf("nothing has the id %s", id)
				}
			}
			for _, tag := range []string{"thead", "tfoot", "dl", "ol", "ul", "figure", "svg", "bdi", "time"} {
				if seen[tag] == 0 {
					t.Errorf("there is no <%s>", tag)
				}
			}
			for _, want := range []string{`data-wait="active-gum-disease"`, `data-change="facial-contouring"`, `data-route="no-treatment"`, `data-tooth="13 12 11 21 22 23"`,
				`data-tooth="11"`, `data-figure="survival-10y"`, `data-warning="swelling"`, `data-msg="sample.title"`, `data-msg="sample.col.far"`,
				`href="tel:+15550199"`, `data-value="range"`, `role="main"`} {
				if !bytes.Contains(data, []byte(want)) {
					t.Errorf("there is no %s", want)
				}
			}
			if bytes.Contains(data, []byte("secret-finding")) || bytes.Contains(bytes.ReplaceAll(data, []byte("http://www.w3.org/2000/svg"), nil), []byte("//")) || bytes.Contains(data, []byte("url(")) {
				t.Error("something is in the file that should not be")
			}
		})
	}
}

// Every value is in an element of its own that isolates its direction, and
// every word of the document is in the file.
func TestValuesIsolated(t *testing.T) {
	docs := documents(t, []string{"ar"}, 1)
	root, err := html.Parse(bytes.NewReader(markup(t, docs, printout.Options{})))
	if err != nil {
		t.Fatal(err)
	}
	count := map[string]int{}
	walk(root, func(n *html.Node) {
		if v := attr(n, "data-value"); v != "" {
			count[v]++
			want := map[string]string{"teeth": "ltr", "places": "ltr", "language": "rtl", "phone": "ltr", "number": "ltr", "range": "ltr", "code": "ltr", "verbatim": "auto", "date": "rtl", "money": "ltr"}[v]
			if n.Data != "bdi" || attr(n, "dir") != want {
				t.Errorf("%s %q is in <%s dir=%q>, want dir=%q", v, textOf(n), n.Data, attr(n, "dir"), want)
			}
		}
	})
	for _, v := range []string{"teeth", "phone", "number", "range", "code", "verbatim", "date", "money"} {
		if count[v] == 0 {
			t.Errorf("there is no %s", v)
		}
	}
	all := strings.Join(strings.Fields(textOf(root)), " ")
	for i, b := range docs[0].Blocks {
		for _, l := range append([]render.Line{b.Text}, lines(b)...) {
			if !strings.Contains(all, strings.Join(strings.Fields(l.String()), " ")) {
				t.Errorf("block %d: %q is not in the file", i, l.String())
			}
		}
	}
}

func lines(b render.Block) []render.Line {
	out := append([]render.Line{b.Aside}, b.Columns...)
	for _, h := range b.Heads {
		out = append(out, h.Full())
	}
	return append(out, rows(b.Items)...)
}

func rows(items []render.Item) (out []render.Line) {
	for _, it := range items {
		out = append(out, it.Label, it.Text)
		out = append(out, it.More...)
		out = append(out, rows(it.Items)...)
		for _, c := range it.Choices {
			out = append(out, c.Where)
			for _, x := range c.Boxes {
				out = append(out, x.Text)
			}
		}
		for _, c := range it.Cells {
			out = append(out, c.Texts...)
			for _, x := range c.Boxes {
				out = append(out, x.Text)
			}
		}
	}
	return out
}

// Text has the same content as HTML, in lines of at most 78 columns, and its
// isolates are closed on the line they are opened on (UAX 9, rule P1).
func TestTextFacts(t *testing.T) {
	for _, v := range variants {
		docs := documents(t, v.tags, 1)
		data, err := printout.Text(docs, printout.Options{})
		if err != nil {
			t.Fatal(err)
		}
		flat := func(s string) string {
			s = strings.Map(func(r rune) rune {
				if unicode.Is(unicode.Bidi_Control, r) {
					return -1
				}
				return r
			}, s)
			return strings.Join(strings.Fields(s), " ")
		}
		all := flat(string(data))
		for _, d := range docs {
			for i, b := range d.Blocks {
				if b.Style == sheet.Repeat { // for the pages of paper
					continue
				}
				if b.Kind == sheet.Choices { // every row is a sentence of its own, without columns
					b.Columns = nil
				}
				if b.Kind == sheet.Table && len(b.Columns) > 0 { // nor a title of the labels
					b.Columns = b.Columns[1:]
				}
				for _, l := range append([]render.Line{b.Text}, lines(b)...) {
					if b.Kind == sheet.Sources && l.Msg() == "sample.sources" { // said to those who hear the sheet
						continue
					}
					if !strings.Contains(all, flat(l.String())) {
						t.Errorf("%s: block %d: %q is not in the text", v.name, i, l.String())
					}
				}
			}
		}
		for n, l := range strings.Split(string(data), "\n") {
			open, long := 0, 0
			for _, r := range l {
				switch r {
				case '\u2066', '\u2067', '\u2068':
					open++
				case '\u2069':
					open--
				default:
					if !unicode.In(r, unicode.Mn, unicode.Cf) {
						long++
					}
				}
				if unicode.Is(unicode.Co, r) {
					t.Errorf("%s:%d: a private-use character", v.name, n+1)
				}
			}
			if open != 0 {
				t.Errorf("%s:%d: %d isolates left open: %q", v.name, n+1, open, l)
			}
			if long > 78 {
				t.Errorf("%s:%d: %d columns: %q", v.name, n+1, long, l)
			}
			if strings.TrimRight(l, " \t\r") != l {
				t.Errorf("%s:%d: ends in a space", v.name, n+1)
			}
		}
	}
}

// Two languages leave one place to sign and one set of boxes.
func TestOnePlaceToWrite(t *testing.T) {
	one := markup(t, documents(t, []string{"en"}, 1), printout.Options{})
	two := markup(t, documents(t, []string{"ar", "en"}, 1), printout.Options{})
	for _, mark := range []string{`data-answer=`, `class="row"`, `class="lines`, `class="box"`, `class="box on"`, `class="write holder"`, `class="blank`, `data-mark="crossed"`} {
		a, b := bytes.Count(one, []byte(mark)), bytes.Count(two, []byte(mark))
		if a == 0 || a != b {
			t.Errorf("%s: %d in one language, %d in two", mark, a, b)
		}
	}
}

func TestHostileText(t *testing.T) {
	data := markup(t, documents(t, []string{"en"}, 1), printout.Options{
		Identifiers: printout.Identifiers{Name: `<em onclick="x()">A & B</em>` + "\u202e", Born: "1.2.1980", Chart: "</td>7"}, Seal: `"><mark>`})
	root, err := html.Parse(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	walk(root, func(n *html.Node) {
		if n.Data == "script" || n.Data == "em" || n.Data == "mark" || attr(n, "onclick") != "" {
			t.Errorf("typed text became <%s>", n.Data)
		}
	})
	all := textOf(root)
	for _, want := range []string{`<em onclick="x()">A & B</em>` + "\ufffd", "</td>7", "1.2.1980", `"><mark>`, `<script>alert(1)</script> {{.Phone}} & "so" ` + "\ufffdevil\ufffd next"} {
		if !strings.Contains(all, want) {
			t.Errorf("%q is not shown as typed", want)
		}
	}
	if strings.ContainsFunc(all, func(r rune) bool { return unicode.Is(unicode.Bidi_Control, r) }) {
		t.Error("a direction control is in the file")
	}
}

// The chart is the same in every language: the patient's right on the viewer's left, the
// upper teeth above the lower, an arch without a marked tooth left out.
func TestChartIsAnatomical(t *testing.T) {
	places := func(tag string, teeth sheet.Teeth) map[string][3]float64 {
		s := sample(1)
		s.Blocks, s.Must = []sheet.Block{{Kind: sheet.Chart, Text: m("chart", "Teeth", teeth), Ref: sheet.Ref{Teeth: teeth}}}, sheet.Must{}
		root, err := html.Parse(bytes.NewReader(markup(t, []render.Doc{localized(t, tag, s)}, printout.Options{})))
		if err != nil {
			t.Fatal(err)
		}
		at := map[string][3]float64{}
		walk(root, func(n *html.Node) {
			if tooth := attr(n, "data-place"); tooth != "" {
				place := [3]float64{shift(t, n)[0], shift(t, n.Parent)[1], 0}
				if attr(n, "data-marked") == tooth {
					place[2] = 1
				}
				at[tooth] = place
			}
		})
		return at
	}
	teeth := sheet.Teeth{18, 11, 26, 41, 31}
	en, ar := places("en", teeth), places("ar", teeth)
	if len(en) != 32 {
		t.Fatalf("%d teeth on the chart", len(en))
	}
	for _, row := range []string{"18 17 16 15 14 13 12 11 21 22 23 24 25 26 27 28", "48 47 46 45 44 43 42 41 31 32 33 34 35 36 37 38"} {
		order := strings.Fields(row)
		for i := 1; i < len(order); i++ {
			if a, b := en[order[i-1]], en[order[i]]; a[0] >= b[0] || a[1] != b[1] {
				t.Errorf("%s at %v is not left of %s at %v", order[i-1], a, order[i], b)
			}
		}
	}
	if en["11"][1] >= en["41"][1] {
		t.Errorf("the upper teeth are not above the lower: %v, %v", en["11"], en["41"])
	}
	for tooth, place := range en {
		if ar[tooth] != place {
			t.Errorf("tooth %s is at %v in English and at %v in Arabic", tooth, place, ar[tooth])
		}
		if want := slices.ContainsFunc(teeth, func(x casefile.Tooth) bool { return x.String() == tooth }); want != (place[2] == 1) {
			t.Errorf("tooth %s is marked: %v", tooth, place[2] == 1)
		}
	}
	if only := places("en", sheet.Teeth{43}); len(only) != 14 || only["43"][2] != 1 || only["11"] != [3]float64{} {
		t.Errorf("a lower tooth alone: %v", only)
	}
}

// shift reads the translation of a part of a drawing.
func shift(t *testing.T, n *html.Node) (at [2]float64) {
	t.Helper()
	if _, err := fmt.Sscanf(attr(n, "transform"), "translate(%g %g)", &at[0], &at[1]); err != nil {
		t.Fatalf("%q: %v", attr(n, "transform"), err)
	}
	return at
}

// A screen reader announces the option and the question of each answer.
func TestAnswersNameTheirOption(t *testing.T) {
	for _, v := range variants {
		root, err := html.Parse(bytes.NewReader(markup(t, documents(t, v.tags, 1), printout.Options{})))
		if err != nil {
			t.Fatal(err)
		}
		heads, seen := map[string]string{}, 0
		walk(root, func(n *html.Node) {
			if n.Data == "th" && attr(n, "id") != "" {
				heads[attr(n, "id")] = textOf(n)
			}
		})
		walk(root, func(n *html.Node) {
			if n.Data != "table" || attr(n, "class") != "ways" {
				return
			}
			walk(n, func(td *html.Node) {
				if td.Data != "td" || hidden(td) {
					return
				}
				span := 1
				fmt.Sscan(attr(td, "colspan"), &span)
				ids := strings.Fields(attr(td, "headers"))
				if len(ids) != span+1 || heads[ids[0]] != textOf(td.Parent.PrevSibling) {
					t.Fatalf("%s: %q has the heads %q", v.name, textOf(td), ids)
				}
				seen += span
				for _, id := range ids[1:] {
					if name := heads[id]; name == "" || !strings.Contains(textOf(td), firstWords(name)) {
						t.Errorf("%s: %q does not name %q where it is read by itself", v.name, textOf(td), name)
					}
				}
			})
		})
		if seen != 12 {
			t.Errorf("%s: %d answers", v.name, seen)
		}
	}
}

// firstWords are the first letters of the name of a column, without what follows it.
func firstWords(s string) string { return string([]rune(s)[:4]) }

func TestPolicyNamesTheStylesheet(t *testing.T) {
	data := markup(t, documents(t, []string{"en"}, 1), printout.Options{})
	root, err := html.Parse(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	var css, policy string
	walk(root, func(n *html.Node) {
		switch {
		case n.Data == "style":
			css += textOf(n)
		case attr(n, "http-equiv") == "Content-Security-Policy":
			policy = attr(n, "content")
		}
	})
	if css != string(printout.CSS()) {
		t.Error("the style element is not the constant stylesheet")
	}
	sum := sha256.Sum256([]byte(css))
	if !strings.Contains(policy, "'sha256-"+base64.StdEncoding.EncodeToString(sum[:])+"'") || !strings.HasPrefix(policy, "default-src 'none';") {
		t.Errorf("policy %q", policy)
	}
	// Right to left works only with logical properties.
	if m := regexp.MustCompile(`(margin|padding|border)-(left|right)\b|\b(left|right)\s*:|text-align:\s*(left|right)|float:\s*(left|right)`).FindString(css); m != "" {
		t.Errorf("the stylesheet says %q", m)
	}
	for _, m := range []string{"url(", "@import", "http"} {
		if strings.Contains(css, m) {
			t.Errorf("the stylesheet says %q", m)
		}
	}
}

func TestRefuses(t *testing.T) {
	en, ar := document(t, "en", 1), document(t, "ar", 2)
	for name, f := range map[string]func() error{
		"no document":          func() error { _, err := printout.HTML(nil, printout.Options{}); return err },
		"documents of two":     func() error { _, err := printout.HTML([]render.Doc{en, ar}, printout.Options{}); return err },
		"texts of two":         func() error { _, err := printout.Text([]render.Doc{en, ar}, printout.Options{}); return err },
		"three documents":      func() error { _, err := printout.HTML([]render.Doc{en, en, en}, printout.Options{}); return err },
		"a paper nobody sells": func() error { _, err := printout.HTML([]render.Doc{en}, printout.Options{Paper: "a3"}); return err },
		"a size of its own":    func() error { _, err := printout.HTML([]render.Doc{en}, printout.Options{Size: "huge"}); return err },
	} {
		if f() == nil {
			t.Errorf("%s: no error", name)
		}
	}
}

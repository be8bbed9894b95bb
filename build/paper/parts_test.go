package paper

import (
	_ "embed"
	"encoding/json"
	"strings"
	"unicode"

	"github.com/chromedp/chromedp"
	"golang.org/x/text/unicode/norm"
)

//go:embed parts.js
var partsScript string

// parts is what a sheet holds as it is laid out for print; see parts.js. What is not
// seen on paper is left out.
type parts struct {
	Top, Bottom float64 // px that page margins, head and foot take
	Texts       []struct{ Text, Lang string }
	Items       []string // each item of a list
	Lists       int
	Tables      []struct {
		Head    string // of a table that shows its columns' names
		Rows    []string
		Headers int  // cells that name a row or a column
		Shown   bool // as a table, and not as one card after the other
	}
	Urgencies []struct {
		Text, Heading string
		Now, Life     bool // call now; danger to life
	}
	Signature string // the text of the signature page
	Lines     int    // places to sign
	Decides   []struct {
		Text, Repeat string // a decision and its lines to sign; the line that repeats what it is about
		Lines        int
	}
	Breaks []string // what a page may end in, or does
}

func (w *window) parts() (p parts) {
	w.t.Helper()
	said, err := chromedp.Run(w.ctx, chromedp.Evaluate[string](strings.TrimSpace(partsScript)))
	if err != nil {
		w.t.Fatal(err)
	}
	if err := json.Unmarshal([]byte(said), &p); err != nil {
		w.t.Fatal(err)
	}
	return p
}

// text is all of it, in the order of reading.
func (p parts) text() string {
	var b strings.Builder
	for _, x := range p.Texts {
		b.WriteString(x.Text + " ")
	}
	return b.String()
}

// in is what is said in one language.
func (p parts) in(lang string) string {
	var b strings.Builder
	for _, x := range p.Texts {
		if x.Lang == lang {
			b.WriteString(x.Text + " ")
		}
	}
	return b.String()
}

// letters leaves the letters and digits of a text, in the form that is the same in
// HTML and in a PDF: no ligatures, no marks, no spaces.
func letters(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == 'ـ': // a stroke that makes an Arabic word longer
			return -1
		case unicode.IsLetter(r), unicode.IsDigit(r):
			return r
		}
		return -1
	}, norm.NFKC.String(s))
}

// tally counts letters, for scripts whose letters a PDF holds in the order of the page.
func tally(s string) map[rune]int {
	n := map[rune]int{}
	for _, r := range norm.NFD.String(letters(s)) {
		if unicode.IsLetter(r) || unicode.IsDigit(r) {
			n[r]++
		}
	}
	return n
}

// lacks is how many letters of want are missing in got, of how many.
func lacks(got, want string) (missing, of int) {
	have := tally(got)
	for r, n := range tally(want) {
		of += n
		missing += max(0, n-have[r])
	}
	return missing, of
}

// holds reports whether a text is in another: letter by letter, or, in a script
// that is written from right to left, by the number of its letters.
func holds(got, want string, rtl bool) bool {
	if !rtl {
		return strings.Contains(letters(got), letters(want))
	}
	missing, of := lacks(got, want)
	return missing*50 <= of // shapes of some ligatures cannot be taken apart
}

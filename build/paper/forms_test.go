package paper

import (
	"encoding/xml"
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"plainleaf/app/produce"
	"plainleaf/app/sheet"
	"plainleaf/build/budget"
	"plainleaf/build/outside"
	"plainleaf/i18n"
)

// printedPage is a page of a PDF as it lies on a table: its lines.
type printedPage struct {
	Width  float64       `xml:"width,attr"`
	Height float64       `xml:"height,attr"`
	Lines  []printedLine `xml:"flow>block>line"`
}

type printedLine struct {
	Top    float64 `xml:"yMin,attr"`
	Bottom float64 `xml:"yMax,attr"`
	Words  []struct {
		Left   float64 `xml:"xMin,attr"`
		Top    float64 `xml:"yMin,attr"`
		Right  float64 `xml:"xMax,attr"`
		Bottom float64 `xml:"yMax,attr"`
		Text   string  `xml:",chardata"`
	} `xml:"word"`
}

// printed reads where each line of a PDF is, in points.
func printed(t *testing.T, file string) []printedPage {
	t.Helper()
	var doc struct {
		Pages []printedPage `xml:"body>doc>page"`
	}
	d := xml.NewDecoder(strings.NewReader(run(t, "pdftotext", "-bbox-layout", file, "-")))
	d.Strict, d.Entity = false, xml.HTMLEntity
	if err := d.Decode(&doc); err != nil {
		t.Fatal(err)
	}
	return doc.Pages
}

// full is how many lines of text a page has between its head and its foot, those beside
// each other counted once, and which part of the page they take.
func (p printedPage) full(top, bottom float64) (lines int, share float64) {
	const points = 72.0 / 96
	top, bottom = top*points, p.Height-bottom*points
	rows, last := map[int]bool{}, top
	for _, l := range p.Lines {
		if middle := (l.Top + l.Bottom) / 2; middle > top && middle < bottom {
			rows[int(middle/6)] = true
			last = max(last, l.Bottom)
		}
	}
	at := slices.Sorted(func(yield func(int) bool) {
		for r := range rows {
			if !yield(r) {
				return
			}
		}
	})
	for i, r := range at {
		if i == 0 || r > at[i-1]+1 {
			lines++
		}
	}
	return lines, (last - top) / p.Height
}

// copyOf is one form of one sheet, printed and read.
type copyOf struct {
	name  string
	c     cell
	parts parts
	pages []printedPage
	tags  tagged
	file  string
}

// forms are the sheets of one case on every paper, in both sizes, in each language and
// in pairs; of a second case the plainest.
func forms() (out []struct {
	name string
	c    cell
}) {
	add := func(name string, c cell) {
		out = append(out, struct {
			name string
			c    cell
		}{name, c})
	}
	for _, kind := range sheet.Kinds() {
		for _, paper := range []string{"a4", "letter"} {
			for _, size := range []string{"normal", "large"} {
				for _, l := range i18n.Languages() {
					add("ten-teeth-no-prep", cell{kind, l.Tag, "", paper, size})
				}
			}
		}
		for _, pair := range [][2]string{{"es", "en"}, {"ar", "en"}} {
			add("ten-teeth-no-prep", cell{kind, pair[0], pair[1], "a4", "normal"})
		}
		add("two-teeth", cell{kind, "en", "", "a4", "normal"})
		add("mixed-routes", cell{kind, "en", "", "letter", "normal"})
		add("conventional-eight", cell{kind, "en", "", "a4", "normal"})
	}
	return out
}

// take prints what is shown and reads it; tags are read later, all at once.
func (w *window) take(name string, c cell) copyOf {
	w.t.Helper()
	k := copyOf{name: name, c: c, parts: w.parts()}
	k.file = w.print(strings.ReplaceAll(strings.Join(strings.Fields(name+" "+c.String()), "-"), "/", "-"))
	k.pages = printed(w.t, k.file)
	return k
}

// signs reports whether a page is the one to sign, which is alone however short it is.
func (k copyOf) signs(page int) bool {
	return k.parts.Signature != "" && k.on(k.parts.Signature) == page+1
}

// faults says what is wrong with a form on paper. The first word of each is what it is about.
func (k copyOf) faults() (out []string) {
	fault := func(format string, a ...any) { out = append(out, fmt.Sprintf(format, a...)) }
	rtl := k.c.locale == "ar" || k.c.second == "ar"
	if len(k.pages) != len(k.tags.Pages) {
		fault("pages: %d and %d", len(k.pages), len(k.tags.Pages))
		return out
	}
	if lines, share := k.pages[len(k.pages)-1].full(k.parts.Top, k.parts.Bottom); lines < 12 && share < 0.2 && !k.signs(len(k.pages)-1) {
		fault("last-page: %d lines on %.0f %% of page %d", lines, 100*share, len(k.pages))
	}
	for _, b := range k.parts.Breaks {
		fault("parted: by the stylesheet: %s", b)
	}
	if !rtl { // letters of Arabic have no order here that could be compared
		out = append(out, k.parted()...)
		out = append(out, k.headless()...)
	}
	if k.c.kind == sheet.Aftercare {
		life := false
		for _, u := range k.parts.Urgencies {
			life = life || u.Life
			if u.Now && !holds(k.tags.page(0), u.Text, rtl) {
				fault("urgency: not whole on page one: %.50q", u.Text)
			}
		}
		if !life {
			fault("urgency: none is a danger to life")
		}
	}
	if k.c.kind == sheet.Consent || k.c.kind == sheet.Wait && k.parts.Lines > 0 { // with nothing to wait for there is nothing to sign
		if k.parts.Signature == "" {
			fault("signature: no page to sign is marked")
		} else if k.c.size == "normal" && k.c.second == "" && k.on(k.parts.Signature) == 0 {
			fault("signature: the page to sign is on more than one")
		}
	}
	if k.parts.Lines > 0 && len(k.parts.Decides) == 0 {
		fault("decision: none is marked")
	}
	signed := 0
	for _, d := range k.parts.Decides {
		switch signed += d.Lines; {
		case k.on(d.Text) == 0:
			fault("decision: not on one page with its lines to sign: %.50q", d.Text)
		case d.Repeat == "" && (k.c.size == "large" || k.c.second != ""): // elsewhere the page names the treatment
			fault("decision: nothing repeats what is decided: %.50q", d.Text)
		}
	}
	if len(k.parts.Decides) > 0 && signed < k.parts.Lines {
		fault("decision: %d of %d places to sign stand with one", signed, k.parts.Lines)
	}
	return out
}

// on is the one page that a text is on, from 1; 0 for none or more than one.
func (k copyOf) on(text string) int {
	for i := range k.tags.Pages {
		if holds(k.tags.words(i), text, k.c.locale == "ar" || k.c.second == "ar") {
			return i + 1
		}
	}
	return 0
}

// parted lists the items of lists and the rows of tables that go over two pages.
func (k copyOf) parted() (out []string) {
	var whole []string
	for _, s := range k.parts.Items {
		whole = append(whole, letters(s))
	}
	for _, t := range k.parts.Tables {
		for _, r := range append(t.Rows, t.Head) {
			whole = append(whole, letters(r))
		}
	}
	for i := range k.tags.Pages {
		for _, role := range []string{"LI", "TR"} {
			for _, n := range k.tags.all(i, role) {
				if s := letters(n.text()); s != "" && !slices.Contains(whole, s) && slices.ContainsFunc(whole, func(w string) bool { return strings.HasPrefix(w, s) || strings.HasSuffix(w, s) }) {
					out = append(out, fmt.Sprintf("parted: only %.40q of %s is on page %d", n.text(), role, i+1))
				}
			}
		}
	}
	return out
}

// headless lists the pages on which a table goes on without its header.
func (k copyOf) headless() (out []string) {
	for _, t := range k.parts.Tables {
		if t.Head == "" || !t.Shown {
			continue
		}
		for i := range k.tags.Pages {
			for _, part := range k.tags.all(i, "Table") {
				said, mine := letters(part.text()), false
				part.walk("", func(n tagNode, _ string) {
					row := letters(n.text())
					mine = mine || n.Role == "TR" && len(row) > 12 && slices.ContainsFunc(t.Rows, func(r string) bool { return letters(r) == row })
				})
				if mine && !strings.Contains(said, letters(t.Head)) {
					out = append(out, fmt.Sprintf("header: the table goes on without %.40q on page %d", t.Head, i+1))
				}
			}
		}
	}
	return out
}

// Every form on paper: no page nearly empty, nothing parted that belongs together, what
// is urgent on page one, a decision beside its lines to sign, and all of it announced to
// those who hear it.
func TestForms(t *testing.T) {
	w := open(t)
	inputs := map[string]produce.Input{}
	var copies []copyOf
	var files []string
	begun := time.Now()
	for _, f := range forms() {
		if inputs[f.name].Base == nil {
			inputs[f.name] = settled(t, input(t, f.name))
		}
		in := inputs[f.name]
		if f.c.kind == sheet.Wait { // of what is settled nothing is left to say
			in = input(t, f.name)
		}
		w.show(f.c, f.c.page(t, in))
		k := w.take(f.name, f.c)
		copies, files = append(copies, k), append(files, k.file)
	}
	t.Logf("%d forms printed in %v", len(copies), time.Since(begun))
	for i, d := range readTags(t, files...) {
		copies[i].tags = d
		outside.Note("PDF tags as read by pdf.js")
	}
	type count struct{ forms, faults int }
	counts, said := map[string]count{}, map[string]bool{}
	var table strings.Builder
	for _, k := range copies {
		lines, share := k.pages[len(k.pages)-1].full(k.parts.Top, k.parts.Bottom)
		fmt.Fprintf(&table, "%-20s %s %2d pages, the last with %2d lines on %2.0f %%\n", k.name, k.c, len(k.pages), lines, 100*share)
		about := map[string]bool{}
		for _, f := range append(k.faults(), k.c.tagFaults(k.parts, k.tags)...) {
			what, _, _ := strings.Cut(f, ":")
			key := fmt.Sprintf("%-9s %s", k.c.kind, what)
			n := counts[key]
			if n.faults++; !about[what] {
				about[what] = true
				n.forms++
			}
			counts[key] = n
			if budget.Kept(k.c.kind) || !said[key] { // one example of each is enough where much is owed
				said[key] = true
				budget.Debt(t, k.c.kind, "%s %s: %s", k.name, k.c, f)
			}
		}
	}
	var sums []string
	for key, n := range counts {
		sums = append(sums, fmt.Sprintf("%-28s %3d forms, %4d faults", key, n.forms, n.faults))
	}
	slices.Sort(sums)
	t.Logf("\n%s\n%s", table.String(), strings.Join(sums, "\n"))
}

// Each check sees a form that is spoiled in the way it looks for.
func TestTheChecksOfFormsSeeWhatTheyLookFor(t *testing.T) {
	w := open(t)
	in := settled(t, input(t, "two-teeth"))
	aftercare, consent := cell{sheet.Aftercare, "en", "", "a4", "normal"}, cell{sheet.Consent, "en", "", "a4", "normal"}
	// A sheet's policy allows no style in its markup, but a script may set one.
	tall := `document.querySelector(".body").insertAdjacentHTML("beforeend", '<div data-style="break-before: page; column-span: all">%s</div>');`
	long := strings.Repeat("Such an item goes on and on, since somebody wrote too much into it. ", 90)
	rows := strings.Repeat("<tr data-style=\"break-inside: avoid\"><th scope=\"row\">This is a long name of a row</th><td>cell</td></tr>", 80)
	table := func(style string) string {
		return fmt.Sprintf(tall, `<table class="t"><thead data-style="display: `+style+`"><tr><th scope="col">Header of a column</th><th scope="col">Another</th></tr></thead><tbody>`+rows+`</tbody></table>`)
	}
	large := cell{sheet.Consent, "en", "", "a4", "large"}
	// A browser exports the language of a part where that is a group or a paragraph of its own.
	pair, grouped := cell{sheet.Consent, "en", "es", "a4", "normal"}, `for (const e of document.querySelectorAll(".body [lang=es]")) e.setAttribute("role", "group");`
	var copies []copyOf
	var files, want []string
	for _, p := range []struct {
		c             cell
		script, fault string // "-" before a fault: it must not be found
	}{
		{aftercare, "", "-whole"},
		{consent, "", "-whole"},
		{aftercare, fmt.Sprintf(tall, "<p>Two words.</p>"), "last-page: 1 lines"},
		{aftercare, fmt.Sprintf(tall, "<ul><li data-style=\\'break-inside: auto\\'>"+long+"</li></ul>"), "parted: only"},
		{aftercare, fmt.Sprintf(tall, "<ul><li data-style=\\'break-inside: auto\\'>"+long[:500]+"</li></ul>"), "parted: by the stylesheet: may be parted"},
		{aftercare, fmt.Sprintf(tall, "<ul><li>"+long+"</li></ul>"), "parted: by the stylesheet: higher than a page"},
		{aftercare, table("table-row-group"), "header"},
		{aftercare, table("table-header-group"), "-header"},
		{aftercare, `document.querySelector(".emergency").style.marginBlockStart = "28cm"`, "urgency: not whole on page one"},
		{aftercare, `document.querySelector(".emergency").remove()`, "urgency: none is a danger"},
		{aftercare, `document.querySelector(".emergency p").outerHTML = "<h2>Call now</h2>"`, `-no heading of level 2 has "Call now`},
		{consent, `document.querySelector(".signpage").style.paddingBlockStart = "9cm"`, "signature: the page to sign is on more"},
		{consent, `document.querySelector(".signpage").className = ""`, "signature: no page"},
		{consent, `document.querySelector(".decide > :not(.repeat)").style.blockSize = "35cm"`, "decision: not on one page"},
		{consent, `document.querySelector(".decide").className = ""; document.querySelectorAll(".sign").forEach((e) => e.classList.remove("keep"))`, "decision: none is marked"},
		{large, `document.querySelectorAll(".repeat").forEach((e) => e.remove())`, "decision: nothing repeats"},
		{large, `document.querySelector(".decide").insertAdjacentHTML("afterbegin", "<p class=repeat>Veneers on two teeth.</p>")`, "-decision: nothing repeats"},
		// tags
		{aftercare, `document.querySelector(".body h2").insertAdjacentHTML("beforebegin", "<p aria-hidden=true>Nobodyhears this, though it is there to read.</p>")`, `text: "Nobodyhears"`},
		{consent, `document.documentElement.lang = ""`, "language: the PDF is in"},
		{consent, `for (const l of document.querySelectorAll(".body ul")) l.setAttribute("role", "none")`, "list: 0 of"},
		{consent, `for (const t of document.querySelectorAll(".body table")) { t.removeAttribute("aria-labelledby"); t.setAttribute("role", "none") }`, "table: 0 of"},
		{consent, fmt.Sprintf(tall, "<table><tr><td>one</td><td>two</td></tr></table>"), "table: number"},
		{pair, grouped, "-second language"},
		{pair, grouped + `for (const e of document.querySelectorAll(".body [lang=es]")) e.removeAttribute("role")`, "second language"},
	} {
		w.show(p.c, p.c.page(t, in))
		if _, err := chromedp.Run(w.ctx, chromedp.Evaluate[string](`(() => {`+p.script+`; for (const e of document.querySelectorAll("[data-style]")) e.style = e.dataset.style; return ""})()`)); err != nil {
			t.Fatalf("%s: %v", p.script, err)
		}
		k := w.take(fmt.Sprint("spoiled", len(copies)), p.c)
		copies, files, want = append(copies, k), append(files, k.file), append(want, p.fault)
	}
	whole := map[cell]string{} // what is wrong before anything is spoiled
	for i, d := range readTags(t, files...) {
		copies[i].tags = d
		all := strings.Join(append(copies[i].faults(), copies[i].c.tagFaults(copies[i].parts, d)...), "\n")
		said, not := strings.CutPrefix(want[i], "-")
		if strings.Contains(all, said) == not {
			t.Errorf("%s: want %q in:\n%s", filepath.Base(files[i]), want[i], all)
		}
		if said == "whole" {
			whole[copies[i].c] = all
		} else if !not && strings.Contains(whole[copies[i].c], said) {
			t.Errorf("%s: %q is found where nothing is spoiled", filepath.Base(files[i]), said)
		}
	}
}

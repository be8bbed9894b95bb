package paper

import (
	"bytes"
	"context"
	_ "embed"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"
	"unicode"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"

	"plainleaf/app/casefile"
	"plainleaf/app/fault"
	"plainleaf/app/plan"
	"plainleaf/app/printout"
	"plainleaf/app/produce"
	"plainleaf/app/sheet"
	"plainleaf/build/budget"
	"plainleaf/build/press"
	"plainleaf/content"
	"plainleaf/i18n"
)

//go:embed measure.js
var measure string

// input gives a case with a practice that has signed off every language.
func input(t *testing.T, name string) produce.Input {
	t.Helper()
	base, faults := content.Load()
	var tags []string
	for _, l := range i18n.Languages() {
		tags = append(tags, l.Tag)
	}
	v := base.Vocabulary(tags)
	read := func(file string) []byte {
		data, err := os.ReadFile("../../testdata/" + file)
		if err != nil {
			t.Fatal(err)
		}
		return data
	}
	practice, f := casefile.ReadPractice(read("practice/signed.json"), v)
	faults.Append(f...)
	c, f := casefile.ReadCase(read("cases/"+name+".json"), v)
	faults.Append(f...)
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	signed := practice.SignOffs[0]
	for _, tag := range tags {
		signed.Locale = tag
		practice.SignOffs = append(practice.SignOffs, signed)
	}
	practice.Languages = tags
	loaded := map[string]*i18n.Wording{}
	return produce.Input{Case: c, Practice: practice, Base: base, States: i18n.States,
		Wording: func(tag string) (*i18n.Wording, fault.List) {
			if w := loaded[tag]; w != nil {
				return w, nil
			}
			data, _ := i18n.Embedded(tag)
			w, faults := i18n.Load(tag, data, nil)
			loaded[tag] = w
			return w, faults
		}}
}

// of is a case as a cell of the matrix has it: a change follows an agreement, and asks
// for something.
func (c cell) of(in produce.Input) produce.Input {
	in.Kind, in.Locale, in.Second = c.kind, c.locale, c.second
	if k := &in.Case; c.kind == sheet.Change && k.Agreed == nil {
		a := k.Agree(casefile.SignedPaper, "CODE-1", "", string(sheet.Consent), k.Issued, &casefile.Price{Minor: 420000, Currency: in.Practice.Currency}, in.Base.Vocabulary(nil).OfContacts)
		k.Agreed, k.Stage = &a, casefile.AtTryIn
		k.Note(casefile.Event{Kind: casefile.SignedSheet, On: a.Date, Sheet: a.Sheet, Code: a.Code})
		k.Note(casefile.Event{Kind: casefile.Asked, On: k.Start, Change: "facial-contouring", Teeth: k.ToothList()[:1], SizeMM: 0.2,
			Fee: &casefile.Price{Minor: 5000, Currency: in.Practice.Currency}, Note: "The edge stands out."})
	}
	return in
}

// settled is a case with nothing to wait for, so that its consent has lines to sign on.
func settled(t *testing.T, in produce.Input) produce.Input {
	t.Helper()
	pl, faults := plan.For(in.Case, in.Practice, in.Base)
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	for _, x := range pl.WaitFor {
		in.Case.Note(casefile.Event{Kind: casefile.Settled, On: in.Case.Issued, Finding: x.Key, Teeth: x.Teeth})
	}
	return in
}

// page writes the sheet of one cell of the matrix.
func (c cell) page(t *testing.T, in produce.Input) []byte {
	t.Helper()
	docs, _, faults := produce.Docs(c.of(in))
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	data, err := printout.HTML(docs, printout.Options{Paper: c.paper, Size: c.size})
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// cell is one sheet of the matrix.
type cell struct {
	kind           sheet.Kind
	locale, second string
	paper, size    string
}

func (c cell) String() string {
	return fmt.Sprintf("%-9s %-7s %-7s %-6s %-6s", c.kind, c.locale, c.second, c.paper, c.size)
}

// cells are every kind, language, paper and size, and pairs of languages.
func cells() []cell {
	var out []cell
	for _, kind := range sheet.Kinds() {
		for _, paper := range []string{"a4", "letter"} {
			for _, size := range []string{"normal", "large"} {
				for _, l := range i18n.Languages() {
					out = append(out, cell{kind, l.Tag, "", paper, size})
				}
			}
		}
		for _, pair := range [][2]string{{"es", "en"}, {"ar", "en"}, {"es", "ar"}} {
			out = append(out, cell{kind, pair[0], pair[1], "a4", "normal"}, cell{kind, pair[0], pair[1], "letter", "large"})
		}
	}
	return out
}

// between is the room between the margins of app/printout/sheet.css, px (CSS: 96 to the inch).
func (c cell) between() (width, height float64) {
	const mm = 96 / 25.4
	w, h := 210.0, 297.0
	if c.paper == "letter" {
		w, h = 215.9, 279.4
	}
	switch {
	case c.size == "large":
		return (w - 32) * mm, (h - 32) * mm
	case c.paper == "letter":
		return (w - 28) * mm, (h - 20) * mm
	}
	return (w - 28) * mm, (h - 22) * mm
}

// leastType is the smallest type, in points, at each place of a sheet, in normal and in
// large print; the first place that fits holds. Head and foot of a page, pictures and, in
// large print, the words at the boxes of the try-in grid have no limit.
var leastType = []struct {
	at            string
	normal, large float64
}{
	{".head, .ids, .top, .foot, .specimen, svg", 0, 0},
	{".cite, .src", 8, 12},
	{".sources", 8.5, 14},
	{"table.look td", 9.5, 0},
	{"table:not(.leaf), .cols:has(+ .steps), .facts.tight, section:has(> .handover), .line, .urg dl, .cut, .ink .said", 9.5, 14},
	{`.note, .legend, .kicker, figcaption, .phones dt, .who, .label, [data-kind="aftercare"] .cols`, 10, 14},
	{"*", 12, 18},
}

// leastTypes writes them as measure.js takes them, in px.
func (c cell) leastTypes() string {
	var out []string
	for _, l := range leastType {
		points := l.normal
		if c.size == "large" {
			points = l.large
		}
		out = append(out, fmt.Sprintf("[%q, %f]", l.at, points/0.75))
	}
	return strings.Join(out, ", ")
}

type measured struct {
	Parts      []float64 // what is between two forced page breaks, in pages
	Signature  bool      // the signature page has no other content
	Faults     []string
	Small      []string // type below what is asked, but for the body's
	Characters string
}

// pages is an estimate: what may not be split leaves room at the ends of some.
func (m measured) pages() int {
	n := 0
	for _, p := range m.Parts {
		n += max(1, int(math.Ceil(p-0.005)))
	}
	return n
}

// window is a browser with one page that is used again for each sheet.
type window struct {
	t    *testing.T
	ctx  context.Context
	file string
	wide float64
}

func open(t *testing.T) *window {
	t.Helper()
	if testing.Short() {
		t.Skip("needs a browser")
	}
	path, err := press.Find()
	if err != nil {
		t.Fatal(err)
	}
	opts := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(path), chromedp.UserDataDir(t.TempDir()), chromedp.NoSandbox,
		chromedp.DisableGPU, chromedp.Flag("disable-quic", true), chromedp.Flag("disable-component-update", true), chromedp.Flag("disable-dev-shm-usage", true))
	alloc, endAlloc := chromedp.NewExecAllocator(context.Background(), opts...)
	ctx, end := chromedp.NewContext(alloc)
	ctx, cancel := context.WithTimeout(ctx, 10*time.Minute)
	t.Cleanup(func() {
		chromedp.Cancel(ctx)
		cancel()
		end()
		endAlloc()
	})
	w := &window{t: t, ctx: ctx, file: filepath.Join(t.TempDir(), "sheet.html")}
	if _, err := chromedp.Run(ctx, func(ctx context.Context, t *chromedp.Target) (cdp.Empty, error) {
		return cdp.Call(ctx, t, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Media: "print"})
	}); err != nil {
		t.Fatal(err)
	}
	return w
}

// show opens a sheet, laid out as printed; fault is a script that spoils it first.
func (w *window) show(c cell, data []byte) {
	w.t.Helper()
	if err := os.WriteFile(w.file, data, 0o600); err != nil {
		w.t.Fatal(err)
	}
	wide, high := c.between()
	if wide != w.wide {
		w.wide = wide
		if err := chromedp.Do(w.ctx, chromedp.EmulateViewport(int64(math.Round(wide)), int64(high))); err != nil {
			w.t.Fatal(err)
		}
	}
	if err := chromedp.Do(w.ctx, chromedp.Navigate("file://"+w.file)); err != nil {
		w.t.Fatal(err)
	}
}

func (w *window) measure(c cell) measured {
	w.t.Helper()
	_, high := c.between()
	want := []string{}
	for _, tag := range []string{c.locale, c.second} {
		if l, ok := i18n.Lookup(tag); ok {
			want = append(want, fmt.Sprintf("%q: %q", l.Tag, l.Dir))
		}
	}
	said, err := chromedp.Run(w.ctx, chromedp.Evaluate[string](fmt.Sprintf("JSON.stringify(%s({room: %f, sizes: [%s], want: {%s}}))",
		strings.TrimSpace(measure), high, c.leastTypes(), strings.Join(want, ", "))))
	if err != nil {
		w.t.Fatalf("%s: %v", c, err)
	}
	var m measured
	if err := json.Unmarshal([]byte(said), &m); err != nil {
		w.t.Fatal(err)
	}
	return m
}

// print gives the sheet that is shown as a PDF in a file.
func (w *window) print(name string) string {
	w.t.Helper()
	yes := true
	pdf, err := chromedp.Run(w.ctx, chromedp.PrintToPDF(func(p *page.PrintToPDFParams) {
		p.PreferCSSPageSize, p.GenerateTaggedPDF = &yes, &yes
	}))
	if err != nil {
		w.t.Fatal(err)
	}
	file := filepath.Join(w.t.TempDir(), name+".pdf")
	if err := os.WriteFile(file, pdf, 0o600); err != nil {
		w.t.Fatal(err)
	}
	return file
}

func run(t *testing.T, name string, args ...string) string {
	t.Helper()
	var errs bytes.Buffer
	cmd := exec.Command(name, args...)
	cmd.Stderr = &errs
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("%s: %v: %s", name, err, errs.String())
	}
	return string(out)
}

var pagesLine = regexp.MustCompile(`(?m)^Pages:\s+(\d+)`)

func pages(t *testing.T, file string) int {
	t.Helper()
	m := pagesLine.FindStringSubmatch(run(t, "pdfinfo", file))
	n, err := strconv.Atoi(m[1])
	if err != nil {
		t.Fatal(err)
	}
	return n
}

// covered are the characters that an installed font has, by fontconfig.
func covered(t *testing.T) *unicode.RangeTable {
	t.Helper()
	var all unicode.RangeTable
	for _, field := range strings.Fields(strings.ReplaceAll(run(t, "fc-list", ":", "charset"), ":charset=", " ")) {
		from, to, ok := strings.Cut(field, "-")
		if !ok {
			to = from
		}
		lo, err1 := strconv.ParseUint(from, 16, 32)
		hi, err2 := strconv.ParseUint(to, 16, 32)
		if err1 != nil || err2 != nil {
			t.Fatalf("fc-list says %q", field)
		}
		all.R32 = append(all.R32, unicode.Range32{Lo: uint32(lo), Hi: uint32(hi), Stride: 1})
	}
	slices.SortFunc(all.R32, func(a, b unicode.Range32) int { return int(a.Lo) - int(b.Lo) })
	out := all.R32[:0]
	for _, r := range all.R32 { // the ranges of different fonts overlap; a table's may not
		if n := len(out); n > 0 && r.Lo <= out[n-1].Hi+1 {
			out[n-1].Hi = max(out[n-1].Hi, r.Hi)
		} else {
			out = append(out, r)
		}
	}
	all.R32 = out
	return &all
}

// noGlyph names the characters of a sheet that no font draws.
func noGlyph(characters string, fonts *unicode.RangeTable) string {
	return strings.Map(func(r rune) rune {
		if unicode.Is(fonts, r) && !unicode.Is(unicode.Co, r) && r != unicode.ReplacementChar || unicode.In(r, unicode.Cc, unicode.Cf) {
			return -1
		}
		return r
	}, characters)
}

// atMost is how many pages a sheet of ten teeth may take by layout, normal and large
// print, in the longest of the languages and on the shorter paper. Their try-in has two
// sittings. The budget is for A4 in English; see TestExamplesKeepTheirBudget.
var atMost = map[sheet.Kind][2]int{
	sheet.Options: {4, 13}, sheet.Wait: {2, 3}, sheet.Consent: {6, 17}, sheet.TryIn: {2, 5}, sheet.Change: {1, 3}, sheet.Aftercare: {3, 10},
}

// check says what is wrong with a sheet as it was measured.
func (c cell) check(m measured, fonts *unicode.RangeTable) []string {
	wrong := slices.Clone(m.Faults)
	if lost := noGlyph(m.Characters, fonts); lost != "" {
		wrong = append(wrong, fmt.Sprintf("no font has %q", lost))
	}
	if c.kind == sheet.Consent && !m.Signature {
		wrong = append(wrong, "the signature page does not stand alone")
	}
	most := atMost[c.kind][0]
	if c.size == "large" {
		most = atMost[c.kind][1]
	}
	if c.second != "" { // the text twice, in half the width or one under the other
		most *= 3
	}
	if n := m.pages(); n > most {
		wrong = append(wrong, fmt.Sprintf("%d pages, at most %d", n, most))
	}
	if c.size != "normal" || c.second != "" {
		return wrong
	}
	switch first, last := m.Parts[0], m.Parts[len(m.Parts)-1]; {
	case c.kind == sheet.Aftercare && first > 1:
		wrong = append(wrong, fmt.Sprintf("page one takes %.2f pages", first))
	case c.kind == sheet.Consent && last > 1:
		wrong = append(wrong, fmt.Sprintf("the signature page takes %.2f pages", last))
	}
	return wrong
}

func TestEveryCell(t *testing.T) {
	in, w, fonts := settled(t, input(t, "ten-teeth-no-prep")), open(t), covered(t)
	begun := time.Now()
	var table strings.Builder
	for _, c := range cells() {
		t.Run(strings.ReplaceAll(c.String(), " ", ""), func(t *testing.T) {
			w.show(c, c.page(t, in))
			m := w.measure(c)
			fmt.Fprintf(&table, "%s %2d  %.2f\n", c, m.pages(), m.Parts)
			for _, f := range c.check(m, fonts) {
				t.Error(f)
			}
			for _, f := range m.Small {
				budget.Debt(t, c.kind, "%s", f)
			}
		})
	}
	t.Logf("kind, language, paper, size, pages by layout (%v):\n%s", time.Since(begun), table.String())
}

// Each check fails on a sheet that is spoiled in the way it looks for.
func TestTheChecksSeeWhatTheyLookFor(t *testing.T) {
	in, w, fonts := input(t, "two-teeth"), open(t), covered(t)
	consent := cell{sheet.Consent, "en", "", "a4", "normal"}
	arabic := cell{sheet.Consent, "ar", "en", "a4", "normal"}
	aftercare := cell{sheet.Aftercare, "es", "", "letter", "normal"}
	for _, p := range []struct {
		c             cell
		script, fault string
	}{
		{consent, `document.querySelector(".steps thead th").style = "position: relative; inset-block-start: 27px"`, "overlap"},
		{consent, `for (const e of document.querySelectorAll(".body li")) e.style.whiteSpace = "nowrap"`, "too wide"},
		{consent, `document.querySelector(".signpage p").style.marginInlineEnd = "-2cm"; document.querySelector(".signpage p").style.whiteSpace = "nowrap"; document.querySelector(".signpage p").append("x".repeat(200))`, "beyond the margin"},
		{consent, `document.querySelector(".body ul").style = "overflow: hidden; block-size: 1em"`, "cut off"},
		{consent, `document.querySelector(".facts dd p").style.fontSize = "11pt"`, "small type"},
		{consent, `document.querySelector(".body p").className = "note"; document.querySelector(".note").style.fontSize = "8pt"`, "small type: 8.0 pt at .note"},
		{consent, `document.querySelector(".body table").style.fontSize = "9pt"`, "pt at table:not(.leaf)"},
		{consent, `document.documentElement.dir = "rtl"`, "language: en rtl"},
		{arabic, `document.querySelector(".side[lang=ar]").dir = "ltr"`, "language"},
		{arabic, `document.querySelector(".body .side[lang=ar]").lang = "en"`, "language"},
		{consent, `document.querySelector(".body p").append("\u0378")`, "no font has"},
		{consent, `document.querySelector(".body p").append("\ufffd")`, "no font has"},
		{consent, `document.querySelector(".body").append(document.createElement("p"))`, "does not stand alone"},
		{consent, `document.querySelector(".signpage").style.breakBefore = "auto"`, "does not stand alone"},
		{consent, `document.querySelector(".signpage").style.paddingBlockEnd = "12cm"`, "the signature page takes"},
		{consent, `document.documentElement.style.fontSize = "24pt"`, "pages, at most"},
		{aftercare, `document.querySelector(".urg").style.paddingBlockEnd = "4cm"`, "page one takes"},
	} {
		w.show(p.c, p.c.page(t, in))
		if wrong := p.c.check(w.measure(p.c), fonts); len(wrong) > 0 {
			t.Fatalf("%s: %s", p.c, wrong)
		}
		if _, err := chromedp.Run(w.ctx, chromedp.Evaluate[string](`(() => {`+p.script+`; return ""})()`)); err != nil {
			t.Fatal(err)
		}
		m := w.measure(p.c)
		wrong := append(p.c.check(m, fonts), m.Small...)
		if !strings.Contains(strings.Join(wrong, "\n"), p.fault) {
			t.Errorf("%s: %s: %q is not seen in %q", p.c, p.script, p.fault, wrong)
		}
	}
}

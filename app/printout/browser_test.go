package printout_test

import (
	"bytes"
	"context"
	"encoding/xml"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"
	"unicode"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/css"
	"github.com/chromedp/cdproto/dom"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"

	"plainleaf/app/printout"
	"plainleaf/i18n"
)

// tab starts a browser with a profile of its own.
func tab(t *testing.T) context.Context {
	t.Helper()
	if testing.Short() {
		t.Skip("needs a browser")
	}
	name := os.Getenv("PLAINLEAF_CHROMIUM")
	if name == "" {
		name = "chromium"
	}
	path, err := exec.LookPath(name)
	if err != nil {
		t.Fatalf("%v; install chromium or set PLAINLEAF_CHROMIUM", err)
	}
	opts := append(chromedp.DefaultExecAllocatorOptions[:],
		chromedp.ExecPath(path), chromedp.UserDataDir(t.TempDir()), chromedp.NoSandbox, chromedp.DisableGPU,
		chromedp.Flag("disable-quic", true), chromedp.Flag("disable-component-update", true), chromedp.Flag("disable-dev-shm-usage", true))
	alloc, endAlloc := chromedp.NewExecAllocator(context.Background(), opts...)
	ctx, end := chromedp.NewContext(alloc)
	ctx, cancel := context.WithTimeout(ctx, 4*time.Minute)
	t.Cleanup(func() {
		chromedp.Cancel(ctx)
		cancel()
		end()
		endAlloc()
	})
	return ctx
}

func open(t *testing.T, ctx context.Context, data []byte) {
	t.Helper()
	file := filepath.Join(t.TempDir(), "sheet.html")
	if err := os.WriteFile(file, data, 0o644); err != nil {
		t.Fatal(err)
	}
	if err := chromedp.Do(ctx, chromedp.Navigate("file://"+file)); err != nil {
		t.Fatal(err)
	}
}

func eval[T any](t *testing.T, ctx context.Context, expression string) T {
	t.Helper()
	v, err := chromedp.Run(ctx, chromedp.Evaluate[T](expression))
	if err != nil {
		t.Fatalf("%s: %v", expression, err)
	}
	return v
}

// word is a word on a printed page, with its box in points from the upper left.
type word struct {
	XMin float64 `xml:"xMin,attr"`
	YMin float64 `xml:"yMin,attr"`
	XMax float64 `xml:"xMax,attr"`
	YMax float64 `xml:"yMax,attr"`
	Text string  `xml:",chardata"`
}

type printed struct {
	Width  float64 `xml:"width,attr"`
	Height float64 `xml:"height,attr"`
	Words  []word  `xml:"word"`
}

func (p printed) text() string {
	var s []string
	for _, w := range p.Words {
		s = append(s, w.Text)
	}
	return strings.Join(s, " ")
}

// pages reads a printed file with a program that is not the browser.
func pages(t *testing.T, pdf []byte, name string) []printed {
	t.Helper()
	dir := os.Getenv("PLAINLEAF_PICTURES") // keeps the files, for people to look at
	if dir == "" {
		dir = t.TempDir()
	}
	file := filepath.Join(dir, name+".pdf")
	if err := os.WriteFile(file, pdf, 0o644); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command("pdftotext", "-bbox", file, "-").Output()
	if err != nil {
		t.Fatalf("pdftotext: %v", err)
	}
	var doc struct {
		Pages []printed `xml:"body>doc>page"`
	}
	d := xml.NewDecoder(bytes.NewReader(out))
	d.Strict = false
	d.Entity = xml.HTMLEntity
	if err := d.Decode(&doc); err != nil {
		t.Fatal(err)
	}
	return doc.Pages
}

// Every page of a long sheet: the size of the paper, margins as the stylesheet
// sets them, head, foot and "page / pages" in the same place, nothing over the foot.
func TestPrint(t *testing.T) {
	ctx := tab(t)
	paper := map[string][2]float64{"a4": {595.28, 841.89}, "letter": {612, 792}} // ISO 216; 8.5 by 11 inches
	yes := true
	for _, v := range variants[:3] {
		docs := documents(t, v.tags, 3)
		for _, p := range []string{"a4", "letter"} {
			for _, size := range []string{"normal", "large"} {
				name := v.name + "-" + p + "-" + size
				t.Run(name, func(t *testing.T) {
					open(t, ctx, markup(t, docs, printout.Options{Paper: p, Size: size, Seal: "K7Q2-9XPM"}))
					if got, want := eval[string](t, ctx, `getComputedStyle(document.querySelector(".sheet")).fontSize`), map[string]string{"normal": "16px", "large": "24px"}[size]; got != want {
						t.Errorf("type of %s, want %s (12 and 18 points)", got, want)
					}
					pdf, err := chromedp.Run(ctx, chromedp.PrintToPDF(func(p *page.PrintToPDFParams) {
						p.PreferCSSPageSize, p.GenerateTaggedPDF, p.PrintBackground = &yes, &yes, new(bool)
					}))
					if err != nil {
						t.Fatal(err)
					}
					all := pages(t, pdf, name)
					if len(all) < 4 {
						t.Fatalf("%d pages; the sample is meant to be long", len(all))
					}
					foot := ""
					for i, pg := range all {
						if dx, dy := pg.Width-paper[p][0], pg.Height-paper[p][1]; dx*dx > 1 || dy*dy > 1 {
							t.Errorf("page %d is %.1f by %.1f points", i+1, pg.Width, pg.Height)
						}
						text := pg.text()
						for _, want := range []string{fmt.Sprintf("%d / %d", i+1, len(all)), "Harbor Lane Demo Practice", "+1 555 0100", "K7Q2-9XPM"} {
							if !strings.Contains(text, want) {
								t.Errorf("page %d lacks %q", i+1, want)
							}
						}
						if v.name == "en" {
							for _, want := range []string{"Specimen made with", "Name:", "Date of birth:", "Chart number:", "does not replace that talk", "version 2026.11"} {
								if !strings.Contains(text, want) {
									t.Errorf("page %d lacks %q", i+1, want)
								}
							}
						}
						under := footOf(t, pg, i)
						if foot == "" {
							foot = under
						} else if under != foot {
							t.Errorf("page %d has %q at its foot, the first page %q", i+1, under, foot)
						}
						const mm = 72 / 25.4
						m := map[string][3]float64{"a4-normal": {14, 10, 12}, "letter-normal": {13, 8, 10}, "a4-large": {16, 15, 17}, "letter-large": {16, 15, 17}}[p+"-"+size]
						side, above, below := m[0]*mm, m[1]*mm, m[2]*mm
						for _, w := range pg.Words {
							number := strings.Contains("/ "+fmt.Sprintf("%d %d", i+1, len(all)), w.Text) && w.YMin > pg.Height-30*mm
							// The box is as high as the font, not the ink: its middle is looked at.
							y := (w.YMin + w.YMax) / 2
							if w.XMin < side-1 || w.XMax > pg.Width-side+1 || y < above || y > pg.Height-below && !number {
								t.Errorf("page %d: %q stands outside the margins: %+v", i+1, w.Text, w)
							}
						}
					}
					if v.name != "en" {
						return
					}
					sign := slices.IndexFunc(all, func(pg printed) bool { return strings.Contains(pg.text(), "Signatures") })
					if sign < 0 || size == "normal" && sign != len(all)-1 {
						t.Fatalf("the signature page is page %d of %d", sign+1, len(all))
					}
					decided := 0
					for _, pg := range all[sign:] {
						if strings.Contains(pg.text(), "Journal of Samples") {
							t.Errorf("the signature page does not stand alone: %s", pg.text())
						}
						decides, signs := strings.Contains(pg.text(), "My decision"), strings.Contains(pg.text(), "Patient: name, signature")
						if repeats := strings.Contains(pg.text(), "Removal takes a drill"); decides && (!signs || size == "large" && !repeats) {
							t.Errorf("the decision is parted from the signature, or what is decided: %s", pg.text())
						}
						if decides {
							decided++
						}
					}
					if decided != 1 {
						t.Errorf("the decision is on %d pages", decided)
					}
				})
			}
		}
	}
}

// footOf gives the words of a page from the practice's name in the foot down and
// their places, the page number left out. Only Latin words are compared: what is
// read back from printed Arabic is cut in different ways on different pages.
func footOf(t *testing.T, pg printed, i int) string {
	t.Helper()
	top := 0.0
	for _, w := range pg.Words {
		if w.Text == "Harbor" {
			top = w.YMin
		}
	}
	if top == 0 {
		t.Errorf("page %d has no foot", i+1)
	}
	var s []string
	for _, w := range pg.Words {
		latin := !strings.ContainsFunc(w.Text, func(r rune) bool { return r > 0x2ff && r != '\u2013' })
		if latin && w.YMin >= top-3 && w.YMin < pg.Height-15/25.4*72-14 {
			s = append(s, fmt.Sprintf("%s@%.0f", w.Text, w.YMin))
		}
	}
	slices.Sort(s) // the order they are read in varies
	return strings.Join(s, " ")
}

// On a screen of any width the sheet needs no sideways scrolling, its stylesheet
// is allowed by its own policy, and no box is wider than its text allows.
func TestScreen(t *testing.T) {
	ctx := tab(t)
	for _, v := range variants {
		docs := documents(t, v.tags, 1)
		for _, size := range []string{"normal", "large"} {
			open(t, ctx, markup(t, docs, printout.Options{Size: size}))
			for _, width := range []int64{320, 390, 768, 1280} {
				if err := chromedp.Do(ctx, chromedp.EmulateViewport(width, 900)); err != nil {
					t.Fatal(err)
				}
				if got := eval[int64](t, ctx, `document.documentElement.scrollWidth`); got > width {
					wide := eval[string](t, ctx, `[...document.querySelectorAll(".sheet *")].filter(e => !e.closest(".unseen") && (e.getBoundingClientRect().right > innerWidth + 1 || e.getBoundingClientRect().left < -1)).slice(0, 5).map(e => e.outerHTML.slice(0, 120)).join("\n")`)
					t.Errorf("%s %s: %d wide at %d:\n%s", v.name, size, got, width, wide)
				}
			}
			if got := eval[string](t, ctx, `getComputedStyle(document.querySelector(".sheet .unseen")).position`); got != "absolute" {
				t.Errorf("%s: the stylesheet was not applied", v.name)
			}
		}
	}
}

// Values keep their order in right-to-left text (standards 5.3, BD-1 and BD-2):
// the first character is left of the last.
func TestOrderOfValues(t *testing.T) {
	ctx := tab(t)
	open(t, ctx, markup(t, documents(t, []string{"ar"}, 1), printout.Options{}))
	const reversed = `(() => {
		const bad = [];
		let seen = 0;
		for (const b of document.querySelectorAll('.leaf bdi[data-value="range"], .leaf bdi[data-value="phone"], .leaf bdi[data-value="money"]')) {
			const n = document.createTreeWalker(b, NodeFilter.SHOW_TEXT).nextNode();
			if (n.data.length < 3) continue;
			const at = (i) => { const r = document.createRange(); r.setStart(n, i); r.setEnd(n, i + 1); return r.getBoundingClientRect().left; };
			seen++;
			if (at(0) >= at(n.data.length - 1)) bad.push(n.data);
		}
		if (seen < 6) bad.push("only " + seen + " values seen");
		return bad.join("; ");
	})()`
	if bad := eval[string](t, ctx, reversed); bad != "" {
		t.Errorf("reversed: %s", bad)
	}
}

// Every character of every wording is drawn by a font that has it. The browser
// says which fonts it used: a character that none has is counted to the first of
// the list, which does not hold Arabic.
func TestFontsHaveTheCharacters(t *testing.T) {
	ctx := tab(t)
	style, err := os.ReadFile("sheet.css")
	if err != nil {
		t.Fatal(err)
	}
	scripts := map[string]*unicode.RangeTable{"ar": unicode.Arabic}
	lacking := []string{"Arial", "Liberation Sans", "Helvetica Neue", "DejaVu Sans"}
	for tag, script := range scripts {
		data, _ := i18n.Embedded(tag)
		seen := map[rune]bool{}
		var letters strings.Builder
		for _, r := range string(data) {
			if unicode.Is(script, r) && unicode.IsLetter(r) && !seen[r] {
				seen[r] = true
				letters.WriteString(string(r) + " ") // apart, so that no two make one glyph
			}
		}
		if len(seen) < 30 {
			t.Fatalf("%s: only %d characters", tag, len(seen))
		}
		open(t, ctx, fmt.Appendf(nil, `<!doctype html><html lang=%s><meta charset=utf-8><style>%s</style><div class=sheet lang=%s><p id=all>%s</p></div>`,
			tag, style, tag, strings.ReplaceAll(letters.String(), " ", "<wbr>")))
		fonts, err := chromedp.Run(ctx, func(ctx context.Context, t *chromedp.Target) ([]*css.PlatformFontUsage, error) {
			if _, err := cdp.Call(ctx, t, dom.Enable, dom.EnableParams{}); err != nil {
				return nil, err
			}
			if _, err := cdp.Call(ctx, t, css.Enable, cdp.Empty{}); err != nil {
				return nil, err
			}
			root, err := cdp.Call(ctx, t, dom.GetDocument, dom.GetDocumentParams{})
			if err != nil {
				return nil, err
			}
			p, err := cdp.Call(ctx, t, dom.QuerySelector, dom.QuerySelectorParams{NodeID: root.Root.NodeID, Selector: "#all"})
			if err != nil {
				return nil, err
			}
			used, err := cdp.Call(ctx, t, css.GetPlatformFontsForNode, css.GetPlatformFontsForNodeParams{NodeID: p.NodeID})
			if err != nil {
				return nil, err
			}
			return used.Fonts, nil
		})
		if err != nil {
			t.Fatal(err)
		}
		glyphs := 0
		for _, f := range fonts {
			glyphs += int(f.GlyphCount)
			if slices.Contains(lacking, f.FamilyName) {
				t.Errorf("%s: %.0f characters have no font (%s)", tag, f.GlyphCount, f.FamilyName)
			}
			t.Logf("%s: %.0f of %d by %s", tag, f.GlyphCount, len(seen), f.FamilyName)
		}
		if glyphs < len(seen) {
			t.Errorf("%s: %d glyphs for %d characters", tag, glyphs, len(seen))
		}
	}
}

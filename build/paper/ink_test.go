package paper

import (
	"bytes"
	_ "embed"
	"encoding/json"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"math"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"plainleaf/app/sheet"
	"plainleaf/build/budget"
)

//go:embed ink.js
var inkScript string

// inkFaults says which text is too pale, and what is shown by color or ground alone.
func (w *window) inkFaults() (out []string) {
	w.t.Helper()
	said, err := chromedp.Run(w.ctx, chromedp.Evaluate[string](strings.TrimSpace(inkScript)))
	if err != nil {
		w.t.Fatal(err)
	}
	if err := json.Unmarshal([]byte(said), &out); err != nil {
		w.t.Fatal(err)
	}
	return out
}

// copied is a gray of paper after a poor copier: a fifth paler, in eight steps.
func copied(v uint8) uint8 {
	pale := 255 - 0.8*(255-float64(v))
	const step = 255.0 / 7
	return uint8(math.Round(math.Round(pale/step) * step))
}

// against is the contrast of a gray with white paper, as in WCAG 2.2.
func against(v uint8) float64 {
	c := float64(v) / 255
	if c <= 0.04045 {
		c /= 12.92
	} else {
		c = math.Pow((c+0.055)/1.055, 2.4)
	}
	return 1.05 / (c + 0.05)
}

// lostInCopy lists the words of a printed page that a poor copy in black and white no
// longer shows: their darkest dots are below 4.5 to 1 against the paper.
func lostInCopy(t *testing.T, file string, n int, page printedPage) (out []string, dots int) {
	t.Helper()
	const dpi = 150
	picture := filepath.Join(t.TempDir(), "page")
	number := fmt.Sprint(n)
	run(t, "pdftoppm", "-r", fmt.Sprint(dpi), "-gray", "-png", "-singlefile", "-f", number, "-l", number, file, picture)
	img, err := png.Decode(bytes.NewReader(readFile(t, picture+".png")))
	if err != nil {
		t.Fatal(err)
	}
	gray := func(x, y int) uint8 {
		return copied(color.GrayModel.Convert(img.At(x, y)).(color.Gray).Y)
	}
	for _, l := range page.Lines {
		for _, w := range l.Words {
			if letters(w.Text) == "" {
				continue
			}
			box := image.Rect(int(w.Left*dpi/72), int(w.Top*dpi/72), int(w.Right*dpi/72)+1, int(w.Bottom*dpi/72)+1).Intersect(img.Bounds())
			darkest := uint8(255)
			for y := box.Min.Y; y < box.Max.Y; y++ {
				for x := box.Min.X; x < box.Max.X; x++ {
					darkest = min(darkest, gray(x, y))
					dots++
				}
			}
			if c := against(darkest); c < 4.5 {
				out = append(out, fmt.Sprintf("copy: %q on page %d is left with %.1f to 1", w.Text, n, c))
			}
		}
	}
	return out, dots
}

// Sheets say the same in black and white, and on a poor copy.
func TestBlackAndWhite(t *testing.T) {
	w, in := open(t), settled(t, input(t, "ten-teeth-no-prep"))
	for _, kind := range sheet.Kinds() {
		for _, c := range []cell{{kind, "en", "", "a4", "normal"}, {kind, "ar", "", "letter", "large"}, {kind, "es", "en", "a4", "normal"}} {
			w.show(c, c.page(t, in))
			for _, f := range w.inkFaults() {
				budget.Debt(t, kind, "%s: %s", c, f)
			}
			if c.locale != "en" {
				continue
			}
			file, dots := w.print("sheet"), 0
			for i, p := range printed(t, file) {
				lost, n := lostInCopy(t, file, i+1, p)
				for _, f := range lost {
					budget.Debt(t, kind, "%s: %s", c, f)
				}
				dots += n
			}
			if dots < 10_000 {
				t.Errorf("%s: only %d dots were looked at", c, dots)
			}
		}
	}
}

// Each check sees a sheet that is spoiled in the way it looks for.
func TestBlackAndWhiteSeesWhatItLooksFor(t *testing.T) {
	w, in := open(t), input(t, "two-teeth")
	c := cell{sheet.Aftercare, "en", "", "a4", "normal"}
	for _, p := range []struct{ script, fault string }{
		{`document.querySelector(".body p").style.color = "#777"`, "pale on white"}, // 4.48 to 1
		{`document.querySelector(".body p").style.background = "#1f2a26"`, "pale on its ground"},
		{`document.querySelector(".body li").innerHTML = "Some words and <b>one of them</b> here"; const b = document.querySelector(".body li b"); b.style.color = "#a00000"; b.style.fontWeight = "inherit"`, "color alone"},
		{`document.querySelector(".body li").style.backgroundColor = "#ccc"`, "ground alone"},
		{`document.querySelector(".body li").style.backgroundColor = "#ccc"; document.querySelector(".body li").style.border = "1pt solid #333"`, "-ground alone"},
		{`document.querySelector(".body li").style.color = "#888"`, "copy: "},
	} {
		w.show(c, c.page(t, in))
		said := func() string {
			all := w.inkFaults()
			if p.fault == "copy: " {
				file := w.print("spoiled")
				lost, _ := lostInCopy(t, file, 1, printed(t, file)[0])
				all = append(all, lost...)
			}
			return strings.Join(all, "\n")
		}
		fault, not := strings.CutPrefix(p.fault, "-")
		if before := said(); strings.Contains(before, fault) {
			t.Fatalf("before it is spoiled: %s", before)
		}
		if _, err := chromedp.Run(w.ctx, chromedp.Evaluate[string](`(() => {`+p.script+`; return ""})()`)); err != nil {
			t.Fatal(err)
		}
		if got := said(); strings.Contains(got, fault) == not {
			t.Errorf("%s: %q in %q", p.script, p.fault, got)
		}
	}
}

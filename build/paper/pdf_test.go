package paper

import (
	"bytes"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"plainleaf/app/handover"
	"plainleaf/app/produce"
	"plainleaf/app/sheet"
	"plainleaf/build/outside"
	"plainleaf/i18n"
)

// A chosen dozen as PDF, read with pdfinfo: pages, title, language and tags. The
// numbers of pages are those of a wide typeface (Noto Sans); Arial takes fewer.
func TestPDF(t *testing.T) {
	w := open(t)
	two, ten := input(t, "two-teeth"), settled(t, input(t, "ten-teeth-no-prep"))
	var table strings.Builder
	for _, p := range []struct {
		name string
		in   produce.Input
		c    cell
		most int // pages
	}{
		{"two-teeth", two, cell{sheet.Consent, "en", "", "a4", "normal"}, 5},
		{"two-teeth", two, cell{sheet.Consent, "es", "", "letter", "normal"}, 6},
		{"two-teeth", two, cell{sheet.Aftercare, "en", "", "a4", "normal"}, 4},
		{"two-teeth", two, cell{sheet.Consent, "ar", "en", "a4", "normal"}, 15},
		{"ten-teeth", ten, cell{sheet.Consent, "en", "", "a4", "normal"}, 7},
		{"ten-teeth", ten, cell{sheet.Consent, "es", "", "letter", "normal"}, 9},
		{"ten-teeth", ten, cell{sheet.Consent, "ar", "", "a4", "large"}, 18},
		{"ten-teeth", ten, cell{sheet.Options, "en", "", "a4", "normal"}, 7},
		{"ten-teeth", ten, cell{sheet.Aftercare, "es", "", "a4", "normal"}, 6},
		{"ten-teeth", ten, cell{sheet.TryIn, "ar", "", "letter", "normal"}, 2},
		{"ten-teeth", ten, cell{sheet.Change, "en", "", "a4", "normal"}, 1},
		{"ten-teeth", ten, cell{sheet.Wait, "ar", "", "a4", "normal"}, 2},
		{"two-teeth", two, cell{sheet.Consent, "es", "ar", "a4", "normal"}, 15}, // the second of the other direction
	} {
		c := p.c
		w.show(c, c.page(t, p.in))
		estimate := w.measure(c).pages()
		file := w.print("sheet")
		info, pdf := run(t, "pdfinfo", file), readFile(t, file)
		n := pages(t, file)
		fmt.Fprintf(&table, "%s %s %2d, by layout %2d\n", p.name, c, n, estimate)
		if n > p.most {
			t.Errorf("%s %s: %d pages, at most %d", p.name, c, n, p.most)
		}
		points := map[string]float64{"normal": 12, "large": 18}[c.size]
		if c.locale != "ar" { // its letters have no such measure, and are not adjusted
			points *= w.adjusted()
		}
		if got := typeSizes(t, file); got[near(got, points)] < 100 {
			t.Errorf("%s %s: not printed in %.1f points, but in %v", p.name, c, points, got)
		}
		if d := n - estimate; d < -1 || d > 1+n/6 { // what may not be split leaves room
			t.Errorf("%s %s: %d pages, %d by layout", p.name, c, n, estimate)
		}
		title := regexp.MustCompile(`(?m)^Title:\s+(.*)$`).FindStringSubmatch(info)
		if fault := nameFault(title, c.of(p.in)); fault != nil {
			t.Errorf("%s: %v", c, fault)
		}
		for _, want := range []string{"Tagged:          yes", "JavaScript:      no"} {
			if !strings.Contains(info, want) {
				t.Errorf("%s: pdfinfo does not say %q:\n%s", c, want, info)
			}
		}
		if !bytes.Contains(pdf, []byte("/Lang ("+c.locale+")")) {
			t.Errorf("%s: the PDF names no language", c)
		}
		outside.Note("PDF as read by pdfinfo")
	}
	t.Logf("pages:\n%s", table.String())
}

var (
	fontLine = regexp.MustCompile(`<fontspec id="(\d+)" size="(\d+)"`)
	textLine = regexp.MustCompile(`<text top="(-?\d+)"[^>]*font="(\d+)">(.*)</text>`)
	tag      = regexp.MustCompile(`<[^>]*>`)
)

// adjusted is what the stylesheet makes of a size in the typeface of this machine: letters
// are as high as those of Arial, whose small ones are 0.519 of its size.
func (w *window) adjusted() float64 {
	w.t.Helper()
	high, err := chromedp.Run(w.ctx, chromedp.Evaluate[float64](`(() => {
		const e = document.createElement("div");
		e.style = "position: absolute; font-size-adjust: none; font-size: 1000px; block-size: 1ex";
		document.body.append(e);
		const high = e.getBoundingClientRect().height;
		e.remove();
		return high;
	})()`))
	if err != nil || high < 400 || high > 650 {
		w.t.Fatalf("a small letter is %.0f of 1000 high: %v", high, err)
	}
	return 519 / high
}

// near is the size next to points.
func near(sizes map[float64]int, points float64) float64 {
	best := math.Inf(1)
	for s := range sizes {
		if math.Abs(s-points) < math.Abs(best-points) {
			best = s
		}
	}
	if math.Abs(best-points) > 0.2 {
		return 0
	}
	return best
}

// typeSizes counts the letters of each size in points on paper. A browser prints a page
// smaller, type and all, where something reaches out of it.
func typeSizes(t *testing.T, file string) map[float64]int {
	t.Helper()
	const zoom = 3 // the most that pdftohtml takes; it rounds sizes
	xml := run(t, "pdftohtml", "-xml", "-i", "-stdout", "-zoom", fmt.Sprint(zoom), file)
	size, signs := map[string]float64{}, map[float64]int{}
	for _, m := range fontLine.FindAllStringSubmatch(xml, -1) {
		size[m[1]], _ = strconv.ParseFloat(m[2], 64)
	}
	for _, m := range textLine.FindAllStringSubmatch(xml, -1) {
		signs[size[m[2]]/zoom] += len(tag.ReplaceAllString(m[3], ""))
	}
	return signs
}

// No page holds what is left over of a sheet: nothing, a line, or the sources
// alone. Lines are those between the head of the page and its foot.
func TestNoPageOfLeftovers(t *testing.T) {
	w := open(t)
	var table strings.Builder
	for _, name := range []string{"mixed-routes", "ten-teeth-no-prep", "whitening-then-no-prep"} {
		in := settled(t, input(t, name))
		for _, kind := range []sheet.Kind{sheet.Options, sheet.Consent, sheet.Aftercare} {
			for _, l := range i18n.Languages() {
				c := cell{kind, l.Tag, "", "a4", "normal"}
				w.show(c, c.page(t, in))
				file := w.print("sheet")
				fmt.Fprintf(&table, "%s %s", name, c)
				for i, lines := range fullLines(t, file) {
					fmt.Fprintf(&table, " %d", lines)
					if lines < 6 {
						t.Errorf("%s %s: page %d has %d lines", name, c, i+1, lines)
					}
				}
				table.WriteString("\n")
			}
		}
	}
	t.Logf("lines on each page:\n%s", table.String())
}

// fullLines counts the lines of each page in the type of the text and the tables, not in that of the sources,
// the head and the foot; lines beside each other count once.
func fullLines(t *testing.T, file string) (out []int) {
	t.Helper()
	xml := run(t, "pdftohtml", "-xml", "-i", "-stdout", "-zoom", "3", file)
	size := map[string]float64{}
	for _, m := range fontLine.FindAllStringSubmatch(xml, -1) {
		size[m[1]], _ = strconv.ParseFloat(m[2], 64)
	}
	for _, page := range strings.Split(xml, "</page>") {
		tops := map[int]bool{}
		for _, m := range textLine.FindAllStringSubmatch(page, -1) {
			if at, _ := strconv.Atoi(m[1]); size[m[2]] >= 28 {
				tops[at/20] = true
			}
		}
		if len(tops) > 0 || strings.Contains(page, "<page") {
			out = append(out, len(tops))
		}
	}
	return out
}

// nameFault says why a title is no good name for a file, nil if it is one: what
// the sheet is and its day, nothing of the case, no character a file system refuses.
func nameFault(title []string, in produce.Input) error {
	if len(title) != 2 {
		return errors.New("no title")
	}
	name := title[1]
	docs, _, faults := produce.Docs(in)
	if len(faults) > 0 {
		return fmt.Errorf("%s", faults.Lines())
	}
	switch {
	case name != docs[0].Title.String()+" "+in.Case.Issued.String():
		return fmt.Errorf("the title is %q", name)
	case strings.ContainsAny(name, `/\:*?"<>|`) || len(name) > 120:
		return fmt.Errorf("%q is no name for a file", name)
	}
	w, faults := in.Wording(in.Locale)
	if len(faults) > 0 {
		return fmt.Errorf("%s", faults.Lines())
	}
	var keys []string // what the case says of the patient
	for _, f := range in.Case.Findings {
		keys = append(keys, "finding."+string(f)+".name")
	}
	for _, tooth := range in.Case.Teeth {
		for _, f := range tooth.Findings {
			keys = append(keys, "finding."+string(f)+".name")
		}
		keys = append(keys, "route."+string(in.Case.Route)+".name")
	}
	for _, key := range keys {
		if said, err := w.Text(key, nil, ""); err != nil || strings.Contains(strings.ToLower(name), strings.ToLower(said)) {
			return fmt.Errorf("%q says %q (%v)", name, said, err)
		}
	}
	return nil
}

func readFile(t *testing.T, file string) []byte {
	t.Helper()
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// The code on the printed aftercare, in a picture at 300 dpi: an independent
// reader reads the address, also with a stain; a module is 6 dots and the quiet
// zone of ISO/IEC 18004 is free.
func TestTheCodeOnPaper(t *testing.T) {
	w, in := open(t), input(t, "ten-teeth-no-prep")
	for _, c := range []cell{
		{sheet.Aftercare, "en", "", "a4", "normal"},
		{sheet.Aftercare, "ar", "", "letter", "large"},
	} {
		in.Kind, in.Locale, in.Second = c.kind, c.locale, c.second
		_, pl, faults := produce.Docs(in)
		if len(faults) > 0 {
			t.Fatal(faults.Lines())
		}
		address, faults := produce.Handover(in, pl)
		code, more := handover.Draw(address)
		if faults.Append(more...); len(faults) > 0 || address == "" {
			t.Fatalf("no address: %s", faults.Lines())
		}
		w.show(c, c.page(t, in))
		file := w.print("aftercare")
		// The short address is beside the code.
		at := 0
		for i, text := range strings.Split(run(t, "pdftotext", file, "-"), "\f") {
			if strings.Contains(text, "plainleaf.example") {
				at = i + 1
			}
		}
		number := fmt.Sprint(at)
		picture := filepath.Join(t.TempDir(), "page")
		run(t, "pdftoppm", "-r", "300", "-gray", "-png", "-singlefile", "-f", number, "-l", number, file, picture)
		picture += ".png"
		if got := scan(t, picture); got != address {
			t.Errorf("%s: page %d reads %q, want %q", c, at, got, address)
		}
		img, err := png.Decode(bytes.NewReader(readFile(t, picture)))
		if err != nil {
			t.Fatal(err)
		}
		corner, ok := locate(img, code, 6)
		if !ok {
			t.Errorf("%s: no code of version %d with modules of 6 dots and a free quiet zone on page %d", c, code.Version, at)
			continue
		}
		if _, ok := locate(img, code, 5); ok {
			t.Errorf("%s: a code of any size is found", c)
		}
		// Level M mends about 15 percent of the words: a stain of a tenth of the side is far less.
		spoiled := image.NewGray(img.Bounds())
		draw.Draw(spoiled, img.Bounds(), img, image.Point{}, draw.Src)
		side := code.Size * 6
		blot := func(size int) {
			for y := range size {
				for x := range size {
					spoiled.SetGray(corner.X+side/2+x, corner.Y+side/2+y, color.Gray{255})
				}
			}
		}
		blot(side / 10)
		if got := scan(t, write(t, spoiled)); got != address {
			t.Errorf("%s: with a stain it reads %q", c, got)
		}
		blot(side / 2) // the test sees what cannot be read
		if got := scan(t, write(t, spoiled)); got != "" {
			t.Errorf("%s: half a code reads %q", c, got)
		}
		outside.Note("QR code as read by zbar at 300 dpi")
	}
}

func write(t *testing.T, img image.Image) string {
	t.Helper()
	var b bytes.Buffer
	if err := png.Encode(&b, img); err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "spoiled.png")
	if err := os.WriteFile(file, b.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	return file
}

// scan reads a picture with zbarimg; "" when it finds no code (its exit code 4).
func scan(t *testing.T, file string) string {
	t.Helper()
	var errs bytes.Buffer
	cmd := exec.Command("zbarimg", "--quiet", "--raw", "-Sdisable", "-Sqrcode.enable", file)
	cmd.Stderr = &errs
	out, err := cmd.Output()
	if exit := (*exec.ExitError)(nil); errors.As(err, &exit) && exit.ExitCode() == 4 {
		return ""
	} else if err != nil {
		t.Fatalf("zbarimg (zbar-tools): %v: %s", err, errs.String())
	}
	return strings.TrimSuffix(string(out), "\n")
}

// locate finds a code in a picture, module by module, each dots wide, with the
// quiet zone free around it, and gives its upper left corner.
func locate(img image.Image, code handover.Code, dots int) (image.Point, bool) {
	dark := func(x, y int) bool {
		return image.Pt(x, y).In(img.Bounds()) && color.GrayModel.Convert(img.At(x, y)).(color.Gray).Y < 128
	}
	fits := func(x, y int) bool {
		wrong := 0
		for j := -handover.Quiet; j < code.Size+handover.Quiet; j++ {
			for i := -handover.Quiet; i < code.Size+handover.Quiet; i++ {
				inside := i >= 0 && j >= 0 && i < code.Size && j < code.Size
				if dark(x+i*dots+dots/2, y+j*dots+dots/2) != (inside && code.Black(i, j)) {
					if wrong++; wrong > 3 {
						return false
					}
				}
			}
		}
		return true
	}
	for y := range img.Bounds().Dy() {
		for x := range img.Bounds().Dx() {
			// the corner of a finder: seven dark modules, then a light one, both ways
			if dark(x+1, y+1) && !dark(x-2, y+1) && !dark(x+1, y-2) && dark(x+7*dots-2, y+1) && !dark(x+7*dots+2, y+1) && fits(x, y) {
				return image.Pt(x, y), true
			}
		}
	}
	return image.Point{}, false
}

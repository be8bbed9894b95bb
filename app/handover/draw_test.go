package handover

import (
	"bytes"
	"context"
	"encoding/xml"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"plainleaf/app/casefile"
	"plainleaf/build/press"
)

const base = "https://plainleaf.example/"

// papers are the addresses of a short, a usual and the longest paper.
func papers(t testing.TB) map[string]string {
	t.Helper()
	k := known(t)
	out := map[string]string{}
	// Nobody gets lines for two ages or two countries.
	k.Lines = slices.DeleteFunc(slices.Clone(k.Lines), func(l string) bool {
		return slices.Contains([]string{"xrays-closer-adolescent", "xrays-closer-child", "new-records-when-grown", "fluoride-paste", "fluoride-paste-any"}, l)
	})
	for name, n := range map[string][2]int{"short": {3, 2}, "usual": {47, 25}, "longest": {len(k.Lines), len(k.Warnings)}} {
		p := paper(k)
		p.Lines, p.Warnings = k.Lines[:n[0]], k.Warnings[:n[1]]
		s, faults := Address(base, p.Locale, p, k)
		if len(faults) > 0 {
			t.Fatal(faults.Lines())
		}
		out[name] = s
	}
	return out
}

func draw(t testing.TB, address string) Code {
	t.Helper()
	c, faults := Draw(address)
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	return c
}

// scan reads a picture with zbarimg, an independent reader.
func scan(t *testing.T, file string) string {
	t.Helper()
	if _, err := exec.LookPath("zbarimg"); err != nil {
		t.Fatal("zbarimg is needed for this test; install zbar-tools")
	}
	var errs bytes.Buffer
	cmd := exec.Command("zbarimg", "--quiet", "--raw", "-Sdisable", "-Sqrcode.enable", file)
	cmd.Stderr = &errs
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("%s: %v: %s", file, err, errs.String())
	}
	return strings.TrimSuffix(string(out), "\n")
}

// The codes are read from a picture at 300 dpi of a printed page, and so that a
// fold or a stain may take a corner of the data.
func TestReadFromPaper(t *testing.T) {
	if testing.Short() {
		t.Skip("needs a browser")
	}
	var page strings.Builder
	page.WriteString(`<!DOCTYPE html><html lang="en"><title>codes</title><style>@page{size:A4;margin:20mm}svg{display:block;break-after:page}</style>`)
	order := []string{"short", "usual", "longest"}
	all := papers(t)
	for _, name := range order {
		c := draw(t, all[name])
		t.Logf("%s: %d characters, version %d, %.1f mm a side, mask %d", name, len(all[name]), c.Version, c.Side(), c.Mask)
		page.Write(c.SVG("Code"))
	}
	pdf, err := press.Print(context.Background(), []byte(page.String()), casefile.Date{Year: 2026, Month: 11, Day: 25})
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	file := filepath.Join(dir, "codes.pdf")
	if err := os.WriteFile(file, pdf, 0o600); err != nil {
		t.Fatal(err)
	}
	if out, err := exec.Command("pdftoppm", "-r", "300", "-gray", "-png", file, filepath.Join(dir, "page")).CombinedOutput(); err != nil {
		t.Fatalf("pdftoppm: %v: %s", err, out)
	}
	for i, name := range order {
		file := filepath.Join(dir, fmt.Sprintf("page-%d.png", i+1))
		if got := scan(t, file); got != all[name] {
			t.Errorf("%s: read %q", name, got)
		}
		// A stain of 4 by 4 modules in the middle, and the picture at half the sharpness.
		img := open(t, file)
		at := 236 + int(300/25.4*draw(t, all[name]).Side()/2)
		for x := at - 12; x < at+12; x++ {
			for y := at - 12; y < at+12; y++ {
				img.SetGray(x, y, color.Gray{})
			}
		}
		save(t, file, img)
		if got := scan(t, file); got != all[name] {
			t.Errorf("%s with a stain: read %q", name, got)
		}
		save(t, file, half(img))
		if got := scan(t, file); got != all[name] {
			t.Errorf("%s at 150 dpi: read %q", name, got)
		}
	}
}

func open(t *testing.T, file string) *image.Gray {
	t.Helper()
	f, err := os.Open(file)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	img, err := png.Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	b := img.Bounds()
	out := image.NewGray(b)
	for y := b.Min.Y; y < b.Max.Y; y++ {
		for x := b.Min.X; x < b.Max.X; x++ {
			out.Set(x, y, img.At(x, y))
		}
	}
	return out
}

func half(img *image.Gray) *image.Gray {
	b := img.Bounds()
	out := image.NewGray(image.Rect(0, 0, b.Dx()/2, b.Dy()/2))
	for y := range b.Dy() / 2 {
		for x := range b.Dx() / 2 {
			sum := 0
			for i := range 4 {
				sum += int(img.GrayAt(2*x+i%2, 2*y+i/2).Y)
			}
			out.SetGray(x, y, color.Gray{Y: uint8(sum / 4)})
		}
	}
	return out
}

func save(t *testing.T, file string, img image.Image) {
	t.Helper()
	f, err := os.Create(file)
	if err == nil {
		err = png.Encode(f, img)
		f.Close()
	}
	if err != nil {
		t.Fatal(err)
	}
}

// The sizes of ISO/IEC 18004: 17 + 4v modules a side; 213 bytes fit version 10
// at level M and 412 fit version 15 (its table 7).
func TestSizes(t *testing.T) {
	for _, x := range []struct{ bytes, version int }{{14, 1}, {15, 2}, {84, 5}, {85, 6}, {213, 10}, {214, 11}, {287, 12}, {412, 15}} {
		c := draw(t, strings.Repeat("a", x.bytes))
		if c.Version != x.version || c.Size != 17+4*x.version {
			t.Errorf("%d bytes: version %d, %d modules", x.bytes, c.Version, c.Size)
		}
		if c.Side() < 0.5*float64(c.Size+8) {
			t.Errorf("a module is finer than 0.5 mm: %.1f mm", c.Side())
		}
	}
	if _, faults := Draw(strings.Repeat("a", 413)); !faults.Has("CODE-LONG") {
		t.Error("a code too fine for paper is drawn")
	}
	for name, s := range papers(t) {
		if c := draw(t, s); c.Version > MaxVersion || name == "usual" && c.Side() > 42 {
			t.Errorf("%s: version %d, %.1f mm", name, c.Version, c.Side())
		}
	}
}

// The drawing is well-formed, black on white, inside its quiet zone, and has one
// dark square for each dark module.
func TestDrawing(t *testing.T) {
	c := draw(t, papers(t)["usual"])
	svg := c.SVG(`<a & "b">`)
	d := xml.NewDecoder(bytes.NewReader(svg))
	dark := 0
	for {
		token, err := d.Token()
		if err == io.EOF {
			break
		}
		if err != nil {
			t.Fatal(err)
		}
		e, ok := token.(xml.StartElement)
		if !ok {
			continue
		}
		a := map[string]string{}
		for _, x := range e.Attr {
			a[x.Name.Local] = x.Value
		}
		if e.Name.Local == "svg" {
			if a["aria-label"] != `<a & "b">` || !strings.HasSuffix(a["width"], "mm") || a["width"] != a["height"] || a["style"] != "" {
				t.Errorf("%v", a)
			}
			continue
		}
		if a["fill"] == "#fff" {
			continue
		}
		if a["fill"] != "#000" {
			t.Fatalf("%v", a)
		}
		for _, run := range strings.Split(strings.TrimSuffix(a["d"], "z"), "z") {
			var x, y, w, back int
			if n, err := fmt.Sscanf(run, "M%d %dh%dv1h-%d", &x, &y, &w, &back); n != 4 || err != nil || w != back {
				t.Fatalf("%q: %v", run, err)
			}
			if x < Quiet || y < Quiet || x+w > c.Size+Quiet || y >= c.Size+Quiet {
				t.Fatal(run)
			}
			for i := range w {
				if !c.Black(x+i-Quiet, y-Quiet) {
					t.Fatalf("dark at %d, %d", x+i, y)
				}
			}
			dark += w
		}
	}
	want := 0
	for y := range c.Size {
		for x := range c.Size {
			if c.Black(x, y) {
				want++
			}
		}
	}
	if dark != want || want == 0 {
		t.Errorf("%d dark modules drawn of %d", dark, want)
	}
	if !bytes.Equal(svg, draw(t, papers(t)["usual"]).SVG(`<a & "b">`)) {
		t.Error("two drawings differ")
	}
}

// The rules of ISO/IEC 18004, section 7.8.3, on squares that can be counted by hand.
func TestPenalty(t *testing.T) {
	white := func(x, y int) bool { return false }
	check := func(x, y int) bool { return (x+y)%2 == 0 }
	// 6 by 6 light: each of 12 lines a run of 6 (3+1), 25 blocks (3 each), 10 steps of 5 percent off one half.
	if got := penalty(6, white); got != 12*4+25*3+10*10 {
		t.Errorf("light: %d", got)
	}
	if got := penalty(6, check); got != 0 {
		t.Errorf("chequered: %d", got)
	}
}

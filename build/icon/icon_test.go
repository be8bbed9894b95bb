package icon

import (
	"bytes"
	"image"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"testing"
)

// Pixels are compared, not bytes: a newer encoder may pack them differently.
func TestCommittedFilesAreWhatIsDrawn(t *testing.T) {
	for _, f := range Files {
		want, err := f.Draw()
		if err != nil {
			t.Fatal(err)
		}
		got, err := os.ReadFile(filepath.Join("../../app/shell", f.Name))
		if err != nil {
			t.Fatal(err)
		}
		if f.Side == 0 {
			if !bytes.Equal(got, want) {
				t.Errorf("%s is not what is drawn; run: go run ./build/icon/draw app/shell", f.Name)
			}
			continue
		}
		if a, b := pixels(t, got), pixels(t, want); a.Bounds() != b.Bounds() || !same(a, b) {
			t.Errorf("%s is not what is drawn; run: go run ./build/icon/draw app/shell", f.Name)
		}
	}
}

// The safe zone of a maskable icon is a circle with a radius of 40 in 100 of
// the width about the middle (W3C Web Application Manifest, "masks").
func TestMaskableIconKeepsToTheSafeZone(t *testing.T) {
	b, err := os.ReadFile("../../app/shell/icon-mask.png")
	if err != nil {
		t.Fatal(err)
	}
	img := pixels(t, b)
	side := img.Bounds().Dx()
	for y := range side {
		for x := range side {
			d := math.Hypot(float64(x)+0.5-float64(side)/2, float64(y)+0.5-float64(side)/2)
			if r, g, bl, _ := img.At(x, y).RGBA(); d > 0.4*float64(side) &&
				(uint8(r>>8) != paper.R || uint8(g>>8) != paper.G || uint8(bl>>8) != paper.B) {
				t.Fatalf("ink at %d,%d, outside the safe zone", x, y)
			}
		}
	}
}

func pixels(t *testing.T, b []byte) image.Image {
	t.Helper()
	img, err := png.Decode(bytes.NewReader(b))
	if err != nil {
		t.Fatal(err)
	}
	return img
}

func same(a, b image.Image) bool {
	r := a.Bounds()
	for y := r.Min.Y; y < r.Max.Y; y++ {
		for x := r.Min.X; x < r.Max.X; x++ {
			ar, ag, ab, aa := a.At(x, y).RGBA()
			br, bg, bb, ba := b.At(x, y).RGBA()
			if ar != br || ag != bg || ab != bb || aa != ba {
				return false
			}
		}
	}
	return true
}

// Package icon draws the app's icon: one leaf with a midrib on paper. The same
// two curves give the SVG and the PNG files.
package icon

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"math"
)

var (
	paper = color.NRGBA{0xfb, 0xfa, 0xf6, 0xff}
	leaf  = color.NRGBA{0x2f, 0x6b, 0x4f, 0xff}
)

// The drawing has a side of 100. The leaf lies between two arcs of one radius
// that meet in its tips; the midrib runs from inside the upper tip down the
// stem, past the lower one.
const (
	tipX1, tipY1 = 26, 74
	tipX2, tipY2 = 78, 22
	radius       = 42
	ribX1, ribY1 = 16, 84
	ribX2, ribY2 = 62, 38
	ribWidth     = 4
)

// SVG is the icon as a vector file.
func SVG() []byte {
	return fmt.Appendf(nil, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 100">
<rect width="100" height="100" rx="20" fill="%s"/>
<path d="M%d %dA%d %d 0 0 1 %d %dA%d %d 0 0 1 %d %dZ" fill="%s"/>
<path d="M%d %dL%d %d" stroke="%s" stroke-width="%d" stroke-linecap="round"/>
<path d="M%d %dL%d %d" stroke="%s" stroke-width="%d" stroke-linecap="round"/>
</svg>
`, hex(paper),
		tipX1, tipY1, radius, radius, tipX2, tipY2, radius, radius, tipX1, tipY1, hex(leaf),
		ribX1, ribY1, tipX1+2, tipY1-2, hex(leaf), ribWidth,
		tipX1+2, tipY1-2, ribX2, ribY2, hex(paper), ribWidth)
}

func hex(c color.NRGBA) string { return fmt.Sprintf("#%02x%02x%02x", c.R, c.G, c.B) }

// at is the color at a point of the 100 by 100 drawing.
func at(x, y float64) color.NRGBA {
	// Both arc centers lie on the perpendicular bisector of the tips.
	mx, my := (tipX1+tipX2)/2.0, (tipY1+tipY2)/2.0
	dx, dy := float64(tipX2-tipX1), float64(tipY2-tipY1)
	chord := math.Hypot(dx, dy)
	off := math.Sqrt(radius*radius - chord*chord/4)
	nx, ny := -dy/chord*off, dx/chord*off
	in := math.Hypot(x-mx-nx, y-my-ny) <= radius && math.Hypot(x-mx+nx, y-my+ny) <= radius
	onPaper := segment(x, y, tipX1+2, tipY1-2, ribX2, ribY2) <= ribWidth/2.0
	onStem := segment(x, y, ribX1, ribY1, tipX1+2, tipY1-2) <= ribWidth/2.0
	if onPaper || !in && !onStem {
		return paper
	}
	return leaf
}

// segment is the distance from a point to a segment.
func segment(x, y, x1, y1, x2, y2 float64) float64 {
	dx, dy := x2-x1, y2-y1
	t := max(0, min(1, ((x-x1)*dx+(y-y1)*dy)/(dx*dx+dy*dy)))
	return math.Hypot(x-x1-t*dx, y-y1-t*dy)
}

// PNG is the icon with the given side in pixels; scale shrinks the leaf about
// the middle (1 is full size).
func PNG(side int, scale float64) ([]byte, error) {
	const fine = 4 // samples per pixel and axis
	img := image.NewNRGBA(image.Rect(0, 0, side, side))
	for py := range side {
		for px := range side {
			var r, g, b int
			for s := range fine * fine {
				x := (float64(px) + (float64(s%fine)+0.5)/fine) / float64(side) * 100
				y := (float64(py) + (float64(s/fine)+0.5)/fine) / float64(side) * 100
				c := at(50+(x-50)/scale, 50+(y-50)/scale)
				r, g, b = r+int(c.R), g+int(c.G), b+int(c.B)
			}
			n := fine * fine
			img.SetNRGBA(px, py, color.NRGBA{uint8(r / n), uint8(g / n), uint8(b / n), 0xff})
		}
	}
	var out bytes.Buffer
	enc := png.Encoder{CompressionLevel: png.BestCompression}
	err := enc.Encode(&out, img)
	return out.Bytes(), err
}

// File is one icon file of app/shell. Scale is 0 for the vector file.
type File struct {
	Name  string
	Side  int
	Scale float64
}

// Files lists the icon files kept in app/shell.
var Files = []File{
	{"icon.svg", 0, 0},
	{"icon-180.png", 180, 1},
	{"icon-192.png", 192, 1},
	{"icon-512.png", 512, 1},
	{"icon-mask.png", 512, 0.75},
}

// Draw makes one file's bytes.
func (f File) Draw() ([]byte, error) {
	if f.Side == 0 {
		return SVG(), nil
	}
	return PNG(f.Side, f.Scale)
}

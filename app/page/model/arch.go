package model

import (
	"math"

	"plainleaf/app/veneer"
)

// The tooth chart as drawn: the patient's right is on the viewer's left, the
// upper jaw above. Lengths are units of the chart's own grid.
const (
	ChartWidth  = 400
	ChartHeight = 590
	archA       = 168.0 // half width of the arch along the teeth's middles
	archB       = 222.0 // its depth
	gap         = 46.0  // between the ends of the two arches
)

// Spot is where a tooth stands in the chart.
type Spot struct {
	X, Y float64 // middle of the tooth
	// Turn is the tooth's turn in degrees, clockwise, so that its front faces outward.
	Turn float64
	// Width and Depth of the drawn tooth.
	Width, Depth float64
}

// Place is where a tooth stands: on half an ellipse, with equal room for each
// along the curve, so that every tooth is as easy to hit as any other.
func Place(t veneer.Tooth) Spot {
	i := order(t) % 16 // 0 on the viewer's left to 15
	a := angleAt((float64(i) + 0.5) / 16)
	x := ChartWidth/2 - archA*math.Cos(a)
	dy := archB * math.Sin(a)
	// The outward normal of the ellipse.
	turn := math.Atan2(-math.Cos(a)/archA, math.Sin(a)/archB) * 180 / math.Pi
	s := Spot{X: x, Turn: turn, Width: 32, Depth: 42}
	middle := ChartHeight / 2.0
	if t.Upper() {
		s.Y = middle - gap/2 - dy
	} else {
		s.Y = middle + gap/2 + dy
		s.Turn = 180 - turn
	}
	switch {
	case t.Position() == 2:
		s.Width = 28
	case t.Position() >= 6:
		s.Width, s.Depth = 34, 44
	}
	return s
}

// angleAt is the angle, from 0 at the left end to pi at the right, at a share of
// the curve's length.
func angleAt(share float64) float64 {
	const steps = 720
	length := func(k int) float64 {
		a := (float64(k) + 0.5) * math.Pi / steps
		return math.Hypot(archA*math.Sin(a), archB*math.Cos(a))
	}
	total := 0.0
	for k := range steps {
		total += length(k)
	}
	run := 0.0
	for k := range steps {
		run += length(k)
		if run >= share*total {
			return (float64(k) + 0.5) * math.Pi / steps
		}
	}
	return math.Pi
}

// Beside is the tooth reached from t by an arrow key: dx -1 or 1 along the arch
// as seen on the screen, dy to the other jaw. The ends do not wrap.
func Beside(t veneer.Tooth, dx, dy int) veneer.Tooth {
	all := veneer.AllTeeth()
	i := order(t)
	row, col := i/16, i%16
	col = min(15, max(0, col+dx))
	row = min(1, max(0, row+dy))
	return all[row*16+col]
}

// EndOf is the first or last tooth of t's arch as seen on the screen.
func EndOf(t veneer.Tooth, last bool) veneer.Tooth {
	if last {
		return Beside(t, 15, 0)
	}
	return Beside(t, -15, 0)
}

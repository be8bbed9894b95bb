package state

import (
	"math"

	"plainleaf/app/casefile"
)

// Chart is the shape of the tooth chart as drawn: the patient's right is on the
// viewer's left, the upper jaw above. Each jaw is a bow of even room for every
// tooth: half an ellipse in front, and straight sides. Lengths are units of the
// chart's own grid.
type Chart struct {
	Width, Height float64
	// Reach is how much room a finger has around the middle of a tooth, to all
	// sides, before it touches the next one.
	Reach float64
	spots [32]Spot
}

// Spot is the place of a tooth in the chart.
type Spot struct {
	X, Y float64 // middle of the tooth
	// Turn is the tooth's turn in degrees, clockwise, so that its front faces outward.
	Turn float64
	// Width and Depth of the drawn tooth.
	Width, Depth float64
}

// Wide is the chart for a tablet or a desk, low enough that both jaws are in view
// at once, Slim for a phone: slim jaws are longer, so that a tooth is as large
// under a finger on a narrow screen.
var (
	Wide = chart(600, 262, 165, 48)
	Slim = chart(300, 126, 135, 46.5)
)

const (
	toothDepth = 42.0
	jawGap     = 20.0 // between the ends of the two jaws
)

// chart draws the jaws: half their width, the depth of the round front, and the
// room of one tooth along the bow.
func chart(width, half, front, room float64) *Chart {
	// The bow as short straight pieces, from the end on the viewer's left.
	const steps = 4000
	round := 0.0
	bow := make([][2]float64, 0, steps+3)
	for k := range steps + 1 {
		a := math.Pi * float64(k) / steps
		p := [2]float64{-half * math.Cos(a), front * math.Sin(a)}
		if k > 0 {
			q := bow[len(bow)-1]
			round += math.Hypot(p[0]-q[0], p[1]-q[1])
		}
		bow = append(bow, p)
	}
	side := max(0, (16*room-round)/2)
	for i := range bow {
		bow[i][1] += side
	}
	bow = append(append([][2]float64{{-half, 0}}, bow...), [2]float64{half, 0})
	depth := side + front
	c := &Chart{Width: width, Height: 2*depth + jawGap + toothDepth + 8, Reach: room / 2}
	middle := c.Height / 2
	run, next := 0.0, 0
	for i := 1; i < len(bow) && next < 16; i++ {
		p, q := bow[i-1], bow[i]
		piece := math.Hypot(q[0]-p[0], q[1]-p[1])
		for next < 16 && run+piece >= (float64(next)+0.5)*room {
			share := ((float64(next)+0.5)*room - run) / piece
			x, y := p[0]+share*(q[0]-p[0]), p[1]+share*(q[1]-p[1])
			// Outward lies to the left of the way along the bow.
			turn := math.Atan2(-(q[1]-p[1]), q[0]-p[0]) * 180 / math.Pi
			up := casefile.AllTeeth()[next]
			c.spots[next] = Spot{X: width/2 + x, Y: middle - jawGap/2 - y, Turn: turn}.of(up)
			low := casefile.AllTeeth()[16+next]
			c.spots[16+next] = Spot{X: width/2 + x, Y: middle + jawGap/2 + y, Turn: 180 - turn}.of(low)
			next++
		}
		run += piece
	}
	// Room along a bend is a little more than room across it.
	for i := range 15 {
		a, b := c.spots[i], c.spots[i+1]
		c.Reach = min(c.Reach, math.Hypot(a.X-b.X, a.Y-b.Y)/2)
	}
	c.Reach -= 0.1 // places are written to a tenth
	return c
}

func (s Spot) of(t casefile.Tooth) Spot {
	s.Width, s.Depth = 33, toothDepth
	switch {
	case t.Position() == 2:
		s.Width = 29
	case t.Position() >= 6:
		s.Width = 36
	}
	return s
}

// Turned is where a point of the upright tooth, right and down from its middle, lies
// in the chart.
func (s Spot) Turned(right, down float64) (x, y float64) {
	sin, cos := math.Sincos(s.Turn * math.Pi / 180)
	return s.X + right*cos - down*sin, s.Y + right*sin + down*cos
}

// Place returns the place of a tooth in the chart.
func (c *Chart) Place(t casefile.Tooth) Spot { return c.spots[rank(t)] }

// Beside is the tooth reached from t by an arrow key: dx -1 or 1 along the arch
// as seen on the screen, dy to the other jaw. The ends do not wrap.
func Beside(t casefile.Tooth, dx, dy int) casefile.Tooth {
	all := casefile.AllTeeth()
	i := rank(t)
	row, col := i/16, i%16
	col = min(15, max(0, col+dx))
	row = min(1, max(0, row+dy))
	return all[row*16+col]
}

// EndOf is the first or last tooth of t's arch as seen on the screen.
func EndOf(t casefile.Tooth, last bool) casefile.Tooth {
	if last {
		return Beside(t, 15, 0)
	}
	return Beside(t, -15, 0)
}

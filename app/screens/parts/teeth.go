package parts

import (
	"math"
	"strconv"
	"strings"

	"plainleaf/app/casefile"
)

// stroke is one step of an outline as SVG paths have them: M, L, C or Q and its
// points, x and y in turn.
type stroke struct {
	op byte
	at []float64
}

// form is a tooth from the front. x runs from -0.5 to 0.5 of its width with the side
// toward the midline positive, y from 0 at the neck to 1 at the edge.
type form struct {
	crown []stroke // the outline
	marks []stroke // lines on the face
}

const (
	central = iota
	lateral
	canine
	premolar
	molar
	lowerIncisor
)

var forms = [...]form{
	{
		crown: []stroke{
			{'M', []float64{-0.35, 0.17}},
			{'C', []float64{-0.33, 0.02, -0.16, -0.01, 0.02, -0.01}},
			{'C', []float64{0.2, -0.01, 0.33, 0.02, 0.35, 0.17}},
			{'C', []float64{0.38, 0.39, 0.48, 0.62, 0.485, 0.9}},
			{'Q', []float64{0.48, 1, 0.39, 1}},
			{'L', []float64{-0.31, 0.985}},
			{'Q', []float64{-0.485, 0.965, -0.485, 0.83}},
			{'C', []float64{-0.495, 0.6, -0.38, 0.39, -0.35, 0.17}},
		},
		marks: []stroke{
			{'M', []float64{-0.15, 0.7}},
			{'Q', []float64{-0.16, 0.82, -0.14, 0.92}},
			{'M', []float64{0.15, 0.7}},
			{'Q', []float64{0.16, 0.82, 0.14, 0.92}},
		},
	},
	{
		crown: []stroke{
			{'M', []float64{-0.32, 0.17}},
			{'C', []float64{-0.3, 0.02, -0.14, -0.01, 0, -0.01}},
			{'C', []float64{0.16, -0.01, 0.31, 0.02, 0.33, 0.17}},
			{'C', []float64{0.36, 0.38, 0.465, 0.58, 0.46, 0.84}},
			{'Q', []float64{0.45, 0.985, 0.33, 0.99}},
			{'L', []float64{-0.18, 0.97}},
			{'Q', []float64{-0.46, 0.93, -0.47, 0.7}},
			{'C', []float64{-0.48, 0.52, -0.355, 0.38, -0.32, 0.17}},
		},
		marks: []stroke{
			{'M', []float64{-0.1, 0.7}},
			{'Q', []float64{-0.11, 0.8, -0.09, 0.89}},
			{'M', []float64{0.13, 0.7}},
			{'Q', []float64{0.14, 0.8, 0.12, 0.89}},
		},
	},
	{
		crown: []stroke{
			{'M', []float64{-0.34, 0.16}},
			{'C', []float64{-0.31, 0, -0.14, -0.03, 0, -0.03}},
			{'C', []float64{0.15, -0.03, 0.31, 0, 0.34, 0.16}},
			{'C', []float64{0.38, 0.36, 0.485, 0.5, 0.475, 0.67}},
			{'Q', []float64{0.465, 0.77, 0.37, 0.82}},
			{'L', []float64{0.09, 0.975}},
			{'Q', []float64{0.01, 1.02, -0.07, 0.97}},
			{'L', []float64{-0.36, 0.79}},
			{'Q', []float64{-0.48, 0.715, -0.48, 0.59}},
			{'C', []float64{-0.49, 0.48, -0.38, 0.36, -0.34, 0.16}},
		},
		marks: []stroke{
			{'M', []float64{0, 0.34}},
			{'Q', []float64{0.03, 0.62, 0, 0.9}},
		},
	},
	{
		crown: []stroke{
			{'M', []float64{-0.36, 0.17}},
			{'C', []float64{-0.33, 0.02, -0.15, -0.01, 0, -0.01}},
			{'C', []float64{0.15, -0.01, 0.33, 0.02, 0.36, 0.17}},
			{'C', []float64{0.4, 0.37, 0.49, 0.54, 0.48, 0.71}},
			{'Q', []float64{0.475, 0.845, 0.37, 0.89}},
			{'Q', []float64{0.22, 0.955, 0.12, 0.985}},
			{'Q', []float64{0, 1.01, -0.12, 0.98}},
			{'Q', []float64{-0.24, 0.94, -0.38, 0.875}},
			{'Q', []float64{-0.48, 0.82, -0.48, 0.69}},
			{'C', []float64{-0.49, 0.52, -0.4, 0.37, -0.36, 0.17}},
		},
		marks: []stroke{
			{'M', []float64{0, 0.36}},
			{'Q', []float64{0.02, 0.6, 0, 0.88}},
		},
	},
	{
		crown: []stroke{
			{'M', []float64{-0.41, 0.18}},
			{'C', []float64{-0.36, 0.03, -0.18, 0, -0.1, 0.03}},
			{'Q', []float64{0, 0.07, 0.1, 0.03}},
			{'C', []float64{0.2, 0, 0.37, 0.03, 0.41, 0.18}},
			{'C', []float64{0.46, 0.38, 0.49, 0.55, 0.48, 0.72}},
			{'Q', []float64{0.475, 0.87, 0.38, 0.93}},
			{'Q', []float64{0.24, 1.03, 0.12, 0.95}},
			{'Q', []float64{0.04, 0.86, 0, 0.86}},
			{'Q', []float64{-0.04, 0.86, -0.12, 0.94}},
			{'Q', []float64{-0.24, 1.02, -0.37, 0.92}},
			{'Q', []float64{-0.475, 0.85, -0.48, 0.7}},
			{'C', []float64{-0.49, 0.55, -0.46, 0.38, -0.41, 0.18}},
		},
		marks: []stroke{
			{'M', []float64{0, 0.84}},
			{'L', []float64{0, 0.46}},
		},
	},
	{
		crown: []stroke{
			{'M', []float64{-0.31, 0.16}},
			{'C', []float64{-0.28, 0.01, -0.12, -0.01, 0, -0.01}},
			{'C', []float64{0.12, -0.01, 0.28, 0.01, 0.31, 0.16}},
			{'C', []float64{0.37, 0.4, 0.455, 0.7, 0.46, 0.92}},
			{'Q', []float64{0.46, 1, 0.38, 1}},
			{'L', []float64{-0.37, 1}},
			{'Q', []float64{-0.46, 1, -0.46, 0.91}},
			{'C', []float64{-0.455, 0.7, -0.37, 0.4, -0.31, 0.16}},
		},
		marks: []stroke{
			{'M', []float64{-0.12, 0.74}},
			{'L', []float64{-0.12, 0.9}},
			{'M', []float64{0.12, 0.74}},
			{'L', []float64{0.12, 0.9}},
		},
	},
}

// formOf is the form a tooth has.
func formOf(t casefile.Tooth) form {
	p := t.Position()
	if !t.Upper() && p <= 2 {
		return forms[lowerIncisor]
	}
	return forms[[...]int{0, central, lateral, canine, premolar, premolar, molar, molar, molar}[p]]
}

// Sizes by position from the midline, in units of a full row of 800. No tooth is so
// narrow that a finger misses it where a full row has the width of a tablet's chart.
var (
	upperWidth = [...]float64{0, 56, 47, 50, 47, 47, 56, 50, 47}
	upperDepth = [...]float64{0, 76, 66, 75, 63, 59, 56, 52, 46}
	lowerWidth = [...]float64{0, 47, 47, 48, 47, 48, 56, 52, 49}
	lowerDepth = [...]float64{0, 56, 57, 64, 56, 53, 52, 49, 44}
	// neckDrop is how far the neck of an upper tooth lies from the line of the arch.
	neckDrop = [...]float64{0, 0, 4, -1, 3, 4, 3, 3, 4}
)

const (
	rowPad     = 6.0  // beside the teeth
	phonePad   = 2.0  // the same on a phone
	gumDepth   = 16.0 // at a scale of 1
	archBend   = 22.0 // how much higher the ends of the arch are, at a scale of 1
	deepest    = 76.0 // the depth of the longest upper tooth
	lowest     = 66.0 // room for the longest lower tooth
	numberRoom = 28.0 // under the upper teeth, over the lower ones
	shadeRoom  = 20.0 // over the gum
	markRadius = 24.0 // of a mark between two teeth
	target     = 44.0 // the least width a finger needs, in CSS pixels
)

// spot is where a tooth lies: the middle of its neck, its width with the room to its
// neighbors, its depth. Up is +1 for an upper tooth, whose edge points down, -1 for a
// lower one.
type spot struct {
	Tooth      casefile.Tooth
	X, Y, W, D float64
	Up         float64
}

// arch is the line on which teeth of one jaw lie.
type arch struct {
	spots        []spot
	mid          float64 // x of the midline
	reach        float64 // the farthest a tooth is from it
	base         float64 // y of the neck line at the midline
	bend         float64
	gum          float64 // depth of the gum
	up           float64
	past         float64 // room past the edges, for the numbers
	shadeY, numY float64 // of texts, from the neck line and from the edge
}

// row is one drawing: one jaw or both, or on a phone one side of one jaw.
type row struct {
	width, height float64
	scale         float64
	upper, lower  arch
}

// spots lists the teeth of the row as they are drawn.
func (r row) spots() []spot { return append(append([]spot(nil), r.upper.spots...), r.lower.spots...) }

// lay lays out teeth in chart order in a row of a width in CSS pixels. room says
// whether texts above the teeth and the numbers have theirs. even gives all teeth one width.
func lay(teeth []casefile.Tooth, width float64, even, shades, numbers bool) row {
	var upper, lower []casefile.Tooth
	for _, t := range teeth {
		if t.Upper() {
			upper = append(upper, t)
		} else {
			lower = append(lower, t)
		}
	}
	unit := max(sum(upper, even), sum(lower, even))
	if unit == 0 {
		return row{}
	}
	pad, bow := rowPad, archBend
	if even {
		pad, bow = phonePad, archBend*0.4
	}
	k := (width - 2*pad) / unit
	r := row{width: width, scale: k}
	gum, bend := gumDepth*k, bow*k
	y := 2.0
	if shades && len(upper) > 0 {
		y += shadeRoom
	}
	mid := pad + k*max(rightOf(upper, even), rightOf(lower, even))
	if len(upper) > 0 {
		y += gum + bend
		r.upper = arch{mid: mid, base: y, bend: bend, gum: gum, up: 1, past: room(numbers), shadeY: -gum - 10, numY: 19}
		r.upper.place(upper, k, even)
		y += deepest * k
		y += room(numbers)
	}
	if len(lower) > 0 {
		y += room(numbers) + lowest*k
		r.lower = arch{mid: mid, base: y, bend: bend * 0.7, gum: gum, up: -1, past: room(numbers), shadeY: gum + 20, numY: -9}
		r.lower.place(lower, k, even)
		y += gum + 2
		if shades {
			y += shadeRoom
		}
	}
	r.height = y + 4
	return r
}

func room(numbers bool) float64 {
	if numbers {
		return numberRoom
	}
	return 6
}

// unitWidth is the width of a tooth at a scale of 1.
func unitWidth(t casefile.Tooth, even bool) float64 {
	switch {
	case even:
		return 50
	case t.Upper():
		return upperWidth[t.Position()]
	}
	return lowerWidth[t.Position()]
}

func sum(teeth []casefile.Tooth, even bool) float64 {
	w := 0.0
	for _, t := range teeth {
		w += unitWidth(t, even)
	}
	return w
}

// rightOf is how far the midline lies from the first tooth: what the patient's right
// side takes, which is drawn at the left.
func rightOf(teeth []casefile.Tooth, even bool) float64 {
	w := 0.0
	for _, t := range teeth {
		if q := t.Quadrant(); q == 1 || q == 4 {
			w += unitWidth(t, even)
		}
	}
	return w
}

func (a *arch) place(teeth []casefile.Tooth, k float64, even bool) {
	x := a.mid - k*rightOf(teeth, even)
	a.reach = math.Max(a.mid-x, x+k*sum(teeth, even)-a.mid)
	for _, t := range teeth {
		w, d, drop := k*unitWidth(t, even), k*lowerDepth[t.Position()], 0.0
		if t.Upper() {
			d, drop = k*upperDepth[t.Position()], k*neckDrop[t.Position()]
		}
		a.spots = append(a.spots, spot{Tooth: t, X: x + w/2, Y: a.line(x+w/2) + drop, W: w, D: d, Up: a.up})
		x += w
	}
}

// line is the y of the neck line at x: highest at the ends of the arch.
func (a *arch) line(x float64) float64 {
	d := (x - a.mid) / a.reach
	return a.base - a.bend*d*d
}

// slope is how the neck line falls at x.
func (a *arch) slope(x float64) float64 { return -2 * a.bend * (x - a.mid) / (a.reach * a.reach) }

// number is the y of the tooth's number, shade that of its shade.
func (a *arch) number(s spot) float64 { return s.Y + s.Up*s.D + a.numY }
func (a *arch) shade(s spot) float64  { return a.line(s.X) + a.shadeY }

// between is the middle of the place where two neighbors touch.
func between(l, r spot) (x, y float64) {
	return l.X + l.W/2, (l.Y + l.Up*l.D*0.66 + r.Y + r.Up*r.D*0.66) / 2
}

// radius is that of the marks between teeth: no two of them overlap.
func (a *arch) radius() float64 {
	least := markRadius
	for _, s := range a.spots {
		least = min(least, s.W/2)
	}
	return least
}

// rect is a place in a drawing: left, top, width, height.
type rect struct{ X, Y, W, H float64 }

// target is where a finger meets a tooth: its column from the far edge of the gum to
// past the number.
func (a *arch) target(s spot) rect {
	far, near := s.Y-a.up*a.gum, s.Y+a.up*(s.D+a.past-2)
	return rect{s.X - s.W/2, min(far, near), s.W, max(far, near) - min(far, near)}
}

// pen writes SVG path data.
type pen struct{ strings.Builder }

func short(v float64) string { return strconv.FormatFloat(math.Round(v*10)/10, 'f', -1, 64) }

func (p *pen) to(op byte, xy ...float64) {
	p.WriteByte(op)
	for i, v := range xy {
		if i > 0 {
			p.WriteByte(' ')
		}
		p.WriteString(short(v))
	}
}

// draw writes strokes of a form at the place of a tooth.
func (s spot) draw(strokes []stroke) string {
	var p pen
	w := s.W - max(3, s.W*0.048) // a gap to the neighbors
	if q := s.Tooth.Quadrant(); q == 2 || q == 3 {
		w = -w
	}
	for _, st := range strokes {
		xy := make([]float64, len(st.at))
		for i := 0; i < len(st.at); i += 2 {
			xy[i], xy[i+1] = s.X+st.at[i]*w, s.Y+s.Up*st.at[i+1]*s.D
		}
		p.to(st.op, xy...)
	}
	return p.String()
}

func (s spot) crown() string { return s.draw(formOf(s.Tooth).crown) + "Z" }
func (s spot) marks() string { return s.draw(formOf(s.Tooth).marks) }

// gumPath is the outline of the gum: its far edge along the arch, then back with a
// point between each two teeth.
func (a *arch) gumPath() string {
	n := len(a.spots)
	first, last := a.spots[0], a.spots[n-1]
	x0, x1 := first.X-first.W/2, last.X+last.W/2
	far := -a.up * a.gum
	y0, y1 := a.line(x0)+far, a.line(x1)+far
	var p pen
	p.to('M', x0, y0)
	p.to('Q', (x0+x1)/2, y0+a.slope(x0)*(x1-x0)/2, x1, y1)
	p.to('L', x1, last.Y+a.up*last.D*0.16)
	for i := n - 1; i >= 0; i-- {
		s := a.spots[i]
		tip := s.Y + a.up*s.D*0.16
		if i > 0 {
			before := a.spots[i-1]
			tip = (s.Y+before.Y)/2 + a.up*min(s.D, before.D)*0.34
		}
		bow := s.Y + a.up*s.D*0.05
		p.to('C', s.X+s.W*0.36, bow, s.X+s.W*0.2, s.Y, s.X, s.Y)
		p.to('C', s.X-s.W*0.2, s.Y, s.X-s.W*0.36, bow, s.X-s.W/2, tip)
	}
	return p.String() + "Z"
}

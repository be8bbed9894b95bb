package printout

import (
	"errors"
	"strconv"
	"strings"

	"golang.org/x/net/html"

	"plainleaf/app/casefile"
	"plainleaf/app/handover"
	"plainleaf/app/render"
	"plainleaf/app/sheet"
)

// Inks of the pictures; they are drawn, so a printer set to drop backgrounds
// keeps them, and every difference is also one of shape.
const (
	ink  = "#1f2a26"
	soft = "#4d5a54"
	line = "#8a948e"
)

func (w *writer) picture(title, desc string, width, height int, kv ...string) *html.Node {
	t, d := w.id(), w.id()
	svg := el("svg", append([]string{"role", "img", "aria-labelledby", t + " " + d,
		"viewBox", "0 0 " + strconv.Itoa(width) + " " + strconv.Itoa(height),
		"width", strconv.Itoa(width), "height", strconv.Itoa(height), "focusable", "false"}, kv...)...)
	svg.Namespace = "svg"
	return add(svg, add(el("title", "id", t), text(title)), add(el("desc", "id", d), text(desc)))
}

// icons draws a picture of a number: filled from the bottom row, from the side
// where reading starts, without gaps; full dots for low, rings with a dot up to
// high, thin rings for the rest.
func (w *writer) icons(b render.Block) *html.Node {
	n := el("figure", "class", "icons")
	caption := el("figcaption")
	for _, it := range b.Items {
		add(caption, about(w.line(el("p", "class", "lead"), it.Label), it.Ref))
	}
	if b.Style != sheet.Tabled && !repeated(w.doc, b) || b.Picture == nil {
		add(caption, w.cite(w.line(el("p"), b.Text), b.Ref))
	}
	if b.Picture == nil {
		return add(n, caption)
	}
	const cell = 16
	pic := *b.Picture
	cols := min(pic.Of, 10)
	if pic.Of == 1000 {
		cols = 40
	}
	rows := pic.Of / cols
	desc := w.doc.Words.Solid.String() + ". " + w.doc.Words.Ringed.String() + ". " + w.doc.Words.Open.String() + "."
	svg := w.picture(b.Text.String(), desc, cols*cell, rows*cell, "data-low", strconv.Itoa(pic.Low), "data-high", strconv.Itoa(pic.High), "data-of", strconv.Itoa(pic.Of))
	for i := range pic.Of {
		col, row := i%cols, i/cols
		if w.doc.Dir == "rtl" {
			col = cols - 1 - col
		}
		shape := "open"
		switch {
		case i < pic.Low:
			shape = "solid"
		case i < pic.High:
			shape = "ringed"
		}
		dot(svg, shape, col*cell+cell/2, (rows-1-row)*cell+cell/2)
	}
	legend := el("ul", "class", "legend")
	for _, e := range []struct {
		shape string
		show  bool
		words render.Line
	}{
		{"solid", pic.Low > 0, w.doc.Words.Solid},
		{"ringed", pic.High > pic.Low, w.doc.Words.Ringed},
		{"open", pic.High < pic.Of, w.doc.Words.Open},
	} {
		if !e.show {
			continue
		}
		sample := el("svg", "viewBox", "0 0 16 16", "width", "16", "height", "16", "aria-hidden", "true", "focusable", "false")
		dot(sample, e.shape, 8, 8)
		add(legend, add(el("li"), sample, w.line(el("span"), e.words)))
	}
	return add(n, svg, add(caption, legend))
}

// code draws the code on paper, at its size there.
func code(b render.Block) *html.Node {
	c, faults := handover.Draw(b.Address)
	if len(faults) > 0 {
		return nil // drawable has said so
	}
	return c.Node(b.Text.String())
}

// drawable reports an address too long for a code.
func (p *page) drawable() error {
	for _, b := range p.docs[0].Blocks {
		if b.Kind == sheet.HandOver {
			if _, faults := handover.Draw(b.Address); len(faults) > 0 {
				return errors.New("printout: " + strings.TrimSpace(faults.Lines()))
			}
		}
	}
	return nil
}

// repeated reports whether a picture's sentence stands in a row of the document
// as well, so that it need not be printed a second time.
func repeated(d render.Doc, picture render.Block) bool {
	said := picture.Text.String()
	for _, b := range d.Blocks {
		for _, it := range b.Items {
			for _, l := range append([]render.Line{it.Text}, it.More...) {
				if l.Msg() == picture.Text.Msg() && l.String() == said {
					return true
				}
			}
		}
	}
	return false
}

func dot(svg *html.Node, shape string, x, y int) {
	cx, cy := strconv.Itoa(x), strconv.Itoa(y)
	switch shape {
	case "solid":
		add(svg, el("circle", "data-dot", shape, "cx", cx, "cy", cy, "r", "6.5", "fill", ink))
	case "ringed":
		add(svg, add(el("g", "data-dot", shape),
			el("circle", "cx", cx, "cy", cy, "r", "5.75", "fill", "#ffffff", "stroke", ink, "stroke-width", "1.5"),
			el("circle", "cx", cx, "cy", cy, "r", "2.25", "fill", ink)))
	default:
		add(svg, el("circle", "data-dot", shape, "cx", cx, "cy", cy, "r", "6", "fill", "#ffffff", "stroke", line, "stroke-width", "0.8"))
	}
}

// widths of the crowns by position from the midline, to look like teeth, in
// tenths of a unit of the drawing; a drawing, not a measure.
var widths = [9]int{0, 42, 34, 38, 36, 36, 50, 48, 44}

// chart draws both arches as the dentist's chart has them, the patient's right
// on the viewer's left in every language. Teeth of the block are dark with a
// light number.
func (w *writer) chart(b render.Block) *html.Node {
	words := w.doc.Words
	svg := w.arches(b, words.Right.String(), words.Left.String(), words.UpperTeeth.String(), words.LowerTeeth.String())
	return add(el("figure", "class", "chart"), svg, w.beside(el("figcaption"), b))
}

// beside writes what stands beside a chart.
func (w *writer) beside(n *html.Node, b render.Block) *html.Node {
	add(n, w.line(el("p"), b.Text))
	for _, it := range b.Items {
		add(n, about(w.line(el("p"), it.Text), it.Ref))
	}
	return n
}

func (w *writer) arches(b render.Block, right, left, upper, lower string) *html.Node {
	const (
		height = 46
		gap    = 3
		top    = 26
		middle = 26
	)
	half := 0
	for _, x := range widths {
		half += x
	}
	half += 8 * gap
	width := 2*half + 4*gap
	svg := w.picture(w.doc.Words.ChartTitle.String(), b.Text.String(), width, top+2*height+middle+24)
	marked := map[casefile.Tooth]bool{}
	for _, t := range b.Ref.Teeth {
		marked[t] = true
	}
	numbering := ""
	if w.doc.Sheet != nil {
		numbering = w.doc.Sheet.Numbering
	}
	label := func(s string, x, y int) {
		add(svg, add(el("text", "x", strconv.Itoa(x), "y", strconv.Itoa(y), "text-anchor", "middle", "font-size", "15", "fill", soft), text(s)))
	}
	label(upper, width/2, 15)
	label(right, width/6, top+height+middle/2+5)
	label(left, width-width/6, top+height+middle/2+5)
	label(lower, width/2, top+2*height+middle+18)
	for _, row := range []struct {
		quadrants [2]int
		y         int
	}{{[2]int{1, 2}, top}, {[2]int{4, 3}, top + height + middle}} {
		for side, q := range row.quadrants {
			x := half + 2*gap + gap/2 + side*gap
			for p := 1; p <= 8; p++ {
				t := casefile.Tooth(q*10 + p)
				left := x
				if side == 0 {
					left = x - widths[p]
					x = left - gap
				} else {
					x += widths[p] + gap
				}
				w.tooth(svg, t, t.Label(numbering), left, row.y, height, marked[t])
			}
		}
	}
	add(svg, el("line", "x1", strconv.Itoa(half+3*gap), "y1", strconv.Itoa(top-4), "x2", strconv.Itoa(half+3*gap),
		"y2", strconv.Itoa(top+2*height+middle+4), "stroke", line, "stroke-width", "1", "stroke-dasharray", "3 3"))
	return svg
}

func (w *writer) tooth(svg *html.Node, t casefile.Tooth, label string, x, y, height int, marked bool) {
	fill, stroke, thick, number, weight := "#ffffff", line, "1", soft, "400"
	key := ""
	if marked {
		fill, stroke, thick, number, weight, key = ink, ink, "2", "#ffffff", "700", t.String()
	}
	wide := widths[t.Position()]
	add(svg, add(el("g", "data-marked", key),
		el("rect", "x", strconv.Itoa(x), "y", strconv.Itoa(y), "width", strconv.Itoa(wide), "height", strconv.Itoa(height),
			"rx", "9", "fill", fill, "stroke", stroke, "stroke-width", thick),
		add(el("text", "x", strconv.Itoa(x+wide/2), "y", strconv.Itoa(y+height/2+6), "text-anchor", "middle",
			"font-size", "17", "font-weight", weight, "fill", number, "direction", "ltr"), text(label))))
}

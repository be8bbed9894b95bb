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
	ink   = "#1f2a26"
	soft  = "#4d5a54"
	line3 = "#aab3ae"
)

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

// chart draws the arches that have marked teeth, as the dentist sees the patient: the
// patient's right on the viewer's left in every language.
func (p *page) chart(b render.Block, of func(int) render.Block) *html.Node {
	figure := add(el("figure", "class", "chart"), p.arches(b))
	if b.Style == sheet.Again {
		class(figure, "again")
	}
	if len(b.Items) > 0 {
		caption := el("figcaption")
		for j, it := range b.Items {
			add(caption, about(p.say(el("p"), func(d int) render.Line { return of(d).Items[j].Text }), it.Ref))
		}
		add(figure, caption)
	}
	return figure
}

// told writes the words beside a code.
func told(b render.Block) *html.Node {
	n := add(el("div"), line(el("p"), b.Text))
	for _, it := range b.Items {
		add(n, about(line(el("p"), it.Text), it.Ref))
	}
	return n
}

// crown is the drawing of a tooth by its position from the midline: how far its middle is
// from the midline, and its outline around that. A drawing, not a measure.
var crowns = [9]struct {
	middle int // hundredths of a unit
	path   string
}{
	1: {438, "M-2.77 1.94C-3.70 4.79-4.12 7.64-3.95 11.06Q-3.78 12.20-2.52 12.20L2.52 12.20Q3.78 12.20 3.95 11.06C4.12 7.64 3.70 4.79 2.77 1.94Q0 .12-2.77 1.94Z"},
	2: {1223, "M-2.18 3.02C-2.90 5.57-3.23 8.12-3.10 11.18Q-2.97 12.20-1.98 12.20L1.98 12.20Q2.97 12.20 3.10 11.18C3.23 8.12 2.90 5.57 2.18 3.02Q0 1.39-2.18 3.02Z"},
	3: {1958, "M-2.44 2.12C-3.26 4.92-3.63 7.72-3.40 9.06Q-1.48 11.42 0 12.20Q1.48 11.42 3.40 9.06C3.63 7.72 3.26 4.92 2.44 2.12Q0 .33-2.44 2.12Z"},
	4: {2708, "M-2.28 3.56C-3.04 5.96-3.38 8.36-3.24 10.28Q-1.38 12.39 0 12.20Q1.38 12.39 3.24 10.28C3.38 8.36 3.04 5.96 2.28 3.56Q0 2.02-2.28 3.56Z"},
	5: {3423, "M-2.21 3.92C-2.95 6.22-3.28 8.52-3.15 10.36Q-1.34 12.38 0 12.20Q1.34 12.38 3.15 10.36C3.28 8.52 2.95 6.22 2.21 3.92Q0 2.45-2.21 3.92Z"},
	6: {4273, "M-3.17 4.46C-4.22 6.61-4.70 8.76-4.51 10.65Q-3.84 12.20-2.21 12.20Q0 11 2.21 12.20Q3.84 12.20 4.51 10.65C4.70 8.76 4.22 6.61 3.17 4.46Q0 3.08-3.17 4.46Z"},
	7: {5238, "M-2.97 4.82C-3.96 6.87-4.41 8.92-4.23 10.72Q-3.60 12.20-2.07 12.20Q0 11.05 2.07 12.20Q3.60 12.20 4.23 10.72C4.41 8.92 3.96 6.87 2.97 4.82Q0 3.51-2.97 4.82Z"},
	8: {6150, "M-2.97 4.82C-3.96 6.87-4.41 8.92-4.23 10.72Q-3.60 12.20-2.07 12.20Q0 11.05 2.07 12.20Q3.60 12.20 4.23 10.72C4.41 8.92 3.96 6.87 2.97 4.82Q0 3.51-2.97 4.82Z"},
}

// arches draws each arch with a marked tooth; marked teeth are dark, with their number.
func (p *page) arches(b render.Block) *html.Node {
	marked, last, far := map[casefile.Tooth]bool{}, 7, 0
	rows := [2]bool{}
	for _, t := range b.Ref.Teeth {
		marked[t], last = true, max(last, t.Position())
		rows[lower(t)] = true
		far = max(far, t.Position())
	}
	// The words for right and left are beside the numbers where there is room, else under them.
	high, words := 1840, "16.9"
	if len(p.docs) > 1 || far > 5 {
		high, words = 2200, "20.5"
	}
	count := 1
	if rows[0] && rows[1] {
		count = 2
	}
	half := crowns[last].middle + 480
	svg := el("svg", "role", "img", "viewBox", "0 -0.6 "+units(2*half)+" "+units(high*count), "focusable", "false", "direction", "ltr")
	svg.Namespace = "svg"
	title := p.id()
	svg.Attr = append(svg.Attr, html.Attribute{Key: "aria-labelledby", Val: title})
	add(svg, add(el("title", "id", title), text(b.Text.String())))
	at := 0
	for row, quadrants := range [2][2]int{{1, 2}, {4, 3}} {
		if !rows[row] && (count == 2 || rows[1-row] || row == 1) {
			continue
		}
		arch := el("g", "transform", "translate("+units(half)+" "+units(at*high)+")")
		for side, q := range quadrants {
			for pos := last; pos >= 1; pos-- {
				p.tooth(arch, casefile.Tooth(q*10+pos), pos, []int{-1, 1}[side], row == 1, marked)
			}
		}
		label := func(word func(render.Words) render.Line, anchor string, x int) {
			add(arch, p.both(el("text", "x", units(x), "y", words, "font-size", "3.3", "text-anchor", anchor, "fill", ink), word))
		}
		label(func(w render.Words) render.Line { return w.Right }, "start", -half)
		label(func(w render.Words) render.Line { return w.Left }, "end", half)
		add(svg, arch)
		at++
	}
	return svg
}

func lower(t casefile.Tooth) int {
	if q := int(t) / 10; q > 2 {
		return 1
	}
	return 0
}

// tooth draws one crown at its place, the lower ones upside down.
func (p *page) tooth(arch *html.Node, t casefile.Tooth, pos, side int, down bool, marked map[casefile.Tooth]bool) {
	x, y, turned := units(side*crowns[pos].middle), "0", ""
	if down {
		y, turned = "12.6", " scale(1 -1)"
	}
	fill, stroke, key := "#ffffff", line3, ""
	if marked[t] {
		fill, stroke, key = ink, ink, t.String()
	}
	g := add(el("g", "data-marked", key, "data-place", t.String(), "transform", "translate("+x+" 0)"),
		el("path", "d", crowns[pos].path, "fill", fill, "stroke", stroke, "stroke-width", "0.5", "transform", "translate(0 "+y+")"+turned))
	if marked[t] {
		numbering := ""
		if s := p.docs[0].Sheet; s != nil {
			numbering = s.Numbering
		}
		add(g, add(el("text", "y", "16.9", "font-size", "3.7", "font-weight", "700", "text-anchor", "middle", "fill", ink, "direction", "ltr"), text(t.Label(numbering))))
	}
	add(arch, g)
}

// units writes hundredths of a unit of a drawing.
func units(n int) string {
	sign := ""
	if n < 0 {
		sign, n = "-", -n
	}
	s := strconv.Itoa(n/100) + "." + strconv.Itoa(n/10%10) + strconv.Itoa(n%10)
	return sign + strings.TrimSuffix(strings.TrimRight(s, "0"), ".")
}

// Outlines of a front tooth from the side, and what is taken from it or laid on it.
const (
	sideTooth = "M20 15C12 30 12 48 18.5 65Q20.5 70 24.3 70Q27.6 70 28 65.5C29 54 34 48 42 37.5C48 29 47.5 21 44 15Q32 8.5 20 15Z"
	sideRoot  = "M20 15C21.5 10.5 22.6 5 23 0M44 15C42.4 10.5 41.4 5 41 0"
	sideGum   = "M3 19.5Q12 13.5 20 15M44 15Q52 13.5 61 19.5"
	shell     = "M17.6 17.5C9.6 31 9.8 49.5 16.2 66Q18.6 72.6 24 72.8"
	longShell = "M17.6 17.5C9.6 31 9.8 49.5 16.2 66Q18.6 72.8 24.4 73Q30 72.6 30.6 65"
	filling   = "M19.4 16.2C6.5 26 4 50 13.5 69Q16 75.5 23 76Q28.2 75.6 28 65.5Q27.6 70 24.3 70Q20.5 70 18.5 65C12 48 12 30 19.4 16.2Z"
	allRound  = "M19 13C8 31 9 50 16 67Q19 73 24.5 73Q31 73 31.5 66C32 56 37 50 45 39.5C51.5 30 51 21 46.5 13"
	rays      = "M9 24L2 20M8 37L0 37M9 50L2 54"
)

// Hatching of what is taken away for good: lines within the tooth, by how deep it goes.
var hatched = map[string]string{
	"minimal-prep":      "M18 19L21.5 15.5M15.8 26L21 20.8M14.6 32L19.6 27M14 38L18.9 33.1M14 43.5L18.9 38.6M14.5 48.5L19.2 43.8M15.4 53L19.9 48.5M16.6 57.4L20.9 53.1M18 61.6L22 57.6M19.4 65.6L23 62M21.4 69L24 66.4",
	"conventional-prep": "M18 19L24.6 13M15.8 26L24 18M14.6 32L22.9 23.7M14 38L22.3 29.7M14 43.5L22.4 35.1M14.5 48.5L22.8 40.2M15.4 53L23.6 44.8M16.6 57.4L24.8 49.2M18 61.6L26 53.6M19.4 65.6L27 58M21.4 69L28 62M25 69.6L28 66.4",
	"crown":             "M18 19L24.6 13M15.8 26L24 18M14.6 32L22.9 23.7M14 38L22.3 29.7M14 43.5L22.4 35.1M14.5 48.5L22.8 40.2M15.4 53L23.6 44.8M16.6 57.4L24.8 49.2M18 61.6L26 53.6M19.4 65.6L27 58M21.4 69L28 62M25 69.6L28 66.4M36 17L41 13M37 23L45.4 15.2M37 29L46.4 19.6M34 38L46 26M31 47L43 35M29 55L37 46",
}

// drawing shows what an option does to a tooth: hatched is taken away for good, dark is
// added. The words beside it say the same.
func drawing(key string) *html.Node {
	svg := el("svg", "viewBox", "0 0 64 77", "aria-hidden", "true", "focusable", "false")
	svg.Namespace = "svg"
	stroke := func(d, width string, kv ...string) *html.Node {
		return el("path", append([]string{"d", d, "fill", "none", "stroke", ink, "stroke-width", width, "stroke-linecap", "round"}, kv...)...)
	}
	if key == "composite" {
		add(svg, el("path", "d", filling, "fill", soft))
	}
	if d := hatched[key]; d != "" {
		add(svg, stroke(d, "1.3"))
	}
	switch key {
	case "whitening":
		add(svg, stroke(rays, "1.8"))
	case "no-prep", "minimal-prep":
		add(svg, stroke(shell, "3.8"))
	case "conventional-prep":
		add(svg, stroke(longShell, "3.8"))
	case "crown":
		add(svg, stroke(allRound, "3.8"))
	}
	return add(svg, stroke(sideTooth, "1.5"), stroke(sideRoot, "1.3", "stroke-dasharray", "2.4 2"), stroke(sideGum, "1.5"))
}

// pictured are the warning signs with a drawing of what to do; the words beside it say
// the same.
var pictured = map[string]func() *html.Node{"knocked-tooth": heldTooth}

// heldTooth is a tooth between two fingers, which touch its white end and not its root.
func heldTooth() *html.Node {
	svg := el("svg", "class", "todo", "viewBox", "0 0 97 52", "aria-hidden", "true", "focusable", "false")
	svg.Namespace = "svg"
	shape := func(fill, width, d string) {
		add(svg, el("path", "d", d, "fill", fill, "fill-opacity", "0.5", "stroke", ink, "stroke-width", width, "stroke-linecap", "round", "stroke-linejoin", "round"))
	}
	shape(soft, "1.6", "M46 16C60 17 76 20.5 90 24.2Q94 26 90 27.8C76 31.5 60 35 46 36Q50 26 46 16")
	shape("none", "1.8", "M46 16C38 14.5 27 15.5 24.5 19Q23 26 24.5 33C27 36.5 38 37.5 46 36Q50 26 46 16")
	shape("none", "2", "M1 2L24 1.5C33 2 39.5 5.5 40 10C40 14.5 34 16.8 27 16.6C18 16.5 8 17.5 1 21")
	shape("none", "1.3", "M30 4.5Q38 6.5 38.6 11.5")
	shape("none", "2", "M1 50L24 50.5C33 50 39.5 46.5 40 42C40 37.5 34 35.2 27 35.4C18 35.5 8 34.5 1 31")
	shape("none", "1.3", "M25 39.5Q35 38.5 36.5 42.5Q34.5 47.5 25 46.5Q22.5 43 25 39.5")
	return svg
}

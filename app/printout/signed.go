package printout

import (
	"fmt"
	"strconv"
	"strings"

	"golang.org/x/net/html"

	"plainleaf/app/render"
	"plainleaf/app/safetext"
	"plainleaf/app/sheet"
)

// Signed is a signature, or what else was filled in, on a line of a sheet.
type Signed struct {
	Line  string // id of the label of its line, such as sheet.sign.patient
	Label string // the label of a line of its own, where the sheet has no such line
	Text  string // who signed, how and when
	// Width and Height are the field drawn in, Strokes the lines in it as x, y, x, y ....
	Width, Height int
	Strokes       [][]int
}

// lines whose label closes the block that signatures are added to.
const mainLine = "sheet.sign.dentist"

// on gives what is on the line of a block with this label, nil for nothing.
func on(signed []Signed, b render.Block, label render.Line) *Signed {
	for i := range signed {
		if b.Style == sheet.OtherDay {
			break
		}
		if signed[i].Line == label.Msg() && signed[i].Line != "" {
			return &signed[i]
		}
	}
	return nil
}

// extra lists what has no line in a document, for the block that closes with the
// dentist's line.
func extra(signed []Signed, d render.Doc, b render.Block) []Signed {
	if b.Style == sheet.OtherDay {
		return nil
	}
	labels, main := map[string]bool{}, false
	for _, it := range b.Items {
		main = main || it.Label.Msg() == mainLine
	}
	if !main {
		return nil
	}
	for _, o := range d.Blocks {
		if o.Kind == sheet.Sign {
			for _, it := range o.Items {
				labels[it.Label.Msg()] = true
			}
		}
		if o.Kind == sheet.Tick && o.Style == sheet.Answer {
			labels[o.Text.Msg()] = true
		}
	}
	var out []Signed
	for _, s := range signed {
		if !labels[s.Line] && (s.Label != "" || !labels[mainLine] || len(b.Aside) == 0) { // a date has its place beside each line
			out = append(out, s)
		}
	}
	return out
}

// inked writes a signature on its line.
func inked(s Signed) *html.Node {
	n := el("span", "class", "write ink", "data-signed", strings.TrimPrefix(s.Line, "sheet.sign."))
	if path := strokes(s); path != "" {
		box := el("svg", "viewBox", fmt.Sprintf("0 0 %d %d", s.Width, s.Height), "width", strconv.Itoa(s.Width), "height", strconv.Itoa(s.Height),
			"aria-hidden", "true", "focusable", "false", "direction", "ltr")
		box.Namespace = "svg"
		line := el("path", "d", path, "fill", "none", "stroke", "#000000", "stroke-width", strconv.Itoa(max(1, s.Height/45)),
			"stroke-linecap", "round", "stroke-linejoin", "round")
		line.Namespace = "svg"
		add(n, add(box, line))
	}
	return add(n, add(el("bdi", "class", "said"), text(safetext.Plain.Clean(s.Text))))
}

// strokes writes the lines of a signature as an SVG path; a line of one point is
// a dot. "" for a field or points that cannot be drawn.
func strokes(s Signed) string {
	if s.Width < 1 || s.Height < 1 {
		return ""
	}
	var b strings.Builder
	for _, l := range s.Strokes {
		if len(l) < 2 {
			continue
		}
		fmt.Fprintf(&b, "M%d %d", l[0], l[1])
		if len(l) < 4 {
			fmt.Fprintf(&b, "L%d %d", l[0], l[1])
		}
		for i := 2; i+1 < len(l); i += 2 {
			fmt.Fprintf(&b, "L%d %d", l[i], l[i+1])
		}
	}
	return b.String()
}

package handover

import (
	"bytes"
	"fmt"
	"strconv"
	"strings"

	"golang.org/x/net/html"
	"golang.org/x/net/html/atom"
	"rsc.io/qr/coding"

	"plainleaf/app/fault"
)

// The size on paper. A module is 6 dots of a 300 dpi printer, 0.508 mm, which
// phones held by hand read well; the quiet zone of 4 modules is that of ISO/IEC
// 18004. Above version 15 a code on a leaflet gets too fine.
const (
	Module     = 0.508 // mm
	Quiet      = 4     // modules
	MaxVersion = 15
)

// Code is a drawn QR code.
type Code struct {
	Version int // 1 to MaxVersion
	Size    int // modules on a side, the quiet zone not counted
	Mask    int
	code    *coding.Code
}

// Black reports whether a module is dark.
func (c Code) Black(x, y int) bool { return c.code.Black(x, y) }

// Side is the length of a side on paper, mm, with the quiet zone.
func (c Code) Side() float64 { return Module * float64(c.Size+2*Quiet) }

// Draw makes the smallest QR code of error correction level M (about 15 percent
// of it may be lost) that holds an address, with the mask that ISO/IEC 18004
// (section 7.8) prefers.
//
// Code: CODE-LONG the address does not fit.
func Draw(address string) (Code, fault.List) {
	var faults fault.List
	text := coding.String(address)
	for v := coding.Version(1); v <= MaxVersion; v++ {
		if text.Bits(v) > v.DataBytes(coding.M)*8 {
			continue
		}
		best, least := Code{}, -1
		for mask := coding.Mask(0); mask < 8; mask++ {
			plan, err := coding.NewPlan(v, coding.M, mask)
			if err != nil {
				faults.Add("CODE-LONG", "", "%v", err)
				return Code{}, faults
			}
			c, err := plan.Encode(text)
			if err != nil {
				faults.Add("CODE-LONG", "", "%v", err)
				return Code{}, faults
			}
			if p := penalty(c.Size, c.Black); least < 0 || p < least {
				best, least = Code{int(v), c.Size, int(mask), c}, p
			}
		}
		return best, nil
	}
	faults.Add("CODE-LONG", "", "an address of %d characters does not fit into a code for paper", len(address))
	return Code{}, faults
}

// penalty is how hard a code may be to read, by the four rules of ISO/IEC 18004,
// section 7.8.3: runs of one color, blocks of 2 by 2, the look of a finder
// pattern, and a share of dark modules far from one half.
func penalty(n int, black func(x, y int) bool) int {
	// Each module is looked at some fifty times: unpacked once, it is quick.
	modules := make([]bool, n*n)
	for i := range modules {
		modules[i] = black(i%n, i/n)
	}
	sum, dark := 0, 0
	for a := range n {
		sum += linePenalty(n, func(i int) bool { return modules[a*n+i] })
		sum += linePenalty(n, func(i int) bool { return modules[a+i*n] })
		for b := range n {
			at := a*n + b
			m := modules[at]
			if m {
				dark++
			}
			if a > 0 && b > 0 && m == modules[at-n] && m == modules[at-1] && m == modules[at-n-1] {
				sum += 3
			}
		}
	}
	off := 20*dark - 10*n*n // ten times the difference from one half, in twentieths of all
	if off < 0 {
		off = -off
	}
	return sum + 10*(off/(n*n))
}

// finders are the two looks of a finder pattern, with the light modules on one side.
var finders = [2][11]bool{
	{true, false, true, true, true, false, true, false, false, false, false},
	{false, false, false, false, true, false, true, true, true, false, true},
}

// linePenalty is what one row or column adds: runs of five modules or more of one
// color, and what looks like a finder pattern.
func linePenalty(n int, at func(i int) bool) int {
	sum, run := 0, 0
	for i := range n {
		if i > 0 && at(i) == at(i-1) {
			run++
		} else {
			run = 1
		}
		switch {
		case run == 5:
			sum += 3
		case run > 5:
			sum++
		}
		if i+11 > n {
			continue
		}
		for _, f := range finders {
			k := 0
			for k < len(f) && at(i+k) == f[k] {
				k++
			}
			if k == len(f) {
				sum += 40
			}
		}
	}
	return sum
}

// Path is the dark modules as the outline of an SVG path, in modules, with the
// quiet zone around it.
func (c Code) Path() string {
	var b strings.Builder
	for y := range c.Size {
		for x := 0; x < c.Size; x++ {
			from := x
			for x < c.Size && c.Black(x, y) {
				x++
			}
			if x > from {
				fmt.Fprintf(&b, "M%d %dh%dv1h-%dz", from+Quiet, y+Quiet, x-from, x-from)
			}
		}
	}
	return b.String()
}

// Node is the code as an SVG element with its size on paper; label says what it
// is to those who hear the page.
func (c Code) Node(label string) *html.Node {
	el := func(tag string, kv ...string) *html.Node {
		n := &html.Node{Type: html.ElementNode, Data: tag, DataAtom: atom.Lookup([]byte(tag)), Namespace: "svg"}
		for i := 0; i+1 < len(kv); i += 2 {
			n.Attr = append(n.Attr, html.Attribute{Key: kv[i], Val: kv[i+1]})
		}
		return n
	}
	side, all := fmt.Sprintf("%.3fmm", c.Side()), strconv.Itoa(c.Size+2*Quiet)
	svg := el("svg", "xmlns", "http://www.w3.org/2000/svg", "role", "img", "aria-label", label, "width", side, "height", side,
		"viewBox", "0 0 "+all+" "+all, "shape-rendering", "crispEdges")
	svg.AppendChild(el("rect", "width", all, "height", all, "fill", "#fff"))
	svg.AppendChild(el("path", "d", c.Path(), "fill", "#000"))
	return svg
}

// SVG is Node as text.
func (c Code) SVG(label string) []byte {
	var b bytes.Buffer
	html.Render(&b, c.Node(label)) // fails only where the writer does
	return b.Bytes()
}

// Package gate holds the checks a build must pass as a whole: the size of the
// browser program, that two builds give the same bytes, who imports whom, and rules
// that all Go source keeps to.
package gate

import (
	"fmt"

	"plainleaf/build/site"
)

// MaxRatio is the limit on the browser program: how many times that of an empty page
// of the same framework, built plainly, it may take on the way to a device. It is set
// on gzip -9, since not every host serves brotli.
const MaxRatio = 2.1

// Sizes are the sizes of one program in bytes.
type Sizes struct{ Raw, Gzip, Brotli int }

// Measure packs a program with gzip -9 and brotli -11.
func Measure(program []byte) (Sizes, error) {
	br, gz, err := site.Compressed(program, 11)
	return Sizes{len(program), len(gz), len(br)}, err
}

// Ratio is how many times the size of the empty page the program has, packed with
// gzip -9.
func (s Sizes) Ratio(empty Sizes) float64 { return float64(s.Gzip) / float64(empty.Gzip) }

// Over says how the program breaks the limit, "" where it does not.
func (s Sizes) Over(empty Sizes) string {
	if r := s.Ratio(empty); !(r <= MaxRatio) {
		return fmt.Sprintf("gzip -9: %d bytes, %.3f times the empty page's %d, limit %.1f times", s.Gzip, r, empty.Gzip, MaxRatio)
	}
	return ""
}

// Table sets two programs beside each other.
func Table(app, empty Sizes) string {
	row := func(name string, a, e int, limit string) string {
		return fmt.Sprintf("%-12s %12d %12d %8.3f %8s\n", name, a, e, float64(a)/float64(e), limit)
	}
	return fmt.Sprintf("%-12s %12s %12s %8s %8s\n", "bytes", "app", "empty page", "ratio", "limit") +
		row("raw", app.Raw, empty.Raw, "-") +
		row("gzip -9", app.Gzip, empty.Gzip, fmt.Sprint(MaxRatio)) +
		row("brotli -11", app.Brotli, empty.Brotli, "-")
}

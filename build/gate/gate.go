// Package gate holds the checks a build must pass as a whole: the size of the
// browser program, that two builds give the same bytes, and who imports whom.
package gate

import (
	"fmt"

	"plainleaf/build/site"
)

// Limits on the browser program, in bytes. Not every host serves brotli, so
// the one on transfer is set on gzip -9.
const (
	MaxRaw  = 14_000_000
	MaxGzip = 3_400_000
)

// Sizes are the sizes of one program in bytes.
type Sizes struct{ Raw, Gzip, Brotli int }

// Measure packs a program with gzip -9 and brotli -11.
func Measure(program []byte) (Sizes, error) {
	br, gz, err := site.Compressed(program, 11)
	return Sizes{len(program), len(gz), len(br)}, err
}

// Over lists the limits that the sizes break.
func (s Sizes) Over() []string {
	var over []string
	if s.Raw > MaxRaw {
		over = append(over, fmt.Sprintf("raw: %d bytes, limit %d", s.Raw, MaxRaw))
	}
	if s.Gzip > MaxGzip {
		over = append(over, fmt.Sprintf("gzip -9: %d bytes, limit %d", s.Gzip, MaxGzip))
	}
	return over
}

// Table sets two programs beside each other.
func Table(app, empty Sizes) string {
	row := func(name string, a, e, limit int) string {
		l := "-"
		if limit > 0 {
			l = fmt.Sprint(limit)
		}
		return fmt.Sprintf("%-12s %12d %12d %12d %12s\n", name, a, e, a-e, l)
	}
	return fmt.Sprintf("%-12s %12s %12s %12s %12s\n", "bytes", "app", "empty page", "difference", "limit") +
		row("raw", app.Raw, empty.Raw, MaxRaw) +
		row("gzip -9", app.Gzip, empty.Gzip, MaxGzip) +
		row("brotli -11", app.Brotli, empty.Brotli, 0)
}

package state

import (
	"maps"
	"math"
	"strconv"
	"strings"

	"plainleaf/app/casefile"
)

// Fees is the prices as they are typed.
type Fees struct{ p *Practice }

// Text is one part, per_tooth or flat, of a fee, as typed or as a decimal with
// the currency's number of decimals.
func (fs Fees) Text(key, part string, decimals int) string {
	f := fs.p.file.Fees[key]
	n := f.PerTooth
	if part == "flat" {
		n = f.Flat
	}
	path := "fees." + key + "." + part
	// A sum just typed stays as it was typed: 1.2 on its way to 1.25.
	if raw, ok := fs.p.sums[path]; ok {
		if same, ok := ParseSum(raw, decimals); ok && same == n {
			return fs.p.Written(path, raw)
		}
	}
	text := ""
	if n != 0 || f == (casefile.Fee{}) && part == "flat" {
		text = Sum(n, decimals)
	}
	return fs.p.Written(path, text)
}

// Set sets one part, per_tooth or flat, of a fee. Text that is not a sum stays
// in the field; a blank is nothing for this part.
func (fs Fees) Set(key, part, text string, decimals int) {
	fees := maps.Clone(fs.p.file.Fees)
	if fees == nil {
		fees = map[string]casefile.Fee{}
	}
	path := "fees." + key + "." + part
	delete(fs.p.own.Typed, path)
	f := fees[key]
	n, ok := ParseSum(text, decimals)
	if !ok {
		fs.p.own.Typed[path] = text
	}
	if fs.p.sums == nil {
		fs.p.sums = map[string]string{}
	}
	fs.p.sums[path] = text
	if part == "flat" {
		f.Flat = n
	} else {
		f.PerTooth = n
	}
	if f == (casefile.Fee{}) && ok && strings.TrimSpace(text) == "" {
		fs.p.own.Typed[path] = "" // no price at all is not a price of nothing
	}
	for _, other := range []string{"fees." + key + ".per_tooth", "fees." + key + ".flat"} {
		if fs.p.own.Typed[other] == "" && (f != casefile.Fee{}) {
			delete(fs.p.own.Typed, other)
		}
	}
	fees[key] = f
	fs.p.file.Fees = fees
	fs.p.changed()
}

// Add adds a line for a price that is still blank.
func (fs Fees) Add(key string) {
	if _, ok := fs.p.file.Fees[key]; ok || key == "" {
		return
	}
	fs.Set(key, "flat", "", 0)
}

// Drop takes a price out.
func (fs Fees) Drop(key string) {
	fs.p.file.Fees = maps.Clone(fs.p.file.Fees)
	delete(fs.p.file.Fees, key)
	delete(fs.p.own.Typed, "fees."+key+".per_tooth")
	delete(fs.p.own.Typed, "fees."+key+".flat")
	fs.p.changed()
}

// SetCurrency changes the currency; sums keep their figures. before and after
// are the decimals of the two. A sum with more decimals than the new currency
// has stays in its field as text, to be mended.
func (fs Fees) SetCurrency(code string, before, after int) {
	fees := map[string]casefile.Fee{}
	for key, f := range fs.p.file.Fees {
		move := func(part string, n int64) int64 {
			if n == 0 {
				return 0
			}
			text := Sum(n, before)
			out, ok := ParseSum(text, after)
			if !ok {
				fs.p.own.Typed["fees."+key+"."+part] = text
			}
			return out
		}
		fees[key] = casefile.Fee{PerTooth: move("per_tooth", f.PerTooth), Flat: move("flat", f.Flat)}
	}
	if fs.p.file.Fees != nil {
		fs.p.file.Fees = fees
	}
	fs.p.file.Currency = code
	fs.p.changed()
}

// Sum writes minor units with their decimals, those of a round sum left out.
func Sum(minor int64, decimals int) string {
	s := strconv.FormatInt(minor, 10)
	for len(s) <= decimals {
		s = "0" + s
	}
	whole, rest := s[:len(s)-decimals], s[len(s)-decimals:]
	if strings.Trim(rest, "0") == "" {
		return whole
	}
	return whole + "." + rest
}

// ParseSum reads a sum of money in minor units. It takes digits of any script
// that decimal numbers here are written in, and one point or comma before at most
// as many decimals as the currency has; nothing between thousands, since a comma
// there means something else elsewhere. A blank is 0.
func ParseSum(text string, decimals int) (int64, bool) {
	s, point, ok := sumDigits(strings.TrimSpace(text), decimals)
	if !ok {
		return 0, false
	}
	if s == "" {
		return 0, true
	}
	places := 0
	if point >= 0 {
		places = len(s) - point
		if places == 0 || places > decimals {
			return 0, false
		}
	}
	if len(s)+decimals-places > 15 {
		return 0, false
	}
	n, err := strconv.ParseInt(s+strings.Repeat("0", decimals-places), 10, 64)
	return n, err == nil && n < math.MaxInt64
}

// sumDigits gives the digits of a sum in ASCII and how many of them come before the
// point, -1 without a point. It reports whether text has nothing else.
func sumDigits(text string, decimals int) (digits string, point int, ok bool) {
	var b strings.Builder
	point = -1
	for _, c := range text {
		switch {
		case c >= '0' && c <= '9':
			b.WriteRune(c)
		case c >= '٠' && c <= '٩':
			b.WriteRune('0' + c - '٠')
		case c >= '۰' && c <= '۹':
			b.WriteRune('0' + c - '۰')
		case (c == '.' || c == '٫' || c == ',' && decimals < 3) && point < 0 && decimals > 0 && b.Len() > 0:
			point = b.Len()
		default:
			return "", -1, false
		}
	}
	return b.String(), point, true
}

// ParseMM reads a size in mm with up to two decimals, as money is read; a blank
// is 0, not said.
func ParseMM(text string) (float64, bool) {
	n, ok := ParseSum(text, 2)
	return float64(n) / 100, ok && n <= 2000
}

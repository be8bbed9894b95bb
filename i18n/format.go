package i18n

import (
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"
)

// Date gives a date of the Gregorian calendar with the month spelled out and no
// weekday: "November 25, 2026". A date that does not exist is an error.
func (l Language) Date(year, month, day int) (string, error) {
	return l.date(l.data.Date, year, month, day)
}

// DateWeekday is Date with the weekday: "Wednesday, November 25, 2026".
func (l Language) DateWeekday(year, month, day int) (string, error) {
	return l.date(l.data.DateWeekday, year, month, day)
}

// MonthYear gives "November 2026".
func (l Language) MonthYear(year, month int) (string, error) {
	return l.date(l.data.MonthYear, year, month, 1)
}

// Clock gives the time of day, hour 0 to 23: "2:30 PM". It fills a CLDR pattern:
// H or h (hour of 24 or of 12), mm, a (which half of the day), anything else as it
// stands.
func (l Language) Clock(hour, minute int) (string, error) {
	if hour < 0 || hour > 23 || minute < 0 || minute > 59 {
		return "", fmt.Errorf("i18n: there is no time %02d:%02d", hour, minute)
	}
	of12 := (hour+11)%12 + 1
	fields := strings.NewReplacer(
		"HH", l.digits(fmt.Sprintf("%02d", hour)), "H", l.digits(strconv.Itoa(hour)),
		"hh", l.digits(fmt.Sprintf("%02d", of12)), "h", l.digits(strconv.Itoa(of12)),
		"mm", l.digits(fmt.Sprintf("%02d", minute)), "a", l.data.DayHalves[hour/12])
	return fields.Replace(l.data.Time), nil
}

// Weekday gives the name of a weekday, as it stands in a date.
func (l Language) Weekday(d time.Weekday) (string, error) {
	if d < time.Sunday || d > time.Saturday {
		return "", fmt.Errorf("i18n: there is no weekday %d", int(d))
	}
	return l.data.Weekdays[d], nil
}

// Month gives the name of a month, 1 to 12, as it stands by itself.
func (l Language) Month(month int) (string, error) {
	if month < 1 || month > 12 {
		return "", fmt.Errorf("i18n: there is no month %d", month)
	}
	if l.data.MonthsAlone != nil {
		return l.data.MonthsAlone[month-1], nil
	}
	return l.data.Months[month-1], nil
}

// date fills a CLDR date pattern: y, M (a number, or four letters for a name), L
// (four, a name by itself), d, E (four, a name), text in quotes, anything else as
// it stands.
func (l Language) date(pattern string, year, month, day int) (string, error) {
	t := time.Date(year, time.Month(month), day, 0, 0, 0, 0, time.UTC)
	if year < 1 || year > 9999 || t.Year() != year || int(t.Month()) != month || t.Day() != day {
		return "", fmt.Errorf("i18n: there is no date %d-%02d-%02d", year, month, day)
	}
	var b strings.Builder
	for i := 0; i < len(pattern); {
		c := pattern[i]
		if c == '\'' {
			end := strings.IndexByte(pattern[i+1:], '\'')
			if end < 0 {
				return "", fmt.Errorf("i18n: date pattern %q", pattern)
			}
			if end == 0 {
				b.WriteByte('\'')
			}
			b.WriteString(pattern[i+1 : i+1+end])
			i += end + 2
			continue
		}
		n := 1
		for i+n < len(pattern) && pattern[i+n] == c {
			n++
		}
		if c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' {
			text, ok := l.dateField(pattern[i:i+n], t)
			if !ok {
				return "", fmt.Errorf("i18n: date pattern %q", pattern)
			}
			b.WriteString(text)
		} else {
			b.WriteString(pattern[i : i+n])
		}
		i += n
	}
	return b.String(), nil
}

// dateField writes one field of a date pattern and reports whether it is known.
func (l Language) dateField(field string, t time.Time) (string, bool) {
	switch field {
	case "y":
		return l.digits(strconv.Itoa(t.Year())), true
	case "d":
		return l.digits(strconv.Itoa(t.Day())), true
	case "dd":
		return l.digits(fmt.Sprintf("%02d", t.Day())), true
	case "M":
		return l.digits(strconv.Itoa(int(t.Month()))), true
	case "MM":
		return l.digits(fmt.Sprintf("%02d", t.Month())), true
	case "MMMM":
		return l.data.Months[t.Month()-1], true
	case "LLLL":
		if l.data.MonthsAlone == nil {
			return l.data.Months[t.Month()-1], true
		}
		return l.data.MonthsAlone[t.Month()-1], true
	case "EEEE":
		return l.data.Weekdays[t.Weekday()], true
	}
	return "", false
}

var decimalPattern = regexp.MustCompile(`^-?[0-9]{1,19}(\.[0-9]{1,9})?$`)

// Number writes a decimal given as text ("0.3", "-1250.50") the local way, with
// exactly the decimals it has: nothing is rounded.
func (l Language) Number(decimal string) (string, error) {
	if !decimalPattern.MatchString(decimal) {
		return "", fmt.Errorf("i18n: %q is not a decimal", decimal)
	}
	magnitude, negative := strings.CutPrefix(decimal, "-")
	if strings.Trim(magnitude, "0.") == "" {
		negative = false
	}
	text := l.grouped(magnitude)
	if negative {
		text = l.data.Minus + text
	}
	return text, nil
}

// Integer writes a whole number with the local grouping: "1,250".
func (l Language) Integer(n int64) string {
	text := strconv.FormatInt(n, 10)
	if magnitude, negative := strings.CutPrefix(text, "-"); negative {
		return l.data.Minus + l.grouped(magnitude)
	}
	return l.grouped(text)
}

// grouped writes an unsigned decimal with local separators and digits. All
// patterns of the shipped languages group by thousands; the tests hold that.
func (l Language) grouped(decimal string) string {
	whole, fraction, hasFraction := strings.Cut(decimal, ".")
	whole = strings.TrimLeft(whole, "0")
	if whole == "" {
		whole = "0"
	}
	var b strings.Builder
	group := len(whole) >= 3+l.data.MinGrouping
	for i := range len(whole) {
		if group && i > 0 && (len(whole)-i)%3 == 0 {
			b.WriteString(l.data.Group)
		}
		b.WriteByte(whole[i])
	}
	text := l.digits(b.String())
	if hasFraction {
		text += l.data.Decimal + l.digits(fraction)
	}
	return text
}

// digits puts Latin digits into the language's numbering system.
func (l Language) digits(s string) string {
	if l.Digits == "latn" {
		return s
	}
	set := []rune(l.data.Digits)
	return strings.Map(func(r rune) rune {
		if r >= '0' && r <= '9' {
			return set[r-'0']
		}
		return r
	}, s)
}

// Range joins the ends of a range, already written the local way: with the local dash,
// "5–10", or in words where the language's row says so, as each language written from
// right to left does. Equal ends give one number.
func (l Language) Range(low, high string) string {
	switch {
	case low == high:
		return low
	case l.Between != "":
		return fill(l.Between, low, high)
	}
	return fill(l.data.Range, low, high)
}

// fill puts two values into a pattern of "{0}" and "{1}". The values are not
// looked into.
func fill(pattern, a, b string) string {
	return strings.NewReplacer("{0}", a, "{1}", b).Replace(pattern)
}

// MinorUnits gives the number of decimals of a currency (ISO 4217), and whether
// the currency is one a practice may price in.
func MinorUnits(currency string) (int, bool) {
	n, ok := load().minorUnits[currency]
	return n, ok
}

// Currencies lists the ISO 4217 codes a practice may price in, in order.
func Currencies() []string { return slices.Sorted(maps.Keys(load().minorUnits)) }

// Money writes an amount given in minor units (cents) the local way, with all
// decimals of the currency: "$1,250.00". An unknown currency is an error.
func (l Language) Money(minor int64, currency string) (string, error) {
	units, ok := MinorUnits(currency)
	if !ok {
		return "", fmt.Errorf("i18n: %q is not a known currency", currency)
	}
	return l.money(minor, units, currency), nil
}

// MoneyShort is Money without the fraction where that is zero: "$5", "$5.50".
func (l Language) MoneyShort(minor int64, currency string) (string, error) {
	units, ok := MinorUnits(currency)
	if !ok {
		return "", fmt.Errorf("i18n: %q is not a known currency", currency)
	}
	whole := int64(1)
	for range units {
		whole *= 10
	}
	if minor%whole == 0 {
		return l.money(minor/whole, 0, currency), nil
	}
	return l.money(minor, units, currency), nil
}

// money fills the pattern of a currency with an amount of so many decimals.
func (l Language) money(minor int64, units int, currency string) string {
	magnitude, negative := strings.CutPrefix(strconv.FormatInt(minor, 10), "-")
	if units > 0 {
		for len(magnitude) <= units {
			magnitude = "0" + magnitude
		}
		cut := len(magnitude) - units
		magnitude = magnitude[:cut] + "." + magnitude[cut:]
	}
	symbol := l.data.Symbols[currency]
	pattern := l.data.Money
	if letterNextToNumber(pattern, symbol) {
		pattern = l.data.MoneyAlpha
	}
	positive, minus, hasMinus := strings.Cut(pattern, ";")
	switch {
	case !negative:
		pattern = positive
	case hasMinus:
		pattern = strings.Replace(minus, "-", l.data.Minus, 1)
	default:
		pattern = l.data.Minus + positive
	}
	return strings.NewReplacer("#,##0.00", l.grouped(magnitude), "¤", symbol).Replace(pattern)
}

// letterNextToNumber reports whether a letter of the symbol would touch the
// number, for which CLDR has a pattern of its own ("EGP 5", but "$5").
func letterNextToNumber(pattern, symbol string) bool {
	var r rune
	if strings.HasPrefix(pattern, "¤") {
		r, _ = utf8.DecodeLastRuneInString(symbol)
	} else {
		r, _ = utf8.DecodeRuneInString(symbol)
	}
	return unicode.IsLetter(r)
}

// And joins items, already written the local way: "a, b, and c". No items give
// "", one gives itself.
func (l Language) And(items []string) string { return l.join(l.data.And, items) }

// Or joins items likewise: "a, b, or c".
func (l Language) Or(items []string) string { return l.join(l.data.Or, items) }

func (l Language) join(p list, items []string) string {
	switch n := len(items); n {
	case 0:
		return ""
	case 1:
		return items[0]
	case 2:
		return fill(l.euphony(p.Two, items[1]), items[0], items[1])
	default:
		text := fill(l.euphony(p.End, items[n-1]), items[n-2], items[n-1])
		for i := n - 3; i > 0; i-- {
			text = fill(p.Middle, items[i], text)
		}
		return fill(p.Start, items[0], text)
	}
}

// euphony changes the Spanish "y" to "e" before the sound i and "o" to "u"
// before the sound o, as CLDR's list rules for Spanish do (Unicode TR 35 part 2,
// list patterns).
func (l Language) euphony(pattern, next string) string {
	if l.Tag != "es" {
		return pattern
	}
	s := strings.ToLower(next)
	starts := func(prefixes ...string) bool {
		return slices.ContainsFunc(prefixes, func(p string) bool { return strings.HasPrefix(s, p) })
	}
	switch {
	case starts("i", "í", "hi", "hí") && !starts("hie", "hia"):
		return strings.Replace(pattern, " y {1}", " e {1}", 1)
	case starts("o", "ó", "ho", "hó", "8") || s == "11" || starts("11 "):
		return strings.Replace(pattern, " o {1}", " u {1}", 1)
	}
	return pattern
}

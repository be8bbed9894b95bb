package i18n

import (
	"strings"
	"testing"
	"time"
)

func lang(t *testing.T, tag string) Language {
	t.Helper()
	l, ok := Known(tag)
	if !ok {
		t.Fatalf("no language %s", tag)
	}
	return l
}

// Expected text: Unicode CLDR 48.2.0 patterns and names for the language, read
// in the published files; build/intl compares many more with a browser.
func TestDates(t *testing.T) {
	for _, c := range []struct{ tag, date, weekday, month string }{
		{"en", "November 25, 2026", "Wednesday, November 25, 2026", "November 2026"},
		{"es", "25 de noviembre de 2026", "miércoles, 25 de noviembre de 2026", "noviembre de 2026"},
		{"ar", "25 نوفمبر 2026", "الأربعاء، 25 نوفمبر 2026", "نوفمبر 2026"},
		{"zh-Hans", "2026年11月25日", "2026年11月25日星期三", "2026年11月"},
		{"de", "25. November 2026", "Mittwoch, 25. November 2026", "November 2026"},
	} {
		l := lang(t, c.tag)
		if got, err := l.Date(2026, 11, 25); err != nil || got != c.date {
			t.Errorf("%s: got %q, %v", c.tag, got, err)
		}
		if got, err := l.DateWeekday(2026, 11, 25); err != nil || got != c.weekday {
			t.Errorf("%s: got %q, %v", c.tag, got, err)
		}
		if got, err := l.MonthYear(2026, 11); err != nil || got != c.month {
			t.Errorf("%s: got %q, %v", c.tag, got, err)
		}
	}
}

func TestImpossibleDatesAreErrors(t *testing.T) {
	en := lang(t, "en")
	for _, d := range [][3]int{{2026, 2, 29}, {2026, 13, 1}, {2026, 0, 1}, {2026, 1, 0}, {2026, 4, 31}, {0, 1, 1}, {10000, 1, 1}, {-1, 1, 1}, {1900, 2, 29}} {
		if got, err := en.Date(d[0], d[1], d[2]); err == nil {
			t.Errorf("%v gave %q", d, got)
		}
	}
	if _, err := en.Weekday(7); err == nil {
		t.Error("weekday 7")
	}
	if _, err := en.Month(13); err == nil {
		t.Error("month 13")
	}
}

func TestNumbers(t *testing.T) {
	for _, c := range []struct{ tag, in, want string }{
		{"en", "0.3", "0.3"}, {"es", "0.3", "0,3"}, {"ar", "0.3", "0.3"},
		{"de", "0.3", "0,3"}, {"de", "1250", "1.250"},
		{"en", "0.50", "0.50"}, {"en", "007", "7"}, {"en", "-0.0", "0.0"}, {"en", "-0.5", "-0.5"},
		{"en", "1250", "1,250"}, {"es", "1250", "1250"}, {"es", "12500", "12.500"}, {"ar", "-1250", "\u200e-1,250"},
		{"zh-Hans", "12500.5", "12,500.5"},
	} {
		if got, err := lang(t, c.tag).Number(c.in); err != nil || got != c.want {
			t.Errorf("%s %s: got %q, %v; want %q", c.tag, c.in, got, err, c.want)
		}
	}
	for _, in := range []string{"", "-", ".5", "5.", "1,5", "1e3", "NaN", "+1", " 1", "1 ", "--1", "1.2.3", "٣", "0x1", strings.Repeat("9", 20)} {
		if got, err := lang(t, "en").Number(in); err == nil {
			t.Errorf("%q gave %q", in, got)
		}
	}
	if got := lang(t, "en").Integer(-9223372036854775808); got != "-9,223,372,036,854,775,808" {
		t.Errorf("got %q", got)
	}
}

func TestRange(t *testing.T) {
	for tag, want := range map[string]string{"en": "5–10", "es": "5-10", "ar": "5 إلى 10", "zh-Hans": "5-10", "de": "5–10"} {
		if got := lang(t, tag).Range("5", "10"); got != want {
			t.Errorf("%s: got %q", tag, got)
		}
	}
	for _, l := range All() {
		if got := l.Range("5", "5"); got != "5" {
			t.Errorf("%s: got %q", l.Tag, got)
		}
		if l.RTL() && l.Between == "" {
			t.Errorf("%s is written from right to left and has no words for a range", l.Tag)
		}
		if b := l.Between; b != "" && (strings.Count(b, "{0}") != 1 || strings.Count(b, "{1}") != 1) {
			t.Errorf("%s: the range %q", l.Tag, b)
		}
	}
}

// Minor units: ISO 4217 table A.1, from memory.
func TestMoney(t *testing.T) {
	for c, want := range map[string]int{"USD": 2, "EUR": 2, "JPY": 0, "KWD": 3, "TND": 3, "CLP": 0, "COP": 2, "HUF": 2} {
		if got, ok := MinorUnits(c); !ok || got != want {
			t.Errorf("%s: %d, %v", c, got, ok)
		}
	}
	for _, c := range []struct {
		tag, currency string
		minor         int64
		want          string
	}{
		{"en", "USD", 125000, "$1,250.00"},
		{"en", "USD", 5, "$0.05"},
		{"en", "USD", -125000, "-$1,250.00"},
		{"en", "JPY", 125000, "¥125,000"},
		{"en", "KWD", 1, "KWD\u00a00.001"},
		{"es", "EUR", 125000, "1250,00\u00a0€"},
		{"de", "EUR", 125000, "1.250,00\u00a0€"},
		{"ar", "EGP", 125000, "\u200f1,250.00\u00a0ج.م.\u200f"},
		{"ar", "USD", -5, "\u200f\u200e-0.05\u00a0US$"},
		{"zh-Hans", "CNY", 125000, "¥1,250.00"},
		{"zh-Hans", "USD", -5, "-US$0.05"},
		{"en", "USD", -9223372036854775808, "-$92,233,720,368,547,758.08"},
	} {
		if got, err := lang(t, c.tag).Money(c.minor, c.currency); err != nil || got != c.want {
			t.Errorf("%s %s: got %+q, %v; want %+q", c.tag, c.currency, got, err, c.want)
		}
	}
	for _, c := range []string{"", "usd", "XXX", "US", "$"} {
		if got, err := lang(t, "en").Money(1, c); err == nil {
			t.Errorf("%q gave %q", c, got)
		}
	}
}

func TestLists(t *testing.T) {
	en, es, ar, zh, de := lang(t, "en"), lang(t, "es"), lang(t, "ar"), lang(t, "zh-Hans"), lang(t, "de")
	for _, c := range []struct{ got, want string }{
		{en.And(nil), ""}, {en.And([]string{"a"}), "a"}, {en.And([]string{"a", "b"}), "a and b"},
		{en.And([]string{"a", "b", "c", "d"}), "a, b, c, and d"}, {en.Or([]string{"a", "b", "c"}), "a, b, or c"},
		{es.And([]string{"a", "b", "c"}), "a, b y c"}, {es.And([]string{"a", "higiene"}), "a e higiene"},
		{es.And([]string{"a", "hielo"}), "a y hielo"}, {es.Or([]string{"a", "b", "otro"}), "a, b u otro"},
		{es.Or([]string{"21", "11"}), "21 u 11"}, {es.And([]string{"y", "a"}), "y y a"},
		{ar.And([]string{"أ", "ب", "ج"}), "أ وب وج"}, {ar.Or([]string{"أ", "ب"}), "أ أو ب"},
		{zh.And([]string{"11", "12", "21"}), "11、12和21"}, {zh.Or([]string{"甲", "乙"}), "甲或乙"},
		{de.And([]string{"a", "b", "c"}), "a, b und c"}, {de.Or([]string{"a", "b"}), "a oder b"},
		{en.And([]string{"{1}", "{0}", "{1}"}), "{1}, {0}, and {1}"},
	} {
		if c.got != c.want {
			t.Errorf("got %q, want %q", c.got, c.want)
		}
	}
}

// What the formatters take for granted about the CLDR tables.
// Expected text: the short time patterns and half-day names of CLDR 48.2.0.
func TestClock(t *testing.T) {
	for tag, want := range map[string][4]string{
		"en":      {"12:00\u00a0AM", "9:05\u00a0AM", "12:30\u00a0PM", "11:59\u00a0PM"},
		"es":      {"0:00", "9:05", "12:30", "23:59"},
		"ar":      {"12:00\u00a0ص", "9:05\u00a0ص", "12:30\u00a0م", "11:59\u00a0م"},
		"zh-Hans": {"00:00", "09:05", "12:30", "23:59"},
		"de":      {"00:00", "09:05", "12:30", "23:59"},
	} {
		l := lang(t, tag)
		for i, at := range [4][2]int{{0, 0}, {9, 5}, {12, 30}, {23, 59}} {
			if got, err := l.Clock(at[0], at[1]); err != nil || got != want[i] {
				t.Errorf("%s: got %q, %v, want %q", tag, got, err, want[i])
			}
		}
		for _, bad := range [][2]int{{24, 0}, {-1, 0}, {9, 60}, {9, -1}} {
			if got, err := l.Clock(bad[0], bad[1]); err == nil {
				t.Errorf("%s: %v is %q", tag, bad, got)
			}
		}
	}
}

func TestTablesAreComplete(t *testing.T) {
	seen := map[string]bool{}
	for _, l := range All() {
		d := l.data
		if seen[l.Tag] || l.Name == "" || l.Dir != "ltr" && l.Dir != "rtl" {
			t.Errorf("%s: table row %+v", l.Tag, l)
		}
		seen[l.Tag] = true
		if len(d.Months) != 12 || len(d.Weekdays) != 7 || len([]rune(d.Digits)) != 10 || d.Decimal == "" || d.MinGrouping < 1 {
			t.Errorf("%s: table %+v", l.Tag, d)
		}
		if d.Number != "#,##0.###" || !strings.Contains(d.Money, "#,##0.00") || !strings.Contains(d.MoneyAlpha, "#,##0.00") || strings.Count(d.Money, "¤") < 1 {
			t.Errorf("%s groups otherwise than by thousands: %q %q", l.Tag, d.Number, d.Money)
		}
		for _, p := range []string{d.Range, d.And.Two, d.And.Start, d.And.Middle, d.And.End, d.Or.Two, d.Or.Start, d.Or.Middle, d.Or.End} {
			if strings.Count(p, "{0}") != 1 || strings.Count(p, "{1}") != 1 {
				t.Errorf("%s: pattern %q", l.Tag, p)
			}
		}
		for m := range 12 {
			for _, f := range []func(int, int, int) (string, error){l.Date, l.DateWeekday} {
				if _, err := f(2026, m+1, 28); err != nil {
					t.Errorf("%s: %v", l.Tag, err)
				}
			}
		}
		for _, c := range Currencies() {
			if s, err := l.Money(1, c); err != nil || strings.ContainsAny(s, "#¤;") {
				t.Errorf("%s %s: %q, %v", l.Tag, c, s, err)
			}
		}
		if last := d.Plurals[len(d.Plurals)-1]; last != "other" {
			t.Errorf("%s: plurals %v", l.Tag, d.Plurals)
		}
	}
}

// A numbering system other than latn, chosen in the language table, reaches every
// digit; none of the shipped languages uses one.
func TestOtherDigits(t *testing.T) {
	l := lang(t, "en")
	data := *l.data
	data.Digits = "০১২৩৪৫৬৭৮৯" // beng
	l.Digits, l.data = "beng", &data
	if got, _ := l.Number("1250.75"); got != "১,২৫০.৭৫" {
		t.Errorf("got %q", got)
	}
	if got, _ := l.Date(2026, 11, 25); got != "November ২৫, ২০২৬" {
		t.Errorf("got %q", got)
	}
	if _, err := l.Weekday(time.Monday); err != nil {
		t.Error(err)
	}
}

package intl

import (
	"context"
	"encoding/json"
	"fmt"
	"io/fs"
	"os/exec"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"plainleaf/i18n"
)

// question is one call made both ways.
type question struct {
	Tag   string   `json:"tag"`
	Kind  string   `json:"kind"`
	Args  []string `json:"args"`
	ours  string
	input string
}

// oracle answers every case with Intl. Calendar and digits are named, as ours are.
const oracle = `
(cases) => {
  const cache = new Map();
  const get = (make, tag, options) => {
    const key = make.name + tag + JSON.stringify(options);
    if (!cache.has(key)) cache.set(key, new make(tag, options));
    return cache.get(key);
  };
  const date = (tag, ymd, options) => get(Intl.DateTimeFormat, tag,
    { ...options, timeZone: 'UTC', calendar: 'gregory', numberingSystem: 'latn' }).format(new Date(ymd + 'T00:00:00Z'));
  const number = (tag, options) => get(Intl.NumberFormat, tag, { ...options, numberingSystem: 'latn' });
  const decimals = (s) => { const n = (s.split('.')[1] ?? '').length; return { minimumFractionDigits: n, maximumFractionDigits: n }; };
  const kinds = {
    'date': (tag, [d]) => date(tag, d, { dateStyle: 'long' }),
    'date-weekday': (tag, [d]) => date(tag, d, { dateStyle: 'full' }),
    'month-year': (tag, [d]) => date(tag, d, { year: 'numeric', month: 'long' }),
    'weekday': (tag, [d]) => date(tag, d, { weekday: 'long' }),
    // CLDR has a narrow no-break space here, V8 a plain one, we a common no-break one.
    'clock': (tag, [t]) => get(Intl.DateTimeFormat, tag, { timeStyle: 'short', timeZone: 'UTC', numberingSystem: 'latn' }).format(new Date('2026-11-25T' + t + ':00Z')).replace(/[\u202f ]/, '\u00a0'),
    'month': (tag, [d]) => date(tag, d, { month: 'long' }),
    'number': (tag, [s]) => number(tag, decimals(s)).format(s),
    'integer': (tag, [s]) => number(tag, {}).format(s),
    'range': (tag, [a, b]) => number(tag, decimals(a)).formatRange(a, b),
    'money': (tag, [s, currency]) => number(tag, { style: 'currency', currency }).format(s),
    'money-short': (tag, [s, currency]) => number(tag, { style: 'currency', currency, trailingZeroDisplay: 'stripIfInteger' }).format(s),
    'and': (tag, items) => get(Intl.ListFormat, tag, { type: 'conjunction', style: 'long' }).format(items),
    'or': (tag, items) => get(Intl.ListFormat, tag, { type: 'disjunction', style: 'long' }).format(items),
    'language': (tag, [of]) => get(Intl.DisplayNames, tag, { type: 'language' }).of(of),
    'plural-range': (tag, [a, b]) => get(Intl.PluralRules, tag, {}).selectRange(Number(a), Number(b)),
    'plural': (tag, [s]) => get(Intl.PluralRules, tag, decimals(s)).select(Number(s)),
  };
  return cases.map((c) => kinds[c.kind](c.tag, c.args));
}`

func cases(t *testing.T) []question {
	t.Helper()
	var all []question
	for _, l := range i18n.All() {
		add := func(kind, ours string, err error, args ...string) {
			t.Helper()
			if err != nil {
				t.Fatal(err)
			}
			all = append(all, question{Tag: l.Tag, Kind: kind, Args: args, ours: ours, input: strings.Join(args, " ")})
		}
		days := []string{"1900-01-01", "1999-12-31", "2000-02-29", "2024-02-29", "2100-02-28", "9999-12-31"}
		for d := time.Date(2025, 1, 1, 0, 0, 0, 0, time.UTC); d.Year() < 2028; d = d.AddDate(0, 0, 2) {
			days = append(days, d.Format(time.DateOnly))
		}
		for _, day := range days {
			d, err := time.Parse(time.DateOnly, day)
			if err != nil {
				t.Fatal(err)
			}
			y, m := d.Year(), int(d.Month())
			s, err := l.Date(y, m, d.Day())
			add("date", s, err, day)
			s, err = l.DateWeekday(y, m, d.Day())
			add("date-weekday", s, err, day)
			s, err = l.MonthYear(y, m)
			add("month-year", s, err, day)
			s, err = l.Weekday(d.Weekday())
			add("weekday", s, err, day)
			s, err = l.Month(m)
			add("month", s, err, day)
		}
		for m := 0; m < 24*60; m += 7 {
			s, err := l.Clock(m/60, m%60)
			add("clock", s, err, fmt.Sprintf("%02d:%02d", m/60, m%60))
		}
		for _, n := range []int64{0, 1, 9, 10, 99, 100, 999, 1000, 1001, 9999, 10000, 12345, 99999, 100000, 999999, 1000000, 1234567, 9007199254740991} {
			for _, sign := range []int64{1, -1} {
				if n == 0 && sign < 0 {
					continue // Intl writes -0 only for the number -0
				}
				add("integer", l.Integer(sign*n), nil, strconv.FormatInt(sign*n, 10))
				for _, fraction := range []string{"", ".0", ".3", ".05", ".50", ".125"} {
					in := strconv.FormatInt(sign*n, 10) + fraction
					s, err := l.Number(in)
					add("number", s, err, in)
				}
			}
		}
		for _, r := range [][2]string{{"0.3", "0.5"}, {"1", "2"}, {"5", "10"}, {"10", "100"}, {"11", "48"}, {"900", "1200"}, {"1200", "1800"}, {"12000", "18000"}, {"0.05", "1.25"}, {"99", "100"}} {
			low, err := l.Number(r[0])
			if err != nil {
				t.Fatal(err)
			}
			high, err := l.Number(r[1])
			add("range", l.Range(low, high), err, r[0], r[1])
		}
		for _, c := range i18n.Currencies() {
			units, _ := i18n.MinorUnits(c)
			for _, minor := range []int64{0, 1, 99, 100, 12345, 123456, 1234567, 123456789, -1, -123456} {
				s, err := l.Money(minor, c)
				add("money", s, err, decimal(minor, units), c)
				s, err = l.MoneyShort(minor, c)
				add("money-short", s, err, decimal(minor, units), c)
			}
		}
		for _, items := range [][]string{{"a"}, {"a", "b"}, {"a", "b", "c"}, {"a", "b", "c", "d"}, {"11", "12", "13", "21", "22", "23"},
			{"21", "11"}, {"48", "81"}, {"a", "iglesia"}, {"a", "hilo"}, {"a", "hielo"}, {"a", "hiato"}, {"a", "Inés"}, {"a", "oro"},
			{"a", "hora"}, {"a", "8"}, {"a", "b", "oro"}, {"a", "b", "isla"}, {"a", "110"}, {"a", "11 y"}, {"a", "índice"}, {"a", "óxido"}, {"أسنان", "لثة", "عظم"}, {"{0}", "{1}"}} {
			add("and", l.And(items), nil, items...)
			add("or", l.Or(items), nil, items...)
		}
		for _, of := range i18n.All() {
			add("language", l.NameOf(of.Tag), nil, of.Tag)
		}
		all = append(all, ranges(t, l)...)
		for n := range 1001 {
			s, err := l.Category(strconv.Itoa(n))
			add("plural", s, err, strconv.Itoa(n))
		}
		for _, n := range []string{"1000000", "2000000", "1500000", "0.5", "1.5", "2.5", "1.0", "1.00", "0.0", "2.0"} {
			s, err := l.Category(n)
			add("plural", s, err, n)
		}
	}
	// A language with four forms that no row of ours has.
	pl, ok := i18n.Other("pl")
	if !ok {
		t.Fatal("CLDR has no plural rules for pl")
	}
	return append(all, ranges(t, pl)...)
}

// ranges are the plural categories of ranges, of counts that take every form.
func ranges(t *testing.T, l i18n.Language) []question {
	t.Helper()
	var all []question
	counts := []string{"0", "0.5", "1", "1.5", "2", "3", "5", "10", "11", "14", "21", "22", "24", "48", "72", "99", "100", "101", "102", "103", "111", "1000000", "2000000"}
	for i, low := range counts {
		for _, high := range counts[i+1:] {
			s, err := l.RangeCategory(low, high)
			if err != nil {
				t.Fatal(err)
			}
			all = append(all, question{Tag: l.Tag, Kind: "plural-range", Args: []string{low, high}, ours: s, input: low + " " + high})
		}
	}
	return all
}

func decimal(minor int64, units int) string {
	sign := ""
	if minor < 0 {
		sign, minor = "-", -minor
	}
	s := fmt.Sprintf("%0*d", units+1, minor)
	if units == 0 {
		return sign + s
	}
	return sign + s[:len(s)-units] + "." + s[len(s)-units:]
}

// difference is one kind of case in which ours is not Intl's on purpose.
type difference struct {
	Language string `json:"language"` // a tag, or * for every language
	Kind     string `json:"kind"`
	Input    string `json:"input"` // regular expression over the arguments, joined by spaces
	Reason   string `json:"reason"`
	pattern  *regexp.Regexp
	used     map[string]int // by tag
}

func (d *difference) languages() (tags []string) {
	for _, l := range i18n.All() {
		if d.Language == "*" || d.Language == l.Tag {
			tags = append(tags, l.Tag)
		}
	}
	return tags
}

func differences(t *testing.T) []*difference {
	t.Helper()
	data, err := fs.ReadFile(i18n.Files(), "intl-differences.json")
	if err != nil {
		t.Fatal(err)
	}
	var all []*difference
	if err := json.Unmarshal(data, &all); err != nil {
		t.Fatal(err)
	}
	for _, d := range all {
		d.used = map[string]int{}
		if d.Reason == "" {
			t.Errorf("%s %s %s has no reason", d.Language, d.Kind, d.Input)
		}
		if d.pattern, err = regexp.Compile("^(?:" + d.Input + ")$"); err != nil {
			t.Fatal(err)
		}
	}
	return all
}

func TestAgainstIntl(t *testing.T) {
	browser, err := exec.LookPath("chromium")
	if err != nil {
		t.Skip("chromium is not installed")
	}
	ctx, cancel := context.WithTimeout(context.Background(), 2*time.Minute)
	defer cancel()
	ctx, cancel = chromedp.NewExecAllocator(ctx,
		chromedp.ExecPath(browser), chromedp.UserDataDir(t.TempDir()),
		chromedp.Headless, chromedp.NoSandbox, chromedp.DisableGPU, chromedp.NoFirstRun,
		chromedp.Flag("disable-quic", true), chromedp.Flag("disable-background-networking", true),
		chromedp.Flag("disable-component-update", true), chromedp.Flag("disable-sync", true),
		chromedp.Flag("disable-dev-shm-usage", true))
	defer cancel()
	ctx, cancel = chromedp.NewContext(ctx)
	defer cancel()

	all := cases(t)
	in, err := json.Marshal(all)
	if err != nil {
		t.Fatal(err)
	}
	theirs, err := chromedp.Run(ctx, chromedp.Evaluate[[]string]("("+oracle+")("+string(in)+")"))
	if err != nil {
		t.Fatal(err)
	}
	if len(theirs) != len(all) {
		t.Fatalf("%d answers to %d questions", len(theirs), len(all))
	}
	purpose := differences(t)
	counts := map[string]int{}
	for i, c := range all {
		counts[c.Kind]++
		if c.ours == theirs[i] {
			continue
		}
		meant := false
		for _, d := range purpose {
			if slices.Contains(d.languages(), c.Tag) && d.Kind == c.Kind && d.pattern.MatchString(c.input) {
				d.used[c.Tag]++
				meant = true
			}
		}
		if !meant {
			t.Errorf("%s %s %q: ours %+q, Intl %+q", c.Tag, c.Kind, c.input, c.ours, theirs[i])
		}
	}
	for _, d := range purpose {
		for _, tag := range d.languages() {
			if d.used[tag] == 0 {
				t.Errorf("%s %s %s no longer differs: take it out of intl-differences.json", tag, d.Kind, d.Input)
			}
		}
	}
	t.Logf("compared %v", counts)
}

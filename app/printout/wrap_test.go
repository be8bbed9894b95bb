package printout

import (
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"
)

// Columns as a terminal shows them: Unicode TR 11 calls the ideographs and the
// full-width marks wide, curly quotes ambiguous, which are narrow here.
func TestWidth(t *testing.T) {
	for s, want := range map[string]int{
		"": 0, "abc": 3, "贴面": 4, "约0.3毫米。": 11, "“先问我”": 8, "e\u0301": 1, fsi + "11" + pdi: 2, "a" + tie + "b": 3, "a" + hold + "b": 2,
		"قشور": 4, "قُشُور": 4, "🦷": 2, "👩🏽‍⚕️": 2, "🏳️‍🌈a": 3,
	} {
		if got := width(s); got != want {
			t.Errorf("%q: %d columns, want %d", s, got, want)
		}
	}
}

// Marks that must not start a line, and those that must not end one: GB/T
// 15834-2011, section 5, from memory; the same are closing and opening in UAX 14.
const (
	notFirst = "。，、；：？！”’）》」』】…%"
	notLast  = "“‘（《「『【"
)

func TestWrapBreaksWideTextWhereItMay(t *testing.T) {
	parts := []string{"贴面可能崩口或脱落", "，", "。", "（复合树脂）", "“先问我”", "、", "：", "约0.1-0.3毫米", "请打" + fsi + "+1" + tie + "202-555-0101" + pdi,
		"US$2,300.00", " ", "veneers ", "《说明》", "20%", "……", "[1]", "？", "每100颗"}
	rng := rand.New(rand.NewPCG(7, 11))
	for n := range 400 {
		s := "牙"
		for range 5 + rng.IntN(40) {
			next := parts[rng.IntN(len(parts))]
			a, _ := utf8.DecodeLastRuneInString(s)
			b, _ := utf8.DecodeRuneInString(next)
			if a == ' ' && (b == ' ' || strings.ContainsRune(notFirst, b)) { // a typed space lets a line end
				continue
			}
			s += next
		}
		first, rest := "- ", strings.Repeat(" ", rng.IntN(5))
		p := &plain{}
		p.wrap(first, rest, s)
		lines := strings.Split(strings.TrimSuffix(p.b.String(), "\n"), "\n")
		got := ""
		for i, l := range lines {
			text := strings.TrimPrefix(l, map[bool]string{true: first, false: rest}[i == 0])
			got += text
			if w := width(l); w > columns && len(lines) > 1 && !unbreakable(text) {
				t.Errorf("%d: %d columns: %q", n, w, l)
			}
			bare := strings.Trim(text, lri+rli+fsi+pdi)
			if r, _ := utf8.DecodeRuneInString(bare); i > 0 && strings.ContainsRune(notFirst, r) {
				t.Errorf("%d: %q starts a line", n, r)
			}
			if r, _ := utf8.DecodeLastRuneInString(bare); i+1 < len(lines) && strings.ContainsRune(notLast, r) {
				t.Errorf("%d: %q ends a line", n, r)
			}
			if i+1 < len(lines) && width(l) < columns/3 {
				t.Errorf("%d: a line is left short: %q", n, l)
			}
			if strings.Count(l, fsi) != strings.Count(l, pdi) {
				t.Errorf("%d: an isolate is open at the end of %q", n, l)
			}
		}
		flat := func(s string) string {
			return strings.NewReplacer(" ", "", tie, "", fsi, "", pdi, "").Replace(s)
		}
		if flat(got) != flat(s) {
			t.Errorf("%d: %q became %q", n, s, got)
		}
	}
}

// Words are parted at spaces alone, however long, and an emoji of several characters is
// never cut.
func TestWrapCutsNoWord(t *testing.T) {
	long := "https://practice.example/" + strings.Repeat("very-long/", 12)
	arabic := strings.Repeat("سنتصل بكم على "+fsi+"+1"+tie+"202-555-0101"+pdi+" قبل الموعد. ", 6)
	for _, s := range []string{"a full-mouth plan " + long + " and more", arabic, strings.Repeat("well-known ", 20), strings.Repeat("👩🏽‍⚕️", 60)} {
		p := &plain{}
		p.wrap("", "", s)
		lines := strings.Split(strings.TrimSuffix(p.b.String(), "\n"), "\n")
		var words []string
		for i, l := range lines {
			words = append(words, strings.Fields(l)...)
			if width(l) > columns && strings.Contains(l, " ") {
				t.Errorf("%d columns: %q", width(l), l)
			}
			if i+1 < len(lines) && width(l) < columns/3 && !strings.HasPrefix(lines[i+1], long) {
				t.Errorf("a line is left short: %q", l)
			}
			if strings.Count(l, fsi) != strings.Count(l, pdi) {
				t.Errorf("an isolate is open at the end of %q", l)
			}
			if bare := strings.ReplaceAll(l, "👩🏽‍⚕️", ""); strings.HasPrefix(l, "👩") && bare != "" {
				t.Errorf("an emoji is cut: %q", l)
			}
		}
		if want := strings.Fields(strings.ReplaceAll(s, tie, " ")); !strings.HasPrefix(s, "👩") && !slices.Equal(words, want) {
			t.Errorf("got  %q\nwant %q", words, want)
		}
	}
}

// unbreakable reports whether a text has no place to break at.
func unbreakable(s string) bool { return !strings.Contains(s, " ") && len(pieces(s)) == 1 }

func TestWholeStaysOnOneLine(t *testing.T) {
	answer := box(false) + tie + whole("不同意 / No")
	for n := range columns {
		p := &plain{}
		p.wrap("", "", strings.Repeat("a", n)+" "+answer)
		if got := p.b.String(); !strings.Contains(got, "[ ] 不同意 / No\n") || strings.Contains(got, hold) {
			t.Errorf("after %d letters: %q", n, got)
		}
	}
}

func TestGapAndLabels(t *testing.T) {
	for s, want := range map[string]string{"A sentence.": " ", "一句话。": "", "一句话？": "", "贴面": " ", "（见下）": "", "": " "} {
		if got := gap(s); got != want {
			t.Errorf("after %q %q, want %q", s, got, want)
		}
	}
	for s, want := range map[string]string{"Name": "Name: ", "姓名": "姓名：", "姓名 / Name": "姓名 / Name: "} {
		if got := labeled(s); got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
}

func BenchmarkWrapWide(b *testing.B) {
	s := strings.Repeat("贴面可能崩口或脱落，没有人能说会在什么时候。", 20)
	for b.Loop() {
		p := &plain{}
		p.wrap("", "", s)
	}
}

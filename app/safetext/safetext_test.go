package safetext

import (
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"
)

// The classes of Unicode's own properties: Bidi_Control (UAX 9, section 2), general
// categories Cc, Cf, Co, Zl and Zp, noncharacters (The Unicode Standard, section 23.7).
func TestEveryUnsafeCharacterHasItsClass(t *testing.T) {
	for r, want := range map[rune]Class{
		'a': Safe, ' ': Safe, '~': Safe, 'é': Safe, '\u00A0': Safe, 'ش': Safe, '牙': Safe, '🦷': Safe, '\uFE0F': Safe,
		'\u200C': Safe, '\u200D': Safe, '\u0600': Safe, '\u06DD': Safe,
		'\n': Break, '\t': Break, '\r': Control, 0: Control, 0x1B: Control, 0x7F: Control, 0x85: Control, 0x9F: Control,
		'\u2028': Control, '\u2029': Control,
		'\u202A': Embedding, '\u202B': Embedding, '\u202C': Embedding, '\u202D': Embedding, '\u202E': Embedding,
		'\u2066': Isolate, '\u2067': Isolate, '\u2068': Isolate, '\u2069': Isolate,
		'\u200E': Mark, '\u200F': Mark, '\u061C': Mark,
		'\u00AD': Invisible, '\u200B': Invisible, '\u2060': Invisible, '\uFEFF': Invisible, '\U000E0041': Invisible, '\u180E': Invisible,
		'\uE000': Private, '\uF8FF': Private, '\U0010FFFD': Private, '\uFFFE': Private, '\uFFFF': Private, '\uFDD0': Private, '\U0001FFFE': Private,
		'\uFFFD': Broken,
	} {
		if got := Of(r); got != want {
			t.Errorf("%U: class %d, want %d", r, got, want)
		}
	}
	for r := rune(0); r <= unicode.MaxRune; r++ {
		if unicode.In(r, unicode.Cc, unicode.Bidi_Control, unicode.Zl, unicode.Zp, unicode.Co, unicode.Noncharacter_Code_Point) && Of(r) == Safe {
			t.Errorf("%U is safe", r)
		}
		if unicode.In(r, unicode.L, unicode.M, unicode.N, unicode.P, unicode.S, unicode.Zs) && r != utf8.RuneError && Of(r) != Safe {
			t.Errorf("%U is class %d", r, Of(r))
		}
	}
}

func TestPolicies(t *testing.T) {
	for _, c := range []struct {
		s                         string
		stored, name, plain, body bool // allowed
	}{
		{"Plain, with é and ن", true, true, true, true},
		{"می\u200cخواهم", true, true, true, true},
		{"two\nlines\tand", false, false, false, true},
		{"cr\r\nlf", false, false, false, false},
		{"\x1b[31m", false, false, false, false},
		{"a\u0085b", false, false, false, false},
		{"a\u2028b", false, false, false, false},
		{"\u202egnp.exe", false, false, false, false},
		{"\u2066+1\u2069", false, false, false, true},
		{"\u200f.", true, false, false, true},
		{"soft\u00adhyphen", true, true, false, true},
		{"\ue000", true, true, false, true},
		{"broken \ufffd", true, true, false, true},
		{"not UTF-8 \xff", false, false, false, false},
	} {
		for _, p := range []struct {
			name   string
			policy Policy
			want   bool
		}{{"stored", Stored, c.stored}, {"name", Name, c.name}, {"plain", Plain, c.plain}, {"body", Body, c.body}} {
			if got := p.policy.Fits(c.s); got != p.want {
				t.Errorf("%s: %q allowed: %v", p.name, c.s, got)
			}
		}
	}
}

func TestCleanAndStrip(t *testing.T) {
	const s = "a\tb\r\nc\u2028d\x00e\u202ef\u200fg\u200dh\u00adi\xffj"
	if got, want := Plain.Clean(s), "a b  c d\ufffde\ufffdf\ufffdg\u200dh\ufffdi\ufffdj"; got != want {
		t.Errorf("clean %q, want %q", got, want)
	}
	if got, want := Stored.Strip("a\tb\x00c\u202ed\u200fe"), "a bcd\u200fe"; got != want {
		t.Errorf("strip %q, want %q", got, want)
	}
	if got, want := Undirected("\u200f1,250.00\u00a0\u2066US$\u2069\u202c"), "1,250.00\u00a0US$"; got != want {
		t.Errorf("undirected %q, want %q", got, want)
	}
}

func TestCutAndQuote(t *testing.T) {
	long := strings.Repeat("é", quoted)
	if Cut(long) != long {
		t.Error("cut at its limit")
	}
	if got, want := Cut(long+"x"), long+"..."; got != want {
		t.Errorf("%q", got)
	}
	if got, want := Quote("a\n\u202e\"b"), `"a\n\u202e\"b"`; got != want {
		t.Errorf("%s, want %s", got, want)
	}
}

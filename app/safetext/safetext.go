// Package safetext says which characters are unsafe, and which of them each kind of
// text may not hold. Every reader, writer and screen goes by it.
package safetext

import (
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Class is what makes a character unsafe. Each character is in one class.
type Class int

const (
	// Safe is every other character. The joiners U+200C and U+200D are safe, since
	// Persian, Hindi and emoji are spelled with them, and so are the signs that
	// Arabic puts before a number, which Unicode counts as format characters
	// although they are seen.
	Safe Class = iota
	// Break is a line feed or a tab: harmless in a text of several lines, but it
	// ends a line, a field or a header where there must be one.
	Break
	// Control is any other control character or line separator. Terminals act on
	// some, and programs differ on which of them end a line.
	Control
	// Embedding is a direction embedding or override or what ends one. It makes a
	// text read differently from what it holds, and reorders what follows it.
	Embedding
	// Isolate opens or closes a direction isolate. The program puts them around
	// values itself; in what others wrote one that stays open swallows the rest.
	Isolate
	// Mark is a plain direction mark. Text typed in Arabic and Hebrew needs it.
	Mark
	// Invisible is any other format character, such as a zero-width space, a soft
	// hyphen or a tag: two texts with and without it look the same.
	Invisible
	// Private is a character for private use, which each font draws differently
	// and the program marks values with, or a code that is no character.
	Private
	// Broken is U+FFFD, which is what is left of text that was read wrongly.
	Broken
)

// Of is the class of a character.
func Of(r rune) Class {
	switch {
	case r >= ' ' && r <= '~': // most characters, so before the tables
		return Safe
	case r == '\n' || r == '\t':
		return Break
	case unicode.IsControl(r) || r == '\u2028' || r == '\u2029':
		return Control
	case r >= '\u202A' && r <= '\u202E':
		return Embedding
	case r >= '\u2066' && r <= '\u2069':
		return Isolate
	case unicode.Is(unicode.Bidi_Control, r):
		return Mark
	case r == '\u200C' || r == '\u200D' || unicode.Is(unicode.Prepended_Concatenation_Mark, r):
		return Safe
	case unicode.Is(unicode.Cf, r):
		return Invisible
	case unicode.Is(unicode.Co, r) || unicode.Is(unicode.Noncharacter_Code_Point, r):
		return Private
	case r == utf8.RuneError:
		return Broken
	}
	return Safe
}

// Directs reports a character that is there for the direction of the text only.
func Directs(r rune) bool { return slices.Contains([]Class{Embedding, Isolate, Mark}, Of(r)) }

// IsPrivate reports a private-use character or no character.
func IsPrivate(r rune) bool { return Of(r) == Private }

// Policy lists the classes that a kind of text may not hold.
type Policy []Class

var (
	// Stored is for what people typed, one paragraph each, in case and practice
	// files. Invisible characters come along with pasted text and are in files
	// written before, so they are kept; Plain.Clean shows them on paper.
	Stored = Policy{Break, Control, Embedding, Isolate}
	// Typed is for what is typed or pasted into a field of a screen, where nobody could
	// find an invisible character to take it out.
	Typed = Policy{Break, Control, Embedding, Isolate, Invisible, Private}
	// Name is for who somebody is, in what is signed and sealed.
	Name = Policy{Break, Control, Embedding, Isolate, Mark}
	// Plain is for wordings, headers and file names, for terminals and for paper.
	Plain = Policy{Break, Control, Embedding, Isolate, Mark, Invisible, Private, Broken}
	// Body is for several lines that the program wrote, with isolates and with the
	// marks around amounts of money in Arabic.
	Body = Policy{Control, Embedding}
)

// Refuses reports whether a text may not hold r.
func (p Policy) Refuses(r rune) bool {
	c := Of(r)
	return c != Safe && slices.Contains(p, c)
}

// Find returns the first character of s that the text may not hold. Bytes that are
// not UTF-8 are refused by every policy, as U+FFFD.
func (p Policy) Find(s string) (rune, bool) {
	for i, r := range s {
		if p.Refuses(r) {
			return r, true
		}
		if r == utf8.RuneError {
			if _, size := utf8.DecodeRuneInString(s[i:]); size == 1 {
				return r, true
			}
		}
	}
	return 0, false
}

// Fits reports whether s holds nothing that is refused.
func (p Policy) Fits(s string) bool {
	_, bad := p.Find(s)
	return !bad
}

// Clean returns s with a space for every refused character that is white space, and
// U+FFFD, which a reader sees, for any other. Bytes that are not UTF-8 become U+FFFD.
func (p Policy) Clean(s string) string { return p.replace(s, utf8.RuneError) }

// Strip does the same but leaves the others out.
func (p Policy) Strip(s string) string { return p.replace(s, -1) }

func (p Policy) replace(s string, other rune) string {
	return strings.Map(func(r rune) rune {
		switch {
		case !p.Refuses(r):
			return r
		case unicode.IsSpace(r):
			return ' '
		}
		return other
	}, s)
}

// Undirected returns s without the characters of its direction, for a value whose
// direction is set around it.
func Undirected(s string) string {
	return strings.Map(func(r rune) rune {
		if Directs(r) {
			return -1
		}
		return r
	}, s)
}

// The most characters that each kind of text may have. The schemas of the files and
// the room on a sheet go by them.
const (
	MaxStored  = 2000 // one free text in a case or practice file
	MaxName    = 200  // what is typed at the seal
	MaxWording = 1200 // one form of a message
)

// quoted is the most characters of somebody's text that a fault quotes.
const quoted = 80

// Cut shortens a text that a fault quotes.
func Cut(s string) string {
	if utf8.RuneCountInString(s) <= quoted {
		return s
	}
	return string([]rune(s)[:quoted]) + "..."
}

// Quote shortens a text and writes it between quotation marks, with escapes for what
// cannot be seen.
func Quote(s string) string { return strconv.Quote(Cut(s)) }

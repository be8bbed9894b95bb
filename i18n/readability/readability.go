//go:build !js

// Package readability scores patient texts: Flesch-Kincaid grade (and SMOG) for
// English, INFLESZ (and Fernandez Huerta) for Spanish, the first Wiener
// Sachtextformel for German. For other languages there is no score: no tested formula, and an English one borrowed would mean nothing.
// Scores of different languages do not compare.
//
// A score sees length only. It can show that a text is hard; it cannot show that
// it is understood. Native only.
//
// Counting rules, since tools differ by them more than by formulas:
//
//   - A sentence ends at . ! ? or the ellipsis (also U+061F, U+0964, U+3002,
//     U+FF01, U+FF1F) before a space or the end, and at the end of a line, since a
//     list item or heading counts as one. Decimals, initials and common
//     abbreviations end none.
//   - A word is a run of letters and digits with inner apostrophes and hyphens.
//     Web addresses and mail addresses are left out, and so is whatever has digits
//     with a slash, colon or hyphen between them (dates, times), and numbers of
//     seven digits or more (telephones), also in groups.
//   - Another number is a word of one syllable.
//   - English syllables come from a dictionary, then from spelling; Spanish and
//     German ones from spelling. Parts of a hyphenated word are counted apart and added.
package readability

import (
	"errors"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Counts is what the formulas rest on.
type Counts struct {
	Sentences    int
	Words        int
	Syllables    int
	Letters      int // letters and digits, no punctuation
	Polysyllabic int // words of three or more syllables
	Monosyllabic int // words of one
	Long         int // words of more than six letters
}

// MinWords is the length below which a score is too unsteady to judge by.
const MinWords = 100

// ErrNoFormula is for a language without a tested formula.
var ErrNoFormula = errors.New("no tested reading formula for this language")

// ErrEmpty is for a text without a word.
var ErrEmpty = errors.New("no words to score")

// Score is one text's result.
type Score struct {
	Formula string // flesch-kincaid-grade, wiener-sachtext: lower is easier; inflesz: higher is easier
	Value   float64
	Short   bool // fewer than MinWords words
	Counts
}

// Read scores a text by the formula of its language: en, es or de. Lines of the text
// are sentences of their own.
func Read(tag, text string) (Score, error) {
	c, err := Count(tag, text)
	if err != nil {
		return Score{}, err
	}
	s := Score{Counts: c, Short: c.Words < MinWords}
	switch tag {
	case "en":
		s.Formula, s.Value = "flesch-kincaid-grade", c.FleschKincaid()
	case "es":
		s.Formula, s.Value = "inflesz", c.Inflesz()
	case "de":
		s.Formula, s.Value = "wiener-sachtext", c.WienerSachtext()
	}
	return s, nil
}

// Count counts a text of a language that has a formula. A text without words is
// ErrEmpty, so that no formula ever divides by nothing.
func Count(tag, text string) (Counts, error) {
	syllables, ok := map[string]func(string) int{"en": English, "es": Spanish, "de": German}[tag]
	if !ok {
		return Counts{}, fmt.Errorf("%s: %w", tag, ErrNoFormula)
	}
	var c Counts
	for _, s := range Sentences(tag, text) {
		words := Words(s)
		if len(words) == 0 {
			continue
		}
		c.Sentences++
		for _, w := range words {
			c.Words++
			n := 0
			for part := range strings.SplitSeq(w, "-") {
				if strings.ContainsFunc(part, unicode.IsLetter) {
					n += syllables(strings.ToLower(strings.ReplaceAll(part, "’", "'")))
				} else if part != "" {
					n++
				}
			}
			letters := 0
			for _, r := range w {
				if unicode.IsLetter(r) || unicode.IsDigit(r) {
					letters++
				}
			}
			c.Syllables += n
			c.Letters += letters
			if n == 1 {
				c.Monosyllabic++
			}
			if n >= 3 {
				c.Polysyllabic++
			}
			if letters > 6 {
				c.Long++
			}
		}
	}
	if c.Words == 0 {
		return Counts{}, ErrEmpty
	}
	return c, nil
}

// asl is words per sentence, asw syllables per word.
func (c Counts) asl() float64 { return float64(c.Words) / float64(c.Sentences) }
func (c Counts) asw() float64 { return float64(c.Syllables) / float64(c.Words) }

// FleschKincaid is a US school grade: 0.39 ASL + 11.8 ASW - 15.59 (Kincaid et al.
// 1975, as widely quoted).
func (c Counts) FleschKincaid() float64 { return 0.39*c.asl() + 11.8*c.asw() - 15.59 }

// FleschEase is 206.835 - 1.015 ASL - 84.6 ASW, higher easier (Flesch, J Appl
// Psychol 1948;32:221-233).
func (c Counts) FleschEase() float64 { return 206.835 - 1.015*c.asl() - 84.6*c.asw() }

// Smog is a US school grade: 1.043 sqrt(30 P/S) + 3.1291, meant for 30 sentences
// or more (McLaughlin, J Reading 1969;12:639-646).
func (c Counts) Smog() float64 {
	return 1.043*math.Sqrt(float64(c.Polysyllabic)*30/float64(c.Sentences)) + 3.1291
}

// FernandezHuerta is 206.84 - 60 ASW - 1.02 ASL, higher easier (Fernandez Huerta,
// Consigna 1959;214:29-32, in the form corrected after Law 2011: ASL is words per
// sentence, not sentences per hundred words).
func (c Counts) FernandezHuerta() float64 { return 206.84 - 60*c.asw() - 1.02*c.asl() }

// Inflesz is the Flesch-Szigriszt value 206.835 - 62.3 ASW - ASL, higher easier
// (Szigriszt Pazos 1993; scale by Barrio-Cantalejo et al., An Sist Sanit Navar
// 2008;31:135-152).
func (c Counts) Inflesz() float64 { return 206.835 - 62.3*c.asw() - c.asl() }

// WienerSachtext is a school grade by the first Wiener Sachtextformel, meant for
// grades 4 to 15: 0.1935 MS + 0.1672 SL + 0.1297 IW - 0.0327 ES - 0.875, of words of
// three or more syllables, words per sentence, words of more than six letters and
// words of one syllable, all but SL in percent of the words (Bamberger and Vanecek,
// Lesen - Verstehen - Lernen - Schreiben, 1984, as widely quoted).
func (c Counts) WienerSachtext() float64 {
	percent := func(n int) float64 { return 100 * float64(n) / float64(c.Words) }
	return 0.1935*percent(c.Polysyllabic) + 0.1672*c.asl() + 0.1297*percent(c.Long) - 0.0327*percent(c.Monosyllabic) - 0.875
}

// InfleszBand names the band of an INFLESZ value as Barrio-Cantalejo et al. 2008
// do: muy dificil, algo dificil, normal, bastante facil, muy facil.
func InfleszBand(value float64) string {
	switch {
	case value < 40:
		return "muy difícil"
	case value < 55:
		return "algo difícil"
	case value < 65:
		return "normal"
	case value <= 80:
		return "bastante fácil"
	}
	return "muy fácil"
}

// Worst gives the hardest sentences of a text, hardest first, at most n. For a
// writer: a grade alone does not say what to mend.
func Worst(tag, text string, n int) ([]string, error) {
	if _, err := Count(tag, text); err != nil {
		return nil, err
	}
	type scored struct {
		text string
		hard float64
	}
	var all []scored
	for _, s := range Sentences(tag, text) {
		score, err := Read(tag, s)
		if err != nil {
			continue // a line of punctuation
		}
		hard := score.Value
		if score.Formula == "inflesz" {
			hard = -hard
		}
		all = append(all, scored{s, hard})
	}
	slices.SortStableFunc(all, func(a, b scored) int {
		if a.hard > b.hard {
			return -1
		}
		if a.hard < b.hard {
			return 1
		}
		return 0
	})
	var out []string
	for _, s := range all[:min(n, len(all))] {
		out = append(out, s.text)
	}
	return out, nil
}

var abbreviations = map[string][]string{
	"en": {"dr", "mr", "mrs", "ms", "st", "vs", "etc", "approx", "no", "e.g", "i.e", "a.m", "p.m"},
	"es": {"dr", "dra", "sr", "sra", "srta", "ud", "uds", "etc", "aprox", "n.º", "p", "ej", "a.m", "p.m"},
	"de": {"dr", "prof", "hr", "fr", "nr", "tel", "bzw", "ca", "etc", "evtl", "usw", "vgl", "z.b", "d.h", "u.a"},
}

// Sentences splits a text by the rules of the package.
func Sentences(tag, text string) []string {
	var out []string
	for line := range strings.Lines(text) {
		line = strings.TrimSpace(line)
		start := 0
		for i, r := range line {
			if !strings.ContainsRune(".!?…؟।。！？", r) {
				continue
			}
			end := i + utf8.RuneLen(r)
			// Closing quotes and brackets belong to the sentence they close.
			rest := strings.TrimLeft(line[end:], `"'”“’»)]`)
			stop := len(line) - len(rest)
			wide := strings.ContainsRune("。！？", r)
			if rest != "" && !wide && !unicode.IsSpace(firstRune(rest)) {
				continue
			}
			if r == '.' && rest != "" && abbreviates(tag, line[start:i]) {
				continue
			}
			if s := strings.TrimSpace(line[start:stop]); s != "" {
				out = append(out, s)
			}
			start = stop
		}
		if s := strings.TrimSpace(line[start:]); s != "" {
			out = append(out, s)
		}
	}
	return out
}

func firstRune(s string) rune {
	r, _ := utf8.DecodeRuneInString(s)
	return r
}

// abbreviates reports whether the full stop after s belongs to its last word: an
// initial or a known abbreviation. "No." and the like end a sentence when they are
// all of it.
func abbreviates(tag, s string) bool {
	i := strings.LastIndexFunc(s, unicode.IsSpace) + 1
	last := strings.TrimLeft(s[i:], `("'“„¿¡`)
	if utf8.RuneCountInString(last) == 1 && unicode.IsUpper(firstRune(last)) && last != "I" {
		return true
	}
	last = strings.ToLower(last)
	if last == "no" {
		return false // far more often the answer than the number sign
	}
	return slices.Contains(abbreviations[tag], last)
}

var (
	address = regexp.MustCompile(`\S*(://|@|www\.)\S*`)
	// Digits with a separator inside, as in dates and times, and telephone numbers.
	figures = regexp.MustCompile(`\+?\(?[0-9][0-9()]*([/:\-–][0-9]+)+|\+?[0-9](?:[ ().\-]*[0-9]){6,}`)
	word    = regexp.MustCompile(`[\pL\pM\pN]+(?:['’\-][\pL\pM\pN]+)*(?:[.,][0-9]+)*`)
)

// Words lists the words of a sentence by the rules of the package.
func Words(sentence string) []string {
	sentence = address.ReplaceAllString(sentence, " ")
	sentence = figures.ReplaceAllString(sentence, " ")
	return word.FindAllString(sentence, -1)
}

// Characters counts a sentence of a script without spaces: each ideograph is one,
// and so is each run of other letters or digits.
func Characters(sentence string) int {
	n, run := 0, false
	for _, r := range sentence {
		switch {
		case unicode.Is(unicode.Ideographic, r):
			n++
			run = false
		case unicode.In(r, unicode.L, unicode.M, unicode.N):
			if !run {
				n++
			}
			run = true
		default:
			run = false
		}
	}
	return n
}

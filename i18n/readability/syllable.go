//go:build !js

package readability

import (
	"bytes"
	"compress/gzip"
	_ "embed"
	"fmt"
	"io"
	"strings"
	"sync"
)

//go:embed english.txt.gz
var exceptionsGZ []byte

// exceptions are the English words the rule gets wrong, from the dictionary of
// pronunciations named in build/checks/generate/syllables.mjs. A line holds a count
// and its words.
var exceptions = sync.OnceValue(func() map[string]int {
	r, err := gzip.NewReader(bytes.NewReader(exceptionsGZ))
	if err != nil {
		panic(fmt.Sprintf("readability: english.txt.gz: %v", err))
	}
	data, err := io.ReadAll(r)
	if err != nil {
		panic(fmt.Sprintf("readability: english.txt.gz: %v", err))
	}
	m := map[string]int{}
	for line := range strings.Lines(string(data)) {
		words := strings.Fields(line)
		for _, w := range words[1:] {
			m[w] = int(words[0][0] - '0')
		}
	}
	return m
})

// English counts the syllables of one lower-case English word: the dictionary's
// count where the rule would be wrong, else the rule's. At least 1.
func English(word string) int {
	if n, ok := exceptions()[word]; ok {
		return n
	}
	if base, ok := strings.CutSuffix(word, "'s"); ok {
		n := English(base)
		if strings.HasSuffix(base, "s") || strings.HasSuffix(base, "x") || strings.HasSuffix(base, "z") ||
			strings.HasSuffix(base, "ch") || strings.HasSuffix(base, "sh") || strings.HasSuffix(base, "ce") || strings.HasSuffix(base, "ge") {
			n++
		}
		return n
	}
	return EnglishRule(word)
}

// EnglishRule counts by spelling alone: groups of vowel letters, less silent
// endings, plus vowels that stand together and are spoken apart.
func EnglishRule(word string) int {
	n := 0
	for i := range len(word) {
		if vowel(word[i]) && (i == 0 || !vowel(word[i-1])) {
			n++
		}
	}
	if silentEnd(word) {
		n--
	}
	if strings.HasSuffix(word, "sm") || strings.HasSuffix(word, "thm") {
		n++ // rhythm
	}
	return max(n+spokenApart(word), 1)
}

func vowel(c byte) bool { return strings.IndexByte("aeiouy", c) >= 0 }

// silentEnd reports whether the e of a word's last syllable is silent.
func silentEnd(word string) bool {
	at := func(i int) byte { // from the end, 1 is the last letter
		if i > len(word) {
			return 0
		}
		return word[len(word)-i]
	}
	afterConsonant := at(3) == 'l' && !vowel(at(4)) // an l, as in table
	switch {
	case at(1) == 'e' && !vowel(at(2)):
		return at(2) != 'l' || vowel(at(3)) || at(3) == 0
	case strings.HasSuffix(word, "ed") && !vowel(at(3)):
		if afterConsonant && strings.IndexByte("lrw", at(4)) < 0 {
			return false // troubled
		}
		return at(3) != 't' && at(3) != 'd'
	case strings.HasSuffix(word, "es") && !vowel(at(3)):
		if afterConsonant && at(4) != 0 && strings.IndexByte("lr", at(4)) < 0 {
			return false // tables
		}
		return strings.IndexByte("scgzx", at(3)) < 0 && !(at(3) == 'h' && (at(4) == 'c' || at(4) == 's'))
	}
	return false
}

// apart lists vowels that are spoken as two syllables, and the letters after which
// they are spoken as one.
var apart = []struct{ vowels, notAfter string }{
	{"ia", "tscgx"}, {"io", "tscgx"}, {"iu", "tscgx"}, {"ua", "qg"}, {"uou", "gc"}, {"eou", "gc"}, {"eo", "pg"},
	{"ying", ""}, {"eing", ""}, {"oing", ""}, {"ier", ""}, {"iet", ""},
}

// spokenApart counts the places in a word where vowels beside one another are two
// syllables.
func spokenApart(word string) int {
	n := 0
	for _, a := range apart {
		for i := 0; i < len(word); i++ {
			if !strings.HasPrefix(word[i:], a.vowels) {
				continue
			}
			if i == 0 || strings.IndexByte(a.notAfter, word[i-1]) < 0 {
				n++
			}
			i += len(a.vowels) - 1
		}
	}
	return n
}

// Spanish counts the syllables of one lower-case Spanish word by its vowels: a, e
// and o, and accented i and u, are nuclei of their own beside one another; plain
// i, u and final y lean on their neighbor. A written h between vowels does not
// part them (RAE, Ortografía de la lengua española 2010, on diphthong and hiatus).
func Spanish(word string) int {
	const open, closed = "aeoáéóàèò", "iuüy"
	letters := []rune(word)
	n := 0
	var last rune // the vowel just before, 0 after a consonant
	for i, r := range letters {
		vowel := strings.ContainsRune(open+closed+"íú", r)
		if r == 'y' && i+1 < len(letters) && strings.ContainsRune(open+closed+"íú", letters[i+1]) {
			vowel = false // a consonant, as in ayuda
		}
		if !vowel {
			if r != 'h' || last == 0 || i+1 >= len(letters) {
				last = 0
			}
			continue
		}
		weak := strings.ContainsRune(closed, r)
		lastWeak := strings.ContainsRune(closed, last)
		switch {
		case last == 0:
			n++
		case r == last: // leer, chiita
			n++
		case weak && lastWeak, (r == 'í' || r == 'ú') && lastWeak:
		case weak && last != 'í' && last != 'ú', lastWeak && r != 'í' && r != 'ú':
		default:
			n++
		}
		last = r
	}
	return max(n, 1)
}

// German counts the syllables of one lower-case German word by its vowels: doubled
// vowels and ai, ei, au, eu, äu, ie, ey, ay, oy are one nucleus, other vowels beside
// one another two; the u of qu is none. The ending -ien (Studien, Linien) is two, and
// so are the vowels that meet in a few words of this trade.
func German(word string) int {
	const vowels = "aeiouyäöüéè"
	letters := []rune(word)
	n := 0
	for i := 0; i < len(letters); i++ {
		r := letters[i]
		if !strings.ContainsRune(vowels, r) || r == 'u' && i > 0 && letters[i-1] == 'q' {
			continue
		}
		n++
		if i+1 < len(letters) {
			switch string(letters[i : i+2]) {
			case "aa", "ee", "oo", "ai", "ei", "au", "eu", "äu", "ie", "ey", "ay", "oy":
				i++
			}
		}
	}
	if strings.HasSuffix(word, "ien") && n > 1 {
		n++
	}
	for _, apart := range []string{"patient", "karies", "beurteil", "geehrt", "ideen"} {
		n += strings.Count(word, apart)
	}
	return max(n, 1)
}

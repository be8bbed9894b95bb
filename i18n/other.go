//go:build !js

package i18n

import (
	"encoding/json"
	"slices"
	"strings"
	"sync"

	"golang.org/x/text/language"
)

type pluralTable struct {
	Plurals map[string]string            `json:"plurals"`
	Ranges  map[string]map[string]string `json:"ranges"`
}

var allPlurals = sync.OnceValue(func() pluralTable {
	var cldr pluralTable
	data, err := files.ReadFile("plurals.json")
	if err == nil {
		err = json.Unmarshal(data, &cldr)
	}
	if err != nil {
		panic("i18n: plurals.json: " + err.Error())
	}
	return cldr
})

// rightToLeft are the scripts in use that run from right to left (Unicode Bidi_Class
// R and AL).
var rightToLeft = []string{"Adlm", "Arab", "Hebr", "Mand", "Nkoo", "Rohg", "Samr", "Syrc", "Thaa"}

// Other gives a language that the program does not speak, so that a translation into
// it can be begun and checked: its plural categories (CLDR) and its direction, and
// nothing to format a value by. It has no wording and nothing is printed in it. The
// tag is a BCP 47 tag in its usual form. A language of All is no other, and one
// without plural rules in CLDR cannot be begun.
func Other(tag string) (Language, bool) {
	t, err := language.Parse(tag)
	if err != nil || t.String() != tag {
		return Language{}, false
	}
	if _, ours := Known(tag); ours {
		return Language{}, false
	}
	for of := tag; of != ""; {
		if categories, ok := allPlurals().Plurals[of]; ok {
			l := Language{Tag: tag, Name: tag, Dir: "ltr", Digits: "latn", data: &locale{Plurals: strings.Fields(categories), PluralRanges: allPlurals().Ranges[of]}}
			if script, _ := t.Script(); slices.Contains(rightToLeft, script.String()) {
				l.Dir = "rtl"
			}
			return l, true
		}
		of = of[:max(strings.LastIndexByte(of, '-'), 0)]
	}
	return Language{}, false
}

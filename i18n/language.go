package i18n

import (
	_ "embed"
	"encoding/json"
	"fmt"
	"regexp"
	"slices"
	"sync"

	goi18n "github.com/nicksnyder/go-i18n/v2/i18n"
	"github.com/nicksnyder/go-i18n/v2/i18n/template"
	"golang.org/x/text/language"
)

//go:embed languages.json
var languagesJSON []byte

//go:embed cldr.json
var cldrJSON []byte

// The tiers say where a language is offered. A language is parked, or brought back,
// by changing its tier in languages.json; its wording stays.
const (
	Full   = "full"   // screens and sheets
	Sheets = "sheets" // sheets only, never the screens
	Parked = "parked" // nowhere: not shipped, not printed in, not checked
)

// Language is one language the program knows.
type Language struct {
	// Tag is the BCP 47 tag, also the name of the wording file and the value
	// of the lang attribute.
	Tag string `json:"tag"`
	// Name is the language's name for itself.
	Name string `json:"name"`
	// Dir is the base direction, ltr or rtl.
	Dir string `json:"dir"`
	// Tier is Full, Sheets or Parked; "" for a language that is not ours.
	Tier string `json:"tier"`
	// Digits is the CLDR numbering system, chosen here and never inherited:
	// latn throughout, also for Arabic, so that tooth numbers, telephone
	// numbers and amounts on one page are written in one way.
	Digits string `json:"digits"`
	// Between is how a range is written, "{0}" its start and "{1}" its end, where CLDR's
	// dash will not do: words, in a script in which the ends of a dash change places.
	Between string `json:"range,omitempty"`
	// Engine is the tag whose plural rules are used where the language has
	// none of its own in the library (ht: art-x-ht); empty means Tag.
	Engine string `json:"engine,omitempty"`

	data *locale
}

// locale is the CLDR data of one language, as written by build/checks/generate/cldr.mjs.
type locale struct {
	Plurals []string `json:"plurals"`
	// PluralRanges gives the plural category of a range by those of its start and end,
	// "zero one", where it is not that of the end.
	PluralRanges map[string]string `json:"plural_ranges"`
	// Languages are the names of our languages, by tag.
	Languages   map[string]string `json:"languages"`
	Digits      string            `json:"digits"`
	Months      []string          `json:"months"`
	MonthsAlone []string          `json:"months_alone"`
	Weekdays    []string          `json:"weekdays"`
	Date        string            `json:"date"`
	DateWeekday string            `json:"date_weekday"`
	MonthYear   string            `json:"month_year"`
	Time        string            `json:"time"`
	DayHalves   [2]string         `json:"day_halves"` // before noon, after it
	Decimal     string            `json:"decimal"`
	Group       string            `json:"group"`
	Minus       string            `json:"minus"`
	MinGrouping int               `json:"min_grouping"`
	Number      string            `json:"number"`
	Money       string            `json:"money"`
	MoneyAlpha  string            `json:"money_alpha"`
	Range       string            `json:"range"`
	And         list              `json:"and"`
	Or          list              `json:"or"`
	Symbols     map[string]string `json:"symbols"`
}

type list struct {
	Two    string `json:"two"`
	Start  string `json:"start"`
	Middle string `json:"middle"`
	End    string `json:"end"`
}

type tables struct {
	languages  []Language
	minorUnits map[string]int
}

// load reads the embedded tables once. They are part of the program, checked by
// its tests, so a failure here is a build that never passed them.
var load = sync.OnceValue(func() tables {
	var cldr struct {
		MinorUnits map[string]int     `json:"minor_units"`
		Languages  map[string]*locale `json:"languages"`
	}
	var t tables
	if err := json.Unmarshal(languagesJSON, &t.languages); err != nil {
		panic(fmt.Sprintf("i18n: languages.json: %v", err))
	}
	if err := json.Unmarshal(cldrJSON, &cldr); err != nil {
		panic(fmt.Sprintf("i18n: cldr.json: %v", err))
	}
	for i := range t.languages {
		l := &t.languages[i]
		if !slices.Contains([]string{Full, Sheets, Parked}, l.Tier) {
			panic(fmt.Sprintf("i18n: languages.json: %s has no tier", l.Tag))
		}
		if l.data = cldr.Languages[l.Tag]; l.data == nil {
			panic(fmt.Sprintf("i18n: cldr.json lacks %s: run build/checks/generate/cldr.mjs", l.Tag))
		}
	}
	for _, l := range t.languages {
		for _, of := range t.languages {
			if l.data.Languages[of.Tag] == "" {
				panic(fmt.Sprintf("i18n: cldr.json has no name of %s in %s", of.Tag, l.Tag))
			}
		}
	}
	t.minorUnits = cldr.MinorUnits
	return t
})

// All lists every language the program knows, the parked ones too, for what reads
// files written earlier and for translators. The first is the source language.
func All() []Language { return slices.Clone(load().languages) }

// Languages lists the languages that sheets are made in, in the order they are
// offered. The first is the source language, in which messages are written before
// they are translated.
func Languages() []Language { return In(All(), Full, Sheets) }

// ScreenLanguages lists the languages that the screens are offered in. The first is
// the source language.
func ScreenLanguages() []Language { return In(All(), Full) }

// In lists the languages of the given tiers, in their order.
func In(all []Language, tiers ...string) []Language {
	return slices.DeleteFunc(slices.Clone(all), func(l Language) bool { return !slices.Contains(tiers, l.Tier) })
}

// Tags lists the tags of languages, in their order.
func Tags(languages []Language) []string {
	tags := make([]string, len(languages))
	for i, l := range languages {
		tags[i] = l.Tag
	}
	return tags
}

// Source is the language messages are first written in.
func Source() Language { return load().languages[0] }

// Lookup finds a language that sheets are made in by its exact tag, never a parked
// one. There is no matching: es-MX is not es, and a caller who wants to offer es
// instead must say so to the reader.
func Lookup(tag string) (Language, bool) {
	l, ok := Known(tag)
	return l, ok && l.Tier != Parked
}

// Known finds any language of All by its exact tag.
func Known(tag string) (Language, bool) {
	for _, l := range load().languages {
		if l.Tag == tag {
			return l, true
		}
	}
	return Language{}, false
}

// OwnName is a language's own name, or its tag where it is not one of ours.
func OwnName(tag string) string {
	if l, ok := Known(tag); ok {
		return l.Name
	}
	return tag
}

// NameOf is the name of a language in this one, as it stands in a sentence ("Arabic",
// "árabe"), or its tag where it is not one of ours.
func (l Language) NameOf(tag string) string {
	if name, ok := l.data.Languages[tag]; ok {
		return name
	}
	return tag
}

// Plurals lists the CLDR plural categories of the language, in CLDR's order.
func (l Language) Plurals() []string { return slices.Clone(l.data.Plurals) }

// RTL reports whether the language is written from right to left.
func (l Language) RTL() bool { return l.Dir == "rtl" }

func (l Language) engine() (language.Tag, error) {
	if l.Engine != "" {
		return language.Parse(l.Engine)
	}
	return language.Parse(l.Tag)
}

var countPattern = regexp.MustCompile(`^[0-9]{1,15}(\.[0-9]{1,9})?$`)

// strictParser makes a missing value an error; the library's own setting prints
// "<no value>" without one.
var strictParser = &template.TextParser{Option: "missingkey=error"}

var probes sync.Map // language tag -> *goi18n.Localizer

// Category gives the plural category of a count written as a decimal in Latin
// digits ("2", "1.5"), by the same rules that choose a message's form. "1" and
// "1.0" may differ.
func (l Language) Category(count string) (string, error) {
	if !countPattern.MatchString(count) {
		return "", fmt.Errorf("i18n: %q is not a count", count)
	}
	probe, ok := probes.Load(l.Tag)
	if !ok {
		tag, err := l.engine()
		if err != nil {
			return "", err
		}
		b := goi18n.NewBundle(tag)
		err = b.AddMessages(tag, &goi18n.Message{ID: "c", Zero: "zero", One: "one", Two: "two", Few: "few", Many: "many", Other: "other"})
		if err != nil {
			return "", err
		}
		probe, _ = probes.LoadOrStore(l.Tag, goi18n.NewLocalizer(b, tag.String()))
	}
	got, err := probe.(*goi18n.Localizer).Localize(&goi18n.LocalizeConfig{MessageID: "c", PluralCount: count})
	if err != nil {
		return "", err
	}
	if !slices.Contains(l.data.Plurals, got) {
		return "other", nil // the library knows a form that CLDR 48 no longer has (vi)
	}
	return got, nil
}

// RangeCategory gives the plural category of a range of two counts, by CLDR's plural
// ranges. Equal ends are one count.
func (l Language) RangeCategory(low, high string) (string, error) {
	start, err := l.Category(low)
	if err != nil {
		return "", err
	}
	end, err := l.Category(high)
	if err != nil || low == high {
		return end, err
	}
	if c, ok := l.data.PluralRanges[start+" "+end]; ok {
		return c, nil
	}
	return end, nil
}

// CountOf gives a count of a plural category, for what is not one count but takes its
// form: the first whole number, else a million or a broken one. It is "" for a category
// that the language does not have.
func (l Language) CountOf(category string) string {
	if !slices.Contains(l.data.Plurals, category) {
		return ""
	}
	var try []string
	for n := range 201 {
		try = append(try, fmt.Sprint(n))
	}
	for _, count := range append(try, "1000000", "0.5", "1.5") {
		if c, err := l.Category(count); err == nil && c == category {
			return count
		}
	}
	return ""
}

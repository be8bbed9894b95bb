package i18n

import (
	"slices"
	"strings"
	"testing"
)

// The tiers over a table of our own, since no language of the product is for sheets only.
func TestTiers(t *testing.T) {
	all := []Language{{Tag: "en", Tier: Full}, {Tag: "de", Tier: Parked}, {Tag: "pl", Tier: Sheets}, {Tag: "es", Tier: Full}, {Tag: "xx"}}
	for want, got := range map[string][]Language{
		"en pl es": In(all, Full, Sheets),
		"en es":    In(all, Full),
		"de":       In(all, Parked),
	} {
		if tags := strings.Join(Tags(got), " "); tags != want {
			t.Errorf("%s, want %s", tags, want)
		}
	}
	if len(all) != 5 || all[1].Tag != "de" {
		t.Error("the table was changed")
	}
}

// What the product has: nothing parked is offered, and everything is still known.
func TestParkedIsKnownAndNotOffered(t *testing.T) {
	offered, screens := Tags(Languages()), Tags(ScreenLanguages())
	if offered[0] != Source().Tag || screens[0] != Source().Tag {
		t.Errorf("%v, %v do not start with the source", offered, screens)
	}
	for _, l := range All() {
		if got := slices.Contains(offered, l.Tag); got != (l.Tier != Parked) {
			t.Errorf("%s is %s, offered %v", l.Tag, l.Tier, got)
		}
		if got := slices.Contains(screens, l.Tag); got != (l.Tier == Full) {
			t.Errorf("%s is %s, on screens %v", l.Tag, l.Tier, got)
		}
		_, known := Known(l.Tag)
		_, found := Lookup(l.Tag)
		if !known || found != (l.Tier != Parked) || OwnName(l.Tag) != l.Name {
			t.Errorf("%s: known %v, found %v, named %s", l.Tag, known, found, OwnName(l.Tag))
		}
		_, faults := Load(l.Tag, []byte("{}"), nil)
		if got := faults.Has("LANGUAGE-PARKED"); got != (l.Tier == Parked) {
			t.Errorf("%s is %s: %s", l.Tag, l.Tier, faults.Lines())
		}
	}
}

// Ranges by CLDR 48 (pluralRanges), as Intl.PluralRules.selectRange of ICU 78 gives them;
// build/intl compares many more with the browser's.
func TestRangeCategory(t *testing.T) {
	pl, ok := Other("pl")
	if !ok {
		t.Fatal("there are no plural rules of pl")
	}
	for _, c := range []struct{ tag, low, high, want string }{
		{"en", "1", "3", "other"}, {"en", "0.5", "1", "other"}, {"en", "1", "1", "one"}, {"en", "0", "1", "other"},
		{"es", "0", "1", "other"}, {"es", "1", "2", "other"}, {"es", "2", "2", "other"},
		{"ar", "1", "2", "other"}, {"ar", "0", "1", "zero"}, {"ar", "1", "3", "few"}, {"ar", "3", "5", "few"}, {"ar", "7", "14", "many"},
		{"ar", "24", "48", "many"}, {"ar", "50", "100", "other"}, {"ar", "2", "2", "two"}, {"ar", "0.5", "1", "other"},
		{"de", "0", "1", "one"}, {"de", "1", "2", "other"}, {"zh-Hans", "1", "2", "other"},
		{"pl", "1", "2", "few"}, {"pl", "3", "5", "many"}, {"pl", "0", "1", "one"}, {"pl", "1", "1.5", "other"},
	} {
		l := pl
		if c.tag != "pl" {
			l = lang(t, c.tag)
		}
		if got, err := l.RangeCategory(c.low, c.high); err != nil || got != c.want {
			t.Errorf("%s %s to %s: %q, %v; want %q", c.tag, c.low, c.high, got, err, c.want)
		}
	}
	for _, bad := range [][2]string{{"x", "2"}, {"1", "-2"}} {
		if got, err := pl.RangeCategory(bad[0], bad[1]); err == nil {
			t.Errorf("%v gave %q", bad, got)
		}
	}
}

// A count of every form that a language has takes that form.
func TestCountOf(t *testing.T) {
	for _, l := range All() {
		for _, c := range Categories {
			count := l.CountOf(c)
			if (count != "") != slices.Contains(l.Plurals(), c) {
				t.Errorf("%s %s: %q", l.Tag, c, count)
			}
			if count == "" {
				continue
			}
			if got, err := l.Category(count); err != nil || got != c {
				t.Errorf("%s %s: %s is %s, %v", l.Tag, c, count, got, err)
			}
		}
	}
}

// Names of languages in a sentence: CLDR 48.
func TestNameOf(t *testing.T) {
	for _, c := range []struct{ in, of, want string }{
		{"en", "ar", "Arabic"}, {"es", "ar", "árabe"}, {"ar", "ar", "العربية"}, {"ar", "en", "الإنجليزية"}, {"es", "zh-Hans", "chino simplificado"}, {"en", "xx", "xx"},
	} {
		if got := lang(t, c.in).NameOf(c.of); got != c.want {
			t.Errorf("%s in %s: %q, want %q", c.of, c.in, got, c.want)
		}
	}
}

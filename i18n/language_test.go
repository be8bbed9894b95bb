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

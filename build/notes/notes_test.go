package notes

import (
	"encoding/json"
	"io/fs"
	"maps"
	"os"
	"slices"
	"strings"
	"sync"
	"testing"

	"plainleaf/i18n"
	"plainleaf/i18n/exchange"
)

// The example cases are composed once for all tests.
var once struct {
	sync.Once
	found map[string]exchange.Where
	lost  []string
	err   error
}

func made() (map[string]exchange.Where, []string, error) {
	once.Do(func() { once.found, once.lost, once.err = Make("../..") })
	return once.found, once.lost, once.err
}

// The committed file is what the example cases give, and each message that a patient may
// read was met in one, is like one that was, or has a note by hand.
func TestGoldenNotes(t *testing.T) {
	found, lost, err := made()
	if err != nil {
		t.Fatal(err)
	}
	fresh, err := exchange.FormatWhere(found)
	if err != nil {
		t.Fatal(err)
	}
	if os.Getenv("PLAINLEAF_GOLDEN") == "write" {
		if err := os.WriteFile("../../i18n/"+exchange.WhereFile, fresh, 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	committed, err := fs.ReadFile(i18n.Files(), exchange.WhereFile)
	if err != nil {
		t.Fatal(err)
	}
	if string(fresh) != string(committed) {
		t.Errorf("i18n/%s is not what the example cases give: go run ./build/notes/cmd", exchange.WhereFile)
	}
	var byHand map[string]string
	data, err := fs.ReadFile(i18n.Files(), "notes.json")
	if err == nil {
		err = json.Unmarshal(data, &byHand)
	}
	if err != nil {
		t.Fatal(err)
	}
	for _, id := range Unnoted(lost, byHand) {
		t.Errorf("%s is in no example case and has no note of its own: go run ./i18n/upkeep/cmd note", id)
	}
	like, in := 0, 0
	for _, w := range found {
		if w.Like != "" {
			like++
		}
		if len(w.In) > 0 {
			in++
		}
	}
	t.Logf("%d messages met, %d of them inside others; %d like another; %d in no case", len(found)-like, in, like, len(lost))
}

// What the notes say of a few messages, seen on the sheets themselves.
func TestPlaces(t *testing.T) {
	found, _, err := made()
	if err != nil {
		t.Fatal(err)
	}
	for id, want := range map[string]func(exchange.Where) bool{
		"sheet.aftercare.title": func(w exchange.Where) bool {
			return slices.Contains(w.As, "the title") && slices.Contains(w.On, "aftercare")
		},
		"furniture.version": func(w exchange.Where) bool { return w.Values["Language"] == "English" && len(w.On) > 5 },
		"print.answer.ask": func(w exchange.Where) bool {
			return slices.Contains(w.As, "words beside a box to tick") && w.After == "print.answer.no"
		},
		"quantity.days": func(w exchange.Where) bool { return slices.Contains(w.In, "aftercare.sore-gum Quantity") },
		"mail.call": func(w exchange.Where) bool {
			return w.Before == "mail.dates" && w.After == "mail.private" && w.Values["Phone"] != ""
		},
		"calendar.check-note": func(w exchange.Where) bool { return w.Before == "calendar.check" && w.Values["Clinic"] != "" },
		"banner.unsigned":     func(w exchange.Where) bool { return w.Values["Name"] == "Spanish" },
		"finding.bruxism.say": func(w exchange.Where) bool {
			return w.Row == "finding.bruxism.name" && w.Column == "sheet.options.means"
		},
		"aftercare.no-color-food": func(w exchange.Where) bool { return w.Values["Count"] == "24–72" && w.Under != "" },
	} {
		if w := found[id]; !want(w) {
			t.Errorf("%s: %+v", id, w)
		}
	}
	for _, id := range slices.Sorted(maps.Keys(found)) {
		w := found[id]
		for _, of := range append([]string{w.Under, w.Column, w.Row, w.Before, w.After, w.Like}, w.In...) {
			of, _, _ = strings.Cut(of, " ")
			if _, met := found[of]; of != "" && !met {
				t.Errorf("%s names %s, which was not met", id, of)
			}
		}
	}
}

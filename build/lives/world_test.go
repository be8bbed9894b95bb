// Package lives tries to make the program tell something false: random cases and
// random lives of a case, held against an oracle that reads the English text of the
// sheets and the bare entries of the case, and nothing that composes or compares them.
package lives

import (
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"sync"
	"testing"

	"plainleaf/app/casefile"
	"plainleaf/app/demo"
	"plainleaf/app/evidence"
	"plainleaf/app/fault"
	"plainleaf/app/produce"
	"plainleaf/app/sheet"
	"plainleaf/content"
	"plainleaf/i18n"
)

// world is what every test needs and none changes.
type world struct {
	base      *evidence.Base
	words     casefile.Vocabulary
	practice  casefile.Practice
	practices []casefile.Practice // as the demo one, with waivers, never at weekends, without fees
	wordings  map[string]*i18n.Wording
}

var load = sync.OnceValues(func() (*world, string) {
	w := &world{wordings: map[string]*i18n.Wording{}}
	var faults fault.List
	if w.base, faults = content.Load(); len(faults) > 0 {
		return nil, faults.Lines()
	}
	w.words = w.base.Vocabulary(i18n.Tags(i18n.All()))
	if w.practice, faults = casefile.ReadPractice(demo.Practice, w.words); len(faults) > 0 {
		return nil, faults.Lines()
	}
	w.practice.Wordings = nil
	waives, free := w.practice, w.practice
	waives.Waivers = casefile.Waivable()
	free.Fees, free.EmergencyService, free.Country = nil, "", "DE"
	data, err := os.ReadFile("../../testdata/practice/sunday-week.json")
	if err != nil {
		return nil, err.Error()
	}
	sunday, faults := casefile.ReadPractice(data, w.words)
	if len(faults) > 0 {
		return nil, faults.Lines()
	}
	w.practices = []casefile.Practice{w.practice, waives, free, sunday}
	for _, tag := range []string{"en", "es", "ar"} {
		data, _ := i18n.Embedded(tag)
		if w.wordings[tag], faults = i18n.Load(tag, data, nil); len(faults) > 0 {
			return nil, faults.Lines()
		}
	}
	return w, ""
})

func open(t testing.TB) *world {
	t.Helper()
	w, bad := load()
	if bad != "" {
		t.Fatal(bad)
	}
	return w
}

// input is a sheet of a case in English.
func (w *world) input(c casefile.Case, p casefile.Practice, kind sheet.Kind) produce.Input {
	return produce.Input{Case: c, Practice: p, Base: w.base, Kind: kind, Locale: "en", States: func(string) map[string]i18n.State { return nil },
		Wording: func(tag string) (*i18n.Wording, fault.List) { return w.wordings[tag], nil }}
}

// examples are the cases that are shipped, by name.
func (w *world) examples(t *testing.T) map[string]casefile.Case {
	t.Helper()
	files, err := filepath.Glob("../../testdata/cases/*.json")
	if err != nil || len(files) < 20 {
		t.Fatalf("%d cases, %v", len(files), err)
	}
	out := map[string]casefile.Case{}
	for _, f := range append(files, "../../app/demo/case.json") {
		data, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		c, faults := casefile.ReadCase(data, w.words)
		if len(faults) > 0 {
			t.Fatalf("%s: %s", f, faults.Lines())
		}
		out[filepath.Base(f)] = c
	}
	return out
}

// text is a case as it is written, to try it again.
func text(c casefile.Case) string {
	data, _ := json.Marshal(c)
	return string(data)
}

// settles lists the codes of faults that say what is to be settled before a sheet of
// a case that passes its check is made.
var settles = []string{"SHEET-NO-AGREEMENT", "SHEET-WITHDRAWN", "SHEET-AGREED", "SHEET-GLUED"}

// unexplained lists the faults that do not say what to settle.
func unexplained(list fault.List) (out fault.List) {
	for _, f := range list {
		if !slices.Contains(settles, f.Code) {
			out = append(out, f)
		}
	}
	return out
}

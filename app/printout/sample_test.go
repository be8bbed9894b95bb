package printout_test

import (
	"encoding/json"
	"os"
	"testing"

	"plainleaf/app/render"
	"plainleaf/app/sheet"
	"plainleaf/i18n"
)

// wording is the shipped wording of a language with the sentences of the sample
// sheet added.
func wording(t *testing.T, tag string) *i18n.Wording {
	t.Helper()
	data, ok := i18n.Embedded(tag)
	if !ok {
		t.Fatalf("no wording %s", tag)
	}
	all := map[string]json.RawMessage{}
	if err := json.Unmarshal(data, &all); err != nil {
		t.Fatal(err)
	}
	more, err := os.ReadFile("testdata/sample." + tag + ".json")
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(more, &all); err != nil {
		t.Fatal(err)
	}
	data, err = json.Marshal(all)
	if err != nil {
		t.Fatal(err)
	}
	w, faults := i18n.Load(tag, data, nil)
	if len(faults) > 0 {
		t.Fatalf("wording %s:\n%s", tag, faults.Lines())
	}
	return w
}

// document localizes the sample, which must have no faults.
func document(t *testing.T, tag string, rounds int) render.Doc {
	t.Helper()
	return localized(t, tag, sample(rounds))
}

func localized(t *testing.T, tag string, s sheet.Sheet) render.Doc {
	t.Helper()
	d, faults := render.Localize(s, wording(t, tag), render.Options{
		Banners: []sheet.Text{sheet.M("banner.specimen"), sheet.M("banner.unsigned", "Name", sheet.Verbatim("العربية"), "Language", sheet.Verbatim("English"))}})
	faults.Append(render.Whole(d)...)
	if len(faults) > 0 {
		t.Fatalf("%s:\n%s", tag, faults.Lines())
	}
	return d
}

//go:build !js

package exchange

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"plainleaf/build/node"
	"plainleaf/build/outside"
	"plainleaf/i18n"
)

// others are languages that the program does not speak, each with other plural forms.
var others = []string{"pl", "fr", "cy", "he", "ru", "vi", "sl", "pt-BR", "fa", "hi"}

// schemas is where Debian's php-symfony-translation has the schemas of XLIFF, which
// OASIS publishes with the standard.
const schemas = "/usr/share/php/Symfony/Component/Translation/Resources/schemas"

// validate reads a file by the published schema and gives what it says against it.
func validate(t *testing.T, file string) string {
	t.Helper()
	if _, err := exec.LookPath("xmllint"); err != nil {
		t.Fatal("xmllint is needed for this test (libxml2-utils): ", err)
	}
	dir := t.TempDir()
	// The schema asks for that of the xml: attributes at a place of its own.
	const beside = "informativeCopiesOf3rdPartySchemas/w3c"
	if err := os.MkdirAll(filepath.Join(dir, filepath.FromSlash(beside)), 0o755); err != nil {
		t.Fatal(err)
	}
	for from, to := range map[string]string{"xliff-core-2.0.xsd": "xliff-core-2.0.xsd", "xml.xsd": beside + "/xml.xsd"} {
		data, err := os.ReadFile(filepath.Join(schemas, from))
		if err != nil {
			t.Fatal("the schema of XLIFF is needed for this test (php-symfony-translation): ", err)
		}
		if err := os.WriteFile(filepath.Join(dir, filepath.FromSlash(to)), data, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	cmd := exec.Command("xmllint", "--noout", "--nonet", "--schema", filepath.Join(dir, "xliff-core-2.0.xsd"), "-")
	cmd.Stdin = strings.NewReader(file)
	said, err := cmd.CombinedOutput()
	if err != nil {
		return err.Error() + ": " + string(said)
	}
	return ""
}

// Every file is valid by the schema that OASIS published for XLIFF 2.0 (05 August
// 2014), which refuses one with a state of no such name and one with an id of ours.
func TestSchema(t *testing.T) {
	const source = "the OASIS schema of XLIFF 2.0"
	tags := slices.Clone(others)
	for _, l := range i18n.Languages()[1:] {
		tags = append(tags, l.Tag)
	}
	for _, tag := range tags {
		outside.Equal(t, source, validate(t, exported(t, shipped(t, tag))), "")
	}
	w := small(t, "es")
	w.Stale["urgency.call"] = true
	w.English["urgency.call"] = i18n.Message{Other: "Call {{.Phone}} & {{.Phone}}."}
	good := exported(t, w)
	outside.Equal(t, source, validate(t, good), "")
	for _, bad := range []string{
		strings.Replace(good, `state="initial"`, `state="stale"`, 1),
		strings.Replace(good, `id="sheet.row.teeth_one"`, `id="sheet.row.teeth#one"`, 1),
	} {
		outside.Note(source)
		if bad == good || validate(t, bad) == "" {
			t.Error("the schema takes anything")
		}
	}
}

// A library of another project reads every sentence, mark and note as we wrote them,
// in the same order; and what that library writes, without our states and with lines
// laid out anew, changes nothing when it comes back.
func TestAnotherLibrary(t *testing.T) {
	const source = "xliff (npm)"
	type unit struct {
		ID, Source, Target string
		Notes              []string
	}
	for _, tag := range []string{"ar", "es", "pl"} {
		w := shipped(t, tag)
		file := exported(t, w)
		got := node.Read[struct {
			Source, Target string
			Units          []unit
		}](t, "../../build/checks/readers/xliff.mjs", []byte(file))
		outside.Equal(t, source, got.Source+" "+got.Target, "en "+tag)
		var want []unit
		for _, id := range w.IDs() {
			for _, form := range w.forms(id) {
				want = append(want, unit{ID: unitID(id, form), Source: w.source(id, form), Target: text(w.To[id], form)})
			}
		}
		outside.Equal(t, source, len(got.Units), len(want))
		// The library loses a space that stands alone between two marks.
		near := strings.NewReplacer("}} {{", "}}{{")
		wrong := 0
		for i := range min(len(got.Units), len(want)) {
			g, x := got.Units[i], want[i]
			if g.ID != x.ID || near.Replace(g.Source) != near.Replace(x.Source) || near.Replace(g.Target) != near.Replace(x.Target) || len(g.Notes) == 0 {
				if wrong++; wrong < 5 {
					t.Errorf("%s: read %+v, want %+v", tag, g, x)
				}
			}
		}
		outside.Equal(t, source, wrong, 0)

		again := node.Run(t, "../../build/checks/readers/xliff.mjs", []byte(file), "again")
		if bytes.Equal(again, []byte(file)) {
			t.Error("the library wrote our bytes: this compares nothing")
		}
		r, faults := back(w, string(again))
		outside.Equal(t, source, faults.Lines(), "")
		changed := slices.DeleteFunc(slices.Clone(r.Taken), func(id string) bool {
			return strings.Contains(w.To[id].Other, "}} {{")
		})
		outside.Equal(t, source, fmt.Sprint(len(changed), r.Stale, r.Gone, r.Sentences), fmt.Sprint(0, []string(nil), []string(nil), len(w.English)))
		if len(r.Taken) > 1 {
			t.Errorf("%s: %v changed", tag, r.Taken)
		}
	}
}

// The plural forms that a file asks for are those that Intl knows, of every language
// that both know; and the counts that a note names select the form it names.
func TestPluralForms(t *testing.T) {
	const source = "Intl.PluralRules"
	var cldr struct{ Plurals map[string]string }
	data, err := os.ReadFile("../plurals.json")
	if err == nil {
		err = json.Unmarshal(data, &cldr)
	}
	if err != nil {
		t.Fatal(err)
	}
	var tags []string
	for tag := range cldr.Plurals {
		tags = append(tags, tag)
	}
	for _, l := range i18n.All() {
		tags = append(tags, l.Tag)
	}
	slices.Sort(tags)
	tags = slices.Compact(tags)
	work := map[string]Work{}
	asked := map[string]bool{}
	for _, tag := range append(slices.Clone(others), "es", "ar", "zh-Hans", "de") {
		w := small(t, tag)
		if work[tag] = w; !slices.Contains(tags, tag) {
			tags = append(tags, tag)
		}
		for _, list := range counts(w.Target) {
			for _, c := range list {
				asked[c] = true
			}
		}
	}
	var numbers []string
	for c := range asked {
		numbers = append(numbers, c)
	}
	slices.Sort(numbers)
	in, _ := json.Marshal(tags)
	type rules struct {
		Categories []string
		Of         map[string]string
	}
	intl := node.Read[map[string]rules](t, "../../build/checks/readers/plural.mjs", in, numbers...)
	compared := 0
	for _, tag := range tags {
		theirs, known := intl[tag]
		l, ok := i18n.Known(tag)
		if !ok {
			l, ok = i18n.Other(tag)
		}
		if !known || !ok {
			continue
		}
		compared++
		outside.Equal(t, source, tag+" "+strings.Join(l.Plurals(), " "), tag+" "+strings.Join(theirs.Categories, " "))
	}
	if compared < 80 {
		t.Errorf("only %d languages were compared", compared)
	}
	for tag, w := range work {
		for form, list := range counts(w.Target) {
			for _, c := range list {
				outside.Equal(t, source, fmt.Sprintf("%s %s: %s", tag, c, form), fmt.Sprintf("%s %s: %s", tag, c, intl[tag].Of[c]))
			}
		}
	}
}

package record

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"plainleaf/i18n"
)

// Every fault, verdict, limit and kind of this package has words in every language.
func TestEveryWordIsThere(t *testing.T) {
	ids := map[string]bool{}
	files, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range append(files, "../command_record.go") {
		if strings.HasSuffix(f, "_test.go") {
			continue
		}
		data, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range regexp.MustCompile(`"((?:RECORD|KEY|FHIR)(?:-[A-Z]+)+)"`).FindAllStringSubmatch(string(data), -1) {
			ids["fault."+strings.ToLower(m[1])] = true
		}
		for _, m := range regexp.MustCompile(`"(record\.limit\.[a-z]+)"`).FindAllStringSubmatch(string(data), -1) {
			ids[m[1]] = true
		}
	}
	for _, k := range Kinds() {
		ids["record.kind."+string(k)] = true
	}
	for _, w := range []string{"integrity." + Intact, "integrity." + Changed, "integrity." + Unreadable, "integrity.unproven", "signer." + Signed, "signer." + Unsigned,
		"signer." + Wrong, "trust." + Trusted, "trust." + Unknown, "trust." + Outside, "trust." + Withdrawn, "trust." + Nobody, "trust." + NotAsked,
		"where.changed", "where.missing", "where.added", "part.text", "part.text-under", "part.text-first", "part.wording", "part.answers",
		"part.signatures", "part.identifiers", "part.decision", "part.case", "part.about", "part.previous", "part.seal", "part.other", "key.make", "key.keep", "key.lose", "key.replace"} {
		ids["record."+w] = true
	}
	for _, s := range i18n.ReviewStates {
		ids["record.review."+s] = true
	}
	if len(ids) < 55 {
		t.Errorf("only %d messages found", len(ids))
	}
	for _, l := range i18n.Languages() {
		data, _ := i18n.Embedded(l.Tag)
		w, faults := i18n.Load(l.Tag, data, nil)
		if len(faults) > 0 {
			t.Fatal(faults.Lines())
		}
		for id := range ids {
			if !w.Has(id) {
				t.Errorf("%s: no words for %s", l.Tag, id)
			}
		}
	}
}

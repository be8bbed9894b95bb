package record

import (
	"strings"
	"testing"

	"plainleaf/build/literals"
	"plainleaf/i18n"
)

// Every fault, verdict, limit and kind of this package has words in every language.
func TestEveryWordIsThere(t *testing.T) {
	ids := map[string]bool{}
	for _, files := range []string{"*.go", "../command_record.go"} {
		texts, err := literals.In(files)
		if err != nil {
			t.Fatal(err)
		}
		for _, text := range texts {
			if literals.IsCode(text, "RECORD", "KEY", "FHIR") {
				ids["fault."+strings.ToLower(text)] = true
			}
			if strings.HasPrefix(text, "record.limit.") && literals.IsID(text, "record") {
				ids[text] = true
			}
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

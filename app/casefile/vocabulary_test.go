package casefile_test

import (
	"testing"

	"plainleaf/app/casefile"
	"plainleaf/content"
)

// vocabulary is the real one, with the languages that the test data names.
func vocabulary(t *testing.T) casefile.Vocabulary {
	t.Helper()
	b, faults := content.Load()
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	return b.Vocabulary([]string{"en", "es", "ar"})
}

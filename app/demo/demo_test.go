package demo

import (
	"bytes"
	"os"
	"testing"
)

// The copies are embedded because embedding cannot climb out of a folder.
func TestCopiesAreEqualToTheTestData(t *testing.T) {
	for path, embedded := range map[string][]byte{
		"../../testdata/practice/demo.json":           Practice,
		"../../testdata/cases/ten-teeth-no-prep.json": Case,
	} {
		want, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(embedded, want) {
			t.Errorf("the embedded copy of %s differs", path)
		}
	}
}

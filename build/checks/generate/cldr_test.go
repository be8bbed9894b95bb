// Package generate makes committed tables from data of other projects, with Node
// scripts; only its test is Go.
package generate

import (
	"bytes"
	"io/fs"
	"os"
	"os/exec"
	"testing"

	"plainleaf/i18n"
)

// The committed tables are what the generator makes of CLDR 48.2.0.
func TestCommittedTablesAreFresh(t *testing.T) {
	if _, err := os.Stat("../node_modules/cldr-core"); err != nil {
		t.Skip("run npm ci in build/checks")
	}
	for _, name := range []string{"cldr.json", "plurals.json"} {
		fresh, err := exec.Command("node", "cldr.mjs", "--print", name).Output()
		if err != nil {
			t.Fatal(err)
		}
		committed, err := fs.ReadFile(i18n.Files(), name)
		if err != nil {
			t.Fatal(err)
		}
		if len(fresh) == 0 || !bytes.Equal(fresh, committed) {
			t.Errorf("i18n/%s is not what cldr.mjs makes", name)
		}
	}
}

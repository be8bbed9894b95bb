// Package cldr generates i18n/cldr.json with a Node script; only its test is Go.
package cldr

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
	if _, err := os.Stat("node_modules/cldr-core"); err != nil {
		t.Skip("run npm ci in build/cldr")
	}
	fresh, err := exec.Command("node", "generate.mjs", "--print").Output()
	if err != nil {
		t.Fatal(err)
	}
	committed, err := fs.ReadFile(i18n.Files(), "cldr.json")
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(fresh, committed) {
		t.Error("i18n/cldr.json is not what build/cldr makes")
	}
}

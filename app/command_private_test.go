//go:build unix

package main

import (
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

// What is about a patient is for the user's eyes only; what somebody opened to others
// stays so, but for records.
func TestPermissions(t *testing.T) {
	defer syscall.Umask(syscall.Umask(0o022))
	root := t.TempDir()
	at := func(names ...string) string { return filepath.Join(append([]string{root}, names...)...) }
	mode := func(want fs.FileMode, names ...string) {
		t.Helper()
		info, err := os.Stat(at(names...))
		if err != nil || info.Mode().Perm() != want {
			t.Errorf("%v: %v, want %v, %v", names, info.Mode(), want, err)
		}
	}
	do := func(args ...string) string {
		t.Helper()
		code, _, errs := order("", args...)
		if code != good {
			t.Fatalf("%v: exit %d, %s", args, code, errs)
		}
		return errs
	}
	two, crown := caseDir+"/two-teeth.json", caseDir+"/crown.json"
	if errs := do("seal", "-out", at("deep", "records"), two); strings.Contains(errs, "FOLDER-OPEN") {
		t.Errorf("a folder of our own: %s", errs)
	}
	mode(0o700, "deep")
	mode(0o700, "deep", "records")
	files, err := os.ReadDir(at("deep", "records"))
	if err != nil || len(files) != 1 {
		t.Fatal(files, err)
	}
	record := files[0].Name()
	mode(0o600, "deep", "records", record)

	// Again, over a record of an earlier program, in a folder that others can read.
	if err := os.Chmod(at("deep", "records"), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.Chmod(at("deep", "records", record), 0o644); err != nil {
		t.Fatal(err)
	}
	if errs := do("seal", "-out", at("deep", "records"), two); !strings.HasPrefix(errs, "note: FOLDER-OPEN\t"+at("deep", "records")+"\t") || strings.Count(errs, "\n") != 1 {
		t.Errorf("a folder that others can read: %q", errs)
	}
	mode(0o755, "deep", "records")
	mode(0o600, "deep", "records", record)

	for _, name := range []string{"fhir", "sheet", "mail", "code"} { // others may read what was there
		if err := os.WriteFile(at("old-"+name), nil, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	for _, age := range []string{"old-", "new-"} {
		do("fhir", "-out", at(age+"fhir"), at("deep", "records", record))
		do("sheet", "-kind", "options", "-format", "text", "-out", at(age+"sheet"), two)
		do("sheet", "-kind", "options", "-format", "eml", "-out", at(age+"mail"), two)
		do("code", "-out", at(age+"code"), two)
	}
	mode(0o600, "old-fhir")
	mode(0o600, "new-fhir")
	for _, name := range []string{"sheet", "mail", "code"} {
		mode(0o644, "old-"+name)
		mode(0o600, "new-"+name)
	}
	do("sheet", "-kind", "options", "-format", "text", "-out", at("batch"), two, crown)
	mode(0o700, "batch")
	mode(0o600, "batch", "crown.txt")

	do("exchange", "export", "-locale", "es", "-part", "sheets", "-out", at("words.xlf")) // about no patient
	mode(0o644, "words.xlf")
}

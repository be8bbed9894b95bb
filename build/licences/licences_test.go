package licences

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

const root = "../.."

func text(t *testing.T) string {
	t.Helper()
	b, err := Text(root)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// Every module that the linker put into the command, and every one that the browser
// program is compiled from, is there with a licence and its whole text.
func TestEveryModule(t *testing.T) {
	all := text(t)
	command := filepath.Join(t.TempDir(), "plainleaf")
	if out, err := exec.Command("go", "build", "-buildvcs=false", "-o", command, root+"/app").CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	linked, err := exec.Command("go", "version", "-m", command).Output()
	if err != nil {
		t.Fatal(err)
	}
	want := map[string]bool{}
	for _, m := range regexp.MustCompile(`(?m)^\tdep\t(\S+)\t(\S+)`).FindAllStringSubmatch(string(linked), -1) {
		want[m[1]+" "+m[2]] = true
	}
	if len(want) < 5 {
		t.Fatalf("the command has the modules %v", want)
	}
	app, err := Modules(root, "js", "wasm")
	if err != nil {
		t.Fatal(err)
	}
	for _, m := range app {
		want[m.Path+" "+m.Version] = true
	}
	for m := range want {
		parts := regexp.MustCompile(`(?m)^` + regexp.QuoteMeta(m) + ` \(.+\)\n    (\S+), text (\d+)`).FindStringSubmatch(all)
		if parts == nil {
			t.Errorf("%s is not listed", m)
			continue
		}
		_, after, _ := strings.Cut(all, "\n==== text "+parts[2]+" ====\n\n")
		licence, _, _ := strings.Cut(after, "\n==== text ")
		if got := name([]byte(licence)); got != parts[1] || len(licence) < 500 {
			t.Errorf("%s: text %s is of %q and not of %s", m, parts[2], got, parts[1])
		}
	}
	for _, part := range []string{"github.com/google/uuid v", "github.com/maxence-charriere/go-app/v10 v10.1.11 (the app)", "rsc.io/qr v", "Go, its standard library", "Unicode CLDR"} {
		if !strings.Contains(all, "\n"+part) {
			t.Errorf("%s is not listed", part)
		}
	}
	if strings.Contains(all, "chromedp") { // tests only
		t.Error("what only tests use is listed")
	}
}

func TestTheSameAgain(t *testing.T) {
	if text(t) != text(t) {
		t.Error("two runs differ")
	}
	all := text(t)
	if n := strings.Count(all, "Apache License\n"); n != 1 {
		t.Errorf("a text is there %d times", n)
	}
	t.Logf("%d bytes", len(all))
}

func TestGoText(t *testing.T) {
	out, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		t.Fatal(err)
	}
	b, err := os.ReadFile(filepath.Join(strings.TrimSpace(string(out)), "LICENSE"))
	if err != nil {
		t.Skip("this Go comes without its licence")
	}
	if !bytes.Equal(b, goText) {
		t.Error("go.txt is not the licence of this Go")
	}
}

// A module without a licence, or with one that nobody has read, is named.
func TestMissingAndUnknown(t *testing.T) {
	m := Module{Path: "example.org/new", Version: "v1.0.0"}
	if _, err := ofModule(m); err == nil || !strings.Contains(err.Error(), m.Path) {
		t.Errorf("no sources: %v", err)
	}
	m.Dir = t.TempDir()
	if _, err := ofModule(m); err == nil || !strings.Contains(err.Error(), m.Path) {
		t.Errorf("no licence: %v", err)
	}
	for _, words := range []string{"", "You may look at this and no more.", "GNU GENERAL PUBLIC LICENSE Version 3, 29 June 2007"} {
		if err := os.WriteFile(filepath.Join(m.Dir, "LICENSE.md"), []byte(words), 0o644); err != nil {
			t.Fatal(err)
		}
		if _, err := ofModule(m); err == nil || !strings.Contains(err.Error(), m.Path) {
			t.Errorf("%q: %v", words, err)
		}
	}
}

package paper

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"plainleaf/app/sheet"
	"plainleaf/build/browser"
	"plainleaf/build/node"
	"plainleaf/build/outside"
	"plainleaf/i18n"
)

const standard = "HTML Living Standard, by html-validate"

// faults are what a general checker of the HTML standard finds in files.
func faults(t *testing.T, files ...string) string {
	t.Helper()
	return string(node.Run(t, "../checks/readers/html.mjs", nil, files...))
}

// Sheets of every kind and language, alone and in pairs.
func TestSheetsFollowTheStandard(t *testing.T) {
	dir := t.TempDir()
	var files []string
	for _, name := range []string{"ten-teeth-no-prep", "waits-private", "minor-interpreter"} {
		in := input(t, name)
		for _, kind := range sheet.Kinds() {
			for _, l := range i18n.Languages() {
				for _, second := range []string{"", "ar"} {
					if l.Tag == second || name != "ten-teeth-no-prep" && l.Tag+second != "en" {
						continue
					}
					c := cell{kind, l.Tag, second, "a4", "normal"}
					file := filepath.Join(dir, fmt.Sprintf("%s-%s-%s-%s.html", name, kind, l.Tag, second))
					if err := os.WriteFile(file, c.page(t, in), 0o600); err != nil {
						t.Fatal(err)
					}
					files = append(files, file)
					outside.Note(standard)
				}
			}
		}
	}
	if found := faults(t, files...); found != "" {
		t.Errorf("%d files:\n%s", len(files), found)
	}
}

// The site's pages, as published.
func TestPagesFollowTheStandard(t *testing.T) {
	if testing.Short() {
		t.Skip("builds the program")
	}
	var files []string
	dir := browser.Site(t, browser.Options(t))
	if err := filepath.WalkDir(dir, func(path string, _ os.DirEntry, err error) error {
		if strings.HasSuffix(path, ".html") {
			files = append(files, path)
			outside.Note(standard)
		}
		return err
	}); err != nil {
		t.Fatal(err)
	}
	if len(files) < 2 {
		t.Fatalf("only %q", files)
	}
	if found := faults(t, files...); found != "" {
		t.Errorf("%d files:\n%s", len(files), found)
	}
}

// The checker sees what it is for.
func TestTheCheckerFindsFaults(t *testing.T) {
	c := cell{sheet.Change, "en", "", "a4", "normal"}
	whole := string(c.page(t, input(t, "two-teeth")))
	for _, p := range []struct{ from, to, rule string }{
		{"<h2", "<div><h2", "close"},
		{`<ul`, `<ul><p>x</p></ul><ul`, "element-permitted-content"},
		{`<h1`, `<b id="a"></b><b id="a"></b><h1`, "no-dup-id"},
		{`<h2`, `<center></center><h2`, "deprecated"},
		{`<h1`, `<h1 role="heading" dir="up"`, "attribute-allowed-values"},
	} {
		broken := strings.Replace(whole, p.from, p.to, 1)
		if broken == whole {
			t.Fatalf("no %q on the sheet", p.from)
		}
		file := filepath.Join(t.TempDir(), "broken.html")
		if err := os.WriteFile(file, []byte(broken), 0o600); err != nil {
			t.Fatal(err)
		}
		if found := faults(t, file); !strings.Contains(found, p.rule) {
			t.Errorf("%s is not seen: %q", p.rule, found)
		}
	}
}

func TestMain(m *testing.M) { outside.Main(m) }

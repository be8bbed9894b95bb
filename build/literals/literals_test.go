package literals

import (
	"os"
	"path/filepath"
	"slices"
	"testing"
)

func TestIn(t *testing.T) {
	dir := t.TempDir()
	for name, text := range map[string]string{
		"a.go":      "package a\n\n// \"page.comment\"\nconst one = \"page.one\" + \".two\"\n\nvar x = f(`raw\\n`, 'c', 1)\n",
		"b.go":      "package a\n\nimport \"os\"\n\ntype t struct {\n\tf int `json:\"f\"`\n}\n\nvar y = \"page.one\\u0021\"\n",
		"a_test.go": "package a\n\nvar z = \"page.test\"\n",
		"a.txt":     "page.text",
	} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	got, err := In(filepath.Join(dir, "*"))
	if want := []string{".two", `json:"f"`, "os", "page.one", "page.one!", `raw\n`}; err != nil || !slices.Equal(got, want) {
		t.Errorf("%q, %v, want %q", got, err, want)
	}
	if _, err := In(filepath.Join(dir, "*.txt")); err == nil {
		t.Error("no Go file is no fault")
	}
	if err := os.WriteFile(filepath.Join(dir, "c.go"), []byte("package"), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := In(filepath.Join(dir, "*.go")); err == nil {
		t.Error("a file that is no Go is no fault")
	}
}

func TestNames(t *testing.T) {
	for text, want := range map[string]bool{
		"page.kind.all": true, "page.a-1": true, "page": false, "page.": false, "page..a": false,
		".page.a": false, "page.A": false, "page.a b": false, "pages.a": false, "": false,
	} {
		if got := IsID(text, "shell", "page"); got != want {
			t.Errorf("%q is an id: %v", text, got)
		}
	}
	for text, want := range map[string]bool{
		"CASE-NO-TEETH": true, "CASE-2": true, "CASE": false, "CASE-": false, "CASE--A": false, "CASE-a": false,
		"CASES-A": false, "A-CASE": false, "": false,
	} {
		if got := IsCode(text, "CASE"); got != want {
			t.Errorf("%q is a code: %v", text, got)
		}
	}
}

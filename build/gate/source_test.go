package gate

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// trees hold the project's own Go code.
var trees = []string{"app", "build", "content", "i18n"}

// source is one parsed Go file.
type source struct {
	path string // relative to the module
	*ast.File
}

// isTest says whether the file belongs to the tests.
func (s source) isTest() bool { return strings.HasSuffix(s.path, "_test.go") }

// sources parses the project's Go files that nothing generated.
func sources(t *testing.T) (*token.FileSet, []source) {
	t.Helper()
	fset, dir := token.NewFileSet(), root(t)
	var all []source
	for _, tree := range trees {
		err := fs.WalkDir(os.DirFS(dir), tree, func(path string, entry fs.DirEntry, err error) error {
			if err != nil {
				return err
			}
			if entry.IsDir() {
				if slices.Contains([]string{"node_modules", "testdata", "out"}, entry.Name()) {
					return fs.SkipDir
				}
				return nil
			}
			if filepath.Ext(path) != ".go" {
				return nil
			}
			b, err := os.ReadFile(filepath.Join(dir, path))
			if err != nil {
				return err
			}
			f, err := parser.ParseFile(fset, path, b, parser.ParseComments|parser.SkipObjectResolution)
			if err == nil && !ast.IsGenerated(f) {
				all = append(all, source{path, f})
			}
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	if len(all) < 200 {
		t.Fatalf("only %d Go files found", len(all))
	}
	return fset, all
}

// parsed is a source given as text, for tests of the rules themselves.
func parsed(t *testing.T, fset *token.FileSet, text string) source {
	t.Helper()
	f, err := parser.ParseFile(fset, "example.go", text, parser.ParseComments|parser.SkipObjectResolution)
	if err != nil {
		t.Fatal(err)
	}
	return source{"example.go", f}
}

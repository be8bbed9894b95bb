// Package literals lists the texts in Go source, for tests that compare the message ids
// and fault codes a program uses with the ones it has words for.
package literals

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
)

// In returns the string literals in the Go files that a pattern of filepath.Glob
// matches, sorted, each once. Tests are left out.
func In(pattern string) ([]string, error) {
	files, err := filepath.Glob(pattern)
	if err != nil {
		return nil, err
	}
	var all []string
	for _, file := range files {
		if !strings.HasSuffix(file, ".go") || strings.HasSuffix(file, "_test.go") {
			continue
		}
		f, err := parser.ParseFile(token.NewFileSet(), file, nil, parser.SkipObjectResolution)
		if err != nil {
			return nil, err
		}
		ast.Inspect(f, func(n ast.Node) bool {
			if lit, ok := n.(*ast.BasicLit); ok && lit.Kind == token.STRING {
				text, _ := strconv.Unquote(lit.Value) // parsed, so well written
				all = append(all, text)
			}
			return true
		})
	}
	if len(all) == 0 {
		return nil, fmt.Errorf("%s: no Go file with a text in it", pattern)
	}
	slices.Sort(all)
	return slices.Compact(all), nil
}

// IsID reports whether a text is a whole message id, such as page.kind.all, that starts
// with one of the words.
func IsID(text string, starts ...string) bool {
	return isName(text, ".", "abcdefghijklmnopqrstuvwxyz0123456789-", starts)
}

// IsCode reports whether a text is a fault's code, such as CASE-NO-TEETH, that starts
// with one of the words.
func IsCode(text string, starts ...string) bool {
	return isName(text, "-", "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789", starts)
}

// isName reports whether a text is two or more words of these letters joined by sep, the
// first of them a given one.
func isName(text, sep, letters string, starts []string) bool {
	words := strings.Split(text, sep)
	for _, w := range words {
		if w == "" || strings.Trim(w, letters) != "" {
			return false
		}
	}
	return len(words) > 1 && slices.Contains(starts, words[0])
}

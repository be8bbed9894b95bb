package gate

import (
	"fmt"
	"go/ast"
	"go/token"
	"strings"
	"testing"

	"github.com/fzipp/gocyclo"
)

// maxComplexity is the highest cyclomatic complexity of a function that gives no
// reason for more.
const maxComplexity = 20

// A function over the limit has both of these in its comment: a line that begins with
// the word and says why its parts belong together, and the directive.
const (
	reasonWord = "Complexity:"
	directive  = "//gocyclo:ignore"
)

// minReason is the shortest reason taken for one, in words.
const minReason = 5

// tooComplex lists the functions of a file that break the limit without a reason, and
// those that give a reason without need.
func tooComplex(fset *token.FileSet, s source) []string {
	var bad []string
	judge := func(fn ast.Node, name string, doc *ast.CommentGroup) {
		n, excused := gocyclo.Complexity(fn), ignores(doc)
		where := fmt.Sprintf("%s: %s has a complexity of %d", fset.Position(fn.Pos()), name, n)
		switch {
		case n > maxComplexity && !excused:
			bad = append(bad, fmt.Sprintf("%s, over %d: divide it, or say why not in a comment line %q above %s", where, maxComplexity, reasonWord+" ...", directive))
		case n <= maxComplexity && excused:
			bad = append(bad, fmt.Sprintf("%s and needs no %s", where, directive))
		case excused && reason(doc) < minReason:
			bad = append(bad, fmt.Sprintf("%s; its comment has no line %q with the reason in %d words or more", where, reasonWord+" ...", minReason))
		}
	}
	// A literal inside a function counts towards that function.
	ast.Inspect(s.File, func(n ast.Node) bool {
		switch fn := n.(type) {
		case *ast.FuncDecl:
			judge(fn, fn.Name.Name, fn.Doc)
			return false
		case *ast.FuncLit:
			judge(fn, "a function literal", nil)
			return false
		}
		return true
	})
	return bad
}

func ignores(doc *ast.CommentGroup) bool {
	if doc == nil {
		return false
	}
	for _, c := range doc.List {
		if c.Text == directive {
			return true
		}
	}
	return false
}

// reason counts the words from the line that begins with reasonWord to the end of its
// paragraph.
func reason(doc *ast.CommentGroup) int {
	_, text, _ := strings.Cut("\n"+doc.Text(), "\n"+reasonWord)
	text, _, _ = strings.Cut(text, "\n\n")
	return len(strings.Fields(text))
}

func TestFunctionsAreSmallOrSayWhyNot(t *testing.T) {
	fset, files := sources(t)
	for _, s := range files {
		if s.isTest() {
			continue
		}
		for _, bad := range tooComplex(fset, s) {
			t.Error(bad)
		}
	}
}

func TestAComplexFunctionIsSeen(t *testing.T) {
	// One if more than the limit allows, and one that just keeps to it.
	over := "func f(x int) {\n" + strings.Repeat("\tif x > 0 {\n\t\tx--\n\t}\n", maxComplexity) + "}\n"
	under := strings.Replace(over, "\tif x > 0 {\n\t\tx--\n\t}\n", "", 1)
	why := "// f does much.\n//\n// Complexity: one list of twenty rules, each\n// a line.\n//\n"
	for name, c := range map[string]struct {
		code string
		bad  int
	}{
		"over the limit":              {over, 1},
		"a literal over the limit":    {"var fs = []func(int){" + strings.Replace(strings.TrimSpace(over), " f(", "(", 1) + "}\n", 1},
		"at the limit":                {under, 0},
		"a reason and the directive":  {why + directive + "\n" + over, 0},
		"a reason alone":              {why[:len(why)-3] + over, 1},
		"the directive alone":         {directive + "\n" + over, 1},
		"a reason of two words":       {"// Complexity: must be.\n//\n" + directive + "\n" + over, 1},
		"words that give no reason":   {"// f does this and that and much more.\n//\n" + directive + "\n" + over, 1},
		"a directive without need":    {why + directive + "\n" + under, 1},
		"a directive with more to it": {why + directive + " really\n" + over, 1},
	} {
		fset := token.NewFileSet()
		if got := tooComplex(fset, parsed(t, fset, "package p\n\n"+c.code)); len(got) != c.bad {
			t.Errorf("%s: %q, want %d", name, got, c.bad)
		}
	}
}

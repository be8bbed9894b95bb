package gate

import (
	"fmt"
	"go/ast"
	"go/token"
	"go/types"
	"testing"
)

// shadows lists the places where a file declares a name that Go has declared already,
// such as len or max. Fields and methods do not count: they are always written behind a
// dot.
func shadows(fset *token.FileSet, s source) []string {
	var bad []string
	see := func(names ...*ast.Ident) {
		for _, n := range names {
			if n != nil && types.Universe.Lookup(n.Name) != nil {
				bad = append(bad, fmt.Sprintf("%s: %s has a meaning of Go's own: give it another name", fset.Position(n.Pos()), n.Name))
			}
		}
	}
	seeExpr := func(x ast.Expr) {
		if id, ok := x.(*ast.Ident); ok {
			see(id)
		}
	}
	fields := func(list *ast.FieldList) {
		if list != nil {
			for _, f := range list.List {
				see(f.Names...)
			}
		}
	}
	ast.Inspect(s.File, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.ImportSpec:
			see(n.Name)
		case *ast.ValueSpec:
			see(n.Names...)
		case *ast.TypeSpec:
			see(n.Name)
			fields(n.TypeParams)
		case *ast.FuncDecl:
			if n.Recv == nil {
				see(n.Name)
			}
			fields(n.Recv)
		case *ast.FuncType:
			fields(n.TypeParams)
			fields(n.Params)
			fields(n.Results)
		case *ast.AssignStmt:
			if n.Tok == token.DEFINE {
				for _, x := range n.Lhs {
					seeExpr(x)
				}
			}
		case *ast.RangeStmt:
			if n.Tok == token.DEFINE {
				seeExpr(n.Key)
				seeExpr(n.Value)
			}
		case *ast.LabeledStmt:
			see(n.Label)
		}
		return true
	})
	return bad
}

func TestNoNameOfGosOwnIsTaken(t *testing.T) {
	fset, files := sources(t)
	for _, s := range files {
		for _, bad := range shadows(fset, s) {
			t.Error(bad)
		}
	}
}

func TestATakenNameIsSeen(t *testing.T) {
	for code, want := range map[string]int{
		"func f() { cap := 0.0; _ = cap }":                                1,
		"func f() { var min, max int; _, _ = min, max }":                  2,
		"func f(new, old string) {}":                                      1,
		"func f() (error bool) { return }":                                1,
		"func f[any comparable]() {}":                                     1,
		"func comparable() {}":                                            1,
		"const true = 0 == 1":                                             1,
		"type string int":                                                 1,
		"type t[any interface{}] struct{}":                                1,
		"func f() { for len, copy := range []int{} { _ = len } }":         2,
		"func f(x any) { switch real := x.(type) { default: _ = real } }": 1,
		"func f() { _ = func(print int) {} }":                             1,
		"import close \"os\"":                                             1,
		"func (error t) f() {}\ntype t int":                               1,
		// Behind a dot, or no declaration.
		"type t struct{ len, cap int }":                                         0,
		"type t int\nfunc (t) close() {}":                                       0,
		"func f() { var x any; x, err := any(nil), error(nil); _, _ = x, err }": 0,
		"func f() int { return max(len([]int{}), 1) }":                          0,
	} {
		fset := token.NewFileSet()
		if got := shadows(fset, parsed(t, fset, "package p\n\n"+code)); len(got) != want {
			t.Errorf("%s: %q, want %d", code, got, want)
		}
	}
}

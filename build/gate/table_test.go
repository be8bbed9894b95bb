package gate

import (
	"fmt"
	"maps"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// tableHead is the first line of the table of imports in DEVELOPERS.md.
const tableHead = "| package | what it is | may import (own) |"

// unfenced are the rows of the table that the fence has none for.
var unfenced = []string{"`app`", "`build/...`"}

// tableFaults compares the table of imports in a text with the fence. Every row has
// to list what the fence lists, by the last part of its path and in the same order.
func tableFaults(text string) []string {
	_, table, found := strings.Cut(text, tableHead+"\n|---|---|---|\n")
	if !found {
		return []string{fmt.Sprintf("no table begins with %q", tableHead)}
	}
	table, _, _ = strings.Cut(table, "\n\n")
	listed := map[string]string{}
	var bad []string
	for _, line := range strings.Split(strings.TrimSpace(table), "\n") {
		cells := strings.Split(strings.Trim(line, "| "), " | ")
		if len(cells) != 3 {
			bad = append(bad, fmt.Sprintf("%q has not three cells", line))
			continue
		}
		if _, twice := listed[cells[0]]; twice {
			bad = append(bad, fmt.Sprintf("%s has two rows", cells[0]))
		}
		listed[cells[0]] = cells[2]
	}
	want := map[string]string{}
	for _, name := range unfenced {
		want[name] = "anything"
	}
	for pkg, imports := range fence {
		var names []string
		for _, imp := range imports {
			names = append(names, path.Base(imp))
		}
		if names == nil {
			names = []string{"none"}
		}
		want["`"+pkg+"`"] = strings.Join(names, ", ")
	}
	for _, pkg := range slices.Sorted(maps.Keys(want)) {
		if got, ok := listed[pkg]; !ok {
			bad = append(bad, fmt.Sprintf("%s has no row; it may import: %s", pkg, want[pkg]))
		} else if got != want[pkg] {
			bad = append(bad, fmt.Sprintf("%s has %q where the fence says %q", pkg, got, want[pkg]))
		}
		delete(listed, pkg)
	}
	for _, pkg := range slices.Sorted(maps.Keys(listed)) {
		bad = append(bad, fmt.Sprintf("%s has a row but is not in the fence", pkg))
	}
	return bad
}

func developers(t *testing.T) string {
	t.Helper()
	b, err := os.ReadFile(filepath.Join(root(t), "DEVELOPERS.md"))
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

func TestTheTableOfImportsIsTheFence(t *testing.T) {
	for _, bad := range tableFaults(developers(t)) {
		t.Errorf("DEVELOPERS.md, table of imports: %s", bad)
	}
}

func TestAWrongTableIsSeen(t *testing.T) {
	text := developers(t)
	for name, change := range map[string][2]string{
		"an import too many": {"| i18n |\n", "| i18n, plan |\n"},
		"an import missing":  {"| safetext, fault, strict |\n", "| safetext, fault |\n"},
		"another order":      {"| safetext, fault, strict |\n", "| fault, safetext, strict |\n"},
		"a row missing":      {"\n| `app/strict` |", "\n| `app/strictly` |"},
		"a row twice":        {"\n| `app/strict` |", "\n| `app/fault` |"},
		"a cell missing":     {" | reads JSON", " reads JSON"},
		"another head":       {"may import (own)", "imports"},
	} {
		wrong := strings.Replace(text, change[0], change[1], 1)
		if wrong == text {
			t.Errorf("%s: %q is not in the text", name, change[0])
		} else if len(tableFaults(wrong)) == 0 {
			t.Errorf("%s was not seen", name)
		}
	}
}

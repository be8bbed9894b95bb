package gate

import (
	"fmt"
	"slices"
	"strings"
	"testing"
)

// fence says which of the project's packages each one may import. Data flows
// one way, case to plan to sheet to localized document to page or print, and
// nothing below knows what is above it. A package below another in this table
// counts as part of it ("content/compile" keeps to the rules of "content").
var fence = map[string][]string{
	"app/safetext":      {},
	"app/order":         {},
	"app/fault":         {"app/safetext", "app/order"},
	"app/place":         {"i18n"},
	"app/strict":        {"app/safetext", "app/fault"},
	"app/casefile":      {"app/order", "app/safetext", "app/fault", "app/strict"},
	"app/evidence":      {"app/order", "app/fault", "app/strict", "app/casefile"},
	"app/evidence/pool": {},
	"content":           {"app/fault", "app/strict", "app/casefile", "app/evidence", "app/evidence/pool"},
	"app/plan/basis":    {"app/order", "app/fault", "app/casefile", "app/evidence"},
	"app/plan/mouth":    {"app/order", "app/casefile", "app/evidence", "app/plan/basis"},
	"app/plan/schedule": {"app/order", "app/casefile", "app/evidence", "app/plan/basis", "app/plan/mouth"},
	"app/plan/outlook":  {"app/order", "app/casefile", "app/evidence", "app/evidence/pool", "app/plan/basis", "app/plan/mouth"},
	"app/plan": {"app/order", "app/fault", "app/casefile", "app/evidence", "app/plan/basis", "app/plan/mouth",
		"app/plan/schedule", "app/plan/outlook"},
	"app/sheet":    {"app/order", "app/fault", "app/strict", "app/casefile", "app/evidence", "app/plan"},
	"app/talk":     {"app/casefile", "app/evidence", "app/plan", "app/sheet"},
	"i18n":         {"app/safetext", "app/fault", "app/strict"},
	"app/render":   {"app/safetext", "app/fault", "app/casefile", "app/evidence", "app/sheet", "i18n"},
	"app/printout": {"app/safetext", "app/fault", "app/casefile", "app/sheet", "app/render", "app/handover"},
	"app/email":    {"app/safetext", "app/fault", "app/casefile", "app/sheet", "app/render"},
	"app/calendar": {"app/order", "app/safetext", "app/fault", "app/casefile", "app/sheet", "app/render"},
	"app/record":   {"app/safetext", "app/fault", "app/strict", "app/casefile", "app/sheet", "app/render"},
	"app/handover": {"app/fault"},
	"app/demo":     {},
	"app/produce": {"app/safetext", "app/fault", "app/strict", "app/casefile", "app/evidence", "content", "app/plan",
		"app/sheet", "i18n", "app/render", "app/printout", "app/email", "app/calendar", "app/record", "app/handover"},
	"app/screens/state": {"app/order", "app/safetext", "app/fault", "app/strict", "app/casefile", "app/evidence", "app/plan",
		"app/sheet", "i18n", "app/render", "app/record", "app/produce"},
	"app/screens/parts":  {"app/order", "app/casefile"},
	"app/screens/show":   {"app/casefile", "app/sheet", "app/talk", "app/screens/parts"},
	"app/screens/decide": {"app/casefile", "app/evidence", "app/plan", "app/sheet", "app/screens/parts", "app/screens/state"},
	"app/page": {"app/order", "app/safetext", "app/fault", "app/place", "app/strict", "app/casefile", "app/evidence", "content", "app/plan", "app/sheet",
		"i18n", "app/render", "app/printout", "app/email", "app/calendar", "app/record", "app/handover", "app/produce", "app/demo",
		"app/talk", "app/screens/parts", "app/screens/show", "app/screens/decide", "app/screens/state"},
	"app/shell": {"app/place", "i18n"},
}

// drawers are the packages that draw on the screen.
var drawers = []string{"app/page", "app/screens/parts", "app/screens/show", "app/screens/decide"}

// core packages also run where there is no browser and no network.
var core = []string{"app/safetext", "app/order", "app/fault", "app/strict", "app/casefile", "app/evidence", "content", "app/plan",
	"app/sheet", "app/talk", "app/render", "app/printout", "app/email", "app/calendar", "app/handover", "i18n"}

// heavy packages would swell the browser program or tie the core to it.
var heavy = []string{"net/http", "html/template", "github.com/BurntSushi/toml",
	"github.com/maxence-charriere/go-app/v10/pkg/app"}

// unit is the entry of the fence a package belongs to, and whether it has one.
func unit(pkg string) (string, bool) {
	for p := pkg; ; {
		if _, ok := fence[p]; ok {
			return p, true
		}
		i := strings.LastIndexByte(p, '/')
		if i < 0 {
			return "", false
		}
		p = p[:i]
	}
}

// breaches lists what a package's imports break. pkg is relative to the module.
func breaches(pkg string, imports []string) []string {
	if pkg == "app" || strings.HasPrefix(pkg, "build/") {
		// The command and the build stand above everything.
		return nil
	}
	self, ok := unit(pkg)
	if !ok {
		return []string{fmt.Sprintf("%s is in no row of the fence: say what it may import", pkg)}
	}
	var bad []string
	for _, imp := range imports {
		if imp == "syscall/js" || strings.HasPrefix(imp, "github.com/maxence-charriere/go-app/") {
			if !slices.Contains(drawers, pkg) {
				bad = append(bad, fmt.Sprintf("%s imports %s, which only %s may", pkg, imp, strings.Join(drawers, " and ")))
			}
			continue
		}
		rel, ours := strings.CutPrefix(imp, module+"/")
		if !ours {
			continue
		}
		if to, ok := unit(rel); !ok || to != self && !slices.Contains(fence[self], to) {
			bad = append(bad, fmt.Sprintf("%s imports %s, against the flow", pkg, rel))
		}
	}
	return bad
}

func TestImportFence(t *testing.T) {
	for _, goos := range []string{"", "js"} {
		seen := map[string]bool{}
		for _, p := range list(t, goos, "-e", "-deps", "./app", "./app/...", "./content/...", "./i18n/...") {
			if p.Module == nil || p.Module.Path != module {
				continue
			}
			pkg := strings.TrimPrefix(p.ImportPath, module+"/")
			seen[pkg] = true
			for _, b := range breaches(pkg, p.Imports) {
				t.Errorf("GOOS=%q: %s", goos, b)
			}
		}
		for _, pkg := range []string{"app", "app/fault", "app/casefile", "app/page", "i18n"} {
			if !seen[pkg] {
				t.Errorf("GOOS=%q: %s was not looked at", goos, pkg)
			}
		}
	}
}

func TestCorePackagesAreLight(t *testing.T) {
	for _, pkg := range core {
		reached := list(t, "js", "-deps", "./"+pkg)
		if len(reached) < 2 {
			t.Errorf("%s: nothing was looked at", pkg)
		}
		for _, p := range reached {
			if slices.Contains(heavy, p.ImportPath) {
				t.Errorf("%s reaches %s", pkg, p.ImportPath)
			}
		}
	}
}

// What only the command does never swells the browser program.
func TestTheBrowserProgramHasNoUpkeep(t *testing.T) {
	for _, goos := range []string{"", "js"} {
		reached := map[string]bool{}
		for _, p := range list(t, goos, "-deps", "./app") {
			reached[p.ImportPath] = true
		}
		for _, pkg := range []string{module + "/i18n/exchange", module + "/i18n/upkeep", "encoding/xml"} {
			if reached[pkg] != (goos == "") {
				t.Errorf("GOOS=%q reaches %s: %v", goos, pkg, reached[pkg])
			}
		}
	}
}

func TestTheFenceSeesABreach(t *testing.T) {
	for _, c := range []struct {
		pkg, imp string
		bad      bool
	}{
		{"app/casefile", "plainleaf/app/fault", false},
		{"app/fault", "plainleaf/app/casefile", true},
		{"app/fault", "plainleaf/app/safetext", false},
		{"app/safetext", "plainleaf/app/fault", true},
		{"app/plan", "plainleaf/app/sheet", true},
		{"app/printout", "plainleaf/app/email", true},
		{"app/email", "plainleaf/app/calendar", true},
		{"app/email", "plainleaf/app/printout", true},
		{"app/calendar", "plainleaf/app/plan", true},
		{"app/handover", "plainleaf/app/plan", true},
		{"app/produce", "plainleaf/app/handover", false},
		{"app/plan/schedule", "plainleaf/app/plan/outlook", true},
		{"app/plan/mouth", "plainleaf/app/plan", true},
		{"app/sheet", "plainleaf/app/plan/schedule", true},
		{"app/sheet", "plainleaf/i18n", true},
		{"app/render", "syscall/js", true},
		{"app/page", "syscall/js", false},
		{"app/screens/state", "syscall/js", true},
		{"app/screens/state", "github.com/maxence-charriere/go-app/v10/pkg/app", true},
		{"app/page", "plainleaf/app/screens/state", false},
		{"app/screens/state", "plainleaf/app/page", true},
		{"app/screens/state", "plainleaf/content", true},
		{"app/page", "plainleaf/app/shell", true},
		{"app/screens/parts", "github.com/maxence-charriere/go-app/v10/pkg/app", false},
		{"app/screens/parts", "plainleaf/app/casefile", false},
		{"app/screens/parts", "plainleaf/app/plan", true},
		{"app/screens/parts", "plainleaf/i18n", true},
		{"app/casefile", "plainleaf/app", true},
		{"app/newcomer", "fmt", true},
		{"app", "plainleaf/app/page", false},
	} {
		if got := breaches(c.pkg, []string{c.imp}); (len(got) > 0) != c.bad {
			t.Errorf("%s importing %s: %q, want a breach: %v", c.pkg, c.imp, got, c.bad)
		}
	}
}

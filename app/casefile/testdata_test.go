package casefile_test

import (
	"bytes"
	"flag"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"plainleaf/app/casefile"
)

var update = flag.Bool("update", false, "write the expected faults of testdata/bad anew")

// files gives the files that match, by base name.
func files(t *testing.T, pattern string) map[string][]byte {
	t.Helper()
	paths, err := filepath.Glob("../../testdata/" + pattern)
	if err != nil || len(paths) == 0 {
		t.Fatalf("no files %s (%v)", pattern, err)
	}
	out := map[string][]byte{}
	for _, path := range paths {
		data, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		out[filepath.Base(path)] = data
	}
	return out
}

func schema(t *testing.T, name string) *jsonschema.Schema {
	t.Helper()
	c := jsonschema.NewCompiler()
	c.AssertFormat()
	s, err := c.Compile("../../content/schema/" + name)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func validate(t *testing.T, s *jsonschema.Schema, data []byte) error {
	t.Helper()
	v, err := jsonschema.UnmarshalJSON(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	return s.Validate(v)
}

// Every case is free of faults, valid by the published schema, and written as
// WriteCase writes it.
func TestCases(t *testing.T) {
	s, v := schema(t, "case.json"), vocabulary(t)
	for name, data := range files(t, "cases/*.json") {
		c, faults := casefile.ReadCase(data, v)
		if len(faults) > 0 {
			t.Errorf("%s:\n%s", name, faults.Lines())
		}
		if err := validate(t, s, data); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		if again, err := casefile.WriteCase(c); err != nil || !bytes.Equal(again, data) {
			t.Errorf("%s: written again it is not the same (%v)\n%s", name, err, again)
		}
	}
}

func TestPractices(t *testing.T) {
	s, v := schema(t, "practice.json"), vocabulary(t)
	for name, data := range files(t, "practice/*.json") {
		p, faults := casefile.ReadPractice(data, v)
		if len(faults) > 0 {
			t.Errorf("%s:\n%s", name, faults.Lines())
		}
		if err := validate(t, s, data); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		if again, err := casefile.WritePractice(p); err != nil || !bytes.Equal(again, data) {
			t.Errorf("%s: written again it is not the same (%v)\n%s", name, err, again)
		}
		if blank := name == "blank-lines.json"; blank != (len(p.Complete()) == 2) || !blank && len(p.Complete()) > 0 {
			t.Errorf("%s: %v", name, p.Complete())
		}
		if name == "demo.json" && !p.Demo {
			t.Error("the demo practice is not marked as one")
		}
	}
}

// Together the cases use every word there is.
func TestCasesUseTheWholeVocabulary(t *testing.T) {
	v := vocabulary(t)
	findings, changes, priorities := map[string]bool{}, map[string]bool{}, map[string]bool{}
	routes, materials, locales, stages := map[casefile.Route]bool{}, map[casefile.Material]bool{}, map[string]bool{}, map[casefile.Stage]bool{}
	for _, data := range files(t, "cases/*.json") {
		c, _ := casefile.ReadCase(data, v)
		routes[c.Route], materials[c.Material], locales[c.Locale], stages[c.Stage] = true, true, true, true
		for _, f := range c.Findings {
			findings[f] = true
		}
		for _, e := range c.Teeth {
			routes[e.Route], materials[e.Material] = true, true
			for _, f := range e.Findings {
				findings[f] = true
			}
		}
		for _, a := range c.Answers {
			changes[a.Change] = true
		}
		for _, p := range c.Priorities {
			priorities[p] = true
		}
	}
	unused(t, "finding", slices.Collect(maps.Keys(v.Findings)), findings)
	unused(t, "chair change", slices.Collect(maps.Keys(v.Changes)), changes)
	unused(t, "priority", v.Priorities, priorities)
	unused(t, "route", casefile.Routes(), routes)
	unused(t, "material", casefile.Materials(), materials)
	unused(t, "locale", []string{"en", "es", "ar"}, locales)
	unused(t, "stage", []casefile.Stage{casefile.Deciding, casefile.Agreed, casefile.AtTryIn, casefile.Delivered}, stages)
}

func unused[T ~string](t *testing.T, kind string, all []T, used map[T]bool) {
	t.Helper()
	if len(all) == 0 {
		t.Errorf("there is no %s at all", kind)
	}
	for _, x := range all {
		if !used[x] {
			t.Errorf("no case names the %s %q", kind, x)
		}
	}
}

// Each bad file gives exactly the faults that stand beside it.
func TestBadFiles(t *testing.T) {
	v := vocabulary(t)
	for name, data := range files(t, "bad/*.json") {
		_, faults := casefile.ReadCase(data, v)
		if strings.HasPrefix(name, "practice") {
			_, faults = casefile.ReadPractice(data, v)
		}
		if len(faults) == 0 {
			t.Errorf("%s: no fault", name)
		}
		path := "../../testdata/bad/" + strings.TrimSuffix(name, ".json") + ".faults"
		if *update {
			if err := os.WriteFile(path, []byte(faults.Lines()), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		want, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if faults.Lines() != string(want) {
			t.Errorf("%s: got\n%swant\n%s", name, faults.Lines(), want)
		}
	}
}

// An input of 20 MB is refused before anything in it is looked at.
func TestHugeInput(t *testing.T) {
	huge := append(bytes.Repeat([]byte(" "), 20_000_000), files(t, "cases/two-teeth.json")["two-teeth.json"]...)
	if _, faults := casefile.ReadCase(huge, vocabulary(t)); len(faults) != 1 || faults[0].Code != "JSON-SIZE" {
		t.Errorf("got %v", faults)
	}
}

// Odd text is text: it comes back as it stood in the file.
func TestOddTextIsKept(t *testing.T) {
	c, faults := casefile.ReadCase(files(t, "cases/odd-text.json")["odd-text.json"], vocabulary(t))
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	back := c.TeachBacks()[0]
	for _, s := range []string{c.People.CapacitySupport, c.People.Companion, c.Done()[0].Note, c.TryIns()[0].Note, c.Questions[0].Asked,
		c.Questions[0].Answer, back.Topic, back.Note, c.Advice.Reason, c.ProceedReasons[0].Reason} {
		for _, want := range []string{"a < b, 2 > 1", `\u0000 \n`, "שלום\u200e", "👩🏽‍⚕️ e\u0301 \ufffd"} {
			if !strings.Contains(s, want) {
				t.Errorf("%q is missing in %q", want, s)
			}
		}
	}
}

package compile

import (
	"bytes"
	"os"
	"strings"
	"testing"
	"testing/fstest"

	"plainleaf/content"
)

// The embedded JSON is exactly what the TOML says.
func TestCompiledIsCurrent(t *testing.T) {
	b, faults := Dir(os.DirFS(".."))
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	got, err := JSON(b)
	if err != nil {
		t.Fatal(err)
	}
	want, err := os.ReadFile("../compiled.json")
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want) {
		t.Fatal("content/compiled.json is not current; run go run ./content/compile/cmd")
	}
	again, _ := Dir(os.DirFS(".."))
	if data, _ := JSON(again); !bytes.Equal(got, data) {
		t.Fatal("two runs give different bytes")
	}
	// And the program reads it back whole.
	loaded, err := JSON(content.MustLoad())
	if err != nil || !bytes.Equal(loaded, got) {
		t.Fatal("loading and writing changes the data", err)
	}
}

// Each way a file can be wrong, with the path a person needs to mend it.
func TestFaultsNameFileAndRow(t *testing.T) {
	for name, c := range map[string]struct {
		files      map[string]string
		code, path string
	}{
		"bad TOML":          {map[string]string{"figures/a.toml": "[[figure]]\nid = \n"}, "CONTENT-TOML", "content/figures/a.toml:2"},
		"key twice":         {map[string]string{"figures/a.toml": "[[figure]]\nid = \"a\"\nid = \"b\"\n"}, "CONTENT-TOML", "content/figures/a.toml:"},
		"unknown table":     {map[string]string{"a.toml": "[[figures]]\nid = \"a\"\n"}, "CONTENT-UNKNOWN", "content/a.toml:figures"},
		"unknown key":       {map[string]string{"a.toml": "[[figure]]\nid = \"a\"\n[[figure]]\nidd = \"a\"\n"}, "CONTENT-UNKNOWN", "content/a.toml[1].idd"},
		"key in wrong case": {map[string]string{"a.toml": "[[figure]]\nID = \"a\"\n"}, "CONTENT-UNKNOWN", "content/a.toml[0].ID"},
		"nested unknown":    {map[string]string{"a.toml": "[[finding]]\nkey = \"a\"\n[[finding.effects]]\nlvl = \"x\"\n"}, "CONTENT-UNKNOWN", "content/a.toml[0].effects[0].lvl"},
		"wrong type":        {map[string]string{"a.toml": "[[figure]]\nid = 7\n"}, "CONTENT-TYPE", "content/a.toml[0]"},
		"not a tooth":       {map[string]string{"a.toml": "[[enamel]]\nteeth = [\"19\"]\n"}, "CONTENT-TYPE", "content/a.toml[0]"},
		"mixed rows":        {map[string]string{"a.toml": "[[figure]]\nid = \"a\"\n[[source]]\nid = \"b\"\n"}, "CONTENT-MIXED", "content/a.toml:source"},
		"scalar twice":      {map[string]string{"a.toml": "version = \"2026-11-25\"\n", "b.toml": "version = \"2026-11-26\"\n"}, "CONTENT-TWICE", "content/b.toml:version"},
		"row of the second file": {map[string]string{"a.toml": "[[figure]]\nid = \"a\"\n", "b.toml": "[[figure]]\nid = \"b\"\n[[figure]]\nid = \"c\"\nunit = \"moons\"\n"},
			"CONTENT-UNIT", "content/b.toml[1].unit"},
		"computed by hand": {map[string]string{"pools.toml": "[[pool]]\nid = \"AA\"\n[[pool]]\nid = \"BB\"\ncomputed = { mu = -2.0, se = 0.1, tau = 0.4, u = 0.41 }\n"},
			"CONTENT-POOL", "content/pools.toml[1].computed"},
		"unknown cohort": {map[string]string{"pools.toml": "[[pool]]\nid = \"AA\"\nmethod = \"pool\"\ncohorts = [\"nobody\"]\n"},
			"CONTENT-KEY-UNKNOWN", "content/pools.toml[0].cohorts[0]"},
		"people of a cohort": {map[string]string{"cohorts.toml": "[[cohort]]\nid = \"a\"\npeople = 3\nrestorations = 2\n"},
			"CONTENT-COHORT", "content/cohorts.toml[0].people"},
		"part of a restoration": {map[string]string{"cohorts.toml": "[[cohort]]\nid = \"a\"\nfailed = 2.5\n"}, "CONTENT-TYPE", "content/cohorts.toml[0]"},
		"setting":               {map[string]string{"s.toml": "[settings]\nicc = \"nobody\"\n"}, "CONTENT-FIGURE-UNKNOWN", "content/s.toml:settings.icc"},
		"nothing at all":        {map[string]string{}, "CONTENT-ROUTES", "content:routes"},
	} {
		t.Run(name, func(t *testing.T) {
			fsys := fstest.MapFS{}
			for p, s := range c.files {
				fsys[p] = &fstest.MapFile{Data: []byte(s)}
			}
			_, faults := Dir(fsys)
			for _, f := range faults {
				if f.Code == c.code && strings.HasPrefix(f.Path, c.path) {
					return
				}
			}
			t.Errorf("no %s at %s", c.code, c.path)
			for _, f := range faults[:min(5, len(faults))] {
				t.Log(f.Line())
			}
		})
	}
}

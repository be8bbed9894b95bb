//go:build !js

package main

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
	"plainleaf/app/plan"
	"plainleaf/app/sheet"
	"plainleaf/content"
	"plainleaf/i18n"
)

// A private finding, alone or with others, leaves no trace on any sheet in any
// language: not its key, its words, its figures or their sources. What it holds
// back is told by one neutral line.
func TestPrivateFindingsLeaveNoTrace(t *testing.T) {
	base, faults := content.Load()
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	words := map[string]*i18n.Wording{}
	for _, l := range i18n.Languages() {
		data, _ := i18n.Embedded(l.Tag)
		w, faults := i18n.Load(l.Tag, data, nil)
		if len(faults) > 0 {
			t.Fatal(faults.Lines())
		}
		words[l.Tag] = w
	}
	files := []string{caseDir + "/waits-private.json"}
	bare := readCase(t, caseDir+"/two-teeth.json")
	seen, dir := 0, t.TempDir()
	for _, f := range base.Findings {
		if !f.Private {
			continue
		}
		seen++
		c := bare
		c.Detail = "numbers"
		if f.Scope == "tooth" {
			c.Teeth = append([]casefile.ToothEntry{}, c.Teeth...)
			c.Teeth[0].Findings = append([]string{f.Key}, c.Teeth[0].Findings...)
		} else {
			c.Findings = append([]string{f.Key}, c.Findings...)
		}
		data, err := json.Marshal(c)
		if err != nil {
			t.Fatal(err)
		}
		file := filepath.Join(dir, fmt.Sprintf("case-%d.json", seen))
		if err := os.WriteFile(file, data, 0o644); err != nil {
			t.Fatal(err)
		}
		files = append(files, file)
	}
	if seen < 5 {
		t.Fatalf("%d private findings in the data", seen)
	}
	if testing.Short() {
		files = files[:3]
	}
	plans := map[string]plan.Plan{}
	for _, file := range files {
		plans[file] = planOf(t, file)
	}
	for _, lang := range i18n.Languages() {
		for _, kind := range sheet.Kinds() {
			for _, format := range []string{"html", "text"} {
				args := []string{"sheet", "-kind", string(kind), "-locale", lang.Tag, "-format", format}
				switch lang.Tag {
				case "en":
				case "es", "ar":
					args = append(args, "-practice", "../testdata/practice/signed.json")
				default: // signed off by nobody
					args = append(args, "-second", "en")
				}
				made, said := inFolder(t, args, files)
				for _, file := range files {
					if kind == sheet.Change && readCase(t, file).Agreed == nil {
						continue
					}
					p, got := plans[file], made[file]
					if got == "" {
						t.Errorf("%s %s: %s", kind, lang.Tag, said[file])
						continue
					}
					never := secrets(p, base, words[lang.Tag])
					if len(never) < 4 {
						t.Fatalf("%s: %d secrets to look for", file, len(never))
					}
					name := fmt.Sprintf("%s %s %s %s", filepath.Base(file), kind, lang.Tag, format)
					flat, joined := strings.Join(strings.Fields(got), " "), strings.Join(strings.Fields(got), "")
					for _, s := range never {
						// A line of ideographs breaks where no space is.
						if strings.Contains(flat, s) || strings.ContainsFunc(s, ideograph) && strings.Contains(joined, strings.Join(strings.Fields(s), "")) {
							t.Errorf("%s shows %q", name, s)
						}
					}
					if format == "html" && held(p) && !strings.Contains(got, `data-wait="`+plan.TalkAgain+`"`) {
						t.Errorf("%s: no neutral line", name)
					}
				}
			}
		}
	}
}

func ideograph(r rune) bool { return unicode.Is(unicode.Ideographic, r) }

func held(p plan.Plan) bool {
	for _, w := range p.WaitFor {
		if w.Private {
			return true
		}
	}
	return false
}

// secrets are the key, words, figures and sources that only private findings bring.
func secrets(p plan.Plan, base *evidence.Base, w *i18n.Wording) []string {
	public := map[string]bool{} // what public findings may say as well
	for _, f := range p.Findings {
		if !f.Private {
			for _, a := range f.Actions {
				public["action."+a] = true
			}
		}
	}
	var out []string
	for _, f := range p.Findings {
		if !f.Private {
			continue
		}
		out = append(out, f.Key)
		ids := []string{"finding." + f.Key + ".name", "finding." + f.Key + ".say", "waitfor." + f.Key}
		for _, a := range f.Actions {
			ids = append(ids, "action."+a)
		}
		for _, id := range ids {
			if w.Has(id) && !public[id] {
				out = append(out, id, w.Source(id).Other)
			}
		}
	}
	shown := map[string]bool{}
	for _, u := range p.Figures {
		if f, ok := base.Figure(u.Figure.ID); ok {
			for _, s := range f.Source {
				shown[s] = true
			}
		}
	}
	for _, id := range p.PrivateFigures {
		out = append(out, `"`+id+`"`, " "+id+" ")
		f, _ := base.Figure(id)
		for _, s := range f.Source {
			if src, ok := base.Source(s); ok && !shown[s] {
				out = append(out, src.Citation)
			}
		}
	}
	return out
}

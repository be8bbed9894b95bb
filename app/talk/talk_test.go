package talk

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
	"plainleaf/app/plan"
	"plainleaf/app/render"
	"plainleaf/app/sheet"
	"plainleaf/content"
	"plainleaf/i18n"
)

const testdata = "../../testdata/"

// mostWords is how many words a patient's page may have (the rule of the screens).
const mostWords = 120

func base(t *testing.T) *evidence.Base {
	t.Helper()
	b, faults := content.Load()
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	return b
}

// everyCase plans each example case in the demo practice.
func everyCase(t *testing.T, b *evidence.Base, look func(name string, c casefile.Case, pl plan.Plan, pages []Page)) {
	t.Helper()
	words := b.Vocabulary([]string{"en", "es", "ar"})
	data, err := os.ReadFile(testdata + "practice/signed.json")
	if err != nil {
		t.Fatal(err)
	}
	practice, faults := casefile.ReadPractice(data, words)
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	files, _ := filepath.Glob(testdata + "cases/*.json")
	if len(files) < 20 {
		t.Fatalf("only %d cases", len(files))
	}
	for _, f := range files {
		data, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		c, faults := casefile.ReadCase(data, words)
		if len(faults) > 0 {
			t.Fatal(f, faults.Lines())
		}
		pl, faults := plan.For(c, practice, b)
		if len(faults) > 0 {
			t.Fatal(f, faults.Lines())
		}
		look(filepath.Base(f), c, pl, Decide(c, practice, pl, b))
	}
}

// Every page of every example says at most 120 words in each language, and every message
// of it can be said.
func TestPagesAreShort(t *testing.T) {
	b := base(t)
	for _, tag := range []string{"en", "es", "ar"} {
		data, _ := i18n.Embedded(tag)
		w, faults := i18n.Load(tag, data, nil)
		if len(faults) > 0 {
			t.Fatal(faults.Lines())
		}
		most := map[string]int{}
		everyCase(t, b, func(name string, c casefile.Case, _ plan.Plan, pages []Page) {
			for _, p := range pages {
				n := 0
				for _, text := range texts(p) {
					line, faults := render.Say(text, w, c.Numbering)
					if len(faults) > 0 {
						t.Errorf("%s, %s, %s: %s", tag, name, p.Key, faults.Lines())
					}
					if text.Verbatim == "" { // how long the dentist's own words are is not ours to say
						n += len(strings.Fields(line.String()))
					}
				}
				most[p.Key] = max(most[p.Key], n)
				if n > mostWords {
					t.Errorf("%s, %s, %s: %d words, at most %d", tag, name, p.Key, n, mostWords)
				}
			}
		})
		t.Logf("%s: most words of a page %v", tag, most)
	}
}

// No page names a private finding, and each that is public is on the first page or counted
// there.
func TestPagesHoldNothingPrivate(t *testing.T) {
	b := base(t)
	private := 0
	everyCase(t, b, func(name string, _ casefile.Case, pl plan.Plan, pages []Page) {
		var keys []string
		for _, f := range pl.Findings {
			if f.Private {
				keys = append(keys, f.Key)
			}
		}
		private += len(keys)
		for _, p := range pages {
			for _, text := range texts(p) {
				if slices.ContainsFunc(keys, func(k string) bool { return strings.Contains(text.ID, k) }) {
					t.Errorf("%s, %s: %s is of a private finding", name, p.Key, text.ID)
				}
			}
		}
	})
	if private == 0 {
		t.Error("no example has a private finding")
	}
}

// All options on the table are shown once, no treatment on each page, at most five beside
// each other, and the cell of every fact is there.
func TestAllOptionsOnTheTable(t *testing.T) {
	everyCase(t, base(t), func(name string, _ casefile.Case, pl plan.Plan, pages []Page) {
		seen := map[casefile.Route]int{}
		for _, p := range pages {
			if p.Table == nil {
				continue
			}
			if n := len(p.Table.Heads); n > mostOptions || p.Table.Heads[0].Route != casefile.None {
				t.Errorf("%s: %d options, the first %s", name, n, p.Table.Heads[0].Route)
			}
			for _, h := range p.Table.Heads {
				seen[h.Route]++
			}
			for _, r := range p.Table.Rows {
				if len(r.Cells) != len(p.Table.Heads) || slices.ContainsFunc(r.Cells, func(c []sheet.Text) bool { return len(c) == 0 }) {
					t.Errorf("%s: row %s has no cell for an option", name, r.Key)
				}
			}
		}
		for _, r := range pl.Routes {
			if r.OnTable != (seen[r.Key] > 0) || seen[r.Key] > 1 && r.Key != casefile.None {
				t.Errorf("%s: %s is shown %d times, on the table: %v", name, r.Key, seen[r.Key], r.OnTable)
			}
		}
	})
}

// The line has every visit once, in order.
func TestEveryVisitIsOnTheLine(t *testing.T) {
	everyCase(t, base(t), func(name string, _ casefile.Case, pl plan.Plan, pages []Page) {
		next := 1
		for _, p := range pages {
			for _, s := range p.Line {
				if s.First != next || s.Last < s.First {
					t.Errorf("%s: a stop from %d to %d after visit %d", name, s.First, s.Last, next-1)
				}
				next = s.Last + 1
			}
		}
		if next-1 != len(pl.Visits) {
			t.Errorf("%s: %d of %d visits", name, next-1, len(pl.Visits))
		}
	})
}

// texts lists all that a page says.
func texts(p Page) []sheet.Text {
	out := append([]sheet.Text{p.Title}, p.Lead...)
	for _, x := range p.Points {
		out = append(out, x.Name, x.Text)
	}
	for _, f := range p.Facts {
		out = append(append(out, f.Label), f.Texts...)
	}
	if p.Table != nil {
		for _, h := range p.Table.Heads {
			out = append(out, h.Name)
		}
		for _, r := range p.Table.Rows {
			out = append(out, r.Label)
			for _, c := range r.Cells {
				out = append(out, c...)
			}
		}
	}
	if p.Picture != nil {
		out = append(out, p.Picture.Caption)
	}
	for _, s := range p.Line {
		out = append(out, s.Name, s.After)
	}
	return out
}

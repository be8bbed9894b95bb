package lives

import (
	"flag"
	"fmt"
	"slices"
	"testing"

	"plainleaf/app/casefile"
	"plainleaf/app/plan"
	"plainleaf/app/produce"
	"plainleaf/app/render"
	"plainleaf/app/sheet"
	"plainleaf/build/trials"
)

var only = flag.Uint64("case", 0, "the one random case to try")

// agreements are those of a case.
func agreements(c casefile.Case) []casefile.Agreement {
	if c.Agreed == nil {
		return nil
	}
	return []casefile.Agreement{*c.Agreed}
}

// look makes the sheets of a case that passed its check and lists what is false. A
// sheet that is not made says what is to be settled. full makes them as they are
// delivered, in all languages; else they are composed, compared and put into English,
// those for deciding only with all.
func (w *world) look(c casefile.Case, p casefile.Practice, agreed []casefile.Agreement, all, full bool) (bad []string) {
	defer func() {
		if r := recover(); r != nil {
			bad = append(bad, fmt.Sprintf("panic: %v", r))
		}
	}()
	pl, faults := plan.For(c, p, w.base)
	if len(faults) > 0 {
		return []string{"plan: " + faults.Lines()}
	}
	x := newTruth(w, p, c, agreed)
	var sheets []sheet.Sheet
	for _, kind := range sheet.Kinds() {
		if full {
			bad = append(bad, w.delivered(x, kind)...)
		}
		if faults := sheet.Unsettled(kind, c); len(faults) > 0 {
			if lines := unexplained(faults); len(lines) > 0 {
				bad = append(bad, string(kind)+": "+lines.Lines())
			}
			continue
		}
		paper := p
		paper.BaseAddress = "" // the code on paper is put in by who delivers
		s := sheet.Compose(kind, c, paper, pl, w.base)
		sheets = append(sheets, s)
		if !all && slices.Contains([]sheet.Kind{sheet.Options, sheet.Wait, sheet.Consent}, kind) { // long, and of nothing that was done
			continue
		}
		d, faults := render.Localize(s, w.wordings["en"], render.Options{States: nil})
		if len(faults) > 0 {
			bad = append(bad, string(kind)+": "+faults.Lines())
			continue
		}
		bad = append(bad, x.lies(d, pl)...)
	}
	if faults := sheet.Contradictions(sheets, plan.Settled(c, p, w.base), w.base); len(faults) > 0 {
		bad = append(bad, faults.Lines())
	}
	return bad
}

// delivered makes one sheet as it is handed out.
func (w *world) delivered(x *truth, kind sheet.Kind) (bad []string) {
	for _, tags := range [][2]string{{"en", ""}, {"es", "en"}, {"ar", "en"}} {
		in := w.input(x.c, x.p, kind)
		in.Locale, in.Second = tags[0], tags[1]
		docs, pl, faults := produce.Docs(in)
		if lines := unexplained(faults); len(lines) > 0 {
			bad = append(bad, fmt.Sprintf("%s in %s: %s", kind, tags[0], lines.Lines()))
		}
		for _, d := range docs {
			if d.Locale == "en" {
				bad = append(bad, x.lies(d, pl)...)
			}
		}
	}
	return bad
}

// No sheet of a case contradicts another or the entries of the case: all examples,
// and random cases with random events.
func TestNoContradiction(t *testing.T) {
	w := open(t)
	if *only == 0 {
		for name, c := range w.examples(t) {
			for _, bad := range w.look(c, w.practice, agreements(c), true, !testing.Short()) {
				t.Errorf("%s: %s", name, bad)
			}
		}
	}
	refused, made, cases := 0, 0, trials.N(60, 300, 10000)
	for seed := uint64(1); seed <= uint64(cases); seed++ {
		if *only != 0 {
			seed = *only
		}
		c := randomCase(w, seed)
		if faults := c.Check(w.words); len(faults) > 0 {
			refused++
			if *only != 0 {
				t.Log(faults.Lines())
			}
		} else {
			made++
			bad := w.look(c, w.practices[seed%uint64(len(w.practices))], agreements(c), seed%3 == 0, seed%50 == 0)
			for _, b := range bad {
				t.Errorf("-case %d: %s", seed, b)
			}
			if *only != 0 && len(bad) > 0 {
				t.Log(text(c))
			}
		}
		if *only != 0 {
			return
		}
	}
	if t.Logf("%d cases told, %d refused by their check", made, refused); made < cases*2/3 {
		t.Errorf("only %d of %d cases pass their check", made, cases)
	}
}

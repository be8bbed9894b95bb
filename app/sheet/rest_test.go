package sheet_test

import (
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"

	"plainleaf/app/casefile"
	"plainleaf/app/plan"
	"plainleaf/app/sheet"
)

// example is a case of two teeth and the demo practice.
func example(t *testing.T) (casefile.Case, casefile.Practice) {
	t.Helper()
	words := base.Vocabulary([]string{"en", "es", "ar"})
	data, err := os.ReadFile("../../testdata/cases/two-teeth.json")
	if err != nil {
		t.Fatal(err)
	}
	c, faults := casefile.ReadCase(data, words)
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	data, err = os.ReadFile("../demo/practice.json")
	if err != nil {
		t.Fatal(err)
	}
	p, faults := casefile.ReadPractice(data, words)
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	return c, p
}

// An answer to a step that cannot come up on its tooth's own route stands on no
// sheet; on the teeth where the step can come up it does.
func TestRestingAnswersStandOnNoSheet(t *testing.T) {
	c, p := example(t)
	const step = "facial-contouring" // without preparation alone (content/changes.toml)
	c.Route = casefile.NoPrep
	c.Answers = []casefile.AnswerEntry{{Change: step, Teeth: []casefile.Tooth{11, 21}, Answer: casefile.Agree}}
	for i := range c.Teeth {
		c.Teeth[i].Route = ""
	}
	named := func(kind sheet.Kind) (out []casefile.Tooth) {
		pl, faults := plan.For(c, p, base)
		if len(faults) > 0 {
			t.Fatal(faults)
		}
		if rests := slices.ContainsFunc(pl.ChairChanges, func(ch plan.ChairChange) bool { return ch.Key == step && ch.Rests }); rests != (c.Teeth[0].Route != "") {
			t.Fatalf("rests: %v", rests)
		}
		for _, b := range sheet.Compose(kind, c, p, pl, base).Blocks {
			for _, it := range b.Items {
				if it.Ref.Change == step {
					out = append(out, it.Ref.Teeth...)
				}
			}
		}
		slices.Sort(out)
		return slices.Compact(out)
	}
	agreed := c.Agree(casefile.SignedPaper, "demo", "", "consent", c.Issued, nil, func(string) bool { return false })
	c.Agreed = &agreed
	kinds := []sheet.Kind{sheet.Consent, sheet.TryIn}
	for _, kind := range kinds {
		if got := named(kind); !slices.Equal(got, []casefile.Tooth{11, 21}) {
			t.Errorf("%s names %v before", kind, got)
		}
	}
	c.Teeth[0].Route = casefile.ConventionalPrep
	for _, kind := range kinds {
		if got := named(kind); !slices.Equal(got, []casefile.Tooth{c.Teeth[1].Tooth}) {
			t.Errorf("%s names %v, and on %s the step cannot come up", kind, got, c.Teeth[0].Tooth)
		}
	}
}

// In a mixed mouth each tooth is told what its own route leaves behind, with its own
// depths: a veneer without preparation is never said to need a cover for good, a crown keeps the
// depths of a crown.
func TestWhatCannotBeUndoneIsToldToothByTooth(t *testing.T) {
	c := casefile.Case{Version: 1, Issued: casefile.Date{Year: 2026, Month: 12, Day: 20}, Start: casefile.Date{Year: 2026, Month: 12, Day: 23}, Route: casefile.NoPrep,
		Material: casefile.LithiumDisilicate, Teeth: []casefile.ToothEntry{{Tooth: 11, Route: casefile.Crown}, {Tooth: 21}, {Tooth: 22, Route: casefile.DirectComposite}}}
	data, err := os.ReadFile("../../testdata/practice/demo.json")
	if err != nil {
		t.Fatal(err)
	}
	p, faults := casefile.ReadPractice(data, base.Vocabulary([]string{"en", "es", "ar"}))
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	pl, faults := plan.For(c, p, base)
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	found := map[string]sheet.Item{}
	for _, b := range sheet.Compose(sheet.Consent, c, p, pl, base).Blocks {
		for _, fact := range b.Items {
			for _, it := range fact.Items {
				if fact.Label.ID == "sheet.consent.undo" && it.Ref.Route != "" {
					found[it.Ref.Route] = it
				}
			}
		}
	}
	if len(found) != 3 {
		t.Fatalf("%d of 3 routes are told: %v", len(found), found)
	}
	for route, want := range map[casefile.Route]struct {
		words   string
		tooth   casefile.Tooth
		planned bool
	}{casefile.Crown: {"sheet.undo.no.say", 11, true}, casefile.NoPrep: {"sheet.undo.no-drilling-not-fully.say", 21, false}, casefile.DirectComposite: {"sheet.undo.mostly.say", 22, false}} {
		it := found[string(route)]
		if it.Text.ID != want.words || !slices.Equal(it.Ref.Teeth, []casefile.Tooth{want.tooth}) || len(it.More) > 0 != want.planned {
			t.Errorf("%s: %+v", route, it)
		}
	}
	most := 0.0
	for _, id := range []string{base.Route(casefile.Crown).Removal.Cervical, base.Route(casefile.Crown).Removal.Middle, base.Route(casefile.Crown).Removal.Incisal} {
		f, ok := base.Figure(id)
		if !ok {
			t.Fatal(id)
		}
		most = max(most, f.High)
	}
	if got, ok := found["crown"].More[0].Args[0].Value.(sheet.Decimal); !ok || got.Value != most {
		t.Errorf("the crown's depth: %+v, want %v", found["crown"].More[0], most)
	}
}

// A plan with teeth on several routes is never told as one of them: each route's
// words stand with its own teeth, and the plan has a name of its own everywhere.
func TestAMixedPlanIsNotOneRoute(t *testing.T) {
	var c casefile.Case
	var p casefile.Practice
	pl, _ := compose(t, sheet.Options, func(k *casefile.Case, q *casefile.Practice) {
		k.Teeth = []casefile.ToothEntry{{Tooth: 11, Route: casefile.Crown}, {Tooth: 21}}
		k.Priorities = []string{"whitest", "keep-enamel", "fewest-visits"}
		c, p = *k, *q
	})
	d := sheet.Compose(sheet.Options, c, p, pl, base)
	named, drilled, crown, above := 0, false, false, false
	for _, b := range d.Blocks {
		above = above || b.Text.ID == "sheet.options.mixed-text"
		for _, h := range b.Heads {
			if h.Text.ID == "sheet.options.mixed" {
				named++
			}
			if h.Ref.Route == "no-prep" && h.Text.ID != "sheet.options.mixed" {
				t.Error("a plan with a crown stands under the name of no-prep veneers")
			}
		}
		if b.Kind == sheet.Heading && b.Text.ID == "route.no-prep.name" {
			t.Error("a plan with a crown stands under the name of no-prep veneers")
		}
		for _, it := range b.Items {
			mixed := it.Label.ID == "sheet.options.mixed"
			for _, a := range it.Label.Args { // ways of which the same holds stand together
				if list, ok := a.Value.(sheet.Words); ok {
					mixed = mixed || slices.ContainsFunc(list, func(x sheet.Text) bool { return x.ID == "sheet.options.mixed" })
				}
			}
			if mixed {
				named++
				if strings.HasPrefix(it.Text.ID, "route.") {
					t.Errorf("of the whole plan: %s", it.Text.ID)
				}
			}
			for _, x := range append([]sheet.Text{it.Text}, it.More...) {
				if b.Kind == sheet.Facts && it.Ref.Route == "no-prep" && x.ID == "takes.roughened" && !slices.Equal(it.Ref.Teeth, []casefile.Tooth{21}) {
					t.Errorf("no drilling is said of teeth %v", it.Ref.Teeth)
				}
				crown = crown || b.Kind == sheet.Facts && it.Ref.Route == "crown" && slices.Equal(it.Ref.Teeth, []casefile.Tooth{11})
				drilled = drilled || x.ID == "takes.all-sides" && it.Ref.Route == "crown"
			}
			for _, cell := range it.Cells { // a column of the whole plan says nothing that is true of one tooth only
				for _, x := range cell.Texts {
					if cell.Ref.Route == "no-prep" && (strings.HasPrefix(x.ID, "takes.") || strings.HasPrefix(x.ID, "gives.") || strings.HasPrefix(x.ID, "sheet.options.undo.")) {
						t.Errorf("of the whole plan: %s", x.ID)
					}
				}
			}
		}
	}
	if named < 3 || !drilled || !crown || !above {
		t.Errorf("the plan is named %d times, the crown's loss is told: %v, its tooth: %v, that what is said above holds for it: %v", named, drilled, crown, above)
	}
}

// The dates and minutes of visits are habits of the trade, also where a finding's
// own wait rests on a study: no number of a source stands behind them.
func TestVisitsCiteNothing(t *testing.T) {
	for _, kind := range []sheet.Kind{sheet.Options, sheet.Wait, sheet.Consent} {
		var c casefile.Case
		var p casefile.Practice
		pl, _ := compose(t, kind, func(k *casefile.Case, q *casefile.Practice) {
			k.TargetShade = "A1"
			k.Teeth[0].Findings, k.Teeth[0].UnderlyingShade = []string{"one-dark-tooth"}, "C4"
			k.Findings = []string{"periodontitis", "high-smile-uneven-gums"}
			c, p = *k, *q
		})
		rows := 0
		for _, b := range sheet.Compose(kind, c, p, pl, base).Blocks {
			if b.Kind != sheet.Schedule {
				continue
			}
			for _, it := range b.Items {
				rows++
				if len(it.Ref.Sources) > 0 {
					t.Errorf("%s: %s cites %v", kind, it.Text.ID, it.Ref.Sources)
				}
			}
		}
		if rows == 0 && kind != sheet.Options {
			t.Errorf("%s has no visits", kind)
		}
	}
}

// The agreement to such a plan says what is done to which teeth, and still names
// every way that all the teeth could go, no treatment first.
func TestAMixedAgreementIsToldToothByTooth(t *testing.T) {
	var c casefile.Case
	var p casefile.Practice
	pl, _ := compose(t, sheet.Consent, func(k *casefile.Case, q *casefile.Practice) {
		k.TargetShade = "A1"
		k.Teeth = []casefile.ToothEntry{{Tooth: 12, Route: casefile.None}, {Tooth: 11, Route: casefile.Crown, UnderlyingShade: "C4"}, {Tooth: 21, UnderlyingShade: "C4"},
			{Tooth: 22, Route: casefile.DirectComposite, Material: casefile.Composite, UnderlyingShade: "C4"}}
		c, p = *k, *q
	})
	others := map[string]bool{}
	own := map[string][]casefile.Tooth{}
	for _, it := range blockItems(sheet.Compose(sheet.Consent, c, p, pl, base)) {
		if r := it.Ref.Route; it.Text.ID == "route."+r+".what" || it.Text.ID == "route."+r+".good" {
			if len(it.Ref.Teeth) != 1 || it.Label.ID == "" {
				t.Errorf("%s without its teeth", it.Text.ID)
			}
			own[it.Text.ID] = it.Ref.Teeth
		}
		if it.Label.ID != "sheet.consent.others" {
			continue
		}
		for _, x := range append([]sheet.Text{it.Text}, it.More...) {
			for _, a := range x.Args {
				if w, ok := a.Value.(sheet.Word); ok && strings.HasPrefix(x.ID, "sheet.consent.option") {
					if w.Text.ID == "sheet.consent.option-is" { // with what the word means
						w, _ = w.Text.Args[0].Value.(sheet.Word)
					}
					others[strings.TrimSuffix(strings.TrimPrefix(w.Text.ID, "route."), ".name")] = true
				}
			}
		}
	}
	if !slices.Equal(own["route.no-prep.what"], []casefile.Tooth{21}) || !slices.Equal(own["route.crown.what"], []casefile.Tooth{11}) || !slices.Equal(own["route.none.good"], []casefile.Tooth{12}) {
		t.Errorf("told of %v", own)
	}
	for _, r := range []string{"none", "crown", "direct-composite"} {
		if !others[r] {
			t.Errorf("%s for all these teeth is not among the other ways", r)
		}
	}
}

// did is a step of the treatment that was done.
func did(step string, teeth ...casefile.Tooth) casefile.Event {
	return casefile.Event{Kind: casefile.DoneStep, Step: step, Teeth: teeth}
}

// said are the events of what was said at sittings.
func said(list ...casefile.TryIn) []casefile.Event {
	var out []casefile.Event
	for _, t := range list {
		for part, v := range map[string]string{"shade": t.Shade, "shape": t.Shape, "length": t.Length} {
			kind := map[string]casefile.EventKind{"approved": casefile.Approved, "change": casefile.ChangeWanted}[v]
			if kind != "" {
				out = append(out, casefile.Event{Kind: kind, On: t.Date, Sitting: t.Sitting, Teeth: t.Teeth, Parts: []string{part}})
			}
		}
	}
	return out
}

// A tooth that is shaped and not yet covered is told as that on the sheet that goes
// home; where all are finished there is nothing to tell.
func TestAftercareTellsTeethThatAreNotFinished(t *testing.T) {
	c, p := example(t)
	for _, x := range []struct {
		steps []casefile.Event
		want  []string
	}{
		{nil, nil},
		{[]casefile.Event{did("glued", 11, 21)}, nil},
		{[]casefile.Event{did("glued", 11)}, []string{"tooth-state.bonded", "tooth-state.untouched"}},
		{[]casefile.Event{did("shaped", 11, 21), did("glued", 11)}, []string{"tooth-state.bonded", "tooth-state.shaped"}},
	} {
		c.Events = x.steps
		pl, faults := plan.For(c, p, base)
		if len(faults) > 0 {
			t.Fatal(faults)
		}
		var got []string
		for _, b := range sheet.Compose(sheet.Aftercare, c, p, pl, base).Blocks {
			for _, it := range b.Items {
				if strings.HasPrefix(it.Text.ID, "tooth-state.") {
					got = append(got, it.Text.ID)
				}
			}
		}
		if !slices.Equal(got, x.want) {
			t.Errorf("%v: %v", x.steps, got)
		}
	}
}

// A sheet for the try-in that nothing is noted on has a part for every sitting of
// the plan, each with its own teeth and lines to sign on; once something is noted, what was noted.
func TestABlankTryInHasEverySitting(t *testing.T) {
	sittings := func(c casefile.Case, p casefile.Practice, pl plan.Plan) (out [][]casefile.Tooth) {
		boxes, decisions, signs, today := 0, 0, 0, 0
		for _, b := range sheet.Compose(sheet.TryIn, c, p, pl, base).Blocks {
			switch {
			case b.Kind == sheet.Heading && b.Text.ID == "sheet.tryin.sitting":
				out = append(out, b.Ref.Teeth)
			case b.Kind == sheet.Table && b.Style == sheet.Look:
				for _, it := range b.Items {
					for _, cell := range it.Cells {
						boxes += len(cell.Ref.Teeth) // each tooth has boxes of its own for each part
						for _, x := range cell.Boxes {
							if x.Mark && len(c.Events) == 0 {
								t.Errorf("a box is crossed: %v", x)
							}
						}
					}
				}
			case b.Kind == sheet.Tick && b.Style == sheet.Answer:
				decisions++
			case b.Kind == sheet.Sign:
				signs++
				if want := 3 * len(c.Meant(out[len(out)-1])); signs != len(out) || decisions != signs || boxes != want {
					t.Errorf("lines to sign after %d boxes, not %d, and %d decisions of %d sittings", boxes, want, decisions, len(out))
				}
				boxes = 0
				if b.Style != sheet.OtherDay {
					today++
				}
			}
		}
		if decisions != len(out) || signs != len(out) || today != 1 {
			t.Errorf("%d decisions, %d to sign and %d to sign now for %d sittings", decisions, signs, today, len(out))
		}
		return out
	}
	var c casefile.Case
	var p casefile.Practice
	teeth := []casefile.Tooth{15, 14, 13, 12, 11, 21, 22, 23, 24, 25}
	pl, _ := compose(t, sheet.TryIn, func(k *casefile.Case, q *casefile.Practice) {
		k.Teeth, k.Answers = nil, nil
		for _, x := range teeth {
			k.Teeth = append(k.Teeth, casefile.ToothEntry{Tooth: x})
		}
		k.Events = nil
		c, p = *k, *q
	})
	got := sittings(c, p, pl)
	if len(got) != len(pl.Deliveries()) || len(got) < 2 {
		t.Fatalf("%d sittings on paper, %d in the plan", len(got), len(pl.Deliveries()))
	}
	var all []casefile.Tooth
	for i, v := range pl.Deliveries() {
		if !slices.Equal(got[i], casefile.SortTeeth(v.Teeth)) {
			t.Errorf("sitting %d: %v, planned %v", i+1, got[i], v.Teeth)
		}
		all = append(all, got[i]...)
	}
	if !slices.Equal(casefile.SortTeeth(all), teeth) {
		t.Errorf("teeth %v", all)
	}
	c.Events = said(casefile.TryIn{Sitting: 2, Teeth: []casefile.Tooth{14}, Shade: "approved"})
	if got := sittings(c, p, pl); len(got) != 1 || !slices.Equal(got[0], []casefile.Tooth{14}) {
		t.Errorf("noted at one sitting: %v", got)
	}
}

// A range that begins at nothing has a form of its own.
func TestTheMostThatComesOff(t *testing.T) {
	for _, x := range []struct {
		low, high float64
		want      string
	}{{0, 1.5, "sheet.removal.up-to"}, {0.04, 0.5, "sheet.removal.up-to"}, {0.3, 0.7, "sheet.removal.most"}} {
		if got := sheet.MostRemoved(known(x.low, x.high)); got.ID != x.want {
			t.Errorf("%v to %v: %s", x.low, x.high, got.ID)
		}
	}
}

// Whatever is chosen, a consent that treats a tooth says that nothing may be done
// to any, and says it once: the case's own way may be the one that does nothing.
func TestDoingNothingIsAlwaysAChoice(t *testing.T) {
	for _, own := range []casefile.Route{casefile.None, casefile.NoPrep, casefile.WhiteningHome} {
		for _, other := range []casefile.Route{"", casefile.NoPrep, casefile.None} {
			c := demoCase()
			c.Route, c.Material, c.Then, c.Answers = own, "", "", nil
			c.Teeth = []casefile.ToothEntry{{Tooth: 11}, {Tooth: 21, Route: other}}
			if own == casefile.None && other != casefile.NoPrep {
				continue // nothing is treated
			}
			pl, faults := plan.For(c, demoPractice(t), base)
			if len(faults) > 0 {
				t.Fatal(faults.Lines())
			}
			n := 0
			for _, b := range sheet.Compose(sheet.Consent, c, demoPractice(t), pl, base).Blocks {
				for _, it := range b.Items {
					if it.Label.ID == "sheet.consent.others" {
						n += strings.Count(fmt.Sprint(it.Text, it.More), "route.none.name")
					}
				}
			}
			if n != 1 {
				t.Errorf("%s, one tooth on %q: told %d times", own, other, n)
			}
		}
	}
}

// On a second delivery day what was said on the first stands as words with its day;
// one sitting is left to cross and to sign.
func TestAnEarlierSittingIsNotSignedAgain(t *testing.T) {
	day := func(d int) casefile.Date { return casefile.Date{Year: 2027, Month: 1, Day: d} }
	teeth := []casefile.Tooth{15, 14, 13, 12, 11, 21, 22, 23, 24, 25}
	var planned [][]casefile.Tooth
	tell := func(issued casefile.Date, list ...casefile.TryIn) string {
		var c casefile.Case
		var p casefile.Practice
		pl, _ := compose(t, sheet.TryIn, func(k *casefile.Case, q *casefile.Practice) {
			k.Teeth, k.Answers = nil, nil
			for _, x := range teeth {
				k.Teeth = append(k.Teeth, casefile.ToothEntry{Tooth: x})
			}
			k.Events = said(list...)
			c, p = *k, *q
		})
		c.Issued = issued
		planned = nil
		for _, v := range pl.Deliveries() {
			planned = append(planned, casefile.SortTeeth(v.Teeth))
		}
		var out []string
		for _, b := range sheet.Compose(sheet.TryIn, c, p, pl, base).Blocks {
			switch {
			case b.Kind == sheet.Heading && b.Text.ID == "sheet.tryin.sitting":
				out = append(out, fmt.Sprint(b.Text.Args[0].Value, len(b.Ref.Teeth)))
			case b.Kind == sheet.Facts && strings.HasPrefix(b.Text.ID, "sheet.tryin.earlier"):
				out = append(out, "told")
				for _, a := range b.Text.Args {
					if d, ok := a.Value.(sheet.Day); ok {
						out = append(out, d.Date.String())
						continue
					}
					out = append(out, fmt.Sprint(a.Value))
				}
				for _, it := range b.Items {
					out = append(out, strings.TrimPrefix(it.Text.ID, "sheet.tryin."))
				}
			case b.Kind == sheet.Sign:
				way := "sign"
				if b.Style == sheet.OtherDay {
					way = "other-day"
				}
				out = append(out, way)
			}
		}
		return strings.Join(out, " ")
	}
	tell(day(12))
	if len(planned) != 2 {
		t.Fatalf("%d sittings planned", len(planned))
	}
	first, second := planned[0], planned[1]
	at := func(n int, d casefile.Date, ts []casefile.Tooth, shade, rest string) casefile.TryIn {
		return casefile.TryIn{Sitting: n, Teeth: ts, Date: d, Shade: shade, Shape: rest, Length: rest}
	}
	none := casefile.Date{}
	yes := at(1, day(12), first, "approved", "approved")
	both := fmt.Sprint("2 ", len(second), " told 1 2027-01-12 approved approved approved sign")
	for name, x := range map[string]struct{ got, want string }{
		"that day":               {tell(day(12), yes), fmt.Sprint("1 ", len(first), " sign")},
		"nothing noted yet":      {tell(day(26), yes), both},
		"issued before":          {tell(day(5), yes), fmt.Sprint("1 ", len(first), " sign")},
		"noted":                  {tell(day(26), yes, at(2, day(26), second, "approved", "")), both},
		"the issue date stayed":  {tell(day(5), yes, at(2, day(26), second, "approved", "")), both},
		"no days":                {tell(day(26), at(1, none, first, "change", ""), at(2, none, second, "approved", "approved")), fmt.Sprint("2 ", len(second), " told 1 change-wanted not-noted not-noted sign")},
		"two on one day":         {tell(day(12), yes, at(2, day(12), second, "approved", "approved")), fmt.Sprint("1 ", len(first), " other-day 2 ", len(second), " sign")},
		"a change is seen again": {tell(day(26), at(1, day(12), first, "change", "approved")), "2 10 told 1 2027-01-12 change-wanted approved approved sign"},
		"and then approved": {tell(casefile.Date{Year: 2027, Month: 2, Day: 9}, at(1, day(12), first, "change", "approved"), at(2, day(26), teeth, "approved", "approved")),
			"2 10 told 1 2027-01-12 change-wanted approved approved sign"},
		"the first again, last": {tell(day(26), at(1, day(26), first, "approved", "approved"), at(2, day(19), second, "approved", "approved")),
			fmt.Sprint("1 ", len(first), " told 2 2027-01-19 approved approved approved sign")},
	} {
		if x.got != x.want {
			t.Errorf("%s: %s, want %s", name, x.got, x.want)
		}
	}
}

// What was done against the patient's answer is told as that, with its teeth; what the
// patient was asked about or agreed to is not.
func TestWhatWasDoneAgainstANoIsTold(t *testing.T) {
	c, p := example(t)
	const step = "facial-contouring"
	c.Route = casefile.NoPrep
	for i := range c.Teeth {
		c.Teeth[i].Route = ""
	}
	both := []casefile.Tooth{11, 21}
	for _, x := range []struct {
		answers []casefile.AnswerEntry
		want    string
	}{
		{nil, ""},
		{[]casefile.AnswerEntry{{Change: step, Teeth: both, Answer: casefile.Agree}}, ""},
		{[]casefile.AnswerEntry{{Change: step, Teeth: both, Answer: casefile.Ask}}, ""},
		{[]casefile.AnswerEntry{{Change: "opening-contacts", Answer: casefile.No}}, ""},
		{[]casefile.AnswerEntry{{Change: step, Answer: casefile.No}}, "no"},
		{[]casefile.AnswerEntry{{Change: step, Teeth: both[:1], Answer: casefile.Agree}, {Change: step, Teeth: both[1:], Answer: casefile.No}}, "no [21]"},
	} {
		c.Answers, c.Stage = x.answers, casefile.Delivered
		c.Events = []casefile.Event{{Kind: casefile.DoneStep, Change: step, Teeth: both}}
		agreed := c.Agree(casefile.SignedPaper, "demo", "", "consent", c.Issued, nil, func(string) bool { return false })
		c.Agreed = &agreed
		pl, faults := plan.For(c, p, base)
		if len(faults) > 0 {
			t.Fatal(faults.Lines())
		}
		for _, kind := range []sheet.Kind{sheet.Aftercare, sheet.Change} {
			got := ""
			for _, b := range sheet.Compose(kind, c, p, pl, base).Blocks {
				if b.Text.ID == "sheet.aftercare.done-no" { // over all steps with this answer
					got += "no"
				}
				for _, it := range b.Items {
					for i, m := range it.More {
						if m.ID == "sheet.aftercare.done-no" {
							got += "no"
							if i+1 < len(it.More) && it.More[i+1].ID == "sheet.common.on-teeth" {
								got += fmt.Sprint(" ", it.More[i+1].Args[1].Value)
							}
						}
					}
				}
			}
			if got != x.want {
				t.Errorf("%s, %v: %q, want %q", kind, x.answers, got, x.want)
			}
		}
	}
}

// Who pays for a remake is told where something is made before it is glued.
func TestARemakeIsToldWhereSomethingIsMade(t *testing.T) {
	for _, x := range []struct {
		route, then casefile.Route
		want        bool
	}{{casefile.NoPrep, "", true}, {casefile.Crown, "", true}, {casefile.ReplaceVeneers, casefile.NoPrep, true}, {casefile.DirectComposite, "", false},
		{casefile.WhiteningHome, "", false}, {casefile.WhiteningHome, casefile.NoPrep, true}, {casefile.GumCareFirst, "", false}} {
		c, p := demoCase(), demoPractice(t)
		c.Route, c.Then, c.Material, c.Answers = x.route, x.then, "", nil
		for i := range c.Teeth {
			c.Teeth[i].Route, c.Teeth[i].Material = "", ""
		}
		pl, faults := plan.For(c, p, base)
		if len(faults) > 0 {
			t.Fatal(x, faults.Lines())
		}
		told := false
		for _, b := range sheet.Compose(sheet.Consent, c, p, pl, base).Blocks {
			told = told || b.Text.ID == "sheet.money.remake" || slices.ContainsFunc(b.Items, func(it sheet.Item) bool { return it.Label.ID == "sheet.money.remake" })
		}
		if told != x.want {
			t.Errorf("%s, then %q: %v", x.route, x.then, told)
		}
	}
}

// The steps in the chair are told of veneers; with a crown or filling material on any
// tooth it is said that these are meant as well.
func TestAVeneerInTheChairMeansACrownToo(t *testing.T) {
	for _, x := range []struct {
		route, one casefile.Route
		want       bool
	}{{casefile.NoPrep, "", false}, {casefile.Crown, "", true}, {casefile.DirectComposite, "", true}, {casefile.NoPrep, casefile.Crown, true}, {casefile.WhiteningHome, "", false}} {
		c, p := demoCase(), demoPractice(t)
		c.Route, c.Then, c.Material, c.Answers = x.route, "", "", nil
		for i := range c.Teeth {
			c.Teeth[i].Route, c.Teeth[i].Material = "", ""
		}
		c.Teeth[0].Route = x.one
		pl, faults := plan.For(c, p, base)
		if len(faults) > 0 {
			t.Fatal(x, faults.Lines())
		}
		told := false
		for _, b := range sheet.Compose(sheet.Consent, c, p, pl, base).Blocks {
			for _, it := range b.Items {
				told = told || it.Text.ID == "sheet.change.also-meant"
			}
		}
		if told != x.want {
			t.Errorf("%s, one tooth on %q: %v", x.route, x.one, told)
		}
	}
}

// Where the teeth of a sitting were judged differently, each verdict names its teeth, on
// the day and later.
func TestAMixedVerdictIsToldToothByTooth(t *testing.T) {
	c, p := example(t)
	c.Stage = casefile.AtTryIn
	teeth := c.ToothList()[:2]
	on := c.Issued
	c.Issued.Day++
	c.Events = []casefile.Event{
		{Kind: casefile.Tried, Sitting: 1, On: on, Teeth: teeth},
		{Kind: casefile.Approved, Sitting: 1, On: on, Teeth: teeth, Parts: []string{"shape"}},
		{Kind: casefile.Approved, Sitting: 1, On: on, Teeth: teeth[:1], Parts: []string{"shade"}},
		{Kind: casefile.ChangeWanted, Sitting: 1, On: on, Teeth: teeth[1:], Parts: []string{"shade"}},
		{Kind: casefile.Tried, Sitting: 2, On: c.Issued, Teeth: teeth[1:]},
		{Kind: casefile.Approved, Sitting: 2, On: c.Issued, Teeth: teeth[1:], Parts: []string{"shade"}},
	}
	pl, faults := plan.For(c, p, base)
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	var earlier, now string
	s := sheet.Compose(sheet.TryIn, c, p, pl, base)
	for _, b := range s.Blocks {
		for _, it := range b.Items {
			if it.Label.ID != "sheet.tryin.shade" {
				continue
			}
			if b.Kind == sheet.Facts {
				earlier += it.Text.ID
				for _, more := range it.More {
					earlier += fmt.Sprint(" ", more.Args[len(more.Args)-1].Value)
				}
				earlier += "\n"
			}
			for _, cell := range it.Cells {
				for _, x := range cell.Boxes {
					if x.Mark {
						now += fmt.Sprintln(x.Text.ID, cell.Ref.Teeth)
					}
				}
			}
		}
	}
	if want := fmt.Sprintf("sheet.tryin.approved %v\nsheet.tryin.change-wanted %v\n", teeth[:1], teeth[1:]); earlier != want {
		t.Errorf("%s\nwant\n%s", earlier, want)
	}
	if want := fmt.Sprintf("sheet.tryin.right %v\n", teeth[1:]); now != want {
		t.Errorf("%s\nwant\n%s", now, want)
	}
	if faults := sheet.Contradictions([]sheet.Sheet{s}, c, base); len(faults) > 0 {
		t.Error(faults.Lines())
	}
	if again := c.LookAgain(casefile.Date{Year: 2100, Month: 1, Day: 1}); len(again) > 0 {
		t.Errorf("to be looked at again: %v", again)
	}
}

// riskNames lists the risks that a text names.
func riskNames(t sheet.Text) (out []string) {
	if strings.HasPrefix(t.ID, "risk.") && strings.HasSuffix(t.ID, ".name") {
		return []string{strings.TrimSuffix(t.ID, ".name")}
	}
	for _, a := range t.Args {
		if w, ok := a.Value.(sheet.Word); ok {
			out = append(out, riskNames(w.Text)...)
		}
	}
	return out
}

// Each risk of a consent says how often, in words of its own study, and cites nothing
// where nobody knows.
func TestEachRiskSaysHowOften(t *testing.T) {
	var c casefile.Case
	var p casefile.Practice
	pl, _ := compose(t, sheet.Consent, func(k *casefile.Case, q *casefile.Practice) {
		k.Route, k.Material = casefile.NoPrep, "lithium-disilicate"
		k.Teeth = []casefile.ToothEntry{{Tooth: 11}, {Tooth: 21, Route: casefile.Crown, Material: "metal-ceramic"}, {Tooth: 22, Route: casefile.ConventionalPrep, Material: "feldspathic"}}
		c, p = *k, *q
	})
	seen := map[string][]string{}
	unknown := "" // that how often is not known, over a list or as the heading of one
	for _, b := range sheet.Compose(sheet.Consent, c, p, pl, base).Blocks {
		if b.Kind == sheet.Heading || strings.HasPrefix(b.Text.ID, "sheet.consent.risks-") {
			unknown = strings.TrimPrefix(b.Text.ID, "sheet.consent.")
		}
		all := slices.Clone(b.Items)
		for _, it := range b.Items { // those of page one
			all = append(all, it.Items...)
		}
		var items []sheet.Item
		for _, x := range all {
			often := slices.DeleteFunc(append([]sheet.Text{x.Text}, x.More...), func(t sheet.Text) bool { return strings.HasPrefix(t.ID, "risk.then.") })
			if len(often) == 0 && (unknown == "risks-unknown" || unknown == "risks-others-unknown") {
				often = []sheet.Text{sheet.M("number.unknown")}
			}
			items = append(items, sheet.Item{Label: x.Label, Cells: []sheet.Cell{{Texts: often}, {}}, Ref: x.Ref})
		}
		for _, it := range items {
			said, names := []sheet.Text(nil), riskNames(it.Label)
			if len(it.Cells) == 2 {
				said = it.Cells[0].Texts
			}
			if len(names) == 0 {
				continue
			}
			known := false
			for _, x := range said {
				id := x.ID
				if id == "risk.often.on-route" {
					for _, a := range x.Args {
						if w, ok := a.Value.(sheet.Word); ok && a.Name == "Text" {
							id = w.Text.ID
						}
					}
				}
				known = known || id != "number.unknown" && id != "risk.often.not-known" && id != "risk.often.planned"
				for _, name := range names {
					seen[name] = append(seen[name], id)
				}
			}
			if len(said) == 0 || known != (len(it.Ref.Sources) > 0) {
				t.Errorf("%v: %v, sources %v", names, said, it.Ref.Sources)
			}
		}
	}
	for id, want := range map[string][]string{
		"risk.chip-crack":    {"risk.often.none-lost", "risk.often.not-known", "risk.often.veneers-lost"},
		"risk.nerve-death":   {"risk.often.teeth", "risk.often.veneers-lost"},
		"risk.enamel-loss":   {"risk.often.planned"},
		"risk.opposing-wear": {"number.unknown"},
	} {
		got := slices.Sorted(slices.Values(seen[id]))
		if !slices.Equal(got, want) {
			t.Errorf("%s says %v, want %v", id, got, want)
		}
	}
}

// aftercareOf is the aftercare sheet of the example for a practice.
func aftercareOf(t *testing.T, c casefile.Case, p casefile.Practice) sheet.Sheet {
	t.Helper()
	pl, faults := plan.For(c, p, base)
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	return sheet.Compose(sheet.Aftercare, c, p, pl, base)
}

// Toothpaste and the emergency number are those of the practice's country (DGZ16; DBOH21;
// 112 and 999 common knowledge), the practice's own number comes before it, and without
// both the practice's line is left.
func TestAftercareByCountry(t *testing.T) {
	c, p := example(t)
	for _, x := range []struct{ country, own, number, paste string }{
		{"DE", "", "112", "aftercare.fluoride-paste-germany"}, {"GB", "", "999", "aftercare.fluoride-paste"}, {"GB", "112", "112", "aftercare.fluoride-paste"},
		{"US", "", "911", "aftercare.fluoride-paste-any"}, {"JP", "119", "119", "aftercare.fluoride-paste-any"}, {"", "", p.EmergencyLine, "aftercare.fluoride-paste-any"},
	} {
		p.Country, p.EmergencyService = x.country, x.own
		var number string
		var pastes []string
		for _, b := range aftercareOf(t, c, p).Blocks {
			if b.Text.ID == "urgency.emergency-now" {
				number = fmt.Sprint(b.Text.Args[0].Value)
			}
			for _, it := range b.Items {
				if strings.HasPrefix(it.Text.ID, "aftercare.fluoride-paste") {
					pastes = append(pastes, it.Text.ID)
				}
			}
		}
		if number != fmt.Sprint(sheet.Phone(x.number)) || !slices.Equal(pastes, []string{x.paste}) {
			t.Errorf("%s, own number %q: %s, %v", x.country, x.own, number, pastes)
		}
	}
}

// A knocked-out tooth is listed under the practice's own numbers, day and night, with the
// hour it has; what to do meanwhile has its seconds (Andersson et al. 2012, Dent
// Traumatol 28:88), and bleeding its minutes.
func TestAKnockedOutToothIsForThePracticeAtOnce(t *testing.T) {
	c, p := example(t)
	numbers := map[string]sheet.Value{}
	var urgency string
	var soon []sheet.Text
	for _, b := range aftercareOf(t, c, p).Blocks {
		for _, it := range b.Items {
			if it.Label.ID == "warning.knocked-tooth.sign" {
				urgency, soon = b.Text.ID, it.More
			}
			if strings.HasSuffix(it.Text.ID, ".self") && it.Text.Plural != "" {
				numbers[it.Text.ID] = it.Text.Args[0].Value
			}
		}
	}
	if urgency != "urgency.call-today" || len(soon) != 1 || soon[0].ID != "sheet.within.hours" || soon[0].Args[0].Value != sheet.Int(1) {
		t.Errorf("%s %v", urgency, soon)
	}
	if len(numbers) != 2 || numbers["warning.knocked-tooth.self"] != sheet.Int(10) || numbers["warning.bleeding-not-stopping.self"] != sheet.Int(20) {
		t.Error(numbers)
	}
}

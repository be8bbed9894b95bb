package mutation

import (
	"encoding/json"
	"maps"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
	"plainleaf/app/plan"
	"plainleaf/app/sheet"
	"plainleaf/content"
	"plainleaf/content/compile"
)

// Why a number of a rule may change no plan and no sentence of a sheet.
const (
	habit = "how often a chair change happens: a shipped habit is told in a word, only the practice's own figure as a number"
	side  = "enamel of a side wall: kept beside the front in the row of its tooth; a strip's limit is a rule of its own"
	edge  = "enamel at the biting edge: kept in the row of its tooth; the edge is shortened, not thinned, so no depth is held against it"
	metal = "a metal post or core is darker than any shade tab, so no tab reaches this step; the dentist sees it"
	// The plan computes with the point that the compiler pools from the same cohorts.
	forPeople = "a pooled point for people to read: content checks it against the computed one"
	bound     = "a published bound that no shipped interval reaches; content checks it against the guideline, and a test of the plan lets it bind"
)

// unnoticed are the numbers of rules that nothing notices, each with its reason.
var unnoticed = map[string]string{
	"pooled-ce-1":                    forPeople,
	"pooled-nm-1":                    forPeople,
	"pooled-dc-v":                    forPeople,
	"pooled-dc-b":                    forPeople,
	"pooled-ic-1":                    forPeople,
	"pooled-cr-g":                    forPeople,
	"pooled-cr-m":                    forPeople,
	"pooled-if-v":                    forPeople,
	"pooled-if-dc":                   forPeople,
	"pooled-if-dc-b":                 forPeople,
	"pooled-if-cr":                   forPeople,
	"likely-contacts-no-prep":        habit,
	"likely-contacts-minimal-prep":   habit,
	"likely-bite-adjustment":         habit,
	"likely-contouring":              habit,
	"likely-switch-no-prep":          habit,
	"likely-remake":                  habit,
	"likely-remake-conventional":     habit,
	"likely-gums-bleed":              habit,
	"likely-gums-bleed-conventional": habit,
	"minimal-prep-numbing-share":     habit,
	"enamel-side-incisor":            side,
	"enamel-side-premolar":           side,
	"enamel-side-lower-incisor":      side,
	"enamel-side-canine-up":          side,
	"enamel-upper-central-incisal":   edge,
	"enamel-upper-lateral-incisal":   edge,
	"enamel-upper-canine-incisal":    edge,
	"enamel-upper-premolar-incisal":  edge,
	"enamel-lower-central-incisal":   edge,
	"enamel-lower-lateral-incisal":   edge,
	"enamel-lower-canine-incisal":    edge,
	"enamel-lower-premolar-incisal":  edge,
	"mask-space-metal":               metal,
	"recall-max-under-18":            bound,
}

// unshown are figures that something rests on and no plan shows, each with its reason.
var unshown = map[string]string{
	"coverage-hazard": "studies disagree whether covering the edge matters, so no finding asks and no number uses it; the page of all evidence says so",
	"coverage-odds":   "the same question, the other study",
}

// example is one case in one practice.
type example struct {
	c casefile.Case
	p casefile.Practice
}

func examples(t *testing.T, b *evidence.Base) []example {
	t.Helper()
	v := b.Vocabulary([]string{"en", "es", "ar"})
	read := func(path string) []byte {
		data, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		return data
	}
	p, faults := casefile.ReadPractice(read("../../testdata/practice/demo.json"), v)
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	files, err := filepath.Glob("../../testdata/cases/*.json")
	if err != nil || len(files) < 20 {
		t.Fatalf("%d example cases, %v", len(files), err)
	}
	slices.SortFunc(files, func(a, b string) int { return len(read(b)) - len(read(a)) }) // what has most in it first
	var out []example
	for _, f := range files {
		c, faults := casefile.ReadCase(read(f), v)
		if err := faults.Err(); err != nil {
			t.Fatal(err)
		}
		out = append(out, example{c, p})
	}
	// Every route by itself, every finding by itself on the commonest one, every
	// chair change done, and every age.
	plain := func(r casefile.Route, m casefile.Material) casefile.Case {
		c := casefile.Case{Version: 1, ID: "example", Issued: casefile.Date{Year: 2026, Month: 11, Day: 25}, Start: casefile.Date{Year: 2026, Month: 12, Day: 1},
			Route: r, Material: m, TargetShade: "B1", HorizonYears: 8}
		for _, tooth := range []casefile.Tooth{13, 12, 11, 21, 22, 23, 33, 32, 31, 41, 42, 43, 14, 24, 34} {
			c.Teeth = append(c.Teeth, casefile.ToothEntry{Tooth: tooth, UnderlyingShade: "A3"})
		}
		return c
	}
	for _, r := range b.Routes {
		mats := r.Materials
		if len(mats) == 0 {
			mats = []casefile.Material{"lithium-disilicate"}
		}
		for _, m := range mats {
			out = append(out, example{plain(r.Key, m), p})
		}
	}
	for _, f := range b.Findings {
		for _, r := range b.Routes {
			m := casefile.Material("feldspathic")
			if len(r.Materials) > 0 {
				m = r.Materials[0]
			}
			c := plain(r.Key, m)
			if f.Scope == "tooth" {
				c.Teeth[2].Findings = []string{f.Key}
			} else {
				c.Findings = []string{f.Key}
			}
			out = append(out, example{c, p})
		}
	}
	for _, age := range []string{"child", "adolescent", "older-adult"} {
		for _, findings := range [][]string{nil, {"high-caries"}} {
			c := plain("direct-composite", "composite")
			c.People = &casefile.People{AgeBand: age}
			c.Findings = findings
			out = append(out, example{c, p})
		}
	}
	for _, then := range []casefile.Route{"direct-composite", "no-prep", "minimal-prep", "conventional-prep"} {
		c := plain("whitening-home", "lithium-disilicate")
		c.Then = then
		out = append(out, example{c, p})
	}
	for _, s := range casefile.Shades() {
		c := plain("minimal-prep", "lithium-disilicate")
		for i := range c.Teeth {
			c.Teeth[i].UnderlyingShade = s
		}
		out = append(out, example{c, p})
	}
	for _, x := range b.Countries {
		there := p
		if len(x.Codes) > 0 {
			there.Country = x.Codes[0]
			out = append(out, example{plain("no-prep", "lithium-disilicate"), there})
		}
	}
	done := plain("minimal-prep", "lithium-disilicate")
	for _, x := range b.Changes {
		done.Events = append(done.Events, casefile.Event{Kind: casefile.DoneStep, Change: x.Key, Teeth: []casefile.Tooth{11}})
	}
	return append(out, example{done, p})
}

// planBytes is the plan without its list of figures, where every value stands
// whether anything rests on it or not.
func planBytes(t *testing.T, x example, b *evidence.Base) (plan.Plan, string) {
	t.Helper()
	pl, faults := plan.For(x.c, x.p, b)
	short := pl
	short.Figures = nil
	data, err := json.Marshal(short)
	if err != nil {
		return pl, err.Error() // a number that cannot be written is a change too
	}
	return pl, string(data) + faults.Lines()
}

// sheetBytes is every sheet without its list of sources.
func sheetBytes(t *testing.T, x example, pl plan.Plan, b *evidence.Base) string {
	t.Helper()
	var out strings.Builder
	for _, k := range sheet.Kinds() {
		if k == sheet.Change && x.c.Agreed == nil { // what is entered is what was agreed
			a := x.c.Agree(casefile.SignedPaper, "demo", "", string(sheet.Consent), x.c.Issued, nil, b.Vocabulary(nil).OfContacts)
			x.c.Agreed = &a
		}
		s := sheet.Compose(k, x.c, x.p, pl, b)
		s.Blocks = slices.DeleteFunc(s.Blocks, func(b sheet.Block) bool { return b.Kind == sheet.Sources })
		data, err := json.Marshal(s)
		if err != nil {
			t.Fatal(err)
		}
		out.Write(data)
	}
	return out.String()
}

// mutants are a figure made half as large again and half as large, within what
// its unit allows.
func mutants(f evidence.Figure) []evidence.Figure {
	times := func(k float64) evidence.Figure {
		g := f
		for _, v := range []*float64{&g.Low, &g.Value, &g.High} {
			switch {
			case *v == 0:
				*v = k
			case f.Unit == "fraction":
				*v = min(k**v, (1+*v)/2)
			default:
				*v *= k
			}
		}
		return g
	}
	return []evidence.Figure{times(1.5), times(0.5)}
}

// uses sorts the figures that rules name: numbers stand in a field of their own
// and are computed with; the others stand in a list of what something rests on,
// and are shown with their source.
func uses(b *evidence.Base) (numbers, named map[string]bool) {
	numbers, named = map[string]bool{}, map[string]bool{}
	var walk func(v reflect.Value, list bool)
	walk = func(v reflect.Value, list bool) {
		switch v.Kind() {
		case reflect.String:
			if _, ok := b.Figure(v.String()); ok && list {
				named[v.String()] = true
			} else if ok {
				numbers[v.String()] = true
			}
		case reflect.Slice:
			for i := range v.Len() {
				walk(v.Index(i), list)
			}
		case reflect.Map:
			for _, k := range v.MapKeys() {
				walk(v.MapIndex(k), list)
			}
		case reflect.Struct:
			for i := range v.NumField() {
				if f := v.Type().Field(i); f.IsExported() && f.Name != "Key" && f.Name != "ID" && f.Name != "Actions" { // keys may be called like figures
					walk(v.Field(i), list || slices.Contains([]string{"Figures", "Studies", "BasedOn", "Cohorts"}, f.Name))
				}
			}
		}
	}
	v := reflect.ValueOf(*b)
	for i := range v.NumField() {
		switch f := v.Type().Field(i); {
		case !f.IsExported(), f.Name == "Figures", f.Name == "Sources", f.Name == "References":
		default:
			walk(v.Field(i), false)
		}
	}
	for id := range numbers {
		delete(named, id)
	}
	return numbers, named
}

func TestEveryFigureIsNoticed(t *testing.T) {
	b := content.MustLoad()
	all := examples(t, b)
	plans, sheets := make([]string, len(all)), make([]string, len(all))
	at := map[string][]int{} // the examples that rest on a figure
	shown := map[string]bool{}
	every := make([]int, len(all))
	for i, x := range all {
		every[i] = i
		var pl plan.Plan
		pl, plans[i] = planBytes(t, x, b)
		sheets[i] = sheetBytes(t, x, pl, b)
		if _, again := planBytes(t, x, b); again != plans[i] {
			t.Fatal("the same data gives two plans")
		}
		for _, f := range pl.Figures {
			at[f.ID] = append(at[f.ID], i)
			shown[f.ID] = true
		}
		for _, id := range pl.PrivateFigures {
			at[id] = append(at[id], i)
		}
	}
	noticed := func(id string) bool {
		for _, i := range at[id] {
			pl, s := planBytes(t, all[i], b)
			if s != plans[i] || sheetBytes(t, all[i], pl, b) != sheets[i] {
				return true
			}
		}
		return false
	}
	numbers, named := uses(b)
	left := maps.Clone(unnoticed)
	for i := range b.Figures {
		f := b.Figures[i]
		if _, listed := unshown[f.ID]; named[f.ID] && shown[f.ID] == listed {
			t.Errorf("%s: something rests on it; shown by a plan: %v, listed as unshown: %v", f.ID, shown[f.ID], listed)
		}
		if !numbers[f.ID] {
			continue
		}
		delete(left, f.ID)
		if testing.Short() && i%5 > 0 {
			continue
		}
		if at[f.ID] == nil { // no plan names it: a sheet may still print by it
			at[f.ID] = every[:40]
		}
		if _, listed := unnoticed[f.ID]; listed {
			at[f.ID] = at[f.ID][:min(3, len(at[f.ID]))] // listed ones would go through all examples
		}
		seen := false
		for _, m := range mutants(f) {
			b.Figures[i] = m
			compile.Pool(b)
			seen = seen || noticed(f.ID)
		}
		b.Figures[i] = f
		compile.Pool(b)
		switch _, listed := unnoticed[f.ID]; {
		case !seen && !listed:
			t.Errorf("%s: nothing notices when %v %v %v becomes another number", f.ID, f.Low, f.Value, f.High)
		case seen && listed:
			t.Errorf("%s is listed as unnoticed and is not", f.ID)
		}
	}
	for id := range left {
		t.Errorf("%s is listed and no rule computes with it", id)
	}
	t.Logf("%d numbers changed, one at a time, on %d examples; %d are shown as what something rests on", len(numbers), len(all), len(named))
}

package page

import (
	"encoding/json"
	"html"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/maxence-charriere/go-app/v10/pkg/app"

	"plainleaf/app/casefile"
	"plainleaf/app/demo"
	"plainleaf/app/plan"
	"plainleaf/app/screens/decide"
	"plainleaf/app/screens/state"
)

// lines are the lines of a table of a screen, by key.
func lines(ui app.UI) (keys []string, text map[string]string) {
	page := html.UnescapeString(app.HTMLString(ui))
	text = map[string]string{}
	for _, m := range regexp.MustCompile(`(?s)<tr[^>]* data-line="([^"]*)"[^>]*>(.*?)</tr>`).FindAllStringSubmatch(page, -1) {
		keys = append(keys, m[1])
		text[m[1]] = m[2]
	}
	return keys, text
}

// demoWith returns the screens of the demo case, changed.
func demoWith(t *testing.T, change func(*casefile.Case)) *Root {
	t.Helper()
	d := loadDemo(t)
	r := d.root()
	c, faults := casefile.ReadCase(demo.Case, d.vocabulary)
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	change(&c)
	in, err := json.Marshal(c)
	if err != nil {
		t.Fatal(err)
	}
	if !r.desk.Import("case.json", string(in)) {
		t.Fatal(r.d.File().Rejected().Faults.Lines())
	}
	return r
}

// Every option has a line in the fixed order; what is always offered cannot be taken off,
// nothing is advised before the dentist does, and what is off asks why.
func TestEveryOptionHasALine(t *testing.T) {
	r := demoWith(t, func(c *casefile.Case) {
		c.Advice = nil
		c.Offered = []casefile.Offer{{Route: casefile.ConventionalPrep, Not: true, Reason: "too deep at the neck"}}
	})
	keys, text := lines(r.optionsSide())
	if len(keys) != len(casefile.Routes()) || keys[0] != "none" {
		t.Errorf("lines %v", keys)
	}
	off := func(key string) bool { return strings.Contains(text[key], "aria-disabled") }
	for _, x := range r.d.Plan().Routes {
		key := string(x.Key)
		if off(key) != (x.Key == casefile.None || x.Chosen) {
			t.Errorf("%s can be taken off: %t", key, !off(key))
		}
		if on := !strings.Contains(text[key], `aria-checked="false"`); on != x.OnTable {
			t.Errorf("%s is shown as offered: %t", key, on)
		}
		if !strings.Contains(text[key], `aria-pressed="false"`) {
			t.Errorf("%s is advised", key)
		}
		if asks := strings.Contains(text[key], `id="why-not-`+key+`"`); asks == x.OnTable {
			t.Errorf("%s asks why it is off: %t", key, asks)
		}
		if x.OnTable && x.Money.Known && !strings.Contains(text[key], r.money(x.Money.Today, x.Money.Currency)) {
			t.Errorf("%s has no fee: %s", key, text[key])
		}
	}
	if !strings.Contains(text["conventional-prep"], `value="too deep at the neck"`) {
		t.Errorf("the reason is not there: %s", text["conventional-prep"])
	}
	r.d.Way().Advise(casefile.MinimalPrep)
	if _, text := lines(r.optionsSide()); strings.Contains(text["minimal-prep"], `aria-pressed="false"`) || !strings.Contains(text["no-prep"], `aria-pressed="false"`) {
		t.Errorf("the advice is not shown: %s", text["minimal-prep"])
	}
}

// What holds an option is in its line; a private finding is the neutral line, there and
// among what has to be settled, and no word more.
func TestWhatHoldsAnOption(t *testing.T) {
	r := demoWith(t, func(c *casefile.Case) { c.Findings = append(c.Findings, "pressure-from-others", "gum-inflammation") })
	page := html.UnescapeString(app.HTMLString(r.optionsSide()))
	_, text := lines(r.optionsSide())
	if got := text["no-prep"]; !strings.Contains(got, r.t("finding.gum-inflammation.name")) && !strings.Contains(got, r.t("page.options.talk")) {
		t.Errorf("nothing holds it: %s", got)
	}
	if strings.Contains(page, r.t("finding.pressure-from-others.name")) || strings.Contains(page, "pressure-from-others") {
		t.Error("a private finding is on the screen")
	}
	if !strings.Contains(page, r.t("wait."+plan.TalkAgain)) || !strings.Contains(page, `id="reason-gum-inflammation"`) {
		t.Error("what has to be settled first is not there")
	}
}

// Every time of every endpoint is in a table of how long it lasts, what is not known with
// its reason.
func TestEveryExpectationIsInATable(t *testing.T) {
	for name, change := range map[string]func(*casefile.Case){
		"alike": func(*casefile.Case) {},
		"unlike": func(c *casefile.Case) {
			c.Findings, c.Answers = nil, nil
			c.Teeth = []casefile.ToothEntry{{Tooth: 11, Findings: []string{"dentin-unsealed"}}, {Tooth: 21}, {Tooth: 22, Route: casefile.DirectComposite, Material: casefile.Composite}}
		},
	} {
		r := demoWith(t, change)
		page := html.UnescapeString(app.HTMLString(r.lastsSide()))
		groups := plan.AlikeTeeth(r.d.Plan().Expectations)
		tables := strings.Split(page, `class="dense-grid"`)[1:]
		want := len(groups)
		if want > 1 {
			want++ // all of them together
		}
		if len(tables) != want {
			t.Fatalf("%s: %d tables for %d groups", name, len(tables), len(groups))
		}
		for i, g := range groups {
			for _, e := range g.List {
				key := e.Endpoint + "-" + plain(float64(e.Years), 0)
				if !e.PerTooth.Known() {
					key = e.Endpoint + "-" + e.PerTooth.Unknown
				}
				if !strings.Contains(tables[i], `data-line="`+key+`"`) {
					t.Errorf("%s: table %d has no line %s", name, i, key)
				}
				if !e.PerTooth.Known() && !strings.Contains(tables[i], r.t("unknown."+e.PerTooth.Unknown)) {
					t.Errorf("%s: table %d does not say why %s", name, i, key)
				}
			}
		}
	}
}

// The list has every visit in its order, an agreed day with what speaks against it, and
// no date while something holds it.
func TestEveryVisitHasALine(t *testing.T) {
	r := demoWith(t, func(*casefile.Case) {})
	p := r.d.Plan()
	first := r.d.Visits().List()[0]
	day := first.Likely
	for day.Weekday() != time.Sunday { // when the practice is closed
		day = day.AddDays(1)
	}
	r.d.Visits().Agree(first.Key, first.Number, day)
	p = r.d.Plan()
	keys, text := lines(r.visitsSide())
	var want []string
	for _, v := range p.Visits {
		want = append(want, v.Key)
	}
	if !slices.Equal(keys, want) {
		t.Errorf("lines %v, want %v", keys, want)
	}
	clash := r.d.Visits().List()
	for i, v := range clash {
		for _, x := range v.Against {
			said := r.t("page.agreed." + x.Kind)
			if !x.Date.IsZero() {
				said = r.t("page.agreed."+x.Kind, "Date", r.date(x.Date))
			}
			if !strings.Contains(text[keys[i]], said) {
				t.Errorf("%s does not say %q", keys[i], said)
			}
		}
	}
	if !slices.ContainsFunc(clash, func(v state.Visit) bool { return len(v.Against) > 0 }) {
		t.Error("nothing speaks against the day; this proves nothing")
	}
	if i := slices.IndexFunc(clash, func(v state.Visit) bool { return v.Agreed != nil }); !strings.Contains(text[keys[i]], r.date(clash[i].Agreed.Date)) || !strings.Contains(text[keys[i]], r.t("page.days.agreed")) {
		t.Errorf("the agreed day is not there: %s", text[keys[i]])
	}
	r.open = decide.ID(clash[0])
	if page := app.HTMLString(r.visitsSide()); !strings.Contains(page, `id="`+r.open+`-`) {
		t.Error("a visit that is tapped does not open")
	}

	held := demoWith(t, func(c *casefile.Case) { c.Findings = append(c.Findings, "pressure-from-others") })
	if page := app.HTMLString(held.visitsSide()); !strings.Contains(page, `id="on-hold"`) || strings.Contains(page, `id="why-end"`) {
		t.Error("what holds the visits is not told")
	}
	for _, v := range held.d.Plan().Visits {
		if _, text := lines(held.visitsSide()); v.Likely.IsZero() && !strings.Contains(text[v.Key], held.t("sheet.schedule.undated")) {
			t.Errorf("%s has a date: %s", v.Key, text[v.Key])
		}
	}
}

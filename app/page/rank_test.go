package page

import (
	"encoding/json"
	"html"
	"slices"
	"strings"
	"testing"

	"github.com/maxence-charriere/go-app/v10/pkg/app"

	"plainleaf/app/casefile"
	"plainleaf/app/demo"
	"plainleaf/app/plan"
)

// The tables of how long things last say that numbers of several anchors are not to be held
// against each other; beside the options there is no such number, and the list of what the
// patient puts first has one anchor.
func TestNoScreenRanksTwoAnchors(t *testing.T) {
	d := loadDemo(t)
	told, apart := 0, 0
	for _, route := range casefile.Routes() {
		for _, other := range []casefile.Route{"", casefile.ConventionalPrep, casefile.NoPrep} {
			r := d.root()
			c, faults := casefile.ReadCase(demo.Case, d.vocabulary)
			if len(faults) > 0 {
				t.Fatal(faults.Lines())
			}
			c.Route, c.Material, c.Detail, c.Then, c.Priorities = route, casefile.LithiumDisilicate, "numbers", "", []string{"longest-lasting"}
			switch route {
			case casefile.DirectComposite:
				c.Material = casefile.Composite
			case casefile.None, casefile.WhiteningHome, casefile.WhiteningInOffice, casefile.StraighteningFirst, casefile.GumCareFirst:
				c.Material = ""
			}
			c.Teeth, c.Findings, c.Answers, c.Events, c.Visits = []casefile.ToothEntry{{Tooth: 11}, {Tooth: 21, Route: other}}, nil, nil, nil, nil
			if other != "" {
				c.Teeth[1].Material = casefile.LithiumDisilicate
			}
			in, err := json.Marshal(c)
			if err != nil {
				t.Fatal(err)
			}
			if !r.desk.Import("case.json", string(in)) {
				t.Fatalf("%s with %q: %s", route, other, r.d.File().Rejected().Faults.Lines())
			}
			p := r.d.Plan()
			if p == nil {
				t.Fatalf("%s with %q: no plan", route, other)
			}
			show := func(parts ...app.UI) string { return html.UnescapeString(app.HTMLString(box("div", "", parts...))) }
			numbers := func(s string) bool { return strings.Contains(s, "still in place after") }
			if table := show(r.optionsSide()); numbers(table) {
				t.Errorf("%s with %q: a number of how long it lasts beside the options", route, other)
			}
			if anchors := placed(p.Expectations, nil); len(anchors) > 0 {
				told++
				lasts := show(r.lastsSide())
				if !strings.Contains(lasts, "(could be") {
					t.Errorf("%s with %q: no number", route, other)
				}
				if len(anchors) > 1 {
					apart++
					if !strings.Contains(lasts, r.t("sheet.expect.apart")) {
						t.Errorf("%s with %q: numbers of %v without a word that they are not to be compared", route, other, anchors)
					}
				}
			}
			r.shown["wish-longest-lasting"] = true
			if !numbers(show(r.optionsSide())) && p.Order[0].Routes[0].Value.Known() {
				t.Errorf("%s with %q: no number where the patient put it first", route, other)
			}
			var anchors []string
			for _, x := range p.Order[0].Routes {
				if i := slices.IndexFunc(p.Routes, func(f plan.RouteFacts) bool { return f.Key == x.Route }); x.Value.Known() && i >= 0 {
					anchors = placed(p.Routes[i].Expectations, anchors)
				}
			}
			if len(anchors) > 1 {
				t.Errorf("%s with %q: put in order by %v", route, other, anchors)
			}
		}
	}
	if told < 20 || apart == 0 {
		t.Errorf("%d screens with numbers, %d of several anchors", told, apart)
	}
}

// placed adds the anchors behind what is known to stay in place.
func placed(list []plan.Expectation, into []string) []string {
	for _, e := range list {
		if e.Known && e.Route != "" && e.Endpoint == plan.InPlace && !slices.Contains(into, e.Anchor) {
			into = append(into, e.Anchor)
		}
	}
	return into
}

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

// The cards of the routes put numbers of one anchor beside each other for each endpoint;
// a card whose own teeth rest on several says that they must not be held against each
// other, and the list of what the patient puts first has one anchor too.
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
			warned := strings.Contains(show(r.routesView()...), r.t("sheet.expect.apart"))
			var anchors []string
			for _, x := range p.Routes {
				if card := show(r.routeCard(x)); numbers(card) {
					told++
					anchors = placed(x.Expectations, anchors)
				}
			}
			if len(anchors) > 1 {
				apart++
				if !warned {
					t.Errorf("%s with %q: numbers of %v without a word that they are not to be compared", route, other, anchors)
				}
			}
			anchors = nil
			for _, x := range p.Order[0].Routes {
				i := slices.IndexFunc(p.Routes, func(f plan.RouteFacts) bool { return f.Key == x.Route })
				if x.Value.Known() && numbers(show(r.longest(p.Routes[i]))) {
					anchors = placed(p.Routes[i].Expectations, anchors)
				}
			}
			if len(anchors) > 1 {
				t.Errorf("%s with %q: put in order by %v", route, other, anchors)
			}
		}
	}
	if told < 40 || apart == 0 {
		t.Errorf("%d cards with numbers, %d of several anchors", told, apart)
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

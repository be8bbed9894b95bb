package plan

import (
	"slices"

	"plainleaf/app/casefile"
)

// comparable marks the routes whose expectations may stand beside those of the
// chosen route: composite and ceramic only from one and the same setting, or not
// at all (evidence-longevity 4.4: between settings the gap is wider than the one
// measured within a practice). Where the chosen route has no number, the others
// are held against the first ceramic one that has.
func comparable(routes []RouteFacts) {
	i := slices.IndexFunc(routes, func(r RouteFacts) bool { return r.Chosen && r.numbers(false) })
	if i < 0 {
		i = slices.IndexFunc(routes, func(r RouteFacts) bool { return r.numbers(true) })
	}
	for k := range routes {
		routes[k].Comparable = i < 0 || k == i || beside(routes[i].Expectations, routes[k].Expectations)
	}
}

// numbers reports whether anything is known of the route's restorations; with
// ceramic set, of ceramic ones.
func (r *RouteFacts) numbers(ceramic bool) bool {
	return slices.ContainsFunc(r.Expectations, func(e Expectation) bool {
		return e.Known && e.Material != "" && !(ceramic && composite(e.Material))
	})
}

// beside reports whether two lists may be compared. Cohorts of several settings
// are no setting of their own, so "mixed" is never the same as "mixed".
func beside(a, b []Expectation) bool {
	var room [2][8]study
	here, there := studies(room[0][:0], a), studies(room[1][:0], b)
	for _, x := range here {
		for _, y := range there {
			if x.endpoint == y.endpoint && x.composite != y.composite && (x.setting != y.setting || x.setting == "mixed") {
				return false
			}
		}
	}
	return true
}

// study is where what is known of an endpoint comes from.
type study struct {
	endpoint, setting string
	composite         bool
}

// studies adds those of a list, each once.
func studies(out []study, list []Expectation) []study {
	for i := range list {
		e := &list[i]
		if s := (study{e.Endpoint, e.Setting, composite(e.Material)}); e.Known && e.Route != "" && !slices.Contains(out, s) {
			out = append(out, s)
		}
	}
	return out
}

func composite(m casefile.Material) bool {
	return m == casefile.Composite || m == casefile.IndirectComposite
}

// OneSetting reports whether the groups of one mouth rest on studies that may
// stand beside each other; where not, what is told of all its teeth together is
// rougher than either.
func OneSetting(mouth []Expectation) bool { return beside(mouth, mouth) }

// sameSetting gives the pair of each endpoint that the data has.
func (w *work) sameSetting() []SameSetting {
	out := []SameSetting{}
	for _, endpoint := range []string{InPlace, NothingNeeded} {
		if w.b.Settings["pair-composite-"+endpoint] == "" {
			continue
		}
		l := w.ledger()
		a := l.ruled("pair-composite-" + endpoint)
		b := l.ruled("pair-ceramic-" + endpoint)
		years := l.ruled("pair-years")
		if a == nil || b == nil || years == nil {
			continue
		}
		out = append(out, SameSetting{Endpoint: endpoint, Years: up(years.Value), Setting: "daily-practice", Composite: estimateOf(a).round(),
			Ceramic: estimateOf(b).round(), Certainty: worse(a.Certainty, b.Certainty), Figures: l.list()})
	}
	return out
}

package outlook

import (
	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
	"plainleaf/app/plan/basis"
)

// Anchors is the anchor behind what is known of each endpoint, and whether there is one
// for each. Anchors rest on different studies of different people, and the gap between two
// settings is wider than one measured within a practice (evidence-longevity 4.4): numbers
// of two are never compared.
func Anchors(list []Expectation) (of map[string]string, one bool) {
	of, one = map[string]string{}, true
	for i := range list {
		e := &list[i]
		if !e.Known || e.Route == "" {
			continue
		}
		if first, ok := of[e.Endpoint]; ok {
			one = one && first == e.Anchor
		} else {
			of[e.Endpoint] = e.Anchor
		}
	}
	return of, one
}

// Composite reports whether a material is filling material.
func Composite(m casefile.Material) bool {
	return m == casefile.Composite || m == casefile.IndirectComposite
}

// OneSetting reports whether the groups of one mouth rest on studies that may be shown
// beside each other; where not, what is said of all its teeth together is
// rougher than either.
func OneSetting(mouth []Expectation) bool {
	_, one := Anchors(mouth)
	return one
}

// SameSetting is one endpoint of composite and of ceramic veneers, per tooth, as
// one study found them in one setting.
type SameSetting struct {
	Endpoint  string             `json:"endpoint"`
	Years     int                `json:"years"`
	Setting   string             `json:"setting"`
	Composite basis.Estimate     `json:"composite"`
	Ceramic   basis.Estimate     `json:"ceramic"`
	Certainty evidence.Certainty `json:"certainty"`
	Figures   []string           `json:"figures"`
}

// SameSettings lists the pair of each endpoint that the data has.
func SameSettings(s *basis.Basis) []SameSetting {
	out := []SameSetting{}
	for _, endpoint := range []string{InPlace, NothingNeeded} {
		if s.Evidence.Settings["pair-composite-"+endpoint] == "" {
			continue
		}
		l := s.Ledger(false)
		a := l.Rule("pair-composite-" + endpoint)
		b := l.Rule("pair-ceramic-" + endpoint)
		years := l.Rule("pair-years")
		if a == nil || b == nil || years == nil {
			continue
		}
		out = append(out, SameSetting{Endpoint: endpoint, Years: basis.Up(years.Value), Setting: "daily-practice", Composite: basis.EstimateOf(a).Round(),
			Ceramic: basis.EstimateOf(b).Round(), Certainty: worse(a.Certainty, b.Certainty), Figures: l.IDs()})
	}
	return out
}

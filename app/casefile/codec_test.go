package casefile

import (
	"testing"
)

var word = Vocabulary{
	Findings: map[string]FindingWord{
		"bruxism":        {Scope: "case"},
		"calm-bite":      {Scope: "case"},
		"no-back-teeth":  {Scope: "case", Excludes: []string{"calm-bite"}},
		"one-dark-tooth": {Scope: "tooth"},
		"root-filled":    {Scope: "tooth"},
		"tight-contacts": {Scope: "either"},
		"open-contacts":  {Scope: "either", Excludes: []string{"tight-contacts"}},
		"young-patient":  {Scope: "case", AgeBands: []string{"child", "adolescent"}},
		"pregnancy":      {Scope: "case", Private: true},
	},
	Changes: map[string]ChangeWord{
		"facial-contouring": {Reversible: "no"},
		"numbing-needed":    {Reversible: "yes"},
		"remake-by-lab":     {Reversible: "yes"},
	},
	Materials: map[Route][]Material{
		DirectComposite:  {Composite},
		NoPrep:           {Feldspathic, LithiumDisilicate},
		MinimalPrep:      {Feldspathic, LithiumDisilicate},
		ConventionalPrep: {Feldspathic, LithiumDisilicate},
		Crown:            {LithiumDisilicate, Zirconia, MetalCeramic},
		ReplaceVeneers:   {Feldspathic, LithiumDisilicate},
	},
	Priorities: []string{"keep-enamel", "fewest-visits", "reversible"},
	Locales:    []string{"en", "es", "ar"},
	Figures:    map[string]string{"visit.try-in.minutes": "minutes", "change.opening-contacts.likely": "fraction"},
	Fees:       map[string]bool{"no-prep": true, "night-guard": true},
}

// design is the example of the file format in the design notes.
const design = `{ "version": 1, "issued": "2026-11-25", "start": "2026-12-01",
  "locale": "es", "second": "en", "numbering": "fdi",
  "route": "no-prep", "material": "lithium-disilicate", "target_shade": "A1",
  "teeth": [ {"tooth": "11", "findings": ["one-dark-tooth"], "underlying_shade": "C4"},
             {"tooth": "21"}, {"tooth": "12", "route": "minimal-prep"} ],
  "findings": ["bruxism", "tight-contacts"],
  "answers": [ {"change": "facial-contouring", "teeth": ["11"], "answer": "ask"} ],
  "priorities": ["keep-enamel", "fewest-visits"], "horizon_years": 20 }`

func TestReadCase(t *testing.T) {
	c, faults := ReadCase([]byte(design), word)
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	if c.Teeth[2].Tooth != 12 || c.Teeth[2].Route != MinimalPrep || c.Start != (Date{2026, 12, 1}) || c.Answers[0].Teeth[0] != 11 {
		t.Errorf("read %+v", c)
	}
	first, err := WriteCase(c)
	if err != nil {
		t.Fatal(err)
	}
	again, faults := ReadCase(first, word)
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	second, err := WriteCase(again)
	if err != nil || string(second) != string(first) {
		t.Errorf("written again:\n%s\nfirst:\n%s (%v)", second, first, err)
	}
}

package evidence

import (
	"maps"
	"slices"
	"testing"

	"plainleaf/app/casefile"
)

func TestVocabulary(t *testing.T) {
	b := &Base{
		Findings: []Finding{
			{Key: "bruxism", Scope: "case", Effects: []Effect{{Appliances: []string{"night-guard"}}}},
			{Key: "pregnancy", Scope: "case", Private: true, AgeBands: []string{"adult"}, Excludes: []string{"bruxism"}},
		},
		Changes:    []Change{{Key: "edge-length", Reversible: "yes", Over: "contacts"}},
		Routes:     []RouteRule{{Key: casefile.NoPrep, Materials: []casefile.Material{casefile.Feldspathic}, Visits: []VisitRule{{Key: "review"}}}},
		Upkeep:     []UpkeepRule{{Key: "polish", Appliance: "retainer"}},
		Priorities: []Priority{{Key: "soonest"}, {Key: "whitest"}},
		Figures: []Figure{
			{ID: "habit", Unit: "minutes", Certainty: Practice, Seen: PracticeHabit},
			{ID: "study", Unit: "fraction", Certainty: Low, Seen: Verified},
			{ID: "memory", Unit: "mm", Certainty: Practice, Seen: Memory},
		},
	}
	v := b.Vocabulary([]string{"en"})
	if f := v.Findings["pregnancy"]; !f.Private || f.Scope != "case" || !slices.Equal(f.AgeBands, []string{"adult"}) || !v.Excludes("bruxism", "pregnancy") {
		t.Errorf("pregnancy is %+v", f)
	}
	if c := v.Changes["edge-length"]; c.Reversible != "yes" || !c.Contacts {
		t.Errorf("edge-length is %+v", c)
	}
	if m := v.Materials[casefile.NoPrep]; !slices.Equal(m, []casefile.Material{casefile.Feldspathic}) {
		t.Errorf("no-prep is made of %v", m)
	}
	// Only habits of the trade are replaced by a practice: never a study's figure, never a remembered one.
	if !maps.Equal(v.Figures, map[string]string{"habit": "minutes"}) {
		t.Errorf("figures %v", v.Figures)
	}
	if v.Fees["bruxism"] {
		t.Error("a finding has a fee")
	}
	for _, key := range []string{"no-prep", "night-guard", "retainer", "polish", "review", "edge-length"} {
		if !v.Fees[key] {
			t.Errorf("%s cannot have a fee", key)
		}
	}
	if !slices.Equal(v.Priorities, []string{"soonest", "whitest"}) || !slices.Equal(v.Locales, []string{"en"}) {
		t.Errorf("%v %v", v.Priorities, v.Locales)
	}
}

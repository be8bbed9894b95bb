package evidence

import "plainleaf/app/casefile"

// What a practice may ask a fee for beside routes, care, appliances and visits. Words:
// money.<key>.
const (
	Temporaries  = "temporaries"    // temporary covers
	GuardStopGap = "guard-stop-gap" // what is worn until the night guard is fitted
)

// Items lists them.
func Items() []string { return []string{Temporaries, GuardStopGap} }

// Vocabulary is what the checks of case and practice files need of b; locales
// are those that have a wording.
func (b *Base) Vocabulary(locales []string) casefile.Vocabulary {
	v := casefile.Vocabulary{
		Findings:  map[string]casefile.FindingWord{},
		Changes:   map[string]casefile.ChangeWord{},
		Cares:     map[string]bool{},
		Materials: map[casefile.Route][]casefile.Material{},
		Locales:   locales,
		Figures:   map[string]string{},
		Fees:      map[string]bool{},
	}
	for _, f := range b.Findings {
		v.Findings[f.Key] = casefile.FindingWord{Scope: f.Scope, Private: f.Private, Excludes: f.Excludes, AgeBands: f.AgeBands}
		for _, e := range f.Effects {
			for _, a := range e.Appliances {
				v.Fees[a] = true
			}
		}
	}
	for _, c := range b.Changes {
		v.Changes[c.Key] = casefile.ChangeWord{Reversible: c.Reversible, Contacts: c.OfContacts(), Takes: c.Takes()}
		v.Fees[c.Key] = true
	}
	for _, c := range b.Cares {
		v.Cares[c.Key], v.Fees[c.Key] = true, true
		for _, x := range c.Visits {
			v.Fees[x.Key] = true
		}
	}
	for _, item := range Items() {
		v.Fees[item] = true
	}
	for _, r := range b.Routes {
		v.Materials[r.Key] = r.Materials
		if r.Whitens() {
			v.Cares[string(r.Key)] = true
		}
		v.Fees[string(r.Key)] = true
		for _, x := range r.Visits {
			v.Fees[x.Key] = true
		}
	}
	for _, u := range b.Upkeep {
		v.Fees[u.Key] = true
		if u.Appliance != "" {
			v.Fees[u.Appliance] = true
		}
	}
	for _, p := range b.Priorities {
		v.Priorities = append(v.Priorities, p.Key)
	}
	// A practice replaces habits of the trade with its own figures, never a study's.
	for _, f := range b.Figures {
		if f.Certainty == Practice && f.Seen == PracticeHabit {
			v.Figures[f.ID] = string(f.Unit)
		}
	}
	return v
}

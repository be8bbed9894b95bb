package casefile

// Vocabulary is what the checks need to know of the clinical data and the
// wordings, passed in so that nothing here depends on them.
type Vocabulary struct {
	Findings   map[string]FindingWord
	Changes    map[string]ChangeWord
	Cares      map[string]bool      // care that can come first, and whitening
	Materials  map[Route][]Material // none: the route takes no material
	Priorities []string
	Locales    []string // locales that have a wording
	// Figures are the figures a practice may replace with its own, with their unit.
	Figures map[string]string
	// Currencies are the ISO 4217 codes that amounts can be written in; none: any of that form.
	Currencies []string
	// Fees are the keys a fee may have.
	Fees map[string]bool
}

// FindingWord says where and of whom a finding can be true.
type FindingWord struct {
	Scope    string // case, tooth or either
	Private  bool
	Excludes []string // cannot be true together with these
	AgeBands []string // if any: only in these
}

// ChangeWord says what an answer to a chair change can mean.
type ChangeWord struct {
	Reversible string // yes, no, partly: for the tooth
	Contacts   bool   // happens between two teeth
	Takes      bool   // takes something from the tooth that does not grow back
}

// OfContacts reports whether a chair change happens between two teeth.
func (v Vocabulary) OfContacts(change string) bool { return v.Changes[change].Contacts }

// Takes reports whether a chair change takes something from the tooth that does
// not grow back.
func (v Vocabulary) Takes(change string) bool { return v.Changes[change].Takes }

// Excludes reports whether two findings cannot both be true; either may name the other.
func (v Vocabulary) Excludes(a, b string) bool {
	for _, x := range v.Findings[a].Excludes {
		if x == b {
			return true
		}
	}
	for _, x := range v.Findings[b].Excludes {
		if x == a {
			return true
		}
	}
	return false
}

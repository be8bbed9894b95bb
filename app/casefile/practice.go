package casefile

// PracticeVersion is the version of the practice file that this program writes. It
// reads every version up to it: what version 1 wrote opens for ever.
//
// Version 2 added country, waivers, confirmed, approved and in_service, all optional.
const PracticeVersion = 2

// Waivable lists the open points that a practice may let a patient waive, in own words.
func Waivable() []string { return []string{"thinking-time", "questions", "trial-smile"} }

// Practice is the practice file: names and numbers, opening days, fees, sign-offs
// and the practice's own figures and wordings.
type Practice struct {
	Version int    `json:"version"`
	Demo    bool   `json:"demo,omitempty"` // every page is marked as a specimen
	Name    string `json:"name"`
	Address string `json:"address,omitempty"`
	// Country is where the practice is, ISO 3166-1 alpha-2: it decides which toothpaste
	// its patients are advised to use, and the national emergency number where none was entered.
	Country string `json:"country,omitempty" strict:"said"`
	Dentist string `json:"dentist,omitempty"` // who does the work, as printed on sheets
	// Telephone is the daytime number, EmergencyLine the practice's out-of-hours
	// number, EmergencyService the national emergency number.
	Telephone        string `json:"telephone"`
	EmergencyLine    string `json:"emergency_line"`
	EmergencyService string `json:"emergency_service,omitempty"`
	Email            string `json:"email,omitempty"`
	Complaints       string `json:"complaints,omitempty"` // whom to tell, in the practice's words
	Guarantee        string `json:"guarantee,omitempty"`  // in the practice's words; empty: none is given
	Remakes          string `json:"remakes,omitempty"`    // who pays before anything is glued, in the practice's words
	Funding          string `json:"funding,omitempty"`

	Locale    string   `json:"locale"` // the practice's own language, whose text governs
	Languages []string `json:"languages,omitempty"`

	Currency string         `json:"currency,omitempty" strict:"said"` // ISO 4217
	Fees     map[string]Fee `json:"fees,omitempty"`                   // by route key, appliance key or item key

	OpeningDays    []string  `json:"opening_days,omitempty"` // mon..sun
	Closures       []Closure `json:"closures,omitempty"`
	LaboratoryDays []string  `json:"laboratory_days,omitempty"`
	LabClosures    []Closure `json:"laboratory_closures,omitempty"`
	TimeZone       string    `json:"time_zone,omitempty" strict:"said"` // IANA
	BaseAddress    string    `json:"base_address,omitempty" strict:"said"`

	// Waivers are the open points that a patient may waive, in own words; see Waivable.
	Waivers []string `json:"waivers,omitempty"`

	SignOffs []SignOff                 `json:"sign_offs,omitempty"`
	Figures  map[string]PracticeFigure `json:"figures,omitempty"`  // replaces practice figures only
	Wordings map[string]map[string]any `json:"wordings,omitempty"` // locale -> message id -> text or plural forms
	// WordingSources notes what sentences among Wordings were translated from, where it
	// is known: locale -> message id -> source language and digest of its text then. It
	// has the type of Wordings, which keeps the browser program small.
	WordingSources map[string]map[string]any `json:"wording_sources,omitempty"`
	// Approved notes what the sign-offs of a language are about: locale -> message id ->
	// digest of the sentence, and, for a language other than the practice's own, after a
	// space the digest of the sentence in the practice's own that it was compared with.
	Approved map[string]map[string]any `json:"approved,omitempty"`
	// InService holds sentences among Wordings as they were when approved: sheets print
	// them until what replaced them is approved too.
	InService map[string]map[string]any `json:"in_service,omitempty"`

	// Confirmed are the keys of fields that are the demo practice's and right for this
	// one too. An entry counts only while the value still is the demo's.
	Confirmed []string `json:"confirmed,omitempty"`
}

// Fee is in minor units of the practice's currency (cents).
type Fee struct {
	PerTooth int64 `json:"per_tooth,omitempty"`
	Flat     int64 `json:"flat,omitempty"`
}

// Closure is a span of closed days, both ends included.
type Closure struct {
	From Date `json:"from"`
	To   Date `json:"to"`
}

// SignOff says that a qualified person checked one sheet kind in one locale.
type SignOff struct {
	Sheet  string `json:"sheet"` // sheet kind, or "all"
	Locale string `json:"locale"`
	Who    string `json:"who"`
	Role   string `json:"role"`
	When   Date   `json:"when"`
	// Wording is the digest of the locale's sheet wording that was signed off.
	Wording string `json:"wording,omitempty"`
}

// PracticeFigure replaces a shipped practice figure; same unit as shipped.
type PracticeFigure struct {
	Low    *float64 `json:"low,omitempty"`
	Likely *float64 `json:"likely,omitempty"`
	High   *float64 `json:"high,omitempty"`
}

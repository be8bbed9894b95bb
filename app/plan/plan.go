// Package plan computes what follows from a case: visits and dates, findings
// and wait-fors, chair changes, expectations, enamel, colour, upkeep and money.
// It is pure: no clock, no input or output, no language. Every value keeps the
// ids of the figures it rests on. Probabilities are fractions rounded to four
// decimals, so that native and wasm agree.
package plan

import (
	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
	"plainleaf/app/plan/basis"
	"plainleaf/app/plan/outlook"
	"plainleaf/app/plan/schedule"
)

// Version of the plan's JSON form.
const Version = 1

// What the parts of a plan are made of has its place in the packages that compute it.
type (
	Estimate    = basis.Estimate
	FigureUse   = basis.FigureUse
	Visit       = schedule.Visit
	Span        = schedule.Span
	Conflict    = schedule.Conflict
	Added       = schedule.Added
	Upkeep      = schedule.Check
	Expectation = outlook.Expectation
	SameSetting = outlook.SameSetting
	Alike       = outlook.Alike
)

// Keys and reasons that sheets and screens compare with.
const (
	InPlace        = outlook.InPlace
	NothingNeeded  = outlook.NothingNeeded
	TalkAgain      = schedule.TalkAgain
	WhyWhitening   = schedule.WhyWhitening
	ConflictOrder  = schedule.ConflictOrder
	ConflictEarly  = schedule.ConflictEarly
	ConflictClosed = schedule.ConflictClosed
	NoFigure       = basis.NoFigure
	NoFee          = basis.NoFee
	TooUncertain   = basis.TooUncertain
	NoStudy        = basis.NoStudy
	OtherSetting   = basis.OtherSetting
	Mixed          = basis.Mixed
	Planned        = basis.Planned
)

// Plan is the result.
type Plan struct {
	Version int    `json:"version"`
	Content string `json:"content"` // version of the evidence
	// Open lists what is still missing or unsettled, in the order in which it is settled.
	Open []Open `json:"open"`
	// InForce are the answers that hold in the chair; see casefile.Case.Standing.
	InForce []InForce `json:"in_force"`
	// ToothState is how far each tooth has been changed, by what was noted as done.
	ToothState   []ToothState    `json:"tooth_state"`
	Routes       []RouteFacts    `json:"routes"`
	Visits       []Visit         `json:"visits"`
	Findings     []FindingEffect `json:"findings"`
	WaitFor      []WaitFor       `json:"wait_for"`
	ChairChanges []ChairChange   `json:"chair_changes"`
	Resting      []Resting       `json:"resting_answers"`
	Expectations []Expectation   `json:"expectations"`
	Enamel       Enamel          `json:"enamel"`
	Colour       []Colour        `json:"colour"`
	Upkeep       []Upkeep        `json:"upkeep"`
	Appliances   []string        `json:"appliances"`
	Aftercare    []AftercareLine `json:"aftercare"`
	Warnings     []Warning       `json:"warnings"`
	Risks        []Risk          `json:"risks"`
	Money        Money           `json:"money"`
	Order        []Standing      `json:"order"`
	Deciding     Deciding        `json:"deciding"`
	// SameSetting compares composite with ceramic veneers from one setting.
	SameSetting []SameSetting `json:"same_setting"`
	// Chain is the longest chain of visits, keys in order: each waits for the one before.
	Chain []string `json:"chain"`
	// Adds is what findings on that chain add to the likely last date.
	Adds []Added `json:"adds"`
	// OnHold: something is not settled yet, so the dates hold only once it is.
	OnHold  bool        `json:"on_hold"`
	Figures []FigureUse `json:"figures"`
	// PrivateFigures are the ids that only private findings rest on: never for a sheet.
	PrivateFigures []string `json:"private_figures"`
}

// Resting is an answer to a step that cannot happen on the present route.
type Resting struct {
	Key    string           `json:"key"`
	Teeth  []casefile.Tooth `json:"teeth"`
	Answer casefile.Answer  `json:"answer"`
}

// Limit is the size, mm, up to which a step may be agreed to beforehand: where the
// dentist asks anyway, or else the most the step can take. False when it has none.
func (p Plan) Limit(change string) (float64, bool) {
	for _, c := range p.ChairChanges {
		switch {
		case c.Key != change:
		case c.AskAnyway.OverMM != nil:
			return *c.AskAnyway.OverMM, true
		case c.HighMM != nil && *c.HighMM > 0:
			return *c.HighMM, true
		}
	}
	return 0, false
}

// RouteFacts is one route beside the others: the same fields for each.
type RouteFacts struct {
	Key    casefile.Route `json:"key"`
	Chosen bool           `json:"chosen"`
	// NotOffered is the dentist's reason why this route is not on the table.
	NotOffered   string            `json:"not_offered,omitempty"`
	Then         casefile.Route    `json:"then,omitempty"`  // what follows a route that comes first
	Mixed        bool              `json:"mixed,omitempty"` // the chosen plan has teeth on other routes; its facts are of the whole plan
	Material     casefile.Material `json:"material,omitempty"`
	Teeth        []casefile.Tooth  `json:"teeth"`
	Visits       Estimate          `json:"visits"`   // count
	Minutes      Estimate          `json:"minutes"`  // chair minutes in all
	Dates        Span              `json:"dates"`    // of the last visit
	Sittings     int               `json:"sittings"` // delivery sittings, likely
	Numbing      string            `json:"numbing"`
	Temporaries  string            `json:"temporaries"`
	Removal      Removal           `json:"removal"`
	Reversible   string            `json:"reversible"`
	Expectations []Expectation     `json:"expectations"`
	Money        RouteMoney        `json:"money"`
	// Comparable: its expectations may stand beside those of the chosen route.
	// Composite and ceramic may only when both come from one setting; SameSetting
	// has a pair that does.
	Comparable bool           `json:"comparable"`
	Colour     []Colour       `json:"colour"`      // as Plan.Colour has it for the chosen route
	Risks      []Risk         `json:"risks"`       // as Plan.Risks has them for the chosen route
	LivingWith string         `json:"living_with"` // message id
	Level      evidence.Level `json:"level"`       // strongest public finding on this route
	Figures    []string       `json:"figures"`
}

// Removal is the planned removal, mm, by place; zero where nothing is planned.
type Removal struct {
	Planned  bool     `json:"planned"`
	Cervical Estimate `json:"cervical"`
	Middle   Estimate `json:"middle"`
	Incisal  Estimate `json:"incisal"`
	Proximal Estimate `json:"proximal"` // each side
	Share    Estimate `json:"share"`    // percent of the visible tooth
	Figures  []string `json:"figures"`
}

// FindingEffect is what one finding does on the chosen route or routes.
type FindingEffect struct {
	Key        string           `json:"key"`
	Teeth      []casefile.Tooth `json:"teeth"` // empty: the whole mouth or person
	Level      evidence.Level   `json:"level"`
	Actions    []string         `json:"actions"`
	Visits     Estimate         `json:"visits"` // extra visits
	Appliances []string         `json:"appliances,omitempty"`
	Private    bool             `json:"private"`
	Figures    []string         `json:"figures"`
}

// WaitFor is something to settle before this route may go on. Key is the
// finding's, or TalkAgain for any number of private findings together.
type WaitFor struct {
	Key     string           `json:"key"`
	Level   evidence.Level   `json:"level"`
	Teeth   []casefile.Tooth `json:"teeth,omitempty"`
	Private bool             `json:"private"`
	Wait    Estimate         `json:"wait"`             // calendar days
	Reason  string           `json:"reason,omitempty"` // the dentist's reason for going on, when given
	Figures []string         `json:"figures"`
}

// ChairChange is a departure that may become necessary, for the teeth that
// share one answer. A key stands once for each different answer.
type ChairChange struct {
	Key        string           `json:"key"`
	Teeth      []casefile.Tooth `json:"teeth"`
	Trigger    string           `json:"trigger"` // words: trigger.<key>
	LowMM      *float64         `json:"low_mm"`  // null: nothing is removed
	HighMM     *float64         `json:"high_mm"`
	Place      string           `json:"place"` // where the size is measured, words: place.<key>
	PerSurface bool             `json:"per_surface,omitempty"`
	Removes    string           `json:"removes"`
	Reversible string           `json:"reversible"` // yes, no, partly
	AskAnyway  AskAnyway        `json:"ask_anyway"`
	Answer     casefile.Answer  `json:"answer"`  // "" while blank
	ActsAs     casefile.Answer  `json:"acts_as"` // what the answer means in the chair: blank acts as ask
	ForAll     bool             `json:"for_all"` // one tap for all teeth may be offered
	TellOnly   bool             `json:"tell_only,omitempty"`
	TalkFirst  bool             `json:"talk_first,omitempty"`
	NewConsent bool             `json:"new_consent,omitempty"`
	// Rests: only an answer given earlier names the step; on this route it is not
	// one that can come up.
	Rests      bool     `json:"rests,omitempty"`
	Often      string   `json:"often"`
	Likelihood Estimate `json:"likelihood"` // fraction of cases in this practice; unknown until it has put its own
	Minutes    Estimate `json:"minutes"`
	PerTooth   bool     `json:"per_tooth,omitempty"` // the minutes are for each tooth
	Visits     Estimate `json:"visits"`
	Lab        Estimate `json:"lab"`  // laboratory working days
	Wait       Estimate `json:"wait"` // days to wait
	// Contacts are the contacts a contact change can touch; a neighbor may have no veneer.
	Contacts [][2]casefile.Tooth `json:"contacts"`
	// Places are where the answer holds: teeth, or pairs such as 14-15 for contacts.
	Places []string `json:"places"`
	// Group is tooth (takes something from a tooth), veneer (only from the veneer) or tell.
	Group string `json:"group"`
	// ThinSides are those of the teeth, and of their neighbors at these contacts, whose
	// side walls are thin: a strip keeps to the distal side or is left out (care-pathway 1.3).
	ThinSides []casefile.Tooth `json:"thin_sides,omitempty"`
	Numbing   string           `json:"numbing"`
	Figures   []string         `json:"figures"`
}

// AskAnyway is the limit beyond which the dentist asks whatever was answered.
type AskAnyway struct {
	Always bool     `json:"always"`
	OverMM *float64 `json:"over_mm"`
	Words  string   `json:"words"` // message id of the limit one can see
}

// Enamel is what is taken from the teeth, place by place, never added up.
type Enamel struct {
	Teeth     []ToothEnamel `json:"teeth"`
	Permitted []Permitted   `json:"permitted"` // irreversible changes that the answers permit
	Figures   []string      `json:"figures"`
}

// ToothEnamel is one tooth's planned removal and what may follow from it.
type ToothEnamel struct {
	Tooth   casefile.Tooth `json:"tooth"`
	Route   casefile.Route `json:"route"`
	Removal Removal        `json:"removal"`
	// Dentin is none, may-reach or likely (both raise a question; the thickness
	// table is from memory), bare where most of the front is dentin already, or
	// not-known for a tooth without a row.
	Dentin string `json:"dentin"`
	// Neck and Front are the same for the neck and the middle of the front by
	// themselves: none means that enamel stays there.
	Neck     string   `json:"neck"`
	Front    string   `json:"front"`
	Bulk     Estimate `json:"bulk"` // mm added to the front surface
	ThinSide bool     `json:"thin_side,omitempty"`
	Honest   string   `json:"honest"` // tag of the thickness table: memory
	Figures  []string `json:"figures"`
}

// Permitted is one irreversible change that the patient's answers permit.
type Permitted struct {
	Change string           `json:"change"`
	Teeth  []casefile.Tooth `json:"teeth"`
	UpToMM *float64         `json:"up_to_mm"` // null: the answer permits nothing yet
	Place  string           `json:"place"`    // words: place.<key>
	Answer casefile.Answer  `json:"answer"`
	// Surfaces is how many places of this size one tooth has: 2 for the two sides.
	Surfaces int `json:"surfaces"`
}

// Colour is one tooth's underlying shade against the target.
type Colour struct {
	Tooth      casefile.Tooth `json:"tooth"`
	Underlying casefile.Shade `json:"underlying"`
	Target     casefile.Shade `json:"target"`
	Steps      int            `json:"steps"` // places darker in the light-to-dark order
	DeltaE00   float64        `json:"delta_e_00"`
	Ceramic    Estimate       `json:"ceramic"` // mm available on this route
	Needed     Estimate       `json:"needed"`  // mm to plan for hiding
	// Published is the ceramic, mm, that hid a tab like the tooth in studies: the
	// thinnest and the thickest any of them names, never merged; nil: none was found.
	Published *Reach `json:"published,omitempty"`
	// Room is the porcelain of this route against Published: less, some (as much as
	// in some of the studies), enough; empty where either is not known. Words: room.<key>.
	Room        string   `json:"room,omitempty"`
	TabOrigin   string   `json:"tab_origin"`     // where the tabs' coordinates come from; never a citation
	ShowThrough string   `json:"show_through"`   // unlikely, possible, likely: words: show-through.<key>
	Step        string   `json:"step,omitempty"` // masking step key
	Figures     []string `json:"figures"`
}

// Reach is from low to high with nothing likelier in between.
type Reach struct {
	Low  float64 `json:"low"`
	High float64 `json:"high"`
}

// AftercareLine applies to this case. Words: aftercare.<key>.
type AftercareLine struct {
	Key     string           `json:"key"`
	Phase   string           `json:"phase"`
	Teeth   []casefile.Tooth `json:"teeth,omitempty"`
	Figures []string         `json:"figures,omitempty"`
}

// Warning sign that applies, in order of urgency.
type Warning struct {
	Key     string        `json:"key"`
	Urgency string        `json:"urgency"`
	Within  Estimate      `json:"within"`
	Unit    evidence.Unit `json:"unit,omitempty"`
	Figures []string      `json:"figures,omitempty"`
}

// Risk is a material risk of the chosen route for this mouth. Words: risk.<key>.
type Risk struct {
	Key     string           `json:"key"`
	Teeth   []casefile.Tooth `json:"teeth,omitempty"`
	Raised  bool             `json:"raised"` // a finding raises it here
	Figures []string         `json:"figures,omitempty"`
	// Frequency is how often it came up in studies, on each route here that carries
	// it: a share of what its rate counts, or why there is none.
	Frequency map[casefile.Route]Estimate `json:"frequency"`
	// Rates are the known frequencies, in the order of the routes.
	Rates []RiskRate `json:"rates,omitempty"`
}

// RiskRate is what a sheet needs to tell a known frequency. Words: risk.often.<Words>.
type RiskRate struct {
	Route  casefile.Route `json:"route"`
	Figure string         `json:"figure"`
	Unit   string         `json:"unit"`             // what the share is of: teeth, veneers, people
	Pooled bool           `json:"pooled"`           // several studies taken together; else one study
	Events int            `json:"events,omitempty"` // with Of: the counts of the study
	Of     int            `json:"of,omitempty"`     // 0: it printed none
	Years  int            `json:"years,omitempty"`  // how long they were followed, at most; 0: not told
	Words  string         `json:"words"`
}

// Money in minor units; nothing is shown without fees.
type Money struct {
	Currency   string        `json:"currency,omitempty"`
	Known      bool          `json:"known"`
	Demo       bool          `json:"demo"`
	Lines      []MoneyLine   `json:"lines"`
	Total      int64         `json:"total"`
	ValidUntil casefile.Date `json:"valid_until,omitzero"`
	Missing    []string      `json:"missing,omitempty"` // keys of appliances the practice has no fee for
	Figures    []string      `json:"figures,omitempty"`
}

// MoneyLine is one item of the estimate. Words: money.<key> or a route or appliance name.
type MoneyLine struct {
	Key    string `json:"key"`
	Count  int    `json:"count"`
	Each   int64  `json:"each"`
	Amount int64  `json:"amount"`
}

// RouteMoney is one route's estimate today, and once more if all are replaced once.
type RouteMoney struct {
	Currency string `json:"currency,omitempty"`
	Known    bool   `json:"known"`
	Today    int64  `json:"today"`
	IfOne    int64  `json:"if_one"` // one tooth replaced once
	IfAll    int64  `json:"if_all"` // all replaced once
	// Later is what replacements may cost over the years the studies cover, at today's fees.
	Later []MoneyLater `json:"later"`
}

// MoneyLater is the replacements by one horizon: how many, and their cost in minor units.
type MoneyLater struct {
	Years        int      `json:"years"`
	Replacements Estimate `json:"replacements"`
	Cost         Estimate `json:"cost"`
}

// Standing is how each route does on one priority of the patient: facts, no score.
type Standing struct {
	Priority string      `json:"priority"`
	Fact     string      `json:"fact"` // which route fact answers it
	Routes   []RouteFact `json:"routes"`
}

// RouteFact is one route's fact for a priority: a message key or a number in Unit.
type RouteFact struct {
	Route casefile.Route `json:"route"`
	Words string         `json:"words,omitempty"`
	Value Estimate       `json:"value"`
	Date  casefile.Date  `json:"date,omitzero"`
	// Figures are the ids the fact rests on; fees and words rest on none.
	Figures []string `json:"figures"`
}

// Deciding gives the dates of thinking time.
type Deciding struct {
	Given        casefile.Date `json:"given"`
	EarliestSign casefile.Date `json:"earliest_sign"`
	Figures      []string      `json:"figures"`
}

// Deliveries lists the visits at which something is bonded, in order: the sittings
// that are numbered from one and looked at in the mirror first.
func (p Plan) Deliveries() []Visit {
	var out []Visit
	for _, v := range p.Visits {
		if v.Bonding && len(v.Teeth) > 0 {
			out = append(out, v)
		}
	}
	return out
}

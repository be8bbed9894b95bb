// Package plan computes what follows from a case: visits and dates, findings
// and wait-fors, chair changes, expectations, enamel, colour, upkeep and money.
// It is pure: no clock, no input or output, no language. Every value keeps the
// ids of the figures it rests on. Probabilities are fractions rounded to four
// decimals, so that native and wasm agree.
package plan

import (
	"slices"

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
	WhyWhitening   = schedule.WhyWhitening
	ConflictOrder  = schedule.ConflictOrder
	ConflictEarly  = schedule.ConflictEarly
	ConflictClosed = schedule.ConflictClosed
	NoFigure       = basis.NoFigure
	NoFee          = basis.NoFee
	TooUncertain   = basis.TooUncertain
	NoStudy        = basis.NoStudy
	OtherSetting   = basis.OtherSetting
	OnHold         = basis.OnHold
	Mixed          = basis.Mixed
	Planned        = basis.Planned
)

// TalkAgain is the neutral key under which private findings reach a patient.
const TalkAgain = "talk-again"

// Plan is the result.
type Plan struct {
	Version int    `json:"version"`
	Content string `json:"content"` // version of the evidence
	// Open lists what is still missing or unsettled, in the order in which it is settled.
	Open []Open `json:"open"`
	// InForce are the answers that hold in the chair; see casefile.Case.Standing.
	InForce []InForce `json:"in_force"`
	// ToothState is how far each tooth has been changed, by what was noted as done.
	ToothState []ToothState    `json:"tooth_state"`
	Routes     []RouteFacts    `json:"routes"`
	Visits     []Visit         `json:"visits"`
	Findings   []FindingEffect `json:"findings"`
	WaitFor    []WaitFor       `json:"wait_for"`
	// First is the care that comes first, in the order in which it is done.
	First        []First         `json:"first"`
	ChairChanges []ChairChange   `json:"chair_changes"`
	Resting      []Resting       `json:"resting_answers"`
	Lowered      []Lowered       `json:"lowered_answers"`
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
	// OnHold: something has to be settled first and nobody can say when it is, so what
	// follows has no dates.
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

// Row is the row of a chair change for a place; false when it cannot come up there.
func (p Plan) Row(change string, at casefile.Place) (ChairChange, bool) {
	for _, c := range p.ChairChanges {
		if c.Key == change && slices.Contains(c.At(), at) {
			return c, true
		}
	}
	return ChairChange{}, false
}

// Lowered is an answer, of the case or of the agreement it rests on, that a step does
// not take, or not at these places: it counts as ask, or as nothing where the step is
// one that needs no answer.
type Lowered struct {
	Key      string           `json:"key"`
	Teeth    []casefile.Tooth `json:"teeth"`  // none, and no places: all
	Places   []casefile.Place `json:"places"` // contacts
	From     string           `json:"from"`   // case or agreement
	Answer   casefile.Answer  `json:"answer"`
	CountsAs casefile.Answer  `json:"counts_as"`
}

// PlaceLimit bounds a step at one place: a strip spares the thin side of a tooth.
type PlaceLimit struct {
	Place string           `json:"place"`
	Only  []casefile.Tooth `json:"only"`  // the teeth it may take from; none: it is left out, unless asked
	Spare []casefile.Tooth `json:"spare"` // those left alone here
	Words string           `json:"words"` // message id
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
	// OnTable: offered beside the others.
	OnTable bool `json:"on_table"`
	// NotOffered is the dentist's reason why this route is not on the table.
	NotOffered string `json:"not_offered,omitempty"`
	// Held lists the findings that keep it from being begun, TalkAgain for private ones.
	Held []string `json:"held,omitempty"`
	// Partly: only Teeth are on it, the others as the chosen plan has them.
	Partly bool `json:"partly,omitempty"`
	// Waiting is, of no treatment, what waiting means for findings of this mouth. Words:
	// finding.<key>.waiting.
	Waiting      []Waiting         `json:"waiting,omitempty"`
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

// Waiting is a finding for which waiting means something.
type Waiting struct {
	Finding string           `json:"finding"`
	Teeth   []casefile.Tooth `json:"teeth,omitempty"`
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
	First      []string         `json:"first,omitempty"` // care it asks for
	Visits     Estimate         `json:"visits"`          // extra visits
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
	Care    []string         `json:"care,omitempty"` // that settles it, see Plan.First
	Private bool             `json:"private"`
	Wait    Estimate         `json:"wait"` // calendar days from the start until it need not be waited for
	// Undated: nobody can say when it is settled, so what follows has no dates either.
	Undated bool     `json:"undated,omitempty"`
	Reason  string   `json:"reason,omitempty"` // the dentist's reason for going on, when given
	Figures []string `json:"figures"`
}

// First is care that comes first: a test, a treatment or a talk. A test and a treatment
// have a yes or no of their own. Words: care.<key>.name, .what, of a treatment .instead;
// of whitening before other treatment route.<key> in the place of care.<key>.
type First struct {
	Key      string           `json:"key"`
	Whitens  bool             `json:"whitens,omitempty"` // the key is that of a route
	Kind     string           `json:"kind"`              // test, treatment, talk
	Findings []string         `json:"findings"`          // that ask for it
	Teeth    []casefile.Tooth `json:"teeth,omitempty"`   // none: the whole mouth or person
	Visits   []string         `json:"visits"`            // keys of its visits; none: nobody knows yet when
	Risks    []CareRisk       `json:"risks"`
	Price    *casefile.Price  `json:"price"` // null: not priced yet
	// May lists care that may have to follow, by what this one shows.
	May []string `json:"may,omitempty"`
	// Answer is what the patient said to it: agree, ask for not yet, no; "" while nothing was said.
	Answer  casefile.Answer `json:"answer"`
	Settled bool            `json:"settled,omitempty"` // all that asks for it is
	Figures []string        `json:"figures"`
}

// Word is the id of one of its words.
func (f First) Word(part string) string {
	if f.Whitens {
		return "route." + f.Key + "." + part
	}
	return "care." + f.Key + "." + part
}

// Consents reports whether it has a yes or no of its own.
func (f First) Consents() bool { return f.Kind != evidence.CareTalk }

// CareRisk is a material risk of care that comes first. Words: risk.<key>.
type CareRisk struct {
	Key       string   `json:"key"`
	Frequency Estimate `json:"frequency"` // a share of what its rate counts, or why there is none
	Rate      *Rate    `json:"rate,omitempty"`
	Figures   []string `json:"figures,omitempty"`
}

// ChairChange is a departure that may become necessary, for the teeth that
// share one answer. A key has a row for each different answer, and for where it is
// likely and where not.
type ChairChange struct {
	Key        string           `json:"key"`
	Teeth      []casefile.Tooth `json:"teeth"`
	Trigger    string           `json:"trigger"` // what brings it up, a key
	LowMM      *float64         `json:"low_mm"`  // null: nothing is removed
	HighMM     *float64         `json:"high_mm"`
	Place      string           `json:"place"` // where the size is measured, words: place.<key>
	PerSurface bool             `json:"per_surface,omitempty"`
	Removes    string           `json:"removes"`
	Reversible string           `json:"reversible"` // yes, no, partly
	AskAnyway  AskAnyway        `json:"ask_anyway"`
	Answer     casefile.Answer  `json:"answer"`  // "" while blank
	ActsAs     casefile.Answer  `json:"acts_as"` // what the answer means in the chair: blank acts as ask
	// Permitted are the answers that paper and screens offer here: agree, ask and no;
	// ask and no where it is asked on the day, and for what cannot be undone wherever
	// nothing names the place as likely; none where the step needs no answer.
	Permitted []casefile.Answer `json:"permitted"`
	// Likely: a finding of these teeth, or their color, makes it likely here; at a
	// contact, of each of its teeth that is in the case.
	Likely     bool     `json:"likely"`
	Because    []string `json:"because"` // what makes it likely: findings, and tooth-color
	ForAll     bool     `json:"for_all"` // one tap for all teeth may say yes
	TellOnly   bool     `json:"tell_only,omitempty"`
	TalkFirst  bool     `json:"talk_first,omitempty"`
	NewConsent bool     `json:"new_consent,omitempty"`
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
	// Group is tooth (it cannot be undone, or not fully), veneer (the tooth stays as it is) or tell.
	Group string `json:"group"`
	// ThinSides are those of the teeth, and of their neighbors at these contacts, whose
	// side walls are thin: a strip keeps to the distal side or is left out (care-pathway 1.3).
	ThinSides []casefile.Tooth `json:"thin_sides,omitempty"`
	// PlaceLimits bound a yes, and the step, at single contacts.
	PlaceLimits []PlaceLimit `json:"place_limits"`
	Numbing     string       `json:"numbing"`
	Figures     []string     `json:"figures"`
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
	Places []string         `json:"places"`   // teeth, or contacts
	Limits []PlaceLimit     `json:"limits"`   // of single contacts
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
	// AtLeast: Steps is the least there can be, since one of the two is a bleach shade.
	AtLeast  bool     `json:"at_least,omitempty"`
	DeltaE00 *float64 `json:"delta_e_00"` // null: one of the two has no measured color
	Ceramic  Estimate `json:"ceramic"`    // mm available on this route
	Needed   Estimate `json:"needed"`     // mm to plan for hiding
	// Published is the ceramic, mm, that hid a tab like the tooth in studies: the
	// thinnest and the thickest any of them names, never merged; nil: none was found.
	Published *Reach `json:"published,omitempty"`
	// Room is the porcelain of this route, its usual thickness from the trade, against
	// Published: less, some (as much as in some of the studies), enough, or not-studied;
	// empty where there is nothing to compare. Words: room.<key>.
	Room        string   `json:"room,omitempty"`
	TabOrigin   string   `json:"tab_origin"`     // where the tabs' coordinates come from; never a citation
	ShowThrough string   `json:"show_through"`   // unlikely, possible, likely, not-known: words: show-through.<key>
	Step        string   `json:"step,omitempty"` // masking step key
	Figures     []string `json:"figures"`
}

// Reach is from low to high with nothing likelier in between.
type Reach struct {
	Low  float64 `json:"low"`
	High float64 `json:"high"`
	More bool    `json:"more,omitempty"` // other studies needed more
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

// RiskRate is a known frequency on a route.
type RiskRate struct {
	Route casefile.Route `json:"route"`
	Rate
}

// Rate is what a sheet needs to tell a known frequency. Words: risk.often.<Words>.
type Rate struct {
	Figure string `json:"figure"`
	Unit   string `json:"unit"`             // what the share is of: teeth, veneers, people
	Pooled bool   `json:"pooled"`           // several studies taken together; else one study
	Events int    `json:"events,omitempty"` // with Of: the counts of the study
	Of     int    `json:"of,omitempty"`     // 0: it printed none
	Years  int    `json:"years,omitempty"`  // how long they were followed, at most; 0: not published
	Words  string `json:"words"`
}

// Money in minor units; nothing is shown without fees.
type Money struct {
	Currency   string        `json:"currency,omitempty"`
	Known      bool          `json:"known"`
	Demo       bool          `json:"demo"`
	Lines      []MoneyLine   `json:"lines"`
	Total      int64         `json:"total"`
	ValidUntil casefile.Date `json:"valid_until,omitzero"`
	// ToLastVisit: the estimate still holds on the day of the last planned visit.
	ToLastVisit bool     `json:"to_last_visit"`
	Included    []string `json:"included,omitempty"` // parts of the plan that cost nothing extra
	Missing     []string `json:"missing,omitempty"`  // parts of the plan the practice has no fee for
	// May is what may have to be added, by what tests show.
	May []MoneyMay `json:"may,omitempty"`
	// CheckUp is the fee of one check-up; null: not priced. It is in no total of today.
	CheckUp *int64   `json:"check_up"`
	Figures []string `json:"figures,omitempty"`
}

// MoneyLine is one item of the estimate. Words: money.<key>, or the name of a route, a care,
// an appliance or a visit.
type MoneyLine struct {
	Key    string `json:"key"`
	Count  int    `json:"count"`
	Each   int64  `json:"each"`
	Amount int64  `json:"amount"`
}

// MoneyMay is care that may have to be added, with its price; null: not priced.
type MoneyMay struct {
	Key    string `json:"key"`
	Amount *int64 `json:"amount"`
}

// RouteMoney is one route's estimate today, and once more if all are replaced once.
type RouteMoney struct {
	Currency string   `json:"currency,omitempty"`
	Known    bool     `json:"known"`
	Today    int64    `json:"today"`             // all of the plan that has a price: see Missing
	Missing  []string `json:"missing,omitempty"` // parts of it that have none
	IfOne    int64    `json:"if_one"`            // one tooth replaced once
	IfAll    int64    `json:"if_all"`            // all replaced once
	// Later is what replacements may cost over the years the studies cover, at today's fees.
	Later []MoneyLater `json:"later"`
	// Over is all of it over some years at today's fees: today, check-ups, new guards and
	// likely replacements.
	Over MoneyOver `json:"over"`
}

// MoneyOver is the whole cost within some years, minor units.
type MoneyOver struct {
	Years int      `json:"years"`
	Cost  Estimate `json:"cost"`
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
	Years int            `json:"years,omitempty"` // of a cost: within so many years
	Date  casefile.Date  `json:"date,omitzero"`
	// Figures are the ids the fact rests on; fees and words rest on none.
	Figures []string `json:"figures"`
}

// Deciding gives the dates of thinking time.
type Deciding struct {
	Given        casefile.Date `json:"given"`
	From         casefile.Date `json:"from"`                   // what the time to think counts from
	EarliestSign casefile.Date `json:"earliest_sign,omitzero"` // none while on hold
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

// Package casefile is the vocabulary of the trade as this program uses it: teeth,
// routes, materials, findings, the case a dentist enters and the practice that
// treats it. It holds no clinical figure and no patient-facing sentence.
package casefile

import (
	"slices"
	"strconv"
)

// Route is a way of going on. Keys are stable: they may be retired, never reused.
type Route string

// Routes, in the order in which every sheet and screen shows them.
const (
	None               Route = "none"
	WhiteningHome      Route = "whitening-home"
	WhiteningInOffice  Route = "whitening-in-office"
	DirectComposite    Route = "direct-composite"
	NoPrep             Route = "no-prep"
	MinimalPrep        Route = "minimal-prep"
	ConventionalPrep   Route = "conventional-prep"
	Crown              Route = "crown"
	ReplaceVeneers     Route = "replace-veneers"
	StraighteningFirst Route = "straightening-first"
	GumCareFirst       Route = "gum-care-first"
)

// Routes lists every route in the fixed display order, no treatment first.
func Routes() []Route {
	return []Route{None, WhiteningHome, WhiteningInOffice, DirectComposite, NoPrep, MinimalPrep,
		ConventionalPrep, Crown, ReplaceVeneers, StraighteningFirst, GumCareFirst}
}

// Material is a restorative material by its generic name.
type Material string

// Materials.
const (
	Feldspathic       Material = "feldspathic"
	LeuciteReinforced Material = "leucite-reinforced"
	LithiumDisilicate Material = "lithium-disilicate"
	LithiumSilicate   Material = "zirconia-reinforced-silicate"
	Zirconia          Material = "zirconia"
	ResinCeramic      Material = "resin-ceramic"
	IndirectComposite Material = "indirect-composite"
	Composite         Material = "composite"
	MetalCeramic      Material = "metal-ceramic"
)

// Materials lists every material, in the order in which they are offered.
func Materials() []Material {
	return []Material{Feldspathic, LeuciteReinforced, LithiumDisilicate, LithiumSilicate, Zirconia,
		ResinCeramic, IndirectComposite, Composite, MetalCeramic}
}

// First reports whether r prepares for another route, which Case.Then names.
func (r Route) First() bool { return r == StraighteningFirst || r == GumCareFirst }

// Whitens reports whether r makes teeth lighter and leaves them as they are.
func (r Route) Whitens() bool { return r == WhiteningHome || r == WhiteningInOffice }

// Leads reports whether a case on route r may name what follows it (its then):
// straightening, gum care, old veneers that come off, and whitening, which wants
// its two weeks before anything is bonded.
func (r Route) Leads() bool { return r.First() || r == ReplaceVeneers || r.Whitens() }

// NeedsTeeth reports whether r is done tooth by tooth. No treatment and
// whitening may have an empty list of teeth, which means the whole mouth.
func (r Route) NeedsTeeth() bool {
	return r != None && !r.Whitens()
}

// Answer is what the patient said beforehand about a chair change.
// Blank acts as Ask.
type Answer string

// Answers.
const (
	Blank Answer = ""
	Agree Answer = "agree"
	Ask   Answer = "ask"
	No    Answer = "no"
)

// Stage is how far the treatment has come.
type Stage string

// Stages; empty means Deciding.
const (
	Deciding  Stage = "deciding"
	Agreed    Stage = "agreed"
	AtTryIn   Stage = "at-try-in"
	Delivered Stage = "delivered"
)

// Case is what the dentist enters. It names no person; names are asked only
// when a sheet is printed or sealed. The zero value of an optional field means
// "not said".
type Case struct {
	Version  int    `json:"version"`
	ID       string `json:"id,omitempty" strict:"said"`
	Revision int    `json:"revision,omitempty"`
	// Issued is the date the sheets bear; Start is the day of the first visit.
	Issued Date `json:"issued"`
	Start  Date `json:"start"`
	// Locale is the patient's language, Second the one printed beside it.
	Locale string `json:"locale,omitempty" strict:"said"`
	Second string `json:"second,omitempty" strict:"said"`
	// Numbering is how teeth are displayed: fdi, universal or palmer. Teeth are FDI in the file.
	Numbering string `json:"numbering,omitempty" strict:"said"`

	Route       Route    `json:"route"`
	Then        Route    `json:"then,omitempty" strict:"said"` // what follows a "first" route
	Material    Material `json:"material,omitempty" strict:"said"`
	TargetShade Shade    `json:"target_shade,omitempty" strict:"said"`
	ShadeNote   string   `json:"shade_note,omitempty"` // the laboratory's own name for the shade that is wanted
	// UnderlyingShade is that of all teeth; see UnderlyingOf and WantedOf.
	UnderlyingShade Shade        `json:"underlying_shade,omitempty" strict:"said"`
	Teeth           []ToothEntry `json:"teeth,omitzero"` // a nil list would be written as null, which no reader takes
	Findings        []string     `json:"findings,omitempty"`

	Answers    []AnswerEntry `json:"answers,omitempty"`
	Priorities []string      `json:"priorities,omitempty"` // the patient's own order, first is most important
	Wish       string        `json:"wish,omitempty"`       // what the patient hopes for, in the patient's words
	// HorizonYears is one more horizon of the patient's own, in years, beside the usual
	// ones of what lasts and what it costs.
	HorizonYears int    `json:"horizon_years,omitempty"`
	Detail       string `json:"detail,omitempty" strict:"said"` // words | numbers
	Stage        Stage  `json:"stage,omitempty" strict:"said"`

	// Offered are the routes on the table; empty leaves the choice to the plan.
	Offered []Offer `json:"offered,omitempty"`
	// Agreed is the agreement that this case rests on; nil before there is one.
	Agreed *Agreement `json:"agreed,omitempty"`
	// AgreedBefore are the agreements whose place it took, in order: what was done
	// then is held against what was agreed then.
	AgreedBefore []Agreement `json:"agreed_before,omitempty"`
	// Events are the case's history, in order; nothing is taken out of it.
	Events []Event `json:"events,omitempty"`

	People         *People         `json:"people,omitempty"`
	Questions      []Question      `json:"questions,omitempty"`
	Advice         *Advice         `json:"advice,omitempty"`
	ProceedReasons []ProceedReason `json:"proceed_reasons,omitempty"`

	// Visits are the days the practice has agreed on with the patient.
	Visits []AgreedVisit `json:"visits,omitempty"`
	// Sittings are the teeth of each sitting where the dentist divides long visits; the plan
	// divides those that are in none.
	Sittings [][]Tooth `json:"sittings,omitempty"`
	// Calendar is what was handed out for the patient's calendar so far.
	Calendar *Calendar `json:"calendar,omitempty"`

	caseV1
}

// ToothEntry is one tooth of the case; Route, Material and the shades override the
// case's.
type ToothEntry struct {
	Tooth           Tooth    `json:"tooth"`
	Route           Route    `json:"route,omitempty" strict:"said"`
	Material        Material `json:"material,omitempty" strict:"said"`
	Findings        []string `json:"findings,omitempty"`
	UnderlyingShade Shade    `json:"underlying_shade,omitempty" strict:"said"`
	TargetShade     Shade    `json:"target_shade,omitempty" strict:"said"`
	ShadeNote       string   `json:"shade_note,omitempty"`
}

// AnswerEntry is the patient's answer to one chair change, for some teeth or, where
// the change is one of contacts, for some contacts; neither means all teeth.
type AnswerEntry struct {
	Change string  `json:"change"`
	Teeth  []Tooth `json:"teeth,omitempty"`
	Places []Place `json:"places,omitempty"`
	Answer Answer  `json:"answer"`
}

// Names reports whether the answer is about a tooth, or a contact of it.
func (a AnswerEntry) Names(t Tooth) bool {
	return len(a.Teeth)+len(a.Places) == 0 || slices.Contains(a.Teeth, t) ||
		slices.ContainsFunc(a.Places, func(p Place) bool { return p.Has(t) })
}

// People says who decides and who is with the patient. Roles and ways only; an
// interpreter's and a representative's name are written on paper or at seal.
type People struct {
	AgeBand         string `json:"age_band,omitempty" strict:"said"`        // child | adolescent | adult | older-adult
	Decides         string `json:"decides,omitempty" strict:"said"`         // patient | parent | guardian | representative | with-support
	Assent          string `json:"assent,omitempty" strict:"said"`          // yes | no | not-asked (a minor's or represented person's own yes)
	CapacitySupport string `json:"capacity_support,omitempty"`              // free text: what helps this person decide
	Interpreter     string `json:"interpreter,omitempty" strict:"said"`     // none | professional | staff | family
	InterpreterWay  string `json:"interpreter_way,omitempty" strict:"said"` // in-person | telephone | video
	Companion       string `json:"companion,omitempty"`                     // free text: who came along
}

// Represented reports whether somebody else decides for the patient.
func (p People) Represented() bool {
	return p.Decides == "parent" || p.Decides == "guardian" || p.Decides == "representative"
}

// Minor reports whether the patient is a child or an adolescent.
func (p People) Minor() bool { return p.AgeBand == "child" || p.AgeBand == "adolescent" }

// Question is one the patient asked, with the answer given.
type Question struct {
	Asked  string `json:"asked"`
	Answer string `json:"answer,omitempty"`
}

// Advice is the dentist's own, with its reason, in the dentist's words.
type Advice struct {
	Route  Route  `json:"route,omitempty" strict:"said"`
	Reason string `json:"reason"`
}

// ProceedReason is why treatment goes on against a wait-for.
type ProceedReason struct {
	WaitFor string `json:"wait_for"`
	Reason  string `json:"reason"`
}

// AgreedVisit is the day, and the hour when it is known, of one visit of the plan.
type AgreedVisit struct {
	Key string `json:"key"`
	// Number counts the visits of that key, in the order of the plan; 0 is the first, as 1 is.
	Number int  `json:"number,omitempty" strict:"said"`
	Date   Date `json:"date"`
	Time   Time `json:"time,omitempty" strict:"said"` // at the practice
}

// Nth is Number, counted from 1.
func (v AgreedVisit) Nth() int { return max(1, v.Number) }

// AgreedDay gives the n-th visit of a key, from 1, when a day is agreed for it; else nil.
func (c *Case) AgreedDay(key string, n int) *AgreedVisit {
	for i := range c.Visits {
		if a := &c.Visits[i]; a.Key == key && a.Nth() == n {
			return a
		}
	}
	return nil
}

// Time is an hour and minute of a day, "14:30"; "" is not said.
type Time string

// Valid reports whether t is a time from 00:00 to 23:59.
func (t Time) Valid() bool {
	return len(t) == 5 && t[2] == ':' && "00" <= t[:2] && t[:2] <= "23" && "00" <= t[3:] && t[3:] <= "59" &&
		only(string(t[:2]+t[3:]), digits)
}

// Split gives the hour and minute of a valid time.
func (t Time) Split() (hour, minute int) {
	hour, _ = strconv.Atoi(string(t[:2]))
	minute, _ = strconv.Atoi(string(t[3:]))
	return hour, minute
}

// Calendar is what the calendar files handed out so far hold, so that a later
// one can replace their dates and withdraw those that are no longer planned.
type Calendar struct {
	// ID takes the place of the case's id in the ids of the events, where the case
	// had none when the first file was made.
	ID       string       `json:"id,omitempty" strict:"said"`
	Sequence int          `json:"sequence"` // of the last file
	Given    []GivenEvent `json:"given"`
}

// GivenEvent is one event of a file. It says neither what it is for nor for whom.
type GivenEvent struct {
	ID        string `json:"id"`
	Date      Date   `json:"date"`
	Time      Time   `json:"time,omitempty" strict:"said"`
	Withdrawn bool   `json:"withdrawn,omitempty"`
}

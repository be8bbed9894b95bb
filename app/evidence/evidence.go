// Package evidence holds the clinical knowledge as typed data: figures with
// unit, range, certainty and source, and the rules that rest on them. It is
// filled from content/ and passed as an argument; nothing here is global.
package evidence

import (
	"slices"

	"plainleaf/app/casefile"
)

// Certainty is one of the four GRADE levels (Fretheim et al., BMC Medicine
// 2012;10:33, Table 1) or Practice: a habit of the trade without a study.
type Certainty string

// Certainty levels.
const (
	High     Certainty = "high"
	Moderate Certainty = "moderate"
	Low      Certainty = "low"
	VeryLow  Certainty = "very-low"
	Practice Certainty = "practice"
)

// Seen says how a figure reached us. Only Verified, Secondary and Computed (on
// such inputs) may be printed with a citation; Memory may raise a question,
// never print a number; PracticeHabit is a default that the practice replaces.
type Seen string

// Ways of having seen a figure.
const (
	Verified      Seen = "verified"
	Secondary     Seen = "secondary"
	Computed      Seen = "computed"
	Memory        Seen = "memory"
	PracticeHabit Seen = "practice"
)

// Unit is from a closed list (see Units).
type Unit string

// Units lists every unit a figure may have.
func Units() []Unit {
	return []Unit{"fraction", "percent", "years", "months", "weeks", "days", "working-days", "hours", "minutes", "seconds",
		"visits", "sessions", "sittings", "mm", "mm-per-surface", "ratio", "per-year", "count", "ppm", "percent-rise", "delta-e-00", "delta-e-ab", "l-star", "a-star", "b-star",
		"shade-steps", "newton", "micrometer", "rda", "correlation", "patients", "veneers"}
}

// Source is a publication or text a figure was read in.
type Source struct {
	ID string `json:"id"`
	// Authors is who wrote or issued it, as its citation begins. Empty where the
	// record read does not show them; the citation says so.
	Authors  string `json:"authors,omitempty"`
	Citation string `json:"citation"`
	Short    string `json:"short"` // the same as paper prints it: first author, year, journal, volume and page; a title where no author is shown
	Year     int    `json:"year,omitempty"`
	DOI      string `json:"doi,omitempty"`
	PMID     string `json:"pmid,omitempty"`
	Design   string `json:"design"` // systematic-review, trial, cohort, case-series, laboratory, guideline, law, text, standard
	Read     string `json:"read"`   // abstract, opening (of an abstract or text), excerpt, record, data: how much of it was read
	Checked  string `json:"checked"`
}

// Figure is one number with its range. Values are decimals; precision is as published.
// Value is the likely value; Low and High bound it. A missing bound equals Value.
type Figure struct {
	ID        string    `json:"id"`
	Value     float64   `json:"value"`
	Low       float64   `json:"low"`
	High      float64   `json:"high"`
	Unit      Unit      `json:"unit"`
	Source    []string  `json:"source,omitempty"` // source ids; required unless certainty is practice or seen is memory
	Where     string    `json:"where,omitempty"`  // the place in the source
	Certainty Certainty `json:"certainty"`
	Seen      Seen      `json:"seen"`
	Reviewed  string    `json:"reviewed"`
	Note      string    `json:"note,omitempty"` // why this figure, its limits
	// Spread is, of a ratio that multiplies a hazard, the standard uncertainty of its
	// natural logarithm; 0: none was worked out. Low and High are its 95 % range.
	Spread float64 `json:"spread,omitempty"`
	Topic  string  `json:"topic,omitempty"` // its file in content/figures, see Topics
	// Events of Of are the counts behind a share, where the study printed them: how
	// many teeth, veneers or people it happened to. People is how many mouths they
	// were in. Of is 0 where there are no counts.
	Events int `json:"events,omitempty"`
	Of     int `json:"of,omitempty"`
	People int `json:"people,omitempty"`
	// OverYears is how long they were followed, at most; 0 where it was not read.
	OverYears int `json:"over_years,omitempty"`
	// Studied is what the study followed, see Studied; needed only where a risk
	// tells the figure as its frequency.
	Studied string `json:"studied,omitempty"`
}

// Studied lists what a study may have followed, with the routes it speaks for.
// Rates of drilled veneers say nothing of veneers without drilling, nor of crowns.
func Studied() map[string][]casefile.Route {
	return map[string][]casefile.Route{
		"drilled-veneers":   {casefile.ConventionalPrep},
		"undrilled-veneers": {casefile.NoPrep, casefile.MinimalPrep},
		"crowns":            {casefile.Crown},
		"composite":         {casefile.DirectComposite},
		"whitening-home":    {casefile.WhiteningHome},
		"whitening-office":  {casefile.WhiteningInOffice},
		"whitening-inside":  {casefile.WhiteningHome, casefile.WhiteningInOffice},
	}
}

// StudiedCares lists the care that comes first that a study speaks for, by what it
// followed.
func StudiedCares() map[string][]string {
	return map[string][]string{"whitening-home": {"lighten-tooth"}, "whitening-inside": {"lighten-inside"}}
}

// Topics are what figures are about, by the names of their files.
func Topics() []string {
	return []string{"survival", "modifiers", "complications", "enamel", "materials", "colour", "visits", "waiting", "changes", "findings", "upkeep", "aftercare", "warnings"}
}

// Citable reports whether f may stand on a sheet as a number with a source.
func (f Figure) Citable() bool {
	return (f.Seen == Verified || f.Seen == Secondary || f.Seen == Computed) && len(f.Source) > 0
}

// Level is how strongly a finding acts: proceed < first < refer < hold.
type Level string

// Levels, weakest first (common practice, care-pathway 4.7 and CV-31).
const (
	LevelNone    Level = "none"
	LevelProceed Level = "proceed"
	LevelFirst   Level = "first"
	LevelRefer   Level = "refer"
	LevelHold    Level = "hold"
)

// Rank orders levels; the strongest wins.
func (l Level) Rank() int {
	switch l {
	case LevelProceed:
		return 1
	case LevelFirst:
		return 2
	case LevelRefer:
		return 3
	case LevelHold:
		return 4
	}
	return 0
}

// Finding is something true of this mouth or person that changes risk or plan.
// Words: finding.<key>.name, .say (what the patient is told), .neutral is shared (wait.talk-again).
type Finding struct {
	Key   string `json:"key"`
	Group string `json:"group"` // bite, position, tooth, gums, health, mind
	Scope string `json:"scope"` // case, tooth or either: where the case file may name it
	// Private findings are entered on the dentist's side and reach the patient only as a neutral line.
	Private bool `json:"private,omitempty"`
	// Excludes lists findings that cannot be true together with this one (on one tooth, or of one person).
	Excludes []string `json:"excludes,omitempty"`
	// AgeBands, when set, are the only age bands in which the finding makes sense.
	AgeBands []string `json:"age_bands,omitempty"`
	// ByAge: it is true of everyone in its age bands, whether the case names it or not.
	ByAge bool `json:"by_age,omitempty"`
	// Gap: two neighbors with it have a gap between them, and no contact.
	Gap bool `json:"gap,omitempty"`
	// Waiting: doing nothing about it means something. Words: finding.<key>.waiting.
	Waiting bool `json:"waiting,omitempty"`
	// ThinsEnamel: the enamel to plan with is the low end of the usual thickness.
	ThinsEnamel bool     `json:"thins_enamel,omitempty"`
	Effects     []Effect `json:"effects"`
	Note        string   `json:"note,omitempty"`
}

// Effect is what a finding does on some routes. The first effect that names the
// route wins; an effect without routes is the default for the rest.
type Effect struct {
	Routes []casefile.Route `json:"routes,omitempty"`
	// Materials, when set, limit the effect to teeth that get one of them.
	Materials  []casefile.Material `json:"materials,omitempty"`
	AgeBands   []string            `json:"age_bands,omitempty"`  // in these only; a case without an age band counts as adult
	Level      Level               `json:"level"`                // none is an explicit "no effect on this route"
	Actions    []string            `json:"actions,omitempty"`    // words: action.<key>
	First      []string            `json:"first,omitempty"`      // care that comes first, by key
	Appliances []string            `json:"appliances,omitempty"` // night-guard, mouthguard, retainer, sleep-device: counted once
	Changes    []string            `json:"changes,omitempty"`    // chair changes it makes likely
	Aftercare  []string            `json:"aftercare,omitempty"`  // aftercare line keys
	Risks      []string            `json:"risks,omitempty"`      // material risk keys it adds
	Recall     string              `json:"recall,omitempty"`     // figure id: recall interval it asks for
	Modifier   string              `json:"modifier,omitempty"`   // modifier id
	// Dentin says that most of the surface is dentin, sealed or unsealed, of which the
	// anchors say what is known (evidence-2 3.2); nothing multiplies it.
	Dentin  string   `json:"dentin,omitempty"`
	Figures []string `json:"figures,omitempty"` // figure ids what the patient is told rests on
}

// Kinds of care that comes first.
const (
	CareTest      = "test"      // shows what is the case; asked for with a yes of its own
	CareTreatment = "treatment" // has risks, a price, alternatives and a yes of its own
	CareTalk      = "talk"      // takes nothing but time
)

// Care is what may have to come before the restorations. Its visits follow one another;
// the first comes its gap after the consultation, or after the care that comes before it.
// Words: care.<key>.name, .what; of a treatment .instead too.
type Care struct {
	Key    string      `json:"key"`
	Kind   string      `json:"kind"`
	After  []string    `json:"after,omitempty"`  // care that comes before it where both are planned, listed earlier
	Visits []VisitRule `json:"visits,omitempty"` // none: not at this practice, or nobody knows yet when
	Until  string      `json:"until,omitempty"`  // figure id: from its last visit to what waits for it
	Risks  []string    `json:"risks,omitempty"`  // material risk keys of its own
	// May lists care that may have to follow, by what this one shows. It has no dates yet.
	May []string `json:"may,omitempty"`
	// Becomes is the care in its place on a tooth with one of the findings With.
	Becomes string   `json:"becomes,omitempty"`
	With    []string `json:"with,omitempty"`
	Figures []string `json:"figures,omitempty"` // figure ids its words may name
	Note    string   `json:"note,omitempty"`
}

// Change is a chair change. Words: change.<key>.name, .limit (what the dentist can see), and .what
// where the patient only hears of it, else .when (when, and what is done then) and .if-no.
type Change struct {
	Key string `json:"key"`
	// Size is a figure id in mm. With Removes nothing it is a layer added; empty
	// with Removes nothing: no size at all; empty with any other: by need.
	Size       string `json:"size,omitempty"`
	PerSurface bool   `json:"per_surface,omitempty"`
	Place      string `json:"place,omitempty"`      // where the size is measured: front, side, edge, opposing; words: place.<key>
	Removes    string `json:"removes"`              // enamel, porcelain, gum, nothing
	Minutes    string `json:"minutes"`              // figure id, extra chair minutes
	PerTooth   bool   `json:"per_tooth,omitempty"`  // minutes are per tooth
	Numbing    string `json:"numbing"`              // no, gel, sometimes, usual, yes
	Reversible string `json:"reversible"`           // yes, no, partly: for the tooth
	Visits     string `json:"visits,omitempty"`     // figure id, extra visits
	Lab        string `json:"lab,omitempty"`        // figure id, laboratory working days
	Wait       string `json:"wait,omitempty"`       // figure id, days
	AskAnyway  string `json:"ask_anyway,omitempty"` // figure id of the size beyond which the dentist asks anyway; words in .limit
	NewConsent bool   `json:"new_consent,omitempty"`
	TalkFirst  bool   `json:"talk_first,omitempty"` // a "no" would leave a bonded tooth in trouble: talked through before bonding
	Several    bool   `json:"several,omitempty"`    // only where several teeth are treated
	// NoOf is the other half of what was one step before: its "no" in an agreement
	// counts for this one too, where this has no answer.
	NoOf string `json:"no_of,omitempty"`
	// Alike names those that are met in the same way: where one answer is for several of
	// them, a sheet says once how far they go and what a no means. Words: alike.<key>.
	Alike string `json:"alike,omitempty"`
	// Over says which teeth it can touch: all, finding (those with the trigger
	// finding; all when the When row names none), contacts (each side contact
	// between treated teeth and their neighbors) or opposing (teeth of the other jaw).
	Over string `json:"over"`
	// Group is tooth (it cannot be undone, or not fully), veneer (the tooth stays as it
	// is) or tell (the patient hears of it, there is nothing to answer).
	Group string `json:"group"`
	// Answers may be given beforehand: agree, ask and no; ask and no where it is always
	// asked on the day; none of group tell. Agreeing to what cannot be undone is for
	// teeth or pairs where it is likely only; the plan has that, place by place.
	Answers []casefile.Answer `json:"answers,omitempty"`
	When    []When            `json:"when"`
	Figures []string          `json:"figures,omitempty"` // further figure ids its words may name
	Note    string            `json:"note,omitempty"`
}

// TrialSmile is the purpose of the visit at which the planned shape is tried in the
// mouth.
const TrialSmile = "mock-up"

// Groups of chair changes.
const (
	GroupTooth  = "tooth"
	GroupVeneer = "veneer"
	GroupTell   = "tell"
)

// OfContacts reports whether the change happens between two teeth.
func (c *Change) OfContacts() bool { return c.Over == "contacts" }

// Told reports whether the patient hears of the change and has nothing to answer.
func (c *Change) Told() bool { return c.Group == GroupTell }

// AlwaysAsked reports whether it is asked on the day, whatever was said before.
func (c *Change) AlwaysAsked() bool {
	return !c.Told() && !slices.Contains(c.Answers, casefile.Agree)
}

// Permits reports whether an answer may be given beforehand somewhere.
func (c *Change) Permits(a casefile.Answer) bool { return slices.Contains(c.Answers, a) }

// NamedOnly reports whether it may be agreed to only where it is likely: it cannot be
// undone.
func (c *Change) NamedOnly() bool { return c.Group == GroupTooth && c.Permits(casefile.Agree) }

// TakesAny reports whether the change takes something from some tooth that does
// not grow back.
func (c *Change) TakesAny() bool { return c.Removes == "enamel" }

// Takes reports whether it takes that from the tooth it is noted for, and not from
// the one opposite.
func (c *Change) Takes() bool {
	return c.TakesAny() && c.Place != "opposing" && c.Over != "opposing"
}

// When says on which routes, and with which findings, a change is likely.
// Findings empty: on these routes always.
type When struct {
	Routes     []casefile.Route `json:"routes"`
	Findings   []string         `json:"findings,omitempty"`
	Trigger    string           `json:"trigger"`              // what brings it up, a key
	Likelihood string           `json:"likelihood,omitempty"` // figure id, fraction of cases, practice
	Often      string           `json:"often"`                // usual, common, sometimes, seldom, rare: words: often.<key>
}

// RouteRule is what a route asks of the patient.
// Words: route.<key>.name, .what, .good, .lightest.
type RouteRule struct {
	Key         casefile.Route `json:"key"`
	Kind        string         `json:"kind"`        // none, whitening, composite, ceramic, crown, first, replace
	Reversible  string         `json:"reversible"`  // yes, teeth-move-back, drifts-back, mostly, no-drilling-not-fully, no
	Numbing     string         `json:"numbing"`     // no, seldom, sometimes, usual, yes
	Temporaries string         `json:"temporaries"` // no, seldom, yes
	// What it answers in the table of options, a sentence each, which options may share.
	// Words: gives.<key>, takes.<key> where no depth is planned, lasts.<key>, downside.<key>,
	// living.<key>.
	Gives    string `json:"gives"`
	Takes    string `json:"takes"`
	Lasts    string `json:"lasts"`
	Downside string `json:"downside"`
	Living   string `json:"living"`
	// DownsideRisk is the risk that the downside is, where studies say how often.
	DownsideRisk string              `json:"downside_risk,omitempty"`
	Materials    []casefile.Material `json:"materials,omitempty"`
	Removal      Removal             `json:"removal"`
	// SplitAt is the longest comfortable sitting, minutes (figure id); visits marked Split are divided by it.
	SplitAt string      `json:"split_at,omitempty"`
	Visits  []VisitRule `json:"visits"`
	// When lists findings that make the route worth showing; empty: always shown.
	When []string `json:"when,omitempty"`
	// WhereFound: worth showing on the teeth with such a finding only, the others as planned.
	WhereFound bool `json:"where_found,omitempty"`
	// First is the care that the route itself consists of where no finding asks for other.
	First []string `json:"first,omitempty"`
	Risks []string `json:"risks,omitempty"` // material risk keys, words: risk.<key>
	// Appliances the route itself needs, such as a retainer after straightening.
	Appliances []string `json:"appliances,omitempty"`
	// ThenDefault is the following route when the case names none; empty: the case must name it.
	ThenDefault casefile.Route `json:"then_default,omitempty"`
	Figures     []string       `json:"figures,omitempty"` // figure ids its words may name
}

// Removal is the planned removal of tooth, figure ids in mm; empty: none.
type Removal struct {
	Cervical string `json:"cervical,omitempty"`
	Middle   string `json:"middle,omitempty"`
	Incisal  string `json:"incisal,omitempty"`
	Proximal string `json:"proximal,omitempty"`
	Share    string `json:"share,omitempty"` // percent of the visible tooth
}

// Whitens reports whether it is a way of whitening.
func (r *RouteRule) Whitens() bool { return r.Kind == "whitening" }

// VisitRule is one visit of a route. Words: visit.<purpose>.name, .what.
type VisitRule struct {
	Key             string `json:"key"`
	Purpose         string `json:"purpose,omitempty"`           // empty only on a Then row
	Minutes         string `json:"minutes,omitempty"`           // figure id, fixed chair minutes; empty only on a Then row
	MinutesPerTooth string `json:"minutes_per_tooth,omitempty"` // figure id
	Repeat          string `json:"repeat,omitempty"`            // figure id: how many times
	RepeatGap       string `json:"repeat_gap,omitempty"`        // figure id: interval between repeats
	RepeatWhy       string `json:"repeat_why,omitempty"`        // words: why.<key>, before a repeat; as gap_why when empty
	Split           bool   `json:"split,omitempty"`             // may be divided into sittings
	Irreversible    bool   `json:"irreversible,omitempty"`      // thinking time must have passed
	Bonding         bool   `json:"bonding,omitempty"`
	Records         bool   `json:"records,omitempty"`
	Recheck         bool   `json:"recheck,omitempty"`         // of care: shows whether what came before has worked
	Gap             string `json:"gap,omitempty"`             // figure id: interval after the visit before, days, weeks, months or working-days
	GapWhy          string `json:"gap_why,omitempty"`         // words: why.<key>
	LabByMaterial   bool   `json:"lab_by_material,omitempty"` // Gap is replaced by the material's laboratory time
	// AfterFirst is the day of this visit, counted from the first of the same care (figure
	// id, days): none earlier than its low, none later than its high value.
	AfterFirst string `json:"after_first,omitempty"`
	Elsewhere  bool   `json:"elsewhere,omitempty"` // not at this practice
	Signs      bool   `json:"signs,omitempty"`     // the agreement is signed: thinking time has passed, the laboratory may start
	Covers     bool   `json:"covers,omitempty"`    // temporary covers are on the teeth from here to the gluing
	// WithNext marks work done at the next row's appointments, wherever that row does not
	// wait for a laboratory.
	WithNext bool `json:"with_next,omitempty"`
	// Within marks short visits that run inside the next row's gap: they count as
	// visits and minutes and move no later date.
	Within bool `json:"within,omitempty"`
	// Then marks the place where the following route's visits come in, after this
	// row's gap. The row is no visit of its own, and the following route's
	// consultation has been held already.
	Then bool `json:"then,omitempty"`
}

// MaterialRule is a restorative material. Words: material.<key>.name.
type MaterialRule struct {
	Key       casefile.Material `json:"key"`
	Lab       string            `json:"lab,omitempty"`       // figure id, laboratory working days
	Thickness string            `json:"thickness,omitempty"` // figure id, mm, mid-face
	Thinnest  string            `json:"thinnest,omitempty"`  // figure id, mm
}

// Anchor says how an endpoint is known for the routes and materials it names: from a
// pool, or not at all.
type Anchor struct {
	ID        string              `json:"id"`
	Endpoint  string              `json:"endpoint"` // in-place, nothing-needed
	Routes    []casefile.Route    `json:"routes"`
	Materials []casefile.Material `json:"materials,omitempty"` // empty: any
	Dentin    string              `json:"dentin,omitempty"`    // "", sealed, unsealed
	Pool      string              `json:"pool,omitempty"`      // pool id; empty: unknown
	Unknown   string              `json:"unknown,omitempty"`   // reason key where there is no pool: words unknown.<key>
	Studies   []string            `json:"studies,omitempty"`   // figure ids: the published figures behind it
	Reason    string              `json:"reason"`
}

// Cohort is one group of restorations a study followed, with what pooling uses of it.
type Cohort struct {
	ID           string  `json:"id"`
	Source       string  `json:"source"`       // source id
	Studied      string  `json:"studied"`      // what it followed, see Studied
	Endpoint     string  `json:"endpoint"`     // in-place, nothing-needed
	Survival     float64 `json:"survival"`     // fraction without the event after Years
	Years        float64 `json:"years"`        // as published, the mean where there is no other
	Failed       int     `json:"failed"`       // restorations with the event
	Restorations int     `json:"restorations"` // restorations followed
	People       int     `json:"people"`       // persons who had them
	// Implied and Memory name the counts (failed, restorations, people) that are not
	// printed: worked out or assumed from what is, or known from memory only. They
	// weigh a cohort and never reach a sheet.
	Implied []string `json:"implied,omitempty"`
	Memory  []string `json:"memory,omitempty"`
	Note    string   `json:"note,omitempty"`
}

// Pool is one survival point pooled from cohorts, or taken from a published review
// (evidence-2 3.2). Figure is the same for people to read.
type Pool struct {
	ID       string `json:"id"`
	Endpoint string `json:"endpoint"` // in-place, nothing-needed
	// Method is pool (random effects over Cohorts), events (Cohorts with few failures
	// or none) or interval (of the figure Published, by its low end alone with LowOnly).
	Method    string   `json:"method"`
	Years     string   `json:"years"` // figure id
	Cohorts   []string `json:"cohorts,omitempty"`
	Published string   `json:"published,omitempty"`
	LowOnly   bool     `json:"low_only,omitempty"`
	Floor     string   `json:"floor,omitempty"` // id of the pool whose spread between practices is the least assumed here
	Limits    []Limit  `json:"limits"`
	Figure    string   `json:"figure"`  // figure id, fraction at Years
	Setting   string   `json:"setting"` // specialist, daily-practice, mixed
	Reason    string   `json:"reason"`
	// Computed is worked out when the data are compiled and written in no TOML file.
	Computed *Pooled `json:"computed,omitempty"`
}

// Limit is how long the studies of some materials go on.
type Limit struct {
	Materials []casefile.Material `json:"materials"`
	Years     string              `json:"years"` // figure id: nothing is shown beyond
}

// Pooled is a pool's point on the scale of eta = ln(-ln S), rounded to six decimals:
// the survival after its years is exp(-exp(Mu)), with a 95 % range for another
// practice of exp(-exp(Mu ± 1.96 U)).
type Pooled struct {
	Mu  float64 `json:"mu"`
	SE  float64 `json:"se"`  // standard error of Mu
	Tau float64 `json:"tau"` // standard deviation between practices
	U   float64 `json:"u"`   // sqrt(SE^2 + Tau^2)
}

// Limit is the figure id of how long the studies of a material go on; empty where
// the pool has none of it.
func (p *Pool) Limit(m casefile.Material) string {
	for _, l := range p.Limits {
		if slices.Contains(l.Materials, m) {
			return l.Years
		}
	}
	return ""
}

// Modifier multiplies the hazard (evidence-2 3.3).
type Modifier struct {
	ID         string   `json:"id"`
	Multiplier string   `json:"multiplier,omitempty"` // figure id, ratio; empty: direction only, told in words
	Endpoints  []string `json:"endpoints,omitempty"`
	// Routes and Materials are those its studies looked at: elsewhere the multiplier
	// does not multiply and its direction is put in words. Empty: any.
	Routes    []casefile.Route    `json:"routes,omitempty"`
	Materials []casefile.Material `json:"materials,omitempty"`
	Direction string              `json:"direction"` // worse, better, unclear, stain-only
	// Teeth is back where it stands for every tooth behind the canines, without a finding.
	Teeth string `json:"teeth,omitempty"`
	// Figures are the published figures behind it.
	Figures []string `json:"figures,omitempty"`
}

// UpkeepRule is one recurring date. Words: upkeep.<key>.name.
type UpkeepRule struct {
	Key       string           `json:"key"`
	Routes    []casefile.Route `json:"routes,omitempty"`
	Findings  []string         `json:"findings,omitempty"`  // any of these, or
	Appliance string           `json:"appliance,omitempty"` // this appliance, makes it apply
	From      string           `json:"from"`                // end, fit: counted from the end of treatment or the appliance's fit
	First     string           `json:"first,omitempty"`     // figure id, interval to the first date
	FirstRisk string           `json:"first_risk,omitempty"`
	Every     string           `json:"every,omitempty"`      // figure id, interval afterwards; empty: once
	EveryRisk string           `json:"every_risk,omitempty"` // with raised risk
	Risk      []string         `json:"risk,omitempty"`       // findings that raise the risk
	Recall    bool             `json:"recall,omitempty"`     // bounded by the published recall bounds
	// Years are the intervals of recalls (figure ids, months), one for each year as long as
	// all is quiet, the last for all years that follow; YearsRisk those with raised risk.
	Years     []string `json:"years,omitempty"`
	YearsRisk []string `json:"years_risk,omitempty"`
	// Renews: the appliance is made anew, at its fee.
	Renews bool `json:"renews,omitempty"`
	// DuringVisits: done at a recall visit, not a visit of its own.
	DuringVisits bool `json:"during_visits,omitempty"`
	// AgeBands, when set, are the only age bands it is for; a case without an age band counts as adult.
	AgeBands []string `json:"age_bands,omitempty"`
	Figures  []string `json:"figures,omitempty"` // figure ids its words may name or that bound it
}

// Risk is a material risk, one that a reasonable person would want to know
// before saying yes (care-pathway 7.2). Words: risk.<key>.name.
type Risk struct {
	Key     string   `json:"key"`
	Then    string   `json:"then"`              // what is done when it happens, words: risk.then.<then>
	Figures []string `json:"figures,omitempty"` // figure ids its words may name or rest on
	// Rates say how often, for some routes and materials; the first that fits is
	// told. Where none fits, nobody knows.
	Rates []Rate `json:"rates,omitempty"`
	// Planned: it is part of the treatment, so it is certain and has no rate.
	Planned bool `json:"planned,omitempty"`
}

// Rate is how often a risk came up where it was studied. Words: risk.often.<Words>.
type Rate struct {
	Figure    string              `json:"figure"` // figure id, percent
	Routes    []casefile.Route    `json:"routes,omitempty"`
	Cares     []string            `json:"cares,omitempty"`     // care that comes first, by key
	Materials []casefile.Material `json:"materials,omitempty"` // empty: any
	Unit      string              `json:"unit"`                // what the percent is of: teeth, veneers, people
	Pooled    bool                `json:"pooled,omitempty"`    // several studies taken together; else one study
	Words     string              `json:"words"`
}

// Rate is the first rate of r that speaks for a route and material; nil: nobody knows.
func (r *Risk) Rate(route casefile.Route, m casefile.Material) *Rate {
	for i := range r.Rates {
		x := &r.Rates[i]
		if slices.Contains(x.Routes, route) && (len(x.Materials) == 0 || slices.Contains(x.Materials, m)) {
			return x
		}
	}
	return nil
}

// Reference keeps figures and sources on which no rule rests, with the reason for keeping them.
type Reference struct {
	Figures []string `json:"figures,omitempty"`
	Sources []string `json:"sources,omitempty"`
	Reason  string   `json:"reason"`
}

// Line is one aftercare line. Words: aftercare.<key>, in the phase "now" with a name
// aftercare.<key>.name, and for the hygienist aftercare.<key>.not and .instead; name of a
// topic of the phase "life": aftercare.about.<topic>.
type Line struct {
	Key       string           `json:"key"`
	Phase     string           `json:"phase"`           // see Phases
	Topic     string           `json:"topic,omitempty"` // lines of one topic are printed together
	Order     int              `json:"order"`
	Routes    []casefile.Route `json:"routes,omitempty"`
	Findings  []string         `json:"findings,omitempty"`  // only with one of these
	ByEffect  bool             `json:"by_effect,omitempty"` // only when a finding's effect asks for it
	AgeBands  []string         `json:"age_bands,omitempty"` // only in these; a case without an age band counts as adult
	Appliance string           `json:"appliance,omitempty"`
	Changes   []string         `json:"changes,omitempty"`  // only when one of these was really done
	Figures   []string         `json:"figures,omitempty"`  // figures its words name, in placeholder order
	BasedOn   []string         `json:"based_on,omitempty"` // figures it rests on without naming them
	// UntilGlued: with Changes, only on teeth that were not glued since.
	UntilGlued bool `json:"until_glued,omitempty"`
	// Temporaries: only while temporary covers are on the teeth.
	Temporaries bool `json:"temporaries,omitempty"`
	// ByCountry: only where the country of the practice names it.
	ByCountry bool `json:"by_country,omitempty"`
}

// Line returns the aftercare line with a key; nil if there is none.
func (b *Base) Line(key string) *Line {
	for i := range b.Lines {
		if b.Lines[i].Key == key {
			return &b.Lines[i]
		}
	}
	return nil
}

// Country is what holds where a practice is.
type Country struct {
	Key   string   `json:"key"`
	Codes []string `json:"codes,omitempty"` // ISO 3166-1 alpha-2; empty: everywhere else
	// Emergency is the national emergency number, where it is common knowledge.
	Emergency string `json:"emergency,omitempty"`
	Paste     string `json:"paste"` // key of the aftercare line on toothpaste
	Note      string `json:"note,omitempty"`
}

// Phases of aftercare: in order of time, then what is about a night guard, what is about
// this mouth alone, and what is for the person who cleans the teeth.
func Phases() []string {
	return []string{"now", "first-days", "first-weeks", "life", "guard", "yours", "hygienist"}
}

// Urgencies of warning signs, the most urgent first.
func Urgencies() []string { return []string{"emergency-now", "call-today", "call-soon", "tell-soon"} }

// Warning is a warning sign, the most urgent first. Words: warning.<key>.sign and .self; name of urgency: urgency.<urgency>.
type Warning struct {
	Key         string           `json:"key"`
	Urgency     string           `json:"urgency"`          // see Urgencies
	Within      string           `json:"within,omitempty"` // figure id: how soon
	Order       int              `json:"order"`
	Routes      []casefile.Route `json:"routes,omitempty"`
	Appliance   string           `json:"appliance,omitempty"`
	Temporaries bool             `json:"temporaries,omitempty"`
	Changes     []string         `json:"changes,omitempty"`   // with Temporaries: one of these, really done, left some on the teeth
	Figures     []string         `json:"figures,omitempty"`   // the figure that .self names
	Emergency   bool             `json:"emergency,omitempty"` // it can turn into one: .self names that number
}

// Priority is something a patient may put first. Words: priority.<key>.name; each
// route's standing is told from Fact, a key of the route facts.
type Priority struct {
	Key  string `json:"key"`
	Fact string `json:"fact"`
}

// EnamelRow is the facial enamel of some teeth by third, figure ids in mm. The
// shipped rows are from memory: they may raise a question, never print a number.
type EnamelRow struct {
	Teeth    []casefile.Tooth `json:"teeth"`
	Cervical string           `json:"cervical"`
	Middle   string           `json:"middle"`
	Incisal  string           `json:"incisal"`
	Proximal string           `json:"proximal,omitempty"` // per side surface
	// ThinSide marks teeth whose side walls are thin: strips are avoided or kept to the distal side.
	ThinSide bool `json:"thin_side,omitempty"`
}

// Tab is a shade tab's CIELAB coordinates: a practice table with a stated
// origin, for ordering and arithmetic, never printed as a citation.
type Tab struct {
	Shade casefile.Shade `json:"shade"`
	L     float64        `json:"l"`
	A     float64        `json:"a"`
	B     float64        `json:"b"`
	// HiddenBy are published thicknesses of ceramic that hid this tab, figure ids in
	// mm; where they conflict each is kept. Empty: no study for this tab.
	HiddenBy []string `json:"hidden_by,omitempty"`
	// MoreNeeded: studies whose thickness could not be read needed more than these.
	MoreNeeded bool `json:"more_needed,omitempty"`
}

// MaskStep is a planning step by how much darker one tooth is than the target.
type MaskStep struct {
	Key     string           `json:"key"`    // words: mask.<key>
	From    string           `json:"from"`   // figure id, shade steps, at least
	Space   string           `json:"space"`  // figure id, mm of ceramic to plan
	Routes  []casefile.Route `json:"routes"` // routes that can reach it
	Changes []string         `json:"changes,omitempty"`
}

// Base is all of it.
type Base struct {
	Version    string         `json:"version"`  // date of the content, YYYY-MM-DD
	Reviewed   string         `json:"reviewed"` // last full review
	NextReview string         `json:"next_review"`
	Sources    []Source       `json:"sources"`
	Figures    []Figure       `json:"figures"`
	Cares      []Care         `json:"cares"`
	Findings   []Finding      `json:"findings"`
	Changes    []Change       `json:"changes"`
	Routes     []RouteRule    `json:"routes"`
	Materials  []MaterialRule `json:"materials"`
	Risks      []Risk         `json:"risks"`
	Cohorts    []Cohort       `json:"cohorts"`
	Pools      []Pool         `json:"pools"`
	Anchors    []Anchor       `json:"anchors"`
	Modifiers  []Modifier     `json:"modifiers"`
	Upkeep     []UpkeepRule   `json:"upkeep"`
	Lines      []Line         `json:"lines"`
	Warnings   []Warning      `json:"warnings"`
	Countries  []Country      `json:"countries"`
	Priorities []Priority     `json:"priorities"`
	Enamel     []EnamelRow    `json:"enamel"`
	TabOrigin  string         `json:"tab_origin"`
	Tabs       []Tab          `json:"tabs"`
	Masking    []MaskStep     `json:"masking"`
	// ShowRisk is the risk that a tooth shows through; a tooth darker than wanted raises
	// it as a finding does.
	ShowRisk string `json:"show_risk"`
	// Settings names the figures that single rules of the plan rest on, such as
	// thinking-time or icc, so that code holds rule names and no numbers.
	Settings map[string]string `json:"settings"`
	// References are the figures and sources kept without a rule.
	References []Reference `json:"references,omitempty"`

	index *index
}

package casefile

import (
	"bytes"
	"cmp"
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"plainleaf/app/fault"
	"plainleaf/app/order"
)

// Place is where a chair change happens: one tooth, or the contact between two
// neighbors. A contact names its teeth in ascending order; B is 0 for one tooth.
type Place struct{ A, B Tooth }

// At is the place of one tooth.
func At(t Tooth) Place { return Place{A: t} }

// Between is the contact of two neighbors, in either order.
func Between(a, b Tooth) Place { return Place{min(a, b), max(a, b)} }

// Contact reports whether p lies between two neighbors.
func (p Place) Contact() bool { return p.B != 0 && slices.Contains(p.A.Neighbors(), p.B) }

// Has reports whether t is at p.
func (p Place) Has(t Tooth) bool { return t != 0 && (p.A == t || p.B == t) }

// Teeth lists the teeth at p, along the arch.
func (p Place) Teeth() []Tooth {
	if p.B == 0 {
		return []Tooth{p.A}
	}
	return SortTeeth([]Tooth{p.A, p.B})
}

// String is the FDI code of the tooth, or both with a hyphen.
func (p Place) String() string {
	if p.B == 0 {
		return p.A.String()
	}
	return p.A.String() + "-" + p.B.String()
}

// ParsePlace reads a tooth such as 11, or a contact such as 14-15.
func ParsePlace(s string) (Place, error) {
	if !strings.Contains(s, "-") {
		t, err := ParseTooth(s)
		return At(t), err
	}
	var p Place
	err := p.UnmarshalText([]byte(s))
	return p, err
}

// Places is each of some teeth as a place.
func Places(teeth []Tooth) []Place {
	out := make([]Place, 0, len(teeth))
	for _, t := range teeth {
		out = append(out, At(t))
	}
	return out
}

// MarshalText writes a contact such as 14-15.
func (p Place) MarshalText() ([]byte, error) { return []byte(p.String()), nil }

// UnmarshalText reads a contact of two neighbors, in either order.
func (p *Place) UnmarshalText(b []byte) error {
	first, second, _ := strings.Cut(string(b), "-")
	a, err1 := ParseTooth(first)
	c, err2 := ParseTooth(second)
	*p = Between(a, c)
	if err1 != nil || err2 != nil || !p.Contact() {
		return fault.New("CASE-PLACE", "", "%q is not the contact of two neighboring teeth, such as 14-15", b)
	}
	return nil
}

// EventKind says what an event is. Keys are stable.
type EventKind string

// Kinds of events.
const (
	Shown          EventKind = "shown"           // a sheet was shown or handed out
	Asked          EventKind = "asked"           // the dentist asked before a step
	Answered       EventKind = "answered"        // what was said to that, or before gluing
	Reopened       EventKind = "reopened"        // the patient takes back a no, on a later day
	Tried          EventKind = "tried"           // something was tried in: a paste, a layer, a shape
	Approved       EventKind = "approved"        // color, shape or length is right
	ChangeWanted   EventKind = "change-wanted"   // color, shape or length is not right
	DoneStep       EventKind = "done"            // a chair change, a step of the treatment or a visit took place
	SignedSheet    EventKind = "signed"          // a sheet was signed, on the screen or on paper
	WithdrawnYes   EventKind = "withdrawn"       // the agreement was taken back
	SaidBack       EventKind = "said-back"       // a point was said back in the patient's own words
	ExplainedAgain EventKind = "explained-again" // and what was explained once more
	Waived         EventKind = "waived"          // the patient's own words on an open point
	Settled        EventKind = "settled"         // what a finding asked to wait for is done
	CareDecided    EventKind = "care-decided"    // yes, not yet or no to care that comes first
	Struck         EventKind = "struck"          // an earlier event was noted by mistake
)

// Steps of the treatment itself, which need no departure from the plan.
const (
	StepShaped  = "shaped"
	StepGlued   = "glued"
	StepRemoved = "removed" // what was glued came off: the tooth is shaped again
)

// States of a tooth.
const (
	Untouched   = "untouched"
	ShapedState = "shaped"
	BondedState = "bonded"
)

// Price is an amount in minor units of a currency.
type Price struct {
	Minor    int64  `json:"minor"`
	Currency string `json:"currency"` // ISO 4217
}

// UnmarshalJSON reads a price that says how much: nothing at all is not a price of
// nothing.
func (p *Price) UnmarshalJSON(data []byte) error {
	var x struct {
		Minor    *int64 `json:"minor"`
		Currency string `json:"currency"`
	}
	d := json.NewDecoder(bytes.NewReader(data))
	d.DisallowUnknownFields()
	if err := d.Decode(&x); err != nil || x.Minor == nil {
		return fault.New("CASE-PRICE", "", "a price has whole minor units (minor) and a currency, and nothing else")
	}
	*p = Price{*x.Minor, x.Currency}
	return nil
}

// Event is one entry of a case's history. The list is append-only: a mistake is
// struck by a later entry, never edited. Which fields an event has depends on its
// kind; see eventForms.
type Event struct {
	Kind EventKind `json:"kind"`
	On   Date      `json:"on,omitzero" strict:"said"`   // zero only in what version 1 noted without a day
	At   Time      `json:"at,omitempty" strict:"said"`  // at the practice
	By   string    `json:"by,omitempty" strict:"said"`  // who said or did it; see eventPeople
	How  string    `json:"how,omitempty" strict:"said"` // spoken, signal, written, signed

	Sheet  string `json:"sheet,omitempty" strict:"said"`
	Code   string `json:"code,omitempty" strict:"said"`   // of the sealed record, or printed on the paper
	SHA256 string `json:"sha256,omitempty" strict:"said"` // of the sealed record

	Change string  `json:"change,omitempty" strict:"said"`
	Step   string  `json:"step,omitempty" strict:"said"`
	Visit  string  `json:"visit,omitempty" strict:"said"`
	Teeth  []Tooth `json:"teeth,omitempty"` // none, and no places: all teeth of the case
	Places []Place `json:"places,omitempty"`
	SizeMM float64 `json:"size_mm,omitempty" strict:"said"` // taken away or added, mm
	Fee    *Price  `json:"fee,omitempty"`
	Answer Answer  `json:"answer,omitempty" strict:"said"`

	Sitting int      `json:"sitting,omitempty" strict:"said"` // delivery sitting, from 1
	Parts   []string `json:"parts,omitempty"`                 // shade, shape, length
	Shade   string   `json:"shade,omitempty" strict:"said"`   // what was tried, or approved in place of the planned one: a shade or words

	Topic string `json:"topic,omitempty" strict:"said"` // point that was said back
	Open  string `json:"open,omitempty" strict:"said"`  // key of the open point that was waived
	// Finding is what was settled, on some teeth or all.
	Finding string `json:"finding,omitempty" strict:"said"`
	Care    string `json:"care,omitempty" strict:"said"` // what comes first and was decided
	Of      int    `json:"of,omitempty" strict:"said"`   // number of the event that is struck, from 1
	Note    string `json:"note,omitempty"`
}

// eventForms lists the fields that each kind must have and may have; every event
// may have on, at, by and note.
var eventForms = map[EventKind]struct{ must, may string }{
	Shown:          {"sheet", "code sha256"},
	Asked:          {"change", "teeth places size_mm fee how"},
	Answered:       {"answer", "change step teeth places size_mm fee how"},
	Reopened:       {"change by", "teeth places how"},
	Tried:          {"", "teeth sitting shade change"},
	Approved:       {"parts", "teeth sitting shade how"},
	ChangeWanted:   {"parts", "teeth sitting"},
	DoneStep:       {"", "change step visit teeth places size_mm sitting"},
	SignedSheet:    {"sheet", "code sha256 how"},
	WithdrawnYes:   {"", "code sha256 how sheet"},
	SaidBack:       {"topic", ""},
	ExplainedAgain: {"topic", ""},
	Waived:         {"open note", "how"},
	Settled:        {"finding", "teeth"},
	CareDecided:    {"care answer", "how"},
	Struck:         {"of", "teeth parts"}, // of an entry about teeth or parts: for these only
}

var (
	eventPeople = []string{"patient", "parent", "guardian", "representative", "with-support", "dentist", "staff"}
	eventWays   = []string{"spoken", "signal", "written", "signed"}
	eventSteps  = []string{StepShaped, StepGlued, StepRemoved}
	eventParts  = []string{"shade", "shape", "length"}
	// treats are the kinds that happen only when treatment has begun.
	treats = []EventKind{Asked, Answered, Reopened, Tried, Approved, ChangeWanted, DoneStep}
)

// fields lists the kind-dependent fields that e has.
func (e Event) fields() []string {
	var out []string
	add := func(name string, has bool) {
		if has {
			out = append(out, name)
		}
	}
	add("by", e.By != "")
	add("how", e.How != "")
	add("sheet", e.Sheet != "")
	add("code", e.Code != "")
	add("sha256", e.SHA256 != "")
	add("change", e.Change != "")
	add("step", e.Step != "")
	add("visit", e.Visit != "")
	add("teeth", len(e.Teeth) > 0)
	add("places", len(e.Places) > 0)
	add("size_mm", e.SizeMM != 0)
	add("fee", e.Fee != nil)
	add("answer", e.Answer != "")
	add("sitting", e.Sitting != 0)
	add("parts", len(e.Parts) > 0)
	add("shade", e.Shade != "")
	add("topic", e.Topic != "")
	add("open", e.Open != "")
	add("finding", e.Finding != "")
	add("care", e.Care != "")
	add("of", e.Of != 0)
	add("note", e.Note != "")
	return out
}

// sites is where an event or an answer applies: its places and teeth, or all
// teeth of the case.
func (c Case) sites(teeth []Tooth, places []Place) []Place {
	if len(teeth)+len(places) == 0 {
		teeth = c.ToothList()
	}
	out := slices.Clone(places)
	for _, t := range teeth {
		out = append(out, At(t))
	}
	return out
}

// covers reports whether what was noted of some places applies to p. A contact is
// covered by itself or by both its teeth.
func covers(noted []Place, p Place) bool {
	if slices.Contains(noted, p) {
		return true
	}
	return p.B != 0 && slices.Contains(noted, At(p.A)) && slices.Contains(noted, At(p.B))
}

// Noted is one entry of the history with its number in the case, from 1.
type Noted struct {
	Number int
	Event
}

// Noted lists the entries that count, in order: those struck, and the entries that
// strike them, are left out; of one that is struck for some teeth or parts the rest
// is left, where and when it was noted.
func (c Case) Noted() []Noted {
	struck := map[int][]Event{}
	for _, e := range c.Events {
		if e.Kind == Struck {
			struck[e.Of] = append(struck[e.Of], e)
		}
	}
	out := make([]Noted, 0, len(c.Events))
	for i, e := range c.Events {
		if rest, ok := c.left(e, struck[i+1]); ok && e.Kind != Struck {
			out = append(out, Noted{i + 1, rest})
		}
	}
	return out
}

// left is what entries that strike it leave of one; false for nothing.
func (c Case) left(e Event, by []Event) (Event, bool) {
	for _, s := range by {
		if len(s.Teeth)+len(s.Parts) == 0 {
			return e, false
		}
		if len(s.Teeth) > 0 {
			e.Teeth = slices.DeleteFunc(slices.Clone(c.Meant(e.Teeth)), func(t Tooth) bool { return slices.Contains(s.Teeth, t) })
			if len(e.Teeth) == 0 {
				return e, false
			}
		}
		if len(s.Parts) > 0 {
			e.Parts = slices.DeleteFunc(slices.Clone(e.Parts), func(p string) bool { return slices.Contains(s.Parts, p) })
			if len(e.Parts) == 0 {
				return e, false
			}
		}
	}
	return e, true
}

// History is the events that count; see Noted.
func (c Case) History() []Event {
	list := c.Noted()
	out := make([]Event, len(list))
	for i, e := range list {
		out[i] = e.Event
	}
	return out
}

// Last is the number, from 1, of the last event that counts and matches; 0 for none.
func (c Case) Last(match func(Event) bool) int {
	list := c.Noted()
	for i := len(list) - 1; i >= 0; i-- {
		if match(list[i].Event) {
			return list[i].Number
		}
	}
	return 0
}

// States is how far each tooth has been changed, by what was done: untouched,
// shaped or bonded. takes reports whether a chair change takes something from the
// tooth that does not grow back. A contact that was opened counts for both its
// teeth unless the event names the tooth.
func (c Case) States(takes func(change string) bool) map[Tooth]string {
	out := map[Tooth]string{}
	for _, t := range c.ToothList() {
		out[t] = Untouched
	}
	for _, e := range c.History() {
		if e.Kind != DoneStep {
			continue
		}
		for _, t := range c.DoneTo(e) {
			switch {
			case e.Step == StepGlued:
				out[t] = BondedState
			case e.Step == StepShaped, e.Step == StepRemoved:
				out[t] = ShapedState
			case e.Change != "" && takes(e.Change) && out[t] != BondedState:
				out[t] = ShapedState
			}
		}
	}
	return out
}

// DoneTo lists the teeth that an event touched.
func (c Case) DoneTo(e Event) []Tooth {
	if len(e.Teeth) > 0 {
		return e.Teeth
	}
	var out []Tooth
	for _, p := range c.sites(nil, e.Places) {
		out = append(out, p.Teeth()...)
	}
	return SortTeeth(out)
}

// PlacesOf is where an entry about a change holds. A change of contacts that names
// teeth holds between those of them that are neighbors; where none are, at every
// contact of theirs.
func (c Case) PlacesOf(e Event, contacts bool) []Place {
	named := c.sites(e.Teeth, e.Places)
	if !contacts {
		return named
	}
	all := Contacts(c.DoneTo(e))
	out := slices.DeleteFunc(slices.Clone(all), func(p Place) bool { return !covers(named, p) })
	if len(out) == 0 {
		return all
	}
	return out
}

// Done lists the chair changes that really happened, in order.
func (c Case) Done() []Event {
	return slices.DeleteFunc(c.History(), func(e Event) bool { return e.Kind != DoneStep || e.Change == "" })
}

// VisitDay is the day on which a visit was noted as done, the last of them; zero when it
// was not.
func (c Case) VisitDay(key string) (d Date) {
	for _, e := range c.History() {
		if e.Kind == DoneStep && e.Visit == key {
			d = e.On
		}
	}
	return d
}

// GluedDay is the day on which the last of some teeth got what is glued on it now; zero
// while one of them has nothing.
func (c Case) GluedDay(teeth []Tooth) (last Date) {
	on := map[Tooth]Date{}
	for _, e := range c.History() {
		if e.Kind != DoneStep || e.Step != StepGlued && e.Step != StepRemoved {
			continue
		}
		for _, t := range c.DoneTo(e) {
			if on[t] = e.On; e.Step == StepRemoved {
				delete(on, t)
			}
		}
	}
	for _, t := range teeth {
		d, ok := on[t]
		if !ok {
			return Date{}
		}
		if last.Before(d) {
			last = d
		}
	}
	return last
}

// VisitDone reports whether a visit of the plan took place.
func (c Case) VisitDone(key string) bool {
	return slices.ContainsFunc(c.History(), func(e Event) bool { return e.Kind == DoneStep && e.Visit == key })
}

// Standing is the answer in force at one place.
type Standing struct {
	Answer Answer
	// From is agreement, asked (in the chair), case (not agreed yet), or "" for none.
	From string
	On   Date // zero where the case has no date for it
	By   string
	How  string
	// SizeMM and Fee are what was asked for, where it was said.
	SizeMM float64
	Fee    *Price
}

// Origins of a standing answer.
const (
	FromAgreement = "agreement"
	FromAsked     = "asked"
	FromCase      = "case"
)

// AnswerAt is what the case, as it is entered, has as the answer to a change at a
// place; an answer without teeth is for all of them. A contact that has no answer
// of its own takes that of its teeth where both have the same one.
func (c Case) AnswerAt(change string, at Place) Answer {
	return answerIn(c.Answers, change, at, c.has)
}

// has reports whether a tooth is one of the case; in a case without teeth each is.
func (c Case) has(t Tooth) bool {
	return len(c.Teeth) == 0 || slices.ContainsFunc(c.Teeth, func(e ToothEntry) bool { return e.Tooth == t })
}

func (a Agreement) has(t Tooth) bool {
	return len(a.Teeth) == 0 || slices.ContainsFunc(a.Teeth, func(e AgreedTooth) bool { return e.Tooth == t })
}

// answerIn finds the answer to a change at a place in a list; has reports whether a
// tooth is one that the list is about.
func answerIn(list []AnswerEntry, change string, at Place, has func(Tooth) bool) Answer {
	if at.B != 0 {
		for _, a := range list {
			if a.Change == change && slices.Contains(a.Places, at) {
				return a.Answer
			}
		}
		one, other := answerIn(list, change, At(at.A), has), answerIn(list, change, At(at.B), has)
		switch {
		case one == other:
			return one
		case one == No && !has(at.B), other == No && !has(at.A): // nobody can answer for a tooth outside the case
			return No
		}
		return Blank
	}
	for _, a := range list {
		if a.Change != change || len(a.Places) > 0 {
			continue
		}
		if slices.Contains(a.Teeth, at.A) || len(a.Teeth) == 0 && has(at.A) {
			return a.Answer
		}
	}
	return Blank
}

// TryIn is what the patient said at one delivery sitting before gluing, derived
// from the events of that sitting.
type TryIn struct {
	Sitting int
	Teeth   []Tooth
	Date    Date // of the last thing that was said
	Shade   string
	Shape   string
	Length  string // each approved or change
	Note    string
}

// TryIns gathers what was said at the try-in by sittings, in their order. What was
// said last of a part counts.
func (c Case) TryIns() []TryIn {
	var out []TryIn
	for _, e := range c.History() {
		verdict := map[EventKind]string{Approved: "approved", ChangeWanted: "change", Tried: ""}
		said, ofTryIn := verdict[e.Kind]
		if !ofTryIn || e.Sitting == 0 {
			continue
		}
		i := slices.IndexFunc(out, func(t TryIn) bool { return t.Sitting == e.Sitting })
		if i < 0 {
			i = len(out)
			out = append(out, TryIn{Sitting: e.Sitting})
		}
		t := &out[i]
		t.Teeth = SortTeeth(append(slices.Clone(t.Teeth), c.Meant(e.Teeth)...))
		if !e.On.IsZero() {
			t.Date = e.On
		}
		for _, part := range e.Parts {
			switch part {
			case "shade":
				t.Shade = said
			case "shape":
				t.Shape = said
			case "length":
				t.Length = said
			}
		}
		t.Note = cmp.Or(e.Note, t.Note)
	}
	order.By(out, func(a, b TryIn) int { return a.Sitting - b.Sitting })
	return out
}

// Approval is the verdict on one tooth: parts that were approved last, and parts
// that are to be changed. What was said of a veneer that came off says nothing of
// the next one. With a sitting other than 0 it is what was said at that sitting.
func (c Case) Approval(t Tooth, sitting int) (approved, change []string) {
	last := map[string]EventKind{}
	for _, e := range c.History() {
		if sitting != 0 && e.Sitting != sitting {
			continue
		}
		if e.Step == StepRemoved && slices.Contains(c.DoneTo(e), t) {
			clear(last)
		}
		if (e.Kind == Approved || e.Kind == ChangeWanted) && slices.Contains(c.Meant(e.Teeth), t) {
			for _, part := range e.Parts {
				last[part] = e.Kind
			}
		}
	}
	for _, part := range eventParts {
		switch last[part] {
		case Approved:
			approved = append(approved, part)
		case ChangeWanted:
			change = append(change, part)
		}
	}
	return approved, change
}

// GluingAgreed reports whether the patient's yes to gluing is noted for a tooth, and
// holds: no later no, no wish to change what is glued, no veneer that came off and no
// withdrawal came after it.
func (c Case) GluingAgreed(t Tooth) bool {
	yes := false
	for _, e := range c.History() {
		switch {
		case e.Kind == WithdrawnYes:
			yes = false
		case e.Step != StepRemoved && e.Step != StepGlued && e.Kind != ChangeWanted || !slices.Contains(c.DoneTo(e), t):
		case e.Kind == Answered:
			yes = e.Answer == Agree
		case e.Kind == ChangeWanted, e.Step == StepRemoved:
			yes = false
		}
	}
	return yes
}

// TeachBack is a point to be said back, and what came of it.
type TeachBack struct {
	Topic string
	Note  string // what was explained again
	Done  bool   // said back since
}

// TeachBacks lists the points that were said back or explained again, in the
// order in which they first came up.
func (c Case) TeachBacks() []TeachBack {
	var out []TeachBack
	for _, e := range c.History() {
		if e.Kind != SaidBack && e.Kind != ExplainedAgain {
			continue
		}
		i := slices.IndexFunc(out, func(t TeachBack) bool { return t.Topic == e.Topic })
		if i < 0 {
			i = len(out)
			out = append(out, TeachBack{Topic: e.Topic})
		}
		if e.Kind == SaidBack {
			out[i].Done = true
		} else {
			out[i].Note, out[i].Done = e.Note, false
		}
	}
	return out
}

// Waiver is the patient's own words on an open point; "" without them.
func (c Case) Waiver(open string) string {
	words := ""
	for _, e := range c.History() {
		if e.Kind == Waived && e.Open == open {
			words = e.Note
		}
	}
	return words
}

// Settled reports whether what a finding asks to wait for is settled on all of
// some teeth; with none, for the whole mouth or person.
func (c Case) Settled(finding string, teeth []Tooth) bool {
	var done []Tooth
	for _, e := range c.History() {
		if e.Kind != Settled || e.Finding != finding {
			continue
		}
		if len(e.Teeth) == 0 {
			return true
		}
		done = append(done, e.Teeth...)
	}
	return len(teeth) > 0 && !slices.ContainsFunc(teeth, func(t Tooth) bool { return !slices.Contains(done, t) })
}

// CareAnswer is what the patient said last to care that comes first: agree, ask for not
// yet, or no; blank while nothing was said.
func (c Case) CareAnswer(care string) (a Answer) {
	for _, e := range c.History() {
		if e.Kind == CareDecided && e.Care == care {
			a = e.Answer
		}
	}
	return a
}

// Withdrawn reports whether the agreement was taken back and none was signed since.
func (c Case) Withdrawn() bool {
	out := false
	for _, e := range c.History() {
		switch {
		case e.Kind == WithdrawnYes:
			out = true
		case e.Kind == SignedSheet && e.Sheet == "consent":
			out = false
		}
	}
	return out
}

// Agreement is what was agreed, by a sealed record or a paper signed by hand, as
// structured values. It never changes: a signed change makes a new one.
type Agreement struct {
	Way    string `json:"way"` // sealed, or paper
	Code   string `json:"code"`
	SHA256 string `json:"sha256,omitempty" strict:"said"` // of the sealed record
	Date   Date   `json:"date"`
	Sheet  string `json:"sheet,omitempty" strict:"said"` // consent, or change
	Paper  string `json:"paper,omitempty"`               // where the signed paper is kept
	By     string `json:"by,omitempty" strict:"said"`    // who decided

	Route       Route         `json:"route"`
	Then        Route         `json:"then,omitempty" strict:"said"`
	Material    Material      `json:"material,omitempty" strict:"said"`
	TargetShade Shade         `json:"target_shade,omitempty" strict:"said"`
	ShadeNote   string        `json:"shade_note,omitempty"`
	Teeth       []AgreedTooth `json:"teeth,omitzero"`
	Answers     []AnswerEntry `json:"answers,omitempty"`
	Price       *Price        `json:"price,omitempty"`
}

// AgreedTooth is one tooth of an agreement; Route, Material and TargetShade override the
// agreement's.
type AgreedTooth struct {
	Tooth       Tooth    `json:"tooth"`
	Route       Route    `json:"route,omitempty" strict:"said"`
	Material    Material `json:"material,omitempty" strict:"said"`
	TargetShade Shade    `json:"target_shade,omitempty" strict:"said"`
	ShadeNote   string   `json:"shade_note,omitempty"`
}

// Ways of an agreement.
const (
	SealedRecord = "sealed"
	SignedPaper  = "paper"
)

// ToothList is the agreed teeth in chart order.
func (a Agreement) ToothList() []Tooth { return a.plain().ToothList() }

// Groups are the agreed teeth by route and material, as Case.Groups.
func (a Agreement) Groups() []Group { return a.plain().Groups() }

// plain is a case that has what was agreed and nothing else.
func (a Agreement) plain() Case {
	c := Case{Route: a.Route, Then: a.Then, Material: a.Material, TargetShade: a.TargetShade, ShadeNote: a.ShadeNote}
	for _, t := range a.Teeth {
		c.Teeth = append(c.Teeth, ToothEntry{Tooth: t.Tooth, Route: t.Route, Material: t.Material, TargetShade: t.TargetShade, ShadeNote: t.ShadeNote})
	}
	return c
}

// Put is the case as it was agreed: its route, material, shade and teeth in place
// of those entered since, with the findings of the case.
func (a Agreement) Put(c Case) Case {
	entries := c.Teeth
	was := a.plain()
	c.Route, c.Then, c.Material, c.Teeth = was.Route, was.Then, was.Material, was.Teeth
	c.TargetShade, c.ShadeNote = was.TargetShade, was.ShadeNote
	c.Answers = a.Answers
	for i, e := range c.Teeth {
		if j := slices.IndexFunc(entries, func(x ToothEntry) bool { return x.Tooth == e.Tooth }); j >= 0 {
			c.Teeth[i].Findings, c.Teeth[i].UnderlyingShade = entries[j].Findings, entries[j].UnderlyingShade
		}
	}
	return c
}

// Agree makes the agreement that the case, as it is entered, would be once signed.
// contacts reports whether a chair change is one of contacts.
func (c Case) Agree(way, code, sha256, sheet string, date Date, price *Price, contacts func(change string) bool) Agreement {
	a := Agreement{Way: way, Code: code, SHA256: sha256, Date: date, Sheet: sheet, Route: c.Route, Then: c.Then,
		Material: c.Material, TargetShade: c.TargetShade, ShadeNote: c.ShadeNote, Teeth: []AgreedTooth{}, Price: price}
	if c.People != nil {
		a.By = c.People.Decides
	}
	for _, e := range c.Teeth {
		a.Teeth = append(a.Teeth, AgreedTooth{e.Tooth, e.Route, e.Material, e.TargetShade, e.ShadeNote})
	}
	answers := c.Answers
	if sheet == "change" && c.Agreed != nil { // what was agreed holds on, as it was answered since
		answers = c.inForce(contacts)
	}
	for _, x := range answers {
		if x.Answer != Blank {
			a.Answers = append(a.Answers, AnswerEntry{x.Change, slices.Clone(x.Teeth), slices.Clone(x.Places), x.Answer})
		}
	}
	return a
}

// Offer is one route on the table, or the dentist's reason why it is not.
type Offer struct {
	Route  Route  `json:"route"`
	Not    bool   `json:"not,omitempty"`
	Reason string `json:"reason,omitempty"` // in the dentist's words; needed where it is not offered
}

// Note appends an event.
func (c *Case) Note(e Event) { c.Events = append(slices.Clone(c.Events), e) }

// Strike notes that the n-th event, counted from 1, was a mistake.
func (c *Case) Strike(n int, on Date) { c.Note(Event{Kind: Struck, On: on, Of: n}) }

// String names an event in a fault.
func (e Event) String() string { return fmt.Sprintf("%s %s%s%s", e.Kind, e.Change, e.Step, e.Visit) }

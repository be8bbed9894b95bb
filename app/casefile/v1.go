package casefile

import (
	"slices"
	"strconv"

	"plainleaf/app/order"
)

// caseV1 are the fields in which version 1 of the case file kept what version 2
// derives from events. They are read, turned into events, and never written.
type caseV1 struct {
	OldStates     []stateV1     `json:"tooth_state,omitempty"`
	OldDepartures []departureV1 `json:"departures,omitempty"`
	OldTryIns     []tryInV1     `json:"tryin,omitempty"`
	OldTeachBack  []teachBackV1 `json:"teach_back,omitempty"`
}

// empty reports whether the file had none of the lists, not even an empty one.
func (o caseV1) empty() bool {
	return o.OldStates == nil && o.OldDepartures == nil && o.OldTryIns == nil && o.OldTeachBack == nil
}

// stateV1 is how far one tooth has been changed: untouched, shaped or bonded.
type stateV1 struct {
	Tooth Tooth  `json:"tooth"`
	State string `json:"state"`
}

// departureV1 is a chair change that really happened.
type departureV1 struct {
	Change string  `json:"change"`
	Teeth  []Tooth `json:"teeth"`
	SizeMM float64 `json:"size_mm,omitempty" strict:"said"` // mm; 0 is not said
	Date   Date    `json:"date,omitzero" strict:"said"`
	Note   string  `json:"note,omitempty"`
}

// tryInV1 is what was said at one delivery sitting; each part approved or change.
type tryInV1 struct {
	Sitting int     `json:"sitting"`
	Teeth   []Tooth `json:"teeth"`
	Date    Date    `json:"date,omitzero" strict:"said"`
	Shade   string  `json:"shade,omitempty" strict:"said"`
	Shape   string  `json:"shape,omitempty" strict:"said"`
	Length  string  `json:"length,omitempty" strict:"said"`
	Note    string  `json:"note,omitempty"`
}

type teachBackV1 struct {
	Topic string `json:"topic"`
	Note  string `json:"note,omitempty"`
	Done  bool   `json:"done,omitempty"`
}

// Upgrade turns what version 1 kept into what this version keeps, in place: the
// derived lists become events, and an answer per tooth to a change of contacts
// becomes one per contact. contacts reports whether a change is of contacts. A
// case of this version stays as it is, but for such answers.
func (c *Case) Upgrade(contacts func(change string) bool) {
	c.Answers = c.contactAnswers(contacts)
	if c.Version >= CaseVersion || c.Version < 1 {
		return
	}
	c.Version = CaseVersion
	old := c.caseV1
	c.caseV1 = caseV1{}
	c.Events = slices.Concat(old.events(), c.Events)
}

// events tells the lists of version 1 in the order in which they can have
// happened: what has no day, then day by day, then the states that were set by hand.
func (o caseV1) events() []Event {
	var said, dated, states []Event
	for _, t := range o.OldTeachBack {
		if t.Note != "" || !t.Done {
			said = append(said, Event{Kind: ExplainedAgain, Topic: t.Topic, Note: t.Note})
		}
		if t.Done {
			said = append(said, Event{Kind: SaidBack, Topic: t.Topic})
		}
	}
	for _, d := range o.OldDepartures {
		dated = append(dated, Event{Kind: DoneStep, On: d.Date, Change: d.Change, Teeth: d.Teeth, SizeMM: d.SizeMM, Note: d.Note})
	}
	for _, t := range o.OldTryIns {
		dated = append(dated, t.events()...)
	}
	order.By(dated, func(a, b Event) int { return a.On.Compare(b.On) }) // no day comes first
	for _, step := range []struct{ state, step string }{{ShapedState, StepShaped}, {BondedState, StepGlued}} {
		var teeth []Tooth
		for _, s := range o.OldStates {
			if s.State == step.state {
				teeth = append(teeth, s.Tooth)
			}
		}
		if len(teeth) > 0 {
			states = append(states, Event{Kind: DoneStep, Step: step.step, Teeth: SortTeeth(teeth)})
		}
	}
	return slices.Concat(said, dated, states)
}

func (t tryInV1) events() []Event {
	by := map[string][]string{}
	for _, part := range []struct{ name, said string }{{"shade", t.Shade}, {"shape", t.Shape}, {"length", t.Length}} {
		if part.said != "" {
			by[part.said] = append(by[part.said], part.name)
		}
	}
	var out []Event
	if parts := by["approved"]; len(parts) > 0 {
		out = append(out, Event{Kind: Approved, On: t.Date, Sitting: t.Sitting, Teeth: t.Teeth, Parts: parts})
	}
	if parts := by["change"]; len(parts) > 0 {
		out = append(out, Event{Kind: ChangeWanted, On: t.Date, Sitting: t.Sitting, Teeth: t.Teeth, Parts: parts})
	}
	if len(out) == 0 {
		out = append(out, Event{Kind: Tried, On: t.Date, Sitting: t.Sitting, Teeth: t.Teeth})
	}
	out[len(out)-1].Note = t.Note
	return out
}

// contactAnswers moves answers about teeth to the contacts between them, where a
// change is one of contacts: to a contact whose two teeth have the same answer. A
// no about the last tooth of the case holds for its outer contact too, since
// nobody answers for the tooth beyond; any other contact stays blank, which acts
// as ask.
func (c Case) contactAnswers(contacts func(change string) bool) []AnswerEntry {
	var out []AnswerEntry
	var moved []string
	for _, a := range c.Answers {
		if !contacts(a.Change) || len(a.Places) > 0 {
			out = append(out, a)
			continue
		}
		if slices.Contains(moved, a.Change) {
			continue
		}
		moved = append(moved, a.Change)
		for _, answer := range []Answer{Agree, Ask, No} {
			e := AnswerEntry{Change: a.Change, Answer: answer}
			for _, p := range Contacts(c.ToothList()) {
				named := slices.ContainsFunc(c.Answers, func(x AnswerEntry) bool { return x.Change == a.Change && slices.Contains(x.Places, p) })
				if !named && c.AnswerAt(a.Change, p) == answer {
					e.Places = append(e.Places, p)
				}
			}
			if len(e.Places) > 0 {
				out = append(out, e)
			}
		}
	}
	return out
}

// Contacts lists the contacts of some teeth, each once, along the arch; a
// neighbor may be a tooth that is not among them.
func Contacts(teeth []Tooth) []Place {
	var out []Place
	for _, t := range teeth {
		if !t.Valid() { // the whole mouth
			continue
		}
		for _, n := range t.Neighbors() {
			if p := Between(t, n); !slices.Contains(out, p) {
				out = append(out, p)
			}
		}
	}
	return SortPlaces(out)
}

// SortPlaces orders places along the arch, each once.
func SortPlaces(list []Place) []Place {
	at := func(p Place) int {
		first := p.A.place()
		if p.B != 0 {
			first = min(first, p.B.place())
		}
		return 64*first + int(p.B)
	}
	out := slices.Clone(list)
	order.By(out, func(a, b Place) int { return at(a) - at(b) })
	return slices.Compact(out)
}

// versionOne checks what only version 1 keeps. A later version derives it, and so
// does a file with events: nobody could say which came first.
func (k *caseCheck) versionOne() {
	if !k.c.caseV1.empty() && (k.c.Version != 1 || k.c.Events != nil) {
		k.add("CASE-DERIVED", "events", "", "tooth_state, departures, tryin and teach_back are of version 1 and never beside events: note what happened in events")
	}
	if k.c.Version != 1 {
		return
	}
	k.courseV1()
	for i, t := range k.c.OldTeachBack {
		k.said(at("teach_back", i)+".topic", t.Topic)
		k.text(at("teach_back", i)+".note", t.Note)
	}
}

var (
	toothStates = []string{Untouched, ShapedState, BondedState}
	seen        = []string{"approved", "change"}
)

// courseV1 checks what is noted while treatment goes on.
func (k *caseCheck) courseV1() {
	c := k.c
	began := func(path string) {
		if c.Stage == Deciding {
			k.add("CASE-STAGE-CONTRADICTION", path, string(c.Stage), "this can only happen after the patient has decided")
		}
	}
	var states []Tooth
	for i, s := range c.OldStates {
		p := at("tooth_state", i)
		states = append(states, s.Tooth)
		if !slices.Contains(toothStates, s.State) {
			k.add("CASE-STATE", p+".state", s.State, "%q is not known here", s.State)
		} else if s.State != Untouched {
			began(p + ".state")
		}
		if !k.teeth[s.Tooth] {
			k.add("CASE-TOOTH-ABSENT", p+".tooth", s.Tooth.String(), "tooth %d is not in this case", int(s.Tooth))
		} else if slices.Contains(states[:i], s.Tooth) {
			k.add("CASE-TOOTH-TWICE", p+".tooth", s.Tooth.String(), "tooth %d is listed twice", int(s.Tooth))
		}
	}
	for i, d := range c.OldDepartures {
		p := at("departures", i)
		began(p)
		k.change(p+".change", d.Change)
		k.inCase(p+".teeth", d.Teeth)
		if d.SizeMM < 0 || d.SizeMM > maxSizeMM {
			k.add("CASE-SIZE", p+".size_mm", strconv.FormatFloat(d.SizeMM, 'f', -1, 64), "a size lies above 0 and up to %d mm", maxSizeMM)
		}
		k.exists(p+".date", d.Date)
		if d.Date.Exists() && c.Start.Exists() && d.Date.Before(c.Start) {
			k.add("CASE-DATES", p+".date", d.Date.String(), "%s lies before the first visit on %s", d.Date, c.Start)
		}
		k.text(p+".note", d.Note)
	}
	sittings := map[int]bool{}
	for i, t := range c.OldTryIns {
		p := at("tryin", i)
		began(p)
		if t.Sitting < 1 || t.Sitting > len(AllTeeth()) {
			k.add("CASE-SITTING", p+".sitting", strconv.Itoa(t.Sitting), "sittings are counted from 1")
		} else if sittings[t.Sitting] {
			k.add("CASE-SITTING-TWICE", p+".sitting", strconv.Itoa(t.Sitting), "sitting %d is listed twice", t.Sitting)
		}
		sittings[t.Sitting] = true
		k.inCase(p+".teeth", t.Teeth)
		k.exists(p+".date", t.Date)
		if t.Date.Exists() && c.Start.Exists() && t.Date.Before(c.Start) {
			k.add("CASE-DATES", p+".date", t.Date.String(), "%s lies before the first visit on %s", t.Date, c.Start)
		}
		oneOf(&k.check, "CASE-TRYIN", p+".shade", t.Shade, seen)
		oneOf(&k.check, "CASE-TRYIN", p+".shape", t.Shape, seen)
		oneOf(&k.check, "CASE-TRYIN", p+".length", t.Length, seen)
		k.text(p+".note", t.Note)
	}
}

package plan

import (
	"slices"
	"strings"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
	"plainleaf/app/plan/basis"
)

// Open is one thing that is missing or unsettled. Sheets, screens and the seal read
// the same list. Words: open.<what>.
type Open struct {
	What string `json:"what"`
	// Key is the wait-for or the language that is meant, where there are several.
	Key   string           `json:"key,omitempty"`
	Teeth []casefile.Tooth `json:"teeth,omitempty"`
	// Holds lists what may not happen before it is settled, each a key of Held.
	Holds []string `json:"holds"`
	// NoLines: the consent has no line to sign before it is settled.
	NoLines bool `json:"no_lines,omitempty"`
	// From is the first day on which it no longer holds by itself.
	From casefile.Date `json:"from,omitzero"`
	// MayGoOn: one may go on with a reason; Whose is whose, dentist or patient.
	MayGoOn bool   `json:"may_go_on"`
	Whose   string `json:"whose,omitempty"`
	// Reason is the words given to go on; the point then holds nothing back.
	Reason string `json:"reason,omitempty"`
}

// What an open point may hold back.
const (
	HoldsPrinting   = "printing"   // any sheet for a patient
	HoldsSigning    = "signing"    // a yes to the treatment
	HoldsLaboratory = "laboratory" // the laboratory's start
	HoldsBonding    = "bonding"    // gluing
	HoldsCare       = "care"       // care that comes first, by its own yes
)

// Open points, in the one order in which they are settled.
const (
	OpenTelephone  = "telephone"
	OpenEmergency  = "emergency-line"
	OpenWords      = "words"      // no sign-off of the consent's words
	OpenWait       = "wait"       // a finding asks to settle something first
	OpenTalk       = "talk-again" // a private one does
	OpenCare       = "care"       // care that comes first has no yes of its own
	OpenTrialSmile = "trial-smile"
	OpenAge        = "age"
	OpenDecides    = "decides" // who decides was not asked
	OpenAlone      = "alone"   // a child decides alone
	OpenAssent     = "assent"  // the patient's own yes was not asked
	OpenDissent    = "dissent" // the patient's own answer is no
	OpenHelp       = "interpreter"
	OpenQuestions  = "questions"
	OpenThinking   = "thinking-time"
	OpenSignature  = "signature"
	OpenWithdrawn  = "withdrawn"
	OpenTryIn      = "try-in"
	OpenGluing     = "yes-to-gluing"
)

// InForce is the answer that holds in the chair for one change, at the places that
// share it. It names what was asked for where the patient was asked.
type InForce struct {
	Key    string           `json:"key"`
	Teeth  []casefile.Tooth `json:"teeth"`
	Places []string         `json:"places"`
	// Contacts are the pairs, where the change is one of contacts.
	Contacts []casefile.Place `json:"-"`
	Answer   casefile.Answer  `json:"answer"`
	From     string           `json:"from"` // agreement, asked or case
	On       casefile.Date    `json:"on,omitzero"`
	By       string           `json:"by,omitempty"`
	How      string           `json:"how,omitempty"`
	SizeMM   float64          `json:"size_mm,omitempty"`
	Fee      *casefile.Price  `json:"fee,omitempty"`
	TellOnly bool             `json:"tell_only,omitempty"`
}

// ToothState is how far one tooth has been changed: untouched, shaped or bonded.
type ToothState struct {
	Tooth casefile.Tooth `json:"tooth"`
	State string         `json:"state"`
}

// Held lists the open points that hold something back and that no reason settles.
// day is when it is to happen; the zero day counts every point, also one that ends
// by itself.
func (p Plan) Held(what string, day casefile.Date) []Open {
	return slices.DeleteFunc(slices.Clone(p.Open), func(o Open) bool {
		return o.Reason != "" || !slices.Contains(o.Holds, what) || o.From.Exists() && day.Exists() && !day.Before(o.From)
	})
}

// NoLines lists what has to be settled before the consent has lines to sign.
func (p Plan) NoLines() []Open {
	return slices.DeleteFunc(slices.Clone(p.Open), func(o Open) bool { return !o.NoLines })
}

// HeldFor lists what keeps a kind of sheet from being signed with a yes on a day: for
// a consent everything that holds the signing back; for a try-in and a change, which
// follow it, what was not asked about who decides and who helps.
func (p Plan) HeldFor(sheet string, day casefile.Date) []Open {
	held := p.Held(HoldsSigning, day)
	switch sheet {
	case "consent":
		return held
	case "tryin", "change":
		who := []string{OpenAge, OpenDecides, OpenAlone, OpenAssent, OpenDissent, OpenHelp}
		return slices.DeleteFunc(held, func(o Open) bool { return !slices.Contains(who, o.What) })
	}
	return nil
}

// openPoints lists what is missing or unsettled.
func openPoints(s *basis.Basis, out *Plan) []Open {
	l := &openList{s: s, out: []Open{}}
	l.practice()
	l.settle(out)
	l.people()
	l.patient(out)
	l.treatment(out)
	return l.out
}

// openList gathers open points in order.
type openList struct {
	s   *basis.Basis
	out []Open
}

// before is what cannot happen before the patient has said yes.
var before = []string{HoldsSigning, HoldsLaboratory, HoldsBonding}

func (l *openList) add(o Open) {
	o.MayGoOn = o.Whose != ""
	if o.Reason != "" {
		o.Holds, o.NoLines = nil, false
	}
	o.Holds = notNil(o.Holds)
	l.out = append(l.out, o)
}

// practice names what the practice has not entered or checked.
func (l *openList) practice() {
	p := l.s.Practice
	for _, x := range []struct{ key, number string }{{OpenTelephone, p.Telephone}, {OpenEmergency, p.EmergencyLine}} {
		if strings.TrimSpace(x.number) == "" {
			l.add(Open{What: x.key, Holds: []string{HoldsPrinting}})
		}
	}
	for _, tag := range []string{l.s.Case.Locale, l.s.Case.Second} {
		signed := slices.ContainsFunc(p.SignOffs, func(s casefile.SignOff) bool {
			return s.Locale == tag && (s.Sheet == "consent" || s.Sheet == "all")
		})
		if tag != "" && !signed {
			l.add(Open{What: OpenWords, Key: tag}) // banners and the second language settle it on paper
		}
	}
}

// settle names what a finding asks to wait for, and the trial smile.
func (l *openList) settle(p *Plan) {
	for _, x := range p.WaitFor {
		o := Open{What: OpenWait, Key: x.Key, Teeth: x.Teeth, Holds: before, NoLines: true, Whose: "dentist", Reason: x.Reason}
		if x.Private {
			o.What, o.Key, o.Teeth = OpenTalk, "", nil
		}
		l.add(o)
	}
	l.care(p)
	for _, v := range p.Visits {
		if key := v.KeyOf(evidence.TrialSmile); key != "" && !l.s.Case.VisitDone(key) && !begun(l.s) {
			l.add(l.waived(Open{What: OpenTrialSmile, Holds: before}))
			break
		}
	}
}

// care names what comes first and has no yes of its own yet.
func (l *openList) care(p *Plan) {
	for _, f := range p.First {
		if f.Consents() && !f.Settled && f.Answer != casefile.Agree && !begun(l.s) {
			l.add(Open{What: OpenCare, Key: f.Key, Teeth: f.Teeth, Holds: []string{HoldsCare}})
		}
	}
}

// begun reports whether treatment has come as far as the try-in.
func begun(s *basis.Basis) bool {
	return s.Case.Stage == casefile.AtTryIn || s.Case.Stage == casefile.Delivered
}

// waived puts in the patient's own words where the practice lets the patient waive
// the point.
func (l *openList) waived(o Open) Open {
	if slices.Contains(l.s.Practice.Waivers, o.What) {
		o.Whose, o.Reason = "patient", l.s.Case.Waiver(o.What)
	}
	return o
}

// people names what was not asked about who decides and who helps.
func (l *openList) people() {
	p := casefile.People{}
	if l.s.Case.People != nil {
		p = *l.s.Case.People
	}
	represented, minor := p.Represented(), p.Minor()
	if p.AgeBand == "" {
		l.add(Open{What: OpenAge, Holds: before})
	}
	switch {
	case p.Decides == "":
		l.add(Open{What: OpenDecides, Holds: before})
	case p.AgeBand == "child" && !represented:
		l.add(Open{What: OpenAlone, Holds: before, NoLines: true})
	case minor && !represented: // in some places the law lets a young person decide
		l.add(Open{What: OpenAlone, Holds: before, Whose: "dentist", Reason: reasonFor(l.s, OpenAlone)})
	}
	if minor || represented {
		switch p.Assent {
		case "yes":
		case "no":
			l.add(Open{What: OpenDissent, Holds: before, NoLines: true})
		default:
			l.add(Open{What: OpenAssent, Holds: before})
		}
	}
	if p.Interpreter == "" || p.Interpreter != "none" && p.InterpreterWay == "" {
		l.add(Open{What: OpenHelp, Holds: before})
	}
}

// patient names open questions and the thinking time.
func (l *openList) patient(p *Plan) {
	if slices.ContainsFunc(l.s.Case.Questions, func(q casefile.Question) bool { return strings.TrimSpace(q.Answer) == "" }) {
		l.add(l.waived(Open{What: OpenQuestions, Holds: before}))
	}
	if !begun(l.s) || l.s.Case.Agreed == nil { // a stage alone gave nobody time
		l.add(l.waived(Open{What: OpenThinking, Holds: before, From: p.Deciding.EarliestSign}))
	}
}

// treatment names what is open once the patient has decided.
func (l *openList) treatment(p *Plan) {
	c := l.s.Case
	switch {
	case c.Withdrawn():
		l.add(Open{What: OpenWithdrawn, Holds: []string{HoldsLaboratory, HoldsBonding}})
	case c.Agreed == nil:
		l.add(Open{What: OpenSignature, Holds: []string{HoldsLaboratory, HoldsBonding}})
	}
	states := map[casefile.Tooth]string{}
	for _, s := range p.ToothState {
		states[s.Tooth] = s.State
	}
	var look, yes []casefile.Tooth
	for _, v := range p.Deliveries() {
		for _, t := range v.Teeth {
			if states[t] == casefile.BondedState {
				continue
			}
			if approved, change := c.Approval(t, 0); len(approved) == 0 || len(change) > 0 {
				look = append(look, t)
			}
			if !c.GluingAgreed(t) {
				yes = append(yes, t)
			}
		}
	}
	for _, x := range []struct {
		what  string
		teeth []casefile.Tooth
	}{{OpenTryIn, look}, {OpenGluing, yes}} {
		if len(x.teeth) > 0 {
			l.add(Open{What: x.what, Teeth: casefile.SortTeeth(x.teeth), Holds: []string{HoldsBonding}})
		}
	}
}

// toothStates lists how far each tooth has been changed, in chart order: the teeth
// of the case, and others that something was taken from.
func toothStates(s *basis.Basis) []ToothState {
	states := s.Case.States(func(change string) bool {
		rule := s.Evidence.Change(change)
		return rule != nil && rule.Takes()
	})
	out := make([]ToothState, 0, len(states))
	for _, t := range casefile.AllTeeth() {
		if state, ok := states[t]; ok {
			out = append(out, ToothState{t, state})
		}
	}
	return out
}

// inForce lists the answers that hold in the chair: for the steps that can come up
// here, blanks included, and for others that were answered in the chair.
func inForce(s *basis.Basis, changes []ChairChange) []InForce {
	out := []InForce{}
	history, course := s.Case.History(), s.Case.Course()
	course.Upto(len(history))
	for i := range s.Evidence.Changes {
		rule := &s.Evidence.Changes[i]
		var places []casefile.Place
		for _, c := range changes {
			if c.Key == rule.Key && !c.Rests {
				places = append(places, c.At()...)
			}
		}
		for _, e := range history {
			if e.Change == rule.Key && (e.Kind == casefile.Answered || e.Kind == casefile.Asked || e.Kind == casefile.Reopened) {
				places = append(places, s.Case.PlacesOf(e, rule.OfContacts())...)
			}
		}
		first := len(out)
		for _, at := range casefile.SortPlaces(places) {
			held := course.Standing(rule.Key, at)
			j := slices.IndexFunc(out[first:], func(x InForce) bool { return x.says(held) })
			if j < 0 {
				j = len(out) - first
				out = append(out, InForce{Key: rule.Key, Answer: held.Answer, From: held.From, On: held.On, By: held.By, How: held.How,
					SizeMM: held.SizeMM, Fee: held.Fee, TellOnly: rule.Told()})
			}
			x := &out[first+j]
			x.Places = append(x.Places, at.String())
			if at.Contact() {
				x.Contacts = append(x.Contacts, at)
			}
			x.Teeth = append(x.Teeth, at.Teeth()...)
		}
		for j := range out[first:] {
			out[first+j].Teeth = casefile.SortTeeth(out[first+j].Teeth)
		}
	}
	return out
}

// says reports whether x is of the same answer, given at the same time to the same.
func (x InForce) says(s casefile.Standing) bool {
	same := x.Fee == s.Fee || x.Fee != nil && s.Fee != nil && *x.Fee == *s.Fee
	return same && x.Answer == s.Answer && x.From == s.From && x.On == s.On && x.By == s.By && x.How == s.How && x.SizeMM == s.SizeMM
}

// At lists the places of a row: its contacts, or its teeth.
func (c ChairChange) At() []casefile.Place {
	var out []casefile.Place
	for _, p := range c.Contacts {
		out = append(out, casefile.Between(p[0], p[1]))
	}
	if len(c.Contacts) == 0 {
		return casefile.Places(c.Teeth)
	}
	return out
}

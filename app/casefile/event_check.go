package casefile

import (
	"slices"
	"strconv"
	"strings"
)

// maxEvents is more than any treatment has, so that a hostile file is noticed.
const maxEvents = 1000

// maxAgreed is more agreements than any case has.
const maxAgreed = 50

// offered checks the routes on the table.
func (k *caseCheck) offered() {
	var seen []Route
	for i, o := range k.c.Offered {
		p := at("offered", i)
		oneOf(&k.check, "CASE-ROUTE", p+".route", o.Route, Routes())
		if o.Route == "" {
			k.add("CASE-ROUTE", p+".route", "", "the route is missing")
		}
		if slices.Contains(seen, o.Route) {
			k.add("CASE-OFFERED-TWICE", p+".route", string(o.Route), "%q is listed twice", o.Route)
		}
		seen = append(seen, o.Route)
		if o.Not {
			k.said(p+".reason", o.Reason)
		} else {
			k.text(p+".reason", o.Reason)
		}
		if o.Not && o.Route == k.c.Route {
			k.add("CASE-OFFERED", p+".not", string(o.Route), "%q is the chosen route, so it is on the table", o.Route)
		}
	}
}

// agreed checks the agreement that the case rests on, and those before it.
func (k *caseCheck) agreed() {
	if n := len(k.c.AgreedBefore); n > maxAgreed {
		k.add("CASE-AGREED", "agreed_before", strconv.Itoa(n), "%d agreements, at most %d", n, maxAgreed)
		return
	}
	for i, a := range k.c.AgreedBefore {
		k.agreement(at("agreed_before", i), a)
	}
	switch a := k.c.Agreed; {
	case a != nil:
		k.agreement("agreed", *a)
	case len(k.c.AgreedBefore) > 0:
		k.add("CASE-AGREED", "agreed", "", "there are earlier agreements, and the one in force is missing")
	}
}

func (k *caseCheck) agreement(path string, a Agreement) {
	if a.Way != SealedRecord && a.Way != SignedPaper {
		k.add("CASE-AGREED", path+".way", a.Way, "%q is not sealed or paper", a.Way)
	}
	k.said(path+".code", a.Code)
	k.sum(path+".sha256", a.SHA256)
	if a.Way == SealedRecord && a.SHA256 == "" {
		k.add("CASE-AGREED", path+".sha256", "", "a sealed agreement has the hash of its record")
	}
	k.date("CASE-AGREED", path+".date", a.Date)
	k.text(path+".paper", a.Paper)
	oneOf(&k.check, "CASE-PEOPLE", path+".by", a.By, deciders)
	oneOf(&k.check, "CASE-SHEET", path+".sheet", a.Sheet, []string{"consent", "change"})
	if a.Route == "" {
		k.add("CASE-ROUTE", path+".route", "", "the route is missing")
	}
	k.route(path, a.Route, "")
	oneOf(&k.check, "CASE-ROUTE", path+".then", a.Then, Routes())
	oneOf(&k.check, "CASE-MATERIAL", path+".material", a.Material, Materials())
	k.shade(path+".target_shade", a.TargetShade)
	k.shadeNote(path+".shade_note", a.ShadeNote)
	var seen []Tooth
	for i, t := range a.Teeth {
		p := at(path+".teeth", i)
		switch {
		case !t.Tooth.Valid():
			k.add("CASE-TOOTH", p+".tooth", t.Tooth.String(), "%d is not an FDI code of a permanent tooth", int(t.Tooth))
		case slices.Contains(seen, t.Tooth):
			k.add("CASE-TOOTH-TWICE", p+".tooth", t.Tooth.String(), "tooth %d is listed twice", int(t.Tooth))
		}
		seen = append(seen, t.Tooth)
		oneOf(&k.check, "CASE-ROUTE", p+".route", t.Route, Routes())
		oneOf(&k.check, "CASE-MATERIAL", p+".material", t.Material, Materials())
		k.shade(p+".target_shade", t.TargetShade)
		k.shadeNote(p+".shade_note", t.ShadeNote)
	}
	if len(a.Teeth) == 0 && slices.Contains(Routes(), a.Route) && a.Route.NeedsTeeth() {
		k.add("CASE-NO-TEETH", path+".teeth", string(a.Route), "the route %q needs at least one tooth", a.Route)
	}
	k.answers(path+".answers", a.Answers, a.ToothList())
	k.price(path+".price", a.Price)
	if k.c.Stage == Deciding {
		k.add("CASE-STAGE-CONTRADICTION", path, string(k.c.Stage), "this can only happen after the patient has decided")
	}
}

// sum checks a SHA-256 in hexadecimal that may be missing.
func (k *check) sum(path, s string) {
	if s != "" && (len(s) != 64 || !only(s, digits+"abcdef")) {
		k.add("CASE-HASH", path, "", "this is not a SHA-256 in hexadecimal")
	}
}

func (k *check) price(path string, p *Price) {
	switch {
	case p == nil:
	case p.Minor < 0 || p.Minor > maxFee:
		k.add("CASE-PRICE", path+".minor", strconv.FormatInt(p.Minor, 10), "a price is between 0 and %d", maxFee)
	case len(p.Currency) != 3 || !only(p.Currency, letters[26:]):
		k.add("CASE-PRICE", path+".currency", p.Currency, "%q is not a three-letter currency code such as EUR", p.Currency)
	}
}

// events checks the history: each entry by itself, then the order of it all.
func (k *caseCheck) events() {
	if n := len(k.c.Events); n > maxEvents {
		k.add("EVENT-MANY", "events", strconv.Itoa(n), "%d events, at most %d", n, maxEvents)
		return
	}
	whole := true
	for i, e := range k.c.Events {
		before := len(k.List)
		k.event(at("events", i), e)
		if e.Kind == Struck && (e.Of < 1 || e.Of > i || k.c.Events[e.Of-1].Kind == Struck) {
			k.add("EVENT-OF", at("events", i)+".of", strconv.Itoa(e.Of), "%d is not an earlier event that can be struck", e.Of)
			whole = false
		}
		if e.Kind == Struck && len(e.Teeth) > 0 && len(k.List) == before {
			k.among(at("events", i)+".teeth", e.Teeth, k.c.Meant(k.c.Events[e.Of-1].Teeth))
		}
		whole = whole && len(k.List) == before
	}
	k.order()
	if whole {
		k.answered()
	}
}

// event checks one entry: known words, and the fields of its kind.
func (k *caseCheck) event(p string, e Event) {
	form, known := eventForms[e.Kind]
	if !known {
		k.add("EVENT-KIND", p+".kind", string(e.Kind), "%q is not a kind of event", e.Kind)
		return
	}
	must, has := strings.Fields(form.must), e.fields()
	may := append(strings.Fields(form.may+" by note"), must...)
	for _, f := range must {
		if !slices.Contains(has, f) {
			k.add("EVENT-LACKS", p+"."+f, f, "%q is missing of an event of kind %q", f, e.Kind)
		}
	}
	for _, f := range has {
		if !slices.Contains(may, f) {
			k.add("EVENT-FIELD", p+"."+f, f, "an event of kind %q has no %q", e.Kind, f)
		}
	}
	k.eventWords(p, e)
	k.eventPlace(p, e)
	visited := e.Kind == DoneStep && e.Visit != "" // a talk or a trial smile comes before the decision
	if slices.Contains(treats, e.Kind) && !visited && k.c.Stage == Deciding {
		k.add("CASE-STAGE-CONTRADICTION", p, string(k.c.Stage), "this can only happen after the patient has decided")
	}
}

// eventWords checks the keys, times and texts of an event.
func (k *caseCheck) eventWords(p string, e Event) {
	k.exists(p+".on", e.On)
	k.time(p+".at", e.At)
	for _, x := range []struct {
		code, field, value string
		list               []string
	}{
		{"EVENT-BY", "by", e.By, eventPeople}, {"EVENT-HOW", "how", e.How, eventWays}, {"EVENT-STEP", "step", e.Step, eventSteps},
		{"CASE-SHEET", "sheet", e.Sheet, SheetKinds()}, {"EVENT-OPEN", "open", e.Open, Waivable()},
	} {
		oneOf(&k.check, x.code, p+"."+x.field, x.value, x.list)
	}
	if e.Change != "" {
		k.change(p+".change", e.Change)
	}
	if e.Visit != "" && !key(e.Visit) {
		k.add("CASE-VISIT", p+".visit", e.Visit, "%q is not the key of a visit", e.Visit)
	}
	if _, known := k.v.Findings[e.Finding]; e.Finding != "" && !known {
		k.add("CASE-FINDING", p+".finding", e.Finding, "%q is not a known finding", e.Finding)
	}
	if e.Care != "" && !k.v.Cares[e.Care] {
		k.add("EVENT-CARE", p+".care", e.Care, "%q is not care that can come first", e.Care)
	}
	oneOf(&k.check, "CASE-ANSWER", p+".answer", e.Answer, answers)
	k.once("EVENT-PART", p+".parts", e.Parts, eventParts)
	k.sum(p+".sha256", e.SHA256)
	k.price(p+".fee", e.Fee)
	k.eventWhat(p, e)
	if e.Sitting < 0 || e.Sitting > len(AllTeeth()) {
		k.add("CASE-SITTING", p+".sitting", strconv.Itoa(e.Sitting), "sittings are counted from 1")
	}
	if e.SizeMM < 0 || e.SizeMM > maxSizeMM {
		k.add("CASE-SIZE", p+".size_mm", strconv.FormatFloat(e.SizeMM, 'f', -1, 64), "a size lies above 0 and up to %d mm", maxSizeMM)
	}
	for _, x := range []struct{ field, text string }{{"code", e.Code}, {"shade", e.Shade}, {"topic", e.Topic}, {"note", e.Note}} {
		k.text(p+"."+x.field, x.text)
	}
	if e.Kind == Waived && blank(e.Note) && e.Note != "" {
		k.add("TEXT-BLANK", p+".note", "", "the text is blank")
	}
}

// eventWhat checks that what was done or answered is one thing.
func (k *caseCheck) eventWhat(p string, e Event) {
	if e.Kind == DoneStep && min(len(e.Change), 1)+min(len(e.Step), 1)+min(len(e.Visit), 1) != 1 ||
		e.Kind == Answered && min(len(e.Change), 1)+min(len(e.Step), 1) != 1 {
		k.add("EVENT-WHAT", p, string(e.Kind), "an event of kind %q names one change, one step or one visit", e.Kind)
	}
	if e.Kind == Answered && e.Step != "" && e.Step != StepGlued {
		k.add("EVENT-STEP", p+".step", e.Step, "only gluing is answered as a step of its own")
	}
}

// eventPlace checks the teeth and contacts of an event, and that a yes to what
// cannot be undone names them.
func (k *caseCheck) eventPlace(p string, e Event) {
	all := k.c.ToothList()
	for _, a := range k.c.AgreedBefore {
		all = append(all, a.ToothList()...)
	}
	if a := k.c.Agreed; a != nil {
		all = append(all, a.ToothList()...)
	}
	all = SortTeeth(all)
	k.among(p+".teeth", e.Teeth, all)
	k.places(p+".places", e.Change, e.Places, all)
	w, known := k.v.Changes[e.Change]
	if known && e.Kind == Answered && e.Answer == Agree && w.Reversible != "yes" && len(e.Teeth)+len(e.Places) == 0 {
		k.add("CASE-ANSWER-ALL", p+".teeth", e.Change, "agreeing to %q cannot be undone, so its teeth must be named", e.Change)
	}
}

// order checks that the days of what happened in the chair never go back, and that
// none lies before the first visit. What else is noted, such as a paper that was
// signed, may be noted later than it happened.
func (k *caseCheck) order() {
	var last Date
	for i, e := range k.c.Events {
		if !e.On.Exists() || !slices.Contains(treats, e.Kind) {
			continue
		}
		p := at("events", i) + ".on"
		switch {
		case e.On.Before(last):
			k.add("EVENT-ORDER", p, e.On.String(), "%s lies before the event on %s that was noted earlier", e.On, last)
			continue
		case k.c.Start.Exists() && e.On.Before(k.c.Start):
			k.add("CASE-DATES", p, e.On.String(), "%s lies before the first visit on %s", e.On, k.c.Start)
		}
		last = e.On
	}
}

// answered follows each answer through the history. A no stays until the patient
// reopens it on another day; a yes follows a question; color, shape and length are
// looked at before a tooth is glued.
func (k *caseCheck) answered() {
	f := follower{check: k, course: k.c.Course(), asked: map[step]bool{}, glued: map[Tooth]bool{}}
	for i, x := range k.c.Noted() {
		p, e := at("events", x.Number-1), x.Event
		f.course.Upto(i)
		switch e.Kind {
		case Asked, Answered, Reopened:
			for _, at := range k.c.PlacesOf(e, k.v.OfContacts(e.Change)) {
				f.take(p, e, step{e.Change, at})
			}
		case Approved, ChangeWanted, Tried:
			for _, t := range k.c.Meant(e.Teeth) {
				if f.glued[t] {
					k.add("EVENT-GLUED", p, t.String(), "tooth %d was glued before this was tried: strike what is wrong", int(t))
				}
			}
		case DoneStep:
			for _, t := range k.c.DoneTo(e) {
				f.glued[t] = e.Step == StepGlued || f.glued[t] && e.Step == ""
			}
		}
	}
}

// follower knows what was said up to an entry of the history.
type follower struct {
	check  *caseCheck
	course *Course
	asked  map[step]bool // questions without an answer
	glued  map[Tooth]bool
}

// take checks one entry about a step against the answer that held until then.
func (f *follower) take(p string, e Event, s step) {
	if e.Change == "" { // the yes to gluing follows no question
		return
	}
	k, was := f.check, f.course.Standing(s.change, s.at)
	switch {
	case e.Kind == Reopened && was.Answer != No:
		k.add("EVENT-REOPENED", p, s.at.String(), "%q on tooth %s was not refused, so there is nothing to reopen", s.change, s.at)
	case e.Kind == Reopened && (e.By == "dentist" || e.By == "staff"):
		k.add("EVENT-REOPENED", p+".by", e.By, "only the patient, or who decides for the patient, reopens a no")
	case e.Kind == Reopened && !was.On.IsZero() && !was.On.Before(e.On):
		k.add("EVENT-REOPENED", p+".on", e.On.String(), "a no of %s is reopened on another day, not on %s", was.On, e.On)
	case (e.Kind == Asked || e.Kind == Answered && e.Answer != No) && was.Answer == No && was.From != FromCase: // what the case says may be later
		k.add("EVENT-NO", p, s.at.String(), "the answer to %q on tooth %s is no: only the patient reopens it, on another day", s.change, s.at)
	case e.Kind == Answered && e.Answer == Agree && !f.asked[s]:
		k.add("EVENT-ASKED", p, s.at.String(), "a yes to %q on tooth %s needs what was asked before it", s.change, s.at)
	}
	switch e.Kind {
	case Asked:
		f.asked[s] = true
	case Answered:
		f.asked[s] = false
	}
}

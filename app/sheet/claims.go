package sheet

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
	"plainleaf/app/fault"
	"plainleaf/app/plan"
)

// Claim is one fact that a sheet tells, read back from its blocks: what it is
// about, of which tooth, route or visit, and what is said of it.
type Claim struct {
	About, Of, Says string
	Sheet           Kind
}

// What claims are about. Each may have one value in all sheets of a case.
const (
	aboutState     = "state"     // how far a tooth has been changed
	aboutBegun     = "begun"     // whether anything was taken or glued
	aboutTreatment = "treatment" // what a tooth gets
	aboutAnswer    = "answer"    // to a chair change at one place
	aboutVisit     = "visit"     // the day of a visit
	aboutReady     = "ready"     // the last day of a route
	aboutCost      = "cost"      // of a route today
	aboutVisits    = "visits"    // how many a route has
	aboutSigning   = "sign-from" // the first day to sign
	aboutLines     = "lines"     // whether there is a line to sign on
	aboutVerdict   = "try-in"    // what was said of color, shape or length at a sitting
	aboutPhone     = "phone"     // a number of the practice
	aboutAgreed    = "agreement" // day and code of the one that a sheet rests on
	aboutPeople    = "people"    // age, who decides, who helps
	aboutShade     = "shade"     // the planned one
	aboutApproved  = "approved"  // the one approved in its place
	aboutDone      = "done"      // one step, with all that is said of it
	aboutDoneDay   = "done-day"  // whether the case has a step on the day the sheet gives
	aboutGiven     = "given"     // the day of the information
)

// Claims reads back what a sheet of a case tells.
func Claims(s Sheet, c casefile.Case, b *evidence.Base) []Claim {
	r := &reader{s: s, c: c, b: b, told: c.States(takes(b))}
	for _, block := range s.Blocks {
		r.block(block)
	}
	return r.out
}

// entered are the claims that the case itself makes, for what only one sheet tells.
func entered(c casefile.Case, b *evidence.Base) []Claim {
	var out []Claim
	claim := func(about, of, says string) { out = append(out, Claim{About: about, Of: of, Says: says}) }
	for t, state := range c.States(takes(b)) {
		claim(aboutState, t.String(), state)
	}
	verdict := map[string]string{}
	for _, e := range c.History() {
		said, of := map[casefile.EventKind]string{casefile.Approved: "approved", casefile.ChangeWanted: "change"}[e.Kind]
		for _, part := range e.Parts {
			for _, t := range c.Meant(e.Teeth) {
				if of {
					verdict[fmt.Sprintf("%d %s %s", e.Sitting, part, t)] = said
				}
			}
		}
	}
	for n := range casefile.AllTeeth() { // there is no sitting beyond
		for _, part := range parts {
			for _, t := range c.ToothList() {
				of := fmt.Sprintf("%d %s %s", n+1, part, t)
				claim(aboutVerdict, of, verdict[of])
			}
		}
	}
	if a := c.Agreed; a != nil {
		claim(aboutAgreed, "case", a.Date.String()+" "+a.Code)
	}
	for _, e := range c.Done() {
		if !e.On.IsZero() {
			claim(aboutDoneDay, stepOf(e.Change, c.DoneTo(e)), asNoted)
		}
	}
	course := c.Course()
	course.Upto(len(c.Events))
	for i := range b.Changes {
		rule := &b.Changes[i]
		places := casefile.Places(c.ToothList())
		if rule.OfContacts() {
			places = casefile.Contacts(c.ToothList())
		}
		for _, p := range places {
			of := rule.Key + "@" + p.String()
			claim(aboutAnswer, of, cmp.Or(string(c.AnswerAt(rule.Key, p)), "blank"))
			claim(aboutAnswer+"-in-force", of, cmp.Or(string(course.Standing(rule.Key, p).Answer), "blank"))
		}
	}
	shadesEntered(c, claim)
	return out
}

// Contradictions compares what the sheets of one case tell, and the case itself, with
// its answers as they count (plan.Settled). Codes:
// CONTRADICTION two sheets, or two places of one, tell the same thing in two ways.
func Contradictions(sheets []Sheet, c casefile.Case, b *evidence.Base) fault.List {
	type key struct{ about, of string }
	first := map[key]Claim{}
	for _, x := range entered(c, b) {
		x.Sheet = "case" // its own words
		first[key{x.About, x.Of}] = x
	}
	var faults fault.List
	for _, s := range sheets {
		for _, x := range Claims(s, c, b) {
			k := key{x.About, x.Of}
			was, told := first[k]
			if !told {
				first[k] = x
				continue
			}
			if was.Says != x.Says {
				faults.Append(fault.New("CONTRADICTION", x.About+"."+x.Of,
					"the %s sheet says %q and the %s sheet %q: settle which is right in the case, then print again", was.Sheet, was.Says, x.Sheet, x.Says).
					With("Value", x.Of))
			}
		}
	}
	return faults.Sorted()
}

// reader gathers the claims of one sheet.
type reader struct {
	s   Sheet
	c   casefile.Case
	b   *evidence.Base
	out []Claim
	nth map[string]int // visits of one purpose met so far

	sitting string
	teeth   []casefile.Tooth // of the sitting
	steps   map[string]int   // done, met so far
	told    map[casefile.Tooth]string
}

// takes reports whether a chair change takes tooth away for good.
func takes(b *evidence.Base) func(string) bool {
	return func(key string) bool { x := b.Change(key); return x != nil && x.Takes() }
}

func (r *reader) claim(about, of, says string) {
	r.out = append(r.out, Claim{about, of, says, r.s.Kind})
}

// asAgreed reports whether the sheet tells what was agreed, and not what the case
// proposes.
func (r *reader) asAgreed() bool {
	return r.c.Agreed != nil && (r.s.Kind == TryIn || r.s.Kind == Change || r.s.Kind == Aftercare)
}

func (r *reader) block(b Block) {
	r.text(b.Text)
	if b.Kind == Tick && b.Text.ID == "sheet.sign.decision-yes" {
		r.claim(aboutLines, string(r.s.Kind), "lines to sign on")
	}
	if b.Text.ID == "sheet.tryin.sitting" && b.Kind == Heading {
		r.sitting, r.teeth = said(b.Text, "Count"), r.c.Meant(b.Ref.Teeth)
	}
	if b.Kind == Urgent {
		r.phones(b)
	}
	if b.Kind == Table && b.Style == Look {
		for _, it := range b.Items {
			r.judged(it)
		}
	}
	if strings.HasPrefix(b.Text.ID, "sheet.tryin.earlier") { // a part may have a line for each of two verdicts
		r.sitting, r.teeth = said(b.Text, "Count"), r.c.Meant(b.Ref.Teeth)
		for _, it := range b.Items {
			r.verdict(it.Label, slices.DeleteFunc(slices.Clone(b.Items), func(x Item) bool { return x.Label.ID != it.Label.ID }))
		}
	}
	if b.Kind == Schedule {
		r.nth = map[string]int{}
	}
	for _, it := range b.Items {
		ref := it.Ref
		if ref.Route == "" {
			ref.Route = b.Ref.Route
		}
		r.item(b, it, ref)
	}
}

func (r *reader) text(t Text) {
	switch t.ID {
	case "sheet.changes.still-free":
		r.claim(aboutBegun, "case", "nothing was done")
	case "sheet.changes.no-way-back":
		r.claim(aboutBegun, "case", "something was done")
	case "sheet.sign.hold", "sheet.consent.hold", "sheet.consent.hold-one":
		r.claim(aboutLines, string(r.s.Kind), "no lines to sign on")
	case "sheet.changes.rests-" + casefile.SealedRecord, "sheet.changes.rests-" + casefile.SignedPaper:
		r.claim(aboutAgreed, "case", said(t, "Date")+" "+said(t, "Code"))
	case "sheet.think.given":
		r.claim(aboutGiven, "case", said(t, "Date"))
	case "sheet.consent.option", "sheet.consent.option-none":
		name := word(t, "Text")
		if name.ID == "sheet.options.partly" {
			name = word(name, "Route")
		}
		if name.ID == "sheet.consent.option-is" {
			name = word(name, "Text")
		}
		r.claim(aboutCost, strings.TrimSuffix(strings.TrimPrefix(name.ID, "route."), ".name"), said(t, "Amount"))
	case "sheet.consent.price", "sheet.sign.repeat-price":
		r.claim(aboutCost, string(r.c.Route), said(t, "Amount"))
	case "sheet.aftercare.card-on", "sheet.aftercare.card-on-universal":
		r.card(t)
	case "sheet.think.earliest", "sheet.consent.think", "open." + plan.OpenThinking:
		r.claim(aboutSigning, "case", said(t, "Date"))
	}
}

// emergency is the number to call in danger, by the label that phones have.
func (r *reader) emergency() string {
	if r.s.Practice.EmergencyService == "" {
		return "sheet.phones.out-of-hours"
	}
	return "sheet.phones.emergency"
}

// phones takes the numbers of an urgency: beside its heading, and in what to do when a
// sign turns into an emergency.
func (r *reader) phones(b Block) {
	emergency := r.emergency()
	beside := "sheet.phones.day"
	if b.Tone == tones["emergency-now"] {
		beside = emergency
		r.claim(aboutPhone, emergency, said(b.Text, "Emergency"))
	}
	r.claim(aboutPhone, beside, said(b.Aside, "Phone"))
	if b.Aside.ID == "sheet.aftercare.numbers" {
		r.claim(aboutPhone, "sheet.phones.out-of-hours", said(b.Aside, "Emergency"))
	}
	for _, it := range b.Items {
		if r.b.Warning(it.Ref.Warning).Emergency {
			r.claim(aboutPhone, emergency, said(it.Text, "Emergency"))
		}
	}
}

// verdictSays are the verdicts by the end of the id of their words.
var verdictSays = map[string]string{"right": "approved", "approved": "approved", "change": "change", "change-wanted": "change", "not-noted": "",
	"dark": "change", "light": "change", "short": "change", "long": "change"}

// partOf is the part that a label names.
func partOf(label Text) (string, bool) {
	part, ok := strings.CutPrefix(label.ID, "sheet.tryin.")
	return part, ok && slices.Contains(parts, part)
}

// judged takes the crossed boxes of one part, tooth by tooth.
func (r *reader) judged(it Item) {
	part, ok := partOf(it.Label)
	if !ok || r.sitting == "" {
		return
	}
	for _, c := range it.Cells {
		teeth, says := c.Ref.Teeth, ""
		for _, x := range c.Boxes {
			if x.Mark {
				says += verdictSays[strings.TrimPrefix(x.Text.ID, "sheet.tryin.")]
			}
		}
		if len(teeth) == 0 && says != "" { // all of them at once
			teeth = r.teeth
		}
		for _, t := range teeth {
			r.claim(aboutVerdict, fmt.Sprintf("%s %s %s", r.sitting, part, t), says)
		}
	}
}

// verdict reads the answer about one part from an earlier day.
func (r *reader) verdict(label Text, items []Item) {
	part, ok := partOf(label)
	if !ok {
		return
	}
	for _, t := range r.teeth {
		says := ""
		for _, it := range items {
			of := r.teeth
			for _, more := range it.More {
				for _, a := range more.Args {
					if list, ok := a.Value.(Teeth); ok {
						of = list
					}
				}
			}
			if slices.Contains(of, t) {
				says += verdictSays[strings.TrimPrefix(it.Text.ID, "sheet.tryin.")]
			}
		}
		r.claim(aboutVerdict, fmt.Sprintf("%s %s %s", r.sitting, part, t), says)
	}
}

func (r *reader) item(b Block, it Item, ref Ref) {
	texts := append([]Text{it.Text}, it.More...)
	for _, under := range it.Items {
		r.text(under.Text)
	}
	for _, t := range texts {
		r.text(t)
		r.shadeClaims(t, ref)
	}
	r.states(it, ref)
	r.done(b.Text, it, ref)
	r.answers(b, it, ref)
	for _, under := range it.Items {
		for _, t := range append([]Text{under.Text}, under.More...) {
			r.text(t)
			r.shadeClaims(t, under.Ref)
		}
	}
	if it.Label.ID == "sheet.sign.answers-title" {
		r.listed(it)
	}
	r.visit(b, it)
	if people, ok := strings.CutPrefix(it.Label.ID, "sheet.people."); ok {
		r.claim(aboutPeople, people, it.Text.ID+it.Text.Verbatim)
	}
	if b.Kind == Facts {
		r.treatment(it, ref)
	}
	if b.Kind == Facts {
		r.route(it, texts, ref)
	}
	for _, c := range it.Cells {
		switch b.Style {
		case Ways: // an option answers in a cell
			r.route(it, c.Texts, c.Ref)
		case Money:
			r.route(it, c.Texts, ref)
		}
	}
	if strings.HasPrefix(it.Label.ID, "sheet.phones.") {
		r.claim(aboutPhone, it.Label.ID, said(it.Text, "Phone"))
	}
	if it.Label.ID == "sheet.wait.call-emergency" {
		r.claim(aboutPhone, r.emergency(), said(it.Label, "Emergency"))
	}
}

func (r *reader) states(it Item, ref Ref) {
	if state, ok := strings.CutPrefix(it.Text.ID, "tooth-state."); ok {
		for _, t := range ref.Teeth {
			r.claim(aboutState, t.String(), state)
		}
		if state != casefile.Untouched {
			r.claim(aboutBegun, "case", "something was done")
		}
	}
}

// done takes from what was really done that something was, and that a tooth it was
// taken from is not untouched: the state that goes with it. What had been said before is
// over several steps, or with the step.
func (r *reader) done(said Text, it Item, ref Ref) {
	if id := it.Text.ID; id != "sheet.aftercare.done-between" && id != "sheet.aftercare.done-change" {
		return
	}
	step := fmt.Sprint(it.Text)
	if r.steps == nil {
		r.steps = map[string]int{}
	}
	r.steps[step]++ // the same step may be done again
	r.claim(aboutDone, step+" "+strconv.Itoa(r.steps[step]), fmt.Sprint(said, it.More))
	for _, t := range it.More {
		if strings.HasPrefix(t.ID, "sheet.aftercare.done-day") {
			r.doneOn(ref, t)
		}
	}
	rule := r.b.Change(ref.Change)
	if rule == nil || !rule.TakesAny() {
		return
	}
	r.claim(aboutBegun, "case", "something was done")
	if !rule.Takes() {
		return
	}
	for _, t := range ref.Teeth {
		state := r.told[t]
		if state == casefile.Untouched {
			state = casefile.ShapedState
		}
		r.claim(aboutState, t.String(), state)
	}
}

// asNoted is said of a day on which the case has the step.
const asNoted = "as noted"

func stepOf(change string, teeth []casefile.Tooth) string {
	return fmt.Sprint(change, casefile.SortTeeth(slices.Clone(teeth)))
}

// doneOn takes the day of a step: one may be done on several days, and the sheet may tell
// of each.
func (r *reader) doneOn(ref Ref, t Text) {
	day := said(t, "Date")
	of, says := stepOf(ref.Change, ref.Teeth), day
	for _, e := range r.c.Done() {
		if e.Change == ref.Change && stepOf(e.Change, r.c.DoneTo(e)) == of && e.On.String() == day {
			says = asNoted
		}
	}
	r.claim(aboutDoneDay, of, says)
}

// answers takes the answer to a chair change: from a list under one answer, or from
// the row of a change.
func (r *reader) answers(b Block, it Item, ref Ref) {
	about := aboutAnswer
	if r.asAgreed() {
		about = aboutAnswer + "-in-force"
	}
	if b.Kind == Choices {
		for _, c := range it.Choices {
			for _, one := range c.Each(ref.Change) {
				r.claim(about, one.Change+"@"+one.Place.String(), cmp.Or(string(c.Said), "blank"))
			}
		}
	}
	if ref.Change == "" {
		return
	}
	tell := func(places []casefile.Place, answer string) {
		for _, p := range places {
			r.claim(about, ref.Change+"@"+p.String(), answer)
		}
	}
	if word, ok := strings.CutPrefix(b.Text.ID, "answer."); ok {
		places := placesIn(it.Text)
		if it.Text.ID == "change."+ref.Change+".name" { // the same everywhere
			places = casefile.Places(ref.Teeth)
		}
		tell(places, word)
	}
}

// listed takes the answers of a signature page: each word with its steps, and what is
// left counts as no answer.
func (r *reader) listed(it Item) {
	type place struct {
		change string
		at     casefile.Place
	}
	said := map[place]bool{}
	tell := func(change string, at casefile.Place, answer string) {
		said[place{change, at}] = true
		r.claim(aboutAnswer, change+"@"+at.String(), answer)
	}
	offered := func(change string) (out []casefile.Place) {
		for _, b := range r.s.Must.Offered {
			if b.Change == change {
				out = append(out, b.Place)
			}
		}
		return out
	}
	rest := "blank"
	for _, word := range it.Items {
		answer := strings.TrimPrefix(word.Label.ID, "answer.")
		for _, t := range append([]Text{word.Text}, word.More...) {
			if t.ID == "sheet.sign.rest-ask" && answer != string(casefile.Ask) {
				rest = answer
			}
			change, places := stepIn(t), placesIn(t)
			if t.ID == "sheet.sign.answer-to" {
				places = offered(change)
			}
			for _, p := range places {
				if change != "" {
					tell(change, p, answer)
				}
			}
		}
	}
	for _, b := range r.s.Must.Offered {
		if !said[place{b.Change, b.Place}] {
			tell(b.Change, b.Place, rest)
		}
	}
}

// treatment takes what a tooth gets from the lines that list it.
func (r *reader) treatment(it Item, ref Ref) {
	says := treatmentIn(it.Text)
	if says == "" {
		return
	}
	order := ""
	if strings.HasPrefix(it.Label.ID, "sheet.common.after-that") {
		order = " then"
	}
	for _, tooth := range ref.Teeth {
		r.claim(r.treatmentOf(), tooth.String()+order, says)
	}
}

// treatmentIn is the treatment that a text names; "" for none.
func treatmentIn(t Text) string {
	switch {
	case t.ID == "sheet.common.route-of-material":
		return word(t, "Route").ID + " " + word(t, "Material").ID
	case strings.HasPrefix(t.ID, "route.") && strings.HasSuffix(t.ID, ".name"):
		return t.ID
	}
	return ""
}

func (r *reader) treatmentOf() string {
	if r.asAgreed() {
		return aboutTreatment + "-agreed"
	}
	return aboutTreatment
}

// card takes what is on a tooth from the card for the person who cleans the teeth: where
// something comes first it is what follows.
func (r *reader) card(t Text) {
	x := composer{c: r.c, b: r.b}
	if r.asAgreed() {
		x.c = r.c.Agreed.Put(r.c)
	}
	for _, g := range x.c.Groups() {
		order := ""
		if x.then(g.Route) != "" {
			order = " then"
		}
		for _, p := range placesIn(t) {
			if slices.Contains(g.Teeth, p.A) {
				r.claim(r.treatmentOf(), p.A.String()+order, treatmentIn(word(t, "Text")))
			}
		}
	}
}

// visit takes the day of each visit from a list of all of them. A row of several has no
// day, but they count.
func (r *reader) visit(b Block, it Item) {
	if b.Kind != Schedule || r.s.Kind == Aftercare || r.s.Kind == Options {
		return // these list the agreed days to come, not all visits
	}
	for _, v := range visitsIn(it.Text) {
		for range v.times {
			r.nth[v.purpose]++
			if v.alone {
				r.claim(aboutVisit, fmt.Sprintf("%s %d", v.purpose, r.nth[v.purpose]), said(it.Label, "Date")+said(it.Label, "Time"))
			}
		}
	}
}

// visited is one visit that a text names, or several for the same thing.
type visited struct {
	purpose string
	times   int
	alone   bool // it is all the text says
}

// visitsIn lists the visits that a text names.
func visitsIn(t Text) []visited {
	for _, family := range []string{"visit.", "care."} { // some have the words of the care they consist of
		if purpose, ok := strings.CutPrefix(t.ID, family); ok {
			return []visited{{purpose, 1, true}}
		}
	}
	var out []visited
	for _, a := range t.Args {
		list, _ := a.Value.(Words)
		for _, w := range list {
			n, name := 1, w
			if count, err := strconv.Atoi(said(w, "Count")); err == nil {
				n, name = count, word(w, "Text")
			}
			for _, v := range visitsIn(name) {
				out = append(out, visited{v.purpose, n, false})
			}
		}
	}
	return out
}

// route takes cost, number of visits and last day of a route.
func (r *reader) route(it Item, texts []Text, ref Ref) {
	routes := strings.Fields(ref.Route)
	if it.Label.ID == "sheet.money.total" {
		routes = []string{string(r.c.Route)}
	}
	tell := func(about, says string) {
		for _, route := range routes {
			if says != "" {
				r.claim(about, route, says)
			}
		}
	}
	for _, t := range texts {
		switch t.ID {
		case "sheet.money.today", "sheet.money.amount", "sheet.options.cost", "sheet.options.cost-again":
			tell(aboutCost, said(t, "Amount"))
		case "sheet.options.visits-ready", "sheet.options.visits-time-ready":
			tell(aboutReady, said(t, "Date"))
			fallthrough
		case "sheet.options.visits", "sheet.options.visits-time", "sheet.options.visits-first", "sheet.options.visits-time-first":
			tell(aboutVisits, said(word(t, "Text"), "Count"))
		}
	}
}

// said is a value of a message as it compares.
func said(t Text, name string) string {
	for _, a := range t.Args {
		if a.Name != name {
			continue
		}
		switch v := a.Value.(type) {
		case Day:
			return v.Date.String()
		case Month:
			return v.Date.String()
		case Clock:
			return " " + string(v)
		case Amount:
			return fmt.Sprintf("%d %s", v.Minor, v.Currency)
		case Price:
			return fmt.Sprintf("%d %s", v.Minor, v.Currency)
		}
		return fmt.Sprint(a.Value)
	}
	return ""
}

// word is the message that names a value.
func word(t Text, name string) Text {
	for _, a := range t.Args {
		if w, ok := a.Value.(Word); ok && a.Name == name {
			return w.Text
		}
	}
	return Text{}
}

// placesIn lists the teeth and contacts that a message names, also inside the
// messages it holds.
func placesIn(t Text) []casefile.Place {
	var out []casefile.Place
	for _, a := range t.Args {
		switch v := a.Value.(type) {
		case Teeth:
			for _, tooth := range v {
				out = append(out, casefile.At(tooth))
			}
		case Pairs:
			out = append(out, v...)
		case Word:
			out = append(out, placesIn(v.Text)...)
		}
	}
	return out
}

// Unsettled lists what keeps a kind of sheet from being made because it would not
// be true. Codes: SHEET-NO-AGREEMENT nothing was agreed that could change;
// SHEET-WITHDRAWN what was agreed was taken back; SHEET-AGREED the case differs
// from what was agreed, and no change was signed.
func Unsettled(kind Kind, c casefile.Case) fault.List {
	var faults fault.List
	rests := kind == TryIn || kind == Change
	switch {
	case kind == Change && c.Agreed == nil:
		faults.Add("SHEET-NO-AGREEMENT", "agreed", "nothing is agreed yet that could change: seal the consent, or enter the paper that was signed by hand with its date and code")
	case rests && c.Withdrawn():
		faults.Add("SHEET-WITHDRAWN", "events", "the agreement was taken back: a new consent comes first")
	case (kind == TryIn || kind == Aftercare) && c.Agreed != nil:
		for _, t := range differing(*c.Agreed, c) {
			faults.Append(fault.New("SHEET-AGREED", "teeth", "tooth %s is not treated as was agreed on %s: sign a change, or set the tooth back to what was agreed", t, c.Agreed.Date).
				With("Value", t.String()).With("Date", c.Agreed.Date.String()))
		}
	}
	return faults
}

// differing lists the teeth whose treatment is not the agreed one.
func differing(a casefile.Agreement, c casefile.Case) []casefile.Tooth {
	type treatment struct {
		route, then casefile.Route
		material    casefile.Material
	}
	of := func(groups []casefile.Group, then casefile.Route) map[casefile.Tooth]treatment {
		out := map[casefile.Tooth]treatment{}
		for _, g := range groups {
			for _, t := range append(g.Teeth, 0) {
				if t != 0 || len(g.Teeth) == 0 {
					out[t] = treatment{g.Route, then, g.Material}
				}
			}
		}
		return out
	}
	was, now := of(a.Groups(), a.Then), of(c.Groups(), c.Then)
	var out []casefile.Tooth
	for _, t := range append(casefile.AllTeeth(), 0) {
		x, before := was[t]
		y, after := now[t]
		if before != after || x != y {
			out = append(out, t)
		}
	}
	return out
}

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
	aboutDone      = "done"      // one step, with all that is said of it
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
	if c.TargetShade != "" {
		claim(aboutShade, "case", string(c.TargetShade))
	}
	return out
}

// Contradictions compares what the sheets of one case tell, and the case itself. Codes:
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
	steps   int              // done, met so far
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
	if b.Kind == Sign && slices.ContainsFunc(b.Items, func(it Item) bool { return it.Label.ID == "sheet.sign.decision-yes" }) {
		r.claim(aboutLines, string(r.s.Kind), "lines to sign on")
	}
	if b.Text.ID == "sheet.tryin.sitting" && b.Kind == Heading {
		r.sitting, r.teeth = said(b.Text, "Count"), r.c.Meant(b.Ref.Teeth)
	}
	if b.Kind == Tick {
		r.verdict(b.Text, slices.DeleteFunc(slices.Clone(b.Items), func(it Item) bool { return !it.Mark }))
	}
	if b.Kind == Facts { // a part may have a line for each of two verdicts
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
	case "sheet.sign.hold":
		r.claim(aboutLines, string(r.s.Kind), "no lines to sign on")
	case "sheet.changes.rests-" + casefile.SealedRecord, "sheet.changes.rests-" + casefile.SignedPaper:
		r.claim(aboutAgreed, "case", said(t, "Date")+" "+said(t, "Code"))
	case "sheet.tryin.shade-planned":
		if r.c.Agreed == nil || r.c.Agreed.TargetShade == r.c.TargetShade {
			r.claim(aboutShade, "case", said(t, "Shade"))
		}
	case "sheet.colour.shades":
		r.claim(aboutShade, "case", said(t, "To"))
	case "sheet.think.given":
		r.claim(aboutGiven, "case", said(t, "Date"))
	case "urgency.call-soon", "urgency.call-today", "urgency.emergency-now":
		r.phones(t)
	case "sheet.think.earliest", "open." + plan.OpenThinking:
		r.claim(aboutSigning, "case", said(t, "Date"))
	}
}

// phones takes the numbers beside the signs to call for.
func (r *reader) phones(t Text) {
	if t.ID != "urgency.emergency-now" {
		r.claim(aboutPhone, "sheet.phones.day", said(t, "Phone"))
	}
	if t.ID == "urgency.call-today" {
		r.claim(aboutPhone, "sheet.phones.out-of-hours", said(t, "Emergency"))
	}
	if t.ID == "urgency.emergency-now" && r.s.Practice.EmergencyService != "" {
		r.claim(aboutPhone, "sheet.phones.emergency", said(t, "Emergency"))
	}
}

// verdict takes what is said of one part that is looked at: crossed boxes, or a fact.
func (r *reader) verdict(label Text, items []Item) {
	part, ok := strings.CutPrefix(label.ID, "sheet.tryin.")
	if !ok || r.sitting == "" {
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
				says += strings.TrimPrefix(strings.TrimPrefix(it.Text.ID, "sheet.tryin."), "not-noted")
			}
		}
		r.claim(aboutVerdict, fmt.Sprintf("%s %s %s", r.sitting, part, t), says)
	}
}

func (r *reader) item(b Block, it Item, ref Ref) {
	texts := append([]Text{it.Text}, it.More...)
	for _, t := range texts {
		r.text(t)
	}
	r.states(it, ref)
	r.done(it, ref)
	r.answers(b, it, ref)
	r.visit(b, it)
	if people, ok := strings.CutPrefix(it.Label.ID, "sheet.people."); ok {
		r.claim(aboutPeople, people, it.Text.ID+it.Text.Verbatim)
	}
	if b.Kind == Facts {
		r.treatment(it, ref)
		r.route(it, texts, ref)
	}
	if b.Kind == Phones {
		r.claim(aboutPhone, it.Label.ID, said(it.Text, "Phone"))
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
// taken from is not untouched: the state that goes with it.
func (r *reader) done(it Item, ref Ref) {
	if !strings.HasPrefix(it.Text.ID, "sheet.aftercare.done-") {
		return
	}
	r.steps++
	r.claim(aboutDone, strconv.Itoa(r.steps), fmt.Sprint(it.Text, it.More))
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

// answers takes the answer to a chair change: from a list under one answer, or from
// the row of a change.
func (r *reader) answers(b Block, it Item, ref Ref) {
	if ref.Change == "" {
		return
	}
	about := aboutAnswer
	if r.asAgreed() {
		about = aboutAnswer + "-in-force"
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
	if b.Kind != Choices {
		return
	}
	for _, cell := range it.Cells {
		for _, t := range cell.Texts {
			if word, ok := strings.CutPrefix(t.ID, "answer."); ok {
				tell(casefile.Places(ref.Teeth), word)
			}
			if t.ID == "sheet.change.answer" {
				tell(placesIn(t), strings.TrimPrefix(word(t, "Text").ID, "answer."))
			}
		}
	}
}

// treatment takes what a tooth gets from the lines that list it.
func (r *reader) treatment(it Item, ref Ref) {
	t := it.Text
	var says string
	switch {
	case t.ID == "sheet.common.route-of-material":
		says = word(t, "Route").ID + " " + word(t, "Material").ID
	case strings.HasPrefix(t.ID, "route.") && strings.HasSuffix(t.ID, ".name"):
		says = t.ID
	default:
		return
	}
	about := aboutTreatment
	if r.asAgreed() {
		about += "-agreed"
	}
	order := ""
	if strings.HasPrefix(it.Label.ID, "sheet.common.after-that") {
		order = " then"
	}
	for _, tooth := range ref.Teeth {
		r.claim(about, tooth.String()+order, says)
	}
}

// visit takes the day of each visit from a list of all of them.
func (r *reader) visit(b Block, it Item) {
	purpose, isVisit := strings.CutPrefix(it.Text.ID, "visit.")
	if b.Kind != Schedule || !isVisit || r.s.Kind == Aftercare || r.s.Kind == Options {
		return // these list the agreed days to come, not all visits
	}
	r.nth[purpose]++
	r.claim(aboutVisit, fmt.Sprintf("%s %d", purpose, r.nth[purpose]), said(it.Label, "Date")+said(it.Label, "Time"))
}

// route takes cost, number of visits and last day of a route.
func (r *reader) route(it Item, texts []Text, ref Ref) {
	routes := strings.Fields(ref.Route)
	if it.Label.ID == "sheet.money.total" {
		routes = []string{string(r.c.Route)}
	}
	for _, t := range texts {
		about, name := "", ""
		switch t.ID {
		case "sheet.money.today", "sheet.money.amount":
			about, name = aboutCost, "Amount"
		case "sheet.row.visits-about":
			about, name = aboutVisits, "Count"
		case "sheet.row.visits-range":
			about, name = aboutVisits, "Count"
		case "sheet.row.ready":
			about, name = aboutReady, "Date"
		default:
			continue
		}
		for _, route := range routes {
			r.claim(about, route, said(t, name))
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
		case Clock:
			return " " + string(v)
		case Amount:
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

package sheet

import (
	"reflect"
	"slices"
	"strings"

	"plainleaf/app/plan"
	"plainleaf/app/veneer"
)

// aftercare: page one is for a frightened reader on day 3; no survival numbers anywhere.
func (x *composer) aftercare() {
	x.phoneBox()
	if x.told("now") {
		x.h2("sheet.aftercare.normal")
		x.para(M("sheet.aftercare.normal-intro"), Ref{})
		x.aftercareLines("now")
	}
	for _, u := range urgencies {
		x.warnings(u)
	}
	x.add(Block{Kind: PageBreak})
	x.untilSeen()
	x.h2("sheet.common.your-teeth")
	x.add(x.treatments())
	x.unfinished()
	x.done()
	if x.told("first-days") {
		x.h2("sheet.aftercare.first-days")
		x.aftercareLines("first-days")
	}
	if x.told("first-weeks") {
		x.h2("sheet.aftercare.first-weeks")
		x.aftercareLines("first-weeks")
	}
	if x.hasVeneers() {
		x.h2("sheet.aftercare.life-veneers")
	} else {
		x.h2("sheet.aftercare.life")
	}
	x.aftercareLines("life")
	x.waitNames()
	x.code()
	if x.told("hygienist") { // nothing was placed: there is nothing to spare
		x.whole() // a card to hand over
		x.h2("sheet.aftercare.hygienist")
		x.para(M("sheet.aftercare.hygienist-intro"), Ref{})
		x.add(x.treatments())
		x.aftercareLines("hygienist")
	}
	x.add(Block{Kind: PageBreak, Keep: true})
	x.agreedVisits()
	x.h2("sheet.aftercare.upkeep")
	x.para(M("sheet.aftercare.upkeep-intro"), Ref{})
	b := Block{Kind: Schedule, Columns: []Text{M("sheet.schedule.when"), M("sheet.schedule.what")}}
	for i, u := range x.pl.Upkeep {
		name := M("upkeep." + u.Key + ".name")
		if i > 0 && x.pl.Upkeep[i-1].Date == u.Date { // one row a day
			it := &b.Items[len(b.Items)-1]
			it.More = append(it.More, name)
			it.Ref.Figures = append(it.Ref.Figures, u.Figures...)
			continue
		}
		b.Items = append(b.Items, Item{Label: M("sheet.schedule.around", "Date", Day{u.Date, false}), Text: name,
			Ref: Ref{Figures: slices.Clone(u.Figures)}})
	}
	if len(b.Items) > 0 {
		x.add(b)
	}
	x.sourceList()
}

// anyKind reports whether a tooth of this case has, or is meant to have, work of one of these kinds.
func (x *composer) anyKind(kinds ...string) bool {
	return slices.ContainsFunc(x.chosenRoutes(), func(r veneer.Route) bool {
		rule := x.b.Route(r)
		return rule != nil && slices.Contains(kinds, rule.Kind)
	})
}

// hasVeneers: porcelain shells are on, or meant for, a tooth of this case.
func (x *composer) hasVeneers() bool { return x.anyKind("ceramic", "replace") }

// made reports whether anything is made for the teeth before it is glued: whitening,
// filling material shaped in the mouth and what only comes first leave nothing to remake.
func (x *composer) made() bool { return x.hasVeneers() || x.anyKind("crown") }

// alsoMeant reports whether a tooth has a crown or filling material, to which the
// steps that are told of veneers apply as well.
func (x *composer) alsoMeant() bool { return x.anyKind("crown", "composite") }

// told reports whether a phase has lines that apply to this case.
func (x *composer) told(phase string) bool {
	return slices.ContainsFunc(x.pl.Aftercare, func(l plan.AftercareLine) bool { return l.Phase == phase })
}

// aftercareLines are the lines of one phase that apply to this case.
func (x *composer) aftercareLines(phase string) {
	var items []Item
	for _, l := range x.pl.Aftercare {
		if l.Phase != phase {
			continue
		}
		t := M("aftercare." + l.Key)
		for i, id := range l.Figures {
			if f, ok := x.b.Figure(id); ok {
				t.Args = append(t.Args, Arg{figureArg(i), Range{f.Low, f.High, 2}})
			}
		}
		it := Item{Text: t, Ref: Ref{Teeth: l.Teeth, Figures: l.Figures}}
		if len(l.Teeth) > 0 {
			it.More = append(it.More, N("sheet.common.on-teeth", len(l.Teeth), "Teeth", Teeth(l.Teeth)))
		}
		items = append(items, it)
	}
	x.list(items...)
}

// figureArg names the placeholder of the i-th figure of an aftercare line.
func figureArg(i int) string { return [...]string{"Range", "Number", "Total"}[min(i, 2)] }

var urgencies = []string{"emergency-now", "call-today", "call-soon", "mention-next-time"}

// untilSeen says what to do oneself for each sign, over the leaf from the signs.
func (x *composer) untilSeen() {
	var items []Item
	for _, u := range urgencies {
		for _, w := range x.pl.Warnings {
			if w.Urgency == u {
				items = append(items, Item{Label: M("warning." + w.Key + ".sign"), Text: M("warning." + w.Key + ".self"), Ref: Ref{Warning: w.Key}})
			}
		}
	}
	if len(items) > 0 {
		x.h2("sheet.aftercare.until-seen")
		x.list(items...)
	}
}

// code is the code on paper: Address is put in by who knows it.
func (x *composer) code() {
	if x.p.BaseAddress == "" {
		return
	}
	x.h2("sheet.aftercare.code-title")
	_, short, _ := strings.Cut(strings.TrimSuffix(x.p.BaseAddress, "/"), "://")
	x.add(Block{Kind: HandOver, Keep: true, Text: M("sheet.aftercare.code"), Items: []Item{{Text: M("sheet.aftercare.code-link", "Code", Code(short))}}})
}

// warnings are the signs of one urgency, those with the same deadline together.
func (x *composer) warnings(urgency string) {
	var items []Item
	var deadlines []Text
	for _, w := range x.pl.Warnings {
		if w.Urgency != urgency {
			continue
		}
		sign, t := M("warning."+w.Key+".sign"), within(w)
		i := slices.IndexFunc(deadlines, func(d Text) bool { return !t.IsZero() && reflect.DeepEqual(d, t) })
		if i >= 0 {
			items[i].More = append(items[i].More, sign)
			items[i].Ref.Figures = append(items[i].Ref.Figures, w.Figures...)
			items[i].Ref.Warning += " " + w.Key
			continue
		}
		deadlines = append(deadlines, t)
		items = append(items, Item{Label: t, Text: sign, Ref: Ref{Warning: w.Key, Figures: slices.Clone(w.Figures)}})
	}
	if len(items) == 0 {
		return
	}
	tone := "plain"
	switch urgency {
	case "emergency-now":
		tone = "emergency"
	case "call-today":
		tone = "urgent"
	case "call-soon":
		tone = "caution"
	}
	text := M("urgency."+urgency, "Phone", Phone(x.p.Telephone), "Emergency", Phone(x.emergencyNumber()))
	switch urgency {
	case "emergency-now":
		text = M("urgency."+urgency, "Emergency", Phone(x.emergencyNumber()))
	case "call-today":
		text = M("urgency."+urgency, "Phone", Phone(x.p.Telephone), "Emergency", Phone(x.p.EmergencyLine))
	case "call-soon":
		text = M("urgency."+urgency, "Phone", Phone(x.p.Telephone))
	case "mention-next-time":
		text = M("urgency." + urgency)
	}
	x.add(Block{Kind: Notice, Tone: tone, Text: text, Items: items, Keep: urgency != "call-soon"})
}

// emergencyNumber is the national number, or the practice's own line where none was entered.
func (x *composer) emergencyNumber() string {
	if x.p.EmergencyService != "" {
		return x.p.EmergencyService
	}
	return x.p.EmergencyLine
}

// within says how soon to call, in the figure's own unit, where the words of the
// urgency leave it open: a longer time would weaken "today" and "now", a shorter
// one contradict "at your next visit".
func within(w plan.Warning) Text {
	if !w.Within.Known() || w.Within.High == 0 || w.Unit == "" || w.Urgency != "call-soon" {
		return Text{}
	}
	id := "sheet.within." + string(w.Unit)
	if w.Within.Low == w.Within.High {
		return N(id, int(w.Within.High))
	}
	return M(id+".range", "Range", Range{w.Within.Low, w.Within.High, 0})
}

// done tells what was really done at the chair, against what had been planned.
func (x *composer) done() {
	var items []Item
	for _, d := range x.c.Departures {
		name, teeth := M("change."+d.Change+".name"), x.c.Meant(d.Teeth)
		it := Item{Text: name, Ref: Ref{Change: d.Change, Teeth: teeth}}
		if len(teeth) > 0 {
			it.Text = N("sheet.aftercare.done-change", len(teeth), "Text", Word{name}, "Teeth", Teeth(teeth))
		}
		if d.SizeMM > 0 {
			it.More = append(it.More, M("sheet.aftercare.done-size", "Number", Decimal{d.SizeMM, 2}))
			if limit, ok := x.pl.Limit(d.Change); ok && d.SizeMM > limit {
				it.More = append(it.More, M("sheet.aftercare.done-over", "Number", Decimal{limit, 2}))
			}
		}
		if no := x.saidNo(d.Change, teeth); len(no) > 0 {
			it.More = append(it.More, M("sheet.aftercare.done-no"))
			if len(no) < len(teeth) {
				it.More = append(it.More, N("sheet.common.on-teeth", len(no), "Teeth", Teeth(no)))
			}
		}
		if !d.Date.IsZero() {
			it.More = append(it.More, M("sheet.schedule.on", "Date", Day{d.Date, false}))
		}
		if d.Note != "" {
			it.More = append(it.More, Typed(d.Note))
		}
		items = append(items, it)
	}
	if len(items) > 0 {
		x.heading(3, M("sheet.aftercare.done"), Ref{})
		x.list(items...)
	}
}

// saidNo lists those of some teeth on which the patient's answer to a step is no.
func (x *composer) saidNo(change string, teeth []veneer.Tooth) []veneer.Tooth {
	var out []veneer.Tooth
	for _, a := range x.c.Answers {
		if a.Change != change || a.Answer != veneer.No {
			continue
		}
		for _, t := range x.c.Meant(a.Teeth) {
			if slices.Contains(teeth, t) {
				out = append(out, t)
			}
		}
	}
	return veneer.SortTeeth(out)
}

// tryIn asks for a yes to colour, shape and length before anything is bonded.
func (x *composer) tryIn() {
	x.opening(M("sheet.tryin.intro"))
	x.h2("sheet.common.your-teeth")
	x.teeth()
	x.add(x.treatments())
	x.h2("sheet.tryin.look")
	x.list(Item{Text: M("sheet.tryin.dry")}, Item{Text: M("sheet.tryin.cement")}, Item{Text: M("sheet.tryin.mirror")})
	if x.c.TargetShade != "" {
		x.para(M("sheet.tryin.shade-planned", "Shade", Code(x.c.TargetShade)), Ref{})
	}
	x.answers()
	x.waitNames()
	sittings := x.sittings()
	today := todays(sittings)
	for i, t := range sittings { // each on a day of its own, with its own signatures
		x.whole()
		x.heading(3, N("sheet.tryin.sitting", t.Sitting), Ref{Teeth: t.Teeth})
		if !x.allTeeth(t.Teeth) {
			x.para(N("sheet.common.on-teeth", len(t.Teeth), "Teeth", Teeth(t.Teeth)), Ref{Teeth: t.Teeth})
		}
		if noted(t) && i != today && (t.Date.IsZero() || t.Date.Before(sittings[today].Date) || !noted(sittings[today])) {
			x.saidEarlier(t)
			continue
		}
		for _, a := range looked(t) {
			x.add(Block{Kind: Tick, Style: TwoColumns, Text: M("sheet.tryin." + a.key), Keep: true, Items: []Item{
				{Text: M("sheet.tryin.approved"), Mark: a.said == "approved"}, {Text: M("sheet.tryin.change"), Mark: a.said == "change"}}})
		}
		x.para(M("sheet.tryin.notes"), Ref{})
		if t.Note != "" {
			x.para(Typed(t.Note), Ref{})
		} else {
			x.lines(2)
		}
		b := signatures(x.signers())
		if i != today {
			b.Style = OtherDay
		}
		if len(sittings) > 1 {
			b.Text = N("sheet.tryin.sitting", t.Sitting)
		}
		x.add(b)
	}
	x.phoneBox()
	x.sourceList()
}

// looked is what a patient looks at, with what was said of it.
func looked(t veneer.TryIn) []struct{ key, said string } {
	return []struct{ key, said string }{{"shade", t.Shade}, {"shape", t.Shape}, {"length", t.Length}}
}

// noted reports whether anything was said at a sitting.
func noted(t veneer.TryIn) bool { return t.Shade+t.Shape+t.Length+t.Note != "" }

// todays is the sitting that is signed now: one in which nothing is noted yet, the
// first of them; else that with the latest day, the last of those.
func todays(sittings []veneer.TryIn) int {
	if i := slices.IndexFunc(sittings, func(t veneer.TryIn) bool { return !noted(t) }); i >= 0 {
		return i
	}
	today := 0
	for i, t := range sittings {
		if !t.Date.Before(sittings[today].Date) {
			today = i
		}
	}
	return today
}

// saidEarlier tells what was said at a sitting of an earlier day. It was signed then
// or was not; either way nobody signs it a second time.
func (x *composer) saidEarlier(t veneer.TryIn) {
	b := Block{Kind: Facts, Style: RunIn, Keep: true, Text: M("sheet.tryin.earlier-undated")}
	if !t.Date.IsZero() {
		b.Text = M("sheet.tryin.earlier", "Date", Day{t.Date, false})
	}
	for _, a := range looked(t) {
		said := "not-noted"
		if a.said != "" {
			said = a.said
		}
		b.Items = append(b.Items, Item{Label: M("sheet.tryin." + a.key), Text: M("sheet.tryin." + said)})
	}
	x.add(b)
	if t.Note != "" {
		x.para(M("sheet.tryin.notes"), Ref{})
		x.para(Typed(t.Note), Ref{})
	}
}

// sittings are what was noted at the try-in, with the next one where a new day has
// come and teeth still wait for theirs; while nothing is noted, the delivery sittings
// as planned, to be filled in by hand.
func (x *composer) sittings() []veneer.TryIn {
	var out []veneer.TryIn
	if len(x.c.TryIn) > 0 {
		out = slices.Clone(x.c.TryIn)
		if next := x.nextSitting(); len(next.Teeth) > 0 {
			out = append(out, next)
		}
		return out
	}
	for i, v := range x.pl.Deliveries() {
		out = append(out, veneer.TryIn{Sitting: i + 1, Teeth: veneer.SortTeeth(v.Teeth)})
	}
	if len(out) == 0 {
		return []veneer.TryIn{{Sitting: 1, Teeth: x.c.ToothList()}}
	}
	return out
}

// nextSitting is the one after all that were noted, when each of those has a day and
// that lies before this sheet's: with the teeth that were to be looked at by then and
// were not, or that a change was asked for.
func (x *composer) nextSitting() veneer.TryIn {
	last, seen := 0, []veneer.Tooth(nil)
	for _, t := range x.c.TryIn {
		if t.Date.IsZero() || !t.Date.Before(x.c.Issued) {
			return veneer.TryIn{}
		}
		last = max(last, t.Sitting)
		seen = append(seen, x.c.Meant(t.Teeth)...)
	}
	next := veneer.TryIn{Sitting: last + 1, Teeth: x.c.LookAgain(x.c.Issued)}
	for i, v := range x.pl.Deliveries() {
		if i > last && len(next.Teeth) > 0 {
			break
		}
		for _, t := range v.Teeth {
			if !slices.Contains(seen, t) {
				next.Teeth = append(next.Teeth, t)
			}
		}
	}
	next.Teeth = veneer.SortTeeth(next.Teeth)
	return next
}

// answers repeats what was said beforehand.
func (x *composer) answers() {
	if len(x.pl.ChairChanges) > 0 {
		x.h2("sheet.sign.answers-title")
		x.answersByWord(InLine) // what is signed stands on one page where it can
	}
}

// change is one page: only the difference from what was agreed.
func (x *composer) change() {
	x.para(M("sheet.changes.intro"), Ref{})
	x.h2("sheet.changes.agreed")
	x.add(x.treatments())
	x.states()
	x.h2("sheet.changes.difference")
	x.done()
	x.para(M("sheet.changes.new"), Ref{})
	x.lines(2)
	x.h2("sheet.changes.choices")
	started := slices.ContainsFunc(x.c.ToothState, func(s veneer.ToothState) bool { return s.State != "untouched" })
	if started {
		x.para(M("sheet.changes.no-way-back"), Ref{})
	} else {
		x.para(M("sheet.changes.still-free"), Ref{})
	}
	x.add(Block{Kind: Tick, Keep: true, Items: []Item{{Text: M("sheet.changes.go-on")}, {Text: M("sheet.changes.as-planned")}, {Text: M("sheet.changes.stop")}, {Text: M("sheet.changes.later")}}})
	x.add(Block{Kind: Sign, Items: []Item{{Label: M("sheet.changes.fee")}}})
	x.waitNames()
	x.para(M("sheet.changes.sitting-up"), Ref{})
	x.signatures(x.signers()...)
	x.phoneBox()
	x.sourceList()
}

// unfinished tells where each tooth stands as soon as what was noted is not that all
// are finished: a tooth that is only shaped goes home under its planned route otherwise.
func (x *composer) unfinished() {
	noted := func(t veneer.Tooth) bool {
		return slices.ContainsFunc(x.c.ToothState, func(s veneer.ToothState) bool { return s.Tooth == t && s.State == "bonded" })
	}
	if teeth := x.c.ToothList(); len(x.c.ToothState) > 0 && slices.ContainsFunc(teeth, func(t veneer.Tooth) bool { return !noted(t) }) {
		x.states()
	}
}

// states tells where each tooth stands now, teeth in the same state together.
func (x *composer) states() {
	in := map[string][]veneer.Tooth{}
	var order []string
	for _, t := range x.c.ToothList() {
		state := "untouched"
		if i := slices.IndexFunc(x.c.ToothState, func(s veneer.ToothState) bool { return s.Tooth == t }); i >= 0 {
			state = x.c.ToothState[i].State
		}
		if !slices.Contains(order, state) {
			order = append(order, state)
		}
		in[state] = append(in[state], t)
	}
	if len(order) == 0 {
		x.para(M("sheet.common.whole-mouth"), Ref{})
		return
	}
	x.heading(3, M("sheet.changes.state"), Ref{})
	b := Block{Kind: Facts, Style: RunIn}
	for _, s := range order {
		b.Items = append(b.Items, Item{Label: x.teethOrAll(in[s]), Text: M("tooth-state." + s), Ref: Ref{Teeth: in[s]}})
	}
	x.add(b)
}

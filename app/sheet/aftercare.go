package sheet

import (
	"reflect"
	"slices"
	"strings"

	"plainleaf/app/casefile"
	"plainleaf/app/plan"
)

// aftercare begins with what a frightened reader looks for on day 3: whom to call for
// what, and what is normal. Then come the days, the dates, and what was done. There are no
// survival numbers on it.
func (x *composer) aftercare() {
	x.add(Block{Kind: Paragraph, Style: Kicker, Text: M("sheet.aftercare.kicker")})
	if x.isUnfinished() {
		x.add(Block{Kind: Paragraph, Style: Lead, Text: M("sheet.aftercare.unfinished")})
	}
	x.urgencies()
	x.normal()
	x.add(Block{Kind: PageBreak})
	x.unfinished()
	x.phase("first-days", "sheet.aftercare.first-days", true)
	x.phase("first-weeks", "sheet.aftercare.first-weeks", true)
	x.phase("life", "sheet.aftercare.life", false)
	x.guard()
	x.yours()
	x.dates()
	x.whatWasDone()
	x.card()
}

// whatWasDone is what each tooth has or gets, the steps that were taken on the way, what is
// still to be settled, and the code that opens the first page.
func (x *composer) whatWasDone() {
	heading := "sheet.common.your-teeth"
	if x.begun() {
		heading = "sheet.aftercare.done-title"
	}
	x.add(Block{Kind: Heading, Level: 2, Text: M(heading), Keep: true})
	x.code() // it is drawn beside what follows
	b := x.treatments()
	for i := range b.Items {
		b.Items[i].More = append(b.Items[i].More, x.gluedOn(b.Items[i].Ref.Teeth)...)
	}
	x.add(b)
	x.waitNames()
	x.done(nil)
}

// gluedOn tells the days on which some of these teeth were glued.
func (x *composer) gluedOn(teeth []casefile.Tooth) []Text {
	var days []casefile.Date
	for _, e := range x.c.History() {
		if e.Kind == casefile.DoneStep && e.Step == casefile.StepGlued && !e.On.IsZero() && !slices.Contains(days, e.On) &&
			slices.ContainsFunc(x.c.DoneTo(e), func(t casefile.Tooth) bool { return slices.Contains(teeth, t) }) {
			days = append(days, e.On)
		}
	}
	var out []Text
	for _, d := range days {
		out = append(out, M("sheet.aftercare.glued", "Date", Day{d, false}))
	}
	return out
}

// code is the code on paper: the caller that knows the address puts it in.
func (x *composer) code() {
	if x.p.BaseAddress == "" {
		return
	}
	_, short, _ := strings.Cut(strings.TrimSuffix(x.p.BaseAddress, "/"), "://")
	x.add(Block{Kind: HandOver, Keep: true, Text: M("sheet.aftercare.code"), Items: []Item{{Text: M("sheet.aftercare.code-link", "Code", Code(short))}}})
}

// anyKind reports whether a tooth of this case has, or is meant to have, work of one of these kinds.
func (x *composer) anyKind(kinds ...string) bool {
	return slices.ContainsFunc(x.chosenRoutes(), func(r casefile.Route) bool {
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
// steps for veneers apply as well.
func (x *composer) alsoMeant() bool { return x.anyKind("crown", "composite") }

// done lists the steps completed at the chair, grouped by the answer the patient had given
// before. If about is empty it lists all of them. Otherwise it lists steps that took
// something from those teeth, and, on any tooth, steps against a no or past a limit.
func (x *composer) done(about []casefile.Tooth) {
	var lines []Block
	rest := Block{Kind: List, Style: InLine}
	course := x.c.Course()
	for i, e := range x.c.History() {
		if e.Kind != casefile.DoneStep || e.Change == "" {
			continue
		}
		course.Upto(i)
		step := x.doneItem(e)
		said, same := x.saidBefore(course, e)
		rule := x.b.Change(e.Change)
		took := rule != nil && rule.Removes != "nothing" && anyOf(step.Ref.Teeth, about)
		if len(about) > 0 && !took && !against(slices.Concat(said, step.More)) {
			continue
		}
		if !same || len(said) != 1 { // several sentences, or other ones from place to place
			step.More = append(said, step.More...)
			rest.Items = append(rest.Items, step)
			continue
		}
		g := slices.IndexFunc(lines, func(b Block) bool { return reflect.DeepEqual(b.Text, said[0]) })
		if g < 0 {
			g, lines = len(lines), append(lines, Block{Kind: List, Style: InLine, Text: said[0]})
		}
		lines[g].Items = append(lines[g].Items, step)
	}
	if len(rest.Items) > 0 {
		lines = append(lines, rest)
	}
	if len(lines) > 0 {
		x.heading(3, M("sheet.aftercare.done"), Ref{})
	}
	for _, b := range lines {
		x.add(b)
	}
	if x.s.Kind == Aftercare && slices.ContainsFunc(x.c.Events, func(e casefile.Event) bool { return e.Kind == casefile.DoneStep && e.SizeMM > 0 }) {
		x.add(Block{Kind: Paragraph, Style: Note, Text: M("sheet.common.paper", "Number", Decimal{paper, 1})})
	}
}

// anyOf reports whether two lists have a tooth in common.
func anyOf(a, b []casefile.Tooth) bool {
	return slices.ContainsFunc(a, func(t casefile.Tooth) bool { return slices.Contains(b, t) })
}

// against reports whether the texts about a completed step say that the patient had said
// no or that it went past its limit.
func against(told []Text) bool {
	return slices.ContainsFunc(told, func(t Text) bool { return t.ID == "sheet.aftercare.done-no" || t.ID == "sheet.aftercare.done-over" })
}

// doneItem tells one step.
func (x *composer) doneItem(e casefile.Event) Item {
	name, teeth := M("change."+e.Change+".name"), x.c.DoneTo(e)
	it := Item{Text: name, Ref: Ref{Change: e.Change, Teeth: teeth}}
	switch {
	case len(e.Places) > 0:
		it.Text = M("sheet.aftercare.done-between", "Text", Word{name}, "Teeth", Pairs(casefile.SortPlaces(e.Places)))
	case len(teeth) > 0:
		it.Text = N("sheet.aftercare.done-change", len(teeth), "Text", Word{name}, "Teeth", Teeth(teeth))
	}
	day, size := Day{e.On, false}, Decimal{e.SizeMM, 2}
	switch {
	case !e.On.IsZero() && e.SizeMM > 0:
		it.More = append(it.More, M("sheet.aftercare.done-day-size", "Date", day, "Number", size))
	case !e.On.IsZero():
		it.More = append(it.More, M("sheet.aftercare.done-day", "Date", day))
	case e.SizeMM > 0:
		it.More = append(it.More, M("sheet.aftercare.done-size", "Number", size))
	}
	if e.SizeMM > 0 {
		if limit, ok := x.pl.Limit(e.Change); ok && e.SizeMM > limit {
			it.More = append(it.More, M("sheet.aftercare.done-over", "Number", Decimal{limit, 2}))
		}
	}
	if e.Note != "" {
		it.More = append(it.More, Typed(e.Note))
	}
	return it
}

// saidBefore tells what the patient had said to a step that was done: a no, a yes
// in the chair, or that the answer was to be asked for and is not noted; and whether it is
// the same at every place. before has the answers that held until then.
func (x *composer) saidBefore(before *casefile.Course, e casefile.Event) (out []Text, same bool) {
	rule := x.b.Change(e.Change)
	if rule == nil || rule.Told() {
		return nil, true
	}
	said := func(at casefile.Place) []Text {
		s := before.Standing(e.Change, at)
		asked := s.From == casefile.FromAsked
		switch {
		case s.Answer == casefile.No:
			return []Text{M("sheet.aftercare.done-no")}
		case s.Answer != casefile.Agree:
			return []Text{M("sheet.aftercare.done-unasked")}
		case !asked:
			return []Text{M("sheet.aftercare.done-agreed")}
		}
		out := []Text{M("sheet.aftercare.done-asked")}
		if !s.On.IsZero() {
			out[0] = M("sheet.aftercare.done-asked-on", "Date", Day{s.On, false})
		}
		if s.SizeMM > 0 && e.SizeMM > s.SizeMM {
			out = append(out, M("sheet.aftercare.done-over", "Number", Decimal{s.SizeMM, 2}))
		}
		return out
	}
	at := x.c.PlacesOf(e, rule.OfContacts())
	same = !slices.ContainsFunc(at, func(p casefile.Place) bool { return !reflect.DeepEqual(said(p), said(at[0])) })
	return x.byPlace(at, said), same
}

// onPlaces says of which teeth, or between which, a sentence before it is.
func (x *composer) onPlaces(at []casefile.Place) Text {
	var teeth []casefile.Tooth
	var pairs []casefile.Place
	for _, p := range at {
		if p.Contact() {
			pairs = append(pairs, p)
		} else {
			teeth = append(teeth, p.A)
		}
	}
	if len(pairs) > 0 {
		return M("sheet.common.on-pairs", "Teeth", Pairs(casefile.SortPlaces(pairs)))
	}
	return N("sheet.common.on-teeth", len(teeth), "Teeth", Teeth(teeth))
}

// begun reports whether anything was done to a tooth that does not grow back, or
// glued on.
func (x *composer) begun() bool {
	return !x.untouched() ||
		slices.ContainsFunc(x.c.Done(), func(e casefile.Event) bool {
			rule := x.b.Change(e.Change)
			return rule != nil && rule.TakesAny()
		})
}

// untouched reports whether no tooth was shaped or has anything glued on.
func (x *composer) untouched() bool {
	return !slices.ContainsFunc(x.pl.ToothState, func(s plan.ToothState) bool { return s.State != casefile.Untouched })
}

// alikeAt is what holds at some places, each thing once with its places.
func alikeAt[T any](at []casefile.Place, of func(casefile.Place) T) (things []T, places [][]casefile.Place) {
	for _, p := range at {
		t := of(p)
		i := slices.IndexFunc(things, func(o T) bool { return reflect.DeepEqual(o, t) })
		if i < 0 {
			i, things, places = len(things), append(things, t), append(places, nil)
		}
		places[i] = append(places[i], p)
	}
	return things, places
}

// byPlace tells something of each place, of which places where it is not the same of all.
func (x *composer) byPlace(at []casefile.Place, tell func(casefile.Place) []Text) []Text {
	told, places := alikeAt(at, tell)
	var out []Text
	for i, t := range told {
		if out = append(out, t...); len(t) > 0 && len(told) > 1 {
			out = append(out, x.onPlaces(places[i]))
		}
	}
	return out
}

// unfinished lists the state of each tooth as soon as something was done and not all
// are finished: a tooth that is only shaped would go home under its planned route otherwise.
func (x *composer) unfinished() {
	if x.isUnfinished() {
		x.add(Block{Kind: Heading, Level: 2, Text: M("sheet.aftercare.unfinished-title"), Keep: true})
		x.para(M("sheet.aftercare.unfinished-note"), Ref{})
		x.states()
	}
}

// isUnfinished reports whether something was done to the teeth and not all of them are
// finished.
func (x *composer) isUnfinished() bool {
	return x.begun() && slices.ContainsFunc(x.pl.ToothState, func(s plan.ToothState) bool { return s.State != casefile.BondedState })
}

// states lists the state of each tooth now, teeth in the same state together.
func (x *composer) states() {
	in := map[string][]casefile.Tooth{}
	var order []string
	for _, s := range x.pl.ToothState {
		if !slices.Contains(order, s.State) {
			order = append(order, s.State)
		}
		in[s.State] = append(in[s.State], s.Tooth)
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

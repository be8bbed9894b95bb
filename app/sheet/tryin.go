package sheet

import (
	"slices"

	"plainleaf/app/casefile"
	"plainleaf/app/plan"
)

// tryIn asks for a yes to color, shape and length before anything is glued, a page for
// each sitting. Answers from an earlier one appear in short, and nobody signs it again.
func (x *composer) tryIn() {
	over, sittings := x.allGlued(), x.sittings()
	today := todays(sittings)
	var earlier, pages []casefile.TryIn
	for i, t := range sittings {
		past := t.Date.IsZero() || t.Date.Before(sittings[today].Date) || !noted(sittings[today])
		if over || noted(t) && i != today && past {
			earlier = append(earlier, t)
		} else {
			pages = append(pages, t)
		}
	}
	if len(pages) > 1 || over { // what is glued already is not decided any more
		glued := func(t casefile.TryIn) bool { return len(x.notGlued(t)) == 0 && len(x.c.Meant(t.Teeth)) > 0 }
		earlier = append(earlier, slices.DeleteFunc(slices.Clone(pages), func(t casefile.TryIn) bool { return !glued(t) })...)
		pages = slices.DeleteFunc(pages, glued)
	}
	if x.someGlued() {
		x.s.Title = M("sheet.tryin.title-some")
	}
	if over {
		x.s.Title = M("sheet.tryin.title-over")
		x.chartOf(x.c.ToothList())
		x.states()
	}
	for i, t := range pages {
		if i > 0 {
			x.add(Block{Kind: PageBreak})
			x.sitting(t)
			x.para(M("sheet.tryin.intro"), Ref{})
		} else {
			x.kicker(t, len(sittings))
			x.add(Block{Kind: Paragraph, Style: Lead, Text: M("sheet.tryin.intro")})
			x.chartOf(x.c.ToothList())
			x.sitting(t)
			x.goodToKnow()
		}
		x.look(t)
		if i == 0 {
			x.shared(earlier)
		} else {
			x.add(Block{Kind: Facts, Style: InLine, Items: x.shades(t.Teeth)})
		}
		x.verdictToday(t, t.Sitting == sittings[today].Sitting)
	}
	if over {
		x.shared(earlier)
	}
	x.phoneLine()
}

// kicker is the line over the title: which sitting of how many.
func (x *composer) kicker(t casefile.TryIn, total int) {
	text := M("sheet.tryin.kicker")
	if total > 1 {
		text = M("sheet.tryin.kicker-of", "Number", Int(t.Sitting), "Total", Int(total))
	}
	x.add(Block{Kind: Paragraph, Style: Kicker, Text: text})
}

// goodToKnow is what matters while one looks.
func (x *composer) goodToKnow() {
	x.add(Block{Kind: List, Style: Fine, Items: []Item{{Text: M("sheet.tryin.dry"), More: []Text{M("sheet.tryin.cement"), M("sheet.tryin.drill")}}}})
}

func (x *composer) sitting(t casefile.TryIn) {
	x.heading(2, N("sheet.tryin.sitting", t.Sitting), Ref{Teeth: t.Teeth})
}

// look asks about each tooth of a sitting, and logs what was tried.
func (x *composer) look(t casefile.TryIn) {
	for _, b := range x.grids(t) {
		x.add(b)
	}
	if t.Note != "" {
		x.add(Block{Kind: List, Style: InLine, Items: []Item{{Label: M("sheet.tryin.notes"), Text: Typed(t.Note)}}})
	} else {
		x.add(Block{Kind: Paragraph, Text: M("sheet.tryin.notes"), Blank: 3})
	}
	x.add(x.tries(t))
}

// column is a tooth that is judged, or two that are judged together.
type column []casefile.Tooth

const mostTeeth = 5 // of a grid, beside that for all

// columns are the teeth of a sitting in the order of the mouth, the two middle ones of a
// jaw together as long as nothing different was said of them.
func (x *composer) columns(t casefile.TryIn) (out []column) {
	same := func(a, b casefile.Tooth) bool {
		for _, part := range parts {
			yes, no := verdicts(x.c, t, part)
			if slices.Contains(yes, a) != slices.Contains(yes, b) || slices.Contains(no, a) != slices.Contains(no, b) {
				return false
			}
		}
		return true
	}
	for _, tooth := range casefile.SortTeeth(x.c.Meant(t.Teeth)) {
		if n := len(out); n > 0 && len(out[n-1]) == 1 && central(out[n-1][0]) && central(tooth) && tooth.Upper() == out[n-1][0].Upper() && same(out[n-1][0], tooth) {
			out[n-1] = append(out[n-1], tooth)
			continue
		}
		out = append(out, column{tooth})
	}
	return out
}

func central(t casefile.Tooth) bool { return int(t)%10 == 1 }

// grids are the boxes of a sitting: a column for all teeth, then each, in as many tables
// as have room for them.
func (x *composer) grids(t casefile.TryIn) []Block {
	all := x.c.Meant(t.Teeth)
	columns := x.columns(t)
	var out []Block
	for first := true; first || len(columns) > 0; first = false {
		some := columns[:min(mostTeeth, len(columns))]
		columns = columns[len(some):]
		b := Block{Kind: Table, Style: Look, Keep: true}
		together := first && len(all) != 1
		if together {
			b.Heads = append(b.Heads, Head{Text: x.allOf(len(all)), Ref: Ref{Teeth: all}})
		}
		for _, c := range some {
			b.Heads = append(b.Heads, Head{Text: M("sheet.tryin.teeth", "Teeth", Teeth(c)), Ref: Ref{Teeth: c}})
		}
		for _, part := range parts {
			it := Item{Label: M("sheet.tryin." + part)}
			if together {
				it.Cells = append(it.Cells, x.judgedTogether(t, part, all, len(some) > 0))
			}
			for _, c := range some {
				it.Cells = append(it.Cells, x.judged(t, part, c))
			}
			b.Items = append(b.Items, it)
		}
		out = append(out, b)
	}
	return out
}

func (x *composer) allOf(teeth int) Text {
	if teeth == 0 {
		return M("sheet.common.all-teeth")
	}
	return N("sheet.tryin.all", teeth)
}

// judgedTogether is the box with which all teeth are right at once. Where no tooth is
// named it is the only column, with every box.
func (x *composer) judgedTogether(t casefile.TryIn, part string, all []casefile.Tooth, more bool) Cell {
	if !more {
		return x.judged(t, part, nil)
	}
	yes, _ := verdicts(x.c, t, part)
	return Cell{Boxes: []Box{{Text: M("sheet.tryin.right"), Mark: len(all) > 0 && len(yes) == len(all)}}}
}

// judged are the boxes for one part of some teeth. What was noted is crossed: nobody
// notes which way a color or a length was to be changed, so that "change" has a box then.
func (x *composer) judged(t casefile.TryIn, part string, teeth column) Cell {
	yes, no := verdicts(x.c, t, part)
	right, change := len(teeth) > 0 && slices.Contains(yes, teeth[0]), len(teeth) > 0 && slices.Contains(no, teeth[0])
	box := func(id string, mark bool) Box { return Box{Text: M("sheet.tryin." + id), Mark: mark} }
	c := Cell{Ref: Ref{Teeth: teeth}}
	switch {
	case right || change || part == "shape":
		c.Boxes = []Box{box("right", right), box("change", change)}
	case part == "shade":
		c.Boxes = []Box{box("dark", false), box("right", false), box("light", false)}
	default:
		c.Boxes = []Box{box("short", false), box("right", false), box("long", false)}
	}
	return c
}

const fewestTries = 2 // rows, also where nothing was tried yet

// tries is the log of what was tried in the mouth at a sitting, with room for more.
func (x *composer) tries(t casefile.TryIn) Block {
	b := Block{Kind: Table, Style: Log, Keep: true, Columns: []Text{M("sheet.tryin.tried"), M("sheet.tryin.tried-layer"), M("sheet.tryin.tried-mix"), M("sheet.tryin.tried-space")}}
	row := func(teeth []casefile.Tooth, mix ...Text) {
		it := Item{Label: N("sheet.tryin.try", len(b.Items)+1), Cells: []Cell{{Write: true}, {Write: true}, {Write: true}}}
		if len(mix) > 0 {
			it.Cells[1] = Cell{Texts: mix}
		}
		if len(teeth) > 0 {
			it.Label = onTeeth(it.Label, teeth)
		}
		b.Items = append(b.Items, it)
	}
	for _, e := range x.c.History() {
		if e.Kind != casefile.Tried || e.Sitting != t.Sitting {
			continue
		}
		var mix []Text
		if e.Shade != "" {
			mix = append(mix, M("sheet.tryin.tried-shade", "Shade", typedShade(e.Shade)))
		}
		if e.Change != "" {
			mix = append(mix, M("change."+e.Change+".name"))
		}
		if e.Note != "" {
			mix = append(mix, Typed(e.Note))
		}
		row(e.Teeth, mix...)
	}
	for len(b.Items) < fewestTries {
		row(nil)
	}
	return b
}

// shared is what holds for every sitting: what each tooth gets, the shade, what was said
// before, and the answers to changes in the chair.
func (x *composer) shared(earlier []casefile.TryIn) {
	b := x.treatments()
	b.Style = InLine
	b.Items = append(b.Items, x.shades(nil)...)
	x.add(b)
	for _, t := range earlier {
		x.saidEarlier(t)
	}
	x.agreedAnswers()
	x.waitNames()
}

// verdictToday asks for the yes to gluing: who, on what, and what is asked at the end.
func (x *composer) verdictToday(t casefile.TryIn, today bool) {
	all := x.notGlued(t)
	x.whole()
	repeat := M("sheet.tryin.repeat-all")
	if len(all) > 0 {
		repeat = N("sheet.tryin.repeat", len(all), "Teeth", Teeth(all))
	}
	x.add(Block{Kind: Paragraph, Style: Repeat, Text: repeat})
	x.add(x.readyChecks())
	glueAll := M("sheet.tryin.glue-all")
	if len(all) > 0 {
		glueAll = N("sheet.tryin.glue-these", len(all))
	}
	x.add(Block{Kind: Tick, Style: Answer, Text: M("sheet.tryin.today"), Keep: true, Items: []Item{{Text: glueAll},
		{Text: M("sheet.tryin.glue-only"), Blank: 1}, {Text: M("sheet.tryin.glue-none")}}})
	x.whoDecides()
	b := x.signFour("date-time")
	if !today {
		b.Style = OtherDay
	}
	x.add(b)
	x.add(Block{Kind: PageBreak, Style: After})
	end := Block{Kind: Tick, Style: Who, Text: M("sheet.tryin.end"), Keep: true}
	for _, id := range []string{"bonding-off", "dry-kept", "floss", "bite", "glue-gone"} {
		end.Items = append(end.Items, Item{Text: M("sheet.tryin.end-" + id)})
	}
	end.Items = append(end.Items, Item{Text: M("sheet.tryin.end-opened"), Blank: 1})
	x.add(end)
}

// readyChecks are asked on the day, and never crossed beforehand.
func (x *composer) readyChecks() Block {
	return Block{Kind: Tick, Style: InLine, Items: []Item{{Text: M("sheet.tryin.sitting-up")}, {Text: M("sheet.tryin.not-numb")}, {Text: M("sheet.tryin.had-time")}}}
}

// allGlued reports whether every tooth of the case has been glued, so that what is
// seen cannot be changed any more and nobody signs for it.
func (x *composer) allGlued() bool {
	teeth := x.c.ToothList()
	return len(teeth) > 0 && !slices.ContainsFunc(x.pl.ToothState, func(s plan.ToothState) bool {
		return s.State != casefile.BondedState && slices.Contains(teeth, s.Tooth)
	})
}

// someGlued reports whether a tooth of the case is glued.
func (x *composer) someGlued() bool {
	return slices.ContainsFunc(x.pl.ToothState, func(s plan.ToothState) bool { return s.State == casefile.BondedState })
}

// notGlued lists the teeth of a sitting that can still be decided on.
func (x *composer) notGlued(t casefile.TryIn) []casefile.Tooth {
	return slices.DeleteFunc(slices.Clone(x.c.Meant(t.Teeth)), func(tooth casefile.Tooth) bool {
		return slices.ContainsFunc(x.pl.ToothState, func(s plan.ToothState) bool { return s.Tooth == tooth && s.State == casefile.BondedState })
	})
}

// parts is what a patient looks at.
var parts = []string{"shade", "shape", "length"}

// verdicts are the teeth of a sitting whose part was approved there, and those with a
// change wanted.
func verdicts(c casefile.Case, t casefile.TryIn, part string) (yes, no []casefile.Tooth) {
	for _, tooth := range c.Meant(t.Teeth) {
		approved, change := c.Approval(tooth, t.Sitting)
		switch {
		case slices.Contains(approved, part):
			yes = append(yes, tooth)
		case slices.Contains(change, part):
			no = append(no, tooth)
		}
	}
	return yes, no
}

// onSome names the teeth of a sitting that are meant, unless all are.
func (x *composer) onSome(t casefile.TryIn, teeth []casefile.Tooth) []Text {
	if len(teeth) == 0 || len(teeth) == len(x.c.Meant(t.Teeth)) {
		return nil
	}
	return []Text{N("sheet.common.on-teeth", len(teeth), "Teeth", Teeth(teeth))}
}

// noted reports whether anything was said at a sitting.
func noted(t casefile.TryIn) bool { return t.Shade+t.Shape+t.Length+t.Note != "" }

// todays is the sitting that is signed now: one in which nothing is noted yet, the
// first of them; else that with the latest day, the last of those.
func todays(sittings []casefile.TryIn) int {
	if i := slices.IndexFunc(sittings, func(t casefile.TryIn) bool { return !noted(t) }); i >= 0 {
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

// saidEarlier tells what was said at a sitting of an earlier day, in short. It was signed
// then or was not; either way nobody signs it a second time.
func (x *composer) saidEarlier(t casefile.TryIn) {
	b := Block{Kind: Facts, Style: InLine, Keep: true, Text: N("sheet.tryin.earlier-undated", t.Sitting), Ref: Ref{Teeth: t.Teeth}}
	if !t.Date.IsZero() {
		b.Text = N("sheet.tryin.earlier", t.Sitting, "Date", Day{t.Date, false})
	}
	said := slices.ContainsFunc(parts, func(part string) bool {
		yes, no := verdicts(x.c, t, part)
		return len(yes)+len(no) > 0
	})
	if !said {
		b.Items = append(b.Items, Item{Label: M("sheet.tryin.parts"), Text: M("sheet.tryin.not-noted")})
	}
	for _, part := range parts {
		if !said {
			break // one row says it of all
		}
		label := M("sheet.tryin." + part)
		yes, no := verdicts(x.c, t, part)
		if len(yes) > 0 {
			b.Items = append(b.Items, Item{Label: label, Text: M("sheet.tryin.approved"), More: x.onSome(t, yes)})
		}
		if len(no) > 0 {
			b.Items = append(b.Items, Item{Label: label, Text: M("sheet.tryin.change-wanted"), More: x.onSome(t, no)})
		}
		if len(yes)+len(no) == 0 {
			b.Items = append(b.Items, Item{Label: label, Text: M("sheet.tryin.not-noted")})
		}
	}
	if t.Note != "" {
		b.Items = append(b.Items, Item{Label: M("sheet.tryin.notes"), Text: Typed(t.Note)})
	}
	x.add(b)
}

// sittings are what was noted at the try-in, with the next one where a new day has
// come and teeth still wait for theirs; while nothing is noted, the delivery sittings
// as planned, to be filled in by hand.
func (x *composer) sittings() []casefile.TryIn {
	var out []casefile.TryIn
	if out = x.c.TryIns(); len(out) > 0 {
		if next := x.nextSitting(); len(next.Teeth) > 0 {
			out = append(out, next)
		}
		return out
	}
	for i, v := range x.pl.Deliveries() {
		out = append(out, casefile.TryIn{Sitting: i + 1, Teeth: casefile.SortTeeth(v.Teeth)})
	}
	if len(out) == 0 {
		return []casefile.TryIn{{Sitting: 1, Teeth: x.c.ToothList()}}
	}
	return out
}

// nextSitting is the one after all that were noted, when each of those has a day and
// that lies before this sheet's: with the teeth that were to be looked at by then and
// were not, or that a change was asked for.
func (x *composer) nextSitting() casefile.TryIn {
	last, seen := 0, []casefile.Tooth(nil)
	for _, t := range x.c.TryIns() {
		if t.Date.IsZero() || !t.Date.Before(x.c.Issued) {
			return casefile.TryIn{}
		}
		last = max(last, t.Sitting)
		seen = append(seen, x.c.Meant(t.Teeth)...)
	}
	next := casefile.TryIn{Sitting: last + 1, Teeth: x.c.LookAgain(x.c.Issued)}
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
	next.Teeth = casefile.SortTeeth(next.Teeth)
	return next
}

// agreedAnswers asks whether the answers in force still hold: those that were given, in a
// line for each answer, and of the rest that they are asked.
func (x *composer) agreedAnswers() {
	if x.c.Agreed == nil {
		x.para(M("sheet.tryin.no-agreement"), Ref{})
		return
	}
	var said []saying
	for _, f := range x.pl.InForce {
		if !f.TellOnly && f.Answer != casefile.Blank {
			said = gathered(said, saying{key: f.Key, answer: f.Answer, teeth: f.Teeth, places: f.Contacts})
		}
	}
	x.add(Block{Kind: Heading, Level: 3, Text: M("sheet.tryin.answers"), Keep: true})
	x.add(Block{Kind: List, Style: Fine, Items: []Item{{Text: x.restsOn(), More: []Text{M("sheet.tryin.rest")}}}})
	for _, word := range []casefile.Answer{casefile.Agree, casefile.Ask, casefile.No} {
		x.answersGiven(word, said)
	}
	if !x.allGlued() {
		x.add(Block{Kind: Tick, Style: Who, Items: []Item{{Text: M("sheet.tryin.still-right")}, {Text: M("sheet.tryin.changed"), Blank: 2}}})
	}
}

// answersGiven lists the steps that have one answer, each with its teeth unless it is for
// all of them.
func (x *composer) answersGiven(word casefile.Answer, said []saying) {
	b := Block{Kind: List, Style: Fine, Text: answerWord(word)}
	for _, s := range said {
		if s.answer != word {
			continue
		}
		x.s.Must.Changes = append(x.s.Must.Changes, s.key)
		it := Item{Text: M("change." + s.key + ".name"), Ref: Ref{Change: s.key, Teeth: s.teeth}}
		if !x.everywhere(s) {
			it.Text = M("sheet.sign.change-on", "Text", Word{it.Text}, "Teeth", whereValue(s.teeth, s.places))
		}
		if b.Items = append(b.Items, it); word == casefile.Agree {
			b.Items = append(b.Items, x.limitsAt(s)...)
		}
	}
	if len(b.Items) > 0 {
		x.add(b)
	}
}

// restsOn names the agreement that a sheet rests on.
func (x *composer) restsOn() Text {
	a := x.c.Agreed
	return M("sheet.changes.rests-"+a.Way, "Date", Day{a.Date, false}, "Code", Code(a.Code))
}

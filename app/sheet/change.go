package sheet

import (
	"cmp"
	"reflect"
	"slices"
	"strings"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
	"plainleaf/app/order"
)

// change shows only the difference from what was agreed: what was agreed beside what is
// proposed, question by question, each with its own answer. The case has an agreement;
// see produce.Docs.
func (x *composer) change() {
	open, refused := x.proposals()
	other := append(x.otherTreatment(), x.otherWhole()...)
	about := slices.Compact(casefile.SortTeeth(x.concerned(open, other)))
	x.add(Block{Kind: Paragraph, Style: Kicker, Text: M("sheet.common.date", "Date", Day{x.c.Issued, false})})
	if len(about) > 0 {
		x.add(chart(about))
	}
	x.add(Block{Kind: Paragraph, Style: Lead, Text: M("sheet.changes.intro")})
	x.add(Block{Kind: List, Style: Fine, Items: []Item{{Text: x.restsOn()}}})
	if len(other) > 0 {
		x.add(Block{Kind: Table, Style: Compared, Keep: true, Items: other,
			Columns: []Text{{}, M("sheet.changes.col-agreed"), M("sheet.changes.col-now")}})
	}
	switch len(open) {
	case 0:
		x.blankQuestion(len(other) > 0)
	case 1:
		x.question(open[0])
	default:
		x.add(x.readyToDecide()) // before the boxes, which are in the rows
		x.questionTable(open)
	}
	if len(refused) > 0 {
		x.refused(refused)
	}
	x.now()
	x.done(about)
	x.waitNames()
	x.whole()
	if len(about) > 0 {
		x.add(Block{Kind: Paragraph, Style: Repeat, Text: N("sheet.common.on-teeth", len(about), "Teeth", Teeth(about))})
	}
	switch len(open) {
	case 0:
		x.add(x.readyToDecide())
		x.add(answerBox(""))
	case 1:
		x.add(x.readyToDecide())
		x.add(x.answer(open[0]))
	}
	x.whoDecides()
	x.add(x.signFour("date-time"))
	x.add(Block{Kind: Paragraph, Style: Note, Text: M("sheet.changes.take-back")})
	x.add(Block{Kind: PageBreak, Style: After})
	x.phoneLine()
}

// concerned lists the teeth that a change is about; none where it is written by hand, which
// may be about all.
func (x *composer) concerned(open []question, other []Item) (out []casefile.Tooth) {
	for _, q := range open {
		out = append(out, q.teeth()...)
	}
	for _, it := range other {
		if len(open) > 0 {
			out = append(out, it.Ref.Teeth...)
		}
	}
	return out
}

// readyToDecide is asked on the day, and never crossed beforehand.
func (x *composer) readyToDecide() Block {
	return Block{Kind: Tick, Style: InLine, Items: []Item{{Text: M("sheet.tryin.sitting-up")}, {Text: M("sheet.tryin.not-numb")}, {Text: M("sheet.changes.had-time")}}}
}

// proposals are the steps that are asked about now, and apart from them those that were
// refused before they were asked: a no is not asked again.
func (x *composer) proposals() (open, refused []question) {
	for _, q := range x.pending() {
		rule := x.b.Change(q.Change)
		if rule == nil {
			continue
		}
		before := x.c.Course()
		before.Upto(q.number)
		var no, rest []casefile.Place
		for _, p := range x.c.PlacesOf(q.Event, rule.OfContacts()) {
			if before.Standing(q.Change, p).Answer == casefile.No {
				no = append(no, p)
			} else {
				rest = append(rest, p)
			}
		}
		q.rule = rule
		if len(no) > 0 {
			refused = append(refused, question{q.Event, q.number, rule, no})
		}
		if q.at = rest; len(rest) > 0 {
			open = append(open, q)
		}
	}
	return open, refused
}

// question tells the only step that is asked about: what was agreed beside what is
// proposed, why, what may go wrong, what stays possible, and what it costs.
func (x *composer) question(q question) {
	x.s.Must.Changes = append(x.s.Must.Changes, q.Change)
	was := Item{Label: M("sheet.changes.col-agreed"), Text: x.stepAt(q), More: x.agreedTo(q), Ref: Ref{Change: q.Change, Teeth: q.teeth()}}
	now := Item{Label: M("sheet.changes.col-now"), Ref: was.Ref}
	said := x.proposal(q, true)
	now.Text, now.More = said[0], said[1:]
	x.add(Block{Kind: Facts, Style: Versus, Items: []Item{was, now}, Keep: true})

	b := Block{Kind: Facts, Items: []Item{{Label: M("sheet.changes.why"), Blank: 3}}}
	if q.Note != "" {
		b.Items[0] = Item{Label: M("sheet.changes.why"), Text: Typed(q.Note)}
	}
	if q.risky() {
		risk := x.oftenAndCover([]question{q})
		risk.Text, risk.More = M("change."+q.Change+".risk"), append([]Text{risk.Text}, risk.More...)
		b.Items = append(b.Items, risk)
	}
	if q.rule.Told() {
		b.Items = append(b.Items, x.left())
	} else {
		b.Items = append(b.Items, x.left(Item{Text: M("change." + q.Change + ".if-no")}))
	}
	b.Items = append(b.Items, x.fee(q))
	x.add(b)
}

// stepAt names a step and where it is proposed.
func (x *composer) stepAt(q question) Text {
	return x.stepOn(M("change."+q.Change+".name"), q.at)
}

// agreedTo lists the answers that were agreed before.
func (x *composer) agreedTo(q question) []Text {
	return x.wordByPlace(q.at, func(p casefile.Place) Text { return agreedWord(x.c.Beforehand(q.Change, p)) })
}

// wordByPlace lists a word for each place, which has nothing to say where it is zero; where
// it is not the same everywhere, each names its places.
func (x *composer) wordByPlace(at []casefile.Place, word func(casefile.Place) Text) (out []Text) {
	words, places := alikeAt(at, word)
	for i, w := range words {
		switch {
		case w.IsZero():
		case len(words) == 1:
			out = append(out, w)
		default:
			out = append(out, x.stepOn(w, places[i]))
		}
	}
	return out
}

// stepOn names something with the places where it is.
func (x *composer) stepOn(name Text, at []casefile.Place) Text {
	return M("sheet.sign.change", "Text", Word{name}, "From", Word{x.wherePlaces(at)})
}

// agreedWord is the answer that was agreed before.
func agreedWord(a casefile.Answer) Text {
	if a == casefile.Blank {
		return M("sheet.changes.no-answer")
	}
	return answerWord(a)
}

// proposal tells what one step is, how far it goes and whether it can be undone. What is
// done, and that the tooth stays as it is, are said here only where the step is alone:
// in a table the name of the step and one sentence for all say it.
func (x *composer) proposal(q question, alone bool) (out []Text) {
	key := "change." + q.Change
	stays := q.rule.Reversible == "yes"
	switch {
	case q.rule.Told() && (alone || !stays):
		out = append(out, M(key+".what"))
	case alone:
		out = append(out, M(key+".when"))
	}
	if q.rule.NamedOnly() { // the limit of a step that is always asked is that it is asked
		out = append(out, M(key+".limit"))
	}
	sized := q.SizeMM > 0 && (q.rule.Removes != "nothing" || q.rule.Size != "") // a new date has no size
	size := Decimal{q.SizeMM, 2}
	switch {
	case sized && alone:
		out = append(out, M("sheet.changes.size-"+q.rule.Reversible, "Number", size))
	case sized && !stays:
		out = append(out, M("sheet.changes.up-to-"+q.rule.Reversible, "Number", size))
	case sized:
		out = append(out, M("sheet.changes.size", "Number", size))
	case alone || !stays:
		out = append(out, M("sheet.changes.undo-"+q.rule.Reversible))
	case q.rule.Told(): // nothing else is said of it
		out = append(out, M("sheet.changes.undo-yes"))
	}
	return out
}

// risky reports whether something may go wrong with the tooth or the gum.
func (q question) risky() bool { return q.rule.TakesAny() || q.rule.Removes == "gum" }

// oftenAndCover tells how often what may go wrong does, and how long a temporary cover
// stays where one of the steps may need it.
func (x *composer) oftenAndCover(list []question) Item {
	it := Item{Label: M("sheet.changes.risks"), Text: M("sheet.changes.risks-often")}
	covers := slices.ContainsFunc(list, func(q question) bool { return q.rule.Takes() && q.rule.Visits != "" })
	if f, ok := x.b.Figure(coversLongest); ok && covers {
		it.More, it.Ref.Figures = []Text{N("sheet.changes.cover", int(f.High))}, []string{f.ID}
	}
	return it
}

// left is what stays possible, after what was agreed.
func (x *composer) left(kept ...Item) Item {
	return Item{Label: M("sheet.changes.left"), Items: append(kept, Item{Text: M("sheet.changes.wait")}, Item{Text: x.wayOut()})}
}

// questionTable tells several steps, a row for each with its boxes, and after the table
// once what is the same for all of them.
func (x *composer) questionTable(open []question) {
	b := Block{Kind: Table, Style: Boxed, Columns: []Text{{}, M("sheet.changes.col-agreed"), M("sheet.changes.col-now"), M("sheet.changes.why-fee"),
		M("sheet.changes.go-on"), M("sheet.changes.later"), M("answer.no")}}
	for i, q := range open {
		above := slices.ContainsFunc(open[:i], func(o question) bool { return o.Change == q.Change })
		b.Items = append(b.Items, x.questionRow(q, above))
	}
	x.add(b)
	x.add(Block{Kind: Paragraph, Text: M("sheet.changes.instead"), Blank: 3})
	after := Block{Kind: Facts}
	if slices.ContainsFunc(open, question.risky) {
		after.Items = append(after.Items, x.oftenAndCover(open))
	}
	left := Item{Label: M("sheet.changes.left"), Items: []Item{{Text: x.wayOut()}}} // a box says "not yet"
	if slices.ContainsFunc(open, func(q question) bool { return q.rule.Reversible == "yes" }) {
		left.Items = append([]Item{{Text: M("sheet.changes.undo-else")}}, left.Items...)
	}
	after.Items = append(after.Items, left)
	x.add(after)
}

// unended is 1 for a size, which is no sentence, so that it ends its cell.
func unended(t Text) int {
	if t.ID == "sheet.changes.size" || strings.HasPrefix(t.ID, "sheet.changes.up-to-") {
		return 1
	}
	return 0
}

// questionRow is one of several steps. Where the same step is asked about above, for other
// teeth, what goes with it is there.
func (x *composer) questionRow(q question, above bool) Item {
	x.s.Must.Changes = append(x.s.Must.Changes, q.Change)
	key := "change." + q.Change
	now := x.proposal(q, false)
	switch {
	case above && len(now) > 1: // its size, or whether it can be undone, is last
		now = []Text{now[len(now)-1], M("sheet.changes.as-above")}
	case above && !q.rule.Told():
		now = append(now, M("sheet.changes.as-above"))
	case q.risky():
		now = append(now, M(key+".risk"), M(key+".if-no"))
	case !q.rule.Told():
		now = append(now, M(key+".if-no"))
	}
	order.By(now, func(a, b Text) int { return cmp.Compare(unended(a), unended(b)) })
	visits := x.moreVisits(q)
	why := Cell{Write: q.Note == "" || q.Fee == nil}
	if q.Note != "" {
		why.Texts = append(why.Texts, Typed(q.Note))
	}
	switch f := q.Fee; {
	case f == nil: // there is a line to write it on
	case f.Minor > 0 && visits > 0:
		why.Texts = append(why.Texts, N("sheet.changes.amount-visits", visits, "Amount", Amount{f.Minor, f.Currency}))
	case f.Minor > 0:
		why.Texts = append(why.Texts, M("sheet.money.amount", "Amount", Amount{f.Minor, f.Currency}))
	case visits > 0:
		why.Texts = append(why.Texts, N("sheet.changes.free-visits", visits))
	default:
		why.Texts = append(why.Texts, M("sheet.changes.free"))
	}
	if q.Fee == nil && visits > 0 {
		why.Texts = append(why.Texts, N("sheet.changes.more-visits", visits))
	}
	told := x.repliedTo(q)
	was := append(x.agreedTo(q), x.wordByPlace(q.at, func(p casefile.Place) Text { return told[p].noted() })...)
	it := Item{Label: x.stepAt(q), Ref: Ref{Change: q.Change, Teeth: q.teeth()}, Cells: []Cell{{Texts: was}, {Texts: now}, why}}
	said := q.repliedOnce(told)
	for _, box := range []struct {
		text   Text
		answer casefile.Answer
	}{{M("sheet.changes.go-on"), casefile.Agree}, {M("sheet.changes.later"), casefile.Ask}, {M("answer.no"), casefile.No}} {
		it.Cells = append(it.Cells, Cell{Boxes: []Box{{Text: box.text, Mark: said == box.answer}}})
	}
	return it
}

// coversLongest is the figure of how long a temporary cover stays at most.
const coversLongest = "covers-longest"

// wayOut is what can be chosen still, by what was done so far.
func (x *composer) wayOut() Text {
	switch {
	case !x.untouched():
		return M("sheet.changes.no-way-back")
	case x.begun(): // from a tooth opposite, which needs no cover
		return M("sheet.changes.taken")
	}
	return M("sheet.changes.still-free")
}

// fee tells the price of a step and the visits it adds, in one sentence where both are
// known.
func (x *composer) fee(q question) Item {
	it := Item{Label: M("sheet.changes.fee")}
	visits := x.moreVisits(q)
	switch f := q.Fee; {
	case f == nil: // the line to write on is after the last sentence
		it.Text, it.Blank = M("sheet.changes.fee-blank"), 1
		if visits > 0 {
			it.Text, it.More = N("sheet.changes.visits", visits), []Text{it.Text}
		}
	case f.Minor > 0 && visits > 0:
		it.Text = N("sheet.changes.fee-is-visits", visits, "Amount", Amount{f.Minor, f.Currency})
	case f.Minor > 0:
		it.Text = M("sheet.changes.fee-is", "Amount", Amount{f.Minor, f.Currency})
	case visits > 0:
		it.Text = N("sheet.changes.fee-none-visits", visits)
	default:
		it.Text = M("sheet.changes.fee-none")
	}
	return it
}

// moreVisits is how many visits a step may add, 0 for none.
func (x *composer) moreVisits(q question) int {
	if row, ok := x.pl.Row(q.Change, q.at[0]); ok && row.Visits.Known() {
		return int(row.Visits.High)
	}
	return 0
}

// blankQuestion leaves room to note by hand what comes up in the chair.
func (x *composer) blankQuestion(other bool) {
	room := func(label string, blank int) Item { return Item{Label: M("sheet.changes." + label), Blank: blank} }
	if !other {
		x.add(Block{Kind: Facts, Style: Versus, Keep: true, Items: []Item{room("col-agreed", 3), room("col-now", 3)}})
		x.add(Block{Kind: Tick, Style: InLine, Text: M("sheet.changes.undone"), Items: []Item{{Text: M("sheet.changes.yes")}, {Text: M("sheet.changes.partly")}, {Text: M("sheet.changes.no")}}})
	}
	x.add(Block{Kind: Facts, Items: []Item{room("why", 3), {Label: M("sheet.changes.risks"), Text: M("sheet.changes.risks-ask"), Blank: 3},
		x.left(Item{Label: M("sheet.changes.as-agreed"), Text: M("sheet.changes.as-agreed-means"), Blank: 2}),
		{Label: M("sheet.changes.fee"), Text: M("sheet.changes.fee-blank"), Blank: 1}}})
}

// refused names what the patient said no to before it came up. It is not asked again.
func (x *composer) refused(list []question) {
	b := Block{Kind: List, Style: InLine, Text: M("sheet.changes.refused")}
	for _, q := range list {
		x.s.Must.Changes = append(x.s.Must.Changes, q.Change)
		b.Items = append(b.Items, Item{Text: x.stepAt(q), Ref: Ref{Change: q.Change, Teeth: q.teeth()}})
	}
	x.add(b)
}

// now tells where each tooth is, in one line.
func (x *composer) now() {
	in := map[string][]casefile.Tooth{}
	var states []string
	for _, s := range x.pl.ToothState {
		if len(in[s.State]) == 0 {
			states = append(states, s.State)
		}
		in[s.State] = append(in[s.State], s.Tooth)
	}
	b := Block{Kind: Facts, Style: InLine, Text: M("sheet.changes.state")}
	for _, s := range states {
		b.Items = append(b.Items, Item{Label: x.teethOrAll(in[s]), Text: M("tooth-state." + s), Ref: Ref{Teeth: in[s]}})
	}
	if len(states) == 0 {
		x.para(M("sheet.common.whole-mouth"), Ref{})
		return
	}
	x.add(b)
}

// answer is the box for the answer to the only step, crossed where it was given already.
func (x *composer) answer(q question) Block {
	told := x.repliedTo(q)
	b := answerBox(q.repliedOnce(told))
	b.Ref = Ref{Change: q.Change, Teeth: q.teeth()}
	if more := x.byPlace(q.at, func(p casefile.Place) []Text { return told[p].tell() }); len(more) > 0 {
		x.flow(Item{Text: more[0], More: more[1:], Ref: b.Ref})
	}
	return b
}

func answerBox(said casefile.Answer) Block {
	return Block{Kind: Tick, Style: Answer, Text: M("sheet.changes.my-answer"), Keep: true, Items: []Item{{Text: M("sheet.changes.go-on"), Mark: said == casefile.Agree},
		{Text: M("sheet.changes.later"), Mark: said == casefile.Ask}, {Text: M("sheet.changes.rather"), Blank: 2, Mark: said == casefile.No}}}
}

// otherTreatment sets what was agreed for each tooth beside what the case has now.
func (x *composer) otherTreatment() []Item {
	was := *x
	was.c = x.c.Agreed.Put(x.c)
	teeth := casefile.SortTeeth(append(was.c.ToothList(), x.c.ToothList()...))
	if len(was.c.Teeth) == 0 || len(x.c.Teeth) == 0 {
		teeth = append(teeth, 0) // the mouth as a whole
	}
	var out []Item
	var last [2][]Text
	for _, t := range teeth {
		a, b := was.gets(t), x.gets(t)
		if reflect.DeepEqual(a, b) {
			continue
		}
		if len(a) == 0 {
			a = []Text{M("sheet.changes.not-in")}
		}
		if len(b) == 0 {
			b = []Text{M("sheet.changes.left-out")}
		}
		if n := len(out); n > 0 && t != 0 && reflect.DeepEqual(last, [2][]Text{a, b}) {
			out[n-1].Ref.Teeth = append(out[n-1].Ref.Teeth, t)
			continue
		}
		last = [2][]Text{a, b}
		it := Item{Cells: []Cell{{Texts: a}, {Texts: b}}}
		if t != 0 {
			it.Ref.Teeth = []casefile.Tooth{t}
		}
		out = append(out, it)
	}
	for i := range out {
		out[i].Label = x.teethOrAll(out[i].Ref.Teeth)
	}
	return out
}

// gets is what one tooth gets and what follows it; 0 is the mouth as a whole, where
// the case names no teeth.
func (x *composer) gets(t casefile.Tooth) []Text {
	for _, g := range x.c.Groups() {
		if !slices.Contains(g.Teeth, t) && (t != 0 || len(g.Teeth) > 0) {
			continue
		}
		then := x.then(g.Route)
		if then == "" {
			return []Text{x.treatment(g.Route, g.Material)}
		}
		return []Text{M("route." + string(g.Route) + ".name"), M("sheet.changes.then", "Text", Word{x.treatment(then, g.Material)})}
	}
	return nil
}

// otherWhole sets shades and price beside each other where they differ.
func (x *composer) otherWhole() []Item {
	out := x.otherShades()
	a := x.c.Agreed
	m := x.pl.Money
	if p := a.Price; p != nil && m.Known && (p.Minor != m.Total || p.Currency != m.Currency) {
		out = append(out, Item{Label: M("sheet.changes.price"), Cells: []Cell{
			{Texts: []Text{M("sheet.money.amount", "Amount", Amount{p.Minor, p.Currency})}}, {Texts: []Text{M("sheet.money.amount", "Amount", Amount{m.Total, m.Currency})}}}})
	}
	return out
}

// question is a step that was asked about in the chair, with its place in the history.
// As a proposal it has its rule and the places it is proposed for.
type question struct {
	casefile.Event
	number int
	rule   *evidence.Change
	at     []casefile.Place
}

// teeth lists those that a step would touch.
func (q question) teeth() (out []casefile.Tooth) {
	for _, p := range q.at {
		out = append(out, p.Teeth()...)
	}
	return slices.Compact(casefile.SortTeeth(out))
}

// pending are the steps that were asked about in the chair and are not done.
func (x *composer) pending() []question {
	var out []question
	for i, e := range x.c.History() {
		switch {
		case e.Kind == casefile.Asked:
			out = append(slices.DeleteFunc(out, func(o question) bool {
				return o.Change == e.Change && slices.Equal(o.Teeth, e.Teeth) && slices.Equal(o.Places, e.Places)
			}), question{Event: e, number: i})
		case e.Kind == casefile.DoneStep && e.Change != "":
			done := x.c.DoneTo(e)
			out = slices.DeleteFunc(out, func(o question) bool {
				return o.Change == e.Change && !slices.ContainsFunc(x.c.DoneTo(o.Event), func(t casefile.Tooth) bool { return !slices.Contains(done, t) })
			})
		}
	}
	return out
}

// reply is what was answered to a step in the chair, the last of it.
type reply struct {
	Answer casefile.Answer
	On     casefile.Date
}

// tell says what was answered, and when; nothing where nothing was.
func (r reply) tell() []Text {
	if r.Answer == casefile.Blank {
		return nil
	}
	word := Word{M("answer.said." + string(r.Answer))}
	if r.On.IsZero() {
		return []Text{M("sheet.changes.said", "Text", word)}
	}
	return []Text{M("sheet.changes.said-on", "Text", word, "Date", Day{r.On, false})}
}

// noted is the same in a row of a table, after what was agreed.
func (r reply) noted() Text {
	word := Word{M("answer.said." + string(r.Answer))}
	switch {
	case r.Answer == casefile.Blank:
		return Text{}
	case r.On.IsZero():
		return M("sheet.changes.said-word", "Text", word)
	}
	return M("sheet.changes.said-then", "Date", Day{r.On, false}, "Text", word)
}

// repliedTo is what was answered to a question since it was asked, by place.
func (x *composer) repliedTo(q question) map[casefile.Place]reply {
	out := map[casefile.Place]reply{}
	for i, e := range x.c.History() {
		if e.Change != q.Change || i < q.number || e.Kind != casefile.Answered && e.Kind != casefile.Reopened {
			continue
		}
		r := reply{e.Answer, e.On}
		if e.Kind == casefile.Reopened {
			r.Answer = casefile.Ask
		}
		for _, p := range x.c.PlacesOf(e, q.rule.OfContacts()) {
			out[p] = r
		}
	}
	return out
}

// repliedOnce is the answer to a question where it is the same at every place.
func (q question) repliedOnce(told map[casefile.Place]reply) casefile.Answer {
	said := casefile.Blank
	for i, p := range q.at {
		if i > 0 && told[p].Answer != said {
			return casefile.Blank
		}
		said = told[p].Answer
	}
	return said
}

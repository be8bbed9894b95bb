package sheet

import (
	"slices"

	"plainleaf/app/casefile"
	"plainleaf/app/plan"
)

// signature is read by itself: what is signed, the answers as words, who decides, the
// decision and the lines to sign on. While something is on hold there are no lines, only
// what is to be settled first.
func (x *composer) signature() {
	x.add(Block{Kind: PageBreak, Style: Signature})
	title := "sheet.sign.title"
	if x.deciders().Represented() {
		title = "sheet.sign.title-ours"
	}
	x.h2(title)
	kicker := M("sheet.sign.kicker-plain")
	if x.c.ID != "" {
		kicker = M("sheet.sign.kicker", "Code", Code(x.c.ID), "Number", Int(x.c.Revision))
	}
	x.add(Block{Kind: Paragraph, Style: Kicker, Text: kicker})
	x.markedTeeth()
	x.signedFacts()
	if held := x.pl.NoLines(); len(held) > 0 {
		x.whoDecides()
		x.add(Block{Kind: Notice, Tone: "caution", Text: M("sheet.sign.hold"), Items: x.heldItems(held), Keep: true})
		x.add(Block{Kind: Paragraph, Style: Note, Text: M("sheet.sign.refuse")})
		return
	}
	x.signedDecision()
	if !x.deciders().Minor() { // their photos are asked about apart: the page has two decisions already
		x.permissions()
	}
	x.laterVisits()
}

// deciders is who decides and who helps, as far as the case says.
func (x *composer) deciders() casefile.People {
	if x.c.People == nil {
		return casefile.People{}
	}
	return *x.c.People
}

// signedFacts are the facts that a signature is put to.
func (x *composer) signedFacts() {
	b := Block{Kind: Facts, Style: Tight, Items: x.treatmentRows()}
	row := func(id string, t Text, ref Ref, more ...Text) {
		b.Items = append(b.Items, Item{Label: M("sheet.sign." + id), Text: t, More: more, Ref: ref})
	}
	undo := x.undoneShort()
	if x.deciders().Minor() {
		undo = append(undo, M("sheet.sign.young-risk"))
	}
	row("undo", undo[0], Ref{}, undo[1:]...)
	if t, ref, ok := x.mainRisk(); ok {
		row("risk", t, ref)
	}
	if x.pl.Money.Known {
		row("price", x.priceText(), Ref{Route: string(x.c.Route)}, x.unpricedShort()...)
	} else {
		row("price", M("sheet.money.estimate-later"), Ref{})
	}
	given := M("sheet.think.given", "Date", Day{x.pl.Deciding.Given, false})
	if len(x.pl.NoLines()) > 0 { // nothing can be signed, and page one says from when
		row("before", given, x.ref(x.pl.Deciding.Figures))
	} else {
		row("before", given, x.ref(x.pl.Deciding.Figures), Earliest(x.pl))
		b.Items[len(b.Items)-1].Items = x.stillOpen()
	}
	if len(x.pl.ChairChanges) > 0 {
		b.Items = append(b.Items, x.answersFact(x.proposed()))
	}
	x.add(b)
}

// treatmentRows say which option is meant for which teeth.
func (x *composer) treatmentRows() []Item {
	out := x.treatments().Items
	for i := range out {
		if len(x.c.Groups()) == 1 && i == 0 { // one treatment: its teeth follow it
			if teeth := out[i].Ref.Teeth; len(teeth) > 0 {
				out[i].More = append(out[i].More, N("sheet.sign.on-teeth", len(teeth), "Teeth", Teeth(teeth)))
			}
			out[i].Label = M("sheet.sign.treatment")
		}
	}
	return out
}

// undoneShort gives a line for each outcome of what stays for good. Teeth left alone have
// one only where all are.
func (x *composer) undoneShort() []Text {
	var out []Text
	routes := x.chosenRoutes()
	for _, r := range routes {
		if r == casefile.None && len(routes) > 1 {
			continue
		}
		t := M("sheet.undo." + x.reversible(r) + ".short")
		if !slices.ContainsFunc(out, func(o Text) bool { return o.ID == t.ID }) {
			out = append(out, t)
		}
	}
	for _, p := range x.pl.Enamel.Permitted {
		if p.Answer == casefile.Agree {
			return append(out, M("sheet.undo.small-too"))
		}
	}
	return out
}

// unpricedShort names what has no price yet, beside the price that leaves it out.
func (x *composer) unpricedShort() (out []Text) {
	for _, t := range x.unpriced(x.pl.Money) {
		if t.ID != "sheet.money.included" {
			out = append(out, t)
		}
	}
	return out
}

// stillOpen names what is to be settled before a yes, and what the patient said in
// own words instead.
func (x *composer) stillOpen() (out []Item) {
	for _, o := range x.pl.Open {
		switch {
		case o.Whose == "patient" && o.Reason != "":
			out = append(out, Item{Text: OpenPoint(x.b, o), More: []Text{M("sheet.open.waived", "Text", Verbatim(o.Reason))}})
		case o.What == plan.OpenTrialSmile, o.What == plan.OpenQuestions:
			out = append(out, Item{Text: OpenPoint(x.b, o)})
		}
		if o.What == plan.OpenThinking && o.MayGoOn && o.Whose == "patient" && o.Reason == "" {
			out = append(out, Item{Text: M("sheet.sign.sooner"), Blank: 3})
		}
	}
	return out
}

// signedDecision is what is signed, in one piece: with a second page it begins with what it is
// about.
func (x *composer) signedDecision() {
	x.whole()
	x.add(Block{Kind: Paragraph, Style: Repeat, Text: x.repeated()})
	who := x.deciders()
	checks := []Item{{Text: M("sheet.sign.had-talk")}, {Text: M("sheet.sign.had-time")}, {Text: M("sheet.sign.got-copy")}}
	if who.Minor() {
		x.whoDecides()
		x.heading(3, M("sheet.sign.young"), Ref{})
		x.add(Block{Kind: Tick, Style: Note, Items: []Item{{Text: M("sheet.sign.young-told")}, {Text: M("sheet.sign.young-may")}}})
		x.add(Block{Kind: Tick, Style: Answer, Text: M("sheet.sign.young-answer"),
			Items: []Item{{Text: M("sheet.sign.want")}, {Text: M("sheet.sign.want-not")}, {Text: M("sheet.sign.want-unsure")}}})
		x.add(Block{Kind: Paragraph, Style: Note, Text: M("sheet.sign.young-needed")})
		x.heading(3, M("sheet.sign.adult"), Ref{})
		x.add(Block{Kind: Tick, Style: Note, Items: checks})
	} else {
		x.add(Block{Kind: Tick, Items: checks})
		x.whoDecides()
	}
	x.add(Block{Kind: Tick, Style: Answer, Text: M("sheet.sign.decision-yes"),
		Items: []Item{{Text: M("sheet.sign.yes")}, {Text: M("sheet.sign.no")}, {Text: M("sheet.sign.not-yet")}}})
	x.add(x.signLines(who))
	refuse := "sheet.sign.refuse"
	if who.Minor() {
		refuse = "sheet.sign.refuse-young"
	}
	x.add(Block{Kind: Paragraph, Style: Note, Text: M(refuse)})
	x.add(Block{Kind: PageBreak, Style: After})
}

// signLines are the lines to sign on, a young person's own first.
func (x *composer) signLines(who casefile.People) Block {
	b := x.signFour("date")
	if !who.Minor() || !who.Represented() {
		return b
	}
	own := func(it Item) bool { return it.Label.ID == "sheet.sign.assent" }
	if i := slices.IndexFunc(b.Items, own); i > 0 {
		it := b.Items[i]
		b.Items = slices.Insert(slices.Delete(b.Items, i, i+1), 0, it)
	}
	if who.Decides == "parent" {
		b.Items = slices.Insert(b.Items, 2, Item{Label: M("sheet.sign.second-parent")})
	}
	return b
}

// repeated is the treatment, its teeth, the price and what cannot be undone in one line.
func (x *composer) repeated() Text {
	var list Words
	for _, it := range x.treatments().Items {
		t := it.Text
		if len(it.Ref.Teeth) > 0 {
			t = M("sheet.sign.repeat-teeth", "Text", Word{t}, "Teeth", Teeth(it.Ref.Teeth))
		}
		list = append(list, t)
	}
	undo := Word{x.undoneShort()[0]}
	if !x.pl.Money.Known {
		return M("sheet.sign.repeat", "List", list, "Text", undo)
	}
	return M("sheet.sign.repeat-price", "List", list, "Amount", Price{x.pl.Money.Total, x.pl.Money.Currency}, "Text", undo)
}

// permissions are given apart from the treatment, and can be taken back.
func (x *composer) permissions() {
	x.add(Block{Kind: Tick, Style: Note, Text: M("sheet.consent.permission"), Keep: true, Items: []Item{
		{Text: M("sheet.consent.photos-care")}, {Text: M("sheet.consent.photos-teach")}, {Text: M("sheet.consent.mail")}}})
}

// laterRows is how many visits the log has room for on its page.
const laterRows = 4

// laterVisits has a row for each visit after the signature: what has changed since.
func (x *composer) laterVisits() {
	b := Block{Kind: Table, Style: Log, Text: M("sheet.sign.again"), Keep: true,
		Columns: []Text{M("sheet.sign.again-visit"), M("sheet.sign.date"), M("sheet.sign.again-changed"), M("sheet.sign.again-patient"), M("sheet.sign.again-dentist")}}
	i := slices.IndexFunc(x.pl.Visits, func(v plan.Visit) bool { return v.KeyOf(signature) != "" })
	for _, v := range x.pl.Visits[i+1:] {
		if !v.Done && len(b.Items) < laterRows {
			b.Items = append(b.Items, Item{Label: x.visitName(v.Purpose), Cells: []Cell{{Write: true}, {Write: true}, {Write: true}, {Write: true}}})
		}
	}
	if len(b.Items) > 0 {
		x.add(b)
	}
}

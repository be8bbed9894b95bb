package sheet

import (
	"reflect"
	"slices"

	"plainleaf/app/casefile"
	"plainleaf/app/plan"
)

// consent is the whole agreement: what matters most on its first page, then what may
// change in the chair, the rest, and a signature page that is read by itself.
func (x *composer) consent() {
	x.add(Block{Kind: Paragraph, Style: Kicker, Text: M("sheet.consent.kicker", "Date", Day{x.c.Issued, false})})
	x.markedTeeth()
	x.whenToSign()
	x.keyFacts()
	x.chairChanges()
	x.otherRisks()
	x.expectations()
	x.money()
	x.visitMonths()
	x.sayBack()
	x.lookUp()
	x.signature()
}

// markedTeeth shows the teeth beside a title, or says in a line that it is about all of them.
func (x *composer) markedTeeth() {
	if len(x.c.ToothList()) == 0 {
		x.add(Block{Kind: Paragraph, Style: Lead, Text: M("sheet.common.whole-mouth")})
		return
	}
	x.teeth()
}

// whenToSign says when the time to sign comes: what is settled first, the trial smile
// and the days to think.
func (x *composer) whenToSign() {
	b := Block{Kind: Notice, Tone: "hold", Text: Earliest(x.pl), Keep: true, Ref: x.ref(x.pl.Deciding.Figures)}
	if held := x.pl.NoLines(); len(held) > 0 {
		b.Text, b.Items = M("sheet.consent.hold"), x.heldItems(held)
		if one := b.Items[0]; len(held) == 1 && one.Ref.Wait != "" && one.Ref.Wait != plan.TalkAgain { // a list of one is none
			b.Text, b.Ref.Wait, b.Items = M("sheet.consent.hold-one", "Text", Word{one.Text}), one.Ref.Wait, nil
		}
	}
	for _, w := range x.pl.WaitFor {
		x.s.Must.Waits = append(x.s.Must.Waits, w.Key)
		if w.Reason != "" { // the dentist goes on with it
			b.Items = append(b.Items, Item{Text: M("finding." + w.Key + ".name"), More: []Text{M("sheet.wait.reason", "Text", Verbatim(w.Reason))}, Ref: Ref{Wait: w.Key, Teeth: w.Teeth}})
		}
	}
	var then []Text
	if slices.ContainsFunc(x.pl.Open, func(o plan.Open) bool { return o.What == plan.OpenTrialSmile && o.Reason == "" }) {
		then = append(then, M("open."+plan.OpenTrialSmile))
	}
	first := len(b.Items) > 0 || b.Ref.Wait != ""
	if day := x.pl.Deciding.EarliestSign; first && day.Exists() {
		then = append(then, M("sheet.consent.think", "Date", Day{day, false}))
	} else if first {
		then = append(then, M("sheet.think.on-hold"))
	}
	if x.made() {
		then = append(then, M("sheet.consent.laboratory"))
	}
	if len(then) > 0 {
		b.Items = append(b.Items, Item{Text: then[0], More: then[1:]})
	}
	x.add(b)
}

// keyFacts is what a reader of page one alone should know.
func (x *composer) keyFacts() {
	b := Block{Kind: Facts, Items: []Item{x.whatFact(), x.whyFact(), x.undoFact()}}
	if len(x.pl.Risks) > 0 {
		b.Items = append(b.Items, x.riskFact())
	}
	b.Items = append(b.Items, x.insteadFact(), x.costFact(), Item{Label: M("sheet.consent.free"), Text: M("sheet.consent.withdraw")})
	x.add(b)
}

// whatFact tells what is done to which teeth, of what, and who does it.
func (x *composer) whatFact() Item {
	it := Item{Label: M("sheet.consent.what")}
	var ts []Text
	if x.mixed() { // what is done to one tooth is not done to another
		it.Items = x.toothByTooth("what")
	} else {
		for _, r := range x.chosenRoutes() {
			ts = append(ts, M("route."+string(r)+".what"))
		}
		if m := x.onlyMaterial(); m != "" {
			ts = append(ts, M("sheet.consent.made-of", "Material", Word{M("material." + string(m) + ".name")}))
		}
	}
	if shades := x.shadeItems(); len(shades) == 1 && !x.mixed() {
		ts, it.Ref = append(append(ts, shades[0].Text), shades[0].More...), shades[0].Ref
	} else {
		it.Items = append(it.Items, shades...)
	}
	if x.p.Dentist != "" {
		ts = append(ts, M("sheet.consent.who", "Name", Verbatim(x.p.Dentist)))
	} else {
		ts, it.Blank = append(ts, M("sheet.consent.who-blank")), 2
	}
	if len(ts) > 0 {
		it.Text, it.More = ts[0], ts[1:]
	}
	return it
}

// onlyMaterial is the material of all teeth, where there is a choice of it and it is one.
func (x *composer) onlyMaterial() casefile.Material {
	var out casefile.Material
	for i, g := range x.c.Groups() {
		r := g.Route
		if then := x.then(r); then != "" {
			r = then
		}
		rule := x.b.Route(r)
		if rule == nil || len(rule.Materials) < 2 || !slices.Contains(rule.Materials, g.Material) || i > 0 && g.Material != out {
			return ""
		}
		out = g.Material
	}
	return out
}

// shadeItems are the shades that are wanted, of which teeth where not of all.
func (x *composer) shadeItems() (out []Item) {
	for _, w := range x.c.Wants() {
		if !w.Said() {
			continue
		}
		ts := wantedTexts("sheet.tryin.shade-planned", w.Wanted)
		it := Item{Text: ts[0], More: ts[1:], Ref: Ref{Teeth: w.Teeth}}
		if len(w.Teeth) > 0 && !x.allTeeth(w.Teeth) {
			it.More = append(it.More, N("sheet.sign.on-teeth", len(w.Teeth), "Teeth", Teeth(w.Teeth)))
		}
		out = append(out, it)
	}
	return out
}

// whyFact is what the treatment is good for, the dentist's own advice and what the
// patient hopes for.
func (x *composer) whyFact() Item {
	it := Item{Label: M("sheet.consent.why")}
	if x.mixed() {
		it.Items = x.toothByTooth("good")
	} else {
		var ts []Text
		for _, r := range x.chosenRoutes() {
			ts = append(ts, M("route."+string(r)+".good"))
		}
		it.Text, it.More = ts[0], ts[1:]
	}
	advice := Item{Text: M("sheet.consent.advice-blank"), Blank: 2}
	if a := x.c.Advice; a != nil && a.Route != "" {
		advice = Item{Text: M("sheet.consent.advice-route", "Route", Word{M("route." + string(a.Route) + ".name")}),
			More: []Text{Typed(a.Reason)}, Ref: Ref{Route: string(a.Route)}}
	} else if a != nil {
		advice = Item{Text: M("sheet.consent.advice-own", "Text", Verbatim(a.Reason))}
	}
	hope := Item{Text: M("sheet.consent.hope"), Blank: 2}
	if x.c.Wish != "" {
		hope = Item{Text: hope.Text, More: []Text{Typed(x.c.Wish)}}
	}
	it.Items = append(it.Items, advice, hope)
	return it
}

// insteadFact names every other option on the table with its price, no treatment first.
// Options that must wait come last, since the patient cannot choose them yet; options with
// the same reason share it.
func (x *composer) insteadFact() Item {
	var free, held []instead
	for _, r := range x.offered() {
		kept := r.Chosen && r.Key == casefile.None && x.mixed() // beside teeth that are treated it is a choice still
		if !kept && (r.Chosen || !x.mixed() && slices.Contains(x.chosenRoutes(), r.Key)) {
			continue
		}
		one, unpriced := x.option(r, kept), x.noPrice(r.Money)
		if why := x.heldBy(r); len(why) > 0 {
			held = withReason(held, one, append(unpriced, why...))
			continue
		}
		free = withReason(free, one, unpriced)
	}
	it := Item{Label: M("sheet.consent.others"), Text: M("route.none.what")}
	all := append(free, held...)
	for _, o := range all {
		it.Items = append(it.Items, Item{Text: o.options[0], More: append(o.options[1:], o.reason...)})
	}
	if len(all) == 1 { // a list of one is none
		it.Text, it.More, it.Items = it.Items[0].Text, it.Items[0].More, nil
	} else if len(all) > 1 {
		it.Text = Text{}
	}
	return it
}

// instead are options of which the same holds.
type instead struct{ options, reason []Text }

func withReason(list []instead, option Text, reason []Text) []instead {
	i := slices.IndexFunc(list, func(o instead) bool { return reflect.DeepEqual(o.reason, reason) })
	if i < 0 {
		return append(list, instead{[]Text{option}, reason})
	}
	list[i].options = append(list[i].options, option)
	return list
}

// option is one other option in a line; kept is doing nothing to some teeth beside others.
func (x *composer) option(r plan.RouteFacts, kept bool) Text {
	name, price := Word{WayName(r)}, Price{r.Money.Today, r.Money.Currency}
	if kept {
		name = Word{M("route.none.name")}
	}
	if is := x.inPlain(r.Key); is.ID != "" {
		name.Text = explained(name.Text, M("route."+string(r.Key)+".name"), is)
	}
	switch {
	case r.Key == casefile.None && (kept || !r.Money.Known):
		return M("sheet.consent.option-as-is", "Text", name)
	case r.Key == casefile.None:
		return M("sheet.consent.option-none", "Text", name, "Amount", price)
	case !r.Money.Known:
		return M("sheet.consent.option-unpriced", "Text", name)
	}
	return M("sheet.consent.option", "Text", name, "Amount", price)
}

// explained is the name of an option with what a word of the trade in it means.
func explained(name, word, is Text) Text {
	if name.ID == word.ID {
		return M("sheet.consent.option-is", "Text", Word{word}, "To", Word{is})
	}
	name.Args = slices.Clone(name.Args)
	for i, a := range name.Args {
		if w, ok := a.Value.(Word); ok && w.Text.ID == word.ID {
			name.Args[i].Value = Word{explained(w.Text, word, is)}
		}
	}
	return name
}

// costFact is the one price of the plan, and how long it holds.
func (x *composer) costFact() Item {
	m := x.pl.Money
	if !m.Known {
		return Item{Label: M("sheet.consent.cost"), Text: M("sheet.money.estimate-later")}
	}
	return Item{Label: M("sheet.consent.cost"), Text: x.priceText(), More: append(x.valid(m), x.unpricedShort()...), Ref: Ref{Figures: m.Figures}}
}

// priceText is the price of the whole plan in a sentence.
func (x *composer) priceText() Text {
	return M("sheet.consent.price", "Amount", Price{x.pl.Money.Total, x.pl.Money.Currency})
}

// sayBack asks for this case's points in the patient's own words.
func (x *composer) sayBack() {
	x.add(Block{Kind: Heading, Level: 2, Text: M("sheet.teach.title"), Keep: true})
	prompts := []Item{{Text: M("sheet.teach.say-what")}, {Text: M("sheet.teach.say-undo")}, {Text: M("sheet.teach.say-risk")}, {Text: M("sheet.teach.say-others")}}
	if len(x.pl.ChairChanges) > 0 {
		prompts = append(prompts, Item{Text: M("sheet.teach.say-changes")})
	}
	x.add(Block{Kind: Tick, Style: Who, Text: M("sheet.teach.intro"), Items: prompts})
	said := Block{Kind: Facts, Style: InLine}
	for _, t := range x.c.TeachBacks() {
		it := Item{Label: Typed(t.Topic), Text: Typed(t.Note)}
		if t.Note == "" {
			it.Text = M(map[bool]string{true: "sheet.teach.done", false: "sheet.teach.not-yet"}[t.Done])
		}
		said.Items = append(said.Items, it)
	}
	if len(said.Items) > 0 {
		x.add(said)
	}
}

// lookUp says whom to call, when the facts were last looked at, and where they come from.
func (x *composer) lookUp() {
	b := Block{Kind: List, Style: Fine, Items: x.phones(), Keep: true}
	b.Items = append(b.Items, Item{Text: M("sheet.about.reviewed", "Date", Day{mustDate(x.b.Reviewed), false}, "To", Day{mustDate(x.b.NextReview), false})})
	x.add(b)
	if len(x.sources) > 0 {
		x.add(x.citations())
	}
}

// mixed reports whether the teeth are on several routes.
func (x *composer) mixed() bool { return len(x.c.ByRoute()) > 1 }

// toothByTooth tells one thing about each route of the plan beside its teeth, the same
// once for all the teeth it is true of.
func (x *composer) toothByTooth(word string) (out []Item) {
	add := func(r casefile.Route, teeth []casefile.Tooth, label func([]casefile.Tooth) Text) {
		it := Item{Label: label(teeth), Text: M("route." + string(r) + "." + word), Ref: Ref{Teeth: teeth, Route: string(r)}}
		i := slices.IndexFunc(out, func(o Item) bool { return o.Text.ID == it.Text.ID && o.Label.ID == it.Label.ID })
		if i < 0 {
			out = append(out, it)
			return
		}
		out[i].Ref.Teeth = casefile.SortTeeth(append(slices.Clone(out[i].Ref.Teeth), teeth...))
		out[i].Label = label(out[i].Ref.Teeth)
	}
	for _, g := range x.c.ByRoute() {
		add(g.Route, g.Teeth, x.teethOrAll)
		if then := x.then(g.Route); then != "" && then != g.Route {
			add(then, g.Teeth, x.afterThat)
		}
	}
	return out
}

func (x *composer) chosenRoutes() []casefile.Route {
	var out []casefile.Route
	for _, g := range x.c.Groups() {
		if !slices.Contains(out, g.Route) {
			out = append(out, g.Route)
		}
	}
	if x.c.Then != "" && !slices.Contains(out, x.c.Then) {
		out = append(out, x.c.Then)
	}
	return out
}

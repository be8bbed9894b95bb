package sheet

import (
	"math"
	"reflect"
	"slices"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
	"plainleaf/app/plan"
)

// consent is the whole agreement; its signature page stands alone.
func (x *composer) consent() {
	x.para(M("sheet.consent.intro"), Ref{}) // that it replaces neither the talk nor the law stands at the foot of each page

	x.h2("sheet.consent.what")
	x.teeth()
	x.add(x.treatments())
	what := Block{Kind: List, Style: InLine}
	if x.mixed() { // what is done to one tooth is not done to another
		x.toothByTooth("what")
	} else {
		for _, r := range x.chosenRoutes() {
			what.Items = append(what.Items, Item{Text: M("route." + string(r) + ".what"), Ref: Ref{Route: string(r)}})
		}
	}
	if x.p.Dentist != "" {
		what.Items = append(what.Items, Item{Text: M("sheet.consent.who", "Name", Verbatim(x.p.Dentist))})
	}
	if len(what.Items) > 0 {
		x.add(what)
	}
	if x.p.Dentist == "" {
		x.para(M("sheet.consent.who-blank"), Ref{})
		x.lines(1)
	}
	x.h2("sheet.schedule.title")
	x.visitLines()
	x.findings()
	if len(x.pl.WaitFor) > 0 {
		x.h2("sheet.wait.first")
		x.waits()
	}

	x.cannotBeUndone()

	x.h2("sheet.consent.gain")
	x.para(M("sheet.consent.gain-intro"), Ref{})
	if x.mixed() {
		x.toothByTooth("good")
	} else {
		var gains []Item
		for _, r := range x.chosenRoutes() {
			gains = append(gains, Item{Text: M("route." + string(r) + ".good"), Ref: Ref{Route: string(r)}})
		}
		x.list(gains...)
	}
	x.para(M("sheet.consent.gain-own"), Ref{})
	if x.c.Wish != "" {
		x.para(Typed(x.c.Wish), Ref{})
	} else {
		x.lines(1)
	}

	x.h2("sheet.consent.risks")
	x.para(M("sheet.consent.risks-intro"), Ref{})
	x.risks()
	x.colour()
	x.expectations()
	x.alternatives()

	x.h2("sheet.consent.advice")
	if a := x.c.Advice; a != nil {
		if a.Route != "" {
			x.flow(Item{Text: M("sheet.consent.advice-route", "Route", Word{M("route." + string(a.Route) + ".name")}),
				More: []Text{Typed(a.Reason)}, Ref: Ref{Route: string(a.Route)}})
		} else {
			x.para(Typed(a.Reason), Ref{})
		}
	} else {
		x.para(M("sheet.consent.advice-blank"), Ref{})
		x.lines(2)
	}

	x.chairChanges()
	x.money()
	x.thinking()
	x.h2("sheet.consent.free")
	x.flow(Item{Text: M("sheet.consent.withdraw"), More: []Text{M("sheet.consent.no-promise")}})
	unhappy := M("sheet.consent.complaints-ask")
	if x.p.Complaints != "" {
		unhappy = Typed(x.p.Complaints)
	}
	x.add(Block{Kind: List, Style: InLine, Text: M("sheet.consent.complaints"), Items: []Item{{Text: unhappy}}})
	x.phoneBox()

	x.questions()
	x.teachBack()
	x.add(Block{Kind: Tick, Text: M("sheet.consent.permission"), Keep: true, Items: []Item{
		{Text: M("sheet.consent.photos-care")}, {Text: M("sheet.consent.photos-teach")}, {Text: M("sheet.consent.mail")}}})

	x.closing()
	x.signature()
}

// mixed reports whether the teeth are on several routes.
func (x *composer) mixed() bool { return len(x.c.ByRoute()) > 1 }

// toothByTooth tells one thing about each route of the plan beside its teeth.
func (x *composer) toothByTooth(word string) {
	b := Block{Kind: Facts, Style: RunIn}
	for _, g := range x.c.ByRoute() {
		b.Items = append(b.Items, Item{Label: x.teethOrAll(g.Teeth), Text: M("route." + string(g.Route) + "." + word), Ref: Ref{Teeth: g.Teeth, Route: string(g.Route)}})
		if then := x.then(g.Route); then != "" && then != g.Route {
			b.Items = append(b.Items, Item{Label: x.afterThat(g.Teeth), Text: M("route." + string(then) + "." + word), Ref: Ref{Teeth: g.Teeth, Route: string(then)}})
		}
	}
	x.add(b)
}

// risks lists those that a finding raises first, under one sentence that says so.
func (x *composer) risks() {
	var raised, others []Item
	for _, r := range x.pl.Risks {
		var told []string // a risk cites the study of its own frequency, and nothing else
		for _, rate := range r.Rates {
			told = append(told, rate.Figure)
		}
		it := Item{Text: M("risk." + r.Key), More: x.frequency(r), Ref: Ref{Figures: r.Figures, Sources: x.cite(told), Teeth: r.Teeth}}
		if r.Raised {
			raised = append(raised, it)
		} else {
			others = append(others, it)
		}
	}
	b := Block{Kind: List, Style: TwoColumns}
	if len(raised) > 0 {
		b.Text, b.Items = M("sheet.consent.risks-raised"), raised
		x.add(b)
		b.Text = M("sheet.consent.risks-others")
	}
	if b.Items = others; len(others) > 0 {
		x.add(b)
	}
}

// frequency tells how often a risk came up in studies: once where it is the same
// for all the routes that carry it, else under the names of those it is true of.
func (x *composer) frequency(r plan.Risk) []Text {
	var out []Text
	var of []Words
	for _, route := range x.chosenRoutes() {
		e, ok := r.Frequency[route]
		if !ok {
			continue
		}
		t := rateText(r, route, e)
		i := slices.IndexFunc(out, func(o Text) bool { return reflect.DeepEqual(o, t) })
		if i < 0 {
			i = len(out)
			out, of = append(out, t), append(of, nil)
		}
		of[i] = append(of[i], M("route."+string(route)+".name"))
	}
	switch len(out) {
	case 0:
		return []Text{M("risk.often.not-known")}
	case 1:
		return out
	}
	for i := range out {
		out[i] = M("risk.often.on-route", "Route", of[i], "Text", Word{out[i]})
	}
	return out
}

// rateText is one frequency. A share is of 100, a count as it was printed, and
// none of so many with what it still leaves possible.
func rateText(r plan.Risk, route casefile.Route, e plan.Estimate) Text {
	i := slices.IndexFunc(r.Rates, func(x plan.RiskRate) bool { return x.Route == route })
	if e.Unknown == plan.Planned {
		return M("risk.often.planned")
	}
	if !e.Known() || i < 0 {
		return M("risk.often.not-known")
	}
	id, rate := "risk.often."+r.Rates[i].Words, r.Rates[i]
	share := Int(math.Round(100 * e.Likely))
	switch rate.Words {
	case "people", "teeth":
		return M(id, "Number", share)
	case "none-lost":
		return N(id, rate.Years, "Total", Int(rate.Of), "High", Int(math.Ceil(100*e.High)))
	case "remade":
		return N(id, rate.Years, "Number", Int(rate.Events), "Total", Int(rate.Of))
	case "few-veneers-lost":
		return N(id, rate.Years)
	}
	return N(id, rate.Years, "Number", share)
}

// ownReversible is what a route itself leaves behind, without the one that follows it.
func (x *composer) ownReversible(r plan.RouteFacts) string {
	if rule := x.b.Route(r.Key); r.Then != "" && rule != nil {
		return rule.Reversible
	}
	return r.Reversible
}

// reversible is what a route leaves behind by itself. Words: undo.<key>.
func (x *composer) reversible(r casefile.Route) string {
	if rule := x.b.Route(r); rule != nil {
		return rule.Reversible
	}
	return ""
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

// cannotBeUndone leads with what is planned, then what the answers permit, place by place.
func (x *composer) cannotBeUndone() {
	x.h2("sheet.consent.undo")
	own := Block{Kind: Facts, Style: RunIn, Text: M("sheet.row.undo")}
	for _, g := range x.c.Groups() { // each by itself: what is taken from one tooth says nothing of another
		ref := Ref{Teeth: g.Teeth, Route: string(g.Route)}
		var depths []Text
		if i := slices.IndexFunc(x.pl.Enamel.Teeth, func(e plan.ToothEnamel) bool { return slices.Contains(g.Teeth, e.Tooth) }); i >= 0 {
			r := x.pl.Enamel.Teeth[i].Removal
			if depths = x.removal(r); len(depths) > 0 {
				depths, ref.Figures = append(depths, M("sheet.removal.typical")), r.Figures
			}
		}
		then := x.then(g.Route)
		it := Item{Label: x.teethOrAll(g.Teeth), Text: M("undo." + x.reversible(g.Route)), Ref: ref}
		if then == "" || then == g.Route {
			it.More = depths
			own.Items = append(own.Items, it)
			continue
		}
		own.Items = append(own.Items, it, Item{Label: x.afterThat(g.Teeth), Text: M("undo." + x.reversible(then)), More: depths,
			Ref: Ref{Teeth: g.Teeth, Route: string(then)}})
	}
	x.add(own)
	var items []Item
	for _, p := range x.pl.Enamel.Permitted {
		if p.Answer != casefile.Agree {
			continue
		}
		t := N("sheet.undo.permitted", len(p.Teeth), "Text", Word{M("change." + p.Change + ".name")}, "Teeth", Teeth(p.Teeth))
		it := Item{Text: t, Ref: Ref{Teeth: p.Teeth, Change: p.Change}}
		if p.UpToMM != nil {
			it.More = append(it.More, M("sheet.undo.up-to", "Number", Decimal{*p.UpToMM, 2}))
		}
		if p.Place != "" {
			it.More = append(it.More, M("place."+p.Place))
		}
		items = append(items, it)
	}
	if len(items) > 0 {
		x.add(Block{Kind: List, Text: M("sheet.undo.permitted-too"), Items: items})
	}
	x.para(M("sheet.undo.small-too"), Ref{})
	x.underEnamel()
}

// underEnamel says that the planned shaping may reach the layer under the enamel,
// of which teeth where not of all. A crown goes there as planned, and where most of
// it shows already there is nothing left to reach. Without a thickness to hold the
// depth against it may be reached too.
func (x *composer) underEnamel() {
	var teeth []casefile.Tooth
	for _, e := range x.pl.Enamel.Teeth {
		rule := x.b.Route(e.Route)
		if e.Dentin != plan.DentinNone && e.Dentin != plan.DentinBare && (rule == nil || rule.Kind != "crown") {
			teeth = append(teeth, e.Tooth)
		}
	}
	if len(teeth) == 0 {
		return
	}
	it := Item{Text: M("sheet.undo.dentin"), Ref: Ref{Teeth: teeth}}
	if !x.allTeeth(teeth) {
		it.More = []Text{N("sheet.common.on-teeth", len(teeth), "Teeth", Teeth(teeth))}
	}
	x.flow(it)
}

// colour tells whether the tooth under a veneer may show through: a matter for talk, never a promise.
func (x *composer) colour() {
	var items []Item
	var told string
	for i, c := range x.pl.Colour {
		same := func(o plan.Colour) bool {
			return o.ShowThrough == c.ShowThrough && o.Underlying == c.Underlying && o.Target == c.Target && (o.Published == nil) == (c.Published == nil)
		}
		if slices.ContainsFunc(x.pl.Colour[:i], same) { // told with an earlier tooth
			continue
		}
		var teeth []casefile.Tooth
		for _, o := range x.pl.Colour[i:] {
			if same(o) {
				teeth = append(teeth, o.Tooth)
			}
		}
		more := []Text{M("sheet.colour.shades", "From", Code(c.Underlying), "To", Code(c.Target))}
		ref := Ref{Teeth: teeth, Figures: c.Figures}
		if h := c.Published; h != nil && c.ShowThrough != plan.ShowUnlikely {
			id := "sheet.colour.hidden"
			if h.Low == h.High {
				id = "sheet.colour.hidden-one"
			}
			more = append(more, M(id, "Range", Range{h.Low, h.High, 1}))
			if i := slices.IndexFunc(x.b.Tabs, func(t evidence.Tab) bool { return t.Shade == c.Underlying }); i >= 0 {
				ref.Sources = x.cite(x.b.Tabs[i].HiddenBy) // nothing else that is said here rests on a study
			}
		}
		it := Item{Label: x.teethOrAll(teeth), Text: more[0], More: more[1:], Ref: ref}
		if c.ShowThrough != told { // what shades have in common is told with the first of them
			told = c.ShowThrough
			it.Text, it.More = M("show-through."+told), more
		}
		items = append(items, it)
	}
	if len(items) > 0 {
		x.h2("sheet.colour.title")
		x.add(Block{Kind: Facts, Style: RunIn, Items: items})
		x.para(M("sheet.colour.no-promise"), Ref{})
	}
}

// alternatives names every other route, no treatment first, a line each: the sheet
// with the options has told the rest.
func (x *composer) alternatives() {
	x.h2("sheet.consent.others")
	intro := Item{Text: M("sheet.consent.others-intro")}
	if slices.ContainsFunc(x.pl.Routes, func(r plan.RouteFacts) bool { return r.Money.Known }) {
		intro.More = []Text{M("sheet.consent.others-cost")}
	}
	x.flow(intro)
	b := Block{Kind: Facts, Style: RunIn}
	for _, r := range x.pl.Routes {
		if r.Chosen && r.Key == casefile.None && x.mixed() { // beside teeth that are treated it is a choice still
			b.Items = append(b.Items, Item{Label: M("route.none.name"), Text: M("route.none.what"), Ref: Ref{Route: string(r.Key)}})
			continue
		}
		if r.Chosen || !x.mixed() && slices.Contains(x.chosenRoutes(), r.Key) { // what one tooth gets is another way for all of them
			continue
		}
		k := "route." + string(r.Key)
		it := Item{Label: M(k + ".name"), Text: x.routeCost(r.Money), Ref: Ref{Route: string(r.Key)}}
		switch {
		case r.Key == casefile.None:
			it.Text, it.More = M(k+".what"), []Text{it.Text}
		case r.Money.Known:
			it.Text = M("sheet.money.amount", "Amount", Amount{r.Money.Today, r.Money.Currency})
		}
		b.Items = append(b.Items, it)
	}
	x.add(b)
}

// answered is a chair change with its answers by teeth: the plan has one entry
// for each different answer, a sheet one row for each change.
type answered struct {
	plan.ChairChange
	teeth   []casefile.Tooth
	places  []casefile.Place // of a change of contacts
	figures []string
	answers []plan.ChairChange
}

// contactsOf lists the contacts of a row, none where it is about teeth.
func contactsOf(ch plan.ChairChange) []casefile.Place {
	if len(ch.Contacts) == 0 {
		return nil
	}
	return ch.At()
}

func (x *composer) answered() []answered {
	var out []answered
	for _, ch := range x.pl.ChairChanges {
		i := slices.IndexFunc(out, func(a answered) bool { return a.Key == ch.Key })
		if i < 0 {
			i = len(out)
			out = append(out, answered{ChairChange: ch})
		} else {
			out[i].ChairChange = out[i].Together(ch)
		}
		out[i].teeth = append(out[i].teeth, ch.Teeth...)
		out[i].places = append(out[i].places, contactsOf(ch)...)
		out[i].figures = append(out[i].figures, ch.Figures...)
		out[i].answers = append(out[i].answers, ch)
	}
	for i := range out {
		out[i].teeth = casefile.SortTeeth(out[i].teeth)
		out[i].places = casefile.SortPlaces(out[i].places)
		slices.Sort(out[i].figures)
		out[i].figures = slices.Compact(out[i].figures)
	}
	return out
}

func (x *composer) changeRef(a answered) Ref {
	return Ref{Change: a.Key, Teeth: a.teeth, Figures: a.figures, Sources: x.cite(a.figures)}
}

// chairChanges is the heart: each change a row of its name and what holds of it,
// when and what, the limit, what a no means, and the patient's answer. Steps that
// take nothing from a tooth or a veneer come after the others, shorter.
func (x *composer) chairChanges() {
	if len(x.pl.ChairChanges) == 0 {
		return
	}
	x.h2("sheet.change.title")
	rules := []Text{M("sheet.change.signal"), M("sheet.change.rules")}
	if x.alsoMeant() {
		rules = append(rules, M("sheet.change.also-meant"))
	}
	x.flow(Item{Text: M("sheet.change.intro"), More: rules})
	x.add(Block{Kind: List, Style: TwoColumns, Items: []Item{{Text: M("sheet.change.agree-means")}, {Text: M("sheet.change.ask-means")},
		{Text: M("sheet.change.no-means")}, {Text: M("sheet.change.blank-means")}}})
	what, limit, ifNo, answer := M("sheet.change.col-what"), M("sheet.change.col-limit"), M("sheet.change.col-if-no"), M("sheet.change.col-answer")
	full := Block{Kind: Choices, Columns: []Text{what, limit, ifNo, answer}}
	short := Block{Kind: Choices, Columns: []Text{what, ifNo, answer}}
	var told []Item
	habit := false // some words for how often are a habit of the trade
	for _, a := range x.answered() {
		x.s.Must.Changes = append(x.s.Must.Changes, a.Key)
		k := "change." + a.Key
		if a.TellOnly {
			told = append(told, Item{Text: M(k + ".name"), Ref: x.changeRef(a)})
			continue
		}
		habit = habit || !a.Likelihood.Known()
		it := Item{Label: x.changeName(a), Ref: x.changeRef(a)}
		it.Text, it.More = x.changeMarks(a)
		answers, boxes := x.changeAnswers(a)
		it.Answer = boxes
		refused := []Text{M(k + ".if-no")}
		if a.TalkFirst {
			refused = append(refused, M("sheet.change.talk-first"))
		}
		if a.Removes == "nothing" && a.Reversible == "yes" && a.HighMM == nil {
			it.Cells = []Cell{{[]Text{M(k + ".when")}}, {refused}, {answers}}
			short.Items = append(short.Items, it)
			continue
		}
		it.Cells = []Cell{{[]Text{M(k + ".when")}}, {x.changeLimit(a)}, {refused}, {answers}}
		full.Items = append(full.Items, it)
	}
	if len(full.Items) > 0 {
		x.add(full)
	}
	if len(short.Items) > 0 {
		x.heading(3, M("sheet.change.takes-nothing"), Ref{})
		x.add(short)
	}
	if len(told) > 0 {
		x.add(Block{Kind: List, Style: InLine, Text: M("sheet.change.tell-only"), Items: told})
	}
	outside := Item{Text: M("sheet.change.outside-list")}
	if habit {
		outside.More = []Text{M("sheet.change.any-time")}
	}
	x.flow(outside)
}

func (x *composer) changeName(a answered) Text {
	name := M("change." + a.Key + ".name")
	if x.allTeeth(a.teeth) { // the intro says so once
		return name
	}
	return M("sheet.sign.change", "Text", Word{name}, "From", Word{x.where(a.teeth, a.places)})
}

// where names the teeth of a step, or its contacts.
func (x *composer) where(ts []casefile.Tooth, places []casefile.Place) Text {
	if len(places) > 0 {
		return N("sheet.common.pair-list", len(places), "Teeth", Pairs(places))
	}
	return x.teethShort(ts)
}

// whereValue is the same inside a sentence.
func whereValue(ts []casefile.Tooth, places []casefile.Place) Value {
	if len(places) > 0 {
		return Pairs(places)
	}
	return Teeth(ts)
}

// teethShort names some teeth, all of the case in three words.
func (x *composer) teethShort(ts []casefile.Tooth) Text {
	if len(ts) > 1 && x.allTeeth(ts) {
		return M("sheet.common.all-these")
	}
	return x.teethOrAll(ts)
}

func (x *composer) allTeeth(ts []casefile.Tooth) bool {
	return len(ts) == 0 || slices.Equal(casefile.SortTeeth(ts), x.c.ToothList())
}

// changeMarks are the words that follow the name: how often, whether it can be
// undone, and whether it is asked or agreed on paper anew whatever was answered.
func (x *composer) changeMarks(a answered) (Text, []Text) {
	var more []Text
	if a.Reversible != "yes" {
		more = append(more, M("sheet.change.undo-"+a.Reversible))
	}
	if a.AskAnyway.Always {
		more = append(more, M("sheet.change.asked"))
	}
	if a.NewConsent {
		more = append(more, M("sheet.change.paper"))
	}
	return HowOften(x.b, a.ChairChange), more
}

// changeLimit leads with what one can see; millimeters come second. That more than
// the size is asked first is said once for all.
func (x *composer) changeLimit(a answered) []Text {
	out := []Text{M(a.AskAnyway.Words)}
	if a.LowMM != nil && a.HighMM != nil && *a.HighMM > 0 {
		id := "sheet.change.size-" + a.Removes
		if a.PerSurface {
			id += "-per-side"
		}
		out = append(out, M(id, "Range", Range{*a.LowMM, *a.HighMM, 2}))
	}
	if over := a.AskAnyway.OverMM; over != nil && (a.HighMM == nil || *over != *a.HighMM) {
		out = append(out, M("sheet.change.ask-over", "Number", Decimal{*over, 2}))
	}
	if thin := a.ThinSides; len(thin) > 0 {
		out = append(out, N("sheet.change.thin-side", len(thin), "Teeth", Teeth(thin)))
	}
	// Where only the veneer is trimmed, the size or the limit has said that the tooth stays.
	if a.Removes == "porcelain" && a.Reversible == "yes" && a.HighMM == nil {
		out = append(out, M("sheet.change.undo-yes"))
	}
	return out
}

// changeAnswers gives the answers in words, and boxes for the teeth whose answer is blank.
func (x *composer) changeAnswers(a answered) ([]Text, *casefile.Answer) {
	var out []Text
	var blank *plan.ChairChange
	for i, ch := range a.answers {
		switch {
		case ch.Answer == casefile.Blank:
			blank = &a.answers[i]
		case len(a.answers) == 1:
			out = append(out, answerWord(ch.Answer))
		default:
			out = append(out, M("sheet.change.answer", "From", Word{x.where(ch.Teeth, contactsOf(ch))}, "Text", Word{answerWord(ch.Answer)}))
		}
	}
	if blank == nil {
		return out, nil
	}
	if len(a.answers) > 1 {
		out = append(out, M("sheet.change.answer-for", "From", Word{x.where(blank.Teeth, contactsOf(*blank))}))
	}
	return out, Boxes("")
}

func answerWord(a casefile.Answer) Text {
	if a == casefile.Blank {
		return M("answer.blank")
	}
	return M("answer." + string(a))
}

// saying is one answer to a chair change, at the places that share it.
type saying struct {
	key    string
	teeth  []casefile.Tooth
	places []casefile.Place
	answer casefile.Answer
}

// everywhere reports whether an answer is for every tooth of the case, or every contact.
func (x *composer) everywhere(s saying) bool {
	if len(s.places) == 0 {
		return x.allTeeth(s.teeth)
	}
	return !slices.ContainsFunc(casefile.Contacts(x.c.ToothList()), func(p casefile.Place) bool { return !slices.Contains(s.places, p) })
}

// proposed are the answers as the case has them, for the sheet on which they are given.
func (x *composer) proposed() []saying {
	var out []saying
	for _, ch := range x.pl.ChairChanges {
		if !ch.TellOnly {
			out = append(out, saying{ch.Key, ch.Teeth, contactsOf(ch), ch.Answer})
		}
	}
	return out
}

// answersByWord gathers the changes under each answer.
func (x *composer) answersByWord(said []saying) {
	for _, word := range []casefile.Answer{casefile.Agree, casefile.Ask, casefile.No, casefile.Blank} {
		var items []Item
		for _, s := range said {
			if s.answer != word {
				continue
			}
			x.s.Must.Changes = append(x.s.Must.Changes, s.key)
			it := Item{Text: M("change." + s.key + ".name"), Ref: Ref{Change: s.key, Teeth: s.teeth}}
			switch {
			case word == casefile.Agree && !x.everywhere(s): // who reads a yes without teeth reads it of all of them
				it.Text = M("sheet.sign.change-on", "Text", Word{it.Text}, "Teeth", whereValue(s.teeth, s.places))
			case !slices.ContainsFunc(said, func(o saying) bool { return o.key == s.key && o.answer != word }): // all the same
			case word == casefile.Blank:
				it.Text = M("sheet.sign.change-rest", "Text", Word{it.Text})
			default:
				it.Text = M("sheet.sign.change-on", "Text", Word{it.Text}, "Teeth", whereValue(s.teeth, s.places))
			}
			items = append(items, it)
		}
		if len(items) > 0 {
			x.add(Block{Kind: List, Style: InLine, Text: answerWord(word), Items: items})
		}
	}
}

// money prints the estimate and what it leaves out.
func (x *composer) money() {
	x.h2("sheet.money.title")
	m := x.pl.Money
	if !m.Known {
		x.para(M("sheet.money.estimate-later"), Ref{})
	} else {
		b := Block{Kind: Facts, Style: RunIn, Keep: true}
		for i, l := range m.Lines {
			it := Item{Label: x.moneyLabel(l.Key),
				Text: N("sheet.money.line", l.Count, "From", Amount{l.Each, m.Currency}, "Amount", Amount{l.Amount, m.Currency})}
			// The price for each tooth of a way comes first, what it costs once after it.
			if i > 0 && m.Lines[i-1].Key == l.Key && x.b.Route(casefile.Route(l.Key)) != nil {
				it = Item{Label: M("sheet.money.once", "Route", Word{it.Label}), Text: M("sheet.money.amount", "Amount", Amount{l.Amount, m.Currency})}
			}
			b.Items = append(b.Items, it)
		}
		b.Items = append(b.Items, Item{Label: M("sheet.money.total"), Text: M("sheet.money.amount", "Amount", Amount{m.Total, m.Currency})})
		x.add(b)
		x.unpriced(m)
		var later []Text
		if !m.ValidUntil.IsZero() {
			later = append(later, M("sheet.money.valid", "Date", Day{m.ValidUntil, false}))
		}
		for _, r := range x.pl.Routes {
			if r.Chosen {
				later = append(later, Later(x.b, r, x.c.Detail != "words", x.c.HorizonYears)...)
			}
		}
		if len(later) > 0 {
			x.flow(Item{Text: later[0], More: later[1:], Ref: x.ref(m.Figures)})
		}
	}
	x.para(M("sheet.money.not-included"), Ref{})
	if !x.made() {
		// there is nothing that could have to be made again before it is glued
	} else if x.p.Remakes != "" {
		x.add(Block{Kind: Facts, Style: RunIn, Items: []Item{{Label: M("sheet.money.remake"), Text: Typed(x.p.Remakes)}}})
	} else {
		x.para(M("sheet.money.remake"), Ref{})
		x.lines(1)
	}
	if x.p.Guarantee != "" {
		x.add(Block{Kind: Facts, Style: RunIn, Items: []Item{{Label: M("sheet.money.guarantee"), Text: Typed(x.p.Guarantee)}}})
	} else {
		x.para(M("sheet.money.no-guarantee"), Ref{})
		x.lines(1)
	}
}

// unpriced names what the practice has no fee for.
func (x *composer) unpriced(m plan.Money) {
	var names Words
	for _, key := range m.Missing {
		names = append(names, x.moneyLabel(key))
	}
	if len(names) > 0 {
		x.para(M("sheet.money.no-fee", "List", names), Ref{})
	}
}

// moneyLabel names a line of the estimate: a route, an appliance, a visit or an item of its own.
func (x *composer) moneyLabel(key string) Text {
	if x.b.Route(casefile.Route(key)) != nil {
		return M("route." + key + ".name")
	}
	if slices.Contains(x.pl.Appliances, key) {
		return M("appliance." + key + ".name")
	}
	if purpose := x.b.Purpose(key); purpose != "" {
		return M("visit." + purpose + ".name")
	}
	return M("money." + key)
}

func (x *composer) questions() {
	x.h2("sheet.consent.questions")
	if len(x.c.Questions) > 0 {
		b := Block{Kind: Facts, Style: RunIn}
		for _, q := range x.c.Questions {
			it := Item{Label: Typed(q.Asked), Text: Typed(q.Answer)}
			if q.Answer == "" {
				it.Text = M("sheet.consent.not-answered-yet")
			}
			b.Items = append(b.Items, it)
		}
		x.add(b)
		x.para(M("sheet.consent.questions-more"), Ref{})
	}
	x.lines(2)
}

// teachBack asks for the points of this very case in the patient's own words.
func (x *composer) teachBack() {
	x.h2("sheet.teach.title")
	x.para(M("sheet.teach.intro"), Ref{})
	prompts := []Item{{Text: M("sheet.teach.what")}, {Text: M("sheet.teach.undo")}, {Text: M("sheet.teach.risk")}, {Text: M("sheet.teach.others")}}
	if len(x.pl.ChairChanges) > 0 {
		prompts = append(prompts, Item{Text: M("sheet.teach.changes")})
	}
	x.add(Block{Kind: Tick, Style: TwoColumns, Items: prompts})
	said := Block{Kind: Facts, Style: RunIn}
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

// signature stands alone on one page: teeth, answers as words, who decides,
// identifiers in the head of the page, lines to sign on. While something is on hold
// there are no lines, only what is to be settled first.
func (x *composer) signature() {
	x.add(Block{Kind: PageBreak, Style: Signature})
	x.h2("sheet.sign.title")
	if len(x.c.ToothList()) == 0 {
		x.para(M("sheet.common.whole-mouth"), Ref{})
	}
	x.add(x.treatments())
	if len(x.pl.ChairChanges) > 0 {
		x.para(M("sheet.sign.answers"), Ref{})
		x.answersByWord(x.proposed()) // the page has to hold all of it
	}
	x.who()
	last := Item{Text: M("sheet.sign.refuse")}
	if x.c.ID != "" {
		last.More = append(last.More, M("sheet.sign.code", "Code", Code(x.c.ID), "Number", Int(x.c.Revision)))
	}
	if held := x.pl.NoLines(); len(held) > 0 {
		x.add(Block{Kind: Notice, Tone: "caution", Text: M("sheet.sign.hold"), Items: x.openItems(held), Keep: true})
		x.flow(last)
		return
	}
	x.stillOpen()
	x.add(Block{Kind: Tick, Style: TwoColumns, Keep: true, Items: []Item{{Text: M("sheet.sign.had-talk")}, {Text: M("sheet.sign.had-time")},
		{Text: M("sheet.sign.may-stop")}, {Text: M("sheet.sign.got-copy")}}})
	x.whole() // where two languages need a second page, all that is signed is on it
	x.signatures(append([]string{"decision-yes"}, x.signers()...)...)
	x.flow(last)
	x.add(Block{Kind: List, Style: InLine, Text: M("sheet.sign.again"), Items: []Item{{Text: M("sheet.sign.again-ask")}}})
	x.signatures("again-line", "again-line")
}

// stillOpen names what is to be settled before a yes, and what the patient said in
// own words instead. Who decides and who helps is beside the lines to sign on.
func (x *composer) stillOpen() {
	var open, waived []Item
	for _, o := range x.pl.Open {
		switch {
		case o.Whose == "patient" && o.Reason != "":
			waived = append(waived, Item{Text: OpenPoint(x.b, o), More: []Text{M("sheet.open.waived", "Text", Verbatim(o.Reason))}})
		case slices.Contains([]string{plan.OpenTrialSmile, plan.OpenQuestions, plan.OpenThinking}, o.What):
			open = append(open, Item{Text: OpenPoint(x.b, o)})
		}
	}
	if items := append(open, waived...); len(items) > 0 {
		x.add(Block{Kind: List, Text: M("sheet.open.title"), Items: items, Keep: true})
	}
}

func (x *composer) openItems(list []plan.Open) []Item {
	var out []Item
	for _, o := range list {
		ref := Ref{Teeth: o.Teeth}
		switch o.What {
		case plan.OpenWait:
			ref.Wait = o.Key
		case plan.OpenTalk:
			ref.Wait = plan.TalkAgain
		}
		out = append(out, Item{Text: OpenPoint(x.b, o), Ref: ref})
	}
	return out
}

// OpenPoint tells one open point.
func OpenPoint(b *evidence.Base, o plan.Open) Text {
	id := "open." + o.What
	switch {
	case o.What == plan.OpenTalk:
		return M("wait." + plan.TalkAgain)
	case o.What == plan.OpenWait && len(o.Teeth) > 0:
		return N(id+"-on", len(o.Teeth), "Text", Word{M("finding." + o.Key + ".name")}, "Teeth", Teeth(o.Teeth))
	case o.What == plan.OpenWait:
		return M(id, "Text", Word{M("finding." + o.Key + ".name")})
	case o.What == plan.OpenThinking:
		return M(id, "Date", Day{o.From, false})
	case o.What == plan.OpenTryIn, o.What == plan.OpenGluing:
		return N(id, len(o.Teeth), "Teeth", Teeth(o.Teeth))
	}
	return M(id)
}

// signers are the lines to sign on for everybody the case names. Where it was not
// asked who decides, or who interprets, there is a line for each who may.
func (x *composer) signers() []string {
	p := casefile.People{}
	if x.c.People != nil {
		p = *x.c.People
	}
	labels := []string{"patient"}
	switch {
	case p.Represented():
		labels = []string{"for-patient", "assent"}
	case p.Decides == "":
		labels = append(labels, "for-patient")
	}
	if p.Interpreter != "none" {
		labels = append(labels, "interpreter")
	}
	return append(labels, "dentist", "place-date")
}

// who says who decides and who is there, above the lines to sign on.
func (x *composer) who() {
	x.add(Block{Kind: Facts, Style: InLine, Items: x.people(), Keep: true})
}

// people says who decides and who is there; blanks are lines to fill in.
func (x *composer) people() []Item {
	pe := x.c.People
	if pe == nil {
		pe = &casefile.People{}
	}
	said := func(prefix, v string) Text {
		if v == "" {
			return M("sheet.people.not-said")
		}
		return M(prefix + v)
	}
	items := []Item{
		{Label: M("sheet.people.age"), Text: said("people.age.", pe.AgeBand)},
		{Label: M("sheet.people.decides"), Text: said("people.decides.", pe.Decides)},
	}
	if pe.Assent != "" {
		items = append(items, Item{Label: M("sheet.people.assent"), Text: M("people.assent." + pe.Assent)})
	}
	if pe.CapacitySupport != "" {
		items = append(items, Item{Label: M("sheet.people.support"), Text: Typed(pe.CapacitySupport)})
	}
	it := Item{Label: M("sheet.people.interpreter"), Text: said("people.interpreter.", pe.Interpreter)}
	if pe.InterpreterWay != "" {
		it.More = append(it.More, M("people.way."+pe.InterpreterWay))
	}
	items = append(items, it)
	if pe.Companion != "" {
		items = append(items, Item{Label: M("sheet.people.companion"), Text: Typed(pe.Companion)})
	}
	return items
}

package page

import (
	"cmp"
	"slices"
	"strings"

	"github.com/maxence-charriere/go-app/v10/pkg/app"

	"plainleaf/app/casefile"
	"plainleaf/app/plan"
	"plainleaf/app/sheet"
)

// unplanned says why there is no plan yet, and what to do.
func (r *Root) unplanned() []app.UI {
	faults := r.d.Faults()
	return []app.UI{el("div").ID("unplanned").Class("notice").Body(
		say("p", "", r.t("page.unplanned.text")),
		r.faults("unplanned-faults", faults),
		el("a").Attr("href", r.link("")).Text(r.t("page.unplanned.link")),
	)}
}

// unsettled says that something stands in the case which the plan on the screen
// does not follow, since it cannot be read or does not fit.
func (r *Root) unsettled() app.UI {
	faults := r.d.Faults()
	if len(faults) == 0 || r.d.Plan() == nil {
		return none()
	}
	return el("div").ID("unsettled").Class("notice").Body(
		say("p", "", r.t("page.unsettled.text")),
		r.faults("unsettled-faults", faults),
		el("a").Attr("href", r.link("")).Text(r.t("page.unplanned.link")),
	)
}

// unchosen is unplanned on the screen of the ways, where the way itself can be
// chosen, all of them alike.
func (r *Root) unchosen() []app.UI {
	out := r.unplanned()
	if len(r.d.FaultsAt("route")) > 0 {
		out = append(out, r.wayPart())
	}
	return out
}

// routesView shows every sensible route with the same rows.
func (r *Root) routesView() []app.UI {
	p := r.d.Plan()
	if p == nil {
		return r.unchosen()
	}
	return []app.UI{
		say("p", "lead", r.t("page.routes.about")),
		app.If(strings.TrimSpace(r.d.Case().Wish) != "", func() app.UI {
			return el("p").ID("wish-said").Text(r.t("page.routes.wish", "Text", r.d.Case().Wish))
		}),
		app.If(r.d.Case().Detail == "", r.detailPick),
		app.If(r.d.Way().MaterialOpen(), r.materialPart),
		box("div", "cards",
			each(len(p.Routes), func(i int) app.UI { return r.routeCard(p.Routes[i]) }),
		),
		r.pair(p),
		r.colour(p),
		app.If(len(p.WaitFor) > 0, func() app.UI { return r.waits(p) }),
		app.If(slices.ContainsFunc(p.First, plan.First.Consents), func() app.UI { return r.care(p) }),
		app.If(len(p.Visits) > 0, func() app.UI { return r.visits(p) }),
		app.If(len(p.Order) > 0 && len(r.d.Case().Priorities) > 0, func() app.UI { return r.standing(p) }),
	}
}

func (r *Root) routeCard(x plan.RouteFacts) app.UI {
	key := string(x.Key)
	class := "card"
	if x.Chosen {
		class += " chosen"
	}
	dates := r.t("page.row.nodate")
	switch {
	case len(x.Held) > 0:
		dates = r.t("unknown." + plan.OnHold)
	case !x.Visits.Known() || x.Visits.High > 0:
		dates = cmp.Or(r.dates(x.Dates), dates)
	}
	removal := r.t("page.removal.none")
	if x.Removal.Planned {
		removal = r.t("page.removal.some",
			"Range", r.removal(x.Removal))
	}
	return el("article").Class(class).DataSet("route", key).Aria("labelledby", "route-head-"+key).Body(
		el("h2").ID("route-head-"+key).Text(r.wayName(x)),
		box("div", "flag",
			app.If(x.Chosen, func() app.UI { return say("strong", "", r.t("page.routes.chosen")) }),
			app.If(x.Mixed, r.toothByTooth),
			app.If(len(x.Held) > 0, func() app.UI { return r.held(x) }),
			app.If(!x.OnTable, func() app.UI { return say("p", "firm", r.t("page.routes.off-table")) }),
		),
		box("dl", "",
			r.row("visits", r.t("page.row.visits"), r.estimate(x.Visits, 0)),
			r.row("dates", r.t("page.row.dates"), dates),
			fact(r.t("page.row.numbing"), r.t("numbing."+cmp.Or(x.Numbing, "no"))),
			r.row("removal", r.t("page.row.removal"), removal, r.removalDrawing(x.Removal)),
			r.row("reversible", r.t("page.row.reversible"), r.t("undo."+x.Reversible)),
			r.row("expectations", r.t("page.row.expect"), "", r.routeExpectations(x)),
			fact(r.t("page.row.living"), r.livingWith(x)),
			r.row("money", r.t("page.row.money"), "", r.routeMoney(x)...),
			fact(r.t("page.row.upkeep"), cmp.Or(r.upkeepOf(x.Key), r.t("page.row.no-upkeep"))),
		),
		r.sourcesLink(x.Figures),
		r.take(x),
	)
}

// toothByTooth names the ways of a plan of several with their teeth, since the
// facts of its card are of all of them together.
func (r *Root) toothByTooth() app.UI {
	groups := r.d.Case().ByRoute()
	return el("div").ID("way-by-way").Body(
		say("p", "", r.t("page.routes.mixed")),
		box("ul", "plain", each(len(groups), func(i int) app.UI {
			g := groups[i]
			return el("li").DataSet("way", string(g.Route)).
				Text(r.withTeeth(r.t("route."+string(g.Route)+".name"), g.Teeth))
		})),
	)
}

// materialPart asks for the material of the chosen way where it has none yet.
func (r *Root) materialPart() app.UI {
	return el("div").ID("material-open").Class("part").Body(
		r.materialPick(func() { r.focus = "head" }), // this part goes away
		say("p", "hint", r.t("page.routes.material")))
}

// row is a fact that may be what the patient put first: then it says so.
func (r *Root) row(key, name, text string, more ...app.UI) app.UI {
	place := 0
	for _, p := range r.d.Base().Priorities {
		if p.Fact != key {
			continue
		}
		if n := r.d.Patient().Priority(p.Key); n > 0 && (place == 0 || n < place) {
			place = n
		}
	}
	if place == 0 {
		return fact(name, text, more...)
	}
	return box("div", "fact mine",
		box("dt", "",
			say("span", "", name),
			say("span", "yours", r.t("page.row.yours", "Number", r.number(float64(place), 0)))),
		box("dd", "", append([]app.UI{say("span", "", text)}, more...)...),
	)
}

// take is a button that looks at the case by another way; no way is ever
// offered more strongly than the others.
func (r *Root) take(x plan.RouteFacts) app.UI {
	if x.Chosen {
		return el("p").Class("take")
	}
	return box("p", "take",
		r.button("take-"+string(x.Key), "second", r.t("page.routes.take"), func() { r.d.Way().SetRoute(x.Key) }).
			Aria("label", r.t("page.routes.take-this", "Route", r.t("route."+string(x.Key)+".name"))))
}

func (r *Root) upkeepOf(route casefile.Route) string {
	var names []string
	for _, k := range r.d.Way().UpkeepOf(route) {
		if n := r.t("upkeep." + k + ".name"); !slices.Contains(names, n) {
			names = append(names, n)
		}
	}
	return dots(names)
}

// removal gives the smallest and the largest planned removal of any place, mm.
func (r *Root) removal(x plan.Removal) string {
	low, high, found := 0.0, 0.0, false
	for _, e := range []plan.Estimate{x.Cervical, x.Middle, x.Incisal} {
		if !e.Known() {
			continue
		}
		if !found || e.Low < low {
			low = e.Low
		}
		high, found = max(high, e.High), true
	}
	return r.reach(low, high, 2)
}

// wayName is the name of a way of going on; the chosen plan may have teeth on several.
func (r *Root) wayName(x plan.RouteFacts) string { return r.message(sheet.WayName(x)) }

func (r *Root) livingWith(x plan.RouteFacts) string {
	if x.Mixed {
		var said []string
		for _, g := range r.d.Case().ByRoute() {
			if rule := r.d.Base().Route(g.Route); rule != nil {
				if t := r.t("living." + rule.Living); !slices.Contains(said, t) {
					said = append(said, t)
				}
			}
		}
		return follow(said...)
	}
	if x.LivingWith == "" {
		return r.t("page.row.nothing")
	}
	return r.t(x.LivingWith)
}

// routeMoney is the cost now and over the years the studies cover.
func (r *Root) routeMoney(x plan.RouteFacts) []app.UI {
	m := x.Money
	if !m.Known {
		return []app.UI{say("span", "", r.t("page.money.none"))}
	}
	said := []string{r.t("page.money.today", "Amount", r.money(m.Today, m.Currency))}
	if len(m.Missing) > 0 {
		said = append(said, r.noPrice(m))
	}
	if m.IfOne > 0 {
		said = append(said, r.t("page.money.one", "Amount", r.money(m.IfOne, m.Currency)))
	}
	if m.IfAll > 0 {
		said = append(said, r.t("page.money.all", "Amount", r.money(m.IfAll, m.Currency)))
	}
	if r.d.Patient().WantsNumbers() && x.Comparable {
		for _, l := range m.Later {
			if l.Cost.Known() {
				said = append(said, r.n("page.money.later", l.Years,
					"From", r.money(sheet.Roughly(l.Cost.Low), m.Currency), "To", r.money(sheet.Roughly(l.Cost.High), m.Currency)))
			}
		}
	}
	return []app.UI{box("ul", "plain", each(len(said), func(i int) app.UI { return say("li", "", said[i]) }))}
}

// noPrice names the parts of an option that have no price.
func (r *Root) noPrice(m plan.RouteMoney) string {
	var names []string
	for _, key := range m.Missing {
		names = append(names, r.feeName(key))
	}
	return r.t("sheet.money.no-fee", "List", dots(names))
}

// held tells what keeps an option from being begun.
func (r *Root) held(x plan.RouteFacts) app.UI {
	var names, said []string
	for _, key := range x.Held {
		if key == plan.TalkAgain {
			said = append(said, r.t("wait."+plan.TalkAgain))
			continue
		}
		names = append(names, r.t("finding."+key+".name"))
	}
	if len(names) > 0 {
		said = append([]string{r.t("sheet.options.held", "List", dots(names))}, said...)
	}
	return box("div", "held", each(len(said), func(i int) app.UI { return say("p", "firm", said[i]) }))
}

// routeExpectations are a route's numbers where they may stand beside the others'.
func (r *Root) routeExpectations(x plan.RouteFacts) app.UI {
	if !x.Comparable && r.d.Patient().WantsNumbers() {
		return el("p").DataSet("unknown", plan.OtherSetting).Text(r.t("unknown." + plan.OtherSetting))
	}
	said := r.expectations(x.Expectations)
	if r.d.Patient().WantsNumbers() && !plan.OneSetting(x.Expectations) {
		return box("div", "", said, say("p", "firm", r.t("sheet.expect.apart")))
	}
	return said
}

// longest is how long a route's restorations stay, at the middle horizon.
func (r *Root) longest(x plan.RouteFacts) app.UI {
	h, _ := r.d.Base().Setting("horizon-2")
	return r.expectations(slices.DeleteFunc(slices.Clone(x.Expectations), func(e plan.Expectation) bool {
		return e.Endpoint != plan.InPlace || e.Years != int(h.Value)
	}))
}

// pair sets filling material and porcelain beside each other as one and the same
// practice found them, where the cards may not.
func (r *Root) pair(p *plan.Plan) app.UI {
	if !r.d.Patient().WantsNumbers() || len(p.SameSetting) == 0 || !slices.ContainsFunc(p.Routes, func(x plan.RouteFacts) bool { return !x.Comparable }) {
		return none()
	}
	return part("pair", r.t("sheet.pair.title"), each(len(p.SameSetting), func(i int) app.UI {
		s := p.SameSetting[i]
		return box("div", "", say("p", "", r.message(sheet.Pair(r.d.Base(), s))),
			say("p", "sure", r.t("certainty."+string(s.Certainty))), r.sourcesLink(s.Figures))
	}))
}

// expectations tells in natural frequencies what is known, with how sure anyone is; to
// who asked for no numbers, in words. What is not known is said once.
func (r *Root) expectations(list []plan.Expectation) app.UI {
	if len(list) == 0 {
		return say("span", "", r.t("page.expect.none"))
	}
	type line struct{ text, sure, unknown string }
	tell := func(e plan.Expectation) line {
		switch {
		case !e.PerTooth.Known():
			return line{text: r.t("unknown." + e.PerTooth.Unknown), unknown: e.PerTooth.Unknown}
		case !r.d.Patient().WantsNumbers():
			return line{text: r.t("page.numbers.words"), sure: r.t("certainty." + string(e.Certainty))}
		}
		return line{text: r.lasting(e), sure: r.t("certainty." + string(e.Certainty))}
	}
	// Teeth of one outlook each for themselves, never as a mean that no study had.
	var lines []line
	groups := plan.AlikeTeeth(list)
	for _, a := range groups {
		for _, e := range a.List {
			l := tell(e)
			if len(groups) > 1 && r.d.Patient().WantsNumbers() {
				l.text = follow(l.text, r.n("sheet.common.on-teeth", len(a.Teeth), "Teeth", r.teeth(a.Teeth)))
			}
			if !slices.Contains(lines, l) {
				lines = append(lines, l)
			}
		}
	}
	said := box("ul", "plain",
		each(len(lines), func(i int) app.UI {
			l := lines[i]
			// How sure is said once for the lines it is true of.
			last := i+1 == len(lines) || lines[i+1].sure != l.sure
			return el("li").DataSet("unknown", l.unknown).Body(
				say("span", "", l.text+" "),
				app.If(l.sure != "" && last, func() app.UI { return say("span", "sure", l.sure) }),
			)
		}),
	)
	if r.d.Patient().WantsNumbers() && !plan.OneSetting(list) {
		return box("div", "", say("p", "", r.t("sheet.expect.apart")), said)
	}
	return said
}

func (r *Root) waits(p *plan.Plan) app.UI {
	return part("waits", r.t("page.waits.title"),
		say("p", "hint", r.t("page.waits.about")),
		box("ul", "plain rows",
			each(len(p.WaitFor), func(i int) app.UI {
				w := p.WaitFor[i]
				// A private finding reaches the screen as the neutral line only.
				if w.Private || w.Key == plan.TalkAgain {
					return el("li").DataSet("wait", plan.TalkAgain).Text(r.t("wait." + plan.TalkAgain))
				}
				text := r.t("finding." + w.Key + ".name")
				if len(w.Teeth) > 0 {
					text = r.t("page.finding.teeth", "Finding", text, "Teeth", r.teeth(w.Teeth))
				}
				id := "reason-" + w.Key
				return el("li").DataSet("wait", w.Key).Body(
					say("strong", "", text),
					say("p", "", r.t("page.level."+string(w.Level))),
					app.If(w.Wait.Known() && w.Wait.Likely > 0, func() app.UI { // else it is seen to at the first talk
						return say("p", "", r.measured("page.waits.days", w.Wait.Low, w.Wait.High, 0))
					}),
					r.entry(id, "text", r.t("page.waits.reason"), r.t("page.waits.hint"), r.d.Way().Reason(w.Key), nil,
						func(v string) { r.d.Way().SetReason(w.Key, v) }),
				)
			}),
		),
	)
}

// care is the patient's yes, no or not yet to each test and treatment that comes first.
func (r *Root) care(p *plan.Plan) app.UI {
	list := slices.DeleteFunc(slices.Clone(p.First), func(f plan.First) bool { return !f.Consents() })
	said := []casefile.Answer{casefile.Agree, casefile.Ask, casefile.No}
	return part("care", r.t("sheet.care.answer-title"),
		say("p", "hint", r.t("sheet.care.answer-intro")),
		box("div", "answers", each(len(list), func(i int) app.UI {
			f := list[i]
			name := r.t(f.Word("name"))
			if f.Price != nil {
				name = r.t("sheet.care.with-price", "Text", name, "Amount", r.money(f.Price.Minor, f.Price.Currency))
			}
			return r.oneOf("care-"+f.Key, name, name, []string{"agree", "ask", "no"},
				[]string{r.t("sheet.care.yes"), r.t("sheet.care.not-yet"), r.t("sheet.care.no")},
				func(i int) bool { return r.d.Case().CareAnswer(f.Key) == said[i] },
				func(i int) { r.d.Consent().DecideCare(f.Key, said[i]) })
		})),
	)
}

func (r *Root) visits(p *plan.Plan) app.UI {
	return part("visits", r.t("page.visits.title"),
		say("p", "hint", r.t("page.visits.about")),
		app.If(p.OnHold, func() app.UI { return el("p").ID("on-hold").Class("firm").Text(r.t("sheet.schedule.hold")) }),
		box("ol", "timeline",
			each(len(p.Visits), func(i int) app.UI {
				v := p.Visits[i]
				name := r.t(r.visitID(v.Purpose))
				if v.Of > 1 {
					name = r.t("page.visits.of", "Name", name, "Number", r.number(float64(v.Sitting), 0),
						"Total", r.number(float64(v.Of), 0))
				}
				return el("li").DataSet("visit", v.Key).Body(
					say("strong", "", name),
					say("p", "when", r.when(v)),
					app.If(len(v.With) > 0, func() app.UI { return say("p", "", r.t("sheet.schedule.with", "List", r.also(v))) }),
					app.If(v.Agreed, func() app.UI { return say("p", "firm", r.t("sheet.schedule.agreed")) }),
					say("p", "", r.minutes(v.Minutes)),
					app.If(v.Why != "", func() app.UI { return say("p", "hint", r.t("why."+v.Why)) }),
					app.If(v.Irreversible, func() app.UI { return say("p", "firm", r.t("page.visits.firm")) }),
				)
			}),
		),
		r.ending(p),
	)
}

// when is the span of a visit, or its agreed day and hour.
func (r *Root) when(v plan.Visit) string {
	switch {
	case v.Agreed:
		return r.agreedDay(v.Likely, v.Time)
	case v.Likely.IsZero():
		return r.t("sheet.schedule.undated")
	}
	return r.dates(v.Span)
}

// visitID is the message with the name of a visit.
func (r *Root) visitID(purpose string) string { return sheet.VisitName(r.d.Base(), purpose, "name") }

// also names what else is done at a visit.
func (r *Root) also(v plan.Visit) string {
	var names []string
	for _, p := range v.With {
		names = append(names, r.t(r.visitID(p.Purpose)))
	}
	return dots(names)
}

// ending tells why the last date is what it is, and what findings add to it.
func (r *Root) ending(p *plan.Plan) app.UI {
	said := sheet.Ending(*p, r.d.Base())
	return el("div").ID("why-end").Body(each(len(said), func(i int) app.UI { return say("p", "", r.message(said[i])) }))
}

// standing sets each route's fact beside what the patient put first: no score.
func (r *Root) standing(p *plan.Plan) app.UI {
	var mine []plan.Standing
	for _, key := range r.d.Case().Priorities {
		if i := slices.IndexFunc(p.Order, func(s plan.Standing) bool { return s.Priority == key }); i >= 0 {
			mine = append(mine, p.Order[i])
		}
	}
	return part("standing", r.t("page.standing.title"),
		say("p", "hint", r.t("page.standing.about")),
		each(len(mine), func(i int) app.UI {
			s := mine[i]
			return box("div", "stand",
				say("h3", "", r.t("page.wish.place", "Number", r.number(float64(i+1), 0),
					"Name", r.t("priority."+s.Priority+".name"))),
				box("dl", "", each(len(s.Routes), func(j int) app.UI {
					x := s.Routes[j]
					name := r.t("route." + string(x.Route) + ".name")
					if i := slices.IndexFunc(p.Routes, func(f plan.RouteFacts) bool { return f.Key == x.Route }); i >= 0 {
						name = r.wayName(p.Routes[i])
						if s.Fact == plan.InPlace && x.Value.Known() {
							return fact(name, "", r.longest(p.Routes[i]))
						}
					}
					return fact(name, r.routeFact(s.Fact, x), r.inTheLongRun(p, s.Fact, x.Route)...)
				})),
			)
		}),
	)
}

// inTheLongRun is what a route may cost beyond today, where cost is what counts.
func (r *Root) inTheLongRun(p *plan.Plan, fact string, route casefile.Route) []app.UI {
	i := slices.IndexFunc(p.Routes, func(x plan.RouteFacts) bool { return x.Key == route })
	if fact != "money" || i < 0 {
		return nil
	}
	if len(p.Routes[i].Money.Missing) == 0 {
		return nil
	}
	return []app.UI{say("p", "hint", r.noPrice(p.Routes[i].Money))}
}

func (r *Root) routeFact(kind string, x plan.RouteFact) string {
	switch {
	case x.Words != "":
		return r.t(x.Words)
	case !x.Date.IsZero():
		return r.date(x.Date)
	case !x.Value.Known():
		return r.t("unknown." + x.Value.Unknown)
	}
	switch kind {
	case "money":
		return r.message(sheet.OverYears(x.Value, x.Years, r.office.File().Currency))
	case "removal":
		if x.Value.High == 0 {
			return r.t("sheet.row.nothing-removed")
		}
		return r.message(sheet.MostRemoved(x.Value))
	}
	return r.reach(x.Value.Low, x.Value.High, 2)
}

// sourcesLink leads to where the numbers come from.
func (r *Root) sourcesLink(figures []string) app.UI {
	if len(figures) == 0 {
		return el("p").Class("from")
	}
	return box("p", "from",
		el("a").Attr("href", r.link("evidence")+"#figure-"+figures[0]).
			Text(r.n("page.row.sources", len(figures))),
	)
}

package decide

import (
	"cmp"
	"slices"
	"strings"

	"github.com/maxence-charriere/go-app/v10/pkg/app"

	"plainleaf/app/casefile"
	"plainleaf/app/plan"
	"plainleaf/app/screens/parts"
	"plainleaf/app/sheet"
)

// Options is the step at which it is entered which options are on the table, which one the
// case follows and which one the dentist advises.
type Options struct {
	Step
	Offer  func(r casefile.Route, on bool)
	WhyNot func(r casefile.Route, reason string)
	Follow func(casefile.Route)

	Advised casefile.Route // "" while none is
	Reason  string
	Advise  func(casefile.Route) // the one that is advised takes it back
	Because func(reason string)

	Materials []casefile.Material // to choose from; nil where the material is not open
	Material  func(casefile.Material)
	Thens     []casefile.Route // that may follow the chosen option
	Then      func(casefile.Route)

	Care     func(care string, a casefile.Answer)
	GoOn     func(wait, reason string) // why one goes on against a wait
	GoesOn   func(wait string) string
	Currency string
}

// Body draws the step.
func (o *Options) Body() []app.UI {
	return []app.UI{parts.Columns(
		parts.Stack(parts.Panel{ID: "offer", Name: o.T("page.options.table"), Flat: true, Body: []app.UI{o.table()}}.UI()),
		parts.Stack(o.panels()...))}
}

// table has a line for each option, and those that no finding asks for at its end.
func (o *Options) table() app.UI {
	g := parts.Dense{ID: "ways", Name: o.T("page.options.table"), Wide: 1, Heads: []string{
		o.T("page.options.offer"), o.T("page.options.option"), o.T("page.options.mouth"),
		o.T("page.row.visits"), o.T("page.options.fee"), o.T("page.options.advise")}}
	var other []casefile.Route
	for _, r := range casefile.Routes() {
		i := -1
		if o.Plan != nil {
			i = slices.IndexFunc(o.Plan.Routes, func(x plan.RouteFacts) bool { return x.Key == r })
		}
		if i < 0 {
			other = append(other, r)
			continue
		}
		g.Lines = append(g.Lines, o.line(o.Plan.Routes[i]))
	}
	for _, r := range other {
		g.Lines = append(g.Lines, o.outside(r))
	}
	return g.UI()
}

func (o *Options) line(x plan.RouteFacts) parts.DenseLine {
	key, name := string(x.Key), o.name(x)
	always := x.Key == casefile.None || x.Chosen
	option := parts.DenseCell{ID: "take-" + key, Row: true, Strong: true, Text: name, More: o.T("page.options.follow"),
		Sub: o.about(x), Do: act(func() { o.Follow(x.Key) })}
	if !x.OnTable {
		option.Sub = ""
		option.Body = []app.UI{parts.Field{ID: "why-not-" + key, Label: o.T("page.options.why-not-of", "Route", name), Unseen: true,
			Example: o.T("page.options.why-not"), Value: x.NotOffered,
			Input: func(_ app.Context, v string) { o.WhyNot(x.Key, v) }}.UI()}
	}
	mouth, sub := o.mouth(x)
	fee, missing := o.fee(x.Money)
	return parts.DenseLine{Key: key, Now: x.Chosen, Faint: !x.OnTable, Cells: []parts.DenseCell{
		{Middle: true, Body: []app.UI{parts.Tick{ID: "offer-" + key, Name: o.T("page.options.offer-of", "Route", name), On: x.OnTable, Off: always,
			Do: act(func() { o.Offer(x.Key, !x.OnTable) })}.UI()}},
		option,
		{Text: mouth, Sub: sub},
		{Text: o.visits(x), Short: true, Faint: !x.Visits.Known()},
		{Text: fee, Sub: missing, Short: missing == "", Faint: !x.Money.Known},
		{Middle: true, Body: []app.UI{o.advise(x.Key, name)}},
	}}
}

// outside is the line of an option that no finding of this mouth asks for.
func (o *Options) outside(r casefile.Route) parts.DenseLine {
	key, name := string(r), o.route(r)
	sub := ""
	if o.Plan != nil {
		sub = o.T("page.options.outside")
	}
	return parts.DenseLine{Key: key, Now: r == o.Case.Route, Faint: o.Plan != nil, Cells: []parts.DenseCell{
		{Middle: true, Body: []app.UI{parts.Tick{ID: "offer-" + key, Name: o.T("page.options.offer-of", "Route", name), Off: o.Plan == nil,
			Do: act(func() { o.Offer(r, true) })}.UI()}},
		{ID: "take-" + key, Row: true, Strong: true, Text: name, More: o.T("page.options.follow"), Sub: sub,
			Do: act(func() { o.Follow(r) })},
		{}, {}, {},
		{Middle: true, Body: []app.UI{o.advise(r, name)}},
	}}
}

func (o *Options) advise(r casefile.Route, name string) app.UI {
	return parts.Tick{ID: "advise-" + string(r), Name: o.T("page.options.advise-of", "Route", name), Round: true, On: r == o.Advised,
		Do: act(func() { o.Advise(r) })}.UI()
}

// about is the short line under the name of an option.
func (o *Options) about(x plan.RouteFacts) string {
	var out []string
	switch {
	case x.Mixed:
		for _, g := range o.Case.ByRoute() {
			out = append(out, o.withTeeth(o.route(g.Route), g.Teeth))
		}
		return dots(out...)
	case x.Key == casefile.None:
		return o.T("page.options.always")
	case x.Material != "":
		out = append(out, o.T("material."+string(x.Material)+".name"))
	}
	if m := x.Removal.Middle; x.Removal.Planned && m.Known() && m.High > 0 {
		if m.Low > 0 {
			out = append(out, o.T("page.options.removal", "Range", o.Reach(m.Low, m.High, 2)))
		} else {
			out = append(out, o.T("page.options.removal-most", "Number", o.Number(m.High, 2)))
		}
	}
	return dots(out...)
}

// shows orders what may be seen of a dark tooth, the most first.
var shows = []string{"likely", "possible", "not-known", "unlikely"}

// mouth is what an option means in this mouth: what holds it, or the darkest tooth. Small
// print says how its porcelain compares with studies.
func (o *Options) mouth(x plan.RouteFacts) (text, sub string) {
	if len(x.Held) > 0 {
		return o.held(x.Held), ""
	}
	if len(x.Colour) > 0 {
		c := slices.MinFunc(x.Colour, func(a, b plan.Colour) int {
			return cmp.Or(cmp.Compare(slices.Index(shows, a.ShowThrough), slices.Index(shows, b.ShowThrough)), cmp.Compare(b.Steps, a.Steps))
		})
		if c.Room != "" {
			sub = o.T("page.options.room." + c.Room)
		}
		return o.T("page.options.shows."+c.ShowThrough, "Shade", o.Shade(c.Underlying)), sub
	}
	dark := slices.ContainsFunc(o.Plan.Routes, func(r plan.RouteFacts) bool { return len(r.Colour) > 0 })
	var waiting []string
	for _, w := range x.Waiting {
		waiting = append(waiting, o.T("finding."+w.Finding+".name"))
	}
	if len(waiting) > 0 {
		sub = o.T("page.options.waiting", "List", dots(waiting...))
	}
	switch {
	case dark && x.Key == casefile.None:
		return o.T("page.options.dark-stays"), sub
	case dark && x.Key.Whitens():
		return o.T("talk.dark.lighter"), ""
	}
	return "", sub
}

// held names what keeps an option from being begun, nothing private among it.
func (o *Options) held(keys []string) string {
	var names []string
	for _, k := range keys {
		if k == plan.TalkAgain {
			names = append(names, o.T("page.options.talk"))
		} else {
			names = append(names, o.T("finding."+k+".name"))
		}
	}
	return o.T("page.options.held", "List", dots(names...))
}

func (o *Options) visits(x plan.RouteFacts) string {
	switch {
	case !x.Visits.Known():
		return o.T("talk.visits.not-known")
	case x.Visits.Low == x.Visits.High:
		return o.Number(x.Visits.High, 0)
	}
	return o.Reach(x.Visits.Low, x.Visits.High, 0)
}

// fee is today's price of an option, and the parts of it that have none.
func (o *Options) fee(m plan.RouteMoney) (text, missing string) {
	if !m.Known {
		return o.T("talk.cost.none"), ""
	}
	text = o.Money(m.Today, m.Currency)
	if len(m.Missing) == 0 {
		return text, ""
	}
	var names []string
	for _, key := range m.Missing {
		names = append(names, o.Fee(key))
	}
	return o.T("talk.cost.from", "Amount", text), o.T("page.options.not-priced", "List", dots(names...))
}

func (o *Options) panels() []app.UI {
	out := []app.UI{o.advice()}
	if p := o.follows(); p != nil {
		out = append(out, p)
	}
	if o.Plan == nil {
		return out
	}
	if p := o.first(); p != nil {
		out = append(out, p)
	}
	if p := o.waits(); p != nil {
		out = append(out, p)
	}
	if p := o.details(); p != nil {
		out = append(out, p)
	}
	return out
}

// advice is the dentist's own, with its reason.
func (o *Options) advice() app.UI {
	said := o.T("page.options.advise-none")
	if o.Advised != "" {
		said = o.route(o.Advised)
	}
	hint := ""
	switch {
	case o.Advised != "" && strings.TrimSpace(o.Reason) == "":
		hint = o.T("page.options.advise-why")
	case o.Advised == "" && o.Reason != "":
		hint = o.T("page.options.advise-which")
	}
	return parts.Panel{ID: "advice-part", Late: true, Title: o.T("page.options.advice"), Body: []app.UI{
		parts.Told("advised", said),
		parts.Field{ID: "advice", Label: o.T("page.options.because"), Hint: hint, Lines: 2, Value: o.Reason,
			Input: func(_ app.Context, v string) { o.Because(v) }}.UI(),
	}}.UI()
}

// follows is what is still open of the option that the case follows: its material, and what
// comes after an option that only comes first.
func (o *Options) follows() app.UI {
	var body []app.UI
	if len(o.Thens) > 0 {
		c := parts.Chips{ID: "then", Name: o.T("page.then.title"), Label: o.T("page.then.title"), One: true,
			Pick: func(_ app.Context, k string) { o.Then(casefile.Route(k)) }}
		for _, r := range o.Thens {
			c.Items = append(c.Items, parts.Chip{Key: string(r), Text: o.route(r), On: r == o.Case.Then})
		}
		body = append(body, c.UI())
	}
	if len(o.Materials) > 0 {
		c := parts.Chips{ID: "material", Name: o.T("page.material.title"), Label: o.T("page.material.title"), One: true,
			Pick: func(_ app.Context, k string) { o.Material(casefile.Material(k)) }}
		for _, m := range o.Materials {
			c.Items = append(c.Items, parts.Chip{Key: string(m), Text: o.T("material." + string(m) + ".name"), On: m == o.Case.Material})
		}
		body = append(body, c.UI())
	}
	if len(body) == 0 {
		return nil
	}
	return parts.Panel{ID: "follows", Late: true, Title: o.route(o.Case.Route), Body: body}.UI()
}

var careAnswers = []struct {
	answer casefile.Answer
	word   string
}{{casefile.Agree, "sheet.care.yes"}, {casefile.Ask, "sheet.care.not-yet"}, {casefile.No, "sheet.care.no"}}

// first is the patient's yes, no or not yet to each test and treatment that comes first.
func (o *Options) first() app.UI {
	var body []app.UI
	for _, f := range o.Plan.First {
		if !f.Consents() {
			continue
		}
		name := o.withTeeth(o.T(f.Word("name")), f.Teeth)
		price := o.T("page.options.no-price")
		if f.Price != nil {
			price = o.Money(f.Price.Minor, f.Price.Currency)
		}
		said := o.Case.CareAnswer(f.Key)
		c := parts.Chips{ID: "care-" + f.Key, Name: name, Label: dots(name, price), One: true, Look: parts.Joined,
			Pick: func(_ app.Context, k string) {
				if casefile.Answer(k) != said {
					o.Care(f.Key, casefile.Answer(k))
				}
			}}
		for _, a := range careAnswers {
			c.Items = append(c.Items, parts.Chip{Key: string(a.answer), Text: o.T(a.word), On: a.answer == said})
		}
		body = append(body, c.UI())
	}
	if len(body) == 0 {
		return nil
	}
	return parts.Panel{ID: "care", Late: true, Title: o.T("page.options.first"), Body: body}.UI()
}

// waits takes the dentist's reason for going on before something is settled. A private
// finding is the neutral line only.
func (o *Options) waits() app.UI {
	var body []app.UI
	for _, w := range o.Plan.WaitFor {
		if w.Private || w.Key == plan.TalkAgain {
			body = append(body, parts.Wait(plan.TalkAgain, o.T("wait."+plan.TalkAgain)))
			continue
		}
		note := o.T("page.level." + string(w.Level))
		if w.Wait.Known() && w.Wait.Likely > 0 {
			note += " " + o.Measured("page.options.days", w.Wait.Low, w.Wait.High, 0)
		}
		body = append(body, parts.Wait(w.Key, o.withTeeth(o.T("finding."+w.Key+".name"), w.Teeth),
			parts.Small(note),
			parts.Field{ID: "reason-" + w.Key, Label: o.T("page.waits.reason"), Value: o.GoesOn(w.Key),
				Input: func(_ app.Context, v string) { o.GoOn(w.Key, v) }}.UI()))
	}
	if len(body) == 0 {
		return nil
	}
	return parts.Panel{ID: "waits", Late: true, Title: o.T("page.waits.title"), Body: body}.UI()
}

// details are one tap away: what the patient put first, option by option, the dark teeth,
// where the numbers come from.
func (o *Options) details() app.UI {
	var body []app.UI
	if o.Case.Wish != "" {
		body = append(body, parts.Told("wish-said", o.Case.Wish))
	}
	order := o.order()
	if len(order) == 0 {
		body = append(body, parts.Small(o.T("page.options.wish-none")))
	}
	for i, s := range order {
		body = append(body, o.fold("wish-"+s.Priority, o.T("page.wish.place", "Number", o.Number(float64(i+1), 0), "Name", o.T("priority."+s.Priority+".name")), "",
			func() []app.UI { return []app.UI{parts.Facts(nil, o.standing(s))} })...)
	}
	for _, d := range o.dark() {
		body = append(body, o.fold("dark-"+string(d.now), o.withTeeth(d.title, d.teeth), "", d.body)...)
	}
	var figures []string
	for _, x := range o.Plan.Routes {
		figures = union(figures, x.Figures)
	}
	return parts.Panel{ID: "more", Late: true, Title: o.T("page.options.wishes"), Body: append(body, o.sources(figures)...)}.UI()
}

// order is what the patient put first, in the patient's order.
func (o *Options) order() (out []plan.Standing) {
	for _, key := range o.Case.Priorities {
		if i := slices.IndexFunc(o.Plan.Order, func(s plan.Standing) bool { return s.Priority == key }); i >= 0 {
			out = append(out, o.Plan.Order[i])
		}
	}
	return out
}

// standing sets each option's fact beside what the patient put first: no score.
func (o *Options) standing(s plan.Standing) (out []parts.Said) {
	for _, x := range s.Routes {
		i := slices.IndexFunc(o.Plan.Routes, func(f plan.RouteFacts) bool { return f.Key == x.Route })
		if i < 0 {
			out = append(out, parts.Said{Label: o.route(x.Route), Text: o.fact(s.Fact, x)})
			continue
		}
		f := o.Plan.Routes[i]
		said := o.fact(s.Fact, x)
		if s.Fact == plan.InPlace && x.Value.Known() {
			said = o.lasting(f)
		}
		if s.Fact == "money" && len(f.Money.Missing) > 0 {
			_, missing := o.fee(f.Money)
			said = dots(said, missing)
		}
		out = append(out, parts.Said{Label: o.name(f), Text: said})
	}
	return out
}

// lasting is how long the restorations of an option stay, at the middle horizon, each group
// of teeth by itself.
func (o *Options) lasting(x plan.RouteFacts) string {
	h, _ := o.Base.Setting("horizon-2")
	var out []string
	groups := plan.AlikeTeeth(x.Expectations)
	for _, g := range groups {
		for _, e := range g.List {
			if e.Endpoint != plan.InPlace || e.Years != int(h.Value) {
				continue
			}
			said := ""
			if e.PerTooth.Known() {
				said = o.Message(sheet.Lasting(o.Base, e))
			} else {
				said = o.T("unknown." + e.PerTooth.Unknown)
			}
			if len(groups) > 1 {
				said = o.withTeeth(said, g.Teeth)
			}
			if !slices.Contains(out, said) {
				out = append(out, said)
			}
		}
	}
	return dots(out...)
}

func (o *Options) fact(kind string, x plan.RouteFact) string {
	switch {
	case x.Words != "":
		return o.T(x.Words)
	case !x.Date.IsZero():
		return o.Date(x.Date)
	case !x.Value.Known():
		return o.T("unknown." + x.Value.Unknown)
	}
	switch kind {
	case "money":
		return o.Message(sheet.OverYears(x.Value, x.Years, o.Currency))
	case "removal":
		if x.Value.High == 0 {
			return o.T("sheet.row.nothing-removed")
		}
		return o.Message(sheet.MostRemoved(x.Value))
	}
	return o.Reach(x.Value.Low, x.Value.High, 2)
}

// dark is teeth of one shade for which another one is wanted.
type dark struct {
	now   casefile.Shade
	title string
	teeth []casefile.Tooth
	body  func() []app.UI
}

// dark lists the dark teeth: the shade there is and the one hoped for, how thick porcelain
// had to be to hide such a shade in studies, and whether each option has that much.
// Thicknesses known only from experience stay words.
func (o *Options) dark() (out []dark) {
	type pair struct{ now, wanted casefile.Shade }
	var pairs []pair
	for _, x := range o.Plan.Routes {
		for _, c := range x.Colour {
			p := pair{c.Underlying, c.Target}
			if c.Steps <= 0 || slices.Contains(pairs, p) {
				continue
			}
			pairs = append(pairs, p)
			of := o.colours(p.now, p.wanted)
			out = append(out, dark{p.now, o.T("page.options.dark", "Shade", o.Shade(p.now)), of.teeth, func() []app.UI { return o.darkTeeth(of) }})
		}
	}
	return out
}

// colours are the routes' words about teeth of one shade.
type colours struct {
	one   plan.Colour // of porcelain, where an option has it: the studies are of that
	teeth []casefile.Tooth
	lines []parts.Said // options, and what is true of them
}

func (o *Options) colours(now, wanted casefile.Shade) (out colours) {
	add := func(name, line string) {
		if i := slices.IndexFunc(out.lines, func(l parts.Said) bool { return l.Text == line }); i >= 0 {
			out.lines[i].Label = dots(out.lines[i].Label, name)
			return
		}
		out.lines = append(out.lines, parts.Said{Label: name, Text: line})
	}
	for _, x := range o.Plan.Routes {
		var said []string // teeth of one option may be on several
		for _, c := range x.Colour {
			if c.Underlying != now || c.Target != wanted {
				continue
			}
			if out.one.Room == "" {
				out.one = c
			}
			if !slices.Contains(out.teeth, c.Tooth) {
				out.teeth = append(out.teeth, c.Tooth)
			}
			line := o.T("show-through." + c.ShowThrough)
			if c.Room != "" && c.Room != plan.RoomNotStudied { // that there is none is said once
				line = dots(line, o.T("room."+c.Room))
			}
			if !slices.Contains(said, line) {
				said = append(said, line)
			}
		}
		if len(said) > 0 {
			add(o.route(x.Key), dots(said...))
		}
	}
	return out
}

// darkTeeth says what is known of teeth of one shade.
func (o *Options) darkTeeth(of colours) []app.UI {
	told := []sheet.Text{sheet.ShadesOf(of.one)}
	if of.one.Underlying.Bleach() || of.one.Target.Bleach() {
		told = append(told, sheet.M("sheet.colour.not-measured"))
	}
	switch {
	case of.one.Published != nil:
		told = append(told, sheet.Hidden(*of.one.Published))
	case of.one.Room == plan.RoomNotStudied:
		told = append(told, sheet.M("room."+of.one.Room))
	}
	var out []app.UI
	for _, t := range told {
		out = append(out, parts.Text(o.Message(t)))
	}
	return append(append(out, parts.Facts(nil, of.lines)), o.sources(of.one.Figures)...)
}

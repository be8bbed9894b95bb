package decide

import (
	"fmt"
	"slices"

	"github.com/maxence-charriere/go-app/v10/pkg/app"

	"plainleaf/app/plan"
	"plainleaf/app/screens/parts"
	"plainleaf/app/sheet"
)

// Lasts is the step that shows how long the restorations of the chosen option last, and at
// which it is entered whether the patient sees numbers.
type Lasts struct {
	Step
	Detail func(string) // words or numbers
}

// Body draws the step.
func (l *Lasts) Body() []app.UI {
	return []app.UI{parts.Columns(parts.Stack(l.tables()...), parts.Stack(l.panels()...))}
}

// group is one table: like teeth, or all of them.
type group struct {
	id, title, teeth string
	list             []plan.Expectation
	one, together    bool // a column for one tooth, columns for all of them
}

// tables has one for each group of like teeth and one for all the teeth together; a single
// group is both.
func (l *Lasts) tables() (out []app.UI) {
	list := l.Plan.Expectations
	alike := plan.AlikeTeeth(list)
	if len(alike) == 0 {
		return []app.UI{parts.Panel{ID: "no-numbers", Name: l.T("page.lasts.table"), Body: []app.UI{parts.Text(l.T("page.expect.none"))}}.UI()}
	}
	if !plan.OneSetting(list) {
		out = append(out, parts.Message{ID: "apart", What: l.T("sheet.expect.apart"), Weight: parts.Good}.UI())
	}
	for i, a := range alike {
		title := l.route(a.Route)
		if a.Material != "" {
			title = l.T("page.numbers.way", "Route", title, "Material", l.T("material."+string(a.Material)+".name"))
		}
		out = append(out, l.panel(group{fmt.Sprintf("lasts-%d", i), title, l.N("page.numbers.teeth", len(a.Teeth), "Teeth", l.Teeth(a.Teeth)),
			a.List, true, len(alike) == 1 && len(a.Teeth) > 1}))
	}
	whole := slices.DeleteFunc(slices.Clone(list), func(e plan.Expectation) bool { return e.Route != "" })
	if len(alike) > 1 && len(whole) > 0 {
		out = append(out, l.panel(group{"together", l.T("page.numbers.together"), "", whole, false, true}))
	}
	return out
}

func (l *Lasts) panel(g group) app.UI {
	t := parts.Dense{ID: g.id + "-table", Name: dots(g.title, g.teeth), Heads: []string{l.T("page.lasts.endpoint"), l.T("page.lasts.years")}, Wide: -1}
	if g.one {
		t.Heads = append(t.Heads, l.T("page.lasts.one", "Total", l.Number(100, 0)))
	}
	if g.together {
		t.Heads = append(t.Heads, l.N("page.lasts.of", len(g.list[0].Teeth)), l.T("page.lasts.least", "Total", l.Number(100, 0)))
	}
	t.Heads = append(t.Heads, l.T("page.lasts.sure"))
	for _, endpoint := range []string{plan.InPlace, plan.NothingNeeded} {
		t.Lines = append(t.Lines, l.lines(g, endpoint, len(t.Heads)-2)...)
	}
	return parts.Panel{ID: g.id, Title: g.title, Note: g.teeth, Flat: true, Body: []app.UI{t.UI()}}.UI()
}

// lines has one for each time; times of which nothing is known for one reason share a line.
func (l *Lasts) lines(g group, endpoint string, columns int) (out []parts.DenseLine) {
	var blank []string // reasons, each with a line
	var years [][]string
	for _, e := range g.list {
		if e.Endpoint != endpoint {
			continue
		}
		name := parts.DenseCell{Row: true, Text: l.T("page.lasts." + endpoint)}
		if why := l.unknown(g, e); why != "" {
			i := slices.Index(blank, why)
			if i < 0 {
				i, blank, years = len(blank), append(blank, why), append(years, nil)
			}
			years[i] = append(years[i], l.Number(float64(e.Years), 0))
			continue
		}
		cells := []parts.DenseCell{name, {Text: l.Number(float64(e.Years), 0)}}
		if g.one {
			cells = append(cells, parts.DenseCell{Text: l.Message(sheet.Told(l.Base, e.PerTooth)), Strong: true, Faint: !e.PerTooth.Known()})
		}
		sure := parts.DenseCell{Text: l.T("page.lasts.sure." + string(e.Certainty))}
		if g.together {
			many := l.Message(sheet.Told(l.Base, e.Expected)) // why there is none
			if e.Expected.Known() {
				many = l.Message(sheet.HowMany(e))
			}
			cells = append(cells, parts.DenseCell{Text: many, Strong: !g.one, Faint: !e.Expected.Known()},
				parts.DenseCell{Text: l.Message(sheet.Told(l.Base, e.AtLeastOne)), Faint: !e.AtLeastOne.Known()})
			if e.Together != e.Certainty && e.Together != "" {
				sure.Sub = l.T("page.lasts.sure-together", "Text", l.T("page.lasts.sure."+string(e.Together)))
			}
		}
		out = append(out, parts.DenseLine{Key: fmt.Sprintf("%s-%d", endpoint, e.Years), Cells: append(cells, sure)})
	}
	for i, why := range blank {
		out = append(out, parts.DenseLine{Key: endpoint + "-" + why, Faint: true, Cells: []parts.DenseCell{
			{Row: true, Text: l.T("page.lasts." + endpoint)}, {Text: l.List(years[i])},
			{Span: columns, Text: dots(l.T(blankWord(why)), l.T("unknown."+why))}}})
	}
	return out
}

// unknown is why a line has no number at all; "" where it has one.
func (l *Lasts) unknown(g group, e plan.Expectation) string {
	if g.one {
		return e.PerTooth.Unknown
	}
	return e.Expected.Unknown
}

// blankWord is the message in place of a number.
func blankWord(reason string) string {
	if reason == plan.TooUncertain {
		return "page.numbers.too-uncertain"
	}
	return "page.numbers.unknown"
}

func (l *Lasts) panels() (out []app.UI) {
	c := parts.Chips{ID: "detail", Name: l.T("page.lasts.shown"), One: true, Look: parts.Joined, Pick: func(_ app.Context, k string) { l.Detail(k) }}
	for _, k := range []string{"words", "numbers"} {
		c.Items = append(c.Items, parts.Chip{Key: k, Text: l.T("page.lasts." + k), On: l.Case.Detail == k})
	}
	out = append(out, parts.Panel{ID: "shown", Late: true, Title: l.T("page.lasts.shown"), Body: []app.UI{c.UI()}}.UI())
	list := l.Plan.Expectations
	var moves []app.UI
	for _, m := range modifiers(list) {
		moves = append(moves, parts.Small(l.T("modifier."+m)))
	}
	if len(l.Case.Teeth) > 1 && len(list) > 0 {
		moves = append(moves, parts.Small(l.T("sheet.together.shared")))
		if !plan.OneSetting(list) {
			moves = append(moves, parts.Small(l.T("sheet.together.settings")))
		}
	}
	var more []app.UI
	if len(moves) > 0 {
		more = append(more, parts.Aside("modifiers", l.T("page.lasts.moves"), moves...))
	}
	// Composite beside porcelain, from one practice: the tables may not hold them together.
	var pair []app.UI
	for _, s := range l.Plan.SameSetting {
		pair = append(pair, parts.Small(l.Message(sheet.Pair(l.Base, s))))
	}
	if len(pair) > 0 {
		more = append(more, parts.Aside("pair", l.T("sheet.pair.title"), pair...))
	}
	if len(list) > 0 {
		more = append(more, l.fold("whence", l.T("page.numbers.whence"), "", l.origins)...)
	}
	if len(more) > 0 {
		out = append(out, parts.Panel{ID: "behind", Late: true, Name: l.T("page.lasts.moves"), Body: more}.UI())
	}
	return out
}

func modifiers(list []plan.Expectation) (out []string) {
	for _, e := range list {
		out = union(out, e.Modifiers)
	}
	return out
}

// origins are the settings of the studies, the arithmetic and the sources.
func (l *Lasts) origins() (out []app.UI) {
	var settings, sums, figures, cites []string
	for _, e := range l.Plan.Expectations {
		if e.Setting != "" && e.PerTooth.Known() {
			settings = union(settings, []string{e.Setting})
		}
		if e.Arithmetic != "" {
			sums = union(sums, []string{e.Arithmetic})
		}
		figures = union(figures, e.Figures)
	}
	for _, f := range figures {
		fig, ok := l.Base.Figure(f)
		if !ok || !fig.Citable() {
			continue
		}
		for _, s := range fig.Source {
			if src, ok := l.Base.Source(s); ok {
				cites = union(cites, []string{src.Citation})
			}
		}
	}
	for _, s := range settings {
		out = append(out, parts.Small(l.T("page.setting."+s)))
	}
	if len(sums) > 0 {
		out = append(out, parts.Small(l.T("page.numbers.arithmetic")))
	}
	for _, s := range sums {
		out = append(out, parts.Code(s))
	}
	return append(append(out, parts.Cites(cites)), l.sources(figures)...)
}

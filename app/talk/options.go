package talk

import (
	"math"
	"reflect"
	"slices"

	"plainleaf/app/casefile"
	"plainleaf/app/plan"
	"plainleaf/app/sheet"
)

// mostOptions is how many options stay in view beside each other, no treatment among them.
const mostOptions = 5

// options puts the options on the table beside each other, in the fixed order. Where there
// are more than fit, they are spread over several pages, each with no treatment.
func (x composer) options() (out []Page) {
	var list []plan.RouteFacts
	for _, r := range x.pl.Routes {
		if r.OnTable {
			list = append(list, r)
		}
	}
	if len(list) == 0 {
		return nil
	}
	pages := spread(list[1:])
	for i, rest := range pages {
		t := x.table(append(list[:1:1], rest...))
		t.Part, t.Parts = i+1, len(pages)
		p := Page{Key: Options, Title: sheet.M("talk.options.title"), Table: &t}
		if len(pages) > 1 {
			p.Title = sheet.M("talk.options.title-part", "Number", sheet.Int(i+1), "Total", sheet.Int(len(pages)))
		}
		out = append(out, p)
	}
	return out
}

// spread divides options over as few pages as hold them, evenly. One with a long name, for
// what follows it or for its teeth, takes half as much room again.
func spread(list []plan.RouteFacts) [][]plan.RouteFacts {
	room := func(r plan.RouteFacts) float64 {
		if r.Then != "" && r.Then != r.Key || r.Partly {
			return 1.5
		}
		return 1
	}
	all := 0.0
	for _, r := range list {
		all += room(r)
	}
	pages := max(1, int(math.Ceil(all/(mostOptions-1))))
	out := make([][]plan.RouteFacts, 1)
	used := 0.0
	for _, r := range list {
		last := len(out) - 1
		if used+room(r) > mostOptions-1 || last < pages-1 && len(out[last]) >= (len(list)+pages-1)/pages {
			out, used, last = append(out, nil), 0, last+1
		}
		out[last], used = append(out[last], r), used+room(r)
	}
	return out
}

func (x composer) table(list []plan.RouteFacts) Table {
	var t Table
	for _, r := range list {
		t.Heads = append(t.Heads, Head{r.Key, x.name(r)})
	}
	dark := slices.ContainsFunc(list, func(r plan.RouteFacts) bool { return len(r.Colour) > 0 })
	add := func(key, fact string, cell func(plan.RouteFacts) []sheet.Text) {
		row := Row{Key: key, Priority: x.priority(fact), Label: sheet.M("talk.row." + key)}
		for _, r := range list {
			row.Cells = append(row.Cells, cell(r))
		}
		t.Rows = append(t.Rows, row)
	}
	add("takes", "removal", x.each(func(k casefile.Route) sheet.Text { return sheet.M("talk.takes." + x.b.Route(k).Takes) }))
	add("undo", "reversible", x.each(func(k casefile.Route) sheet.Text { return sheet.M("talk.undo." + x.b.Route(k).Reversible) }))
	add("downside", "", x.each(func(k casefile.Route) sheet.Text { return sheet.M("talk.downside." + x.b.Route(k).Downside) }))
	if dark {
		add("dark", "colour", x.dark)
	}
	add("visits", "visits", visits)
	add("cost", "money", cost)
	add("later", "expectations", x.each(func(k casefile.Route) sheet.Text { return sheet.M("talk.later." + x.b.Route(k).Lasts) }))
	return t
}

// name is the name of an option, with what follows it.
func (x composer) name(r plan.RouteFacts) sheet.Text {
	if r.Then != "" && !r.Mixed && r.Then != r.Key {
		return sheet.M("talk.options.then", "Text", sheet.Word{Text: sheet.WayName(r)}, "Route", sheet.Word{Text: sheet.M("route." + string(r.Then) + ".name")})
	}
	return sheet.WayName(r)
}

// priority is the wish that a fact answers.
func (x composer) priority(fact string) string {
	for _, p := range x.b.Priorities {
		if fact != "" && p.Fact == fact {
			return p.Key
		}
	}
	return ""
}

// tabled reports whether an option is on the table by itself.
func (x composer) tabled(k casefile.Route) bool {
	return slices.ContainsFunc(x.pl.Routes, func(o plan.RouteFacts) bool { return o.Key == k && o.OnTable && !o.Mixed && !o.Partly })
}

// each makes a cell of what an option says and, where another follows that has no column
// or takes tooth away, what that one says too. A plan of several routes says that it differs by tooth.
func (x composer) each(say func(casefile.Route) sheet.Text) func(plan.RouteFacts) []sheet.Text {
	return func(r plan.RouteFacts) []sheet.Text {
		if r.Mixed {
			return []sheet.Text{sheet.M("talk.options.differs")}
		}
		out := []sheet.Text{say(r.Key)}
		if r.Then != "" && r.Then != r.Key && (r.Removal.Planned || !x.tabled(r.Then)) {
			if t := say(r.Then); !reflect.DeepEqual(t, out[0]) {
				out = append(out, t)
			}
		}
		return out
	}
}

// shows orders what may be seen of a dark tooth, the most first.
var shows = []string{"likely", "possible", "not-known", "unlikely"}

// dark is what an option does to the darkest tooth.
func (x composer) dark(r plan.RouteFacts) []sheet.Text {
	if r.Mixed {
		return []sheet.Text{sheet.M("talk.options.differs")}
	}
	for _, s := range shows {
		if slices.ContainsFunc(r.Colour, func(c plan.Colour) bool { return c.ShowThrough == s }) {
			return []sheet.Text{sheet.M("talk.dark." + s)}
		}
	}
	switch {
	case r.Key == casefile.None:
		return []sheet.Text{sheet.M("talk.dark.stays")}
	case r.Key.Whitens():
		return []sheet.Text{sheet.M("talk.dark.lighter")}
	}
	return []sheet.Text{sheet.M("talk.dark.not-known")}
}

func visits(r plan.RouteFacts) []sheet.Text {
	if !r.Visits.Known() {
		return []sheet.Text{sheet.M("talk.visits.not-known")}
	}
	return []sheet.Text{sheet.M("talk.number", "Number", sheet.Int(math.Round(r.Visits.Likely)))}
}

func cost(r plan.RouteFacts) []sheet.Text {
	m := r.Money
	switch {
	case !m.Known:
		return []sheet.Text{sheet.M("talk.cost.none")}
	case len(m.Missing) > 0:
		return []sheet.Text{sheet.M("talk.cost.from", "Amount", sheet.Price{Minor: m.Today, Currency: m.Currency})}
	}
	return []sheet.Text{sheet.M("talk.cost.all", "Amount", sheet.Price{Minor: m.Today, Currency: m.Currency})}
}

// advice is the dentist's own, with its reason and with what speaks against it.
func (x composer) advice() Page {
	a := x.c.Advice
	name := sheet.M("route." + string(a.Route) + ".name")
	p := Page{Key: Advice, Title: sheet.M("talk.advice.title", "Route", sheet.Word{Text: name})}
	if a.Reason != "" {
		p.Lead = append(p.Lead, sheet.Typed(a.Reason))
	}
	if rule := x.b.Route(a.Route); rule != nil {
		p.Lead = append(p.Lead, sheet.M("talk.advice.against", "Text", sheet.Word{Text: sheet.M("downside." + rule.Downside)}))
	}
	p.Lead = append(p.Lead, sheet.M("talk.advice.yours"))
	return p
}

// Package decide draws the dentist's side of the steps Options, How long and Visits: what
// the plan has, in dense tables, and what is entered there. The case, the plan and the
// words come in; what is touched goes out. It keeps no state.
package decide

import (
	"slices"
	"strings"

	"github.com/maxence-charriere/go-app/v10/pkg/app"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
	"plainleaf/app/plan"
	"plainleaf/app/screens/parts"
	"plainleaf/app/sheet"
)

// Words say things in the language of the screen.
type Words struct {
	T        func(id string, nv ...string) string
	N        func(id string, n int, nv ...string) string           // the form follows n, its value Count
	Measured func(id string, low, high float64, digits int) string // the form follows the range, its value Count
	Message  func(sheet.Text) string
	Number   func(x float64, digits int) string
	Reach    func(low, high float64, digits int) string
	Money    func(minor int64, currency string) string
	Date     func(casefile.Date) string
	Teeth    func([]casefile.Tooth) string
	List     func([]string) string // phrases as one
	Shade    func(casefile.Shade) string
	Fee      func(key string) string // what a fee is for
	Clock    func(casefile.Time) string
}

// Step is what every one of the three steps is drawn from.
type Step struct {
	Words
	Case casefile.Case
	Base *evidence.Base
	Plan *plan.Plan // nil where there is none yet
	// Shown reports whether something that folds is open, Fold opens or closes it.
	Shown func(id string) bool
	Fold  func(id string)
	// Sources is the address of a figure among the sources.
	Sources func(figure string) string
}

// dots joins names each of which is seen as one.
func dots(names ...string) string {
	return strings.Join(slices.DeleteFunc(names, func(s string) bool { return s == "" }), " · ")
}

// fold is a line that opens what comes after it.
func (s *Step) fold(id, text, value string, body func() []app.UI) []app.UI {
	open := s.Shown(id)
	out := []app.UI{parts.Fold{ID: id, Text: text, Value: value, Opens: true, Open: open,
		Do: func(app.Context) { s.Fold(id) }}.UI()}
	if open {
		out = append(out, parts.Group(id+"-body", text, body()...))
	}
	return out
}

// sources leads to where numbers come from; nothing where there are none.
func (s *Step) sources(figures []string) []app.UI {
	if len(figures) == 0 {
		return nil
	}
	return []app.UI{parts.Anchor("sources", s.Sources(figures[0]), s.N("page.row.sources", len(figures)))}
}

// name is an option with what follows it.
func (s *Step) name(x plan.RouteFacts) string {
	name := s.Message(sheet.WayName(x))
	if x.Then != "" && !x.Mixed && x.Then != x.Key {
		return s.T("talk.options.then", "Text", name, "Route", s.route(x.Then))
	}
	return name
}

func (s *Step) route(r casefile.Route) string { return s.T("route." + string(r) + ".name") }

// withTeeth is a name with its teeth, where it has any.
func (s *Step) withTeeth(name string, teeth []casefile.Tooth) string {
	if len(teeth) == 0 {
		return name
	}
	return s.N("sheet.aftercare.done-change", len(teeth), "Text", name, "Teeth", s.Teeth(teeth))
}

// act is a part's handler that needs nothing of what was touched.
func act(f func()) func(app.Context) { return func(app.Context) { f() } }

// union lists what several lists have, once each.
func union(lists ...[]string) (out []string) {
	for _, l := range lists {
		for _, f := range l {
			if !slices.Contains(out, f) {
				out = append(out, f)
			}
		}
	}
	return out
}

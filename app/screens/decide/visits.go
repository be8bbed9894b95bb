package decide

import (
	"fmt"
	"slices"

	"github.com/maxence-charriere/go-app/v10/pkg/app"

	"plainleaf/app/casefile"
	"plainleaf/app/plan"
	"plainleaf/app/screens/parts"
	"plainleaf/app/screens/state"
	"plainleaf/app/sheet"
)

// Visits is the step that lists the visits, and at which the days are agreed.
type Visits struct {
	Step
	List  []state.Visit // those of the plan in its order, then agreed ones it no longer has
	Today casefile.Date

	StartTyped string // the day of the first visit, as typed
	Start      func(text string)

	Open     string // the visit whose day is entered, by its ID; "" for none
	Pick     func(id string)
	Typed    func(path, value string) string
	Wrong    func(path string) string // what is wrong with a field
	Agree    func(state.Visit)
	Disagree func(state.Visit)
	SetDate  func(v state.Visit, text string)
	SetTime  func(v state.Visit, text string)
}

// ID names a visit on the screen.
func ID(v state.Visit) string { return fmt.Sprintf("agreed-%s-%d", v.Key, v.Number) }

// Body draws the step; without a plan only the day that may be why there is none.
func (s *Visits) Body() []app.UI {
	if s.Plan == nil {
		return []app.UI{s.start()}
	}
	return []app.UI{parts.Columns(
		parts.Stack(parts.Panel{ID: "visit-list", Name: s.T("page.days.table"), Flat: true, Body: []app.UI{s.table()}}.UI()),
		parts.Stack(s.panels()...))}
}

func (s *Visits) table() app.UI {
	t := parts.Dense{ID: "visits", Name: s.T("page.days.table"), Heads: []string{
		s.T("page.days.visit"), s.T("page.days.chair"), s.T("page.days.likely"), s.T("page.days.range")}}
	for i, v := range s.Plan.Visits {
		t.Lines = append(t.Lines, s.line(i, v, s.List[i]))
	}
	for _, a := range s.List[len(s.Plan.Visits):] {
		t.Lines = append(t.Lines, parts.DenseLine{Key: a.Key, Faint: true, Cells: []parts.DenseCell{
			{Row: true, Span: 2, Text: s.T("page.agreed.gone", "Text", a.Key)}, {Text: s.day(a.Agreed.Date, a.Agreed.Time)},
			{Body: []app.UI{parts.Button{ID: ID(a) + "-out", Text: s.T("page.agreed.out"), Kind: parts.Link, Do: act(func() { s.Disagree(a) })}.UI()}}}})
	}
	return t.UI()
}

func (s *Visits) line(i int, v plan.Visit, a state.Visit) parts.DenseLine {
	id := ID(a)
	pick := act(func() { s.Pick(id) })
	when := parts.DenseCell{ID: id, Short: true, Strong: a.Agreed != nil, Do: pick}
	switch {
	case a.Agreed != nil:
		when.Text, when.Sub = s.day(a.Agreed.Date, a.Agreed.Time), s.T("page.days.agreed")
	case v.Likely.IsZero():
		when = parts.DenseCell{Text: s.T("sheet.schedule.undated"), Faint: true}
	default:
		when.Text = s.Date(v.Likely)
	}
	when.More = s.T("page.days.pick", "Name", s.nameOf(v))
	between := ""
	if a.Agreed == nil && !v.Likely.IsZero() && v.Earliest != v.Latest {
		between = s.T("page.dates", "From", s.Date(v.Earliest), "To", s.Date(v.Latest))
	}
	var clash []string
	for _, x := range a.Against {
		clash = append(clash, s.conflict(x))
	}
	return parts.DenseLine{Key: v.Key, Now: id == s.Open, Cells: []parts.DenseCell{
		{Row: true, Strong: true, Text: s.T("page.wish.place", "Number", s.Number(float64(i+1), 0), "Name", s.nameOf(v)), Sub: dots(append(clash, s.about(v)...)...)},
		{Text: s.minutes(v.Minutes), Short: true, Faint: !v.Minutes.Known()},
		when,
		{Text: between},
	}}
}

func (s *Visits) nameOf(v plan.Visit) string {
	name := s.T(sheet.VisitName(s.Base, v.Purpose, "name"))
	if v.Of > 1 {
		name = s.T("page.visits.of", "Name", name, "Number", s.Number(float64(v.Sitting), 0), "Total", s.Number(float64(v.Of), 0))
	}
	if len(v.Teeth) == len(s.Case.Teeth) {
		return name // of all of them
	}
	return s.withTeeth(name, v.Teeth)
}

// about is the small print of a visit: what else is done, what it waits for, whether there
// is a way back.
func (s *Visits) about(v plan.Visit) (out []string) {
	if len(v.With) > 0 {
		var also []string
		for _, p := range v.With {
			also = append(also, s.T(sheet.VisitName(s.Base, p.Purpose, "name")))
		}
		out = append(out, s.T("page.days.with", "List", dots(also...)))
	}
	if v.Why != "" && v.Why != "start" {
		out = append(out, s.T("page.days.why."+v.Why))
	}
	if v.Irreversible {
		out = append(out, s.T("page.days.firm"))
	}
	return out
}

func (s *Visits) minutes(e plan.Estimate) string {
	if !e.Known() {
		return s.T("page.numbers.unknown")
	}
	return s.Measured("page.days.minutes", e.Low, e.High, 0)
}

// day is a day with its hour, where one is agreed.
func (s *Visits) day(d casefile.Date, at casefile.Time) string {
	if !at.Valid() {
		return s.Date(d)
	}
	return s.T("sheet.schedule.on-at", "Date", s.Date(d), "Time", s.Clock(at))
}

// conflict is what speaks against an agreed day.
func (s *Visits) conflict(x plan.Conflict) string {
	if x.Date.IsZero() {
		return s.T("page.agreed." + x.Kind)
	}
	return s.T("page.agreed."+x.Kind, "Date", s.Date(x.Date))
}

func (s *Visits) panels() (out []app.UI) {
	if i := slices.IndexFunc(s.List, func(v state.Visit) bool { return ID(v) == s.Open }); i >= 0 && i < len(s.Plan.Visits) {
		out = append(out, s.agreeing(s.Plan.Visits[i], s.List[i]))
	}
	return append(out, s.start(), s.end())
}

// agreeing is where the day of one visit is entered.
func (s *Visits) agreeing(v plan.Visit, a state.Visit) app.UI {
	id := ID(a)
	var body []app.UI
	if a.Agreed == nil {
		body = []app.UI{parts.Small(s.T("page.agreed.planned", "Date", s.Date(v.Likely))),
			parts.Button{ID: id + "-set", Text: s.T("page.agreed.set"), Do: act(func() { s.Agree(a) })}.UI()}
		return parts.Panel{ID: "day", Late: true, Title: s.nameOf(v), Body: body}.UI()
	}
	field := func(key, kind string, icon parts.Icon, value string, set func(string)) app.UI {
		path := state.AgreedPath(a.Key, a.Number, key)
		f := parts.Field{ID: id + "-" + key, Label: s.T("page.agreed." + key), Type: kind, Icon: icon, Value: s.Typed(path, value),
			Input: func(_ app.Context, text string) {
				if kind != "date" || text != "" { // half a date is none yet
					set(text)
				}
			}}
		if w := s.Wrong(path); w != "" {
			f.Wrong = &parts.Message{ID: id + "-" + key + "-fault", What: w}
		}
		return f.UI()
	}
	body = append(body,
		field("date", "date", parts.Calendar, a.Agreed.Date.String(), func(t string) { s.SetDate(a, t) }),
		field("time", "text", parts.NoIcon, string(a.Agreed.Time), func(t string) { s.SetTime(a, t) }))
	for _, x := range a.Against {
		body = append(body, parts.Message{ID: id + "-" + x.Kind, What: s.conflict(x)}.UI())
	}
	if a.Agreed.Date.Before(s.Case.Issued) {
		body = append(body, parts.Small(s.T("page.agreed.past")))
	}
	body = append(body, parts.Button{ID: id + "-out", Text: s.T("page.agreed.out"), Name: s.T("page.agreed.out-of", "Text", s.nameOf(v)), Kind: parts.Outlined,
		Do: act(func() { s.Disagree(a) })}.UI())
	return parts.Panel{ID: "day", Late: true, Title: s.nameOf(v), Body: body}.UI()
}

// start is the day of the first visit.
func (s *Visits) start() app.UI {
	week := s.Today.AddDays(7)
	c := parts.Chips{ID: "start-at", Name: s.T("page.days.start"), One: true, Pick: func(_ app.Context, k string) { s.Start(k) },
		Items: []parts.Chip{
			{Key: s.Today.String(), Text: s.T("page.days.today"), On: s.Case.Start == s.Today},
			{Key: week.String(), Text: s.T("page.days.week"), On: s.Case.Start == week}}}
	f := parts.Field{ID: "start", Label: s.T("page.days.pick-start"), Type: "date", Icon: parts.Calendar, Value: s.StartTyped,
		Input: func(_ app.Context, text string) {
			if text != "" {
				s.Start(text)
			}
		}}
	if w := s.Wrong("start"); w != "" {
		f.Wrong = &parts.Message{ID: "start-fault", What: w}
	}
	return parts.Panel{ID: "first-visit", Late: true, Title: s.T("page.days.start"), Body: []app.UI{c.UI(), f.UI()}}.UI()
}

// end is how many visits there are, how long they take, and what the last one waits for.
func (s *Visits) end() app.UI {
	body := []app.UI{parts.Text(s.N("page.days.total", len(s.Plan.Visits), "Text", s.total()))}
	if n := len(s.Plan.Visits); n > 0 && !s.Plan.OnHold && !s.Plan.Visits[n-1].Likely.IsZero() {
		last := s.Plan.Visits[n-1]
		body = append(body, parts.Text(s.T("page.days.last", "Date", s.Date(last.Likely), "From", s.Date(last.Earliest), "To", s.Date(last.Latest))))
	}
	if s.Plan.OnHold {
		body = append(body, parts.Message{ID: "on-hold", What: s.T("sheet.schedule.hold"), Weight: parts.Good}.UI())
	}
	var why []app.UI
	for _, t := range sheet.Ending(*s.Plan, s.Base) {
		why = append(why, parts.Small(s.Message(t)))
	}
	if len(why) > 0 {
		body = append(body, parts.Aside("why-end", s.T("page.days.why-end"), why...))
	}
	var figures []string
	for _, v := range s.Plan.Visits {
		figures = union(figures, v.Figures)
	}
	return parts.Panel{ID: "end", Late: true, Title: s.T("page.days.end"), Body: append(body, s.sources(figures)...)}.UI()
}

// total is the chair time of all visits.
func (s *Visits) total() string {
	i := slices.IndexFunc(s.Plan.Routes, func(x plan.RouteFacts) bool { return x.Chosen })
	if i < 0 {
		return s.T("page.numbers.unknown")
	}
	return s.minutes(s.Plan.Routes[i].Minutes)
}

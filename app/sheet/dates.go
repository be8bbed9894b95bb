package sheet

import (
	"math"
	"slices"

	"plainleaf/app/casefile"
	"plainleaf/app/order"
	"plainleaf/app/plan"
)

// tableMonths is how far ahead the dates of a printed table go; what follows is given as
// intervals. It is a matter of the page: a longer table would not fit on it.
const tableMonths = 24

// due is one row of the dates: when, what, and for agreed days what is said of them.
type due struct {
	date    casefile.Date // of its month
	when    Text
	what    []Text
	figures []string
	booked  []Text
	fixed   bool // not of a whole month
}

// dates lists the dates of the first years, to be booked, and how it goes on after them.
func (x *composer) dates() {
	rows := x.visitsDue()
	last := DatesEnd(x.c.Issued, x.pl)
	for _, u := range x.pl.Upkeep {
		if !u.Date.Before(x.c.Issued) && u.Date.Before(last) {
			rows = inMonth(rows, u.Date, M("upkeep."+u.Key+".name"), u.Figures)
		}
	}
	if len(rows) == 0 {
		return
	}
	order.By(rows, func(a, b due) int { return a.date.Compare(b.date) })
	x.add(Block{Kind: Heading, Level: 2, Text: M("sheet.dates.title"), Keep: true})
	x.para(M("sheet.dates.intro"), Ref{})
	b := Block{Kind: Table, Style: Due, Columns: []Text{M("sheet.dates.when"), M("sheet.dates.what"), M("sheet.dates.booked"), M("sheet.dates.done")}}
	for _, r := range rows {
		b.Items = append(b.Items, Item{Label: r.when, Cells: []Cell{{Texts: r.what}, {Texts: r.booked, Write: len(r.booked) == 0},
			{Boxes: []Box{{Text: M("sheet.dates.kept")}}}}, Ref: Ref{Figures: r.figures}})
	}
	b.Items = append(b.Items, x.after(last)...)
	x.add(b)
}

// DatesEnd is the day before which dates are listed: they go on for the first years from
// the last visit of the treatment, or from the day of the sheet where that is later.
func DatesEnd(issued casefile.Date, pl plan.Plan) casefile.Date {
	from := issued
	for _, v := range pl.Visits {
		if from.Before(v.Likely) {
			from = v.Likely
		}
	}
	return from.AddMonths(tableMonths).AddDays(1)
}

// visitsDue are the days agreed with the patient, and the visits after the last gluing.
func (x *composer) visitsDue() []due {
	var rows []due
	glued := -1
	for i, v := range x.pl.Visits {
		if v.Bonding {
			glued = i
		}
	}
	for i, v := range x.pl.Visits {
		name := x.visitName(v.Purpose)
		switch {
		case v.Done || v.Likely.Before(x.c.Issued):
		case v.Agreed:
			rows = append(rows, due{date: v.Likely, when: agreedDay(v, true), what: []Text{name}, figures: v.Figures, booked: agreedNotes(v), fixed: true})
		case glued >= 0 && i > glued && !v.Likely.IsZero():
			if guard, ok := x.guardDue(v); ok {
				rows = append(rows, guard)
			} else {
				rows = inMonth(rows, v.Likely, name, v.Figures)
			}
		}
	}
	return rows
}

// inMonth adds what is due to the row of its month, once.
func inMonth(rows []due, date casefile.Date, name Text, figures []string) []due {
	i := slices.IndexFunc(rows, func(r due) bool {
		return !r.fixed && r.date.Year == date.Year && r.date.Month == date.Month
	})
	if i < 0 {
		return append(rows, due{date: date, when: M("sheet.dates.month", "Date", Month{date}), what: []Text{name}, figures: slices.Clone(figures)})
	}
	if !slices.ContainsFunc(rows[i].what, func(t Text) bool { return t.ID == name.ID }) {
		rows[i].what = append(rows[i].what, name)
	}
	rows[i].figures = append(rows[i].figures, figures...)
	return rows
}

// guardFit is the visit at which a night guard is handed over, a set number of days after
// the last gluing.
const guardFit = "night-guard-fit"

// guardDue is the row of that visit.
func (x *composer) guardDue(v plan.Visit) (due, bool) {
	for _, l := range x.pl.Aftercare {
		if l.Phase != "guard" || v.Purpose != guardFit {
			continue
		}
		for _, id := range l.Figures {
			if f, ok := x.b.Figure(id); ok {
				return due{date: v.Likely, when: N("sheet.dates.within-days", int(f.High)), what: []Text{x.visitName(v.Purpose)}, figures: v.Figures, fixed: true}, true
			}
		}
	}
	return due{}, false
}

// after tells how the checks go on when the first years are over, those of one interval
// together.
func (x *composer) after(last casefile.Date) []Item {
	type every struct {
		months int
		names  []Text
		ref    Ref
	}
	var list []every
	told := map[string]bool{}
	for _, u := range x.pl.Upkeep {
		months := x.interval(u.Key)
		if told[u.Key] || u.Date.Before(last) || months == 0 {
			continue
		}
		told[u.Key] = true
		i := slices.IndexFunc(list, func(e every) bool { return e.months == months })
		if i < 0 {
			i, list = len(list), append(list, every{months: months})
		}
		list[i].names = append(list[i].names, M("upkeep."+u.Key+".name"))
		list[i].ref.Figures = append(list[i].ref.Figures, u.Figures...)
	}
	order.By(list, func(a, b every) int { return a.months - b.months })
	var items []Item
	for _, e := range list {
		items = append(items, Item{Label: N("sheet.dates.then", e.months), Cells: []Cell{{Texts: e.names, Span: 3}}, Ref: e.ref})
	}
	return items
}

// interval is the months between the last two dates of a check; 0 where it has only one.
func (x *composer) interval(key string) int {
	var dates []casefile.Date
	for _, u := range x.pl.Upkeep {
		if u.Key == key {
			dates = append(dates, u.Date)
		}
	}
	n := len(dates)
	if n < 2 {
		return 0
	}
	const daysAMonth = 365.2425 / 12
	return int(math.Round(float64(dates[n-2].DaysUntil(dates[n-1])) / daysAMonth))
}

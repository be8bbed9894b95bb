package state

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"plainleaf/app/casefile"
)

// Days is the days of the week and the closed times.
type Days struct{ p *Practice }

// Toggle sets or removes a day of the week: opening_days or laboratory_days.
func (ds Days) Toggle(list, day string) {
	days := &ds.p.file.OpeningDays
	if list == "laboratory_days" {
		days = &ds.p.file.LaboratoryDays
	}
	on := toggle(*days, day)
	// Days are kept in the order of the week.
	*days = slices.DeleteFunc(casefile.Weekdays(), func(d string) bool { return !slices.Contains(on, d) })
	ds.p.changed()
}

// Closures are the closed times: closures or laboratory_closures.
func (ds Days) Closures(list string) []casefile.Closure { return *ds.closures(list) }

func (ds Days) closures(list string) *[]casefile.Closure {
	if list == "laboratory_closures" {
		return &ds.p.file.LabClosures
	}
	return &ds.p.file.Closures
}

// AddClosure adds a closed time whose days are still blank.
func (ds Days) AddClosure(list string) {
	c := ds.closures(list)
	*c = append(slices.Clone(*c), casefile.Closure{})
	ds.p.changed()
}

// DropClosure takes a closed time out.
func (ds Days) DropClosure(list string, i int) {
	c := ds.closures(list)
	*c = slices.Delete(slices.Clone(*c), i, i+1)
	// What was typed moves up with its line.
	typed := texts{}
	for path, text := range ds.p.own.Typed {
		rest, here := strings.CutPrefix(path, list+"[")
		at, end, _ := strings.Cut(rest, "]")
		n, err := strconv.Atoi(at)
		switch {
		case !here || err != nil || n < i:
			typed[path] = text
		case n > i:
			typed[fmt.Sprintf("%s[%d]%s", list, n-1, end)] = text
		}
	}
	ds.p.own.Typed = typed
	ds.p.changed()
}

// SetClosure sets the first ("from") or last ("to") day of a closed time. Text
// that is not a date stays in the field.
func (ds Days) SetClosure(list string, i int, end, text string) {
	c := slices.Clone(*ds.closures(list))
	path := fmt.Sprintf("%s[%d].%s", list, i, end)
	d, _ := ds.p.own.Typed.date(path, text)
	if end == "from" {
		c[i].From = d
	} else {
		c[i].To = d
	}
	*ds.closures(list) = c
	ds.p.changed()
}

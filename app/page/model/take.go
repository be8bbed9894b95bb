package model

import (
	"fmt"
	"slices"
	"strings"

	"plainleaf/app/casefile"
	"plainleaf/app/fault"
	"plainleaf/app/plan"
	"plainleaf/app/produce"
)

// Visit is one visit of the plan with the day agreed for it.
type Visit struct {
	Key     string
	Number  int    // of the visits of that key, from 1
	Purpose string // "" when the plan no longer has it
	Nth, Of int    // of the visits of that purpose, from 1
	Likely  casefile.Date
	Agreed  *casefile.AgreedVisit // nil where no day is agreed
	Against []plan.Conflict       // what speaks against the agreed day
}

// Visits lists the visits of the plan, and after them the agreed ones that the
// plan no longer has, whose Likely is no date.
func (m *Model) Visits() []Visit {
	p := m.Plan()
	if p == nil {
		return nil
	}
	var out []Visit
	numbers, agreed := produce.Agreed(m.Case, *p)
	keys, purposes := map[string]int{}, map[string]int{}
	for i, v := range p.Visits {
		keys[v.Key]++
		purposes[v.Purpose]++
		out = append(out, Visit{Key: v.Key, Number: numbers[i], Purpose: v.Purpose, Nth: purposes[v.Purpose], Likely: v.Likely, Agreed: agreed[i], Against: v.Conflicts})
	}
	for i := range out {
		out[i].Of = purposes[out[i].Purpose]
	}
	for i, a := range m.Case.Visits {
		if a.Nth() > keys[a.Key] {
			out = append(out, Visit{Key: a.Key, Number: a.Nth(), Agreed: &m.Case.Visits[i]})
		}
	}
	return out
}

// DeliveryDue reports whether a case that is opened today is opened for a delivery
// sitting: it has come to the try-in, or it is agreed and the day of the first
// sitting, as agreed or at the earliest, has come.
func (m *Model) DeliveryDue() bool {
	p := m.Plan()
	switch {
	case m.Stage() == casefile.AtTryIn:
		return true
	case m.Stage() != casefile.Agreed || p == nil:
		return false
	}
	_, agreed := produce.Agreed(m.Case, *p)
	for i, v := range p.Visits {
		if !v.Bonding {
			continue
		}
		day := v.Earliest
		if agreed[i] != nil {
			day = agreed[i].Date
		}
		return !day.IsZero() && !m.today.Before(day)
	}
	return false
}

func (m *Model) agreed(key string, n int) int {
	return slices.IndexFunc(m.Case.Visits, func(a casefile.AgreedVisit) bool { return a.Key == key && a.Nth() == n })
}

// Agree notes that a day is agreed for a visit. The hour stays open.
func (m *Model) Agree(key string, n int, day casefile.Date) {
	if m.agreed(key, n) >= 0 {
		return
	}
	a := casefile.AgreedVisit{Key: key, Date: day}
	if n > 1 {
		a.Number = n
	}
	m.Case.Visits = append(slices.Clone(m.Case.Visits), a)
	m.changed()
}

// Disagree takes the day of a visit back.
func (m *Model) Disagree(key string, n int) {
	if i := m.agreed(key, n); i >= 0 {
		m.Case.Visits = emptied(slices.Delete(slices.Clone(m.Case.Visits), i, i+1))
		delete(m.typed, AgreedPath(key, n, "date"))
		delete(m.typed, AgreedPath(key, n, "time"))
		m.changed()
	}
}

// AgreedPath names the field for the date or time of a visit.
func AgreedPath(key string, n int, field string) string {
	return fmt.Sprintf("visit.%s.%d.%s", key, n, field)
}

// SetAgreedDate sets the day of an agreed visit. Text that is no date stays in
// the field, with the day before it in the case.
func (m *Model) SetAgreedDate(key string, n int, text string) {
	d, err := casefile.ParseDate(strings.TrimSpace(text))
	m.setAgreed(key, n, "date", text, err == nil, func(a *casefile.AgreedVisit) { a.Date = d })
}

// SetAgreedTime sets the hour of an agreed visit, "" for none. A full stop or a
// missing first zero are taken as they are meant.
func (m *Model) SetAgreedTime(key string, n int, text string) {
	s := strings.ReplaceAll(strings.TrimSpace(text), ".", ":")
	if len(s) == 4 && s[1] == ':' {
		s = "0" + s
	}
	t := casefile.Time(s)
	m.setAgreed(key, n, "time", text, t == "" || t.Valid(), func(a *casefile.AgreedVisit) { a.Time = t })
}

func (m *Model) setAgreed(key string, n int, field, text string, good bool, set func(*casefile.AgreedVisit)) {
	i := m.agreed(key, n)
	if i < 0 {
		return
	}
	path := AgreedPath(key, n, field)
	delete(m.typed, path)
	if good {
		m.Case.Visits = slices.Clone(m.Case.Visits)
		set(&m.Case.Visits[i])
	} else {
		m.typed[path] = strings.TrimSpace(text)
	}
	m.changed()
}

// Today is the day of the screen.
func (m *Model) Today() casefile.Date { return m.today }

// HandOutCalendar keeps what a calendar file that was handed out holds.
func (m *Model) HandOutCalendar(c *casefile.Calendar) { m.Case.Calendar = c; m.changed() }

// BaseFaults lists what is wrong with an address of the hosted program before it
// is put in use.
func (m *Model) BaseFaults(address string) fault.List {
	p := m.Practice
	p.BaseAddress = address
	return slices.DeleteFunc(p.Check(m.Words), func(f fault.Fault) bool { return f.Path != "base_address" })
}

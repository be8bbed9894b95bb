package state

import (
	"fmt"
	"slices"
	"strings"

	"plainleaf/app/casefile"
	"plainleaf/app/plan"
	"plainleaf/app/produce"
)

// Visits is the visits of the plan and the days agreed for them.
type Visits struct{ d *Draft }

// List lists the visits of the plan, and after them the agreed ones that the
// plan no longer has, whose Likely is no date.
func (vs Visits) List() []Visit {
	p := vs.d.Plan()
	if p == nil {
		return nil
	}
	var out []Visit
	numbers, agreed := produce.Agreed(vs.d.c, *p)
	keys, purposes := map[string]int{}, map[string]int{}
	for i, v := range p.Visits {
		keys[v.Key]++
		purposes[v.Purpose]++
		out = append(out, Visit{Key: v.Key, Number: numbers[i], Purpose: v.Purpose, Nth: purposes[v.Purpose], Likely: v.Likely, Agreed: agreed[i], Against: v.Conflicts})
	}
	for i := range out {
		out[i].Of = purposes[out[i].Purpose]
	}
	for i, a := range vs.d.c.Visits {
		if a.Nth() > keys[a.Key] {
			out = append(out, Visit{Key: a.Key, Number: a.Nth(), Agreed: &vs.d.c.Visits[i]})
		}
	}
	return out
}

// DeliveryDue reports whether a case that is opened today is opened for a delivery
// sitting: it has come to the try-in, or it is agreed and the day of the first
// sitting, as agreed or at the earliest, has come.
func (vs Visits) DeliveryDue() bool {
	p := vs.d.Plan()
	switch {
	case vs.d.Stage() == casefile.AtTryIn:
		return true
	case vs.d.Stage() != casefile.Agreed || p == nil:
		return false
	}
	_, agreed := produce.Agreed(vs.d.c, *p)
	for i, v := range p.Visits {
		if !v.Bonding {
			continue
		}
		day := v.Earliest
		if agreed[i] != nil {
			day = agreed[i].Date
		}
		return !day.IsZero() && !vs.d.today.Before(day)
	}
	return false
}

func (vs Visits) index(key string, n int) int {
	return slices.IndexFunc(vs.d.c.Visits, func(a casefile.AgreedVisit) bool { return a.Key == key && a.Nth() == n })
}

// Agree notes that a day is agreed for a visit. The hour stays open.
func (vs Visits) Agree(key string, n int, day casefile.Date) {
	if vs.index(key, n) >= 0 {
		return
	}
	defer vs.d.edit()()
	a := casefile.AgreedVisit{Key: key, Date: day}
	if n > 1 {
		a.Number = n
	}
	vs.d.c.Visits = append(slices.Clone(vs.d.c.Visits), a)
}

// Disagree takes the day of a visit back.
func (vs Visits) Disagree(key string, n int) {
	if i := vs.index(key, n); i >= 0 {
		defer vs.d.edit()()
		vs.d.c.Visits = emptied(slices.Delete(slices.Clone(vs.d.c.Visits), i, i+1))
		delete(vs.d.typed, AgreedPath(key, n, "date"))
		delete(vs.d.typed, AgreedPath(key, n, "time"))
	}
}

// SetDate sets the day of an agreed visit. Text that is no date stays in
// the field, with the day before it in the case.
func (vs Visits) SetDate(key string, n int, text string) {
	d, err := casefile.ParseDate(strings.TrimSpace(text))
	vs.set(key, n, "date", text, err == nil, func(a *casefile.AgreedVisit) { a.Date = d })
}

// SetTime sets the hour of an agreed visit, "" for none. A full stop or a
// missing first zero are taken as they are meant.
func (vs Visits) SetTime(key string, n int, text string) {
	s := strings.ReplaceAll(strings.TrimSpace(text), ".", ":")
	if len(s) == 4 && s[1] == ':' {
		s = "0" + s
	}
	t := casefile.Time(s)
	vs.set(key, n, "time", text, t == "" || t.Valid(), func(a *casefile.AgreedVisit) { a.Time = t })
}

func (vs Visits) set(key string, n int, field, text string, good bool, set func(*casefile.AgreedVisit)) {
	i := vs.index(key, n)
	if i < 0 {
		return
	}
	path := AgreedPath(key, n, field)
	defer vs.d.typing(path, text)()
	delete(vs.d.typed, path)
	if good {
		set(&vs.d.c.Visits[i])
	} else {
		vs.d.typed[path] = strings.TrimSpace(text)
	}
}

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

// AgreedPath names the field for the date or time of a visit.
func AgreedPath(key string, n int, field string) string {
	return fmt.Sprintf("visit.%s.%d.%s", key, n, field)
}

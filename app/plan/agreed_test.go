package plan

import (
	"maps"
	"math/rand/v2"
	"slices"
	"testing"

	"plainleaf/app/casefile"
	"plainleaf/app/plan/schedule"
	"plainleaf/build/outside"
	"plainleaf/build/trials"
)

func agree(c casefile.Case, vs ...casefile.AgreedVisit) casefile.Case {
	c.Visits = append(slices.Clone(c.Visits), vs...)
	return c
}

func kinds(v Visit) []string {
	var out []string
	for _, x := range v.Conflicts {
		out = append(out, x.Kind)
	}
	return out
}

// An agreed day is the day of its visit on every track, and what comes after is
// counted from it as it would be from the start of a plan: the same intervals.
func TestWhatFollowsIsCountedFromTheAgreedDay(t *testing.T) {
	p := demo(t)
	p.Closures, p.LabClosures = nil, nil
	c := simple(casefile.NoPrep, "lithium-disilicate", ten...)
	c.Findings = []string{"gum-inflammation"}
	free := mustFor(t, c, p, base)
	for _, v := range free.Visits {
		if v.Agreed || v.Conflicts != nil {
			t.Errorf("%s is agreed without a day", v.Key)
		}
	}
	// The first visit a year later: everything is as in a plan that starts then.
	moved := agree(c, casefile.AgreedVisit{Key: free.Visits[0].Key, Date: free.Visits[0].Likely.AddDays(364), Time: "09:05"})
	got := mustFor(t, moved, p, base)
	c.Start = c.Start.AddDays(364)
	want := mustFor(t, c, p, base)
	for i, v := range got.Visits {
		outside.Check(t, "the same intervals as from a later start", float64(want.Visits[i].Latest.DaysUntil(v.Latest)), 0, 0)
		if v.Key != want.Visits[i].Key || v.Span != want.Visits[i].Span || v.Conflicts != nil {
			t.Errorf("%s: %v, want %v; %v", v.Key, v.Span, want.Visits[i].Span, v.Conflicts)
		}
	}
	if v := got.Visits[0]; !v.Agreed || v.Time != "09:05" {
		t.Errorf("%+v", v)
	}
	for i, u := range got.Upkeep {
		if u.Date != want.Upkeep[i].Date || u.Key != want.Upkeep[i].Key {
			t.Errorf("upkeep %s %s, want %s", u.Key, u.Date, want.Upkeep[i].Date)
		}
	}
	// Every way begins with the same visit, so the others move with it.
	for i, r := range got.Routes {
		if r.Visits.High > 0 && r.Dates != want.Routes[i].Dates {
			t.Errorf("%s: %v, want %v", r.Key, r.Dates, want.Routes[i].Dates)
		}
	}
}

// An agreed bonding moves upkeep and the checks behind it, not what came before;
// the visits before it are planned so that they still come before.
func TestAnAgreedDayLeavesRoomBeforeIt(t *testing.T) {
	p := demo(t)
	c := simple(casefile.ConventionalPrep, "lithium-disilicate", six...)
	free := mustFor(t, c, p, base)
	i := slices.IndexFunc(free.Visits, func(v Visit) bool { return v.Bonding })
	b := free.Visits[i]
	c = agree(c, casefile.AgreedVisit{Key: b.Key, Date: b.Earliest})
	got := mustFor(t, c, p, base)
	v := visit(t, got, b.Key)
	if v.Span != (Span{Earliest: b.Earliest, Likely: b.Earliest, Latest: b.Earliest}) || len(v.Conflicts) > 0 {
		t.Errorf("bonding %v, %v", v.Span, v.Conflicts)
	}
	capped := 0
	for j, v := range got.Visits[:i] {
		f := free.Visits[j]
		if v.Key != f.Key || v.Earliest != f.Earliest || b.Earliest.Before(v.Latest) || v.Latest.Before(v.Likely) || v.Likely.Before(v.Earliest) {
			t.Errorf("%s: %v before the agreed %s, was %v", v.Key, v.Span, b.Earliest, f.Span)
		}
		if v.Latest != f.Latest {
			capped++
		}
	}
	if capped == 0 {
		t.Error("no visit before it was moved")
	}
	if u, f := got.Upkeep[0].Date, free.Upkeep[0].Date; !u.Before(f) {
		t.Errorf("the first check is on %s as before (%s)", u, f)
	}
}

func TestConflictsAreTold(t *testing.T) {
	p := demo(t)
	p.OpeningDays, p.Closures = []string{"mon", "tue", "wed", "thu", "fri"}, []casefile.Closure{{From: day(t, "2027-01-04"), To: day(t, "2027-01-08")}}
	c := simple(casefile.NoPrep, "lithium-disilicate", "11", "21")
	free := mustFor(t, c, p, base)
	first, last := free.Visits[0], free.Visits[len(free.Visits)-1]
	i := slices.IndexFunc(free.Visits, func(v Visit) bool { return v.Bonding })
	bond := free.Visits[i]
	sunday := bond.Latest
	for sunday.Weekday() != 0 {
		sunday = sunday.AddDays(1)
	}
	for name, x := range map[string]struct {
		visits []casefile.AgreedVisit
		key    string
		want   []string
		date   casefile.Date
	}{
		"on an open day":           {[]casefile.AgreedVisit{{Key: bond.Key, Date: bond.Likely}}, bond.Key, nil, casefile.Date{}},
		"the first possible day":   {[]casefile.AgreedVisit{{Key: bond.Key, Date: bond.Earliest}}, bond.Key, nil, casefile.Date{}},
		"too early":                {[]casefile.AgreedVisit{{Key: bond.Key, Date: bond.Earliest.AddDays(-1)}}, bond.Key, []string{ConflictEarly}, bond.Earliest},
		"a Sunday":                 {[]casefile.AgreedVisit{{Key: bond.Key, Date: sunday}}, bond.Key, []string{ConflictClosed}, casefile.Date{}},
		"a holiday":                {[]casefile.AgreedVisit{{Key: first.Key, Date: day(t, "2027-01-05")}}, first.Key, []string{ConflictClosed}, casefile.Date{}},
		"before the planned start": {[]casefile.AgreedVisit{{Key: first.Key, Date: c.Start.AddDays(-1)}}, first.Key, nil, casefile.Date{}},
		"before the visit in front": {[]casefile.AgreedVisit{{Key: last.Key, Date: bond.Likely.AddDays(-1)}, {Key: bond.Key, Date: bond.Likely}},
			last.Key, []string{ConflictOrder}, bond.Likely},
		"before the first visit": {[]casefile.AgreedVisit{{Key: last.Key, Date: bond.Latest}, {Key: first.Key, Date: bond.Latest.AddDays(7)}},
			last.Key, []string{ConflictOrder}, bond.Latest.AddDays(7)},
		"a second visit of a key that stands once": {[]casefile.AgreedVisit{{Key: bond.Key, Number: 2, Date: sunday}}, bond.Key, nil, casefile.Date{}},
	} {
		got := mustFor(t, agree(c, x.visits...), p, base)
		v := visit(t, got, x.key)
		if !slices.Equal(kinds(v), x.want) {
			// A day before the earliest may fall on a closed one too.
			if !slices.Contains(kinds(v), ConflictEarly) || !slices.Contains(x.want, ConflictEarly) {
				t.Errorf("%s: %v, want %v", name, v.Conflicts, x.want)
			}
			continue
		}
		if len(x.want) > 0 && v.Conflicts[0].Date != x.date {
			t.Errorf("%s: %v, want %v", name, v.Conflicts[0].Date, x.date)
		}
	}
}

// Whatever is agreed, of any case: the agreed day is kept, spans stay in order, and a
// visit without a conflict comes after all before it, unless the agreed days themselves
// are in conflict about their order.
func TestAgreedDaysOfAnyCase(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 11))
	p := demo(t)
	examples := cases(t)
	for _, name := range slices.Sorted(maps.Keys(examples)) {
		c := examples[name]
		free := mustFor(t, c, p, base)
		if len(free.Visits) == 0 {
			continue
		}
		for range trials.N(4, 40, 400) {
			d := c
			d.Visits = nil
			for _, v := range free.Visits {
				if rng.IntN(2) == 0 && v.Likely.Exists() {
					d.Visits = append(d.Visits, casefile.AgreedVisit{Key: v.Key, Date: v.Likely.AddDays(rng.IntN(60) - 20)})
				}
			}
			got := mustFor(t, d, p, base)
			if n, want := doings(got), doings(free); n != want { // days decide what shares an appointment
				t.Fatalf("%s: %d things are done, %d without agreed days", name, n, want)
			}
			disordered := slices.ContainsFunc(got.Visits, func(v Visit) bool { return slices.Contains(kinds(v), ConflictOrder) })
			for _, v := range got.Visits {
				if v.Latest.Before(v.Likely) || v.Likely.Before(v.Earliest) {
					t.Errorf("%s: %s %v with %v", name, v.Key, v.Span, d.Visits)
				}
				a := d.AgreedDay(v.Key, 1)
				for _, x := range v.With {
					if a == nil {
						a = d.AgreedDay(x.Key, 1)
					}
				}
				if v.Done { // what took place has its own day
					continue
				}
				if (a != nil) != v.Agreed || a != nil && v.Span != (Span{Earliest: a.Date, Likely: a.Date, Latest: a.Date}) {
					t.Errorf("%s: %s %v, agreed %v", name, v.Key, v.Span, a)
				}
				if disordered || len(kinds(v)) > 0 || v.After == "" || v.Likely.IsZero() {
					continue
				}
				if before := visit(t, got, v.After); before.Agreed && !v.Does(before.Key) && v.Earliest.Before(before.Earliest) {
					t.Errorf("%s: %s on %v before %s on %v, not told; %v", name, v.Key, v.Span, before.Key, before.Span, d.Visits)
				}
			}
		}
	}
}

// What a finding adds is counted from the days that are agreed: they are fixed, and
// would not come sooner without it.
func TestWhatAFindingAddsLeavesAgreedDays(t *testing.T) {
	c := simple("conventional-prep", "feldspathic", "11", "21")
	c.Findings = []string{"gum-inflammation"}
	free := mustFor(t, c, demo(t), base)
	late := free.Visits[slices.IndexFunc(free.Visits, func(v Visit) bool { return v.Key == "delivery" })].Latest.AddDays(56)
	c.Visits = []casefile.AgreedVisit{{Key: "delivery", Date: late}}
	p := mustFor(t, c, demo(t), base)
	if len(free.Adds) != 1 || len(p.Adds) != 0 {
		t.Errorf("adds %+v, with an agreed day %+v", free.Adds, p.Adds)
	}
}

// doings is how many things are done at the visits, a guard's stop-gap and checks of covers
// left out: they depend on the days.
func doings(p Plan) (n int) {
	for _, v := range p.Visits {
		for _, key := range append([]string{v.Purpose}, purposes(v)...) {
			if key != schedule.CoverCheck && key != schedule.StopGap {
				n++
			}
		}
	}
	return n
}

func purposes(v Visit) (out []string) {
	for _, x := range v.With {
		out = append(out, x.Purpose)
	}
	return out
}

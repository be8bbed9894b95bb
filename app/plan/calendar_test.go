package plan

import (
	"testing"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
)

func day(t testing.TB, s string) casefile.Date {
	t.Helper()
	d, err := casefile.ParseDate(s)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func worker(p casefile.Practice) *work {
	return newWork(casefile.Case{}, p, base)
}

// Calendar arithmetic: month ends keep to the month, leap years as in the
// Gregorian calendar (a year divisible by 4, not by 100 unless by 400).
func TestAddIntervals(t *testing.T) {
	w := worker(casefile.Practice{})
	for _, c := range []struct {
		from string
		v    float64
		u    evidence.Unit
		want string
	}{
		{"2026-08-31", 6, "months", "2027-02-28"},
		{"2027-08-31", 6, "months", "2028-02-29"},
		{"2028-02-29", 12, "months", "2029-02-28"},
		{"2028-02-29", 48, "months", "2032-02-29"},
		{"2096-02-29", 4, "years", "2100-02-28"}, // 2100 is no leap year
		{"1996-02-29", 4, "years", "2000-02-29"}, // 2000 is one
		{"2026-01-31", 1, "months", "2026-02-28"},
		{"2026-12-31", 1, "days", "2027-01-01"},
		{"2026-12-01", 2, "weeks", "2026-12-15"},
		{"2026-12-01", 0.5, "weeks", "2026-12-05"}, // 3.5 days count as 4
		{"2026-12-01", 24, "hours", "2026-12-02"},
		{"2026-12-01", 25, "hours", "2026-12-03"},
		{"2026-12-01", 1.5, "months", "2027-01-16"},
		{"2026-12-04", 1, "working-days", "2026-12-07"}, // Friday to Monday
		{"2026-12-04", 10, "working-days", "2026-12-18"},
		{"2026-12-05", 1, "working-days", "2026-12-07"}, // from a Saturday
		{"2026-12-04", 0, "working-days", "2026-12-04"},
	} {
		if got := w.add(day(t, c.from), c.v, c.u); got != day(t, c.want) {
			t.Errorf("%s + %v %s = %s, want %s", c.from, c.v, c.u, got, c.want)
		}
	}
	if len(w.faults) > 0 {
		t.Error(w.faults.Err())
	}
	w.add(day(t, "2026-12-01"), 1, "mm")
	if !w.faults.Has("PLAN-UNIT") {
		t.Error("an interval in millimeters is no fault")
	}
}

func TestRoll(t *testing.T) {
	p := casefile.Practice{OpeningDays: []string{"tue", "thu"}, Closures: []casefile.Closure{
		{From: day(t, "2026-12-24"), To: day(t, "2027-01-01")}, {From: day(t, "2026-12-20"), To: day(t, "2026-12-24")}}}
	c := newCalendar(p)
	for from, want := range map[string]string{
		"2026-12-01": "2026-12-01", "2026-12-02": "2026-12-03", "2026-12-04": "2026-12-08", "2026-12-18": "2027-01-05", "2026-12-22": "2027-01-05",
	} {
		if got, ok := c.roll(day(t, from)); !ok || got != day(t, want) {
			t.Errorf("%s rolls to %s, want %s", from, got, want)
		}
	}
	sunday := newCalendar(casefile.Practice{OpeningDays: []string{"sun"}})
	if got, _ := sunday.roll(day(t, "2026-12-01")); got != day(t, "2026-12-06") {
		t.Errorf("a Sunday practice opens on %s", got)
	}
}

func TestLaboratoryDays(t *testing.T) {
	p := casefile.Practice{LaboratoryDays: []string{"mon", "wed"}, LabClosures: []casefile.Closure{{From: day(t, "2026-12-09"), To: day(t, "2026-12-15")}}}
	c := newCalendar(p)
	// Wed 2, Mon 7, then Wed 9 and Mon 14 closed, Wed 16.
	if got, ok := c.afterLab(day(t, "2026-12-01"), 3); !ok || got != day(t, "2026-12-16") {
		t.Errorf("three laboratory days after 2026-12-01: %s", got)
	}
}

// A start at the end of the calendar is told as that, not as closed doors.
func TestAStartTooLate(t *testing.T) {
	for _, start := range []string{"2999-12-31", "2999-12-20", "2999-06-01"} {
		c := simple("no-prep", "lithium-disilicate", "11")
		c.Issued, c.Start = day(t, start), day(t, start)
		_, faults := For(c, demo(t), base)
		if !faults.Has("PLAN-TOO-LATE") || faults.Has("PLAN-NEVER-OPEN") || faults.Has("PLAN-LABORATORY-NEVER-OPEN") {
			t.Errorf("%s: %v", start, faults.Lines())
		}
	}
}

func TestPracticeThatNeverOpens(t *testing.T) {
	p := demo(t)
	p.Closures = []casefile.Closure{{From: day(t, "2026-01-01"), To: day(t, "2999-12-31")}}
	_, faults := For(simple("no-prep", "lithium-disilicate", "11"), p, base)
	if !faults.Has("PLAN-NEVER-OPEN") {
		t.Errorf("faults: %v", faults.Lines())
	}
	p = demo(t)
	p.Closures = []casefile.Closure{{From: day(t, "2026-12-07"), To: day(t, "2999-12-31")}} // after the first visit
	if _, faults := For(simple("no-prep", "lithium-disilicate", "11"), p, base); !faults.Has("PLAN-NEVER-OPEN") {
		t.Errorf("faults: %v", faults.Lines())
	}
	p = demo(t)
	p.LabClosures = []casefile.Closure{{From: day(t, "2026-01-01"), To: day(t, "2999-12-31")}}
	if _, faults := For(simple("no-prep", "lithium-disilicate", "11"), p, base); !faults.Has("PLAN-LABORATORY-NEVER-OPEN") {
		t.Errorf("faults: %v", faults.Lines())
	}
}

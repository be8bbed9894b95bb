package schedule

import (
	"math/rand/v2"
	"testing"
	"time"

	"github.com/rickar/cal/v2"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
	"plainleaf/app/plan/basis"
	"plainleaf/build/outside"
	"plainleaf/content"
)

func TestMain(m *testing.M) { outside.Main(m) }

var base = content.MustLoad()

func day(t testing.TB, s string) casefile.Date {
	t.Helper()
	d, err := casefile.ParseDate(s)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func calendarOf(p casefile.Practice) *Calendar {
	return NewCalendar(basis.New(casefile.Case{}, p, base))
}

// Calendar arithmetic: month ends keep to the month, leap years as in the
// Gregorian calendar (a year divisible by 4, not by 100 unless by 400).
func TestAddIntervals(t *testing.T) {
	w := calendarOf(casefile.Practice{})
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
		if got := w.Add(day(t, c.from), c.v, c.u); got != day(t, c.want) {
			t.Errorf("%s + %v %s = %s, want %s", c.from, c.v, c.u, got, c.want)
		}
	}
	if len(w.basis.Faults()) > 0 {
		t.Error(w.basis.Faults().Err())
	}
	w.Add(day(t, "2026-12-01"), 1, "mm")
	if !w.basis.Faults().Has("PLAN-UNIT") {
		t.Error("an interval in millimeters is no fault")
	}
}

func TestRoll(t *testing.T) {
	p := casefile.Practice{OpeningDays: []string{"tue", "thu"}, Closures: []casefile.Closure{
		{From: day(t, "2026-12-24"), To: day(t, "2027-01-01")}, {From: day(t, "2026-12-20"), To: day(t, "2026-12-24")}}}
	c := calendarOf(p)
	for from, want := range map[string]string{
		"2026-12-01": "2026-12-01", "2026-12-02": "2026-12-03", "2026-12-04": "2026-12-08", "2026-12-18": "2027-01-05", "2026-12-22": "2027-01-05",
	} {
		if got, ok := c.roll(day(t, from)); !ok || got != day(t, want) {
			t.Errorf("%s rolls to %s, want %s", from, got, want)
		}
	}
	sunday := calendarOf(casefile.Practice{OpeningDays: []string{"sun"}})
	if got, _ := sunday.roll(day(t, "2026-12-01")); got != day(t, "2026-12-06") {
		t.Errorf("a Sunday practice opens on %s", got)
	}
}

func TestLaboratoryDays(t *testing.T) {
	p := casefile.Practice{LaboratoryDays: []string{"mon", "wed"}, LabClosures: []casefile.Closure{{From: day(t, "2026-12-09"), To: day(t, "2026-12-15")}}}
	c := calendarOf(p)
	// Wed 2, Mon 7, then Wed 9 and Mon 14 closed, Wed 16.
	if got, ok := c.afterLab(day(t, "2026-12-01"), 3); !ok || got != day(t, "2026-12-16") {
		t.Errorf("three laboratory days after 2026-12-01: %s", got)
	}
}

// Laboratory working days against a calendar library's workdays, over year ends,
// leap days and closures.
func TestWorkingDaysAgainstLibrary(t *testing.T) {
	const src = "working days (github.com/rickar/cal, workdays)"
	closed := []casefile.Closure{{From: day(t, "2026-12-24"), To: day(t, "2027-01-03")}, {From: day(t, "2028-02-28"), To: day(t, "2028-03-01")}}
	lib := cal.NewBusinessCalendar()
	lib.SetWorkday(time.Saturday, true)
	for _, c := range closed {
		for d := c.From; !c.To.Before(d); d = d.AddDays(1) {
			lib.AddHoliday(&cal.Holiday{Name: d.String(), Type: cal.ObservancePublic, Month: time.Month(d.Month), Day: d.Day, StartYear: d.Year, EndYear: d.Year, Func: cal.CalcDayOfMonth})
		}
	}
	w := calendarOf(casefile.Practice{LaboratoryDays: []string{"mon", "tue", "wed", "thu", "fri", "sat"}, LabClosures: closed})
	of := func(d casefile.Date) time.Time {
		return time.Date(d.Year, time.Month(d.Month), d.Day, 12, 0, 0, 0, time.UTC)
	}
	for _, from := range []string{"2026-12-01", "2026-12-19", "2026-12-23", "2026-12-24", "2026-12-31", "2027-01-03", "2028-02-25", "2028-02-29", "2028-12-30"} {
		for n := 1; n <= 25; n += 3 {
			want := lib.WorkdaysFrom(of(day(t, from)), n)
			outside.Equal(t, src, w.Add(day(t, from), float64(n), "working-days").String(), want.Format(time.DateOnly))
		}
	}
	// Opening days: the first workday on or after.
	for d := day(t, "2026-12-15"); d.Before(day(t, "2027-01-15")); d = d.AddDays(1) {
		want := of(d)
		for !lib.IsWorkday(want) {
			want = want.AddDate(0, 0, 1)
		}
		c := calendarOf(casefile.Practice{OpeningDays: []string{"mon", "tue", "wed", "thu", "fri", "sat"}, Closures: closed})
		got, _ := c.roll(d)
		outside.Equal(t, src, got.String(), want.Format(time.DateOnly))
	}
}

// Days, weeks, months and years against the standard library's calendar, where a
// day the month lacks runs over and is taken back here to the month's last.
func TestIntervalsAgainstLibrary(t *testing.T) {
	const src = "calendar intervals (Go time package)"
	w := calendarOf(casefile.Practice{})
	r := rand.New(rand.NewPCG(1, 2))
	for range 200 {
		d := casefile.Date{Year: 2000, Month: 1, Day: 1}.AddDays(r.IntN(150_000))
		at := time.Date(d.Year, time.Month(d.Month), d.Day, 0, 0, 0, 0, time.UTC)
		n := r.IntN(60)
		outside.Equal(t, src, w.Add(d, float64(n), "days").String(), at.AddDate(0, 0, n).Format(time.DateOnly))
		outside.Equal(t, src, w.Add(d, float64(n), "weeks").String(), at.AddDate(0, 0, 7*n).Format(time.DateOnly))
		for unit, months := range map[evidence.Unit]int{"months": n, "years": 12 * n} {
			want := at.AddDate(0, months, 0)
			if want.Day() != at.Day() {
				want = want.AddDate(0, 0, -want.Day())
			}
			outside.Equal(t, src, w.Add(d, float64(n), unit).String(), want.Format(time.DateOnly))
		}
	}
}

// NICE CG19 bounds (CV-37): 3 to 24 months, under 18 at most 12.
func TestRecallBounds(t *testing.T) {
	const src = "NICE CG19 recall bounds (CV-37)"
	interval := func(asked float64, age string) float64 {
		s := basis.New(casefile.Case{People: &casefile.People{AgeBand: age}}, casefile.Practice{}, base)
		u := upkeeper{basis: s, cal: NewCalendar(s)}
		return u.bounded(asked, s.Ledger(false))
	}
	outside.Check(t, src, interval(1, "adult"), 3, 0)
	outside.Check(t, src, interval(36, "adult"), 24, 0)
	outside.Check(t, src, interval(36, "older-adult"), 24, 0)
	outside.Check(t, src, interval(36, "adolescent"), 12, 0)
	outside.Check(t, src, interval(36, "child"), 12, 0)
	if interval(6, "adult") != 6 {
		t.Error("an interval within the bounds is changed")
	}
}

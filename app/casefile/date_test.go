package casefile

import (
	"testing"
	"time"
)

func TestParseDate(t *testing.T) {
	for _, s := range []string{"2026-11-25", "2028-02-29", "2000-02-29", "1900-01-01", "2999-12-31"} {
		d, err := ParseDate(s)
		if err != nil || d.String() != s || !d.Exists() {
			t.Errorf("%s is read as %v (%v)", s, d, err)
		}
	}
	// 1900 and 2100 are no leap years in the Gregorian calendar.
	for _, s := range []string{"", "2026-02-29", "2100-02-29", "2026-02-30", "2026-13-01", "2026-00-10", "2026-1-1", "26-11-25",
		"2026/11/25", "2026-11-25T00:00:00Z", " 2026-11-25", "1899-12-31", "3000-01-01", "٢٠٢٦-١١-٢٥"} {
		if d, err := ParseDate(s); err == nil {
			t.Errorf("%q is read as %v", s, d)
		}
	}
	if (Date{2026, 2, 30}).Exists() || (Date{}).Exists() || (Date{2026, 13, 1}).Exists() {
		t.Error("a day that there is not exists")
	}
}

func TestDateArithmetic(t *testing.T) {
	d := Date{2026, 8, 31}
	for n, want := range map[int]string{6: "2027-02-28", 18: "2028-02-29", 1: "2026-09-30", 12: "2027-08-31", -6: "2026-02-28", 0: "2026-08-31", 4: "2026-12-31"} {
		if got := d.AddMonths(n).String(); got != want {
			t.Errorf("%v and %d months is %s, want %s", d, n, got, want)
		}
	}
	if got := (Date{2027, 12, 31}).AddDays(60).String(); got != "2028-02-29" {
		t.Errorf("got %s", got)
	}
	// A day has no hours here, so that no change of the clock can lose one.
	for n := -400; n <= 400; n++ {
		if e := d.AddDays(n); d.DaysUntil(e) != n || e.Before(d) != (n < 0) {
			t.Fatalf("%d days: %v, counted %d", n, e, d.DaysUntil(e))
		}
	}
	// 25 November 2026 is a Wednesday (ISO 8601 week 48).
	if got := (Date{2026, 11, 25}).Weekday(); got != time.Wednesday {
		t.Errorf("got %v", got)
	}
}

// Every day a file may hold, against the standard library's calendar.
func TestDaysAgainstTheStandardLibrary(t *testing.T) {
	at := time.Date(1900, 1, 1, 0, 0, 0, 0, time.UTC)
	d := Date{1900, 1, 1}
	for n := 0; at.Year() < 3000; n++ {
		if d != dateOf(at) || d.Weekday() != at.Weekday() || (Date{1900, 1, 1}).DaysUntil(d) != n {
			t.Fatalf("day %d: %v (%v), the library has %v", n, d, d.Weekday(), at)
		}
		if back := d.AddDays(-n); back != (Date{1900, 1, 1}) {
			t.Fatalf("%v less %d days is %v", d, n, back)
		}
		if n%37 == 0 { // the library lets a day the month lacks run over
			months := n % 50
			first := dateOf(time.Date(d.Year, time.Month(d.Month+months), 1, 0, 0, 0, 0, time.UTC))
			got := d.AddMonths(months)
			if got.Year != first.Year || got.Month != first.Month || got.Day > d.Day || !got.Exists() && got.Year < 3000 {
				t.Fatalf("%v and %d months is %v", d, months, got)
			}
		}
		d, at = d.AddDays(1), at.AddDate(0, 0, 1)
	}
}

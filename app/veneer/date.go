package veneer

import (
	"fmt"
	"time"

	"plainleaf/app/fault"
)

// Date is a civil date in the proleptic Gregorian calendar, without a time zone.
// The zero value means "no date".
type Date struct{ Year, Month, Day int }

// ParseDate reads an ISO 8601 calendar date, YYYY-MM-DD, that exists.
func ParseDate(s string) (Date, error) {
	t, err := time.Parse(time.DateOnly, s)
	if err != nil || t.Year() < 1900 || t.Year() > 2999 {
		return Date{}, fmt.Errorf("%q is not a date such as 2026-11-25 between 1900 and 2999", s)
	}
	return dateOf(t), nil
}

func dateOf(t time.Time) Date { return Date{t.Year(), int(t.Month()), t.Day()} }

func (d Date) time() time.Time {
	return time.Date(d.Year, time.Month(d.Month), d.Day, 0, 0, 0, 0, time.UTC)
}

// IsZero reports whether d means "no date".
func (d Date) IsZero() bool { return d == Date{} }

// String is the ISO 8601 form, empty for no date.
func (d Date) String() string {
	if d.IsZero() {
		return ""
	}
	return fmt.Sprintf("%04d-%02d-%02d", d.Year, d.Month, d.Day)
}

// AddDays moves n calendar days.
func (d Date) AddDays(n int) Date { return dateOf(d.time().AddDate(0, 0, n)) }

// AddMonths moves n calendar months; a day the month lacks becomes its last day,
// so that 31 August plus six months is 28 or 29 February.
func (d Date) AddMonths(n int) Date {
	first := time.Date(d.Year, time.Month(d.Month), 1, 0, 0, 0, 0, time.UTC).AddDate(0, n, 0)
	last := first.AddDate(0, 1, -1).Day()
	return Date{first.Year(), int(first.Month()), min(d.Day, last)}
}

// Weekday is the day of the week.
func (d Date) Weekday() time.Weekday { return d.time().Weekday() }

// Before reports whether d is earlier than e.
func (d Date) Before(e Date) bool { return d.time().Before(e.time()) }

// DaysUntil counts calendar days from d to e, negative when e is earlier.
func (d Date) DaysUntil(e Date) int { return int(e.time().Sub(d.time()).Hours() / 24) }

// Exists reports whether d is a day of the calendar within the years a file may hold.
func (d Date) Exists() bool {
	return d.Year >= 1900 && d.Year <= 2999 && dateOf(d.time()) == d
}

// MarshalText writes the ISO 8601 form.
func (d Date) MarshalText() ([]byte, error) { return []byte(d.String()), nil }

// UnmarshalText reads the ISO 8601 form; the empty string is no date.
func (d *Date) UnmarshalText(b []byte) error {
	*d = Date{}
	if len(b) == 0 {
		return nil
	}
	p, err := ParseDate(string(b))
	if err != nil {
		return fault.New("DATE-INVALID", "", "%v", err)
	}
	*d = p
	return nil
}

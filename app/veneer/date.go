package veneer

import (
	"encoding/json"
	"fmt"
	"time"
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

// MarshalJSON writes the ISO 8601 form.
func (d Date) MarshalJSON() ([]byte, error) { return json.Marshal(d.String()) }

// UnmarshalJSON reads the ISO 8601 form; the empty string is no date.
func (d *Date) UnmarshalJSON(b []byte) error {
	var s string
	if err := json.Unmarshal(b, &s); err != nil {
		return err
	}
	if s == "" {
		*d = Date{}
		return nil
	}
	p, err := ParseDate(s)
	*d = p
	return err
}

package casefile

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

// Days counts the days from 1 March of the year 0 in the proleptic Gregorian
// calendar: whole years of 365 days with their leap days, then months, which from
// March on follow a straight line of 153 days in five months. For years from 1 on.
func (d Date) Days() int {
	y, m := d.Year, d.Month-3
	if m < 0 {
		y, m = y-1, m+12
	}
	return 365*y + y/4 - y/100 + y/400 + (153*m+2)/5 + d.Day - 1
}

// DateAt is the date of a count of days, not negative, by a few multiplications: Neri and
// Schneider, Euclidean affine functions and their application to calendar
// algorithms, Softw Pract Exper 2023;53(4):937-970.
func DateAt(days int) Date {
	n := 4*uint32(days) + 3
	century, inCentury := n/146097, n%146097/4
	p := 2939745 * uint64(4*inCentury+3)
	inYear := uint32(p) / 2939745 / 4
	m := 2141*inYear + 197913
	d := Date{int(100*century + uint32(p>>32)), int(m >> 16), int(m&0xffff)/2141 + 1}
	if inYear >= 306 { // January and February belong to the year that began in March
		d.Year, d.Month = d.Year+1, d.Month-12
	}
	return d
}

// AddDays moves n calendar days.
func (d Date) AddDays(n int) Date { return DateAt(d.Days() + n) }

// AddMonths moves n calendar months; a day the month lacks becomes its last day,
// so that 31 August plus six months is 28 or 29 February.
func (d Date) AddMonths(n int) Date {
	month := func(n int) Date {
		n += 12*d.Year + d.Month - 1
		return Date{n / 12, n%12 + 1, 1}
	}
	first := month(n)
	if d.Day <= 28 { // every month has it
		return Date{first.Year, first.Month, d.Day}
	}
	return Date{first.Year, first.Month, min(d.Day, first.DaysUntil(month(n+1)))}
}

// Weekday is the day of the week.
func (d Date) Weekday() time.Weekday { return WeekdayAt(d.Days()) }

// WeekdayAt is that of a count of days: 1 March of the year 0 was a Wednesday.
func WeekdayAt(n int) time.Weekday { return time.Weekday((n + 3) % 7) }

// Before reports whether d is earlier than e.
func (d Date) Before(e Date) bool { return d.Compare(e) < 0 }

// Compare is negative when d is earlier than e, positive when it is later.
func (d Date) Compare(e Date) int {
	switch {
	case d.Year != e.Year:
		return d.Year - e.Year
	case d.Month != e.Month:
		return d.Month - e.Month
	}
	return d.Day - e.Day
}

// DaysUntil counts calendar days from d to e, negative when e is earlier.
func (d Date) DaysUntil(e Date) int { return e.Days() - d.Days() }

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

// Package calendar writes dated events as an iCalendar file (RFC 5545, with the
// name and color of RFC 7986). Every date is an event of its own: a rule that
// repeats on the 31st skips months, and programs differ in how they mend that.
// The same events give the same bytes.
package calendar

import (
	"cmp"
	"crypto/sha256"
	"encoding/binary"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"plainleaf/app/casefile"
	"plainleaf/app/fault"
	"plainleaf/app/order"
	"plainleaf/app/safetext"
)

// MediaType is that of the file (RFC 5545, section 8.1); in a mail it names the
// method as well (RFC 6047, section 2.4).
func (c Calendar) MediaType() string {
	if c.Organizer != "" {
		return "text/calendar; charset=UTF-8; method=" + publish
	}
	return "text/calendar; charset=UTF-8"
}

// publish is the method of a file that is handed out and asks for no answer:
// later ones with a higher SEQUENCE replace its events or, with STATUS:CANCELLED,
// withdraw them. It needs an organizer and no attendee (RFC 5546, sections 2.1.4
// and 3.2.1).
const publish = "PUBLISH"

// Calendar is a file of events.
type Calendar struct {
	Name  string // shown as the calendar's name, "" for none
	Lang  string // BCP 47 tag of the texts
	Color string // a CSS3 color name, "" for none
	// Stamp is the day the events were written down; their DTSTAMP is its first second in UTC.
	Stamp casefile.Date
	// Revision rises with each later version of the same events, which then
	// replace the ones before (SEQUENCE).
	Revision int
	// Organizer is the mail address of who hands the file out. Without one the file
	// has no method and is a mere copy of the dates.
	Organizer string
	// Zone is the IANA name of the time zone of all hours, and Offset gives the
	// seconds its clocks are ahead of UTC at a Unix time. Without them hours are
	// those of the clock wherever the reader is, which is the practice's on the day.
	Zone   string
	Offset func(unix int64) int
	Events []Event
}

// Event lasts one whole day where no hour is known.
type Event struct {
	ID          string // as ID makes it; the same in every revision
	Date        casefile.Date
	Time        casefile.Time // "" for the whole day
	Minutes     int           // how long it takes, 0 not known; with Time only
	Summary     string        // seen on shared screens
	Description string
	// Tentative: planned, not yet agreed on. Withdrawn: in an earlier file, and not
	// planned any more.
	Tentative, Withdrawn bool
	// Alarms are hours before the start: of the day, at midnight where the reader
	// is, or of the hour.
	Alarms []int
}

// Now gives what stands in the file afterwards: given, which earlier files held,
// brought up to the events of this one.
func (c Calendar) Now(given []casefile.GivenEvent) []casefile.GivenEvent {
	out := slices.DeleteFunc(slices.Clone(given), func(g casefile.GivenEvent) bool {
		return slices.ContainsFunc(c.Events, func(e Event) bool { return e.ID == g.ID })
	})
	for _, e := range c.Events {
		out = append(out, casefile.GivenEvent{ID: e.ID, Date: e.Date, Time: e.Time, Withdrawn: e.Withdrawn})
	}
	order.By(out, func(a, b casefile.GivenEvent) int {
		return cmp.Or(a.Date.Compare(b.Date), strings.Compare(string(a.Time), string(b.Time)), strings.Compare(a.ID, b.ID))
	})
	return out
}

// ID makes the id of an event from what stays the same in every revision. It is
// a UUID of version 8 (RFC 9562) cut from a SHA-256, so nothing can be read from
// it (RFC 7986, section 5.3).
func ID(parts ...string) string {
	h := sha256.New()
	for _, p := range parts {
		var n [8]byte
		binary.BigEndian.PutUint64(n[:], uint64(len(p)))
		h.Write(n[:])
		h.Write([]byte(p))
	}
	b := h.Sum(nil)[:16]
	b[6] = b[6]&0x0f | 0x80
	b[8] = b[8]&0x3f | 0x80
	return fmt.Sprintf("%x-%x-%x-%x-%x", b[0:4], b[4:6], b[6:8], b[8:10], b[10:16])
}

// Write gives the file, events in order of time.
//
// Codes: CAL-EMPTY there is no event; CAL-DATE a day that does not exist;
// CAL-ID an id that is missing or stands twice; CAL-TEXT a text that is blank or
// holds control characters; CAL-LANGUAGE no language tag.
func Write(c Calendar) ([]byte, fault.List) {
	faults := c.check()
	if len(faults) > 0 {
		return nil, faults
	}
	var w writer
	w.line("BEGIN", "VCALENDAR")
	w.line("VERSION", "2.0")
	w.line("PRODID", "-//Plainleaf//Plainleaf//EN")
	w.line("CALSCALE", "GREGORIAN")
	if c.Organizer != "" {
		w.line("METHOD", publish)
	}
	lang := ";LANGUAGE=" + c.Lang
	if c.Name != "" {
		w.line("NAME"+lang, escape(c.Name))
	}
	if c.Color != "" {
		w.line("COLOR", c.Color)
	}
	events := slices.Clone(c.Events)
	order.By(events, func(a, b Event) int {
		return cmp.Or(a.Date.Compare(b.Date), strings.Compare(string(a.Time), string(b.Time)))
	})
	zone := ""
	if c.Offset != nil && c.Zone != "" {
		if timed := slices.DeleteFunc(slices.Clone(events), func(e Event) bool { return e.Time == "" }); len(timed) > 0 {
			zone = ";TZID=" + c.Zone
			w.zone(c.Zone, timed[0].Date.Year, timed[len(timed)-1].Date.Year, c.Offset)
		}
	}
	for _, e := range events {
		w.line("BEGIN", "VEVENT")
		w.line("UID", e.ID)
		w.line("DTSTAMP", day(c.Stamp)+"T000000Z")
		w.line("SEQUENCE", strconv.Itoa(c.Revision))
		if e.Time == "" {
			w.line("DTSTART;VALUE=DATE", day(e.Date))
			w.line("DTEND;VALUE=DATE", day(e.Date.AddDays(1))) // the end is not part of the event
		} else {
			w.line("DTSTART"+zone, day(e.Date)+"T"+strings.ReplaceAll(string(e.Time), ":", "")+"00")
			if e.Minutes > 0 {
				w.line("DURATION", "PT"+strconv.Itoa(e.Minutes)+"M")
			}
		}
		if c.Organizer != "" {
			w.line("ORGANIZER", "mailto:"+c.Organizer)
		}
		w.line("SUMMARY"+lang, escape(e.Summary))
		if e.Description != "" {
			w.line("DESCRIPTION"+lang, escape(e.Description))
		}
		switch {
		case e.Withdrawn:
			w.line("STATUS", "CANCELLED")
		case e.Tentative:
			w.line("STATUS", "TENTATIVE")
		default:
			w.line("STATUS", "CONFIRMED")
		}
		w.line("CLASS", "PRIVATE")
		if e.Time == "" || e.Withdrawn {
			w.line("TRANSP", "TRANSPARENT") // the hour is not known, so the day is not blocked
		} else {
			w.line("TRANSP", "OPAQUE")
		}
		if e.Withdrawn {
			e.Alarms = nil
		}
		for _, hours := range e.Alarms {
			w.line("BEGIN", "VALARM")
			w.line("ACTION", "DISPLAY")
			w.line("DESCRIPTION"+lang, escape(e.Summary))
			w.line("TRIGGER", before(hours))
			w.line("END", "VALARM")
		}
		w.line("END", "VEVENT")
	}
	w.line("END", "VCALENDAR")
	return []byte(w.b.String()), nil
}

func (c Calendar) check() fault.List {
	var faults fault.List
	if len(c.Events) == 0 {
		faults.Add("CAL-EMPTY", "events", "there is no date to put into a calendar; a visit has one once its day is agreed (visits in the case file)")
	}
	if !isTag(c.Lang) {
		faults.Add("CAL-LANGUAGE", "lang", "%q is not a language tag", c.Lang)
	}
	if c.Color != "" && strings.Trim(c.Color, "abcdefghijklmnopqrstuvwxyz") != "" {
		faults.Add("CAL-TEXT", "color", "%q is not the name of a color", c.Color)
	}
	if !c.Stamp.Exists() {
		faults.Add("CAL-DATE", "stamp", "the day of writing is missing")
	}
	if c.Organizer != "" && !isAddress(c.Organizer) {
		faults.Add("CAL-TEXT", "organizer", "%q is not a plain mail address", c.Organizer)
	}
	if strings.Trim(c.Zone, letters+digits+"/_+-") != "" {
		faults.Add("CAL-TEXT", "zone", "%q is not the name of a time zone", c.Zone)
	}
	if c.Revision < 0 {
		faults.Add("CAL-ID", "revision", "the revision %d is below 0", c.Revision)
	}
	plainText(&faults, "name", c.Name, false)
	seen := map[string]bool{}
	for i, e := range c.Events {
		path := fmt.Sprintf("events[%d]", i)
		e.check(&faults, path, seen[e.ID])
		seen[e.ID] = true
	}
	return faults
}

// check reports what is wrong with an event; taken says whether its id is another's.
func (e Event) check(faults *fault.List, path string, taken bool) {
	plainText(faults, path+".summary", e.Summary, true)
	plainText(faults, path+".description", e.Description, false)
	if e.ID == "" || taken || strings.Trim(e.ID, digits+"abcdef-") != "" {
		faults.Add("CAL-ID", path+".id", "%q is no id of its own", e.ID)
	}
	if !e.Date.Exists() {
		faults.Add("CAL-DATE", path+".date", "the day does not exist")
	}
	if e.Time != "" && !e.Time.Valid() || e.Minutes < 0 || e.Minutes > 24*60 {
		faults.Add("CAL-DATE", path+".time", "%q for %d minutes is no time", string(e.Time), e.Minutes)
	}
	for _, h := range e.Alarms {
		if h < 0 || h > 24*366 {
			faults.Add("CAL-DATE", path+".alarms", "an alarm %d hours before", h)
		}
	}
}

func plainText(faults *fault.List, path, s string, needed bool) {
	switch {
	case needed && strings.TrimSpace(s) == "":
		faults.Add("CAL-TEXT", path, "the text is blank")
	case !safetext.Body.Fits(s):
		faults.Add("CAL-TEXT", path, "the text holds a control character or is not UTF-8")
	}
}

const (
	letters = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ"
	digits  = "0123456789"
)

func isTag(s string) bool {
	return s != "" && len(s) <= 35 && s[0] != '-' && strings.Trim(s, letters+digits+"-") == ""
}

// isAddress reports whether s is a plain mail address, with nothing that a calendar
// would have to quote.
func isAddress(s string) bool {
	return strings.Count(s, "@") == 1 &&
		!strings.ContainsFunc(s, func(r rune) bool { return r <= ' ' || r > '~' || strings.ContainsRune(`"<>,;:\`, r) })
}

func day(d casefile.Date) string { return strings.ReplaceAll(d.String(), "-", "") }

// before is a span of time before the start (RFC 5545, section 3.3.6).
func before(hours int) string {
	if hours == 0 {
		return "PT0S"
	}
	s := "-P"
	if d := hours / 24; d > 0 {
		s += strconv.Itoa(d) + "D"
	}
	if h := hours % 24; h > 0 {
		s += "T" + strconv.Itoa(h) + "H"
	}
	return s
}

// escape writes a TEXT value (RFC 5545, section 3.3.11).
func escape(s string) string {
	return strings.NewReplacer(`\`, `\\`, ";", `\;`, ",", `\,`, "\n", `\n`).Replace(s)
}

type writer struct{ b strings.Builder }

// octets is the longest line without its break (RFC 5545, section 3.1).
const octets = 75

// line writes a content line, folded between characters. The space that opens a
// further line counts.
func (w *writer) line(name, value string) {
	room := octets
	for _, r := range name + ":" + value {
		n := utf8.RuneLen(r)
		if n > room {
			w.b.WriteString("\r\n ")
			room = octets - 1
		}
		w.b.WriteRune(r)
		room -= n
	}
	w.b.WriteString("\r\n")
}

// zone writes the time zone: one observance for each change of its clocks in the
// years of the events, each with its own start, so that no rule has to be known
// (RFC 5545, section 3.6.5).
func (w *writer) zone(name string, from, to int, offset func(unix int64) int) {
	const daily = 24 * 60 * 60
	type change struct {
		at          int64 // Unix time
		from, until int   // seconds ahead of UTC before and after
	}
	unix := func(year int) int64 {
		return daily * int64(casefile.Date{Year: 1970, Month: 1, Day: 1}.DaysUntil(casefile.Date{Year: year, Month: 1, Day: 1}))
	}
	start, end := unix(from)-daily, unix(to+1)+daily
	now := offset(start)
	changes := []change{{0, now, now}}
	least := now
	for t := start; t < end; t += daily {
		next := offset(t + daily)
		if next == now {
			continue
		}
		low, high := t, t+daily // the clocks change in (low, high]
		for high-low > 1 {
			if mid := (low + high) / 2; offset(mid) == now {
				low = mid
			} else {
				high = mid
			}
		}
		changes = append(changes, change{high, now, next})
		now, least = next, min(least, next)
	}
	w.line("BEGIN", "VTIMEZONE")
	w.line("TZID", name)
	for _, c := range changes {
		kind := "STANDARD"
		if c.until > least {
			kind = "DAYLIGHT"
		}
		w.line("BEGIN", kind)
		w.line("DTSTART", time.Unix(c.at+int64(c.from), 0).UTC().Format("20060102T150405"))
		w.line("TZOFFSETFROM", ahead(c.from))
		w.line("TZOFFSETTO", ahead(c.until))
		w.line("END", kind)
	}
	w.line("END", "VTIMEZONE")
}

// ahead is an offset from UTC (RFC 5545, section 3.3.14).
func ahead(seconds int) string {
	sign := "+"
	if seconds < 0 {
		sign, seconds = "-", -seconds
	}
	s := fmt.Sprintf("%s%02d%02d", sign, seconds/3600, seconds/60%60)
	if seconds%60 != 0 {
		s += fmt.Sprintf("%02d", seconds%60)
	}
	return s
}

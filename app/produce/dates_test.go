package produce_test

import (
	"bytes"
	"slices"
	"strings"
	"testing"
	"time"

	ics "github.com/arran4/golang-ical"

	"plainleaf/app/calendar"
	"plainleaf/app/casefile"
	"plainleaf/app/plan"
	"plainleaf/app/produce"
	"plainleaf/app/sheet"
	"plainleaf/build/node"
)

type dated struct {
	ID, Start, Status, Summary string
	Sequence                   int
	UTC                        string // of a timed event, as ical.js converts it
	Minutes                    int
}

// write gives the calendar of an input, read by ical.js and by golang-ical, which
// must agree.
func write(t *testing.T, in produce.Input) []dated {
	t.Helper()
	docs, pl, faults := produce.Docs(in)
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	data, faults := produce.Calendar(in, pl, docs)
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	got := node.Read[struct{ Events []dated }](t, "../../build/checks/readers/calendar.mjs", data)
	second, err := ics.ParseCalendar(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	if len(second.Events()) != len(got.Events) {
		t.Fatalf("%d events, the other reader has %d", len(got.Events), len(second.Events()))
	}
	for i, e := range second.Events() {
		x := got.Events[i]
		if e.GetProperty(ics.ComponentPropertyUniqueId).Value != x.ID || e.GetProperty(ics.ComponentPropertyStatus).Value != x.Status {
			t.Errorf("event %d: the readers disagree: %+v", i, x)
		}
		if x.UTC != "" {
			at, err := e.GetStartAt()
			if err != nil || at.UTC().Format(time.RFC3339) != x.UTC {
				t.Errorf("event %d: %v (%v), ical.js has %s", i, at.UTC(), err, x.UTC)
			}
		}
	}
	return got.Events
}

func of(events []dated, status string) (out []dated) {
	for _, e := range events {
		if e.Status == status {
			out = append(out, e)
		}
	}
	return out
}

// The life of a calendar: nothing is firm until a day is agreed; a new hour moves
// the event under its own id with a higher number; a visit that is no longer
// planned is withdrawn, in every later file until its day has passed; the same
// dates keep their number.
func TestDatesAreAgreedMovedAndWithdrawn(t *testing.T) {
	in := inputs(t)["ten-teeth-no-prep.json"]
	in.Case.ID, in.Case.Revision, in.Kind, in.Practice.TimeZone = "a-case", 0, sheet.Consent, "Europe/Madrid"
	pl, faults := plan.For(in.Case, in.Practice, in.Base)
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	if c, faults := produce.Dates(in, pl); len(c.Events) != 0 || len(faults) > 0 {
		t.Fatalf("%d events before any day is agreed", len(c.Events))
	}
	first, last := pl.Visits[0], pl.Visits[len(pl.Visits)-1]
	in.Case.Visits = []casefile.AgreedVisit{{Key: first.Key, Date: first.Likely, Time: "09:05"}, {Key: last.Key, Date: last.Likely}}

	handOut := func() []dated {
		t.Helper()
		got := write(t, in)
		in.Case.Calendar = produce.GivenOut(in, pl)
		return got
	}
	one := handOut()
	if len(one) != 2 || len(of(one, "CONFIRMED")) != 2 || one[0].Sequence != 0 || !strings.HasPrefix(one[0].Start, first.Likely.String()+"T09:05") || one[1].Start != last.Likely.String() {
		t.Fatalf("first: %+v", one)
	}
	// December in Madrid is one hour ahead of UTC.
	if first.Likely.Month != 12 || one[0].UTC != first.Likely.String()+"T08:05:00Z" {
		t.Errorf("the hour is %s in UTC", one[0].UTC)
	}
	if again := handOut(); again[0] != one[0] || again[1] != one[1] {
		t.Errorf("the same dates became %+v", again)
	}
	in.Case.Visits[0].Time = "14:30"
	two := handOut()
	if two[0].ID != one[0].ID || two[0].Sequence != 1 || !strings.Contains(two[0].Start, "T14:30") {
		t.Errorf("moved: %+v", two)
	}
	// The last visit is taken back.
	in.Case.Visits = in.Case.Visits[:1]
	three := handOut()
	gone := of(three, "CANCELLED")
	if len(three) != 2 || len(gone) != 1 || gone[0].ID != one[1].ID || gone[0].Sequence != 2 || gone[0].Summary == one[1].Summary {
		t.Errorf("withdrawn: %+v", three)
	}
	// The sheet for care at home still withdraws it, and adds its own dates.
	in.Kind = sheet.Aftercare
	four := handOut()
	if len(of(four, "CANCELLED")) != 1 || len(of(four, "CONFIRMED")) != 1 || len(of(four, "TENTATIVE")) == 0 || four[0].Sequence != 3 {
		t.Errorf("with care at home: %+v", four)
	}
	// Upkeep that was handed out goes with a consent too, and is withdrawn when a
	// changed way has none of it.
	in.Kind = sheet.Consent
	if five := handOut(); len(five) != len(four) || five[0].Sequence != 3 {
		t.Errorf("%d events of %d, number %d", len(five), len(four), five[0].Sequence)
	}
	// It comes back under its id.
	in.Case.Visits = append(in.Case.Visits, casefile.AgreedVisit{Key: last.Key, Date: last.Likely.AddDays(7)})
	six := handOut()
	back := false
	for _, e := range six {
		back = back || e.ID == one[1].ID && e.Status == "CONFIRMED" && e.Sequence == 4
	}
	if !back || len(of(six, "CANCELLED")) != 0 {
		t.Errorf("agreed again: %+v", six)
	}
	// Once the day of a withdrawn date has passed nothing is left to take back.
	in.Case.Visits = in.Case.Visits[:1]
	in.Case.Issued = last.Likely.AddDays(8)
	in.Case.Stage = casefile.Delivered
	if c, faults := produce.Dates(in, pl); len(faults) > 0 || len(c.Events) == 0 {
		t.Errorf("%d events, %s", len(c.Events), faults.Lines())
	} else {
		for _, e := range c.Events {
			if e.Withdrawn || e.Date.Before(in.Case.Issued) {
				t.Errorf("%+v", e)
			}
		}
	}
	// The case that holds all this is a good case file.
	data, err := casefile.WriteCase(in.Case)
	if err != nil {
		t.Fatal(err)
	}
	if _, faults := casefile.ReadCase(data, in.Base.Vocabulary([]string{"en", "es", "ar"})); len(faults) > 0 {
		t.Error(faults.Lines())
	}
}

// A visit that took place sooner than its day in the patient's calendar is taken out
// of there; one that took place on its day is left alone.
func TestAVisitThatCameSooner(t *testing.T) {
	in := inputs(t)["ten-teeth-no-prep.json"]
	in.Case.ID, in.Case.Revision, in.Kind = "a-case", 0, sheet.Consent
	pl, faults := plan.For(in.Case, in.Practice, in.Base)
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	first, second, last := pl.Visits[0], pl.Visits[1], pl.Visits[len(pl.Visits)-1]
	in.Case.Visits = []casefile.AgreedVisit{{Key: first.Key, Date: first.Likely}, {Key: second.Key, Date: first.Likely.AddDays(20)}, {Key: last.Key, Date: last.Likely.AddDays(60)}}
	given := write(t, in)
	in.Case.Calendar = produce.GivenOut(in, pl)
	in.Case.Visits[1].Date = first.Likely.AddDays(10)
	in.Case.Issued = first.Likely.AddDays(12)
	got := write(t, in)
	if len(given) != 3 || len(got) != 2 || got[0].ID != given[1].ID || got[0].Start != given[1].Start || got[0].Status != "CANCELLED" || got[0].Sequence != 1 ||
		got[1].ID != given[2].ID || got[1].Status != "CONFIRMED" {
		t.Errorf("%+v became %+v", given, got)
	}
}

// A visit before the one it waits for is refused, with the place in the case.
func TestVisitsOutOfOrder(t *testing.T) {
	in := inputs(t)["conventional-eight.json"]
	pl, faults := plan.For(in.Case, in.Practice, in.Base)
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	i := len(pl.Visits) - 1
	for pl.Visits[i].After == "" {
		i--
	}
	numbers, _ := produce.Agreed(in.Case, pl)
	in.Case.Visits = []casefile.AgreedVisit{{Key: pl.Visits[i].Key, Number: numbers[i], Date: pl.Visits[0].Likely}}
	for j := range pl.Visits[:i] {
		if pl.Visits[j].Key == pl.Visits[i].After {
			in.Case.Visits = append(in.Case.Visits, casefile.AgreedVisit{Key: pl.Visits[j].Key, Number: numbers[j], Date: pl.Visits[0].Likely.AddDays(1)})
		}
	}
	if pl, faults = plan.For(in.Case, in.Practice, in.Base); len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	if _, faults := produce.Dates(in, pl); len(faults) != 1 || faults[0].Code != "CAL-ORDER" || faults[0].Path != "visits[0].date" {
		t.Errorf("%s", faults.Lines())
	}
}

// The zone of a file is that of the tz database at every noon of two years, by
// ical.js and by Go's own table; a practice without a zone has hours of the clock
// on the wall, and none of it names a health matter.
func TestZones(t *testing.T) {
	for _, zone := range []string{"Europe/Madrid", "America/New_York", "Australia/Lord_Howe", "Asia/Kolkata", "Africa/Cairo", "America/Sao_Paulo", ""} {
		in := inputs(t)["two-teeth.json"]
		in.Case.ID, in.Practice.TimeZone = "a-case", zone
		pl, faults := plan.For(in.Case, in.Practice, in.Base)
		if len(faults) > 0 {
			t.Fatal(faults.Lines())
		}
		// One event on each 10th day of two years, at noon.
		c, faults := produce.Dates(in, pl)
		if len(faults) > 0 {
			t.Fatal(faults.Lines())
		}
		c.Lang, c.Events = "en", nil
		var want []string
		for d := (casefile.Date{Year: 2027, Month: 1, Day: 1}); d.Year < 2029; d = d.AddDays(10) {
			c.Events = append(c.Events, calendar.Event{ID: calendar.ID(d.String()), Date: d, Time: "12:00", Minutes: 45, Summary: "Appointment"})
			if zone != "" {
				l, err := time.LoadLocation(zone)
				if err != nil {
					t.Fatal(err)
				}
				want = append(want, time.Date(d.Year, time.Month(d.Month), d.Day, 12, 0, 0, 0, l).UTC().Format(time.RFC3339))
			}
		}
		data, faults := calendar.Write(c)
		if len(faults) > 0 {
			t.Fatal(faults.Lines())
		}
		if zone == "" {
			if bytes.Contains(data, []byte("TZID")) || bytes.Contains(data, []byte("DTSTART:20270101T120000Z")) || !bytes.Contains(data, []byte("DTSTART:20270101T120000\r\n")) {
				t.Error("hours without a zone are not those of the wall")
			}
			continue
		}
		got := node.Read[struct{ Events []dated }](t, "../../build/checks/readers/calendar.mjs", data)
		for i, e := range got.Events {
			if e.UTC != want[i] || e.Minutes != 45 {
				t.Errorf("%s: %s is %s, want %s", zone, e.Start, e.UTC, want[i])
			}
		}
	}
}

// The ids of a case that has none of its own do not tell a private finding to
// somebody who knows the rest of the case and tries; another case still has ids of its own.
func TestIDsHoldNoPrivateFinding(t *testing.T) {
	ids := func(change func(c *casefile.Case)) (out []string) {
		in := inputs(t)["delivered.json"]
		in.Case.ID, in.Case.Calendar = "", nil
		change(&in.Case)
		pl, faults := plan.For(in.Case, in.Practice, in.Base)
		if len(faults) > 0 {
			t.Fatal(faults.Lines())
		}
		c, faults := produce.Dates(in, pl)
		if len(faults) > 0 || len(c.Events) == 0 {
			t.Fatalf("%d events, %s", len(c.Events), faults.Lines())
		}
		for _, e := range c.Events {
			out = append(out, e.ID)
		}
		return out
	}
	with := func(keys ...string) func(c *casefile.Case) {
		return func(c *casefile.Case) { c.Findings = append(keys, c.Findings...) }
	}
	bare := ids(with())
	private := 0
	for _, f := range inputs(t)["delivered.json"].Base.Findings {
		if f.Private && f.Scope != "tooth" {
			private++
			if !slices.Equal(ids(with(f.Key)), bare) {
				t.Errorf("%s changes the ids", f.Key)
			}
		}
	}
	if private == 0 {
		t.Fatal("no private finding was tried")
	}
	if slices.Equal(ids(func(c *casefile.Case) { c.TargetShade = "B4" }), bare) {
		t.Error("another case has the same ids")
	}
}

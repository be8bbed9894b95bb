package plan

import (
	"testing"

	"plainleaf/app/casefile"
)

func day(t testing.TB, s string) casefile.Date {
	t.Helper()
	d, err := casefile.ParseDate(s)
	if err != nil {
		t.Fatal(err)
	}
	return d
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

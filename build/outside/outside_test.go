package outside

import (
	"math"
	"strings"
	"testing"
)

// fake records failures instead of failing.
type fake struct {
	testing.TB
	failed int
}

func (f *fake) Helper()               {}
func (f *fake) Errorf(string, ...any) { f.failed++ }

func TestCheckFailsAndCounts(t *testing.T) {
	f := &fake{}
	Check(f, "a table", 1.0001, 1, 0.0002)
	Check(f, "a table", 1.0003, 1, 0.0002)
	Check(f, "a table", math.NaN(), 1, 0.0002)
	Equal(f, "a list", "x", "y")
	if f.failed != 3 {
		t.Errorf("%d failures, want 3", f.failed)
	}
	if s := Summary(); !strings.Contains(s, "outside checks: 3 from a table\n") || !strings.Contains(s, "outside checks: 1 from a list\n") {
		t.Errorf("summary %q", s)
	}
}

package model

import (
	"testing"

	"plainleaf/app/veneer"
)

// An agreed case opens at the try-in from the first day a delivery sitting can be,
// or from the day that was agreed for it; while deciding and after delivery never.
func TestACaseIsDueForItsDeliverySitting(t *testing.T) {
	m := ten(t)
	var first veneer.Date
	at := 0
	for i, v := range m.Plan().Visits {
		if v.Bonding {
			first, at = v.Earliest, i
			break
		}
	}
	if first.IsZero() {
		t.Fatal("no delivery sitting is planned")
	}
	v := m.Visits()[at]
	for _, x := range []struct {
		stage         veneer.Stage
		today, agreed veneer.Date
		want          bool
	}{
		{veneer.Deciding, first, veneer.Date{}, false},
		{veneer.Agreed, first.AddDays(-1), veneer.Date{}, false},
		{veneer.Agreed, first, veneer.Date{}, true},
		{veneer.Agreed, first.AddDays(6), first.AddDays(7), false},
		{veneer.Agreed, first.AddDays(7), first.AddDays(7), true},
		{veneer.AtTryIn, first.AddDays(-30), veneer.Date{}, true},
		{veneer.Delivered, first.AddDays(30), veneer.Date{}, false},
	} {
		m.SetStage(x.stage)
		m.Disagree(v.Key, v.Number)
		if !x.agreed.IsZero() {
			m.Agree(v.Key, v.Number, x.agreed)
		}
		m.today = x.today
		if got := m.DeliveryDue(); got != x.want {
			t.Errorf("%s on %s, agreed for %s: %v", x.stage, x.today, x.agreed, got)
		}
	}
}

package state

import (
	"testing"

	"plainleaf/app/casefile"
)

// An agreed case opens at the try-in from the first day a delivery sitting can be,
// or from the day that was agreed for it; while deciding and after delivery never.
func TestACaseIsDueForItsDeliverySitting(t *testing.T) {
	m := ten(t)
	var first casefile.Date
	at := 0
	for i, v := range m.Draft.Plan().Visits {
		if v.Bonding {
			first, at = v.Earliest, i
			break
		}
	}
	if first.IsZero() {
		t.Fatal("no delivery sitting is planned")
	}
	v := m.Draft.Visits().List()[at]
	for _, x := range []struct {
		stage         casefile.Stage
		today, agreed casefile.Date
		want          bool
	}{
		{casefile.Deciding, first, casefile.Date{}, false},
		{casefile.Agreed, first.AddDays(-1), casefile.Date{}, false},
		{casefile.Agreed, first, casefile.Date{}, true},
		{casefile.Agreed, first.AddDays(6), first.AddDays(7), false},
		{casefile.Agreed, first.AddDays(7), first.AddDays(7), true},
		{casefile.AtTryIn, first.AddDays(-30), casefile.Date{}, true},
		{casefile.Delivered, first.AddDays(30), casefile.Date{}, false},
	} {
		m.Draft.SetStage(x.stage)
		m.Draft.Visits().Disagree(v.Key, v.Number)
		if !x.agreed.IsZero() {
			m.Draft.Visits().Agree(v.Key, v.Number, x.agreed)
		}
		m.Draft.today = x.today
		if got := m.Draft.Visits().DeliveryDue(); got != x.want {
			t.Errorf("%s on %s, agreed for %s: %v", x.stage, x.today, x.agreed, got)
		}
	}
}

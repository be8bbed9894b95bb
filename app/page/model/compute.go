package model

import (
	"plainleaf/app/evidence"
	"plainleaf/app/fault"
	"plainleaf/app/plan"
	"plainleaf/app/veneer"
)

// compute is the plan of a case without faults.
func compute(c veneer.Case, p veneer.Practice, b *evidence.Base) (*plan.Plan, fault.List) {
	return nil, nil
}

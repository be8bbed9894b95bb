package model

import (
	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
	"plainleaf/app/fault"
	"plainleaf/app/plan"
)

// compute is the plan of a case without faults; nil when it has some after all.
func compute(c casefile.Case, p casefile.Practice, b *evidence.Base) (*plan.Plan, fault.List) {
	pl, faults := plan.For(c, p, b)
	if len(faults) > 0 {
		return nil, faults
	}
	return &pl, nil
}

package paper

import (
	"slices"

	"plainleaf/app/fault"
)

// settlesFirst reports whether faults say no more than that something is to be settled
// before this sheet of a case can be made: not every case has every sheet.
func settlesFirst(list fault.List) bool {
	for _, f := range list {
		if !slices.Contains([]string{"SHEET-NO-AGREEMENT", "SHEET-WITHDRAWN", "SHEET-AGREED", "SHEET-GLUED"}, f.Code) {
			return false
		}
	}
	return len(list) > 0
}

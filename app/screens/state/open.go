package state

import (
	"plainleaf/app/plan"
)

// Open is one point of the plan's own list, with the screen that settles it. Whose is
// patient only where the practice lets the patient waive it.
type Open struct {
	plan.Open
	View    string // one of place.Views
	Settled bool   // a reason or the patient's own words let one go on
}

// settledAt is the screen that settles a point, where it is not the case's.
var settledAt = map[string]string{
	plan.OpenTelephone:  "practice",
	plan.OpenEmergency:  "practice",
	plan.OpenWords:      "practice",
	plan.OpenWait:       "routes",
	plan.OpenCare:       "routes",
	plan.OpenQuestions:  "understanding",
	plan.OpenTrialSmile: "sheets",
	plan.OpenThinking:   "sheets",
	plan.OpenSignature:  "sheets",
	plan.OpenWithdrawn:  "sheets",
	plan.OpenTryIn:      "visit",
	plan.OpenGluing:     "visit",
}

// Open lists what is missing or unsettled, in the plan's order, for any screen: why one
// goes on against a private finding is not in it. Nil while there is no plan.
func (d *Draft) Open() []Open {
	p := d.Plan()
	if p == nil {
		return nil
	}
	var out []Open
	for _, o := range p.Open {
		x := Open{o, settledAt[o.What], o.Reason != ""}
		if o.What == plan.OpenTalk {
			x.Reason = ""
		}
		out = append(out, x)
	}
	return out
}

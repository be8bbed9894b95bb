// Package basis is what every part of a plan computes from: the case, the practice
// and the evidence, with a note of which figures each result rests on.
package basis

import (
	"encoding/json"
	"math"

	"plainleaf/app/evidence"
)

// Estimate is a range with its likely value, or the reason why it is not known.
type Estimate struct {
	Low, Likely, High float64
	Unknown           string // reason key (words: unknown.<key>); empty when known
}

// Reason keys of an unknown estimate (words: unknown.<key>).
const (
	NoFigure  = "no-figure"  // no study, or none that could be read
	PastLimit = "past-limit" // beyond the time the studies cover
	// TooUncertain: the range spans more than half of the scale.
	TooUncertain = "too-uncertain"
	NoFee        = "no-fee"   // the practice has set none
	NoStudy      = "no-study" // a habit of the trade that the practice has not replaced
	Mixed        = "mixed"    // part of the teeth have no figure
	OnHold       = "on-hold"  // something has to be settled first
	Planned      = "planned"  // part of the treatment, so certain and no matter of chance
	// OtherSetting: known, but not to be shown beside the others (see plan.RouteFacts.Comparable).
	OtherSetting = "other-setting"
)

// Known reports whether e has numbers.
func (e Estimate) Known() bool { return e.Unknown == "" }

// MarshalJSON writes {low, likely, high} or {unknown}.
func (e Estimate) MarshalJSON() ([]byte, error) {
	if !e.Known() {
		return json.Marshal(map[string]string{"unknown": e.Unknown})
	}
	return json.Marshal(struct {
		Low    float64 `json:"low"`
		Likely float64 `json:"likely"`
		High   float64 `json:"high"`
	}{e.Low, e.Likely, e.High})
}

// UnmarshalJSON reads either form.
func (e *Estimate) UnmarshalJSON(b []byte) error {
	var x struct {
		Low, Likely, High float64
		Unknown           string
	}
	err := json.Unmarshal(b, &x)
	*e = Estimate(x)
	return err
}

// Exactly is a range of one value.
func Exactly(v float64) Estimate { return Estimate{Low: v, Likely: v, High: v} }

// Unknown is an estimate that is not known for a reason.
func Unknown(reason string) Estimate { return Estimate{Unknown: reason} }

// EstimateOf is a figure's range.
func EstimateOf(f *evidence.Figure) Estimate {
	return Estimate{Low: f.Low, Likely: f.Value, High: f.High}
}

// Round4 rounds to four decimals, so that native and wasm, whose exp and pow differ
// in the last bits, give the same plan.
func Round4(v float64) float64 {
	r := math.Round(v*1e4) / 1e4
	if r == 0 {
		return 0 // no negative zero
	}
	return r
}

// Round rounds every end to four decimals.
func (e Estimate) Round() Estimate {
	if !e.Known() {
		return Unknown(e.Unknown)
	}
	return Estimate{Low: Round4(e.Low), Likely: Round4(e.Likely), High: Round4(e.High)}
}

// Plus adds two ranges end by end; unknown when either is.
func (e Estimate) Plus(f Estimate) Estimate {
	switch {
	case !e.Known():
		return e
	case !f.Known():
		return f
	}
	return Estimate{Low: e.Low + f.Low, Likely: e.Likely + f.Likely, High: e.High + f.High}
}

// Times multiplies a range by a number that is not negative.
func (e Estimate) Times(k float64) Estimate {
	if !e.Known() {
		return e
	}
	return Estimate{Low: k * e.Low, Likely: k * e.Likely, High: k * e.High}
}

// TimesEach multiplies end by end; unknown when either is.
func (e Estimate) TimesEach(k Estimate) Estimate {
	if !e.Known() {
		return e
	}
	if !k.Known() {
		return k
	}
	return Estimate{Low: e.Low * k.Low, Likely: e.Likely * k.Likely, High: e.High * k.High}
}

// Widest takes the larger of each end; the other where one is unknown.
func (e Estimate) Widest(f Estimate) Estimate {
	if !e.Known() {
		return f
	}
	if !f.Known() {
		return e
	}
	return Estimate{Low: max(e.Low, f.Low), Likely: max(e.Likely, f.Likely), High: max(e.High, f.High)}
}

// End picks one end: 0 low, 1 likely, 2 high.
func (e Estimate) End(t int) float64 { return [...]float64{e.Low, e.Likely, e.High}[t] }

// Up rounds to the next whole number; a hair above a whole number, as decimal
// figures leave behind, still counts as that number.
func Up(v float64) int { return int(math.Ceil(v - 1e-9)) }

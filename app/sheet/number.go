package sheet

import (
	"math"

	"plainleaf/app/evidence"
	"plainleaf/app/plan"
)

// How a chance is told, on paper and on the screens alike: rounded to the step of
// the evidence policy, the range first, in both frames, never as none and never
// as certain.

// InHundred rounds a fraction to the display step of the evidence policy, in 100.
func InHundred(b *evidence.Base, f float64) int {
	step, ok := b.Setting("rounding") // a fraction
	if !ok || step.Value <= 0 {
		return int(math.Round(f * 100))
	}
	return int(math.Round(math.Round(f/step.Value) * step.Value * 100))
}

// Ends are a chance from low to high in 100: what can happen is never none.
func Ends(b *evidence.Base, e plan.Estimate) (low, high int) {
	return max(1, InHundred(b, e.Low)), max(1, InHundred(b, e.High))
}

// Lasting tells one known endpoint of one restoration after some years, as
// numbers of 100 in both frames.
func Lasting(b *evidence.Base, e plan.Expectation) Text {
	lo, hi := Ends(b, e.PerTooth)
	id := "sheet.last." + e.Endpoint
	switch {
	case lo >= 100:
		return N(id+".nearly-all", e.Years)
	case hi >= 100:
		return N(id+".to-nearly-all", e.Years, "Low", Int(lo), "High", Int(100-lo))
	case lo == hi:
		return N(id+".about", e.Years, "Number", Int(lo), "Total", Int(100-lo))
	}
	return N(id+".range", e.Years, "Low", Int(lo), "High", Int(hi), "From", Int(100-hi), "To", Int(100-lo))
}

// Drawn is the same as a picture of 100.
func Drawn(b *evidence.Base, e plan.Expectation) Picture {
	lo, hi := Ends(b, e.PerTooth)
	return Picture{Low: min(lo, 99), High: min(hi, 99), Of: 100}
}

// Together tells what n teeth of one mouth may need after some years: how many,
// and the chances that at least one and that two or more do. The two endpoints
// have words of their own: done again, or needing anything.
func Together(b *evidence.Base, e plan.Expectation) []Text {
	n := len(e.Teeth)
	if !e.Known || n < 2 || !e.Expected.Known() || !e.AtLeastOne.Known() || !e.Several.Known() {
		return nil
	}
	id := "sheet.together."
	if e.Endpoint == plan.InPlace {
		id += e.Endpoint + "."
	}
	lo, hi := int(math.Floor(e.Expected.Low)), min(max(int(math.Ceil(e.Expected.High)), 1), n)
	out := make([]Text, 0, 3)
	if lo < 1 {
		out = append(out, N(id+"expected", e.Years, "Total", Int(n), "High", Int(hi)))
	} else {
		out = append(out, N(id+"expected-range", e.Years, "Total", Int(n), "Low", Int(lo), "High", Int(hi)))
	}
	return append(out, chance(b, id+"at-least-one", e.AtLeastOne), chance(b, id+"several", e.Several))
}

// chance is one sentence about a chance among people like this patient.
func chance(b *evidence.Base, id string, e plan.Estimate) Text {
	step := 1
	if s, ok := b.Setting("rounding"); ok {
		step = max(1, int(math.Round(s.Value*100)))
	}
	lo, hi := InHundred(b, e.Low), min(max(InHundred(b, e.High), step), 100-step)
	switch {
	case lo <= 0:
		return M(id+".up-to", "High", Int(hi))
	case lo >= hi:
		return M(id+".about", "Number", Int(hi))
	}
	return M(id+".range", "Low", Int(lo), "High", Int(hi))
}

// Pair tells composite beside porcelain as one practice found them, of 100.
func Pair(b *evidence.Base, p plan.SameSetting) Text {
	return N("sheet.pair."+p.Endpoint, p.Years, "Low", Int(InHundred(b, p.Composite.Likely)), "High", Int(InHundred(b, p.Ceramic.Likely)))
}

// Roughly is an estimated sum of money to two figures: what may be spent in years
// to come is not known to the cent.
func Roughly(minor float64) int64 {
	if minor < 1 {
		return 0
	}
	step := math.Pow(10, max(0, math.Floor(math.Log10(minor))-1))
	return int64(math.Round(minor/step) * step)
}

package sheet

import (
	"cmp"
	"math"
	"slices"

	"plainleaf/app/evidence"
	"plainleaf/app/plan"
)

// How a chance is put, on paper and on the screens alike: rounded to the step of
// the evidence policy, the likely number first, never as none and never as certain.

// InHundred rounds a fraction to the display step of the evidence policy, in 100.
func InHundred(b *evidence.Base, f float64) int {
	step, ok := b.Setting("rounding") // a fraction
	if !ok || step.Value <= 0 {
		return int(math.Round(f * 100))
	}
	return int(math.Round(math.Round(f/step.Value) * step.Value * 100))
}

// Outward rounds a range to the display step, each end away from the other: a
// range is never narrower than it was found. One whose ends share the nearest
// step is about that.
func Outward(b *evidence.Base, low, high float64) (int, int) {
	step, ok := b.Setting("rounding")
	if n := InHundred(b, low); ok && n == InHundred(b, high) {
		return n, n
	}
	if !ok || step.Value <= 0 {
		return int(math.Floor(low * 100)), int(math.Ceil(high * 100))
	}
	const hair = 1e-9 // a value on a step stays there
	return int(math.Round(math.Floor(low/step.Value+hair) * step.Value * 100)),
		int(math.Round(math.Ceil(high/step.Value-hair) * step.Value * 100))
}

// stepInHundred is the display step of the evidence policy, in 100.
func stepInHundred(b *evidence.Base) int {
	if s, ok := b.Setting("rounding"); ok {
		return max(1, int(math.Round(s.Value*100)))
	}
	return 1
}

// Told is a chance out of 100 in a few words: the likely number, then how far it may be off.
// A number within a step of none or of all is put in words, never finer than the step.
func Told(b *evidence.Base, e plan.Estimate) Text {
	if !e.Known() {
		return unknownWord(e.Unknown)
	}
	lo, hi := Outward(b, e.Low, e.High)
	step := stepInHundred(b)
	hi = max(hi, step) // what can happen is never none
	likely := min(max(InHundred(b, e.Likely), lo), hi)
	switch {
	case lo >= 100:
		return M("number.nearly-all")
	case hi <= step && lo < step:
		return M("number.few")
	case likely >= 100:
		return M("number.told.nearly-all", "Low", Int(lo))
	case likely < step:
		return M("number.told.few", "High", Int(hi))
	case lo == hi:
		return M("number.about", "Number", Int(likely))
	case lo < step:
		return M("number.told.from-few", "Number", Int(likely), "High", Int(hi))
	case hi >= 100:
		return M("number.told.to-nearly-all", "Number", Int(likely), "Low", Int(lo))
	}
	return M("number.told.range", "Number", Int(likely), "Low", Int(lo), "High", Int(hi))
}

// unknownWord is what takes the place of a number: not known, or too uncertain to say.
func unknownWord(reason string) Text {
	if reason == plan.TooUncertain {
		return M("number.too-uncertain")
	}
	return M("number.unknown")
}

// Lasting is one endpoint of one restoration after some years, of 100.
func Lasting(b *evidence.Base, e plan.Expectation) Text {
	return N("sheet.last."+e.Endpoint, e.Years, "Text", Word{Told(b, e.PerTooth)})
}

// Picture is a number as signs, as the screens draw it: Low to High of Of.
type Picture struct {
	Low, High, Of int
}

// Drawn is the same as a picture of 100, from low to high.
func Drawn(b *evidence.Base, e plan.Expectation) Picture {
	lo, hi := Outward(b, e.PerTooth.Low, e.PerTooth.High)
	return Picture{Low: min(max(1, lo), 99), High: min(max(1, hi), 99), Of: 100}
}

// Together says what n teeth of one mouth may need after some years: how many, and of
// how many of 100 people at least one. The two endpoints have words of their own:
// replaced, or repaired or replaced.
func Together(b *evidence.Base, e plan.Expectation) []Text {
	if !counted(e) {
		return nil
	}
	one := M("sheet.together.one", "Total", Int(len(e.Teeth)), "Text", Word{Told(b, e.AtLeastOne)})
	if e.AtLeastOne.Known() {
		one = M("sheet.together.one-of-hundred", "Text", Word{Told(b, e.AtLeastOne)})
	}
	return []Text{N("sheet.together."+e.Endpoint, e.Years, "Quantity", Word{N("quantity.teeth", len(e.Teeth))}, "Text", Word{HowMany(e)}), one}
}

// counted reports whether several teeth of one mouth are counted together.
func counted(e plan.Expectation) bool { return e.Known && len(e.Teeth) > 1 && e.Expected.Known() }

// WholeTeeth is how many teeth may have to be done again, as whole teeth: the ends are rounded
// outward, since what can happen is never none of them.
func WholeTeeth(e plan.Expectation) (low, likely, high int) {
	low, high = int(math.Floor(e.Expected.Low)), min(max(int(math.Ceil(e.Expected.High)), 1), len(e.Teeth))
	return low, min(max(int(math.Round(e.Expected.Likely)), low), high), high
}

// HowMany says how many teeth. Where the likely number is under one it is most likely
// none.
func HowMany(e plan.Expectation) Text {
	lo, likely, hi := WholeTeeth(e)
	switch {
	case e.Expected.Likely < 1:
		return M("number.none-likely", "High", Int(hi))
	case lo == hi:
		return M("number.about", "Number", Int(hi))
	case lo < 1:
		return M("number.from-none", "Number", Int(likely), "High", Int(hi))
	}
	return M("number.told.range", "Number", Int(likely), "Low", Int(lo), "High", Int(hi))
}

// chance is one sentence about a chance. An end that reaches all or none reads as
// nearly all or a few, never short of it.
func chance(b *evidence.Base, id string, e plan.Estimate) Text {
	lo, hi := Outward(b, e.Low, e.High)
	step := stepInHundred(b)
	hi = max(hi, step) // what can happen is never none
	switch {
	case lo <= 0 && hi >= 100:
		return M(id + ".open")
	case lo <= 0:
		return M(id+".up-to", "High", Int(hi))
	case hi >= 100:
		return M(id+".to-nearly-all", "Low", Int(min(lo, 100-step)))
	case lo >= hi:
		return M(id+".about", "Number", Int(hi))
	}
	return M(id+".range", "Low", Int(lo), "High", Int(hi))
}

// HowOften says how often a chair change comes up: in this practice, once it has
// put its own figure, and until then as dentists find, in a word.
func HowOften(b *evidence.Base, c plan.ChairChange) Text {
	if c.Likelihood.Known() {
		return chance(b, "often.own", c.Likelihood)
	}
	return M("often." + cmp.Or(c.Often, "unknown"))
}

// WhatHappens says when a chair change comes up and what is done then, or, where the
// patient only hears of it, what is done.
func WhatHappens(c plan.ChairChange) Text {
	if c.TellOnly {
		return M("change." + c.Key + ".what")
	}
	return M("change." + c.Key + ".when")
}

// Pair puts composite beside porcelain as one practice found them, of 100.
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

// countedInWeeks is from how many days on a time is put in weeks: a way of speaking, as
// nobody counts a season in days.
const countedInWeeks = 14

// Ending says why the last date is what it is: the visits that wait for each
// other, and what each finding among them adds.
func Ending(pl plan.Plan, b *evidence.Base) []Text {
	if len(pl.Chain) < 2 || pl.OnHold {
		return nil
	}
	first := M("sheet.schedule.chain-all")
	if len(pl.Chain) < len(pl.Visits) {
		var names Words
		before := ""
		for _, key := range pl.Chain {
			i := slices.IndexFunc(pl.Visits, func(v plan.Visit) bool { return v.Key == key })
			if p := pl.Visits[i].Purpose; p != before {
				names, before = append(names, M(VisitName(b, p, "name"))), p
			}
		}
		first = M("sheet.schedule.chain", "List", names)
	}
	out := []Text{first}
	for _, a := range pl.Adds {
		id, n := "sheet.schedule.adds", a.Days
		if n >= countedInWeeks {
			id, n = "sheet.schedule.adds-weeks", (n+3)/7
		}
		out = append(out, N(id, n, "Finding", Word{M("finding." + a.Finding + ".name")}))
	}
	return out
}

// OverYears says what an option costs within some years, all of it together.
func OverYears(cost plan.Estimate, years int, currency string) Text {
	if !cost.Known() {
		return M("unknown." + cost.Unknown)
	}
	low, high := Roughly(cost.Low), Roughly(cost.High)
	if low == high {
		return N("sheet.money.over-one", years, "Amount", Amount{low, currency})
	}
	return N("sheet.money.over", years, "From", Amount{low, currency}, "To", Amount{high, currency})
}

// again is what doing one or all of the teeth once more costs; a single tooth is both.
func again(m plan.RouteMoney) []Text {
	if !m.Known || m.IfAll == 0 {
		return nil
	}
	one := M("sheet.money.if-one", "Amount", Amount{m.IfOne, m.Currency})
	if m.IfOne == m.IfAll {
		return []Text{one}
	}
	return []Text{one, M("sheet.money.if-all", "Amount", Amount{m.IfAll, m.Currency})}
}

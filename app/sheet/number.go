package sheet

import (
	"cmp"
	"math"
	"slices"

	"plainleaf/app/evidence"
	"plainleaf/app/plan"
)

// How a chance is told, on paper and on the screens alike: rounded to the step of
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
// range is never told narrower than it was found. One whose ends share the nearest
// step is told as about that.
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

// Told is a chance of 100 in a few words: the likely number, then how far it may be off.
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

// Lasting tells one endpoint of one restoration after some years, of 100.
func Lasting(b *evidence.Base, e plan.Expectation) Text {
	return N("sheet.last."+e.Endpoint, e.Years, "Text", Word{Told(b, e.PerTooth)})
}

// Drawn is the same as a picture of 100, from low to high.
func Drawn(b *evidence.Base, e plan.Expectation) Picture {
	lo, hi := Outward(b, e.PerTooth.Low, e.PerTooth.High)
	return Picture{Low: min(max(1, lo), 99), High: min(max(1, hi), 99), Of: 100}
}

// Together tells what n teeth of one mouth may need after some years: how many,
// and how many of 100 people have at least one, and two or more. The two endpoints
// have words of their own: done again, or needing anything.
func Together(b *evidence.Base, e plan.Expectation) []Text {
	if !counted(e) {
		return nil
	}
	id := "sheet.together."
	if e.Endpoint == plan.InPlace {
		id += e.Endpoint + "."
	}
	return []Text{N(id+"expected", e.Years, "Total", Int(len(e.Teeth)), "Text", Word{HowMany(e)}),
		M(id+"at-least-one", "Text", Word{Told(b, e.AtLeastOne)}), M(id+"several", "Text", Word{Told(b, e.Several)})}
}

// counted reports whether several teeth of one mouth are counted together.
func counted(e plan.Expectation) bool { return e.Known && len(e.Teeth) > 1 && e.Expected.Known() }

// HowMany tells how many teeth: whole ones, the ends rounded outward, since what can
// happen is never none of them. Where the likely number is under one it is most likely
// none.
func HowMany(e plan.Expectation) Text {
	lo, hi := int(math.Floor(e.Expected.Low)), min(max(int(math.Ceil(e.Expected.High)), 1), len(e.Teeth))
	likely := min(max(int(math.Round(e.Expected.Likely)), lo), hi)
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

// HowOften tells how often a chair change comes up: in this practice, once it has
// put its own figure, and until then as dentists find, in a word.
func HowOften(b *evidence.Base, c plan.ChairChange) Text {
	if c.Likelihood.Known() {
		return chance(b, "often.own", c.Likelihood)
	}
	return M("often." + cmp.Or(c.Often, "unknown"))
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

// Ending tells why the last date is what it is: the visits that wait for each
// other, and what each finding among them adds.
func Ending(pl plan.Plan) []Text {
	if len(pl.Chain) < 2 {
		return nil
	}
	first := M("sheet.schedule.chain-all")
	if len(pl.Chain) < len(pl.Visits) {
		var names Words
		before := ""
		for _, key := range pl.Chain {
			i := slices.IndexFunc(pl.Visits, func(v plan.Visit) bool { return v.Key == key })
			if p := pl.Visits[i].Purpose; p != before {
				names, before = append(names, M("visit."+p+".name")), p
			}
		}
		first = M("sheet.schedule.chain", "List", names)
	}
	out := []Text{first}
	for _, a := range pl.Adds {
		name := "finding." + a.Finding + ".name"
		if a.Finding == plan.TalkAgain {
			name = "visit." + plan.TalkAgain + ".name" // never which finding
		}
		out = append(out, N("sheet.schedule.adds", a.Days, "Finding", Word{M(name)}))
	}
	return out
}

// Later tells what doing teeth of a route again may cost: over the years of the
// studies where numbers are wanted and may stand beside the others', and one or all
// of them once. The years are the patient's own, 0 for none. What is not known is told
// as that.
func Later(b *evidence.Base, r plan.RouteFacts, numbers bool, own int) []Text {
	m := r.Money
	out, studies := laterYears(b, r, numbers, own)
	switch i := atHorizon(b, m); {
	case !m.Known || m.IfAll == 0 || !numbers || i < 0:
	case studies:
		out = append(out, M("sheet.money.later-note"))
	case !r.Comparable:
		out = append(out, M("sheet.money.later-other"))
	case len(out) > 0:
		out = append(out, M("unknown."+m.Later[years(m, own)].Cost.Unknown))
	default:
		out = append(out, N("sheet.money.later-unknown", m.Later[i].Years), M("unknown."+m.Later[i].Cost.Unknown))
	}
	return append(out, again(m)...)
}

// laterYears is what Later tells of the years, and whether any of it rests on studies,
// without saying so: of the patient's own where they are known, else of the middle
// horizon, and that the patient's own, which lie past the studies, are not.
func laterYears(b *evidence.Base, r plan.RouteFacts, numbers bool, own int) (out []Text, studies bool) {
	m := r.Money
	if !m.Known || m.IfAll == 0 || !r.Comparable || !numbers {
		return nil, false
	}
	tell := func(i int) bool {
		if i < 0 || !m.Later[i].Cost.Known() {
			return false
		}
		l := m.Later[i]
		out = append(out, N("sheet.money.later", l.Years, "From", Amount{Roughly(l.Cost.Low), m.Currency}, "To", Amount{Roughly(l.Cost.High), m.Currency}))
		return true
	}
	mine, middle := years(m, own), atHorizon(b, m)
	if tell(mine) {
		return out, true
	}
	studies = (mine < 0 || middle >= 0 && m.Later[middle].Years < own) && tell(middle)
	if mine >= 0 && mine != middle {
		out = append(out, N("sheet.money.later-unknown", own))
	}
	return out, studies
}

// years is the place of some years among those to come; -1 when they are not there.
func years(m plan.RouteMoney, n int) int {
	return slices.IndexFunc(m.Later, func(l plan.MoneyLater) bool { return n > 0 && l.Years == n })
}

// atHorizon is the place of the middle horizon among the years to come; -1 when it is not there.
func atHorizon(b *evidence.Base, m plan.RouteMoney) int {
	h, ok := b.Setting("horizon-2")
	if !ok {
		return -1
	}
	return years(m, int(h.Value))
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

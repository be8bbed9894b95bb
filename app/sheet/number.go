package sheet

import (
	"cmp"
	"math"
	"slices"

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

// Ends are a chance from low to high in 100: what can happen is never none.
func Ends(b *evidence.Base, e plan.Estimate) (low, high int) {
	low, high = Outward(b, e.Low, e.High)
	return max(1, low), max(1, high)
}

// bounds is a chance as it is told: its ends in 100, and whether an end within a step of
// none or of all is told in words instead, never finer than the step.
func bounds(b *evidence.Base, e plan.Estimate) (lo, hi int, as string) {
	lo, hi = Outward(b, e.Low, e.High)
	step := stepInHundred(b)
	hi = max(hi, step) // what can happen is never none
	switch {
	case lo < step && hi < 100:
		return lo, hi, "from-few"
	case lo >= 100:
		return lo, hi, "nearly-all"
	case hi >= 100:
		return max(lo, step), hi, "to-nearly-all"
	case lo == hi:
		return lo, hi, "about"
	}
	return lo, hi, "range"
}

// Lasting tells one known endpoint of one restoration after some years, as
// numbers of 100 in both frames.
func Lasting(b *evidence.Base, e plan.Expectation) Text {
	lo, hi, as := bounds(b, e.PerTooth)
	id := "sheet.last." + e.Endpoint + "." + as
	switch as {
	case "from-few":
		return N(id, e.Years, "High", Int(hi), "Low", Int(100-hi))
	case "nearly-all":
		return N(id, e.Years)
	case "to-nearly-all":
		return N(id, e.Years, "Low", Int(lo), "High", Int(100-lo))
	case "about":
		return N(id, e.Years, "Number", Int(lo), "Total", Int(100-lo))
	}
	return N(id, e.Years, "Low", Int(lo), "High", Int(hi), "From", Int(100-hi), "To", Int(100-lo))
}

// InCell tells the same for a cell of a table whose title says of what: how many of
// 100, and how many of the rest.
func InCell(b *evidence.Base, e plan.Estimate) (share, rest Text) {
	switch lo, hi, as := bounds(b, e); as {
	case "from-few":
		return M("number.up-to", "High", Int(hi)), M("number.to-nearly-all", "Low", Int(100-hi))
	case "nearly-all":
		return M("number.nearly-all"), M("number.few")
	case "to-nearly-all":
		return M("number.to-nearly-all", "Low", Int(lo)), M("number.up-to", "High", Int(100-lo))
	case "about":
		return M("number.about", "Number", Int(lo)), M("number.about", "Number", Int(100-lo))
	default:
		return M("number.range", "Low", Int(lo), "High", Int(hi)), M("number.range", "Low", Int(100-hi), "High", Int(100-lo))
	}
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
	if !counted(e) {
		return nil
	}
	id := "sheet.together."
	if e.Endpoint == plan.InPlace {
		id += e.Endpoint + "."
	}
	n := len(e.Teeth)
	lo, hi := howMany(e)
	out := make([]Text, 0, 3)
	if lo < 1 {
		out = append(out, N(id+"expected", e.Years, "Total", Int(n), "High", Int(hi)))
	} else {
		out = append(out, N(id+"expected-range", e.Years, "Total", Int(n), "Low", Int(lo), "High", Int(hi)))
	}
	return append(out, chance(b, id+"at-least-one", e.AtLeastOne), chance(b, id+"several", e.Several))
}

// counted reports whether several teeth of one mouth are counted together.
func counted(e plan.Expectation) bool {
	return e.Known && len(e.Teeth) > 1 && e.Expected.Known() && e.AtLeastOne.Known() && e.Several.Known()
}

// howMany are whole teeth, rounded outward: what can happen is never none of them.
func howMany(e plan.Expectation) (low, high int) {
	return int(math.Floor(e.Expected.Low)), min(max(int(math.Ceil(e.Expected.High)), 1), len(e.Teeth))
}

// teethInCell is howMany for a cell of a table.
func teethInCell(e plan.Expectation) Text {
	switch lo, hi := howMany(e); {
	case lo < 1:
		return M("number.none-to", "High", Int(hi))
	case lo == hi:
		return M("number.about", "Number", Int(hi))
	default:
		return M("number.range", "Low", Int(lo), "High", Int(hi))
	}
}

// chance is one sentence about a chance among people like this patient. An end
// that reaches all or none is told as nearly all or a few, never short of it.
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

package plan

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
	"plainleaf/app/plan/basis"
	"plainleaf/app/plan/schedule"
	"plainleaf/build/trials"
)

// No plan contradicts itself, and no finding more makes anything better: 1,000 random cases,
// each once more with one finding added.
func TestNoPlanContradictsItself(t *testing.T) {
	r := rand.New(rand.NewPCG(16, 1))
	dated := 0
	practices := []casefile.Practice{demo(t), {OpeningDays: []string{"tue", "thu"}}, {}}
	for i := range trials.N(60, 250, 1000) {
		c, p := random(r), practices[i%3]
		if i%4 > 0 { // with many findings nearly every plan is on hold
			c = few(r, c)
		}
		name := fmt.Sprintf("case %d", i)
		pl := mustFor(t, c, p, base)
		if !pl.OnHold {
			dated++
		}
		consistent(t, name, c, p, pl)
		more, added := withOneMore(r, c)
		if added == "" {
			continue
		}
		worse := mustFor(t, more, p, base)
		consistent(t, name+" with "+added, more, p, worse)
		for _, better := range improved(pl, worse) {
			t.Errorf("%s: with %s %s", name, added, better)
		}
	}
	if n := trials.N(60, 250, 1000); dated < n/4 {
		t.Errorf("only %d of %d plans have dates", dated, n)
	}
}

// few is a case with at most three of its findings, none of them private.
func few(r *rand.Rand, c casefile.Case) casefile.Case {
	left := r.IntN(3)
	keep := func(list []string) (out []string) {
		for _, k := range list {
			if f := base.Finding(k); left > 0 && !f.Private && r.IntN(3) == 0 {
				out, left = append(out, k), left-1
			}
		}
		return out
	}
	c.Findings = keep(c.Findings)
	for i := range c.Teeth {
		c.Teeth[i].Findings = keep(c.Teeth[i].Findings)
	}
	return c
}

// withOneMore is a case with one finding more, and which; none where it would contradict.
func withOneMore(r *rand.Rand, c casefile.Case) (casefile.Case, string) {
	f := &base.Findings[r.IntN(len(base.Findings))]
	has := func(keys []string, k string) bool { return slices.Contains(keys, k) }
	all := slices.Clone(c.Findings)
	for _, e := range c.Teeth {
		all = append(all, e.Findings...)
	}
	if has(all, f.Key) || slices.ContainsFunc(all, func(k string) bool { return has(f.Excludes, k) }) {
		return c, ""
	}
	if f.Scope != "tooth" {
		c.Findings = append(slices.Clone(c.Findings), f.Key)
		return c, f.Key
	}
	if len(c.Teeth) == 0 {
		return c, ""
	}
	c.Teeth = slices.Clone(c.Teeth)
	e := &c.Teeth[r.IntN(len(c.Teeth))]
	e.Findings = append(slices.Clone(e.Findings), f.Key)
	return c, f.Key
}

// consistent checks one plan by itself.
func consistent(t *testing.T, name string, c casefile.Case, p casefile.Practice, pl Plan) {
	t.Helper()
	say := func(format string, a ...any) { t.Errorf("%s: %s", name, fmt.Sprintf(format, a...)) }
	careInOrder(say, pl)
	onOpenDays(say, p, pl)
	oneAppointment(say, pl)
	for _, v := range pl.Visits {
		if v.Likely.Before(v.Earliest) || v.Latest.Before(v.Likely) || v.Likely.IsZero() != v.Latest.IsZero() {
			say("%s on %v", v.Key, v.Span)
		}
		if pl.OnHold && v.Likely.Exists() && (v.Irreversible || v.Bonding || v.Signs) && !v.Agreed {
			say("on hold, and %s is on %s", v.Key, v.Likely)
		}
	}
	if pl.OnHold && (len(pl.Upkeep) > 0 || pl.Deciding.EarliestSign.Exists() || pl.Money.ToLastVisit) {
		say("on hold, and there are dates of the time after")
	}
	for _, f := range pl.Routes {
		if len(f.Held) > 0 != f.Dates.Likely.IsZero() {
			say("%s is held by %v and ends on %v", f.Key, f.Held, f.Dates)
		}
		if m := f.Money; m.Over.Cost.Known() && (len(m.Missing) > 0 || m.Over.Cost.Likely < float64(m.Today)) {
			say("%s costs %v over the years, %d today, without %v", f.Key, m.Over, m.Today, m.Missing)
		}
		if f.Chosen && (f.Money.Today != pl.Money.Total || f.Money.Known != pl.Money.Known || !slices.Equal(f.Money.Missing, pl.Money.Missing)) {
			say("one plan has two prices: %+v and %+v", f.Money, pl.Money)
		}
		if f.Partly && len(f.Teeth) == 0 {
			say("%s is for some teeth, none of them named", f.Key)
		}
	}
	priced(say, p, pl)
}

// careInOrder checks what comes before what.
func careInOrder(say func(string, ...any), pl Plan) {
	signed := slices.IndexFunc(pl.Visits, func(v Visit) bool { return v.Signs })
	trial := slices.IndexFunc(pl.Visits, func(v Visit) bool { return v.KeyOf(evidence.TrialSmile) != "" })
	for i, v := range pl.Visits {
		if (v.Irreversible || v.Bonding) && signed > i {
			say("%s comes before the signature", v.Key)
		}
		rechecks := v.Care != "" && (v.Purpose == "gum-recheck" || v.Purpose == "decay-recheck" || v.Purpose == "splint-recheck" || v.Purpose == "gum-surgery-recheck")
		for _, j := range []int{trial, signed} {
			if v.Care == "" || j < 0 || pl.Visits[j].Likely.IsZero() || pl.Visits[j].Agreed {
				continue
			}
			if i > j || rechecks && v.Likely == pl.Visits[j].Likely {
				say("%s on %s comes after %s on %s", v.Key, v.Likely, pl.Visits[j].Key, pl.Visits[j].Likely)
			}
		}
	}
	if signed < 0 || pl.Visits[signed].Likely.IsZero() {
		return
	}
	if s := pl.Visits[signed]; s.Likely.Before(pl.Deciding.EarliestSign) || trial >= 0 && s.Likely.Before(pl.Visits[trial].Likely.AddDays(7)) {
		say("signed on %s, before the time to think is over on %s", s.Likely, pl.Deciding.EarliestSign)
	}
	glued := slices.IndexFunc(pl.Visits, func(v Visit) bool { return v.Bonding })
	for _, v := range pl.Visits {
		if v.KeyOf("night-guard-fit") == "" || glued < 0 {
			continue
		}
		for _, d := range pl.Visits {
			if d.Bonding && d.Likely.AddDays(7).Before(v.Likely) && d.KeyOf(schedule.StopGap) == "" {
				say("nothing is worn between %s on %s and the guard on %s", d.Key, d.Likely, v.Likely)
			}
		}
	}
}

// onOpenDays checks that nobody comes to a closed practice.
func onOpenDays(say func(string, ...any), p casefile.Practice, pl Plan) {
	cal := schedule.NewCalendar(basis.New(casefile.Case{}, p, base))
	for _, v := range pl.Visits {
		for _, d := range []casefile.Date{v.Earliest, v.Likely, v.Latest} {
			if d.Exists() && cal.Open(d) != d {
				say("%s on %s, when the practice is closed", v.Key, d)
			}
		}
	}
	for _, u := range pl.Upkeep {
		if cal.Open(u.Date) != u.Date {
			say("%s on %s, when the practice is closed", u.Key, u.Date)
		}
	}
}

// oneAppointment checks that two visits of one day are two because they do not fit one.
func oneAppointment(say func(string, ...any), pl Plan) {
	most, _ := base.Setting("sitting-cap")
	for i, v := range pl.Visits {
		for _, o := range pl.Visits[:i] {
			if v.Likely.IsZero() || v.Likely != o.Likely || v.Elsewhere || o.Elsewhere || v.Times != nil || o.Times != nil {
				continue
			}
			if v.Minutes.Likely+o.Minutes.Likely <= most.Value {
				say("%s and %s on %s fit one appointment", o.Key, v.Key, v.Likely)
			}
		}
	}
}

// priced checks that every part of the plan has a price, costs nothing extra or is named.
func priced(say func(string, ...any), p casefile.Practice, pl Plan) {
	if !pl.Money.Known {
		return
	}
	named := slices.Concat(pl.Money.Missing, pl.Money.Included)
	for _, l := range pl.Money.Lines {
		named = append(named, l.Key)
	}
	var parts []string
	for _, f := range pl.First {
		if f.Consents() {
			parts = append(parts, f.Key)
		}
	}
	for _, key := range append(parts, pl.Appliances...) {
		if !slices.Contains(named, key) {
			say("%s is in no price and not named: %v", key, named)
		}
	}
}

// improved lists what got better with a finding more.
func improved(was, is Plan) (out []string) {
	say := func(format string, a ...any) { out = append(out, fmt.Sprintf(format, a...)) }
	if was.OnHold && !is.OnHold {
		say("nothing is on hold any more")
	}
	if len(is.WaitFor) < len(was.WaitFor) || len(is.Risks) < len(was.Risks) {
		say("there are %d wait-fors and %d risks, before %d and %d", len(is.WaitFor), len(is.Risks), len(was.WaitFor), len(was.Risks))
	}
	for _, f := range was.Routes {
		i := slices.IndexFunc(is.Routes, func(g RouteFacts) bool { return g.Key == f.Key })
		if i < 0 { // it is the chosen plan now, or on other teeth
			continue
		}
		g := is.Routes[i]
		if f.Partly || g.Partly {
			continue // on other teeth now
		}
		for t := range 3 {
			if g.Dates.Likely.Exists() && day3(g.Dates, t).Before(day3(f.Dates, t)) {
				say("%s ends on %v, before on %v", f.Key, g.Dates, f.Dates)
			}
		}
		if len(f.Held) > 0 && len(g.Held) == 0 || g.Level.Rank() < f.Level.Rank() {
			say("%s is held by %v and of level %s, before by %v and %s", f.Key, g.Held, g.Level, f.Held, f.Level)
		}
		if f.Money.Known && g.Money.Known && len(g.Money.Missing) == len(f.Money.Missing) && g.Money.Today < f.Money.Today {
			say("%s costs %d, before %d", f.Key, g.Money.Today, f.Money.Today)
		}
		for k, e := range f.Expectations {
			if k < len(g.Expectations) && len(f.Expectations) == len(g.Expectations) && g.Expectations[k].PerTooth.Known() &&
				(!e.PerTooth.Known() && e.PerTooth.Unknown != basis.Mixed || e.PerTooth.Known() && g.Expectations[k].PerTooth.Likely > e.PerTooth.Likely) {
				say("%s lasts %v, before %v", f.Key, g.Expectations[k].PerTooth, e.PerTooth)
			}
		}
	}
	recall := func(p Plan) casefile.Date {
		i := slices.IndexFunc(p.Upkeep, func(u Upkeep) bool { return u.Key == "recall" || u.Key == "recall-plain" })
		if i < 0 || len(p.Visits) == 0 {
			return casefile.Date{}
		}
		return p.Upkeep[i].Date
	}
	last := func(p Plan) casefile.Date {
		return p.Routes[slices.IndexFunc(p.Routes, func(f RouteFacts) bool { return f.Chosen })].Dates.Likely
	}
	if a, b := recall(was), recall(is); a.Exists() && b.Exists() && last(is).DaysUntil(b) > last(was).DaysUntil(a)+5 {
		say("the first check-up is on %s, before on %s", b, a)
	}
	return out
}

// day3 is one of the three days of a span.
func day3(s Span, t int) casefile.Date {
	return []casefile.Date{s.Earliest, s.Likely, s.Latest}[t]
}

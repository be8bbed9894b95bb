package plan

import (
	"slices"
	"strconv"

	"plainleaf/app/evidence"
	"plainleaf/app/veneer"
)

// Reason keys for the interval before a visit, besides those of the data's
// visit rules (words: why.<key>).
const (
	WhyStart       = "start"        // the first visit
	WhyThinking    = "thinking"     // time to think before anything that cannot be undone
	WhyWhitening   = "whitening"    // bonding or shade records wait after whitening
	WhySitting     = "sitting"      // the visit is divided into sittings
	WhyFinding     = "settle-first" // a finding, named in Finding, has to be settled first
	WhyAgreedPause = "agreed-pause" // a private finding; never named
	WhyAppliance   = "appliance"    // an appliance is fitted
)

// schedule is the dated sequence of one mouth.
type schedule struct {
	visits   []Visit
	count    Estimate // appointments
	minutes  Estimate // chair minutes
	last     Span     // the last visit
	sittings int      // bonding sittings, likely
	fits     map[string]Span
	figures  []string
}

// stream is the extra visits and waits that one finding, or all private ones
// together, put beside the main sequence.
type stream struct {
	key     string // finding or TalkAgain
	private bool
	count   Estimate
	waits   []wait
	ledger  *ledger
}

type wait struct {
	figure evidence.Figure
	at     string // which step waits: records, preparation, bonding
}

// track is the dates of one of the three tracks: everything at its low,
// likely or high value.
type track struct {
	main    [][]veneer.Date // by step
	streams [][]veneer.Date // by stream
	fits    []veneer.Date   // by appliance
	why     []cause         // by step: what its first date waited for
	end     veneer.Date     // the last visit of all
}

// cause is what a step waits for: the after-th step, a stream, or a date.
type cause struct {
	date   veneer.Date
	step   int // index of the step before; -1 none
	stream int // index of a stream; -1 none
	why    string
}

// schedule dates the visits of m. Three tracks are counted, with every interval,
// number of visits and chair time at its low, likely and high value; intervals
// are calendar time from visit to visit, rolled forward to an opening day.
func (w *work) schedule(m mouth, es []effect) schedule {
	steps := w.sequence(m)
	if len(steps) == 0 {
		start := w.open(w.c.Start)
		return schedule{count: exactly(0), minutes: exactly(0), last: Span{start, start, start}, figures: []string{}}
	}
	streams := w.streams(es)
	fits := w.fits(m, es)
	rules := w.intervals(steps, streams)
	var tracks [3]track
	for t := range tracks {
		tracks[t] = w.track(t, steps, streams, fits, rules)
	}
	return w.assemble(steps, streams, fits, rules, tracks)
}

// intervals are the plan's own rules that the dates of a mouth rest on.
type intervals struct {
	thinking, whiteBond, whiteShade, sitting, extra evidence.Figure
	ledger                                          *ledger
}

func (w *work) intervals(steps []step, streams []stream) intervals {
	l := w.ledger()
	r := intervals{ledger: l}
	if slices.ContainsFunc(steps, func(s step) bool { return s.irreversible }) {
		r.thinking, _ = l.setting("thinking-time")
	}
	if slices.ContainsFunc(steps, func(s step) bool { return s.whitening }) && slices.ContainsFunc(steps, func(s step) bool { return s.bonding }) {
		r.whiteBond, _ = l.setting("whitening-wait")
		r.whiteShade, _ = l.setting("whitening-shade-wait")
	}
	if slices.ContainsFunc(steps, func(s step) bool { return s.sittings(2) > 1 }) {
		r.sitting, _ = l.setting("sitting-gap")
	}
	if slices.ContainsFunc(streams, func(s stream) bool { return s.count.High > 0 }) {
		r.extra, _ = l.setting("extra-visit-gap")
	}
	return r
}

// streams turns the findings' extra visits and waits into streams, private ones
// joined. Visits that only fit an appliance while the route proceeds are not
// among them: each appliance has its own visit, once.
func (w *work) streams(es []effect) []stream {
	var out []stream
	talk := -1
	for _, e := range es {
		l := w.ledger()
		l.private = e.private
		s := stream{key: e.key, private: e.private, count: e.visits(l), ledger: l}
		if !s.count.Known() || len(e.appliances()) > 0 && e.level.Rank() <= evidence.LevelProceed.Rank() {
			s.count = exactly(0)
		}
		for _, x := range e.each {
			if f, ok := l.figure(x.Wait); ok {
				s.waits = append(s.waits, wait{f, x.WaitAt})
			}
		}
		if s.count.High == 0 && len(s.waits) == 0 {
			continue
		}
		if !e.private {
			out = append(out, s)
			continue
		}
		s.key = TalkAgain
		if talk < 0 {
			talk = len(out)
			out = append(out, s)
			continue
		}
		out[talk].count = out[talk].count.plus(s.count)
		out[talk].waits = append(out[talk].waits, s.waits...)
	}
	return out
}

// fit is the visit at which an appliance is handed over.
type fit struct {
	appliance string
	gap       evidence.Figure
	minutes   Estimate
	ledger    *ledger
}

func (w *work) fits(m mouth, es []effect) []fit {
	var out []fit
	for _, a := range w.appliances(m, es) {
		l := w.ledger()
		f := fit{appliance: a, ledger: l}
		f.gap, _ = l.setting(w.rule(a+"-fit", "guard-fit-gap"))
		if m, ok := l.setting(w.rule(a+"-fit-minutes", "extra-visit-minutes")); ok {
			f.minutes = estimateOf(m)
		}
		out = append(out, f)
	}
	return out
}

// rule is the particular rule where the data has it, else the general one.
func (w *work) rule(particular, general string) string {
	if w.b.Settings[particular] != "" {
		return particular
	}
	return general
}

// target is the step that waits for a finding: records unless the finding says
// preparation or bonding; where the sequence has no such step, the one after the
// first visit. -1: there is none.
func target(steps []step, at string) int {
	i := -1
	switch at {
	case "bonding":
		i = slices.IndexFunc(steps, func(s step) bool { return s.bonding })
	case "preparation":
		i = slices.IndexFunc(steps, func(s step) bool { return s.irreversible })
	default:
		i = slices.IndexFunc(steps, func(s step) bool { return s.records })
	}
	if i < 0 {
		i = slices.IndexFunc(steps, func(s step) bool { return s.bonding })
	}
	if i < 0 && len(steps) > 1 {
		i = 1
	}
	return i
}

// track counts one track: t 0 the lows, 1 the likely, 2 the highs.
func (w *work) track(t int, steps []step, streams []stream, fits []fit, r intervals) track {
	k := track{main: make([][]veneer.Date, len(steps)), streams: make([][]veneer.Date, len(streams)), why: make([]cause, len(steps))}
	move := func(d veneer.Date, f evidence.Figure) veneer.Date {
		return w.add(d, estimateOf(f).at(t), f.Unit)
	}
	white := -1
	for i, s := range steps {
		if s.whitening && !s.bonding {
			white = i
		}
	}
	irreversible := slices.IndexFunc(steps, func(s step) bool { return s.irreversible })
	end := func(i int) veneer.Date { // the last date of step i, or of the one before when it has none
		for ; i > 0 && (len(k.main[i]) == 0 || steps[i].within); i-- {
		}
		if len(k.main[i]) == 0 {
			return w.open(w.c.Start)
		}
		return k.main[i][len(k.main[i])-1]
	}
	for i, s := range steps {
		var cs []cause
		if i == 0 {
			cs = append(cs, cause{w.c.Start, -1, -1, WhyStart})
		} else {
			d := end(i - 1)
			switch {
			case s.within && s.repeatGap != nil:
				d = move(d, *s.repeatGap)
			case s.gap != nil:
				d = move(d, *s.gap)
			}
			cs = append(cs, cause{d, i - 1, -1, s.why})
		}
		if i == irreversible && r.thinking.ID != "" {
			// The practice's rule, not an uncertain interval: the likely value on every track.
			cs = append(cs, cause{w.add(w.c.Issued, r.thinking.Value, r.thinking.Unit), -1, -1, WhyThinking})
		}
		if white >= 0 && i > white && r.whiteBond.ID != "" {
			if s.bonding {
				cs = append(cs, cause{move(end(white), r.whiteBond), white, -1, WhyWhitening})
			}
			if s.records {
				cs = append(cs, cause{move(end(white), r.whiteShade), white, -1, WhyWhitening})
			}
		}
		for j, x := range streams {
			why := WhyFinding
			if x.private {
				why = WhyAgreedPause
			}
			from := end(0)
			if n := len(k.streams[j]); n > 0 {
				from = k.streams[j][n-1]
			}
			for _, v := range x.waits {
				if i > 0 && target(steps, v.at) == i {
					cs = append(cs, cause{move(from, v.figure), 0, j, why})
				}
			}
			if i > 0 && len(k.streams[j]) > 0 && x.before(steps) == i {
				cs = append(cs, cause{from, 0, j, why})
			}
		}
		first := cs[0]
		for _, c := range cs[1:] {
			if first.date.Before(c.date) {
				first = c
			}
		}
		k.why[i] = first
		d := w.open(first.date)
		k.main[i] = []veneer.Date{d} // of visits within an interval only the first is dated
		if !s.within {
			k.main[i] = w.run(d, t, s, r)
		}
		if i == 0 {
			for j, x := range streams {
				e := end(0)
				for range up(x.count.at(t)) {
					e = w.open(move(e, r.extra))
					k.streams[j] = append(k.streams[j], e)
				}
			}
		}
	}
	k.end = end(len(steps) - 1)
	for _, f := range fits {
		k.fits = append(k.fits, w.open(move(end(len(steps)-1), f.gap)))
	}
	for _, d := range k.fits {
		k.end = later(k.end, d)
	}
	for _, ds := range k.streams {
		for _, d := range ds {
			k.end = later(k.end, d)
		}
	}
	return k
}

// before is the step that may not come before a stream's extra visits are over.
func (x stream) before(steps []step) int {
	at := ""
	if len(x.waits) > 0 {
		at = x.waits[0].at
	}
	return target(steps, at)
}

// run dates the appointments of one step from its first date on.
func (w *work) run(d veneer.Date, t int, s step, r intervals) []veneer.Date {
	var out []veneer.Date
	n, per := s.appointments(t), s.sittings(t)
	for j := range n {
		if j > 0 {
			gap := r.sitting
			if j%per == 0 && s.repeatGap != nil {
				gap = *s.repeatGap
			}
			if gap.ID != "" {
				d = w.open(w.add(d, estimateOf(gap).at(t), gap.Unit))
			}
		}
		out = append(out, d)
	}
	return out
}

// pick gives the date of the j-th appointment, or the last one where the track
// has fewer, or otherwise d.
func pick(ds []veneer.Date, j int, d veneer.Date) veneer.Date {
	switch {
	case j < len(ds):
		return ds[j]
	case len(ds) > 0:
		return ds[len(ds)-1]
	}
	return d
}

// assemble lists the likely track's appointments with their dates on all three.
func (w *work) assemble(steps []step, streams []stream, fits []fit, r intervals, tracks [3]track) schedule {
	out := schedule{count: exactly(0), minutes: exactly(0), fits: map[string]Span{}, visits: []Visit{}}
	all := w.ledger()
	all.ids = append(all.ids, r.ledger.ids...)
	span := func(of func(track) veneer.Date) Span {
		return Span{of(tracks[0]), of(tracks[1]), of(tracks[2])}
	}
	name := func(key string, j, n int) string {
		if n > 1 {
			return key + "-" + strconv.Itoa(j+1)
		}
		return key
	}
	lastKey := make([]string, len(steps)) // key of the last listed appointment at or before a step
	streamKey := make([]string, len(streams))
	var total [3]float64
	prev := func(t track, i int) veneer.Date {
		for i--; i >= 0; i-- {
			if n := len(t.main[i]); n > 0 && !steps[i].within {
				return t.main[i][n-1]
			}
		}
		return w.open(w.c.Start)
	}
	var main, extra []Visit
	for i, s := range steps {
		n, per := len(tracks[1].main[i]), s.sittings(1)
		for t := range total {
			total[t] += float64(s.appointments(t))
		}
		out.minutes = out.minutes.plus(timesEach(s.minutes(), s.repeat))
		all.ids = append(all.ids, s.ledger.ids...)
		teeth, minutes := s.share(per)
		for j := range n {
			v := Visit{rule: s.key, Key: name(s.key, j, n), Purpose: s.purpose, Teeth: teeth[j%per], Minutes: minutes[j%per].round(),
				Irreversible: s.irreversible, Bonding: s.bonding, Figures: s.ledger.list(),
				Span: span(func(t track) veneer.Date { return pick(t.main[i], j, prev(t, i)) })}
			if per > 1 {
				v.Sitting, v.Of = j%per+1, per
			}
			if s.within {
				times := s.repeat.round()
				v.Times = &times
			}
			if s.bonding {
				out.sittings++
			}
			switch c := tracks[1].why[i]; {
			case j > 0 && j%per == 0:
				v.After, v.Why = main[len(main)-1].Key, s.why
			case j > 0:
				v.After, v.Why = main[len(main)-1].Key, WhySitting
			case c.stream >= 0:
				v.After, v.Why = streamKey[c.stream], c.why
				if v.After == "" {
					v.After = lastKey[0]
				}
				if !streams[c.stream].private {
					v.Finding = streams[c.stream].key
				}
			case c.step >= 0:
				v.After, v.Why = lastKey[c.step], c.why
			default:
				v.Why = c.why
			}
			main = append(main, v)
		}
		switch {
		case s.within && i > 0:
			lastKey[i] = lastKey[i-1]
		case len(main) > 0:
			lastKey[i] = main[len(main)-1].Key
		}
		if i == 0 {
			extra = w.extras(streams, lastKey[0], streamKey, tracks, span, name)
		}
	}
	for j, x := range streams {
		for t := range total {
			total[t] += float64(len(tracks[t].streams[j]))
		}
		if x.count.High > 0 {
			if m, ok := all.setting("extra-visit-minutes"); ok {
				out.minutes = out.minutes.plus(timesEach(estimateOf(m), x.count))
			}
		}
		if !x.private {
			all.ids = append(all.ids, x.ledger.ids...)
		}
	}
	for i, f := range fits {
		v := Visit{Key: f.appliance + "-fit", Purpose: f.appliance + "-fit", Minutes: f.minutes.round(), Extra: true, Figures: f.ledger.list(),
			After: lastKey[len(steps)-1], Why: WhyAppliance, Span: span(func(t track) veneer.Date { return t.fits[i] })}
		out.fits[f.appliance] = v.Span
		main = append(main, v)
		out.minutes = out.minutes.plus(f.minutes)
		for t := range total {
			total[t]++
		}
		all.ids = append(all.ids, f.ledger.ids...)
	}
	out.count = Estimate{Low: total[0], Likely: total[1], High: total[2]}
	// Extra visits stand right after the first visit, then by date.
	k := 0
	if len(main) > 0 {
		k = len(tracks[1].main[0])
	}
	out.visits = slices.Concat(main[:k], extra, main[k:])
	slices.SortStableFunc(out.visits, func(a, b Visit) int { return compare(a.Likely.String(), b.Likely.String()) })
	out.last = span(func(t track) veneer.Date { return t.end })
	out.figures = all.list()
	return out
}

// extras lists the appointments of the streams.
func (w *work) extras(streams []stream, after string, streamKey []string, tracks [3]track,
	span func(func(track) veneer.Date) Span, name func(string, int, int) string) []Visit {
	var out []Visit
	for j, x := range streams {
		n := len(tracks[1].streams[j])
		l := w.ledger()
		if n > 0 {
			if !x.private {
				l.ids = append(l.ids, x.ledger.ids...)
			}
			l.setting("extra-visit-gap")
		}
		minutes := Estimate{Unknown: NoFigure}
		if n > 0 {
			if m, ok := l.setting("extra-visit-minutes"); ok {
				minutes = estimateOf(m)
			}
		}
		for i := range n {
			v := Visit{Key: name("first-"+x.key, i, n), Purpose: "settle-first", Minutes: minutes.round(), Extra: true, Why: WhyFinding,
				Finding: x.key, After: after, Figures: l.list(),
				Span: span(func(t track) veneer.Date { return pick(t.streams[j], i, pick(t.main[0], len(t.main[0]), w.c.Start)) })}
			if x.private {
				v.Key, v.Purpose, v.Why, v.Finding = name(TalkAgain, i, n), TalkAgain, WhyAgreedPause, ""
			}
			if i > 0 {
				v.After = out[len(out)-1].Key
			}
			out = append(out, v)
			streamKey[j] = v.Key
		}
	}
	return out
}

// timesEach multiplies end by end.
func timesEach(e, k Estimate) Estimate {
	if !e.Known() {
		return e
	}
	if !k.Known() {
		return k
	}
	return Estimate{Low: e.Low * k.Low, Likely: e.Likely * k.Likely, High: e.High * k.High}
}

// chain follows the visits back from the last one: the longest chain of what
// waits for what, first visit first.
func chain(visits []Visit) []string {
	out := []string{}
	if len(visits) == 0 {
		return out
	}
	at := map[string]Visit{}
	last := visits[0]
	for _, v := range visits {
		at[v.Key] = v
		if last.Likely.Before(v.Likely) {
			last = v
		}
	}
	for key := last.Key; key != "" && len(out) <= len(visits); key = at[key].After {
		out = append(out, key)
	}
	slices.Reverse(out)
	return out
}

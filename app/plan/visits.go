package plan

import (
	"slices"
	"strconv"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
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
	charged  []charge
	figures  set
}

// charge is what the practice may ask a fee for, by the key of the visit rule.
type charge struct {
	key    string
	visits int // appointments, likely
	teeth  int // treated at them
}

// stream is the extra visits and waits that one finding, or all private ones
// together, put beside the main sequence.
type stream struct {
	key     string // finding or TalkAgain
	private bool
	count   Estimate
	waits   []wait
	before  int              // the step that may not come before the extra visits are over; -1 none
	leads   []casefile.Route // what comes first and may not begin before they are over either
	ledger  *ledger
}

// visitKey is that of its visits, before they are numbered.
func (s *stream) visitKey() string {
	if s.private {
		return TalkAgain
	}
	return "first-" + s.key
}

type wait struct {
	figure *evidence.Figure
	at     string         // which step waits: records, preparation, bonding, recheck
	lead   casefile.Route // what comes first and has to wait itself; empty: the step named by at
	step   int            // its index; -1 none
}

// track is the dates of one of the three tracks: everything at its low,
// likely or high value.
type track struct {
	main    [][]casefile.Date // by step
	streams [][]casefile.Date // by stream
	fits    []casefile.Date   // by appliance
	why     []cause           // by step: what its first date waited for
	end     casefile.Date     // the last visit of all
}

// cause is what a step waits for: the after-th step, a stream, or a date.
type cause struct {
	date   casefile.Date
	step   int // index of the step before; -1 none
	stream int // index of a stream; -1 none
	why    string
}

// timetable is what the dates of one mouth follow from.
type timetable struct {
	steps   []step
	streams []stream
	fits    []fit
	rules   intervals
	agreed  *pins
}

// schedule dates the visits of m. Three tracks are counted, with every interval,
// number of visits and chair time at its low, likely and high value; intervals
// are calendar time from visit to visit, rolled forward to an opening day.
func (w *work) schedule(o outcome, visits bool) (schedule, timetable) {
	w.room.steps.used, w.room.times.used, w.room.waits.used, w.room.fits.used = 0, 0, 0, 0
	x := timetable{steps: w.sequence(o.mouth)}
	if len(x.steps) == 0 {
		start := w.open(w.c.Start)
		return schedule{count: exactly(0), minutes: exactly(0), last: Span{start, start, start}}, x
	}
	x.streams = w.streams(o)
	for i := range x.streams {
		x.streams[i].aim(x.steps)
	}
	x.fits = w.fits(o.appliances)
	x.rules = w.intervals(x.steps, x.streams)
	x.agreed = w.pins(x.steps, x.streams, x.fits, visits)
	var tracks [3]track
	for t := range tracks {
		tracks[t] = w.track(t, x)
	}
	w.squeeze(&tracks, x)
	return w.assemble(x, &tracks, visits), x
}

// aim finds the steps that wait for a stream.
func (s *stream) aim(steps []step) {
	at := ""
	for j := range s.waits {
		x := &s.waits[j]
		if x.step = begins(steps, x.lead); x.step < 0 {
			x.step = target(steps, x.at)
		}
		if j == 0 {
			at = x.at
		}
	}
	s.before = target(steps, at)
	for _, lead := range s.leads {
		if k := begins(steps, lead); k >= 0 && (k < s.before || s.before < 0) {
			s.before = k
		}
	}
}

// intervals are the plan's own rules that the dates of a mouth rest on.
type intervals struct {
	thinking, whiteBond, whiteShade, sitting, extra *evidence.Figure // nil: not needed here
	ledger                                          *ledger
}

func (w *work) intervals(steps []step, streams []stream) intervals {
	l := w.ledger()
	r := intervals{ledger: l}
	if slices.ContainsFunc(steps, func(s step) bool { return s.irreversible }) {
		r.thinking = l.ruled("thinking-time")
	}
	if slices.ContainsFunc(steps, func(s step) bool { return s.whitening }) && slices.ContainsFunc(steps, func(s step) bool { return s.bonding }) {
		r.whiteBond = l.ruled("whitening-wait")
		r.whiteShade = l.ruled("whitening-shade-wait")
	}
	if slices.ContainsFunc(steps, func(s step) bool { return s.sittings[2] > 1 }) {
		r.sitting = l.ruled("sitting-gap")
	}
	if slices.ContainsFunc(streams, func(s stream) bool { return s.count.High > 0 }) {
		r.extra = l.ruled("extra-visit-gap")
	}
	return r
}

// streams turns the findings' extra visits and waits into streams, private ones
// joined. Visits that only fit an appliance while the route proceeds are not
// among them: each appliance has its own visit, once.
func (w *work) streams(o outcome) []stream {
	es := o.effects
	if cap(w.room.streams) < len(es) {
		w.room.streams = make([]stream, 0, len(es))
	}
	out := w.room.streams[:0] // used up before the next schedule
	talk := -1
	for i := range es {
		e := &es[i]
		if !w.here[e.at].delays || !slices.ContainsFunc(e.each, func(x *evidence.Effect) bool { return x.Visits != "" || x.Wait != "" }) {
			continue
		}
		l := w.ledger()
		l.private = e.private
		s := stream{key: e.key, private: e.private, count: e.visits(l), waits: w.room.waits.take(len(e.each)), ledger: l}
		if !s.count.Known() || slices.ContainsFunc(e.each, func(x *evidence.Effect) bool { return len(x.Appliances) > 0 }) && e.level.Rank() <= evidence.LevelProceed.Rank() {
			s.count = exactly(0)
		}
		for _, x := range e.each {
			lead := w.holdsUp(o.mouth, e, x)
			if lead != "" {
				s.leads = append(s.leads, lead)
			}
			if !lead.First() { // gums heal beside whitening (care-pathway 4.7, CV-32)
				lead = ""
			}
			if f := l.find(x.Wait); f != nil {
				s.waits = append(s.waits, wait{f, x.WaitAt, lead, -1})
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
		out[talk].leads = append(out[talk].leads, s.leads...)
	}
	return out
}

// holdsUp is what comes first in a mouth and has itself to wait until an effect
// of a finding is settled: no tooth is moved while gums or decay are active. Gum
// care waits for nothing. Of several it is the one that begins first; empty when
// there is none.
func (w *work) holdsUp(m mouth, e *effect, x *evidence.Effect) (lead casefile.Route) {
	if x.Level.Rank() < evidence.LevelFirst.Rank() {
		return ""
	}
	for k, p := range m.paths {
		if e.on&m.on[k] == 0 {
			continue
		}
		r, does := w.paths[p].lead, w.paths[p].does[e.at].first
		if r == "" { // what only comes first may be all that happens to a tooth
			r, does = w.paths[p].route, w.paths[p].does[e.at].stays
		}
		i := slices.Index(leadOrder, r)
		if i < 0 || r == casefile.GumCareFirst || does != x {
			continue
		}
		if lead == "" || i < slices.Index(leadOrder, lead) {
			lead = r
		}
	}
	return lead
}

// fit is the visit at which an appliance is handed over.
type fit struct {
	appliance string
	gap       *evidence.Figure
	minutes   Estimate
	ledger    *ledger
}

// key is that of its visit.
func (f fit) key() string { return f.appliance + "-fit" }

func (w *work) fits(appliances []string) []fit {
	out := w.room.fits.take(len(appliances))
	for _, a := range appliances {
		l := w.ledger()
		f := fit{appliance: a, ledger: l}
		f.gap = l.ruled(w.rule(a+"-fit", "guard-fit-gap"))
		if m := l.ruled(w.rule(a+"-fit-minutes", "extra-visit-minutes")); m != nil {
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
// preparation, bonding or the recheck of what comes first, but never one after the first step that cannot be undone.
// Where the sequence has none of these, it is the first one after the consultation
// that is not gum care, which never waits. -1: there is none.
func target(steps []step, at string) int {
	final := func(s *step) bool { return s.irreversible }
	is := func(s *step) bool { return s.records }
	bonds := func(s *step) bool { return s.bonding }
	switch at {
	case atRecheck:
		if i := first(steps, func(s *step) bool { return s.recheck }); i > 0 {
			return i
		}
	case "bonding":
		is = bonds
	case "preparation":
		is = final
	}
	i := first(steps, is)
	if i < 0 {
		i = first(steps, bonds)
	}
	if k := first(steps, final); k >= 0 && k < i {
		i = k
	}
	for k := 1; i < 0 && k < len(steps); k++ {
		if !steps[k].gums && !steps[k].within {
			i = k
		}
	}
	return i
}

// atRecheck: the wait is counted from the visit before the recheck, which is what
// it waits for.
const atRecheck = "recheck"

// begins is the first visit of what comes first, after the consultation it shares
// with the rest; -1 when there is none.
func begins(steps []step, lead casefile.Route) int {
	for i := 1; i < len(steps) && lead != ""; i++ {
		if steps[i].lead == lead && !steps[i].within {
			return i
		}
	}
	return -1
}

// first is the index of the first step that is something; -1 when none is.
func first(steps []step, is func(*step) bool) int {
	for i := range steps {
		if is(&steps[i]) {
			return i
		}
	}
	return -1
}

// anew is n empty entries in the room of list.
func anew[T any](list []T, n int) []T {
	list = slices.Grow(list[:0], n)[:n]
	clear(list)
	return list
}

// track counts one track: t 0 the lows, 1 the likely, 2 the highs.
func (w *work) track(t int, x timetable) track {
	steps, streams, fits, r, agreed := x.steps, x.streams, x.fits, x.rules, x.agreed
	k := w.room.tracks[t] // used up before the next schedule
	k.main, k.streams, k.why, k.fits = anew(k.main, len(steps)), anew(k.streams, len(streams)), anew(k.why, len(steps)), k.fits[:0]
	move := func(d casefile.Date, f *evidence.Figure) casefile.Date {
		if f == nil {
			return d // the data lacks it, which is a fault of its own
		}
		return w.add(d, bound(f, t), f.Unit)
	}
	white := -1
	for i := range steps {
		if s := &steps[i]; s.whitening && !s.bonding {
			white = i
		}
	}
	irreversible := first(steps, func(s *step) bool { return s.irreversible })
	end := func(i int) casefile.Date { // the last date of step i, or of the one before when it has none
		for ; i > 0 && (len(k.main[i]) == 0 || steps[i].within); i-- {
		}
		if len(k.main[i]) == 0 {
			return w.open(w.c.Start)
		}
		return k.main[i][len(k.main[i])-1]
	}
	var opened, last casefile.Date // the latest agreed day of the first step, and of all so far
	n := 0
	for i := range steps {
		n += max(1, steps[i].appointments[t])
	}
	for j := range streams {
		n += max(0, up(streams[j].count.at(t)))
	}
	w.room.dates[t] = slices.Grow(w.room.dates[t][:0], n)
	dates := w.room.dates[t] // of all steps and streams, end to end
	for i := range steps {
		s := &steps[i]
		// The latest cause decides; of two on one day the first stands.
		best := cause{w.c.Start, -1, -1, WhyStart}
		wait := func(d casefile.Date, step, stream int, why string) {
			if best.date.Before(d) {
				best = cause{d, step, stream, why}
			}
		}
		if i > 0 {
			d := end(i - 1)
			switch {
			case s.within && s.repeatGap != nil:
				d = move(d, s.repeatGap)
			case s.gap != nil:
				d = move(d, s.gap)
			}
			best = cause{d, i - 1, -1, s.why}
		}
		if i == irreversible && r.thinking != nil {
			// The practice's rule, not an uncertain interval: the likely value on every track.
			wait(w.add(w.c.Issued, r.thinking.Value, r.thinking.Unit), -1, -1, WhyThinking)
		}
		if white >= 0 && i > white && r.whiteBond != nil {
			if s.bonding {
				wait(move(end(white), r.whiteBond), white, -1, WhyWhitening)
			}
			if s.records {
				wait(move(end(white), r.whiteShade), white, -1, WhyWhitening)
			}
		}
		if i > 0 {
			begin := end(0)
			for j := range streams {
				x := &streams[j]
				why := WhyFinding
				if x.private {
					why = WhyAgreedPause
				}
				from := begin
				if n := len(k.streams[j]); n > 0 {
					from = k.streams[j][n-1]
				}
				for n := range x.waits {
					switch v := &x.waits[n]; {
					case v.step != i:
					case s.recheck && v.at == atRecheck:
						wait(move(end(i-1), v.figure), i-1, j, s.why)
					default:
						wait(move(from, v.figure), 0, j, why)
					}
				}
				if len(k.streams[j]) > 0 && x.before == i {
					wait(from, 0, j, why)
				}
			}
		}
		k.why[i] = best
		for j := range streams {
			if i > 0 && streams[j].before == i {
				last = later(last, lastOf(agreed.stream(j)))
			}
		}
		d := w.open(best.date)
		if s.within { // of visits within an interval only the first is dated
			before := last // and it moves no later one
			k.main[i] = append(dates, w.take(pinAt(agreed.step(i), 0), t, d, &before))
		} else {
			if i == 0 && best.why == WhyStart && pinAt(agreed.step(0), 0) != nil {
				d = casefile.Date{} // the start only says when the first visit is planned
			}
			k.main[i] = w.run(dates, d, t, s, r, agreed.step(i), &last)
		}
		dates = rest(k.main[i])
		if i == 0 {
			opened = last
			for j := range streams {
				e, out, before := end(0), dates, opened
				for n := range max(up(streams[j].count.at(t)), len(agreed.stream(j))) {
					e = w.take(pinAt(agreed.stream(j), n), t, w.open(move(e, r.extra)), &before)
					out = append(out, e)
				}
				k.streams[j], dates = out, rest(out)
			}
		}
	}
	k.end = end(len(steps) - 1)
	for i, f := range fits {
		before := last
		k.fits = append(k.fits, w.take(agreed.fit(i), t, w.open(move(end(len(steps)-1), f.gap)), &before))
	}
	for _, d := range k.fits {
		k.end = later(k.end, d)
	}
	for _, ds := range k.streams {
		for _, d := range ds {
			k.end = later(k.end, d)
		}
	}
	w.room.tracks[t] = k
	return k
}

// bound is one end of a figure: 0 low, 1 likely, 2 high.
func bound(f *evidence.Figure, t int) float64 {
	switch t {
	case 0:
		return f.Low
	case 2:
		return f.High
	}
	return f.Value
}

// rest is the room behind a list.
func rest(list []casefile.Date) []casefile.Date { return list[len(list):] }

// run dates the appointments of one step from its first date on, into out.
func (w *work) run(out []casefile.Date, d casefile.Date, t int, s *step, r intervals, agreed []*pin, last *casefile.Date) []casefile.Date {
	for j := range max(s.appointments[t], len(agreed)) {
		if j > 0 {
			if gap := s.between(j, s.sittings[t], r); gap != nil {
				d = w.open(w.add(d, bound(gap, t), gap.Unit))
			}
		}
		d = w.take(pinAt(agreed, j), t, d, last)
		out = append(out, d)
	}
	return out
}

// between is the interval in front of the j-th appointment of a step that is
// divided into some sittings.
func (s *step) between(j, sittings int, r intervals) *evidence.Figure {
	if j%sittings == 0 && s.repeatGap != nil {
		return s.repeatGap
	}
	return r.sitting
}

// pick gives the date of the j-th appointment, or the last one where the track
// has fewer, or otherwise d.
func pick(ds []casefile.Date, j int, d casefile.Date) casefile.Date {
	switch {
	case j < len(ds):
		return ds[j]
	case len(ds) > 0:
		return ds[len(ds)-1]
	}
	return d
}

// assemble counts appointments and minutes and, if asked, lists the likely
// track's appointments with their dates on all three.
func (w *work) assemble(x timetable, tracks *[3]track, visits bool) schedule {
	steps, streams, fits := x.steps, x.streams, x.fits
	out := schedule{count: exactly(0), minutes: exactly(0), charged: w.room.charges.take(len(steps)), last: Span{tracks[0].end, tracks[1].end, tracks[2].end}}
	all := w.ledger()
	all.ids.join(x.rules.ledger.ids)
	var total [3]float64
	for i := range steps {
		s := &steps[i]
		n := len(tracks[1].main[i])
		for t := range total {
			total[t] += float64(s.appointments[t])
		}
		out.minutes = out.minutes.plus(timesEach(s.minutes, s.repeat))
		all.ids.join(s.ledger.ids)
		if s.bonding {
			out.sittings += n
		}
		if n > 0 {
			out.charged = append(out.charged, charge{s.fee, n, n / s.sittings[1] * s.on.count()})
		}
	}
	for j := range streams {
		x := &streams[j]
		for t := range total {
			total[t] += float64(len(tracks[t].streams[j]))
		}
		if x.count.High > 0 {
			if m := all.ruled("extra-visit-minutes"); m != nil {
				out.minutes = out.minutes.plus(timesEach(estimateOf(m), x.count))
			}
		}
		if !x.private {
			all.ids.join(x.ledger.ids)
		}
	}
	for i := range fits {
		out.minutes = out.minutes.plus(fits[i].minutes)
		for t := range total {
			total[t]++
		}
		all.ids.join(fits[i].ledger.ids)
	}
	out.count = Estimate{Low: total[0], Likely: total[1], High: total[2]}
	out.figures = all.ids
	if visits {
		out.fits = map[string]Span{}
		for i, f := range fits {
			out.fits[f.appliance] = Span{tracks[0].fits[i], tracks[1].fits[i], tracks[2].fits[i]}
		}
		out.visits = w.visits(x, tracks)
	}
	return out
}

// visits lists the appointments.
func (w *work) visits(x timetable, tracks *[3]track) []Visit {
	steps, streams, fits, agreed := x.steps, x.streams, x.fits, x.agreed
	lastKey := make([]string, len(steps)) // key of the last listed appointment at or before a step
	streamKey := make([]string, len(streams))
	prev := func(t *track, i int) casefile.Date {
		for i--; i >= 0; i-- {
			if n := len(t.main[i]); n > 0 && !steps[i].within {
				return t.main[i][n-1]
			}
		}
		return w.open(w.c.Start)
	}
	out := w.room.visits[:0]
	for i := range steps {
		s := &steps[i]
		n, per := len(tracks[1].main[i]), s.sittings[1]
		teeth, minutes := s.share(w, per)
		for j := range n {
			v := Visit{Key: numbered(s.key, j, n), Purpose: s.purpose, Teeth: teeth[j%per], Minutes: minutes[j%per].round(),
				Irreversible: s.irreversible, Bonding: s.bonding, Figures: s.ledger.list(), Optional: j >= len(tracks[0].main[i]),
				Span: spanned(tracks, func(t *track) casefile.Date { return pick(t.main[i], j, prev(t, i)) })}
			if per > 1 {
				v.Sitting, v.Of = j%per+1, per
			}
			if s.within {
				times := s.repeat.round()
				v.Times = &times
			}
			switch c := tracks[1].why[i]; {
			case j > 0 && j%per == 0:
				v.After, v.Why = out[len(out)-1].Key, s.again
			case j > 0:
				v.After, v.Why = out[len(out)-1].Key, WhySitting
			case c.stream >= 0:
				v.After, v.Why = streamKey[c.stream], c.why
				if v.After == "" || c.step > 0 {
					v.After = lastKey[c.step]
				}
				if !streams[c.stream].private {
					v.Finding = streams[c.stream].key
				}
			case c.step >= 0:
				v.After, v.Why = lastKey[c.step], c.why
			default:
				v.Why = c.why
			}
			v.agree(pinAt(agreed.step(i), j))
			out = append(out, v)
		}
		switch {
		case n > 0 && !(s.within && i > 0):
			lastKey[i] = out[len(out)-1].Key
		case i > 0:
			lastKey[i] = lastKey[i-1]
		}
		if i == 0 { // extra visits stand right after the first visit, then by date
			out = w.extras(out, streams, lastKey[0], streamKey, agreed, tracks)
		}
	}
	for i, f := range fits {
		v := Visit{Key: f.key(), Purpose: f.key(), Minutes: f.minutes.round(), Extra: true, Figures: f.ledger.list(),
			After: lastKey[len(steps)-1], Why: WhyAppliance, Span: spanned(tracks, func(t *track) casefile.Date { return t.fits[i] })}
		v.agree(agreed.fit(i))
		out = append(out, v)
	}
	w.room.visits = out
	return sorted(&w.room.order, out, func(v *Visit) casefile.Date { return v.Likely })
}

// spanned is a date on each of the tracks.
func spanned(tracks *[3]track, of func(*track) casefile.Date) Span {
	return Span{of(&tracks[0]), of(&tracks[1]), of(&tracks[2])}
}

// sorted is the list by date, what is of one day as it stood; each item is copied
// once. The order is worked out in room.
func sorted[T any](room *[]int, list []T, date func(*T) casefile.Date) []T {
	order := (*room)[:0]
	for i := range list {
		order = append(order, date(&list[i]).Days()*len(list)+i)
	}
	*room = order
	slices.Sort(order)
	out := make([]T, len(list))
	for i, k := range order {
		out[i] = list[k%len(list)]
	}
	return out
}

// numbered is the key of the j-th of n like appointments.
func numbered(key string, j, n int) string {
	if n > 1 {
		return key + "-" + strconv.Itoa(j+1)
	}
	return key
}

// extras adds the appointments of the streams.
func (w *work) extras(out []Visit, streams []stream, after string, streamKey []string, agreed *pins, tracks *[3]track) []Visit {
	for j := range streams {
		x := &streams[j]
		n := len(tracks[1].streams[j])
		l := w.ledger()
		if n > 0 {
			if !x.private {
				l.ids.join(x.ledger.ids)
			}
			l.ruled("extra-visit-gap")
		}
		minutes := Estimate{Unknown: NoFigure}
		if n > 0 {
			if m := l.ruled("extra-visit-minutes"); m != nil {
				minutes = estimateOf(m)
			}
		}
		for i := range n {
			v := Visit{Key: numbered(x.visitKey(), i, n), Purpose: "settle-first", Minutes: minutes.round(), Extra: true, Why: WhyFinding,
				Finding: x.key, After: after, Figures: l.list(), Optional: i >= len(tracks[0].streams[j]),
				Span: spanned(tracks, func(t *track) casefile.Date { return pick(t.streams[j], i, pick(t.main[0], len(t.main[0]), w.c.Start)) })}
			if x.private {
				v.Purpose, v.Why, v.Finding = TalkAgain, WhyAgreedPause, ""
			}
			if i > 0 {
				v.After = out[len(out)-1].Key
			}
			v.agree(pinAt(agreed.stream(j), i))
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
	last := 0
	for i := range visits {
		if visits[last].Likely.Before(visits[i].Likely) {
			last = i
		}
	}
	for v := &visits[last]; v != nil && len(out) <= len(visits); v = keyed(visits, v.After) {
		out = append(out, v.Key)
	}
	slices.Reverse(out)
	return out
}

// keyed is the one with a key, nil when there is none.
func keyed(visits []Visit, key string) *Visit {
	for i := range visits {
		if visits[i].Key == key {
			return &visits[i]
		}
	}
	return nil
}

// adds tells what each finding on the longest chain adds to the likely last date:
// the likely track of the chosen mouth is dated once more without it. A finding
// beside the chain adds nothing, since the chain sets the date.
func (w *work) adds(o outcome, visits []Visit, chain []string) []Added {
	ledgers := len(w.room.given)
	out := []Added{}
	var along []*Visit // the visits of the chain
	for i := range visits {
		if slices.Contains(chain, visits[i].Key) {
			along = append(along, &visits[i])
		}
	}
	var tried []string
	for i := range o.effects {
		key := o.effects[i].key
		if o.effects[i].private {
			key = TalkAgain
		}
		if slices.Contains(tried, key) || !o.effects[i].delays(along) {
			continue
		}
		tried = append(tried, key)
		days := w.track(1, w.without(key, o)).end.DaysUntil(o.schedule.last.Likely)
		if days <= 0 {
			continue
		}
		a := Added{Finding: key, Days: days}
		if key != TalkAgain {
			a.Teeth = o.effects[i].teeth
		}
		out = append(out, a)
	}
	w.room.drop(ledgers)
	return out
}

// without is what the dates of a mouth follow from when a finding, or all private
// ones together, is not there; it holds until the next call.
func (w *work) without(key string, o outcome) timetable {
	x := o.timetable
	less := w.room.less[:0]
	for i := range o.effects {
		if e := &o.effects[i]; e.key != key && !(e.private && key == TalkAgain) {
			less = append(less, *e)
		}
	}
	appliances := w.appliances(o.mouth, less)
	streams, fits := w.room.rest[:0], w.room.fits.take(len(x.fits))
	for _, s := range x.streams {
		if s.key != key {
			streams = append(streams, s)
		}
	}
	for _, f := range x.fits {
		if slices.Contains(appliances, f.appliance) {
			fits = append(fits, f)
		}
	}
	w.room.less, w.room.rest = less, streams
	x.streams, x.fits = streams, fits
	x.agreed = w.pins(x.steps, x.streams, x.fits, true) // a day that is agreed stays so
	return x
}

// delays reports whether a finding has to do with a chain of visits: one of them
// waits for it or serves it, or fits an appliance it asks for.
func (e *effect) delays(chain []*Visit) bool {
	return slices.ContainsFunc(chain, func(v *Visit) bool {
		if e.private && v.Why == WhyAgreedPause || v.Finding == e.key {
			return true
		}
		return slices.ContainsFunc(e.each, func(x *evidence.Effect) bool {
			return slices.ContainsFunc(x.Appliances, func(a string) bool { return v.Key == a+"-fit" })
		})
	})
}

package plan

import (
	"slices"
	"strings"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
)

// effect is one finding with everything it does in a mouth.
type effect struct {
	key     string
	private bool
	at      int              // its place in work.here
	on      sites            // where it is true
	teeth   []casefile.Tooth // empty: the whole mouth or person
	level   evidence.Level
	each    []*evidence.Effect // the distinct effects behind it, the strongest first
	cared   *evidence.Effect   // what it does on gum care that any tooth has and that is there for it; nil without
}

// effects gives what every finding does to the teeth of m, in the order of
// work.here. The strongest level of the teeth concerned wins (common practice,
// care-pathway 4.7, CV-31).
func (w *work) effects(m mouth, chosen bool) []effect {
	at := 1 // of the room: the chosen mouth's last to the end
	if chosen {
		at = 0
	}
	out := slices.Grow(w.room.effects[at][:0], len(w.here))
	all := slices.Grow(w.room.each[at][:0], 2*len(w.here)) // the lists of all effects, end to end
	for i := range w.here {
		f := &w.here[i]
		e := effect{key: f.key, private: f.rule.Private, at: i, on: f.on, teeth: f.teeth, level: evidence.LevelNone}
		start := len(all)
		add := func(x *evidence.Effect) {
			if x == nil || slices.Contains(all[start:], x) {
				return
			}
			if x.Level.Rank() > e.level.Rank() {
				e.level = x.Level
			}
			all = append(all, x)
		}
		if f.whole || len(m.paths) == 1 {
			for _, p := range m.paths {
				add(w.paths[p].does[i].first)
				add(w.paths[p].does[i].stays)
				if f.whole && w.caresFor(p, f.rule) {
					e.cared = w.paths[p].does[i].stays
				}
			}
		} else {
			before := -1
			for j := range m.sites {
				if p := m.sites[j].path; f.on.has(j) && p != before {
					before = p
					add(w.paths[p].does[i].first)
					add(w.paths[p].does[i].stays)
				}
			}
		}
		e.each = all[start:len(all):len(all)]
		if len(e.each) > 1 {
			slices.SortStableFunc(e.each, func(a, b *evidence.Effect) int { return b.Level.Rank() - a.Level.Rank() })
		}
		out = append(out, e)
	}
	w.room.effects[at], w.room.each[at] = out, all
	return out
}

// union joins one list of every effect, each entry once, in order.
func (e effect) union(of func(*evidence.Effect) []string) []string {
	if len(e.each) == 1 {
		return slices.Clip(of(e.each[0])) // as the data has it, each once
	}
	var out []string
	for _, x := range e.each {
		for _, k := range of(x) {
			if !slices.Contains(out, k) {
				out = append(out, k)
			}
		}
	}
	return out
}

func (e effect) actions() []string {
	return e.union(func(x *evidence.Effect) []string { return x.Actions })
}

func (e effect) appliances() []string {
	return e.union(func(x *evidence.Effect) []string { return x.Appliances })
}

// caresFor reports whether gum care, which is for the whole mouth, has its visits on
// a path and is there for a finding.
func (w *work) caresFor(path int, f *evidence.Finding) bool {
	if p := &w.paths[path]; p.lead != casefile.GumCareFirst && p.route != casefile.GumCareFirst || f.Named(casefile.GumCareFirst) == nil {
		return false
	}
	rule := w.b.Route(casefile.GumCareFirst)
	return rule != nil && slices.Contains(rule.When, f.Key)
}

// visits is the extra visits the finding asks for: the largest of its effects. A mouth
// whose gums are cared for on some teeth has them cared for on all, at those visits.
func (e effect) visits(l *ledger) Estimate {
	out := exactly(0)
	for _, x := range e.each {
		if x.Visits != "" && (e.cared == nil || x == e.cared) {
			out = widest(out, l.estimate(x.Visits))
		}
	}
	return out
}

// widest takes the larger of each end.
func widest(a, b Estimate) Estimate {
	if !a.Known() {
		return b
	}
	if !b.Known() {
		return a
	}
	return Estimate{Low: max(a.Low, b.Low), Likely: max(a.Likely, b.Likely), High: max(a.High, b.High)}
}

// findingEffects is the plan's list of findings.
func (w *work) findingEffects(es []effect) []FindingEffect {
	out := make([]FindingEffect, 0, len(es))
	for _, e := range es {
		l := w.ledger()
		l.private = e.private
		f := FindingEffect{Key: e.key, Teeth: named(e.teeth), Level: e.level, Actions: notNil(e.actions()),
			Visits: e.visits(l).round(), Appliances: e.appliances(), Private: e.private}
		for _, x := range e.each {
			for _, id := range x.Figures {
				l.find(id)
			}
			l.find(x.Wait)
			l.find(x.Recall)
			if mod := w.modifier(x.Modifier); mod != nil {
				l.find(mod.Multiplier)
			}
		}
		f.Figures = l.close()
		out = append(out, f)
	}
	return out
}

// waitFors lists what has to be settled first: public findings by key with their
// teeth, all private ones together as one neutral line that names no tooth,
// figure or finding.
func (w *work) waitFors(es []effect) []WaitFor {
	out := w.room.settle[:0]
	var talk *WaitFor
	reasons := true // the dentist gave one for every private finding
	for _, e := range es {
		if e.level.Rank() < evidence.LevelFirst.Rank() || w.c.Settled(e.key, e.teeth) {
			continue
		}
		l := w.ledger()
		l.private = e.private
		wait := w.waitDays(e, l)
		reason := w.reason(e.key)
		if !e.private {
			out = append(out, WaitFor{Key: e.key, Level: e.level, Teeth: e.teeth, Wait: wait, Reason: reason, Figures: l.list()})
			continue
		}
		if talk == nil {
			talk = &WaitFor{Key: TalkAgain, Level: e.level, Private: true, Wait: wait, Reason: w.reason(TalkAgain), Figures: []string{}}
		} else {
			talk.Wait = widest(talk.Wait, wait)
			if e.level.Rank() > talk.Level.Rank() {
				talk.Level = e.level
			}
		}
		reasons = reasons && reason != ""
		if reason != "" && !strings.Contains(talk.Reason, reason) {
			talk.Reason = strings.TrimPrefix(talk.Reason+"; "+reason, "; ")
		}
	}
	if talk != nil {
		if !reasons && w.reason(TalkAgain) == "" {
			talk.Reason = ""
		}
		out = append(out, *talk)
	}
	w.room.settle = out
	return append(make([]WaitFor, 0, len(out)), out...)
}

// waitDays is the longest interval the finding asks to wait, in calendar days
// from the day the plan starts; unknown when it names none.
func (w *work) waitDays(e effect, l *ledger) Estimate {
	out := Estimate{Unknown: NoFigure}
	for _, x := range e.each {
		if x.Level.Rank() < evidence.LevelFirst.Rank() || x.Wait == "" {
			continue
		}
		f := l.find(x.Wait)
		if f == nil {
			continue
		}
		var d [3]float64
		for t := range d {
			d[t] = float64(w.c.Start.DaysUntil(w.add(w.c.Start, estimateOf(f).at(t), f.Unit)))
		}
		out = widest(out, Estimate{Low: d[0], Likely: d[1], High: d[2]})
	}
	return out
}

// reason is the dentist's reason for going on against a wait-for.
func (w *work) reason(key string) string {
	for _, r := range w.c.ProceedReasons {
		if r.WaitFor == key {
			return r.Reason
		}
	}
	return ""
}

// appliances lists what the findings and the routes themselves ask for, each once
// (care-pathway 4.7: the same appliance is counted once).
func (w *work) appliances(m mouth, es []effect) []string {
	out := make([]string, 0, 4)
	add := func(as []string) {
		for _, a := range as {
			if !slices.Contains(out, a) {
				out = append(out, a)
			}
		}
	}
	for i := range es {
		for _, x := range es[i].each {
			add(x.Appliances)
		}
	}
	for _, r := range m.routes() {
		if rule := w.b.Route(r); rule != nil {
			add(rule.Appliances)
		}
	}
	return out
}

// publicLevel is the strongest level of the findings a patient may read about.
func publicLevel(es []effect) evidence.Level {
	level := evidence.LevelNone
	for i := range es {
		if e := &es[i]; !e.private && e.level.Rank() > level.Rank() {
			level = e.level
		}
	}
	return level
}

// modifier looks up a modifier; nil where the id is empty, an unknown one is a fault.
func (w *work) modifier(id string) *modifier {
	if id == "" {
		return nil
	}
	for i := range w.room.modifiers {
		if m := &w.room.modifiers[i]; m.ID == id {
			return m
		}
	}
	w.fault("PLAN-MODIFIER-MISSING", "modifiers."+id, "a finding names this modifier and the data does not have it")
	return nil
}

func notNil[T any](s []T) []T {
	if s == nil {
		return []T{}
	}
	return s
}

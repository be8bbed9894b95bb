package plan

import (
	"slices"
	"strings"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
	"plainleaf/app/plan/basis"
	"plainleaf/app/plan/mouth"
)

// findingEffects is the plan's list of findings.
func findingEffects(o *outcome) []FindingEffect {
	out := make([]FindingEffect, 0, len(o.effects))
	for i := range o.effects {
		e := &o.effects[i]
		l := o.Ledger(e.Private)
		f := FindingEffect{Key: e.Key, Teeth: withoutZero(e.Teeth), Level: e.Level, Actions: notNil(e.Actions()),
			Visits: e.Visits(l).Round(), Appliances: e.Appliances(), Private: e.Private}
		for _, x := range e.Each {
			l.FindAll(x.Figures)
			l.Find(x.Wait)
			l.Find(x.Recall)
			if mod := o.Evidence.Modifier(x.Modifier); mod != nil {
				l.Find(mod.Multiplier)
			}
		}
		f.Figures = l.IDs()
		out = append(out, f)
	}
	return out
}

// withoutZero drops the tooth that means the whole mouth; never nil.
func withoutZero(teeth []casefile.Tooth) []casefile.Tooth {
	return slices.DeleteFunc(append([]casefile.Tooth{}, teeth...), func(t casefile.Tooth) bool { return t == 0 })
}

// waitFors lists what has to be settled first: public findings by key with their
// teeth, all private ones together as one neutral line that names no tooth,
// figure or finding.
func waitFors(o *outcome) []WaitFor {
	out := []WaitFor{}
	var talk *WaitFor
	reasons := true // the dentist gave one for every private finding
	for i := range o.effects {
		e := &o.effects[i]
		if e.Level.Rank() < evidence.LevelFirst.Rank() || o.Case.Settled(e.Key, e.Teeth) {
			continue
		}
		l := o.Ledger(e.Private)
		wait := waitDays(o, e, l)
		reason := reasonFor(o.Basis, e.Key)
		if !e.Private {
			out = append(out, WaitFor{Key: e.Key, Level: e.Level, Teeth: e.Teeth, Wait: wait, Reason: reason, Figures: l.IDs()})
			continue
		}
		if talk == nil {
			talk = &WaitFor{Key: TalkAgain, Level: e.Level, Private: true, Wait: wait, Reason: reasonFor(o.Basis, TalkAgain), Figures: []string{}}
		} else {
			talk.Wait = talk.Wait.Widest(wait)
			if e.Level.Rank() > talk.Level.Rank() {
				talk.Level = e.Level
			}
		}
		reasons = reasons && reason != ""
		if reason != "" && !strings.Contains(talk.Reason, reason) {
			talk.Reason = strings.TrimPrefix(talk.Reason+"; "+reason, "; ")
		}
	}
	if talk != nil {
		if !reasons && reasonFor(o.Basis, TalkAgain) == "" {
			talk.Reason = ""
		}
		out = append(out, *talk)
	}
	return out
}

// waitDays is the longest interval the finding asks to wait, in calendar days
// from the day the plan starts; unknown when it names none.
func waitDays(o *outcome, e *mouth.Effect, l *basis.Ledger) Estimate {
	out := basis.Unknown(NoFigure)
	for _, x := range e.Each {
		if x.Level.Rank() < evidence.LevelFirst.Rank() || x.Wait == "" {
			continue
		}
		f := l.Find(x.Wait)
		if f == nil {
			continue
		}
		var d [3]float64
		for t := range d {
			d[t] = float64(o.Case.Start.DaysUntil(o.cal.Add(o.Case.Start, basis.EstimateOf(f).End(t), f.Unit)))
		}
		out = out.Widest(Estimate{Low: d[0], Likely: d[1], High: d[2]})
	}
	return out
}

// reasonFor is the dentist's reason for going on against a wait-for.
func reasonFor(s *basis.Basis, key string) string {
	for _, r := range s.Case.ProceedReasons {
		if r.WaitFor == key {
			return r.Reason
		}
	}
	return ""
}

// publicLevel is the strongest level of the findings a patient may read about.
func publicLevel(es []mouth.Effect) evidence.Level {
	level := evidence.LevelNone
	for i := range es {
		if e := &es[i]; !e.Private && e.Level.Rank() > level.Rank() {
			level = e.Level
		}
	}
	return level
}

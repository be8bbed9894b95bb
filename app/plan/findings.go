package plan

import (
	"slices"
	"strings"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
	"plainleaf/app/plan/basis"
	"plainleaf/app/plan/mouth"
	"plainleaf/app/plan/schedule"
)

// findingEffects is the plan's list of findings.
func findingEffects(o *outcome) []FindingEffect {
	out := make([]FindingEffect, 0, len(o.effects))
	for i := range o.effects {
		e := &o.effects[i]
		l := o.Ledger(e.Private)
		f := FindingEffect{Key: e.Key, Teeth: withoutZero(e.Teeth), Level: e.Level, Actions: notNil(e.Actions()),
			Visits: basis.Exactly(float64(len(e.Appliances()))), Appliances: e.Appliances(), Private: e.Private}
		for _, c := range o.caresOf(e.Key) {
			f.First = append(f.First, c.Rule.Key)
			f.Visits = f.Visits.Plus(c.Visits)
			l.FindAll(c.Figures)
		}
		f.Visits = f.Visits.Round()
		for _, x := range e.Each {
			l.FindAll(x.Figures)
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

// caresOf lists the care that a finding asks for.
func (o *outcome) caresOf(finding string) []schedule.Care {
	return slices.DeleteFunc(slices.Clone(o.schedule.Cares), func(c schedule.Care) bool { return !slices.Contains(c.Findings, finding) })
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
		reason := reasonFor(o.Basis, e.Key)
		if !e.Private {
			out = append(out, waitFor(o, e, reason))
			continue
		}
		if talk == nil {
			talk = &WaitFor{Key: TalkAgain, Level: e.Level, Private: true, Wait: basis.Unknown(NoFigure), Undated: true,
				Reason: reasonFor(o.Basis, TalkAgain), Figures: []string{}}
		} else if e.Level.Rank() > talk.Level.Rank() {
			talk.Level = e.Level
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

// waitFor is what one public finding asks to settle. Nobody can date what follows where it
// holds everything up, where another professional has to see to it first, or where one of
// the cares it asks for has no date itself.
func waitFor(o *outcome, e *mouth.Effect, reason string) WaitFor {
	l := o.Ledger(false)
	w := WaitFor{Key: e.Key, Level: e.Level, Teeth: e.Teeth, Wait: basis.Unknown(NoFigure), Reason: reason}
	cares := o.caresOf(e.Key)
	for _, c := range cares {
		w.Care = append(w.Care, c.Rule.Key)
		w.Wait = w.Wait.Widest(c.Days)
		w.Undated = w.Undated || !c.Days.Known()
		l.FindAll(c.Figures)
	}
	switch e.Level {
	case evidence.LevelHold:
		w.Undated = true
	case evidence.LevelRefer:
		w.Undated = w.Undated || len(cares) == 0
	}
	w.Wait, w.Figures = w.Wait.Round(), l.IDs()
	return w
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

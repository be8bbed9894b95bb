package plan

import (
	"slices"

	"plainleaf/app/evidence"
	"plainleaf/app/veneer"
)

// aftercare picks the lines that apply: by route, by public finding, by
// appliance, and, for what follows a chair change, by what was really done.
func (w *work) aftercare(o outcome) []AftercareLine {
	out := make([]AftercareLine, 0, len(w.b.Lines))
	asks := asked(o.effects, func(x *evidence.Effect) []string { return x.Aftercare })
	order := make(map[string]int, len(w.b.Lines))
	l := w.ledger() // notes what the lines rest on; a line lists only what its words name
	for i := range w.b.Lines {
		rule := &w.b.Lines[i]
		order[rule.Key] = rule.Order
		if !o.mouth.onAny(rule.Routes) || rule.Appliance != "" && !slices.Contains(o.appliances, rule.Appliance) ||
			len(rule.AgeBands) > 0 && !slices.Contains(rule.AgeBands, w.ageBand()) {
			continue
		}
		teeth, wanted := w.by(o.effects, asks[rule.Key], rule.Findings)
		if (len(rule.Findings) > 0 || rule.ByEffect) && !wanted {
			continue
		}
		if len(rule.Changes) > 0 {
			done, ok := w.done(rule.Changes)
			if !ok {
				continue
			}
			teeth = done
		}
		for _, id := range rule.Figures {
			l.find(id)
		}
		for _, id := range rule.BasedOn {
			l.find(id)
		}
		// The figures stand in the order in which the words name them.
		out = append(out, AftercareLine{Key: rule.Key, Phase: rule.Phase, Teeth: teeth, Figures: rule.Figures})
	}
	slices.SortStableFunc(out, func(a, b AftercareLine) int {
		if a.Phase != b.Phase {
			return slices.Index(phases, a.Phase) - slices.Index(phases, b.Phase)
		}
		return order[a.Key] - order[b.Key]
	})
	return out
}

// asked gathers one list of all public effects: by entry, the places of the
// effects that have it.
func asked(es []effect, of func(*evidence.Effect) []string) map[string][]int {
	out := map[string][]int{}
	for i, e := range es {
		if e.private {
			continue
		}
		for _, x := range e.each {
			for _, k := range of(x) {
				if n := len(out[k]); n == 0 || out[k][n-1] != i {
					out[k] = append(out[k], i)
				}
			}
		}
	}
	return out
}

// by reports whether something is asked for, by one of the effects or by a
// public finding of the list, with the teeth of those that do; none when one of
// them is true of the whole mouth.
func (w *work) by(es []effect, asks []int, findings []string) (teeth []veneer.Tooth, ok bool) {
	var on sites
	whole := false
	add := func(e effect) {
		ok = true
		whole = whole || len(e.teeth) == 0
		on |= e.on
	}
	for _, i := range asks {
		add(es[i])
	}
	if len(findings) > 0 {
		for _, e := range es {
			if !e.private && slices.Contains(findings, e.key) {
				add(e)
			}
		}
	}
	if whole {
		return nil, ok
	}
	for i, e := range w.entries {
		if on.has(i) {
			teeth = append(teeth, e.Tooth)
		}
	}
	return teeth, ok
}

// done is the teeth on which one of the changes was really made.
func (w *work) done(changes []string) ([]veneer.Tooth, bool) {
	var teeth []veneer.Tooth
	ok := false
	for _, d := range w.c.Departures {
		if slices.Contains(changes, d.Change) {
			teeth, ok = append(teeth, w.c.Meant(d.Teeth)...), true
		}
	}
	if len(teeth) == 0 {
		return nil, ok
	}
	return veneer.SortTeeth(teeth), ok
}

// warnings picks the warning signs that apply, the most urgent first.
func (w *work) warnings(o outcome) []Warning {
	temps := slices.ContainsFunc(o.mouth.routes(), func(r veneer.Route) bool {
		rule := w.b.Route(r)
		return rule != nil && rule.Temporaries != "no" && rule.Temporaries != ""
	})
	rules := make([]*evidence.Warning, len(w.b.Warnings))
	for i := range rules {
		rules[i] = &w.b.Warnings[i]
	}
	slices.SortStableFunc(rules, func(a, b *evidence.Warning) int {
		if a.Urgency != b.Urgency {
			return slices.Index(urgencies, a.Urgency) - slices.Index(urgencies, b.Urgency)
		}
		return a.Order - b.Order
	})
	out := make([]Warning, 0, len(rules))
	for _, rule := range rules {
		_, left := w.done(rule.Changes) // temporary covers that no route had foreseen
		if !o.mouth.onAny(rule.Routes) || rule.Temporaries && !temps && !left ||
			rule.Appliance != "" && !slices.Contains(o.appliances, rule.Appliance) {
			continue
		}
		l := w.ledger()
		x := Warning{Key: rule.Key, Urgency: rule.Urgency, Within: Estimate{Unknown: NoFigure}}
		if f := l.find(rule.Within); f != nil {
			x.Within, x.Unit = estimateOf(f).round(), f.Unit
		}
		for _, id := range rule.Figures {
			l.find(id)
		}
		x.Figures = l.close()
		out = append(out, x)
	}
	return out
}

// risks lists the material risks of the routes, those that a public finding
// raises here marked, and those that only a finding brings.
func (w *work) risks(o outcome) []Risk {
	out := []Risk{}
	add := func(r Risk) {
		if i := slices.IndexFunc(out, func(x Risk) bool { return x.Key == r.Key }); i >= 0 {
			out[i].Raised = out[i].Raised || r.Raised
			if r.Raised {
				out[i].Teeth = r.Teeth
			}
			return
		}
		out = append(out, r)
	}
	for _, r := range o.mouth.routes() {
		if rule := w.b.Route(r); rule != nil {
			for _, k := range rule.Risks {
				add(Risk{Key: k, Figures: w.riskFigures(k)})
			}
		}
	}
	asks := asked(o.effects, func(x *evidence.Effect) []string { return x.Risks })
	for _, e := range o.effects {
		if e.private {
			continue
		}
		for _, k := range e.union(func(x *evidence.Effect) []string { return x.Risks }) {
			teeth, _ := w.by(o.effects, asks[k], nil)
			add(Risk{Key: k, Teeth: teeth, Raised: true, Figures: w.riskFigures(k)})
		}
	}
	return out
}

func (w *work) riskFigures(key string) []string {
	l := w.ledger()
	for _, r := range w.b.Risks {
		if r.Key == key {
			for _, id := range r.Figures {
				l.find(id)
			}
		}
	}
	return l.close()
}

package plan

import (
	"slices"

	"plainleaf/app/evidence"
	"plainleaf/app/veneer"
)

// aftercare picks the lines that apply: by route, by public finding, by
// appliance, and, for what follows a chair change, by what was really done.
func (w *work) aftercare(m mouth, es []effect) []AftercareLine {
	out := []AftercareLine{}
	for i := range w.b.Lines {
		rule := &w.b.Lines[i]
		if !m.onAny(rule.Routes) || rule.Appliance != "" && !slices.Contains(w.appliances(m, es), rule.Appliance) {
			continue
		}
		teeth, wanted := asked(es, func(e effect) bool {
			return slices.Contains(rule.Findings, e.key) ||
				slices.Contains(e.union(func(x *evidence.Effect) []string { return x.Aftercare }), rule.Key)
		})
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
		l := w.ledger()
		for _, id := range rule.Figures {
			l.figure(id)
		}
		// The figures stand in the order in which the words name them.
		out = append(out, AftercareLine{Key: rule.Key, Phase: rule.Phase, Teeth: teeth, Figures: rule.Figures})
	}
	order := map[string]int{}
	for _, r := range w.b.Lines {
		order[r.Key] = r.Order
	}
	phases := []string{"now", "first-days", "first-weeks", "life", "hygienist"}
	slices.SortStableFunc(out, func(a, b AftercareLine) int {
		if a.Phase != b.Phase {
			return slices.Index(phases, a.Phase) - slices.Index(phases, b.Phase)
		}
		return order[a.Key] - order[b.Key]
	})
	return out
}

// asked reports whether a public finding meets want, with the teeth of those
// that do; none when one of them is true of the whole mouth.
func asked(es []effect, want func(effect) bool) (teeth []veneer.Tooth, ok bool) {
	whole := false
	for _, e := range es {
		if e.private || !want(e) {
			continue
		}
		ok = true
		whole = whole || len(e.teeth) == 0
		teeth = append(teeth, e.teeth...)
	}
	if whole || len(teeth) == 0 {
		return nil, ok
	}
	return veneer.SortTeeth(teeth), ok
}

// done is the teeth on which one of the changes was really made.
func (w *work) done(changes []string) ([]veneer.Tooth, bool) {
	var teeth []veneer.Tooth
	ok := false
	for _, d := range w.c.Departures {
		if slices.Contains(changes, d.Change) {
			teeth, ok = append(teeth, d.Teeth...), true
		}
	}
	if len(teeth) == 0 {
		return nil, ok
	}
	return veneer.SortTeeth(teeth), ok
}

// warnings picks the warning signs that apply, the most urgent first.
func (w *work) warnings(m mouth, es []effect) []Warning {
	urgencies := []string{"emergency-now", "call-today", "call-soon", "mention-next-time"}
	temps := slices.ContainsFunc(m.routes(), func(r veneer.Route) bool {
		rule := w.b.Route(r)
		return rule != nil && rule.Temporaries != "no" && rule.Temporaries != ""
	})
	rules := slices.Clone(w.b.Warnings)
	slices.SortStableFunc(rules, func(a, b evidence.Warning) int {
		if a.Urgency != b.Urgency {
			return slices.Index(urgencies, a.Urgency) - slices.Index(urgencies, b.Urgency)
		}
		return a.Order - b.Order
	})
	out := []Warning{}
	for _, rule := range rules {
		if !m.onAny(rule.Routes) || rule.Temporaries && !temps ||
			rule.Appliance != "" && !slices.Contains(w.appliances(m, es), rule.Appliance) {
			continue
		}
		l := w.ledger()
		x := Warning{Key: rule.Key, Urgency: rule.Urgency, Within: Estimate{Unknown: NoFigure}}
		if f, ok := l.figure(rule.Within); ok {
			x.Within, x.Unit = estimateOf(f).round(), f.Unit
		}
		x.Figures = l.list()
		out = append(out, x)
	}
	return out
}

// risks lists the material risks of the routes, those that a public finding
// raises here marked, and those that only a finding brings.
func (w *work) risks(m mouth, es []effect) []Risk {
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
	for _, r := range m.routes() {
		if rule := w.b.Route(r); rule != nil {
			for _, k := range rule.Risks {
				add(Risk{Key: k, Figures: w.riskFigures(k)})
			}
		}
	}
	for _, e := range es {
		if e.private {
			continue
		}
		for _, k := range e.union(func(x *evidence.Effect) []string { return x.Risks }) {
			teeth, _ := asked(es, func(y effect) bool {
				return slices.Contains(y.union(func(x *evidence.Effect) []string { return x.Risks }), k)
			})
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
				l.figure(id)
			}
		}
	}
	return l.list()
}

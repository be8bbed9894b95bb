package plan

import (
	"slices"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
)

// aftercare picks the lines that apply: by route, by public finding, by
// appliance, and, for what follows a chair change, by what was really done.
func (w *work) aftercare(o outcome) []AftercareLine {
	rules := w.b.LinesInTime()
	out := make([]AftercareLine, 0, len(rules))
	asks := w.asked(o.effects, func(x *evidence.Effect) []string { return x.Aftercare })
	l := w.ledger() // notes what the lines rest on; a line lists only what its words name
	for _, rule := range rules {
		if !o.mouth.onAny(rule.Routes) || rule.Appliance != "" && !slices.Contains(o.appliances, rule.Appliance) ||
			len(rule.AgeBands) > 0 && !slices.Contains(rule.AgeBands, w.ageBand()) {
			continue
		}
		by := asks[rule.Key]
		for _, k := range rule.Findings {
			if f := w.finding(k); f != nil && !f.rule.Private {
				by.add(f)
			}
		}
		if (len(rule.Findings) > 0 || rule.ByEffect) && by == (asker{}) {
			continue
		}
		teeth := w.askers(by)
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
	return out
}

// asker is where the public findings that ask for something are true.
type asker struct {
	on    sites
	whole bool // one of them is of the whole mouth or person
}

func (a *asker) add(f *present) {
	a.on |= f.on
	a.whole = a.whole || f.whole
}

// asked gathers one list of all public effects: by entry, who asks for it. It holds
// until the next call.
func (w *work) asked(es []effect, of func(*evidence.Effect) []string) map[string]asker {
	out := w.room.asked
	clear(out)
	for i := range es {
		e := &es[i]
		if e.private {
			continue
		}
		for _, x := range e.each {
			for _, k := range of(x) {
				a := out[k]
				a.add(&w.here[e.at])
				out[k] = a
			}
		}
	}
	return out
}

// askers is the teeth of those that ask; none when one of them is true of the
// whole mouth, or when nobody asks.
func (w *work) askers(a asker) []casefile.Tooth {
	if a.whole || a.on == 0 {
		return nil
	}
	return w.teeth(a.on)
}

// done is the teeth on which one of the changes was really made.
func (w *work) done(changes []string) ([]casefile.Tooth, bool) {
	var teeth []casefile.Tooth
	ok := false
	for _, d := range w.c.Done() {
		if slices.Contains(changes, d.Change) {
			teeth, ok = append(teeth, w.c.DoneTo(d)...), true
		}
	}
	if len(teeth) == 0 {
		return nil, ok
	}
	return casefile.SortTeeth(teeth), ok
}

// warnings picks the warning signs that apply, the most urgent first.
func (w *work) warnings(o outcome) []Warning {
	temps := slices.ContainsFunc(o.mouth.routes(), func(r casefile.Route) bool {
		rule := w.b.Route(r)
		return rule != nil && rule.Temporaries != "no" && rule.Temporaries != ""
	})
	out := make([]Warning, 0, len(w.b.Warnings))
	for i := range w.b.Warnings {
		rule := &w.b.Warnings[i]
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
	out := make([]Risk, 0, len(w.b.Risks))
	add := func(key string) *Risk {
		i := slices.IndexFunc(out, func(x Risk) bool { return x.Key == key })
		if i < 0 {
			i = len(out)
			out = append(out, Risk{Key: key, Frequency: map[casefile.Route]Estimate{}})
		}
		return &out[i]
	}
	of := func(x *evidence.Effect) []string { return x.Risks }
	for _, r := range o.mouth.routes() {
		if rule := w.b.Route(r); rule != nil {
			for _, k := range rule.Risks {
				w.frequency(add(k), o.mouth, r)
			}
		}
	}
	asks := w.asked(o.effects, of)
	for i := range o.effects {
		e := &o.effects[i]
		if e.private {
			continue
		}
		for _, x := range e.each {
			for _, k := range of(x) {
				r := add(k)
				if !r.Raised {
					r.Raised, r.Teeth = true, w.askers(asks[k])
				}
				for _, on := range o.mouth.routes() {
					if w.here[e.at].rule.Acts(on) == x {
						w.frequency(r, o.mouth, on)
					}
				}
			}
		}
	}
	for i := range out {
		out[i].Figures = w.riskFigures(&out[i])
	}
	return out
}

// frequency notes how often a risk came up on a route, in the materials that this
// mouth has there. Teeth whose studies differ are not told as one.
func (w *work) frequency(to *Risk, m mouth, r casefile.Route) {
	if _, ok := to.Frequency[r]; ok {
		return
	}
	to.Frequency[r] = Estimate{Unknown: NoFigure}
	rule := w.b.Risk(to.Key)
	if rule == nil {
		return
	}
	if rule.Planned {
		to.Frequency[r] = Estimate{Unknown: Planned}
		return
	}
	var rate *evidence.Rate
	first := true
	for _, s := range m.sites {
		if s.route != r && s.lead != r {
			continue
		}
		x := rule.Rate(r, s.material)
		if !first && x != rate {
			to.Frequency[r] = Estimate{Unknown: Mixed}
			return
		}
		rate, first = x, false
	}
	if rate == nil {
		return
	}
	f, ok := w.b.Figure(rate.Figure)
	if !ok {
		w.fault("PLAN-FIGURE-MISSING", "figures."+rate.Figure, "the plan needs this figure and the data does not have it")
		return
	}
	to.Frequency[r] = estimateOf(&f).times(0.01).round()
	to.Rates = append(to.Rates, RiskRate{Route: r, Figure: f.ID, Unit: rate.Unit, Pooled: rate.Pooled,
		Events: f.Events, Of: f.Of, Years: f.OverYears, Words: rate.Words})
}

func (w *work) riskFigures(of *Risk) []string {
	l := w.ledger()
	if r := w.b.Risk(of.Key); r != nil {
		for _, id := range r.Figures {
			l.find(id)
		}
	}
	for _, x := range of.Rates {
		l.find(x.Figure)
	}
	return l.close()
}

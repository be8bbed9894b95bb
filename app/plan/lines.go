package plan

import (
	"slices"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
	"plainleaf/app/plan/basis"
	"plainleaf/app/plan/mouth"
)

// aftercare picks the lines that apply: by route, by public finding, by
// appliance, and, for what follows a chair change, by what was really done.
func aftercare(o *outcome) []AftercareLine {
	out := []AftercareLine{}
	asks := asked(o.effects, func(x *evidence.Effect) []string { return x.Aftercare })
	l := o.Ledger(false) // notes what the lines rest on; a line lists only what its words name
	paste := o.Evidence.Country(o.Practice.Country).Paste
	for _, rule := range o.Evidence.LinesInTime() {
		if !o.treatment.OnAny(rule.Routes) || rule.Appliance != "" && !slices.Contains(o.appliances, rule.Appliance) ||
			len(rule.AgeBands) > 0 && !slices.Contains(rule.AgeBands, o.AgeBand()) || rule.ByCountry && rule.Key != paste {
			continue
		}
		by := asks[rule.Key]
		for _, k := range rule.Findings {
			if f := o.treatment.Chart.Finding(k); f != nil && !f.Rule.Private {
				by.add(f)
			}
		}
		if (len(rule.Findings) > 0 || rule.ByEffect) && by == (asker{}) {
			continue
		}
		teeth := by.teeth(o.treatment.Chart)
		if len(rule.Changes) > 0 {
			done, ok := done(o.Basis, rule.Changes)
			if rule.UntilGlued {
				done = notGlued(o.Basis, rule.Changes)
				ok = len(done) > 0
			}
			if !ok {
				continue
			}
			teeth = done
		}
		l.FindAll(rule.Figures)
		l.FindAll(rule.BasedOn)
		// The figures are in the order in which the words name them.
		out = append(out, AftercareLine{Key: rule.Key, Phase: rule.Phase, Teeth: teeth, Figures: rule.Figures})
	}
	return out
}

// asker is where the public findings that ask for something are true.
type asker struct {
	on    mouth.Sites
	whole bool // one of them is of the whole mouth or person
}

func (a *asker) add(f *mouth.Finding) {
	a.on = a.on.Or(f.On)
	a.whole = a.whole || f.Whole
}

// teeth lists those of the askers; none when one of them is true of the whole mouth,
// or when nobody asks.
func (a *asker) teeth(c *mouth.Chart) []casefile.Tooth {
	if a.whole || !a.on.Any() {
		return nil
	}
	return c.Teeth(a.on)
}

// asked gathers one list of all public effects: by entry, who asks for it.
func asked(es []mouth.Effect, of func(*evidence.Effect) []string) map[string]asker {
	out := map[string]asker{}
	for i := range es {
		e := &es[i]
		if e.Private {
			continue
		}
		for _, x := range e.Each {
			for _, k := range of(x) {
				a := out[k]
				a.add(e.Finding)
				out[k] = a
			}
		}
	}
	return out
}

// done is the teeth on which one of the changes was really made.
func done(s *basis.Basis, changes []string) ([]casefile.Tooth, bool) {
	var teeth []casefile.Tooth
	ok := false
	for _, d := range s.Case.Done() {
		if slices.Contains(changes, d.Change) {
			teeth, ok = append(teeth, s.Case.DoneTo(d)...), true
		}
	}
	if len(teeth) == 0 {
		return nil, ok
	}
	return casefile.SortTeeth(teeth), ok
}

// notGlued is the teeth on which one of the changes was made and which were not glued
// since.
func notGlued(s *basis.Basis, changes []string) []casefile.Tooth {
	var teeth []casefile.Tooth
	for _, e := range s.Case.History() {
		at := s.Case.DoneTo(e)
		switch {
		case e.Kind != casefile.DoneStep:
		case e.Step == casefile.StepGlued:
			teeth = slices.DeleteFunc(teeth, func(t casefile.Tooth) bool { return slices.Contains(at, t) })
		case slices.Contains(changes, e.Change):
			teeth = append(teeth, at...)
		}
	}
	return casefile.SortTeeth(teeth)
}

// warnings picks the warning signs that apply, the most urgent first.
func warnings(o *outcome) []Warning {
	temps := slices.ContainsFunc(o.treatment.Routes, func(r casefile.Route) bool {
		rule := o.Evidence.Route(r)
		return rule != nil && rule.Temporaries != "no" && rule.Temporaries != ""
	})
	out := []Warning{}
	for i := range o.Evidence.Warnings {
		rule := &o.Evidence.Warnings[i]
		_, left := done(o.Basis, rule.Changes) // temporary covers that no route had foreseen
		if !o.treatment.OnAny(rule.Routes) || rule.Temporaries && !temps && !left ||
			rule.Appliance != "" && !slices.Contains(o.appliances, rule.Appliance) {
			continue
		}
		l := o.Ledger(false)
		x := Warning{Key: rule.Key, Urgency: rule.Urgency, Within: basis.Unknown(NoFigure)}
		if f := l.Find(rule.Within); f != nil {
			x.Within, x.Unit = basis.EstimateOf(f).Round(), f.Unit
		}
		l.FindAll(rule.Figures)
		x.Figures = l.IDs()
		out = append(out, x)
	}
	return out
}

// risks lists the material risks of the routes, those that a public finding or a
// tooth darker than wanted raises here marked, and those that only these bring.
func risks(o *outcome, colour []Colour) []Risk {
	out := make([]Risk, 0, len(o.Evidence.Risks))
	add := func(key string) *Risk {
		i := slices.IndexFunc(out, func(x Risk) bool { return x.Key == key })
		if i < 0 {
			i = len(out)
			out = append(out, Risk{Key: key, Frequency: map[casefile.Route]Estimate{}})
		}
		return &out[i]
	}
	for _, r := range o.treatment.Routes {
		if rule := o.Evidence.Route(r); rule != nil {
			for _, k := range rule.Risks {
				frequency(o, add(k), r)
			}
		}
	}
	of := func(x *evidence.Effect) []string { return x.Risks }
	asks := asked(o.effects, of)
	for i := range o.effects {
		e := &o.effects[i]
		if e.Private {
			continue
		}
		for _, x := range e.Each {
			for _, k := range of(x) {
				r := add(k)
				if a := asks[k]; !r.Raised {
					r.Raised, r.Teeth = true, a.teeth(o.treatment.Chart)
				}
				for _, on := range o.treatment.Routes {
					if e.Rule.Acts(on, o.treatment.MadeOn(on)...) == x {
						frequency(o, r, on)
					}
				}
			}
		}
	}
	if teeth := showing(colour); len(teeth) > 0 {
		raise(o, add(o.Evidence.ShowRisk), teeth)
	}
	for i := range out {
		l := o.Ledger(false)
		if r := o.Evidence.Risk(out[i].Key); r != nil {
			l.FindAll(r.Figures)
		}
		for _, x := range out[i].Rates {
			l.Find(x.Figure)
		}
		out[i].Figures = l.IDs()
	}
	return out
}

// showing lists the teeth that may show through, by their shades.
func showing(list []Colour) []casefile.Tooth {
	var out []casefile.Tooth
	for _, c := range list {
		if c.ShowThrough != ShowUnlikely {
			out = append(out, c.Tooth)
		}
	}
	return out
}

// raise marks a risk as raised on some teeth.
func raise(o *outcome, r *Risk, teeth []casefile.Tooth) {
	if !r.Raised || len(r.Teeth) > 0 { // otherwise it is raised for the whole mouth
		r.Teeth = casefile.SortTeeth(append(slices.Clone(r.Teeth), teeth...))
	}
	r.Raised = true
	for _, s := range o.treatment.Sites {
		if slices.Contains(teeth, s.Tooth) {
			frequency(o, r, s.Route)
		}
	}
}

// frequency notes how often a risk came up on a route, in the materials that this
// mouth has there. Teeth whose studies differ are not told as one.
func frequency(o *outcome, to *Risk, r casefile.Route) {
	if _, ok := to.Frequency[r]; ok {
		return
	}
	to.Frequency[r] = basis.Unknown(NoFigure)
	rule := o.Evidence.Risk(to.Key)
	if rule == nil {
		return
	}
	if rule.Planned {
		to.Frequency[r] = basis.Unknown(basis.Planned)
		return
	}
	var rate *evidence.Rate
	first := true
	for i := range o.treatment.Sites {
		s := &o.treatment.Sites[i]
		if s.Route != r && s.Lead != r {
			continue
		}
		x := rule.Rate(r, s.Material)
		if !first && x != rate {
			to.Frequency[r] = basis.Unknown(basis.Mixed)
			return
		}
		rate, first = x, false
	}
	if rate == nil {
		return
	}
	f := o.Evidence.FigureOf(rate.Figure)
	if f == nil {
		o.Fault("PLAN-FIGURE-MISSING", "figures."+rate.Figure, "the plan needs this figure and the data does not have it")
		return
	}
	to.Frequency[r] = basis.EstimateOf(f).Times(0.01).Round()
	to.Rates = append(to.Rates, RiskRate{r, *told(rate, f)})
}

// firsts lists the care that comes first with its risks, price and the patient's answer.
func firsts(o *outcome) []First {
	out := []First{}
	for i := range o.schedule.Cares {
		c := &o.schedule.Cares[i]
		f := First{Key: c.Rule.Key, Kind: c.Rule.Kind, Findings: notNil(c.Findings), Teeth: c.Teeth(o.treatment.Chart), Visits: notNil(c.Keys),
			Risks: []CareRisk{}, May: c.Rule.May, Answer: o.Case.CareAnswer(c.Rule.Key), Figures: c.Figures, Settled: len(c.Findings) > 0}
		for _, key := range c.Rule.Risks {
			f.Risks = append(f.Risks, careRisk(o, key, func(x *evidence.Rate) bool { return slices.Contains(x.Cares, c.Rule.Key) }))
		}
		for _, key := range c.Findings {
			f.Settled = f.Settled && o.Case.Settled(key, o.treatment.Chart.Finding(key).Teeth)
		}
		if fee, ok := o.Practice.Fees[f.Key]; ok {
			f.Price = &casefile.Price{Minor: feeFor(fee, len(f.Teeth)), Currency: o.Practice.Currency}
		}
		out = append(out, f)
	}
	for _, p := range o.treatment.Parts {
		rule := o.Evidence.Route(p.Lead)
		if rule != nil && rule.Whitens() && !slices.ContainsFunc(out, func(f First) bool { return f.Key == string(p.Lead) }) {
			out = append(out, whitening(o, rule))
		}
	}
	return out
}

// whitening is whitening before other treatment: it begins before the agreement to what
// follows is signed, so it has a yes or no of its own.
func whitening(o *outcome, rule *evidence.RouteRule) First {
	teeth := o.treatment.Chart.Teeth(o.treatment.Through([]casefile.Route{rule.Key}))
	f := First{Key: string(rule.Key), Whitens: true, Kind: evidence.CareTreatment, Findings: []string{}, Teeth: teeth, Visits: []string{},
		Risks: []CareRisk{}, Answer: o.Case.CareAnswer(string(rule.Key)), Figures: []string{}}
	for i, v := range o.schedule.Visits {
		if i > 0 && v.Lead == rule.Key {
			f.Visits, f.Settled = append(f.Visits, v.Key), v.Done
		}
	}
	for _, key := range rule.Risks {
		f.Risks = append(f.Risks, careRisk(o, key, func(x *evidence.Rate) bool { return slices.Contains(x.Routes, rule.Key) }))
	}
	if fee, ok := o.Practice.Fees[f.Key]; ok {
		f.Price = &casefile.Price{Minor: feeFor(fee, len(teeth)), Currency: o.Practice.Currency}
	}
	return f
}

// careRisk is a risk of care with how often it came up where that care was studied.
func careRisk(o *outcome, key string, studied func(*evidence.Rate) bool) CareRisk {
	l := o.Ledger(false)
	out := CareRisk{Key: key, Frequency: basis.Unknown(NoFigure)}
	rule := o.Evidence.Risk(key)
	if rule == nil {
		return out
	}
	for i := range rule.Rates {
		x := &rule.Rates[i]
		if f := o.Evidence.FigureOf(x.Figure); f != nil && studied(x) {
			l.Find(x.Figure)
			out.Frequency = basis.EstimateOf(f).Times(0.01).Round()
			out.Rate = told(x, f)
			break
		}
	}
	out.Figures = l.IDs()
	return out
}

// told returns a rate with its figure.
func told(x *evidence.Rate, f *evidence.Figure) *Rate {
	return &Rate{Figure: f.ID, Unit: x.Unit, Pooled: x.Pooled, Events: f.Events, Of: f.Of, Years: f.OverYears, Words: x.Words}
}

// Told gives aftercare lines and warning signs by their keys, as a paper names
// them: without teeth, in the order of a plan. Unknown keys are left out.
func Told(b *evidence.Base, lines, warnings []string) ([]AftercareLine, []Warning) {
	var out []AftercareLine
	for _, l := range b.LinesInTime() {
		if slices.Contains(lines, l.Key) {
			out = append(out, AftercareLine{Key: l.Key, Phase: l.Phase, Figures: l.Figures})
		}
	}
	var signs []Warning
	for _, w := range b.Warnings {
		if !slices.Contains(warnings, w.Key) {
			continue
		}
		x := Warning{Key: w.Key, Urgency: w.Urgency, Within: basis.Unknown(NoFigure), Figures: w.Figures}
		if f := b.FigureOf(w.Within); f != nil {
			x.Within, x.Unit = basis.EstimateOf(f).Round(), f.Unit
		}
		signs = append(signs, x)
	}
	return out, signs
}

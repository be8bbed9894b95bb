package state

import (
	"cmp"
	"slices"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
	"plainleaf/app/plan"
)

// Way is the chosen route with its material and shades, and what is said for it.
type Way struct{ d *Draft }

// SetRoute sets the case's route. A material the route cannot use is taken out;
// advice stays with the route it was given for.
func (w Way) SetRoute(r casefile.Route) {
	defer w.d.edit()()
	if a := w.d.c.Advice; a != nil && a.Route == "" {
		w.d.c.Advice = &casefile.Advice{Route: r, Reason: a.Reason}
	}
	w.d.c.Route = r
	if !w.Follows() || w.d.c.Then == r || r.Whitens() && w.d.c.Then.Whitens() {
		w.d.c.Then = ""
	}
	w.fitMaterial()
}

// fitMaterial takes a material out that the way cannot use. It comes back with a
// way that can, unless another has been chosen since. Where a way can use only one,
// that one needs no choosing.
func (w Way) fitMaterial() {
	can := w.Materials()
	if x := w.d.c.Material; x != "" && !slices.Contains(can, x) {
		w.d.c.Material = ""
		if w.d.unfit == "" { // else x was the only one, and not chosen
			w.d.unfit = x
		}
	}
	switch {
	case w.d.c.Material != "":
	case slices.Contains(can, w.d.unfit):
		w.d.c.Material, w.d.unfit = w.d.unfit, ""
	case len(can) == 1:
		w.d.c.Material = can[0]
	}
}

// SetThen sets what follows a route that only comes first.
func (w Way) SetThen(r casefile.Route) {
	defer w.d.edit()()
	w.d.c.Then = r
	w.fitMaterial()
}

// Follows reports whether another route may follow the chosen one.
func (w Way) Follows() bool { return w.d.c.Route.Leads() }

// Materials lists what the chosen route, or the one that follows it, is made of.
func (w Way) Materials() []casefile.Material {
	if w.Follows() && w.d.c.Then != "" {
		return w.MaterialsOf(w.d.c.Then)
	}
	return w.MaterialsOf(w.d.c.Route)
}

// MaterialsOf lists what a route is made of.
func (w Way) MaterialsOf(r casefile.Route) []casefile.Material { return w.d.words.Materials[r] }

// MaterialOpen reports whether a tooth on the chosen way, or on the one that
// follows it, still needs a material.
func (w Way) MaterialOpen() bool {
	return w.d.c.Material == "" && len(w.Materials()) > 0 &&
		slices.ContainsFunc(w.d.c.Teeth, func(e casefile.ToothEntry) bool {
			return e.Material == "" && (e.Route == "" || e.Route == w.d.c.Route)
		})
}

// SetMaterial sets the case's material.
func (w Way) SetMaterial(x casefile.Material) {
	defer w.d.edit()()
	w.d.c.Material, w.d.unfit = x, ""
}

// SetTarget sets the shade the patient wants.
func (w Way) SetTarget(s casefile.Shade) {
	defer w.d.edit()()
	w.d.c.TargetShade = s
}

// SetShadeNote sets the laboratory's own name for that shade.
func (w Way) SetShadeNote(s string) {
	defer w.d.typing("shade_note", s)()
	w.d.c.ShadeNote = s
}

// SetUnderlyingAll sets the shade of all teeth that have none of their own.
func (w Way) SetUnderlyingAll(s casefile.Shade) {
	defer w.d.edit()()
	w.d.c.UnderlyingShade = s
}

// SetAdvice sets the dentist's own reason, in the dentist's words, for the chosen route.
func (w Way) SetAdvice(reason string) {
	defer w.d.typing("advice", reason)()
	if reason == "" {
		w.d.c.Advice = nil
	} else {
		w.d.c.Advice = &casefile.Advice{Route: w.d.c.Route, Reason: reason}
	}
}

// Advice is the dentist's own reason, as typed.
func (w Way) Advice() string {
	if w.d.c.Advice == nil {
		return ""
	}
	return w.d.c.Advice.Reason
}

// AdvisedElse is the way that the dentist's advice was given for when another one
// is chosen now.
func (w Way) AdvisedElse() casefile.Route {
	if a := w.d.c.Advice; a != nil && a.Route != w.d.c.Route {
		return a.Route
	}
	return ""
}

// SetReason sets why the dentist goes on against a wait-for; "" takes it back.
func (w Way) SetReason(wait, reason string) {
	defer w.d.typing("proceed_reasons."+wait, reason)()
	w.d.c.ProceedReasons = slices.DeleteFunc(w.d.c.ProceedReasons,
		func(p casefile.ProceedReason) bool { return p.WaitFor == wait })
	if reason != "" {
		w.d.c.ProceedReasons = append(w.d.c.ProceedReasons, casefile.ProceedReason{WaitFor: wait, Reason: reason})
	}
}

// Reason is the dentist's reason for going on against a wait-for.
func (w Way) Reason(wait string) string {
	for _, p := range w.d.c.ProceedReasons {
		if p.WaitFor == wait {
			return p.Reason
		}
	}
	return ""
}

// Horizon reports whether the chances of all teeth together are shown at so many years.
func (w Way) Horizon(years int) bool { return years == int(w.d.setting("horizon-2")) }

// EnamelBand sets a route's planned removal on the front of the case's teeth
// against the usual enamel there, at the place where the two are closest.
func (w Way) EnamelBand(x plan.Removal) (Band, bool) {
	var best Band
	found := false
	for _, p := range []struct {
		planned plan.Estimate
		figure  func(evidence.EnamelRow) string
	}{
		{x.Middle, func(e evidence.EnamelRow) string { return e.Middle }},
		{x.Cervical, func(e evidence.EnamelRow) string { return e.Cervical }},
		{x.Incisal, func(e evidence.EnamelRow) string { return e.Incisal }},
	} {
		if !p.planned.Known() {
			continue
		}
		b := Band{Low: p.planned.Low, High: p.planned.High}
		for _, row := range w.d.base.Enamel {
			if !slices.ContainsFunc(row.Teeth, w.d.Mouth().Chosen) {
				continue
			}
			f, ok := w.d.base.Figure(p.figure(row))
			if !ok {
				continue
			}
			if b.Thick == 0 || f.Low < b.Thin {
				b.Thin = f.Low
			}
			b.Thick = max(b.Thick, f.High)
		}
		if b.Thick == 0 {
			continue
		}
		b.Below = b.High > b.Thin
		if !found || b.Thin-b.High < best.Thin-best.High {
			best, found = b, true
		}
	}
	return best, found
}

// UpkeepOf lists the checks that come with a route whatever the mouth, and those
// that a public finding of this case adds, by key.
func (w Way) UpkeepOf(route casefile.Route) []string {
	var out []string
	for _, u := range w.d.base.Upkeep {
		if u.Appliance != "" || !slices.Contains(u.Routes, route) {
			continue
		}
		if len(u.AgeBands) > 0 && !slices.Contains(u.AgeBands, cmp.Or(w.d.Patient().People().AgeBand, "adult")) {
			continue
		}
		if len(u.Findings) > 0 && !slices.ContainsFunc(u.Findings, func(k string) bool {
			return !w.d.words.Findings[k].Private && (w.d.Mouth().HasFinding(k) || len(w.d.Mouth().TeethWith(k)) > 0)
		}) {
			continue
		}
		out = append(out, u.Key)
	}
	return out
}

// Band is one stretch of a drawing to scale, mm. The usual enamel comes from a
// table that may raise a question and never is a number on a sheet.
type Band struct {
	Low, High   float64 // planned removal
	Thin, Thick float64 // usual enamel at the same place; zero when no tooth has a row
	Below       bool    // the removal may go deeper than the thinnest usual enamel
}

package state

import (
	"slices"
	"strings"

	"plainleaf/app/casefile"
	"plainleaf/app/plan"
)

// Way is the chosen route with its material and shades, and what is said for it.
type Way struct{ d *Draft }

// SetRoute sets the case's route. A material the route cannot use is taken out;
// advice stays with the route it was given for.
func (w Way) SetRoute(r casefile.Route) {
	defer w.d.edit()()
	w.d.c.Route = r
	for i, o := range w.d.c.Offered {
		if o.Route == r && o.Not { // the chosen route is on the table
			w.d.c.Offered = slices.Clone(w.d.c.Offered)
			w.d.c.Offered[i] = casefile.Offer{Route: r}
			w.tidy()
		}
	}
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

// Thens lists the routes that may follow the chosen one; nil where none may.
func (w Way) Thens() []casefile.Route {
	if !w.Follows() {
		return nil
	}
	return slices.DeleteFunc(casefile.Routes(), func(r casefile.Route) bool {
		return r == casefile.None || r.First() || r == w.d.c.Route || r.Whitens() && w.d.c.Route.Whitens()
	})
}

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

// Where an advice is not whole, what there is of it is typed text: an option without a
// reason, a reason without an option.
const (
	advisedPath = "advice.route"
	advicePath  = "advice.reason"
)

// Advise advises an option; the one that is advised already is taken back. The reason
// stays as it was typed. The case has the advice once it has both.
func (w Way) Advise(r casefile.Route) {
	defer w.d.edit()()
	if r == w.Advised() {
		r = ""
	}
	w.advise(r, w.Advice())
}

// SetAdvice sets the reason for what is advised, in the dentist's words.
func (w Way) SetAdvice(reason string) {
	defer w.d.typing("advice", reason)()
	w.advise(w.Advised(), reason)
}

func (w Way) advise(r casefile.Route, reason string) {
	w.d.c.Advice = nil
	delete(w.d.typed, advisedPath)
	delete(w.d.typed, advicePath)
	if r != "" && strings.TrimSpace(reason) != "" {
		w.d.c.Advice = &casefile.Advice{Route: r, Reason: reason}
		return
	}
	if r != "" {
		w.d.typed[advisedPath] = string(r)
	}
	if reason != "" {
		w.d.typed[advicePath] = reason
	}
}

// Advised is the option that the dentist advises; "" for none.
func (w Way) Advised() casefile.Route {
	if w.d.c.Advice != nil {
		return w.d.c.Advice.Route
	}
	return casefile.Route(w.d.typed[advisedPath])
}

// Advice is the dentist's own reason, as typed.
func (w Way) Advice() string {
	if w.d.c.Advice != nil {
		return w.d.c.Advice.Reason
	}
	return w.d.typed[advicePath]
}

// SetOffered puts an option on the table or takes it off, without a reason.
func (w Way) SetOffered(r casefile.Route, on bool) {
	defer w.d.edit()()
	w.offer(r, on, "")
}

// SetWhyNot takes an option off the table with the dentist's reason; blank for none.
func (w Way) SetWhyNot(r casefile.Route, reason string) {
	defer w.d.typing("offered."+string(r), reason)()
	w.offer(r, false, reason)
}

// offer writes down the options as they are on the table, with r on it or not. No treatment
// and the chosen option always are.
func (w Way) offer(r casefile.Route, on bool, reason string) {
	p := w.planned()
	if p == nil || r == casefile.None || r == w.d.c.Route {
		return
	}
	list := []casefile.Offer{{Route: casefile.None}}
	add := func(k casefile.Route, on bool, reason string) {
		if on {
			list = append(list, casefile.Offer{Route: k})
		} else if strings.TrimSpace(reason) != "" {
			list = append(list, casefile.Offer{Route: k, Not: true, Reason: reason})
		}
	}
	for _, f := range p.Routes {
		if f.Key != casefile.None && f.Key != r {
			add(f.Key, f.OnTable, f.NotOffered)
		}
	}
	add(r, on, reason)
	w.d.c.Offered = list
	w.tidy()
}

// tidy leaves out the options that are on the table without being named, so that one which
// a later finding adds is not off it.
func (w Way) tidy() {
	named := w.planned()
	all := w.d.c.Offered
	w.d.c.Offered = emptied(slices.DeleteFunc(slices.Clone(all), func(o casefile.Offer) bool { return !o.Not }))
	if fewer := w.planned(); named != nil && (fewer == nil || !slices.Equal(table(*named), table(*fewer))) {
		w.d.c.Offered = all
	}
}

// planned is the plan of the case as it is within an edit; nil while it has none.
func (w Way) planned() *plan.Plan {
	if len(w.d.c.Check(w.d.words)) > 0 {
		return nil
	}
	p, _ := compute(w.d.c, w.d.practice.file, w.d.base)
	return p
}

// table lists the options on the table.
func table(p plan.Plan) (out []casefile.Route) {
	for _, f := range p.Routes {
		if f.OnTable {
			out = append(out, f.Key)
		}
	}
	return out
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

package state

import (
	"slices"

	"plainleaf/app/casefile"
)

// day is the day of the screen for what happens in the chair; the zero day where
// the device's clock is behind the treatment.
func (d *Draft) day() casefile.Date {
	last := d.c.Start
	for _, e := range d.c.Events {
		if last.Before(e.On) {
			last = e.On
		}
	}
	if d.today.Before(last) {
		return casefile.Date{}
	}
	return d.today
}

// noteInChair appends what happened in the chair, on the day of the screen, and
// moves the case to the try-in.
func (d *Draft) noteInChair(e casefile.Event) {
	if len(e.Places) == 0 { // whichever teeth the case has later
		e.Teeth = slices.Clone(d.c.Meant(e.Teeth))
	}
	e.On = d.day()
	d.c.Note(e)
	d.begun()
}

// takeBack takes the matching events back, all of them or, with teeth, what they
// say of those.
func (d *Draft) takeBack(match func(casefile.Event) bool, teeth []casefile.Tooth) {
	for {
		n := d.c.Last(func(e casefile.Event) bool {
			return match(e) && (teeth == nil || slices.ContainsFunc(d.c.Meant(e.Teeth), func(t casefile.Tooth) bool { return slices.Contains(teeth, t) }))
		})
		if n == 0 {
			return
		}
		var these []casefile.Tooth
		for _, x := range d.c.Noted() {
			if all := d.c.Meant(x.Teeth); x.Number == n && teeth != nil {
				these = slices.DeleteFunc(slices.Clone(all), func(t casefile.Tooth) bool { return !slices.Contains(teeth, t) })
				if len(these) == len(all) {
					these = nil
				}
			}
		}
		d.strike(n, these, nil)
	}
}

// dropEvent takes one event back.
func (d *Draft) dropEvent(n int) { d.strike(n, nil, nil) }

// strike takes one event back, or what it says of some teeth or parts, and leaves the
// rest where it is. What no seal and no file has yet is taken out; any other is struck.
func (d *Draft) strike(n int, teeth []casefile.Tooth, parts []string) {
	if n <= d.fixed {
		d.c.Note(casefile.Event{Kind: casefile.Struck, Of: n, Teeth: teeth, Parts: parts})
		return
	}
	d.c.Events = slices.Clone(d.c.Events)
	if e := &d.c.Events[n-1]; len(teeth)+len(parts) > 0 {
		if len(teeth) > 0 {
			e.Teeth = slices.DeleteFunc(slices.Clone(d.c.Meant(e.Teeth)), func(t casefile.Tooth) bool { return slices.Contains(teeth, t) })
		}
		e.Parts = slices.DeleteFunc(slices.Clone(e.Parts), func(p string) bool { return slices.Contains(parts, p) })
		return
	}
	d.c.Events = slices.Delete(d.c.Events, n-1, n)
	for i := range d.c.Events { // later entries name others by their number
		if e := &d.c.Events[i]; e.Of > n {
			e.Of--
		}
	}
	d.c.Events = emptied(d.c.Events)
}

// begun moves a case to the try-in when something is noted that only happens then.
func (d *Draft) begun() {
	if s := d.Stage(); s == casefile.Deciding || s == casefile.Agreed {
		d.stage(casefile.AtTryIn)
	}
}

// SetID names a case that has no name of its own yet.
func (d *Draft) SetID(id string) {
	if d.c.ID == "" {
		d.outside(func(v *value) { v.c.ID = id })
		d.changed()
	}
}

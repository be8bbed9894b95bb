package state

import (
	"reflect"
	"slices"

	"plainleaf/app/casefile"
)

// value is what an undo brings back: the case and what was typed of it.
type value struct {
	c       casefile.Case
	typed   texts // text of fields that cannot be read, by path
	dropped map[casefile.Tooth]casefile.ToothEntry
	again   map[string]bool   // points explained again, by topic
	unfit   casefile.Material // chosen before, for a way that could use it
	apart   bool              // the sheets have a language of their own
	parked  []string          // languages of the opened case that are not offered for now
}

// mostSteps is how many steps can be undone.
const mostSteps = 50

// past is the values before the last steps. It is in memory only, and ends where a case
// is opened, cleared or agreed on and where a record is sealed.
type past struct {
	steps []step
	field string // that the last step was typed in; "" for none
}

// step is one edit, or one text while it is typed.
type step struct {
	was   value
	typed Undone
}

// Undone is the text that an undo took back, as it was typed last, and its field, so
// that a screen can put it back; blank where the step was no text.
type Undone struct{ Field, Text string }

// add adds a step that led to now, where that is another value. What is typed in one
// field without anything between is one step.
func (p *past) add(s step, now value, joins bool) {
	last := len(p.steps) - 1
	if joins && last >= 0 && s.typed.Field == p.field {
		p.steps[last].typed = s.typed
		if reflect.DeepEqual(p.steps[last].was, now) { // typed back
			p.drop()
		}
		return
	}
	if reflect.DeepEqual(s.was, now) {
		return
	}
	p.field = ""
	if joins {
		p.field = s.typed.Field
	}
	p.steps = append(p.steps, s)
	if over := len(p.steps) - mostSteps; over > 0 {
		p.steps = slices.Delete(p.steps, 0, over)
	}
}

// drop forgets the last step.
func (p *past) drop() {
	last := len(p.steps) - 1
	p.steps[last] = step{} // nothing of it stays in memory
	p.steps, p.field = p.steps[:last], ""
}

// edit begins an edit of the case and returns what ends it. An edit within another one
// is part of it. It works on a copy, so that no earlier value changes with it.
func (d *Draft) edit() func() { return d.begin(Undone{}, false) }

// typing begins an edit of a text while it is typed.
func (d *Draft) typing(field, text string) func() { return d.begin(Undone{field, text}, true) }

// adding begins an edit that adds a text that was typed before.
func (d *Draft) adding(field, text string) func() { return d.begin(Undone{field, text}, false) }

func (d *Draft) begin(typed Undone, joins bool) func() {
	d.editing++
	if d.editing > 1 {
		return func() { d.editing-- }
	}
	s := step{d.value, typed}
	d.value = detached(d.value)
	return func() {
		d.editing--
		d.past.add(s, d.value, joins)
		d.changed()
	}
}

// outside notes what is so whatever is undone: what left the device, or follows the
// screen. It is in every earlier value too.
func (d *Draft) outside(note func(*value)) {
	note(&d.value)
	for i := range d.past.steps {
		note(&d.past.steps[i].was)
	}
}

// seal ends the past: what the case has now is in force.
func (d *Draft) seal() {
	d.past = past{}
	d.changed()
}

// CanUndo reports whether there is a step to undo.
func (d *Draft) CanUndo() bool { return len(d.past.steps) > 0 }

// Undo brings back the case as it was before the last step, with the texts that could
// not be read then; false where there is none. Texts that are not part of the case yet
// stay as they are, and so does what is signed.
func (d *Draft) Undo() (Undone, bool) {
	if !d.CanUndo() {
		return Undone{}, false
	}
	s, stage := d.past.steps[len(d.past.steps)-1], d.Stage()
	d.past.drop()
	d.value = s.was
	d.turn(stage)
	d.changed()
	return s.typed, true
}

// detached copies a value with all that its exported fields and its own point to.
func detached(v value) value {
	v.c = copied(reflect.ValueOf(v.c)).Interface().(casefile.Case)
	v.typed = copied(reflect.ValueOf(v.typed)).Interface().(texts)
	v.dropped = copied(reflect.ValueOf(v.dropped)).Interface().(map[casefile.Tooth]casefile.ToothEntry)
	v.again = copied(reflect.ValueOf(v.again)).Interface().(map[string]bool)
	return v
}

// copied is a copy of a value that shares nothing with it.
func copied(v reflect.Value) reflect.Value {
	out := reflect.New(v.Type()).Elem()
	out.Set(v)
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			out.Set(reflect.New(v.Type().Elem()))
			out.Elem().Set(copied(v.Elem()))
		}
	case reflect.Slice:
		if !v.IsNil() {
			out.Set(reflect.MakeSlice(v.Type(), v.Len(), v.Len()))
			for i := range v.Len() {
				out.Index(i).Set(copied(v.Index(i)))
			}
		}
	case reflect.Map:
		if !v.IsNil() {
			out.Set(reflect.MakeMapWithSize(v.Type(), v.Len()))
			for _, k := range v.MapKeys() {
				out.SetMapIndex(k, copied(v.MapIndex(k)))
			}
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if out.Field(i).CanSet() {
				out.Field(i).Set(copied(v.Field(i)))
			}
		}
	}
	return out
}

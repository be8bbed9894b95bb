package state

import (
	"slices"

	"plainleaf/app/casefile"
	"plainleaf/app/sheet"
)

// Person names the patient on printed sheets. It is kept in memory only and is
// never part of a case file.
type Person struct{ Name, Born, Chart string }

// Print is how the next sheet is to be printed.
type Print struct {
	Kind  sheet.Kind
	Paper string // a4 or letter
	Large bool
}

// Paper is who the case is for on paper, and what was handed out.
type Paper struct{ d *Draft }

// Person is whose sheet it is.
func (p Paper) Person() Person { return p.d.person }

// Print is how the next sheet is to be printed.
func (p Paper) Print() Print { return p.d.print }

// SetPerson keeps what is typed about whose sheet it is.
func (p Paper) SetPerson(edit func(*Person)) { edit(&p.d.person); p.d.papers++ }

// SetPrint changes how the next sheet is printed.
func (p Paper) SetPrint(edit func(*Print)) { edit(&p.d.print); p.d.papers++ }

// ToSign reports whether the kind of sheet chosen bears signatures.
func (p Paper) ToSign() bool {
	switch p.d.print.Kind {
	case "consent", "tryin", "change":
		return true
	}
	return false
}

// Kinds lists every kind of sheet, those first that the stage asks for.
func (p Paper) Kinds() []sheet.Kind {
	if !p.d.Treating() {
		return sheet.Kinds()
	}
	out := []sheet.Kind{firstSheet(p.d.Stage())}
	for _, k := range append([]sheet.Kind{sheet.TryIn, sheet.Change, sheet.Aftercare}, sheet.Kinds()...) {
		if !slices.Contains(out, k) {
			out = append(out, k)
		}
	}
	return out
}

// Handed reports whether something to be signed was printed or saved.
func (p Paper) Handed() bool { return p.d.handed }

// HandOut notes that something to be signed was printed or saved. Clearing the
// case then asks first whether it is in the patient's record.
func (p Paper) HandOut() {
	p.d.handed = true
	e := casefile.Event{Kind: casefile.Shown, Sheet: string(p.d.print.Kind), On: p.d.today}
	p.d.outside(func(v *value) { // once a day
		if v.c.Last(func(x casefile.Event) bool { return x.Kind == e.Kind && x.Sheet == e.Sheet && x.On == e.On }) == 0 {
			v.c.Note(e)
		}
	})
	p.d.changed()
}

// HandOutCalendar keeps what a calendar file that was handed out holds.
func (p Paper) HandOutCalendar(c *casefile.Calendar) {
	p.d.outside(func(v *value) { v.c.Calendar = c })
	p.d.changed()
}

// firstSheet is the sheet that a stage asks for.
func firstSheet(s casefile.Stage) sheet.Kind {
	switch s {
	case casefile.AtTryIn:
		return sheet.TryIn
	case casefile.Delivered:
		return sheet.Aftercare
	}
	return sheet.Options
}

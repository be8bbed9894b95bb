package state

import (
	"plainleaf/app/casefile"
	"plainleaf/app/fault"
)

// Rejected is a file that could not be read, with the text it held.
type Rejected struct {
	Name   string
	Text   string
	Faults fault.List
}

// File is the case as a file, and one that could not be read.
type File struct{ d *Draft }

// Rejected is a case file that could not be read; nil for none.
func (f File) Rejected() *Rejected { return f.d.caseFile }

// Mend changes the text of a case file that could not be read.
func (f File) Mend(text string) {
	if f.d.caseFile != nil {
		f.d.caseFile.Text = text
	}
}

// Drop forgets a case file that could not be read.
func (f File) Drop() { f.d.caseFile = nil }

// Export is the case as a file.
func (f File) Export() ([]byte, error) { return casefile.WriteCase(f.d.c) }

// open opens a case file in place of the open case. A file with a fault
// changes nothing: its text stays in File.Rejected, to be mended and tried again.
func (d *Draft) open(name, text string) bool {
	c, faults := casefile.ReadCase([]byte(text), d.words)
	if len(faults) > 0 {
		d.caseFile = &Rejected{name, text, faults}
		return false
	}
	numbering, before := d.c.Numbering, d.Stage()
	d.blank(numbering)
	d.c, d.fixed = c, len(c.Events)
	if d.Treating() || d.print.Kind == firstSheet(before) {
		d.print.Kind = firstSheet(d.Stage())
	}
	d.Languages().opened()
	if d.c.Numbering == "" {
		d.c.Numbering = numbering
	}
	d.changed()
	return true
}

package state

import (
	"encoding/json"
	"maps"
	"slices"

	"plainleaf/app/casefile"
	"plainleaf/app/fault"
	"plainleaf/app/strict"
)

// DraftVersion is the version of the draft this program writes. It reads every
// earlier one too.
const DraftVersion = 2

// keptDraft is an open case, with what was typed and cannot be read.
type keptDraft struct {
	Version int             `json:"version"`
	Case    casefile.Case   `json:"case"`
	Typed   texts           `json:"typed,omitempty"`
	Again   map[string]bool `json:"again,omitempty"` // points explained again, by topic
	// Pending is what was typed and not added to the case yet, by field.
	Pending map[string]string `json:"pending,omitempty"`
	Name    string            `json:"file_name,omitempty"` // of a case file that could not be read
	Text    string            `json:"file_text,omitempty"`
	Handed  bool              `json:"handed,omitempty"`
	Apart   bool              `json:"apart,omitempty"` // the sheets have a language of their own
	Fixed   int               `json:"fixed,omitempty"` // see Draft.fixed
	// Person is part of a kept case, and of one that was signed: a signature is for a
	// sheet that bears the name.
	Person  *Person     `json:"person,omitempty"`
	Signing *Signatures `json:"signing,omitempty"`
	Print   *Print      `json:"print,omitempty"` // of a case that was signed
}

// fileMax is the longest file that waits to be mended, in bytes, that is kept with
// a draft or with the settings, so that these stay well within what can be read
// again. A case or a practice has a tenth of it.
const fileMax = 1 << 18

// readOwn reads what the program itself wrote. Text may hold what no case and no
// practice may, such as the lines of a file that waits to be mended: what is wrong
// with it is named with its place. An earlier program wrote null for no teeth.
func readOwn(text string, to any) bool {
	faults, ok := strict.Decode([]byte(text), to)
	return ok && !slices.ContainsFunc(faults, func(f fault.Fault) bool {
		return f.Code != "JSON-CONTROL" && (f.Path != "case.teeth" || f.Text != "found null, expected a list")
	})
}

// Newer reports whether a draft, or settings, were written by a newer program, so
// that they are there and only this program cannot read them.
func Newer(text string, version int) bool {
	var d struct{ Version int }
	return json.Unmarshal([]byte(text), &d) == nil && d.Version > version
}

// Keep writes the open case, faults included; nothing when nothing has
// been entered. person says whether who the patient is goes with it.
func (m *Desk) Keep(person bool) string {
	if !m.Signing.Started() && !person && len(m.Draft.pending) == 0 {
		return ""
	}
	k := m.Draft.kept()
	if s := m.Signing.have; m.Signing.Signed() || s.Pad != nil {
		p := m.Draft.print
		k.Signing, k.Print = &s, &p
		person = true
	}
	if person {
		p := m.Draft.person
		k.Person = &p
	}
	data, err := json.Marshal(k)
	if err != nil {
		return ""
	}
	return string(data)
}

// Restore opens what Keep wrote, in any version, in place of the open case; false when
// it is none. The faults of the case come back with it.
func (m *Desk) Restore(text string) bool {
	var k keptDraft
	// What the program wrote it can read, half-entered cases too.
	if !readOwn(text, &k) || k.Version < 1 || k.Version > DraftVersion {
		return false
	}
	m.Draft.restore(k)
	m.Signing.clear()
	if k.Signing != nil {
		m.Signing.have = *k.Signing
	}
	return true
}

// kept is the case as it is kept, without who it is for.
func (d *Draft) kept() keptDraft {
	k := keptDraft{Version: DraftVersion, Case: d.c, Fixed: d.fixed, Typed: d.typed, Again: d.again, Pending: d.pending, Handed: d.handed, Apart: d.apart}
	if d.caseFile != nil && len(d.caseFile.Text) <= fileMax {
		k.Name, k.Text = d.caseFile.Name, d.caseFile.Text
	}
	return k
}

func (d *Draft) restore(k keptDraft) {
	k.Case.Upgrade(d.words.OfContacts)
	d.blank(d.c.Numbering)
	d.c, d.fixed = k.Case, min(k.Fixed, len(k.Case.Events))
	if !k.Apart && !parked(k.Case.Locale) {
		d.c.Locale = "" // the sheets follow the screen
	}
	d.Languages().opened()
	maps.Copy(d.typed, k.Typed)
	maps.Copy(d.again, k.Again)
	if k.Name != "" || k.Text != "" {
		_, faults := casefile.ReadCase([]byte(k.Text), d.words)
		d.caseFile = &Rejected{k.Name, k.Text, faults}
	}
	d.pending, d.handed = k.Pending, k.Handed
	if k.Person != nil {
		d.person = *k.Person
	}
	if k.Print != nil {
		d.print = *k.Print
	} else if d.Treating() {
		d.print.Kind = firstSheet(d.Stage())
	}
	d.changed()
}

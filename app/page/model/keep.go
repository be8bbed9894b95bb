package model

import (
	"encoding/json"
	"slices"
	"strings"

	"plainleaf/app/casefile"
	"plainleaf/app/fault"
	"plainleaf/app/safetext"
	"plainleaf/app/strict"
)

// DraftVersion is the version of the draft this program writes. It reads every
// earlier one too.
const DraftVersion = 2

// draft is an open case as it stands, with what was typed and cannot be read.
type draft struct {
	Version int               `json:"version"`
	Case    casefile.Case     `json:"case"`
	Typed   map[string]string `json:"typed,omitempty"`
	Again   map[string]bool   `json:"again,omitempty"` // points explained again, by topic
	// Pending is what was typed and not added to the case yet, by field.
	Pending map[string]string `json:"pending,omitempty"`
	Name    string            `json:"file_name,omitempty"` // of a case file that could not be read
	Text    string            `json:"file_text,omitempty"`
	Handed  bool              `json:"handed,omitempty"`
	Apart   bool              `json:"apart,omitempty"` // the sheets have a language of their own
	Fixed   int               `json:"fixed,omitempty"` // see Model.fixed
	// Person is part of a kept case, and of one that was signed: a signature is for a
	// sheet that bears the name.
	Person  *Person  `json:"person,omitempty"`
	Signing *Signing `json:"signing,omitempty"`
	Print   *Print   `json:"print,omitempty"` // of a case that was signed
}

// Draft writes the open case as it stands, faults included; nothing when nothing
// has been entered. person says whether who the patient is goes with it.
func (m *Model) Draft(person bool) string {
	if !m.Started() && !person && len(m.Pending) == 0 {
		return ""
	}
	d := draft{Version: DraftVersion, Case: m.Case, Fixed: m.fixed, Typed: m.typed, Again: m.again, Pending: m.Pending, Handed: m.Handed, Apart: m.apart}
	if m.CaseFile != nil && len(m.CaseFile.Text) <= fileMax {
		d.Name, d.Text = m.CaseFile.Name, m.CaseFile.Text
	}
	if m.Signed() || m.Signing.Pad != nil {
		s, p := m.Signing, m.Print
		d.Signing, d.Print = &s, &p
		person = true
	}
	if person {
		p := m.Person
		d.Person = &p
	}
	data, err := json.Marshal(d)
	if err != nil {
		return ""
	}
	return string(data)
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

// OneParagraph makes a text fit for a field, as it is typed or pasted: a line break
// or a tab becomes a space, and signs that cannot be seen are left out.
func OneParagraph(s string) string {
	return safetext.Typed.Strip(strings.ReplaceAll(s, "\r\n", "\n"))
}

// Newer reports whether a draft, or settings, were written by a newer program, so
// that they are there and only this program cannot read them.
func Newer(text string, version int) bool {
	var d struct{ Version int }
	return json.Unmarshal([]byte(text), &d) == nil && d.Version > version
}

// Restore opens a draft of any version in place of the open case; false when it is
// none. The faults of the case come back with it.
func (m *Model) Restore(text string) bool {
	var d draft
	// What the program wrote it can read, half-entered cases too.
	if !readOwn(text, &d) || d.Version < 1 || d.Version > DraftVersion {
		return false
	}
	d.Case.Upgrade(m.Words.OfContacts)
	m.blank(m.Case.Numbering)
	m.Case, m.fixed = d.Case, min(d.Fixed, len(d.Case.Events))
	if !d.Apart && !parked(d.Case.Locale) {
		m.Case.Locale = "" // the sheets follow the screen
	}
	m.tongues()
	for path, text := range d.Typed {
		m.typed[path] = text
	}
	for topic, on := range d.Again {
		m.again[topic] = on
	}
	if d.Name != "" || d.Text != "" {
		_, faults := casefile.ReadCase([]byte(d.Text), m.Words)
		m.CaseFile = &Rejected{d.Name, d.Text, faults}
	}
	m.Pending = d.Pending
	if d.Person != nil {
		m.Person = *d.Person
	}
	if d.Signing != nil {
		m.Signing = *d.Signing
	}
	if d.Print != nil {
		m.Print = *d.Print
	} else if m.Treating() {
		m.Print.Kind = firstSheet(m.Stage())
	}
	m.Handed = d.Handed
	m.changed()
	return true
}

// HandOut notes that something to be signed was printed or saved. Clearing the
// case then asks first whether it is in the patient's record.
func (m *Model) HandOut() { m.Handed = true; m.ShowSheet(); m.edits++ }

// ToSign reports whether the kind of sheet chosen bears signatures.
func (m *Model) ToSign() bool {
	switch m.Print.Kind {
	case "consent", "tryin", "change":
		return true
	}
	return false
}

// SetID names a case that has no name of its own yet.
func (m *Model) SetID(id string) {
	if m.Case.ID == "" {
		m.Case.ID = id
		m.changed()
	}
}

// waiting lists what keeps a sheet from being made although the case is well:
// what was typed about the practice and cannot be read or was not confirmed.
func (m *Model) waiting() fault.List {
	var out fault.List
	for path, text := range m.Own.Typed {
		if isNumber(path) {
			out.Append(fault.New("PAGE-PHONE", path, "a new telephone number is not confirmed yet"))
		} else {
			out.Append(ownFault(path, text))
		}
	}
	if m.zoneFault() {
		out.Append(fault.New("PRAC-TIME-ZONE", "time_zone", "%q is not known to this browser", m.Practice.TimeZone))
	}
	return out
}

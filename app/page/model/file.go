package model

import (
	"slices"

	"plainleaf/app/casefile"
	"plainleaf/app/fault"
	"plainleaf/app/produce"
	"plainleaf/i18n"
)

// Import opens a case file in place of the open case. A file with a fault
// changes nothing: its text stays in CaseFile, to be mended and tried again.
func (m *Model) Import(name, text string) bool {
	c, faults := casefile.ReadCase([]byte(text), m.Words)
	if len(faults) > 0 {
		m.CaseFile = &Rejected{name, text, faults}
		return false
	}
	numbering, before := m.Case.Numbering, m.Stage()
	m.blank(numbering)
	m.Case, m.fixed = c, len(c.Events)
	if m.Treating() || m.Print.Kind == firstSheet(before) {
		m.Print.Kind = firstSheet(m.Stage())
	}
	m.tongues()
	if m.Case.Numbering == "" {
		m.Case.Numbering = numbering
	}
	m.changed()
	return true
}

// DropCaseFile forgets a case file that could not be read.
func (m *Model) DropCaseFile() { m.CaseFile = nil }

// Export is the case as a file.
func (m *Model) Export() ([]byte, error) { return casefile.WriteCase(m.Case) }

// OfferPractice reads a practice file and looks at the practice's own sentences. A good
// one waits in Offered for a yes; a bad one stays in PracticeFile.
func (m *Model) OfferPractice(name, text string) bool {
	m.offer = fileText{name, text}
	m.set++
	p, faults := casefile.ReadPractice([]byte(text), m.Words)
	m.OfferNotes = nil
	if len(faults) == 0 {
		faults, m.OfferNotes = produce.Vet(p)
	}
	if len(faults) > 0 {
		m.PracticeFile = &Rejected{name, text, faults}
		m.Offered = nil
		return false
	}
	m.PracticeFile = nil
	m.Offered = &p
	return true
}

// DropPractice forgets a practice file that was offered or could not be read.
func (m *Model) DropPractice() {
	m.Offered, m.PracticeFile, m.offer = nil, nil, fileText{}
	m.set++
}

// MendPractice changes the text of a practice file that could not be read.
func (m *Model) MendPractice(text string) {
	if m.PracticeFile != nil {
		m.PracticeFile.Text, m.offer.Text = text, text
		m.set++
	}
}

// AcceptPractice puts the offered practice in place of the present one. newest gives the
// newest words of a language of a practice, nil where they are not at hand; it is asked
// for those of produce.Unnamed.
func (m *Model) AcceptPractice(newest func(casefile.Practice, string) *i18n.Wording) {
	if m.Offered == nil {
		return
	}
	m.Practice, m.Offered, m.offer = produce.Succeed(m.Practice, *m.Offered, newest), nil, fileText{}
	m.Own.Typed = map[string]string{}
	m.worded++
	m.setOwn()
}

// ExportPractice is the practice as a file. Whatever was typed and waits for a yes or
// cannot be read is a fault, and then there is no file: it would hold the value before.
func (m *Model) ExportPractice() ([]byte, fault.List) {
	faults := m.waiting()
	if a := m.Own.Approval; a.Who+a.Role+a.When != "" {
		faults.Append(fault.New("PAGE-APPROVAL", "sign_offs", "a sign-off is entered and not added"))
	}
	for _, f := range m.Practice.Check(m.Words) {
		if !slices.ContainsFunc(faults, func(x fault.Fault) bool { return x.Path == f.Path }) {
			faults.Append(f)
		}
	}
	if len(faults) > 0 {
		return nil, faults.Sorted()
	}
	data, err := casefile.WritePractice(m.Practice)
	if err != nil {
		return nil, fault.List{fault.New("PAGE-FILE", "", "%v", err)}
	}
	return data, nil
}

// Line is one fact of a practice file, before and after.
type Line struct{ Field, Old, New string }

// PracticeFields are the fields of the practice edited on the screen, by their
// key in the practice file; the telephone numbers come first.
func PracticeFields() []string {
	return []string{"telephone", "emergency_line", "emergency_service", "name", "dentist", "address", "country", "email"}
}

func practiceField(p *casefile.Practice, field string) *string {
	switch field {
	case "telephone":
		return &p.Telephone
	case "emergency_line":
		return &p.EmergencyLine
	case "emergency_service":
		return &p.EmergencyService
	case "name":
		return &p.Name
	case "dentist":
		return &p.Dentist
	case "address":
		return &p.Address
	case "country":
		return &p.Country
	case "email":
		return &p.Email
	case "complaints":
		return &p.Complaints
	case "guarantee":
		return &p.Guarantee
	case "remakes":
		return &p.Remakes
	case "funding":
		return &p.Funding
	case "time_zone":
		return &p.TimeZone
	case "locale":
		return &p.Locale
	case "base_address":
		return &p.BaseAddress
	}
	return nil
}

// PracticeField is one field of the practice by its key in the practice file.
func (m *Model) PracticeField(field string) string {
	if p := practiceField(&m.Practice, field); p != nil {
		return m.Written(field, *p)
	}
	return ""
}

// SetPracticeField changes one field of the practice; what is wrong with it is
// told by PracticeFaults. A telephone number waits for AcceptNumbers.
func (m *Model) SetPracticeField(field, text string) {
	p := practiceField(&m.Practice, field)
	if p == nil {
		return
	}
	switch {
	case !isNumber(field):
		*p = text
	case text == *p:
		delete(m.Own.Typed, field)
	default:
		m.Own.Typed[field] = text
	}
	m.setOwn()
}

// PracticeFaults lists what is wrong with one field of the practice, and what
// must not be blank when something is printed for a patient.
func (m *Model) PracticeFaults(field string) fault.List {
	if m.checked != m.edits || m.edits == 0 {
		m.checked, m.practice = m.edits, m.checkPractice()
	}
	if text, typed := m.Own.Typed[field]; typed && !isNumber(field) {
		return fault.List{ownFault(field, text)}
	}
	var out fault.List
	for _, f := range m.practice {
		if f.Path == field && f.Code != "PAGE-PHONE" {
			out = append(out, f)
		}
	}
	return out
}

// checkPractice lists what is wrong with the practice as it would be with the
// numbers that wait for a yes.
func (m *Model) checkPractice() fault.List {
	p := m.Practice
	for _, l := range m.NumberChanges() {
		*practiceField(&p, l.Field) = l.New
	}
	all := append(p.Check(m.Words), p.Complete()...)
	if m.zoneFault() && !all.Has("PRAC-TIME-ZONE") {
		all = append(all, m.waiting()...)
	}
	return all
}

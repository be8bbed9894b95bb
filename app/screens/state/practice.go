package state

import (
	"encoding/json"
	"slices"
	"strings"

	"plainleaf/app/casefile"
	"plainleaf/app/fault"
)

// Practice is what the practice set: its file and what belongs to this device. Its
// edits are methods of it and of its parts Offer, Fees, Days and SignOffs.
type Practice struct {
	words casefile.Vocabulary
	file  casefile.Practice
	own   Own
	sums  map[string]string // prices as they were typed, by path

	offer    fileText           // a practice file that was offered, as it is now
	offered  *casefile.Practice // where it could be read; nil for none
	rejected *Rejected          // where it could not; nil for none
	notes    fault.List         // say which of its sentences this program prints nowhere

	zoneKnown func(string) bool // reports whether a time zone exists; nil lets every name pass

	edits   int // counts what changes a sheet
	set     int // counts what changes the settings
	worded  int // counts what changes sentences and sign-offs
	checked int // edits when faults were looked for; -1 for never
	faults  fault.List
}

func newPractice(words casefile.Vocabulary, file casefile.Practice) *Practice {
	p := &Practice{words: words, file: file, checked: -1}
	p.settle()
	return p
}

// Offer is a practice file that waits for a yes or to be mended.
func (p *Practice) Offer() Offer { return Offer{p} }

// Fees is the prices as they are typed.
func (p *Practice) Fees() Fees { return Fees{p} }

// Days is the days of the week and the closed times.
func (p *Practice) Days() Days { return Days{p} }

// SignOffs is who checked which words.
func (p *Practice) SignOffs() SignOffs { return SignOffs{p} }

// File is the practice as it is used. What it points to is not to be changed.
func (p *Practice) File() casefile.Practice { return p.file }

// Own is what the practice set on this device. What it points to is not to be changed.
func (p *Practice) Own() Own { return p.own }

// SetZones gives what reports whether a time zone exists.
func (p *Practice) SetZones(known func(string) bool) { p.zoneKnown = known; p.edits++ }

// Export is the practice as a file. Whatever was typed and waits for a yes or
// cannot be read is a fault, and then there is no file: it would hold the value before.
func (p *Practice) Export() ([]byte, fault.List) {
	faults := p.waiting()
	if a := p.own.Approval; a.Who+a.Role+a.When != "" {
		faults.Append(fault.New("PAGE-APPROVAL", "sign_offs", "a sign-off is entered and not added"))
	}
	for _, f := range p.file.Check(p.words) {
		if !slices.ContainsFunc(faults, func(x fault.Fault) bool { return x.Path == f.Path }) {
			faults.Append(f)
		}
	}
	if len(faults) > 0 {
		return nil, faults.Sorted()
	}
	data, err := casefile.WritePractice(p.file)
	if err != nil {
		return nil, fault.List{fault.New("PAGE-FILE", "", "%v", err)}
	}
	return data, nil
}

// Field is one field of the practice by its key in the practice file.
func (p *Practice) Field(field string) string {
	if at := practiceField(&p.file, field); at != nil {
		return p.Written(field, *at)
	}
	return ""
}

// SetField changes one field of the practice; what is wrong with it is
// listed by FaultsAt. A telephone number waits for AcceptNumbers.
func (p *Practice) SetField(field, text string) {
	at := practiceField(&p.file, field)
	if at == nil {
		return
	}
	switch {
	case !isNumber(field):
		*at = text
	case text == *at:
		delete(p.own.Typed, field)
	default:
		p.own.Typed[field] = text
	}
	p.changed()
}

// FaultsAt lists what is wrong with one field of the practice, and what
// must not be blank when something is printed for a patient.
func (p *Practice) FaultsAt(field string) fault.List {
	if p.checked != p.edits {
		p.checked, p.faults = p.edits, p.check()
	}
	if text, typed := p.own.Typed[field]; typed && !isNumber(field) {
		return fault.List{ownFault(field, text)}
	}
	var out fault.List
	for _, f := range p.faults {
		if f.Path == field && f.Code != "PAGE-PHONE" {
			out = append(out, f)
		}
	}
	return out
}

// check lists what is wrong with the practice as it would be with the
// numbers that wait for a yes.
func (p *Practice) check() fault.List {
	file := p.file
	for _, l := range p.NumberChanges() {
		*practiceField(&file, l.Field) = l.New
	}
	all := append(file.Check(p.words), file.Complete()...)
	if p.zoneFault() && !all.Has("PRAC-TIME-ZONE") {
		all = append(all, p.waiting()...)
	}
	return all
}

// waiting lists what keeps a sheet from being made although the case is well:
// what was typed about the practice and cannot be read or was not confirmed.
func (p *Practice) waiting() fault.List {
	var out fault.List
	for path, text := range p.own.Typed {
		if isNumber(path) {
			out.Append(fault.New("PAGE-PHONE", path, "a new telephone number is not confirmed yet"))
		} else {
			out.Append(ownFault(path, text))
		}
	}
	if p.zoneFault() {
		out.Append(fault.New("PRAC-TIME-ZONE", "time_zone", "%q is not known to this browser", p.file.TimeZone))
	}
	return out
}

// Settings writes the practice as the screen shows it, faults included.
func (p *Practice) Settings() string {
	offer := p.offer
	if len(offer.Text) > fileMax {
		offer = fileText{}
	}
	data, err := json.Marshal(settings{SettingsVersion, p.file, p.own.Numbering, p.own.Minutes, p.own.Typed, p.own.Approval, offer})
	if err != nil {
		return ""
	}
	return string(data)
}

// TakeSettings puts kept settings in place; false when they cannot be read.
func (p *Practice) TakeSettings(text string) bool {
	var s settings
	if !readOwn(text, &s) || s.Version < 1 || s.Version > SettingsVersion {
		return false
	}
	p.file = s.Practice
	p.file.Version = casefile.PracticeVersion
	p.worded++
	p.own = Own{Numbering: s.Numbering, Minutes: s.Minutes, Typed: s.Typed, Approval: s.Approval}
	p.settle()
	if s.Offer == (fileText{}) {
		p.Offer().Drop()
	} else {
		p.Offer().Read(s.Offer.Name, s.Offer.Text)
	}
	p.edits++
	return true
}

func (p *Practice) settle() {
	if p.own.Typed == nil {
		p.own.Typed = texts{}
	}
	if !slices.Contains(IdleMinutes, p.own.Minutes) {
		p.own.Minutes = idleDefault
	}
}

// Set counts the changes to the practice, so that a caller knows whether what
// it wrote down still holds.
func (p *Practice) Set() int { return p.set }

func (p *Practice) changed() { p.set++; p.edits++ }

// SetNumbering sets how teeth are written in a new case.
func (p *Practice) SetNumbering(n string) { p.own.Numbering = n; p.changed() }

// SetMinutes sets how long the screen stays open without a touch.
func (p *Practice) SetMinutes(n int) { p.own.Minutes = n; p.settle(); p.changed() }

// BackTo puts a practice in place of the present one with all that was typed.
func (p *Practice) BackTo(file casefile.Practice) {
	p.file = file
	p.worded++
	p.Offer().Drop()
	p.own = Own{}
	p.settle()
	p.changed()
}

// NumberChanges lists the telephone numbers that were typed and wait for a yes.
func (p *Practice) NumberChanges() []Line {
	var out []Line
	for _, f := range PracticeFields() {
		if text, ok := p.own.Typed[f]; ok && isNumber(f) {
			out = append(out, Line{f, *practiceField(&p.file, f), text})
		}
	}
	return out
}

// AcceptNumbers puts the numbers typed in place of those before; false while one
// of them cannot be one.
func (p *Practice) AcceptNumbers() bool {
	lines := p.NumberChanges()
	for _, l := range lines {
		if len(p.FaultsAt(l.Field)) > 0 {
			return false
		}
	}
	for _, l := range lines {
		*practiceField(&p.file, l.Field) = l.New
		delete(p.own.Typed, l.Field)
	}
	p.changed()
	return true
}

// DropNumbers forgets the numbers typed.
func (p *Practice) DropNumbers() {
	for _, l := range p.NumberChanges() {
		delete(p.own.Typed, l.Field)
	}
	p.changed()
}

// Confirm says that a field that is the demo practice's is right for this one too.
func (p *Practice) Confirm(key string) {
	if !slices.Contains(p.file.Confirmed, key) {
		p.file.Confirmed = append(slices.Clone(p.file.Confirmed), key)
		p.changed()
	}
}

// AllOwn reports whether nothing of the demo practice is left but what was confirmed, and
// nothing that was typed waits for a yes.
func (p *Practice) AllOwn(demo casefile.Practice) bool {
	invented, unconfirmed := casefile.StillDemo(p.file, demo)
	return len(invented)+len(unconfirmed)+len(p.waiting()) == 0
}

// TakeOver says that the practice is a real one; false while AllOwn is.
func (p *Practice) TakeOver(demo casefile.Practice) bool {
	if !p.AllOwn(demo) {
		return false
	}
	p.file.Demo = false
	p.changed()
	return true
}

// Written returns what a field of the practice shows: the text as typed while it
// cannot be read, else the value.
func (p *Practice) Written(path, value string) string { return p.own.Typed.or(path, value) }

// zoneFault reports whether the browser does not know a time zone that looks
// like one.
func (p *Practice) zoneFault() bool {
	z := p.file.TimeZone
	return z != "" && p.zoneKnown != nil && !p.zoneKnown(z)
}

// BaseFaults lists what is wrong with an address of the hosted program before it
// is put in use.
func (p *Practice) BaseFaults(address string) fault.List {
	file := p.file
	file.BaseAddress = address
	return slices.DeleteFunc(file.Check(p.words), func(f fault.Fault) bool { return f.Path != "base_address" })
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

// Own is what the practice set on this device beside its file. None of it is
// about a patient.
type Own struct {
	Numbering string // of teeth in a new case; "" is FDI
	Minutes   int    // without a touch until the screen is covered
	// Typed is text that cannot be read or waits for a yes, by path.
	Typed texts
	// Approval is a sign-off that is being entered. It holds up no sheet.
	Approval Approval
}

// Approval is a sign-off as it is typed; "" is the default until something
// else is chosen.
type Approval struct {
	Sheet  string `json:"sheet,omitempty"`
	Locale string `json:"locale,omitempty"`
	Who    string `json:"who,omitempty"`
	Role   string `json:"role,omitempty"`
	When   string `json:"when,omitempty"`
}

// IdleMinutes are the choices of how many minutes may pass without a touch until the
// screen is covered.
var IdleMinutes = []int{1, 2, 3, 5, 10}

const idleDefault = 3

// SettingsVersion is the version of the kept settings that this program writes. It
// reads every one up to it, with a practice of any version inside.
const SettingsVersion = 2

// settings is how the practice is kept on the device.
type settings struct {
	Version   int               `json:"version"`
	Practice  casefile.Practice `json:"practice"`
	Numbering string            `json:"numbering,omitempty"`
	Minutes   int               `json:"minutes,omitempty"`
	Typed     texts             `json:"typed,omitempty"`
	Approval  Approval          `json:"approval,omitzero"`
	Offer     fileText          `json:"offer,omitzero"`
}

// NewerSettings reports whether kept settings are of a newer program. This one must
// leave them as they are.
func NewerSettings(text string) bool {
	return Newer(text, SettingsVersion)
}

// isNumber reports whether a field holds a telephone number. A wrong one on a
// sheet is the worst of its faults, so a change waits for a yes.
func isNumber(field string) bool {
	switch field {
	case "telephone", "emergency_line", "emergency_service":
		return true
	}
	return false
}

// ownFault says what is wrong with a text typed about the practice.
func ownFault(path, text string) fault.Fault {
	switch {
	case !strings.HasPrefix(path, "fees."):
		return typedFault(path, text)
	case text == "":
		return fault.New("PAGE-FEE-BLANK", path, "the price is blank")
	}
	return fault.New("PAGE-FEE", path, "%q is not a sum", text).With("Text", text)
}

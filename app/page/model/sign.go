package model

import (
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"
	"encoding/json"
	"slices"
	"strings"

	"plainleaf/app/casefile"
	"plainleaf/app/record"
	"plainleaf/app/sheet"
)

// Given is one person's signature, with the sheet it was given for.
type Given struct {
	Sheet sheet.Kind       `json:"sheet"`
	Shown string           `json:"shown"` // Model.about of it
	By    record.Signature `json:"by"`
	// InRecord says that a sealed record holds it.
	InRecord bool `json:"in_record,omitempty"`
}

// Decided is what was decided about one sheet.
type Decided struct {
	Sheet sheet.Kind `json:"sheet"`
	Shown string     `json:"shown"` // record.Shown of it and the purpose
	What  string     `json:"what"`  // agreed, refused or later
	At    string     `json:"at"`    // RFC 3339
	// InRecord says that a sealed record holds it.
	InRecord bool `json:"in_record,omitempty"`
}

// Tongues are the languages in which a sheet is being signed. It stays in them
// while the screen goes on in another language.
type Tongues struct {
	Sheet  sheet.Kind `json:"sheet"`
	Locale string     `json:"locale"`
	Second string     `json:"second,omitempty"`
}

// Pad is the signature that is being given: who, how, and what is drawn so far.
type Pad struct {
	Sheet   sheet.Kind `json:"sheet"`
	Role    string     `json:"role"`
	Way     string     `json:"way"`
	Name    string     `json:"name,omitempty"`
	Paper   string     `json:"paper,omitempty"`
	PaperOn string     `json:"paper_on,omitempty"` // as typed
	Strokes [][]int    `json:"strokes,omitempty"`
}

// Sealed is a record that was made of this case.
type Sealed struct {
	Kind   record.Kind   `json:"kind"`
	Sheet  sheet.Kind    `json:"sheet"`
	Code   string        `json:"code"`
	SHA256 string        `json:"sha256"`
	At     string        `json:"at"`
	Issued casefile.Date `json:"issued,omitzero"`
	Over   string        `json:"over"` // Model.Over when it was made
	Name   string        `json:"name"` // of its file
	// File is the record itself in base64, of the last one only, and not of one so
	// large that the draft could not hold it.
	File string `json:"file,omitempty"`
}

// Bytes is the record itself; nil where it is not at hand.
func (s Sealed) Bytes() []byte { return unpacked(s.File) }

// mostKept is the largest record that is kept with the draft, in bytes.
const mostKept = 400_000

// Earlier is a record that the next one can refer to.
type Earlier struct {
	Kind   record.Kind   `json:"kind"`
	Code   string        `json:"code"`
	SHA256 string        `json:"sha256"`
	Issued casefile.Date `json:"issued,omitzero"`
	// Of whose case it says it is; blank where it is of this one.
	ID  string             `json:"id,omitempty"`
	Who record.Identifiers `json:"who,omitzero"`
}

// Signing is all that was signed and sealed for the open case.
type Signing struct {
	Given   []Given   `json:"given,omitempty"`
	Decided []Decided `json:"decided,omitempty"`
	Tongues []Tongues `json:"tongues,omitempty"`
	Pad     *Pad      `json:"pad,omitempty"`
	Sealed  []Sealed  `json:"sealed,omitempty"`
	// Purpose of the next record of a consent sheet: "", withdrawal or superseding.
	Purpose record.Kind `json:"purpose,omitempty"`
	// From is a record that was opened from a file for the next one to refer to.
	From *Earlier `json:"from,omitempty"`
}

// The field of a drawn signature, in the units of its strokes.
const PadWidth, PadHeight = 6000, 2000

// SignatureNumbers bounds the numbers in the strokes of one signature.
const SignatureNumbers = 12_000

// Signed reports whether anything has been signed, decided or sealed.
func (m *Model) Signed() bool {
	s := m.Signing
	return len(s.Given) > 0 || len(s.Decided) > 0 || len(s.Sealed) > 0
}

// Unsealed reports whether anything was signed that is in no sealed record.
func (m *Model) Unsealed() bool {
	return slices.ContainsFunc(m.Signing.Given, func(g Given) bool { return !g.InRecord })
}

// Touches counts every change that has to be written down, those included that
// no sheet shows.
func (m *Model) Touches() int { return m.edits + m.strokes }

// Signers are those who sign the chosen sheet as the case has it, in order:
// the patient or who decides for the patient, a minor's or represented person's
// own yes, the interpreter, the dentist; then whoever else has signed, and a
// witness where somebody made a mark. Where it was not asked who decides, or who
// interprets, all who may are among them, as on the sheet.
func (m *Model) Signers() []string {
	p := m.People()
	var out []string
	switch {
	case p.Represented():
		out = append(out, p.Decides, "assent")
	case p.Decides == "":
		out = append(out, "patient", "parent", "guardian", "representative")
	default:
		out = append(out, "patient")
	}
	if p.Interpreter != "none" {
		out = append(out, "interpreter")
	}
	out = append(out, "dentist")
	mark := false
	for _, g := range m.Signing.Given {
		if g.Sheet != m.Print.Kind {
			continue
		}
		mark = mark || g.By.Way == "mark"
		if !slices.Contains(out, g.By.Role) {
			out = append(out, g.By.Role)
		}
	}
	if p := m.Signing.Pad; p != nil && p.Sheet == m.Print.Kind && !slices.Contains(out, p.Role) {
		out = append(out, p.Role)
	}
	if mark && !slices.Contains(out, "witness") {
		out = append(out, "witness")
	}
	return out
}

// Others are the roles that may sign beside those of Signers.
func (m *Model) Others() []string {
	var out []string
	for _, role := range record.Roles() {
		if !slices.Contains(m.Signers(), role) {
			out = append(out, role)
		}
	}
	return out
}

// put is what a decision is about: all that is shown, and whether it is for a
// withdrawal or in place of an earlier consent.
func (m *Model) put(shown string) string { return shown + " " + string(m.purpose()) }

// about is what a signature is given for: that, and the decision.
func (m *Model) about(shown string) string { return m.put(shown) + " " + m.Decision(shown).What }

// Here lists the signatures on the chosen sheet that were given for exactly what
// is shown, or, with fits false, for something else.
func (m *Model) Here(shown string, fits bool) []Given {
	var out []Given
	about := m.about(shown)
	for _, g := range m.Signing.Given {
		if g.Sheet == m.Print.Kind && (g.Shown == about) == fits {
			out = append(out, g)
		}
	}
	return out
}

// Signature is what one role has signed of exactly what is shown; nil for nothing.
func (m *Model) Signature(role, shown string) *record.Signature {
	for _, g := range m.Here(shown, true) {
		if g.By.Role == role {
			return &g.By
		}
	}
	return nil
}

// Decision is what was decided about exactly what is shown.
func (m *Model) Decision(shown string) Decided {
	for _, d := range m.Signing.Decided {
		if d.Sheet == m.Print.Kind && d.Shown == m.put(shown) {
			return d
		}
	}
	return Decided{}
}

// Decide notes what was decided about what is shown; "" takes it back.
func (m *Model) Decide(what, shown, at string) {
	m.Signing.Decided = slices.DeleteFunc(m.Signing.Decided, func(d Decided) bool { return d.Sheet == m.Print.Kind && d.Shown == m.put(shown) })
	if what != "" {
		m.hold()
		m.Signing.Decided = append(m.Signing.Decided, Decided{Sheet: m.Print.Kind, Shown: m.put(shown), What: what, At: at})
	}
	m.release()
	m.edits++
}

// OpenPad begins a signature.
func (m *Model) OpenPad(role string) {
	m.Signing.Pad = &Pad{Sheet: m.Print.Kind, Role: role, Way: "drawn"}
	m.strokes++
}

// EditPad changes the signature that is being given.
func (m *Model) EditPad(edit func(*Pad)) {
	if m.Signing.Pad == nil {
		return
	}
	edit(m.Signing.Pad)
	m.strokes++
}

// ClosePad drops the signature that is being given.
func (m *Model) ClosePad() { m.Signing.Pad = nil; m.strokes++ }

// Stroke adds a line to the signature that is being given; false when it is full.
func (m *Model) Stroke(line []int) bool {
	p := m.Signing.Pad
	if p == nil || len(line) < 2 || len(line)%2 > 0 {
		return true
	}
	n := len(line)
	for _, l := range p.Strokes {
		n += len(l)
	}
	if n > SignatureNumbers {
		return false
	}
	for i, v := range line {
		line[i] = min(max(v, 0), [2]int{PadWidth, PadHeight}[i%2])
	}
	p.Strokes = append(p.Strokes, line)
	m.strokes++
	return true
}

// PadFault is the word for what the signature being given still lacks: strokes,
// name, paper or date; "" when it is whole.
func (m *Model) PadFault() string {
	p := m.Signing.Pad
	switch {
	case p == nil:
		return ""
	case p.Way == "drawn" && len(p.Strokes) == 0:
		return "strokes"
	case p.Name == "" && (p.Way == "typed" || p.Way == "mark" || p.Role != "patient" && p.Role != "assent"):
		return "name"
	case p.Way == "paper" && p.Paper == "":
		return "paper"
	case p.Way == "paper":
		if _, err := casefile.ParseDate(p.PaperOn); err != nil {
			return "date"
		}
	}
	return ""
}

// Sign takes the signature that is being given for what is shown.
func (m *Model) Sign(shown, at string) {
	p := m.Signing.Pad
	if p == nil || m.PadFault() != "" {
		return
	}
	s := record.Signature{Role: p.Role, Way: p.Way, Name: p.Name, At: at}
	switch p.Way {
	case "drawn", "mark":
		if len(p.Strokes) > 0 {
			s.Width, s.Height, s.Strokes = PadWidth, PadHeight, p.Strokes
		}
	case "paper":
		s.Paper = p.Paper
		s.PaperOn, _ = casefile.ParseDate(p.PaperOn)
	}
	m.hold()
	m.Signing.Pad = nil
	about := m.about(shown)
	m.undo(p.Role, about)
	m.Signing.Given = append(m.Signing.Given, Given{Sheet: m.Print.Kind, Shown: about, By: s})
	m.edits++
}

// Unsign takes back what one role signed of what is shown.
func (m *Model) Unsign(role, shown string) {
	m.undo(role, m.about(shown))
	m.release()
	m.edits++
}

// DropAside forgets the signatures and decisions on the chosen sheet that were
// given for something else than what is shown.
func (m *Model) DropAside(shown string) {
	about, put := m.about(shown), m.put(shown)
	m.Signing.Given = slices.DeleteFunc(m.Signing.Given, func(g Given) bool { return g.Sheet == m.Print.Kind && g.Shown != about })
	m.Signing.Decided = slices.DeleteFunc(m.Signing.Decided, func(d Decided) bool { return d.Sheet == m.Print.Kind && d.Shown != put })
	m.release()
	m.edits++
}

func (m *Model) undo(role, about string) {
	m.Signing.Given = slices.DeleteFunc(m.Signing.Given, func(g Given) bool {
		return g.Sheet == m.Print.Kind && g.By.Role == role && g.Shown == about
	})
}

// SheetTongues are the languages the chosen sheet is made in.
func (m *Model) SheetTongues() (locale, second string) {
	for _, t := range m.Signing.Tongues {
		if t.Sheet == m.Print.Kind {
			return t.Locale, t.Second
		}
	}
	return m.Case.Locale, m.Case.Second
}

// hold keeps the chosen sheet in its languages from now on.
func (m *Model) hold() {
	locale, second := m.SheetTongues()
	m.free()
	m.Signing.Tongues = append(m.Signing.Tongues, Tongues{m.Print.Kind, locale, second})
}

func (m *Model) free() {
	m.Signing.Tongues = slices.DeleteFunc(m.Signing.Tongues, func(t Tongues) bool { return t.Sheet == m.Print.Kind })
}

// release lets the chosen sheet follow the screen again when nothing on it is
// signed or decided.
func (m *Model) release() {
	here := func(k sheet.Kind) bool { return k == m.Print.Kind }
	if !slices.ContainsFunc(m.Signing.Given, func(g Given) bool { return here(g.Sheet) }) &&
		!slices.ContainsFunc(m.Signing.Decided, func(d Decided) bool { return here(d.Sheet) }) {
		m.free()
	}
}

// SetSheetSecond sets the second language of the chosen sheet, which is that of
// the case unless the sheet is being signed.
func (m *Model) SetSheetSecond(tag string) {
	for i, t := range m.Signing.Tongues {
		if t.Sheet == m.Print.Kind {
			if tag == t.Locale {
				tag = ""
			}
			m.Signing.Tongues[i].Second = tag
			m.changed()
			return
		}
	}
	m.SetSecond(tag)
}

// SheetCase is the case as the chosen sheet shows it: in the languages of the sheet.
func (m *Model) SheetCase() casefile.Case {
	c := m.Case
	c.Locale, c.Second = m.SheetTongues()
	return c
}

// Who is whose sheet it is, as records have it.
func (m *Model) Who() record.Identifiers {
	return record.Identifiers{Name: m.Person.Name, Born: m.Person.Born, Chart: m.Person.Chart}
}

// Over is a hash of what is shown with all that was signed and decided on it. A
// record covers the sheet as it stands while its Over is the same.
func (m *Model) Over(shown string) string {
	given, decided := m.Here(shown, true), m.Decision(shown)
	for i := range given {
		given[i].InRecord = false
	}
	decided.InRecord = false
	data, err := json.Marshal(struct {
		About   string
		Given   []Given
		Decided Decided
	}{m.about(shown), given, decided})
	if err != nil {
		return ""
	}
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:])
}

// Cover is the record that covers the chosen sheet as it stands; nil for none.
func (m *Model) Cover(shown string) *Sealed {
	over := m.Over(shown)
	for i := len(m.Signing.Sealed) - 1; i >= 0; i-- {
		if s := &m.Signing.Sealed[i]; s.Sheet == m.Print.Kind && s.Over == over {
			return s
		}
	}
	return nil
}

func (m *Model) purpose() record.Kind {
	if m.Print.Kind == sheet.Consent {
		return m.Signing.Purpose
	}
	return ""
}

// RecordKind is what a record of the chosen sheet would be of.
func (m *Model) RecordKind(shown string) record.Kind {
	switch m.Print.Kind {
	case sheet.TryIn:
		return record.TryIn
	case sheet.Change:
		return record.Change
	}
	switch p := m.purpose(); {
	case p == record.Withdrawal:
		return p
	case m.Decision(shown).What == "refused":
		return record.Refusal
	case p == record.Superseding:
		return p
	}
	return record.Consent
}

// SetPurpose says what the next record of a consent sheet is for.
func (m *Model) SetPurpose(k record.Kind) { m.Signing.Purpose = k; m.edits++ }

// SetEarlier names a record from a file for the next one to refer to.
func (m *Model) SetEarlier(e *Earlier) { m.Signing.From = e; m.strokes++ }

// Earlier is the record that the next one refers to: that from a file, else the
// last one made of this case that settled something and does not cover the sheet
// as it stands; nil for none.
func (m *Model) Earlier(shown string) *Earlier {
	if m.Signing.From != nil {
		return m.Signing.From
	}
	over := m.Over(shown)
	for i := len(m.Signing.Sealed) - 1; i >= 0; i-- {
		if s := m.Signing.Sealed[i]; s.Over != over && s.Kind.Settles() {
			return &Earlier{Kind: s.Kind, Code: s.Code, SHA256: s.SHA256, Issued: s.Issued}
		}
	}
	return nil
}

// Foreign reports whether a record that the next one refers to says that it is of
// another case or another person. A case that was typed anew has another id, so
// people decide.
func (m *Model) Foreign(e Earlier) bool {
	differ := func(a, b string) bool { return a != "" && b != "" && a != b }
	who := m.Who()
	return differ(e.ID, m.Case.ID) || differ(e.Who.Name, who.Name) || differ(e.Who.Born, who.Born) || differ(e.Who.Chart, who.Chart)
}

// SealFault is the word for what keeps the chosen sheet from being sealed:
// earlier (it has to refer to a record), those of record.Kind.Unfollowed, witness
// (a mark without one), open (something holds the signing back; see Held), or "".
func (m *Model) SealFault(shown string) string {
	if m.Decision(shown).What == "agreed" && m.RecordKind(shown) != record.Withdrawal && len(m.Held()) > 0 {
		return "open"
	}
	if kind := m.RecordKind(shown); kind.Follows() {
		e := m.Earlier(shown)
		if e == nil {
			return "earlier"
		}
		if lack := kind.Unfollowed(e.Kind, e.Issued, m.Case.Issued); lack != "" {
			return lack
		}
	}
	var signed []record.Signature
	for _, g := range m.Here(shown, true) {
		signed = append(signed, g.By)
	}
	if slices.ContainsFunc(signed, func(s record.Signature) bool { return s.Way == "mark" }) && !record.Witnessed(signed) {
		return "witness"
	}
	return ""
}

// AddSealed notes a record that was made. What bears signatures is then in a
// file, so clearing asks first; an agreed consent brings the case on from deciding.
func (m *Model) AddSealed(s Sealed, file []byte, shown string) {
	if len(file) <= mostKept {
		s.File = base64.StdEncoding.EncodeToString(file)
	}
	about, put := m.about(shown), m.put(shown)
	for i, g := range m.Signing.Given {
		if g.Sheet == s.Sheet && g.Shown == about {
			m.Signing.Given[i].InRecord = true
		}
	}
	for i, d := range m.Signing.Decided {
		if d.Sheet == s.Sheet && d.Shown == put {
			m.Signing.Decided[i].InRecord = true
		}
	}
	s.Over = m.Over(shown)
	for i := range m.Signing.Sealed {
		m.Signing.Sealed[i].File = ""
	}
	m.Signing.Sealed = append(m.Signing.Sealed, s)
	m.Signing.From = nil
	m.noteSealed(s, m.Decision(shown).What == "agreed")
	m.HandOut()
	m.fixed = len(m.Case.Events)
}

// noteSealed takes what a record settles into the case: a yes is what was agreed
// from now on and ends the deciding; a consent taken back sets nothing back, since
// what was done stays done.
func (m *Model) noteSealed(s Sealed, yes bool) {
	day, _, _ := strings.Cut(s.At, "T")
	on, err := casefile.ParseDate(day)
	if err != nil {
		on = m.today
	}
	switch {
	case s.Kind == record.Withdrawal:
		m.note(casefile.Event{Kind: casefile.WithdrawnYes, Sheet: string(s.Sheet), Code: s.Code, SHA256: s.SHA256, On: on})
	case yes && (s.Sheet == sheet.Consent || s.Sheet == sheet.Change):
		m.agree(casefile.SealedRecord, s.Code, s.SHA256, s.Sheet, on)
	case yes:
		m.note(casefile.Event{Kind: casefile.SignedSheet, Sheet: string(s.Sheet), Code: s.Code, SHA256: s.SHA256, On: on, How: "signed"})
	}
}

// Aside is what was signed and decided on the chosen sheet for something else than
// what is shown, and is in no record.
func (m *Model) Aside(shown string) ([]Given, []Decided) {
	given := slices.DeleteFunc(m.Here(shown, false), func(g Given) bool { return g.InRecord })
	var decided []Decided
	for _, d := range m.Signing.Decided {
		if d.Sheet == m.Print.Kind && d.Shown != m.put(shown) && !d.InRecord {
			decided = append(decided, d)
		}
	}
	return given, decided
}

// Withdrawn is the sealed withdrawal that is in force: no consent was sealed after
// it. Nil when there is none.
func (m *Model) Withdrawn() *Sealed {
	for i := len(m.Signing.Sealed) - 1; i >= 0; i-- {
		if s := &m.Signing.Sealed[i]; s.Sheet == sheet.Consent {
			if s.Kind == record.Withdrawal {
				return s
			}
			return nil
		}
	}
	return nil
}

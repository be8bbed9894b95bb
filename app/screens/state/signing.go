package state

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

// Signing is what is signed and sealed of the open case, and the keys to seal with.
type Signing struct {
	d    *Draft
	have Signatures
	ring Ring

	edits   int // counts what changes a sheet
	strokes int // counts what else has to be written down
}

// Signatures is all that was signed and sealed. What it points to is not to be changed.
func (s *Signing) Signatures() Signatures { return s.have }

// Ring is the keys of this device.
func (s *Signing) Ring() *Ring { return &s.ring }

// clear forgets what was signed; the keys stay.
func (s *Signing) clear() { s.have = Signatures{} }

// Signed reports whether anything has been signed, decided or sealed.
func (s *Signing) Signed() bool {
	return len(s.have.Given) > 0 || len(s.have.Decided) > 0 || len(s.have.Sealed) > 0
}

// Started reports whether anything has been entered or signed that clearing would lose.
func (s *Signing) Started() bool { return s.Signed() || s.d.Started() }

// Unsealed reports whether anything was signed that is in no sealed record.
func (s *Signing) Unsealed() bool {
	return slices.ContainsFunc(s.have.Given, func(g Given) bool { return !g.InRecord })
}

// Edits counts what changes a sheet: the changes to the case and the practice and what
// is signed and decided.
func (s *Signing) Edits() int { return s.d.Edits() + s.edits }

// Touches counts every change that has to be written down, those included that
// no sheet shows.
func (s *Signing) Touches() int { return s.Edits() + s.strokes }

// Signers are those who sign the chosen sheet as the case has it, in order:
// the patient or who decides for the patient, a minor's or represented person's
// own yes, the interpreter, the dentist; then anyone else who has signed, and a
// witness where somebody made a mark. Where it was not asked who decides, or who
// interprets, all who may are among them, as on the sheet.
func (s *Signing) Signers() []string {
	p := s.d.Patient().People()
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
	for _, g := range s.have.Given {
		if g.Sheet != s.d.print.Kind {
			continue
		}
		mark = mark || g.By.Way == "mark"
		if !slices.Contains(out, g.By.Role) {
			out = append(out, g.By.Role)
		}
	}
	if p := s.have.Pad; p != nil && p.Sheet == s.d.print.Kind && !slices.Contains(out, p.Role) {
		out = append(out, p.Role)
	}
	if mark && !slices.Contains(out, "witness") {
		out = append(out, "witness")
	}
	return out
}

// Others are the roles that may sign beside those of Signers.
func (s *Signing) Others() []string {
	var out []string
	for _, role := range record.Roles() {
		if !slices.Contains(s.Signers(), role) {
			out = append(out, role)
		}
	}
	return out
}

// put is what a decision is about: all that is shown, and whether it is for a
// withdrawal or in place of an earlier consent.
func (s *Signing) put(shown string) string { return shown + " " + string(s.purpose()) }

// about is what a signature is given for: that, and the decision.
func (s *Signing) about(shown string) string { return s.put(shown) + " " + s.Decision(shown).What }

// Here lists the signatures on the chosen sheet that were given for exactly what
// is shown, or, with fits false, for something else.
func (s *Signing) Here(shown string, fits bool) []Given {
	var out []Given
	about := s.about(shown)
	for _, g := range s.have.Given {
		if g.Sheet == s.d.print.Kind && (g.Shown == about) == fits {
			out = append(out, g)
		}
	}
	return out
}

// Signature is what one role has signed of exactly what is shown; nil for nothing.
func (s *Signing) Signature(role, shown string) *record.Signature {
	for _, g := range s.Here(shown, true) {
		if g.By.Role == role {
			return &g.By
		}
	}
	return nil
}

// Decision is what was decided about exactly what is shown.
func (s *Signing) Decision(shown string) Decided {
	for _, d := range s.have.Decided {
		if d.Sheet == s.d.print.Kind && d.Shown == s.put(shown) {
			return d
		}
	}
	return Decided{}
}

// Decide notes what was decided about what is shown; "" takes it back.
func (s *Signing) Decide(what, shown, at string) {
	s.have.Decided = slices.DeleteFunc(s.have.Decided, func(d Decided) bool { return d.Sheet == s.d.print.Kind && d.Shown == s.put(shown) })
	if what != "" {
		s.hold()
		s.have.Decided = append(s.have.Decided, Decided{Sheet: s.d.print.Kind, Shown: s.put(shown), What: what, At: at})
	}
	s.have.release(s.d.print.Kind)
	s.edits++
}

// OpenPad begins a signature.
func (s *Signing) OpenPad(role string) {
	s.have.Pad = &Pad{Sheet: s.d.print.Kind, Role: role, Way: "drawn"}
	s.strokes++
}

// EditPad changes the signature that is being given.
func (s *Signing) EditPad(edit func(*Pad)) {
	if s.have.Pad == nil {
		return
	}
	edit(s.have.Pad)
	s.strokes++
}

// ClosePad drops the signature that is being given.
func (s *Signing) ClosePad() { s.have.Pad = nil; s.strokes++ }

// Stroke adds a line to the signature that is being given; false when it is full.
func (s *Signing) Stroke(line []int) bool {
	p := s.have.Pad
	if p == nil || len(line) < 2 || len(line)%2 > 0 {
		return true
	}
	if !p.add(line) {
		return false
	}
	s.strokes++
	return true
}

// Sign takes the signature that is being given for what is shown.
func (s *Signing) Sign(shown, at string) {
	p := s.have.Pad
	if p == nil || p.Fault() != "" {
		return
	}
	s.hold()
	s.have.Pad = nil
	about := s.about(shown)
	s.have.drop(s.d.print.Kind, p.Role, about)
	s.have.Given = append(s.have.Given, Given{Sheet: s.d.print.Kind, Shown: about, By: p.signature(at)})
	s.edits++
}

// Unsign takes back what one role signed of what is shown.
func (s *Signing) Unsign(role, shown string) {
	s.have.drop(s.d.print.Kind, role, s.about(shown))
	s.have.release(s.d.print.Kind)
	s.edits++
}

// DropAside forgets the signatures and decisions on the chosen sheet that were
// given for something else than what is shown.
func (s *Signing) DropAside(shown string) {
	about, put := s.about(shown), s.put(shown)
	s.have.Given = slices.DeleteFunc(s.have.Given, func(g Given) bool { return g.Sheet == s.d.print.Kind && g.Shown != about })
	s.have.Decided = slices.DeleteFunc(s.have.Decided, func(d Decided) bool { return d.Sheet == s.d.print.Kind && d.Shown != put })
	s.have.release(s.d.print.Kind)
	s.edits++
}

// SheetTongues are the languages the chosen sheet is made in.
func (s *Signing) SheetTongues() (locale, second string) {
	if t := s.have.tongues(s.d.print.Kind); t != nil {
		return t.Locale, t.Second
	}
	return s.d.c.Locale, s.d.c.Second
}

// hold keeps the chosen sheet in its languages from now on.
func (s *Signing) hold() {
	locale, second := s.SheetTongues()
	s.have.free(s.d.print.Kind)
	s.have.Tongues = append(s.have.Tongues, Tongues{s.d.print.Kind, locale, second})
}

// SetSheetSecond sets the second language of the chosen sheet, which is that of
// the case unless the sheet is being signed.
func (s *Signing) SetSheetSecond(tag string) {
	t := s.have.tongues(s.d.print.Kind)
	if t == nil {
		s.d.Languages().SetSecond(tag)
		return
	}
	if tag == t.Locale {
		tag = ""
	}
	t.Second = tag
	s.edits++
}

// Rename puts the points that were said back into another language, old text to new.
// What was signed stays in its words.
func (s *Signing) Rename(topics map[string]string) {
	if !s.Signed() {
		s.d.Languages().rename(topics)
	}
}

// SheetCase is the case as the chosen sheet shows it: in the languages of the sheet.
func (s *Signing) SheetCase() casefile.Case {
	c := s.d.c
	c.Locale, c.Second = s.SheetTongues()
	return c
}

// Who is whose sheet it is, as records have it.
func (s *Signing) Who() record.Identifiers {
	return record.Identifiers{Name: s.d.person.Name, Born: s.d.person.Born, Chart: s.d.person.Chart}
}

// Over is a hash of what is shown with all that was signed and decided on it. A
// record covers the sheet while its Over is the same.
func (s *Signing) Over(shown string) string {
	given, decided := s.Here(shown, true), s.Decision(shown)
	for i := range given {
		given[i].InRecord = false
	}
	decided.InRecord = false
	data, err := json.Marshal(struct {
		About   string
		Given   []Given
		Decided Decided
	}{s.about(shown), given, decided})
	if err != nil {
		return ""
	}
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:])
}

// Cover returns the record that covers what is shown; nil for none.
func (s *Signing) Cover(shown string) *Sealed {
	over := s.Over(shown)
	for i := len(s.have.Sealed) - 1; i >= 0; i-- {
		if made := &s.have.Sealed[i]; made.Sheet == s.d.print.Kind && made.Over == over {
			return made
		}
	}
	return nil
}

func (s *Signing) purpose() record.Kind {
	if s.d.print.Kind == sheet.Consent {
		return s.have.Purpose
	}
	return ""
}

// RecordKind is what a record of the chosen sheet would be of.
func (s *Signing) RecordKind(shown string) record.Kind {
	switch s.d.print.Kind {
	case sheet.TryIn:
		return record.TryIn
	case sheet.Change:
		return record.Change
	}
	switch p := s.purpose(); {
	case p == record.Withdrawal:
		return p
	case s.Decision(shown).What == "refused":
		return record.Refusal
	case p == record.Superseding:
		return p
	}
	return record.Consent
}

// SetPurpose says what the next record of a consent sheet is for.
func (s *Signing) SetPurpose(k record.Kind) { s.have.Purpose = k; s.edits++ }

// SetEarlier names a record from a file for the next one to refer to.
func (s *Signing) SetEarlier(e *Earlier) { s.have.From = e; s.strokes++ }

// Earlier is the record that the next one refers to: that from a file, else the
// last one made of this case that settled something and does not cover what is shown;
// nil for none.
func (s *Signing) Earlier(shown string) *Earlier {
	if s.have.From != nil {
		return s.have.From
	}
	over := s.Over(shown)
	for i := len(s.have.Sealed) - 1; i >= 0; i-- {
		if made := s.have.Sealed[i]; made.Over != over && made.Kind.Settles() {
			return &Earlier{Kind: made.Kind, Code: made.Code, SHA256: made.SHA256, Issued: made.Issued}
		}
	}
	return nil
}

// Foreign reports whether a record that the next one refers to says that it is of
// another case or another person. A case that was typed anew has another id, so
// people decide.
func (s *Signing) Foreign(e Earlier) bool {
	differ := func(a, b string) bool { return a != "" && b != "" && a != b }
	who := s.Who()
	return differ(e.ID, s.d.c.ID) || differ(e.Who.Name, who.Name) || differ(e.Who.Born, who.Born) || differ(e.Who.Chart, who.Chart)
}

// SealFault is the word for what keeps the chosen sheet from being sealed:
// earlier (it has to refer to a record), those of record.Kind.Unfollowed, witness
// (a mark without one), open (something holds the signing back; see Held), or "".
func (s *Signing) SealFault(shown string) string {
	if s.Decision(shown).What == "agreed" && s.RecordKind(shown) != record.Withdrawal && len(s.d.Consent().Held()) > 0 {
		return "open"
	}
	if kind := s.RecordKind(shown); kind.Follows() {
		e := s.Earlier(shown)
		if e == nil {
			return "earlier"
		}
		if lack := kind.Unfollowed(e.Kind, e.Issued, s.d.c.Issued); lack != "" {
			return lack
		}
	}
	var signed []record.Signature
	for _, g := range s.Here(shown, true) {
		signed = append(signed, g.By)
	}
	if slices.ContainsFunc(signed, func(x record.Signature) bool { return x.Way == "mark" }) && !record.Witnessed(signed) {
		return "witness"
	}
	return ""
}

// AddSealed notes a record that was made. What bears signatures is then in a
// file, so clearing asks first; an agreed consent brings the case on from deciding.
func (s *Signing) AddSealed(made Sealed, file []byte, shown string) {
	if len(file) <= mostKept {
		made.File = base64.StdEncoding.EncodeToString(file)
	}
	about, put := s.about(shown), s.put(shown)
	for i, g := range s.have.Given {
		if g.Sheet == made.Sheet && g.Shown == about {
			s.have.Given[i].InRecord = true
		}
	}
	for i, d := range s.have.Decided {
		if d.Sheet == made.Sheet && d.Shown == put {
			s.have.Decided[i].InRecord = true
		}
	}
	made.Over = s.Over(shown)
	for i := range s.have.Sealed {
		s.have.Sealed[i].File = ""
	}
	s.have.Sealed = append(s.have.Sealed, made)
	s.have.From = nil
	s.noteSealed(made, s.Decision(shown).What == "agreed")
	s.d.Paper().HandOut()
	s.d.fixed = len(s.d.c.Events)
	s.d.seal()
}

// noteSealed takes what a record settles into the case: a yes is what was agreed
// from now on and ends the deciding; a consent taken back sets nothing back, since
// what was done stays done.
func (s *Signing) noteSealed(made Sealed, yes bool) {
	day, _, _ := strings.Cut(made.At, "T")
	on, err := casefile.ParseDate(day)
	if err != nil {
		on = s.d.today
	}
	switch {
	case made.Kind == record.Withdrawal:
		s.d.c.Note(casefile.Event{Kind: casefile.WithdrawnYes, Sheet: string(made.Sheet), Code: made.Code, SHA256: made.SHA256, On: on})
	case yes && (made.Sheet == sheet.Consent || made.Sheet == sheet.Change):
		s.d.Consent().agree(casefile.SealedRecord, made.Code, made.SHA256, made.Sheet, on)
	case yes:
		s.d.c.Note(casefile.Event{Kind: casefile.SignedSheet, Sheet: string(made.Sheet), Code: made.Code, SHA256: made.SHA256, On: on, How: "signed"})
	}
}

// Aside is what was signed and decided on the chosen sheet for something else than
// what is shown, and is in no record.
func (s *Signing) Aside(shown string) ([]Given, []Decided) {
	given := slices.DeleteFunc(s.Here(shown, false), func(g Given) bool { return g.InRecord })
	var decided []Decided
	for _, d := range s.have.Decided {
		if d.Sheet == s.d.print.Kind && d.Shown != s.put(shown) && !d.InRecord {
			decided = append(decided, d)
		}
	}
	return given, decided
}

// Withdrawn is the sealed withdrawal that is in force: no consent was sealed after
// it. Nil when there is none.
func (s *Signing) Withdrawn() *Sealed {
	for i := len(s.have.Sealed) - 1; i >= 0; i-- {
		if made := &s.have.Sealed[i]; made.Sheet == sheet.Consent {
			if made.Kind == record.Withdrawal {
				return made
			}
			return nil
		}
	}
	return nil
}

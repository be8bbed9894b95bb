package state

import (
	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
)

// Desk is the state of the screens: one practice, the open case, and what is signed
// of it. It does what concerns the case as a whole: open, keep and clear it.
type Desk struct {
	Draft    *Draft
	Practice *Practice
	Signing  *Signing
}

// New opens an empty case. today is the date that sheets bear until it is changed.
func New(base *evidence.Base, words casefile.Vocabulary, file casefile.Practice, today casefile.Date, lang string) *Desk {
	p := newPractice(words, file)
	d := newDraft(base, words, p, today, lang)
	return &Desk{Draft: d, Practice: p, Signing: &Signing{d: d}}
}

// Clear makes ready for the next patient.
func (m *Desk) Clear() {
	m.Draft.clear()
	m.Signing.clear()
}

// Import opens a case file in place of the open case. A file with a fault changes
// nothing: File.Rejected has its text, to be mended and tried again.
func (m *Desk) Import(name, text string) bool {
	if !m.Draft.open(name, text) {
		return false
	}
	m.Signing.clear()
	return true
}

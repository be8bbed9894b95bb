package state

import (
	"slices"

	"plainleaf/app/casefile"
	"plainleaf/app/record"
	"plainleaf/app/sheet"
)

// Given is one person's signature, with the sheet it was given for.
type Given struct {
	Sheet sheet.Kind       `json:"sheet"`
	Shown string           `json:"shown"` // Signing.about of it
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

// Sealed is a record that was made of this case.
type Sealed struct {
	Kind   record.Kind   `json:"kind"`
	Sheet  sheet.Kind    `json:"sheet"`
	Code   string        `json:"code"`
	SHA256 string        `json:"sha256"`
	At     string        `json:"at"`
	Issued casefile.Date `json:"issued,omitzero"`
	Over   string        `json:"over"` // Signing.Over when it was made
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

// Signatures is all that was signed and sealed for the open case.
type Signatures struct {
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

// drop forgets what a role signed on a sheet for what it was about.
func (h *Signatures) drop(kind sheet.Kind, role, about string) {
	h.Given = slices.DeleteFunc(h.Given, func(g Given) bool {
		return g.Sheet == kind && g.By.Role == role && g.Shown == about
	})
}

// tongues are the languages that a sheet stays in; nil where it follows the case.
func (h *Signatures) tongues(kind sheet.Kind) *Tongues {
	for i := range h.Tongues {
		if h.Tongues[i].Sheet == kind {
			return &h.Tongues[i]
		}
	}
	return nil
}

// free lets a sheet follow the case.
func (h *Signatures) free(kind sheet.Kind) {
	h.Tongues = slices.DeleteFunc(h.Tongues, func(t Tongues) bool { return t.Sheet == kind })
}

// release lets a sheet follow the case again when nothing on it is signed or decided.
func (h *Signatures) release(kind sheet.Kind) {
	if !slices.ContainsFunc(h.Given, func(g Given) bool { return g.Sheet == kind }) &&
		!slices.ContainsFunc(h.Decided, func(d Decided) bool { return d.Sheet == kind }) {
		h.free(kind)
	}
}

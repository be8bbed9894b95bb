package state

import (
	"slices"

	"plainleaf/app/casefile"
	"plainleaf/app/render"
	"plainleaf/i18n"
)

// SignOffs is who checked which words.
type SignOffs struct{ p *Practice }

// SetApproval changes the sign-off that is being entered.
func (so SignOffs) SetApproval(edit func(*Approval)) { edit(&so.p.own.Approval); so.p.set++ }

// Add adds that somebody checked the words of a sheet in a language, and notes
// what those are: words in that language and own in the practice's. It takes the place of
// an earlier one of the same person for the same words.
func (so SignOffs) Add(s casefile.SignOff, words, own *i18n.Wording) {
	list := slices.DeleteFunc(slices.Clone(so.p.file.SignOffs), func(x casefile.SignOff) bool {
		return x.Sheet == s.Sheet && x.Locale == s.Locale && x.Who == s.Who
	})
	s.Wording = render.Digest(words)
	so.p.file.SignOffs = append(list, s)
	render.Approve(&so.p.file, s.Locale, words, own)
	so.p.worded++
	so.p.changed()
}

// Drop takes a sign-off back, and with the last one of a language what was
// approved in it.
func (so SignOffs) Drop(i int) {
	if i >= len(so.p.file.SignOffs) {
		return
	}
	tag := so.p.file.SignOffs[i].Locale
	so.p.file.SignOffs = emptied(slices.Delete(slices.Clone(so.p.file.SignOffs), i, i+1))
	if !slices.ContainsFunc(so.p.file.SignOffs, func(s casefile.SignOff) bool { return s.Locale == tag }) {
		render.Withdraw(&so.p.file, tag)
	}
	so.p.worded++
	so.p.changed()
}

// Worded counts the changes to the practice's sentences and sign-offs.
func (so SignOffs) Worded() int { return so.p.worded }

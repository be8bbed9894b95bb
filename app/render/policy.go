package render

import (
	"crypto/sha256"
	"encoding/hex"
	"maps"
	"slices"
	"strings"

	"plainleaf/app/casefile"
	"plainleaf/app/fault"
	"plainleaf/app/sheet"
	"plainleaf/i18n"
)

// Policy says whether a sheet may be printed in a language, alone or beside a
// second one ("" for none), and what banners it then carries, in every language
// on the paper.
//
// A language without the practice's sign-off for this kind of sheet is printed
// only beside the practice's own language; the practice's own is printed with a
// banner until it is signed off. A sign-off of words that have changed since
// stays good and is reported once. words gives the wording of a language; where it
// is nil, or gives nil, a change is not looked for.
//
// Codes: PRAC-PHONE no telephone or emergency line; REVIEW-UNSIGNED no sign-off
// and not beside the practice's language; REVIEW-SECOND the second language is
// the first again.
func Policy(practice casefile.Practice, kind sheet.Kind, locale, second string, words func(tag string) *i18n.Wording) ([]sheet.Text, fault.List) {
	var banners []sheet.Text
	var faults fault.List
	if strings.TrimSpace(practice.Telephone) == "" {
		faults.Add("PRAC-PHONE", "telephone", "the practice's telephone number is blank; no sheet is printed without it")
	}
	if strings.TrimSpace(practice.EmergencyLine) == "" {
		faults.Add("PRAC-PHONE", "emergency_line", "the practice's emergency line is blank; no sheet is printed without it")
	}
	if practice.Demo {
		banners = append(banners, sheet.M("banner.specimen"))
	}
	own := practice.Locale
	on := []string{locale}
	if second == locale {
		faults.Add("REVIEW-SECOND", "second", "the second language is %s again", locale)
	} else if second != "" {
		on = append(on, second)
	}
	changed := func(s *casefile.SignOff) bool {
		if words == nil {
			return false
		}
		w := words(s.Locale)
		return w != nil && (s.Wording != "" && s.Wording != Digest(w) || len(Reworded(practice, s.Locale, w, words(own))) > 0)
	}
	told := false
	for _, tag := range on {
		signed := Signed(practice, kind, tag)
		switch {
		case signed == nil && tag == own:
			banners = append(banners, sheet.M("banner.unsigned-own"))
		case signed == nil && !slices.Contains(on, own):
			faults.Add("REVIEW-UNSIGNED", "sign_offs",
				"the %s wording of the %s sheet has no sign-off: print it beside the practice's language, %s, or have it signed off", tag, kind, own)
		case signed == nil:
			banners = append(banners, sheet.M("banner.unsigned",
				"Name", sheet.Language(tag), "Language", sheet.Language(own)))
		case !told && changed(signed):
			told = true
			banners = append(banners, sheet.M("banner.changed"))
		}
	}
	return banners, faults
}

// Signed gives the latest sign-off of a kind of sheet in a language, nil without one.
func Signed(practice casefile.Practice, kind sheet.Kind, locale string) *casefile.SignOff {
	var found *casefile.SignOff
	for _, s := range practice.SignOffs {
		if s.Locale == locale && (s.Sheet == string(kind) || s.Sheet == "all") && (found == nil || found.When.Before(s.When)) {
			found = &s
		}
	}
	return found
}

// NewSignOff is what a sheet prints of a practice's sign-off; nil stays nil.
func NewSignOff(s *casefile.SignOff) *SignOff {
	if s == nil {
		return nil
	}
	return &SignOff{Who: s.Who, Role: s.Role, When: s.When}
}

// screenOnly starts the ids of messages that are never on a sheet.
var screenOnly = []string{"page.", "shell.", "fault.", "record."}

// onSheets lists the messages of a wording that a sheet can use.
func onSheets(w *i18n.Wording) []string {
	return slices.DeleteFunc(w.IDs(), func(id string) bool {
		return slices.ContainsFunc(screenOnly, func(p string) bool { return strings.HasPrefix(id, p) })
	})
}

// Approve notes that the sentences of a language were signed off as they are in words,
// and, in a language other than the practice's own, compared with those of own, nil where
// they are not at hand. What was held in service until then is done with.
func Approve(p *casefile.Practice, tag string, words, own *i18n.Wording) {
	noted := map[string]any{}
	for _, id := range onSheets(words) {
		noted[id] = short(words.Source(id))
		if tag != p.Locale && own != nil {
			noted[id] = short(words.Source(id)) + " " + short(own.Source(id))
		}
	}
	p.Approved, p.InService = maps.Clone(p.Approved), maps.Clone(p.InService)
	if p.Approved == nil {
		p.Approved = map[string]map[string]any{}
	}
	p.Approved[tag] = noted
	delete(p.InService, tag)
}

// Withdraw takes back what was approved in a language.
func Withdraw(p *casefile.Practice, tag string) {
	p.Approved, p.InService = maps.Clone(p.Approved), maps.Clone(p.InService)
	delete(p.Approved, tag)
	delete(p.InService, tag)
}

// Approves reports whether what is noted of a language approves a sentence as it is.
func Approves(noted map[string]any, id string, m i18n.Message) bool {
	text, _ := noted[id].(string)
	sentence, _, _ := strings.Cut(text, " ")
	return sentence != "" && sentence == short(m)
}

// Reworded lists the messages of words, a language that was signed off, whose sentence
// nobody approved as it is now: it is another, or the one in the practice's own language
// that it was compared with is. own is that language, nil where it is not at hand. A
// language whose sign-offs have no more than a digest has none that could be named.
func Reworded(p casefile.Practice, tag string, words, own *i18n.Wording) []string {
	noted := p.Approved[tag]
	if noted == nil {
		return nil
	}
	return slices.DeleteFunc(onSheets(words), func(id string) bool {
		text, _ := noted[id].(string)
		_, beside, _ := strings.Cut(text, " ")
		return Approves(noted, id, words.Source(id)) && (beside == "" || tag == p.Locale || own == nil || beside == short(own.Source(id)))
	})
}

// short is enough of a digest to see that a sentence is another.
func short(m i18n.Message) string { return i18n.Hash(m)[:8] }

// Digest gives 16 hex digits that change with any change of the words sheets
// are made of, in one language, the practice's own sentences included.
func Digest(w *i18n.Wording) string {
	h := sha256.New()
	for _, id := range onSheets(w) {
		h.Write([]byte(id + " " + i18n.Hash(w.Source(id)) + "\n"))
	}
	return hex.EncodeToString(h.Sum(nil)[:8])
}

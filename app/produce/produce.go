// Package produce ties the flow together for those who deliver a sheet, the
// command and the screens: case, practice and evidence in, whole localized
// documents out, or the faults that keep them from being printed.
package produce

import (
	"strings"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
	"plainleaf/app/fault"
	"plainleaf/app/plan"
	"plainleaf/app/render"
	"plainleaf/app/sheet"
	"plainleaf/i18n"
)

// Input is what one sheet is made of.
type Input struct {
	Case     casefile.Case
	Practice casefile.Practice
	Base     *evidence.Base
	Kind     sheet.Kind
	Locale   string // the language of the sheet
	Second   string // the one printed beside it, "" for none
	// Wording gives a language's wording with the practice's own sentences in it.
	Wording func(tag string) (*i18n.Wording, fault.List)
	// States gives the review states of a language's messages.
	States func(tag string) map[string]i18n.State
	// Offset gives the seconds that the clocks of a time zone are ahead of UTC at a
	// Unix time, false for an unknown zone; casefile.Offset where it is nil.
	Offset func(zone string, unix int64) (int, bool)
}

// Beside is the language that stands beside the first on a sheet: the one asked for,
// or, where that leaves words without a sign-off without the practice's own language
// beside them, that language as far as Docs puts it there. A paper has room for two, so
// a second foreign language gives way: the first is the one the patient reads.
func Beside(p casefile.Practice, kind sheet.Kind, locale, asked string) string {
	if kind == sheet.Consent || locale == p.Locale || asked == p.Locale || asked == locale {
		return asked
	}
	if Unsigned(p, kind, locale, asked) != "" {
		return p.Locale
	}
	return asked
}

// Unsigned is the first of some languages that the practice has no sign-off for, its
// own left out; "" for none.
func Unsigned(p casefile.Practice, kind sheet.Kind, tags ...string) string {
	for _, tag := range tags {
		if tag != "" && tag != p.Locale && render.Signed(p, kind, tag) == nil {
			return tag
		}
	}
	return ""
}

// Offered reports the languages that a sheet needs and that are parked. Codes:
// LANGUAGE-PARKED its own or the second; REVIEW-PARKED the practice's, which belongs
// beside words without a sign-off.
func Offered(p casefile.Practice, kind sheet.Kind, locale, second string) fault.List {
	var faults fault.List
	parked := func(tag string) bool {
		l, ok := i18n.Known(tag)
		return ok && l.Tier == i18n.Parked
	}
	for _, x := range [][2]string{{"locale", locale}, {"second", second}} {
		if parked(x[1]) {
			faults.Add("LANGUAGE-PARKED", x[0], "%s (%s) is parked, no sheet is made in it for now: ask for another language with -%s (%s), or change it in the case",
				i18n.OwnName(x[1]), x[1], x[0], strings.Join(i18n.Tags(i18n.Languages()), ", "))
		}
	}
	if tag := Unsigned(p, kind, locale, second); len(faults) == 0 && tag != "" && parked(p.Locale) {
		faults.Add("REVIEW-PARKED", "sign_offs", "the %s wording of the %s sheet has no sign-off, and the practice's own language %s, which belongs beside it, is parked: have the words signed off, or give the practice another language of its own (%s)",
			tag, kind, p.Locale, strings.Join(i18n.Tags(i18n.Languages()), ", "))
	}
	return faults
}

// Docs makes the documents of one sheet: one, or two that align block by block.
// The case and practice have been checked. Documents come only when there are
// no faults; the plan comes always.
//
// A language without the practice's sign-off is printed beside the practice's
// own language. For a consent that has to be asked for, since the patient signs
// it; on every other sheet the practice's language is put beside it here, in place of
// another second one, which is told, so that warnings are never withheld. Nor does a
// hosted address too long for a code on paper withhold them: the sheet then has no code.
func Docs(in Input) ([]render.Doc, plan.Plan, fault.List) {
	in.Case = plan.Settled(in.Case, in.Practice, in.Base)
	pl, faults := plan.For(in.Case, in.Practice, in.Base)
	if len(faults) == 0 {
		faults = sheet.Unsettled(in.Kind, in.Case)
	}
	if len(faults) == 0 {
		faults = contradictions(in, pl)
	}
	if len(faults) > 0 {
		return nil, pl, faults
	}
	if faults := Offered(in.Practice, in.Kind, in.Locale, in.Second); len(faults) > 0 {
		return nil, pl, faults
	}
	asked := in.Second
	in.Second = Beside(in.Practice, in.Kind, in.Locale, in.Second)
	if _, faults := in.Wording(in.Locale); len(faults) > 0 {
		return nil, pl, faults
	}
	banners, faults := render.Policy(in.Practice, in.Kind, in.Locale, in.Second, func(tag string) *i18n.Wording {
		w, _ := in.Wording(tag)
		return w
	})
	if len(faults) > 0 {
		return nil, pl, faults
	}
	if asked != "" && asked != in.Second {
		banners = append(banners, sheet.M("banner.left-out",
			"Name", sheet.Language(asked), "Language", sheet.Language(in.Second)))
	}
	composed, address := in.Practice, ""
	if in.Kind == sheet.Aftercare {
		if address, faults = Handover(in, pl); len(faults) > 0 {
			return nil, pl, faults
		}
		if len(Undrawn(in, pl)) > 0 {
			composed.BaseAddress = ""
		}
	}
	s := sheet.Compose(in.Kind, in.Case, composed, pl, in.Base)
	for i := range s.Blocks {
		if s.Blocks[i].Kind == sheet.HandOver {
			s.Blocks[i].Address = address
		}
	}
	tags := []string{in.Locale}
	if in.Second != "" {
		tags = append(tags, in.Second)
	}
	var docs []render.Doc
	for _, tag := range tags {
		w, f := in.Wording(tag)
		faults.Append(f...)
		if len(f) > 0 {
			continue
		}
		d, f := render.Localize(s, w, render.Options{
			Signed:  render.NewSignOff(render.Signed(in.Practice, in.Kind, tag)),
			States:  in.States(tag),
			Banners: banners,
		})
		faults.Append(f...)
		faults.Append(render.Whole(d)...)
		docs = append(docs, d)
	}
	if len(faults) > 0 {
		return nil, pl, faults
	}
	return docs, pl, nil
}

// contradictions compares all sheets of the case, so that none is made that tells
// something in another way than the others do. A sheet that cannot be made now
// tells nothing.
func contradictions(in Input, pl plan.Plan) fault.List {
	var sheets []sheet.Sheet
	for _, k := range sheet.Kinds() {
		if len(sheet.Unsettled(k, in.Case)) == 0 {
			sheets = append(sheets, sheet.Compose(k, in.Case, in.Practice, pl, in.Base))
		}
	}
	return sheet.Contradictions(sheets, in.Case, in.Base)
}

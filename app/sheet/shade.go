package sheet

import (
	"reflect"
	"slices"

	"plainleaf/app/casefile"
	"plainleaf/app/plan"
)

// ShadeValue is a shade as a value of a message: the code of a tab, the name of a
// bleach shade.
func ShadeValue(s casefile.Shade) Value {
	if s.Bleach() {
		return Word{M("shade." + string(s))}
	}
	return Code(s)
}

// typedShade is a shade that was noted in words, which may be one of ours.
func typedShade(s string) Value {
	if shade := casefile.Shade(s); shade.Valid() {
		return ShadeValue(shade)
	}
	return Verbatim(s)
}

// wantedTexts tells in a message which shade is wanted, and the laboratory's name for
// it. Where that name is all that is known it is the shade.
func wantedTexts(id string, w casefile.Wanted) []Text {
	if w.Shade == "" {
		return []Text{M(id, "Shade", Verbatim(w.Note))}
	}
	out := []Text{M(id, "Shade", ShadeValue(w.Shade))}
	if w.Note != "" {
		out = append(out, M("shade.laboratory", "Name", Verbatim(w.Note)))
	}
	return out
}

// plannedShade is the shade that is planned, with the laboratory's name for it in brackets,
// so that it stays one piece in a line of several.
func plannedShade(w casefile.Wanted) Text {
	if w.Shade == "" || w.Note == "" {
		return wantedTexts("sheet.tryin.shade-is", w)[0]
	}
	return M("sheet.tryin.shade-is-lab", "Shade", ShadeValue(w.Shade), "Name", Verbatim(w.Note))
}

// shades are the shade that is planned and what was approved in its place, with room to
// write where nothing was; of some teeth, or of all of the case.
func (x *composer) shades(of []casefile.Tooth) []Item {
	label := M("sheet.tryin.shade-label")
	about := func(teeth []casefile.Tooth) bool {
		return len(of) == 0 || len(teeth) == 0 || slices.ContainsFunc(teeth, func(t casefile.Tooth) bool { return slices.Contains(of, t) })
	}
	var out []Item
	row := func(teeth []casefile.Tooth, t Text) {
		if !about(teeth) {
			return
		}
		name := label
		if !x.allTeeth(teeth) {
			name = onTeeth(label, teeth)
		}
		out = append(out, Item{Label: name, Text: t, Ref: Ref{Teeth: teeth}})
	}
	for _, w := range x.c.Wants() {
		if w.Said() {
			row(w.Teeth, plannedShade(w.Wanted))
		}
	}
	in := map[string][]casefile.Tooth{}
	var order []string
	for _, t := range x.c.ToothList() {
		s := x.c.ApprovedShade(t)
		if s != "" && len(in[s]) == 0 {
			order = append(order, s)
		}
		in[s] = append(in[s], t)
	}
	for _, s := range order {
		row(in[s], M("sheet.tryin.shade-instead", "Shade", typedShade(s)))
	}
	switch {
	case x.allGlued():
	case len(out) == 0:
		out = append(out, Item{Label: label, Text: M("sheet.tryin.shade-approve"), Blank: 1})
	default:
		out = append(out, Item{Label: M("sheet.tryin.shade-approve"), Blank: 1})
	}
	return out
}

// otherShades sets the shades agreed beside those of the case where they differ.
func (x *composer) otherShades() []Item {
	was := x.c.Agreed.Put(x.c)
	teeth := x.c.ToothList()
	if len(teeth) == 0 {
		teeth = []casefile.Tooth{0}
	}
	type change struct{ was, now casefile.Wanted }
	var order []change
	in := map[change][]casefile.Tooth{}
	for _, t := range teeth {
		c := change{was.WantedAt(t), x.c.WantedAt(t)}
		if c.was == c.now {
			continue
		}
		if len(in[c]) == 0 {
			order = append(order, c)
		}
		in[c] = append(in[c], t)
	}
	var out []Item
	for _, c := range order {
		it := Item{Label: M("sheet.changes.shade"), Cells: []Cell{shadeCell(c.was), shadeCell(c.now)}}
		if len(in[c]) < len(teeth) {
			it.Label = M("sheet.sign.change", "Text", Word{M("sheet.changes.shade")}, "From", Word{x.teethOrAll(in[c])})
			it.Ref.Teeth = in[c]
		}
		out = append(out, it)
	}
	return out
}

func shadeCell(w casefile.Wanted) Cell {
	if !w.Said() {
		return Cell{Texts: []Text{M("sheet.changes.shade-none")}}
	}
	return Cell{Texts: wantedTexts("sheet.changes.shade-is", w)}
}

// ShadesOf tells the shade of a tooth now and the one that is wanted.
func ShadesOf(c plan.Colour) Text {
	return M("sheet.colour.shades", "From", ShadeValue(c.Underlying), "To", ShadeValue(c.Target))
}

// Hidden tells how thick porcelain had to be to hide such a tooth in studies.
func Hidden(r plan.Reach) Text {
	id := "sheet.colour.hidden"
	switch {
	case r.More:
		id = "sheet.colour.hidden-more"
	case r.Low == r.High:
		id = "sheet.colour.hidden-one"
	}
	return M(id, "Range", Range{r.Low, r.High, 1})
}

// shadeClaims reads back which shades a line tells.
func (r *reader) shadeClaims(t Text, ref Ref) {
	about, name := aboutShade, "Shade"
	switch t.ID {
	case "sheet.tryin.shade-planned", "sheet.tryin.shade-is", "sheet.tryin.shade-is-lab":
		if r.c.Agreed != nil && r.s.Kind == TryIn && !reflect.DeepEqual(r.c.Agreed.Wants(), r.c.Wants()) {
			return // what was agreed, beside what the case has since
		}
	case "sheet.colour.shades":
		name = "To"
	case "sheet.tryin.shade-instead":
		about = aboutApproved
	default:
		return
	}
	for _, of := range teethOrCase(ref.Teeth) {
		r.claim(about, of, said(t, name))
	}
}

// shadesEntered are the claims of the case itself about shades.
func shadesEntered(c casefile.Case, claim func(about, of, says string)) {
	for _, w := range c.Wants() {
		if !w.Said() {
			continue
		}
		for _, of := range teethOrCase(w.Teeth) {
			claim(aboutShade, of, said(wantedTexts("", w.Wanted)[0], "Shade"))
		}
	}
	if c.Agreed != nil {
		c = c.Agreed.Put(c)
	}
	for _, t := range c.ToothList() {
		if s := c.ApprovedShade(t); s != "" {
			claim(aboutApproved, t.String(), said(M("", "Shade", typedShade(s)), "Shade"))
		}
	}
}

func teethOrCase(teeth []casefile.Tooth) []string {
	var out []string
	for _, t := range teeth {
		out = append(out, t.String())
	}
	if len(out) == 0 {
		return []string{"case"}
	}
	return out
}

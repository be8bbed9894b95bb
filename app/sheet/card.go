package sheet

import (
	"slices"
	"strconv"
	"strings"

	"plainleaf/app/casefile"
	"plainleaf/app/plan"
)

// card is to cut out, for the person who cleans the teeth. Where nothing was placed there is
// nothing to spare.
func (x *composer) card() {
	if !x.told("hygienist") {
		return
	}
	x.add(Block{Kind: PageBreak, Style: Card})
	x.h2("sheet.aftercare.card")
	x.add(Block{Kind: Paragraph, Text: M("sheet.aftercare.card-name", "Clinic", Verbatim(x.p.Name), "Phone", Phone(x.p.Telephone)), Blank: 2})
	for _, t := range x.placed() {
		x.para(t, Ref{})
	}
	b := Block{Kind: Table, Style: Compared, Columns: []Text{M("sheet.aftercare.card-not"), M("sheet.aftercare.card-instead")}}
	for _, l := range x.pl.Aftercare {
		if l.Phase == "hygienist" {
			b.Items = append(b.Items, x.spare(l))
		}
	}
	x.add(b)
}

// placed is what is on which teeth, with the numbers of the universal numbering as well,
// since the reader of the card may use that.
func (x *composer) placed() []Text {
	var out []Text
	for _, g := range x.c.Groups() {
		route := g.Route
		if then := x.then(route); then != "" {
			route = then
		}
		rule := x.b.Route(route)
		if len(g.Teeth) == 0 || rule == nil || !slices.Contains([]string{"ceramic", "replace", "crown", "composite"}, rule.Kind) {
			continue
		}
		t := M("sheet.aftercare.card-on", "Text", Word{x.treatment(route, g.Material)}, "Teeth", Teeth(g.Teeth))
		if x.numbering() != "universal" {
			t = M("sheet.aftercare.card-on-universal", "Text", Word{x.treatment(route, g.Material)}, "Teeth", Teeth(g.Teeth), "Code", Code(universal(g.Teeth)))
		}
		out = append(out, t)
	}
	return out
}

// spare is what not to use, and what to use in its place. The first figure of a line is
// that of what not to use.
func (x *composer) spare(l plan.AftercareLine) Item {
	not, instead := M("aftercare."+l.Key+".not"), M("aftercare."+l.Key+".instead")
	for i, id := range l.Figures {
		f, ok := x.b.Figure(id)
		switch {
		case !ok, f.Unit == "percent": // how strong a gel is, its cleaner knows
		case i == 0:
			not.figure(f)
		default:
			instead.figure(f)
		}
	}
	return Item{Label: not, Cells: []Cell{{Texts: []Text{instead}}}, Ref: Ref{Figures: slices.Clone(l.Figures)}}
}

// universal writes teeth in the universal numbering, neighbors as a range.
func universal(teeth []casefile.Tooth) string {
	var numbers []int
	for _, t := range teeth {
		numbers = append(numbers, t.Universal())
	}
	slices.Sort(numbers)
	var out []string
	for i := 0; i < len(numbers); {
		j := i
		for j+1 < len(numbers) && numbers[j+1] == numbers[j]+1 {
			j++
		}
		part := strconv.Itoa(numbers[i])
		if j > i {
			part += "\u2013" + strconv.Itoa(numbers[j])
		}
		out, i = append(out, part), j+1
	}
	return strings.Join(out, ", ")
}

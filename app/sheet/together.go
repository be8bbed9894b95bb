package sheet

import (
	"fmt"
	"slices"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
)

// changeRows writes chair changes as rows, in their order. Those that one answer may be
// for share a row, where its first one would be.
func (x *composer) changeRows(list []answered) (out []Item) {
	at, members := map[string]int{}, map[string][]answered{}
	for _, a := range list {
		by := x.sharedBy(a)
		members[by] = append(members[by], a)
	}
	for _, a := range list {
		row, by := x.changeRow(a), x.sharedBy(a)
		if by == "" || len(members[by]) < 2 {
			out = append(out, row)
			continue
		}
		i, ok := at[by]
		if !ok {
			i, at[by] = len(out), len(out)
			out = append(out, x.sharedRow(members[by], row.Choices[0]))
		}
		out[i].Choices[0].Shared = append(out[i].Choices[0].Shared, row.Choices[0].Each(a.Key)...)
		row.Choices = nil
		if alike := x.b.Change(a.Key).Alike; alike != "" && x.alikeIn(members[by], alike) > 1 {
			row.Cells = nil
			if size := changeSize(a); len(size) > 0 && a.Removes != "porcelain" {
				row.Cells = []Cell{{Texts: size}}
			}
		}
		out[i].Items = append(out[i].Items, row)
	}
	return out
}

// sharedRow begins a row of several changes with the boxes of the first, and with what
// those of them that are alike have in common.
func (x *composer) sharedRow(list []answered, first Choice) Item {
	it := Item{Label: M("sheet.change.one-answer"), Choices: []Choice{{Where: x.teethShort(list[0].teeth), Offered: first.Offered, Said: first.Said}}}
	if x.allTeeth(list[0].teeth) {
		it.Choices[0].Where = M("sheet.change.all-teeth")
	}
	var limits, refused []Text
	var said []string
	for _, a := range list {
		alike := x.b.Change(a.Key).Alike
		if alike == "" || x.alikeIn(list, alike) < 2 {
			continue
		}
		if slices.Contains(said, alike) {
			continue
		}
		said = append(said, alike)
		limits, refused = append(limits, M("alike."+alike+".limit")), append(refused, M("alike."+alike+".if-no"))
	}
	if len(limits) > 0 {
		it.Cells = []Cell{{Texts: limits}, {Texts: refused}}
	}
	return it
}

// alikeIn is how many of some changes are met in one way.
func (x *composer) alikeIn(list []answered, alike string) int {
	n := 0
	for _, a := range list {
		if x.b.Change(a.Key).Alike == alike {
			n++
		}
	}
	return n
}

// sharedBy is what a change of the veneer or the plan has in common with those that one
// answer may be for, "" where it has boxes of its own: what takes something of a tooth is
// decided by itself, and so is what was answered already, differs from tooth to tooth, or
// means another visit or paper with a yes given today.
func (x *composer) sharedBy(a answered) string {
	sets := x.changeAnswers(a)
	rule := x.b.Change(a.Key)
	if a.Group != evidence.GroupVeneer || a.TellOnly || len(sets) != 1 || sets[0].Said != casefile.Blank || rule == nil {
		return ""
	}
	if yes := slices.Contains(sets[0].Offered, casefile.Agree); yes && (a.NewConsent || rule.Visits == "extra-visit") {
		return ""
	}
	return fmt.Sprint(sets[0].Offered, a.teeth)
}

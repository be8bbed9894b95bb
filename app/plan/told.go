package plan

import (
	"cmp"
	"slices"

	"plainleaf/app/evidence"
)

// Told gives aftercare lines and warning signs by their keys, as a paper names
// them: without teeth, in the order of a plan. Unknown keys are left out.
func Told(b *evidence.Base, lines, warnings []string) ([]AftercareLine, []Warning) {
	var out []AftercareLine
	order := map[string]int{}
	for _, l := range b.Lines {
		if slices.Contains(lines, l.Key) {
			order[l.Key] = l.Order
			out = append(out, AftercareLine{Key: l.Key, Phase: l.Phase, Figures: l.Figures})
		}
	}
	slices.SortStableFunc(out, func(x, y AftercareLine) int {
		return cmp.Or(slices.Index(phases, x.Phase)-slices.Index(phases, y.Phase), order[x.Key]-order[y.Key])
	})
	var signs []Warning
	for _, w := range b.Warnings {
		if !slices.Contains(warnings, w.Key) {
			continue
		}
		order[w.Key] = w.Order
		x := Warning{Key: w.Key, Urgency: w.Urgency, Within: Estimate{Unknown: NoFigure}, Figures: w.Figures}
		if f, ok := b.Figure(w.Within); ok {
			x.Within, x.Unit = estimateOf(&f).round(), f.Unit
		}
		signs = append(signs, x)
	}
	slices.SortStableFunc(signs, func(x, y Warning) int {
		return cmp.Or(slices.Index(urgencies, x.Urgency)-slices.Index(urgencies, y.Urgency), order[x.Key]-order[y.Key])
	})
	return out, signs
}

// phases of aftercare, in order of time; urgencies, the most urgent first.
var (
	phases    = []string{"now", "first-days", "first-weeks", "life", "hygienist"}
	urgencies = []string{"emergency-now", "call-today", "call-soon", "mention-next-time"}
)

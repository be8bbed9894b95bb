package plan

import (
	"slices"

	"plainleaf/app/evidence"
)

// Told gives aftercare lines and warning signs by their keys, as a paper names
// them: without teeth, in the order of a plan. Unknown keys are left out.
func Told(b *evidence.Base, lines, warnings []string) ([]AftercareLine, []Warning) {
	var out []AftercareLine
	for _, l := range b.LinesInTime() {
		if slices.Contains(lines, l.Key) {
			out = append(out, AftercareLine{Key: l.Key, Phase: l.Phase, Figures: l.Figures})
		}
	}
	var signs []Warning
	for _, w := range b.Warnings {
		if !slices.Contains(warnings, w.Key) {
			continue
		}
		x := Warning{Key: w.Key, Urgency: w.Urgency, Within: Estimate{Unknown: NoFigure}, Figures: w.Figures}
		if f, ok := b.Figure(w.Within); ok {
			x.Within, x.Unit = estimateOf(&f).round(), f.Unit
		}
		signs = append(signs, x)
	}
	return out, signs
}

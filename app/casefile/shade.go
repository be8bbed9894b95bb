package casefile

import "slices"

// Shade is a classical shade tab, A1 to D4.
type Shade string

// valueOrder is the light-to-dark order of the 16 tabs
// (care-pathway 2.2: order as taught, its ends B1 and C4 and the ten steps from
// A3.5 to A1 agree with a second text).
var valueOrder = []Shade{"B1", "A1", "B2", "D2", "A2", "C1", "C2", "D4", "A3", "D3", "B3", "A3.5", "B4", "C3", "A4", "C4"}

// Shades lists the 16 tabs from light to dark.
func Shades() []Shade { return slices.Clone(valueOrder) }

// Valid reports whether s is one of the 16 tabs.
func (s Shade) Valid() bool { return slices.Contains(valueOrder, s) }

// StepsDarker counts places in the light-to-dark order from target to s:
// positive when s is darker. Both must be valid.
func (s Shade) StepsDarker(target Shade) int {
	return slices.Index(valueOrder, s) - slices.Index(valueOrder, target)
}

package casefile

import (
	"cmp"
	"slices"
)

// Shade is a classical shade tab, A1 to D4, or a bleach shade by our own name.
type Shade string

// Bleach shades, lighter than every tab. Laboratories name them in many ways, so a
// note has the laboratory's own name. Nobody has published a color of them.
const (
	BleachLightest    Shade = "bleach-lightest"
	BleachLight       Shade = "bleach-light"
	BleachNearNatural Shade = "bleach-near-natural"
)

var bleach = []Shade{BleachLightest, BleachLight, BleachNearNatural}

// tabs is the light-to-dark order of the 16 tabs
// (care-pathway 2.2: order as taught, its ends B1 and C4 and the ten steps from
// A3.5 to A1 agree with a second text).
var tabs = []Shade{"B1", "A1", "B2", "D2", "A2", "C1", "C2", "D4", "A3", "D3", "B3", "A3.5", "B4", "C3", "A4", "C4"}

var valueOrder = slices.Concat(bleach, tabs)

// Tabs lists the 16 tabs from light to dark.
func Tabs() []Shade { return slices.Clone(tabs) }

// Shades lists the bleach shades and the tabs from light to dark.
func Shades() []Shade { return slices.Clone(valueOrder) }

// Valid reports whether s is a bleach shade or one of the 16 tabs.
func (s Shade) Valid() bool { return slices.Contains(valueOrder, s) }

// Bleach reports whether s is a bleach shade.
func (s Shade) Bleach() bool { return slices.Contains(bleach, s) }

// StepsDarker counts places in the light-to-dark order from target to s, positive
// when s is darker, and whether the count is exact. Both must be valid.
//
// Only places between tabs are counted. How far before the lightest tab a bleach
// shade lies was never measured, so one is at the place of that tab: the count
// is then the least there can be, at least one where the two differ.
func (s Shade) StepsDarker(target Shade) (places int, exact bool) {
	order := cmp.Compare(slices.Index(valueOrder, s), slices.Index(valueOrder, target))
	places = max(0, slices.Index(tabs, s)) - max(0, slices.Index(tabs, target))
	if order != 0 && places == 0 {
		places = order
	}
	return places, order == 0 || !s.Bleach() && !target.Bleach()
}

// Wanted is the shade that is wanted for a tooth. Note is the laboratory's own name
// for it, which may be all that is known.
type Wanted struct {
	Shade Shade
	Note  string
}

// Said reports whether any shade is wanted.
func (w Wanted) Said() bool { return w != Wanted{} }

// WantedOf is the shade wanted for one entry: its own or the case's. The case's note
// names the case's shade and says nothing of another one.
func (c Case) WantedOf(e ToothEntry) Wanted {
	if e.TargetShade != "" {
		return Wanted{e.TargetShade, e.ShadeNote}
	}
	return Wanted{c.TargetShade, cmp.Or(e.ShadeNote, c.ShadeNote)}
}

// WantedAt is the shade wanted for a tooth; that of the case where it does not name it.
func (c Case) WantedAt(t Tooth) Wanted {
	for _, e := range c.Teeth {
		if e.Tooth == t {
			return c.WantedOf(e)
		}
	}
	return c.WantedOf(ToothEntry{})
}

// UnderlyingOf is the shade of the tooth itself: its own or that of all teeth.
func (c Case) UnderlyingOf(e ToothEntry) Shade { return cmp.Or(e.UnderlyingShade, c.UnderlyingShade) }

// Want is the teeth for which one shade is wanted.
type Want struct {
	Wanted
	Teeth []Tooth
}

// Wants are the teeth by wanted shade, in the order of the case, each list in chart
// order; teeth without a shade have none. A case without teeth is one of no teeth.
func (c Case) Wants() []Want {
	if len(c.Teeth) == 0 {
		return []Want{{Wanted: c.WantedOf(ToothEntry{})}}
	}
	var out []Want
	for _, e := range c.Teeth {
		w := c.WantedOf(e)
		i := slices.IndexFunc(out, func(o Want) bool { return o.Wanted == w })
		if i < 0 {
			i = len(out)
			out = append(out, Want{Wanted: w})
		}
		out[i].Teeth = SortTeeth(append(out[i].Teeth, e.Tooth))
	}
	return out
}

// Wants are the agreed teeth by wanted shade.
func (a Agreement) Wants() []Want { return a.plain().Wants() }

// ApprovedShade is what was approved for a tooth in place of the shade that is
// wanted, in the words of the try-in; "" where the wanted one still holds. A later
// yes without words of its own is to the wanted shade; a wish to change the shade,
// or a veneer that came off, leaves nothing approved.
func (c Case) ApprovedShade(t Tooth) string {
	said := ""
	for _, e := range c.History() {
		switch {
		case !slices.Contains(c.DoneTo(e), t):
		case e.Step == StepRemoved && e.Kind == DoneStep:
			said = ""
		case (e.Kind == Approved || e.Kind == ChangeWanted) && slices.Contains(e.Parts, "shade"):
			said = e.Shade
		}
	}
	if said == string(c.WantedAt(t).Shade) {
		return ""
	}
	return said
}

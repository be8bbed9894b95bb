package plan

import (
	"math"
	"slices"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
	"plainleaf/app/plan/basis"
	"plainleaf/app/plan/mouth"
	"plainleaf/app/plan/outlook"
)

// lab is a CIELAB color.
type lab struct{ L, A, B float64 }

// deltaE00 is the CIEDE2000 color difference with kL = kC = kH = 1, after
// Sharma, Wu and Dalal, Color Res Appl 2005;30(1):21-30, equations 2 to 22.
// It is symmetric and not negative.
//
// It is written out here because go-colorful v1.4.1 takes colors through RGB: the
// last bits that this costs give 7.2195 for a published pair of opposite hues, which
// is 7.1792.
func deltaE00(x, y lab) float64 {
	const deg = math.Pi / 180
	pow7 := func(c float64) float64 { return math.Sqrt(math.Pow(c, 7) / (math.Pow(c, 7) + math.Pow(25, 7))) }
	g := 0.5 * (1 - pow7((math.Hypot(x.A, x.B)+math.Hypot(y.A, y.B))/2))
	a1, a2 := (1+g)*x.A, (1+g)*y.A
	c1, c2 := math.Hypot(a1, x.B), math.Hypot(a2, y.B)
	h1, h2 := hue(a1, x.B), hue(a2, y.B)

	dL, dC := y.L-x.L, c2-c1
	dh, mean := 0.0, h1+h2 // with one color neutral the other's hue stands
	if c1*c2 != 0 {
		dh = h2 - h1
		switch {
		case dh > 180:
			dh -= 360
		case dh < -180:
			dh += 360
		}
		switch {
		case math.Abs(h1-h2) <= 180:
			mean /= 2
		case h1+h2 < 360:
			mean = (h1 + h2 + 360) / 2
		default:
			mean = (h1 + h2 - 360) / 2
		}
	}
	dH := 2 * math.Sqrt(c1*c2) * math.Sin(dh/2*deg)

	l, c := (x.L+y.L)/2, (c1+c2)/2
	t := 1 - 0.17*math.Cos((mean-30)*deg) + 0.24*math.Cos(2*mean*deg) + 0.32*math.Cos((3*mean+6)*deg) - 0.20*math.Cos((4*mean-63)*deg)
	turn := 30 * math.Exp(-math.Pow((mean-275)/25, 2))
	rt := -math.Sin(2*turn*deg) * 2 * pow7(c)
	sl := 1 + 0.015*(l-50)*(l-50)/math.Sqrt(20+(l-50)*(l-50))
	sc, sh := 1+0.045*c, 1+0.015*c*t
	p, q, r := dL/sl, dC/sc, dH/sh
	return math.Sqrt(max(0, p*p+q*q+r*r+rt*q*r))
}

// hue is the hue angle in degrees, 0 to 360; a neutral color has 0.
func hue(a, b float64) float64 {
	if a == 0 && b == 0 {
		return 0
	}
	h := math.Atan2(b, a) * 180 / math.Pi
	if h < 0 {
		h += 360
	}
	return h
}

// Show-through keys (words: show-through.<key>).
const (
	ShowUnlikely = "unlikely"
	ShowPossible = "possible"
	ShowLikely   = "likely"
	ShowNotKnown = "not-known"
)

// Room keys (words: room.<key>).
const (
	RoomLess   = "less"
	RoomSome   = "some"
	RoomEnough = "enough"
	// RoomNotStudied: no study of porcelain over such a tab was found.
	RoomNotStudied = "not-studied"
)

// roomFor compares the porcelain of a route, usual thicknesses from memory, with
// the published thicknesses that hid such a tab: it tells no number. Where nothing is
// to be hidden, or not by porcelain, there is nothing to compare.
func roomFor(c Colour, porcelain bool) string {
	switch p := c.Published; {
	case c.Steps <= 0 || !porcelain || p != nil && !c.Ceramic.Known():
		return ""
	case p == nil:
		return RoomNotStudied
	case c.Ceramic.High < p.Low-1e-9:
		return RoomLess
	case c.Ceramic.Low >= p.High-1e-9 && !p.More:
		return RoomEnough
	}
	return RoomSome
}

// shaded reports whether a tooth has a shade underneath to compare with the target.
func shaded(t *mouth.Site) bool {
	return t.Tooth != 0 && t.Shade.Valid() && t.Target.Valid()
}

// colours compares each tooth that has an underlying shade with the target.
func colours(m *mouth.Treatment) []Colour {
	out := []Colour{}
	seen := seenDark(m)
	for i := range m.Sites {
		if s := &m.Sites[i]; shaded(s) && mouth.Restores(s.Kind) {
			out = append(out, colour(m.Chart.Basis, s, seen[i]))
		}
	}
	return out
}

// seenDark is where a finding says that the tooth may show through on its route.
func seenDark(m *mouth.Treatment) (on mouth.Sites) {
	for _, p := range m.Parts {
		for i, f := range m.Chart.Findings {
			if !f.Rule.Private && slices.Contains(p.Does[i].Stays.Risks, m.Chart.Basis.Evidence.ShowRisk) {
				on = on.Or(f.On.And(p.On))
			}
		}
	}
	return on
}

// colour compares one tooth with its target; seen: a finding says that it is dark.
// Bleach shades have no measured color, so nothing is computed of them.
func colour(s *basis.Basis, t *mouth.Site, seen bool) Colour {
	l := s.Ledger(false)
	c := Colour{Tooth: t.Tooth, Underlying: t.Shade, Target: t.Target, Needed: basis.Exactly(0), TabOrigin: s.Evidence.TabOrigin}
	steps, exact := t.Shade.StepsDarker(t.Target)
	c.Steps, c.AtLeast = steps, !exact
	x, y := tab(s.Evidence, t.Shade), tab(s.Evidence, t.Target)
	if x != nil && y != nil {
		d := basis.Round4(deltaE00(lab{x.L, x.A, x.B}, lab{y.L, y.A, y.B}))
		c.DeltaE00 = &d
	}
	porcelain := !outlook.Composite(t.Material) // the studies are of it
	if x != nil && c.Steps > 0 && porcelain {
		c.Published = hiding(x, l)
	}
	removal := taken(s.Evidence, t.Route, t.Via, l)
	c.Ceramic = ceramic(s.Evidence, t, &removal, l)
	step := maskStep(s, t, l)
	if step != nil {
		c.Step = step.Key
		c.Needed = l.Estimate(step.Space)
	}
	c.ShowThrough = showThrough(c, step, t.Route)
	c.Room = roomFor(c, porcelain)
	if c.ShowThrough == ShowUnlikely && (seen || porcelain && thinner(s.Evidence, &c)) {
		c.ShowThrough = ShowPossible
	}
	// The steps are counted between tabs, and how far from them a bleach shade lies is
	// not known: what shows at the least distance shows, anything less is open.
	if c.AtLeast && c.Steps > 0 && c.ShowThrough != ShowLikely {
		c.ShowThrough = ShowNotKnown
	}
	c.Ceramic, c.Needed = c.Ceramic.Round(), c.Needed.Round()
	c.Figures = l.IDs()
	return c
}

// showThrough judges whether the tooth may show: likely where the route cannot
// reach the planning step or all its ceramic is thinner than the least space the
// step plans; unlikely where the tooth is no darker, or even the thinnest
// ceramic reaches the likely space; else possible.
func showThrough(c Colour, step *evidence.MaskStep, r casefile.Route) string {
	switch {
	case c.Steps <= 0:
		return ShowUnlikely
	case step == nil, !c.Needed.Known():
		return ShowPossible
	case len(step.Routes) > 0 && !slices.Contains(step.Routes, r):
		return ShowLikely
	case !c.Ceramic.Known():
		return ShowPossible
	case c.Ceramic.High < c.Needed.Low-1e-9:
		return ShowLikely
	case c.Ceramic.Low >= c.Needed.Likely-1e-9:
		return ShowUnlikely
	}
	return ShowPossible
}

// thinner reports whether all the porcelain of a route is thinner than what hid this
// tab in studies, or a lighter one that is darker than the target too: a darker tooth
// is no easier to hide.
func thinner(b *evidence.Base, c *Colour) bool {
	return c.Ceramic.Known() && slices.ContainsFunc(b.Tabs, func(t evidence.Tab) bool {
		below, _ := c.Underlying.StepsDarker(t.Shade)
		above, _ := t.Shade.StepsDarker(c.Target)
		if below < 0 || above <= 0 {
			return false
		}
		return slices.ContainsFunc(t.HiddenBy, func(id string) bool {
			f := b.FigureOf(id)
			return f != nil && c.Ceramic.High < f.Low-1e-9
		})
	})
}

// maskStep is the planning step for a shaded tooth by how many places darker than the
// target it is: the one that asks for most steps and is still met.
func maskStep(s *basis.Basis, t *mouth.Site, l *basis.Ledger) *evidence.MaskStep {
	steps, _ := t.Shade.StepsDarker(t.Target)
	dark := float64(steps)
	if dark <= 0 {
		return nil
	}
	var best *evidence.MaskStep
	most, id := 0.0, ""
	for i := range s.Evidence.Masking {
		f := s.Evidence.FigureOf(s.Evidence.Masking[i].From)
		if f == nil {
			continue
		}
		from, _ := s.Own(f)
		if from.Value <= dark && (best == nil || from.Value > most) {
			best, most, id = &s.Evidence.Masking[i], from.Value, from.ID
		}
	}
	l.Find(id)
	return best
}

// hiding is what studies found to hide a tab, from the thinnest to the
// thickest (care-pathway 2.6: conflicting studies are not merged).
func hiding(t *evidence.Tab, l *basis.Ledger) *Reach {
	var out *Reach
	for _, id := range t.HiddenBy {
		f := l.Find(id)
		switch {
		case f == nil:
		case out == nil:
			out = &Reach{f.Low, f.High, t.MoreNeeded}
		default:
			out.Low, out.High = min(out.Low, f.Low), max(out.High, f.High)
		}
	}
	return out
}

func tab(b *evidence.Base, s casefile.Shade) *evidence.Tab {
	for i := range b.Tabs {
		if b.Tabs[i].Shade == s {
			return &b.Tabs[i]
		}
	}
	return nil
}

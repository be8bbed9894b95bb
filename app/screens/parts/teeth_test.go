package parts

import (
	"math"
	"slices"
	"testing"

	"plainleaf/app/casefile"
)

// shown are the ways in which charts of the screens are laid out.
func shown() map[string]row {
	all := casefile.AllTeeth()
	upper, right := all[:16], all[:8]
	return map[string]row{
		"both jaws on a tablet": lay(all, TabletWidth, false, true, true),
		"upper jaw on a tablet": lay(upper, TabletWidth, false, true, true),
		"lower jaw on a tablet": lay(all[16:], TabletWidth, false, false, true),
		"a side on a phone":     lay(right, PhoneWidth, true, true, true),
		"lower left on a phone": lay(all[24:], PhoneWidth, true, false, true),
		"ten for the patient":   lay(upper[3:13], 1084, false, false, false),
		"six beside facts":      lay(upper[5:11], 622, false, false, false),
	}
}

func TestAFingerMeetsEachTooth(t *testing.T) {
	for name, r := range shown() {
		if len(r.spots()) == 0 {
			t.Errorf("%s: no teeth", name)
		}
		for _, a := range []*arch{&r.upper, &r.lower} {
			for i, s := range a.spots {
				x, y, w, h := a.target(s).X, a.target(s).Y, a.target(s).W, a.target(s).H
				if w < target || h < target {
					t.Errorf("%s: tooth %v has a target of %.1f by %.1f, less than %v", name, s.Tooth, w, h, target)
				}
				if x < 0 || x+w > r.width || y < -1 || y+h > r.height+1 {
					t.Errorf("%s: the target of tooth %v reaches out of the drawing: %.1f %.1f %.1f %.1f in %.0f by %.0f", name, s.Tooth, x, y, w, h, r.width, r.height)
				}
				if i > 0 && a.spots[i-1].X+a.spots[i-1].W/2 > x+1e-6 {
					t.Errorf("%s: the targets of %v and %v overlap", name, a.spots[i-1].Tooth, s.Tooth)
				}
			}
			if len(a.spots) > 0 && 2*a.radius() < target {
				t.Errorf("%s: marks between teeth are %.1f wide, less than %v", name, 2*a.radius(), target)
			}
		}
	}
}

// reach is how far the points of strokes lie from the middle, along x, and their range
// along y. A curve stays within its control points.
func reach(strokes []stroke) (x, low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, s := range strokes {
		for i := 0; i < len(s.at); i += 2 {
			x = max(x, math.Abs(s.at[i]))
			low, high = min(low, s.at[i+1]), max(high, s.at[i+1])
		}
	}
	return x, low, high
}

func TestCrownsKeepToTheirPlace(t *testing.T) {
	for i, f := range forms {
		x, low, high := reach(f.crown)
		if x > 0.5 || x < 0.45 || low < -0.05 || high > 1.05 || high < 0.95 {
			t.Errorf("form %d: x to %.3f, y from %.3f to %.3f", i, x, low, high)
		}
		mx, mlow, mhigh := reach(f.marks)
		if mx > x || mlow < low || mhigh > high {
			t.Errorf("form %d: its marks leave the crown", i)
		}
		for _, s := range slices.Concat(f.crown, f.marks) {
			if want := map[byte]int{'M': 2, 'L': 2, 'Q': 4, 'C': 6}[s.op]; len(s.at) != want {
				t.Errorf("form %d: %c has %d numbers, want %d", i, s.op, len(s.at), want)
			}
		}
	}
}

// Each kind of tooth has its form, and both jaws of it the same but for incisors.
func TestEachKindHasItsForm(t *testing.T) {
	first := func(t casefile.Tooth) float64 { return formOf(t).crown[1].at[0] + formOf(t).crown[0].at[0]*10 }
	kinds := map[float64][]casefile.Tooth{}
	for _, tooth := range casefile.AllTeeth() {
		kinds[first(tooth)] = append(kinds[first(tooth)], tooth)
	}
	if len(kinds) != 6 {
		t.Errorf("%d forms, want 6: %v", len(kinds), kinds)
	}
	if first(11) != first(21) || first(31) != first(42) || first(16) != first(38) || first(13) != first(43) || first(14) != first(35) {
		t.Error("a tooth has the form of another kind")
	}
}

// The patient's right is at the left and the upper jaw on top, in every order that
// teeth are given in, and edges meet in the middle.
func TestOrientation(t *testing.T) {
	all := casefile.AllTeeth()
	for _, order := range [][]casefile.Tooth{all, slices.Sorted(slices.Values(all))} {
		var teeth []Tooth
		for _, tooth := range order {
			teeth = append(teeth, Tooth{Tooth: tooth})
		}
		rows := Chart{Teeth: teeth}.rows()
		if len(rows) != 1 || rows[0][0].Tooth != 18 || rows[0][15].Tooth != 28 || rows[0][16].Tooth != 48 || rows[0][31].Tooth != 38 {
			t.Errorf("drawn as %v", rows)
		}
		rows = Chart{Teeth: teeth, Phone: true}.rows()
		if len(rows) != 4 || rows[0][0].Tooth != 18 || rows[0][7].Tooth != 11 || rows[1][0].Tooth != 21 || rows[2][7].Tooth != 41 || rows[3][0].Tooth != 31 {
			t.Errorf("drawn on a phone as %v", rows)
		}
	}
	r := lay(all, TabletWidth, false, true, true)
	for i := 1; i < 16; i++ {
		if r.upper.spots[i].X <= r.upper.spots[i-1].X || r.lower.spots[i].X <= r.lower.spots[i-1].X {
			t.Errorf("tooth %d does not lie to the right of the one before", i)
		}
	}
	for i := range 8 {
		l, m := r.upper.spots[i], r.upper.spots[15-i]
		if math.Abs(l.X+m.X-2*r.upper.mid) > 0.01 || math.Abs(l.Y-m.Y) > 0.01 {
			t.Errorf("%v and %v are not mirrored at the midline", l.Tooth, m.Tooth)
		}
	}
	if edge, lower := r.upper.spots[7].Y+r.upper.spots[7].D, r.lower.spots[7].Y-r.lower.spots[7].D; edge >= lower {
		t.Errorf("the jaws overlap: %.1f and %.1f", edge, lower)
	}
	if math.Abs(r.upper.mid-r.lower.mid) > 0.01 {
		t.Errorf("the midlines differ: %.1f and %.1f", r.upper.mid, r.lower.mid)
	}
}

// Numbers and shades do not lie on each other or out of the drawing.
func TestTextsHaveTheirRoom(t *testing.T) {
	for name, r := range shown() {
		for _, a := range []*arch{&r.upper, &r.lower} {
			for _, s := range a.spots {
				if y := a.shade(s); r.height > 300 && (y < 10 || y > r.height-1) {
					t.Errorf("%s: shade of %v at %.1f of %.1f", name, s.Tooth, y, r.height)
				}
			}
		}
		for _, u := range r.upper.spots {
			for _, l := range r.lower.spots {
				if math.Abs(u.X-l.X) < 30 && r.upper.number(u)+4 > r.lower.number(l)-12 {
					t.Errorf("%s: the numbers of %v and %v lie on each other", name, u.Tooth, l.Tooth)
				}
			}
		}
	}
}

func TestNoTeethNoDrawing(t *testing.T) {
	if r := lay(nil, TabletWidth, false, true, true); len(r.spots()) != 0 || r.height != 0 {
		t.Errorf("%v", r)
	}
	if p := draw(t, Chart{ID: "c", Name: "nothing", Teeth: []Tooth{{Tooth: 99}, {Tooth: 0}}, Toggle: nil}.UI()); len(p.all("role", "img")) != 0 {
		t.Error("teeth that do not exist are drawn")
	}
}

package casefile

import (
	"slices"
	"strconv"
	"strings"
	"testing"

	"plainleaf/build/outside"
)

func TestMain(m *testing.M) { outside.Main(m) }

// Correspondences of FDI (ISO 3950), Universal and Palmer numbering. 46 = 30 is
// the worked pair of the published comparison in care-pathway 1.1; the corners
// (third molars 1, 16, 17, 32) and the midline follow from the direction it gives.
func TestNumberings(t *testing.T) {
	for _, c := range []struct {
		tooth     Tooth
		universal int
		palmer    string
	}{
		{46, 30, "LR6"}, {36, 19, "LL6"}, {18, 1, "UR8"}, {28, 16, "UL8"}, {38, 17, "LL8"}, {48, 32, "LR8"},
		{11, 8, "UR1"}, {21, 9, "UL1"}, {31, 24, "LL1"}, {41, 25, "LR1"}, {13, 6, "UR3"}, {23, 11, "UL3"}, {35, 20, "LL5"}, {44, 28, "LR4"},
	} {
		const src = "ISO 3950 codes in the other numberings (care-pathway 1.1)"
		outside.Equal(t, src, c.tooth.Universal(), c.universal)
		outside.Equal(t, src, c.tooth.Palmer(), c.palmer)
		for numbering, want := range map[string]string{"universal": strconv.Itoa(c.universal), "palmer": c.palmer, "fdi": c.tooth.String(), "": c.tooth.String()} {
			if got := c.tooth.Label(numbering); got != want {
				t.Errorf("%v in %q: %s, want %s", c.tooth, numbering, got, want)
			}
		}
	}
}

// Each numbering names each of the 32 teeth once; Universal numbers run around
// the mouth, so that every tooth's next number is a neighbor in its jaw.
func TestNumberingsAreOneToOne(t *testing.T) {
	all := AllTeeth()
	if len(all) != 32 {
		t.Fatalf("%d teeth", len(all))
	}
	byNumber, palmer := map[int]Tooth{}, map[string]bool{}
	for _, x := range all {
		byNumber[x.Universal()] = x
		palmer[x.Palmer()] = true
	}
	if len(byNumber) != 32 || len(palmer) != 32 {
		t.Errorf("%d Universal numbers, %d Palmer codes", len(byNumber), len(palmer))
	}
	for n := 1; n < 32; n++ {
		if n != 16 && !slices.Contains(byNumber[n].Neighbors(), byNumber[n+1]) {
			t.Errorf("Universal %d (%v) and %d (%v) are not neighbors", n, byNumber[n], n+1, byNumber[n+1])
		}
	}
}

// CV-01 of care-pathway: typed bare, 18 numbers are valid in both systems.
func TestAmbiguousNumbers(t *testing.T) {
	universal := map[int]bool{}
	for _, x := range AllTeeth() {
		universal[x.Universal()] = true
	}
	both := 0
	for n := range 100 {
		if Tooth(n).Valid() && universal[n] {
			both++
		}
	}
	outside.Check(t, "numbers valid in both numberings (CV-01)", float64(both), 18, 0)
	// CV-02: the six upper front teeth.
	for i, x := range []Tooth{13, 12, 11, 21, 22, 23} {
		outside.Check(t, "the six upper front teeth (CV-02)", float64(x.Universal()), float64(6+i), 0)
	}
}

func TestParseTooth(t *testing.T) {
	valid := 0
	for n := -9; n < 200; n++ {
		if _, err := ParseTooth(strconv.Itoa(n)); err == nil {
			valid++
		}
	}
	outside.Check(t, "codes of permanent teeth in ISO 3950", float64(valid), 32, 0)
	for _, s := range []string{"", "1", "011", "+11", " 11", "11 ", "1١", "55", "0x", "1.1"} {
		if x, err := ParseTooth(s); err == nil {
			t.Errorf("%q is read as %v", s, x)
		}
	}
}

func TestNeighborsAreMutual(t *testing.T) {
	for _, x := range AllTeeth() {
		ns := x.Neighbors()
		if third := x.Position() == 8; third && len(ns) != 1 || !third && len(ns) != 2 {
			t.Errorf("%v has %d neighbors", x, len(ns))
		}
		for _, n := range ns {
			if !n.Valid() || n.Upper() != x.Upper() || !slices.Contains(n.Neighbors(), x) {
				t.Errorf("%v names %v, not the other way round", x, n)
			}
		}
	}
}

// A chart shows the patient's right on the left of the page (care-pathway 1.1).
func TestChartOrder(t *testing.T) {
	got := SortTeeth([]Tooth{21, 31, 11, 41, 13, 23, 11})
	if want := []Tooth{13, 11, 21, 23, 41, 31}; !slices.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
}

// The order of the 16 tabs by value: B1 first, C4 last, and ten steps from A3.5
// to A1, as care-pathway 2.2 has it from two texts.
func TestShadeOrder(t *testing.T) {
	s := Tabs()
	if len(s) != 16 || s[0] != "B1" || s[15] != "C4" {
		t.Errorf("got %v", s)
	}
	for _, c := range []struct {
		s, target Shade
		places    int
		exact     bool
	}{
		{"A3.5", "A1", 10, true}, {"B1", "C4", -15, true}, {"A2", "A2", 0, true}, {BleachLight, BleachLight, 0, true},
		// No distance from a bleach shade is known, only that it is lighter.
		{"B1", BleachLightest, 1, false}, {"A1", BleachNearNatural, 1, false}, {"C4", BleachLight, 15, false},
		{BleachNearNatural, BleachLightest, 1, false}, {BleachLightest, BleachLight, -1, false}, {BleachLightest, "B1", -1, false}, {BleachNearNatural, "A2", -4, false},
	} {
		if n, exact := c.s.StepsDarker(c.target); n != c.places || exact != c.exact {
			t.Errorf("%s is %d places darker than %s, exactly: %v; want %d, %v", c.s, n, c.target, exact, c.places, c.exact)
		}
	}
	if all := Shades(); len(all) != 19 || !slices.Equal(all[:4], []Shade{BleachLightest, BleachLight, BleachNearNatural, "B1"}) {
		t.Errorf("got %v", all)
	}
	seen := map[Shade]bool{}
	for _, x := range s {
		seen[x] = true
	}
	for _, group := range []string{"A1 A2 A3 A3.5 A4", "B1 B2 B3 B4", "C1 C2 C3 C4", "D2 D3 D4"} {
		for _, name := range strings.Fields(group) {
			if x := Shade(name); !seen[x] || !x.Valid() {
				t.Errorf("the tab %s is missing", x)
			}
		}
	}
	if Shade("D1").Valid() || Shade("a1").Valid() || Shade("").Valid() {
		t.Error("a tab that there is not is valid")
	}
}

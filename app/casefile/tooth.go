package casefile

import (
	"fmt"
	"slices"
	"strconv"

	"plainleaf/app/fault"
	"plainleaf/app/order"
)

// Tooth is a permanent tooth by its FDI two-digit code (ISO 3950): quadrant
// 1 to 4, then position 1 to 8 from the midline. Other numberings are display only.
type Tooth int

// ParseTooth reads an FDI code of a permanent tooth.
func ParseTooth(s string) (Tooth, error) {
	n, err := strconv.Atoi(s)
	t := Tooth(n)
	if err != nil || len(s) != 2 || !t.Valid() {
		return 0, fmt.Errorf("%q is not an FDI code of a permanent tooth (11-18, 21-28, 31-38, 41-48)", s)
	}
	return t, nil
}

// Valid reports whether t is a permanent tooth.
func (t Tooth) Valid() bool {
	q, p := int(t)/10, int(t)%10
	return q >= 1 && q <= 4 && p >= 1 && p <= 8
}

// Quadrant is 1 upper right, 2 upper left, 3 lower left, 4 lower right (the patient's sides).
func (t Tooth) Quadrant() int { return int(t) / 10 }

// Position counts from the midline, 1 to 8.
func (t Tooth) Position() int { return int(t) % 10 }

// Upper reports whether t is in the upper jaw.
func (t Tooth) Upper() bool { return t.Quadrant() <= 2 }

// Front reports whether t is an incisor or canine.
func (t Tooth) Front() bool { return t.Position() <= 3 }

// String is the FDI code.
func (t Tooth) String() string { return strconv.Itoa(int(t)) }

// Universal is the Universal number, 1 to 32 (care-pathway 1.1).
func (t Tooth) Universal() int {
	p := t.Position()
	switch t.Quadrant() {
	case 1:
		return 9 - p
	case 2:
		return 8 + p
	case 3:
		return 25 - p
	}
	return 24 + p
}

// Palmer is the letter form of the Palmer notation, such as UR1.
func (t Tooth) Palmer() string {
	return [...]string{"", "UR", "UL", "LL", "LR"}[t.Quadrant()] + strconv.Itoa(t.Position())
}

// Label is t in a display numbering: fdi, universal or palmer; anything else is fdi.
func (t Tooth) Label(numbering string) string {
	switch numbering {
	case "universal":
		return strconv.Itoa(t.Universal())
	case "palmer":
		return t.Palmer()
	}
	return t.String()
}

// place orders teeth along the arch as a chart is drawn: the patient's right first, upper jaw first.
func (t Tooth) place() int {
	switch t.Quadrant() {
	case 1:
		return 8 - t.Position()
	case 2:
		return 7 + t.Position()
	case 3:
		return 23 + t.Position()
	}
	return 24 - t.Position()
}

// Neighbors are the adjacent teeth along the arch: the nearer to the midline first.
// The midline partner counts. Third molars have one neighbor.
func (t Tooth) Neighbors() []Tooth {
	q, p := t.Quadrant(), t.Position()
	out := make([]Tooth, 0, 2)
	if p == 1 {
		out = append(out, Tooth([...]int{0, 21, 11, 41, 31}[q]))
	} else {
		out = append(out, t-1)
	}
	if p < 8 {
		out = append(out, t+1)
	}
	return out
}

// SortTeeth orders teeth as a chart is drawn: upper right to upper left, then lower right to lower left.
func SortTeeth(ts []Tooth) []Tooth {
	out := slices.Clone(ts)
	for i := 1; i < len(out); i++ {
		if out[i-1].place() >= out[i].place() {
			order.By(out, func(a, b Tooth) int { return a.place() - b.place() })
			return slices.Compact(out)
		}
	}
	return out
}

// AllTeeth lists the 32 permanent teeth in chart order.
func AllTeeth() []Tooth {
	var ts []Tooth
	for q := 1; q <= 4; q++ {
		for p := 1; p <= 8; p++ {
			ts = append(ts, Tooth(q*10+p))
		}
	}
	return SortTeeth(ts)
}

// MarshalText writes the FDI code.
func (t Tooth) MarshalText() ([]byte, error) { return []byte(t.String()), nil }

// UnmarshalText reads the FDI code.
func (t *Tooth) UnmarshalText(b []byte) error {
	v, err := ParseTooth(string(b))
	*t = v
	if err != nil {
		return fault.New("CASE-TOOTH", "", "%v", err)
	}
	return nil
}

package state

import (
	"plainleaf/app/casefile"
	"plainleaf/app/record"
	"plainleaf/app/sheet"
)

// Pad is the signature that is being given: who, how, and what is drawn so far.
type Pad struct {
	Sheet   sheet.Kind `json:"sheet"`
	Role    string     `json:"role"`
	Way     string     `json:"way"`
	Name    string     `json:"name,omitempty"`
	Paper   string     `json:"paper,omitempty"`
	PaperOn string     `json:"paper_on,omitempty"` // as typed
	Strokes [][]int    `json:"strokes,omitempty"`
}

// PadWidth and PadHeight are the field of a drawn signature, in the units of its strokes.
const PadWidth, PadHeight = 6000, 2000

// SignatureNumbers bounds the numbers in the strokes of one signature.
const SignatureNumbers = 12_000

// add adds a line; false when the pad is full.
func (p *Pad) add(line []int) bool {
	n := len(line)
	for _, l := range p.Strokes {
		n += len(l)
	}
	if n > SignatureNumbers {
		return false
	}
	for i, v := range line {
		line[i] = min(max(v, 0), [2]int{PadWidth, PadHeight}[i%2])
	}
	p.Strokes = append(p.Strokes, line)
	return true
}

// Fault is the word for what a signature still lacks: strokes, name, paper or date;
// "" when it is whole or there is none.
func (p *Pad) Fault() string {
	switch {
	case p == nil:
		return ""
	case p.Way == "drawn" && len(p.Strokes) == 0:
		return "strokes"
	case p.Name == "" && (p.Way == "typed" || p.Way == "mark" || p.Role != "patient" && p.Role != "assent"):
		return "name"
	case p.Way == "paper" && p.Paper == "":
		return "paper"
	case p.Way == "paper":
		if _, err := casefile.ParseDate(p.PaperOn); err != nil {
			return "date"
		}
	}
	return ""
}

// signature is what the pad holds, as a record has it.
func (p *Pad) signature(at string) record.Signature {
	by := record.Signature{Role: p.Role, Way: p.Way, Name: p.Name, At: at}
	switch p.Way {
	case "drawn", "mark":
		if len(p.Strokes) > 0 {
			by.Width, by.Height, by.Strokes = PadWidth, PadHeight, p.Strokes
		}
	case "paper":
		by.Paper = p.Paper
		by.PaperOn, _ = casefile.ParseDate(p.PaperOn)
	}
	return by
}

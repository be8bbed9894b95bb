package instruments

import "plainleaf/app/sheet"

// Rating is what a person who did not write a sheet says of an item that no program
// computes: 1 for met, 0 for not, and why.
type Rating struct {
	Item string
	Kind sheet.Kind
	Met  int
	Why  string
	By   string // the role of the reader, and the day
}

// ratings is filled by readers. An item without a row is not judged yet, and counts in
// no score.
var ratings = []Rating{}

package casefile

import (
	"bytes"
	"encoding/json"
	"errors"
	"strings"

	"plainleaf/app/fault"
	"plainleaf/app/strict"
)

// CaseVersion is the version of the case file this program writes. It reads every
// earlier one too.
const CaseVersion = 2

// ReadCase reads a case file of any version and checks it. The case holds whatever was right
// in the file; it is fit for use only when there is no fault.
func ReadCase(data []byte, v Vocabulary) (Case, fault.List) {
	var c Case
	faults, ok := strict.Decode(data, &c)
	if ok {
		faults = join(faults, c.Check(v))
		c.Upgrade(v.OfContacts)
	}
	// In a Case a horizon of 0 means "not said"; in a file it is a number of
	// years like any other, and out of range.
	var file struct {
		Horizon *float64 `json:"horizon_years"`
	}
	if ok && c.HorizonYears == 0 && json.Unmarshal(data, &file) == nil && file.Horizon != nil && *file.Horizon == 0 {
		faults.Append(fault.New("CASE-HORIZON", "horizon_years", "the horizon is between 1 and %d years", maxYears).With("Value", "0"))
	}
	return c, faults
}

// ReadPractice reads a practice file of any version up to PracticeVersion and checks
// it, as ReadCase does. What comes back is of PracticeVersion. Of a file of a newer
// version only that is a fault: the rest may be right there.
func ReadPractice(data []byte, v Vocabulary) (Practice, fault.List) {
	var p Practice
	faults, ok := strict.Decode(data, &p)
	if !ok {
		return p, faults
	}
	checked := p.Check(v)
	if p.Version > PracticeVersion {
		return p, checked[:1]
	}
	p.Version = PracticeVersion
	return p, join(faults, checked)
}

// join adds what the checks found to what the reader found, leaving out what
// the checks say about a place the reader could not read.
func join(read, checked fault.List) fault.List {
	bad := map[string]bool{}
	for _, f := range read {
		bad[f.Path] = true
	}
	for _, f := range checked {
		if !within(f.Path, bad) {
			read.Append(f)
		}
	}
	return read
}

// within reports whether path or a value that contains it is in bad.
func within(path string, bad map[string]bool) bool {
	for {
		if bad[path] {
			return true
		}
		i := strings.LastIndexAny(path, ".[")
		if i < 0 {
			return false
		}
		path = path[:i]
	}
}

// WriteCase gives the case file of c: the same bytes for the same case, fields
// in a fixed order, every text as it stands in c. It fails when the file could
// not be read back to the same case; it does not check the case otherwise.
func WriteCase(c Case) ([]byte, error) { return write(c, &Case{}) }

// WritePractice gives the practice file of p, of PracticeVersion, as WriteCase does.
func WritePractice(p Practice) ([]byte, error) {
	p.Version = PracticeVersion
	return write(p, &Practice{})
}

func write(v, again any) ([]byte, error) {
	data, err := encode(v)
	if err != nil {
		return nil, err
	}
	if faults, _ := strict.Decode(data, again); len(faults) > 0 {
		return nil, faults.Err()
	}
	// A text that is not UTF-8 comes back as another text.
	if same, err := encode(again); err != nil || !bytes.Equal(data, same) {
		return nil, errors.New("a text is not UTF-8")
	}
	return data, nil
}

func encode(v any) ([]byte, error) {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	err := e.Encode(v)
	return b.Bytes(), err
}

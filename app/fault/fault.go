// Package fault is the one way to report what is wrong with input or data.
// Checks collect every fault they find; none stops the check.
package fault

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"plainleaf/app/order"
	"plainleaf/app/safetext"
)

// Fault is one thing wrong with input or data.
type Fault struct {
	// Code is stable and upper case, words joined by hyphens, such as
	// CASE-TOOTH-TWICE. Codes may be retired, never reused: callers pin them.
	Code string `json:"code"`
	// Path says where: "$" for the whole input, "teeth[2].tooth" for a key in a
	// JSON file, "i18n/es.json:sheet.consent.title" for a message in a file.
	Path string `json:"path"`
	// Text is one line for whoever mends the input: lower case, no full stop.
	Text string `json:"text"`
	// Args are the values a localized sentence about this fault may name.
	Args map[string]string `json:"-"`
}

// Line gives the fault as "CODE<tab>path<tab>text". It is always one line of
// three fields and safe to print on a terminal, whatever the input held (safetext.Plain).
func (f Fault) Line() string {
	return clean(f.Code) + "\t" + clean(where(f.Path)) + "\t" + clean(f.Text)
}

// Error lets a single fault travel as an error.
func (f Fault) Error() string {
	return clean(f.Code) + " " + clean(where(f.Path)) + ": " + clean(f.Text)
}

// Message is the id of the wording that tells a reader about this fault.
func (f Fault) Message() string { return "fault." + strings.ToLower(f.Code) }

// With returns the fault with one more value for its localized sentence.
func (f Fault) With(name, value string) Fault {
	args := make(map[string]string, len(f.Args)+1)
	for k, v := range f.Args {
		args[k] = v
	}
	args[name] = value
	f.Args = args
	return f
}

// New makes a fault; format and a are as in fmt.Sprintf. An empty path becomes "$".
func New(code, path, format string, a ...any) Fault {
	return Fault{Code: code, Path: where(path), Text: fmt.Sprintf(format, a...)}
}

// List is the faults of one check, in the order they were found.
type List []Fault

// Add appends a new fault; format and a are as in fmt.Sprintf.
func (l *List) Add(code, path, format string, a ...any) {
	*l = append(*l, New(code, path, format, a...))
}

// Append appends faults made elsewhere.
func (l *List) Append(f ...Fault) { *l = append(*l, f...) }

// Sorted returns a copy ordered by path, then code; equal ones keep their order.
func (l List) Sorted() List {
	out := slices.Clone(l)
	order.By(out, func(a, b Fault) int {
		return cmp.Or(cmp.Compare(where(a.Path), where(b.Path)), cmp.Compare(a.Code, b.Code))
	})
	return out
}

// Under returns a copy with a file's name before every path.
func (l List) Under(file string) List {
	out := slices.Clone(l)
	for i := range out {
		out[i].Path = file + ":" + out[i].Path
	}
	return out
}

// Has reports whether a fault with this code is in the list.
func (l List) Has(code string) bool {
	return slices.ContainsFunc(l, func(f Fault) bool { return f.Code == code })
}

// Lines gives every fault's line, each ended by a newline.
func (l List) Lines() string {
	var b strings.Builder
	for _, f := range l {
		b.WriteString(f.Line())
		b.WriteByte('\n')
	}
	return b.String()
}

// Err returns nil for an empty list, else an error naming every fault.
func (l List) Err() error {
	if len(l) == 0 {
		return nil
	}
	return listError(l)
}

type listError List

func (e listError) Error() string { return strings.TrimSuffix(List(e).Lines(), "\n") }

func where(path string) string {
	if path == "" {
		return "$"
	}
	return path
}

func clean(s string) string { return safetext.Plain.Clean(s) }

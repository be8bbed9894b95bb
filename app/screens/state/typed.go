package state

import (
	"strings"

	"plainleaf/app/casefile"
	"plainleaf/app/fault"
)

// texts are texts as they were typed that cannot be read yet, by the path of their
// field.
type texts map[string]string

// or is what a field shows: the text as typed while it cannot be read, else value.
func (t texts) or(path, value string) string {
	if text, ok := t[path]; ok {
		return text
	}
	return value
}

// date reads a date; a blank is no date. Text that is none is kept, and ok is false.
func (t texts) date(path, text string) (d casefile.Date, ok bool) {
	delete(t, path)
	text = strings.TrimSpace(text)
	if text == "" {
		return d, true
	}
	d, err := casefile.ParseDate(text)
	if err != nil {
		t[path] = text
	}
	return d, err == nil
}

// typedFault says what is wrong with the text of a field for a date or a time.
func typedFault(path, text string) fault.Fault {
	if strings.HasSuffix(path, ".time") {
		return fault.New("CASE-TIME", path, "%q is not a time such as 14:30", text).With("Text", text)
	}
	return fault.New("PAGE-DATE", path, "%q is not a date such as 2026-11-25", text).With("Text", text)
}

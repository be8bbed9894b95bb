package record

import (
	"strconv"
	"strings"
)

// Named is a place of a record for somebody who has never seen one: the id of the
// words for it (record.part.<key>), and whose values they have.
type Named struct {
	ID string
	// Language is the locale of the text, as the record has it, "" where the words
	// name none; Heading is that of the section.
	Language, Heading string
}

// Named says where in the record p is, in terms of what it holds.
func (v Verdict) Named(p Place) Named {
	const words = "record.part."
	head, rest, _ := strings.Cut(p.Path, ".")
	if list, index, ok := strings.Cut(strings.TrimSuffix(head, "]"), "["); ok && list == "languages" {
		n := Named{ID: words + "text"}
		if i, err := strconv.Atoi(index); err == nil && 0 <= i && i < len(v.Record.Wordings) {
			n.Language = v.Record.Wordings[i].Locale
		}
		switch {
		case n.Language == "":
			n.ID = words + "other"
		case p.Heading != "":
			n.ID, n.Heading = words+"text-under", p.Heading
		case rest == "sections[0]":
			n.ID = words + "text-first"
		case rest == "wording":
			n.ID = words + "wording"
		}
		return n
	}
	if strings.HasPrefix(head, "seal") {
		return Named{ID: words + "seal"}
	}
	switch head {
	case "answers", "open", "signatures", "identifiers", "decision", "case", "previous":
		return Named{ID: words + head}
	case "format", "version", "kind", "id", "revision", "issued", "practice", "program", "evidence", "sealed", "limits":
		return Named{ID: words + "about"}
	}
	return Named{ID: words + "other"}
}

//go:build !js

package exchange

import (
	"encoding/json"
	"io/fs"
	"maps"
	"slices"
	"strings"
	"sync"

	"plainleaf/i18n"
)

// Where is where a message is read, as met on the sheets of the example cases. It is
// computed: build/notes writes where.json. Other messages are named by their ids.
type Where struct {
	// On are the kinds of sheet, and mail, calendar or page, the page that a code on paper opens.
	On []string `json:"on,omitempty"`
	// As are what the message is there: a heading, a label, a cell of a table.
	As []string `json:"as,omitempty"`
	// Under is the heading above it, Column and Row the heads of its cell.
	Under  string `json:"under,omitempty"`
	Column string `json:"column,omitempty"`
	Row    string `json:"row,omitempty"`
	// In are messages that it is put into, each with the name of the value there.
	In []string `json:"in,omitempty"`
	// Before and After are the messages next to it where it was met first.
	Before string `json:"before,omitempty"`
	After  string `json:"after,omitempty"`
	// Values are examples of what the placeholders hold, in the source language.
	Values map[string]string `json:"values,omitempty"`
	// Like is a message of the same family, for one that no example has.
	Like string `json:"like,omitempty"`
}

// WhereFile is the file of the i18n folder that holds them, by message id.
const WhereFile = "where.json"

var wheres = sync.OnceValue(func() map[string]Where {
	m := map[string]Where{}
	data, err := fs.ReadFile(i18n.Files(), WhereFile)
	if err == nil {
		err = json.Unmarshal(data, &m)
	}
	if err != nil {
		panic("exchange: " + WhereFile + ": " + err.Error())
	}
	return m
})

// FormatWhere writes the file: a line for each message, in the order of their ids.
func FormatWhere(m map[string]Where) ([]byte, error) {
	var lines []string
	for _, id := range slices.Sorted(maps.Keys(m)) {
		var b strings.Builder
		enc := json.NewEncoder(&b)
		enc.SetEscapeHTML(false)
		if err := enc.Encode(m[id]); err != nil {
			return nil, err
		}
		lines = append(lines, "  \""+id+"\": "+strings.TrimSpace(b.String()))
	}
	return []byte("{\n" + strings.Join(lines, ",\n") + "\n}\n"), nil
}

// place says where a message is read; "" where nobody knows.
func (w Work) place(id string) string {
	at, ok := wheres()[id]
	if !ok {
		return ""
	}
	var b strings.Builder
	if at.Like != "" {
		b.WriteString("No example case has it. It is read where " + at.Like + " is, in its place. ")
		at = wheres()[at.Like]
	}
	b.WriteString("On: " + strings.Join(at.On, ", ") + ". As: " + strings.Join(at.As, "; ") + ".")
	say := func(before, of string) {
		if of == "" {
			return
		}
		b.WriteString(" " + before + " " + of)
		if m, ok := w.English[of]; ok {
			b.WriteString(": “" + marked(m.Other) + "”")
		}
		b.WriteString(".")
	}
	say("Under the heading", at.Under)
	say("In the column", at.Column)
	say("In the row", at.Row)
	for _, in := range at.In {
		outer, name, _ := strings.Cut(in, " ")
		say("Put in for ["+name+"] of", outer)
	}
	say("After", at.Before)
	say("Before", at.After)
	return b.String()
}

// marked is a text with its values as a translator sees them, cut where it is long.
func marked(text string) string {
	text = strings.ReplaceAll(strings.ReplaceAll(text, "{{.", "["), "}}", "]")
	const most = 90
	if r := []rune(text); len(r) > most {
		return string(r[:most]) + "…"
	}
	return text
}

// example is one value that a placeholder of a message held; "" where none was met.
func example(id, name string) string {
	at := wheres()[id]
	if at.Like != "" {
		at = wheres()[at.Like]
	}
	return at.Values[name]
}

package record

import (
	"encoding/json"

	"plainleaf/app/render"
	"plainleaf/app/strict"
)

// Shown is a hash of all that stands on a sheet, in every language it is shown
// in, and of whose it is. Two sheets with the same one say the same to whoever
// signs them. It is for comparing inside one program only.
func Shown(docs []render.Doc, who Identifiers) string {
	var all struct {
		Who       Identifiers
		Languages []Language
	}
	all.Who = who
	for _, d := range docs {
		all.Languages = append(all.Languages, language(d, ""))
	}
	data, err := json.Marshal(all)
	if err != nil {
		return "" // texts and numbers only: cannot fail
	}
	return hash(data)
}

// Read gives what a sealed record holds, whatever Verify says of it; false when
// it does not have the form of a record. A key in other letters than the form has
// is none of it: encoding/json would take "KIND" for "kind", which Verify does not.
func Read(sealed []byte) (Record, bool) {
	if faults, ok := strict.Decode(sealed, &struct {
		Record *Record `json:"record"`
		Seal   any     `json:"seal"`
	}{}); !ok || faults.Has("JSON-KEY-CASE") || faults.Has("JSON-DUPLICATE-KEY") {
		return Record{}, false
	}
	var f struct{ Record Record }
	if err := json.Unmarshal(sealed, &f); err != nil || f.Record.Format != Format {
		return Record{}, false
	}
	return f.Record, true
}

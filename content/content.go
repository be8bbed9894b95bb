// Package content is the clinical data the program ships: figures with source
// and range, and the rules that rest on them. The TOML files beside this file
// are the data people edit; the program reads only compiled.json, which
// plainleaf/content/compile makes from them, so that no TOML decoder is part
// of the built app.
package content

import (
	"bytes"
	_ "embed"
	"encoding/json"
	"io"

	"plainleaf/app/evidence"
	"plainleaf/app/fault"
)

//go:embed compiled.json
var compiled []byte

// Load reads and checks the shipped data. Paths of its faults name rows of
// compiled.json; compile.Dir names the TOML rows.
func Load() (*evidence.Base, fault.List) { return decode(compiled) }

func decode(data []byte) (*evidence.Base, fault.List) {
	var b evidence.Base
	var out fault.List
	d := json.NewDecoder(bytes.NewReader(data))
	d.DisallowUnknownFields()
	if err := d.Decode(&b); err != nil {
		out.Add("CONTENT-DECODE", "content/compiled.json", "%v", err)
		return b.Index(), out
	}
	if _, err := d.Token(); err != io.EOF {
		out.Add("CONTENT-DECODE", "content/compiled.json", "something follows the data")
	}
	for _, f := range Check(&b) {
		f.Path = "content/compiled.json:" + f.Path
		out.Append(f)
	}
	return b.Index(), out
}

// MustLoad is Load for tests: it panics on any fault.
func MustLoad() *evidence.Base {
	b, faults := Load()
	if err := faults.Err(); err != nil {
		panic(err)
	}
	return b
}

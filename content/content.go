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

// Load reads the shipped data. It was linted when it was compiled, and tests hold
// the compiled copy to that; Checked lints it again.
func Load() (*evidence.Base, fault.List) { return decode(compiled) }

// Checked is Load with the whole lint. Paths of its faults name rows of
// compiled.json; compile.Dir names the TOML rows.
func Checked() (*evidence.Base, fault.List) {
	b, faults := Load()
	if len(faults) > 0 {
		return b, faults
	}
	for _, f := range Check(b) {
		f.Path = "content/compiled.json:" + f.Path
		faults.Append(f)
	}
	return b, faults
}

func decode(data []byte) (*evidence.Base, fault.List) {
	var b evidence.Base
	var out fault.List
	d := json.NewDecoder(bytes.NewReader(data))
	d.DisallowUnknownFields()
	if err := d.Decode(&b); err != nil {
		out.Add("CONTENT-DECODE", "content/compiled.json", "%v", err)
	} else if _, err := d.Token(); err != io.EOF {
		out.Add("CONTENT-DECODE", "content/compiled.json", "something follows the data")
	}
	return b.Index(), out
}

// MustLoad is Checked for tests: it panics on any fault.
func MustLoad() *evidence.Base {
	b, faults := Checked()
	if err := faults.Err(); err != nil {
		panic(err)
	}
	return b
}

// Package demo carries the demo practice and a demo case. Both are invented and
// marked as specimens; every sheet made with the demo practice says so.
package demo

import _ "embed"

// Practice is the demo practice file.
//
//go:embed practice.json
var Practice []byte

// Case is a demo case file: ten upper teeth, none to be drilled, one of them dark.
//
//go:embed case.json
var Case []byte

//go:build !js

package vet

import "golang.org/x/text/unicode/norm"

// IsNFC reports whether a text is in Unicode normal form C.
var IsNFC = norm.NFC.IsNormalString

//go:build !js

package shell

import (
	"crypto/sha256"
	"encoding/base64"
)

// Policy is the content security policy for a meta element. sheetCSS is the
// one constant stylesheet that sheets carry inside them; its hash lets a sheet
// be shown in a frame of the app, which inherits the policy.
//
// Nothing inline may run or style, and nothing may be sent or fetched outside
// the app's own origin. Text that the browser would run passes the one policy of
// boot.js or is refused, where the browser knows trusted types.
func Policy(sheetCSS []byte) string {
	sum := sha256.Sum256(sheetCSS)
	return "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; " +
		"style-src 'self' 'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'; " +
		"img-src 'self'; connect-src 'self'; manifest-src 'self'; worker-src 'self'; " +
		"base-uri 'none'; form-action 'none'; require-trusted-types-for 'script'; trusted-types default"
}

// HeaderPolicy is the policy for an HTTP header, where it can also forbid
// other sites to frame the app; a meta element cannot.
func HeaderPolicy(sheetCSS []byte) string {
	return Policy(sheetCSS) + "; frame-ancestors 'none'"
}

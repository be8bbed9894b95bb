package site

import (
	"fmt"
	"maps"
	"slices"
	"strings"
)

// HeadersName is the file that tells whoever sets up a host which headers to send.
// It is not part of the app.
const HeadersName = "headers.txt"

// How long a file may be kept: one whose name carries its digest for ever, any other
// only as long as the host says that it is unchanged.
const (
	Forever  = "public, max-age=31536000, immutable"
	AskAgain = "no-cache"
)

// Types are the media types of the site's files by their endings. Hosts get the rarer
// ones wrong, and the table of a system differs between machines.
var Types = map[string]string{
	".html":        "text/html; charset=utf-8",
	".css":         "text/css; charset=utf-8",
	".js":          "text/javascript; charset=utf-8",
	".json":        "application/json",
	".txt":         "text/plain; charset=utf-8",
	".wasm":        "application/wasm",
	".webmanifest": "application/manifest+json",
	".svg":         "image/svg+xml",
	".png":         "image/png",
}

// unused are the abilities of a browser that the app never asks for. It does share
// files, copy text and keep data; those are left out.
var unused = []string{
	"accelerometer", "autoplay", "browsing-topics", "camera", "display-capture",
	"encrypted-media", "fullscreen", "gamepad", "geolocation", "gyroscope", "hid",
	"identity-credentials-get", "idle-detection", "keyboard-map", "local-fonts",
	"magnetometer", "microphone", "midi", "otp-credentials", "payment",
	"picture-in-picture", "publickey-credentials-create", "publickey-credentials-get",
	"screen-wake-lock", "serial", "storage-access", "sync-xhr", "usb",
	"window-management", "xr-spatial-tracking",
}

// Headers are what every answer carries, whatever it is, but for the policy of the
// content, which only a whole site has.
func Headers() [][2]string {
	return [][2]string{
		{"Permissions-Policy", strings.Join(unused, "=(), ") + "=()"},
		{"Referrer-Policy", "no-referrer"},
		{"X-Content-Type-Options", "nosniff"},
		{"Cross-Origin-Opener-Policy", "same-origin"},
		{"Cross-Origin-Resource-Policy", "same-origin"},
	}
}

// headersFile is HeadersName for a site with this policy.
func headersFile(policy string) []byte {
	var b strings.Builder
	b.WriteString("With every answer:\n")
	for _, h := range append([][2]string{{"Content-Security-Policy", policy}}, Headers()...) {
		fmt.Fprintf(&b, "  %s: %s\n", h[0], h[1])
	}
	fmt.Fprintf(&b, "\nWith files that have a digest in their name, such as app.0123456789abcdef.css:\n  Cache-Control: %s\n", Forever)
	fmt.Fprintf(&b, "\nWith all others:\n  Cache-Control: %s\n", AskAgain)
	b.WriteString("\nContent-Type by the ending of the name:\n")
	for _, ext := range slices.Sorted(maps.Keys(Types)) {
		fmt.Fprintf(&b, "  %-13s %s\n", ext, Types[ext])
	}
	b.WriteString("\nA name with .br or .gz after it is the same file packed; a host may send it instead\nwith Content-Encoding br or gzip, the Content-Type of the plain name, and Vary: Accept-Encoding.\n")
	return []byte(b.String())
}

//go:build js && wasm

// Command program shows the gallery in a browser.
package main

import (
	"strings"

	"github.com/maxence-charriere/go-app/v10/pkg/app"

	"plainleaf/build/gallery"
)

func main() {
	app.RouteWithRegexp("^/(en|ar)/[a-z-]+/$", func() app.Composer {
		at := strings.Split(app.Window().URL().Path, "/")
		return gallery.New(at[2], at[1])
	})
	app.RunWhenOnBrowser()
}

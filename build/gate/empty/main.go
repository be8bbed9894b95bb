//go:build js && wasm

// Command empty is the smallest page the libraries allow. The size gate builds
// it beside the app, so that one sees what the app itself weighs.
package main

import "github.com/maxence-charriere/go-app/v10/pkg/app"

type hello struct{ app.Compo }

func (h *hello) Render() app.UI { return app.H1().Text("hello") }

func main() {
	app.RouteWithRegexp("^/(en|ar)(/.*)?$", func() app.Composer { return &hello{} })
	app.RunWhenOnBrowser()
}

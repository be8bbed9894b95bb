//go:build js && wasm

package main

import (
	"github.com/maxence-charriere/go-app/v10/pkg/app"

	"plainleaf/app/page"
	"plainleaf/app/place"
)

func main() {
	app.RouteWithRegexp(place.Pattern(), page.New)
	app.RunWhenOnBrowser()
}

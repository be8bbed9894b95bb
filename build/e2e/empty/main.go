//go:build js && wasm

// Command empty is the smallest page with something to click: what one click
// costs where nothing else is on the screen.
package main

import (
	"fmt"

	"github.com/maxence-charriere/go-app/v10/pkg/app"

	"plainleaf/app/place"
)

type click struct {
	app.Compo
	on bool
}

func (c *click) Render() app.UI {
	return app.Elem("div").ID("app").Body(
		app.Elem("button").ID("probe").Aria("pressed", fmt.Sprint(c.on)).Text("click").
			OnClick(func(app.Context, app.Event) { c.on = !c.on }))
}

func main() {
	app.RouteWithRegexp(place.Pattern(), func() app.Composer { return &click{} })
	app.RunWhenOnBrowser()
}

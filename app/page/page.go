// Package page holds the screens.
package page

import (
	"github.com/maxence-charriere/go-app/v10/pkg/app"

	"plainleaf/app/place"
)

// Root is the frame around every screen.
type Root struct {
	app.Compo
	here place.Place
}

// New makes the root component for the router.
func New() app.Composer { return &Root{} }

// base is the folder of the site on its host, with both slashes.
func base() string { return app.Getenv("GOAPP_ROOT_PREFIX") + "/" }

// OnNav reads the place from the path. The component stays while one moves
// about, so nothing entered is lost when the language changes.
func (r *Root) OnNav(ctx app.Context) {
	here, _ := place.Parse(base(), ctx.Page().URL().Path)
	r.here = here
	l, _ := place.Find(here.Lang)
	html := app.Window().Get("document").Get("documentElement")
	html.Set("lang", l.Tag)
	html.Set("dir", l.Dir)
}

// Render draws the language switch and the heading.
func (r *Root) Render() app.UI {
	return app.Div().ID("app").Body(
		app.Div().Class("frame").Body(
			app.Nav().DataSet("menu", "languages").Body(
				app.Ul().Class("menu").Body(
					app.Range(place.Languages).Slice(func(i int) app.UI {
						l := place.Languages[i]
						a := app.A().
							Href(base()+place.Place{Lang: l.Tag, View: r.here.View}.Path()).
							Attr("hreflang", l.Tag).Lang(l.Tag).Dir(l.Dir).Text(l.Name)
						if l.Tag == r.here.Lang {
							a = a.Attr("aria-current", "true")
						}
						return app.Li().Body(a)
					}),
				),
			),
			app.Main().Body(app.H1().Text("Plainleaf")),
		),
	)
}

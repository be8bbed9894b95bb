package e2e

import (
	"fmt"
	"testing"

	"plainleaf/build/browser"
)

// open serves the site and opens a tab that has not gone anywhere yet.
func open(t *testing.T) (*browser.Server, *browser.Tab) {
	t.Helper()
	srv := browser.Serve(t, browser.Site(t, browser.Options(t)))
	return srv, browser.Open(t, srv).Tab()
}

// ready waits until a screen is shown in a language.
func ready(tab *browser.Tab, lang, view string) {
	tab.Wait(fmt.Sprintf(`(() => {
		const app = document.getElementById("app");
		return app && app.dataset.lang === %q && app.dataset.view === %q && document.documentElement.lang === %q;
	})()`, lang, view, lang))
}

// go_ walks to a view through the menu, so that the case is kept.
func go_(tab *browser.Tab, lang, view string) {
	path := "/" + lang + "/"
	key := "case"
	if view != "" {
		path += view + "/"
		key = view
	}
	tab.Click(fmt.Sprintf(`nav[data-menu="views"] a[href=%q]`, path))
	ready(tab, lang, key)
}

// Package place names the screens of the app and the paths that lead to them.
// It is shared by the browser program, which routes by it, and by the site
// generator, which writes one page for each place.
package place

import (
	"regexp"
	"slices"
	"strings"

	"plainleaf/i18n"
)

// Languages lists the languages of the screens in the order in which menus show them.
// The first one is embedded in the browser program.
var Languages = i18n.ScreenLanguages()

// Views lists the screens. The empty view is the case, where one starts.
var Views = []string{"", "routes", "numbers", "visits", "chair", "understanding", "sheets", "visit", "records", "evidence", "practice", "paper"}

// Key is the view's name in message ids, where an empty part is not allowed.
func Key(view string) string {
	if view == "" {
		return "case"
	}
	return view
}

// Find returns the language with the given tag.
func Find(tag string) (i18n.Language, bool) {
	i := slices.IndexFunc(Languages, func(l i18n.Language) bool { return l.Tag == tag })
	if i < 0 {
		return i18n.Language{}, false
	}
	return Languages[i], true
}

// Place is one screen in one language.
type Place struct {
	Lang string // a tag of Languages
	View string // one of Views
}

// All lists every place, language by language.
func All() []Place {
	var all []Place
	for _, l := range Languages {
		for _, v := range Views {
			all = append(all, Place{l.Tag, v})
		}
	}
	return all
}

// Path is the place's path under the app's base, without a leading slash and
// with a trailing one: "en/", "ar/chair/".
func (p Place) Path() string {
	if p.View == "" {
		return p.Lang + "/"
	}
	return p.Lang + "/" + p.View + "/"
}

// Parse reads a path below base ("/" or "/name/"). The trailing slash may be
// missing. A path in a known language whose view is unknown leads to that
// language's first view, with ok false; so does any other path, in the first
// language.
func Parse(base, path string) (p Place, ok bool) {
	rest, under := strings.CutPrefix(path, base)
	if !under {
		return Place{Languages[0].Tag, ""}, false
	}
	lang, view, _ := strings.Cut(strings.TrimSuffix(rest, "/"), "/")
	if _, known := Find(lang); !known {
		return Place{Languages[0].Tag, ""}, false
	}
	if !slices.Contains(Views, view) {
		return Place{lang, ""}, false
	}
	return Place{lang, view}, true
}

// Pattern is a regular expression for every path, relative to the base but
// with a leading slash, that starts with a known language. It takes unknown
// views too, so that a mistyped or retired address still opens the app.
func Pattern() string {
	var tags []string
	for _, l := range Languages {
		tags = append(tags, regexp.QuoteMeta(l.Tag))
	}
	return "^/(" + strings.Join(tags, "|") + ")(/.*)?$"
}

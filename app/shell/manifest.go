//go:build !js

package shell

import (
	"bytes"
	"encoding/json"

	"plainleaf/app/place"
	"plainleaf/i18n"
)

const (
	themeColor = "#fbfaf6" // the paper of app.css
)

type manifest struct {
	ID              string         `json:"id"`
	Name            string         `json:"name"`
	ShortName       string         `json:"short_name"`
	Description     string         `json:"description"`
	Lang            string         `json:"lang"`
	Dir             string         `json:"dir"`
	StartURL        string         `json:"start_url"`
	Scope           string         `json:"scope"`
	Display         string         `json:"display"`
	BackgroundColor string         `json:"background_color"`
	ThemeColor      string         `json:"theme_color"`
	Icons           []manifestIcon `json:"icons"`
}

type manifestIcon struct {
	Src     string `json:"src"`
	Sizes   string `json:"sizes"`
	Type    string `json:"type"`
	Purpose string `json:"purpose,omitempty"`
}

// ManifestIcons are the absolute paths of the icons a manifest names.
type ManifestIcons struct{ SVG, PNG192, PNG512, Mask string }

// Manifest writes the web app manifest of one language. All languages share
// one id, so that installing a second one does not make a second app.
func Manifest(l i18n.Language, base string, icons ManifestIcons, w Words) ([]byte, error) {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	err := e.Encode(manifest{
		ID: base, Name: w("shell.name"), ShortName: w("shell.name"), Description: w("shell.summary"),
		Lang: l.Tag, Dir: l.Dir, StartURL: base + place.Place{Lang: l.Tag}.Path(), Scope: base,
		Display: "standalone", BackgroundColor: themeColor, ThemeColor: themeColor,
		Icons: []manifestIcon{
			{icons.SVG, "any", "image/svg+xml", ""},
			{icons.PNG192, "192x192", "image/png", ""},
			{icons.PNG512, "512x512", "image/png", ""},
			{icons.Mask, "512x512", "image/png", "maskable"},
		},
	})
	return b.Bytes(), err
}

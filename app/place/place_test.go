package place

import (
	"regexp"
	"testing"

	"plainleaf/i18n"
)

func TestParse(t *testing.T) {
	for _, c := range []struct {
		base, path string
		want       Place
		ok         bool
	}{
		{"/", "/en/", Place{"en", ""}, true},
		{"/", "/en", Place{"en", ""}, true},
		{"/", "/ar/chair/", Place{"ar", "chair"}, true},
		{"/", "/ar/chair", Place{"ar", "chair"}, true},
		{"/leaf/", "/leaf/es/sheets/", Place{"es", "sheets"}, true},
		{"/leaf/", "/es/sheets/", Place{"en", ""}, false},
		{"/", "/ar/unknown/deep", Place{"ar", ""}, false},
		{"/", "/en/chair/deep", Place{"en", ""}, false},
		{"/", "/xx/chair/", Place{"en", ""}, false},
		{"/", "/", Place{"en", ""}, false},
		{"/", "", Place{"en", ""}, false},
		{"/", "/english/", Place{"en", ""}, false},
	} {
		got, ok := Parse(c.base, c.path)
		if got != c.want || ok != c.ok {
			t.Errorf("Parse(%q, %q) = %v, %v; want %v, %v", c.base, c.path, got, ok, c.want, c.ok)
		}
	}
}

func TestEveryPlaceRoundTripsAndIsRouted(t *testing.T) {
	pattern := regexp.MustCompile(Pattern())
	seen := map[string]bool{}
	for _, p := range All() {
		path := "/" + p.Path()
		if seen[path] {
			t.Errorf("%s: two places on one path", path)
		}
		seen[path] = true
		if got, ok := Parse("/", path); got != p || !ok {
			t.Errorf("Parse(%q) = %v, %v; want %v, true", path, got, ok, p)
		}
		if !pattern.MatchString(path) {
			t.Errorf("%s is not routed", path)
		}
	}
	for _, path := range []string{"/", "/english", "/xx/", "/x/en/"} {
		if pattern.MatchString(path) {
			t.Errorf("%s is routed", path)
		}
	}
}

func TestLanguages(t *testing.T) {
	if Languages[0].Tag != i18n.Source().Tag {
		t.Errorf("%s comes first, and the browser program holds %s", Languages[0].Tag, i18n.Source().Tag)
	}
	for _, l := range Languages {
		if l.Dir != "ltr" && l.Dir != "rtl" {
			t.Errorf("%s: direction %q", l.Tag, l.Dir)
		}
		if l.Name == "" {
			t.Errorf("%s: no name", l.Tag)
		}
	}
}

package gallery

import (
	"maps"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/maxence-charriere/go-app/v10/pkg/app"
	"golang.org/x/net/html"

	"plainleaf/app/shell"
)

var comment = regexp.MustCompile(`(?s)/\*.*?\*/`)

func styles() string { return comment.ReplaceAllString(string(shell.PartsCSS), "") }

// drawn collects what visit finds in every page of the gallery in every language.
func drawn(t *testing.T, visit func(page string, n *html.Node)) {
	t.Helper()
	for _, lang := range Langs {
		for _, name := range Names {
			root, err := html.Parse(strings.NewReader(app.HTMLString(New(name, lang))))
			if err != nil {
				t.Fatal(err)
			}
			for n := range root.Descendants() {
				if n.Type == html.ElementNode {
					visit(lang+"/"+name, n)
				}
			}
		}
	}
}

// The style has a rule for each class that is drawn, and no other. Both charts of a
// message that a phone shows elsewhere count.
func TestTheStyleIsOfTheParts(t *testing.T) {
	used := map[string]bool{}
	drawn(t, func(_ string, n *html.Node) {
		for _, a := range n.Attr {
			if a.Key == "class" {
				for _, c := range strings.Fields(a.Val) {
					used[c] = true
				}
			}
		}
	})
	// One message shows one of the sixteen places, one table one of the six counts.
	places := regexp.MustCompile(`^(at-\d+|by-\d)$`)
	ruled := map[string]bool{}
	for _, m := range regexp.MustCompile(`\.([a-z][a-z0-9-]*)`).FindAllStringSubmatch(styles(), -1) {
		ruled[m[1]] = true
	}
	if len(used) < 80 || len(ruled) < 80 {
		t.Fatalf("only %d classes drawn and %d in the style", len(used), len(ruled))
	}
	for _, c := range slices.Sorted(maps.Keys(used)) {
		if !ruled[c] {
			t.Errorf("class %s has no rule", c)
		}
	}
	for _, c := range slices.Sorted(maps.Keys(ruled)) {
		if !used[c] && !places.MatchString(c) {
			t.Errorf("class %s is not drawn", c)
		}
	}
}

// Each token is set and used.
func TestTokens(t *testing.T) {
	css := styles()
	set, used := map[string]bool{}, map[string]bool{}
	for _, m := range regexp.MustCompile(`(--[a-z0-9-]+)\s*:`).FindAllStringSubmatch(css, -1) {
		set[m[1]] = true
	}
	for _, m := range regexp.MustCompile(`var\((--[a-z0-9-]+)\)`).FindAllStringSubmatch(css, -1) {
		used[m[1]] = true
	}
	if len(set) < 40 {
		t.Fatalf("only %d tokens", len(set))
	}
	for _, name := range slices.Sorted(maps.Keys(set)) {
		if !used[name] {
			t.Errorf("token %s is not used", name)
		}
	}
	for _, name := range slices.Sorted(maps.Keys(used)) {
		if !set[name] {
			t.Errorf("token %s is not set", name)
		}
	}
}

// The policy of the app refuses styles in attributes, and an id names one element.
func TestNothingInlineAndIDsOnce(t *testing.T) {
	ids := map[string]int{}
	drawn(t, func(page string, n *html.Node) {
		for _, a := range n.Attr {
			switch {
			case a.Key == "style" || strings.HasPrefix(a.Key, "on"):
				t.Errorf("%s: <%s> has the attribute %s", page, n.Data, a.Key)
			case a.Key == "id":
				ids[page+" "+a.Val]++
			}
		}
		if n.Data == "style" || n.Data == "script" {
			t.Errorf("%s has a <%s>", page, n.Data)
		}
	})
	if len(ids) < 500 {
		t.Fatalf("only %d ids", len(ids))
	}
	for id, n := range ids {
		if n > 1 {
			t.Errorf("%s: %d elements have this id", id, n)
		}
	}
}

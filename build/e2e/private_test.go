package e2e

import (
	"fmt"
	"html"
	"slices"
	"strings"
	"testing"

	"plainleaf/app/place"
	"plainleaf/build/browser"
	"plainleaf/content"
	"plainleaf/i18n"
)

// With each private finding in turn, and with all of them on every screen, nothing
// in the whole document names it while the dentist's side is shut: neither its key
// nor one of its own sentences, nor the line that tells what a step changed. The
// marks of the chart, the list of teeth and the summary are those of the same case
// without it.
func TestNoScreenNamesAPrivateFinding(t *testing.T) {
	srv, tab := open(t)
	base := content.MustLoad()
	var keys []string
	for _, f := range base.Findings {
		if f.Private {
			keys = append(keys, f.Key)
			if f.Scope != "case" {
				t.Errorf("%s can be of one tooth: look at its mark on the chart here", f.Key)
			}
		}
	}
	words := map[string]*i18n.Wording{}
	for _, lang := range []string{"en", "ar"} {
		data, _ := i18n.Embedded(lang)
		w, faults := i18n.Load(lang, data, nil)
		if len(faults) > 0 {
			t.Fatal(faults.Lines())
		}
		words[lang] = w
	}
	// own lists what only a finding's own words say.
	own := func(lang, key string) []string {
		out := []string{key}
		for _, id := range words[lang].IDs() {
			if strings.HasPrefix(id, "finding."+key+".") {
				if s, err := words[lang].Text(id, nil, ""); err == nil {
					out = append(out, s)
				}
			}
		}
		return out
	}
	if len(keys) < 5 || len(own("ar", keys[0])) < 2 {
		t.Fatalf("private findings: %q", keys)
	}
	const marks = `document.querySelector("#summary > p").textContent + [...document.querySelectorAll(".tooth")].map(g =>
		g.getAttribute("aria-label") + getComputedStyle(g.querySelector(".note")).visibility + g.getAttribute("class")).join() + [...document.querySelectorAll("[id^=list-]")].map(e =>
		e.textContent + e.className + e.getAttribute("aria-label") + e.getAttribute("aria-pressed")).join()`
	// What fields hold is no part of the document, so it is added.
	const whole = `document.documentElement.outerHTML + [...document.querySelectorAll("input, textarea, select")].map(e => e.value).join() + [...document.querySelectorAll("iframe")].map(f => f.srcdoc).join()`
	look := func(lang, where string, set []string) {
		t.Helper()
		page := html.UnescapeString(browser.Eval[string](tab, whole))
		for _, key := range set {
			for _, s := range own(lang, key) {
				if strings.Contains(page, s) {
					t.Errorf("%s, %s: %q of %s", lang, where, s, key)
				}
			}
		}
	}
	set := func(key string, on bool) {
		openDrawers(tab, "#dentist-side")
		tab.Click("label:has(#finding-" + key + ")")
		tab.Wait(fmt.Sprintf(`document.getElementById("finding-%s").checked === %t`, key, on))
		browser.Eval[bool](tab, `(document.getElementById("dentist-side").open = false, true)`)
		tab.Wait(fmt.Sprintf(`!document.getElementById("finding-%s")`, key))
	}
	around := func(lang string, keys []string) {
		t.Helper()
		look(lang, "case", keys)
		for _, view := range place.Views[1:] {
			walk(tab, lang, view)
			look(lang, view, keys)
		}
		walk(tab, lang, "")
	}
	demo(tab, "en")
	tab.Click("#teeth-as-list")
	tab.Wait(`document.getElementById("list-21")`)
	walk(tab, "en", "routes") // from now on it is told what changes
	walk(tab, "en", "")
	before := browser.Eval[string](tab, marks)
	for _, key := range keys {
		set(key, true)
		if after := browser.Eval[string](tab, marks); after != before {
			t.Errorf("%s changes what the chart or the summary shows:\n%s\n%s", key, before, after)
		}
		look("en", "case", keys)
		walk(tab, "en", "routes")
		look("en", "routes", keys)
		walk(tab, "en", "")
		set(key, false)
	}
	// Planted: while the dentist's side is open, its names are found.
	set(keys[0], true)
	openDrawers(tab, "#dentist-side")
	if html := browser.Eval[string](tab, whole); !slices.ContainsFunc(own("en", keys[0]), func(s string) bool { return strings.Contains(html, s) }) {
		t.Error("a private finding on the screen is not seen")
	}
	browser.Eval[bool](tab, `(document.getElementById("dentist-side").open = false, true)`)
	for _, key := range keys[1:] {
		set(key, true)
	}
	around("en", keys)
	speak(tab, "ar", "case")
	around("ar", keys)
	clean(t, srv, tab)
}

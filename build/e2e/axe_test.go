package e2e

import (
	"os"
	"testing"

	"plainleaf/app/place"
	"plainleaf/build/browser"
)

// Each screen, in a language of each direction, has no violation that axe-core
// 4.14.1 can find, at the usual size of text and at twice that size. It finds only a part of what can be wrong.
func TestAccessibility(t *testing.T) {
	axe, err := os.ReadFile("node_modules/axe-core/axe.min.js")
	if err != nil {
		t.Fatalf("%v: run npm ci in build/e2e", err)
	}
	_, tab := open(t)
	for _, lang := range []string{"en", "ar"} {
		demo(tab, lang)
		browser.Eval[bool](tab, string(axe)+"; true")
		for _, view := range place.Views {
			walk(tab, lang, view)
			if view == "sheets" {
				sheetReady(tab, "options")
			}
			// Drawers are opened, so that what is in them is looked at too.
			if browser.Eval[bool](tab, `!!document.querySelector("main details")`) {
				openDrawers(tab, "main details:not(.figure), main .figure:nth-child(-n+3)")
			}
			for _, scale := range []string{"100%", "200%"} {
				browser.Eval[bool](tab, `(document.documentElement.style.fontSize = "`+scale+`", true)`)
				if over := browser.Eval[int](tab, `document.documentElement.scrollWidth - innerWidth`); over > 0 {
					t.Errorf("%s %s at %s: %d px too wide", lang, or(view, "case"), scale, over)
				}
				found := browser.Eval[[]string](tab, `axe.run(document, {iframes: false, resultTypes: ["violations"]})
				.then(r => r.violations.map(v => v.id + ": " + v.nodes.slice(0, 3).map(n => n.target.join(" ") + " " + (n.failureSummary || "")).join("; ")))`)
				for _, f := range found {
					t.Errorf("%s %s at %s: %s", lang, or(view, "case"), scale, f)
				}
			}
			browser.Eval[bool](tab, `(document.documentElement.removeAttribute("style"), true)`)
		}
	}
	// A planted fault is found.
	browser.Eval[bool](tab, `(() => { document.querySelector("main").append(document.createElement("img")); return true; })()`)
	if n := browser.Eval[int](tab, `axe.run(document, {iframes: false}).then(r => r.violations.length)`); n == 0 {
		t.Error("a picture without a text is not found")
	}
}

// Everything that is tapped is large enough for a finger: 44 CSS pixels for
// controls, 24 for the teeth of the chart on a phone, which the buttons for
// several teeth and the list beside it back up (WCAG 2.2, 2.5.5 and 2.5.8).
func TestFingersFit(t *testing.T) {
	_, tab := open(t)
	demo(tab, "en")
	for _, d := range []struct{ width, height int64 }{{320, 640}, {390, 844}, {768, 1024}, {1366, 900}} {
		size(t, tab, d.width, d.height, d.width < 1000)
		for _, view := range place.Views {
			walk(tab, "en", view)
			if w := browser.Eval[int](tab, `document.documentElement.scrollWidth`); int64(w) > d.width {
				t.Errorf("%s at %d: %d wide", or(view, "case"), d.width, w)
			}
			small := browser.Eval[[]string](tab, `[...document.querySelectorAll("button, select, summary, label.chip, label.opener, nav a, .next, input[type=text], input[type=tel], textarea")]
				.filter(e => e.checkVisibility() && !e.closest("#bars")).map(e => [e, e.getBoundingClientRect()])
				.filter(([e, r]) => r.height < 43.5 || r.width < 43.5).map(([e, r]) => (e.id || e.className || e.textContent) + " " + Math.round(r.width) + "x" + Math.round(r.height))`)
			if len(small) > 0 {
				t.Errorf("%s at %d: too small: %q", or(view, "case"), d.width, small)
			}
		}
		walk(tab, "en", "")
		teeth := browser.Eval[[]string](tab, `[...document.querySelectorAll(".tooth .crown")].map(e => [e, e.getBoundingClientRect()])
			.filter(([e, r]) => Math.min(r.width, r.height) < 24).map(([e, r]) => e.parentElement.id + " " + r.width + "x" + r.height)`)
		if len(teeth) > 0 {
			t.Errorf("teeth at %d: %q", d.width, teeth)
		}
	}
}

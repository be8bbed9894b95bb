package e2e

import (
	"cmp"
	"fmt"
	"os"
	"testing"

	"plainleaf/app/place"
	"plainleaf/build/browser"
)

// Each screen, in every language and so in each direction, at the usual size of
// text and at twice that size, on a phone and on a tablet, has no violation that
// axe-core 4.14.1 can find, and nothing to scroll sideways from 320 to 1366 px
// (WCAG 2.2, 1.4.4 and 1.4.10). It finds only a part of what can be wrong.
func TestAccessibility(t *testing.T) {
	axe, err := os.ReadFile("../checks/node_modules/axe-core/axe.min.js")
	if err != nil {
		t.Fatalf("%v: run npm ci in build/checks", err)
	}
	_, tab := open(t)
	demo(tab, "en")
	browser.Eval[bool](tab, string(axe)+"; true")
	type look struct {
		width, height int64
		scale         string
	}
	looks := []look{
		{320, 640, "100%"}, {390, 844, "100%"}, {390, 844, "200%"}, {768, 1024, "100%"}, {768, 1024, "200%"},
		{1024, 768, "100%"}, {1366, 900, "200%"},
	}
	runs := 0
	for n, lang := range languages() {
		walk(tab, browser.Eval[string](tab, "document.documentElement.lang"), "")
		speak(tab, lang, "case")
		for _, view := range place.Views {
			walk(tab, lang, view)
			if view == "sheets" {
				sheetReady(tab, "options")
			}
			// Drawers are opened, so that what is in them is looked at too: the
			// first of those that are all alike.
			if browser.Eval[bool](tab, `!!document.querySelector("main details")`) {
				openDrawers(tab, "main details:not(.figure, .drawers > *), main .drawers > :first-child, main .figure:nth-child(-n+3)")
			}
			for i, l := range looks {
				size(t, tab, l.width, l.height, l.width < 1000)
				browser.Eval[bool](tab, `(document.documentElement.style.fontSize = "`+l.scale+`", true)`)
				// innerWidth grows with what is too wide.
				if over := browser.Eval[int64](tab, `document.documentElement.scrollWidth`) - l.width; over > 0 {
					t.Errorf("%s %s, %d px wide, text at %s: %d px too wide", lang, cmp.Or(view, "case"), l.width, l.scale, over)
				}
				// The two sizes of text on the two devices, crossed over from
				// language to language.
				if i != 1+n%2 && i != 4-n%2 {
					continue
				}
				runs++
				found := browser.Eval[[]string](tab, `axe.run(document, {iframes: false, resultTypes: ["violations"]})
				.then(r => r.violations.map(v => v.id + ": " + v.nodes.slice(0, 3).map(n => n.target.join(" ") + " " + (n.failureSummary || "")).join("; ")))`)
				for _, f := range found {
					t.Errorf("%s %s, %d px wide, text at %s: %s", lang, cmp.Or(view, "case"), l.width, l.scale, f)
				}
			}
			browser.Eval[bool](tab, `(document.documentElement.removeAttribute("style"), true)`)
		}
	}
	t.Logf("%d screens looked at", runs)
	// A planted fault is found.
	browser.Eval[bool](tab, `(() => { document.querySelector("main").append(document.createElement("img")); return true; })()`)
	if n := browser.Eval[int](tab, `axe.run(document, {iframes: false}).then(r => r.violations.length)`); n == 0 {
		t.Error("a picture without a text is not found")
	}
}

// Everything that is tapped is large enough for a finger, the teeth of the chart
// on a phone too: 44 CSS pixels (WCAG 2.2, 2.5.5).
func TestFingersFit(t *testing.T) {
	_, tab := open(t)
	demo(tab, "en")
	for _, d := range []struct{ width, height int64 }{{320, 640}, {390, 844}, {768, 1024}, {1024, 768}, {1366, 900}} {
		size(t, tab, d.width, d.height, d.width < 1000)
		for _, view := range place.Views {
			walk(tab, "en", view)
			if w := browser.Eval[int](tab, `document.documentElement.scrollWidth`); int64(w) > d.width {
				t.Errorf("%s at %d: %d wide", cmp.Or(view, "case"), d.width, w)
			}
			small := browser.Eval[[]string](tab, `[...document.querySelectorAll("button, select, summary, label.chip, label.opener, nav a, .next, input[type=text], input[type=tel], textarea")]
				.filter(e => e.checkVisibility() && !e.closest("#bars")).map(e => [e, e.getBoundingClientRect()])
				.filter(([e, r]) => r.height < 43.5 || r.width < 43.5).map(([e, r]) => (e.id || e.className || e.textContent) + " " + Math.round(r.width) + "x" + Math.round(r.height))`)
			if len(small) > 0 {
				t.Errorf("%s at %d: too small: %q", cmp.Or(view, "case"), d.width, small)
			}
		}
		walk(tab, "en", "")
		tab.Wait(fmt.Sprintf(`document.querySelector(".chart.slim") ? %d < 690 : %d >= 690`, d.width, d.width))
		// The room of a tooth is a circle; no two of them meet.
		teeth := browser.Eval[[]string](tab, `(() => {
			const all = [...document.querySelectorAll(".tooth")].map(g => [g.id, g.querySelector(".room").getBoundingClientRect()]);
			const out = all.filter(([, r]) => Math.min(r.width, r.height) < 43.95).map(([id, r]) => id + " " + r.width);
			for (const [i, a] of all) for (const [j, b] of all)
				if (i < j && Math.hypot(a.x - b.x, a.y - b.y) < Math.min(a.width, b.width) - 0.05) out.push(i + " meets " + j);
			return all.length === 32 ? out : ["not all teeth"];
		})()`)
		if len(teeth) > 0 {
			t.Errorf("teeth at %d: %q", d.width, teeth)
		}
	}
}

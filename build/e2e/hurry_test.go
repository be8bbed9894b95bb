package e2e

import (
	"testing"

	"plainleaf/build/browser"
)

// On a small screen, upright or sideways, what stands above a screen takes little
// of it: the menus open by a button and shut when something is chosen. On a tablet
// they are always in sight. A patient who reads a paper has no buttons.
func TestMenusFoldOnASmallScreen(t *testing.T) {
	srv, tab := open(t)
	demo(tab, "en")
	shows := func(selector string) bool {
		return browser.Eval[bool](tab, `document.querySelector('`+selector+`').checkVisibility()`)
	}
	for _, d := range []struct {
		width, height int64
		small         bool
	}{{320, 640, true}, {390, 844, true}, {844, 390, true}, {768, 1024, false}, {1024, 768, false}} {
		size(t, tab, d.width, d.height, true)
		tab.Settle()
		for _, menu := range []string{"views", "languages"} {
			if shows("#fold-"+menu) != d.small || shows("#menu-"+menu) == d.small {
				t.Errorf("%d by %d, %s: button %t, menu %t", d.width, d.height, menu, shows("#fold-"+menu), shows("#menu-"+menu))
			}
		}
		if !d.small {
			continue
		}
		if top := browser.Eval[int64](tab, `Math.round(document.getElementById("head").getBoundingClientRect().top + scrollY)`); top*5 > d.height && top > 80 {
			t.Errorf("%d by %d: the screen begins at %d", d.width, d.height, top)
		}
		tab.Click("#fold-views")
		tab.Wait(`document.getElementById("menu-views").checkVisibility() && document.getElementById("fold-views").getAttribute("aria-expanded") === "true"`)
		tab.Click("#fold-languages")
		tab.Wait(`document.getElementById("menu-languages").checkVisibility() && !document.getElementById("menu-views").checkVisibility()`)
		speak(tab, "ar", "case")
		tab.Wait(`!document.getElementById("menu-languages").checkVisibility()`)
		walk(tab, "ar", "routes")
		tab.Wait(`!document.getElementById("menu-views").checkVisibility() && document.activeElement.id === "head"`)
		walk(tab, "ar", "")
		speak(tab, "en", "case")
	}
	clean(t, srv, tab)
}

// Who goes on without a way chosen is told so, and chooses it there.
func TestTheWayIsChosenAmongTheWays(t *testing.T) {
	srv, tab := open(t)
	tab.Goto("/en/")
	ready(tab, "en", "case")
	tab.Click("#tooth-21")
	walk(tab, "en", "routes")
	tab.Wait(`document.getElementById("unplanned-faults")`)
	tab.Click("label:has(#route-no-prep)")
	tab.Wait(`document.querySelector(".card.chosen[data-route=no-prep]") && document.activeElement.id === "head"`)
	// A tooth is missing: the way is not asked for again.
	walk(tab, "en", "")
	tab.Click("#tooth-21")
	walk(tab, "en", "routes")
	tab.Wait(`document.getElementById("unplanned-faults")`)
	if browser.Eval[bool](tab, `!!document.getElementById("route")`) {
		t.Error("the way is asked for although it is chosen")
	}
	clean(t, srv, tab)
}

// The dentist's advice stays with the way it was given for, and says so, until
// the dentist gives it for another one.
func TestAdviceStaysWithItsWay(t *testing.T) {
	srv, tab := open(t)
	demo(tab, "en")
	walk(tab, "en", "understanding")
	typed(tab, "advice", "Plenty of enamel")
	walk(tab, "en", "routes")
	tab.Click("#take-crown")
	tab.Wait(`document.getElementById("updated").textContent.includes("still for: No-prep veneers")`)
	walk(tab, "en", "understanding")
	tab.Wait(`document.getElementById("advised-else").textContent.includes("No-prep veneers")`)
	tab.Click("#advice-move")
	tab.Wait(`!document.getElementById("advised-else") && document.getElementById("advice").value === "Plenty of enamel"`)
	if a := caseOf(t, tab).Advice; a == nil || a.Route != "crown" {
		t.Errorf("%+v", a)
	}
	clean(t, srv, tab)
}

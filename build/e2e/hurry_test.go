package e2e

import (
	"strings"
	"testing"

	"github.com/chromedp/chromedp/kb"

	"plainleaf/app/casefile"
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
	srv, tab := demoAt(t, "understanding")
	typed(tab, "advice", "Plenty of enamel")
	walk(tab, "en", "routes")
	tab.Click("#take-minimal-prep")
	tab.Wait(`document.getElementById("updated").textContent.includes("still for: Veneers without drilling")`)
	walk(tab, "en", "understanding")
	tab.Wait(`document.getElementById("advised-else").textContent.includes("Veneers without drilling")`)
	tab.Click("#advice-move")
	tab.Wait(`!document.getElementById("advised-else") && document.getElementById("advice").value === "Plenty of enamel"`)
	if a := caseOf(t, tab).Advice; a == nil || a.Route != "minimal-prep" {
		t.Errorf("%+v", a)
	}
	clean(t, srv, tab)
}

// What is half typed belongs to its case: it does not turn up in the next one that
// is opened, nor in what is kept of that.
func TestWhatIsHalfTypedStaysWithItsCase(t *testing.T) {
	srv, tab := open(t)
	tab.Goto("/en/")
	ready(tab, "en", "case")
	upload(t, tab, "open-case", "one.json", caseFile(t, "at-try-in", func(*casefile.Case) {}))
	ready(tab, "en", "visit")
	tab.Click("#again-changed")
	tab.Wait(`document.getElementById("again-note-fault")`)
	typed(tab, "again-note", "zebra lantern")
	pickValue(tab, "departure-step", "switch-one-tooth-to-prep")
	tab.Click("label:has(#departure-tooth-21)")
	typed(tab, "departure-size", "much")
	walk(tab, "en", "understanding")
	typed(tab, "question-new", "zebra question")
	walk(tab, "en", "")
	upload(t, tab, "open-case", "two.json", caseFile(t, "delivered", func(*casefile.Case) {}))
	tab.Wait(`document.getElementById("notices").textContent.includes("two.json")`)
	walk(tab, "en", "understanding")
	if got := browser.Eval[string](tab, `document.getElementById("question-new").value`); got != "" {
		t.Errorf("a question of another patient: %q", got)
	}
	walk(tab, "en", "visit")
	if got := browser.Eval[string](tab, `document.getElementById("again-note").value + document.getElementById("departure-step").value`); got != "-" {
		t.Errorf("from another patient: %q", got)
	}
	written(t, tab)
	tab.Reload()
	ready(tab, "en", "visit")
	if got := browser.Eval[string](tab, everywhere); strings.Contains(got, "zebra") {
		t.Error("what was typed for another patient comes back with this case")
	}
	clean(t, srv, tab)
}

// A row of the agreed days keeps its place while its day is typed, so that the
// field does not move away, and each field holds its own day.
func TestAgreedDaysKeepTheirPlaces(t *testing.T) {
	srv, tab := open(t)
	tab.Goto("/en/")
	ready(tab, "en", "case")
	upload(t, tab, "open-case", "days.json", caseFile(t, "agreed-days", func(*casefile.Case) {}))
	chosen(tab, 2)
	walk(tab, "en", "sheets")
	const first = "agreed-consultation-1-date"
	tab.Wait(`document.getElementById("` + first + `")`)
	rows := func() string {
		return browser.Eval[string](tab, `[...document.querySelectorAll("#agreed-list [id$=-date]")].map(e => e.id + "=" + e.value).join()`)
	}
	before := rows()
	if !strings.HasPrefix(before, first+"=2026-12-02,") {
		t.Fatalf("rows %q", before)
	}
	retype(tab, first, "2027-01-20")
	tab.Wait(`document.querySelector("#agreed-list [data-conflict]")`)
	if got, want := rows(), strings.Replace(before, "2026-12-02", "2027-01-20", 1); got != want {
		t.Errorf("rows %q, want %q", got, want)
	}
	if focused(tab) != first {
		t.Errorf("the focus is on %q", focused(tab))
	}
	clean(t, srv, tab)
}

// A date that cannot be read is told on every screen that goes on with the one before.
func TestADateThatCannotBeReadIsTold(t *testing.T) {
	srv, tab := open(t)
	demo(tab, "en")
	typed(tab, "start", "3.2.2027")
	tab.Wait(`document.getElementById("start-fault")`)
	for _, view := range []string{"routes", "numbers", "chair", "understanding", "visit"} {
		walk(tab, "en", view)
		tab.Wait(`document.getElementById("unsettled") && document.getElementById("unsettled").textContent.includes("not a date")`)
	}
	tab.Click("#unsettled a")
	ready(tab, "en", "case")
	typed(tab, "start", "2027-02-03")
	tab.Wait(`!document.getElementById("start-fault")`)
	walk(tab, "en", "routes")
	if n := browser.Eval[int](tab, `document.querySelectorAll("#unsettled").length`); n > 0 {
		t.Error("told although it is mended")
	}
	clean(t, srv, tab)
}

// What stands under the sheet, which is long, is one tap away from the top.
func TestUnderTheSheetIsOneTapAway(t *testing.T) {
	srv, tab := open(t)
	toConsent(tab, "en")
	sheetReady(tab, "consent")
	for _, to := range []string{"signing", "seal", "agreed", "take"} {
		browser.Eval[bool](tab, `(scrollTo(0, 0), true)`)
		tab.Click("#to-" + to)
		tab.Wait(`(r => r.top >= 0 && r.bottom < innerHeight)(document.getElementById("` + to + `-head").getBoundingClientRect()) && document.activeElement.id === "` + to + `-head"`)
	}
	// Nobody signs the choices.
	kindOf(tab, "options")
	tab.Wait(`!document.getElementById("to-seal") && document.getElementById("to-agreed")`)
	clean(t, srv, tab)
}

// A button that is gone after it was pressed leaves the focus at the heading over it,
// not at the top of the page, and nothing moves.
func TestAButtonThatGoesLeavesTheFocusThere(t *testing.T) {
	srv, tab := open(t)
	demo(tab, "en")
	pressKey := func(id, want string) {
		t.Helper()
		tab.Wait(`document.getElementById("` + id + `")`)
		y := browser.Eval[int](tab, `(document.getElementById("`+id+`").focus(), Math.round(scrollY))`)
		press(tab, kb.Enter)
		tab.Wait(`document.activeElement.id === "` + want + `"`)
		if now := browser.Eval[int](tab, `Math.round(scrollY)`); y > 0 && now == 0 {
			t.Errorf("%s: the page went from %d to its top", id, y)
		}
	}
	walk(tab, "en", "routes")
	pressKey("take-conventional-prep", "route-head-conventional-prep")
	walk(tab, "en", "visit")
	pickValue(tab, "departure-step", "remake-by-lab")
	tab.Click("label:has(#departure-tooth-21)")
	tab.Click("#departure-add")
	pressKey("departure-0-out", "departures-head")
	walk(tab, "en", "")
	upload(t, tab, "open-case", "bad.json", []byte("{"))
	pressKey("case-file-drop", "file-head")
	clean(t, srv, tab)
}

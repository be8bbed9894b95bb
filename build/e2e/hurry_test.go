package e2e

import (
	"fmt"
	"slices"
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
		tab.Wait(`!document.getElementById("menu-views") && document.activeElement.id === "head"`)
		walk(tab, "ar", "")
		speak(tab, "en", "case")
	}
	clean(t, srv, tab)
}

// A screen that needs an option says that none is chosen, and lets one choose it there.
func TestTheOptionIsChosenAmongThem(t *testing.T) {
	srv, tab := open(t)
	tab.Goto("/en/")
	ready(tab, "en", "case")
	tab.Click("#tooth-21")
	walk(tab, "en", "routes")
	tab.Wait(`document.getElementById("unplanned")`)
	tab.Click("#take-no-prep")
	following(tab, "no-prep")
	tab.Wait(`!document.getElementById("unplanned") && document.activeElement.id === "take-no-prep"`)
	// A tooth is missing: the option stays chosen.
	walk(tab, "en", "")
	tab.Click("#tooth-21")
	walk(tab, "en", "routes")
	tab.Wait(`document.getElementById("unplanned")`)
	following(tab, "no-prep")
	clean(t, srv, tab)
}

// The dentist's advice is for the option that is marked, whatever the case follows; it has
// a reason, none is there at first, and a second tap takes it back and leaves the reason.
func TestAdviceStaysWithItsOption(t *testing.T) {
	srv, tab := open(t)
	tab.Goto("/en/")
	ready(tab, "en", "case")
	upload(t, tab, "open-case", "ten.json", caseFile(t, "ten-teeth-no-prep", func(c *casefile.Case) { c.Advice = nil }))
	chosen(tab, 10)
	walk(tab, "en", "routes")
	tab.Wait(`document.getElementById("advice")`)
	if n := browser.Eval[int](tab, `document.querySelectorAll('[id^=advise-][aria-pressed="true"]').length`); n != 0 {
		t.Errorf("%d advised before anybody did", n)
	}
	typed(tab, "advice", "Plenty of enamel")
	tab.Wait(`document.getElementById("advice-hint")`)
	tab.Click("#advise-no-prep")
	pressed(tab, "advise-no-prep", true)
	tab.Click("#take-minimal-prep")
	following(tab, "minimal-prep")
	pressed(tab, "advise-no-prep", true)
	if a := caseOf(t, tab).Advice; a == nil || *a != (casefile.Advice{Route: casefile.NoPrep, Reason: "Plenty of enamel"}) {
		t.Errorf("%+v", a)
	}
	walk(tab, "en", "routes")
	tab.Click("#advise-minimal-prep")
	pressed(tab, "advise-minimal-prep", true)
	pressed(tab, "advise-no-prep", false)
	tab.Click("#advise-minimal-prep")
	pressed(tab, "advise-minimal-prep", false)
	tab.Wait(`document.getElementById("advice").value === "Plenty of enamel"`)
	if a := caseOf(t, tab).Advice; a != nil {
		t.Errorf("taken back: %+v", a)
	}
	written(t, tab)
	tab.Reload()
	ready(tab, "en", "case")
	walk(tab, "en", "routes")
	tab.Wait(`document.getElementById("advice").value === "Plenty of enamel"`)
	clean(t, srv, tab)
}

// An option that is taken off the table asks why; the reason, and that it is off, are in
// the case, and a second tap puts it back.
func TestAnOptionIsTakenOffTheTable(t *testing.T) {
	srv, tab := demoAt(t, "routes")
	following(tab, "no-prep")
	tab.Click("#offer-none")
	tab.Click("#offer-no-prep")
	tab.Click("#offer-conventional-prep")
	typed(tab, "why-not-conventional-prep", "Too deep at the neck")
	tab.Click("#offer-direct-composite")
	tab.Wait(`document.getElementById("why-not-direct-composite")`)
	want := map[casefile.Route]bool{casefile.None: true, casefile.NoPrep: true, casefile.ConventionalPrep: false, casefile.DirectComposite: false}
	for r, on := range want {
		tab.Wait(fmt.Sprintf(`document.getElementById("offer-%s").getAttribute("aria-checked") === "%t"`, r, on))
	}
	c := caseOf(t, tab)
	for _, o := range c.Offered {
		if o.Not && o != (casefile.Offer{Route: casefile.ConventionalPrep, Not: true, Reason: "Too deep at the neck"}) || o.Route == casefile.DirectComposite {
			t.Errorf("%+v", o)
		}
	}
	walk(tab, "en", "routes")
	tab.Click("#offer-direct-composite")
	tab.Click("#offer-conventional-prep")
	tab.Wait(`!document.querySelector('[id^=why-not-]')`)
	if c := caseOf(t, tab); len(c.Offered) > 0 {
		t.Errorf("all are back, and the case says %+v", c.Offered)
	}
	clean(t, srv, tab)
}

// A tap in the list of visits agrees on a day; the list shows what conflicts with it.
func TestADayIsAgreedOnTheList(t *testing.T) {
	srv, tab := open(t)
	tab.Goto("/en/")
	ready(tab, "en", "case")
	upload(t, tab, "open-case", "days.json", caseFile(t, "agreed-days", func(*casefile.Case) {}))
	chosen(tab, 2)
	walk(tab, "en", "visits")
	const first = "agreed-consultation-1"
	tab.Click("#" + first)
	tab.Wait(`document.getElementById("` + first + `-date").value === "2026-12-02"`)
	typed(tab, first+"-date", "2027-01-20")
	tab.Wait(`document.getElementById("` + first + `").textContent.includes("January 20, 2027") && document.getElementById("visits").textContent.includes("Before the agreed day of a visit that has to come first: January 20, 2027.")`)
	typed(tab, first+"-time", "quarter past")
	tab.Wait(`document.getElementById("` + first + `-time-fault")`)
	typed(tab, first+"-time", "9:15")
	tab.Wait(`!document.getElementById("` + first + `-time-fault") && document.getElementById("` + first + `").textContent.includes("9:15")`)
	tab.Click("#" + first + "-out")
	tab.Wait(`document.getElementById("` + first + `-set")`)
	if c := caseOf(t, tab); slices.ContainsFunc(c.Visits, func(v casefile.AgreedVisit) bool { return v.Key == "consultation" }) {
		t.Errorf("%+v", c.Visits)
	}
	clean(t, srv, tab)
}

// The day of the first visit is a tap on the list of visits, and what cannot be is mended
// there.
func TestTheFirstVisitIsSetOnTheList(t *testing.T) {
	srv, tab := demoAt(t, "visits")
	day := c7(tab)
	tab.Click("#start-at-" + day)
	tab.Wait(`document.getElementById("start").value === "` + day + `"`)
	if c := caseOf(t, tab); c.Start.String() != day {
		t.Errorf("the first visit is on %s", c.Start)
	}
	clean(t, srv, tab)
}

// c7 is the day a week from the day of the screen, as the chip for it has it.
func c7(tab *browser.Tab) string {
	tab.Wait(`document.querySelectorAll("#start-at button").length === 2`)
	return browser.Eval[string](tab, `document.querySelectorAll("#start-at button")[1].dataset.key`)
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
	for _, view := range []string{"routes", "numbers", "visits", "chair", "understanding", "visit"} {
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

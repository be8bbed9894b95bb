package e2e

import (
	"bytes"
	"cmp"
	"fmt"
	"maps"
	"os"
	"slices"
	"strings"
	"testing"

	"plainleaf/app/casefile"
	"plainleaf/app/place"
	"plainleaf/build/browser"
)

// everyState walks through the states the screens can be in beyond the first look
// at the demo case, in one language, and calls look in each. What matters in the
// state is scrolled to, or "" for the top of the screen.
func everyState(t *testing.T, lang string, look func(tab *browser.Tab, name, at string)) {
	t.Helper()
	dir := browser.Site(t, browser.Options(t))
	srv := browser.Serve(t, dir)
	b := browser.Open(t, srv)
	tab := b.Tab()
	size(t, tab, 768, 1024, true)
	see := func(name, at string) { t.Helper(); look(tab, name, at) }
	go_ := func(view string) {
		t.Helper()
		if browser.Eval[string](tab, `document.getElementById("app").dataset.view`) != cmp.Or(view, "case") {
			walk(tab, lang, view)
		}
	}

	// load opens a case of the tests in the language of the screen.
	load := func(name string, change func(*casefile.Case)) {
		t.Helper()
		go_("")
		upload(t, tab, "open-case", name+".json", caseFile(t, name, func(c *casefile.Case) {
			c.Locale = lang
			if change != nil {
				change(c)
			}
		}))
		tab.Wait(fmt.Sprintf(`document.getElementById("notices").textContent.includes("%s.json") || document.getElementById("app").dataset.view === "visit"`, name))
	}
	// again puts the demo case in place of what is open.
	again := func() {
		t.Helper()
		go_("")
		tab.Click("#demo-case")
		chosen(tab, 10)
	}

	// Nothing is entered yet.
	tab.Goto("/" + lang + "/")
	ready(tab, lang, "case")
	for _, view := range place.Views {
		if view != "" {
			go_(view)
		}
		see("empty-"+cmp.Or(view, "case"), "")
	}
	go_("")
	tab.Click("#quick-range")
	tab.Click("#tooth-14")
	tab.Wait(`document.getElementById("range-next").textContent.length > 20`)
	see("range", "")
	tab.Click("#quick-range")
	written(t, tab)

	// One tooth; the rest of a case is still to be said.
	tab.Goto("/" + lang + "/")
	ready(tab, lang, "case")
	chosen(tab, 1)
	see("one-case", "")
	go_("routes")
	see("one-routes", "")
	go_("chair")
	see("one-chair", "")
	load("two-teeth", func(c *casefile.Case) {
		c.Teeth, c.Answers, c.Events = c.Teeth[:1], nil, nil
	})
	see("one-way-case", "")
	for _, view := range []string{"routes", "chair", "visit"} {
		go_(view)
		see("one-way-"+view, "")
	}

	load("mixed-routes", nil)
	see("mixed-case", "")
	for _, view := range []string{"routes", "numbers", "visits", "chair"} {
		go_(view)
		see("mixed-"+view, "")
	}
	go_("")
	openDrawers(tab, "main .drawers > *")
	see("mixed-each", "#each-head")

	load("ten-teeth-no-prep", func(c *casefile.Case) {
		c.Teeth, c.Answers = nil, nil
		for q := 1; q <= 4; q++ {
			for n := 1; n <= 7; n++ {
				c.Teeth = append(c.Teeth, casefile.ToothEntry{Tooth: casefile.Tooth(10*q + n)})
			}
		}
	})
	see("all28-case", "")
	for _, view := range []string{"routes", "visit", "chair"} {
		go_(view)
		if view == "chair" {
			openDrawers(tab, "main .change:first-of-type")
		}
		see("all28-"+view, "")
	}

	load("two-teeth", func(c *casefile.Case) {
		*c = casefile.Case{Version: 1, Issued: c.Issued, Start: c.Start, Locale: lang, Route: casefile.None, Teeth: c.Teeth, HorizonYears: 10, Detail: "numbers"}
	})
	for _, view := range []string{"routes", "numbers", "visits", "chair", "understanding", "visit"} {
		go_(view)
		see("none-"+view, "")
	}
	load("whitening-then-no-prep", nil)
	see("then-case", "#way-head")
	for _, view := range []string{"routes", "visit"} {
		go_(view)
		see("then-"+view, "")
	}
	load("waits-private", func(c *casefile.Case) { c.Second = "" })
	see("private-case", "")
	openDrawers(tab, "#dentist-side")
	see("private-side", "#dentist-side")
	for _, view := range []string{"routes", "chair", "sheets"} {
		go_(view)
		see("private-"+view, "")
	}
	load("minor-interpreter", nil)
	see("people-case", "#people-head")

	// Files and fields with faults.
	bad, err := os.ReadFile("../../testdata/bad/several.json")
	if err != nil {
		t.Fatal(err)
	}
	upload(t, tab, "open-case", "several.json", bad)
	tab.Wait(`document.getElementById("case-file-text") && document.querySelectorAll("#case-file-text ~ * .faults li, .faults li").length > 0`)
	see("bad-file", "#file-head")
	bad, err = os.ReadFile("../../testdata/bad/truncated.json")
	if err != nil {
		t.Fatal(err)
	}
	upload(t, tab, "open-case", "truncated.json", bad)
	tab.Wait(`document.getElementById("notices").textContent.includes("truncated.json") && document.activeElement.id === "case-file-text"`)
	tab.Settle()
	see("bad-text", "")
	again()
	typed(tab, "start", "3.2.27")
	tab.Wait(`document.getElementById("start-fault")`)
	see("fault-date", "#start-fault")
	go_("routes")
	see("fault-routes", "")
	go_("sheets")
	tab.Wait(`document.getElementById("sheet-faults")`)
	see("fault-sheets", "#preview-head")
	go_("visit")
	see("fault-visit", "")

	// The way changed and changed again: told what it changed.
	again()
	go_("routes")
	tab.Click("#take-direct-composite")
	following(tab, "direct-composite")
	tab.Wait(`document.querySelector("#updated p")`)
	see("updated", "")
	// Every answer no; then all that can be answered at once.
	load("ten-teeth-no-prep", func(c *casefile.Case) { c.Answers = nil })
	go_("chair")
	browser.Eval[bool](tab, `(document.querySelectorAll("main .change").forEach(d => d.open = true), true)`)
	tab.Wait(`document.querySelectorAll('[id^=answer-][id$=-no]').length > 20`)
	const open = `[...document.querySelectorAll('[id^=answer-][id$=-no]:not([id*="-all-"])')]`
	browser.Eval[bool](tab, `(`+open+`.forEach(b => b.click()), true)`)
	tab.Wait(open + `.every(b => b.getAttribute("aria-pressed") === "true")`)
	see("noes-chair", "")

	// Later visits.
	load("at-try-in", nil)
	ready(tab, lang, "visit")
	see("tryin-visit", "")
	pickValue(tab, "departure-step", "switch-one-tooth-to-prep")
	tab.Click("#departure-add")
	tab.Wait(`document.getElementById("departure-teeth-fault")`)
	tab.Click("label:has(#departure-tooth-21)")
	typed(tab, "departure-size", "1.5")
	tab.Wait(`document.getElementById("departure-draft-warning")`)
	see("tryin-departure", "#departures-head")
	pickValue(tab, "departure-step", "facial-contouring")
	tab.Click("label:has(#departure-tooth-21)")
	tab.Click("#departure-answer")
	tab.Wait(`document.getElementById("departure-said-fault")`)
	typed(tab, "departure-fee", "much")
	tab.Wait(`document.getElementById("departure-fee-fault")`)
	see("tryin-question", "#departures-head")
	tab.Click("#again-changed")
	tab.Wait(`document.getElementById("again-note-fault")`)
	see("again-fault", "#again-head")
	go_("sheets")
	see("tryin-sheets", "")
	tab.Click("label:has(#kind-change)")
	sheetReady(tab, "change")
	see("change-sheets", "#preview-head")
	see("change-sign", "#signing-head")
	load("delivered", func(c *casefile.Case) { c.Second = "" })
	go_("visit")
	see("delivered-visit", "")
	go_("sheets")
	sheetReady(tab, "aftercare")
	see("delivered-sheets", "")
	see("delivered-code", "#take-code")
	address := text(tab, "#code-text")
	load("agreed-days", nil)
	go_("sheets")
	tab.Wait(`document.getElementById("agreed-head")`)
	see("agreed-days", "#agreed-head")
	browser.Eval[bool](tab, `(document.querySelectorAll('#agreed-list [id$=-set]').forEach(b => b.click()), true)`)
	tab.Wait(`document.querySelector('#agreed-list [id$=-date]')`)
	first := browser.Eval[string](tab, `document.querySelector('#agreed-list [id$=-date]').id`)
	typed(tab, first, "2026-12-25")
	see("agreed-against", "#agreed-head")

	// Signing and what follows.
	again()
	go_("sheets")
	tab.Click("label:has(#kind-consent)")
	tab.Wait(`document.getElementById("kind-consent").checked`)
	if lang != "en" {
		pickValue(tab, "sheet-second", "")
		tab.Wait(`document.getElementById("sheet-faults")`)
		see("unsigned-words", "#preview-head")
		pickValue(tab, "sheet-second", "en")
	}
	sheetReady(tab, "consent")
	see("sign-first", "#signing-head")
	openDrawers(tab, "#paper")
	typed(tab, "paper-on", "10.12.")
	tab.Wait(`document.querySelector("#paper-on-fault li")`)
	see("sign-on-paper", "#paper")
	tab.Click("label:has(#decision-refused)")
	tab.Wait(`document.getElementById("refused")`)
	see("sign-refused", "#signing-head")
	tab.Click("label:has(#decision-agreed)")
	tab.Wait(`document.getElementById("open-points") && !document.getElementById("signers")`)
	tab.Click("#seal-go")
	tab.Wait(`document.getElementById("seal-fault")`)
	see("sign-held", "#seal-head")
	settle(tab, lang)
	tab.Click("label:has(#decision-agreed)")
	tab.Click("#sign-patient")
	drag(t, tab, [2]float64{10, 60}, [2]float64{20, 20}, [2]float64{30, 70}, [2]float64{45, 30}, [2]float64{60, 60}, [2]float64{85, 40})
	see("sign-draw", "#sign-form")
	tab.Click("#sign-done")
	tab.Wait(`document.getElementById("sign-fault") || document.querySelector('#signers [data-signed="patient"]')`)
	if browser.Eval[bool](tab, `!!document.getElementById("sign-fault")`) {
		see("sign-lacks", "#sign-form")
		typed(tab, "sign-name", "Testperson")
		tab.Click("#sign-done")
	}
	signedBy(tab, "patient")
	tab.Click("#sign-dentist")
	tab.Click("label:has(#sign-way-paper)")
	tab.Wait(`document.getElementById("sign-paper")`)
	see("sign-paper", "#sign-form")
	tab.Click("#sign-cancel")
	see("signed", "#signing-head")
	smoking := func() {
		go_("")
		tab.Click("label:has(#finding-smoking)")
		go_("sheets")
	}
	smoking()
	tab.Wait(`document.getElementById("aside")`)
	see("aside", "#signing-head")
	smoking()
	signedBy(tab, "patient")
	file, _ := sealedFile(t, tab)
	see("sealed", "#seal-head")
	smoking()
	tab.Wait(`document.getElementById("purpose-superseding")`)
	tab.Click("label:has(#purpose-superseding)")
	tab.Wait(`document.getElementById("earlier-is")`)
	see("superseding", "#signing-head")
	smoking()
	tab.Wait(`document.getElementById("purpose-withdrawal")`)
	tab.Click("label:has(#purpose-withdrawal)")
	tab.Wait(`document.getElementById("earlier-is")`)
	see("withdrawal", "#signing-head")
	tab.Click("#sign-patient")
	tab.Click("label:has(#sign-way-typed)")
	tab.Wait(`document.getElementById("sign-way-typed").checked && !document.getElementById("sign-pad")`)
	typed(tab, "sign-name", "Testperson")
	tab.Click("#sign-done")
	signedBy(tab, "patient")
	sealedFile(t, tab)
	go_("visit")
	tab.Wait(`document.getElementById("withdrawn")`)
	see("withdrawn-visit", "")
	go_("sheets")
	tab.Click("label:has(#kind-change)") // a new consent comes first
	tab.Wait(`document.querySelector('#sheet-faults [data-fault="SHEET-WITHDRAWN"]')`)
	see("withdrawn-change", "#preview-head")
	go_("records")
	see("records", "")
	upload(t, tab, "record-file", "record.json", file)
	tab.Wait(`document.getElementById("verdicts")`)
	see("record-good", "#verify-head")
	upload(t, tab, "record-file", "changed.json", bytes.Replace(file, []byte(`"heading":"`), []byte(`"heading":"+`), 1))
	tab.Wait(`document.getElementById("where")`)
	see("record-changed", "#verify-head")
	tab.Click("#key-make")
	tab.Wait(`document.getElementById("key-phrase")`)
	see("key-make", "#key-head")
	tab.Click("#key-cancel")
	go_("")
	tab.Click("#clear")
	tab.Wait(`document.getElementById("clear-ask")`)
	see("clear-signed", "#clear-ask")
	nextPatient(tab)
	see("cleared", "")

	// The practice, with faults.
	go_("practice")
	typed(tab, "fee-no-prep-per_tooth", "1.2.3")
	typed(tab, "practice-telephone", "ring us")
	tab.Wait(`document.getElementById("numbers-change")`)
	see("practice-faults", "#numbers-change")
	see("practice-fees", "#fee-no-prep-per_tooth")
	tab.Click("#demo-back")
	tab.Click("#demo-back-yes")
	tab.Wait(`!document.getElementById("numbers-change") && document.getElementById("practice-telephone").value.startsWith("+1")`)
	// A paper on a phone: from the code, and a code that cannot be read.
	if hash := strings.Index(address, "#"); hash > 0 {
		browser.Eval[bool](tab, fmt.Sprintf(`(location.hash = %q, true)`, address[hash:]))
		ready(tab, lang, "paper")
		tab.Wait(`document.getElementById("paper")`)
		see("paper", "")
		browser.Eval[bool](tab, `(location.hash = "#p=%%%", true)`)
		tab.Wait(`document.getElementById("paper-faults")`)
		see("paper-bad", "")
	} else {
		t.Errorf("%s: the code leads to %q", lang, address)
	}

	states(t, tab, lang, func(name string) {
		at := map[string]string{"form": "#keep-form", "kept": "#kept", "drop": "#kept", "open": "#open-form", "attached": "#clear-ask", "practice": "#numbers-change"}[name]
		see("keep-"+name, at)
	})

	// Another window has the case; nothing can be kept; an update waits.
	two := b.Tab()
	size(t, two, 768, 1024, true)
	two.Goto("/" + lang + "/")
	ready(two, lang, "case")
	two.Wait(`document.getElementById("elsewhere")`)
	look(two, "elsewhere", "")
	two.Close()
	for name, script := range map[string]string{
		"insecure": `Object.defineProperty(window, "isSecureContext", { get: () => false });
			Object.defineProperty(Crypto.prototype, "subtle", { get: () => undefined });`,
		"no-storage": `Object.defineProperty(window, "indexedDB", { get: () => ({ open() { throw new Error("blocked"); } }) });`,
	} {
		bare := browser.Open(t, srv).Tab()
		size(t, bare, 768, 1024, true)
		bare.OnNewDocument(script)
		bare.Goto("/" + lang + "/?demo")
		ready(bare, lang, "case")
		bare.Wait(`document.getElementById("keep-not")`)
		look(bare, name, "#keep-not")
		bare.Close()
	}
	fresh := browser.Open(t, srv).Tab()
	size(t, fresh, 768, 1024, true)
	demo(fresh, lang)
	fresh.WaitOffline()
	o := browser.Options(t)
	o.Wordings = maps.Clone(o.Wordings)
	o.Wordings["es"] = append(slices.Clone(o.Wordings["es"]), "\n"...)
	browser.Publish(t, o, dir)
	browser.Eval[bool](fresh, `navigator.serviceWorker.ready.then((r) => r.update()).then(() => true)`)
	fresh.Wait(`document.querySelector('[data-bar="Update"]')`)
	look(fresh, "update", "")
	browser.Eval[bool](fresh, `(window.dispatchEvent(new ErrorEvent("error", {message: "planted"})), true)`)
	fresh.Wait(`document.querySelector('[data-bar="Stopped"]')`)
	look(fresh, "stopped", "")
	fresh.Close()
}

// TestStatesInPictures is TestPictures for the states beyond the first look.
func TestStatesInPictures(t *testing.T) {
	dir := os.Getenv("PLAINLEAF_PICTURES")
	if dir == "" {
		t.Skip("PLAINLEAF_PICTURES is not set")
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	for _, lang := range pictured() {
		t.Run(lang, func(t *testing.T) {
			t.Parallel()
			album := newAlbum(t, dir, "states-"+lang+".html")
			everyState(t, lang, func(tab *browser.Tab, name, at string) {
				t.Helper()
				album.take(tab, "states-"+name, lang, at)
			})
		})
	}
}

// outgrown lists what is wider inside than its own box, so that text stands over a
// border or is cut off.
const outgrown = `[...document.querySelectorAll("#app *, #bars *")].filter(e => e instanceof HTMLElement && e.checkVisibility() &&
	e.clientWidth > 1 && e.scrollWidth > e.clientWidth + 1 && !["SELECT", "INPUT", "TEXTAREA", "IFRAME"].includes(e.tagName) && !e.closest(".opener") &&
	getComputedStyle(e).clipPath === "none" &&
	(e.matches(".chip, .notice, .field, .fact, .card, .bar") || [...e.childNodes].some(n => n.nodeType === Node.TEXT_NODE && n.data.trim())))
	.slice(0, 4).map(e => (e.id || e.className || e.tagName) + ": " + e.textContent.slice(0, 40) + " " + e.scrollWidth + ">" + e.clientWidth)`

// No state has a violation that axe-core can find, from right to left, or is too wide
// or too small for a finger, with long words on the narrowest screen and with text of
// twice the size.
func TestEveryStateIsAccessible(t *testing.T) {
	for _, lang := range []string{"es", "ar"} {
		t.Run(lang, func(t *testing.T) {
			t.Parallel()
			seen := 0
			everyState(t, lang, func(tab *browser.Tab, name, _ string) {
				t.Helper()
				seen++
				if lang == "ar" {
					axeClean(t, tab, "ar "+name)
				}
				fits(t, tab, lang+" "+name)
				size(t, tab, 768, 1024, true)
			})
			if seen < 80 {
				t.Errorf("only %d states", seen)
			}
		})
	}
}

// fits reports what has no room on a phone with text of twice the size, or on the
// narrowest screen, and what is too small for a finger there.
func fits(t *testing.T, tab *browser.Tab, name string) {
	t.Helper()
	for _, l := range []struct {
		width, height int64
		scale         string
	}{{390, 844, "200%"}, {320, 640, "100%"}} {
		size(t, tab, l.width, l.height, true)
		browser.Eval[bool](tab, `(document.documentElement.style.fontSize = "`+l.scale+`", true)`)
		// innerWidth grows with what is too wide.
		if over := browser.Eval[int64](tab, `document.documentElement.scrollWidth`) - l.width; over > 0 {
			t.Errorf("%s, %d px wide, text at %s: %d px too wide", name, l.width, l.scale, over)
		}
		if out := browser.Eval[[]string](tab, outgrown); len(out) > 0 {
			t.Errorf("%s, %d px wide, text at %s: grows out of its box: %q", name, l.width, l.scale, out)
		}
	}
	browser.Eval[bool](tab, `(document.documentElement.removeAttribute("style"), true)`)
	small := browser.Eval[[]string](tab, `[...document.querySelectorAll("button, select, summary, label.chip, label.opener, nav a, .next, input[type=text], input[type=tel], input[type=password], input[type=email], textarea")]
		.filter(e => e.checkVisibility()).map(e => [e, e.getBoundingClientRect()])
		.filter(([e, r]) => r.height < 43.5 || r.width < 43.5).map(([e, r]) => (e.id || e.className || e.textContent) + " " + Math.round(r.width) + "x" + Math.round(r.height))`)
	if len(small) > 0 {
		t.Errorf("%s: too small: %q", name, small)
	}
	wordless(t, tab)
}

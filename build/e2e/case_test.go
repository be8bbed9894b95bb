package e2e

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"plainleaf/app/casefile"
	demofile "plainleaf/app/demo"
	"plainleaf/app/fault"
	"plainleaf/app/place"
	"plainleaf/app/printout"
	"plainleaf/app/produce"
	"plainleaf/app/sheet"
	"plainleaf/build/browser"
	"plainleaf/content"
	"plainleaf/i18n"
)

// languages are those of the screens.
func languages() []string { return i18n.Tags(i18n.ScreenLanguages()) }

// A ten-tooth case with six findings, one of them on four teeth and one dark
// tooth, takes at most 40 taps (the project's own goal).
func TestATenToothCaseInFortyTaps(t *testing.T) {
	srv, tab := open(t)
	tab.Goto("/en/")
	ready(tab, "en", "case")
	taps := 0
	tap := func(selector string) {
		t.Helper()
		tab.Click(selector)
		taps++
	}
	list := func(id, value string) {
		pickValue(tab, id, value)
		taps += 2 // the list, then its entry
	}
	tap("#quick-front10")
	chosen(tab, 10)
	tap("#tooth-25") // a slip, mended by a second tap
	chosen(tab, 9)
	tap("#tooth-25")
	chosen(tab, 10)
	tap("label:has(#route-no-prep)")
	tap("label:has(#material-lithium-disilicate)")
	list("target", "A1")
	tap("label:has(#finding-bruxism)")
	tap("#finding-tight-contacts")
	for _, tooth := range []string{"15", "14", "24", "25"} {
		tap("label:has(#which-tight-contacts-" + tooth + ")")
	}
	tap("#finding-one-dark-tooth")
	tap("label:has(#which-one-dark-tooth-21)")
	tap("#finding-spaces-diastema")
	tap("label:has(#which-spaces-diastema-11)")
	tap("label:has(#which-spaces-diastema-21)")
	tap("label:has(#finding-smoking)")
	tap("label:has(#finding-dental-anxiety)")
	tap("#each-21 > summary")
	list("each-21-shade", "C4")
	tap("label:has(#wish-keep-enamel)")
	tap("label:has(#wish-longest-lasting)")
	list("age", "adult")
	if got := text(tab, "#summary p"); !strings.Contains(got, "10 teeth") || !strings.Contains(got, "6 findings") {
		t.Errorf("summary %q", got)
	}
	tap("#summary .next")
	ready(tab, "en", "routes")
	following(tab, "no-prep")
	t.Logf("%d taps", taps)
	if taps > 40 {
		t.Errorf("%d taps", taps)
	}
	if n := browser.Eval[int](tab, `document.querySelectorAll("#ways tr.now").length`); n != 1 {
		t.Errorf("%d options that the case follows", n)
	}
	// Every option has the same cells.
	if cells := browser.Eval[[]int](tab, `[...document.querySelectorAll("#ways tbody tr")].map(l => l.children.length)`); len(cells) != 11 || slices.Min(cells) != 6 || slices.Max(cells) != 6 {
		t.Errorf("cells %v", cells)
	}
	clean(t, srv, tab)
}

// focused is the id of the element with the focus.
func focused(tab *browser.Tab) string {
	return browser.Eval[string](tab, `document.activeElement ? document.activeElement.id : ""`)
}

func press(tab *browser.Tab, keys string) {
	tab.Do(chromedp.KeyEvent(keys))
	tab.Settle()
}

// tabTo presses the tab key until the element has the focus.
func tabTo(t *testing.T, tab *browser.Tab, id string) {
	t.Helper()
	var seen []string
	for range 120 {
		tab.Do(chromedp.KeyEvent(kb.Tab)) // moves the focus at once and draws nothing
		at := focused(tab)
		if at == id {
			return
		}
		seen = append(seen, at)
	}
	t.Fatalf("the tab key does not reach %s; it went %q", id, seen)
}

func TestACaseByKeyboardAlone(t *testing.T) {
	srv, tab := open(t)
	tab.Goto("/en/")
	ready(tab, "en", "case")
	tabTo(t, tab, "tooth-11")
	if got := browser.Eval[string](tab, `document.activeElement.getAttribute("aria-label")`); got != "upper right first incisor, 11" {
		t.Errorf("tooth 11 is called %q", got)
	}
	press(tab, " ")
	chosen(tab, 1)
	for _, x := range []struct{ key, id string }{
		{kb.ArrowRight, "tooth-21"}, {kb.ArrowRight, "tooth-22"}, {kb.ArrowDown, "tooth-32"},
		{kb.ArrowLeft, "tooth-31"}, {kb.ArrowUp, "tooth-21"}, {kb.Home, "tooth-18"}, {kb.ArrowLeft, "tooth-18"},
		{kb.End, "tooth-28"}, {kb.ArrowRight, "tooth-28"},
	} {
		press(tab, x.key)
		tab.Wait(fmt.Sprintf("document.activeElement.id === %q", x.id))
	}
	press(tab, kb.Enter)
	chosen(tab, 2)
	press(tab, kb.Enter)
	chosen(tab, 1)
	// One stop for the whole chart.
	if n := browser.Eval[int](tab, `document.querySelectorAll('.tooth[tabindex="0"]').length`); n != 1 {
		t.Errorf("%d teeth take the tab key", n)
	}
	tabTo(t, tab, "route-none")
	press(tab, kb.ArrowDown)
	tab.Wait(`document.getElementById("route-whitening-home").checked && document.activeElement.id === "route-whitening-home"`)
	tab.Wait(`document.querySelector("#summary p").textContent.includes("hitening")`)
	tabTo(t, tab, "issued")
	press(tab, kb.End)
	press(tab, "x")
	tab.Wait(`document.querySelector("#issued-fault li") && document.getElementById("issued").value.endsWith("x")`)
	if got := browser.Eval[string](tab, `document.getElementById("issued").getAttribute("aria-describedby")`); !strings.Contains(got, "issued-fault") {
		t.Errorf("the fault is not tied to its field: %q", got)
	}
	press(tab, kb.Backspace)
	tab.Wait(`!document.getElementById("issued-fault")`)
	clean(t, srv, tab)
}

func TestAnotherLanguageKeepsTheCase(t *testing.T) {
	srv, tab := open(t)
	demo(tab, "en")
	browser.Eval[bool](tab, `(window.__same = true)`)
	tab.Click("label:has(#finding-smoking)")
	tab.Wait(`document.getElementById("finding-smoking").checked`)
	for _, lang := range []string{"ar", "es", "en", "ar"} {
		speak(tab, lang, "case")
		l, _ := i18n.Lookup(lang)
		if dir := browser.Eval[string](tab, "document.documentElement.dir"); dir != l.Dir {
			t.Errorf("%s: direction %s", lang, dir)
		}
		if path := browser.Eval[string](tab, "location.pathname"); path != "/"+lang+"/" {
			t.Errorf("%s: at %s", lang, path)
		}
		if !browser.Eval[bool](tab, "window.__same === true") {
			t.Fatalf("%s: the page was loaded anew", lang)
		}
		chosen(tab, 10)
		if !browser.Eval[bool](tab, `document.getElementById("finding-smoking").checked && document.getElementById("route-no-prep").checked`) {
			t.Errorf("%s: the case is changed", lang)
		}
		if browser.Eval[bool](tab, `document.body.dataset.shellOffline === ""`) {
			t.Errorf("%s: the words of the frame are gone", lang)
		}
		// The patient's right stays on the viewer's left.
		if !browser.Eval[bool](tab, `document.getElementById("tooth-18").getBoundingClientRect().left < document.getElementById("tooth-28").getBoundingClientRect().left`) {
			t.Errorf("%s: the chart is mirrored", lang)
		}
		wordless(t, tab)
	}
	clean(t, srv, tab)
}

// native makes a sheet from a case file as the command does.
func native(t *testing.T, caseFile []byte, kind sheet.Kind, size string, who printout.Identifiers) (html, text []byte) {
	t.Helper()
	base, faults := content.Load()
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	words := base.Vocabulary(languages())
	p, faults := casefile.ReadPractice(demofile.Practice, words)
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	c, faults := casefile.ReadCase(caseFile, words)
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	docs, _, faults := produce.Docs(produce.Input{Case: c, Practice: p, Base: base, Kind: kind, Locale: c.Locale, Second: c.Second,
		Wording: func(tag string) (*i18n.Wording, fault.List) {
			data, _ := i18n.Embedded(tag)
			return i18n.Load(tag, data, produce.Overrides(p, tag))
		},
		States: i18n.States,
	})
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	o := printout.Options{Paper: "a4", Size: size, Identifiers: who}
	html, err := printout.HTML(docs, o)
	if err != nil {
		t.Fatal(err)
	}
	text, err = printout.Text(docs, o)
	if err != nil {
		t.Fatal(err)
	}
	return html, text
}

// sheetReady waits until the sheet of a kind is in the frame.
func sheetReady(tab *browser.Tab, kind string) {
	tab.Wait(fmt.Sprintf(`(() => {
		const f = document.getElementById("sheet");
		return f && document.getElementById("kind-%s").checked && f.contentDocument && f.contentDocument.querySelector(".sheet") && f.height;
	})()`, kind))
}

// What is seen is what is printed and what the command writes, byte by byte, in
// every language, alone or beside another.
func TestThePreviewIsTheSheet(t *testing.T) {
	srv, tab := open(t)
	for _, lang := range languages() {
		demo(tab, lang)
		caseFile := saved(t, tab, "#save-case", "case.json")
		walk(tab, lang, "sheets")
		kinds := []sheet.Kind{sheet.Options, sheet.Aftercare}
		if lang == "en" {
			kinds = sheet.Kinds()
		}
		for _, kind := range kinds {
			tab.Click(fmt.Sprintf("label:has(#kind-%s)", kind))
			if kind == sheet.Change { // nothing is agreed that could change
				tab.Wait(`document.querySelector('#sheet-faults [data-fault="SHEET-NO-AGREEMENT"]') && !document.getElementById("sheet")`)
				continue
			}
			html, plain := native(t, caseFile, kind, "normal", printout.Identifiers{})
			want := strings.TrimSpace(string(html))
			tab.Wait(fmt.Sprintf(`document.getElementById("sheet") && document.getElementById("sheet").srcdoc.length > 0 && document.getElementById("kind-%s").checked`, kind))
			if got := browser.Eval[string](tab, `document.getElementById("sheet").srcdoc`); got != want {
				t.Errorf("%s %s: the preview differs from the command's output: %s", lang, kind, difference(got, want))
				continue
			}
			sheetReady(tab, string(kind))
			if kind == sheet.Options {
				name := "options-" + lang
				var c casefile.Case
				if err := json.Unmarshal(caseFile, &c); err != nil {
					t.Fatal(err)
				}
				if c.Second != "" {
					name += "-" + c.Second
				} else if lang != "en" { // the practice's language stands beside words that nobody signed off
					name += "-en"
				}
				if got := saved(t, tab, "#save-html", name+".html"); !bytes.Equal(got, html) {
					t.Errorf("%s: the saved page differs: %s", lang, difference(string(got), string(html)))
				}
				if got := saved(t, tab, "#save-text", name+".txt"); !bytes.Equal(got, plain) {
					t.Errorf("%s: the saved text differs: %s", lang, difference(string(got), string(plain)))
				}
			}
		}
		// The frame's own style is let through by the policy.
		if got := browser.Eval[string](tab, `getComputedStyle(document.getElementById("sheet").contentDocument.querySelector(".sheet")).fontFamily`); !strings.HasPrefix(got, "Arial") && lang != "ar" {
			t.Errorf("%s: the sheet's style is not applied (%s)", lang, got)
		}
	}
	clean(t, srv, tab)
}

func difference(got, want string) string {
	i := 0
	for i < len(got) && i < len(want) && got[i] == want[i] {
		i++
	}
	cut := func(s string) string { return s[max(0, min(i-60, len(s))):min(len(s), i+80)] }
	return fmt.Sprintf("at byte %d\n got …%s…\nwant …%s…", i, cut(got), cut(want))
}

func TestNamesAndLargePrintAndTwoLanguages(t *testing.T) {
	srv, tab := open(t)
	demo(tab, "en")
	pickValue(tab, "second", "ar")
	caseFile := saved(t, tab, "#save-case", "case.json")
	if bytes.Contains(caseFile, []byte("Testperson")) {
		t.Error("a name in the case file")
	}
	walk(tab, "en", "sheets")
	pickValue(tab, "size", "large")
	tab.Do(chromedp.SendKeys(chromedp.CSS("#person-name"), "Testperson <b>", chromedp.NodeVisible))
	html, _ := native(t, caseFile, sheet.Options, "large", printout.Identifiers{Name: "Testperson <b>"})
	want := strings.TrimSpace(string(html))
	tab.Wait(`document.getElementById("sheet") && document.getElementById("sheet").srcdoc.includes("Testperson &lt;b&gt;")`)
	if got := browser.Eval[string](tab, `document.getElementById("sheet").srcdoc`); got != want {
		t.Errorf("%s", difference(got, want))
	}
	if again := browser.Eval[string](tab, `JSON.stringify([localStorage, sessionStorage, document.cookie, location.href])`); strings.Contains(again, "Testperson") {
		t.Errorf("the name is kept: %s", again)
	}
	// The print button prints the frame, not the screen.
	sheetReady(tab, "options")
	screen := browser.Eval[string](tab, `document.title`)
	browser.Eval[bool](tab, `(() => { document.getElementById("sheet").contentWindow.print = () => { window.__printed = (window.__printed || 0) + 1; window.__called = document.title; };
		window.print = () => { window.__wrong = true; }; return true; })()`)
	tab.Click("#print")
	tab.Wait(`window.__printed === 1 && !window.__wrong`)
	// The browser offers the page's title as the file name: the sheet's own while it prints.
	if name := browser.Eval[string](tab, `window.__called`); name == screen || name != browser.Eval[string](tab, `document.getElementById("sheet").contentDocument.title`) {
		t.Errorf("it is printed as %q", name)
	}
	browser.Eval[bool](tab, `document.getElementById("sheet").contentWindow.dispatchEvent(new Event("afterprint"))`)
	if name := browser.Eval[string](tab, `document.title`); name != screen {
		t.Errorf("after printing the page is called %q, before %q", name, screen)
	}
	clean(t, srv, tab)

	saved := saved(t, tab, "#save-html", "options-en-ar.html")
	paper(t, tab, saved)
}

// paper prints a saved sheet to PDF: a file that stands by itself.
func paper(t *testing.T, tab *browser.Tab, html []byte) {
	t.Helper()
	file := filepath.Join(t.TempDir(), "sheet.html")
	if err := os.WriteFile(file, html, 0o600); err != nil {
		t.Fatal(err)
	}
	tab.Do(chromedp.Navigate("file://" + file))
	pdf, err := chromedp.Run(tab.Ctx, chromedp.PrintToPDF())
	if err != nil {
		t.Fatal(err)
	}
	if pages := regexp.MustCompile(`/Type /Page\b`).FindAll(pdf, -1); !bytes.HasPrefix(pdf, []byte("%PDF-")) || len(pages) < 2 {
		t.Errorf("%d bytes with %d pages are no printed sheet", len(pdf), len(pages))
	}
}

func TestEverythingWorksWithoutANetwork(t *testing.T) {
	srv, tab := open(t)
	demo(tab, "en")
	tab.WaitOffline()
	srv.Stop()
	tab.Reload()
	ready(tab, "en", "case")
	if !tab.Unreachable() {
		t.Fatal("the server still answers; this proves nothing")
	}
	for _, lang := range languages() {
		demo(tab, lang)
		tab.Wait(`document.getElementById("route-no-prep").checked`)
		walk(tab, lang, "routes")
		following(tab, "no-prep")
		walk(tab, lang, "sheets")
		sheetReady(tab, "options")
		wordless(t, tab)
	}
	if len(srv.Outside()) > 0 {
		t.Errorf("asked of other servers: %q", srv.Outside())
	}
}

func TestABrokenFileIsToldAndKept(t *testing.T) {
	srv, tab := open(t)
	demo(tab, "en")
	bad := strings.Replace(string(demofile.Case), `"15"`, `"19"`, 1)
	bad = strings.Replace(bad, `"A1"`, `"Z9"`, 1)
	for name, data := range map[string]string{"bad.json": bad, "letter.json": "Dear <b>colleague</b>", "empty.json": ""} {
		upload(t, tab, "open-case", name, []byte(data))
		tab.Wait(fmt.Sprintf(`document.getElementById("case-file") && document.getElementById("case-file-head").textContent.includes(%q)`, name))
		if got := browser.Eval[string](tab, `document.getElementById("case-file-text").value`); got != data {
			t.Errorf("%s: the text is not kept: %q", name, got)
		}
		said := browser.Eval[[]string](tab, `[...document.querySelectorAll("#case-file [data-fault]")].map(e => e.dataset.fault + " " + e.textContent)`)
		if len(said) == 0 {
			t.Errorf("%s: nothing is said", name)
		}
		for _, s := range said {
			if strings.Contains(s, "program found something") {
				t.Errorf("%s: %s", name, s)
			}
		}
		if name == "bad.json" && len(said) < 2 {
			t.Errorf("one fault hides another: %q", said)
		}
		chosen(tab, 10)
	}
	// Mended in place, it opens.
	upload(t, tab, "open-case", "mend.json", []byte(bad)) // a name of its own tells it from the one before
	tab.Wait(`document.getElementById("case-file-head").textContent.includes("mend.json")`)
	browser.Eval[bool](tab, fmt.Sprintf(`(() => { const a = document.getElementById("case-file-text");
		a.value = %s; a.dispatchEvent(new Event("input", {bubbles: true})); return true; })()`, quote(string(demofile.Case))))
	tab.Click("#case-file-again")
	tab.Wait(`!document.getElementById("case-file")`)
	chosen(tab, 10)

	walk(tab, "en", "practice")
	number := browser.Eval[string](tab, `document.getElementById("practice-telephone").value`)
	other := strings.Replace(string(demofile.Practice), number, "+1 202-555-0199", 1)
	upload(t, tab, "open-practice", "p.json", []byte(other))
	tab.Wait(`document.getElementById("offer")`)
	if got := text(tab, "#offer"); !strings.Contains(got, number) || !strings.Contains(got, "+1 202-555-0199") {
		t.Errorf("the numbers are not shown side by side: %q", got)
	}
	if got := browser.Eval[string](tab, `document.getElementById("practice-telephone").value`); got != number {
		t.Errorf("replaced before a yes: %q", got)
	}
	tab.Click("#offer-yes")
	tab.Wait(`document.getElementById("practice-telephone").value === "+1 202-555-0199" && !document.getElementById("offer")`)
	upload(t, tab, "open-practice", "q.json", []byte("{"))
	tab.Wait(`document.querySelector("#practice-bad [data-fault]") && document.getElementById("practice-file-text").value === "{"`)
	clean(t, srv, tab)
}

func TestClearLeavesNothing(t *testing.T) {
	srv, tab := open(t)
	demo(tab, "en")
	const mark = "Qqmarkqq"
	tab.Do(chromedp.SendKeys(chromedp.CSS("#companion"), mark, chromedp.NodeVisible))
	tab.Do(chromedp.SendKeys(chromedp.CSS("#start"), mark, chromedp.NodeVisible))
	tab.Click("#dentist-side > summary")
	tab.Click("#dentist-side .chip")
	tab.Click("#each-21 > summary")
	upload(t, tab, "open-case", mark+".json", []byte(mark))
	tab.Wait(`document.getElementById("case-file")`)
	walk(tab, "en", "sheets")
	tab.Do(chromedp.SendKeys(chromedp.CSS("#person-name"), mark, chromedp.NodeVisible))
	walk(tab, "en", "")
	if !browser.Eval[bool](tab, `[...document.querySelectorAll("input, textarea")].some(e => e.value.includes("`+mark+`"))`) {
		t.Fatal("the mark is nowhere; this proves nothing")
	}
	tab.Click("#clear")
	tab.Wait(`document.activeElement.id === "clear-no"`)
	tab.Click("#clear-no")
	tab.Wait(`!document.getElementById("clear-ask")`)
	chosen(tab, 10)
	tab.Click("#clear")
	nextPatient(tab)
	for _, view := range []string{"", "routes", "chair", "sheets"} {
		walk(tab, "en", view)
		left := browser.Eval[string](tab, `document.documentElement.outerHTML + [...document.querySelectorAll("input, textarea, select")].map(e => e.value).join("|")`)
		if strings.Contains(left, mark) {
			t.Errorf("%s: something is left", view)
		}
	}
	walk(tab, "en", "")
	if browser.Eval[bool](tab, `document.getElementById("dentist-side").open || [...document.querySelectorAll("input[type=checkbox], input[type=radio]")].some(e => e.checked)`) {
		t.Error("the dentist's side is open or something is still chosen")
	}
	kept := browser.Eval[string](tab, `(async () => JSON.stringify([localStorage, sessionStorage, document.cookie, await indexedDB.databases(), location.href, history.state]))()`)
	if strings.Contains(kept, mark) {
		t.Errorf("kept: %s", kept)
	}
	clean(t, srv, tab)
}

// A private finding shows on no screen that the patient looks at.
func TestAPrivateFindingStaysPrivate(t *testing.T) {
	srv, tab := open(t)
	demo(tab, "en")
	base, faults := content.Load()
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	data, _ := i18n.Embedded("en")
	words, faults := i18n.Load("en", data, nil)
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	before := text(tab, "#summary p")
	tab.Click("#dentist-side > summary")
	var names []string
	for _, f := range base.Findings {
		if !f.Private || f.Scope != "case" || len(f.AgeBands) > 0 {
			continue
		}
		name, err := words.Text("finding."+f.Key+".name", nil, "")
		if err != nil {
			t.Fatal(err)
		}
		if slices.ContainsFunc(f.Excludes, func(x string) bool { return x != "" }) {
			continue
		}
		names = append(names, name)
		tab.Click("label:has(#finding-" + f.Key + ")")
		tab.Wait(`document.getElementById("finding-` + f.Key + `").checked`)
	}
	if len(names) == 0 {
		t.Fatal("no private finding to choose")
	}
	if got := text(tab, "#summary p"); got != before {
		t.Errorf("the summary changed from %q to %q", before, got)
	}
	for _, view := range place.Views[1:] {
		walk(tab, "en", view)
		if view == "sheets" {
			sheetReady(tab, "options")
		}
		page := browser.Eval[string](tab, `document.body.innerText + [...document.querySelectorAll("iframe")].map(f => f.srcdoc).join()`)
		for _, n := range names {
			if strings.Contains(page, n) {
				t.Errorf("%s names %q", view, n)
			}
		}
	}
	walk(tab, "en", "routes")
	neutral, _ := words.Text("wait.talk-again", nil, "")
	if !strings.Contains(text(tab, "#app"), neutral) {
		t.Error("the neutral line is missing")
	}
	clean(t, srv, tab)
}

func TestAFailedStepDoesNotLoseThePage(t *testing.T) {
	_, tab := open(t)
	demo(tab, "en")
	tabTo(t, tab, "tooth-15")
	browser.Eval[bool](tab, `(() => { window.__focus = SVGElement.prototype.focus;
		SVGElement.prototype.focus = () => { throw new Error("planted"); }; return true; })()`)
	press(tab, kb.ArrowRight)
	tab.Wait(`document.getElementById("trouble")`)
	chosen(tab, 10)
	browser.Eval[bool](tab, `(() => { SVGElement.prototype.focus = window.__focus; return true; })()`)
	tab.Click("#trouble-close")
	tab.Wait(`!document.getElementById("trouble")`)
	tab.Click("#tooth-16")
	chosen(tab, 11)
	walk(tab, "en", "chair")
	if c := tab.Console(); !slices.ContainsFunc(c, func(s string) bool { return strings.Contains(s, "planted") }) {
		t.Errorf("the planted failure left no trace: %q", c)
	}
}

// Answers start blank, one tap for all teeth is offered only where the step can
// be undone, and a second press takes an answer back.
func TestAnswersInTheChair(t *testing.T) {
	srv, tab := open(t)
	tab.Goto("/en/")
	ready(tab, "en", "case")
	tab.Click("#quick-front10")
	tab.Click("label:has(#route-no-prep)")
	walk(tab, "en", "chair")
	tab.Wait(`document.querySelectorAll(".change").length > 3`)
	if n := browser.Eval[int](tab, `document.querySelectorAll('.answers [aria-pressed="true"]').length`); n > 0 {
		t.Errorf("%d answers before anybody was asked", n)
	}
	base, _ := content.Load()
	openDrawers(tab, ".change")
	forAll := browser.Eval[[]string](tab, `[...document.querySelectorAll(".change")].filter(c => c.querySelector('[id$="-all-agree"]')).map(c => c.dataset.change)`)
	if len(forAll) == 0 {
		t.Error("no step can be answered for all teeth at once")
	}
	for _, key := range forAll {
		if c := base.Change(key); c == nil || c.Reversible != "yes" {
			t.Errorf("%s can be agreed to for all teeth at once", key)
		}
	}
	const change = "opening-contacts" // answered per contact, from either side of it
	id := "#answer-" + change + "-11-21-"
	tab.Click(id + "ask")
	tab.Wait(`document.querySelector("` + id + `ask").getAttribute("aria-pressed") === "true"`)
	tab.Click(id + "no")
	tab.Wait(`document.querySelector("` + id + `no").getAttribute("aria-pressed") === "true" && document.querySelector("` + id + `ask").getAttribute("aria-pressed") === "false"`)
	tab.Wait(`document.querySelector("#change-` + change + ` .own").textContent.startsWith("1 of 11 places")`)
	tab.Click(id + "no")
	tab.Wait(`document.querySelectorAll('.answers [aria-pressed="true"]').length === 0`)
	clean(t, srv, tab)
}

package e2e

import (
	"cmp"
	"encoding/json"
	"fmt"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"plainleaf/app/casefile"
	demofile "plainleaf/app/demo"
	"plainleaf/app/place"
	"plainleaf/app/plan"
	"plainleaf/build/browser"
	"plainleaf/content"
	"plainleaf/i18n"
)

// typed puts a text into a field as a keyboard does, in one go.
func typed(tab *browser.Tab, id, text string) {
	tab.Wait(fmt.Sprintf(`document.getElementById(%q)`, id))
	browser.Eval[bool](tab, fmt.Sprintf(`(() => { const f = document.getElementById(%q); f.value = %s;
		f.dispatchEvent(new Event("input", {bubbles: true})); return true; })()`, id, quote(text)))
	tab.Settle()
}

// pressed waits until a button is down or up.
func pressed(tab *browser.Tab, id string, on bool) {
	tab.Wait(fmt.Sprintf(`document.getElementById(%q) && document.getElementById(%q).getAttribute("aria-pressed") === "%t"`, id, id, on))
}

func caseOf(t *testing.T, tab *browser.Tab) casefile.Case {
	t.Helper()
	walk(tab, browser.Eval[string](tab, "document.documentElement.lang"), "")
	var c casefile.Case
	if err := json.Unmarshal(saved(t, tab, "#save-case", "case.json"), &c); err != nil {
		t.Fatal(err)
	}
	return c
}

// The figures of how long things last are the dentist's side, each with its certainty, and
// where they come from is one tap away; what the patient sees is entered beside them.
func TestHowLongItLasts(t *testing.T) {
	srv, tab := demoAt(t, "numbers")
	tab.Wait(`document.querySelectorAll("#lasts-0 tbody tr").length > 2`)
	for _, line := range browser.Eval[[]string](tab, `[...document.querySelectorAll("#lasts-0 tbody tr:not(.faint)")].map(l => l.textContent)`) {
		if !strings.Contains(line, "(could be") || !strings.Contains(line, "moderate") && !strings.Contains(line, "low") && !strings.Contains(line, "high") {
			t.Errorf("a line without range or certainty: %q", line)
		}
	}
	for _, line := range browser.Eval[[]string](tab, `[...document.querySelectorAll("#lasts-0 tbody tr.faint")].map(l => l.textContent)`) {
		if !strings.Contains(line, "Not known · ") && !strings.Contains(line, "Too uncertain to say · ") {
			t.Errorf("a line without a reason: %q", line)
		}
	}
	tab.Click("#whence")
	tab.Wait(`document.querySelector("#whence-body li")`)
	if got := text(tab, "#whence-body"); !strings.Contains(got, "=") || !strings.Contains(got, "doi") && !strings.Contains(got, "20") {
		t.Errorf("no arithmetic or source: %.300q", got)
	}
	tab.Click("#detail-words")
	tab.Wait(`document.getElementById("detail-words").getAttribute("aria-checked") === "true"`)
	if c := caseOf(t, tab); c.Detail != "words" {
		t.Errorf("detail %q", c.Detail)
	}
	clean(t, srv, tab)
}

// Teeth that do not last alike have tables of their own, and porcelain is not held against
// filling material from other practices.
func TestUnlikeTeethOnTheNumbersScreen(t *testing.T) {
	srv, tab := open(t)
	demo(tab, "en")
	c, faults := casefile.ReadCase(demofile.Case, content.MustLoad().Vocabulary(languages()))
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	c.Priorities, c.Detail, c.Findings, c.Answers = []string{"longest-lasting"}, "numbers", nil, nil
	c.Route, c.Material = casefile.NoPrep, casefile.LithiumDisilicate
	c.Teeth = []casefile.ToothEntry{{Tooth: 11, Findings: []string{"dentin-unsealed"}}, {Tooth: 21}, {Tooth: 22, Route: casefile.DirectComposite, Material: casefile.Composite}}
	file, err := json.Marshal(c)
	if err != nil {
		t.Fatal(err)
	}
	upload(t, tab, "open-case", "c.json", file)
	tab.Wait(`document.querySelector("main").textContent.includes("1. Have it last as long as possible")`)
	walk(tab, "en", "numbers")
	tab.Wait(`document.getElementById("apart")`)
	tables := browser.Eval[[]struct {
		Teeth         string
		Blanks, Lines int
	}](tab, `[...document.querySelectorAll('.panel[id^="lasts-"]')].map(p => ({
		Teeth: p.querySelector(".note").textContent,
		Blanks: p.querySelectorAll("tr.faint").length,
		Lines: p.querySelectorAll("tbody tr").length}))`)
	if len(tables) != 3 {
		t.Fatalf("%d tables: %+v", len(tables), tables)
	}
	for i, want := range []string{"Tooth 11", "Tooth 21", "Tooth 22"} {
		p := tables[i]
		if p.Teeth != want || (p.Blanks == p.Lines) != (i == 0) || p.Lines < 2 {
			t.Errorf("%s: %+v", want, p)
		}
	}
	walk(tab, "en", "routes")
	following(tab, "no-prep")
	if got := text(tab, "#ways"); strings.Contains(got, "of 100") {
		t.Errorf("how long it lasts is beside the options: %q", got)
	}
	tab.Click("#wish-longest-lasting")
	tab.Wait(`document.getElementById("wish-longest-lasting-body")`)
	if got := text(tab, `#wish-longest-lasting-body`); strings.Contains(got, "of 100") {
		t.Errorf("a mean of two settings: %q", got)
	}
	clean(t, srv, tab)
}

// Every option has a line and no treatment comes first; what the patient put first is one
// tap away; the usual enamel is never a number.
func TestTheOptionsBesideEachOther(t *testing.T) {
	srv, tab := demoAt(t, "routes")
	following(tab, "no-prep")
	if got := browser.Eval[string](tab, `document.querySelector("#ways tbody tr").dataset.line`); got != "none" {
		t.Errorf("%s comes first", got)
	}
	if n := browser.Eval[int](tab, `document.querySelectorAll("#more .fold[id^=wish-]").length`); n != 3 {
		t.Errorf("%d wishes", n)
	}
	if got := text(tab, "main"); strings.Contains(got, "typical") {
		t.Errorf("the usual enamel is told: %q", got)
	}
	// Changing the option brings the rest up to date and says so.
	tab.Click("#take-direct-composite")
	following(tab, "direct-composite")
	tab.Wait(`document.getElementById("updated").textContent.includes("Brought up to date")`)
	if got := text(tab, "#updated"); !strings.Contains(got, "does not go with this way") {
		t.Errorf("%q", got)
	}
	tab.Click("#updated-close")
	tab.Wait(`!document.getElementById("updated")`)
	tab.Click("#take-no-prep")
	following(tab, "no-prep")
	walk(tab, "en", "chair")
	tab.Click("#change-switch-one-tooth-to-prep > summary")
	pressed(tab, "answer-switch-one-tooth-to-prep-21-no", true) // the answer came back with the way
	clean(t, srv, tab)
}

// The screens tell what the plan has, as the sheets do: what the dark teeth mean for
// each option, why the last date is what it is, and what an option may cost in the long
// run; a private finding reaches them as time to talk only. In every language.
func TestColorLastDateAndLongRunCost(t *testing.T) {
	srv, tab := open(t)
	demo(tab, "en")
	base := content.MustLoad()
	words := base.Vocabulary(languages())
	c, faults := casefile.ReadCase(demofile.Case, words)
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	c.Priorities = []string{"lowest-lifetime-cost"}
	file, err := json.Marshal(c)
	if err != nil {
		t.Fatal(err)
	}
	practice, faults := casefile.ReadPractice(demofile.Practice, words)
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	pl, faults := plan.For(c, practice, base)
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	upload(t, tab, "open-case", "c.json", file)
	tab.Wait(`document.querySelector("main").textContent.includes("1. Lowest cost over the years")`)
	walk(tab, "en", "routes")
	for _, lang := range languages() {
		if lang != "en" {
			speak(tab, lang, "routes")
		}
		shades := browser.Eval[[]string](tab, `[...document.querySelectorAll("[id^=dark-], #wish-lowest-lifetime-cost")].filter(e => e.matches("button[aria-expanded=false]")).map(e => e.id)`)
		for _, id := range shades {
			tab.Click("#" + id)
			tab.Wait(fmt.Sprintf(`document.getElementById("%s-body")`, id))
		}
		data, _ := i18n.Embedded(lang)
		said, faults := i18n.Load(lang, data, nil)
		if len(faults) > 0 {
			t.Fatal(faults.Lines())
		}
		word := func(id string) string {
			s, err := said.Text(id, nil, "")
			if err != nil {
				t.Fatal(err)
			}
			return s
		}
		told := func(selector string, parts ...string) {
			t.Helper()
			tab.Wait(fmt.Sprintf(`document.querySelector(%q)`, selector))
			got := text(tab, selector)
			for _, part := range parts {
				if !strings.Contains(got, part) {
					t.Errorf("%s: %s does not say %q: %q", lang, selector, part, got)
				}
			}
		}
		rooms := 0
		for _, r := range pl.Routes {
			for _, x := range r.Colour {
				parts := []string{string(x.Underlying), word("show-through." + x.ShowThrough), word("route." + string(r.Key) + ".name")}
				if x.Room != "" {
					rooms++
					parts = append(parts, word("room."+x.Room))
				}
				if h := x.Published; h != nil && lang == "en" {
					parts = append(parts, fmt.Sprintf("porcelain of %v", h.Low), fmt.Sprintf("%v mm hid", h.High))
				}
				told(fmt.Sprintf(`#more:has(#dark-%s-body)`, x.Underlying), parts...)
			}
		}
		if rooms == 0 || len(pl.Adds) == 0 {
			t.Fatal("the case does not show what it should: ", rooms, pl.Adds)
		}
		if lang == "en" {
			told("#wish-lowest-lifetime-cost-body", "Within 10 years all of it together costs about", "with check-ups and new guards", "is likely to be replaced", "so we left it out")
		}
		walk(tab, lang, "visits")
		for _, a := range pl.Adds {
			told("#why-end", word("finding."+a.Finding+".name"))
			if lang == "en" {
				told("#why-end", "this adds about", "one after the other")
			}
		}
		walk(tab, lang, "routes")
	}
	speak(tab, "en", "routes")
	// A private finding: time to talk first, no dates, and not a word of why.
	c.Findings = append(c.Findings, "pressure-from-others")
	if file, err = json.Marshal(c); err != nil {
		t.Fatal(err)
	}
	walk(tab, "en", "")
	upload(t, tab, "open-case", "private.json", file)
	tab.Wait(`document.getElementById("notices").textContent.includes("private.json")`)
	walk(tab, "en", "visits")
	for _, lang := range languages() {
		if lang != "en" {
			speak(tab, lang, "visits")
		}
		data, _ := i18n.Embedded(lang)
		said, _ := i18n.Load(lang, data, nil)
		name, err := said.Text("finding.pressure-from-others.name", nil, "")
		if err != nil {
			t.Fatal(err)
		}
		tab.Wait(`document.getElementById("on-hold")`)
		for _, view := range []string{"routes", "numbers", "visits"} {
			walk(tab, lang, view)
			if strings.Contains(text(tab, "main"), name) {
				t.Errorf("%s: %s names a private finding", lang, view)
			}
		}
	}
	clean(t, srv, tab)
}

// The points to say back are this case's own, nothing is counted, and they stay
// the same points in another language.
func TestUnderstanding(t *testing.T) {
	srv, tab := demoAt(t, "understanding")
	prompts := browser.Eval[[]string](tab, `[...document.querySelectorAll("[data-prompt]")].map(e => e.dataset.prompt)`)
	for _, want := range []string{"sheet.teach.what", "page.teach.gain", "sheet.teach.undo", "sheet.teach.risk", "sheet.teach.others", "page.teach.care", "page.teach.call"} {
		if !slices.Contains(prompts, want) {
			t.Errorf("no prompt %s", want)
		}
	}
	const risk = "topic-risk-dark-tooth-shows-name"
	tab.Click("#" + risk + "-again")
	pressed(tab, risk+"-again", true)
	typed(tab, risk+"-note", "seen in the mock-up")
	tab.Click("#" + risk + "-said")
	pressed(tab, risk+"-said", true)
	typed(tab, "question-new", "May I eat at once?")
	tab.Click("#question-add")
	tab.Wait(`document.getElementById("question-2")`)
	typed(tab, "question-2", "After two hours.")
	speak(tab, "es", "understanding")
	pressed(tab, risk+"-said", true)
	if got := browser.Eval[string](tab, `document.getElementById("`+risk+`-note").value`); got != "seen in the mock-up" {
		t.Errorf("the note is %q", got)
	}
	speak(tab, "en", "understanding")
	c := caseOf(t, tab)
	back := c.TeachBacks()
	i := slices.IndexFunc(back, func(b casefile.TeachBack) bool { return b.Topic == "A dark tooth shines through" })
	if i < 0 || !back[i].Done || back[i].Note != "seen in the mock-up" {
		t.Errorf("said back: %+v", back)
	}
	if len(c.Questions) != 3 || c.Questions[2] != (casefile.Question{Asked: "May I eat at once?", Answer: "After two hours."}) {
		t.Errorf("questions: %+v", c.Questions)
	}
	clean(t, srv, tab)
}

// noted waits until the visit screen lists so many entries of what was asked, said and
// done otherwise than planned.
func noted(tab *browser.Tab, n int) {
	tab.Wait(fmt.Sprintf(`document.querySelectorAll("#departures-head ~ ul > [data-change]").length === %d`, n))
}

// A later visit, of a case that rests on a paper signed by hand: the answers are shown
// when they matter, a no is asked again only when the patient reopened it on another
// day, a step further than agreed is warned of, and the sheets say what was noted.
func TestALaterVisit(t *testing.T) {
	srv, tab := open(t)
	onDay(tab, "2027-01-05")
	demo(tab, "en")
	walk(tab, "en", "visit")
	tab.Click("#to-change") // nothing is agreed that could change
	ready(tab, "en", "sheets")
	tab.Wait(`document.querySelector('#sheet-faults [data-fault="SHEET-NO-AGREEMENT"]')`)
	tab.Click("label:has(#kind-consent)")
	sheetReady(tab, "consent")
	tab.Click("#paper > summary")
	typed(tab, "paper-on", "2027-01-04")
	tab.Click("#paper-go")
	tab.Wait(`document.querySelector("#notices").textContent.includes("still open")`)
	settleFindings(tab, "en")
	onDay(tab, "2027-01-20") // the trial smile was on January 5: the time to think is over
	tab.Goto("/en/sheets/")
	ready(tab, "en", "sheets")
	tab.Click("label:has(#kind-consent)")
	sheetReady(tab, "consent")
	openDrawers(tab, "#paper")
	typed(tab, "paper-on", "2026-11-28") // when the time to think was not over
	tab.Click("#paper-go")
	tab.Wait(`document.querySelector("#notices").textContent.includes("still open")`)
	typed(tab, "paper-on", "2027-01-15")
	typed(tab, "paper-kept", "scan 17")
	tab.Click("#paper-go")
	tab.Wait(`document.getElementById("paper-agreed")`)
	if got := text(tab, "#paper-agreed"); !strings.Contains(got, "January 15, 2027") || !strings.Contains(got, "demo-ten-teeth") {
		t.Errorf("it rests on %q", got)
	}
	walk(tab, "en", "visit")
	tab.Wait(`document.getElementById("stage-agreed").checked`)
	tab.Click("#again-same")
	tab.Wait(`document.getElementById("again-said")`)
	if got := text(tab, "#sitting-1-answers"); !strings.Contains(got, "No: tooth 21") || !strings.Contains(got, "Ask me first: tooth 21") {
		t.Errorf("beforehand: %q", got)
	}
	tab.Click("#sitting-1-shade-approved")
	pressed(tab, "sitting-1-shade-approved", true)
	pressed(tab, "sitting-1-shade-change", false)
	tab.Wait(`document.getElementById("stage-at-try-in").checked && document.getElementById("updated").textContent.includes("At the try-in")`)
	tab.Click("#sitting-1-length-change")
	pressed(tab, "sitting-1-length-change", true)
	typed(tab, "sitting-1-note", "shorter at 11")
	tab.Click("#sitting-1-glue-yes")
	pressed(tab, "sitting-1-glue-yes", true)
	// A no given now is not asked again today.
	step := func(change, tooth string) {
		t.Helper()
		pickValue(tab, "departure-step", change)
		tab.Click("label:has(#departure-tooth-" + tooth + ")")
		tab.Wait(`document.getElementById("departure-tooth-` + tooth + `").checked`)
	}
	step("facial-contouring", "11")
	tab.Click("#departure-answer") // nothing is said yet
	tab.Wait(`document.getElementById("departure-said-fault")`)
	tab.Click("label:has(#departure-said-no)")
	tab.Click("label:has(#departure-how-spoken)")
	tab.Click("#departure-answer")
	noted(tab, 2) // asked, answered
	step("facial-contouring", "11")
	tab.Wait(`document.getElementById("departure-reopen") && !document.getElementById("departure-answer") && !document.getElementById("departure-question")`)
	tab.Click("#departure-reopen")
	tab.Wait(`document.querySelector("#notices").textContent.includes("another day")`)
	noted(tab, 2)
	// That of the agreement was given on an earlier day.
	step("switch-one-tooth-to-prep", "21")
	tab.Wait(`document.getElementById("departure-draft-warning")`)
	if got := text(tab, "#departure-draft-warning"); !strings.Contains(got, "was no: 21") {
		t.Errorf("warned: %q", got)
	}
	tab.Click("#departure-reopen")
	noted(tab, 3)
	tab.Wait(`document.getElementById("departure-question") && !document.getElementById("departure-draft-warning").textContent.includes("was no")`)
	tab.Click("label:has(#departure-said-agree)")
	tab.Click("label:has(#departure-how-signal)")
	typed(tab, "departure-fee", "0")
	tab.Click("#departure-answer")
	noted(tab, 5)
	pressed(tab, "state-21-untouched", true) // asked is not done
	// Each is taken out by its own button, also when something noted before it is gone.
	tab.Click("#sitting-1-glue-yes")
	pressed(tab, "sitting-1-glue-yes", false)
	tab.Click("#departure-4-out")
	noted(tab, 4)
	step("switch-one-tooth-to-prep", "21")
	tab.Click("label:has(#departure-said-agree)")
	tab.Click("#departure-answer")
	noted(tab, 6)
	step("switch-one-tooth-to-prep", "21")
	// A size beyond the limit is told, at the chair and on the sheet for home.
	typed(tab, "departure-size", "much")
	tab.Wait(`document.getElementById("departure-size-fault")`)
	tab.Click("#departure-add")
	tab.Wait(`document.activeElement.id === "departure-size" && document.getElementById("departure-size").value === "much"`)
	typed(tab, "departure-size", "1.5")
	tab.Wait(`document.getElementById("departure-draft-warning").textContent.includes("More than agreed")`)
	typed(tab, "departure-note", "dark core")
	tab.Click("#departure-add")
	tab.Wait(`document.getElementById("departure-6-warning")`)
	pressed(tab, "state-21-shaped", true)
	tab.Click("#to-change")
	ready(tab, "en", "sheets")
	sheetReady(tab, "change")
	sheet := func() string {
		return browser.Eval[string](tab, `document.getElementById("sheet").contentDocument.body.textContent`)
	}
	for _, want := range []string{"dark core", "Tooth 21: Some tooth was taken off for good.", "what these teeth need"} {
		if !strings.Contains(sheet(), want) {
			t.Errorf("the change sheet does not say %q", want)
		}
	}
	tab.Click("label:has(#kind-tryin)")
	tab.Wait(`document.getElementById("sheet") && document.getElementById("sheet").contentDocument.body.textContent.includes("shorter at 11")`)
	tab.Click("label:has(#kind-aftercare)")
	sheetReady(tab, "aftercare")
	tab.Wait(`(d => d && d.body && d.body.textContent.includes("1.5 mm)"))(document.getElementById("sheet").contentDocument)`)
	if !strings.Contains(sheet(), "over the set limit") {
		t.Error("the sheet for home does not say that it was more than agreed")
	}
	c := caseOf(t, tab)
	tried, states := c.TryIns(), c.States(content.MustLoad().Vocabulary(languages()).Takes)
	if c.Stage != casefile.AtTryIn || len(tried) != 1 || tried[0].Shade != "approved" || tried[0].Length != "change" ||
		len(c.Done()) != 1 || states[21] != casefile.ShapedState || len(c.Questions) != 3 ||
		c.Agreed == nil || c.Agreed.Way != casefile.SignedPaper || c.Agreed.Date.String() != "2027-01-15" || c.Agreed.Paper != "scan 17" {
		t.Errorf("kept: %+v", c)
	}
	// A case at the try-in opens there.
	data, err := json.Marshal(c)
	if err != nil {
		t.Fatal(err)
	}
	upload(t, tab, "open-case", "later.json", data)
	ready(tab, "en", "visit")
	pressed(tab, "sitting-1-shade-approved", true)
	clean(t, srv, tab)
}

// What is permitted is told place by place, a step beyond enamel is drawn, and
// the signal for stop stands before everything.
func TestTheChairTellsItsLimits(t *testing.T) {
	srv, tab := demoAt(t, "chair")
	if got := text(tab, "#signal"); !strings.Contains(got, "raise a hand") {
		t.Errorf("signal %q", got)
	}
	card := "#change-facial-contouring"
	tab.Click(card + " > summary")
	tab.Wait(`document.querySelector("` + card + ` .scale rect")`)
	if got := browser.Eval[string](tab, `document.querySelector("`+card+` dl .fact").className`); got != "fact limit" {
		t.Errorf("%q comes first", got)
	}
	widths := browser.Eval[[]float64](tab, `[...document.querySelectorAll("`+card+` .scale rect")].map(r => +r.getAttribute("width"))`)
	// A bank card is 0.76 mm thick (ISO/IEC 7810, ID-1); the step is 0.1 to 0.3 mm.
	if len(widths) != 3 || widths[0]/76 < 0.999 || widths[0]/76 > 1.001 || widths[1]/widths[0] < 0.13 || (widths[1]+widths[2])/widths[0] > 0.4 {
		t.Errorf("drawn %v", widths)
	}
	if !strings.Contains(text(tab, card), "If the answer is no") {
		t.Error("nothing about a no")
	}
	tab.Click("#answer-facial-contouring-21-agree")
	pressed(tab, "answer-facial-contouring-21-agree", true)
	tab.Wait(`document.querySelector(".part:has(#permitted-head)").textContent.includes("Smoothing the front")`)
	if got := browser.Eval[string](tab, `document.querySelector(".part:has(#permitted-head) > dl").textContent`); !strings.Contains(got, "Tooth 21") || !strings.Contains(got, "Up to 0.3 mm") {
		t.Errorf("permitted: %q", got)
	}
	clean(t, srv, tab)
}

// Each step survives a reload, and every screen is two taps away at most.
func TestReloadAtEachStep(t *testing.T) {
	srv, tab := open(t)
	demo(tab, "en")
	tab.Click("label:has(#finding-smoking)")
	tab.Wait(`document.getElementById("finding-smoking").checked && document.querySelector("#summary p").textContent.length > 0`)
	summary := browser.Eval[string](tab, `document.querySelector("#summary > p").textContent`)
	for _, view := range place.Views {
		walk(tab, "en", view)
		written(t, tab) // what is typed a blink before a forced reload may be lost
		tab.Reload()
		ready(tab, "en", cmp.Or(view, "case"))
		tab.Wait(fmt.Sprintf(`%q.includes(document.querySelector(%q).textContent.replaceAll(" ", ""))`, strings.ReplaceAll(summary, " ", ""), sum))
		unfold(tab, "views")
		tab.Wait(`document.querySelector('nav[data-menu="views"]')`)
		if n := browser.Eval[int](tab, `document.querySelectorAll('nav[data-menu="views"] a').length`); n != len(place.Views) {
			t.Errorf("%s: %d screens in the menu", view, n)
		}
	}
	clean(t, srv, tab)
}

// The whole walk by keyboard alone, from the case to the printed sheet.
func TestTheWalkByKeyboardAlone(t *testing.T) {
	srv, tab := open(t)
	tab.Goto("/en/")
	ready(tab, "en", "case")
	on := func(id string) {
		t.Helper()
		browser.Eval[bool](tab, `(document.activeElement && document.activeElement.blur(), true)`)
		tabTo(t, tab, id)
	}
	on("quick-front6")
	press(tab, kb.Enter)
	chosen(tab, 6)
	on("route-none")
	for range 4 {
		press(tab, kb.ArrowDown)
	}
	tab.Wait(`document.getElementById("route-no-prep").checked`)
	next := func(view string) {
		t.Helper()
		tabUntil(t, tab, `document.activeElement.matches("#summary .next")`)
		press(tab, kb.Enter)
		ready(tab, "en", view)
		tab.Wait(`document.activeElement.id === "head"`)
	}
	next("routes")
	step := func(view string) {
		t.Helper()
		on("step-" + view)
		press(tab, kb.Enter)
		ready(tab, "en", view)
		tab.Wait(`document.activeElement.id === "head"`)
	}
	step("numbers")
	on("detail-words")
	press(tab, " ")
	tab.Wait(`document.getElementById("detail-words").getAttribute("aria-checked") === "true"`)
	on("stage-agree")
	press(tab, kb.Enter)
	ready(tab, "en", "chair")
	tabUntil(t, tab, `document.activeElement.matches("#change-opening-contacts > summary")`)
	press(tab, kb.Enter)
	tabTo(t, tab, "answer-opening-contacts-11-12-ask")
	press(tab, " ")
	pressed(tab, "answer-opening-contacts-11-12-ask", true)
	next("understanding")
	tabTo(t, tab, "topic-sheet-teach-what-said")
	press(tab, kb.Enter)
	pressed(tab, "topic-sheet-teach-what-said", true)
	tabTo(t, tab, "question-new")
	for _, r := range "Why?" {
		press(tab, string(r))
	}
	tabTo(t, tab, "question-add")
	press(tab, kb.Enter)
	tab.Wait(`document.getElementById("question-0")`)
	next("sheets")
	sheetReady(tab, "options")
	browser.Eval[bool](tab, `(() => { document.getElementById("sheet").contentWindow.print = () => { window.__printed = true; }; return true; })()`)
	tabTo(t, tab, "print")
	press(tab, kb.Enter)
	tab.Wait(`window.__printed === true`)
	clean(t, srv, tab)
}

// tabUntil presses the tab key until a condition holds.
func tabUntil(t *testing.T, tab *browser.Tab, condition string) {
	t.Helper()
	for range 200 {
		tab.Do(chromedp.KeyEvent(kb.Tab))
		if ok, _ := tab.Holds(condition); ok {
			return
		}
	}
	t.Fatalf("the tab key does not reach %s", condition)
}

// Teeth as a list: buttons a finger hits, for small screens.
func TestTeethAsAList(t *testing.T) {
	srv, tab := open(t)
	size(t, tab, 320, 640, true)
	tab.Goto("/en/")
	ready(tab, "en", "case")
	tab.Click("#teeth-as-list")
	tab.Click("#list-21")
	chosen(tab, 1)
	pressed(tab, "list-21", true)
	small := browser.Eval[[]string](tab, `[...document.querySelectorAll(".list-of-teeth button")].map(e => [e, e.getBoundingClientRect()])
		.filter(([e, r]) => r.width < 43.5 || r.height < 43.5).map(([e]) => e.id)`)
	if n := browser.Eval[int](tab, `document.querySelectorAll('[id^="list-"]').length`); n != 32 || len(small) > 0 {
		t.Errorf("%d teeth, too small: %q", n, small)
	}
	clean(t, srv, tab)
}

// Nothing moves for who asked for stillness.
func TestReducedMotion(t *testing.T) {
	_, tab := open(t)
	if _, err := chromedp.Call(tab.Ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
		Features: []*emulation.MediaFeature{{Name: "prefers-reduced-motion", Value: "reduce"}},
	}); err != nil {
		t.Fatal(err)
	}
	demo(tab, "en")
	for _, view := range place.Views {
		walk(tab, "en", view)
		if moving := browser.Eval[int](tab, `document.getAnimations().length + [...document.querySelectorAll("*")].filter(e => {
			const s = getComputedStyle(e); return parseFloat(s.transitionDuration) > 0 || parseFloat(s.animationDuration) > 0; }).length`); moving > 0 {
			t.Errorf("%s: %d things move", cmp.Or(view, "case"), moving)
		}
	}
}

// Answers to steps that cannot come up on the way chosen now rest: they are kept
// and told, not asked again, and count when the way comes back.
func TestAnswersRest(t *testing.T) {
	srv, tab := demoAt(t, "chair")
	tab.Wait(`document.querySelectorAll(".change").length > 3 && !document.getElementById("resting")`)
	walk(tab, "en", "routes")
	tab.Click("#take-whitening-home")
	tab.Wait(`document.getElementById("updated").textContent.includes("are kept and rest")`)
	walk(tab, "en", "chair")
	tab.Wait(`document.getElementById("resting")`)
	if n := browser.Eval[int](tab, `document.querySelectorAll("#change-facial-contouring, #change-opening-contacts, #change-switch-one-tooth-to-prep").length`); n > 0 {
		t.Errorf("%d steps on a way that has none", n)
	}
	if got := text(tab, "#resting"); !strings.Contains(got, "No: tooth 21") {
		t.Errorf("resting: %q", got)
	}
	walk(tab, "en", "routes")
	tab.Click("#take-no-prep")
	following(tab, "no-prep")
	walk(tab, "en", "chair")
	tab.Wait(`document.querySelectorAll(".change").length > 3 && !document.getElementById("resting")`)
	tab.Click("#change-switch-one-tooth-to-prep > summary")
	pressed(tab, "answer-switch-one-tooth-to-prep-21-no", true)
	clean(t, srv, tab)
}

// A case keeps the language of its sheets when the screen is in another one; the
// points said back stay the same points.
func TestTheSheetsKeepTheirLanguage(t *testing.T) {
	srv, tab := open(t)
	demo(tab, "es")
	walk(tab, "es", "understanding")
	tab.Click("#topic-sheet-teach-what-said")
	pressed(tab, "topic-sheet-teach-what-said", true)
	c := caseOf(t, tab)
	if c.Locale != "es" {
		t.Fatalf("sheets in %s", c.Locale)
	}
	data, err := json.Marshal(c)
	if err != nil {
		t.Fatal(err)
	}
	tab.Goto("/en/")
	ready(tab, "en", "case")
	upload(t, tab, "open-case", "spanish.json", data)
	tab.Wait(`document.getElementById("notices").textContent.includes("stay in Spanish") && document.getElementById("locale").value === "es"`)
	walk(tab, "en", "understanding")
	pressed(tab, "topic-sheet-teach-what-said", true)
	walk(tab, "en", "sheets")
	sheetReady(tab, "options")
	if got := browser.Eval[string](tab, `document.getElementById("sheet").contentDocument.documentElement.lang`); got != "es" {
		t.Errorf("the sheet is in %s", got)
	}
	written(t, tab)
	tab.Reload()
	ready(tab, "en", "sheets")
	sheetReady(tab, "options")
	speak(tab, "ar", "sheets")
	tab.Wait(`document.getElementById("sheet-locale").value === "es"`)
	pickValue(tab, "sheet-locale", "ar")
	tab.Wait(`(d => d && d.documentElement.lang === "ar")(document.getElementById("sheet") && document.getElementById("sheet").contentDocument)`)
	walk(tab, "ar", "understanding")
	pressed(tab, "topic-sheet-teach-what-said", true)
	speak(tab, "en", "understanding") // and now the sheets follow again
	pressed(tab, "topic-sheet-teach-what-said", true)
	if got := caseOf(t, tab).Locale; got != "en" {
		t.Errorf("the sheets are in %s", got)
	}
	clean(t, srv, tab)
}

// A date can be typed or taken from the browser's calendar, and stands in words.
func TestDates(t *testing.T) {
	srv, tab := open(t)
	demo(tab, "en")
	const pick = `(v => { const f = document.getElementById("start-pick"); f.value = v; f.dispatchEvent(new Event("change", {bubbles: true})); return true; })`
	browser.Eval[bool](tab, pick+`("2027-02-03")`)
	tab.Wait(`document.getElementById("start").value === "2027-02-03" && document.getElementById("start-words").textContent === "February 3, 2027"`)
	typed(tab, "start", "3 Feb")
	tab.Wait(`document.querySelector("#start-fault li") && document.getElementById("start-words").textContent === ""`)
	walk(tab, "en", "routes")
	walk(tab, "en", "")
	if got := browser.Eval[string](tab, `document.getElementById("start").value`); got != "3 Feb" {
		t.Errorf("what was typed is %q", got)
	}
	browser.Eval[bool](tab, pick+`("2027-03-01")`)
	tab.Wait(`!document.getElementById("start-fault") && document.getElementById("start-words").textContent === "March 1, 2027"`)
	speak(tab, "es", "case")
	tab.Wait(`document.getElementById("start-words").textContent.includes("marzo")`)
	clean(t, srv, tab)
}

// The practice signs off words and sets the address of its own copy.
func TestThePracticeSignsOff(t *testing.T) {
	srv, tab := demoAt(t, "practice")
	typed(tab, "practice-base_address", "http://no")
	tab.Wait(`document.getElementById("practice-base_address-fault")`)
	typed(tab, "practice-base_address", "https://care.example/leaf/")
	tab.Wait(`!document.getElementById("practice-base_address-fault")`)
	tab.Click("#sign-add")
	tab.Wait(`document.getElementById("sign-who-fault") && document.activeElement.id === "sign-who"`)
	pickValue(tab, "sign-sheet", "options")
	pickValue(tab, "sign-locale", "es")
	typed(tab, "sign-who", "Ana Ejemplo")
	typed(tab, "sign-role", "translator")
	tab.Click("#sign-add")
	tab.Wait(`document.getElementById("signed-1-out") && document.getElementById("sign-who").value === ""`)
	var p casefile.Practice
	if err := json.Unmarshal(saved(t, tab, "#save-practice", "practice.json"), &p); err != nil {
		t.Fatal(err)
	}
	if p.BaseAddress != "https://care.example/leaf/" || len(p.SignOffs) != 2 {
		t.Fatalf("%q, %+v", p.BaseAddress, p.SignOffs)
	}
	if s := p.SignOffs[1]; s.Sheet != "options" || s.Locale != "es" || s.Who != "Ana Ejemplo" || s.Role != "translator" || s.When.IsZero() {
		t.Errorf("%+v", s)
	}
	speak(tab, "es", "practice")
	walk(tab, "es", "sheets")
	sheetReady(tab, "options")
	if got := browser.Eval[string](tab, `document.getElementById("sheet").contentDocument.body.textContent`); !strings.Contains(got, "Ana Ejemplo") {
		t.Error("the sheet does not name who checked its words")
	}
	walk(tab, "es", "practice")
	tab.Click("#signed-1-out")
	tab.Wait(`!document.getElementById("signed-1-out")`)
	clean(t, srv, tab)
}

// caseFile reads a case of the tests, changed.
func caseFile(t *testing.T, name string, change func(*casefile.Case)) []byte {
	t.Helper()
	data, err := os.ReadFile("../../testdata/cases/" + name + ".json")
	if err != nil {
		t.Fatal(err)
	}
	c, faults := casefile.ReadCase(data, content.MustLoad().Vocabulary(languages()))
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	c.Locale, c.Second = "en", ""
	change(&c)
	if data, err = casefile.WriteCase(c); err != nil {
		t.Fatal(err)
	}
	return data
}

// The line of a plan of several options names each with its teeth; no reach begins at
// nothing.
func TestAPlanOfSeveralWays(t *testing.T) {
	srv, tab := open(t)
	tab.Goto("/en/")
	ready(tab, "en", "case")
	upload(t, tab, "open-case", "mixed.json", caseFile(t, "mixed-routes", func(*casefile.Case) {}))
	chosen(tab, 6)
	walk(tab, "en", "routes")
	tab.Wait(`document.querySelector("#ways tr.now small")`)
	got := text(tab, "#ways tr.now th")
	for _, want := range []string{"No treatment: tooth 13", "Crowns: tooth 11", "Veneers without drilling: teeth 21 and 22"} {
		if !strings.Contains(got, want) {
			t.Errorf("no %q in %q", want, got)
		}
	}
	if n := strings.Count(got, " · ") + 1; n != 5 {
		t.Errorf("%d options: %q", n, got)
	}
	if got := text(tab, "#ways"); regexp.MustCompile(`\b0–[0-9.]+ mm`).MatchString(got) {
		t.Errorf("what comes off at most is told as a reach from nothing: %q", got)
	}
	clean(t, srv, tab)
}

// An option without its material asks for it where the options are looked at.
func TestTheMaterialIsChosenAmongTheOptions(t *testing.T) {
	srv, tab := open(t)
	tab.Goto("/en/")
	ready(tab, "en", "case")
	upload(t, tab, "open-case", "open.json", caseFile(t, "ten-teeth-no-prep", func(c *casefile.Case) { c.Material = "" }))
	chosen(tab, 10)
	walk(tab, "en", "routes")
	tab.Wait(`document.getElementById("material")`)
	tab.Click("#take-whitening-home")
	following(tab, "whitening-home")
	tab.Wait(`!document.getElementById("material")`)
	tab.Click("#take-no-prep")
	tab.Wait(`document.getElementById("material")`)
	tab.Click("#material-zirconia")
	tab.Wait(`!document.getElementById("material") && document.querySelector("#ways tr.now small").textContent.includes("zirconia") && document.activeElement.id === "take-no-prep"`)
	if c := caseOf(t, tab); c.Material != casefile.Zirconia {
		t.Errorf("made of %q", c.Material)
	}
	clean(t, srv, tab)
}

// What is not written is told beside its field, and no longer once it is mended.
func TestAVisitSaysWhatIsMissing(t *testing.T) {
	srv, tab := demoAt(t, "visit")
	tab.Click("#again-changed")
	tab.Wait(`(f => f && f.getAttribute("aria-invalid") === "true" && f.getAttribute("aria-describedby").includes("again-note-fault") && document.activeElement === f)(document.getElementById("again-note"))`)
	if got := text(tab, "#again-note-fault"); !strings.Contains(got, "Nothing is written here yet") {
		t.Errorf("%q", got)
	}
	typed(tab, "again-note", "A new medicine")
	tab.Wait(`!document.getElementById("again-note-fault") && document.getElementById("again-note").value === "A new medicine"`)
	tab.Click("#again-changed")
	tab.Wait(`document.getElementById("again-said") && document.getElementById("again-said").textContent.includes("A new medicine")`)
	pickValue(tab, "departure-step", "switch-one-tooth-to-prep")
	tab.Click("#departure-add")
	tab.Wait(`document.getElementById("departure-teeth-fault") && document.activeElement.id.startsWith("departure-tooth-")`)
	tab.Click("label:has(#departure-tooth-21)")
	tab.Wait(`!document.getElementById("departure-teeth-fault")`)
	tab.Click("#departure-add")
	tab.Wait(`document.getElementById("departure-0-warning")`)
	clean(t, srv, tab)
}

// On the narrowest screen nothing moves when the state of a tooth is tapped.
func TestAStateDoesNotMove(t *testing.T) {
	srv, tab := demoAt(t, "visit")
	size(t, tab, 320, 640, true)
	for _, lang := range languages() {
		if lang != "en" {
			speak(tab, lang, "visit")
		}
		where := func() string {
			return browser.Eval[string](tab, `JSON.stringify([...document.querySelectorAll('[id^="state-11-"]')].map(e => {
				const b = e.getBoundingClientRect(), a = e.parentElement.getBoundingClientRect();
				return [b.x - a.x, b.y - a.y, b.width, b.height]; }))`)
		}
		for _, state := range []string{"shaped", "untouched"} {
			before := where()
			if strings.Count(before, "[") != 4 {
				t.Fatalf("%s: %s", lang, before)
			}
			tab.Click("#state-11-" + state)
			pressed(tab, "state-11-"+state, true)
			if after := where(); after != before {
				t.Errorf("%s: %s was at %s, is at %s", lang, state, before, after)
			}
		}
	}
	clean(t, srv, tab)
}

// Once treatment has begun the screen of the sheets opens with the sheet that is
// due, and every other one is there.
func TestTheSheetThatIsDueComesFirst(t *testing.T) {
	srv, tab := open(t)
	tab.Goto("/en/")
	ready(tab, "en", "case")
	for _, x := range [][2]string{{"at-try-in", "tryin"}, {"delivered", "aftercare"}} {
		file, kind := x[0], x[1]
		upload(t, tab, "open-case", file+".json", caseFile(t, file, func(*casefile.Case) {}))
		if file == "at-try-in" {
			ready(tab, "en", "visit") // it opens there
		} else {
			tab.Wait(`document.getElementById("notices").textContent.includes("delivered.json")`)
		}
		walk(tab, "en", "sheets")
		sheetReady(tab, kind)
		got := browser.Eval[[]string](tab, `[...document.querySelectorAll("#kind input")].map(e => e.value)`)
		if len(got) != 6 || got[0] != kind {
			t.Errorf("%s: %q", file, got)
		}
		if head := browser.Eval[string](tab, `document.querySelector(".screen .part h2").id`); head != "choose-head" {
			t.Errorf("%s: opens with %s", file, head)
		}
		tab.Click("label:has(#kind-consent)")
		sheetReady(tab, "consent")
		if head := browser.Eval[string](tab, `document.querySelector(".screen .part h2").id`); head != "choose-head" {
			t.Errorf("%s: with the agreement it opens with %s", file, head)
		}
		walk(tab, "en", "")
	}
	clean(t, srv, tab)
}

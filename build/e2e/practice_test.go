package e2e

import (
	"encoding/json"
	"strings"
	"testing"

	"plainleaf/app/casefile"
	"plainleaf/app/render"
	"plainleaf/build/browser"
	"plainleaf/i18n"
)

// A sign-off that is half typed is there again after a reload, and no file is saved
// without it. Once added it bears the digest of the words that were read, and says so
// when they are others now.
func TestASignOffIsKeptWhileItIsTyped(t *testing.T) {
	srv, tab := open(t)
	demo(tab, "en")
	walk(tab, "en", "practice")
	pickValue(tab, "sign-sheet", "aftercare")
	pickValue(tab, "sign-locale", "ar")
	typed(tab, "sign-who", "Salma Ejemplo")
	typed(tab, "sign-role", "trans")
	typed(tab, "sign-when", "soon")
	tab.Wait(`document.getElementById("sign-when-fault")`)
	var p casefile.Practice
	// Nothing is saved beside it: that file would lack it.
	tab.Click("#save-practice")
	tab.Wait(`document.querySelector('#practice-unsaved [data-fault="PAGE-APPROVAL"]') && document.activeElement.id === "practice-unsaved"`)
	written(t, tab)
	tab.Reload()
	ready(tab, "en", "practice")
	tab.Wait(`document.getElementById("sign-when-fault")`)
	got := browser.Eval[string](tab, `["sheet", "locale", "who", "role", "when"].map(k => document.getElementById("sign-" + k).value).join()`)
	if got != "aftercare,ar,Salma Ejemplo,trans,soon" {
		t.Errorf("after a reload: %q", got)
	}
	// Its faults hold up nothing.
	walk(tab, "en", "sheets")
	sheetReady(tab, "options")
	walk(tab, "en", "practice")
	typed(tab, "sign-role", "translator")
	typed(tab, "sign-when", "2026-11-20")
	tab.Wait(`!document.getElementById("sign-when-fault")`)
	// The words are fetched first: this device has not shown Arabic yet.
	tab.Click("#sign-add")
	tab.Wait(`document.getElementById("signed-1-out") && document.getElementById("sign-who").value === ""`)
	if err := json.Unmarshal(saved(t, tab, "#save-practice", "practice.json"), &p); err != nil {
		t.Fatal(err)
	}
	data, _ := i18n.Embedded("ar")
	words, faults := i18n.Load("ar", data, nil)
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	if len(p.Approved["ar"]) < 1000 || len(strings.Fields(p.Approved["ar"]["priority.soonest.name"].(string))) != 2 {
		t.Errorf("the sign-off is about %d sentences", len(p.Approved["ar"]))
	}
	if s := p.SignOffs[1]; s.Who != "Salma Ejemplo" || s.Wording != render.Digest(words) {
		t.Errorf("%+v, want the digest %s", s, render.Digest(words))
	}
	const changed = "has changed since"
	if strings.Contains(text(tab, "#signed-head ~ ul"), changed) {
		t.Error("the words are said to have changed")
	}
	p.SignOffs[1].Wording = "0123456789abcdef"
	data, err := json.Marshal(p)
	if err != nil {
		t.Fatal(err)
	}
	upload(t, tab, "open-practice", "practice.json", data)
	tab.Click("#offer-yes")
	tab.Wait(`document.querySelector("#signed-head ~ ul li:nth-child(2)").textContent.includes("` + changed + `")`)
	clean(t, srv, tab)
}

// A practice file is offered with everything it would change, what can hurt first, and a
// bad sentence in it keeps it from being offered. What was approved stays in service.
func TestAnOfferedPracticeShowsEveryDifference(t *testing.T) {
	srv, tab := open(t)
	demo(tab, "en")
	walk(tab, "en", "practice")
	var p casefile.Practice
	if err := json.Unmarshal(saved(t, tab, "#save-practice", "practice.json"), &p); err != nil {
		t.Fatal(err)
	}
	offer := func() {
		data, err := json.Marshal(p)
		if err != nil {
			t.Fatal(err)
		}
		upload(t, tab, "open-practice", "practice.json", data)
	}
	p.Wordings = map[string]map[string]any{"en": {"priority.soonest.name": "Be done in {{.Count}} days"}}
	offer()
	tab.Wait(`document.querySelector('#practice-bad [data-fault="WORDING-PLACEHOLDER-EXTRA"]')`)
	if got := text(tab, "#practice-bad"); !strings.Contains(got, "Be done in {{.Count}} days") || !strings.Contains(got, "wordings.en.priority.soonest.name") {
		t.Errorf("the sentence is not quoted: %q", got)
	}
	p.Wordings = map[string]map[string]any{"en": {"priority.soonest.name": "Be done with it soon", "warning.chip-or-crack.self": "Please keep any pieces. Do not bite there."}}
	fee := p.Fees["crown"]
	fee.Flat = 1
	p.Fees["crown"] = fee
	p.Closures = p.Closures[:1]
	p.SignOffs = append(p.SignOffs, casefile.SignOff{Sheet: "all", Locale: "es", Who: "Nobody", Role: "nobody", When: p.SignOffs[0].When})
	p.BaseAddress = "https://other.example/"
	p.Waivers = nil
	offer()
	tab.Wait(`document.getElementById("offer")`)
	for group, says := range map[string]string{
		"warnings": "Please keep any pieces. Do not bite there.",
		"signed":   "Nobody",
		"prices":   "Before: 200 · USD · After: 0.01 · USD",
		"days":     "Aug",
		"address":  "https://other.example/",
		"rest":     "Be done with it soon",
		"rest ":    "Before: Time to think · After: Not said",
	} {
		if got := text(tab, "#offer-"+strings.TrimSpace(group)); !strings.Contains(got, says) {
			t.Errorf("%s: %q does not say %q", group, got, says)
		}
	}
	if got := text(tab, "#offer"); !strings.Contains(got, "7 details change") || strings.Contains(got, "stay the same") {
		t.Errorf("the offer says %q", got)
	}
	order := browser.Eval[string](tab, `[...document.querySelectorAll("#offer details")].map((d) => d.id.slice(6)).join()`)
	if order != "warnings,signed,prices,days,address,rest" {
		t.Errorf("in the order %s", order)
	}
	tab.Click("#offer-yes")
	tab.Wait(`!document.getElementById("offer")`)
	offer()
	tab.Wait(`document.getElementById("offer")`)
	if got := text(tab, "#offer"); !strings.Contains(got, "Nothing changes") {
		t.Errorf("the same file again: %q", got)
	}
	tab.Click("#offer-no")
	typed(tab, "sign-who", "Ana Ejemplo")
	typed(tab, "sign-role", "dentist")
	tab.Click("#sign-add")
	tab.Wait(`document.getElementById("signed-2-out")`)
	if err := json.Unmarshal(saved(t, tab, "#save-practice", "practice.json"), &p); err != nil {
		t.Fatal(err)
	}
	p.Wordings["en"]["priority.soonest.name"] = "Be done with it very soon"
	offer()
	tab.Wait(`document.getElementById("offer")`)
	tab.Click("#offer-yes")
	tab.Wait(`document.querySelector("#reworded-en li")`)
	if got := text(tab, "#reworded-en"); !strings.Contains(got, "Be done with it very soon") || !strings.Contains(got, "until this one is") || strings.Contains(got, "pieces") {
		t.Errorf("what is not approved: %q", got)
	}
	clean(t, srv, tab)
}

// A consent in words that nobody signed off is not made alone; one tap puts the
// practice's language beside it.
func TestAConsentNobodySignedOffIsOneTapAway(t *testing.T) {
	srv, tab := open(t)
	demo(tab, "ar")
	walk(tab, "ar", "sheets")
	pickValue(tab, "sheet-second", "-")
	// A sheet that nobody signs has the practice's language beside it by itself, and the field says so.
	tab.Click("label:has(#kind-aftercare)")
	tab.Wait(`document.getElementById("sheet-second-why") && document.getElementById("sheet-second").value === "en"` +
		` && !document.querySelector('#sheet-second option[value="-"]')`)
	sheetReady(tab, "aftercare")
	tab.Wait(`document.getElementById("sheet").contentDocument.querySelector(".sheet").dataset.second === "en"`)
	// Another language that nobody signed off gives way to it, and the field and the paper say that.
	pickValue(tab, "sheet-second", "es")
	tab.Wait(`document.getElementById("sheet-second-why").textContent.includes("الإسبانية") && document.getElementById("sheet-second").value === "en"`)
	sheetReady(tab, "aftercare")
	tab.Wait(`document.getElementById("sheet").contentDocument.querySelector('[data-msg="banner.left-out"]')`)
	walk(tab, "ar", "")
	tab.Wait(`document.getElementById("second-why")`)
	pickValue(tab, "second", "en")
	tab.Wait(`!document.getElementById("second-why")`)
	pickValue(tab, "second", "-")
	tab.Wait(`document.getElementById("second-why").textContent.includes("الإنجليزية") && document.getElementById("second").selectedOptions[0].textContent.includes("English")`)
	walk(tab, "ar", "sheets")
	tab.Click("label:has(#kind-consent)")
	tab.Wait(`document.querySelector('#sheet-faults [data-fault="REVIEW-UNSIGNED"]') && document.getElementById("sheet-second").value === "-"`)
	tab.Click("#sheet-beside")
	tab.Wait(`!document.getElementById("sheet-faults") && document.getElementById("sheet-second").value === "en"`)
	sheetReady(tab, "consent")
	clean(t, srv, tab)
}

// On a small telephone the longest entry of a closed box of choices is read whole.
func TestLongEntriesAreReadWhole(t *testing.T) {
	srv, tab := open(t)
	demo(tab, "es")
	size(t, tab, 320, 640, true)
	for _, view := range []string{"", "visit", "sheets", "practice"} {
		walk(tab, "es", view)
		tab.Wait(`document.querySelector("select")`)
		for _, cut := range browser.Eval[[]string](tab, `[...document.querySelectorAll("select")].filter((s) => s.offsetWidth > 0).flatMap((s) => {
			const was = s.selectedIndex;
			const longest = [...s.options].reduce((a, o) => o.textContent.length > a.textContent.length ? o : a);
			s.selectedIndex = longest.index;
			const style = getComputedStyle(s), probe = document.createElement("div");
			probe.textContent = longest.textContent;
			probe.style.cssText = "position:absolute;visibility:hidden;font:" + style.font + ";inline-size:" +
				(s.clientWidth - parseFloat(style.paddingLeft) - parseFloat(style.paddingRight)) + "px;overflow-wrap:anywhere";
			document.body.append(probe);
			const cut = probe.offsetHeight > s.clientHeight;
			probe.remove();
			s.selectedIndex = was;
			return cut ? [s.id + ": " + longest.textContent] : [];
		})`) {
			t.Errorf("%q, cut in its box: %s", view, cut)
		}
	}
	clean(t, srv, tab)
}

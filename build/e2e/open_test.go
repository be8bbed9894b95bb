package e2e

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	cdbrowser "github.com/chromedp/cdproto/browser"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"

	"plainleaf/app/place"
	"plainleaf/build/browser"
)

// open serves the site and opens a tab, the size of a tablet, that has not gone
// anywhere yet. Each test ends by looking for what must never be there.
func open(t *testing.T) (*browser.Server, *browser.Tab) {
	t.Helper()
	srv := browser.Serve(t, browser.Site(t, browser.Options(t)))
	tab := browser.Open(t, srv).Tab()
	size(t, tab, 768, 1024, true)
	return srv, tab
}

// size sets the tab's view to a device's, in CSS pixels.
func size(t *testing.T, tab *browser.Tab, width, height int64, mobile bool) {
	t.Helper()
	_, err := chromedp.Call(tab.Ctx, emulation.SetDeviceMetricsOverride, emulation.SetDeviceMetricsOverrideParams{
		Width: width, Height: height, DeviceScaleFactor: 1, Mobile: mobile,
	})
	if err != nil {
		t.Fatal(err)
	}
}

// clean holds a page to what is promised of every page: nothing was asked of
// another origin, nothing refused by the policy, no style attribute, nothing in
// the console, no word missing.
func clean(t *testing.T, srv *browser.Server, tab *browser.Tab) {
	t.Helper()
	neat(t, srv, tab, func(string) bool { return false })
}

// neat is clean but for messages in the console that are let pass.
func neat(t *testing.T, srv *browser.Server, tab *browser.Tab, pass func(message string) bool) {
	t.Helper()
	for _, u := range tab.Requests() {
		if !strings.HasPrefix(u, srv.URL+"/") && !strings.HasPrefix(u, "blob:"+srv.URL+"/") {
			t.Errorf("asked for %s", u)
		}
	}
	if r := tab.Refused(); len(r) > 0 {
		t.Errorf("refused: %q", r)
	}
	if n := browser.Eval[int](tab, `document.querySelectorAll("[style]").length`); n > 0 {
		t.Errorf("%d elements with a style attribute", n)
	}
	if c := slices.DeleteFunc(tab.Console(), pass); len(c) > 0 {
		t.Errorf("console: %q", c)
	}
	wordless(t, tab)
}

// wordless reports messages without words on the screen.
func wordless(t *testing.T, tab *browser.Tab) {
	t.Helper()
	missing := browser.Eval[[]string](tab, `[...new Set((document.getElementById("app").outerHTML.match(/\[[a-z0-9-]+(\.[a-z0-9-]+)+\]/g) || []))]`)
	if len(missing) > 0 {
		t.Errorf("no words for %q", missing)
	}
}

// ready waits until a screen is shown in a language.
func ready(tab *browser.Tab, lang, view string) {
	tab.Wait(fmt.Sprintf(`(() => {
		const app = document.getElementById("app");
		return app && app.dataset.lang === %q && app.dataset.view === %q && document.documentElement.lang === %q;
	})()`, lang, view, lang))
}

// walk goes to a view through the menu, so that the case is kept.
func walk(tab *browser.Tab, lang, view string) {
	path, key := "/"+lang+"/", "case"
	if view != "" {
		path, key = path+view+"/", view
	}
	unfold(tab, "views")
	tab.Click(fmt.Sprintf(`nav[data-menu="views"] a[href=%q]`, path))
	ready(tab, lang, key)
}

// unfold opens a menu on a screen so small that it is shut.
func unfold(tab *browser.Tab, menu string) {
	if browser.Eval[bool](tab, `!!document.querySelector(".enter")`) {
		menu = "views" // one menu has both
	}
	if browser.Eval[bool](tab, fmt.Sprintf(`(e => !!e && e.checkVisibility() && e.getAttribute("aria-expanded") === "false")(document.getElementById("fold-%s"))`, menu)) {
		tab.Click("#fold-" + menu)
	}
}

// speak changes the language by its link.
func speak(tab *browser.Tab, lang, view string) {
	unfold(tab, "languages")
	tab.Click(fmt.Sprintf(`nav[data-menu="languages"] a[hreflang=%q]`, lang))
	ready(tab, lang, view)
}

// demoAt opens the demo case at one of its screens, in English.
func demoAt(t *testing.T, view string) (*browser.Server, *browser.Tab) {
	t.Helper()
	srv, tab := open(t)
	demo(tab, "en")
	walk(tab, "en", view)
	return srv, tab
}

// demo opens the demo case in a language.
func demo(tab *browser.Tab, lang string) {
	tab.Goto("/" + lang + "/?demo")
	ready(tab, lang, "case")
	chosen(tab, 10)
}

func chosen(tab *browser.Tab, n int) {
	tab.Wait(fmt.Sprintf(`document.querySelectorAll('.tooth[aria-checked="true"]').length === %d`, n))
}

// openDrawers opens every drawer that fits, and waits until what is in them is
// there. A screen that is drawn anew meanwhile has its drawers shut again.
func openDrawers(tab *browser.Tab, selector string) {
	tab.Wait(fmt.Sprintf(`((list) => list.length > 0 && list.every((d) => { d.open = true; return d.childElementCount > 1; }))([...document.querySelectorAll(%q)])`, selector))
}

// sum is what stays in sight of the case on every screen.
const sum = "#summary > p, #whose small"

// following waits until the options are shown with the one that the case follows.
func following(tab *browser.Tab, route string) {
	tab.Wait(fmt.Sprintf(`document.querySelector('#ways tr.now[data-line=%q]')`, route))
}

// text gives the text of an element.
func text(tab *browser.Tab, selector string) string {
	return browser.Eval[string](tab, fmt.Sprintf(`(document.querySelector(%q) || {textContent: "(none)"}).textContent`, selector))
}

// pickValue chooses an entry of a list, as a tap on the list and one on the entry do.
func pickValue(tab *browser.Tab, id, value string) {
	tab.Wait(fmt.Sprintf(`document.getElementById(%q)`, id))
	browser.Eval[bool](tab, fmt.Sprintf(`(() => {
		const s = document.getElementById(%q);
		s.value = %q;
		s.dispatchEvent(new Event("change", {bubbles: true}));
		return true;
	})()`, id, value))
	tab.Settle()
}

// saved clicks a button that hands a file to the downloads, and reads it.
func saved(t *testing.T, tab *browser.Tab, button, name string) []byte {
	t.Helper()
	dir := t.TempDir()
	_, err := chromedp.Call(tab.Ctx, cdbrowser.SetDownloadBehavior, cdbrowser.SetDownloadBehaviorParams{
		Behavior: cdbrowser.SetDownloadBehaviorBehaviorAllow, DownloadPath: dir,
	})
	if err != nil {
		t.Fatal(err)
	}
	tab.Click(button)
	file := filepath.Join(dir, name)
	for deadline := time.Now().Add(browser.Patience); time.Now().Before(deadline); time.Sleep(20 * time.Millisecond) {
		if data, err := os.ReadFile(file); err == nil && len(data) > 0 {
			return data
		}
	}
	found, _ := os.ReadDir(dir)
	t.Fatalf("%s was not saved; there is %v", name, found)
	return nil
}

// upload gives a file to an opener.
func upload(t *testing.T, tab *browser.Tab, id, name string, data []byte) {
	t.Helper()
	file := filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(file, data, 0o600); err != nil {
		t.Fatal(err)
	}
	tab.Do(chromedp.SetUploadFiles(chromedp.CSS("#"+id), []string{file}))
}

func quote(s string) string {
	b, _ := json.Marshal(s)
	return string(b)
}

// savedAny is saved for a file whose name only starts with start.
func savedAny(t *testing.T, tab *browser.Tab, button, start string) []byte {
	t.Helper()
	name, data := down(t, tab, button)
	if !strings.HasPrefix(name, start) {
		t.Fatalf("%s was saved, not %s...", name, start)
	}
	return data
}

// views are all screens.
func views() []string { return place.Views }

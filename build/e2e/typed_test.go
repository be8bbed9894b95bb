package e2e

import (
	"testing"

	"plainleaf/build/browser"
)

// A line break in a text, typed or pasted, costs neither the sheet nor, after a
// reload, the case; nor does a file with many lines that cannot be read.
func TestLinesInATextCostNothing(t *testing.T) {
	srv, tab := open(t)
	demo(tab, "en")
	tab.Wait(`document.getElementById("wish-own")`)
	typed(tab, "wish-own", "")
	fill(tab, "wish-own", "Teeth of one color")
	press(tab, "\r")
	press(tab, "for the wedding")
	tab.Wait(`document.getElementById("wish-own").value === "Teeth of one color for the wedding"`)
	typed(tab, "companion", "\u202aa friend\u202c")
	tab.Wait(`document.getElementById("companion").value === "a friend"`)
	if n := browser.Eval[int](tab, `document.querySelectorAll("main .faults li").length`); n > 0 {
		t.Errorf("%d faults: %s", n, text(tab, "main .faults li"))
	}
	const lines = "{\n  \"version\": 1,\n  \"toof\": 1\n}\n"
	upload(t, tab, "open-case", "case.json", []byte(lines))
	tab.Wait(`document.getElementById("case-file-text")`)
	written(t, tab)
	tab.Reload()
	ready(tab, "en", "case")
	chosen(tab, 10)
	got := browser.Eval[[]string](tab, `["wish-own", "companion", "case-file-text"].map(id => document.getElementById(id).value)`)
	if got[0] != "Teeth of one color for the wedding" || got[1] != "a friend" || got[2] != lines {
		t.Errorf("after a reload: %q", got)
	}
	clean(t, srv, tab)
}

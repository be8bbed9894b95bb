package e2e

import (
	"strings"
	"testing"

	"plainleaf/build/browser"
)

// All evidence stands by topic, with what is known and what is not; figures are
// named in words, the surest first, and a link to one opens it.
func TestEvidenceByTopic(t *testing.T) {
	srv, tab := open(t)
	demo(tab, "en")
	walk(tab, "en", "evidence")
	tab.Wait(`document.querySelectorAll("details.figure").length > 50`)
	type topic struct {
		Head, Count string
		Facts       []string
		Figures     int
		Memory      string
	}
	topics := browser.Eval[[]topic](tab, `[...document.querySelectorAll("section[aria-labelledby^=topic-]")].map(s => ({
		Head: s.querySelector("h2").textContent, Count: (s.querySelector("summary") || {textContent: ""}).textContent,
		Facts: [...s.querySelectorAll("dl dd")].map(d => d.textContent), Figures: s.querySelectorAll("details.figure").length,
		Memory: [...s.querySelectorAll("details.figure strong")].filter(x => x.closest("details").textContent.includes("Not shown as a number")).map(x => x.textContent).join("")}))`)
	if len(topics) != 8 {
		t.Fatalf("%d topics", len(topics))
	}
	all := 0
	for _, x := range topics {
		if x.Head == "" || len(x.Facts) != 2 || x.Facts[0] == x.Facts[1] || x.Figures > 0 && !strings.Contains(x.Count, "from studies") {
			t.Errorf("%+v", x)
		}
		if x.Memory != "" {
			t.Errorf("%s: a figure from memory stands as a number: %q", x.Head, x.Memory)
		}
		all += x.Figures
	}
	if n := browser.Eval[int](tab, `document.querySelectorAll("details.figure").length`); n != all {
		t.Errorf("%d figures, %d under a topic", n, all)
	}
	walk(tab, "en", "routes")
	id := browser.Eval[string](tab, `document.getElementById("sources").hash.slice(1)`)
	tab.Click("#sources")
	tab.Wait(`document.getElementById("` + id + `") && document.getElementById("` + id + `").open`)
	if !browser.Eval[bool](tab, `document.getElementById("`+id+`").getBoundingClientRect().height > 0`) {
		t.Errorf("%s is hidden in its drawer", id)
	}
	clean(t, srv, tab)
}

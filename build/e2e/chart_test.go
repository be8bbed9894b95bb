package e2e

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/performance"
	"github.com/chromedp/chromedp"

	"plainleaf/build/browser"
)

// firstSteps presses a button and tells, for the first changes of a tooth and of
// the summary, in which delivery of changes each came: what the browser is told in
// one piece it shows in one piece.
const firstSteps = `new Promise(done => {
	let n = 0, tooth = 0;
	const seen = new MutationObserver(list => {
		n++;
		if (!tooth && list.some(m => m.target.classList && m.target.classList.contains("tooth"))) tooth = n;
		if (list.some(m => document.querySelector("#summary > p").contains(m.target.parentNode || m.target))) { seen.disconnect(); done([tooth, n]); }
	});
	seen.observe(document.getElementById("app"), {subtree: true, childList: true, characterData: true, attributes: true});
	document.getElementById(%q).click();
})`

// Several teeth chosen at once show before what depends on them is drawn, as one
// tooth does.
func TestSeveralTeethShowFirst(t *testing.T) {
	srv, tab := open(t)
	tab.Goto("/en/")
	ready(tab, "en", "case")
	tab.Settle() // what the screen still draws by itself may come with a step
	for _, x := range []struct {
		id string
		n  int
	}{{"quick-front6", 6}, {"quick-front10", 10}, {"quick-q4", 18}, {"quick-upper", 24}, {"quick-upper", 8}} {
		at := browser.Eval[[]int](tab, fmt.Sprintf(firstSteps, x.id))
		if at[0] == 0 || at[0] >= at[1] {
			t.Errorf("%s: the teeth came with change %d, the summary with %d", x.id, at[0], at[1])
		}
		chosen(tab, x.n)
		// Nobody taps while the step before is still being drawn.
		tab.Wait(fmt.Sprintf(`document.querySelector("#summary > p").textContent.startsWith("%d ")`, x.n))
	}
	pressed(tab, "quick-q4", true)
	pressed(tab, "quick-front6", false)
	clean(t, srv, tab)
}

// What a press shows at once costs little: one attribute of each tooth or button
// that looks otherwise, and nothing on the screen is laid out anew.
func TestAPressHasNothingLaidOut(t *testing.T) {
	_, tab := open(t)
	demo(tab, "en")
	tab.Settle()
	first := browser.Eval[[]string](tab, `new Promise(done => {
		new MutationObserver((list, o) => { o.disconnect(); done(list.map(m => m.target.id + " " + m.attributeName)); })
			.observe(document.getElementById("app"), {subtree: true, childList: true, characterData: true, attributes: true});
		document.getElementById("tooth-17").dispatchEvent(new MouseEvent("click", {bubbles: true}));
	})`)
	if strings.Join(first, ", ") != "tooth-17 aria-checked" {
		t.Errorf("a tap on a tooth changes %q", first)
	}
	chosen(tab, 11)
	if _, err := chromedp.Call(tab.Ctx, performance.Enable, performance.EnableParams{}); err != nil {
		t.Fatal(err)
	}
	layouts := func() float64 {
		t.Helper()
		// Two frames on, whatever was changed has been shown.
		browser.Eval[bool](tab, `new Promise(done => requestAnimationFrame(() => requestAnimationFrame(() => done(true))))`)
		r, err := chromedp.Call(tab.Ctx, performance.GetMetrics, struct{}{})
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range r.Metrics {
			if m.Name == "LayoutCount" {
				return m.Value
			}
		}
		t.Fatal("the browser counts no layouts")
		return 0
	}
	try := func(view, id, attribute string) {
		t.Helper()
		tab.Settle()
		for _, on := range []bool{true, false} {
			// Now and then the browser lays something out by itself. What the press causes
			// is there every time.
			least := math.Inf(1)
			for range 5 {
				browser.Eval[bool](tab, fmt.Sprintf(`(document.getElementById(%q).setAttribute(%q, "%t"), true)`, id, attribute, !on))
				before := layouts()
				browser.Eval[bool](tab, fmt.Sprintf(`(document.getElementById(%q).setAttribute(%q, "%t"), true)`, id, attribute, on))
				least = min(least, layouts()-before)
			}
			if least != 0 {
				t.Errorf("%s: %s %t has %.0f layouts made", view, id, on, least)
			}
		}
	}
	try("case", "tooth-16", "aria-checked")
	try("case", "quick-upper", "aria-pressed")
	walk(tab, "en", "chair")
	tab.Click("#change-facial-contouring > summary")
	tab.Wait(`document.getElementById("answer-facial-contouring-11-ask")`)
	try("chair", "answer-facial-contouring-11-ask", "aria-pressed")
	walk(tab, "en", "visit")
	try("visit", "sitting-1-shade-approved", "aria-pressed")
	// The count sees a layout where there is one.
	before := layouts()
	browser.Eval[bool](tab, `(document.getElementById("sitting-1-shade-approved").append(" more"), true)`)
	if layouts() == before {
		t.Error("a longer text has no layout made")
	}
}

// A row of teeth is chosen by its two ends, by finger and by key; an end in the
// other jaw begins anew.
func TestARowOfTeethByItsEnds(t *testing.T) {
	srv, tab := open(t)
	tab.Goto("/en/")
	ready(tab, "en", "case")
	tab.Click("#quick-range")
	pressed(tab, "quick-range", true)
	tab.Wait(`document.getElementById("range-next").textContent.includes("first")`)
	tab.Click("#tooth-43")
	tab.Wait(`document.getElementById("range-next").textContent.includes("43")`)
	tab.Click("#tooth-14")
	tab.Wait(`document.getElementById("range-next").textContent.includes("14")`)
	tab.Click("#tooth-23")
	chosen(tab, 8)
	tab.Wait(`document.getElementById("range-next").textContent === ""`)
	pressed(tab, "quick-range", false)
	if got := browser.Eval[[]string](tab, `[...document.querySelectorAll('.tooth[aria-checked="true"]')].map(e => e.id.slice(6))`); strings.Join(got, " ") != "14 13 12 11 21 22 23 43" {
		t.Errorf("chosen: %v", got)
	}
	// By key, against the order of the jaw.
	tab.Click("#quick-range")
	pressed(tab, "quick-range", true)
	browser.Eval[bool](tab, `(document.getElementById("tooth-33").focus(), true)`)
	press(tab, " ")
	chosen(tab, 9)
	tab.Wait(`document.getElementById("range-next").textContent.includes("33")`)
	browser.Eval[bool](tab, `(document.getElementById("tooth-42").focus(), true)`)
	press(tab, " ")
	chosen(tab, 13)
	clean(t, srv, tab)
}

// Upright and sideways, both jaws are in view at once on a tablet once the chart
// is scrolled to, and on no device does a word of the chart lie on a tooth.
func TestTheChartIsInView(t *testing.T) {
	_, tab := open(t)
	demo(tab, "en")
	for _, lang := range languages() {
		speak(tab, lang, "case")
		for _, d := range []struct{ width, height int64 }{{768, 1024}, {1024, 768}, {1366, 900}, {390, 844}, {320, 640}} {
			size(t, tab, d.width, d.height, d.width < 1000)
			tab.Wait(fmt.Sprintf(`!!document.querySelector(".chart.slim") === %t`, d.width < 690))
			if d.width >= 690 {
				if over := browser.Eval[float64](tab, `document.getElementById("chart").getBoundingClientRect().height - (innerHeight - document.getElementById("summary").offsetHeight)`); over > 0 {
					t.Errorf("%s, %d px wide: the chart is %.0f px too tall", lang, d.width, over)
				}
			}
			meets := browser.Eval[[]string](tab, `(() => {
				const box = e => e.getBoundingClientRect(), out = [];
				const texts = [...document.querySelectorAll("#chart .side")];
				for (const s of texts) for (const c of [...document.querySelectorAll(".crown"), ...texts]) {
					if (c === s) continue;
					const a = box(s), b = box(c);
					if (a.left < b.right && b.left < a.right && a.top + 3 < b.bottom - 3 && b.top + 3 < a.bottom - 3) out.push(s.textContent + " on " + (c.parentNode.id || c.textContent));
				}
				return out;
			})()`)
			if len(meets) > 0 {
				t.Errorf("%s, %d px wide: %q", lang, d.width, meets)
			}
		}
	}
}

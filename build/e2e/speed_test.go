package e2e

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"

	"plainleaf/build/browser"
	"plainleaf/build/wasm"
)

// clicks presses an element a number of times and gives, for each, the
// milliseconds from the click to the change of the attribute of another one, or of
// the same, in the document, and to the frame that shows it.
func clicks(tab *browser.Tab, id, watch, attribute string, n int) (change, shown []float64) {
	const few = 8 // at a time, within the patience for one expression
	var both [][]float64
	for ; n > 0; n -= few {
		both = append(both, browser.Eval[[][]float64](tab, fmt.Sprintf(`(async () => {
		const out = [];
		for (let i = 0; i < %d; i++) {
			out.push(await new Promise(done => {
				const e = document.getElementById(%q), watch = document.getElementById(%q);
				let t0;
				const seen = new MutationObserver(() => {
					seen.disconnect();
					const t1 = performance.now();
					// The first task after the frame; the step's own later work stands behind it.
					requestAnimationFrame(() => scheduler.postTask(() => done([t1 - t0, performance.now() - t0]), {priority: "user-blocking"}));
				});
				seen.observe(watch, {attributes: true, attributeFilter: [%q]});
				// Nobody taps while the step before is still being drawn.
				setTimeout(() => requestIdleCallback(() => requestAnimationFrame(() => { t0 = performance.now(); e.dispatchEvent(new MouseEvent("click", {bubbles: true, cancelable: true})); })), 150);
			}));
		}
		return out;
	})()`, min(n, few), id, watch, attribute))...)
	}
	for _, b := range both {
		change, shown = append(change, b[0]), append(shown, b[1])
	}
	return change, shown
}

// quantile of the list by the nearest rank.
func quantile(list []float64, q float64) float64 {
	s := slices.Sorted(slices.Values(list))
	return s[min(len(s)-1, int(q*float64(len(s))))]
}

// TestClickSpeed tells how long one looks at a click before it shows, beside an
// empty page of the same engine, at the machine's own speed and slowed four-fold.
// Numbers of a machine, so it is run by make bench and fails on nothing.
func TestClickSpeed(t *testing.T) {
	if os.Getenv("PLAINLEAF_SPEED") == "" {
		t.Skip("PLAINLEAF_SPEED is not set")
	}
	const n = 40
	out := filepath.Join(t.TempDir(), "empty.wasm")
	if err := wasm.Build("../..", "./build/e2e/empty", out); err != nil {
		t.Fatal(err)
	}
	program, err := os.ReadFile(out)
	if err != nil {
		t.Fatal(err)
	}
	o := browser.Options(t)
	o.Wasm = program
	empty := browser.Open(t, browser.Serve(t, browser.Site(t, o))).Tab()
	empty.Goto("/en/")
	empty.Wait(`document.getElementById("probe")`)
	_, tab := open(t)
	demo(tab, "en")
	slow := func(tab *browser.Tab, rate float64) {
		if _, err := chromedp.Call(tab.Ctx, emulation.SetCPUThrottlingRate, emulation.SetCPUThrottlingRateParams{Rate: rate}); err != nil {
			t.Fatal(err)
		}
	}
	t.Logf("%-38s %5s %32s %32s", "click", "speed", "change, median / p95, to empty", "shown, median / p95, to empty")
	for _, rate := range []float64{1, 4} {
		var base, baseShown float64
		far := func(name string, tab *browser.Tab, id, watch, attribute string) {
			slow(tab, rate)
			clicks(tab, id, watch, attribute, 4) // warm
			change, shown := clicks(tab, id, watch, attribute, n)
			slow(tab, 1)
			m, s := quantile(change, 0.5), quantile(shown, 0.5)
			if base == 0 {
				base, baseShown = m, s
			}
			t.Logf("%-38s %4.0fx %8.1f /%8.1f ms, %.1f times %8.1f /%8.1f ms, %.1f times", name, rate,
				m, quantile(change, 0.95), m/base, s, quantile(shown, 0.95), s/baseShown)
		}
		line := func(name string, tab *browser.Tab, id, attribute string) {
			t.Helper()
			far(name, tab, id, id, attribute)
		}
		line("empty page", empty, "probe", "aria-pressed")
		walk(tab, "en", "")
		line("a tooth of the chart", tab, "tooth-17", "aria-checked")
		walk(tab, "en", "chair")
		tab.Click("#change-facial-contouring > summary")
		tab.Wait(`document.getElementById("answer-facial-contouring-11-ask")`)
		line("an answer in the chair", tab, "answer-facial-contouring-11-ask", "aria-pressed")
		walk(tab, "en", "understanding")
		line("a point said back", tab, "topic-sheet-teach-what-said", "aria-pressed")
		walk(tab, "en", "visit")
		line("a yes at the try-in", tab, "sitting-1-shade-approved", "aria-pressed")
		walk(tab, "en", "")
		far("the upper jaw, told by its last tooth", tab, "quick-upper", "tooth-28", "aria-checked")
		tab.Click("#quick-front10") // after an even number of taps no tooth is left
		chosen(tab, 10)
		walk(tab, "en", "routes")
	}
}

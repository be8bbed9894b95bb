package e2e

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"

	"plainleaf/app/place"
	"plainleaf/build/browser"
)

// TestPictures writes pictures of the screens for people to look at, into the
// folder named by PLAINLEAF_PICTURES.
func TestPictures(t *testing.T) {
	dir := os.Getenv("PLAINLEAF_PICTURES")
	if dir == "" {
		t.Skip("PLAINLEAF_PICTURES is not set")
	}
	_, tab := open(t)
	devices := []struct {
		name          string
		width, height int64
	}{{"tablet", 768, 1024}, {"tablet-wide", 1024, 768}, {"phone", 390, 844}, {"desktop", 1366, 900}, {"narrow", 320, 640}}
	langs := strings.Fields(or(os.Getenv("PLAINLEAF_PICTURE_LANGS"), "en ar"))
	only := os.Getenv("PLAINLEAF_PICTURE_ONLY")
	for _, lang := range langs {
		demo(tab, lang)
		for _, view := range place.Views {
			walk(tab, lang, view)
			if view == "sheets" {
				tab.Wait(`document.getElementById("sheet-faults") || (document.getElementById("sheet") && document.getElementById("sheet").height)`)
			}
			// One drawer open, as it is when somebody looks into it.
			browser.Eval[bool](tab, `(() => { const d = document.querySelector("main .change, main .figure, main #each-21"); if (d) d.open = true; return true; })()`)
			for _, d := range devices {
				name := fmt.Sprintf("%s-%s-%s.png", d.name, lang, or(view, "case"))
				if only != "" && !strings.Contains(name, only) {
					continue
				}
				size(t, tab, d.width, d.height, d.width < 1000)
				if w := browser.Eval[int](tab, `document.documentElement.scrollWidth`); int64(w) > d.width {
					t.Errorf("%s: %d px wide", name, w)
				}
				browser.Eval[bool](tab, `(scrollTo(0, 0), true)`)
				picture(t, tab, filepath.Join(dir, name))
				if y := os.Getenv("PLAINLEAF_PICTURE_AT"); y != "" {
					browser.Eval[bool](tab, `(scrollTo(0, `+y+`), true)`)
					picture(t, tab, filepath.Join(dir, "low-"+name))
				}
			}
			size(t, tab, 1024, 768, false)
		}
	}
}

func or(a, b string) string {
	if a == "" {
		return b
	}
	return a
}

// picture takes what is in view.
func picture(t *testing.T, tab *browser.Tab, file string) {
	t.Helper()
	ctx, cancel := context.WithTimeout(tab.Ctx, browser.Patience)
	defer cancel()
	b, err := chromedp.Call(ctx, page.CaptureScreenshot, page.CaptureScreenshotParams{Format: "png"})
	if err == nil {
		err = os.WriteFile(file, b.Data, 0o644)
	}
	if err != nil {
		t.Fatal(err)
	}
}

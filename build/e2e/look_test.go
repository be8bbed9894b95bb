package e2e

import (
	"context"
	"fmt"
	"html"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"

	"plainleaf/app/place"
	"plainleaf/build/browser"
)

// TestPictures writes pictures of every screen for people to look at, and a page
// that shows them beside each other, into the folder named by PLAINLEAF_PICTURES:
// what is in view on each device, and on a tablet and a phone the whole length of
// the screen as well. No screen may be wider than its device.
func TestPictures(t *testing.T) {
	dir := os.Getenv("PLAINLEAF_PICTURES")
	if dir == "" {
		t.Skip("PLAINLEAF_PICTURES is not set")
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	_, tab := open(t)
	devices := []struct {
		name          string
		width, height int64
	}{{"tablet", 768, 1024}, {"tablet-wide", 1024, 768}, {"phone", 390, 844}, {"desktop", 1366, 900}, {"narrow", 320, 640}}
	langs := strings.Fields(or(os.Getenv("PLAINLEAF_PICTURE_LANGS"), "en de ar zh-Hans"))
	only := os.Getenv("PLAINLEAF_PICTURE_ONLY")
	var sheet strings.Builder
	for _, lang := range langs {
		demo(tab, lang)
		for _, view := range place.Views {
			walk(tab, lang, view)
			if view == "sheets" {
				tab.Wait(`document.getElementById("sheet-faults") || (document.getElementById("sheet") && document.getElementById("sheet").height)`)
			}
			// One drawer open, as it is when somebody looks into it.
			const drawer = "main .change:first-of-type, main .figure:first-child, main #each-21, main #numbers-0-whence"
			if browser.Eval[bool](tab, fmt.Sprintf(`!!document.querySelector(%q)`, drawer)) {
				openDrawers(tab, drawer)
			}
			fmt.Fprintf(&sheet, "<h2>%s, %s</h2>\n", html.EscapeString(or(view, "case")), lang)
			for _, d := range devices {
				name := fmt.Sprintf("%s-%s-%s.png", or(view, "case"), lang, d.name)
				if only != "" && !strings.Contains(name, only) {
					continue
				}
				size(t, tab, d.width, d.height, d.width < 1000)
				tab.Wait(`!document.getElementById("chart") || !!document.querySelector(".chart.slim") === innerWidth < 690`)
				if w := browser.Eval[int](tab, `document.documentElement.scrollWidth`); int64(w) > d.width {
					t.Errorf("%s: %d px wide", name, w)
				}
				browser.Eval[bool](tab, `(scrollTo(0, 0), true)`)
				picture(t, tab, filepath.Join(dir, name))
				fmt.Fprintf(&sheet, "<img src=\"%s\" alt=\"%s\" height=\"480\">\n", name, name)
				if d.name == "tablet" || d.name == "phone" {
					size(t, tab, d.width, browser.Eval[int64](tab, `document.documentElement.scrollHeight`), true)
					picture(t, tab, filepath.Join(dir, "whole-"+name))
				}
			}
			size(t, tab, 1024, 768, false)
		}
	}
	head := "<!DOCTYPE html><html lang=\"en\"><meta charset=\"utf-8\"><title>Screens</title><h1>Screens</h1>\n"
	if err := os.WriteFile(filepath.Join(dir, "index.html"), []byte(head+sheet.String()), 0o644); err != nil {
		t.Fatal(err)
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

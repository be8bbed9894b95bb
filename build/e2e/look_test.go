package e2e

import (
	"cmp"
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
	album := newAlbum(t, dir, "index.html")
	for _, lang := range pictured() {
		demo(tab, lang)
		for _, view := range place.Views {
			walk(tab, lang, view)
			if view == "sheets" {
				tab.Wait(`document.getElementById("sheet-faults") || (document.getElementById("sheet") && document.getElementById("sheet").height)`)
			}
			// One drawer open, as it is when somebody looks into it.
			const drawer = "main .change:first-of-type, main .figure:first-child, main #each-21"
			if browser.Eval[bool](tab, fmt.Sprintf(`!!document.querySelector(%q)`, drawer)) {
				openDrawers(tab, drawer)
			}
			album.take(tab, cmp.Or(view, "case"), lang, "")
		}
	}
}

// pictured are the languages of the pictures.
func pictured() []string {
	return strings.Fields(cmp.Or(os.Getenv("PLAINLEAF_PICTURE_LANGS"), "en es ar"))
}

// device is a screen that pictures are taken on.
type device struct {
	name          string
	width, height int64
}

// An album is a folder of pictures with a page that shows them.
type album struct {
	t       *testing.T
	dir     string
	file    string
	only    string // part of the name of the pictures wanted
	devices []device
	page    strings.Builder
}

func newAlbum(t *testing.T, dir, file string) *album {
	a := &album{t: t, dir: dir, file: file, only: os.Getenv("PLAINLEAF_PICTURE_ONLY"),
		devices: []device{{"tablet", 820, 1180}, {"tablet-wide", 1180, 820}, {"phone", 390, 844}, {"desktop", 1366, 768}, {"narrow", 320, 640}}}
	a.page.WriteString("<!DOCTYPE html><html lang=\"en\"><meta charset=\"utf-8\"><title>Screens</title><h1>Screens</h1>\n")
	t.Cleanup(func() {
		if err := os.WriteFile(filepath.Join(dir, file), []byte(a.page.String()), 0o644); err != nil {
			t.Error(err)
		}
	})
	return a
}

// take pictures one state on every device, from what is to be seen downward, and
// on a tablet and a phone the whole length of a screen that is seen from its top.
func (a *album) take(tab *browser.Tab, state, lang, at string) {
	t := a.t
	t.Helper()
	if a.only != "" && !strings.Contains(state+"-"+lang, a.only) {
		return
	}
	fmt.Fprintf(&a.page, "<h2>%s, %s</h2>\n", html.EscapeString(state), lang)
	for _, d := range a.devices {
		name := fmt.Sprintf("%s-%s-%s.png", state, lang, d.name)
		size(t, tab, d.width, d.height, d.width < 1000)
		tab.Wait(`!document.getElementById("chart") || !!document.querySelector(".chart.slim") === innerWidth < 690`)
		if w := browser.Eval[int](tab, `document.documentElement.scrollWidth`); int64(w) > d.width {
			t.Errorf("%s: %d px wide", name, w)
		}
		if at == "" {
			browser.Eval[bool](tab, `(scrollTo(0, 0), true)`)
		} else {
			browser.Eval[bool](tab, fmt.Sprintf(`(e => (e && e.scrollIntoView(), true))(document.querySelector(%q))`, at))
		}
		picture(t, tab, filepath.Join(a.dir, name))
		fmt.Fprintf(&a.page, "<img src=\"%s\" alt=\"%s\" height=\"480\" loading=\"lazy\">\n", name, name)
		// A sheet is looked at on paper, and what is longer than this is not looked at.
		if at == "" && (d.name == "tablet" || d.name == "phone") && !browser.Eval[bool](tab, `!!document.getElementById("sheet")`) {
			size(t, tab, d.width, min(12000, browser.Eval[int64](tab, `document.documentElement.scrollHeight`)), true)
			picture(t, tab, filepath.Join(a.dir, "whole-"+name))
		}
	}
	size(t, tab, 768, 1024, true)
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

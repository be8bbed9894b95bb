package browser

import (
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
)

// OnNewDocument runs a script in each new document of the tab before any of
// its own.
func (p *Tab) OnNewDocument(source string) {
	p.t.Helper()
	_, err := chromedp.Call(p.Ctx, page.AddScriptToEvaluateOnNewDocument,
		page.AddScriptToEvaluateOnNewDocumentParams{Source: source})
	if err != nil {
		p.t.Fatal(err)
	}
}

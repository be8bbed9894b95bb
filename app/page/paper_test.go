package page

import (
	"html"
	"regexp"
	"strings"
	"testing"

	"github.com/maxence-charriere/go-app/v10/pkg/app"

	"plainleaf/app/casefile"
	"plainleaf/app/handover"
	"plainleaf/app/produce"
	"plainleaf/i18n"
)

// A paper on a phone shows every sentence of its document, each sign with its key, and
// the numbers as links, before the notes about where they come from.
func TestAPaperShowsAllOfItsDocument(t *testing.T) {
	d := loadDemo(t)
	r := d.root()
	p := handover.Paper{Content: d.base.Version, Locale: "en", Telephone: "+1 202-555-0101", EmergencyLine: "+1 202-555-0102", EmergencyService: "911"}
	for _, w := range d.base.Warnings {
		p.Warnings = append(p.Warnings, w.Key)
	}
	for _, l := range d.base.LinesInTime() {
		p.Lines = append(p.Lines, l.Key)
	}
	r.paper = reading{paper: p, shown: true, lang: "en"}
	doc, faults := produce.PaperDoc(p, d.base, d.words, i18n.States("en"), casefile.Date{Year: 2026, Month: 12, Day: 1})
	r.paper.doc = doc
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	page := html.UnescapeString(app.HTMLString(box("div", "", r.paperView()...)))
	tight := func(s string) string { return strings.Join(strings.Fields(s), "") } // each element is on its own line
	plain := tight(regexp.MustCompile(`<[^>]*>`).ReplaceAllString(page, ""))
	told := 0
	shows := func(s string) {
		t.Helper()
		if !strings.Contains(plain, tight(s)) {
			t.Errorf("the screen does not show %q", s)
		}
		told++
	}
	for _, b := range r.paper.doc.Blocks {
		shows(b.Text.String())
		shows(b.Aside.String())
		for _, it := range b.Items {
			shows(it.Label.String())
			for _, l := range it.Said() {
				shows(l.String())
			}
		}
	}
	if told < 2*len(d.base.Warnings) {
		t.Errorf("%d texts in the document", told)
	}
	for _, w := range d.base.Warnings {
		if !strings.Contains(page, `data-warning="`+w.Key+`"`) {
			t.Errorf("%s has no key", w.Key)
		}
	}
	for _, number := range []string{"911", "+12025550101", "+12025550102"} {
		if at := strings.Index(page, `href="tel:`+number+`"`); at < 0 || at > strings.Index(page, `id="paper-notes"`) {
			t.Errorf("%s cannot be called before the notes", number)
		}
	}
}

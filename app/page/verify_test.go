package page

import (
	"html"
	"strings"
	"testing"

	"github.com/maxence-charriere/go-app/v10/pkg/app"

	"plainleaf/app/record"
	"plainleaf/app/screens/state"
	"plainleaf/i18n"
)

// A hash that fits is no proof beside a signature that does not belong: the screen does
// not say that the record is as it was sealed, nor show that verdict as a good one.
func TestNotAsSealedBesideAWrongSignature(t *testing.T) {
	for _, l := range i18n.ScreenLanguages() {
		data, _ := i18n.Embedded(l.Tag)
		w, faults := i18n.Load(l.Tag, data, nil)
		if len(faults) > 0 {
			t.Fatal(faults.Lines())
		}
		said := func(signer, id string) (there, bad bool) {
			r := &Root{words: w, texts: map[string]string{}, signed: &state.Signing{}, bind: map[string]string{}}
			r.check = state.Checked{Name: "record.json"}
			r.check.Verdict = record.Verdict{Integrity: record.Intact, Signer: signer, Trust: record.NotAsked}
			text, err := w.Text(id, nil, "")
			if err != nil {
				t.Fatal(err)
			}
			page := app.HTMLString(box("div", "", r.verdicts("")...))
			i := strings.LastIndex(page[:strings.Index(page, `id="verdict-integrity"`)], "<") // attributes come in any order
			verdict, _, _ := strings.Cut(page[i:], "</div>")
			return strings.Contains(html.UnescapeString(page), text), strings.Contains(verdict, "bad")
		}
		if there, bad := said(record.Signed, "record.integrity.intact"); !there || bad {
			t.Errorf("%s: of a signed record: said %v, bad %v", l.Tag, there, bad)
		}
		if there, bad := said(record.Wrong, "record.integrity.intact"); there || !bad {
			t.Errorf("%s: beside a wrong signature: said %v, bad %v", l.Tag, there, bad)
		}
		if there, _ := said(record.Wrong, "record.integrity.unproven"); !there {
			t.Errorf("%s: nothing says that nobody knows what was sealed", l.Tag)
		}
	}
}

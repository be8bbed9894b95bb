package page

import (
	"html"
	"strings"
	"testing"

	"github.com/maxence-charriere/go-app/v10/pkg/app"

	"plainleaf/app/casefile"
	"plainleaf/app/demo"
	"plainleaf/app/screens/state"
	"plainleaf/content"
	"plainleaf/i18n"
)

// Where a case and the practice name a parked language, the screens say so, offer it
// for nothing, and leave the practice's as it is until another is chosen.
func TestAParkedLanguageOnTheScreens(t *testing.T) {
	vocabulary := content.MustLoad().Vocabulary(i18n.Tags(i18n.All()))
	practice, faults := casefile.ReadPractice(demo.Practice, vocabulary)
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	practice.Locale, practice.SignOffs = "de", nil
	data, _ := i18n.Embedded("en")
	words, faults := i18n.Load("en", data, nil)
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	r := &Root{words: words, texts: map[string]string{}, bind: map[string]string{}, langs: map[string]*spoken{}, fetching: map[string]bool{}}
	r.hold(state.New(content.MustLoad(), vocabulary, practice, today(), "en"))
	r.d.Languages().SetLocale("es")
	old := strings.Replace(string(demo.Case), "{", `{"second": "de", `, 1)
	if !r.desk.Import("old.json", strings.Replace(old, `"second": "en",`, "", 1)) {
		t.Fatal(r.d.File().Rejected().Faults.Lines())
	}
	show := func(parts ...app.UI) string { return html.UnescapeString(app.HTMLString(box("div", "", parts...))) }
	if page := show(r.languagePart()); !strings.Contains(page, `id="language-parked"`) || !strings.Contains(page, "German is not offered for now") ||
		strings.Contains(page, `value="de"`) {
		t.Errorf("%s", page)
	}
	if page := show(r.screenPart()); !strings.Contains(page, `value="de" selected`) && !strings.Contains(page, `selected value="de"`) || !strings.Contains(page, `data-fault="LANGUAGE-PARKED"`) {
		t.Errorf("%s", page)
	}
	if a := r.approval(); a.Locale != "en" {
		t.Errorf("words in %s would be signed off", a.Locale)
	}
	r.d.Languages().SetLocale("en")
	if r.make(); !r.preview.faults.Has("REVIEW-PARKED") || len(r.preview.wants) > 0 {
		t.Errorf("a sheet: %s, waits for %v", r.preview.faults.Lines(), r.preview.wants)
	}
	r.office.SetField("locale", "en")
	if page := show(r.screenPart()); strings.Contains(page, `value="de"`) || strings.Contains(page, "LANGUAGE-PARKED") {
		t.Errorf("%s", page)
	}
	if r.make(); len(r.preview.faults) > 0 {
		t.Errorf("a sheet in the language chosen: %s", r.preview.faults.Lines())
	}
}

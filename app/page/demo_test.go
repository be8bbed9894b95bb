package page

import (
	"testing"

	"plainleaf/app/casefile"
	"plainleaf/app/demo"
	"plainleaf/app/evidence"
	"plainleaf/app/screens/state"
	"plainleaf/content"
	"plainleaf/i18n"
)

// demoData is what the screens of the demo need, in English.
type demoData struct {
	base       *evidence.Base
	vocabulary casefile.Vocabulary
	practice   casefile.Practice
	words      *i18n.Wording
}

func loadDemo(t *testing.T) demoData {
	t.Helper()
	base := content.MustLoad()
	vocabulary := base.Vocabulary(i18n.Tags(i18n.All()))
	practice, faults := casefile.ReadPractice(demo.Practice, vocabulary)
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	data, _ := i18n.Embedded("en")
	words, faults := i18n.Load("en", data, nil)
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	return demoData{base, vocabulary, practice, words}
}

// root returns new screens without a browser.
func (d demoData) root() *Root {
	r := &Root{words: d.words, acts: map[string]act{}, texts: map[string]string{}, shown: map[string]bool{}, bind: map[string]string{}, langs: map[string]*spoken{}, fetching: map[string]bool{}}
	r.hold(state.New(d.base, d.vocabulary, d.practice, today(), "en"))
	return r
}

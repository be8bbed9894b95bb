package page

import (
	"errors"
	"time"

	"plainleaf/app/casefile"
	"plainleaf/app/demo"
	"plainleaf/app/screens/state"
	"plainleaf/content"
	"plainleaf/i18n"
)

var errNotListed = errors.New("the file is not listed")

func weekday(n int) time.Weekday { return time.Weekday(n) }

// start opens an empty case with the demo practice.
func (r *Root) start() {
	base, faults := content.Load()
	if len(faults) > 0 {
		panic(faults.Err())
	}
	words := base.Vocabulary(i18n.Tags(i18n.All())) // parked ones too: older files open
	words.Currencies = i18n.Currencies()
	practice, faults := casefile.ReadPractice(demo.Practice, words)
	if len(faults) > 0 {
		panic(faults.Err())
	}
	r.langs, r.fetching = map[string]*spoken{}, map[string]bool{}
	r.shipped = practice
	r.hold(state.New(base, words, practice, today(), r.here.Lang))
}

// hold shows a desk on the screens.
func (r *Root) hold(m *state.Desk) {
	r.desk, r.d, r.office, r.signed = m, m.Draft, m.Practice, m.Signing
}

// loadDemo opens the invented case that comes with the program.
func (r *Root) loadDemo() {
	if !r.replaceable() {
		return
	}
	r.desk.Import("demo.json", string(demo.Case))
	r.d.Languages().SetLocale(r.lang().Tag) // the demo is in the language of the screen
	r.loosen()
	r.notice = ""
	r.opened()
}

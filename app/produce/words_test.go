package produce_test

import (
	"maps"
	"slices"
	"testing"

	"plainleaf/app/casefile"
	"plainleaf/app/produce"
	"plainleaf/app/render"
	"plainleaf/app/sheet"
	"plainleaf/i18n"
)

const (
	soon = "priority.soonest.name"
	chip = "warning.chip-or-crack.self"
)

func newest(p casefile.Practice, tag string) *i18n.Wording {
	data, _ := i18n.Embedded(tag)
	w, _ := produce.Newest(p, tag, data)
	return w
}

func printed(t *testing.T, p casefile.Practice, tag string) *i18n.Wording {
	t.Helper()
	data, _ := i18n.Embedded(tag)
	w, faults := produce.Printed(p, tag, data)
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	return w
}

func worded(p casefile.Practice, tag, id string, sentence any) casefile.Practice {
	all := map[string]map[string]any{}
	for k, m := range p.Wordings {
		all[k] = maps.Clone(m)
	}
	if all[tag] == nil {
		all[tag] = map[string]any{}
	}
	if all[tag][id] = sentence; sentence == nil {
		delete(all[tag], id)
	}
	p.Wordings = all
	return p
}

// signed is a practice of its own words, en and es, both signed off.
func signed(t *testing.T) casefile.Practice {
	t.Helper()
	p := casefile.Practice{Version: 2, Name: "A", Telephone: "1", EmergencyLine: "2", Locale: "en"}
	p = worded(worded(p, "en", soon, "Done soon"), "es", soon, "Pronto")
	p = worded(worded(p, "en", chip, "Keep it."), "es", chip, "Guarde los trozos.")
	for _, tag := range []string{"en", "es"} {
		p.SignOffs = append(p.SignOffs, casefile.SignOff{Sheet: "all", Locale: tag, Who: "Ana Ejemplo", Role: "dentist",
			When: casefile.Date{Year: 2026, Month: 11, Day: 20}, Wording: render.Digest(newest(p, tag))})
		render.Approve(&p, tag, newest(p, tag), newest(p, "en"))
	}
	return p
}

func rewordedIn(p casefile.Practice, tag string) []string {
	return render.Reworded(p, tag, newest(p, tag), newest(p, "en"))
}

func banners(t *testing.T, p casefile.Practice, tag string) []string {
	t.Helper()
	texts, faults := render.Policy(p, sheet.Options, tag, "", func(tag string) *i18n.Wording { return printed(t, p, tag) })
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	var out []string
	for _, b := range texts {
		out = append(out, b.ID)
	}
	return out
}

// An approval is of two sentences: when either changes it is gone, and named.
func TestAnApprovalIsOfTheWordsItWasMadeFrom(t *testing.T) {
	p := signed(t)
	for _, tag := range []string{"en", "es"} {
		if ids := rewordedIn(p, tag); len(ids) > 0 {
			t.Errorf("%s: just signed off, and %q is not approved", tag, ids)
		}
		if b := banners(t, p, tag); len(b) > 0 {
			t.Errorf("%s: %q", tag, b)
		}
	}
	q := worded(p, "es", soon, "Tarde")
	if en, es := rewordedIn(q, "en"), rewordedIn(q, "es"); len(en) > 0 || !slices.Equal(es, []string{soon}) {
		t.Errorf("the Spanish changed: %q %q", en, es)
	}
	// The Spanish is as it was, yet it was compared with another English sentence.
	q = worded(p, "en", soon, "Done late")
	if en, es := rewordedIn(q, "en"), rewordedIn(q, "es"); !slices.Equal(en, []string{soon}) || !slices.Equal(es, []string{soon}) {
		t.Errorf("the English changed: %q %q", en, es)
	}
	for _, tag := range []string{"en", "es"} {
		if b := banners(t, q, tag); !slices.Equal(b, []string{"banner.changed"}) {
			t.Errorf("%s: the sheet says %q", tag, b)
		}
	}
	render.Approve(&q, "en", newest(q, "en"), newest(q, "en"))
	render.Approve(&q, "es", newest(q, "es"), newest(q, "en"))
	if en, es := rewordedIn(q, "en"), rewordedIn(q, "es"); len(en)+len(es) > 0 {
		t.Errorf("signed off anew: %q %q", en, es)
	}
}

// What was approved is printed until what replaced it is approved too.
func TestAnApprovedSentenceStaysInService(t *testing.T) {
	p := signed(t)
	plural := map[string]any{"one": "{{.Count}} full year", "other": "{{.Count}} full years"}
	const years = "sheet.last.beyond"
	p = worded(p, "en", years, plural)
	render.Approve(&p, "en", newest(p, "en"), newest(p, "en"))
	p.SignOffs[0].Wording = render.Digest(newest(p, "en"))
	next := worded(p, "en", soon, "Done late")
	next = worded(next, "en", chip, "Call us at once.")
	next = worded(next, "en", years, nil)
	next = worded(next, "en", "priority.reversible.name", "Can be undone again")
	q := produce.Succeed(p, next, newest)
	w := printed(t, q, "en")
	for id, want := range map[string]string{
		soon:                       "Done soon",
		chip:                       "Keep it.",
		years:                      "{{.Count}} full years",
		"priority.reversible.name": newest(p, "en").Source("priority.reversible.name").Other, // the program's own was approved
	} {
		if got := w.Source(id).Other; got != want {
			t.Errorf("%s prints %q, want %q", id, got, want)
		}
	}
	if got := newest(q, "en").Source(soon).Other; got != "Done late" {
		t.Errorf("the new sentence is %q", got)
	}
	if ids := rewordedIn(q, "en"); !slices.Equal(ids, []string{"priority.reversible.name", soon, years, chip}) {
		t.Errorf("named: %q", ids)
	}
	// A second change does not let go of what was approved; going back to it does.
	if r := produce.Succeed(q, worded(q, "en", soon, "Done later still"), newest); printed(t, r, "en").Source(soon).Other != "Done soon" {
		t.Errorf("after a second change: %v", r.InService)
	}
	if r := produce.Succeed(q, casefile.Practice{Locale: "en", Wordings: p.Wordings, SignOffs: p.SignOffs}, newest); len(r.InService) > 0 || len(rewordedIn(r, "en")) > 0 {
		t.Errorf("back to what was approved: %v %q", r.InService, rewordedIn(r, "en"))
	}
	// A file whose own sign-off is of the new words brings them into service.
	signedAnew := next
	render.Approve(&signedAnew, "en", newest(next, "en"), newest(next, "en"))
	if r := produce.Succeed(p, signedAnew, newest); r.InService["en"][soon] != nil {
		t.Errorf("approved in the file, and held back: %v", r.InService)
	}
	// A sign-off takes the new words into service.
	render.Approve(&q, "en", newest(q, "en"), newest(q, "en"))
	if got := printed(t, q, "en").Source(soon).Other; got != "Done late" || len(q.InService["en"]) > 0 || len(rewordedIn(q, "en")) > 0 {
		t.Errorf("signed off: %q, %v, %q", got, q.InService, rewordedIn(q, "en"))
	}
	if p.Wordings["en"][soon] != "Done soon" || len(p.InService) > 0 {
		t.Error("the practice before was changed")
	}
}

// A sign-off of version 1 has a digest only: where that still is the words', all were
// approved; otherwise the sheet says once that they changed.
func TestSignOffsOfVersionOne(t *testing.T) {
	p := signed(t)
	p.Approved = nil
	if tags := produce.Unnamed(p); !slices.Equal(tags, []string{"en", "es"}) {
		t.Errorf("unnamed: %q", tags)
	}
	next := worded(p, "es", soon, "Tarde")
	q := produce.Succeed(p, next, newest)
	if got := printed(t, q, "es").Source(soon).Other; got != "Pronto" || !slices.Equal(rewordedIn(q, "es"), []string{soon}) {
		t.Errorf("prints %q, named %q", got, rewordedIn(q, "es"))
	}
	if b := banners(t, q, "es"); len(b) > 0 {
		t.Errorf("what is printed was approved: %q", b)
	}
	p.SignOffs[1].Wording = "0123456789abcdef"
	q = produce.Succeed(p, next, newest)
	if got := printed(t, q, "es").Source(soon).Other; got != "Tarde" || q.InService != nil {
		t.Errorf("never approved, and printed is %q (%v)", got, q.InService)
	}
	if b := banners(t, q, "es"); !slices.Equal(b, []string{"banner.changed"}) {
		t.Errorf("%q", b)
	}
}

// A sentence whose message is gone, or that no longer fits it, never stops a sheet.
func TestOldSentencesStopNoSheet(t *testing.T) {
	p := signed(t)
	p = worded(p, "en", "gone.for.ever", "Nobody prints this")
	p.InService = map[string]map[string]any{"en": {soon: "In {{.Count}} days", "gone.too": "x", chip: "Wait."}}
	w := printed(t, p, "en")
	if w.Source(soon).Other != "Done soon" || w.Source(chip).Other != "Wait." || w.Has("gone.for.ever") {
		t.Errorf("%q %q", w.Source(soon).Other, w.Source(chip).Other)
	}
	if newest(p, "en") == nil {
		t.Error("the newest words cannot be loaded")
	}
}

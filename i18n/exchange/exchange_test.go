//go:build !js

package exchange

import (
	"bytes"
	"maps"
	"slices"
	"strings"
	"testing"

	"plainleaf/app/fault"
	"plainleaf/build/outside"
	"plainleaf/i18n"
)

func TestMain(m *testing.M) { outside.Main(m) }

// shipped is the work on the program's own words in a language, one it speaks or not.
func shipped(t testing.TB, tag string) Work {
	t.Helper()
	messages := func(l i18n.Language) map[string]i18n.Message {
		data, ok := i18n.Embedded(l.Tag)
		if !ok {
			return map[string]i18n.Message{}
		}
		m, faults := l.Parse(l.Tag, data)
		if len(faults) > 0 {
			t.Fatal(faults.Lines())
		}
		return m
	}
	l, ok := i18n.Known(tag)
	if !ok {
		if l, ok = i18n.Other(tag); !ok {
			t.Fatal("no language ", tag)
		}
	}
	english := messages(i18n.Source())
	return New(i18n.Source(), l, english, english, messages(l), i18n.States(tag))
}

// small is work on a few messages of the program's own form.
func small(t testing.TB, tag string) Work {
	t.Helper()
	w := shipped(t, tag)
	w.English = map[string]i18n.Message{
		"urgency.call":     {Other: "Call {{.Phone}} now."},
		"sheet.row.teeth":  {One: "one tooth", Other: "{{.Count}} teeth"},
		"sheet.last.rule":  {Other: "Nothing is glued today & all is open."},
		"page.seal.button": {Other: "Seal the record"},
	}
	w.From = w.English
	w.To = map[string]i18n.Message{}
	w.States = map[string]i18n.State{}
	w.Stale = map[string]bool{}
	if tag == "es" {
		w.To = map[string]i18n.Message{
			"urgency.call":     {Other: "Llame ya al {{.Phone}}."},
			"sheet.row.teeth":  {One: "un diente", Many: "{{.Count}} de dientes", Other: "{{.Count}} dientes"},
			"sheet.last.rule":  {Other: "Hoy no se pega nada & todo queda abierto."},
			"page.seal.button": {Other: "Sellar el registro"},
		}
		for id := range w.To {
			w.States[id] = i18n.State{State: i18n.Translated, SourceHash: i18n.Hash(w.English[id]), Who: "translator", When: "2026-11-25"}
		}
	}
	return w
}

func exported(t testing.TB, w Work) string {
	t.Helper()
	data, faults := Export(w, Choice{Only: "all"})
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	return string(data)
}

// back reads a file and judges it.
func back(w Work, file string) (Result, fault.List) {
	f, faults := Read([]byte(file))
	if len(faults) > 0 {
		return Result{}, faults
	}
	return Judge(w, f)
}

// change puts one text for another, which must be there once.
func change(t testing.TB, file, from, to string) string {
	t.Helper()
	if n := strings.Count(file, from); n != 1 {
		t.Fatalf("%q is there %d times", from, n)
	}
	return strings.Replace(file, from, to, 1)
}

// What goes out and comes back as it is changes nothing, in every language, and goes
// out in the same bytes again.
func TestRoundTrip(t *testing.T) {
	for _, l := range i18n.Languages()[1:] {
		w := shipped(t, l.Tag)
		file := exported(t, w)
		if exported(t, shipped(t, l.Tag)) != file {
			t.Errorf("%s: another run gives other bytes", l.Tag)
		}
		r, faults := back(w, file)
		if len(faults) > 0 {
			t.Fatalf("%s: %s", l.Tag, faults.Lines())
		}
		if r.Sentences != len(w.English) || r.Same != len(w.English) {
			t.Errorf("%s: %d sentences of %d, %d as before", l.Tag, r.Sentences, len(w.English), r.Same)
		}
		t.Logf("%s: %d sentences, %d bytes", l.Tag, r.Sentences, len(file))
		if len(file) > MaxBytes/4 {
			t.Errorf("%s: %d bytes leave an editor too little room in %d", l.Tag, len(file), MaxBytes)
		}
	}
}

// A language that the program does not speak goes out with every sentence open and
// with its own plural forms, and comes back whole and checked.
func TestAnotherLanguage(t *testing.T) {
	w := small(t, "pl")
	file := exported(t, w)
	for _, want := range []string{
		`srcLang="en" trgLang="pl"`, `id="sheet.row.teeth_one"`, `id="sheet.row.teeth_few"`, `id="sheet.row.teeth_many"`, `id="sheet.row.teeth_other"`,
		"only for the count 1.", "for counts such as 2, 3, 4, 22,",
	} {
		if !strings.Contains(file, want) {
			t.Errorf("%s is not there", want)
		}
	}
	if strings.Contains(file, "<target") || strings.Contains(file, `state="translated"`) {
		t.Error("a sentence that nobody translated is not open")
	}
	if r, faults := back(w, file); len(faults) > 0 || r.Empty != 4 || len(r.Taken) != 0 {
		t.Errorf("%+v %s", r, faults.Lines())
	}
	count := `<ph id="Count" canDelete="no" dataRef="Count" disp="[Count]" equiv="Count" type="other" subType="plainleaf:count"/>`
	done := file
	for form, text := range map[string]string{"one": "jeden ząb", "few": count + " zęby", "many": count + " zębów", "other": count + " zęba"} {
		done = translated(t, done, "sheet.row.teeth_"+form, text)
	}
	r, faults := back(w, done)
	want := i18n.Message{One: "jeden ząb", Few: "{{.Count}} zęby", Many: "{{.Count}} zębów", Other: "{{.Count}} zęba"}
	if len(faults) > 0 || !slices.Equal(r.Taken, []string{"sheet.row.teeth"}) || r.Messages["sheet.row.teeth"] != want || r.Empty != 3 {
		t.Errorf("%+v %s", r, faults.Lines())
	}
	// The form for 2 to 4 is for 22 too, and may not leave the count out.
	if _, faults := back(w, strings.Replace(done, count+" zęby", "dwa zęby", 1)); !faults.Has("WORDING-PLACEHOLDER-LOST") {
		t.Errorf("a lost count: %s", faults.Lines())
	}
	for _, tag := range []string{"", "xx", "PL", "pl-", "en", "es", "de", "und", "p l"} {
		if _, ok := i18n.Other(tag); ok {
			t.Errorf("%q is another language", tag)
		}
	}
	if l, _ := i18n.Other("fa"); l.Dir != "rtl" {
		t.Error("Persian is written from left to right")
	}
}

// translated puts a translation into a unit that has none, as an editor would.
func translated(t testing.TB, file, id, text string) string {
	t.Helper()
	at := strings.Index(file, `<unit id="`+id+`"`)
	if at < 0 {
		t.Fatal("no unit ", id)
	}
	rest := strings.Replace(file[at:], `state="initial"`, `state="translated"`, 1)
	return file[:at] + strings.Replace(rest, "</source>", "</source><target>"+text+"</target>", 1)
}

// A form for several counts is not translated from words for one.
func TestSourceOfAForm(t *testing.T) {
	w := small(t, "ru") // its form one is for 1, 21, 31 ...
	if got := w.source("sheet.row.teeth", "one"); got != "{{.Count}} teeth" {
		t.Errorf("one in Russian is translated from %q", got)
	}
	if got := small(t, "pl").source("sheet.row.teeth", "one"); got != "one tooth" {
		t.Errorf("one in Polish is translated from %q", got)
	}
}

func TestReviewStates(t *testing.T) {
	with := func(state string, stale bool) Work {
		w := small(t, "es")
		s := w.States["urgency.call"]
		s.State = state
		w.States["urgency.call"] = s
		if stale {
			w.Stale["urgency.call"] = true
		}
		return w
	}
	unit := func(w Work, state, text string) string {
		file := exported(t, w)
		at := strings.Index(file, `<unit id="urgency.call"`)
		end := at + strings.Index(file[at:], "</unit>")
		u := file[at:end]
		i := strings.Index(u, "<segment ")
		j := strings.Index(u, "<source>")
		u = u[:i] + `<segment state="` + state + `">` + u[j:]
		if text != "" {
			i, j := strings.Index(u, "<target>"), strings.Index(u, "</target>")
			u = u[:i] + "<target>" + text + u[j:]
		}
		return file[:at] + u + file[end:]
	}
	const other = `Llame enseguida al <ph id="Phone"/>.`
	for _, c := range []struct {
		name              string
		stored            string
		stale             bool
		state, text, want string
	}{
		{"as it was", "translated", false, "translated", "", "same"},
		{"an editor that writes no states", "reviewed", false, "initial", "", "same"},
		{"reviewed as it stood", "translated", false, "reviewed", "", "reviewed"},
		{"final is reviewed at most", "translated", false, "final", "", "reviewed"},
		{"reviewed before", "reviewed", false, "final", "", "same"},
		{"final before", "final", false, "translated", "", "same"},
		{"changed words are new, whatever they are called", "translated", false, "final", other, "taken"},
		{"changed words of a final text", "final", false, "final", other, "taken"},
		{"changed and not marked", "translated", false, "initial", other, "taken unmarked"},
		{"stale and not looked at", "translated", true, "initial", "", "same"},
		{"stale and still right", "translated", true, "translated", "", "confirmed"},
		{"stale, and no review of what is only confirmed", "translated", true, "final", "", "confirmed"},
		{"stale and mended", "final", true, "translated", other, "taken"},
	} {
		w := with(c.stored, c.stale)
		r, faults := back(w, unit(w, c.state, c.text))
		if len(faults) > 0 {
			t.Errorf("%s: %s", c.name, faults.Lines())
			continue
		}
		got := []string{}
		for name, ids := range map[string][]string{"taken": r.Taken, "confirmed": r.Confirmed, "reviewed": r.Reviewed, "unmarked": r.Unmarked, "stale": r.Stale, "gone": r.Gone} {
			if len(ids) > 0 {
				got = append(got, name)
			}
		}
		if r.Same == 4 {
			got = append(got, "same")
		}
		slices.Sort(got)
		if s := strings.Join(got, " "); s != c.want {
			t.Errorf("%s: %s, want %s", c.name, s, c.want)
		}
	}
	w := with("translated", true)
	if file := exported(t, w); !strings.Contains(file, `state="initial" subState="plainleaf:stale"`) || strings.Count(file, "<note category=\"stale\">") != 1 {
		t.Error("a stale text does not say so")
	}
	if data, _ := Export(w, Choice{Only: "new"}); strings.Count(string(data), "<unit ") != 1 {
		t.Errorf("what is new: %s", data)
	}
	if data, _ := Export(with("final", false), Choice{Only: "unreviewed", Part: "sheets"}); strings.Count(string(data), "<segment ") != 1+3 || strings.Contains(string(data), "page.") {
		t.Errorf("what nobody reviewed: %s", data)
	}
	if _, faults := Export(with("translated", false), Choice{Only: "new"}); !faults.Has("EXCHANGE-NOTHING") {
		t.Error("a file of nothing was made")
	}
}

// A sentence whose source is another by now is told and left, and so is one that is
// gone; the others are taken.
func TestStaleAndGone(t *testing.T) {
	w := small(t, "es")
	file := exported(t, w)
	file = change(t, file, "Sellar el registro", "Selle el registro")
	now := small(t, "es")
	now.English["urgency.call"] = i18n.Message{Other: "Call {{.Phone}} today."}
	delete(now.English, "sheet.last.rule")
	now.English["sheet.row.teeth"] = i18n.Message{Other: "{{.Count}} teeth"} // has no forms any more
	r, faults := back(now, file)
	slices.Sort(r.Stale)
	if len(faults) > 0 || !slices.Equal(r.Stale, []string{"sheet.row.teeth", "urgency.call"}) || !slices.Equal(r.Gone, []string{"sheet.last.rule"}) ||
		!slices.Equal(r.Taken, []string{"page.seal.button"}) || len(r.Messages) != 1 {
		t.Errorf("%+v %s", r, faults.Lines())
	}
}

// Two units that would be the same form of a message do not hide each other.
func TestFormWithoutName(t *testing.T) {
	w := small(t, "es")
	file := exported(t, w)
	i := strings.Index(file, `<unit id="urgency.call"`)
	unit := file[i : i+strings.Index(file[i:], "</unit>")+len("</unit>")]
	twin := strings.NewReplacer(`id="urgency.call"`, `id="urgency.call_"`, "Llame ya", "Llame luego").Replace(unit)
	r, faults := back(w, change(t, file, unit, unit+twin))
	if len(faults) > 0 || len(r.Taken) > 0 || !slices.Equal(r.Stale, []string{"urgency.call"}) {
		t.Errorf("%+v %s", r, faults.Lines())
	}
}

// A practice's own sentences go out as it words them, and a text of the program's
// beside one is not its translation.
func TestOwnSentences(t *testing.T) {
	w := small(t, "es")
	own := map[string]i18n.Message{"urgency.call": {Other: "Ring {{.Phone}} at once."}}
	mine := w.WithOwn(own, own, nil, nil)
	file := exported(t, mine)
	if !strings.Contains(file, "<source>Ring ") || strings.Count(file, stale) != 1 {
		t.Error("the practice's sentence is not there, or its translation is not stale")
	}
	if w.From["urgency.call"] != w.English["urgency.call"] || len(w.Stale) > 0 {
		t.Error("the program's own words changed")
	}
	data, _ := Export(mine, Choice{Only: "own"})
	if strings.Count(string(data), "<unit ") != 1 {
		t.Errorf("own sentences: %s", data)
	}
	theirs := map[string]i18n.Message{"urgency.call": {Other: "Llame al {{.Phone}} enseguida."}}
	done := w.WithOwn(own, own, theirs, map[string]string{"urgency.call": mine.MadeFrom("urgency.call")})
	for made, want := range map[string]bool{"en 0123456789abcdef": true, w.MadeFrom("urgency.call"): true, mine.MadeFrom("urgency.call"): false, "": false, "de 0123456789abcdef": false} {
		if now := w.WithOwn(own, own, theirs, map[string]string{"urgency.call": made}); now.Stale["urgency.call"] != want {
			t.Errorf("made from %q: stale is %v", made, !want)
		}
	}
	if file := exported(t, done); strings.Contains(file, stale) || !strings.Contains(file, " enseguida.") {
		t.Error("the practice's translation is not there")
	}
	// What went out in the program's words comes back to a practice that words it otherwise.
	if r, faults := back(mine, exported(t, w)); len(faults) > 0 || !slices.Equal(r.Stale, []string{"urgency.call"}) {
		t.Errorf("%+v %s", r, faults.Lines())
	}
}

// Every message has a place in the order, every place has messages, and what warns a
// patient comes first.
func TestOrder(t *testing.T) {
	w := shipped(t, "es")
	ids := w.IDs()
	used := map[place]bool{}
	for _, id := range ids {
		p := placeOf(id)
		if used[p] = true; p.section == len(ordered().Sections) {
			t.Errorf("%s has no place in order.json", id)
		}
	}
	for of, p := range places() {
		if !used[p] {
			t.Errorf("no message under %s", of)
		}
	}
	if !strings.HasPrefix(ids[0], "urgency.") || len(ids) != len(w.English) {
		t.Errorf("the first of %d is %s", len(ids), ids[0])
	}
	at := map[string]int{}
	for i, s := range ordered().Sections {
		if !slices.Contains(Parts, s.Part) {
			t.Errorf("%s is of part %q", s.Name, s.Part)
		}
		at[s.Name] = i
	}
	if !(at["warnings"] < at["options"] && at["options"] < at["consent"] && at["consent"] < at["aftercare"] && at["aftercare"] < at["screens"]) {
		t.Errorf("%v", at)
	}
	if !bytes.Contains([]byte(exported(t, w)), []byte(`<group id="section-record"`)) || slices.Max(slices.Collect(maps.Values(at))) != len(at)-1 {
		t.Error("sections are missing")
	}
}

// A value that stands twice in a sentence has two marks, and both come back.
func TestAValueTwice(t *testing.T) {
	w := small(t, "es")
	w.English["urgency.call"] = i18n.Message{Other: "Call {{.Phone}}, I said {{.Phone}}."}
	w.To["urgency.call"] = i18n.Message{Other: "Llame al {{.Phone}}, digo {{.Phone}}."}
	file := exported(t, w)
	if strings.Count(file, `<ph id="Phone-2"`) != 2 {
		t.Error("the second mark has no id of its own")
	}
	if r, faults := back(w, file); len(faults) > 0 || r.Same != 4 {
		t.Errorf("%+v %s", r, faults.Lines())
	}
}

// A translator reads where a sentence is, what is beside it, and what its values hold; a
// note by hand stays beside the computed one.
func TestComputedNotes(t *testing.T) {
	w := shipped(t, "es")
	of := func(id, form string) string {
		var b strings.Builder
		for _, n := range w.notes(id, form) {
			b.WriteString(n[0] + ": " + n[1] + "\n")
		}
		return b.String()
	}
	for _, c := range []struct {
		id, form string
		want     []string
	}{
		{"print.answer.ask", "", []string{"where: ", "place: On: ", "words beside a box to tick", "Before print.answer.no: “" + w.English["print.answer.no"].Other + "”"}},
		{"aftercare.no-color-food", "other", []string{"where: ", "Under the heading ", "; for example: 24–72", "form: "}},
		{"quantity.days", "other", []string{"Put in for [Quantity] of aftercare.sore-gum: “For a sore gum"}},
	} {
		got := of(c.id, c.form)
		for _, want := range c.want {
			if !strings.Contains(got, want) {
				t.Errorf("%s lacks %q:\n%s", c.id, want, got)
			}
		}
	}
	if got := of("page.menu.case", ""); strings.Contains(got, "place: ") {
		t.Errorf("a word of the screens is on a sheet:\n%s", got)
	}
	if file := exported(t, w); !strings.Contains(file, `<note category="place">On: `) {
		t.Error("the file has no computed note")
	}
}

// A text made before its source had plural forms, or these values, is translated anew; the
// file comes back without a fault.
func TestATextThatNoLongerFits(t *testing.T) {
	w := shipped(t, "es")
	for id, old := range map[string]i18n.Message{
		"aftercare.no-color-food": {Other: "Durante {{.Range}} horas, nada de café."},
		"print.answer.ask":        {Other: "Primero {{.Count}}"},
	} {
		w.To = maps.Clone(w.To)
		w.To[id] = old
		w.Stale[id] = true
		file := exported(t, w)
		if strings.Contains(file, "nada de café") || strings.Contains(file, "Primero <ph") {
			t.Errorf("%s: the old text is offered", id)
		}
		if _, faults := back(w, file); len(faults) > 0 {
			t.Errorf("%s: %s", id, faults.Lines())
		}
	}
}

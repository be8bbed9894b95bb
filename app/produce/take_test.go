package produce_test

import (
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"plainleaf/app/casefile"
	"plainleaf/app/demo"
	"plainleaf/app/fault"
	"plainleaf/app/handover"
	"plainleaf/app/plan"
	"plainleaf/app/printout"
	"plainleaf/app/produce"
	"plainleaf/app/sheet"
	"plainleaf/content"
	"plainleaf/i18n"
)

func inputs(t *testing.T) map[string]produce.Input {
	t.Helper()
	base, faults := content.Load()
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	var tags []string
	for _, l := range i18n.Languages() {
		tags = append(tags, l.Tag)
	}
	v := base.Vocabulary(tags)
	practice, faults := casefile.ReadPractice(demo.Practice, v)
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	files, err := filepath.Glob("../../testdata/cases/*.json")
	if err != nil || len(files) < 6 {
		t.Fatalf("%d cases, %v", len(files), err)
	}
	wordings, states := map[string]*i18n.Wording{}, map[string]map[string]i18n.State{}
	for _, tag := range tags {
		data, _ := i18n.Embedded(tag)
		if wordings[tag], faults = i18n.Load(tag, data, produce.Overrides(practice, tag)); len(faults) > 0 {
			t.Fatal(faults.Lines())
		}
		states[tag] = i18n.States(tag)
	}
	out := map[string]produce.Input{}
	for _, f := range files {
		data, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		c, faults := casefile.ReadCase(data, v)
		if len(faults) > 0 {
			t.Fatal(faults.Lines())
		}
		out[filepath.Base(f)] = produce.Input{Case: c, Practice: practice, Base: base, Kind: sheet.Aftercare, Locale: "en",
			States:  func(tag string) map[string]i18n.State { return states[tag] },
			Wording: func(tag string) (*i18n.Wording, fault.List) { return wordings[tag], nil }}
	}
	return out
}

// The code of every case tells the phone the aftercare lines of the first page, no
// others, and the warning signs of the plan, in the plan's order within each phase, and the practice's numbers; it
// fits on paper. Without a hosted app there is none.
func TestHandoverOfEveryCase(t *testing.T) {
	longest := 0
	for name, in := range inputs(t) {
		pl, faults := plan.For(in.Case, in.Practice, in.Base)
		if len(faults) > 0 {
			t.Fatal(faults.Lines())
		}
		s, faults := produce.Handover(in, pl)
		if len(faults) > 0 {
			t.Errorf("%s: %s", name, faults.Lines())
			continue
		}
		rest, ok := strings.CutPrefix(s, in.Practice.BaseAddress+in.Locale+"/paper/#")
		u, err := url.Parse(s)
		if err != nil || !ok || u.RawQuery != "" || "#"+u.Fragment != "#"+rest {
			t.Errorf("%s: %q, %v", name, s, err)
		}
		var known handover.Keys
		var lines, warnings []string
		for _, l := range in.Base.Lines {
			known.Lines = append(known.Lines, l.Key)
		}
		for _, w := range in.Base.Warnings {
			known.Warnings = append(known.Warnings, w.Key)
		}
		first := map[string]bool{} // lines on the first page of the sheet
		for _, b := range sheet.Compose(sheet.Aftercare, in.Case, in.Practice, pl, in.Base).Blocks {
			if b.Kind == sheet.PageBreak {
				break
			}
			for _, it := range b.Items {
				first[strings.TrimPrefix(it.Text.ID, "aftercare.")] = true
			}
		}
		for _, l := range pl.Aftercare {
			if first[l.Key] {
				lines = append(lines, l.Key)
			}
		}
		for _, w := range pl.Warnings {
			warnings = append(warnings, w.Key)
		}
		p, faults := handover.Decode(rest, known)
		if len(faults) > 0 || p.Unknown != 0 || !same(p.Lines, lines) || !same(p.Warnings, warnings) || p.Content != in.Base.Version ||
			p.Telephone != in.Practice.Telephone || p.EmergencyLine != in.Practice.EmergencyLine || p.EmergencyService != in.Practice.EmergencyService {
			t.Errorf("%s: %+v (%s)", name, p, faults.Lines())
		}
		if c, faults := handover.Draw(s); len(faults) > 0 {
			t.Errorf("%s: %s", name, faults.Lines())
		} else {
			longest = max(longest, c.Version)
		}
		in.Practice.BaseAddress = ""
		if s, faults := produce.Handover(in, pl); s != "" || len(faults) > 0 {
			t.Errorf("%s: a code that leads nowhere: %q", name, s)
		}
	}
	t.Logf("the largest code has version %d", longest)
}

// An address too long for a code on paper takes the code away, and nothing else.
func TestALongAddressWithholdsNothing(t *testing.T) {
	in := inputs(t)["delivered.json"]
	in.Kind = sheet.Aftercare
	has := func() (code bool, warnings, blocks int) {
		t.Helper()
		docs, pl, faults := produce.Docs(in)
		if len(faults) > 0 {
			t.Fatal(faults.Lines())
		}
		if _, err := printout.HTML(docs, printout.Options{}); err != nil {
			t.Error(err)
		}
		if said := produce.Undrawn(in, pl); said.Has("CODE-LONG") != (len(in.Practice.BaseAddress) > 600) {
			t.Error(said.Lines())
		}
		for _, b := range docs[0].Blocks {
			code = code || b.Kind == sheet.HandOver
			if b.Kind == sheet.Urgent {
				warnings++
			}
		}
		return code, warnings, len(docs[0].Blocks)
	}
	code, warnings, blocks := has()
	in.Practice.BaseAddress = "https://practice.example/" + strings.Repeat("a", 600) + "/"
	if again, same, fewer := has(); !code || again || warnings == 0 || same != warnings || fewer != blocks-1 {
		t.Errorf("code %t, %d warnings, %d blocks became %t, %d, %d", code, warnings, blocks, again, same, fewer)
	}
}

func same(a, b []string) bool {
	return slices.Equal(slices.Sorted(slices.Values(a)), slices.Sorted(slices.Values(b)))
}

// The short message says neither what it is about nor from whom, in every
// language whole and within what mail programs take: a practice's name says what
// one is treated for.
func TestMailto(t *testing.T) {
	in := inputs(t)["two-teeth.json"]
	for _, l := range i18n.Languages() {
		in.Locale, in.Second = l.Tag, ""
		docs, _, faults := produce.Docs(in)
		if len(faults) > 0 {
			t.Fatal(faults.Lines())
		}
		s, faults := produce.Mailto(in, docs, "patient@mail.example")
		if len(faults) > 0 || len(s) > 1800 {
			t.Fatalf("%s: %d characters, %s", l.Tag, len(s), faults.Lines())
		}
		u, err := url.Parse(s)
		if err != nil || u.Opaque != "patient@mail.example" {
			t.Fatalf("%s: %v, %q", l.Tag, err, u.Opaque)
		}
		q := u.Query()
		if q.Get("subject") == "" || q.Get("body") == "" || strings.Contains(s, "ental") || len(q) != 2 {
			t.Errorf("%s: %v", l.Tag, q)
		}
		if _, faults := produce.Mailto(in, docs, "x@y.example?bcc=z@y.example"); !faults.Has("MAIL-ADDRESS") {
			t.Errorf("%s: a second recipient is taken", l.Tag)
		}
	}
}

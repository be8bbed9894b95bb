package instruments

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"plainleaf/app/casefile"
	"plainleaf/app/fault"
	"plainleaf/app/printout"
	"plainleaf/app/produce"
	"plainleaf/app/render"
	"plainleaf/app/sheet"
	"plainleaf/build/outside"
	"plainleaf/content"
	"plainleaf/i18n"
)

func TestMain(m *testing.M) { outside.Main(m) }

// load gives a sheet of a case that is shipped; nil where the case has no such sheet.
func load(t *testing.T, name string, kind sheet.Kind) *Sheet {
	t.Helper()
	base, faults := content.Load()
	v := base.Vocabulary(i18n.Tags(i18n.All()))
	read := func(file string) []byte {
		data, err := os.ReadFile("../../testdata/" + file)
		if err != nil {
			t.Fatal(err)
		}
		return data
	}
	practice, f := casefile.ReadPractice(read("practice/signed.json"), v)
	faults.Append(f...)
	c, f := casefile.ReadCase(read("cases/"+name+".json"), v)
	if faults.Append(f...); len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	data, _ := i18n.Embedded("en")
	w, faults := i18n.Load("en", data, nil)
	docs, _, faults := produce.Docs(produce.Input{Case: c, Practice: practice, Base: base, Kind: kind, Locale: "en", States: i18n.States,
		Wording: func(string) (*i18n.Wording, fault.List) { return w, nil }})
	if faults.Has("SHEET-NO-AGREEMENT") {
		return nil
	}
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	return dressed(t, docs[0])
}

func dressed(t *testing.T, d render.Doc) *Sheet {
	t.Helper()
	page, err := printout.HTML([]render.Doc{d}, printout.Options{})
	if err != nil {
		t.Fatal(err)
	}
	n, err := html.Parse(bytes.NewReader(page))
	if err != nil {
		t.Fatal(err)
	}
	return New(d, n)
}

// examples are the sheets that are looked at, of each kind.
var examples = map[sheet.Kind][]string{
	sheet.Options:   {"ten-teeth-no-prep", "two-teeth", "conventional-eight"},
	sheet.Wait:      {"ten-teeth-no-prep", "two-teeth", "conventional-eight"},
	sheet.Consent:   {"ten-teeth-no-prep", "two-teeth", "conventional-eight"},
	sheet.TryIn:     {"ten-teeth-no-prep", "at-try-in"},
	sheet.Change:    {"at-try-in"},
	sheet.Aftercare: {"ten-teeth-no-prep", "two-teeth", "conventional-eight", "delivered"},
}

// Each kind has at least the score it is asked, and what it still owes is known by name.
func TestScores(t *testing.T) {
	var table strings.Builder
	for _, kind := range sheet.Kinds() {
		var sheets []*Sheet
		for _, name := range examples[kind] {
			s := load(t, name, kind)
			if s == nil {
				t.Fatalf("%s has no %s", name, kind)
			}
			sheets = append(sheets, s)
		}
		var missed []string
		points, of := map[string]int{}, map[string]int{}
		for _, it := range Items() {
			v, ok := it.verdict(kind, sheets)
			if !ok {
				t.Errorf("%s: nobody has judged %s, %s", kind, it.Key, it.About)
				continue
			}
			outside.Note(map[string]string{"PM": "PEMAT-P items (AHRQ 14-0002-EF)", "CC": "CDC Clear Communication Index items"}[it.Key[:2]])
			listed := slices.Contains(owed[kind], it.Key)
			if !v.Applies {
				if listed {
					t.Errorf("%s: %s is listed as owed, and does not apply", kind, it.Key)
				}
				continue
			}
			of[it.part()]++
			switch {
			case v.Met:
				points[it.part()]++
				if listed {
					t.Errorf("%s: %s is met now; take it out of the list of what is owed", kind, it.Key)
				}
			default:
				missed = append(missed, fmt.Sprintf("%s %s: %s", it.Key, it.About, v.Why))
				if !listed {
					t.Errorf("%s: %s, %s: %s", kind, it.Key, it.About, v.Why)
				}
			}
		}
		fmt.Fprintf(&table, "%-9s", kind)
		for _, part := range parts {
			n := score(points[part], of[part])
			fmt.Fprintf(&table, "  %s %5.1f (%d of %d)", part, n, points[part], of[part])
			switch listed := slices.Contains(under[kind], part); {
			case n < enough && !listed:
				t.Errorf("%s: %s %.1f of 100, at least %d", kind, part, n, enough)
			case n >= enough && listed:
				t.Errorf("%s: %s is %.1f of 100 now; take it out of the list of what is below", kind, part, n)
			}
		}
		table.WriteString("\n")
		for _, m := range missed {
			fmt.Fprintf(&table, "    %.230s\n", m)
		}
	}
	t.Logf("\n%s", table.String())
}

// A rating names an item that has no check, and each kind once.
func TestRatings(t *testing.T) {
	judged := map[string]bool{}
	for _, it := range Items() {
		judged[it.Key] = it.Check == nil
	}
	seen := map[string]bool{}
	for _, r := range ratings {
		id := r.Item + " " + string(r.Kind)
		if !judged[r.Item] || !slices.Contains(sheet.Kinds(), r.Kind) || r.Met < 0 || r.Met > 1 || r.Why == "" || r.By == "" || seen[id] {
			t.Errorf("%+v", r)
		}
		if r.NotApplicable && (r.Met == 1 || !slices.Contains(mayNotApply, r.Item)) {
			t.Errorf("the instrument lets no sheet do without this: %+v", r)
		}
		seen[id] = true
	}
	if n := len(Items()); n != 24+20 {
		t.Errorf("%d items, the instruments have 24 and 20", n)
	}
}

// The scores are those of the worked values in the instruments' own terms.
func TestScoreOfPoints(t *testing.T) {
	for _, x := range []struct {
		met, of int
		want    float64
	}{{14, 17, 82.35}, {11, 16, 68.75}, {5, 7, 71.43}, {18, 20, 90}, {17, 19, 89.47}, {17, 18, 94.44}} {
		if got := score(x.met, x.of); math.Abs(got-x.want) > 0.005 {
			t.Errorf("%d of %d: %.2f, want %.2f", x.met, x.of, got, x.want)
		}
	}
}

// Each computed item is met by a good sheet and not by one that is spoiled in its way.
func TestItemsSeeWhatTheyLookFor(t *testing.T) {
	line := func(s string) render.Line { return render.Line{{Text: s}} }
	para := func(s string) render.Block { return render.Block{Kind: sheet.Paragraph, Text: line(s)} }
	head := func(s string) render.Block { return render.Block{Kind: sheet.Heading, Level: 2, Text: line(s)} }
	list := func(kind sheet.BlockKind, items ...string) render.Block {
		b := render.Block{Kind: kind}
		for _, s := range items {
			b.Items = append(b.Items, render.Item{Text: line(s)})
		}
		return b
	}
	good := func() render.Doc {
		doc := load(t, "two-teeth", sheet.Options).Doc
		doc.Title = line("Your choices")
		notice := list(sheet.Notice, "You can leave your teeth as they are.", "Veneers are thin porcelain covers for the front of a tooth.")
		notice.Text = line("You decide. No treatment is one of your choices.")
		table := render.Block{Kind: sheet.Table, Text: line("How to read this: each row is an option."), Columns: []render.Line{line("Option"), line("Still in place")},
			Items: []render.Item{{Label: line("Veneers"), Cells: []render.Cell{{Texts: []render.Line{line("About 95 of 100 after 10 years.")}}}}}}
		doc.Blocks = []render.Block{notice, head("What may go wrong"), table, para("Veneers can chip. In one study it was seldom. How often with grinding is not known. They make teeth look lighter."),
			head("What to do now"), list(sheet.List, "Ask us what you want to know before you choose.", "Take a week to think."), list(sheet.Tick, "I want to know more."), {Kind: sheet.Lines, Count: 2}}
		return doc
	}
	add := func(b ...render.Block) func(*render.Doc) {
		return func(d *render.Doc) { d.Blocks = append(d.Blocks, b...) }
	}
	whole := dressed(t, good())
	for _, it := range Items() {
		if it.Check == nil {
			continue
		}
		if v := it.Check(whole); v.Applies && !v.Met {
			t.Errorf("%s is not met by a good sheet: %s", it.Key, v.Why)
		}
	}
	passive := strings.Repeat("The tooth is drilled by the dentist. ", 9)
	for _, p := range []struct {
		keys  string
		spoil func(*render.Doc)
	}{
		{"PM-1 CC-2", func(d *render.Doc) {
			d.Title = line("A paper")
			d.Blocks = append([]render.Block{para("Porcelain is a hard and shiny matter. " + strings.Repeat("It is made by heating a fine powder. ", 9))}, d.Blocks...)
		}},
		{"PM-3", add(para(strings.Repeat("Interdisciplinary rehabilitation necessitates comprehensive radiographical documentation. ", 12)))},
		{"PM-4 CC-7", add(para("Enamel is lost."))},
		{"PM-5", add(para(passive), para(passive))},
		{"PM-6 CC-15", add(para("It lasts 9.6 years, which is 12 % more."))},
		{"PM-6", add(para("It comes off in 1 in 20 people."))},
		{"PM-7 CC-17 PM-24", add(para("That is twice as likely."))},
		{"CC-17", add(para("It comes off in 3 of 250 people."))},
		{"PM-8 CC-9", add(para(strings.Repeat("You read and read and read. ", 12)))},
		{"PM-8 CC-8 CC-9", add(list(sheet.List, "a", "b", "c", "d", "e", "f", "g", "h"))},
		{"PM-9 CC-9", add(head("What to do now"), para("Ask us."))},
		{"PM-11", func(d *render.Doc) {
			d.Blocks = append([]render.Block{para("You decide."), head("One"), para("x"), head("Two")}, d.Blocks...)
			for range 60 {
				d.Blocks = append(d.Blocks, para("You can ask us for more of it any time."))
			}
		}},
		{"PM-12", func(d *render.Doc) { d.Blocks = []render.Block{para("You decide.")} }},
		{"PM-19", func(d *render.Doc) {
			d.Blocks[2].Columns[1] = line("How many of them are still in place after all these years")
		}},
		{"PM-20 CC-5 CC-12 CC-14 PM-22 PM-23 CC-8 CC-11 CC-19", func(d *render.Doc) { d.Blocks = []render.Block{para("You have options.")} }},
		{"PM-21", add(para(strings.Repeat("The patient has teeth. ", 2)))},
		{"PM-21", func(d *render.Doc) { d.Title, d.Blocks = line("Choices"), []render.Block{para("Teeth are white.")} }},
		{"PM-21", add(para("Patients should clean between their teeth."))},
		{"PM-21", add(para("Floss should be used once a day."))},
		{"PM-25", func(d *render.Doc) { d.Blocks[2].Text = nil }},
		{"CC-1 CC-3", func(d *render.Doc) { d.Blocks = append([]render.Block{head("First")}, d.Blocks...) }},
		{"CC-6", func(d *render.Doc) {
			d.Blocks = append([]render.Block{para("Your choices are shown by us.")}, d.Blocks...)
		}},
		{"CC-10", func(d *render.Doc) {
			d.Blocks[0].Text, d.Blocks[0].Items = line("You decide."), nil
		}},
		{"CC-20", func(d *render.Doc) {
			d.Blocks = append([]render.Block{}, d.Blocks[0], para("5 of 100 come off."), d.Blocks[4])
		}},
	} {
		d := good()
		p.spoil(&d)
		s := dressed(t, d)
		for _, key := range strings.Fields(p.keys) {
			for _, it := range Items() {
				if it.Key == key && it.Check(s).Met {
					t.Errorf("%s is met by a sheet that is spoiled for %q", key, p.keys)
				}
			}
		}
	}
	// A picture without a name; the program writes none, so the page is spoiled itself.
	s := load(t, "two-teeth", sheet.Consent)
	if v := captions(s); !v.Applies || !v.Met {
		t.Errorf("captions of a whole sheet: %+v", v)
	}
	for _, e := range s.elements("svg") {
		for c := e.FirstChild; c != nil; c = c.NextSibling {
			c.Data = "g"
		}
		e.Attr = nil
	}
	if captions(s).Met {
		t.Error("pictures without names have captions")
	}
}

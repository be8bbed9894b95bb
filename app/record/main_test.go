package record

import (
	"bytes"
	"encoding/json"
	"strings"
	"testing"

	"plainleaf/app/casefile"
	"plainleaf/build/outside"
)

func TestMain(m *testing.M) { outside.Main(m) }

// key is a key made from a seed of one repeated byte.
func key(t testing.TB, b byte) *Key {
	t.Helper()
	k, err := NewKey(bytes.NewReader(bytes.Repeat([]byte{b}, 32)))
	if err != nil {
		t.Fatal(err)
	}
	return &k
}

func trusting(keys ...*Key) *Trust {
	t := Trust{Format: trustFormat, Version: keyVersion}
	for _, k := range keys {
		var p publicFile
		if err := json.Unmarshal(k.PublicFile("Demo", "dentist", casefile.Date{}), &p); err != nil {
			panic(err)
		}
		t.Keys = append(t.Keys, p.PublicKey)
	}
	return &t
}

// sample is a small record in two languages with texts that are hard to canonicalize.
func sample() Record {
	section := func(heading, text string) Section {
		return Section{Heading: heading, Msg: "sheet.x", Blocks: []Block{{Kind: "paragraph", Msg: "sheet.y", Text: text}}}
	}
	return Record{Format: Format, Version: Version, Kind: Consent, ID: "demo-one", Revision: 2,
		Issued:   casefile.Date{Year: 2026, Month: 11, Day: 25},
		Practice: Practice{Name: "Demo practice", Demo: true}, Program: "plainleaf test", Evidence: "2026-11-25",
		Identifiers: &Identifiers{Name: "Demo Person", Born: "1990-01-01", Chart: "D-1"},
		Decision:    Decision{What: "agreed", By: "patient", On: casefile.Date{Year: 2026, Month: 11, Day: 30}},
		Signatures: []Signature{
			{Role: "patient", Way: "drawn", Width: 3000, Height: 1000, Strokes: [][]int{{1, 2, 30, 40}, {5, 6}}},
			{Role: "dentist", Way: "typed", Name: "Demo Dentist"}},
		Case: casefile.Case{Version: 2, ID: "demo-one", Route: casefile.NoPrep, Findings: []string{"bruxism"},
			Teeth:     []casefile.ToothEntry{{Tooth: 11}, {Tooth: 21}},
			Questions: []casefile.Question{{Asked: "Does it hurt \u00e9? <b>&", Answer: "Seldom \U0001F600"}},
			Events:    []casefile.Event{{Kind: casefile.SaidBack, Topic: "risk"}}},
		Answers: []Answer{{Change: "facial-contouring", Teeth: []casefile.Tooth{11}, Answer: casefile.Ask}, {Change: "corner-rounding", Teeth: []casefile.Tooth{11, 21}}},
		Languages: []Language{
			{Locale: "en", Dir: "ltr", Wording: Wording{Digest: "00", State: "translated"}, Title: "Consent",
				Sections: []Section{section("", "Before all."), section("What is done", "Thin porcelain is glued on."), section("Risks", "It may chip.")}},
			{Locale: "ar", Dir: "rtl", Wording: Wording{Digest: "01", State: "translated"}, Title: "موافقة",
				Sections: []Section{section("", "أولًا."), section("ما يُعمل", "تُلصق قشور رقيقة."), section("المخاطر", "قد تنكسر.")}}},
		Limits: []string{"record.limit.person"},
	}
}

func sealedBy(t testing.TB, r Record, k *Key) []byte {
	t.Helper()
	data, _, faults := Seal(r, k)
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	return data
}

// tree reads a file as anybody's JSON library would.
func tree(t testing.TB, data []byte) map[string]any {
	t.Helper()
	var m map[string]any
	if err := json.Unmarshal(data, &m); err != nil {
		t.Fatal(err)
	}
	return m
}

func written(t testing.TB, m any) []byte {
	t.Helper()
	data, err := json.MarshalIndent(m, "", "   ")
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// at follows keys and list positions into a tree.
func at(v any, path ...any) any {
	for _, p := range path {
		switch p := p.(type) {
		case string:
			v = v.(map[string]any)[p]
		case int:
			v = v.([]any)[p]
		}
	}
	return v
}

func paths(v Verdict) string {
	var all []string
	for _, p := range v.Where {
		s := p.What + " " + p.Path
		if p.Heading != "" {
			s += " (" + p.Heading + ")"
		}
		all = append(all, s)
	}
	return strings.Join(all, "; ")
}

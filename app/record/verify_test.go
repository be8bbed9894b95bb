package record

import (
	"bytes"
	"encoding/json"
	"fmt"
	"reflect"
	"strings"
	"testing"

	"plainleaf/app/casefile"
	"plainleaf/app/strict"
)

func TestSealAndVerify(t *testing.T) {
	k := key(t, 1)
	data := sealedBy(t, sample(), k)
	v := Verify(data, trusting(k))
	if !v.Good() || v.Integrity != Intact || v.Signer != Signed || v.Trust != Trusted || v.Key != k.ID() || v.Owner != "Demo" || len(v.Where) > 0 {
		t.Errorf("%+v", v)
	}
	if v.Record.Kind != "consent" || v.Record.ID != "demo-one" || v.Record.Revision != 2 || v.Record.Issued != "2026-11-25" ||
		len(v.Record.Wordings) != 2 || v.Record.Wordings[1] != (Review{"ar", "01", "translated", false}) || v.Record.Limits[0] != "record.limit.person" {
		t.Errorf("about: %+v", v.Record)
	}
	if whole, err := canonical(tree(t, data)); err != nil || string(whole)+"\n" != string(data) {
		t.Errorf("the file is not canonical (%v)", err)
	}
	if again := sealedBy(t, sample(), k); !bytes.Equal(data, again) {
		t.Error("two seals of one record differ")
	}
	v = Verify(sealedBy(t, sample(), nil), nil)
	if !v.Good() || v.Signer != Unsigned || v.Trust != NotAsked {
		t.Errorf("unsigned: %+v", v)
	}
	if v = Verify(sealedBy(t, sample(), nil), trusting(k)); v.Good() || v.Trust != Nobody || v.Integrity != Intact {
		t.Errorf("unsigned where a trusted key is asked for: %+v", v)
	}
}

// Each row does one thing to a sealed record; integrity, signer and trust are
// told apart, and where the change lies.
func TestTampering(t *testing.T) {
	k, other := key(t, 1), key(t, 2)
	trust := trusting(k)
	original := sealedBy(t, sample(), k)
	another := func() map[string]any { // a good record of the same key
		r := sample()
		r.ID, r.Case.ID = "demo-two", "demo-two"
		return tree(t, sealedBy(t, r, k))
	}
	letter := func(f map[string]any) {
		b := at(f, "record", "languages", 1, "sections", 2, "blocks", 0).(map[string]any)
		b["text"] = strings.Replace(b["text"].(string), "تنكسر", "تكسر", 1)
	}
	// rehash computes all hashes anew, as anybody can.
	rehash := func(f map[string]any, drop bool) {
		_, m, err := seal(f["record"], nil)
		if err != nil {
			t.Fatal(err)
		}
		was := map[string]any{}
		for _, p := range at(f, "seal", "parts").([]any) {
			was[at(p, "path").(string)] = at(p, "signature")
		}
		parts := []any{}
		for _, p := range m.Parts {
			e := map[string]any{"path": p.Path, "sha256": p.SHA256}
			if s, ok := was[p.Path]; ok && !drop {
				e["signature"] = s
			}
			parts = append(parts, e)
		}
		s := f["seal"].(map[string]any)
		s["parts"], s["sha256"], s["code"] = parts, m.SHA256, m.Code
		if drop {
			delete(s, "signature")
		}
	}
	for _, c := range []struct {
		name                            string
		do                              func(f map[string]any)
		integrity, signer, trust, where string
	}{
		{"nothing", func(map[string]any) {}, Intact, Signed, Trusted, ""},
		{"a changed letter", letter, Changed, Wrong, Nobody, "changed languages[1].sections[2] (المخاطر)"},
		{"a changed heading", func(f map[string]any) {
			at(f, "record", "languages", 0, "sections", 1).(map[string]any)["heading"] = "What was done"
		}, Changed, Wrong, Nobody, "changed languages[0].sections[1] (What was done)"},
		{"a changed answer", func(f map[string]any) { at(f, "record", "answers", 0).(map[string]any)["answer"] = "agree" },
			Changed, Wrong, Nobody, "changed answers"},
		{"a changed tooth", func(f map[string]any) { at(f, "record", "case", "teeth", 0).(map[string]any)["tooth"] = "12" },
			Changed, Wrong, Nobody, "changed case.teeth"},
		{"a changed stroke", func(f map[string]any) {
			at(f, "record", "signatures", 0, "strokes", 0).([]any)[0] = 2.0
		}, Changed, Wrong, Nobody, "changed signatures"},
		{"another's name", func(f map[string]any) { at(f, "record", "identifiers").(map[string]any)["name"] = "Somebody" },
			Changed, Wrong, Nobody, "changed identifiers"},
		{"a changed date", func(f map[string]any) { at(f, "record").(map[string]any)["issued"] = "2026-11-24" },
			Changed, Wrong, Nobody, "changed issued"},
		{"a changed review state", func(f map[string]any) {
			at(f, "record", "languages", 1, "wording").(map[string]any)["state"] = "final"
		}, Changed, Wrong, Nobody, "changed languages[1].wording"},
		{"a cut field", func(f map[string]any) { delete(at(f, "record", "case").(map[string]any), "findings") },
			Changed, Wrong, Nobody, "missing case.findings"},
		{"a cut section", func(f map[string]any) {
			l := at(f, "record", "languages", 0).(map[string]any)
			l["sections"] = l["sections"].([]any)[:2]
		}, Changed, Wrong, Nobody, "missing languages[0].sections[2]"},
		{"an added field", func(f map[string]any) { at(f, "record").(map[string]any)["note"] = "also agreed by telephone" },
			Changed, Wrong, Nobody, "added note"},
		{"an added field of the case", func(f map[string]any) { at(f, "record", "case").(map[string]any)["advice"] = "x" },
			Changed, Wrong, Nobody, "added case.advice"},
		{"a field added in a section", func(f map[string]any) {
			at(f, "record", "languages", 0, "sections", 0).(map[string]any)["x"] = nil
		}, Changed, Wrong, Nobody, "changed languages[0].sections[0]"},
		{"a field added beside the record", func(f map[string]any) { f["note"] = 1 }, Changed, Signed, Trusted, "added note"},
		{"a field added to the seal", func(f map[string]any) { at(f, "seal").(map[string]any)["x"] = 1 },
			Changed, Signed, Trusted, "added seal.x"},
		{"two sections exchanged", func(f map[string]any) {
			s := at(f, "record", "languages", 0, "sections").([]any)
			s[1], s[2] = s[2], s[1]
		}, Changed, Wrong, Nobody, "changed languages[0].sections[1] (Risks); changed languages[0].sections[2] (What is done)"},
		{"the signature of another record", func(f map[string]any) {
			at(f, "seal").(map[string]any)["signature"] = at(another(), "seal", "signature")
		}, Intact, Wrong, Nobody, ""},
		{"the seal of another record", func(f map[string]any) { f["seal"] = another()["seal"] },
			Changed, Wrong, Nobody, "changed case.id; changed id"},
		{"another's signature value", func(f map[string]any) {
			at(f, "seal", "signature").(map[string]any)["value"] = at(another(), "seal", "signature", "value")
		}, Intact, Wrong, Nobody, ""},
		{"another key named", func(f map[string]any) {
			s := at(f, "seal", "signature").(map[string]any)
			s["key"] = other.ID()
		}, Intact, Wrong, Nobody, ""},
		{"another key put in", func(f map[string]any) {
			s := at(f, "seal", "signature").(map[string]any)
			s["key"], s["public"] = other.ID(), trusting(other).Keys[0].Public
		}, Intact, Wrong, Nobody, ""},
		{"a signature of the wrong length", func(f map[string]any) {
			at(f, "seal", "signature").(map[string]any)["value"] = "AAAA"
		}, Intact, Wrong, Nobody, ""},
		// The last letter of base64 has bits that stand for nothing.
		{"the same public key in another letter", func(f map[string]any) { loose(at(f, "seal", "signature"), "public") },
			Intact, Wrong, Nobody, ""},
		{"the same signature in another letter", func(f map[string]any) { loose(at(f, "seal", "signature"), "value") },
			Intact, Wrong, Nobody, ""},
		{"the same signature of a part in another letter", func(f map[string]any) { loose(at(f, "seal", "parts", 0), "signature") },
			Changed, Signed, Trusted, "changed seal.parts answers"},
		{"another algorithm", func(f map[string]any) {
			at(f, "seal", "signature").(map[string]any)["algorithm"] = "none"
		}, Intact, Wrong, Nobody, ""},
		// Whoever computes all hashes anew cannot make the parts' signatures.
		{"a changed letter, all hashes anew", func(f map[string]any) { letter(f); rehash(f, false) },
			Changed, Wrong, Nobody, "changed languages[1].sections[2] (المخاطر)"},
		{"a changed letter, all hashes anew, the signature dropped", func(f map[string]any) { letter(f); rehash(f, true) },
			Intact, Unsigned, Nobody, ""},
		{"an added field, all hashes anew", func(f map[string]any) {
			at(f, "record").(map[string]any)["note"] = "x"
			rehash(f, false)
		}, Changed, Wrong, Nobody, "changed note"},
		{"signed again by another key", func(f map[string]any) {
			letter(f)
			data, _, err := seal(f["record"], other)
			if err != nil {
				t.Fatal(err)
			}
			f["seal"] = tree(t, data)["seal"]
		}, Intact, Signed, Unknown, ""},
		{"signed again by another key that says it is the trusted one", func(f map[string]any) {
			letter(f)
			data, _, err := seal(f["record"], other)
			if err != nil {
				t.Fatal(err)
			}
			f["seal"] = tree(t, data)["seal"]
			at(f, "seal", "signature").(map[string]any)["key"] = k.ID()
		}, Intact, Wrong, Nobody, ""},
		{"a changed hash", func(f map[string]any) { at(f, "seal").(map[string]any)["sha256"] = strings.Repeat("0", 64) },
			Changed, Signed, Trusted, "changed seal.sha256"},
		{"a changed code", func(f map[string]any) { at(f, "seal").(map[string]any)["code"] = "0000-0000-0000-0000" },
			Changed, Signed, Trusted, "changed seal.code"},
		{"a changed hash of a part", func(f map[string]any) {
			at(f, "seal", "parts", 0).(map[string]any)["sha256"] = strings.Repeat("0", 64)
		}, Changed, Signed, Trusted, "changed seal.parts answers"},
		{"a changed signature of a part", func(f map[string]any) {
			at(f, "seal", "parts", 0).(map[string]any)["signature"] = "AAAA"
		}, Changed, Signed, Trusted, "changed seal.parts answers"},
		// What looks the same to the eye is another text to the hash.
		{"a look-alike letter", func(f map[string]any) {
			b := at(f, "record", "languages", 0, "sections", 2, "blocks", 0).(map[string]any)
			b["text"] = strings.Replace(b["text"].(string), "a", "\u0430", 1)
		}, Changed, Wrong, Nobody, "changed languages[0].sections[2] (Risks)"},
		{"an accent taken apart", func(f map[string]any) { at(f, "record", "identifiers").(map[string]any)["name"] = "Jose\u0301" },
			Changed, Wrong, Nobody, "changed identifiers"},
		{"an invisible letter", func(f map[string]any) {
			b := at(f, "record", "languages", 1, "sections", 2, "blocks", 0).(map[string]any)
			b["text"] = b["text"].(string) + "\u200d"
		}, Changed, Wrong, Nobody, "changed languages[1].sections[2] (المخاطر)"},
		{"a text in place of a number", func(f map[string]any) { at(f, "record").(map[string]any)["revision"] = "2" },
			Changed, Wrong, Nobody, "changed revision"},
		{"the next larger number", func(f map[string]any) { at(f, "record").(map[string]any)["revision"] = 2.0000000000000004 },
			Changed, Wrong, Nobody, "changed revision"},
		{"the languages exchanged", func(f map[string]any) {
			l := at(f, "record", "languages").([]any)
			l[0], l[1] = l[1], l[0]
		}, Changed, Wrong, Nobody, "*languages[0].locale; changed languages[0].sections[0]"},
		{"a language of another record", func(f map[string]any) {
			r := sample()
			r.Languages[1].Sections[2].Blocks[0].Text += "!"
			at(f, "record", "languages").([]any)[1] = at(tree(t, sealedBy(t, r, k)), "record", "languages", 1)
		}, Changed, Wrong, Nobody, "changed languages[1].sections[2] (المخاطر)"},
		{"a section and its seal of another record", func(f map[string]any) {
			r := sample()
			r.Languages[1].Sections[2].Blocks[0].Text += "!"
			g := tree(t, sealedBy(t, r, k))
			at(f, "record", "languages", 1, "sections").([]any)[2] = at(g, "record", "languages", 1, "sections", 2)
			for i, p := range at(g, "seal", "parts").([]any) {
				if at(p, "path") == "languages[1].sections[2]" {
					at(f, "seal", "parts").([]any)[i] = p
				}
			}
			s := at(f, "seal").(map[string]any)
			whole, _ := canonical(f["record"])
			s["sha256"], s["code"] = hash(whole), Code(hash(whole))
		}, Changed, Wrong, Nobody, "changed languages[1].sections[2] (المخاطر)"},
		{"a field moved where its path reads the same", func(f map[string]any) {
			c := at(f, "record", "case").(map[string]any)
			at(f, "record").(map[string]any)["case.teeth"] = c["teeth"]
			delete(c, "teeth")
		}, Changed, Wrong, Nobody, `added "case.teeth"; missing case.teeth`},
		{"the signatures of two people exchanged for the patient's", func(f map[string]any) {
			s := at(f, "record", "signatures").([]any)
			at(f, "record").(map[string]any)["signatures"] = append(s, s[0])
		}, Changed, Wrong, Nobody, "changed signatures"},
		{"an earlier record put in front", func(f map[string]any) { at(f, "record").(map[string]any)["previous"] = strings.Repeat("ab", 32) },
			Changed, Wrong, Nobody, "*previous"},
		{"no parts", func(f map[string]any) { at(f, "seal").(map[string]any)["parts"] = []any{} },
			Changed, Signed, Trusted, "*"},
	} {
		t.Run(c.name, func(t *testing.T) {
			f := tree(t, original)
			c.do(f)
			v := Verify(written(t, f), trust)
			if v.Integrity != c.integrity || v.Signer != c.signer || v.Trust != c.trust || !located(paths(v), c.where) {
				t.Errorf("got  %s, %s, %s: %s\nwant %s, %s, %s: %s", v.Integrity, v.Signer, v.Trust, paths(v), c.integrity, c.signer, c.trust, c.where)
			}
			if v.Good() != (c.integrity == Intact && c.trust == Trusted) {
				t.Errorf("good: %v", v.Good())
			}
			// The code on the patient's copy tells of every change of the record.
			untouched := reflect.DeepEqual(f["record"], tree(t, original)["record"])
			if same := v.Code == at(tree(t, original), "seal", "code"); same != untouched {
				t.Errorf("the code is the same: %v; the record is: %v", same, untouched)
			}
		})
	}
}

// loose changes the last letter of a base64 text so that it stands for the same bytes.
func loose(object any, member string) {
	m := object.(map[string]any)
	s := m[member].(string)
	end := strings.TrimRight(s, "=")
	const letters = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/"
	last := strings.IndexByte(letters, end[len(end)-1])
	m[member] = end[:len(end)-1] + letters[last^1:last^1+1] + s[len(end):]
}

// located reports whether places are as wanted; after a star they only contain it.
func located(got, want string) bool {
	part, some := strings.CutPrefix(want, "*")
	return got == want || some && strings.Contains(got, part)
}

// Keys in another order, other white space and other escapes are the same record.
func TestReorderedIsIntact(t *testing.T) {
	k := key(t, 1)
	data := sealedBy(t, sample(), k)
	var again func(v any) string
	again = func(v any) string { // keys backwards, every letter escaped
		switch v := v.(type) {
		case map[string]any:
			var parts []string
			for key, e := range v {
				parts = append(parts, again(key)+" :\n"+again(e))
			}
			for i := range len(parts) / 2 {
				parts[i], parts[len(parts)-1-i] = parts[len(parts)-1-i], parts[i]
			}
			return "{" + strings.Join(parts, " ,\t") + "}"
		case []any:
			var parts []string
			for _, e := range v {
				parts = append(parts, again(e))
			}
			return "[" + strings.Join(parts, " , ") + "]"
		case string:
			b, _ := json.Marshal(v)
			return strings.ReplaceAll(string(b), "a", `\u0061`)
		case float64:
			return fmt.Sprintf("%.1fe0", v)
		}
		b, _ := json.Marshal(v)
		return string(b)
	}
	v := Verify([]byte(again(tree(t, data))), trusting(k))
	if !v.Good() {
		t.Errorf("%s %s %s: %s", v.Integrity, v.Signer, paths(v), v.Faults.Lines())
	}
}

func TestUnreadable(t *testing.T) {
	k := key(t, 1)
	data := string(sealedBy(t, sample(), k))
	wide := map[string]any{}
	for i := range maxKeys + 1 {
		wide[fmt.Sprint(i)] = 0
	}
	f := tree(t, []byte(data))
	at(f, "record", "case").(map[string]any)["wide"] = wide
	many := tree(t, []byte(data))
	at(many, "record").(map[string]any)["languages"] = make([]any, maxParts)
	old := tree(t, []byte(data))
	at(old, "record").(map[string]any)["version"] = 3
	unsigned := tree(t, []byte(data))
	at(unsigned, "seal").(map[string]any)["signature"] = nil
	for _, c := range []struct{ name, data, code string }{
		{"duplicate key", strings.Replace(data, `"kind":"consent"`, `"kind":"consent","kind":"consent"`, 1), "JSON-DUPLICATE-KEY"},
		{"duplicate record", strings.Replace(data, `{"record":`, `{"record":{},"record":`, 1), "JSON-DUPLICATE-KEY"},
		{"too large", data + strings.Repeat(" ", strict.MaxBytes), "JSON-SIZE"},
		{"bad UTF-8", strings.Replace(data, "porcelain", "porc\xffelain", 1), "JSON-UTF8"},
		{"duplicate key in other letters", strings.Replace(data, `"kind":"consent"`, `"kind":"consent","k\u0069nd":"refusal"`, 1), "JSON-DUPLICATE-KEY"},
		{"a number beyond every number", strings.Replace(data, `"revision":2`, `"revision":2e400`, 1), "JSON-RANGE"},
		{"a number that no program can hold", strings.Replace(data, `"revision":2`, `"revision":2.00000000000000000000001`, 1), "JSON-INEXACT"},
		{"a number that only some can hold", strings.Replace(data, `"revision":2`, `"revision":9007199254740993`, 1), "JSON-INEXACT"},
		{"next to nothing", strings.Replace(data, `"revision":2`, `"revision":1e-999`, 1), "JSON-INEXACT"},
		{"a signature of null", string(written(t, unsigned)), "JSON-TYPE"},
		{"a second record behind", data + data, "JSON-TRAILING"},
		{"NUL behind", data + "\x00", "JSON-TRAILING"},
		{"a mark of byte order", "\ufeff" + data, "JSON-BOM"},
		{"lone surrogate", strings.Replace(data, "porcelain", `porc\ud800elain`, 1), "JSON-SURROGATE"},
		{"truncated", data[:len(data)/2], "JSON-TRUNCATED"},
		{"empty", "", "JSON-TRUNCATED"},
		{"trailing", data + "x", "JSON-TRAILING"},
		{"deep", strings.Repeat("[", 100), "JSON-DEPTH"},
		{"a case", `{"version":1,"route":"no-prep"}`, "RECORD-FORMAT"},
		{"a list", `[]`, "JSON-TYPE"},
		{"record is a list", `{"record":[],"seal":{"sha256":"0"}}`, "RECORD-FORMAT"},
		{"a key in the wrong letter case", strings.Replace(data, `"seal":`, `"Seal":`, 1), "JSON-KEY-CASE"},
		{"wide", string(written(t, f)), "RECORD-WIDE"},
		{"many parts", string(written(t, many)), "RECORD-WIDE"},
		{"another version", string(written(t, old)), "RECORD-FORMAT"},
	} {
		v := Verify([]byte(c.data), trusting(k))
		if v.Integrity != Unreadable || v.Good() || !v.Faults.Has(c.code) {
			t.Errorf("%s: %s, %s", c.name, v.Integrity, v.Faults.Lines())
		}
	}
}

func TestTrust(t *testing.T) {
	k := key(t, 1)
	data := sealedBy(t, sample(), k)
	day := func(s string) casefile.Date { d, _ := casefile.ParseDate(s); return d }
	for _, c := range []struct {
		from, to  string
		withdrawn bool
		want      string
	}{
		{"", "", false, Trusted}, {"2026-11-25", "2026-11-25", false, Trusted}, {"2026-11-26", "", false, Outside},
		{"", "2026-11-24", false, Outside}, {"2026-01-01", "", false, Trusted}, {"", "", true, Withdrawn},
	} {
		tr := trusting(key(t, 9), k)
		tr.Keys[1].From, tr.Keys[1].To, tr.Keys[1].Withdrawn = day(c.from), day(c.to), c.withdrawn
		read, faults := ReadTrust(TrustFile(tr.Keys))
		if len(faults) > 0 {
			t.Fatal(faults.Lines())
		}
		if v := Verify(data, &read); v.Trust != c.want || v.Signer != Signed || v.Good() != (c.want == Trusted) {
			t.Errorf("%+v: %s", c, v.Trust)
		}
	}
}

// The day that counts is the one of the seal: a sheet may be older than the key,
// and none may be newer than its end.
func TestTrustGoesByTheDayOfTheSeal(t *testing.T) {
	k := key(t, 1)
	tr := trusting(k)
	tr.Keys[0].From, tr.Keys[0].To = casefile.Date{Year: 2026, Month: 11, Day: 26}, casefile.Date{Year: 2026, Month: 12, Day: 31}
	for sealed, want := range map[string]string{"": Outside, "2026-11-26T00:10:00+01:00": Trusted, "2026-12-31T23:59:59-05:00": Trusted,
		"2027-01-01T00:00:00Z": Outside, "2026-11-25T23:59:59Z": Outside} {
		r := sample() // issued on 2026-11-25
		r.Sealed = sealed
		if v := Verify(sealedBy(t, r, k), tr); v.Trust != want || v.Record.Sealed != sealed {
			t.Errorf("sealed %q: %s, want %s", sealed, v.Trust, want)
		}
	}
	f := tree(t, sealedBy(t, sample(), k))
	at(f, "record").(map[string]any)["sealed"] = "yesterday"
	data, _, err := seal(f["record"], k)
	if err != nil {
		t.Fatal(err)
	}
	if v := Verify(data, tr); v.Trust != Outside {
		t.Errorf("no day of the seal: %s", v.Trust)
	}
}

func FuzzVerify(f *testing.F) {
	k := key(f, 1)
	f.Add(sealedBy(f, sample(), k))
	f.Add([]byte(`{"record":{"format":"plainleaf-record","version":1,"case":[],"languages":[{"sections":{}},3]},"seal":{"sha256":"0","parts":[{"path":"x"}],"signature":{}}}`))
	good := Verify(sealedBy(f, sample(), k), nil).SHA256
	trust := trusting(k)
	f.Fuzz(func(t *testing.T, data []byte) {
		if v := Verify(data, trust); v.Good() && v.SHA256 != good {
			t.Fatalf("a record nobody signed passed: %s", data)
		}
	})
}

// Every place has words: a text with its language and heading, a part by what it
// holds, and nothing made up for what a forger added.
func TestNamed(t *testing.T) {
	v := Verify(sealedBy(t, sample(), nil), nil)
	for _, c := range []struct {
		place Place
		want  Named
	}{
		{Place{Path: "languages[1].sections[2]", Heading: "المخاطر"}, Named{"record.part.text-under", "ar", "المخاطر"}},
		{Place{Path: "languages[0].sections[0]"}, Named{"record.part.text-first", "en", ""}},
		{Place{Path: "languages[0].sections[7]", What: "missing"}, Named{"record.part.text", "en", ""}},
		{Place{Path: "languages[0].wording"}, Named{"record.part.wording", "en", ""}},
		{Place{Path: "languages[9].sections[0]"}, Named{ID: "record.part.other"}},
		{Place{Path: "languages[x].sections[0]"}, Named{ID: "record.part.other"}},
		{Place{Path: "answers"}, Named{ID: "record.part.answers"}},
		{Place{Path: "case.teeth"}, Named{ID: "record.part.case"}},
		{Place{Path: "issued"}, Named{ID: "record.part.about"}},
		{Place{Path: "seal.parts answers"}, Named{ID: "record.part.seal"}},
		{Place{Path: "seal.sha256"}, Named{ID: "record.part.seal"}},
		{Place{Path: `"case.teeth"`}, Named{ID: "record.part.other"}},
		{Place{Path: "note"}, Named{ID: "record.part.other"}},
	} {
		if got := v.Named(c.place); got != c.want {
			t.Errorf("%s: %+v, want %+v", c.place.Path, got, c.want)
		}
	}
	for _, p := range pieces(tree(t, sealedBy(t, sample(), nil))["record"].(map[string]any)) {
		if n := v.Named(Place{Path: p.path}); n.ID == "record.part.other" {
			t.Errorf("%s of a good record is named as something that does not belong", p.path)
		}
	}
}

func TestWhatMayFollow(t *testing.T) {
	for _, k := range Kinds() {
		for _, earlier := range Kinds() {
			may := earlier == Consent || earlier == Change || earlier == Superseding ||
				(earlier == Withdrawal || earlier == Refusal) && k != Change && k != Withdrawal
			if k.MayFollow(earlier) != may {
				t.Errorf("%s after %s: %t", k, earlier, !may)
			}
		}
		if k.MayFollow("other") || k.MayFollow("") {
			t.Errorf("%s follows what is no kind", k)
		}
	}
	day := func(n int) casefile.Date { return casefile.Date{Year: 2026, Month: 11, Day: n} }
	for _, c := range []struct {
		k, earlier Kind
		its, now   casefile.Date
		want       string
	}{
		{Change, Consent, day(1), day(2), ""}, {Change, Consent, day(2), day(2), ""}, {Change, Consent, day(3), day(2), "later"},
		{Change, Consent, casefile.Date{}, day(2), ""}, {Change, Aftercare, day(1), day(2), "nothing"}, {Withdrawal, Withdrawal, day(3), day(2), "withdrawn"},
		{Superseding, Withdrawal, day(3), day(2), "later"}, {Withdrawal, Refusal, day(1), day(2), "nothing"},
	} {
		if got := c.k.Unfollowed(c.earlier, c.its, c.now); got != c.want {
			t.Errorf("%s of %v after %s of %v: %q, want %q", c.k, c.now, c.earlier, c.its, got, c.want)
		}
	}
}

// A mark counts before a witness who signs otherwise; who decided is who the sheet
// says decides.
func TestWhoSignsAndDecides(t *testing.T) {
	mark := Signature{Role: "patient", Way: "mark", Name: "Demo"}
	for name, c := range map[string]struct {
		signed []Signature
		good   bool
	}{
		"a mark alone":            {[]Signature{mark}, false},
		"a mark and the dentist":  {[]Signature{mark, {Role: "dentist", Way: "typed", Name: "Demo"}}, false},
		"a mark vouches for it":   {[]Signature{mark, {Role: "witness", Way: "mark", Name: "Demo"}}, false},
		"a witness":               {[]Signature{mark, {Role: "witness", Way: "typed", Name: "Demo"}}, true},
		"a witness on paper":      {[]Signature{{Role: "witness", Way: "paper", Paper: "folder"}, mark}, true},
		"no mark, so nobody else": {[]Signature{{Role: "patient", Way: "typed", Name: "Demo"}}, true},
	} {
		r := sample()
		r.Signatures = c.signed
		if faults := r.check(); faults.Has("RECORD-WITNESS") == c.good {
			t.Errorf("%s: %s", name, faults.Lines())
		}
	}
	for _, c := range []struct {
		says, by string
		good     bool
	}{{"guardian", "guardian", true}, {"guardian", "patient", false}, {"", "parent", true}, {"patient", "representative", false}} {
		r := sample()
		r.Case.People, r.Decision.By = &casefile.People{Decides: c.says}, c.by
		if faults := r.check(); faults.Has("RECORD-DECISION") == c.good {
			t.Errorf("the sheet says %q, the record %q: %s", c.says, c.by, faults.Lines())
		}
	}
}

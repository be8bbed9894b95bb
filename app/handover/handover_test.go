package handover

import (
	"encoding/base64"
	"encoding/binary"
	"hash/crc32"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"

	"plainleaf/app/fault"
	"plainleaf/content"
)

// known are the keys of the shipped content.
func known(t testing.TB) Keys {
	t.Helper()
	base, faults := content.Load()
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	var k Keys
	for _, l := range base.Lines {
		k.Lines = append(k.Lines, l.Key)
	}
	for _, w := range base.Warnings {
		k.Warnings = append(k.Warnings, w.Key)
	}
	if len(k.Lines) < 50 || len(k.Warnings) < 20 {
		t.Fatalf("only %d lines and %d warning signs", len(k.Lines), len(k.Warnings))
	}
	return k
}

func paper(k Keys) Paper {
	return Paper{Content: "2026-11-25", Locale: "es", Telephone: "+1 202-555-0101", EmergencyLine: "+1 202-555-0102",
		EmergencyService: "911", Lines: k.Lines, Warnings: k.Warnings}
}

func encode(t testing.TB, p Paper, k Keys) string {
	t.Helper()
	s, faults := Encode(p, k)
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	return s
}

// What is written is read again, for any choice of keys, in the content's order.
// That no two keys of the content share a code is part of it.
func TestRoundTrip(t *testing.T) {
	k := known(t)
	rnd := rand.New(rand.NewPCG(1, 2))
	choose := func(keys []string) []string {
		var out []string
		for _, key := range keys {
			if rnd.IntN(3) == 0 {
				out = append(out, key)
			}
		}
		return out
	}
	for i := range 500 {
		p := paper(k)
		if i > 0 {
			p.Lines, p.Warnings = choose(k.Lines), choose(k.Warnings)
		}
		if i%5 == 1 {
			p.EmergencyService = ""
		}
		s := encode(t, p, k)
		if strings.Trim(s[2:], "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_") != "" {
			t.Fatalf("%q holds what a fragment would escape", s)
		}
		shuffled := p
		shuffled.Lines = slices.Clone(p.Lines)
		rnd.Shuffle(len(shuffled.Lines), func(a, b int) {
			shuffled.Lines[a], shuffled.Lines[b] = shuffled.Lines[b], shuffled.Lines[a]
		})
		if encode(t, shuffled, k) != s {
			t.Fatal("the order of the keys shows in the code")
		}
		for _, f := range []string{s, "#" + s} {
			if got, faults := Decode(f, k); len(faults) > 0 || !reflect.DeepEqual(got, p) {
				t.Fatalf("%+v came back as %+v (%v)", p, got, faults.Lines())
			}
		}
	}
}

// No key can be read in the code.
func TestNothingInWords(t *testing.T) {
	k := known(t)
	b, _ := base64.RawURLEncoding.DecodeString(encode(t, paper(k), k)[2:])
	for _, key := range append(slices.Clone(k.Lines), k.Warnings...) {
		if strings.Contains(string(b), key) {
			t.Errorf("%s can be read in the code", key)
		}
	}
}

func code1(faults fault.List) string {
	if len(faults) != 1 {
		return faults.Lines()
	}
	return faults[0].Code
}

// Any one changed character, any cut and anything added is refused.
func TestDamage(t *testing.T) {
	k := known(t)
	p := paper(k)
	p.Lines, p.Warnings = k.Lines[:20], k.Warnings[:10]
	s := encode(t, p, k)
	for i := 2; i < len(s); i++ {
		for _, c := range "A_z7" {
			if bad := s[:i] + string(c) + s[i+1:]; bad != s {
				if got, faults := Decode(bad, k); len(faults) == 0 || !reflect.DeepEqual(got, Paper{}) {
					t.Fatalf("character %d changed: read all the same", i)
				}
			}
		}
		if _, faults := Decode(s[:i], k); len(faults) == 0 {
			t.Fatalf("cut at %d: read all the same", i)
		}
	}
	// sealed gives bytes their right sum, so that what follows it is looked at.
	sealed := func(b []byte) string {
		b = binary.BigEndian.AppendUint32(slices.Clone(b), crc32.ChecksumIEEE(b))
		return "p=" + base64.RawURLEncoding.EncodeToString(b)
	}
	raw, _ := base64.RawURLEncoding.DecodeString(s[2:])
	raw = raw[:len(raw)-4]
	changed := func(i int, to byte) []byte {
		b := slices.Clone(raw)
		b[i] = to
		return b
	}
	for name, x := range map[string]struct{ fragment, code string }{
		"empty": {"", "CODE-FOREIGN"}, "hash alone": {"#", "CODE-FOREIGN"}, "another fragment": {"#top", "CODE-FOREIGN"},
		"no base64": {"p=a b", "CODE-FOREIGN"}, "plain base64": {"p=" + base64.StdEncoding.EncodeToString([]byte("a?>ab")), "CODE-FOREIGN"},
		"line break": {s[:9] + "\n" + s[9:], "CODE-FOREIGN"}, "nothing": {"p=", "CODE-DAMAGED"}, "too long": {"p=" + strings.Repeat("A", Limit), "CODE-LONG"},
		"added": {s + "AAAA", "CODE-DAMAGED"}, "newer": {sealed(changed(0, 2)), "CODE-NEWER"}, "version zero": {sealed(changed(0, 0)), "CODE-DAMAGED"},
		"long text": {sealed(changed(1, 255)), "CODE-DAMAGED"}, "more behind": {sealed(append(slices.Clone(raw), 0)), "CODE-DAMAGED"},
		"sum alone": {sealed(nil), "CODE-DAMAGED"}, "only a version": {sealed([]byte{1}), "CODE-DAMAGED"},
		"letters as telephone": {sealed([]byte(strings.Replace(string(raw), "+1 202-555-0101", "javascript:x();", 1))), "CODE-DAMAGED"},
		"hostile language":     {sealed([]byte(strings.Replace(string(raw), "\x02es", "\x02<b", 1))), "CODE-DAMAGED"},
		"a key twice":          {sealed(twice(raw)), "CODE-DAMAGED"},
	} {
		if got, faults := Decode(x.fragment, k); code1(faults) != x.code || !reflect.DeepEqual(got, Paper{}) {
			t.Errorf("%s: %s, want %s", name, code1(faults), x.code)
		}
	}
}

// twice writes the last code of the last list twice over.
func twice(raw []byte) []byte {
	b := slices.Clone(raw)
	copy(b[len(b)-4:], b[len(b)-2:])
	return b
}

// A paper outlives the content: keys that are gone are counted, not guessed.
func TestRetiredKeys(t *testing.T) {
	k := known(t)
	p := paper(k)
	s := encode(t, p, k)
	later := Keys{Lines: slices.Clone(k.Lines[2:]), Warnings: k.Warnings[1:]}
	slices.Reverse(later.Lines)
	got, faults := Decode(s, later)
	if len(faults) > 0 || got.Unknown != 3 || !slices.Equal(got.Lines, later.Lines) || !slices.Equal(got.Warnings, later.Warnings) {
		t.Errorf("%d unknown, %d lines, %v", got.Unknown, len(got.Lines), faults.Lines())
	}
}

func TestRefusedToWrite(t *testing.T) {
	k := known(t)
	for name, x := range map[string]struct {
		code   string
		change func(*Paper)
	}{
		"unknown key":  {"CODE-KEY", func(p *Paper) { p.Lines = []string{"no-such-line"} }},
		"key twice":    {"CODE-KEY", func(p *Paper) { p.Warnings = []string{k.Warnings[0], k.Warnings[0]} }},
		"no telephone": {"CODE-TEXT", func(p *Paper) { p.Telephone = "" }},
		"letters":      {"CODE-TEXT", func(p *Paper) { p.EmergencyLine = "call us" }},
		"line break":   {"CODE-TEXT", func(p *Paper) { p.Telephone = "1\n2" }},
		"language":     {"CODE-TEXT", func(p *Paper) { p.Locale = "e s" }},
	} {
		p := paper(k)
		x.change(&p)
		if s, faults := Encode(p, k); s != "" || !faults.Has(x.code) {
			t.Errorf("%s: %q, %s", name, s, faults.Lines())
		}
	}
	// Two keys whose SHA-256 begin with the same two bytes.
	a, b := sameCode()
	if _, faults := Encode(paper(k), Keys{Lines: append([]string{a, b}, k.Lines...), Warnings: k.Warnings}); !faults.Has("CODE-KEY") {
		t.Error("two keys with one code are taken")
	}
}

func sameCode() (a, b string) {
	seen := map[uint16]string{}
	for i := 0; ; i++ {
		k := "key-" + strings.Repeat("x", i)
		if other, ok := seen[code(k)]; ok {
			return other, k
		}
		seen[code(k)] = k
	}
}

func TestAddress(t *testing.T) {
	k := known(t)
	if s, faults := Address("", "en", paper(k), k); s != "" || len(faults) > 0 {
		t.Errorf("an address without a place: %q, %v", s, faults.Lines())
	}
	for _, base := range []string{"https://plainleaf.example", "https://plainleaf.example/"} {
		s, faults := Address(base, paper(k).Locale, paper(k), k)
		if want := "https://plainleaf.example/" + paper(k).Locale + "/paper/#" + encode(t, paper(k), k); s != want || len(faults) > 0 {
			t.Errorf("%q, %v", s, faults.Lines())
		}
	}
}

// What somebody copies or types is found whole address or code alone, broken over
// lines or not.
func TestFragment(t *testing.T) {
	k := known(t)
	whole, faults := Address("https://plainleaf.example", paper(k).Locale, paper(k), k)
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	code := encode(t, paper(k), k)
	for _, typed := range []string{whole, code, "#" + code, " " + whole[:40] + "\n  " + whole[40:] + "\r\n", whole[:60] + "\u00a0" + whole[60:]} {
		if p, faults := Decode(Fragment(typed), k); len(faults) > 0 || p.Telephone != paper(k).Telephone {
			t.Errorf("%q: %s", typed, faults.Lines())
		}
	}
	for _, typed := range []string{"", "https://plainleaf.example/en/", "call us", code[:len(code)-1], strings.ToUpper(code)} {
		if _, faults := Decode(Fragment(typed), k); len(faults) != 1 {
			t.Errorf("%q is read", typed)
		}
	}
}

func FuzzDecode(f *testing.F) {
	k := known(f)
	f.Add(encode(f, paper(k), k))
	f.Add("#p=AQ")
	f.Fuzz(func(t *testing.T, s string) {
		p, faults := Decode(s, k)
		if len(faults) > 0 || p.Unknown > 0 {
			return
		}
		if again := encode(t, p, k); again != strings.TrimPrefix(s, "#") {
			t.Fatalf("%q is read and written again as %q", s, again)
		}
	})
}

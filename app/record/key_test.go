package record

import (
	"bytes"
	"crypto/rand"
	"encoding/base64"
	"encoding/hex"
	"strings"
	"testing"

	"plainleaf/app/casefile"
	"plainleaf/build/outside"
)

const phrase = "four plain words here"

func TestWrapAndOpen(t *testing.T) {
	k := key(t, 3)
	file, faults := k.Wrap(phrase, rand.Reader)
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	if bytes.Contains(file, k.private.Seed()) || bytes.Contains(file, []byte(hex.EncodeToString(k.private.Seed()))) {
		t.Error("the file holds the key in the clear")
	}
	got, faults := OpenKey(file, phrase)
	if len(faults) > 0 || got.ID() != k.ID() || !bytes.Equal(got.private, k.private) {
		t.Errorf("%s %s", got.ID(), faults.Lines())
	}
	for _, c := range []struct{ name, old, new, phrase, code string }{
		{"wrong passphrase", "", "", phrase + "x", "KEY-PASSPHRASE"},
		{"another id", k.ID(), strings.Repeat("0", 64), phrase, "KEY-PASSPHRASE"},
		{"fewer passes", `"time": 3`, `"time": 2`, phrase, "KEY-PASSPHRASE"},
		{"one pass", `"time": 3`, `"time": 1`, phrase, "KEY-COST"},
		{"all of the memory", `65536`, `4000000`, phrase, "KEY-COST"},
		{"little memory", `65536`, `8`, phrase, "KEY-COST"},
		{"many threads", `"threads": 4`, `"threads": 255`, phrase, "KEY-COST"},
		{"negative", `"time": 3`, `"time": -3`, phrase, "KEY-COST"},
		{"another way", `argon2id`, `none`, phrase, "KEY-COST"},
		{"another cipher", `AES-256-GCM`, `none`, phrase, "KEY-FORMAT"},
		{"another format", privateFormat, "x", phrase, "KEY-FORMAT"},
		{"unknown key", `"format"`, `"x": 1, "format"`, phrase, "JSON-UNKNOWN-KEY"},
		{"duplicate key", `"version": 1,`, `"version": 1, "version": 1,`, phrase, "JSON-DUPLICATE-KEY"},
	} {
		data := strings.Replace(string(file), c.old, c.new, 1)
		if _, faults := OpenKey([]byte(data), c.phrase); len(faults) != 1 || !faults.Has(c.code) {
			t.Errorf("%s: %q", c.name, faults.Lines())
		}
	}
	if _, faults := k.Wrap("short", rand.Reader); !faults.Has("KEY-PASSPHRASE") {
		t.Errorf("a short passphrase: %q", faults.Lines())
	}
	if _, faults := k.Wrap(phrase, bytes.NewReader(nil)); !faults.Has("KEY-RANDOM") {
		t.Errorf("no random: %q", faults.Lines())
	}
	other, _ := k.Wrap(phrase, rand.Reader)
	if bytes.Equal(file, other) {
		t.Error("salt and nonce are used twice")
	}
}

// RFC 8032, section 7.1, test 1.
func TestEd25519Vector(t *testing.T) {
	seed, _ := hex.DecodeString("9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60")
	k, err := NewKey(bytes.NewReader(seed))
	if err != nil {
		t.Fatal(err)
	}
	outside.Equal(t, "RFC 8032", hex.EncodeToString(k.Public()), "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a")
	outside.Equal(t, "RFC 8032", fromBase64(t, k.sign(nil)),
		"e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e065224901555fb8821590a33bacc61e39701cf9b46bd25bf5f0595bbe24655141438e7a100b")
}

func fromBase64(t *testing.T, s string) string {
	t.Helper()
	b, err := base64.StdEncoding.DecodeString(s)
	if err != nil {
		t.Fatal(err)
	}
	return hex.EncodeToString(b)
}

func TestReadTrust(t *testing.T) {
	k := key(t, 1)
	pub := string(k.PublicFile("Demo", "dentist", casefile.Date{Year: 2026, Month: 1, Day: 2}))
	list := string(TrustFile(trusting(k).Keys))
	tr, faults := ReadTrust([]byte(pub))
	if len(faults) > 0 || len(tr.Keys) != 1 || tr.Keys[0].ID != k.ID() || tr.Keys[0].From.String() != "2026-01-02" || tr.Keys[0].Role != "dentist" {
		t.Errorf("%+v %s", tr, faults.Lines())
	}
	for _, c := range []struct{ name, data, code string }{
		{"private key instead", `{"format":"plainleaf-private-key","version":1}`, "KEY-FORMAT"},
		{"no format", `{}`, "KEY-FORMAT"},
		{"wrong id", strings.Replace(pub, k.ID(), strings.Repeat("0", 64), 1), "KEY-ID"},
		{"wrong id in a list", strings.Replace(list, k.ID(), strings.Repeat("0", 64), 1), "KEY-ID"},
		{"no key", strings.Replace(pub, trusting(k).Keys[0].Public, "AAAA", 1), "KEY-PUBLIC"},
		{"other version", strings.Replace(pub, `"version": 1`, `"version": 2`, 1), "KEY-FORMAT"},
		{"other format", strings.Replace(list, trustFormat, "x", 1), "KEY-FORMAT"},
		{"twice", string(TrustFile(append(trusting(k).Keys, trusting(k).Keys...))), "KEY-TWICE"},
		{"dates", strings.Replace(pub, `"from"`, `"to": "2026-01-01", "from"`, 1), "KEY-DATES"},
		{"bad date", strings.Replace(pub, `2026-01-02`, `2026-02-30`, 1), "DATE-INVALID"},
	} {
		if _, faults := ReadTrust([]byte(c.data)); !faults.Has(c.code) {
			t.Errorf("%s: %q", c.name, faults.Lines())
		}
	}
}

// The public half is read from a private key file without its passphrase, and a
// key that was wiped signs nothing.
func TestHalfOf(t *testing.T) {
	k := key(t, 7)
	file, faults := k.Wrap("a long passphrase", rand.Reader)
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	public, faults := HalfOf(file)
	if len(faults) > 0 || public.ID != k.ID() || !IsPrivate(file) {
		t.Errorf("%+v %s", public, faults.Lines())
	}
	if trust, faults := ReadTrust(public.File()); len(faults) > 0 || trust.Keys[0].ID != k.ID() {
		t.Errorf("its file: %s", faults.Lines())
	}
	for _, bad := range [][]byte{nil, []byte("{}"), public.File(), bytes.Replace(file, []byte(k.ID()[:8]), []byte("00000000"), 1)} {
		if _, faults := HalfOf(bad); len(faults) == 0 {
			t.Errorf("%.40q is taken", bad)
		}
	}
	if IsPrivate(public.File()) {
		t.Error("the public half counts as private")
	}
	k.Wipe()
	sealed := sealedBy(t, sample(), k)
	if v := Verify(sealed, trusting(key(t, 7))); v.Trust == Trusted {
		t.Error("a wiped key still seals")
	}
}

// RFC 9106, section 4, second choice: t=3, m=64 MiB, p=4. OWASP Password Storage Cheat
// Sheet, Argon2id: m=19 MiB, t=2, p=1.
func TestCostOfANewKeyFile(t *testing.T) {
	for goos, want := range map[string][3]int{"linux": {3, 65536, 4}, "windows": {3, 65536, 4}, "js": {2, 19456, 1}} {
		if time, memory, threads := newCost(goos); [3]int{time, memory, threads} != want {
			t.Errorf("%s: %d passes, %d KiB, %d threads, want %v", goos, time, memory, threads, want)
		}
	}
}

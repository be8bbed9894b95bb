package record

import (
	"os"
	"testing"
)

const kept = "../../testdata/records/"

// Records sealed once have to be good for ever: these files are never written
// anew, unless the version of the format changes, and then kept beside new ones.
func TestKeptRecords(t *testing.T) {
	read := func(name string) []byte {
		data, err := os.ReadFile(kept + name)
		if err != nil {
			t.Fatal(err)
		}
		return data
	}
	trust, faults := ReadTrust(read("trusted.json"))
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	k, faults := OpenKey(read("demo.key"), "demo passphrase, no secret")
	if len(faults) > 0 || k.ID() != trust.Keys[0].ID {
		t.Fatal(faults.Lines())
	}
	for _, c := range []struct{ file, integrity, signer, trust, where, code string }{
		{"consent.json", Intact, Signed, Trusted, "", "2K7T-GSE4-BETR-PN5F"},
		{"changed.json", Changed, Wrong, Nobody, "changed languages[0].sections[1] (What is done)", ""},
		{"rehashed.json", Changed, Wrong, Nobody, "changed languages[0].sections[1] (What is done)", ""},
		{"unsigned.json", Intact, Unsigned, Nobody, "", ""},
		{"stranger.json", Intact, Signed, Unknown, "", ""},
	} {
		v := Verify(read(c.file), &trust)
		if v.Integrity != c.integrity || v.Signer != c.signer || v.Trust != c.trust || paths(v) != c.where {
			t.Errorf("%s: %s, %s, %s: %s %s", c.file, v.Integrity, v.Signer, v.Trust, paths(v), v.Faults.Lines())
		}
		if c.code != "" && v.Code != c.code {
			t.Errorf("%s: code %s, want %s", c.file, v.Code, c.code)
		}
	}
}

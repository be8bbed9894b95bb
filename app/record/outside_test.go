package record

import (
	"bytes"
	"encoding/base64"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"plainleaf/build/node"
	"plainleaf/build/outside"
)

// independently runs the RFC 8785 writer of another project, in another language.
func independently(t *testing.T, data []byte, member ...string) []byte {
	t.Helper()
	return node.Run(t, "../../build/checks/readers/canon.mjs", data, member...)
}

// The values of RFC 8785, sections 3.2.2 and 3.2.3, and of the reference test
// data of the JSON Canonicalization Scheme (SHA-256 of its outputs).
func TestCanonicalVectors(t *testing.T) {
	for in, want := range map[string]string{
		`{"z":1,"a":{"y":2,"b":"é"},"":0,"n":-0,"f":1.0,"big":1e21}`:                              `{"":0,"a":{"b":"é","y":2},"big":1e+21,"f":1,"n":0,"z":1}`,
		`[56,{"d":true,"10":null,"1":[]}]`:                                                        `[56,{"1":[],"10":null,"d":true}]`,
		`{"numbers":[333333333.33333329,1E30,4.50,2e-3,0.000000000000000000000000001]}`:           `{"numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27]}`,
		`{"string":"\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/","literals":[null,true,false]}`: `{"literals":[null,true,false],"string":"€$\u000f\nA'B\"\\\\\"/"}`,
		`{"\u20ac":1,"\r":2,"\ufb33":3,"1":4,"\ud83d\ude00":5,"\u0080":6,"\u00f6":7}`:             "{\"\\r\":2,\"1\":4,\"\u0080\":6,\"ö\":7,\"€\":1,\"😀\":5,\"\ufb33\":3}",
		`{"html":"<b>&\u2028\u007f","unnormalized":"A\u030a"}`:                                    "{\"html\":\"<b>&\u2028\u007f\",\"unnormalized\":\"A\u030a\"}",
	} {
		var v any = tree(t, []byte(`{"v":`+in+`}`))["v"]
		got, err := canonical(v)
		if err != nil {
			t.Error(err)
		}
		outside.Equal(t, "RFC 8785", string(got), want)
		if other := independently(t, []byte(in)); string(other) != want {
			t.Errorf("the independent writer differs: %s", other)
		}
	}
	dir, err := exec.Command("go", "list", "-m", "-f", "{{.Dir}}", "github.com/gowebpki/jcs").Output()
	if err != nil {
		t.Fatal(err)
	}
	for name, want := range map[string]string{
		"arrays":     "099601b171cafed97c333f8878d68e7f8c8f795412adb34b2fdcf0e7c7beac42",
		"french":     "d99d0ebdcb0033cb858cfa830ae46bc0fb3309413b271f1da828c89901a27ed5",
		"structures": "605f65004ec2db7692522a0852c22f1c989e036d547e88963d1a3143cf3195d5",
		"unicode":    "0d99aad92a125196ff887876643fd3206786a84ddce2cee52ba4ad256d2381d3",
		"values":     "2d5e01a318d0f0879ab568c4be289c8b1f64ef8921a53c6277d5e069978baacb",
		"weird":      "6af595a9aa80110b964b4de3f82a05fa6ae7423005019bacfa2620dddc4e94d1",
	} {
		in, err := os.ReadFile(filepath.Join(strings.TrimSpace(string(dir)), "testdata/input", name+".json"))
		if err != nil {
			t.Fatal(err)
		}
		got, err := canonical(tree(t, []byte(`{"v":`+string(in)+`}`))["v"])
		if err != nil {
			t.Error(err)
		}
		outside.Equal(t, "reference data of the JSON Canonicalization Scheme", hash(got), want)
	}
}

// A record checked by the documented method with openssl and an independent
// canonical-JSON writer, the file first written over by another JSON library.
func TestWithStandardTools(t *testing.T) {
	k := key(t, 7)
	dir := t.TempDir()
	file := func(name string, data []byte) string {
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, data, 0o600); err != nil {
			t.Fatal(err)
		}
		return path
	}
	sealed := sealedBy(t, sample(), k)
	rewritten := written(t, tree(t, sealed))
	if bytes.Equal(sealed, rewritten) {
		t.Fatal("the file was not rewritten")
	}
	whole := independently(t, rewritten, "record")
	seal := tree(t, sealed)["seal"]

	out, err := exec.Command("openssl", "dgst", "-sha256", "-r", file("r", whole)).Output()
	if err != nil {
		t.Fatalf("openssl: %v", err)
	}
	outside.Equal(t, "openssl", strings.Fields(string(out))[0], at(seal, "sha256").(string))

	// A public key file of openssl: the 12 bytes of RFC 8410 and the key.
	der := append([]byte{0x30, 0x2a, 0x30, 0x05, 0x06, 0x03, 0x2b, 0x65, 0x70, 0x03, 0x21, 0x00}, decoded(t, at(seal, "signature", "public"))...)
	public := file("k.pem", []byte("-----BEGIN PUBLIC KEY-----\n"+base64.StdEncoding.EncodeToString(der)+"\n-----END PUBLIC KEY-----\n"))
	verify := func(data, signature []byte) bool {
		out, err := exec.Command("openssl", "pkeyutl", "-verify", "-pubin", "-inkey", public, "-rawin",
			"-in", file("in", data), "-sigfile", file("sig", signature)).CombinedOutput()
		return err == nil && strings.Contains(string(out), "Verified Successfully")
	}
	value := at(seal, "signature", "value")
	outside.Equal(t, "openssl", verify(whole, decoded(t, value)), true)
	outside.Equal(t, "openssl", verify(bytes.Replace(whole, []byte("chip"), []byte("ship"), 1), decoded(t, value)), false)

	// One part, by the documented bytes.
	for _, p := range at(seal, "parts").([]any) {
		if at(p, "path") != "languages[0].sections[2]" {
			continue
		}
		section := independently(t, written(t, at(tree(t, sealed), "record", "languages", 0, "sections", 2)))
		out, err := exec.Command("openssl", "dgst", "-sha256", "-r", file("p", section)).Output()
		if err != nil {
			t.Fatal(err)
		}
		outside.Equal(t, "openssl", strings.Fields(string(out))[0], at(p, "sha256").(string))
		bytes := independently(t, written(t, map[string]any{"path": at(p, "path"), "sha256": at(p, "sha256"), "signature": value}))
		outside.Equal(t, "openssl", verify(bytes, decoded(t, at(p, "signature"))), true)
		return
	}
	t.Error("the part was not found")
}

func decoded(t *testing.T, v any) []byte {
	t.Helper()
	b, err := base64.StdEncoding.DecodeString(v.(string))
	if err != nil {
		t.Fatal(err)
	}
	return b
}

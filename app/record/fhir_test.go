package record

import (
	"bytes"
	"crypto/sha1"
	"encoding/base64"
	"encoding/json"
	"encoding/xml"
	"io"
	"strings"
	"testing"

	"plainleaf/build/node"
	"plainleaf/build/outside"
)

// validators says what two validators find in each resource.
func validators(t *testing.T, resources [][]byte) [][]string {
	t.Helper()
	var in bytes.Buffer
	for _, r := range resources {
		if err := json.Compact(&in, r); err != nil {
			t.Fatal(err)
		}
		in.WriteByte('\n')
	}
	out := node.Run(t, "../../build/checks/readers/fhir.mjs", in.Bytes())
	var found [][]string
	for _, line := range strings.Split(strings.TrimSpace(string(out)), "\n") {
		var f []string
		if err := json.Unmarshal([]byte(line), &f); err != nil {
			t.Fatal(err)
		}
		found = append(found, f)
	}
	if len(found) != len(resources) {
		t.Fatalf("%d answers for %d resources", len(found), len(resources))
	}
	return found
}

func TestFHIR(t *testing.T) {
	k := key(t, 1)
	var resources [][]byte
	for _, c := range []struct {
		kind           Kind
		decision, want string
		named, demo    bool
	}{
		{Consent, "agreed", "active", true, true}, {Consent, "", "proposed", false, false}, {Refusal, "refused", "rejected", true, true},
		{Withdrawal, "withdrawn", "inactive", true, false}, {TryIn, "agreed", "active", false, true}, {Change, "agreed", "active", true, true},
	} {
		r := sample()
		r.Kind, r.Decision.What, r.Practice.Demo = c.kind, c.decision, c.demo
		r.Practice.Name = `Demo & "Sons" <b>`
		if !c.named {
			r.Identifiers = nil
		}
		sealed := sealedBy(t, r, k)
		got, faults := FHIR(sealed, nil)
		if len(faults) > 0 {
			t.Fatal(faults.Lines())
		}
		resources = append(resources, got)
		m := tree(t, got)
		text := decoded(t, at(m, "sourceAttachment", "data"))
		sum := sha1.Sum(text)
		// Invariant ppc-1: a policy or a rule of policy. Attachment.hash is SHA-1.
		if m["status"] != c.want || at(m, "policyRule", "text") == "" || at(m, "sourceAttachment", "hash") != base64.StdEncoding.EncodeToString(sum[:]) ||
			at(m, "identifier", 0, "value") != Verify(sealed, nil).SHA256 {
			t.Errorf("%s", got)
		}
		// Invariant ppc-5: a consent to treatment has a patient, named or not known.
		if patient, _ := json.Marshal(m["patient"]); string(patient) != map[bool]string{
			true:  `{"display":"` + sample().Identifiers.Name + `","identifier":{"value":"` + sample().Identifiers.Chart + `"}}`,
			false: `{"extension":[{"url":"http://hl7.org/fhir/StructureDefinition/data-absent-reason","valueCode":"unknown"}]}`,
		}[c.named] {
			t.Errorf("the patient is %s", patient)
		}
		if at := emptied("", m); at != "" {
			t.Errorf("%s is empty, which FHIR allows nowhere", at)
		}
		for _, l := range r.Languages {
			for _, s := range l.Sections {
				if !strings.Contains(string(text), s.Heading) || !strings.Contains(string(text), s.Blocks[0].Text) {
					t.Errorf("%q is not attached", s.Heading)
				}
			}
		}
		if strings.Contains(string(got), "bruxism") || strings.Contains(string(text), "bruxism") {
			t.Error("a finding of the case leaves with the resource")
		}
		d := xml.NewDecoder(strings.NewReader(at(m, "text", "div").(string)))
		for {
			if _, err := d.Token(); err == io.EOF {
				break
			} else if err != nil {
				t.Fatalf("the narrative is no XHTML: %v", err)
			}
		}
	}
	// The validators see what is wrong.
	bad := bytes.Replace(resources[0], []byte(`"treatment"`), []byte(`"treatment","x":1`), 1)
	none := bytes.Replace(resources[0], []byte(`"active"`), []byte(`"perhaps"`), 1)
	found := validators(t, append(resources, bad, none))
	for i, f := range found {
		if i >= len(resources) {
			if s := strings.Join(f, " "); !strings.Contains(s, "fhir:") || !strings.Contains(s, "schema:") {
				t.Errorf("a bad resource passed: %s", s)
			}
			continue
		}
		outside.Note("two FHIR R4 validators")
		if len(f) > 0 {
			t.Errorf("%s\n%s", strings.Join(f, "\n"), resources[i])
		}
	}
}

// emptied gives the path of a text, list or object without anything in it.
func emptied(path string, v any) string {
	switch v := v.(type) {
	case string:
		if strings.TrimSpace(v) == "" {
			return path
		}
	case []any:
		if len(v) == 0 {
			return path
		}
		for _, e := range v {
			if at := emptied(path+"[]", e); at != "" {
				return at
			}
		}
	case map[string]any:
		if len(v) == 0 {
			return path
		}
		for k, e := range v {
			if at := emptied(path+"."+k, e); at != "" {
				return at
			}
		}
	case nil:
		return path
	}
	return ""
}

func TestFHIRRefuses(t *testing.T) {
	r := sample()
	data := sealedBy(t, r, key(t, 1))
	if _, faults := FHIR(bytes.Replace(data, []byte("chip"), []byte("ship"), 1), nil); !faults.Has("FHIR-RECORD") {
		t.Errorf("a changed record: %q", faults.Lines())
	}
	if _, faults := FHIR([]byte("{"), nil); !faults.Has("FHIR-RECORD") || !faults.Has("JSON-TRUNCATED") {
		t.Errorf("half a record: %q", faults.Lines())
	}
	r.Kind = Aftercare
	if _, faults := FHIR(sealedBy(t, r, nil), nil); !faults.Has("FHIR-KIND") {
		t.Errorf("aftercare: %q", faults.Lines())
	}
	r.Kind, r.Languages = Consent, nil
	if _, faults := FHIR(sealedBy(t, r, nil), nil); !faults.Has("FHIR-RECORD") {
		t.Errorf("no language: %q", faults.Lines())
	}
}

// A signed key in other letters is not read in place of the one that the verdict
// goes by: a withdrawal must not leave as a consent in force.
func TestKeysInOtherLettersAreNotRead(t *testing.T) {
	k := key(t, 1)
	r := sample()
	r.Kind, r.Previous, r.Decision.What = Withdrawal, strings.Repeat("ab", 32), "withdrawn"
	if _, ok := Read(sealedBy(t, r, k)); !ok {
		t.Fatal("a record as it should be is not read")
	}
	f := tree(t, sealedBy(t, r, k))
	at(f, "record").(map[string]any)["decisioN"] = map[string]any{"what": "agreed", "by": "patient"}
	data, _, err := seal(f["record"], k)
	if err != nil {
		t.Fatal(err)
	}
	if v := Verify(data, nil); v.Record.Decision != "withdrawn" {
		t.Errorf("the verdict says %q", v.Record.Decision)
	}
	if got, ok := Read(data); ok {
		t.Errorf("read as %q", got.Decision.What)
	}
	if out, faults := FHIR(data, nil); !faults.Has("FHIR-RECORD") {
		t.Errorf("exported: %s", out)
	}
}

// What takes the place of a consent is one itself.
func TestASupersedingConsentIsAgreed(t *testing.T) {
	for what, good := range map[string]bool{"": true, "agreed": true, "refused": false, "withdrawn": false} {
		r := sample()
		r.Kind, r.Previous, r.Decision.What = Superseding, strings.Repeat("ab", 32), what
		if faults := r.check(); faults.Has("RECORD-DECISION") == good {
			t.Errorf("%q: %s", what, faults.Lines())
		}
	}
}

//go:build !js

package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"plainleaf/build/schema"
)

// settled is a case that nothing keeps from being signed, in a file of its own.
func settled(t *testing.T) string {
	t.Helper()
	file := filepath.Join(t.TempDir(), "case.json")
	if err := os.WriteFile(file, []byte(`{"version": 2, "id": "demo-two", "issued": "2026-11-25", "start": "2026-12-01", "locale": "en", "second": "es",
		"route": "no-prep", "material": "feldspathic", "teeth": [{"tooth": "11"}, {"tooth": "21"}],
		"answers": [{"change": "opening-contacts", "places": ["11-21"], "answer": "no"}],
		"people": {"age_band": "adult", "decides": "patient", "interpreter": "none"}, "events": [{"kind": "done", "visit": "records", "on": "2026-12-02"}]}`), 0o644); err != nil {
		t.Fatal(err)
	}
	return file
}

// signedCases is a signing file with every key.
const signedCases = `{"version": 1, "cases": {"demo-two": {
	"identifiers": {"name": "Demo Person", "born": "1990-01-01", "chart": "D-1"},
	"decision": {"what": "agreed", "by": "patient", "on": "2026-12-14", "at": "2026-12-14T10:42:00+01:00"},
	"signatures": [{"role": "patient", "way": "drawn", "width": 3000, "height": 1000, "strokes": [[1, 2, 3, 4], [5, 6]], "at": "2026-12-14T10:42:00+01:00"},
		{"role": "dentist", "way": "typed", "name": "Demo Dentist"}, {"role": "parent", "way": "mark"},
		{"role": "witness", "way": "paper", "paper": "scan 17", "paper_on": "2026-12-14"}]}}}`

func TestTheSigningFileAgreesWithItsSchema(t *testing.T) {
	schema.Agree(t, "signing.json", reflect.TypeFor[signing](), false)
}

// What the schema of a signing file accepts is sealed, in a record that fits its own
// schema; what it refuses, the command refuses.
func TestSigningAndRecordFitTheirSchemas(t *testing.T) {
	s, sealed := schema.Compile(t, "signing.json"), schema.Compile(t, "record.json")
	key, file := newTestKey(t), filepath.Join(t.TempDir(), "signing.json")
	seal := func(data string, args ...string) (code int, errs, dir string) {
		t.Helper()
		if err := os.WriteFile(file, []byte(data), 0o644); err != nil {
			t.Fatal(err)
		}
		dir = t.TempDir()
		code, _, errs = order("", append([]string{"seal", "-signing", file, "-out", dir, settled(t)}, args...)...)
		return code, errs, dir
	}
	if err := schema.Validate(t, s, []byte(signedCases)); err != nil {
		t.Fatal(err)
	}
	for _, args := range [][]string{nil, {"-key", key}, {"-key", key, "-kind", "tryin", "-second", "ar"}} {
		code, errs, dir := seal(signedCases, args...)
		if code != good {
			t.Fatalf("%v: %s", args, errs)
		}
		for _, name := range records(t, dir) {
			r, data := readRecord(t, name)
			if err := schema.Validate(t, sealed, data); err != nil {
				t.Errorf("%v: %v", args, err)
			}
			if r.Version != 2 || r.Case.Version != 2 || len(r.Open) == 0 || len(r.Signatures) != 4 {
				t.Errorf("%v: version %d, case %d, %d open points, %d signatures", args, r.Version, r.Case.Version, len(r.Open), len(r.Signatures))
			}
		}
	}
	for _, pair := range [][2]string{
		{`"version": 1`, `"version": 2`}, {`"version": 1, `, ``}, {`"cases"`, `"case"`}, {`"demo-two"`, `""`}, {`"what": "agreed"`, `"what": "perhaps"`},
		{`"by": "patient"`, `"by": "nobody"`}, {`"by": "patient", "on": "2026-12-14"`, `"by": "patient", "on": "2026-11-31"`}, {`"on": "2026-12-14", "at": "2026-12-14T10:42:00+01:00"`, `"on": "2026-12-14", "at": "2026-12-14T10:42:00"`},
		{`"role": "dentist"`, `"role": "king"`}, {`"way": "mark"`, `"way": "thumb"`}, {`"way": "typed", "name": "Demo Dentist"`, `"way": "typed", "name": " "`},
		{`"way": "typed", "name": "Demo Dentist"`, `"way": "typed"`}, {`"strokes": [[1, 2, 3, 4], [5, 6]], `, ``}, {`[5, 6]`, `[5]`}, {`[5, 6]`, `[-5, 6]`}, {`"width": 3000, `, ``}, {`"width": 3000`, `"width": 0`},
		{`"way": "mark"`, `"way": "paper", "width": 9, "height": 9, "strokes": [[1, 2]]`}, {`"Demo Person"`, `"` + strings.Repeat("x", 201) + `"`}, {`"Demo Person"`, `"a\u0007b"`}, {`"Demo Person"`, `"a\u202eb"`},
		{`"chart": "D-1"`, `"chart": 1`}, {`"chart"`, `"card"`}, {`"scan 17"`, `"a\u0007b"`}, {`"paper_on": "2026-12-14"`, `"paper_on": "yesterday"`},
	} {
		if strings.Count(signedCases, pair[0]) != 1 {
			t.Fatalf("%q occurs %d times", pair[0], strings.Count(signedCases, pair[0]))
		}
		in := strings.Replace(signedCases, pair[0], pair[1], 1)
		code, errs, _ := seal(in)
		if err := schema.Validate(t, s, []byte(in)); err == nil || code != badInput {
			t.Errorf("%s: the schema finds %v, the command exits with %d %s", pair[1], err, code, errs)
		}
	}
}

// The schema of records refuses what no seal would write.
func TestTheRecordSchemaRefuses(t *testing.T) {
	s, key, dir := schema.Compile(t, "record.json"), newTestKey(t), t.TempDir()
	file := filepath.Join(t.TempDir(), "signing.json")
	if err := os.WriteFile(file, []byte(signedCases), 0o644); err != nil {
		t.Fatal(err)
	}
	if code, _, errs := order("", "seal", "-signing", file, "-key", key, "-out", dir, settled(t)); code != good {
		t.Fatal(errs)
	}
	_, data := readRecord(t, records(t, dir)[0])
	for _, x := range []struct {
		path string // keys from the top, 0 for the first of a list
		to   string // JSON; "" takes the key out
	}{
		{"seal", ""}, {"record", ""}, {"more", "1"}, {"record more", "1"}, {"record format", `"a-record"`}, {"record version", "3"}, {"record version", "1"}, {"record version", ""}, {"record open", ""},
		{"record case version", "1"}, {"record case tryin", "[]"}, {"record case issued", `""`}, {"record case", ""}, {"record kind", `"wait"`}, {"record kind", `"withdrawal"`}, {"record kind", `"refusal"`}, {"record kind", `"change"`},
		{"record decision what", `"refused"`}, {"record decision what", ""}, {"record decision by", `"staff"`}, {"record previous", `"ab"`}, {"record sealed", `"2026-12-14"`}, {"record issued", `""`},
		{"record practice name", ""}, {"record signatures", "null"}, {"record signatures 0 role", ""}, {"record signatures 0 way", `"typed"`}, {"record answers 0 answer", `"yes"`}, {"record answers 0 teeth", "null"},
		{"record answers 0 places", `["11"]`}, {"record open 0 what", ""}, {"record open 0 holds", `[]`}, {"record open 0 reason", `"x"`}, {"record languages", "[]"}, {"record languages 0 limits", "null"}, {"record languages 0 dir", `"up"`},
		{"record languages 0 wording state", `"good"`}, {"record languages 0 page caution", ""}, {"record languages 0 sections 0 heading", ""}, {"record languages 0 sections 0 blocks 0 kind", `"heading"`},
		{"record languages 0 sections 0 blocks 0 html", `"x"`}, {"record limits", ""}, {"record identifiers name", `1`},
		{"seal sha256", `"AB"`}, {"seal code", `"2K7T-GSE4-BETR-PN5"`}, {"seal code", `"2K7T-GSE4-BETR-PN5I"`}, {"seal parts", "[]"}, {"seal parts 0 path", ""}, {"seal parts 0 sha256", `""`},
		{"seal signature algorithm", `"none"`}, {"seal signature value", `"AA=="`}, {"seal signature public", ""},
	} {
		var tree any
		if err := json.Unmarshal(data, &tree); err != nil {
			t.Fatal(err)
		}
		keys, at := strings.Fields(x.path), tree
		for _, k := range keys[:len(keys)-1] {
			if k == "0" {
				at = at.([]any)[0]
			} else {
				at = at.(map[string]any)[k]
			}
		}
		in, last := at.(map[string]any), keys[len(keys)-1]
		if delete(in, last); x.to != "" {
			var v any
			if err := json.Unmarshal([]byte(x.to), &v); err != nil {
				t.Fatal(err)
			}
			in[last] = v
		}
		if s.Validate(tree) == nil {
			t.Errorf("record.json accepts %s = %q", x.path, x.to)
		}
	}
}

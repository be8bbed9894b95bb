package casefile_test

import (
	"bytes"
	"encoding/json"
	"os"
	"testing"

	"plainleaf/app/casefile"
)

// What version 1 wrote opens for ever, and nothing of it is lost.
func TestAPracticeFileOfVersionOneOpens(t *testing.T) {
	data, err := os.ReadFile("../../testdata/formats/practice-1.json")
	if err != nil {
		t.Fatal(err)
	}
	p, faults := casefile.ReadPractice(data, vocabulary(t))
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	if p.Version != casefile.PracticeVersion {
		t.Errorf("read as version %d", p.Version)
	}
	if err := validate(t, schema(t, "practice.json"), data); err != nil {
		t.Error(err)
	}
	again, err := casefile.WritePractice(p)
	if err != nil {
		t.Fatal(err)
	}
	want := bytes.Replace(data, []byte(`"version": 1,`), []byte(`"version": 2,`), 1)
	if !bytes.Equal(again, want) {
		t.Errorf("written again:\n%s", again)
	}
	var keys map[string]any
	if json.Unmarshal(data, &keys) != nil || len(keys) < 26 {
		t.Errorf("the fixture has only %d keys", len(keys))
	}
}

// A file of a version to come says so and nothing else, whatever else is new in it.
func TestANewerPracticeFileAsksForANewerProgram(t *testing.T) {
	p, faults := casefile.ReadPractice([]byte(`{"version": 3, "names": ["A"], "locale": "xx"}`), vocabulary(t))
	const want = "PRAC-VERSION\tversion\tthis program reads versions 1 to 2, not 3: a higher one needs a newer program\n"
	if faults.Lines() != want || p.Version != 3 {
		t.Errorf("version %d:\n%s", p.Version, faults.Lines())
	}
}

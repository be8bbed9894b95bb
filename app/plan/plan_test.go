package plan

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
	"plainleaf/build/outside"
	"plainleaf/content"
)

func TestMain(m *testing.M) { outside.Main(m) }

var base = content.MustLoad()

const testdata = "../../testdata/"

func readFile(t testing.TB, path string) []byte {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func demo(t testing.TB) casefile.Practice {
	t.Helper()
	p, faults := casefile.ReadPractice(readFile(t, testdata+"practice/demo.json"), base.Vocabulary(nil))
	// Locales belong to the wordings, not to this package.
	for _, f := range faults {
		if !strings.Contains(f.Code, "LOCALE") && !strings.Contains(f.Code, "LANGUAGE") {
			t.Fatal(faults.Err())
		}
	}
	return p
}

// cases reads every example case.
func cases(t testing.TB) map[string]casefile.Case {
	t.Helper()
	files, err := filepath.Glob(testdata + "cases/*.json")
	if err != nil || len(files) < 10 {
		t.Fatalf("example cases: %d files, %v", len(files), err)
	}
	out := map[string]casefile.Case{}
	for _, f := range files {
		c, faults := casefile.ReadCase(readFile(t, f), base.Vocabulary([]string{"en", "es", "ar"}))
		if err := faults.Err(); err != nil {
			t.Fatalf("%s: %v", f, err)
		}
		out[strings.TrimSuffix(filepath.Base(f), ".json")] = c
	}
	return out
}

func mustFor(t testing.TB, c casefile.Case, p casefile.Practice, b *evidence.Base) Plan {
	t.Helper()
	pl, faults := For(c, p, b)
	if err := faults.Err(); err != nil {
		t.Fatalf("plan: %v", err)
	}
	return pl
}

func TestEveryExampleCaseComputesTheSameBytes(t *testing.T) {
	p := demo(t)
	for name, c := range cases(t) {
		var last []byte
		for range 3 {
			b, err := json.Marshal(mustFor(t, c, p, base))
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			if last != nil && !bytes.Equal(last, b) {
				t.Errorf("%s: the same case gave two different plans", name)
			}
			last = b
		}
	}
}

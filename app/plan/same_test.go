package plan

import (
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"maps"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"

	"plainleaf/app/casefile"
	"plainleaf/build/trials"
)

// hashes has one line for each plan: the case and the start of the SHA-256 of its JSON.
// A change that only moves code leaves it as it is; one that changes what is computed
// writes it anew with PLAINLEAF_GOLDEN=write and says so.
const hashes = testdata + "plans/hashes.txt"

func TestGoldenPlans(t *testing.T) {
	var got []string
	note := func(name string, c casefile.Case, p casefile.Practice) Plan {
		pl := mustFor(t, c, p, base)
		b, err := json.Marshal(pl)
		if err != nil {
			t.Fatal(err)
		}
		got = append(got, fmt.Sprintf("%s %.16x", name, sha256.Sum256(b)))
		return pl
	}
	p := demo(t)
	examples := cases(t)
	for _, name := range slices.Sorted(maps.Keys(examples)) {
		note(name, examples[name], p)
	}
	// 1,600 random cases in practices with and without fees, a quarter of them
	// planned again with days agreed for some of the visits.
	r := rand.New(rand.NewPCG(1600, 1))
	practices := []casefile.Practice{p, {}}
	for i := range trials.N(200, 1600, 1600) {
		c := random(r)
		pl := note(fmt.Sprint("random-", i), c, practices[i%2])
		if i%4 > 0 {
			continue
		}
		for _, v := range pl.Visits {
			if r.IntN(2) == 0 && v.Likely.Exists() && c.AgreedDay(v.Key, 1) == nil {
				c.Visits = append(c.Visits, casefile.AgreedVisit{Key: v.Key, Date: v.Likely.AddDays(r.IntN(40) - 10)})
			}
		}
		note(fmt.Sprint("agreed-", i), c, practices[i%2])
	}
	text := strings.Join(got, "\n") + "\n"
	if os.Getenv("PLAINLEAF_GOLDEN") == "write" && !testing.Short() {
		if err := os.MkdirAll(testdata+"plans", 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(hashes, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want := strings.Split(strings.TrimSpace(string(readFile(t, hashes))), "\n")
	if len(want) < len(got) || len(want) > len(got) && !testing.Short() {
		t.Fatalf("%d plans, %s has %d", len(got), hashes, len(want))
	}
	wrong := 0
	for i := range got {
		if got[i] != want[i] {
			if wrong++; wrong <= 5 {
				t.Errorf("%s, want %s", got[i], want[i])
			}
		}
	}
	if wrong > 0 {
		t.Errorf("%d of %d plans differ", wrong, len(got))
	}
}

// Package outside counts the checks that compare this program with something
// published elsewhere, by source, so that a test run can say on how much outside
// knowledge it rests. It is for tests only; build/test.sh adds the packages up.
//
// A test package that uses it has a TestMain:
//
//	func TestMain(m *testing.M) { outside.Main(m) }
package outside

import (
	"fmt"
	"math"
	"os"
	"slices"
	"sync"
	"testing"
)

var (
	mu     sync.Mutex
	counts = map[string]int{}
)

// Check compares a number with a published one within tol and counts the check
// for source; tol of 0 asks for the same number. A number that is not one fails.
func Check(t testing.TB, source string, got, want, tol float64) {
	t.Helper()
	Note(source)
	if math.IsNaN(got) || math.Abs(got-want) > tol {
		t.Errorf("%s: got %v, published %v (tolerance %v)", source, got, want, tol)
	}
}

// Equal compares any value with a published one and counts the check for source.
func Equal[T comparable](t testing.TB, source string, got, want T) {
	t.Helper()
	Note(source)
	if got != want {
		t.Errorf("%s: got %v, published %v", source, got, want)
	}
}

// Note counts a check made by other means, such as a library's result.
func Note(source string) {
	mu.Lock()
	defer mu.Unlock()
	counts[source]++
}

// Summary is one line for each source, sorted.
func Summary() string {
	mu.Lock()
	defer mu.Unlock()
	var sources []string
	for s := range counts {
		sources = append(sources, s)
	}
	slices.Sort(sources)
	out := ""
	for _, s := range sources {
		out += fmt.Sprintf("outside checks: %d from %s\n", counts[s], s)
	}
	return out
}

// Main runs the tests, prints the summary and exits.
func Main(m *testing.M) {
	code := m.Run()
	fmt.Print(Summary())
	os.Exit(code)
}

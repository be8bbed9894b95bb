package produce

import "testing"

// A paper in a language without screens leads to the practice's, else to the first.
func TestScreenFor(t *testing.T) {
	screens := []string{"en", "es", "ar"}
	for _, c := range [][3]string{{"ar", "es", "ar"}, {"pl", "es", "es"}, {"pl", "pl", "en"}} {
		if got := screenFor(screens, c[0], c[1]); got != c[2] {
			t.Errorf("a paper in %s of a practice in %s leads to %s, want %s", c[0], c[1], got, c[2])
		}
	}
}

//go:build !js

package readability

import "testing"

func TestBeat(t *testing.T) {
	for _, c := range []struct {
		texts []string
		want  Rhythm
	}{
		{nil, Rhythm{}},
		{[]string{"…", ""}, Rhythm{}},
		{[]string{"One two three."}, Rhythm{1, 3, 1}},
		{[]string{"One two three four five six. One two three four five six seven."}, Rhythm{2, 6.5, 0.5}},
		{[]string{"Call us. Then rest.", "We look at the tooth again with you after ten days."}, Rhythm{3, 2, 2.0 / 3}},
	} {
		if got := Beat("en", c.texts); got != c.want {
			t.Errorf("%q: %+v, want %+v", c.texts, got, c.want)
		}
	}
}

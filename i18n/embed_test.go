//go:build !js

package i18n

import "testing"

func TestShippedWordingsLoad(t *testing.T) {
	for _, l := range Languages() {
		data, ok := Embedded(l.Tag)
		if !ok {
			t.Fatalf("%s is not embedded", l.Tag)
		}
		w := mustLoad(t, l.Tag, string(data))
		got, err := w.Text("lang.self-name", nil, "")
		if err != nil || got != l.Name {
			t.Errorf("%s calls itself %q (%v), the table says %q", l.Tag, got, err, l.Name)
		}
	}
}

func TestShippedStatesAreCurrent(t *testing.T) {
	for _, l := range Languages() {
		if stale := Stale(l.Tag); len(stale) > 0 {
			t.Errorf("%s: stale %v", l.Tag, stale)
		}
		if len(States(l.Tag)) == 0 {
			t.Errorf("%s has no states", l.Tag)
		}
	}
}

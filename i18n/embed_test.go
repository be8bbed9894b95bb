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

// A text whose English source changed after it was made is stale.
func TestShippedStatesAreCurrent(t *testing.T) {
	messages := func(l Language) map[string]Message {
		data, _ := Embedded(l.Tag)
		m, faults := l.Parse("i18n/"+l.Tag+".json", data)
		if len(faults) > 0 || len(m) == 0 {
			t.Fatalf("%d messages\n%s", len(m), faults.Lines())
		}
		return m
	}
	source := messages(Source())
	for _, l := range Languages() {
		states := States(l.Tag)
		for id := range messages(l) {
			if m, ok := source[id]; !ok || states[id].SourceHash != Hash(m) {
				t.Errorf("%s: %s is stale", l.Tag, id)
			}
		}
	}
}

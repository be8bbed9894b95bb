//go:build !js

package readability

import (
	"slices"
	"strings"
	"testing"

	"plainleaf/i18n"
)

// The levels the patient's words are held to, by the first word of their ids: the
// sixth grade or below for sheets, as the American Medical Association advises
// (Weiss, Health literacy: a manual for clinicians), the fifth for what is read
// when worried; "bastante fácil" on the INFLESZ scale. Names and screens are not running
// text and are left out.
func TestShippedPatientText(t *testing.T) {
	worried := []string{"aftercare", "warning", "urgency", "upkeep"}
	names := []string{"lang", "material", "page", "tooth", "print", "furniture"}
	for _, tag := range []string{"en", "es"} {
		lang, _ := i18n.Lookup(tag)
		data, _ := i18n.Embedded(tag)
		messages, faults := lang.Parse("i18n/"+tag+".json", data)
		if len(faults) > 0 {
			t.Fatal(faults.Lines())
		}
		texts := map[string]string{}
		for id, m := range messages {
			group, _, _ := strings.Cut(id, ".")
			if !slices.Contains(names, group) {
				texts[group] += m.Other + "\n"
			}
		}
		for group, text := range texts {
			s, err := Read(tag, text)
			if err != nil || s.Short {
				continue
			}
			good := s.Value >= 65
			if tag != "es" {
				good = s.Value <= 6
				if slices.Contains(worried, group) {
					good = s.Value <= 5
				}
			}
			if !good {
				worst, _ := Worst(tag, text, 3)
				t.Errorf("%s %s: %s %.1f; hardest: %q", tag, group, s.Formula, s.Value, worst)
			}
		}
	}
}

// A sentence longer than 20 words is hard in any language; common practice.
func TestShippedSentencesAreShort(t *testing.T) {
	for tag, limit := range map[string]int{
		"en": 20,
		"es": 23, // the same thing takes more words: articles, "de"
	} {
		lang, _ := i18n.Lookup(tag)
		data, _ := i18n.Embedded(tag)
		messages, _ := lang.Parse("i18n/"+tag+".json", data)
		if len(messages) == 0 {
			t.Errorf("%s has no messages", tag)
		}
		for id, m := range messages {
			for _, s := range Sentences(tag, m.Other) {
				if n := len(Words(s)); n > limit {
					t.Errorf("%s %s: %d words: %q", tag, id, n, s)
				}
			}
		}
	}
}

package record

import (
	"fmt"
	"strings"
	"testing"
)

func TestCode(t *testing.T) {
	// 75 bits of ones and of zeros, and the first letter of a hash that starts
	// with 0b00001_00010_000...
	for sum, want := range map[string]string{
		strings.Repeat("0", 64):        "0000-0000-0000-0000",
		"08" + strings.Repeat("0", 62): "1000-0000-0000-0002",
		"xx":                           "",
		"00":                           "",
	} {
		if got := Code(sum); got != want {
			t.Errorf("%s: %s, want %s", sum, got, want)
		}
	}
	if got := Code(strings.Repeat("f", 64)); !strings.HasPrefix(got, "ZZZZ-ZZZZ-ZZZZ-ZZZ") {
		t.Error(got)
	}
}

// Every wrong letter and every exchange of two different letters is seen.
func TestCodeCheckLetter(t *testing.T) {
	for n := range 20 {
		code := Code(hash([]byte(fmt.Sprint(n))))
		typed := strings.ReplaceAll(code, "-", "")
		for _, form := range []string{code, typed, strings.ToLower(code), " " + typed + "\u00a0", strings.NewReplacer("0", "O", "1", "l").Replace(code)} {
			if got, ok := ParseCode(form); !ok || got != code {
				t.Errorf("%q: %q %v", form, got, ok)
			}
		}
		for i := range typed {
			for _, l := range letters {
				wrong := typed[:i] + string(l) + typed[i+1:]
				if _, ok := ParseCode(wrong); ok != (wrong == typed) {
					t.Errorf("%s for %s: %v", wrong, typed, ok)
				}
			}
			for j := i + 1; j < len(typed); j++ {
				b := []byte(typed)
				b[i], b[j] = b[j], b[i]
				if _, ok := ParseCode(string(b)); ok != (string(b) == typed) {
					t.Errorf("%s for %s: %v", b, typed, ok)
				}
			}
			if _, ok := ParseCode(typed[:i] + typed[i+1:]); ok {
				t.Errorf("%s without letter %d", typed, i)
			}
		}
		if _, ok := ParseCode(typed + "0"); ok {
			t.Error("a letter too many")
		}
		if _, ok := ParseCode(strings.Repeat(typed, 1000)); ok {
			t.Error("a long text")
		}
	}
	if _, ok := ParseCode("UUUU-UUUU-UUUU-UUUU"); ok {
		t.Error("a letter that no code has")
	}
}

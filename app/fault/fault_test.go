package fault

import (
	"encoding/json"
	"strings"
	"testing"
	"unicode/utf8"
)

func TestLineIsAlwaysOneLineOfThreeFields(t *testing.T) {
	for _, hostile := range []string{
		"plain", "two\nlines", "a\ttab", "cr\r\nlf", "\x1b[31mred", "nul\x00", "\u2028\u2029",
		"\u202egnp.exe", "\u2066x\u2069", "bad\xff\xfe", "\u0085next", "",
	} {
		line := Fault{Code: hostile, Path: hostile, Text: hostile}.Line()
		if n := strings.Count(line, "\t"); n != 2 {
			t.Errorf("%q: %d tabs in %q, want 2", hostile, n, line)
		}
		if !utf8.ValidString(line) {
			t.Errorf("%q: line is not UTF-8", hostile)
		}
		if strings.ContainsAny(line, "\n\r\x00\x1b\u0085\u2028\u2029\u202e\u2066\u2069") {
			t.Errorf("%q: control character left in %q", hostile, line)
		}
	}
	if got, want := (Fault{Code: "A-B", Text: "no color é"}).Line(), "A-B\t$\tno color é"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
}

func TestAdd(t *testing.T) {
	var l List
	l.Add("A", "", "100%% wrong")
	l.Add("B", "p", "tooth %q", "99")
	if l[0].Text != "100% wrong" || l[0].Path != "$" || l[1].Text != `tooth "99"` {
		t.Errorf("got %+v", l)
	}
}

func TestSortedIsStableAndLeavesTheListAlone(t *testing.T) {
	l := List{{"B", "b", "1", nil}, {"A", "b", "2", nil}, {"A", "a", "3", nil}, {"A", "b", "4", nil}}
	var order string
	for _, f := range l.Sorted() {
		order += f.Text
	}
	if order != "3241" {
		t.Errorf("order %s, want 3241", order)
	}
	if l[0].Text != "1" {
		t.Error("Sorted changed its receiver")
	}
}

func TestJSONHidesArgs(t *testing.T) {
	f := New("CASE-TOOTH-TWICE", "teeth[1]", "tooth 11 is listed twice").With("Tooth", "11")
	got, err := json.Marshal(f)
	if err != nil {
		t.Fatal(err)
	}
	want := `{"code":"CASE-TOOTH-TWICE","path":"teeth[1]","text":"tooth 11 is listed twice"}`
	if string(got) != want {
		t.Errorf("got %s", got)
	}
	if f.Message() != "fault.case-tooth-twice" || f.Args["Tooth"] != "11" {
		t.Errorf("got %q %v", f.Message(), f.Args)
	}
}

func TestWithDoesNotShareArgs(t *testing.T) {
	a := New("A", "", "x").With("K", "1")
	b := a.With("K", "2")
	if a.Args["K"] != "1" || b.Args["K"] != "2" {
		t.Error("With changed the fault it was called on")
	}
}

func TestErr(t *testing.T) {
	if (List{}).Err() != nil {
		t.Error("an empty list is not an error")
	}
	if err := (List{New("A", "", "x")}).Err(); err == nil || err.Error() != "A\t$\tx" {
		t.Errorf("got %v", err)
	}
}

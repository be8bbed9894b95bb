package strict

import (
	"bytes"
	"encoding/json"
	"io"
	"reflect"
	"strings"
	"testing"

	"plainleaf/app/fault"
)

type inner struct {
	Name  string   `json:"name"`
	Count int8     `json:"count"`
	Rate  *float64 `json:"rate"`
}

// word reads itself and refuses with a fault of its own.
type word string

func (w *word) UnmarshalText(b []byte) error {
	if string(b) == "bad" {
		return fault.New("OWN-CODE", "", "a bad word")
	}
	*w = word(b)
	return nil
}

type outer struct {
	Version int              `json:"version"`
	On      bool             `json:"on"`
	Word    word             `json:"word"`
	List    []inner          `json:"list"`
	One     *inner           `json:"one"`
	Map     map[string]inner `json:"map"`
	Any     map[string]any   `json:"any"`
	Raw     json.RawMessage  `json:"raw"`
	hidden  int
}

// lines gives code and path of each fault.
func lines(fl fault.List) string {
	var b strings.Builder
	for _, f := range fl {
		b.WriteString(f.Code + " " + f.Path + "\n")
	}
	return b.String()
}

func TestDecodeFaults(t *testing.T) {
	for _, c := range []struct{ name, in, want string }{
		{"good", `{"version":1,"on":true,"word":"x","list":[{"name":"a","count":-3,"rate":1.5}],"map":{"k":{"count":2}},"any":{"a":[1,"x",{"b":null}],"t":false},"raw":{"z":[1]}}`, ""},
		{"empty", "", "JSON-TRUNCATED $\n"},
		{"blank", " \n", "JSON-TRUNCATED $\n"},
		{"truncated in a list", `{"list":[{"name":"a"`, "JSON-TRUNCATED $\n"},
		{"truncated in a text", `{"word":"a`, "JSON-TRUNCATED $\n"},
		{"truncated in a word", `{"on":tru`, "JSON-TRUNCATED $\n"},
		{"trailing value", `{"version":1} {}`, "JSON-TRAILING $\n"},
		{"trailing bracket", `{"version":1}}`, "JSON-TRAILING $\n"},
		{"trailing comma", `{"version":1,}`, "JSON-SYNTAX $\n"},
		{"comment", `{"version":1 /* one */}`, "JSON-SYNTAX $\n"},
		{"single quotes", `{'version':1}`, "JSON-SYNTAX $\n"},
		{"NaN", `{"any":{"a":NaN}}`, "JSON-SYNTAX $\n"},
		{"leading zero", `{"version":01}`, "JSON-SYNTAX $\n"},
		{"raw control", "{\"word\":\"a\x00b\"}", "JSON-SYNTAX $\n"},
		{"bom", "\uFEFF{\"version\":1}", "JSON-BOM $\n"},
		{"utf-16", "\xff\xfe{\x00}\x00", "JSON-UTF8 $\nJSON-SYNTAX $\n"},
		{"bad utf-8 twice, and the rest is still read", "{\"word\":\"a\xff\xfeb\",\"list\":[{\"name\":\"\xc3(\",\"x\":1}]}", "JSON-UTF8 word\nJSON-UTF8 list[0].name\nJSON-UNKNOWN-KEY list[0].x\n"},
		{"bad utf-8 in a key and where it is truncated", "{\"on\":true,\"\xff\":1", "JSON-UTF8 $\nJSON-TRUNCATED $\n"},
		{"bad utf-8 in a key", "{\"any\":{\"\xff\":1}}", "JSON-UTF8 any[\"\uFFFD\"]\n"},
		{"duplicate keys", `{"version":1,"list":[{},{"name":"a","name":"b"}],"version":2}`, "JSON-DUPLICATE-KEY list[1].name\nJSON-DUPLICATE-KEY version\n"},
		{"duplicate by escape", `{"version":1,"\u0076ersion":2}`, "JSON-DUPLICATE-KEY version\n"},
		{"duplicate in a map and below an unknown key", `{"map":{"a":{},"a":{}},"zz":{"q":1,"q":2}}`, "JSON-DUPLICATE-KEY map.a\nJSON-UNKNOWN-KEY zz\nJSON-DUPLICATE-KEY zz.q\n"},
		{"unknown keys", `{"versions":1,"list":[{"nam":"x"}],"":1,"hidden":1}`, "JSON-UNKNOWN-KEY versions\nJSON-UNKNOWN-KEY list[0].nam\nJSON-UNKNOWN-KEY [\"\"]\nJSON-UNKNOWN-KEY hidden\n"},
		{"letter case, and what is inside", `{"Version":"x","LIST":[{"name":1}]}`, "JSON-KEY-CASE Version\nJSON-TYPE Version\nJSON-KEY-CASE LIST\nJSON-TYPE LIST[0].name\n"},
		{"types", `{"version":"1","on":1,"word":1,"list":{},"one":[],"map":[],"any":"x"}`, "JSON-TYPE version\nJSON-TYPE on\nJSON-TYPE word\nJSON-TYPE list\nJSON-TYPE one\nJSON-TYPE map\nJSON-TYPE any\n"},
		{"types in a list", `{"list":[1,{"name":true,"count":1.5,"rate":"x"},null,[{}]]}`, "JSON-TYPE list[0]\nJSON-TYPE list[1].name\nJSON-TYPE list[1].count\nJSON-TYPE list[1].rate\nJSON-TYPE list[2]\nJSON-TYPE list[3]\n"},
		{"null", `{"version":null,"one":null,"list":null,"word":null}`, "JSON-TYPE version\nJSON-TYPE one\nJSON-TYPE list\nJSON-TYPE word\n"},
		{"top is a list", `[1]`, "JSON-TYPE $\n"},
		{"top is null", `null`, "JSON-TYPE $\n"},
		{"range", `{"version":99999999999999999999,"list":[{"count":128,"rate":1e999}],"any":{"a":1e999}}`, "JSON-RANGE version\nJSON-RANGE list[0].count\nJSON-RANGE list[0].rate\nJSON-RANGE any.a\n"},
		{"exponent is not a whole number here", `{"version":1e3}`, "JSON-TYPE version\n"},
		{"own code", `{"word":"bad"}`, "OWN-CODE word\n"},
		{"control by escape", `{"list":[{"name":"a\u0000b"},{"name":"a\nb"},{"name":"\u0085"},{"name":"\u2028"}]}`, "JSON-CONTROL list[0].name\nJSON-CONTROL list[1].name\nJSON-CONTROL list[2].name\nJSON-CONTROL list[3].name\n"},
		{"bidi override and isolate", `{"any":{"a":"\u202egpj","b":["\u2066x"]}}`, "JSON-CONTROL any.a\nJSON-CONTROL any.b[0]\n"},
		{"direction marks are text", `{"list":[{"name":"\u200fא\u200e\u061c"}]}`, ""},
		{"surrogates", `{"list":[{"name":"\ud83d\ude00"},{"name":"\ud83d"},{"name":"\ude00\ud83d"},{"name":"\ud83dx"},{"name":"\\ud83d"}]}`, "JSON-SURROGATE list[1].name\nJSON-SURROGATE list[2].name\nJSON-SURROGATE list[3].name\n"},
		{"surrogate in a key", `{"any":{"\udead":1}}`, "JSON-SURROGATE any[\"\uFFFD\"]\n"},
		{"text in raw is checked", `{"raw":{"a":"\u0000","b":1,"b":2}}`, "JSON-CONTROL raw.a\nJSON-DUPLICATE-KEY raw.b\n"},
		{"deep", `{"any":` + strings.Repeat("[", MaxDepth) + strings.Repeat("]", MaxDepth) + `}`, "JSON-DEPTH $\n"},
		{"deep and never closed", strings.Repeat(`[`, 500_000), "JSON-DEPTH $\n"},
		{"brackets in a text are not depth", `{"word":"` + strings.Repeat("[", 99) + `\"` + strings.Repeat("{", 99) + `"}`, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			var v outer
			faults, _ := Decode([]byte(c.in), &v)
			if got := lines(faults); got != c.want {
				t.Errorf("got\n%swant\n%s", got, c.want)
			}
		})
	}
}

// What is good must be read as encoding/json reads it.
func TestDecodeAgreesWithEncodingJSON(t *testing.T) {
	in := []byte(` {"version": -0, "on":true, "word":"\u00e9\"\\\/", "list":[{"name":"a","count":-3,"rate":1.5e2},{}],
		"one":{"rate":0}, "map":{"k":{"count":2},"l":{}}, "any":{"a":[1,"x",{"b":null}],"t":false,"e":[],"o":{}}, "raw": {"z": [1, 2]} } `)
	var got, want outer
	if faults, ok := Decode(in, &got); len(faults) > 0 || !ok {
		t.Fatal(faults.Lines())
	}
	if err := json.Unmarshal(in, &want); err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("got  %+v\nwant %+v", got, want)
	}
}

func TestDecodeKeepsWhatIsRight(t *testing.T) {
	var v outer
	_, ok := Decode([]byte(`{"version":"x","on":true,"list":[{"name":1,"count":7}]}`), &v)
	if !ok || !v.On || len(v.List) != 1 || v.List[0].Count != 7 {
		t.Errorf("ok %v, read %+v", ok, v)
	}
	for _, in := range []string{"", "[1]", "{", "3"} {
		if _, ok := Decode([]byte(in), &v); ok {
			t.Errorf("%q: ok", in)
		}
	}
}

func TestTextNamesByteAndExpectation(t *testing.T) {
	var v outer
	faults, _ := Decode([]byte("{ \"word\": \"a\xff\",\"on\":12,\"version\":{}}"), &v)
	for i, want := range []string{"not UTF-8 at byte 12", "found the number 12, expected true or false", "found an object, expected a whole number"} {
		if faults[i].Text != want {
			t.Errorf("got %q, want %q", faults[i].Text, want)
		}
	}
}

func TestManyFaultsAreCut(t *testing.T) {
	var v outer
	faults, ok := Decode([]byte(`{"list":[`+strings.Repeat("1,", 100_000)+`1]}`), &v)
	if len(faults) != MaxFaults+1 || faults[MaxFaults].Code != "JSON-MORE" || !ok {
		t.Errorf("%d faults, last %v", len(faults), faults[len(faults)-1])
	}
}

// counter gives endless zeros and counts what was taken.
type counter int

func (c *counter) Read(b []byte) (int, error) {
	*c += counter(len(b))
	return len(b), nil
}

func TestReadStopsAtOneMebibyte(t *testing.T) {
	var c counter
	_, faults := Read(&c)
	if !faults.Has("JSON-SIZE") {
		t.Errorf("got %v", faults)
	}
	if c > MaxBytes+1 {
		t.Errorf("read %d bytes, want at most %d", c, MaxBytes+1)
	}
	data, faults := Read(bytes.NewReader(make([]byte, MaxBytes)))
	if len(data) != MaxBytes || len(faults) > 0 {
		t.Errorf("%d bytes, %v", len(data), faults)
	}
	if _, faults := Read(io.MultiReader(strings.NewReader("{"), failing{})); !faults.Has("JSON-READ") {
		t.Errorf("got %v", faults)
	}
	if faults, ok := Decode(make([]byte, 20_000_000), &outer{}); !faults.Has("JSON-SIZE") || ok {
		t.Errorf("got %v", faults)
	}
}

type failing struct{}

func (failing) Read([]byte) (int, error) { return 0, io.ErrUnexpectedEOF }

func FuzzDecode(f *testing.F) {
	f.Add([]byte(`{"version":1,"list":[{"name":"a","rate":1}],"any":{"a":["\ud83d\ude00",null]},"map":{"k":{}}}`))
	f.Add([]byte(`{"Version":1,"word":"\ude00","raw":[1,{"a":2}]} x`))
	f.Fuzz(func(t *testing.T, data []byte) {
		var got, want outer
		faults, ok := Decode(data, &got)
		if len(faults) > 0 {
			return
		}
		if err := json.Unmarshal(data, &want); err != nil || !ok {
			t.Fatalf("accepted %q, which encoding/json refuses: %v", data, err)
		}
		a, _ := json.Marshal(got)
		b, _ := json.Marshal(want)

		if !bytes.Equal(a, b) {
			t.Fatalf("%q: got %s, encoding/json %s", data, a, b)
		}
	})
}

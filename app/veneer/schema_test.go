package veneer

import (
	"encoding"
	"encoding/json"
	"os"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
)

const schemaDir = "../../content/schema/"

type node struct {
	Ref        string           `json:"$ref"`
	Type       string           `json:"type"`
	Const      any              `json:"const"`
	Enum       []string         `json:"enum"`
	Properties map[string]*node `json:"properties"`
	Required   []string         `json:"required"`
	Additional json.RawMessage  `json:"additionalProperties"`
	Items      *node            `json:"items"`
	Defs       map[string]*node `json:"$defs"`
}

// walk compares a schema with a Go type, both ways.
type walk struct {
	t    *testing.T
	root *node
	seen map[string]bool // definitions met
}

func (w *walk) at(path string, n *node, t reflect.Type) {
	if t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	if name, isRef := strings.CutPrefix(n.Ref, "#/$defs/"); isRef {
		w.seen[name] = true
		n = w.root.Defs[name]
		if n == nil {
			w.t.Errorf("%s: no definition %q", path, name)
			return
		}
	}
	want := map[reflect.Kind]string{reflect.Struct: "object", reflect.Map: "object", reflect.Slice: "array", reflect.String: "string",
		reflect.Bool: "boolean", reflect.Int: "integer", reflect.Int64: "integer", reflect.Float64: "number"}[t.Kind()]
	if reflect.PointerTo(t).Implements(reflect.TypeFor[encoding.TextUnmarshaler]()) {
		want = "string"
	}
	switch {
	case len(n.Enum) > 0 && want == "string", n.Const != nil && want == "integer":
	case n.Type != want:
		w.t.Errorf("%s: the schema has type %q, Go wants %q", path, n.Type, want)
		return
	}
	switch {
	case want == "array":
		w.at(path+"[]", n.Items, t.Elem())
	case t.Kind() == reflect.Map:
		var elem node
		if err := json.Unmarshal(n.Additional, &elem); err != nil {
			w.t.Errorf("%s: additionalProperties: %v", path, err)
		} else if t.Elem().Kind() != reflect.Interface {
			w.at(path+".*", &elem, t.Elem())
		}
	case want == "object":
		w.object(path, n, t)
	}
}

func (w *walk) object(path string, n *node, t reflect.Type) {
	if string(n.Additional) != "false" {
		w.t.Errorf("%s: the schema lets unknown keys pass", path)
	}
	names := map[string]bool{}
	for f := range t.Fields() {
		name, options, _ := strings.Cut(f.Tag.Get("json"), ",")
		names[name] = true
		p := n.Properties[name]
		if p == nil {
			w.t.Errorf("%s: the schema has no key %q", path, name)
			continue
		}
		if slices.Contains(n.Required, name) && options != "" && f.Type.Kind() != reflect.Pointer {
			w.t.Errorf("%s.%s: required by the schema, yet left out when empty", path, name)
		}
		w.at(path+"."+name, p, f.Type)
	}
	for name := range n.Properties {
		if !names[name] {
			w.t.Errorf("%s: the schema has a key %q that Go does not", path, name)
		}
	}
}

func readSchema(t *testing.T, name string) *node {
	t.Helper()
	data, err := os.ReadFile(schemaDir + name)
	if err != nil {
		t.Fatal(err)
	}
	var n node
	if err := json.Unmarshal(data, &n); err != nil {
		t.Fatal(err)
	}
	return &n
}

func TestSchemasAgreeWithTheTypes(t *testing.T) {
	for name, typ := range map[string]reflect.Type{"case.json": reflect.TypeFor[Case](), "practice.json": reflect.TypeFor[Practice]()} {
		w := &walk{t, readSchema(t, name), map[string]bool{}}
		w.at(name, w.root, typ)
		for def := range w.root.Defs {
			// The three that are reached through free values only.
			if !w.seen[def] && def != "plural_forms" && def != "locale" && def != "sentences" {
				t.Errorf("%s: nothing uses the definition %q", name, def)
			}
		}
	}
}

func texts[T ~string](list []T) []string {
	var out []string
	for _, x := range list {
		out = append(out, string(x))
	}
	return out
}

func TestSchemasListWhatTheChecksList(t *testing.T) {
	c, p := readSchema(t, "case.json"), readSchema(t, "practice.json")
	people := c.Defs["people"].Properties
	for name, x := range map[string]struct {
		n    *node
		want []string
	}{
		"route":       {c.Defs["route"], texts(Routes())},
		"material":    {c.Defs["material"], texts(Materials())},
		"shade":       {c.Defs["shade"], texts(Shades())},
		"numbering":   {c.Properties["numbering"], numberings},
		"detail":      {c.Properties["detail"], details},
		"stage":       {c.Properties["stage"], texts(stages)},
		"answer":      {c.Defs["answer_entry"].Properties["answer"], texts(answers)},
		"age band":    {people["age_band"], ageBands},
		"decides":     {people["decides"], deciders},
		"assent":      {people["assent"], assents},
		"interpreter": {people["interpreter"], interpreter},
		"way":         {people["interpreter_way"], ways},
		"state":       {c.Defs["tooth_state"].Properties["state"], toothStates},
		"seen":        {c.Defs["seen"], seen},
		"day":         {p.Properties["opening_days"].Items, Weekdays()},
		"lab day":     {p.Properties["laboratory_days"].Items, Weekdays()},
		"waiver":      {p.Properties["waivers"].Items, Waivable()},
		"sheet":       {p.Defs["sign_off"].Properties["sheet"], append([]string{"all"}, SheetKinds()...)},
	} {
		if !slices.Equal(x.n.Enum, x.want) {
			t.Errorf("%s: the schema lists %v, the checks %v", name, x.n.Enum, x.want)
		}
	}
}

// compile gives a published schema, with formats such as date asserted.
func compile(t *testing.T, name string) *jsonschema.Schema {
	t.Helper()
	c := jsonschema.NewCompiler()
	c.AssertFormat()
	s, err := c.Compile(schemaDir + name)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func valid(t *testing.T, s *jsonschema.Schema, data string) error {
	t.Helper()
	v, err := jsonschema.UnmarshalJSON(strings.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	return s.Validate(v)
}

func TestSchemasJudgeAsTheReaderDoes(t *testing.T) {
	c, p := compile(t, "case.json"), compile(t, "practice.json")
	if err := valid(t, c, design); err != nil {
		t.Error(err)
	}
	if err := valid(t, p, practice); err != nil {
		t.Error(err)
	}
	for _, pair := range [][2]string{
		{`"version": 1`, `"version": 2`}, {`"tooth": "21"`, `"tooth": "51"`}, {`"tooth": "21"`, `"tooth": 21`},
		{`"tooth": "21"`, `"tooth": "21", "colour": "A1"`}, {`"2026-12-01"`, `"2026-02-30"`}, {`"no-prep"`, `"no-drill"`},
		{`"A1"`, `"A5"`}, {`"ask"`, `"maybe"`}, {end, `"horizon_years": 31`}, {end, `"horizon_years": 0`}, {end, `"id": "a b"`}, {`"start": "2026-12-01",`, ``},
		{end, `"questions": [{"asked": ""}]`}, {end, `"tryin": [{"sitting": 0}]`}, {`"bruxism"`, `"tight-contacts"`},
		{end, `"visits": [{"key": "review"}]`}, {end, `"visits": [{"key": "review", "date": "2026-12-29", "time": "24:00"}]`}, {end, `"visits": [{"key": "Review", "date": "2026-12-29"}]`},
		{end, `"visits": [{"key": "review", "date": "2026-12-29", "number": 100}]`}, {end, `"calendar": {"sequence": -1, "given": []}`},
		{end, `"calendar": {"sequence": 0, "given": [{"id": "a b", "date": "2026-12-29"}]}`}, {end, `"visits": [{"key": "review", "date": "2026-12-29", "teeth": []}]`},
		// A key that may be left out, and is there, says something.
		{end, `"id": ""`}, {end, `"stage": ""`}, {end, `"detail": ""`}, {`"es"`, `""`}, {`"A1"`, `""`}, {`"lithium-disilicate"`, `""`}, {end, `"numbering": ""`},
		{`"tooth": "21"`, `"tooth": "21", "material": ""`}, {`"tooth": "21"`, `"tooth": "21", "route": ""`}, {`"C4"`, `""`}, {end, `"people": {"decides": ""}`},
		{end, `"departures": [{"change": "facial-contouring", "size_mm": 0}]`}, {end, `"departures": [{"change": "facial-contouring", "date": ""}]`},
		{end, `"tryin": [{"sitting": 1, "shade": ""}]`}, {end, `"advice": {"route": "", "reason": "x"}`}, {end, `"calendar": {"id": ""}`},
		{end, `"visits": [{"key": "review", "date": "2026-12-29", "number": 0}]`}, {end, `"visits": [{"key": "review", "date": "2026-12-29", "time": ""}]`},
	} {
		in := change(t, design, pair[0], pair[1])
		if _, faults := ReadCase([]byte(in), word); valid(t, c, in) == nil || len(faults) == 0 {
			t.Errorf("%s: the schema finds %v, the reader %v", pair[1], valid(t, c, in), faults)
		}
	}
	for _, pair := range [][2]string{
		{`"Demo"`, `""`}, {`"+1 202-555-0101"`, `"call us"`}, {`"EUR"`, `"Eur"`}, {`"currency": "EUR",`, ``}, {`90000`, `-1`},
		{`"tue"`, `"tuesday"`}, {`"Europe/Madrid"`, `"CEST"`}, {`"https:`, `"http:`}, {`"likely": 45, `, ``}, {`"a.b": "x"`, `"a.b": 1`},
		{`"es 0123456789abcdef"`, `"0123456789abcdef"`}, {`"es 0123456789abcdef"`, `"es 0123456789abcde"`},
		{`, "other": "y"`, ``}, {`"when": "2026-11-01"`, `"when": "2026-11-31"`},
		{`"version": 1`, `"version": 3`}, {`"version": 1`, `"version": 0`}, {`"name": "Demo",`, `"name": "Demo", "waivers": ["money"],`}, {`"name": "Demo",`, `"name": "Demo", "waivers": ["questions", "questions"],`},
		{`"name": "Demo",`, `"name": "Demo", "confirmed": ["Name"],`}, {`"name": "Demo",`, `"name": "Demo", "approved": {"en": {"a.b": "0123"}},`}, {`"name": "Demo",`, `"name": "Demo", "in_service": {"en": {"a.b": 1}},`},
		{`"Europe/Madrid"`, `""`}, {`"https://practice.example/plainleaf/"`, `""`},
	} {
		in := change(t, practice, pair[0], pair[1])
		if _, faults := ReadPractice([]byte(in), word); valid(t, p, in) == nil || len(faults) == 0 {
			t.Errorf("%s: the schema finds %v, the reader %v", pair[1], valid(t, p, in), faults)
		}
	}
}

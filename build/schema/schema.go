// Package schema compares the published JSON Schemas in content/schema with the
// types that read and write the files, for tests: a key that one side has and the
// other has not is a fault.
package schema

import (
	"bytes"
	"cmp"
	"encoding"
	"encoding/json"
	"os"
	"path/filepath"
	"reflect"
	"runtime"
	"slices"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
)

// root is the top folder of the repository, wherever a test runs.
func root() string {
	_, file, _, _ := runtime.Caller(0)
	return filepath.Join(filepath.Dir(file), "..", "..")
}

func path(name string) string { return filepath.Join(root(), "content", "schema", name) }

// Compile gives a published schema, with formats such as date asserted. name may
// end in a JSON pointer, such as "case.json#/$defs/event".
func Compile(t testing.TB, name string) *jsonschema.Schema {
	t.Helper()
	c := jsonschema.NewCompiler()
	c.AssertFormat()
	s, err := c.Compile(path(name))
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// Validate judges a document.
func Validate(t testing.TB, s *jsonschema.Schema, data []byte) error {
	t.Helper()
	v, err := jsonschema.UnmarshalJSON(bytes.NewReader(data))
	if err != nil {
		t.Fatalf("%v in %.200s", err, data)
	}
	return s.Validate(v)
}

// node is the part of a schema that Agree looks at.
type node struct {
	Ref        string           `json:"$ref"`
	Type       any              `json:"type"`
	Const      any              `json:"const"`
	Enum       []any            `json:"enum"`
	AnyOf      []*node          `json:"anyOf"`
	OneOf      []*node          `json:"oneOf"`
	Properties map[string]*node `json:"properties"`
	Required   []string         `json:"required"`
	Additional json.RawMessage  `json:"additionalProperties"`
	Items      *node            `json:"items"`

	file string
}

// walk compares schemas with Go types, both ways.
type walk struct {
	t      testing.TB
	always bool
	met    map[string]bool // references that were followed, with the type
}

// Agree compares a schema with the type of its documents key by key, whatever it
// refers to included. With always, a key that the program always writes is one that
// the schema requires.
func Agree(t testing.TB, name string, typ reflect.Type, always bool) {
	t.Helper()
	w := &walk{t: t, always: always, met: map[string]bool{}}
	w.at(name, w.load(name), typ)
	if file, pointer, _ := strings.Cut(name, "#"); pointer == "" {
		w.used(file)
	}
}

// load reads a part of a schema file.
func (w *walk) load(name string) *node {
	w.t.Helper()
	file, pointer, _ := strings.Cut(name, "#")
	data, err := os.ReadFile(path(file))
	if err != nil {
		w.t.Fatal(err)
	}
	for _, key := range strings.Split(pointer, "/")[1:] {
		var in map[string]json.RawMessage
		if err := json.Unmarshal(data, &in); err != nil {
			w.t.Fatal(err)
		}
		data = in[key]
	}
	var n node
	if err := json.Unmarshal(data, &n); err != nil {
		w.t.Fatalf("%s: %v", name, err)
	}
	n.in(file)
	return &n
}

// in says which file a part and all in it is from.
func (n *node) in(file string) {
	if n == nil {
		return
	}
	n.file = file
	n.Items.in(file)
	for _, list := range [][]*node{n.AnyOf, n.OneOf} {
		for _, x := range list {
			x.in(file)
		}
	}
	for _, x := range n.Properties {
		x.in(file)
	}
}

// follow gives the part that n refers to.
func (w *walk) follow(n *node) *node {
	for n.Ref != "" {
		file, pointer, _ := strings.Cut(n.Ref, "#")
		n = w.load(cmp.Or(file, n.file) + "#" + pointer)
	}
	return n
}

var (
	readsText = reflect.TypeFor[encoding.TextUnmarshaler]()
	writes    = reflect.TypeFor[json.Marshaler]()
)

// kind is the type of JSON value that a Go type is written as; "" for one that
// writes itself.
func kind(t reflect.Type) string {
	switch {
	case reflect.PointerTo(t).Implements(writes):
		return ""
	case reflect.PointerTo(t).Implements(readsText):
		return "string"
	}
	return map[reflect.Kind]string{reflect.Struct: "object", reflect.Map: "object", reflect.Slice: "array", reflect.Array: "array",
		reflect.String: "string", reflect.Bool: "boolean", reflect.Int: "integer", reflect.Int64: "integer", reflect.Float64: "number"}[t.Kind()]
}

// takes reports whether n lets a value of a JSON type pass, by what it says of types.
func (w *walk) takes(n *node, want string) bool {
	n = w.follow(n)
	for _, x := range slices.Concat(n.AnyOf, n.OneOf) {
		if w.takes(x, want) {
			return true
		}
	}
	list, several := n.Type.([]any)
	switch {
	case several:
		return slices.Contains(list, any(want))
	case n.Type != nil:
		return n.Type == want
	case len(n.Enum) > 0:
		_, text := n.Enum[0].(string)
		return text == (want == "string")
	}
	_, number := n.Const.(float64)
	return number && want == "integer" || n.Const != nil && !number && want == "string"
}

func (w *walk) at(path string, n *node, t reflect.Type) {
	if t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	if n.Ref != "" { // each once for each type: a type may hold itself
		key := n.file + n.Ref + t.String()
		if w.met[key] {
			return
		}
		w.met[key] = true
		n = w.follow(n)
	}
	want := kind(t)
	switch {
	case want == "":
		return
	case !w.takes(n, want):
		w.t.Errorf("%s: the schema does not take the %s that Go has", path, want)
		return
	}
	switch {
	case want == "array" && n.Items == nil:
		w.t.Errorf("%s: the schema says nothing of the items", path)
	case want == "array":
		w.at(path+"[]", n.Items, t.Elem())
	case t.Kind() == reflect.Map:
		w.values(path, n, t.Elem())
	case want == "object":
		w.object(path, n, t)
	}
}

// values looks at what any key of an object may have.
func (w *walk) values(path string, n *node, t reflect.Type) {
	var elem node
	if err := json.Unmarshal(n.Additional, &elem); err != nil {
		w.t.Errorf("%s: additionalProperties: %v", path, err)
		return
	}
	elem.in(n.file)
	if t.Kind() != reflect.Interface {
		w.at(path+".*", &elem, t)
	}
}

func (w *walk) object(path string, n *node, t reflect.Type) {
	if string(n.Additional) != "false" {
		w.t.Errorf("%s: the schema lets unknown keys pass", path)
	}
	names := map[string]bool{}
	for _, f := range reflect.VisibleFields(t) {
		if f.Anonymous || !f.IsExported() {
			continue
		}
		name, options, _ := strings.Cut(f.Tag.Get("json"), ",")
		if name == "-" {
			continue
		}
		name = cmp.Or(name, f.Name)
		names[name] = true
		p := n.Properties[name]
		required := slices.Contains(n.Required, name)
		switch {
		case p == nil:
			w.t.Errorf("%s: the schema has no key %q", path, name)
			continue
		case required && options != "" && f.Type.Kind() != reflect.Pointer:
			w.t.Errorf("%s.%s: required by the schema, yet left out when empty", path, name)
		case !required && options == "" && w.always:
			w.t.Errorf("%s.%s: always written, yet not required by the schema", path, name)
		}
		w.at(path+"."+name, p, f.Type)
	}
	for name := range n.Properties {
		if !names[name] {
			w.t.Errorf("%s: the schema has a key %q that Go does not", path, name)
		}
	}
}

// used reports definitions that nothing refers to, in this file or another.
func (w *walk) used(name string) {
	var top struct {
		Defs map[string]any `json:"$defs"`
	}
	all := map[string][]byte{}
	files, _ := filepath.Glob(path("*.json"))
	for _, file := range files {
		data, err := os.ReadFile(file)
		if err != nil {
			w.t.Fatal(err)
		}
		all[filepath.Base(file)] = data
	}
	if err := json.Unmarshal(all[name], &top); err != nil {
		w.t.Fatal(err)
	}
	for def := range top.Defs {
		ref := "#/$defs/" + def
		used := false
		for file, data := range all {
			used = used || bytes.Contains(data, []byte(`"`+name+ref)) || file == name && bytes.Contains(data, []byte(`"`+ref+`"`))
		}
		if !used {
			w.t.Errorf("%s: nothing uses the definition %q", name, def)
		}
	}
}

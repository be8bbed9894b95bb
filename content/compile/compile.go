// Package compile turns the TOML files of content/ into one evidence base and
// into the JSON that package content embeds. It is native only: it keeps the
// TOML decoder out of the built app.
package compile

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"path"
	"reflect"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"github.com/BurntSushi/toml"

	"plainleaf/app/evidence"
	"plainleaf/app/fault"
	"plainleaf/content"
)

// lists maps a table name of the TOML files to the list of the base it fills.
var lists = map[string]string{
	"source": "sources", "figure": "figures", "care": "cares", "finding": "findings", "change": "changes", "route": "routes",
	"material": "materials", "risk": "risks", "cohort": "cohorts", "pool": "pools", "anchor": "anchors", "modifier": "modifiers", "upkeep": "upkeep",
	"line": "lines", "warning": "warnings", "country": "countries", "priority": "priorities", "enamel": "enamel", "tab": "tabs",
	"mask": "masking", "reference": "references",
}

// scalars are the keys a file may set once beside its rows.
var scalars = []string{"version", "reviewed", "next_review", "tab_origin", "show_risk", "settings"}

// origin is where a row of the base comes from.
type origin struct {
	file string // relative to content/
	row  int    // counted from 0 within the file
}

// Dir compiles every *.toml file below fsys, which is the content folder, and
// checks the result. Fault paths name the file and its row, counted from 0:
// content/figures/visits.toml[3].source. The base is returned with the faults,
// as far as it could be read.
func Dir(fsys fs.FS) (*evidence.Base, fault.List) {
	var out fault.List
	var files []string
	err := fs.WalkDir(fsys, ".", func(p string, d fs.DirEntry, err error) error {
		if err == nil && !d.IsDir() && path.Ext(p) == ".toml" {
			files = append(files, p)
		}
		return err
	})
	if err != nil {
		out.Add("CONTENT-READ", "content", "%v", err)
	}
	slices.Sort(files)

	base := &evidence.Base{}
	origins := map[string][]origin{}
	set := map[string]string{} // scalar -> file that set it
	for _, name := range files {
		data, err := fs.ReadFile(fsys, name)
		if err != nil {
			out.Add("CONTENT-READ", "content/"+name, "%v", err)
			continue
		}
		readFile(base, name, data, origins, set, &out)
	}
	var wrong fault.List
	pools(base, &wrong)
	for _, f := range append(wrong, content.Check(base)...) {
		f.Path = rewrite(f.Path, origins, set)
		out.Append(f)
	}
	return base.Index(), out
}

func readFile(base *evidence.Base, name string, data []byte, origins map[string][]origin, set map[string]string, out *fault.List) {
	where := "content/" + name
	var tree map[string]any
	if _, err := toml.Decode(string(data), &tree); err != nil {
		var p toml.ParseError
		if errors.As(err, &p) {
			where += ":" + strconv.Itoa(p.Position.Line)
		}
		out.Add("CONTENT-TOML", where, "%v", err)
		return
	}
	keys := make([]string, 0, len(tree))
	for k := range tree {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	tables := 0
	for _, k := range keys {
		target := reflect.ValueOf(base).Elem()
		if slices.Contains(scalars, k) {
			if first, twice := set[k]; twice {
				out.Add("CONTENT-TWICE", where+":"+k, "already set in content/%s", first)
				continue
			}
			set[k] = name
			fill(field(target, k), tree[k], where+":"+k, out)
			continue
		}
		list, ok := lists[k]
		rows, isRows := tree[k].([]map[string]any)
		if !ok || !isRows {
			out.Add("CONTENT-UNKNOWN", where+":"+k, "no such table; rows are written [[%s]]", k)
			continue
		}
		if tables++; tables > 1 {
			out.Add("CONTENT-MIXED", where+":"+k, "one file holds rows of one kind")
			continue
		}
		slice := field(target, list)
		for i, row := range rows {
			v := reflect.New(slice.Type().Elem()).Elem()
			fill(v, row, fmt.Sprintf("%s[%d]", where, i), out)
			if f, ok := v.Addr().Interface().(*evidence.Figure); ok {
				f.Topic = strings.TrimSuffix(path.Base(name), ".toml")
			}
			slice.Set(reflect.Append(slice, v))
			origins[list] = append(origins[list], origin{name, i})
		}
	}
}

// field is the field of struct v with the JSON name key; invalid when there is none.
func field(v reflect.Value, key string) reflect.Value {
	t := v.Type()
	for i := range t.NumField() {
		if name, _, _ := strings.Cut(t.Field(i).Tag.Get("json"), ","); name == key && t.Field(i).IsExported() {
			return v.Field(i)
		}
	}
	return reflect.Value{}
}

// fill puts a TOML value into v by way of JSON, after a check that every key is
// one that v has, in exactly this spelling (encoding/json would take any case).
func fill(v reflect.Value, x any, where string, out *fault.List) {
	n := len(*out)
	unknown(v.Type(), x, where, out)
	if len(*out) > n {
		return
	}
	data, err := json.Marshal(x)
	if err != nil {
		out.Add("CONTENT-TYPE", where, "%v", err)
		return
	}
	d := json.NewDecoder(bytes.NewReader(data))
	d.DisallowUnknownFields()
	if err := d.Decode(v.Addr().Interface()); err != nil {
		out.Add("CONTENT-TYPE", where, "%v", err)
	}
}

func unknown(t reflect.Type, x any, where string, out *fault.List) {
	switch x := x.(type) {
	case map[string]any:
		if t.Kind() != reflect.Struct {
			return
		}
		keys := make([]string, 0, len(x))
		for k := range x {
			keys = append(keys, k)
		}
		slices.Sort(keys)
		for _, k := range keys {
			f := field(reflect.New(t).Elem(), k)
			if !f.IsValid() {
				out.Add("CONTENT-UNKNOWN", where+"."+k, "no such key")
				continue
			}
			unknown(f.Type(), x[k], where+"."+k, out)
		}
	case []map[string]any:
		for i, y := range x {
			if t.Kind() == reflect.Slice {
				unknown(t.Elem(), y, fmt.Sprintf("%s[%d]", where, i), out)
			}
		}
	case []any:
		for i, y := range x {
			if t.Kind() == reflect.Slice {
				unknown(t.Elem(), y, fmt.Sprintf("%s[%d]", where, i), out)
			}
		}
	}
}

var rowPath = regexp.MustCompile(`^([a-z]+)\[(\d+)\](.*)$`)

// rewrite turns a path into the base, such as figures[12].source, into one into
// the TOML files.
func rewrite(p string, origins map[string][]origin, set map[string]string) string {
	if m := rowPath.FindStringSubmatch(p); m != nil {
		i, _ := strconv.Atoi(m[2])
		if o := origins[m[1]]; i < len(o) {
			return fmt.Sprintf("content/%s[%d]%s", o[i].file, o[i].row, m[3])
		}
	}
	root, _, _ := strings.Cut(p, ".")
	if file, ok := set[root]; ok {
		return "content/" + file + ":" + p
	}
	return "content:" + p
}

// JSON is the base as package content embeds it: one row a line, so that a
// change to one figure is a change to one line. Same base, same bytes.
func JSON(b *evidence.Base) ([]byte, error) {
	var out bytes.Buffer
	v := reflect.ValueOf(b).Elem()
	out.WriteString("{")
	first := true
	for i := range v.NumField() {
		name, opt, _ := strings.Cut(v.Type().Field(i).Tag.Get("json"), ",")
		if name == "" || opt == "omitempty" && v.Field(i).IsZero() {
			continue
		}
		if !first {
			out.WriteString(",")
		}
		first = false
		fmt.Fprintf(&out, "\n%q: ", name)
		if v.Field(i).Kind() != reflect.Slice {
			if err := line(&out, v.Field(i).Interface()); err != nil {
				return nil, err
			}
			continue
		}
		out.WriteString("[")
		for j := range v.Field(i).Len() {
			if j > 0 {
				out.WriteString(",")
			}
			out.WriteString("\n")
			if err := line(&out, v.Field(i).Index(j).Interface()); err != nil {
				return nil, err
			}
		}
		out.WriteString("\n]")
	}
	out.WriteString("\n}\n")
	return out.Bytes(), nil
}

func line(out *bytes.Buffer, x any) error {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	if err := e.Encode(x); err != nil {
		return err
	}
	out.Write(bytes.TrimSuffix(b.Bytes(), []byte("\n")))
	return nil
}

// Package strict reads JSON that nobody has checked: files of other people,
// drafts, imports. encoding/json alone lets duplicate keys, keys in the wrong
// letter case, bad UTF-8 and lone surrogates pass; here each is a fault with a
// path, and one bad value never hides the next.
package strict

import (
	"bytes"
	"encoding"
	"encoding/json"
	"errors"
	"io"
	"reflect"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf16"
	"unicode/utf8"

	"plainleaf/app/fault"
	"plainleaf/app/safetext"
)

// Limits of an input. MaxFaults keeps a hostile file from making a report
// larger than itself; the last fault then says that there are more.
const (
	MaxBytes  = 1 << 20
	MaxDepth  = 32
	MaxFaults = 1000
)

// Read takes an input from a stream. It never reads more than MaxBytes + 1.
func Read(r io.Reader) ([]byte, fault.List) {
	data, err := io.ReadAll(io.LimitReader(r, MaxBytes+1))
	if err != nil {
		return nil, fault.List{fault.New("JSON-READ", "", "the input cannot be read: %v", err)}
	}
	if len(data) > MaxBytes {
		return nil, tooLarge()
	}
	return data, nil
}

func tooLarge() fault.List {
	return fault.List{fault.New("JSON-SIZE", "", "the input is larger than 1 MiB (%d bytes)", MaxBytes)}
}

// Decode reads one JSON value into the struct that into points to, by the json
// tags and rules of encoding/json, except that keys match exactly, null fits
// only an interface, and []byte and the "string" option are not known. A type
// with UnmarshalText or UnmarshalJSON reads itself; when its error is a
// fault.Fault, the code is kept. A field with the tag strict:"said" may be left
// out, but a key that is there says something: "" and 0 are faults.
//
// ok reports that the whole value could be walked, so that into holds whatever
// was right in it and further checks make sense. It is false for an input that
// is too large, too deep, not JSON, or not an object where a struct is wanted.
func Decode(data []byte, into any) (faults fault.List, ok bool) {
	if len(data) > MaxBytes {
		return tooLarge(), false
	}
	r := &reader{fields: map[reflect.Type]map[string][]int{}}
	if bytes.HasPrefix(data, []byte(bom)) {
		r.add("JSON-BOM", "", "the input starts with a byte order mark")
		r.base = len(bom)
		data = data[len(bom):]
	}
	if at := tooDeep(data); at >= 0 {
		r.badBytes("", data, r.base)
		r.add("JSON-DEPTH", "", "nested deeper than %d levels at byte %d", MaxDepth, r.base+at)
		return r.faults, false
	}
	// One pass for the syntax first, so that the walk meets no syntax error.
	dec := json.NewDecoder(bytes.NewReader(data))
	var raw json.RawMessage
	if err := dec.Decode(&raw); errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
		r.badBytes("", data, r.base)
		n, unit := r.base+len(data), "bytes"
		if n == 1 {
			unit = "byte"
		}
		r.add("JSON-TRUNCATED", "", "the input ends too early, after %d %s", n, unit)
		return r.faults, false
	} else if err != nil {
		at := int64(0)
		if syntax := (*json.SyntaxError)(nil); errors.As(err, &syntax) {
			at = syntax.Offset
		}
		r.badBytes("", data, r.base)
		r.add("JSON-SYNTAX", "", "not JSON at byte %d: %v", r.base+int(at), err)
		return r.faults, false
	}
	end := dec.InputOffset()
	if rest := bytes.TrimLeft(data[end:], " \t\r\n"); len(rest) > 0 {
		r.add("JSON-TRAILING", "", "something follows the value at byte %d", r.base+len(data)-len(rest))
	}
	r.data = data[:end]
	r.dec = json.NewDecoder(bytes.NewReader(r.data))
	r.dec.UseNumber()
	r.value("", reflect.ValueOf(into).Elem())
	return r.faults, !r.wrongTop
}

const bom = "\uFEFF"

type reader struct {
	data     []byte
	base     int // bytes before data
	dec      *json.Decoder
	broken   bool // a token could not be read; stops every loop
	wrongTop bool
	faults   fault.List
	fields   map[reflect.Type]map[string][]int
}

func (r *reader) add(code, path, format string, a ...any) {
	switch {
	case len(r.faults) < MaxFaults:
		r.faults.Add(code, path, format, a...)
	case len(r.faults) == MaxFaults:
		r.faults.Add("JSON-MORE", "", "more than %d faults; the rest is not listed", MaxFaults)
	}
}

// badBytes reports the first byte of data that is not UTF-8; data starts at byte base.
func (r *reader) badBytes(path string, data []byte, base int) {
	for i := 0; i < len(data); {
		c, n := utf8.DecodeRune(data[i:])
		if c == utf8.RuneError && n == 1 {
			r.add("JSON-UTF8", path, "not UTF-8 at byte %d", base+i)
			return
		}
		i += n
	}
}

// tooDeep gives the offset of the first bracket beyond MaxDepth, or -1.
func tooDeep(data []byte) int {
	depth, inText := 0, false
	for i := 0; i < len(data); i++ {
		switch c := data[i]; {
		case inText && c == '\\':
			i++
		case c == '"':
			inText = !inText
		case inText:
		case c == '{' || c == '[':
			if depth++; depth > MaxDepth {
				return i
			}
		case c == '}' || c == ']':
			depth--
		}
	}
	return -1
}

// token returns the next token and its own bytes.
func (r *reader) token() (json.Token, []byte) {
	start := r.dec.InputOffset()
	t, err := r.dec.Token()
	if err != nil {
		r.broken = true
		r.add("JSON-SYNTAX", "", "not JSON at byte %d: %v", r.dec.InputOffset(), err)
		return nil, nil
	}
	return t, bytes.TrimLeft(r.data[start:r.dec.InputOffset()], " \t\r\n,:")
}

func (r *reader) more() bool { return !r.broken && r.dec.More() }

// value reads the next value into v; an invalid v only checks and skips it.
func (r *reader) value(path string, v reflect.Value) {
	start := r.dec.InputOffset()
	t, raw := r.token()
	if r.broken {
		return
	}
	for v.IsValid() && v.Kind() == reflect.Pointer && t != nil {
		v.Set(reflect.New(v.Type().Elem()))
		v = v.Elem()
	}
	if v.IsValid() && v.CanAddr() {
		switch u := v.Addr().Interface().(type) {
		case json.Unmarshaler:
			r.body(path, t, raw, reflect.Value{})
			r.own(path, u.UnmarshalJSON(bytes.TrimLeft(r.data[start:r.dec.InputOffset()], " \t\r\n,:")))
			return
		case encoding.TextUnmarshaler:
			s, isText := t.(string)
			r.body(path, t, raw, reflect.Value{})
			if !isText {
				r.wrong(path, t, "text")
				return
			}
			r.own(path, u.UnmarshalText([]byte(s)))
			return
		}
	}
	r.body(path, t, raw, v)
}

// own reports the error of a type that reads itself.
func (r *reader) own(path string, err error) {
	if f := (fault.Fault{}); errors.As(err, &f) {
		r.add(f.Code, path, "%s", f.Text)
	} else if err != nil {
		r.add("JSON-VALUE", path, "%v", err)
	}
}

func (r *reader) wrong(path string, t json.Token, want string) {
	if path == "" {
		r.wrongTop = true
	}
	r.add("JSON-TYPE", path, "found %s, expected %s", found(t), want)
}

func found(t json.Token) string {
	switch t := t.(type) {
	case json.Delim:
		if t == '{' {
			return "an object"
		}
		return "a list"
	case string:
		return "text"
	case json.Number:
		return "the number " + t.String()
	case bool:
		return strconv.FormatBool(t)
	}
	return "null"
}

func expected(k reflect.Kind) string {
	switch k {
	case reflect.Struct, reflect.Map:
		return "an object"
	case reflect.Slice:
		return "a list"
	case reflect.String:
		return "text"
	case reflect.Bool:
		return "true or false"
	case reflect.Float32, reflect.Float64:
		return "a number"
	}
	return "a whole number"
}

// body reads the value that starts with t into v.
func (r *reader) body(path string, t json.Token, raw []byte, v reflect.Value) {
	k := v.Kind() // Invalid when skipping
	free := k == reflect.Interface
	fits := k == reflect.Invalid || free
	switch t := t.(type) {
	case json.Delim:
		r.nested(path, t, v)
		return
	case string:
		fits = fits || k == reflect.String
		r.text(path, t, raw)
		if free {
			v.Set(reflect.ValueOf(t))
		} else if k == reflect.String {
			v.SetString(t)
		}
	case json.Number:
		fits = r.number(path, t.String(), v) || fits
	case bool:
		fits = fits || k == reflect.Bool
		if free {
			v.Set(reflect.ValueOf(t))
		} else if k == reflect.Bool {
			v.SetBool(t)
		}
	}
	if !fits {
		r.wrong(path, t, expected(k))
	}
}

// nested reads the object or list that t opens into v.
func (r *reader) nested(path string, t json.Delim, v reflect.Value) {
	k := v.Kind()
	free := k == reflect.Invalid || k == reflect.Interface
	object := t == '{'
	if k == reflect.Interface && object {
		v.Set(reflect.ValueOf(map[string]any{}))
		v = v.Elem()
	}
	if fits := free || object && (k == reflect.Struct || k == reflect.Map) || !object && k == reflect.Slice; !fits {
		r.wrong(path, t, expected(k))
		v = reflect.Value{}
	}
	if object {
		r.object(path, v)
	} else {
		r.list(path, v)
	}
}

// number stores s and reports whether v is of a kind that s fits.
func (r *reader) number(path, s string, v reflect.Value) bool {
	var err error
	out := false
	switch v.Kind() {
	case reflect.Int, reflect.Int8, reflect.Int16, reflect.Int32, reflect.Int64:
		var n int64
		if n, err = strconv.ParseInt(s, 10, 64); err == nil {
			out = v.OverflowInt(n)
			v.SetInt(n)
		}
	case reflect.Uint, reflect.Uint8, reflect.Uint16, reflect.Uint32, reflect.Uint64:
		var n uint64
		if n, err = strconv.ParseUint(s, 10, 64); err == nil {
			out = v.OverflowUint(n)
			v.SetUint(n)
		}
	case reflect.Float32, reflect.Float64, reflect.Interface:
		var f float64
		if f, err = strconv.ParseFloat(s, 64); err != nil {
			break
		}
		if v.Kind() == reflect.Interface {
			if digits(s) != digits(strconv.FormatFloat(f, 'e', -1, 64)) {
				r.add("JSON-INEXACT", path, "the number %s is read otherwise by other programs", safetext.Cut(s))
			}
			v.Set(reflect.ValueOf(f))
		} else {
			v.SetFloat(f)
		}
	default:
		return false
	}
	if out || errors.Is(err, strconv.ErrRange) {
		r.add("JSON-RANGE", path, "the number %s is out of range", safetext.Cut(s))
		return true
	}
	return err == nil
}

// digits writes a number of JSON in one way only: its digits without zeros before
// and after, and the place of the point.
func digits(s string) string {
	sign := ""
	if s[0] == '-' {
		sign, s = "-", s[1:]
	}
	number, exp, _ := strings.Cut(strings.ToLower(s), "e")
	whole, part, _ := strings.Cut(number, ".")
	point, _ := strconv.Atoi(strings.TrimPrefix(exp, "+"))
	point += len(whole)
	d := strings.TrimLeft(whole+part, "0")
	point -= len(whole+part) - len(d)
	if d = strings.TrimRight(d, "0"); d == "" {
		return "0"
	}
	return sign + d + "e" + strconv.Itoa(point)
}

func (r *reader) object(path string, v reflect.Value) {
	if v.Kind() == reflect.Map && v.IsNil() {
		v.Set(reflect.MakeMap(v.Type()))
	}
	seen := map[string]bool{}
	for r.more() {
		t, raw := r.token()
		key, _ := t.(string)
		if r.broken {
			return
		}
		at := At(path, key)
		r.text(at, key, raw)
		if seen[key] {
			r.add("JSON-DUPLICATE-KEY", at, "this key stands twice in one object")
		}
		seen[key] = true
		switch v.Kind() {
		case reflect.Map:
			elem := reflect.New(v.Type().Elem()).Elem()
			r.value(at, elem)
			v.SetMapIndex(reflect.ValueOf(key).Convert(v.Type().Key()), elem)
		case reflect.Struct:
			f, said := r.field(at, key, v)
			before := len(r.faults)
			r.value(at, f)
			if said && f.IsZero() && len(r.faults) == before {
				r.add("JSON-VALUE", at, "an empty value says nothing; leave the key out")
			}
		default:
			r.value(at, reflect.Value{})
		}
	}
	r.token()
}

// field finds the field for key, and whether it has to say something. A key in the
// wrong letter case is a fault, yet its value is read, so that the faults inside it
// are found too.
func (r *reader) field(path, key string, v reflect.Value) (f reflect.Value, said bool) {
	names := r.names(v.Type())
	i, ok := names[key]
	for name, other := range names {
		if !ok && strings.EqualFold(name, key) {
			r.add("JSON-KEY-CASE", path, "this key must be written %q", name)
			i, ok = other, true
		}
	}
	if !ok {
		r.add("JSON-UNKNOWN-KEY", path, "this key is not known")
		return reflect.Value{}, false
	}
	return v.FieldByIndex(i), v.Type().FieldByIndex(i).Tag.Get("strict") == "said"
}

func (r *reader) names(t reflect.Type) map[string][]int {
	if m, ok := r.fields[t]; ok {
		return m
	}
	m := map[string][]int{}
	for _, f := range reflect.VisibleFields(t) {
		name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
		if !f.IsExported() || name == "-" || f.Anonymous && name == "" {
			continue
		}
		if name == "" {
			name = f.Name
		}
		m[name] = f.Index
	}
	r.fields[t] = m
	return m
}

func (r *reader) list(path string, v reflect.Value) {
	free := []any{}
	if v.Kind() == reflect.Slice {
		v.Set(reflect.MakeSlice(v.Type(), 0, 0))
	}
	for i := 0; r.more(); i++ {
		at := path + "[" + strconv.Itoa(i) + "]"
		switch v.Kind() {
		case reflect.Slice:
			v.Set(reflect.Append(v, reflect.Zero(v.Type().Elem())))
			r.value(at, v.Index(i))
		case reflect.Interface:
			var x any
			r.value(at, reflect.ValueOf(&x).Elem())
			free = append(free, x)
		default:
			r.value(at, reflect.Value{})
		}
	}
	r.token()
	if v.Kind() == reflect.Interface {
		v.Set(reflect.ValueOf(free))
	}
}

// text checks one string or key; raw is how it was written, quotes included.
func (r *reader) text(path, s string, raw []byte) {
	r.badBytes(path, raw, r.base+int(r.dec.InputOffset())-len(raw))
	if loneSurrogate(raw) {
		r.add("JSON-SURROGATE", path, `half of a surrogate pair (\ud800 to \udfff) stands alone`)
	}
	if c, ok := safetext.Stored.Find(s); ok {
		r.add("JSON-CONTROL", path, "the character %U is not allowed in text", c)
	}
}

func loneSurrogate(raw []byte) bool {
	for i := 0; i < len(raw); i++ {
		if raw[i] != '\\' {
			continue
		}
		a := escape(raw[i:])
		if a < 0 {
			i++ // a short escape such as \n or \\
			continue
		}
		i += 5
		if !utf16.IsSurrogate(a) {
			continue
		}
		if utf16.DecodeRune(a, escape(raw[i+1:])) == unicode.ReplacementChar {
			return true
		}
		i += 6
	}
	return false
}

// escape reads a \uXXXX at the start of b, -1 when there is none.
func escape(b []byte) rune {
	if len(b) < 6 || b[0] != '\\' || b[1] != 'u' {
		return -1
	}
	n, err := strconv.ParseUint(string(b[2:6]), 16, 32)
	if err != nil {
		return -1
	}
	return rune(n)
}

// At is the path of a key in the object at path.
func At(path, key string) string {
	plain := key != "" && strings.IndexFunc(key, func(c rune) bool {
		return !(c == '_' || c == '-' || c == '.' || c >= '0' && c <= '9' || c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z')
	}) < 0
	switch {
	case !plain || len(key) > 80:
		return path + "[" + safetext.Quote(key) + "]"
	case path == "":
		return key
	}
	return path + "." + key
}

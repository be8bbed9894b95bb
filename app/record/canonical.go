package record

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"github.com/gowebpki/jcs"
)

// canonical writes v, a value as JSON decoding gives it or one that encodes to
// JSON, by RFC 8785.
func canonical(v any) ([]byte, error) {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	if err := e.Encode(v); err != nil {
		return nil, err
	}
	return jcs.Transform(bytes.TrimSuffix(b.Bytes(), []byte("\n")))
}

func hash(data []byte) string {
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:])
}

// Bounds of a record that is read: sorting the keys of an object takes time with
// the square of their number, and each part takes the checking of a signature.
const (
	maxKeys  = 500
	maxParts = 5000
)

// wide gives the path of an object with more than maxKeys keys, "" if there is none.
func wide(path string, v any) string {
	switch v := v.(type) {
	case map[string]any:
		if len(v) > maxKeys {
			return path
		}
		for k, e := range v {
			if at := wide(path+"."+k, e); at != "" {
				return at
			}
		}
	case []any:
		for i, e := range v {
			if at := wide(fmt.Sprintf("%s[%d]", path, i), e); at != "" {
				return at
			}
		}
	}
	return ""
}

// piece is a part of a record that has a hash of its own.
type piece struct {
	path  string
	value any
}

// pieces cuts a record into its parts: each member, the case and the languages
// by member, a language's sections one by one.
func pieces(rec map[string]any) []piece {
	var out []piece
	for _, k := range slices.Sorted(maps.Keys(rec)) {
		switch k {
		case "case":
			out = append(out, members(k, rec[k], "")...)
		case "languages":
			out = append(out, elements(k, rec[k], func(path string, v any) []piece { return members(path, v, "sections") })...)
		default:
			out = append(out, piece{name(k), rec[k]})
		}
	}
	return out
}

// name writes a member in a path. One with a mark of paths in it is quoted, or it
// could pass for a part of another place.
func name(member string) string {
	if member == "" || strings.ContainsAny(member, `.[] "`) {
		return strconv.Quote(member)
	}
	return member
}

// members cuts an object by its members, the list named split by its elements too.
func members(path string, v any, split string) []piece {
	m, ok := v.(map[string]any)
	if !ok || len(m) == 0 {
		return []piece{{path, v}}
	}
	var out []piece
	for _, k := range slices.Sorted(maps.Keys(m)) {
		at := path + "." + name(k)
		if k == split {
			out = append(out, elements(at, m[k], func(path string, v any) []piece { return []piece{{path, v}} })...)
		} else {
			out = append(out, piece{at, m[k]})
		}
	}
	return out
}

func elements(path string, v any, cut func(string, any) []piece) []piece {
	l, ok := v.([]any)
	if !ok || len(l) == 0 {
		return []piece{{path, v}}
	}
	var out []piece
	for i, e := range l {
		out = append(out, cut(fmt.Sprintf("%s[%d]", path, i), e)...)
	}
	return out
}

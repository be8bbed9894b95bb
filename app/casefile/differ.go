package casefile

import (
	"bytes"
	"encoding/json"
	"maps"
	"reflect"
	"slices"
	"strings"

	"plainleaf/app/order"
)

// Difference is one thing that two practices say differently.
type Difference struct {
	// Danger is the place of its kind among Dangers.
	Danger int
	// Key leads to it in the practice file: the names of the keys from the outside in. An
	// entry of a list of closed times or sign-offs has the key of the list.
	Key []string
	// Old and New are the values as the file has them, texts without their quotes; "" where
	// there is none. A list of words is joined by ", ", any other structure is JSON.
	Old, New string
}

// Dangers names the kinds of difference, what can hurt a patient first: telephone
// numbers, and the country, which may give one; sentences for an emergency or a warning; who answers for the words; prices;
// days; the address of the practice's copy; all else.
func Dangers() []string {
	return []string{"numbers", "warnings", "signed", "prices", "days", "address", "rest"}
}

// Urgent reports whether a message tells a patient what is urgent and what to do.
func Urgent(id string) bool {
	word, _, _ := strings.Cut(id, ".")
	return word == "warning" || word == "urgency"
}

func danger(key []string) int {
	switch key[0] {
	case "telephone", "emergency_line", "emergency_service", "country":
		return 0
	case "wordings", "in_service":
		if len(key) < 3 || Urgent(key[2]) {
			return 1
		}
	case "demo", "sign_offs", "approved":
		return 2
	case "fees", "currency":
		return 3
	case "closures", "opening_days":
		return 4
	case "base_address":
		return 5
	}
	return 6
}

// Differences lists everything that two practices say differently, field by field, by
// Danger and then by key.
func Differences(before, after Practice) []Difference {
	a, b := tree(before), tree(after)
	var out []Difference
	differ(&out, nil, a, b)
	order.By(out, func(x, y Difference) int { return x.Danger - y.Danger })
	return out
}

// tree is a practice as its file has it, so that no field can be forgotten here.
func tree(p Practice) any {
	data, err := json.Marshal(p)
	if err != nil {
		return err.Error() // cannot be: a practice is data
	}
	d := json.NewDecoder(bytes.NewReader(data))
	d.UseNumber()
	var t any
	if err := d.Decode(&t); err != nil {
		return err.Error()
	}
	return t
}

func differ(out *[]Difference, key []string, a, b any) {
	x, mapped := a.(map[string]any)
	y, too := b.(map[string]any)
	// Where one of two is missing, what is in the other is listed piece by piece, unless
	// there is nothing in it.
	if (mapped || a == nil) && (too || b == nil) && len(x)+len(y) > 0 {
		keys := slices.Collect(maps.Keys(x))
		for k := range y {
			if _, both := x[k]; !both {
				keys = append(keys, k)
			}
		}
		slices.Sort(keys)
		for _, k := range keys {
			differ(out, append(slices.Clone(key), k), entry(x, k), entry(y, k))
		}
		return
	}
	add := func(before, after string) {
		*out = append(*out, Difference{danger(key), key, before, after})
	}
	l, _ := a.([]any)
	m, _ := b.([]any)
	if !structured(l) && !structured(m) {
		if !reflect.DeepEqual(a, b) {
			add(said(a), said(b))
		}
		return
	}
	var gone, come []string
	for _, v := range l {
		gone = append(gone, said(v))
	}
	for _, v := range m {
		if i := slices.Index(gone, said(v)); i >= 0 {
			gone = slices.Delete(gone, i, i+1)
		} else {
			come = append(come, said(v))
		}
	}
	for _, v := range gone {
		add(v, "")
	}
	for _, v := range come {
		add("", v)
	}
	if len(gone)+len(come) == 0 && !reflect.DeepEqual(a, b) {
		add(said(a), said(b)) // the same entries in another order
	}
}

// entry is a value of an object, nil where there is none, which null is not.
func entry(m map[string]any, k string) any {
	if v, there := m[k]; there && v == nil {
		return "null"
	}
	return m[k]
}

func structured(list []any) bool {
	if len(list) == 0 {
		return false
	}
	_, ok := list[0].(map[string]any)
	return ok
}

// said writes a value as it is shown.
func said(v any) string {
	switch v := v.(type) {
	case nil:
		return ""
	case string:
		return v
	case []any:
		if structured(v) {
			break
		}
		var words []string
		for _, w := range v {
			words = append(words, said(w))
		}
		return strings.Join(words, ", ")
	}
	data, _ := json.Marshal(v)
	return string(data)
}

package casefile

import (
	"fmt"
	"reflect"
	"slices"
	"strings"
	"testing"
)

// full is a practice with something in every field, down to the entries of its maps and
// lists, made from the type, so that a new field is in it too.
func full() Practice {
	var p Practice
	fill(reflect.ValueOf(&p).Elem())
	p.Wordings["key"]["key"] = "a text"
	p.Wordings["key"]["warning.a"] = map[string]any{"one": "a", "other": "b"}
	return p
}

func fill(v reflect.Value) {
	switch v.Kind() {
	case reflect.String:
		v.SetString("text")
	case reflect.Bool:
		v.SetBool(true)
	case reflect.Int, reflect.Int64:
		v.SetInt(7)
	case reflect.Float64:
		v.SetFloat(0.25)
	case reflect.Pointer:
		v.Set(reflect.New(v.Type().Elem()))
		fill(v.Elem())
	case reflect.Slice:
		v.Set(reflect.MakeSlice(v.Type(), 2, 2))
		fill(v.Index(0))
		fill(v.Index(1))
		if v.Type().Elem().Kind() == reflect.String {
			v.Index(1).SetString("other")
		}
	case reflect.Map:
		v.Set(reflect.MakeMap(v.Type()))
		e := reflect.New(v.Type().Elem()).Elem()
		fill(e)
		v.SetMapIndex(reflect.ValueOf("key"), e)
	case reflect.Interface:
		v.Set(reflect.ValueOf("text"))
	case reflect.Struct:
		if d, ok := v.Addr().Interface().(*Date); ok {
			*d = Date{2026, 1, 2}
			return
		}
		for i := range v.NumField() {
			fill(v.Field(i))
		}
	default:
		panic(v.Kind())
	}
}

// mutants calls seen once for every way to change one leaf of v, while it is changed.
func mutants(v reflect.Value, path string, seen func(path string)) {
	with := func(path string, x reflect.Value) {
		was := reflect.ValueOf(v.Interface())
		if !was.IsValid() {
			was = reflect.Zero(v.Type())
		}
		v.Set(x)
		seen(path)
		v.Set(was)
	}
	switch v.Kind() {
	case reflect.String:
		with(path, reflect.ValueOf(v.String()+"x").Convert(v.Type()))
		with(path+" blank", reflect.Zero(v.Type()))
	case reflect.Bool:
		with(path, reflect.ValueOf(!v.Bool()))
	case reflect.Int, reflect.Int64:
		with(path, reflect.ValueOf(v.Int()+1).Convert(v.Type()))
		with(path+" blank", reflect.Zero(v.Type()))
	case reflect.Float64:
		with(path, reflect.ValueOf(v.Float()+1e-9))
	case reflect.Pointer:
		with(path+" blank", reflect.Zero(v.Type()))
		mutants(v.Elem(), path, seen)
	case reflect.Slice:
		with(path+" blank", reflect.Zero(v.Type()))
		with(path+" shorter", v.Slice(0, 1))
		turned := reflect.MakeSlice(v.Type(), 2, 2)
		turned.Index(0).Set(v.Index(1))
		turned.Index(1).Set(v.Index(0))
		if !reflect.DeepEqual(turned.Interface(), v.Interface()) {
			with(path+" turned", turned)
		}
		more := reflect.New(v.Type().Elem()).Elem()
		fill(more)
		with(path+" longer", reflect.Append(v.Slice3(0, 2, 2), more))
		for i := range v.Len() {
			mutants(v.Index(i), fmt.Sprintf("%s[%d]", path, i), seen)
		}
	case reflect.Map:
		with(path+" blank", reflect.Zero(v.Type()))
		for _, k := range v.MapKeys() {
			was := v.MapIndex(k)
			v.SetMapIndex(k, reflect.Value{})
			seen(path + "." + k.String() + " gone")
			e := reflect.New(v.Type().Elem()).Elem()
			e.Set(was)
			mutants(e, path+"."+k.String(), func(p string) {
				v.SetMapIndex(k, e)
				seen(p)
			})
			v.SetMapIndex(k, was)
		}
		v.SetMapIndex(reflect.ValueOf("new"), v.MapIndex(reflect.ValueOf("key")))
		seen(path + ".new")
		v.SetMapIndex(reflect.ValueOf("new"), reflect.Zero(v.Type().Elem()))
		seen(path + ".new blank")
		v.SetMapIndex(reflect.ValueOf("new"), reflect.Value{})
	case reflect.Interface:
		with(path, reflect.ValueOf("another text"))
		with(path+" plural", reflect.ValueOf(map[string]any{"other": v.Interface()}))
	case reflect.Struct:
		if d, ok := v.Addr().Interface().(*Date); ok {
			with(path, reflect.ValueOf(Date{d.Year, d.Month, d.Day + 1}))
			with(path+" blank", reflect.ValueOf(Date{}))
			return
		}
		for i := range v.NumField() {
			mutants(v.Field(i), path+"."+v.Type().Field(i).Name, seen)
		}
	default:
		panic(v.Kind())
	}
}

// Whatever changes in a practice, the list of differences says so.
func TestEveryChangeIsADifference(t *testing.T) {
	base := full()
	if d := Differences(base, full()); len(d) > 0 {
		t.Fatalf("the same practice twice: %+v", d)
	}
	p := full()
	n := 0
	mutants(reflect.ValueOf(&p).Elem(), "", func(path string) {
		n++
		if len(Differences(base, p)) == 0 {
			t.Errorf("%s changes, and nothing is told", path)
		}
		if len(Differences(p, base)) == 0 {
			t.Errorf("%s changes back, and nothing is told", path)
		}
	})
	if d := Differences(base, p); len(d) > 0 {
		t.Errorf("the test does not put back what it changes: %+v", d)
	}
	if n < 150 {
		t.Errorf("only %d changes were tried", n)
	}
}

// What can hurt a patient comes first, old beside new.
func TestDifferencesComeInTheOrderOfDanger(t *testing.T) {
	before := Practice{Version: 2, Name: "A", Telephone: "1", Currency: "EUR", Fees: map[string]Fee{"crown": {Flat: 100}},
		Closures: []Closure{{Date{2026, 12, 24}, Date{2027, 1, 1}}}, BaseAddress: "https://a.example/",
		Wordings: map[string]map[string]any{"en": {"priority.soonest.name": "Soon", "warning.chip-or-crack.self": "Call us."}}}
	after := Practice{Version: 2, Name: "B", Telephone: "2", Currency: "EUR", Fees: map[string]Fee{"crown": {Flat: 101}},
		BaseAddress: "https://b.example/", SignOffs: []SignOff{{Sheet: "all", Locale: "en", Who: "Nobody", Role: "x", When: Date{2026, 1, 2}}},
		Wordings: map[string]map[string]any{"en": {"priority.soonest.name": "Later", "warning.chip-or-crack.self": "Wait."}}}
	var got []string
	for _, d := range Differences(before, after) {
		got = append(got, fmt.Sprintf("%s %q: %s > %s", Dangers()[d.Danger], d.Key, d.Old, d.New))
	}
	want := []string{
		`numbers ["telephone"]: 1 > 2`,
		`warnings ["wordings" "en" "warning.chip-or-crack.self"]: Call us. > Wait.`,
		`signed ["sign_offs"]:  > {"locale":"en","role":"x","sheet":"all","when":"2026-01-02","who":"Nobody"}`,
		`prices ["fees" "crown" "flat"]: 100 > 101`,
		`days ["closures"]: {"from":"2026-12-24","to":"2027-01-01"} > `,
		`address ["base_address"]: https://a.example/ > https://b.example/`,
		`rest ["name"]: A > B`,
		`rest ["wordings" "en" "priority.soonest.name"]: Soon > Later`,
	}
	if !slices.Equal(got, want) {
		t.Errorf("got  %q\nwant %q", got, want)
	}
}

// Every field of the demo practice is either invented, and has to be replaced, or may be
// right, and has to be confirmed; a confirmation ends with the value.
func TestNothingOfTheDemoIsLeftUnseen(t *testing.T) {
	demo := full()
	demo.Fees["other"] = Fee{Flat: 9}
	typ := reflect.TypeFor[Practice]()
	for i := range typ.NumField() {
		key, _, _ := strings.Cut(typ.Field(i).Tag.Get("json"), ",")
		if slices.Contains([]string{"version", "demo", "confirmed", "approved", "wording_sources"}, key) {
			continue
		}
		var p Practice
		reflect.ValueOf(&p).Elem().Field(i).Set(reflect.ValueOf(demo).Field(i))
		invented, unconfirmed := StillDemo(p, demo)
		may := slices.Contains(MayBeShared(), key)
		if may != slices.Equal(unconfirmed, []string{key}) || may == slices.Equal(invented, []string{key}) || len(invented)+len(unconfirmed) != 1 {
			t.Errorf("%s: invented %q, unconfirmed %q", key, invented, unconfirmed)
		}
		p.Confirmed = []string{key}
		if invented, unconfirmed = StillDemo(p, demo); may != (len(invented)+len(unconfirmed) == 0) {
			t.Errorf("%s confirmed: invented %q, unconfirmed %q", key, invented, unconfirmed)
		}
	}
	one := Practice{Currency: demo.Currency, Fees: map[string]Fee{"other": demo.Fees["other"], "key": {Flat: 1}}, Confirmed: []string{"currency"}}
	if invented, unconfirmed := StillDemo(one, demo); len(invented) > 0 || !slices.Equal(unconfirmed, []string{"fees.other"}) {
		t.Errorf("one price: invented %q, unconfirmed %q", invented, unconfirmed)
	}
	if invented, unconfirmed := StillDemo(Practice{}, demo); len(invented)+len(unconfirmed) > 0 {
		t.Errorf("an empty practice: %q %q", invented, unconfirmed)
	}
}

package state

import (
	"reflect"
	"testing"
)

// Signing reads Draft and Practice, Draft reads Practice, and nothing the other way.
func TestTheTypesPointOneWay(t *testing.T) {
	var reached func(typ reflect.Type, seen map[reflect.Type]bool)
	reached = func(typ reflect.Type, seen map[reflect.Type]bool) {
		if seen[typ] {
			return
		}
		seen[typ] = true
		switch typ.Kind() {
		case reflect.Pointer, reflect.Slice, reflect.Array, reflect.Map:
			reached(typ.Elem(), seen)
		case reflect.Struct:
			for i := range typ.NumField() {
				reached(typ.Field(i).Type, seen)
			}
		}
	}
	draft, practice, signing, desk := reflect.TypeFor[Draft](), reflect.TypeFor[Practice](), reflect.TypeFor[Signing](), reflect.TypeFor[Desk]()
	for from, want := range map[reflect.Type][]reflect.Type{practice: nil, draft: {practice}, signing: {draft, practice}, desk: {draft, practice, signing}} {
		seen := map[reflect.Type]bool{}
		reached(from, seen)
		delete(seen, from)
		may := map[reflect.Type]bool{}
		for _, to := range want {
			may[to] = true
		}
		for _, to := range []reflect.Type{practice, draft, signing, desk} {
			if seen[to] != may[to] {
				t.Errorf("%s reaches %s: %v", from.Name(), to.Name(), seen[to])
			}
		}
	}
}

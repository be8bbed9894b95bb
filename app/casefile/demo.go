package casefile

import (
	"maps"
	"reflect"
	"slices"
	"strings"
)

// MayBeShared lists the fields of the demo practice, by their key in the practice file,
// that may be true of a real practice too. All others are invented.
func MayBeShared() []string {
	return []string{"country", "emergency_service", "locale", "languages", "currency", "opening_days", "closures",
		"laboratory_days", "laboratory_closures", "time_zone", "waivers"}
}

// StillDemo lists what p has of the demo practice: invented are fields that a real
// practice has to replace, unconfirmed those that may be right for it too, without what
// it has confirmed. A single price that is the demo's, beside others that are not, may
// be right; its key is "fees." and what it is for. Both are in the order of the file.
func StillDemo(p, demo Practice) (invented, unconfirmed []string) {
	confirm := func(key string) {
		if !slices.Contains(p.Confirmed, key) {
			unconfirmed = append(unconfirmed, key)
		}
	}
	mine, theirs := reflect.ValueOf(p), reflect.ValueOf(demo)
	for i := range theirs.NumField() {
		key, _, _ := strings.Cut(theirs.Type().Field(i).Tag.Get("json"), ",")
		switch {
		case slices.Contains([]string{"version", "demo", "confirmed", "approved", "wording_sources"}, key):
		case key == "sign_offs":
			if slices.ContainsFunc(p.SignOffs, func(s SignOff) bool {
				return slices.ContainsFunc(demo.SignOffs, func(d SignOff) bool { return s.Who == d.Who })
			}) {
				invented = append(invented, key)
			}
		case key == "fees" && !maps.Equal(p.Fees, demo.Fees):
			for _, k := range slices.Sorted(maps.Keys(demo.Fees)) {
				if f, has := p.Fees[k]; has && f == demo.Fees[k] && p.Currency == demo.Currency {
					confirm("fees." + k)
				}
			}
		case !shared(mine.Field(i), theirs.Field(i)):
		case slices.Contains(MayBeShared(), key):
			confirm(key)
		default:
			invented = append(invented, key)
		}
	}
	return invented, unconfirmed
}

// shared reports whether a says the same as b, of maps any entry, and b says something.
func shared(a, b reflect.Value) bool {
	if b.Kind() == reflect.Interface {
		a, b = a.Elem(), b.Elem()
	}
	if b.Kind() != reflect.Map || a.Kind() != reflect.Map {
		return !b.IsZero() && reflect.DeepEqual(a.Interface(), b.Interface())
	}
	for _, k := range b.MapKeys() {
		if v := a.MapIndex(k); v.IsValid() && shared(v, b.MapIndex(k)) {
			return true
		}
	}
	return false
}

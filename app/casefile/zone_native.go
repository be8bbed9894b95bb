//go:build !js

package casefile

import (
	"time"
	_ "time/tzdata" // the same zones on every machine
)

// zoneExists reports whether the time zone database has a zone of this name.
func zoneExists(name string) bool {
	_, err := time.LoadLocation(name)
	return err == nil
}

// Offset gives the seconds that the clocks of a time zone are ahead of UTC at a
// Unix time; false when the zone is not known.
func Offset(zone string, unix int64) (int, bool) {
	l, err := time.LoadLocation(zone)
	if err != nil {
		return 0, false
	}
	_, seconds := time.Unix(unix, 0).In(l).Zone()
	return seconds, true
}

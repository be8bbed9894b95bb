//go:build !js

package veneer

import (
	"time"
	_ "time/tzdata" // the same zones on every machine
)

// zoneExists reports whether the time zone database has a zone of this name.
func zoneExists(name string) bool {
	_, err := time.LoadLocation(name)
	return err == nil
}

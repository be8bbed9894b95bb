// Package trials says how often a test tries what it tries again and again.
package trials

import (
	"os"
	"strconv"
	"testing"
)

// N is a number of trials: quick under -short, which is make quick, whole where
// PLAINLEAF_WHOLE is 1, which is make fuzz, and usual otherwise.
func N(quick, usual, whole int) int {
	if v, _ := strconv.ParseBool(os.Getenv("PLAINLEAF_WHOLE")); v {
		return whole
	}
	if testing.Short() {
		return quick
	}
	return usual
}

//go:build unix && !solaris && !illumos && !aix

package whole

import (
	"os"
	"syscall"
)

// hold takes the file for this run; it is free again when the file is closed or
// the run ends, in whatever way. Without wait it answers false where another
// run has it.
func hold(f *os.File, wait bool) bool {
	how := syscall.LOCK_EX
	if !wait {
		how |= syscall.LOCK_NB
	}
	return syscall.Flock(int(f.Fd()), how) == nil
}

// ready leaves the file open, and with it the lock, until it is in its place.
func ready(*os.File) error { return nil }

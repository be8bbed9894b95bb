//go:build unix

package upkeep

import (
	"os"
	"syscall"
)

// lock waits until nobody else changes the folder. The lock is on the folder
// itself and goes with the process, so none is ever left behind.
func (d Folder) lock() (unlock func(), err error) {
	f, err := os.Open(string(d))
	if err != nil {
		return nil, err
	}
	if err := syscall.Flock(int(f.Fd()), syscall.LOCK_EX); err != nil {
		f.Close()
		return nil, err
	}
	return func() { f.Close() }, nil
}

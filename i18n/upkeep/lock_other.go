//go:build !unix && !js

package upkeep

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"time"
)

// lock makes a file that only one can make. Unlike the lock of unix systems it
// can be left behind by a crash; the error then names it.
func (d Folder) lock() (unlock func(), err error) {
	name := filepath.Join(string(d), ".lock")
	for range 600 {
		f, err := os.OpenFile(name, os.O_CREATE|os.O_EXCL, 0o600)
		if err == nil {
			return func() { f.Close(); os.Remove(name) }, nil
		}
		if !errors.Is(err, os.ErrExist) {
			return nil, err
		}
		time.Sleep(50 * time.Millisecond)
	}
	return nil, fmt.Errorf("%s has been there for half a minute: remove it if nobody is merging", name)
}

package site

import "golang.org/x/sys/unix"

// exchange puts each of two folders in the other's place in one step, and reports
// whether the system could: both have to be there, and not every file system knows how.
func exchange(a, b string) bool {
	return unix.Renameat2(unix.AT_FDCWD, a, unix.AT_FDCWD, b, unix.RENAME_EXCHANGE) == nil
}

// Package whole writes files that are never seen half written, and clears away
// what a run that was killed left behind.
//
// google/renameio writes as safely, but what a killed run of it left cannot be told
// from the user's own files, it always replaces, and it is not there on Windows.
// os.MkdirTemp with gofrs/flock for Room took 20 lines more than what is here.
package whole

import (
	"errors"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"time"
)

// Names of what is being written; nothing else is ever cleared away.
const (
	before, after = ".plainleaf-", ".part"          // beside the file itself
	ofRoom, lock  = "plainleaf-room-", ".room-lock" // of a room, and what holds it
)

// Replace writes a file: whenever it is interrupted, by a kill or by a cut of the
// power, the old file stands there or the new one. A link is followed to the file
// it names. An existing file keeps its permissions; a new one has those of mode that
// the user's mask leaves. Pipes and terminals are written directly. Errors name the file
// asked for and no other.
func Replace(name string, data []byte, mode fs.FileMode) error {
	return replace(name, data, mode, false)
}

// Private does the same, and afterwards the file is for this user's eyes only, whatever
// its permissions were.
func Private(name string, data []byte) error { return replace(name, data, 0o600, true) }

func replace(name string, data []byte, mode fs.FileMode, always bool) error {
	target, err := followed(name)
	if err != nil {
		return told(name, err)
	}
	info, err := os.Stat(target)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return told(name, put(target, data, mode, nil, os.Rename))
	case err != nil:
		return told(name, err)
	case info.IsDir():
		return told(name, errors.New("it is a folder"))
	case !info.Mode().IsRegular():
		return told(name, into(target, data))
	case always:
		return told(name, put(target, data, mode, nil, os.Rename))
	}
	return told(name, put(target, data, 0o600, info, os.Rename))
}

// New writes a file whole, and only where there is none.
func New(name string, data []byte, mode os.FileMode) error {
	return told(name, put(name, data, mode, nil, os.Link))
}

// followed gives what a chain of links ends in, there or not.
func followed(name string) (string, error) {
	for range 40 { // as many as Linux follows
		to, err := os.Readlink(name)
		if err != nil { // no link, or nothing there
			return name, nil
		}
		if !filepath.IsAbs(to) {
			to = filepath.Join(filepath.Dir(name), to)
		}
		if info, err := os.Stat(name); err == nil && !info.Mode().IsRegular() {
			return name, nil // such as /dev/stdout, whose last name is none
		}
		name = to
	}
	return "", errors.New("too many links")
}

func into(name string, data []byte) error {
	f, err := os.OpenFile(name, os.O_WRONLY, 0)
	if err != nil {
		return err
	}
	_, err = f.Write(data)
	return errors.Join(err, f.Close())
}

// put writes a file beside its place, with the permissions of like where there is
// one, and moves it there.
func put(name string, data []byte, mode os.FileMode, like fs.FileInfo, move func(from, to string) error) error {
	f, err := held(filepath.Dir(name), before, after, mode)
	if err != nil {
		return err
	}
	defer os.Remove(f.Name())
	defer f.Close()
	if like != nil {
		if err := f.Chmod(like.Mode().Perm()); err != nil {
			return err
		}
	}
	if _, err := f.Write(data); err != nil {
		return err
	}
	if err := f.Sync(); err != nil { // or a cut of the power could leave the name without the bytes
		return err
	}
	if err := ready(f); err != nil {
		return err
	}
	return move(f.Name(), name)
}

// held makes a file for what is being written, locked as long as it is open.
func held(dir, before, after string, mode os.FileMode) (*os.File, error) {
	for {
		name := filepath.Join(dir, fmt.Sprintf("%s%010d%s", before, rand.Uint32(), after))
		f, err := os.OpenFile(name, os.O_RDWR|os.O_CREATE|os.O_EXCL, mode)
		if errors.Is(err, fs.ErrExist) {
			continue
		}
		if err != nil {
			return nil, err
		}
		hold(f, true)
		// Somebody who clears the folder may have come before the lock.
		now, err := os.Stat(name)
		mine, e := f.Stat()
		if err == nil && e == nil && os.SameFile(now, mine) {
			return f, nil
		}
		f.Close()
	}
}

// left gives the files in a folder that held made and that nobody holds any more.
func left(dir, before, after string, remove func(name string)) {
	entries, _ := os.ReadDir(dir)
	for _, e := range entries {
		number, ok := strings.CutPrefix(e.Name(), before)
		number, ours := strings.CutSuffix(number, after)
		if !ok || !ours || len(number) != 10 || strings.Trim(number, "0123456789") != "" || !e.Type().IsRegular() {
			continue
		}
		name := filepath.Join(dir, e.Name())
		f, err := os.OpenFile(name, os.O_RDWR, 0)
		if err != nil {
			continue
		}
		if hold(f, false) {
			remove(name)
		}
		f.Close()
	}
}

// Clear removes what killed runs left in a folder in the middle of writing. What
// another run is writing now stays.
func Clear(dir string) {
	left(dir, before, after, func(name string) { os.Remove(name) })
}

// Room creates a private temporary folder, and leave removes it with all that is in
// it. Rooms of runs that were killed are removed too.
func Room() (dir string, leave func(), err error) {
	of := func(name string) string { return strings.TrimSuffix(name, lock) }
	left(os.TempDir(), ofRoom, lock, func(name string) {
		if os.RemoveAll(of(name)) == nil {
			os.Remove(name)
		}
	})
	f, err := held(os.TempDir(), ofRoom, lock, 0o600)
	if err != nil {
		return "", nil, err
	}
	dir = of(f.Name())
	leave = func() {
		// Somebody who worked there may still be writing for a moment.
		for range 50 {
			if err := os.RemoveAll(dir); err == nil {
				os.Remove(f.Name())
				break
			}
			time.Sleep(50 * time.Millisecond)
		}
		f.Close()
	}
	if err = os.Mkdir(dir, 0o700); err != nil {
		os.Remove(f.Name())
		f.Close()
		return "", nil, err
	}
	return dir, leave, nil
}

// told names the file asked for in an error, instead of what is written in between.
func told(name string, err error) error {
	if err == nil {
		return nil
	}
	var path *fs.PathError
	var link *os.LinkError
	switch {
	case errors.As(err, &path):
		err = path.Err
	case errors.As(err, &link):
		err = link.Err
	}
	return &fs.PathError{Op: "write", Path: name, Err: err}
}

package site

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
)

// Write puts the site into dir in one step: a reader sees the old site or the
// new one. Where the system cannot exchange two folders, there is none for a moment
// between them. A folder that exists must be empty or hold a site, so that a
// mistyped name destroys nothing.
func (s Site) Write(dir string) (err error) {
	dir, err = filepath.Abs(dir)
	if err != nil {
		return err
	}
	if err := replaceable(dir); err != nil {
		return err
	}
	parent := filepath.Dir(dir)
	if err := os.MkdirAll(parent, 0o755); err != nil {
		return err
	}
	temp, err := os.MkdirTemp(parent, "."+filepath.Base(dir)+"-")
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, os.RemoveAll(temp)) }()

	fresh := filepath.Join(temp, "new")
	for name, content := range s {
		file := filepath.Join(fresh, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(file), 0o755); err != nil {
			return err
		}
		if err := os.WriteFile(file, content, 0o644); err != nil {
			return err
		}
	}
	if exchange(fresh, dir) {
		return nil // the old one goes with temp
	}
	old := filepath.Join(temp, "old")
	if err := os.Rename(dir, old); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	if err := os.Rename(fresh, dir); err != nil {
		// Put the old one back; what matters to the caller is the first error.
		_ = os.Rename(old, dir)
		return err
	}
	return nil
}

func replaceable(dir string) error {
	entries, err := os.ReadDir(dir)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return err
	}
	if len(entries) == 0 {
		return nil
	}
	if _, err := os.Stat(filepath.Join(dir, ListingName)); err != nil {
		return fmt.Errorf("%s is not empty and holds no site: it is left alone", dir)
	}
	return nil
}

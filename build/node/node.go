// Package node runs the scripts by which tests read this program's work with
// readers, writers and checkers of other projects. It is for tests only.
package node

import (
	"bytes"
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
)

// Run gives what a script of build/checks writes that is fed in. It runs in its own
// folder, below the packages that npm ci brings, and far from UTC, where a day must
// stay the same day.
func Run(t testing.TB, script string, in []byte, args ...string) []byte {
	t.Helper()
	path, err := exec.LookPath("node")
	if err != nil {
		t.Fatal("node is needed for this test: ", err)
	}
	dir, name := filepath.Split(script)
	if _, err := os.Stat(filepath.Join(dir, "..", "node_modules")); err != nil {
		t.Fatalf("run npm ci in build/checks: %v", err)
	}
	cmd := exec.Command(path, append([]string{name}, args...)...)
	var errs bytes.Buffer
	cmd.Dir, cmd.Stdin, cmd.Stderr = dir, bytes.NewReader(in), &errs
	cmd.Env = append(os.Environ(), "TZ=Asia/Tokyo")
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("%s: %v: %s", script, err, errs.String())
	}
	return out
}

// Read is Run for a script that writes JSON.
func Read[T any](t testing.TB, script string, in []byte, args ...string) (got T) {
	t.Helper()
	if err := json.Unmarshal(Run(t, script, in, args...), &got); err != nil {
		t.Fatalf("%s: %v", script, err)
	}
	return got
}

// Package wasm builds browser programs with the flags of a release.
package wasm

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
)

// Build compiles the main package pkg, named as seen from dir, to the file
// out. The result depends on the sources and the toolchain only, not on the
// folder or on version control.
func Build(dir, pkg, out string) error {
	out, err := filepath.Abs(out)
	if err != nil {
		return err
	}
	cmd := exec.Command("go", "build", "-trimpath", "-buildvcs=false",
		"-ldflags", "-s -w -buildid=", "-o", out, pkg)
	cmd.Dir = dir
	cmd.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm")
	var msg bytes.Buffer
	cmd.Stdout, cmd.Stderr = &msg, &msg
	if err := cmd.Run(); err != nil {
		return fmt.Errorf("building %s for the browser: %w\n%s", pkg, err, msg.Bytes())
	}
	return nil
}

// Exec reads the toolchain's own wasm_exec.js, which belongs to the programs
// that this toolchain builds.
func Exec() ([]byte, error) {
	root, err := goEnv("GOROOT")
	if err != nil {
		return nil, err
	}
	return os.ReadFile(filepath.Join(root, "lib", "wasm", "wasm_exec.js"))
}

// Root is the folder of the module that the working folder belongs to.
func Root() (string, error) {
	mod, err := goEnv("GOMOD")
	if err != nil {
		return "", err
	}
	if mod == "" || mod == os.DevNull {
		return "", fmt.Errorf("not inside the module: run this from its folder")
	}
	return filepath.Dir(mod), nil
}

func goEnv(name string) (string, error) {
	out, err := exec.Command("go", "env", name).Output()
	if err != nil {
		return "", fmt.Errorf("go env %s: %w", name, err)
	}
	return strings.TrimSpace(string(out)), nil
}

// Package wasm builds browser programs with the flags of a release.
package wasm

import (
	"bytes"
	_ "embed"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
)

// Build compiles the main package pkg, named as seen from dir, to the file
// out. The result depends on the sources and the toolchain only, not on the
// folder or on version control.
func Build(dir, pkg, out string) error {
	temp, err := os.MkdirTemp("", "plainleaf-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(temp)
	overlay, err := replaced(temp)
	if err != nil {
		return err
	}
	return build(dir, pkg, out, append([]string{"-overlay", overlay}, small...)...)
}

// BuildAnyway does what Build does, or where only that fails, what BuildPlain does, and
// then says so on warn. Where both fail the fault is in the program, and the plain
// build's messages name it.
func BuildAnyway(dir, pkg, out string, warn io.Writer) error {
	small := Build(dir, pkg, out)
	if small == nil {
		return nil
	}
	if err := BuildPlain(dir, pkg, out); err != nil {
		return err
	}
	fmt.Fprintf(warn, "warning: the browser program could not be made as small as a release is, so it was built plainly.\n"+
		"It works the same and is about 40 percent larger. The small build replaces a few sources of Go itself,\n"+
		"which this Go version may have changed. What failed:\n%v\n", small)
	return nil
}

// BuildPlain compiles a program as anybody would, with nothing put in place of the
// toolchain's own sources.
func BuildPlain(dir, pkg, out string) error { return build(dir, pkg, out) }

func build(dir, pkg, out string, flags ...string) error {
	out, err := filepath.Abs(out)
	if err != nil {
		return err
	}
	args := append([]string{"build", "-trimpath", "-buildvcs=false", "-ldflags", "-s -w -buildid="}, flags...)
	cmd := exec.Command("go", append(args, "-o", out, pkg)...)
	cmd.Dir = dir
	cmd.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm")
	var msg bytes.Buffer
	cmd.Stdout, cmd.Stderr = &msg, &msg
	if err := cmd.Run(); err != nil {
		return fmt.Errorf("building %s for the browser: %w\n%s", pkg, err, msg.Bytes())
	}
	return nil
}

// small turns inlining off where code is long chains of small calls that run
// once a tap: screens, sheets, element builders, and what texts, words, templates, times,
// patterns and documents are read and written with. It took the program from 14.3 to 13.3 MB,
// 3.54 to 3.26 MB with gzip -9, when it held the screens alone. The computation
// keeps it, and so do the ciphers.
var small = []string{
	"-gcflags=plainleaf/...=-l",
	"-gcflags=github.com/maxence-charriere/...=-l",
	"-gcflags=github.com/nicksnyder/...=-l",
	"-gcflags=github.com/gowebpki/...=-l",
	"-gcflags=encoding/...=-l",
	"-gcflags=golang.org/x/net/...=-l",
	"-gcflags=golang.org/x/text/...=-l",
	"-gcflags=text/...=-l",
	"-gcflags=html/...=-l",
	"-gcflags=net/...=-l",
	"-gcflags=regexp/...=-l",
	"-gcflags=fmt=-l",
	"-gcflags=time=-l",
	"-gcflags=mime/...=-l",
	"-gcflags=log/...=-l",
	"-gcflags=os=-l",
	"-gcflags=reflect=-l",
	"-gcflags=strconv=-l",
	"-gcflags=internal/fmtsort=-l",
	"-gcflags=bufio=-l",
	"-gcflags=bytes=-l",
	"-gcflags=strings=-l",
	"-gcflags=path/...=-l",
	"-gcflags=io/...=-l",
	"-gcflags=sync=-l",
	"-gcflags=context=-l",
	"-gcflags=plainleaf/app/plan=",
}

// lookup is the one place in text/template that finds a method by its name.
const lookup = "ptr.MethodByName(fieldName)"

// replaced prepares what the browser program takes in place of the toolchain's
// own sources and answers the file that tells the compiler of it.
func replaced(temp string) (overlay string, err error) {
	root, err := goEnv("GOROOT")
	if err != nil {
		return "", err
	}
	files := map[string]string{} // "" takes a file out
	if err := withoutMethods(root, temp, files); err != nil {
		return "", err
	}
	for name, source := range map[string][]byte{"http": httpSource, "httptest": httptestSource} {
		if err := instead(root, temp, name, source, files); err != nil {
			return "", err
		}
	}
	list, err := json.Marshal(map[string]any{"Replace": files})
	if err != nil {
		return "", err
	}
	overlay = filepath.Join(temp, "overlay.json")
	return overlay, os.WriteFile(overlay, list, 0o644)
}

// The stand-ins for net/http and net/http/httptest. The engine of the screens
// imports both for a server that does not run in a browser; their initialization
// alone kept transport security and its ciphers in the program: 1.7 of 13.7 MB,
// 0.42 of 3.36 MB with gzip -9. The screens ask for files through the browser's
// own fetch.
var (
	//go:embed http/http.go
	httpSource []byte
	//go:embed httptest/httptest.go
	httptestSource []byte
)

// instead puts source in place of a whole package of that name below net/http.
func instead(root, temp, name string, source []byte, files map[string]string) error {
	dir := filepath.Join(root, "src", "net", "http")
	if name != "http" {
		dir = filepath.Join(dir, name)
	}
	all, err := filepath.Glob(filepath.Join(dir, "*.go"))
	if err != nil || len(all) == 0 {
		return fmt.Errorf("%s: no sources of net/http (%v)", dir, err)
	}
	for _, f := range all {
		files[f] = ""
	}
	file := filepath.Join(temp, name+".go")
	files[filepath.Join(dir, name+"_instead.go")] = file
	return os.WriteFile(file, source, 0o644)
}

// withoutMethods prepares text/template.
//
// The package looks methods up by name at run time, so the linker must keep
// every exported method of every type a value can reach: 5.6 MB of 18.7 MB,
// 0.6 MB of 3.9 MB packed with gzip -9. Our messages hold values by name and
// never call a method (package i18n refuses anything else), so in this program
// no method is ever found. The toolchain's own source is used, with that one
// expression replaced.
func withoutMethods(root, temp string, files map[string]string) error {
	file := filepath.Join(root, "src", "text", "template", "exec.go")
	source, err := os.ReadFile(file)
	if err != nil {
		return err
	}
	if n := bytes.Count(source, []byte(lookup)); n != 1 {
		return fmt.Errorf("%s: %q occurs %d times, not once: "+
			"this toolchain looks methods up in another way", file, lookup, n)
	}
	changed := filepath.Join(temp, "exec.go")
	files[file] = changed
	return os.WriteFile(changed, bytes.Replace(source, []byte(lookup), []byte("(reflect.Value{})"), 1), 0o644)
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

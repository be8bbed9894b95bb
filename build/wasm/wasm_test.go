package wasm

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// Where the toolchain's sources cannot be replaced, the program is built plainly, works,
// and it is said; a release is not built at all.
func TestBuildAnyway(t *testing.T) {
	dir, out := t.TempDir(), filepath.Join(t.TempDir(), "out.wasm")
	write := func(name, text string) {
		t.Helper()
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	write("go.mod", "module small\n\ngo 1.26.0\n")
	write("main.go", "package main\n\nimport \"net/http/httptest\"\n\nvar _ *httptest.Server\n\nfunc main() { println(\"it works\") }\n")
	was := httptestSource
	t.Cleanup(func() { httptestSource = was })

	var said strings.Builder
	if err := BuildAnyway(dir, ".", out, &said); err != nil || said.Len() > 0 {
		t.Fatalf("the small build: %v, %q", err, said.String())
	}
	small := size(t, out)

	httptestSource = []byte("package httptest\n\nfunc changed() { return 1 }\n")
	if err := Build(dir, ".", out); err == nil {
		t.Error("a release was built from broken sources")
	}
	if err := BuildAnyway(dir, ".", out, &said); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"warning: ", "built plainly", "this Go version", "too many return values"} {
		if !strings.Contains(said.String(), want) {
			t.Errorf("the warning does not say %q: %s", want, said.String())
		}
	}
	if plain := size(t, out); plain <= small {
		t.Errorf("%d bytes plain, %d small: something else was built", plain, small)
	}
	if node, err := exec.LookPath("node"); err == nil {
		root, err := goEnv("GOROOT")
		if err != nil {
			t.Fatal(err)
		}
		cmd := exec.Command(node, filepath.Join(root, "lib", "wasm", "wasm_exec_node.js"), out)
		cmd.Env = []string{"HOME=/"} // the runtime refuses a large environment
		if got, err := cmd.CombinedOutput(); err != nil || string(got) != "it works\n" {
			t.Errorf("the program: %q, %v", got, err)
		}
	}

	// A fault of the program's own is named, and nothing is warned of.
	said.Reset()
	write("main.go", "package main\n\nfunc main() { missing() }\n")
	if err := BuildAnyway(dir, ".", out, &said); err == nil || said.Len() > 0 || !strings.Contains(err.Error(), "undefined: missing") {
		t.Errorf("%v, %q", err, said.String())
	}
}

func size(t *testing.T, file string) int64 {
	t.Helper()
	info, err := os.Stat(file)
	if err != nil {
		t.Fatal(err)
	}
	return info.Size()
}

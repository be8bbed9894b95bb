package gate

import (
	"bytes"
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"plainleaf/build/wasm"
)

const module = "plainleaf"

func root(t *testing.T) string {
	t.Helper()
	dir, err := wasm.Root()
	if err != nil {
		t.Fatal(err)
	}
	return dir
}

var program struct {
	sync.Once
	bytes []byte
	err   error
}

// app is the browser program, built once.
func app(t *testing.T) []byte {
	t.Helper()
	program.Do(func() { program.bytes, program.err = build(t, root(t), "./app") })
	if program.err != nil {
		t.Fatal(program.err)
	}
	return program.bytes
}

func build(t *testing.T, dir, pkg string) ([]byte, error) {
	out := filepath.Join(t.TempDir(), "out.wasm")
	if err := wasm.Build(dir, pkg, out); err != nil {
		return nil, err
	}
	return os.ReadFile(out)
}

func TestSize(t *testing.T) {
	if testing.Short() {
		t.Skip("packs the program as small as it gets")
	}
	out := filepath.Join(t.TempDir(), "empty.wasm")
	if err := wasm.BuildPlain(root(t), "./build/gate/empty", out); err != nil {
		t.Fatal(err)
	}
	emptyProgram, err := os.ReadFile(out)
	if err != nil {
		t.Fatal(err)
	}
	got, err := Measure(app(t))
	if err != nil {
		t.Fatal(err)
	}
	empty, err := Measure(emptyProgram)
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("size of the browser program\n%s", Table(got, empty))
	if over := got.Over(empty); over != "" {
		t.Error(over)
	}
	// A program smaller than the empty page would mean that something else
	// than the app was measured.
	if got.Raw <= empty.Raw {
		t.Errorf("the app (%d bytes) is not larger than the empty page (%d bytes)", got.Raw, empty.Raw)
	}
}

// Only the packed size counts, and it counts from the first byte above the limit.
func TestLimitsAreSeen(t *testing.T) {
	empty := Sizes{Raw: 5_000_000, Gzip: 1_000_000, Brotli: 800_000}
	for _, c := range []struct {
		app  Sizes
		over bool
	}{
		{Sizes{50_000_000, 2_100_000, 9_000_000}, false},
		{Sizes{5_000_001, 2_100_001, 800_001}, true},
		{Sizes{5_000_001, 3_400_000, 800_001}, true},
	} {
		if over := c.app.Over(empty); (over != "") != c.over {
			t.Errorf("%d bytes beside %d: %q", c.app.Gzip, empty.Gzip, over)
		}
	}
	if (Sizes{Gzip: 1}).Over(Sizes{}) == "" {
		t.Error("an empty page of no size lets everything pass")
	}
}

// go-app's handler brings net/http's server along, which doubles the program, and
// its client, which brings every cipher.
func TestNoServerInTheProgram(t *testing.T) {
	for name, want := range map[string]bool{
		// Function names stay in the program; these two show that one would see them.
		"go-app/v10/pkg/app.RunWhenOnBrowser": true,
		"encoding/json.(*Decoder).Decode":     true,
		"net/http.(*Server).Serve":            false,
		"net/http.(*conn).serve":              false,
		"net/http.ListenAndServe":             false,
		"net/http.(*Transport).RoundTrip":     false,
		"crypto/tls.(*Conn)":                  false,
		"crypto/internal/fips140/nistec":      false,
	} {
		if got := bytes.Contains(app(t), []byte(name)); got != want {
			t.Errorf("%s in the program: %v, want %v", name, got, want)
		}
	}
}

// A message that asks for a method gets an error in the browser, not a result:
// see build/wasm. What messages do use, a value by its name, works.
func TestMethodsAreOutOfTemplates(t *testing.T) {
	out := filepath.Join(t.TempDir(), "out.wasm")
	if err := wasm.Build(root(t), "./build/gate/template", out); err != nil {
		t.Fatal(err)
	}
	node, err := exec.LookPath("node")
	if err != nil {
		t.Skip("node is missing; the browser tests cover values by name")
	}
	goroot, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		t.Fatal(err)
	}
	run := filepath.Join(strings.TrimSpace(string(goroot)), "lib", "wasm", "wasm_exec_node.js")
	cmd := exec.Command(node, run, out)
	cmd.Env = []string{"HOME=/"} // the runtime refuses a large environment
	got, err := cmd.CombinedOutput()
	if want := "value: v\nmethod: refused\n"; err != nil || string(got) != want {
		t.Errorf("%q, want %q (%v)", got, want, err)
	}
}

// The same sources in another folder, compiled from nothing, give the same
// bytes: anyone can check what a site serves.
func TestTwoBuildsAreTheSame(t *testing.T) {
	if testing.Short() {
		t.Skip("compiles everything from nothing")
	}
	from, to := root(t), filepath.Join(t.TempDir(), "a folder of another name")
	for _, p := range list(t, "js", "-deps", "./app") {
		if p.Module == nil || p.Module.Path != module {
			continue
		}
		for _, files := range [][]string{p.GoFiles, p.EmbedFiles} {
			for _, f := range files {
				copyFile(t, filepath.Join(p.Dir, f), from, to)
			}
		}
	}
	copyFile(t, filepath.Join(from, "go.mod"), from, to)
	copyFile(t, filepath.Join(from, "go.sum"), from, to)

	first := app(t)
	cache := filepath.Join(t.TempDir(), "cache")
	t.Setenv("GOCACHE", cache)
	second, err := build(t, to, "./app")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(cache); err != nil {
		t.Errorf("the second build did not use a cache of its own: %v", err)
	}
	if !bytes.Equal(first, second) {
		t.Errorf("the builds differ (%d and %d bytes)", len(first), len(second))
	}
}

func copyFile(t *testing.T, file, from, to string) {
	t.Helper()
	rel, err := filepath.Rel(from, file)
	if err != nil {
		t.Fatal(err)
	}
	b, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	dest := filepath.Join(to, rel)
	if err := os.MkdirAll(filepath.Dir(dest), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(dest, b, 0o644); err != nil {
		t.Fatal(err)
	}
}

// listed is what go list says of a package.
type listed struct {
	ImportPath string
	Dir        string
	Module     *struct{ Path string }
	GoFiles    []string
	EmbedFiles []string
	Imports    []string
	Error      *struct{ Err string }
}

// list runs go list for the browser ("js") or for this machine ("").
func list(t *testing.T, goos string, args ...string) []listed {
	t.Helper()
	cmd := exec.Command("go", append([]string{"list", "-json"}, args...)...)
	cmd.Dir = root(t)
	cmd.Env = os.Environ()
	if goos == "js" {
		cmd.Env = append(cmd.Env, "GOOS=js", "GOARCH=wasm")
	}
	var msg bytes.Buffer
	cmd.Stderr = &msg
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("go list %s: %v\n%s", strings.Join(args, " "), err, msg.Bytes())
	}
	var all []listed
	for d := json.NewDecoder(bytes.NewReader(out)); d.More(); {
		var p listed
		if err := d.Decode(&p); err != nil {
			t.Fatal(err)
		}
		if p.Error != nil {
			t.Errorf("%s: %s", p.ImportPath, p.Error.Err)
		}
		all = append(all, p)
	}
	return all
}

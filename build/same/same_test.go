package same

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// planned is the line of a plan, as the program prints it.
var planned = regexp.MustCompile(`(?m)^\S+ \d+ [0-9a-f]{64}$`)

func TestNativeAndBrowserPlansAreTheSameBytes(t *testing.T) {
	node, err := exec.LookPath("node")
	if err != nil {
		t.Fatal("this needs node: ", err)
	}
	dir := t.TempDir()
	build := func(name string, env ...string) string {
		out := filepath.Join(dir, name)
		cmd := exec.Command("go", "build", "-buildvcs=false", "-o", out, "./program")
		cmd.Env = append(os.Environ(), env...)
		if text, err := cmd.CombinedOutput(); err != nil {
			t.Fatalf("%v\n%s", err, text)
		}
		return out
	}
	native, wasm := build("native"), build("program.wasm", "GOOS=js", "GOARCH=wasm")
	root, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		t.Fatal(err)
	}
	runner := filepath.Join(strings.TrimSpace(string(root)), "lib", "wasm", "wasm_exec_node.js")
	practices := []string{"demo", "own-figures", "sunday-week"}
	if testing.Short() {
		practices = practices[:1]
	}
	for _, practice := range practices {
		files, err := filepath.Glob("../../testdata/cases/*.json")
		if err != nil || len(files) < 20 {
			t.Fatalf("%d cases, %v", len(files), err)
		}
		args := append([]string{"../../testdata/practice/" + practice + ".json", "../../i18n"}, files...)
		run := func(name string, args ...string) []byte {
			cmd := exec.Command(name, args...)
			cmd.Stderr = os.Stderr
			// node hands the whole environment to the program, which has little room for it.
			cmd.Env = []string{"PATH=" + os.Getenv("PATH"), "TZ=UTC"}
			out, err := cmd.Output()
			if err != nil {
				t.Fatal(name, err)
			}
			return out
		}
		a, b := run(native, args...), run(node, append([]string{"--stack-size=8192", runner, wasm}, args...)...)
		if n := len(planned.FindAll(a, -1)); n != len(files) {
			t.Errorf("%s: %d plans of %d cases", practice, n, len(files))
		}
		if practice == "demo" { // whose own language is beside words that nobody signed off
			for _, name := range []string{"at-try-in", "delivered"} {
				for _, kind := range []string{"options", "consent", "tryin", "change", "aftercare"} {
					if made := regexp.MustCompile(name + `\.json ` + kind + ` \d+ `); !made.Match(a) {
						t.Errorf("no %s of %s:\n%s", kind, name, a)
					}
				}
			}
		}
		if !bytes.Equal(a, b) {
			x, y := strings.Split(string(a), "\n"), strings.Split(string(b), "\n")
			for i := range x {
				if i >= len(y) || x[i] != y[i] {
					t.Errorf("%s: native %q, browser %q", practice, x[i], strings.Join(y[min(i, len(y)):min(i+1, len(y))], ""))
				}
			}
		}
	}
}

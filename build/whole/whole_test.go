//go:build unix

package whole

import (
	"bytes"
	"errors"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"
)

// The test program serves as one that is killed while it works.
func TestMain(m *testing.M) {
	switch dir := os.Getenv("PLAINLEAF_TEST_KILLED"); {
	case dir == "room":
		room, _, err := Room()
		if err == nil {
			err = os.WriteFile(filepath.Join(room, "page.html"), []byte("a sheet"), 0o600)
		}
		if err != nil {
			panic(err)
		}
	case dir != "":
		f, err := held(dir, before, after, 0o600)
		if err == nil {
			_, err = f.WriteString("half")
		}
		if err != nil {
			panic(err)
		}
	default:
		os.Exit(m.Run())
	}
	os.Stdout.WriteString("ready")
	time.Sleep(time.Minute)
}

// working starts a program that is in the middle of its work.
func working(t *testing.T, what string) (kill func()) {
	t.Helper()
	c := exec.Command(os.Args[0])
	c.Env = append(os.Environ(), "PLAINLEAF_TEST_KILLED="+what)
	out, err := c.StdoutPipe()
	if err == nil {
		err = c.Start()
	}
	if err != nil {
		t.Fatal(err)
	}
	kill = func() { c.Process.Kill(); c.Wait() }
	t.Cleanup(kill)
	if _, err := io.ReadFull(out, make([]byte, 5)); err != nil {
		t.Fatal(err)
	}
	return kill
}

func names(t *testing.T, dir string) (out []string) {
	t.Helper()
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		out = append(out, e.Name())
	}
	return out
}

// What another run is writing stays; what a killed one left goes, and nothing else.
func TestClear(t *testing.T) {
	dir := t.TempDir()
	for _, mine := range []string{".plainleaf-notes", ".plainleaf-.part", ".plainleaf-12345678901.part", "sheet.html"} {
		if err := os.WriteFile(filepath.Join(dir, mine), nil, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.Symlink("sheet.html", filepath.Join(dir, ".plainleaf-1234567890.part")); err != nil {
		t.Fatal(err)
	}
	kill := working(t, dir)
	Clear(dir)
	if got := names(t, dir); len(got) != 6 {
		t.Errorf("what is being written was cleared away: %v", got)
	}
	kill()
	Clear(dir)
	if got := strings.Join(names(t, dir), " "); got != ".plainleaf-.part .plainleaf-1234567890.part .plainleaf-12345678901.part .plainleaf-notes sheet.html" {
		t.Errorf("left: %s", got)
	}
}

func TestRoom(t *testing.T) {
	t.Setenv("TMPDIR", t.TempDir())
	kill := working(t, "room")
	count := func() int { return len(names(t, os.TempDir())) }
	dir, leave, err := Room()
	if err != nil {
		t.Fatal(err)
	}
	if info, err := os.Stat(dir); err != nil || info.Mode().Perm() != 0o700 {
		t.Errorf("%v, %v", info, err)
	}
	if n := count(); n != 4 {
		t.Errorf("%d names where two rooms are in use", n)
	}
	kill()
	leave()
	if n := count(); n != 2 {
		t.Errorf("%d names after one has left", n)
	}
	if _, leave, err = Room(); err != nil {
		t.Fatal(err)
	}
	if n := count(); n != 2 {
		t.Errorf("the room of a killed run is left: %v", names(t, os.TempDir()))
	}
	leave()
	if n := count(); n != 0 {
		t.Errorf("left: %v", names(t, os.TempDir()))
	}
}

func TestReplace(t *testing.T) {
	dir := t.TempDir()
	at := func(name string) string { return filepath.Join(dir, name) }
	check := func(name, want string, mode fs.FileMode) {
		t.Helper()
		info, err := os.Lstat(at(name))
		data, e := os.ReadFile(at(name))
		if err != nil || e != nil || string(data) != want || info.Mode() != mode {
			t.Errorf("%s: %q, %v, %v, %v", name, data, info, err, e)
		}
	}
	write := func(name string) {
		t.Helper()
		if err := Replace(at(name), []byte("new"), 0o666); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
	old := syscall.Umask(0o027)
	defer syscall.Umask(old)

	write("fresh")
	check("fresh", "new", 0o640)
	for _, mode := range []fs.FileMode{0o600, 0o666} { // neither wider nor narrower than it was
		if err := os.WriteFile(at("kept"), []byte("old"), 0o600); err != nil {
			t.Fatal(err)
		}
		if err := os.Chmod(at("kept"), mode); err != nil {
			t.Fatal(err)
		}
		write("kept")
		check("kept", "new", mode)
	}

	// What is for nobody else's eyes, new or not, through a link too.
	if err := Replace(at("mine"), []byte("new"), 0o600); err != nil {
		t.Error(err)
	}
	check("mine", "new", 0o600)
	if err := os.WriteFile(at("open"), []byte("old"), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := errors.Join(os.Chmod(at("open"), 0o644), os.Symlink("open", at("to-open"))); err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"secret", "to-open"} {
		if err := Private(at(name), []byte("new")); err != nil {
			t.Error(err)
		}
	}
	check("secret", "new", 0o600)
	check("open", "new", 0o600)

	// Links, one to a link, one to nothing yet, one in a folder of its own.
	if err := os.Mkdir(at("sub"), 0o700); err != nil {
		t.Fatal(err)
	}
	for _, link := range [][2]string{{"../kept2", "sub/one"}, {"sub/one", "two"}, {"later", "dangling"}, {"round", "round"}} {
		if err := os.Symlink(link[0], at(link[1])); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.WriteFile(at("kept2"), []byte("old"), 0o600); err != nil {
		t.Fatal(err)
	}
	write("two")
	check("kept2", "new", 0o600)
	write("dangling")
	check("later", "new", 0o640)
	for _, link := range []string{"two", "sub/one", "dangling"} {
		if info, err := os.Lstat(at(link)); err != nil || info.Mode()&fs.ModeSymlink == 0 {
			t.Errorf("%s is a link no more: %v", link, err)
		}
	}

	// What is no file is written to, never replaced.
	if err := syscall.Mkfifo(at("pipe"), 0o600); err != nil {
		t.Fatal(err)
	}
	read := make(chan string)
	go func() {
		data, _ := os.ReadFile(at("pipe"))
		read <- string(data)
	}()
	write("pipe")
	if got := <-read; got != "new" {
		t.Errorf("the pipe gave %q", got)
	}
	if info, err := os.Lstat(at("pipe")); err != nil || info.Mode()&fs.ModeNamedPipe == 0 {
		t.Errorf("the pipe is none any more: %v", err)
	}

	// Errors name what was asked for, say why, and leave nothing.
	for name, why := range map[string]string{"sub": "it is a folder", "none/x": "no such file or directory", "kept/x": "not a directory", "round": "too many links"} {
		err := Replace(at(name), []byte("new"), 0o666)
		var path *fs.PathError
		if !errors.As(err, &path) || path.Path != at(name) || path.Err.Error() != why {
			t.Errorf("%s: %v", name, err)
		}
	}
	if err := New(at("kept"), []byte("other"), 0o600); !errors.Is(err, fs.ErrExist) {
		t.Errorf("New over a file: %v", err)
	}
	check("kept", "new", 0o666)
	if err := New(at("once"), []byte("new"), 0o600); err != nil {
		t.Error(err)
	}
	check("once", "new", 0o600)
	for _, d := range []string{dir, at("sub")} {
		if got := strings.Join(names(t, d), " "); strings.Contains(got, before) {
			t.Errorf("left: %s", got)
		}
	}
}

// Where there is no more room the old file stays, and nothing else.
func TestNoSpace(t *testing.T) {
	var was syscall.Rlimit
	if err := syscall.Getrlimit(syscall.RLIMIT_FSIZE, &was); err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "sheet")
	if err := os.WriteFile(file, []byte("old"), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := syscall.Setrlimit(syscall.RLIMIT_FSIZE, &syscall.Rlimit{Cur: 4096, Max: was.Max}); err != nil {
		t.Fatal(err)
	}
	err := Replace(file, bytes.Repeat([]byte("new "), 4096), 0o666)
	if e := syscall.Setrlimit(syscall.RLIMIT_FSIZE, &was); e != nil {
		t.Fatal(e)
	}
	if !errors.Is(err, syscall.EFBIG) {
		t.Errorf("%v", err)
	}
	if data, err := os.ReadFile(file); err != nil || string(data) != "old" {
		t.Errorf("%q, %v", data, err)
	}
	if got := names(t, filepath.Dir(file)); len(got) != 1 {
		t.Errorf("left: %v", got)
	}
}

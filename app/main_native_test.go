//go:build !js

package main

import (
	"bytes"
	"io"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// program writes a file that passes for a browser program.
func program(t *testing.T) string {
	t.Helper()
	file := filepath.Join(t.TempDir(), "app.wasm")
	if err := os.WriteFile(file, []byte("\x00asm\x01\x00\x00\x00"), 0o644); err != nil {
		t.Fatal(err)
	}
	return file
}

func TestExitCodes(t *testing.T) {
	dir := t.TempDir()
	text := filepath.Join(dir, "text.wasm")
	if err := os.WriteFile(text, []byte("text"), 0o644); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		args []string
		want int
	}{
		{nil, badUsage},
		{[]string{"nonsense"}, badUsage},
		{[]string{""}, badUsage},
		{[]string{"site"}, badUsage},
		{[]string{"site", "-nonsense"}, badUsage},
		{[]string{"site", "-out", filepath.Join(dir, "x"), "more"}, badUsage},
		{[]string{"site", "-out", filepath.Join(dir, "x"), "-brotli", "12"}, badUsage},
		{[]string{"serve", "-addr", "127.0.0.1:0", "more"}, badUsage},
		{[]string{"site", "-out", filepath.Join(dir, "x"), "-wasm", text}, badInput},
		{[]string{"site", "-out", filepath.Join(dir, "x"), "-wasm", filepath.Join(dir, "none")}, badInput},
		{[]string{"serve", "-addr", "127.0.0.1:0", "-dir", dir}, badInput},
	} {
		code, out, errw := order("", c.args...)
		if code != c.want {
			t.Errorf("%q: exit %d, want %d", c.args, code, c.want)
		}
		if out != "" {
			t.Errorf("%q wrote %q to standard output", c.args, out)
		}
		if errw == "" {
			t.Errorf("%q gave no reason", c.args)
		}
	}
	if _, err := os.Stat(filepath.Join(dir, "x")); err == nil {
		t.Error("a failed run left a folder")
	}
}

func TestSiteTwiceIsTheSame(t *testing.T) {
	wasm := program(t)
	var trees [2]map[string]string
	for i := range trees {
		dir := filepath.Join(t.TempDir(), "site")
		if code, out, errw := order("", "site", "-brotli", "5", "-out", dir, "-wasm", wasm); code != good || out != "" {
			t.Fatalf("exit %d, %q, %s", code, out, errw)
		}
		trees[i] = map[string]string{}
		if err := filepath.WalkDir(dir, func(path string, d os.DirEntry, err error) error {
			if err != nil || d.IsDir() {
				return err
			}
			b, err := os.ReadFile(path)
			rel, _ := filepath.Rel(dir, path)
			trees[i][rel] = string(b)
			return err
		}); err != nil {
			t.Fatal(err)
		}
	}
	if len(trees[0]) < 30 || len(trees[0]) != len(trees[1]) {
		t.Fatalf("%d and %d files", len(trees[0]), len(trees[1]))
	}
	if !strings.Contains(trees[0]["licences.txt"], "github.com/google/uuid") {
		t.Error("no licences")
	}
	for _, list := range []string{"worker.js", "site.json"} {
		if !strings.Contains(trees[0][list], `"licences.txt"`) {
			t.Errorf("%s does not list the licences", list)
		}
	}
	for name, b := range trees[0] {
		if trees[1][name] != b {
			t.Errorf("%s differs", name)
		}
	}
}

// lines hands over what a command writes, line by line.
type lines chan string

func (l lines) Write(b []byte) (int, error) {
	l <- string(b)
	return len(b), nil
}

// last waits for the line after which no other comes for a moment.
func (l lines) last() <-chan string {
	out := make(chan string, 1)
	go func() {
		line := <-l
		for {
			select {
			case line = <-l:
			case <-time.After(300 * time.Millisecond):
				out <- line
				return
			}
		}
	}()
	return out
}

func TestServe(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "site")
	if code, _, errw := order("", "site", "-brotli", "5", "-out", dir, "-wasm", program(t)); code != good {
		t.Fatal(errw)
	}
	errw := make(lines, 10)
	// The server runs until the test program ends; nothing else stops it.
	go run([]string{"serve", "-addr", "127.0.0.1:0", "-dir", dir, "-start", "/ar/?demo"}, nil, io.Discard, errw)
	select {
	case said := <-errw.last():
		_, url, ok := strings.Cut(strings.TrimSpace(said), "open ")
		if !ok || !strings.HasSuffix(url, "/ar/?demo") {
			t.Fatalf("%q", said)
		}
		// The pages are those of the site, the top one too: the worker keeps them.
		top := strings.TrimSuffix(url, "ar/?demo")
		plain := &http.Client{CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
		r, err := plain.Get(top)
		if err != nil {
			t.Fatal(err)
		}
		got, err := io.ReadAll(r.Body)
		r.Body.Close()
		want, _ := os.ReadFile(filepath.Join(dir, "index.html"))
		if err != nil || r.StatusCode != http.StatusOK || !bytes.Equal(got, want) {
			t.Errorf("/: %d, %d bytes of %d, %v", r.StatusCode, len(got), len(want), err)
		}
		r, err = http.Get(url)
		if err != nil {
			t.Fatal(err)
		}
		defer r.Body.Close()
		b, err := io.ReadAll(r.Body)
		if err != nil || !bytes.Contains(b, []byte(`<html lang="ar" dir="rtl"`)) {
			t.Errorf("%d %.200s (%v)", r.StatusCode, b, err)
		}
	case <-time.After(time.Minute):
		t.Fatal("the server did not say where it is")
	}
}

func TestWarningForOtherMachines(t *testing.T) {
	for addr, want := range map[string]bool{
		"127.0.0.1:80": false, "[::1]:80": false, "0.0.0.0:80": true, "192.0.2.7:80": true, "[::]:80": true,
	} {
		a, err := net.ResolveTCPAddr("tcp", addr)
		if err != nil {
			t.Fatal(err)
		}
		if got := warning(a) != ""; got != want {
			t.Errorf("%s: warned %v, want %v", addr, got, want)
		}
	}
}

//go:build linux

package server

import (
	"bufio"
	"bytes"
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"plainleaf/build/site"
)

// The test program serves as the server, whose memory is its own and nobody else's.
func TestMain(m *testing.M) {
	dir := os.Getenv("PLAINLEAF_TEST_SERVE")
	if dir == "" {
		os.Exit(m.Run())
	}
	read, err := time.ParseDuration(os.Getenv("PLAINLEAF_TEST_READ"))
	if err != nil {
		panic(err)
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		panic(err)
	}
	fmt.Println(l.Addr())
	panic(serving(dir, read, read).Serve(narrow{l}))
}

// server serves dir in a program of its own, whose clients have so long to read on.
func server(t *testing.T, dir string, read time.Duration) (addr string, pid int) {
	t.Helper()
	c := exec.Command(os.Args[0])
	c.Env = append(os.Environ(), "PLAINLEAF_TEST_SERVE="+dir, "PLAINLEAF_TEST_READ="+read.String())
	out, err := c.StdoutPipe()
	if err == nil {
		err = c.Start()
	}
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { c.Process.Kill(); c.Wait() })
	line, err := bufio.NewReader(out).ReadString('\n')
	if err != nil {
		t.Fatal(err)
	}
	return strings.TrimSpace(line), c.Process.Pid
}

// large is a site whose program has this size and is not packed.
func large(t *testing.T, size int) (dir, path string) {
	t.Helper()
	dir, l := sample(t)
	for name := range l.Files {
		if filepath.Ext(name) != ".wasm" {
			continue
		}
		if err := os.WriteFile(filepath.Join(dir, name), make([]byte, size), 0o644); err != nil {
			t.Fatal(err)
		}
		path = "/" + name
	}
	return dir, path
}

// resident is what a program holds in memory, in bytes.
func resident(t *testing.T, pid int) int {
	t.Helper()
	status, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", pid))
	if err != nil {
		t.Fatal(err)
	}
	_, rest, _ := strings.Cut(string(status), "VmRSS:")
	kB, err := strconv.Atoi(strings.Fields(rest)[0])
	if err != nil {
		t.Fatal(err)
	}
	return kB << 10
}

// started opens a connection with a buffer, asks for a path and reads nothing.
func started(t *testing.T, addr, path string, buffer int) net.Conn {
	t.Helper()
	c, err := net.Dial("tcp", addr)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { c.Close() })
	c.(*net.TCPConn).SetReadBuffer(buffer)
	fmt.Fprintf(c, "GET %s HTTP/1.1\r\nHost: x\r\n\r\n", path)
	return c
}

// Clients that ask and never read cost next to nothing, and are let go.
func TestClientsThatNeverRead(t *testing.T) {
	t.Parallel()
	const size, clients, limit = 14_000_000, 60, 100_000_000
	dir, path := large(t, size)
	addr, pid := server(t, dir, 4*time.Second)
	before := resident(t, pid)
	for range clients {
		started(t, addr, path, 4<<10)
	}
	most := before
	for range 20 {
		time.Sleep(100 * time.Millisecond)
		most = max(most, resident(t, pid))
	}
	t.Logf("%d clients: from %d to %d kB", clients, before/1000, most/1000)
	if most-before > limit {
		t.Errorf("%d clients that never read took %d MB, more than %d", clients, (most-before)/1_000_000, limit/1_000_000)
	}
	r, err := http.Get("http://" + addr + "/en/") // others are served all the same
	if err != nil || r.StatusCode != http.StatusOK {
		t.Fatalf("%v, %v", r, err)
	}
	r.Body.Close()
	http.DefaultClient.CloseIdleConnections()
	for end := time.Now().Add(20 * time.Second); ; time.Sleep(100 * time.Millisecond) {
		n := sockets(t, pid)
		if n == 1 { // where it listens
			break
		}
		if time.Now().After(end) {
			t.Fatalf("%d of %d clients were not let go", n-1, clients)
		}
	}
}

// sockets counts those that a program has open.
func sockets(t *testing.T, pid int) (n int) {
	t.Helper()
	dir := fmt.Sprintf("/proc/%d/fd", pid)
	all, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, fd := range all {
		if to, _ := os.Readlink(filepath.Join(dir, fd.Name())); strings.HasPrefix(to, "socket:") {
			n++
		}
	}
	return n
}

// A client that reads slowly gets the whole file, though it takes several times as
// long as one may be silent, and may ask again on the same connection.
func TestASlowClientGetsAll(t *testing.T) {
	t.Parallel()
	const size = 3_000_000
	dir, path := large(t, size)
	addr, _ := server(t, dir, time.Second)
	c := started(t, addr, path, 64<<10)
	began, in := time.Now(), bufio.NewReader(c)
	r, err := http.ReadResponse(in, nil)
	if err != nil {
		t.Fatal(err)
	}
	got, piece := 0, make([]byte, 64<<10)
	for {
		n, err := io.ReadFull(r.Body, piece)
		got += n
		if err != nil {
			break
		}
		time.Sleep(100 * time.Millisecond)
	}
	took := time.Since(began)
	if got != size || took < 3*time.Second {
		t.Errorf("%d bytes of %d in %v", got, size, took)
	}
	fmt.Fprint(c, "GET /en/ HTTP/1.1\r\nHost: x\r\n\r\n")
	if r, err := http.ReadResponse(in, nil); err != nil || r.StatusCode != http.StatusOK {
		t.Errorf("the next answer: %v, %v", r, err)
	}
}

// Whoever asks without end, or not at all, is let go.
func TestRequestsWithoutEnd(t *testing.T) {
	t.Parallel()
	dir, _ := sample(t)
	addr, _ := server(t, dir, time.Second)
	for name, sent := range map[string]string{
		"nothing": "", "half a line": "GET /en/", "half a header": "GET /en/ HTTP/1.1\r\nHost: x\r\n",
		"half a body": "POST /en/ HTTP/1.1\r\nHost: x\r\nContent-Length: 100\r\n\r\nab",
	} {
		c, err := net.Dial("tcp", addr)
		if err != nil {
			t.Fatal(err)
		}
		defer c.Close()
		fmt.Fprint(c, sent)
		c.SetReadDeadline(time.Now().Add(20 * time.Second))
		if _, err := io.Copy(io.Discard, c); err != nil && !strings.Contains(err.Error(), "reset") {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// Every answer carries the headers, whatever was asked and however; only what Go's
// server refuses to read as a request does not reach us. A bad % is such a case: it
// has an answer, and nothing breaks.
func TestHeadersOnEveryAnswer(t *testing.T) {
	dir, l := sample(t)
	addr, _ := server(t, dir, 10*time.Second)
	broken := filepath.Join(t.TempDir(), "none")
	without, _ := server(t, broken, 10*time.Second)
	for _, c := range []struct {
		addr, request string
		status        int
	}{
		{addr, "GET /en/", 200}, {addr, "HEAD /en/", 200}, {addr, "GET /", 200}, {addr, "GET /en", 301},
		{addr, "GET /none", 404}, {addr, "GET /en/?%zz", 200}, {addr, "GET /%25zz", 404}, {addr, "GET //x.example/..", 404},
		{addr, "POST /", 405}, {addr, "PUT /en/", 405}, {addr, "DELETE /en/", 405}, {addr, "OPTIONS *", 405},
		{addr, "OPTIONS /", 405}, {addr, "TRACE /", 405}, {addr, "CONNECT x:80", 405}, {addr, "BREW /", 405},
		{without, "GET /", 500},
		{addr, "GET /%zz", 400}, {addr, "GET /en/%", 400},
	} {
		conn, err := net.Dial("tcp", c.addr)
		if err != nil {
			t.Fatal(err)
		}
		fmt.Fprintf(conn, "%s HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n", c.request)
		method, _, _ := strings.Cut(c.request, " ")
		r, err := http.ReadResponse(bufio.NewReader(conn), &http.Request{Method: method})
		if err != nil {
			t.Errorf("%s: %v", c.request, err)
			continue
		}
		body, err := io.ReadAll(r.Body)
		conn.Close()
		if err != nil || r.StatusCode != c.status || len(body) == 0 && c.status != 200 {
			t.Errorf("%s: status %d, want %d, %q, %v", c.request, r.StatusCode, c.status, body, err)
		}
		if c.status == http.StatusBadRequest {
			continue
		}
		for _, h := range site.Headers() {
			if got := r.Header.Get(h[0]); got != h[1] {
				t.Errorf("%s: %s %q, want %q", c.request, h[0], got, h[1])
			}
		}
		want := "default-src 'none'; frame-ancestors 'none'"
		if c.status < 405 {
			want = l.Policy
		}
		if got := r.Header.Get("Content-Security-Policy"); got != want {
			t.Errorf("%s: policy %q, want %q", c.request, got, want)
		}
		if c.status == 405 && r.Header.Get("Allow") != "GET, HEAD" {
			t.Errorf("%s: Allow %q", c.request, r.Header.Get("Allow"))
		}
		for _, key := range []string{"Server", "X-Powered-By"} {
			if r.Header.Get(key) != "" {
				t.Errorf("%s: %s %q", c.request, key, r.Header.Get(key))
			}
		}
	}
}

// No link is followed out of the site, and a pipe keeps nobody waiting.
func TestLinksAreNotFollowed(t *testing.T) {
	dir, l := sample(t)
	away := t.TempDir()
	for _, name := range []string{"letter", "index.html"} {
		if err := os.WriteFile(filepath.Join(away, name), []byte("secret"), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	instead := func(name, to string) {
		t.Helper()
		for _, ending := range []string{"", ".br", ".gz"} {
			os.RemoveAll(filepath.Join(dir, name+ending))
			if err := os.Symlink(to, filepath.Join(dir, name+ending)); err != nil {
				t.Fatal(err)
			}
		}
	}
	var css string
	for name := range l.Files {
		if filepath.Ext(name) == ".css" {
			css = name
		}
	}
	instead("worker.js", filepath.Join(away, "letter"))
	up, err := filepath.Rel(dir, filepath.Join(away, "letter"))
	if err != nil {
		t.Fatal(err)
	}
	instead(css, up)
	instead("ar", away) // a folder
	for _, path := range []string{"/worker.js", "/" + css, "/ar/"} {
		for _, accept := range []string{"", "br", "gzip"} {
			r := ask(dir, "GET", path, "Accept-Encoding", accept)
			body, _ := io.ReadAll(r.Body)
			if r.StatusCode != http.StatusNotFound || bytes.Contains(body, []byte("secret")) {
				t.Errorf("%s, %q: status %d, %q", path, accept, r.StatusCode, body)
			}
		}
	}
	// The folder of the site itself may be a link: whoever serves it said so.
	link := filepath.Join(away, "site")
	if err := os.Symlink(dir, link); err != nil {
		t.Fatal(err)
	}
	if r := ask(link, "GET", "/en/"); r.StatusCode != http.StatusOK {
		t.Errorf("a site named by a link: %d", r.StatusCode)
	}
}

// A part of a file is what the client asked for, packed or not.
func TestParts(t *testing.T) {
	dir, _ := sample(t)
	for _, accept := range []string{"", "gzip"} {
		all, _ := io.ReadAll(ask(dir, "GET", "/en/", "Accept-Encoding", accept).Body)
		r := ask(dir, "GET", "/en/", "Accept-Encoding", accept, "Range", "bytes=10-19")
		part, _ := io.ReadAll(r.Body)
		if r.StatusCode != http.StatusPartialContent || r.ContentLength != 10 || !bytes.Equal(part, all[10:20]) {
			t.Errorf("%q: %d, %d bytes said, %q", accept, r.StatusCode, r.ContentLength, part)
		}
	}
}

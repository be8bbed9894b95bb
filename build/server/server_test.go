package server

import (
	"bytes"
	"compress/gzip"
	"io"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/andybalholm/brotli"

	"plainleaf/build/site"
)

func sample(t *testing.T) (dir string, l site.Listing) {
	t.Helper()
	s, err := site.Build(site.Options{
		Wasm:     append([]byte("\x00asm"), bytes.Repeat([]byte("program "), 500)...),
		Exec:     []byte("// exec\n"),
		SheetCSS: []byte("p{margin:0}"),
		Licences: []byte("licences"),
		Text:     func(tag, id string) (string, error) { return tag + " " + id, nil },
		Wordings: map[string][]byte{"es": []byte(`{"a":"b"}`)},
		Brotli:   1,
	})
	if err != nil {
		t.Fatal(err)
	}
	parent := t.TempDir()
	dir = filepath.Join(parent, "site")
	if err := s.Write(dir); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(parent, "secret.txt"), []byte("secret"), 0o644); err != nil {
		t.Fatal(err)
	}
	if l, err = Load(dir); err != nil {
		t.Fatal(err)
	}
	return dir, l
}

func ask(dir, method, path string, header ...string) *http.Response {
	r := httptest.NewRequest(method, "http://127.0.0.1/", nil)
	r.URL.Path = path
	for i := 0; i+1 < len(header); i += 2 {
		r.Header.Set(header[i], header[i+1])
	}
	w := httptest.NewRecorder()
	New(dir).ServeHTTP(w, r)
	return w.Result()
}

func TestHeaders(t *testing.T) {
	dir, l := sample(t)
	kinds := map[string]string{
		".html": "text/html; charset=utf-8", ".js": "text/javascript; charset=utf-8",
		".css": "text/css; charset=utf-8", ".json": "application/json", ".wasm": "application/wasm",
		".webmanifest": "application/manifest+json", ".svg": "image/svg+xml", ".png": "image/png", ".txt": "text/plain; charset=utf-8",
	}
	seen := map[string]bool{}
	for name, sum := range l.Files {
		r := ask(dir, "GET", "/"+strings.TrimSuffix(name, "index.html"))
		ext := filepath.Ext(name)
		seen[ext] = true
		if r.StatusCode != 200 || r.Header.Get("Content-Type") != kinds[ext] {
			t.Errorf("%s: %d %s", name, r.StatusCode, r.Header.Get("Content-Type"))
		}
		want := "no-cache"
		if site.Named(name, sum) {
			want = "public, max-age=31536000, immutable"
		}
		if got := r.Header.Get("Cache-Control"); got != want {
			t.Errorf("%s: Cache-Control %q, want %q", name, got, want)
		}
		for key, want := range map[string]string{
			"Content-Security-Policy": l.Policy, "X-Content-Type-Options": "nosniff",
			"Referrer-Policy": "no-referrer", "Vary": "Accept-Encoding",
		} {
			if got := r.Header.Get(key); got != want {
				t.Errorf("%s: %s %q, want %q", name, key, got, want)
			}
		}
		disk, err := os.ReadFile(filepath.Join(dir, name))
		if body, _ := io.ReadAll(r.Body); err != nil || !bytes.Equal(body, disk) {
			t.Errorf("%s: other bytes than on disk (%v)", name, err)
		}
	}
	for ext := range kinds {
		if !seen[ext] {
			t.Errorf("no file %s was asked for", ext)
		}
	}
	for _, name := range []string{"worker.js", "en/index.html", "index.html", "en/app.webmanifest"} {
		if site.Named(name, l.Files[name]) {
			t.Errorf("%s would be kept for ever", name)
		}
	}
}

// The directives of the policy, order and all. The hash is that of openssl for
// the sample stylesheet.
func TestPolicy(t *testing.T) {
	_, l := sample(t)
	const want = "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; " +
		"style-src 'self' 'sha256-QRQPRLGyxt3RJiKpYNjpkgHcmHU2PywsfL2e8oI0LQA='; img-src 'self'; connect-src 'self'; " +
		"manifest-src 'self'; worker-src 'self'; base-uri 'none'; form-action 'none'; " +
		"require-trusted-types-for 'script'; trusted-types default; frame-ancestors 'none'"
	if l.Policy != want {
		t.Errorf("policy\n%s\nwant\n%s", l.Policy, want)
	}
}

func TestPackedCopies(t *testing.T) {
	dir, l := sample(t)
	for accept, want := range map[string]string{
		"":                           "",
		"identity":                   "",
		"gzip":                       "gzip",
		"br":                         "br",
		"gzip, deflate, br, zstd":    "br",
		"br;q=0, gzip":               "gzip",
		"br;q=0.0, gzip;q=0":         "",
		"BR":                         "br",
		"gzip;q=1.0, br; q=0.5":      "br",
		"brotli, xgzip":              "",
		"br;q=nonsense, gzip;q=0.01": "gzip",
	} {
		for name := range l.Files {
			if filepath.Ext(name) != ".wasm" {
				continue
			}
			r := ask(dir, "GET", "/"+name, "Accept-Encoding", accept)
			if got := r.Header.Get("Content-Encoding"); got != want {
				t.Errorf("%q: coding %q, want %q", accept, got, want)
			}
			var body io.Reader = r.Body
			switch want {
			case "br":
				body = brotli.NewReader(r.Body)
			case "gzip":
				z, err := gzip.NewReader(r.Body)
				if err != nil {
					t.Fatal(err)
				}
				body = z
			}
			plain, err := io.ReadAll(body)
			disk, _ := os.ReadFile(filepath.Join(dir, name))
			if err != nil || !bytes.Equal(plain, disk) || len(disk) == 0 {
				t.Errorf("%q: %d bytes, want %d (%v)", accept, len(plain), len(disk), err)
			}
			if r.Header.Get("Vary") != "Accept-Encoding" {
				t.Errorf("%q: Vary %q", accept, r.Header.Get("Vary"))
			}
		}
	}
}

func TestUnchangedFilesAreNotSentAgain(t *testing.T) {
	dir, _ := sample(t)
	plain := ask(dir, "GET", "/en/").Header.Get("ETag")
	packed := ask(dir, "GET", "/en/", "Accept-Encoding", "br").Header.Get("ETag")
	if plain == "" || plain == packed {
		t.Fatalf("ETags %q and %q", plain, packed)
	}
	if r := ask(dir, "GET", "/en/", "If-None-Match", plain); r.StatusCode != http.StatusNotModified {
		t.Errorf("status %d, want 304", r.StatusCode)
	}
	if r := ask(dir, "GET", "/es/", "If-None-Match", plain); r.StatusCode != http.StatusOK {
		t.Errorf("another page: status %d, want 200", r.StatusCode)
	}
}

func TestNothingElseIsServed(t *testing.T) {
	dir, l := sample(t)
	var program string
	for name := range l.Files {
		if strings.HasSuffix(name, ".wasm") {
			program = name
		}
	}
	for _, path := range []string{
		"/../secret.txt", "/en/../../secret.txt", "//secret.txt", "/..%2fsecret.txt", `/..\secret.txt`,
		"/./en/", "/en//", "/en/./", "//en/", "/site.json", "/" + program + ".br", "/" + program + "/",
		"/wording/", "/wording", "/en/index.html/", "/\x00", "/en/unknown/", "/favicon.ico",
	} {
		r := ask(dir, "GET", path)
		body, _ := io.ReadAll(r.Body)
		if r.StatusCode != http.StatusNotFound || bytes.Contains(body, []byte("secret\n")) {
			t.Errorf("%q: status %d, %q", path, r.StatusCode, body)
		}
		if r.Header.Get("Cache-Control") != "no-cache" {
			t.Errorf("%q: Cache-Control %q", path, r.Header.Get("Cache-Control"))
		}
	}
	for _, method := range []string{"POST", "PUT", "DELETE", "OPTIONS"} {
		if r := ask(dir, method, "/en/"); r.StatusCode != http.StatusMethodNotAllowed {
			t.Errorf("%s: status %d, want 405", method, r.StatusCode)
		}
	}
	if r := ask(dir, "GET", "/en"); r.StatusCode != http.StatusMovedPermanently || r.Header.Get("Location") != "/en/" {
		t.Errorf("/en: %d to %q", r.StatusCode, r.Header.Get("Location"))
	}
	if r := ask(dir, "HEAD", "/en/"); r.StatusCode != http.StatusOK {
		t.Errorf("HEAD: %d", r.StatusCode)
	}
}

func TestAListingThatLeadsOutsideIsRefused(t *testing.T) {
	dir, _ := sample(t)
	file := filepath.Join(dir, site.ListingName)
	if err := os.WriteFile(file, []byte(`{"files":{"../secret.txt":"00"}}`), 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err := Load(dir); err == nil {
		t.Error("the listing was taken")
	}
	if r := ask(dir, "GET", "/../secret.txt"); r.StatusCode != http.StatusInternalServerError {
		t.Errorf("status %d, want 500", r.StatusCode)
	}
}

// README.md and the site's own headers.txt have the headers that are sent here.
func TestWhatAHostShouldSend(t *testing.T) {
	dir, l := sample(t)
	readme, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	file, err := os.ReadFile(filepath.Join(dir, site.HeadersName))
	if err != nil {
		t.Fatal(err)
	}
	_, host, _ := strings.Cut(string(readme), "\n## On a host\n")
	host, _, _ = strings.Cut(host, "\n## ")
	said := map[string]bool{}
	for line := range strings.SplitSeq(host, "\n") {
		if header, ok := strings.CutPrefix(line, "    "); ok && regexp.MustCompile(`^[A-Z][A-Za-z-]+: `).MatchString(header) {
			said[header] = true
		}
	}
	for key, values := range ask(dir, "GET", "/en/").Header {
		line := key + ": " + values[0]
		switch key {
		case "Content-Length", "Etag", "Last-Modified", "Vary", "Accept-Ranges", "Content-Type":
			continue
		case "Content-Security-Policy":
			if values[0] != l.Policy || !strings.Contains(host, "`Content-Security-Policy`") {
				t.Errorf("README.md does not name the policy")
			}
		case "Cache-Control":
			if !strings.Contains(host, "`"+line+"`") {
				t.Errorf("README.md does not say %s", line)
			}
		default:
			if !said[line] {
				t.Errorf("README.md does not say %s", line)
			}
			delete(said, line)
		}
		if !strings.Contains(string(file), "\n  "+line+"\n") {
			t.Errorf("%s does not say %s", site.HeadersName, line)
		}
	}
	for line := range said {
		t.Errorf("README.md says %s, which is not sent", line)
	}
	forever := "Cache-Control: " + site.Forever
	if flat := strings.Join(strings.Fields(host), " "); !strings.Contains(flat, "`"+forever+"`") || !strings.Contains(string(file), "  "+forever+"\n") {
		t.Errorf("how long a file is kept is not said: %s", forever)
	}
	for ext, kind := range site.Types {
		if !strings.Contains(string(file), strings.TrimSpace(kind)) || !strings.Contains(string(file), "  "+ext+" ") {
			t.Errorf("%s does not say %s for %s", site.HeadersName, kind, ext)
		}
	}
}

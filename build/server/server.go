// Package server serves a built site from its folder.
package server

import (
	"bytes"
	"encoding/json"
	"fmt"
	"mime"
	"net/http"
	"os"
	"path"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"plainleaf/build/site"
)

// types are fixed here: the system's own table differs between machines.
var types = map[string]string{
	".html":        "text/html; charset=utf-8",
	".css":         "text/css; charset=utf-8",
	".js":          "text/javascript; charset=utf-8",
	".json":        "application/json",
	".wasm":        "application/wasm",
	".webmanifest": "application/manifest+json",
	".svg":         "image/svg+xml",
	".png":         "image/png",
}

// New serves the site in dir. Only what the site's listing names is ever
// opened, so no path leads anywhere else. The folder is read at each request;
// a newly written site shows at once.
func New(dir string) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) { serve(dir, w, r) })
}

// Load reads the listing of the site in dir.
func Load(dir string) (site.Listing, error) {
	var l site.Listing
	b, err := os.ReadFile(filepath.Join(dir, site.ListingName))
	if err != nil {
		return l, err
	}
	if err := json.Unmarshal(b, &l); err != nil {
		return l, fmt.Errorf("%s: %w", site.ListingName, err)
	}
	for name := range l.Files {
		if !filepath.IsLocal(filepath.FromSlash(name)) {
			return l, fmt.Errorf("%s: path %q leads outside", site.ListingName, name)
		}
	}
	return l, nil
}

func serve(dir string, w http.ResponseWriter, r *http.Request) {
	h := w.Header()
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("Referrer-Policy", "no-referrer")
	h.Set("Cross-Origin-Opener-Policy", "same-origin")
	h.Set("Cross-Origin-Resource-Policy", "same-origin")
	h.Set("Cache-Control", "no-cache")
	if r.Method != http.MethodGet && r.Method != http.MethodHead {
		h.Set("Allow", "GET, HEAD")
		http.Error(w, "method not allowed", http.StatusMethodNotAllowed)
		return
	}
	l, err := Load(dir)
	if err != nil {
		http.Error(w, "the site cannot be read", http.StatusInternalServerError)
		return
	}
	h.Set("Content-Security-Policy", l.Policy)

	name := strings.TrimPrefix(r.URL.Path, "/")
	if name == "" || strings.HasSuffix(name, "/") {
		name += "index.html"
	}
	sum, ok := l.Files[name]
	if !ok {
		if _, folder := l.Files[name+"/index.html"]; folder {
			http.Redirect(w, r, "/"+name+"/", http.StatusMovedPermanently)
			return
		}
		http.NotFound(w, r)
		return
	}

	ext := path.Ext(name)
	kind, ok := types[ext]
	if !ok {
		kind = mime.TypeByExtension(ext)
	}
	h.Set("Content-Type", kind)
	h.Set("Vary", "Accept-Encoding")
	if site.Named(name, sum) {
		h.Set("Cache-Control", "public, max-age=31536000, immutable")
	}
	body, coding, err := read(filepath.Join(dir, filepath.FromSlash(name)), r.Header.Get("Accept-Encoding"))
	if err != nil {
		h.Set("Cache-Control", "no-store")
		http.NotFound(w, r)
		return
	}
	if coding != "" {
		h.Set("Content-Encoding", coding)
		h.Set("Content-Length", strconv.Itoa(len(body)))
		sum += "-" + coding
	}
	h.Set("ETag", `"`+sum+`"`)
	http.ServeContent(w, r, name, time.Time{}, bytes.NewReader(body))
}

// read answers the smallest form of a file that the client takes.
func read(file, accept string) (body []byte, coding string, err error) {
	for _, c := range []struct{ coding, ext string }{{"br", ".br"}, {"gzip", ".gz"}} {
		if !accepts(accept, c.coding) {
			continue
		}
		if body, err := os.ReadFile(file + c.ext); err == nil {
			return body, c.coding, nil
		}
	}
	body, err = os.ReadFile(file)
	return body, "", err
}

// accepts reads an Accept-Encoding header (RFC 9110, section 12.5.3) for one
// coding. A coding with a weight of zero is refused.
func accepts(header, coding string) bool {
	for part := range strings.SplitSeq(header, ",") {
		name, params, _ := strings.Cut(part, ";")
		if !strings.EqualFold(strings.TrimSpace(name), coding) {
			continue
		}
		weight, weighted := strings.CutPrefix(strings.TrimSpace(params), "q=")
		if !weighted {
			return true
		}
		q, err := strconv.ParseFloat(strings.TrimSpace(weight), 64)
		return err == nil && q > 0
	}
	return false
}

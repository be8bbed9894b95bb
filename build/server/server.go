// Package server serves a built site from its folder.
package server

import (
	"encoding/json"
	"fmt"
	"io/fs"
	"net"
	"net/http"
	"os"
	"path"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"plainleaf/build/site"
)

// Time that a client has. A file may take as long as it needs, as long as some of it
// is read now and then: with the buffer below, about 1.5 kB a second are enough.
const (
	toAsk   = 10 * time.Second // for the whole request
	toRead  = time.Minute      // for the next piece of an answer
	toThink = 2 * time.Minute  // between two requests
)

// buffer is what the system may hold of an answer for a client that is slow to read.
// It goes on only when a third of that is read, so a large one would make a slow
// client look like one that has gone.
const buffer = 64 << 10

// New serves the site in dir. Only what the site's listing names is ever opened, and
// no link is followed. The folder is read at each request; a newly written site shows
// at once.
func New(dir string) http.Handler { return handler{dir, toRead} }

// Serve answers what comes in at l until that fails.
func Serve(l net.Listener, dir string) error { return serving(dir, toAsk, toRead).Serve(narrow{l}) }

func serving(dir string, ask, read time.Duration) *http.Server {
	return &http.Server{
		Handler:           handler{dir, read},
		ReadHeaderTimeout: ask,
		ReadTimeout:       ask,
		WriteTimeout:      read, // renewed with each piece
		IdleTimeout:       toThink,
		MaxHeaderBytes:    16 << 10,

		// Or "OPTIONS *" would be answered without the headers.
		DisableGeneralOptionsHandler: true,
	}
}

// narrow limits the buffer of each connection.
type narrow struct{ net.Listener }

func (n narrow) Accept() (net.Conn, error) {
	c, err := n.Listener.Accept()
	if tcp, ok := c.(*net.TCPConn); ok && err == nil {
		_ = tcp.SetWriteBuffer(buffer) // without it slow clients have less time
	}
	return c, err
}

// Load reads the listing of the site in dir.
func Load(dir string) (site.Listing, error) {
	root, err := os.OpenRoot(dir)
	if err != nil {
		return site.Listing{}, err
	}
	defer root.Close()
	return load(root)
}

func load(root *os.Root) (site.Listing, error) {
	var l site.Listing
	b, err := root.ReadFile(site.ListingName)
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

// handler serves one folder.
type handler struct {
	dir  string
	read time.Duration // to read the next piece of an answer in
}

func (s handler) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	h := w.Header()
	for _, header := range site.Headers() {
		h.Set(header[0], header[1])
	}
	h.Set("Content-Security-Policy", "default-src 'none'; frame-ancestors 'none'") // of an answer that is no page
	h.Set("Cache-Control", site.AskAgain)
	if r.Method != http.MethodGet && r.Method != http.MethodHead {
		h.Set("Allow", "GET, HEAD")
		http.Error(w, "method not allowed", http.StatusMethodNotAllowed)
		return
	}
	// One folder for the whole request: a site that is written meanwhile is another one.
	root, err := os.OpenRoot(s.dir)
	if err != nil {
		http.Error(w, "the site cannot be read", http.StatusInternalServerError)
		return
	}
	defer root.Close()
	l, err := load(root)
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
	file, size, coding, err := open(root, name, r.Header.Get("Accept-Encoding"))
	if err != nil {
		h.Set("Cache-Control", "no-store")
		http.NotFound(w, r)
		return
	}
	defer file.Close()
	h.Set("Content-Type", site.Types[path.Ext(name)])
	h.Set("Vary", "Accept-Encoding")
	if site.Named(name, sum) {
		h.Set("Cache-Control", site.Forever)
	}
	if coding != "" {
		h.Set("Content-Encoding", coding)
		h.Set("Content-Length", strconv.FormatInt(size, 10)) // of a part it is set anew
		sum += "-" + coding
	}
	h.Set("ETag", `"`+sum+`"`)
	http.ServeContent(piecewise{w, http.NewResponseController(w), s.read}, r, name, time.Time{}, file)
}

// piecewise renews a client's time to read with each piece of the answer. It writes
// and no more, so that nothing hands the system a whole file at once.
type piecewise struct {
	http.ResponseWriter
	control *http.ResponseController
	read    time.Duration
}

func (p piecewise) Write(piece []byte) (int, error) {
	_ = p.control.SetWriteDeadline(time.Now().Add(p.read)) // a recorder has none
	return p.ResponseWriter.Write(piece)
}

// open opens the smallest form of a file that the client takes.
func open(root *os.Root, name, accept string) (file *os.File, size int64, coding string, err error) {
	for _, c := range []struct{ coding, ext string }{{"br", ".br"}, {"gzip", ".gz"}} {
		if !accepts(accept, c.coding) {
			continue
		}
		if file, size, err = regular(root, name+c.ext); err == nil {
			return file, size, c.coding, nil
		}
	}
	file, size, err = regular(root, name)
	return file, size, "", err
}

// regular opens a file that is one, and neither a link nor a pipe, which might never
// answer. A folder that is a link leads nowhere outside the site.
func regular(root *os.Root, name string) (*os.File, int64, error) {
	name = filepath.FromSlash(name)
	info, err := root.Lstat(name)
	if err != nil {
		return nil, 0, err
	}
	if !info.Mode().IsRegular() {
		return nil, 0, &fs.PathError{Op: "open", Path: name, Err: fs.ErrInvalid}
	}
	file, err := root.Open(name)
	return file, info.Size(), err
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

// Package browser lets tests drive a real browser against a site served on the
// loopback interface. Every test gets a profile of its own, since a worker left
// over from another test would answer in its place.
//
// All of the browser's traffic goes through the test's own server, which
// answers for its own address, refuses every other one and keeps a record of
// both. Stopping the server is what offline means here.
package browser

import (
	"context"
	"fmt"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/chromedp"

	"plainleaf/build/press"
	"plainleaf/build/server"
	"plainleaf/build/site"
)

// Patience is how long a wait lasts before the test fails.
const Patience = 60 * time.Second

var built struct {
	sync.Once
	options site.Options
	err     error
}

// Options are those of the project's site with its program, built once for all
// tests of a package, and with quick compression.
func Options(t testing.TB) site.Options {
	t.Helper()
	built.Do(func() {
		built.options, built.err = site.Gather(os.Getenv("PLAINLEAF_WASM"))
		built.options.Brotli = 4
	})
	if built.err != nil {
		t.Fatal(built.err)
	}
	return built.options
}

// Site writes a site to a folder of the test and answers the folder.
func Site(t testing.TB, o site.Options) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "site")
	Publish(t, o, dir)
	return dir
}

// Publish writes a site over the one in dir.
func Publish(t testing.TB, o site.Options, dir string) {
	t.Helper()
	s, err := site.Build(o)
	if err == nil {
		err = s.Write(dir)
	}
	if err != nil {
		t.Fatal(err)
	}
}

// Server serves one folder and records what is asked of it.
type Server struct {
	URL string // without a trailing slash

	t       testing.TB
	addr    string
	handler http.Handler

	mu       sync.Mutex
	srv      *http.Server
	requests []string
	outside  []string
}

// Serve starts a server for the site in dir on a free loopback port. It stops
// with the test.
func Serve(t testing.TB, dir string) *Server {
	t.Helper()
	s := &Server{t: t, addr: "127.0.0.1:0", handler: server.New(dir)}
	s.Start()
	t.Cleanup(s.Stop)
	return s
}

// Start serves, after a Stop on the same address.
func (s *Server) Start() {
	s.t.Helper()
	l, err := net.Listen("tcp", s.addr)
	if err != nil {
		s.t.Fatal(err)
	}
	s.addr = l.Addr().String()
	s.URL = "http://" + s.addr
	srv := &http.Server{Handler: http.HandlerFunc(s.serve)}
	s.mu.Lock()
	s.srv = srv
	s.mu.Unlock()
	go srv.Serve(l)
}

// Stop ends the server and every connection to it. The browser then has no
// network at all.
func (s *Server) Stop() {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.srv != nil {
		s.srv.Close()
		s.srv = nil
	}
}

func (s *Server) serve(w http.ResponseWriter, r *http.Request) {
	ours := r.Method != http.MethodConnect && r.Host == s.addr
	s.mu.Lock()
	if ours {
		s.requests = append(s.requests, r.URL.Path)
	} else if host, _, _ := strings.Cut(r.Host, ":"); !slices.Contains(browserHosts, host) {
		s.outside = append(s.outside, r.Method+" "+r.Host+" "+r.URL.Path)
	}
	s.mu.Unlock()
	if !ours {
		http.Error(w, "outside the origin", http.StatusForbidden)
		return
	}
	s.handler.ServeHTTP(w, r)
}

// browserHosts are what the browser itself calls whatever the page does, and no
// switch stops. They are refused like all others but not held against the app;
// Tab.Requests still shows a page that asks for them.
var browserHosts = []string{
	"accounts.google.com",
	"content-autofill.googleapis.com",
	"clients2.google.com",
	"optimizationguide-pa.googleapis.com",
	"update.googleapis.com",
}

// Requests lists the paths asked for so far.
func (s *Server) Requests() []string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return slices.Clone(s.requests)
}

// Outside lists the requests that went to any other address, from pages and
// workers alike.
func (s *Server) Outside() []string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return slices.Clone(s.outside)
}

// Browser is one running browser with a profile of its own.
type Browser struct {
	t   testing.TB
	ctx context.Context
	srv *Server
}

// Open starts a browser whose traffic goes to srv. It ends with the test.
func Open(t testing.TB, srv *Server) *Browser {
	t.Helper()
	path, err := press.Find()
	if err != nil {
		t.Fatal(err)
	}
	profile, err := os.MkdirTemp("", "plainleaf-profile-")
	if err != nil {
		t.Fatal(err)
	}
	opts := append(chromedp.DefaultExecAllocatorOptions[:],
		chromedp.ExecPath(path),
		chromedp.UserDataDir(profile),
		chromedp.NoSandbox,
		chromedp.DisableGPU,
		chromedp.Flag("disable-quic", true),
		chromedp.Flag("disable-component-update", true),
		chromedp.Flag("disable-domain-reliability", true),
		chromedp.Flag("no-pings", true),
		chromedp.Flag("disable-features", "Translate,OptimizationHints,AutofillServerCommunication"),
		chromedp.ProxyServer(srv.URL),
		chromedp.Flag("proxy-bypass-list", "<-loopback>"), // loopback too goes through srv
		chromedp.Env("TZ=UTC"),
	)
	alloc, endAlloc := chromedp.NewExecAllocator(context.Background(), opts...)
	ctx, end := chromedp.NewContext(alloc)
	t.Cleanup(func() {
		chromedp.Cancel(ctx)
		end()
		endAlloc()
		os.RemoveAll(profile)
	})
	if err := chromedp.Do(ctx); err != nil {
		t.Fatal(err)
	}
	return &Browser{t: t, ctx: ctx, srv: srv}
}

// Tab is one page of a browser.
type Tab struct {
	Ctx context.Context // for chromedp actions that have no method here

	t     testing.TB
	srv   *Server
	close context.CancelFunc

	mu       sync.Mutex
	console  []string
	requests []string
}

// watch notes refused styles, scripts and connections of a page, and counts the
// changes of its document.
const watch = `window.__refused = [];
document.addEventListener("securitypolicyviolation", (e) =>
	window.__refused.push(e.violatedDirective + " " + e.blockedURI + " " + e.sourceFile));
window.__changes = 0;
if (window === top) // a frame that may run no script would complain
new MutationObserver(() => window.__changes++).observe(document,
	{attributes: true, characterData: true, childList: true, subtree: true});`

// Tab opens an empty tab.
func (b *Browser) Tab() *Tab {
	b.t.Helper()
	ctx, end := chromedp.NewContext(b.ctx)
	tab := &Tab{Ctx: ctx, t: b.t, srv: b.srv, close: end}
	if err := chromedp.Do(ctx); err != nil {
		b.t.Fatal(err)
	}
	messages := chromedp.Console(ctx)
	sent := chromedp.Events(ctx, network.RequestWillBeSent)
	go func() {
		for e, err := range sent {
			if err != nil {
				return
			}
			tab.mu.Lock()
			tab.requests = append(tab.requests, e.Request.URL)
			tab.mu.Unlock()
		}
	}()
	go func() {
		for m, err := range messages {
			if err != nil {
				return
			}
			tab.mu.Lock()
			tab.console = append(tab.console, m.String())
			tab.mu.Unlock()
		}
	}()
	if _, err := chromedp.Call(ctx, network.Enable, network.EnableParams{}); err != nil {
		b.t.Fatal(err)
	}
	tab.OnNewDocument(watch)
	b.t.Cleanup(end)
	return tab
}

// Close closes the tab.
func (p *Tab) Close() {
	p.t.Helper()
	if err := chromedp.Cancel(p.Ctx); err != nil {
		p.t.Fatal(err)
	}
	p.close()
}

// Do runs actions and fails the test on an error.
func (p *Tab) Do(actions ...chromedp.Action[chromedp.Void]) {
	p.t.Helper()
	ctx, cancel := context.WithTimeout(p.Ctx, Patience)
	defer cancel()
	if err := chromedp.Do(ctx, actions...); err != nil {
		p.t.Fatal(err)
	}
}

// Goto opens a path of the server and waits until it has loaded.
func (p *Tab) Goto(path string) {
	p.t.Helper()
	p.Do(chromedp.Navigate(p.srv.URL + path))
}

// Reload loads the page again.
func (p *Tab) Reload() {
	p.t.Helper()
	p.Do(chromedp.Reload())
}

// Click clicks the middle of the first element a CSS selector finds, once it is
// visible, has stood still for two frames and is not covered: a page that is
// being drawn anew would else move from under the pointer.
func (p *Tab) Click(selector string) {
	p.t.Helper()
	p.Do(chromedp.WaitVisible(chromedp.CSS(selector)))
	where := fmt.Sprintf(`(async () => {
		const frame = () => new Promise((done) => { requestAnimationFrame(done); setTimeout(done, 100); });
		const box = (e) => e && e.isConnected ? e.getBoundingClientRect() : null;
		const end = performance.now() + %d;
		for (let still = 0, last = ""; performance.now() < end; await frame()) {
			const e = document.querySelector(%q), b = box(e);
			const now = b ? [b.left, b.top, b.width, b.height].join() : "";
			still = now && now === last ? still + 1 : 0;
			last = now;
			if (still < 2) continue;
			const x = b.left + b.width / 2, y = b.top + b.height / 2;
			const top = document.elementFromPoint(x, y);
			if (top && (e.contains(top) || top.contains(e))) return [x, y];
			e.scrollIntoView({block: "center", inline: "center", behavior: "instant"});
			still = 0;
		}
		return [];
	})()`, Patience.Milliseconds()/4, selector)
	var at []float64
	var err error
	for end := time.Now().Add(Patience); len(at) != 2 && time.Now().Before(end); {
		at, err = eval[[]float64](p, where) // fails while a page gives way to another
	}
	if len(at) != 2 {
		p.t.Fatalf("%s never stood still in the open: %v", selector, err)
	}
	p.Do(chromedp.MouseClickXY(at[0], at[1]))
	p.Settle()
}

// Settle waits until the document has not changed for a few frames, for two
// seconds at most: a step is drawn in more than one go, and what is asked of the
// page between them may be answered by the drawing before. Nothing is told when
// the page never rests; the test's own waits decide.
func (p *Tab) Settle() {
	// A page that gives way to another cannot answer.
	_, _ = eval[bool](p, `(async () => {
		const frame = () => new Promise((done) => { requestAnimationFrame(done); setTimeout(done, 100); });
		const end = performance.now() + 2000;
		for (let rest = 0, last = -1; rest < 5 && performance.now() < end; await frame()) {
			rest = window.__changes === last ? rest + 1 : 0;
			last = window.__changes;
		}
		return true;
	})()`)
}

// Eval evaluates an expression, waiting for it when it is a promise.
func Eval[T any](p *Tab, expression string) T {
	p.t.Helper()
	v, err := eval[T](p, expression)
	if err != nil {
		p.t.Fatalf("%s: %v", expression, err)
	}
	return v
}

func eval[T any](p *Tab, expression string) (T, error) {
	ctx, cancel := context.WithTimeout(p.Ctx, Patience)
	defer cancel()
	return chromedp.Run(ctx, chromedp.Evaluate[T](expression, chromedp.EvalAwaitPromise))
}

// Holds reports whether an expression is true now. A promise stands for what it
// resolves to.
func (p *Tab) Holds(expression string) (bool, error) {
	return eval[bool](p, "Promise.resolve("+expression+").then(Boolean)")
}

// Wait waits until an expression is true. A page on its way to another one may
// answer with an error for a moment; that counts as not yet.
func (p *Tab) Wait(expression string) {
	p.t.Helper()
	deadline := time.Now().Add(Patience)
	var last error
	for time.Now().Before(deadline) {
		yes, err := p.Holds(expression)
		if yes && err == nil {
			return
		}
		last = err
		time.Sleep(20 * time.Millisecond)
	}
	page, _ := eval[string](p, `[location.pathname, JSON.stringify(document.documentElement.dataset), document.visibilityState,
		document.body.innerText.slice(0, 3000)].join("\n")`)
	p.t.Fatalf("waited %v for %s (%v)\nconsole: %q\n%s", Patience, expression, last, p.Console(), page)
}

// WaitRunning waits until the program has taken over the page and shows a screen:
// it has a frame before, in which what is clicked may move away.
func (p *Tab) WaitRunning() {
	p.t.Helper()
	p.Wait(`document.documentElement.dataset.state === "running" && document.getElementById("app").dataset.view`)
	p.Settle()
}

// WaitOffline waits until the page says that it can do without a network.
func (p *Tab) WaitOffline() {
	p.t.Helper()
	p.Wait(`document.getElementById("offline") && document.getElementById("offline").textContent !== ""`)
}

// Console lists what the page wrote to the console, exceptions and the
// browser's own messages included.
func (p *Tab) Console() []string {
	p.mu.Lock()
	defer p.mu.Unlock()
	return slices.Clone(p.console)
}

// Requests lists the addresses the page asked for so far, whether they were
// answered by the server, by the worker or not at all.
func (p *Tab) Requests() []string {
	p.mu.Lock()
	defer p.mu.Unlock()
	return slices.Clone(p.requests)
}

// Refused lists what the security policy of the present document refused.
func (p *Tab) Refused() []string {
	p.t.Helper()
	return Eval[[]string](p, "window.__refused")
}

// Unreachable reports whether the page can fetch nothing from the server. A
// test of offline use asserts it first, or it may prove nothing.
func (p *Tab) Unreachable() bool {
	p.t.Helper()
	if c, err := net.Dial("tcp", p.srv.addr); err == nil {
		c.Close()
		return false
	}
	// The worker never answers for its own file.
	return Eval[bool](p, `fetch(document.documentElement.dataset.base + "worker.js?" + Math.random(), {cache: "no-store"}).then(() => false, () => true)`)
}

// Screenshot writes a picture of the page to a file, for people to look at.
func (p *Tab) Screenshot(file string) {
	p.t.Helper()
	ctx, cancel := context.WithTimeout(p.Ctx, Patience)
	defer cancel()
	b, err := chromedp.Run(ctx, chromedp.CaptureScreenshot())
	if err == nil {
		err = os.WriteFile(file, b, 0o644)
	}
	if err != nil {
		p.t.Fatal(err)
	}
}

package browser

import (
	"crypto/sha256"
	"encoding/base64"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"plainleaf/app/place"
	"plainleaf/build/server"
	"plainleaf/build/site"
)

// open serves the project's site and opens a tab on it.
func open(t *testing.T) (dir string, srv *Server, b *Browser, tab *Tab) {
	t.Helper()
	dir = Site(t, Options(t))
	srv = Serve(t, dir)
	b = Open(t, srv)
	return dir, srv, b, b.Tab()
}

func TestHolds(t *testing.T) {
	_, _, _, tab := open(t)
	for expression, want := range map[string]bool{
		"1": true, "0": false, "null": false, "document.body": true,
		"Promise.resolve(true)": true, "Promise.resolve(false)": false,
	} {
		if got, err := tab.Holds(expression); got != want || err != nil {
			t.Errorf("%s: %v, want %v (%v)", expression, got, want, err)
		}
	}
	if _, err := tab.Holds("Promise.reject(new Error())"); err == nil {
		t.Error("a rejected promise is no error")
	}
}

func TestEveryPlaceWorksOffline(t *testing.T) {
	_, srv, _, tab := open(t)
	tab.Goto("/en/")
	tab.WaitRunning()
	tab.WaitOffline()

	srv.Stop()
	if !tab.Unreachable() {
		t.Fatal("the server can still be reached, so this proves nothing")
	}
	paths := []string{"/", "/en/?x=1", "/ar/unknown/deep", "/es/chair"}
	for _, p := range place.All() {
		paths = append(paths, "/"+p.Path())
	}
	for _, path := range paths {
		tab.Goto(path)
		tab.WaitRunning()
		tab.Reload()
		tab.WaitRunning()
		lang := strings.Split(path+"en", "/")[1]
		if path == "/" {
			lang = "en"
		}
		l, _ := place.Find(lang)
		// The program fetches the words of a language before it shows the screen.
		tab.Wait(`document.querySelector("#app h1")`)
		got := Eval[[]string](tab, `[document.documentElement.lang, document.documentElement.dir, document.querySelectorAll("h1").length + ""]`)
		if want := []string{l.Tag, l.Dir, "1"}; !slices.Equal(got, want) {
			t.Errorf("%s: lang, dir, headings = %q, want %q", path, got, want)
		}
	}
}

func TestNothingLeavesTheOriginAndNothingIsRefused(t *testing.T) {
	_, srv, _, tab := open(t)
	for _, p := range place.All() {
		tab.Goto("/" + p.Path())
		tab.WaitRunning()
		tab.WaitOffline()
		if refused := tab.Refused(); len(refused) > 0 {
			t.Errorf("%s: the policy refused %q", p.Path(), refused)
		}
		if n := Eval[int](tab, `document.querySelectorAll("[style], style").length`); n > 0 {
			t.Errorf("%s: %d elements carry a style of their own", p.Path(), n)
		}
	}
	if out := srv.Outside(); len(out) > 0 {
		t.Errorf("requests outside the origin: %q", out)
	}
	for _, m := range tab.Console() {
		t.Errorf("console: %s", m)
	}
	for _, url := range tab.Requests() {
		if !strings.HasPrefix(url, srv.URL+"/") {
			t.Errorf("the page asked for %s", url)
		}
	}
	if len(srv.Requests()) == 0 || len(tab.Requests()) == 0 {
		t.Error("no request was recorded, so this proves nothing")
	}
}

// The checks of the test above must see what they look for.
func TestTheChecksSeeWhatTheyLookFor(t *testing.T) {
	_, srv, _, tab := open(t)
	tab.Goto("/en/")
	tab.WaitRunning()
	Eval[bool](tab, `(document.body.setAttribute("style", "height: 3000px"), true)`)
	tab.Wait(`window.__refused.some((r) => r.startsWith("style-src"))`)
	Eval[bool](tab, `fetch("http://127.0.0.1:1/").then(() => true, () => true)`)
	tab.Wait(`window.__refused.some((r) => r.startsWith("connect-src"))`)
	// A navigation is not a connection, so the record is what sees it.
	Eval[bool](tab, `(location.href = "http://outside.invalid/page", true)`)
	tab.Wait(`location.hostname === "outside.invalid" || location.protocol === "chrome-error:"`)
	if out := srv.Outside(); len(out) == 0 {
		t.Error("the server did not record a request outside the origin")
	}
	if !slices.Contains(tab.Requests(), "http://outside.invalid/page") {
		t.Error("the tab did not record a request outside the origin")
	}
}

// A sheet in a frame inherits the policy of the app. Its one constant
// stylesheet must apply, and any other must not.
func TestASheetInAFrameKeepsItsStyle(t *testing.T) {
	o := Options(t)
	o.SheetCSS = []byte("p{height:321px}")
	srv := Serve(t, Site(t, o))
	tab := Open(t, srv).Tab()
	tab.Goto("/en/")
	tab.WaitRunning()
	height := func(css string) float64 {
		hash := sha256.Sum256([]byte(css)) // the frame's own policy allows either
		sum := base64.StdEncoding.EncodeToString(hash[:])
		return Eval[float64](tab, `new Promise((done) => {
			const f = document.createElement("iframe");
			f.addEventListener("load", () => done(f.contentDocument.querySelector("p").getBoundingClientRect().height));
			f.srcdoc = '<!DOCTYPE html><html lang="en"><head><meta charset="utf-8"/><meta http-equiv="Content-Security-Policy" content="' +
				"default-src &#39;none&#39;; style-src &#39;sha256-`+sum+`&#39;" + '"/><style>`+css+`</style></head><body><p>a</p></body></html>';
			document.body.append(f);
		})`)
	}
	if h := height("p{height:321px}"); h != 321 {
		t.Errorf("the sheet's own style gave a height of %v, want 321", h)
	}
	if h := height("p{height:322px}"); h == 322 {
		t.Error("a style the policy does not know was applied")
	}
}

func TestLanguageSwitchStaysInTheProgram(t *testing.T) {
	_, _, _, tab := open(t)
	tab.Goto("/en/chair/")
	tab.WaitRunning()
	Eval[bool](tab, `window.stayed = true`)
	tab.Click("#fold-languages") // this window is so low that the menus are shut
	tab.Click(`a[hreflang="ar"]`)
	tab.Wait(`document.documentElement.lang === "ar"`)
	got := Eval[[]string](tab, `[document.documentElement.dir, location.pathname, String(window.stayed)]`)
	if want := []string{"rtl", "/ar/chair/", "true"}; !slices.Equal(got, want) {
		t.Errorf("dir, path, stayed = %q, want %q", got, want)
	}
	// The words of the bars follow, just as a page loaded in that language has them.
	tab.Wait(`new Promise((done, fail) => {
		const r = new XMLHttpRequest();
		r.open("GET", "/ar/chair/");
		r.responseType = "document";
		r.onload = () => done(r.response);
		r.onerror = fail;
		r.send();
	}).then((page) => {
		const fresh = page.body.dataset;
		const names = Object.keys(fresh).filter((n) => n.startsWith("shell"));
		return names.length > 5 && names.every((n) => document.body.dataset[n] === fresh[n]);
	})`)
}

func TestAProgramThatCannotStartLeavesTheText(t *testing.T) {
	for name, spoil := range map[string]func(tab *Tab, dir string){
		"the program is missing": func(_ *Tab, dir string) {
			for _, f := range glob(t, dir, "app.*.wasm*") {
				if err := os.Remove(f); err != nil {
					t.Fatal(err)
				}
			}
		},
		"storage is blocked": func(tab *Tab, _ string) {
			tab.OnNewDocument(`Object.defineProperty(window, "localStorage", { get() { throw new Error("blocked"); } });`)
		},
	} {
		t.Run(name, func(t *testing.T) {
			dir, _, _, tab := open(t)
			spoil(tab, dir)
			tab.Goto("/es/routes/")
			tab.Wait(`document.documentElement.dataset.state === "failed"`)
			got := Eval[[]string](tab, `[document.querySelector("#app h1").textContent, document.getElementById("status").textContent]`)
			o := Options(t)
			title, err := o.Text("es", "shell.title.routes")
			if err != nil {
				t.Fatal(err)
			}
			if got[0] != title {
				t.Errorf("heading %q, want %q", got[0], title)
			}
			starting, _ := o.Text("es", "shell.status.starting")
			if got[1] == "" || got[1] == starting {
				t.Errorf("the status line says %q", got[1])
			}
			if n := Eval[int](tab, `document.querySelectorAll(".bar").length`); n != 0 {
				t.Errorf("%d bars over a page that can be read", n)
			}
		})
	}
}

func TestAnErrorOffersAReload(t *testing.T) {
	_, _, _, tab := open(t)
	tab.Goto("/ar/")
	tab.WaitRunning()
	if n := Eval[int](tab, `document.querySelectorAll(".bar").length`); n != 0 {
		t.Fatalf("%d bars at the start", n)
	}
	Eval[bool](tab, `(setTimeout(() => { throw new Error("planted"); }), window.before = true)`)
	tab.Wait(`document.querySelector('[data-bar="Stopped"]')`)
	tab.Click(`[data-bar="Stopped"] button`)
	tab.Wait(`window.before === undefined`)
	tab.WaitRunning()
}

// next makes options for another version of the same site.
func next(t *testing.T) site.Options {
	o := Options(t)
	o.Wordings = maps.Clone(o.Wordings)
	o.Wordings["es"] = append(slices.Clone(o.Wordings["es"]), "\n"...)
	return o
}

// A published update with one file missing or spoiled must leave the version
// at hand whole: after every window was closed, it still opens without a server.
func TestAFailedUpdateKeepsTheOldVersion(t *testing.T) {
	for name, spoil := range map[string]func(file string) error{
		"missing": os.Remove,
		"spoiled": func(file string) error {
			b, err := os.ReadFile(file)
			if err != nil {
				return err
			}
			b[len(b)/2] ^= 1
			return os.WriteFile(file, b, 0o644)
		},
		"cut short": func(file string) error { return os.Truncate(file, 1) },
	} {
		t.Run(name, func(t *testing.T) {
			dir, srv, b, tab := open(t)
			tab.Goto("/en/")
			tab.WaitRunning()
			tab.WaitOffline()
			old := Eval[[]string](tab, `caches.keys()`)
			if len(old) != 1 {
				t.Fatalf("caches %q, want one", old)
			}

			Publish(t, next(t), dir)
			for _, f := range glob(t, dir, "wording/es.*.json*") {
				if strings.HasSuffix(f, ".json") {
					if err := spoil(f); err != nil {
						t.Fatal(err)
					}
				} else if err := os.Remove(f); err != nil {
					t.Fatal(err)
				}
			}
			// The update is found and given up.
			state := Eval[string](tab, `(async () => {
				const r = await navigator.serviceWorker.ready;
				const found = new Promise((done) => r.addEventListener("updatefound", () => {
					const w = r.installing;
					w.addEventListener("statechange", () => done(w.state));
				}));
				await r.update().catch(() => {});
				return found;
			})()`)
			if state != "redundant" {
				t.Fatalf("the broken update became %q, want redundant", state)
			}
			if n := Eval[int](tab, `document.querySelectorAll('[data-bar="Update"]').length`); n != 0 {
				t.Error("the broken update was offered")
			}

			fresh := b.Tab()
			tab.Close()
			srv.Stop()
			fresh.Goto("/ar/sheets/")
			fresh.WaitRunning()
			if !fresh.Unreachable() {
				t.Fatal("the server can still be reached, so this proves nothing")
			}
			if now := Eval[[]string](fresh, `caches.keys()`); !slices.Equal(now, old) {
				t.Errorf("caches %q, want %q", now, old)
			}
			fresh.WaitOffline()
		})
	}
}

func TestAnUpdateWaitsForTheTap(t *testing.T) {
	dir, srv, _, tab := open(t)
	tab.Goto("/es/")
	tab.WaitRunning()
	tab.WaitOffline()
	old := Eval[[]string](tab, `caches.keys()`)

	before := len(srv.Requests())
	Publish(t, next(t), dir)
	Eval[bool](tab, `navigator.serviceWorker.ready.then((r) => r.update()).then(() => window.before = true)`)
	tab.Wait(`document.querySelector('[data-bar="Update"]')`)
	// What was at hand under an unchanged name is not fetched again.
	for _, path := range srv.Requests()[before:] {
		if strings.HasSuffix(path, ".wasm") {
			t.Error("the unchanged program was fetched again")
		}
	}
	// It lies over the foot of the screen until it is put away, and comes back with
	// the next start.
	const over = `document.elementFromPoint(innerWidth / 2, innerHeight - 4).closest(".bar")`
	tab.Wait(over)
	tab.Click(`[data-bar="Update"] button:nth-of-type(2)`)
	tab.Wait(`!document.querySelector('[data-bar="Update"]').checkVisibility() && !(` + over + `)`)
	tab.Reload()
	tab.WaitRunning()
	tab.WaitOffline()
	tab.Wait(`document.querySelector("#app h1") && document.querySelector('[data-bar="Update"]')`)
	if now := Eval[[]string](tab, `caches.keys()`); !slices.Contains(now, old[0]) || len(now) != 2 {
		t.Fatalf("before the tap: caches %q, want %q and the new one", now, old)
	}
	text := Eval[string](tab, `document.querySelector('[data-bar="Update"] p').textContent`)
	if want, err := Options(t).Text("es", "shell.update.text"); err != nil || text != want {
		t.Errorf("the bar says %q, want %q (%v)", text, want, err)
	}

	Eval[bool](tab, `window.before = true`)
	tab.Click(`[data-bar="Update"] button`)
	tab.Wait(`window.before === undefined`)
	tab.WaitRunning()
	tab.Wait(`caches.keys().then((k) => k.length === 1 && k[0] !== ` + strconv.Quote(old[0]) + `)`)
	tab.WaitOffline()
	srv.Stop()
	tab.Goto("/en/evidence/")
	tab.WaitRunning()
}

// The worker's list names everything the app is made of and nothing else, and
// never the worker itself.
func TestTheWorkerKeepsEveryFile(t *testing.T) {
	dir, _, _, tab := open(t)
	tab.Goto("/en/")
	tab.WaitRunning()
	tab.WaitOffline()
	kept := Eval[[]string](tab, `caches.keys().then((k) => caches.open(k[0])).then((c) => c.keys()).then((r) => r.map((x) => new URL(x.url).pathname))`)
	l, err := server.Load(dir)
	if err != nil {
		t.Fatal(err)
	}
	var want []string
	for name := range l.Files {
		if name != "worker.js" {
			want = append(want, "/"+strings.TrimSuffix(name, "index.html"))
		}
	}
	slices.Sort(kept)
	slices.Sort(want)
	if !slices.Equal(kept, want) {
		t.Errorf("kept %q\nwant %q", kept, want)
	}
	// What is kept can be read: bytes as published, not packed ones.
	name := strings.TrimPrefix(Eval[string](tab, `document.documentElement.dataset.wasm`), "/")
	size := Eval[int](tab, `caches.match("/`+name+`").then((r) => r.arrayBuffer()).then((b) => b.byteLength)`)
	if b, err := os.ReadFile(filepath.Join(dir, name)); err != nil || len(b) != size {
		t.Errorf("the program kept has %d bytes, the one published %d (%v)", size, len(b), err)
	}
}

func glob(t *testing.T, dir, pattern string) []string {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(dir, pattern))
	if err != nil || len(files) == 0 {
		t.Fatalf("no file %s (%v)", pattern, err)
	}
	return files
}

package site

import (
	"bytes"
	"encoding/json"
	"errors"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"plainleaf/app/place"
	"plainleaf/i18n"
)

// sample is a site around bytes that only look like a program. Its words hold
// what must not reach the page unescaped, and what an escaper must not change.
func sample() Options {
	return Options{
		Wasm:     append([]byte("\x00asm"), bytes.Repeat([]byte("program "), 5000)...),
		Exec:     []byte("// exec\n"),
		SheetCSS: []byte("p{margin:0}"),
		Text: func(tag, id string) (string, error) {
			return tag + " " + id + " \"<b>&'\u00a0\u2068\u200f\u2028", nil
		},
		Wordings: map[string][]byte{"ar": []byte(`{"a":"b"}`), "es": []byte(`{"a":"c"}`)},
		Brotli:   5,
	}
}

func make1(t *testing.T, o Options) Site {
	t.Helper()
	s, err := Build(o)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func TestTwoRunsAreTheSame(t *testing.T) {
	a := make1(t, sample())
	kept.Clear() // or the second run would only copy the first one's packing
	b := make1(t, sample())
	if !maps.EqualFunc(a, b, bytes.Equal) {
		t.Error("two runs differ")
	}
	dirs := [2]string{filepath.Join(t.TempDir(), "a"), filepath.Join(t.TempDir(), "b")}
	for i, s := range []Site{a, b} {
		if err := s.Write(dirs[i]); err != nil {
			t.Fatal(err)
		}
	}
	one, two := tree(t, dirs[0]), tree(t, dirs[1])
	if len(one) != len(a) || !maps.Equal(one, two) {
		t.Errorf("written: %d and %d files of %d", len(one), len(two), len(a))
	}
}

func tree(t *testing.T, dir string) map[string]string {
	t.Helper()
	all := map[string]string{}
	err := filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		b, err := os.ReadFile(path)
		rel, _ := filepath.Rel(dir, path)
		all[filepath.ToSlash(rel)] = string(b)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return all
}

func TestEveryPageIsWhole(t *testing.T) {
	o := sample()
	o.Base = "/leaf/"
	s := make1(t, o)
	for _, p := range place.All() {
		name := p.Path() + "index.html"
		page, ok := s[name]
		if !ok {
			t.Errorf("%s is missing", name)
			continue
		}
		doc, err := html.Parse(bytes.NewReader(page))
		if err != nil {
			t.Fatal(err)
		}
		l, _ := place.Find(p.Lang)
		want, _ := o.Text(p.Lang, "shell.title."+place.Key(p.View))
		got := map[string]string{}
		for n := range doc.Descendants() {
			if n.Type != html.ElementNode {
				continue
			}
			switch n.Data {
			case "html":
				got["lang"], got["dir"] = attr(n, "lang"), attr(n, "dir")
				var wordings map[string]string
				if err := json.Unmarshal([]byte(attr(n, "data-wordings")), &wordings); err != nil {
					t.Errorf("%s: data-wordings: %v", name, err)
				}
				for tag, path := range wordings {
					if !bytes.Equal(s[strings.TrimPrefix(path, "/leaf/")], o.Wordings[tag]) {
						t.Errorf("%s: the wording of %s is not at %s", name, tag, path)
					}
				}
				if len(wordings) != len(o.Wordings) {
					t.Errorf("%s: %d wordings, want %d", name, len(wordings), len(o.Wordings))
				}
			case "h1":
				got["h1"] = n.FirstChild.Data
			case "script":
				if n.FirstChild != nil || attr(n, "src") == "" {
					t.Errorf("%s: an inline script", name)
				}
			case "style":
				t.Errorf("%s: an inline style", name)
			case "b":
				t.Errorf("%s: a word became markup", name)
			case "body":
				first := n.FirstChild
				if attr(first, "id") != "app" {
					t.Errorf("%s: the first element of the body is %s", name, attr(first, "id"))
				}
			}
			for _, a := range n.Attr {
				if a.Key == "style" || strings.HasPrefix(a.Key, "on") {
					t.Errorf("%s: attribute %s", name, a.Key)
				}
				if a.Key == "href" || a.Key == "src" || a.Key == "data-wasm" {
					target, under := strings.CutPrefix(a.Val, "/leaf/")
					if strings.HasSuffix(target, "/") {
						target += "index.html"
					}
					if _, ok := s[target]; !under || !ok {
						t.Errorf("%s: %s leads to %s, which is not there", name, a.Key, a.Val)
					}
				}
			}
		}
		if got["lang"] != l.Tag || got["dir"] != l.Dir || got["h1"] != want {
			t.Errorf("%s: %q, want %q %q %q", name, got, l.Tag, l.Dir, want)
		}
	}
}

func attr(n *html.Node, key string) string {
	for _, a := range n.Attr {
		if a.Key == key {
			return a.Val
		}
	}
	return ""
}

func TestManifests(t *testing.T) {
	s := make1(t, sample())
	for _, l := range place.Languages {
		var m struct {
			ID, Lang, Dir, Scope string
			StartURL             string `json:"start_url"`
			Icons                []struct{ Src, Purpose string }
		}
		if err := json.Unmarshal(s[l.Tag+"/app.webmanifest"], &m); err != nil {
			t.Fatal(err)
		}
		if m.ID != "/" || m.Lang != l.Tag || m.Dir != l.Dir || m.Scope != "/" || m.StartURL != "/"+l.Tag+"/" {
			t.Errorf("%s: %+v", l.Tag, m)
		}
		mask := 0
		for _, i := range m.Icons {
			if _, ok := s[strings.TrimPrefix(i.Src, "/")]; !ok {
				t.Errorf("%s: no icon %s", l.Tag, i.Src)
			}
			if i.Purpose == "maskable" {
				mask++
			}
		}
		if len(m.Icons) != 4 || mask != 1 {
			t.Errorf("%s: %d icons, %d maskable", l.Tag, len(m.Icons), mask)
		}
	}
}

func TestTheListingAndTheWorkerNameTheSameBytes(t *testing.T) {
	s := make1(t, sample())
	var l Listing
	if err := json.Unmarshal(s[ListingName], &l); err != nil {
		t.Fatal(err)
	}
	worker := string(s[workerName])
	for name, sum := range l.Files {
		if got := digest(s[name]); got != sum {
			t.Errorf("%s: listed as %s, is %s", name, sum, got)
		}
		entry := `"` + strings.TrimSuffix(name, "index.html") + `": "` + sum + `"`
		if strings.Contains(worker, entry) == (name == workerName) {
			t.Errorf("%s: in the worker's list: %v", name, name != workerName)
		}
	}
	if strings.Contains(worker, "@") {
		t.Error("a mark was left in the worker")
	}
	packed := regexp.MustCompile(`\.(br|gz)$`)
	for name := range s {
		if _, ok := l.Files[name]; !ok && name != ListingName && name != HeadersName && !packed.MatchString(name) {
			t.Errorf("%s is not listed", name)
		}
	}
	for _, name := range []string{"app." + digest(sample().Wasm)[:16] + ".wasm", "index.html", workerName} {
		for _, ext := range []string{".br", ".gz"} {
			if _, ok := s[name+ext]; !ok {
				t.Errorf("%s%s is missing", name, ext)
			}
		}
	}
}

// Any change of any file makes another version of the worker.
func TestTheVersionFollowsTheFiles(t *testing.T) {
	version := func(o Options) string {
		m := regexp.MustCompile(`VERSION = "([0-9a-f]{16})"`).FindSubmatch(make1(t, o)[workerName])
		if m == nil {
			t.Fatal("the worker has no version")
		}
		return string(m[1])
	}
	seen := []string{version(sample())}
	for _, change := range []func(o *Options){
		func(o *Options) { o.Wasm = append(o.Wasm, 1) },
		func(o *Options) { o.Exec = []byte("// other\n") },
		func(o *Options) { o.Home = "ar" },
		func(o *Options) { o.SheetCSS = nil },
		func(o *Options) { o.Wordings = map[string][]byte{"ar": []byte(`{"a":"B"}`), "es": []byte(`{"a":"c"}`)} },
	} {
		o := sample()
		change(&o)
		v := version(o)
		if slices.Contains(seen, v) {
			t.Errorf("change %d gave the version of an earlier one", len(seen))
		}
		seen = append(seen, v)
	}
	if version(sample()) != seen[0] {
		t.Error("the same files gave another version")
	}
}

func TestFaultsFailTheBuild(t *testing.T) {
	for name, spoil := range map[string]func(o *Options){
		"a missing message": func(o *Options) {
			text := o.Text
			o.Text = func(tag, id string) (string, error) {
				if tag == "ar" && id == "shell.update.text" {
					return "", errors.New("no such message")
				}
				return text(tag, id)
			}
		},
		"a base without slashes": func(o *Options) { o.Base = "leaf" },
		"an unknown home":        func(o *Options) { o.Home = "xx" },
	} {
		o := sample()
		spoil(&o)
		if s, err := Build(o); err == nil || s != nil {
			t.Errorf("%s: %d files, %v", name, len(s), err)
		}
	}
}

func TestWriteReplacesOnlySites(t *testing.T) {
	parent := t.TempDir()
	dir := filepath.Join(parent, "site")
	s := make1(t, sample())
	if err := s.Write(dir); err != nil {
		t.Fatal(err)
	}
	stale := filepath.Join(dir, "stale.html")
	if err := os.WriteFile(stale, nil, 0o644); err != nil {
		t.Fatal(err)
	}
	if err := s.Write(dir); err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(stale); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("a stale file is still there (%v)", err)
	}

	precious := filepath.Join(parent, "precious")
	if err := os.MkdirAll(precious, 0o755); err != nil {
		t.Fatal(err)
	}
	letter := filepath.Join(precious, "letter.txt")
	if err := os.WriteFile(letter, []byte("dear"), 0o644); err != nil {
		t.Fatal(err)
	}
	if err := s.Write(precious); err == nil {
		t.Error("a folder that holds something else was replaced")
	}
	if b, err := os.ReadFile(letter); err != nil || string(b) != "dear" {
		t.Errorf("the letter: %q, %v", b, err)
	}
	entries, err := os.ReadDir(parent)
	if err != nil || len(entries) != 2 {
		t.Errorf("left behind: %v (%v)", entries, err)
	}
}

// The project's own words: every language has every message the shell shows.
func TestTheProjectsWords(t *testing.T) {
	var o Options
	if err := o.speak(i18n.Languages()); err != nil {
		t.Fatal(err)
	}
	o.Wasm, o.Exec, o.Brotli = []byte("\x00asm"), []byte("//"), 1
	s := make1(t, o)
	if _, ok := s["ar/chair/index.html"]; !ok {
		t.Error("no Arabic page")
	}
	if len(o.Wordings) != 2*(len(place.Languages)-1) {
		t.Errorf("%d wording and state files for %d languages, one of them embedded", len(o.Wordings), len(place.Languages))
	}
}

// A language for sheets only has its words in the site and no page; a parked one has
// nothing there.
func TestTiers(t *testing.T) {
	all := i18n.All()
	for i := range all {
		if all[i].Tag == "es" {
			all[i].Tier = i18n.Sheets
		}
	}
	was := place.Languages
	t.Cleanup(func() { place.Languages = was })
	place.Languages = i18n.In(all, i18n.Full)
	var o Options
	if err := o.speak(i18n.In(all, i18n.Full, i18n.Sheets)); err != nil {
		t.Fatal(err)
	}
	o.Wasm, o.Exec, o.Brotli = []byte("\x00asm"), []byte("//"), 1
	pages, words := map[string]bool{}, map[string]bool{}
	for name := range make1(t, o) {
		folder, rest, _ := strings.Cut(name, "/")
		tag, _, _ := strings.Cut(rest, ".")
		if folder == "wording" {
			words[tag] = true
		} else if strings.HasSuffix(name, ".html") || strings.HasSuffix(name, ".webmanifest") {
			pages[folder] = true
		}
	}
	delete(pages, "index.html")
	if got := strings.Join(slices.Sorted(maps.Keys(pages)), " "); got != "ar en" {
		t.Errorf("pages in %s", got)
	}
	if got := strings.Join(slices.Sorted(maps.Keys(words)), " "); got != "ar es state/ar state/es" {
		t.Errorf("words of %s", got)
	}
}

// Where folders can be exchanged, a reader finds a whole site at every moment.
func TestThereIsAlwaysASite(t *testing.T) {
	root := t.TempDir()
	a, b := filepath.Join(root, "a"), filepath.Join(root, "b")
	for _, d := range []string{a, b} {
		if err := os.Mkdir(d, 0o755); err != nil {
			t.Fatal(err)
		}
	}
	if !exchange(a, b) {
		t.Skip("no exchange of folders on this system")
	}
	dir := filepath.Join(root, "out")
	s := Site{ListingName: []byte("{}\n"), "index.html": []byte("<!doctype html>\n")}
	if err := s.Write(dir); err != nil {
		t.Fatal(err)
	}
	done, gone := make(chan bool), make(chan int)
	go func() {
		n := 0
		for {
			select {
			case <-done:
				gone <- n
				return
			default:
				if _, err := os.Stat(filepath.Join(dir, "index.html")); err != nil {
					n++
				}
			}
		}
	}()
	for range 60 {
		if err := s.Write(dir); err != nil {
			t.Fatal(err)
		}
	}
	close(done)
	if n := <-gone; n > 0 {
		t.Errorf("the site was not there %d times", n)
	}
	if list, _ := os.ReadDir(root); len(list) != 3 {
		t.Errorf("%d entries are left beside the site", len(list)-3)
	}
}

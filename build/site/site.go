// Package site makes the static site: pages, scripts, the browser program, the
// wording files and the worker that keeps them offline.
package site

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"path"
	"slices"
	"strings"
	"sync"

	"github.com/andybalholm/brotli"

	"plainleaf/app/place"
	"plainleaf/app/shell"
	"plainleaf/build/licences"
)

// Options are what a site is made of.
type Options struct {
	Wasm []byte // the browser program
	Exec []byte // wasm_exec.js of the toolchain that built it
	Base string // folder of the site on its host: "/" or "/name/"; empty is "/"
	Home string // language the top page leads to; empty is the first one

	// SheetCSS is the constant stylesheet that sheets carry; the policy allows
	// it by its hash.
	SheetCSS []byte

	// Text answers a message id in a language. An error fails the build.
	Text func(tag, id string) (string, error)

	// Wordings are the wording files by language tag, without the embedded one.
	Wordings map[string][]byte

	// Licences are those of all that the site and the command contain.
	Licences []byte

	// Brotli is the compression level, 1 to 11; 0 is 11.
	Brotli int
}

// Site is a finished site in memory: slash-separated paths to bytes.
type Site map[string][]byte

// Listing is the site's own account of itself, kept in ListingName for the
// server. The worker's file is in it as well.
type Listing struct {
	Policy string            `json:"policy"` // for the HTTP header
	Files  map[string]string `json:"files"`  // path to SHA-256, compressed copies left out
}

// ListingName is the file the listing is kept in. It is not part of the app.
const ListingName = "site.json"

const workerName = "worker.js"

// Named reports whether a path carries its content's digest in its name, so
// that its bytes never change.
func Named(name, sum string) bool {
	return strings.Contains(path.Base(name), "."+sum[:16]+".")
}

func digest(b []byte) string {
	sum := sha256.Sum256(b)
	return hex.EncodeToString(sum[:])
}

// builder collects files, and the first error.
type builder struct {
	base  string
	files Site
	err   error
}

// named adds a file whose name carries its digest and answers its absolute
// path. "icon.svg" becomes "/icon.0123456789abcdef.svg".
func (b *builder) named(name string, content []byte) string {
	ext := path.Ext(name)
	name = strings.TrimSuffix(name, ext) + "." + digest(content)[:16] + ext
	b.files[name] = content
	return b.base + name
}

func (b *builder) add(name string, content []byte, err error) {
	if err != nil {
		b.err = errors.Join(b.err, fmt.Errorf("%s: %w", name, err))
		return
	}
	b.files[name] = content
}

// Build makes the site. The same options give the same bytes.
func Build(o Options) (Site, error) {
	if o.Base == "" {
		o.Base = "/"
	}
	if !strings.HasPrefix(o.Base, "/") || !strings.HasSuffix(o.Base, "/") {
		return nil, fmt.Errorf("base %q: it must start and end with a slash", o.Base)
	}
	if o.Home == "" {
		o.Home = place.Languages[0].Tag
	}
	if _, ok := place.Find(o.Home); !ok {
		return nil, fmt.Errorf("home language %q: not one of the app's languages", o.Home)
	}

	b := &builder{base: o.Base, files: Site{}}
	words := func(tag string) shell.Words {
		return func(id string) string {
			s, err := o.Text(tag, id)
			if err != nil {
				b.err = errors.Join(b.err, fmt.Errorf("words of %s: %w", tag, err))
			}
			return s
		}
	}

	assets := shell.Assets{
		Base:     o.Base,
		Wasm:     b.named("app.wasm", o.Wasm),
		Exec:     b.named("wasm_exec.js", o.Exec),
		Keep:     b.named("keep.js", shell.Keep),
		Keys:     b.named("keys.js", shell.Keys),
		Boot:     b.named("boot.js", shell.Boot),
		CSS:      b.named("app.css", shell.CSS),
		OldCSS:   b.named("old.css", shell.OldCSS),
		NewCSS:   b.named("new.css", shell.NewCSS),
		Icon:     b.named("icon.svg", shell.IconSVG),
		TouchPNG: b.named("icon-180.png", shell.Icon180),
		Wordings: map[string]string{},
		Policy:   shell.Policy(o.SheetCSS),
	}
	for _, tag := range slices.Sorted(maps.Keys(o.Wordings)) {
		assets.Wordings[tag] = b.named("wording/"+tag+".json", o.Wordings[tag])
	}
	icons := shell.ManifestIcons{
		SVG:    assets.Icon,
		PNG192: b.named("icon-192.png", shell.Icon192),
		PNG512: b.named("icon-512.png", shell.Icon512),
		Mask:   b.named("icon-mask.png", shell.IconMask),
	}

	manifests := map[string]string{}
	for _, l := range place.Languages {
		m, err := shell.Manifest(l, o.Base, icons, words(l.Tag))
		name := l.Tag + "/app.webmanifest"
		b.add(name, m, err)
		manifests[l.Tag] = o.Base + name
	}
	for _, p := range place.All() {
		a := assets
		a.Manifest = manifests[p.Lang]
		page, err := shell.Page(p, a, words(p.Lang))
		b.add(p.Path()+"index.html", page, err)
	}
	root, err := shell.Root(o.Home, assets, words(o.Home))
	b.add("index.html", root, err)

	if o.Licences != nil {
		b.files[licences.Name] = o.Licences
	}

	sorry := map[string]string{}
	for _, l := range place.Languages {
		page, err := shell.Sorry(l, assets, words(l.Tag))
		b.err = errors.Join(b.err, err)
		sorry[l.Tag] = string(page)
	}
	sorry[""] = sorry[o.Home]
	worker, err := worker(b.files, sorry)
	b.add(workerName, worker, err)
	if b.err != nil {
		return nil, b.err
	}

	listing := Listing{Policy: shell.HeaderPolicy(o.SheetCSS), Files: map[string]string{}}
	for name, content := range b.files {
		listing.Files[name] = digest(content)
	}
	if err := compress(b.files, o.Brotli); err != nil {
		return nil, err
	}
	text, err := json.MarshalIndent(listing, "", " ")
	if err != nil {
		return nil, err
	}
	b.files[ListingName] = append(text, '\n')
	b.files[HeadersName] = headersFile(listing.Policy)
	return b.files, nil
}

// worker fills the worker's list with everything made so far, and its pages for
// what cannot be shown. Pages are listed by the address of their folder, which is
// what a browser asks for.
func worker(files Site, sorry map[string]string) ([]byte, error) {
	list := map[string]string{}
	for name, content := range files {
		list[strings.TrimSuffix(name, "index.html")] = digest(content)
	}
	out := shell.Worker
	for _, fill := range []struct {
		mark string
		with map[string]string
	}{{`"@files@"`, list}, {`"@sorry@"`, sorry}} {
		text, err := json.MarshalIndent(fill.with, "", " ") // keys come out sorted
		if err != nil {
			return nil, err
		}
		if bytes.Count(out, []byte(fill.mark)) != 1 {
			return nil, fmt.Errorf("the template must hold %s once", fill.mark)
		}
		out = bytes.Replace(out, []byte(fill.mark), text, 1)
	}
	if bytes.Count(out, []byte(`"@version@"`)) != 1 {
		return nil, errors.New(`the template must hold "@version@" once`)
	}
	version := digest(out)[:16]
	return bytes.Replace(out, []byte("@version@"), []byte(version), 1), nil
}

// compress adds .br and .gz copies where they are smaller.
func compress(files Site, level int) error {
	if level == 0 {
		level = brotli.BestCompression
	}
	for _, name := range slices.Sorted(maps.Keys(files)) {
		plain := files[name]
		if path.Ext(name) == ".png" {
			continue
		}
		br, gz, err := packed(plain, level)
		if err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
		if len(br) < len(plain) {
			files[name+".br"] = br
		}
		if len(gz) < len(plain) {
			files[name+".gz"] = gz
		}
	}
	return nil
}

// kept remembers packed forms by level and content, since the tests of one
// process build sites that differ in one small file.
var kept sync.Map

func packed(plain []byte, level int) (br, gz []byte, err error) {
	key := fmt.Sprint(level, " ", digest(plain))
	if p, ok := kept.Load(key); ok {
		p := p.([2][]byte)
		return p[0], p[1], nil
	}
	br, gz, err = Compressed(plain, level)
	if err == nil {
		kept.Store(key, [2][]byte{br, gz})
	}
	return br, gz, err
}

// Compressed packs bytes with brotli at the given level and with gzip -9.
func Compressed(plain []byte, level int) (br, gz []byte, err error) {
	var b, g bytes.Buffer
	bw := brotli.NewWriterLevel(&b, level)
	gw, err := gzip.NewWriterLevel(&g, gzip.BestCompression)
	if err != nil {
		return nil, nil, err
	}
	done := make(chan error, 1)
	go func() {
		_, err := bw.Write(plain)
		done <- errors.Join(err, bw.Close())
	}()
	_, err = gw.Write(plain)
	err = errors.Join(err, gw.Close(), <-done)
	return b.Bytes(), g.Bytes(), err
}

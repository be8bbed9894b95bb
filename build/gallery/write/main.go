//go:build !js

// Command write makes a folder with the gallery of the parts, to be served at the top of
// a site: go run ./build/gallery/write DIR
package main

import (
	"fmt"
	"os"
	"path/filepath"

	"plainleaf/app/shell"
	"plainleaf/build/gallery"
	"plainleaf/build/wasm"
)

const page = `<!doctype html>
<html lang="%s" dir="%s">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="%s">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>%s</title>
<link rel="stylesheet" href="/parts.css">
<script defer src="/exec.js"></script>
<script defer src="/start.js"></script>
</head>
<body><div></div></body>
</html>
`

const start = `window.goappGetenv = () => "";
window.goappTryUpdate = () => {};
const go = new Go();
WebAssembly.instantiateStreaming(fetch("/program.wasm"), go.importObject).then(({ instance }) => go.run(instance));
`

func main() {
	if len(os.Args) != 2 {
		fmt.Fprintln(os.Stderr, "usage: go run ./build/gallery/write DIR")
		os.Exit(2)
	}
	if err := write(os.Args[1]); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

func write(dir string) error {
	root, err := wasm.Root()
	if err != nil {
		return err
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return err
	}
	if err := wasm.BuildPlain(root, "./build/gallery/program", filepath.Join(dir, "program.wasm")); err != nil {
		return err
	}
	exec, err := wasm.Exec()
	if err != nil {
		return err
	}
	files := map[string][]byte{"exec.js": exec, "start.js": []byte(start), "parts.css": shell.PartsCSS}
	for _, lang := range gallery.Langs {
		for _, name := range gallery.Names {
			direction := "ltr"
			if lang == "ar" {
				direction = "rtl"
			}
			files[filepath.Join(lang, name, "index.html")] = fmt.Appendf(nil, page, lang, direction, shell.Policy(nil), name)
		}
	}
	for name, data := range files {
		file := filepath.Join(dir, name)
		if err := os.MkdirAll(filepath.Dir(file), 0o755); err != nil {
			return err
		}
		if err := os.WriteFile(file, data, 0o644); err != nil {
			return err
		}
	}
	return nil
}

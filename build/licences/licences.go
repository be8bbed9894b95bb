// Package licences gathers the licences of what is in the browser program and in the
// command, from the modules that they are compiled from.
package licences

import (
	"bytes"
	_ "embed"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
)

// Name of the file in a site.
const Name = "licences.txt"

// goText is Go's own licence. Some systems install Go without it; a test compares it
// with the one of a Go that has it.
//
//go:embed go.txt
var goText []byte

// Module is a Go module that a program is compiled from.
type Module struct {
	Path, Version, Dir string
}

// programs are what is looked at. The system of the command is fixed, so that the file
// is the same wherever a site is made.
var programs = []struct{ name, os, arch string }{{"the app", "js", "wasm"}, {"the command", "linux", "amd64"}}

// Modules lists what a program of the project in root is compiled from, the project
// itself and Go left out.
func Modules(root, goos, goarch string) ([]Module, error) {
	cmd := exec.Command("go", "list", "-deps", "-json=Module", "./app")
	cmd.Dir = root
	cmd.Env = append(os.Environ(), "GOOS="+goos, "GOARCH="+goarch)
	var msg bytes.Buffer
	cmd.Stderr = &msg
	out, err := cmd.Output()
	if err != nil {
		return nil, fmt.Errorf("go list for %s: %w\n%s", goos, err, msg.Bytes())
	}
	all := map[string]Module{}
	for d := json.NewDecoder(bytes.NewReader(out)); ; {
		var p struct {
			Module *struct {
				Module
				Main bool
			}
		}
		if err := d.Decode(&p); errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			return nil, fmt.Errorf("go list for %s: %w", goos, err)
		}
		if p.Module != nil && !p.Module.Main {
			all[p.Module.Path] = p.Module.Module
		}
	}
	var list []Module
	for _, path := range slices.Sorted(maps.Keys(all)) {
		list = append(list, all[path])
	}
	return list, nil
}

// Text is the file for the project in root: every part with the name of its licence,
// and each text once. A part without a licence that is known here is an error.
func Text(root string) ([]byte, error) {
	b := &book{number: map[string]int{}}
	unicode, err := os.ReadFile(filepath.Join(root, "i18n", "LICENSE-unicode.txt"))
	if err != nil {
		return nil, err
	}
	b.add("Go, its standard library and wasm_exec.js (the app, the command)", goText)
	b.add("Unicode CLDR, tables of languages (the app, the command)", unicode)
	var wrong error
	modules, users := map[string]Module{}, map[string][]string{}
	for _, p := range programs {
		list, err := Modules(root, p.os, p.arch)
		if err != nil {
			return nil, err
		}
		for _, m := range list {
			modules[m.Path] = m
			users[m.Path] = append(users[m.Path], p.name)
		}
	}
	for _, path := range slices.Sorted(maps.Keys(modules)) {
		m := modules[path]
		texts, err := ofModule(m)
		wrong = errors.Join(wrong, err)
		b.add(fmt.Sprintf("%s %s (%s)", m.Path, m.Version, strings.Join(users[path], ", ")), texts...)
	}
	if wrong != nil {
		return nil, wrong
	}
	return b.text(), nil
}

// files are those that hold a module's licence, or what has to be kept with it.
var files = regexp.MustCompile(`(?i)^(licen[cs]e|copying|notice)([.-].*)?$`)

// ofModule reads a module's licence and notices.
func ofModule(m Module) (texts [][]byte, err error) {
	entries, err := os.ReadDir(m.Dir)
	if err != nil || m.Dir == "" {
		return nil, fmt.Errorf("%s %s: its sources are not there, so its licence cannot be read (%v): run go mod download", m.Path, m.Version, err)
	}
	for _, e := range entries {
		if !files.MatchString(e.Name()) || e.IsDir() {
			continue
		}
		text, err := os.ReadFile(filepath.Join(m.Dir, e.Name()))
		if err != nil {
			return nil, err
		}
		if notice := strings.HasPrefix(strings.ToLower(e.Name()), "notice"); !notice && name(text) == "" {
			return nil, fmt.Errorf("%s %s: %s is no licence that build/licences knows: read it, and add it there or leave the module",
				m.Path, m.Version, e.Name())
		}
		texts = append(texts, text)
	}
	if len(texts) == 0 {
		return nil, fmt.Errorf("%s %s: no licence in its sources (%s)", m.Path, m.Version, m.Dir)
	}
	return texts, nil
}

// known are licences by what all copies of one say and no other does. One that is not
// here has to be read by somebody first.
var known = []struct {
	name   string
	phrase []string
}{
	{"MIT", []string{"permission is hereby granted, free of charge", "the above copyright notice and this permission notice shall be included"}},
	{"BSD-3-Clause", []string{"redistribution and use in source and binary forms", "neither the name of"}},
	{"BSD-2-Clause", []string{"redistribution and use in source and binary forms"}},
	{"ISC", []string{"permission to use, copy, modify, and/or distribute this software for any purpose with or without fee"}},
	{"Apache-2.0", []string{"apache license version 2.0, january 2004"}},
	{"Unicode-3.0", []string{"unicode license v3"}},
}

// name tells which licence a text is, "" where it is none that is known.
func name(text []byte) string {
	all := strings.ToLower(strings.Join(strings.Fields(string(text)), " "))
	for _, k := range known {
		if !slices.ContainsFunc(k.phrase, func(p string) bool { return !strings.Contains(all, p) }) {
			return k.name
		}
	}
	return ""
}

// book is the file in the making.
type book struct {
	parts  strings.Builder
	number map[string]int // of each text
	texts  []string
}

func (b *book) add(part string, texts ...[]byte) {
	var licences, where []string
	for _, t := range texts {
		text := strings.TrimSpace(strings.ReplaceAll(string(t), "\r\n", "\n"))
		if l := name(t); l != "" && !slices.Contains(licences, l) { // a notice is none
			licences = append(licences, l)
		}
		if b.number[text] == 0 {
			b.texts = append(b.texts, text)
			b.number[text] = len(b.texts)
		}
		where = append(where, fmt.Sprintf("text %d", b.number[text]))
	}
	fmt.Fprintf(&b.parts, "%s\n    %s, %s\n", part, strings.Join(licences, " and "), strings.Join(where, " and "))
}

func (b *book) text() []byte {
	var out strings.Builder
	out.WriteString("What others made and Plainleaf contains, with the licences it comes under.\n\n")
	out.WriteString(b.parts.String())
	for i, t := range b.texts {
		fmt.Fprintf(&out, "\n==== text %d ====\n\n%s\n", i+1, t)
	}
	return []byte(out.String())
}

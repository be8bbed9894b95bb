//go:build !js

package main

import (
	"bytes"
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"

	"plainleaf/app/demo"
	"plainleaf/app/evidence"
	"plainleaf/app/fault"
	"plainleaf/app/plan"
	"plainleaf/app/printout"
	"plainleaf/app/produce"
	"plainleaf/app/sheet"
	"plainleaf/app/strict"
	"plainleaf/app/veneer"
	"plainleaf/content"
	"plainleaf/i18n"
	"plainleaf/i18n/upkeep"
)

func init() {
	commands["plan"] = computePlan
	commands["sheet"] = writeSheet
	commands["check"] = checkData
}

// refuse writes one line per fault to errw and gives the exit code for wrong input.
func refuse(errw io.Writer, faults fault.List) int {
	for _, f := range faults.Sorted() {
		fmt.Fprintln(errw, f.Line())
	}
	return badInput
}

// interleaved parses flags that may stand before or after the arguments.
func interleaved(f *flag.FlagSet, args []string) ([]string, bool) {
	var rest []string
	for {
		if f.Parse(args) != nil {
			return nil, false
		}
		if f.NArg() == 0 {
			return rest, true
		}
		rest = append(rest, f.Arg(0))
		args = f.Args()[1:]
	}
}

// load reads the evidence once; nothing changes it afterwards.
var load = sync.OnceValues(content.Load)

// inputs are what plan and sheet read.
type inputs struct {
	base     *evidence.Base
	practice veneer.Practice
	c        veneer.Case
}

// read loads the evidence, the practice file (the demo practice without one) and
// the case ("-" is standard input).
func read(practiceFile, caseFile string, in io.Reader) (inputs, fault.List) {
	var x inputs
	var faults fault.List
	if x.base, faults = load(); len(faults) > 0 {
		return x, faults
	}
	v := x.base.Vocabulary(tags())
	data := demo.Practice
	if practiceFile != "" {
		data, faults = readFile(practiceFile, nil)
	}
	if len(faults) == 0 {
		x.practice, faults = veneer.ReadPractice(data, v)
	}
	if len(faults) > 0 {
		return x, faults
	}
	if data, faults = readFile(caseFile, in); len(faults) == 0 {
		x.c, faults = veneer.ReadCase(data, v)
	}
	return x, faults
}

func readFile(name string, in io.Reader) ([]byte, fault.List) {
	if name == "-" && in != nil {
		return strict.Read(in)
	}
	f, err := os.Open(name)
	if err != nil {
		var faults fault.List
		faults.Add("FILE-READ", "", "%v", err)
		return nil, faults
	}
	defer f.Close()
	return strict.Read(f)
}

func computePlan(args []string, in io.Reader, out, errw io.Writer) int {
	f := flags("plan", errw)
	practice := f.String("practice", "", "practice file; the demo practice without one")
	rest, ok := interleaved(f, args)
	if !ok || len(rest) != 1 {
		fmt.Fprintln(errw, "usage: plainleaf plan [-practice FILE] CASE")
		return badUsage
	}
	x, faults := read(*practice, rest[0], in)
	if len(faults) > 0 {
		return refuse(errw, faults)
	}
	p, faults := plan.For(x.c, x.practice, x.base)
	if len(faults) > 0 {
		return refuse(errw, faults)
	}
	mention(errw, produce.Conflicts(x.c, p))
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	if err := enc.Encode(p); err != nil {
		fmt.Fprintln(errw, "plainleaf plan:", err)
		return badInput
	}
	out.Write(b.Bytes())
	return good
}

func writeSheet(args []string, in io.Reader, out, errw io.Writer) int {
	f := flags("sheet", errw)
	kind := f.String("kind", "", "options, wait, consent, tryin, change or aftercare (required)")
	locale := f.String("locale", "", "language of the sheet; the case's without it")
	second := f.String("second", "", "language printed beside it")
	format := f.String("format", "html", strings.Join(formats, ", "))
	to := f.String("to", "", "recipient of a mail draft (-format eml); nobody without it")
	paper := f.String("paper", "a4", "a4 or letter")
	size := f.String("size", "normal", "normal or large")
	practice := f.String("practice", "", "practice file; the demo practice without one")
	file := f.String("out", "", "file to write instead of standard output")
	rest, ok := interleaved(f, args)
	usage := func(format string, a ...any) int {
		fmt.Fprintf(errw, "plainleaf sheet: "+format+"\n", a...)
		return badUsage
	}
	switch {
	case !ok:
		return badUsage
	case len(rest) != 1:
		return usage("name one case file, or - for standard input")
	case !slices.Contains(sheet.Kinds(), sheet.Kind(*kind)):
		return usage("-kind %q is not one of %v", *kind, sheet.Kinds())
	case !slices.Contains(formats, *format):
		return usage("-format %q is not one of %v", *format, formats)
	case *to != "" && *format != "eml":
		return usage("-to is for -format eml only")
	case *format == "ics" && !produce.Dated(sheet.Kind(*kind)):
		return usage("a sheet of kind %s has no dates for a calendar", *kind)
	case *paper != "a4" && *paper != "letter":
		return usage("-paper %q is not a4 or letter", *paper)
	case *size != "normal" && *size != "large":
		return usage("-size %q is not normal or large", *size)
	}
	if !known(errw, "sheet", *locale, *second) {
		return badUsage
	}
	x, faults := read(*practice, rest[0], in)
	if len(faults) > 0 {
		return refuse(errw, faults)
	}
	if *locale == "" {
		*locale = x.c.Locale
	}
	if *locale == "" {
		*locale = x.practice.Locale
	}
	input := produce.Input{Case: x.c, Practice: x.practice, Base: x.base, Kind: sheet.Kind(*kind),
		Locale: *locale, Second: *second, Wording: wordings(x.practice), States: i18n.States}
	docs, pl, faults := produce.Docs(input)
	if len(faults) > 0 {
		return refuse(errw, faults)
	}
	data, faults := delivered(input, pl, docs, *format, *to, printout.Options{Paper: *paper, Size: *size})
	if len(faults) > 0 {
		return refuse(errw, faults)
	}
	if produce.Dated(input.Kind) {
		mention(errw, produce.Conflicts(x.c, pl))
	}
	return put("sheet", *file, data, out, errw)
}

// mention writes what does not keep a result from being made, a line each.
func mention(errw io.Writer, notes fault.List) {
	for _, f := range notes.Sorted() {
		fmt.Fprintln(errw, "note:", f.Line())
	}
}

// put writes a result to the named file, whole, or to standard output without a name.
func put(command, file string, data []byte, out, errw io.Writer) int {
	if file == "" {
		out.Write(data)
		return good
	}
	if err := replaceFile(file, data); err != nil {
		fmt.Fprintf(errw, "plainleaf %s: %v\n", command, err)
		return badInput
	}
	return good
}

// known reports the first of some language tags that there is no language for.
func known(errw io.Writer, command string, locales ...string) bool {
	for _, tag := range locales {
		if _, ok := i18n.Lookup(tag); tag != "" && !ok {
			fmt.Fprintf(errw, "plainleaf %s: there is no language %q; there are %s\n", command, tag, strings.Join(tags(), ", "))
			return false
		}
	}
	return true
}

func tags() []string {
	var ts []string
	for _, l := range i18n.Languages() {
		ts = append(ts, l.Tag)
	}
	return ts
}

// wordings loads each language once, with the practice's own sentences in it.
func wordings(p veneer.Practice) func(string) (*i18n.Wording, fault.List) {
	loaded := map[string]*i18n.Wording{}
	return func(tag string) (*i18n.Wording, fault.List) {
		if w := loaded[tag]; w != nil {
			return w, nil
		}
		data, _ := i18n.Embedded(tag)
		w, faults := i18n.Load(tag, data, produce.Overrides(p, tag))
		loaded[tag] = w
		return w, faults
	}
}

// replaceFile writes a file whole: an interruption leaves the old one or the new one.
func replaceFile(name string, data []byte) error {
	t, err := os.CreateTemp(filepath.Dir(name), ".plainleaf-*")
	if err != nil {
		return err
	}
	defer os.Remove(t.Name())
	if _, err = t.Write(data); err == nil {
		err = t.Chmod(0o644)
	}
	if e := t.Close(); err == nil {
		err = e
	}
	if err != nil {
		return err
	}
	return os.Rename(t.Name(), name)
}

// checkData checks the clinical data and every wording, all faults in one pass.
func checkData(args []string, _ io.Reader, out, errw io.Writer) int {
	f := flags("check", errw)
	asJSON := f.Bool("json", false, "write the faults as JSON to standard output")
	if !parse(f, args, errw) {
		return badUsage
	}
	base, faults := content.Load()
	faults.Append(upkeep.Check(i18n.Files())...)
	if base != nil {
		faults.Append(wordsFor(base)...)
	}
	faults = faults.Sorted()
	if *asJSON {
		if faults == nil {
			faults = fault.List{}
		}
		b, _ := json.MarshalIndent(map[string]any{"faults": faults}, "", "  ")
		fmt.Fprintln(out, string(b))
		if len(faults) > 0 {
			return badInput
		}
		return good
	}
	if len(faults) > 0 {
		return refuse(errw, faults)
	}
	fmt.Fprintf(out, "%d figures, %d findings, %d chair changes, %d languages: no fault\n",
		len(base.Figures), len(base.Findings), len(base.Changes), len(i18n.Languages()))
	return good
}

// wordsFor reports every message that the clinical data asks for and the source language lacks.
func wordsFor(base *evidence.Base) fault.List {
	var faults fault.List
	tag := i18n.Source().Tag
	data, _ := i18n.Embedded(tag)
	w, f := i18n.Load(tag, data, nil)
	if len(f) > 0 {
		return f
	}
	for _, id := range content.Keys(base) {
		if !w.Has(id) {
			faults.Add("WORDING-MISSING", "i18n/"+tag+".json:"+id, "the clinical data asks for a message that is not there")
		}
	}
	return faults
}

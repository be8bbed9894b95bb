//go:build !js

package main

import (
	"bytes"
	"cmp"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"

	"plainleaf/app/casefile"
	"plainleaf/app/demo"
	"plainleaf/app/evidence"
	"plainleaf/app/fault"
	"plainleaf/app/plan"
	"plainleaf/app/printout"
	"plainleaf/app/produce"
	"plainleaf/app/render"
	"plainleaf/app/safetext"
	"plainleaf/app/sheet"
	"plainleaf/app/strict"
	"plainleaf/build/whole"
	"plainleaf/content"
	"plainleaf/i18n"
	"plainleaf/i18n/upkeep"
)

// refuse writes one line per fault to errw and gives the exit code for wrong input.
func refuse(errw io.Writer, faults fault.List) int {
	for _, f := range faults.Sorted() {
		fmt.Fprintln(errw, f.Line())
	}
	return badInput
}

// load reads the evidence once; nothing changes it afterwards.
var load = sync.OnceValues(content.Load)

// desk is what stays the same from case to case.
type desk struct {
	base     *evidence.Base
	practice casefile.Practice
	words    func(tag string) (*i18n.Wording, fault.List)
	states   func(tag string) map[string]i18n.State
}

// openDesk loads the evidence and the practice file, the demo practice without one.
func openDesk(practiceFile string) (d desk, faults fault.List) {
	if d.base, faults = load(); len(faults) > 0 {
		return d, faults
	}
	if practiceFile == "" {
		d.practice, faults = casefile.ReadPractice(demo.Practice, d.known())
	} else {
		d.practice, _, faults = d.readPractice(practiceFile)
	}
	d.words = wordings(d.practice)
	states := map[string]map[string]i18n.State{}
	d.states = func(tag string) map[string]i18n.State {
		if states[tag] == nil {
			states[tag] = i18n.States(tag)
		}
		return states[tag]
	}
	return d, faults
}

// known is what the checks of files go by. A file may name a parked language: what was
// written earlier opens.
func (d desk) known() casefile.Vocabulary {
	v := d.base.Vocabulary(i18n.Tags(i18n.All()))
	v.Currencies = i18n.Currencies()
	return v
}

// readPractice reads a practice file and gives its bytes too. What is worth knowing of a
// good one is in notes of check.
func (d desk) readPractice(name string) (p casefile.Practice, data []byte, faults fault.List) {
	if data, faults = readFile(name, nil); len(faults) == 0 {
		p, faults = casefile.ReadPractice(data, d.known())
	}
	if len(faults) == 0 {
		faults, _ = produce.Vet(p)
	}
	return p, data, faults
}

// read reads a case; "-" is standard input.
func (d desk) read(caseFile string, in io.Reader) (casefile.Case, fault.List) {
	data, faults := readFile(caseFile, in)
	if len(faults) > 0 {
		return casefile.Case{}, faults
	}
	return casefile.ReadCase(data, d.known())
}

// input is what a sheet of a case is made of, in the language asked for, else the
// case's, else the practice's.
func (d desk) input(c casefile.Case, kind sheet.Kind, locale, second string) produce.Input {
	return produce.Input{Case: c, Practice: d.practice, Base: d.base, Kind: kind, Locale: cmp.Or(locale, c.Locale, d.practice.Locale),
		Second: second, Wording: d.words, States: d.states}
}

// request is what commands that write something about a case have in common.
type request struct {
	locale, format, practice, out string
	formats                       []string
}

func ask(f *flag.FlagSet, formats []string, about string) *request {
	r := &request{formats: formats}
	f.StringVar(&r.locale, "locale", "", "`language`; the case's without it")
	f.StringVar(&r.format, "format", formats[0], strings.Join(formats, ", ")+about)
	f.StringVar(&r.practice, "practice", "", "practice `file`; the demo practice without one")
	f.StringVar(&r.out, "out", "", "`file` to write instead of standard output")
	return r
}

// check gives good, or the exit code for wrong usage.
func (r *request) check(c *call) int {
	switch {
	case len(c.args) == 0:
		return c.wrong("name a case file, or - for standard input")
	case !slices.Contains(r.formats, r.format):
		return c.wrong("-format %q is not one of %v", r.format, r.formats)
	}
	return c.speaks(r.locale)
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

func computePlan(f *flag.FlagSet) action {
	practice := f.String("practice", "", "practice `file`; the demo practice without one")
	return func(c *call) int {
		if len(c.args) != 1 {
			return c.wrong("name one case file, or - for standard input")
		}
		data, faults := planned(*practice, c.args[0], c.in, c.errw)
		if len(faults) > 0 {
			return refuse(c.errw, faults)
		}
		c.out.Write(data)
		return good
	}
}

// planned is the plan of a case as JSON.
func planned(practice, name string, in io.Reader, errw io.Writer) ([]byte, fault.List) {
	d, faults := openDesk(practice)
	if len(faults) > 0 {
		return nil, faults
	}
	c, faults := d.read(name, in)
	if len(faults) > 0 {
		return nil, faults
	}
	p, faults := plan.For(c, d.practice, d.base)
	if len(faults) > 0 {
		return nil, faults
	}
	mention(errw, produce.Conflicts(c, p))
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	if err := enc.Encode(p); err != nil {
		faults.Add("FILE-WRITE", "-", "%v", err)
	}
	return b.Bytes(), faults
}

// endings of the files of a batch where the format's name is not its ending.
var endings = map[string]string{"text": "txt"}

// writeSheet writes one sheet, or with several cases one for each into a folder.
func writeSheet(f *flag.FlagSet) action {
	s := &sheetRequest{request: ask(f, formats, "")}
	f.StringVar(&s.kind, "kind", "", "options, wait, consent, tryin, change or aftercare (required)")
	f.StringVar(&s.second, "second", "", "`language` printed beside it")
	f.StringVar(&s.to, "to", "", "`recipient` of a mail draft (-format eml); nobody without it")
	f.StringVar(&s.paper, "paper", "a4", "a4 or letter")
	f.StringVar(&s.size, "size", "normal", "normal or large")
	return s.write
}

// sheetRequest is what a sheet is asked for with.
type sheetRequest struct {
	*request
	kind, second, to, paper, size string
}

func (s *sheetRequest) check(c *call) int {
	if code := s.request.check(c); code != good {
		return code
	}
	switch {
	case !slices.Contains(sheet.Kinds(), sheet.Kind(s.kind)):
		return c.wrong("-kind %q is not one of %v", s.kind, sheet.Kinds())
	case s.to != "" && (s.format != "eml" || len(c.args) > 1):
		return c.wrong("-to is for -format eml of one case only")
	case s.format == "ics" && !produce.Dated(sheet.Kind(s.kind)):
		return c.wrong("a sheet of kind %s has no dates for a calendar", s.kind)
	case s.paper != "a4" && s.paper != "letter":
		return c.wrong("-paper %q is not a4 or letter", s.paper)
	case s.size != "normal" && s.size != "large":
		return c.wrong("-size %q is not normal or large", s.size)
	}
	return c.speaks(s.second)
}

func (s *sheetRequest) write(call *call) int {
	if code := s.check(call); code != good {
		return code
	}
	d, faults := openDesk(s.practice)
	if len(faults) > 0 {
		return refuse(call.errw, faults)
	}
	one := func(name string) ([]byte, fault.List, fault.List) {
		c, faults := d.read(name, call.in)
		if len(faults) > 0 {
			return nil, nil, faults
		}
		input := d.input(c, sheet.Kind(s.kind), s.locale, s.second)
		docs, pl, faults := produce.Docs(input)
		if len(faults) > 0 {
			return nil, nil, faults
		}
		var notes fault.List
		if produce.Dated(input.Kind) {
			notes = produce.Conflicts(c, pl)
		}
		if input.Kind == sheet.Aftercare {
			notes.Append(produce.Undrawn(input, pl)...)
		}
		data, faults := delivered(input, pl, docs, s.format, s.to, printout.Options{Paper: s.paper, Size: s.size})
		return data, notes, faults
	}
	if len(call.args) == 1 {
		if in := replaced([]string{s.out}, append(call.args, s.practice)); in != "" {
			return call.wrong("-out would replace what is read, %s", in)
		}
		data, notes, faults := one(call.args[0])
		if len(faults) > 0 {
			return refuse(call.errw, faults)
		}
		mention(call.errw, notes)
		return call.put(s.out, data, personal)
	}
	names, code := s.files(call)
	if code != good {
		return code
	}
	for i, name := range call.args {
		data, notes, faults := one(name)
		if len(faults) == 0 {
			mention(call.errw, notes.Under(name))
			faults = replaceFile(names[i], data, personal)
		} else {
			faults = faults.Under(name)
		}
		if len(faults) > 0 { // the others are written all the same
			code = refuse(call.errw, faults)
		}
		if faults.Has(interrupted) {
			break
		}
	}
	return code
}

// files names the file of each case in the folder -out, or gives the exit code.
func (r *request) files(c *call) ([]string, int) {
	if r.out == "" {
		return nil, c.wrong("several cases need -out and a folder")
	}
	var names []string
	for _, file := range c.args {
		name := strings.TrimSuffix(filepath.Base(file), ".json") + "." + cmp.Or(endings[r.format], r.format)
		if file == "-" || slices.Contains(names, name) {
			return nil, c.wrong("several cases need files of different names, %q is none", file)
		}
		names = append(names, name)
	}
	for i := range names {
		names[i] = filepath.Join(r.out, names[i])
	}
	if in := replaced(names, append(c.args, r.practice)); in != "" {
		return nil, c.wrong("-out would replace what is read, %s", in)
	}
	if err := os.MkdirAll(r.out, 0o700); err != nil {
		return nil, refuse(c.errw, fault.List{unwritten(r.out, err)})
	}
	whole.Clear(r.out)
	return names, good
}

// replaced names a file that is read and that would be written over, "" for none.
func replaced(written, read []string) string {
	place := func(name string) string {
		if name == "" || name == "-" {
			return ""
		}
		if target, err := filepath.EvalSymlinks(name); err == nil {
			name = target
		}
		name, _ = filepath.Abs(name)
		return name
	}
	over := map[string]bool{}
	for _, name := range written {
		over[place(name)] = true
	}
	for _, name := range read {
		if at := place(name); at != "" && over[at] {
			return name
		}
	}
	return ""
}

// mention writes what does not keep a result from being made, a line each.
func mention(errw io.Writer, notes fault.List) {
	for _, f := range notes.Sorted() {
		fmt.Fprintln(errw, "note:", f.Line())
	}
}

// put writes a result to the named file, whole, or to standard output without a name.
func (c *call) put(file string, data []byte, write writing) int {
	if file == "" {
		c.out.Write(data)
		return good
	}
	whole.Clear(filepath.Dir(file))
	if faults := replaceFile(file, data, write); len(faults) > 0 {
		return refuse(c.errw, faults)
	}
	return good
}

// speaks gives good, or the exit code where no sheet is made in one of some languages.
func (c *call) speaks(locales ...string) int {
	for _, tag := range locales {
		if _, ok := i18n.Lookup(tag); tag == "" || ok {
			continue
		}
		what := fmt.Sprintf("there is no language %q", tag)
		if l, parked := i18n.Known(tag); parked {
			what = fmt.Sprintf("%s (%s) is parked: it is known and not offered for now", l.Name, tag)
		}
		return c.wrong("%s; there are %s", what, strings.Join(i18n.Tags(i18n.Languages()), ", "))
	}
	return good
}

// wordings loads each language once, with the practice's own sentences in it as sheets
// print them.
func wordings(p casefile.Practice) func(string) (*i18n.Wording, fault.List) {
	loaded := map[string]*i18n.Wording{}
	return func(tag string) (*i18n.Wording, fault.List) {
		if w := loaded[tag]; w != nil {
			return w, nil
		}
		data, _ := i18n.Embedded(tag)
		w, faults := produce.Printed(p, tag, data)
		loaded[tag] = w
		return w, faults
	}
}

// writing is a way to write a file whole; whole.Private is one for records, which may
// have private findings in them.
type writing func(name string, data []byte) error

// personal writes what is about a patient: a new file is for the user's eyes only, and
// one that exists stays as open as somebody made it.
func personal(name string, data []byte) error { return whole.Replace(name, data, 0o600) }

// general writes what is about no patient.
func general(name string, data []byte) error { return whole.Replace(name, data, 0o666) }

func replaceFile(name string, data []byte, write writing) (faults fault.List) {
	if err := write(name, data); err != nil {
		faults.Append(unwritten(name, err))
	}
	return faults
}

// unwritten tells why a file, or standard output, could not be written.
func unwritten(name string, err error) fault.Fault {
	if at := (*fs.PathError)(nil); errors.As(err, &at) {
		err = at.Err
	}
	return fault.New("FILE-WRITE", name, "%v", err)
}

// checkData checks the clinical data and every wording, and a practice file with the
// practice's own sentences, all faults in one pass.
func checkData(f *flag.FlagSet) action {
	asJSON := f.Bool("json", false, "write the faults as JSON to standard output")
	practice := f.String("practice", "", "practice `file` to check too, with the practice's own sentences")
	return func(c *call) int {
		if len(c.args) > 0 {
			return c.unexpected()
		}
		return c.checkData(*practice, *asJSON)
	}
}

func (c *call) checkData(practice string, asJSON bool) int {
	base, faults := content.Checked()
	faults.Append(upkeep.Check(i18n.Files())...)
	if base != nil {
		faults.Append(wordsFor(base)...)
	}
	notes := fault.List{}
	if practice != "" && base != nil {
		p, _, wrong := desk{base: base}.readPractice(practice)
		if len(wrong) == 0 {
			wrong, notes = inPractice(p, base)
		}
		faults.Append(wrong.Under(practice)...)
		notes = notes.Under(practice)
	}
	faults = faults.Sorted()
	if asJSON {
		if faults == nil {
			faults = fault.List{}
		}
		b, _ := json.MarshalIndent(map[string]any{"faults": faults, "notes": notes.Sorted()}, "", "  ")
		fmt.Fprintln(c.out, string(b))
		if len(faults) > 0 {
			return badInput
		}
		return good
	}
	mention(c.errw, notes)
	if len(faults) > 0 {
		return refuse(c.errw, faults)
	}
	fmt.Fprintf(c.out, "%d figures, %d findings, %d chair changes, %d languages: no fault\n",
		len(base.Figures), len(base.Findings), len(base.Changes), len(i18n.Languages()))
	return good
}

// inPractice tells what a practice whose file is good should look at. What is left of the
// demo practice is a fault here only, where nobody waits for a sheet: files that an
// earlier program let go live with it open all the same.
func inPractice(p casefile.Practice, base *evidence.Base) (faults, notes fault.List) {
	_, notes = produce.Vet(p)
	shipped, _ := casefile.ReadPractice(demo.Practice, desk{base: base}.known())
	if invented, unconfirmed := casefile.StillDemo(p, shipped); !p.Demo {
		for _, key := range invented {
			faults.Add("PRAC-DEMO-LEFT", key, "this is still the demo practice's, which is invented: put the practice's own")
		}
		for _, key := range unconfirmed {
			notes.Add("PRAC-DEMO-LEFT", key, "this is the demo practice's: change it, or name it in \"confirmed\" if it is right")
		}
	}
	for _, tag := range i18n.Tags(i18n.Languages()) {
		w := newest(p, tag)
		if w == nil {
			continue
		}
		for _, id := range render.Reworded(p, tag, w, newest(p, p.Locale)) {
			held := ""
			if _, ok := p.InService[tag][id]; ok {
				held = "; until then sheets print the one that was approved"
			}
			notes.Add("PRAC-APPROVAL", "wordings."+tag+"."+id, "nobody signed off this sentence as it is now, \"%s\": have it read and signed off%s", safetext.Cut(w.Source(id).Other), held)
		}
		for i, s := range p.SignOffs {
			if s.Locale == tag && s.Wording != "" && p.Approved[tag] == nil && s.Wording != render.Digest(w) {
				notes.Add("PRAC-APPROVAL", fmt.Sprintf("sign_offs[%d]", i), "some words in %s have changed since they were signed off", tag)
			}
		}
	}
	return faults, notes
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

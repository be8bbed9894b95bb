// Command program prints the digest of the plan of each case it is given, and of
// every sheet of a case that rests on an agreement, to compare the native program
// with the one for browsers. I18N is the folder of the wordings, of which the program
// for browsers embeds one only.
//
//	program PRACTICE I18N CASE...
package main

import (
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
	"plainleaf/app/fault"
	"plainleaf/app/plan"
	"plainleaf/app/printout"
	"plainleaf/app/produce"
	"plainleaf/app/sheet"
	"plainleaf/content"
	"plainleaf/i18n"
)

func main() {
	b := content.MustLoad()
	v := b.Vocabulary([]string{"en", "es", "ar"})
	w := readWords(os.Args[2])
	p, faults := casefile.ReadPractice(read(os.Args[1]), v)
	stop(faults.Err())
	for _, path := range os.Args[3:] {
		c, faults := casefile.ReadCase(read(path), v)
		stop(faults.Err())
		pl, faults := plan.For(c, p, b)
		stop(faults.Err())
		data, err := json.Marshal(pl)
		stop(err)
		fmt.Printf("%s %d %x\n", path, len(data), sha256.Sum256(data))
		if c.Agreed != nil {
			sheets(path, c, p, b, w)
		}
	}
}

// words are the wordings and their states by language tag.
type words struct {
	wordings map[string]*i18n.Wording
	states   map[string]map[string]i18n.State
}

func readWords(dir string) words {
	w := words{map[string]*i18n.Wording{}, map[string]map[string]i18n.State{}}
	for _, l := range i18n.Languages() {
		var faults fault.List
		w.wordings[l.Tag], faults = i18n.Load(l.Tag, read(filepath.Join(dir, l.Tag+".json")), nil)
		stop(faults.Err())
		var err error
		w.states[l.Tag], err = i18n.ParseStates(read(filepath.Join(dir, "state", l.Tag+".json")))
		stop(err)
	}
	return w
}

// sheets prints the digest of each kind of sheet, or why there is none.
func sheets(path string, c casefile.Case, p casefile.Practice, b *evidence.Base, w words) {
	for _, kind := range sheet.Kinds() {
		docs, _, faults := produce.Docs(produce.Input{Case: c, Practice: p, Base: b, Kind: kind, Locale: c.Locale, Second: c.Second,
			Wording: func(tag string) (*i18n.Wording, fault.List) { return w.wordings[tag], nil },
			States:  func(tag string) map[string]i18n.State { return w.states[tag] }})
		if len(faults) > 0 {
			fmt.Printf("%s %s none: %s\n", path, kind, faults[0].Code)
			continue
		}
		html, err := printout.HTML(docs, printout.Options{Paper: "a4", Size: "normal"})
		stop(err)
		text, err := printout.Text(docs, printout.Options{})
		stop(err)
		fmt.Printf("%s %s %d %x %x\n", path, kind, len(html), sha256.Sum256(html), sha256.Sum256(text))
	}
}

func read(path string) []byte {
	data, err := os.ReadFile(path)
	stop(err)
	return data
}

func stop(err error) {
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

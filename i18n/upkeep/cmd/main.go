//go:build !js

// Command cmd changes and checks the wordings of the i18n folder.
//
//	go run ./i18n/upkeep/cmd merge FILE TAG        add or change messages ("-" reads standard input)
//	go run ./i18n/upkeep/cmd remove ID...          take messages out of every language
//	go run ./i18n/upkeep/cmd placeholder NAME KIND NOTE
//	go run ./i18n/upkeep/cmd note PREFIX TEXT      tell translators where messages stand
//	go run ./i18n/upkeep/cmd digits PREFIX REASON  allow numbers in the text of messages
//	go run ./i18n/upkeep/cmd check                 check everything
//
// Exit 0 good; 1 the input is wrong, one line per fault; 2 wrong usage.
package main

import (
	"flag"
	"fmt"
	"io"
	"os"
	"time"

	"plainleaf/app/fault"
	"plainleaf/i18n/upkeep"
)

func main() {
	dir := flag.String("dir", "i18n", "the folder")
	who := flag.String("who", "writer", "role of who made the change")
	when := flag.String("when", time.Now().Format(time.DateOnly), "date of the change")
	values := flag.Bool("values", false, "let messages of the source language lose or gain values")
	flag.Parse()
	os.Exit(run(upkeep.Folder(*dir), upkeep.Change{Who: *who, When: *when, Values: *values}, flag.Args()))
}

func run(d upkeep.Folder, by upkeep.Change, args []string) int {
	var faults fault.List
	var err error
	switch {
	case len(args) == 3 && args[0] == "merge":
		var data []byte
		if data, err = read(args[1]); err != nil {
			break
		}
		var n upkeep.Counts
		n, faults, err = d.Merge(args[2], data, by)
		if err == nil && len(faults) == 0 {
			fmt.Printf("%s: %d added, %d changed, %d as before\n", args[2], n.Added, n.Changed, n.Same)
		}
	case len(args) > 1 && args[0] == "remove":
		var unknown []string
		unknown, err = d.Remove(args[1:])
		for _, id := range unknown {
			faults.Add("WORDING-ID", id, "there is no such message")
		}
	case len(args) == 4 && args[0] == "placeholder":
		err = d.AddPlaceholder(args[1], args[2], args[3])
	case len(args) == 3 && args[0] == "note":
		err = d.SetSide("notes.json", args[1], args[2])
	case len(args) == 3 && args[0] == "digits":
		err = d.SetSide("digits-allowed.json", args[1], args[2])
	case len(args) == 1 && args[0] == "check":
		faults = upkeep.Check(os.DirFS(string(d)))
	default:
		fmt.Fprintln(os.Stderr, "usage: merge FILE TAG | remove ID... | placeholder NAME KIND NOTE | note PREFIX TEXT | digits PREFIX REASON | check")
		return 2
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 1
	}
	fmt.Fprint(os.Stderr, faults.Lines())
	if len(faults) > 0 {
		return 1
	}
	return 0
}

func read(name string) ([]byte, error) {
	if name == "-" {
		return io.ReadAll(io.LimitReader(os.Stdin, 2<<20))
	}
	return os.ReadFile(name)
}

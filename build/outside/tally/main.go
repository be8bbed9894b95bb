// Command tally reads what "go test -json" writes, shows it as go test would and
// adds up the outside checks of all packages.
//
//	go test -json ./... | go run ./build/outside/tally -add build/out/outside.txt
//	go run ./build/outside/tally -table build/out/outside.txt
//
// It exits 1 when a test or a build failed, or when it was given nothing to read.
package main

import (
	"bufio"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

func main() {
	add := flag.String("add", "", "append the counts to this file")
	table := flag.String("table", "", "print the sums of this file instead")
	flag.Parse()
	err := error(nil)
	if *table != "" {
		err = sums(*table, os.Stdout)
	} else {
		err = read(os.Stdin, os.Stdout, *add)
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

// event is one line of test2json's output.
type event struct {
	Action, Package, Test, Output, ImportPath string
}

var count = regexp.MustCompile(`^outside checks: (\d+) from (.+)\n$`)

func read(in io.Reader, out io.Writer, add string) error {
	var counts, failed []string
	output := map[string][]event{} // by package
	packages := 0
	lines := bufio.NewScanner(in)
	lines.Buffer(nil, 64<<20)
	for lines.Scan() {
		var e event
		if err := json.Unmarshal(lines.Bytes(), &e); err != nil {
			fmt.Fprintln(out, lines.Text()) // not from a test
			continue
		}
		switch {
		case e.Action == "build-output":
			fmt.Fprint(out, e.Output)
		case e.Action == "output":
			if count.MatchString(e.Output) {
				counts = append(counts, e.Output)
			} else {
				output[e.Package] = append(output[e.Package], e)
			}
		case e.Test == "" && (e.Action == "pass" || e.Action == "fail" || e.Action == "skip"):
			packages++
			show(out, output[e.Package], e.Action == "fail")
			delete(output, e.Package)
			if e.Action == "fail" {
				failed = append(failed, e.Package)
			}
		case e.Action == "pass" || e.Action == "skip": // of one test: what it said is not needed
			output[e.Package] = slices.DeleteFunc(output[e.Package], func(o event) bool { return o.Test == e.Test })
		}
	}
	if add != "" {
		if err := appendTo(add, strings.Join(counts, "")); err != nil {
			return err
		}
	}
	for pkg := range output { // it began and never ended
		show(out, output[pkg], true)
		failed = append(failed, pkg)
	}
	switch {
	case lines.Err() != nil:
		return lines.Err()
	case len(failed) > 0:
		return fmt.Errorf("failed: %s", strings.Join(failed, " "))
	case packages == 0:
		return fmt.Errorf("no package was tested")
	}
	return nil
}

// appendTo adds text to the end of a file.
func appendTo(file, text string) error {
	f, err := os.OpenFile(file, os.O_APPEND|os.O_CREATE|os.O_WRONLY, 0o644)
	if err != nil {
		return err
	}
	_, err = f.WriteString(text)
	return errors.Join(err, f.Close())
}

// show prints a package's result line, and all it said if it failed.
func show(out io.Writer, events []event, all bool) {
	for _, e := range events {
		if all || e.Test == "" && (strings.HasPrefix(e.Output, "ok ") || strings.HasPrefix(e.Output, "? ")) {
			fmt.Fprint(out, e.Output)
		}
	}
}

func sums(path string, out io.Writer) error {
	data, err := os.ReadFile(path)
	if err != nil {
		return err
	}
	by, total := map[string]int{}, 0
	for line := range strings.Lines(string(data)) {
		m := count.FindStringSubmatch(line)
		if m == nil {
			return fmt.Errorf("%s: %q is no count", path, line)
		}
		n, err := strconv.Atoi(m[1])
		if err != nil {
			return err
		}
		by[m[2]] += n
		total += n
	}
	var sources []string
	for s := range by {
		sources = append(sources, s)
	}
	slices.Sort(sources)
	for _, s := range sources {
		fmt.Fprintf(out, "%6d  %s\n", by[s], s)
	}
	fmt.Fprintf(out, "%6d  outside checks from %d sources\n", total, len(sources))
	return nil
}

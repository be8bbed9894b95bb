//go:build !js

package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"plainleaf/app/fault"
	"plainleaf/build/server"
	"plainleaf/build/site"
)

// Exit codes of the command.
const (
	good     = 0
	badInput = 1 // the input is wrong: one line per fault on errw, nothing on out
	badUsage = 2
)

// commands maps each subcommand to what does it. Only results go to out.
var commands = map[string]func(args []string, in io.Reader, out, errw io.Writer) int{
	"serve": serve,
	"site":  writeSite,
}

func main() {
	os.Exit(run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
}

func run(args []string, in io.Reader, out, errw io.Writer) int {
	if len(args) > 0 {
		if command, ok := commands[args[0]]; ok {
			result := &result{to: out}
			code := command(args[1:], in, result, errw)
			if result.err != nil && code == good {
				return refuse(errw, fault.List{unwritten("-", result.err)})
			}
			return code
		}
		fmt.Fprintf(errw, "plainleaf: unknown command %q\n", args[0])
	}
	fmt.Fprintf(errw, "usage: plainleaf COMMAND [flags] [arguments]\ncommands: %s\n",
		strings.Join(slices.Sorted(maps.Keys(commands)), ", "))
	return badUsage
}

// result is standard output. What it did not take is told in the end: a result that
// is cut short is no good one.
type result struct {
	to  io.Writer
	err error
}

func (r *result) Write(data []byte) (n int, err error) {
	if r.err == nil {
		n, r.err = r.to.Write(data)
	}
	return n, r.err
}

// flags makes the flag set of a subcommand; it reports to errw itself.
func flags(name string, errw io.Writer) *flag.FlagSet {
	f := flag.NewFlagSet("plainleaf "+name, flag.ContinueOnError)
	f.SetOutput(errw)
	return f
}

// parse reads the flags of a subcommand that takes no further arguments.
func parse(f *flag.FlagSet, args []string, errw io.Writer) bool {
	if f.Parse(args) != nil {
		return false
	}
	if f.NArg() > 0 {
		fmt.Fprintf(errw, "%s: unexpected argument %q\n", f.Name(), f.Arg(0))
		return false
	}
	return true
}

func writeSite(args []string, _ io.Reader, _, errw io.Writer) int {
	f := flags("site", errw)
	dir := f.String("out", "", "folder to write the site to (required)")
	program := f.String("wasm", "", "browser program to use; it is built when this is not given")
	base := f.String("base", "/", "folder of the site on its host, with both slashes")
	level := f.Int("brotli", 11, "brotli level, 1 (fast) to 11 (small)")
	if !parse(f, args, errw) {
		return badUsage
	}
	if *dir == "" {
		fmt.Fprintln(errw, "plainleaf site: -out is required")
		return badUsage
	}
	if *level < 1 || *level > 11 {
		fmt.Fprintln(errw, "plainleaf site: -brotli is a level from 1 to 11")
		return badUsage
	}
	if err := makeSite(*dir, *program, *base, *level); err != nil {
		fmt.Fprintln(errw, "plainleaf site:", err)
		return badInput
	}
	return good
}

func makeSite(dir, program, base string, level int) error {
	o, err := site.Gather(program)
	if err != nil {
		return err
	}
	o.Base, o.Brotli = base, level
	s, err := site.Build(o)
	if err != nil {
		return err
	}
	return s.Write(dir)
}

func serve(args []string, _ io.Reader, _, errw io.Writer) int {
	f := flags("serve", errw)
	addr := f.String("addr", "127.0.0.1:8080", "address to listen on")
	dir := f.String("dir", filepath.FromSlash("build/out/site"), "folder of the built site")
	start := f.String("start", "", "page that the address itself opens, such as /en/?demo")
	if !parse(f, args, errw) {
		return badUsage
	}
	if _, err := os.Stat(*dir); errors.Is(err, fs.ErrNotExist) {
		fmt.Fprintf(errw, "plainleaf serve: %s is missing; building the site first\n", *dir)
		if err := makeSite(*dir, "", "/", 9); err != nil {
			fmt.Fprintln(errw, "plainleaf serve:", err)
			return badInput
		}
	}
	if _, err := server.Load(*dir); err != nil {
		fmt.Fprintln(errw, "plainleaf serve:", err)
		return badInput
	}
	l, err := net.Listen("tcp", *addr)
	if err != nil {
		fmt.Fprintln(errw, "plainleaf serve:", err)
		return badInput
	}
	if w := warning(l.Addr()); w != "" {
		fmt.Fprintln(errw, "plainleaf serve: warning:", w)
	}
	fmt.Fprintf(errw, "serving %s on http://%s/\n", *dir, l.Addr())
	handler := server.New(*dir)
	if *start != "" {
		handler = startAt(*start, handler)
	}
	srv := &http.Server{Handler: handler, ReadHeaderTimeout: 10 * time.Second}
	fmt.Fprintln(errw, "plainleaf serve:", srv.Serve(l))
	return badInput
}

// warning says what does not work at an address that other machines can reach.
func warning(addr net.Addr) string {
	if tcp, ok := addr.(*net.TCPAddr); !ok || tcp.IP.IsLoopback() {
		return ""
	}
	return "other machines reach this over plain HTTP, where browsers allow " +
		"no offline use and no encryption; put HTTPS in front of it"
}

// startAt sends whoever asks for the top of the site to another page of it.
func startAt(page string, rest http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.URL.Path == "/" {
			http.Redirect(w, r, page, http.StatusFound)
			return
		}
		rest.ServeHTTP(w, r)
	})
}

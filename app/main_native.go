//go:build !js

package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"io/fs"
	"net"
	"os"
	"path/filepath"
	"strings"

	"plainleaf/app/fault"
	"plainleaf/build/server"
	"plainleaf/build/site"
	"plainleaf/build/wasm"
)

// Exit codes of the command.
const (
	good     = 0
	badInput = 1 // the input is wrong: one line per fault on errw, nothing on out
	badUsage = 2
)

func main() {
	os.Exit(run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
}

// action does what a command is for, once its flags are read, and gives the exit code.
type action func(c *call) int

// call is one use of a command. Only results go to out.
type call struct {
	command *command
	args    []string // without the flags
	in      io.Reader
	out     io.Writer
	errw    io.Writer
}

func run(args []string, in io.Reader, out, errw io.Writer) int {
	to := &result{to: out}
	code := begin(args, in, to, errw)
	if to.err != nil && code == good {
		return refuse(errw, fault.List{unwritten("-", to.err)})
	}
	return code
}

// begin finds the command that is meant, reads its flags and runs it.
func begin(args []string, in io.Reader, out, errw io.Writer) int {
	if len(args) > 0 && asksForHelp(args[0]) {
		return overview(out)
	}
	found, rest := find(args)
	switch {
	case len(found) == 0 && len(args) > 0:
		fmt.Fprintf(errw, "plainleaf: unknown command %q\n", args[0])
		fallthrough
	case len(found) == 0:
		overview(errw)
		return badUsage
	case len(found) > 1: // only the first word of two
		if len(rest) > 0 && asksForHelp(rest[0]) {
			return explain(found, out)
		}
		fmt.Fprintf(errw, "plainleaf %s: say which: %s\n", args[0], names(found))
		usage(found, errw)
		return badUsage
	}
	c := &call{command: &found[0], in: in, out: out, errw: errw}
	f := c.command.flags()
	do := c.command.prepare(f)
	var err error
	if c.args, err = interleaved(f, rest); errors.Is(err, flag.ErrHelp) {
		return explain(found, out)
	} else if err != nil {
		return c.wrong("%v", err)
	}
	return do(c)
}

// interleaved parses flags that may come before or after the arguments.
func interleaved(f *flag.FlagSet, args []string) (rest []string, err error) {
	for {
		if err := f.Parse(args); err != nil {
			return nil, err
		}
		if f.NArg() == 0 {
			return rest, nil
		}
		rest = append(rest, f.Arg(0))
		args = f.Args()[1:]
	}
}

// wrong says what is wrong with a use of the command, and how it is used.
func (c *call) wrong(format string, a ...any) int {
	fmt.Fprintf(c.errw, "plainleaf %s: %s\n", c.command.name, fmt.Sprintf(format, a...))
	usage([]command{*c.command}, c.errw)
	return badUsage
}

// unexpected refuses an argument of a command that takes none.
func (c *call) unexpected() int { return c.wrong("unexpected argument %q", c.args[0]) }

// failed says why the command could not do what it was asked for.
func (c *call) failed(err error) int {
	fmt.Fprintf(c.errw, "plainleaf %s: %v\n", c.command.name, err)
	return badInput
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

func writeSite(f *flag.FlagSet) action {
	dir := f.String("out", "", "`folder` to write the site to (required)")
	program := f.String("wasm", "", "`file` with the browser program; it is built when this is not given")
	base := f.String("base", "/", "`folder` of the site on its host, with both slashes")
	level := f.Int("brotli", 11, "brotli `level`, 1 (fast) to 11 (small)")
	plain := f.Bool("plain-on-failure", false, "build a larger browser program where the small one cannot be built, and say so")
	return func(c *call) int {
		switch {
		case len(c.args) > 0:
			return c.unexpected()
		case *dir == "":
			return c.wrong("-out is required")
		case *level < 1 || *level > 11:
			return c.wrong("-brotli is a level from 1 to 11")
		}
		warn := c.errw
		if !*plain {
			warn = nil
		}
		if err := makeSite(*dir, *program, *base, *level, warn); err != nil {
			return c.failed(err)
		}
		return good
	}
}

// makeSite writes the site. With warn, a program that cannot be built small is built
// plainly, and warn says so; without, that is an error.
func makeSite(dir, program, base string, level int, warn io.Writer) error {
	if program == "" && warn != nil {
		temp, err := os.MkdirTemp("", "plainleaf-")
		if err != nil {
			return err
		}
		defer os.RemoveAll(temp)
		root, err := wasm.Root()
		if err != nil {
			return err
		}
		program = filepath.Join(temp, "app.wasm")
		if err := wasm.BuildAnyway(root, "./app", program, warn); err != nil {
			return err
		}
	}
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

func serve(f *flag.FlagSet) action {
	addr := f.String("addr", "127.0.0.1:8080", "`address` to listen on")
	dir := f.String("dir", filepath.FromSlash("build/out/site"), "`folder` of the built site")
	start := f.String("start", "/en/?demo", "`page` whose address is printed")
	return func(c *call) int {
		switch {
		case len(c.args) > 0:
			return c.unexpected()
		case !strings.HasPrefix(*start, "/"):
			return c.wrong("-start is a page of the site, such as /en/")
		}
		if err := c.serve(*addr, *dir, *start); err != nil {
			return c.failed(err)
		}
		return good
	}
}

func (c *call) serve(addr, dir, start string) error {
	if _, err := os.Stat(dir); errors.Is(err, fs.ErrNotExist) {
		fmt.Fprintf(c.errw, "plainleaf serve: %s is missing; building the site first\n", dir)
		if err := makeSite(dir, "", "/", 9, c.errw); err != nil {
			return err
		}
	}
	if _, err := server.Load(dir); err != nil {
		return err
	}
	l, err := net.Listen("tcp", addr)
	if err != nil {
		return err
	}
	if w := warning(l.Addr()); w != "" {
		fmt.Fprintln(c.errw, "plainleaf serve: warning:", w)
	}
	fmt.Fprintf(c.errw, "serving %s\n", dir)
	fmt.Fprintf(c.errw, "open http://%s%s\n", reached(l.Addr()), start)
	return server.Serve(l, dir)
}

// reached returns an address that a browser can open: the loopback address where the
// server listens on all of them.
func reached(addr net.Addr) string {
	if tcp, ok := addr.(*net.TCPAddr); ok && tcp.IP.IsUnspecified() {
		return fmt.Sprintf("127.0.0.1:%d", tcp.Port)
	}
	return addr.String()
}

// warning says what does not work at an address that other machines can reach.
func warning(addr net.Addr) string {
	if tcp, ok := addr.(*net.TCPAddr); !ok || tcp.IP.IsLoopback() {
		return ""
	}
	return "other machines reach this over plain HTTP, where browsers allow " +
		"no offline use and no encryption; put HTTPS in front of it"
}

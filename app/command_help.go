//go:build !js

package main

import (
	"flag"
	"fmt"
	"io"
	"runtime"
	"runtime/debug"
	"slices"
	"strings"

	"plainleaf/app/casefile"
	"plainleaf/app/record"
	"plainleaf/app/screens/state"
)

// command is all that is known of one: what is typed, what help says, and what it does.
type command struct {
	name    string   // one word or two
	usage   []string // what follows the name, a line for each way to use it
	summary string   // one line, in README.md too
	about   string   // what else there is to know
	example string   // works as typed from the project's folder
	prepare func(f *flag.FlagSet) action
}

// commands lists them in the order in which help does.
func commands() []command {
	return []command{
		{
			name: "serve", prepare: serve,
			usage:   []string{"[-addr HOST:PORT] [-dir DIR] [-start PAGE]"},
			summary: "serves the built app, and says on its last line which address to open",
			about: "Builds the site first where there is none. It answers GET and HEAD, follows no link out of\n" +
				"the folder, and lets clients go that are silent for a minute.",
			example: "go run ./app serve -addr 127.0.0.1:8090",
		},
		{
			name: "site", prepare: writeSite,
			usage:   []string{"-out DIR [-base /FOLDER/] [-brotli LEVEL] [-wasm FILE] [-plain-on-failure]"},
			summary: "writes the static site, byte for byte the same at each run",
			about: "The folder has to be empty, new, or hold a site, which is replaced in one step. headers.txt\n" +
				"in it says which headers a host has to send.",
			example: "go run ./app site -out build/out/site",
		},
		{
			name: "plan", prepare: computePlan,
			usage:   []string{"[-practice FILE] CASE"},
			summary: "the plan as JSON",
			about:   "Its form is in content/schema/plan.json. CASE may be -, which is standard input.",
			example: "go run ./app plan testdata/cases/two-teeth.json",
		},
		{
			name: "sheet", prepare: writeSheet,
			usage: []string{"-kind KIND [-locale TAG] [-second TAG] [-format html|text|eml|ics|pdf|json] [-paper a4|letter] " +
				"[-size normal|large] [-to ADDRESS] [-practice FILE] [-out FILE] CASE..."},
			summary: "one sheet: options, wait, consent, tryin, change or aftercare; with several cases, one file for each in the folder `-out`",
			about: "The format pdf needs an installed Chromium. A new file is for your own eyes only; one that\n" +
				"exists is replaced whole and keeps its permissions.",
			example: "go run ./app sheet -kind consent -locale en -format text testdata/cases/two-teeth.json",
		},
		{
			name: "seal", prepare: sealCases,
			usage: []string{
				"[-kind KIND] [-practice FILE] [-key FILE] [-passphrase-file FILE] [-signing FILE] [-previous RECORD] [-locale TAG] [-second TAG] -out DIR CASE...",
				"-newkey FILE [-owner NAME] [-role ROLE] [-from DATE] [-passphrase-file FILE]",
			},
			summary: "sealed records of what was shown, many at a time; or a new signing key",
			about: "Records are for your own eyes only, and so is a folder that is made for them. The passphrase\n" +
				"comes from -passphrase-file, -passphrase-fd, " + passphraseVariable + " or whoever sits at the\n" +
				"terminal, never from an argument, which other programs could read.",
			example: "go run ./app seal -out build/out/records testdata/cases/two-teeth.json",
		},
		{
			name: "verify", prepare: verifyRecord,
			usage:   []string{"[-key FILE] [-code CODE] [-json] RECORD"},
			summary: "a record: intact or where not, signed by which key, and whether that key is trusted",
			about:   "The exit code is 0 only where nothing speaks against the record.",
			example: "go run ./app verify -key testdata/formats/record-1/trusted.json testdata/formats/record-1/consent.json",
		},
		{
			name: "fhir", prepare: exportFHIR,
			usage:   []string{"[-key FILE] [-out FILE] RECORD"},
			summary: "a record as a FHIR R4 Consent; with a key only one that it signed",
			about:   "A record that was changed since it was sealed is refused. The file is for your own eyes only.",
			example: "go run ./app fhir testdata/formats/record-1/sealed-consent.json",
		},
		{
			name: "code", prepare: writeCode,
			usage:   []string{"[-format link|svg|png] [-locale TAG] [-practice FILE] [-out FILE] CASE"},
			summary: "the code on paper that opens this aftercare on a phone",
			about:   "The practice file says in base_address where the app is hosted.",
			example: "go run ./app code testdata/cases/two-teeth.json",
		},
		{
			name: "check", prepare: checkData,
			usage: []string{"[-json] [-practice FILE]"},
			summary: "the clinical data and every wording; with a practice file that too: the practice's own sentences, what is left of the demo practice, " +
				"and as notes the sentences that nobody signed off as they are now",
			about:   "Each fault and note is a line: code, path and text, between tabs.",
			example: "go run ./app check -practice testdata/practice/signed.json",
		},
		{
			name: "exchange export", prepare: exportWords,
			usage:   []string{"-locale TAG [-source TAG] [-practice FILE] [-only all|new|unreviewed|own] [-part sheets|screens] [-out FILE]"},
			summary: "the words as an XLIFF 2.0 file for a translator, also into a language that the program does not speak yet",
			about:   "Any editor that reads XLIFF 2.0 opens the file. The sentences come in the order of the sheets.",
			example: "go run ./app exchange export -locale es -only unreviewed -part sheets",
		},
		{
			name: "exchange import", prepare: importWords,
			usage: []string{
				"[-check] [-leave] -practice FILE [-out FILE] FILE",
				"[-check] [-leave] [-dir i18n] [-who ROLE] [-when DATE] FILE",
			},
			summary: "what came back, laid into the practice's own sentences, which makes a practice file; or, for contributors, into the program's wordings",
			about: "Nothing is taken from a file that has a fault; with -leave the sentences that have one are left.\n" +
				"With -check nothing is written. No import makes a sentence final.",
			example: "go run ./app exchange export -locale es | go run ./app exchange import -check -",
		},
		{
			name: "version", prepare: printVersion,
			usage:   []string{""},
			summary: "what this program is built from, and the versions of the files it writes",
			about:   "Files of earlier versions open for ever.",
			example: "go run ./app version",
		},
		{
			name: "help", prepare: help,
			usage:   []string{"[COMMAND]"},
			summary: "this list; of one command how it is used, its flags and an example",
			about:   "The same as COMMAND -h.",
			example: "go run ./app help seal",
		},
	}
}

// find gives the commands that the first arguments name, several where they are only
// the first word of two, and the arguments after the name.
func find(args []string) (found []command, rest []string) {
	for _, c := range commands() {
		words := strings.Fields(c.name)
		switch {
		case len(args) == 0 || args[0] != words[0]:
		case len(words) == 1:
			return []command{c}, args[1:]
		case len(args) > 1 && args[1] == words[1]:
			return []command{c}, args[2:]
		default:
			found, rest = append(found, c), args[1:]
		}
	}
	return found, rest
}

func names(all []command) string {
	var out []string
	for _, c := range all {
		out = append(out, c.name)
	}
	return strings.Join(out, ", ")
}

func asksForHelp(arg string) bool {
	return slices.Contains([]string{"-h", "-help", "--h", "--help"}, arg)
}

// flags is the command's set, which says nothing by itself.
func (c command) flags() *flag.FlagSet {
	f := flag.NewFlagSet(c.name, flag.ContinueOnError)
	f.SetOutput(io.Discard)
	f.Usage = func() {}
	return f
}

// usage writes how commands are used, a line for each way.
func usage(all []command, to io.Writer) {
	for _, c := range all {
		for _, u := range c.usage {
			fmt.Fprintln(to, strings.TrimSpace("usage: plainleaf "+c.name+" "+u))
		}
	}
}

// overview lists the commands.
func overview(to io.Writer) int {
	fmt.Fprint(to, "usage: plainleaf COMMAND [flags] [arguments]\n\n")
	for _, c := range commands() {
		fmt.Fprintf(to, "  %-16s %s\n", c.name, strings.ReplaceAll(c.summary, "`", ""))
	}
	fmt.Fprint(to, "\nplainleaf help COMMAND says more of one, with an example.\n")
	return good
}

// explain says all there is to know of commands.
func explain(all []command, to io.Writer) int {
	for i, c := range all {
		if i > 0 {
			fmt.Fprintln(to)
		}
		usage([]command{c}, to)
		fmt.Fprintf(to, "\n%s: %s.\n%s\n", c.name, strings.ReplaceAll(c.summary, "`", ""), c.about)
		f := c.flags()
		c.prepare(f)
		var flags strings.Builder
		f.SetOutput(&flags)
		f.PrintDefaults()
		if flags.Len() > 0 {
			fmt.Fprintf(to, "\nFlags:\n%s", flags.String())
		}
		fmt.Fprintf(to, "\nExample:\n  %s\n", c.example)
	}
	return good
}

func help(*flag.FlagSet) action {
	return func(c *call) int {
		if len(c.args) == 0 {
			return overview(c.out)
		}
		found, rest := find(c.args)
		switch {
		case len(found) == 0:
			return c.wrong("there is no command %q; there are %s", strings.Join(c.args, " "), names(commands()))
		case len(rest) > 0:
			return c.wrong("unexpected argument %q", rest[0])
		}
		return explain(found, c.out)
	}
}

// keptVersion is the version of the envelope that keep.js puts around a kept case; a
// test compares the two.
const keptVersion = 2

func printVersion(*flag.FlagSet) action {
	return func(c *call) int {
		if len(c.args) > 0 {
			return c.unexpected()
		}
		info, ok := debug.ReadBuildInfo()
		if !ok {
			info = &debug.BuildInfo{}
		}
		fmt.Fprintf(c.out, "plainleaf %s\n%s\n", built(info), runtime.Version())
		fmt.Fprintf(c.out, "formats: case %d, practice %d, draft %d, kept %d, record %d\n",
			casefile.CaseVersion, casefile.PracticeVersion, state.DraftVersion, keptVersion, record.Version)
		return good
	}
}

// built says from what the program was made: the version of the module, where it has
// one, and the revision of the sources.
func built(info *debug.BuildInfo) string {
	var parts []string
	if v := info.Main.Version; v != "" && v != "(devel)" {
		parts = append(parts, v)
	}
	for _, s := range info.Settings {
		switch {
		case s.Key == "vcs.revision":
			parts = append(parts, "revision "+s.Value)
		case s.Key == "vcs.modified" && s.Value == "true":
			parts = append(parts, "with changes that are not in it")
		}
	}
	if len(parts) == 0 {
		return "built without version information"
	}
	return strings.Join(parts, ", ")
}

// plural is the word for so many.
func plural(n int, one, more string) string {
	if n == 1 {
		return one
	}
	return more
}

// count is a number and the word for it.
func count(n int, one, more string) string { return fmt.Sprintf("%d %s", n, plural(n, one, more)) }

//go:build !js

package main

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime/debug"
	"strconv"
	"strings"
	"testing"

	"plainleaf/app/shell"
)

// Help of each command comes in four ways and is the same, on standard output.
func TestHelp(t *testing.T) {
	code, list, errs := order("", "help")
	if code != good || errs != "" {
		t.Fatalf("help: exit %d, %q", code, errs)
	}
	for _, args := range [][]string{{"-h"}, {"-help"}, {"--help"}} {
		if code, out, errs := order("", args...); code != good || out != list || errs != "" {
			t.Errorf("%q: exit %d, %q, %q", args, code, out, errs)
		}
	}
	seen := map[string]bool{}
	for _, c := range commands() {
		if seen[c.name] || c.summary == "" || c.about == "" || len(c.usage) == 0 || strings.Contains(c.summary, "\n") {
			t.Errorf("%q: it is there twice, or something is not said", c.name)
		}
		seen[c.name] = true
		if !regexp.MustCompile(`(?m)^  ` + c.name + ` +` + regexp.QuoteMeta(strings.ReplaceAll(c.summary, "`", "")) + `$`).MatchString(list) {
			t.Errorf("help does not list %q", c.name)
		}
		words := strings.Fields(c.name)
		code, help, errs := order("", append([]string{"help"}, words...)...)
		if code != good || errs != "" || !strings.Contains(help, c.about) || !strings.HasSuffix(help, "\nExample:\n  "+c.example+"\n") {
			t.Errorf("help %s: exit %d, %q, %q", c.name, code, help, errs)
		}
		for _, flag := range []string{"-h", "-help", "--help"} {
			if code, out, errs := order("", append(words, flag)...); code != good || out != help || errs != "" {
				t.Errorf("%s %s: exit %d, %q, %q", c.name, flag, code, out, errs)
			}
		}
		code, out, errs := order("", append(words, "-nonsense")...)
		if code != badUsage || out != "" || !strings.HasPrefix(errs, "plainleaf "+c.name+": ") || !strings.Contains(errs, "\nusage: plainleaf "+c.name) ||
			strings.Count(errs, "\n") != 1+len(c.usage) {
			t.Errorf("%s -nonsense: exit %d, %q, %q", c.name, code, out, errs)
		}
		// Every flag that is read is in the usage, those of another flag excepted.
		for flag := range strings.SplitSeq(help, "\n  -") {
			name, _, _ := strings.Cut(strings.Fields(flag)[0], " ")
			if strings.HasPrefix(flag, "usage") || name == "passphrase-fd" {
				continue
			}
			if !strings.Contains(strings.Join(c.usage, " "), "-"+name) {
				t.Errorf("%s: the usage has no -%s", c.name, name)
			}
		}
	}
	for _, c := range []struct {
		args []string
		said string
	}{
		{[]string{"exchange"}, "plainleaf exchange: say which: exchange export, exchange import\nusage: "},
		{[]string{"exchange", "nonsense"}, "plainleaf exchange: say which"},
		{[]string{"help", "nonsense"}, "plainleaf help: there is no command \"nonsense\"; there are serve, "},
		{[]string{"help", "plan", "more"}, "plainleaf help: unexpected argument \"more\""},
		{[]string{"version", "more"}, "plainleaf version: unexpected argument \"more\""},
		{[]string{"serve", "-start", "en"}, "plainleaf serve: -start is a page of the site"},
	} {
		if code, out, errs := order("", c.args...); code != badUsage || out != "" || !strings.HasPrefix(errs, c.said) {
			t.Errorf("%q: exit %d, %q, %q", c.args, code, out, errs)
		}
	}
	if code, both, _ := order("", "help", "exchange"); code != good || strings.Count(both, "Example:") != 2 {
		t.Errorf("help exchange: exit %d, %q", code, both)
	}
}

// Each example does what help promises, as it is typed from the project's folder.
func TestExamples(t *testing.T) {
	plainleaf := filepath.Join(t.TempDir(), "plainleaf")
	if out, err := exec.Command("go", "build", "-buildvcs=false", "-o", plainleaf, ".").CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	for _, c := range commands() {
		switch c.name {
		case "serve", "site": // one never ends, the other takes a minute; both have tests of their own
			continue
		}
		if !strings.HasPrefix(c.example, "go run ./app "+c.name) && c.name != "exchange import" {
			t.Errorf("%s: the example is one of something else: %s", c.name, c.example)
		}
		made := filepath.Join(t.TempDir(), "records")
		line := strings.ReplaceAll(c.example, "go run ./app", plainleaf)
		cmd := exec.Command("sh", "-c", strings.ReplaceAll(line, "build/out/records", made))
		cmd.Dir = ".."
		var errs strings.Builder
		cmd.Stderr = &errs
		out, err := cmd.Output()
		if err != nil {
			t.Errorf("%s: %v\n%s", c.example, err, errs.String())
		}
		if files, _ := os.ReadDir(made); len(out) == 0 && len(files) == 0 {
			t.Errorf("%s: nothing came of it", c.example)
		}
	}
}

// README.md lists the commands as the table has them.
func TestTheReadmeListsEveryCommand(t *testing.T) {
	readme, err := os.ReadFile("../README.md")
	if err != nil {
		t.Fatal(err)
	}
	var want []string
	for _, c := range commands() {
		var uses []string
		for _, u := range c.usage {
			uses = append(uses, "`"+strings.ReplaceAll(strings.TrimSpace(c.name+" "+u), "|", `\|`)+"`")
		}
		want = append(want, fmt.Sprintf("| %s | %s |", strings.Join(uses, " or "), c.summary))
	}
	if rows := strings.Join(want, "\n"); !strings.Contains(string(readme), "| call | does |\n|---|---|\n"+rows+"\n\n") {
		t.Errorf("README.md has another table; the command's is\n%s", rows)
	}
}

func TestVersion(t *testing.T) {
	code, out, errs := order("", "version")
	if code != good || errs != "" || !regexp.MustCompile(`^plainleaf .+\ngo1\..+\nformats: case 2, practice 2, draft 2, kept 2, record 2\n$`).MatchString(out) {
		t.Errorf("exit %d, %q, %q", code, out, errs)
	}
	of := func(version string, settings ...debug.BuildSetting) *debug.BuildInfo {
		return &debug.BuildInfo{Main: debug.Module{Version: version}, Settings: settings}
	}
	revision := debug.BuildSetting{Key: "vcs.revision", Value: "0123abc"}
	for want, info := range map[string]*debug.BuildInfo{
		"built without version information": of("(devel)", debug.BuildSetting{Key: "GOOS", Value: "linux"}),
		"v1.2.3":                            of("v1.2.3"),
		"revision 0123abc":                  of("(devel)", revision, debug.BuildSetting{Key: "vcs.modified", Value: "false"}),
		"v1.2.3, revision 0123abc, with changes that are not in it": of("v1.2.3", revision, debug.BuildSetting{Key: "vcs.modified", Value: "true"}),
	} {
		if got := built(info); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
	m := regexp.MustCompile(`FORMAT = "plainleaf-kept", VERSION = (\d+)`).FindSubmatch(shell.Keep)
	if m == nil || string(m[1]) != strconv.Itoa(keptVersion) {
		t.Errorf("keep.js writes kept cases in another version than %d: %q", keptVersion, m)
	}
}

// What is reported has the right number.
func TestPlurals(t *testing.T) {
	for n, want := range map[int]string{0: "0 sentences", 1: "1 sentence", 2: "2 sentences"} {
		if got := count(n, "sentence", "sentences"); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
	if _, _, errs := order("{", "plan", "-"); !strings.HasSuffix(errs, "after 1 byte\n") {
		t.Errorf("%q", errs)
	}
}

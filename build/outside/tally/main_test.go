package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

func TestRead(t *testing.T) {
	const good = `{"Action":"start","Package":"a"}
{"Action":"output","Package":"a","Test":"TestX","Output":"chatter\n"}
{"Action":"pass","Package":"a","Test":"TestX"}
{"Action":"output","Package":"a","Output":"outside checks: 3 from a table\n"}
{"Action":"output","Package":"a","Output":"ok  \ta\t0.1s\n"}
{"Action":"pass","Package":"a"}
`
	const bad = `{"Action":"output","Package":"b","Test":"TestY","Output":"it broke\n"}
{"Action":"fail","Package":"b","Test":"TestY"}
{"Action":"output","Package":"b","Output":"outside checks: 2 from a table\n"}
{"Action":"fail","Package":"b"}
`
	file := filepath.Join(t.TempDir(), "counts")
	var out strings.Builder
	if err := read(strings.NewReader(good), &out, file); err != nil || out.String() != "ok  \ta\t0.1s\n" {
		t.Errorf("%v, %q", err, out.String())
	}
	out.Reset()
	if err := read(strings.NewReader(good+bad), &out, file); err == nil || !strings.Contains(out.String(), "it broke") {
		t.Errorf("%v, %q", err, out.String())
	}
	out.Reset()
	if err := sums(file, &out); err != nil || !strings.HasPrefix(out.String(), "     8  a table\n     8  outside checks from 1 sources\n") {
		t.Errorf("%v, %q", err, out.String())
	}
	for what, in := range map[string]string{
		"nothing":                   "",
		"a package that never ends": `{"Action":"output","Package":"c","Output":"panic\n"}` + "\n",
		"a build that failed":       `{"ImportPath":"d","Action":"build-output","Output":"x\n"}` + "\n" + `{"Action":"fail","Package":"d","FailedBuild":"d"}` + "\n",
	} {
		if err := read(strings.NewReader(in), &out, ""); err == nil {
			t.Errorf("%s passes", what)
		}
	}
	if err := os.WriteFile(file, []byte("something else\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	if sums(file, &out) == nil {
		t.Error("a file of something else is added up")
	}
}

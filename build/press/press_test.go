package press

import (
	"bytes"
	"context"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"plainleaf/app/casefile"
)

var day = casefile.Date{Year: 2026, Month: 11, Day: 25}

const page = `<!DOCTYPE html><html lang="ar" dir="rtl"><head><meta charset="utf-8"><title>عنوان</title>
<style>@page{size:letter}</style></head><body><h1>عنوان</h1><p>one two three</p></body></html>`

func TestPrint(t *testing.T) {
	if testing.Short() {
		t.Skip("needs a browser")
	}
	temp := t.TempDir()
	t.Setenv("TMPDIR", temp)
	pdf, err := Print(context.Background(), []byte(page), day)
	if err != nil {
		t.Fatal(err)
	}
	again, err := Print(context.Background(), []byte(page), day)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(pdf, again) {
		t.Error("two prints differ")
	}
	if left, _ := os.ReadDir(temp); len(left) > 0 {
		t.Errorf("%v is left behind", left)
	}
	file := filepath.Join(t.TempDir(), "x.pdf")
	if err := os.WriteFile(file, pdf, 0o600); err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command("pdfinfo", "-isodates", file)
	cmd.Env = append(os.Environ(), "TZ=UTC")
	info, err := cmd.CombinedOutput()
	if err != nil {
		t.Fatalf("pdfinfo: %v: %s", err, info)
	}
	said := strings.Join(strings.Fields(string(info)), " ")
	for _, want := range []string{"Title: عنوان", "Tagged: yes", "Pages: 1", "612 x 792 pts (letter)", "CreationDate: 2026-11-25T00:00:00Z", "ModDate: 2026-11-25T00:00:00Z", "JavaScript: no"} {
		if !strings.Contains(said, want) {
			t.Errorf("pdfinfo does not say %q: %s", want, said)
		}
	}
	if !bytes.Contains(pdf, []byte("/Lang (ar)")) {
		t.Error("the PDF names no language")
	}
	text, err := exec.Command("pdftotext", file, "-").Output()
	if err != nil || !strings.Contains(string(text), "one two three") {
		t.Errorf("pdftotext: %v: %q", err, text)
	}
}

func TestNoBrowser(t *testing.T) {
	t.Setenv("PLAINLEAF_CHROMIUM", filepath.Join(t.TempDir(), "none"))
	if _, err := Print(context.Background(), []byte(page), day); !errors.Is(err, ErrNoBrowser) {
		t.Errorf("%v", err)
	}
	t.Setenv("PLAINLEAF_CHROMIUM", "")
	t.Setenv("PATH", t.TempDir())
	if _, err := Print(context.Background(), []byte(page), day); !errors.Is(err, ErrNoBrowser) {
		t.Errorf("%v", err)
	}
}

// A browser that fails, writes half a file or hangs gives an error and leaves nothing.
func TestBadBrowser(t *testing.T) {
	for name, script := range map[string]string{
		"fails": "echo broken >&2; exit 3", "writes nothing": "exit 0",
		"half a file": `for a in "$@"; do case $a in --print-to-pdf=*) printf '%%PDF-1.4 half' >"${a#--print-to-pdf=}";; esac; done`,
		"hangs":       "exec sleep 600",
	} {
		temp := t.TempDir()
		t.Setenv("TMPDIR", temp)
		file := filepath.Join(t.TempDir(), "browser")
		if err := os.WriteFile(file, []byte("#!/bin/sh\n"+script+"\n"), 0o700); err != nil {
			t.Fatal(err)
		}
		t.Setenv("PLAINLEAF_CHROMIUM", file)
		ctx, cancel := context.WithTimeout(context.Background(), 2*time.Second)
		if pdf, err := Print(ctx, []byte(page), day); err == nil || pdf != nil {
			t.Errorf("%s: %d bytes, %v", name, len(pdf), err)
		}
		cancel()
		if left, _ := os.ReadDir(temp); len(left) > 0 {
			t.Errorf("%s: %v is left behind", name, left)
		}
	}
}

// Package press prints a page to PDF through an installed Chromium browser.
package press

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"time"

	"plainleaf/app/casefile"
	"plainleaf/build/whole"
)

// ErrNoBrowser says that none is installed.
var ErrNoBrowser = errors.New("no Chromium browser is installed; install one or name it in PLAINLEAF_CHROMIUM")

// patience is how long one page may take.
const patience = 3 * time.Minute

// Find names the browser: PLAINLEAF_CHROMIUM, or the first one in PATH.
func Find() (string, error) {
	names := []string{"chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "chrome"}
	if name := os.Getenv("PLAINLEAF_CHROMIUM"); name != "" {
		names = []string{name}
	}
	for _, name := range names {
		if p, err := exec.LookPath(name); err == nil {
			return p, nil
		}
	}
	return "", ErrNoBrowser
}

// Print gives the PDF of a standalone page, tagged, with the page's own title,
// language and paper. The browser reaches no network. The PDF bears date, so that
// one page printed twice by one browser gives the same bytes.
func Print(ctx context.Context, page []byte, date casefile.Date) ([]byte, error) {
	browser, err := Find()
	if err != nil {
		return nil, err
	}
	dir, leave, err := whole.Room()
	if err != nil {
		return nil, err
	}
	defer leave()
	in, out := filepath.Join(dir, "page.html"), filepath.Join(dir, "page.pdf")
	if err := os.WriteFile(in, page, 0o600); err != nil {
		return nil, err
	}
	args := []string{"--headless", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
		"--disable-component-update", "--disable-sync", "--disable-dev-shm-usage", "--disable-extensions",
		"--host-resolver-rules=MAP * ~NOTFOUND", "--user-data-dir=" + filepath.Join(dir, "profile"),
		"--no-pdf-header-footer", "--print-to-pdf=" + out}
	if os.Geteuid() == 0 {
		args = append(args, "--no-sandbox") // it refuses to run as root otherwise
	}
	args = append(args, (&url.URL{Scheme: "file", Path: filepath.ToSlash(in)}).String())
	ctx, cancel := context.WithTimeout(ctx, patience)
	defer cancel()
	cmd := exec.CommandContext(ctx, browser, args...)
	cmd.WaitDelay = 5 * time.Second
	var said bytes.Buffer
	cmd.Stderr = &said
	err = cmd.Run()
	if ctx.Err() != nil {
		return nil, fmt.Errorf("the browser did not finish: %w", ctx.Err())
	}
	pdf, readErr := os.ReadFile(out)
	if err != nil || readErr != nil || !bytes.HasPrefix(pdf, []byte("%PDF-")) || !bytes.HasSuffix(bytes.TrimSpace(pdf), []byte("%%EOF")) {
		return nil, fmt.Errorf("the browser wrote no PDF (%v): %s", err, last(said.String()))
	}
	return dated(pdf, date), nil
}

var dates = regexp.MustCompile(`/(CreationDate|ModDate) \(D:\d{14}[+-]\d\d'\d\d'\)`)

// dated puts date in the place of the time of printing, byte for byte, so that
// every offset in the file stays right.
func dated(pdf []byte, date casefile.Date) []byte {
	stamp := fmt.Sprintf("(D:%04d%02d%02d000000+00'00')", date.Year, date.Month, date.Day)
	return dates.ReplaceAllFunc(pdf, func(m []byte) []byte {
		name, _, _ := bytes.Cut(m, []byte(" "))
		return append(append(bytes.Clone(name), ' '), stamp...)
	})
}

// last is the last line that says something.
func last(s string) string {
	lines := strings.Split(strings.TrimSpace(s), "\n")
	return lines[len(lines)-1]
}

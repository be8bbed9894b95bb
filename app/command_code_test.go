//go:build !js

package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// The link, the drawing and the picture are one code: zbarimg reads the picture,
// which knows its size in print.
func TestCode(t *testing.T) {
	args := []string{"code", "-locale", "ar", caseDir + "/delivered.json"}
	status, link, errs := order("", args...)
	if status != good || errs != "" || !regexp.MustCompile(`^https://plainleaf\.example/ar/paper/#p=[A-Za-z0-9_-]+\n$`).MatchString(link) {
		t.Fatalf("exit %d, %q, %s", status, link, errs)
	}
	if _, again, _ := order("", args...); again != link {
		t.Error("two runs differ")
	}
	file := filepath.Join(t.TempDir(), "code.png")
	if status, out, errs := order("", append(args, "-format", "png", "-out", file)...); status != good || out != "" || errs != "" {
		t.Fatalf("exit %d, %q, %s", status, out, errs)
	}
	read, err := exec.Command("zbarimg", "--quiet", "--raw", "-Sdisable", "-Sqrcode.enable", file).Output()
	if err != nil || string(read) != link {
		t.Errorf("zbarimg reads %q, %v", read, err)
	}
	data, err := os.ReadFile(file)
	if err != nil || !strings.Contains(string(data[:80]), "pHYs\x00\x00\x2e\x23\x00\x00\x2e\x23\x01") {
		t.Errorf("the picture does not say 300 dots an inch: %q", data[:80])
	}
	if status, out, _ := order("", append(args, "-format", "svg")...); status != good || !strings.HasPrefix(out, "<svg ") || !strings.Contains(out, word(t, "ar", "page.take.code-alt")) {
		t.Errorf("exit %d, %.80q", status, out)
	}
	// Nowhere to lead to.
	practice, err := os.ReadFile("demo/practice.json")
	if err != nil {
		t.Fatal(err)
	}
	none := filepath.Join(t.TempDir(), "practice.json")
	if err := os.WriteFile(none, regexp.MustCompile(`\n\s*"base_address": "[^"]*",`).ReplaceAll(practice, nil), 0o600); err != nil {
		t.Fatal(err)
	}
	if status, out, errs := order("", append(args, "-practice", none)...); status != badInput || out != "" || !strings.HasPrefix(errs, "CODE-NOWHERE\tbase_address\t") {
		t.Errorf("exit %d, %q, %q", status, out, errs)
	}
	for _, bad := range [][]string{{"code"}, {"code", "-format", "pdf", "x"}, {"code", "-locale", "xx", "x"}} {
		if status, _, _ := order("", bad...); status != badUsage {
			t.Errorf("%q: exit %d", bad, status)
		}
	}
}

//go:build !js

package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"plainleaf/build/trials"
)

// The test program serves as the command itself, so that it can be killed: once,
// or again and again, every other time with another last argument.
func TestMain(m *testing.M) {
	args := strings.Split(os.Getenv("PLAINLEAF_TEST_RUN"), "\n")
	switch again, _, _ := strings.Cut(os.Getenv("PLAINLEAF_TEST_AGAIN"), "\n"); {
	case len(args) < 2:
		os.Exit(m.Run())
	case again == "":
		os.Exit(run(args, nil, os.Stdout, os.Stderr))
	default:
		for {
			for _, last := range []string{again, args[len(args)-1]} {
				if code := run(append(args[:len(args)-1:len(args)-1], last), nil, os.Stdout, os.Stderr); code != good {
					os.Exit(code)
				}
			}
		}
	}
}

// another runs the command in a process of its own; over turns true at its end.
func another(t *testing.T, args []string, again ...string) (c *exec.Cmd, over *atomic.Bool) {
	t.Helper()
	c = exec.Command(os.Args[0])
	c.Env = append(os.Environ(), "PLAINLEAF_TEST_RUN="+strings.Join(args, "\n"), "PLAINLEAF_TEST_AGAIN="+strings.Join(again, "\n"))
	c.Stderr = os.Stderr
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	over = new(atomic.Bool)
	go func() { c.Wait(); over.Store(true) }()
	t.Cleanup(func() {
		c.Process.Kill()
		for !over.Load() {
			time.Sleep(time.Millisecond)
		}
	})
	return c, over
}

// batch writes n cases that differ in their ids.
func batch(t testing.TB, n int) []string {
	t.Helper()
	dir := t.TempDir()
	data, err := os.ReadFile(caseDir + "/thinking.json")
	if err != nil {
		t.Fatal(err)
	}
	var c map[string]any
	if err := json.Unmarshal(data, &c); err != nil {
		t.Fatal(err)
	}
	var files []string
	for i := range n {
		c["id"] = fmt.Sprintf("batch-%05d", i)
		data, _ := json.Marshal(c)
		name := filepath.Join(dir, fmt.Sprintf("%05d.json", i))
		if err := os.WriteFile(name, data, 0o644); err != nil {
			t.Fatal(err)
		}
		files = append(files, name)
	}
	return files
}

// heapOf runs the command, which writes n files into a folder, and gives what is
// on the heap after a collection, looked at whenever another twentieth is written.
func heapOf(t *testing.T, dir string, n int, args []string) []uint64 {
	t.Helper()
	done := make(chan string, 1)
	go func() {
		_, out, errs := order("", args...)
		done <- out + errs
	}()
	var heap []uint64
	var at []int
	tick := time.NewTicker(10 * time.Millisecond)
	defer tick.Stop()
	for {
		select {
		case errs := <-done:
			if errs != "" {
				t.Fatal(errs)
			}
			if len(heap) < 10 {
				t.Fatalf("only %d looks at the heap", len(heap))
			}
			t.Logf("files written %v, live heap in KiB %v", at, kib(heap))
			return heap
		case <-tick.C:
			if entries, err := os.ReadDir(dir); err == nil && len(entries) >= (len(at)+1)*n/20 {
				var m runtime.MemStats
				runtime.GC()
				runtime.ReadMemStats(&m)
				heap, at = append(heap, m.HeapAlloc), append(at, len(entries))
			}
		}
	}
}

func kib(b []uint64) []uint64 {
	var out []uint64
	for _, x := range b {
		out = append(out, x>>10)
	}
	return out
}

// Many sheets in one call take no more memory than the first of them, and each is
// what a call of its own writes.
func TestManySheetsInConstantMemory(t *testing.T) {
	n := trials.N(100, 200, 2000)
	files, dir := batch(t, n), filepath.Join(t.TempDir(), "sheets")
	args := []string{"sheet", "-kind", "aftercare", "-locale", "en", "-format", "html"}
	heap := heapOf(t, dir, n, append(append(args, "-out", dir), files...))
	// To keep the sheets of the second half would take 10 MB for every hundred. The look
	// in the middle of one sheet counts what it needs, so the least of some is taken.
	if first, last := slices.Min(heap[:5]), slices.Min(heap[len(heap)-5:]); last > first+4<<20 {
		t.Errorf("the heap grew from %d to %d KiB", first>>10, last>>10)
	}
	entries, err := os.ReadDir(dir)
	if err != nil || len(entries) != n {
		t.Fatalf("%d files of %d cases, %v", len(entries), n, err)
	}
	for _, i := range []int{0, n / 2, n - 1} {
		_, alone, _ := order("", append(args, files[i])...)
		if data, err := os.ReadFile(filepath.Join(dir, fmt.Sprintf("%05d.html", i))); err != nil || string(data) != alone || alone == "" {
			t.Errorf("sheet %d is another one than by itself: %v", i, err)
		}
	}
}

// A bad case among good ones is told, with its file, and stops none of them; two
// files of one name are refused before anything is written.
func TestSheetsGoOn(t *testing.T) {
	dir, other := filepath.Join(t.TempDir(), "out"), t.TempDir()
	bad := filepath.Join(other, "two-teeth.json")
	if err := os.WriteFile(bad, []byte(`{"version":1,`), 0o644); err != nil {
		t.Fatal(err)
	}
	args := []string{"sheet", "-kind", "consent", "-locale", "en", "-format", "text"}
	for _, wrong := range [][]string{
		append(args, caseDir+"/two-teeth.json", caseDir+"/crown.json"),                                // no folder
		append(args, "-out", dir, caseDir+"/two-teeth.json", bad),                                     // one name
		append(args, "-out", dir, caseDir+"/two-teeth.json", "-"),                                     // no name
		append(args, "-format", "eml", "-to", "a@b.example", "-out", dir, caseDir+"/crown.json", bad), // one recipient
	} {
		if code, out, errs := order("", wrong...); code != badUsage || out != "" || strings.Count(errs, "\n") != 2 { // what is wrong, and the usage
			t.Errorf("%v: exit %d, %q", wrong, code, errs)
		}
	}
	if _, err := os.Stat(dir); err == nil {
		t.Error("wrong usage made a folder")
	}
	code, out, errs := order("", append(args, "-out", dir, caseDir+"/crown.json", bad, caseDir+"/agreed-days.json")...)
	if code != badInput || out != "" || !strings.HasPrefix(errs, "JSON-TRUNCATED\t"+bad+":$\t") || strings.Count(errs, "\n") != 1 {
		t.Errorf("exit %d, %q", code, errs)
	}
	for _, name := range []string{"crown.txt", "agreed-days.txt"} {
		if info, err := os.Stat(filepath.Join(dir, name)); err != nil || info.Size() < 1000 {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// Whenever a sheet is being written over an older one, the file is the old one or
// the new one, whole: what stands there at any moment is what an interruption at
// that moment would leave. The run is killed in the end, again and again.
func TestSheetKilled(t *testing.T) {
	kills, most := trials.N(1, 2, 12), trials.N(3, 4, 12) // kills of each format, changes before one
	one, two := caseDir+"/two-teeth.json", caseDir+"/delivered.json"
	for _, format := range []string{"html", "text", "eml", "ics", "json"} {
		file := filepath.Join(t.TempDir(), "sheet."+format)
		args := []string{"sheet", "-kind", "aftercare", "-locale", "en", "-format", format}
		whole := [][]byte{[]byte("what stood there before")}
		if err := os.WriteFile(file, whole[0], 0o644); err != nil {
			t.Fatal(err)
		}
		for _, c := range []string{one, two} {
			code, out, errs := order("", append(args, c)...)
			if code != good {
				t.Fatal(errs)
			}
			whole = append(whole, []byte(out))
		}
		look := func() int {
			data, err := os.ReadFile(file)
			if err != nil {
				t.Fatalf("%s: %v", format, err)
			}
			for i, w := range whole {
				if bytes.Equal(data, w) {
					return i
				}
			}
			t.Fatalf("%s: %d bytes, neither the old sheet nor a new one", format, len(data))
			return -1
		}
		for range kills {
			last := look()
			c, over := another(t, append(args, "-out", file, one), two)
			for changes := 0; changes < most; {
				if over.Load() {
					t.Fatalf("%s: it ended by itself", format)
				}
				if now := look(); now != last {
					last, changes = now, changes+1
				}
			}
			if err := c.Process.Kill(); err != nil {
				t.Fatal(err)
			}
			for !over.Load() {
				time.Sleep(time.Millisecond)
			}
			look()
		}
	}
}

// A PDF that is ended while the browser prints, in whatever way, leaves the old
// file; what was written for the browser is gone at the latest with the next PDF.
func TestPDFInterrupted(t *testing.T) {
	if testing.Short() {
		t.Skip("needs a browser")
	}
	t.Setenv("TMPDIR", t.TempDir())
	file := filepath.Join(t.TempDir(), "sheet.pdf")
	args := []string{"sheet", "-kind", "aftercare", "-locale", "en", "-format", "pdf", "-out", file, caseDir + "/two-teeth.json"}
	page := func() bool {
		pages, _ := filepath.Glob(os.TempDir() + "/*/page.html")
		return len(pages) > 0
	}
	for _, signal := range []os.Signal{os.Interrupt, syscall.SIGTERM, syscall.SIGHUP, os.Kill} {
		if err := os.WriteFile(file, []byte("old"), 0o644); err != nil {
			t.Fatal(err)
		}
		c, over := another(t, args)
		for !page() {
			if over.Load() {
				t.Fatal("it ended by itself")
			}
			time.Sleep(time.Millisecond)
		}
		if err := c.Process.Signal(signal); err != nil {
			t.Fatal(err)
		}
		for !over.Load() {
			time.Sleep(time.Millisecond)
		}
		if data, err := os.ReadFile(file); err != nil || string(data) != "old" {
			t.Errorf("%v: %d bytes, %v", signal, len(data), err)
		}
		if page() != (signal == os.Kill) {
			t.Errorf("%v: a page is left behind: %v", signal, page())
		}
	}
	if code, _, errs := order("", args...); code != good {
		t.Fatal(errs)
	}
	if page() {
		t.Error("the page of a run that was killed is still there after the next")
	}
	if data, err := os.ReadFile(file); err != nil || !bytes.HasPrefix(data, []byte("%PDF-")) {
		t.Errorf("%d bytes, %v", len(data), err)
	}
}

// An interrupt ends a batch of PDFs, not only the one being printed.
func TestPDFBatchInterrupted(t *testing.T) {
	if testing.Short() {
		t.Skip("needs a browser")
	}
	t.Setenv("TMPDIR", t.TempDir())
	dir := t.TempDir()
	c, over := another(t, append([]string{"sheet", "-kind", "aftercare", "-locale", "en", "-format", "pdf", "-out", dir}, batch(t, 3)...))
	for pages := []string(nil); len(pages) == 0; pages, _ = filepath.Glob(os.TempDir() + "/*/page.html") {
		if over.Load() {
			t.Fatal("it ended by itself")
		}
		time.Sleep(time.Millisecond)
	}
	if err := c.Process.Signal(os.Interrupt); err != nil {
		t.Fatal(err)
	}
	for !over.Load() {
		time.Sleep(time.Millisecond)
	}
	if entries, err := os.ReadDir(dir); err != nil || len(entries) > 0 {
		t.Errorf("written after the interrupt: %v, %v", entries, err)
	}
}

// Where the result does not fit, that is told: by one line that names the file, or
// "-" for standard output, and by the exit code. Nothing else is left.
func TestNoRoom(t *testing.T) {
	rec := t.TempDir()
	if code, _, errs := order("", "seal", "-out", rec, caseDir+"/two-teeth.json"); code != good {
		t.Fatal(errs)
	}
	records, err := filepath.Glob(rec + "/*.json")
	if err != nil || len(records) != 1 {
		t.Fatal(records, err)
	}
	aftercare := func(format string) []string {
		return []string{"sheet", "-kind", "aftercare", "-locale", "en", "-format", format, caseDir + "/delivered.json"}
	}
	for name, args := range map[string][]string{
		"html": aftercare("html"), "text": aftercare("text"), "eml": aftercare("eml"), "ics": aftercare("ics"), "json": aftercare("json"),
		"code": {"code", "-format", "svg", caseDir + "/delivered.json"},
		"fhir": {"fhir", records[0]},
		"plan": {"plan", caseDir + "/delivered.json"}, "check": {"check", "-json"},
		"seal": {"seal", caseDir + "/two-teeth.json"},
	} {
		// 1024 bytes a block, as POSIX has it, or 512: a few KiB either way.
		limited := func(args ...string) (int, string) {
			c := exec.Command("sh", "-c", `ulimit -f 4 && exec "$0"`, os.Args[0])
			c.Env = append(os.Environ(), "PLAINLEAF_TEST_RUN="+strings.Join(args, "\n"))
			var errs bytes.Buffer
			c.Stderr = &errs
			full, err := os.OpenFile("/dev/full", os.O_WRONLY, 0)
			if err != nil {
				t.Skip("there is no /dev/full")
			}
			defer full.Close()
			c.Stdout = full
			c.Run()
			return c.ProcessState.ExitCode(), errs.String()
		}
		if name != "seal" {
			if code, errs := limited(args...); code != badInput || errs != "FILE-WRITE\t-\tno space left on device\n" {
				t.Errorf("%s to standard output: exit %d, %q", name, code, errs)
			}
		}
		if name == "plan" || name == "check" {
			continue
		}
		dir := t.TempDir()
		file := filepath.Join(dir, "out")
		if err := os.WriteFile(file, []byte("old"), 0o600); err != nil {
			t.Fatal(err)
		}
		to, at := file, file
		if name == "seal" {
			to = dir
			at = caseDir + "/two-teeth.json:" + filepath.Join(dir, filepath.Base(records[0]))
		}
		code, errs := limited(append(args, "-out", to)...)
		if code != badInput || errs != "FILE-WRITE\t"+at+"\tfile too large\n" {
			t.Errorf("%s to a file: exit %d, %q", name, code, errs)
		}
		data, err := os.ReadFile(file)
		if entries, _ := os.ReadDir(dir); err != nil || string(data) != "old" || len(entries) != 1 {
			t.Errorf("%s: %d bytes, %v; %v", name, len(data), err, entries)
		}
	}
}

// What is read is never written over: a case by its own sheet, a practice file, a
// record; under another name, through a link, or one of a batch.
func TestNothingReadIsReplaced(t *testing.T) {
	dir := t.TempDir()
	at := func(name string) string { return filepath.Join(dir, name) }
	for _, name := range []string{"crown.json", "two-teeth.json"} {
		data, err := os.ReadFile(caseDir + "/" + name)
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(at(name), data, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	practice, err := os.ReadFile("demo/practice.json")
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(at("practice.json"), practice, 0o600); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink("crown.json", at("link")); err != nil {
		t.Fatal(err)
	}
	if code, _, errs := order("", "seal", "-out", at("records"), at("crown.json")); code != good {
		t.Fatal(errs)
	}
	rec := records(t, at("records"))[0]
	all := func() (out string) {
		for _, name := range []string{at("crown.json"), at("two-teeth.json"), at("practice.json"), rec} {
			data, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			out += string(data)
		}
		return out
	}
	before := all()
	sheet := []string{"sheet", "-kind", "consent", "-locale", "en", "-format", "json"}
	for _, args := range [][]string{
		append(sheet, "-out", dir, at("crown.json"), at("two-teeth.json")),
		append(sheet, "-out", at("crown.json"), at("crown.json")),
		append(sheet, "-out", dir+"/records/../crown.json", at("crown.json")),
		append(sheet, "-out", at("link"), at("crown.json")),
		append(sheet, "-out", at("practice.json"), "-practice", at("practice.json"), at("crown.json")),
		{"code", "-out", at("crown.json"), at("crown.json")},
		{"fhir", "-out", rec, rec},
	} {
		if code, out, errs := order("", args...); code != badUsage || out != "" || !strings.Contains(errs, "would replace what is read") {
			t.Errorf("%v: exit %d, %q", args, code, errs)
		}
		if all() != before {
			t.Fatalf("%v: something that is read was replaced", args)
		}
	}
	if code, _, errs := order("", append(sheet, "-out", at("sheet.json"), at("crown.json"))...); code != good {
		t.Error(errs)
	}
}

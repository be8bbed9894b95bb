package bench

import (
	"context"
	"encoding/json"
	"flag"
	"math"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"

	"plainleaf/app/plan"
	"plainleaf/build/press"
	"plainleaf/build/wasm"
	"plainleaf/content"
)

var measure = flag.Bool("bench", false, "measure; without it only the cases are looked at")

// cost is the least of a few measurements, in milliseconds on the processor, with
// the collector's part: other programs of a busy machine count less than in time
// by the clock, and what they still disturb only adds.
func cost(f func()) (ms float64) {
	ms = math.Inf(1)
	for range 7 {
		const n = 100
		begin := used()
		for range n {
			f()
		}
		ms = min(ms, float64(used()-begin)/1e6/n)
	}
	return ms
}

// used is the processor time of this process so far, in nanoseconds.
func used() int64 {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		panic(err)
	}
	return u.Utime.Nano() + u.Stime.Nano()
}

// The largest case is really one: all its teeth, findings and routes are in the plan.
func TestCaseIsTheLargest(t *testing.T) {
	b := content.MustLoad()
	c := Case(b, 28)
	p, faults := plan.For(c, Practice(b), b)
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	if len(c.Teeth) != 28 || len(p.Routes) != len(b.Routes) || len(p.Findings) < len(b.Findings)*9/10 {
		t.Errorf("%d teeth, %d of %d routes, %d of %d findings", len(c.Teeth), len(p.Routes), len(b.Routes), len(p.Findings), len(b.Findings))
	}
}

func TestRatiosNative(t *testing.T) {
	if !*measure {
		t.Skip("with -args -bench, as make bench does")
	}
	b := content.MustLoad()
	p := Practice(b)
	run := func(teeth int) func() {
		c := Case(b, teeth)
		return func() { plan.For(c, p, b) }
	}
	pl, _ := plan.For(Case(b, 28), p, b)
	whole, write := cost(run(28)), cost(func() { _, _ = json.Marshal(pl) })
	r := testing.Benchmark(func(b *testing.B) {
		for f := run(28); b.Loop(); {
			f()
		}
	})
	t.Logf("plan of 28 teeth, %d findings, %d routes: %.3f ms, %d allocations, %d kB (bar 2 ms)", len(pl.Findings), len(pl.Routes), whole, r.AllocsPerOp(), r.AllocedBytesPerOp()/1000)
	t.Logf("writing the same plan as JSON: %.3f ms; the plan takes %.2f of it", write, whole/write)
	// ln(time) = a + k ln(teeth), least squares.
	var n, sx, sy, sxx, sxy float64
	for teeth := 4; teeth <= 28; teeth += 4 {
		ms := cost(run(teeth))
		x, y := math.Log(float64(teeth)), math.Log(ms)
		n, sx, sy, sxx, sxy = n+1, sx+x, sy+y, sxx+x*x, sxy+x*y
		t.Logf("%2d teeth: %.3f ms", teeth, ms)
	}
	t.Logf("time grows with teeth to the power of %.2f", (n*sxy-sx*sy)/(n*sxx-sx*sx))
}

func TestRatiosInTheBrowser(t *testing.T) {
	if !*measure {
		t.Skip("with -args -bench, as make bench does")
	}
	dir := t.TempDir()
	if err := wasm.Build(".", "./program", filepath.Join(dir, "program.wasm")); err != nil {
		t.Fatal(err)
	}
	root, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		t.Fatal(err)
	}
	script, err := os.ReadFile(filepath.Join(strings.TrimSpace(string(root)), "lib", "wasm", "wasm_exec.js"))
	if err != nil {
		t.Fatal(err)
	}
	for name, text := range map[string]string{
		"run.js":     string(script) + "\nconst go = new Go();\nWebAssembly.instantiateStreaming(fetch('program.wasm'), go.importObject).then((r) => go.run(r.instance));\n",
		"index.html": "<!doctype html><meta charset=utf-8><title>bench</title><body><div></div><script src=run.js></script>",
	} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	srv := httptest.NewServer(http.FileServer(http.Dir(dir))) // on the loopback interface
	defer srv.Close()
	path, err := press.Find()
	if err != nil {
		t.Fatal(err)
	}
	alloc, endAlloc := chromedp.NewExecAllocator(context.Background(), append(chromedp.DefaultExecAllocatorOptions[:],
		chromedp.ExecPath(path), chromedp.UserDataDir(t.TempDir()), chromedp.NoSandbox, chromedp.DisableGPU, chromedp.Flag("disable-quic", true))...)
	defer endAlloc()
	ctx, end := chromedp.NewContext(alloc)
	defer end()
	ctx, cancel := context.WithTimeout(ctx, 4*time.Minute)
	defer cancel()
	if err := chromedp.Do(ctx, chromedp.Navigate(srv.URL)); err != nil {
		t.Fatal(err)
	}
	// A promise waits for a state in the page, looked at once a frame.
	wait := func(name string) {
		t.Helper()
		if _, err := chromedp.Run(ctx, chromedp.Evaluate[bool]("new Promise((ok) => { const look = () => window."+name+" ? ok(true) : setTimeout(look, 20); look(); })", chromedp.EvalAwaitPromise)); err != nil {
			t.Fatal(name, err)
		}
	}
	wait("ready")
	number := func(name string) float64 {
		v, err := chromedp.Run(ctx, chromedp.Evaluate[float64]("window.measured."+name))
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	const frame = 1000.0 / 60
	for _, rate := range []float64{1, 4} {
		if _, err := chromedp.Call(ctx, emulation.SetCPUThrottlingRate, emulation.SetCPUThrottlingRateParams{Rate: rate}); err != nil {
			t.Fatal(err)
		}
		if _, err := chromedp.Run(ctx, chromedp.Evaluate[bool]("(delete window.measured, window.measure(), true)")); err != nil {
			t.Fatal(err)
		}
		wait("measured")
		update, plan := number("update"), number("plan")
		t.Logf("browser slowed down %v-fold: plan %.2f ms, %.0f %% of a frame of %.1f ms; an empty update %.3f ms, %.1f %%", rate, plan, 100*plan/frame, frame, update, 100*update/frame)
	}
}

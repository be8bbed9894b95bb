//go:build js && wasm

// Command program measures in a browser: window.measure() puts the mean
// milliseconds of an empty update of the screen library and those of a plan into
// window.measured. Means, since a browser that is slowed down stands still in turns
// and the shortest of a few would fall between them.
package main

import (
	"syscall/js"
	"time"

	"github.com/maxence-charriere/go-app/v10/pkg/app"

	"plainleaf/app/plan"
	"plainleaf/build/bench"
	"plainleaf/content"
)

const updates, plans = 40, 200

// screen is one component with nothing to do.
type screen struct {
	app.Compo
	began time.Time
}

func (s *screen) Render() app.UI {
	s.began = time.Now()
	return app.P().Text("measuring")
}

func (s *screen) OnMount(ctx app.Context) {
	base := content.MustLoad()
	c, p := bench.Case(base, 28), bench.Practice(base)
	app.Window().Set("measure", js.FuncOf(func(js.Value, []js.Value) any {
		done := make(chan any)
		go s.update(ctx, updates, 0, func(empty time.Duration) {
			begin := time.Now()
			for range plans {
				if _, faults := plan.For(c, p, base); len(faults) > 0 {
					panic(faults.Lines())
				}
			}
			whole := time.Since(begin)
			app.Window().Set("measured", map[string]any{"update": float64(empty) / 1e6 / updates, "plan": float64(whole) / 1e6 / plans})
			close(done)
		})
		return nil
	}))
	app.Window().Set("ready", true)
}

// update has the screen drawn n times, one frame after the other, and sums the
// time from the start of drawing to the end of the frame.
func (s *screen) update(ctx app.Context, n int, sum time.Duration, then func(time.Duration)) {
	if n == 0 {
		then(sum)
		return
	}
	ctx.Dispatch(func(ctx app.Context) {
		ctx.Defer(func(ctx app.Context) {
			sum += time.Since(s.began)
			go s.update(ctx, n-1, sum, then)
		})
	})
}

func main() {
	app.Route("/", func() app.Composer { return &screen{} })
	app.RunWhenOnBrowser()
}

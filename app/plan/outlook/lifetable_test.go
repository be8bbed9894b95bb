package outlook

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"plainleaf/build/outside"
)

// The published survival the anchors rest on is counted in two ways, product-limit
// and actuarial. Here both are done again from the counts the tables print, and the
// plan's own arithmetic from one point to another is held against the results.

// subject is a time, and whether it ended with an event.
type subject struct {
	time  float64
	event bool
}

// at is one step of a survival curve.
type at struct {
	time          float64
	risk, events  float64
	survival, err float64 // after the step; Greenwood's standard error
}

// productLimit is the Kaplan-Meier curve. Who leaves at a time of event still
// counts as at risk then.
func productLimit(all []subject) (out []at) {
	slices.SortFunc(all, func(a, b subject) int {
		switch {
		case a.time != b.time:
			return int(math.Copysign(1, a.time-b.time))
		case a.event && !b.event:
			return -1
		case b.event && !a.event:
			return 1
		}
		return 0
	})
	s, sum := 1.0, 0.0
	for i := 0; i < len(all); {
		risk, d, left, now := float64(len(all)-i), 0.0, 0, all[i].time
		for ; i+left < len(all) && all[i+left].time == now; left++ {
			if all[i+left].event {
				d++
			}
		}
		i += left
		if d == 0 {
			continue
		}
		s *= 1 - d/risk
		sum += d / (risk * (risk - d))
		out = append(out, at{now, risk, d, s, s * math.Sqrt(sum)})
	}
	return out
}

func TestProductLimitTables(t *testing.T) {
	const src = "Kaplan-Meier tables (evidence-longevity 5.3, 5.4)"
	curves := map[string][]at{}
	for _, r := range outside.Table(t, testdata+"published/kaplan-meier-data.csv") {
		var all []subject
		for f := range strings.FieldsSeq(r[1]) {
			left, censored := strings.CutSuffix(f, "+")
			all = append(all, subject{outside.Num(t, left), !censored})
		}
		curves[r[0]] = productLimit(all)
	}
	// COT09 prints no single times: its subjects are rebuilt from the rows, each
	// leaving just before the next time where fewer are at risk than stayed.
	var veneers []subject
	rows := outside.Table(t, testdata+"published/kaplan-meier.csv")
	last, failed := 0.0, 0.0
	for _, r := range rows {
		if r[0] != "COT09" {
			continue
		}
		now, risk, d := outside.Num(t, r[1]), outside.Num(t, r[2]), outside.Num(t, r[3])
		for range int(last - risk) {
			veneers = append(veneers, subject{now - 0.5, false})
		}
		for range int(d) {
			veneers = append(veneers, subject{now, true})
		}
		last, failed = risk-d, failed+d
	}
	for range int(last) {
		veneers = append(veneers, subject{72, false})
	}
	curves["COT09"] = productLimit(veneers)
	outside.Check(t, src, float64(len(veneers)), 200, 0)
	outside.Check(t, src, failed, 12, 0)
	shipped, _ := base.Figure("cot09-34w")
	outside.Check(t, src, shipped.Value, curves["COT09"][len(curves["COT09"])-1].survival, 0.0005)
	for _, r := range rows {
		i := slices.IndexFunc(curves[r[0]], func(x at) bool { return x.time == outside.Num(t, r[1]) })
		if i < 0 {
			t.Fatalf("%s has no step at %s", r[0], r[1])
		}
		x, half := curves[r[0]][i], outside.Num(t, r[5])/2+1e-9
		outside.Equal(t, src, fmt.Sprint(x.risk, x.events), fmt.Sprint(outside.Num(t, r[2]), outside.Num(t, r[3])))
		outside.Check(t, src, x.survival, outside.Num(t, r[4]), half)
		if r[6] != "" {
			outside.Check(t, src, x.err, outside.Num(t, r[6]), 0.0005+1e-9)
		}
	}
	// 30 events in 541 weeks are a constant hazard of 5.545 % a week, and the plan's
	// exponential curve with it is what one point of it gives at every other time.
	weeks, events := 0.0, 0.0
	for _, r := range outside.Table(t, testdata+"published/kaplan-meier-data.csv")[1:] {
		for f := range strings.FieldsSeq(r[1]) {
			left, censored := strings.CutSuffix(f, "+")
			weeks += outside.Num(t, left)
			if !censored {
				events++
			}
		}
	}
	outside.Check(t, src, weeks, 541, 0)
	outside.Check(t, src, events, 30, 0)
	hazard := events / weeks
	outside.Check(t, src, 100*hazard, 5.545, 0.0005)
	for years := 1.0; years < 30; years += 7 {
		outside.Check(t, src, exponential(math.Exp(-10*hazard), 10, 1, years), math.Exp(-years*hazard), 1e-12)
	}
}

func TestActuarialTables(t *testing.T) {
	const src = "actuarial life tables (evidence-longevity 5.5)"
	rows := outside.Table(t, testdata+"published/life-tables.csv")
	for i, r := range rows {
		entering, w, d := outside.Num(t, r[2]), outside.Num(t, r[3]), outside.Num(t, r[4])
		risk := entering - w/2
		outside.Check(t, src, risk, outside.Num(t, r[5]), 0)
		if i+1 == len(rows) || rows[i+1][0] != r[0] {
			outside.Check(t, src, entering-w-d, 0, 0)
			continue
		}
		next := rows[i+1]
		outside.Check(t, src, entering-w-d, outside.Num(t, next[2]), 0)
		// The chance to get through one interval is what the plan's curve gives for its
		// length from one point, and the chances of the intervals multiply.
		long := outside.Num(t, next[1]) - outside.Num(t, r[1])
		survival := exponential(1-d/risk, long, 1, long)
		product, sum := survival, d/(risk*(risk-d))
		for j := i - 1; j >= 0 && rows[j][0] == r[0]; j-- {
			n, e := outside.Num(t, rows[j][2])-outside.Num(t, rows[j][3])/2, outside.Num(t, rows[j][4])
			product *= 1 - e/n
			sum += e / (n * (n - e))
		}
		outside.Check(t, src, product, outside.Num(t, next[6]), 0.0000005+1e-9)
		outside.Check(t, src, product*math.Sqrt(sum), outside.Num(t, next[7]), 0.0000005+1e-9)
	}
}

// Where a source of a pool printed its curve at other times too, the plan's estimate at
// those times, from low to high, contains the printed value: at every time up to the
// limit that the data has one for. Sources that the pool's own reason sets apart (daily
// practice, students, another measure) are not asked.
func TestPoolsContainTheirSourcesCurves(t *testing.T) {
	const src = "published survival at other times than the pool's (evidence-longevity 1.2, evidence-2 3.2)"
	for _, c := range []struct {
		pool   string
		figure string
		years  float64
	}{
		{"CE-1", "asl19-5y", 5}, {"CE-1", "asl19-10y", 10}, {"CE-1", "asl19-15y", 15}, {"CE-1", "asl19-20y", 20},
		{"CE-1", "lw12-10y", 10}, {"CE-1", "lw12-20y", 20}, {"CE-1", "bei12-5y", 5}, {"CE-1", "bei12-10y", 10}, {"CE-1", "gue14-7y", 7},
		{"CE-1", "lay12b-5y", 5}, {"CE-1", "ale21-10y", 10}, {"CE-1", "dum00-10y", 10}, {"CE-1", "maz22-ceramic-10y", 10},
		{"NM-1", "smi801-4y", 4}, {"CR-G", "sai15-glass-5y", 5}, {"CR-M", "sai15-metal-5y", 5}, {"DC-V", "peu97-survival", 5}, {"DC-V", "maz22-composite-5y", 5},
		{"IC-1", "hep23-7y", 7}, {"IF-V", "peu04-accept-10y", 10}, {"IF-CR", "buk18-5y", 5}, {"IF-CR", "buk18-10y", 10},
	} {
		f, ok := base.Figure(c.figure)
		if !ok {
			t.Errorf("%s: %s is no figure", c.pool, c.figure)
			continue
		}
		s := point(t, c.pool).After(c.years, shape()).Survival()
		outside.Note(src)
		if f.Value < s.Low-0.005 || f.Value > s.High+0.005 {
			t.Errorf("%s after %v years: %s says %v, the plan %.3f to %.3f", c.pool, c.years, c.figure, f.Value, s.Low, s.High)
		}
	}
}

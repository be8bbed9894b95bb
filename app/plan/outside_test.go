package plan

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/rickar/cal/v2"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
	"plainleaf/build/outside"
)

// Laboratory working days against a calendar library's workdays, over year ends,
// leap days and closures.
func TestWorkingDaysAgainstLibrary(t *testing.T) {
	const src = "working days (github.com/rickar/cal, workdays)"
	closed := []casefile.Closure{{From: day(t, "2026-12-24"), To: day(t, "2027-01-03")}, {From: day(t, "2028-02-28"), To: day(t, "2028-03-01")}}
	lib := cal.NewBusinessCalendar()
	lib.SetWorkday(time.Saturday, true)
	for _, c := range closed {
		for d := c.From; !c.To.Before(d); d = d.AddDays(1) {
			lib.AddHoliday(&cal.Holiday{Name: d.String(), Type: cal.ObservancePublic, Month: time.Month(d.Month), Day: d.Day, StartYear: d.Year, EndYear: d.Year, Func: cal.CalcDayOfMonth})
		}
	}
	w := newWork(casefile.Case{}, casefile.Practice{LaboratoryDays: []string{"mon", "tue", "wed", "thu", "fri", "sat"}, LabClosures: closed}, base)
	of := func(d casefile.Date) time.Time {
		return time.Date(d.Year, time.Month(d.Month), d.Day, 12, 0, 0, 0, time.UTC)
	}
	for _, from := range []string{"2026-12-01", "2026-12-19", "2026-12-23", "2026-12-24", "2026-12-31", "2027-01-03", "2028-02-25", "2028-02-29", "2028-12-30"} {
		for n := 1; n <= 25; n += 3 {
			want := lib.WorkdaysFrom(of(day(t, from)), n)
			outside.Equal(t, src, w.add(day(t, from), float64(n), "working-days").String(), want.Format(time.DateOnly))
		}
	}
	// Opening days: the first workday on or after.
	for d := day(t, "2026-12-15"); d.Before(day(t, "2027-01-15")); d = d.AddDays(1) {
		want := of(d)
		for !lib.IsWorkday(want) {
			want = want.AddDate(0, 0, 1)
		}
		c := newCalendar(casefile.Practice{OpeningDays: []string{"mon", "tue", "wed", "thu", "fri", "sat"}, Closures: closed})
		got, _ := c.roll(d)
		outside.Equal(t, src, got.String(), want.Format(time.DateOnly))
	}
}

// Days, weeks, months and years against the standard library's calendar, where a
// day the month lacks runs over and is taken back here to the month's last.
func TestIntervalsAgainstLibrary(t *testing.T) {
	const src = "calendar intervals (Go time package)"
	w := newWork(casefile.Case{}, casefile.Practice{}, base)
	r := rand.New(rand.NewPCG(1, 2))
	for range 200 {
		d := casefile.Date{Year: 2000, Month: 1, Day: 1}.AddDays(r.IntN(150_000))
		at := time.Date(d.Year, time.Month(d.Month), d.Day, 0, 0, 0, 0, time.UTC)
		n := r.IntN(60)
		outside.Equal(t, src, w.add(d, float64(n), "days").String(), at.AddDate(0, 0, n).Format(time.DateOnly))
		outside.Equal(t, src, w.add(d, float64(n), "weeks").String(), at.AddDate(0, 0, 7*n).Format(time.DateOnly))
		for unit, months := range map[evidence.Unit]int{"months": n, "years": 12 * n} {
			want := at.AddDate(0, months, 0)
			if want.Day() != at.Day() {
				want = want.AddDate(0, 0, -want.Day())
			}
			outside.Equal(t, src, w.add(d, float64(n), unit).String(), want.Format(time.DateOnly))
		}
	}
}

// Weibull through two published points (evidence-longevity 5.2). Fits outside
// shapes 0.5 to 3 are refused; the shapes the plan offers lie inside what the
// others scatter over.
func TestWeibullThroughTwoPoints(t *testing.T) {
	const src = "Weibull through two points (evidence-longevity 5.2)"
	fit := func(s1, t1, s2, t2 float64) (k, eta float64, ok bool) {
		k = math.Log(math.Log(s2)/math.Log(s1)) / math.Log(t2/t1)
		return k, t1 / math.Pow(-math.Log(s1), 1/k), k >= 0.5 && k <= 3
	}
	least, most := math.Inf(1), 0.0
	for _, r := range published(t, "weibull.csv") {
		s1, t1, s2, t2 := num(t, r[1]), num(t, r[2]), num(t, r[3]), num(t, r[4])
		k, eta, ok := fit(s1, t1, s2, t2)
		outside.Check(t, src, k, num(t, r[5]), half4)
		outside.Equal(t, src, ok, r[7] == "yes")
		if !ok {
			continue
		}
		outside.Check(t, src, eta, num(t, r[6]), 0.005+1e-9)
		// The plan's curve through the first point with this shape meets the second.
		outside.Check(t, src, weibull(s1, t1, 1, t2, k), s2, 1e-9)
		least, most = min(least, k), max(most, k)
	}
	low, _ := base.Setting("weibull-low")
	high, _ := base.Setting("weibull-high")
	outside.Check(t, "shapes of the sensitivity band (evidence-longevity 4.1)", low.Value, 0.8, 0)
	outside.Check(t, "shapes of the sensitivity band (evidence-longevity 4.1)", high.Value, 1.4, 0)
	if low.Value < least || high.Value > most || low.Value < 0.5 || high.Value > 3 {
		t.Errorf("shapes %v and %v, published %v to %v", low.Value, high.Value, least, most)
	}
}

// The band stands in the plan: shapes 0.8 and 1.4 through the same anchor.
func TestBandOfEachExpectation(t *testing.T) {
	const src = "anchor curves (exponential and Weibull, evidence-longevity 4.4)"
	p := mustFor(t, simple("conventional-prep", "lithium-disilicate", "11"), demo(t), base)
	want := map[int][3]float64{5: {0.9710, 0.9747, 0.9808}, 10: {0.9500, 0.9500, 0.9500}, 15: {0.9135, 0.9259, 0.9315}} // CE-D
	seen := 0
	for _, e := range p.Expectations {
		if w, ok := want[e.Years]; ok && e.Endpoint == InPlace && e.Curve != nil {
			seen++
			for i := range w {
				outside.Check(t, src, e.Curve.at(i), w[i], half4)
			}
		}
	}
	if seen < 2 {
		t.Errorf("%d of the published years are in the plan", seen)
	}
}

// CHU06: the second implant's survival given the first's, and the correlation of
// a pair (evidence-longevity 5.7).
func TestClusteringOfPairs(t *testing.T) {
	const src = "CHU06 pairs of implants (evidence-longevity 5.7)"
	none, _ := noneOne(2, 1-0.858, (0.751-0.858*0.858)/(0.858*0.142))
	outside.Check(t, src, none, 0.751, 1e-9)
	outside.Check(t, src, none/0.858, 0.875, 0.0005)
	// The five moment fits of evidence-longevity 4.6, whole numbers of teeth around n per patient.
	const fits = "moment fits of clustering (evidence-longevity 4.6)"
	for _, r := range published(t, "clustering.csv") {
		n, p, rho := num(t, r[1]), num(t, r[2]), num(t, r[5])
		at := func(rho float64) float64 { // between the whole numbers around n, by the gamma form's smooth curve
			lo, hi := int(math.Floor(n)), int(math.Ceil(n))
			a, _ := noneOne(lo, p, rho)
			b, _ := noneOne(hi, p, rho)
			return 1 - math.Exp(math.Log(a)+(n-float64(lo))*(math.Log(b)-math.Log(a)))
		}
		outside.Check(t, fits, at(0), num(t, r[3]), n*0.00005+half4) // p is printed to four decimals
		outside.Check(t, fits, at(rho), num(t, r[4]), 0.002)
	}
}

// Replacements by year t of a restoration with a constant hazard: the closed form
// -ln S(t) the plan uses, against the renewal equation m(t) = F(t) + integral of
// m(t-x) dF(x) solved by steps, and against a seeded simulation.
func TestRenewalAgainstEquationAndSimulation(t *testing.T) {
	const equation, simulation = "renewal equation solved by steps (Cox 1962)", "seeded simulation of replacements"
	r := rand.New(rand.NewPCG(19, 62))
	for _, c := range []struct{ s, ta, years float64 }{{0.95, 10, 15}, {0.85, 5, 10}, {0.62, 5, 10}} {
		closed := -math.Log(exponential(c.s, c.ta, 1, c.years))
		const steps = 4000
		h := c.years / steps
		m := make([]float64, steps+1)
		F := func(i int) float64 { return 1 - exponential(c.s, c.ta, 1, float64(i)*h) }
		dF := make([]float64, steps+1)
		for i := 1; i <= steps; i++ {
			dF[i] = F(i) - F(i-1)
		}
		for i := 1; i <= steps; i++ {
			m[i] = F(i)
			for j := 1; j < i; j++ { // the midpoint of each step
				m[i] += (m[i-j] + m[i-j+1]) / 2 * dF[j]
			}
			m[i] += m[0] / 2 * dF[i]
		}
		outside.Check(t, equation, closed, m[steps], 0.001)
		const n = 200_000
		hazard := -math.Log(c.s) / c.ta
		count := 0
		for range n {
			for at := r.ExpFloat64() / hazard; at < c.years; at += r.ExpFloat64() / hazard {
				count++
			}
		}
		outside.Check(t, simulation, closed, float64(count)/n, 5*math.Sqrt(closed/n))
	}
	// And the plan says that number: two teeth of one group.
	p := mustFor(t, simple("conventional-prep", "lithium-disilicate", "11", "21"), demo(t), base)
	f := routeOf(t, p, "conventional-prep")
	for _, l := range f.Money.Later {
		i := slices.IndexFunc(f.Expectations, func(e Expectation) bool { return e.Endpoint == InPlace && e.Years == l.Years })
		if e := f.Expectations[i]; e.Known {
			outside.Check(t, equation, l.Replacements.Likely, -2*math.Log(e.PerTooth.Likely), half4)
		} else if l.Replacements.Known() || l.Cost.Known() {
			t.Errorf("%d years: a cost past the studies: %+v", l.Years, l)
		}
	}
}

// In every example the recalls keep to the guideline's bounds, 3 to 24 months.
func TestRecallsOfExamples(t *testing.T) {
	for name, c := range cases(t) {
		p := mustFor(t, c, demo(t), base)
		var last casefile.Date
		for _, u := range p.Upkeep {
			if u.Key != "recall" {
				continue
			}
			if !last.IsZero() && (u.Date.Before(last.AddMonths(3)) || last.AddMonths(24).Before(u.Date)) {
				t.Errorf("%s: from %s to %s between recalls", name, last, u.Date)
			}
			last = u.Date
		}
	}
}

// Counts that must give the printed percentage (evidence-longevity 5.6), checked
// as printed beside the figures that the data took from them.
func TestPrintedPercentages(t *testing.T) {
	for _, r := range published(t, "counts.csv") {
		digits := len(r[3]) - 1 - slices.Index([]byte(r[3]), '.')
		if !slices.Contains([]byte(r[3]), '.') {
			digits = 0
		}
		got := 100 * num(t, r[1]) / num(t, r[2])
		outside.Check(t, r[0]+", counts against the printed percentage (evidence-longevity 5.6)", got, num(t, r[3]), math.Pow(10, -float64(digits))) // rounded, by one source cut
		if r[4] != "" {
			f, ok := base.Figure(r[4])
			if !ok {
				t.Fatalf("no figure %s", r[4])
			}
			v := f.Value
			if f.Unit == "fraction" {
				v *= 100
			}
			outside.Check(t, r[0]+", counts against the shipped figure (evidence-longevity 5.6)", v, got, 0.06)
		}
	}
}

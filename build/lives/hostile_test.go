package lives

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"
	"time"

	"plainleaf/app/casefile"
	"plainleaf/app/plan"
	"plainleaf/app/sheet"
)

// whole is a case of all teeth with an agreement, to be attacked.
func whole(agreed bool) casefile.Case {
	c := casefile.Case{Version: casefile.CaseVersion, Issued: casefile.Date{Year: 2027, Month: 3, Day: 1}, Start: casefile.Date{Year: 2026, Month: 12, Day: 1}, Locale: "en",
		Route: casefile.NoPrep, Material: casefile.LithiumDisilicate, Stage: casefile.AtTryIn, People: &casefile.People{AgeBand: "adult", Decides: "patient", Interpreter: "none"}}
	for _, t := range casefile.AllTeeth() {
		c.Teeth = append(c.Teeth, casefile.ToothEntry{Tooth: t})
	}
	if agreed {
		a := c.Agree(casefile.SignedPaper, "P", "", "consent", c.Start, nil, func(string) bool { return false })
		c.Agreed = &a
		c.Note(casefile.Event{Kind: casefile.SignedSheet, On: c.Start, Sheet: "consent", Code: "P"})
	}
	return c
}

// long are histories of so many entries that make the most of each reader.
func long(n int) map[string]casefile.Case {
	out := map[string]casefile.Case{}
	all := casefile.AllTeeth()
	add := func(name string, agreed bool, entry func(i int, c *casefile.Case)) {
		c := whole(agreed)
		for len(c.Events) < n {
			entry(len(c.Events), &c)
		}
		c.Events = c.Events[:n]
		out[name] = c
	}
	day := casefile.Date{Year: 2026, Month: 12, Day: 2}
	for _, agreed := range []bool{false, true} {
		name := fmt.Sprintf(" (agreed: %v)", agreed)
		for _, change := range []string{"facial-contouring", "opening-contacts"} {
			add("asked and answered, "+change+name, agreed, func(i int, c *casefile.Case) {
				c.Note(casefile.Event{Kind: casefile.Asked, On: day.AddDays(i / 20), Change: change, Teeth: all, By: "dentist"})
				c.Note(casefile.Event{Kind: casefile.Answered, On: day.AddDays(i / 20), Change: change, Teeth: all, By: "patient", Answer: casefile.Agree})
			})
			add("done, "+change+name, agreed, func(i int, c *casefile.Case) {
				c.Note(casefile.Event{Kind: casefile.DoneStep, On: day.AddDays(i / 20), Change: change, Teeth: all, SizeMM: 0.1})
			})
			add("no and reopened, "+change+name, agreed, func(i int, c *casefile.Case) {
				c.Note(casefile.Event{Kind: casefile.Answered, On: day.AddDays(i / 2), Change: change, Teeth: all, By: "patient", Answer: casefile.No})
				c.Note(casefile.Event{Kind: casefile.Reopened, On: day.AddDays(i/2 + 1), Change: change, Teeth: all, By: "patient"})
			})
		}
		add("asked of ever other teeth"+name, agreed, func(i int, c *casefile.Case) {
			ask := casefile.Event{Kind: casefile.Asked, On: day, Change: "facial-contouring", By: "dentist"}
			for n, t := range all {
				if n < 10 && i>>n&1 == 0 || n >= 10 {
					ask.Teeth = append(ask.Teeth, t)
				}
			}
			c.Note(ask)
			if i%5 == 0 {
				ask.Kind, ask.Teeth, ask.By, ask.Answer = casefile.Answered, all[10:], "patient", casefile.Agree
				c.Note(ask)
			}
		})
		add("tried and struck"+name, agreed, func(i int, c *casefile.Case) {
			c.Note(casefile.Event{Kind: casefile.Approved, On: day, Sitting: 1 + i%32, Teeth: all, Parts: []string{"shade", "shape"}})
			c.Note(casefile.Event{Kind: casefile.Struck, Of: len(c.Events), Teeth: all[i%16 : i%16+1]})
		})
		add("one entry struck again and again"+name, agreed, func(i int, c *casefile.Case) {
			if i < 3 {
				c.Note(casefile.Event{Kind: casefile.DoneStep, On: day, Step: casefile.StepGlued, Teeth: all})
				return
			}
			c.Note(casefile.Event{Kind: casefile.Struck, Of: 2})
		})
		add("glued and removed"+name, agreed, func(i int, c *casefile.Case) {
			c.Note(casefile.Event{Kind: casefile.DoneStep, On: day, Step: casefile.StepGlued, Teeth: all})
			c.Note(casefile.Event{Kind: casefile.DoneStep, On: day, Step: casefile.StepRemoved, Teeth: all})
		})
	}
	c := whole(true)
	a := *c.Agreed
	c.Events = nil
	for i := range 50 {
		before := a
		before.Code, before.Date = fmt.Sprintf("P%d", i), a.Date.AddDays(i)
		c.AgreedBefore = append(c.AgreedBefore, before)
	}
	c.Agreed.Date = a.Date.AddDays(60)
	for i := range n {
		if i%20 == 0 {
			b := c.AgreedBefore[i/20%50]
			c.Note(casefile.Event{Kind: casefile.SignedSheet, On: b.Date, Sheet: "consent", Code: b.Code})
			continue
		}
		c.Note(casefile.Event{Kind: casefile.DoneStep, On: a.Date.AddDays(i * 55 / n), Change: "facial-contouring", Teeth: all})
	}
	out["fifty agreements"] = c
	return out
}

// read takes a case as a file and makes its sheets, and says how long each took.
func (w *world) read(t *testing.T, c casefile.Case) (check, sheets time.Duration, ok bool) {
	t.Helper()
	data, err := json.Marshal(c)
	if err != nil {
		t.Fatal(err)
	}
	start := time.Now()
	c, faults := casefile.ReadCase(data, w.words)
	check = time.Since(start)
	if len(faults) > 0 {
		if len(faults) > 40_000 {
			t.Errorf("%d faults", len(faults))
		}
		return check, 0, false
	}
	start = time.Now()
	pl, faults := plan.For(c, w.practice, w.base)
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	var made []sheet.Sheet
	for _, kind := range sheet.Kinds() {
		if len(sheet.Unsettled(kind, c)) == 0 {
			made = append(made, sheet.Compose(kind, c, w.practice, pl, w.base))
		}
	}
	if faults := sheet.Contradictions(made, plan.Settled(c, w.practice, w.base), w.base); len(faults) > 0 {
		t.Error(faults.Lines())
	}
	return check, time.Since(start), true
}

// The longest histories a file may have are read in a time that grows with their
// length, and not with its square.
func TestLongHistories(t *testing.T) {
	w := open(t)
	if testing.Short() { // too short to compare, long enough to be read
		for name, c := range long(60) {
			if _, _, ok := w.read(t, c); !ok && name != "fifty agreements" {
				t.Errorf("%s: refused", name)
			}
		}
		return
	}
	short, full := long(250), long(1000)
	var sum [2]time.Duration
	for name, c := range full {
		before, few, _ := w.read(t, short[name])
		check, many, ok := w.read(t, c)
		t.Logf("%-60s %v, check %v, sheets %v (250: %v)", name, ok, check.Round(time.Millisecond), many.Round(time.Millisecond), few.Round(time.Millisecond))
		sum[0], sum[1] = sum[0]+before+few, sum[1]+check+many
	}
	if ratio := float64(sum[1]) / float64(sum[0]); ratio > 10 {
		t.Errorf("four times as long takes %.1f times as long to read", ratio)
	} else {
		t.Logf("four times as long takes %.1f times as long to read", ratio)
	}
}

// What a hostile file says is a clear fault, or a sheet that is true.
func TestHostileHistories(t *testing.T) {
	w := open(t)
	const head = `{"version":2,"issued":"2026-12-20","start":"2026-12-01","locale":"en","route":"no-prep","material":"lithium-disilicate","stage":"at-try-in","teeth":[{"tooth":"11"},{"tooth":"21"}],`
	const agreed = `"agreed":{"way":"paper","code":"A","date":"2026-12-01","route":"no-prep","material":"lithium-disilicate","teeth":[{"tooth":"11"},{"tooth":"21"}],"answers":[{"change":"facial-contouring","teeth":["11"],"answer":"no"}]}`
	for name, x := range map[string]struct{ file, code string }{
		"struck entries that name each other": {head + `"events":[{"kind":"struck","of":2},{"kind":"struck","of":1}]}`, "EVENT-OF"},
		"an entry that strikes itself":        {head + `"events":[{"kind":"struck","of":1}]}`, "EVENT-OF"},
		"an entry that strikes none":          {head + `"events":[{"kind":"struck","of":-7}]}`, "EVENT-OF"},
		"a large number":                      {head + `"events":[{"kind":"struck","of":9007199254740993}]}`, "EVENT-OF"},
		"reopened without a no":               {head + agreed + `,"events":[{"kind":"reopened","on":"2026-12-05","change":"facial-contouring","teeth":["21"],"by":"patient"}]}`, "EVENT-REOPENED"},
		"reopened on the same day":            {head + agreed + `,"events":[{"kind":"reopened","on":"2026-12-01","change":"facial-contouring","teeth":["11"],"by":"patient"}]}`, "EVENT-REOPENED"},
		"reopened by the dentist":             {head + agreed + `,"events":[{"kind":"reopened","on":"2026-12-05","change":"facial-contouring","teeth":["11"],"by":"dentist"}]}`, "EVENT-REOPENED"},
		"asked against a no":                  {head + agreed + `,"events":[{"kind":"asked","on":"2026-12-05","change":"facial-contouring","teeth":["11"]}]}`, "EVENT-NO"},
		"a yes that nobody asked for":         {head + agreed + `,"events":[{"kind":"answered","on":"2026-12-05","change":"facial-contouring","teeth":["21"],"answer":"agree"}]}`, "EVENT-ASKED"},
		"a tooth outside the case":            {head + `"events":[{"kind":"done","on":"2026-12-05","change":"facial-contouring","teeth":["36"]}]}`, "CASE-TOOTH-ABSENT"},
		"a contact outside the case":          {head + `"events":[{"kind":"done","on":"2026-12-05","change":"opening-contacts","places":["35-36"]}]}`, "CASE-TOOTH-ABSENT"},
		"a contact of no neighbors":           {head + `"events":[{"kind":"done","on":"2026-12-05","change":"opening-contacts","places":["11-13"]}]}`, "CASE-PLACE"},
		"a contact where teeth are meant":     {head + `"events":[{"kind":"done","on":"2026-12-05","change":"facial-contouring","places":["11-21"]}]}`, "CASE-PLACE"},
		"days out of order":                   {head + `"events":[{"kind":"done","on":"2026-12-09","step":"shaped"},{"kind":"done","on":"2026-12-05","step":"glued"}]}`, "EVENT-ORDER"},
		"before the first visit":              {head + `"events":[{"kind":"done","on":"2026-11-09","step":"shaped"}]}`, "CASE-DATES"},
		"a day that is none":                  {head + `"events":[{"kind":"done","on":"2026-02-30","step":"shaped"}]}`, ""},
		"a huge size":                         {head + `"events":[{"kind":"done","on":"2026-12-05","change":"facial-contouring","size_mm":1e300}]}`, "CASE-SIZE"},
		"a size below nothing":                {head + `"events":[{"kind":"done","on":"2026-12-05","change":"facial-contouring","size_mm":-0.2}]}`, "CASE-SIZE"},
		"a huge price":                        {head + `"events":[{"kind":"asked","on":"2026-12-05","change":"edge-length","fee":{"minor":9223372036854775807,"currency":"EUR"}}]}`, "CASE-PRICE"},
		"a price below nothing":               {head + `"events":[{"kind":"asked","on":"2026-12-05","change":"edge-length","fee":{"minor":-1,"currency":"EUR"}}]}`, "CASE-PRICE"},
		"strike a tooth that is not there":    {head + `"events":[{"kind":"done","on":"2026-12-05","step":"shaped","teeth":["11"]},{"kind":"struck","of":1,"teeth":["21"]}]}`, "CASE-TOOTH-ABSENT"},
		"a thousand and one entries":          {head + `"events":[` + strings.TrimSuffix(strings.Repeat(`{"kind":"shown","sheet":"options"},`, 1001), ",") + `]}`, "EVENT-MANY"},
		"earlier agreements and none now":     {head + `"agreed_before":[` + strings.TrimPrefix(agreed, `"agreed":`) + `]}`, "CASE-AGREED"},
		"no teeth in the agreement":           {head + `"agreed":{"way":"paper","code":"A","date":"2026-12-01","route":"no-prep","material":"lithium-disilicate","teeth":[]}}`, "CASE-NO-TEETH"},
		"other teeth in the agreement":        {head + `"agreed":{"way":"paper","code":"A","date":"2026-12-01","route":"no-prep","teeth":[{"tooth":"36"}],"answers":[{"change":"facial-contouring","teeth":["36"],"answer":"no"}]},"events":[{"kind":"done","on":"2026-12-05","change":"facial-contouring","teeth":["36"],"size_mm":0.1}]}`, ""},
		"an agreement of a later day":         {head + `"agreed":{"way":"paper","code":"A","date":"2999-12-31","route":"no-prep","material":"lithium-disilicate","teeth":[{"tooth":"11"},{"tooth":"21"}],"answers":[{"change":"facial-contouring","teeth":["11"],"answer":"agree"}]},"events":[{"kind":"done","on":"2026-12-05","change":"facial-contouring","teeth":["11"],"size_mm":0.1}]}`, ""},
		"a no without a day":                  {head + `"agreed":{"way":"paper","code":"A","date":"2026-12-01","route":"no-prep","material":"lithium-disilicate","teeth":[{"tooth":"11"},{"tooth":"21"}],"answers":[{"change":"facial-contouring","teeth":["11"],"answer":"agree"}]},"events":[{"kind":"answered","change":"facial-contouring","teeth":["11"],"answer":"no","by":"patient"}]}`, ""},
		"a no about a contact by its tooth":   {head + agreed + `,"events":[{"kind":"answered","on":"2026-12-05","change":"opening-contacts","teeth":["11"],"answer":"no","by":"patient"},{"kind":"done","on":"2026-12-06","change":"opening-contacts","places":["11-21"]}]}`, ""},
		"what was done to teeth left out":     {head + `"agreed":{"way":"paper","code":"A","date":"2026-12-01","route":"no-prep","teeth":[{"tooth":"36"}]},"events":[{"kind":"done","on":"2026-12-05","step":"glued","teeth":["36"]}]}`, ""},
	} {
		c, faults := casefile.ReadCase([]byte(x.file), w.words)
		switch {
		case x.code == "" && len(faults) > 0 && name != "a day that is none":
			t.Errorf("%s: %s", name, faults.Lines())
		case x.code != "" && !faults.Has(x.code):
			t.Errorf("%s: no %s but %s", name, x.code, faults.Lines())
		case len(faults) > 0:
			for _, f := range faults {
				if f.Code == "" || f.Path == "" || f.Text == "" {
					t.Errorf("%s: an unclear fault: %+v", name, f)
				}
			}
		default:
			for _, bad := range w.look(c, w.practice, agreements(c), true, true) {
				t.Errorf("%s: %s", name, bad)
			}
		}
	}
}

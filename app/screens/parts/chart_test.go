package parts

import (
	"slices"
	"strings"
	"testing"

	"github.com/maxence-charriere/go-app/v10/pkg/app"

	"plainleaf/app/casefile"
)

func noTooth(app.Context, casefile.Tooth)                {}
func noPair(app.Context, casefile.Tooth, casefile.Tooth) {}

func sample() Chart {
	c := Chart{ID: "c", Name: "name of chart", Toggle: noTooth}
	for _, t := range casefile.AllTeeth() {
		c.Teeth = append(c.Teeth, Tooth{Tooth: t, Name: "name of " + t.String(), Number: t.String()})
	}
	return c
}

func (c Chart) with(t casefile.Tooth, change func(*Tooth)) Chart {
	c.Teeth = slices.Clone(c.Teeth)
	for i := range c.Teeth {
		if c.Teeth[i].Tooth == t {
			change(&c.Teeth[i])
		}
	}
	return c
}

func TestTeethAreCheckBoxes(t *testing.T) {
	p := draw(t, sample().with(21, func(x *Tooth) { x.In = true }).with(11, func(x *Tooth) { x.Chosen = true }).UI())
	boxes := p.all("role", "checkbox")
	if len(boxes) != 32 {
		t.Fatalf("%d check boxes", len(boxes))
	}
	for _, b := range boxes {
		key := attr(b, "data-stop")
		if want := "name of " + key; attr(b, "aria-label") != want {
			t.Errorf("tooth %s is named %q", key, attr(b, "aria-label"))
		}
		want := "false"
		if key == "21" || key == "11" {
			want = "true"
		}
		if attr(b, "aria-checked") != want {
			t.Errorf("tooth %s: aria-checked %q, want %s", key, attr(b, "aria-checked"), want)
		}
		if current := attr(b, "aria-current") == "true"; current != (key == "11") {
			t.Errorf("tooth %s: current %v", key, current)
		}
	}
	if g := p.one(t, "role", "group"); attr(g, "aria-label") != "name of chart" {
		t.Errorf("the chart is named %q", attr(g, "aria-label"))
	}
}

func TestOneTabStop(t *testing.T) {
	pairs := sample()
	pairs.Toggle, pairs.Pair = nil, noPair
	pairs.Pairs = []Pair{{Left: 15, Right: 14, Mark: Tight}, {Left: 14, Right: 13, Mark: Yes, Name: "a"}, {Left: 13, Right: 12, Name: "b", Mark: Blank}, {Left: 11, Right: 21, Mark: Keyed, Key: "1"}}
	phone := sample()
	phone.Phone = true
	for name, c := range map[string]struct {
		chart Chart
		stop  string
		stops int
	}{
		"nothing chosen":  {sample(), "18", 32},
		"one in the case": {sample().with(24, func(x *Tooth) { x.In = true }), "24", 32},
		"one chosen": {sample().with(13, func(x *Tooth) { x.In = true }).with(24, func(x *Tooth) { x.Chosen = true }),
			"24", 32},
		"on a phone":    {phone, "18", 32},
		"a faint tooth": {sample().with(18, func(x *Tooth) { x.Faint = true }), "17", 31},
		"between teeth": {pairs, "14-13", 2},
	} {
		p := draw(t, c.chart.UI())
		if got := attr(p.one(t, "tabindex", "0"), "data-stop"); got != c.stop {
			t.Errorf("%s: the tab key stops at %s, want %s", name, got, c.stop)
		}
		if got := len(p.all("data-stop", "*")); got != c.stops {
			t.Errorf("%s: %d places take taps, want %d", name, got, c.stops)
		}
	}
}

func TestStatesOfTeeth(t *testing.T) {
	for class, change := range map[string]func(*Tooth){
		"in": func(x *Tooth) { x.In = true }, "chosen": func(x *Tooth) { x.Chosen = true }, "dark": func(x *Tooth) { x.Dark = true },
		"done": func(x *Tooth) { x.Done = true }, "change": func(x *Tooth) { x.Change, x.Key = true, "7" },
	} {
		p := draw(t, sample().with(21, change).UI())
		for _, b := range p.all("role", "checkbox") {
			if got := has(b, class); got != (attr(b, "data-stop") == "21") {
				t.Errorf("%s: tooth %s has the class: %v", class, attr(b, "data-stop"), got)
			}
		}
	}
	p := draw(t, sample().with(21, func(x *Tooth) { x.Chosen, x.Shade = true, "C4" }).with(11, func(x *Tooth) { x.Change, x.Key = true, "7" }).
		with(12, func(x *Tooth) { x.Done = true }).UI())
	for class, id := range map[string]string{"pill": "c-21", "sign": "c-12"} {
		if found := p.all("class", class); len(found) != 1 || attr(found[0].Parent, "id") != id {
			t.Errorf("%s is not on %s alone", class, id)
		}
	}
	if s := p.one(t, "class", "shade"); words(s) != "C4" || attr(s.Parent, "id") != "c-21" {
		t.Errorf("the shade shows as %q", words(s))
	}
	if k := p.one(t, "class", "key-text"); words(k) != "7" || attr(k.Parent, "id") != "c-11" {
		t.Errorf("the number of the change shows as %q", words(k))
	}
}

func TestMarksBetweenTeeth(t *testing.T) {
	c := sample()
	c.Toggle, c.Pair = nil, noPair
	c.Pairs = []Pair{{Left: 15, Right: 14, Mark: Tight}, {Left: 14, Right: 13, Mark: Blank, Name: "blank"}, {Left: 13, Right: 12, Mark: Yes, Name: "yes"},
		{Left: 21, Right: 22, Mark: Ask, Name: "ask"}, {Left: 42, Right: 41, Mark: No, Name: "no"},
		{Left: 12, Right: 14, Mark: Yes, Name: "no neighbors"}}
	p := draw(t, c.UI())
	if got := len(p.all("role", "button")); got != 4 {
		t.Errorf("%d places take taps, want 4", got)
	}
	for _, b := range p.all("role", "button") {
		if !has(b, attr(b, "aria-label")) {
			t.Errorf("%s looks like %s", attr(b, "aria-label"), attr(b, "class"))
		}
	}
	c.Pairs[2].Box, c.Pairs[1].Box = true, true
	boxes := draw(t, c.UI()).all("role", "checkbox")
	if len(boxes) != 2 || attr(boxes[0], "aria-checked") != "false" || attr(boxes[1], "aria-checked") != "true" {
		t.Errorf("%d check boxes between teeth, want one off and one on", len(boxes))
	}
	if len(p.all("class", "tight")) != 1 {
		t.Error("a tight place shows no strokes")
	}
	if len(p.all("role", "checkbox")) != 0 {
		t.Error("teeth take taps while places between them do")
	}
}

// The patient's picture has one name and nothing to reach.
func TestAPicture(t *testing.T) {
	c := sample()
	c.Toggle, c.Sides = nil, [2]string{"right of patient", "left of patient"}
	c.Teeth = c.Teeth[:16]
	p := draw(t, c.UI())
	if img := p.one(t, "role", "img"); attr(img, "aria-label") != "name of chart" {
		t.Errorf("the picture is named %q", attr(img, "aria-label"))
	}
	if len(p.all("tabindex", "*")) != 0 || len(p.all("data-stop", "*")) != 0 {
		t.Error("something can be reached")
	}
	if s := p.one(t, "class", "sides"); words(s) != "right of patient left of patient" {
		t.Errorf("the sides read %q", words(s))
	}
	if root := p.one(t, "id", "c"); attr(root, "dir") != "ltr" {
		t.Error("the chart turns with the direction of writing")
	}
}

func TestAMessageLiesAtItsTooth(t *testing.T) {
	for tooth, want := range map[casefile.Tooth]string{18: "at-0 from-left both-jaws", 11: "at-7 from-left both-jaws", 21: "at-8 from-right both-jaws", 28: "at-15 from-right both-jaws", 48: "at-0 from-left", 36: "at-13 from-right"} {
		c := sample()
		c.Message, c.MessageAt = Message{ID: "m", What: "what"}.UI(), tooth
		p := draw(t, c.UI())
		if got := attr(p.one(t, "id", "m").Parent, "class"); got != "chart-message "+want {
			t.Errorf("%v: %q, want %q", tooth, got, want)
		}
	}
}

func TestKeysOfTheChart(t *testing.T) {
	stops := sample().stops()
	for _, c := range []struct {
		at, from, key string
		shift         bool
		want          step
	}{
		{"18", "", "ArrowLeft", false, step{at: "18", taken: true}},
		{"18", "", "ArrowRight", false, step{at: "17", taken: true}},
		{"11", "", "ArrowRight", false, step{at: "21", taken: true}},
		{"28", "", "ArrowRight", false, step{at: "28", taken: true}},
		{"41", "", "ArrowRight", false, step{at: "31", taken: true}},
		{"48", "", "ArrowLeft", false, step{at: "48", taken: true}},
		{"13", "", "ArrowDown", false, step{at: "43", taken: true}},
		{"43", "", "ArrowDown", false, step{at: "43", taken: true}},
		{"36", "", "ArrowUp", false, step{at: "26", taken: true}},
		{"13", "", "Home", false, step{at: "18", taken: true}},
		{"33", "", "End", false, step{at: "38", taken: true}},
		{"13", "", " ", false, step{at: "13", choose: true, taken: true}},
		{"13", "12", "Enter", false, step{at: "13", choose: true, taken: true}},
		{"13", "12", "a", false, step{at: "13", from: "12"}},
		{"13", "", "ArrowRight", true, step{at: "12", from: "13", taken: true, teeth: []casefile.Tooth{13, 12}}},
		{"12", "13", "ArrowRight", true, step{at: "11", from: "13", taken: true, teeth: []casefile.Tooth{13, 12, 11}}},
		{"11", "13", "ArrowLeft", true, step{at: "12", from: "13", taken: true, teeth: []casefile.Tooth{13, 12}}},
		{"13", "13", "ArrowLeft", true, step{at: "14", from: "13", taken: true, teeth: []casefile.Tooth{14, 13}}},
		{"12", "13", "ArrowDown", true, step{at: "42", from: "42", taken: true}},
		{"14", "", "Home", true, step{at: "18", from: "14", taken: true, teeth: []casefile.Tooth{18, 17, 16, 15, 14}}},
	} {
		got := pressed(stops, c.at, c.from, c.key, c.shift, true)
		if got.at != c.want.at || got.from != c.want.from || got.choose != c.want.choose || got.taken != c.want.taken || !slices.Equal(got.teeth, c.want.teeth) {
			t.Errorf("%q with shift %v at %s from %q: %+v, want %+v", c.key, c.shift, c.at, c.from, got, c.want)
		}
	}
	if got := pressed(stops, "13", "", "ArrowRight", true, false); got.teeth != nil || got.at != "12" {
		t.Errorf("a chart without ranges takes one: %+v", got)
	}
	if got := pressed(nil, "13", "", "ArrowRight", false, true); got.at != "13" {
		t.Errorf("no stops: %+v", got)
	}
}

func TestTapsAreHandedOn(t *testing.T) {
	var got []string
	c := sample()
	c.Toggle = func(_ app.Context, tooth casefile.Tooth) { got = append(got, tooth.String()) }
	(&chart{Props: c}).choose(app.Context{}, "21")
	c.Pairs = []Pair{{Left: 14, Right: 13, Mark: Blank}}
	c.Pair = func(_ app.Context, l, r casefile.Tooth) { got = append(got, l.String()+"/"+r.String()) }
	(&chart{Props: c}).choose(app.Context{}, "14-13")
	(&chart{Props: c}).choose(app.Context{}, "21")
	if want := "21 14/13"; strings.Join(got, " ") != want {
		t.Errorf("%v, want %s", got, want)
	}
}

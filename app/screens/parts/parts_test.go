package parts

import (
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/maxence-charriere/go-app/v10/pkg/app"

	"plainleaf/build/literals"
)

func none(app.Context)          {}
func noKey(app.Context, string) {}

func TestAnswersAreRadioButtons(t *testing.T) {
	a := Answers{ID: "a", Name: "question", Pick: noKey, Items: []Answer{{Key: "yes", Text: "t1", Note: "n1", Icon: Check}, {Key: "ask", Text: "t2"}, {Key: "no", Text: "t3"}}}
	for given, stop := range map[string]string{"": "a-yes", "no": "a-no", "unheard": "a-yes"} {
		a.Given = given
		p := draw(t, a.UI())
		if g := p.one(t, "role", "radiogroup"); attr(g, "aria-label") != "question" {
			t.Errorf("the group is named %q", attr(g, "aria-label"))
		}
		for _, r := range p.all("role", "radio") {
			want := "false"
			if attr(r, "data-key") == given {
				want = "true"
			}
			if r.Data != "button" || attr(r, "type") != "button" || attr(r, "aria-checked") != want || !has(r, "answer") {
				t.Errorf("given %q: %s: <%s> checked %s", given, attr(r, "id"), r.Data, attr(r, "aria-checked"))
			}
		}
		if got := attr(p.one(t, "tabindex", "0"), "id"); got != stop {
			t.Errorf("given %q: the tab key stops at %s, want %s", given, got, stop)
		}
	}
	if got := words(draw(t, a.UI()).one(t, "id", "a-yes")); got != "t1 n1" {
		t.Errorf("an answer reads %q", got)
	}
	for n, two := range map[int]bool{2: true, 3: false, 4: true, 5: false, 6: false} {
		items := make([]Answer, n)
		for i := range items {
			items[i].Key = string(rune('a' + i))
		}
		if got := has(draw(t, Answers{ID: "a", Items: items}.UI()).one(t, "id", "a"), "by-two"); got != two {
			t.Errorf("%d answers in two columns: %v", n, got)
		}
	}
}

// Arrows go around the end and turn with the direction of writing. None of them answers.
func TestArrowsOfAGroup(t *testing.T) {
	g := &group{Items: []item{{Key: "a"}, {Key: "b"}, {}, {Key: "c"}}, Pick: func(app.Context, string) { t.Error("an arrow answers") }}
	for _, c := range []struct {
		from, key string
		rtl       bool
		want      string
	}{
		{"a", "ArrowRight", false, "b"}, {"b", "ArrowDown", false, "c"}, {"c", "ArrowRight", false, "a"}, {"a", "ArrowUp", false, "c"},
		{"a", "ArrowRight", true, "c"}, {"a", "ArrowLeft", true, "b"}, {"a", "ArrowDown", true, "b"},
		{"b", "Home", false, "a"}, {"b", "End", true, "c"}, {"b", "x", false, ""}, {"gone", "ArrowDown", false, ""},
	} {
		if got := g.next(c.from, c.key, c.rtl); got != c.want {
			t.Errorf("%s at %s, right to left %v: %q, want %q", c.key, c.from, c.rtl, got, c.want)
		}
	}
}

func TestChips(t *testing.T) {
	c := Chips{ID: "c", Name: "group", Label: "shown", Pick: noKey, Items: []Chip{{Key: "a", Text: "A", On: true}, {Key: "b", Text: "B"}, {Key: "d", Text: "D", Icon: List, On: true}}}
	p := draw(t, c.UI())
	if g := p.one(t, "role", "group"); attr(g, "aria-label") != "group" {
		t.Errorf("the group is named %q", attr(g, "aria-label"))
	}
	boxes := p.all("role", "checkbox")
	if len(boxes) != 3 || len(p.all("tabindex", "*")) != 0 {
		t.Fatalf("%d check boxes, each a stop: %v", len(boxes), len(p.all("tabindex", "*")) == 0)
	}
	for i, want := range []struct {
		checked string
		icons   int
	}{{"true", 1}, {"false", 0}, {"true", 1}} {
		icons := 0
		for n := range boxes[i].Descendants() {
			if n.Data == "svg" {
				icons++
			}
		}
		if attr(boxes[i], "aria-checked") != want.checked || icons != want.icons {
			t.Errorf("chip %d: checked %s, %d icons", i, attr(boxes[i], "aria-checked"), icons)
		}
	}
	c.One, c.Look = true, Grid
	c.Items = slices.Insert(c.Items, 1, Chip{})
	p = draw(t, c.UI())
	if len(p.all("role", "radio")) != 3 || len(p.all("class", "gap")) != 1 || attr(p.one(t, "tabindex", "0"), "id") != "c-d" {
		t.Error("a grid of radio buttons with an empty place is not one stop with three buttons")
	}
}

func TestTheStrip(t *testing.T) {
	button := func(id string) Button { return Button{ID: id, Text: "text of " + id, Do: none} }
	s := Strip{Menu: Button{ID: "menu", Icon: Menu, Name: "name of menu"}, Case: button("case"), StagesName: "stages", Note: "note", Open: button("open"), Undo: button("undo"), Next: button("next"),
		Stages: []Step{{ID: "s1", Text: "one", Seen: true}, {ID: "s2", Text: "two", Now: true}, {ID: "s3", Text: "three"}, {ID: "s4", Text: "four"}}}
	p := draw(t, s.UI())
	if got := words(p.root); got != "text of case one two three four note text of open text of undo text of next" {
		t.Errorf("the strip reads %q", got)
	}
	if got := p.one(t, "aria-current", "step"); attr(got, "id") != "s2" {
		t.Errorf("the stage is %s", attr(got, "id"))
	}
	if attr(p.one(t, "id", "menu"), "aria-label") != "name of menu" {
		t.Error("a button without text has no name")
	}
	s.Undo = Button{}
	if len(draw(t, s.UI()).all("id", "undo")) != 0 {
		t.Error("a button that is not there is drawn")
	}
}

func TestTheFrames(t *testing.T) {
	e := Enter{Title: "heading", Hidden: true, StepsName: "steps", Steps: []Step{{ID: "s1", Text: "one", Now: true}, {ID: "s2", Text: "two", Seen: true}},
		Where: Button{ID: "where", Text: "Stage 1/2"}, Ways: []Button{{ID: "go", Text: "go", Kind: Primary}}, Body: []app.UI{app.Elem("p").ID("body")}}
	p := draw(t, e.UI())
	if h := p.one(t, "id", "head"); h.Data != "h1" || !has(h, "unseen") || attr(h, "tabindex") != "-1" || words(h) != "heading" {
		t.Error("the screen has no heading that can take the focus")
	}
	if attr(p.one(t, "aria-current", "page"), "id") != "s1" {
		t.Error("the step is not the present one")
	}
	s := Show{Return: Button{ID: "return", Text: "back to them"}, Stage: "stage", Place: "place", At: 2, Of: 5, Tools: []Button{{ID: "tool", Text: "tool"}},
		Heading: "heading", Lead: "lead", Answers: app.Elem("p").Text("answers"), Foot: []app.UI{app.Elem("p").Text("foot")}, Back: Button{ID: "back", Icon: Back, Name: "back"}, Go: Button{ID: "go", Text: "on", Kind: Primary}, Body: []app.UI{app.Elem("p").ID("body").Text("body")}}
	p = draw(t, s.UI())
	if got := words(p.root); got != "back to them stage tool heading lead body answers foot on" {
		t.Errorf("the page reads %q", got)
	}
	if d := p.one(t, "role", "img"); attr(d, "aria-label") != "place" {
		t.Errorf("the dots are named %q", attr(d, "aria-label"))
	}
	if len(p.all("class", "dot")) != 3 || len(p.all("class", "dot now")) != 1 || len(p.all("class", "dot past")) != 1 {
		t.Error("the dots do not show page 2 of 5")
	}
	// The first thing that a keyboard reaches leads back to the dentist.
	for n := range p.root.Descendants() {
		if n.Data == "button" {
			if attr(n, "id") != "return" {
				t.Errorf("the first button is %s", attr(n, "id"))
			}
			break
		}
	}
}

func TestTheTable(t *testing.T) {
	tab := Table{ID: "t", Name: "name", Corner: "corner", Options: []string{"o1", "o2"}, First: noKey, Open: func(app.Context, string, int) {},
		Rows: []Fact{{Key: "a", Name: "fact a", First: true, Cells: []Cell{{Text: "a1"}, {Text: "a2", Unknown: true}}}, {Key: "b", Name: "fact b", Cells: []Cell{{Text: "b1"}, {Text: "b2"}}}}}
	p := draw(t, tab.UI())
	for role, n := range map[string]int{"table": 1, "row": 3, "columnheader": 2, "rowheader": 2, "cell": 5, "rowgroup": 2} {
		if got := len(p.all("role", role)); got != n {
			t.Errorf("%d of role %s, want %d", got, role, n)
		}
	}
	for id, want := range map[string]string{"t-a": "true", "t-b": "false"} {
		if b := p.one(t, "id", id); b.Data != "button" || attr(b, "aria-pressed") != want {
			t.Errorf("%s: <%s> pressed %s", id, b.Data, attr(b, "aria-pressed"))
		}
	}
	if b := p.one(t, "id", "t-b-1"); words(b) != "b2" {
		t.Errorf("the cell reads %q", words(b))
	}
	if r := p.one(t, "role", "region"); attr(r, "tabindex") != "0" || attr(r, "aria-label") != "name" {
		t.Error("what scrolls cannot be reached by keyboard")
	}
	tab.First, tab.Open = nil, nil
	for n := range draw(t, tab.UI()).root.Descendants() {
		if n.Data == "button" {
			t.Errorf("%s does nothing", attr(n, "id"))
		}
	}
}

func TestMessages(t *testing.T) {
	m := Message{ID: "m", What: "what", More: "more", Ways: []Button{{ID: "w1", Text: "one"}, {ID: "w2", Text: "two"}, {ID: "w3", Text: "three"}}}
	for weight, role := range map[Weight]string{Wrong: "alert", Good: "status", Passing: "status"} {
		m.Weight = weight
		p := draw(t, m.UI())
		if got := p.one(t, "id", "m"); attr(got, "role") != role || words(got) != "what more one two" {
			t.Errorf("%d: role %s, reads %q", weight, attr(got, "role"), words(got))
		}
	}
}

func TestFields(t *testing.T) {
	f := Field{ID: "f", Label: "label", Hint: "hint", Value: "value", Mode: "numeric", Wrong: &Message{ID: "f-wrong", What: "what"}}
	p := draw(t, f.UI())
	in := p.one(t, "id", "f")
	if in.Data != "input" || attr(in, "type") != "text" || attr(in, "inputmode") != "numeric" || attr(in, "value") != "value" ||
		attr(in, "aria-invalid") != "true" || attr(in, "aria-describedby") != "f-hint f-wrong" {
		t.Errorf("the field is %v", in.Attr)
	}
	if l := p.one(t, "for", "f"); words(l) != "label" {
		t.Errorf("the label reads %q", words(l))
	}
	for _, id := range strings.Fields(attr(in, "aria-describedby")) {
		p.one(t, "id", id)
	}
	f = Field{ID: "f", Label: "label", Lines: 3, Value: "value"}
	p = draw(t, f.UI())
	if in := p.one(t, "id", "f"); in.Data != "textarea" || words(in) != "value" || attr(in, "aria-invalid") != "" || attr(in, "aria-describedby") != "" {
		t.Errorf("the field is <%s> %v", in.Data, in.Attr)
	}
}

func TestButtonsAndPanels(t *testing.T) {
	p := draw(t, Button{ID: "b", Text: "text", Sub: "sub", Name: "name", Icon: Undo, Opens: true, Off: true}.UI())
	if b := p.one(t, "id", "b"); attr(b, "aria-label") != "name" || attr(b, "aria-expanded") != "false" || attr(b, "aria-disabled") != "true" || words(b) != "text sub" {
		t.Errorf("the button is %v and reads %q", b.Attr, words(b))
	}
	if svg := p.one(t, "class", "icon turns"); attr(svg, "aria-hidden") != "true" {
		t.Error("an icon is read out")
	}
	p = draw(t, Panel{ID: "p", Title: "title", Body: []app.UI{Fold{ID: "f", Text: "text", Value: "value", Opens: true, Open: true}.UI()}}.UI())
	if s := p.one(t, "id", "p"); attr(s, "aria-labelledby") != "p-title" || words(p.one(t, "id", "p-title")) != "title" {
		t.Errorf("the panel is %v", s.Attr)
	}
	if f := p.one(t, "id", "f"); attr(f, "aria-expanded") != "true" || words(f) != "text value" {
		t.Errorf("the fold is %v", f.Attr)
	}
	for i := NoIcon + 1; int(i) < len(iconPaths); i++ {
		if iconPaths[i] == "" {
			t.Errorf("icon %d has no drawing", i)
		}
	}
}

// Every drawing's handler is the one that is called, not that of the first drawing.
func TestHandlersAreOfTheirDrawing(t *testing.T) {
	_, a := act(nil)
	_, b := act(nil)
	if a == b {
		t.Error("two drawings share a scope, so the engine would keep the first handler")
	}
}

// No sentence comes from the package: its texts are names of elements, attributes,
// classes and keys, and drawings.
func TestNoWordsInTheCode(t *testing.T) {
	texts, err := literals.In("*.go")
	if err != nil {
		t.Fatal(err)
	}
	if len(texts) < 100 {
		t.Fatalf("only %d texts found", len(texts))
	}
	code := regexp.MustCompile(`^[a-z0-9 :/.#%()+[\]_-]*$|^(Arrow(Left|Right|Up|Down)|Home|End|Enter|viewBox|linearGradient|patternUnits|patternTransform|userSpaceOnUse|activeElement|getElementById|getAttribute|getComputedStyle|ctrlKey|altKey|metaKey|shiftKey)$|^http://www\.w3\.org/2000/svg$`)
	drawing := regexp.MustCompile(`^[MmLlHhVvCcSsQqAaZz0-9 .%s-]*$`)
	for _, s := range texts {
		if !code.MatchString(s) && !drawing.MatchString(s) {
			t.Errorf("%q is neither code nor a drawing", s)
		}
		// Words of a sentence would be drawn; class names are no more than three.
		if len(strings.Fields(s)) > 3 && !drawing.MatchString(s) && !strings.ContainsAny(s, "%(") {
			t.Errorf("%q reads like a sentence", s)
		}
	}
}

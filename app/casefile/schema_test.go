package casefile

import (
	"encoding/json"
	"os"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"plainleaf/build/schema"
)

const schemaDir = "../../content/schema/"

type node struct {
	Enum       []string         `json:"enum"`
	Properties map[string]*node `json:"properties"`
	Items      *node            `json:"items"`
	Defs       map[string]*node `json:"$defs"`
	Rules      json.RawMessage  `json:"allOf"`
}

func readSchema(t *testing.T, name string) *node {
	t.Helper()
	data, err := os.ReadFile(schemaDir + name)
	if err != nil {
		t.Fatal(err)
	}
	var n node
	if err := json.Unmarshal(data, &n); err != nil {
		t.Fatal(err)
	}
	return &n
}

func TestSchemasAgreeWithTheTypes(t *testing.T) {
	schema.Agree(t, "case.json", reflect.TypeFor[Case](), false)
	schema.Agree(t, "practice.json", reflect.TypeFor[Practice](), false)
}

func texts[T ~string](list []T) []string {
	var out []string
	for _, x := range list {
		out = append(out, string(x))
	}
	return out
}

func TestSchemasListWhatTheChecksList(t *testing.T) {
	c, p := readSchema(t, "case.json"), readSchema(t, "practice.json")
	people := c.Defs["people"].Properties
	for name, x := range map[string]struct {
		n    *node
		want []string
	}{
		"route":       {c.Defs["route"], texts(Routes())},
		"material":    {c.Defs["material"], texts(Materials())},
		"shade":       {c.Defs["shade"], texts(Shades())},
		"numbering":   {c.Properties["numbering"], numberings},
		"detail":      {c.Properties["detail"], details},
		"stage":       {c.Properties["stage"], texts(stages)},
		"answer":      {c.Defs["answer_entry"].Properties["answer"], texts(answers)},
		"age band":    {people["age_band"], ageBands},
		"decides":     {people["decides"], deciders},
		"assent":      {people["assent"], assents},
		"interpreter": {people["interpreter"], interpreter},
		"way":         {people["interpreter_way"], ways},
		"state":       {c.Defs["tooth_state"].Properties["state"], toothStates},
		"seen":        {c.Defs["seen"], seen},
		"day":         {p.Properties["opening_days"].Items, Weekdays()},
		"lab day":     {p.Properties["laboratory_days"].Items, Weekdays()},
		"waiver":      {p.Properties["waivers"].Items, Waivable()},
		"sheet":       {p.Defs["sign_off"].Properties["sheet"], append([]string{"all"}, SheetKinds()...)},
	} {
		if !slices.Equal(x.n.Enum, x.want) {
			t.Errorf("%s: the schema lists %v, the checks %v", name, x.n.Enum, x.want)
		}
	}
}

// The schema has for each kind of event what the checks ask of it.
func TestSchemaOfEvents(t *testing.T) {
	e := readSchema(t, "case.json").Defs["event"]
	for field, want := range map[string][]string{"by": eventPeople, "how": eventWays, "step": eventSteps, "sheet": SheetKinds(), "open": Waivable(),
		"answer": texts(answers[1:])} {
		if got := e.Properties[field].Enum; !slices.Equal(got, want) {
			t.Errorf("%s: the schema lists %v, the checks %v", field, got, want)
		}
	}
	if got := e.Properties["parts"].Items.Enum; !slices.Equal(got, eventParts) {
		t.Errorf("parts: the schema lists %v, the checks %v", got, eventParts)
	}
	type rule struct {
		Required []string
		Names    node `json:"propertyNames"`
	}
	var rules []struct {
		If struct {
			Properties struct{ Kind struct{ Const EventKind } }
		}
		Then rule
	}
	if err := json.Unmarshal(e.Rules, &rules); err != nil {
		t.Fatal(err)
	}
	ruled := map[EventKind]*rule{}
	for _, r := range rules {
		ruled[r.If.Properties.Kind.Const] = &r.Then
	}
	if len(ruled) != len(eventForms) || len(e.Properties["kind"].Enum) != len(eventForms) {
		t.Errorf("the schema has rules for %d kinds and lists %d, the checks know %d", len(ruled), len(e.Properties["kind"].Enum), len(eventForms))
	}
	for kind, form := range eventForms {
		rule := ruled[kind]
		if rule == nil || !slices.Contains(e.Properties["kind"].Enum, string(kind)) {
			t.Errorf("the schema has no rule for %q", kind)
			continue
		}
		must := strings.Fields(form.must)
		if !slices.Equal(rule.Required, must) {
			t.Errorf("%s must have %v, by the schema %v", kind, must, rule.Required)
		}
		may := append(strings.Fields("kind on at by note "+form.may), must...)
		slices.Sort(may)
		if got := slices.Sorted(slices.Values(rule.Names.Enum)); !slices.Equal(got, slices.Compact(may)) {
			t.Errorf("%s may have %v, by the schema %v", kind, may, got)
		}
	}
}

// A contact by the schema is one by the reader, and no other.
func TestSchemaOfContacts(t *testing.T) {
	s := schema.Compile(t, "case.json#/$defs/places")
	n := 0
	for _, a := range AllTeeth() {
		for _, b := range AllTeeth() {
			text := a.String() + "-" + b.String()
			_, err := ParsePlace(text)
			if bad := schema.Validate(t, s, []byte(`["`+text+`"]`)); (bad == nil) != (err == nil) {
				t.Errorf("%s: the schema finds %v, the reader %v", text, bad, err)
			}
			if err == nil {
				n++
			}
		}
	}
	if n != 60 {
		t.Errorf("%d contacts in two directions, want 60", n)
	}
}

func valid(t *testing.T, s *jsonschema.Schema, data string) error {
	t.Helper()
	return schema.Validate(t, s, []byte(data))
}

func TestSchemasJudgeAsTheReaderDoes(t *testing.T) {
	c, p := schema.Compile(t, "case.json"), schema.Compile(t, "practice.json")
	if err := valid(t, c, design); err != nil {
		t.Error(err)
	}
	if err := valid(t, p, practice); err != nil {
		t.Error(err)
	}
	for _, pair := range [][2]string{
		{`"version": 1`, `"version": 3`}, {`"tooth": "21"`, `"tooth": "51"`}, {`"tooth": "21"`, `"tooth": 21`},
		{`"tooth": "21"`, `"tooth": "21", "colour": "A1"`}, {`"2026-12-01"`, `"2026-02-30"`}, {`"no-prep"`, `"no-drill"`},
		{`"A1"`, `"A5"`}, {`"ask"`, `"maybe"`}, {end, `"horizon_years": 31`}, {end, `"horizon_years": 0`}, {end, `"id": "a b"`}, {`"start": "2026-12-01",`, ``},
		{end, `"questions": [{"asked": ""}]`}, {end, `"tryin": [{"sitting": 0}]`}, {`"bruxism"`, `"tight-contacts"`},
		{end, `"visits": [{"key": "review"}]`}, {end, `"visits": [{"key": "review", "date": "2026-12-29", "time": "24:00"}]`}, {end, `"visits": [{"key": "Review", "date": "2026-12-29"}]`},
		{end, `"visits": [{"key": "review", "date": "2026-12-29", "number": 100}]`}, {end, `"calendar": {"sequence": -1, "given": []}`},
		{end, `"calendar": {"sequence": 0, "given": [{"id": "a b", "date": "2026-12-29"}]}`}, {end, `"visits": [{"key": "review", "date": "2026-12-29", "teeth": []}]`},
		// A key that may be left out, and is there, says something.
		{end, `"id": ""`}, {end, `"stage": ""`}, {end, `"detail": ""`}, {`"es"`, `""`}, {`"A1"`, `""`}, {`"lithium-disilicate"`, `""`}, {end, `"numbering": ""`},
		{`"tooth": "21"`, `"tooth": "21", "material": ""`}, {`"tooth": "21"`, `"tooth": "21", "route": ""`}, {`"C4"`, `""`}, {end, `"people": {"decides": ""}`},
		{end, `"departures": [{"change": "facial-contouring", "size_mm": 0}]`}, {end, `"departures": [{"change": "facial-contouring", "date": ""}]`},
		{end, `"tryin": [{"sitting": 1, "shade": ""}]`}, {end, `"advice": {"route": "", "reason": "x"}`}, {end, `"calendar": {"id": ""}`},
		// What version 2 brought.
		{end, `"tryin": [{"sitting": 1}], "events": []`}, {`"version": 1`, `"version": 2, "departures": []`},
		{`"version": 1`, `"version": 2, "tryin": [{"sitting": 1}]`}, {end, `"events": [{"kind": "told"}]`}, {end, `"events": [{"sheet": "consent"}]`},
		{end, `"events": [{"kind": "shown"}]`}, {end, `"events": [{"kind": "shown", "sheet": "bill"}]`}, {end, `"events": [{"kind": "shown", "sheet": "wait", "answer": "no"}]`},
		{end, `"events": [{"kind": "said-back", "topic": "risk", "on": ""}]`}, {end, `"events": [{"kind": "said-back", "topic": ""}]`}, {end, `"events": [{"kind": "said-back", "topic": "risk", "at": "9:00"}]`},
		{end, `"events": [{"kind": "answered", "answer": "", "step": "glued"}]`}, {end, `"events": [{"kind": "answered", "answer": "no"}]`},
		{end, `"events": [{"kind": "answered", "answer": "no", "step": "shaped"}]`}, {end, `"events": [{"kind": "answered", "answer": "no", "step": "glued", "change": "facial-contouring"}]`},
		{end, `"events": [{"kind": "reopened", "change": "facial-contouring", "by": "staff"}]`}, {end, `"events": [{"kind": "reopened", "change": "facial-contouring"}]`},
		{end, `"events": [{"kind": "done"}]`}, {end, `"events": [{"kind": "done", "step": "glued", "visit": "delivery"}]`}, {end, `"events": [{"kind": "done", "step": "primed"}]`},
		{end, `"events": [{"kind": "done", "step": "shaped", "size_mm": 0}]`}, {end, `"events": [{"kind": "done", "step": "shaped", "size_mm": 21}]`}, {end, `"events": [{"kind": "done", "step": "shaped", "sitting": 33}]`},
		{end, `"events": [{"kind": "done", "step": "shaped", "teeth": ["11", "11"]}]`}, {end, `"events": [{"kind": "done", "change": "tight-contacts", "places": ["11-13"]}]`},
		{end, `"events": [{"kind": "approved", "parts": []}]`}, {end, `"events": [{"kind": "approved", "parts": ["smile"]}]`}, {end, `"events": [{"kind": "approved", "parts": ["shade", "shade"]}]`},
		{end, `"events": [{"kind": "waived", "open": "thinking-time"}]`}, {end, `"events": [{"kind": "waived", "open": "thinking-time", "note": "  "}]`}, {end, `"events": [{"kind": "waived", "open": "assent", "note": "x"}]`},
		{end, `"events": [{"kind": "settled"}]`}, {end, `"events": [{"kind": "struck", "of": 0}]`}, {end, `"events": [{"kind": "asked", "change": "facial-contouring", "fee": {"minor": -1, "currency": "EUR"}}]`},
		{end, `"events": [{"kind": "asked", "change": "facial-contouring", "fee": {"minor": 1, "currency": "eur"}}]`}, {end, `"events": [{"kind": "signed", "sheet": "consent", "sha256": "ab"}]`}, {end, `"events": null`},
		{end, `"offered": [{"not": true, "reason": "x"}]`}, {end, `"offered": [{"route": "crown", "not": true}]`}, {end, `"offered": [{"route": "crown", "not": true, "reason": " "}]`},
		{end, `"agreed": {"way": "paper", "code": "A", "route": "no-prep"}`}, {end, `"agreed": {"way": "spoken", "code": "A", "date": "2026-11-30", "route": "no-prep"}`},
		{end, `"agreed": {"way": "sealed", "code": "A", "date": "2026-11-30", "route": "no-prep"}`}, {end, `"agreed": {"way": "paper", "code": " ", "date": "2026-11-30", "route": "no-prep"}`},
		{end, `"agreed": {"way": "paper", "code": "A", "date": "2026-11-30"}`}, {end, `"agreed": {"way": "paper", "code": "A", "date": "2026-11-30", "route": "no-prep", "sheet": "options"}`},
		{end, `"agreed": {"way": "paper", "code": "A", "date": "2026-11-30", "route": "no-prep", "teeth": [{"tooth": "11", "findings": []}]}`}, {end, `"wish": "<b>white</b>"`}, {end, `"wish": "a\u202eb"`},
		{end, `"visits": [{"key": "review", "date": "2026-12-29", "number": 0}]`}, {end, `"visits": [{"key": "review", "date": "2026-12-29", "time": ""}]`},
	} {
		in := change(t, design, pair[0], pair[1])
		if _, faults := ReadCase([]byte(in), word); valid(t, c, in) == nil || len(faults) == 0 {
			t.Errorf("%s: the schema finds %v, the reader %v", pair[1], valid(t, c, in), faults)
		}
	}
	for _, pair := range [][2]string{
		{`"Demo"`, `""`}, {`"+1 202-555-0101"`, `"call us"`}, {`"EUR"`, `"Eur"`}, {`"currency": "EUR",`, ``}, {`90000`, `-1`},
		{`"tue"`, `"tuesday"`}, {`"Europe/Madrid"`, `"CEST"`}, {`"https:`, `"http:`}, {`"likely": 45, `, ``}, {`"a.b": "x"`, `"a.b": 1`},
		{`"es 0123456789abcdef"`, `"0123456789abcdef"`}, {`"es 0123456789abcdef"`, `"es 0123456789abcde"`},
		{`, "other": "y"`, ``}, {`"when": "2026-11-01"`, `"when": "2026-11-31"`},
		{`"version": 1`, `"version": 3`}, {`"version": 1`, `"version": 0`}, {`"name": "Demo",`, `"name": "Demo", "waivers": ["money"],`}, {`"name": "Demo",`, `"name": "Demo", "waivers": ["questions", "questions"],`},
		{`"name": "Demo",`, `"name": "Demo", "confirmed": ["Name"],`}, {`"name": "Demo",`, `"name": "Demo", "approved": {"en": {"a.b": "0123"}},`}, {`"name": "Demo",`, `"name": "Demo", "in_service": {"en": {"a.b": 1}},`},
		{`"Europe/Madrid"`, `""`}, {`"https://practice.example/plainleaf/"`, `""`},
	} {
		in := change(t, practice, pair[0], pair[1])
		if _, faults := ReadPractice([]byte(in), word); valid(t, p, in) == nil || len(faults) == 0 {
			t.Errorf("%s: the schema finds %v, the reader %v", pair[1], valid(t, p, in), faults)
		}
	}
}

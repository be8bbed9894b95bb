package plan

import (
	"bytes"
	"encoding/json"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"plainleaf/build/bench"
)

const schemaFile = "../../content/schema/plan.json"

func planSchema(t *testing.T) *jsonschema.Schema {
	t.Helper()
	c := jsonschema.NewCompiler()
	c.AssertFormat()
	s, err := c.Compile(schemaFile)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func document(t *testing.T, p Plan) any {
	t.Helper()
	b, err := json.Marshal(p)
	if err != nil {
		t.Fatal(err)
	}
	v, err := jsonschema.UnmarshalJSON(bytes.NewReader(b))
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func TestPlansKeepToTheSchema(t *testing.T) {
	s := planSchema(t)
	all := cases(t)
	all["largest"] = bench.Case(base, 28)
	for name, c := range all {
		if err := s.Validate(document(t, mustFor(t, c, demo(t), base))); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// The schema refuses what a plan must not be.
func TestSchemaRefuses(t *testing.T) {
	s := planSchema(t)
	for what, spoil := range map[string]func(*Plan){
		"a chance over 1":   func(p *Plan) { p.Expectations[0].PerTooth.High = 1.01 },
		"a milk tooth":      func(p *Plan) { p.Enamel.Teeth[0].Tooth = 51 },
		"an unknown route":  func(p *Plan) { p.Routes[0].Key = "no-drill" },
		"no date":           func(p *Plan) { p.Visits[0].Likely.Year = 0; p.Visits[0].Likely.Month = 0; p.Visits[0].Likely.Day = 0 },
		"another version":   func(p *Plan) { p.Version = 2 },
		"an unknown answer": func(p *Plan) { p.ChairChanges[0].Answer = "maybe" },
		"null for a list":   func(p *Plan) { p.Findings = nil },
		"a figure from hope": func(p *Plan) {
			f := *p.Figures[0].Figure // the data's own
			f.Seen, p.Figures[0].Figure = "hope", &f
		},
	} {
		p := mustFor(t, cases(t)["ten-teeth-no-prep"], demo(t), base)
		spoil(&p)
		b, err := json.Marshal(p)
		if err != nil {
			continue // refused even earlier
		}
		v, err := jsonschema.UnmarshalJSON(bytes.NewReader(b))
		if err != nil {
			t.Fatal(err)
		}
		if s.Validate(v) == nil {
			t.Errorf("the schema accepts %s", what)
		}
	}
}

// The keys that design and outside checks rely on.
func TestKeysThatMayNotBeRenamed(t *testing.T) {
	want := map[string][]string{
		"":       {"version", "open", "routes", "visits", "findings", "wait_for", "chair_changes", "expectations", "enamel", "colour", "upkeep", "money", "order", "figures"},
		"routes": {"key", "visits", "minutes", "dates", "removal", "reversible", "expectations", "money", "living_with"},
		"visits": {"key", "purpose", "minutes", "earliest", "likely", "latest", "after", "why"}, "findings": {"key", "teeth", "level", "actions", "private"},
		"chair_changes": {"key", "teeth", "trigger", "low_mm", "high_mm", "reversible", "ask_anyway", "answer", "group", "places"},
		"expectations":  {"endpoint", "material", "teeth", "years", "per_tooth", "expected", "at_least_one", "certainty", "known", "figures"}, "upkeep": {"key", "date"},
	}
	doc := mustJSON(t, mustFor(t, cases(t)["ten-teeth-no-prep"], demo(t), base)).(map[string]any)
	for where, names := range want {
		at := doc
		if where != "" {
			at = doc[where].([]any)[0].(map[string]any)
		}
		for _, n := range names {
			if _, ok := at[n]; !ok {
				t.Errorf("%s: no key %s", where, n)
			}
		}
	}
}

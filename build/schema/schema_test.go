package schema

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	"plainleaf/app/casefile"
	"plainleaf/app/demo"
	"plainleaf/app/plan"
	"plainleaf/app/record"
	"plainleaf/content"
	"plainleaf/i18n"
)

var base = content.MustLoad()

var words = base.Vocabulary(i18n.Tags(i18n.All()))

// files gives the files of testdata that match, by their path in it.
func files(t *testing.T, patterns ...string) map[string][]byte {
	t.Helper()
	out := map[string][]byte{}
	for _, pattern := range patterns {
		paths, err := filepath.Glob(filepath.Join(root(), "testdata", pattern))
		if err != nil || len(paths) == 0 {
			t.Fatalf("no files %s (%v)", pattern, err)
		}
		for _, path := range paths {
			data, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			name, _ := filepath.Rel(filepath.Join(root(), "testdata"), path)
			out[name] = data
		}
	}
	return out
}

// Every case fits the schema as it is, and as version 2 once the program has
// written it, which reads it again to the same bytes.
func TestCasesFitTheirSchema(t *testing.T) {
	s := Compile(t, "case.json")
	all := files(t, "cases/*.json", "formats/case-1/*.json")
	all["demo"] = demo.Case
	all["history"] = []byte(history)
	all["no teeth"] = []byte(`{"version": 2, "issued": "2026-11-25", "start": "2026-12-01", "route": "none",
		"agreed": {"way": "paper", "code": "A", "date": "2026-11-26", "route": "none"}}`)
	for name, data := range all {
		if err := Validate(t, s, data); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		c, faults := casefile.ReadCase(data, words)
		if len(faults) > 0 {
			t.Errorf("%s: %s", name, faults.Lines())
		}
		written, err := casefile.WriteCase(c)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if err := Validate(t, s, written); err != nil {
			t.Errorf("%s, written: %v", name, err)
		}
		var head struct{ Version int }
		if err := json.Unmarshal(written, &head); err != nil || head.Version != casefile.CaseVersion {
			t.Errorf("%s is written as version %d (%v)", name, head.Version, err)
		}
		again, faults := casefile.ReadCase(written, words)
		if twice, err := casefile.WriteCase(again); len(faults) > 0 || err != nil || string(twice) != string(written) {
			t.Errorf("%s, read again: %s %v\n%s\n%s", name, faults.Lines(), err, written, twice)
		}
	}
}

// history is a case of version 2 with every key and every kind of event.
const history = `{ "version": 2, "id": "demo", "revision": 1, "issued": "2026-11-25", "start": "2026-12-01", "locale": "es", "second": "en",
	"numbering": "fdi", "route": "no-prep", "material": "lithium-disilicate", "target_shade": "A1", "stage": "at-try-in",
	"teeth": [{"tooth": "11", "findings": ["one-dark-tooth"], "underlying_shade": "C4"}, {"tooth": "21", "route": "minimal-prep", "material": "feldspathic"}],
	"findings": ["bruxism"], "priorities": ["keep-enamel"], "wish": "Whiter", "horizon_years": 20, "detail": "words",
	"answers": [{"change": "facial-contouring", "teeth": ["11"], "answer": "ask"}, {"change": "opening-contacts", "places": ["11-21"], "answer": "no"}],
	"offered": [{"route": "no-prep"}, {"route": "crown", "not": true, "reason": "Too much tooth"}],
	"agreed": {"way": "sealed", "code": "2K7T-GSE4-BETR-PN5F", "sha256": "` + sum + `", "date": "2026-11-30", "sheet": "consent", "paper": "Binder", "by": "patient",
		"route": "no-prep", "material": "lithium-disilicate", "target_shade": "A1", "teeth": [{"tooth": "11"}, {"tooth": "21", "route": "minimal-prep", "material": "feldspathic"}],
		"answers": [{"change": "facial-contouring", "teeth": ["11"], "answer": "ask"}, {"change": "opening-contacts", "places": ["11-21"], "answer": "no"}],
		"price": {"minor": 90000, "currency": "EUR"}},
	"events": [
		{"kind": "shown", "on": "2026-11-25", "at": "09:30", "by": "staff", "sheet": "options"},
		{"kind": "explained-again", "on": "2026-11-26", "topic": "risk", "note": "chips"}, {"kind": "said-back", "on": "2026-11-26", "topic": "risk"},
		{"kind": "waived", "on": "2026-11-26", "by": "patient", "how": "written", "open": "thinking-time", "note": "I am sure"},
		{"kind": "settled", "on": "2026-11-26", "finding": "bruxism", "teeth": ["11"]},
		{"kind": "signed", "on": "2026-11-30", "sheet": "consent", "how": "signed", "code": "2K7T-GSE4-BETR-PN5F", "sha256": "` + sum + `"},
		{"kind": "done", "on": "2026-12-01", "visit": "preparation"}, {"kind": "done", "on": "2026-12-01", "step": "shaped", "teeth": ["21"]},
		{"kind": "asked", "on": "2026-12-08", "by": "dentist", "how": "spoken", "change": "facial-contouring", "teeth": ["11"], "size_mm": 0.3, "fee": {"minor": 0, "currency": "EUR"}},
		{"kind": "answered", "on": "2026-12-08", "by": "patient", "how": "signal", "change": "facial-contouring", "teeth": ["11"], "answer": "agree", "size_mm": 0.3, "fee": {"minor": 0, "currency": "EUR"}},
		{"kind": "reopened", "on": "2026-12-09", "by": "patient", "how": "spoken", "change": "opening-contacts", "places": ["11-21"]},
		{"kind": "done", "on": "2026-12-09", "change": "facial-contouring", "teeth": ["11"], "size_mm": 0.2, "sitting": 1},
		{"kind": "tried", "on": "2026-12-09", "sitting": 1, "shade": "A1 paste"}, {"kind": "change-wanted", "on": "2026-12-09", "sitting": 1, "parts": ["length"], "teeth": ["21"]},
		{"kind": "approved", "on": "2026-12-09", "sitting": 1, "parts": ["shade", "shape"], "shade": "A1", "how": "spoken"}, {"kind": "struck", "on": "2026-12-09", "of": 14},
		{"kind": "answered", "on": "2026-12-09", "by": "patient", "step": "glued", "answer": "no"}, {"kind": "withdrawn", "on": "2026-12-10", "how": "written"}],
	"people": {"age_band": "adult", "decides": "patient", "assent": "yes", "capacity_support": "Time", "interpreter": "staff", "interpreter_way": "video", "companion": "Sister"},
	"questions": [{"asked": "Does it hurt?", "answer": "Seldom"}], "advice": {"route": "no-prep", "reason": "Enough enamel"},
	"proceed_reasons": [{"wait_for": "bruxism", "reason": "Guard first"}], "visits": [{"key": "delivery", "number": 1, "date": "2026-12-09", "time": "14:30"}],
	"calendar": {"id": "demo", "sequence": 1, "given": [{"id": "0a-1", "date": "2026-12-09", "time": "14:30", "withdrawn": true}]} }`

const sum = "0123456789abcdef0123456789abcdef0123456789abcdef0123456789abcdef"

// Each wrong file is refused where a schema can see what is wrong; the others are
// not JSON, or name something that only the program knows.
func TestWrongFilesAreRefused(t *testing.T) {
	unseen := []string{"answered-twice", "contradiction", "duplicate-keys", "practice-remakes", "route-material", "start-before-issue", "tooth-twice", "utf-8"}
	unread := []string{"byte-order-mark", "empty", "trailing", "truncated"}
	c, p := Compile(t, "case.json"), Compile(t, "practice.json")
	for path, data := range files(t, "bad/*.json") {
		name := strings.TrimSuffix(filepath.Base(path), ".json")
		s := c
		if strings.HasPrefix(name, "practice") {
			s = p
		}
		var v any
		if err := json.Unmarshal(data, &v); (err != nil) != slices.Contains(unread, name) {
			t.Errorf("%s: read with %v", name, err)
		} else if err == nil && (s.Validate(v) == nil) != slices.Contains(unseen, name) {
			t.Errorf("%s: the schema finds %v", name, s.Validate(v))
		}
	}
}

// refuses spoils a good document, one piece at a time.
func refuses(t *testing.T, name, good string, pairs [][2]string) {
	t.Helper()
	s := Compile(t, name)
	if err := Validate(t, s, []byte(good)); err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	for _, pair := range pairs {
		if strings.Count(good, pair[0]) != 1 {
			t.Errorf("%s: %q occurs %d times", name, pair[0], strings.Count(good, pair[0]))
		} else if Validate(t, s, []byte(strings.Replace(good, pair[0], pair[1], 1))) == nil {
			t.Errorf("%s accepts %s", name, pair[1])
		}
	}
}

func TestTheCaseSchemaRefuses(t *testing.T) {
	const last = `"horizon_years": 20`
	pairs := [][2]string{{`"version": 2`, `"version": 0`}, {`"version": 2`, `"version": 3`}, {`"version": 2, `, ``}, {`"places": ["11-21"], "answer": "no"}],
	"offered"`, `"places": ["21"], "answer": "no"}],
	"offered"`}, {last, `"told": []`}}
	// What version 1 kept is refused in version 2, filled or empty.
	for _, old := range []string{"tooth_state", "departures", "tryin", "teach_back"} {
		pairs = append(pairs, [2]string{last, fmt.Sprintf("%q: []", old)})
	}
	refuses(t, "case.json", history, pairs)
}

func TestThePlanAgreesWithItsSchema(t *testing.T) {
	Agree(t, "plan.json", reflect.TypeFor[plan.Plan](), true)
}

// planned gives the plan of a case file, with a practice that lets the patient
// waive the thinking time.
func planned(t *testing.T, data []byte) (plan.Plan, []byte) {
	t.Helper()
	practice, faults := casefile.ReadPractice(demo.Practice, words)
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	practice.Waivers = []string{"thinking-time"}
	c, faults := casefile.ReadCase(data, words)
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	p, faults := plan.For(c, practice, base)
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	written, err := json.Marshal(p)
	if err != nil {
		t.Fatal(err)
	}
	return p, written
}

func TestPlansFitTheirSchema(t *testing.T) {
	s := Compile(t, "plan.json")
	all := files(t, "cases/*.json", "formats/case-1/*.json")
	all["history"] = []byte(history)
	var open, force, state, refused int
	for name, data := range all {
		p, written := planned(t, data)
		if err := Validate(t, s, written); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		open, force, state = open+len(p.Open), force+len(p.InForce), state+len(p.ToothState)
		refused += strings.Count(string(written), `"not_offered":`)
	}
	if open*force*state*refused == 0 {
		t.Errorf("no plan has an open point (%d), an answer in force (%d), a tooth (%d) or a route that is not offered (%d)", open, force, state, refused)
	}
}

func TestThePlanSchemaRefuses(t *testing.T) {
	waiting := strings.Replace(history, `"stage": "at-try-in",`, `"stage": "agreed",`, 1)
	_, good := planned(t, []byte(waiting))
	var pairs [][2]string
	for _, x := range []struct{ list, is, wrong string }{
		{"open", `{"what":"thinking-time","holds":[],"may_go_on":true,"from":"2026-12-02","whose":"patient","reason":"I am sure"}`,
			`{"what":"mood","holds":[],"may_go_on":true} {"what":"assent","may_go_on":true} {"what":"assent","holds":[]} {"what":"assent","holds":[],"may_go_on":"yes"}
			{"what":"assent","holds":["lines"],"may_go_on":false} {"what":"assent","holds":[],"may_go_on":true,"whose":"staff"}
			{"what":"assent","holds":[],"may_go_on":true,"reason":"x"} {"what":"assent","holds":["signing"],"may_go_on":false,"whose":"dentist","reason":"x"}
			{"what":"assent","holds":[],"may_go_on":true,"note":"x"}`},
		{"in_force", `{"key":"x","teeth":["11"],"places":["11"],"answer":"agree","from":"asked"}`,
			`{"key":"x","teeth":["11"],"places":["11"],"answer":"yes","from":"asked"} {"key":"x","teeth":["11"],"places":["1"],"answer":"ask","from":"asked"}
			{"key":"x","teeth":["11"],"places":["11"],"answer":"ask","from":"mail"} {"key":"x","teeth":["11"],"answer":"ask","from":"case"}
			{"key":"x","teeth":["11"],"places":[],"answer":"ask","from":"case","fee":{"minor":-1,"currency":"EUR"}}
			{"key":"x","teeth":["11"],"places":[],"answer":"ask","from":"case","size_mm":0}`},
		{"tooth_state", `{"tooth":"11","state":"shaped"}`, `{"tooth":"11","state":"drilled"} {"tooth":"11"} {"tooth":"51","state":"shaped"}`},
	} {
		start := fmt.Sprintf("%q:[", x.list)
		good = []byte(strings.Replace(string(good), start, start+x.is+",", 1))
		for d := json.NewDecoder(strings.NewReader(x.wrong)); d.More(); {
			var wrong json.RawMessage
			if err := d.Decode(&wrong); err != nil {
				t.Fatal(err)
			}
			pairs = append(pairs, [2]string{start + x.is, start + string(wrong)})
		}
		pairs = append(pairs, [2]string{fmt.Sprintf("%q:[", x.list), fmt.Sprintf("%q:[1,", x.list)}, [2]string{fmt.Sprintf("%q:[", x.list), fmt.Sprintf("%q:[", x.list+"s")})
	}
	pairs = append(pairs, [2]string{`"not_offered":"Too much tooth"`, `"not_offered":""`})
	refuses(t, "plan.json", string(good), pairs)
	changes := strings.Index(string(good), `"chair_changes":`)
	for _, x := range [][2]string{{`"group":"tooth"`, `"group":"gum"`}, {`"places":["`, `"places":["x`}, {`"group":"tooth",`, ``}} {
		at := changes + strings.Index(string(good[changes:]), x[0])
		spoiled := string(good[:at]) + strings.Replace(string(good[at:]), x[0], x[1], 1)
		if at < changes || Validate(t, Compile(t, "plan.json"), []byte(spoiled)) == nil {
			t.Errorf("plan.json accepts a chair change with %s", x[1])
		}
	}
}

func TestRecordsAgreeWithTheirSchema(t *testing.T) {
	Agree(t, "record.json", reflect.TypeFor[struct {
		Record record.Record `json:"record"`
		Seal   record.Mark   `json:"seal"`
	}](), false)
}

// Records of version 1 fit, as the program of that time sealed them, and verify.
func TestRecordsFitTheirSchema(t *testing.T) {
	s := Compile(t, "record.json")
	for name, data := range files(t, "formats/record-1/sealed-*.json") {
		if err := Validate(t, s, data); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		if v := record.Verify(data, nil); !v.Good() {
			t.Errorf("%s: %s %v", name, v.Integrity, v.Faults)
		}
	}
	// Those made for the tests of seals have a case without dates, markup in a text
	// and no words on what they do not prove, and are otherwise well formed.
	for name, data := range files(t, "records/*.json", "formats/record-1/*.json") {
		if base := filepath.Base(name); base == "trusted.json" || strings.HasPrefix(base, "sealed-") {
			continue
		}
		whole := strings.NewReplacer(`"issued":"","questions"`, `"issued":"2026-11-25","questions"`, `"start":""`, `"start":"2026-12-01"`,
			`<b>`, ``, `"limits":null`, `"limits":[]`).Replace(string(data))
		if err := Validate(t, s, []byte(whole)); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// recorder notes what a comparison finds.
type recorder struct {
	testing.TB
	found []string
}

func (r *recorder) Helper() {}

func (r *recorder) Errorf(format string, a ...any) {
	r.found = append(r.found, fmt.Sprintf(format, a...))
}

// The comparison sees a key that is missing on either side, deep down too, another
// type, and a key that is always written and not required.
func TestTheComparisonSees(t *testing.T) {
	type place struct {
		Route string `json:"route"`
		Not   string `json:"not,omitempty"`
		More  int    `json:"more,omitempty"`
	}
	r := &recorder{TB: t}
	Agree(r, "case.json#/$defs/offer", reflect.TypeFor[place](), true)
	want := []string{`the schema does not take the string`, `the schema has no key "more"`, `the schema has a key "reason"`}
	for _, w := range want {
		if !slices.ContainsFunc(r.found, func(s string) bool { return strings.Contains(s, w) }) {
			t.Errorf("%q is not among %q", w, r.found)
		}
	}
	type price struct {
		Minor    int64  `json:"minor"`
		Currency string `json:"currency,omitempty"`
	}
	r = &recorder{TB: t}
	Agree(r, "case.json#/$defs/price", reflect.TypeFor[price](), true)
	if !strings.Contains(strings.Join(r.found, "\n"), "minor: always written") || !strings.Contains(strings.Join(r.found, "\n"), "currency: required") {
		t.Errorf("%q", r.found)
	}
}

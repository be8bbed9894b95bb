package casefile

import (
	"encoding/json"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"
)

// treated is a case of two teeth that was agreed and has a history.
func treated(events ...Event) Case {
	c := Case{Version: CaseVersion, Issued: Date{2027, 1, 12}, Start: Date{2026, 12, 1}, Route: NoPrep, Material: LithiumDisilicate,
		Teeth: []ToothEntry{{Tooth: 11}, {Tooth: 21}}, Stage: AtTryIn,
		Answers: []AnswerEntry{
			{Change: "facial-contouring", Teeth: []Tooth{11}, Answer: Ask},
			{Change: "facial-contouring", Teeth: []Tooth{21}, Answer: No},
			{Change: "opening-contacts", Places: []Place{Between(11, 21)}, Answer: Agree}}}
	a := c.Agree(SignedPaper, "demo", "", "consent", Date{2026, 12, 9}, nil, pairs)
	c.Agreed = &a
	c.Events = append([]Event{{Kind: SignedSheet, Sheet: "consent", Code: "demo", On: Date{2026, 12, 9}}}, events...)
	return c
}

func pairs(change string) bool { return change == "opening-contacts" }

var (
	asked = Event{Kind: Asked, By: "dentist", On: Date{2027, 1, 12}, Change: "facial-contouring", Teeth: []Tooth{11}, SizeMM: 0.3, Fee: &Price{0, "EUR"}}
	yes   = Event{Kind: Answered, By: "patient", How: "spoken", On: Date{2027, 1, 12}, Change: "facial-contouring", Teeth: []Tooth{11}, Answer: Agree}
)

func TestStatesFollowFromWhatWasDone(t *testing.T) {
	takes := func(change string) bool { return change == "facial-contouring" || change == "opening-contacts" }
	for name, x := range map[string]struct {
		events []Event
		want   string
	}{
		"nothing":                 {nil, "11 untouched 21 untouched"},
		"smoothed":                {[]Event{{Kind: DoneStep, Change: "facial-contouring", Teeth: []Tooth{11}, SizeMM: 0.2}}, "11 shaped 21 untouched"},
		"a contact opened":        {[]Event{{Kind: DoneStep, Change: "opening-contacts", Places: []Place{Between(11, 21)}}}, "11 shaped 21 shaped"},
		"a contact of a neighbor": {[]Event{{Kind: DoneStep, Change: "opening-contacts", Places: []Place{Between(21, 22)}}}, "11 untouched 21 shaped 22 shaped"},
		"only the veneer":         {[]Event{{Kind: DoneStep, Change: "edge-length", Teeth: []Tooth{11}}}, "11 untouched 21 untouched"},
		"glued":                   {[]Event{{Kind: DoneStep, Step: StepGlued, Teeth: []Tooth{11}}}, "11 bonded 21 untouched"},
		"all, without naming":     {[]Event{{Kind: DoneStep, Step: StepShaped}}, "11 shaped 21 shaped"},
		"glued, then smoothed":    {[]Event{{Kind: DoneStep, Step: StepGlued}, {Kind: DoneStep, Change: "facial-contouring", Teeth: []Tooth{11}}}, "11 bonded 21 bonded"},
		"came off":                {[]Event{{Kind: DoneStep, Step: StepGlued}, {Kind: DoneStep, Step: StepRemoved, Teeth: []Tooth{21}}}, "11 bonded 21 shaped"},
		"struck":                  {[]Event{{Kind: DoneStep, Step: StepGlued, Teeth: []Tooth{11}}, {Kind: Struck, Of: 2}}, "11 untouched 21 untouched"},
	} {
		states := treated(x.events...).States(takes)
		var got []string
		for _, tooth := range AllTeeth() {
			if s := states[tooth]; s != "" {
				got = append(got, tooth.String()+" "+s)
			}
		}
		if s := strings.Join(got, " "); s != x.want {
			t.Errorf("%s: %s, want %s", name, s, x.want)
		}
	}
}

func TestWhatWasSaidLastHolds(t *testing.T) {
	reopened := Event{Kind: Reopened, By: "patient", On: Date{2027, 1, 13}, Change: "facial-contouring", Teeth: []Tooth{21}}
	for name, x := range map[string]struct {
		events []Event
		change string
		at     Place
		want   Answer
		from   string
	}{
		"agreed":                  {nil, "opening-contacts", Between(21, 11), Agree, FromAgreement},
		"blank":                   {nil, "opening-contacts", Between(11, 12), Blank, ""},
		"a question is no answer": {[]Event{asked}, "facial-contouring", At(11), Ask, FromAgreement},
		"answered":                {[]Event{asked, yes}, "facial-contouring", At(11), Agree, FromAsked},
		"another tooth":           {[]Event{asked, yes}, "facial-contouring", At(21), No, FromAgreement},
		"reopened":                {[]Event{reopened}, "facial-contouring", At(21), Ask, FromAsked},
		"struck":                  {[]Event{asked, yes, {Kind: Struck, Of: 3}}, "facial-contouring", At(11), Ask, FromAgreement},
	} {
		if got := treated(x.events...).Standing(x.change, x.at); got.Answer != x.want || got.From != x.from {
			t.Errorf("%s: %+v", name, got)
		}
	}
	s := treated(asked, yes).Standing("facial-contouring", At(11))
	if s.SizeMM != 0.3 || s.Fee == nil || s.By != "patient" || s.How != "spoken" || s.On != (Date{2027, 1, 12}) {
		t.Errorf("size, fee, who, how and when: %+v", s)
	}
	// A later agreement takes the place of what was said before it.
	c := treated(asked, yes)
	a := c.Agree(SignedPaper, "second", "", "consent", Date{2027, 1, 20}, nil, pairs)
	c.Agreed = &a
	c.Note(Event{Kind: SignedSheet, Sheet: "consent", Code: "second", On: Date{2027, 1, 20}})
	if got := c.Standing("facial-contouring", At(11)); got.Answer != Ask || got.From != FromAgreement {
		t.Errorf("after a new agreement: %+v", got)
	}
	// A signed change keeps what was answered in the chair.
	c = treated(asked, yes)
	a = c.Agree(SealedRecord, "change", strings.Repeat("0", 64), "change", Date{2027, 1, 12}, nil, pairs)
	c.Agreed = &a
	c.Note(Event{Kind: SignedSheet, Sheet: "change", Code: "change", On: Date{2027, 1, 12}})
	if got := c.Standing("facial-contouring", At(11)); got.Answer != Agree {
		t.Errorf("after a signed change: %+v", got)
	}
}

// An answer per tooth of version 1 moves to the contact where both teeth agree.
func TestContactAnswersOfVersionOne(t *testing.T) {
	c := Case{Version: 1, Teeth: []ToothEntry{{Tooth: 13}, {Tooth: 12}, {Tooth: 11}, {Tooth: 21}}, Answers: []AnswerEntry{
		{Change: "opening-contacts", Teeth: []Tooth{12, 11}, Answer: Agree},
		{Change: "opening-contacts", Teeth: []Tooth{21}, Answer: No},
		{Change: "edge-length", Teeth: []Tooth{11}, Answer: Agree}}}
	c.Upgrade(func(change string) bool { return change == "opening-contacts" })
	for at, want := range map[Place]Answer{
		Between(11, 12): Agree, Between(12, 13): Blank, Between(11, 21): Blank, Between(13, 14): Blank,
		Between(21, 22): No, // nobody answers for 22, and a no is never lost
	} {
		if got := c.AnswerAt("opening-contacts", at); got != want {
			t.Errorf("%s: %q, want %q", at, got, want)
		}
	}
	if c.AnswerAt("edge-length", At(11)) != Agree || c.Version != CaseVersion {
		t.Errorf("%+v", c.Answers)
	}
}

// Whatever version 1 wrote opens, says the same, and is written as this version.
func TestVersionOneOpensForEver(t *testing.T) {
	files, err := filepath.Glob("../../testdata/formats/case-1/*.json")
	if err != nil || len(files) < 20 {
		t.Fatalf("%d files, %v", len(files), err)
	}
	for _, f := range files {
		data, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		var old Case
		if err := json.Unmarshal(data, &old); err != nil {
			t.Fatal(err)
		}
		c, faults := ReadCase(data, everything(old))
		if len(faults) > 0 || c.Version != CaseVersion || !c.caseV1.empty() {
			t.Errorf("%s: version %d, %s", f, c.Version, faults.Lines())
		}
		for _, s := range old.OldStates {
			if got := c.States(func(string) bool { return false })[s.Tooth]; got != s.State {
				t.Errorf("%s: %s is %s, was %s", f, s.Tooth, got, s.State)
			}
		}
		for i, d := range old.OldDepartures {
			if e := c.Done()[i]; e.Change != d.Change || !slices.Equal(e.Teeth, d.Teeth) || e.SizeMM != d.SizeMM || e.On != d.Date || e.Note != d.Note {
				t.Errorf("%s: %+v, was %+v", f, e, d)
			}
		}
		for _, x := range old.OldTryIns {
			want := TryIn{x.Sitting, SortTeeth(x.Teeth), x.Date, x.Shade, x.Shape, x.Length, x.Note}
			if !slices.ContainsFunc(c.TryIns(), func(got TryIn) bool { return reflect.DeepEqual(got, want) }) {
				t.Errorf("%s: %+v, want %+v", f, c.TryIns(), want)
			}
		}
		for i, x := range old.OldTeachBack {
			if got := c.TeachBacks()[i]; got != (TeachBack{x.Topic, x.Note, x.Done}) {
				t.Errorf("%s: %+v, was %+v", f, got, x)
			}
		}
		again, err := WriteCase(c)
		if err != nil {
			t.Fatal(err)
		}
		back, faults := ReadCase(again, everything(old))
		if twice, err := WriteCase(back); len(faults) > 0 || err != nil || string(twice) != string(again) {
			t.Errorf("%s: written again it is not the same: %s", f, faults.Lines())
		}
	}
}

// everything is a vocabulary that knows all that a case names.
func everything(c Case) Vocabulary {
	v := Vocabulary{Findings: map[string]FindingWord{}, Changes: map[string]ChangeWord{}, Materials: map[Route][]Material{},
		Priorities: c.Priorities, Locales: []string{c.Locale, c.Second}}
	for _, r := range Routes() {
		v.Materials[r] = Materials()
	}
	for _, a := range c.Answers {
		v.Changes[a.Change] = ChangeWord{Reversible: "yes", Contacts: strings.HasPrefix(a.Change, "opening-contacts") || a.Change == "contact-on-porcelain"}
	}
	for _, d := range c.OldDepartures {
		v.Changes[d.Change] = ChangeWord{Reversible: "yes", Contacts: d.Change == "opening-contacts"}
	}
	for _, r := range c.ProceedReasons {
		v.Findings[r.WaitFor] = FindingWord{Scope: "either"}
	}
	for _, f := range c.Findings {
		v.Findings[f] = FindingWord{Scope: "either"}
	}
	for _, e := range c.Teeth {
		for _, f := range e.Findings {
			v.Findings[f] = FindingWord{Scope: "either"}
		}
	}
	return v
}

func TestEventFaults(t *testing.T) {
	again := func(on Date, by string) Event {
		return Event{Kind: Reopened, By: by, On: on, Change: "facial-contouring", Teeth: []Tooth{21}}
	}
	askNo := Event{Kind: Asked, On: Date{2027, 1, 12}, Change: "facial-contouring", Teeth: []Tooth{21}}
	for name, x := range map[string]struct {
		events []Event
		want   string
	}{
		"asked and answered":       {[]Event{asked, yes}, ""},
		"a yes without a question": {[]Event{yes}, "EVENT-ASKED events[1]\n"},
		"a second yes":             {[]Event{asked, yes, yes}, "EVENT-ASKED events[3]\n"},
		"a no needs no question":   {[]Event{{Kind: Answered, Change: "facial-contouring", Teeth: []Tooth{11}, Answer: No}}, ""},
		"asked against a no":       {[]Event{askNo}, "EVENT-NO events[1]\n"},
		"reopened by the patient":  {[]Event{again(Date{2026, 12, 10}, "patient"), askNo}, ""},
		"reopened by the dentist":  {[]Event{again(Date{2026, 12, 10}, "dentist")}, "EVENT-REOPENED events[1].by\n"},
		"reopened on that day":     {[]Event{again(Date{2026, 12, 9}, "patient")}, "EVENT-REOPENED events[1].on\n"},
		"nothing to reopen":        {[]Event{{Kind: Reopened, By: "patient", Change: "facial-contouring", Teeth: []Tooth{11}}}, "EVENT-REOPENED events[1]\n"},
		"reopened by nobody":       {[]Event{again(Date{2026, 12, 10}, "")}, "EVENT-LACKS events[1].by\n"},
		"days that go back":        {[]Event{asked, {Kind: DoneStep, Change: "edge-length", On: Date{2027, 1, 11}}}, "EVENT-ORDER events[2].on\n"},
		"before the first visit":   {[]Event{{Kind: DoneStep, Change: "edge-length", On: Date{2026, 11, 30}}}, "CASE-DATES events[1].on\n"},
		"a yes to all":             {[]Event{{Kind: Asked, Change: "facial-contouring", Teeth: []Tooth{11}}, {Kind: Answered, Change: "facial-contouring", Answer: Agree}}, "CASE-ANSWER-ALL events[2].teeth\n"},
		"an unknown kind":          {[]Event{{Kind: "thought"}}, "EVENT-KIND events[1].kind\n"},
		"a field of another kind":  {[]Event{{Kind: SaidBack, Topic: "x", Change: "edge-length"}}, "EVENT-FIELD events[1].change\n"},
		"done, without a step":     {[]Event{{Kind: DoneStep, Teeth: []Tooth{11}}}, "EVENT-WHAT events[1]\n"},
		"a contact of no contacts": {[]Event{{Kind: DoneStep, Change: "edge-length", Places: []Place{Between(11, 21)}}}, "CASE-PLACE events[1].places\n"},
		"a tooth of nobody":        {[]Event{{Kind: DoneStep, Step: StepGlued, Teeth: []Tooth{33}}}, "CASE-TOOTH-ABSENT events[1].teeth[0]\n"},
		"tried after gluing":       {[]Event{{Kind: DoneStep, Step: StepGlued, Teeth: []Tooth{11}}, {Kind: Approved, Teeth: []Tooth{11}, Parts: []string{"shade"}, Sitting: 1}}, "EVENT-GLUED events[2]\n"},
		"strikes what comes later": {[]Event{{Kind: Struck, Of: 3}, yes}, "EVENT-OF events[1].of\n"},
		"waived without words":     {[]Event{{Kind: Waived, Open: "thinking-time"}}, "EVENT-LACKS events[1].note\n"},
		"waives what nobody may":   {[]Event{{Kind: Waived, Open: "decides", Note: "x"}}, "EVENT-OPEN events[1].open\n"},
	} {
		v := word
		v.Changes = map[string]ChangeWord{"facial-contouring": {Reversible: "no", Takes: true}, "opening-contacts": {Reversible: "no", Contacts: true, Takes: true}, "edge-length": {Reversible: "yes"}}
		if got := lines(treated(x.events...).Check(v)); got != x.want {
			t.Errorf("%s: got %q, want %q", name, got, x.want)
		}
	}
}

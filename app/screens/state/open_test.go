package state

import (
	"encoding/json"
	"slices"
	"strings"
	"testing"

	"plainleaf/app/casefile"
	"plainleaf/app/place"
	"plainleaf/app/plan"
	"plainleaf/i18n"
)

// The list is the plan's, point by point and in its order, and every point has a screen.
func TestOpenIsThePlansList(t *testing.T) {
	m := ten(t)
	m.Draft.Mouth().ToggleFinding("gum-inflammation")
	m.Draft.Patient().AddQuestion("Does it hurt?", "")
	got := m.Draft.Open()
	if len(got) < 8 || len(got) != len(m.Draft.Plan().Open) {
		t.Fatalf("%d points, the plan has %d", len(got), len(m.Draft.Plan().Open))
	}
	for i, o := range m.Draft.Plan().Open {
		if got[i].What != o.What || got[i].Key != o.Key || !slices.Equal(got[i].Holds, o.Holds) || got[i].MayGoOn != o.MayGoOn || got[i].Settled {
			t.Errorf("%d: %+v is not %+v", i, got[i], o)
		}
		if !slices.Contains(place.Views, got[i].View) {
			t.Errorf("%s is settled on %q, which is no screen", o.What, got[i].View)
		}
	}
	m.Draft.Way().SetRoute("")
	if m.Draft.Open() != nil {
		t.Error("a case without a plan has a list")
	}
}

// Every kind of point that the words know has its screen, in the list above or the case.
func TestEveryPointIsSettledSomewhere(t *testing.T) {
	onCase := []string{plan.OpenTalk, plan.OpenAge, plan.OpenDecides, plan.OpenAlone, plan.OpenAssent, plan.OpenDissent, plan.OpenHelp}
	data, _ := i18n.Embedded("en")
	var words map[string]any
	if err := json.Unmarshal(data, &words); err != nil {
		t.Fatal(err)
	}
	n := 0
	for id := range words {
		what, of := strings.CutPrefix(id, "open.")
		if !of || strings.HasSuffix(what, "-on") {
			continue
		}
		n++
		if _, there := settledAt[what]; there == slices.Contains(onCase, what) {
			t.Errorf("%s: on a screen of its own %v, on the case's %v", what, there, !there)
		}
	}
	if want := len(settledAt) + len(onCase) - 1; n != want { // talk-again has the words of its wait
		t.Errorf("%d kinds with words, want %d", n, want)
	}
}

func TestWhatThePracticeLetsBeWaived(t *testing.T) {
	m := ten(t)
	at := func() Open {
		i := slices.IndexFunc(m.Draft.Open(), func(o Open) bool { return o.What == plan.OpenThinking })
		if i < 0 {
			t.Fatal("no time to think")
		}
		return m.Draft.Open()[i]
	}
	file := m.Practice.file
	file.Waivers = nil
	m.Practice.BackTo(file)
	m.Draft.Consent().Waive(plan.OpenThinking, "I have thought for a year")
	if o := at(); o.MayGoOn || o.Whose != "" || o.Settled || len(o.Holds) == 0 {
		t.Errorf("waived against the practice: %+v", o)
	}
	file.Waivers = []string{plan.OpenThinking}
	m.Practice.BackTo(file)
	if o := at(); !o.MayGoOn || o.Whose != "patient" || !o.Settled || len(o.Holds) > 0 || o.Reason != "I have thought for a year" {
		t.Errorf("not waived: %+v", o)
	}
}

// A private finding is one neutral point, whatever the dentist wrote of it.
func TestOpenHasNothingPrivate(t *testing.T) {
	m := ten(t)
	var private []string
	for _, f := range m.Draft.base.Findings {
		if f.Private && f.Scope != "tooth" {
			private = append(private, f.Key)
			m.Draft.Mouth().ToggleFinding(f.Key)
		}
	}
	waits := m.Draft.Consent().PrivateWaits()
	if len(waits) < 2 {
		t.Fatalf("%v ask to wait, of %v", waits, private)
	}
	for _, reasons := range []bool{false, true} {
		for _, k := range waits {
			if reasons {
				m.Draft.Way().SetReason(k, "QQMARKQQ")
			}
		}
		data, err := json.Marshal(m.Draft.Open())
		if err != nil {
			t.Fatal(err)
		}
		for _, k := range private {
			if strings.Contains(string(data), `"`+k+`"`) || strings.Contains(string(data), "QQMARKQQ") {
				t.Errorf("reasons %v: %s or its reason is in %s", reasons, k, data)
			}
		}
		var talk []Open
		for _, o := range m.Draft.Open() {
			if o.What == plan.OpenTalk {
				talk = append(talk, o)
			}
		}
		if len(talk) != 1 || talk[0].Settled != reasons || len(talk[0].Teeth) > 0 || talk[0].Key != "" {
			t.Errorf("reasons %v: %+v", reasons, talk)
		}
	}
	m.Draft.Patient().EditPeople(func(p *casefile.People) { p.AgeBand = "adult" })
	if slices.ContainsFunc(m.Draft.Open(), func(o Open) bool { return o.What == plan.OpenAge }) {
		t.Error("the age is settled and still listed")
	}
}

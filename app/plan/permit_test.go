package plan

import (
	"math/rand/v2"
	"slices"
	"testing"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
)

// What may be answered, on every example and on cases nobody would think of: nothing
// where a step needs no answer; never yes to what is always asked; yes to what cannot be
// undone only where a finding of the tooth, or its color, names the place.
func TestWhatMayBeAnswered(t *testing.T) {
	r := rand.New(rand.NewPCG(10, 6))
	list := cases(t)
	for i := range 300 {
		list[string(rune('a'+i%26))+string(rune('0'+i/26))] = random(r)
	}
	agreed := 0
	for name, c := range list {
		p := mustFor(t, c, demo(t), base)
		seen := map[string]bool{}
		for _, x := range p.ChairChanges {
			rule := base.Change(x.Key)
			yes := slices.Contains(x.Permitted, casefile.Agree)
			for _, at := range x.Places {
				if seen[x.Key+at] {
					t.Errorf("%s: %s on %s has two rows", name, x.Key, at)
				}
				seen[x.Key+at] = true
			}
			switch {
			case x.Rests:
				continue
			case rule.Group == evidence.GroupTell:
				if len(x.Permitted) > 0 || x.Answer != casefile.Blank || x.ActsAs != casefile.Blank {
					t.Errorf("%s: %s is told, and %v may be answered, %q is", name, x.Key, x.Permitted, x.Answer)
				}
				continue
			case len(x.Permitted) < 2 || !slices.Contains(x.Permitted, casefile.Ask) || !slices.Contains(x.Permitted, casefile.No):
				t.Errorf("%s: %s takes %v", name, x.Key, x.Permitted)
			case x.AskAnyway.Always && yes:
				t.Errorf("%s: a yes to %s, which is always asked", name, x.Key)
			case x.Answer != casefile.Blank && !slices.Contains(x.Permitted, x.Answer):
				t.Errorf("%s: %s is answered %q, of %v", name, x.Key, x.Answer, x.Permitted)
			case x.Group == evidence.GroupVeneer && x.Removes == "enamel" || x.Group == evidence.GroupTooth && x.Reversible == "yes":
				t.Errorf("%s: %s, group %s, takes %s, undone %s", name, x.Key, x.Group, x.Removes, x.Reversible)
			}
			if !yes || x.Reversible == "yes" {
				continue
			}
			for _, at := range x.At() {
				agreed++
				if !named(c, rule, at) {
					t.Errorf("%s: a yes to %s on %s, which nothing names", name, x.Key, at)
				}
			}
		}
	}
	if agreed < 100 {
		t.Errorf("only %d places to agree on", agreed)
	}
}

// named is worked out from the case alone: each tooth of the place that is in the case
// has a public finding that the step lists, or is darker than the target.
func named(c casefile.Case, rule *evidence.Change, at casefile.Place) bool {
	some := false
	for _, e := range c.Teeth {
		if !at.Has(e.Tooth) {
			continue
		}
		some = true
		under, wanted := c.UnderlyingOf(e), c.WantedOf(e).Shade
		why := false
		if under.Valid() && wanted.Valid() && !rule.OfContacts() {
			steps, _ := under.StepsDarker(wanted)
			why = steps > 0
		}
		for _, k := range e.Findings {
			why = why || !base.Finding(k).Private && slices.ContainsFunc(rule.When, func(w evidence.When) bool { return slices.Contains(w.Findings, k) })
		}
		if !why {
			return false
		}
	}
	return some
}

// The dark tooth of a no-prep plan may be contoured with a yes; the others are asked.
// What is true of the whole mouth names no tooth.
func TestOnlyTheDarkTooth(t *testing.T) {
	c := simple("no-prep", "lithium-disilicate", "15", "14", "13", "12", "11", "21", "22", "23", "24", "25")
	c.Findings = []string{"tight-contacts"}
	c.Teeth[5].Findings = []string{"one-dark-tooth"}
	p := mustFor(t, c, demo(t), base)
	for _, x := range p.ChairChanges {
		yes := slices.Contains(x.Permitted, casefile.Agree)
		switch x.Key {
		case "facial-contouring":
			if dark := slices.Equal(x.Places, []string{"21"}); dark != yes || dark != x.Likely || !dark && len(x.Places) != 9 || dark != slices.Equal(x.Because, []string{"one-dark-tooth"}) {
				t.Errorf("%v: %v, likely %v, because %v", x.Places, x.Permitted, x.Likely, x.Because)
			}
		case "opening-contacts":
			if yes || x.Likely || !slices.Equal(x.Because, []string{"tight-contacts"}) {
				t.Errorf("%v: %v, likely %v, because %v", x.Places, x.Permitted, x.Likely, x.Because)
			}
		}
	}
}

// An agreement of before stays readable: a yes to what is always asked counts as ask,
// to a step that needs no answer as nothing, and a no to a step that is two now is a no to both. A yes
// that was signed for named teeth holds, as does what is agreed from now on.
func TestAnEarlierAgreement(t *testing.T) {
	c := simple("no-prep", "lithium-disilicate", "11", "21")
	c.Stage = casefile.Agreed
	eleven, pair := []casefile.Tooth{11}, []casefile.Place{casefile.Between(11, 21)}
	c.Agreed = &casefile.Agreement{Way: casefile.SignedPaper, Code: "OLD", Date: c.Issued, Sheet: "consent", Route: c.Route, Material: c.Material,
		Teeth: []casefile.AgreedTooth{{Tooth: 11}, {Tooth: 21}}, Answers: []casefile.AnswerEntry{
			{Change: "numbing-needed", Answer: casefile.Agree}, {Change: "postpone-health", Answer: casefile.No}, {Change: "edge-length", Teeth: eleven, Answer: casefile.Agree},
			{Change: "opening-contacts", Places: pair, Answer: casefile.Agree},
			{Change: "bite-adjustment", Teeth: eleven, Answer: casefile.No}, {Change: "round-incisal-edge", Teeth: eleven, Answer: casefile.No}}}
	p := mustFor(t, c, demo(t), base)
	held := func(p Plan, key, at string) casefile.Answer {
		for _, x := range p.InForce {
			if x.Key == key && slices.Contains(x.Places, at) {
				return x.Answer
			}
		}
		return "none"
	}
	for _, x := range []struct {
		key, at string
		want    casefile.Answer
	}{
		{"numbing-needed", "11", casefile.Blank}, {"postpone-health", "11", casefile.Blank}, {"edge-length", "11", casefile.Ask}, {"opening-contacts", "11-21", casefile.Agree},
		{"bite-adjustment", "11", casefile.No}, {"bite-adjustment-opposing", "11", casefile.No}, {"bite-adjustment-opposing", "21", casefile.Blank},
		{"round-incisal-edge", "11", casefile.No}, {"round-veneer-edge", "11", casefile.No},
	} {
		if got := held(p, x.key, x.at); got != x.want && (x.want != casefile.Blank || got != "none") {
			t.Errorf("%s on %s: %q, want %q", x.key, x.at, got, x.want)
		}
	}
	if len(p.Lowered) != 3 || p.Lowered[0].From != casefile.FromAgreement {
		t.Errorf("lowered: %+v", p.Lowered)
	}
	if c.Agreed.Answers[0].Answer != casefile.Agree {
		t.Error("the agreement itself was changed")
	}
	// Signed now, a no to one half says nothing of the other.
	c.Agreed, c.Answers = nil, c.Agreed.Answers
	now := ToSign(c, demo(t), base).Agree(casefile.SignedPaper, "NEW", "", "consent", c.Issued, nil, base.Vocabulary(nil).OfContacts)
	c.Agreed, c.Answers = &now, nil
	p = mustFor(t, c, demo(t), base)
	for key, want := range map[string]casefile.Answer{"bite-adjustment": casefile.No, "bite-adjustment-opposing": casefile.Ask, "round-veneer-edge": casefile.Ask, "edge-length": casefile.Ask} {
		if got := held(p, key, "11"); got != want {
			t.Errorf("%s, signed now: %q, want %q", key, got, want)
		}
	}
	if got := held(p, "opening-contacts", "11-21"); got != casefile.Ask || len(p.Lowered) > 0 {
		t.Errorf("a contact that nothing names: %q, lowered %+v", got, p.Lowered)
	}
}

package casefile

import (
	"reflect"
	"strings"
	"testing"
)

func shadedCase() Case {
	return Case{Version: 2, Route: NoPrep, TargetShade: BleachLight, ShadeNote: "Demo white", UnderlyingShade: "A2", Teeth: []ToothEntry{
		{Tooth: 11}, {Tooth: 21, TargetShade: "A1"}, {Tooth: 12, ShadeNote: "Demo pearl", UnderlyingShade: "C4"}, {Tooth: 22}}}
}

func TestShadesOfATooth(t *testing.T) {
	c := shadedCase()
	for tooth, want := range map[Tooth]Wanted{11: {BleachLight, "Demo white"}, 21: {"A1", ""}, 12: {BleachLight, "Demo pearl"}, 35: {BleachLight, "Demo white"}} {
		if got := c.WantedAt(tooth); got != want {
			t.Errorf("tooth %d: %v, want %v", tooth, got, want)
		}
	}
	if got := []Shade{c.UnderlyingOf(c.Teeth[0]), c.UnderlyingOf(c.Teeth[2])}; got[0] != "A2" || got[1] != "C4" {
		t.Errorf("underneath: %v", got)
	}
	want := []Want{{Wanted{BleachLight, "Demo white"}, []Tooth{11, 22}}, {Wanted{"A1", ""}, []Tooth{21}}, {Wanted{BleachLight, "Demo pearl"}, []Tooth{12}}}
	if got := c.Wants(); !reflect.DeepEqual(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
	c.Teeth = nil
	if got := c.Wants(); len(got) != 1 || len(got[0].Teeth) != 0 || got[0].Shade != BleachLight {
		t.Errorf("the whole mouth: %v", got)
	}
}

// An agreement keeps what was wanted of each tooth; what the teeth themselves look
// like is not agreed.
func TestAnAgreementKeepsTheShades(t *testing.T) {
	c := shadedCase()
	a := c.Agree(SignedPaper, "demo", "", "consent", Date{2026, 12, 1}, nil, func(string) bool { return false })
	if !reflect.DeepEqual(a.Wants(), c.Wants()) {
		t.Errorf("agreed %v, wanted %v", a.Wants(), c.Wants())
	}
	later := c
	later.TargetShade, later.ShadeNote, later.UnderlyingShade = "A1", "", "A3"
	later.Teeth = []ToothEntry{{Tooth: 12, UnderlyingShade: "C3"}}
	put := a.Put(later)
	if !reflect.DeepEqual(put.Wants(), c.Wants()) || put.UnderlyingShade != "A3" || put.Teeth[2].UnderlyingShade != "C3" {
		t.Errorf("put back: %+v", put)
	}
}

func TestShadeApprovedInPlaceOfTheWantedOne(t *testing.T) {
	c := shadedCase()
	yes := func(shade string, teeth ...Tooth) Event {
		return Event{Kind: Approved, Teeth: teeth, Parts: []string{"shade"}, Shade: shade}
	}
	for name, x := range map[string]struct {
		events []Event
		want   string
	}{
		"nothing":                {nil, ""},
		"another":                {[]Event{yes("A1", 11)}, "A1"},
		"of all teeth":           {[]Event{yes("A1")}, "A1"},
		"of a neighbor":          {[]Event{yes("A1", 21)}, ""},
		"in words":               {[]Event{yes("Demo mix", 11)}, "Demo mix"},
		"the wanted one":         {[]Event{yes(string(BleachLight), 11)}, ""},
		"the wanted one in time": {[]Event{yes("A1", 11), yes("", 11)}, ""},
		"only tried":             {[]Event{{Kind: Tried, Teeth: []Tooth{11}, Shade: "A1"}}, ""},
		"taken back":             {[]Event{yes("A1", 11), {Kind: ChangeWanted, Teeth: []Tooth{11}, Parts: []string{"shade"}}}, ""},
		"another part":           {[]Event{yes("A1", 11), {Kind: ChangeWanted, Teeth: []Tooth{11}, Parts: []string{"length"}}}, "A1"},
		"came off":               {[]Event{yes("A1", 11), {Kind: DoneStep, Step: StepRemoved, Teeth: []Tooth{11}}}, ""},
		"struck":                 {[]Event{yes("A1", 11), {Kind: Struck, Of: 1}}, ""},
	} {
		c.Events = x.events
		if got := c.ApprovedShade(11); got != x.want {
			t.Errorf("%s: %q, want %q", name, got, x.want)
		}
	}
}

func TestShadeFaults(t *testing.T) {
	for name, x := range map[string]struct{ note, code string }{
		"a name": {"Demo white 2", ""}, "Arabic": {"أبيض", ""}, "blank": {" ", "TEXT-BLANK"}, "too long": {strings.Repeat("x", 201), "TEXT-LONG"},
		"a text far too long": {strings.Repeat("x", 2001), "TEXT-LONG"}, "two lines": {"a\nb", "TEXT-CONTROL"}, "a mark": {"a\u200fb", "TEXT-CONTROL"}, "code": {"<b>", "TEXT-CODE"},
	} {
		c := shadedCase()
		c.Issued, c.Start = Date{2026, 12, 1}, Date{2026, 12, 1}
		c.ShadeNote, c.Teeth[1].ShadeNote = x.note, x.note
		want := ""
		if x.code != "" {
			want = x.code + " shade_note\n" + x.code + " teeth[1].shade_note\n"
		}
		got := ""
		for _, f := range c.Check(Vocabulary{}) {
			got += f.Code + " " + f.Path + "\n"
		}
		if got != want {
			t.Errorf("%s: got\n%swant\n%s", name, got, want)
		}
	}
	c := shadedCase()
	c.Issued, c.Start = Date{2026, 12, 1}, Date{2026, 12, 1}
	c.UnderlyingShade, c.TargetShade, c.Teeth[0].TargetShade = "bleach", "bleach-dark", "BLEACH-LIGHT"
	if got := c.Check(Vocabulary{}); len(got) != 3 {
		t.Errorf("%s", got.Lines())
	}
}

package page

import (
	"cmp"
	"maps"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
	"plainleaf/app/place"
	"plainleaf/app/plan"
	"plainleaf/app/record"
	"plainleaf/app/sheet"
	"plainleaf/app/talk"
	"plainleaf/build/literals"
	"plainleaf/content"
	"plainleaf/i18n"
)

// texts lists the string literals of the Go files in a folder, tests left out.
func texts(t *testing.T, dir string) []string {
	t.Helper()
	list, err := literals.In(filepath.Join(dir, "*.go"))
	if err != nil {
		t.Fatal(err)
	}
	return list
}

// used lists every message id the screens can ask for, each with where it comes from.
func used(t *testing.T) map[string]string {
	t.Helper()
	ids := map[string]string{}
	add := func(from, prefix, suffix string, keys ...string) {
		for _, k := range keys {
			ids[prefix+k+suffix] = from
		}
	}
	for _, dir := range []string{".", "../screens/decide"} {
		for _, text := range texts(t, dir) {
			if literals.IsID(text, "page", "shell", "furniture", "wait", "sheet", "talk") {
				add("code", "", "", text)
			}
		}
	}
	base, faults := content.Load()
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	for _, r := range base.Routes {
		add("route", "route.", ".name", string(r.Key))
		add("route", "living.", "", r.Living)
		add("route", "undo.", "", r.Reversible)
		add("route", "numbing.", "", r.Numbing)
		for _, v := range r.Visits {
			if v.Purpose == "" {
				continue // here the following route's visits come in
			}
			add("visit", "visit.", ".name", v.Purpose)
			if v.GapWhy != "" {
				add("visit", "page.days.why.", "", v.GapWhy)
			}
		}
	}
	for _, m := range base.Materials {
		add("material", "material.", ".name", string(m.Key))
	}
	for _, f := range base.Findings {
		add("finding", "finding.", ".name", f.Key)
		if !slices.Contains(groups, f.Group) {
			t.Errorf("finding %s is in the group %q, which no screen shows", f.Key, f.Group)
		}
	}
	for _, c := range base.Changes {
		add("change", "change.", ".name", c.Key)
		add("change", sheet.WhatHappens(plan.ChairChange{Key: c.Key, TellOnly: c.Told()}).ID, "", "")
		add("change", "change.", ".limit", c.Key)
		add("change", "page.undo.", "", c.Reversible)
		if c.Place != "" {
			add("change", "place.", "", c.Place)
		}
		for _, w := range c.When {
			add("change", "often.", "", cmp.Or(w.Often, "unknown"))
		}
	}
	add("change", "often.own", "", ".range", ".about", ".up-to", ".to-nearly-all", ".open")
	for _, a := range base.Anchors {
		if a.Unknown != "" {
			add("anchor", "unknown.", "", a.Unknown)
		}
	}
	for _, p := range base.Pools {
		add("pool", "page.setting.", "", p.Setting)
	}
	for _, m := range base.Modifiers {
		add("modifier", "modifier.", "", m.ID)
		if m.Multiplier != "" {
			add("modifier", "modifier.", "-left-out", m.ID)
		}
	}
	for _, x := range base.Risks {
		add("risk", "risk.", ".name", x.Key)
	}
	for _, u := range base.Upkeep {
		add("upkeep", "upkeep.", ".name", u.Key)
		if u.Appliance != "" {
			add("upkeep", "appliance.", ".name", u.Appliance)
		}
	}
	for _, p := range base.Priorities {
		add("priority", "priority.", ".name", p.Key)
	}
	for _, c := range []evidence.Certainty{evidence.High, evidence.Moderate, evidence.Low, evidence.VeryLow, evidence.Practice} {
		add("certainty", "certainty.", "", string(c))
		add("certainty", "page.lasts.sure.", "", string(c))
	}
	for _, l := range []evidence.Level{evidence.LevelNone, evidence.LevelProceed, evidence.LevelFirst, evidence.LevelRefer, evidence.LevelHold} {
		add("level", "page.level.", "", string(l))
	}
	for _, u := range evidence.Units() {
		add("unit", "page.unit.", "", string(u))
	}
	for _, k := range sheet.Kinds() {
		add("kind", "page.kind.", "", string(k))
	}
	add("kind", "page.kind.", "", "all")
	for _, v := range place.Views {
		add("view", "page.menu.", "", place.Key(v))
		add("view", "shell.title.", "", place.Key(v))
	}
	for _, s := range frameStages {
		add("stage", "page.frame.stage.", "", s.key)
		for _, v := range s.views {
			add("step", "page.frame.step.", "", place.Key(v))
		}
	}
	for _, key := range []string{talk.First, talk.Options, talk.Advice, talk.Lasts, talk.Visits, "home"} {
		add("talk", "talk.next.", "", key)
	}
	add("next", "page.next.", "", "routes", "numbers", "chair", "understanding", "sheets")
	for f := range reflect.TypeFor[casefile.Practice]().Fields() {
		if key, _, _ := strings.Cut(f.Tag.Get("json"), ","); key != "version" { // the same in all that are read
			add("practice", "", "", partWord(key))
		}
	}
	add("offer", "page.offer.group.", "", casefile.Dangers()...)
	for _, q := range quicks() {
		add("quick", "page.quick.", "", q.id)
	}
	for _, g := range groups {
		add("group", "page.group.", "", g)
	}
	for _, x := range casefile.AllTeeth() {
		add("tooth", "tooth.", "", x.String())
	}
	for _, a := range []casefile.Answer{casefile.Agree, casefile.Ask, casefile.No} {
		add("answer", "page.answer.", "", string(a))
	}
	for _, x := range subjects {
		add("topic", "page.evidence.topic."+x.key, "", ".title", ".know", ".blank")
	}
	add("endpoint", "page.lasts.", "", plan.InPlace, plan.NothingNeeded, "words", "numbers")
	for _, s := range []string{"likely", "possible", "not-known", "unlikely"} {
		add("color", "page.options.shows.", "", s)
		add("color", "show-through.", "", s)
	}
	for _, s := range []string{plan.RoomLess, plan.RoomSome, plan.RoomEnough, plan.RoomNotStudied} {
		add("color", "page.options.room.", "", s)
		add("color", "room.", "", s)
	}
	add("endpoint", "sheet.last.", "", plan.InPlace, plan.NothingNeeded, "blank", "beyond")
	for _, s := range stages {
		add("stage", "page.stage.", "", string(s))
	}
	for _, s := range toothStates {
		add("state", "page.state.", "", s)
	}
	for _, s := range seen {
		add("try-in", "sheet.tryin.", "", s)
	}
	add("try-in", "page.tryin.", "", "approved", "change")
	add("why", "page.days.why.", "", "thinking", "whitening", "sitting", "settle-first", "appliance", "covers", "rest-between", "teeth-settle")
	add("agreed", "page.agreed.", "", plan.ConflictOrder, plan.ConflictEarly, plan.ConflictClosed)
	add("sign", "page.sign.role.", "", record.Roles()...)
	add("sign", "page.sign.what.", "", whats...)
	add("sign", "page.sign.way.", "", ways...)
	add("sign", "page.sign.name-hint.", "", ways...)
	add("sign", "page.sign.said.", "", ways...)
	add("sign", "page.sign.said.", "-nameless", "drawn", "paper")
	add("sign", "page.sign.lacks.", "", "strokes", "name", "paper", "date")
	add("seal", "page.seal.lacks.", "", "earlier", "later", "nothing", "withdrawn", "witness")
	add("verify", "page.verify.decided.", "", "agreed", "refused", "withdrawn")
	for _, p := range purposes {
		add("seal", "page.seal.purpose.", "", cmp.Or(string(p), "consent"))
	}
	for _, k := range record.Kinds() {
		add("record", "record.kind.", "", string(k))
	}
	add("status", "page.updated.part.", "", "visits", "chair", "waits", "numbers", "money")
	add("people", "people.age.", "", "child", "adolescent", "adult", "older-adult")
	add("people", "people.decides.", "", "patient", "parent", "guardian", "representative", "with-support")
	add("people", "people.assent.", "", "yes", "no", "not-asked")
	add("people", "people.interpreter.", "", "none", "professional", "staff", "family")
	add("people", "people.way.", "", "in-person", "telephone", "video")
	return ids
}

// Every message of the screens has words in every language, and every message
// written for the screens is shown somewhere.
func TestEveryWordIsThere(t *testing.T) {
	ids := used(t)
	for _, l := range i18n.Languages() {
		data, _ := i18n.Embedded(l.Tag)
		w, faults := i18n.Load(l.Tag, data, nil)
		if len(faults) > 0 {
			t.Fatal(faults.Lines())
		}
		var missing []string
		for _, id := range slices.Sorted(maps.Keys(ids)) {
			if !w.Has(id) {
				missing = append(missing, id+" ("+ids[id]+")")
			}
		}
		if len(missing) > 0 {
			t.Errorf("%s: %d messages without words: %s", l.Tag, len(missing), strings.Join(missing, ", "))
		}
		for _, id := range w.IDs() {
			if strings.HasPrefix(id, "page.") && ids[id] == "" {
				t.Errorf("%s: nothing shows %s", l.Tag, id)
			}
		}
	}
}

// Every fault that a person at the chair can mend has a sentence.
func TestEveryFaultHasASentence(t *testing.T) {
	data, _ := i18n.Embedded("en")
	w, faults := i18n.Load("en", data, nil)
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	found := map[string]bool{}
	for _, dir := range []string{"../casefile", "../strict", "../render", "../screens/state", "."} {
		for _, text := range texts(t, dir) {
			if literals.IsCode(text, "CASE", "PRAC", "JSON", "TEXT", "DATE", "REVIEW", "PAGE") {
				found[text] = true
			}
		}
	}
	if len(found) < 60 {
		t.Fatalf("only %d codes found", len(found))
	}
	for _, c := range slices.Sorted(maps.Keys(found)) {
		if id := "fault." + strings.ToLower(c); !w.Has(id) {
			t.Errorf("no words for %s", id)
		}
	}
}

func TestFollow(t *testing.T) {
	for want, in := range map[string][]string{
		"": nil, "One. Two.": {"One.", "Two."}, "一。二。": {"一。", "二。"}, "它还在吗？5年后": {"它还在吗？", "5年后"}, "One.": {"", "One.", ""},
	} {
		if got := follow(in...); got != want {
			t.Errorf("%q: got %q", in, got)
		}
	}
}

// Number and currency keep their own order from right to left, where one run of
// both would show "$US" (Unicode UAX 9).
func TestMoneyFromRightToLeft(t *testing.T) {
	for tag, want := range map[string]string{"ar": "\u2068300.00\u2069\u00a0\u2068US$\u2069", "en": "$300.00", "es": "300,00\u00a0US$"} {
		data, _ := i18n.Embedded(tag)
		w, faults := i18n.Load(tag, data, nil)
		if len(faults) > 0 {
			t.Fatal(faults.Lines())
		}
		if got := (&Root{words: w}).money(30000, "USD"); got != want {
			t.Errorf("%s: %+q, want %+q", tag, got, want)
		}
	}
}

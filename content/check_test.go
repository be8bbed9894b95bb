package content

import (
	"encoding/json"
	"math"
	"slices"
	"strings"
	"testing"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
)

func TestShippedDataIsSound(t *testing.T) {
	b, faults := Load()
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	if len(b.Routes) != len(casefile.Routes()) || len(b.Figures) == 0 {
		t.Fatal("nothing loaded")
	}
}

func fresh(t *testing.T) *evidence.Base {
	t.Helper()
	var b evidence.Base
	if err := json.Unmarshal(compiled, &b); err != nil {
		t.Fatal(err)
	}
	return &b
}

func at[T any](t *testing.T, rows []T, ok func(T) bool) *T {
	t.Helper()
	for i := range rows {
		if ok(rows[i]) {
			return &rows[i]
		}
	}
	t.Fatal("no such row")
	return nil
}

// Every rule of Check, each broken in one place.
func TestEachRuleHasItsFault(t *testing.T) {
	fig := func(b *evidence.Base, id string) *evidence.Figure {
		return at(t, b.Figures, func(f evidence.Figure) bool { return f.ID == id })
	}
	find := func(b *evidence.Base, k string) *evidence.Finding {
		return at(t, b.Findings, func(f evidence.Finding) bool { return f.Key == k })
	}
	source := func(b *evidence.Base, id string) *evidence.Source {
		return at(t, b.Sources, func(s evidence.Source) bool { return s.ID == id })
	}
	rate := func(b *evidence.Base, k string) *evidence.Rate {
		return &at(t, b.Risks, func(r evidence.Risk) bool { return r.Key == k }).Rates[0]
	}
	change := func(b *evidence.Base, k string) *evidence.Change {
		return at(t, b.Changes, func(f evidence.Change) bool { return f.Key == k })
	}
	route := func(b *evidence.Base, k casefile.Route) *evidence.RouteRule {
		return at(t, b.Routes, func(f evidence.RouteRule) bool { return f.Key == k })
	}
	anchor := func(b *evidence.Base, k string) *evidence.Anchor {
		return at(t, b.Anchors, func(f evidence.Anchor) bool { return f.ID == k })
	}
	cohort := func(b *evidence.Base, k string) *evidence.Cohort {
		return at(t, b.Cohorts, func(f evidence.Cohort) bool { return f.ID == k })
	}
	pooled := func(b *evidence.Base, k string) *evidence.Pool {
		return at(t, b.Pools, func(f evidence.Pool) bool { return f.ID == k })
	}
	for name, c := range map[string]struct {
		code, path string // path: a part of it
		damage     func(b *evidence.Base)
	}{
		"version is a date":            {"CONTENT-DATE", "version", func(b *evidence.Base) { b.Version = "soon" }},
		"next review is later":         {"CONTENT-DATE", "next_review", func(b *evidence.Base) { b.NextReview = b.Reviewed }},
		"source id form":               {"CONTENT-ID", "sources[0].id", func(b *evidence.Base) { b.Sources[0].ID = "No Good" }},
		"source id once":               {"CONTENT-ID-TWICE", "sources[1].id", func(b *evidence.Base) { b.Sources[1].ID = b.Sources[0].ID }},
		"source has a citation":        {"CONTENT-MISSING", "sources[3].citation", func(b *evidence.Base) { b.Sources[3].Citation = " " }},
		"source design is listed":      {"CONTENT-VALUE", "sources[3].design", func(b *evidence.Base) { b.Sources[3].Design = "rumor" }},
		"source reading is listed":     {"CONTENT-VALUE", "sources[3].read", func(b *evidence.Base) { b.Sources[3].Read = "all" }},
		"source was checked on a date": {"CONTENT-DATE", "sources[3].checked", func(b *evidence.Base) { b.Sources[3].Checked = "" }},
		"DOI form":                     {"CONTENT-VALUE", "sources[3].doi", func(b *evidence.Base) { b.Sources[3].DOI = "doi:10.1/x" }},
		"nothing cited from memory":    {"CONTENT-CITATION", "sources[3].citation", func(b *evidence.Base) { b.Sources[3].Citation += " (volume From Memory)" }},
		"no note in a citation":        {"CONTENT-CITATION", "sources[3].citation", func(b *evidence.Base) { b.Sources[3].Citation += " [only the beginning was read]" }},
		"authors or none shown":        {"CONTENT-CITATION", ".authors", func(b *evidence.Base) { source(b, "lw12").Authors = "" }},
		"citation begins with authors": {"CONTENT-CITATION", ".authors", func(b *evidence.Base) { source(b, "lw12").Authors = "Walton" }},
		"year or none shown":           {"CONTENT-CITATION", ".year", func(b *evidence.Base) { source(b, "lw12").Year = 0 }},
		"citation has its year":        {"CONTENT-CITATION", ".year", func(b *evidence.Base) { source(b, "lw12").Year = 2013 }},
		"short citation":               {"CONTENT-MISSING", "sources[3].short", func(b *evidence.Base) { b.Sources[3].Short = " " }},
		"short citation is short":      {"CONTENT-CITATION", "sources[3].short", func(b *evidence.Base) { b.Sources[3].Short += strings.Repeat(" and more", 20) }},
		"short citation is clean":      {"CONTENT-CITATION", "sources[3].short", func(b *evidence.Base) { b.Sources[3].Short += ", year not shown" }},
		"short citation has its year":  {"CONTENT-CITATION", ".short", func(b *evidence.Base) { source(b, "lw12").Short = "Layton, Int J Prosthodont" }},
		"an option says what it gives": {"CONTENT-MISSING", ".gives", func(b *evidence.Base) { route(b, casefile.NoPrep).Gives = "" }},
		"the downside is a risk":       {"CONTENT-ROUTE", ".downside_risk", func(b *evidence.Base) { route(b, casefile.Crown).DownsideRisk = "sting" }},
		"counts give the share":        {"CONTENT-RANGE", ".events", func(b *evidence.Base) { fig(b, "fracture-gra14").Events = 14 }},
		"no more events than cases":    {"CONTENT-RANGE", ".events", func(b *evidence.Base) { fig(b, "undrilled-lost").Events = 103 }},
		"what was studied is listed":   {"CONTENT-VALUE", ".studied", func(b *evidence.Base) { fig(b, "undrilled-lost").Studied = "teeth" }},
		"drilled is not undrilled":     {"CONTENT-RATE", ".routes[0]", func(b *evidence.Base) { rate(b, "decay-at-edge").Routes[0] = "no-prep" }},
		"veneers are not crowns":       {"CONTENT-RATE", ".routes[0]", func(b *evidence.Base) { rate(b, "nerve-death").Routes[0] = "crown" }},
		"a rate has a source":          {"CONTENT-RATE", ".figure", func(b *evidence.Base) { fig(b, "cause-caries").Seen = "memory" }},
		"a rate has a figure":          {"CONTENT-MISSING", ".figure", func(b *evidence.Base) { rate(b, "decay-at-edge").Figure = "" }},
		"a rate has a route":           {"CONTENT-MISSING", ".routes", func(b *evidence.Base) { rate(b, "decay-at-edge").Routes = nil }},
		"a rate is of something":       {"CONTENT-VALUE", ".unit", func(b *evidence.Base) { rate(b, "decay-at-edge").Unit = "jaws" }},
		"a rate's material exists":     {"CONTENT-KEY-UNKNOWN", ".materials[0]", func(b *evidence.Base) { rate(b, "decay-at-edge").Materials = []casefile.Material{"wood"} }},
		"a rate has words":             {"CONTENT-WORD", ".words", func(b *evidence.Base) { rate(b, "decay-at-edge").Words = "Decay!" }},
		"fewer than 1 in 100":          {"CONTENT-RATE", ".words", func(b *evidence.Base) { rate(b, "nerve-death").Words = "few-veneers-lost" }},
		"none is told by its count":    {"CONTENT-RATE", ".words", func(b *evidence.Base) { rate(b, "nerve-death").Words = "none-lost" }},
		"what is planned has no rate": {"CONTENT-RATE", ".rates", func(b *evidence.Base) {
			i := slices.IndexFunc(b.Risks, func(r evidence.Risk) bool { return r.Key == "decay-at-edge" })
			b.Risks[i].Planned = true
		}},
		"source is used":              {"CONTENT-UNUSED", "sources[", func(b *evidence.Base) { b.Sources = append(b.Sources, evidence.Source{ID: "nobody"}) }},
		"figure id form":              {"CONTENT-ID", "figures[0].id", func(b *evidence.Base) { b.Figures[0].ID = "A_b" }},
		"figure id once":              {"CONTENT-ID-TWICE", "figures[1].id", func(b *evidence.Base) { b.Figures[1].ID = b.Figures[0].ID }},
		"unit is listed":              {"CONTENT-UNIT", ".unit", func(b *evidence.Base) { fig(b, "thinking-time").Unit = "moons" }},
		"low is not above value":      {"CONTENT-RANGE", "figures[", func(b *evidence.Base) { fig(b, "thinking-time").Low = 8 }},
		"value is not above high":     {"CONTENT-RANGE", "figures[", func(b *evidence.Base) { fig(b, "thinking-time").High = 6 }},
		"value is a number":           {"CONTENT-RANGE", "figures[", func(b *evidence.Base) { fig(b, "thinking-time").Value = math.NaN() }},
		"fraction up to 1":            {"CONTENT-RANGE", "figures[", func(b *evidence.Base) { fig(b, "ale21-10y").High = 95.5 }},
		"percent up to 100":           {"CONTENT-RANGE", "figures[", func(b *evidence.Base) { fig(b, "whitening-home-sensitivity").High = 147 }},
		"certainty is listed":         {"CONTENT-VALUE", ".certainty", func(b *evidence.Base) { fig(b, "ale21-10y").Certainty = "sure" }},
		"seen is listed":              {"CONTENT-VALUE", ".seen", func(b *evidence.Base) { fig(b, "ale21-10y").Seen = "dreamt" }},
		"reviewed on a date":          {"CONTENT-DATE", ".reviewed", func(b *evidence.Base) { fig(b, "ale21-10y").Reviewed = "2026-13-01" }},
		"source exists":               {"CONTENT-SOURCE-UNKNOWN", ".source[0]", func(b *evidence.Base) { fig(b, "ale21-10y").Source = []string{"nobody"} }},
		"practice goes with practice": {"CONTENT-SEEN", ".certainty", func(b *evidence.Base) { fig(b, "thinking-time").Certainty = "high" }},
		"a study is not practice":     {"CONTENT-SEEN", ".certainty", func(b *evidence.Base) { fig(b, "ale21-10y").Certainty = "practice" }},
		"memory has no source":        {"CONTENT-SEEN", ".source", func(b *evidence.Base) { fig(b, "cement-film").Source = []string{"ale21"} }},
		"memory is very low":          {"CONTENT-SEEN", ".certainty", func(b *evidence.Base) { fig(b, "cement-film").Certainty = "low" }},
		"citable needs a source":      {"CONTENT-SOURCE-MISSING", ".source", func(b *evidence.Base) { fig(b, "ale21-10y").Source = nil }},
		"citable needs the place":     {"CONTENT-SOURCE-MISSING", ".where", func(b *evidence.Base) { fig(b, "ale21-10y").Where = "" }},
		"figure is used":              {"CONTENT-UNUSED", "figures[", func(b *evidence.Base) { b.Figures = append(b.Figures, evidence.Figure{ID: "nobody"}) }},
		"finding group":               {"CONTENT-VALUE", ".group", func(b *evidence.Base) { find(b, "bruxism").Group = "tail" }},
		"finding scope":               {"CONTENT-VALUE", ".scope", func(b *evidence.Base) { find(b, "bruxism").Scope = "jaw" }},
		"finding key once":            {"CONTENT-ID-TWICE", "findings[1].key", func(b *evidence.Base) { b.Findings[1].Key = b.Findings[0].Key }},
		"excludes is mutual":          {"CONTENT-EXCLUDES", ".excludes[0]", func(b *evidence.Base) { find(b, "deep-bite").Excludes = nil }},
		"excludes exists":             {"CONTENT-KEY-UNKNOWN", ".excludes[0]", func(b *evidence.Base) { find(b, "bruxism").Excludes = []string{"nobody"} }},
		"age band":                    {"CONTENT-VALUE", ".age_bands[0]", func(b *evidence.Base) { find(b, "young-patient").AgeBands[0] = "baby" }},
		"by age needs the age":        {"CONTENT-VALUE", ".by_age", func(b *evidence.Base) { find(b, "young-patient").AgeBands = nil }},
		"age band of a line": {"CONTENT-VALUE", ".age_bands[0]", func(b *evidence.Base) {
			i := slices.IndexFunc(b.Lines, func(l evidence.Line) bool { return len(l.AgeBands) > 0 })
			b.Lines[i].AgeBands[0] = "baby"
		}},
		"by age is no secret": {"CONTENT-VALUE", ".by_age", func(b *evidence.Base) { find(b, "pregnancy").ByAge = true }},
		"total over routes":   {"CONTENT-NOT-TOTAL", ".effects", func(b *evidence.Base) { f := find(b, "bruxism"); f.Effects = f.Effects[:1] }},
		"one default": {"CONTENT-EFFECT", ".effects[", func(b *evidence.Base) {
			f := find(b, "bruxism")
			f.Effects = append(f.Effects, evidence.Effect{Level: "none"})
		}},
		"one effect a route":         {"CONTENT-EFFECT", ".routes", func(b *evidence.Base) { f := find(b, "bruxism"); f.Effects = append(f.Effects, f.Effects[0]) }},
		"route exists in effect":     {"CONTENT-ROUTE-UNKNOWN", ".routes[0]", func(b *evidence.Base) { find(b, "bruxism").Effects[0].Routes[0] = "magic" }},
		"level":                      {"CONTENT-VALUE", ".level", func(b *evidence.Base) { find(b, "bruxism").Effects[0].Level = "maybe" }},
		"private gives no aftercare": {"CONTENT-PRIVATE", ".effects[0]", func(b *evidence.Base) { find(b, "pregnancy").Effects[0].Aftercare = []string{"soft-brush"} }},
		"private gives no appliance": {"CONTENT-PRIVATE", ".effects[0]", func(b *evidence.Base) { find(b, "pregnancy").Effects[0].Appliances = []string{"retainer"} }},
		"private gives no risk":      {"CONTENT-PRIVATE", ".effects[0]", func(b *evidence.Base) { find(b, "pregnancy").Effects[0].Risks = []string{"sensitivity"} }},
		"private gives no action":    {"CONTENT-PRIVATE", ".effects[0]", func(b *evidence.Base) { find(b, "pregnancy").Effects[0].Actions = []string{"breaks"} }},
		"private gives no change":    {"CONTENT-PRIVATE", ".effects[0]", func(b *evidence.Base) { find(b, "pregnancy").Effects[0].Changes = []string{"edge-length"} }},
		"private asks for no care":   {"CONTENT-PRIVATE", ".effects[0]", func(b *evidence.Base) { find(b, "pregnancy").Effects[0].First = []string{"gum-care"} }},
		"private asks for no recall": {"CONTENT-PRIVATE", ".effects[0]", func(b *evidence.Base) { find(b, "pregnancy").Effects[0].Recall = "recall-risk" }},
		"private triggers no change": {"CONTENT-PRIVATE", ".findings[0]", func(b *evidence.Base) { change(b, "facial-contouring").When[0].Findings[0] = "pregnancy" }},
		"none does nothing": {"CONTENT-EFFECT", ".effects[", func(b *evidence.Base) {
			f := find(b, "bruxism")
			f.Effects[len(f.Effects)-1].First = []string{"gum-care"}
		}},
		"care exists":               {"CONTENT-KEY-UNKNOWN", ".first[0]", func(b *evidence.Base) { find(b, "one-dark-tooth").Effects[0].First = []string{"magic"} }},
		"an effect's age":           {"CONTENT-VALUE", ".age_bands[0]", func(b *evidence.Base) { find(b, "bruxism").Effects[0].AgeBands = []string{"old"} }},
		"care has a kind":           {"CONTENT-VALUE", "cares[0].kind", func(b *evidence.Base) { b.Cares[0].Kind = "magic" }},
		"care follows earlier care": {"CONTENT-KEY-UNKNOWN", "cares[0].after[0]", func(b *evidence.Base) { b.Cares[0].After = []string{"lighten-tooth"} }},
		"care has known risks":      {"CONTENT-KEY-UNKNOWN", "cares[0].risks[0]", func(b *evidence.Base) { b.Cares[0].Risks = []string{"magic"} }},
		"care becomes another":      {"CONTENT-CARE", ".with", func(b *evidence.Base) { b.Cares[0].With = nil }},
		"care's visit has a gap":    {"CONTENT-VISIT", "cares[0].visits[0].gap", func(b *evidence.Base) { b.Cares[0].Visits[0].Gap = "" }},
		"care's gap is an interval": {"CONTENT-UNIT-WRONG", "cares[0].visits[0].gap", func(b *evidence.Base) { b.Cares[0].Visits[0].Gap = "size-edge-length" }},
		"care's visits are counted": {"CONTENT-UNIT-WRONG", ".repeat", func(b *evidence.Base) { b.Cares[6].Visits[0].Repeat = "gum-wait" }},
		"care glues nothing":        {"CONTENT-VISIT", "cares[0].visits[0]", func(b *evidence.Base) { b.Cares[0].Visits[0].Bonding = true }},
		"care's visits once":        {"CONTENT-ID-TWICE", ".key", func(b *evidence.Base) { b.Cares[1].Visits[0].Key = b.Cares[0].Visits[0].Key }},
		"nobody signs at once":      {"CONTENT-VISIT", ".signs", func(b *evidence.Base) { b.Routes[4].Visits[0].Signs = true }},
		"covers need preparation":   {"CONTENT-VISIT", ".covers", func(b *evidence.Base) { b.Routes[4].Visits[0].Covers = true }},
		"recalls get rarer": {"CONTENT-UPKEEP", ".years[1]", func(b *evidence.Base) {
			b.Upkeep[0].Years = []string{"recall-quiet", "recall-default"}
		}},
		"recalls by year": {"CONTENT-UPKEEP", ".years", func(b *evidence.Base) { b.Upkeep[0].Years = nil }},
		"a rate of care is of it": {"CONTENT-RATE", ".cares[0]", func(b *evidence.Base) {
			r := &b.Risks[slices.IndexFunc(b.Risks, func(r evidence.Risk) bool { return r.Key == "root-resorption" })]
			r.Rates = slices.Clone(r.Rates)
			r.Rates[0].Cares = []string{"gum-care"}
		}},
		"figure exists":      {"CONTENT-FIGURE-UNKNOWN", ".recall", func(b *evidence.Base) { find(b, "bruxism").Effects[0].Recall = "nobody" }},
		"appliance exists":   {"CONTENT-VALUE", ".appliances[0]", func(b *evidence.Base) { find(b, "bruxism").Effects[0].Appliances[0] = "crown-jewels" }},
		"action is a key":    {"CONTENT-WORD", ".actions[0]", func(b *evidence.Base) { find(b, "bruxism").Effects[0].Actions[0] = "Wear your guard." }},
		"aftercare exists":   {"CONTENT-KEY-UNKNOWN", ".aftercare[0]", func(b *evidence.Base) { find(b, "bruxism").Effects[0].Aftercare[0] = "nobody" }},
		"risk exists":        {"CONTENT-KEY-UNKNOWN", ".risks[0]", func(b *evidence.Base) { find(b, "bruxism").Effects[0].Risks[0] = "nobody" }},
		"modifier exists":    {"CONTENT-KEY-UNKNOWN", ".modifier[0]", func(b *evidence.Base) { find(b, "bruxism").Effects[0].Modifier = "nobody" }},
		"no memory in words": {"CONTENT-MEMORY", ".figures[0]", func(b *evidence.Base) { find(b, "bruxism").Effects[0].Figures[0] = "cement-film" }},
		"effect's change has a row": {"CONTENT-CHANGE", ".changes[", func(b *evidence.Base) {
			e := &find(b, "bruxism").Effects[0]
			e.Changes = append(e.Changes, "edge-length")
		}},
		"row's change has an effect":      {"CONTENT-CHANGE", ".findings[0]", func(b *evidence.Base) { change(b, "facial-contouring").When[0].Findings[0] = "deep-bite" }},
		"change key once":                 {"CONTENT-ID-TWICE", "changes[1].key", func(b *evidence.Base) { b.Changes[1].Key = b.Changes[0].Key }},
		"change has minutes":              {"CONTENT-MISSING", ".minutes", func(b *evidence.Base) { change(b, "edge-length").Minutes = "" }},
		"change size is a length":         {"CONTENT-UNIT-WRONG", ".size", func(b *evidence.Base) { change(b, "edge-length").Size = "gum-wait" }},
		"change removes":                  {"CONTENT-VALUE", ".removes", func(b *evidence.Base) { change(b, "edge-length").Removes = "time" }},
		"change numbing":                  {"CONTENT-VALUE", ".numbing", func(b *evidence.Base) { change(b, "edge-length").Numbing = "gas" }},
		"change over":                     {"CONTENT-VALUE", ".over", func(b *evidence.Base) { change(b, "edge-length").Over = "lips" }},
		"enamel does not grow back":       {"CONTENT-CHANGE", ".reversible", func(b *evidence.Base) { change(b, "facial-contouring").Reversible = "yes" }},
		"per surface and unit":            {"CONTENT-CHANGE", ".per_surface", func(b *evidence.Base) { change(b, "opening-contacts").PerSurface = false }},
		"told is not answered":            {"CONTENT-CHANGE", ".answers", func(b *evidence.Base) { change(b, "edge-length").Group = evidence.GroupTell }},
		"told takes nothing":              {"CONTENT-CHANGE", ".group", func(b *evidence.Base) { change(b, "temporary-needed").Removes = "enamel" }},
		"told is not talked through":      {"CONTENT-CHANGE", ".group", func(b *evidence.Base) { change(b, "temporary-needed").TalkFirst = true }},
		"what is asked has answers":       {"CONTENT-CHANGE", ".answers", func(b *evidence.Base) { change(b, "edge-length").Answers = nil }},
		"nobody is made to agree":         {"CONTENT-CHANGE", ".answers", func(b *evidence.Base) { change(b, "edge-length").Answers = change(b, "edge-length").Answers[:1] }},
		"for good is of group tooth":      {"CONTENT-CHANGE", ".group", func(b *evidence.Base) { change(b, "facial-contouring").Group = evidence.GroupVeneer }},
		"only for good is of group tooth": {"CONTENT-CHANGE", ".group", func(b *evidence.Base) { change(b, "edge-length").Group = evidence.GroupTooth }},
		"gum does not grow back":          {"CONTENT-CHANGE", ".reversible", func(b *evidence.Base) { change(b, "gum-trimmed").Reversible = "partly" }},
		"no of another step":              {"CONTENT-KEY-UNKNOWN", ".no_of", func(b *evidence.Base) { change(b, "gum-trimmed").NoOf = "opening-contacts" }},
		"alike with another":              {"CONTENT-CHANGE", ".alike", func(b *evidence.Base) { change(b, "gum-trimmed").Alike = "gum" }},
		"told is alike with nothing":      {"CONTENT-CHANGE", ".group", func(b *evidence.Base) { change(b, "temporary-needed").Alike = "fit" }},
		"change has rows":                 {"CONTENT-MISSING", ".when", func(b *evidence.Base) { change(b, "edge-length").When = nil }},
		"row has routes":                  {"CONTENT-MISSING", ".routes", func(b *evidence.Base) { change(b, "margin-finishing").When[0].Routes = nil }},
		"how often":                       {"CONTENT-VALUE", ".often", func(b *evidence.Base) { change(b, "edge-length").When[0].Often = "33 %" }},
		"trigger is a key":                {"CONTENT-WORD", ".trigger", func(b *evidence.Base) { change(b, "edge-length").When[0].Trigger = "Too long" }},
		"likelihood is a guess":           {"CONTENT-SEEN", ".likelihood", func(b *evidence.Base) { change(b, "facial-contouring").When[0].Likelihood = "bruxism-fracture-share" }},
		"row's finding exists":            {"CONTENT-KEY-UNKNOWN", ".findings[0]", func(b *evidence.Base) { change(b, "facial-contouring").When[0].Findings[0] = "nobody" }},
		"all routes":                      {"CONTENT-ROUTES", "routes", func(b *evidence.Base) { b.Routes = b.Routes[1:] }},
		"routes in order":                 {"CONTENT-ROUTES", "routes", func(b *evidence.Base) { b.Routes[0], b.Routes[1] = b.Routes[1], b.Routes[0] }},
		"route kind":                      {"CONTENT-VALUE", ".kind", func(b *evidence.Base) { route(b, "crown").Kind = "royal" }},
		"route numbing":                   {"CONTENT-VALUE", ".numbing", func(b *evidence.Base) { route(b, "crown").Numbing = "never" }},
		"route temporaries":               {"CONTENT-VALUE", ".temporaries", func(b *evidence.Base) { route(b, "crown").Temporaries = "always" }},
		"ceramic is not fully reversible": {"CONTENT-ROUTE", ".reversible", func(b *evidence.Base) { route(b, "no-prep").Reversible = "yes" }},
		"drilling is not reversible":      {"CONTENT-ROUTE", ".reversible", func(b *evidence.Base) { route(b, "minimal-prep").Reversible = "mostly" }},
		"route material":                  {"CONTENT-KEY-UNKNOWN", ".materials[", func(b *evidence.Base) { route(b, "crown").Materials[0] = "gold" }},
		"route risk":                      {"CONTENT-KEY-UNKNOWN", ".risks[0]", func(b *evidence.Base) { route(b, "crown").Risks[0] = "nobody" }},
		"route is not shown for private":  {"CONTENT-KEY-UNKNOWN", ".when[0]", func(b *evidence.Base) { route(b, "crown").When[0] = "pregnancy" }},
		"visit minutes":                   {"CONTENT-MISSING", ".minutes", func(b *evidence.Base) { route(b, "crown").Visits[0].Minutes = "" }},
		"visit minutes are minutes":       {"CONTENT-UNIT-WRONG", ".minutes", func(b *evidence.Base) { route(b, "crown").Visits[0].Minutes = "gum-wait" }},
		"visit gap and reason":            {"CONTENT-VISIT", ".gap_why", func(b *evidence.Base) { route(b, "crown").Visits[1].GapWhy = "" }},
		"visit repeat and why":            {"CONTENT-VISIT", ".repeat_why", func(b *evidence.Base) { route(b, "no-prep").Visits[1].RepeatWhy = "rest-between" }},
		"visit repeat and gap":            {"CONTENT-VISIT", ".repeat_gap", func(b *evidence.Base) { route(b, "whitening-in-office").Visits[1].RepeatGap = "" }},
		"split needs a limit":             {"CONTENT-VISIT", ".split", func(b *evidence.Base) { route(b, "no-prep").SplitAt = "" }},
		"laboratory has a default":        {"CONTENT-VISIT", ".gap", func(b *evidence.Base) { v := &route(b, "no-prep").Visits[3]; v.Gap, v.GapWhy = "", "" }},
		"within needs the next gap":       {"CONTENT-VISIT", ".within", func(b *evidence.Base) { v := &route(b, "straightening-first").Visits[3]; v.Gap, v.GapWhy = "", "" }},
		"then is no visit":                {"CONTENT-VISIT", ".visits[", func(b *evidence.Base) { v := route(b, "gum-care-first").Visits; v[len(v)-1].Minutes = "review-minutes" }},
		"then only where something follows": {"CONTENT-VISIT", ".visits[", func(b *evidence.Base) {
			v := route(b, "crown").Visits
			v[len(v)-1] = evidence.VisitRule{Key: "then", Then: true}
		}},
		"visit key once":               {"CONTENT-ID-TWICE", ".key", func(b *evidence.Base) { v := route(b, "crown").Visits; v[1].Key = v[0].Key }},
		"first visit has no gap":       {"CONTENT-VISIT", ".visits", func(b *evidence.Base) { v := route(b, "crown").Visits; v[0].Gap, v[0].GapWhy = "gum-wait", "think" }},
		"material key once":            {"CONTENT-ID-TWICE", "materials[1].key", func(b *evidence.Base) { b.Materials[1].Key = b.Materials[0].Key }},
		"laboratory in working days":   {"CONTENT-UNIT-WRONG", ".lab", func(b *evidence.Base) { b.Materials[0].Lab = "gum-wait" }},
		"risk is named":                {"CONTENT-UNUSED", "risks[", func(b *evidence.Base) { b.Risks = append(b.Risks, evidence.Risk{Key: "boredom"}) }},
		"multiplier makes worse":       {"CONTENT-MODIFIER", "modifiers[0]", func(b *evidence.Base) { b.Modifiers[0].Direction = "better" }},
		"modifier endpoint":            {"CONTENT-VALUE", ".endpoints[0]", func(b *evidence.Base) { b.Modifiers[0].Endpoints[0] = "happiness" }},
		"upkeep from":                  {"CONTENT-VALUE", ".from", func(b *evidence.Base) { b.Upkeep[0].From = "birth" }},
		"fit needs an appliance":       {"CONTENT-UPKEEP", ".from", func(b *evidence.Base) { b.Upkeep[0].From = "fit" }},
		"upkeep risk":                  {"CONTENT-UPKEEP", ".risk", func(b *evidence.Base) { b.Upkeep[0].Risk = nil }},
		"upkeep shows nothing private": {"CONTENT-KEY-UNKNOWN", ".risk[0]", func(b *evidence.Base) { b.Upkeep[0].Risk[0] = "pregnancy" }},
		"line phase":                   {"CONTENT-VALUE", ".phase", func(b *evidence.Base) { b.Lines[0].Phase = "later" }},
		"line order":                   {"CONTENT-ORDER", "lines[1].order", func(b *evidence.Base) { b.Lines[1].Order = b.Lines[0].Order }},
		"line by effect":               {"CONTENT-LINE", ".by_effect", func(b *evidence.Base) { b.Lines[0].ByEffect = true }},
		"line shows nothing private":   {"CONTENT-KEY-UNKNOWN", ".findings[0]", func(b *evidence.Base) { b.Lines[0].Findings = []string{"pregnancy"} }},
		"line change exists":           {"CONTENT-KEY-UNKNOWN", ".changes[0]", func(b *evidence.Base) { b.Lines[0].Changes = []string{"nobody"} }},
		"urgency":                      {"CONTENT-VALUE", ".urgency", func(b *evidence.Base) { b.Warnings[0].Urgency = "whenever" }},
		"most urgent first": {"CONTENT-ORDER", ".order", func(b *evidence.Base) {
			b.Warnings[0], b.Warnings[len(b.Warnings)-1] = b.Warnings[len(b.Warnings)-1], b.Warnings[0]
		}},
		"loose is never next time": {"CONTENT-WARNING", ".urgency", func(b *evidence.Base) {
			at(t, b.Warnings, func(w evidence.Warning) bool { return w.Key == "loose-veneer" }).Urgency = "tell-soon"
		}},
		"high is never next time": {"CONTENT-WARNING", ".urgency", func(b *evidence.Base) {
			at(t, b.Warnings, func(w evidence.Warning) bool { return w.Key == "bite-feels-high" }).Urgency = "tell-soon"
		}},
		"lost is never next time": {"CONTENT-WARNING", ".urgency", func(b *evidence.Base) {
			at(t, b.Warnings, func(w evidence.Warning) bool { return w.Key == "temporary-off" }).Urgency = "tell-soon"
		}},
		"swollen is never next time": {"CONTENT-WARNING", ".urgency", func(b *evidence.Base) {
			at(t, b.Warnings, func(w evidence.Warning) bool { return w.Key == "face-or-gum-swelling" }).Urgency = "tell-soon"
		}},
		"priority fact":               {"CONTENT-VALUE", ".fact", func(b *evidence.Base) { b.Priorities[0].Fact = "score" }},
		"tooth has one enamel row":    {"CONTENT-VALUE", ".teeth[0]", func(b *evidence.Base) { b.Enamel[1].Teeth[0] = b.Enamel[0].Teeth[0] }},
		"enamel thirds":               {"CONTENT-MISSING", ".middle", func(b *evidence.Base) { b.Enamel[0].Middle = "" }},
		"a shown tooth has its risk":  {"CONTENT-MISSING", "show_risk", func(b *evidence.Base) { b.ShowRisk = "no-such-risk" }},
		"more is more than something": {"CONTENT-VALUE", "tabs[0].more_needed", func(b *evidence.Base) { b.Tabs[0].HiddenBy, b.Tabs[0].MoreNeeded = nil, true }},
		"tabs have an origin":         {"CONTENT-MISSING", "tab_origin", func(b *evidence.Base) { b.TabOrigin = "" }},
		"all tabs":                    {"CONTENT-MISSING", "tabs", func(b *evidence.Base) { b.Tabs = b.Tabs[1:] }},
		"tab is known":                {"CONTENT-VALUE", "tabs[0]", func(b *evidence.Base) { b.Tabs[0].Shade = "E1" }},
		"masking order":               {"CONTENT-ORDER", ".from", func(b *evidence.Base) { b.Masking[0], b.Masking[1] = b.Masking[1], b.Masking[0] }},
		"masking change":              {"CONTENT-KEY-UNKNOWN", ".changes[0]", func(b *evidence.Base) { b.Masking[0].Changes[0] = "nobody" }},
		"country code":                {"CONTENT-COUNTRY", "countries[0].codes[0]", func(b *evidence.Base) { b.Countries[0].Codes[0] = "UK" }},
		"country code once":           {"CONTENT-COUNTRY", "countries[1].codes[0]", func(b *evidence.Base) { b.Countries[1].Codes[0] = "DE" }},
		"country emergency number":    {"CONTENT-COUNTRY", "countries[0].emergency", func(b *evidence.Base) { b.Countries[0].Emergency = "call us" }},
		"country without number":      {"CONTENT-COUNTRY", "countries[0].emergency", func(b *evidence.Base) { b.Countries[0].Emergency = "" }},
		"no number for all the world": {"CONTENT-COUNTRY", ".emergency", func(b *evidence.Base) { b.Countries[len(b.Countries)-1].Emergency = "112" }},
		"a row for the rest":          {"CONTENT-COUNTRY", "countries", func(b *evidence.Base) { b.Countries = b.Countries[:len(b.Countries)-1] }},
		"country paste":               {"CONTENT-KEY-UNKNOWN", "countries[0].paste", func(b *evidence.Base) { b.Countries[0].Paste = "spit-no-rinse" }},
		"a line by country has one":   {"CONTENT-UNUSED", "lines[", func(b *evidence.Base) { b.Countries[0].Paste = "fluoride-paste-any" }},
		"one number in a sign":        {"CONTENT-WARNING", ".figures", func(b *evidence.Base) { b.Warnings[0].Figures = []string{"tooth-rinse", "cloth-minutes"} }},
		"a broken thing cannot wait": {"CONTENT-WARNING", ".urgency", func(b *evidence.Base) {
			at(t, b.Warnings, func(w evidence.Warning) bool { return w.Key == "gum-bleeding" }).Key = "broken-guard"
		}},
		"what can be taken out has its own time": {"CONTENT-WARNING", ".urgency", func(b *evidence.Base) {
			at(t, b.Warnings, func(w evidence.Warning) bool { return w.Key == "guard-broken-or-loose" }).Within = "within-two-weeks"
		}},
		"a sign has its time": {"CONTENT-WARNING", ".within", func(b *evidence.Base) {
			at(t, b.Warnings, func(w evidence.Warning) bool { return w.Key == "jaw-pain" }).Within = ""
		}},
		"the times of an urgency are of one unit": {"CONTENT-UNIT-WRONG", ".within", func(b *evidence.Base) {
			at(t, b.Warnings, func(w evidence.Warning) bool { return w.Key == "jaw-pain" }).Within = "within-week"
		}},
		"effect material":                   {"CONTENT-KEY-UNKNOWN", ".materials[0]", func(b *evidence.Base) { find(b, "metal-allergy").Effects[0].Materials[0] = "gold" }},
		"effect by material first":          {"CONTENT-EFFECT", ".materials", func(b *evidence.Base) { e := find(b, "metal-allergy").Effects; e[0], e[1] = e[1], e[0] }},
		"effect by material names routes":   {"CONTENT-EFFECT", ".materials", func(b *evidence.Base) { find(b, "metal-allergy").Effects[0].Routes = nil }},
		"cohort id form":                    {"CONTENT-ID", "cohorts[0].id", func(b *evidence.Base) { b.Cohorts[0].ID = "LW12" }},
		"cohort id once":                    {"CONTENT-ID-TWICE", "cohorts[1].id", func(b *evidence.Base) { b.Cohorts[1].ID = b.Cohorts[0].ID }},
		"cohort source":                     {"CONTENT-SOURCE-UNKNOWN", "cohorts[0].source", func(b *evidence.Base) { b.Cohorts[0].Source = "nobody" }},
		"cohort endpoint":                   {"CONTENT-VALUE", "cohorts[0].endpoint", func(b *evidence.Base) { b.Cohorts[0].Endpoint = "smile" }},
		"cohort survival over 0":            {"CONTENT-COHORT", "cohorts[0].survival", func(b *evidence.Base) { b.Cohorts[0].Survival = 0 }},
		"cohort survival to 1":              {"CONTENT-COHORT", "cohorts[0].survival", func(b *evidence.Base) { b.Cohorts[0].Survival = 96 }},
		"cohort survival is a number":       {"CONTENT-COHORT", "cohorts[0].survival", func(b *evidence.Base) { b.Cohorts[0].Survival = math.NaN() }},
		"cohort years":                      {"CONTENT-COHORT", "cohorts[0].years", func(b *evidence.Base) { b.Cohorts[0].Years = 0 }},
		"cohort years in a life":            {"CONTENT-COHORT", "cohorts[0].years", func(b *evidence.Base) { b.Cohorts[0].Years = 120 }},
		"no failure, none lost":             {"CONTENT-COHORT", ".failed", func(b *evidence.Base) { cohort(b, "smi22-no-minimal").Survival = 0.99 }},
		"failures, some lost":               {"CONTENT-COHORT", ".failed", func(b *evidence.Base) { cohort(b, "lw12").Failed = 0 }},
		"no more failures than there are":   {"CONTENT-COHORT", ".failed", func(b *evidence.Base) { cohort(b, "lw12").Failed = 500 }},
		"failures are counted":              {"CONTENT-COHORT", ".failed", func(b *evidence.Base) { cohort(b, "lw12").Failed = -1 }},
		"a cohort has restorations":         {"CONTENT-COHORT", ".restorations", func(b *evidence.Base) { cohort(b, "lw12").Restorations = 0 }},
		"no more people than teeth":         {"CONTENT-COHORT", ".people", func(b *evidence.Base) { cohort(b, "lw12").People = 500 }},
		"a cohort has people":               {"CONTENT-COHORT", ".people", func(b *evidence.Base) { cohort(b, "lw12").People = 0 }},
		"implied is a count":                {"CONTENT-VALUE", ".implied[0]", func(b *evidence.Base) { cohort(b, "smi801").Implied[0] = "survival" }},
		"memory is a count":                 {"CONTENT-VALUE", ".memory[0]", func(b *evidence.Base) { cohort(b, "asl19").Memory[0] = "all" }},
		"implied or memory":                 {"CONTENT-COHORT", ".memory[0]", func(b *evidence.Base) { cohort(b, "asl19").Implied = []string{"people"} }},
		"implied has a note":                {"CONTENT-MISSING", ".note", func(b *evidence.Base) { cohort(b, "smi801").Note = "" }},
		"cohort is pooled":                  {"CONTENT-UNUSED", "cohorts[", func(b *evidence.Base) { p := pooled(b, "DC-V"); p.Cohorts = p.Cohorts[1:] }},
		"pool id form":                      {"CONTENT-ID", "pools[0].id", func(b *evidence.Base) { b.Pools[0].ID = "ce-1" }},
		"pool id once":                      {"CONTENT-ID-TWICE", "pools[1].id", func(b *evidence.Base) { b.Pools[1].ID = b.Pools[0].ID }},
		"pool endpoint":                     {"CONTENT-VALUE", "pools[0].endpoint", func(b *evidence.Base) { b.Pools[0].Endpoint = "smile" }},
		"pool setting":                      {"CONTENT-VALUE", "pools[0].setting", func(b *evidence.Base) { b.Pools[0].Setting = "" }},
		"pool method":                       {"CONTENT-VALUE", "pools[0].method", func(b *evidence.Base) { b.Pools[0].Method = "mean" }},
		"pool reason":                       {"CONTENT-MISSING", "pools[0].reason", func(b *evidence.Base) { b.Pools[0].Reason = " " }},
		"pool years":                        {"CONTENT-MISSING", "pools[0].years", func(b *evidence.Base) { b.Pools[0].Years = "" }},
		"pool years are years":              {"CONTENT-UNIT-WRONG", "pools[0].years", func(b *evidence.Base) { b.Pools[0].Years = "gum-wait" }},
		"pool has limits":                   {"CONTENT-MISSING", "pools[0].limits", func(b *evidence.Base) { b.Pools[0].Limits = nil }},
		"limit after the point":             {"CONTENT-POOL", "pools[0].limits[0].years", func(b *evidence.Base) { b.Pools[0].Limits[0].Years = "anchor-5y" }},
		"limit has materials":               {"CONTENT-MISSING", "pools[0].limits[1].materials", func(b *evidence.Base) { b.Pools[0].Limits[1].Materials = nil }},
		"limit material":                    {"CONTENT-KEY-UNKNOWN", "pools[0].limits[0].materials[0]", func(b *evidence.Base) { b.Pools[0].Limits[0].Materials[0] = "gold" }},
		"one limit a material":              {"CONTENT-POOL", "pools[0].limits[1].materials[0]", func(b *evidence.Base) { b.Pools[0].Limits[1].Materials[0] = "feldspathic" }},
		"cohort of a pool":                  {"CONTENT-KEY-UNKNOWN", "pools[0].cohorts[0]", func(b *evidence.Base) { b.Pools[0].Cohorts[0] = "nobody" }},
		"cohort once in a pool":             {"CONTENT-POOL", "pools[0].cohorts[1]", func(b *evidence.Base) { b.Pools[0].Cohorts[1] = b.Pools[0].Cohorts[0] }},
		"cohort of the pool's endpoint":     {"CONTENT-POOL", "pools[0].cohorts[0]", func(b *evidence.Base) { b.Pools[0].Cohorts[0] = "peu04" }},
		"no failure needs events":           {"CONTENT-POOL", ".cohorts[1]", func(b *evidence.Base) { pooled(b, "NM-1").Method = "pool" }},
		"interval has a figure":             {"CONTENT-POOL", ".method", func(b *evidence.Base) { pooled(b, "CR-M").Published = "" }},
		"interval has no cohorts":           {"CONTENT-POOL", ".method", func(b *evidence.Base) { pooled(b, "CR-M").Cohorts = []string{"lw12"} }},
		"low only is of an interval":        {"CONTENT-POOL", ".method", func(b *evidence.Base) { pooled(b, "NM-1").LowOnly = true }},
		"published is a fraction":           {"CONTENT-UNIT-WRONG", ".published", func(b *evidence.Base) { pooled(b, "CR-M").Published = "gum-wait" }},
		"published has an interval":         {"CONTENT-POOL", ".published", func(b *evidence.Base) { pooled(b, "CR-M").Published = "ale21-10y" }},
		"floor exists":                      {"CONTENT-KEY-UNKNOWN", ".floor", func(b *evidence.Base) { pooled(b, "NM-1").Floor = "XX" }},
		"floor has none":                    {"CONTENT-POOL", ".floor", func(b *evidence.Base) { pooled(b, "NM-1").Floor = "DC-V" }},
		"one pool has no floor":             {"CONTENT-POOL", ".floor", func(b *evidence.Base) { pooled(b, "NM-1").Floor = "" }},
		"the floor is of several cohorts":   {"CONTENT-POOL", "pools[0].floor", func(b *evidence.Base) { b.Pools[0].Cohorts = b.Pools[0].Cohorts[:1] }},
		"pool figure":                       {"CONTENT-MISSING", "pools[0].figure", func(b *evidence.Base) { b.Pools[0].Figure = "" }},
		"pool is worked out":                {"CONTENT-POOL", "pools[0]", func(b *evidence.Base) { b.Pools[0].Computed = nil }},
		"likely is as computed":             {"CONTENT-POOL", ".figure", func(b *evidence.Base) { fig(b, "pooled-nm-1").Value = 0.982 }},
		"low is as computed":                {"CONTENT-POOL", ".figure", func(b *evidence.Base) { fig(b, "pooled-ce-1").Low = 0.828 }},
		"high is as computed":               {"CONTENT-POOL", ".figure", func(b *evidence.Base) { fig(b, "pooled-if-v").High = 0.85 }},
		"computed moves with the figure":    {"CONTENT-POOL", ".figure", func(b *evidence.Base) { pooled(b, "DC-V").Computed.U += 0.1 }},
		"computed says so":                  {"CONTENT-POOL", ".figure", func(b *evidence.Base) { fig(b, "pooled-ce-1").Seen = "verified" }},
		"a pool cites all its sources":      {"CONTENT-POOL", ".figure", func(b *evidence.Base) { f := fig(b, "pooled-ce-1"); f.Source = f.Source[1:] }},
		"spread agrees with the range":      {"CONTENT-SPREAD", ".spread", func(b *evidence.Base) { fig(b, "multiplier-grinding").Spread = 0.5 }},
		"spread is over 0":                  {"CONTENT-SPREAD", ".spread", func(b *evidence.Base) { fig(b, "multiplier-grinding").Spread = -0.46 }},
		"spread is of a ratio":              {"CONTENT-SPREAD", ".spread", func(b *evidence.Base) { fig(b, "ale21-10y").Spread = 0.1 }},
		"multiplier is over 1":              {"CONTENT-MODIFIER", "modifiers[0]", func(b *evidence.Base) { fig(b, b.Modifiers[0].Multiplier).Value = 1 }},
		"multiplier's range without spread": {"CONTENT-MODIFIER", "modifiers[0]", func(b *evidence.Base) { fig(b, b.Modifiers[0].Multiplier).Spread = 0 }},
		"multiplier route":                  {"CONTENT-ROUTE-UNKNOWN", "modifiers[0].routes[0]", func(b *evidence.Base) { b.Modifiers[0].Routes = []casefile.Route{"magic"} }},
		"multiplier material":               {"CONTENT-KEY-UNKNOWN", "modifiers[0].materials[0]", func(b *evidence.Base) { b.Modifiers[0].Materials = []casefile.Material{"gold"} }},
		"words are told everywhere": {"CONTENT-MODIFIER", "modifiers[", func(b *evidence.Base) {
			at(t, b.Modifiers, func(m evidence.Modifier) bool { return m.ID == "smoking" }).Routes = []casefile.Route{"crown"}
		}},
		"anchor's pool exists":                {"CONTENT-KEY-UNKNOWN", ".pool", func(b *evidence.Base) { anchor(b, "CE-1").Pool = "XX" }},
		"anchor's pool endpoint":              {"CONTENT-ANCHOR", ".pool", func(b *evidence.Base) { anchor(b, "CE-1").Pool = "IF-V" }},
		"anchor's pool material":              {"CONTENT-ANCHOR", ".materials[0]", func(b *evidence.Base) { anchor(b, "CR-M").Pool = "CE-1" }},
		"anchor with a pool has materials":    {"CONTENT-MISSING", ".materials", func(b *evidence.Base) { anchor(b, "CE-1").Materials = nil }},
		"drilled teeth say nothing of others": {"CONTENT-ANCHOR", ".routes[0]", func(b *evidence.Base) { anchor(b, "NM-1").Pool = "CE-1" }},
		"composite says nothing of crowns":    {"CONTENT-ANCHOR", ".routes[0]", func(b *evidence.Base) { anchor(b, "DC-V").Routes[0] = "crown" }},
		"what a cohort followed is listed":    {"CONTENT-VALUE", "cohorts[0].studied", func(b *evidence.Base) { b.Cohorts[0].Studied = "teeth" }},
		"anchor with a pool has studies":      {"CONTENT-MISSING", ".studies", func(b *evidence.Base) { anchor(b, "CE-1").Studies = nil }},
		"unknown has no pool":                 {"CONTENT-ANCHOR", "anchors[", func(b *evidence.Base) { anchor(b, "ZR").Pool = "CE-1" }},
		"clustering leaves 0 and 1 out":       {"CONTENT-RANGE", "settings.clustering", func(b *evidence.Base) { fig(b, "clustering-one-mouth").Low = 0 }},
		"anchor id form":                      {"CONTENT-ID", "anchors[0].id", func(b *evidence.Base) { b.Anchors[0].ID = "dc one" }},
		"anchor endpoint":                     {"CONTENT-VALUE", ".endpoint", func(b *evidence.Base) { anchor(b, "DC-V").Endpoint = "smile" }},
		"anchor dentin":                       {"CONTENT-VALUE", ".dentin", func(b *evidence.Base) { anchor(b, "CD-S").Dentin = "wet" }},
		"anchor material":                     {"CONTENT-KEY-UNKNOWN", ".materials[0]", func(b *evidence.Base) { anchor(b, "DC-V").Materials[0] = "gold" }},
		"anchor reason":                       {"CONTENT-MISSING", ".reason", func(b *evidence.Base) { anchor(b, "DC-V").Reason = "" }},
		"anchors do not overlap":              {"CONTENT-ANCHOR-OVERLAP", "anchors[", func(b *evidence.Base) { a := *anchor(b, "CE-1"); a.ID = "CE-X"; b.Anchors = append(b.Anchors, a) }},
		"every restoration has an anchor":     {"CONTENT-NOT-TOTAL", ".materials", func(b *evidence.Base) { anchor(b, "CR-G").Routes[0] = "none" }},
		"setting is there":                    {"CONTENT-SETTING", "settings.clustering", func(b *evidence.Base) { delete(b.Settings, "clustering") }},
		"setting has a figure":                {"CONTENT-FIGURE-UNKNOWN", "settings.icc", func(b *evidence.Base) { b.Settings["icc"] = "nobody" }},
		"appliance is asked for": {"CONTENT-UNUSED", "findings", func(b *evidence.Base) {
			find(b, "contact-sports").Effects[0].Appliances = nil
		}},
		"reference has a reason":  {"CONTENT-MISSING", "references[0].reason", func(b *evidence.Base) { b.References[0].Reason = "" }},
		"reference figure exists": {"CONTENT-FIGURE-UNKNOWN", "references[0].figures[0]", func(b *evidence.Base) { b.References[0].Figures[0] = "nobody" }},
		"reference is not used":   {"CONTENT-REFERENCE", "references[0].figures[0]", func(b *evidence.Base) { b.References[0].Figures[0] = "gum-wait" }},
		"reference source is not used": {"CONTENT-REFERENCE", ".sources[0]", func(b *evidence.Base) {
			b.References = append(b.References, evidence.Reference{Sources: []string{"ale21"}, Reason: "x"})
		}},
		"reference source exists": {"CONTENT-SOURCE-UNKNOWN", ".sources[0]", func(b *evidence.Base) {
			b.References = append(b.References, evidence.Reference{Sources: []string{"nobody"}, Reason: "x"})
		}},
	} {
		t.Run(name, func(t *testing.T) {
			b := fresh(t)
			c.damage(b)
			faults := Check(b)
			for _, f := range faults {
				if f.Code == c.code && strings.Contains(f.Path, c.path) {
					return
				}
			}
			t.Errorf("no %s at %s, only\n%s", c.code, c.path, faults.Lines())
		})
	}
}

// Two faults in one pass: the first does not hide the second.
func TestCheckCollects(t *testing.T) {
	b := fresh(t)
	b.Figures[0].Unit = "moons"
	b.Sources[0].Design = "rumor"
	b.Warnings[0].Urgency = "whenever"
	if n := len(Check(b)); n < 3 {
		t.Errorf("%d faults, want 3 or more", n)
	}
}

func TestLoadIsStrict(t *testing.T) {
	for name, data := range map[string]string{
		"unknown key":    `{"figures":[{"id":"a","colour":1}]}`,
		"something more": string(compiled) + "{}",
		"cut":            string(compiled[:len(compiled)/2]),
		"empty":          "",
	} {
		if _, faults := decode([]byte(data)); !faults.Has("CONTENT-DECODE") {
			t.Errorf("%s: no fault", name)
		}
	}
}

// The studies of a pool go on for as long as the material says.
func TestPoolLimits(t *testing.T) {
	b := MustLoad()
	p := b.Pool("CE-1")
	if p.Limit("feldspathic") != "anchor-20y" || p.Limit("leucite-reinforced") != "anchor-15y" || p.Limit("zirconia") != "" {
		t.Errorf("limits %v", p.Limits)
	}
}

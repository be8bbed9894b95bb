package content

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
	"plainleaf/app/fault"
)

// Rules lists the plan's rules that settings must name a figure for.
func Rules() []string {
	return []string{"thinking-time", "estimate-valid", "sitting-cap", "sitting-gap", "clustering", "shape-spread",
		"rounding", "too-wide", "horizon-1", "horizon-2", "horizon-3", "recall-min", "recall-max-under-18", "recall-max-adult", "cement-film",
		"upkeep-years", "whitening-wait", "whitening-shade-wait", "extra-visit-minutes", "guard-fit-gap", "guard-longest",
		"sitting-stretch", "covers-longest", "covers-with-check", "covers-check-minutes",
		"pair-years", "pair-composite-in-place", "pair-ceramic-in-place", "pair-composite-nothing-needed", "pair-ceramic-nothing-needed"}
}

// Appliances lists the appliances a plan can ask for.
func Appliances() []string { return []string{"night-guard", "mouthguard", "retainer", "sleep-device"} }

var (
	kebab   = regexp.MustCompile(`^[a-z0-9]+(-[a-z0-9]+)*$`)
	anchors = regexp.MustCompile(`^[A-Z]{2}(-[A-Z]{1,2})?(-[0-9])?$`)
	bands   = []string{"child", "adolescent", "adult", "older-adult"}
	span    = []evidence.Unit{"days", "working-days", "weeks", "months", "years"}
	minutes = []evidence.Unit{"minutes"}
	counts  = []evidence.Unit{"visits", "sessions", "sittings", "count"}
	length  = []evidence.Unit{"mm", "mm-per-surface"}
	share   = []evidence.Unit{"fraction"}
)

// Check reports everything wrong with the data, in one pass. Paths name rows of
// the base, such as figures[12].source.
func Check(b *evidence.Base) fault.List {
	c := &check{b: b, figures: map[string]*evidence.Figure{}, used: map[string]bool{}, sources: map[string]bool{}, sourceUsed: map[string]bool{}}
	c.dates()
	c.source()
	c.figure()
	c.care()
	c.finding()
	c.change()
	c.route()
	c.material()
	c.risk()
	c.modifier()
	c.upkeep()
	c.line()
	c.warning()
	c.country()
	c.priority()
	c.enamel()
	c.tab()
	c.masking()
	c.cohort()
	c.pool()
	c.anchor()
	c.links()
	c.setting()
	c.reference()
	return c.out
}

type check struct {
	b                   *evidence.Base
	out                 fault.List
	figures             map[string]*evidence.Figure
	used                map[string]bool // figure ids some rule rests on
	sources, sourceUsed map[string]bool
}

func (c *check) add(code, path, format string, a ...any) { c.out.Add(code, path, format, a...) }

// ids reports ids that are badly written or used twice; it returns them all.
func ids[T any](c *check, list string, rows []T, id func(T) string, form *regexp.Regexp) map[string]bool {
	seen := map[string]bool{}
	name := "key"
	switch list {
	case "sources", "figures", "cohorts", "pools", "anchors", "modifiers":
		name = "id"
	}
	for i, r := range rows {
		path := fmt.Sprintf("%s[%d].%s", list, i, name)
		k := id(r)
		if !form.MatchString(k) {
			c.add("CONTENT-ID", path, "%q is not written in lower case words joined by hyphens", k)
		}
		if seen[k] {
			c.add("CONTENT-ID-TWICE", path, "%q is used twice", k)
		}
		seen[k] = true
	}
	return seen
}

// ref notes that a rule rests on figure id and checks that it has one of the units.
func (c *check) ref(path, id string, units ...evidence.Unit) *evidence.Figure {
	if id == "" {
		return nil
	}
	c.used[id] = true
	f := c.figures[id]
	if f == nil {
		c.add("CONTENT-FIGURE-UNKNOWN", path, "there is no figure %q", id)
		return nil
	}
	if len(units) > 0 && !slices.Contains(units, f.Unit) {
		c.add("CONTENT-UNIT-WRONG", path, "figure %q is in %s, the rule needs %v", id, f.Unit, units)
	}
	return f
}

// must is ref for a field that may not be empty.
func (c *check) must(path, id string, units ...evidence.Unit) {
	if id == "" {
		c.add("CONTENT-MISSING", path, "a figure is needed here")
	}
	c.ref(path, id, units...)
}

// refs is ref for figures that words may name: none of them is from memory.
func (c *check) refs(path string, list []string) {
	for i, id := range list {
		at := fmt.Sprintf("%s[%d]", path, i)
		if f := c.ref(at, id); f != nil && f.Seen == evidence.Memory {
			c.add("CONTENT-MEMORY", at, "figure %q is from memory and may not be named to a patient", id)
		}
	}
}

// one reports a value that is not in a closed list.
func (c *check) one(path, v string, allowed ...string) {
	if !slices.Contains(allowed, v) {
		c.add("CONTENT-VALUE", path, "%q is not one of %s", v, strings.Join(allowed, ", "))
	}
}

func (c *check) word(path, v string) {
	if !kebab.MatchString(v) {
		c.add("CONTENT-WORD", path, "%q is not a key; sentences for patients belong in the wordings", v)
	}
}

func (c *check) routesIn(path string, list []casefile.Route) {
	for i, r := range list {
		if !slices.Contains(casefile.Routes(), r) {
			c.add("CONTENT-ROUTE-UNKNOWN", fmt.Sprintf("%s[%d]", path, i), "there is no route %q", r)
		}
		if slices.Contains(list[:i], r) {
			c.add("CONTENT-VALUE", fmt.Sprintf("%s[%d]", path, i), "route %q stands twice", r)
		}
	}
}

func (c *check) known(path, what string, list []string, keys map[string]bool) {
	for i, k := range list {
		if !keys[k] {
			c.add("CONTENT-KEY-UNKNOWN", fmt.Sprintf("%s[%d]", path, i), "there is no %s %q", what, k)
		}
	}
}

func (c *check) date(path, v string) {
	if _, err := casefile.ParseDate(v); err != nil {
		c.add("CONTENT-DATE", path, "%v", err)
	}
}

// answers checks what a route says in the table of options.
func (c *check) answers(p string, r evidence.RouteRule) {
	for name, key := range map[string]string{"gives": r.Gives, "takes": r.Takes, "lasts": r.Lasts, "downside": r.Downside, "living": r.Living} {
		if !kebab.MatchString(key) {
			c.add("CONTENT-MISSING", p+"."+name, "%q is not a key: each option has a sentence of its own or shares one", key)
		}
	}
	if r.DownsideRisk != "" && !slices.Contains(r.Risks, r.DownsideRisk) {
		c.add("CONTENT-ROUTE", p+".downside_risk", "%q is not a risk of this route", r.DownsideRisk)
	}
}

func (c *check) dates() {
	c.date("version", c.b.Version)
	c.date("reviewed", c.b.Reviewed)
	c.date("next_review", c.b.NextReview)
	if c.b.NextReview <= c.b.Reviewed {
		c.add("CONTENT-DATE", "next_review", "the next review is not after the last")
	}
}

func (c *check) source() {
	c.sources = ids(c, "sources", c.b.Sources, func(s evidence.Source) string { return s.ID }, kebab)
	for i, s := range c.b.Sources {
		p := fmt.Sprintf("sources[%d]", i)
		if strings.TrimSpace(s.Citation) == "" {
			c.add("CONTENT-MISSING", p+".citation", "a source needs its citation")
		}
		c.citation(p, s)
		c.short(p, s)
		c.one(p+".design", s.Design, "systematic-review", "trial", "cohort", "case-series", "laboratory", "guideline", "law", "text", "standard")
		c.one(p+".read", s.Read, "abstract", "opening", "excerpt", "record", "data")
		c.date(p+".checked", s.Checked)
		if s.DOI != "" && !strings.HasPrefix(s.DOI, "10.") {
			c.add("CONTENT-VALUE", p+".doi", "%q is not a DOI", s.DOI)
		}
	}
}

// citation checks that a citation can be printed: whose and of which year it is, or
// that the record does not show it, and nothing that is a note of ours.
func (c *check) citation(p string, s evidence.Source) {
	low := strings.ToLower(s.Citation)
	if strings.Contains(low, "from memory") {
		c.add("CONTENT-CITATION", p+".citation", "what was not seen is not cited: leave that part out")
	}
	if strings.ContainsAny(s.Citation, "[]") {
		c.add("CONTENT-CITATION", p+".citation", "a note of ours belongs in read or in the note of the figure")
	}
	switch {
	case s.Authors == "" && !strings.Contains(low, "authors not shown"):
		c.add("CONTENT-CITATION", p+".authors", "name the authors, or write \"authors not shown\" in the citation")
	case !strings.HasPrefix(s.Citation, s.Authors):
		c.add("CONTENT-CITATION", p+".authors", "the citation does not begin with them")
	}
	switch {
	case s.Year == 0 && !strings.Contains(low, "year not shown"):
		c.add("CONTENT-CITATION", p+".year", "give the year, or write \"year not shown\" in the citation")
	case s.Year != 0 && !strings.Contains(s.Citation, strconv.Itoa(s.Year)):
		c.add("CONTENT-CITATION", p+".year", "the citation does not have it")
	}
}

// short checks a citation as paper prints it: clean, on one line, of the same year.
func (c *check) short(p string, s evidence.Source) {
	low := strings.ToLower(s.Short)
	switch {
	case strings.TrimSpace(s.Short) == "":
		c.add("CONTENT-MISSING", p+".short", "a source needs a short citation for paper")
	case len(s.Short) > 100:
		c.add("CONTENT-CITATION", p+".short", "shorten it to 100 letters")
	case strings.Contains(low, "not shown") || strings.Contains(low, "from memory") || strings.ContainsAny(low, "[]"):
		c.add("CONTENT-CITATION", p+".short", "a note of ours is not part of it")
	case s.Year != 0 && !strings.Contains(s.Short, strconv.Itoa(s.Year)):
		c.add("CONTENT-CITATION", p+".short", "the year is missing")
	}
}

func (c *check) figure() {
	ids(c, "figures", c.b.Figures, func(f evidence.Figure) string { return f.ID }, kebab)
	for i := range c.b.Figures {
		f := &c.b.Figures[i]
		c.figures[f.ID] = f
		p := fmt.Sprintf("figures[%d]", i)
		c.one(p+".topic", f.Topic, evidence.Topics()...)
		if !slices.Contains(evidence.Units(), f.Unit) {
			c.add("CONTENT-UNIT", p+".unit", "%q is not a listed unit", f.Unit)
		}
		c.inRange(p, f)
		c.spread(p, f)
		c.counts(p, f)
		c.one(p+".certainty", string(f.Certainty), "high", "moderate", "low", "very-low", "practice")
		c.one(p+".seen", string(f.Seen), "verified", "secondary", "computed", "memory", "practice")
		c.date(p+".reviewed", f.Reviewed)
		for j, s := range f.Source {
			c.sourceUsed[s] = true
			if !c.sources[s] {
				c.add("CONTENT-SOURCE-UNKNOWN", fmt.Sprintf("%s.source[%d]", p, j), "there is no source %q", s)
			}
		}
		c.provenance(p, f)
	}
}

// inRange checks the numbers of a figure.
func (c *check) inRange(p string, f *evidence.Figure) {
	for _, v := range []float64{f.Low, f.Value, f.High} {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			c.add("CONTENT-RANGE", p, "a number is needed")
		}
	}
	if f.Low > f.Value || f.Value > f.High {
		c.add("CONTENT-RANGE", p, "low %v, value %v and high %v are not in order", f.Low, f.Value, f.High)
	}
	if f.Unit == "fraction" && (f.Low < 0 || f.High > 1) {
		c.add("CONTENT-RANGE", p, "a fraction lies between 0 and 1")
	}
	if f.Unit == "percent" && (f.Low < 0 || f.High > 100) {
		c.add("CONTENT-RANGE", p, "a percentage lies between 0 and 100; a rise has a unit of its own")
	}
}

// provenance checks that where a figure is from, its certainty and its source agree.
func (c *check) provenance(p string, f *evidence.Figure) {
	practice := f.Seen == evidence.PracticeHabit
	if practice != (f.Certainty == evidence.Practice) {
		c.add("CONTENT-SEEN", p+".certainty", "seen %q and certainty %q do not go together", f.Seen, f.Certainty)
	}
	switch f.Seen {
	case evidence.Memory, evidence.PracticeHabit:
		if len(f.Source) > 0 || f.Where != "" {
			c.add("CONTENT-SEEN", p+".source", "a figure from memory or habit has no source; say in the note what supports it")
		}
		if f.Seen == evidence.Memory && f.Certainty != evidence.VeryLow {
			c.add("CONTENT-SEEN", p+".certainty", "a figure from memory is of very low certainty")
		}
	default:
		if len(f.Source) == 0 {
			c.add("CONTENT-SOURCE-MISSING", p+".source", "a figure that may be cited needs a source")
		}
		if strings.TrimSpace(f.Where) == "" {
			c.add("CONTENT-SOURCE-MISSING", p+".where", "a figure that may be cited needs the place in the source")
		}
	}
}

// counts checks that the counts behind a share give it.
func (c *check) counts(p string, f *evidence.Figure) {
	if f.Studied != "" {
		if _, ok := evidence.Studied()[f.Studied]; !ok {
			c.add("CONTENT-VALUE", p+".studied", "%q is not something a study may have followed", f.Studied)
		}
	}
	if f.Events < 0 || f.People < 0 || f.OverYears < 0 || f.Of < f.Events || f.Of == 0 && f.People > 0 {
		c.add("CONTENT-RANGE", p+".events", "%d of %d, in %d people over %d years, cannot be", f.Events, f.Of, f.People, f.OverYears)
		return
	}
	if f.Of > 0 && f.Unit == "percent" && math.Abs(100*float64(f.Events)/float64(f.Of)-f.Value) > 0.06 {
		c.add("CONTENT-RANGE", p+".events", "%d of %d is not %v percent", f.Events, f.Of, f.Value)
	}
}

// rate checks one rate of a risk: a figure with a source, told only for what its
// study followed.
func (c *check) rate(p string, x evidence.Rate) {
	c.must(p+".figure", x.Figure, "percent")
	c.routesIn(p+".routes", x.Routes)
	c.known(p+".cares", "care", x.Cares, c.cares())
	c.one(p+".unit", x.Unit, "teeth", "veneers", "people")
	c.word(p+".words", x.Words)
	for j, m := range x.Materials {
		if !slices.ContainsFunc(c.b.Materials, func(r evidence.MaterialRule) bool { return r.Key == m }) {
			c.add("CONTENT-KEY-UNKNOWN", fmt.Sprintf("%s.materials[%d]", p, j), "there is no material %q", m)
		}
	}
	if len(x.Routes)+len(x.Cares) == 0 {
		c.add("CONTENT-MISSING", p+".routes", "at least one route or care")
	}
	f := c.figures[x.Figure]
	if f == nil {
		return
	}
	switch few, counts := strings.HasPrefix(x.Words, "few-"), slices.Contains([]string{"remade", "none-lost", "inside-injured"}, x.Words); {
	case counts && f.Of == 0, (x.Words == "none-lost") != (f.Value == 0):
		c.add("CONTENT-RATE", p+".words", "words %q do not go with figure %q: none-lost is for none of so many, remade and inside-injured for so many of so many", x.Words, f.ID)
	case !counts && few != (f.Value < 1):
		c.add("CONTENT-RATE", p+".words", "words that begin with few- are for less than 1 percent, and only for that")
	}
	if !f.Citable() {
		c.add("CONTENT-RATE", p+".figure", "how often is told only from a study that was seen")
	}
	for j, r := range x.Routes {
		if !slices.Contains(evidence.Studied()[f.Studied], r) {
			c.add("CONTENT-RATE", fmt.Sprintf("%s.routes[%d]", p, j), "figure %q is of %q and says nothing about route %q", f.ID, f.Studied, r)
		}
	}
	for j, k := range x.Cares {
		if !slices.Contains(evidence.StudiedCares()[f.Studied], k) {
			c.add("CONTENT-RATE", fmt.Sprintf("%s.cares[%d]", p, j), "figure %q is of %q and says nothing about care %q", f.ID, f.Studied, k)
		}
	}
}

func (c *check) finding() {
	b := c.b
	keys := ids(c, "findings", b.Findings, func(f evidence.Finding) string { return f.Key }, kebab)
	changes, lines, risks, mods := map[string]bool{}, map[string]bool{}, map[string]bool{}, map[string]bool{}
	for _, x := range b.Changes {
		changes[x.Key] = true
	}
	for _, x := range b.Lines {
		lines[x.Key] = true
	}
	for _, x := range b.Risks {
		risks[x.Key] = true
	}
	for _, x := range b.Modifiers {
		mods[x.ID] = true
	}
	for i, f := range b.Findings {
		p := fmt.Sprintf("findings[%d]", i)
		c.one(p+".group", f.Group, "bite", "position", "tooth", "gums", "health", "mind")
		c.one(p+".scope", f.Scope, "case", "tooth", "either")
		c.known(p+".excludes", "finding", f.Excludes, keys)
		for j, k := range f.Excludes {
			for _, g := range b.Findings {
				if g.Key == k && (k == f.Key || !slices.Contains(g.Excludes, f.Key)) {
					c.add("CONTENT-EXCLUDES", fmt.Sprintf("%s.excludes[%d]", p, j), "%q and %q must exclude each other", f.Key, k)
				}
			}
		}
		for j, a := range f.AgeBands {
			c.one(fmt.Sprintf("%s.age_bands[%d]", p, j), a, bands...)
		}
		if f.ByAge && (len(f.AgeBands) == 0 || f.Scope == "tooth" || f.Private) {
			c.add("CONTENT-VALUE", p+".by_age", "%q is true by age alone: it needs age_bands, is of the person and cannot be private", f.Key)
		}
		c.total(p, f)
		for j, e := range f.Effects {
			q := fmt.Sprintf("%s.effects[%d]", p, j)
			c.effect(q, f, e)
			c.known(q+".changes", "chair change", e.Changes, changes)
			c.known(q+".aftercare", "aftercare line", e.Aftercare, lines)
			c.known(q+".risks", "risk", e.Risks, risks)
			if e.Modifier != "" {
				c.known(q+".modifier", "modifier", []string{e.Modifier}, mods)
			}
		}
	}
}

// cares is the keys of all care that may come first.
func (c *check) cares() map[string]bool {
	out := map[string]bool{}
	for _, x := range c.b.Cares {
		out[x.Key] = true
	}
	return out
}

// care checks what may have to come first.
func (c *check) care() {
	ids(c, "cares", c.b.Cares, func(x evidence.Care) string { return x.Key }, kebab)
	risks, seen, visits := map[string]bool{}, map[string]bool{}, map[string]bool{}
	for _, r := range c.b.Risks {
		risks[r.Key] = true
	}
	for i, x := range c.b.Cares {
		p := fmt.Sprintf("cares[%d]", i)
		c.one(p+".kind", x.Kind, evidence.CareTest, evidence.CareTreatment, evidence.CareTalk)
		c.known(p+".after", "care listed earlier", x.After, seen)
		c.known(p+".may", "care", x.May, c.cares())
		c.known(p+".risks", "risk", x.Risks, risks)
		c.refs(p+".figures", x.Figures)
		c.ref(p+".until", x.Until, span...)
		if x.Becomes != "" {
			c.known(p+".becomes", "care", []string{x.Becomes}, c.cares())
		}
		if (x.Becomes == "") != (len(x.With) == 0) {
			c.add("CONTENT-CARE", p+".with", "becomes and with go together")
		}
		if x.Kind == evidence.CareTalk && len(x.Risks)+len(x.May) > 0 {
			c.add("CONTENT-CARE", p+".risks", "a talk has no risks and leads to nothing by itself")
		}
		seen[x.Key] = true
		for j, v := range x.Visits {
			q := fmt.Sprintf("%s.visits[%d]", p, j)
			if visits[v.Key] {
				c.add("CONTENT-ID-TWICE", q+".key", "%q is used twice", v.Key)
			}
			visits[v.Key] = true
			c.careVisit(q, j, v)
		}
	}
}

// careVisit checks visit j of a care, at path q.
func (c *check) careVisit(q string, j int, v evidence.VisitRule) {
	c.word(q+".key", v.Key)
	c.word(q+".purpose", v.Purpose)
	c.must(q+".minutes", v.Minutes, minutes...)
	c.ref(q+".repeat", v.Repeat, counts...)
	c.ref(q+".repeat_gap", v.RepeatGap, span...)
	c.ref(q+".gap", v.Gap, span...)
	c.ref(q+".after_first", v.AfterFirst, "days")
	if (v.Repeat == "") != (v.RepeatGap == "") {
		c.add("CONTENT-VISIT", q+".repeat_gap", "repeat and repeat_gap go together")
	}
	if (v.Gap == "") == (v.AfterFirst == "") || j == 0 && v.AfterFirst != "" {
		c.add("CONTENT-VISIT", q+".gap", "a visit has a gap after the one before, or a day counted from the first")
	}
	if v.Recheck && j == 0 {
		c.add("CONTENT-VISIT", q+".recheck", "there is nothing to look at again yet")
	}
	if v.MinutesPerTooth+v.GapWhy+v.RepeatWhy != "" || v.Split || v.Irreversible || v.Bonding || v.Records || v.LabByMaterial || v.Within || v.Then || v.Signs || v.Covers || v.WithNext {
		c.add("CONTENT-VISIT", q, "this is for the visits of a route only")
	}
}

// total checks that f says something, once, about every route.
func (c *check) total(p string, f evidence.Finding) {
	named, def := map[casefile.Route]int{}, -1
	for j, e := range f.Effects {
		if len(e.Routes) == 0 {
			if def >= 0 {
				c.add("CONTENT-EFFECT", fmt.Sprintf("%s.effects[%d]", p, j), "a second effect without routes")
			}
			def = j
		}
		if len(e.Materials) > 0 { // another speaks for the other materials
			if len(e.Routes) == 0 || slices.ContainsFunc(e.Routes, func(r casefile.Route) bool { return named[r] > 0 }) {
				c.add("CONTENT-EFFECT", fmt.Sprintf("%s.effects[%d].materials", p, j), "an effect for some materials names its routes and stands before the one for all")
			}
			continue
		}
		for _, r := range e.Routes {
			if len(e.AgeBands) > 0 { // for some ages only; the next is for the others
				continue
			}
			if named[r]++; named[r] == 2 {
				c.add("CONTENT-EFFECT", fmt.Sprintf("%s.effects[%d].routes", p, j), "route %q has an effect already", r)
			}
		}
	}
	if def >= 0 {
		return
	}
	for _, r := range casefile.Routes() {
		if named[r] == 0 {
			c.add("CONTENT-NOT-TOTAL", p+".effects", "finding %q says nothing about route %q", f.Key, r)
		}
	}
}

func (c *check) effect(q string, f evidence.Finding, e evidence.Effect) {
	c.routesIn(q+".routes", e.Routes)
	for j, m := range e.Materials {
		if !slices.ContainsFunc(c.b.Materials, func(r evidence.MaterialRule) bool { return r.Key == m }) {
			c.add("CONTENT-KEY-UNKNOWN", fmt.Sprintf("%s.materials[%d]", q, j), "there is no material %q", m)
		}
	}
	c.one(q+".level", string(e.Level), "none", "proceed", "first", "refer", "hold")
	reaches := len(e.Actions)+len(e.Appliances)+len(e.Changes)+len(e.Aftercare)+len(e.Risks)+len(e.Figures) > 0 || e.Modifier != ""
	if f.Private && (reaches || e.Recall != "" || len(e.First) > 0) {
		c.add("CONTENT-PRIVATE", q, "a private finding has a level only; anything else could reveal which one it is")
	}
	if e.Level == evidence.LevelNone && (reaches || e.Recall != "" || len(e.First) > 0) {
		c.add("CONTENT-EFFECT", q, "an effect of level none does nothing")
	}
	c.known(q+".first", "care", e.First, c.cares())
	c.ref(q+".recall", e.Recall, span...)
	c.refs(q+".figures", e.Figures)
	for j, a := range e.AgeBands {
		c.one(fmt.Sprintf("%s.age_bands[%d]", q, j), a, bands...)
	}
	for j, a := range e.Appliances {
		c.one(fmt.Sprintf("%s.appliances[%d]", q, j), a, Appliances()...)
	}
	for j, a := range e.Actions {
		c.word(fmt.Sprintf("%s.actions[%d]", q, j), a)
	}
}

func (c *check) change() {
	b := c.b
	ids(c, "changes", b.Changes, func(x evidence.Change) string { return x.Key }, kebab)
	findings := map[string]*evidence.Finding{}
	for i := range b.Findings {
		findings[b.Findings[i].Key] = &b.Findings[i]
	}
	for i, x := range b.Changes {
		p := fmt.Sprintf("changes[%d]", i)
		c.ref(p+".size", x.Size, length...)
		c.must(p+".minutes", x.Minutes, minutes...)
		c.ref(p+".visits", x.Visits, counts...)
		c.ref(p+".lab", x.Lab, "working-days")
		c.ref(p+".wait", x.Wait, span...)
		c.ref(p+".ask_anyway", x.AskAnyway, length...)
		c.refs(p+".figures", x.Figures)
		c.one(p+".removes", x.Removes, "enamel", "porcelain", "gum", "nothing")
		c.one(p+".numbing", x.Numbing, "no", "gel", "sometimes", "usual", "yes")
		c.one(p+".reversible", x.Reversible, "yes", "no", "partly")
		c.one(p+".over", x.Over, "all", "finding", "contacts", "opposing")
		c.one(p+".group", x.Group, evidence.GroupTooth, evidence.GroupVeneer, evidence.GroupTell)
		c.changeGroup(p, x)
		if size := c.figures[x.Size]; size != nil && x.PerSurface != (size.Unit == "mm-per-surface") {
			c.add("CONTENT-CHANGE", p+".per_surface", "per_surface and the unit of size differ")
		}
		if len(x.When) == 0 {
			c.add("CONTENT-MISSING", p+".when", "a chair change needs at least one row")
		}
		for j, w := range x.When {
			c.when(fmt.Sprintf("%s.when[%d]", p, j), x.Key, w, findings)
		}
	}
	c.changesHaveRows()
}

// changeGroup checks that what can be answered to a chair change goes with what it does.
func (c *check) changeGroup(p string, x evidence.Change) {
	takes := x.Removes == "enamel" || x.Removes == "gum"
	if takes && x.Reversible != "no" {
		c.add("CONTENT-CHANGE", p+".reversible", "neither enamel nor gum grows back")
	}
	if x.Told() && takes || !x.Told() && (x.Reversible != "yes") != (x.Group == evidence.GroupTooth) {
		c.add("CONTENT-CHANGE", p+".group", "what cannot be undone is of group tooth, and nothing else is")
	}
	permitted := [][]casefile.Answer{{casefile.Agree, casefile.Ask, casefile.No}, {casefile.Ask, casefile.No}}
	if x.Told() {
		permitted = [][]casefile.Answer{nil}
	}
	if !slices.ContainsFunc(permitted, func(l []casefile.Answer) bool { return slices.Equal(l, x.Answers) }) {
		c.add("CONTENT-CHANGE", p+".answers", "agree, ask and no, or ask and no; none where the patient is told")
	}
	if x.Told() && (x.AskAnyway != "" || x.TalkFirst || x.NewConsent || x.NoOf != "" || x.Alike != "") {
		c.add("CONTENT-CHANGE", p+".group", "nothing to decide, yet something is asked")
	}
	c.changeBeside(p, x)
}

// changeBeside checks the changes that a chair change names or goes with.
func (c *check) changeBeside(p string, x evidence.Change) {
	if x.NoOf != "" && !slices.ContainsFunc(c.b.Changes, func(o evidence.Change) bool { return halves(x, o) }) {
		c.add("CONTENT-KEY-UNKNOWN", p+".no_of", "%q is no other change that is answered tooth by tooth", x.NoOf)
	}
	if x.Alike != "" && !slices.ContainsFunc(c.b.Changes, func(o evidence.Change) bool {
		return o.Alike == x.Alike && o.Key != x.Key && o.Group == x.Group
	}) {
		c.add("CONTENT-CHANGE", p+".alike", "%q is alike with no other change of its group", x.Key)
	}
}

// halves reports whether o is the other half of x.
func halves(x, o evidence.Change) bool {
	return o.Key == x.NoOf && o.Key != x.Key && o.Permits(casefile.No) && !o.OfContacts() && !x.OfContacts()
}

// when checks one row of a chair change at path q.
func (c *check) when(q, change string, w evidence.When, findings map[string]*evidence.Finding) {
	c.routesIn(q+".routes", w.Routes)
	if len(w.Routes) == 0 {
		c.add("CONTENT-MISSING", q+".routes", "at least one route")
	}
	c.word(q+".trigger", w.Trigger)
	c.one(q+".often", w.Often, "usual", "common", "sometimes", "seldom", "rare")
	if l := c.ref(q+".likelihood", w.Likelihood, share...); l != nil && l.Seen != evidence.PracticeHabit {
		c.add("CONTENT-SEEN", q+".likelihood", "no study says how often; the figure must be a practice figure")
	}
	for k, key := range w.Findings {
		f := findings[key]
		at := fmt.Sprintf("%s.findings[%d]", q, k)
		switch {
		case f == nil:
			c.add("CONTENT-KEY-UNKNOWN", at, "there is no finding %q", key)
		case f.Private:
			c.add("CONTENT-PRIVATE", at, "%q is private and may not trigger a chair change", key)
		default:
			for _, r := range w.Routes {
				if !slices.Contains(f.On(r).Changes, change) {
					c.add("CONTENT-CHANGE", at, "finding %q does not name change %q on route %q", key, change, r)
				}
			}
		}
	}
}

// changesHaveRows checks that a change named by an effect has a row for its finding
// and route.
func (c *check) changesHaveRows() {
	for i, f := range c.b.Findings {
		for j, e := range f.Effects {
			for k, key := range e.Changes {
				for _, r := range covered(f, j) {
					if !slices.ContainsFunc(c.b.Changes, func(x evidence.Change) bool {
						return x.Key == key && slices.ContainsFunc(x.When, func(w evidence.When) bool {
							return slices.Contains(w.Routes, r) && slices.Contains(w.Findings, f.Key)
						})
					}) {
						c.add("CONTENT-CHANGE", fmt.Sprintf("findings[%d].effects[%d].changes[%d]", i, j, k), "change %q has no row for %q on route %q", key, f.Key, r)
					}
				}
			}
		}
	}
}

// covered is the routes on which effect j of f acts.
func covered(f evidence.Finding, j int) []casefile.Route {
	if rs := f.Effects[j].Routes; len(rs) > 0 {
		return rs
	}
	var out []casefile.Route
	for _, r := range casefile.Routes() {
		if !slices.ContainsFunc(f.Effects, func(e evidence.Effect) bool { return slices.Contains(e.Routes, r) }) {
			out = append(out, r)
		}
	}
	return out
}

func (c *check) route() {
	b := c.b
	ids(c, "routes", b.Routes, func(r evidence.RouteRule) string { return string(r.Key) }, kebab)
	var have []casefile.Route
	for _, r := range b.Routes {
		have = append(have, r.Key)
	}
	if !slices.Equal(have, casefile.Routes()) {
		c.add("CONTENT-ROUTES", "routes", "the routes are not exactly the known ones in display order")
	}
	mats := map[string]bool{}
	for _, m := range b.Materials {
		mats[string(m.Key)] = true
	}
	risks := map[string]bool{}
	for _, r := range b.Risks {
		risks[r.Key] = true
	}
	findings := map[string]bool{}
	for _, f := range b.Findings {
		findings[f.Key] = true
		if f.Private {
			findings[f.Key] = false
		}
	}
	for i, r := range b.Routes {
		p := fmt.Sprintf("routes[%d]", i)
		c.one(p+".kind", r.Kind, "none", "whitening", "composite", "ceramic", "crown", "first", "replace")
		c.one(p+".reversible", r.Reversible, "yes", "teeth-move-back", "drifts-back", "mostly", "no-drilling-not-fully", "no")
		c.one(p+".numbing", r.Numbing, "no", "seldom", "sometimes", "usual", "yes")
		c.one(p+".temporaries", r.Temporaries, "no", "seldom", "yes")
		for j, m := range r.Materials {
			c.known(fmt.Sprintf("%s.materials[%d]", p, j), "material", []string{string(m)}, mats)
		}
		c.known(p+".risks", "risk", r.Risks, risks)
		c.answers(p, r)
		c.known(p+".when", "finding that may be shown", r.When, findings)
		c.known(p+".first", "care", r.First, c.cares())
		if r.WhereFound && len(r.When) == 0 {
			c.add("CONTENT-ROUTE", p+".where_found", "no finding says where")
		}
		for j, a := range r.Appliances {
			c.one(fmt.Sprintf("%s.appliances[%d]", p, j), a, Appliances()...)
		}
		if r.ThenDefault != "" {
			c.routesIn(p+".then_default", []casefile.Route{r.ThenDefault})
		}
		c.ref(p+".removal.cervical", r.Removal.Cervical, length...)
		c.ref(p+".removal.middle", r.Removal.Middle, length...)
		c.ref(p+".removal.incisal", r.Removal.Incisal, length...)
		c.ref(p+".removal.proximal", r.Removal.Proximal, length...)
		c.ref(p+".removal.share", r.Removal.Share, "percent")
		drills := r.Removal != evidence.Removal{}
		if drills && r.Reversible != "no" {
			c.add("CONTENT-ROUTE", p+".reversible", "a route that removes tooth cannot be undone")
		}
		if (r.Kind == "ceramic" || r.Kind == "crown") && r.Reversible == "yes" {
			c.add("CONTENT-ROUTE", p+".reversible", "bonded ceramic is never fully reversible")
		}
		c.ref(p+".split_at", r.SplitAt, minutes...)
		c.refs(p+".figures", r.Figures)
		c.visits(p, r)
	}
}

func (c *check) visits(p string, r evidence.RouteRule) {
	seen := map[string]bool{}
	for j, v := range r.Visits {
		q := fmt.Sprintf("%s.visits[%d]", p, j)
		c.word(q+".key", v.Key)
		if seen[v.Key] {
			c.add("CONTENT-ID-TWICE", q+".key", "%q is used twice", v.Key)
		}
		seen[v.Key] = true
		c.ref(q+".gap", v.Gap, span...)
		if (v.Gap == "") != (v.GapWhy == "") {
			c.add("CONTENT-VISIT", q+".gap_why", "gap and gap_why go together")
		}
		if v.AfterFirst != "" || v.Elsewhere || v.Recheck {
			c.add("CONTENT-VISIT", q, "after_first, elsewhere and recheck are for care that comes first")
		}
		if v.GapWhy != "" {
			c.word(q+".gap_why", v.GapWhy)
		}
		if v.Then {
			if v.Purpose+v.Minutes != "" {
				c.add("CONTENT-VISIT", q, "a row that lets the following route in is no visit of its own")
			}
			if r.Kind != "first" && r.Kind != "replace" {
				c.add("CONTENT-VISIT", q, "only a route that comes first lets another in")
			}
			continue
		}
		c.visit(q, r, j)
	}
	if r.Kind != "none" && (len(r.Visits) == 0 || r.Visits[0].Gap != "") {
		c.add("CONTENT-VISIT", p+".visits", "a route starts with a visit without a gap")
	}
}

// visit checks visit j of a route, one that is held, at path q.
func (c *check) visit(q string, r evidence.RouteRule, j int) {
	v := r.Visits[j]
	c.word(q+".purpose", v.Purpose)
	c.must(q+".minutes", v.Minutes, minutes...)
	c.ref(q+".minutes_per_tooth", v.MinutesPerTooth, minutes...)
	c.ref(q+".repeat", v.Repeat, counts...)
	c.ref(q+".repeat_gap", v.RepeatGap, span...)
	if (v.Repeat == "") != (v.RepeatGap == "") {
		c.add("CONTENT-VISIT", q+".repeat_gap", "repeat and repeat_gap go together")
	}
	if v.RepeatWhy != "" {
		c.word(q+".repeat_why", v.RepeatWhy)
		if v.Repeat == "" {
			c.add("CONTENT-VISIT", q+".repeat_why", "a visit that does not repeat has no reason to")
		}
	}
	if v.Split && r.SplitAt == "" {
		c.add("CONTENT-VISIT", q+".split", "the route does not say when a sitting is too long")
	}
	if v.LabByMaterial && v.Gap == "" {
		c.add("CONTENT-VISIT", q+".gap", "laboratory time needs a default")
	}
	if (v.Covers || v.WithNext) && !v.Irreversible {
		c.add("CONTENT-VISIT", q+".covers", "only a tooth that something is taken from gets a cover")
	}
	if v.Signs && j == 0 {
		c.add("CONTENT-VISIT", q+".signs", "nobody signs at the first visit")
	}
	if v.Within && (v.Gap != "" || j+1 >= len(r.Visits) || r.Visits[j+1].Gap == "") {
		c.add("CONTENT-VISIT", q+".within", "a visit within runs inside the next row's gap and has none itself")
	}
}

func (c *check) anchor() {
	b := c.b
	ids(c, "anchors", b.Anchors, func(a evidence.Anchor) string { return a.ID }, anchors)
	for i, a := range b.Anchors {
		p := fmt.Sprintf("anchors[%d]", i)
		c.one(p+".endpoint", a.Endpoint, "in-place", "nothing-needed")
		c.one(p+".dentin", a.Dentin, "", "sealed", "unsealed")
		c.routesIn(p+".routes", a.Routes)
		for j, m := range a.Materials {
			if !slices.ContainsFunc(b.Materials, func(r evidence.MaterialRule) bool { return r.Key == m }) {
				c.add("CONTENT-KEY-UNKNOWN", fmt.Sprintf("%s.materials[%d]", p, j), "there is no material %q", m)
			}
		}
		if strings.TrimSpace(a.Reason) == "" {
			c.add("CONTENT-MISSING", p+".reason", "an anchor needs its reason")
		}
		switch {
		case a.Unknown != "" && a.Pool != "":
			c.add("CONTENT-ANCHOR", p, "an unknown has no pool")
		case a.Unknown != "":
			c.word(p+".unknown", a.Unknown)
		default:
			c.pooled(p, a)
		}
		c.refs(p+".studies", a.Studies)
		for j := range i {
			if r, m, ok := overlap(a, b.Anchors[j]); ok {
				c.add("CONTENT-ANCHOR-OVERLAP", p, "%s and %s both speak for %s %s %s", a.ID, b.Anchors[j].ID, a.Endpoint, r, m)
			}
		}
	}
	c.anchorsCover()
}

// anchorsCover checks that every bonded route and material has an anchor for both
// endpoints, even if only to say that nothing is known.
func (c *check) anchorsCover() {
	for i, r := range c.b.Routes {
		if r.Kind == "none" || r.Kind == "whitening" || r.Kind == "first" {
			continue
		}
		for _, m := range r.Materials {
			for _, end := range []string{"in-place", "nothing-needed"} {
				if !slices.ContainsFunc(c.b.Anchors, func(a evidence.Anchor) bool {
					return a.Endpoint == end && a.Dentin == "" && slices.Contains(a.Routes, r.Key) && (len(a.Materials) == 0 || slices.Contains(a.Materials, m))
				}) {
					c.add("CONTENT-NOT-TOTAL", fmt.Sprintf("routes[%d].materials", i), "no anchor says or denies %s for %s in %s", end, r.Key, m)
				}
			}
		}
	}
}

// pooled checks an anchor that takes its numbers from a pool.
func (c *check) pooled(p string, a evidence.Anchor) {
	i := slices.IndexFunc(c.b.Pools, func(x evidence.Pool) bool { return x.ID == a.Pool })
	if i < 0 {
		c.add("CONTENT-KEY-UNKNOWN", p+".pool", "there is no pool %q", a.Pool)
		return
	}
	x := &c.b.Pools[i]
	if x.Endpoint != a.Endpoint {
		c.add("CONTENT-ANCHOR", p+".pool", "pool %q is of the other endpoint", a.Pool)
	}
	if len(a.Materials) == 0 {
		c.add("CONTENT-MISSING", p+".materials", "an anchor with a pool names its materials")
	}
	for j, m := range a.Materials {
		if x.Limit(m) == "" {
			c.add("CONTENT-ANCHOR", fmt.Sprintf("%s.materials[%d]", p, j), "pool %q does not speak for %q", a.Pool, m)
		}
	}
	if len(a.Studies) == 0 {
		c.add("CONTENT-MISSING", p+".studies", "an anchor names the figures it was made from")
	}
	for _, k := range c.studied(x) {
		for j, r := range a.Routes {
			// Veneers without drilling may count among drilled ones, never the other way.
			if !slices.Contains(evidence.Studied()[k], r) && !(k == "undrilled-veneers" && r == casefile.ConventionalPrep) {
				c.add("CONTENT-ANCHOR", fmt.Sprintf("%s.routes[%d]", p, j), "pool %q rests on %s and says nothing about %q", x.ID, k, r)
			}
		}
	}
}

// studied lists what the studies of a pool followed.
func (c *check) studied(x *evidence.Pool) (out []string) {
	if f := c.figures[x.Published]; f != nil {
		out = append(out, f.Studied)
	}
	for _, y := range c.b.Cohorts {
		if slices.Contains(x.Cohorts, y.ID) {
			out = append(out, y.Studied)
		}
	}
	return out
}

func overlap(a, b evidence.Anchor) (casefile.Route, casefile.Material, bool) {
	if a.Endpoint != b.Endpoint || a.Dentin != b.Dentin {
		return "", "", false
	}
	for _, r := range a.Routes {
		if !slices.Contains(b.Routes, r) {
			continue
		}
		if len(a.Materials) == 0 || len(b.Materials) == 0 {
			return r, "any material", true
		}
		for _, m := range a.Materials {
			if slices.Contains(b.Materials, m) {
				return r, m, true
			}
		}
	}
	return "", "", false
}

// links checks the keys that lists name in one another.
func (c *check) links() {
	b := c.b
	changes, open := map[string]bool{}, map[string]bool{}
	for _, x := range b.Changes {
		changes[x.Key] = true
	}
	asked := map[string]bool{} // aftercare lines some effect asks for
	worn := map[string]bool{}  // appliances some effect or route asks for
	riskUsed, modUsed := map[string]bool{}, map[string]bool{}
	for _, m := range b.Modifiers {
		modUsed[m.ID] = m.Teeth != ""
	}
	for _, f := range b.Findings {
		open[f.Key] = !f.Private
		for _, e := range f.Effects {
			modUsed[e.Modifier] = true
			mark(asked, e.Aftercare)
			mark(worn, e.Appliances)
			mark(riskUsed, e.Risks)
		}
	}
	for _, x := range b.Cares {
		mark(riskUsed, x.Risks)
	}
	for _, r := range b.Routes {
		mark(riskUsed, r.Risks)
		mark(worn, r.Appliances)
	}
	for i, l := range b.Lines {
		p := fmt.Sprintf("lines[%d]", i)
		c.known(p+".findings", "finding that may be shown", l.Findings, open)
		c.known(p+".changes", "chair change", l.Changes, changes)
		if l.ByEffect != asked[l.Key] {
			c.add("CONTENT-LINE", p+".by_effect", "line %q: by_effect is %v, yet effects that ask for it: %v", l.Key, l.ByEffect, asked[l.Key])
		}
	}
	for i, w := range b.Warnings {
		c.known(fmt.Sprintf("warnings[%d].changes", i), "chair change", w.Changes, changes)
	}
	for i, u := range b.Upkeep {
		p := fmt.Sprintf("upkeep[%d]", i)
		c.known(p+".findings", "finding that may be shown", u.Findings, open)
		c.known(p+".risk", "finding that may be shown", u.Risk, open)
	}
	for i, m := range b.Masking {
		c.known(fmt.Sprintf("masking[%d].changes", i), "chair change", m.Changes, changes)
	}
	for i, r := range b.Risks {
		if !riskUsed[r.Key] {
			c.add("CONTENT-UNUSED", fmt.Sprintf("risks[%d]", i), "no route and no finding names risk %q", r.Key)
		}
	}
	for _, a := range Appliances() {
		if !worn[a] {
			c.add("CONTENT-UNUSED", "findings", "nothing asks for the appliance %q", a)
		}
	}
}

// mark notes that something names these keys.
func mark(used map[string]bool, keys []string) {
	for _, k := range keys {
		used[k] = true
	}
}

func (c *check) setting() {
	keys := make([]string, 0, len(c.b.Settings))
	for k := range c.b.Settings {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	for _, k := range keys {
		c.word("settings."+k, k)
		c.must("settings."+k, c.b.Settings[k])
	}
	// The range of a correlation is carried over on the logit scale, which has no 0 and no 1.
	if f := c.figures[c.b.Settings["clustering"]]; f != nil && !(f.Unit == "correlation" && f.Low > 0 && f.High < 1) {
		c.add("CONTENT-RANGE", "settings.clustering", "figure %q is no correlation with a range between 0 and 1", f.ID)
	}
	for _, r := range Rules() {
		if c.b.Settings[r] == "" {
			c.add("CONTENT-SETTING", "settings."+r, "the plan rests on this rule and it names no figure")
		}
	}
}

func (c *check) reference() {
	keptFigure, keptSource := map[string]bool{}, map[string]bool{}
	for i, r := range c.b.References {
		p := fmt.Sprintf("references[%d]", i)
		if strings.TrimSpace(r.Reason) == "" {
			c.add("CONTENT-MISSING", p+".reason", "a figure or source kept without a rule needs a reason")
		}
		for j, id := range r.Figures {
			switch at := fmt.Sprintf("%s.figures[%d]", p, j); {
			case c.figures[id] == nil:
				c.add("CONTENT-FIGURE-UNKNOWN", at, "there is no figure %q", id)
			case c.used[id] || keptFigure[id]:
				c.add("CONTENT-REFERENCE", at, "figure %q is used by a rule or listed already", id)
			}
			keptFigure[id] = true
		}
		for j, id := range r.Sources {
			switch at := fmt.Sprintf("%s.sources[%d]", p, j); {
			case !c.sources[id]:
				c.add("CONTENT-SOURCE-UNKNOWN", at, "there is no source %q", id)
			case c.sourceUsed[id] || keptSource[id]:
				c.add("CONTENT-REFERENCE", at, "source %q is used by a figure or listed already", id)
			}
			keptSource[id] = true
		}
	}
	for i, f := range c.b.Figures {
		if !c.used[f.ID] && !keptFigure[f.ID] {
			c.add("CONTENT-UNUSED", fmt.Sprintf("figures[%d]", i), "no rule rests on figure %q and no reference says why it is kept", f.ID)
		}
	}
	for i, s := range c.b.Sources {
		if !c.sourceUsed[s.ID] && !keptSource[s.ID] {
			c.add("CONTENT-UNUSED", fmt.Sprintf("sources[%d]", i), "no figure rests on source %q and no reference says why it is kept", s.ID)
		}
	}
}

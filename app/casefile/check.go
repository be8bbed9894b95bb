package casefile

import (
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"plainleaf/app/fault"
	"plainleaf/app/safetext"
)

// Limits of a file, all our own: they keep a sheet printable and a hostile file harmless.
const (
	maxYears = 30 // horizon of costs and upkeep
	maxCount = 1_000_000
)

// The closed lists of the case file, first entries first on screen.
var (
	numberings  = []string{"fdi", "universal", "palmer"}
	details     = []string{"words", "numbers"}
	stages      = []Stage{Deciding, Agreed, AtTryIn, Delivered}
	answers     = []Answer{Blank, Agree, Ask, No}
	ageBands    = []string{"child", "adolescent", "adult", "older-adult"}
	deciders    = []string{"patient", "parent", "guardian", "representative", "with-support"}
	assents     = []string{"yes", "no", "not-asked"}
	interpreter = []string{"none", "professional", "staff", "family"}
	ways        = []string{"in-person", "telephone", "video"}
)

// check collects the faults of one file.
type check struct {
	fault.List
	v Vocabulary
}

// maxSizeMM is more than any crown is long, so that another unit is noticed.
const maxSizeMM = 20

// add reports a fault about value, which a localized sentence may name.
func (k *check) add(code, path, value, format string, a ...any) {
	k.Append(fault.New(code, path, format, a...).With("Value", value))
}

// oneOf reports a value that is neither empty nor in the list.
func oneOf[T ~string](k *check, code, path string, value T, list []T) {
	if value != "" && !slices.Contains(list, value) {
		k.add(code, path, string(value), "%q is not known here", value)
	}
}

// plain checks a free text, which is otherwise kept as it is.
func (k *check) plain(path, s string) {
	if n := utf8.RuneCountInString(s); n > safetext.MaxStored {
		k.add("TEXT-LONG", path, strconv.Itoa(safetext.MaxStored), "%d characters, at most %d", n, safetext.MaxStored)
	}
	if !utf8.ValidString(s) {
		k.add("TEXT-CONTROL", path, "", "the text is not UTF-8")
	} else if c, found := safetext.Stored.Find(s); found {
		k.add("TEXT-CONTROL", path, "", "the character %U is not allowed in text", c)
	}
}

// text checks what somebody typed for people to read: a text without code in it.
func (k *check) text(path, s string) {
	k.plain(path, s)
	if code := programCode(s); code != "" {
		k.add("TEXT-CODE", path, code, "%q is page or program code, not plain words", code)
	}
}

// programCode gives the first piece of s that reads as markup or as a template,
// "" without one. Every writer escapes what is typed; such a text is refused all
// the same, since no patient should read it and no later reader should wonder.
func programCode(s string) string {
	for i := 0; i < len(s); i++ {
		rest := s[i:]
		if strings.HasPrefix(rest, "{{") || strings.HasPrefix(rest, "}}") || strings.HasPrefix(rest, "${") {
			return rest[:2]
		}
		if rest[0] == '<' && len(rest) > 1 {
			if c := rest[1]; c == '/' || c == '!' || c == '?' || 'a' <= c && c <= 'z' || 'A' <= c && c <= 'Z' {
				return rest[:2]
			}
		}
	}
	return ""
}

// said checks a free text that must not be blank.
func (k *check) said(path, s string) {
	if blank(s) {
		k.add("TEXT-BLANK", path, "", "the text is blank")
	}
	k.text(path, s)
}

// date checks a date that must be there.
func (k *check) date(code, path string, d Date) {
	if d.IsZero() {
		k.add(code, path, "", "the date is missing")
	} else {
		k.exists(path, d)
	}
}

// exists checks a date that may be missing.
func (k *check) exists(path string, d Date) {
	if !d.IsZero() && !d.Exists() {
		k.add("DATE-INVALID", path, d.String(), "%s is not a day between 1900 and 2999", d)
	}
}

func at(path string, i int) string { return path + "[" + strconv.Itoa(i) + "]" }

func blank(s string) bool {
	for _, r := range s {
		if r != ' ' && r != '\u00A0' {
			return false
		}
	}
	return true
}

// Check reports everything that is impossible or contradictory in c. What is
// merely unwise is not a fault: that is the plan's to say.
//
// Choices that need a word:
//   - No treatment and whitening may list no teeth (the whole mouth); every other route needs teeth.
//   - A tooth that takes another route than the case, and names no material, keeps the
//     case's material only if its own route knows it; that is not a contradiction.
//   - The first visit cannot lie before the issue date while the patient is still
//     deciding; later sheets are issued when treatment has begun.
//   - Departures, try-ins and changed teeth contradict a stage only when the file
//     says "deciding" in so many words.
//   - A minor may decide alone (some may, by law), but a parent does not decide for an adult.
//   - An answer without teeth is for all teeth of the case; "agree" to a step that
//     cannot be undone must name its teeth.
func (c Case) Check(v Vocabulary) fault.List {
	k := &caseCheck{check: check{v: v}, c: c, teeth: map[Tooth]bool{}}
	k.head()
	k.routes()
	k.findings()
	k.answers("answers", c.Answers, c.ToothList())
	k.offered()
	k.agreed()
	k.events()
	k.people()
	k.versionOne()
	k.words()
	k.visits()
	return k.List
}

type caseCheck struct {
	check
	c     Case
	teeth map[Tooth]bool
}

func (k *caseCheck) head() {
	c := k.c
	if c.Version < 1 || c.Version > CaseVersion {
		k.add("CASE-VERSION", "version", strconv.Itoa(c.Version), "this program reads case files of version 1 to %d, not %d: open it with a newer program", CaseVersion, c.Version)
	}
	if c.ID != "" && (len(c.ID) > 64 || !only(c.ID, letters+digits+"-")) {
		k.add("CASE-ID", "id", c.ID, "an id is 1 to 64 letters, digits and hyphens")
	}
	if c.Revision < 0 || c.Revision > maxCount {
		k.add("CASE-REVISION", "revision", strconv.Itoa(c.Revision), "a revision is between 0 and %d", maxCount)
	}
	k.date("CASE-ISSUED", "issued", c.Issued)
	k.date("CASE-START", "start", c.Start)
	if early := c.Stage == "" || c.Stage == Deciding; early && c.Start.Exists() && c.Issued.Exists() && c.Start.Before(c.Issued) {
		k.add("CASE-DATES", "start", c.Start.String(), "the first visit on %s lies before the issue date %s", c.Start, c.Issued)
	}
	oneOf(&k.check, "CASE-LOCALE", "locale", c.Locale, k.v.Locales)
	oneOf(&k.check, "CASE-LOCALE", "second", c.Second, k.v.Locales)
	if c.Second != "" && c.Second == c.Locale {
		k.add("CASE-SECOND", "second", c.Second, "the second language is the same as the first")
	}
	oneOf(&k.check, "CASE-NUMBERING", "numbering", c.Numbering, numberings)
	oneOf(&k.check, "CASE-DETAIL", "detail", c.Detail, details)
	oneOf(&k.check, "CASE-STAGE", "stage", c.Stage, stages)
	if c.HorizonYears < 0 || c.HorizonYears > maxYears {
		k.add("CASE-HORIZON", "horizon_years", strconv.Itoa(c.HorizonYears), "the horizon is between 1 and %d years", maxYears)
	}
	k.once("CASE-PRIORITY", "priorities", c.Priorities, k.v.Priorities)
}

// once checks a list of keys: each known, none twice.
func (k *check) once(code, path string, list, known []string) {
	for i, s := range list {
		if !slices.Contains(known, s) {
			k.add(code, at(path, i), s, "%q is not known here", s)
		} else if slices.Contains(list[:i], s) {
			k.add(code+"-TWICE", at(path, i), s, "%q is listed twice", s)
		}
	}
}

// routes checks routes, materials, shades and the list of teeth.
func (k *caseCheck) routes() {
	c := k.c
	if c.Route == "" {
		k.add("CASE-ROUTE", "route", "", "the route is missing")
	}
	k.route("", c.Route, c.Material)
	k.shade("target_shade", c.TargetShade)
	k.shade("underlying_shade", c.UnderlyingShade)
	k.shadeNote("shade_note", c.ShadeNote)
	followed := c.Route.Leads()
	for i, e := range c.Teeth {
		p := at("teeth", i)
		if !e.Tooth.Valid() {
			k.add("CASE-TOOTH", p+".tooth", e.Tooth.String(), "%d is not an FDI code of a permanent tooth", int(e.Tooth))
		} else if k.teeth[e.Tooth] {
			k.add("CASE-TOOTH-TWICE", p+".tooth", e.Tooth.String(), "tooth %d is listed twice", int(e.Tooth))
		}
		k.teeth[e.Tooth] = e.Tooth.Valid()
		if e.Route != "" {
			k.route(p, e.Route, e.Material)
		} else {
			oneOf(&k.check, "CASE-MATERIAL", p+".material", e.Material, Materials())
			k.fits(p+".material", c.Route, e.Material)
		}
		k.shade(p+".underlying_shade", e.UnderlyingShade)
		k.shade(p+".target_shade", e.TargetShade)
		k.shadeNote(p+".shade_note", e.ShadeNote)
		followed = followed || e.Route.Leads() && !e.Route.Whitens() // one tooth's whitening stands for itself
	}
	for _, r := range []Route{c.Route, c.Then} {
		if len(c.Teeth) == 0 && slices.Contains(Routes(), r) && r.NeedsTeeth() {
			k.add("CASE-NO-TEETH", "teeth", string(r), "the route %q needs at least one tooth", r)
			break
		}
	}
	k.then(followed)
}

// then checks the route that follows; followed says whether any route comes first.
func (k *caseCheck) then(followed bool) {
	c := k.c
	switch {
	case c.Then == "":
	case !followed:
		k.add("CASE-THEN", "then", string(c.Then), "%q is set to follow, but nothing here comes first: that is straightening-first, gum-care-first, replace-veneers or, for the whole case, whitening", c.Then)
	case c.Then == StraighteningFirst && c.Route == GumCareFirst:
		k.add("CASE-THEN", "then", string(c.Then), "%q is a route of its own: name it as the route, and a finding of the gums puts their care before it", c.Then)
	case c.Then == None || c.Then.First() || c.Then == c.Route || c.Route.Whitens() && c.Then.Whitens() || !slices.Contains(Routes(), c.Then):
		k.add("CASE-THEN", "then", string(c.Then), "%q cannot follow %q", c.Then, c.Route)
	}
}

// route checks a route and the material named beside it.
func (k *caseCheck) route(path string, r Route, m Material) {
	if path != "" {
		path += "."
	}
	oneOf(&k.check, "CASE-ROUTE", path+"route", r, Routes())
	oneOf(&k.check, "CASE-MATERIAL", path+"material", m, Materials())
	k.fits(path+"material", r, m)
}

// fits checks that a route, or the one that follows it, can be made of m.
func (k *caseCheck) fits(path string, r Route, m Material) {
	if m == "" || !slices.Contains(Materials(), m) || !slices.Contains(Routes(), r) {
		return
	}
	allowed := k.v.Materials[r]
	if then := k.c.Then; then != "" && r.Leads() && (!r.Whitens() || r == k.c.Route) {
		allowed = k.v.Materials[then]
		r = then
	}
	if !slices.Contains(allowed, m) {
		k.add("CASE-ROUTE-MATERIAL", path, string(m), "the route %q is not made of %q", r, m)
	}
}

func (k *caseCheck) shade(path string, s Shade) {
	if s != "" && !s.Valid() {
		k.add("CASE-SHADE", path, string(s), "%q is neither a shade tab nor a bleach shade", s)
	}
}

// shadeNote checks the laboratory's own name of a shade: a name, not a text.
func (k *caseCheck) shadeNote(path, s string) {
	k.text(path, s)
	if n := utf8.RuneCountInString(s); n > safetext.MaxName && n <= safetext.MaxStored {
		k.add("TEXT-LONG", path, strconv.Itoa(safetext.MaxName), "%d characters, at most %d", n, safetext.MaxName)
	}
	if c, found := safetext.Name.Find(s); found && safetext.Stored.Fits(s) {
		k.add("TEXT-CONTROL", path, "", "the character %U is not allowed in a name", c)
	}
	if s != "" && blank(s) {
		k.add("TEXT-BLANK", path, "", "the text is blank")
	}
}

// findings checks each finding where it stands, then what contradicts what.
func (k *caseCheck) findings() {
	k.place("findings", k.c.Findings, "case")
	k.contradict("findings", k.c.Findings, nil)
	for i, e := range k.c.Teeth {
		p := at("teeth", i) + ".findings"
		k.place(p, e.Findings, "tooth")
		k.contradict(p, e.Findings, k.c.Findings)
	}
}

func (k *caseCheck) place(path string, list []string, where string) {
	for i, f := range list {
		p := at(path, i)
		w, known := k.v.Findings[f]
		if !known {
			k.add("CASE-FINDING", p, f, "%q is not a known finding", f)
			continue
		}
		if w.Scope != "either" && w.Scope != where {
			k.add("CASE-FINDING-PLACE", p, f, "%q belongs to a %s, not to a %s", f, w.Scope, where)
		}
		if slices.Contains(list[:i], f) {
			k.add("CASE-FINDING-TWICE", p, f, "%q is listed twice", f)
		}
		if k.c.People != nil && k.c.People.AgeBand != "" && len(w.AgeBands) > 0 && !slices.Contains(w.AgeBands, k.c.People.AgeBand) {
			k.add("CASE-FINDING-AGE", p, f, "%q does not go with the age band %q", f, k.c.People.AgeBand)
		}
	}
}

// contradict compares each finding with those before it and with those of the whole case.
func (k *caseCheck) contradict(path string, list, whole []string) {
	for i, f := range list {
		for _, g := range append(slices.Clone(list[:i]), whole...) {
			if k.v.Excludes(f, g) {
				k.Append(fault.New("CASE-CONTRADICTION", at(path, i), "%q and %q cannot both be true", f, g).
					With("Value", f).With("Other", g))
			}
		}
	}
}

// inCase checks teeth named elsewhere in the file: each is a tooth of the case, none twice.
func (k *caseCheck) inCase(path string, ts []Tooth) { k.among(path, ts, k.c.ToothList()) }

func (k *caseCheck) among(path string, ts, all []Tooth) {
	for i, t := range ts {
		if !slices.Contains(all, t) {
			k.add("CASE-TOOTH-ABSENT", at(path, i), t.String(), "tooth %d is not in this case", int(t))
		} else if slices.Contains(ts[:i], t) {
			k.add("CASE-TOOTH-TWICE", at(path, i), t.String(), "tooth %d is listed twice", int(t))
		}
	}
}

func (k *caseCheck) change(path, key string) {
	if _, known := k.v.Changes[key]; !known {
		k.add("CASE-CHANGE", path, key, "%q is not a known chair change", key)
	}
}

// answers checks answers about some teeth: those of the case, or of its agreement.
func (k *caseCheck) answers(path string, list []AnswerEntry, all []Tooth) {
	given := map[step]Answer{}
	for i, a := range list {
		p := at(path, i)
		k.change(p+".change", a.Change)
		oneOf(&k.check, "CASE-ANSWER", p+".answer", a.Answer, answers)
		k.among(p+".teeth", a.Teeth, all)
		k.places(p+".places", a.Change, a.Places, all)
		w, known := k.v.Changes[a.Change]
		if known && len(a.Teeth)+len(a.Places) == 0 && a.Answer == Agree && w.Reversible != "yes" {
			k.add("CASE-ANSWER-ALL", p+".teeth", a.Change, "agreeing to %q cannot be undone, so its teeth must be named", a.Change)
		}
		named := slices.Clone(a.Places)
		for _, t := range k.all(a.Teeth, a.Places, all) {
			named = append(named, At(t))
		}
		for _, at := range named {
			s := step{a.Change, at}
			if before, twice := given[s]; twice && before != a.Answer {
				k.add("CASE-ANSWER-TWICE", p+".answer", a.Change, "%q on tooth %s is answered twice, %q and %q", a.Change, at, before, a.Answer)
			}
			given[s] = a.Answer
		}
	}
}

// places checks the contacts of a change: only a change of contacts has them, and
// one of their teeth is among all.
func (k *caseCheck) places(path, change string, list []Place, all []Tooth) {
	if len(list) > 0 && change != "" && !k.v.OfContacts(change) {
		k.add("CASE-PLACE", path, change, "%q does not happen between two teeth: name teeth", change)
		return
	}
	for i, p := range list {
		switch {
		case !p.Contact(): // told where it was read
			k.add("CASE-PLACE", at(path, i), p.String(), "%s is not the contact of two neighboring teeth, such as 14-15", p)
		case !slices.Contains(all, p.A) && !slices.Contains(all, p.B):
			k.add("CASE-TOOTH-ABSENT", at(path, i), p.String(), "neither tooth of the contact %s is in this case", p)
		case slices.Contains(list[:i], p):
			k.add("CASE-TOOTH-TWICE", at(path, i), p.String(), "the contact %s is listed twice", p)
		}
	}
}

// all is what a list of teeth means: all of them where neither teeth nor
// places are named, and 0 in a case without teeth.
func (k *caseCheck) all(ts []Tooth, places []Place, all []Tooth) []Tooth {
	switch {
	case len(ts)+len(places) > 0:
		return ts
	case len(all) == 0:
		return []Tooth{0}
	}
	return all
}

func (k *caseCheck) people() {
	p := k.c.People
	if p == nil {
		return
	}
	oneOf(&k.check, "CASE-PEOPLE", "people.age_band", p.AgeBand, ageBands)
	oneOf(&k.check, "CASE-PEOPLE", "people.decides", p.Decides, deciders)
	oneOf(&k.check, "CASE-PEOPLE", "people.assent", p.Assent, assents)
	oneOf(&k.check, "CASE-PEOPLE", "people.interpreter", p.Interpreter, interpreter)
	oneOf(&k.check, "CASE-PEOPLE", "people.interpreter_way", p.InterpreterWay, ways)
	if p.Decides == "parent" && (p.AgeBand == "adult" || p.AgeBand == "older-adult") {
		k.add("CASE-DECIDES-AGE", "people.decides", p.Decides, "a parent does not decide for an adult")
	}
	if p.InterpreterWay != "" && (p.Interpreter == "" || p.Interpreter == "none") {
		k.add("CASE-INTERPRETER", "people.interpreter_way", p.InterpreterWay, "there is a way of interpreting but no interpreter")
	}
	k.text("people.capacity_support", p.CapacitySupport)
	k.text("people.companion", p.Companion)
}

// words checks what was said, in the words of the patient and the dentist.
func (k *caseCheck) words() {
	c := k.c
	k.text("wish", c.Wish)
	for i, q := range c.Questions {
		k.said(at("questions", i)+".asked", q.Asked)
		k.text(at("questions", i)+".answer", q.Answer)
	}
	if c.Advice != nil {
		oneOf(&k.check, "CASE-ROUTE", "advice.route", c.Advice.Route, Routes())
		k.said("advice.reason", c.Advice.Reason)
	}
	var reasons []string
	for i, r := range c.ProceedReasons {
		p := at("proceed_reasons", i)
		if _, known := k.v.Findings[r.WaitFor]; !known && r.WaitFor != "alone" { // a young person who decides alone, as the law may let
			k.add("CASE-WAIT-FOR", p+".wait_for", r.WaitFor, "%q is not a known finding", r.WaitFor)
		} else if slices.Contains(reasons, r.WaitFor) {
			k.add("CASE-WAIT-FOR-TWICE", p+".wait_for", r.WaitFor, "%q is listed twice", r.WaitFor)
		}
		reasons = append(reasons, r.WaitFor)
		k.said(p+".reason", r.Reason)
	}
}

// sittings checks that each tooth is in one sitting at most.
func (k *caseCheck) sittings() {
	var seen []Tooth
	for i, teeth := range k.c.Sittings {
		p := at("sittings", i)
		if len(teeth) == 0 {
			k.add("CASE-SITTING", p, "", "a sitting has at least one tooth")
		}
		k.among(p, teeth, k.c.ToothList())
		for j, t := range teeth {
			if slices.Contains(seen, t) {
				k.add("CASE-TOOTH-TWICE", at(p, j), t.String(), "tooth %d is in a sitting already", int(t))
			}
		}
		seen = append(seen, teeth...)
	}
}

// visits checks the agreed days and what was handed out of them. Whether the
// plan has such a visit is not known here; one that it has not is kept and shown.
func (k *caseCheck) visits() {
	c := k.c
	k.sittings()
	type visit struct {
		key string
		nth int
	}
	seen := map[visit]bool{}
	for i, v := range c.Visits {
		p := at("visits", i)
		if !key(v.Key) {
			k.add("CASE-VISIT", p+".key", v.Key, "%q is not the key of a visit", v.Key)
		}
		if v.Number < 0 || v.Number > maxVisits {
			k.add("CASE-VISIT-NUMBER", p+".number", strconv.Itoa(v.Number), "visits of one kind are counted from 1 to %d", maxVisits)
		}
		if n := (visit{v.Key, v.Nth()}); seen[n] {
			k.add("CASE-VISIT-TWICE", p, v.Key, "visit %d of %q is listed twice", v.Nth(), v.Key)
		} else {
			seen[n] = true
		}
		k.date("CASE-VISIT-DATE", p+".date", v.Date)
		k.time(p+".time", v.Time)
	}
	if c.Calendar == nil {
		return
	}
	if id := c.Calendar.ID; len(id) > 64 || !only(id, letters+digits+"-") {
		k.add("CASE-CALENDAR", "calendar.id", id, "an id is at most 64 letters, digits and hyphens")
	}
	if s := c.Calendar.Sequence; s < 0 || s > maxCount {
		k.add("CASE-CALENDAR", "calendar.sequence", strconv.Itoa(s), "a sequence is between 0 and %d", maxCount)
	}
	if n := len(c.Calendar.Given); n > maxGiven {
		k.add("CASE-CALENDAR", "calendar.given", strconv.Itoa(n), "%d events, at most %d", n, maxGiven)
		return
	}
	ids := map[string]bool{}
	for i, e := range c.Calendar.Given {
		p := at("calendar.given", i)
		if e.ID == "" || len(e.ID) > 64 || !only(e.ID, digits+"abcdef-") || ids[e.ID] {
			k.add("CASE-CALENDAR", p+".id", e.ID, "%q is no id of its own", e.ID)
		}
		ids[e.ID] = true
		k.date("CASE-CALENDAR", p+".date", e.Date)
		k.time(p+".time", e.Time)
	}
}

const (
	maxVisits = 99
	maxGiven  = 500
)

func key(s string) bool {
	return s != "" && len(s) <= 64 && only(s, "abcdefghijklmnopqrstuvwxyz-"+digits)
}

func (k *check) time(path string, t Time) {
	if t != "" && !t.Valid() {
		k.add("CASE-TIME", path, string(t), "%q is not a time such as 14:30", string(t))
	}
}

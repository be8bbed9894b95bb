package produce

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"plainleaf/app/calendar"
	"plainleaf/app/casefile"
	"plainleaf/app/email"
	"plainleaf/app/evidence"
	"plainleaf/app/fault"
	"plainleaf/app/handover"
	"plainleaf/app/plan"
	"plainleaf/app/printout"
	"plainleaf/app/render"
	"plainleaf/app/safetext"
	"plainleaf/app/sheet"
	"plainleaf/i18n"
)

// Hours before the day of an event at which a calendar reminds: nine in the
// morning of the day before, and two weeks earlier for what has yet to be booked.
const (
	dayBefore  = 15
	timeToBook = 13*24 + dayBefore
)

// Dated reports whether a kind of sheet has dates for a calendar.
func Dated(k sheet.Kind) bool {
	return k == sheet.Aftercare || k == sheet.Options || k == sheet.Wait || k == sheet.Consent
}

// Calendar gives the dates of a sheet as a calendar file: the agreed visits, the
// checks of the years ahead for aftercare, and else the end of a wait after
// whitening. What earlier files held and is not planned any more is withdrawn.
// Titles say nothing about health, and ids nothing at all; they rest on the
// case's id, the practice's name and the visit, so that a later file moves the
// dates of an earlier one. A case without an id gives ids that hold for its
// present content only. docs are those of the sheet.
//
// Codes: those of calendar.Write; CAL-ORDER a visit is agreed for a day before
// the visit it waits for.
func Calendar(in Input, pl plan.Plan, docs []render.Doc) ([]byte, fault.List) {
	c, faults := Dates(in, pl)
	if len(faults) > 0 {
		return nil, faults
	}
	e := editor{in: in}
	c.Lang, c.Name = docs[0].Lang, e.say(docs[0], "calendar.name", nil)
	for i := range c.Events {
		d := &c.Events[i]
		d.Summary, d.Description = e.say(docs[0], d.Summary, nil), e.say(docs[0], d.Description, e.practice(docs[0]))
	}
	if len(e.faults) > 0 {
		return nil, e.faults
	}
	return calendar.Write(c)
}

// Dates is what Calendar writes, with message ids in place of its words, and
// without a language.
func Dates(in Input, pl plan.Plan) (calendar.Calendar, fault.List) {
	faults := ordered(in.Case, pl)
	if len(faults) > 0 {
		return calendar.Calendar{}, faults
	}
	c := calendar.Calendar{Stamp: in.Case.Issued, Revision: in.Case.Revision, Organizer: in.Practice.Email}
	if zone := in.Practice.TimeZone; zone != "" {
		offset := in.Offset
		if offset == nil {
			offset = casefile.Offset
		}
		if _, known := offset(zone, 0); known {
			c.Zone, c.Offset = zone, func(unix int64) int {
				n, _ := offset(zone, unix)
				return n
			}
		}
	}
	// Every event of the case, whatever the sheet; ours are those of this one.
	given := casefile.Calendar{}
	if in.Case.Calendar != nil {
		given = *in.Case.Calendar
	}
	earlier := map[string]casefile.GivenEvent{}
	for _, g := range given.Given {
		earlier[g.ID] = g
	}
	care := in.Kind == sheet.Aftercare
	for _, group := range []struct {
		events []calendar.Event
		ours   bool
	}{{visits(in, pl), true}, {waits(in, pl), !care}, {checks(in, pl), care}} {
		for _, d := range group.events {
			// What took place sooner than it stood in an earlier file is withdrawn there.
			if d.Date.Before(in.Case.Issued) {
				continue
			}
			_, again := earlier[d.ID]
			delete(earlier, d.ID)
			if group.ours || again {
				c.Events = append(c.Events, d)
			}
		}
	}
	for _, g := range given.Given {
		if _, gone := earlier[g.ID]; gone && !g.Date.Before(in.Case.Issued) {
			c.Events = append(c.Events, calendar.Event{ID: g.ID, Date: g.Date, Time: g.Time, Withdrawn: true,
				Summary: "calendar.withdrawn", Description: "calendar.withdrawn-note"})
		}
	}
	// An import takes an event for a newer one by its SEQUENCE (RFC 5546, section 2.1.5).
	if in.Case.Calendar != nil {
		c.Revision = max(c.Revision, given.Sequence)
		if !slices.Equal(c.Now(given.Given), given.Given) {
			c.Revision = max(in.Case.Revision, given.Sequence+1)
		}
	}
	return c, nil
}

// GivenOut is what the case has to keep of a calendar that was handed out.
func GivenOut(in Input, pl plan.Plan) *casefile.Calendar {
	c, faults := Dates(in, pl)
	if len(faults) > 0 || len(c.Events) == 0 {
		return in.Case.Calendar
	}
	out := casefile.Calendar{}
	if in.Case.Calendar != nil {
		out = *in.Case.Calendar
	}
	out.Sequence, out.Given = c.Revision, c.Now(out.Given)
	return &out
}

// Agreed gives the visits of a plan with the day agreed for each; nil where none
// is. Two visits of one key are told apart by their number, from 1.
func Agreed(c casefile.Case, pl plan.Plan) (numbers []int, agreed []*casefile.AgreedVisit) {
	nth := map[string]int{}
	for _, v := range pl.Visits {
		nth[v.Key]++
		numbers = append(numbers, nth[v.Key])
		day := c.AgreedDay(v.Key, nth[v.Key])
		for _, p := range v.With { // a day agreed for any of what is done then
			if day == nil {
				day = c.AgreedDay(p.Key, 1)
			}
		}
		agreed = append(agreed, day)
	}
	return numbers, agreed
}

// ordered reports a visit that is agreed for a day before one that has to come first.
func ordered(c casefile.Case, pl plan.Plan) fault.List {
	var faults fault.List
	for _, f := range Conflicts(c, pl) {
		if f.Code == "CAL-ORDER" {
			faults.Append(f)
		}
	}
	return faults
}

// Conflicts tells what speaks against the agreed days of a case, for the practice:
// CAL-ORDER before a visit that has to come first, VISIT-EARLY before a wait is
// over, VISIT-CLOSED on a day the practice is closed, VISIT-UNKNOWN of a visit that
// the plan does not have. Only the first keeps a calendar from being written.
func Conflicts(c casefile.Case, pl plan.Plan) fault.List {
	var faults fault.List
	for i, a := range c.Visits {
		path := fmt.Sprintf("visits[%d]", i)
		j := slices.IndexFunc(pl.Visits, func(v plan.Visit) bool { return v.Does(a.Key) && a.Nth() == 1 })
		if j < 0 {
			faults.Add("VISIT-UNKNOWN", path, "the plan has no visit %d of %q; its day is kept and printed nowhere", a.Nth(), a.Key)
			continue
		}
		for _, x := range pl.Visits[j].Conflicts {
			switch x.Kind {
			case plan.ConflictOrder:
				faults.Add("CAL-ORDER", path+".date", "%s lies before a visit it waits for, on %s", a.Date, x.Date)
			case plan.ConflictEarly:
				faults.Add("VISIT-EARLY", path+".date", "%s lies before the shortest wait for this visit is over, on %s", a.Date, x.Date)
			case plan.ConflictClosed:
				faults.Add("VISIT-CLOSED", path+".date", "the practice is closed on %s by its opening days and closures", a.Date)
			}
		}
	}
	return faults
}

func (in Input) id(what, key string, n int) string {
	return calendar.ID("plainleaf", in.Practice.Name, in.caseID(), what, key, strconv.Itoa(n))
}

// visits are those whose day the practice has agreed on with the patient. A day
// that is only planned is on the sheet, not in a calendar: nobody should wait at a
// closed door.
func visits(in Input, pl plan.Plan) []calendar.Event {
	var out []calendar.Event
	numbers, agreed := Agreed(in.Case, pl)
	for i, v := range pl.Visits {
		e := calendar.Event{ID: in.id("visit", v.Key, numbers[i]), Alarms: []int{dayBefore}}
		switch a := agreed[i]; {
		case a != nil:
			e.Date, e.Summary, e.Description = a.Date, "calendar.visit", "calendar.visit-agreed"
			if a.Time != "" {
				e.Time, e.Alarms = a.Time, []int{24}
				if v.Minutes.Known() {
					e.Minutes = min(24*60, 5*int(math.Ceil(v.Minutes.Likely/5)))
				}
			}
		default:
			continue
		}
		out = append(out, e)
	}
	return out
}

// waits are the days on which a wait after whitening is over, as computed.
func waits(in Input, pl plan.Plan) []calendar.Event {
	var out []calendar.Event
	numbers, agreed := Agreed(in.Case, pl)
	for i, v := range pl.Visits {
		if v.Why == plan.WhyWhitening && agreed[i] == nil && v.Likely.Exists() {
			out = append(out, calendar.Event{ID: in.id("wait", v.Key, numbers[i]), Date: v.Likely, Tentative: true,
				Summary: "calendar.wait", Description: "calendar.wait-note", Alarms: []int{timeToBook, dayBefore}})
		}
	}
	return out
}

// checks are the upkeep of the years that the sheet lists. Checks that fall on one day are
// one event, named after the first that is a visit of its own.
func checks(in Input, pl plan.Plan) []calendar.Event {
	var out []calendar.Event
	nth := map[string]int{}
	own := map[casefile.Date]bool{} // days that have a visit of their own as their event
	end := sheet.DatesEnd(in.Case.Issued, pl)
	for _, u := range pl.Upkeep {
		nth[u.Key]++
		if !u.Date.Before(end) {
			continue
		}
		e := calendar.Event{ID: in.id("upkeep", u.Key, nth[u.Key]), Date: u.Date, Tentative: true, Alarms: []int{timeToBook, dayBefore},
			Summary: "calendar.check", Description: "calendar.check-note"}
		i := slices.IndexFunc(out, func(o calendar.Event) bool { return o.Date == u.Date })
		switch {
		case i < 0:
			out = append(out, e)
		case !own[u.Date] && !u.AtRecall:
			out[i] = e
		}
		own[u.Date] = own[u.Date] || !u.AtRecall
	}
	return out
}

// caseID is the id its calendar was given, the case's own, or a digest of what
// it says. Private findings, and the reasons for going on against what they ask
// for, are no part of it: whoever knows the rest of a case could otherwise try
// which of them give the ids.
func (in Input) caseID() string {
	c := in.Case
	if c.Calendar != nil && c.Calendar.ID != "" {
		return "calendar " + c.Calendar.ID
	}
	if c.ID != "" {
		return "id " + c.ID
	}
	c.Issued, c.Revision, c.Visits, c.Calendar, c.ProceedReasons = casefile.Date{}, 0, nil, nil, nil
	public := func(keys []string) []string {
		return slices.DeleteFunc(slices.Clone(keys), func(k string) bool {
			f := in.Base.Finding(k)
			return f != nil && f.Private
		})
	}
	c.Findings, c.Teeth = public(c.Findings), slices.Clone(c.Teeth)
	for i := range c.Teeth {
		c.Teeth[i].Findings = public(c.Teeth[i].Findings)
	}
	data, err := json.Marshal(c)
	if err != nil {
		panic(err) // a case holds nothing that JSON cannot
	}
	sum := sha256.Sum256(data)
	return "digest " + hex.EncodeToString(sum[:])
}

// Parts are the files of a sheet that a mail carries.
type Parts struct {
	HTML, Text []byte // as printed
	Flow       []printout.Said
	Calendar   []byte // nil where the sheet has no dates
}

// Attachments makes the files of a sheet that a mail carries or a device shares.
func Attachments(in Input, pl plan.Plan, docs []render.Doc, o printout.Options) (Parts, fault.List) {
	var faults fault.List
	var parts Parts
	var err error
	if parts.HTML, err = printout.HTML(docs, o); err == nil {
		parts.Text, err = printout.Text(docs, o)
	}
	if err == nil {
		parts.Flow, err = printout.Flow(docs, o)
	}
	if err != nil {
		faults.Add("FILE-WRITE", "", "%v", err)
		return parts, faults
	}
	if Dated(in.Kind) {
		parts.Calendar, faults = Calendar(in, pl, docs)
		if faults.Has("CAL-EMPTY") {
			faults = nil
		}
	}
	return parts, faults
}

// Name is that of a file that a patient takes home: "papers" or "dates" in the
// language of the first document, and the day of the sheet. It says nothing about
// health.
func Name(in Input, docs []render.Doc, id, ext string) string {
	e := editor{in: in}
	return e.say(docs[0], id, nil) + "-" + in.Case.Issued.String() + ext
}

// Mail gives a draft that carries a sheet: a short neutral cover, then its text, for
// readers of HTML too, the sheet as a file to open or print, and its dates. to is the
// recipient, "" for none. Subject, cover and file names say nothing about health.
func Mail(in Input, docs []render.Doc, parts Parts, to string) ([]byte, fault.List) {
	e := editor{in: in}
	first := docs[0]
	d := email.Draft{Subject: e.say(first, "mail.subject", nil), To: to, Date: in.Case.Issued,
		Title: e.say(first, "mail.subject", nil), Text: parts.Text}
	if in.Practice.Email != "" {
		d.Name, d.From = in.Practice.Name, in.Practice.Email
	}
	for _, s := range parts.Flow {
		d.Body = append(d.Body, email.Paragraph(s))
	}
	file := func(id, ext, kind string, data []byte) {
		d.Files = append(d.Files, email.File{Name: Name(in, docs, id, ext), Type: kind, Data: data})
	}
	cover := []string{"mail.attached", "mail.call", "mail.private"}
	file("mail.file", ".html", "text/html; charset=UTF-8", parts.HTML)
	if parts.Calendar != nil {
		cover = slices.Insert(cover, 1, "mail.dates")
		file("calendar.file", ".ics", calendar.Calendar{Organizer: in.Practice.Email}.MediaType(), parts.Calendar)
	}
	for _, doc := range docs {
		for _, b := range doc.Banners { // a specimen, or words nobody has checked yet
			d.Cover = append(d.Cover, email.Paragraph{Text: b.String(), Lang: doc.Lang, Dir: doc.Dir})
		}
		for _, id := range cover {
			d.Cover = append(d.Cover, email.Paragraph{Text: e.say(doc, id, e.practice(doc)), Lang: doc.Lang, Dir: doc.Dir})
		}
	}
	if len(e.faults) > 0 {
		return nil, e.faults
	}
	return email.Write(d)
}

// Mailto gives the address of a short message to which the user attaches the
// sheet by hand, where a draft file cannot be opened. Its first line says how.
func Mailto(in Input, docs []render.Doc, to string) (string, fault.List) {
	e := editor{in: in}
	subject := e.say(docs[0], "mail.subject", nil)
	office := docs[0] // who sends it reads the practice's language
	if in.Practice.Locale != "" {
		office = render.Doc{Locale: in.Practice.Locale}
	}
	body := e.say(office, "mail.attach", nil) + "\n\n" + e.both(docs, "mail.by-hand")
	if len(e.faults) > 0 {
		return "", e.faults
	}
	return email.Mailto(to, subject, body)
}

// Handover gives the address that a code on paper leads to, "" where the
// practice has no hosted app. It holds what the first page of the aftercare does, the
// keys of its lines and warning signs and the practice's numbers: nothing about the person.
func Handover(in Input, pl plan.Plan) (string, fault.List) {
	p := handover.Paper{Content: pl.Content, Locale: in.Locale, Telephone: in.Practice.Telephone,
		EmergencyLine: in.Practice.EmergencyLine, EmergencyService: in.Base.EmergencyService(in.Practice)}
	for _, l := range pl.Aftercare {
		if sheet.OnPageOne(l) {
			p.Lines = append(p.Lines, l.Key)
		}
	}
	for _, w := range pl.Warnings {
		p.Warnings = append(p.Warnings, w.Key)
	}
	screen := screenFor(i18n.Tags(i18n.ScreenLanguages()), in.Locale, in.Practice.Locale)
	return handover.Address(in.Practice.BaseAddress, screen, p, known(in.Base))
}

// screenFor is the first of the languages asked for that the screens have, else the
// first that they have.
func screenFor(screens []string, asked ...string) string {
	for _, tag := range asked {
		if slices.Contains(screens, tag) {
			return tag
		}
	}
	return screens[0]
}

// Undrawn tells that the address of Handover does not fit into a code for paper.
// Code: CODE-LONG.
func Undrawn(in Input, pl plan.Plan) fault.List {
	address, faults := Handover(in, pl)
	if address == "" || len(faults) > 0 {
		return nil
	}
	_, faults = handover.Draw(address)
	for i := range faults {
		faults[i].Path = "base_address"
	}
	return faults
}

func known(b *evidence.Base) handover.Keys {
	var k handover.Keys
	for _, l := range b.Lines {
		k.Lines = append(k.Lines, l.Key)
	}
	for _, w := range b.Warnings {
		k.Warnings = append(k.Warnings, w.Key)
	}
	return k
}

// ReadPaper reads the code of a paper, copied or typed. Codes: those of
// handover.Decode.
func ReadPaper(typed string, b *evidence.Base) (handover.Paper, fault.List) {
	return handover.Decode(handover.Fragment(typed), known(b))
}

// PaperDoc is the aftercare that the code of a paper names, in the language of w,
// read on a day. Of the practice it has what the paper says, the numbers.
func PaperDoc(p handover.Paper, b *evidence.Base, w *i18n.Wording, states map[string]i18n.State, read casefile.Date) (render.Doc, fault.List) {
	e := editor{}
	numbers := casefile.Practice{Name: e.text(w, "sheet.paper.practice", nil), Telephone: p.Telephone, EmergencyLine: p.EmergencyLine, EmergencyService: p.EmergencyService}
	lines, warnings := plan.Told(b, p.Lines, p.Warnings)
	d, faults := render.Localize(sheet.Paper(lines, warnings, numbers, read, p.Content, b), w, render.Options{States: states})
	faults.Append(e.faults...)
	faults.Append(render.Whole(d)...)
	return d, faults
}

// editor finds words in the language of a document and collects faults.
type editor struct {
	in     Input
	faults fault.List
}

// say gives a message. Values it does not name are left out.
func (e *editor) say(d render.Doc, id string, values map[string]string) string {
	w, faults := e.in.Wording(d.Locale)
	if len(faults) > 0 {
		e.faults.Append(faults...)
		return ""
	}
	return e.text(w, id, values)
}

func (e *editor) text(w *i18n.Wording, id string, values map[string]string) string {
	args := map[string]string{}
	for _, name := range w.Placeholders(id) {
		if v, ok := values[name]; ok {
			args[name] = v
		}
	}
	s, err := w.Text(id, args, "")
	if err != nil {
		e.faults.Add("RENDER-WORDING", fmt.Sprintf("i18n/%s.json:%s", w.Language().Tag, id), "%v", err)
	}
	return s
}

// both gives a message about the practice in each language of the sheet.
func (e *editor) both(docs []render.Doc, id string) string {
	var out []string
	for _, d := range docs {
		out = append(out, e.say(d, id, e.practice(d)))
	}
	return strings.Join(out, "\n\n")
}

// practice are the practice's name and numbers, isolated where the direction of
// the text around them could turn them (UAX 9).
func (e *editor) practice(d render.Doc) map[string]string {
	p := e.in.Practice
	values := map[string]string{"Clinic": safetext.Plain.Clean(p.Name), "Phone": p.Telephone, "Emergency": p.EmergencyLine}
	for k, v := range values {
		rtl := strings.ContainsFunc(v, func(r rune) bool { return unicode.In(r, unicode.Arabic, unicode.Hebrew) })
		switch {
		case d.Dir == "rtl" && k != "Clinic":
			values[k] = "\u2066" + v + "\u2069"
		case d.Dir == "rtl" || rtl:
			values[k] = "\u2068" + v + "\u2069"
		}
	}
	return values
}

package produce

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"plainleaf/app/calendar"
	"plainleaf/app/email"
	"plainleaf/app/fault"
	"plainleaf/app/handover"
	"plainleaf/app/plan"
	"plainleaf/app/render"
	"plainleaf/app/sheet"
	"plainleaf/app/veneer"
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

// Calendar gives the dates of a sheet as a calendar file: the checks of the years
// ahead for aftercare, else the visits. All are tentative until the practice has
// confirmed them. Titles say nothing about health, and ids nothing at all; they
// rest on the case's id, the practice's name and the visit, so that the file of a
// later revision moves the dates of an earlier one. A case without an id gives
// ids that hold for its present content only. docs are those of the sheet.
func Calendar(in Input, pl plan.Plan, docs []render.Doc) ([]byte, fault.List) {
	e := editor{in: in}
	event, note := "calendar.visit", "calendar.visit-note"
	if in.Kind == sheet.Aftercare {
		event, note = "calendar.check", "calendar.check-note"
	}
	c := calendar.Calendar{Lang: docs[0].Lang, Stamp: in.Case.Issued, Revision: in.Case.Revision, Name: e.say(docs[0], "calendar.name", nil)}
	about := e.both(docs, note)
	for _, d := range dates(in, pl) {
		d.Summary, d.Description = e.say(docs[0], event, nil), about
		c.Events = append(c.Events, d)
	}
	if len(e.faults) > 0 {
		return nil, e.faults
	}
	return calendar.Write(c)
}

// dates are the events of a sheet, without words. Checks that fall on one day
// are one event, named after the first that is a visit of its own.
func dates(in Input, pl plan.Plan) []calendar.Event {
	var out []calendar.Event
	nth := map[string]int{}
	id := func(what, key string) string {
		nth[key]++
		return calendar.ID("plainleaf", in.Practice.Name, caseID(in.Case), what, key, strconv.Itoa(nth[key]))
	}
	if in.Kind != sheet.Aftercare {
		for _, v := range pl.Visits {
			out = append(out, calendar.Event{ID: id("visit", v.Key), Date: v.Likely, Tentative: true, Alarms: []int{dayBefore}})
		}
		return out
	}
	own := map[veneer.Date]bool{} // days that have a visit of their own as their event
	for _, u := range pl.Upkeep {
		e := calendar.Event{ID: id("upkeep", u.Key), Date: u.Date, Tentative: true, Alarms: []int{timeToBook, dayBefore}}
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

// caseID is the case's id, or a digest of what it says.
func caseID(c veneer.Case) string {
	if c.ID != "" {
		return "id " + c.ID
	}
	c.Issued, c.Revision = veneer.Date{}, 0
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
	Calendar   []byte // nil where the sheet has no dates
}

// Mail gives a draft that carries a sheet: its text, a short neutral cover, the
// sheet as a file to open or print, and its dates. to is the recipient, "" for
// none. Subject, cover and file names say nothing about health.
func Mail(in Input, docs []render.Doc, parts Parts, to string) ([]byte, fault.List) {
	e := editor{in: in}
	first := docs[0]
	d := email.Draft{Subject: e.say(first, "mail.subject", map[string]string{"Clinic": in.Practice.Name}), To: to, Date: in.Case.Issued,
		Title: e.say(first, "mail.title", nil), Text: parts.Text}
	if in.Practice.Email != "" {
		d.Name, d.From = in.Practice.Name, in.Practice.Email
	}
	file := func(id, ext, kind string, data []byte) {
		d.Files = append(d.Files, email.File{Name: e.say(first, id, nil) + "-" + in.Case.Issued.String() + ext, Type: kind, Data: data})
	}
	cover := []string{"mail.attached", "mail.call", "mail.private"}
	file("mail.file", ".html", "text/html; charset=UTF-8", parts.HTML)
	if parts.Calendar != nil {
		cover = slices.Insert(cover, 1, "mail.dates")
		file("calendar.file", ".ics", calendar.MediaType, parts.Calendar)
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
// sheet by hand, where a draft file cannot be opened.
func Mailto(in Input, docs []render.Doc, to string) (string, fault.List) {
	e := editor{in: in}
	subject := e.say(docs[0], "mail.subject", map[string]string{"Clinic": in.Practice.Name})
	body := e.both(docs, "mail.attached")
	if len(e.faults) > 0 {
		return "", e.faults
	}
	return email.Mailto(to, subject, body)
}

// Handover gives the address that a code on paper leads to, "" where the
// practice has no hosted app. It holds the keys of the aftercare lines and
// warning signs that apply and the practice's numbers, nothing about the person.
func Handover(in Input, pl plan.Plan) (string, fault.List) {
	p := handover.Paper{Content: pl.Content, Locale: in.Locale, Telephone: in.Practice.Telephone,
		EmergencyLine: in.Practice.EmergencyLine, EmergencyService: in.Practice.EmergencyService}
	for _, l := range pl.Aftercare {
		p.Lines = append(p.Lines, l.Key)
	}
	for _, w := range pl.Warnings {
		p.Warnings = append(p.Warnings, w.Key)
	}
	var known handover.Keys
	for _, l := range in.Base.Lines {
		known.Lines = append(known.Lines, l.Key)
	}
	for _, w := range in.Base.Warnings {
		known.Warnings = append(known.Warnings, w.Key)
	}
	return handover.Address(in.Practice.BaseAddress, p, known)
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
	values := map[string]string{"Clinic": render.Clean(p.Name), "Phone": p.Telephone, "Emergency": p.EmergencyLine}
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

//go:build !js

package main

import (
	"bytes"
	"encoding/base64"
	"encoding/json"
	"fmt"
	"io"
	"mime"
	"mime/multipart"
	"mime/quotedprintable"
	"net/mail"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	ics "github.com/arran4/golang-ical"
	"golang.org/x/net/html"

	"plainleaf/app/casefile"
	"plainleaf/app/plan"
	"plainleaf/app/produce"
	"plainleaf/app/sheet"
	"plainleaf/content"
	"plainleaf/i18n"
)

func planOf(t testing.TB, file string) plan.Plan {
	t.Helper()
	code, out, errs := order("", "plan", file)
	if code != good {
		t.Fatal(errs)
	}
	var p plan.Plan
	if err := json.Unmarshal([]byte(out), &p); err != nil {
		t.Fatal(err)
	}
	return p
}

type event struct{ id, date, summary, status, sequence, time, zone, organizer string }

func events(t testing.TB, data string) []event {
	t.Helper()
	c, err := ics.ParseCalendar(strings.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	var out []event
	for _, e := range c.Events() {
		get := func(p ics.ComponentProperty) string { return e.GetProperty(p).Value }
		start := e.GetProperty(ics.ComponentPropertyDtStart)
		d := start.Value
		x := event{id: get(ics.ComponentPropertyUniqueId), date: d[:4] + "-" + d[4:6] + "-" + d[6:8], summary: get(ics.ComponentPropertySummary),
			status: get(ics.ComponentPropertyStatus), sequence: get(ics.ComponentPropertySequence), organizer: get(ics.ComponentPropertyOrganizer)}
		if len(d) > 8 {
			x.time = d[9:11] + ":" + d[11:13]
			x.zone = strings.Join(start.ICalParameters["TZID"], " ")
		}
		out = append(out, x)
	}
	return out
}

// Every case gives, in every language, a calendar of checks or of the end of a
// wait, no visit without an agreed day, and titles of neutral words, and a draft that carries the same bytes as
// the other formats.
func TestCalendarAndMailOfEveryCase(t *testing.T) {
	health := healthWords(t)
	files := someCases(t)
	plans := map[string]plan.Plan{}
	for _, file := range files {
		plans[file] = planOf(t, file)
	}
	for _, lang := range i18n.Languages() {
		for _, kind := range []sheet.Kind{sheet.Aftercare, sheet.Consent} {
			args := []string{"sheet", "-kind", string(kind), "-locale", lang.Tag}
			if lang.Tag != "en" {
				args = append(args, "-second", "en")
			}
			drafted := files
			if lang.Tag != "ar" {
				drafted = files[:2] // what is around the sheet is the same for every case
			}
			cals, refused := inFolder(t, append(args, "-format", "ics"), files)
			drafts, noDraft := inFolder(t, append(args, "-format", "eml"), drafted)
			pages, _ := inFolder(t, append(args, "-format", "html"), drafted)
			texts, _ := inFolder(t, append(args, "-format", "text"), drafted)
			for n, file := range files {
				name := fmt.Sprintf("%s %s %s", filepath.Base(file), kind, lang.Tag)
				p, cal := plans[file], cals[file]
				var want []string
				issued := readCase(t, file).Issued
				var firm []string
				for _, v := range p.Visits {
					switch {
					case v.Agreed:
						firm = append(firm, v.Likely.String())
					case v.Why == plan.WhyWhitening && !v.Likely.Before(issued):
						want = append(want, v.Likely.String())
					}
				}
				years := issued // two of them from the last visit
				for _, v := range p.Visits {
					if years.Before(v.Likely) {
						years = v.Likely
					}
				}
				years = years.AddMonths(24)
				title := word(t, lang.Tag, "calendar.wait")
				if kind == sheet.Aftercare {
					title, want = word(t, lang.Tag, "calendar.check"), nil
					for _, u := range p.Upkeep {
						if u.Date.Before(years.AddDays(1)) { // then the sheet tells how often
							want = append(want, u.Date.String())
						}
					}
				}
				slices.Sort(want)
				if kind == sheet.Aftercare {
					want = slices.Compact(want)
				}
				want = append(want, firm...)
				slices.Sort(want)
				if len(want) == 0 {
					if cal != "" || !strings.HasPrefix(refused[file], "CAL-EMPTY\t") {
						t.Errorf("%s: %q", name, refused[file])
					}
				} else {
					if refused[file] != "" {
						t.Errorf("%s: %s", name, refused[file])
						continue
					}
					for _, l := range strings.Split(cal, "\r\n") { // RFC 5545, section 3.1
						if len(l) > 75 || !utf8.ValidString(l) {
							t.Errorf("%s: a line of %d octets, %q", name, len(l), l)
						}
					}
					var got []string
					ids := map[string]bool{}
					for _, e := range events(t, cal) {
						got = append(got, e.date)
						ids[e.id] = true
						if slices.Contains(firm, e.date) && e.summary == word(t, lang.Tag, "calendar.visit") && e.status == "CONFIRMED" {
							continue
						}
						if e.summary != title || e.status != "TENTATIVE" || e.organizer != "mailto:desk@practice.example" {
							t.Errorf("%s: %+v", name, e)
						}
					}
					if !slices.Equal(got, want) || len(ids) != len(want) {
						t.Errorf("%s: dates\n%v, want\n%v", name, got, want)
					}
				}
				if n >= len(drafted) {
					continue
				}
				if noDraft[file] != "" {
					t.Errorf("%s: %s", name, noDraft[file])
					continue
				}
				m := open(t, drafts[file])
				page, text := pages[file], texts[file]
				cover, own, parted := strings.Cut(m.text, "\n\n"+strings.Repeat("-", 78)+"\n\n")
				if m.files[".html"] != page || !parted || own != text || m.files[".ics"] != cal {
					t.Errorf("%s: the draft carries other bytes", name)
				}
				// Who reads HTML is told the same (RFC 2046, section 5.1.4).
				before, _, _ := strings.Cut(m.html, "<hr/>")
				if a, b := plainly(m.text), plainly(textOf(t, m.html)); a != b {
					i := 0
					for i < min(len(a), len(b)) && a[i] == b[i] {
						i++
					}
					t.Errorf("%s: the HTML of the mail says otherwise: %.80q, the text %.80q", name, b[i:], a[i:])
				}
				for where, s := range map[string]string{"calendar": unfolded(m.files[".ics"]), "subject": m.subject, "cover": cover + textOf(t, before), "names": m.names} {
					s = spaced(strings.ReplaceAll(s, "Demo Dental Practice", ""))
					for _, w := range health {
						if strings.Contains(s, w) {
							t.Errorf("%s: %q stands in the %s", name, w, where)
						}
					}
				}
			}
		}
	}
}

// inFolder makes the sheets of some cases in one call, since every call reads the
// wordings. It gives those that were made, and what was said of a case.
func inFolder(t *testing.T, args, files []string) (made, said map[string]string) {
	t.Helper()
	dir := t.TempDir()
	code, out, errs := order("", append(append(slices.Clone(args), "-out", dir), files...)...)
	made, said = map[string]string{}, map[string]string{}
	for _, line := range strings.SplitAfter(errs, "\n") {
		if line == "" {
			continue
		}
		_, at, _ := strings.Cut(line, "\t")
		i := slices.IndexFunc(files, func(f string) bool { return strings.HasPrefix(at, f+":") })
		if i < 0 {
			t.Errorf("of no case: %q", line)
			continue
		}
		said[files[i]] += line
	}
	if out != "" || (code == good) != (errs == "") {
		t.Errorf("%v: exit %d, %q, %q", args, code, out, errs)
	}
	for _, f := range files {
		name, _ := strings.CutSuffix(filepath.Base(f), ".json")
		found, err := filepath.Glob(filepath.Join(dir, name+".*"))
		if err != nil || len(found) > 1 || (len(found) == 1) != (said[f] == "") {
			t.Errorf("%s: %v, %v, %q", f, found, err, said[f])
			continue
		}
		if len(found) == 1 {
			data, err := os.ReadFile(found[0])
			if err != nil {
				t.Fatal(err)
			}
			made[f] = string(data)
		}
	}
	return made, said
}

// plainly leaves of a text what is said: no space, no line and no mark of a list.
func plainly(s string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsSpace(r) || strings.ContainsRune("-=_\u2066\u2067\u2068\u2069", r) {
			return -1
		}
		return r
	}, s)
}

// textOf is the text of a page.
func textOf(t *testing.T, page string) string {
	t.Helper()
	root, err := html.Parse(strings.NewReader(page))
	if err != nil {
		t.Fatal(err)
	}
	var b strings.Builder
	var walk func(n *html.Node)
	walk = func(n *html.Node) {
		if n.Type == html.TextNode && n.Parent.Data != "title" {
			b.WriteString(n.Data + " ")
		}
		for c := n.FirstChild; c != nil; c = c.NextSibling {
			walk(c)
		}
	}
	walk(root)
	return b.String()
}

func unfolded(s string) string { return strings.ReplaceAll(s, "\r\n ", "") }

// spaced gives words in small letters with one space before and after each.
func spaced(s string) string {
	return " " + strings.Join(strings.FieldsFunc(strings.ToLower(s), func(r rune) bool {
		return strings.ContainsRune(" \r\n\t.,:;<>()\\", r)
	}), " ") + " "
}

// healthWords are the names of findings, ways, materials, steps, checks and
// warning signs in every language, and some plain words.
func healthWords(t *testing.T) []string {
	t.Helper()
	words := []string{"teeth", "tooth", "veneer", "veneers", "dental", "dentist", "gum", "smile", "whitening", "dientes", "diente", "dentista", "encías", "carillas",
		"أسنان", "أسنانك", "الأسنان", "سن", "لثة", "قشور", "牙", "贴面", "美白"}
	for _, l := range i18n.Languages() {
		data, _ := i18n.Embedded(l.Tag)
		w, faults := i18n.Load(l.Tag, data, nil)
		if len(faults) > 0 {
			t.Fatal(faults.Lines())
		}
		for _, id := range w.IDs() {
			kind, _, _ := strings.Cut(id, ".")
			if slices.Contains([]string{"finding", "route", "material", "visit", "upkeep", "appliance", "change"}, kind) && strings.HasSuffix(id, ".name") {
				// These are called a review or a check-up, no more.
				neutral := []string{"visit.review.name", "upkeep.recall.name", "upkeep.recall-plain.name"}
				if m := w.Source(id); m.Other != "" && !slices.Contains(neutral, id) {
					words = append(words, m.Other)
				}
			}
		}
	}
	if len(words) < 300 {
		t.Fatalf("only %d words", len(words))
	}
	for i, w := range words {
		if !strings.ContainsFunc(w, ideograph) { // such words stand without spaces
			words[i] = spaced(w)
		}
	}
	return words
}

var ownWords = wordings(casefile.Practice{}) // loaded once

func word(t *testing.T, tag, id string) string {
	t.Helper()
	w, faults := ownWords(tag)
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	s, err := w.Text(id, nil, "")
	if err != nil {
		t.Fatal(err)
	}
	return s
}

type opened struct {
	header                     mail.Header
	subject, text, html, names string
	files                      map[string]string // by extension
}

// open reads a draft with the standard library.
func open(t testing.TB, draft string) opened {
	t.Helper()
	must := func(err error) {
		if err != nil {
			t.Helper()
			t.Fatal(err)
		}
	}
	m, err := mail.ReadMessage(strings.NewReader(draft))
	must(err)
	o := opened{header: m.Header, files: map[string]string{}}
	o.subject, err = new(mime.WordDecoder).DecodeHeader(m.Header.Get("Subject"))
	must(err)
	var walk func(kind string, body io.Reader)
	walk = func(kind string, body io.Reader) {
		_, params, err := mime.ParseMediaType(kind)
		must(err)
		for r := multipart.NewReader(body, params["boundary"]); ; {
			p, err := r.NextRawPart()
			if err == io.EOF {
				return
			}
			must(err)
			kind := p.Header.Get("Content-Type")
			switch {
			case strings.HasPrefix(kind, "multipart/"):
				walk(kind, p)
			case p.Header.Get("Content-Disposition") != "":
				_, params, err := mime.ParseMediaType(p.Header.Get("Content-Disposition"))
				must(err)
				data, err := io.ReadAll(base64.NewDecoder(base64.StdEncoding, p))
				must(err)
				o.files[filepath.Ext(params["filename"])] = string(data)
				o.names += params["filename"] + " "
			default:
				data, err := io.ReadAll(quotedprintable.NewReader(p))
				must(err)
				into := &o.text
				if strings.HasPrefix(kind, "text/html") {
					into = &o.html
				}
				*into = strings.ReplaceAll(string(data), "\r\n", "\n")
			}
		}
	}
	walk(m.Header.Get("Content-Type"), m.Body)
	return o
}

// A later revision keeps the ids of its visits and counts up, whatever has moved;
// another case and another practice have ids of their own.
func TestLaterDatesReplaceEarlierOnes(t *testing.T) {
	c := readCase(t, caseDir+"/ten-teeth-no-prep.json")
	visits := planOf(t, caseDir+"/ten-teeth-no-prep.json").Visits
	run := func(kind string, change func(*casefile.Case)) []event {
		t.Helper()
		d := c
		d.ID, d.Revision = "a-case", 1
		d.Visits = []casefile.AgreedVisit{{Key: visits[0].Key, Date: visits[0].Likely, Time: "09:05"}, {Key: visits[1].Key, Date: visits[1].Likely}}
		change(&d)
		data, err := json.Marshal(d)
		if err != nil {
			t.Fatal(err)
		}
		code, out, errs := order(string(data), "sheet", "-kind", kind, "-locale", "en", "-format", "ics", "-")
		if code != good {
			t.Fatal(errs)
		}
		return events(t, out)
	}
	for _, kind := range []string{"options", "aftercare"} {
		first := run(kind, func(*casefile.Case) {})
		later := run(kind, func(d *casefile.Case) {
			d.Revision, d.Start, d.Issued = 2, d.Start.AddDays(21), d.Issued.AddDays(3)
			for i := range d.Visits {
				d.Visits[i].Date = d.Visits[i].Date.AddDays(21)
			}
		})
		other := run(kind, func(d *casefile.Case) { d.ID = "b-case" })
		nameless := run(kind, func(d *casefile.Case) { d.ID = "" })
		if len(first) != len(later) || len(first) == 0 {
			t.Fatalf("%s: %d events, later %d", kind, len(first), len(later))
		}
		seen := map[string]bool{}
		for i := range first {
			if first[i].id != later[i].id || first[i].date >= later[i].date || first[i].sequence != "1" || later[i].sequence != "2" {
				t.Errorf("%s: %+v became %+v", kind, first[i], later[i])
			}
			seen[first[i].id] = true
		}
		for _, e := range slices.Concat(other, nameless) {
			if seen[e.id] {
				t.Errorf("%s: another case has the id %s", kind, e.id)
			}
		}
	}
}

// A private finding leaves no trace: beside its dates, the calendar and the
// handover's keys are those of the same case without it.
func TestNothingPrivateTakenHome(t *testing.T) {
	base, faults := content.Load()
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	private := 0
	first := planOf(t, caseDir+"/two-teeth.json").Visits[0]
	for _, f := range base.Findings {
		if !f.Private {
			continue
		}
		c := readCase(t, caseDir+"/two-teeth.json")
		c.ID = "a-case"
		c.Visits = []casefile.AgreedVisit{{Key: first.Key, Date: first.Likely.AddDays(7)}}
		c.Findings = append(c.Findings, f.Key)
		data, err := json.Marshal(c)
		if err != nil {
			t.Fatal(err)
		}
		for _, kind := range []string{"options", "aftercare"} {
			for _, format := range []string{"ics", "eml", "json"} {
				code, out, errs := order(string(data), "sheet", "-kind", kind, "-locale", "en", "-format", format, "-")
				if code != good {
					if strings.HasPrefix(errs, "CASE-") {
						continue // this finding does not go with this case
					}
					t.Fatalf("%s: %s", f.Key, errs)
				}
				private++
				all := unfolded(out)
				if format == "eml" {
					m := open(t, out)
					all = m.subject + m.text + m.html + m.names + m.files[".html"] + unfolded(m.files[".ics"])
				}
				if strings.Contains(all, f.Key) || strings.Contains(strings.ToLower(all), strings.ToLower(word(t, "en", "finding."+f.Key+".name"))) {
					t.Errorf("%s stands in the %s of %s", f.Key, format, kind)
				}
			}
		}
		v := base.Vocabulary(i18n.Tags(i18n.Languages()))
		demo, faults := openDesk("")
		if len(faults) > 0 {
			t.Fatal(faults.Lines())
		}
		without, faults := demo.read(caseDir+"/two-teeth.json", nil)
		if len(faults) > 0 {
			t.Fatal(faults.Lines())
		}
		with, faults := casefile.ReadCase(data, v)
		if len(faults) > 0 {
			continue
		}
		address := func(c casefile.Case) string {
			pl, faults := plan.For(c, demo.practice, base)
			if len(faults) > 0 {
				t.Fatal(faults.Lines())
			}
			s, faults := produce.Handover(produce.Input{Case: c, Practice: demo.practice, Base: base, Locale: "en"}, pl)
			if len(faults) > 0 || s == "" {
				t.Fatal(faults.Lines())
			}
			return s
		}
		if address(with) != address(without) {
			t.Errorf("%s shows in the code on paper", f.Key)
		}
	}
	if private < 12 {
		t.Errorf("only %d sheets with a private finding were looked at", private)
	}
}

func TestRecipient(t *testing.T) {
	args := []string{"sheet", "-kind", "aftercare", "-locale", "en", "-format", "eml", caseDir + "/two-teeth.json", "-to"}
	code, out, errs := order("", append(args, "patient@mail.example")...)
	if m := open(t, out); code != good || m.header.Get("To") != "patient@mail.example" || m.header.Get("X-Unsent") != "1" {
		t.Errorf("exit %d, %v, %s", code, m.header, errs)
	}
	for _, bad := range []string{"x", "a@b.example\r\nBcc: c@d.example", "a@b.example, c@d.example", "a b@c.example"} {
		if code, out, errs := order("", append(args, bad)...); code != badInput || out != "" || !strings.HasPrefix(errs, "MAIL-ADDRESS\tto\t") || strings.Count(errs, "\n") != 1 {
			t.Errorf("%q: exit %d, %q", bad, code, errs)
		}
	}
	if code, _, _ := order("", "sheet", "-kind", "aftercare", "-to", "a@b.example", caseDir+"/two-teeth.json"); code != badUsage {
		t.Errorf("-to without a draft: exit %d", code)
	}
	if code, _, errs := order("", "sheet", "-kind", "tryin", "-format", "ics", caseDir+"/two-teeth.json"); code != badUsage || errs == "" {
		t.Errorf("a calendar of a try-in: exit %d", code)
	}
	// A practice whose name would break out of a header never gets that far.
	data, err := os.ReadFile("demo/practice.json")
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{`A\r\nBcc: x@y.example`, `A\u0000`, `A\u202e`} {
		file := filepath.Join(t.TempDir(), "practice.json")
		changed := regexp.MustCompile(`"name": "[^"]*"`).ReplaceAllLiteral(data, []byte(`"name": "`+name+`"`))
		if err := os.WriteFile(file, changed, 0o600); err != nil {
			t.Fatal(err)
		}
		if code, out, errs := order("", append(args[:len(args)-1:len(args)-1], "-practice", file)...); code != badInput || out != "" || errs == "" {
			t.Errorf("%s: exit %d, %d bytes, %q", name, code, len(out), errs)
		}
	}
}

// The data form says what the page says: every text of it stands on the page,
// and every tooth, change and wait-for of the page is named in it.
func TestJSONIsThePage(t *testing.T) {
	squeeze := func(s string) string { return strings.Join(strings.Fields(s), "") }
	for _, kind := range sheet.Kinds() {
		args := []string{"sheet", "-kind", string(kind), "-locale", "ar", "-second", "en", caseDir + "/at-try-in.json"}
		_, page, _ := order("", args...)
		code, out, errs := order("", append(args, "-format", "json")...)
		if code != good {
			t.Fatal(errs)
		}
		doc, err := html.Parse(strings.NewReader(page))
		if err != nil {
			t.Fatal(err)
		}
		var all strings.Builder
		attrs := map[string]map[string]bool{"data-tooth": {}, "data-change": {}, "data-wait": {}}
		var walk func(*html.Node)
		walk = func(n *html.Node) {
			if n.Type == html.TextNode {
				all.WriteString(n.Data)
			}
			for _, a := range n.Attr {
				if a.Key == "aria-label" {
					all.WriteString(a.Val)
				}
				if m, ok := attrs[a.Key]; ok {
					for _, v := range strings.Fields(a.Val) {
						m[v] = true
					}
				}
			}
			for c := n.FirstChild; c != nil; c = c.NextSibling {
				walk(c)
			}
		}
		walk(doc)
		shown := squeeze(all.String())
		var form struct {
			Version   int
			Documents []map[string]any
		}
		if err := json.Unmarshal([]byte(out), &form); err != nil || form.Version != 2 || len(form.Documents) != 2 {
			t.Fatalf("%v, %d documents", err, len(form.Documents))
		}
		if a, b := form.Documents[0], form.Documents[1]; a["lang"] != "ar" || a["dir"] != "rtl" || b["lang"] != "en" || a["kind"] != string(kind) || len(a["blocks"].([]any)) != len(b["blocks"].([]any)) {
			t.Errorf("%s: %v %v %v", kind, a["lang"], a["dir"], b["lang"])
		}
		texts := 0
		named := map[string]map[string]bool{"data-tooth": {}, "data-change": {}, "data-wait": {}}
		second := false
		var look func(key string, v any)
		look = func(key string, v any) {
			switch v := v.(type) {
			case map[string]any:
				// What is heard only is said once, in the first language.
				heard := v["kind"] == "sources" || v["kind"] == "chart"
				for k, x := range v {
					if k == "text" && heard && second {
						continue
					}
					look(k, x)
				}
			case []any:
				for _, x := range v {
					look(key, x)
				}
			case string:
				switch key {
				case "text":
					texts++
					if !strings.Contains(shown, squeeze(v)) {
						t.Errorf("%s: %q does not stand on the page", kind, v)
					}
				case "teeth":
					named["data-tooth"][v] = true
				case "change", "wait":
					named["data-"+key][v] = true
				}
			}
		}
		for i, d := range form.Documents {
			second = i > 0
			look("", d)
		}
		if texts < 60 {
			t.Errorf("%s: only %d texts", kind, texts)
		}
		for a, m := range attrs {
			for v := range m {
				if !named[a][v] {
					t.Errorf("%s: %s %s is not named in the data form", kind, a, v)
				}
			}
		}
	}
}

func TestEveryFormatGivesTheSameBytes(t *testing.T) {
	for _, format := range []string{"json", "ics", "eml"} {
		args := []string{"sheet", "-kind", "aftercare", "-locale", "es", "-second", "en", "-format", format, caseDir + "/ten-teeth-no-prep.json"}
		_, a, errs := order("", args...)
		_, b, _ := order("", args...)
		if a == "" || a != b {
			t.Errorf("%s: two runs differ, %s", format, errs)
		}
	}
}

// The PDF of a sheet is tagged, has its title, language and paper, and the text
// of the sheet; its bytes are the same at each run.
func TestPDF(t *testing.T) {
	if testing.Short() {
		t.Skip("needs a browser")
	}
	file := filepath.Join(t.TempDir(), "sheet.pdf")
	args := []string{"sheet", "-kind", "aftercare", "-locale", "es", "-second", "en", "-paper", "letter", "-format", "pdf", caseDir + "/two-teeth.json"}
	if code, out, errs := order("", append(args, "-out", file)...); code != good || out != "" || errs != "" {
		t.Fatalf("exit %d, %d bytes, %s", code, len(out), errs)
	}
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	// The browser decides the bytes. On a machine twenty times overbooked one run
	// in some dozens was seen to differ, so a difference has to come twice.
	code, out, errs := order("", args...)
	if code == good && out != string(data) {
		t.Logf("a second run gave %d bytes, the first %d", len(out), len(data))
		code, out, errs = order("", args...)
	}
	if code != good || out != string(data) {
		t.Errorf("exit %d: runs differ; %s", code, errs)
	}
	info, err := exec.Command("pdfinfo", file).CombinedOutput()
	if err != nil {
		t.Fatalf("pdfinfo: %v: %s", err, info)
	}
	said := strings.Join(strings.Fields(string(info)), " ")
	for _, want := range []string{"Title: " + word(t, "es", "sheet.aftercare.title"), "Tagged: yes", "(letter)", "JavaScript: no", "Encrypted: no"} {
		if !strings.Contains(said, want) {
			t.Errorf("pdfinfo does not say %q: %s", want, said)
		}
	}
	if !bytes.Contains(data, []byte("/Lang (es)")) {
		t.Error("the PDF does not name its language")
	}
	text, err := exec.Command("pdftotext", file, "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	flat := strings.Join(strings.Fields(string(text)), " ")
	for _, want := range []string{word(t, "es", "sheet.aftercare.title"), word(t, "en", "sheet.aftercare.title"), "+1 202-555-0101", "+1 202-555-0102"} {
		if !strings.Contains(flat, want) {
			t.Errorf("the PDF does not hold %q", want)
		}
	}
}

// Without a browser there is one clear fault, and the old file stays.
func TestPDFWithoutBrowser(t *testing.T) {
	file := filepath.Join(t.TempDir(), "sheet.pdf")
	if err := os.WriteFile(file, []byte("old"), 0o600); err != nil {
		t.Fatal(err)
	}
	args := []string{"sheet", "-kind", "aftercare", "-locale", "en", "-format", "pdf", "-out", file, caseDir + "/two-teeth.json"}
	for name, code := range map[string]string{filepath.Join(t.TempDir(), "none"): "FILE-BROWSER", "/bin/false": "FILE-PDF"} {
		t.Setenv("PLAINLEAF_CHROMIUM", name)
		got, out, errs := order("", args...)
		if got != badInput || out != "" || !strings.HasPrefix(errs, code+"\t") || strings.Count(errs, "\n") != 1 {
			t.Errorf("exit %d, %q", got, errs)
		}
	}
	if data, _ := os.ReadFile(file); string(data) != "old" {
		t.Errorf("the old file is %q", data)
	}
}

package email

import (
	"bytes"
	"encoding/base64"
	"io"
	"mime"
	"mime/multipart"
	"mime/quotedprintable"
	"net/mail"
	"net/url"
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"plainleaf/app/casefile"
	"plainleaf/app/fault"
	"plainleaf/build/node"
)

// text holds what quoted-printable has to watch for: spaces at line ends, long
// lines, a lone dot, a boundary-like line, equal signs.
const text = "First line with space \n.\n--=_x\na=b\n" +
	"\u2066+1 202-555-0101\u2069 هذا نص طويل جدًا هذا نص طويل جدًا هذا نص طويل جدًا هذا نص طويل جدًا\n" +
	"这是一行很长的文字这是一行很长的文字这是一行很长的文字这是一行很长的文字这是一行很长的文字\nFrom here\n"

func draft() Draft {
	return Draft{Subject: "Papers from Demo", Name: "Demo", From: "desk@practice.example", Date: casefile.Date{Year: 2026, Month: 11, Day: 25},
		Title: "Papers", Cover: []Paragraph{{Text: "أوراقك مرفقة.", Lang: "ar", Dir: "rtl"}, {Text: "Your <papers> & dates.", Lang: "en", Dir: "ltr"}},
		Text: []byte(text), Body: []Paragraph{{Text: "Papers", Lang: "en", Dir: "ltr", Level: 1}, {Text: "واحد", Lang: "ar", Dir: "rtl", Mark: "-"},
			{Text: "<one>", Lang: "en", Dir: "ltr", Same: true}, {Text: "two", Lang: "en", Dir: "ltr", Mark: "-"}, {Rule: true},
			{Text: "three", Lang: "en", Dir: "ltr", Mark: "!"}}, Files: []File{
			{"papers 2026-11-25.html", "text/html; charset=UTF-8", bytes.Repeat([]byte("<p>é</p>\n"), 500)},
			{"dates.ics", "text/calendar; charset=UTF-8", []byte("BEGIN:VCALENDAR\r\nEND:VCALENDAR\r\n")}}}
}

// whole is the plain text with the cover before it.
var whole = "أوراقك مرفقة.\n\nYour <papers> & dates.\n\n" + strings.Repeat("-", 78) + "\n\n" + text

func write(t testing.TB, d Draft) []byte {
	t.Helper()
	b, faults := Write(d)
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	return b
}

// lines checks every line: CRLF only, plain ASCII, at most 76 characters in
// bodies and 78 in headers (RFC 5322, section 2.1.1; RFC 2045, section 6.7).
func lines(t testing.TB, b []byte) {
	t.Helper()
	s := string(b)
	if strings.Count(s, "\n") != strings.Count(s, "\r\n") || strings.Count(s, "\r") != strings.Count(s, "\r\n") || !strings.HasSuffix(s, "\r\n") {
		t.Fatal("a line does not end with CRLF")
	}
	for _, l := range strings.Split(s, "\r\n") {
		if len(l) > 78 && !strings.Contains(l, "@") || len(l) > 998 || strings.ContainsFunc(l, func(r rune) bool { return r > '~' || r < ' ' }) {
			t.Fatalf("a line of %d characters: %q", len(l), l)
		}
	}
}

// words checks the length of encoded words (RFC 2047, section 2).
func words(t testing.TB, b []byte) {
	t.Helper()
	for _, w := range regexp.MustCompile(`=\?[^?]*\?[BQ]\?[^?]*\?=`).FindAllString(string(b), -1) {
		payload, err := base64.StdEncoding.DecodeString(strings.TrimSuffix(strings.TrimPrefix(w, "=?UTF-8?B?"), "?="))
		if len(w) > 75 || err != nil || !utf8.Valid(payload) {
			t.Fatalf("an encoded word of %d characters, %v: %s", len(w), err, w)
		}
	}
}

type read struct {
	subject, name, from, to, text, html string
	files                               []File
	inner, outer                        string
}

// readByGo reads a draft with net/mail and mime/multipart.
func readByGo(t testing.TB, b []byte) read {
	t.Helper()
	var r read
	must := func(err error) {
		if err != nil {
			t.Helper()
			t.Fatalf("%v\n%s", err, b)
		}
	}
	m, err := mail.ReadMessage(bytes.NewReader(b))
	must(err)
	r.subject, err = new(mime.WordDecoder).DecodeHeader(m.Header.Get("Subject"))
	must(err)
	if m.Header.Get("From") != "" {
		a, err := mail.ParseAddress(m.Header.Get("From"))
		must(err)
		r.name, r.from = a.Name, a.Address
	}
	r.to = m.Header.Get("To")
	_, err = m.Header.Date()
	must(err)
	part := func(header interface{ Get(string) string }) (string, map[string]string) {
		kind, params, err := mime.ParseMediaType(header.Get("Content-Type"))
		must(err)
		return kind, params
	}
	r.outer, _ = part(m.Header)
	_, params := part(m.Header)
	outer := multipart.NewReader(m.Body, params["boundary"])
	p, err := outer.NextRawPart()
	must(err)
	r.inner, params = part(p.Header)
	inner := multipart.NewReader(p, params["boundary"])
	for _, into := range []*string{&r.text, &r.html} {
		p, err := inner.NextRawPart()
		must(err)
		data, err := io.ReadAll(quotedprintable.NewReader(p))
		must(err)
		*into = strings.ReplaceAll(string(data), "\r\n", "\n")
	}
	if _, err := inner.NextRawPart(); err != io.EOF {
		t.Fatalf("more alternatives: %v", err)
	}
	for {
		p, err := outer.NextRawPart()
		if err == io.EOF {
			return r
		}
		must(err)
		data, err := io.ReadAll(base64.NewDecoder(base64.StdEncoding, p))
		must(err)
		_, params, err := mime.ParseMediaType(p.Header.Get("Content-Disposition"))
		must(err)
		r.files = append(r.files, File{params["filename"], p.Header.Get("Content-Type"), data})
	}
}

type readJS struct {
	Subject, Date, ID, Text, Html string
	From                          *struct{ Name, Address string }
	To                            []struct{ Name, Address string }
	Headers                       []string
	Files                         []struct{ Name, Type, Disposition, Data string }
}

// readByJS reads a draft with postal-mime.
func readByJS(t *testing.T, b []byte) readJS {
	t.Helper()
	return node.Read[readJS](t, "../../build/checks/readers/mail.mjs", b)
}

var names = []string{
	"papers.html", "papers (2026-11-25).html", "Документы для пациента.html", "أوراقك.ics", "您的文件您的文件您的文件您的文件您的文件您的文件.pdf",
	strings.Repeat("é", 90) + ".html", "50% a'b;c=d.html", "zażółć gęślą jaźń.html", "日.ics", strings.Repeat("long", 40) + ".txt",
}

var subjects = []string{
	"Papers from Demo", "Документы от клиники «Пример», прочитайте их дома и позвоните нам, если есть вопросы", "أوراق من العيادة التجريبية",
	"来自示范诊所的文件请在家中慢慢阅读如有问题请打电话给我们来自示范诊所的文件请在家中慢慢阅读", strings.Repeat("plain ", 20) + "end",
	"=?UTF-8?B?QQ==?= looks encoded", strings.Repeat("0", 62) + "é", "👩🏽‍⚕️" + strings.Repeat("é", 40), `a "quoted" name, with <signs>`,
}

func TestRoundTrip(t *testing.T) {
	for i := range max(len(names), len(subjects)) {
		d := draft()
		name, subject := names[i%len(names)], subjects[i%len(subjects)]
		d.Files[0].Name, d.Subject, d.Name = name, subject, subject
		b := write(t, d)
		lines(t, b)
		words(t, b)

		got := readByGo(t, b)
		if got.outer != "multipart/mixed" || got.inner != "multipart/alternative" || got.subject != subject || got.name != subject ||
			got.from != d.From || got.to != "" || got.text != whole || len(got.files) != 2 {
			t.Errorf("net/mail reads %+v", got)
			continue
		}
		for j, f := range got.files {
			if f.Name != d.Files[j].Name || f.Type != d.Files[j].Type || !bytes.Equal(f.Data, d.Files[j].Data) {
				t.Errorf("net/mail: file %d is %q (%s), want %q", j, f.Name, f.Type, d.Files[j].Name)
			}
		}
		if !strings.Contains(got.html, `<html lang="ar" dir="rtl">`) || !strings.Contains(got.html, `<p lang="en" dir="ltr">Your &lt;papers&gt; &amp; dates.</p>`) {
			t.Errorf("the cover is %s", got.html)
		}
		if want := `<hr/><h1 lang="en" dir="ltr">Papers</h1><ul><li>واحد<br/><span lang="en" dir="ltr">&lt;one&gt;</span></li></ul>` +
			`<ul lang="en" dir="ltr"><li>two</li></ul><hr/><p lang="en" dir="ltr">! three</p></body></html>`; !strings.Contains(got.html, want) {
			t.Errorf("the body is %s", got.html)
		}

		js := readByJS(t, b)
		if js.Subject != subject || js.From == nil || js.From.Name != subject || js.From.Address != d.From || len(js.To) != 0 ||
			strings.TrimRight(js.Text, "\n") != strings.TrimRight(whole, "\n") || // this parser puts a line break behind every text
			strings.TrimRight(js.Html, "\n") != strings.TrimRight(got.html, "\n") || !strings.HasPrefix(js.Date, "2026-11-25T00:00:00") || len(js.Files) != 2 {
			js.Files = nil
			t.Errorf("postal-mime reads %+v, want %q", js, subject)
			continue
		}
		for j, f := range js.Files {
			data, _ := base64.StdEncoding.DecodeString(f.Data)
			if strings.HasPrefix(f.Type, "text/calendar") { // this parser gives text with its own line ends
				data = bytes.ReplaceAll(bytes.TrimRight(data, "\n"), []byte("\n"), []byte("\r\n"))
				data = append(data, "\r\n"...)
			}
			if f.Name != d.Files[j].Name || f.Disposition != "attachment" || !strings.HasPrefix(d.Files[j].Type, f.Type) || !bytes.Equal(data, d.Files[j].Data) {
				t.Errorf("postal-mime: file %d is %q (%s, %s), want %q", j, f.Name, f.Type, f.Disposition, d.Files[j].Name)
			}
		}
		want := []string{"from", "subject", "date", "message-id", "x-unsent", "mime-version", "content-type"}
		if !slices.Equal(js.Headers, want) {
			t.Errorf("headers %v", js.Headers)
		}
	}
}

func TestRecipientAndSenderOnlyWhenGiven(t *testing.T) {
	d := draft()
	d.To, d.From, d.Name = "patient.one+x@mail.example", "", ""
	got := readByGo(t, write(t, d))
	if got.to != d.To || got.from != "" {
		t.Errorf("%+v", got)
	}
	if s := string(write(t, draft())); strings.Contains(s, "To:") || !strings.Contains(s, "X-Unsent: 1\r\n") {
		t.Error("a recipient nobody gave, or no mark of a draft")
	}
}

func TestSameBytesAndIDByContent(t *testing.T) {
	a := write(t, draft())
	if !bytes.Equal(a, write(t, draft())) {
		t.Error("two runs differ")
	}
	id := func(b []byte) string { return regexp.MustCompile(`Message-ID: (\S+)`).FindStringSubmatch(string(b))[1] }
	for name, change := range map[string]func(*Draft){
		"text": func(d *Draft) { d.Text = append(d.Text, 'x') }, "file": func(d *Draft) { d.Files[1].Data = []byte("x") },
		"to": func(d *Draft) { d.To = "a@b.example" }, "subject": func(d *Draft) { d.Subject += "x" }, "cover": func(d *Draft) { d.Cover[0].Text += "x" }, "body": func(d *Draft) { d.Body[0].Text += "x" },
	} {
		d := draft()
		change(&d)
		if id(write(t, d)) == id(a) {
			t.Errorf("another %s has the same id", name)
		}
	}
}

// What could break out of a header is a fault, wherever it stands.
func TestInjection(t *testing.T) {
	for _, bad := range []string{"a\r\nBcc: x@y.example", "a\nBcc: x@y.example", "a\rb", "a\x00b", "a\r\n\r\n<script>", "a\u2028b", "\xff", "a\u202eb", "\u0085x", "a\r\n "} {
		for field, put := range map[string]func(*Draft){
			"subject": func(d *Draft) { d.Subject = bad }, "name": func(d *Draft) { d.Name = bad },
			"from": func(d *Draft) { d.From = "x@y.example" + bad }, "to": func(d *Draft) { d.To = bad + "@y.example" },
			"file": func(d *Draft) { d.Files[0].Name = bad }, "type": func(d *Draft) { d.Files[0].Type = "text/html" + bad },
		} {
			d := draft()
			put(&d)
			if b, faults := Write(d); b != nil || len(faults) == 0 {
				t.Errorf("%s takes %q", field, bad)
			}
		}
		if s, faults := Mailto("", bad, "b"); s != "" || len(faults) == 0 {
			t.Errorf("mailto takes %q as subject", bad)
		}
	}
	for _, bad := range []string{"x", "x@y", "@y.example", "x@", "a b@y.example", "x@y.example, z@y.example", "x@y.example;z@y.example", "<x@y.example>", "x@@y.example",
		".x@y.example", "x.@y.example", "x..y@y.example", "x@-y.example", "x@y..example", "x@y.example.", "x@y.example?bcc=z@y.example", "й@y.example", `"x"@y.example`,
		strings.Repeat("x", 65) + "@y.example", "x@" + strings.Repeat("y", 64) + ".example", strings.Repeat("x", 250) + "@y.example"} {
		d := draft()
		d.To = bad
		if _, faults := Write(d); !faults.Has("MAIL-ADDRESS") {
			t.Errorf("%q is taken as an address: %v", bad, faults.Lines())
		}
		if _, faults := Mailto(bad, "a", "b"); !faults.Has("MAIL-ADDRESS") {
			t.Errorf("mailto takes %q as an address", bad)
		}
	}
	for _, bad := range []string{"../x.html", `a\b.html`, ".hidden", "", "a:b", "a\"b"} {
		d := draft()
		d.Files[0].Name = bad
		if _, faults := Write(d); !faults.Has("MAIL-FILE") {
			t.Errorf("%q is taken as the name of a file", bad)
		}
	}
}

func TestEmptyOrBadIsRefused(t *testing.T) {
	for name, x := range map[string]struct {
		code   string
		change func(*Draft)
	}{
		"no subject": {"MAIL-HEADER", func(d *Draft) { d.Subject = " " }}, "long subject": {"MAIL-HEADER", func(d *Draft) { d.Subject = strings.Repeat("x", 501) }},
		"no date": {"MAIL-DATE", func(d *Draft) { d.Date = casefile.Date{} }}, "no text": {"MAIL-TEXT", func(d *Draft) { d.Text = nil }},
		"bad text": {"MAIL-TEXT", func(d *Draft) { d.Text = []byte("\xff") }}, "no cover": {"MAIL-TEXT", func(d *Draft) { d.Cover = nil }},
		"no body": {"MAIL-TEXT", func(d *Draft) { d.Body = nil }}, "blank in the body": {"MAIL-TEXT", func(d *Draft) { d.Body[0].Text = " " }},
		"escape in the text": {"MAIL-TEXT", func(d *Draft) { d.Text = []byte("a\x1b[2J") }}, "override in the cover": {"MAIL-TEXT", func(d *Draft) { d.Cover[0].Text = "a\u202eb" }},
		"null in the body": {"MAIL-TEXT", func(d *Draft) { d.Body[0].Text = "a\x00" }},
		"no type":          {"MAIL-FILE", func(d *Draft) { d.Files[0].Type = "html" }},
	} {
		d := draft()
		x.change(&d)
		if b, faults := Write(d); b != nil || !faults.Has(x.code) {
			t.Errorf("%s: %d bytes, %s", name, len(b), fault.List(faults).Lines())
		}
	}
}

// The examples of RFC 6068, section 6: space as %20, line breaks as %0D%0A,
// letters outside ASCII as UTF-8.
func TestMailto(t *testing.T) {
	s, faults := Mailto("a+b@y.example", "café & more?", "one line\nnext=100%")
	if want := "mailto:a%2Bb@y.example?subject=caf%C3%A9%20%26%20more%3F&body=one%20line%0D%0Anext%3D100%25"; s != want || len(faults) > 0 {
		t.Errorf("got  %s\nwant %s (%v)", s, want, faults)
	}
	for _, body := range []string{strings.Repeat("请", 170), strings.Repeat("请", 1000)} {
		s, faults := Mailto("", "来自示范诊所的文件", body)
		if len(faults) > 0 || len(s) > MailtoLimit {
			t.Fatalf("%d characters, %v", len(s), faults)
		}
		u, err := url.Parse(s)
		if err != nil || u.Scheme != "mailto" {
			t.Fatal(err)
		}
		q := u.Query()
		if got := q.Get("body"); q.Get("subject") != "来自示范诊所的文件" || got != body && got != "" || (got == "") != (len(body) > 600) {
			t.Errorf("%d characters of the body's %d", len(got), len(body))
		}
	}
	if _, faults := Mailto("", strings.Repeat("请", 160), ""); len(faults) > 0 {
		t.Error(faults.Lines())
	}
	if _, faults := Mailto("", strings.Repeat("\U0001F600", 125), ""); len(faults) > 0 { // 500 bytes, 1500 characters
		t.Error(faults.Lines())
	}
	if _, faults := Mailto("", "a", "b\x00"); !faults.Has("MAIL-TEXT") {
		t.Error("a null in the body is taken")
	}
}

func FuzzHeaders(f *testing.F) {
	for _, s := range append(slices.Clone(subjects), names...) {
		f.Add(s, s)
	}
	f.Add("a\r\nBcc: b@c.d", "x\x00")
	f.Fuzz(func(t *testing.T, subject, name string) {
		d := draft()
		d.Subject, d.Name, d.Files[0].Name = subject, subject, name
		b, faults := Write(d)
		if len(faults) > 0 {
			return
		}
		lines(t, b)
		words(t, b)
		got := readByGo(t, b)
		if got.subject != subject || got.files[0].Name != name || got.name != subject {
			t.Fatalf("%q and %q came back as %q, %q and %q", subject, name, got.subject, got.name, got.files[0].Name)
		}
	})
}

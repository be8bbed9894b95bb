// Package email writes a message as a draft file that mail programs open for
// sending (RFC 5322, 2045, 2047, 2231). Sending stays the user's own act: a
// draft has no recipient unless one is given. The same draft gives the same bytes.
package email

import (
	"bytes"
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"
	"fmt"
	"io"
	"mime/multipart"
	"mime/quotedprintable"
	"net/textproto"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"golang.org/x/net/html"
	"golang.org/x/net/html/atom"

	"plainleaf/app/casefile"
	"plainleaf/app/fault"
	"plainleaf/app/safetext"
)

// MediaType is that of the file.
const MediaType = "message/rfc822"

// Draft is a message before it is sent.
type Draft struct {
	Subject string
	// Name and From are the sender's; without From the mail program fills it in.
	Name, From string
	To         string // "" for none
	Date       casefile.Date
	Title      string
	Cover      []Paragraph // what a reader sees first, and a preview shows
	Text       []byte      // the whole content as plain text, lines ended by LF
	Body       []Paragraph // the same for a reader of HTML (RFC 2046, section 5.1.4)
	Files      []File
}

// Paragraph is one of the cover or the body, in its language.
type Paragraph struct {
	Text, Lang, Dir string
	Mark            string // before it, such as "!" or "[x]"; "-" makes it an item of a list
	Level           int    // of a heading, 1 to 3; 0 for none
	Same            bool   // it goes on with the one before
	Rule            bool   // a line across, and nothing else
}

// File is an attachment.
type File struct {
	Name string // with its extension, in any script
	Type string // media type, such as "text/html; charset=UTF-8"
	Data []byte
}

const (
	crlf = "\r\n"
	// column is the longest encoded line (RFC 2045, section 6.7 and 6.8).
	column = 76
)

// Write gives the draft file.
//
// Codes: MAIL-HEADER a control character or bad UTF-8 in what goes into a
// header; MAIL-ADDRESS no plain mail address; MAIL-DATE no date; MAIL-TEXT no
// text or bad UTF-8; MAIL-FILE an attachment's name or type that cannot be sent.
func Write(d Draft) ([]byte, fault.List) {
	if faults := d.check(); len(faults) > 0 {
		return nil, faults
	}
	sum := sha256.New()
	part := func(b []byte) {
		fmt.Fprintf(sum, "%d:", len(b))
		sum.Write(b)
	}
	for _, s := range []string{d.Subject, d.Name, d.From, d.To, d.Date.String()} {
		part([]byte(s))
	}
	page, plain := d.page(), d.text()
	part(page)
	part(plain)
	for _, f := range d.Files {
		part([]byte(f.Name))
		part([]byte(f.Type))
		part(f.Data)
	}
	id := hex.EncodeToString(sum.Sum(nil)[:16])
	// No encoded body can hold "=_" (RFC 2045, section 6.7), so these part nothing else.
	outer, inner := "=_"+id+".1", "=_"+id+".2"

	var b bytes.Buffer // takes everything, so that no write below can fail
	header := func(name, value string) { b.WriteString(name + ": " + value + crlf) }
	if d.From != "" {
		header("From", mailbox(d.Name, d.From))
	}
	if d.To != "" {
		header("To", d.To)
	}
	header("Subject", encoded(d.Subject))
	header("Date", time.Date(d.Date.Year, time.Month(d.Date.Month), d.Date.Day, 0, 0, 0, 0, time.UTC).Format(time.RFC1123Z))
	header("Message-ID", "<"+id+"@"+host(d.From)+">")
	header("X-Unsent", "1") // some mail programs then open the file for editing
	header("MIME-Version", "1.0")
	header("Content-Type", "multipart/mixed;"+crlf+` boundary="`+outer+`"`)
	b.WriteString(crlf)

	mixed := multipart.NewWriter(&b)
	mixed.SetBoundary(outer)
	texts, _ := mixed.CreatePart(textproto.MIMEHeader{"Content-Type": {"multipart/alternative;" + crlf + ` boundary="` + inner + `"`}})
	either := multipart.NewWriter(texts)
	either.SetBoundary(inner)
	for _, p := range []struct {
		kind string
		data []byte
	}{{"text/plain; charset=UTF-8", plain}, {"text/html; charset=UTF-8", page}} {
		part, _ := either.CreatePart(textproto.MIMEHeader{"Content-Type": {p.kind}, "Content-Transfer-Encoding": {"quoted-printable"}})
		w := quotedprintable.NewWriter(part)
		w.Write(p.data)
		w.Close()
	}
	either.Close()
	for _, f := range d.Files {
		w, _ := mixed.CreatePart(textproto.MIMEHeader{"Content-Type": {f.Type}, "Content-Transfer-Encoding": {"base64"},
			"Content-Disposition": {"attachment" + fileName(f.Name)}})
		s := base64.StdEncoding.EncodeToString(f.Data)
		for len(s) > 0 {
			n := min(column, len(s))
			io.WriteString(w, s[:n]+crlf)
			s = s[n:]
		}
	}
	mixed.Close()
	return b.Bytes(), nil
}

func (d Draft) check() fault.List {
	var faults fault.List
	header(&faults, "subject", d.Subject)
	header(&faults, "name", d.Name)
	address(&faults, "from", d.From)
	address(&faults, "to", d.To)
	if strings.TrimSpace(d.Subject) == "" {
		faults.Add("MAIL-HEADER", "subject", "the subject is blank")
	}
	if !d.Date.Exists() {
		faults.Add("MAIL-DATE", "date", "the day of writing is missing")
	}
	if len(d.Text) == 0 || !safetext.Body.Fits(string(d.Text)) {
		faults.Add("MAIL-TEXT", "text", "the text is empty, not UTF-8 or holds a control character")
	}
	for _, l := range []struct {
		path string
		list []Paragraph
	}{{"cover", d.Cover}, {"body", d.Body}} {
		if len(l.list) == 0 {
			faults.Add("MAIL-TEXT", l.path, "nothing stands in it")
		}
		for i, p := range l.list {
			if !p.Rule && (!safetext.Body.Fits(p.Text) || strings.TrimSpace(p.Text+p.Mark) == "") {
				faults.Add("MAIL-TEXT", fmt.Sprintf("%s[%d]", l.path, i), "the text is blank, not UTF-8 or holds a control character")
			}
		}
	}
	for i, f := range d.Files {
		path := fmt.Sprintf("files[%d]", i)
		if f.Name == "" || len(f.Name) > 255 || strings.HasPrefix(f.Name, ".") || strings.ContainsAny(f.Name, `/\:*?"<>|`) || !safetext.Plain.Fits(f.Name) {
			faults.Add("MAIL-FILE", path+".name", "%q cannot be the name of a file", f.Name)
		}
		if !safetext.Plain.Fits(f.Type) || !strings.Contains(f.Type, "/") || len(f.Type) > column-len("Content-Type: ") {
			faults.Add("MAIL-FILE", path+".type", "%q is not a media type", f.Type)
		}
	}
	return faults
}

func header(faults *fault.List, path, s string) {
	if !safetext.Plain.Fits(s) {
		faults.Add("MAIL-HEADER", path, "%q holds a character that no header may hold", s)
	} else if len(s) > 500 {
		faults.Add("MAIL-HEADER", path, "the text is longer than 500 bytes")
	}
}

// Address reports a mail address that is not a plain one: dot-atom at domain
// (RFC 5322, section 3.4.1), at most 254 characters. An empty one is "none".
func Address(path, s string) fault.List {
	var faults fault.List
	address(&faults, path, s)
	return faults
}

const (
	alphanumeric = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789"
	atext        = alphanumeric + "!#$%&'*+-/=?^_`{|}~"
)

func address(faults *fault.List, path, s string) {
	if s == "" {
		return
	}
	local, domain, _ := strings.Cut(s, "@")
	good := len(s) <= 254 && len(local) <= 64 && strings.Contains(domain, ".")
	for _, part := range strings.Split(local, ".") {
		good = good && part != "" && strings.Trim(part, atext) == ""
	}
	for _, label := range strings.Split(domain, ".") {
		good = good && label != "" && len(label) <= 63 && strings.Trim(label, alphanumeric+"-") == "" && strings.Trim(label, "-") == label
	}
	if !good {
		faults.Add("MAIL-ADDRESS", path, "%q is not a plain mail address", s)
	}
}

// host is the domain of the message's id; a domain that can never exist where
// there is no sender (RFC 2606).
func host(from string) string {
	if _, domain, ok := strings.Cut(from, "@"); ok {
		return domain
	}
	return "plainleaf.invalid"
}

func mailbox(name, addr string) string {
	if name == "" {
		return addr
	}
	phrase := encoded(name)
	// Bare words lose all but one of the spaces between them.
	if phrase == name && (strings.Trim(name, atext+" ") != "" || strings.Contains(name, "  ")) {
		phrase = `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`).Replace(name) + `"`
		if len("From: "+phrase) > 78 { // with its escapes (RFC 5322, section 2.1.1)
			phrase = encodedWords(name)
		}
	}
	return phrase + crlf + " <" + addr + ">"
}

// encoded writes unstructured text for a header: as it is when it is short plain
// ASCII, else as encoded words.
func encoded(s string) string {
	plain := len(s) <= 60 && !strings.Contains(s, "=?") && strings.TrimSpace(s) == s
	for i := 0; i < len(s); i++ {
		plain = plain && s[i] >= ' ' && s[i] <= '~'
	}
	if plain {
		return s
	}
	return encodedWords(s)
}

// encodedWords writes encoded words of at most 75 characters, cut between characters,
// each on a line of its own (RFC 2047, sections 2 and 5). The encoder of package mime
// leaves plain ASCII as it is, also where it is too long for a line or looks encoded,
// and folds no line.
func encodedWords(s string) string {
	var out []string
	for len(s) > 0 {
		n := 0
		for n < len(s) {
			_, size := utf8.DecodeRuneInString(s[n:])
			if n+size > 39 { // 52 characters of base64, 64 with what is around them
				break
			}
			n += size
		}
		out = append(out, "=?UTF-8?B?"+base64.StdEncoding.EncodeToString([]byte(s[:n]))+"?=")
		s = s[n:]
	}
	return strings.Join(out, crlf+" ")
}

// fileName gives the parameters of an attachment's name: a plain ASCII one for
// old readers, and the real one in pieces (RFC 2231, sections 3 and 4), which package
// mime writes in one line and without the plain one.
func fileName(name string) string {
	var ascii, percent strings.Builder
	plain := len(name) <= 60
	for _, r := range name {
		if r < utf8.RuneSelf && strings.ContainsRune(alphanumeric+" .-_()", r) {
			ascii.WriteRune(r)
		} else {
			plain = false
		}
	}
	if plain {
		return ";" + crlf + ` filename="` + name + `"`
	}
	for _, c := range []byte(name) {
		if strings.IndexByte(alphanumeric+".-_", c) >= 0 {
			percent.WriteByte(c)
		} else {
			fmt.Fprintf(&percent, "%%%02X", c)
		}
	}
	simple := strings.Trim(ascii.String(), " -_")
	if simple == "" || strings.HasPrefix(simple, ".") {
		simple = "file" + simple
	}
	if len(simple) > 60 {
		simple = simple[:40] + simple[len(simple)-20:]
	}
	out := ";" + crlf + ` filename="` + simple + `"`
	rest := "UTF-8''" + percent.String()
	if len(rest) <= 60 {
		return out + ";" + crlf + " filename*=" + rest
	}
	for i := 0; len(rest) > 0; i++ {
		n := min(54, len(rest))
		for back := 0; back < 2 && n < len(rest); back++ { // no escape is cut in two
			if rest[n-1] == '%' || n > 1 && rest[n-2] == '%' {
				n--
			}
		}
		out += ";" + crlf + fmt.Sprintf(" filename*%d*=%s", i, rest[:n])
		rest = rest[n:]
	}
	return out
}

// text is the cover and the content as plain text.
func (d Draft) text() []byte {
	var b bytes.Buffer
	for _, p := range d.Cover {
		b.WriteString(p.Text + "\n\n")
	}
	b.WriteString(rule + "\n\n")
	b.Write(d.Text)
	return b.Bytes()
}

const rule = "------------------------------------------------------------------------------"

// page is the cover and the content as HTML. The cover names no reason for the visit.
func (d Draft) page() []byte {
	el := func(tag string, kv ...string) *html.Node {
		n := &html.Node{Type: html.ElementNode, Data: tag, DataAtom: atom.Lookup([]byte(tag))}
		for i := 0; i+1 < len(kv); i += 2 {
			n.Attr = append(n.Attr, html.Attribute{Key: kv[i], Val: kv[i+1]})
		}
		return n
	}
	words := func(n *html.Node, s string) *html.Node {
		n.AppendChild(&html.Node{Type: html.TextNode, Data: s})
		return n
	}
	first := d.Cover[0]
	in := func(tag string, p Paragraph) *html.Node {
		if p.Lang == first.Lang {
			return el(tag)
		}
		return el(tag, "lang", p.Lang, "dir", p.Dir)
	}
	root := el("html", "lang", first.Lang, "dir", first.Dir)
	head, body := el("head"), el("body")
	head.AppendChild(el("meta", "charset", "utf-8"))
	head.AppendChild(words(el("title"), d.Title))
	var list, last *html.Node
	listed := "" // the language of the list
	for _, p := range slices.Concat(d.Cover, []Paragraph{{Rule: true}}, d.Body) {
		switch {
		case p.Rule:
			body.AppendChild(el("hr"))
			list, last = nil, nil
		case p.Same && last != nil:
			last.AppendChild(el("br"))
			last.AppendChild(words(in("span", p), marked(p)))
		case p.Level > 0:
			list, last = nil, in("h"+strconv.Itoa(min(p.Level, 3)), p)
			body.AppendChild(words(last, marked(p)))
		case p.Mark == "-":
			if list == nil || listed != p.Lang {
				list, listed = in("ul", p), p.Lang
				body.AppendChild(list)
			}
			last = el("li")
			list.AppendChild(words(last, p.Text))
		default:
			list, last = nil, in("p", p)
			body.AppendChild(words(last, marked(p)))
		}
	}
	root.AppendChild(head)
	root.AppendChild(body)
	document := &html.Node{Type: html.DocumentNode}
	document.AppendChild(&html.Node{Type: html.DoctypeNode, Data: "html"})
	document.AppendChild(root)
	var b bytes.Buffer
	html.Render(&b, document) // fails only where the writer does
	b.WriteByte('\n')
	return b.Bytes()
}

func marked(p Paragraph) string { return strings.TrimSpace(p.Mark + " " + p.Text) }

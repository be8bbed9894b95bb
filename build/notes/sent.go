package notes

import (
	"bytes"
	"io"
	"mime"
	"mime/multipart"
	"mime/quotedprintable"
	"net/mail"
	"strings"

	"plainleaf/app/casefile"
	"plainleaf/app/printout"
	"plainleaf/app/produce"
	"plainleaf/app/sheet"
)

// sent notes the words of the mails and calendars of the cases.
func (m *maker) sent(cases []casefile.Case, practices []casefile.Practice) error {
	for _, c := range cases {
		for _, p := range practices {
			for _, k := range sheet.Kinds() {
				in := m.inputs(c, p, k)
				docs, pl, faults := produce.Docs(in)
				if len(faults) > 0 {
					continue
				}
				if produce.Dated(k) {
					m.calendar(in, func(add func(title, note string)) {
						dates, _ := produce.Dates(in, pl)
						for _, e := range dates.Events {
							add(e.Summary, e.Description)
						}
					})
				}
				if k != sheet.Aftercare || m.found["mail.dates"].On != nil {
					continue // the cover of every mail is the same
				}
				parts, faults := produce.Attachments(in, pl, docs, printout.Options{})
				if len(faults) > 0 {
					continue
				}
				data, faults := produce.Mail(in, docs, parts, "")
				if len(faults) > 0 {
					continue
				}
				if err := m.mail(data); err != nil {
					return err
				}
			}
		}
	}
	m.keep(use{text: sheet.M("calendar.name"), as: "the name of a calendar"}, "calendar", nil)
	m.keep(use{text: sheet.M("calendar.file"), as: "the name of a file"}, "calendar", nil)
	m.keep(use{text: sheet.M("mail.file"), as: "the name of a file"}, "mail", nil)
	m.keep(use{text: sheet.M("mail.by-hand"), as: "all of a short message, to which the file is attached by hand"}, "mail", nil)
	return nil
}

// calendar notes the titles and notes of dates, each beside the other.
func (m *maker) calendar(in produce.Input, dates func(add func(title, note string))) {
	values := map[string]string{"Clinic": in.Practice.Name, "Phone": in.Practice.Telephone}
	dates(func(title, note string) {
		m.keep(use{text: sheet.M(title), as: "the title of a date, seen on shared screens", after: note}, "calendar", nil)
		held := map[string]string{}
		for _, name := range m.words.Placeholders(note) {
			held[name] = values[name]
		}
		m.keep(use{text: sheet.M(note), as: "the note of a date", before: title}, "calendar", held)
	})
}

// mail notes the subject of a mail and the paragraphs before its sheet.
func (m *maker) mail(data []byte) error {
	msg, err := mail.ReadMessage(bytes.NewReader(data))
	if err != nil {
		return err
	}
	subject, err := new(mime.WordDecoder).DecodeHeader(msg.Header.Get("Subject"))
	if err != nil {
		return err
	}
	if m.matches("mail.subject", subject) {
		m.keep(use{text: sheet.M("mail.subject"), as: "the subject of a mail, seen by others"}, "mail", nil)
	}
	m.keep(use{text: sheet.M("mail.title"), as: "the title of a mail in HTML"}, "mail", nil)
	text, err := plain(msg.Header.Get("Content-Type"), msg.Body, "")
	if err != nil {
		return err
	}
	before := ""
	for paragraph := range strings.SplitSeq(strings.ReplaceAll(text, "\r\n", "\n"), "\n\n") {
		paragraph = strings.Join(strings.Fields(paragraph), " ")
		for _, id := range Patients(m.words) {
			if !strings.HasPrefix(id, "mail.") || id == "mail.subject" || id == "mail.title" || id == "mail.file" || !m.matches(id, paragraph) {
				continue
			}
			if before != "" {
				w := m.found[before]
				w.After = id
				m.found[before] = w
			}
			m.keep(use{text: sheet.M(id), as: "a paragraph before the sheet, in every mail", before: before}, "mail", m.values(id, paragraph))
			before = id
		}
	}
	return nil
}

// matches reports whether a text was made from a message.
func (m *maker) matches(id, text string) bool {
	m.values(id, text) // makes the patterns
	for _, p := range m.patterns[id] {
		if p.of.MatchString(text) {
			return true
		}
	}
	return false
}

// plain gives the first part of plain text in a mail.
func plain(kind string, body io.Reader, encoding string) (string, error) {
	media, params, err := mime.ParseMediaType(kind)
	if err != nil {
		return "", err
	}
	if !strings.HasPrefix(media, "multipart/") {
		if media != "text/plain" {
			return "", nil
		}
		if strings.EqualFold(encoding, "quoted-printable") {
			body = quotedprintable.NewReader(body)
		}
		text, err := io.ReadAll(body)
		return string(text), err
	}
	for r := multipart.NewReader(body, params["boundary"]); ; {
		part, err := r.NextRawPart()
		if err == io.EOF {
			return "", nil
		}
		if err != nil {
			return "", err
		}
		if text, err := plain(part.Header.Get("Content-Type"), part, part.Header.Get("Content-Transfer-Encoding")); text != "" || err != nil {
			return text, err
		}
	}
}

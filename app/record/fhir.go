package record

import (
	"crypto/sha1"
	"encoding/base64"
	"fmt"
	"strings"

	"plainleaf/app/fault"
)

// The parts of a FHIR R4 (4.0.1) Consent that are written. Nobody is referred to:
// people and the practice stand by name only.
type fhirConsent struct {
	ResourceType     string           `json:"resourceType"`
	Meta             *fhirMeta        `json:"meta,omitempty"`
	Language         string           `json:"language"`
	Text             fhirNarrative    `json:"text"`
	Identifier       []fhirIdentifier `json:"identifier"`
	Status           string           `json:"status"`
	Scope            fhirConcept      `json:"scope"`
	Category         []fhirConcept    `json:"category"`
	Patient          fhirReference    `json:"patient"`
	DateTime         string           `json:"dateTime"`
	Organization     []fhirReference  `json:"organization"`
	SourceAttachment fhirAttachment   `json:"sourceAttachment"`
	PolicyRule       fhirConcept      `json:"policyRule"`
}

type fhirMeta struct {
	Tag []fhirCoding `json:"tag"`
}

type fhirNarrative struct {
	Status string `json:"status"`
	Div    string `json:"div"`
}

type fhirIdentifier struct {
	Type  *fhirConcept `json:"type,omitempty"`
	Value string       `json:"value"`
}

type fhirConcept struct {
	Coding []fhirCoding `json:"coding,omitempty"`
	Text   string       `json:"text,omitempty"`
}

type fhirCoding struct {
	System string `json:"system"`
	Code   string `json:"code"`
}

type fhirReference struct {
	Extension  []fhirExtension `json:"extension,omitempty"`
	Identifier *fhirIdentifier `json:"identifier,omitempty"`
	Display    string          `json:"display,omitempty"`
}

type fhirExtension struct {
	URL       string `json:"url"`
	ValueCode string `json:"valueCode"`
}

type fhirAttachment struct {
	ContentType string `json:"contentType"`
	Language    string `json:"language"`
	Data        string `json:"data"`
	Size        int    `json:"size"`
	Hash        string `json:"hash"` // SHA-1 in base64, as FHIR has it
	Title       string `json:"title"`
	Creation    string `json:"creation"`
}

// FHIR writes a sealed record as a FHIR R4 Consent, with all that was shown
// attached as plain text. Findings and the rest of the case are left out: the
// resource goes to other systems. The record must be intact and not wrongly
// signed, and, where trust is given, signed by a key of it.
//
// Codes: FHIR-RECORD the record is not intact, or not by a trusted key; FHIR-KIND
// its kind is no consent.
func FHIR(sealed []byte, trust *Trust) ([]byte, fault.List) {
	v := Verify(sealed, trust)
	switch {
	case v.Good():
	case v.Integrity == Intact && v.Signer != Wrong:
		return nil, append(v.Faults, fault.New("FHIR-RECORD", "signature", "the record is not signed by a trusted key: verify it"))
	default:
		return nil, append(v.Faults, fault.New("FHIR-RECORD", "", "the record is not intact: verify it"))
	}
	r, ok := Read(sealed)
	if !ok || len(r.Languages) == 0 {
		return nil, fault.List{fault.New("FHIR-RECORD", "record", "the record lacks what a consent needs")}
	}
	if r.Kind == Aftercare {
		return nil, fault.List{fault.New("FHIR-KIND", "record.kind", "a record of kind %q is no consent", r.Kind)}
	}
	first := r.Languages[0]
	when := r.Issued
	if r.Decision.On.Exists() {
		when = r.Decision.On
	}
	text := plain(r)
	sum := sha1.Sum([]byte(text))
	c := fhirConsent{
		ResourceType: "Consent",
		Language:     first.Locale,
		Text:         fhirNarrative{"generated", div(r, v.Code)},
		Identifier:   []fhirIdentifier{{&fhirConcept{Text: "SHA-256 of the sealed record (RFC 8785)"}, v.SHA256}},
		Status:       status(r),
		Scope:        fhirConcept{Coding: []fhirCoding{{"http://terminology.hl7.org/CodeSystem/consentscope", "treatment"}}},
		// Consent document; the code is from memory.
		Category:     []fhirConcept{{Coding: []fhirCoding{{"http://loinc.org", "59284-0"}}, Text: first.Title}},
		DateTime:     when.String(),
		Organization: []fhirReference{reference(r.Practice.Name, "")},
		SourceAttachment: fhirAttachment{ContentType: "text/plain; charset=utf-8", Language: first.Locale,
			Data: base64.StdEncoding.EncodeToString([]byte(text)), Size: len(text), Hash: base64.StdEncoding.EncodeToString(sum[:]),
			Title: first.Title, Creation: r.Issued.String()},
		PolicyRule: fhirConcept{Text: first.Page.Caution}, // invariant ppc-1 asks for a policy
	}
	if id := r.Identifiers; id != nil { // invariant ppc-5 asks for a patient
		c.Patient = reference(id.Name, id.Chart)
	} else {
		c.Patient = reference("", "")
	}
	if c.PolicyRule.Text == "" {
		c.PolicyRule.Text = first.Title
	}
	if r.Practice.Demo {
		c.Meta = &fhirMeta{[]fhirCoding{{"http://terminology.hl7.org/CodeSystem/v3-ActReason", "HTEST"}}}
	}
	return indented(c), nil
}

// reference names somebody; where nobody is named it says that (invariant ele-1 and
// the rule that no text is empty leave no blank).
func reference(name, number string) fhirReference {
	r := fhirReference{Display: name}
	if number != "" {
		r.Identifier = &fhirIdentifier{Value: number}
	}
	if name == "" && number == "" {
		r.Extension = []fhirExtension{{"http://hl7.org/fhir/StructureDefinition/data-absent-reason", "unknown"}}
	}
	return r
}

// status of the consent. What nobody has said yes or no to yet is proposed.
func status(r Record) string {
	switch r.Decision.What {
	case "agreed":
		return "active"
	case "refused":
		return "rejected"
	case "withdrawn":
		return "inactive"
	}
	return "proposed"
}

// div is the summary a reader sees: what, whose, when, and the code to compare.
func div(r Record, code string) string {
	l := r.Languages[0]
	var b strings.Builder
	fmt.Fprintf(&b, `<div xmlns="http://www.w3.org/1999/xhtml" lang="%s" xml:lang="%[1]s" dir="%[2]s">`, escaped(l.Locale), escaped(l.Dir))
	for _, s := range []string{l.Title, r.Practice.Name, r.Issued.String(), code} {
		fmt.Fprintf(&b, "<p>%s</p>", escaped(s))
	}
	for _, m := range l.Limits {
		fmt.Fprintf(&b, "<p>%s</p>", escaped(m.Text))
	}
	b.WriteString("</div>")
	return b.String()
}

// markup writes what XML and XHTML give a meaning.
var markup = strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;", `"`, "&#34;", "'", "&#39;", "\t", "&#x9;", "\n", "&#xA;", "\r", "&#xD;")

// escaped is a text inside XHTML; a sign that XML 1.0 does not have (section 2.2)
// becomes the replacement sign.
func escaped(s string) string {
	return markup.Replace(strings.Map(func(r rune) rune {
		if r < ' ' && r != '\t' && r != '\n' && r != '\r' || r == 0xfffe || r == 0xffff {
			return 0xfffd
		}
		return r
	}, strings.ToValidUTF8(s, "\ufffd")))
}

// plain is everything that was shown, one language after the other, line by line.
func plain(r Record) string {
	var b strings.Builder
	line := func(s string) {
		if s != "" {
			b.WriteString(s + "\n")
		}
	}
	for i, l := range r.Languages {
		if i > 0 {
			b.WriteString("\n\n")
		}
		for _, s := range l.Banners {
			line(s)
		}
		line(l.Title)
		line(l.Page.Practice)
		line(l.Page.Telephone)
		for _, s := range l.Sections {
			if s.Heading != "" {
				line("\n" + s.Heading)
			}
			for _, k := range s.Blocks {
				line(k.Text)
				for _, it := range k.Items {
					row := joined(": ", it.Label, it.Text)
					if k.Kind == "tick" {
						row = box(it.Crossed) + row
					}
					line(row)
					for _, m := range it.More {
						line(m)
					}
					for j, c := range it.Cells {
						column := j
						if k.Kind == "table" { // its labels have a title too
							column++
						}
						if column < len(k.Columns) {
							line(k.Columns[column])
						}
						for _, t := range c.Texts {
							line(t)
						}
						for _, x := range c.Boxes {
							line(x.Where)
							line(box(x.Crossed) + x.Text)
						}
					}
				}
			}
		}
		b.WriteString("\n")
		for _, m := range l.Limits {
			line(m.Text)
		}
		line(l.Page.Caution)
		line(l.Page.Version)
	}
	return b.String()
}

func joined(by string, a, b string) string {
	if a == "" || b == "" {
		return a + b
	}
	return a + by + b
}

func box(crossed bool) string {
	if crossed {
		return "[x] "
	}
	return "[ ] "
}

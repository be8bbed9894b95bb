package record

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"plainleaf/app/casefile"
	"plainleaf/app/fault"
	"plainleaf/app/render"
	"plainleaf/app/safetext"
	"plainleaf/app/sheet"
)

// Format and Version name the form of a record; both are part of it. Version 1,
// whose case has its derived lists and no open points, verifies like any other.
const (
	Format  = "plainleaf-record"
	Version = 2
)

// Kind is what a record is of. Keys are stable.
type Kind string

// Kinds.
const (
	Consent     Kind = "consent"
	TryIn       Kind = "tryin"
	Change      Kind = "change"
	Aftercare   Kind = "aftercare"
	Withdrawal  Kind = "withdrawal"  // of a consent given before
	Refusal     Kind = "refusal"     // of what the consent sheet offers
	Superseding Kind = "superseding" // a consent that takes the place of an earlier one
)

// Kinds lists every kind.
func Kinds() []Kind {
	return []Kind{Consent, TryIn, Change, Aftercare, Withdrawal, Refusal, Superseding}
}

// Sheet is the kind of sheet that is shown and sealed.
func (k Kind) Sheet() sheet.Kind {
	switch k {
	case TryIn:
		return sheet.TryIn
	case Change:
		return sheet.Change
	case Aftercare:
		return sheet.Aftercare
	}
	return sheet.Consent
}

// Follows reports whether the kind means nothing without an earlier record.
func (k Kind) Follows() bool { return k == Change || k == Withdrawal || k == Superseding }

// Settles reports whether the kind says what is agreed from then on, so that a
// later record may follow it; a try-in, care at home and a refusal change nothing
// of it.
func (k Kind) Settles() bool { return k == Consent || k.Follows() }

// MayFollow reports whether what the kind does can be done to a record of an
// earlier kind. What was withdrawn is in force no more, and where nothing was
// settled there is nothing: it can be neither changed nor withdrawn. A new consent
// takes the place of a withdrawal and of a refusal too.
func (k Kind) MayFollow(earlier Kind) bool {
	if k == Change || k == Withdrawal {
		return earlier.Settles() && earlier != Withdrawal
	}
	return earlier.Settles() || earlier == Refusal
}

// Unfollowed is the word for why a record of the kind, issued on a day, cannot
// follow an earlier one: withdrawn, nothing (that one settled nothing this kind
// could be done to), later (it was issued after that day), or "".
func (k Kind) Unfollowed(earlier Kind, its, day casefile.Date) string {
	switch {
	case !k.MayFollow(earlier) && earlier == Withdrawal:
		return "withdrawn"
	case !k.MayFollow(earlier):
		return "nothing"
	case its.Exists() && day.Exists() && day.Before(its):
		return "later"
	}
	return ""
}

// Record is what is sealed.
type Record struct {
	Format   string        `json:"format"`
	Version  int           `json:"version"`
	Kind     Kind          `json:"kind"`
	ID       string        `json:"id,omitempty"` // of the case
	Revision int           `json:"revision"`
	Issued   casefile.Date `json:"issued"`
	Practice Practice      `json:"practice"`
	Program  string        `json:"program"`
	Evidence string        `json:"evidence"`
	// Sealed is when it was sealed by the clock of the device: RFC 3339, in local
	// time with its distance from UTC. Nobody but the device vouches for it.
	Sealed string `json:"sealed,omitempty"`
	// Previous is the hash of the record this one follows.
	Previous    string       `json:"previous,omitempty"`
	Identifiers *Identifiers `json:"identifiers,omitempty"`
	Decision    Decision     `json:"decision"`
	Signatures  []Signature  `json:"signatures"`
	// Case is the whole case: findings, questions, what was said back, people.
	Case    casefile.Case `json:"case"`
	Answers []Answer      `json:"answers"`
	// Open is what was missing or unsettled when it was sealed, with the words in
	// which the patient or the dentist went on.
	Open      []Open     `json:"open"`
	Languages []Language `json:"languages"`
	// Limits are the ids of the messages that say what the record does not prove.
	Limits []string `json:"limits"`
}

// Practice is whose record it is.
type Practice struct {
	Name string `json:"name"`
	Demo bool   `json:"demo,omitempty"`
}

// Identifiers are whose case it is, asked only when it is sealed.
type Identifiers struct {
	Name  string `json:"name,omitempty"`
	Born  string `json:"born,omitempty"`
	Chart string `json:"chart,omitempty"`
}

// Decision is what was decided, by whom, and when as stated. What is agreed,
// refused, withdrawn, or "" when it is not stated; By as in casefile.People.Decides.
type Decision struct {
	What string        `json:"what"`
	By   string        `json:"by"`
	On   casefile.Date `json:"on,omitzero"`
	At   string        `json:"at,omitempty"` // as Record.Sealed
}

// Signature is how one person signed.
type Signature struct {
	// Role is patient, parent, guardian, representative, assent, interpreter,
	// witness or dentist.
	Role string `json:"role"`
	// Way is drawn, typed, mark (drawn or on paper, before a witness), or paper.
	Way  string `json:"way"`
	Name string `json:"name,omitempty"`
	At   string `json:"at,omitempty"` // when, as Record.Sealed
	// Paper says where the signed paper is, or its scan, and PaperOn its date.
	Paper   string        `json:"paper,omitempty"`
	PaperOn casefile.Date `json:"paper_on,omitzero"`
	// Width and Height are the field drawn in, Strokes the lines in it as
	// x, y, x, y ..., in the field's units from the upper left corner.
	Width   int     `json:"width,omitempty"`
	Height  int     `json:"height,omitempty"`
	Strokes [][]int `json:"strokes,omitempty"`
}

// Answer is the patient's answer to one chair change, for some teeth; blank when
// none was given, which acts as ask.
type Answer struct {
	Change string           `json:"change"`
	Teeth  []casefile.Tooth `json:"teeth"`
	// Places are the contacts, where the change is one of contacts.
	Places []string        `json:"places,omitempty"`
	Answer casefile.Answer `json:"answer"`
}

// Open is one open point; see plan.Open for its keys.
type Open struct {
	What   string           `json:"what"`
	Key    string           `json:"key,omitempty"`
	Teeth  []casefile.Tooth `json:"teeth,omitempty"`
	Whose  string           `json:"whose,omitempty"`
	Reason string           `json:"reason,omitempty"`
}

// Language is all that was shown in one language.
type Language struct {
	Locale   string    `json:"locale"`
	Dir      string    `json:"dir"`
	Wording  Wording   `json:"wording"`
	Banners  []string  `json:"banners,omitempty"`
	Title    string    `json:"title"`
	Page     Page      `json:"page"` // head and foot of each page
	Sections []Section `json:"sections"`
	Limits   []Message `json:"limits"` // what the record does not prove, in words
}

// Wording says which words these are and how far they were checked.
type Wording struct {
	Digest string        `json:"digest"` // render.Digest
	State  string        `json:"state"`  // lowest review state among the messages used
	Who    string        `json:"signed_by,omitempty"`
	Role   string        `json:"signed_role,omitempty"`
	When   casefile.Date `json:"signed_on,omitzero"`
}

// Page is the text of the head and foot.
type Page struct {
	Practice  string `json:"practice"`
	Telephone string `json:"telephone"`
	Version   string `json:"version"`
	Caution   string `json:"caution"`
}

// Message is a message with its text.
type Message struct {
	Msg  string `json:"msg"`
	Text string `json:"text"`
}

// Section is what stands under one heading; the first one has none.
type Section struct {
	Heading string  `json:"heading"`
	Msg     string  `json:"msg,omitempty"`
	Blocks  []Block `json:"blocks,omitempty"`
}

// Block is one piece of the document, in words.
type Block struct {
	Kind    string           `json:"kind"`
	Tone    string           `json:"tone,omitempty"`
	Msg     string           `json:"msg,omitempty"`
	Text    string           `json:"text,omitempty"`
	Columns []string         `json:"columns,omitempty"`
	Items   []Item           `json:"items,omitempty"`
	Picture *Picture         `json:"picture,omitempty"`
	Lines   int              `json:"lines,omitempty"`
	Teeth   []casefile.Tooth `json:"teeth,omitempty"` // marked on the chart
}

// Picture is a picture of a number: Low to High of Of. Only older records have one.
type Picture struct {
	Low  int `json:"low"`
	High int `json:"high"`
	Of   int `json:"of"`
}

// Item is one row of a block.
type Item struct {
	Msg     string   `json:"msg,omitempty"`
	Label   string   `json:"label,omitempty"`
	Text    string   `json:"text,omitempty"`
	More    []string `json:"more,omitempty"`
	Cells   []Cell   `json:"cells,omitempty"`
	Crossed bool     `json:"crossed,omitempty"`
}

// Cell is one cell of a row.
type Cell struct {
	Texts []string `json:"texts,omitempty"`
	Boxes []Box    `json:"boxes,omitempty"`
}

// Box is a box to cross; Where is with the first of those for some teeth or contacts.
type Box struct {
	Where   string `json:"where,omitempty"`
	Key     string `json:"key"`
	Text    string `json:"text"`
	Crossed bool   `json:"crossed"`
}

// Input is what a record is made of.
type Input struct {
	Kind        Kind
	Case        casefile.Case
	Docs        []render.Doc // what was shown, one or two languages of one sheet
	Answers     []Answer     // to every chair change of the plan, blanks included
	Open        []Open       // what was open then; a private point only by its neutral key
	Digests     []string     // render.Digest of each document's wording
	Program     string
	Sealed      string // when, as Record.Sealed
	Previous    string // hash of the record this one follows
	Identifiers *Identifiers
	Decision    Decision
	Signatures  []Signature
	// Keyed says that the seal will carry a signature.
	Keyed bool
	// Word gives the text of a message in a language.
	Word func(locale, id string) (string, error)
}

// New makes a record and checks it.
//
// Codes: RECORD-KIND no such kind, or documents of another sheet; RECORD-PREVIOUS
// a kind that follows an earlier record without its hash, or no hash;
// RECORD-DECISION, RECORD-ROLE, RECORD-WAY no such word; RECORD-NAME a signature
// typed without a name; RECORD-WITNESS a mark without a witness; RECORD-STROKES strokes that are none, too many or outside
// their field; RECORD-TIME no time with its distance from UTC; RECORD-TEXT a text that is too long, holds control characters or is
// not UTF-8; RECORD-WORDING a message is missing.
func New(in Input) (Record, fault.List) {
	r := Record{Format: Format, Version: Version, Kind: in.Kind, ID: in.Case.ID, Revision: in.Case.Revision,
		Issued: in.Case.Issued, Program: in.Program, Sealed: in.Sealed, Previous: in.Previous, Identifiers: in.Identifiers,
		Decision: in.Decision, Signatures: in.Signatures, Case: in.Case, Answers: in.Answers, Open: in.Open}
	var faults fault.List
	if len(in.Docs) == 0 || len(in.Docs) != len(in.Digests) {
		faults.Add("RECORD-KIND", "languages", "%d documents and %d digests of wordings", len(in.Docs), len(in.Digests))
		return r, faults
	}
	if r.Signatures == nil {
		r.Signatures = []Signature{}
	}
	if r.Answers == nil {
		r.Answers = []Answer{}
	}
	if r.Open == nil {
		r.Open = []Open{}
	}
	if r.Decision.By == "" && in.Case.People != nil {
		r.Decision.By = in.Case.People.Decides
	}
	s := in.Docs[0].Sheet
	r.Practice = Practice{s.Practice.Name, s.Demo}
	r.Evidence = s.Content
	r.Limits = limits(r, in.Keyed)
	for i, d := range in.Docs {
		if d.Kind != in.Kind.Sheet() {
			faults.Add("RECORD-KIND", "kind", "a record of kind %q does not hold a sheet of kind %q", in.Kind, d.Kind)
		}
		l := language(d, in.Digests[i])
		for _, id := range r.Limits {
			text, err := in.Word(d.Locale, id)
			if err != nil {
				faults.Add("RECORD-WORDING", "limits", "%v", err)
			}
			l.Limits = append(l.Limits, Message{id, text})
		}
		r.Languages = append(r.Languages, l)
	}
	faults.Append(r.check()...)
	return r, faults
}

// limits says what the record does not prove.
func limits(r Record, keyed bool) []string {
	ids := []string{"record.limit.understood", "record.limit.person", "record.limit.law"}
	if keyed {
		ids = append(ids, "record.limit.date")
	} else {
		ids = append(ids, "record.limit.unsigned")
	}
	if slices.ContainsFunc(r.Signatures, func(s Signature) bool { return s.Way == "paper" || s.Way == "mark" && s.Strokes == nil }) {
		ids = append(ids, "record.limit.paper")
	}
	if len(r.Signatures) == 0 {
		ids = append(ids, "record.limit.nobody")
	}
	return ids
}

func language(d render.Doc, digest string) Language {
	l := Language{Locale: d.Locale, Dir: d.Dir, Title: d.Title.String(), Banners: texts(d.Banners),
		Wording: Wording{Digest: digest, State: d.State},
		Page: Page{Practice: d.Page.Practice.String(), Telephone: d.Page.Telephone.String(),
			Version: d.Page.Version.String(), Caution: d.Page.Caution.String()},
		Sections: []Section{{}}}
	if s := d.Signed; s != nil {
		l.Wording.Who, l.Wording.Role, l.Wording.When = s.Who, s.Role, s.When
	}
	for _, b := range d.Blocks {
		if b.Kind == sheet.Heading {
			l.Sections = append(l.Sections, Section{Heading: b.Text.String(), Msg: b.Msg})
			continue
		}
		s := &l.Sections[len(l.Sections)-1]
		s.Blocks = append(s.Blocks, block(b))
	}
	if len(l.Sections[0].Blocks) == 0 {
		l.Sections = l.Sections[1:]
	}
	return l
}

func block(b render.Block) Block {
	out := Block{Kind: string(b.Kind), Tone: b.Tone, Msg: b.Msg, Text: joined(" \u00b7 ", b.Text.String(), b.Aside.String()), Columns: texts(b.Columns), Lines: b.Count}
	if b.Kind == sheet.Chart {
		out.Teeth = b.Ref.Teeth
	}
	if len(b.Heads) > 0 {
		out.Columns = []string{b.Text.String()} // of the labels
		for _, h := range b.Heads {
			out.Columns = append(out.Columns, joined(": ", h.Group.String(), joined(", ", h.Text.String(), h.Note.String())))
		}
	}
	out.Items = rows(b.Items)
	return out
}

// rows writes items one after the other, each followed by those under it.
func rows(items []render.Item) []Item {
	var out []Item
	for _, it := range items {
		row := Item{Msg: it.Msg, Label: it.Label.String(), Text: it.Text.String(), More: texts(it.More), Crossed: it.Mark}
		for _, c := range it.Cells {
			cell := Cell{Texts: texts(c.Texts), Boxes: boxes("", c.Boxes)}
			for range max(1, c.Span) { // what holds of several columns is in each
				row.Cells = append(row.Cells, cell)
			}
		}
		if len(it.Choices) > 0 {
			var cell Cell
			for _, c := range it.Choices {
				cell.Boxes = append(cell.Boxes, boxes(c.Where.String(), c.Boxes)...)
			}
			row.Cells = append(row.Cells, cell)
		}
		out = append(append(out, row), rows(it.Items)...)
	}
	return out
}

// boxes writes boxes to cross; where they are is with the first.
func boxes(where string, list []render.Box) []Box {
	var out []Box
	for i, x := range list {
		out = append(out, Box{Key: x.Key, Text: x.Text.String(), Crossed: x.Mark})
		if i == 0 {
			out[0].Where = where
		}
	}
	return out
}

func texts(lines []render.Line) []string {
	var out []string
	for _, l := range lines {
		out = append(out, l.String())
	}
	return out
}

// Bounds of what is typed and drawn at the seal.
const (
	maxSignatures = 12
	maxPoints     = 20_000 // numbers in the strokes of one signature
	maxField      = 100_000
)

var (
	decisions = []string{"", "agreed", "refused", "withdrawn"}
	roles     = []string{"patient", "parent", "guardian", "representative", "assent", "interpreter", "witness", "dentist"}
	ways      = []string{"drawn", "typed", "mark", "paper"}
	deciders  = []string{"", "patient", "parent", "guardian", "representative", "with-support"}
)

// Roles lists who may sign.
func Roles() []string { return slices.Clone(roles) }

func (r Record) check() fault.List {
	var faults fault.List
	if !slices.Contains(Kinds(), r.Kind) {
		faults.Add("RECORD-KIND", "kind", "%q is no kind of record", r.Kind)
	}
	if r.Previous == "" && r.Kind.Follows() {
		faults.Add("RECORD-PREVIOUS", "previous", "a record of kind %q names the record it follows", r.Kind)
	}
	if r.Previous != "" && Code(r.Previous) == "" {
		faults.Add("RECORD-PREVIOUS", "previous", "not a SHA-256 in hexadecimal")
	}
	r.checkDecision(&faults)
	moment(&faults, "sealed", r.Sealed)
	moment(&faults, "decision.at", r.Decision.At)
	if id := r.Identifiers; id != nil {
		typed(&faults, "identifiers.name", id.Name)
		typed(&faults, "identifiers.born", id.Born)
		typed(&faults, "identifiers.chart", id.Chart)
	}
	if len(r.Signatures) > maxSignatures {
		faults.Add("RECORD-ROLE", "signatures", "more than %d signatures", maxSignatures)
	}
	for i, s := range r.Signatures {
		s.check(&faults, "signatures["+itoa(i)+"].")
		if s.Way == "mark" && !Witnessed(r.Signatures) {
			faults.Add("RECORD-WITNESS", "signatures["+itoa(i)+"].way", "a mark needs a witness who signs otherwise than by a mark")
		}
	}
	return faults
}

// checkDecision checks what was decided and by whom.
func (r Record) checkDecision(faults *fault.List) {
	want := map[Kind]string{Withdrawal: "withdrawn", Refusal: "refused"}[r.Kind]
	switch what := r.Decision.What; {
	case !slices.Contains(decisions, what):
		faults.Add("RECORD-DECISION", "decision.what", "%q is not agreed, refused or withdrawn", what)
	case want != "" && what != want:
		faults.Add("RECORD-DECISION", "decision.what", "a record of kind %q decides %q", r.Kind, want)
	case (r.Kind == Consent || r.Kind == Superseding) && what != "" && what != "agreed":
		faults.Add("RECORD-DECISION", "decision.what", "what is %s is no consent: seal it as such", what)
	}
	if !slices.Contains(deciders, r.Decision.By) {
		faults.Add("RECORD-DECISION", "decision.by", "%q is nobody who decides", r.Decision.By)
	} else if p := r.Case.People; p != nil && p.Decides != "" && p.Decides != r.Decision.By {
		faults.Add("RECORD-DECISION", "decision.by", "the sheet says that %q decides, not %q", p.Decides, r.Decision.By)
	}
}

// Witnessed reports whether a witness is among those who signed. Who makes a mark
// cannot vouch for another one.
func Witnessed(signed []Signature) bool {
	return slices.ContainsFunc(signed, func(s Signature) bool { return s.Role == "witness" && s.Way != "mark" })
}

func (s Signature) check(faults *fault.List, path string) {
	if !slices.Contains(roles, s.Role) {
		faults.Add("RECORD-ROLE", path+"role", "%q is not one of %s", s.Role, strings.Join(roles, ", "))
	}
	if !slices.Contains(ways, s.Way) {
		faults.Add("RECORD-WAY", path+"way", "%q is not one of %s", s.Way, strings.Join(ways, ", "))
	}
	typed(faults, path+"name", s.Name)
	typed(faults, path+"paper", s.Paper)
	moment(faults, path+"at", s.At)
	if s.Way == "typed" && strings.TrimSpace(s.Name) == "" {
		faults.Add("RECORD-NAME", path+"name", "a typed signature is a name")
	}
	drawn := len(s.Strokes) > 0
	if (s.Way == "drawn") != drawn && s.Way != "mark" {
		faults.Add("RECORD-STROKES", path+"strokes", "a drawn signature has strokes, any other none")
		return
	}
	if drawn && (s.Width < 1 || s.Width > maxField || s.Height < 1 || s.Height > maxField) {
		faults.Add("RECORD-STROKES", path+"width", "the field drawn in is 1 to %d wide and high", maxField)
		return
	}
	n := 0
	for i, line := range s.Strokes {
		n += len(line)
		at := fmt.Sprintf("%sstrokes[%d]", path, i)
		if len(line) < 2 || len(line)%2 > 0 {
			faults.Add("RECORD-STROKES", at, "a stroke is a list of x, y")
			return
		}
		for j, v := range line {
			if most := [2]int{s.Width, s.Height}[j%2]; v < 0 || v > most {
				faults.Add("RECORD-STROKES", at, "%d is outside the field", v)
				return
			}
		}
	}
	if n > maxPoints {
		faults.Add("RECORD-STROKES", path+"strokes", "more than %d numbers", maxPoints)
	}
}

// moment checks a time of the device.
func moment(faults *fault.List, path, s string) {
	if s == "" {
		return
	}
	if _, err := time.Parse(time.RFC3339, s); err != nil {
		faults.Add("RECORD-TIME", path, "not a date and time with its distance from UTC (RFC 3339)")
	}
}

// typed checks a text somebody typed at the seal.
func typed(faults *fault.List, path, s string) {
	switch {
	case !utf8.ValidString(s):
		faults.Add("RECORD-TEXT", path, "not UTF-8")
	case utf8.RuneCountInString(s) > safetext.MaxName:
		faults.Add("RECORD-TEXT", path, "longer than %d letters", safetext.MaxName)
	case !safetext.Name.Fits(s):
		faults.Add("RECORD-TEXT", path, "a control character")
	}
}

func itoa(n int) string { return strconv.Itoa(n) }

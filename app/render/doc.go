// Package render turns a sheet into a localized document. It is strict: a
// missing message, value or plural form, a lost tooth or a missing telephone
// number is a fault, never a gap on paper.
package render

import (
	"strings"
	"unicode/utf8"

	"plainleaf/app/casefile"
	"plainleaf/app/sheet"
)

// Doc is a sheet in one language: resolved text, direction, dated events.
type Doc struct {
	Kind    sheet.Kind
	Locale  string // locale tag of the wording
	Lang    string // BCP 47 for the lang attribute
	Dir     string // ltr or rtl
	Title   Line
	Issued  casefile.Date
	CaseID  string
	Blocks  []Block
	Page    Furniture
	Banners []Line // such as "specimen" or "not yet checked"
	Signed  *SignOff
	State   string // lowest review state among the messages used
	Words   Words
	// Sheet is the source of this document; two Docs of one Sheet align block by block.
	Sheet *sheet.Sheet
}

// SignOff is who checked this wording, when there is one.
type SignOff struct {
	Who, Role string
	When      casefile.Date
}

// Furniture is the resolved text of the head and foot of every page.
type Furniture struct {
	Practice, Telephone Line
	Name, Born, Chart   Line // labels of the identifiers
	Seal                Line // label of the seal code
	Version             Line // content version, date, language, review state
	Caution             Line // supports and does not replace the conversation and local law
}

// Words are what writers say beside symbols, for all readers or for those who
// hear the document.
type Words struct {
	Empty, Crossed, None, Line Line // a box, a crossed box, no box where others have one, a line to write on
	Right, Left                Line // the tooth chart
	Sources                    Line // label of the numbers of sources
	Identifiers                Line // label of the head of a page
}

// Line is text in runs. The plain text is the concatenation of the runs.
type Line []Run

// Run is a piece of text. Values are runs of their own, so that writers can
// isolate them from the direction of the text around them.
type Run struct {
	Text  string
	Value string           // "" for wording; else teeth, date, number, range, money, phone, code, verbatim
	Dir   string           // "" same as the document, "ltr", "rtl", or "auto"
	Lang  string           // language of a verbatim text, when known and not the document's
	Msg   string           // id of the message the whole line was made from, "" for typed text
	Teeth []casefile.Tooth // the tooth this run writes
	Date  casefile.Date    // the date this run writes
}

// Msg is the id of the message the line was made from, "" for typed text.
func (l Line) Msg() string {
	if len(l) == 0 {
		return ""
	}
	return l[0].Msg
}

// String is the plain text without isolation marks.
func (l Line) String() string {
	s := ""
	for _, r := range l {
		s += r.Text
	}
	return s
}

// Ended reports whether the line ends as a sentence does, so that another may
// follow it in the same paragraph.
func (l Line) Ended() bool {
	r, _ := utf8.DecodeLastRuneInString(strings.TrimRight(l.String(), " \u00a0\"'”’»)）」』"))
	return strings.ContainsRune(".!?…؟۔。！？।", r)
}

// Block is a localized block.
type Block struct {
	Kind    sheet.BlockKind
	Style   sheet.Style
	Level   int
	Tone    string
	Msg     string // message id of Text
	Text    Line
	Aside   Line
	Columns []Line
	Heads   []Head
	Items   []Item
	Count   int
	Blank   int
	Address string
	Keep    bool
	Ref     sheet.Ref
}

// Head is the localized head of a column.
type Head struct {
	Text, Note, Group, Name Line
	Drawing                 string
	Ref                     sheet.Ref
}

// Full is the name in full.
func (h Head) Full() Line {
	if len(h.Name) > 0 {
		return h.Name
	}
	return h.Text
}

// Item is a localized row.
type Item struct {
	Msg     string
	Label   Line
	Text    Line
	More    []Line
	Items   []Item
	Blank   int
	Cells   []Cell
	Choices []Choice
	Mark    bool
	Strong  bool
	Rank    int
	Ref     sheet.Ref
}

// Said lists the sentences of a row.
func (it Item) Said() []Line {
	if len(it.Text) == 0 {
		return it.More
	}
	return append([]Line{it.Text}, it.More...)
}

// Cell is a localized cell: sentences, boxes, or room to write.
type Cell struct {
	Texts []Line
	Boxes []Box
	Write bool
	Span  int
	Ref   sheet.Ref
}

// Choice is a set of answer boxes, and at which places; none: wherever the row is about.
type Choice struct {
	Where Line
	Boxes []Box
}

// Box is a box to cross with its words.
type Box struct {
	Text Line
	Mark bool
	Key  string // agree, ask or no, "" for a box that is no answer to a chair change
}

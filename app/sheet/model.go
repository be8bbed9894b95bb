// Package sheet composes documents for a patient as lists of blocks that hold
// message ids and typed values. It holds no language: render turns it into text.
package sheet

import (
	"plainleaf/app/casefile"
)

// Kind is what a sheet is for.
type Kind string

// Kinds.
const (
	Options   Kind = "options"
	Wait      Kind = "wait"
	Consent   Kind = "consent"
	TryIn     Kind = "tryin"
	Change    Kind = "change"
	Aftercare Kind = "aftercare"
)

// Kinds lists every kind in the order of the treatment.
func Kinds() []Kind { return []Kind{Options, Wait, Consent, TryIn, Change, Aftercare} }

// Sheet is one document before any language.
type Sheet struct {
	Kind      Kind
	Title     Text
	Issued    casefile.Date
	CaseID    string // "" when the case has none
	Revision  int
	Numbering string // how teeth are written: fdi, universal, palmer
	Demo      bool   // the demo practice: every page is a specimen
	Practice  Practice
	Content   string // version of the evidence
	Blocks    []Block
	// Must lists what has to stand on the rendered sheet; render proves it.
	Must Must
}

// Practice is what the head and foot of each page name.
type Practice struct {
	Name, Address, Telephone, EmergencyLine, EmergencyService, Email string
}

// Must lists what a whole sheet cannot lack.
type Must struct {
	Teeth   []casefile.Tooth
	Waits   []string // wait-for keys
	Changes []string // chair change keys
	Phones  []string
}

// BlockKind says how a block is laid out.
type BlockKind string

// Block kinds.
const (
	Heading   BlockKind = "heading"   // Level 2 or 3, Text
	Paragraph BlockKind = "paragraph" // Text
	List      BlockKind = "list"      // Items with Text
	Facts     BlockKind = "facts"     // Items with Label and Text
	Schedule  BlockKind = "schedule"  // Items with Date in Label and Text, in order of time
	Table     BlockKind = "table"     // numbers beside each other: Text its title, Items with Label and Cells, all as named by Columns, the labels first
	Choices   BlockKind = "choices"   // Items: one chair change each, Label its name, Text and More what it is, Cells as named by Columns
	Notice    BlockKind = "notice"    // Text, Tone, Items optional
	Phones    BlockKind = "phones"    // Items with Label and Text (a Phone value)
	Icons     BlockKind = "icons"     // a picture of a number: Picture, Text is its text alternative, Items with Label name it
	Sign      BlockKind = "sign"      // Items with Label: a line to write on, or Text when already known
	Lines     BlockKind = "lines"     // Count empty lines to write on
	Tick      BlockKind = "tick"      // Items with Text: an empty box before each, or a crossed one
	Sources   BlockKind = "sources"   // Items, numbered, with Text
	PageBreak BlockKind = "page"      // what follows starts a new page; with Keep, in columns, only where it would be split over two; with Whole no page by itself
	HandOver  BlockKind = "code"      // the code on paper: Address, Text what it does, Items its address in short
	Chart     BlockKind = "chart"     // both arches, Ref.Teeth marked; Text is its text alternative, Items stand beside it
)

// Style is a closer way to lay a block out.
type Style string

// Styles.
const (
	RunIn      Style = "run-in"            // facts, schedule: the label begins the paragraph; choices: all of a row in one paragraph
	TwoColumns Style = "columns"           // short items in two columns
	InLine     Style = "in-line"           // a list as one running line
	Compared   Style = "compared"          // table: sentences beside each other, in columns of one width
	Tabled     Style = "tabled"            // icons: a table beside it says the same, so that its text is an alternative only
	OtherDay   Style = "columns other-day" // lines to sign on in two columns, for another day than this: a signature given on the screen stands elsewhere
	Signature  Style = "signature"         // page break: what follows stands on pages of its own
	Whole      Style = "whole"             // page break: what follows is not split over two pages where it need not be, and forces no new one
)

// Block is one piece of a sheet.
type Block struct {
	Kind    BlockKind
	Style   Style
	Level   int    // headings
	Tone    string // notices: plain, caution, urgent, emergency
	Text    Text
	Columns []Text
	Items   []Item
	Picture *Picture
	Count   int    // write lines
	Address string // hand-over: where the code leads
	Keep    bool   // never split over two pages
	Ref     Ref
}

// Item is one row of a block.
type Item struct {
	Label Text
	Text  Text
	More  []Text // further sentences after Text, each whole
	Cells []Cell
	// Answer, when not nil, puts the three answer boxes (agree, ask first, no)
	// behind the sentences of the last cell of a choices row.
	Answer *casefile.Answer
	Mark   bool // ticked
	Ref    Ref
}

// Cell is one cell of a choices row: sentences.
type Cell struct {
	Texts []Text
}

// Boxes is for Item.Answer: the three answer boxes, that of a crossed.
func Boxes(a casefile.Answer) *casefile.Answer { return &a }

// Picture is an icon array: Low to High of Of, Low filled, up to High hatched.
type Picture struct {
	Low, High, Of int
}

// Ref names what a block or item is about; writers turn it into data attributes.
type Ref struct {
	Teeth   []casefile.Tooth
	Figures []string
	Change  string
	Wait    string
	Finding string
	Route   string
	Warning string // keys, with spaces between
	Sources []int  // numbers in the source list of this sheet
}

// Text is one whole message with its values, or a text shown as it was typed.
type Text struct {
	ID       string
	Args     []Arg
	Plural   string // name of the argument whose number picks the plural form
	Verbatim string // the practice's or dentist's own words; ID is empty then
	// Lang is the language of a verbatim text when known.
	Lang string
}

// IsZero reports whether there is nothing to say.
func (t Text) IsZero() bool { return t.ID == "" && t.Verbatim == "" }

// Arg is a named value of a message.
type Arg struct {
	Name  string
	Value Value
}

// Value is a typed value; render formats it for a locale.
type Value interface{ value() }

// Value types.
type (
	// Teeth is a list of tooth codes in chart order, written in the case's numbering.
	Teeth []casefile.Tooth
	// Pairs is a list of contacts between neighbors, written in the case's numbering.
	Pairs []casefile.Place
	// Day is a date, Weekday when the day of the week helps.
	Day struct {
		Date    casefile.Date
		Weekday bool
	}
	// Clock is a time of day.
	Clock casefile.Time
	// Int is a whole number.
	Int int
	// Decimal is a number with at most Digits decimals.
	Decimal struct {
		Value  float64
		Digits int
	}
	// Range is low to high; equal ends are written once.
	Range struct {
		Low, High float64
		Digits    int
	}
	// Days is a span of dates, from to.
	Days struct{ From, To casefile.Date }
	// Amount is money in minor units.
	Amount struct {
		Minor    int64
		Currency string
	}
	// Phone is a telephone number as typed by the practice.
	Phone string
	// Code is a technical code (shade tab, case id, digest), always left to right.
	Code string
	// Verbatim is somebody's own words.
	Verbatim string
	// Word is another message, such as the name of a material.
	Word struct{ Text Text }
	// Words are several, joined by the locale's "and" list.
	Words []Text
)

func (Teeth) value()    {}
func (Pairs) value()    {}
func (Day) value()      {}
func (Clock) value()    {}
func (Int) value()      {}
func (Decimal) value()  {}
func (Range) value()    {}
func (Days) value()     {}
func (Amount) value()   {}
func (Phone) value()    {}
func (Code) value()     {}
func (Verbatim) value() {}
func (Word) value()     {}
func (Words) value()    {}

// M is a message with values given as name, value, name, value.
func M(id string, nv ...any) Text {
	t := Text{ID: id}
	for i := 0; i+1 < len(nv); i += 2 {
		t.Args = append(t.Args, Arg{nv[i].(string), nv[i+1].(Value)})
	}
	return t
}

// N is a message whose plural form follows the whole number n, its argument Count.
func N(id string, n int, nv ...any) Text {
	t := M(id, append([]any{"Count", Int(n)}, nv...)...)
	t.Plural = "Count"
	return t
}

// Typed is a text shown as it was typed.
func Typed(s string) Text { return Text{Verbatim: s} }

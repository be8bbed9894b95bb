// Package sheet composes documents for a patient as lists of blocks that hold
// message ids and typed values. It holds no language: render turns it into text.
package sheet

import (
	"slices"

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
	// Must lists what the rendered sheet has to contain; render proves it.
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
	// Offered are the answers to cross, place by place: these and no others.
	Offered []Boxes
}

// Boxes are the answers that may be crossed for a chair change at one place.
type Boxes struct {
	Change  string
	Place   casefile.Place
	Offered []casefile.Answer
}

// BlockKind says how a block is laid out.
type BlockKind string

// Block kinds.
const (
	Heading   BlockKind = "heading"   // Level 2 or 3, Text; level 2 begins a section, with Keep one that is not split over two pages
	Paragraph BlockKind = "paragraph" // Text, then Blank
	List      BlockKind = "list"      // Items with Text, a Label in bold before it, Items under it
	Facts     BlockKind = "facts"     // Items with Label and Text, Items under it
	Schedule  BlockKind = "schedule"  // Items with Date in Label and Text, in order of time
	Table     BlockKind = "table"     // Columns or Heads, Items with Label and Cells; Text its title
	Choices   BlockKind = "choices"   // chair changes: Items with Label, Text and More how often, a cell how far it goes and one what a no means, Choices; or with Items of that form, which share the Choices; an item of Label and Text alone names a group
	Notice    BlockKind = "notice"    // Text, Tone, Items optional
	Urgent    BlockKind = "urgent"    // one urgency: Text its heading, Aside the numbers to call, Items with Label the sign and Text what to do
	Phones    BlockKind = "phones"    // Items with Label and Text (a Phone value)
	Sign      BlockKind = "sign"      // Items with Label: a line to write on, or Text when already known; Aside is the label of a date beside each
	Lines     BlockKind = "lines"     // Count empty lines to write on
	Tick      BlockKind = "tick"      // Items with Text: an empty box before each, or a crossed one; Text leads, Aside follows it
	Sources   BlockKind = "sources"   // Items, lettered, with Text
	PageBreak BlockKind = "page"      // what follows starts a new page; see its styles
	HandOver  BlockKind = "code"      // the code on paper: Address, Text what it does, Items its address in short
	Chart     BlockKind = "chart"     // the arch of the marked teeth, Ref.Teeth; Text is its text alternative, Items are its caption
)

// Style is a closer way to lay a block out.
type Style string

// Styles.
const (
	Kicker     Style = "kicker"    // paragraph: a small line over the title of a page
	Lead       Style = "lead"      // paragraph: under the title
	Note       Style = "note"      // paragraph, list, facts: smaller
	Big        Style = "big"       // paragraph: larger
	Repeat     Style = "repeat"    // paragraph: what is signed, once more where a page begins with the decision
	RunIn      Style = "run-in"    // facts: the label begins the paragraph
	Tight      Style = "tight"     // facts: smaller, closer
	Versus     Style = "versus"    // facts: two, beside each other in one box
	TwoColumns Style = "columns"   // short items in two columns
	InLine     Style = "in-line"   // a list, facts or boxes as one running line
	Fine       Style = "fine"      // a list as one running line, smaller
	Answer     Style = "answer"    // tick: the decision, in a box of its own
	Who        Style = "who"       // tick: who decides, who interprets; facts: the same when it is known
	Timeline   Style = "timeline"  // schedule: a line with a mark for each item
	Ways       Style = "ways"      // table: the options beside each other, a question a row; Heads name them
	Look       Style = "look"      // table: teeth beside each other with boxes
	Boxed      Style = "boxed"     // table: boxes in the middle of its cells
	Money      Style = "money"     // table: amounts at the end of each line, the last row is the sum
	Log        Style = "log"       // table: rows to write in
	Due        Style = "due"       // table: dates, what on each, room to write, a box
	Again      Style = "again"     // chart: beside the heading before it, for who looks at this page; text has it once
	Beside     Style = "beside"    // heading of level 2: its section and the next, of the same style, are beside each other
	OtherDay   Style = "other-day" // lines to sign on, for another day than this: a signature given on the screen is not put on them
	Signature  Style = "signature" // page break: what follows is the signature page
	Whole      Style = "whole"     // page break that forces no new page: what follows is not split over two; on the signature page the decision
	After      Style = "after"     // page break that forces no new page: what follows is no longer part of what is kept whole
	Card       Style = "card"      // page break that forces no new page: a card to cut out
	Firm       Style = "firm"      // page break: a new page in large print too
	Compared   Style = "compared"  // table: sentences beside each other, in columns of one width
	WideFirst  Style = "wide"      // table: the labels take the most room
)

// Block is one piece of a sheet.
type Block struct {
	Kind    BlockKind
	Style   Style
	Level   int    // headings
	Tone    string // notices and urgencies: plain, caution, urgent, emergency; a notice may be hold
	Text    Text
	Aside   Text // a few words at the end of Text
	Columns []Text
	Heads   []Head
	Items   []Item
	Count   int    // write lines
	Blank   int    // room to write in after Text: 1 short, 2 long, 3 the rest of the line
	Address string // hand-over: where the code leads
	Keep    bool   // never split over two pages
	Ref     Ref
}

// Head is the head of a column: a name, a few words under it, the group it shares
// with its neighbors, and the drawing of an option. Name is the name in full, where
// it is read apart from its group: in large print, on a telephone, in plain text.
type Head struct {
	Text, Note, Group, Name Text
	Drawing                 string // what is done to a tooth: none, whitening, composite, no-prep, minimal-prep, conventional-prep, crown or other; "" for no drawing
	Ref                     Ref
}

// Item is one row of a block.
type Item struct {
	Label Text
	Text  Text
	More  []Text // further sentences after Text, each whole
	Items []Item // a list under the text
	Blank int    // room to write in after the text, as in Block
	Cells []Cell
	// Choices are the answer boxes of a choices row, place by place.
	Choices []Choice
	Mark    bool // ticked
	Strong  bool // in a box of its own: nobody may miss it
	Rank    int  // what the patient put first, second, third; 0 for not ranked
	Ref     Ref
}

// Cell is one cell of a row: sentences, boxes to cross or room to write.
type Cell struct {
	Texts []Text
	Boxes []Box
	Write bool
	Span  int // columns it covers; 0 is one
	Ref   Ref
}

// Box is a box to cross with its words.
type Box struct {
	Text Text
	Mark bool
}

// Choice is one set of answer boxes of a chair change: at which places, the
// answers that are offered there, and the one that was given.
type Choice struct {
	Where   Text // zero: wherever the row is about
	Places  []casefile.Place
	Shared  []Boxes // of several changes at once: each with its places; Places is empty then
	Offered []casefile.Answer
	Said    casefile.Answer
}

// Each lists what a set of boxes answers, change by change and place by place. The
// change is that of its row, where the row has one of its own.
func (c Choice) Each(change string) []Boxes {
	out := slices.Clone(c.Shared)
	for _, p := range c.Places {
		out = append(out, Boxes{change, p, c.Offered})
	}
	return out
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
	// Month is the month of a date that is not sure to the day.
	Month struct{ Date casefile.Date }
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
	// Price is an amount without its fraction where that is zero.
	Price Amount
	// Phone is a telephone number as typed by the practice.
	Phone string
	// Code is a technical code (shade tab, case id, digest), always left to right.
	Code string
	// Verbatim is somebody's own words.
	Verbatim string
	// Language is a BCP 47 tag, written as the name of that language in the reader's.
	Language string
	// Word is another message, such as the name of a material.
	Word struct{ Text Text }
	// Words are several, joined by the locale's "and" list.
	Words []Text
)

func (Teeth) value()    {}
func (Pairs) value()    {}
func (Day) value()      {}
func (Month) value()    {}
func (Clock) value()    {}
func (Int) value()      {}
func (Decimal) value()  {}
func (Range) value()    {}
func (Days) value()     {}
func (Amount) value()   {}
func (Price) value()    {}
func (Phone) value()    {}
func (Code) value()     {}
func (Verbatim) value() {}
func (Language) value() {}
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
func N(id string, n int, nv ...any) Text { return byCount(id, Int(n), nv) }

// NRange is N for a range, whose form follows both its ends.
func NRange(id string, r Range, nv ...any) Text { return byCount(id, r, nv) }

func byCount(id string, n Value, nv []any) Text {
	t := M(id, append([]any{"Count", n}, nv...)...)
	t.Plural = "Count"
	return t
}

// Typed is a text shown as it was typed.
func Typed(s string) Text { return Text{Verbatim: s} }

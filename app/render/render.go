package render

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"plainleaf/app/casefile"
	"plainleaf/app/fault"
	"plainleaf/app/safetext"
	"plainleaf/app/sheet"
	"plainleaf/i18n"
)

// Options say what is known about a wording beside its words.
type Options struct {
	// Signed is the sign-off of this sheet kind in this language, nil without one.
	Signed *SignOff
	// States are the review states of the messages. A message without one counts
	// as initial.
	States map[string]i18n.State
	// Banners are above the title, in this language; see Policy.
	Banners []sheet.Text
}

// Localize writes a sheet in the language of the wording. Every fault is
// collected, with a path such as "blocks[3].items[0].text"; a Doc that came with
// faults is for looking at, never for a patient.
//
// Codes: RENDER-MESSAGE no such message; RENDER-PLACEHOLDER a value the message
// needs is not given; RENDER-UNUSED a value is given that the message does not
// show; RENDER-VALUE a value that cannot be written; RENDER-PLURAL a count where
// the message has no plural forms, none where it has, or one that is no number;
// RENDER-EMPTY nothing to say where something has to be; RENDER-COLUMNS cells and columns that do not match;
// RENDER-BLOCK a block of no known kind or shape;
// RENDER-WORDING anything else the wording refused, such as another language.
func Localize(s sheet.Sheet, w *i18n.Wording, o Options) (Doc, fault.List) {
	lang := w.Language()
	l := &localizer{w: w, lang: lang, numbering: s.Numbering, used: map[string]bool{}}
	d := Doc{Kind: s.Kind, Locale: lang.Tag, Lang: lang.Tag, Dir: lang.Dir,
		Issued: s.Issued, CaseID: s.CaseID, Signed: o.Signed, Sheet: &s}
	d.Title = l.need(s.Title, "title")
	for i, t := range o.Banners {
		d.Banners = append(d.Banners, l.need(t, fmt.Sprintf("banners[%d]", i)))
	}
	sources := 0
	for i, b := range s.Blocks {
		if b.Kind == sheet.Sources {
			if sources++; sources > 1 {
				l.faults.Add("RENDER-BLOCK", fmt.Sprintf("blocks[%d]", i), "a second list of sources")
			}
		}
		d.Blocks = append(d.Blocks, l.block(b, fmt.Sprintf("blocks[%d]", i)))
	}
	d.Words = l.words()
	d.State = l.state(o.States)
	d.Page = l.furniture(s, d.State, o)
	return d, l.faults
}

// Say writes one text by itself, teeth in a numbering; empty for a text with nothing to
// say. The codes of its faults are those of Localize.
func Say(t sheet.Text, w *i18n.Wording, numbering string) (Line, fault.List) {
	l := &localizer{w: w, lang: w.Language(), numbering: numbering, used: map[string]bool{}}
	return l.may(t, ""), l.faults
}

type localizer struct {
	w         *i18n.Wording
	lang      i18n.Language
	numbering string
	used      map[string]bool // ids of the messages on the sheet
	faults    fault.List
}

// need writes a text that has to be there.
func (l *localizer) need(t sheet.Text, path string) Line {
	if t.IsZero() {
		l.faults.Add("RENDER-EMPTY", path, "there is nothing to say")
		return nil
	}
	return l.line(t, path)
}

// may writes a text that may be left out.
func (l *localizer) may(t sheet.Text, path string) Line {
	if t.IsZero() {
		return nil
	}
	return l.line(t, path)
}

func (l *localizer) lines(ts []sheet.Text, path string) []Line {
	var out []Line
	for i, t := range ts {
		out = append(out, l.need(t, fmt.Sprintf("%s[%d]", path, i)))
	}
	return out
}

func (l *localizer) block(b sheet.Block, path string) Block {
	out := Block{Kind: b.Kind, Style: b.Style, Level: b.Level, Tone: b.Tone, Msg: b.Text.ID,
		Count: b.Count, Blank: b.Blank, Address: b.Address, Keep: b.Keep, Ref: b.Ref}
	out.Aside = l.may(b.Aside, path+".aside")
	switch b.Kind {
	case sheet.Heading, sheet.Paragraph, sheet.Notice, sheet.Urgent, sheet.Chart, sheet.HandOver:
		out.Text = l.need(b.Text, path+".text")
	default:
		out.Text = l.may(b.Text, path+".text")
	}
	switch b.Kind {
	case sheet.Heading:
		if b.Level != 2 && b.Level != 3 {
			l.faults.Add("RENDER-BLOCK", path, "a heading of level %d", b.Level)
		}
	case sheet.List, sheet.Facts, sheet.Table, sheet.Schedule, sheet.Choices, sheet.Urgent, sheet.Phones, sheet.Sign, sheet.Tick, sheet.Sources:
		if len(b.Items) == 0 {
			l.faults.Add("RENDER-EMPTY", path, "a block of kind %s without items", b.Kind)
		}
	case sheet.Lines:
		if b.Count < 1 || b.Count > 40 {
			l.faults.Add("RENDER-BLOCK", path, "%d lines to write on", b.Count)
		}
	case sheet.HandOver:
		if b.Address == "" {
			l.faults.Add("RENDER-EMPTY", path, "a code that leads nowhere")
		}
	case sheet.Paragraph, sheet.Notice, sheet.PageBreak, sheet.Chart:
	default:
		l.faults.Add("RENDER-BLOCK", path, "unknown kind %q", b.Kind)
	}
	if b.Kind == sheet.Choices && len(b.Columns) != 3 {
		l.faults.Add("RENDER-COLUMNS", path, "%d columns: what may come up, how far it goes and where are 3", len(b.Columns))
	}
	for i, t := range b.Columns {
		p := fmt.Sprintf("%s.columns[%d]", path, i)
		if i == 0 && b.Kind == sheet.Table { // that of the labels may need no name
			out.Columns = append(out.Columns, l.may(t, p))
			continue
		}
		out.Columns = append(out.Columns, l.need(t, p))
	}
	for i, h := range b.Heads {
		p := fmt.Sprintf("%s.heads[%d]", path, i)
		out.Heads = append(out.Heads, Head{Text: l.need(h.Text, p), Note: l.may(h.Note, p+".note"), Group: l.may(h.Group, p+".group"),
			Name: l.may(h.Name, p+".name"), Drawing: h.Drawing, Ref: h.Ref})
	}
	for i, it := range b.Items {
		out.Items = append(out.Items, l.item(b, it, fmt.Sprintf("%s.items[%d]", path, i)))
	}
	return out
}

func (l *localizer) item(b sheet.Block, it sheet.Item, path string) Item {
	out := Item{Msg: it.Text.ID, Blank: it.Blank, Mark: it.Mark, Strong: it.Strong, Rank: it.Rank, Ref: it.Ref}
	label, text := l.may, l.may
	switch b.Kind {
	case sheet.List, sheet.Notice, sheet.Tick, sheet.Sources:
		text = l.need
	case sheet.Facts:
		label = l.need
		if len(it.Items) == 0 && it.Blank == 0 {
			text = l.need
		}
	case sheet.Schedule, sheet.Phones, sheet.Urgent:
		label, text = l.need, l.need
	case sheet.Sign:
		label = l.need
	case sheet.Choices, sheet.Table:
		label = l.need
		l.cells(b, it, path)
	}
	out.Label = label(it.Label, path+".label")
	out.Text = text(it.Text, path+".text")
	out.More = l.lines(it.More, path+".more")
	for i, under := range it.Items {
		out.Items = append(out.Items, l.item(sheet.Block{Kind: sheet.List}, under, fmt.Sprintf("%s.items[%d]", path, i)))
	}
	for i, c := range it.Cells {
		p := fmt.Sprintf("%s.cells[%d]", path, i)
		cell := Cell{Texts: l.lines(c.Texts, p+".texts"), Write: c.Write, Span: c.Span, Ref: c.Ref}
		for j, x := range c.Boxes {
			cell.Boxes = append(cell.Boxes, Box{Text: l.need(x.Text, fmt.Sprintf("%s.boxes[%d]", p, j)), Mark: x.Mark})
		}
		if len(cell.Texts)+len(cell.Boxes) == 0 && !c.Write {
			l.faults.Add("RENDER-EMPTY", p, "an empty cell")
		}
		out.Cells = append(out.Cells, cell)
	}
	for i, c := range it.Choices {
		out.Choices = append(out.Choices, l.choice(c, fmt.Sprintf("%s.choices[%d]", path, i)))
	}
	return out
}

// cells compares the cells of a row with the columns of its table.
func (l *localizer) cells(b sheet.Block, it sheet.Item, path string) {
	have, want := 0, len(b.Heads)
	for _, c := range it.Cells {
		have += max(1, c.Span)
	}
	switch {
	case b.Kind == sheet.Choices && len(it.Cells)+len(it.Choices) == 0: // the name of a group
		return
	case b.Kind == sheet.Choices && len(it.Items) > 0 && have == 0: // those under it have them
		return
	case b.Kind == sheet.Choices: // how far it goes, and what a no means
		want = min(max(have, 1), 2)
	case len(b.Heads)+len(b.Columns) == 0 && b.Style == sheet.Money:
		want = 1 // amounts, which need no title
	case len(b.Heads) == 0:
		want = len(b.Columns) - 1 // the labels have a title too
	}
	if have == 0 || have != want {
		l.faults.Add("RENDER-COLUMNS", path, "%d cells for %d columns", have, want)
	}
}

// choice writes the answers to cross at some places.
func (l *localizer) choice(c sheet.Choice, path string) Choice {
	out := Choice{Where: l.may(c.Where, path+".where")}
	for _, k := range c.Offered {
		if !slices.Contains([]casefile.Answer{casefile.Agree, casefile.Ask, casefile.No}, k) {
			l.faults.Add("RENDER-VALUE", path, "%q is no answer", string(k))
			continue
		}
		out.Boxes = append(out.Boxes, Box{Text: l.line(sheet.M("print.answer."+string(k)), path), Key: string(k), Mark: k == c.Said})
	}
	return out
}

// Values are put into a message as single private-use characters, which no
// wording may hold, and the text is then cut at them: what is a value and what
// is wording is never guessed from the letters.
const sentinel = '\uE000'

// line writes one text. Its runs all carry the id of the message.
func (l *localizer) line(t sheet.Text, path string) Line {
	if t.ID == "" {
		lang := ""
		if t.Lang != l.lang.Tag {
			lang = t.Lang
		}
		text := safetext.Plain.Clean(t.Verbatim)
		if strings.TrimSpace(text) == "" {
			l.faults.Add("RENDER-EMPTY", path, "the text is blank")
		}
		return Line{{Text: text, Value: "verbatim", Dir: "auto", Lang: lang}}
	}
	l.used[t.ID] = true
	out := l.message(t, path)
	for i := range out {
		out[i].Msg = t.ID
	}
	return out
}

func (l *localizer) message(t sheet.Text, path string) Line {
	if !l.w.Has(t.ID) {
		l.faults.Add("RENDER-MESSAGE", path, "%s has no message %s", l.lang.Tag, t.ID)
		return nil
	}
	before := len(l.faults)
	values := make([]Line, len(t.Args))
	args := map[string]string{}
	names := l.w.Placeholders(t.ID)
	for i, a := range t.Args {
		if _, twice := args[a.Name]; twice {
			l.faults.Add("RENDER-VALUE", path, "%s is given %s twice", t.ID, a.Name)
		}
		args[a.Name] = string(rune(sentinel + i))
		values[i] = l.value(a.Value, path+"."+a.Name)
		if a.Name != t.Plural && !slices.Contains(names, a.Name) {
			l.faults.Add("RENDER-UNUSED", path, "%s is given %s, which it does not show", t.ID, a.Name)
		}
	}
	for _, n := range names {
		if _, ok := args[n]; !ok {
			l.faults.Add("RENDER-PLACEHOLDER", path, "%s needs a value for %s", t.ID, n)
		}
	}
	count := l.count(t, path)
	if len(l.faults) > before {
		return nil
	}
	text, err := l.w.Text(t.ID, args, count)
	if err != nil {
		l.faults.Add("RENDER-WORDING", path, "%v", err)
		return nil
	}
	if strings.TrimSpace(text) == "" {
		l.faults.Add("RENDER-EMPTY", path, "%s is blank", t.ID)
		return nil
	}
	shown := make([]bool, len(values))
	var out Line
	start := 0
	for i, r := range text {
		if !safetext.IsPrivate(r) {
			continue
		}
		n := int(r - sentinel)
		if n < 0 || n >= len(values) {
			l.faults.Add("RENDER-WORDING", path, "%s holds a private-use character", t.ID)
			return nil
		}
		if i > start {
			out = append(out, Run{Text: text[start:i]})
		}
		out = append(out, values[n]...)
		shown[n] = true
		start = i + utf8.RuneLen(r)
	}
	if start < len(text) {
		out = append(out, Run{Text: text[start:]})
	}
	for i, a := range t.Args {
		if !shown[i] && a.Name != t.Plural {
			l.faults.Add("RENDER-UNUSED", path, "%s does not show %s in the form for a count of %s", t.ID, a.Name, count)
		}
	}
	return out
}

// count gives the decimal that picks the plural form, "" for a plain message.
func (l *localizer) count(t sheet.Text, path string) string {
	m := l.w.Source(t.ID)
	many := len(l.lang.Plurals()) > 1
	if t.Plural == "" {
		if m.Plural() && many {
			l.faults.Add("RENDER-PLURAL", path, "%s has plural forms and no count is named", t.ID)
		}
		return ""
	}
	if !m.Plural() && many {
		l.faults.Add("RENDER-PLURAL", path, "%s lacks plural forms in %s", t.ID, l.lang.Tag)
		return ""
	}
	for _, a := range t.Args {
		if a.Name != t.Plural {
			continue
		}
		switch v := a.Value.(type) {
		case sheet.Int:
			if v >= 0 {
				return strconv.Itoa(int(v))
			}
		case sheet.Decimal:
			if s, ok := decimal(v.Value, v.Digits); ok && v.Value >= 0 {
				return s
			}
		case sheet.Range:
			low, ok1 := decimal(v.Low, v.Digits)
			high, ok2 := decimal(v.High, v.Digits)
			if !ok1 || !ok2 || v.Low > v.High {
				break
			}
			if s, err := l.w.RangeCount(t.ID, t.Plural, low, high); err == nil {
				return s
			}
		}
	}
	l.faults.Add("RENDER-PLURAL", path, "%s needs a count of 0 or more in %s", t.ID, t.Plural)
	return ""
}

// decimal writes x with at most digits decimals in Latin digits, without trailing zeros.
func decimal(x float64, digits int) (string, bool) {
	if math.IsNaN(x) || math.IsInf(x, 0) || math.Abs(x) >= 1e15 || digits < 0 || digits > 9 {
		return "", false
	}
	s := strconv.FormatFloat(x, 'f', digits, 64)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	if s == "-0" {
		s = "0"
	}
	return s, true
}

func (l *localizer) value(v sheet.Value, path string) Line {
	switch v := v.(type) {
	case sheet.Teeth:
		return l.teeth(v, path)
	case sheet.Pairs:
		return l.pairs(v, path)
	case sheet.Day:
		return l.date(v.Date, v.Weekday, path)
	case sheet.Month:
		return l.month(v.Date, path)
	case sheet.Clock:
		return l.clock(casefile.Time(v), path)
	case sheet.Days:
		return l.days(v, path)
	case sheet.Int:
		return Line{{Text: l.lang.Integer(int64(v)), Value: "number", Dir: "ltr"}}
	case sheet.Decimal:
		s, ok := l.number(v.Value, v.Digits)
		if !ok {
			return l.bad(path, "%v is not a number to print", v.Value)
		}
		return Line{{Text: s, Value: "number", Dir: "ltr"}}
	case sheet.Range:
		return l.span(v, path)
	case sheet.Amount:
		s, err := l.lang.Money(v.Minor, v.Currency)
		return l.money(s, err, path)
	case sheet.Price:
		s, err := l.lang.MoneyShort(v.Minor, v.Currency)
		return l.money(s, err, path)
	case sheet.Phone:
		return l.typed(string(v), "phone", "ltr", path)
	case sheet.Code:
		return l.typed(string(v), "code", "ltr", path)
	case sheet.Verbatim:
		return l.typed(string(v), "verbatim", "auto", path)
	case sheet.Language:
		return Line{{Text: l.lang.NameOf(string(v)), Value: "language", Dir: l.lang.Dir}}
	case sheet.Word:
		return l.need(v.Text, path)
	case sheet.Words:
		return l.list(v, path)
	case nil:
		return l.bad(path, "no value")
	}
	return l.bad(path, "a value of unknown type %T", v)
}

func (l *localizer) list(v sheet.Words, path string) Line {
	if len(v) == 0 {
		return l.bad(path, "an empty list")
	}
	return l.and(l.lines(v, path))
}

// bad notes what is wrong with a value, which then has no words.
func (l *localizer) bad(path, format string, a ...any) Line {
	l.faults.Add("RENDER-VALUE", path, format, a...)
	return nil
}

func (l *localizer) teeth(teeth sheet.Teeth, path string) Line {
	var items []Line
	for _, t := range casefile.SortTeeth(teeth) {
		if !t.Valid() {
			return l.bad(path, "%d is not a tooth", int(t))
		}
		items = append(items, Line{{Text: t.Label(l.numbering), Value: "teeth", Dir: "ltr", Teeth: []casefile.Tooth{t}}})
	}
	if len(items) == 0 {
		return l.bad(path, "no teeth")
	}
	return l.and(items)
}

func (l *localizer) pairs(pairs sheet.Pairs, path string) Line {
	var items []Line
	for _, p := range pairs {
		if !p.Contact() {
			return l.bad(path, "%s is not a contact of two neighbors", p)
		}
		t := p.Teeth()
		items = append(items, Line{{Text: t[0].Label(l.numbering) + "\u2013" + t[1].Label(l.numbering), Value: "places", Dir: "ltr", Teeth: t}})
	}
	if len(items) == 0 {
		return l.bad(path, "no contacts")
	}
	return l.and(items)
}

func (l *localizer) clock(t casefile.Time, path string) Line {
	if !t.Valid() {
		return l.bad(path, "%q is not a time", string(t))
	}
	s, err := l.lang.Clock(t.Split())
	if err != nil {
		return l.bad(path, "%v", err)
	}
	return Line{{Text: s, Value: "time", Dir: l.lang.Dir}}
}

func (l *localizer) days(v sheet.Days, path string) Line {
	from, to := l.date(v.From, false, path), l.date(v.To, false, path)
	if len(from) == 0 || len(to) == 0 || v.From == v.To {
		return from
	}
	if v.To.Before(v.From) {
		return l.bad(path, "from %s to %s", v.From, v.To)
	}
	return l.line(sheet.M("print.days", "From", sheet.Day{Date: v.From}, "To", sheet.Day{Date: v.To}), path)
}

func (l *localizer) span(v sheet.Range, path string) Line {
	low, ok1 := l.number(v.Low, v.Digits)
	high, ok2 := l.number(v.High, v.Digits)
	if !ok1 || !ok2 || v.Low > v.High {
		return l.bad(path, "%v to %v is not a range", v.Low, v.High)
	}
	if low == high || l.lang.Between == "" {
		return Line{{Text: l.lang.Range(low, high), Value: "range", Dir: "ltr"}}
	}
	// In words each end is a value of its own, so that they stay in their order.
	const start, end = string(sentinel), string(sentinel + 1)
	before, rest, _ := strings.Cut(l.lang.Range(start, end), start)
	between, after, _ := strings.Cut(rest, end)
	var out Line
	for _, r := range []Run{{Text: before}, {Text: low, Value: "range", Dir: "ltr"}, {Text: between}, {Text: high, Value: "range", Dir: "ltr"}, {Text: after}} {
		if r.Text != "" {
			out = append(out, r)
		}
	}
	return out
}

// money gives an amount as runs. In a right-to-left language the number and the
// currency are isolated apart and the locale's direction marks left out: beside
// each other in one run, a sign such as that of "US$" goes astray.
func (l *localizer) money(s string, err error, path string) Line {
	if err != nil {
		return l.bad(path, "%v", err)
	}
	if !l.lang.RTL() {
		return Line{{Text: s, Value: "money", Dir: "ltr"}}
	}
	var out Line
	for part := range strings.SplitSeq(s, "\u00a0") {
		part = safetext.Undirected(part)
		if part == "" {
			continue
		}
		dir := "ltr"
		if strings.ContainsFunc(part, rightToLeft) {
			dir = "rtl"
		}
		if len(out) > 0 {
			out = append(out, Run{Text: "\u00a0"})
		}
		out = append(out, Run{Text: part, Value: "money", Dir: dir})
	}
	return out
}

func (l *localizer) typed(s, value, dir, path string) Line {
	s = strings.TrimSpace(safetext.Plain.Clean(s))
	if s == "" {
		l.faults.Add("RENDER-VALUE", path, "a blank %s", value)
		return nil
	}
	return Line{{Text: s, Value: value, Dir: dir}}
}

func (l *localizer) number(x float64, digits int) (string, bool) {
	s, ok := decimal(x, digits)
	if !ok {
		return "", false
	}
	s, err := l.lang.Number(s)
	return s, err == nil
}

func (l *localizer) date(d casefile.Date, weekday bool, path string) Line {
	f := l.lang.Date
	if weekday {
		f = l.lang.DateWeekday
	}
	s, err := f(d.Year, d.Month, d.Day)
	if err != nil {
		l.faults.Add("RENDER-VALUE", path, "%v", err)
		return nil
	}
	return Line{{Text: s, Value: "date", Dir: l.lang.Dir, Date: d}}
}

// month writes the month of a date; the line keeps the day for those who compare.
func (l *localizer) month(d casefile.Date, path string) Line {
	s, err := l.lang.MonthYear(d.Year, d.Month)
	if err != nil {
		l.faults.Add("RENDER-VALUE", path, "%v", err)
		return nil
	}
	return Line{{Text: s, Value: "date", Dir: l.lang.Dir, Date: d}}
}

// and joins lines by the language's list pattern. The pattern sees the words,
// since Spanish "y" turns to "e" before some, each with a sentinel behind it at
// which the result is cut again.
func (l *localizer) and(items []Line) Line {
	texts := make([]string, len(items))
	for i, it := range items {
		if len(it) == 0 {
			return nil // a fault has been reported
		}
		texts[i] = it.String() + string(rune(sentinel+i))
	}
	rest := l.lang.And(texts)
	var out Line
	for i, it := range items {
		before, after, _ := strings.Cut(rest, string(rune(sentinel+i)))
		if joint := strings.TrimSuffix(before, it.String()); joint != "" {
			out = append(out, Run{Text: joint})
		}
		out = append(out, it...)
		rest = after
	}
	if rest != "" {
		out = append(out, Run{Text: rest})
	}
	return out
}

func rightToLeft(r rune) bool {
	return unicode.In(r, unicode.Arabic, unicode.Hebrew, unicode.Syriac, unicode.Thaana, unicode.Nko, unicode.Adlam)
}

func (l *localizer) words() Words {
	m := func(id string) Line { return l.line(sheet.M(id), "words") }
	return Words{
		Empty: m("print.box.empty"), Crossed: m("print.box.crossed"), None: m("print.box.none"), Line: m("print.line"),
		Right: m("print.chart.right"), Left: m("print.chart.left"),
		Sources: m("print.sources"), Identifiers: m("furniture.identifiers"),
	}
}

// state is the lowest review state among the messages used.
func (l *localizer) state(states map[string]i18n.State) string {
	lowest := len(i18n.ReviewStates) - 1
	for id := range l.used {
		lowest = min(lowest, max(0, slices.Index(i18n.ReviewStates, states[id].State)))
	}
	return i18n.ReviewStates[lowest]
}

func (l *localizer) furniture(s sheet.Sheet, state string, o Options) Furniture {
	m := func(id string, nv ...any) Line { return l.line(sheet.M(id, nv...), "page") }
	f := Furniture{
		Practice: l.need(sheet.Typed(s.Practice.Name), "page.practice"),
		Name:     m("furniture.name"), Born: m("furniture.born"), Chart: m("furniture.chart"),
		Seal: m("furniture.seal"), Caution: m("furniture.caution"),
		Telephone: m("furniture.telephone", "Phone", sheet.Phone(s.Practice.Telephone)),
		Version: m("furniture.version", "Date", sheet.Day{Date: s.Issued},
			"Version", sheet.Code(s.Content), "Language", sheet.Language(l.lang.Tag)),
	}
	review := m("furniture.state." + state)
	if o.Signed != nil {
		review = m("furniture.signed", "Name", sheet.Verbatim(o.Signed.Who), "Text", sheet.Verbatim(o.Signed.Role),
			"Date", sheet.Day{Date: o.Signed.When})
	}
	if len(f.Version) > 0 && len(review) > 0 {
		f.Version = append(append(f.Version, Run{Text: " "}), review...)
	}
	return f
}

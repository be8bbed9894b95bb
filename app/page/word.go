package page

import (
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/maxence-charriere/go-app/v10/pkg/app"
	"golang.org/x/text/width"

	"plainleaf/app/casefile"
	"plainleaf/app/fault"
	"plainleaf/app/plan"
	"plainleaf/app/render"
	"plainleaf/app/safetext"
	"plainleaf/app/sheet"
	"plainleaf/i18n"
)

// t is a message in the screen's language with values as name, value pairs.
// A message that cannot be said shows its id; the tests fail on one.
func (r *Root) t(id string, nv ...string) string { return r.say(id, "", nv) }

// n is a message whose form follows the whole number n, its value Count.
func (r *Root) n(id string, n int, nv ...string) string {
	return r.say(id, strconv.Itoa(n), append(nv, "Count", r.lang().Integer(int64(n))))
}

// measured is a message about low to high: of something counted, whose form follows the
// range, its value Count, or of a measure with one form for all, its value Range.
func (r *Root) measured(id string, low, high float64, digits int) string {
	if !r.words.Source(id).Plural() {
		return r.t(id, "Range", r.reach(low, high, digits))
	}
	return r.say(id, r.countOf(id, "Count", low, high, digits), []string{"Count", r.reach(low, high, digits)})
}

// message says a message of the sheets, its values apart from the text around them.
func (r *Root) message(t sheet.Text) string {
	line, faults := render.Say(t, r.words, r.d.Case().Numbering)
	if len(faults) > 0 {
		return "[" + t.ID + "]"
	}
	said := ""
	for _, run := range line {
		if run.Value != "" {
			run.Text = r.apart(run.Text)
		}
		said += run.Text
	}
	return said
}

func (r *Root) say(id, count string, nv []string) string {
	key := id
	if len(nv) > 0 || count != "" {
		key = strings.Join(nv, "\x00") + "\x00" + count + "\x00" + id
	}
	text, ok := r.texts[key]
	if !ok {
		if len(r.texts) > manySaid {
			clear(r.texts) // what was typed is among the values
		}
		text = r.sayAnew(id, count, nv)
		if r.texts == nil {
			r.texts = map[string]string{}
		}
		r.texts[key] = text
	}
	return text
}

// manySaid is how many texts are kept ready; a screen shows some hundreds.
const manySaid = 5000

func (r *Root) sayAnew(id, count string, nv []string) string {
	args := map[string]string{}
	for i := 0; i+1 < len(nv); i += 2 {
		args[nv[i]] = r.apart(nv[i+1])
	}
	text, err := r.words.Text(id, args, count)
	if err != nil {
		return "[" + id + "]"
	}
	return text
}

// apart keeps a value from mixing with the direction of the text around it
// (Unicode UAX 9: first strong isolate, pop directional isolate).
func (r *Root) apart(s string) string {
	if !r.lang().RTL() || s == "" {
		return s
	}
	return "\u2068" + s + "\u2069"
}

func (r *Root) lang() i18n.Language { return r.words.Language() }

// date writes a date with the month spelled out, or nothing for no date.
func (r *Root) date(d casefile.Date) string {
	s, err := r.lang().Date(d.Year, d.Month, d.Day)
	if err != nil {
		return ""
	}
	return s
}

// plain writes x with at most digits decimals in Latin digits.
func plain(x float64, digits int) string {
	s := strconv.FormatFloat(x, 'f', digits, 64)
	if digits > 0 {
		s = strings.TrimSuffix(strings.TrimRight(s, "0"), ".")
	}
	return s
}

// countOf is the count that picks the form of a message for a range.
func (r *Root) countOf(id, name string, low, high float64, digits int) string {
	count, err := r.words.RangeCount(id, name, plain(low, digits), plain(high, digits))
	if err != nil {
		return ""
	}
	return count
}

// number writes x with at most digits decimals.
func (r *Root) number(x float64, digits int) string {
	s := plain(x, digits)
	text, err := r.lang().Number(s)
	if err != nil {
		return s
	}
	return text
}

// reach writes low to high. Each end is one piece, never reordered.
func (r *Root) reach(low, high float64, digits int) string {
	from, to := r.number(low, digits), r.number(high, digits)
	if r.lang().RTL() {
		from, to = "\u2066"+from+"\u2069", "\u2066"+to+"\u2069"
	}
	return r.lang().Range(from, to)
}

func (r *Root) money(minor int64, currency string) string {
	s, err := r.lang().Money(minor, currency)
	if err != nil {
		return r.t("page.money.none")
	}
	if !r.lang().RTL() {
		return s
	}
	// As on paper: number and currency each for itself, or the sign of "US$" would
	// stand before its letters.
	parts := strings.Split(s, "\u00a0")
	for i, part := range parts {
		parts[i] = r.apart(safetext.Undirected(part))
	}
	return strings.Join(parts, "\u00a0")
}

// label is a tooth in the numbering chosen.
func (r *Root) label(t casefile.Tooth) string { return t.Label(r.d.Case().Numbering) }

// toothName is a tooth's full name with its number.
func (r *Root) toothName(t casefile.Tooth) string {
	return r.t("page.chart.tooth", "Name", r.t("tooth."+t.String()), "Tooth", r.label(t))
}

// teeth joins tooth numbers in chart order.
func (r *Root) teeth(ts []casefile.Tooth) string {
	var list []string
	for _, t := range casefile.SortTeeth(ts) {
		list = append(list, r.apart(r.label(t)))
	}
	return r.lang().And(list)
}

// placeLabel is a tooth's number, or those of the two teeth of a contact.
func (r *Root) placeLabel(p casefile.Place) string {
	var list []string
	for _, t := range p.Teeth() {
		list = append(list, r.label(t))
	}
	return strings.Join(list, "\u2013")
}

// places joins places along the arch.
func (r *Root) places(ps []casefile.Place) string {
	var list []string
	for _, p := range casefile.SortPlaces(ps) {
		list = append(list, r.apart(r.placeLabel(p)))
	}
	return r.lang().And(list)
}

// placeName is a place for who hears the screen.
func (r *Root) placeName(p casefile.Place) string {
	if p.Contact() {
		return r.n("sheet.common.pair-list", 1, "Teeth", r.placeLabel(p))
	}
	return r.toothName(p.A)
}

// withPlaces is a name or an answer with its teeth or contacts.
func (r *Root) withPlaces(text string, ps []casefile.Place) string {
	if len(ps) > 0 && ps[0].Contact() {
		return r.t("sheet.aftercare.done-between", "Text", text, "Teeth", r.places(ps))
	}
	return r.n("sheet.aftercare.done-change", len(ps), "Text", text, "Teeth", r.places(ps))
}

// withTeeth is a name or an answer with its teeth, called teeth, since a number
// alone may be read as how many.
func (r *Root) withTeeth(text string, teeth []casefile.Tooth) string {
	return r.n("sheet.aftercare.done-change", len(teeth), "Text", text, "Teeth", r.teeth(teeth))
}

// list joins phrases.
func (r *Root) list(items []string) string { return r.lang().And(items) }

// dots joins names that stand on their own, which may hold commas or begin with a
// capital, so that each is seen as one.
func dots(names []string) string { return strings.Join(names, " · ") }

// faultText is the sentence about a fault for whoever stands at the chair.
func (r *Root) faultText(f fault.Fault) string {
	ofWords := strings.HasPrefix(f.Code, "WORDING-")
	// A sentence that a fault quotes has its reason beside it; others have the place.
	if r.words.Has(f.Message()) && (!ofWords || f.Args["Value"] != "") {
		var nv []string
		for k, v := range f.Args {
			nv = append(nv, k, v)
		}
		return r.t(f.Message(), nv...)
	}
	if ofWords {
		return r.t("page.fault.wording", "Key", f.Path)
	}
	return r.t("page.fault.other", "Key", f.Code)
}

// faults shows the sentences about one field; nothing when it is well.
func (r *Root) faults(id string, list fault.List) app.UI {
	if len(list) == 0 {
		return none()
	}
	return el("ul").ID(id).Class("faults").Body(
		each(len(list), func(i int) app.UI {
			return el("li").DataSet("fault", list[i].Code).Text(r.faultText(list[i]))
		}),
	)
}

// none is an element that shows nothing.
func none() app.UI { return app.If(false, func() app.UI { return nil }) }

// follow puts sentences one after the other, with a space between them but after a
// full-width mark, which brings its own room.
func follow(sentences ...string) string {
	all := ""
	for _, s := range sentences {
		if r, _ := utf8.DecodeLastRuneInString(all); all != "" && s != "" && width.LookupRune(r).Kind() != width.EastAsianWide && width.LookupRune(r).Kind() != width.EastAsianFullwidth {
			all += " "
		}
		all += s
	}
	return all
}

// visitID is the message with the name of a visit.
func (r *Root) visitID(purpose string) string { return sheet.VisitName(r.d.Base(), purpose, "name") }

// also names what else is done at a visit.
func (r *Root) also(v plan.Visit) string {
	var names []string
	for _, p := range v.With {
		names = append(names, r.t(r.visitID(p.Purpose)))
	}
	return dots(names)
}

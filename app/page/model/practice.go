package model

import (
	"encoding/json"
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"

	"plainleaf/app/casefile"
	"plainleaf/app/fault"
	"plainleaf/app/render"
	"plainleaf/i18n"
)

// Own is what the practice set on this device beside its file. None of it is
// about a patient.
type Own struct {
	Numbering string // of teeth in a new case; "" is FDI
	Minutes   int    // without a touch until the screen is covered
	// Typed is text that cannot be read or waits for a yes, by path.
	Typed map[string]string
	// Approval is a sign-off that is being entered. It holds up no sheet.
	Approval Approval
}

// Approval is a sign-off as it is typed; "" is what stands there until something
// else is chosen.
type Approval struct {
	Sheet  string `json:"sheet,omitempty"`
	Locale string `json:"locale,omitempty"`
	Who    string `json:"who,omitempty"`
	Role   string `json:"role,omitempty"`
	When   string `json:"when,omitempty"`
}

// SetApproval changes the sign-off that is being entered.
func (m *Model) SetApproval(edit func(*Approval)) { edit(&m.Own.Approval); m.set++ }

// Minutes that may pass without a touch until the screen is covered: what can be
// chosen, and what stands until something is.
var IdleMinutes = []int{1, 2, 3, 5, 10}

const idleDefault = 3

// SettingsVersion is the version of the kept settings that this program writes. It
// reads every one up to it, with a practice of any version inside.
const SettingsVersion = 2

// settings is how the practice is kept on the device.
type settings struct {
	Version   int               `json:"version"`
	Practice  casefile.Practice `json:"practice"`
	Numbering string            `json:"numbering,omitempty"`
	Minutes   int               `json:"minutes,omitempty"`
	Typed     map[string]string `json:"typed,omitempty"`
	Approval  Approval          `json:"approval,omitzero"`
	Offer     fileText          `json:"offer,omitzero"`
}

// fileText is a practice file that waits for a yes or to be mended.
type fileText struct {
	Name string `json:"name"`
	Text string `json:"text"`
}

// Settings writes the practice as it stands on the screen, faults included.
func (m *Model) Settings() string {
	offer := m.offer
	if len(offer.Text) > fileMax {
		offer = fileText{}
	}
	data, err := json.Marshal(settings{SettingsVersion, m.Practice, m.Own.Numbering, m.Own.Minutes, m.Own.Typed, m.Own.Approval, offer})
	if err != nil {
		return ""
	}
	return string(data)
}

// TakeSettings puts kept settings in place; false when they cannot be read.
func (m *Model) TakeSettings(text string) bool {
	var s settings
	if !readOwn(text, &s) || s.Version < 1 || s.Version > SettingsVersion {
		return false
	}
	m.Practice = s.Practice
	m.Practice.Version = casefile.PracticeVersion
	m.worded++
	m.Own = Own{Numbering: s.Numbering, Minutes: s.Minutes, Typed: s.Typed, Approval: s.Approval}
	m.settle()
	if s.Offer == (fileText{}) {
		m.DropPractice()
	} else {
		m.OfferPractice(s.Offer.Name, s.Offer.Text)
	}
	if !m.Started() {
		m.Case.Numbering = m.Own.Numbering
	}
	m.changed()
	return true
}

// NewerSettings reports whether kept settings are of a newer program. This one must
// leave them as they are.
func NewerSettings(text string) bool {
	var s struct{ Version int }
	return json.Unmarshal([]byte(text), &s) == nil && s.Version > SettingsVersion
}

func (m *Model) settle() {
	if m.Own.Typed == nil {
		m.Own.Typed = map[string]string{}
	}
	if !slices.Contains(IdleMinutes, m.Own.Minutes) {
		m.Own.Minutes = idleDefault
	}
}

// Set counts the changes to the practice, so that a caller can tell whether what
// it wrote down still holds.
func (m *Model) Set() int { return m.set }

func (m *Model) setOwn() { m.set++; m.changed() }

// SetNumberingOwn sets how teeth are written in a new case, and in this one.
func (m *Model) SetNumberingOwn(n string) { m.Own.Numbering, m.Case.Numbering = n, n; m.setOwn() }

// SetMinutes sets how long the screen stays open without a touch.
func (m *Model) SetMinutes(n int) { m.Own.Minutes = n; m.settle(); m.setOwn() }

// BackTo puts a practice in place of the present one with all that was typed.
func (m *Model) BackTo(p casefile.Practice) {
	m.Practice = p
	m.worded++
	m.DropPractice()
	m.Own = Own{}
	m.settle()
	m.setOwn()
}

// isNumber reports whether a field holds a telephone number. A wrong one on a
// sheet is the worst of its faults, so a change waits for a yes.
func isNumber(field string) bool {
	switch field {
	case "telephone", "emergency_line", "emergency_service":
		return true
	}
	return false
}

// NumberChanges lists the telephone numbers that were typed and wait for a yes.
func (m *Model) NumberChanges() []Line {
	var out []Line
	for _, f := range PracticeFields() {
		if text, ok := m.Own.Typed[f]; ok && isNumber(f) {
			out = append(out, Line{f, *practiceField(&m.Practice, f), text})
		}
	}
	return out
}

// AcceptNumbers puts the numbers typed in place of those before; false while one
// of them cannot be one.
func (m *Model) AcceptNumbers() bool {
	lines := m.NumberChanges()
	for _, l := range lines {
		if len(m.PracticeFaults(l.Field)) > 0 {
			return false
		}
	}
	for _, l := range lines {
		*practiceField(&m.Practice, l.Field) = l.New
		delete(m.Own.Typed, l.Field)
	}
	m.setOwn()
	return true
}

// DropNumbers forgets the numbers typed.
func (m *Model) DropNumbers() {
	for _, l := range m.NumberChanges() {
		delete(m.Own.Typed, l.Field)
	}
	m.setOwn()
}

// Confirm says that a field that is the demo practice's is right for this one too.
func (m *Model) Confirm(key string) {
	if !slices.Contains(m.Practice.Confirmed, key) {
		m.Practice.Confirmed = append(slices.Clone(m.Practice.Confirmed), key)
		m.setOwn()
	}
}

// AllOwn reports whether nothing of the demo practice is left but what was confirmed, and
// nothing that was typed waits for a yes.
func (m *Model) AllOwn(demo casefile.Practice) bool {
	invented, unconfirmed := casefile.StillDemo(m.Practice, demo)
	return len(invented)+len(unconfirmed)+len(m.waiting()) == 0
}

// TakeOver says that the practice is a real one; false while AllOwn is.
func (m *Model) TakeOver(demo casefile.Practice) bool {
	if !m.AllOwn(demo) {
		return false
	}
	m.Practice.Demo = false
	m.setOwn()
	return true
}

// ToggleDay sets or removes a day of the week: opening_days or laboratory_days.
func (m *Model) ToggleDay(list, day string) {
	days := &m.Practice.OpeningDays
	if list == "laboratory_days" {
		days = &m.Practice.LaboratoryDays
	}
	on := toggle(*days, day)
	// Days stand in the order of the week.
	*days = slices.DeleteFunc(casefile.Weekdays(), func(d string) bool { return !slices.Contains(on, d) })
	m.setOwn()
}

// Closures are the closed times: closures or laboratory_closures.
func (m *Model) Closures(list string) []casefile.Closure { return *m.closures(list) }

func (m *Model) closures(list string) *[]casefile.Closure {
	if list == "laboratory_closures" {
		return &m.Practice.LabClosures
	}
	return &m.Practice.Closures
}

// AddClosure adds a closed time whose days are still blank.
func (m *Model) AddClosure(list string) {
	c := m.closures(list)
	*c = append(slices.Clone(*c), casefile.Closure{})
	m.setOwn()
}

// DropClosure takes a closed time out.
func (m *Model) DropClosure(list string, i int) {
	c := m.closures(list)
	*c = slices.Delete(slices.Clone(*c), i, i+1)
	// What was typed moves up with its line.
	typed := map[string]string{}
	for path, text := range m.Own.Typed {
		rest, here := strings.CutPrefix(path, list+"[")
		at, end, _ := strings.Cut(rest, "]")
		n, err := strconv.Atoi(at)
		switch {
		case !here || err != nil || n < i:
			typed[path] = text
		case n > i:
			typed[fmt.Sprintf("%s[%d]%s", list, n-1, end)] = text
		}
	}
	m.Own.Typed = typed
	m.setOwn()
}

// SetClosure sets the first ("from") or last ("to") day of a closed time. Text
// that is not a date stays in the field.
func (m *Model) SetClosure(list string, i int, end, text string) {
	c := slices.Clone(*m.closures(list))
	path := fmt.Sprintf("%s[%d].%s", list, i, end)
	delete(m.Own.Typed, path)
	text = strings.TrimSpace(text)
	var d casefile.Date
	if text != "" {
		var err error
		if d, err = casefile.ParseDate(text); err != nil {
			m.Own.Typed[path] = text
		}
	}
	if end == "from" {
		c[i].From = d
	} else {
		c[i].To = d
	}
	*m.closures(list) = c
	m.setOwn()
}

// Written is what stands in a field of the practice: the text as typed while it
// cannot be read, else the value.
func (m *Model) Written(path, value string) string {
	if t, ok := m.Own.Typed[path]; ok {
		return t
	}
	return value
}

// AddSignOff adds that somebody checked the words of a sheet in a language, and notes
// what those are: words in that language and own in the practice's. It takes the place of
// an earlier one of the same person for the same words.
func (m *Model) AddSignOff(s casefile.SignOff, words, own *i18n.Wording) {
	list := slices.DeleteFunc(slices.Clone(m.Practice.SignOffs), func(x casefile.SignOff) bool {
		return x.Sheet == s.Sheet && x.Locale == s.Locale && x.Who == s.Who
	})
	s.Wording = render.Digest(words)
	m.Practice.SignOffs = append(list, s)
	render.Approve(&m.Practice, s.Locale, words, own)
	m.worded++
	m.setOwn()
}

// DropSignOff takes a sign-off back, and with the last one of a language what was
// approved in it.
func (m *Model) DropSignOff(i int) {
	if i >= len(m.Practice.SignOffs) {
		return
	}
	tag := m.Practice.SignOffs[i].Locale
	m.Practice.SignOffs = emptied(slices.Delete(slices.Clone(m.Practice.SignOffs), i, i+1))
	if !slices.ContainsFunc(m.Practice.SignOffs, func(s casefile.SignOff) bool { return s.Locale == tag }) {
		render.Withdraw(&m.Practice, tag)
	}
	m.worded++
	m.setOwn()
}

// Worded counts the changes to the practice's sentences and sign-offs.
func (m *Model) Worded() int { return m.worded }

// FeeText is one part, per_tooth or flat, of a fee, as typed or as a decimal with
// the currency's number of decimals.
func (m *Model) FeeText(key, part string, decimals int) string {
	f := m.Practice.Fees[key]
	n := f.PerTooth
	if part == "flat" {
		n = f.Flat
	}
	path := "fees." + key + "." + part
	// A sum just typed stays as it was typed: 1.2 on its way to 1.25.
	if raw, ok := m.sums[path]; ok {
		if same, ok := ParseSum(raw, decimals); ok && same == n {
			return m.Written(path, raw)
		}
	}
	text := ""
	if n != 0 || f == (casefile.Fee{}) && part == "flat" {
		text = Sum(n, decimals)
	}
	return m.Written(path, text)
}

// Sum writes minor units with their decimals, those of a round sum left out.
func Sum(minor int64, decimals int) string {
	s := strconv.FormatInt(minor, 10)
	for len(s) <= decimals {
		s = "0" + s
	}
	whole, rest := s[:len(s)-decimals], s[len(s)-decimals:]
	if strings.Trim(rest, "0") == "" {
		return whole
	}
	return whole + "." + rest
}

// SetFee sets one part, per_tooth or flat, of a fee. Text that is not a sum stays
// in the field; a blank is nothing for this part.
func (m *Model) SetFee(key, part, text string, decimals int) {
	fees := maps.Clone(m.Practice.Fees)
	if fees == nil {
		fees = map[string]casefile.Fee{}
	}
	path := "fees." + key + "." + part
	delete(m.Own.Typed, path)
	f := fees[key]
	n, ok := ParseSum(text, decimals)
	if !ok {
		m.Own.Typed[path] = text
	}
	if m.sums == nil {
		m.sums = map[string]string{}
	}
	m.sums[path] = text
	if part == "flat" {
		f.Flat = n
	} else {
		f.PerTooth = n
	}
	if f == (casefile.Fee{}) && ok && strings.TrimSpace(text) == "" {
		m.Own.Typed[path] = "" // no price at all is not a price of nothing
	}
	for _, other := range []string{"fees." + key + ".per_tooth", "fees." + key + ".flat"} {
		if m.Own.Typed[other] == "" && (f != casefile.Fee{}) {
			delete(m.Own.Typed, other)
		}
	}
	fees[key] = f
	m.Practice.Fees = fees
	m.setOwn()
}

// AddFee adds a line for a price that is still blank.
func (m *Model) AddFee(key string) {
	if _, ok := m.Practice.Fees[key]; ok || key == "" {
		return
	}
	m.SetFee(key, "flat", "", 0)
}

// DropFee takes a price out.
func (m *Model) DropFee(key string) {
	m.Practice.Fees = maps.Clone(m.Practice.Fees)
	delete(m.Practice.Fees, key)
	delete(m.Own.Typed, "fees."+key+".per_tooth")
	delete(m.Own.Typed, "fees."+key+".flat")
	m.setOwn()
}

// SetCurrency changes the currency; sums keep their figures. before and after
// are the decimals of the two. A sum with more decimals than the new currency
// has stays in its field as text, to be mended.
func (m *Model) SetCurrency(code string, before, after int) {
	fees := map[string]casefile.Fee{}
	for key, f := range m.Practice.Fees {
		move := func(part string, n int64) int64 {
			if n == 0 {
				return 0
			}
			text := Sum(n, before)
			out, ok := ParseSum(text, after)
			if !ok {
				m.Own.Typed["fees."+key+"."+part] = text
			}
			return out
		}
		fees[key] = casefile.Fee{PerTooth: move("per_tooth", f.PerTooth), Flat: move("flat", f.Flat)}
	}
	if m.Practice.Fees != nil {
		m.Practice.Fees = fees
	}
	m.Practice.Currency = code
	m.setOwn()
}

// ParseSum reads a sum of money in minor units. It takes digits of any script
// that decimal numbers here are written in, and one point or comma before at most
// as many decimals as the currency has; nothing between thousands, since a comma
// there means something else elsewhere. A blank is 0.
func ParseSum(text string, decimals int) (int64, bool) {
	s, point, ok := sumDigits(strings.TrimSpace(text), decimals)
	if !ok {
		return 0, false
	}
	if s == "" {
		return 0, true
	}
	places := 0
	if point >= 0 {
		places = len(s) - point
		if places == 0 || places > decimals {
			return 0, false
		}
	}
	if len(s)+decimals-places > 15 {
		return 0, false
	}
	n, err := strconv.ParseInt(s+strings.Repeat("0", decimals-places), 10, 64)
	return n, err == nil && n < math.MaxInt64
}

// sumDigits gives the digits of a sum in ASCII and how many of them come before the
// point, -1 without a point. It reports whether text has nothing else.
func sumDigits(text string, decimals int) (digits string, point int, ok bool) {
	var b strings.Builder
	point = -1
	for _, c := range text {
		switch {
		case c >= '0' && c <= '9':
			b.WriteRune(c)
		case c >= '٠' && c <= '٩':
			b.WriteRune('0' + c - '٠')
		case c >= '۰' && c <= '۹':
			b.WriteRune('0' + c - '۰')
		case (c == '.' || c == '٫' || c == ',' && decimals < 3) && point < 0 && decimals > 0 && b.Len() > 0:
			point = b.Len()
		default:
			return "", -1, false
		}
	}
	return b.String(), point, true
}

// ownFault tells what is wrong with a text typed about the practice.
func ownFault(path, text string) fault.Fault {
	switch {
	case !strings.HasPrefix(path, "fees."):
		return typedFault(path, text)
	case text == "":
		return fault.New("PAGE-FEE-BLANK", path, "the price is blank")
	}
	return fault.New("PAGE-FEE", path, "%q is not a sum", text).With("Text", text)
}

// zoneFault reports whether the browser does not know a time zone that looks
// like one.
func (m *Model) zoneFault() bool {
	z := m.Practice.TimeZone
	return z != "" && m.ZoneKnown != nil && !m.ZoneKnown(z)
}

package lives

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"

	"plainleaf/app/casefile"
	"plainleaf/app/plan"
	"plainleaf/app/sheet"
)

// composed are the sheets of a case that can be made.
func (w *world) composed(t *testing.T, c casefile.Case) (out []sheet.Sheet) {
	t.Helper()
	pl, faults := plan.For(c, w.practice, w.base)
	if len(faults) > 0 {
		t.Fatal(faults.Lines())
	}
	for _, kind := range sheet.Kinds() {
		if len(sheet.Unsettled(kind, c)) == 0 {
			out = append(out, sheet.Compose(kind, c, w.practice, pl, w.base))
		}
	}
	return out
}

// lie is one fact of one sheet told in another way.
type lie struct {
	what string // of which kind: sheet, message, value
	tell func() (undo func())
}

// swaps are the words in place of which another one lies.
var swaps = map[string]string{
	"tooth-state.untouched": "tooth-state.shaped", "tooth-state.shaped": "tooth-state.untouched", "tooth-state.bonded": "tooth-state.untouched",
	"answer.agree": "answer.no", "answer.no": "answer.agree", "answer.ask": "answer.agree", "answer.blank": "answer.agree",
	"sheet.changes.no-way-back": "sheet.changes.still-free", "sheet.changes.still-free": "sheet.changes.no-way-back", "sheet.changes.taken": "sheet.changes.still-free",
	"route.no-prep.name": "route.conventional-prep.name", "material.lithium-disilicate.name": "material.feldspathic.name",
	"sheet.sign.hold": "sheet.sign.refuse", "people.decides.patient": "people.decides.guardian", "people.age.adult": "people.age.child", "people.interpreter.none": "people.interpreter.family",
}

// another gives a value that differs.
func another(v sheet.Value) (out sheet.Value, kind string) {
	switch v := v.(type) {
	case sheet.Day:
		return sheet.Day{Date: v.Date.AddDays(1), Weekday: v.Weekday}, "date"
	case sheet.Amount:
		return sheet.Amount{Minor: v.Minor + 100, Currency: v.Currency}, "price"
	case sheet.Phone:
		return sheet.Phone(string(v) + "0"), "phone"
	case sheet.Code:
		return sheet.Code("B4" + string(v)), "code"
	case sheet.Int:
		return sheet.Int(int(v) + 1), "number"
	case sheet.Range:
		v.High++
		return v, "range"
	}
	return nil, ""
}

// lies lists every way to change one fact of a sheet.
func lies(s *sheet.Sheet) (out []lie) {
	var text func(at string, t *sheet.Text)
	text = func(at string, t *sheet.Text) {
		at = string(s.Kind) + " " + cmp.Or(at, t.ID)
		if other, ok := swaps[t.ID]; ok {
			out = append(out, lie{at + ": " + t.ID, func() func() {
				was := t.ID
				t.ID = other
				return func() { t.ID = was }
			}})
		}
		for i := range t.Args {
			a := &t.Args[i]
			if w, ok := a.Value.(sheet.Word); ok {
				inner := w.Text
				inner.Args = slices.Clone(inner.Args)
				n := len(out)
				text(t.ID, &inner)
				for j := n; j < len(out); j++ {
					tell := out[j].tell
					out[j].tell = func() func() {
						undo := tell()
						told := inner
						told.Args = slices.Clone(inner.Args)
						a.Value = sheet.Word{Text: told}
						return func() { undo(); a.Value = w }
					}
				}
				continue
			}
			if v, kind := another(a.Value); v != nil {
				was := a.Value
				out = append(out, lie{at + ": " + kind, func() func() {
					a.Value = v
					return func() { a.Value = was }
				}})
			}
		}
	}
	for i := range s.Blocks {
		b := &s.Blocks[i]
		text("", &b.Text)
		for j := range b.Items {
			it := &b.Items[j]
			label := it.Label.ID
			text("", &it.Label)
			text(label, &it.Text)
			for k := range it.More {
				text("", &it.More[k])
			}
			for k := range it.Cells {
				for n := range it.Cells[k].Texts {
					text(b.Text.ID, &it.Cells[k].Texts[n])
				}
			}
			if b.Kind == sheet.Tick && strings.HasPrefix(b.Text.ID, "sheet.tryin.") {
				out = append(out, lie{string(s.Kind) + " " + b.Text.ID + ": box", func() func() {
					it.Mark = !it.Mark
					return func() { it.Mark = !it.Mark }
				}})
			}
		}
	}
	return out
}

// Each kind of fact that two sheets tell, told in another way on one of them, is seen.
func TestALieIsSeen(t *testing.T) {
	w := open(t)
	seen, unseen := map[string]int{}, map[string]int{}
	for _, c := range w.told(t) {
		sheets := w.composed(t, c)
		if faults := sheet.Contradictions(sheets, c, w.base); len(faults) > 0 {
			t.Fatal(faults.Lines())
		}
		for i := range sheets {
			for _, l := range lies(&sheets[i]) {
				undo := l.tell()
				if faults := sheet.Contradictions(sheets, c, w.base); len(faults) > 0 {
					seen[l.what]++
				} else {
					unseen[l.what]++
				}
				undo()
			}
		}
		if faults := sheet.Contradictions(sheets, c, w.base); len(faults) > 0 {
			t.Fatalf("a lie was not taken back: %s", faults.Lines())
		}
	}
	for _, what := range must {
		if seen[what] == 0 || unseen[what] > 0 {
			t.Errorf("%s: seen %d times, not seen %d", what, seen[what], unseen[what])
		}
	}
	for _, what := range slices.Sorted(maps.Keys(unseen)) {
		t.Logf("seen %d times, not seen %d: %s", seen[what], unseen[what], what)
	}
}

// must are the facts in which no lie goes unseen.
var must = []string{
	"aftercare sheet.phones.day: phone", "change sheet.phones.emergency: phone", "consent sheet.phones.out-of-hours: phone",
	"aftercare urgency.call-soon: phone", "aftercare urgency.call-today: phone", "aftercare urgency.emergency-now: phone",
	"aftercare sheet.common.tooth-list: tooth-state.shaped", "change sheet.common.tooth-list: tooth-state.untouched",
	"change sheet.changes.no-way-back: sheet.changes.no-way-back",
	"change sheet.changes.rests-sealed: date", "change sheet.changes.rests-sealed: code", "tryin sheet.changes.rests-sealed: date", "tryin sheet.changes.rests-sealed: code",
	"aftercare sheet.schedule.on: date", "change sheet.schedule.on: date", "consent sheet.schedule.on: date", "wait sheet.schedule.around: date",
	"consent sheet.think.earliest: date", "options sheet.think.earliest: date",
	"consent answer.agree: answer.agree", "consent answer.ask: answer.ask", "consent answer.no: answer.no", "consent answer.blank: answer.blank",
	"consent sheet.change.answer: answer.agree", "tryin answer.ask: answer.ask", "tryin answer.blank: answer.blank",
	"aftercare sheet.common.route-of-material: route.no-prep.name", "tryin sheet.common.route-of-material: material.lithium-disilicate.name",
	"consent sheet.money.total: price", "options sheet.row.cost: price",
	"consent sheet.people.decides: people.decides.patient", "change sheet.people.age: people.age.adult", "tryin sheet.people.interpreter: people.interpreter.none",
	"tryin sheet.tryin.shade-planned: code", "tryin sheet.tryin.shade: box", "tryin sheet.tryin.shape: box", "tryin sheet.tryin.length: box",
}

// told are cases about which every sheet has much to tell.
func (w *world) told(t *testing.T) []casefile.Case {
	ex := w.examples(t)
	c := ex["at-try-in.json"]
	a := c.Agree(casefile.SealedRecord, "CODE-1", fmt.Sprintf("%064x", 1), "consent", c.Start, &casefile.Price{Minor: 100, Currency: "USD"}, w.words.OfContacts)
	c.Agreed, c.People = &a, &casefile.People{AgeBand: "adult", Decides: "patient", Interpreter: "none"}
	return []casefile.Case{c, ex["ten-teeth-no-prep.json"], ex["waits-private.json"]}
}

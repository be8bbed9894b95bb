package lives

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
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

// lie is one fact of one sheet said differently.
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
	"shade.bleach-light": "shade.bleach-lightest", "shade.bleach-near-natural": "shade.bleach-light",
	"sheet.sign.hold": "sheet.sign.refuse", "sheet.people.decides.patient": "sheet.people.decides.guardian", "people.age.adult": "people.age.child", "sheet.people.interpreter.none": "sheet.people.interpreter.family",
}

// another gives a value that differs.
func another(v sheet.Value) (out sheet.Value, kind string) {
	switch v := v.(type) {
	case sheet.Day:
		return sheet.Day{Date: v.Date.AddDays(1), Weekday: v.Weekday}, "date"
	case sheet.Month:
		return sheet.Month{Date: v.Date.AddDays(40)}, "date"
	case sheet.Amount:
		return sheet.Amount{Minor: v.Minor + 100, Currency: v.Currency}, "price"
	case sheet.Price:
		return sheet.Price{Minor: v.Minor + 100, Currency: v.Currency}, "price"
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
				if kind == "price" && a.Name == "From" { // what one made again costs, which the options alone tell
					kind = "price again"
				}
				out = append(out, lie{at + ": " + kind, func() func() {
					a.Value = v
					return func() { a.Value = was }
				}})
			}
		}
	}
	var items func(b *sheet.Block, list []sheet.Item)
	items = func(b *sheet.Block, list []sheet.Item) {
		for j := range list {
			it := &list[j]
			items(b, it.Items)
			label := it.Label.ID
			text("", &it.Label)
			text(label, &it.Text)
			for k := range it.More {
				text("", &it.More[k])
			}
			for k := range it.Items {
				text("", &it.Items[k].Text)
			}
			for k := range it.Cells {
				for n := range it.Cells[k].Texts {
					text(column(b, label), &it.Cells[k].Texts[n])
				}
			}
			for k := range it.Cells {
				if b.Style != sheet.Look || len(it.Cells[k].Ref.Teeth) == 0 {
					continue
				}
				for n := range it.Cells[k].Boxes {
					box := &it.Cells[k].Boxes[n]
					out = append(out, lie{string(s.Kind) + " " + it.Label.ID + ": box", func() func() {
						box.Mark = !box.Mark
						return func() { box.Mark = !box.Mark }
					}})
				}
			}
		}
	}
	for i := range s.Blocks {
		b := &s.Blocks[i]
		text("", &b.Text)
		text("", &b.Aside)
		items(b, b.Items)
	}
	return out
}

// Each kind of fact that is on two sheets is checked: one of them says it differently.
func TestALieIsSeen(t *testing.T) {
	w := open(t)
	seen, unseen := map[string]int{}, map[string]int{}
	for _, c := range w.told(t) {
		sheets := w.composed(t, c)
		if faults := sheet.Contradictions(sheets, plan.Settled(c, w.practice, w.base), w.base); len(faults) > 0 {
			t.Fatal(faults.Lines())
		}
		for i := range sheets {
			for _, l := range lies(&sheets[i]) {
				undo := l.tell()
				if faults := sheet.Contradictions(sheets, plan.Settled(c, w.practice, w.base), w.base); len(faults) > 0 {
					seen[l.what]++
				} else {
					unseen[l.what]++
				}
				undo()
			}
		}
		if faults := sheet.Contradictions(sheets, plan.Settled(c, w.practice, w.base), w.base); len(faults) > 0 {
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
	"wait sheet.wait.call-emergency: phone", "consent sheet.phones.out-of-hours: phone",
	"aftercare sheet.phones.number: phone", "aftercare sheet.aftercare.numbers: phone", "aftercare urgency.emergency-now: phone", "aftercare warning.face-or-gum-swelling.sign: phone",
	"aftercare sheet.common.tooth-list: tooth-state.shaped", "change sheet.common.tooth-list: tooth-state.untouched",
	"change sheet.changes.no-way-back: sheet.changes.no-way-back",
	"change sheet.changes.rests-sealed: date", "change sheet.changes.rests-sealed: code", "tryin sheet.changes.rests-sealed: date", "tryin sheet.changes.rests-sealed: code",
	"aftercare sheet.aftercare.done-day-size: date",
	"consent sheet.think.earliest: date", "options sheet.think.earliest: date",
	"consent answer.agree: answer.agree", "consent answer.ask: answer.ask", "consent answer.no: answer.no", "consent sheet.sign.repeat-price: price", "consent sheet.consent.cost: price", "consent sheet.sign.price: price",
	"tryin answer.ask: answer.ask", "tryin answer.no: answer.no",
	"aftercare sheet.common.route-of-material: route.no-prep.name", "tryin sheet.common.route-of-material: material.lithium-disilicate.name",
	"consent sheet.money.total: price", "options sheet.options.q.cost: price",
	"consent sheet.people.decides: sheet.people.decides.patient", "change sheet.people.decides: sheet.people.decides.patient", "tryin sheet.people.interpreter: sheet.people.interpreter.none",
	"tryin sheet.tryin.shade-label: code", "tryin sheet.tryin.shade-is-lab: shade.bleach-light", "tryin sheet.tryin.shade-instead: shade.bleach-near-natural", "tryin sheet.tryin.shade: box", "tryin sheet.tryin.shape: box", "tryin sheet.tryin.length: box",
}

// told are cases about which every sheet has much to say.
func (w *world) told(t *testing.T) []casefile.Case {
	ex := w.examples(t)
	c := ex["at-try-in.json"]
	a := c.Agree(casefile.SealedRecord, "CODE-1", fmt.Sprintf("%064x", 1), "consent", c.Start, &casefile.Price{Minor: 100, Currency: "USD"}, w.words.OfContacts)
	c.Agreed, c.People = &a, &casefile.People{AgeBand: "adult", Decides: "patient", Interpreter: "none"}
	return []casefile.Case{c, ex["ten-teeth-no-prep.json"], ex["bleach-shades.json"], ex["waits-private.json"]}
}

// column names what a cell is about: the table, or its row where the rows are questions.
func column(b *sheet.Block, label string) string {
	if b.Style == sheet.Ways || b.Style == sheet.Money { // their rows are of different things
		return label
	}
	return cmp.Or(b.Text.ID, label)
}

package sheet

import (
	"plainleaf/app/casefile"
	"plainleaf/app/plan"
)

// money is the estimate line by line, what it leaves out, and what the practice promises.
func (x *composer) money() {
	x.add(Block{Kind: Heading, Level: 2, Style: Beside, Text: M("sheet.money.title"), Keep: true})
	m := x.pl.Money
	if !m.Known {
		x.para(M("sheet.money.estimate-later"), Ref{})
	} else {
		x.add(x.moneyTable(m))
	}
	after := Item{Text: x.notIncluded(m)}
	if m.Known && len(m.Included) > 0 {
		after.More = append(after.More, x.unpriced(m)[0])
	}
	for _, r := range x.pl.Routes {
		if r.Chosen && m.Known {
			after.More = append(after.More, onceMore(r.Money)...)
		}
	}
	x.add(Block{Kind: List, Style: Fine, Items: []Item{after}})
	if x.made() {
		x.promise("sheet.money.remake", x.p.Remakes, "sheet.money.remake")
	}
	x.promise("sheet.money.guarantee", x.p.Guarantee, "sheet.money.no-guarantee")
	unhappy := M("sheet.consent.complaints-ask")
	if x.p.Complaints != "" {
		unhappy = x.ours(x.p.Complaints)
	}
	x.add(Block{Kind: List, Style: Fine, Items: []Item{{Label: M("sheet.consent.complaints"), Text: unhappy}}})
}

// promise is what the practice says of its own, or room for it.
func (x *composer) promise(label, said, blank string) {
	if said == "" {
		x.add(Block{Kind: Paragraph, Text: M(blank), Blank: 3})
		return
	}
	x.add(Block{Kind: List, Style: Fine, Items: []Item{{Label: M(label), Text: x.ours(said)}}})
}

// moneyTable has a line for each part of the plan, and the sum.
func (x *composer) moneyTable(m plan.Money) Block {
	b := Block{Kind: Table, Style: Money, Text: M("sheet.common.ask-line"), Keep: true}
	row := func(label, amount Text) {
		b.Items = append(b.Items, Item{Label: label, Cells: []Cell{{Texts: []Text{amount}}}})
	}
	for i, l := range m.Lines {
		label := x.moneyLabel(l.Key)
		switch {
		case i > 0 && m.Lines[i-1].Key == l.Key && x.b.Route(casefile.Route(l.Key)) != nil: // what it costs once, after the price for each tooth
			label = M("sheet.money.once")
		case l.Count > 1:
			label = N("sheet.money.each", l.Count, "Text", Word{label}, "From", Price{l.Each, m.Currency})
		}
		row(label, M("sheet.money.amount", "Amount", Price{l.Amount, m.Currency}))
	}
	row(M("sheet.money.total"), M("sheet.money.amount", "Amount", Price{m.Total, m.Currency}))
	return b
}

// valid tells until when the estimate holds, and whether that is long enough.
func (x *composer) valid(m plan.Money) []Text {
	switch {
	case m.ValidUntil.IsZero():
		return nil
	case m.ToLastVisit:
		return []Text{M("sheet.money.valid-last")}
	}
	return []Text{M("sheet.money.valid", "Date", Day{m.ValidUntil, false})}
}

// notIncluded names what the price leaves out, with what a check-up costs.
func (x *composer) notIncluded(m plan.Money) Text {
	if m.CheckUp == nil {
		return M("sheet.money.not-included")
	}
	return M("sheet.money.not-included-check-up", "Amount", Price{*m.CheckUp, m.Currency})
}

// onceMore tells in a sentence what doing one or all of the teeth again costs.
func onceMore(m plan.RouteMoney) []Text {
	out := again(m)
	if len(out) < 2 {
		return out
	}
	return []Text{M("sheet.consent.once-more", "From", Price{m.IfOne, m.Currency}, "To", Price{m.IfAll, m.Currency})}
}

// unpriced names what is included, what the practice has no fee for, and what may have to
// be added.
func (x *composer) unpriced(m plan.Money) (out []Text) {
	names := func(keys []string) (out Words) {
		for _, key := range keys {
			out = append(out, x.moneyLabel(key))
		}
		return out
	}
	if len(m.Included) > 0 {
		out = append(out, M("sheet.money.included", "List", names(m.Included)))
	}
	if len(m.Missing) > 0 {
		out = append(out, M("sheet.money.no-fee", "List", names(m.Missing)))
	}
	var may Words
	for _, y := range m.May {
		if y.Amount != nil {
			may = append(may, M("sheet.care.with-price", "Text", Word{x.moneyLabel(y.Key)}, "Amount", Price{*y.Amount, m.Currency}))
		} else {
			may = append(may, M("sheet.care.unpriced", "Text", Word{x.moneyLabel(y.Key)}))
		}
	}
	if len(may) > 0 {
		out = append(out, M("sheet.money.may", "List", may))
	}
	return out
}

// moneyLabel names a line of the estimate: a route, a care, an appliance, a visit or an
// item of its own.
func (x *composer) moneyLabel(key string) Text {
	if x.b.Route(casefile.Route(key)) != nil || x.b.Care(key) != nil {
		return comesFirst(x.b, key)
	}
	if x.b.IsAppliance(key) { // of another option, too
		return M("appliance." + key + ".name")
	}
	if purpose := x.b.Purpose(key); purpose != "" {
		return x.visitName(purpose)
	}
	return M("money." + key)
}

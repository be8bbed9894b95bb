package sheet

import (
	"slices"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
	"plainleaf/app/plan"
)

// VisitName is the id of a visit's words: those of the care it consists of, or its own.
func VisitName(b *evidence.Base, purpose, part string) string {
	if b.Care(purpose) != nil {
		return "care." + purpose + "." + part
	}
	return "visit." + purpose + "." + part
}

// visitName names a visit.
func (x *composer) visitName(purpose string) Text { return M(VisitName(x.b, purpose, "name")) }

// care tells of one test or treatment that comes first: what is done and its price, what
// may go wrong, what there is instead, and what may follow.
func (x *composer) care(f plan.First) []Item {
	what := Item{Label: M(f.Word("name")), Text: M(f.Word("what")), Ref: Ref{Teeth: f.Teeth}}
	if f.Price != nil { // that there is none yet is said where it is answered
		what.More = append(what.More, M("sheet.money.amount", "Amount", Amount{f.Price.Minor, f.Price.Currency}))
	}
	out := []Item{what}
	if len(f.Risks) > 0 {
		out = append(out, x.careRisks(f))
	}
	if f.Kind == evidence.CareTreatment {
		out = append(out, Item{Label: M("sheet.care.instead"), Text: M(f.Word("instead"))})
	}
	for _, may := range f.May {
		if x.follows[may] { // said with an earlier test
			continue
		}
		x.follows[may] = true
		it := Item{Label: M("care." + may + ".if"), Text: M("sheet.care.may-follow", "Text", Word{M("care." + may + ".name")})}
		if _, priced := x.p.Fees[may]; !priced {
			it.More = append(it.More, M("sheet.care.no-price"))
		}
		out = append(out, it)
	}
	return out
}

// careRisks lists what may go wrong, each with how often; those of which nobody knows
// how often are together and say so once. What is all the same as with earlier care
// says only that.
func (x *composer) careRisks(f plan.First) Item {
	label := M("sheet.care.risks")
	for _, o := range x.pl.First {
		if o.Key == f.Key {
			break
		}
		if !o.Settled && x.toldCare[o.Key] && sameRisks(o.Risks, f.Risks) {
			return Item{Label: label, Text: M("sheet.care.same-risks", "Text", Word{M(o.Word("name"))})}
		}
	}
	x.toldCare[f.Key] = true
	var out []Item
	unknown := Item{}
	n := 0
	for _, r := range f.Risks {
		if r.Rate != nil && r.Frequency.Known() {
			it := Item{Label: M("risk." + r.Key + ".name"), Text: Rated(*r.Rate, r.Frequency), Ref: Ref{Figures: r.Figures, Sources: x.cite([]string{r.Rate.Figure})}}
			if !x.toldRisk[r.Key] { // what is done then is said with earlier care
				x.toldRisk[r.Key] = true
				it.More = []Text{riskThen(x, r.Key)}
			}
			out = append(out, it)
			continue
		}
		if n++; n == 1 {
			unknown.Label = M("risk." + r.Key + ".name")
		} else {
			unknown.Label = M("risk.with", "Text", Word{unknown.Label}, "To", Word{M("risk." + r.Key + ".name")})
		}
		unknown.Ref.Figures = append(unknown.Ref.Figures, r.Figures...)
	}
	if n > 0 {
		unknown.Text = N("sheet.care.often-not-known", n)
		out = append(out, unknown)
	}
	return Item{Label: label, Items: out}
}

// sameRisks reports whether two cares have the same risks, of none of which it is known
// how often.
func sameRisks(a, b []plan.CareRisk) bool {
	has := func(list []plan.CareRisk, r plan.CareRisk) bool {
		return slices.ContainsFunc(list, func(o plan.CareRisk) bool { return o.Key == r.Key && o.Rate == nil && r.Rate == nil })
	}
	return len(a) == len(b) && !slices.ContainsFunc(b, func(r plan.CareRisk) bool { return !has(a, r) })
}

// comesFirst names care, or a route, that comes first.
func comesFirst(b *evidence.Base, key string) Text {
	if b.Route(casefile.Route(key)) != nil {
		return M("route." + key + ".name")
	}
	return M("care." + key + ".name")
}

// careName names a care with its teeth.
func (x *composer) careName(f plan.First) Text { return onTeeth(M(f.Word("name")), f.Teeth) }

// careAnswers is the patient's own yes or no to each test and treatment that comes first,
// with lines to sign on, alone on a page. An answer that was given is crossed.
func (x *composer) careAnswers(cares []plan.First) {
	answers := []struct {
		id     string
		answer casefile.Answer
	}{{"sheet.care.yes", casefile.Agree}, {"sheet.care.no", casefile.No}, {"sheet.care.not-yet", casefile.Ask}}
	b := Block{Kind: Table, Style: Boxed, Columns: []Text{M("sheet.care.answer-what")}, Keep: true}
	for _, a := range answers {
		b.Columns = append(b.Columns, M(a.id))
	}
	for _, f := range cares {
		if !f.Consents() {
			continue
		}
		it := Item{Label: x.careName(f), Ref: Ref{Teeth: f.Teeth}}
		if f.Price != nil {
			it.Label = M("sheet.care.with-price", "Text", Word{it.Label}, "Amount", Amount{f.Price.Minor, f.Price.Currency})
		} else {
			it.Label = M("sheet.care.ask-price", "Text", Word{it.Label})
		}
		for _, a := range answers {
			it.Cells = append(it.Cells, Cell{Boxes: []Box{{Text: M(a.id), Mark: f.Answer == a.answer}}})
		}
		b.Items = append(b.Items, it)
	}
	if len(b.Items) == 0 {
		return
	}
	x.add(Block{Kind: PageBreak, Style: Signature})
	x.h2("sheet.care.answer-title")
	x.whole()
	x.para(M("sheet.care.answer-intro"), Ref{})
	x.add(b)
	x.whoDecides()
	x.add(x.signFour("date"))
	x.add(Block{Kind: Paragraph, Style: Note, Text: M("sheet.care.stop")})
}

package talk

import (
	"plainleaf/app/evidence"
	"plainleaf/app/plan"
	"plainleaf/app/sheet"
)

// fewRisks is how many risks have room beside what is done; more are on a page of their
// own. One that studies counted takes twice as much, for its numbers.
const fewRisks = 4

// first shows each test and treatment that comes first as treatment of its own: what is
// done, what may follow, what can go wrong, what there is instead, and the price.
func (x composer) first() (out []Page) {
	follows := map[string]bool{} // said on an earlier page
	for _, f := range x.pl.First {
		if f.Settled || !f.Consents() {
			continue
		}
		p := Page{Key: First, Title: sheet.M("talk.first.title", "Text", sheet.Word{Text: sheet.M(f.Word("name"))}), Care: f.Key, Said: f.Answer, Teeth: f.Teeth}
		add := func(label string, texts ...sheet.Text) {
			p.Facts = append(p.Facts, Fact{sheet.M(label), texts})
		}
		add("sheet.care.what", sheet.M(f.Word("what")))
		for _, may := range f.May {
			if !follows[may] {
				add("care."+may+".if", sheet.M("sheet.care.may-follow", "Text", sheet.Word{Text: sheet.M("care." + may + ".name")}))
			}
			follows[may] = true
		}
		if n := len(f.Risks) + counted(f); n > fewRisks {
			out = append(out, Page{Key: First, Title: p.Title, Facts: p.Facts, Teeth: f.Teeth})
			p.Title, p.Facts = sheet.M("talk.first.title-risks", "Text", sheet.Word{Text: sheet.M(f.Word("name"))}), nil
		}
		if risks := careRisks(f); len(risks) > 0 {
			add("sheet.care.risks", risks...)
		}
		if f.Kind == evidence.CareTreatment {
			add("sheet.care.instead", sheet.M(f.Word("instead")))
		}
		price := sheet.M("sheet.care.no-price")
		if f.Price != nil {
			price = sheet.M("sheet.money.amount", "Amount", sheet.Price{Minor: f.Price.Minor, Currency: f.Price.Currency})
		}
		add("talk.first.price", price)
		out = append(out, p)
	}
	return out
}

// counted is how many risks of a care were counted in studies.
func counted(f plan.First) (n int) {
	for _, r := range f.Risks {
		if r.Rate != nil && r.Frequency.Known() {
			n++
		}
	}
	return n
}

// careRisks lists the risks of a care: those that studies counted, then those of which
// nobody knows how often.
func careRisks(f plan.First) (out []sheet.Text) {
	var unknown sheet.Text
	for _, r := range f.Risks {
		name := sheet.M("risk." + r.Key + ".name")
		if r.Rate != nil && r.Frequency.Known() {
			out = append(out, sheet.M("talk.first.risk", "Text", sheet.Word{Text: name}, "Quantity", sheet.Word{Text: sheet.Rated(*r.Rate, r.Frequency)}))
			continue
		}
		if !unknown.IsZero() {
			name = sheet.M("risk.with", "Text", sheet.Word{Text: unknown}, "To", sheet.Word{Text: name})
		}
		unknown = name
	}
	if !unknown.IsZero() {
		out = append(out, sheet.M("talk.first.risks-unknown", "Text", sheet.Word{Text: unknown}))
	}
	return out
}

package state

import (
	"slices"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
	"plainleaf/app/plan"
	"plainleaf/app/sheet"
)

// Consent is what is settled before a yes, and the yes on paper.
type Consent struct{ d *Draft }

// ShowTrialSmile notes that the visits took place at which the planned shape was
// tried in the mouth.
func (co Consent) ShowTrialSmile() {
	if p := co.d.Plan(); p != nil {
		defer co.d.edit()()
		for _, v := range p.Visits {
			if key := v.KeyOf(evidence.TrialSmile); key != "" && !co.d.c.VisitDone(key) {
				co.d.c.Note(casefile.Event{Kind: casefile.DoneStep, Visit: key, On: co.d.day()})
			}
		}
	}
}

// Settle notes that what a finding asks to wait for is settled.
func (co Consent) Settle(finding string, teeth []casefile.Tooth) {
	defer co.d.edit()()
	co.d.c.Note(casefile.Event{Kind: casefile.Settled, Finding: finding, Teeth: teeth, On: co.d.today})
}

// DecideCare notes what the patient said to care that comes first.
func (co Consent) DecideCare(care string, a casefile.Answer) {
	defer co.d.edit()()
	co.d.c.Note(casefile.Event{Kind: casefile.CareDecided, Care: care, Answer: a, By: "patient", On: co.d.today})
}

// SettleTalk notes that what was to be talked about again first is settled, whatever
// the private findings are.
func (co Consent) SettleTalk() {
	waits := co.PrivateWaits()
	defer co.d.edit()()
	for _, k := range waits {
		if co.d.Mouth().HasFinding(k) {
			co.Settle(k, nil)
		} else {
			co.Settle(k, co.d.Mouth().TeethWith(k))
		}
	}
}

// Waive keeps the patient's own words on an open point; "" takes them back.
func (co Consent) Waive(open, words string) {
	defer co.d.typing("waive."+open, words)()
	co.d.takeBack(func(e casefile.Event) bool { return e.Kind == casefile.Waived && e.Open == open }, nil)
	if words != "" {
		co.d.c.Note(casefile.Event{Kind: casefile.Waived, Open: open, By: co.d.Patient().People().Decides, On: co.d.today, Note: words})
	}
}

// AgreeOnPaper notes that the agreement was signed by hand on a day; false where
// something holds the signing back, which Held then lists, or the day is to come. code
// is printed on the paper, kept says where it is.
func (co Consent) AgreeOnPaper(day casefile.Date, code, kept string) bool {
	if p := co.d.Plan(); p == nil || co.d.today.Before(day) || len(p.Held(plan.HoldsSigning, day)) > 0 {
		return false
	}
	co.agree(casefile.SignedPaper, code, "", sheet.Consent, day)
	co.d.c.Agreed.Paper = kept
	co.d.seal()
	return true
}

// agree puts what the case has now in force.
func (co Consent) agree(way, code, sum string, kind sheet.Kind, day casefile.Date) {
	var price *casefile.Price
	if p := co.d.Plan(); p != nil && p.Money.Known {
		price = &casefile.Price{Minor: p.Money.Total, Currency: p.Money.Currency}
	}
	a := plan.ToSign(co.d.c, co.d.practice.file, co.d.base).Agree(way, code, sum, string(kind), day, price, co.d.words.OfContacts)
	if before := co.d.c.Agreed; before != nil {
		co.d.c.AgreedBefore = append(slices.Clone(co.d.c.AgreedBefore), *before)
	}
	co.d.c.Agreed = &a
	co.d.c.Note(casefile.Event{Kind: casefile.SignedSheet, Sheet: string(kind), Code: code, SHA256: sum, On: day, How: "signed"})
	if co.d.Stage() == casefile.Deciding {
		co.d.stage(casefile.Agreed)
	}
}

// Held lists what keeps the chosen sheet from being signed on the day of the screen.
func (co Consent) Held() []plan.Open {
	p := co.d.Plan()
	if p == nil {
		return nil
	}
	return p.HeldFor(string(co.d.print.Kind), co.d.today)
}

// PrivateWaits lists the private findings of the case that ask for a wait, for
// the dentist's side alone.
func (co Consent) PrivateWaits() []string {
	p := co.d.Plan()
	if p == nil {
		return nil
	}
	var out []string
	for _, f := range p.Findings {
		if f.Private && f.Level.Rank() >= evidence.LevelFirst.Rank() && !slices.Contains(out, f.Key) {
			out = append(out, f.Key)
		}
	}
	return out
}

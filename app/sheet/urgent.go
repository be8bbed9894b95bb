package sheet

import (
	"slices"

	"plainleaf/app/evidence"
	"plainleaf/app/plan"
)

// tones are how each urgency is drawn.
var tones = map[string]string{"emergency-now": "emergency", "call-today": "urgent", "call-soon": "caution", "tell-soon": "plain"}

// urgencies tells the warning signs, the most urgent first: whom to call, each sign, and
// what to do until then.
func (x *composer) urgencies() {
	for _, urgency := range evidence.Urgencies() {
		var items []Item
		for _, w := range x.pl.Warnings {
			if w.Urgency == urgency {
				items = append(items, x.sign(w))
			}
		}
		if len(items) == 0 {
			continue
		}
		if urgency == "call-today" {
			items = append(items, Item{Label: M("sheet.aftercare.unreached"), Text: M("sheet.aftercare.unreached-do")})
		}
		text, aside := x.whomToCall(urgency)
		x.add(Block{Kind: Urgent, Tone: tones[urgency], Text: text, Aside: aside, Items: items})
	}
}

// whomToCall heads an urgency, with the numbers.
func (x *composer) whomToCall(urgency string) (text, aside Text) {
	aside = M("sheet.phones.number", "Phone", Phone(x.p.Telephone))
	switch urgency {
	case "emergency-now":
		number := Phone(x.emergencyNumber())
		return M("urgency."+urgency, "Emergency", number), M("sheet.phones.number", "Phone", number)
	case "call-today":
		if x.p.EmergencyLine != x.p.Telephone {
			aside = M("sheet.aftercare.numbers", "Phone", Phone(x.p.Telephone), "Emergency", Phone(x.p.EmergencyLine))
		}
		return M("urgency." + urgency), aside
	}
	return N("urgency."+urgency, int(x.limit(urgency))), aside
}

// sign is one warning sign with what to do, and its own time where that of the heading is
// too long.
func (x *composer) sign(w plan.Warning) Item {
	it := Item{Label: M("warning." + w.Key + ".sign"), Text: M("warning." + w.Key + ".self"),
		Ref: Ref{Warning: w.Key, Figures: slices.Clone(w.Figures)}}
	rule := x.b.Warning(w.Key)
	for _, id := range rule.Figures {
		if f, ok := x.b.Figure(id); ok {
			it.Text = N(it.Text.ID, int(f.High))
			it.Ref.Figures = append(it.Ref.Figures, id)
		}
	}
	if rule.Emergency {
		it.Text.Args = append(it.Text.Args, Arg{"Emergency", Phone(x.emergencyNumber())})
	}
	if w.Within.Known() && w.Within.High < x.limit(w.Urgency) {
		it.More = append(it.More, N("sheet.within."+string(w.Unit), int(w.Within.High)))
	}
	return it
}

// limit is the longest time of the signs of an urgency, in the unit that they share.
func (x *composer) limit(urgency string) float64 {
	longest := 0.0
	for _, w := range x.b.Warnings {
		if f := x.b.FigureOf(w.Within); f != nil && w.Urgency == urgency {
			longest = max(longest, f.High)
		}
	}
	return longest
}

// emergencyNumber is the national number, or the practice's own line where none was entered.
func (x *composer) emergencyNumber() string {
	if x.p.EmergencyService != "" {
		return x.p.EmergencyService
	}
	return x.p.EmergencyLine
}

package sheet

import (
	"plainleaf/app/evidence"
	"plainleaf/app/plan"
)

// heldItems names what comes first, under words that say so.
func (x *composer) heldItems(list []plan.Open) []Item {
	var out []Item
	for _, o := range list {
		it := Item{Text: OpenPoint(x.b, o), Ref: Ref{Teeth: o.Teeth}}
		switch o.What {
		case plan.OpenWait:
			it.Text, it.Ref.Wait = M("finding."+o.Key+".name"), o.Key
			if len(o.Teeth) > 0 {
				it.Text = N("sheet.consent.first-on", len(o.Teeth), "Text", Word{it.Text}, "Teeth", Teeth(o.Teeth))
			}
		case plan.OpenTalk:
			it.Ref.Wait = plan.TalkAgain
		}
		out = append(out, it)
	}
	return out
}

// OpenPoint tells one open point.
func OpenPoint(b *evidence.Base, o plan.Open) Text {
	id := "open." + o.What
	switch {
	case o.What == plan.OpenTalk:
		return M("wait." + plan.TalkAgain)
	case o.What == plan.OpenWait && len(o.Teeth) > 0:
		return N(id+"-on", len(o.Teeth), "Text", Word{M("finding." + o.Key + ".name")}, "Teeth", Teeth(o.Teeth))
	case o.What == plan.OpenWait:
		return M(id, "Text", Word{M("finding." + o.Key + ".name")})
	case o.What == plan.OpenThinking && o.From.IsZero():
		return M("sheet.think.on-hold")
	case o.What == plan.OpenThinking:
		return M(id, "Date", Day{o.From, false})
	case o.What == plan.OpenCare && len(o.Teeth) > 0:
		return N(id+"-on", len(o.Teeth), "Text", Word{comesFirst(b, o.Key)}, "Teeth", Teeth(o.Teeth))
	case o.What == plan.OpenCare:
		return M(id, "Text", Word{comesFirst(b, o.Key)})
	case o.What == plan.OpenTryIn, o.What == plan.OpenGluing:
		return N(id, len(o.Teeth), "Teeth", Teeth(o.Teeth))
	}
	return M(id)
}

package sheet

import (
	"slices"

	"plainleaf/app/casefile"
	"plainleaf/app/plan"
)

// where names the teeth of a step, or its contacts.
func (x *composer) where(ts []casefile.Tooth, places []casefile.Place) Text {
	if len(places) > 0 {
		return N("sheet.common.pair-list", len(places), "Teeth", Pairs(places))
	}
	return x.teethShort(ts)
}

// whereValue is the same inside a sentence.
func whereValue(ts []casefile.Tooth, places []casefile.Place) Value {
	if len(places) > 0 {
		return Pairs(places)
	}
	return Teeth(ts)
}

// teethShort names some teeth, all of the case in three words.
func (x *composer) teethShort(ts []casefile.Tooth) Text {
	if len(ts) > 1 && x.allTeeth(ts) {
		return M("sheet.common.all-these")
	}
	return x.teethOrAll(ts)
}

func (x *composer) allTeeth(ts []casefile.Tooth) bool {
	return len(ts) == 0 || slices.Equal(casefile.SortTeeth(ts), x.c.ToothList())
}

// wherePlaces names teeth or contacts.
func (x *composer) wherePlaces(at []casefile.Place) Text {
	if len(at) > 0 && at[0].B != 0 {
		return x.where(nil, at)
	}
	var teeth []casefile.Tooth
	for _, p := range at {
		teeth = append(teeth, p.A)
	}
	return x.where(teeth, nil)
}

// pairsOf are the contacts among places.
func pairsOf(places []string) (out Pairs) {
	for _, s := range places {
		if p, err := casefile.ParsePlace(s); err == nil && p.Contact() {
			out = append(out, p)
		}
	}
	return out
}

func placeLimits(list []plan.PlaceLimit) (out []Text) {
	for _, l := range list {
		out = append(out, PlaceLimit(l, pairsOf([]string{l.Place})))
	}
	return out
}

// PlaceLimit tells the limit of a step at one contact.
func PlaceLimit(l plan.PlaceLimit, at Pairs) Text {
	where := Word{N("sheet.common.pair-list", 1, "Teeth", at)}
	if len(l.Only) == 0 {
		return M(l.Words, "From", where)
	}
	return M(l.Words, "From", where, "Teeth", Teeth(l.Only))
}

// joinedLimits tells the limits of the contacts of one step, those of one kind together.
func joinedLimits(list []plan.PlaceLimit) []Text {
	var words []string
	at, only := map[string]Pairs{}, map[string]Teeth{}
	for _, l := range list {
		if !slices.Contains(words, l.Words) {
			words = append(words, l.Words)
		}
		at[l.Words] = append(at[l.Words], pairsOf([]string{l.Place})...)
		only[l.Words] = append(only[l.Words], l.Only...)
	}
	var out []Text
	for _, w := range words {
		from := Word{N("sheet.change.pairs", len(at[w]), "Teeth", at[w])}
		if len(only[w]) == 0 {
			out = append(out, M(w, "From", from))
			continue
		}
		out = append(out, M(w, "From", from, "Teeth", only[w]))
	}
	return out
}

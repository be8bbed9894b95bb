package sheet

import (
	"slices"
	"strings"

	"plainleaf/app/casefile"
)

func answerWord(a casefile.Answer) Text {
	if a == casefile.Blank {
		return M("answer.blank")
	}
	return M("answer." + string(a))
}

// saying is one answer to a chair change, at the places that share it.
type saying struct {
	key    string
	teeth  []casefile.Tooth
	places []casefile.Place
	answer casefile.Answer
}

// everywhere reports whether an answer is for every tooth of the case, or every contact.
func (x *composer) everywhere(s saying) bool {
	if len(s.places) == 0 {
		return x.allTeeth(s.teeth)
	}
	return !slices.ContainsFunc(casefile.Contacts(x.c.ToothList()), func(p casefile.Place) bool { return !slices.Contains(s.places, p) })
}

// proposed are the answers as the case has them, for the sheet on which they are given.
func (x *composer) proposed() []saying {
	var out []saying
	for _, ch := range x.pl.ChairChanges {
		if ch.TellOnly {
			continue
		}
		out = gathered(out, saying{key: ch.Key, answer: ch.Answer, teeth: ch.Teeth, places: contactsOf(ch)})
	}
	return out
}

// gathered puts an answer into a list, with the same answer to the same step where the
// list has one.
func gathered(list []saying, s saying) []saying {
	i := slices.IndexFunc(list, func(x saying) bool { return x.key == s.key && x.answer == s.answer })
	if i < 0 {
		i, list = len(list), append(list, saying{key: s.key, answer: s.answer})
	}
	list[i].teeth = casefile.SortTeeth(append(list[i].teeth, s.teeth...))
	list[i].places = casefile.SortPlaces(append(list[i].places, s.places...))
	return list
}

// limitsAt are the limits of single contacts that a yes is bound by.
func (x *composer) limitsAt(s saying) (out []Item) {
	for _, ch := range x.pl.ChairChanges {
		for _, l := range ch.PlaceLimits {
			if at := pairsOf([]string{l.Place}); ch.Key == s.key && slices.Contains(s.places, at[0]) {
				out = append(out, Item{Text: PlaceLimit(l, at)})
			}
		}
	}
	return out
}

// answersFact tells the answers that were given, each word once with its steps; all else
// counts as ask me first.
func (x *composer) answersFact(said []saying) Item {
	it := Item{Label: M("sheet.sign.answers-title")}
	for _, word := range []casefile.Answer{casefile.Agree, casefile.Ask, casefile.No} {
		var ts []Text
		var teeth []casefile.Tooth
		for _, s := range said {
			if s.answer == word {
				ts = append(ts, x.answerTo(s, said)...)
				teeth = append(teeth, s.teeth...)
			}
		}
		if word == casefile.Ask && slices.ContainsFunc(said, func(s saying) bool { return s.answer == casefile.Blank }) {
			ts = append(ts, M("sheet.sign.rest-ask"))
		}
		if len(ts) > 0 {
			it.Items = append(it.Items, Item{Label: answerWord(word), Text: ts[0], More: ts[1:]})
		}
	}
	if !slices.ContainsFunc(said, func(s saying) bool { return s.answer != casefile.Blank }) {
		it.Text = M("sheet.sign.none-yet")
	}
	return it
}

// answerTo is a step with one answer: where, unless the answer is the same everywhere, and
// the limits that a yes is bound by. Who reads a yes without teeth reads it of all of them.
func (x *composer) answerTo(s saying, said []saying) []Text {
	name := Word{M("change." + s.key + ".name")}
	alone := !slices.ContainsFunc(said, func(o saying) bool { return o.key == s.key && o.answer != s.answer })
	if alone && (s.answer != casefile.Agree || x.everywhere(s)) {
		return []Text{M("sheet.sign.answer-to", "Text", name)}
	}
	out := []Text{M("sheet.sign.answer-at", "Text", name, "Teeth", whereValue(s.teeth, s.places))}
	if s.answer == casefile.Agree {
		for _, l := range x.limitsAt(s) {
			out = append(out, l.Text)
		}
	}
	return out
}

// stepIn is the step that a text names, "" for none.
func stepIn(t Text) string {
	for _, a := range t.Args {
		if w, ok := a.Value.(Word); ok && strings.HasPrefix(w.Text.ID, "change.") && strings.HasSuffix(w.Text.ID, ".name") {
			return strings.TrimSuffix(strings.TrimPrefix(w.Text.ID, "change."), ".name")
		}
	}
	return ""
}

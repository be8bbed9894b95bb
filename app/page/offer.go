package page

import (
	"cmp"
	"encoding/json"
	"slices"
	"strconv"
	"strings"

	"github.com/maxence-charriere/go-app/v10/pkg/app"

	"plainleaf/app/casefile"
	"plainleaf/app/produce"
	"plainleaf/app/render"
	"plainleaf/app/screens/state"
	"plainleaf/i18n"
)

// offer shows everything that an offered practice file would change, what can hurt a
// patient first, before the yes.
func (r *Root) offer() app.UI {
	p := *r.office.Offer().Offered()
	all := casefile.Differences(r.office.File(), p)
	invented, _ := casefile.StillDemo(p, r.demoPractice())
	var unused []string
	for _, f := range r.office.Offer().Notes() {
		unused = append(unused, f.Path)
	}
	return el("div").ID("offer").Class("notice").Body(
		say("h3", "", r.t("page.offer.title", "Name", p.Name)),
		app.If(len(all) == 0, func() app.UI { return say("p", "", r.t("page.offer.same")) }),
		app.If(len(all) > 0, func() app.UI { return say("p", "", r.n("page.offer.changes", len(all))) }),
		app.If(!p.Demo && len(invented) > 0, func() app.UI {
			return el("p").ID("offer-demo").Text(r.t("page.offer.demo-left", "List", r.partNames(invented)))
		}),
		app.If(len(unused) > 0, func() app.UI {
			return el("p").ID("offer-unused").Text(r.t("page.offer.unused", "List", dots(unused)))
		}),
		app.If(len(r.office.Own().Typed) > 0, func() app.UI { return say("p", "", r.t("page.offer.typed")) }),
		each(len(casefile.Dangers()), func(i int) app.UI {
			lines := slices.DeleteFunc(slices.Clone(all), func(d casefile.Difference) bool { return d.Danger != i })
			if len(lines) == 0 {
				return none()
			}
			name := casefile.Dangers()[i]
			return el("details").ID("offer-"+name).Attr("open", len(lines) <= manyLines).Body(
				say("summary", "", r.t("page.offer.group", "Text", r.t("page.offer.group."+name), "Number", r.number(float64(len(lines)), 0))),
				box("dl", "", each(len(lines), func(i int) app.UI {
					d := lines[i]
					return fact(r.partName(d.Key), r.t("page.offer.change",
						"From", cmp.Or(r.partText(r.office.File(), d.Key, d.Old), r.t("page.notsaid")),
						"To", cmp.Or(r.partText(p, d.Key, d.New), r.t("page.notsaid"))))
				})),
			)
		}),
		box("div", "chips",
			r.button("offer-yes", "", r.t("page.offer.yes"), r.accept),
			r.button("offer-no", "quiet", r.t("page.offer.no"), r.office.Offer().Drop),
		),
	)
}

// manyLines is how many differences of a kind are open from the start.
const manyLines = 30

// accept takes the offered practice, once the words are at hand that say which of the
// present sentences were approved.
func (r *Root) accept() {
	if tags := produce.Unnamed(r.office.File()); len(tags) > 0 {
		if r.accepting = r.fetchFirst(append(tags, r.office.File().Locale)...); r.accepting {
			return
		}
	}
	if r.office.Offer().Offered() == nil {
		return
	}
	r.office.Offer().Accept(r.newest)
	r.notice = r.t("page.offer.done")
}

// fetchFirst asks for the first of some languages that is not at hand; false where all are.
func (r *Root) fetchFirst(tags ...string) bool {
	for _, tag := range tags {
		if _, spoken := i18n.Lookup(tag); spoken && r.known(tag) == nil {
			r.fetchLanguage(tag)
			return true
		}
	}
	return false
}

// newest is a language with a practice's own sentences as they now are, nil where it is
// not at hand.
func (r *Root) newest(p casefile.Practice, tag string) *i18n.Wording {
	s := r.known(tag)
	if s == nil {
		return nil
	}
	w, _ := produce.Newest(p, tag, s.wording)
	return w
}

// partNames lists parts of a practice by their keys in the file.
func (r *Root) partNames(keys []string) string {
	var names []string
	for _, k := range keys {
		names = append(names, r.partName(strings.SplitN(k, ".", 2)))
	}
	return dots(names)
}

// partWord is the message that names a key of the practice file.
func partWord(key string) string {
	switch key {
	case "complaints", "guarantee", "remakes", "funding":
		return "page.practice." + key
	case "fees":
		return "page.fees.title"
	case "currency":
		return "page.fees.currency"
	case "opening_days":
		return "page.practice.open"
	case "closures":
		return "page.practice.closed"
	case "laboratory_days":
		return "page.practice.lab"
	case "laboratory_closures":
		return "page.practice.lab-closed"
	case "time_zone":
		return "page.practice.zone"
	case "base_address":
		return "page.practice.base"
	case "locale":
		return "page.practice.language"
	case "sign_offs":
		return "page.practice.signed"
	}
	return fieldWord(key)
}

// partName says what a place in the practice file is about.
func (r *Root) partName(key []string) string {
	names := append([]string{r.t(partWord(key[0]))}, key[1:]...)
	switch {
	case len(key) == 1:
	case key[0] == "fees":
		names = []string{r.feeName(key[1])}
		if len(key) > 2 {
			names = append(names, r.t(map[string]string{"per_tooth": "page.fees.per-tooth", "flat": "page.fees.once"}[key[2]]))
		}
	case key[0] != "figures": // by language
		names[1] = i18n.OwnName(key[1])
	}
	return dots(names)
}

var waiverWords = map[string]string{"thinking-time": "sheet.think.title", "questions": "page.questions.title", "trial-smile": "visit.mock-up.name"}

// partText writes a value of p as a practice file has it for a reader.
func (r *Root) partText(p casefile.Practice, key []string, text string) string {
	if text == "" {
		return ""
	}
	list := strings.Split(text, ", ")
	switch key[0] {
	case "demo":
		return r.t("page.practice.demo")
	case "fees":
		decimals, _ := i18n.MinorUnits(p.Currency)
		if n, err := strconv.ParseInt(text, 10, 64); err == nil {
			return dots([]string{state.Sum(n, decimals), p.Currency})
		}
	case "opening_days", "laboratory_days":
		return r.days(list)
	case "languages", "locale":
		for i := range list {
			list[i] = i18n.OwnName(list[i])
		}
		return r.list(list)
	case "closures", "laboratory_closures":
		var c casefile.Closure
		if json.Unmarshal([]byte(text), &c) == nil {
			return r.t("page.offer.days", "From", r.date(c.From), "To", r.date(c.To))
		}
	case "waivers":
		for i := range list {
			list[i] = r.t(waiverWords[list[i]])
		}
		return r.list(list)
	case "sign_offs":
		var s casefile.SignOff
		if json.Unmarshal([]byte(text), &s) == nil {
			return r.signOff(s)
		}
	}
	return text
}

func (r *Root) signOff(s casefile.SignOff) string {
	return r.t("page.practice.sign-off", "Kind", r.t("page.kind."+s.Sheet),
		"Language", r.lang().NameOf(s.Locale), "Name", dots([]string{s.Who, s.Role}), "Date", r.date(s.When))
}

// stillDemo marks the demo practice until nothing invented is left; of a practice that
// went live with something of it, it says so.
func (r *Root) stillDemo() app.UI {
	p := r.office.File()
	invented, unconfirmed := casefile.StillDemo(p, r.demoPractice())
	left := func() app.UI {
		return el("p").ID("demo-left").Text(r.t("page.practice.demo-left", "List", r.partNames(invented)))
	}
	if !p.Demo {
		return app.If(len(invented) > 0, func() app.UI { return el("div").ID("demo").Class("notice").Body(left()) })
	}
	return el("div").ID("demo").Class("notice").Body(
		say("strong", "", r.t("page.practice.demo")),
		say("p", "", r.t("page.practice.demo-about")),
		app.If(len(invented) > 0, left),
		app.If(len(unconfirmed) > 0, func() app.UI {
			return el("div").ID("demo-confirm").Body(
				say("p", "", r.t("page.practice.demo-confirm")),
				box("dl", "", each(len(unconfirmed), func(i int) app.UI {
					key := unconfirmed[i]
					name := r.partNames([]string{key})
					return fact(name, r.partValue(p, key), r.button("confirm-"+strings.ReplaceAll(key, ".", "-"), "quiet", r.t("page.practice.confirm"), func() {
						r.office.Confirm(key)
					}).Aria("label", r.t("page.practice.confirm-of", "Text", name)))
				})),
			)
		}),
		app.If(r.office.AllOwn(r.demoPractice()), func() app.UI {
			return r.button("demo-over", "", r.t("page.practice.demo-over"), func() {
				if r.office.TakeOver(r.demoPractice()) {
					r.notice = r.t("page.practice.demo-gone")
					r.focus = "head"
				}
			})
		}),
	)
}

// partValue is all that a practice says under a key of its file.
func (r *Root) partValue(p casefile.Practice, key string) string {
	var texts []string
	for _, d := range casefile.Differences(casefile.Practice{}, p) {
		if d.Key[0] == key || strings.HasPrefix(strings.Join(d.Key, ".")+".", key+".") {
			texts = append(texts, r.partText(p, d.Key, d.New))
		}
	}
	return dots(texts)
}

// unsavedPractice says why the practice file was not saved, until that is decided.
func (r *Root) unsavedPractice() app.UI {
	if !r.unsaved {
		return none()
	}
	_, faults := r.office.Export()
	if r.unsaved = len(faults) > 0; !r.unsaved {
		return none()
	}
	return el("div").ID("practice-unsaved").Class("notice").TabIndex(-1).Body(
		say("p", "", r.t("page.practice.unsaved")),
		r.fileFaults(&state.Rejected{Faults: faults}),
	)
}

// changedSince reports whether the words of a language have changed since a sign-off that
// does not say which, as far as they are at hand.
func (r *Root) changedSince(s casefile.SignOff) bool {
	r.lookAtWords()
	return s.Wording != "" && r.digests[s.Locale] != "" && r.digests[s.Locale] != s.Wording
}

// lookAtWords finds what is no longer as it was approved, in the languages at hand, once
// for the words and sign-offs as they are: it takes longer than a letter to type.
func (r *Root) lookAtWords() {
	p := r.office.File()
	var tags []string
	for _, s := range p.SignOffs {
		if r.known(s.Locale) != nil && !slices.Contains(tags, s.Locale) {
			tags = append(tags, s.Locale)
		}
	}
	looked := strconv.Itoa(r.office.SignOffs().Worded()) + p.Locale + strings.Join(tags, " ")
	if r.looked == looked {
		return
	}
	r.looked, r.digests, r.reworded = looked, map[string]string{}, map[string][]reworded{}
	own := r.newest(p, p.Locale)
	for _, tag := range tags {
		if w := r.newest(p, tag); w != nil {
			r.digests[tag] = render.Digest(w)
			for _, id := range render.Reworded(p, tag, w, own) {
				_, held := p.InService[tag][id]
				r.reworded[tag] = append(r.reworded[tag], reworded{id, unfilled(w.Source(id).Other), held})
			}
		}
	}
}

// reworded is a sentence that nobody approved as it now is.
type reworded struct {
	id, text string
	held     bool // sheets print the one approved before
}

// unfilled is a sentence with a gap for each value.
func unfilled(s string) string {
	for _, name := range i18n.PlaceholdersIn(s) {
		s = strings.ReplaceAll(s, "{{."+name+"}}", "…")
	}
	return s
}

// rewordedList names the sentences that nobody approved as they now are.
func (r *Root) rewordedList() app.UI {
	r.lookAtWords()
	langs := i18n.Languages()
	return box("div", "", each(len(langs), func(i int) app.UI {
		tag := langs[i].Tag
		list := r.reworded[tag]
		if len(list) == 0 {
			return none()
		}
		return el("details").ID("reworded-"+tag).Body(
			say("summary", "", r.n("page.approve.reworded", len(list), "Language", r.lang().NameOf(tag))),
			box("ul", "", each(len(list), func(i int) app.UI {
				return box("li", "",
					el("span").Lang(tag).Text(list[i].text),
					say("span", "where", list[i].id),
					app.If(list[i].held, func() app.UI { return say("p", "hint", r.t("page.approve.held")) }),
				)
			})),
		)
	}))
}

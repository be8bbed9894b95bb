package page

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"github.com/maxence-charriere/go-app/v10/pkg/app"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
	"plainleaf/app/fault"
	"plainleaf/app/produce"
	"plainleaf/app/screens/state"
	"plainleaf/app/sheet"
	"plainleaf/i18n"
)

// caseView is where a case is entered.
func (r *Root) caseView() []app.UI {
	return []app.UI{
		r.teethPart(),
		r.findingsPart(),
		r.eachPart(),
		r.wishPart(),
		r.wayPart(),
		r.peoplePart(),
		r.languagePart(),
		r.filePart(),
		r.keepPart(),
	}
}

// quick is a choice of several teeth at once.
type quick struct {
	key   string // names the button
	id    string // of its words
	teeth []casefile.Tooth
}

func quicks() []quick {
	return []quick{
		{"front6", "front", state.UpperFront(6)}, {"front8", "front", state.UpperFront(8)},
		{"front10", "front", state.UpperFront(10)},
		{"upper", "upper", state.Arch(true)}, {"lower", "lower", state.Arch(false)},
		{"q1", "q1", state.Quadrant(1)}, {"q2", "q2", state.Quadrant(2)},
		{"q4", "q4", state.Quadrant(4)}, {"q3", "q3", state.Quadrant(3)},
	}
}

// span is a row of teeth that is being chosen by its ends: while it is on, the
// first tooth tapped is one end and the next one in the same jaw the other.
type span struct {
	on   bool
	from casefile.Tooth // 0: not tapped yet
}

// spanKey is the button of the row of quick choices that begins such a row.
const spanKey = "range"

// tap takes a tooth into the case or out of it, or an end of a row of teeth.
func (r *Root) tap(t casefile.Tooth) {
	r.at = t
	switch {
	case !r.span.on:
		r.d.Mouth().Toggle(t)
	case r.span.from == 0 || r.span.from.Upper() != t.Upper():
		r.span.from = t
		r.d.Mouth().Add([]casefile.Tooth{t})
	default:
		r.d.Mouth().Add(state.Between(r.span.from, t))
		r.span = span{}
		r.drawTeeth()
	}
}

// quickPart is the row of choices of several teeth at once. The tapped teeth show
// before anything else is drawn, as a single tooth does.
func (r *Root) quickPart() app.UI {
	q := quicks()
	var names, texts []string
	for _, x := range q {
		names = append(names, x.key)
		texts = append(texts, r.t("page.quick."+x.id, "Number", r.number(float64(len(x.teeth)), 0)))
	}
	row := r.keys("quick", "chips", append(names, spanKey), append(texts, r.t("page.quick.range")),
		func(i int) bool {
			if i == len(q) {
				return r.span.on
			}
			return r.d.Mouth().AllChosen(q[i].teeth)
		},
		func(i int) {
			if i == len(q) {
				r.span = span{on: !r.span.on}
				return
			}
			r.span = span{}
			r.d.Mouth().ToggleRange(q[i].teeth)
			r.drawTeeth()
		})
	next := ""
	switch {
	case r.span.from != 0:
		next = r.t("page.quick.range-last", "Tooth", r.label(r.span.from))
	case r.span.on:
		next = r.t("page.quick.range-first")
	}
	return el("div").Class("quick").Role("group").Aria("label", r.t("page.quick.title")).Body(
		row,
		el("p").ID("range-next").Class("range-next").Role("status").Text(next),
	)
}

func (r *Root) teethPart() app.UI {
	return part("teeth", r.t("page.teeth.title"),
		el("p").ID("chart-help").Class("hint").Text(r.t("page.chart.help")),
		box("div", "jaws",
			r.quickPart(),
			r.chart(),
			box("div", "below",
				r.teethList(),
				r.faults("teeth-fault", r.d.FaultsAt("teeth")),
				r.goneTeeth(),
				r.choice("numbering", r.t("page.numbering.title"), cmp.Or(r.d.Case().Numbering, "fdi"), r.numberings(), nil, r.d.SetNumbering),
			),
		),
	)
}

// goneTeeth says that notes of a visit name teeth which were taken out since.
func (r *Root) goneTeeth() app.UI {
	gone := r.d.Mouth().Gone()
	if len(gone) == 0 {
		return none()
	}
	return el("p").ID("teeth-gone").Class("notice firm").Text(r.t("page.teeth.gone", "Teeth", r.teeth(gone)))
}

// teethList is the chart as buttons, for fingers that need more room than a tooth
// has on a small screen.
func (r *Root) teethList() app.UI {
	return box("div", "list-of-teeth",
		r.button("teeth-as-list", "second", r.t("page.chart.list"), func() { r.listed = !r.listed }).Aria("expanded", fmt.Sprint(r.listed)),
		app.If(r.listed, func() app.UI {
			return box("div", "", r.jaw("page.chart.upper", state.Arch(true)), r.jaw("page.chart.lower", state.Arch(false)))
		}),
	)
}

func (r *Root) jaw(name string, teeth []casefile.Tooth) app.UI {
	return el("div").Role("group").Aria("label", r.t(name)).Body(
		say("p", "hint", r.t(name)),
		// The patient's right stands on the left, as in the chart.
		el("div").Class("chips").Dir("ltr").Body(each(len(teeth), func(i int) app.UI {
			t := teeth[i]
			return r.button("list-"+t.String(), "chip-button", r.label(t), func() { r.tap(t) }).
				Aria("label", r.toothName(t)).Aria("pressed", fmt.Sprint(r.d.Mouth().Chosen(t)))
		})))
}

func (r *Root) routeOptions() []option {
	var out []option
	for _, x := range casefile.Routes() {
		out = append(out, option{string(x), r.t("route." + string(x) + ".name")})
	}
	return out
}

func (r *Root) materialOptions(list []casefile.Material) []option {
	var out []option
	for _, x := range list {
		out = append(out, option{string(x), r.t("material." + string(x) + ".name")})
	}
	return out
}

func (r *Root) shadeOptions() []option {
	out := []option{{"", r.t("page.notsaid")}}
	for _, s := range casefile.Shades() {
		out = append(out, option{string(s), r.shadeName(s)})
	}
	return out
}

// shadeName is a shade as the screens name it.
func (r *Root) shadeName(s casefile.Shade) string {
	if s.Bleach() {
		return r.t("shade." + string(s))
	}
	return string(s)
}

func (r *Root) wayPart() app.UI {
	return part("way", r.t("page.way.title"),
		r.pick("route", r.t("page.route.title"), string(r.d.Case().Route), r.routeOptions(), r.d.FaultsAt("route"),
			func(v string) { r.d.Way().SetRoute(casefile.Route(v)) }),
		app.If(r.d.Way().Follows(), func() app.UI {
			after := slices.DeleteFunc(r.routeOptions(), func(o option) bool { return !slices.Contains(r.d.Way().Thens(), casefile.Route(o.value)) })
			return r.choice("then", r.t("page.then.title"), string(r.d.Case().Then),
				append([]option{{"", r.t("page.notsaid")}}, after...), r.d.FaultsAt("then"),
				func(v string) { r.d.Way().SetThen(casefile.Route(v)) })
		}),
		app.If(len(r.d.Way().Materials()) > 0, func() app.UI { return r.materialPick() }),
		box("div", "row",
			r.choice("target", r.t("page.target.title"), string(r.d.Case().TargetShade), r.shadeOptions(),
				r.d.FaultsAt("target_shade"), func(v string) { r.d.Way().SetTarget(casefile.Shade(v)) }),
			r.entry("shade-note", "text", r.t("page.shade.note"), "", r.d.Case().ShadeNote, r.d.FaultsAt("shade_note"), r.d.Way().SetShadeNote),
			r.choice("under", r.t("page.under.all"), string(r.d.Case().UnderlyingShade), r.shadeOptions(),
				r.d.FaultsAt("underlying_shade"), func(v string) { r.d.Way().SetUnderlyingAll(casefile.Shade(v)) }),
			r.day("issued", r.t("page.issued.title"), r.d.Case().Issued),
			r.day("start", r.t("page.start.title"), r.d.Case().Start),
		),
	)
}

// materialPick chooses the material of the case.
func (r *Root) materialPick() app.UI {
	return r.pick("material", r.t("page.material.title"), string(r.d.Case().Material),
		r.materialOptions(r.d.Way().Materials()), r.d.FaultsAt("material"),
		func(v string) { r.d.Way().SetMaterial(casefile.Material(v)) })
}

// day is a date field. What cannot be read stays in it.
func (r *Root) day(path, label string, d casefile.Date) app.UI {
	return r.dayField(path, label, r.d.Typed(path, d.String()), d, r.d.FaultsAt(path), func(v string) { r.d.SetDate(path, v) })
}

// dayField is a date as text, so that nothing typed is lost, with the browser's
// own calendar beside it, and the date in words.
func (r *Root) dayField(id, label, text string, d casefile.Date, faults fault.List, set func(string)) app.UI {
	r.bind[id+"-pick"] = d.String()
	words := r.date(d)
	if d.IsZero() || len(faults) > 0 {
		words = ""
	}
	return box("div", "day",
		r.entry(id, "text", label, r.t("page.date.hint", "Code", today().String()), text, faults, set,
			box("label", "opener calendar",
				el("input").ID(id+"-pick").Attr("type", "date").Attr("autocomplete", "off").TabIndex(-1).Aria("label", r.t("page.date.pick-of", "Text", label)).Attr("value", d.String()).
					OnChange(r.value(id+"-pick", func(v string) {
						if v != "" {
							set(v)
						}
					})),
				el("span").Aria("hidden", "true").Text(r.t("page.date.pick")),
			)),
		el("p").ID(id+"-words").Class("in-words").Text(words),
	)
}

// groups are the headings of the findings, in the order of the screen.
var groups = []string{"bite", "position", "tooth", "gums", "health", "mind"}

func (r *Root) findingsPart() app.UI {
	var public, own []app.UI
	var private [][]evidence.Finding
	for _, g := range groups {
		var open, shut []evidence.Finding
		for _, f := range r.d.Base().Findings {
			if f.Group != g {
				continue
			}
			if f.Private {
				shut = append(shut, f)
			} else {
				open = append(open, f)
			}
		}
		if len(open) > 0 {
			public = append(public, r.findingGroup(g, "", open))
		}
		if len(shut) > 0 {
			private = append(private, shut)
		}
	}
	body := append(public, r.faults("findings-fault", r.d.FaultsAt("findings")))
	if len(private) > 0 {
		// Shut until it is opened, and shut again for the next patient.
		body = append(body, r.drawer("dentist-side", "drawer", false, say("summary", "", r.t("page.private.title")), func() []app.UI {
			own = append(own, say("p", "hint", r.t("page.private.about")))
			for _, list := range private {
				own = append(own, r.findingGroup(list[0].Group, "own-", list))
			}
			return append(own, r.privateReasons())
		}))
	}
	return part("findings", r.t("page.findings.title"), body...)
}

func (r *Root) findingGroup(group, prefix string, list []evidence.Finding) app.UI {
	return box("fieldset", "pick",
		say("legend", "", r.t("page.group."+group)),
		box("div", "chips",
			each(len(list), func(i int) app.UI { return r.finding(list[i]) }),
		),
		r.toothRow(prefix+group, list),
	)
}

// finding is one chip: it is set at once when it concerns the whole mouth or
// person, else it opens a row of the chosen teeth.
func (r *Root) finding(f evidence.Finding) app.UI {
	name := r.t("finding." + f.Key + ".name")
	if f.Scope == "case" {
		return r.tick("finding-"+f.Key, name, r.d.Mouth().HasFinding(f.Key), func() { r.d.Mouth().ToggleFinding(f.Key) })
	}
	n := len(r.d.Mouth().TeethWith(f.Key))
	on := n > 0 || r.d.Mouth().HasFinding(f.Key)
	class := "chip-button more"
	if on {
		class += " held"
	}
	if n > 0 {
		name = r.t("page.finding.teeth", "Finding", name, "Teeth", r.teeth(r.d.Mouth().TeethWith(f.Key)))
	} else if on {
		name = r.t("page.finding.whole", "Finding", name)
	}
	return r.button("finding-"+f.Key, class, name, func() {
		if r.open == f.Key {
			r.open = ""
		} else {
			r.open = f.Key
		}
	}).Aria("expanded", fmt.Sprint(r.open == f.Key))
}

// toothRow asks which teeth the opened finding is true of.
func (r *Root) toothRow(group string, list []evidence.Finding) app.UI {
	i := slices.IndexFunc(list, func(f evidence.Finding) bool { return f.Key == r.open })
	if i < 0 {
		return none()
	}
	f := list[i]
	teeth := r.d.Mouth().Teeth()
	return el("div").ID("which-"+group).Class("which").Role("group").
		Aria("label", r.t("page.which.title", "Finding", r.t("finding."+f.Key+".name"))).Body(
		say("p", "", r.t("page.which.title", "Finding", r.t("finding."+f.Key+".name"))),
		app.If(len(teeth) == 0 && f.Scope == "tooth", func() app.UI { return say("p", "", r.t("page.which.none")) }),
		box("div", "chips",
			app.If(f.Scope == "either", func() app.UI {
				return r.tick("whole-"+f.Key, r.t("page.which.whole"), r.d.Mouth().HasFinding(f.Key),
					func() { r.d.Mouth().ToggleFinding(f.Key) })
			}),
			each(len(teeth), func(i int) app.UI {
				t := teeth[i]
				return r.tick("which-"+f.Key+"-"+t.String(), r.label(t),
					slices.Contains(r.d.Mouth().Entry(t).Findings, f.Key),
					func() { r.d.Mouth().ToggleToothFinding(t, f.Key) })
			}),
		),
	)
}

// eachPart lists the chosen teeth with what is true of one tooth alone.
func (r *Root) eachPart() app.UI {
	teeth := r.d.Mouth().Teeth()
	if len(teeth) == 0 {
		return none()
	}
	return part("each", r.t("page.each.title"),
		say("p", "hint", r.t("page.each.about")),
		box("div", "drawers",
			each(len(teeth), func(i int) app.UI { return r.eachTooth(teeth[i]) }),
		),
	)
}

func (r *Root) eachTooth(t casefile.Tooth) app.UI {
	e := r.d.Mouth().Entry(t)
	id := "each-" + t.String()
	i := slices.IndexFunc(r.d.Case().Teeth, func(x casefile.ToothEntry) bool { return x.Tooth == t })
	path := fmt.Sprintf("teeth[%d]", i)
	var own []string
	if e.Route != "" {
		own = append(own, r.t("route."+string(e.Route)+".name"))
	}
	if e.UnderlyingShade != "" {
		own = append(own, r.t("page.each.shade", "Shade", r.shadeName(e.UnderlyingShade)))
	}
	for _, k := range e.Findings {
		if w := r.d.Words().Findings[k]; !w.Private {
			own = append(own, r.t("finding."+k+".name"))
		}
	}
	same := option{"", r.t("page.each.same")}
	route := e.Route
	if route == "" {
		route = r.d.Case().Route
	}
	return r.drawer(id, "drawer", false, box("summary", "",
		say("strong", "", r.toothName(t)),
		app.If(len(own) > 0, func() app.UI { return say("span", "own", dots(own)) }),
	), func() []app.UI {
		return []app.UI{
			box("div", "row",
				r.choice(id+"-shade", r.t("page.under.title"), string(e.UnderlyingShade), r.shadeOptions(),
					r.d.FaultsAt(path+".underlying_shade"), func(v string) { r.d.Mouth().SetUnderlying(t, casefile.Shade(v)) }),
				r.choice(id+"-target", r.t("page.each.wanted"), string(e.TargetShade),
					append([]option{same}, r.shadeOptions()[1:]...),
					r.d.FaultsAt(path+".target_shade"), func(v string) { r.d.Mouth().SetTarget(t, casefile.Shade(v)) }),
				r.entry(id+"-note", "text", r.t("page.shade.note"), "", e.ShadeNote,
					r.d.FaultsAt(path+".shade_note"), func(v string) { r.d.Mouth().SetShadeNote(t, v) }),
				r.choice(id+"-route", r.t("page.each.route"), string(e.Route),
					append([]option{same}, r.routeOptions()...),
					r.d.FaultsAt(path+".route"), func(v string) { r.d.Mouth().SetRoute(t, casefile.Route(v)) }),
				app.If(len(r.d.Way().MaterialsOf(route)) > 0, func() app.UI {
					return r.choice(id+"-material", r.t("page.each.material"), string(e.Material),
						append([]option{same}, r.materialOptions(r.d.Way().MaterialsOf(route))...),
						r.d.FaultsAt(path+".material"), func(v string) { r.d.Mouth().SetMaterial(t, casefile.Material(v)) })
				}),
			),
			r.button(id+"-out", "quiet", r.t("page.each.out", "Tooth", r.label(t)), func() { r.d.Mouth().Toggle(t) }),
		}
	})
}

func (r *Root) wishPart() app.UI {
	list := r.d.Base().Priorities
	if len(list) == 0 {
		return none()
	}
	return part("wish", r.t("page.wish.title"),
		say("p", "hint", r.t("page.wish.about")),
		box("div", "chips",
			each(len(list), func(i int) app.UI {
				k := list[i].Key
				name := r.t("priority." + k + ".name")
				if n := r.d.Patient().Priority(k); n > 0 {
					name = r.t("page.wish.place", "Number", r.number(float64(n), 0), "Name", name)
				}
				return r.tick("wish-"+k, name, r.d.Patient().Priority(k) > 0, func() { r.d.Patient().TogglePriority(k) })
			}),
		),
		r.area("wish-own", r.t("page.wish.own"), r.t("page.wish.own-hint"), r.d.Case().Wish, r.d.FaultsAt("wish"), r.d.Patient().SetWish),
		r.detailPick(),
	)
}

// said makes the options of a closed list, with "not said" first.
func (r *Root) said(prefix string, keys ...string) []option {
	out := []option{{"", r.t("page.notsaid")}}
	for _, k := range keys {
		out = append(out, option{k, r.t(prefix + k)})
	}
	return out
}

func (r *Root) peoplePart() app.UI {
	p := r.d.Patient().People()
	set := func(f func(*casefile.People, string)) func(string) {
		return func(v string) { r.d.Patient().EditPeople(func(p *casefile.People) { f(p, v) }) }
	}
	return part("people", r.t("page.people.title"),
		say("p", "hint", r.t("page.people.about")),
		box("div", "row",
			r.choice("age", r.t("page.age.title"), p.AgeBand,
				r.said("people.age.", "child", "adolescent", "adult", "older-adult"),
				r.d.FaultsAt("people.age_band"), set(func(p *casefile.People, v string) { p.AgeBand = v })),
			r.choice("decides", r.t("page.decides.title"), p.Decides,
				r.said("people.decides.", "patient", "parent", "guardian", "representative", "with-support"),
				r.d.FaultsAt("people.decides"), set(func(p *casefile.People, v string) { p.Decides = v })),
			app.If(p.Minor() || p.Decides != "" && p.Decides != "patient", func() app.UI {
				return r.choice("assent", r.t("page.assent.title"), p.Assent,
					r.said("people.assent.", "yes", "no", "not-asked"),
					r.d.FaultsAt("people.assent"), set(func(p *casefile.People, v string) { p.Assent = v }))
			}),
			r.choice("interpreter", r.t("page.interpreter.title"), p.Interpreter,
				r.said("people.interpreter.", "none", "professional", "staff", "family"),
				r.d.FaultsAt("people.interpreter"), set(func(p *casefile.People, v string) {
					p.Interpreter = v
					if v == "" || v == "none" {
						p.InterpreterWay = ""
					}
				})),
			app.If(p.Interpreter != "" && p.Interpreter != "none", func() app.UI {
				return r.choice("way-of", r.t("page.way-of.title"), p.InterpreterWay,
					r.said("people.way.", "in-person", "telephone", "video"),
					r.d.FaultsAt("people.interpreter_way"), set(func(p *casefile.People, v string) { p.InterpreterWay = v }))
			}),
		),
		r.area("support", r.t("page.support.title"), r.t("page.support.hint"), p.CapacitySupport,
			r.d.FaultsAt("people.capacity_support"), set(func(p *casefile.People, v string) { p.CapacitySupport = v })),
		r.entry("companion", "text", r.t("page.companion.title"), r.t("page.companion.hint"), p.Companion,
			r.d.FaultsAt("people.companion"), set(func(p *casefile.People, v string) { p.Companion = v })),
	)
}

func (r *Root) languagePart() app.UI {
	// On sheets that nobody signs the practice's own language stands beside words that
	// were not signed off, whatever is chosen here.
	c, beside, unsigned := r.d.Case(), "", ""
	for _, k := range sheet.Kinds() {
		if b := produce.Beside(r.office.File(), k, c.Locale, c.Second); b != c.Second {
			beside, unsigned = b, produce.Unsigned(r.office.File(), k, c.Locale, c.Second)
		}
	}
	none := r.t("page.second.none")
	if beside != "" {
		none = r.t("page.second.by-itself", "Language", i18n.OwnName(beside))
	}
	second := []option{{"", none}}
	for _, l := range i18n.Languages() {
		if l.Tag != r.d.Case().Locale {
			second = append(second, option{l.Tag, l.Name})
		}
	}
	return part("language", r.t("page.language.title"),
		say("p", "hint", r.t("page.language.about", "Language", r.lang().Name)),
		app.If(r.d.Languages().Apart(), func() app.UI {
			return el("p").ID("language-apart").Class("firm").Text(r.t("page.language.kept", "Language", r.lang().NameOf(r.d.Case().Locale)))
		}),
		app.If(len(r.d.Languages().Parked()) > 0, func() app.UI {
			return el("p").ID("language-parked").Class("firm").Text(r.parked())
		}),
		box("div", "row",
			r.choice("locale", r.t("page.language.sheets"), r.d.Case().Locale, r.languageOptions(), r.d.FaultsAt("locale"), r.setLocale),
			r.choice("second", r.t("page.second.title"), r.d.Case().Second, second, r.d.FaultsAt("second"), r.d.Languages().SetSecond),
		),
		app.If(beside != "", func() app.UI {
			return el("p").ID("second-why").Class("hint").Text(r.t("page.second.has-to", "Language", r.lang().NameOf(beside), "Name", r.lang().NameOf(unsigned)))
		}),
	)
}

func (r *Root) languageOptions() []option {
	var out []option
	for _, l := range i18n.Languages() {
		out = append(out, option{l.Tag, l.Name})
	}
	return out
}

// parked says that a language of the opened case is not offered for now, and what its
// sheets are in instead; "" where that is not so.
func (r *Root) parked() string {
	var said []string
	for _, tag := range r.d.Languages().Parked() {
		said = append(said, r.t("page.language.parked", "Name", r.lang().NameOf(tag), "Language", r.lang().NameOf(r.d.Case().Locale)))
	}
	return follow(said...)
}

// setLocale sets the language of the sheets, which may be another than the screen's.
func (r *Root) setLocale(tag string) {
	r.d.Languages().SetLocale(tag)
	r.moveTopics()
}

func (r *Root) filePart() app.UI {
	return part("file", r.t("page.file.title"),
		say("p", "hint", r.t("page.file.about")),
		box("div", "chips",
			r.opener("open-case", r.t("page.file.open"), r.openCase),
			r.button("save-case", "second", r.t("page.file.save"), r.saveCase),
			r.button("demo-case", "second", r.t("page.file.demo"), r.loadDemo),
		),
		app.If(r.d.File().Rejected() != nil, func() app.UI {
			f := r.d.File().Rejected()
			return el("div").ID("case-file").Class("notice").Role("group").Aria("labelledby", "case-file-head").Body(
				el("h3").ID("case-file-head").Text(r.t("page.file.bad", "File", f.Name)),
				r.fileFaults(f),
				r.lines("case-file-text", r.t("page.file.text"), r.t("page.file.mend"), f.Text, nil,
					r.d.File().Mend),
				box("div", "chips",
					r.button("case-file-again", "", r.t("page.file.again"), func() {
						r.desk.Import(r.d.File().Rejected().Name, r.d.File().Rejected().Text)
						r.moveTopics()
					}),
					r.button("case-file-drop", "quiet", r.t("page.file.drop"), r.d.File().Drop),
				),
			)
		}),
		r.clearPart(),
	)
}

// fileFaults tells what is wrong with a file, each with its place.
func (r *Root) fileFaults(f *state.Rejected) app.UI {
	return box("ul", "faults",
		each(len(f.Faults), func(i int) app.UI {
			x := f.Faults[i]
			return el("li").DataSet("fault", x.Code).Body(
				say("span", "", r.faultText(x)),
				app.If(x.Path != "" && x.Path != "$", func() app.UI {
					return say("span", "where", r.t("page.fault.where", "Key", x.Path))
				}),
				app.If(strings.TrimSpace(x.Args["Value"]) != "", func() app.UI {
					return say("span", "where", r.t("page.fault.value", "Text", x.Args["Value"]))
				}),
			)
		}),
	)
}

// privateReasons takes the dentist's reason for going on against a private
// wait-for. It stands on the dentist's side alone.
func (r *Root) privateReasons() app.UI {
	list := r.d.Consent().PrivateWaits()
	if len(list) == 0 {
		return none()
	}
	return box("div", "private-reasons",
		say("p", "hint", r.t("page.waits.private")),
		each(len(list), func(i int) app.UI {
			k := list[i]
			return r.entry("reason-"+k, "text", r.t("page.waits.reason-for", "Finding", r.t("finding."+k+".name")), r.t("page.waits.hint"),
				r.d.Way().Reason(k), r.d.FaultsAt("proceed_reasons"), func(v string) { r.d.Way().SetReason(k, v) })
		}),
	)
}

// detailPick asks how much the patient wants to know.
func (r *Root) detailPick() app.UI {
	return r.pick("detail", r.t("page.detail.title"), r.d.Case().Detail, []option{
		{"words", r.t("page.detail.words")}, {"numbers", r.t("page.detail.numbers")},
	}, r.d.FaultsAt("detail"), r.d.Patient().SetDetail)
}

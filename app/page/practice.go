package page

import (
	"cmp"
	"maps"
	"slices"
	"strconv"
	"strings"

	"github.com/maxence-charriere/go-app/v10/pkg/app"

	"plainleaf/app/casefile"
	"plainleaf/app/fault"
	"plainleaf/app/screens/state"
	"plainleaf/app/sheet"
	"plainleaf/i18n"
)

// practiceView is where the practice sets what stands on every sheet.
func (r *Root) practiceView() []app.UI {
	p := r.office.File()
	return []app.UI{
		r.stillDemo(),
		say("p", "lead", r.t("page.practice.about")),
		say("p", "hint", r.t(map[bool]string{true: "page.practice.not-kept", false: "page.practice.kept"}[r.k.state == "none"])),
		r.numbersPart(),
		r.screenPart(),
		r.fees(p),
		r.timesPart(),
		part("facts", r.t("page.practice.facts"),
			r.area("practice-complaints", r.t("page.practice.complaints"), "", p.Complaints, r.office.FaultsAt("complaints"),
				func(v string) { r.office.SetField("complaints", v) }),
			r.area("practice-guarantee", r.t("page.practice.guarantee"), "", p.Guarantee, r.office.FaultsAt("guarantee"),
				func(v string) { r.office.SetField("guarantee", v) }),
			r.area("practice-remakes", r.t("page.practice.remakes"), "", p.Remakes, r.office.FaultsAt("remakes"),
				func(v string) { r.office.SetField("remakes", v) }),
			r.area("practice-funding", r.t("page.practice.funding"), "", p.Funding, r.office.FaultsAt("funding"),
				func(v string) { r.office.SetField("funding", v) }),
		),
		r.approvalPart(p),
		r.practiceFile(),
	}
}

func (r *Root) numbersPart() app.UI {
	kind := func(field string) string {
		switch field {
		case "telephone", "emergency_line", "emergency_service":
			return "tel"
		}
		return "text"
	}
	fields := state.PracticeFields()
	changes := r.office.NumberChanges()
	return part("phones", r.t("page.practice.numbers"),
		say("p", "hint", r.t("page.practice.numbers-about")),
		box("div", "row",
			each(len(fields), func(i int) app.UI {
				f := fields[i]
				return r.entry("practice-"+f, kind(f), r.t(fieldWord(f)), "", r.office.Field(f),
					r.office.FaultsAt(f), func(v string) { r.office.SetField(f, v) })
			}),
		),
		app.If(len(changes) > 0, func() app.UI {
			return el("div").ID("numbers-change").Class("notice").Body(
				say("p", "", r.t("page.practice.numbers-change")),
				box("dl", "", each(len(changes), func(i int) app.UI { return r.lineChange(changes[i]) })),
				box("div", "chips",
					r.button("numbers-yes", "", r.t("page.practice.numbers-yes"), func() {
						if r.office.AcceptNumbers() {
							r.notice = r.t("page.practice.numbers-done")
							r.focus = "head"
						}
					}),
					r.button("numbers-no", "quiet", r.t("page.practice.numbers-no"), func() {
						r.office.DropNumbers()
						r.focus = "practice-telephone"
					}),
				),
			)
		}),
	)
}

// lineChange shows a detail before and after.
func (r *Root) lineChange(l state.Line) app.UI {
	return fact(r.t(fieldWord(l.Field)), r.t("page.offer.change",
		"From", cmp.Or(l.Old, r.t("page.notsaid")), "To", cmp.Or(l.New, r.t("page.notsaid"))))
}

// screenPart sets how this device shows things; no sheet depends on it.
func (r *Root) screenPart() app.UI {
	var minutes []option
	for _, n := range state.IdleMinutes {
		minutes = append(minutes, option{strconv.Itoa(n), r.n("page.practice.minutes", n)})
	}
	own, langs, faults := r.office.File().Locale, r.languageOptions(), r.office.FaultsAt("locale")
	if _, offered := i18n.Lookup(own); !offered { // parked since: it is kept until another is chosen
		langs = append(langs, option{own, i18n.OwnName(own)})
		faults = append(faults, fault.New("LANGUAGE-PARKED", "locale", "%s is parked", own))
	}
	return part("device", r.t("page.practice.device"),
		box("div", "row",
			r.choice("practice-numbering", r.t("page.numbering.title"), cmp.Or(r.office.Own().Numbering, "fdi"), r.numberings(), nil, func(v string) {
				r.office.SetNumbering(v)
				r.d.SetNumbering(v)
			}),
			r.choice("practice-minutes", r.t("page.practice.idle"), strconv.Itoa(r.office.Own().Minutes), minutes, nil, func(v string) {
				if n, err := strconv.Atoi(v); err == nil {
					r.office.SetMinutes(n)
					r.idle()
				}
			}),
			r.choice("practice-locale", r.t("page.practice.language"), own, langs, faults,
				func(v string) { r.office.SetField("locale", v) }),
		),
	)
}

func (r *Root) numberings() []option {
	first := func(n string) string { return casefile.Tooth(11).Label(n) }
	return []option{
		{"fdi", r.t("page.numbering.fdi", "Tooth", first("fdi"))},
		{"universal", r.t("page.numbering.universal", "Tooth", first("universal"))},
		{"palmer", r.t("page.numbering.palmer", "Tooth", first("palmer"))},
	}
}

// timesPart sets when the practice and the laboratory work.
func (r *Root) timesPart() app.UI {
	p := r.office.File()
	return part("times", r.t("page.practice.times"),
		r.dayTicks("opening_days", r.t("page.practice.open"), p.OpeningDays),
		r.closureRows("closures", r.t("page.practice.closed")),
		r.dayTicks("laboratory_days", r.t("page.practice.lab"), p.LaboratoryDays),
		r.closureRows("laboratory_closures", r.t("page.practice.lab-closed")),
		box("div", "row",
			r.entry("practice-time_zone", "text", r.t("page.practice.zone"), r.t("page.practice.zone-hint", "Code", "Europe/Madrid"),
				p.TimeZone, r.office.FaultsAt("time_zone"), func(v string) { r.office.SetField("time_zone", strings.TrimSpace(v)) }),
			r.entry("practice-base_address", "url", r.t("page.practice.base"), r.t("page.practice.base-hint"),
				p.BaseAddress, r.office.FaultsAt("base_address"), func(v string) { r.office.SetField("base_address", strings.TrimSpace(v)) }),
		),
	)
}

func (r *Root) dayTicks(list, legend string, on []string) app.UI {
	days := casefile.Weekdays()
	return el("fieldset").ID(list).Class("pick").Body(
		say("legend", "", legend),
		box("div", "chips",
			each(len(days), func(i int) app.UI {
				d := days[i]
				return r.tick(list+"-"+d, r.days([]string{d}), slices.Contains(on, d), func() { r.office.Days().Toggle(list, d) })
			}),
		),
		r.faults(list+"-fault", r.office.FaultsAt(list)),
	)
}

func (r *Root) closureRows(list, legend string) app.UI {
	rows := r.office.Days().Closures(list)
	return el("fieldset").ID(list).Class("pick").Body(
		say("legend", "", legend),
		app.If(len(rows) == 0, func() app.UI { return say("p", "hint", r.t("page.practice.closed-none")) }),
		each(len(rows), func(i int) app.UI {
			id := list + "-" + strconv.Itoa(i)
			path := list + "[" + strconv.Itoa(i) + "]"
			day := func(end, label string, value casefile.Date) app.UI {
				return r.dayField(id+"-"+end, label, r.office.Written(path+"."+end, value.String()), value,
					r.office.FaultsAt(path+"."+end), func(v string) { r.office.Days().SetClosure(list, i, end, v) })
			}
			return el("div").ID(id).Class("row span").Role("group").Aria("label", r.t("page.practice.closed-row", "Number", r.number(float64(i+1), 0))).Body(
				day("from", r.t("page.practice.from"), rows[i].From),
				day("to", r.t("page.practice.to"), rows[i].To),
				r.button(id+"-out", "quiet", r.t("page.practice.closed-out"), func() {
					r.office.Days().DropClosure(list, i)
					r.focus = list + "-add"
				}),
			)
		}),
		r.button(list+"-add", "second", r.t("page.practice.closed-add"), func() {
			r.office.Days().AddClosure(list)
			r.focus = list + "-" + strconv.Itoa(len(r.office.Days().Closures(list))-1) + "-from"
		}),
	)
}

// fieldWord is the message that names a field of the practice.
func fieldWord(field string) string {
	return "page.practice.field." + strings.ReplaceAll(field, "_", "-")
}

func (r *Root) days(keys []string) string {
	var out []string
	for _, k := range keys {
		// Weekday counts from Sunday, the file from Monday.
		i := slices.Index(casefile.Weekdays(), k)
		if name, err := r.lang().Weekday(weekday((i + 1) % 7)); err == nil && i >= 0 {
			out = append(out, name)
		}
	}
	return r.list(out)
}

// approvalPart lists who checked which words, and takes a new sign-off. One counts
// only when it is whole, so a half-entered one never holds up a sheet.
func (r *Root) approvalPart(p casefile.Practice) app.UI {
	s := r.approval()
	kinds := []option{{"all", r.t("page.kind.all")}}
	for _, k := range sheet.Kinds() {
		kinds = append(kinds, option{string(k), r.t("page.kind." + string(k))})
	}
	when, err := casefile.ParseDate(s.When)
	var faults fault.List
	if err != nil {
		faults.Append(fault.New("PAGE-DATE", "when", "%q is not a date", s.When).With("Text", s.When))
	}
	blank := func(id, text string) fault.List {
		if r.halfway && strings.TrimSpace(text) == "" {
			return fault.List{fault.New("PRAC-SIGNED", id, "blank")}
		}
		return nil
	}
	set := func(put func(*state.Approval, string)) func(string) {
		return func(v string) {
			r.approving = false
			r.office.SignOffs().SetApproval(func(a *state.Approval) { put(a, v) })
		}
	}
	return part("signed", r.t("page.practice.signed"),
		say("p", "hint", r.t("page.approve.about")),
		app.If(len(p.SignOffs) == 0, func() app.UI { return say("p", "", r.t("page.practice.unsigned")) }),
		box("ul", "plain rows", each(len(p.SignOffs), func(i int) app.UI {
			x := p.SignOffs[i]
			text := r.signOff(x)
			return box("li", "",
				say("span", "", text),
				app.If(r.changedSince(x), func() app.UI { return say("p", "hint", r.t("banner.changed")) }),
				r.button("signed-"+strconv.Itoa(i)+"-out", "quiet", r.t("page.approve.out"), func() {
					r.office.SignOffs().Drop(i)
					r.focus = "sign-who"
				}).Aria("label", r.t("page.approve.out-of", "Text", text)))
		})),
		r.rewordedList(),
		el("fieldset").ID("sign-new").Class("pick").Body(
			say("legend", "", r.t("page.approve.new")),
			box("div", "row",
				r.choice("sign-sheet", r.t("page.kind.title"), s.Sheet, kinds, nil, set(func(a *state.Approval, v string) { a.Sheet = v })),
				r.choice("sign-locale", r.t("page.approve.language"), s.Locale, r.languageOptions(), nil, set(func(a *state.Approval, v string) { a.Locale = v })),
				r.entry("sign-who", "text", r.t("page.approve.who"), "", s.Who, blank("who", s.Who), set(func(a *state.Approval, v string) { a.Who = v })),
				r.entry("sign-role", "text", r.t("page.approve.role"), "", s.Role, blank("role", s.Role), set(func(a *state.Approval, v string) { a.Role = v })),
				r.dayField("sign-when", r.t("page.approve.when"), s.When, when, faults, set(func(a *state.Approval, v string) { a.When = v })),
			),
			r.button("sign-add", "second", r.t("page.approve.add"), r.approve),
		),
	)
}

// approval is the sign-off that is being entered, with what stands where nothing
// was chosen: all sheets, in the practice's language, today. Nobody signs off words in
// a language that is not offered.
func (r *Root) approval() state.Approval {
	a := r.office.Own().Approval
	a.Sheet, a.Locale, a.When = cmp.Or(a.Sheet, "all"), cmp.Or(a.Locale, r.office.File().Locale), cmp.Or(a.When, today().String())
	if _, offered := i18n.Lookup(a.Locale); !offered {
		a.Locale = r.lang().Tag
	}
	return a
}

// approve adds the sign-off when it is whole. It notes the words as they now are, so that
// a sheet can say when they have changed since; they, and the practice's own language
// that they were compared with, are fetched first where they are not at hand.
func (r *Root) approve() {
	a := r.approval()
	a.Who, a.Role = strings.TrimSpace(a.Who), strings.TrimSpace(a.Role)
	day, err := casefile.ParseDate(a.When)
	r.halfway = true
	switch {
	case a.Who == "":
		r.focus = "sign-who"
	case a.Role == "":
		r.focus = "sign-role"
	case err != nil:
		r.focus = "sign-when"
	default:
		if r.approving = r.fetchFirst(a.Locale, r.office.File().Locale); r.approving {
			return
		}
		words, own := r.newest(r.office.File(), a.Locale), r.newest(r.office.File(), r.office.File().Locale)
		if words == nil || own == nil {
			r.notice = r.t("page.language.failed", "Language", r.lang().NameOf(a.Locale))
			return
		}
		r.office.SignOffs().Add(casefile.SignOff{Sheet: a.Sheet, Locale: a.Locale, Who: a.Who, Role: a.Role, When: day}, words, own)
		r.office.SignOffs().SetApproval(func(x *state.Approval) { *x = state.Approval{} })
		r.halfway = false
		r.notice = r.t("page.approve.done")
		r.focus = "sign-sheet"
	}
}

// fees are the prices, in the practice's currency.
func (r *Root) fees(p casefile.Practice) app.UI {
	keys := slices.Sorted(maps.Keys(p.Fees))
	decimals, _ := i18n.MinorUnits(p.Currency)
	codes := []option{{"", r.t("page.notsaid")}}
	for _, c := range i18n.Currencies() {
		codes = append(codes, option{c, c})
	}
	more := []option{{"", r.t("page.fees.choose")}}
	for _, k := range slices.Sorted(maps.Keys(r.d.Words().Fees)) {
		if _, has := p.Fees[k]; !has && r.feeName(k) != k {
			more = append(more, option{k, r.feeName(k)})
		}
	}
	return part("fees", r.t("page.fees.title"),
		say("p", "hint", r.t("page.fees.about")),
		box("div", "row",
			r.choice("practice-currency", r.t("page.fees.currency"), p.Currency, codes, r.office.FaultsAt("currency"), func(v string) {
				after, _ := i18n.MinorUnits(v)
				r.office.Fees().SetCurrency(v, decimals, after)
			}),
		),
		app.If(len(keys) == 0, func() app.UI { return say("p", "", r.t("page.money.none")) }),
		each(len(keys), func(i int) app.UI {
			k := keys[i]
			sum := func(part, label string) app.UI {
				path := "fees." + k + "." + part
				return r.entry("fee-"+k+"-"+part, "text", label, "", r.office.Fees().Text(k, part, decimals),
					r.office.FaultsAt(path), func(v string) { r.office.Fees().Set(k, part, v, decimals) })
			}
			return el("fieldset").ID("fee-"+k).Class("pick").Body(
				say("legend", "", r.feeName(k)),
				box("div", "row span",
					sum("per_tooth", r.t("page.fees.per-tooth")),
					sum("flat", r.t("page.fees.once")),
					r.button("fee-"+k+"-out", "quiet", r.t("page.fees.out"), func() {
						r.office.Fees().Drop(k)
						r.focus = "fee-add"
					}).Aria("label", r.t("page.fees.out-of", "Text", r.feeName(k))),
				),
			)
		}),
		box("div", "row",
			r.choice("fee-add", r.t("page.fees.add"), "", more, nil, func(v string) {
				r.office.Fees().Add(v)
				r.focus = "fee-" + v + "-per_tooth"
			}),
		),
	)
}

// feeName is what a fee is for: a route, an appliance, a visit or another item.
func (r *Root) feeName(key string) string {
	for _, id := range []string{"route." + key + ".name", "care." + key + ".name", "appliance." + key + ".name", "visit." + r.d.Base().Purpose(key) + ".name", "change." + key + ".name", "money." + key} {
		if r.words.Has(id) {
			return r.t(id)
		}
	}
	return key
}

func (r *Root) practiceFile() app.UI {
	return part("practice-file", r.t("page.practice.file"),
		box("div", "chips",
			r.opener("open-practice", r.t("page.practice.load"), func(name, text string) {
				if r.office.Offer().Read(name, text) {
					r.focus = "offer-yes"
				} else {
					r.focus = "practice-file-text"
				}
			}),
			r.button("save-practice", "second", r.t("page.practice.save"), func() {
				data, faults := r.office.Export()
				if r.unsaved = len(faults) > 0; r.unsaved {
					r.focus = "practice-unsaved"
					return
				}
				save("practice.json", "application/json", data)
				r.notice = r.t("page.file.saved", "File", "practice.json")
			}),
		),
		r.unsavedPractice(),
		box("div", "clear",
			app.If(r.ownAsk == "", func() app.UI {
				return r.button("demo-back", "second", r.t("page.practice.demo-back"), func() { r.ownAsk = "demo"; r.focus = "demo-back-no" })
			}),
			app.If(r.ownAsk != "", func() app.UI {
				return el("div").ID("demo-back-ask").Class("notice").Role("alertdialog").Aria("labelledby", "demo-back-text").Body(
					el("p").ID("demo-back-text").Text(r.t("page.practice.demo-back-ask")),
					box("div", "chips",
						r.button("demo-back-yes", "", r.t("page.practice.demo-back-yes"), func() {
							r.ownAsk = ""
							r.office.BackTo(r.demoPractice())
							r.idle()
							r.notice = r.t("page.practice.demo-back-done")
							r.focus = "head"
						}),
						r.button("demo-back-no", "quiet", r.t("page.practice.demo-back-no"), func() { r.ownAsk = ""; r.focus = "demo-back" }),
					),
				)
			}),
		),
		app.If(r.office.Offer().Rejected() != nil, func() app.UI {
			f := r.office.Offer().Rejected()
			return el("div").ID("practice-bad").Class("notice").Body(
				say("h3", "", r.t("page.file.bad", "File", f.Name)),
				r.fileFaults(f),
				r.lines("practice-file-text", r.t("page.file.text"), r.t("page.file.mend"), f.Text, nil,
					r.office.Offer().Mend),
				box("div", "chips",
					r.button("practice-again", "", r.t("page.file.again"), func() {
						r.office.Offer().Read(r.office.Offer().Rejected().Name, r.office.Offer().Rejected().Text)
					}),
					r.button("practice-drop", "quiet", r.t("page.file.drop"), r.office.Offer().Drop),
				),
			)
		}),
		app.If(r.office.Offer().Offered() != nil, r.offer),
	)
}

package page

import (
	"maps"
	"slices"
	"strings"

	"github.com/maxence-charriere/go-app/v10/pkg/app"

	"plainleaf/app/page/model"
	"plainleaf/app/veneer"
	"plainleaf/i18n"
)

// practiceView shows the practice file and takes another one.
func (r *Root) practiceView() []app.UI {
	p := r.m.Practice
	kind := func(field string) string {
		switch field {
		case "telephone", "emergency_line", "emergency_service":
			return "tel"
		}
		return "text"
	}
	fields := model.PracticeFields()
	return []app.UI{
		app.If(p.Demo, func() app.UI {
			return app.Div().ID("demo").Class("notice").Body(
				app.Strong().Text(r.t("page.practice.demo")),
				app.P().Text(r.t("page.practice.demo-about")),
			)
		}),
		app.P().Class("lead").Text(r.t("page.practice.about")),
		part("phones", r.t("page.practice.numbers"),
			app.P().Class("hint").Text(r.t("page.practice.numbers-about")),
			app.Div().Class("row").Body(
				app.Range(fields).Slice(func(i int) app.UI {
					f := fields[i]
					return r.entry("practice-"+f, kind(f), r.t(fieldWord(f)), "", r.m.PracticeField(f),
						r.m.PracticeFaults(f), func(v string) { r.m.SetPracticeField(f, v) })
				}),
			),
		),
		part("facts", r.t("page.practice.facts"),
			app.Dl().Body(
				fact(r.t("page.practice.language"), languageName(p.Locale)),
				fact(r.t("page.practice.open"), or(r.days(p.OpeningDays), r.t("page.notsaid"))),
				fact(r.t("page.practice.closed"), or(r.closures(p.Closures), r.t("page.notsaid"))),
				fact(r.t("page.practice.lab"), or(r.days(p.LaboratoryDays), r.t("page.notsaid"))),
				fact(r.t("page.practice.guarantee"), or(p.Guarantee, r.t("page.notsaid"))),
				fact(r.t("page.practice.complaints"), or(p.Complaints, r.t("page.notsaid"))),
				fact(r.t("page.practice.signed"), "", r.signOffs(p)),
			),
		),
		r.fees(p),
		r.practiceFile(),
	}
}

// fieldWord is the message that names a field of the practice.
func fieldWord(field string) string {
	return "page.practice.field." + strings.ReplaceAll(field, "_", "-")
}

func languageName(tag string) string {
	if l, ok := i18n.Lookup(tag); ok {
		return l.Name
	}
	return tag
}

func (r *Root) days(keys []string) string {
	var out []string
	for _, k := range keys {
		// Weekday counts from Sunday, the file from Monday.
		i := slices.Index(veneer.Weekdays(), k)
		if name, err := r.lang().Weekday(weekday((i + 1) % 7)); err == nil && i >= 0 {
			out = append(out, name)
		}
	}
	return r.list(out)
}

func (r *Root) closures(list []veneer.Closure) string {
	var out []string
	for _, c := range list {
		out = append(out, r.t("page.dates", "From", r.date(c.From), "To", r.date(c.To)))
	}
	return r.list(out)
}

func (r *Root) signOffs(p veneer.Practice) app.UI {
	if len(p.SignOffs) == 0 {
		return app.Span().Text(r.t("page.practice.unsigned"))
	}
	return app.Ul().Class("plain").Body(
		app.Range(p.SignOffs).Slice(func(i int) app.UI {
			s := p.SignOffs[i]
			return app.Li().Text(r.t("page.practice.sign-off", "Kind", r.t("page.kind."+s.Sheet),
				"Language", languageName(s.Locale), "Name", s.Who, "Date", r.date(s.When)))
		}),
	)
}

func (r *Root) fees(p veneer.Practice) app.UI {
	keys := slices.Sorted(maps.Keys(p.Fees))
	return part("fees", r.t("page.fees.title"),
		app.P().Class("hint").Text(r.t("page.fees.about")),
		app.If(len(keys) == 0, func() app.UI { return app.P().Text(r.t("page.money.none")) }),
		app.Dl().Body(app.Range(keys).Slice(func(i int) app.UI {
			f := p.Fees[keys[i]]
			var parts []string
			if f.PerTooth != 0 {
				parts = append(parts, r.t("page.fees.tooth", "Amount", r.money(f.PerTooth, p.Currency)))
			}
			if f.Flat != 0 {
				parts = append(parts, r.t("page.fees.flat", "Amount", r.money(f.Flat, p.Currency)))
			}
			return fact(r.feeName(keys[i]), r.list(parts))
		})),
	)
}

// feeName is what a fee is for: a route, an appliance or another item.
func (r *Root) feeName(key string) string {
	for _, id := range []string{"route." + key + ".name", "appliance." + key + ".name", "money." + key} {
		if r.words.Has(id) {
			return r.t(id)
		}
	}
	return key
}

func (r *Root) practiceFile() app.UI {
	return part("practice-file", r.t("page.practice.file"),
		app.Div().Class("chips").Body(
			r.opener("open-practice", r.t("page.practice.load"), func(name, text string) {
				if r.m.OfferPractice(name, text) {
					r.focus = "offer-yes"
				} else {
					r.focus = "practice-file-text"
				}
			}),
			r.button("save-practice", "second", r.t("page.practice.save"), func() {
				data, err := r.m.ExportPractice()
				if err != nil {
					r.notice = r.t("page.file.unsaved")
					return
				}
				save("practice.json", "application/json", data)
				r.notice = r.t("page.file.saved", "File", "practice.json")
			}),
		),
		app.If(r.m.PracticeFile != nil, func() app.UI {
			f := r.m.PracticeFile
			return app.Div().ID("practice-bad").Class("notice").Body(
				app.H3().Text(r.t("page.file.bad", "File", f.Name)),
				r.fileFaults(f),
				r.area("practice-file-text", r.t("page.file.text"), r.t("page.file.mend"), f.Text, nil,
					func(v string) { r.m.PracticeFile.Text = v }),
				app.Div().Class("chips").Body(
					r.button("practice-again", "", r.t("page.file.again"), func() {
						r.m.OfferPractice(r.m.PracticeFile.Name, r.m.PracticeFile.Text)
					}),
					r.button("practice-drop", "quiet", r.t("page.file.drop"), r.m.DropPractice),
				),
			)
		}),
		app.If(r.m.Offered != nil, func() app.UI {
			lines := r.m.Differences()
			return app.Div().ID("offer").Class("notice").Body(
				app.H3().Text(r.t("page.offer.title", "Name", r.m.Offered.Name)),
				app.If(len(lines) == 0, func() app.UI { return app.P().Text(r.t("page.offer.same")) }),
				app.If(len(lines) > 0, func() app.UI { return app.P().Text(r.t("page.offer.about")) }),
				app.Dl().Body(app.Range(lines).Slice(func(i int) app.UI {
					l := lines[i]
					return fact(r.t(fieldWord(l.Field)), r.t("page.offer.change",
						"From", or(l.Old, r.t("page.notsaid")), "To", or(l.New, r.t("page.notsaid"))))
				})),
				app.Div().Class("chips").Body(
					r.button("offer-yes", "", r.t("page.offer.yes"), func() {
						r.m.AcceptPractice()
						r.notice = r.t("page.offer.done")
					}),
					r.button("offer-no", "quiet", r.t("page.offer.no"), r.m.DropPractice),
				),
			)
		}),
	)
}

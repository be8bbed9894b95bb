package page

import (
	"slices"
	"strconv"

	"github.com/maxence-charriere/go-app/v10/pkg/app"

	"plainleaf/app/record"
	"plainleaf/app/veneer"
)

// keepNotices are the lines about keeping that stand above every screen.
func (r *Root) keepNotices() []app.UI {
	var out []app.UI
	if r.k.state == "elsewhere" {
		out = append(out, el("div").ID("elsewhere").Class("notice").Body(
			say("p", "", r.t("page.keep.elsewhere")),
			r.working(r.button("take-over", "second", r.t("page.keep.take"), func() {
				r.work(func() {
					r.script("take", func(a reply) {
						r.k.busy = false
						if !a.OK {
							r.notice = r.t(whyWord(a.Why))
							return
						}
						r.empty()
						r.k.state = "own"
						r.bringBack(a)
						if r.k.locked == nil && a.Draft == "" {
							r.notice = r.t("page.keep.taken")
						}
					})
				})
			})),
		))
	}
	if r.k.state == "none" && r.here.View == "" {
		out = append(out, el("p").ID("keep-none").Class("notice").Text(r.t(whyWord(r.k.why))))
	}
	if r.k.unkept {
		out = append(out, el("p").ID("unkept").Class("notice").Text(r.t("page.keep.unkept")))
	}
	return out
}

// keepPart tells how the open case is kept, and lists the kept cases.
func (r *Root) keepPart() app.UI {
	var body []app.UI
	switch r.k.state {
	case "none":
		body = append(body, el("p").ID("keep-not").Text(r.t(whyWord(r.k.why))))
	case "elsewhere":
		body = append(body, say("p", "", r.t("page.keep.other")))
	default:
		about := "page.keep.about"
		if r.k.id != "" {
			about = "page.keep.about-kept"
		}
		body = append(body, say("p", "hint", r.t(about, "Code", or(r.k.id, "-"))))
		if r.k.id != "" {
			body = append(body, r.labelField("kept-label"))
		}
		body = append(body, r.keepButtons(), r.keepForm(), r.openForm())
		body = append(body, r.keptList())
	}
	return part("keep", r.t("page.keep.title"), body...)
}

func (r *Root) keepButtons() app.UI {
	return box("div", "chips",
		app.If(r.k.id == "", func() app.UI {
			return r.button("keep-here", "second", r.t("page.keep.here"), func() { r.ask("keep") })
		}),
		r.button("keep-file", "second", r.t("page.keep.file"), func() {
			if r.k.id == "" {
				r.ask("file")
				return
			}
			r.script("file", func(a reply) {
				if !a.OK {
					r.notice = r.t(whyWord(a.Why))
					return
				}
				r.saveSealed(a)
			}, r.meta(0), "", r.m.Draft(true))
		}),
	)
}

// ask opens the form for a new passphrase.
func (r *Root) ask(form string) {
	r.closeForm()
	if !r.m.Started() {
		r.notice = r.t("page.keep.nothing")
		return
	}
	r.k.form = form
	r.focus = "keep-phrase"
}

func (r *Root) keepForm() app.UI {
	if r.k.form != "keep" && r.k.form != "file" {
		return none()
	}
	var days []option
	for _, d := range keepDays {
		days = append(days, option{strconv.Itoa(d), r.n("page.keep.days", d)})
	}
	go_ := "page.keep.go"
	if r.k.form == "file" {
		go_ = "page.keep.go-file"
	}
	return el("div").ID("keep-form").Class("notice").Role("group").Aria("labelledby", "keep-form-head").Body(
		el("h3").ID("keep-form-head").Text(r.t("page.keep.form")),
		say("p", "", r.t("page.keep.with-person")),
		r.labelField("keep-label"),
		r.phrase("keep-phrase", r.t("page.keep.phrase"), r.n("page.keep.phrase-hint", record.MinPassphrase), r.k.fault, nil),
		r.phrase("keep-again", r.t("page.keep.again"), "", "", r.seal),
		app.If(r.k.form == "keep", func() app.UI {
			return r.choice("keep-days", r.t("page.keep.how-long"), strconv.Itoa(r.k.days), days, nil, func(v string) {
				if n, err := strconv.Atoi(v); err == nil {
					r.k.days = n
				}
			})
		}),
		box("div", "chips",
			r.working(r.button("keep-go", "", r.t(go_), func() { r.work(r.seal) })),
			r.button("keep-cancel", "quiet", r.t("page.keep.cancel"), r.closeForm),
		),
	)
}

// openForm asks for the passphrase of a kept case or an encrypted file.
func (r *Root) openForm() app.UI {
	if r.k.form == "" || r.k.form == "keep" || r.k.form == "file" {
		return none()
	}
	title := r.t("page.keep.open-file")
	if r.k.form != "file-open" {
		title = r.t("page.keep.open-case", "Code", r.k.form)
	}
	return el("div").ID("open-form").Class("notice").Role("group").Aria("labelledby", "open-form-head").Body(
		el("h3").ID("open-form-head").Text(title),
		app.If(r.m.Started() && r.k.id == "", func() app.UI { return say("p", "", r.t("page.keep.replaces")) }),
		r.phrase("open-phrase", r.t("page.keep.either"), r.t("page.keep.either-hint"), r.k.fault, r.unseal),
		box("div", "chips",
			r.working(r.button("open-go", "", r.t("page.keep.open"), func() { r.work(r.unseal) })),
			r.button("open-cancel", "quiet", r.t("page.keep.cancel"), r.closeForm),
		),
	)
}

// keptList shows the kept cases: date, number of teeth, id and the last day.
func (r *Root) keptList() app.UI {
	list := r.k.list
	if len(list) == 0 {
		return el("p").ID("kept-none").Text(r.t("page.keep.none"))
	}
	return el("ul").ID("kept").Class("plain rows").Body(
		each(len(list), func(i int) app.UI {
			c := list[i]
			return el("li").DataSet("kept", c.ID).Body(
				app.If(c.Label != "", func() app.UI { return el("strong").Class("kept-label").Dir("auto").Text(c.Label) }),
				say("strong", "", r.n("page.keep.entry", c.Teeth, "Date", r.iso(c.Date), "Code", c.ID)),
				r.keptNote(c.keptNote),
				say("p", "hint", r.t("page.keep.until", "Date", r.iso(c.Expires))),
				app.IfSlice(r.k.drop == c.ID, func() []app.UI {
					return []app.UI{
						el("p").ID("drop-ask").Text(r.t("page.keep.drop-ask")),
						box("div", "chips",
							r.button("drop-yes-"+c.ID, "", r.t("page.keep.drop-yes"), func() { r.drop(c.ID) }),
							r.button("drop-no-"+c.ID, "quiet", r.t("page.keep.drop-no"), func() { r.k.drop = "" }),
						),
					}
				}).ElseSlice(func() []app.UI {
					return []app.UI{box("div", "chips",
						app.If(c.ID != r.k.id, func() app.UI {
							return r.button("open-"+c.ID, "second", r.t("page.keep.open"), func() {
								if r.replaceable() {
									r.closeForm()
									r.k.form = c.ID
									r.focus = "open-phrase"
								}
							}).Aria("label", r.t("page.keep.open-case", "Code", c.ID))
						}),
						r.button("drop-"+c.ID, "quiet", r.t("page.keep.drop"), func() {
							r.closeForm()
							r.k.drop = c.ID
							r.focus = "drop-no-" + c.ID
						}).Aria("label", r.t("page.keep.drop-case", "Code", c.ID)),
					)}
				}),
			)
		}),
	)
}

// keptNote says how far a kept case has come and what is next.
func (r *Root) keptNote(n keptNote) app.UI {
	if !slices.Contains(stages, n.Stage) {
		return none() // kept by an earlier version, or on another device
	}
	next := func() app.UI {
		return say("p", "", r.t("page.keep.next", "Name", r.t("visit."+n.Next.Purpose+".name"), "Date", r.date(n.Next.Date)))
	}
	return box("div", "",
		say("p", "", r.t("page.stage."+string(n.Stage))),
		app.If(n.Next != nil && r.words.Has("visit."+n.Next.Purpose+".name"), next))
}

// labelField is where the practice names a kept case, when it is kept and after.
func (r *Root) labelField(id string) app.UI {
	return r.entry(id, "text", r.t("page.keep.label"), r.t("page.keep.label-hint"), r.k.label, nil, func(s string) {
		if c := []rune(s); len(c) > labelMax {
			s = string(c[:labelMax])
		}
		r.k.label = s
		if r.k.id != "" {
			app.Window().Get("plainleafKeep").Call("touch")
		}
	})
}

func (r *Root) drop(id string) {
	if r.k.id == id {
		r.k.id = ""
	}
	r.k.drop = ""
	r.script("drop", func(a reply) {
		if !a.OK {
			r.notice = r.t(whyWord(a.Why))
			return
		}
		r.notice = r.t("page.keep.dropped")
	}, id)
}

// clearPart asks before it clears. What was signed has to be in the record first.
func (r *Root) clearPart() app.UI {
	if !r.confirm {
		return box("div", "clear",
			r.button("clear", "second", r.t("page.clear.button"), func() { r.confirm = true; r.focus = "clear-no" }))
	}
	text, yes := "page.clear.ask", "page.clear.yes"
	switch {
	case r.m.Unsealed():
		text, yes = "page.clear.signed", "page.clear.attached-yes"
	case r.m.Handed:
		text, yes = "page.clear.attached", "page.clear.attached-yes"
	case r.k.id != "":
		text = "page.clear.ask-kept"
	}
	return box("div", "clear",
		el("div").ID("clear-ask").Class("notice").Role("alertdialog").Aria("labelledby", "clear-ask-text").Body(
			el("p").ID("clear-ask-text").Text(r.t(text)),
			box("div", "chips",
				r.button("clear-yes", "", r.t(yes), r.clear).DataSet("signed", strconv.FormatBool(r.m.Handed || r.m.Unsealed())),
				r.button("clear-no", "quiet", r.t("page.clear.no"), func() { r.confirm = false; r.focus = "clear" }),
			),
		),
	)
}

// demoPractice is the invented practice that comes with the program.
func (r *Root) demoPractice() veneer.Practice { return r.shipped }

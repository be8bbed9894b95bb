package page

import (
	"cmp"
	"slices"
	"strconv"

	"github.com/maxence-charriere/go-app/v10/pkg/app"

	"plainleaf/app/casefile"
	"plainleaf/app/record"
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
	if r.k.memory && r.here.View == "" {
		out = append(out, el("p").ID("keep-memory").Class("notice").Text(r.t("page.keep.memory")))
	}
	if r.k.unkept {
		out = append(out, el("div").ID("unkept").Class("notice").Role("alert").Body(
			say("p", "", r.t("page.keep.unkept")),
			box("div", "chips",
				r.button("unkept-save", "", r.t("page.keep.file"), r.saveAway),
				r.button("unkept-again", "second", r.t("page.keep.again-write"), func() {
					r.script("resume", nil)
					r.k.set = -1 // the settings too
				}),
			)))
	}
	if r.k.missing > 0 {
		out = append(out, el("div").ID("missing").Class("notice").Body(
			say("p", "", r.n("page.keep.missing", r.k.missing)),
			r.button("missing-seen", "second", r.t("page.keep.seen"), func() { r.k.missing = 0 })))
	}
	if r.k.last != "" {
		out = append(out, el("div").ID("clock").Class("notice").Body(
			say("p", "", r.t("page.keep.clock", "Date", r.date(today()), "From", r.iso(r.k.last))),
			r.button("clock-right", "second", r.t("page.keep.clock-right"), func() {
				r.k.last = ""
				r.script("day", nil, today().String())
			})))
	}
	return out
}

// saveAway saves the open case to an encrypted file from any screen.
func (r *Root) saveAway() {
	if r.k.id == "" && r.here.View != "" {
		r.ctx.Navigate(r.link(""))
	}
	r.saveFile()
}

// saveFile saves an encrypted file, after asking for a passphrase where the case has
// none.
func (r *Root) saveFile() {
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
	}, r.meta(0), "", r.desk.Keep(true))
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
		body = append(body, say("p", "hint", r.t(about, "Code", cmp.Or(r.k.id, "-"))))
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
		r.button("keep-file", "second", r.t("page.keep.file"), r.saveFile),
	)
}

// ask opens the form for a new passphrase.
func (r *Root) ask(form string) {
	r.closeForm()
	if !r.signed.Started() {
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
		app.If(r.signed.Started() && r.k.id == "", func() app.UI { return say("p", "", r.t("page.keep.replaces")) }),
		r.phrase("open-phrase", r.t("page.keep.either"), r.t("page.keep.either-hint"), r.k.fault, r.unseal),
		box("div", "chips",
			r.working(r.button("open-go", "", r.t("page.keep.open"), func() { r.work(r.unseal) })),
			r.button("open-cancel", "quiet", r.t("page.keep.cancel"), r.closeForm),
		),
	)
}

// passed divides the kept cases into those within their days and those past them. No
// case passes its day while the device's clock is in doubt.
func (r *Root) passed() (within, past []keptCase) {
	now := today().String()
	for _, c := range r.k.list {
		if c.Expires < now && r.k.last == "" && c.ID != r.k.id {
			past = append(past, c)
		} else {
			within = append(within, c)
		}
	}
	return within, past
}

// keptList shows the kept cases: date, number of teeth, id and the last day. Those past
// their day are folded away until somebody deletes them.
func (r *Root) keptList() app.UI {
	within, past := r.passed()
	if len(within)+len(past) == 0 {
		return el("p").ID("kept-none").Text(r.t("page.keep.none"))
	}
	return box("div", "",
		app.If(len(within) > 0, func() app.UI {
			return el("ul").ID("kept").Class("plain rows").Body(each(len(within), func(i int) app.UI { return r.keptRow(within[i]) }))
		}),
		app.If(len(past) > 0, func() app.UI {
			return r.drawer("kept-past", "drawer", false, say("summary", "", r.n("page.keep.passed", len(past))), func() []app.UI {
				return []app.UI{
					say("p", "hint", r.t("page.keep.passed-about")),
					el("ul").Class("plain rows").Body(each(len(past), func(i int) app.UI { return r.keptRow(past[i]) })),
				}
			})
		}),
	)
}

func (r *Root) keptRow(c keptCase) app.UI {
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
}

// keptNote says how far a kept case has come and what is next.
func (r *Root) keptNote(n keptNote) app.UI {
	if !slices.Contains(stages, n.Stage) {
		return none() // kept by an earlier version, or on another device
	}
	next := func() app.UI {
		return say("p", "", r.t("page.keep.next", "Name", r.t(r.visitID(n.Next.Purpose)), "Date", r.date(n.Next.Date)))
	}
	return box("div", "",
		say("p", "", r.t("page.stage."+string(n.Stage))),
		app.If(n.Next != nil && r.words.Has(r.visitID(n.Next.Purpose)), next))
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

// demoPractice is the invented practice that comes with the program.
func (r *Root) demoPractice() casefile.Practice { return r.shipped }
